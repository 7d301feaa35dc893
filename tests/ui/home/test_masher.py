"""A shaking hand at every page of the walks: held keys, double presses, Enter again and again.

Nothing may be answered and no page may go by that way. The pages are those of the tour; each is
mashed before it is answered as it is meant.
"""

from __future__ import annotations

import random
from typing import Any, get_args

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from companion.services.walks import WalkName, WalkStep
from companion.ui.home.front_page import FrontPage
from companion.ui.home.walking import Walking
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.page import Page
from companion.ui.kit.presses import Presses, presses, use_presses
from companion.ui.kit.window import PageWindow
from tests.tour_scenes import SCENES, Stage
from tests.tour_visit import DemoPerson, settle

MASHED: dict[str, tuple[WalkName, ...]] = {
    "routine": ("routine",),
    "stop-list": (),
    "cards": ("clear",),
    "tape": ("tape_on", "tape_check", "tape_off", "skin"),
    "test-piece": ("patch", "patch_reading"),
    "day": ("day",),
    "put_right": ("correct",),
    "outing": ("outing", "outing_after", "outing_morning"),
    "stopping": ("stop",),
    "unsettled": (),
    "chair": ("chair",),
    "short": ("evening",),
}
"""The scenes of the tour that are mashed, and the walks each goes through."""
TWO_KNEED = ("short",)
"""The scenes played by whoever has two knees to look after."""
KEYS = (Qt.Key.Key_Return, Qt.Key.Key_Space, Qt.Key.Key_0, Qt.Key.Key_1)

REST = 0.5
EVERY, HELD = 0.033, 24
"""Seconds between repeats of a held key, and how many: longer than the rest together."""
assert EVERY * HELD > REST


class Masher:
    """Mashes each page it is shown, and notes what that did."""

    def __init__(self, window: PageWindow) -> None:
        self._window = window
        self._mashed: set[str] = set()
        self._chance = random.Random(1)
        self.pages = 0
        self.faults: list[str] = []

    def look(self, name: str, page: Page) -> None:
        """Mash the page that has just come up; it is then to be answered as it was."""
        if page.main is not None and page.main.acts_at_once:
            return  # taking tape off never waits, whatever was pressed before
        asking = page if isinstance(page, AskingPage) else None
        kind = asking.view.key.rstrip("0123456789") if asking else type(page).__name__
        if kind in self._mashed:
            return  # a step like the one before it
        self._mashed.add(kind)
        settle()
        self.pages += 1
        now = [100.0]
        use_presses(Presses(REST, lambda: now[0]))
        presses().page_is_seen()
        begun = asking is not None and asking.is_begun()
        submitted: list[object] = []
        if asking is not None:
            asking.submitted.connect(submitted.append)
        page.take_focus()
        for key in KEYS:
            # Held since the page before, and told as presses of their own, as some screens do.
            presses().page_comes()
            presses().page_is_seen()
            for _ in range(HELD):
                now[0] += EVERY
                self._press(page, key)
        doors = page.doors.values() if isinstance(page, FrontPage) else ()
        for button in (*doors, *([page.main] if page.main is not None else [])):
            presses().page_comes()
            presses().page_is_seen()
            now[0] += 0.15
            QTest.mouseDClick(button, Qt.MouseButton.LeftButton)
        self._judge(name, page, submitted, begun, "held")
        if asking is not None and asking._needs and not begun:
            for _ in range(4):
                now[0] += 2
                self._press(page, Qt.Key.Key_Return)
            self._judge(name, page, submitted, begun, "pressed four times")
        if asking is not None:
            asking.submitted.disconnect(submitted.append)
        use_presses(Presses(0))

    def _press(self, page: Page, key: Qt.Key) -> None:
        focus = QApplication.focusWidget()
        target = focus if focus is not None and page.isAncestorOf(focus) else page
        # Some screens say of a repeat that it is one, some do not, and some now and then.
        repeats = self._chance.random() < 0.3
        event = QKeyEvent(QEvent.Type.KeyPress, key, Qt.KeyboardModifier.NoModifier, "", repeats)
        QApplication.sendEvent(target, event)
        release = QKeyEvent(QEvent.Type.KeyRelease, key, Qt.KeyboardModifier.NoModifier)
        QApplication.sendEvent(target, release)

    def _judge(self, name: str, page: Page, submitted: list[object], begun: bool, how: str) -> None:
        shown = self._window.sheet() or self._window.page()
        if shown is not page or submitted:
            self.faults.append(f"{name}: went on when {how}")
        elif isinstance(page, AskingPage) and page.is_begun() != begun:
            self.faults.append(f"{name}: was answered when {how}")


def test_every_walk_is_mashed() -> None:
    assert {walk for walks in MASHED.values() for walk in walks} == set(get_args(WalkName))


@pytest.mark.parametrize("scene", MASHED)
def test_mashing_answers_nothing_and_passes_no_page(
    scene: str, window: PageWindow, demo_person: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    walks: set[str] = set()
    show = Walking._show

    def noted(self: Walking, outcome: Any) -> None:
        if isinstance(outcome, WalkStep):
            walks.add(outcome.state.walk)
        show(self, outcome)

    monkeypatch.setattr(Walking, "_show", noted)
    assert callable(demo_person)
    person = demo_person("wilma" if scene in TWO_KNEED else "edda")
    assert isinstance(person, DemoPerson)
    masher = Masher(window)
    SCENES[scene](Stage(person, window, masher.look))
    assert masher.pages
    assert masher.faults == []
    assert {*MASHED[scene]} <= walks
