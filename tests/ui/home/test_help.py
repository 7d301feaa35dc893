"""Help lies over the page: what is half answered below stays as it is."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from companion.ui.kit.controls import PainScale
from companion.ui.kit.window import PageWindow
from tests.tour_visit import DemoPerson, Visit

WINDOW_IS_SHOWN = False


@pytest.fixture
def window(qtbot: QtBot) -> Iterator[PageWindow]:
    made = PageWindow("Home")
    qtbot.addWidget(made)
    made.show()
    yield made
    made.close()


def test_help_keeps_what_is_half_answered(window: PageWindow, tmp_path: Path) -> None:
    visit = Visit(DemoPerson("edda", tmp_path), window, lambda *_: None)
    visit.start()
    visit.through("day")
    page = window.page()
    assert page is not None
    scale = page.findChild(PainScale)
    assert scale is not None
    scale.set_value(4)
    for close in ("main", "back"):
        page.help_wanted.emit()
        sheet = window.sheet()
        assert sheet is not None
        assert "01632 960417" in sheet.reading_text(), "the clinic's number, as it was typed"
        if close == "main":
            assert sheet.main is not None
            sheet.main.click()
        else:
            sheet.back_wanted.emit()
        assert window.sheet() is None
        assert window.page() is page
        assert scale.value() == 4
    visit.leave()
