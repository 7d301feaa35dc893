"""My record beyond the charts, as tables in plain words: routines, tape, outings, activities, what
was measured, and what was changed later. No Qt.

Every function takes all entries of a diary, corrected ones included, and one knee; what belongs to
the person is there for either knee. None is "not recorded".
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

from companion.care.correcting import AnswerAt, answer_at, answers_of
from companion.care.days import diary_day
from companion.care.finding import side_of
from companion.care.history import current, instant, is_withdrawn, trees
from companion.care.records import (
    AnyEntry,
    DayPage,
    Event,
    Journey,
    Measurement,
    Outing,
    PatchTest,
    Plan,
    Session,
    Side,
    TapeOff,
    TapeOn,
    WarningSign,
    newest_in_force,
)
from companion.care.tape_applications import TapeApplication, tape_applications, worn_hours
from companion.evidence.paced_amounts import amounts_done, paced_amounts
from companion.presentation.home.record_view import RecordTable, scores_of, sessions_in_order
from companion.presentation.language import codes
from companion.presentation.language.answer_words import answer_name, said_words
from companion.presentation.language.code_table import (
    CodeTable,
    WordAndLine,
    capital,
    home_words,
    inside,
)
from companion.presentation.language.figures_in_words import amount_of
from companion.presentation.language.pacing_words import week_headers, week_rows
from companion.presentation.language.phrases import (
    clock_time,
    in_figures,
    joined,
    phrase,
    short_day,
)
from companion.presentation.language.words import journey_words, stage, yes_or_no
from companion.presentation.view.chart import DaySpan

if TYPE_CHECKING:
    from companion.care.catalogue import Catalogue

Section = Literal["routines", "tape", "activities", "changes"]
SECTIONS: tuple[Section, ...] = ("routines", "tape", "activities", "changes")

Row = tuple[str | None, ...]


_SECTION_WORDS: CodeTable[Section, WordAndLine] = CodeTable(
    Section,
    {
        "routines": WordAndLine("Routines", "Scores before and after"),
        "tape": WordAndLine("Tape and outings", "When it was on, and the skin"),
        "activities": WordAndLine("Activities and days", "Scores, amounts, nights, notes"),
        "changes": WordAndLine("What was changed", "The first answer is kept"),
    },
)


@dataclass(frozen=True, slots=True)
class NamedTable:
    """A table with its heading, and the sentence that stands in its place when it is empty."""

    heading: str
    table: RecordTable
    nothing: str


def section_words(section: Section) -> tuple[str, str]:
    """A part of the record as a word and one line."""
    words = _SECTION_WORDS[section]
    return words.word, words.line


def section_tables(
    section: Section,
    entries: Sequence[AnyEntry],
    plans: Sequence[Plan],
    side: Side,
    days: DaySpan,
    *,
    catalogue: Catalogue | None = None,
    wrong_clock: Collection[str] = (),
) -> tuple[NamedTable, ...]:
    """The tables of one part, newest first. Tables nothing was ever put in are left out, all but
    the first. What is of the `catalogue` has its words there; entries with an id of `wrong_clock`
    stand in no table but that of what was put right."""
    counting = tuple(entry for entry in current(entries) if entry.id not in wrong_clock)
    match section:
        case "routines":
            found = [_routines(counting, side, days)]
        case "tape":
            found = [
                _wears(counting, side, days),
                _outings(counting, side, days),
                _patch_tests(counting, days),
            ]
        case "activities":
            found = [
                _activities(counting, plans, days),
                *_paced(counting, plans, days),
                _amounts(counting, plans, days),
                _day_answers(counting, side, days),
                _measures(counting, days),
                _events(counting, side, days),
            ]
        case _:
            found = [_changes(entries, side, days, catalogue)]
    return (found[0], *(one for one in found[1:] if one.table.rows))


def _table(
    heading: str, headers: Sequence[str], rows: Iterable[Row], nothing: str = ""
) -> NamedTable:
    return NamedTable(
        heading,
        RecordTable(tuple(headers), tuple(rows)),
        nothing or phrase("Nothing is written down for these days."),
    )


def _score(value: int | None) -> str | None:
    return None if value is None else str(value)


def _at(at: datetime) -> str:
    return phrase("{day}, {time}", day=short_day(at.date()), time=clock_time(at))


def _within(day: date, days: DaySpan) -> bool:
    return days.first_day <= day <= days.last_day


# ---------------------------------------------------------------- routines


def _routines(entries: Sequence[AnyEntry], side: Side, days: DaySpan) -> NamedTable:
    rows: list[Row] = []
    for session in reversed(sessions_in_order(entries, side, days.first_day, days.last_day)):
        before, after, taped = scores_of(session)
        score = _score(after)
        if score is not None and not session.comparable:
            score = phrase("{score}, done differently", score=score)
        done = sum(step.outcome == "done" for step in session.exercises)
        rows.append(
            (
                short_day(session.for_day),
                _score(before),
                score,
                stage(taped) if taped else None,
                str(len(session.rounds)) if session.rounds else None,
                phrase("{done} of {n}", done=done, n=len(session.exercises))
                if session.exercises
                else None,
                _ended(session),
            )
        )
    headers = (
        phrase("Day"),
        phrase("Before"),
        phrase("After"),
        phrase("Tape"),
        phrase("Rounds"),
        phrase("Exercises"),
        phrase("How it ended"),
    )
    return _table(phrase("Each routine"), headers, rows)


def _ended(session: Session) -> str:
    ended = codes.SESSION_ENDS[session.ended]
    if session.place == "clinic":
        ended = phrase("{ended}, in the clinic", ended=ended)
    return phrase("{ended}, put right", ended=ended) if session.replaces else ended


# ---------------------------------------------------------------- tape and outings


def _wears(entries: Sequence[AnyEntry], side: Side, days: DaySpan) -> NamedTable:
    ons = {e.id: e for e in entries if isinstance(e, TapeOn) and e.side == side}
    offs = {e.id: e for e in entries if isinstance(e, TapeOff) and e.side == side}
    rows: list[Row] = []
    for wear in reversed(tape_applications(entries, side)):
        end = wear.off_at or wear.off_by
        if diary_day(wear.on_at) > days.last_day:
            continue
        if end is not None and diary_day(end.astimezone(wear.on_at.tzinfo)) < days.first_day:
            continue
        off = None if wear.off_id is None else offs.get(wear.off_id)
        hours = worn_hours(wear)
        rows.append(
            (
                _at(wear.on_at),
                _off(wear, off),
                None if hours is None else in_figures(hours, ".0f"),
                stage(wear.stage),
                codes.WRITERS[ons[wear.on_ids[0]].by].home,
                None if off is None else _skin_after(off),
            )
        )
    headers = (
        phrase("On", context="tape"),
        phrase("Off", context="tape"),
        phrase("Hours"),
        phrase("Tape"),
        phrase("Put on by"),
        phrase("Skin after"),
    )
    return _table(phrase("Tape on and off"), headers, rows)


def _off(wear: TapeApplication, off: TapeOff | None) -> str:
    if not wear.ended:
        return phrase("still on")
    when = phrase("not known when") if wear.off_at is None else _at(wear.off_at)
    if off is not None and off.came_off_by_itself:
        return phrase("{when}, by itself", when=when)
    if off is not None and off.felt:
        return phrase("{when}, for {felt}", when=when, felt=joined(_felt(off)))
    return when


def _felt(off: TapeOff) -> list[str]:
    """What was felt from the tape, why it came off."""
    return [codes.FEELINGS[feeling].home for feeling in off.felt]


def _skin_after(off: TapeOff) -> str | None:
    at_once, later = (
        home_words(codes.SKIN, look) for look in (off.skin_at_once, off.skin_after_30_min)
    )
    if at_once is not None and later is not None and later != at_once:
        return phrase("{at_once}; later {later}", at_once=at_once, later=later)
    return later or at_once


def _outings(entries: Sequence[AnyEntry], side: Side, days: DaySpan) -> NamedTable:
    rows: list[Row] = [
        (
            short_day(entry.for_day),
            entry.what_for,
            None if entry.amount is None else amount_of(entry.amount.amount, entry.amount.unit),
            home_words(codes.OUTING_ENDED, entry.ended_because),
            _score(knee.pain_worst),
            home_words(codes.MORNINGS, knee.next_morning),
        )
        for entry in reversed(entries)
        if isinstance(entry, Outing)
        and (knee := entry.of(side)) is not None
        and _within(entry.for_day, days)
    ]
    headers = (
        phrase("Day"),
        phrase("What for"),
        phrase("How much"),
        phrase("Why it ended"),
        phrase("Worst pain"),
        phrase("Morning after"),
    )
    return _table(phrase("Outings"), headers, rows)


def _patch_tests(entries: Sequence[AnyEntry], days: DaySpan) -> NamedTable:
    rows: list[Row] = []
    for entry in reversed(entries):
        if isinstance(entry, PatchTest) and _within(entry.for_day, days):
            first = (
                phrase("tried in the clinic")
                if entry.tolerated_in_clinic
                else home_words(codes.SKIN, entry.first_skin)
            )
            second = home_words(codes.SKIN, entry.second_skin)
            rows.append((entry.make, _at(entry.happened_at), first, second))
    headers = (phrase("Make"), phrase("Put on"), phrase("First look"), phrase("Second look"))
    return _table(phrase("Test pieces"), headers, rows)


# ---------------------------------------------------------------- activities, amounts, measures


def _pages(entries: Iterable[AnyEntry], days: DaySpan) -> list[DayPage]:
    return [e for e in entries if isinstance(e, DayPage) and _within(e.for_day, days)]


def _activities(entries: Sequence[AnyEntry], plans: Sequence[Plan], days: DaySpan) -> NamedTable:
    """A column for each activity, those of the plan in force first."""
    scores: dict[date, dict[str, int]] = {}
    for page in _pages(entries, days):
        for each in page.activities:
            scores.setdefault(page.for_day, {}).setdefault(each.label, each.score)
    plan = newest_in_force(plans)
    submitted = {label for of_day in scores.values() for label in of_day}
    labels = [label for label in plan.activities if label in submitted]
    labels += sorted(submitted.difference(labels))
    rows: list[Row] = [
        (short_day(day), *(_score(scores[day].get(label)) for label in labels))
        for day in sorted(scores, reverse=True)
    ]
    heading = phrase("Activities: 0 is unable, 10 is as before")
    return _table(heading, (phrase("Day"), *labels), rows)


def _paced(
    entries: Sequence[AnyEntry], plans: Sequence[Plan], days: DaySpan
) -> Iterable[NamedTable]:
    """The weeks of each paced amount, with what the plan meant for them."""
    for paced in paced_amounts(entries, plans, days.last_day):
        planned = paced.planned
        yield _table(
            phrase(
                "{label}: from your start to your goal",
                label=capital(planned.label),
            ),
            week_headers(planned.unit),
            week_rows(paced.weeks, days.first_day, days.last_day),
        )


def _amounts(entries: Sequence[AnyEntry], plans: Sequence[Plan], days: DaySpan) -> NamedTable:
    """Week by week from Monday: the most on one day, for that is what a plan paces, and how often.

    Of the two pages of a day with two knees the larger amount counts: they are the person's. Days
    that stand in the weeks of a paced amount are not told a second time.
    """
    done = amounts_done(entries, days.first_day, days.last_day)
    for paced in paced_amounts(entries, plans, days.last_day):
        key, since = (paced.planned.label, paced.planned.unit), paced.weeks[0].first_day
        before = {day: amount for day, amount in done.pop(key, {}).items() if day < since}
        if before:
            done[key] = before
    plan = newest_in_force(plans)
    keys = [key for a in plan.amounts if (key := (a.label, a.unit)) in done]
    keys += sorted(key for key in done if key not in keys)
    weeks = {day - timedelta(days=day.weekday()) for by_day in done.values() for day in by_day}
    rows: list[Row] = [
        (short_day(monday), *(_week(done[key], monday) for key in keys))
        for monday in sorted(weeks, reverse=True)
    ]
    headers = (
        phrase("Week from"),
        *(phrase("{label}, {unit}", label=label, unit=unit) for label, unit in keys),
    )
    return _table(phrase("Amounts: the most on one day"), headers, rows)


def _week(by_day: Mapping[date, float], monday: date) -> str | None:
    found = [amount for day, amount in by_day.items() if 0 <= (day - monday).days < 7]
    if not found:
        return None
    return phrase("{most:g}, {n} day", "{most:g}, {n} days", n=len(found), most=max(found))


def _day_answers(entries: Sequence[AnyEntry], side: Side, days: DaySpan) -> NamedTable:
    """What else the day pages hold. Stairs and note are the person's, whichever knee was asked."""
    own: dict[date, DayPage] = {}
    stairs: dict[date, str] = {}
    notes: dict[date, str] = {}
    for page in _pages(entries, days):
        if page.side == side:
            own[page.for_day] = page
        if page.stairs is not None:
            stairs.setdefault(page.for_day, codes.STAIRS[page.stairs].home)
        if page.note is not None:
            notes.setdefault(page.for_day, page.note)
    rows: list[Row] = []
    for day in sorted({*own, *stairs, *notes}, reverse=True):
        of_day = own.get(day)
        cells: Row = (None, None, None, None)
        if of_day is not None:
            cells = (
                None if of_day.night_pain is None else yes_or_no(of_day.night_pain),
                _score(of_day.stiffness_minutes),
                home_words(codes.SWELLING, of_day.swelling),
                home_words(codes.SKIN, of_day.skin),
            )
        row: Row = (*cells, stairs.get(day), notes.get(day))
        if any(cell is not None for cell in row):
            rows.append((short_day(day), *row))
    headers = (
        phrase("Day"),
        phrase("Woken at night"),
        phrase("Stiff, minutes"),
        phrase("Swelling"),
        phrase("Skin"),
        phrase("Stairs"),
        phrase("Note"),
    )
    return _table(phrase("The rest of your day pages"), headers, rows)


