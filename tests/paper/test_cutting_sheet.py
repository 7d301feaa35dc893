"""The cutting sheet measured on the page: 100.0 mm lines, true lengths, fonts in the file."""

from __future__ import annotations

import re
import subprocess
from dataclasses import replace
from datetime import date
from itertools import pairwise
from pathlib import Path
from unittest.mock import patch

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PySide6.QtGui import QImage, QPainter

from companion.canvas.box import Box
from companion.care.records import CutLengths
from companion.paper import cutting_sheet as paper
from companion.paper.cutting_sheet import (
    EDGE_MM,
    Part,
    cutting_sheet_pdf,
    places,
)
from companion.presentation.home.cutting import CutPiece, CuttingSheet, cutting_sheet
from tests.picture.made import measures, plan
from tests.presentation.papers.test_booklet import plan_of

pytestmark = pytest.mark.usefixtures("qapp")
DAY = date(2026, 11, 25)
DPI = 400
PAPERS = {False: (210.0, 297.0), True: (215.9, 279.4)}
"""A4 by ISO 216, Letter by ANSI/ASME Y14.1, in millimetres."""


def sheet_of(strip_mm: float = 88.0) -> CuttingSheet:
    """A sheet of side strips and short pieces as cut in the clinic, without paper stretch."""
    made = plan("right", (measures(cut=CutLengths(side_strip_mm=strip_mm, short_piece_mm=50.0)),))
    return cutting_sheet(
        replace(made, tape=replace(made.tape, length_from="as_cut", paper_stretch_percent=0.0))
    )


def rasterised(pdf: bytes, folder: Path, page: int = 1) -> QImage:
    """One page as grey pixels, by another program."""
    path = folder / "sheet.pdf"
    path.write_bytes(pdf)
    out = folder / "page"
    subprocess.run(
        ["pdftoppm", "-r", str(DPI), "-gray", "-png", "-singlefile", "-f", str(page),
         str(path), str(out)],
        check=True,
    )  # fmt: skip
    image = QImage(str(out) + ".png")
    assert not image.isNull()
    return image


def dark_run(image: QImage, x: int, y: int, *, down: bool) -> float:
    """How long, in mm, the dark run through a pixel is."""

    def dark(at: int) -> bool:
        place = (x, at) if down else (at, y)
        return image.valid(*place) and image.pixelColor(*place).lightness() < 128

    start = end = y if down else x
    assert dark(start)
    while dark(start - 1):
        start -= 1
    while dark(end + 1):
        end += 1
    return (end - start + 1) / DPI * 25.4


def px(mm: float) -> int:
    """A place in pixels."""
    return round(mm / 25.4 * DPI)


@pytest.mark.parametrize("letter", [False, True])
def test_the_check_lines_are_100_mm(tmp_path: Path, letter: bool) -> None:
    image = rasterised(cutting_sheet_pdf(sheet_of(), on=DAY, letter=letter), tmp_path)
    assert image.width() / DPI * 25.4 == pytest.approx(PAPERS[letter][0], abs=0.3)
    across = down = 0.0
    for y in range(px(60), px(120)):
        if image.pixelColor(px(EDGE_MM + 50), y).lightness() < 60:
            across = max(across, dark_run(image, px(EDGE_MM + 50), y, down=False))
    for x in range(px(EDGE_MM - 1), px(EDGE_MM + 1)):
        if image.pixelColor(x, px(140)).lightness() < 60:
            down = max(down, dark_run(image, x, px(140), down=True))
    assert across == pytest.approx(100.0, abs=0.2)
    assert down == pytest.approx(100.0, abs=0.2)


