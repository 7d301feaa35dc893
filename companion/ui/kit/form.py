"""Forms for the clinic's desk: fields with a range, a source one key away, and remarks below.

A field hands on what was typed, whatever it is: whether it may be so is said by whoever knows, and
comes back as a remark.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QLineEdit, QSizePolicy, QVBoxLayout, QWidget

from companion.presentation.clinic.plan_form import Field, FieldKind
from companion.presentation.language.phrases import dated, in_figures, phrase, weekday
from companion.presentation.language.typed_days import typed_day
from companion.ui.kit.accessible import announce, in_sentences, tell_wrong
from companion.ui.kit.buttons import QuietButton, TickRow
from companion.ui.kit.controls import (
    Choice,
    ChoiceList,
    NoteField,
    NumberField,
    Problem,
    TextField,
    TickList,
)
from companion.ui.kit.placed import Placed, stack
from companion.ui.kit.presses import presses
from companion.ui.kit.text import WrappedText, show_when
from companion.ui.kit.theme import GRID, Type, current
from companion.ui.kit.tiles import Tiles

Answer = str | int | float | bool | date | None
_SMALLEST = -9999
_TEXT_WIDTH = 156


class AidButton(QuietButton):
    """A small button beside what it is about, for what a key does as well."""

    least_height = 36
    word_type = Type.LABEL_STRONG
    pad_across = GRID
    pad_down = 2


class KeptRoom(QWidget):
    """Empty room under words that come and go while a page is answered.

    When they go, it keeps what stands below in its place: else the next press would meet another
    field than the one it was aimed at. `reserve` keeps room beforehand for words that will come.
    """

    def __init__(self, *above: WrappedText) -> None:
        super().__init__()
        self._above = above
        self._expected: WrappedText | None = None
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(0)

    @contextmanager
    def steady(self) -> Iterator[None]:
        """Change the words above in here."""
        before = self._height_above()
        yield
        if self.isVisible():
            self.setFixedHeight(max(self.height() + before - self._height_above(), 0))

    def reserve(self, expected: WrappedText) -> None:
        """Keep as much room as these words would take, which are never shown themselves."""
        self._expected = expected

    def let_go(self, width: int) -> None:
        """Take no more room than is reserved, as when all is laid out anew in a `width`."""
        room = 0 if self._expected is None else self._expected.heightForWidth(width)
        self.setFixedHeight(max(room - self._height_above(), 0))

    def _height_above(self) -> int:
        seen = (words for words in self._above if words.text() and not words.isHidden())
        return sum(words.heightForWidth(words.width()) for words in seen)


class FieldBox(QWidget):
    """A field under its key. `changed` carries the key and what was answered.

    `follow` shows remarks, another line and an answer that was changed from elsewhere.
    """

    changed = Signal(str, object)

    def __init__(self, asked: Field) -> None:
        super().__init__()
        self.key = asked.key
        self._problem = Problem()
        self._advice = WrappedText("", Type.LABEL, colour="ink")
        self._about = WrappedText(asked.about, Type.LABEL, colour="quiet")
        self._room = KeptRoom(self._problem, self._advice)
        self._least: tuple[tuple[object, ...], QSize] = ((), QSize())
        show_when(self._advice, False)
        show_when(self._about, False)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(0)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def stand_apart(self, pixels: int) -> None:
        """Keep so much room above, which is gone when the field is."""
        self._column.setContentsMargins(0, pixels, 0, 0)

    def _settle(self, *controls: QWidget) -> None:
        """Put the controls in, with remarks and source below them."""
        for control in controls:
            self._column.addWidget(control)
        for words in (self._problem, self._advice, self._about):
            if words.parentWidget() is None:
                self._column.addWidget(words)
        self._column.insertWidget(self._column.indexOf(self._about), self._room)
        # In a row of fields all begin at the top.
        self._column.addStretch(1)

    def keep_room_for(self, remark: str) -> None:
        """Keep the room of a remark that comes up while the answer is typed; none for none."""
        if remark:
            expected = Problem(remark)
            expected.setParent(self)
            expected.hide()
            self._room.reserve(expected)

    def say(self, faults: Sequence[str], advice: Sequence[str]) -> None:
        """Show what speaks against the answer, and what is advised."""
        spoken = " ".join(faults)
        noted = phrase("Note: {advice}", advice=" ".join(advice)) if advice else ""
        with self._room.steady():
            if spoken != self._problem.text():
                self._problem.set_text(spoken)
                tell_wrong(self._told_by(), spoken)
            if noted != self._advice.text():
                self._advice.set_text(noted)
                show_when(self._advice, bool(noted))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self._room.let_go(event.size().width())

    def remarks_shown(self) -> tuple[str, str]:
        """The fault and the advice in sight."""
        return self._problem.text(), self._advice.text()

    def show_source(self, wanted: bool) -> None:
        """Show where the field's default is from, or put it away."""
        show_when(self._about, wanted and bool(self._about.text()))

    def source(self) -> str:
        return self._about.text()

    def answer(self) -> Answer:
        """What is answered now."""
        raise AssertionError("every field reads its own control")

    def show_answer(self, answer: Answer) -> None:
        """Show an answer; `changed` is not emitted."""
        raise AssertionError("every field fills its own control")

    def set_line(self, line: str) -> None:
        """Show another explaining line, where the field has one."""

    def follow(self, answer: Answer) -> None:
        """Show an answer when it is another than the one in sight."""
        if self.answer() != answer:
            self.show_answer(answer)

    def least_width(self) -> int:
        """The least width at 100 %, for fields whose control would take any."""
        return 0

    def minimumSizeHint(self) -> QSize:
        # A row of fields asks for it many times over while it is laid out.
        remarks = (*self.remarks_shown(), self._room.height())
        state = (current().text_percent, *remarks, self._about.isHidden())
        if self._least[0] != state:
            size = super().minimumSizeHint()
            wide = max(size.width(), current().scaled(self.least_width()))
            # How high it is follows from its width, which is not the least one.
            self._least = (state, QSize(wide, 0))
        return self._least[1]

    def is_there(self) -> bool:
        """Whether the field can be reached now."""
        return not self.isHidden()

    def _answered(self, *_given: object) -> None:
        self.changed.emit(self.key, self.answer())

    def _told_by(self) -> QWidget:
        """What a screen reader is on while this is answered."""
        asked = getattr(self, "field", None)
        if isinstance(asked, ChoiceList | TickList):
            return asked
        proxy = self.focusProxy()
        return self if proxy is None else proxy.focusProxy() or proxy


