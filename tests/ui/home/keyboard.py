"""Somebody at Home's window who has a keyboard and nothing else, and sees what is on the screen.

Every answer is a key pressed in the window. A page that goes on below is read with Page Down: up to
each question, and to its end before it is left by its main button. After each key, whatever has the
focus must be in sight. Only what the screen shows is used: figures answer a scale and choose a
row, for boxes and rows bear them; ticks are set with Tab and Space. Each page is checked when it is
met, in the light or the dark theme in turn.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from PySide6.QtCore import Qt
from PySide6.QtGui import QWindow
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QPlainTextEdit, QWidget
from shiboken6 import isValid

from companion.presentation.view import page as view
from companion.ui.home.front_page import FrontPage
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.buttons import Pressable
from companion.ui.kit.controls import (
    MOST_FIGURES,
    ChoiceList,
    NoteField,
    NumberField,
    PainScale,
    TextField,
    TickList,
)
from companion.ui.kit.page import Page
from companion.ui.kit.step_clock import StepClock
from companion.ui.kit.theme import DARK, LIGHT, Theme, apply
from tests.tour_visit import STEADY, Answers, settle, way_on
from tests.ui.home.bad_days import BadDay
from tests.ui.kit import accessibility, clipping

PERCENT = 200
MOST_TABS = 60
MOST_PAGES = 120
Wanted = Callable[[QWidget], bool]


@dataclass
class Count:
    """What a task took: pages, and keys of which some were only to read on or to type words."""

    pages: int = 0
    keys: int = 0
    reading: int = 0
    typing: int = 0


@dataclass
class Keyboard:
    """The keys, what they were pressed on, and what was wrong on the way."""

    visit: BadDay
    app: QApplication
    count: Count = field(default_factory=Count)
    faults: list[str] = field(default_factory=list)
    met: list[str] = field(default_factory=list)
    scores: Iterator[int] = field(default_factory=lambda: iter(()))
    _on: Page | None = None
    _under: Page | None = None
    _dark: bool = False

    # ------------------------------------------------------------ keys

    def press(self, key: Qt.Key) -> None:
        """Press one key in the window that has the focus."""
        QTest.keyClick(self._window(), key)
        self.count.keys += 1
        self._look()

    def write(self, words: str) -> None:
        """Type words where the focus is."""
        focus = self._focus()
        assert isinstance(focus, QLineEdit | QPlainTextEdit), f"{self.key}: nothing to write in"
        QTest.keyClicks(focus, words)
        self.count.keys += len(words)
        self.count.typing += len(words)

    def _window(self) -> QWindow:
        handle = self.visit.window.windowHandle()
        assert handle is not None
        return handle

    def _focus(self) -> QWidget:
        focus = QApplication.focusWidget()
        assert focus is not None, f"{self.key}: nothing has the focus"
        return focus

    @property
    def page(self) -> Page:
        """The page in sight: the sheet, where one lies over the page."""
        return self.visit.window.sheet() or self.visit.page

    @property
    def key(self) -> str:
        """What the page calls itself."""
        page = self.page
        return page.view.key if isinstance(page, AskingPage) else type(page).__name__

    # ------------------------------------------------------------ what is seen

    def _look(self) -> None:
        QApplication.processEvents()
        if self.page is not self._on:
            settle()
        if self.page is self._under:  # a sheet over it was put away
            self._on, self._under = self._under, None
        elif self.page is not self._on:
            self._under = self._on if self.visit.window.sheet() is not None else None
            self._meet()
        focus = self._focus()
        if not self.page.isAncestorOf(focus):
            self._fault(f"the focus is on {_name(focus)}, which is not on the page")
        elif not in_sight(focus) and focus is not self.page.heading:
            self._fault(f"the focus is out of sight, on {_name(focus)}")

    def _meet(self) -> None:
        """Look at a page that was not there before, and read it to its end."""
        page = self._on = self.page
        self.met.append(self.key)
        self.count.pages += 1
        self._dark = not self._dark
        apply(self.app, Theme(DARK if self._dark else LIGHT, PERCENT))
        settle()
        for fault in (
            *accessibility.faults(page),
            *clipping.faults(page),
            *clipping.overlaps(page),
        ):
            self._fault(fault)
        if self._focus() is not page.heading:
            self._fault(f"it begins at {_name(self._focus())}")
        if page.scroll_bar().value() > 0:
            self._fault("it begins scrolled down")

    def read_to(self, widget: QWidget | None) -> None:
        """Read on until the widget is seen whole, None: until the end of the page."""
        page, bar = self.page, self.page.scroll_bar()
        while bar.value() < bar.maximum() and (widget is None or not _is_read(page, widget)):
            before = bar.value()
            QTest.keyClick(self._window(), Qt.Key.Key_PageDown)
            self.count.keys += 1
            self.count.reading += 1
            if bar.value() == before:
                self._fault(f"Page Down does not read on from {_name(self._focus())}")
                break
        self._look()

    def _fault(self, words: str) -> None:
        self.faults.append(f"{self.key}: {words}")

    # ------------------------------------------------------------ going about

    def begin(self) -> Keyboard:
        """Sit down before the page that is shown."""
        settle()
        self._meet()
        return self

    def tab_to(self, wanted: Wanted, what: str) -> None:
        """Press Tab until the focus is where it is wanted."""
        for _ in range(MOST_TABS):
            if wanted(self._focus()):
                return
            self.press(Qt.Key.Key_Tab)
        raise AssertionError(f"{self.key}: Tab does not reach {what}")

    def press_button(self, words: str) -> None:
        """Go to the button with these words, and press Space."""
        for button in self.page.findChildren(Pressable):
            if button.word == words and self.page.column.isAncestorOf(button):
                self.read_to(button)
        self.tab_to(lambda focus: isinstance(focus, Pressable) and focus.word == words, words)
        self.press(Qt.Key.Key_Space)

    def through(self, door: str) -> None:
        """Go through a door of the front page."""
        front = self.page
        assert isinstance(front, FrontPage), f"{self.key} is not the front page"
        self._lead(front.doors[door], door)

    def line(self, words: str) -> None:
        """Through the line of the front page that begins so."""
        front = self.page
        assert isinstance(front, FrontPage), f"{self.key} is not the front page"
        self._lead(next(row for row in front.rows if row.text().startswith(words)), words)

    def _lead(self, button: QWidget, name: str) -> None:
        self.read_to(button)
        self.tab_to(lambda focus: focus is button, name)
        self.press(Qt.Key.Key_Return)

    def back(self) -> None:
        """One page back."""
        self.press(Qt.Key.Key_Escape)

    def ask_for_help(self) -> None:
        """Read whom to call, and come back to the page as it was."""
        focus = self._focus()
        self.press(Qt.Key.Key_F1)
        assert self.visit.window.sheet() is not None
        self.press(Qt.Key.Key_Escape)
        if self._focus() is not focus:
            self._fault(f"after Help the focus is on {_name(self._focus())}")

    def answer(self, submitted: Answers | None = None, press: str = "") -> None:
        """Answer the page, and press its main button or the one whose words are `press`."""
        page = self.page
        assert isinstance(page, AskingPage), f"{self.key} asks nothing"
        self._fill_in(page, submitted or {})
        press = press or way_on(page.view, submitted or {})
        if press:
            self.press_button(press)
        else:
            while page.shows_next_moment():
                self._main(page)
            self._main(page)
        if isValid(page) and self.page is page:
            raise AssertionError(f"{self.key} did not take its answer")

    def _main(self, page: AskingPage) -> None:
        main = page.main
        assert main is not None, f"{self.key} has no main button"
        self.read_to(None)
        if page.findChild(StepClock) is not None:
            self.press(Qt.Key.Key_Return)
            self.visit.count_out()
        focus = self._focus()
        writes_lines = isinstance(focus, QPlainTextEdit)
        presses_itself = isinstance(focus, Pressable) and focus.presses_on_enter
        if page.view.enter_answers and not writes_lines and not presses_itself:
            self.press(Qt.Key.Key_Return)
            return
        self.tab_to(lambda focus: focus is main, main.word)
        self.press(Qt.Key.Key_Space)

    def _fill_in(self, page: AskingPage, submitted: Answers) -> None:
        column = page.column
        choices = iter(column.findChildren(ChoiceList))
        ticks = iter(column.findChildren(TickList))
        scales = iter(column.findChildren(PainScale))
        numbers = iter(column.findChildren(NumberField))
        lines = iter(column.findChildren(TextField))
        notes = iter(column.findChildren(NoteField))
        alone = len(column.findChildren(ChoiceList)) + len(column.findChildren(PainScale)) == 1
        for block in page.view.blocks:
            match block:
                case view.Choose():
                    self._choose(next(choices), block, submitted, alone=alone)
                case view.Tick(name) | view.KneeTick(name) | view.LevelTick(name):
                    self._tick(next(ticks), submitted.get(name, STEADY.get(name, ())))
                case view.Scale():
                    self._score(next(scales), block, submitted, alone=alone)
                case view.Number(name):
                    number = next(numbers)
                    value = submitted.get(name, STEADY.get(name))
                    if value is not None:
                        self._write_in(number, f"{value:g}")
                case view.Write(name, _, _, kind):
                    text = next(lines) if kind == "one" else next(notes)
                    if name in submitted:
                        self._write_in(text, submitted[name])
                case _:
                    pass

    def _choose(
        self, rows: ChoiceList, asked: view.Choose, submitted: Answers, *, alone: bool
    ) -> None:
        name = asked.name
        offered = [option.value for option in asked.options]
        chosen = submitted.get(name, STEADY.get(name, offered[0]))
        if chosen is None or not (name in submitted or name in STEADY or asked.needed):
            return
        number = offered.index(chosen if chosen in offered else offered[0]) + 1
        self.read_to(rows)
        writes = isinstance(self._focus(), QLineEdit | QPlainTextEdit)
        if writes or not alone or number > MOST_FIGURES:
            self.tab_to(rows.isAncestorOf, asked.question)
        if number <= MOST_FIGURES:
            self.press(Qt.Key(int(Qt.Key.Key_0) + number))  # as it stands in the ring of the row
            return
        step = Qt.Key.Key_Down if rows.columns_for(rows.width()) == 1 else Qt.Key.Key_Right
        while self._focus() is not rows.rows[number - 1]:
            self.press(step)
        self.press(Qt.Key.Key_Space)

    def _score(
        self, scale: PainScale, asked: view.Scale, submitted: Answers, *, alone: bool
    ) -> None:
        score = submitted.get(asked.name, STEADY.get(asked.name))
        if self.key.startswith("move:"):
            score = next(self.scores, score)
        self.read_to(scale)
        if score is not None:
            if not alone:
                self.tab_to(scale.isAncestorOf, asked.question)
            for figure in str(score):  # as it stands on the box
                self.press(Qt.Key(int(Qt.Key.Key_0) + int(figure)))
        elif asked.cannot_say:
            self.press_button(asked.cannot_say)

    def _tick(self, ticks: TickList, values: Sequence[object]) -> None:
        for value in (row.value for row in ticks.rows if row.value in values):
            row = next(row for row in ticks.rows if row.value == value)
            self.read_to(row)
            self.tab_to(lambda focus, row=row: focus is row, row.word)  # type: ignore[misc]
            self.press(Qt.Key.Key_Space)

    def _write_in(self, where: QWidget, words: str) -> None:
        self.read_to(where)
        self.tab_to(where.isAncestorOf, where.accessibleName() or "a field")
        self.write(words)

    def walk(
        self,
        until: Sequence[str] = (),
        *,
        submitted: Mapping[str, Answers] | None = None,
        scores: Sequence[int] = (),
    ) -> None:
        """Answer page after page until the front page, or a page of `until`, is shown."""
        if scores:
            self.scores = iter(scores)
        for _ in range(MOST_PAGES):
            if not isinstance(self.page, AskingPage) or self.key.startswith(tuple(until) or "\0"):
                return
            answers = submitted or {}
            called = max((n for n in answers if self.key.startswith(n)), key=len, default=None)
            chosen = {} if called is None else dict(answers[called])
            press = str(chosen.pop("press", ""))
            self.answer(chosen, press)
        raise AssertionError(f"the walk did not end; it stands at {self.key}")


def _is_read(page: Page, widget: QWidget) -> bool:
    """Whether the end of a widget has been scrolled up to."""
    end = widget.mapTo(page.column, widget.rect().bottomLeft()).y()
    bar = page.scroll_bar()
    return bool(end < bar.value() + bar.pageStep())


def in_sight(widget: QWidget) -> bool:
    """Whether the whole of it is seen, or as much of it as the screen can hold."""
    seen = widget.visibleRegion().boundingRect()
    return seen.height() >= min(widget.height(), 120) and seen.width() >= widget.width() - 1


def _name(widget: QWidget) -> str:
    words = widget.word if isinstance(widget, Pressable) else widget.accessibleName()
    return f"{type(widget).__name__} {words[:40]!r}"
