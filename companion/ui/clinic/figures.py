"""The clinic's answers on the screen: rows of figures, each of which opens to what it rests on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

from PySide6.QtCore import QPointF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QKeyEvent,
    QPaintEvent,
    QPen,
    QTextCharFormat,
    QTextLayout,
    QTextOption,
)
from PySide6.QtWidgets import QPushButton, QSizePolicy, QWidget

from companion.care.shown_text import shown
from companion.presentation.clinic.answers import AnswerRow, ReviewQuestion
from companion.presentation.language.phrases import parted
from companion.ui.kit.buttons import Pressable, brush
from companion.ui.kit.placed import Placed, stack
from companion.ui.kit.text import HeadingWords, WrappedText, set_text, widest_word
from companion.ui.kit.theme import GRID, REACH, Theme, Type, current

_LABEL_WIDTH = 158
_LEAST_WORDS = 190
_EDGE = 2


@lru_cache(maxsize=512)
def _set_mixed(
    parts: tuple[tuple[str, bool], ...], theme: Theme, width: int
) -> tuple[QTextLayout, float]:
    """A paragraph with bold parts, laid out for a width; the layout and its height."""
    text = shown("".join(words for words, _ in parts))
    layout = QTextLayout(text, theme.font(Type.LABEL))
    option = QTextOption()
    option.setWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
    layout.setTextOption(option)
    ranges = []
    start = 0
    for words, bold in parts:
        if bold and words:
            found = QTextLayout.FormatRange()
            found.start = start
            found.length = len(words)
            shape = QTextCharFormat()
            shape.setFont(theme.font(Type.LABEL_STRONG))
            found.format = shape
            ranges.append(found)
        start += len(words)
    layout.setFormats(ranges)
    layout.setCacheEnabled(True)
    step = theme.line_height(Type.LABEL)
    lines = 0
    layout.beginLayout()
    while (line := layout.createLine()).isValid():
        line.setLineWidth(max(width, 1))
        line.setPosition(QPointF(0, lines * step + (step - line.height()) / 2))
        lines += 1
    layout.endLayout()
    return layout, lines * step


class FigureRow(Pressable, QPushButton):
    """A label and what is said of it; pressing it opens what the figure rests on.

    `knees` are said before each cell where a row has one for every knee.
    """

    word_type = Type.LABEL
    line_type = Type.LABEL
    least_height = 0
    pad_across = 0
    pad_down = 0

    def __init__(self, row: AnswerRow, knees: Sequence[str] = ()) -> None:
        super().__init__(row.label)
        self.row = row
        self._parts = []
        for place, cell in enumerate(row.cells):
            parts = []
            if len(row.cells) > 1 and place < len(knees):
                parts.append((f"{knees[place]}: ", False))
            parts.append((cell.lead, True))
            if cell.rest:
                parts.append((f" {cell.rest}" if cell.lead else cell.rest, False))
            self._parts.append(tuple(parts))
        said = parted("".join(words for words, _ in parts) for parts in self._parts)
        self.setAccessibleName(f"{row.label}: {said}")

    def _label_width(self, width: int) -> int | None:
        """The width of the label's column; None where it stands above the words."""
        need = current().scaled(_LABEL_WIDTH)
        if width - need < current().scaled(_LEAST_WORDS):
            return None
        return need

    def words_width(self, width: int) -> int:
        label = self._label_width(width)
        return max((width if label is None else label) - 2 * REACH, 1)

    def _cells_width(self, width: int) -> int:
        return max(width - (self._label_width(width) or 0) - 2 * REACH, 1)

    def words_height(self, width: int) -> float:
        theme = current()
        label = set_text(self.word, Type.LABEL, theme, self.words_width(width)).height
        room = self._cells_width(width)
        cells = sum(_set_mixed(parts, theme, room)[1] for parts in self._parts)
        return label + cells if self._label_width(width) is None else max(label, cells)

    def heightForWidth(self, width: int) -> int:
        return math.ceil(self.words_height(width)) + 2 * _EDGE

    def one_line(self) -> int:
        return current().scaled(_LABEL_WIDTH + 300)

    def comfortable_width(self) -> int:
        return current().scaled(_LABEL_WIDTH + _LEAST_WORDS)

    def sizeHint(self) -> QSize:
        wide = self.one_line()
        return QSize(wide, self.heightForWidth(wide))

    def minimumSizeHint(self) -> QSize:
        word = widest_word(self.word, Type.LABEL, current()) + 2 * REACH
        return QSize(word, math.ceil(current().line_height(Type.LABEL)) + 2 * _EDGE)

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = current()
        palette = theme.palette
        painter = brush(self)
        if self.isDown() or self.underMouse():
            painter.setPen(QPen(QColor(palette.action), 2))
            painter.drawRect(self.rect().adjusted(1, 1, -1, -1))
        width = self.width()
        label = set_text(self.word, Type.LABEL, theme, self.words_width(width))
        label.draw(painter, REACH, _EDGE, palette.quiet)
        column = self._label_width(width)
        left = REACH if column is None else column + REACH
        top = _EDGE + (label.height if column is None else 0)
        painter.setPen(QColor(palette.ink))
        for parts in self._parts:
            layout, high = _set_mixed(parts, theme, self._cells_width(width))
            layout.draw(painter, QPointF(left, top))
            top += high
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(palette.ring), 3))
            painter.drawRect(self.rect().adjusted(1, 1, -2, -2))
        painter.end()


