"""The record on paper: the charts and every table of one knee over some days, in large print."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial

from PySide6.QtCore import QLineF, QPointF
from PySide6.QtGui import QPainter

from companion.canvas.box import Box
from companion.canvas.marks import Tag, for_the_eye
from companion.canvas.typesetting import (
    RULE_INK,
    Align,
    TextStyle,
    draw_line,
    solid,
    text_width,
    wrapped,
)
from companion.paper.blocks import (
    Again,
    Block,
    Lines,
    Rule,
    SetCell,
    Space,
    TableRow,
    paragraph,
    set_cell,
    share_out,
)
from companion.paper.charts import chart_setting
from companion.paper.pdf import POINTS_PER_MM, pdf_bytes
from companion.presentation.home.record_tables import NamedTable
from companion.presentation.home.record_view import RecordTable, RecordView, days_in_words
from companion.presentation.language.phrases import phrase

MARGIN = 18 * POINTS_PER_MM
_EDGE = 13 * POINTS_PER_MM
_TITLE = TextStyle(24, bold=True, leading=1.2, heading=1)
_HEADING = TextStyle(16, bold=True, leading=1.3, heading=2)
_WORDS = TextStyle(13, leading=1.35)
_CELLS = TextStyle(12, leading=1.3)
_RUNNING = TextStyle(10, leading=1.3)
_GAP = 12.0
_MISSING = "–"
_SHORT = 12
"""Up to this many letters a text, such as a date, is not broken while there is room."""
_DAY_SCALE, _SESSION_SCALE = 170.0, 120.0


@dataclass(frozen=True, slots=True)
class RecordSheet:
    """What is printed: whose it is, the mark of a practice plan or "", the record and its parts."""

    person: str
    plan_mark: str
    view: RecordView
    parts: tuple[NamedTable, ...]


def record_sheet_pdf(sheet: RecordSheet, *, until: date, letter: bool = False) -> bytes:
    """The record as a PDF, A4 or Letter, dated `until`. Parts without a row are left out."""
    title = phrase("My record: {heading}", heading=sheet.view.heading)
    return pdf_bytes(title, sheet, until, partial(_paint, sheet), letter=letter)


def _paint(
    sheet: RecordSheet, painter: QPainter, next_page: Callable[[], object], paper: Box
) -> None:
    column = Box(MARGIN, MARGIN + 10, paper.width - 2 * MARGIN, paper.height - 2 * MARGIN - 12)
    pages = _pages(sheet, column.width, column.height)
    head = phrase("{person}, {heading}", person=sheet.person, heading=sheet.view.heading)
    if sheet.plan_mark:
        head = phrase("{head}. {mark}", head=head, mark=sheet.plan_mark)
    for number, places in enumerate(pages, 1):
        if number > 1:
            next_page()
        right = paper.width - MARGIN
        page = phrase("Page {number} of {count}", number=number, count=len(pages))
        foot = phrase("A dash means: not recorded.")
        with for_the_eye():
            draw_line(painter, head, _RUNNING, QPointF(MARGIN, _EDGE))
            draw_line(painter, page, _RUNNING, QPointF(right, _EDGE), Align.RIGHT)
            solid(painter, RULE_INK, 0.6)
            painter.drawLine(QLineF(MARGIN, _EDGE + 6, right, _EDGE + 6))
            draw_line(painter, foot, _RUNNING, QPointF(MARGIN, paper.height - _EDGE + 4))
        for top, block in places:
            block.draw(painter, Box(column.left, column.top + top, column.width, block.height))


_Pages = list[list[tuple[float, Block]]]


def _pages(sheet: RecordSheet, width: float, height: float) -> _Pages:
    """Pages of blocks with their tops. A table goes on under its name and headers on the next page;
    neither its first row nor its last is alone on one."""
    head = _head(sheet, width)
    pages = [[(top, head[index]) for top, index in page] for page in share_out(head, height)]
    filled = pages[-1][-1][0] + pages[-1][-1][1].height
    for part in (NamedTable(phrase("Day by day"), sheet.view.table, ""), *sheet.parts):
        if not part.table.rows:
            continue
        heading, headers, rows = _part(part, width)
        again = Again.of(_named(heading), width, _WORDS.with_bold())
        if filled + _high([heading, headers, *rows[:2]]) > height:
            pages.append([])
            filled, heading = 0.0, heading[1:]
        filled = _put([*heading, *headers], pages[-1], filled)
        for number, row in enumerate(rows):
            last_two = number > 0 and number == len(rows) - 2
            if filled + _high(rows[number:] if last_two else [row]) > height:
                pages.append([])
                filled = _put([again, Space(4), *headers], pages[-1], 0.0)
            filled = _put(row, pages[-1], filled)
    return pages


def _named(heading: Sequence[Block]) -> Lines:
    return next(block for block in heading if isinstance(block, Lines))


def _high(rows: Iterable[Iterable[Block]]) -> float:
    return sum(block.height for row in rows for block in row)


def _put(blocks: Sequence[Block], page: list[tuple[float, Block]], top: float) -> float:
    """Put blocks on a page from `top` on; where they end."""
    for block in blocks:
        page.append((top, block))
        top += block.height
    return top


def _head(sheet: RecordSheet, width: float) -> list[Block]:
    view = sheet.view
    blocks: list[Block] = [
        Lines(wrapped(phrase("My record"), _TITLE, width), _TITLE),
        Space(4),
        *paragraph(days_in_words(view.days), _WORDS.with_bold(), width),
        *paragraph(view.counted, _WORDS, width),
        Space(12),
    ]
    day, moves = view.day_chart, view.session_chart
    setting = chart_setting([day] if moves.is_empty else [day, moves], 11, width)
    blocks.append(setting.block(day, _DAY_SCALE))
    if not moves.is_empty:
        blocks += [Space(16), setting.block(moves, _SESSION_SCALE)]
    return blocks


def _part(part: NamedTable, width: float) -> tuple[list[Block], list[Block], list[list[Block]]]:
    """A table as its heading, its headers, and its rows, each with a line under it. A month stands
    over its first day, never alone at the foot of a page."""
    places = _columns(part.table, width)
    heading: list[Block] = [
        Space(20),
        *paragraph(part.heading, _HEADING, width),
        Space(4),
    ]
    table = Tag("Table")
    headers: list[Block] = [
        TableRow(
            tuple(_set(part.table.headers, places, bold=True)),
            2.0,
            tag=Tag("TR", table),
            heads=True,
        ),
        Rule(2.0),
    ]
    rows: list[list[Block]] = []
    month: list[Block] = []
    for row in part.table.rows:
        told = [_MISSING if cell is None else cell for cell in row]
        heads = len(row) > 1 and not any(told[1:])
        across = [(0.0, width), *places[1:]] if heads else places
        cells = tuple(_set(told, across, bold=heads))
        month += [TableRow(cells, 3.0, tag=Tag("TR", table)), Rule(2.0, 0.3)]
        if not heads:
            rows.append(month)
            month = []
    if month:
        rows.append(month)
    return heading, headers, rows


def _set(
    cells: Sequence[str], places: Sequence[tuple[float, float]], *, bold: bool = False
) -> list[SetCell]:
    style = _CELLS.with_bold() if bold else _CELLS
    return [
        set_cell("", cell, left, width, style)
        for cell, (left, width) in zip(cells, places, strict=True)
    ]


def _columns(table: RecordTable, width: float) -> list[tuple[float, float]]:
    """Left edge and width of each column: as wide as its longest words, or, where that is too much,
    wide enough for its longest word and a share of the rest."""
    room = width - _GAP * (len(table.headers) - 1)
    wanted, least = [], []
    for column, header in enumerate(table.headers):
        texts = {row[column] or _MISSING for row in table.rows}
        wanted.append(1 + max(_wide(header), *(text_width(text, _CELLS) for text in texts)))
        unbroken = {part for t in texts for part in ([t] if len(t) <= _SHORT else t.split())}
        wide = [_wide(word) for word in header.split()]
        least.append(1 + max(*wide, *(text_width(part, _CELLS) for part in unbroken)))
    if sum(wanted) <= room:
        widths = [*wanted[:-1], room - sum(wanted[:-1])]
    elif sum(least) < room:
        share = (room - sum(least)) / (sum(wanted) - sum(least))
        widths = [low + share * (full - low) for full, low in zip(wanted, least, strict=True)]
    else:
        widths = [room * low / sum(least) for low in least]
    places, left = [], 0.0
    for each in widths:
        places.append((left, each))
        left += each + _GAP
    return places


def _wide(text: str) -> float:
    return text_width(text, _CELLS.with_bold())
