"""The pages behind the first one of a review, as tables: each a heading row and rows of words.

Every function takes the entries that count and one knee, unless it says otherwise; what belongs to
the person is there for either knee. None is "not recorded".
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime, timedelta

from companion.care.adherence import (
    days_a_week,
    days_done,
    plan_in_force,
    plan_on,
    rest_days,
)
from companion.care.catalogue import Catalogue
from companion.care.closed_days import closed_spans, days_closed_for
from companion.care.closures import still_holds
from companion.care.day_answers import value_of
from companion.care.days import diary_day, is_late
from companion.care.finding import side_of
from companion.care.history import is_withdrawn, trees
from companion.care.levels import PARTS
from companion.care.policy import Policy
from companion.care.records import (
    AnyEntry,
    DayAnswer,
    DayPage,
    Event,
    GateAnswer,
    Journey,
    Measurement,
    MoveRole,
    Outing,
    OutingKnee,
    Part,
    PatchTest,
    Plan,
    Question,
    ScoringTaught,
    Session,
    Side,
    TapeOff,
    TapeOn,
    WarningSign,
    newest_in_force,
)
from companion.care.tape_applications import (
    TapeApplication,
    tape_applications,
    taped_days,
    wear_clock,
    worn_hours,
)
from companion.evidence.figures import Findings
from companion.evidence.paced_amounts import amounts_done, paced_amounts
from companion.presentation.home.record_view import (
    RecordTable,
    medicine_by_day,
    scores_of,
    sessions_in_order,
)
from companion.presentation.language import codes
from companion.presentation.language.code_table import capital, clinic_words
from companion.presentation.language.field_words import key_words
from companion.presentation.language.figures_in_words import amount_of, one_decimal
from companion.presentation.language.pacing_words import week_headers, week_rows
from companion.presentation.language.phrases import (
    clock_time,
    in_figures,
    joined,
    listed,
    parted,
    phrase,
    short_day,
)
from companion.presentation.language.plan_changes import depth_words
from companion.presentation.language.verdict_words import able_words
from companion.presentation.language.words import (
    became_words,
    journey_words,
    question_words,
    stage,
    yes_or_no,
)


def _score(value: int | None) -> str | None:
    return None if value is None else str(value)


class _Days:
    """Days in words, with their year where the entries are of more than one."""

    def __init__(self, entries: Iterable[AnyEntry]) -> None:
        self._with_year = len({entry.for_day.year for entry in entries}) > 1

    def __call__(self, day: date) -> str:
        words = short_day(day)
        return phrase("{day} {year}", day=words, year=day.year) if self._with_year else words

    def at(self, at: datetime) -> str:
        """A day and the time on it."""
        return phrase("{day} {time}", day=self(at.date()), time=clock_time(at))


# ---------------------------------------------------------------- sessions


def sessions_table(
    entries: Sequence[AnyEntry], plans: Sequence[Plan], side: Side, first_day: date, last_day: date
) -> RecordTable:
    """Every session, newest first, with what was stopped, and where the move was not the plan's."""
    said = _Days(entries)
    return RecordTable.of(
        reversed(sessions_in_order(entries, side, first_day, last_day)),
        (phrase("Day"), lambda session: said(session.for_day)),
        (phrase("Where"), lambda session: codes.PLACES[session.place]),
        (phrase("Before"), lambda session: _moved(session, "before")),
        (phrase("After hands"), lambda session: _moved(session, "after_hands")),
        (phrase("After tape"), lambda session: _moved(session, "after_tape")),
        (phrase("Rounds"), lambda session: str(len(session.rounds)) if session.rounds else None),
        (phrase("Exercises"), _exercised),
        (phrase("Ended"), _ended),
        (phrase("Done differently"), lambda session: _differently(session, plans)),
    )


def _moved(session: Session, role: MoveRole) -> str | None:
    """The last score of the check move in a part of a session, with the stage of tape on then."""
    last = next((move for move in reversed(session.moves) if move.role == role), None)
    if last is None or role != "after_tape":
        return None if last is None else _score(last.score)
    return phrase("{score}, {stage}", score=last.score, stage=stage(last.stage or 1))


