"""Where the words of a page stand: one reading column, or two where the window has room for both.

The left of two columns leads: it holds the heading with a picture or a few words under it, and
stays in sight while the right one, with what is read and answered, is scrolled.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import accumulate
from typing import Literal, TypeVar

from PySide6.QtCore import QPoint
from PySide6.QtWidgets import QSizePolicy, QWidget

from companion.ui.kit.placed import Placed, height_of
from companion.ui.kit.theme import COLUMN_WIDTH, FRAME_WIDTH, GRID, LARGE_TEXT_PERCENT, current

WidgetT = TypeVar("WidgetT", bound=QWidget)
Part = Literal["lead", "words"]

SIDE = 3 * GRID
"""Least room left and right of the frame; the scroll bar stands in it and moves nothing."""
MARGIN = 2 * GRID
"""Over and under what stands in the columns."""
GAP = 4 * GRID
"""Between two columns."""
WIDE = 1200
"""From this width in pixels on there are always two columns."""
_TWO_FROM = 920
"""At text of 100 %, two columns hold enough words a line to be read; more with larger text."""
WORDS_SHARE = 0.63
"""Of the room for two columns: on a small screen eleven boxes of a scale still stand in one row."""
EVEN_SHARE = 0.5
"""The same where both columns hold what is answered or pressed."""
_CLOSEST = 0.4
"""What is left at least of the room between widgets that are a little too high for the screen."""
_LITTLE = 0.4
"""How much too high that is, as a share of the screen; what is higher is a list and scrolls."""
_TIGHT_FROM = 900
"""From this width in pixels on two columns are used also where they hold few words a line, if that
makes a page lower by more than `_LOWER`, so that less of it is out of sight."""
_LOWER = 0.8
_LEAST_PICTURE = 20 * GRID


@dataclass(frozen=True, slots=True)
class PageFrame:
    """What heads, columns and bars share at one width of the window, in pixels: `left` edge and
    `span` of the whole, and of the words in it, which are all of it where there is one column."""

    left: int
    span: int
    words_left: int
    words_span: int

    @property
    def is_two(self) -> bool:
        """Whether there are two columns."""
        return self.words_left != self.left


def one_column(width: int, most: int) -> PageFrame:
    """The frame of a page with one column, which takes `most` pixels if it can."""
    span = max(min(width - 2 * SIDE, most), 1)
    left = (width - span) // 2
    return PageFrame(left, span, left, span)


def two_columns(width: int, share: float = WORDS_SHARE) -> PageFrame:
    """The frame of a page that opens into two columns where there is room for both; the right one
    has `share` of it, above 0 and below 1."""
    theme = current()
    # Very large text needs the whole of a common screen for a line that is read as one.
    wide = theme.text_percent > LARGE_TEXT_PERCENT
    least = theme.scaled(_TWO_FROM) if wide else min(WIDE, theme.column(_TWO_FROM))
    if width < least:
        return one_column(width, theme.column(COLUMN_WIDTH))
    return _opened(width, share)


def _opened(width: int, share: float = WORDS_SHARE) -> PageFrame:
    theme = current()
    span = min(width - 2 * SIDE, theme.column(FRAME_WIDTH))
    left = (width - span) // 2
    words = min(round((span - GAP) * share), theme.column(COLUMN_WIDTH))
    return PageFrame(left, span, left + span - words, words)


@dataclass(slots=True)
class _Standing:
    widget: QWidget
    before: int
    part: Part
    follows: bool


class Columns(Placed):
    """Widgets one below the other, each `before` pixels under the last, in the columns of a frame.

    With one column they stand in the order they were added. With two, those that lead stand left.
    Where the right column would not fit into what is seen at once, and no picture leads, the words
    run on from the left column to the right: as evenly as what `follows` its question allows.
    Only a page that `opens` is given two columns beyond those of its frame.
    """

    def __init__(self, frame: Callable[[int], PageFrame], *, opens: bool) -> None:
        self._frame = frame
        self._opens = opens
        self._items: list[_Standing] = []
        self._last: _Standing | None = None
        self._end: _Standing | None = None
        self._low: QWidget | None = None
        self._space = 0
        self._area = self._room = self._covered = self._scrolled = 0
        super().__init__()

    def add(self, widget: QWidget, before: int, part: Part, *, follows: bool) -> None:
        """Put a widget at the end, above the one that stays last."""
        before, self._space = before + self._space, 0
        self._items.append(_Standing(widget, before, part, follows))
        self.add_part(widget)

    def stay_whole(self) -> None:
        """No two columns beyond those of the frame, whatever that leaves out of sight."""
        self._opens = False

    def in_order(self) -> list[QWidget]:
        """All of it, in the order in which it is read."""
        ending = [item for item in (self._last, self._end) if item is not None]
        return [item.widget for item in (*self._items, *ending)]

    def put_in(self, widget: QWidget, part: Part) -> None:
        """Let a widget that was added stand in the other part."""
        for item in self._items:
            if item.widget is widget:
                item.part = part
        self.updateGeometry()

    def stand_low(self, widget: QWidget) -> None:
        """Let the last widget stand at the end of what is seen where there is one column, whatever
        stands above it: at the end of the page it is always at the same spot."""
        self._low = widget
        self.updateGeometry()

    def add_space(self, pixels: int) -> None:
        """More room before the next widget."""
        self._space += pixels

    def keep_last(self, widget: QWidget | None) -> None:
        """Let a widget stand after everything, whatever is added later; None: it stands elsewhere
        by now."""
        if widget is not None:
            self._last = _Standing(widget, 0, "words", follows=False)
            self.add_part(widget)
        elif self._last is not None:
            gone, self._last = self._last.widget, None
            self.take_out(gone)

    def end_with(self, widget: QWidget | None) -> None:
        """Let a widget stand below even that; None: there is none any more."""
        if widget is not None:
            self._end = _Standing(widget, 0, "words", follows=False)
            self.add_part(widget)
        elif self._end is not None:
            gone, self._end = self._end.widget, None
            self.take_out(gone)

    def see(self, *, area: int, room: int, covered: int) -> None:
        """The width of the page, the height of what is seen at once, and how much of that the
        main button covers at the end of the right one of two columns, in pixels."""
        if (area, room, covered) != (self._area, self._room, self._covered):
            self._area, self._room, self._covered = area, room, covered
            self.updateGeometry()

    def room_for(self, widget: QWidget) -> int:
        """How much of the height is there to see a widget of the columns in, in pixels."""
        frame = self.frame(self.width())
        left = widget.mapTo(self, QPoint(0, 0)).x()
        return self._room - (self._covered if frame.is_two and left >= frame.words_left else 0)

    def scrolled_to(self, value: int) -> None:
        """How far the page is scrolled: the left column goes along while it fits."""
        if value != self._scrolled:
            self._scrolled = value
            if self.frame(self.width()).is_two:
                self._settle()

    def frame(self, width: int) -> PageFrame:
        """The frame at this width, or at that of the page where it is known: a scroll bar that
        comes and goes takes from the margin, and moves nothing."""
        width = max(self._area, width)
        frame = self._frame(width)
        large = current().text_percent > LARGE_TEXT_PERCENT
        if frame.is_two or not self._opens or large or width < _TIGHT_FROM:
            return frame
        opened = _opened(width)
        lead = [item.widget for item in self._items if item.part == "lead"]
        words = [item.widget for item in self._shown() if item.part != "lead"]
        left = opened.span - opened.words_span - GAP
        if not words or any(
            widget.minimumSizeHint().width() > room
            for widgets, room in ((lead, left), (words, opened.words_span))
            for widget in widgets
            if not _fills(widget)
        ):
            return frame
        # Of nothing that depends on the height there is, else it could go to and fro for ever.
        opened_high = sum(_height(w, opened.words_span) for w in words)
        one_high = sum(
            _picture_height(w, left) if _fills(w) else _height(w, frame.span)
            for w in (*lead, *words)
        )
        is_lower = opened_high < _LOWER * one_high
        return opened if is_lower else frame

    def bare_height(self, width: int) -> int:
        """How high everything is, without the empty margin at its end."""
        return self._lay(width, move=False)

    def least_width(self) -> int:
        # The smallest window there is, without its scroll bar: a wide table scrolls by itself.
        return min(super().least_width() + 2 * GRID, 320 - 5 * GRID)

    def place(self, width: int, *, move: bool) -> int:
        bare = self._lay(width, move=move)
        # What only the margin would make too high for the screen is nothing to scroll for.
        return bare if bare <= self._room else bare + MARGIN

    def _lay(self, width: int, *, move: bool) -> int:
        return self._high(self.frame(width), move=move)

    def _shown(self) -> list[_Standing]:
        return [item for item in self._items if not item.widget.isHidden()]

    def _high(self, frame: PageFrame, *, move: bool) -> int:
        shown = self._shown()
        ending = [item for item in (self._last, self._end) if item is not None]
        last = [item for item in ending if not item.widget.isHidden()]
        if not frame.is_two:
            items = self._lowered([*shown, *last], frame)
            return self._stack(items, frame.left, frame.span, move=move)
        lead, words = self._split(shown, last, frame)
        left = frame.span - frame.words_span - GAP
        high = self._stack(lead, frame.left, left, move=False, fills=True, room=self._room)
        down = self._scrolled if high <= self._room else 0
        if move:
            self._stack(lead, frame.left, left, move=True, down=down, fills=True, room=self._room)
        wide = frame.words_left, frame.words_span
        room = self._room - self._covered
        return max(high, self._stack([*words, *last], *wide, move=move, room=room) + self._covered)

    def _lowered(self, items: list[_Standing], frame: PageFrame) -> list[_Standing]:
        """The widgets of one column, with the room that is left above the one that stands low."""
        if self._low is None:
            return items
        high = self._stack(items, frame.left, frame.span, move=False)
        left = max(self._room - MARGIN - high, 0)
        return [
            replace(item, before=item.before + left) if item.widget is self._low else item
            for item in items
        ]

    def _split(
        self, shown: list[_Standing], last: list[_Standing], frame: PageFrame
    ) -> tuple[list[_Standing], list[_Standing]]:
        """What stands left and what right."""
        lead = [item for item in shown if item.part == "lead"]
        words = [item for item in shown if item.part != "lead"]
        pictured = any(_fills(item.widget) for item in lead)
        wide, left = frame.words_span, frame.span - frame.words_span - GAP
        fits = (
            self._stack(lead, 0, left, move=False, room=self._room) <= self._room
            and self._stack([*words, *last], 0, wide, move=False, room=self._room - self._covered)
            <= self._room - self._covered
        )
        if pictured or fits or shown[: len(lead)] != lead:
            return lead, words

        # Each height is asked for once: with many rows to measure that is most of the work.
        ends_left = list(accumulate(_steps(shown, left)))
        steps_right = _steps([*shown, *last], wide)
        ends_right = [0, *accumulate(steps_right)]

        def higher(place: int) -> int:
            # The first of a column has no room above it.
            right = ends_right[-1] - ends_right[place] - shown[place].before
            return max(ends_left[place - 1] - shown[0].before, right + self._covered)

        places = [
            n
            for n, item in enumerate(shown)
            if n and not item.follows and not _heads(shown[n - 1].widget)
        ]
        best = min(places, key=higher, default=len(lead))
        return shown[:best], shown[best:]

    def _stack(
        self,
        items: list[_Standing],
        left: int,
        width: int,
        *,
        move: bool,
        down: int = 0,
        fills: bool = False,
        room: int = 0,
    ) -> int:
        """Items one below the other; where the lowest ends. A picture of the left column `fills`
        what the others leave of the height. What is a little too high for `room` stands
        closer, so that less of it is out of sight, or nothing."""
        heights = [_height(item.widget, width) for item in items]
        if fills:
            for place, item in enumerate(items):
                if _fills(item.widget):
                    between = sum(one.before for one in items[1:])
                    others = sum(heights) - heights[place] + between + 2 * MARGIN
                    most = _picture_height(item.widget, width)
                    heights[place] = max(min(self._room - others, most), _LEAST_PICTURE)
        gaps = [MARGIN, *(item.before for item in items[1:])]
        over = sum(gaps) + sum(heights) - room
        if 0 < over < _LITTLE * room:
            close = max(1 - over / sum(gaps), _CLOSEST)
            gaps = [int(gap * close) for gap in gaps]
        top = down
        for item, high, gap in zip(items, heights, gaps, strict=False):
            top += gap
            if move:
                item.widget.setGeometry(left, top, _width(item.widget, width), high)
            top += high
        return top - down


def _steps(items: list[_Standing], width: int) -> list[int]:
    """How much further down each of them reaches than the one above it."""
    return [item.before + _height(item.widget, width) for item in items]


def _heads(widget: QWidget) -> bool:
    """A heading is never parted from what it is over."""
    return bool(getattr(widget, "heads_next", False))


def _fills(widget: QWidget) -> bool:
    return bool(getattr(widget, "fills_room", False))


def _picture_height(widget: QWidget, width: int) -> int:
    full = getattr(widget, "full_height", None)
    return int(full(width)) if callable(full) else height_of(widget, width)


def _width(widget: QWidget, width: int) -> int:
    most = widget.maximumWidth()
    if widget.sizePolicy().horizontalPolicy() in (
        QSizePolicy.Policy.Fixed,
        QSizePolicy.Policy.Maximum,
    ):
        most = min(most, widget.sizeHint().width())
    return min(width, most)


def _height(widget: QWidget, width: int) -> int:
    high = height_of(widget, _width(widget, width))
    return max(min(high, widget.maximumHeight()), widget.minimumHeight())
