"""A window in a theme, and a way to show a page in it."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from companion.ui.kit.page import Page
from companion.ui.kit.theme import LIGHT, Palette, Theme, apply
from companion.ui.kit.window import PageWindow
from tests.ui.kit.gallery import settle

Shown = Callable[..., Page]


@pytest.fixture
def window(qtbot: QtBot, qapp: QApplication) -> Iterator[PageWindow]:
    """An active window of 1024x600 in the light theme at 100 %."""
    apply(qapp, Theme())
    made = PageWindow("Kit")
    qtbot.addWidget(made)
    made.resize(1024, 600)
    with qtbot.waitActive(made):
        made.show()
        made.activateWindow()
    yield made
    apply(qapp, Theme())


@pytest.fixture
def shown(window: PageWindow, qapp: QApplication) -> Shown:
    """Show a page made by a function, in a text size and window size."""

    def show(
        build: Callable[[], Page],
        percent: int = 100,
        size: tuple[int, int] = (1024, 600),
        palette: Palette = LIGHT,
    ) -> Page:
        apply(qapp, Theme(palette, percent))
        window.resize(*size)
        page = build()
        window.show_page(page)
        settle()
        return page

    return show