def _exercised(session: Session) -> str | None:
    if not session.exercises:
        return None
    done = sum(step.outcome == "done" for step in session.exercises)
    return phrase("{done} of {n}", done=done, n=len(session.exercises))


def _differently(session: Session, plans: Sequence[Plan]) -> str | None:
    asked = plan_on(plans, session.for_day).check_move.depth
    other = session.depth is not None and session.depth != asked
    words = depth_words(session.depth) if other and session.depth is not None else ""
    if not session.comparable:
        words = phrase("done differently, not compared; {how}", how=words).rstrip("; ")
    return words or None


def _ended(session: Session) -> str:
    ended = codes.SESSION_ENDS[session.ended]
    stopped = [
        step.pain
        for part in (*(r.steps for r in session.rounds), session.exercises)
        for step in part
        if step.outcome == "stopped" and step.pain is not None
    ]
    if stopped:
        ended = phrase("{ended}; a step stopped at {pain}", ended=ended, pain=max(stopped))
    return phrase("{ended}; put right later", ended=ended) if session.replaces else ended


# ---------------------------------------------------------------- activities and amounts


def activities_table(found: Findings) -> RecordTable:
    """Each activity: the means of the two windows, and what the model of all days tells."""
    return RecordTable.of(
        found.activities,
        (phrase("Activity, 10 is as before"), lambda each: each.label),
        (phrase("First 14 days"), lambda each: mean_words(each.baseline, each.baseline_days)),
        (phrase("Last 14 days"), lambda each: mean_words(each.latest, each.latest_days)),
        (phrase("All days"), lambda each: " ".join(able_words(each.verdict, each.model))),
    )


def mean_words(mean: float | None, days: int) -> str | None:
    """A mean, and of how many days."""
    if mean is None:
        return None
    return phrase("{mean} (n = {n} day)", "{mean} (n = {n} days)", n=days, mean=one_decimal(mean))


def amounts_table(
    entries: Sequence[AnyEntry], plans: Sequence[Plan], first_day: date, last_day: date
) -> RecordTable:
    """Week by week, newest first: the most of each amount on one day, and on how many days."""
    said = _Days(entries)
    plan = newest_in_force(plans)
    labels = [(amount.label, amount.unit) for amount in plan.amounts]
    done = amounts_done(entries, first_day, last_day)
    labels += [key for key in done if key not in labels]
    goals = {(a.label, a.unit): a for a in plan.amounts}
    headers = [phrase("Week from")]
    for label, unit in labels:
        goal = goals.get((label, unit))
        headers.append(
            phrase("{label}, {unit}", label=label, unit=unit)
            if goal is None
            else phrase("{label}, {unit}, goal {goal:g}", label=label, unit=unit, goal=goal.goal)
        )
    if not labels:
        return RecordTable((headers[0],), ())
    rows = []
    for monday in reversed(weeks(first_day, last_day)):
        cells: list[str | None] = [said(monday)]
        for key in labels:
            found = [
                amount
                for day, amount in done.get(key, {}).items()
                if monday <= day < monday + timedelta(days=7)
            ]
            cells.append(
                phrase(
                    "most {most:g}, {n} day",
                    "most {most:g}, {n} days",
                    n=len(found),
                    most=max(found),
                )
                if found
                else None
            )
        rows.append(tuple(cells))
    return RecordTable(tuple(headers), tuple(rows))


def paced_tables(
    entries: Sequence[AnyEntry], plans: Sequence[Plan], first_day: date, last_day: date
) -> tuple[tuple[str, RecordTable], ...]:
    """The weeks of each paced amount of the plan in force, newest first, with a heading that says
    what the plan holds."""
    return tuple(
        (
            phrase(
                "{label}: usual {baseline:g} {unit}, step {step} %, goal {goal:g} {unit}",
                label=paced.planned.label,
                baseline=paced.planned.baseline,
                unit=paced.planned.unit,
                step=paced.planned.step_percent,
                goal=paced.planned.goal,
            ),
            RecordTable(
                week_headers(paced.planned.unit), week_rows(paced.weeks, first_day, last_day)
            ),
        )
        for paced in paced_amounts(entries, plans, last_day)
    )


