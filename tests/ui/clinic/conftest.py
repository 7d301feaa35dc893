"""A clinic's window over a folder of its own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.tour_clinic import Desk, desk_in_sight


@pytest.fixture
def desk(qtbot: QtBot, qapp: QApplication, tmp_path: Path) -> Iterator[Desk]:
    """The clinic's desk in an active window of 1366x768, the list empty."""
    yield from desk_in_sight(qtbot, qapp, tmp_path / "data")
