"""Paced activity amounts."""

from dataclasses import replace
from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from companion.care.pacing import (
    WeekBefore,
    WeekOutcome,
    amount_after,
    amount_in_week,
    paced_since,
    paced_week,
    paced_weeks,
    weeks_to_goal,
)
from companion.care.records import AmountPlan
from tests.builders import DAY
from tests.care.content import whole_plan

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


def test_what_was_not_kept_and_a_flare_hold() -> None:
    """A flare comes by chance once or twice a quarter: it takes nothing back."""
    assert amount_after(WALK) == 160
    assert amount_after(WALK, ["kept", "not_kept"]) == 180
    assert amount_after(WALK, ["kept", "kept", "flare"]) == 200
    assert amount_after(WALK, ["flare", "flare"]) == 160
    assert amount_after(WALK, KEPT_20) == 300
    assert amount_after(WALK, [*KEPT_20, "flare"]) == 300


def test_weeks_as_they_were_recorded() -> None:
    done = {day(2): 160.0, day(8): 170.0, day(15): 180.0, day(16): 90.0, day(23): 200.0}
    weeks = paced_weeks(WALK, day(0), day(30), done, flare_days=[day(24)])
    assert [week.aim for week in weeks] == [160, 180, 180, 200, 200]
    assert [week.first_day for week in weeks] == [day(n) for n in (0, 7, 14, 21, 28)]
    assert [week.before for week in weeks] == [
        None,
        WeekBefore(outcome="kept", aim=160, most=160, days_reached=1),
        WeekBefore(outcome="not_kept", aim=180, most=170, days_reached=0),
        WeekBefore(outcome="kept", aim=180, most=180, days_reached=1),
        WeekBefore(outcome="flare", aim=200, most=200, days_reached=1),
    ]
    assert {week.step for week in weeks} == {20}
    assert [(week.most, week.days_reached) for week in weeks] == [
        (160, 1),
        (170, 0),
        (180, 1),
        (200, 1),
        (None, 0),
    ]


def test_the_first_week_is_the_first_whatever_the_clock_says() -> None:
    (first,) = paced_weeks(WALK, day(0), day(6), {})
    assert (first.aim, first.ends, first.before) == (160, None, None)
    assert len(paced_weeks(WALK, day(3), day(0), {day(0): 999.0})) == 1


def test_nothing_written_holds_and_so_does_a_flare() -> None:
    held = paced_weeks(WALK, day(0), day(7), {})[-1]
    assert held.before == WeekBefore(outcome="not_kept", aim=160, most=None, days_reached=0)
    assert (held.aim, held.ends) == (160, None)
    down = paced_weeks(WALK, day(0), day(7), {day(1): 160.0}, [day(3)])[-1]
    assert (down.aim, down.before and down.before.outcome) == (160, "flare")


def test_an_aim_can_be_typed_and_reached() -> None:
    """Aims are tenths: 80 % of 33 min is 26.4, and 26.4 typed reaches it; 2.05 km is 1.6 km."""
    walk = AmountPlan(label="a", unit="min", baseline=33, goal=60)
    assert [week.aim for week in paced_weeks(walk, day(0), day(7), {day(1): 26.4})] == [26.4, 29.7]
    far = AmountPlan(label="a", unit="km", baseline=2.05, goal=3)
    assert [week.aim for week in paced_weeks(far, day(0), day(7), {day(1): 1.6})] == [1.6, 1.8]


def test_what_comes_in_whole_ones_is_never_asked_in_parts() -> None:
    """6 flights by 10 % a week: 4.8, 5.4, 6 ... would ask for 10.2 flights of stairs."""
    stairs = AmountPlan(label="stairs", unit="flights", baseline=6, goal=12, whole=True)
    weeks = [amount_in_week(stairs, week) for week in range(1, 14)]
    assert weeks == [5, 5, 6, 7, 7, 8, 8, 9, 10, 10, 11, 11, 12]
    assert weeks_to_goal(stairs) == 13
    first, same = paced_weeks(stairs, day(0), day(7), {day(1): 5.0})
    assert (first.aim, first.step, same.aim, same.days_reached) == (5, 1, 5, 0)
    assert amount_in_week(replace(stairs, baseline=1, goal=3), 1) == 1, "none is no amount"


@given(st.integers(1, 60), st.integers(10, 20), st.integers(1, 200), st.integers(1, 400))
def test_whole_ones_stay_within_half_a_one_of_the_plan(
    week: int, step: int, baseline: int, goal: int
) -> None:
    parts = AmountPlan(label="a", unit="m", baseline=baseline, goal=goal, step_percent=step)
    found = amount_in_week(replace(parts, whole=True), week)
    assert found == int(found)
    assert 1 <= found <= goal
    assert abs(found - max(amount_in_week(parts, week), 1)) <= 0.5 + 1e-9


def test_a_plan_that_leaves_the_amount_alone_does_not_begin_it_anew() -> None:
    first = whole_plan(version=1, written_on=day(0), amounts=())
    second = whole_plan(version=2, written_on=day(10), amounts=(WALK,))
    third = whole_plan(version=3, written_on=day(30), amounts=(WALK,), rounds=1)
    fourth = whole_plan(version=4, written_on=day(50), amounts=(replace(WALK, goal=400.0),))
    assert paced_since([first, second, third], WALK) == day(10)
    assert paced_since([third, second, first, fourth], replace(WALK, goal=400.0)) == day(50)


def test_odd_plans() -> None:
    assert weeks_to_goal(AmountPlan(label="a", unit="m", baseline=0, goal=10)) is None
    assert weeks_to_goal(AmountPlan(label="a", unit="m", baseline=100, goal=50)) == 1
    assert amount_in_week(AmountPlan(label="a", unit="m", baseline=100, goal=50), 1) == 50
    assert paced_weeks(AmountPlan(label="a", unit="m", baseline=0, goal=10), DAY, DAY, {}) == ()


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


@given(
    st.dictionaries(st.integers(0, 90), st.floats(0, 30)), st.sets(st.integers(0, 90)),
    st.integers(-3, 90), st.sampled_from([0.0, 10.0]),
)  # fmt: skip
def test_todays_week_is_the_last_of_all(
    amounts: dict[int, float], flares: set[int], today: int, baseline: float
) -> None:
    planned = AmountPlan(label="a", unit="m", baseline=baseline, goal=20)
    done = {DAY + timedelta(days=day): amount for day, amount in amounts.items()}
    flare_days = {DAY + timedelta(days=day) for day in flares}
    weeks = paced_weeks(planned, DAY, DAY + timedelta(days=today), done, flare_days)
    week = paced_week(planned, DAY, DAY + timedelta(days=today), done, flare_days)
    assert week == (weeks[-1] if weeks else None)
