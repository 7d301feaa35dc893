"""What one door closed for the day, no other door of that day offers."""

from typing import Any

import pytest

from companion.care.flow import Given, WalkPage
from companion.care.records import KnownSign, Part
from companion.care.routine import MovePage, RestPainPage
from companion.care.stopping import KnownPage
from companion.care.taping import NoTapePage
from companion.services.chair_stand import ChairWalk
from companion.services.outing import OutingWalk
from companion.services.routine import RoutineWalk
from companion.services.tape import TapeOnWalk
from companion.services.walks import WalkKind
from tests.builders import DAY, at, session, tape_off, tape_on
from tests.care.walking import taught_plan
from tests.services.context_for_tests import HandClock
from tests.services.offered import WALKS, in_memory, out_and_home, pages_of_walk, parts_offered

BEFORE = (
    session(9, 6, 3, full_list=True, plan_version=1, gate="none"),
    tape_on(at(4)),
    tape_off(at(6, 12), skin_after_30_min="clear"),
)
TAPED: dict[str, Any] = {"when": "always", "highest": 1}


def offered_by(pages: list[WalkPage], conduct: WalkKind[Any, Any]) -> set[Part]:
    return {part for page in pages for part in parts_offered(page, conduct.name)}


@pytest.mark.parametrize("first", WALKS, ids=lambda one: one.name)
@pytest.mark.parametrize("then", [RoutineWalk(), ChairWalk()], ids=lambda one: one.name)
def test_a_known_sign_holds_all_day_whichever_door_asked_about_it(first: Any, then: Any) -> None:
    """The knee gives way as before, and the plan says that nothing done standing goes on."""
    known = KnownSign(sign="gives_way_new", since=DAY, stays_closed=True)
    plan = taught_plan(TAPED, chair_stand="alone", known_signs=(known,))

    def answer(page: WalkPage) -> Given:
        if isinstance(page, KnownPage):
            return dict.fromkeys(page.signs, "as_before")
        return out_and_home(page)

    clock = HandClock(at(10))
    context = in_memory(clock, BEFORE, plan)
    assert any(
        isinstance(page, KnownPage) for page in pages_of_walk(context, first, "right", answer)
    )
    clock.pass_by(hours=2)
    pages = pages_of_walk(context, then, "right", answer)
    assert not offered_by(pages, then) & {"standing", "check_move"}


def scored(before: int, rest: int) -> Any:
    def answer(page: WalkPage) -> Given:
        match page:
            case RestPainPage():
                return {"score": rest}
            case MovePage():
                return {"score": before}
        return out_and_home(page)

    return answer


@pytest.mark.parametrize(
    "then", [RoutineWalk(), TapeOnWalk(), OutingWalk(), ChairWalk()], ids=lambda one: one.name
)
def test_after_a_bad_day_no_door_of_that_day_offers_what_it_left_out(then: Any) -> None:
    """Nothing done standing, no chair stand and no new tape (rule r02); the next day does."""
    plan = taught_plan(TAPED, chair_stand="alone", bad_day_mark=8)
    clock = HandClock(at(10))
    context = in_memory(clock, BEFORE, plan)
    pages_of_walk(context, RoutineWalk(), "right", scored(9, 2))
    clock.pass_by(hours=2)
    pages = pages_of_walk(context, then, "right")
    closed = {"standing", "check_move", "tape_on", "outing_tape"}
    assert not offered_by(pages, then) & closed
    reasons = [page.reasons for page in pages if isinstance(page, NoTapePage)]
    assert all(given == ("bad_day",) for given in reasons)
    clock.pass_by(days=1)
    assert offered_by(pages_of_walk(context, then, "right"), then) & closed


def test_pain_at_rest_is_asked_anew_and_closes_its_own_session_alone() -> None:
    plan = taught_plan(TAPED, bad_day_mark=8)
    clock = HandClock(at(10))
    context = in_memory(clock, BEFORE, plan)
    first = pages_of_walk(context, RoutineWalk(), "right", scored(6, 9))
    assert "standing" not in offered_by(first, RoutineWalk())
    clock.pass_by(hours=2)
    again = pages_of_walk(context, RoutineWalk(), "right", scored(6, 2))
    assert "standing" in offered_by(again, RoutineWalk())