@pytest.mark.parametrize("strip_mm", [60.0, 88.0, 120.0])
def test_strips_are_drawn_at_their_length(tmp_path: Path, strip_mm: float) -> None:
    """Outer edge to outer edge, within 0.5 mm."""
    sheet = sheet_of(strip_mm)
    image = rasterised(cutting_sheet_pdf(sheet, on=DAY), tmp_path)
    for part in places(sheet.knees[0].pieces, *PAPERS[False]):
        x = px(part.left_mm + 10)  # clear of the round corners and of the words
        rows = [
            y
            for y in range(px(part.top_mm - 2), px(part.top_mm + part.length_mm + 2))
            if image.pixelColor(x, y).lightness() < 160
        ]
        assert (rows[-1] - rows[0] + 1) / DPI * 25.4 == pytest.approx(part.length_mm, abs=0.3)
        y = px(part.top_mm + 12)
        columns = [
            x
            for x in range(px(part.left_mm - 2), px(part.left_mm + part.piece.width_mm + 2))
            if image.pixelColor(x, y).lightness() < 160
        ]
        wide = (columns[-1] - columns[0] + 1) / DPI * 25.4
        assert wide == pytest.approx(part.piece.width_mm, abs=0.3)


LENGTHS = st.floats(22, 560)


@given(
    st.lists(LENGTHS, min_size=1, max_size=4), st.sampled_from((15.0, 25.0, 50.0, 100.0)),
    st.booleans(),
)  # fmt: skip
@settings(max_examples=60, deadline=None)
def test_pieces_lie_on_the_page_and_not_on_each_other(
    lengths: list[float], width: float, letter: bool
) -> None:
    pieces = [CutPiece(n, "piece", length, width, 5.0) for n, length in enumerate(lengths, 1)]
    parts = places(pieces, *PAPERS[letter])
    for piece in pieces:
        own = [part for part in parts if part.piece == piece]
        assert sum(part.length_mm for part in own) == pytest.approx(piece.length_mm)
        assert own[0].marks[0] is None
        assert own[-1].marks[1] is None
        for upper, lower in pairwise(own):
            assert upper.marks[1] == lower.marks[0] is not None
            assert upper.to_mm == lower.from_mm
    for part in parts:
        assert part.left_mm >= EDGE_MM
        assert part.left_mm + width <= PAPERS[letter][0] - EDGE_MM + 1e-6
        assert part.top_mm + part.length_mm <= PAPERS[letter][1] - EDGE_MM + 1e-6
    for number, part in enumerate(parts):
        for other in parts[:number]:
            assert not overlap(part, other)


def overlap(a: Part, b: Part) -> bool:
    """Whether two parts share some of a page."""
    beside = a.left_mm + a.piece.width_mm <= b.left_mm or b.left_mm + b.piece.width_mm <= a.left_mm
    above = a.top_mm + a.length_mm <= b.top_mm or b.top_mm + b.length_mm <= a.top_mm
    return a.page == b.page and not beside and not above


def test_a_strip_longer_than_the_page_goes_on_with_its_letter(tmp_path: Path) -> None:
    path = tmp_path / "long.pdf"
    path.write_bytes(cutting_sheet_pdf(sheet_of(320.0), on=DAY))
    done = subprocess.run(
        ["pdftotext", "-layout", str(path), "-"], capture_output=True, text=True, check=True
    )
    words = done.stdout.split()
    assert words.count("A") == 2
    assert words.count("B") == 2
    assert "join" in words


def test_words_and_fonts_are_in_the_file(tmp_path: Path) -> None:
    path = tmp_path / "sheet.pdf"
    path.write_bytes(cutting_sheet_pdf(sheet_of(), on=DAY))
    fonts = subprocess.run(["pdffonts", str(path)], capture_output=True, text=True, check=True)
    lines = fonts.stdout.splitlines()[2:]
    assert lines
    assert all("AtkinsonHyperlegible" in line and line.split()[-5] == "yes" for line in lines)
    done = subprocess.run(["pdftotext", str(path), "-"], capture_output=True, text=True, check=True)
    text = " ".join(done.stdout.split())
    for words in (
        "Tape to cut: Right knee", "Print at 100 %", "100 mm across",
        "Side strips: 2, each 88 mm on the paper", "Practice plan",
    ):  # fmt: skip
        assert words in text, words


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert cutting_sheet_pdf(sheet_of(), on=DAY) == cutting_sheet_pdf(sheet_of(), on=DAY)


