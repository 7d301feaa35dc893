"""What a family without a computer takes home, read back by another program."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from companion.paper.booklet import booklet_pdf
from companion.paper.day_form import day_forms_pdf
from companion.paper.home_papers import home_papers
from companion.presentation.papers.home_sheets import (
    MOST_WEEKS,
    blank_days,
    card_sheets,
    weeks_until,
)
from tests.care.content import CATALOGUE
from tests.paper.test_booklet import DAY, pages_of, plan_of

pytestmark = pytest.mark.usefixtures("qapp")


def test_every_paper_is_there_and_the_cutting_sheet_where_the_plan_tapes() -> None:
    names = ["blank-days.pdf", "booklet.pdf", "cards.pdf", "fridge.pdf"]
    made = home_papers(plan_of("wilma"), CATALOGUE, on=DAY, weeks=1, for_helper=False, letter=False)
    assert sorted(made) == names
    taped = home_papers(plan_of("osric"), CATALOGUE, on=DAY, weeks=1, for_helper=True, letter=True)
    assert sorted(taped) == sorted([*names, "cutting-sheet.pdf"])
    assert all(data.startswith(b"%PDF") for data in taped.values())


@pytest.mark.parametrize("letter", [False, True])
def test_no_card_is_torn_and_each_sign_has_one(tmp_path: Path, letter: bool) -> None:
    plan = plan_of("edda")
    path = tmp_path / "cards.pdf"
    path.write_bytes(booklet_pdf(card_sheets(plan, CATALOGUE), on=DAY, letter=letter))
    pages = pages_of(path)
    for page in pages:
        first = re.sub(r"^.*?Page \d+ of \d+ ", "", page)
        assert not re.match(r"\d\. ", first), "a card begins on the page before"
    said = " ".join(pages)
    for sign in CATALOGUE.stop_list.signs:
        if sign.asked_when not in ("stop", "state"):
            words = sign.told or sign.words
            assert words in said, sign.id
            assert CATALOGUE.card(sign.card).actions[-1] in said
    assert all(contact.number in said for contact in plan.contacts)


def test_blank_days_reach_the_review() -> None:
    plan = replace(plan_of("edda"), review_on=DAY + timedelta(days=20))
    assert weeks_until(plan, DAY) == 3
    assert weeks_until(plan, DAY + timedelta(days=30)) == 1
    assert weeks_until(replace(plan, review_on=date(2030, 1, 1)), DAY) == MOST_WEEKS
    assert len(blank_days(plan, DAY, 3).forms) == 21
    assert len(blank_days(plan_of("wilma"), DAY, 3).forms) == 42  # one for each knee
    with pytest.raises(ValueError, match="1 to 26"):
        blank_days(plan, DAY, 0)


@pytest.mark.parametrize("name", ["edda", "osric", "wilma"])
def test_two_days_stand_on_a_side_and_say_whose_and_which(tmp_path: Path, name: str) -> None:
    path = tmp_path / "days.pdf"
    forms = blank_days(plan_of(name), DAY, 1)
    path.write_bytes(day_forms_pdf(forms, on=DAY))
    pages = pages_of(path)
    assert len(pages) == -(-len(forms.forms) // 2)
    said = " ".join(pages)
    assert all(form.code in said for form in forms.forms)
    assert all(forms.foot in page for page in pages)


def test_a_day_that_needs_a_side_has_one(tmp_path: Path) -> None:
    plan = replace(plan_of("edda"), activities=tuple(f"walk {n}" for n in range(5)))
    path = tmp_path / "days.pdf"
    path.write_bytes(day_forms_pdf(blank_days(plan, DAY, 1), on=DAY, letter=True))
    assert len(pages_of(path)) == 7
