"""Paced activity amounts."""

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from companion.care.pacing import (
    WeekOutcome,
    amount_after,
    amount_in_week,
    week_outcomes,
    weeks_to_goal,
)
from companion.care.records import AmountPlan
from tests.care.made import DAY

WALK = AmountPlan(label="to the harbour", unit="m", baseline=200, goal=300, step_percent=10)


KEPT_20: list[WeekOutcome] = ["kept"] * 20


def day(number: int) -> date:
    return DAY + timedelta(days=number)


def test_the_worked_example() -> None:
    """200 m, goal 300 m: 160, 180 ... 300 in week 8 (therapeutic guideline text, S, D)."""
    weeks = [amount_in_week(WALK, week) for week in range(1, 10)]
    assert weeks == [160, 180, 200, 220, 240, 260, 280, 300, 300]
    assert weeks_to_goal(WALK) == 8


def test_steps_are_of_the_baseline_up_to_20_percent() -> None:
    fast = AmountPlan(label="steps", unit="steps", baseline=1000, goal=1350, step_percent=20)
    assert [amount_in_week(fast, week) for week in range(1, 6)] == [800, 1000, 1200, 1350, 1350]
    assert weeks_to_goal(fast) == 4


def test_hold_and_step_down() -> None:
    assert amount_after(WALK) == 160
    assert amount_after(WALK, ["kept", "not_kept"]) == 180
    assert amount_after(WALK, ["kept", "kept", "flare"]) == 180
    assert amount_after(WALK, ["flare", "flare"]) == 160
    assert amount_after(WALK, KEPT_20) == 300
    assert amount_after(WALK, [*KEPT_20, "flare"]) == 280, "a step down from the goal is one"


def test_weeks_as_they_were_recorded() -> None:
    done = {day(2): 160.0, day(8): 170.0, day(15): 180.0, day(16): 90.0, day(23): 200.0}
    outcomes = week_outcomes(WALK, day(0), day(30), done, flare_days=[day(24)])
    assert outcomes == ("kept", "not_kept", "kept", "flare")
    assert amount_after(WALK, outcomes) == 180
    assert week_outcomes(WALK, day(0), day(6), done) == ()
    assert week_outcomes(WALK, day(3), day(0), done) == ()


def test_odd_plans() -> None:
    assert weeks_to_goal(AmountPlan(label="a", unit="m", baseline=0, goal=10)) is None
    assert weeks_to_goal(AmountPlan(label="a", unit="m", baseline=100, goal=50)) == 1
    assert amount_in_week(AmountPlan(label="a", unit="m", baseline=100, goal=50), 1) == 50


@given(
    st.lists(st.sampled_from(["kept", "not_kept", "flare"]), max_size=30),
    st.integers(10, 20),
    st.integers(1, 1000),
    st.integers(1, 2000),
)
def test_between_start_and_goal(weeks: list[str], step: int, baseline: int, goal: int) -> None:
    amount = AmountPlan(label="a", unit="m", baseline=baseline, goal=goal, step_percent=step)
    found = amount_after(amount, weeks)  # type: ignore[arg-type]
    assert min(goal, baseline * 0.8) - 1e-9 <= found <= goal