class NumberBox(FieldBox):
    """A number with its unit and what it may be; the number is handed on even out of range."""

    def __init__(self, asked: Field) -> None:
        super().__init__(asked)
        self.field = NumberField(
            asked.label,
            unit=asked.unit,
            low=_SMALLEST,
            high=10 * asked.most + 9,
            decimals=asked.decimals,
            range_sentence=phrase("Write a number in digits."),
            hint=asked.range_words,
        )
        self._settle(self.field)
        self.setFocusProxy(self.field)
        self.field.changed.connect(self._answered)
        _describe(self.field, asked)

    def answer(self) -> Answer:
        return self.field.value()

    def show_answer(self, answer: Answer) -> None:
        number = answer if isinstance(answer, int | float) else None
        self.field.set_value(number)
        editor = self.field.focusProxy()
        if number is not None and isinstance(editor, QLineEdit):
            editor.setText(in_figures(number))  # 50 and not 50.0


class TextBox(FieldBox):
    """A line of words, or several."""

    def __init__(self, asked: Field) -> None:
        super().__init__(asked)
        label, most, hint = asked.label, round(asked.most), asked.range_words
        # One letter more than may be, so that too much is said and not silently cut off.
        self.field: TextField | NoteField = (
            NoteField(label, lines=2, most_characters=most, hint=hint)
            if asked.kind == "note"
            else TextField(label, most_characters=most + 1, hint=hint)
        )
        self._settle(self.field)
        self.setFocusProxy(self.field)
        self.field.changed.connect(self._answered)
        _describe(self.field, asked)

    def answer(self) -> Answer:
        return self.field.text() or None

    def show_answer(self, answer: Answer) -> None:
        self.field.set_text("" if answer is None else str(answer))
        editor = self.field.focusProxy()
        if isinstance(editor, QLineEdit):
            editor.setCursorPosition(0)  # what does not fit is its end

    def least_width(self) -> int:
        return _TEXT_WIDTH


