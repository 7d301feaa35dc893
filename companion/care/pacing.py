"""Paced activity amounts: a little less than usual at first, then a fixed step each week.

Start at 80 % of the baseline, step 10-20 % of the baseline a week, up to the goal. The step is the
plan's.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial, reduce
from math import floor
from typing import Literal

from companion.care.days import week_of
from companion.care.records import AmountPlan, Plan, Record, newest_in_force

START_PERCENT = 80  # (fact: pacing_start)
WeekOutcome = Literal["kept", "not_kept", "flare"]
"""How a week went: its amount reached, not reached, or a flare in it."""


def amount_after(plan: AmountPlan, weeks: Sequence[WeekOutcome] = ()) -> float:
    """The amount of the week after `weeks`, in the plan's unit.

    A kept week goes one step up, never above the goal. One that was not kept stays, and so does one
    with a flare: one or two of these a quarter come by chance (fact: flares_by_chance), so a flare
    alone takes nothing back.
    """
    return _amount(plan, reduce(partial(_steps_after, plan), weeks, 0))


def amount_in_week(plan: AmountPlan, week: int) -> float:
    """The amount of a week, counted from 1, when every week before it was kept."""
    return amount_after(plan, ["kept"] * (week - 1))


def weeks_to_goal(plan: AmountPlan) -> int | None:
    """The first week, counted from 1, whose amount is the goal. None from a baseline of 0."""
    if _amount(plan, 0) >= plan.goal:
        return 1
    if plan.baseline <= 0:
        return None
    week = 1
    while amount_in_week(plan, week) < plan.goal:
        week += 1
    return week


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekBefore(Record):
    """One week, told with the one after it: what was aimed at and what was written down.

    `most` is the largest amount of one day, None when nothing was written.
    """

    outcome: WeekOutcome
    aim: float
    most: float | None
    days_reached: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PacedWeek(Record):
    """The aim of one week, in the plan's unit, and the week it follows from; None in the first.

    `ends` is `goal` where the aim is the goal. `most` and `days_reached` are what was written down
    of the week itself, so far. `whole`: aims are whole numbers and the step is about what it says.
    """

    label: str
    unit: str
    first_day: date
    aim: float
    step: float
    ends: Literal["goal"] | None = None
    before: WeekBefore | None = None
    most: float | None = None
    days_reached: int = 0
    whole: bool = False


def paced_since(plans: Sequence[Plan], planned: AmountPlan) -> date:
    """The day from which `planned` was paced as it is now: a plan that leaves it as it was does
    not begin it anew. `plans` are all versions; the last of them holds it.
    """
    since = newest_in_force(plans).written_on
    for plan in sorted(plans, key=lambda plan: plan.version, reverse=True):
        if planned not in plan.amounts:
            break
        since = plan.written_on
    return since


def paced_weeks(
    planned: AmountPlan,
    first_day: date,
    today: date,
    done: Mapping[date, float],
    flare_days: Collection[date] = (),
) -> tuple[PacedWeek, ...]:
    """Every week up to today's, oldest first, weeks being seven days from `first_day`.

    `done` are recorded amounts by day. A week was kept when its amount was reached on one day at
    least; a week without a record was not kept, and a flare in it comes before either. A baseline
    of 0 has no step, so nothing is paced.
    """
    weeks = [*_weeks(planned, first_day, today, done, flare_days)]
    return tuple(_told(planned, first_day, weeks, week) for week in range(len(weeks)))


def paced_week(
    planned: AmountPlan,
    first_day: date,
    today: date,
    done: Mapping[date, float],
    flare_days: Collection[date] = (),
) -> PacedWeek | None:
    """Today's week alone, the last of `paced_weeks`; None from a baseline of 0."""
    weeks = [*_weeks(planned, first_day, today, done, flare_days)]
    return _told(planned, first_day, weeks, len(weeks) - 1) if weeks else None


def _weeks(
    planned: AmountPlan,
    first_day: date,
    today: date,
    done: Mapping[date, float],
    flare_days: Collection[date],
) -> Iterator[WeekBefore]:
    if planned.baseline <= 0:
        return
    amounts: dict[int, list[float]] = {}
    for day, amount in done.items():
        amounts.setdefault(week_of(day, first_day), []).append(amount)
    with_flare = {week_of(day, first_day) for day in flare_days}
    steps = 0
    for week in range(max(week_of(today, first_day), 0) + 1):
        aim = _shown(planned, _amount(planned, steps))
        of_week = amounts.get(week, [])
        reached = sum(amount >= aim for amount in of_week)
        outcome: WeekOutcome = "flare" if week in with_flare else "kept" if reached else "not_kept"
        most = max(of_week, default=None)
        yield WeekBefore(outcome=outcome, aim=aim, most=most, days_reached=reached)
        steps = _steps_after(planned, steps, outcome)


def _told(
    planned: AmountPlan, first_day: date, weeks: Sequence[WeekBefore], number: int
) -> PacedWeek:
    week = weeks[number]
    return PacedWeek(
        label=planned.label,
        unit=planned.unit,
        first_day=first_day + timedelta(days=7 * number),
        aim=week.aim,
        step=_shown(planned, planned.baseline * planned.step_percent / 100),
        ends="goal" if week.aim >= _shown(planned, planned.goal) else None,
        before=weeks[number - 1] if number else None,
        most=week.most,
        days_reached=week.days_reached,
        whole=bool(planned.whole),
    )


def _steps_after(plan: AmountPlan, steps: int, outcome: WeekOutcome) -> int:
    if outcome == "kept" and _amount(plan, steps) < plan.goal:
        return steps + 1
    return steps


def _shown(plan: AmountPlan, amount: float) -> float:
    """As it is shown and typed: a tenth of a unit is the finest, or one where none is in parts."""
    return float(floor(amount + 0.5)) if plan.whole else round(amount, 1)


def _amount(plan: AmountPlan, steps: int) -> float:
    """After so many steps. Where none is in parts it is a whole number, and one at least."""
    percent = START_PERCENT + steps * plan.step_percent
    amount = plan.baseline * percent / 100
    if plan.whole and plan.baseline > 0:
        amount = max(_shown(plan, amount), 1.0)
    return min(plan.goal, amount)
