"""The visit summary as a PDF: the person's page in large print, then the clinic's.

Upright with margins of 20 mm, the bundled font embedded. Words and charts are those of
`presentation.summary`; here they are only set. The same summary gives the same bytes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import product

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
    wrapped,
)
from companion.paper.blocks import (
    Beside,
    Block,
    Lines,
    Placed,
    Rule,
    SetCell,
    Space,
    TableRow,
    marker_indent,
    paragraph,
    row_parts,
    set_cell,
    share_out,
)
from companion.paper.charts import ChartSetting, chart_setting
from companion.paper.pdf import POINTS_PER_MM, pdf_bytes
from companion.presentation.clinic.answers import AnswerRow, ReviewQuestion
from companion.presentation.language.phrases import phrase
from companion.presentation.papers.summary import KneeCharts, VisitSummary
from companion.presentation.view.chart import Chart

MARGIN = 20 * POINTS_PER_MM

TITLE = TextStyle(25, bold=True, leading=1.2, heading=1)
HEADING = TextStyle(15, bold=True, leading=1.3, heading=2)
OWN = TextStyle(13, leading=1.38)
OWN_QUIET = TextStyle(12, leading=1.38)
MARK = TextStyle(13, bold=True, leading=1.38)
RUNNING = TextStyle(9.5, leading=1.3)
CLINIC_TITLE = TextStyle(19, bold=True, leading=1.25, heading=1)
CLINIC_SIZES = (10.4, 10.0, 9.6, 9.2, 9.0)
"""The clinic's page takes the largest of these at which it is one page, else the last but one."""

_RUNNING_BASELINE = 15 * POINTS_PER_MM
"""Running head and foot stand in the margins, 15 mm from the edge: within what printers reach."""
_UNDER_HEAD = 8.0
_GAP = 10.0
"""White between two columns of words."""
_LOWEST_SCALE, _HIGHEST_SCALE = 60.0, 175.0
"""Height of a score scale from 0 to 10: lower than this, neighbouring scores run together."""
_LOWEST_OF_TWO = 92.0
"""Lower than this the day chart keeps the page for itself: it says more than the sessions'."""
_SESSION_SHARE = 0.75
_ABOVE_CHART = 12.0

_Shown = tuple[KneeCharts, tuple[tuple[Chart, float], ...]]
"""The charts of a knee, each with the height of its scale as a share of the day chart's."""


# ---------------------------------------------------------------- the file


def visit_summary_pdf(summary: VisitSummary, *, letter: bool = False) -> bytes:
    """The PDF as bytes, A4 or Letter. Its date is the record's last day, so it is repeatable."""
    title = phrase("{title}: {head}", title=summary.title, head=summary.running_head)
    return pdf_bytes(title, summary, summary.until, partial(_paint_pages, summary), letter=letter)


# ---------------------------------------------------------------- pages


def _paint_pages(
    summary: VisitSummary, painter: QPainter, next_page: Callable[[], object], sheet: Box
) -> None:
    column = column_of(sheet)
    own = own_blocks(summary, column)
    clinic, grid = _clinic_set(summary, column)
    pages = [
        *placed_pages(own, column),
        *placed_pages(clinic, column, column_heads(summary.columns, grid)),
    ]
    running = (summary.running_head, summary.running_days, summary.foot, summary.note)
    paint_pages(painter, next_page, sheet, pages, running)


@dataclass(frozen=True, slots=True)
class PlacedPage:
    """One page: what stands where, and column heads taken along from the page before."""

    placed: Placed
    heads: TableRow | None = None


def placed_pages(
    blocks: Sequence[Block], column: Box, heads: TableRow | None = None
) -> Iterator[PlacedPage]:
    """Blocks shared out over pages. A table that goes on overleaf takes the names of its columns
    along, and the question that it answers."""
    under_heads = column.height - (heads.height if heads else 0)
    for number, places in enumerate(share_out(blocks, column.height, under_heads)):
        (top, first), *others = places
        placed = [(top, _asked_again(blocks, first) if number else blocks[first])]
        placed += [(top, blocks[index]) for top, index in others]
        yield PlacedPage(tuple(placed), heads if number else None)


def _asked_again(blocks: Sequence[Block], first: int) -> Block:
    """A block, with the question beside it to which it still belongs."""
    row = blocks[first]
    if not isinstance(row, TableRow) or row.beside is not None:
        return row
    above = next((each for each in reversed(blocks[:first]) if _begins(each)), None)
    asked = above.beside if isinstance(above, TableRow) else None
    return row if asked is None else replace(row, beside=replace(asked, again=True))


