"""What stands left and right where a page opens into two columns."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from companion.ui.kit.controls import SubHeading
from companion.ui.kit.page import Page
from companion.ui.kit.text import Paragraph
from companion.ui.kit.theme import Theme, apply
from companion.ui.kit.window import PageWindow
from tests.ui.kit.gallery import settle


@pytest.mark.parametrize(("before", "after"), [(4, 3), (5, 3), (6, 4), (7, 5)])
def test_no_heading_is_parted_from_what_it_is_over(
    qtbot: QtBot, qapp: QApplication, before: int, after: int
) -> None:
    """As even as these would be with the heading left and its words right."""
    apply(qapp, Theme())
    window = PageWindow("Home")
    qtbot.addWidget(window)
    page = Page("A long page")
    page.main_button("Next")
    for number in range(before):
        page.add(Paragraph(f"Line {number}. " + "Words to be read. " * 6), 8)
    heading = page.add(SubHeading("A heading"), 24)
    under = page.add(Paragraph("What it is over."), 8)
    for number in range(after):
        page.add(Paragraph(f"After {number}. " + "Words to be read. " * 10), 8)
    window.show_page(page)
    window.resize(1366, 768)
    window.show()
    settle()
    assert heading.geometry().left() == under.geometry().left()
    assert heading.geometry().bottom() < under.geometry().top()
