"""Back shows what was answered; Leave for now keeps it, and the door leads to the same page."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from companion.ui.home.front_page import FrontPage
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.controls import ChoiceList, PainScale
from companion.ui.kit.window import PageWindow
from tests.tour_visit import settle
from tests.ui.home.bad_days import begun
from tests.ui.kit import accessibility, clipping


def _scale(page: object) -> PainScale:
    assert isinstance(page, AskingPage)
    scale = page.findChild(PainScale)
    assert isinstance(scale, PainScale)
    return scale


def test_back_shows_the_answer_and_a_press_goes_on_with_it(
    window: PageWindow, tmp_path: Path
) -> None:
    visit = begun(tmp_path / "diary", window)
    visit.through("routine")
    visit.walk(until=("rest_pain",))
    visit.answer({"score": 4})
    after = visit.key
    visit.back()
    settle()
    assert visit.key == "rest_pain"
    assert _scale(visit.page).value() == 4
    assert not clipping.faults(visit.page)
    assert not accessibility.faults(visit.page)
    assert isinstance(visit.page, AskingPage)
    assert visit.page.main is not None
    visit.page.main.click()
    assert visit.key == after
    visit.back()
    visit.back()
    shown = visit.page.findChildren(ChoiceList)
    assert all(rows.value() is not None for rows in shown)
    visit.leave()


def test_left_for_now_it_goes_on_at_the_same_page(window: PageWindow, tmp_path: Path) -> None:
    visit = begun(tmp_path / "diary", window)
    visit.through("routine")
    visit.walk(until=("rest_pain",))
    visit.answer({"score": 2})
    key = visit.key
    leave = visit.page.bar.leave
    assert leave is not None
    settle()
    assert not clipping.overlaps(visit.page)
    QTest.mouseClick(leave, Qt.MouseButton.LeftButton)
    assert isinstance(visit.page, FrontPage)
    visit.through("routine")
    assert visit.key == key
    visit.back()
    assert _scale(visit.page).value() == 2
    visit.leave()


def test_stop_is_not_left_lying(window: PageWindow, tmp_path: Path) -> None:
    visit = begun(tmp_path / "diary", window)
    visit.stop()
    assert visit.page.bar.leave is None
    visit.leave()