def _begins(block: Block) -> bool:
    """Whether rows below it are its own."""
    if isinstance(block, TableRow):
        return block.beside is not None
    return isinstance(block, Lines) and bool(block.style.heading)


def column_of(sheet: Box) -> Box:
    """Where the blocks of a page stand on its sheet."""
    wide, high = sheet.width - 2 * MARGIN, sheet.height - 2 * MARGIN - _UNDER_HEAD
    return Box(MARGIN, MARGIN + _UNDER_HEAD, wide, high)


def paint_pages(
    painter: QPainter,
    next_page: Callable[[], object],
    sheet: Box,
    pages: Sequence[PlacedPage],
    running: tuple[str, str, str, str],
) -> None:
    """Paint all pages; `running` says at head and foot of each whose they are, which days, what,
    and whose wording it is."""
    column = column_of(sheet)
    for number, page in enumerate(pages, start=1):
        if number > 1:
            next_page()
        _running(painter, running, sheet, number, len(pages))
        first = column.top
        if page.heads is not None:
            page.heads.draw(painter, Box(column.left, first, column.width, page.heads.height))
            first += page.heads.height
        for top, block in page.placed:
            block.draw(painter, Box(column.left, first + top, column.width, block.height))


def _running(
    painter: QPainter, running: tuple[str, str, str, str], sheet: Box, number: int, count: int
) -> None:
    head, days, foot, note = running
    left, right = MARGIN, sheet.width - MARGIN
    baseline = _RUNNING_BASELINE
    # Two lines, clear of what may stand down to the end of the column.
    low = sheet.height - _RUNNING_BASELINE + RUNNING.line_height
    page = phrase("Page {number} of {count}", number=number, count=count)
    with for_the_eye():
        draw_line(painter, head, RUNNING, QPointF(left, baseline))
        draw_line(painter, days, RUNNING, QPointF(right, baseline), Align.RIGHT)
        solid(painter, RULE_INK, 0.6)
        painter.drawLine(QLineF(left, baseline + 6, right, baseline + 6))
        draw_line(painter, foot, RUNNING, QPointF(left, low - RUNNING.line_height * bool(note)))
        draw_line(painter, note, RUNNING, QPointF(left, low))
        draw_line(painter, page, RUNNING, QPointF(right, low), Align.RIGHT)


# ---------------------------------------------------------------- the person's page


def own_blocks(summary: VisitSummary, column: Box) -> tuple[Block, ...]:
    """The person's page. The charts take the room the words leave, within limits."""
    width = column.width
    words: list[Block] = [Lines(wrapped(summary.title, TITLE, width), TITLE), Space(4)]
    for line in summary.who:
        words += paragraph(line, OWN_QUIET, width)
    if summary.plan_mark is not None:
        words += [Space(6), *paragraph(summary.plan_mark, MARK, width)]
    words += _asked(summary, width)
    if summary.goal is not None:
        words += [Space(13), Lines((summary.goal_heading,), HEADING, keep=True)]
        words += paragraph(summary.goal, OWN, width)
    words += [Space(13), Lines((summary.own_heading,), HEADING, keep=True)]
    words += paragraph(summary.own_lead, OWN_QUIET, width, keep=True)
    words += [Space(3), *_own_rows(summary, width)]
    last = share_out(words, column.height)[-1]
    used = max(top + words[index].height for top, index in last)
    return (*words, *_charts(summary.pictures, column, used))


def _own_rows(summary: VisitSummary, width: float) -> list[Block]:
    """What was written down, as a table in large print: one column for each knee."""
    count = len(summary.columns)
    label = width * 0.32
    knee = (width - label) / count
    lefts = [label + n * knee for n in range(count)]
    table = Tag("Table")
    blocks: list[Block] = []
    if count > 1:
        heads = [
            set_cell(name, "", left, width, OWN)
            for name, left, width in zip(
                ("", *summary.columns),
                (0.0, *lefts),
                (label - _GAP, *[knee - _GAP] * count),
                strict=True,
            )
        ]
        blocks.append(TableRow(tuple(heads), keep=True, tag=Tag("TR", table), heads=True))
    for row in summary.own_rows:
        many = len(row.cells) > 1
        cells = [set_cell("", row.label, 0, label - _GAP, OWN)]
        for cell, left in zip(row.cells, lefts, strict=False):
            room = knee - _GAP if many else width - left
            cells.append(set_cell(cell.lead, cell.rest, left, room, OWN))
        blocks += row_parts(cells, padding=0.8, tag=Tag("TR", table))
    return blocks


