"""Papers as a reader hears them: read back by another library, thing by thing."""

from __future__ import annotations

import io
import re
import threading
from collections.abc import Iterator
from datetime import date
from typing import Any

import pypdf
import pytest
from pypdf.generic import ContentStream
from PySide6.QtCore import QPointF
from PySide6.QtGui import QImage, QPainter

from companion.canvas.box import Box
from companion.canvas.marks import Tag, for_the_eye, tagged
from companion.canvas.typesetting import TextStyle, draw_line
from companion.paper.home_papers import home_paper
from companion.paper.pdf import pdf_bytes
from companion.presentation.papers.home_sheets import HomePaper
from tests.care.content import CATALOGUE
from tests.presentation.papers.test_booklet import plan_of

pytestmark = pytest.mark.usefixtures("qapp")
DAY = date(2026, 11, 20)
WORDS = TextStyle(14)
PARTS = {"L": {"LI"}, "LI": {"LBody"}, "Table": {"TR"}, "TR": {"TH", "TD"}}
"""What each may hold (ISO 32000-1, 14.8.4.3)."""
INSIDE = {"LI": "L", "LBody": "LI", "TR": "Table", "TH": "TR", "TD": "TR"}


def read(data: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(data))


def things(pdf: pypdf.PdfReader) -> Iterator[tuple[Any, str]]:
    """Every thing of the tree in reading order, and what it stands in."""

    def below(element: Any, inside: str) -> Iterator[tuple[Any, str]]:
        yield element, inside
        for kid in (kid.get_object() for kid in element["/K"]):
            if not isinstance(kid, int) and "/S" in kid:
                yield from below(kid, element["/S"][1:])

    root: Any = pdf.trailer["/Root"]
    yield from below(root["/StructTreeRoot"]["/K"], "")


def marked_words(pdf: pypdf.PdfReader) -> dict[tuple[int, int], int]:
    """How many glyphs are shown in each mark of each page. Raises where words have no mark."""
    found: dict[tuple[int, int], int] = {}
    for number, page in enumerate(pdf.pages):
        here: list[int | None] = []
        for operands, operator in ContentStream(page.get_contents(), pdf).operations:
            if operator == b"BDC":
                here.append(operands[1]["/MCID"])
            elif operator == b"BMC":
                here.append(None)
            elif operator == b"EMC":
                here.pop()
            elif operator == b"Tj":
                assert here, "words outside any mark"
                if here[-1] is not None:
                    key = number, here[-1]
                    found[key] = found.get(key, 0) + 1  # the toolkit shows glyph by glyph
        assert not here, "a mark is not closed"
    return found


def paint(painter: QPainter, next_page: Any, page: Box) -> None:
    with for_the_eye():
        draw_line(painter, "head", WORDS, QPointF(50, 20))
    with tagged(painter, Tag("H1")):
        draw_line(painter, "title", WORDS, QPointF(50, 50))
    told = Tag("P")
    with tagged(painter, told):
        draw_line(painter, "begins", WORDS, QPointF(50, 80))
    with tagged(painter, Tag("Figure", alt="a gull “at” rest")):
        draw_line(painter, "7", WORDS, QPointF(50, 110))
    next_page()
    with tagged(painter, told):
        draw_line(painter, "goes on", WORDS, QPointF(50, 80))
    draw_line(painter, "by itself", WORDS, QPointF(50, 110))


def test_what_is_painted_is_in_the_tree_in_its_order() -> None:
    pdf = read(pdf_bytes("Title", "content", DAY, paint, letter=False))
    root: Any = pdf.trailer["/Root"]
    assert root["/Lang"] == "en"
    assert root["/MarkInfo"]["/Marked"]
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    document, title, told, figure, alone = (element for element, _ in things(pdf))
    roles = [e["/S"] for e in (document, title, told, figure, alone)]
    assert roles == ["/Document", "/H1", "/P", "/Figure", "/P"]
    assert figure["/Alt"] == "a gull “at” rest"
    # One paragraph on two pages: its second piece names the page it is on.
    first, second = told["/K"]
    assert first == 1
    assert (second["/MCID"], second["/Pg"]) == (0, pdf.pages[1])
    assert marked_words(pdf) == {(0, 0): 5, (0, 1): 6, (0, 2): 1, (1, 0): 7, (1, 1): 9}
    pages: list[Any] = list(pdf.pages)
    assert [page["/StructParents"] for page in pages] == [0, 1]
    assert [page["/Tabs"] for page in pages] == ["/S", "/S"]


def test_every_mark_leads_to_its_thing_and_back() -> None:
    pdf = read(pdf_bytes("Title", "content", DAY, paint, letter=False))
    root: Any = pdf.trailer["/Root"]
    numbers = root["/StructTreeRoot"]["/ParentTree"]["/Nums"]
    by_page = {numbers[n]: numbers[n + 1] for n in range(0, len(numbers), 2)}
    for page, mark in marked_words(pdf):
        element = by_page[page][mark].get_object()
        kids = [k if isinstance(k, int) else k.get_object()["/MCID"] for k in element["/K"]]
        assert mark in kids


def test_the_same_pages_are_the_same_bytes() -> None:
    made = [pdf_bytes("Title", "content", DAY, paint, letter=False) for _ in range(2)]
    assert made[0] == made[1]


@pytest.mark.parametrize(
    ("which", "name"),
    [("fridge", "edda"), ("blank_days", "edda"), ("cutting", "osric"), ("booklet", "tobin")],
)
def test_a_paper_is_read_in_order_and_its_pictures_are_said(which: HomePaper, name: str) -> None:
    plan = plan_of(name)
    pdf = read(home_paper(which, plan, CATALOGUE, on=DAY, weeks=1, letter=False))
    if which == "cutting":
        assert marked_words(pdf), "no words outside any mark"
    roles = []
    for element, inside in things(pdf):
        role = element["/S"][1:]
        roles.append(role)
        assert INSIDE.get(role, inside) == inside, (role, inside)
        assert role in PARTS.get(inside, {role}), (role, inside)
        if role == "Figure":
            assert re.search(r"\w+ \w+", element["/Alt"])
    assert "H1" in roles[1:8]  # a form has lines over its heading that are for all of them
    if which in ("cutting", "booklet"):
        assert "Figure" in roles


def test_what_a_window_paints_meanwhile_is_not_heard() -> None:
    """A paper is made beside the window, which paints with the same words."""
    image = QImage(100, 100, QImage.Format.Format_RGB32)

    def elsewhere() -> None:
        painter = QPainter(image)
        draw_line(painter, "of a window", WORDS, QPointF(5, 50))
        painter.end()

    def both(painter: QPainter, next_page: Any, page: Box) -> None:
        draw_line(painter, "of the paper", WORDS, QPointF(50, 50))
        thread = threading.Thread(target=elsewhere)
        thread.start()
        thread.join()

    pdf = read(pdf_bytes("Title", "content", DAY, both, letter=False))
    assert [element["/S"] for element, _ in things(pdf)] == ["/Document", "/P"]
