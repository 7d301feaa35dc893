"""A shaking hand at every page of the walks: held keys, double presses, Enter again and again.

Nothing may be answered and no page may go by that way. The pages are those of the tour; each is
mashed before it is answered as it is meant.
"""

from __future__ import annotations

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from companion.ui.kit.asking import AskingPage
from companion.ui.kit.page import Page
from companion.ui.kit.presses import Presses, presses, use_presses
from companion.ui.kit.window import PageWindow
from tests.tour_scenes import SCENES, Stage
from tests.tour_visit import DemoPerson, settle

MASHED = ("routine", "stop_list", "cards", "tape", "day", "outing", "chair")
KEYS = (Qt.Key.Key_Return, Qt.Key.Key_Space, Qt.Key.Key_0, Qt.Key.Key_1)


class Masher:
    """Mashes each page it is shown, and notes what that did."""

    def __init__(self, window: PageWindow) -> None:
        self._window = window
        self.pages = 0
        self.faults: list[str] = []

    def look(self, name: str, page: Page) -> None:
        """Mash the page that has just come up; it is then to be answered as it was."""
        if not isinstance(page, AskingPage):
            return
        settle()
        self.pages += 1
        now = [100.0]
        use_presses(Presses(0.5, lambda: now[0]))
        presses().page_is_seen()
        begun = page.is_begun()
        given: list[object] = []
        page.given.connect(given.append)
        page.take_focus()
        for key in KEYS:
            # Held since the page before, and told as presses of their own, as some screens do.
            presses().page_comes()
            presses().page_is_seen()
            for _ in range(40):
                now[0] += 0.033
                self._press(page, key)
        if page.main is not None:
            presses().page_comes()
            presses().page_is_seen()
            now[0] += 0.15
            QTest.mouseDClick(page.main, Qt.MouseButton.LeftButton)
        self._judge(name, page, given, begun, "held")
        if page._needs and not begun:
            for _ in range(4):
                now[0] += 2
                self._press(page, Qt.Key.Key_Return)
            self._judge(name, page, given, begun, "pressed four times")
        page.given.disconnect(given.append)
        use_presses(Presses(0))

    def _press(self, page: Page, key: Qt.Key) -> None:
        focus = QApplication.focusWidget()
        target = focus if focus is not None and page.isAncestorOf(focus) else page
        event = QKeyEvent(QEvent.Type.KeyPress, key, Qt.KeyboardModifier.NoModifier)
        QApplication.sendEvent(target, event)
        release = QKeyEvent(QEvent.Type.KeyRelease, key, Qt.KeyboardModifier.NoModifier)
        QApplication.sendEvent(target, release)

    def _judge(
        self, name: str, page: AskingPage, given: list[object], begun: bool, how: str
    ) -> None:
        shown = self._window.sheet() or self._window.page()
        if shown is not page or given:
            self.faults.append(f"{name}: went on when {how}")
        elif page.is_begun() != begun:
            self.faults.append(f"{name}: was answered when {how}")


@pytest.mark.parametrize("scene", [name for name in SCENES if name in MASHED])
def test_mashing_answers_nothing_and_passes_no_page(
    scene: str, window: PageWindow, demo_person: object
) -> None:
    assert callable(demo_person)
    person = demo_person("edda")
    assert isinstance(person, DemoPerson)
    masher = Masher(window)
    SCENES[scene](Stage(person, window, masher.look))
    assert masher.pages
    assert masher.faults == []
