"""The data table: what is missing is said, and it is all there to be read."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from companion.ui.kit.page import Page
from companion.ui.kit.table import MISSING, DataTable
from companion.ui.kit.text import one_line_width
from companion.ui.kit.theme import GRID, Type, current
from companion.ui.kit.window import PageWindow
from tests.ui.kit import accessibility
from tests.ui.kit.conftest import Shown
from tests.ui.kit.gallery import settle, table_page
from tests.ui.kit.test_controls import focus_name, press

ROWS = [["14 Sep", "5", None], ["15 Sep", None, "side strips"]]
HEADERS = ["Day", "Average", "Tape"]


def test_missing_is_a_dash_and_is_read_as_not_recorded(window: PageWindow) -> None:
    page = Page("Record")
    table = page.add(DataTable("Pain by day", HEADERS, ROWS))
    window.show_page(page)
    settle()
    assert table.view.model().index(0, 2).data() == MISSING
    names = [s.name for s in accessibility.walk(table) if s.role is QAccessible.Role.Cell]
    assert names == [
        "14 Sep",
        "5",
        "not recorded",
        "15 Sep",
        "not recorded",
        "side strips",
    ]
    headers = [s.name for s in accessibility.walk(table) if s.role is QAccessible.Role.ColumnHeader]
    assert headers == HEADERS


def test_arrows_walk_the_rows_and_tab_leaves(window: PageWindow) -> None:
    page = Page("Record")
    table = page.add(DataTable("Pain by day", HEADERS, ROWS))
    page.main_button("Close")
    window.show_page(page)
    press(Qt.Key.Key_Tab)
    assert QApplication.focusWidget() is table.view
    assert table.view.currentIndex().row() == 0
    press(Qt.Key.Key_Down)
    assert table.view.currentIndex().row() == 1
    press(Qt.Key.Key_Tab)
    assert focus_name() == "Close"


@pytest.mark.parametrize("percent", [100, 150, 200])
def test_every_row_is_shown_in_full(shown: Shown, percent: int) -> None:
    page = shown(table_page, percent)
    table = page.findChild(DataTable)
    assert table is not None
    view = table.view
    model = view.model()
    rows = sum(view.rowHeight(n) for n in range(model.rowCount()))
    assert view.viewport().height() >= rows
    for column in range(model.columnCount()):
        words = [
            word
            for row in range(model.rowCount())
            for word in str(model.index(row, column).data()).split()
        ]
        need = max(one_line_width(word, Type.BODY, current()) for word in words)
        assert view.columnWidth(column) >= need, model.headerData(column, Qt.Orientation.Horizontal)
    for row in range(model.rowCount()):
        assert view.rowHeight(row) >= view.sizeHintForRow(row), row
    if view.horizontalScrollBar().maximum() > 0:
        assert view.horizontalScrollBar().isVisible()


def test_a_long_text_among_many_short_ones_makes_no_tower(qtbot: QtBot) -> None:
    headers = ["On", "Off", "Hours", "Stage", "Make", "Put on by", "Before", "After", "Note"]
    row = ["14 Nov 09:44", "17 Nov 08:58", "71", "side strips", "Harbour cotton 50 mm"]
    row += ["the person", "clear", "pink, gone in 30 min; 30 min later clear", "came off by itself"]
    table = DataTable("Tape", headers, [row])
    qtbot.addWidget(table)
    table.show()
    table.resize(1040, 400)
    settle()
    assert table.view.horizontalScrollBar().maximum() == 0
    assert table.view.rowHeight(0) <= 3 * current().line_height(Type.BODY) + 2 * GRID + 1
    # Where it goes sideways anyway, a row is no tower either.
    table.resize(500, 400)
    settle()
    assert table.view.horizontalScrollBar().maximum() > 0
    assert table.view.rowHeight(0) <= 4 * current().line_height(Type.BODY) + 2 * GRID + 1
    # Where there is room nothing is broken, and what is read at a glance is broken last.
    table.resize(1800, 400)
    settle()
    assert table.view.rowHeight(0) <= current().line_height(Type.BODY) + 2 * GRID + 1


def test_a_row_of_the_wrong_length_is_an_error(qtbot: QtBot) -> None:
    with pytest.raises(ValueError, match="row 2 has 1 texts for 2 columns"):
        DataTable("Pain", ["Day", "Pain"], [["1", "2"], ["3"]])


def test_other_data_replace_the_first(window: PageWindow) -> None:
    page = Page("Record")
    table = page.add(DataTable("Pain by day", HEADERS, ROWS))
    window.show_page(page)
    table.set_rows(["Day"], [["1 Oct"]])
    settle()
    model = table.view.model()
    assert (model.rowCount(), model.columnCount()) == (1, 1)