def _asked(summary: VisitSummary, width: float) -> list[Block]:
    blocks: list[Block] = [Space(14), Lines((summary.questions_heading,), HEADING, keep=True)]
    if not summary.questions:
        blocks += paragraph(phrase("None written down yet."), OWN, width)
    markers = [f"{number}." for number in range(1, len(summary.questions) + 1)]
    indent = marker_indent(markers, OWN)
    for marker, asked in zip(markers, summary.questions, strict=True):
        blocks += paragraph(asked.text, OWN, width, marker=marker, indent=indent)
    if summary.earlier_questions:
        blocks += [Space(5), Lines((summary.earlier_heading,), OWN_QUIET, keep=True)]
        for asked in summary.earlier_questions:
            words = phrase("{day}: {words}", day=asked.day, words=asked.text)
            blocks += paragraph(words, OWN_QUIET, width, marker="\u2022", indent=14)
    return blocks


def _charts(pictures: Sequence[KneeCharts], column: Box, used: float) -> list[Block]:
    """A day chart for each knee, and the check moves under it where the page has room.

    The height left by the words is shared out; a chart that would be too low to read goes to the
    next page instead.
    """
    both: list[_Shown] = [
        (each, ((each.day_chart, 1.0), (each.session_chart, _SESSION_SHARE))) for each in pictures
    ]
    alone: list[_Shown] = [(each, charts[:1]) for each, charts in both]
    main = alone[:1]  # the report has the others
    choices = (
        (both, used, _LOWEST_OF_TWO),
        (alone, used, _LOWEST_SCALE),
        (main, used, _LOWEST_SCALE),
        (both, 0.0, 0.0),
    )
    for shown, taken, lowest in choices:
        drawn = [chart for _, charts in shown for chart, _ in charts]
        setting = chart_setting(drawn, 10.5, column.width)
        day_scale = _day_scale(shown, column.height - taken, setting)
        if day_scale >= lowest:
            break
    day_scale = max(_LOWEST_SCALE, min(_HIGHEST_SCALE, day_scale))
    blocks: list[Block] = []
    for picture, charts in shown:
        blocks.append(Space(_ABOVE_CHART))
        blocks += _chart_heads(picture)
        for place, (chart, share) in enumerate(charts):
            if place:
                blocks.append(Space(_ABOVE_CHART))
            blocks.append(setting.block(chart, day_scale * share))
    return blocks


def _day_scale(shown: Sequence[_Shown], room: float, setting: ChartSetting) -> float:
    """The height of a day chart's score scale at which all charts fill `room`."""
    around = parts = 0.0
    for picture, charts in shown:
        around += sum(block.height for block in _chart_heads(picture))
        for chart, share in charts:
            around += _ABOVE_CHART + setting.height(chart, 0)
            parts += share
    # A hair less than the room, or rounding could push the last chart to another page.
    return (room - around - 1) / parts


def _chart_heads(picture: KneeCharts) -> list[Block]:
    heads: list[Block] = []
    if picture.note:
        heads.append(Lines((picture.note,), OWN_QUIET, keep=True))
    return heads


# ---------------------------------------------------------------- the clinic's page


def _clinic_set(summary: VisitSummary, column: Box) -> tuple[tuple[Block, ...], Grid]:
    """The clinic's blocks at the largest size that needs one page only, the fewest where none
    does. What goes first is in `tightened`."""
    for told, size in product(tightened(summary), CLINIC_SIZES):
        grid = Grid.of(column.width, len(summary.columns), size)
        blocks = clinic_blocks(told, grid)
        if sum(block.height for block in blocks) <= column.height:
            break
    return blocks, grid


def tightened(summary: VisitSummary, *, brief: bool = True) -> tuple[VisitSummary, ...]:
    """The same with less and less on the clinic's page: without how the figures of the first
    answer are made, which the review and the report hold; with rows in `brief`; without rows that
    say that there is nothing to say; and without all notes."""
    better, *others = summary.answers
    kept = [(replace(better, notes=()), *others)]
    if brief:
        kept.append(tuple(_in_brief(answer) for answer in kept[-1]))
    rows = tuple(
        replace(answer, rows=tuple(row for row in answer.rows if not row.spare))
        for answer in kept[-1]
    )
    kept.append(tuple(answer for answer in rows if answer.rows))
    kept.append(tuple(replace(answer, notes=()) for answer in kept[-1]))
    return (summary, *(replace(summary, answers=answers) for answers in kept))


def _in_brief(answer: ReviewQuestion) -> ReviewQuestion:
    rows = (replace(row, cells=row.brief) if row.brief else row for row in answer.rows)
    return replace(answer, rows=tuple(rows))


