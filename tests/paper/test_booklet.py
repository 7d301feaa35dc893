"""The booklet as a PDF, read back by other programs."""

from __future__ import annotations

import re
import subprocess
from datetime import date
from pathlib import Path

import pytest

from companion.care.records import Plan
from companion.exchange.files import read
from companion.paper.booklet import booklet_pdf
from companion.presentation.papers.booklet import booklet
from companion.system.resources import demo_profiles
from tests.care.content import CATALOGUE

pytestmark = pytest.mark.usefixtures("qapp")
DAY = date(2026, 11, 25)


def plan_of(name: str) -> Plan:
    plan = read(demo_profiles() / name / "plan.homeknee").plan
    assert plan is not None
    return plan


def written(name: str, folder: Path, *, letter: bool = False) -> Path:
    path = folder / f"{name}.pdf"
    content = booklet(plan_of(name), CATALOGUE, today=DAY)
    path.write_bytes(booklet_pdf(content, on=DAY, letter=letter))
    return path


def tool(*command: str) -> str:
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


def pages_of(path: Path) -> list[str]:
    """The words of each page, white space made single."""
    text = tool("pdftotext", "-layout", str(path), "-")
    return [re.sub(r"\s+", " ", page) for page in text.split("\f")[:-1]]


@pytest.mark.parametrize("letter", [False, True])
@pytest.mark.parametrize("name", ["osric", "wilma"])
def test_each_side_for_the_fridge_is_one_page(tmp_path: Path, name: str, letter: bool) -> None:
    pages = pages_of(written(name, tmp_path, letter=letter))
    front, back = (page for page in pages if "For the fridge" in page)
    for page, level in ((front, "Emergency: call now"), (back, "Be seen today")):
        assert level in page
        assert "Not sure? Then act as if it is true." in page
    assert all(f"Page {n} of {len(pages)}" in page for n, page in enumerate(pages, 1))


def test_fonts_are_embedded_and_pictures_are_lines(tmp_path: Path) -> None:
    path = written("osric", tmp_path)
    lines = tool("pdffonts", str(path)).splitlines()[2:]
    assert lines
    assert all("AtkinsonHyperlegible" in line and line.split()[-5] == "yes" for line in lines)
    assert tool("pdfimages", "-list", str(path)).splitlines()[2:] == []


def test_pictures_carry_their_words(tmp_path: Path) -> None:
    pages = pages_of(written("osric", tmp_path))
    technique = next(page for page in pages if "Press and glide: inner edge" in page)
    for words in ("Left knee", "as you see it", "hip", "foot", "inner", "outer", "It begins"):
        assert words in technique, words
    assert "as your helper sees it" not in " ".join(pages)


@pytest.mark.parametrize("letter", [False, True])
@pytest.mark.parametrize("name", ["edda", "jory", "osric", "tobin"])
def test_words_that_lead_to_a_picture_stand_on_its_page(
    tmp_path: Path, name: str, letter: bool
) -> None:
    pages = pages_of(written(name, tmp_path, letter=letter))
    (page,) = (page for page in pages if "How to draw the skin" in page)
    assert "Strip 1 Strip 2" in page.split("How to draw the skin")[1]


def test_a_blank_week_has_room_for_seven_days(tmp_path: Path) -> None:
    pages = pages_of(written("edda", tmp_path))
    days = [page for page in pages if "Days without a computer: right knee" in page]
    assert len(days) == 2
    for words in ("pain_average", "after_hands", "skin", "note", "tape_worn"):
        assert words in days[0]


def test_the_same_plan_gives_the_same_bytes() -> None:
    content = booklet(plan_of("wilma"), CATALOGUE, today=DAY)
    assert booklet_pdf(content, on=DAY) == booklet_pdf(content, on=DAY)
