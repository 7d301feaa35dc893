"""Prescribed days and days done."""

from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import date, timedelta

import pytest

from companion.care import adherence
from companion.care.adherence import (
    CountedDays,
    days_done,
    days_under_plan,
    is_rest_day,
    plan_on,
    rest_days,
)
from companion.care.records import (
    AnyEntry,
    CautionAnswer,
    Exercise,
    HandsRound,
    Plan,
    Side,
    StepDone,
    Technique,
)
from tests.builders import DAY, at, event, page, plan, session, tape_off, tape_on, warning
from tests.care.content import POLICY
from tests.care.test_trial_days import trial_of


def day(number: int) -> date:
    return DAY + timedelta(days=number)


def counted_days(
    entries: Collection[AnyEntry],
    side: Side,
    plans: Plan | Sequence[Plan],
    first_day: date,
    last_day: date,
    part: adherence.RoutinePart = "hands",
) -> CountedDays:
    return adherence.counted_days(entries, side, plans, first_day, last_day, part, policy=POLICY)


def steps(*outcomes: str) -> tuple[StepDone, ...]:
    return tuple(StepDone(step="glide", outcome=outcome) for outcome in outcomes)  # type: ignore[arg-type]


def test_prescribed_is_rounded() -> None:
    for hands, last, prescribed in [
        (7, 13, 14),
        (5, 13, 10),
        (1, 2, None),
        (1, 3, 1),
        (5, 3, 3),
        (0, 20, 0),
    ]:
        counted = counted_days([], "right", plan(hands_days_a_week=hands), day(0), day(last))
        assert counted.prescribed == prescribed
        assert counted.days == len(counted.open_days) == last + 1


def test_locked_resting_and_taped_days_leave_the_count() -> None:
    """Which days leave the count is our choice (fact: adherence_days_out)."""
    entries: list[AnyEntry] = [
        warning(1, cleared="checked_by_professional", cleared_on=day(3)),
        event(5, side="right"),
        tape_on(at(13, 10)),
        tape_off(at(15, 10)),
    ]
    care_plan = plan(hands_days_a_week=7, exercise_days_a_week=3)
    counted = counted_days(entries, "right", care_plan, day(0), day(20))
    assert counted.locked == (day(1), day(2))
    assert counted.resting == tuple(day(number) for number in range(5, 12))
    assert counted.taped == (day(14), day(15))
    assert counted.days == 21
    assert counted.prescribed == len(counted.open_days) == 21 - 2 - 7 - 2
    exercise = counted_days(entries, "right", care_plan, day(0), day(20), "exercise")
    assert exercise.taped == ()
    assert exercise.prescribed == 5, "12 open days at 3 a week are 5.14; tape stops no exercise"


def test_scored_days_of_a_tape_trial_leave_the_count_of_hands() -> None:
    """Hands rest on scored days in both arms, bare days keep them."""
    trial = trial_of(day(7))
    first = plan(hands_days_a_week=7, exercise_days_a_week=7)
    second = replace(first, trial=trial, version=2, written_on=day(7))
    counted = counted_days([], "right", [first, second], day(0), day(14))
    # From day 7 on a period of a bare day and three scored ones, and again.
    assert counted.in_trial == tuple(day(number) for number in (8, 9, 10, 12, 13, 14))
    assert counted.prescribed == 15 - 6
    assert counted_days([], "left", [first, second], day(0), day(14)).in_trial == ()
    exercise = counted_days([], "right", [first, second], day(0), day(14), "exercise")
    assert (exercise.in_trial, exercise.prescribed) == ((), 15)
    ended = replace(second, trial=None, version=3, written_on=day(10))
    broken_off = counted_days([], "right", [first, second, ended], day(0), day(14))
    assert broken_off.in_trial == (day(8), day(9))


def test_what_a_sign_closed_leaves_the_count_of_that_part() -> None:
    skin = [warning(1, sign="skin_broken", level="call", sides=("right",))]
    prescribed = plan(exercises=(exercise("seated_straightening"),))
    hands = counted_days(skin, "right", prescribed, day(0), day(3))
    assert hands.locked == (day(1), day(2), day(3))
    assert counted_days(skin, "right", prescribed, day(0), day(3), "exercise").locked == ()
    assert counted_days(skin, "left", plan(side="both"), day(0), day(3)).locked == ()
    far = [warning(1, cleared="checked_by_professional", cleared_on=date(9999, 1, 1))]
    assert len(counted_days(far, "right", prescribed, day(0), day(3)).locked) == 3


