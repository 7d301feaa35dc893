"""The report for the clinic's file as a PDF, the same in black and white.

The six answers as the visit summary sets them, the plan in force, the charts, and how each figure
is made. A tape trial has its picture, its pairs and its report on a page of its own. Words and
charts are those of `presentation.plan_report`; here they are only set. The same report gives the
same bytes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from itertools import product

from PySide6.QtGui import QPainter

from companion.canvas.box import Box
from companion.canvas.typesetting import (
    TextStyle,
)
from companion.paper.blocks import (
    Block,
    Lines,
    PaperPicture,
    Rule,
    Space,
    TableRow,
    paragraph,
    row_parts,
    set_cell,
    share_out,
)
from companion.paper.charts import chart_setting
from companion.paper.leaflet import together
from companion.paper.pdf import pdf_bytes
from companion.paper.visit_summary import (
    CLINIC_SIZES,
    RUNNING,
    Grid,
    answer_blocks,
    clinic_blocks,
    column_of,
    paint_pages,
    placed_pages,
    tightened,
)
from companion.presentation.clinic.trial import TrialView
from companion.presentation.language.phrases import phrase
from companion.presentation.papers.plan_report import VisitReport
from companion.presentation.view.chart import Chart

_PLACE_SHARE = 0.3
"""What the names of the sore places take of a row."""
_SCALES = (150.0, 130.0, 112.0, 96.0, 84.0, 74.0, 66.0, 60.0)
"""Heights of a score scale from 0 to 10 in points, the highest that fits is taken. Lower than the
last, neighbouring scores run together."""
_TRIAL_SCALES = (150.0, 120.0, 96.0)
_TRIAL_SHARE, _TRIAL_GAP = 0.56, 6.0
"""The picture of the pairs takes this share of the width, their table the rest."""
_TRIAL_COLUMNS = (0.12, 0.2, 0.19, 0.21, 0.28)
_SESSION_SHARE = 0.7
_SMALLEST_SOURCES = 8.5


def visit_report_pdf(report: VisitReport, *, letter: bool = False) -> bytes:
    """The PDF as bytes, A4 or Letter. Its date is the record's last day, so it is repeatable."""
    summary = report.summary
    title = phrase("{title}: {head}", title=report.title, head=summary.running_head)
    return pdf_bytes(title, report, summary.until, partial(_paint_pages, report), letter=letter)


# ---------------------------------------------------------------- pages


def _paint_pages(
    report: VisitReport, painter: QPainter, next_page: Callable[[], object], sheet: Box
) -> None:
    column = column_of(sheet)
    trials = (trial_blocks(report.trial_heading, view, column) for view in report.trials)
    parts = (report_blocks(report, column), *trials)
    pages = [page for blocks in parts for page in placed_pages(blocks, column)]
    told = report.summary
    running = (told.running_head, told.running_days, report.foot, told.note)
    paint_pages(painter, next_page, sheet, pages, running)


def report_blocks(report: VisitReport, column: Box) -> tuple[Block, ...]:
    """All of it, set as large as its fewest pages allow: nothing is left out for want of room.

    What the summary notes under its first answer is told by the methods, and by the plan.
    """
    _, summary, *_ = tightened(replace(report.summary, clinic_title=report.title), brief=False)

    def set_at(words: float, scale: float) -> tuple[Block, ...]:
        grid = Grid.of(column.width, len(summary.columns), words)
        return (
            *clinic_blocks(summary, grid),
            *_zones(report, grid),
            *_plan(report, grid),
            *_charts(report, column, scale),
            *_sources(report, column, grid),
        )

    smallest = set_at(CLINIC_SIZES[-1], _SCALES[-1])
    fewest = len(share_out(smallest, column.height))
    larger = (set_at(*sizes) for sizes in product(CLINIC_SIZES, _SCALES))
    return next(each for each in larger if len(share_out(each, column.height)) <= fewest)


def trial_blocks(heading: str, view: TrialView, column: Box) -> tuple[Block, ...]:
    """A tape trial, set as large as one page allows."""
    blocks: tuple[Block, ...] = ()
    for size, scale in product(CLINIC_SIZES, _TRIAL_SCALES):
        grid = Grid.of(column.width, 1, size)
        blocks = tuple(_trial(heading, view, grid, scale))
        if len(share_out(blocks, column.height)) <= 1:
            break
    return blocks


