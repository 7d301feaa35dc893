"""What a page is set from: blocks with a measured height, shared out over pages.

Lengths are points. A block knows its height before anything is painted, so no page overflows and
the number of pages is known when the first is drawn.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

from PySide6.QtCore import QLineF, QPointF
from PySide6.QtGui import QPainter

from companion.canvas.box import Box
from companion.canvas.marks import Role, Tag, for_the_eye, tagged
from companion.canvas.typesetting import (
    INK,
    TextStyle,
    draw_line,
    draw_lines,
    first_baseline,
    solid,
    text_width,
    wrapped,
)
from companion.presentation.language.phrases import phrase

_HEADINGS: dict[int, Role] = {1: "H1", 2: "H2"}


class Block(Protocol):
    """Something set across the whole width of a column.

    `keep` holds it on one page with the block below it; `space` is skipped at a page's top.
    """

    @property
    def height(self) -> float:
        """Height in points."""

    @property
    def keep(self) -> bool:
        """Stay with the next block."""

    @property
    def space(self) -> bool:
        """White space alone."""

    def draw(self, painter: QPainter, box: Box) -> None:
        """Paint within `box`, whose height is the block's own."""


@dataclass(frozen=True, slots=True)
class Space:
    """White space."""

    height: float
    keep: bool = False
    space: bool = True

    def draw(self, painter: QPainter, box: Box) -> None:
        """Nothing to paint."""


@dataclass(frozen=True, slots=True)
class Rule:
    """A thin line across the column, in the middle of its height."""

    height: float = 1.0
    weight: float = 0.9
    keep: bool = False
    space: bool = False

    def draw(self, painter: QPainter, box: Box) -> None:
        solid(painter, INK, self.weight)
        y = box.top + self.height / 2
        painter.drawLine(QLineF(box.left, y, box.right, y))


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines of text that stay together; `marker` stands in the indent before the first."""

    lines: tuple[str, ...]
    style: TextStyle
    indent: float = 0.0
    marker: str = ""
    keep: bool = False
    space: bool = False
    tag: Tag | None = None

    @property
    def height(self) -> float:
        return len(self.lines) * self.style.line_height

    def draw(self, painter: QPainter, box: Box) -> None:
        with tagged(painter, self.tag or Tag(_HEADINGS.get(self.style.heading, "P"))):
            if self.marker:
                at = QPointF(box.left, box.top + first_baseline(self.style))
                draw_line(painter, self.marker, self.style, at)
            draw_lines(painter, self.lines, self.style, QPointF(box.left + self.indent, box.top))


@dataclass(frozen=True, slots=True)
class Again:
    """A heading once more, for the eye alone: whoever hears the words has not turned over."""

    words: str
    lines: tuple[str, ...]
    style: TextStyle
    keep: bool = False
    space: bool = False

    @classmethod
    def of(cls, heading: Lines, width: float, style: TextStyle) -> Again:
        """The heading of a side that goes on."""
        words = phrase("{heading}, continued", heading=" ".join(heading.lines))
        return cls(words, wrapped(words, style, width), style)

    @property
    def height(self) -> float:
        return len(self.lines) * self.style.line_height

    def draw(self, painter: QPainter, box: Box) -> None:
        with for_the_eye():
            draw_lines(painter, self.lines, self.style, QPointF(box.left, box.top))


@dataclass(frozen=True, slots=True)
class PaperPicture:
    """A drawing of a fixed height. `alt` says it in words; without it what is in it says so."""

    height: float
    paint: Callable[[QPainter, Box], object]
    keep: bool = False
    space: bool = False
    alt: str = ""

    def draw(self, painter: QPainter, box: Box) -> None:
        """Let the drawing paint itself."""
        with tagged(painter, Tag("Figure", alt=self.alt) if self.alt else None):
            self.paint(painter, box)


@dataclass(frozen=True, slots=True)
class SetCell:
    """A cell set in lines: a strong lead on the first, and the words that follow it."""

    left: float
    lead: str
    lead_width: float
    lines: tuple[str, ...]
    style: TextStyle

    @property
    def height(self) -> float:
        return len(self.lines) * self.style.line_height

    def draw(self, painter: QPainter, left: float, top: float, tag: Tag | None = None) -> None:
        """Paint it, its column beginning at `left`."""
        x, y = left + self.left, top + first_baseline(self.style)
        with tagged(painter, tag or Tag("P")):
            if self.lead:
                draw_line(painter, self.lead, self.style.with_bold(), QPointF(x, y))
            draw_line(painter, self.lines[0], self.style, QPointF(x + self.lead_width, y))
            after_first = QPointF(x, top + self.style.line_height)
            draw_lines(painter, self.lines[1:], self.style, after_first)


def set_cell(lead: str, rest: str, left: float, width: float, style: TextStyle) -> SetCell:
    """Set a cell `width` points wide: the rest goes on where the lead ends."""
    if not lead:
        return SetCell(left, "", 0.0, wrapped(rest, style, width), style)
    lead_width = text_width(lead, style.with_bold()) + text_width(" ", style)
    if not rest:
        strong = style.with_bold()
        return SetCell(left, "", 0.0, wrapped(lead, strong, width), strong)
    if lead_width > width * 0.9:
        return SetCell(left, "", 0.0, wrapped(f"{lead} {rest}", style, width), style)
    return SetCell(left, lead, lead_width, wrapped(rest, style, width, lead_width), style)


@dataclass(frozen=True, slots=True)
class Beside:
    """Words that hang to the left of a table; `again`, for the eye alone, where it goes on."""

    lines: tuple[str, ...]
    style: TextStyle
    again: bool = False

    @property
    def height(self) -> float:
        return len(self.lines) * self.style.line_height


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row of a table, as high as its tallest cell with the white above and below.

    `beside` hangs at the row's left edge and may reach down along the rows that follow. `tag` is
    the row of a table that is read as one; its first cell, or with `heads` each, names the others.
    """

    cells: tuple[SetCell, ...]
    padding: float = 1.5
    beside: Beside | None = None
    keep: bool = False
    space: bool = False
    tag: Tag | None = None
    heads: bool = False

    @property
    def height(self) -> float:
        return max((cell.height for cell in self.cells), default=0.0) + 2 * self.padding

    def draw(self, painter: QPainter, box: Box) -> None:
        """Paint every cell, on one baseline with what hangs beside them."""
        if self.beside is not None and self.cells:
            drop = first_baseline(self.cells[0].style) - first_baseline(self.beside.style)
            top = box.top + self.padding + drop
            style = self.beside.style
            heading = Tag(_HEADINGS.get(style.heading, "P"))
            with for_the_eye() if self.beside.again else tagged(painter, heading):
                draw_lines(painter, self.beside.lines, style, QPointF(box.left, top))
        for number, cell in enumerate(self.cells):
            cell.draw(painter, box.left, box.top + self.padding, self._tag_of(number))

    def _tag_of(self, number: int) -> Tag | None:
        """A cell's: in a row of headings it names its column, first in another one its row."""
        if self.tag is None:
            return None
        if self.heads:
            named = any(self.cells[number].lines) or self.cells[number].lead
            return Tag("TH", self.tag, scope="Column") if named else Tag("TD", self.tag)
        return Tag("TH", self.tag, scope="Row") if number == 0 else Tag("TD", self.tag)


