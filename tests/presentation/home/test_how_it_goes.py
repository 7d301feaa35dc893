"""Am I better? Now, at first, toward the person's own goal; on Sundays numbers alone."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from companion.care.records import Amount, AmountPlan, Diary, StepDone
from companion.presentation.home.how_it_goes import better_lines, week_lines
from companion.presentation.language.verdict_words import ABLE, BETTER
from tests.builders import page, session
from tests.care.walking import taught_plan
from tests.presentation.wording import faults

WALK = AmountPlan(label="walk to the quay", unit="m", baseline=200, goal=600, step_percent=10)
PLAN = taught_plan(amounts=(WALK,))
START = PLAN.written_on


def diary(scores: list[int], walked: list[float] | None = None) -> Diary:
    walked = walked or [0.0] * len(scores)
    pages = tuple(
        page(
            START + timedelta(days=n),
            pain_average=score,
            amounts=(Amount(label=WALK.label, unit="m", amount=far),) if far else (),
        )
        for n, (score, far) in enumerate(zip(scores, walked, strict=True))
    )
    return Diary(plans=(PLAN,), entries=pages)


def told(made: Diary, today: date) -> tuple[str, ...]:
    lines = better_lines(made, made.entries, ("right",), today)
    # Of two lines full of numbers no grade can be told.
    assert [one for one in faults(lines) if not one.startswith("grade")] == []
    return lines


def test_two_sentences_say_now_at_first_and_the_goal_in_plain_numbers() -> None:
    far = [240.0] * 20 + [320.0] * 10 + [400.0] * 10 + [480.0] * 20
    made = diary([7] * 20 + [6] * 10 + [5] * 10 + [4] * 20, far)
    pain, goal = told(made, START + timedelta(days=59))
    assert pain == "Pain. Now about 4, at first about 7. Lower, likely real."
    assert goal == (
        "Walk to the quay: now about 490, at first about 230. Your goal is 600\u00a0m. "
        "More, likely real."
    )


def test_it_cannot_tell_yet_and_says_the_numbers_there_are() -> None:
    pain, goal = told(diary([5] * 5, [0.0, 0.0, 210.0, 240.0, 200.0]), START + timedelta(days=4))
    assert pain.startswith("Pain. Cannot tell yet if it has changed.")
    assert goal == (
        "Walk to the quay: now at most 240\u00a0m. Your goal is 600\u00a0m. "
        "Cannot tell yet if it has changed."
    )
    assert told(diary([5]), START + timedelta(days=1))[1].startswith(
        "Walk to the quay: nothing written these two weeks. "
    )


def test_each_knee_has_its_own_sentence() -> None:
    made = diary([5] * 5)
    both = Diary(plans=(taught_plan(side="both", main_side="right"),), entries=made.entries)
    lines = better_lines(both, both.entries, ("right", "left"), START)
    assert [line.partition(".")[0] for line in lines] == ["Pain, right knee"]


@pytest.mark.parametrize(("week", "verdict"), [(1, False), (3, False), (4, True), (8, True)])
def test_sundays_say_numbers_and_every_fourth_whether_it_goes_better(
    week: int, verdict: bool
) -> None:
    sunday = START + timedelta(days=7 * week + 6 - START.weekday())
    made = diary([5] * (7 * week + 7))
    did = (StepDone(step="sit_to_stand", outcome="done"),)
    held = session(sunday - timedelta(days=1), 5, 3, exercises=did)
    made = Diary(plans=made.plans, entries=(*made.entries, held))
    lines = week_lines(made, made.entries, sunday)
    assert lines[0].startswith("Days of these seven: exercises 1 (plan: ")
    assert any(line.startswith("Pain.") for line in lines) is verdict
    words = {row.own for _, row in ABLE.items()}
    words |= {row.text("own").partition(". ")[2] for _, row in BETTER.items()}
    if not verdict:
        assert not [one for one in words if one and any(one in line for line in lines)]
    assert week_lines(made, made.entries, sunday + timedelta(days=1)) == ()


def test_of_a_week_away_no_numbers_are_said() -> None:
    sunday = START + timedelta(days=20 - START.weekday())
    made = diary([5])
    assert week_lines(made, made.entries, sunday) == ()
