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
from companion.presentation.papers.home_sheets import fridge_sheet
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
def test_what_is_hung_up_uses_fronts_alone_and_an_emergency_one(
    tmp_path: Path, letter: bool
) -> None:
    path = tmp_path / "fridge.pdf"
    path.write_bytes(booklet_pdf(fridge_sheet(plan_of("osric"), CATALOGUE), on=DAY, letter=letter))
    pages = pages_of(path)
    assert "Emergency: call now" in pages[0]
    assert "Not sure? Then act as if it is true." in pages[0]
    assert "Be seen today" in pages[2]
    assert all("This side is empty." in page for page in pages[1::2])
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
    for words in ("Left knee", "as you see it", "hip", "foot", "inner", "outer", "2 Press"):
        assert words in technique, words
    assert "helper’s view" not in " ".join(pages)


@pytest.mark.parametrize("letter", [False, True])
@pytest.mark.parametrize("name", ["edda", "jory", "osric", "tobin"])
def test_a_strip_its_words_and_its_panels_stand_on_one_page(
    tmp_path: Path, name: str, letter: bool
) -> None:
    pages = pages_of(written(name, tmp_path, letter=letter))
    (page,) = (page for page in pages if "Strip 1, inner side" in page)
    assert "2 Draw the skin" in page
    assert "With your other hand, draw the skin there a little" in page


@pytest.mark.parametrize(("name", "letter"), [("jory", False), ("osric", True)])
def test_how_tape_comes_off_is_read_beside_its_panels(
    name: str, tmp_path: Path, letter: bool
) -> None:
    """Read with both hands full: all steps on the page that begins with them."""
    pages = pages_of(written(name, tmp_path, letter=letter))
    page = next(page for page in pages if "Taking the tape off" in page)
    assert "1. Wet the upper end" in page
    assert "5. Wipe the oil off" in page


def test_the_same_plan_gives_the_same_bytes() -> None:
    content = booklet(plan_of("wilma"), CATALOGUE, today=DAY)
    assert booklet_pdf(content, on=DAY) == booklet_pdf(content, on=DAY)
