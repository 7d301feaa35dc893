"""One window for one diary; the system lets go of the lock when a window is killed."""

import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from companion.journal.faults import JournalBusy
from companion.journal.instance_lock import InstanceLock
from tests.journal.made import filled, opened, page
from tests.said import sentence

ROOT = Path(__file__).resolve().parents[2]
OPENS = """
import sys
from datetime import date
from pathlib import Path
from companion.journal.store import Journal
from companion.system.clock import PinnedClock
from tests.journal.made import page
journal = Journal.open(Path(sys.argv[1]), PinnedClock(date(2026, 3, 9)))
if sys.argv[2] == "writes":
    journal.append(page(1))
elif sys.argv[2] == "is writing":
    journal._db.execute("BEGIN IMMEDIATE")
    journal._db.execute("PRAGMA cache_size = 1")
    journal._db.execute("PRAGMA cache_spill = 1")
    for number in range(400):
        journal._put_entry(__import__("companion.journal.schema").journal.schema.entry_row(page(1)))
print("open", flush=True)
sys.stdin.read()
"""


@contextmanager
def another_window(folder: Path, does: str) -> Iterator["subprocess.Popen[str]"]:
    """A process that has the diary open until it is killed."""
    process = subprocess.Popen(
        [sys.executable, "-c", OPENS, str(folder), does],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    )
    try:
        assert process.stdout is not None
        assert process.stdout.readline() == "open\n"
        yield process
    finally:
        process.kill()
        process.communicate(timeout=30)


def test_a_second_window_is_told_in_one_sentence(tmp_path: Path) -> None:
    filled(tmp_path, page(0))
    with opened(tmp_path):
        with pytest.raises(JournalBusy) as busy:
            opened(tmp_path)
        assert sentence(busy.value) == (
            "This diary is open in another window. Use that one, or close it first."
        )
    with opened(tmp_path) as journal:
        assert journal.count() == 1


def test_another_process_holds_it_and_a_killed_one_does_not(tmp_path: Path) -> None:
    filled(tmp_path, page(0))
    with another_window(tmp_path, "writes") as process:
        with pytest.raises(JournalBusy):
            opened(tmp_path)
        with opened(tmp_path, read_only=True) as reader:
            assert reader.count() == 2
        process.kill()
        process.wait(timeout=30)
        if sys.platform != "win32":
            assert process.returncode == -signal.SIGKILL
        with opened(tmp_path) as journal:
            assert journal.count() == 2


def test_killed_in_the_middle_of_writing_nothing_half_is_left(tmp_path: Path) -> None:
    path = filled(tmp_path, page(0))
    rollback = path.with_name(path.name + "-journal")
    with another_window(tmp_path, "is writing") as process:
        assert rollback.stat().st_size > 0  # pages were already written into the store
        process.kill()
        process.wait(timeout=30)
        assert rollback.exists()
        with opened(tmp_path) as journal:
            assert journal.count() == 1
            journal.check()
    assert not rollback.exists()


def test_a_failed_opening_lets_go_of_the_lock(tmp_path: Path) -> None:
    path = filled(tmp_path, page(0))
    path.write_bytes(b"x" * 5000)
    with pytest.raises(Exception, match="damaged"):
        opened(tmp_path)
    InstanceLock(tmp_path).release()


def test_letting_go_twice_is_harmless(tmp_path: Path) -> None:
    lock = InstanceLock(tmp_path)
    lock.release()
    lock.release()
    InstanceLock(tmp_path).release()
