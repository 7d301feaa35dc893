"""The review of one diary: its pages, the head of each, and what every figure rests on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from companion.care.clocks import that_count
from companion.care.facts import Facts
from companion.care.records import (
    AnyEntry,
    DayPage,
    Diary,
    Plan,
    Question,
    Session,
    Side,
    newest_in_force,
)
from companion.evidence.figures import Findings, Provenance
from companion.presentation.clinic.answers import (
    AnswerRow,
    Cell,
    KneeFindings,
    ReviewQuestion,
    amount_label,
    hands_counts,
    tape_counts,
)
from companion.presentation.clinic.trial import TRIAL_ROWS
from companion.presentation.home.record_view import day_chart, knee_words
from companion.presentation.language.code_table import capital
from companion.presentation.language.fact_words import sources_words
from companion.presentation.language.phrases import dated, listed, parted, phrase, short_day
from companion.presentation.language.plan_changes import whose_knee
from companion.presentation.language.said import said_words
from companion.presentation.language.words import question_words
from companion.presentation.view.chart import Chart, DaySpan, days_between

LONGEST_CHART_DAYS = 112
"""Sixteen weeks on the first page: beyond that a day is too narrow to see beside the answers."""


@dataclass(frozen=True, slots=True)
class ReviewDestination:
    """One page of a review: the key that leads there and what it is called."""

    key: str
    name: str
    words: str


def review_pages(plans: Sequence[Plan] = ()) -> tuple[ReviewDestination, ...]:
    """All pages in order; the key of each is one press. The trial has one where a plan held it."""
    tried = any(plan.trial is not None for plan in plans)
    return tuple(
        ReviewDestination(key, name, words)
        for key, name, words in (
            ("1", "answers", phrase("In one minute")),
            ("2", "pain", phrase("Pain by day")),
            ("3", "sessions", phrase("Sessions")),
            ("4", "activities", phrase("Activities")),
            ("5", "tape", phrase("Tape and skin")),
            ("6", "calendar", phrase("Calendar")),
            ("7", "warnings", phrase("Warnings and falls")),
            ("8", "care", phrase("Medicine and care")),
            ("9", "questions", phrase("Questions")),
            ("0", "entries", phrase("All entries")),
            ("P", "periods", phrase("Two periods")),
            ("U", "usual", phrase("Behind the verdicts")),
            *([("T", "trial", phrase("Tape trial"))] if tried else []),
            ("E", "export", phrase("Export")),
        )
    )


def review_above(plan: Plan) -> str:
    """The line over every page of a review."""
    return phrase(
        "{person}, {knees}. Plan {version} of {written}, review {review}.",
        person=plan.person,
        knees=whose_knee(plan.side),
        version=plan.version,
        written=dated(plan.written_on),
        review=dated(plan.review_on),
    )


def record_days(entries: Sequence[AnyEntry], plan: Plan, side: Side) -> DaySpan:
    """First to last day of one knee's pages and sessions; the day of the plan without any."""
    days = [
        entry.for_day
        for entry in entries
        if isinstance(entry, DayPage | Session) and entry.side == side
    ]
    return DaySpan(min(days, default=plan.written_on), max(days, default=plan.written_on))


@dataclass(frozen=True, slots=True)
class PersonRecord:
    """One person's diary as it is read: all of it, and the entries that count."""

    diary: Diary
    entries: tuple[AnyEntry, ...]

    @classmethod
    def of(cls, diary: Diary) -> PersonRecord:
        return cls(diary, that_count(diary))

    @property
    def plan(self) -> Plan:
        return self.diary.plan

    @property
    def plans(self) -> tuple[Plan, ...]:
        return self.diary.plans

    def days(self, side: Side) -> DaySpan:
        """First to last day of one knee."""
        return record_days(self.entries, self.plan, side)

    def period(self) -> DaySpan:
        """First to last day of any knee."""
        spans = [self.days(side) for side in self.plan.sides]
        return DaySpan(min(s.first_day for s in spans), max(s.last_day for s in spans))


def first_chart(entries: Sequence[AnyEntry], plans: Sequence[Plan], side: Side) -> Chart:
    """The pain chart of the first page: the last sixteen weeks of the record."""
    plan = newest_in_force(plans)
    days = record_days(entries, plan, side)
    first = max(days.first_day, days.last_day - timedelta(days=LONGEST_CHART_DAYS - 1))
    return chart_of(entries, plans, side, DaySpan(first, days.last_day))


