"""Paced activity amounts: a little less than usual at first, then a fixed step each week.

Start at 80 % of the baseline, step 10-20 % of the baseline a week, up to the goal: therapeutic
guideline text (S, D). The step is the plan's.
"""

from collections.abc import Collection, Sequence
from datetime import date
from typing import Literal

from companion.care.days import week_of
from companion.care.records import AmountPlan

START_PERCENT = 80
WeekOutcome = Literal["kept", "not_kept", "flare"]
"""How a week went: its amount reached, not reached, or a flare in it."""


def amount_after(plan: AmountPlan, weeks: Sequence[WeekOutcome] = ()) -> float:
    """The amount of the week after `weeks`, in the plan's unit.

    A kept week goes one step up, one that was not kept stays, one with a flare goes one step
    down, never below the start nor above the goal.
    """
    steps = 0
    for outcome in weeks:
        if outcome == "kept" and _amount(plan, steps) < plan.goal:
            steps += 1
        elif outcome == "flare":
            steps = max(steps - 1, 0)
    return _amount(plan, steps)


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


def week_outcomes(
    plan: AmountPlan,
    first_day: date,
    today: date,
    done: dict[date, float],
    flare_days: Collection[date] = (),
) -> tuple[WeekOutcome, ...]:
    """How each whole week before today's went, weeks being seven days from `first_day`.

    `done` are recorded amounts by day. Kept means the week's amount was reached on one day at
    least; a week without a record was not kept, and a flare in it comes before either.
    """
    outcomes: list[WeekOutcome] = []
    for week in range(max(week_of(today, first_day), 0)):
        wanted = amount_after(plan, outcomes)
        if any(week_of(day, first_day) == week for day in flare_days):
            outcomes.append("flare")
        elif any(
            amount >= wanted for day, amount in done.items() if week_of(day, first_day) == week
        ):
            outcomes.append("kept")
        else:
            outcomes.append("not_kept")
    return tuple(outcomes)


def _amount(plan: AmountPlan, steps: int) -> float:
    percent = START_PERCENT + steps * plan.step_percent
    return min(plan.goal, plan.baseline * percent / 100)
