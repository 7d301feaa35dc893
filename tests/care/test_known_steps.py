"""Steps somebody knows, told by the diary, and the short evening they make."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

from companion.care.bad_days import BadDays
from companion.care.flow import WalkPage
from companion.care.known_steps import DONE_OFTEN, WITHIN_DAYS, known_steps, together
from companion.care.records import Depth, HandsRound, Outcome, Session, StepDone
from companion.care.routine import (
    DecisionPage,
    DepthPage,
    EachStepPage,
    ExercisePage,
    HandsReadyPage,
    HowSetUpPage,
    KnownStepsPage,
    LookOverPage,
    MovePage,
    RoutineEnd,
    RoutineStart,
    StepHurtPage,
    StepPage,
    ZonesPage,
    routine,
)
from tests.builders import session
from tests.care.walking import CATALOGUE, names_of, pages_of, start_of, taught_plan, walked
from tests.steady import steady

PLAN = taught_plan({"when": "never"}, rounds=1)
NAMES = names_of(PLAN)
HANDS = tuple(one.technique for one in PLAN.techniques)
ONE = NAMES[0]


def _evening(day: int, outcome: Outcome = "done", **fields: Any) -> Session:
    step = StepDone(step=ONE, outcome=outcome, sheet=fields.pop("sheet", None))
    return session(day, 6, 3, rounds=(HandsRound(steps=(step,)),), **fields)


def _known(*sessions: Session) -> tuple[str, ...]:
    return known_steps(PLAN, sessions, "right", CATALOGUE)


# ------------------------------------------------------------ known, or not


def test_a_step_done_five_times_is_known_and_no_other() -> None:
    evenings = [_evening(day) for day in range(DONE_OFTEN)]
    assert _known(*evenings) == (ONE,)
    assert _known(*evenings[1:]) == ()


@pytest.mark.parametrize(
    ("last", "known"),
    [
        (_evening(9, "stopped"), False),
        (_evening(9, "partly"), True),
        (_evening(9, "skipped"), True),
        (_evening(9, side="left"), True),
    ],
    ids=["stopped", "partly", "left out", "the other knee"],
)
def test_a_stop_alone_makes_it_new_again(last: Session, known: bool) -> None:
    evenings = [_evening(day) for day in range(DONE_OFTEN)]
    assert (_known(*evenings, last) == (ONE,)) == known
    after = [_evening(10 + day) for day in range(DONE_OFTEN)]
    assert _known(*evenings, last, *after) == (ONE,)


@pytest.mark.parametrize("fields", [{"plan_version": 2}, {"sheet": 2}, {"place": "clinic"}])
def test_another_plan_another_sheet_or_the_clinic_do_not_count(fields: Any) -> None:
    assert _known(*(_evening(day, **fields) for day in range(2 * DONE_OFTEN))) == ()


def test_what_was_done_long_ago_may_be_forgotten() -> None:
    evenings = [_evening(day) for day in range(DONE_OFTEN - 1)]
    assert _known(*evenings, _evening(WITHIN_DAYS - 1)) == (ONE,)
    assert _known(*evenings, _evening(WITHIN_DAYS)) == ()


def test_whoever_says_so_knows_what_was_done_that_evening() -> None:
    assert _known(_evening(1, knows_steps=True)) == (ONE,)
    assert _known(_evening(1, knows_steps=True), _evening(2, "stopped")) == ()
    assert _known(_evening(1, "partly", knows_steps=True)) == ()


def test_known_steps_that_follow_each_other_share_a_page_of_four() -> None:
    assert [*together("abcdefg", "abdefg")] == [("a", "b"), ("c",), ("d", "e", "f", "g")]
    assert [*together("abcdef", "abcdef")] == [("a", "b", "c", "d"), ("e", "f")]


# ------------------------------------------------------------ the short evening


def _walked(
    by_class: Mapping[str, Any] = {}, start: RoutineStart | None = None, **fields: Any
) -> tuple[list[WalkPage], RoutineEnd]:
    plan = replace(PLAN, **fields)
    start = start or start_of(plan, known_steps=names_of(plan))

    def answer(page: WalkPage) -> Any:
        if isinstance(page, MovePage):  # the mark is met in the first round
            scored = {"score": 6 if page.role == "before" else 2, "depth": "as_plan"}
            return {**steady(page), **scored, **by_class.get("MovePage", {})}
        return {**steady(page), **by_class.get(type(page).__name__, {})}

    pages, _, end = walked(routine(plan, CATALOGUE, start), answer)
    return pages, end


def test_an_ordinary_evening_asks_the_gate_and_six_pages_beside_its_steps() -> None:
    exercises = PLAN.exercises[:4]
    pages, end = _walked(exercises=exercises)
    assert [page.key for page in pages] == [
        "gate",
        "rest_pain",
        "move:before:1",
        "zones:move:before:1",
        "steps:1:1",
        "move:after_hands:1",
        "zones:move:after_hands:1",
        "exercises:1",
        "look_over",
    ]
    assert not pages_of(pages, DepthPage) + pages_of(pages, HandsReadyPage)
    assert not pages_of(pages, DecisionPage)
    (last,) = pages_of(pages, LookOverPage)
    assert last.result is not None
    assert (last.result.before, last.result.latest) == (6, 2)
    assert not last.may_know
    assert end.depth == PLAN.check_move.depth
    done = [step for one in end.rounds for step in one.steps]
    assert [step.step for step in done] == [*HANDS]
    assert {step.outcome for step in (*done, *end.exercises)} == {"done"}


def test_what_was_counted_is_what_is_written() -> None:
    each = [[60, 2], [31, 1], [None, None]]
    _, end = _walked({"KnownStepsPage": {"each": each}}, exercises=())
    (one,) = end.rounds
    assert [[step.seconds, step.counted] for step in one.steps] == each
    assert {step.sheet for step in one.steps} == {1}


def test_not_all_of_it_asks_of_each_and_the_rest_comes_the_long_way() -> None:
    said = dict(zip(HANDS, ("stopped", "partly", "not_yet"), strict=True))
    pages, end = _walked(
        {"KnownStepsPage": {"outcome": "some"}, "EachStepPage": said, "StepHurtPage": {"pain": 8}},
        exercises=(),
    )
    assert [page.technique.technique for page in pages_of(pages, StepPage)] == [HANDS[2]]
    (hurt,) = pages_of(pages, StepHurtPage)
    assert hurt.name == HANDS[0]
    (one,) = end.rounds
    assert [(s.step, s.outcome, s.pain) for s in one.steps] == [
        (HANDS[0], "stopped", 8),
        (HANDS[1], "partly", None),
        (HANDS[2], "done", 2),
    ]


def test_all_of_it_at_once_too_quickly_is_asked_of_each() -> None:
    pages, _ = _walked({"KnownStepsPage": {"took": 3}}, exercises=())
    (each,) = pages_of(pages, EachStepPage)
    assert each.quick


def test_whoever_forgot_is_shown_each() -> None:
    none = dict.fromkeys(HANDS, "not_yet")
    pages, end = _walked(
        {"KnownStepsPage": {"outcome": "some"}, "EachStepPage": none}, exercises=()
    )
    assert len(pages_of(pages, StepPage)) == len(end.rounds[0].steps) == len(HANDS)


def test_an_exercise_in_its_easier_form_or_with_fewer_repeats_has_its_page() -> None:
    easier = tuple(replace(one, on_bad_days="easier") for one in PLAN.exercises)
    plan = replace(PLAN, exercises=easier)
    bad = start_of(plan, known_steps=names_of(plan), bad=BadDays(mark=8))
    pages, _ = _walked({"MovePage": {"score": 8}}, start=bad, exercises=easier)
    shown = {page.exercise.exercise for page in pages_of(pages, ExercisePage) if page.easier}
    together_now = {n for page in pages_of(pages, KnownStepsPage) for n in page.about}
    with_easier = {one.id for one in CATALOGUE.exercises if one.easier is not None}
    assert shown == with_easier & {one.exercise for one in PLAN.exercises}
    assert not shown & together_now


def test_set_up_in_another_way_is_asked_how() -> None:
    pages, end = _walked({"MovePage": {"depth": "other"}, "HowSetUpPage": {"how": "a stool"}})
    assert pages_of(pages, HowSetUpPage)
    assert end.depth == Depth(how_low="a stool")


def test_where_it_hurt_is_not_asked_between_hands_and_tape() -> None:
    plan = taught_plan({"when": "always", "highest": 1}, rounds=1)
    pages, end = _walked(start=start_of(plan, known_steps=names_of(plan)), tape=plan.tape)
    asked = [page.role for page in pages_of(pages, ZonesPage)]
    assert asked == ["before", "after_tape"]
    assert [move.role for move in end.moves] == ["before", "after_hands", "after_tape"]


def test_where_it_hurt_is_asked_before_another_round() -> None:
    pages, _ = _walked({"MovePage": {"score": 6}}, rounds=2, check_moves=6)
    assert [page.role for page in pages_of(pages, ZonesPage)] == ["before"] + ["after_hands"] * 2
    assert [page.round_number for page in pages_of(pages, KnownStepsPage)][:2] == [1, 2]


def test_after_an_evening_page_by_page_one_may_say_that_one_knows_it() -> None:
    start = start_of(PLAN, may_know=True)
    pages, end = _walked({"LookOverPage": {"knows": True}}, start=start)
    assert pages_of(pages, LookOverPage)[0].may_know
    assert end.knows_steps
    stopped = {"StepPage": {"outcome": "stopped", "pain": 9}}
    pages, end = _walked(stopped, start=start)
    assert not pages_of(pages, LookOverPage)[0].may_know
    assert end.knows_steps is None