def chart_of(
    entries: Sequence[AnyEntry],
    plans: Sequence[Plan],
    side: Side,
    days: DaySpan,
    found: Findings | None = None,
) -> Chart:
    """The pain chart over some days, with the recorded flares once findings are there."""
    flares = [] if found is None else [DaySpan(f.first_day, f.last_day) for f in found.pain.flares]
    chart = day_chart(entries, plans, side, days.first_day, days.last_day, flares=flares)
    title = phrase("{knee}, {days}", knee=knee_words(side), days=days_between(days))
    return replace(chart, title=title)


def closer_looks(days: DaySpan) -> tuple[tuple[str, DaySpan], ...]:
    """All of a record, and its last weeks where it has more of them: in words, and the days."""
    last = days.last_day
    weeks = [(n, DaySpan(last - timedelta(weeks=n) + timedelta(days=1), last)) for n in (12, 4)]
    closer = [(phrase("Last {n} weeks", n=n), span) for n, span in weeks if span.days < days.days]
    return ((phrase("Whole time"), days), *closer)


def first_chart_with(entries: Sequence[AnyEntry], plans: Sequence[Plan], found: Findings) -> Chart:
    """The same with the recorded flares, once findings are there."""
    plain = first_chart(entries, plans, found.side)
    return chart_of(entries, plans, found.side, DaySpan(plain.first_day, plain.last_day), found)


def own_words(entries: Sequence[AnyEntry], plan: Plan) -> tuple[AnswerRow, ...]:
    """The person's goal and what they asked since the plan in force and was not answered, newest
    first."""
    asked = sorted(
        (
            e
            for e in entries
            if isinstance(e, Question) and e.for_day >= plan.written_on and not e.answered
        ),
        key=lambda e: e.for_day,
        reverse=True,
    )
    goal = Cell("", plan.goal or phrase("none written in the plan"))
    questions = parted(
        phrase(
            "{day}: “{asked}”", day=short_day(e.for_day), asked=" ".join(question_words(e).split())
        )
        for e in asked
    )
    return (
        AnswerRow(phrase("Goal"), (goal,)),
        AnswerRow.of(phrase("Asks"), "", questions or phrase("nothing since this plan")),
    )


def first_page_answers(
    answers: Sequence[ReviewQuestion], knees: Sequence[KneeFindings], primary: str = "pain"
) -> tuple[tuple[ReviewQuestion, int], ...]:
    """The answers with their column: 1 beside the chart, for what is read first, 0 below it.

    What is unsafe comes before what was kept to, so that it is in sight without scrolling. What
    the person can do again stands apart from the pain, which has rows enough. Where tape is the
    `primary` question and a trial answers it, that answer comes first.
    """
    better, keeping, tape, unsafe, care, versions = answers
    doing = [
        row
        for row in better.rows
        if is_activity(row, knees) or is_amount(row, knees) or row.label in _doing()
    ]
    pain = replace(better, rows=tuple(row for row in better.rows if row not in doing))
    able = ReviewQuestion(phrase("Able to do more?"), tuple(doing))
    placed = [(pain, 1), (unsafe, 1), (keeping, 1), (able, 0), (tape, 0), (care, 0), (versions, 0)]
    if primary == "tape" and any(knee.found.trial is not None for knee in knees):
        placed.remove((tape, 0))
        placed.insert(0, (tape, 1))
    return tuple((answer, column) for answer, column in placed if answer.rows or answer.notes)


def is_activity(row: AnswerRow, knees: Sequence[KneeFindings]) -> bool:
    """Whether a row is one of the activities, whose label is the clinic's own words."""
    labels = {each.label for knee in knees for each in knee.found.activities}
    return row.label in {capital(label) for label in labels}


def is_amount(row: AnswerRow, knees: Sequence[KneeFindings]) -> bool:
    """Whether a row is one of the amounts that the plan paces."""
    return row.label in {amount_label(each) for knee in knees for each in knee.found.amounts}


def _doing() -> tuple[str, str]:
    return phrase("Mean of activities"), phrase("Chair stand")


# ---------------------------------------------------------------- what a figure rests on


@dataclass(frozen=True, slots=True)
class OpenedFigure:
    """One figure opened: what it says, and facts as names and values, part by part."""

    heading: str
    says: tuple[str, ...]
    parts: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]


