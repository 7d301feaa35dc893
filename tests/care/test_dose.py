"""Today's dose, by how the knee took the last routines."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.dose import Dose, dose_today, expected_until
from companion.care.records import (
    AfterLast,
    AnyEntry,
    Exercise,
    HandsRound,
    Plan,
    StepDone,
    Technique,
)
from tests.builders import DAY, gate, page, plan, session
from tests.care.content import POLICY

STROKE = Technique(technique="stroke_thigh", seconds=30, taught_on=DAY)
RISE = Exercise(exercise="sit_to_stand", repeats=8, sets=2, taught_on=DAY)
SLIDE = Exercise(exercise="heel_slide", repeats=15, taught_on=DAY)
DID = (HandsRound(steps=(StepDone(step="stroke_thigh", outcome="done"),)),)
MORE, SAME, TWO_HOURS, NOT_KNOWN = (
    "more_next_morning",
    "same",
    "more_gone_2h",
    "cannot_recall",
)
SAID = st.lists(st.sampled_from(get_args(AfterLast)), max_size=20)


def full(**fields: Any) -> Plan:
    whole: dict[str, Any] = {"techniques": (STROKE,), "exercises": (RISE, SLIDE), "rounds": 2}
    return plan(**(whole | fields))


def told(said: Sequence[str | None]) -> list[AnyEntry]:
    """A session a day; each answer is given at the gate of the day after its session."""
    entries: list[AnyEntry] = [session(0, rounds=DID)]
    entries += [
        session(day, rounds=DID, after_last=answer) for day, answer in enumerate(said, start=1)
    ]
    return entries


def dose(said: Sequence[str | None], of: Plan | None = None) -> Dose:
    return dose_today(POLICY, of or full(), told(said), "right", DAY + timedelta(days=len(said)))


def test_the_plans_dose_while_nothing_is_said() -> None:
    assert dose([]) == Dose(steps=0, rounds=2, repeats=(8, 15), why="as_planned")
    assert dose([SAME, TWO_HOURS, SAME]).why == "as_planned"


def test_one_more_keeps_the_dose() -> None:
    once = dose([SAME, MORE])
    assert (once.rounds, once.repeats, once.why) == (2, (8, 15), "more_next_morning_1")
    assert not once.call


@pytest.mark.parametrize("said", [[MORE, MORE], [MORE, SAME, MORE], [MORE, NOT_KNOWN, MORE]])
def test_two_of_the_last_three_take_one_step_down(said: list[str]) -> None:
    """One hands round fewer and two thirds of the repeats: 8 become 6, 15 become 10."""
    assert dose(said) == Dose(steps=1, rounds=1, repeats=(6, 10), why="more_next_morning_2_of_3")


def test_two_with_two_usual_ones_between_keep_the_dose() -> None:
    assert dose([MORE, SAME, SAME, MORE]).steps == 0


def test_still_so_after_three_sessions_on_the_lower_dose_is_told_the_clinic() -> None:
    assert dose([MORE, MORE, MORE, MORE]).why == "more_next_morning_2_of_3"
    still = dose([MORE, MORE, SAME, MORE, MORE])
    assert still == Dose(steps=2, rounds=1, repeats=(4, 8), why="more_goes_on")
    assert still.call


def test_three_usual_sessions_give_a_step_back() -> None:
    lower = [MORE, MORE]
    assert dose([*lower, SAME, SAME]).steps == 1
    back = dose([*lower, SAME, SAME, TWO_HOURS])
    assert (back.steps, back.rounds, back.repeats, back.why) == (0, 2, (8, 15), "given_back")


def test_the_mornings_of_the_plan_take_the_step_down() -> None:
    assert dose([MORE], full(mornings_down=1)).why == "more_next_morning_2_of_3"
    assert dose([MORE, MORE], full(mornings_down=3)).steps == 0
    assert dose([MORE, MORE, MORE], full(mornings_down=3)).steps == 1


def test_more_pain_that_the_plan_expects_is_no_call_until_its_weeks_are_over() -> None:
    said = [MORE, MORE, SAME, MORE, MORE]
    expected = full(expected_weeks=1)
    assert dose(said).call
    last = expected_until(expected)
    assert last == DAY + timedelta(days=6)
    found = [
        dose_today(POLICY, expected, told(said), "right", day)
        for day in (last, last + timedelta(days=1))
    ]
    assert [(one.steps, one.why, one.call) for one in found] == [
        (2, "more_expected", False),
        (2, "more_goes_on", True),
    ]


def test_a_week_above_usual_is_a_call_though_more_pain_is_expected() -> None:
    usual = [page(day, pain_average=3) for day in range(-10, 0)]
    up = [page(day, pain_average=5) for day in range(7)]
    entries = (*told([MORE, MORE, SAME, MORE, MORE]), *usual, *up)
    found = dose_today(POLICY, full(expected_weeks=4), entries, "right", DAY + timedelta(days=6))
    assert found.why == "two_above_usual"
    assert found.call


def test_the_floor_of_the_plan() -> None:
    own = full(rounds=3, floor_rounds=2, floor_repeats_percent=80)
    assert dose([MORE, MORE], own) == Dose(
        steps=1, rounds=2, repeats=(7, 12), why="more_next_morning_2_of_3"
    )


def test_who_is_at_the_floor_already_is_told_to_call() -> None:
    own = full(rounds=1, exercises=(), floor_rounds=1)
    assert dose([MORE, MORE], own) == Dose(steps=0, rounds=1, repeats=(), why="more_goes_on")


def test_a_new_plan_is_a_new_dose() -> None:
    entries = told([MORE, MORE])
    new = full(version=2, written_on=DAY + timedelta(days=3))
    later = session(4, rounds=DID, after_last=MORE, plan_version=2)
    found = dose_today(POLICY, new, (*entries, later), "right", DAY + timedelta(days=4))
    assert (found.steps, found.why) == (0, "as_planned")


def test_an_answer_before_tape_is_about_the_last_session_and_the_last_answer_counts() -> None:
    entries = (*told([MORE]), gate(2, after_last=SAME), gate(2, after_last=MORE))
    today = DAY + timedelta(days=2)
    assert dose_today(POLICY, full(), entries, "right", today).steps == 1
    twice = (session(0, rounds=DID), gate(1, after_last=MORE), gate(1, after_last=MORE))
    assert dose_today(POLICY, full(), twice, "right", today).steps == 0


def test_todays_answer_counts_today() -> None:
    entries = told([MORE])
    today = DAY + timedelta(days=2)
    assert dose_today(POLICY, full(), entries, "right", today, "more_next_morning").steps == 1
    assert dose_today(POLICY, full(), entries, "right", today, "same").steps == 0


def test_a_session_in_which_nothing_was_done_is_not_what_was_asked_about() -> None:
    entries = (session(0), session(1, after_last=MORE), session(2, after_last=MORE))
    assert dose_today(POLICY, full(), entries, "right", DAY).why == "as_planned"


def test_a_week_two_above_usual_is_told_the_clinic() -> None:
    usual = [page(day, pain_average=3) for day in range(10)]
    up = [page(day, pain_average=5) for day in range(10, 17)]
    today = DAY + timedelta(days=16)
    assert dose_today(POLICY, full(), (*usual, *up), "right", today).why == "two_above_usual"
    but_one = (*usual, *up[:-1], page(16, pain_average=4))
    assert dose_today(POLICY, full(), but_one, "right", today).why == "as_planned"
    few = (*usual, *up[-3:])
    assert dose_today(POLICY, full(), few, "right", today).why == "as_planned"


@given(
    SAID,
    st.integers(1, 3),
    st.one_of(st.none(), st.integers(1, 3)),
    st.one_of(st.none(), st.integers(30, 100)),
)
def test_never_more_than_the_plan_nor_less_than_its_floor(
    said: list[str], rounds: int, floor: int | None, percent: int | None
) -> None:
    of = full(rounds=rounds, floor_rounds=floor, floor_repeats_percent=percent)
    found = dose(said, of)
    assert min(floor or 1, rounds) <= found.rounds <= rounds
    for repeats, exercise in zip(found.repeats, of.exercises, strict=True):
        assert (percent or 50) * exercise.repeats <= 100 * repeats <= 100 * exercise.repeats
    if MORE not in said:
        assert (found.steps, found.why) == (0, "as_planned")


@given(SAID)
def test_more_pain_never_raises_the_dose(said: list[str]) -> None:
    """Whatever was said before, one more answer of "more next morning" adds nothing."""
    now, then = dose(said), dose([*said, MORE])
    assert then.rounds <= now.rounds
    assert then.repeats <= now.repeats


@given(SAID)
def test_three_usual_sessions_for_each_step_lead_back_to_the_plan(said: list[str]) -> None:
    assert dose([*said, *[SAME] * 6]).steps == 0
