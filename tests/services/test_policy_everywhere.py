"""The policy both ways, in every walk: nothing closed is offered, everything open is, and whoever
is closed out gets open again by steps that exist on screen."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from itertools import chain, combinations
from typing import Any

import pytest

from companion.care.clearing import CheckedPage, OpenCardPage, OpenSignPage, TalkedPage
from companion.care.closures import closures
from companion.care.flow import Given, WalkPage
from companion.care.levels import PARTS
from companion.care.policy import SignPolicy
from companion.care.ready import ReadyPage
from companion.care.records import (
    AnyEntry,
    CautionAnswer,
    Cleared,
    Depth,
    HandsRound,
    Part,
    Plan,
    Side,
    StepDone,
)
from companion.care.routine import ExercisePage, KnownStepsPage, MovePage, routine
from companion.care.stopping import CardPage, GatePage, StopListPage, WhichKneePage
from companion.presentation.home.walk_pages import ViewContext, page_view
from companion.presentation.view.page import Choose
from companion.services.front import front
from companion.services.patch_test import PatchWalk
from companion.services.routine import RoutineWalk
from companion.services.signs import ClearWalk
from companion.services.walks import WalkKind
from tests.builders import DAY, at, session, tape_off, tape_on, warning
from tests.care.asking import opens_all, opens_nothing
from tests.care.walking import CATALOGUE, names_of, start_of, taught_plan, walked
from tests.services.context_for_tests import HandClock
from tests.services.offered import (
    WALKS,
    in_memory,
    of_knee,
    offered,
    out_and_home,
    pages_of_walk,
    parts_offered,
    shut_by,
)
from tests.steady import steady

POLICY = CATALOGUE.policy
_SESSION = session(9, 6, 3, full_list=True, plan_version=1, gate="none")
BEFORE: tuple[AnyEntry, ...] = (
    _SESSION,
    tape_on(at(4)),
    tape_off(at(6, 12), skin_after_30_min="clear"),
)
"""A diary in which the full list is not due."""
PLAN = taught_plan({"when": "always", "highest": 1}, side="both", chair_stand="alone")


def _done(step: str) -> StepDone:
    return StepDone(step=step, outcome="done")


KNOWN: tuple[AnyEntry, ...] = (
    replace(
        _SESSION,
        knows_steps=True,
        rounds=(HandsRound(steps=tuple(_done(one.technique) for one in PLAN.techniques)),),
        exercises=tuple(_done(one.exercise) for one in PLAN.exercises),
    ),
    *BEFORE[1:],
)
"""The same of somebody who knows every step, so that the evening is a short one."""
LASTING = [row for row in (*POLICY.signs, *POLICY.unknown) if not row.for_session]
"""Signs that stay open after the session in which they were ticked, those that nobody here knows
among them."""


def level(sign: str) -> str:
    return CATALOGUE.sign(sign).level


# ---------------------------------------------------------------- (a) and (b), part by part


def _every_choice() -> list[tuple[Part, ...]]:
    return [*chain.from_iterable(combinations(PARTS, n) for n in range(len(PARTS) + 1))]


@pytest.mark.parametrize("short", [False, True], ids=["page by page", "short"])
@pytest.mark.parametrize("closed", _every_choice(), ids=lambda parts: "-".join(parts) or "none")
def test_the_routine_offers_what_is_open_and_nothing_else(
    closed: tuple[Part, ...], short: bool
) -> None:
    """Over every choice of closed parts. Without hands nothing is scored, and nothing that goes by
    a score is offered without the check move: no tape in the routine then (rule r10)."""
    plan = taught_plan({"when": "always", "highest": 1})
    start = start_of(
        plan, closed=closed, gate_asked=True, known_steps=names_of(plan) if short else ()
    )
    pages, _, _ = walked(routine(plan, CATALOGUE, start), steady)
    parts = {part for page in pages for part in parts_offered(page, "routine")}
    scored = {"hands", "check_move"}.isdisjoint(closed)
    expected = {*PARTS} - {*closed} - {"outing_tape"}
    if not scored:
        expected -= {"check_move", "tape_on"}
    assert parts == expected


# ---------------------------------------------------------------- (a) and (b), sign by sign


@pytest.mark.parametrize("before", [BEFORE, KNOWN], ids=["page by page", "short"])
@pytest.mark.parametrize("row", LASTING, ids=lambda row: row.sign)
def test_under_an_open_sign_every_open_part_is_offered_and_no_closed_one(
    row: Any, before: Any
) -> None:
    """Whatever a sign leaves open is offered by a walk, and nothing it closes by any."""
    sign = warning(9, sign=row.sign, level=level(row.sign))
    context = in_memory(HandClock(at(10)), (*before, sign), PLAN)
    open_parts = {*PARTS} - shut_by(row)
    assert closures(POLICY, PLAN, context.entries, "right", today=at(10).date()).parts == {
        *row.parts
    }
    found = offered(lambda: in_memory(HandClock(at(10)), (*before, sign), PLAN), "right")
    assert set().union(*found.values()) == open_parts


@pytest.mark.parametrize("row", LASTING, ids=lambda row: row.sign)
def test_a_test_piece_goes_on_where_tape_is_open_and_nowhere_else(row: Any) -> None:
    """The patch test has no gate that would ask: what is open in the diary decides."""
    sign = warning(9, sign=row.sign, level=level(row.sign))
    context = in_memory(HandClock(at(10)), (*BEFORE, sign), PLAN)
    start = PatchWalk().start(context, PLAN, "right", at(10).date())
    assert bool(start.refused) == ("tape_on" in row.parts)


@pytest.mark.parametrize("row", [r for r in LASTING if r.knee != "person"], ids=lambda r: r.sign)
def test_a_sign_of_the_other_knee_closes_standing_and_the_check_move_alone(row: Any) -> None:
    """Rule r14; emergency and today are about the whole person."""
    sign = warning(9, sign=row.sign, level=level(row.sign), sides=("left",))

    def of_left(page: WalkPage) -> Given:
        # What grew of a sign that did not pass is of the same knee.
        return {"knee": "left"} if isinstance(page, WhichKneePage) else out_and_home(page)

    found = offered(lambda: in_memory(HandClock(at(10)), (*BEFORE, sign), PLAN), "right", of_left)
    high = level(row.sign) in ("emergency", "today")
    closed = shut_by(row) if high else shut_by(row) & {"standing", "check_move"}
    assert set().union(*found.values()) == {*PARTS} - closed


# ---------------------------------------------------------------- ticked at the gate of a walk


ASKED = [
    row
    for row in LASTING
    if CATALOGUE.sign(row.sign).asked_when == "always" and not CATALOGUE.sign(row.sign).questions
]


@cache
def _walked_by(
    conduct: WalkKind[Any, Any],
    by: Callable[[WalkPage], Given],
    before: tuple[AnyEntry, ...] = BEFORE,
) -> tuple[set[Part], list[WalkPage]]:
    """What a walk offers to whoever answers so, and its pages."""
    context = in_memory(HandClock(at(10)), before, PLAN)
    pages = pages_of_walk(context, conduct, "right", by)
    own = of_knee("right", pages)
    return {part for page in own for part in parts_offered(page, conduct.name)}, pages


@pytest.mark.parametrize(
    ("conduct", "before"),
    [*((conduct, BEFORE) for conduct in WALKS), (RoutineWalk(), KNOWN)],
    ids=[*(conduct.name for conduct in WALKS), "short evening"],
)
@pytest.mark.parametrize("row", ASKED, ids=lambda row: row.sign)
def test_after_a_tick_at_its_gate_a_walk_offers_what_is_open_and_nothing_else(
    row: Any, conduct: Any, before: Any
) -> None:
    """The card is on screen and the same walk goes on: nothing it closed follows, and all that it
    would have offered and that is open does."""
    question = CATALOGUE.sign(row.sign).question

    def answer(page: WalkPage) -> Given:
        match page:
            case GatePage():
                return {f"q{n}": "yes" if n == question else "no" for n in page.questions}
            case StopListPage():
                assert row.sign in page.signs
                return {"signs": [row.sign]}
        return out_and_home(page)

    usual, shown = _walked_by(conduct, out_and_home, before)
    after, pages = _walked_by(conduct, answer, before)
    assert any(isinstance(page, KnownStepsPage) for page in shown) == (before is KNOWN)
    assert [page.sign for page in pages if isinstance(page, CardPage)] == [row.sign]
    assert not after & shut_by(row)
    expected: set[Part] = set() if row.ends == "session" else usual - shut_by(row)
    if conduct.name == "routine" and {"hands", "check_move"} & {*row.parts}:
        expected -= {"check_move", "tape_on"}  # nothing is scored, and no tape goes by a score
    assert after == expected


@pytest.mark.parametrize("support", [None, "the worktop"])
def test_after_a_fall_with_nothing_hurt_what_is_done_holding_on_stays_open(
    support: str | None,
) -> None:
    """Rule r11 and its row: standing and the check move are closed "unless at support". The sheet
    of an exercise says whether it is done holding on, the plan what the check move is made at."""
    plan = replace(PLAN, check_move=replace(PLAN.check_move, depth=Depth(support=support)))
    sign = warning(9, sign="fall_unhurt", level="call")
    for ready in ("yes", "no"):

        def answer(page: WalkPage, ready: str = ready) -> Given:
            return {"ready": ready} if isinstance(page, ReadyPage) else out_and_home(page)

        context = in_memory(HandClock(at(10)), (*BEFORE, sign), plan)
        pages = pages_of_walk(context, RoutineWalk(), "right", answer)
        asked = [page for page in pages if isinstance(page, ReadyPage)]
        assert all("both_hands" in page.asks for page in asked)
        assert asked
        done = {
            page.exercise.exercise: page.easier
            for page in pages
            if isinstance(page, ExercisePage) and parts_offered(page, "routine") == {"standing"}
        }
        held = {"heel_raises": False, "step_up": False, "sit_to_stand": True}
        assert done == (held if ready == "yes" else {})
        moved = any(isinstance(page, MovePage) for page in pages)
        assert moved == (support is not None and ready == "yes")


# ---------------------------------------------------------------- cautions


@pytest.mark.parametrize("row", POLICY.cautions, ids=lambda row: row.caution)
def test_what_a_caution_closes_is_offered_once_it_is_ticked(row: Any) -> None:
    def with_answer(*, allowed: bool) -> Plan:
        yes = CautionAnswer(caution=row.caution, answer=True, allowed=allowed, on=DAY)
        others = tuple(one for one in PLAN.cautions if one.caution != row.caution)
        return replace(PLAN, cautions=(*others, yes))

    shut = with_answer(allowed=False)
    parts = closures(POLICY, shut, (), "right", today=at(10).date()).parts
    found = offered(lambda: in_memory(HandClock(at(10)), BEFORE, shut), "right")
    assert not set().union(*found.values()) & parts
    ticked = with_answer(allowed=True)
    again = offered(lambda: in_memory(HandClock(at(10)), BEFORE, ticked), "right")
    exercise = {*row.closes} & {"seated", "standing", "check_move"}
    assert exercise <= set().union(*again.values())


# ---------------------------------------------------------------- (c) open again


def _all(row: SignPolicy, how: Cleared) -> bool:
    return all(how in one.opens for one in row.closes)


def _choices(page: WalkPage, side: Side) -> set[str]:
    """What a page offers to press: the codes behind its options and buttons."""
    view = page_view(page, ViewContext(plan=PLAN, side=side, catalogue=CATALOGUE))
    found = {
        str(option.value)
        for block in view.blocks
        if isinstance(block, Choose)
        for option in block.options
    }
    for button in (view.main, *view.others):
        if button is not None:
            found |= {str(value) for _, value in button.submitted}
    return found


WAYS = [
    *(
        (row, "professional")
        for row in LASTING
        if row.parts and _all(row, "checked_by_professional")
    ),
    *((row, "person") for row in LASTING if all(one.asked is not None for one in row.closes)),
]


def test_every_sign_is_opened_by_somebody() -> None:
    """Each of its parts, be it by the one or by the other."""
    for row in LASTING:
        assert all(one.opens for one in row.closes), row.sign


@pytest.mark.parametrize(("row", "by"), WAYS, ids=[f"{row.sign}-{by}" for row, by in WAYS])
def test_a_truthful_person_gets_open_again_by_what_stands_on_screen(row: Any, by: str) -> None:
    """One goes to be seen and says so on the card; the other waits until the gate asks, where the
    policy lets the person open it. Nobody has to say what is not so."""
    sides: tuple[Side, ...] = () if row.knee == "person" else ("right",)
    sign = warning(9, sign=row.sign, level=level(row.sign), sides=sides)
    clock = HandClock(at(10))
    context = in_memory(clock, (*BEFORE, sign), PLAN)

    def answer(page: WalkPage) -> Given:
        match page:
            case OpenSignPage():
                submitted = opens_all(page) if by == "person" else opens_nothing(page)
                assert {*submitted.values()} <= _choices(page, "right")
                return submitted
            case TalkedPage():
                submitted = {"told": "all" if by == "professional" else "not_called"}
                assert {*submitted.values()} <= _choices(page, "right")
                return submitted
            case CheckedPage():
                return opens_all(page)
            case OpenCardPage():
                assert "asked" in _choices(page, "right")
                return {"how": "asked"}
        return out_and_home(page)

    days = 1 + max(one.after_days for one in row.closes)
    for _ in range(days):
        clock.pass_by(days=1)
        if by == "professional":
            if front(context).locked is None:
                break
            pages_of_walk(context, ClearWalk(), "right", answer)
        else:
            pages_of_walk(context, RoutineWalk(), "right", answer)
    today = clock.today()
    assert closures(POLICY, PLAN, context.entries, "right", today=today).parts == set()
    assert front(context).locked is None
