"""What stops a step, and what the tape's own feelings ask for."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.step_limits import TAPE_FEELINGS, StepLimit, felt_from_tape, step_limit
from tests.builders import plan

SCORES = st.integers(0, 10)


def test_hands_stop_above_the_ceiling_and_too_far_above_the_pain_at_rest() -> None:
    of = plan(pain_ceiling=5, stop_amount=2)
    assert step_limit("hands", of, None) == StepLimit(5, "above_ceiling")
    assert step_limit("hands", of, 1) == StepLimit(3, "above_rest")
    assert step_limit("hands", of, 4) == StepLimit(5, "above_ceiling")


def test_exercise_stops_above_its_own_ceiling_alone() -> None:
    """Pain in exercise is judged by its height and the next morning, not by its rise: zones of
    Ageberg 2010 (fact: pain_zone_acceptable)."""
    of = plan(pain_ceiling=5, stop_amount=2)
    assert step_limit("exercise", of, 0) == StepLimit(5, "above_ceiling")
    own = plan(pain_ceiling=5, exercise_ceiling=4)
    assert step_limit("exercise", own, 0).most == 4
    assert step_limit("hands", own, None).most == 5


@pytest.mark.parametrize(("rest", "most"), [(6, 7), (7, 8), (8, 9), (9, 9), (10, 9)])
def test_who_hurts_more_than_the_ceiling_at_rest_stops_at_two_above_where_it_began(
    rest: int, most: int
) -> None:
    """A ceiling of 5 would stop every exercise of somebody with 6 at rest before it began."""
    assert step_limit("exercise", plan(), rest) == StepLimit(most, "above_rest")


@given(
    SCORES,
    st.integers(1, 9),
    st.one_of(st.none(), st.integers(1, 9)),
    st.integers(1, 5),
    st.sampled_from(["hands", "exercise"]),
)
def test_the_worst_possible_pain_stops_every_step(
    rest: int, ceiling: int, own: int | None, rise: int, part: str
) -> None:
    of = plan(pain_ceiling=ceiling, exercise_ceiling=own, stop_amount=rise)
    limit = step_limit(part, of, rest)  # type: ignore[arg-type]
    assert 0 <= limit.most < 10
    assert limit.most <= max(ceiling, own or 0) or rest > min(ceiling, own or 9)
    if part == "hands":
        assert limit.most <= rest + rise


def test_any_feeling_of_the_tape_is_tape_off_now() -> None:
    assert felt_from_tape(()) == ()
    for feeling in TAPE_FEELINGS:
        assert felt_from_tape([feeling]) == (feeling,)
    assert felt_from_tape(["pain", "itch"]) == ("itch", "pain")
