"""The large number of a count. A screen reader is told it as how far something is, and of how much.

The toolkit takes a value from its own progress bar alone: one of ours, given from Python, ends the
program. So it is one, painted as a number.
"""

from __future__ import annotations

import math

from PySide6.QtCore import QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QProgressBar

from companion.ui.kit.text import one_line_width, set_text
from companion.ui.kit.theme import REACH, Type, current


class CountBar(QProgressBar):
    """A number on one line. `name` says what is counted."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self._shown = ""
        self._colour = "ink"
        self.setTextVisible(False)
        self.setAccessibleName(name)

    def show_count(self, shown: int, *, passed: int, of: int) -> None:
        """Show a number, and tell that so many seconds of so many are over."""
        if (str(shown), passed, of) == (self._shown, self.value(), self.maximum()):
            return
        self._shown = str(shown)
        self.setRange(0, of)
        self.setValue(passed)
        self.update()

    def text(self) -> str:
        return self._shown

    def set_colour(self, colour: str) -> None:
        """Change the colour, by the name of a field of the palette."""
        if colour != self._colour:
            self._colour = colour
            self.update()

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, _width: int) -> int:
        return math.ceil(current().line_height(Type.COUNT))

    def sizeHint(self) -> QSize:
        wide = one_line_width(self._shown, Type.COUNT, current()) + 2 * REACH
        return QSize(wide, self.heightForWidth(wide))

    def minimumSizeHint(self) -> QSize:
        return QSize(min(self.sizeHint().width(), 320), self.heightForWidth(0))

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = current()
        painter = QPainter(self)
        colour = getattr(theme.palette, self._colour)
        count = set_text(self._shown, Type.COUNT, theme, max(self.width() - 2 * REACH, 1))
        count.draw(painter, REACH, 0, colour)
        painter.end()