def _measures(entries: Sequence[AnyEntry], days: DaySpan) -> NamedTable:
    rows: list[Row] = []
    for entry in reversed(entries):
        if isinstance(entry, Measurement) and _within(entry.for_day, days):
            what = capital(codes.TESTS[entry.test].home)
            if entry.test == "activity_trial" and entry.label:
                what = entry.label
            with_arms = phrase("with arms") if entry.arms_used else phrase("without arms")
            rows.append((short_day(entry.for_day), what, str(entry.count), with_arms))
    headers = (phrase("Day"), phrase("What"), phrase("How often"), phrase("How"))
    return _table(phrase("What was measured"), headers, rows)


def _events(entries: Sequence[AnyEntry], side: Side, days: DaySpan) -> NamedTable:
    rows: list[Row] = []
    for entry in reversed(entries):
        if not _within(entry.for_day, days):
            continue
        if isinstance(entry, Event) and entry.side in (None, side):
            what = capital(codes.EVENTS[entry.what])
            rows.append((short_day(entry.for_day), what, entry.note))
        elif isinstance(entry, Journey):
            rows.append((short_day(entry.for_day), phrase("Journey"), journey_words(entry)))
    headers = (phrase("Day"), phrase("What"), phrase("Note"))
    return _table(phrase("What else happened"), headers, rows)