def pacing_source() -> str:
    """Where the rule of the paced amounts comes from."""
    return phrase(
        "Weeks of seven days from the plan that set the amount. Start: 80 % of the usual; step: "
        "that share of the usual each week, up to the goal. Not reached on any day, not written, "
        "or a recorded flare of a knee of the plan in that week: the same again. Common practice, "
        "no source, all of it."
    )


def weeks(first_day: date, last_day: date) -> list[date]:
    """The Mondays of the weeks that hold the days."""
    monday = first_day - timedelta(days=first_day.weekday())
    return [monday + timedelta(days=day) for day in range(0, (last_day - monday).days + 1, 7)]


# ---------------------------------------------------------------- tape


def tape_table(entries: Sequence[AnyEntry], plans: Sequence[Plan], side: Side) -> RecordTable:
    """Every wear, newest first, with who put it on and the skin before and after.

    What tape did to the skin comes before what is the same in every row: large text hides the last.
    """
    said = _Days(entries)
    ons = {e.id: e for e in entries if isinstance(e, TapeOn) and e.side == side}
    offs = {e.id: e for e in entries if isinstance(e, TapeOff) and e.side == side}

    def on_of(wear: TapeApplication) -> TapeOn:
        return ons[wear.on_ids[0]]

    def off_of(wear: TapeApplication) -> TapeOff | None:
        return None if wear.off_id is None else offs.get(wear.off_id)

    def taken_off(wear: TapeApplication) -> str:
        if wear.off_at is not None:
            return said.at(wear.off_at)
        return phrase("not known") if wear.ended else phrase("still on")

    def hours(wear: TapeApplication) -> str | None:
        worn = worn_hours(wear)
        return None if worn is None else in_figures(worn, ".0f")

    def skin_after(wear: TapeApplication) -> str | None:
        off = off_of(wear)
        return None if off is None else _skin_after(off)

    return RecordTable.of(
        reversed(tape_applications(entries, side)),
        (phrase("On", context="tape"), lambda wear: said.at(wear.on_at)),
        (phrase("Off", context="tape"), taken_off),
        (phrase("Hours"), hours),
        (phrase("Skin after"), skin_after),
        (phrase("Note"), lambda wear: _noted(wear, off_of(wear), plans)),
        (phrase("Stage"), lambda wear: stage(wear.stage)),
        (phrase("Skin before"), lambda wear: clinic_words(codes.SKIN, on_of(wear).skin_before)),
        (phrase("Make"), lambda wear: wear.make),
        (phrase("Put on by"), lambda wear: codes.WRITERS[on_of(wear).by].clinic),
    )


def _noted(wear: TapeApplication, off: TapeOff | None, plans: Sequence[Plan]) -> str | None:
    """Whether it was for an outing, off too late or by itself, and what was felt from it."""
    due = wear_clock(
        wear,
        plan_on(plans, diary_day(wear.on_at)),
        wear.off_at or wear.on_at,
        wear.on_at.tzinfo,  # type: ignore[arg-type]
    )
    notes = []
    if wear.for_outing:
        notes.append(phrase("outing"))
    if wear.off_at is not None and due.hours_left < 0:
        notes.append(phrase("off {hours:.0f} h after due", hours=-due.hours_left))
    if off is not None and off.came_off_by_itself:
        notes.append(phrase("came off by itself"))
    if off is not None and off.felt:
        notes.append(_felt(off))
    return listed(notes) or None


def _skin_after(off: TapeOff) -> str | None:
    at_once, later = (
        clinic_words(codes.SKIN, look) for look in (off.skin_at_once, off.skin_after_30_min)
    )
    if later is not None and later != at_once:
        return phrase("{at_once}; 30 min later {later}", at_once=at_once or "–", later=later)
    return at_once


