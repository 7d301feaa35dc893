"""Paper for home as it is held in the hand: large, nothing torn apart, nothing lost in a copy."""

from __future__ import annotations

import re
import string
import subprocess
from collections.abc import Callable, Iterator
from datetime import date
from itertools import pairwise, product
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainter
from scipy import ndimage

from companion.canvas.box import Box
from companion.canvas.typesetting import TextStyle, draw_line
from companion.paper.blocks import Again, Lines, PaperPicture
from companion.paper.booklet import _in_order, _sheets
from companion.paper.home_papers import PERSONS, home_paper, home_papers
from companion.paper.leaflet import LARGE_PRINT, MARGIN, STRONG, WORDS, Side, column_of
from companion.paper.pdf import pdf_bytes
from companion.presentation.papers.booklet import Booklet, BookletPage, booklet, warned
from companion.presentation.papers.home_sheets import HomePaper, card_sheets, fridge_sheet
from companion.presentation.papers.still_open import open_to_print
from companion.presentation.view.page import Text
from tests.builders import warning
from tests.care.content import CATALOGUE
from tests.presentation.papers.test_booklet import NAMES, plan_of

pytestmark = pytest.mark.usefixtures("qapp")
DAY = date(2026, 11, 25)
A4, LETTER = Box(0, 0, 595, 842), Box(0, 0, 612, 792)
COPY = 150
"""Dots per inch of a copier."""
LEAST_WORDS = 10.0
"""Points of the smallest words on any paper for home: those in pictures."""
HANDS_SEEN = 170.0
"""Points of height of a picture of hands on a knee: read off the copies, no source."""
LOST = 0.38
"""What is lighter than this, of 1, is white in a harsh copy: darkness of 62 % is kept."""


def sides_of(content: Booklet, sheet: Box) -> list[list[Side]]:
    """The sides of each part, without those left empty."""
    column = column_of(sheet, content.warned)
    return [
        [side for side in _in_order([page], column) if not _says(side, "This side is empty.")]
        for page in content.pages
    ]


def _says(side: Side, words: str) -> bool:
    return any(isinstance(block, Lines) and words in block.lines for _, block in side.placed)


def test_large_print_is_sixteen_points() -> None:
    assert LARGE_PRINT >= 16  # (fact: large_print)
    assert WORDS.size == STRONG.size == LARGE_PRINT


@pytest.mark.parametrize(
    ("name", "helper", "letter"),
    [(name, helper, letter) for name, helper, letter in product(NAMES, (0, 1), (0, 1))],
)
def test_each_step_is_one_page_and_no_page_holds_a_line_alone(
    name: str, helper: int, letter: int
) -> None:
    """Of one knee and of two, with warnings open and without; the parts of the opening, each open
    warning with what it closes, and the steps of taking tape off are on one side each. Two knees
    share a side where it has room to see the hands on both."""
    plan = plan_of(name)
    content = booklet(plan, CATALOGUE, today=DAY, for_helper=bool(helper))
    if helper == letter:
        signs = [
            (sign, CATALOGUE.sign(sign).level) for sign in ("knee_stuck", "lump", "skin_broken")
        ]
        ticked = [warning(DAY, *sign, id=sign[0]) for sign in signs]
        content = warned(content, open_to_print(plan, CATALOGUE, ticked), DAY, whole=True)
    titles = [sheet.title for sheet in CATALOGUE.techniques]
    titles += [sheet.title for sheet in CATALOGUE.exercises]
    sheet, steps = LETTER if letter else A4, 0
    for page, sides in zip(content.pages, sides_of(content, sheet), strict=True):
        assert all(side.scale >= 1 for side in sides), "smaller than large print"
        assert not any(side.placed[-1][1].keep for side in sides[:-1]), page.heading
        if any(
            page.heading in (title, f"{knee} knee: {title}")
            for title, knee in product(titles, ("Right", "Left"))
        ):
            steps += 1
            first = [side.placed[0][1] for side in sides]
            assert all(isinstance(one, Lines) and one.style.heading == 1 for one in first)
            assert len(sides) in {1, len(page.apart)}, page.heading
            drawn = [each.height for _, each in sides[0].placed if isinstance(each, PaperPicture)]
            assert len(sides) > 1 or not page.apart or min(drawn) > HANDS_SEEN, page.heading
        for side in sides if len(sides) > 1 else ():
            height = max(top + block.height for top, block in side.placed) * side.scale
            assert height > sheet.height * 0.25, page.heading
    assert steps >= len(plan.techniques) + len(plan.exercises)