# ---------------------------------------------------------------- what was changed

_PLAIN_KINDS = ("day_page", "gate")
"""Kinds of entry whose fields say themselves what they belong to."""


def _changes(
    entries: Sequence[AnyEntry], side: Side, days: DaySpan, catalogue: Catalogue | None
) -> NamedTable:
    """Each answer that was given first and another one later. What was only added is no change."""
    found: list[tuple[date, datetime, Row]] = []
    for versions in _versions(entries, side):
        for old, new in pairwise(versions):
            if _within(new.for_day, days):
                at = instant(new.written_at)
                found += [(new.for_day, at, row) for row in _changed(old, new, catalogue)]
    found.sort(key=lambda one: one[:2], reverse=True)
    headers = (
        phrase("Day"),
        phrase("What"),
        phrase("First"),
        phrase("Then"),
        phrase("Changed on"),
    )
    return _table(
        phrase("First answers and later ones"),
        headers,
        [row for _, _, row in found],
        phrase("No answer of these days was changed later."),
    )


def _versions(entries: Sequence[AnyEntry], side: Side) -> Iterator[tuple[AnyEntry, ...]]:
    """The versions of each thing, oldest first. All pages of one day and knee are one thing."""
    pages: dict[date, list[AnyEntry]] = {}
    for tree in trees(entries):
        if side_of(tree[-1]) not in (None, side):
            continue
        if isinstance(tree[-1], DayPage):
            pages.setdefault(tree[-1].for_day, []).extend(tree)
        else:
            yield tree
    for of_day in pages.values():
        yield tuple(sorted(of_day, key=lambda page: (instant(page.written_at), page.id)))


