"""The private log: places and kinds of faults, never a word of the person's."""

import os
import stat
from datetime import date
from pathlib import Path

import pytest

from companion.system import logs
from companion.system.clock import PinnedClock
from companion.system.logs import PrivateLog


@pytest.fixture
def log(tmp_path: Path) -> PrivateLog:
    return PrivateLog(tmp_path, PinnedClock(date(2026, 3, 9)))


def _raised(text: str) -> BaseException:
    try:
        try:
            raise KeyError(text)
        except KeyError as inner:
            raise ValueError(text) from inner
    except ValueError as fault:
        return fault


def test_a_fault_is_written_without_its_message(log: PrivateLog) -> None:
    log.fault("day page", _raised("my neighbour hurt me"))
    text = log.path.read_text(encoding="utf-8")
    assert "2026-03-09T18:00" in text
    assert "day page: ValueError" in text
    assert "after KeyError" in text
    assert "test_logs.py" in text
    assert "neighbour" not in text


def test_a_note_is_one_line(log: PrivateLog) -> None:
    log.note("store\nopened")
    assert log.path.read_text(encoding="utf-8").count("\n") == 1


@pytest.mark.skipif(os.name == "nt", reason="modes are of POSIX")
def test_only_the_owner_may_read_it(log: PrivateLog) -> None:
    log.note("started")
    assert stat.S_IMODE(log.path.stat().st_mode) == 0o600


def test_it_is_turned_over_and_the_oldest_goes(
    log: PrivateLog, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(logs, "MOST_BYTES", 200)
    for number in range(60):
        log.note(f"line {number:03}")
    names = sorted(path.name for path in log.path.parent.iterdir())
    assert names == ["log.1.txt", "log.2.txt", "log.3.txt", "log.txt"]
    kept = "".join(path.read_text(encoding="utf-8") for path in log.path.parent.iterdir())
    assert "line 059" in kept
    assert "line 000" not in kept


def test_a_folder_that_is_not_there_stops_nothing(tmp_path: Path) -> None:
    gone = PrivateLog(tmp_path / "absent", PinnedClock(date(2026, 3, 9)))
    gone.note("started")
    gone.fault("start", _raised("x"))
    assert not gone.path.exists()