def _felt(off: TapeOff) -> str:
    """What was felt from the tape, why it came off."""
    return phrase("felt {what}", what=joined(codes.FEELINGS[feeling].home for feeling in off.felt))


def patch_table(entries: Sequence[AnyEntry]) -> RecordTable:
    """Every patch test."""
    said = _Days(entries)

    def first_look(test: PatchTest) -> str | None:
        if test.tolerated_in_clinic:
            return phrase("tolerated in the clinic")
        return clinic_words(codes.SKIN, test.first_skin)

    return RecordTable.of(
        [entry for entry in reversed(entries) if isinstance(entry, PatchTest)],
        (phrase("Make"), lambda test: test.make),
        (phrase("Placed"), lambda test: said.at(test.happened_at)),
        (phrase("Read at 24 h"), first_look),
        (phrase("Read later"), lambda test: clinic_words(codes.SKIN, test.second_skin)),
    )


def outings_table(entries: Sequence[AnyEntry], side: Side) -> RecordTable:
    """Every outing, newest first."""
    said = _Days(entries)

    def how_much(outing: Outing) -> str | None:
        done = outing.amount
        if done is None:
            return None
        return amount_of(done.amount, done.unit)

    return RecordTable.of(
        [
            (outing, knee)
            for outing in reversed(entries)
            if isinstance(outing, Outing) and (knee := outing.of(side)) is not None
        ],
        (phrase("Day"), lambda of: said(of[0].for_day)),
        (phrase("What for"), lambda of: of[0].what_for),
        (phrase("How much"), lambda of: how_much(of[0])),
        (phrase("Tape"), lambda of: yes_or_no(of[1].tape_on is not None)),
        (phrase("Ended for"), lambda of: clinic_words(codes.OUTING_ENDED, of[0].ended_because)),
        (phrase("Worst pain"), lambda of: _score(of[1].pain_worst)),
        (phrase("Next morning"), lambda of: clinic_words(codes.MORNINGS, of[1].next_morning)),
    )


# ---------------------------------------------------------------- the calendar


