"""What contradicts itself in a plan, and what of it can be played.

A fault is named with its field and a code; the plan writer says it in words. Advice is said
without blocking anything.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Literal

from companion.care import contacts
from companion.care.answered_signs import answers_for
from companion.care.catalogue import Catalogue, ExerciseSheet, TechniqueSheet
from companion.care.caution_rules import PASSING, Blocked, caution_judgement, counting_answers
from companion.care.finding import Entries
from companion.care.records import Exercise, KnownSign, Part, Plan, Side, TapeTrial, Technique

_DAY_HOURS = 24

FaultCode = Literal[
    "review_not_after_written",
    "main_side_not_in_plan",
    "starting_stage_above_highest",
    "tape_never_but_stages",
    "tape_when_but_no_stage",
    "tape_make_missing",
    "first_wear_over_cap",
    "second_wear_over_cap",
    "due_over_cap",
    "stretch_limit_missing",
    "cut_lengths_missing",
    "short_piece_missing",
    "measure_missing",
    "measure_refused",
    "measure_unusual",
    "two_measures_for_one_knee",
    "anchors_fill_strip",
    "ceiling_below_stop_amount",
    "bad_day_mark_open",
    "bad_day_mark_both",
    "bad_day_mark_low",
    "no_easier_form",
    "too_few_moves_for_rounds",
    "safety_unanswered",
    "own_move_without_words",
    "technique_unknown",
    "technique_twice",
    "technique_untaught",
    "technique_blocked",
    "technique_over_range",
    "exercise_unknown",
    "exercise_twice",
    "exercise_untaught",
    "exercise_blocked",
    "exercise_over_range",
    "caution_unknown",
    "caution_unanswered",
    "caution_reason_missing",
    "caution_reason_words_missing",
    "tape_blocked",
    "check_move_blocked",
    "chair_stand_blocked",
    "helper_days_missing",
    "more_hands_days_than_helper_days",
    "hands_days_without_hands",
    "hands_without_days",
    "exercise_days_without_exercise",
    "exercises_without_days",
    "replacement_date_missing",
    "tape_past_replacement",
    "goal_not_above_baseline",
    "contact_missing",
    "number_not_a_number",
    "hours_half_told",
    "known_sign_unknown",
    "known_sign_not_allowed",
    "known_sign_support_missing",
    "known_sign_open_missing",
    "known_sign_open_both",
    "known_sign_knee_missing",
    "known_sign_knee_not_in_plan",
    "known_sign_review_passed",
    "open_sign_not_known",
    "open_sign_must_be_seen",
    "trial_without_tape",
    "trial_side_not_in_plan",
    "trial_not_ahead",
    "trial_fixed",
    "trial_not_as_fixed",
    "trial_rest_too_long",
    "trial_due_too_short",
    "trial_cap_too_short",
    "trial_past_review",
    "trial_past_bare",
    "trial_past_replacement",
    "no_exercise",
]


@dataclass(frozen=True, slots=True)
class PlanFault:
    """One contradiction: the field as written in the plan, such as `tape.start`, and a code.

    `what` names the technique, caution or knee meant. `advice` blocks nothing.
    """

    field: str
    code: FaultCode
    what: str | None = None
    advice: bool = False


def faults(plan: Plan, catalogue: Catalogue, last: Plan | None = None) -> tuple[PlanFault, ...]:
    """Every fault and every piece of advice, faults first. `last` is the version it follows."""
    found = [
        *_dates_and_sides(plan),
        *_tape(plan, catalogue),
        *_knees(plan),
        *_limits(plan),
        *_steps(plan, catalogue),
        *_cautions(plan, catalogue),
        *_known_and_open_signs(plan, catalogue),
        *_contacts(plan),
        *_trial(plan, last),
        *_advice(plan, catalogue),
    ]
    return tuple(sorted(found, key=lambda fault: fault.advice))


def playable_techniques(
    plan: Plan,
    side: Side,
    catalogue: Catalogue,
    entries: Entries,
    today: date,
    in_flare: bool = False,
) -> tuple[Technique, ...]:
    """The techniques that can be offered: known, shown back, hands not closed by a caution and not
    one that a caution answered yes takes out by itself. Days without the helper are no matter."""
    judged = caution_judgement(
        plan, "hands", catalogue.policy, entries=entries, side=side, today=today, in_flare=in_flare
    )
    if judged.by_the_plan:
        return ()
    known = {sheet.id for sheet in catalogue.techniques}
    return tuple(
        technique
        for technique in plan.techniques
        if technique.technique in known
        and _taught(technique.taught_on, today)
        and not _taken_out(plan, catalogue.technique(technique.technique))
    )


def _taken_out(plan: Plan, sheet: TechniqueSheet | ExerciseSheet) -> tuple[str, ...]:
    """The cautions answered yes that a technique or exercise does not go with."""
    counting = counting_answers(plan)
    return tuple(
        caution for caution in sheet.not_with if caution in counting and counting[caution].answer
    )


def playable_exercises(
    plan: Plan,
    side: Side,
    catalogue: Catalogue,
    entries: Entries,
    today: date,
    in_flare: bool = False,
) -> tuple[Exercise, ...]:
    """The exercises that can be offered: known, shown back, seated or standing ones not closed by a
    caution, and not one that a caution answered yes takes out by itself."""
    closed = {
        part: caution_judgement(
            plan, part, catalogue.policy, entries=entries, side=side, today=today, in_flare=in_flare
        ).by_the_plan
        for part in EXERCISE_PARTS
    }
    sheets = {sheet.id: sheet for sheet in catalogue.exercises}
    return tuple(
        exercise
        for exercise in plan.exercises
        if exercise.exercise in sheets
        and _taught(exercise.taught_on, today)
        and not closed[catalogue.policy.exercise_part(exercise.exercise)]
        and not _taken_out(plan, sheets[exercise.exercise])
    )


EXERCISE_PARTS: tuple[Part, ...] = ("seated", "standing")


def _taught(taught_on: date | None, today: date) -> bool:
    return taught_on is not None and taught_on <= today


def _blocked(plan: Plan, part: Part, catalogue: Catalogue) -> tuple[Blocked, ...]:
    """The answers that close a part of the plan as it stands. Unanswered ones are said once."""
    found = caution_judgement(plan, part, catalogue.policy).blocked
    return tuple(one for one in found if one.reason != "unanswered" and one.reason not in PASSING)


def _dates_and_sides(plan: Plan) -> Iterator[PlanFault]:
    if plan.review_on <= plan.written_on:
        yield PlanFault("review_on", "review_not_after_written")
    if plan.side not in ("both", plan.main_side):
        yield PlanFault("main_side", "main_side_not_in_plan")
    if plan.replacement == "listed":
        if plan.replacement_on is None:
            yield PlanFault("replacement_on", "replacement_date_missing")
        elif _tapes(plan) and (
            plan.tape.stay_bare_from is None or plan.tape.stay_bare_from > plan.replacement_on
        ):
            # (fact: replacement_bare)
            yield PlanFault("tape.stay_bare_from", "tape_past_replacement")


def _tape(plan: Plan, catalogue: Catalogue) -> Iterator[PlanFault]:
    tape = plan.tape
    if tape.when == "never":
        if tape.highest > 0:
            yield PlanFault("tape.highest", "tape_never_but_stages")
        return
    if tape.highest == 0:
        yield PlanFault("tape.highest", "tape_when_but_no_stage")
        return
    if tape.start > tape.highest:
        yield PlanFault("tape.start", "starting_stage_above_highest")
    if tape.make is None:
        # A patch test and a tolerance are those of one make.
        yield PlanFault("tape.make", "tape_make_missing")
    if tape.first_wear_hours > tape.cap_hours:
        yield PlanFault("tape.first_wear_hours", "first_wear_over_cap")
    if tape.second_wear_hours > tape.cap_hours:
        yield PlanFault("tape.second_wear_hours", "second_wear_over_cap")
    if tape.wear_hours > tape.cap_hours:
        yield PlanFault("tape.cap_hours", "due_over_cap")
    if tape.stretch_of == "available" and tape.stretch_limit_percent is None:
        yield PlanFault("tape.stretch_limit_percent", "stretch_limit_missing")
    yield from (
        PlanFault("tape.when", "tape_blocked", one.caution)
        for one in _blocked(plan, "tape_on", catalogue)
    )


def _knees(plan: Plan) -> Iterator[PlanFault]:
    # Imported here: the front page asks this module what can be played, and measures nothing.
    from companion.care.strips import measure_fault

    sides = [knee.side for knee in plan.knees]
    for number, knee in enumerate(plan.knees):
        place = f"knees.{number}"
        if sides.index(knee.side) < number:
            yield PlanFault(f"{place}.side", "two_measures_for_one_knee", knee.side)
        if knee.bump_to_upper_edge_mm is not None:
            fault = measure_fault(knee.bump_to_upper_edge_mm)
            if fault is not None:
                yield PlanFault(
                    f"{place}.bump_to_upper_edge_mm",
                    "measure_refused" if fault == "refused" else "measure_unusual",
                    knee.side,
                    advice=fault == "unusual",
                )
    if not _tapes(plan):
        return
    for side in plan.sides:
        measured = next((knee for knee in plan.knees if knee.side == side), None)
        cut = measured.cut if measured else None
        length = measured.bump_to_upper_edge_mm if measured else None
        if plan.tape.length_from == "as_cut":
            if cut is None:
                yield PlanFault("knees", "cut_lengths_missing", side)
            elif plan.tape.highest == 2 and cut.short_piece_mm is None:
                yield PlanFault("knees", "short_piece_missing", side)
        elif length is None:
            # Without it the sheet cannot be printed, but the strips may have been cut in the
            # clinic and sent home: advice.
            yield PlanFault("knees", "measure_missing", side, advice=True)
        elif plan.tape.length_from == "as_measured" and length <= 2 * plan.tape.anchor_mm:
            yield PlanFault("tape.anchor_mm", "anchors_fill_strip", side, advice=True)


def _limits(plan: Plan) -> Iterator[PlanFault]:
    if plan.pain_ceiling < plan.stop_amount:
        yield PlanFault("pain_ceiling", "ceiling_below_stop_amount")
    if plan.bad_day_mark is None and not plan.bad_day_mark_off:
        # The person's own usual decides it, so there is no default to leave it at.
        yield PlanFault("bad_day_mark", "bad_day_mark_open")
    elif plan.bad_day_mark is not None and plan.bad_day_mark_off:
        yield PlanFault("bad_day_mark_off", "bad_day_mark_both")
    elif plan.bad_day_mark is not None and plan.bad_day_mark <= plan.pain_ceiling:
        yield PlanFault("bad_day_mark", "bad_day_mark_low", advice=True)
    if plan.check_moves < plan.rounds + 1:
        yield PlanFault("check_moves", "too_few_moves_for_rounds")
    move = plan.check_move
    if move.safe is None:
        yield PlanFault("check_move.safe", "safety_unanswered")
    if move.name == "own" and move.own_words is None:
        yield PlanFault("check_move.own_words", "own_move_without_words")
    yield from (
        PlanFault(f"amounts.{number}.goal", "goal_not_above_baseline", amount.label)
        for number, amount in enumerate(plan.amounts)
        if amount.goal < amount.baseline
    )


_CODES: dict[str, tuple[FaultCode, ...]] = {
    "techniques": (
        *("technique_unknown", "technique_twice", "technique_untaught"),
        *("technique_over_range", "technique_blocked"),
    ),
    "exercises": (
        *("exercise_unknown", "exercise_twice", "exercise_untaught"),
        *("exercise_over_range", "exercise_blocked"),
    ),
}
_DOSE = ("seconds", "repeats", "sets", "hold_seconds")
"""Fields of a technique or exercise that its sheet has a range for."""


def _steps(plan: Plan, catalogue: Catalogue) -> Iterator[PlanFault]:
    sheets: dict[str, TechniqueSheet | ExerciseSheet]
    for group, (unknown, twice, untaught, over_range, blocked) in _CODES.items():
        steps: tuple[Technique | Exercise, ...] = getattr(plan, group)
        sheets = {sheet.id: sheet for sheet in getattr(catalogue, group)}
        for number, step in enumerate(steps):
            place, sheet = f"{group}.{number}", sheets.get(step.name)
            if sheet is None:
                yield PlanFault(place, unknown, step.name)
                continue
            if any(one.name == step.name for one in steps[:number]):
                yield PlanFault(place, twice, step.name)
            if step.taught_on is None:
                yield PlanFault(f"{place}.taught_on", untaught, step.name)
            dose = [name for name in _DOSE if hasattr(step, name)]
            if not all(getattr(sheet, name).holds(getattr(step, name)) for name in dose):
                yield PlanFault(place, over_range, step.name, advice=True)
            part: Part = "hands"
            if isinstance(step, Exercise):
                part = catalogue.policy.exercise_part(step.name)
                if step.on_bad_days == "easier" and getattr(sheet, "easier", None) is None:
                    yield PlanFault(f"{place}.on_bad_days", "no_easier_form", step.name)
            closing = (one.caution for one in _blocked(plan, part, catalogue))
            for caution in (*closing, *_taken_out(plan, sheet)):
                yield PlanFault(place, blocked, f"{step.name}:{caution}")


def _cautions(plan: Plan, catalogue: Catalogue) -> Iterator[PlanFault]:
    """Unanswered cautions, each once; answers to none; overruling without its reason; and what of
    the check move and the chair stand an answer closes."""
    known = {row.caution: row for row in catalogue.policy.cautions}
    answered = {answer.caution for answer in plan.cautions}
    yield from (
        PlanFault("cautions", "caution_unanswered", row.caution)
        for row in catalogue.policy.cautions
        if row.caution not in answered and not row.rest
    )
    for number, answer in enumerate(plan.cautions):
        place = f"cautions.{number}"
        if answer.caution not in known:
            yield PlanFault(place, "caution_unknown", answer.caution)
        elif answer.answer and answer.allowed and known[answer.caution].closes:
            if answer.reason is None:
                yield PlanFault(f"{place}.reason", "caution_reason_missing")
            elif answer.reason == "other" and answer.reason_words is None:
                yield PlanFault(f"{place}.reason_words", "caution_reason_words_missing")
    for one in _blocked(plan, "check_move", catalogue):
        # At home pain at rest is asked in its place: advice.
        yield PlanFault("check_move.name", "check_move_blocked", one.caution, advice=True)
        if plan.chair_stand is not None:
            yield PlanFault("chair_stand", "chair_stand_blocked", one.caution)


def _known_and_open_signs(plan: Plan, catalogue: Catalogue) -> Iterator[PlanFault]:
    signs = {sign.id: sign for sign in catalogue.stop_list.signs}
    for number, known in enumerate(plan.known_signs):
        place = f"known_signs.{number}"
        if known.sign not in signs:
            yield PlanFault(place, "known_sign_unknown", known.sign)
        elif not catalogue.policy.sign(known.sign).known_since:
            yield PlanFault(place, "known_sign_not_allowed", known.sign)
        else:
            yield from _of_knee(plan, known, place, catalogue)
            yield from _stays_open(known, place, catalogue)
        if known.support is None and not STANDING_PARTS.isdisjoint(known.stays_open):
            yield PlanFault(f"{place}.support", "known_sign_support_missing")
        if known.review_by is not None and known.review_by < plan.written_on:
            yield PlanFault(f"{place}.review_by", "known_sign_review_passed")
    known_here = {known.sign for known in plan.known_signs}
    for number, one in enumerate(plan.open_signs):
        place = f"open_signs.{number}"
        if one.answer == "known" and one.sign not in known_here:
            yield PlanFault(place, "open_sign_not_known")
        elif one.answer not in answers_for(one.sign, catalogue.policy):
            yield PlanFault(place, "open_sign_must_be_seen")


def _of_knee(plan: Plan, known: KnownSign, place: str, catalogue: Catalogue) -> list[PlanFault]:
    """In a plan for one knee a known sign is of that knee, whether or not it says so."""
    if not catalogue.policy.sign(known.sign).known_knee:
        return []
    if known.side is None:
        missing = PlanFault(f"{place}.side", "known_sign_knee_missing", known.sign)
        return [missing] if plan.side == "both" else []
    if plan.side not in ("both", known.side):
        return [PlanFault(f"{place}.side", "known_sign_knee_not_in_plan", known.sign)]
    return []


def _stays_open(known: KnownSign, place: str, catalogue: Catalogue) -> list[PlanFault]:
    """What closes something while it is as before says what of it stays open, or that nothing
    does: left empty it would take the exercise away for good (rule r09)."""
    closes = catalogue.closes_as_before(known.sign)
    if known.stays_open and known.stays_closed:
        return [PlanFault(f"{place}.stays_closed", "known_sign_open_both")]
    if closes and not known.stays_closed and set(closes).isdisjoint(known.stays_open):
        return [PlanFault(f"{place}.stays_open", "known_sign_open_missing")]
    return []


STANDING_PARTS = frozenset[Part](("standing", "check_move"))


def running_trial(last: Plan | None, today: date) -> TapeTrial | None:
    """The trial of a plan when its first day has come and its last scored day has not passed.

    One whose schedule is not as it was fixed is not run at home, and so does not run here.
    """
    from companion.care.trial_days import fixed_schedule

    trial = None if last is None else last.trial
    fixed = None if trial is None else fixed_schedule(trial)
    return trial if fixed is not None and fixed.first_day <= today <= fixed.last_day else None


def _trial(plan: Plan, last: Plan | None) -> Iterator[PlanFault]:
    """What speaks against a tape trial (facts: trial_pairs, trial_bare_day).

    It is offered only where the plan tapes the trial's knee and the rest fits the bare day that
    opens each period (24 hours at most), and where neither the hour tape is due off nor the hard
    cap comes before the scored days of a period are over (24 hours each). It ends before the
    review, before the skin stays bare and before an operation. The schedule is fixed before the
    first day: that day comes after the day of writing, and once it has come a later version holds
    the very same trial or none. What the skin must have shown stands in `trial_skin`.
    """
    trial = plan.trial
    if trial is None:
        return
    if not _tapes(plan):
        yield PlanFault("trial", "trial_without_tape")
        return
    # Imported here: the front page asks this module what can be played, and plans no trial.
    from companion.care.trial_days import fixed_schedule
    from companion.care.trial_schedule import BARE_DAYS

    schedule = fixed_schedule(trial)
    if schedule is None:
        yield PlanFault("trial", "trial_not_as_fixed")
        return
    running = running_trial(last, plan.written_on)
    if running is not None and trial != running:
        yield PlanFault("trial", "trial_fixed")
    elif running is None and trial.first_day <= plan.written_on:
        yield PlanFault("trial.first_day", "trial_not_ahead")
    if trial.side not in plan.sides:
        yield PlanFault("trial.side", "trial_side_not_in_plan", trial.side)
    if plan.tape.rest_hours > _DAY_HOURS * BARE_DAYS:
        yield PlanFault("tape.rest_hours", "trial_rest_too_long")
    scored_hours = _DAY_HOURS * trial.scored_days
    if plan.tape.wear_hours < scored_hours:
        yield PlanFault("tape.wear_hours", "trial_due_too_short", str(scored_hours))
    if plan.tape.cap_hours < scored_hours:
        yield PlanFault("tape.cap_hours", "trial_cap_too_short", str(scored_hours))
    last_day = schedule.last_day
    ends: tuple[tuple[str, FaultCode, date | None], ...] = (
        ("review_on", "trial_past_review", plan.review_on),
        ("tape.stay_bare_from", "trial_past_bare", plan.tape.stay_bare_from),
        ("replacement_on", "trial_past_replacement", plan.replacement_on),
    )
    yield from (
        PlanFault(field, code) for field, code, day in ends if day is not None and day <= last_day
    )


def _needs_helper(plan: Plan, catalogue: Catalogue) -> bool:
    return bool(plan.techniques) and (
        "helper_there" in caution_judgement(plan, "hands", catalogue.policy).asks
    )


def _advice(plan: Plan, catalogue: Catalogue) -> Iterator[PlanFault]:
    if (plan.techniques or _tapes(plan)) and not plan.exercises:
        # Said, never blocking (fact: exercise_first).
        yield PlanFault("exercises", "no_exercise", advice=True)
    if bool(plan.techniques) != (plan.hands_days_a_week > 0):
        code: FaultCode = "hands_without_days" if plan.techniques else "hands_days_without_hands"
        yield PlanFault("hands_days_a_week", code, advice=True)
    if bool(plan.exercises) != (plan.exercise_days_a_week > 0):
        code = "exercises_without_days" if plan.exercises else "exercise_days_without_exercise"
        yield PlanFault("exercise_days_a_week", code, advice=True)
    if plan.helper_days:
        if plan.hands_days_a_week > len(plan.helper_days) and _needs_helper(plan, catalogue):
            yield PlanFault("hands_days_a_week", "more_hands_days_than_helper_days", advice=True)
    elif _needs_helper(plan, catalogue):
        yield PlanFault("helper_days", "helper_days_missing", advice=True)


def _contacts(plan: Plan) -> Iterator[PlanFault]:
    """What the numbers lack: a card without one leaves whoever reads it alone."""
    roles = {contact.role for contact in plan.contacts}
    yield from (
        PlanFault("contacts", "contact_missing", role)
        for role in contacts.NEEDED
        if role not in roles
    )
    if "doctor" not in roles:
        yield PlanFault("contacts", "contact_missing", "doctor", advice=True)
    met: set[str] = set()
    for contact in plan.contacts:
        # The form asks one number of a role; a further one of an older plan blocks nothing.
        further = contact.role in met
        met.add(contact.role)
        if not contacts.is_a_number(contact.number):
            yield PlanFault("contacts", "number_not_a_number", contact.role, further)
        if contacts.half_told(contact):
            yield PlanFault("contacts", "hours_half_told", contact.role, further)


def _tapes(plan: Plan) -> bool:
    return plan.tape.when != "never" and plan.tape.highest > 0
