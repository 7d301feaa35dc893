"""The page that looks all over, pressed: by mouse and by Tab and Enter, there and back."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from companion.care.records import DayPage, HandsRound, Session, StepDone, WarningSign
from companion.presentation.view.page import PageView
from companion.services.day_page import DayWalk
from companion.services.routine import RoutineWalk
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.buttons import LookOverRow
from companion.ui.kit.controls import PainScale
from companion.ui.kit.window import PageWindow
from tests.builders import NOTHING_NEW, at, session
from tests.care.walking import EXERCISES, TECHNIQUES, taught_plan
from tests.services.context_for_tests import answer_by, walk_on
from tests.tour_visit import settle
from tests.ui.home.bad_days import BadDay, begun
from tests.ui.kit import accessibility, clipping

Key = Qt.Key


@pytest.fixture
def looked_over(window: PageWindow, tmp_path: Path) -> Iterator[BadDay]:
    """A routine at the page that looks it over."""
    short = taught_plan(
        {"when": "never"}, rounds=1, techniques=TECHNIQUES[:1], exercises=EXERCISES[:1]
    )
    before = session(
        9, 7, 3, rounds=(HandsRound(steps=(StepDone(step="stroke", outcome="done"),)),)
    )
    visit = begun(tmp_path / "diary", window, before, day=at(10).date(), plan=short)
    gate = {"gate": NOTHING_NEW | {"after_last": "same"}}
    walk_on(visit.home.context, RoutineWalk(), answer=answer_by(gate), until="look_over")
    visit.through("routine")
    yield visit
    visit.leave()


def _rows(visit: BadDay) -> dict[str, LookOverRow]:
    return {row.word: row for row in visit.page.findChildren(LookOverRow)}


def _score(visit: BadDay, score: int) -> None:
    scale = visit.page.findChild(PainScale)
    assert isinstance(scale, PainScale)
    scale.boxes[score].click()


def _focused() -> QWidget:
    focused = QApplication.focusWidget()
    assert focused is not None
    return focused


def _main(visit: BadDay) -> None:
    assert visit.page.main is not None
    visit.page.main.click()


def _said(visit: BadDay) -> PageView:
    assert isinstance(visit.page, AskingPage)
    return visit.page.view


def test_each_line_leads_to_its_page_and_back(looked_over: BadDay) -> None:
    visit = looked_over
    settle()
    assert not clipping.faults(visit.page)
    assert not accessibility.faults(visit.page)
    leading = [word for word, row in _rows(visit).items() if row.focusPolicy()]
    assert {"Pain at rest", "Hands-on part", "Exercises"} < set(leading)
    for word in leading:
        QTest.mouseClick(_rows(visit)[word], Qt.MouseButton.LeftButton)
        if visit.key == "looked_over_part":
            inner = list(_rows(visit).values())
            assert inner
            QTest.mouseClick(inner[-1], Qt.MouseButton.LeftButton)
            assert visit.key.startswith(("step:", "exercise:"))
            visit.back()
        else:
            assert visit.key != "look_over"
            visit.back()
        assert visit.key == "look_over", word
    _main(visit)
    assert len(visit.written(Session)) == 2


def test_a_line_is_put_right_by_tab_and_enter(looked_over: BadDay) -> None:
    visit = looked_over
    before = {word: row.line for word, row in _rows(visit).items()}
    for _ in range(30):
        QTest.keyClick(_focused(), Key.Key_Tab)
        focused = QApplication.focusWidget()
        if isinstance(focused, LookOverRow) and focused.word == "Pain at rest":
            break
    QTest.keyClick(_focused(), Key.Key_Return)
    assert visit.key == "rest_pain"
    scale = visit.page.findChild(PainScale)
    assert isinstance(scale, PainScale)
    assert scale.value() == int(before["Pain at rest"])
    QTest.keyClick(visit.page, Key.Key_1)
    QTest.keyClick(visit.page, Key.Key_Return)
    assert visit.key == "look_over"
    assert {word: row.line for word, row in _rows(visit).items()} == before | {"Pain at rest": "1"}


def test_what_opens_by_it_is_asked_first_and_may_be_left_as_it_was(looked_over: BadDay) -> None:
    visit = looked_over
    _rows(visit)["Pain at rest"].click()
    _score(visit, 9)
    _main(visit)
    assert visit.key == "other_pages"
    assert not clipping.faults(visit.page)
    QTest.keyClick(visit.page, Key.Key_Return)
    assert visit.key == "other_pages", "Enter agrees to nothing"
    visit.answer(press="No, leave it as it was")
    assert visit.key == "look_over"
    assert _rows(visit)["Pain at rest"].line != "9"
    _rows(visit)["Pain at rest"].click()
    _score(visit, 9)
    _main(visit)
    visit.answer(press="Yes, change it")
    assert visit.key not in ("look_over", "other_pages")


def test_something_new_is_said_by_stop_which_keeps_what_was_done(looked_over: BadDay) -> None:
    visit = looked_over
    _rows(visit)["After the last routine"].click()
    assert visit.key == "gate"
    visit.answer({"q1": "yes", "q2": "no", "q3": "no", "q4": "no"})
    assert visit.key == "say_by_stop"
    visit.answer(press="Say what it is")
    assert _said(visit).key.startswith("stop")
    assert not visit.written(WarningSign)


def test_a_day_page_is_put_right_line_by_line(window: PageWindow, tmp_path: Path) -> None:
    visit = begun(tmp_path / "diary", window)
    walk_on(visit.home.context, DayWalk(), until="look_over")
    visit.through("day")
    for word in [word for word, row in _rows(visit).items() if row.focusPolicy()]:
        _rows(visit)[word].click()
        assert visit.key != "look_over", word
        visit.back()
    _rows(visit)["Average pain"].click()
    _score(visit, 2)
    _main(visit)
    assert visit.key == "look_over"
    _main(visit)
    (page,) = visit.written(DayPage)
    assert page.pain_average == 2
    visit.leave()
