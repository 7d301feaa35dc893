"""A clinic's window killed while a plan is written: the next one has every answer."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from companion.ui.kit.asking import AskingPage
from companion.ui.kit.theme import Theme, apply
from companion.ui.kit.window import PageWindow
from tests.tour_clinic import Desk
from tests.tour_plan import room_of

_WRITING = """
import os, signal, sys
from pathlib import Path
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from companion.ui.kit.theme import Theme, apply
from companion.ui.kit.window import PageWindow
from tests.tour_clinic import Desk
application = QApplication([])
apply(application, Theme())
window = PageWindow("Clinic")
window.show()
desk = Desk(Path(sys.argv[1]), window)
desk.clinic.show_people()
desk.page().way_chosen.emit("write")
desk.page().submitted.emit({"begin": "template:hands_only"})
for key, text in (("person", "K-77"), ("goal", "To the quay.")):
    QTest.keyClicks(desk.page().boxes[key].field.focusProxy(), text)
os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal there")
def test_every_answer_of_a_killed_window_is_there(
    tmp_path: Path, qtbot: QtBot, qapp: QApplication
) -> None:
    killed = subprocess.run(
        [sys.executable, "-c", _WRITING, str(tmp_path)],
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        check=False,
    )
    assert killed.returncode == -signal.SIGKILL, killed.stderr
    apply(qapp, Theme())
    window = PageWindow("Clinic")
    qtbot.addWidget(window)
    desk = Desk(tmp_path, window)
    try:
        desk.clinic.show_people()
        desk.page().way_chosen.emit("write")  # type: ignore[attr-defined]
        page = desk.page()
        assert isinstance(page, AskingPage)
        assert "A plan was left unfinished here" in page.reading_text()
        assert "K-77" in page.reading_text()
        (kept,) = desk.practice.drafts.kept(None)
        page.submitted.emit({"begin": f"draft:{kept.name}"})
        answers = room_of(desk).draft.answers
        assert (answers["person"], answers["goal"]) == ("K-77", "To the quay.")
    finally:
        desk.close()
