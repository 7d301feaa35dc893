"""Work that is waited for while the window lives on."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest
from PySide6.QtCore import QTimer
from pytestqt.qtbot import QtBot

from companion.journal.store import Journal
from companion.ui.kit.background import beside, is_at_work
from tests.builders import DAY, at, page, small_plan
from tests.services.context_for_tests import HandClock


def test_it_is_done_in_another_thread_and_waited_for(qtbot: QtBot) -> None:
    assert beside(threading.current_thread) is not threading.main_thread()
    assert beside(lambda: beside(threading.current_thread)) is not threading.main_thread()
    assert not is_at_work()


def test_what_it_raises_is_raised_here(qtbot: QtBot) -> None:
    def fails() -> None:
        raise LookupError("no plan")

    with pytest.raises(LookupError, match="no plan"):
        beside(fails)
    assert not is_at_work()


def test_the_window_lives_on_meanwhile(qtbot: QtBot) -> None:
    """A timer of the window fires while the work waits for it; without one it waits in vain."""
    go_on, seen = threading.Event(), []

    def tick() -> None:
        seen.append(is_at_work())
        go_on.set()

    QTimer.singleShot(0, tick)
    assert beside(lambda: go_on.wait(10))
    assert seen == [True]


def test_no_commit_is_in_the_windows_thread(qtbot: QtBot, tmp_path: Path) -> None:
    said: list[tuple[str, bool]] = []
    with Journal.open(tmp_path, HandClock(at(0))) as journal:
        journal.append(plans=(small_plan(),))
        journal.beside = beside
        journal._db.set_trace_callback(
            lambda line: said.append((line, threading.current_thread() is threading.main_thread()))
        )
        journal.write(page(0, pain_average=4))
        journal.save_draft("day:right", {"answers": []})
        journal.drop_draft("day:right")
        journal.append(page(1, pain_average=5))
        journal._db.set_trace_callback(None)
        assert [entry.for_day for entry in journal.entries()] == [DAY, page(1).for_day]
    committed = [here for line, here in said if line == "COMMIT"]
    assert committed == [False] * 4
