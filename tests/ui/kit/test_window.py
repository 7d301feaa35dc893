"""The window, its keys and sheets, and what happens to old pages."""

from __future__ import annotations

import gc
import weakref

import pytest
from PySide6.QtCore import QEvent, QPoint, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from shiboken6 import isValid

from companion.ui.kit.buttons import MainButton, QuietButton
from companion.ui.kit.controls import NoteField, PainScale
from companion.ui.kit.page import Page
from companion.ui.kit.prompts import PromptChoice, SheetPrompts
from companion.ui.kit.text import Paragraph
from companion.ui.kit.window import PageWindow
from tests.ui.kit import accessibility
from tests.ui.kit.gallery import PAGES, settle
from tests.ui.kit.test_controls import focus_name, press

Key = Qt.Key


def page_with_main(heading: str = "Page") -> tuple[Page, list[str]]:
    page = Page(heading)
    said: list[str] = []
    page.add(QuietButton("Quiet")).clicked.connect(lambda: said.append("quiet"))
    page.main_button("Next").clicked.connect(lambda: said.append("main"))
    page.back_wanted.connect(lambda: said.append("back"))
    page.stop_wanted.connect(lambda: said.append("stop"))
    page.help_wanted.connect(lambda: said.append("help"))
    return page, said


def test_the_heading_has_the_focus_first_and_is_a_heading(window: PageWindow) -> None:
    page, _ = page_with_main("Score the move")
    window.show_page(page)
    focused = [s for s in accessibility.walk(window) if s.focused]
    assert [(s.role, s.name) for s in focused] == [(accessibility.Role.Heading, "Score the move")]


def test_enter_presses_the_focused_button_else_the_main_one(window: PageWindow) -> None:
    page, said = page_with_main()
    window.show_page(page)
    press(Key.Key_Return)
    press(Key.Key_Tab)
    assert focus_name() == "Quiet"
    press(Key.Key_Return)
    assert said == ["main", "quiet"]


def test_a_held_enter_does_not_run_on(window: PageWindow) -> None:
    page, said = page_with_main()
    window.show_page(page)
    for target in (page.heading, page.main):
        assert target is not None
        target.setFocus()
        held = QKeyEvent(
            QEvent.Type.KeyPress, Key.Key_Return, Qt.KeyboardModifier.NoModifier, "\r", True
        )
        QApplication.sendEvent(target, held)
    assert said == []


def test_a_main_button_that_waits_is_not_pressed(window: PageWindow) -> None:
    page, said = page_with_main()
    assert page.main is not None
    page.main.setEnabled(False)
    window.show_page(page)
    press(Key.Key_Return)
    assert said == []


def test_escape_goes_back_and_f1_helps(window: PageWindow) -> None:
    page, said = page_with_main()
    window.show_page(page)
    press(Key.Key_Escape)
    press(Key.Key_F1)
    assert said == ["back", "help"]


def test_without_back_escape_does_nothing(window: PageWindow) -> None:
    page = Page("Front", back=False)
    said: list[str] = []
    page.back_wanted.connect(lambda: said.append("back"))
    window.show_page(page)
    press(Key.Key_Escape)
    assert said == []
    assert page.bar.back is None


def test_stop_has_a_key_that_answers_nothing(window: PageWindow) -> None:
    page, said = page_with_main()
    scale = page.add(PainScale("How much?", low="no pain", high="worst possible pain"))
    field = page.add(NoteField("A note"))
    window.show_page(page)
    stop = page.bar.stop
    assert stop is not None
    assert stop.accessibleDescription() == "Key F9", "it is said on the button and to a reader"
    for target in (page.heading, field, scale.boxes[3], page.main):
        assert target is not None
        target.setFocus()
        press(Key.Key_F9)
    assert said == ["stop"] * 4
    assert scale.value() is None
    held = QKeyEvent(QEvent.Type.KeyPress, Key.Key_F9, Qt.KeyboardModifier.NoModifier, "", True)
    QApplication.sendEvent(page, held)
    QTest.keyClick(page, Key.Key_F9, Qt.KeyboardModifier.ControlModifier)
    assert said == ["stop"] * 4
    plain = Page("No Stop here", stop=False)
    plain.stop_wanted.connect(lambda: said.append("stop"))
    window.show_page(plain)
    press(Key.Key_F9)
    assert said == ["stop"] * 4