_KEYS: dict[str, tuple[tuple[str, str], ...]] = {
    "Pain": (("pain.model", "Model of all days"),),
    "Model from day 15": (("pain.model", "Model from day 15"),),
    "Pain, first 14 days": (("pain.baseline", "First 14 days"),),
    "Pain, last 14 days": (("pain.latest", "Last 14 days"),),
    "Change, first to last 14 days": (
        ("pain.change_points", "Points"),
        ("pain.low", "Range"),
        ("pain.change_percent", "Percent"),
        ("pain.band", "Band"),
        ("pain.beyond_measurement_error", "Error of one rating"),
        ("pain.acceptable_state", "Acceptable state"),
        ("pain.nap", "Overlap"),
    ),
    "By the week": (("pain.trend", "By the week"),),
    "Recorded flares": (("pain.flares", "Recorded flares"),),
    "Check move": (("ease", "Check move"),),
    "Mean of activities": (("activities_mean", "Mean of activities"),),
    "Chair stand": (("chair_stand", "Chair stand"),),
    "Weeks kept": (("verdicts.kept", "Weeks kept"),),
    "Exercise, days": (("exercise", "Exercise"),),
    "Hands, days": (("routine", "Hands"),),
    "Closed": (("closed", "Closed"),),
    "Day pages": (("diary", "Day pages"), ("period", "Days counted")),
    "Not settled": (("unsettled", "Not settled"),),
    "Wear": (("tape", "Wear"),),
    **dict.fromkeys(
        ("Tape", *TRIAL_ROWS), (("trial", "Tape trial"), ("trial.flow", "Days followed"))
    ),
    "Falls": (("events", "Events"),),
    "Skin": (("tape.skin_events", "Skin"),),
    "Warning cards": (("warnings", "Warning cards"),),
    "Falls, skin, cards": (
        ("events", "Falls"),
        ("tape.skin_events", "Skin"),
        ("warnings", "Warning cards"),
        ("stopped_steps", "Steps stopped"),
    ),
    "Steps stopped": (("stopped_steps", "Steps stopped"), ("unsafe", "Again and again")),
    **{
        label: (("unsafe", label),)
        for label in (
            "Cards open",
            "Knock to the head",
            "Signs not answered for",
            "Nothing written since",
        )
    },
    "Night pain": (("unsafe", "New nights"),),
    "Night, swelling, stiffness": (("unsafe", "New answers"),),
    "Swelling": (("unsafe", "New swelling"),),
    "Morning stiffness": (("unsafe", "New stiffness"),),
    "Pain going up": (("pain.model", "Model of all days"),),
    "Own limit passed": (("pain.signals", "Signals"),),
    "Other care, events": (("events", "Events"),),
    "Spread of days": (("pain.limits", "Spread of days"),),
    "One day against another": (("pain.limits", "One day against another"),),
    "A rise of 2 for 3 days": (("pain.limits", "The limit"), ("pain.signals", "Signals")),
    "Signals": (("pain.signals", "Signals"),),
    "Most days lie": (("pain.limits", "Most days lie"),),
    "Process chart": (("pain.process_chart", "Process chart"),),
    "Change without late pages": (("pain.without_late", "Change without late pages"),),
}
_COUNTS: dict[str, str] = {
    "After hands": (
        "sessions with a before score and a score after hands at the same depth; the last score "
        "after hands counts"
    ),
    "After added tape": (
        "sessions with a score with tape and one without it before, at the same depth"
    ),
    "Outings": "outings as written",
    "Stairs backwards": "days on which stairs were answered",
    "Scores of 10": "sessions in a row that begin at 10",
    "Extra pain medicine": "days on which extra pain medicine was answered; for the person",
    "Knee replacement": "the plan in force",
    "Cautions, yes": "the clinician’s answers in the plan in force",
    "Day notes": "notes of day pages that were not kept private",
    "Scoring, as taught": "the person’s words, as written in the first session",
    "Goal": "the plan in force",
    "Dose now": "answers about the routine before, under the plan in force; rule r05",
    "Open now": "the diary to its last entry, by its clock then",
    "Bad days": "sessions at home with a score of the check move; rule r02",
    "Asks": "questions written since the plan in force",
}


