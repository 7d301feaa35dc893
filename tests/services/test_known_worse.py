"""A known sign that got worse is of the knee its plan names; nobody is asked which."""

from datetime import timedelta

import pytest

from companion.care.flow import Given, WalkPage
from companion.care.records import KnownSign, PlanSide, Side, WarningSign
from companion.care.stopping import CardPage, GatePage, KnownPage, StopListPage, WhichKneePage
from companion.presentation.home.walk_pages import ViewContext, page_view
from companion.services.routine import RoutineWalk
from companion.services.signs import StopWalk
from tests.builders import DAY, at, session
from tests.care.walking import CATALOGUE, taught_plan
from tests.services.context_for_tests import HandClock
from tests.services.offered import in_memory, out_and_home, pages_of_walk

BEFORE = session(9, 6, 3, full_list=True, plan_version=1, gate="none")


def played(
    *known: tuple[str, PlanSide | None], new: bool = False, side: Side = "right"
) -> tuple[list[WalkPage], list[WarningSign]]:
    """A routine in which each known sign is worse; `new`: the row of the first is ticked too."""
    signs = tuple(
        KnownSign(sign=sign, since=DAY - timedelta(days=90), side=of, stays_open=("standing",))
        for sign, of in known
    )
    plan = taught_plan(side="both", known_signs=signs)
    context = in_memory(HandClock(at(10)), (BEFORE,), plan)
    first = signs[0].sign

    def answer(page: WalkPage) -> Given:
        match page:
            case GatePage() if new:
                number = CATALOGUE.sign(first).question
                return {f"q{n}": "yes" if n == number else "no" for n in page.questions}
            case KnownPage():
                return dict.fromkeys(page.signs, "worse")
            case StopListPage():
                return {"signs": [first]}
            case WhichKneePage():
                return {"knee": "right"}
        return out_and_home(page)

    pages = pages_of_walk(context, RoutineWalk(), side, answer)
    return pages, [one for one in context.entries if isinstance(one, WarningSign)]


@pytest.mark.parametrize("sign", ["gives_way_new", "lump", "rest_or_night_pain"])
@pytest.mark.parametrize("of", ["left", "right"])
def test_it_is_of_the_knee_the_plan_names_whichever_routine_it_is_told_in(
    sign: str, of: Side
) -> None:
    pages, written = played((sign, of))
    assert not [page for page in pages if isinstance(page, WhichKneePage)]
    assert [one.sides for one in written] == [(of,)]
    (card,) = [page for page in pages if isinstance(page, CardPage)]
    setting = ViewContext(plan=taught_plan(side="both"), side="right", catalogue=CATALOGUE)
    assert page_view(card, setting).above == f"{of.capitalize()} knee"


@pytest.mark.parametrize("known", [("both",), (None,), ("left", "right")])
def test_it_is_asked_where_the_plan_names_none_or_both(known: tuple[PlanSide | None, ...]) -> None:
    pages, written = played(*(("lump", of) for of in known))
    assert len([page for page in pages if isinstance(page, WhichKneePage)]) == 1
    assert [one.sides for one in written] == [("right",)]


def test_the_same_row_ticked_as_something_new_asks_which() -> None:
    """The other knee may have it now."""
    pages, written = played(("lump", "left"), new=True)
    assert len([page for page in pages if isinstance(page, WhichKneePage)]) == 1
    assert [one.sides for one in written] == [("right",)]


def test_at_stop_the_row_of_a_known_sign_that_is_worse_asks_nothing() -> None:
    signs = (KnownSign(sign="gives_way_new", since=DAY, side="left", stays_open=("standing",)),)
    context = in_memory(HandClock(at(10)), (BEFORE,), taught_plan(side="both", known_signs=signs))

    def answer(page: WalkPage) -> Given:
        if page.key == "stop:1":
            return {"about": "3"}
        if isinstance(page, StopListPage):
            return {"signs": ["gives_way_worse"]}
        return out_and_home(page)

    pages = pages_of_walk(context, StopWalk(), "right", answer)
    assert not [page for page in pages if isinstance(page, WhichKneePage)]
    (written,) = [one for one in context.entries if isinstance(one, WarningSign)]
    assert (written.sign, written.sides) == ("gives_way_worse", ("left",))