def _trial(heading: str, view: TrialView, grid: Grid, scale: float) -> list[Block]:
    large = TextStyle(grid.words.size + 2.5, bold=True, leading=1.3, heading=2)
    blocks: list[Block] = [
        Lines((heading,), large, keep=True),
        *paragraph(view.sentence, grid.words.with_bold(), grid.right),
        Space(2),
        *paragraph(view.limits, grid.words, grid.right),
        Space(8),
    ]
    blocks.append(_pairs(view, grid, scale))
    blocks.append(Space(8))
    for part in view.parts:
        blocks += answer_blocks(part, grid)
    return blocks


def _pairs(view: TrialView, grid: Grid, scale: float) -> PaperPicture:
    """The picture of the pairs beside their table."""
    width = grid.right * _TRIAL_SHARE
    left = width + 2 * _TRIAL_GAP
    room = grid.right - left
    rows = []
    for number, row in enumerate((view.table.headers, *view.table.rows)):
        words = grid.note.with_bold() if number == 0 else grid.note
        cells = []
        place = 0.0
        for cell, share in zip(row, _TRIAL_COLUMNS, strict=True):
            cells.append(set_cell("", cell or "\u2013", place * room, share * room - 3, words))
            place += share
        rows.append(TableRow(tuple(cells), padding=0.6))
    setting = chart_setting([view.chart], 9.5, width)
    chart_height = setting.height(view.chart, scale)

    def paint(painter: QPainter, box: Box) -> None:
        setting.draw(view.chart, painter, Box(box.left, box.top, width, chart_height))
        top = box.top
        for row in rows:
            row.draw(painter, Box(box.left + left, top, box.width - left, row.height))
            top += row.height

    return PaperPicture(max(chart_height, sum(row.height for row in rows)), paint)


def _heading(text: str, grid: Grid) -> list[Block]:
    style = TextStyle(grid.words.size + 2.5, bold=True, leading=1.3, heading=2)
    return [Rule(1, keep=True), Space(4, keep=True), Lines((text,), style, keep=True)]


def _plan(report: VisitReport, grid: Grid) -> list[Block]:
    blocks = _heading(report.plan_heading, grid)
    label = grid.label_left
    for row in report.plan_rows:
        cells = (
            set_cell("", row.label, 0, label - 8, grid.label),
            set_cell("", row.cells[0].words, label, grid.right - label, grid.words),
        )
        blocks += row_parts(cells, padding=1.0)
    return [*together(blocks), Space(8)]


def _zones(report: VisitReport, grid: Grid) -> list[Block]:
    """In how many sessions each place was named; none where no session has a score."""
    tables = [(name, table) for name, table in report.zones if len(table.rows) > 1]
    if not tables:
        return []
    blocks = _heading(report.zones_heading, grid)
    for name, table in tables:
        share = (1 - _PLACE_SHARE) / (len(table.headers) - 1)
        heads = (name, *table.headers[1:]) if len(report.zones) > 1 else table.headers
        for number, row in enumerate((heads, *table.rows)):
            words = grid.note.with_bold() if number == 0 else grid.note
            cells = []
            for place, cell in enumerate(row):
                left = 0.0 if place == 0 else _PLACE_SHARE + (place - 1) * share
                wide = _PLACE_SHARE if place == 0 else share
                cells.append(
                    set_cell("", cell or "", left * grid.right, wide * grid.right - 4, words)
                )
            blocks.append(TableRow(tuple(cells), padding=0.6, keep=number < len(table.rows)))
    blocks.append(Space(8))
    return blocks


def _charts(report: VisitReport, column: Box, scale: float) -> list[Block]:
    shown: list[tuple[str | None, Chart, float]] = []
    for picture in report.summary.pictures:
        shown.append((picture.note, picture.day_chart, scale))
        shown.append((None, picture.session_chart, scale * _SESSION_SHARE))
    setting = chart_setting([chart for _, chart, _ in shown], 9.5, column.width)
    blocks: list[Block] = []
    for note, chart, high in shown:
        if note is not None:
            blocks.append(Lines((note,), RUNNING, keep=True))
        blocks += [setting.block(chart, high), Space(8)]
    return blocks


def _sources(report: VisitReport, column: Box, grid: Grid) -> list[Block]:
    if not report.sources:
        return []
    blocks = _heading(report.sources_heading, grid)
    style = TextStyle(max(_SMALLEST_SOURCES, grid.words.size - 1.4), leading=1.2)
    for line in report.sources:
        lead = phrase("{figure}, n {count}:", figure=line.figure, count=line.n)
        words = phrase("{method}. {source}.", method=line.method, source=line.source)
        blocks += row_parts([set_cell(lead, words, 0, column.width, style)], padding=0.5)
    return blocks
