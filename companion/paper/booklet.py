"""The booklet as a PDF in large print: words and pictures of this plan's routine."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from functools import partial

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter

from companion.canvas.box import Box
from companion.canvas.drawing import paint
from companion.canvas.marks import Tag, tagged
from companion.canvas.typesetting import (
    INK,
    Align,
    TextStyle,
    draw_line,
    draw_lines,
    solid,
    wrapped,
)
from companion.paper.blocks import Block, Lines, PaperPicture, Placed, Space, paragraph, set_sides
from companion.paper.leaflet import (
    LARGE_PRINT,
    STRONG,
    TITLE,
    WORDS,
    WRITING_LINE,
    Side,
    column_of,
    paint_sides,
    set_block,
    together,
)
from companion.paper.pdf import pdf_bytes
from companion.paper.picture_files import black_and_white
from companion.presentation.language.phrases import phrase
from companion.presentation.language.said import said_words
from companion.presentation.papers.booklet import (
    Booklet,
    BookletBlock,
    BookletPage,
    Pictures,
    ToFill,
    Together,
)
from companion.presentation.view.page import Text

_CAPTION = TextStyle(LARGE_PRINT, bold=True, leading=1.25)
_GAP = 12.0
_HEIGHTS = (
    330.0,
    300.0,
    270.0,
    240.0,
    215.0,
    190.0,
    170.0,
    150.0,
    144.0,
    138.0,
    132.0,
    126.0,
    120.0,
)
"""Points of height for pictures: the first with which a part takes the fewest pages, and on them
nothing is parted that is turned over in one."""
_LOW = 150.0
"""Lower than this, pictures do not give way to larger words."""
_BOTH_KNEES = 170.0
"""Lower than this, words and hands in the pictures of both knees lie over each other: each knee has
a page of its own."""
_LEAST_LETTERS = 10.0
"""Points of words in a picture, however small it is."""
_COPY = 150 / 72
"""Pixels a point of a coarse copy: no line of a picture is too thin for it."""
_LARGER = (1.05, 1.1)
"""Words are set so much larger than large print where that takes no more pages; never smaller."""
_LEAST_HEAD = 60.0
"""Points kept free for the heading that a side goes on with."""
_LINE_TO_FILL = 30.0
"""Points of height for what is written by hand."""


def booklet_pdf(content: Booklet, *, on: date, letter: bool = False) -> bytes:
    """The PDF as bytes, A4 or Letter, dated `on`."""
    title = phrase("{title}: {head}", title=content.title, head=content.running_head)
    return pdf_bytes(title, content, on, partial(_paint_all, content), letter=letter)


def _paint_all(
    content: Booklet, painter: QPainter, next_page: Callable[[], object], sheet: Box
) -> None:
    column = column_of(sheet, content.warned)
    sides, head = list(_in_order(content.pages, column)), content.running_head
    paint_sides(painter, next_page, sheet, column, sides, head, content.foot, warned=content.warned)


def _in_order(pages: Sequence[BookletPage], column: Box) -> Iterator[Side]:
    """The sides of all parts. What is filled in begins on a front side, and nothing of the rest
    stands on its back; what is hung up has nothing at its back at all."""
    empty = paragraph(phrase("This side is empty."), WORDS, column.width)
    blank = Side(tuple((0.0, block) for block in empty))
    sides, before = 0, "shared"
    for page in pages:
        for number, sheet in enumerate(_sheets(page, column)):
            if sides % 2 and (page.sheet == "fronts" or (number == 0 and page.sheet != before)):
                sides += 1
                yield blank
            sides += 1
            yield sheet
        before = page.sheet


def _sheets(page: BookletPage, column: Box) -> list[Side]:
    """The sides of a part: as large as its fewest pages allow, and filled alike, so that none holds
    the last line alone."""
    found, high = _set_at(page, column, 1.0)
    if page.apart and (len(found) > 1 or high < _BOTH_KNEES):
        return [side for one in page.apart for side in _sheets(one, column)]
    for scale in _LARGER:
        larger, drawn = _set_at(page, column, scale)
        if len(larger) > len(found) or drawn < min(high, _LOW):
            break
        found = larger
    return found


def _set_at(page: BookletPage, column: Box, scale: float) -> tuple[list[Side], float]:
    """The sides at a scale of the words, and the height of the pictures on them."""
    width, height = column.width / scale, column.height / scale
    drawn = _HEIGHTS[0]
    blocks = _blocks(page, width, drawn)
    found = set_sides(blocks, height, width, STRONG)
    for high in _HEIGHTS[1:] if _has_pictures(page.blocks) and len(found) > 1 else ():
        lower = _blocks(page, width, high)
        shared = set_sides(lower, height, width, STRONG)
        if (len(shared), _parted(shared)) < (len(found), _parted(found)):
            blocks, found, drawn = lower, shared, high
    highest = max((high for high in _held_heights(blocks) if high <= height), default=0.0)
    room = height
    while len(found) > 1 and room - 12 > highest + _LEAST_HEAD:
        room -= 12
        fuller = set_sides(blocks, room, width, STRONG)
        if len(fuller) > len(found):
            break
        found = fuller
    return [Side(placed, scale) for placed in found], drawn * scale


def _parted(sides: Sequence[Placed]) -> int:
    """How often what is turned over in one goes on on a later side: its side had no room."""
    return sum(side[-1][1].keep for side in sides[:-1])


def _held_heights(blocks: Sequence[Block]) -> Iterator[float]:
    """Points of height of what is turned over in one; sides made lower would part it."""
    high, held = 0.0, False
    for block in blocks:
        held = block.keep or (held and block.space)
        high += block.height
        if not held:
            yield high
            high = 0.0


def _has_pictures(parts: Sequence[BookletBlock]) -> bool:
    return any(
        isinstance(part, Pictures) or (isinstance(part, Together) and _has_pictures(part.blocks))
        for part in parts
    )


def _blocks(page: BookletPage, width: float, picture: float) -> list[Block]:
    heading = Lines(wrapped(page.heading, TITLE, width), TITLE, keep=True)
    return [heading, Space(6), *_parts(page.blocks, width, picture)]


def _parts(parts: Sequence[BookletBlock], width: float, picture: float) -> list[Block]:
    blocks: list[Block] = []
    told = 0
    for number, part in enumerate(parts):
        match part:
            case Pictures():
                # Words that lead to a picture are turned over with it.
                blocks[told:] = [
                    replace(each, keep=True) if isinstance(each, Lines) else each
                    for each in blocks[told:]
                ]
                blocks += _pictures(part, width, min(picture, _one_height(parts, number, width)))
            case Together():
                blocks += together(_parts(part.blocks, width, picture))
            case ToFill():
                blocks.append(_to_fill(part.words, width))
            case _:
                blocks += set_block(part, width)
        if not isinstance(part, Text):
            told = len(blocks)
    return blocks


def _to_fill(words: str, width: float) -> Block:
    """Words with a line behind them, or below where they leave too little of it."""
    lines = wrapped(words, WORDS, width)
    beside = len(lines) == 1 and WORDS.width(words) < width * 0.55
    high = _LINE_TO_FILL if beside else len(lines) * WORDS.line_height + _LINE_TO_FILL

    def draw(painter: QPainter, box: Box) -> None:
        top = box.top + (_LINE_TO_FILL - WORDS.line_height if beside else 4)
        with tagged(painter, Tag("P")):
            draw_lines(painter, lines, WORDS, QPointF(box.left, top))
        left = box.left + (WORDS.width(words) + 10 if beside else 0)
        solid(painter, INK, WRITING_LINE)
        painter.drawLine(QLineF(left, box.bottom - 3, box.right, box.bottom - 3))

    return PaperPicture(high, draw)


def _one_height(parts: Sequence[BookletBlock], at: int, width: float) -> float:
    """Points of height of the lowest of the rows of pictures among which the one `at` stands: a
    row with fewer pictures is no larger than those above and below it."""
    first = last = at
    while first and isinstance(parts[first - 1], Pictures):
        first -= 1
    while last + 1 < len(parts) and isinstance(parts[last + 1], Pictures):
        last += 1
    return min(_highest(row, width) for row in parts[first : last + 1] if isinstance(row, Pictures))


def _each(row: Pictures, width: float) -> float:
    count = len(row.drawings)
    return (width - _GAP * (count - 1)) / count


def _highest(row: Pictures, width: float) -> float:
    frames = [drawing.frame for drawing in row.drawings]
    return max(_each(row, width) * frame.height / frame.width for frame in frames)


def _pictures(row: Pictures, width: float, most: float) -> list[Block]:
    """Drawings side by side at one scale, their captions under them."""
    each = _each(row, width)
    high = min(_highest(row, width), most)
    total = high + (_CAPTION.line_height if any(row.captions) else 0.0) + 4

    def draw(painter: QPainter, box: Box) -> None:
        for number, (drawing, caption) in enumerate(zip(row.drawings, row.captions, strict=True)):
            left = box.left + number * (each + _GAP)
            with tagged(painter, Tag("Figure", alt=said_words(drawing.description))):
                into = QRectF(left, box.top, each, high)
                paint(painter, drawing, into, black_and_white(), least=_LEAST_LETTERS, pixels=_COPY)
            solid(painter, INK, 0.8)
            shown = high * drawing.frame.width / drawing.frame.height
            shown = min(shown, each)
            tall = shown * drawing.frame.height / drawing.frame.width
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(
                QRectF(left + (each - shown) / 2, box.top + (high - tall) / 2, shown, tall)
            )
            at = QPointF(left + each / 2, box.top + high + _CAPTION.line_height - 2)
            draw_line(painter, caption, _CAPTION, at, Align.CENTRE)

    return [Space(6), PaperPicture(total, draw), Space(6)]
