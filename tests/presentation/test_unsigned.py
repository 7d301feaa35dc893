"""Wherever the words of a warning sign stand, it is said that nobody licensed has signed them."""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from companion.care.day_questions import SignOfAnswerPage
from companion.care.flow import WalkPage
from companion.care.stopping import (
    CardPage,
    GatePage,
    KnownPage,
    SignQuestionsPage,
    StopListPage,
    StopPage,
)
from companion.presentation.home.settings_pages import signs_view
from companion.presentation.home.walk_pages import ViewContext, page_view
from companion.presentation.papers.booklet import booklet
from companion.presentation.papers.home_sheets import card_sheets, fridge_sheet
from companion.presentation.papers.wording_sheet import wording_view
from tests.builders import DAY
from tests.care.content import CATALOGUE, whole_plan
from tests.presentation.wording import lines, lines_of

SIGNS = tuple(sign.id for sign in CATALOGUE.stop_list.signs if sign.asked_when == "always")
ASKED = next(sign.id for sign in CATALOGUE.stop_list.signs if sign.questions)
PAGES: tuple[WalkPage, ...] = (
    GatePage(reason="weekly", signs=SIGNS),
    KnownPage(signs=("stiff_mornings",)),
    StopListPage(key="list:1", reason="gate", questions=(1, 2, 3, 4), signs=SIGNS),
    SignQuestionsPage(key="list:1:ask", sign=ASKED),
    CardPage(key="list:1:card", sign="lump"),
    StopPage(key="stop:1", questions=(1, 2, 3, 4)),
    SignOfAnswerPage(
        key="sign_of:stiff", answer="stiff", value=60, usual=0, signs=("stiff_mornings",)
    ),
)
NOBODY = "no licensed clinician has signed"


def papers() -> Iterator[tuple[str, list[str]]]:
    plan = whole_plan()
    sheets = {
        "fridge": fridge_sheet(plan, CATALOGUE).pages,
        "cards": card_sheets(plan, CATALOGUE).pages,
        "booklet": tuple(
            page
            for page in booklet(plan, CATALOGUE, today=DAY).pages
            if page.heading == "The stop list"
        ),
    }
    for name, pages in sheets.items():
        for page in pages:
            # What is drawn says nothing of signs.
            yield f"{name}: {page.heading}", list(lines_of(page.blocks))  # type: ignore[arg-type]
    yield "to read", lines(signs_view(plan, CATALOGUE))
    yield "to sign", lines(wording_view(CATALOGUE))


@pytest.mark.parametrize("page", PAGES, ids=lambda page: type(page).__name__)
def test_each_page_with_signs_says_so_until_somebody_signed(page: WalkPage) -> None:
    setting = ViewContext(plan=whole_plan(), side="right", catalogue=CATALOGUE)
    assert NOBODY in " ".join(lines(page_view(page, setting))).lower()
    rules = tuple(replace(rule, confirmed_by="R. Vane") for rule in CATALOGUE.policy.rules)
    signed = replace(CATALOGUE, policy=replace(CATALOGUE.policy, rules=rules))
    view = page_view(page, replace(setting, catalogue=signed))
    assert NOBODY not in " ".join(lines(view)).lower()


def test_each_paper_with_signs_says_so() -> None:
    told = dict(papers())
    assert len(told) >= 2 + 4 + 1 + 2  # fridge, cards, booklet, and what is read and signed
    assert [name for name, said in told.items() if NOBODY not in " ".join(said).lower()] == []
