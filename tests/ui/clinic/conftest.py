"""A clinic's window over a folder of its own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from companion.ui.kit.theme import Theme, apply
from companion.ui.kit.window import PageWindow
from tests.tour_clinic import Desk


@pytest.fixture
def desk(qtbot: QtBot, qapp: QApplication, tmp_path: Path) -> Iterator[Desk]:
    """The clinic's desk in an active window of 1366x768, the list empty."""
    apply(qapp, Theme())
    window = PageWindow("Clinic")
    qtbot.addWidget(window)
    window.resize(1366, 768)
    made = Desk(tmp_path / "data", window)
    made.clinic.show_people()
    with qtbot.waitActive(window):
        window.show()
        window.activateWindow()
    yield made
    made.close()
    apply(qapp, Theme())
