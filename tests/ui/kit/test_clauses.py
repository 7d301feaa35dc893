"""What WCAG 2.2 asks of every control alike, and no test of one control says.

Clauses 1.4.5, 1.4.13, 3.2.1 and 3.2.2 (W3C Recommendation, 5 October 2023; numbers M).
"""

from __future__ import annotations

from pathlib import PurePath

import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QEnterEvent
from PySide6.QtWidgets import QApplication, QWidget

from companion.presentation.view.page import (
    Button,
    Choose,
    Number,
    Option,
    PageView,
    Scale,
    Tick,
    Write,
)
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.controls import ChoiceList, NoteField, NumberField, PainScale, TickList
from companion.ui.kit.window import PageWindow
from tests.ground.checkout import ROOT
from tests.ui.kit.gallery import PAGES, settle

BITMAPS = {".png", ".jpg", ".jpeg", ".gif", ".webp", ".bmp", ".ico"}


def test_no_picture_of_words_is_shipped() -> None:
    """What is drawn are lines and type; the README's screenshots are not shipped to be shown."""
    files = (path.relative_to(ROOT) for path in (ROOT / "resources").rglob("*") if path.is_file())
    shown = [file for file in files if file.parts[1] != "readme"]
    assert len(shown) > 300
    assert [str(file) for file in shown if PurePath(file).suffix.lower() in BITMAPS] == []


@pytest.mark.parametrize("name", PAGES)
def test_nothing_comes_up_and_nothing_changes_by_pointer_or_focus(
    name: str, window: PageWindow, qapp: QApplication
) -> None:
    page = PAGES[name]()
    window.show_page(page)
    settle()
    words = page.reading_text()
    for widget in page.findChildren(QWidget):
        assert widget.toolTip() == ""
        if not widget.isVisible():
            continue
        middle = QPointF(widget.rect().center())
        qapp.sendEvent(widget, QEnterEvent(middle, middle, middle))
        if widget.focusPolicy() & Qt.FocusPolicy.TabFocus:
            widget.setFocus(Qt.FocusReason.TabFocusReason)
    settle()
    assert [one for one in qapp.topLevelWidgets() if one.isVisible()] == [window]
    assert window.page() is page
    assert page.reading_text() == words


def test_answers_lead_nowhere_until_the_button_that_says_so(window: PageWindow) -> None:
    two = (Option("easy", "Easy"), Option("hard", "Hard"))
    page = AskingPage(
        PageView(
            "asked",
            "How was today?",
            (
                Choose("stairs", "Stairs?", two),
                Tick("done", "What?", two),
                Scale("worst", "Worst pain?", "no pain", "worst possible pain"),
                Number("minutes", "Minutes", "min", 0, 900),
                Write("note", "A note"),
            ),
            Button("Next"),
        )
    )
    given: list[object] = []
    page.submitted.connect(given.append)
    window.show_page(page)
    page.findChildren(ChoiceList)[0].rows[1].click()
    page.findChildren(TickList)[0].rows[0].click()
    page.findChildren(PainScale)[0].boxes[4].click()
    page.findChildren(NumberField)[0].set_value(45)
    page.findChildren(NoteField)[0].set_text("Rain.")
    settle()
    assert given == []
    assert window.page() is page
    assert page.main is not None
    page.main.click()
    assert given == [
        {"stairs": "hard", "done": ["easy"], "worst": 4, "minutes": 45, "note": "Rain."}
    ]
