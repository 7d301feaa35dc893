"""The count of a step or an exercise: in order, whole, and nothing counted twice."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.care.counting import (
    CHANGE_SECONDS,
    READY_SECONDS,
    Beat,
    beats_of_all,
    counted,
    exercise_beats,
    length,
    moment,
    technique_beats,
)
from companion.care.records import Exercise, Technique


def held(beats: tuple[Beat, ...], elapsed: float) -> int:
    """The seconds held by then, of all that is counted."""
    return sum(one.seconds for one in counted(beats, elapsed))


TWICE = technique_beats(Technique(technique="glide_inner", seconds=30, repeats=2))
ROUNDS = exercise_beats(Exercise(exercise="heel_raises", repeats=10, sets=2, hold_seconds=5), 60)


def test_a_step_of_thirty_seconds_twice_counts_both_and_the_rest_between() -> None:
    assert [(beat.kind, beat.seconds, beat.number) for beat in TWICE] == [
        ("ready", 5, 1),
        ("hold", 30, 1),
        ("rest", 5, 2),
        ("hold", 30, 2),
    ]
    assert held(TWICE, READY_SECONDS + 29.9) == 29
    assert held(TWICE, 37) == 30
    assert held(TWICE, 10_000) == 60


def test_an_exercise_counts_every_repeat_round_and_rest() -> None:
    assert length(ROUNDS) == 5 + 2 * (10 * 5 + 9 * 3) + 60
    assert held(ROUNDS, length(ROUNDS)) == 2 * 10 * 5
    rest = next(beat for beat in ROUNDS if beat.kind == "rest")
    assert (rest.seconds, rest.turn, rest.turns) == (60, 2, 2)
    assert held(ROUNDS, 5 + 10 * 5 + 9 * 3 + 30) == 50
    without = exercise_beats(Exercise(exercise="sit_to_stand", repeats=8, sets=1), 60)
    assert [beat.kind for beat in without] == ["ready", *["hold"] * 8]


def test_where_a_moment_is() -> None:
    assert (moment(TWICE, 0).beat.kind, moment(TWICE, 0).to_come) == ("ready", 5)
    assert (moment(TWICE, 5).beat.kind, moment(TWICE, 5).passed) == ("hold", 0)
    end = moment(TWICE, length(TWICE))
    assert (end.beat, end.to_come) == (TWICE[-1], 0)
    with pytest.raises(ValueError, match="nothing to count"):
        moment((), 0)


@settings(max_examples=25)
@given(
    repeats=st.integers(1, 12),
    sets=st.integers(1, 4),
    hold=st.integers(0, 20),
    share=st.floats(0, 1.2),
)
def test_what_was_counted_only_grows(repeats: int, sets: int, hold: int, share: float) -> None:
    beats = exercise_beats(
        Exercise(exercise="heel_raises", repeats=repeats, sets=sets, hold_seconds=hold), 45
    )
    at = share * length(beats)
    assert held(beats, at) <= held(beats, at + 1) <= held(beats, at) + 1


def test_what_came_to_its_end_is_counted_over_all_rounds() -> None:
    assert counted(TWICE, READY_SECONDS + 29.9)[0].times == 0
    assert counted(TWICE, READY_SECONDS + 30)[0].times == 1
    assert counted(ROUNDS, length(ROUNDS))[0].times == 20
    assert counted(ROUNDS, 5 + 10 * 5 + 9 * 3 + 60 + 5)[0].times == 11


def test_several_steps_are_one_count_and_each_keeps_its_own() -> None:
    both = beats_of_all((TWICE, ROUNDS))
    assert [beat.step for beat in both if beat.kind == "ready"] == [0, 1]
    assert length(both) == length(TWICE) + length(ROUNDS) + CHANGE_SECONDS - READY_SECONDS
    whole = counted(both, length(both))
    assert [(one.seconds, one.times) for one in whole] == [(60, 2), (100, 20)]
    first = counted(both, length(TWICE) + CHANGE_SECONDS)
    assert [(one.seconds, one.times) for one in first] == [(60, 2), (0, 0)]
