"""A shaking hand at the clinic's walks: held keys and double presses on every page of them.

The plan writer with a first session, the import and its undoing, the list, the review: nothing may
be answered and no page may go by. What is typed into a field is the hand's own and is left out;
weeks from paper come as a table, which has no page.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QPlainTextEdit

from companion.presentation.clinic.plan_form import sections_of
from companion.system.resources import demo_profiles
from companion.ui.clinic.import_pages import PreviewPage
from companion.ui.clinic.people_page import PeoplePage
from companion.ui.clinic.plan_room import PlanRoom
from companion.ui.clinic.review_pages import AnswersPage
from companion.ui.kit.form import YesNoBox
from companion.ui.kit.page import Page
from companion.ui.kit.presses import Presses, presses, use_presses
from tests.care.walking import CATALOGUE
from tests.services.plan_writing import put, ready
from tests.tour_clinic import Desk
from tests.ui.kit.gallery import settle

Key = Qt.Key
HELD = ((Key.Key_Return, "\r"), (Key.Key_Space, " "), (Key.Key_1, "1"), (Key.Key_0, "0"))
MASHED = ("cautions", "tape", "session", "sign")
"""Sections with questions that a key answers, and the last page."""
LETTERS = ((Key.Key_Y, "y"), (Key.Key_N, "n"), (Key.Key_P, "p"), (Key.Key_Escape, ""))


@pytest.fixture
def clock() -> Iterator[list[float]]:
    """Seconds as they are set, by which presses rest."""
    now = [100.0]
    use_presses(Presses(0.5, lambda: now[0]))
    yield now
    use_presses(Presses(0))


def _mash(page: Page, now: list[float]) -> None:
    """Hold each key since the page before, in unflagged repeats, and press the main button twice;
    the focus at each stop that is no field for words."""
    boxes = page.findChildren(YesNoBox)
    stops = [page.heading, *(box.field.rows[0] for box in boxes[:1])]
    for stop in stops:
        stop.setFocus()
        for key, text in (*HELD, *LETTERS):
            presses().counts("elsewhere", key=key)  # it went down on the page before
            presses().page_comes()
            presses().page_is_seen()
            for _ in range(4):
                now[0] += 0.3  # the first repeats come slowly
                _press(page, key, text)
    if page.main is not None:
        presses().page_comes()
        presses().page_is_seen()
        now[0] += 0.15
        QTest.mouseDClick(page.main, Qt.MouseButton.LeftButton)
    settle()


def _press(page: Page, key: Qt.Key, text: str) -> None:
    focus = QApplication.focusWidget()
    target = focus if focus is not None and page.isAncestorOf(focus) else page
    if isinstance(target, QLineEdit | QPlainTextEdit):
        return
    event = QKeyEvent(QEvent.Type.KeyPress, key, Qt.KeyboardModifier.NoModifier, text)
    QApplication.sendEvent(target, event)


def test_the_plan_writer_and_its_first_session_are_answered_by_nobody(
    desk: Desk, clock: list[float]
) -> None:
    draft = put(ready(), **{"session.held": True, "session.rest_pain": 2})
    room = PlanRoom(desk.clinic, desk.window, desk.clinic.show_people)
    room.take_up(draft)
    before = room.draft.answers
    names = [n for n in sections_of(room.draft, CATALOGUE) if n in MASHED]
    assert set(names) == set(MASHED)
    for name in names:
        room.open_section(name)
        settle()
        page = desk.page()
        _mash(page, clock)
        assert desk.page() is page, f"{name} went by"
        assert room.draft.answers == before, f"{name} was answered"


def test_an_import_and_a_review_wait_for_a_press_that_was_meant(
    desk: Desk, clock: list[float]
) -> None:
    desk.clinic.look_at([str(demo_profiles() / "edda" / "diary.homeknee")])
    desk.until(lambda: isinstance(desk.page(), PreviewPage))
    preview = desk.page()
    _mash(preview, clock)
    assert desk.page() is preview
    clock[0] += 5
    assert preview.main is not None
    preview.main.click()
    desk.until(lambda: isinstance(desk.page(), PeoplePage))
    people = desk.page()
    assert isinstance(people, PeoplePage)
    desk.clinic._ask_undo()
    asked = desk.page()
    _mash(asked, clock)
    assert desk.page() is asked, "nothing was undone"
    assert desk.practice.people.files()
    desk.clinic.show_people()
    people = desk.page()
    assert isinstance(people, PeoplePage)
    _mash(people, clock)
    assert desk.page() is people, "no way of the list was taken"
    desk.clinic.open(people.table.code())
    desk.until(lambda: isinstance(desk.page(), AnswersPage))
    review = desk.page()
    _mash(review, clock)
    assert desk.page() is review, "no way of the review was taken"
