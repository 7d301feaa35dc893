"""The stage of a helper: what is read from two metres, and what alone goes on from it."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from companion.presentation.view import page as view
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.knee_picture import KneePicture
from companion.ui.kit.step_clock import StepClock
from companion.ui.kit.window import PageWindow
from tests.tour_visit import settle
from tests.ui.home.bad_days import BadDay, begun


@pytest.fixture
def visit(window: PageWindow, tmp_path: Path) -> BadDay:
    """A helper’s evening, at the first step of the hands."""
    window.resize(1366, 768)
    shown = begun(tmp_path, window)
    shown.through("settings")
    shown.answer({"room": "who"})
    shown.answer({"who": "helper"})
    shown.home.show_front()
    shown.through("routine")
    shown.walk(until=("step:1:1",))
    settle()
    return shown


def page_of(visit: BadDay) -> AskingPage:
    assert isinstance(visit.page, AskingPage)
    return visit.page


def test_nothing_else_stands_on_it(visit: BadDay) -> None:
    page = page_of(visit)
    pictured, counting, folded = page.view.blocks
    assert isinstance(pictured, view.TwoColumns)
    aloud, how_hard = pictured.blocks
    assert isinstance(aloud, view.Text)
    assert "Say stop if it hurts" in aloud.text
    assert "Stop above 5" in aloud.text
    assert isinstance(how_hard, view.Text)
    assert "pressure" in how_hard.text
    assert isinstance(counting, view.Counting)
    assert isinstance(folded, view.Folded)
    assert [button.text for button in page.view.others] == ["It hurts"]
    assert page.heading_text().startswith("Right knee: ")
    assert page.scroll_bar().maximum() == 0
    visit.leave()


@pytest.mark.parametrize(("width", "height"), [(1024, 600), (1366, 768), (1920, 1080)])
def test_the_picture_has_70_per_cent_of_the_height(visit: BadDay, width: int, height: int) -> None:
    visit.window.resize(width, height)
    settle()
    page = page_of(visit)
    picture = page.findChild(KneePicture)
    assert picture is not None
    # As it is drawn: where the column is narrow that is less than the room it is given.
    drawn = min(picture.height(), picture.full_height(picture.width()))
    assert drawn >= 0.7 * height
    visit.leave()


def test_space_enter_and_the_bar_go_on_and_nothing_else(visit: BadDay) -> None:
    page = page_of(visit)
    clock, picture = page.findChild(StepClock), page.findChild(KneePicture)
    assert clock is not None
    assert picture is not None
    assert page.main is not None
    for key in (Qt.Key.Key_A, Qt.Key.Key_5, Qt.Key.Key_Right, Qt.Key.Key_PageDown):
        QTest.keyClick(page, key)
    QTest.mouseClick(picture, Qt.MouseButton.LeftButton)
    assert not clock.is_begun()
    for key in (Qt.Key.Key_Space, Qt.Key.Key_Return):
        running = clock.is_running()
        QTest.keyClick(page, key)
        assert clock.is_running() is not running
    QTest.mouseClick(page.main, Qt.MouseButton.LeftButton)
    assert clock.is_running()
    visit.leave()