def test_each_page_has_a_line_to_check_it_by(tmp_path: Path) -> None:
    """A page of strips may be printed by itself, long after the one before it."""
    path = tmp_path / "long.pdf"
    path.write_bytes(cutting_sheet_pdf(sheet_of(520.0), on=DAY))
    done = subprocess.run(["pdftotext", str(path), "-"], capture_output=True, text=True, check=True)
    words, *pages = done.stdout.split("\f")[:-1]
    assert "Print at 100 %" in words
    assert pages
    assert all("100 mm across" in page and "100 mm down" in squeezed(page) for page in pages)


def squeezed(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("letter", [False, True])
def test_long_strips_stand_beside_their_words(tmp_path: Path, letter: bool) -> None:
    """No page of words alone where both fit on one."""
    path = tmp_path / "long.pdf"
    path.write_bytes(cutting_sheet_pdf(cutting_sheet(plan_of("tobin")), on=DAY, letter=letter))
    done = subprocess.run(["pdftotext", str(path), "-"], capture_output=True, text=True, check=True)
    (page,) = done.stdout.split("\f")[:-1]
    assert "Print at 100 %" in squeezed(page)
    assert "100 mm across" in page


@pytest.mark.parametrize("letter", [False, True])
def test_short_pieces_stand_below_the_words_where_long_ones_find_no_room(
    tmp_path: Path, letter: bool
) -> None:
    """It was a page of words alone, without a piece and a line to check by."""
    cut = measures(cut=CutLengths(side_strip_mm=210.0, short_piece_mm=60.0))
    made = plan("right", (cut,))
    wide = replace(made, tape=replace(made.tape, length_from="as_cut", width_mm=50))
    path = tmp_path / "long.pdf"
    path.write_bytes(cutting_sheet_pdf(cutting_sheet(wide), on=DAY, letter=letter))
    done = subprocess.run(["pdftotext", str(path), "-"], capture_output=True, text=True, check=True)
    first, second = map(squeezed, done.stdout.split("\f")[:-1])
    assert "Print at 100 %" in first
    assert "Short piece" in first
    assert "Side strip" in second
    assert "100 mm across" in first
    assert "100 mm across" in second


@pytest.mark.parametrize("name", ["edda", "jory", "osric", "tobin"])
def test_its_words_are_large(name: str) -> None:
    """14 points at least: they are read at a table, often without glasses (C)."""
    sheet = cutting_sheet(plan_of(name))
    for page in (Box(0, 0, 595, 842), Box(0, 0, 612, 792)):
        image = QImage(10, 10, QImage.Format.Format_RGB32)
        painter = QPainter(image)
        with patch.object(paper, "draw_lines") as drawn:
            paper._paint_all(sheet, painter, lambda: None, page)
        painter.end()
        assert min(call.args[2].size for call in drawn.call_args_list) >= 14


@pytest.mark.parametrize("letter", [False, True])
def test_no_word_runs_into_the_check_line(tmp_path: Path, letter: bool) -> None:
    """With every remark a sheet can carry: practice plan, unusual measure, too much stretch."""
    made = plan("right", (measures(length=58.0, width=40.0, height=30.0),))
    worst = cutting_sheet(
        replace(made, tape=replace(made.tape, width_mm=50, stretch_percent=0.0, anchor_mm=10.0))
    )
    assert len(worst.knees[0].lines) == 8
    assert worst.plan_mark is not None
    path = tmp_path / "worst.pdf"
    path.write_bytes(cutting_sheet_pdf(worst, on=DAY, letter=letter))
    done = subprocess.run(
        ["pdftotext", "-bbox", str(path), "-"], capture_output=True, text=True, check=True
    )
    mm = 25.4 / 72
    tops = re.findall(r'xMin="([\d.]+)" yMin="([\d.]+)".*?yMax="([\d.]+)"', done.stdout)
    line = 91.5
    over = [
        (float(x) * mm, float(low) * mm, float(high) * mm)
        for x, low, high in tops
        if float(low) * mm < line + 1 and float(high) * mm > line - 1
    ]
    assert all(x > EDGE_MM + 100 for x, _, _ in over)
    assert len(tops) > 60
