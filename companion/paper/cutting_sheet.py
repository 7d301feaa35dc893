"""The cutting sheet as a PDF at true size: lay the tape on it, on its paper, and cut along.

A black line 100.0 mm long across and another down say whether it was printed at 100 %. A piece
longer than the page goes on in another part; both parts bear the same letter where they meet.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from math import ceil

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath

from companion.canvas.box import Box
from companion.canvas.marks import Tag, for_the_eye, tagged
from companion.canvas.typesetting import (
    INK,
    Align,
    TextStyle,
    draw_line,
    draw_lines,
    solid,
    wrapped,
)
from companion.paper.pdf import POINTS_PER_MM, pdf_bytes
from companion.presentation.home.cutting import CORNER_MM, CutPiece, CuttingSheet, KneeCuts
from companion.presentation.language.phrases import phrase

CHECK_MM = 100.0
EDGE_MM = 14.0
"""White at the edges of the page: printers reach that far."""
_GAP_MM = 5.0
_HEAD_MM = 96.0
"""What words and check line take of a knee's first page."""
_LATER_HEAD_MM = 30.0
_LATER_CHECK_MM = 25.0
_LEFT_COLUMN_MM = 18.0
"""Beside the check line that runs down."""
_CUT_LINE_MM = 0.35
_OVERLAP_MARK_MM = 6.0

_TITLE = TextStyle(22, bold=True, leading=1.2)
_KNEE = TextStyle(16, bold=True, leading=1.3)
_WORDS = TextStyle(12, leading=1.3)
_LINES = TextStyle(11, leading=1.25)
_STRONG = TextStyle(12, bold=True, leading=1.3)
_SMALL = TextStyle(10, leading=1.25)
_NUMBER = TextStyle(20, bold=True)


@dataclass(frozen=True, slots=True)
class Part:
    """A piece, or the part of one between `from_mm` and `to_mm`, upright at a place of a page.

    `left_mm` and `top_mm` are its upper left corner on the page. `marks` are the letters at its
    upper and lower end where another part goes on; None at an end that is cut round.
    """

    piece: CutPiece
    page: int
    left_mm: float
    top_mm: float
    from_mm: float
    to_mm: float
    marks: tuple[str | None, str | None]

    @property
    def length_mm(self) -> float:
        """How long it is on this page."""
        return self.to_mm - self.from_mm


def cutting_sheet_pdf(sheet: CuttingSheet, *, on: date, letter: bool = False) -> bytes:
    """The PDF as bytes, A4 or Letter, dated `on`."""
    title = phrase("{title}: {who}", title=sheet.title, who=sheet.who)
    return pdf_bytes(title, sheet, on, partial(_paint_all, sheet), letter=letter)


# ---------------------------------------------------------------- where the pieces lie