def figure_source(
    row: AnswerRow, knees: Sequence[KneeFindings], plans: Sequence[Plan], facts: Facts
) -> OpenedFigure:
    """What a row of an answer rests on, knee by knee."""
    activity, amount = is_activity(row, knees), is_amount(row, knees)
    says = tuple(_said(row, cell, place, knees) for place, cell in enumerate(row.cells))
    parts: list[tuple[str, tuple[tuple[str, str], ...]]] = []
    keys = _known(row.label)
    if activity or amount:
        keys = (("activities" if activity else "amounts", row.label),)
    for knee in knees:
        for key, name in keys:
            provenance = knee.found.provenance.get(key)
            if provenance is None:
                continue
            heading = name if activity or amount else phrase(name)
            if len(knees) > 1:
                heading = phrase("{knee}: {name}", knee=knee_words(knee.side), name=heading)
            parts.append((heading, _made(provenance, _window(knee.found, key), facts)))
    if not parts:
        parts.append(("", _counted(row, knees, plans)))
    return OpenedFigure(row.label, says, tuple(parts))


def source_table(
    source: OpenedFigure,
) -> tuple[tuple[str, ...], tuple[tuple[str | None, ...], ...]]:
    """The parts of an opened figure as a table: headers and rows."""
    columns = (phrase("Method"), phrase("n"), phrase("Days"), phrase("Source"))
    rows = ((part, *(dict(told).get(name) for name in columns)) for part, told in source.parts)
    return (phrase("Figure"), *columns), tuple(rows)


def is_known(label: str) -> bool:
    """Whether the source of a row with this label is known."""
    return bool(_known(label)) or _of(_COUNTS, label) is not None or label.startswith(_plan_word())


def _plan_word() -> str:
    return phrase("Plan {version}", version="").strip()


def _known(label: str) -> tuple[tuple[str, str], ...]:
    if label.startswith(phrase("Day after {label}", label="")):
        return (("next_morning", label),)
    return next((keys for text, keys in _KEYS.items() if phrase(text) == label), ())


def _of(table: dict[str, str], label: str) -> str | None:
    return next((words for text, words in table.items() if phrase(text) == label), None)


def _said(row: AnswerRow, cell: Cell, place: int, knees: Sequence[KneeFindings]) -> str:
    if len(row.cells) < 2 or place >= len(knees):
        return cell.words
    return phrase("{knee}: {words}", knee=knee_words(knees[place].side), words=cell.words)


def _made(provenance: Provenance, window: str | None, facts: Facts) -> tuple[tuple[str, str], ...]:
    rows = [(phrase("Method"), said_words(provenance.method)), (phrase("n"), str(provenance.n))]
    if window is not None:
        rows.append((phrase("Days"), window))
    rows.append((phrase("Source"), sources_words(facts, provenance.facts)))
    return tuple(rows)


def _window(found: Findings, key: str) -> str | None:
    """The days a figure was made from."""
    baseline, latest = found.pain.baseline, found.pain.latest
    first = _days(baseline.first_day, baseline.last_day)
    last = _days(latest.first_day, latest.last_day)
    if key == "pain.baseline":
        return first
    if key in ("pain.latest", "pain.acceptable_state"):
        return last
    if key.startswith("pain.") and key not in ("pain.model", "pain.trend", "pain.flares"):
        if first is None or last is None:
            return None
        return phrase("{first}, and {last}", first=first, last=last)
    known = found.provenance[key]
    return _days(known.first_day, known.last_day)


def _days(first: date | None, last: date | None) -> str | None:
    if first is None or last is None:
        return None
    return days_between(DaySpan(first, last))


def _counted(
    row: AnswerRow, knees: Sequence[KneeFindings], plans: Sequence[Plan]
) -> tuple[tuple[str, str], ...]:
    """Facts of a row that only counts what the diary or the plan holds."""
    if row.label.startswith(_plan_word()):
        method = phrase("this version of the plan against the one before it, field by field")
        n = phrase("{n} plan version", "{n} plan versions", n=len(plans))
        return ((phrase("Method"), method), (phrase("n"), n), (phrase("Source"), _diary()))
    method = phrase(_of(_COUNTS, row.label) or "as written")
    rows = [(phrase("Method"), method)]
    counts = {
        phrase("After hands"): hands_counts,
        phrase("After added tape"): tape_counts,
    }.get(row.label)
    if counts is not None:
        totals = listed(str(counts(knee.sessions).total) for knee in knees)
        rows.append((phrase("n"), totals))
    days = _window(knees[0].found, "events")  # such rows are counted over the whole diary
    if days is not None:
        rows.append((phrase("Days"), days))
    rows.append((phrase("Source"), _diary()))
    return tuple(rows)


def _diary() -> str:
    return phrase("the diary and its plans, as written")
