"""Quiet reminders while the window is open: a look at what is due, twice a minute.

The front page is shown anew when what it says has changed. Over any other page a reminder lies as
a sheet with two ways on, and it waits its turn: never over a hold, a card, the stop list or a page
with an answer half given.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from functools import partial

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QApplication, QLineEdit, QPlainTextEdit

from companion.care.history import instant
from companion.presentation.home.reminders import Reminder, again_at, reminders
from companion.presentation.language.phrases import phrase
from companion.presentation.view.page import (
    CardBlock,
    Counting,
    Moments,
    PageView,
    Picture,
    Timer,
    TwoColumns,
)
from companion.services.front import front
from companion.services.trouble import Trouble, known_troubles
from companion.ui.home.front_page import FrontPage
from companion.ui.home.home import Home
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.background import is_at_work
from companion.ui.kit.page import Page
from companion.ui.kit.prompts import PromptChoice, SheetPrompts
from companion.ui.kit.window import PageWindow

LOOK_EVERY_MS = 30_000
_GO, _LATER = "go", "later"


class Reminders(QObject):
    """Looks at what is due; `wanted` says whether the person wants to be reminded at all.

    `alert` draws the eye to the window, by default as the desktop does it; `rings` says whether
    the person wants a sound as well. What is not done comes again, see `again_at`.
    """

    def __init__(
        self,
        window: PageWindow,
        home: Home,
        wanted: Callable[[], bool],
        *,
        alert: Callable[[PageWindow], object] = QApplication.alert,
        rings: Callable[[], bool] = lambda: False,
    ) -> None:
        super().__init__(window)
        self._window = window
        self._home = home
        self._wanted = wanted
        self._prompts = SheetPrompts(window)
        self._alert = alert
        self._rings = rings
        self._told: dict[str, tuple[int, datetime]] = {}
        """How often each was shown, and when it comes again."""
        self._timer = QTimer(self)
        self._timer.setInterval(LOOK_EVERY_MS)
        self._timer.timeout.connect(self.look)
        self._timer.start()

    def stop(self) -> None:
        self._timer.stop()

    def look(self) -> None:
        """Look now, and remind of what has become due since."""
        if is_at_work():
            return
        try:
            with known_troubles():
                facts = front(self._home.context)
        except Trouble:
            return  # whoever saves or opens a page next is told
        if self._window.sheet() is not None:
            return
        page = self._window.page()
        due = [one for one in reminders(facts) if self._is_time(one, facts.now)]
        if isinstance(page, FrontPage):
            if self._home.view_of(facts) != page.view:
                self._show_front_anew(page)
            if due and self._wanted():
                self._call(due, facts.now)
            return
        if not self._wanted():
            return
        doing = self._home.walk_on_screen
        for one in due:
            if doing not in one.walks and may_interrupt(page):
                self._remind(one, facts.now)
                return

    def _show_front_anew(self, old: FrontPage) -> None:
        """The front page as things stand now, the focus on the door it was on."""
        focused = next((name for name, door in old.doors.items() if door.hasFocus()), None)
        self._home.show_front()
        new = self._window.page()
        if isinstance(new, FrontPage) and focused in new.doors:
            new.doors[focused].setFocus()

    def _is_time(self, one: Reminder, now: datetime) -> bool:
        """Whether it was not shown yet, or is to come again."""
        told = self._told.get(one.key)
        return told is None or instant(now) >= instant(told[1])

    def _call(self, due: Iterable[Reminder], now: datetime) -> None:
        """Draw the eye, and the ear where that is wanted, to what is due."""
        for one in due:
            times = self._told.get(one.key, (0, now))[0] + 1
            self._told[one.key] = (times, again_at(one, times, now))
        self._alert(self._window)
        if self._rings():
            QApplication.beep()

    def _remind(self, one: Reminder, now: datetime) -> None:
        self._call((one,), now)
        self._prompts.ask(
            one.sentence,
            phrase("The page you are on stays as it is."),
            (PromptChoice(_GO, one.go), PromptChoice(_LATER, phrase("Later"))),
            partial(self._answered, one),
        )

    def _answered(self, one: Reminder, answer: object | None) -> None:
        if answer == _GO:
            self._home.show_front()
            self._home.open(one.door)


def may_interrupt(page: Page | None) -> bool:
    """Whether a sheet may lie over this page: nothing runs on it and nothing is half answered."""
    if page is None or isinstance(QApplication.focusWidget(), QLineEdit | QPlainTextEdit):
        return False
    if isinstance(page, AskingPage):
        return _is_calm(page.view) and not page.is_begun()
    return page.asks_nothing


_AT_THE_KNEE = ("step:", "exercise:", "move:", "tape:", "removal")
"""How the keys of pages begin on which hands or legs are busy."""


def _is_calm(view: PageView) -> bool:
    # Cards, the stop list and what takes data away press nothing on Enter: they are not calm.
    busy = (TwoColumns, CardBlock, Picture, Moments, Timer, Counting)
    return (
        view.enter_answers
        and not view.far
        and not view.key.startswith(_AT_THE_KNEE)
        and not any(isinstance(block, busy) for block in view.blocks)
    )
