"""A page of the clinic: wider and denser than at home, with its other pages as words at the left.

The list of pages is set like the contents of a leaflet. Where the window is too small for it at
the left it stands at the head of the column instead; where it would take much of the page there, it
is folded into one line that opens it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QAccessible, QColor, QKeyEvent, QPainter, QPen
from PySide6.QtWidgets import QPushButton, QSizePolicy, QWidget

from companion.presentation.language.phrases import listed, phrase
from companion.ui.kit.accessible import give_role
from companion.ui.kit.buttons import Pressable, draw_body
from companion.ui.kit.keys import is_plain, single_keys
from companion.ui.kit.page import Page
from companion.ui.kit.presses import presses
from companion.ui.kit.text import one_line_width, set_text, show_when
from companion.ui.kit.theme import GRID, REACH, Palette, Type, current
from companion.ui.kit.tiles import Tiles

BACK = "back"
FOLD = "fold"
FOLD_KEY, FOLD_KEY_NAME = Qt.Key.Key_F6, "F6"
MOST_SHARE = 0.15
"""Contents that would take more of the page's height than this are folded."""
_NEXT = (Qt.Key.Key_Down, Qt.Key.Key_Right)
_BEFORE = (Qt.Key.Key_Up, Qt.Key.Key_Left)


@dataclass(frozen=True, slots=True)
class Way:
    """A page that can be gone to: its name, its words, and the key that leads there, if any.

    `longest` are the longest words it may come to have: no line wraps then, and none below moves.
    """

    name: str
    words: str
    key: str = ""
    longest: str = ""


class WayLine(Pressable, QPushButton):
    """One line of the contents: the key quiet before the words; the page one is on is bold."""

    least_height = 0
    pad_across = GRID
    pad_down = -4
    """Lines of a list stand closer than buttons: the room for the ring is taken from theirs."""

    def __init__(self, way: Way, *, here: bool, keys: Sequence[str]) -> None:
        super().__init__(way.words)
        self.way = way
        self.here = here
        self._keys = tuple(keys)
        self.word_type = Type.LABEL_STRONG if here else Type.LABEL
        said = (phrase("you are here") if here else "", way.key)
        self.setAccessibleDescription(listed(filter(None, said)))

    def left_mark(self) -> int:
        if not self._keys:
            return 0
        return one_line_width("\n".join(self._keys), Type.LABEL, current()) + GRID

    def bold_width(self) -> int:
        """The width at which the words do not wrap when they are bold."""
        longest = "\n".join((self.word, self.way.longest))
        words = one_line_width(longest, Type.LABEL_STRONG, current())
        return words + self.words_left() + self.pad_across + REACH

    def draw(self, painter: QPainter, body: QRectF, palette: Palette) -> None:
        if self.is_held():
            draw_body(painter, body, palette.paper, palette.action, 2)
        top = (self.height() - self.words_height(self.width())) / 2
        if self.way.key:
            key = set_text(self.way.key, Type.LABEL, current(), self.left_mark())
            key.draw(painter, REACH + self.pad_across, top, palette.quiet)
        colour = palette.ink if self.here else palette.action
        self.draw_words(painter, colour, colour)
        if self.here:
            painter.setPen(QPen(QColor(palette.ink), 3))
            painter.drawLine(body.topLeft(), body.bottomLeft())


class Contents(Tiles):
    """The ways from here, in one column or as many as fit. One stop of Tab, arrows move inside."""

    chosen = Signal(str)

    def __init__(self, name: str, ways: Sequence[Way], here: str, columns: Sequence[int]) -> None:
        super().__init__(columns)
        give_role(self, QAccessible.Role.ToolBar, name)
        self.setAccessibleDescription(phrase("The arrow keys go from line to line"))
        keys = [way.key for way in ways if way.key]
        self.lines = [self.add(WayLine(way, here=way.name == here, keys=keys)) for way in ways]
        stop = next((line for line in self.lines if line.here), None) or self.lines[0]
        for line in self.lines:
            line.clicked.connect(self._pressed)
            only_by_arrows = Qt.FocusPolicy.ClickFocus
            line.setFocusPolicy(Qt.FocusPolicy.StrongFocus if line is stop else only_by_arrows)

    def width_wanted(self) -> int:
        """The width at which no line wraps, whichever of them is the bold one."""
        return max(line.bold_width() for line in self.lines)

    def _pressed(self) -> None:
        pressed = self.sender()
        if isinstance(pressed, WayLine):
            self.chosen.emit(pressed.way.name)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = 1 if event.key() in _NEXT else -1 if event.key() in _BEFORE else 0
        focused = next((n for n, line in enumerate(self.lines) if line.hasFocus()), None)
        if step == 0 or focused is None:
            super().keyPressEvent(event)
            return
        place = min(max(focused + step, 0), len(self.lines) - 1)
        self.lines[place].setFocus(Qt.FocusReason.OtherFocusReason)