def clinic_blocks(summary: VisitSummary, grid: Grid) -> tuple[Block, ...]:
    """The clinic's page: six answers, each a question beside its rows of label and numbers."""
    blocks: list[Block] = [
        Lines(wrapped(summary.clinic_title, CLINIC_TITLE, grid.right), CLINIC_TITLE)
    ]
    for line in summary.clinic_lead:
        blocks += paragraph(line, grid.label, grid.right)
    if summary.plan_mark is not None:
        blocks += paragraph(summary.plan_mark, grid.words.with_bold(), grid.right)
    blocks.append(Space(3))
    heads = column_heads(summary.columns, grid)
    if heads is not None:
        blocks.append(heads)
    for answer in summary.answers:
        blocks += answer_blocks(answer, grid)
    return tuple(blocks)


@dataclass(frozen=True, slots=True)
class Grid:
    """The clinic's columns (question, label, one for each knee) and the type they are set in."""

    words: TextStyle
    question_width: float
    label_left: float
    label_width: float
    knee_lefts: tuple[float, ...]
    knee_width: float
    right: float

    @classmethod
    def of(cls, width: float, knees: int, size: float) -> Grid:
        """The grid of a page `width` points wide, its words `size` points high."""
        question, label = width * 0.165, width * 0.215
        first = question + label
        knee = (width - first) / knees
        return cls(
            words=TextStyle(size, leading=1.25),
            question_width=question - _GAP,
            label_left=question,
            label_width=label - _GAP,
            knee_lefts=tuple(first + n * knee for n in range(knees)),
            knee_width=knee,
            right=width,
        )

    @property
    def heading(self) -> TextStyle:
        """For the questions."""
        return TextStyle(self.words.size + 1.2, bold=True, leading=1.2, heading=2)

    @property
    def label(self) -> TextStyle:
        """For what a row is about."""
        return self.words

    @property
    def note(self) -> TextStyle:
        """For sources and cautions."""
        return TextStyle(max(9.0, self.words.size - 0.6), leading=1.22)

    def cells(self, row: AnswerRow) -> tuple[SetCell, ...]:
        """A row's label and cells, set in their columns."""
        many = len(row.cells) > 1
        label = set_cell("", row.label, self.label_left, self.label_width, self.label)
        lefts = self.knee_lefts[: len(row.cells)]
        widths = [
            (self.knee_width if many else self.right - left) - (_GAP if left != lefts[-1] else 0)
            for left in lefts
        ]
        return (
            label,
            *(
                set_cell(cell.lead, cell.rest, left, cell_width, self.words)
                for cell, left, cell_width in zip(row.cells, lefts, widths, strict=True)
            ),
        )


def column_heads(columns: Sequence[str], grid: Grid) -> TableRow | None:
    """The names of the knees over their columns; None for one knee alone."""
    if len(columns) < 2:
        return None
    cells = (
        set_cell(name, "", left, grid.knee_width - _GAP, grid.words)
        for name, left in zip(columns, grid.knee_lefts, strict=True)
    )
    return TableRow(tuple(cells), padding=2.5, keep=True)


def answer_blocks(answer: ReviewQuestion, grid: Grid) -> list[Block]:
    """One question beside its rows, under a line. What may go on overleaf is as high as the
    question, which stands beside it again."""
    blocks: list[Block] = [Rule(1, keep=True), Space(3, keep=True)]
    set_rows: list[TableRow] = []
    rows = [grid.cells(row) for row in answer.rows]
    # The question stands beside as many rows as it needs lines for.
    words = wrapped(answer.question, grid.heading, grid.question_width)
    question = Beside(words, grid.heading)
    table = Tag("Table")
    for place, cells in enumerate(rows):
        first = place == 0
        beside = question if first else None
        set_rows += row_parts(cells, keep=first, beside=beside, tag=Tag("TR", table))
    held = 0.0
    for place in reversed(range(len(set_rows))):
        row = set_rows[place]
        set_rows[place] = replace(row, keep=row.keep or 0 < held < question.height)
        held += row.height
    blocks += set_rows
    short = question.height - sum(TableRow(cells).height for cells in rows)
    note_width = grid.right - grid.label_left
    lines = wrapped(" ".join(answer.notes), grid.note, note_width) if answer.notes else ()
    notes = [Lines(lines, grid.note, indent=grid.label_left)] if lines else []
    if notes:
        blocks.append(Space(2))
        blocks += notes
    short -= sum(note.height for note in notes)
    blocks.append(Space(4 + max(0.0, short)))
    return blocks