@pytest.mark.parametrize(
    ("name", "helper", "letter"),
    [(name, helper, letter) for name, helper, letter in product(NAMES, (0, 1), (0, 1))],
)
def test_a_side_says_at_its_head_with_what_it_goes_on(name: str, helper: int, letter: int) -> None:
    """The first of a part has its heading; each later one repeats the one that was broken, since a
    sheet may lie there by itself: signs under no heading do not say how fast to act."""
    plan = plan_of(name)
    made = booklet(plan, CATALOGUE, today=DAY, for_helper=bool(helper))
    parts = (*made.pages, *fridge_sheet(plan, CATALOGUE).pages, *card_sheets(plan, CATALOGUE).pages)
    sheet = LETTER if letter else A4
    column = column_of(sheet, "")
    gone_on = 0
    for page in (one for part in parts for one in part.apart or (part,)):
        first, *later = _sheets(page, column)
        told = [block for _, block in first.placed if isinstance(block, Lines)]
        assert told[0].style.heading == 1
        heading = told[0]
        for before, side in pairwise((first, *later)):
            under = [b for _, b in before.placed if isinstance(b, Lines) and b.style.heading]
            heading = under[-1] if under else heading
            begins = side.placed[1][1]
            opens = isinstance(begins, Lines) and begins.style.heading == 2
            head = side.placed[0][1]
            assert isinstance(head, Again)
            assert head.words == f"{' '.join((told[0] if opens else heading).lines)}, continued"
            gone_on += 1
    assert gone_on > 4


