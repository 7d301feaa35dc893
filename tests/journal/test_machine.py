"""The machine fails while something is saved: it is told, and nothing that was saved is lost."""

import errno
import os
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path
from typing import NoReturn

import pytest

from companion.care.coded import Coded, coded
from companion.journal import backups
from companion.journal.faults import (
    JournalDamaged,
    JournalFull,
    JournalMachine,
    JournalMissing,
    JournalUnwritable,
    fault_of,
    translated_errors,
)
from companion.journal.people import KeptFile, PeopleStore
from companion.journal.store import Journal
from companion.system.atomic import private_folder
from companion.system.clock import PinnedClock
from tests.journal.made import PLAN, everything, filled, opened, page
from tests.said import sentence

ROOT = Path(__file__).resolve().parents[2]


def test_a_full_disk_is_told_and_what_was_saved_stays(tmp_path: Path) -> None:
    """The database is held to the pages it has: it then answers as on a full disk (SQLITE_FULL)."""
    kept = tuple(page(n) for n in range(10))
    filled(tmp_path, *kept)
    with opened(tmp_path) as journal:
        pages = journal._db.execute("PRAGMA page_count").fetchone()[0]
        journal._db.execute(f"PRAGMA max_page_count = {pages}")
        saved = list(kept)
        told = ""
        for number in range(10, 500):
            one = page(number, note="x" * 2000)
            try:
                journal.append(one)
            except JournalFull as full:
                told = sentence(full)
                break
            saved.append(one)
        assert "no room left" in told
        with pytest.raises(JournalFull):
            journal.save_draft("session", {"words": "x" * 50_000})
        assert journal.entries() == tuple(saved)
        journal._db.execute("PRAGMA max_page_count = 1000000")
        more = page(600, note="x" * 2000)
        journal.append(more)  # room was made: saving works again
        saved.append(more)
    with opened(tmp_path) as journal:
        assert journal.entries() == tuple(saved)
        journal.check()


FILLS = """
import resource, sys
from datetime import date
from pathlib import Path
from companion.journal.faults import JournalMachine
from companion.journal.store import Journal
from companion.system.clock import PinnedClock
from tests.journal.made import page
folder = Path(sys.argv[1])
journal = Journal.open(folder, PinnedClock(date(2026, 3, 9)))
size = journal.path.stat().st_size
resource.setrlimit(resource.RLIMIT_FSIZE, (size + 20000, size + 20000))
for number in range(500):
    one = page(number, note="x" * 2000)
    try:
        journal.append(one)
    except JournalMachine as fault:
        print("told", fault.said, flush=True)
        break
    print("saved", one.id, flush=True)
journal.close()
"""


@pytest.mark.skipif(os.name == "nt", reason="limits of this kind are of POSIX")
def test_a_file_that_may_not_grow_is_told_by_the_system_itself(tmp_path: Path) -> None:
    """The system refuses the write in the middle of an append; what was acknowledged is there."""
    filled(tmp_path, page(0))
    done = subprocess.run(
        [sys.executable, "-c", FILLS, str(tmp_path)],
        capture_output=True,
        text=True,
        cwd=ROOT,
        timeout=60,
        check=True,
    )
    *saved, told = done.stdout.splitlines()
    assert told.startswith("told ")
    assert len(saved) >= 1
    with opened(tmp_path) as journal:
        journal.check()
        ids = {entry.id for entry in journal.entries()}
        assert {line.split()[1] for line in saved} <= ids
        assert len(ids) == len(saved) + 1


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(JournalUnwritable) as fault:
        opened(tmp_path / "file" / "data")
    assert "cannot be used" in sentence(fault.value)
    assert isinstance(fault.value, JournalMachine)


@pytest.mark.parametrize("name", ["file", "leads_nowhere", "file/data"])
@pytest.mark.parametrize("open_one", [opened, PeopleStore.open])
def test_what_is_no_folder_is_told_in_plain_words(
    tmp_path: Path, open_one: Callable[[Path], object], name: str
) -> None:
    """It said "file exists", which is true and helps nobody."""
    (tmp_path / "file").write_bytes(b"a letter")
    (tmp_path / "leads_nowhere").symlink_to(tmp_path / "gone")
    with pytest.raises(JournalUnwritable) as fault:
        open_one(tmp_path / name)
    assert "it is no folder, but a file or a link that leads nowhere" in sentence(fault.value)
    assert (tmp_path / "file").read_bytes() == b"a letter"


