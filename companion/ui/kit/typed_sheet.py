"""A form of a day as it is printed, filled in by keys: numbers are ringed, boxes ticked.

What a key means is the business of whoever holds the weeks (`presentation/papers/typed_weeks`);
here it is shown, and told to a screen reader.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QAccessible,
    QColor,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from companion.presentation.language.phrases import phrase
from companion.presentation.papers.day_form import Boxes, Gap, Part, Ring, Row
from companion.presentation.papers.typed_weeks import Step, TypedWeeks, box_keys
from companion.ui.kit.accessible import announce, give_role
from companion.ui.kit.buttons import brush
from companion.ui.kit.keys import is_enter, is_plain
from companion.ui.kit.text import LaidOutText, one_line_width, set_text
from companion.ui.kit.theme import GRID, REACH, Type, current

_STEPS: dict[Qt.Key, Step] = {
    Qt.Key.Key_Down: "on",
    Qt.Key.Key_Up: "back",
    Qt.Key.Key_Backspace: "rub",
    Qt.Key.Key_PageDown: "next_day",
    Qt.Key.Key_PageUp: "day_before",
}
_SHARES = {"one": 0.42, "two": 0.55, "many": 0.2}
"""How much of its place the words of a question take: alone, beside another, before many boxes."""
_MARK = 2 * GRID
"""Room at the left for the sign of an odd cell."""


@dataclass(frozen=True, slots=True)
class _Placed:
    """A question in its place, and what is typed there if it is typed."""

    part: Part
    box: QRectF
    answer: QRectF
    cell: int | None


class TypedSheet(QWidget):
    """The form that is typed. `typed` comes after each key that did something, `ended` once the
    last cell of the last form is passed."""

    typed = Signal()
    ended = Signal()

    def __init__(self, weeks: TypedWeeks) -> None:
        super().__init__()
        self._weeks = weeks
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        give_role(self, QAccessible.Role.Form)
        self._name()

    # ------------------------------------------------------------ keys

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if not self._use(event):
            super().keyPressEvent(event)

    def _use(self, event: QKeyEvent) -> bool:
        weeks = self._weeks
        step = "on" if is_enter(event) else _STEPS.get(Qt.Key(event.key()))
        if step is not None:
            if weeks.at_end and step == "on":
                return False
            if not event.isAutoRepeat():
                weeks.step(step)
                self._changed()
            return True
        text = event.text()
        shifted = event.modifiers() == Qt.KeyboardModifier.ShiftModifier
        if len(text) != 1 or not text.isprintable() or not (is_plain(event) or shifted):
            return False
        if event.isAutoRepeat():
            return True
        if weeks.press(text):
            self._changed()
        else:
            announce(self, weeks.keys_now(), at_once=True)
        return True

    def _changed(self) -> None:
        self._name()
        self.updateGeometry()
        self.update()
        self.typed.emit()
        announce(self, self._weeks.cell_said())
        if self._weeks.at_end:
            self.ended.emit()

    def _name(self) -> None:
        self.setAccessibleName(self._weeks.form.heading)
        self.setAccessibleDescription(self._weeks.cell_said())

    def mousePressEvent(self, event: QMouseEvent) -> None:
        at = event.position()
        for placed in self._placed(self.width())[0]:
            if placed.cell is not None and placed.box.contains(at):
                self._weeks.go_to(placed.cell)
                self._changed()

    # ------------------------------------------------------------ room

    def cell_box(self) -> QRect:
        """Where the question stands that the next key goes to."""
        for placed in self._placed(self.width())[0]:
            if placed.cell == self._weeks.cell_at:
                return placed.box.toAlignedRect()
        return self.rect()

    def heightForWidth(self, width: int) -> int:
        return self._placed(width)[1]

    def sizeHint(self) -> QSize:
        return QSize(720, self.heightForWidth(720))

    def minimumSizeHint(self) -> QSize:
        return QSize(current().scaled(320), 0)

    def _line(self) -> float:
        return current().line_height(Type.LABEL) + 4

    def _placed(self, width: int) -> tuple[list[_Placed], int]:
        """Every question of the form in its place, and the height of all."""
        theme = current()
        left, top = REACH + _MARK, REACH + theme.line_height(Type.STRONG) + GRID
        room = width - left - REACH
        cells = {(cell.row, cell.place): n for n, cell in enumerate(self._weeks.cells)}
        found: list[_Placed] = []
        for number, row in enumerate(self._weeks.form.rows):
            each = room / len(row)
            share = each * _share(row)
            high = max(self._high(part, share, each - share - GRID) for part in row)
            for place, part in enumerate(row):
                box = QRectF(left + place * each, top, each, high)
                answer = QRectF(box.left() + share, top, each - share - GRID, high)
                found.append(_Placed(part, box, answer, cells.get((number, place))))
            top += high
        return found, math.ceil(top + REACH)

    def _high(self, part: Part, words: float, answer: float) -> float:
        lines = self._words(part, words).lines
        if isinstance(part, Boxes):
            lines = max(lines, len(_flow(part.options, answer)))
        return max(lines, 1) * self._line()

    def _words(self, part: Part, width: float) -> LaidOutText:
        return set_text(part.words, Type.LABEL, current(), max(int(width) - GRID, 1))

    # ------------------------------------------------------------ painting

    def paintEvent(self, event: QPaintEvent) -> None:
        theme, palette = current(), current().palette
        painter = brush(self)
        painter.fillRect(self.rect(), QColor(palette.surface))
        form = self._weeks.form
        set_text(form.heading, Type.STRONG, theme, self.width()).draw(
            painter, REACH + _MARK, REACH, palette.ink
        )
        code = set_text(form.code, Type.LABEL, theme, self.width())
        wide = one_line_width(form.code, Type.LABEL, theme)
        if wide + one_line_width(form.heading, Type.STRONG, theme) + 6 * GRID < self.width():
            code.draw(painter, self.width() - REACH - wide - GRID, REACH + 3, palette.quiet)
        for placed in self._placed(self.width())[0]:
            self._paint(painter, placed)
        painter.end()

    def _paint(self, painter: QPainter, placed: _Placed) -> None:
        palette = current().palette
        part = placed.part
        here = placed.cell is not None and placed.cell == self._weeks.cell_at
        if here:
            painter.setPen(QPen(QColor(palette.ring), 3 if self.hasFocus() else 1))
            painter.setBrush(QColor(palette.chosen))
            painter.drawRoundedRect(placed.box.adjusted(-2, 1, -2, -1), 4, 4)
        colour = palette.ink if placed.cell is not None else palette.quiet
        words = self._words(part, placed.answer.left() - placed.box.left())
        self._line_up(painter, words, placed.box, colour)
        text = self._weeks.text(part)
        if text and self._weeks.slip(part) is not None:
            self._odd(painter, placed.box)
        known = text in _shown_texts(part)
        match part:
            case Ring() if known or not text:
                self._ring(painter, text, placed.answer)
            case Boxes() if known or not text:
                self._boxes(painter, part, text, placed.answer, colour)
            case Gap():
                self._gap(painter, part, text, placed.answer, here=here)
            case _:
                self._say(painter, phrase(text), placed.answer)

    def _line_up(self, painter: QPainter, words: LaidOutText, box: QRectF, colour: str) -> None:
        first = box.top() + (self._line() - current().line_height(Type.LABEL)) / 2
        words.draw(painter, box.left() + 2, first, colour)

    def _odd(self, painter: QPainter, box: QRectF) -> None:
        """A sign that tells by its form, not by colour: what stands here is not taken."""
        palette = current().palette
        middle = QPointF(box.left() - _MARK / 2 - 2, box.top() + self._line() / 2)
        painter.setPen(QPen(QColor(palette.emergency), 2))
        painter.setBrush(QColor(palette.emergency))
        painter.drawEllipse(middle, 8, 8)
        painter.setPen(QPen(QColor(palette.on_emergency), 2.5))
        painter.drawLine(QPointF(middle.x(), middle.y() - 4), QPointF(middle.x(), middle.y() + 1))
        painter.drawPoint(QPointF(middle.x(), middle.y() + 4.5))

    def _ring(self, painter: QPainter, text: str, box: QRectF) -> None:
        theme, palette = current(), current().palette
        step = min(box.width() / 11, 4.5 * GRID * theme.text_percent / 100)
        for score in range(11):
            number = str(score)
            chosen = number == text
            kind = Type.LABEL_STRONG if chosen else Type.LABEL
            wide = one_line_width(number, kind, theme)
            middle = box.left() + (score + 0.5) * step
            if chosen:
                painter.setPen(QPen(QColor(palette.action), 2.5))
                painter.setBrush(Qt.BrushStyle.NoBrush)
                radius = min(step, self._line()) / 2 - 1
                painter.drawEllipse(QPointF(middle, box.top() + self._line() / 2), radius, radius)
            set_text(number, kind, theme, wide + 4).draw(
                painter, middle - wide / 2, box.top() + 2, palette.ink
            )

    def _boxes(self, painter: QPainter, part: Boxes, text: str, box: QRectF, colour: str) -> None:
        theme, palette = current(), current().palette
        side = current().line_height(Type.LABEL) * 0.6
        values = part.cells or part.options
        keys = box_keys(part)
        for line, options in enumerate(_flow(part.options, box.width())):
            x, y = box.left(), box.top() + line * self._line()
            for number in options:
                option = part.options[number]
                square = QRectF(x, y + (self._line() - side) / 2, side, side)
                painter.setPen(QPen(QColor(colour), 1.5))
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawRect(square)
                chosen = bool(text) and values[number] == text
                if chosen:
                    painter.setPen(QPen(QColor(palette.action), 3))
                    painter.drawLine(square.topLeft(), square.bottomRight())
                    painter.drawLine(square.topRight(), square.bottomLeft())
                kind = Type.LABEL_STRONG if chosen else Type.LABEL
                wide = one_line_width(option, kind, theme)
                words = set_text(option, kind, theme, wide + 4)
                words.draw(painter, x + side + 5, y + 2, colour)
                if part.column:
                    self._underline(painter, option, keys[number], kind, x + side + 5, y)
                x += side + 5 + wide + 2 * GRID

    def _underline(
        self, painter: QPainter, option: str, key: str, kind: Type, left: float, top: float
    ) -> None:
        """The line under the letter that ticks a box."""
        theme = current()
        at = option.casefold().index(key)
        begin = one_line_width(option[:at], kind, theme) if at else 0
        end = one_line_width(option[: at + 1], kind, theme)
        y = top + self._line() - 4
        painter.setPen(QPen(QColor(theme.palette.ink), 1.5))
        painter.drawLine(QPointF(left + begin, y), QPointF(left + end, y))

    def _gap(self, painter: QPainter, part: Gap, text: str, box: QRectF, *, here: bool) -> None:
        theme, palette = current(), current().palette
        unit = one_line_width(part.unit, Type.LABEL, theme) + GRID if part.unit else 0
        y = box.top() + self._line() - 4
        painter.setPen(QPen(QColor(palette.line), 1.5))
        painter.drawLine(QPointF(box.left(), y), QPointF(box.right() - unit, y))
        if part.unit:
            set_text(part.unit, Type.LABEL, theme, int(unit) + 4).draw(
                painter, box.right() - unit + GRID, box.top() + 2, palette.ink
            )
        shown = f"{text}|" if here else text
        if shown:
            self._say(painter, shown, box.adjusted(0, 0, -unit, 0))

    def _say(self, painter: QPainter, text: str, box: QRectF) -> None:
        theme, palette = current(), current().palette
        wide = one_line_width(text, Type.LABEL_STRONG, theme)
        painter.save()
        painter.setClipRect(box)
        left = min(box.left(), box.right() - wide - 4)  # the end of what is written stays in sight
        set_text(text, Type.LABEL_STRONG, theme, wide + 8).draw(
            painter, left, box.top() + 2, palette.ink
        )
        painter.restore()


def _share(row: Row) -> float:
    if len(row) > 1:
        return _SHARES["two"]
    many = isinstance(row[0], Boxes) and len(row[0].options) > 2
    return _SHARES["many" if many else "one"]


def _shown_texts(part: Part) -> tuple[str, ...]:
    """The texts that are ringed or ticked rather than said."""
    match part:
        case Ring():
            return tuple(str(score) for score in range(11))
        case Boxes():
            return part.cells or part.options
        case Gap():
            return ()


def _flow(options: tuple[str, ...], width: float) -> list[list[int]]:
    """The numbers of boxes that stand on each line, as many as fit."""
    side = current().line_height(Type.LABEL) * 0.6
    lines: list[list[int]] = [[]]
    x = 0.0
    for number, option in enumerate(options):
        wide = side + 5 + one_line_width(option, Type.LABEL_STRONG, current()) + 2 * GRID
        if lines[-1] and x + wide - 2 * GRID > width:
            lines.append([])
            x = 0.0
        lines[-1].append(number)
        x += wide
    return lines
