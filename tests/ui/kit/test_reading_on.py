"""Reading on by keyboard: no key presses what was scrolled away, and Tab goes on from there."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from companion.ui.kit.buttons import QuietButton
from companion.ui.kit.controls import Choice, NoteField, TickList
from companion.ui.kit.page import Page
from companion.ui.kit.text import Paragraph
from tests.ui.kit.conftest import Shown
from tests.ui.kit.gallery import settle

SIGNS = 12


def long_list() -> Page:
    page = Page("Tick what is true", enter_presses_main=False)
    page.ticks = page.add(  # type: ignore[attr-defined]
        TickList("Signs", [Choice(n, f"Sign {n} of the list, in some words") for n in range(SIGNS)])
    )
    page.main_button("Next")
    return page


def press(page: Page, key: Qt.Key) -> None:
    handle = page.window().windowHandle()
    assert handle is not None
    QTest.keyClick(handle, key)
    settle()


def ticks(page: Page) -> TickList:
    return page.ticks  # type: ignore[attr-defined,no-any-return]


def test_space_ticks_nothing_that_was_scrolled_away(shown: Shown) -> None:
    page = shown(long_list, 200)
    press(page, Qt.Key.Key_Tab)
    assert QApplication.focusWidget() is ticks(page).rows[0]
    press(page, Qt.Key.Key_End)
    at_end = page.scroll_bar().value()
    press(page, Qt.Key.Key_Space)
    assert ticks(page).values() == ()
    assert page.heading.hasFocus()
    assert page.scroll_bar().value() == at_end > 0


def test_tab_goes_on_from_what_is_in_sight(shown: Shown) -> None:
    page = shown(long_list, 200)
    press(page, Qt.Key.Key_PageDown)
    first = next(row for row in ticks(page).rows if row.mapTo(page, row.rect().topLeft()).y() > 0)
    press(page, Qt.Key.Key_Tab)
    focused = QApplication.focusWidget()
    assert focused in ticks(page).rows
    assert first in ticks(page).rows[: ticks(page).rows.index(focused) + 1]
    assert focused is not ticks(page).rows[0]
    press(page, Qt.Key.Key_Home)
    press(page, Qt.Key.Key_Tab)
    assert QApplication.focusWidget() is ticks(page).rows[0]


def test_from_the_end_of_a_long_list_its_button_is_near(shown: Shown) -> None:
    page = shown(long_list, 200)
    press(page, Qt.Key.Key_End)
    in_sight = [row for row in ticks(page).rows if row.mapTo(page, row.rect().topLeft()).y() > 0]
    for _ in (*in_sight, page.main):
        press(page, Qt.Key.Key_Tab)
        if page.main is not None and page.main.hasFocus():
            return
    raise AssertionError("the main button was not reached")


def test_what_is_still_in_sight_keeps_the_focus(shown: Shown) -> None:
    def two_screens() -> Page:
        page = Page("Read this")
        page.add(Paragraph("word " * 200))
        page.button = page.add(QuietButton("Leave it out"))  # type: ignore[attr-defined]
        page.main_button("Next")
        return page

    page = shown(two_screens, 200)
    press(page, Qt.Key.Key_Tab)
    button = QApplication.focusWidget()
    assert button is page.button  # type: ignore[attr-defined]
    press(page, Qt.Key.Key_Down)
    assert QApplication.focusWidget() is button


def test_a_note_does_not_keep_page_down_for_itself(shown: Shown) -> None:
    def with_note() -> Page:
        page = Page("Read this")
        page.note = page.add(NoteField("A note"))  # type: ignore[attr-defined]
        page.add(Paragraph("word " * 200))
        page.main_button("Next")
        return page

    page = shown(with_note, 200)
    press(page, Qt.Key.Key_Tab)
    note = page.note  # type: ignore[attr-defined]
    assert note.isAncestorOf(QApplication.focusWidget())
    before = page.scroll_bar().value()
    press(page, Qt.Key.Key_PageDown)
    assert page.scroll_bar().value() > before
    press(page, Qt.Key.Key_PageUp)
    assert page.scroll_bar().value() == before


def test_a_note_is_shown_whole_where_it_is_written(shown: Shown) -> None:
    def with_note() -> Page:
        page = Page("A question for the clinic")
        page.note = page.add(NoteField("What do you want to ask?"))  # type: ignore[attr-defined]
        page.main_button("Write it down")
        return page

    page = shown(with_note, 200)
    press(page, Qt.Key.Key_Tab)
    editor = QApplication.focusWidget()
    assert page.note.isAncestorOf(editor)  # type: ignore[attr-defined]
    assert editor is not None
    assert editor.visibleRegion().boundingRect() == editor.rect()