def row_parts(
    cells: Sequence[SetCell],
    *,
    padding: float = 1.5,
    keep: bool = False,
    beside: Beside | None = None,
    most_lines: int = 14,
    tag: Tag | None = None,
) -> tuple[TableRow, ...]:
    """A row as one block, or as several where a cell is so long that a page might not hold it: that
    is read as paragraphs."""
    longest = max((len(cell.lines) for cell in cells), default=0)
    if longest <= most_lines:
        return (TableRow(tuple(cells), padding, keep=keep, beside=beside, tag=tag),)
    parts: list[TableRow] = []
    for first in range(0, longest, most_lines):
        part = tuple(
            SetCell(
                cell.left,
                cell.lead if first == 0 else "",
                cell.lead_width if first == 0 else 0.0,
                cell.lines[first : first + most_lines],
                cell.style,
            )
            for cell in cells
            if len(cell.lines) > first
        )
        parts.append(TableRow(part, 0.0, beside=beside if first == 0 else None))
    return tuple(parts)


def paragraph(
    text: str,
    style: TextStyle,
    width: float,
    *,
    marker: str = "",
    indent: float = 0.0,
    keep: bool = False,
    whole: bool = False,
    tag: Tag | None = None,
) -> tuple[Block, ...]:
    """A paragraph as blocks that may part between pages, never leaving one line alone; a `whole`
    one goes to the next page with all its lines.

    `marker` (a number or a bullet) hangs in `indent` points on the left. It is read as what `tag`
    says, else as a paragraph.
    """
    lines = wrapped(text, style, width - indent)
    tag = tag or Tag("P")
    if len(lines) <= 3:
        return (Lines(lines, style, indent, marker, keep=keep, tag=tag),)
    blocks: list[Block] = [Lines(lines[:2], style, indent, marker, keep=whole, tag=tag)]
    blocks += [Lines((line,), style, indent, keep=whole, tag=tag) for line in lines[2:-2]]
    blocks.append(Lines(lines[-2:], style, indent, keep=keep, tag=tag))
    return tuple(blocks)


