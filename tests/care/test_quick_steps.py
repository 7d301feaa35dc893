"""A step said to be done sooner than anybody could do it is asked about, once."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

from companion.care.flow import Answer, Completed, Paused, WalkPage, replay
from companion.care.records import Exercise
from companion.care.routine import (
    QuickStepPage,
    RoutineEnd,
    StepStoppedPage,
    routine,
)
from tests.builders import at
from tests.care.walking import CATALOGUE, EXERCISES, TECHNIQUES, start_of, taught_plan
from tests.steady import steady

HANDS = replace(TECHNIQUES[0], seconds=30, repeats=2)
HELD = replace(EXERCISES[0], repeats=10, sets=2, hold_seconds=5)
NOT_HELD = replace(EXERCISES[0], repeats=10, sets=2, hold_seconds=0)


def _walked(
    exercise: Exercise = HELD, **answers: Mapping[str, Any]
) -> tuple[list[WalkPage], RoutineEnd]:
    """A routine of one step and one exercise; answers by the class of a page."""
    plan = taught_plan({"when": "never"}, rounds=1, techniques=(HANDS,), exercises=(exercise,))
    walk = routine(plan, CATALOGUE, start_of(plan))
    given: list[Answer] = []
    pages: list[WalkPage] = []
    while isinstance(position := replay(walk, given), Paused):
        pages.append(position.page)
        said = {**steady(position.page), **answers.get(type(position.page).__name__, {})}
        given.append(Answer(page=position.page.key, submitted=said, at=at(0)))
    assert isinstance(position, Completed)
    return pages, position.end


def _asked(pages: list[WalkPage]) -> list[QuickStepPage]:
    return [page for page in pages if isinstance(page, QuickStepPage)]


@pytest.mark.parametrize(
    ("exercise", "seconds", "too_quick", "well_done"),
    [(HELD, 100, 49, 50), (NOT_HELD, 20, 9, 10)],
    ids=["held", "not held"],
)
def test_how_quick_is_too_quick_follows_from_holds_and_repeats(
    exercise: Exercise, seconds: int, too_quick: int, well_done: int
) -> None:
    pages, _ = _walked(exercise, ExercisePage={"took": too_quick})
    (asked,) = _asked(pages)
    assert (asked.part, asked.name, asked.seconds) == ("exercise", exercise.exercise, seconds)
    assert not _asked(_walked(exercise, ExercisePage={"took": well_done})[0])


@pytest.mark.parametrize("said", ["done", "partly", "skipped"])
def test_it_is_written_as_the_person_says(said: str) -> None:
    pages, end = _walked(StepPage={"took": 2}, QuickStepPage={"outcome": said})
    (asked,) = _asked(pages)
    assert asked.seconds == 60
    (step,) = end.rounds[0].steps
    assert step.outcome == said
    assert end.exercises[0].outcome == "done"


@pytest.mark.parametrize("outcome", ["skipped", "stopped"])
def test_who_leaves_out_or_stops_may_be_as_quick_as_they_like(outcome: str) -> None:
    assert not _asked(_walked(StepPage={"took": 1, "outcome": outcome})[0])


def test_pain_above_the_limit_stops_it_and_asks_nothing_more() -> None:
    pages, end = _walked(StepPage={"took": 1, "pain": 10})
    assert not _asked(pages)
    assert any(isinstance(page, StepStoppedPage) for page in pages)
    assert end.rounds[0].steps[0].outcome == "stopped"


def test_where_nothing_was_timed_nothing_is_asked() -> None:
    assert not _asked(_walked(StepPage={"took": None})[0])
