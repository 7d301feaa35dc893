"""The wording to sign as a PDF: one page to read and sign, and its annex."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial

from PySide6.QtCore import QLineF, QPointF
from PySide6.QtGui import QPainter

from companion.canvas.box import Box
from companion.canvas.marks import for_the_eye
from companion.canvas.typesetting import INK, Align, draw_line, solid, wrapped
from companion.paper.blocks import Block, Lines, Rule, Space, TableRow, set_cell, share_out
from companion.paper.leaflet import EDGE, MARGIN, RUNNING, TITLE, WORDS, set_block
from companion.paper.pdf import pdf_bytes
from companion.presentation.language.phrases import phrase
from companion.presentation.papers.wording_sheet import RuleToSign, WordingSheet
from companion.presentation.view import page as view

_AT_A_DESK = 0.58
"""Of large print, for a clinician to read; the page to sign is as much larger as it may be."""
_LARGEST, _SMALLEST, _STEP = 0.74, 0.5, 0.02


def wording_pdf(sheet: WordingSheet, *, on: date, letter: bool = False) -> bytes:
    """The PDF as bytes, A4 or Letter, dated `on`."""
    return pdf_bytes(sheet.heading, sheet, on, partial(_paint, sheet), letter=letter)


@dataclass(frozen=True, slots=True)
class _Page:
    blocks: Sequence[Block]
    places: tuple[tuple[float, int], ...]
    scale: float


def _paint(
    told: WordingSheet, painter: QPainter, next_page: Callable[[], object], sheet: Box
) -> None:
    column = Box(MARGIN, MARGIN + 8, sheet.width - 2 * MARGIN, sheet.height - 2 * MARGIN - 8)
    pages = [_to_sign(told, column)]
    annex = _set(told.annex.heading, told.annex.blocks, column.width / _AT_A_DESK)
    pages += [
        _Page(annex, places, _AT_A_DESK) for places in share_out(annex, column.height / _AT_A_DESK)
    ]
    for number, page in enumerate(pages, 1):
        if number > 1:
            next_page()
        right = sheet.width - MARGIN
        count = phrase("Page {number} of {count}", number=number, count=len(pages))
        with for_the_eye():
            draw_line(painter, told.running_head, RUNNING, QPointF(MARGIN, EDGE))
            draw_line(painter, count, RUNNING, QPointF(right, EDGE), Align.RIGHT)
            solid(painter, INK, 0.6)
            painter.drawLine(QLineF(MARGIN, EDGE + 6, right, EDGE + 6))
            draw_line(painter, told.foot, RUNNING, QPointF(MARGIN, sheet.height - EDGE + 5))
        painter.save()
        painter.translate(column.left, column.top)
        painter.scale(page.scale, page.scale)
        for top, index in page.places:
            block = page.blocks[index]
            block.draw(painter, Box(0.0, top, column.width / page.scale, block.height))
        painter.restore()


def _to_sign(told: WordingSheet, column: Box) -> _Page:
    """The one page to read and to sign, as large as fits on it."""
    scale = _LARGEST
    while True:
        width = column.width / scale
        blocks = [
            *_set(told.heading, told.before, width),
            Space(4),
            Rule(),
            *(part for rule in told.rules for part in (_row(rule, width), Rule())),
            *(part for block in told.after for part in set_block(block, width)),
        ]
        places = share_out(blocks, column.height / scale)
        if len(places) == 1 or scale <= _SMALLEST:
            return _Page(blocks, places[0], scale)
        scale -= _STEP


def _row(rule: RuleToSign, width: float) -> TableRow:
    """A rule with room for initials at its end."""
    words, line = width * 0.07, width * 0.86
    return TableRow(
        (
            set_cell(rule.mark, "", 0, words - 6, WORDS),
            set_cell(rule.title, rule.words, words, line - words - 14, WORDS),
            set_cell("", rule.initials, line, width - line, WORDS),
        )
    )


def _set(heading: str, told: Sequence[view.Block], width: float) -> list[Block]:
    blocks: list[Block] = [Lines(wrapped(heading, TITLE, width), TITLE), Space(6)]
    for block in told:
        blocks += set_block(block, width)
    return blocks
