"""A long record: by weeks from half a year on, by three months from two years on. One mark stands
for each of them, so that years are no smear; what stands is the middle score, half of the days
having more and half less."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import date, timedelta
from statistics import median

from companion.care.records import AnyEntry, DayPage, Plan, Session, Side, TapeOn
from companion.presentation.home.record_view import (
    RecordTable,
    day_pages,
    knee_words,
    medicine_by_day,
    plan_lines_of,
    scores_of,
    sessions_in_order,
    skin_days,
    tape_on_days,
    warning_days,
)
from companion.presentation.language.figures_in_words import half_point
from companion.presentation.language.phrases import listed, month_year, phrase, short_day
from companion.presentation.view.chart import Chart, DaySpan, TimeStretch, days_between
from companion.presentation.view.charts import SessionPair, middle_day, seen_lanes, stretch_chart
from companion.presentation.view.charts import session_chart as drawn_sessions

MONTHS_FROM = 731
"""From so many days on, two years, a record is told by three months (C)."""
_MOST_PLANS = 8
"""More new plans than that are no lines any more."""
_WEEK = timedelta(days=7)


def long_record(
    entries: Sequence[AnyEntry], plans: Sequence[Plan], side: Side, days: DaySpan
) -> tuple[Chart, Chart, RecordTable]:
    """The pain, the check moves and the rows of a long span of days."""
    stretches = stretches_of(days)
    pages = day_pages(entries, side, days.first_day, days.last_day)
    sessions = sessions_in_order(entries, side, days.first_day, days.last_day)
    pain = _pain(entries, plans, side, days, stretches, pages)
    moves = _moves(plans, side, days, stretches, sessions)
    return pain, moves, _table(entries, plans, side, days, stretches, pages, sessions)


def stretches_of(days: DaySpan) -> tuple[TimeStretch, ...]:
    """The weeks from Monday on, or the three months, that a long span falls into; the first and
    the last are cut to it."""
    made = []
    first = days.first_day
    while first <= days.last_day:
        by_week = days.days < MONTHS_FROM
        after = first + _WEEK - timedelta(days=first.weekday()) if by_week else _next_season(first)
        span = DaySpan(first, min(after - timedelta(days=1), days.last_day))
        made.append(TimeStretch(span, _week_name(span) if by_week else _season_name(span)))
        first = after
    return tuple(made)


def _next_season(day: date) -> date:
    """The first day of the next December, March, June or September."""
    month = day.month + 3 - day.month % 3
    return date(day.year + (month > 12), month - 12 if month > 12 else month, 1)


def _week_name(span: DaySpan) -> str:
    return phrase("Week from {day} {year}", day=short_day(span.first_day), year=span.first_day.year)


def _season_name(span: DaySpan) -> str:
    first, last = month_year(span.first_day), month_year(span.last_day)
    if first == last:
        return first
    if span.first_day.year == span.last_day.year:
        first = first.rpartition(" ")[0]
    return phrase("{first} to {last}", first=first, last=last)


def _in(days: DaySpan, of: Mapping[date, float]) -> list[float]:
    return [score for day, score in of.items() if days.holds(day)]


def _middles(stretches: Sequence[TimeStretch], scores: Mapping[date, float]) -> dict[date, float]:
    """The middle score of each stretch that has any, on its middle day."""
    found = {middle_day(one.days): _in(one.days, scores) for one in stretches}
    return {day: float(median(held)) for day, held in found.items() if held}


def _marked(stretches: Sequence[TimeStretch], days: Collection[date]) -> list[date]:
    return [middle_day(one.days) for one in stretches if any(map(one.days.holds, days))]


def _scores(pages: Mapping[date, DayPage], name: str) -> dict[date, float]:
    given = ((day, getattr(page, name)) for day, page in pages.items())
    return {day: score for day, score in given if score is not None}


def _pain(
    entries: Sequence[AnyEntry],
    plans: Sequence[Plan],
    side: Side,
    days: DaySpan,
    stretches: Sequence[TimeStretch],
    pages: Mapping[date, DayPage],
) -> Chart:
    middles = _middles(stretches, _scores(pages, "pain_average"))
    lines = plan_lines_of(plans, days.first_day, days.last_day)
    weekly = days.days < MONTHS_FROM
    said = phrase("{knee}, {days}.", knee=knee_words(side), days=days_between(days))
    if middles:
        said += " " + phrase(
            "The middle of the average pain of each is from {low} to {high}.",
            low=half_point(min(middles.values())),
            high=half_point(max(middles.values())),
        )
    return stretch_chart(
        phrase("Pain by week") if weekly else phrase("Pain by three months"),
        days,
        stretches,
        middle=middles,
        worst=_middles(stretches, _scores(pages, "pain_worst")),
        lanes=seen_lanes(
            _marked(stretches, warning_days(entries, side)),
            _marked(stretches, skin_days(entries, side)),
        ),
        plan_lines=lines if len(lines) <= _MOST_PLANS else (),
        description=said,
    )


def _moves(
    plans: Sequence[Plan],
    side: Side,
    days: DaySpan,
    stretches: Sequence[TimeStretch],
    sessions: Sequence[Session],
) -> Chart:
    pairs = []
    for one in stretches:
        before, after = _moves_in(one, sessions)
        if before is not None or after is not None:
            pairs.append(SessionPair(middle_day(one.days), before, after))
    lines = plan_lines_of(plans, days.first_day, days.last_day)
    return drawn_sessions(
        phrase("Check move before and after: the middle of each"),
        days,
        pairs,
        plan_lines=lines if len(lines) <= _MOST_PLANS else (),
        description=phrase("{knee}, {days}.", knee=knee_words(side), days=days_between(days)),
        stretches=stretches,
    )


def _moves_in(one: TimeStretch, sessions: Sequence[Session]) -> tuple[float | None, float | None]:
    """The middle score before and after, of sessions that compare."""
    held = [s for s in sessions if one.days.holds(s.for_day) and s.comparable]
    befores = [score for s in held if (score := scores_of(s)[0]) is not None]
    afters = [score for s in held if (score := scores_of(s)[1]) is not None]
    return (
        float(median(befores)) if befores else None,
        float(median(afters)) if afters else None,
    )


def _table(
    entries: Sequence[AnyEntry],
    plans: Sequence[Plan],
    side: Side,
    days: DaySpan,
    stretches: Sequence[TimeStretch],
    pages: Mapping[date, DayPage],
    sessions: Sequence[Session],
) -> RecordTable:
    average, worst = _scores(pages, "pain_average"), _scores(pages, "pain_worst")
    medicine = medicine_by_day(entries, days.first_day, days.last_day)
    worn = tape_on_days(entries, plans, side, days.last_day)
    taped = bool(worn) or any(isinstance(e, TapeOn) and e.side == side for e in entries)
    signs, skins = warning_days(entries, side), skin_days(entries, side)
    weekly = days.days < MONTHS_FROM
    headers = [
        phrase("Week from") if weekly else phrase("Months"),
        phrase("Average, the middle"),
        phrase("Worst, the middle"),
        phrase("Days written"),
        *((phrase("Days with tape"),) if taped else ()),
        phrase("Days with extra medicine"),
        phrase("Check move, the middle"),
        phrase("Note"),
    ]
    rows: list[tuple[str | None, ...]] = []
    held: list[DaySpan | None] = []
    for one in reversed(stretches):
        head = month_year(one.days.first_day) if weekly else str(one.days.last_day.year)
        if not rows or head not in _heads(rows):
            rows.append((head, *([""] * (len(headers) - 1))))
            held.append(None)
        before, after = _moves_in(one, sessions)
        rows.append(
            (
                short_day(one.days.first_day) if weekly else one.name,
                _middle(_in(one.days, average)),
                _middle(_in(one.days, worst)),
                _count(sum(map(one.days.holds, pages))),
                *((_count(sum(map(one.days.holds, worn))),) if taped else ()),
                _count(sum(taken for day, taken in medicine.items() if one.days.holds(day))),
                _pair(before, after),
                listed(_notes(one, signs, skins)) or None,
            )
        )
        held.append(one.days)
    return RecordTable(tuple(headers), tuple(rows), tuple(held))


def _heads(rows: Sequence[tuple[str | None, ...]]) -> set[str | None]:
    return {row[0] for row in rows if row[-1] == ""}


def _middle(scores: Sequence[float]) -> str | None:
    return half_point(float(median(scores))) if scores else None


def _count(days: int) -> str | None:
    return str(days) if days else None


def _pair(before: float | None, after: float | None) -> str | None:
    if before is None and after is None:
        return None
    if before is None or after is None:
        one = before if after is None else after
        assert one is not None
        return half_point(one)
    return phrase("{before}, then {after}", before=half_point(before), after=half_point(after))


def _notes(one: TimeStretch, signs: Mapping[date, int], skins: Collection[date]) -> Iterator[str]:
    told = sum(n for day, n in signs.items() if one.days.holds(day))
    if told:
        yield phrase("warning sign", "{n} warning signs", n=told)
    seen = sum(map(one.days.holds, skins))
    if seen:
        yield phrase("skin not clear on {n} day", "skin not clear on {n} days", n=seen)
