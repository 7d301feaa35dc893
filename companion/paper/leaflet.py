"""A page of words as a leaflet in large print: what a screen shows, to hang on the fridge."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import partial

from PySide6.QtCore import QLineF, QPointF
from PySide6.QtGui import QPainter

from companion.canvas.box import Box
from companion.canvas.typesetting import RULE_INK, Align, TextStyle, draw_line, solid, wrapped
from companion.paper.blocks import (
    Block,
    Lines,
    Rule,
    Space,
    TableRow,
    marker_indent,
    paragraph,
    set_cell,
    share_out,
)
from companion.paper.pdf import POINTS_PER_MM, pdf_bytes
from companion.presentation.language.phrases import phrase
from companion.presentation.view import page as view

MARGIN = 20 * POINTS_PER_MM
_EDGE = 15 * POINTS_PER_MM
_TITLE = TextStyle(26, bold=True, leading=1.2)
_HEADING = TextStyle(16, bold=True, leading=1.3)
_WORDS = TextStyle(13, leading=1.34)
_STRONG = TextStyle(13, bold=True, leading=1.34)
_QUIET = TextStyle(12, leading=1.4, quiet=True)
_NUMBER = TextStyle(20, bold=True, leading=1.2)
_RUNNING = TextStyle(10, leading=1.3, quiet=True)


def leaflet_pdf(
    shown: view.PageView,
    *,
    head: str,
    foot: str,
    until: date,
    letter: bool = False,
    scale: float = 1.0,
) -> bytes:
    """The words of a page as a PDF. `head` says whose it is, `until` dates it. `scale` sets all
    words smaller than large print.

    Blocks that ask something have no place on paper and are left out.
    """
    paint = partial(_paint, shown, head, foot, scale)
    return pdf_bytes(shown.heading, (shown, head), until, paint, letter=letter)


def _paint(
    shown: view.PageView,
    head: str,
    foot: str,
    scale: float,
    painter: QPainter,
    next_page: Callable[[], object],
    sheet: Box,
) -> None:
    column = Box(MARGIN, MARGIN + 8, sheet.width - 2 * MARGIN, sheet.height - 2 * MARGIN - 8)
    width = column.width / scale
    blocks: list[Block] = [*_lines(shown.heading, _TITLE, width), Space(6)]
    for block in shown.blocks:
        blocks += set_block(block, width)
    pages = share_out(blocks, column.height / scale)
    for number, places in enumerate(pages, 1):
        if number > 1:
            next_page()
        page = phrase("Page {number} of {count}", number=number, count=len(pages))
        draw_line(painter, head, _RUNNING, QPointF(MARGIN, _EDGE))
        right = sheet.width - MARGIN
        draw_line(painter, page, _RUNNING, QPointF(right, _EDGE), Align.RIGHT)
        solid(painter, RULE_INK, 0.6)
        painter.drawLine(QLineF(MARGIN, _EDGE + 6, right, _EDGE + 6))
        draw_line(painter, foot, _RUNNING, QPointF(MARGIN, sheet.height - _EDGE + 5))
        painter.save()
        painter.translate(column.left, column.top)
        painter.scale(scale, scale)
        for top, index in places:
            block_at = blocks[index]
            block_at.draw(painter, Box(0.0, top, width, block_at.height))
        painter.restore()


def _lines(text: str, style: TextStyle, width: float) -> list[Block]:
    return [Lines(wrapped(text, style, width), style)]


def set_block(block: view.Block, width: float) -> list[Block]:
    """A block of a page in large print; what asks something is left out."""
    match block:
        case view.Text(text, weight):
            style = {"plain": _WORDS, "strong": _STRONG, "quiet": _QUIET}[weight]
            return [Space(4), *paragraph(text, style, width)]
        case view.Heading(text):
            return [Space(14), Lines(wrapped(text, _HEADING, width), _HEADING, keep=True)]
        case view.Bulleted(items):
            return _listed([("•", item) for item in items], width)
        case view.Numbered(items, start):
            return _listed([(f"{n}.", item) for n, item in enumerate(items, start)], width)
        case view.Callout(text, heading):
            return [
                Space(8),
                Rule(),
                *(paragraph(heading, _STRONG, width) if heading else []),
                *paragraph(text, _WORDS, width),
                Rule(),
            ]
        case view.DefinitionList(rows):
            left = width * 0.36
            return [
                TableRow(
                    (
                        set_cell("", name, 0, left - 10, _QUIET),
                        set_cell("", value, left, width - left, _STRONG),
                    )
                )
                for name, value in rows
            ]
        case view.LevelList(_, heading, items):
            return [
                *set_block(view.Heading(heading), width),
                *set_block(view.Bulleted(items), width),
            ]
        case view.CardBlock(_, heading, actions, phones, no_answer):
            return [
                Space(10),
                Lines(wrapped(heading, _HEADING, width), _HEADING, keep=True),
                *_listed([(f"{n}.", action) for n, action in enumerate(actions, 1)], width),
                *_phones(phones[:1], width),
                *(paragraph(no_answer, _STRONG, width) if no_answer else []),
                *_phones(phones[1:], width),
            ]
        case view.Phones(heading, lines):
            return [
                Space(10),
                Lines(wrapped(heading, _HEADING, width), _HEADING, keep=True),
                *_phones(lines, width),
            ]
        case _:
            return []


def _phones(lines: tuple[view.PhoneLine, ...], width: float) -> list[Block]:
    blocks: list[Block] = []
    for line in lines:
        who = phrase("{who}, {when}", who=line.who, when=line.when) if line.when else line.who
        number = line.number or phrase("no number is written here")
        blocks += [Space(6), Lines(wrapped(who, _QUIET, width), _QUIET, keep=True)]
        blocks += _lines(number, _NUMBER, width)
    return blocks


def _listed(items: list[tuple[str, str]], width: float) -> list[Block]:
    """Marks before items, the texts hanging in line."""
    indent = marker_indent([mark for mark, _ in items], _WORDS)
    blocks: list[Block] = []
    for mark, item in items:
        blocks += [*paragraph(item, _WORDS, width, marker=mark, indent=indent), Space(2)]
    return blocks
