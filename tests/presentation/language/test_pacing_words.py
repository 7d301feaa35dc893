"""The paced amounts in words: every reason, no blame, and the weeks as rows."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from companion.care.day_questions import AmountsPage
from companion.care.outing_questions import AmountMeantPage
from companion.care.pacing import PacedWeek, paced_weeks
from companion.care.records import AmountPlan
from companion.presentation.home.walk_pages import ViewContext, page_view
from companion.presentation.language.pacing_words import reason_words, week_rows
from companion.presentation.view.page import Number
from tests.care.walking import CATALOGUE, taught_plan
from tests.presentation.wording import faults, lines

MONDAY = date(2026, 9, 7)
SETTING = ViewContext(plan=taught_plan(), side="right", catalogue=CATALOGUE)
WALK = AmountPlan(label="Walk to the quay", unit="m", baseline=200, goal=300)


def weeks(done: dict[int, float], flare: tuple[int, ...] = (), n: int = 1) -> tuple[PacedWeek, ...]:
    """The first `n` weeks and the one after them; days count from the first Monday."""
    return paced_weeks(
        WALK,
        MONDAY,
        MONDAY + timedelta(days=7 * n),
        {MONDAY + timedelta(days=day): amount for day, amount in done.items()},
        [MONDAY + timedelta(days=day) for day in flare],
    )


def up_to(goal_week: int) -> dict[int, float]:
    return {7 * week + 1: 300.0 for week in range(goal_week)}


CASES = {
    "first": (
        weeks({})[:1],
        "Your plan starts a little below your usual. Then it goes up by 20 m a week.",
    ),
    "kept": (
        weeks({1: 160, 3: 175, 5: 90}),
        "Last week: 160 m on 2 days, so this week 180 m. Your plan says a step of 20 m each week.",
    ),
    "held": (
        weeks({1: 150}),
        "Last week: at most 150 m. 160 m was not reached, so the same again.",
    ),
    "not written": (weeks({}), "Nothing is written down for last week, so the same again."),
    "flare": (
        weeks({1: 160, 8: 180}, flare=(9,), n=2),
        (
            "Last week your pain was higher for some days, so the same again. "
            "Such days come by chance too, so nothing is taken back."
        ),
    ),
    "to the goal": (
        weeks(up_to(7), n=7),
        "Last week: 280 m on 1 day, so this week 300 m. That is the goal in your plan.",
    ),
    "at the goal": (
        weeks(up_to(8), n=8),
        "Last week: 300 m on 1 day. That is your goal, so it stays.",
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_every_reason_in_words(name: str) -> None:
    shown, words = CASES[name]
    assert " ".join(reason_words(shown[-1])).replace("\u00a0", " ") == words
    page = AmountsPage(amounts=(WALK,), aims=(shown[-1],))
    assert not faults(lines(page_view(page, SETTING)))


def test_whole_ones_are_told_as_whole_ones() -> None:
    stairs = AmountPlan(label="Stairs", unit="flights", baseline=6, goal=12, whole=True)
    done = {MONDAY + timedelta(days=1): 5.0}
    shown = paced_weeks(stairs, MONDAY, MONDAY + timedelta(days=7), done)
    told = [" ".join(reason_words(week)).replace("\u00a0", " ") for week in shown]
    assert told == [
        "Your plan starts a little below your usual. Then it goes up by about 1 a week.",
        "Last week: 5 flights on 1 day. The next step is less than one, so the same again.",
    ]
    rows = week_rows(shown, MONDAY, MONDAY + timedelta(days=13))
    assert rows[-1][-1] == "a step under one: it stays"
    assert not any("." in str(cell) for row in rows for cell in row[1:])


def test_an_amount_below_the_goal_from_the_start_is_the_goal() -> None:
    small = AmountPlan(label="a", unit="m", baseline=100, goal=50)
    (first,) = paced_weeks(small, MONDAY, MONDAY, {})
    assert reason_words(first) == ("That is the goal in your plan.",)


def test_steps_of_less_than_a_tenth_are_not_called_the_goal() -> None:
    """Half a kilometre and 10 % of it: 0.4, 0.45, 0.5, each shown and typed in tenths (D)."""
    short = AmountPlan(label="Walk", unit="km", baseline=0.5, goal=1, step_percent=10)
    kept = {MONDAY + timedelta(days=7 * week): 1.0 for week in range(3)}
    shown = paced_weeks(short, MONDAY, MONDAY + timedelta(days=14), kept)
    assert [week.aim for week in shown] == [0.4, 0.5, 0.5]
    said = " ".join(reason_words(shown[-1])).replace("\u00a0", " ")
    assert said == (
        "Last week: 0.5 km on 1 day. The next step is less than a tenth, so the same again."
    )
    rows = week_rows(shown, MONDAY, MONDAY + timedelta(days=30))
    assert [row[3] for row in rows] == [
        "not over yet",
        "a step under a tenth: it stays",
        "one step up",
    ]
    tiny = replace(short, baseline=0.3)
    for weeks_on in range(4):
        week = paced_weeks(tiny, MONDAY, MONDAY + timedelta(days=7 * weeks_on), kept)[-1]
        words = " ".join(reason_words(week)).replace("\u00a0", " ")
        assert " 0 km" not in words
        assert "goal" not in words
    down = paced_weeks(
        short, MONDAY, MONDAY + timedelta(days=21), kept, [MONDAY + timedelta(days=17)]
    )
    assert "lowest" not in " ".join(reason_words(down[-1]))


def test_the_aim_stands_beside_its_question_and_fills_nothing_in() -> None:
    aim = CASES["kept"][0][-1]
    views = (
        page_view(AmountsPage(amounts=(WALK,), aims=(aim,)), SETTING),
        page_view(AmountMeantPage(planned=WALK, aim=aim), SETTING),
    )
    for view in views:
        told = [line.replace("\u00a0", " ") for line in lines(view)]
        assert "Planned this week: 180 m in a day." in told
        assert any("so this week 180 m" in line for line in told)
        (number,) = [block for block in view.blocks if isinstance(block, Number)]
        assert (number.needed, number.decimals) == (False, 1)
        assert not faults(told)
    plain = page_view(AmountsPage(amounts=(WALK,)), SETTING)
    assert not any("This week" in line for line in lines(plain))


def test_the_weeks_as_rows_newest_first() -> None:
    shown = weeks({1: 160, 3: 175, 8: 170, 15: 180, 29: 190}, flare=(22,), n=4)
    assert week_rows(shown, MONDAY, MONDAY + timedelta(days=60)) == (
        ("5 Oct", "200", "190, not reached", "not over yet"),
        ("28 Sep", "200", None, "a flare: the same again"),
        ("21 Sep", "180", "180, reached on 1 day", "one step up"),
        ("14 Sep", "180", "170, not reached", "the same again"),
        ("7 Sep", "160", "175, reached on 2 days", "one step up"),
    )
    assert [
        row[0] for row in week_rows(shown, MONDAY + timedelta(days=14), MONDAY + timedelta(days=20))
    ] == ["21 Sep"]
    at_goal = week_rows(weeks(up_to(9), n=9), MONDAY, MONDAY + timedelta(days=90))
    assert at_goal[1][3] == "at the goal: it stays"
