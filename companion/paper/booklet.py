"""The booklet as a PDF in large print: words and pictures of this plan's routine, blank days."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter

from companion.canvas.box import Box
from companion.canvas.drawing import paint
from companion.canvas.typesetting import (
    RULE_INK,
    Align,
    TextStyle,
    draw_line,
    draw_lines,
    solid,
    wrapped,
)
from companion.paper.blocks import Block, Lines, Space, paragraph, share_out
from companion.paper.blocks import Picture as PictureBlock
from companion.paper.leaflet import MARGIN, set_block
from companion.paper.pdf import POINTS_PER_MM, pdf_bytes
from companion.paper.picture_files import black_and_white
from companion.presentation.language.phrases import phrase
from companion.presentation.papers.booklet import Booklet, BookletPage, DayTable, Pictures
from companion.presentation.view.page import Text

_EDGE = 15 * POINTS_PER_MM
_TITLE = TextStyle(25, bold=True, leading=1.2)
_CAPTION = TextStyle(13, bold=True, leading=1.3)
_WORDS = TextStyle(13, leading=1.34)
_RUNNING = TextStyle(10, leading=1.3, quiet=True)
_ROW_WORDS = TextStyle(10.5, leading=1.15)
_COLUMN_WORDS = TextStyle(8.5, leading=1.15, quiet=True)
_GAP = 12.0
_HIGHEST_PICTURE = 330.0
_SMALLEST, _SLIGHTLY_SMALLER = 0.72, 0.9
"""How far a part is set smaller: to stay one page, and to save one."""
_LABEL_SHARE = 0.34


def booklet_pdf(content: Booklet, *, on: date, letter: bool = False) -> bytes:
    """The PDF as bytes, A4 or Letter, dated `on`."""
    title = phrase("{title}: {head}", title=content.title, head=content.running_head)
    return pdf_bytes(title, content, on, partial(_paint_all, content), letter=letter)


@dataclass(frozen=True, slots=True)
class _Sheet:
    """One page: blocks at their tops, set at a scale."""

    placed: tuple[tuple[float, Block], ...]
    scale: float = 1.0


def _paint_all(
    content: Booklet, painter: QPainter, next_page: Callable[[], object], sheet: Box
) -> None:
    column = Box(MARGIN, MARGIN + 8, sheet.width - 2 * MARGIN, sheet.height - 2 * MARGIN - 8)
    pages = [one for page in content.pages for one in _sheets(page, column)]
    count = len(pages) + len(content.day_tables)
    for number, page in enumerate(pages, 1):
        if number > 1:
            next_page()
        _running(painter, content, sheet, number, count)
        painter.save()
        painter.translate(column.left, column.top)
        painter.scale(page.scale, page.scale)
        for top, block in page.placed:
            block.draw(painter, Box(0.0, top, column.width / page.scale, block.height))
        painter.restore()
    for number, table in enumerate(content.day_tables, len(pages) + 1):
        next_page()
        _running(painter, content, sheet, number, count)
        _paint_days(painter, table, column)


def _sheets(page: BookletPage, column: Box) -> list[_Sheet]:
    """The sheets of a part: a little smaller where that saves one, and one alone, as small as it
    takes, where it must not run on."""
    found = _set_at(page, column, 1.0)
    scale = 1.0
    least = _SMALLEST if page.one_page else _SLIGHTLY_SMALLER
    while len(found) > 1 and scale > least:
        scale -= 0.04
        smaller = _set_at(page, column, scale)
        if len(smaller) < len(found):
            found = smaller
    return found


def _set_at(page: BookletPage, column: Box, scale: float) -> list[_Sheet]:
    blocks = _blocks(page, column.width / scale, column.height / scale)
    return [
        _Sheet(tuple((top, blocks[index]) for top, index in places), scale)
        for places in share_out(blocks, column.height / scale)
    ]


def _blocks(page: BookletPage, width: float, height: float) -> list[Block]:
    blocks: list[Block] = [Lines(wrapped(page.heading, _TITLE, width), _TITLE, keep=True)]
    blocks.append(Space(6))
    told = len(blocks)
    for block in page.blocks:
        if isinstance(block, Pictures):
            # Words that lead to a picture are turned over with it.
            blocks[told:] = [
                replace(each, keep=True) if isinstance(each, Lines) else each
                for each in blocks[told:]
            ]
            blocks += _pictures(block, width, height)
        else:
            blocks += set_block(block, width)
        if not isinstance(block, Text):
            told = len(blocks)
    return blocks


def _pictures(row: Pictures, width: float, height: float) -> list[Block]:
    """Drawings side by side at one scale, their captions under them."""
    count = len(row.drawings)
    each = (width - _GAP * (count - 1)) / count
    frames = [drawing.frame for drawing in row.drawings]
    high = min(
        max(each * frame.height / frame.width for frame in frames),
        _HIGHEST_PICTURE,
        height * 0.6,
    )
    total = high + _CAPTION.line_height + 4

    def draw(painter: QPainter, box: Box) -> None:
        for number, (drawing, caption) in enumerate(zip(row.drawings, row.captions, strict=True)):
            left = box.left + number * (each + _GAP)
            paint(painter, drawing, QRectF(left, box.top, each, high), black_and_white())
            solid(painter, RULE_INK, 0.8)
            shown = high * drawing.frame.width / drawing.frame.height
            shown = min(shown, each)
            tall = shown * drawing.frame.height / drawing.frame.width
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(
                QRectF(left + (each - shown) / 2, box.top + (high - tall) / 2, shown, tall)
            )
            at = QPointF(left + each / 2, box.top + high + _CAPTION.line_height - 2)
            draw_line(painter, caption, _CAPTION, at, Align.CENTRE)

    return [Space(6), PictureBlock(total, draw), Space(6)]


def _running(painter: QPainter, content: Booklet, sheet: Box, number: int, count: int) -> None:
    """Head and foot of a page: whose it is, which page of how many, what must not be missed."""
    left, right = MARGIN, sheet.width - MARGIN
    draw_line(painter, content.running_head, _RUNNING, QPointF(left, _EDGE))
    page = phrase("Page {number} of {count}", number=number, count=count)
    draw_line(painter, page, _RUNNING, QPointF(right, _EDGE), Align.RIGHT)
    solid(painter, RULE_INK, 0.6)
    painter.drawLine(QLineF(left, _EDGE + 6, right, _EDGE + 6))
    draw_line(painter, content.foot, _RUNNING, QPointF(left, sheet.height - _EDGE + 5))


# ---------------------------------------------------------------- blank days


def _paint_days(painter: QPainter, table: DayTable, column: Box) -> None:
    """A blank week: a row for each question, a box for each day."""
    top = column.top
    heads = wrapped(table.heading, replace(_TITLE, size=20), column.width)
    draw_lines(painter, heads, replace(_TITLE, size=20), QPointF(column.left, top))
    top += len(heads) * replace(_TITLE, size=20).line_height + 4
    lead: Sequence[Block] = [
        block for line in table.lead for block in paragraph(line, _WORDS, column.width)
    ]
    for block in lead:
        block.draw(painter, Box(column.left, top, column.width, block.height))
        top += block.height
    top += 8
    label = column.width * _LABEL_SHARE
    box = (column.width - label) / table.days
    room = (column.bottom - top) / len(table.rows)
    for row in table.rows:
        _day_row(painter, row.words, row.column, QRectF(column.left, top, label - 6, room))
        solid(painter, RULE_INK, 0.8)
        painter.drawLine(QLineF(column.left, top, column.right, top))
        for day in range(table.days + 1):
            x = column.left + label + day * box
            painter.drawLine(QLineF(x, top, x, top + room))
        top += room
    painter.drawLine(QLineF(column.left, top, column.right, top))


def _day_row(painter: QPainter, words: str, name: str, place: QRectF) -> None:
    """The question, and under it the column it is typed in; smaller where the row is low."""
    size = 1.0
    while True:
        big = replace(_ROW_WORDS, size=_ROW_WORDS.size * size)
        small = replace(_COLUMN_WORDS, size=_COLUMN_WORDS.size * size)
        lines = wrapped(words, big, place.width())
        under = wrapped(name, small, place.width())
        high = len(lines) * big.line_height + len(under) * small.line_height
        if high <= place.height() - 2 or size < 0.6:
            break
        size -= 0.05
    top = place.top() + (place.height() - high) / 2
    draw_lines(painter, lines, big, QPointF(place.left(), top))
    draw_lines(painter, under, small, QPointF(place.left(), top + len(lines) * big.line_height))
