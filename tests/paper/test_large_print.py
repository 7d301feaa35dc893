"""Paper for home as it is held in the hand: large, nothing torn apart, nothing lost in a copy."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from itertools import product

import numpy as np
import pytest
from PySide6.QtGui import QImage, QPainter
from scipy import ndimage

from companion.canvas.box import Box
from companion.canvas.fonts import load_fonts
from companion.paper import booklet as booklet_paper
from companion.paper import day_form as day_paper
from companion.paper.blocks import Lines
from companion.paper.booklet import _in_order, _Sheet
from companion.paper.leaflet import LARGE_PRINT, MARGIN, STRONG, WORDS
from companion.presentation.papers.booklet import Booklet, booklet
from companion.presentation.papers.home_sheets import blank_days
from tests.care.content import CATALOGUE
from tests.presentation.papers.test_booklet import NAMES, plan_of

pytestmark = pytest.mark.usefixtures("qapp")
DAY = date(2026, 11, 25)
A4, LETTER = Box(0, 0, 595, 842), Box(0, 0, 612, 792)
COPY = 150
"""Dots per inch of a copier."""
LOST = 0.38
"""What is lighter than this, of 1, is white in a harsh copy: darkness of 62 % is kept."""


def sides_of(content: Booklet, sheet: Box) -> list[list[_Sheet]]:
    """The sides of each part, without those left empty."""
    column = Box(MARGIN, MARGIN + 8, sheet.width - 2 * MARGIN, sheet.height - 2 * MARGIN - 8)
    return [
        [side for side in _in_order([page], column) if not _says(side, "This side is empty.")]
        for page in content.pages
    ]


def _says(side: _Sheet, words: str) -> bool:
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
    content = booklet(plan_of(name), CATALOGUE, today=DAY, for_helper=bool(helper))
    steps = {sheet.title for sheet in CATALOGUE.techniques}
    steps |= {sheet.title for sheet in CATALOGUE.exercises}
    sheet = LETTER if letter else A4
    for page, sides in zip(content.pages, sides_of(content, sheet), strict=True):
        assert all(side.scale >= 1 for side in sides), "smaller than large print"
        if page.heading.partition(": ")[2] in steps:
            assert len(sides) == 1, page.heading
        for side in sides if len(sides) > 1 else ():
            height = max(top + block.height for top, block in side.placed) * side.scale
            assert height > sheet.height * 0.25, page.heading


def pictures_of(paper: str, name: str) -> Iterator[np.ndarray]:
    """Each side as a copier sees it, 0 black to 1 white."""
    load_fonts()
    dots = COPY / 72
    images: list[QImage] = []
    painter = QPainter()

    def next_page() -> None:
        if painter.isActive():
            painter.end()
        image = QImage(
            round(A4.width * dots), round(A4.height * dots), QImage.Format.Format_Grayscale8
        )
        image.fill(255)
        images.append(image)
        painter.begin(image)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.scale(dots, dots)

    next_page()
    plan = plan_of(name)
    if paper == "days":
        day_paper._paint_all(blank_days(plan, CATALOGUE.policy, DAY, 1), painter, next_page, A4)
    else:
        made = booklet(plan, CATALOGUE, today=DAY)
        made = replace(made, pages=made.pages[:3])
        booklet_paper._paint_all(made, painter, next_page, A4)
    painter.end()
    for image in images:
        grey = np.frombuffer(image.constBits(), np.uint8)
        yield grey.reshape(image.height(), image.bytesPerLine())[:, : image.width()] / 255


@pytest.mark.parametrize(("paper", "name"), [("days", "osric"), ("booklet", "jory")])
def test_a_harsh_copy_loses_no_word(paper: str, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """At 150 dots an inch, blurred as by a copier's glass and cut to black and white, each word and
    rule keeps a fair share of its ink. Pictures are left out."""
    monkeypatch.setattr(booklet_paper, "paint", lambda *_: None)
    for page in list(pictures_of(paper, name))[:3]:
        ink = page < 0.9
        words, count = ndimage.label(ndimage.binary_dilation(ink, np.ones((3, 9))))
        assert count > 3
        copied = ndimage.gaussian_filter(page, 0.6) < LOST
        numbers = range(1, count + 1)
        kept = ndimage.sum(copied, words, numbers) / ndimage.sum(ink, words, numbers)
        assert kept.min() > 0.25, f"{(kept <= 0.25).sum()} of {count} words are lost"


def test_grey_words_would_be_lost_so_the_copy_is_harsh() -> None:
    """The test above can fail: what was printed in grey before is gone at that mark."""
    page = np.ones((40, 40))
    page[10:13, 5:30] = 0x8A / 255
    assert not (ndimage.gaussian_filter(page, 0.6) < LOST).any()