@pytest.mark.parametrize("what", ["", "journal.sqlite3"])
@pytest.mark.parametrize("empty", [True, False])
def test_what_may_only_be_read_is_told_before_the_first_answer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, what: str, *, empty: bool
) -> None:
    """It opened as if well, and the first answer could not be saved; an empty store was called
    damaged. The system's answer is put in: tests run as root, who may write everywhere."""
    filled(tmp_path, page(0))
    if empty:
        (tmp_path / "journal.sqlite3").write_bytes(b"")
    before = everything(tmp_path)
    may = os.access
    monkeypatch.setattr(
        "companion.journal.faults.os.access",
        lambda path, how: path != tmp_path / what and may(path, how),
    )
    with pytest.raises(JournalUnwritable) as fault:
        opened(tmp_path)
    assert "cannot be used: it may only be read" in sentence(fault.value)
    assert everything(tmp_path) == before


def test_a_store_with_nothing_in_it_is_no_diary_to_read(tmp_path: Path) -> None:
    (tmp_path / "journal.sqlite3").write_bytes(b"")
    with pytest.raises(JournalMissing):
        opened(tmp_path, read_only=True)


@pytest.mark.skipif(os.name == "nt", reason="modes of this kind are of POSIX")
def test_who_may_look_into_the_folder(tmp_path: Path) -> None:
    """What is made is its owner's, whatever the system lets through; a folder of the diary that
    others may read is closed to them, one with other things in it stays as it is."""
    before = os.umask(0)
    try:
        filled(tmp_path / "a" / "b" / "data", page(0))
        private_folder(tmp_path / "c" / "d")
    finally:
        os.umask(before)
    for made in ("a", "a/b", "a/b/data", "c", "c/d"):
        assert (tmp_path / made).stat().st_mode & 0o777 == 0o700
    data = tmp_path / "a" / "b" / "data"
    (data / "backups").mkdir()
    data.chmod(0o755)
    opened(data).close()
    assert data.stat().st_mode & 0o777 == 0o700
    (data / "letter.txt").write_text("to my son")
    data.chmod(0o755)
    opened(data).close()
    assert data.stat().st_mode & 0o777 == 0o755