class _ContentsColumn(QWidget):
    """The contents at the left edge, with room round them."""

    def __init__(self, contents: Contents) -> None:
        super().__init__()
        self._contents = contents
        contents.setParent(self)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Preferred)

    def room(self) -> tuple[int, int]:
        """Width and height the contents need."""
        wide = self._contents.width_wanted()
        return wide + 2 * GRID, self._contents.heightForWidth(wide) + 3 * GRID

    def sizeHint(self) -> QSize:
        return QSize(*self.room())

    def minimumSizeHint(self) -> QSize:
        return QSize(self.room()[0], 0)

    def resizeEvent(self, event: object) -> None:
        wide, high = self.width() - 2 * GRID, self.room()[1] - 3 * GRID
        self._contents.setGeometry(2 * GRID, 2 * GRID, wide, high)


class ClinicPage(Page):
    """A page with the ways from it. A way's key leads there from anywhere but a text field.

    With ways, `back` names the last of them: it and Escape go back. Without ways Back stands in the
    bar as on every page.
    """

    most_width = 1120
    way_chosen = Signal(str)

    def __init__(
        self,
        heading: str,
        ways: Sequence[Way] = (),
        here: str = "",
        *,
        contents_name: str = "",
        above: str = "",
        plan_mark: str = "",
        back: str = "",
        bar: bool = True,
    ) -> None:
        if ways and back:
            ways = [*ways, Way(BACK, back, phrase("Esc"))]
        self._ways = tuple(ways)
        left = Contents(contents_name, ways, here, (1,)) if ways else None
        self._left = None if left is None else _ContentsColumn(left)
        super().__init__(
            heading,
            above=above,
            plan_mark=plan_mark,
            back=bar and not ways,
            stop=False,
            help_offered=False,
            beside=self._left,
        )
        self._top = self._fold = None
        self._unfolded = False
        if left is not None:
            folded = [Way(FOLD, contents_name, FOLD_KEY_NAME), *(w for w in ways if w.name == BACK)]
            self._fold = self.add(Contents(contents_name, folded, "", (2, 1)), GRID)
            show_when(self._fold, False)
            self._fold.chosen.connect(self._chosen)
            self._top = self.add(Contents(contents_name, ways, here, (4, 3, 2, 1)), GRID)
            show_when(self._top, False)
            left.chosen.connect(self._chosen)
            self._top.chosen.connect(self._chosen)

    @property
    def contents(self) -> Contents | None:
        """The contents in sight: the line that opens them while they are folded."""
        if self._left is None or self._top is None:
            return None
        if not self._left.isHidden():
            return self._left.findChild(Contents)
        return self._fold if self._top.isHidden() else self._top

    def _chosen(self, name: str) -> None:
        if name == BACK:
            self.back_wanted.emit()
        elif name == FOLD:
            self._turn_fold()
        else:
            self.way_chosen.emit(name)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and any(way.name == BACK for way in self._ways):
            if not event.isAutoRepeat() and presses().counts(event.key(), key=event.key()):
                self.back_wanted.emit()
            return
        if event.key() == FOLD_KEY and self._fold is not None and not self._fold.isHidden():
            if not event.isAutoRepeat():
                self._turn_fold()
            return
        pressed = event.text().upper()
        way = next((way for way in self._ways if way.key and way.key == pressed), None)
        plain = single_keys() and is_plain(event) and not event.isAutoRepeat()
        if way is not None and plain:
            if presses().counts(event.key(), key=event.key()):
                self.way_chosen.emit(way.name)
            return
        super().keyPressEvent(event)

    def event(self, event: QEvent) -> bool:
        # Not before it is on the screen: until then its size is not the one it will have.
        changed = (QEvent.Type.Resize, QEvent.Type.StyleChange, QEvent.Type.Show)
        if event.type() in changed and self.isVisible():
            self._settle_contents()
        return super().event(event)

    def _turn_fold(self) -> None:
        """Open the folded contents and go to the present page in them, or fold them again."""
        if self._top is None or self._fold is None:
            return
        self._unfolded = not self._unfolded
        self._settle_contents()
        if self._unfolded:
            target = next((line for line in self._top.lines if line.here), self._top.lines[0])
        else:
            target = self._fold.lines[0]
        target.setFocus(Qt.FocusReason.TabFocusReason)

    def _settle_contents(self) -> None:
        """Contents at the left where they leave the column most of the window, else at its head,
        and there folded where they would take much of it."""
        if self._left is None or self._top is None or self._fold is None:
            return
        wide, high = self._left.room()
        fits = wide * 4 <= self.width() and high <= self.height()
        column = self.frame(self.width()).span
        large = self._top.heightForWidth(column) > self.height() * MOST_SHARE
        show_when(self._left, fits)
        show_when(self._fold, not fits and large)
        show_when(self._top, not fits and (self._unfolded or not large))
