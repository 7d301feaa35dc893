"""In a plan for both knees nothing above a page of signs says which knee, before it was asked."""

from dataclasses import replace
from datetime import date

import pytest

from companion.care.clearing import MistakePage
from companion.care.flow import WalkPage
from companion.care.stopping import (
    CardPage,
    GatePage,
    KnownPage,
    NoneTickedPage,
    SignQuestionsPage,
    StopListPage,
    TopicsPage,
    WhichKneePage,
)
from companion.presentation.home.walk_pages import ViewContext, page_view
from companion.presentation.view.page import Choose
from tests.care.content import CATALOGUE, whole_plan

ASKED = next(sign.id for sign in CATALOGUE.stop_list.signs if sign.questions)
PAGES: tuple[WalkPage, ...] = (
    GatePage(),
    KnownPage(signs=()),
    TopicsPage(key="topics", question=3, topics=()),
    StopListPage(key="list", reason="gate", questions=(3,), signs=("lump",)),
    SignQuestionsPage(key="ask", sign=ASKED),
    CardPage(key="card", sign="lump"),
    MistakePage(key="card:mistake", sign="lump", another=False),
    WhichKneePage(key="card:knee", sign="lump"),
    NoneTickedPage(key="none"),
    NoneTickedPage(key="none", unsure=True),
)
ONE = ViewContext(plan=whole_plan(), side="right", catalogue=CATALOGUE)
TWO = replace(ONE, plan=replace(whole_plan(), side="both"))


@pytest.mark.parametrize("page", PAGES, ids=lambda page: type(page).__name__)
def test_the_walk_s_knee_is_no_answer_to_which(page: WalkPage) -> None:
    assert page_view(page, ONE).above == "Right knee"
    assert page_view(page, TWO).above == "Both knees"
    assert page_view(page, replace(TWO, about="Stop")).above == "Stop"


def test_after_the_last_routine_the_knee_is_named_in_the_question() -> None:
    page = GatePage(after_last=True, last_day=date(2026, 3, 1))
    asked = {
        setting.plan.side: block.question
        for setting in (ONE, TWO)
        for block in page_view(page, setting).blocks
        if isinstance(block, Choose) and block.name == "after_last"
    }
    assert asked["right"].startswith("Your knee after your routine on")
    assert asked["both"].startswith("Your right knee after your routine on")