def test_tab_goes_through_the_page_in_reading_order(window: PageWindow) -> None:
    page, _ = page_with_main()
    window.show_page(page)
    later = page.add(QuietButton("Later"))
    settle()
    order = []
    for _ in range(6):
        press(Key.Key_Tab)
        order.append(focus_name())
    assert order == ["Quiet", "Later", "Next", "Back", "Help", "Stop"]
    assert later.isVisible()


def test_keys_scroll_a_long_page_from_anywhere(window: PageWindow) -> None:
    page, _ = page_with_main()
    for n in range(40):
        page.add(Paragraph(f"Line {n}"))
    window.show_page(page)
    settle()
    bar = page.scroll_bar()
    assert bar.maximum() > 0
    for start in (page.heading, page.main, page.bar.stop):
        assert start is not None
        bar.setValue(0)
        start.setFocus()
        press(Key.Key_Down)
        assert bar.value() > 0
        press(Key.Key_PageDown)
        assert bar.value() > 200
        press(Key.Key_End)
        assert bar.value() == bar.maximum()
        press(Key.Key_Home)
        assert bar.value() == 0


def test_what_gets_the_focus_is_scrolled_into_sight(window: PageWindow) -> None:
    page, _ = page_with_main()
    for n in range(40):
        page.add(Paragraph(f"Line {n}"))
    low = page.add(QuietButton("Low down"))
    window.show_page(page)
    settle()
    low.setFocus()
    settle()
    top = low.mapTo(page, QPoint(0, 0)).y()
    assert page.main is not None
    assert top >= 0
    assert top + low.height() <= page.main.mapTo(page, QPoint(0, 0)).y()


def test_there_is_one_page_at_a_time_and_the_old_one_goes(window: PageWindow) -> None:
    first = PAGES["words"]()
    window.show_page(first)
    gone = weakref.ref(first)
    window.show_page(PAGES["scale"]())
    settle()
    assert not isValid(first)
    del first
    gc.collect()
    assert gone() is None
    assert len(window.findChildren(Page)) == 1


def test_only_one_main_button() -> None:
    page, _ = page_with_main()
    with pytest.raises(ValueError, match="one main button"):
        page.main_button("Other")
    page.deleteLater()


def test_large_text_on_a_small_screen_moves_the_main_button_into_the_column(
    window: PageWindow, qapp: QApplication
) -> None:
    from companion.ui.kit.theme import LIGHT, Theme, apply

    page = Page("A heading", above="Right knee", plan_mark="Practice plan: not for a real knee")
    page.add(Paragraph("Words. " * 60))
    main = page.main_button("Next")
    window.show_page(page)
    settle()
    assert not page.column.isAncestorOf(main)
    main.setFocus()
    apply(qapp, Theme(LIGHT, 200))
    settle()
    assert page.column.isAncestorOf(main)
    assert main.isVisible()
    assert main.hasFocus()
    lowest = max(w.mapTo(page.column, QPoint(0, 0)).y() for w in page.findChildren(Paragraph))
    assert main.mapTo(page.column, QPoint(0, 0)).y() > lowest
    extra = page.add(Paragraph("Added afterwards"))
    settle()
    assert extra.mapTo(page.column, QPoint(0, 0)).y() < main.mapTo(page.column, QPoint(0, 0)).y()
    apply(qapp, Theme(LIGHT, 100))
    settle()
    assert not page.column.isAncestorOf(main)
    assert len(page.findChildren(MainButton)) == 1


