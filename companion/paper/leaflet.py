"""A page of words as a leaflet in large print: what a screen shows, to hang on the fridge."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial

from PySide6.QtCore import QLineF, QPointF
from PySide6.QtGui import QPainter

from companion.canvas.box import Box
from companion.canvas.marks import Tag, for_the_eye, tagged
from companion.canvas.typesetting import INK, Align, TextStyle, draw_line, solid, wrapped
from companion.paper.blocks import (
    Block,
    Lines,
    PaperPicture,
    Placed,
    Rule,
    Space,
    TableRow,
    items,
    paragraph,
    set_cell,
    set_sides,
)
from companion.paper.pdf import POINTS_PER_MM, pdf_bytes
from companion.presentation.language.phrases import phrase
from companion.presentation.view import page as view

MARGIN = 15 * POINTS_PER_MM
EDGE = 11 * POINTS_PER_MM
LARGE_PRINT = 16.0
"""Points (fact: large_print); nothing that is to be read at home is smaller."""
TITLE = TextStyle(28, bold=True, leading=1.15, heading=1)
HEADING = TextStyle(19, bold=True, leading=1.25, heading=2)
WORDS = TextStyle(LARGE_PRINT, leading=1.24)
STRONG = TextStyle(LARGE_PRINT, bold=True, leading=1.24)
_NUMBER = TextStyle(23, bold=True, leading=1.15)
RUNNING = TextStyle(11, leading=1.3)
FOOT = TextStyle(13, bold=True, leading=1.3)
WRITING_LINE = 1.2
"""Points: a thinner line to write on is gone in a harsh copy."""
_WHO_SHARE = 0.6
"""Of the width, for who answers a number."""


def leaflet_pdf(
    shown: view.PageView, *, head: str, foot: str, warned: str, until: date, letter: bool = False
) -> bytes:
    """The words of a page as a PDF. `head` says whose it is, `until` dates it; `warned` says which
    warnings are open as it is printed, "" where none is.

    Blocks that ask something have no place on paper and are left out.
    """
    paint = partial(_paint, shown, head, foot, warned)
    return pdf_bytes(shown.heading, (shown, head, warned), until, paint, letter=letter)


def column_of(sheet: Box, warned: str) -> Box:
    """Where the blocks of a side stand on its sheet: lower where it says open warnings."""
    top = MARGIN + 8 + (RUNNING.line_height if warned else 0)
    return Box(MARGIN, top, sheet.width - 2 * MARGIN, sheet.height - MARGIN - top)


def _paint(
    shown: view.PageView,
    head: str,
    foot: str,
    warned: str,
    painter: QPainter,
    next_page: Callable[[], object],
    sheet: Box,
) -> None:
    column = column_of(sheet, warned)
    blocks: list[Block] = [Lines(wrapped(shown.heading, TITLE, column.width), TITLE), Space(6)]
    for block in shown.blocks:
        blocks += set_block(block, column.width)
    sides = [Side(each) for each in set_sides(blocks, column.height, column.width, STRONG)]
    paint_sides(painter, next_page, sheet, column, sides, head, foot, warned=warned)


@dataclass(frozen=True, slots=True)
class Side:
    """One side of paper: blocks at their tops, set at a scale."""

    placed: Placed
    scale: float = 1.0


def paint_sides(
    painter: QPainter,
    next_page: Callable[[], object],
    sheet: Box,
    column: Box,
    sides: Sequence[Side],
    head: str,
    foot: str,
    *,
    warned: str = "",
    foot_style: TextStyle = FOOT,
) -> None:
    """Paint all sides in a column. For the eye alone each says whose it is, which of how many, and
    what must not be missed; what it is `warned` of is read as well."""
    left, right = MARGIN, sheet.width - MARGIN
    for number, side in enumerate(sides, 1):
        if number > 1:
            next_page()
        page = phrase("Page {number} of {count}", number=number, count=len(sides))
        if warned:
            with tagged(painter, Tag("P")):
                under = QPointF(left, EDGE + 6 + RUNNING.line_height)
                draw_line(painter, warned, FOOT, under)
        with for_the_eye():
            draw_line(painter, head, RUNNING, QPointF(left, EDGE))
            draw_line(painter, page, RUNNING, QPointF(right, EDGE), Align.RIGHT)
            solid(painter, INK, 0.6)
            painter.drawLine(QLineF(left, EDGE + 6, right, EDGE + 6))
            draw_line(painter, foot, foot_style, QPointF(left, sheet.height - EDGE + 5))
        painter.save()
        painter.translate(column.left, column.top)
        painter.scale(side.scale, side.scale)
        for top, block in side.placed:
            block.draw(painter, Box(0.0, top, column.width / side.scale, block.height))
        painter.restore()


def set_block(block: view.Block, width: float) -> list[Block]:
    """A block of a page in large print; what asks something is left out."""
    match block:
        case view.Text(text, weight):
            strong = weight == "strong"  # it leads to what stands below
            return [Space(4), *paragraph(text, STRONG if strong else WORDS, width, keep=strong)]
        case view.Heading(text):
            return [Space(14), Lines(wrapped(text, HEADING, width), HEADING, keep=True)]
        case view.Bulleted(told):
            return [Space(5), *items([("•", item) for item in told], WORDS, width)]
        case view.Numbered(told, start):
            numbered = [(f"{n}.", item) for n, item in enumerate(told, start)]
            return [Space(5), *items(numbered, WORDS, width)]
        case view.Callout(text, heading):
            return [
                Space(8),
                Rule(),
                *(paragraph(heading, STRONG, width) if heading else []),
                *paragraph(text, WORDS, width),
                Rule(),
            ]
        case view.DefinitionList(rows):
            left, table = width * 0.36, Tag("Table")
            return [
                Space(5),
                *(
                    TableRow(
                        (
                            set_cell("", name, 0, left - 10, WORDS),
                            set_cell("", value, left, width - left, STRONG),
                        ),
                        tag=Tag("TR", table),
                    )
                    for name, value in rows
                ),
            ]
        case view.Tellings(heads, rows):
            return [
                block
                for number, head in enumerate(heads)
                for part in (
                    view.Heading(head),
                    view.DefinitionList(tuple((name, each[number]) for name, each in rows)),
                )
                for block in set_block(part, width)
            ]
        case view.LevelList(_, heading, told):
            return [
                *set_block(view.Heading(heading), width),
                *set_block(view.Bulleted(told), width),
            ]
        case view.CardBlock(_, heading, actions, phones, no_answer, note):
            card: list[Block] = [
                Lines(wrapped(heading, HEADING, width), HEADING),
                *items([(f"{n}.", one) for n, one in enumerate(actions, 1)], WORDS, width),
                *_phones(phones[:1], width),
                *(paragraph(no_answer, STRONG, width) if no_answer else []),
                *_phones(phones[1:], width),
                *(paragraph(note, WORDS, width) if note else []),
            ]
            return [Space(6), *together(card)]
        case view.Phones(heading, lines):
            # No heading of what stands below the numbers.
            calls = replace(HEADING, heading=0)
            return [
                Space(10),
                Lines(wrapped(heading, calls, width), calls, keep=True),
                *_phones(lines, width),
            ]
        case _:
            return []


def together(blocks: list[Block]) -> list[Block]:
    """The same, turned over in one: all before the last line hold on to what follows them."""
    last = max(number for number, block in enumerate(blocks) if not block.space)
    held = [
        replace(block, keep=True)
        if isinstance(block, Lines | Space | Rule | TableRow | PaperPicture)
        else block
        for block in blocks[:last]
    ]
    return [*held, *blocks[last:]]


def _phones(lines: tuple[view.PhoneLine, ...], width: float) -> list[Block]:
    """Who answers and when, and the number large beside it."""
    left, table = width * _WHO_SHARE, Tag("Table")
    blocks: list[Block] = []
    for line in lines:
        who = phrase("{who}, {when}", who=line.who, when=line.when) if line.when else line.who
        number = line.number or phrase("no number is written here")
        cells = (
            set_cell("", who, 0, left - 12, WORDS),
            set_cell("", number, left, width - left, _NUMBER if line.number else WORDS),
        )
        blocks.append(TableRow(cells, 2.5, tag=Tag("TR", table)))
    return blocks
