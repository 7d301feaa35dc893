"""Two periods of one knee side by side: the same figures over either, and the change of the pain.

A period is any run of days; the figures are raw counts and means. Only the pain has a change, and
only where both periods hold the days that a change needs.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from companion.care.days import diary_day
from companion.care.records import (
    AnyEntry,
    DayPage,
    Event,
    Measure,
    Plan,
    Session,
    Side,
    newest_in_force,
)
from companion.care.tape_applications import tape_applications, taped_days
from companion.evidence.change_interval import change_interval
from companion.evidence.figures import Adherence
from companion.evidence.keeping import adherence
from companion.evidence.windows import DAYS_NEEDED
from companion.wire.resource_reading import shipped_policy


@dataclass(frozen=True, slots=True)
class Days:
    """First and last day of a period, both included. Raises ValueError when they run backwards."""

    first: date
    last: date

    def __post_init__(self) -> None:
        if self.last < self.first:
            raise ValueError("the last day of a period comes before its first")

    @property
    def count(self) -> int:
        """How many days."""
        return (self.last - self.first).days + 1

    def holds(self, day: date) -> bool:
        """Whether a day is one of them."""
        return self.first <= day <= self.last


@dataclass(frozen=True, slots=True)
class Count:
    """`yes` of `asked`: days answered yes of days answered, or sessions of sessions."""

    yes: int
    asked: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PeriodFigures:
    """What one period holds. A mean is None without a recorded day."""

    days: Days
    pain_mean: float | None
    pain_days: int
    worst_mean: float | None
    worst_days: int
    medicine: Count
    night_pain: Count
    backwards: Count
    hands: Adherence
    exercise: Adherence
    eased: Count
    taped_days: int
    tape_on: int
    falls: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoPeriods:
    """Both, and the later minus the earlier where it can be told. `shared` days are in both."""

    measure: Measure
    one: PeriodFigures
    other: PeriodFigures
    shared: int
    change: float | None
    low: float | None
    high: float | None


def two_periods(
    entries: Sequence[AnyEntry],
    plans: Sequence[Plan],
    side: Side,
    one: Days,
    other: Days,
) -> TwoPeriods:
    """Compare two periods of one knee; `entries` are those that count."""
    plan = newest_in_force(plans)
    scores = pain_by_day(entries, side, plan.measure)
    shared = max((min(one.last, other.last) - max(one.first, other.first)).days + 1, 0)
    mine, theirs = (
        {day: score for day, score in scores.items() if days.holds(day)} for days in (one, other)
    )
    found = None
    if not shared and min(len(mine), len(theirs)) >= DAYS_NEEDED:
        found = change_interval(mine, theirs)
    return TwoPeriods(
        measure=plan.measure,
        one=_figures(entries, plans, side, one, mine),
        other=_figures(entries, plans, side, other, theirs),
        shared=shared,
        change=None if found is None else found.change,
        low=None if found is None else found.low,
        high=None if found is None else found.high,
    )


def pain_by_day(entries: Sequence[AnyEntry], side: Side, measure: Measure) -> dict[date, int]:
    """The plan's measure of pain by day."""
    scores = {}
    for entry in entries:
        if isinstance(entry, DayPage) and entry.side == side:
            score = {
                "average": entry.pain_average,
                "worst": entry.pain_worst,
                "now": entry.pain_now,
            }[measure]
            if score is not None:
                scores[entry.for_day] = score
    return scores


def _mean(values: Mapping[date, int]) -> float | None:
    return sum(values.values()) / len(values) if values else None


def _figures(
    entries: Sequence[AnyEntry],
    plans: Sequence[Plan],
    side: Side,
    days: Days,
    scores: Mapping[date, int],
) -> PeriodFigures:
    pages = [e for e in entries if isinstance(e, DayPage) and days.holds(e.for_day)]
    own = [page for page in pages if page.side == side]
    worst = {page.for_day: page.pain_worst for page in own if page.pain_worst is not None}
    medicine: dict[date, bool] = {}
    backwards: dict[date, bool] = {}
    for page in pages:  # medicine and stairs are the person's
        if page.medicine is not None:
            medicine[page.for_day] = medicine.get(page.for_day, False) or page.medicine
        if page.stairs is not None:
            way = page.stairs == "backwards"
            backwards[page.for_day] = backwards.get(page.for_day, False) or way
    nights = {page.for_day: page.night_pain for page in own if page.night_pain is not None}
    scored = [
        eased for eased in (_eased(e, side, days, plans) for e in entries) if eased is not None
    ]
    cap = max(plan.tape.cap_hours for plan in plans)
    put_on = [diary_day(wear.on_at) for wear in tape_applications(entries, side)]
    worn = taped_days(entries, side, cap, days.last) | set(put_on)
    return PeriodFigures(
        days=days,
        pain_mean=_mean(scores),
        pain_days=len(scores),
        worst_mean=_mean(worst),
        worst_days=len(worst),
        medicine=_count(medicine),
        night_pain=_count(nights),
        backwards=_count(backwards),
        hands=adherence(entries, side, plans, (days.first, days.last), "hands", shipped_policy()),
        exercise=adherence(
            entries, side, plans, (days.first, days.last), "exercise", shipped_policy()
        ),
        eased=Count(sum(scored), len(scored)),
        taped_days=sum(days.holds(day) for day in worn),
        tape_on=sum(days.holds(day) for day in put_on),
        falls=sum(
            isinstance(e, Event) and e.what == "fall" and days.holds(e.for_day) for e in entries
        ),
    )


def _count(answers: Mapping[date, bool]) -> Count:
    return Count(sum(answers.values()), len(answers))


def _eased(entry: AnyEntry, side: Side, days: Days, plans: Sequence[Plan]) -> bool | None:
    """Whether a session of the period met the ease target; None where it has no ease."""
    if not isinstance(entry, Session) or entry.side != side or not days.holds(entry.for_day):
        return None
    befores = [move.score for move in entry.moves if move.role == "before"]
    afters = [move.score for move in entry.moves if move.role != "before"]
    if not entry.comparable or not befores or not afters or befores[-1] == 0:
        return None
    target = newest_in_force(plans).ease_target_percent
    return 100 * (befores[-1] - afters[-1]) >= target * befores[-1]


def first_and_last(first_day: date, last_day: date, length: int = 14) -> tuple[Days, Days]:
    """The first and the last days of a record; halves where it is too short for both."""
    days = (last_day - first_day).days + 1
    length = min(length, max(days // 2, 1))
    return (
        Days(first_day, first_day + timedelta(days=length - 1)),
        Days(last_day - timedelta(days=length - 1), last_day),
    )


def around(
    day: date, first_day: date, last_day: date, length: int = 28
) -> tuple[Days, Days] | None:
    """The days before `day` and those from it on, such as round a new plan; None without both."""
    if not first_day < day <= last_day:
        return None
    return (
        Days(max(day - timedelta(days=length), first_day), day - timedelta(days=1)),
        Days(day, min(day + timedelta(days=length - 1), last_day)),
    )