def calendar_table(
    entries: Sequence[AnyEntry],
    plans: Sequence[Plan],
    side: Side,
    first_day: date,
    last_day: date,
    policy: Policy,
) -> RecordTable:
    """Week by week, newest first: what each day held, in words, and what was prescribed."""
    said = _Days(entries)
    hands, exercise = (days_done(entries, side, "hands"), days_done(entries, side, "exercise"))
    spans = closed_spans(policy, plans, entries, side, first_day, last_day)
    done: dict[Part, frozenset[date]] = {"hands": hands, "seated": exercise}
    closed = {part: days_closed_for(spans, part, done.get(part, ())) for part in PARTS}
    resting = rest_days(entries, side, plans)
    cap = max(plan.tape.cap_hours for plan in plans)
    taped = taped_days(entries, side, cap, last_day)
    headers = (
        phrase("Week from"),
        *(phrase(day) for day in ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")),
        phrase("Asked a week"),
    )
    rows = []
    for monday in reversed(weeks(first_day, last_day)):
        cells: list[str | None] = [said(monday)]
        for step in range(7):
            day = monday + timedelta(days=step)
            if not first_day <= day <= last_day:
                cells.append("")
                continue
            words = [
                word
                for word, there in (
                    (phrase("hands"), day in hands),
                    (phrase("exercise"), day in exercise),
                    (phrase("taped"), day in taped),
                    (phrase("rest"), day in resting),
                    (phrase("all closed"), day in closed["seated"]),
                    (phrase("no hands"), day in closed["hands"] - closed["seated"]),
                    (phrase("no standing"), day in closed["standing"] - closed["seated"]),
                )
                if there
            ]
            cells.append("\n".join(words) or None)
        days = (monday + timedelta(days=step) for step in range(7))
        asked = (plan_in_force(plans, side, day) for day in days if first_day <= day <= last_day)
        plan = next((each for each in asked if each is not None), None)
        cells.append(
            phrase("no plan")
            if plan is None
            else phrase(
                "hands {hands}\nexercise {exercise}",
                hands=days_a_week(plan, "hands"),
                exercise=days_a_week(plan, "exercise"),
            )
        )
        rows.append(tuple(cells))
    return RecordTable(headers, tuple(rows))


# ---------------------------------------------------------------- warnings, falls, stairs


def warnings_table(entries: Sequence[AnyEntry], catalogue: Catalogue) -> RecordTable:
    """Every sign that was ticked, newest first, with the card that was shown for it."""
    said = _Days(entries)
    cards = {card.id: card for card in catalogue.cards.cards}

    def of_whom(warning: WarningSign) -> str:
        return joined(codes.SIDES[side].clinic for side in warning.sides) or phrase("person")

    def card_shown(warning: WarningSign) -> str:
        card = cards.get(warning.card)
        shown = key_words("card", warning.card, catalogue)
        if card is not None and card.actions:
            shown = phrase("{heading}: {actions}", heading=shown, actions=" ".join(card.actions))
        level = capital(codes.LEVELS[warning.level].clinic)
        if shown.lower().startswith(level.lower()):
            return shown
        return phrase("{level}. {shown}", level=level, shown=shown)

    return RecordTable.of(
        [entry for entry in reversed(entries) if isinstance(entry, WarningSign)],
        (phrase("Day"), lambda warning: said(warning.for_day)),
        (phrase("Knee"), of_whom),
        (phrase("What was ticked"), lambda warning: key_words("sign", warning.sign, catalogue)),
        (phrase("Card that was shown"), card_shown),
        (phrase("Cleared"), lambda warning: _cleared(warning, said, catalogue)),
    )


def _cleared(warning: WarningSign, said: _Days, catalogue: Catalogue) -> str:
    """How it ended. What cannot clear it is told, and that it is open still."""
    still_open = still_holds(warning, catalogue.policy)
    words = list(became_words(warning.cleared, warning.told, warning.told_by))
    if not words:
        return phrase("still open") if still_open else phrase("for that session alone")
    words += [name for name in (warning.told_name, warning.cleared_by) if name is not None]
    on = warning.cleared_on or warning.told_on
    if on is not None:
        words.append(said(on))
    if still_open:
        words.append(phrase("still open"))
    return listed(words)


def falls_table(entries: Sequence[AnyEntry]) -> RecordTable:
    """Every fall, newest first, with what was written of it."""
    said = _Days(entries)
    return RecordTable.of(
        [e for e in reversed(entries) if isinstance(e, Event) and e.what == "fall"],
        (phrase("Day"), lambda fall: said(fall.for_day)),
        (
            phrase("Knee"),
            lambda fall: clinic_words(codes.SIDES, fall.side) or phrase("not said"),
        ),
        (phrase("What was written"), lambda fall: fall.note),
    )


def stopped_steps_table(
    found: Findings, entries: Sequence[AnyEntry], catalogue: Catalogue
) -> RecordTable:
    """Every step that ended in pain, newest first, with the highest pain the plan lets pass."""
    said = _Days(entries)
    return RecordTable.of(
        reversed(found.stopped_steps),
        (phrase("Day"), lambda step: said(step.day)),
        (phrase("Step"), lambda step: key_words("step", step.step, catalogue)),
        (phrase("Pain"), lambda step: _score(step.pain)),
        (phrase("At rest"), lambda step: _score(step.rest_pain)),
        (phrase("Limit"), lambda step: _score(step.limit_points) or phrase("hurt too much")),
    )


def stairs_table(entries: Sequence[AnyEntry], first_day: date, last_day: date) -> RecordTable:
    """How stairs were taken, counted over four weeks at a time, newest first."""
    said = _Days(entries)
    ways: dict[date, str] = {}
    for page in entries:
        inside = first_day <= page.for_day <= last_day
        if inside and isinstance(page, DayPage) and page.stairs is not None:
            ways[page.for_day] = page.stairs

    def taken(way: str, start: date, end: date) -> str | None:
        told = [each for day, each in ways.items() if start <= day <= end]
        return str(told.count(way)) if told else None

    return RecordTable.of(
        _four_weeks(first_day, last_day),
        (phrase("Four weeks to"), lambda weeks: said(weeks[1])),
        *(
            (capital(words.clinic), lambda weeks, way=way: taken(way, *weeks))
            for way, words in codes.STAIRS.items()
        ),
    )


def mornings_table(
    entries: Sequence[AnyEntry], side: Side, first_day: date, last_day: date
) -> RecordTable:
    """Nights, swelling and stiffness of one knee over four weeks at a time, newest first, and on
    how many days one of them was said to be as before."""
    said = _Days(entries)
    pages = [page for page in entries if isinstance(page, DayPage) and page.side == side]
    spans = [
        (end, [page for page in pages if start <= page.for_day <= end])
        for start, end in _four_weeks(first_day, last_day)
    ]
    return RecordTable.of(
        spans,
        (phrase("Four weeks to"), lambda span: said(span[0])),
        (phrase("Woken at night"), lambda span: _of_days(span[1], "woken", 1)),
        (
            phrase("Swollen a little"),
            lambda span: _of_days(span[1], "swelling", 1),
        ),
        (phrase("Swollen a lot"), lambda span: _of_days(span[1], "swelling", 2)),
        (
            phrase("Stiff over 30 min"),
            lambda span: _of_days(span[1], "stiff", *range(31, 721)),
        ),
        (phrase("Longest, min"), lambda span: _score(max(_told(span[1], "stiff"), default=None))),
        (
            phrase("As before"),
            lambda span: str(sum(bool(page.as_before) for page in span[1]) or "") or None,
        ),
    )


def _told(pages: Iterable[DayPage], answer: DayAnswer) -> list[int]:
    values = (value_of(page, answer) for page in pages)
    return [value for value in values if value is not None]


def _of_days(pages: Sequence[DayPage], answer: DayAnswer, *counted: int) -> str | None:
    """On how many of the days it was given an answer was one of those `counted`."""
    told = _told(pages, answer)
    return phrase("{n} of {of}", n=sum(map(counted.count, told)), of=len(told)) if told else None


def _four_weeks(first_day: date, last_day: date) -> Iterator[tuple[date, date]]:
    """Four weeks at a time, the newest first; the oldest may begin before `first_day`."""
    end = last_day
    while end >= first_day:
        start = end - timedelta(days=27)
        yield start, end
        end = start - timedelta(days=1)


# ---------------------------------------------------------------- medicine, care, questions, notes


def care_table(entries: Sequence[AnyEntry]) -> RecordTable:
    """Dated events but falls, and measures, newest first."""
    said = _Days(entries)
    rows: list[tuple[date, str, str | None, str | None]] = []
    for entry in entries:
        if isinstance(entry, Event) and entry.what != "fall":
            rows.append(
                (
                    entry.for_day,
                    codes.EVENTS[entry.what],
                    clinic_words(codes.SIDES, entry.side),
                    entry.note,
                )
            )
        elif isinstance(entry, Journey):
            rows.append((entry.for_day, phrase("journey"), None, journey_words(entry)))
        elif isinstance(entry, Measurement):
            what = codes.TESTS[entry.test].clinic
            words = phrase("{n}, with arms", n=entry.count) if entry.arms_used else str(entry.count)
            if entry.label:
                words = phrase("{label}: {count}", label=entry.label, count=words)
            rows.append((entry.for_day, what, None, words))
    return RecordTable(
        (phrase("Day"), phrase("What"), phrase("Knee"), phrase("What was written")),
        tuple((said(day), what, side, words) for day, what, side, words in reversed(rows)),
    )


def medicine_table(entries: Sequence[AnyEntry], first_day: date, last_day: date) -> RecordTable:
    """Extra pain medicine, week by week, newest first."""
    said = _Days(entries)
    taken = medicine_by_day(entries, first_day, last_day)

    def days_with(monday: date) -> str | None:
        inside = [yes for day, yes in taken.items() if 0 <= (day - monday).days < 7]
        if not inside:
            return None
        return phrase("{yes} of {n} answered", yes=sum(inside), n=len(inside))

    return RecordTable.of(
        reversed(weeks(first_day, last_day)),
        (phrase("Week from"), said),
        (phrase("Days with extra pain medicine"), days_with),
    )


def questions_table(entries: Sequence[AnyEntry]) -> RecordTable:
    """What the person asks, newest first."""
    said = _Days(entries)
    return RecordTable.of(
        [entry for entry in reversed(entries) if isinstance(entry, Question)],
        (phrase("Day"), lambda asked: said(asked.for_day)),
        (phrase("Question"), question_words),
    )


def notes_table(entries: Sequence[AnyEntry], side: Side) -> RecordTable:
    """Notes of day pages meant for the clinic, newest first."""
    said = _Days(entries)
    pages = (e for e in reversed(entries) if isinstance(e, DayPage) and e.side == side)
    return RecordTable.of(
        [page for page in pages if page.note and not page.note_private],
        (phrase("Day"), lambda page: said(page.for_day)),
        (phrase("Note"), lambda page: page.note),
    )


# ---------------------------------------------------------------- every entry


def entries_table(
    every: Sequence[AnyEntry],
    first_day: date,
    last_day: date,
    catalogue: Catalogue,
    only: str = "all",
) -> RecordTable:
    """Every entry as it was written, corrected ones too, newest first.

    `every` are all entries, not only those that count. `only` is "all", "late" or "corrected".
    """
    said = _Days(every)
    shown = [
        (entry, tree, place)
        for tree in trees(every)
        for place, entry in enumerate(tree)
        if first_day <= entry.for_day <= last_day
        and (only != "late" or _late(entry))
        and (only != "corrected" or len(tree) > 1)
    ]
    shown.sort(key=lambda each: (each[0].for_day, each[0].written_at), reverse=True)

    def written(entry: AnyEntry) -> str:
        who = codes.WRITERS[entry.written_by].clinic
        return phrase("{at}, {who}", at=said.at(entry.written_at), who=who)

    return RecordTable.of(
        shown,
        (phrase("Day"), lambda each: said(each[0].for_day)),
        (phrase("What"), lambda each: capital(codes.KINDS[each[0].kind].clinic)),
        (phrase("Knee"), lambda each: clinic_words(codes.SIDES, side_of(each[0]))),
        (phrase("What it holds"), lambda each: held_words(each[0], said, catalogue)),
        (phrase("Written"), lambda each: written(each[0])),
        (phrase("State"), lambda each: _state(each[1], each[2], said)),
    )


def _late(entry: AnyEntry) -> bool:
    """Whether it was written late; what was kept on paper is typed when it is."""
    return is_late(entry.for_day, entry.written_at) and entry.written_by != "paper"


def _state(tree: Sequence[AnyEntry], place: int, said: _Days) -> str | None:
    words = []
    if _late(tree[place]):
        words.append(phrase("written late"))
    if place > 0:
        words.append(phrase("replaces the one of {at}", at=said.at(tree[place - 1].written_at)))
    why = getattr(tree[place], "withdrawn", None)
    if is_withdrawn(tree[place]) and why is not None:
        words.append(phrase("withdrawn: {why}", why=codes.WITHDRAWN[why].clinic))
    if place < len(tree) - 1:
        words.append(phrase("replaced {at}", at=said.at(tree[place + 1].written_at)))
    return parted(words) or None


def late_count(entries: Iterable[AnyEntry]) -> int:
    """How many entries were written late."""
    return sum(map(_late, entries))


def _last_fortnight(entry: DayPage | Session) -> str | None:
    said = clinic_words(codes.LAST_FORTNIGHT, entry.last_fortnight)
    return _named(phrase("the two weeks before"), said)


def held_words(entry: AnyEntry, said: _Days, catalogue: Catalogue) -> str | None:
    """What an entry holds, in one line."""
    parts: list[str | None] = []
    match entry:
        case DayPage():
            parts += [
                _named(phrase("average"), entry.pain_average),
                _named(phrase("worst"), entry.pain_worst),
                _named(phrase("now"), entry.pain_now),
                _named(phrase("medicine"), _yes(entry.medicine)),
                _named(phrase("skin"), clinic_words(codes.SKIN, entry.skin)),
                _named(phrase("stiff min"), entry.stiffness_minutes),
                _named(phrase("swelling"), clinic_words(codes.SWELLING, entry.swelling)),
                _named(phrase("night pain"), _yes(entry.night_pain)),
                _named(phrase("stairs"), clinic_words(codes.STAIRS, entry.stairs)),
                _last_fortnight(entry),
                *(f"{each.label} {each.score}" for each in entry.activities),
                *(f"{each.label} {amount_of(each.amount, each.unit)}" for each in entry.amounts),
                None if entry.note_private else entry.note,
            ]
        case Session():
            before, after, _ = scores_of(entry)
            parts += [
                _named(phrase("before"), before),
                _named(phrase("after"), after),
                _last_fortnight(entry),
                codes.SESSION_ENDS[entry.ended],
                *_gate_said(entry, catalogue),
            ]
        case TapeOn():
            parts += [stage(entry.stage), entry.make, said.at(entry.happened_at)]
        case TapeOff():
            at = None if entry.happened_at is None else said.at(entry.happened_at)
            parts += [at or phrase("time not known"), _skin_after(entry)]
            parts += [_felt(entry)] if entry.felt else []
        case Outing():
            parts.append(entry.what_for)
            parts += [_named(_worst_of(entry, knee), knee.pain_worst) for knee in entry.knees]
        case PatchTest():
            parts += [
                entry.make,
                clinic_words(codes.SKIN, entry.first_skin),
                clinic_words(codes.SKIN, entry.second_skin),
            ]
        case WarningSign():
            parts += [
                key_words("sign", entry.sign, catalogue).rstrip("."),
                codes.LEVELS[entry.level].clinic,
                _cleared(entry, said, catalogue) if entry.cleared or entry.told else None,
            ]
        case Event():
            parts += [codes.EVENTS[entry.what], entry.note]
        case ScoringTaught():
            parts += [entry.words]
        case Measurement():
            parts += [entry.label, str(entry.count)]
            parts += [phrase("with arms")] if entry.arms_used else []
        case Question():
            parts += [question_words(entry)]
        case Journey():
            parts += [journey_words(entry)]
        case GateAnswer():
            parts += [codes.GATE[entry.gate], *_gate_said(entry, catalogue)]
    return listed(part for part in parts if part) or None


def _gate_said(entry: Session | GateAnswer, catalogue: Catalogue) -> Iterator[str]:
    """What was not no at the gate, what was said of known signs, and of the routine before."""
    for reply in entry.gate_replies:
        if reply.said != "no":
            question = catalogue.short_gate.question(reply.question).words
            yield phrase(
                "{answer}: {asked}", answer=codes.GATE_REPLIES[reply.said].clinic, asked=question
            )
    for known in entry.known_replies:
        sign = key_words("sign", known.sign, catalogue).rstrip(".")
        yield phrase("{sign}: {said}", sign=sign, said=codes.KNOWN_SAID[known.said].clinic)
    if entry.after_last is not None:
        said = codes.AFTER_LAST[entry.after_last].clinic
        yield phrase("after the routine before: {said}", said=said)


def _yes(answer: bool | None) -> str | None:
    return None if answer is None else yes_or_no(answer)


def _worst_of(outing: Outing, knee: OutingKnee) -> str:
    """What the worst pain of an outing is called: with its knee, where it has both."""
    if len(outing.knees) == 1:
        return phrase("worst")
    return phrase("worst, {knee}", knee=codes.SIDES[knee.side].knee)


def _named(name: str, value: object) -> str | None:
    return None if value is None else f"{name} {value}"