def test_closing_can_be_refused(window: PageWindow) -> None:
    window.may_close = lambda: False
    assert not window.close()
    window.may_close = lambda: True
    assert window.close()


def test_the_first_paint_is_told_once(qtbot: QtBot, qapp: QApplication) -> None:
    made = PageWindow("Kit")
    qtbot.addWidget(made)
    made.show_page(Page("Front", back=False))
    told: list[bool] = []
    made.first_painted.connect(lambda: told.append(True))
    with qtbot.waitSignal(made.first_painted, timeout=30_000):
        made.show()
    made.update()
    settle()
    assert told == [True]


class TestSheets:
    def ask(self, window: PageWindow) -> tuple[SheetPrompts, list[object]]:
        prompts = SheetPrompts(window)
        answers: list[object] = []
        prompts.ask(
            "Leave the routine?",
            "What you wrote is kept.",
            [
                PromptChoice("stay", "Stay here", main=True),
                PromptChoice("leave", "Leave", "You can go on later."),
            ],
            answers.append,
        )
        settle()
        return prompts, answers

    def test_a_sheet_covers_the_page_and_goes_away(self, window: PageWindow) -> None:
        page, _ = page_with_main()
        window.show_page(page)
        press(Key.Key_Tab)
        _prompts, answers = self.ask(window)
        sheet = window.sheet()
        assert sheet is not None
        assert sheet.isVisible()
        assert not page.isVisible()
        assert accessibility.faults(window) == []
        press(Key.Key_Return)
        settle()
        assert answers == ["stay"]
        assert window.sheet() is None
        assert page.isVisible()
        assert focus_name() == "Quiet"

    def test_escape_answers_none(self, window: PageWindow) -> None:
        window.show_page(page_with_main()[0])
        _prompts, answers = self.ask(window)
        press(Key.Key_Escape)
        assert answers == [None]

    def test_a_row_answers(self, window: PageWindow) -> None:
        window.show_page(page_with_main()[0])
        _prompts, answers = self.ask(window)
        press(Key.Key_Tab)
        assert focus_name() == "Leave"
        press(Key.Key_Space)
        assert answers == ["leave"]

    def test_a_second_question_waits_its_turn(self, window: PageWindow) -> None:
        window.show_page(page_with_main()[0])
        prompts, answers = self.ask(window)
        prompts.ask("Sure?", "", [PromptChoice("yes", "Yes")], answers.append)
        press(Key.Key_Escape)
        sheet = window.sheet()
        assert sheet is not None
        assert sheet.heading_text() == "Sure?"
        press(Key.Key_Return)
        assert answers == [None]
        QTest.keyClick(sheet, Key.Key_Escape)
        assert answers == [None, None]
        settle()

    def test_an_answer_may_show_another_page(self, window: PageWindow) -> None:
        window.show_page(page_with_main()[0])
        prompts = SheetPrompts(window)
        prompts.ask(
            "Leave?",
            "",
            [PromptChoice("leave", "Leave", main=True)],
            lambda _value: window.show_page(page_with_main("Front")[0]),
        )
        press(Key.Key_Return)
        settle()
        page = window.page()
        assert page is not None
        assert page.isVisible()
        assert page.heading_text() == "Front"

    def test_a_question_without_answers_is_an_error(self, window: PageWindow) -> None:
        with pytest.raises(ValueError, match="needs an answer"):
            SheetPrompts(window).ask("Sure?", "", [], print)


def test_a_first_size_larger_than_the_screen_is_cut_to_it(window: PageWindow) -> None:
    """Main buttons stand at the foot: below the edge of a small screen nobody finds them."""
    room = window.screen().availableSize()
    window.fit(room.width() + 300, room.height() + 300)
    assert window.width() <= room.width()
    assert window.height() < room.height()
    window.fit(700, 500)
    assert (window.width(), window.height()) == (700, 500)