class AnswerBlock(Placed):
    """One question with its rows. One stop of Tab; the arrows go from row to row and beyond."""

    opened = Signal(object)

    def __init__(self, answer: ReviewQuestion, knees: Sequence[str] = ()) -> None:
        super().__init__()
        self.add_part(HeadingWords(answer.question, Type.STRONG))
        self.rows = [FigureRow(row, knees) for row in answer.rows]
        for place, row in enumerate(self.rows):
            self.add_part(row)
            row.clicked.connect(self._pressed)
            if place:
                row.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        # Without a figure the note is all there is to say: that there is no tape, for one.
        for note in answer.notes if len(answer.rows) < 2 else ():
            self.add_part(WrappedText(note, Type.LABEL, colour="quiet"))
        if answer.signed:
            self.add_part(WrappedText(answer.signed, Type.LABEL, colour="quiet"))

    def wanted_width(self) -> int:
        return 520

    def place(self, width: int, *, move: bool) -> int:
        return stack(self.parts(), 0, width, move=move)

    def _pressed(self) -> None:
        pressed = self.sender()
        if isinstance(pressed, FigureRow):
            self.opened.emit(pressed.row)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1}.get(Qt.Key(event.key()), 0)
        every = self.window().findChildren(FigureRow)
        in_sight = [row for row in every if row.isVisible()]
        focused = next((n for n, row in enumerate(in_sight) if row.hasFocus()), None)
        if step == 0 or focused is None or not 0 <= focused + step < len(in_sight):
            super().keyPressEvent(event)
            return
        in_sight[focused + step].setFocus(Qt.FocusReason.TabFocusReason)


class PartColumns(Placed):
    """Two columns of parts side by side; one column, in the order of adding, in a small width."""

    def __init__(self, least_width: int = 860) -> None:
        super().__init__()
        self._least = least_width
        self._sides: dict[QWidget, int] = {}
        # Charts and pictures find their height with their width: a hint would be an old one.
        policy = self.sizePolicy()
        policy.setVerticalPolicy(QSizePolicy.Policy.Preferred)
        self.setSizePolicy(policy)

    def add(self, part: QWidget, side: int) -> None:
        """Put a part at the end of the left (0) or right (1) column."""
        self._sides[part] = side
        self.add_part(part)

    def wanted_width(self) -> int:
        return 960

    def place(self, width: int, *, move: bool) -> int:
        parts = self.parts()
        if width < current().scaled(self._least):
            return stack(parts, 0, width, GRID, move=move)
        half = (width - 4 * GRID) // 2
        left, right = ([part for part in parts if self._sides[part] == n] for n in (0, 1))
        return max(
            stack(left, 0, half, GRID, move=move),
            stack(right, width - half, half, GRID, move=move),
        )