def items(
    listed: Sequence[tuple[str, str]], style: TextStyle, width: float, after: float = 2.0
) -> list[Block]:
    """Marks before items, the texts hanging in line, white `after` each: read as one list. An item
    is one thing to know or to do: it stands whole on a page, and neither the first nor the last of
    a list is alone on one."""
    indent = marker_indent([mark for mark, _ in listed], style)
    whole = Tag("L")
    blocks: list[Block] = []
    for number, (mark, item) in enumerate(listed, 1):
        tag = Tag("LBody", Tag("LI", whole))
        held = number < len(listed) and number in (1, len(listed) - 1)
        blocks += paragraph(
            item, style, width, marker=mark, indent=indent, keep=held, whole=True, tag=tag
        )
        blocks.append(Space(after))
    return blocks


def share_out(
    blocks: Sequence[Block], room: float, later_room: float | None = None
) -> tuple[tuple[tuple[float, int], ...], ...]:
    """Pages of (top, index of block), none reaching below `room` points, pages after
    the first not below `later_room`.

    Blocks held together by `keep` move to the next page together when they fit on one page at
    all. Space at the top of a page is dropped. A single block taller than a page is a fault of the
    caller's and raises ValueError: words would be cut.
    """
    pages: list[list[tuple[float, int]]] = [[]]
    later = room if later_room is None else later_room
    top = 0.0
    index = 0
    while index < len(blocks):
        end = index
        # A space hands on the hold of what stands above it.
        held = blocks[end].keep
        while held and end < len(blocks) - 1:
            end += 1
            held = blocks[end].keep or blocks[end].space
        together = sum(block.height for block in blocks[index : end + 1])
        if pages[-1] and top + together > room >= together:
            pages.append([])
            top, room = 0.0, later
        for place in range(index, end + 1):
            block = blocks[place]
            if block.height > room:
                raise ValueError(f"a block of {block.height:g} points on a page of {room:g}")
            if block.space and not pages[-1]:
                continue
            if pages[-1] and top + block.height > room:
                if block.space:
                    continue
                pages.append([])
                top, room = 0.0, later
            pages[-1].append((top, place))
            top += block.height
        index = end + 1
    return tuple(tuple(page) for page in pages if page)


Placed = tuple[tuple[float, Block], ...]
"""The blocks of a side of paper, each at its top."""


def set_sides(
    blocks: Sequence[Block], room: float, width: float, style: TextStyle
) -> tuple[Placed, ...]:
    """Blocks shared out over sides `room` points high. A side that goes on with what was begun
    before says at its head with what, in `style`: a sheet may lie there by itself."""
    sides = share_out(blocks, room)
    headings = [b for b in blocks if isinstance(b, Lines) and b.style.heading]
    if len(sides) == 1 or not headings:
        return tuple(tuple((top, blocks[index]) for top, index in side) for side in sides)
    heads = {id(heading): Again.of(heading, width, style) for heading in headings}
    high = max(head.height for head in heads.values()) + _UNDER_HEAD
    found = []
    for number, side in enumerate(share_out(blocks, room, room - high)):
        begun = _begun(blocks, side[0][1]) if number else None
        head = None if begun is None else heads[id(begun)]
        drop = 0.0 if head is None else head.height + _UNDER_HEAD
        placed = [(top + drop, blocks[index]) for top, index in side]
        found.append(tuple(placed if head is None else [(0.0, head), *placed]))
    return tuple(found)


_UNDER_HEAD = 4.0


def _begun(blocks: Sequence[Block], first: int) -> Lines | None:
    """The heading under which a block stands; for a heading one of a higher rank."""
    block = blocks[first]
    rank = block.style.heading if isinstance(block, Lines) else 0
    above = (each for each in reversed(blocks[:first]) if isinstance(each, Lines))
    return next(
        (each for each in above if each.style.heading and (not rank or each.style.heading < rank)),
        None,
    )


def marker_indent(markers: Sequence[str], style: TextStyle) -> float:
    """Room for the widest marker and a gap after it."""
    return max((text_width(marker, style) for marker in markers), default=0.0) + style.size * 0.6
