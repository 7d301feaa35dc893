"""My record: the charts of one knee, and the same data as a table. Plain data, no Qt.

Every function takes the entries that count (`care.history.current` has been applied). Entries of
the other knee are left out here; entries of the whole person (medicine) count for both.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum
from itertools import pairwise
from typing import TypeVar

from companion.care.days import diary_day, is_late
from companion.care.records import (
    AnyEntry,
    DayPage,
    Plan,
    Session,
    Side,
    Skin,
    TapeOff,
    TapeOn,
    WarningSign,
    newest_in_force,
)
from companion.care.tape_applications import tape_applications, taped_days
from companion.presentation.language import codes
from companion.presentation.language.figures_in_words import half_point
from companion.presentation.language.phrases import listed, month_year, parted, phrase, short_day
from companion.presentation.view.chart import (
    Chart,
    DaySpan,
    PlanLine,
    days_between,
)
from companion.presentation.view.charts import SessionPair, pain_chart, seen_lanes
from companion.presentation.view.charts import session_chart as drawn_sessions

Told = TypeVar("Told")
_ONE_DAY = timedelta(days=1)
_HEADED_FROM = 56
"""Rows of more days than that stand under their months."""


class Span(StrEnum):
    """How much of the record is shown."""

    LAST_14_DAYS = "last_14_days"
    LAST_8_WEEKS = "last_8_weeks"
    ALL = "all"


_DAYS_OF_SPAN = {Span.LAST_14_DAYS: 14, Span.LAST_8_WEEKS: 56}


@dataclass(frozen=True, slots=True)
class RecordTable:
    """Rows newest first; every row is as long as `headers`. None is "not recorded", and a row with
    nothing but a first text is a head over those that follow.

    `days` are what the rows stand for: None for a head and for days without anything.
    """

    headers: tuple[str, ...]
    rows: tuple[tuple[str | None, ...], ...]
    days: tuple[DaySpan | None, ...] = ()

    @classmethod
    def of(
        cls, told: Iterable[Told], *columns: tuple[str, Callable[[Told], str | None]]
    ) -> RecordTable:
        """A row for each thing `told`; each column is its head, and what it says of one of them."""
        rows = tuple(tuple(cell(one) for _, cell in columns) for one in told)
        return cls(tuple(head for head, _ in columns), rows)


@dataclass(frozen=True, slots=True)
class RecordView:
    """One knee over one span of days: a heading, what was counted, two charts and the table."""

    heading: str
    side: Side
    span: Span | DaySpan
    days: DaySpan
    counted: str
    day_chart: Chart
    session_chart: Chart
    table: RecordTable

    @property
    def is_empty(self) -> bool:
        """True when neither chart holds a score."""
        return self.day_chart.is_empty and self.session_chart.is_empty


# ---------------------------------------------------------------- words


def knee_words(side: Side) -> str:
    """Which knee, to begin a heading with."""
    return phrase("Left knee") if side == "left" else phrase("Right knee")


def span_words(span: Span) -> str:
    """A span, as a choice on the page."""
    return {
        Span.LAST_14_DAYS: phrase("Last 14 days"),
        Span.LAST_8_WEEKS: phrase("Last 8 weeks"),
        Span.ALL: phrase("All"),
    }[span]


def days_in_words(span: DaySpan) -> str:
    """`14 days: 2 Nov to 15 Nov`."""
    return phrase("{n} day: {days}", "{n} days: {days}", n=span.days, days=days_between(span))


def _yes_no(answer: bool | None) -> str | None:
    if answer is None:
        return None
    return phrase("yes") if answer else phrase("no")


def _score(value: int | None) -> str | None:
    return None if value is None else str(value)


# ---------------------------------------------------------------- what the record holds


def day_pages(
    entries: Iterable[AnyEntry], side: Side, first_day: date, last_day: date
) -> dict[date, DayPage]:
    """The day pages of one knee by diary day."""
    return {
        entry.for_day: entry
        for entry in entries
        if isinstance(entry, DayPage)
        and entry.side == side
        and first_day <= entry.for_day <= last_day
    }


def sessions_in_order(
    entries: Iterable[AnyEntry], side: Side, first_day: date, last_day: date
) -> tuple[Session, ...]:
    """The sessions of one knee, in the order they took place."""
    found = [
        entry
        for entry in entries
        if isinstance(entry, Session)
        and entry.side == side
        and first_day <= entry.for_day <= last_day
    ]
    return tuple(
        sorted(found, key=lambda s: (s.for_day, (s.happened_at or s.written_at).timestamp(), s.id))
    )


def tape_on_days(
    entries: Iterable[AnyEntry], plans: Iterable[Plan], side: Side, last_day: date
) -> frozenset[date]:
    """The diary days on which tape was on one knee for any part, up to `last_day`.

    Tape whose end nobody wrote down counts no further than the hard cap of the plan in force.
    Paper pages add the days they tick.
    """
    entries = tuple(entries)
    tape = newest_in_force(plans).tape
    put_on = {diary_day(wear.on_at) for wear in tape_applications(entries, side)}
    worn = put_on | taped_days(entries, side, tape.cap_hours, last_day)
    return frozenset(day for day in worn if day <= last_day)


def medicine_by_day(
    entries: Iterable[AnyEntry], first_day: date, last_day: date
) -> dict[date, bool]:
    """Extra pain medicine by diary day, for the person: yes wins where two knees were asked."""
    taken: dict[date, bool] = {}
    for entry in entries:
        if (
            isinstance(entry, DayPage)
            and entry.medicine is not None
            and first_day <= entry.for_day <= last_day
        ):
            taken[entry.for_day] = taken.get(entry.for_day, False) or entry.medicine
    return taken


def days_of_span(
    entries: Iterable[AnyEntry],
    plans: Iterable[Plan],
    side: Side,
    span: Span | DaySpan,
    last_day: date,
) -> DaySpan:
    """The diary days a span stands for, ending at `last_day` (diary day, usually today).

    `ALL` begins with the first day page or session of that knee. The others begin no earlier than
    that or the first plan for the knee: before it there was nothing to record. Days that were
    picked stand for themselves.
    """
    if isinstance(span, DaySpan):
        return span
    days = [
        entry.for_day
        for entry in entries
        if isinstance(entry, DayPage | Session) and entry.side == side
    ]
    if span is Span.ALL:
        first = min(days, default=last_day)
    else:
        treated = [plan.written_on for plan in plans if side in plan.sides]
        began = min([*days, *treated], default=last_day)
        first = max(began, last_day - timedelta(days=_DAYS_OF_SPAN[span] - 1))
    return DaySpan(min(first, last_day), last_day)


def warning_days(entries: Iterable[AnyEntry], side: Side) -> dict[date, int]:
    """How many warning signs of this knee, or of the person, were said on each day. One that was
    ticked by mistake is none."""
    found: dict[date, int] = {}
    for entry in entries:
        if (
            isinstance(entry, WarningSign)
            and entry.cleared != "ticked_by_mistake"
            and side in (entry.sides or (side,))
        ):
            found[entry.for_day] = found.get(entry.for_day, 0) + 1
    return found


def skin_days(entries: Iterable[AnyEntry], side: Side) -> dict[date, Skin]:
    """The days on which the skin was not clear after tape, and how it was: what was seen last."""
    found: dict[date, Skin] = {}
    for entry in entries:
        if isinstance(entry, TapeOff) and entry.side == side:
            seen = entry.skin_after_30_min or entry.skin_at_once
        elif isinstance(entry, DayPage) and entry.side == side:
            seen = entry.skin
        else:
            continue
        if seen is not None and seen not in ("clear", "pink"):
            found[entry.for_day] = seen
    return found


# ---------------------------------------------------------------- charts


def day_chart(
    entries: Sequence[AnyEntry],
    plans: Iterable[Plan],
    side: Side,
    first_day: date,
    last_day: date,
    *,
    flares: Iterable[DaySpan] = (),
    seen: bool = False,
) -> Chart:
    """Pain of one knee by diary day. A score that was not given is not there: never 0. `seen`: with
    the days of warning signs and of skin that was not clear."""
    pages = day_pages(entries, side, first_day, last_day)
    span = DaySpan(first_day, last_day)
    medicine = medicine_by_day(entries, first_day, last_day)
    plans = tuple(plans)
    worn = (day for day in tape_on_days(entries, plans, side, last_day) if day >= first_day)
    average = _given({day: page.pain_average for day, page in pages.items()})
    worst = _given({day: page.pain_worst for day, page in pages.items()})
    chart = pain_chart(
        phrase("Pain by day"),
        span,
        average=average,
        worst=worst,
        now=_given({day: page.pain_now for day, page in pages.items()}),
        taped=worn,
        medicine=(day for day, taken in medicine.items() if taken),
        flares=_inside(flares, span),
        plan_lines=plan_lines_of(plans, first_day, last_day),
        description=_day_description(side, span, average, worst),
    )
    if not seen:
        return chart
    lanes = seen_lanes(
        filter(span.holds, warning_days(entries, side)),
        filter(span.holds, skin_days(entries, side)),
    )
    return replace(chart, lanes=(*chart.lanes, *lanes))


def _given(scores: Mapping[date, int | None]) -> dict[date, float]:
    return {day: score for day, score in scores.items() if score is not None}


def session_chart(
    entries: Sequence[AnyEntry],
    plans: Iterable[Plan],
    side: Side,
    first_day: date,
    last_day: date,
) -> Chart:
    """The check move before and after, by session.

    The after score is the last one given. Where the move was done differently the two do not
    compare, so the after score is left out of the picture; the table says so in words.
    """
    pairs: list[SessionPair] = []
    for session in sessions_in_order(entries, side, first_day, last_day):
        before, after, stage = scores_of(session)
        if before is None and after is None:
            continue
        pairs.append(
            SessionPair(
                day=session.for_day,
                before=before,
                after=after if session.comparable else None,
                tape_stage=stage,
            )
        )
    both = sum(pair.before is not None and pair.after is not None for pair in pairs)
    return drawn_sessions(
        phrase("Check move before and after"),
        DaySpan(first_day, last_day),
        pairs,
        plan_lines=plan_lines_of(plans, first_day, last_day),
        description=phrase(
            "{knee}, {days}. {n} routine with a score before and after.",
            "{knee}, {days}. {n} routines with a score before and after.",
            n=both,
            knee=knee_words(side),
            days=days_between(DaySpan(first_day, last_day)),
        ),
    )


def scores_of(session: Session) -> tuple[int | None, int | None, int | None]:
    """The before score, the last after score, and the tape stage of the latter (0 bare).

    A move made again replaces the one before it, so the last before score counts.
    """
    before: int | None = None
    after: int | None = None
    stage: int | None = None
    for move in session.moves:
        if move.role == "before":
            before = move.score
        else:
            after = move.score
            stage = 0
            if move.role == "after_tape":
                stage = session.stage if move.stage is None else move.stage
    return before, after, stage


def plan_lines_of(plans: Iterable[Plan], first_day: date, last_day: date) -> tuple[PlanLine, ...]:
    """Where a plan began, but for the first one on the first day."""
    ordered = sorted(plans, key=lambda plan: plan.version)
    by_day: dict[date, int] = {}
    for place, plan in enumerate(ordered):
        # The first plan at the chart's left edge is where the record begins, not a change.
        begins_here = place == 0 and plan.written_on == first_day
        if first_day <= plan.written_on <= last_day and not begins_here:
            by_day[plan.written_on] = plan.version
    return tuple(
        PlanLine(day, phrase("Plan {version}", version=version))
        for day, version in sorted(by_day.items())
    )


def _inside(flares: Iterable[DaySpan], span: DaySpan) -> tuple[DaySpan, ...]:
    cut = (flare.cut_to(span) for flare in flares)
    return tuple(flare for flare in cut if flare is not None)


def _day_description(
    side: Side, span: DaySpan, average: Mapping[date, float], worst: Mapping[date, float]
) -> str:
    """The chart in words: what was kept, the first and the last days, the worst, the gap."""
    if not average:
        return phrase(
            "{knee}, {days}. No average pain was recorded.",
            knee=knee_words(side),
            days=days_between(span),
        )
    said = [
        phrase(
            "{knee}, {days}. Average pain on {kept} of {n} day, from {low:g} to {high:g}.",
            "{knee}, {days}. Average pain on {kept} of {n} days, from {low:g} to {high:g}.",
            n=span.days,
            knee=knee_words(side),
            days=days_between(span),
            kept=len(average),
            low=min(average.values()),
            high=max(average.values()),
        )
    ]
    first = _mean_of(average, span.first_day)
    last = _mean_of(average, span.last_day - timedelta(days=_FORTNIGHT - 1))
    if span.days >= 2 * _FORTNIGHT and first is not None and last is not None:
        said.append(
            phrase(
                "In the first {n} days about {first}, in the last {n} about {last}.",
                n=_FORTNIGHT,
                first=half_point(first),
                last=half_point(last),
            )
        )
    if worst:
        highest = max(worst.values())
        on = max(day for day, score in worst.items() if score == highest)
        said.append(
            phrase("The worst was {score:g}, last on {day}.", score=highest, day=short_day(on))
        )
    gap = _longest_gap(average, span)
    if gap > 1:
        said.append(phrase("The longest gap is {n} day.", "The longest gap is {n} days.", n=gap))
    return " ".join(said)


_FORTNIGHT = 14


def _mean_of(scores: Mapping[date, float], first_day: date) -> float | None:
    """The mean of the scores of a fortnight; None without any."""
    given = [score for day, score in scores.items() if 0 <= (day - first_day).days < _FORTNIGHT]
    return sum(given) / len(given) if given else None


def _longest_gap(scores: Mapping[date, float], span: DaySpan) -> int:
    """The most days one after the other without a score, 0 for none."""
    edges = [span.first_day.toordinal() - 1, *sorted(day.toordinal() for day in scores)]
    edges.append(span.last_day.toordinal() + 1)
    return max(after - before - 1 for before, after in pairwise(edges))


# ---------------------------------------------------------------- the table


def record_table(
    entries: Sequence[AnyEntry],
    plans: Iterable[Plan],
    side: Side,
    first_day: date,
    last_day: date,
) -> RecordTable:
    """What the charts show, day by day, newest first.

    Days with nothing at all are joined into one row that says how many they are, those before the
    first plan apart. The tape column is there only where tape was ever recorded on that knee.
    """
    plans = tuple(plans)
    pages = day_pages(entries, side, first_day, last_day)
    sessions: dict[date, list[Session]] = {}
    for session in sessions_in_order(entries, side, first_day, last_day):
        sessions.setdefault(session.for_day, []).append(session)
    medicine = medicine_by_day(entries, first_day, last_day)
    worn = tape_on_days(entries, plans, side, last_day)
    counted_by_clock = any(isinstance(e, TapeOn) and e.side == side for e in entries)
    has_tape = counted_by_clock or bool(worn)

    signs, skins = warning_days(entries, side), skin_days(entries, side)

    headers = [phrase("Day"), phrase("Average"), phrase("Worst"), phrase("Now")]
    if has_tape:
        headers.append(phrase("Tape on"))
    headers += [phrase("Extra medicine"), phrase("Check move"), phrase("Note")]

    span = DaySpan(first_day, last_day)
    began = min((plan.written_on for plan in plans), default=first_day)
    rows = _DayRows(len(headers), began, headed=span.days > _HEADED_FROM)
    for day in reversed([*span]):
        page = pages.get(day)
        held = sessions.get(day, [])
        told = page is not None or held or day in worn or day in medicine
        if not told and day not in signs and day not in skins:
            rows.nothing(day)
            continue
        cells: list[str | None] = [
            short_day(day),
            _score(page.pain_average) if page else None,
            _score(page.pain_worst) if page else None,
            _score(page.pain_now) if page else None,
        ]
        if has_tape:
            cells.append(_tape_cell(page, day in worn, counted_by_clock))
        cells += [_yes_no(medicine.get(day)), _moves_cell(held)]
        cells.append(_note_cell(page, held, signs.get(day, 0), skins.get(day)))
        rows.of_day(day, cells)
    rows.close_gap()
    return RecordTable(tuple(headers), tuple(rows.rows), tuple(rows.days))


class _DayRows:
    """The rows of a table, newest first: days with nothing are joined, and where there are many
    rows each month stands over its own, since a day names no year."""

    def __init__(self, width: int, began: date, *, headed: bool) -> None:
        self.rows: list[tuple[str | None, ...]] = []
        self.days: list[DaySpan | None] = []
        self._width, self._began, self._headed = width, began, headed
        self._silent: list[date] = []
        self._month: date | None = None

    def of_day(self, day: date, cells: Sequence[str | None]) -> None:
        """A day with something written."""
        self.close_gap()
        self._head_of(day)
        self.rows.append(tuple(cells))
        self.days.append(DaySpan(day, day))

    def nothing(self, day: date) -> None:
        """A day with nothing; those before the first plan stand apart."""
        if day == self._began - _ONE_DAY:
            self.close_gap()
        self._silent.append(day)

    def close_gap(self) -> None:
        """One row for the days with nothing so far."""
        if not self._silent:
            return
        gap = DaySpan(min(self._silent), max(self._silent))
        if gap.last_day < self._began:
            words = phrase("before the plan", "{n} days before the plan", n=gap.days)
        else:
            words = phrase("nothing recorded", "{n} days with nothing recorded", n=gap.days)
        self._head_of(gap.last_day)
        self.rows.append((days_between(gap), *([None] * (self._width - 2)), words))
        self.days.append(None)
        self._silent.clear()

    def _head_of(self, day: date) -> None:
        month = day.replace(day=1)
        if self._headed and month != self._month:
            self._month = month
            self.rows.append((month_year(day), *([""] * (self._width - 1))))
            self.days.append(None)


def _tape_cell(page: DayPage | None, worn: bool, counted_by_clock: bool) -> str | None:
    if worn:
        return phrase("yes")
    if counted_by_clock or (page is not None and page.tape_worn is False):
        return phrase("no")
    return None


def _moves_cell(held: Sequence[Session]) -> str | None:
    words: list[str] = []
    for session in held:
        before, after, stage = scores_of(session)
        if before is None and after is None:
            continue
        if after is None:
            text = phrase("{before}, no score after", before=before)
        elif before is None:
            text = phrase("no score before, then {after}", after=after)
        elif stage == 0:
            text = phrase("{before}, then {after}", before=before, after=after)
        else:
            text = phrase("{before}, then {after} with tape", before=before, after=after)
        if not session.comparable:
            text = phrase("{scores} (done differently)", scores=text)
        words.append(text)
    return parted(words) or None


def _note_cell(
    page: DayPage | None, held: Sequence[Session], signs: int, skin: Skin | None
) -> str | None:
    notes: list[str] = []
    if signs:
        notes.append(phrase("warning sign", "{n} warning signs", n=signs))
    if skin is not None:
        notes.append(phrase("skin: {how}", how=codes.SKIN[skin].clinic))
    if page is not None:
        if page.written_by == "paper":
            notes.append(phrase("from paper"))
        elif is_late(page.for_day, page.written_at):
            notes.append(phrase("written late"))
    told = [page, *held]
    if any(one is not None and one.replaces is not None for one in told):
        notes.append(phrase("put right"))
    if any(session.ended == "stopped" for session in held):
        notes.append(phrase("routine stopped"))
    return listed(notes) or None


# ---------------------------------------------------------------- the whole page


def record_view(
    entries: Sequence[AnyEntry],
    plans: Sequence[Plan],
    side: Side,
    span: Span | DaySpan,
    last_day: date,
    *,
    flares: Iterable[DaySpan] = (),
) -> RecordView:
    """One knee's record over one span that ends at `last_day` (a diary day), or picked days."""
    days = days_of_span(entries, plans, side, span, last_day)
    first, last = days.first_day, days.last_day
    pages = day_pages(entries, side, first, last)
    kept = sum(holds_a_score(page) for page in pages.values())
    if days.days < WEEKS_FROM:
        chart = day_chart(entries, plans, side, first, last, flares=flares, seen=True)
        moves = session_chart(entries, plans, side, first, last)
        table = record_table(entries, plans, side, first, last)
    else:
        # Nobody opens a record of half a year and more to read one day.
        from companion.presentation.home.record_stretches import long_record

        chart, moves, table = long_record(entries, plans, side, days)
    return RecordView(
        heading=phrase("{knee}, {days}", knee=knee_words(side), days=days_between(days)),
        side=side,
        span=span,
        days=days,
        counted=phrase(
            "Pain written down on {kept} of {n} day.",
            "Pain written down on {kept} of {n} days.",
            n=days.days,
            kept=kept,
        ),
        day_chart=chart,
        session_chart=moves,
        table=table,
    )


WEEKS_FROM = 183
"""From so many days on, half a year, the record is told by weeks (C)."""


def holds_a_score(page: DayPage) -> bool:
    """Whether a page holds any score of pain."""
    return (page.pain_average, page.pain_worst, page.pain_now) != (None, None, None)