def test_what_is_filled_in_or_hung_up_is_a_sheet_of_its_own_where_both_sides_are_printed() -> None:
    """Neither stands at the back of a part that is kept, nor has one at its own."""
    lines = tuple(Text(f"line {number}") for number in range(60))
    pages = [
        BookletPage("kept", lines[:2]),
        BookletPage("filled in", lines[:2], sheet="own"),
        BookletPage("kept too", lines[:2]),
        BookletPage("hung up", lines, sheet="fronts"),
    ]
    column = Box(MARGIN, MARGIN, A4.width - 2 * MARGIN, A4.height - 2 * MARGIN)
    sides = [
        "empty" if _says(side, "This side is empty.") else "" for side in _in_order(pages, column)
    ]
    kept, filled, again, *hung = sides[::2]
    assert (kept, filled, again) == ("", "", "")
    assert len(hung) > 1
    assert not any(hung), "each on a front"
    assert sides[1::2] == ["empty"] * (len(sides) // 2), "and nothing at the back"


def sides_as_copied(pdf: bytes, folder: Path, *of: str) -> Iterator[tuple[np.ndarray, list[Box]]]:
    """Each side of a file as a copier sees it, 0 black to 1 white, and the box of each word on it,
    in dots: both read back by another program. `of`: "-f", "4" to begin with the fourth, say."""
    path = folder / "paper.pdf"
    path.write_bytes(pdf)
    for command in (
        ("pdftoppm", "-r", f"{COPY}", "-gray", *of, str(path), str(folder / "side")),
        ("pdftotext", "-bbox", *of, str(path), str(folder / "words.html")),
    ):
        subprocess.run(command, check=True, capture_output=True)
    _, *pages = (folder / "words.html").read_text().split("<page ")
    for page, image in zip(pages, sorted(folder.glob("side-*.pgm")), strict=True):
        _, size, _, dots = image.read_bytes().split(b"\n", 3)
        width, height = map(int, size.split())
        found = re.findall(r'xMin="(.*?)" yMin="(.*?)" xMax="(.*?)" yMax="(.*?)">(.*?)<', page)
        words = [[float(n) * COPY / 72 for n in each[:4]] for each in found if each[4].strip()]
        yield (
            np.frombuffer(dots, np.uint8).reshape(height, width) / 255,
            [Box(left, top, right - left, low - top) for left, top, right, low in words],
        )


def copied(side: np.ndarray) -> np.ndarray:
    """What is black in a harsh copy: blurred as by a copier's glass, cut to black and white."""
    black: np.ndarray = ndimage.gaussian_filter(side, 0.6) < LOST
    return black


@pytest.mark.parametrize("which", PERSONS)
def test_a_harsh_copy_loses_no_word_of_any_page(which: HomePaper, tmp_path: Path) -> None:
    """At 150 dots an inch each word, those of pictures too, keeps a fair share of its ink. Of the
    booklet the sides with pictures, where words lie on tape; the two below are for the rest."""
    paper = home_paper(which, plan_of("osric"), CATALOGUE, on=DAY, weeks=1, letter=False)
    count, pictures = 0, ("-f", "4", "-l", "18") if which == "booklet" else ()
    for number, (side, words) in enumerate(sides_as_copied(paper, tmp_path, *pictures), 1):
        black = copied(side)
        for word in words:
            here = (
                slice(int(word.top), int(word.top + word.height) + 1),
                slice(int(word.left), int(word.left + word.width) + 1),
            )
            ink = (side[here] < 0.9).sum()
            assert ink, f"a word of side {number} is not to be seen"
            assert black[here].sum() > 0.25 * ink, f"side {number}: {word}"
        count += len(words)
    assert count > 50


def test_a_harsh_copy_keeps_every_glyph_of_the_smallest_words(tmp_path: Path) -> None:
    glyphs = [*string.ascii_letters, *string.digits, *"%&?!“”’()+/…", *"äéñøßž"]

    def paint_all(painter: QPainter, _next: Callable[[], object], _sheet: Box) -> None:
        for row, style in enumerate((TextStyle(LEAST_WORDS), TextStyle(LEAST_WORDS, bold=True))):
            for number, glyph in enumerate(glyphs):
                at = QPointF(40 + number % 20 * 24.3, 60 + row * 200 + number // 20 * 30)
                draw_line(painter, glyph, style, at)

    (copy,) = sides_as_copied(pdf_bytes("Glyphs", glyphs, DAY, paint_all, letter=False), tmp_path)
    side, words = copy
    black, kept = copied(side), list[float]()
    assert len(words) == 2 * len(glyphs)
    for word in words:
        here = (
            slice(int(word.top), int(word.top + word.height) + 1),
            slice(int(word.left), int(word.left + word.width) + 1),
        )
        kept.append(black[here].sum() / (side[here] < 0.9).sum())
    assert min(kept) > 0.15, "of a single thin glyph less than of a word; none is gone"


@pytest.mark.parametrize("name", NAMES)
def test_every_word_of_every_paper_is_ink_and_no_smaller_than_a_copy_keeps(
    name: str, tmp_path: Path
) -> None:
    """Sizes and colours as pdftohtml reads them, at its 1.5 dots a point, cut to whole ones: of
    each person one reader and paper here, both in the layouts above. What hangs on the fridge is
    16 points or more but for head and foot, which say whose it is."""
    other = name in ("jory", "tobin")
    made = home_papers(plan_of(name), CATALOGUE, on=DAY, weeks=1, for_helper=other, letter=other)
    for paper, pdf in made.items():
        path = tmp_path / paper
        path.write_bytes(pdf)
        command = ["pdftohtml", "-xml", "-i", "-q", "-stdout", str(path)]
        told = subprocess.run(command, capture_output=True, text=True, check=True).stdout
        fonts = {
            number: (int(size), int(colour, 16))
            for number, size, colour in re.findall(
                r'<fontspec id="(\d+)" size="(\d+)" .*?color="#(..)', told
            )
        }
        assert min(size for size, _ in fonts.values()) >= int(LEAST_WORDS * 1.5), paper
        assert max(grey for _, grey in fonts.values()) < LOST * 255 / 2, paper
        if paper == "fridge.pdf":
            words = re.findall(r'<text top="(\d+)".*?font="(\d+)">', told)
            high = max(int(top) for top, _ in words)
            small = [top for top, font in words if fonts[font][0] < int(LARGE_PRINT * 1.5)]
            assert small
            assert all(int(top) < 60 or int(top) > high - 20 for top in small)


def test_a_harsh_copy_loses_no_line_to_write_on_and_no_box(tmp_path: Path) -> None:
    forms = home_paper("blank_days", plan_of("osric"), CATALOGUE, on=DAY, weeks=1, letter=True)
    side, _ = next(sides_as_copied(forms, tmp_path))
    ink = side < 0.9
    things, count = ndimage.label(ndimage.binary_dilation(ink, np.ones((3, 9))))
    numbers = range(1, count + 1)
    kept = ndimage.sum(copied(side), things, numbers) / ndimage.sum(ink, things, numbers)
    assert count > 100
    assert kept.min() > 0.25


def test_grey_words_would_be_lost_so_the_copy_is_harsh() -> None:
    """The test above can fail: what was printed in grey before is gone at that mark."""
    page = np.ones((40, 40))
    page[10:13, 5:30] = 0x8A / 255
    assert not copied(page).any()
