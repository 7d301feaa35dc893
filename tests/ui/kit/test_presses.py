"""Which press counts: a page rests before the first one, a button after each."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from companion.ui.kit.controls import Choice, ChoiceList, PainScale
from companion.ui.kit.page import Page
from companion.ui.kit.presses import Presses, use_presses
from companion.ui.kit.window import PageWindow

Key = Qt.Key


class Clock:
    """Seconds, as they are set."""

    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    """A clock, by which presses rest half a second."""
    made = Clock()
    use_presses(Presses(0.5, made))
    return made


def _page(window: PageWindow, clock: Clock) -> tuple[Page, ChoiceList, list[bool]]:
    page = Page("How is the skin?")
    choices = page.add(ChoiceList("Skin", [Choice("a", "Clear"), Choice("b", "Pink")]))
    pressed: list[bool] = []
    page.main_button("Next").clicked.connect(lambda: pressed.append(True))
    window.show_page(page)
    QApplication.processEvents()
    return page, choices, pressed


def test_nothing_counts_before_the_page_was_seen_and_let_alone() -> None:
    clock = Clock()
    presses = Presses(0.5, clock)
    clock.now += 10
    assert not presses.counts("a"), "no page was seen yet"
    presses.page_comes()
    clock.now += 10
    assert not presses.counts("b"), "it was not painted yet"
    presses.page_is_seen()
    clock.now += 0.4
    assert not presses.counts("c")
    clock.now += 0.2
    assert presses.counts("d")
    assert not presses.counts("d"), "the same again at once"
    clock.now += 0.4
    assert not presses.counts("d"), "a press that does not count makes the rest begin anew"
    clock.now += 0.4
    assert not presses.counts("d")
    clock.now += 0.5
    assert presses.counts("d")


@pytest.mark.parametrize("flagged", [True, False])
def test_a_held_enter_never_runs_on(window: PageWindow, clock: Clock, flagged: bool) -> None:
    """Not every screen says that a press is a repeat."""
    page, choices, pressed = _page(window, clock)
    clock.now += 1
    held = QKeyEvent(
        QEvent.Type.KeyPress, Key.Key_Return, Qt.KeyboardModifier.NoModifier, "\r", flagged
    )
    for _ in range(100):
        clock.now += 0.033
        QApplication.sendEvent(page, held)
    assert len(pressed) == (0 if flagged else 1)
    assert choices.value() is None


def test_a_double_press_presses_once(window: PageWindow, clock: Clock) -> None:
    page, _choices, pressed = _page(window, clock)
    assert page.main is not None
    clock.now += 1
    QTest.mouseClick(page.main, Qt.MouseButton.LeftButton)
    clock.now += 0.15
    QTest.mouseDClick(page.main, Qt.MouseButton.LeftButton)
    assert len(pressed) == 1


def test_a_press_meant_for_the_page_before_does_nothing(window: PageWindow, clock: Clock) -> None:
    page, choices, pressed = _page(window, clock)
    assert page.main is not None
    clock.now += 0.15
    QTest.mouseClick(page.main, Qt.MouseButton.LeftButton)
    QTest.mouseClick(choices.rows[0], Qt.MouseButton.LeftButton)
    QTest.keyClick(page, Key.Key_1)
    assert (pressed, choices.value()) == ([], None)
    clock.now += 0.6
    QTest.keyClick(page, Key.Key_1)
    assert choices.value() == "a"


def test_stop_and_help_never_wait(window: PageWindow, clock: Clock) -> None:
    page, _choices, _pressed = _page(window, clock)
    wanted: list[str] = []
    page.stop_wanted.connect(lambda: wanted.append("stop"))
    page.help_wanted.connect(lambda: wanted.append("help"))
    assert page.bar.stop is not None
    QTest.mouseClick(page.bar.stop, Qt.MouseButton.LeftButton)
    QTest.keyClick(page, Key.Key_F9)
    QTest.keyClick(page, Key.Key_F1)
    assert wanted == ["stop", "stop", "help"]


def test_one_then_nought_is_ten_however_slow_the_presses(window: PageWindow) -> None:
    clock = Clock()
    use_presses(Presses(2, clock))
    page = Page("How much does it hurt?")
    scale = page.add(PainScale("Pain", low="no pain", high="worst", clock=clock))
    window.show_page(page)
    QApplication.processEvents()
    clock.now += 3
    for wait in (0.0, 0.1, 0.3):  # the 1 twice: a tremor
        clock.now += wait
        QTest.keyClick(page, Key.Key_1)
    clock.now += 0.2
    QTest.keyClick(page, Key.Key_0)
    assert scale.value() == 10
