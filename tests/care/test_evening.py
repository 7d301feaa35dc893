"""One evening of two knees: what both do at once comes once, and what closes one knee closes the
other only where rule r14 says so."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings

from companion.care.bad_days import BadDays
from companion.care.dose import Dose
from companion.care.evening import (
    BothExercisePage,
    BothExercisesPage,
    BothMovePage,
    EveningEnd,
    EveningStart,
    evening,
    evening_so_far,
)
from companion.care.flow import WalkPage, knee_of
from companion.care.records import Plan
from companion.care.routine import (
    BadDayPage,
    ExercisePage,
    KnownStepsPage,
    MovePage,
    SaidDose,
    StepPage,
)
from companion.care.stopping import CardPage, GatePage, WhichKneePage
from tests.care.walking import (
    CATALOGUE,
    EXERCISES,
    SIGNS,
    Choose,
    any_answer,
    any_plan,
    any_start,
    choices,
    names_of,
    pages_of,
    start_of,
    taught_plan,
    ticking,
    walked,
)
from tests.steady import steady

_ONCE = ("heel_raises", "thigh_tightening")
PLAN = taught_plan(
    {"when": "never"},
    rounds=1,
    side="both",
    exercises=tuple(one for one in EXERCISES if one.exercise in _ONCE),
)


def start(plan: Plan = PLAN, *, short: bool = True, **fields: Any) -> EveningStart:
    known = names_of(plan) if short else ()
    knees = tuple(
        start_of(plan, side=side, known_steps=known, two_knees=True, **fields)
        for side in ("right", "left")
    )
    return EveningStart(
        knees=knees, asked_signs=SIGNS, two_knees=True, after_last_of=("right", "left")
    )


def walk(
    by_key: dict[str, Any] | None = None, begun: EveningStart | None = None, plan: Plan = PLAN
) -> tuple[list[WalkPage], EveningEnd]:
    said = by_key or {}

    def answer(page: WalkPage) -> Any:
        if isinstance(page, BothMovePage):
            score = 6 if page.moves[0].role == "before" else 2
            both = {"right": score, "left": score, "same_depth": True, "depth": "as_plan"}
            return both | said.get(page.key, {})
        return {**steady(page), **said.get(page.key, {})}

    pages, _, end = walked(evening(plan, CATALOGUE, begun or start()), answer)
    return pages, end


def test_an_ordinary_evening_of_two_knees_is_sixteen_pages_at_most() -> None:
    pages, end = walk()
    assert [page.key for page in pages] == [
        *("gate", "both:rest_pain", "both:move:before:1"),
        *("right:zones:move:before:1", "left:zones:move:before:1"),
        *("right:steps:1:1", "left:steps:1:1", "both:move:after_hands:1"),
        *("right:zones:move:after_hands:1", "left:zones:move:after_hands:1"),
        *("both:exercises:1", "both:look_over"),
    ]
    assert end.sides == ("right", "left")
    for own in end.ends:
        assert [move.score for move in own.moves] == [6, 2]
        assert [step.step for step in own.exercises] == [*_ONCE]


def test_heels_are_raised_once_and_one_leg_after_the_other_is_counted_for_itself() -> None:
    pages, end = walk({"both:exercises:1": {"each": [[20, 10], [50, 10], [45, 9]]}})
    (page,) = pages_of(pages, BothExercisesPage)
    assert page.legs == ((_ONCE[0], None), (_ONCE[1], "right"), (_ONCE[1], "left"))
    counted = [[step.counted for step in own.exercises] for own in end.ends]
    assert counted == [[10, 10], [10, 9]]


def test_with_a_smaller_dose_for_one_knee_heels_are_still_raised_once_and_less_often() -> None:
    less = Dose(steps=1, rounds=1, repeats=(6, 6), why="more_next_morning_2_of_3")
    begun = start()
    right, left = begun.knees
    right = replace(right, doses=(SaidDose(said=None, dose=less),))
    pages, end = walk(begun=replace(begun, knees=(right, left), after_last_of=()))
    (page,) = pages_of(pages, BothExercisePage)
    assert (page.page.exercise.exercise, page.page.exercise.repeats) == (_ONCE[0], 6)
    alone = [p.exercise.exercise for p in pages if isinstance(p, ExercisePage)]
    assert alone == [_ONCE[1]] * 2
    assert all([step.step for step in own.exercises] == [*_ONCE] for own in end.ends)


def test_each_knee_has_its_own_scores_and_goes_its_own_way() -> None:
    plan = replace(PLAN, rounds=2, check_moves=6)
    pages, end = walk(
        {
            "both:move:after_hands:1": {"right": 2, "left": 6},
            "left:move:after_hands:2": {"score": 3},
        },
        start(plan),
        plan,
    )
    keys = [page.key for page in pages]
    assert "left:steps:2:1" in keys
    assert "right:steps:2:1" not in keys
    assert keys.index("left:move:after_hands:2") < keys.index("both:exercises:1")
    assert [[move.score for move in own.moves] for own in end.ends] == [[6, 2], [6, 6, 3]]


def test_a_bad_day_of_one_knee_is_one_of_the_other() -> None:
    pages, _ = walk({"both:move:before:1": {"right": 9, "left": 3}}, start(bad=BadDays(mark=8)))
    whys = {knee_of(page): page.why for page in pages if isinstance(page, BadDayPage)}
    assert whys == {"right": "mark", "left": "other_knee"}


@pytest.mark.parametrize("short", [True, False], ids=["short", "page by page"])
def test_a_sign_of_one_knee_leaves_the_others_hands_open(short: bool) -> None:
    """Rule r14: standing and the check move are closed for both, hands for its own alone."""
    sign = "lump"
    said = {**ticking(sign), f"list:1:{sign}:card:knee": {"knee": "left"}}
    pages, _ = walk(said, start(short=short))
    assert pages_of(pages, WhichKneePage)
    hands = {
        knee_of(page)
        for page in pages
        if isinstance(page, StepPage) or (isinstance(page, KnownStepsPage) and page.part == "hands")
    }
    assert hands == {"right"}
    closed = {*CATALOGUE.policy.sign(sign).parts} & {"check_move", "standing"}
    moved = any(isinstance(page, BothMovePage | MovePage) for page in pages)
    assert moved == ("check_move" not in closed)


def test_how_each_knee_took_the_last_routine_is_asked_on_the_one_gate() -> None:
    more = {"after_last:right": "same", "after_last:left": "more_next_morning"}
    pages, end = walk({"gate": {**steady(GatePage()), **more}})
    assert len(pages_of(pages, GatePage)) == 1
    assert [own.after_last for own in end.ends] == ["same", "more_next_morning"]


@settings(max_examples=60)
@given(choices)
def test_any_answers_come_to_an_end_with_both_sessions(choose: Choose) -> None:
    """Keys are unique, both sessions are there, nothing follows a card that ends the evening, and
    what was done so far is a beginning of what is held in the end."""
    plan = replace(any_plan(choose), side="both")
    knees = tuple(
        replace(any_start(choose, plan), side=side, open_signs=(), known_signs=(), two_knees=True)
        for side in ("right", "left")
    )
    begun = EveningStart(knees=knees, asked_signs=SIGNS, two_knees=True)

    def answer(page: WalkPage) -> Any:
        return any_answer(page, choose)

    pages, answers, end = walked(evening(plan, CATALOGUE, begun), answer)
    assert len({page.key for page in pages}) == len(pages)
    assert end.sides == ("right", "left")
    if end.reason == "card":
        assert isinstance(pages[-1], CardPage | WhichKneePage) or "card" in pages[-1].key
    count = choose(range(len(pages)))
    given_so_far = [one.submitted for one in answers[:count]]
    held = evening_so_far(plan, CATALOGUE, begun, given_so_far, ended="left", reason="wanted")
    for so_far, whole in zip(held.ends, end.ends, strict=True):
        assert so_far.moves == whole.moves[: len(so_far.moves)]
        assert so_far.exercises == whole.exercises[: len(so_far.exercises)]
