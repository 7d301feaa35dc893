"""What a family without a computer takes home, read back by another program."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from companion.app.open_on_paper import still_open_in
from companion.care.records import AnsweredSign, Diary
from companion.paper.booklet import booklet_pdf
from companion.paper.day_form import day_forms_pdf
from companion.paper.home_papers import home_papers
from companion.presentation.language.phrases import dated
from companion.presentation.papers.home_sheets import (
    MOST_WEEKS,
    blank_days,
    card_sheets,
    weeks_until,
)
from companion.presentation.papers.still_open import open_to_print
from tests.builders import warning
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
    assert len(blank_days(plan, CATALOGUE.policy, DAY, 3).forms) == 21
    assert (
        len(blank_days(plan_of("wilma"), CATALOGUE.policy, DAY, 3).forms) == 42
    )  # one for each knee
    with pytest.raises(ValueError, match="1 to 26"):
        blank_days(plan, CATALOGUE.policy, DAY, 0)


@pytest.mark.parametrize("name", ["edda", "osric", "wilma"])
def test_two_days_stand_on_a_side_and_say_whose_and_which(tmp_path: Path, name: str) -> None:
    path = tmp_path / "days.pdf"
    forms = blank_days(plan_of(name), CATALOGUE.policy, DAY, 1)
    path.write_bytes(day_forms_pdf(forms, on=DAY))
    pages = pages_of(path)
    assert len(pages) == -(-len(forms.forms) // 2)
    said = " ".join(pages)
    assert all(form.code in said for form in forms.forms)
    assert all(forms.foot in page for page in pages)


def test_a_day_that_needs_a_side_has_one(tmp_path: Path) -> None:
    plan = replace(plan_of("edda"), activities=tuple(f"walk {n}" for n in range(5)))
    path = tmp_path / "days.pdf"
    path.write_bytes(day_forms_pdf(blank_days(plan, CATALOGUE.policy, DAY, 1), on=DAY, letter=True))
    assert len(pages_of(path)) == 7


def test_every_page_of_every_paper_says_which_warnings_are_open(tmp_path: Path) -> None:
    """With the day, since paper hangs for weeks; on no more pages than without, but for a sheet
    more of the booklet, which says what each closes."""
    plan = plan_of("edda")
    stuck = warning(DAY, "knee_stuck", "today")
    told = open_to_print(plan, CATALOGUE, (stuck,), ("dose_call",))
    line = f"2 warnings were open on {dated(DAY)}. Do first what their cards say."
    papers = [
        home_papers(
            plan, CATALOGUE, on=DAY, weeks=1, for_helper=False, letter=False, still_open=still_open
        )
        for still_open in (told, ())
    ]
    for name in papers[0]:
        pages = []
        for number, made in enumerate(papers):
            path = tmp_path / f"{number}-{name}"
            path.write_bytes(made[name])
            pages.append(pages_of(path))
        warned, plain = pages
        assert len(warned) <= len(plain) + 2 * (name == "booklet.pdf"), name
        assert all(line in page for page in warned), name
        assert not any("open on" in page for page in plain), name


def test_papers_made_of_a_diary_say_its_open_warnings_and_those_of_a_plan_know_none() -> None:
    """By the command and at the clinic alike. What the plan itself answers for is not open."""
    plan = plan_of("edda")
    assert plan.sign_off is not None
    lump = warning(DAY, "lump", "call")
    diary = Diary(plans=(plan,), entries=(lump,))
    assert still_open_in(None, plan, CATALOGUE, DAY) == ()
    assert len(still_open_in(diary, plan, CATALOGUE, DAY)) == 1
    seen = AnsweredSign(warning=lump.id, sign="lump", since=DAY, answer="seen")
    sign_off = replace(plan.sign_off, signed_at=lump.written_at + timedelta(days=1))
    signed = replace(plan, version=2, open_signs=(seen,), sign_off=sign_off)
    assert still_open_in(diary, signed, CATALOGUE, DAY) == ()


@pytest.mark.parametrize("name", ["edda", "osric", "wilma"])
def test_the_head_of_each_sheet_of_days_has_the_limits_of_the_plan(
    tmp_path: Path, name: str
) -> None:
    plan = plan_of(name)
    path = tmp_path / "days.pdf"
    forms = blank_days(plan, CATALOGUE.policy, DAY, 1)
    path.write_bytes(day_forms_pdf(forms, on=DAY))
    for page in pages_of(path):
        assert all(line in page for line in forms.limits)
