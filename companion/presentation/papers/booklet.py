"""The booklet as data: the routine of one plan step by step, with pictures of this knee.

Only what may be played is in it: techniques and exercises that were shown back and that no
caution blocks. Both knees of a plan have their own pages.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import partial

from companion.care.bad_days import rest_pain_limit
from companion.care.catalogue import Catalogue, Step, TapeMoment, TapeStageSteps
from companion.care.caution_rules import caution_judgement, tape_looked_at_daily
from companion.care.closures import closed_by_plan
from companion.care.plan_faults import playable_exercises, playable_techniques
from companion.care.records import (
    CheckMove,
    Exercise,
    Level,
    Part,
    Plan,
    Side,
    TapeTrial,
    Technique,
)
from companion.care.step_limits import ceiling_of
from companion.care.trial_days import trial_schedule
from companion.care.trial_schedule import planned
from companion.picture.drawing import Drawing
from companion.picture.profile import posture_picture
from companion.picture.scenes import tape_picture, technique_picture
from companion.picture.views import Viewpoint
from companion.presentation.home.numbers import phone_lines
from companion.presentation.home.routine_pages import hands_ready, lotion_off, stop_words
from companion.presentation.home.settings_pages import (
    known_blocks,
    signs_in_words,
    signs_view,
)
from companion.presentation.language import codes
from companion.presentation.language.caution_words import SAID_ELSEWHERE, asked_for
from companion.presentation.language.code_table import inside
from companion.presentation.language.phrases import dated, phrase
from companion.presentation.language.words import (
    daily_look,
    depth_lines,
    joined,
    knee,
    move_sentence,
    pain_scale_words,
    pull_sentences,
    rest_between,
    this_knee,
)
from companion.presentation.view.page import (
    Block,
    Bulleted,
    Callout,
    DefinitionList,
    Heading,
    Numbered,
    Phones,
    Text,
)

DAYS_ON_A_PAGE = 7
WEEKS_OF_DAY_PAGES = 2


@dataclass(frozen=True, slots=True)
class Pictures:
    """Drawings side by side, each with a word under it."""

    drawings: tuple[Drawing, ...]
    captions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BookletPage:
    """Blocks that begin on a page of their own. `one_page`: set smaller rather than run on."""

    heading: str
    blocks: tuple[Block | Pictures, ...]
    one_page: bool = False


@dataclass(frozen=True, slots=True)
class DayRow:
    """One line of a blank day page: plain words, and the column of the table they are typed in."""

    words: str
    column: str


@dataclass(frozen=True, slots=True)
class DayTable:
    """A blank week of one knee."""

    heading: str
    lead: tuple[str, ...]
    rows: tuple[DayRow, ...]
    days: int = DAYS_ON_A_PAGE


@dataclass(frozen=True, slots=True)
class Booklet:
    """Everything in the booklet, in order."""

    title: str
    running_head: str
    foot: str
    pages: tuple[BookletPage, ...]
    day_tables: tuple[DayTable, ...]


def booklet(plan: Plan, catalogue: Catalogue, *, today: date, for_helper: bool = False) -> Booklet:
    """The booklet of a plan as it stands on a day, for the person or for the helper."""
    pages = [
        _opening(plan, catalogue, today, for_helper=for_helper),
        *_fridge(plan, catalogue),
        _begin(plan, catalogue, for_helper=for_helper),
    ]
    for side in plan.sides:
        closed = closed_by_plan(catalogue.policy, plan)
        pages += [
            _technique(plan, technique, side, catalogue, for_helper=for_helper)
            for technique in playable_techniques(plan, side, catalogue, (), today)
            if "hands" not in closed
        ]
        exercises = tuple(
            exercise
            for exercise in playable_exercises(plan, side, catalogue, (), today)
            if catalogue.policy.exercise_part(exercise.exercise) not in closed
        )
        if exercises:
            pages.append(_exercises(plan, exercises, side, catalogue, for_helper=for_helper))
        if _tape_allowed(plan, side, catalogue, today):
            pages += _tape(plan, side, catalogue, for_helper=for_helper)
    if any(_tape_allowed(plan, side, catalogue, today) for side in plan.sides):
        pages.append(_removal(plan, catalogue, for_helper=for_helper))
    signs = signs_view(plan, catalogue)
    pages.append(BookletPage(signs.heading, signs.blocks))
    return Booklet(
        title=phrase("Your home routine"),
        running_head=phrase("{code}, care plan {version}", code=plan.person, version=plan.version),
        foot=plan_mark(plan) or phrase("In an emergency, call the emergency number first."),
        pages=tuple(pages),
        day_tables=tuple(
            table for side in plan.sides for table in [_days(plan, side)] * WEEKS_OF_DAY_PAGES
        ),
    )


def plan_mark(plan: Plan) -> str:
    """What a practice plan says on every page; "" for a signed one."""
    if not plan.practice:
        return ""
    return phrase("Practice plan: nobody signed it. Not for a real knee.")


# ---------------------------------------------------------------- the parts


def _opening(plan: Plan, catalogue: Catalogue, today: date, *, for_helper: bool) -> BookletPage:
    trial = _trial(plan, today)
    closed = closed_by_plan(catalogue.policy, plan)
    knees = joined(this_knee(side) for side in plan.sides)
    move = plan.check_move
    blocks: list[Block | Pictures] = []
    if plan.practice:
        blocks.append(Text(plan_mark(plan), "strong"))
    if plan.goal:
        blocks.append(Callout(plan.goal, phrase("What you want to do again")))
    blocks += [
        DefinitionList(
            (
                (phrase("For"), phrase("your {knees}", knees=knees)),
                (phrase("Written on"), dated(plan.written_on)),
                (phrase("Looked at again"), dated(plan.review_on)),
            )
        ),
        Heading(phrase("How a routine goes")),
        Numbered(_course(plan, trial, closed)),
        *(() if trial is None else _trial_words(trial)),
        *_check_move(move, closed=closed),
        *_first(plan, catalogue, "check_move", for_helper=for_helper),
        Text(pain_scale_words()),
        Heading(phrase("When to stop a step")),
        Bulleted(
            (
                phrase(
                    "Hands: the pain goes above {n}, or more than {more} above the pain at rest.",
                    n=ceiling_of("hands", plan),
                    more=plan.stop_amount,
                ),
                phrase("Exercises: the pain goes above {n}.", n=ceiling_of("exercise", plan)),
                phrase("You feel that something is not right."),
            )
        ),
        Heading(phrase("A bad day")),
        *_bad_day(plan),
    ]
    return BookletPage(phrase("Your home routine"), tuple(blocks))


def _check_move(move: CheckMove, *, closed: frozenset[Part]) -> tuple[Block, ...]:
    if "check_move" in closed:
        return (
            Heading(phrase("No check move")),
            Text(phrase("Do not stand up, step or squat for a score.")),
        )
    return (
        Heading(phrase("Your check move")),
        Text(move_sentence(move)),
        *(Text(line) for line in depth_lines(move.depth)),
    )


def _bad_day(plan: Plan) -> tuple[Block, ...]:
    """From which numbers on a day is a bad one, and what is done on it."""
    limit = rest_pain_limit(plan)
    lines = [phrase("Pain at rest above {n}: no hands, nothing done standing.", n=limit)]
    if plan.bad_day_mark is not None and not plan.bad_day_mark_off:
        lines.append(
            phrase(
                "{n} or more at the check move: do not do it again. One round of hands, no new "
                "tape, nothing done standing.",
                n=plan.bad_day_mark,
            )
        )
    lines.append(phrase("Three bad routines running: call your clinic."))
    words = () if plan.flare_plan is None else (Callout(plan.flare_plan, phrase("In a bad spell")),)
    return Bulleted(tuple(lines)), *words


def _trial(plan: Plan, today: date) -> TapeTrial | None:
    """The tape trial that runs or is to come; one that is not as it was fixed is not run."""
    trials = [trial_schedule(plan, side) for side in plan.sides]
    ahead = any(trial is not None and today <= trial.last_day for trial in trials)
    return plan.trial if ahead else None


def _trial_words(trial: TapeTrial) -> tuple[Block, ...]:
    """What the trial asks; never its order, which nobody knows beforehand."""
    return (
        Heading(phrase("Your tape trial")),
        Text(
            phrase(
                "From {first} to {last} some days are for tape, and some are not.",
                first=dated(trial.first_day),
                last=dated(planned(trial).last_day),
            )
        ),
        Bulleted(
            (
                phrase("Chance has set the order. Your computer tells you each day which it is."),
                phrase("On the days that count, the hands-on part rests."),
                phrase("On a day without the computer, leave the tape off."),
                phrase("Your skin comes first. It may end a day with tape at any time."),
            )
        ),
    )


def _course(plan: Plan, trial: TapeTrial | None, closed: frozenset[Part]) -> tuple[str, ...]:
    steps = [phrase("Read both pages for the fridge. Is anything new? Then stop and call.")]
    hands = bool(plan.techniques) and "hands" not in closed
    if "check_move" in closed:
        steps.append(phrase("Sit still. Write down how much the knee hurts at rest."))
        if hands:
            steps.append(phrase("Do the hands-on steps in this booklet once, one after the other."))
    else:
        steps.append(phrase("Do the check move and write the score down."))
    if hands and "check_move" not in closed:
        steps += [
            phrase("Do the check move again and write the score down."),
            phrase(
                "Is less than {n} % of the pain gone? Then do one more round, {rounds} at most.",
                n=plan.ease_target_percent,
                rounds=plan.rounds,
            )
            if plan.rounds > 1
            else phrase("Then the hands-on part is over for today."),
        ]
    if plan.exercises and not {"seated", "standing"} <= closed:
        steps.append(phrase("Do your exercises."))
    if plan.tape.highest and "tape_on" not in closed and (trial is None or plan.side == "both"):
        steps.append(codes.WHEN_TAPE[plan.tape.when].step)
    if trial is not None:
        steps.append(
            phrase("{knee}: use tape only on the tape days of your trial.", knee=knee(trial.side))
        )
    return tuple(steps)


def _fridge(plan: Plan, catalogue: Catalogue) -> list[BookletPage]:
    """The two sides of a sheet: whom to call, with the signs of an emergency on the front and those
    to be seen with today on the back. On one page they would be too small to read there."""
    lines = phone_lines(plan.contacts)
    whom: Block = (
        Phones(phrase("Whom to call"), lines)
        if lines
        else Text(phrase("Your plan holds no numbers. Ask your clinic for them."), "strong")
    )
    mark = (Text(plan_mark(plan), "strong"),) if plan.practice else ()
    sides: tuple[tuple[str, Level], ...] = (
        (phrase("For the fridge"), "emergency"),
        (phrase("For the fridge, the back"), "today"),
    )
    return [
        BookletPage(
            heading,
            (
                *mark,
                whom,
                Heading(codes.LEVELS[level].heading),
                Bulleted(signs_in_words(catalogue, level)),
                Text(phrase("Not sure? Then act as if it is true."), "strong"),
            ),
            one_page=True,
        )
        for heading, level in sides
    ]


def _begin(plan: Plan, catalogue: Catalogue, *, for_helper: bool) -> BookletPage:
    """Hands and skin made ready, and what is known of what the plan holds."""
    blocks: list[Block | Pictures] = []
    if plan.techniques:
        told = hands_ready(plan, catalogue, partial(_words, for_helper=for_helper))
        blocks += [
            Heading(phrase("Make your hands ready")),
            Numbered(tuple(sentence for _, sentence in told)),
        ]
    blocks += known_blocks(catalogue, plan)
    return BookletPage(phrase("Before you begin"), tuple(blocks))


def _words(step: Step, *, for_helper: bool) -> str:
    return step.helper if for_helper else step.person


def _told(step: Step, *, for_helper: bool) -> str:
    return phrase(_words(step, for_helper=for_helper))


def _viewpoint(*, for_helper: bool) -> Viewpoint:
    return "helper" if for_helper else "own"


def _technique(
    plan: Plan, technique: Technique, side: Side, catalogue: Catalogue, *, for_helper: bool
) -> BookletPage:
    sheet = catalogue.technique(technique.technique)
    seen = _viewpoint(for_helper=for_helper)
    judged = caution_judgement(plan, "hands", catalogue.policy, side=side)
    pressure = catalogue.pressure(sheet.pressure, lightest="lightest_hands" in judged.asks)
    blocks: list[Block | Pictures] = [
        *_first(plan, catalogue, "hands", for_helper=for_helper),
        Text(phrase(sheet.position_helper if for_helper else sheet.position)),
        Pictures(
            tuple(technique_picture(sheet, plan, side, seen, frame) for frame in (0.0, 1.0)),
            (phrase("1. One way."), phrase("2. And the other way."))
            if sheet.motion == "shift"
            else (phrase("1. It begins like this."), phrase("2. It ends like this.")),
        ),
        DefinitionList(
            (
                (phrase("Hand"), phrase(sheet.contact_words)),
                (
                    phrase("Pressure"),
                    phrase(
                        "{word}: {meaning}",
                        word=phrase(pressure.word),
                        meaning=inside(phrase(pressure.explanation)),
                    ),
                ),
                (
                    phrase("How long"),
                    phrase(
                        "{seconds} seconds, once",
                        "{seconds} seconds, {n} times",
                        n=technique.repeats,
                        seconds=technique.seconds,
                    ),
                ),
            )
        ),
        Numbered(tuple(_told(step, for_helper=for_helper) for step in sheet.steps)),
    ]
    blocks.append(
        Callout(stop_words(sheet.stop_for, ceiling_of("hands", plan)), phrase("Stop this step if"))
    )
    return BookletPage(_headed(side, phrase(sheet.title)), tuple(blocks))


def _first(plan: Plan, catalogue: Catalogue, *parts: Part, for_helper: bool) -> tuple[Block, ...]:
    """What the cautions of the plan ask for before these parts, and all the while."""
    judged = [caution_judgement(plan, part, catalogue.policy) for part in parts]
    asks = (ask for one in judged if not one.by_the_plan for ask in one.asks)
    told = [ask for ask in asks if ask not in SAID_ELSEWHERE]
    said = asked_for(told, helping=for_helper, tape="tape_on" in parts)
    return (Heading(phrase("First")), Bulleted(said)) if said else ()


def _exercises(
    plan: Plan,
    exercises: tuple[Exercise, ...],
    side: Side,
    catalogue: Catalogue,
    *,
    for_helper: bool,
) -> BookletPage:
    parts = dict.fromkeys(
        catalogue.policy.exercise_part(exercise.exercise) for exercise in exercises
    )
    blocks: list[Block | Pictures] = [*_first(plan, catalogue, *parts, for_helper=for_helper)]
    for exercise in exercises:
        sheet = catalogue.exercise(exercise.exercise)
        often = phrase("{n} time", "{n} times", n=exercise.repeats)
        if exercise.sets > 1:
            often = phrase("{often}, {sets} rounds", often=often, sets=exercise.sets)
        rows = [(phrase("How often"), often)]
        if exercise.hold_seconds:
            rows.append(
                (
                    phrase("Hold"),
                    phrase("{n} second", "{n} seconds", n=exercise.hold_seconds),
                )
            )
        if exercise.sets > 1:
            rows.append((phrase("Between rounds"), rest_between(sheet)))
        if sheet.needs:
            rows.append((phrase("You need"), joined(phrase(need) for need in sheet.needs)))
        blocks += [
            Heading(phrase(sheet.title)),
            Text(phrase(sheet.position_helper if for_helper else sheet.position)),
            DefinitionList(tuple(rows)),
            Numbered(tuple(_told(step, for_helper=for_helper) for step in sheet.steps)),
            Callout(
                stop_words(sheet.stop_for, ceiling_of("exercise", plan)),
                phrase("Stop this exercise if"),
            ),
        ]
    return BookletPage(_headed(side, phrase("Exercises")), tuple(blocks))


def _tape_allowed(plan: Plan, side: Side, catalogue: Catalogue, today: date) -> bool:
    judged = caution_judgement(plan, "tape_on", catalogue.policy, side=side, today=today)
    bare = plan.tape.stay_bare_from
    return plan.tape.highest > 0 and not judged.by_the_plan and (bare is None or today < bare)


def _tape(plan: Plan, side: Side, catalogue: Catalogue, *, for_helper: bool) -> list[BookletPage]:
    told = catalogue.tape_steps
    seen = _viewpoint(for_helper=for_helper)
    before = BookletPage(
        _headed(side, phrase("Before the tape")),
        (
            *_first(plan, catalogue, "tape_on", for_helper=for_helper),
            *(
                Pictures(
                    (posture_picture(step.posture, side, plan.tape.knee_bend_degrees),),
                    (phrase("Sit like this."),),
                )
                for step in told.before
                if step.posture is not None
            ),
            Numbered(tuple(_told(step, for_helper=for_helper) for step in told.before)),
            *lotion_off(plan, catalogue, partial(_words, for_helper=for_helper)),
            Callout(" ".join(phrase(sentence) for sentence in told.never), phrase("Never")),
        ),
    )
    pages = [before]
    for stage in told.stages:
        if stage.stage > plan.tape.highest:
            continue
        pages.append(
            BookletPage(
                _headed(side, phrase(stage.title)),
                (
                    _strip_pictures(plan, side, stage, seen, "lay"),
                    Numbered(tuple(_told(step, for_helper=for_helper) for step in stage.steps)),
                    *(
                        [Text(_told(told.write_off_day, for_helper=for_helper), "strong")]
                        if stage.stage == plan.tape.highest
                        else []
                    ),
                    *_skin_drawn(plan, side, stage, seen),
                ),
            )
        )
    return pages


def _strip_pictures(
    plan: Plan, side: Side, stage: TapeStageSteps, seen: Viewpoint, moment: TapeMoment
) -> Pictures:
    """The strips of a stage side by side, at one moment of each."""
    strips = tuple(dict.fromkeys(step.piece for step in stage.steps if step.piece))
    return Pictures(
        tuple(tape_picture(plan, side, stage.stage, seen, piece, moment) for piece in strips),
        tuple(
            phrase("Strip {n}", n=piece) if piece <= 2 else phrase("Piece {n}", n=piece)
            for piece in strips
        ),
    )


def _skin_drawn(
    plan: Plan, side: Side, stage: TapeStageSteps, seen: Viewpoint
) -> list[Block | Pictures]:
    """How the skin is drawn for the strips of a stage, where it is."""
    if not any(step.moment == "draw" for step in stage.steps):
        return []
    return [
        Heading(phrase("How to draw the skin")),
        *(Text(said) for said in pull_sentences(plan.tape)),
        _strip_pictures(plan, side, stage, seen, "draw"),
    ]


def _removal(plan: Plan, catalogue: Catalogue, *, for_helper: bool) -> BookletPage:
    told = catalogue.tape_steps
    look = tape_looked_at_daily(plan, catalogue.policy)
    return BookletPage(
        phrase("While the tape is on, and taking it off"),
        (
            Bulleted(tuple(phrase(s) for s in (*told.after_on, *told.while_worn))),
            Callout(
                " ".join(phrase(sentence) for sentence in told.take_off_for),
                phrase("Take it off now if"),
            ),
            *([Callout(daily_look(helping=for_helper), phrase("Every day"))] if look else []),
            Heading(phrase("Taking it off")),
            Numbered(tuple(_told(step, for_helper=for_helper) for step in told.removal)),
            Text(phrase("Look at the skin again after {n} minutes.", n=told.skin_again_minutes)),
        ),
    )


def _headed(side: Side, words: str) -> str:
    return phrase("{knee}: {words}", knee=knee(side), words=words)


# ---------------------------------------------------------------- blank days


def _days(plan: Plan, side: Side) -> DayTable:
    tapes = plan.tape.highest > 0
    rows = [
        DayRow(phrase("Day, as 2026-11-25"), "day"),
        DayRow(phrase("Average pain since this time yesterday, 0 to 10"), "pain_average"),
        DayRow(phrase("Worst pain since this time yesterday, 0 to 10"), "pain_worst"),
        DayRow(phrase("Pain now, 0 to 10"), "pain_now"),
        DayRow(phrase("Morning stiffness, minutes"), "stiffness_min"),
        DayRow(phrase("Check move before, 0 to 10"), "before"),
    ]
    if plan.techniques:
        rows += [
            DayRow(phrase("Hands-on steps done: 1 yes, 0 no"), "steps_done"),
            DayRow(phrase("Check move after hands, 0 to 10"), "after_hands"),
        ]
    if plan.exercises:
        rows.append(DayRow(phrase("Exercises done: 1 yes, 0 no"), "exercise_done"))
    if tapes:
        rows += [
            DayRow(phrase("Tape put on: 1 side strips, 2 short pieces too"), "tape_stage"),
            DayRow(phrase("Check move after tape, 0 to 10"), "after_tape"),
            DayRow(phrase("Tape worn today: 1 yes, 0 no"), "tape_worn"),
            DayRow(phrase("Skin: clear, pink, red, itchy, blister or broken"), "skin"),
        ]
    rows.append(DayRow(phrase("Extra pain medicine: 1 yes, 0 no"), "medicine"))
    rows += [
        DayRow(phrase("{label}: 0 cannot, 10 as before", label=label), f"activity:{label}")
        for label in plan.activities
    ]
    rows += [
        DayRow(
            phrase("{label}: how much, in {unit}", label=amount.label, unit=amount.unit),
            f"amount:{amount.label}:{amount.unit}",
        )
        for amount in plan.amounts
    ]
    rows.append(DayRow(phrase("Note"), "note"))
    return DayTable(
        heading=phrase("Days without a computer: {knee}", knee=this_knee(side)),
        lead=(
            phrase("Write in pen. Leave a box empty when you do not know."),
            phrase(
                "To type it in later: one line a day, the small word is the column. "
                "The side is {side}.",
                side=side,
            ),
        ),
        rows=tuple(rows),
    )