def test_a_session_cut_short_takes_its_day_out_of_what_it_kept_closed() -> None:
    """Who sat with pain at rest 9 is not behind with hands; who did them before is not either."""
    hurt = replace(session(1), rest_pain=9)
    done = session(2, 5, 3, rounds=(HandsRound(steps=steps("done")),))
    again = replace(session(2), rest_pain=9)
    stroke = Technique(technique="stroke_thigh", seconds=30)
    prescribed = plan(exercises=(exercise("seated_straightening"),), techniques=(stroke,))
    hands = counted_days([hurt, done, again], "right", prescribed, day(0), day(3))
    assert hands.locked == (day(1),)
    exercises = counted_days([hurt], "right", prescribed, day(0), day(3), "exercise")
    assert exercises.locked == (), "seated exercise was open"
    standing = plan(exercises=(exercise("sit_to_stand"),))
    bad = replace(session(1, 9), reason="bad_day")
    assert counted_days([bad], "right", standing, day(0), day(3), "exercise").locked == (day(1),)


def exercise(name: str) -> Exercise:
    return Exercise(exercise=name, repeats=5, sets=1, hold_seconds=0, taught_on=DAY)


@pytest.mark.parametrize(
    ("exercises", "left_out"),
    [(("sit_to_stand", "step_up"), 3), (("sit_to_stand", "seated_straightening"), 0)],
)
def test_a_day_leaves_the_count_of_exercise_when_none_of_them_was_open(
    exercises: tuple[str, ...], left_out: int
) -> None:
    """Giving way closes what is done standing: whoever has nothing else is not behind for it."""
    ticked = [warning(1, sign="gives_way_worse", level="call")]
    prescribed = plan(exercises=tuple(exercise(name) for name in exercises))
    counted = counted_days(ticked, "right", prescribed, day(0), day(3), "exercise")
    assert len(counted.locked) == left_out


def test_rest_days_after_an_injection() -> None:
    """Injection in the last 7 days, rest (fact: injection_rest)."""
    seven = {day(number) for number in range(7)}
    assert rest_days([event(0)], "right") == seven
    assert rest_days([event(0, side="left")], "right") == frozenset()
    assert rest_days([event(0, "fall")], "right") == frozenset()
    answer = CautionAnswer(caution="recent_injection", answer=True, on=day(0))
    assert rest_days([], "right", [plan(cautions=(answer,))]) == seven


def test_a_day_counts_only_under_a_plan_that_treats_the_knee() -> None:
    left = plan(side="left", main_side="left", version=2, written_on=day(7))
    counted = counted_days([], "right", [plan(hands_days_a_week=7), left], day(-7), day(13))
    assert counted.no_plan == tuple(day(n) for n in (*range(-7, 0), *range(7, 14)))
    assert counted.prescribed == len(counted.open_days) == 7
    assert counted_days([], "right", left, day(7), day(13)).prescribed is None
    assert days_under_plan([page(-1), page(0), event(2), page(9)], "right", [plan(), left]) == (
        day(0),
        day(2),
    )
    assert days_under_plan([page(-1)], "right", [plan()]) is None


def test_each_day_goes_by_its_plan() -> None:
    first = plan(hands_days_a_week=7)
    second = plan(hands_days_a_week=3, version=2, written_on=day(7))
    counted = counted_days([], "right", [second, first], day(-2), day(13))
    assert counted.prescribed == 7 + 3
    assert plan_on([second, first], day(6)) is first
    assert plan_on([second, first], day(7)) is second
    assert plan_on([second, first], day(-30)) is first


def test_done_is_one_step_to_its_end() -> None:
    entries: list[AnyEntry] = [
        session(0, 5, 3, rounds=(HandsRound(steps=steps("skipped", "done")),)),
        session(1, 5, rounds=(HandsRound(steps=steps("skipped", "stopped")),)),
        session(2, exercises=steps("done")),
        session(3, 5, rounds=(HandsRound(steps=steps("done")),), side="left"),
        page(4, hands_done=True, exercise_done=True),
        page(5, hands_done=False),
    ]
    assert days_done(entries, "right", "hands") == {day(0), day(4)}
    assert days_done(entries, "right", "exercise") == {day(2), day(4)}


def test_a_day_is_asked_about_as_all_are() -> None:
    """A rest day is one whether all of them are counted or it alone is asked for."""
    injections = [event(10), event(24, side="left")]
    noted = plan(cautions=(CautionAnswer(caution="recent_injection", answer=True, on=day(40)),))
    resting = rest_days(injections, "right", (noted,))
    days = [day(number) for number in range(60)]
    asked = [one for one in days if is_rest_day(injections, "right", (noted,), one)]
    assert asked == sorted(resting)
    assert len(asked) == 14