def test_a_disk_that_may_only_be_read_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An injected fault: tests run as root, whom no mode of a file stops."""
    filled(tmp_path, page(0))
    before = everything(tmp_path)

    def fails(*_: object) -> NoReturn:
        raise OSError(30, "Read-only file system")

    monkeypatch.setattr("companion.journal.instance_lock.os.open", fails)
    with pytest.raises(JournalUnwritable, match="only_readable"):
        opened(tmp_path)
    monkeypatch.undo()
    assert everything(tmp_path) == before


def test_the_database_refusing_to_write_is_told(tmp_path: Path) -> None:
    filled(tmp_path, page(0))
    with opened(tmp_path) as journal:
        journal._db.execute("PRAGMA query_only = ON")
        with pytest.raises(JournalUnwritable):
            journal.append(page(1))
        journal._db.execute("PRAGMA query_only = OFF")
        journal.append(page(1))
        assert journal.count() == 2
        assert journal.plans() == (PLAN,)


@pytest.mark.parametrize(
    "ask",
    [
        Journal.check,
        Journal.count,
        Journal.diary,
        Journal.draft_keys,
        Journal.entries,
        Journal.last_day,
        Journal.plans,
        Journal.summary,
        lambda journal: journal.append(page(1)),
        partial(Journal.draft, key="session"),
        partial(Journal.drop_draft, key="session"),
        partial(Journal.save_draft, key="session", draft={}),
    ],
)
def test_whatever_a_failing_disk_was_asked_it_names_the_folder(
    tmp_path: Path, ask: Callable[[Journal], object]
) -> None:
    """The database is interrupted in each statement: none of our own, as on a disk that fails."""
    filled(tmp_path)
    with opened(tmp_path) as journal:
        journal._db.set_progress_handler(lambda: 1, 1)
        with pytest.raises(JournalUnwritable) as told:
            ask(journal)
        journal._db.set_progress_handler(None, 1)
        assert str(tmp_path) in sentence(told.value)
        assert "disk reports a fault" in sentence(told.value)


@pytest.mark.parametrize(
    "ask",
    [
        PeopleStore.cases,
        PeopleStore.files,
        partial(PeopleStore.case, code="K-07"),
        partial(PeopleStore.drop, names=["a"], gone=["K-07"], changed=[]),
        partial(PeopleStore.put, file=KeptFile("a", "aa", 1, 1, "K-07", ""), case=None),
        partial(PeopleStore.put_all, files=[], cases=[]),
    ],
)
def test_the_clinic_list_does_too(tmp_path: Path, ask: Callable[[PeopleStore], object]) -> None:
    with PeopleStore.open(tmp_path) as people:
        people._db.set_progress_handler(lambda: 1, 1)
        with pytest.raises(JournalUnwritable) as told:
            ask(people)
        people._db.set_progress_handler(None, 1)
        assert str(tmp_path) in sentence(told.value)


@pytest.mark.parametrize(
    ("number", "inside", "why"),
    [
        (errno.EEXIST, "a file/journal.sqlite3", coded("no_folder")),
        (errno.ENOTDIR, "a file/journal.sqlite3", coded("no_folder")),
        (errno.EROFS, "journal.sqlite3", coded("only_readable")),
        (errno.EACCES, "journal.sqlite3", coded("not_allowed")),
        (errno.EPERM, "journal.sqlite3", coded("not_allowed")),
        (errno.EIO, "journal.sqlite3", "input/output error"),
        (errno.EEXIST, "journal.sqlite3", "file exists"),
    ],
)
def test_what_the_machine_refuses_is_told_with_its_reason(
    tmp_path: Path, number: int, inside: str, why: str | Coded
) -> None:
    (tmp_path / "a file").write_bytes(b"")
    with pytest.raises(JournalUnwritable) as told, translated_errors(tmp_path / inside):
        raise OSError(number, os.strerror(number))
    folder = str((tmp_path / inside).parent)
    assert told.value.said == coded("store_unusable", folder=folder, why=why)
    with pytest.raises(JournalUnwritable) as silent, translated_errors(tmp_path / "store"):
        raise OSError
    assert silent.value.said == coded("store_unusable", folder=str(tmp_path), why="")


@pytest.mark.parametrize(
    ("kind", "code", "said"),
    [
        (sqlite3.OperationalError, 0, coded("store_damaged", why=coded("parts_do_not_fit"))),
        (
            sqlite3.DatabaseError,
            sqlite3.SQLITE_CORRUPT,
            coded("store_damaged", why=coded("parts_do_not_fit")),
        ),
        (sqlite3.OperationalError, sqlite3.SQLITE_READONLY, coded("only_readable")),
        (
            sqlite3.OperationalError,
            sqlite3.SQLITE_READONLY_ROLLBACK,
            coded("window_did_not_close"),
        ),
        (sqlite3.OperationalError, sqlite3.SQLITE_IOERR_WRITE, coded("disk_fault")),
    ],
)
def test_what_the_database_raises_is_told_with_its_reason(
    tmp_path: Path, kind: type[sqlite3.Error], code: int, said: Coded
) -> None:
    store = tmp_path / "journal.sqlite3"
    raised = kind("told")
    raised.sqlite_errorcode = code
    told = fault_of(store, raised)
    if isinstance(told, JournalDamaged):
        assert (told.path, told.why) == (store, coded("parts_do_not_fit"))
        assert told.said == said
        where = coded("store_damaged_no_copy", why=told.why)
        assert backups.damage_told(told) == where
    else:
        assert told.said == coded("store_unusable", folder=str(tmp_path), why=said)


def test_bytes_that_are_no_text_are_told_as_damage_of_that_store(tmp_path: Path) -> None:
    store = tmp_path / "journal.sqlite3"
    with pytest.raises(JournalDamaged) as told, translated_errors(store):
        b"\xff".decode()
    assert (told.value.path, told.value.why) == (store, coded("parts_do_not_fit"))


def test_a_diary_that_is_not_there_is_named_by_its_folder(tmp_path: Path) -> None:
    with pytest.raises(JournalMissing) as told:
        Journal.open(tmp_path / "gone", PinnedClock(date(2026, 3, 9)), read_only=True)
    assert told.value.said == coded("no_diary_there", folder=str(tmp_path / "gone"))