class DayBox(FieldBox):
    """A day, typed as `24 12 2026`, `2026-12-24`, `today`, or `6w` for in six weeks.

    The day is shown below in words. What cannot be read is handed on as it was typed.
    """

    def __init__(self, asked: Field, today: date) -> None:
        super().__init__(asked)
        self._today, self._hint = today, asked.range_words
        self.field = TextField(asked.label, most_characters=24)
        self._understood = WrappedText("", Type.LABEL, colour="quiet")
        self._settle(self.field, self._understood)
        self.setFocusProxy(self.field)
        self.field.changed.connect(self._typed)
        _describe(self.field, asked)
        self._show_understood()

    def _typed(self, _text: str) -> None:
        self._show_understood()
        self._answered()

    def _show_understood(self) -> None:
        answer = self.answer()
        words = self._hint if answer is None else ""
        if isinstance(answer, date):
            words = phrase("{weekday} {day}", weekday=weekday(answer), day=dated(answer))
        self._understood.set_text(words)

    def answer(self) -> Answer:
        text = self.field.text()
        return (typed_day(text, self._today) or text) if text else None

    def show_answer(self, answer: Answer) -> None:
        shown = "" if answer is None else str(answer)
        if isinstance(answer, date):
            shown = f"{answer.day} {answer.month} {answer.year}"
        self.field.set_text(shown)
        self._show_understood()

    def least_width(self) -> int:
        return _TEXT_WIDTH


class ChooseBox(FieldBox):
    """One answer of several, side by side while they fit."""

    def __init__(self, asked: Field) -> None:
        super().__init__(asked)
        choices = _choices(asked)
        self.field = ChoiceList(asked.label, choices, columns=min(len(choices), 4))
        self._settle(WrappedText(asked.label, Type.LABEL_STRONG), self.field)
        self.setFocusProxy(self.field.rows[0])
        self.field.chosen.connect(self._answered)
        self.field.setAccessibleDescription(asked.about)

    def answer(self) -> Answer:
        return self.field.value()  # type: ignore[return-value]  # the choices' own values

    def show_answer(self, answer: Answer) -> None:
        self.field.set_value(answer)


class SeveralBox(FieldBox):
    """Any number of answers; they are handed on as their values with spaces between. Of what leaves
    nothing to choose it stays empty, for it is not shown."""

    def __init__(self, asked: Field) -> None:
        super().__init__(asked)
        self.field = TickList(asked.label, _choices(asked), columns=3)
        self._settle(WrappedText(asked.label, Type.LABEL_STRONG), self.field)
        if self.field.rows:
            self.setFocusProxy(self.field.rows[0])
        self.field.changed.connect(self._answered)

    def answer(self) -> Answer:
        return " ".join(str(value) for value in self.field.values()) or None

    def show_answer(self, answer: Answer) -> None:
        self.field.set_values(str(answer).split() if answer else ())


class TickBox(FieldBox):
    """One thing that is so or not."""

    def __init__(self, asked: Field) -> None:
        super().__init__(asked)
        self.field = TickRow(asked.label, asked.line, value=asked.key)
        self._settle(self.field)
        self.setFocusProxy(self.field)
        self.field.clicked.connect(self._answered)
        self.field.setAccessibleDescription(asked.about)

    def answer(self) -> Answer:
        return self.field.isChecked()

    def show_answer(self, answer: Answer) -> None:
        self.field.setChecked(answer is True)


