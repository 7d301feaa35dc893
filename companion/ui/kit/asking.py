"""A page drawn from its `PageView`: the one way by which questions reach the screen."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from companion.presentation import page_view as view
from companion.presentation.phrases import phrase
from companion.ui.kit.controls import (
    ActionRow,
    Bullets,
    Card,
    Choice,
    ChoiceList,
    Doors,
    HoldTimer,
    NoteField,
    Notice,
    NumberField,
    PainScale,
    Paragraph,
    Phone,
    Problem,
    QuietButton,
    Steps,
    SubHeading,
    TextField,
    TickList,
)
from companion.ui.kit.facts import FactList
from companion.ui.kit.page import Page
from companion.ui.kit.theme import GRID, Type

_Read = Callable[[], Any]


class AskingPage(Page):
    """Shows a `PageView` and emits `given` with what was answered, by the name of each block.

    A needed block that is empty keeps the page, with one plain sentence beside it.
    """

    given = Signal(object)

    def __init__(
        self, shown: view.PageView, *, help_offered: bool = False, parent: QWidget | None = None
    ) -> None:
        super().__init__(
            shown.heading,
            above=shown.above,
            plan_mark=shown.mark,
            back=shown.back,
            stop=shown.stop,
            help_offered=help_offered,
            enter_presses_main=shown.enter_answers,
            parent=parent,
        )
        self.view = shown
        if shown.far:
            self.heading.set_kind(Type.COUNT)
        self._reads: dict[str, _Read] = {}
        self._needs: list[tuple[_Read, Callable[[], bool], Problem, QWidget]] = []
        self._fields: list[NumberField] = []
        self._buttons: dict[QWidget, view.Button] = {}
        for block in shown.blocks:
            self._add(block)
        for number, other in enumerate(shown.others):
            button = self.add(QuietButton(other.text), 4 * GRID if number == 0 else 0)
            button.clicked.connect(self._pressed)
            self._buttons[button] = other
        if shown.main is not None:
            main = self.main_button(shown.main.text)
            main.clicked.connect(self._pressed)
            self._buttons[main] = shown.main

    def keyPressEvent(self, event: QKeyEvent) -> None:
        far = self.view.far and self.main is not None and not event.isAutoRepeat()
        if far and event.key() == Qt.Key.Key_Space and self.main is not None:
            self.main.click()
        else:
            super().keyPressEvent(event)

    def answer_now(self, button: view.Button) -> None:
        """Answer as if `button` had been pressed."""
        if button.asks and not self._complete():
            return
        given = {name: read() for name, read in self._reads.items()}
        self.given.emit(given | dict(button.given))

    def _pressed(self) -> None:
        pressed = self.sender()
        if isinstance(pressed, QWidget) and pressed in self._buttons:
            self.answer_now(self._buttons[pressed])

    def _complete(self) -> bool:
        first: QWidget | None = None
        for _read, answered, problem, control in self._needs:
            missing = not answered()
            problem.set_text(phrase("Choose an answer first.") if missing else "")
            if missing and first is None:
                first = control
        for field in self._fields:
            if field.problem() and first is None:
                field.show_problem(field.problem())
                first = field
        if first is not None:
            first.setFocus()
        return first is None

    def _need(
        self, control: QWidget, read: _Read, answered: Callable[[], bool] | None = None
    ) -> None:
        problem = self.add(Problem(), 0)
        self._needs.append((read, answered or (lambda: read() is not None), problem, control))

    def _add(self, block: view.Block) -> None:  # noqa: PLR0912 - one branch a kind of block
        match block:
            case view.Text(text, weight):
                words = self.add(
                    Paragraph(text, quiet=weight == "quiet", strong=weight == "strong")
                )
                if self.view.far and weight != "quiet":
                    words.set_kind(Type.FAR)
            case view.Heading(text):
                heading = self.add(SubHeading(text), 4 * GRID)
                if self.view.far:
                    heading.set_kind(Type.HEADING)
            case view.Numbered(items, start):
                self.add(Steps(items, start))
            case view.Bulleted(items):
                self.add(Bullets(items))
            case view.Framed(text, heading):
                self.add(Notice(text, heading=heading))
            case view.Facts(rows):
                self.add(FactList(rows))
            case view.CardBlock():
                self.add(card(block))
            case view.Phones(heading, lines):
                self.add(Card("care", heading, (), _phones(lines), level_word=""))
            case view.Choose():
                self._add_choose(block)
            case view.Ways():
                self._add_ways(block)
            case view.Tick(name, question, options):
                self.add(Paragraph(question, strong=True))
                ticks = self.add(
                    TickList(question, _choices(options), columns=_columns(options)), 0
                )
                self._reads[name] = lambda: [str(value) for value in ticks.values()]
            case view.Scale():
                self._add_scale(block)
            case view.Number(name, question, unit, least, most, decimals, needed):
                number = self.add(
                    NumberField(question, unit=unit, low=least, high=most, decimals=decimals),
                    3 * GRID,
                )
                self._reads[name] = number.value
                self._fields.append(number)
                if needed:
                    self._need(number, number.value)
            case view.Write(name, question, most, lines):
                field = (
                    TextField(question, most_characters=most)
                    if lines == "one"
                    else NoteField(question, most_characters=most)
                )
                self.add(field, 3 * GRID)
                self._reads[name] = lambda: _typed(field.text())
            case view.Timer(name, seconds):
                hold = self.add(HoldTimer(seconds), 3 * GRID)
                self._reads[name] = lambda: hold.seconds_held() or None

    def _add_ways(self, block: view.Ways) -> None:
        doors = self.add(Doors(), 3 * GRID)
        for option in block.options:
            row = doors.add(ActionRow(option.word, option.line))
            row.clicked.connect(self._pressed)
            self._buttons[row] = view.Button("", ((block.name, option.value),), asks=False)

    def _add_choose(self, block: view.Choose) -> None:
        self.add(Paragraph(block.question, strong=True))
        rows = self.add(
            ChoiceList(block.question, _choices(block.options), columns=_columns(block.options)), 0
        )
        # An empty value is the answer "I can't say": chosen, and absent in the record.
        self._reads[block.name] = lambda: rows.value() if rows.value() != "" else None
        if block.needed:
            self._need(rows.rows[0], rows.value)

    def _add_scale(self, block: view.Scale) -> None:
        self.add(Paragraph(block.question, strong=True))
        scale = self.add(
            PainScale(block.question, low=block.low, high=block.high, cant_say=block.cannot_say),
            GRID,
        )
        self._reads[block.name] = scale.value
        if block.needed:
            self._need(
                scale.boxes[0],
                scale.value,
                lambda: scale.value() is not None or scale.cannot_say(),
            )


def card(block: view.CardBlock) -> Card:
    """A card as it stands on every page that shows it."""
    return Card(block.level, block.heading, block.actions, _phones(block.phones))


def _phones(lines: tuple[view.PhoneLine, ...]) -> list[Phone]:
    none = phrase("no number is written here")
    return [Phone(line.who, line.number or none, line.when) for line in lines]


_SHORT = 24


def _columns(options: tuple[view.Option, ...]) -> int:
    """Short answers stand side by side while they fit."""
    return 2 if all(len(o.word) <= _SHORT and not o.line for o in options) else 1


def _choices(options: tuple[view.Option, ...]) -> list[Choice]:
    return [Choice(option.value, option.word, option.line) for option in options]


def _typed(text: str) -> str | None:
    """What a person typed, without control characters; None when nothing was."""
    return "".join(c for c in text if c.isprintable() or c == "\n").strip() or None
