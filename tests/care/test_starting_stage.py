"""Rule 4, last sentence: the starting stage."""

from hypothesis import given
from hypothesis import strategies as st

from companion.care.starting_stage import starting_stage
from tests.builders import plan, session

MET_1 = (8, 6, (1, 4))
MET_2 = (8, 6, (1, 6), (2, 4))
MISSED = (8, 6, (1, 5))
HANDS_ONLY = (8, 4)


def stage(*sessions: tuple[object, ...], **tape: object) -> int:
    entries = [session(day, *scores) for day, scores in enumerate(sessions)]  # type: ignore[arg-type]
    return starting_stage(plan(tape=tape), "right", entries)


def test_two_of_the_last_three_taped_sessions() -> None:
    assert stage() == 1
    assert stage(MET_2, MET_2) == 2
    assert stage(MET_2, MISSED, MET_2) == 2
    assert stage(MET_2, MET_2, MISSED, MISSED) == 1, "the first lies before the last three"
    assert stage(MET_1, MET_1, MET_2, start=2) == 1
    assert stage(MET_1, MET_2, MISSED, start=2) == 2
    assert stage(MET_2, MET_2, HANDS_ONLY, HANDS_ONLY) == 2, "sessions without tape do not count"


def test_never_above_the_highest() -> None:
    assert stage(MET_2, MET_2, highest=1) == 1
    assert stage(start=2, highest=1) == 1
    assert stage(MET_1, MET_1, highest=0) == 0
    assert stage(MET_1, MET_1, when="never") == 0


def test_only_this_knee_and_this_plan() -> None:
    care_plan = plan()
    other = [session(day, *MET_2, side="left") for day in range(3)]
    assert starting_stage(care_plan, "right", other) == 1
    older = [session(day, *MET_2, plan_version=2) for day in range(3)]
    assert starting_stage(care_plan, "right", older) == 1


def test_not_comparable_or_not_scored_met_nothing() -> None:
    care_plan = plan()
    odd = [session(day, *MET_2, comparable=False) for day in range(3)]
    assert starting_stage(care_plan, "right", odd) == 1
    unscored = [session(day, 8, 6, stage=1) for day in range(2, 5)]
    met = [session(day, *MET_2) for day in range(2)]
    assert starting_stage(care_plan, "right", [*met, *unscored]) == 1


scores = st.integers(0, 10)


@given(
    st.lists(st.tuples(scores, scores, st.tuples(st.integers(1, 2), scores)), max_size=6),
    st.integers(1, 2),
    st.integers(0, 2),
)
def test_no_history_takes_it_past_the_plan(
    history: list[tuple[int, int, tuple[int, int]]], start: int, highest: int
) -> None:
    assert 0 <= stage(*history, start=start, highest=highest) <= highest