def places(pieces: Sequence[CutPiece], width_mm: float, height_mm: float) -> tuple[Part, ...]:
    """The pieces on pages of this size, upright, in columns from the left.

    The first page has its head and the check line down; later ones only a short head. Raises
    ValueError for a piece wider than the page.
    """
    found: list[Part] = []
    page, x, y = 0, EDGE_MM + _LEFT_COLUMN_MM, _HEAD_MM
    column_mm = 0.0
    right, bottom = width_mm - EDGE_MM, height_mm - EDGE_MM
    room_on_later = bottom - _LATER_HEAD_MM
    letters = iter("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    for piece in pieces:
        if piece.width_mm > right - EDGE_MM - _LEFT_COLUMN_MM:
            raise ValueError(f"a piece {piece.width_mm:g} mm wide is wider than the page")
        count = ceil(piece.length_mm / room_on_later)
        upper: str | None = None
        for number in range(count):
            low = piece.length_mm * number / count
            high = piece.length_mm * (number + 1) / count
            lower = next(letters) if number < count - 1 else None
            if y > _head(page) and y + high - low > bottom:  # no room under the last one
                x, y = x + column_mm + _GAP_MM, _head(page)
                column_mm = 0.0
            if x + piece.width_mm > right or y + high - low > bottom:
                page, x = page + 1, EDGE_MM
                y, column_mm = _head(page), 0.0
            found.append(Part(piece, page, x, y, low, high, (upper, lower)))
            column_mm = max(column_mm, piece.width_mm)
            y += high - low + _GAP_MM
            upper = lower
    return tuple(found)


def _head(page: int) -> float:
    return _LATER_HEAD_MM if page else _HEAD_MM


# ---------------------------------------------------------------- pages


def _paint_all(
    sheet: CuttingSheet, painter: QPainter, next_page: Callable[[], object], page: Box
) -> None:
    width, height = page.width / POINTS_PER_MM, page.height / POINTS_PER_MM
    sets = [(knee, places(knee.pieces, width, height)) for knee in sheet.knees]
    counts = [max(part.page for part in parts) + 1 for _, parts in sets]
    number = 0
    for (knee, parts), count in zip(sets, counts, strict=True):
        for own in range(count):
            number += 1
            if number > 1:
                next_page()
            _head_words(painter, sheet, knee, page, first=own == 0)
            _check_across(painter, sheet, _HEAD_MM - 4.5 if own == 0 else _LATER_CHECK_MM)
            if own == 0:
                _check_down(painter, sheet)
            for part in parts:
                if part.page == own:
                    with tagged(painter, Tag("Figure", alt=_said(part))):
                        _paint_part(painter, knee, part)
            foot = phrase("Page {number} of {count}", number=number, count=sum(counts))
            at = QPointF(page.width - _mm(EDGE_MM), page.height - _mm(7))
            with for_the_eye():
                draw_line(painter, foot, _SMALL, at, Align.RIGHT)


def _said(part: Part) -> str:
    """A piece for whoever cannot see its outline."""
    piece = part.piece
    return phrase(
        "{number}, {title}, at true size: {length:.0f} mm long, {width:.0f} mm wide.",
        number=piece.number,
        title=piece.title,
        length=part.length_mm,
        width=piece.width_mm,
    )


def _mm(length: float) -> float:
    return length * POINTS_PER_MM


def _head_words(
    painter: QPainter, sheet: CuttingSheet, knee: KneeCuts, page: Box, *, first: bool
) -> None:
    left, width = _mm(EDGE_MM), page.width - 2 * _mm(EDGE_MM)
    if not first:
        words = phrase("{who}, {knee}", who=sheet.who, knee=knee.heading)
        draw_line(painter, words, _KNEE, QPointF(left, _mm(18)))
        return
    top = _mm(10)
    title = phrase("{title}: {knee}", title=sheet.title, knee=knee.heading)
    lines = [(title, _TITLE), (sheet.who, _WORDS)]
    if sheet.plan_mark is not None:
        lines.append((sheet.plan_mark, _STRONG))
    lines += [(words, _STRONG) for words in (sheet.warned, sheet.print_words) if words]
    lines += [(line, _LINES) for line in knee.lines]
    for text, style in lines:
        broken = wrapped(text, style, width)
        with tagged(painter, Tag("H1" if style is _TITLE else "P")):
            draw_lines(painter, broken, style, QPointF(left, top))
        top += len(broken) * style.line_height + 1.5


def _check_across(painter: QPainter, sheet: CuttingSheet, top_mm: float) -> None:
    """Solid, black, ending flat: outer end to outer end is 100.0 mm; on every page, for each may
    be printed by itself."""
    solid(painter, QColor("#000000"), _mm(0.8))
    left, top = _mm(EDGE_MM), _mm(top_mm)
    painter.drawLine(QLineF(left, top, left + _mm(CHECK_MM), top))
    words = phrase("{length} across", length=sheet.check_words)
    draw_line(painter, words, _SMALL, QPointF(left + _mm(CHECK_MM + 3), top + 3.5))


def _check_down(painter: QPainter, sheet: CuttingSheet) -> None:
    """The same down the page."""
    left, top = _mm(EDGE_MM), _mm(_HEAD_MM + 3)
    solid(painter, QColor("#000000"), _mm(0.8))
    painter.drawLine(QLineF(left, top, left, top + _mm(CHECK_MM)))
    at = QPointF(left, top + _mm(CHECK_MM + 5))
    for line in wrapped(phrase("{length} down", length=sheet.check_words), _SMALL, _mm(15)):
        draw_line(painter, line, _SMALL, at)
        at += QPointF(0, _SMALL.line_height)


def _paint_part(painter: QPainter, knee: KneeCuts, part: Part) -> None:
    """One part: the outer edge of its line is the tape's edge."""
    piece = part.piece
    inset = _CUT_LINE_MM / 2
    box = QRectF(
        _mm(part.left_mm + inset),
        _mm(part.top_mm + inset),
        _mm(piece.width_mm - _CUT_LINE_MM),
        _mm(part.length_mm - _CUT_LINE_MM),
    )
    solid(painter, INK, _mm(_CUT_LINE_MM))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPath(_outline(box, part))
    _anchor_lines(painter, part)
    _marks(painter, part)
    _part_words(painter, knee, part)


def _outline(box: QRectF, part: Part) -> QPainterPath:
    """Round corners at the ends of the tape, square ones where another part goes on."""
    radius = min(_mm(CORNER_MM), box.width() / 2)
    top = 0.0 if part.marks[0] else radius
    low = 0.0 if part.marks[1] else radius
    path = QPainterPath(QPointF(box.left() + top, box.top()))
    path.lineTo(box.right() - top, box.top())
    if top:
        path.arcTo(box.right() - 2 * top, box.top(), 2 * top, 2 * top, 90, -90)
    path.lineTo(box.right(), box.bottom() - low)
    if low:
        path.arcTo(box.right() - 2 * low, box.bottom() - 2 * low, 2 * low, 2 * low, 0, -90)
    path.lineTo(box.left() + low, box.bottom())
    if low:
        path.arcTo(box.left(), box.bottom() - 2 * low, 2 * low, 2 * low, -90, -90)
    path.lineTo(box.left(), box.top() + top)
    if top:
        path.arcTo(box.left(), box.top(), 2 * top, 2 * top, 180, -90)
    path.closeSubpath()
    return path


def _anchor_lines(painter: QPainter, part: Part) -> None:
    """Where the ends without stretch begin, broken lines."""
    piece = part.piece
    for along in (piece.anchor_mm, piece.length_mm - piece.anchor_mm):
        if part.from_mm + 1 < along < part.to_mm - 1:
            y = _mm(part.top_mm + along - part.from_mm)
            solid(painter, INK, _mm(0.3), dashed=True)
            left = _mm(part.left_mm + 2)
            painter.drawLine(QLineF(left, y, left + _mm(piece.width_mm - 4), y))


def _marks(painter: QPainter, part: Part) -> None:
    """The letter and two short lines at each end where another part goes on."""
    for mark, y in zip(part.marks, (part.top_mm, part.top_mm + part.length_mm), strict=True):
        if mark is None:
            continue
        inwards = 1 if y == part.top_mm else -1
        solid(painter, INK, _mm(0.5))
        for share in (0.25, 0.75):
            x = _mm(part.left_mm + part.piece.width_mm * share)
            painter.drawLine(QLineF(x, _mm(y), x, _mm(y + inwards * _OVERLAP_MARK_MM)))
        middle = _mm(part.left_mm + part.piece.width_mm / 2)
        drop = 6.5 if inwards > 0 else -2.5
        draw_line(painter, mark, _KNEE, QPointF(middle, _mm(y + drop)), Align.CENTRE)


def _part_words(painter: QPainter, knee: KneeCuts, part: Part) -> None:
    piece = part.piece
    middle = _mm(part.left_mm + piece.width_mm / 2)
    room = _mm(piece.width_mm - 6)
    words = [*wrapped(knee.heading, _SMALL, room), *wrapped(piece.title, _SMALL, room)]
    if part.marks != (None, None):
        words += wrapped(phrase("in parts: join the same letters"), _SMALL, room)
    height = _mm(8) + len(words) * _SMALL.line_height
    top = _mm(part.top_mm + part.length_mm / 2) - height / 2
    draw_line(painter, str(piece.number), _NUMBER, QPointF(middle, top + _mm(6)), Align.CENTRE)
    y = top + _mm(11)
    for line in words:
        draw_line(painter, line, _SMALL, QPointF(middle, y), Align.CENTRE)
        y += _SMALL.line_height
