"""The wording to sign as a PDF: one page to read and sign, and its annex."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from functools import partial

from PySide6.QtGui import QPainter

from companion.canvas.box import Box
from companion.canvas.typesetting import wrapped
from companion.paper.blocks import Block, Lines, Rule, Space, TableRow, set_cell, set_sides
from companion.paper.leaflet import (
    RUNNING,
    STRONG,
    TITLE,
    WORDS,
    Side,
    column_of,
    paint_sides,
    set_block,
)
from companion.paper.pdf import pdf_bytes
from companion.presentation.papers.wording_sheet import RuleToSign, WordingSheet
from companion.presentation.view import page as view

_AT_A_DESK = 0.58
"""Of large print, for a clinician to read; the page to sign is as much larger as it may be."""
_LARGEST, _SMALLEST, _STEP = 0.74, 0.5, 0.02


def wording_pdf(sheet: WordingSheet, *, on: date, letter: bool = False) -> bytes:
    """The PDF as bytes, A4 or Letter, dated `on`."""
    return pdf_bytes(sheet.heading, sheet, on, partial(_paint, sheet), letter=letter)


def _paint(
    told: WordingSheet, painter: QPainter, next_page: Callable[[], object], sheet: Box
) -> None:
    column = column_of(sheet, "")
    high, width = column.height / _AT_A_DESK, column.width / _AT_A_DESK
    annex = set_sides(_set(told.annex.heading, told.annex.blocks, width), high, width, STRONG)
    sides = [*_to_sign(told, column), *(Side(placed, _AT_A_DESK) for placed in annex)]
    head, foot = told.running_head, told.foot
    paint_sides(painter, next_page, sheet, column, sides, head, foot, foot_style=RUNNING)


def _to_sign(told: WordingSheet, column: Box) -> list[Side]:
    """The page to read and to sign, as large as fits on one."""
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
        shared = set_sides(blocks, column.height / scale, width, STRONG)
        if len(shared) == 1 or scale <= _SMALLEST:
            return [Side(placed, scale) for placed in shared]
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
