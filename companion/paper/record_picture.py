"""The record as a picture: the same charts, and the newest rows of the same table, as a PNG.

1600 pixels wide and as high as it needs to be, drawn by the painter that draws the PDF.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from itertools import pairwise

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QLineF
from PySide6.QtGui import QColor, QImage, QImageWriter, QPainter

from companion.canvas.box import Box
from companion.canvas.fonts import load_fonts
from companion.canvas.typesetting import (
    FAINT_RULE_INK,
    TextStyle,
    application,
    solid,
    text_width,
)
from companion.paper.blocks import (
    Block,
    PaperPicture,
    SetCell,
    Space,
    TableRow,
    paragraph,
    set_cell,
)
from companion.paper.charts import chart_setting
from companion.presentation.home.record_view import RecordTable, RecordView
from companion.presentation.language.phrases import phrase

WIDTH_PX = 1600
_WIDTH = 640.0
"""Width in points: 2.5 pixels a point, so that words of 12 points are 30 pixels high."""
_MARGIN = 32.0
_PAPER = QColor("#FFFFFF")
_HEADING = TextStyle(19, bold=True, leading=1.3)
_WORDS = TextStyle(12, leading=1.35)
_MARK = TextStyle(12, bold=True, leading=1.35)
_CELLS = TextStyle(11, leading=1.3)
_LAST_COLUMN_SHARE = 0.2
"""The notes keep at least this share of the table."""
_DAY_SCALE, _SESSION_SCALE = 170.0, 110.0


def record_png(
    person: str, views: Sequence[RecordView], *, plan_mark: str | None = None, most_rows: int = 10
) -> bytes:
    """The record of one person, a part for each knee, as a PNG.

    `most_rows` bounds the table of each knee; the picture says how many there are in all.
    Raises ValueError without a view.
    """
    if not views:
        raise ValueError("a picture of a record needs at least one knee")
    application()
    load_fonts()
    width = _WIDTH - 2 * _MARGIN
    blocks: list[Block] = []
    for view in views:
        if blocks:
            blocks.append(Space(30))
        blocks += _knee_blocks(person, view, width, plan_mark, most_rows)
    height = sum(block.height for block in blocks) + 2 * _MARGIN
    scale = WIDTH_PX / _WIDTH
    image = QImage(WIDTH_PX, round(height * scale), QImage.Format.Format_RGB32)
    image.fill(_PAPER)
    painter = QPainter(image)
    try:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setRenderHint(QPainter.RenderHint.TextAntialiasing)
        painter.scale(scale, scale)
        top = _MARGIN
        for block in blocks:
            block.draw(painter, Box(_MARGIN, top, width, block.height))
            top += block.height
    finally:
        painter.end()
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QImageWriter(buffer, QByteArray(b"png"))
    if not writer.write(image):
        raise OSError(writer.errorString())
    buffer.close()
    return bytes(data.data())


def _knee_blocks(
    person: str, view: RecordView, width: float, plan_mark: str | None, most_rows: int
) -> list[Block]:
    heading = phrase("{person}: {heading}", person=person, heading=view.heading)
    blocks: list[Block] = [*paragraph(heading, _HEADING, width)]
    if plan_mark is not None:
        blocks += paragraph(plan_mark, _MARK, width)
    blocks += [*paragraph(view.counted, _WORDS, width), Space(14)]
    day, moves = view.day_chart, view.session_chart
    setting = chart_setting([day] if moves.is_empty else [day, moves], 11, width)
    blocks.append(setting.block(day, _DAY_SCALE))
    if not moves.is_empty:
        blocks += [Space(16), setting.block(moves, _SESSION_SCALE)]
    blocks += [Space(18), *_table(view.table, width, most_rows)]
    return blocks


def _table(table: RecordTable, width: float, most_rows: int) -> list[Block]:
    """The newest rows. Columns are as wide as their words; the last takes what is left."""
    rows = table.rows[:most_rows]
    if not rows:
        return []
    # A point more than its longest words, or rounding could break them.
    wanted = [
        1.0
        + max(
            text_width(header, _CELLS.with_bold()),
            *(text_width(row[column] or "", _CELLS) for row in rows),
        )
        for column, header in enumerate(table.headers[:-1])
    ]
    room = width * (1 - _LAST_COLUMN_SHARE)
    gap = max(12.0, min(28.0, (room - sum(wanted)) / len(wanted)))
    shrink = min(1.0, (room - gap * len(wanted)) / sum(wanted))
    lefts = [0.0]
    for column in wanted:
        lefts.append(lefts[-1] + column * shrink + gap)
    widths = [*(right - left - gap for left, right in pairwise(lefts)), width - lefts[-1]]
    places = list(zip(lefts, widths, strict=True))
    blocks: list[Block] = [
        _ruled(
            [set_cell(h, "", x, w, _CELLS) for h, (x, w) in zip(table.headers, places, strict=True)]
        )
    ]
    for row in rows:
        words = [cell if cell is not None else "\u2013" for cell in row]
        blocks.append(
            _ruled(
                [
                    set_cell("", cell, x, w, _CELLS)
                    for cell, (x, w) in zip(words, places, strict=True)
                ]
            )
        )
    if len(table.rows) > len(rows):
        note = phrase("The newest {shown} of {n} rows.", shown=len(rows), n=len(table.rows))
        blocks += [Space(6), *paragraph(note, _WORDS, width)]
    return blocks


def _ruled(cells: list[SetCell]) -> PaperPicture:
    """A row with a faint line under it."""
    row = TableRow(tuple(cells), padding=3.0)
    return PaperPicture(row.height, partial(_draw_ruled, row))


def _draw_ruled(row: TableRow, painter: QPainter, box: Box) -> None:
    row.draw(painter, box)
    solid(painter, FAINT_RULE_INK, 0.6)
    painter.drawLine(QLineF(box.left, box.bottom, box.right, box.bottom))
