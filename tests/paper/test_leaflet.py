"""A page of words on paper: all of it, in order, with the font inside."""

import subprocess
from datetime import date
from pathlib import Path

import pytest

from companion.paper.leaflet import leaflet_pdf
from companion.presentation.view.page import (
    Bulleted,
    Button,
    Callout,
    CardBlock,
    Choose,
    DefinitionList,
    Heading,
    Numbered,
    Option,
    PageView,
    PhoneLine,
    Phones,
    Text,
)

EVERYTHING = PageView(
    key="all",
    heading="The whole page",
    blocks=(
        Text("A plain word.", "plain"),
        Text("A strong word.", "strong"),
        Heading("A heading"),
        Bulleted(("First point", "Second point")),
        Numbered(("Step one", "Step two"), 3),
        DefinitionList((("Name", "Value"),)),
        Callout("Set apart.", "Frame"),
        CardBlock("today", "Be seen today", ("Call now.",), (PhoneLine("Doctor", "01632 960001"),)),
        Phones("Numbers", (PhoneLine("Nobody", "", "at night"),)),
        Choose("q", "A question", (Option("a", "Never printed"),)),
    ),
    main=Button("A button"),
)


def words_of(pdf: bytes, folder: Path) -> str:
    path = folder / "leaflet.pdf"
    path.write_bytes(pdf)
    done = subprocess.run(
        ["pdftotext", "-layout", str(path), "-"], capture_output=True, text=True, check=True
    )
    fonts = subprocess.run(["pdffonts", str(path)], capture_output=True, text=True, check=True)
    rows = fonts.stdout.splitlines()[2:]
    assert rows
    assert all(" yes " in row for row in rows), "every font is inside the file"
    return done.stdout


def made(view: PageView, *, letter: bool = False) -> bytes:
    day = date(2026, 11, 23)
    return leaflet_pdf(view, head="K-07", foot="A foot.", warned="", until=day, letter=letter)


@pytest.mark.parametrize("letter", [False, True])
def test_all_words_reach_the_paper_and_questions_do_not(tmp_path: Path, *, letter: bool) -> None:
    words = words_of(made(EVERYTHING, letter=letter), tmp_path)
    for expected in (
        "The whole page",
        "A plain word.",
        "A strong word.",
        "A heading",
        "First point",
        "3.",
        "Step one",
        "4.",
        "Value",
        "Set apart.",
        "Be seen today",
        "01632 960001",
        "Nobody, at night",
        "no number is written here",
        "K-07",
        "A foot.",
        "Page 1 of",
    ):
        assert expected in words, expected
    for asked in ("A question", "Never printed", "A button"):
        assert asked not in words, asked


def test_a_long_list_runs_on_without_losing_a_word(tmp_path: Path) -> None:
    items = tuple(f"Point number {number}." for number in range(200))
    words = words_of(
        made(PageView(key="long", heading="Long", blocks=(Bulleted(items),))), tmp_path
    )
    assert all(item in words for item in items)


def test_the_same_page_gives_the_same_bytes() -> None:
    assert made(EVERYTHING) == made(EVERYTHING)
