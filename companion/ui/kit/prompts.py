"""Questions asked in between, each on a sheet that looks like a page.

Whoever asks hands in what to do with the answer and goes on: no dialog stops the program.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QObject

from companion.ui.kit.buttons import ActionRow
from companion.ui.kit.page import Page
from companion.ui.kit.text import Paragraph
from companion.ui.kit.window import PageWindow

Answered = Callable[[object | None], None]


@dataclass(frozen=True, slots=True)
class PromptChoice:
    """An answer: what is handed on, the word shown, an explaining line.

    `main=True` makes it the sheet's main button; at most one may be. Leave it out where the
    answer does harm when given by a slip of the hand: Enter then answers nothing.
    """

    value: object
    word: str
    line: str = ""
    main: bool = False


class SheetPrompts(QObject):
    """Questions as sheets over the window's page. One at a time; others wait their turn."""

    def __init__(self, window: PageWindow) -> None:
        super().__init__(window)
        self._window = window
        self._waiting: deque[_Question] = deque()
        self._asking: _Question | None = None

    def ask(
        self, title: str, text: str, choices: Sequence[PromptChoice], answered: Answered
    ) -> None:
        """Put the question on a sheet; `answered` gets the value, or None for going back.

        Raises ValueError without choices.
        """
        if not choices:
            raise ValueError("a question needs an answer to choose")
        if sum(choice.main for choice in choices) > 1:
            raise ValueError("a sheet has one main button")
        self._waiting.append(_Question(title, text, tuple(choices), answered))
        self._next()

    def _next(self) -> None:
        if self._asking is not None or not self._waiting:
            return
        question = self._waiting.popleft()
        self._asking = question
        sheet = Page(question.title, stop=False, help_offered=False)
        sheet.back_wanted.connect(self._went_back)
        for paragraph in question.text.split("\n\n"):
            sheet.add(Paragraph(paragraph))
        sheet.column.add_space(16)
        self._buttons: list[tuple[object, object]] = []
        for choice in question.choices:
            if choice.main:
                button = sheet.main_button(choice.word)
                if choice.line:
                    button.setAccessibleDescription(choice.line)
                button.clicked.connect(self._pressed)
                self._buttons.append((button, choice.value))
            else:
                row = sheet.add(ActionRow(choice.word, choice.line), 6)
                row.clicked.connect(self._pressed)
                self._buttons.append((row, choice.value))
        self._window.show_sheet(sheet)

    def _pressed(self) -> None:
        pressed = self.sender()
        for button, value in self._buttons:
            if button is pressed:
                self._finish(value)
                return

    def _went_back(self) -> None:
        self._finish(None)

    def _finish(self, value: object | None) -> None:
        question, self._asking = self._asking, None
        self._buttons = []
        self._window.drop_sheet()
        if question is not None:
            question.answered(value)
        self._next()


@dataclass(frozen=True, slots=True)
class _Question:
    title: str
    text: str
    choices: tuple[PromptChoice, ...]
    answered: Answered