class YesNoBox(FieldBox):
    """A question answered by Y or N; nothing is answered beforehand.

    Y and N stand for the options: yes and no themselves, or one by one and none of a list whose
    name is the label. `answered_by_key` asks for the next question. Delete takes the answer
    away.
    """

    answered_by_key = Signal(object)

    def __init__(self, asked: Field) -> None:
        super().__init__(asked)
        named = _choices(asked)
        self._words = WrappedText(asked.label, Type.LABEL_STRONG if named else Type.BODY)
        self._line = WrappedText(asked.line, Type.LABEL, colour="quiet")
        self._choices = named or [Choice(True, phrase("Yes")), Choice(False, phrase("No"))]
        self.field = ChoiceList(asked.label, self._choices, columns=2)
        texts = (self._words, self._line, self._problem, self._advice)
        self._settle(_Beside(texts, self.field))
        self.setFocusProxy(self.field.rows[0])
        self.field.chosen.connect(self._answered)
        self.field.setAccessibleDescription(asked.about)

    def set_line(self, line: str) -> None:
        if line != self._line.text():
            self._line.set_text(line)

    def answer(self) -> Answer:
        return self.field.value()  # type: ignore[return-value]  # True, False or None

    def show_answer(self, answer: Answer) -> None:
        self.field.set_value(answer)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        typed = event.text().lower()
        if event.modifiers() & ~Qt.KeyboardModifier.ShiftModifier or event.isAutoRepeat():
            super().keyPressEvent(event)
        elif typed in (phrase("y"), phrase("n")):
            if not presses().counts(event.key(), key=event.key()):
                return
            chosen = self._choices[0 if typed == phrase("y") else 1]
            self.field.set_value(chosen.value)
            self._answered()
            announce(self, chosen.word)
            self.answered_by_key.emit(self)
        elif event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.field.clear()
            self._answered()
        else:
            super().keyPressEvent(event)


class _Beside(Placed):
    """Texts at the left, a list of choices at the right; stacked when it is narrow."""

    def __init__(self, texts: Sequence[WrappedText], control: ChoiceList) -> None:
        super().__init__(*texts, control)
        self._texts, self._control = tuple(texts), control

    def least_width(self) -> int:
        return self._control.minimumSizeHint().width()

    def place(self, width: int, *, move: bool) -> int:
        rows = self._control.rows
        right = len(rows) * max(row.comfortable_width() for row in rows)
        stacked = 3 * width < 5 * right
        texts = [words for words in self._texts if words.text()]
        high = stack(texts, 0, width if stacked else width - right - 2 * GRID, move=move)
        side = self._control.heightForWidth(width if stacked else right)
        if move and stacked:
            self._control.setGeometry(0, high, width, side)
        elif move:
            self._control.setGeometry(width - right, 0, right, side)
        return high + side if stacked else max(high, side)


class FieldRow(Tiles):
    """Fields side by side in equal columns, fewer when they would not fit."""

    def __init__(self, fields: Sequence[FieldBox]) -> None:
        super().__init__(tuple(range(min(len(fields), 4), 0, -1)), gap=2 * GRID)
        for field in fields:
            self.add(field)


def _describe(field: QWidget, asked: Field) -> None:
    """What a screen reader says after the label: range and source, without a key."""
    editor = field.focusProxy()
    if editor is not None:
        editor.setAccessibleDescription(in_sentences(asked.range_words, asked.about))


def _choices(asked: Field) -> list[Choice]:
    return [Choice(option.value, option.word, option.line) for option in asked.options]


_BOXES: dict[FieldKind, type[FieldBox]] = {
    "number": NumberBox,
    "text": TextBox,
    "note": TextBox,
    "choose": ChooseBox,
    "several": SeveralBox,
    "tick": TickBox,
    "yes_no": YesNoBox,
    "none_of": YesNoBox,
}


def box_of(asked: Field, today: date) -> FieldBox:
    """The box for a field; a day is read as from `today`."""
    return DayBox(asked, today) if asked.kind == "day" else _BOXES[asked.kind](asked)
