"""Files handed to a window: as an argument, by a second start, or dropped on it."""

from __future__ import annotations

import subprocess
import tempfile
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent
from pytestqt.qtbot import QtBot

from companion.app import handed_in
from companion.app.handed_in import HandedIn, hand_over, server_name
from companion.exchange.files import read
from companion.journal.store import Journal
from companion.system.clock import PinnedClock
from companion.ui.kit.page import Page
from companion.ui.kit.window import PageWindow
from tests.e2e.running import HOMEKNEE, bare_environment, ended, homeknee, wait_for
from tests.e2e.test_commands import DIARY, PLAN, refused


class Opened:
    """A window that takes files while `free`, and which it took."""

    def __init__(self, qtbot: QtBot, folder: Path) -> None:
        self.files: list[Path] = []
        self.free = True
        self.window = PageWindow("Home")
        qtbot.addWidget(self.window)
        self.window.show_page(Page("Front"))
        self.handed = HandedIn(self.window, folder, self.files.append, lambda _page: self.free)


def test_a_second_start_hands_its_file_to_the_first_window(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = Opened(qtbot, tmp_path)
    assert hand_over(tmp_path, Path("plan.homeknee"))
    qtbot.waitUntil(lambda: opened.files == [Path("plan.homeknee").absolute()])
    assert opened.window.isVisible()
    opened.handed.close()
    monkeypatch.setattr(handed_in, "STARTING_MS", 0)
    assert not hand_over(tmp_path, None)


def test_what_comes_while_something_is_done_waits_for_its_end(qtbot: QtBot, tmp_path: Path) -> None:
    opened = Opened(qtbot, tmp_path)
    opened.free = False
    assert hand_over(tmp_path, Path("plan.homeknee"))
    qtbot.waitUntil(opened.window.isVisible)
    assert opened.files == []
    opened.free = True
    opened.window.show_page(Page("Front"))
    qtbot.waitUntil(lambda: len(opened.files) == 1)
    opened.handed.close()


def dropped(window: PageWindow, *files: Path) -> None:
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(file)) for file in files])
    window.dropEvent(
        QDropEvent(
            QPointF(1, 1),
            Qt.DropAction.CopyAction,
            data,
            Qt.MouseButton.LeftButton,
            Qt.KeyboardModifier.NoModifier,
        )
    )


def test_files_that_are_dropped_are_taken_one_after_the_other(qtbot: QtBot, tmp_path: Path) -> None:
    opened = Opened(qtbot, tmp_path)
    dropped(opened.window, tmp_path / "a", tmp_path / "b")
    qtbot.waitUntil(lambda: len(opened.files) == 2)
    assert opened.files == [tmp_path / "a", tmp_path / "b"]
    opened.handed.close()


def test_a_file_opens_where_a_command_stands_else(tmp_path: Path) -> None:
    """What is no file of ours is refused in one sentence before any window."""
    stranger = tmp_path / "letter.txt"
    stranger.write_text("Dear clinic", encoding="utf-8")
    offscreen = bare_environment(QT_QPA_PLATFORM="offscreen")
    assert "letter.txt" in refused(homeknee(stranger, env=offscreen))
    assert homeknee("no-such-thing", env=offscreen).returncode == 2


def test_two_starts_are_one_window(tmp_path: Path) -> None:
    diary = read(DIARY).diary
    assert diary is not None
    folder = tmp_path / "kept"
    with Journal.open(folder, PinnedClock(date(2026, 11, 23))) as journal:
        journal.append(*diary.entries[:3], plans=diary.plans)
    offscreen = bare_environment(QT_QPA_PLATFORM="offscreen")
    first = subprocess.Popen(
        [HOMEKNEE, "--data-dir", str(folder), "--today", "2026-11-23"], env=offscreen, text=True
    )
    with ended(first):
        socket = Path(tempfile.gettempdir(), server_name(folder))
        wait_for("the first window to listen", lambda: socket.exists() or None)
        done = homeknee("--data-dir", folder, PLAN, env=offscreen)
        assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
        assert first.poll() is None


@pytest.mark.parametrize("argument", [PLAN, DIARY])
def test_a_plan_and_a_diary_open_in_a_window(argument: Path, tmp_path: Path) -> None:
    offscreen = bare_environment(QT_QPA_PLATFORM="offscreen")
    done = homeknee("--data-dir", tmp_path / "new", argument, "--quit-when-shown", env=offscreen)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("shown ")
