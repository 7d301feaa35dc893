"""A walk is the answers given to it: the same answers give the same page."""

from dataclasses import dataclass
from functools import partial
from typing import Any

import pytest
from hypothesis import given, settings

from companion.care.day_questions import DayStart, day_walk
from companion.care.flow import Answer, Completed, Paused, Walk, replay
from companion.care.routine import routine
from companion.care.stopping import StopStart, stop_walk
from companion.care.taping import TapeOnStart, tape_check_walk, tape_off_walk, tape_on_walk
from tests.builders import at
from tests.care.walking import (
    CATALOGUE,
    Choose,
    any_answer,
    any_plan,
    any_start,
    choices,
    walked,
)

SIGNS = tuple(sign.id for sign in CATALOGUE.stop_list.signs)


@dataclass(frozen=True)
class Ask:
    key: str


def _two_questions() -> Walk[str]:
    first = yield Ask("name")
    if first["name"] == "stop":
        return "stopped"
    second = yield Ask(f"for {first['name']}")
    return f"{first['name']} {second['age']}"


def _answer(page: str, **submitted: Any) -> Answer:
    return Answer(page=page, submitted=submitted, at=at(0))


def test_no_answer_shows_the_first_page() -> None:
    position = replay(_two_questions, ())
    assert position == Paused(page=Ask("name"), answers=())


def test_the_last_answer_ends_it() -> None:
    position = replay(_two_questions, [_answer("name", name="K"), _answer("for K", age=3)])
    assert isinstance(position, Completed)
    assert position.end == "K 3"


def test_answers_that_no_longer_fit_are_cut() -> None:
    answers = [_answer("name", name="K"), _answer("for L", age=3), _answer("for K", age=4)]
    position = replay(_two_questions, answers)
    assert position == Paused(page=Ask("for K"), answers=tuple(answers[:1]))


def test_answers_after_the_end_are_cut() -> None:
    answers = [_answer("name", name="stop"), _answer("for stop", age=3)]
    position = replay(_two_questions, answers)
    assert position == Completed(end="stopped", answers=tuple(answers[:1]))


@settings(max_examples=150)
@given(choices)
def test_every_walk_replays_to_the_page_it_stood_on(choose: Choose) -> None:
    """The property the whole of Home stands on: to be killed is to be replayed."""
    plan = any_plan(choose)
    start = any_start(choose, plan)
    walk = choose(
        [
            routine(plan, CATALOGUE, start),
            lambda: stop_walk(CATALOGUE, StopStart(asked=SIGNS)),
            lambda: tape_on_walk(CATALOGUE, TapeOnStart(stage=1, asked_signs=SIGNS)),
            tape_off_walk,
            tape_check_walk,
            lambda: day_walk(DayStart(side="right", form="full", taped=True), CATALOGUE),
        ]
    )
    pages, answers, end = walked(walk, lambda page: any_answer(page, choose))
    assert len({page.key for page in pages}) == len(pages), "two pages of a walk share a key"
    for count, page in enumerate(pages):
        there = Paused(page=page, answers=tuple(answers[:count]))
        assert replay(walk, answers[:count]) == there
        # Going back is dropping the last answer.
        assert replay(walk, answers[: count + 1][:-1]) == there
    done = replay(walk, answers)
    assert isinstance(done, Completed)
    assert done.end == end


@pytest.mark.parametrize("cut", [0, 1, 3])
def test_an_answer_in_between_that_names_another_page_ends_the_replay(cut: int) -> None:
    walk = partial(day_walk, DayStart(side="right", form="short"), CATALOGUE)
    pages, answers, _ = walked(walk, lambda page: any_answer(page, lambda of: of[0]))
    strange = [*answers[:cut], _answer("another", x=1), *answers[cut + 1 :]]
    position = replay(walk, strange)
    assert position == Paused(page=pages[cut], answers=tuple(answers[:cut]))