def _changed(old: AnyEntry, new: AnyEntry, catalogue: Catalogue | None) -> Iterator[Row]:
    day, on = short_day(new.for_day), _at(new.written_at)
    kind = capital(codes.KINDS[new.kind].home)
    if isinstance(new, WarningSign) and new.cleared == "ticked_by_mistake":
        yield (day, phrase("Warning sign"), phrase("ticked"), phrase("by mistake"), on)
    if old.for_day != new.for_day:
        yield (day, phrase("Day"), short_day(old.for_day), short_day(new.for_day), on)
    knees = [side_of(one) for one in (old, new)]
    if knees[0] != knees[1]:
        was, now = (phrase("no knee") if one is None else codes.SIDES[one].knee for one in knees)
        yield (day, phrase("{kind}: knee", kind=kind), was, now, on)
    if is_withdrawn(old) != is_withdrawn(new):
        out = getattr(new, "withdrawn", None)
        told = phrase("counted"), phrase("taken out")
        then = told[0] if out is None else codes.WITHDRAWN[out].home
        yield (day, kind, told[out is None], then, on)
    if is_withdrawn(new):
        return
    for before in answers_of(old):
        after = answer_at(new, before.path)
        if before.value == () or (after is not None and after.value == before.value):
            continue
        what = answer_name(before, catalogue)
        if new.kind not in _PLAIN_KINDS:
            what = phrase("{kind}: {what}", kind=kind, what=inside(what))
        back = after is None or after.value == ()
        later = phrase("taken back") if back or after is None else _said(after, catalogue)
        yield (day, what, _said(before, catalogue), later, on)


def _said(answer: AnswerAt, catalogue: Catalogue | None) -> str:
    """An answer with its day where it is a time."""
    at = answer.value
    return _at(at) if isinstance(at, datetime) else said_words(answer, catalogue)
