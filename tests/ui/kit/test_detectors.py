"""The detectors find what they are for: each fault is made once on purpose."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton, QWidget

from companion.ui.kit.buttons import MainButton, QuietButton
from companion.ui.kit.page import Page
from companion.ui.kit.text import Paragraph
from tests.ui.kit import accessibility, clipping
from tests.ui.kit.conftest import Shown
from tests.ui.kit.gallery import settle


def test_a_text_cut_off_below_is_found(shown: Shown) -> None:
    page = shown(lambda: Page("Heading"))
    page.add(Paragraph("Words that take more than one line " * 5)).setFixedHeight(20)
    settle()
    assert any("needs" in fault for fault in clipping.faults(page))


def test_a_button_too_small_for_its_word_is_found(shown: Shown) -> None:
    page = shown(lambda: Page("Heading"))
    button = page.add(QuietButton("Unmistakable"))
    button.setFixedWidth(70)
    settle()
    assert any("breaks a word" in fault for fault in clipping.faults(page))


def test_a_toolkit_button_too_small_for_its_word_is_found(shown: Shown) -> None:
    page = shown(lambda: Page("Heading"))
    page.add(QPushButton("Much too long for this")).setFixedWidth(60)
    settle()
    assert any("needs" in fault for fault in clipping.faults(page))


def test_a_widget_wider_than_the_column_is_found(shown: Shown) -> None:
    page = shown(lambda: Page("Heading"))
    page.add(MainButton("Wide")).setFixedWidth(900)
    settle()
    assert clipping.faults(page) + clipping.beyond_the_column(page.column)


def test_words_over_words_are_found(shown: Shown) -> None:
    page = shown(lambda: Page("Heading"))
    for words in (Paragraph("One"), Paragraph("Two")):
        words.setParent(page)
        words.setGeometry(300, 300, 80, 40)
        words.show()
    settle()
    assert clipping.overlaps(page)


def test_a_nameless_button_is_found(shown: Shown) -> None:
    page = shown(lambda: Page("Heading"))
    page.add(QPushButton())
    settle()
    assert "Button without a name" in accessibility.faults(page)


def test_a_focusable_thing_without_a_role_is_found(shown: Shown) -> None:
    page = shown(lambda: Page("Heading"))
    thing = page.add(QWidget())
    thing.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    thing.setMinimumHeight(20)
    settle()
    assert any("focusable" in fault for fault in accessibility.faults(page))
