"""Where the words of a page stand: one reading column, or two where the window has room for both.

The left of two columns leads: it holds the heading with a picture or a few words under it, and
stays in sight while the right one, with what is read and answered, is scrolled.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from itertools import accumulate
from typing import Literal, TypeVar

from PySide6.QtCore import QPoint
from PySide6.QtWidgets import QSizePolicy, QWidget

from companion.ui.kit.placed import Placed, height_of
from companion.ui.kit.theme import (
    COLUMN_WIDTH,
    FRAME_WIDTH,
    GRID,
    LARGE_TEXT_PERCENT,
    Room,
    closest,
    current,
)

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
_CLOSEST = 0.25
"""What is left at least of the room between widgets that are a little too high for the screen."""
_LITTLE = 0.4
"""How much too high that is, as a share of the screen; what is higher is a list and scrolls."""
_STILL = 2.5
"""A page that is set closer and still so many screens high is a list, and is set as usual."""
_FEW, _FILLED, _TOLD = 0.7, 0.9, 0.6
"""A page that takes less than the first share of the screen is set larger, if it then takes no more
than the second; one that only tells something larger still, up to the third."""
_OPTICAL = 0.4
"""Where the middle of such a page is, as a share of what is seen."""
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


def stage_columns(width: int) -> PageFrame:
    """The frame of a page that is read from two metres: its picture stands beside its words in
    text of any size, for these are large already."""
    if width < _TIGHT_FROM:
        return one_column(width, current().column(COLUMN_WIDTH))
    return _opened(width)


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
    away: bool = False
    """Whether it stands elsewhere for now."""


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
        self.tells = False
        """Whether nothing is asked: the page only says something."""
        self.stays_close = False
        """Whether it is set closer however high it is: what it begins with is to be in sight."""
        self._area = self._room = self._covered = self._scrolled = 0
        self._fits_room = opens
        self._set: Room = "usual"
        self._chosen_for: object = None
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

    def send_away(self, widget: QWidget) -> None:
        """A widget that was added stands elsewhere from now on."""
        self._standing(widget).away = True
        self.take_out(widget)

    def have_back(self, widget: QWidget) -> None:
        """It stands in its place again."""
        self._standing(widget).away = False
        self.add_part(widget)
        give_room(widget, self._set)

    def would_fit(self, widget: QWidget, covered: int) -> bool:
        """Whether everything were seen at once with a widget in its place, wherever it stands, if
        so much of the right column was covered."""
        item = self._standing(widget)
        was = item.away, self._covered
        item.away, self._covered, self._chosen_for = False, covered, None
        fits = self._lay(self._area, move=False) <= self._room
        (item.away, self._covered), self._chosen_for = was, None
        return fits

    def _standing(self, widget: QWidget) -> _Standing:
        return next(item for item in self._items if item.widget is widget)

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

    def _take_room(self, room: Room) -> None:
        """Let everything that can stand closer or be larger be so."""
        if room == self._set:
            return
        self._set = room
        give_room(self, room)

    def _choose_room(self) -> None:
        """Closer where the page would be too high for what is seen, larger where it is nearly
        empty; nothing of a page that is a list, which is scrolled anyhow."""
        shown = tuple(id(item.widget) for item in self._shown())
        # By the page alone, whatever width somebody asks the height for.
        key = self._area, self._room, self._covered, current(), shown
        if not self._fits_room or self._room <= 0 or key == self._chosen_for:
            return
        self._chosen_for = key
        self._take_room("usual")
        frame = self.frame(self._area)
        high = self._high(frame, move=False)
        if high > self._room:
            self._close_up()
        elif high <= _FEW * self._room or self._needs(frame) <= _FEW * self._room:
            self._open_up(frame)

    def _open_up(self, frame: PageFrame) -> None:
        # Words that run on from column to column may do so still, and no others.
        runs_on = self._needs(frame) > self._room
        needs = partial(self._high, move=False) if runs_on else self._needs
        larger: tuple[tuple[Room, float], ...] = (("roomiest", _TOLD), ("roomy", _FILLED))
        for room, most in larger if self.tells else larger[1:]:
            self._take_room(room)
            if needs(frame) <= most * self._room and self._fits_across(frame):
                return
        self._take_room("usual")

    def _needs(self, frame: PageFrame) -> int:
        """How high what is read and answered is, without a picture beside it, which takes what
        there is."""
        lead, words = self._parted()
        if not frame.is_two:
            return self._high(frame, move=False)
        left = frame.span - frame.words_span - GAP
        told = [item for item in lead if not _fills(item.widget)]
        return max(
            self._stack(told, 0, left, move=False),
            self._stack(words, 0, frame.words_span, move=False) + self._covered,
        )

    def _parted(self) -> tuple[list[_Standing], list[_Standing]]:
        """What leads, and what is read and answered."""
        shown = self._shown()
        lead = [item for item in shown if item.part == "lead"]
        return lead, [item for item in shown if item.part != "lead"]

    def _fits_across(self, frame: PageFrame) -> bool:
        """Whether no word is wider than its column."""
        left = frame.span - frame.words_span - GAP if frame.is_two else frame.span
        lead, words = self._parted()
        return not any(
            item.widget.minimumSizeHint().width() > wide
            for items, wide in ((lead, left), (words, frame.words_span))
            for item in items
            if not _fills(item.widget)
        )

    def _close_up(self) -> None:
        closer: tuple[Room, ...] = ("close", closest())
        high = 0
        for room in closer:
            self._take_room(room)
            high = self._high(self.frame(self._area), move=False)
            if high <= self._room:
                return
        frame = self.frame(self._area)
        if self.stays_close:
            first = next(item.widget for item in self._shown() if item.part == "words")
            if _height(first, frame.words_span) > self._room - self._covered - MARGIN:
                self._take_room("tight")
        elif high > _STILL * self._room:
            self._take_room("usual")

    def bare_height(self, width: int) -> int:
        """How high everything is, without the empty margin at its end."""
        high = self.high(width)
        return high if high <= self._room else high - MARGIN

    def least_width(self) -> int:
        # The smallest window there is, without its scroll bar: a wide table scrolls by itself.
        return min(super().least_width() + 2 * GRID, 320 - 5 * GRID)

    def place(self, width: int, *, move: bool) -> int:
        bare = self._lay(width, move=move)
        # What only the margin would make too high for the screen is nothing to scroll for.
        return bare if bare <= self._room else bare + MARGIN

    def _lay(self, width: int, *, move: bool) -> int:
        self._choose_room()
        return self._high(self.frame(width), move=move)

    def _shown(self) -> list[_Standing]:
        return [item for item in self._items if not item.away and not item.widget.isHidden()]

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
        wide, room = (frame.words_left, frame.words_span), self._room - self._covered
        beside = self._stack([*words, *last], *wide, move=False, room=room)
        lower = self._lower(max(high, beside))
        if move:
            down = lower + (self._scrolled if high <= self._room else 0)
            self._stack(lead, frame.left, left, move=True, down=down, fills=True, room=self._room)
            self._stack([*words, *last], *wide, move=True, down=lower, room=room)
        return lower + max(high, beside + self._covered)

    def _lower(self, high: int) -> int:
        """Where a page of a few sentences begins: as words stand on a leaf, a little above its
        middle."""
        if not self.tells or self._set not in ("roomy", "roomiest"):
            return 0
        return max(round(_OPTICAL * self._room - high / 2), 0)

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
        lead, words = self._parted()
        pictured = any(_fills(item.widget) for item in lead)
        wide, left = frame.words_span, frame.span - frame.words_span - GAP
        fits = (
            self._stack(lead, 0, left, move=False, room=self._room) <= self._room
            and self._stack([*words, *last], 0, wide, move=False, room=self._room - self._covered)
            <= self._room - self._covered
        )
        if pictured or fits:
            return lead, words
        shown = [*lead, *words]

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


def give_room(parent: QWidget, room: Room) -> None:
    """Let everything in a widget that can stand closer or be larger be so."""
    # From the innermost on: what holds them must not go by what they took before.
    for widget in reversed(parent.findChildren(QWidget)):
        take = getattr(widget, "take_room", None)
        if take is not None:
            take(room)
        widget.updateGeometry()


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
