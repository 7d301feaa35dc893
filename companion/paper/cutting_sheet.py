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
_LEFT_COLUMN_MM = 24.0
"""Beside the check line that runs down."""
_LEAST_COLUMN_MM = 45.0
"""What words need beside long pieces."""
_CUT_LINE_MM = 0.35
_OVERLAP_MARK_MM = 6.0

_TITLE = TextStyle(22, bold=True, leading=1.2)
_KNEE = TextStyle(16, bold=True, leading=1.3)
_SIZES = (16.0, 15.0, 14.0, 13.0, 12.0, 11.0)
"""Points of what is read: the largest for which there is room above the check line."""
_CHECK = TextStyle(14, leading=1.2)
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
        return self.to_mm - self.from_mm


def cutting_sheet_pdf(sheet: CuttingSheet, *, on: date, letter: bool = False) -> bytes:
    """The PDF as bytes, A4 or Letter, dated `on`."""
    title = phrase("{title}: {who}", title=sheet.title, who=sheet.who)
    return pdf_bytes(title, sheet, on, partial(_paint_all, sheet), letter=letter)


# ---------------------------------------------------------------- where the pieces lie


def places(pieces: Sequence[CutPiece], width_mm: float, height_mm: float) -> tuple[Part, ...]:
    """The pieces on pages of this size, upright, in columns from the left.

    Each page has its head, the first one a higher one, and the check line down. Raises ValueError
    for a piece wider than the page.
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
                page, x = page + 1, EDGE_MM + _LEFT_COLUMN_MM
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
    sets = [(knee, _laid(knee.pieces, width, height)) for knee in sheet.knees]
    beside = [_beside(parts, width) for _, parts in sets]
    # Where words and pieces stand beside each other, the first page with words alone is not needed.
    pages = [
        range(0 if left is None else 1, max(part.page for part in parts) + 1)
        for (_, parts), left in zip(sets, beside, strict=True)
    ]
    number, total = 0, sum(map(len, pages))
    for (knee, parts), own_pages, left in zip(sets, pages, beside, strict=True):
        for own in own_pages:
            number += 1
            if number > 1:
                next_page()
            here = [part for part in parts if part.page == own]
            _head_words(painter, sheet, knee, page, own, left_mm=left, alone=not here)
            if here:  # each page of pieces may be printed by itself
                _check_lines(painter, sheet, _head(own))
            for part in here:
                with tagged(painter, Tag("Figure", alt=_said(part))):
                    _paint_part(painter, knee, part)
            low = page.height - _mm(7)
            draw_line(painter, sheet.who, _SMALL, QPointF(_mm(EDGE_MM), low))
            foot = phrase("Page {number} of {count}", number=number, count=total)
            at = QPointF(page.width - _mm(EDGE_MM), low)
            with for_the_eye():
                draw_line(painter, foot, _SMALL, at, Align.RIGHT)


def _laid(pieces: Sequence[CutPiece], width_mm: float, height_mm: float) -> tuple[Part, ...]:
    """The pieces in their order; but where long ones would leave the first page to the words alone,
    the short ones come first, below the words."""
    parts = places(pieces, width_mm, height_mm)
    if any(part.page == 0 for part in parts) or _beside(parts, width_mm) is not None:
        return parts
    return places(sorted(pieces, key=lambda piece: piece.length_mm), width_mm, height_mm)


def _beside(parts: Sequence[Part], width_mm: float) -> float | None:
    """From where words stand beside long pieces, in mm; None where there is no room for them, or
    the pieces stand below the words."""
    if {part.page for part in parts} != {1}:
        return None
    left = max(part.left_mm + part.piece.width_mm for part in parts) + _GAP_MM
    return left if width_mm - EDGE_MM - left >= _LEAST_COLUMN_MM else None


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
    painter: QPainter,
    sheet: CuttingSheet,
    knee: KneeCuts,
    page: Box,
    own: int,
    *,
    left_mm: float | None,
    alone: bool,
) -> None:
    """What is said of a knee, as large as there is room: over the pieces, or beside them from
    `left_mm` on, or `alone` on a page; on its later pages of which knee it is."""
    edge = _mm(EDGE_MM)
    title = phrase("{title}: {heading}", title=sheet.title, heading=knee.heading)
    if own and left_mm is None:
        draw_line(painter, sheet.warned, _SMALL.with_bold(), QPointF(edge, _mm(11)))
        draw_line(painter, title, _KNEE, QPointF(edge, _mm(18)))
        return
    with tagged(painter, Tag("H1")):
        draw_lines(painter, (title,), _TITLE, QPointF(edge, _mm(10)))
    left = edge if left_mm is None else _mm(left_mm)
    top = _mm(10) + _TITLE.line_height + 2 if left_mm is None else _mm(_LATER_HEAD_MM)
    low = page.height - edge if alone or left_mm is not None else _mm(_HEAD_MM - 7)
    width = page.width - edge - left
    for size in _SIZES:
        lines = [(wrapped(text, style, width), style) for text, style in _told(sheet, knee, size)]
        if top + sum(len(told) * style.line_height + 1.5 for told, style in lines) <= low:
            break
    for told, style in lines:
        with tagged(painter, Tag("P")):
            draw_lines(painter, told, style, QPointF(left, top))
        top += len(told) * style.line_height + 1.5


def _told(sheet: CuttingSheet, knee: KneeCuts, size: float) -> list[tuple[str, TextStyle]]:
    """What must not be missed, and how to cut, in this size."""
    words = TextStyle(size, leading=1.22)
    strong = filter(None, (sheet.plan_mark, sheet.warned, sheet.print_words))
    return [
        *((line, words.with_bold()) for line in strong),
        *((line, words) for line in knee.lines),
    ]


def _check_lines(painter: QPainter, sheet: CuttingSheet, head_mm: float) -> None:
    """Two lines, solid, black, ending flat: outer end to outer end each is 100.0 mm."""
    solid(painter, QColor("#000000"), _mm(0.8))
    left, across, down = _mm(EDGE_MM), _mm(head_mm - 4.5), _mm(head_mm + 3)
    painter.drawLine(QLineF(left, across, left + _mm(CHECK_MM), across))
    painter.drawLine(QLineF(left, down, left, down + _mm(CHECK_MM)))
    words = phrase("{length} across", length=sheet.check_words)
    draw_line(painter, words, _CHECK, QPointF(left + _mm(CHECK_MM + 3), across + 4.5))
    at = QPointF(left, down + _mm(CHECK_MM + 6))
    for line in wrapped(phrase("{length} down", length=sheet.check_words), _CHECK, _mm(22)):
        draw_line(painter, line, _CHECK, at)
        at += QPointF(0, _CHECK.line_height)


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
    style = _CHECK if piece.width_mm >= 40 and part.length_mm >= 60 else _SMALL
    words = [
        *wrapped(knee.heading, style, room),
        *wrapped(piece.title.replace(", ", ",\n"), style, room),
    ]
    if part.marks != (None, None):
        words += wrapped(phrase("in parts: join the same letters"), style, room)
    height = _mm(8) + len(words) * style.line_height
    top = _mm(part.top_mm + part.length_mm / 2) - height / 2
    draw_line(painter, str(piece.number), _NUMBER, QPointF(middle, top + _mm(6)), Align.CENTRE)
    y = top + _mm(11)
    for line in words:
        draw_line(painter, line, style, QPointF(middle, y), Align.CENTRE)
        y += style.line_height
