"""What pages are made of: words, rows to choose from, scales, fields, cards and the hold count.

Nothing here knows a rule. A control shows what it was given and says what the person did.
"""

from __future__ import annotations

import math
import re
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Generic, TypeVar

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import (
    QAccessible,
    QColor,
    QFontMetricsF,
    QHideEvent,
    QKeyEvent,
    QMouseEvent,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import (
    QAbstractButton,
    QFrame,
    QHBoxLayout,
    QLineEdit,
    QPlainTextEdit,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from companion.care.records import Level
from companion.presentation.language import codes
from companion.presentation.language.phrases import forms, in_figures, listed, parted, phrase
from companion.presentation.view.page import PhoneLine
from companion.ui.kit.accessible import (
    LEFT_OUT,
    announce,
    give_role,
    in_sentences,
    tell_place,
    tell_wrong,
)
from companion.ui.kit.buttons import (
    CLOSE_HEIGHT,
    ChoiceRow,
    QuietButton,
    ReplyRow,
    ScoreBox,
    TickRow,
    body_of,
    brush,
    draw_body,
    draw_frame,
    draw_level_sign,
    draw_ring,
    uncheck,
)
from companion.ui.kit.count_bar import CountBar
from companion.ui.kit.keys import digit, is_plain
from companion.ui.kit.placed import Placed
from companion.ui.kit.presses import presses
from companion.ui.kit.text import (
    HeadingWords,
    WrappedText,
    one_line_width,
    set_text,
    show_when,
)
from companion.ui.kit.theme import GRID, REACH, TARGET_HEIGHT, Room, Type, current
from companion.ui.kit.tiles import Tiles

# Words


class SubHeading(HeadingWords):
    """A heading inside the reading column."""

    heads_next = True

    def __init__(self, text: str) -> None:
        super().__init__(text, Type.SUBHEADING)


class Problem(WrappedText):
    """One plain sentence beside the thing it is about; hidden while there is none."""

    told_as = QAccessible.Role.AlertMessage

    def __init__(self, text: str = "") -> None:
        super().__init__(text, Type.STRONG)
        show_when(self, bool(text))

    def set_text(self, text: str, *, aloud: bool = True) -> None:
        """Show a sentence, or hide again for an empty one. A screen reader says it, unless it is
        told so by what gets the focus."""
        changed = text != self.text()
        super().set_text(text)
        show_when(self, bool(text))
        if aloud and changed and text and self.isVisible():
            announce(self, text)


class _List(QWidget):
    """Items with a mark before each, the texts hanging in line."""

    told_as = QAccessible.Role.List

    def __init__(
        self,
        marks_and_items: Sequence[tuple[str, str]],
        *,
        colour: str = "ink",
        inset: int = REACH,
    ) -> None:
        super().__init__()
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(GRID)
        self._items = [
            _Item(mark, item, colour, inset, marks_and_items) for mark, item in marks_and_items
        ]
        for item in self._items:
            self._column.addWidget(item)

    def take_room(self, room: Room) -> None:
        """Items stand closer where the whole page does."""
        self._column.setSpacing(GRID // 4 if room in ("close", "closest") else GRID)

    def items(self) -> tuple[str, ...]:
        return tuple(item.text() for item in self._items)


class _Item(WrappedText):
    """One text of a list with its mark hanging in the margin."""

    told_as = QAccessible.Role.ListItem

    def __init__(
        self, mark: str, text: str, colour: str, inset: int, all_items: Sequence[tuple[str, str]]
    ) -> None:
        self._mark = mark
        self._marks = tuple(each for each, _ in all_items)
        super().__init__(text, Type.BODY, colour=colour, inset=inset)
        if mark != _NO_ORDER:
            self.setAccessibleName(f"{mark} {text}")

    def hang(self) -> int:
        kind = Type.STRONG.at(self._room)
        widest = max(one_line_width(mark, kind, current()) for mark in self._marks)
        return widest + current().scaled(10)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        painter = brush(self)
        mark = set_text(self._mark, Type.STRONG.at(self._room), current(), self.hang())
        mark.draw(painter, self._inset, 0, getattr(current().palette, self._colour))
        painter.end()


_NO_ORDER = "•"


class Bullets(_List):
    """Short items in no order."""

    def __init__(self, items: Iterable[str]) -> None:
        super().__init__([(_NO_ORDER, item) for item in items])


class Steps(_List):
    """Numbered items, to be done in order."""

    def __init__(self, items: Iterable[str], start: int = 1) -> None:
        super().__init__([(f"{number}.", item) for number, item in enumerate(items, start)])


# Choosing


@dataclass(frozen=True, slots=True)
class Choice:
    """An answer that can be chosen: what is handed on, the word shown, an explaining line."""

    value: object
    word: str
    line: str = ""


MOST_FIGURES = 9
"""As many rows have a key of their own."""


RowT = TypeVar("RowT", ChoiceRow, TickRow)


class _AnswerRows(Tiles, Generic[RowT]):
    """What can be answered, a row each; the arrow keys go from row to row."""

    may_wrap = True

    def __init__(
        self, name: str, choices: Sequence[Choice], columns: int, kind: type[RowT]
    ) -> None:
        super().__init__(tuple(range(columns, 0, -1)))
        give_role(self, QAccessible.Role.Grouping, name)
        self.rows: tuple[RowT, ...] = tuple(
            self.add(kind(choice.word, choice.line, value=choice.value)) for choice in choices
        )
        for number, row in enumerate(self.rows, 1):
            row.clicked.connect(self._clicked)
            tell_place(row, row.line, number, len(choices))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if not _move_focus(self.rows, event, self.columns_for(self.width())):
            super().keyPressEvent(event)

    def _clicked(self) -> None:
        raise AssertionError("every list tells its own answers")


if TYPE_CHECKING:
    _Mixed = QWidget
else:
    _Mixed = object


class _AskedByFigures(_Mixed):
    """A question that figures may answer; framed where they do, and others are on the page."""

    framed = False
    asked_by: QWidget | None = None
    """The question beside or above it."""

    def take_figures(self, *, here: bool, framed: bool) -> None:
        """Whether figures go `here`, and whether a frame tells so."""
        self.framed = framed
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self.framed:
            draw_frame(self)


class ChoiceList(_AskedByFigures, _AnswerRows[ChoiceRow]):
    """One answer of several, or none yet. Digits 1-9 choose, arrows only move.

    `columns=2` puts short answers side by side while their words fit. `kind` is what a row is.
    """

    chosen = Signal(object)

    def __init__(
        self,
        name: str,
        choices: Sequence[Choice],
        *,
        columns: int = 1,
        kind: type[ChoiceRow] = ChoiceRow,
    ) -> None:
        super().__init__(name, choices, columns, kind)
        for number, row in enumerate(self.rows[:MOST_FIGURES], 1):
            row.figure = str(number)
        _rove(self.rows, 0)

    def spoken(self) -> str:
        """The answers in one sentence."""
        answers = parted(
            phrase("{word}, {line}", word=row.word, line=row.line) if row.line else row.word
            for row in self.rows
        )
        return phrase("Answers: {answers}", answers=answers)

    def value(self) -> object | None:
        """The chosen value, or None while nothing is chosen."""
        return next((row.value for row in self.rows if row.isChecked()), None)

    def set_value(self, value: object | None) -> None:
        """Show an answer given earlier, or none; `chosen` is not emitted."""
        for place, row in enumerate(self.rows):
            if value is not None and row.value == value:
                row.setChecked(True)
                _rove(self.rows, place)
            else:
                uncheck(row)

    def clear(self) -> None:
        self.set_value(None)
        _rove(self.rows, 0)

    def is_answered(self) -> bool:
        return self.value() is not None

    def take_figures(self, *, here: bool, framed: bool) -> None:
        """The figures stand in the rows while they choose one, and a frame round these where there
        are other questions."""
        super().take_figures(here=here, framed=framed)
        for number, row in enumerate(self.rows[:MOST_FIGURES], 1):
            row.figure = str(number) if here else ""
            row.update()

    def take_key(self, event: QKeyEvent) -> bool:
        """Digits 1-9 choose the row of that number."""
        number = digit(event)
        if number is None or not 1 <= number <= min(MOST_FIGURES, len(self.rows)):
            return False
        row = self.rows[number - 1]
        if not row.isEnabled():
            return False
        if event.isAutoRepeat() or not presses().counts((event.key(), id(self)), key=event.key()):
            return True
        row.setFocus(Qt.FocusReason.ShortcutFocusReason)
        row.click()
        return True

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if not self.take_key(event):
            super().keyPressEvent(event)

    def _clicked(self) -> None:
        pressed = self.sender()
        for place, row in enumerate(self.rows):
            if row is pressed:
                _rove(self.rows, place)
        self.chosen.emit(self.value())


class AskedBeside(Placed):
    """A question with its short answers at its right, in a line with those above and below it; or
    under it, where the words would stand too close."""

    def __init__(self, question: str, choices: Sequence[Choice]) -> None:
        self.words = WrappedText(question, Type.STRONG)
        self.words.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.rows = ChoiceList(question, choices, columns=len(choices), kind=ReplyRow)
        self.rows.asked_by = self.words
        super().__init__(self.words, self.rows)

    def wanted_width(self) -> int:
        return 720

    def place(self, width: int, *, move: bool) -> int:
        answers = [row.comfortable_width() for row in self.rows.rows]
        wide = max(answers) * len(answers)
        words_wide = width - wide - GRID
        beside = words_wide >= current().scaled(_LEAST_QUESTION)
        words_wide = words_wide if beside else width
        high = self.words.heightForWidth(words_wide)
        if not beside:
            below = self.rows.heightForWidth(width)
            # Nearer to its answers than to those of the question before.
            if move:
                self.words.setGeometry(0, 2 * GRID, width, high)
                self.rows.setGeometry(0, 2 * GRID + high, width, below)
            return 2 * GRID + high + below
        answers_high = self.rows.heightForWidth(wide)
        whole = max(high, answers_high)
        if move:
            self.words.setGeometry(0, (whole - high) // 2, words_wide, high)
            self.rows.setGeometry(width - wide, (whole - answers_high) // 2, wide, answers_high)
        return whole


_LEAST_QUESTION = 230
"""The least room for a question beside its answers, in pixels at 100 %: some four words a line."""


class LevelGroup(Placed):
    """What belongs to one level, under a band with its sign and heading, along a line of its own.

    Colour, the shape of the sign, the line and the words each tell the levels apart.
    """

    def __init__(self, level: Level, heading: str, inner: QWidget) -> None:
        self.level = level
        self._band, self._inner = _LevelBand(self.level, heading), inner
        super().__init__(self._band, inner)

    def wanted_width(self) -> int:
        return 720

    def least_width(self) -> int:
        return super().least_width() + _LEVEL_MARGIN

    def place(self, width: int, *, move: bool) -> int:
        band = self._band.heightForWidth(width)
        wide = width - _LEVEL_MARGIN
        high = self._inner.heightForWidth(wide)
        if move:
            self._band.setGeometry(0, 0, width, band)
            self._inner.setGeometry(_LEVEL_MARGIN, band, wide, high)
        return band + high

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = brush(self)
        colour, wide, dashed = _LEVEL_LINES[self.level]
        pen = QPen(QColor(getattr(current().palette, colour)), wide)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        pen.setStyle(Qt.PenStyle.DashLine if dashed else Qt.PenStyle.SolidLine)
        painter.setPen(pen)
        left = REACH + 5
        top = self._inner.geometry().top()
        painter.drawLine(QPointF(left, top), QPointF(left, self.height() - REACH))
        painter.end()


_LEVEL_MARGIN = REACH + 2 * GRID
"""Where the rows of a level begin, in pixels: its line stands before them."""


class _LevelBand(HeadingWords):
    """The heading of a level, on its colour, after its sign."""

    def __init__(self, level: Level, heading: str) -> None:
        self._level = level
        super().__init__(heading, Type.STRONG, colour=f"on_{level}", inset=REACH + GRID)

    def hang(self) -> int:
        return current().scaled(24) + GRID

    def heightForWidth(self, width: int) -> int:
        return super().heightForWidth(width) + 2 * GRID + 2 * REACH

    def minimumSizeHint(self) -> QSize:
        hint = super().minimumSizeHint()
        return QSize(hint.width(), hint.height() + 2 * GRID + 2 * REACH)

    def paintEvent(self, event: QPaintEvent) -> None:
        palette = current().palette
        painter = brush(self)
        body = body_of(self)
        fill, words = getattr(palette, self._level), getattr(palette, self._colour)
        draw_body(painter, body, fill, palette.card_edge, 2)
        size = current().scaled(24)
        box = QRectF(body.left() + GRID, body.center().y() - size / 2, size, size)
        draw_level_sign(painter, box, self._level, words, fill)
        setting = self.setting(self.width())
        top = body.center().y() - setting.height / 2
        setting.draw(painter, self._inset + self.hang(), top, words)
        painter.end()


class TickList(_AnswerRows[TickRow]):
    """Many things that may each be so. Space or a press ticks; Enter never does.

    With nothing ticked `values()` is empty; that is not an answer of "none".
    """

    changed = Signal(object)

    def __init__(self, name: str, choices: Sequence[Choice], *, columns: int = 1) -> None:
        super().__init__(name, choices, columns, TickRow)

    def values(self) -> tuple[object, ...]:
        return tuple(row.value for row in self.rows if row.isChecked())

    def set_values(self, values: Iterable[object]) -> None:
        """Show ticks made earlier; `changed` is not emitted."""
        wanted = list(values)
        for row in self.rows:
            row.setChecked(row.value in wanted)

    def _clicked(self) -> None:
        self.changed.emit(self.values())


class _Boxes(Placed):
    """The boxes of a scale in equal columns, and its end words under the first and the last."""

    def __init__(self, boxes: Sequence[ScoreBox], low: WrappedText, high: WrappedText) -> None:
        super().__init__(*boxes, low, high)
        self._boxes, self._low, self._high = boxes, low, high

    def wanted_width(self) -> int:
        return 720

    def least_width(self) -> int:
        return 2 * self._boxes[0].minimumSizeHint().width()

    def per_row(self, width: int) -> int:
        """How many boxes stand in a row."""
        need = max(box.minimumSizeHint().width() for box in self._boxes)
        return next((count for count in (11, 6, 4, 3) if width // count >= need), 2)

    def place(self, width: int, *, move: bool) -> int:
        per_row = self.per_row(width)
        box_height = self._boxes[0].heightForWidth(width // per_row)
        word_width = width // 2 - GRID
        low_height = self._low.heightForWidth(word_width)
        rows = math.ceil(11 / per_row)
        # Under more rows than one the end words have a line each.
        last_row = round((11 - (rows - 1) * per_row) * width / per_row)
        high_width = word_width if rows == 1 else last_row
        high_height = self._high.heightForWidth(high_width)
        last_right = width
        top = 0
        for row in range(rows):
            for score in range(row * per_row, min(11, (row + 1) * per_row)):
                place = score - row * per_row
                left = round(place * width / per_row)
                right = round((place + 1) * width / per_row)
                if move:
                    self._boxes[score].setGeometry(left, top, right - left, box_height)
                last_right = right
            top += box_height
            if row == 0 and move:
                self._low.setGeometry(0, top, word_width, low_height)
            if row == 0 and rows > 1:
                top += low_height
            elif row == rows - 1:
                if move:
                    left = max(last_right - high_width, 0)
                    self._high.setGeometry(left, top, last_right - left, high_height)
                top += max(low_height, high_height) if rows == 1 else high_height
        return top


class _EndWord(WrappedText):
    """What one end of a scale means. A screen reader is told so with the box."""

    told_as = LEFT_OUT

    def __init__(self, text: str, alignment: Qt.AlignmentFlag = Qt.AlignmentFlag.AlignLeft) -> None:
        super().__init__(text, Type.LABEL, colour="quiet", alignment=alignment)


class PainScale(_AskedByFigures, QWidget):
    """Eleven equal boxes, 0 to 10, none of them filled until the person answers.

    One row where it fits, else two rows, 0 to 5 and 6 to 10. The end words stand under 0 and 10
    only. Keys: 0-9, 1 and then 0 or T for ten, Backspace takes the answer away, arrows only move.
    With `cant_say` a row below the boxes gives that as an answer of its own.
    """

    answered = Signal(object)

    def __init__(self, name: str, *, low: str, high: str, cant_say: str = "") -> None:
        super().__init__()
        give_role(self, QAccessible.Role.Grouping, name)
        self._ends = low, high
        # Two parents: the toolkit gives one stop of the Tab key to all radio buttons below a
        # parent, and the row that says "cannot say" needs one besides that of the boxes.
        apart = Tiles()
        self.boxes = tuple(ScoreBox(score) for score in range(11))
        self.boxes[0].setAccessibleName(listed(("0", low)))
        self.boxes[10].setAccessibleName(listed(("10", high)))
        self._scale = _Boxes(
            self.boxes,
            _EndWord(low),
            _EndWord(high, Qt.AlignmentFlag.AlignRight),
        )
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2 * GRID)
        column.addWidget(self._scale)
        self._cant_say = apart.add(ChoiceRow(cant_say)) if cant_say else None
        if cant_say:
            column.addWidget(apart)
        self._answers: list[ScoreBox | ChoiceRow] = [*self.boxes]
        if self._cant_say is not None:
            self._answers.append(self._cant_say)
        for answer in self._answers:
            answer.clicked.connect(self._clicked)
        _rove(self.boxes, 0)
        self._one_typed = False
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)

    def spoken(self) -> str:
        """What its ends mean, and what may be said in place of a score."""
        low, high = self._ends
        said = phrase("0 to 10. 0 is {low}, 10 is {high}", low=low, high=high)
        return said if self._cant_say is None else in_sentences(said, self._cant_say.word)

    def value(self) -> int | None:
        """The score, or None while there is none."""
        return next((box.score for box in self.boxes if box.isChecked()), None)

    def cannot_say(self) -> bool:
        """Whether the person chose the row that says so."""
        return self._cant_say is not None and self._cant_say.isChecked()

    def set_value(self, score: int | None) -> None:
        """Show a score given earlier, or none; `answered` is not emitted."""
        if score is not None and not 0 <= score <= 10:
            raise ValueError(f"score {score} is not on the 0-10 scale")
        for answer in self._answers:
            if isinstance(answer, ScoreBox) and answer.score == score:
                answer.setChecked(True)
            else:
                uncheck(answer)
        _rove(self.boxes, score or 0)

    def show_answer(self, score: int | None) -> None:
        """Show an answer given earlier: a score, or None that it could not be said."""
        self.set_value(score)
        if score is None and self._cant_say is not None:
            self._cant_say.setChecked(True)

    def clear(self) -> None:
        self.set_value(None)

    def is_answered(self) -> bool:
        """Whether there is a score, or the person cannot say."""
        return self.value() is not None or self.cannot_say()

    def take_key(self, event: QKeyEvent) -> bool:
        """0-9 and T answer, Backspace takes the answer away."""
        score = digit(event)
        answers = score is not None or event.key() == Qt.Key.Key_T
        what = (event.key(), id(self))
        if answers and (event.isAutoRepeat() or not presses().counts(what, key=event.key())):
            return True
        # Whoever means ten types what the box says, however slowly. Were the 0 taken by itself,
        # the worst pain would be written down as none.
        ten = score == 0 and self._one_typed and self.value() == 1
        self._one_typed = score == 1
        if ten or (score is None and event.key() == Qt.Key.Key_T and is_plain(event)):
            score = 10
        if score is not None:
            self.boxes[score].setFocus(Qt.FocusReason.ShortcutFocusReason)
            self.boxes[score].click()
            return True
        if event.key() in (Qt.Key.Key_Backspace, Qt.Key.Key_Delete) and is_plain(event):
            if self.value() is not None or self.cannot_say():
                self.clear()
                self.answered.emit(None)
            return True
        return False

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if _move_focus(self.boxes, event, self._scale.per_row(self.width())):
            self._one_typed = False
        elif not self.take_key(event):
            super().keyPressEvent(event)

    def _clicked(self) -> None:
        pressed = self.sender()
        for answer in self._answers:
            if answer is not pressed:
                uncheck(answer)
        if isinstance(pressed, ScoreBox):
            _rove(self.boxes, pressed.score)
        self.answered.emit(self.value())


def _rove(buttons: Sequence[QAbstractButton], stop: int) -> None:
    """Let Tab stop at one button of a group only; the arrows reach the others."""
    for place, button in enumerate(buttons):
        button.setFocusPolicy(
            Qt.FocusPolicy.StrongFocus if place == stop else Qt.FocusPolicy.ClickFocus
        )


def _move_focus(buttons: Sequence[QAbstractButton], event: QKeyEvent, per_row: int) -> bool:
    """Move the focus among a group's buttons; at its ends the key is left to the page."""
    steps = {
        Qt.Key.Key_Left: -1,
        Qt.Key.Key_Right: 1,
        Qt.Key.Key_Up: -per_row,
        Qt.Key.Key_Down: per_row,
    }
    step = steps.get(Qt.Key(event.key()))
    here = next((place for place, button in enumerate(buttons) if button.hasFocus()), None)
    if step is None or here is None or not is_plain(event):
        return False
    there = here + step
    while 0 <= there < len(buttons) and not buttons[there].isEnabled():
        there += step
    if not 0 <= there < len(buttons):
        return False
    buttons[there].setFocus(Qt.FocusReason.TabFocusReason)
    return True


# Fields


_PAGE_KEYS = (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown)


class _Frame(QWidget):
    """The edge and the focus ring round a toolkit editor that draws neither."""

    def __init__(self, editor: QLineEdit | QPlainTextEdit) -> None:
        super().__init__()
        self.editor = editor
        box = QHBoxLayout(self)
        pad = REACH + 2 * GRID
        box.setContentsMargins(pad, REACH + GRID, pad, REACH + GRID)
        box.addWidget(editor)
        editor.installEventFilter(self)
        self.setFocusProxy(editor)
        self.setCursor(Qt.CursorShape.IBeamCursor)

    def eventFilter(self, watched: object, event: QEvent) -> bool:
        if event.type() in (QEvent.Type.FocusIn, QEvent.Type.FocusOut):
            self.update()
        elif isinstance(event, QKeyEvent) and event.key() in _PAGE_KEYS and is_plain(event):
            event.ignore()  # the page is read on by them; an editor of a few lines has no pages
            return True
        return False

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.editor.setFocus(Qt.FocusReason.MouseFocusReason)

    def paintEvent(self, event: QPaintEvent) -> None:
        palette = current().palette
        painter = brush(self)
        body = body_of(self)
        focused = self.editor.hasFocus()
        draw_body(painter, body, palette.surface, palette.ink if focused else palette.line, 2)
        if focused:
            draw_ring(painter, body)
        painter.end()


class _LabelledField(QWidget):
    """A label, an editor in its frame, and a place for one plain sentence about it."""

    def __init__(self, label: str, editor: QLineEdit | QPlainTextEdit, hint: str) -> None:
        super().__init__()
        self.label = WrappedText(label, Type.LABEL_STRONG, colour="ink")
        self.hint = WrappedText(hint, Type.LABEL, colour="quiet", told_as=LEFT_OUT)
        show_when(self.hint, bool(hint))
        self.frame = _Frame(editor)
        self.complaint = Problem()
        editor.setAccessibleName(label)
        editor.setAccessibleDescription(hint)
        self.row = QHBoxLayout()
        self.row.setContentsMargins(0, 0, 0, 0)
        self.row.setSpacing(GRID)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.label)
        column.addWidget(self.hint)
        column.addLayout(self.row)
        self.row.addWidget(self.frame)
        column.addWidget(self.complaint)
        self.setFocusProxy(editor)
        self._fit()

    def _fit(self) -> None:
        """Be as high, or wide, as the size of the text asks for."""
        raise AssertionError("every field fits its own editor")

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange:
            self._fit()

    def spoken(self) -> str:
        """What it asks, in which unit, and what is wrong with what is there."""
        asked = self.frame.editor.accessibleName()
        return in_sentences(asked, self.hint.text(), self.complaint.text())

    def show_problem(self, sentence: str) -> None:
        """Show one plain sentence under the field; an empty one hides it."""
        self.complaint.set_text(sentence)
        tell_wrong(self.frame.editor, sentence)


class _LineField(_LabelledField):
    def __init__(self, label: str, hint: str) -> None:
        self._editor = QLineEdit()
        self._editor.setFrame(False)
        super().__init__(label, self._editor, hint)
        self.frame.setMinimumHeight(TARGET_HEIGHT + 2 * REACH)

    def take_room(self, room: Room) -> None:
        """Be lower where the whole page is."""
        high = CLOSE_HEIGHT if room in ("close", "closest") else TARGET_HEIGHT
        self.frame.setMinimumHeight(high + 2 * REACH)

    def _fit(self) -> None:
        self._editor.setMinimumHeight(math.ceil(current().line_height(Type.BODY)))


class NumberField(_LineField):
    """One number with its unit, empty until typed. Both 1.5 and 1,5 are read.

    `low` and `high` are inclusive. `changed` carries the number, or None while the field is empty
    or does not hold a number in range; `problem()` is then the sentence shown under the field.
    """

    changed = Signal(object)

    def __init__(
        self,
        label: str,
        *,
        unit: str = "",
        low: float = 0,
        high: float = 999,
        decimals: int = 0,
        range_sentence: str = "",
        hint: str = "",
    ) -> None:
        self._low, self._high, self._decimals = low, high, decimals
        super().__init__(label, hint)
        self._sentence = range_sentence or phrase(
            "Write a number from {low} to {high}.", low=in_figures(low), high=in_figures(high)
        )
        self._editor.setInputMethodHints(Qt.InputMethodHint.ImhFormattedNumbersOnly)
        self._editor.setMaxLength(12)
        self._unit = WrappedText(unit, Type.BODY, colour="ink", told_as=LEFT_OUT)
        show_when(self._unit, bool(unit))
        self.row.addWidget(self._unit, 0, Qt.AlignmentFlag.AlignVCenter)
        self.row.addStretch(1)
        if unit:
            self._editor.setAccessibleName(listed((label, unit)))
        self._editor.textEdited.connect(self._edited)
        self._editor.editingFinished.connect(self._say_problem)

    def value(self) -> float | int | None:
        """The number, a whole one as int; None while empty or not acceptable."""
        return self._read()[0]

    def problem(self) -> str:
        """The sentence that says what to write instead, or an empty text."""
        return self._read()[1]

    def type_here(self, text: str) -> None:
        """Go on with what is typed, the focus in the field."""
        self._editor.setFocus(Qt.FocusReason.OtherFocusReason)
        self._editor.end(False)
        self._editor.insert(text)
        self._edited()

    def set_value(self, value: float | None) -> None:
        """Show a number given earlier, or none; `changed` is not emitted."""
        self._editor.setText("" if value is None else in_figures(value, f".{self._decimals}f"))
        self.show_problem("")

    def _read(self) -> tuple[float | int | None, str]:
        text = self._editor.text().strip().replace(forms().decimal, ".").replace(",", ".")
        if not text:
            return None, ""
        # Narrower than what Python reads as a number: no exponents, no "nan", plain digits only.
        if not re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", text):
            return None, self._sentence
        number = float(text)
        places = len(text.partition(".")[2])
        if not self._low <= number <= self._high or places > self._decimals:
            return None, self._sentence
        return (int(number) if self._decimals == 0 else number), ""

    def _say_problem(self) -> None:
        self.show_problem(self.problem())

    def _edited(self) -> None:
        number, problem = self._read()
        if not problem:
            self.show_problem("")
        self.changed.emit(number)

    def _fit(self) -> None:
        super()._fit()
        digits = max(len(in_figures(self._high, f".{self._decimals}f")), 4) + 1
        wide = one_line_width("0" * digits, Type.BODY, current()) + 2 * (REACH + 2 * GRID)
        self.frame.setFixedWidth(max(wide, 2 * TARGET_HEIGHT))


class TextField(_LineField):
    """One line of the person's own words."""

    changed = Signal(str)

    def __init__(self, label: str, *, most_characters: int = 200, hint: str = "") -> None:
        super().__init__(label, hint)
        self._editor.setMaxLength(most_characters)
        self._editor.textEdited.connect(self.changed)

    def select_all(self) -> None:
        """Mark what is there, so that the next letter takes its place."""
        self._editor.selectAll()

    def text(self) -> str:
        """What was typed, without spaces at the ends."""
        return self._editor.text().strip()

    def set_text(self, text: str) -> None:
        """Show words typed earlier; `changed` is not emitted."""
        self._editor.setText(text)


class NoteField(_LabelledField):
    """Several lines of the person's own words. Tab leaves the field; Enter begins a line."""

    changed = Signal(str)

    def __init__(
        self, label: str, *, lines: int = 3, most_characters: int = 2000, hint: str = ""
    ) -> None:
        self._note = QPlainTextEdit()
        self._note.setFrameShape(QFrame.Shape.NoFrame)
        self._note.setTabChangesFocus(True)
        self._note.document().setDocumentMargin(0)
        self._lines = lines
        self._most = most_characters
        super().__init__(label, self._note, hint)
        self._note.textChanged.connect(self._edited)

    def text(self) -> str:
        """What was typed, without spaces at the ends."""
        return self._note.toPlainText().strip()

    def set_text(self, text: str) -> None:
        """Show words typed earlier; `changed` is not emitted."""
        self._note.blockSignals(True)
        self._note.setPlainText(text)
        self._note.blockSignals(False)

    def _edited(self) -> None:
        typed = self._note.toPlainText()
        if len(typed) > self._most:
            cursor = self._note.textCursor()
            self.set_text(typed[: self._most])
            cursor.setPosition(self._most)
            self._note.setTextCursor(cursor)
            self.show_problem(
                phrase("A note holds {n} letters. Shorten it, or leave some out.", n=self._most)
            )
        else:
            self.show_problem("")
        self.changed.emit(self.text())

    def _fit(self) -> None:
        self._note.setFixedHeight(math.ceil(current().line_height(Type.BODY) * self._lines))


# Cards and notices


_LEVEL_LINES: dict[Level, tuple[str, int, bool]] = {
    "emergency": ("emergency", 10, False),
    "today": ("today", 6, False),
    "call": ("action", 6, True),
    "care": ("line", 2, False),
}
"""The line along the rows of a level: its colour, how wide in pixels, and whether it is dashed."""


class _Box(QWidget):
    """A filled box with its own colours and room inside."""

    def __init__(self, fill: str, edge: str, edge_width: int) -> None:
        super().__init__()
        self._fill, self._edge, self._edge_width = fill, edge, edge_width
        self.column = QVBoxLayout(self)
        pad = REACH + 3 * GRID
        self.column.setContentsMargins(pad, REACH + 2 * GRID + 4, pad, REACH + 2 * GRID + 4)
        self.column.setSpacing(GRID)

    def paintEvent(self, event: QPaintEvent) -> None:
        palette = current().palette
        painter = brush(self)
        draw_body(
            painter,
            QRectF(body_of(self)),
            getattr(palette, self._fill),
            getattr(palette, self._edge),
            self._edge_width,
        )
        painter.end()


class Card(_Box):
    """What a warning sign asks for: the level, a heading, numbers to call, numbered actions."""

    def __init__(
        self,
        level: Level,
        heading: str,
        actions: Sequence[str],
        phones: Sequence[PhoneLine] = (),
        *,
        level_word: str | None = None,
        no_answer: str = "",
    ) -> None:
        self.level = level
        plain = level == "care"
        super().__init__(level, "card_edge", 3 if plain else 2)
        words = f"on_{level}"
        name = codes.LEVELS[level].card if level_word is None else level_word
        self.spoken_first = name
        if name:
            give_role(self, QAccessible.Role.Grouping, name)
            level_words = WrappedText(
                name, Type.LABEL_STRONG, colour=words, inset=0, told_as=LEFT_OUT
            )
            self.column.addWidget(level_words)
        if heading:
            self.column.addWidget(HeadingWords(heading, Type.SUBHEADING, colour=words, inset=0))
        calls: list[QWidget] = [_PhoneLine(phone, words) for phone in phones]
        if len(calls) == 2 and not actions:
            # Side by side, so that what stands under them is nearer to the first screen.
            beside = _CallsBeside((2, 1), gap=2 * GRID)
            for call in calls:
                beside.add(call)
            calls = [beside]
        done: list[QWidget] = []
        if len(actions) == 1:
            done = [WrappedText(actions[0], Type.BODY, colour=words, inset=0)]
        elif actions:
            numbered = [(f"{number}.", action) for number, action in enumerate(actions, 1)]
            done = [_List(numbered, colour=words, inset=0)]
        # Whoever must call sees the number at once: below the steps it would be out of sight.
        for part in (*done, *calls) if plain else (*calls, *done):
            self.column.addWidget(part)
        if no_answer:
            self.column.addWidget(WrappedText(no_answer, Type.STRONG, colour=words, inset=0))


class _PhoneLine(QWidget):
    """A number large enough to be dialled from across a table, and under it whose it is."""

    def __init__(self, phone: PhoneLine, colour: str) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, GRID, 0, 0)
        column.setSpacing(0)
        who = listed(filter(None, (phone.who, phone.when)))
        number = phone.number or phrase("no number is written here")
        column.addWidget(WrappedText(number, Type.PHONE, colour=colour, inset=0))
        column.addWidget(WrappedText(who, Type.LABEL, colour=colour, inset=0))
        column.addStretch(1)  # beside a longer one the words stay at their number
        self._number = number

    def number_width(self) -> float:
        """Pixels of the number in one line."""
        return QFontMetricsF(current().font(Type.PHONE)).horizontalAdvance(self._number)


class _CallsBeside(Tiles):
    """Numbers to call, side by side where none of them would be broken."""

    def columns_for(self, width: int) -> int:
        count = super().columns_for(width)
        numbers = [part.number_width() for part in self.parts() if isinstance(part, _PhoneLine)]
        return count if self._tile_width(width, count) >= max(numbers, default=0) else 1


class Notice(_Box):
    """Something worth a quiet frame: what your plan says, what comes next."""

    def __init__(self, text: str, *, heading: str = "") -> None:
        super().__init__("surface", "line", 2)
        pad = REACH + 2 * GRID
        self.column.setContentsMargins(pad, REACH + GRID, pad, REACH + GRID)
        self.column.setSpacing(GRID // 2)
        self._heading = HeadingWords(heading, Type.STRONG, inset=0)
        show_when(self._heading, bool(heading))
        self._text = WrappedText(text, Type.BODY, inset=0)
        show_when(self._text, bool(text))
        self.column.addWidget(self._heading)
        self.column.addWidget(self._text)

    def set_text(self, text: str) -> None:
        self._text.set_text(text)
        show_when(self._text, bool(text))


# The hold


class _CountLine(Placed):
    """The large count with its words beside it on one base line.

    The count's room is that of the whole hold's number, so that nothing jumps as it grows.
    """

    def __init__(self, count: CountBar, words: WrappedText, widest: str) -> None:
        super().__init__(count, words)
        self._count, self._words, self._widest = count, words, widest

    def wanted_width(self) -> int:
        return 480

    def place(self, width: int, *, move: bool) -> int:
        theme = current()
        count_width = one_line_width(self._widest, Type.COUNT, theme) + 2 * REACH
        high = self._count.heightForWidth(count_width)
        words_width = max(width - count_width - GRID, 1)
        words_high = self._words.heightForWidth(words_width)
        count_base = (high + QFontMetricsF(theme.font(Type.COUNT)).capHeight()) / 2
        line = theme.line_height(Type.BODY)
        words_base = (line + QFontMetricsF(theme.font(Type.BODY)).capHeight()) / 2
        top = round(count_base - words_base)
        if move:
            self._count.setGeometry(0, 0, count_width, high)
            self._words.setGeometry(count_width + GRID, top, words_width, words_high)
        return max(high, top + words_high)


class HoldTimer(QWidget):
    """A quiet count of the seconds of a hold, begun by the person, never moving the page on.

    `seconds` is the length of the hold. `clock` returns seconds from any fixed start and must
    not run backwards; tests hand in their own and call `tick()`. `get_ready_seconds` run down
    before the count; one that is not `pausable` goes back to nothing when it is stopped.
    """

    finished = Signal()
    told = Signal(str)
    """What is said aloud: at its start, its half and its end."""

    def __init__(
        self,
        seconds: int,
        *,
        get_ready_seconds: int = 0,
        pausable: bool = True,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        super().__init__()
        if seconds <= 0:
            raise ValueError("a hold lasts at least one second")
        self._seconds = seconds
        self._pausable = pausable
        self._begins_at = -float(get_ready_seconds)
        self._clock = clock
        self._held = self._begins_at
        self._since: float | None = None
        self._timer = QTimer(self)
        self._timer.setInterval(200)
        self._timer.timeout.connect(self.tick)
        self._whole = phrase("Hold for {n} second", "Hold for {n} seconds", n=seconds)
        self._count = CountBar(self._whole)
        self._half_told = False
        self._below = WrappedText("", Type.BODY, colour="quiet")
        self.button = QuietButton(phrase("Ready, start"))
        """It starts, pauses and goes on."""
        self.button.clicked.connect(self._pressed)
        # No digit of the typeface is wider than its 0, which has a dot in it.
        self._count_line = _CountLine(self._count, self._below, "0" * len(str(seconds)))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GRID)
        column.addWidget(self._count_line)
        column.addWidget(self.button)
        self._show()

    def seconds_held(self) -> int:
        """Whole seconds held so far, at most the length of the hold."""
        return min(int(max(self._held_now(), 0.0)), self._seconds)

    def is_running(self) -> bool:
        return self._since is not None

    def is_finished(self) -> bool:
        return self._held >= self._seconds

    def start(self) -> None:
        """Begin, or go on after a pause."""
        if self._since is None and not self.is_finished():
            self._since = self._clock()
            self._timer.start()
            self._show()
            self._half_told = self._held_now() * 2 >= self._seconds
            self._tell(phrase("Get ready") if self._held_now() < 0 else self._whole)

    def pause(self) -> None:
        """Stop counting; what was held is kept where a pause is allowed."""
        if self._since is not None and not self._pausable:
            self.reset()
        elif self._since is not None:
            self._held = self._held_now()
            self._since = None
            self._timer.stop()
            self._show()

    def reset(self) -> None:
        """Back to nothing held."""
        self._since = None
        self._timer.stop()
        self._held = self._begins_at
        self._show()

    def tick(self) -> None:
        """Look at the clock; called by the timer, and by tests after moving theirs."""
        if self._since is None:
            return
        if self._held_now() >= self._seconds:
            self._held = float(self._seconds)
            self._since = None
            self._timer.stop()
            self._show()
            self._tell(self._below.text())
            self.finished.emit()
        else:
            self._show()
            if not self._half_told and self._held_now() * 2 >= self._seconds:
                self._half_told = True
                self._tell(phrase("Half"))

    def _tell(self, words: str) -> None:
        announce(self, words)
        self.told.emit(words)

    def hideEvent(self, event: QHideEvent) -> None:
        # Nobody holds for a page that is not on the screen.
        self.pause()
        super().hideEvent(event)

    def _held_now(self) -> float:
        running = 0.0 if self._since is None else max(self._clock() - self._since, 0.0)
        return self._held + running

    def _pressed(self) -> None:
        if self.is_running():
            self.pause()
        elif self.is_finished():
            self.reset()
            self.start()
        else:
            self.start()

    def _show(self) -> None:
        if self.is_running():
            word = phrase("Pause") if self._pausable else phrase("Stop the count")
        elif self.is_finished():
            word = phrase("Start again")
        else:
            word = phrase("Go on") if self._held > 0 else phrase("Ready, start")
        if self.button.word != word:
            self.button.set_words(word)
        to_go = math.ceil(-self._held_now()) if self.is_running() else 0
        held = self.seconds_held()
        self._count.show_count(max(to_go, held), passed=held, of=self._seconds)
        if self.is_finished():
            line = (
                phrase("{n} second held", "{n} seconds held", n=self._seconds)
                if self._pausable
                else phrase("Stop: the {n} seconds are over", n=self._seconds)
            )
        elif to_go > 0:
            line = phrase("Get ready")
        else:
            line = phrase("of {n} second", "of {n} seconds", n=self._seconds)
        if self._below.text() != line:
            self._below.set_text(line)
