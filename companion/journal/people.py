"""The clinic's case list: which diary files are kept, and what each person's row says.

It is an index and nothing else. Every row is made from the folder of files, so whatever is wrong
with the index is mended by making it again; nothing here is waited for on the disk.
"""

import contextlib
import json
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import astuple, dataclass, fields
from datetime import date
from pathlib import Path
from typing import Self

from companion.care.coded import coded
from companion.care.records import PlanSide
from companion.journal import backups
from companion.journal.faults import (
    JournalBusy,
    JournalConflict,
    must_be_writable,
    translated_errors,
)
from companion.journal.instance_lock import InstanceLock
from companion.system.atomic import private_folder

STORE = backups.DESK_STORE
VERSION = 3
APPLICATION_ID = 0x4B6E4350
"""`KnCP` in ASCII."""

_TABLES = (
    (
        "CREATE TABLE files (name TEXT PRIMARY KEY, content TEXT NOT NULL, size INTEGER NOT NULL, "
        "changed_ns INTEGER NOT NULL, person TEXT, taken TEXT NOT NULL, sentence TEXT NOT NULL) "
        "WITHOUT ROWID"
    ),
    "CREATE INDEX files_by_person ON files (person)",
    (
        "CREATE TABLE cases (code TEXT PRIMARY KEY, birth_year INTEGER, side TEXT NOT NULL, "
        "plan_version INTEGER NOT NULL, review_on TEXT NOT NULL, first_day TEXT, last_day TEXT, "
        "heard_of TEXT NOT NULL, entries INTEGER NOT NULL, closed_days INTEGER NOT NULL, "
        "of_days INTEGER NOT NULL, card_before INTEGER NOT NULL, "
        "unsafe TEXT NOT NULL, answered TEXT NOT NULL) WITHOUT ROWID"
    ),
)


@dataclass(frozen=True, slots=True)
class KeptFile:
    """One file of the folder. `content` is the SHA-256 of all its bytes, `taken` its import.

    `person` is None for a file that could not be used; `sentence` then says why.
    """

    name: str
    content: str
    size: int
    changed_ns: int
    person: str | None
    taken: str
    sentence: str = ""


@dataclass(frozen=True, slots=True)
class Case:
    """One person's row. `heard_of` is the last entry's day, or that of a newer plan.

    `unsafe` are the codes of what may be unsafe, the most pressing first, each with how many there
    are; silence is not among them, for it grows with the days. Something was closed on
    `closed_days` of `of_days`, of the knee with more of them. `card_before`: a card is open, or
    came shortly before the last entry. `answered` are open signs that are not in `unsafe`, since
    plans answer them and the diary has not come back yet: version and day of a plan, and how many.
    """

    code: str
    birth_year: int | None
    side: PlanSide
    plan_version: int
    review_on: date
    first_day: date | None
    last_day: date | None
    heard_of: date
    entries: int
    closed_days: int
    of_days: int
    card_before: bool
    unsafe: tuple[tuple[str, int], ...] = ()
    answered: tuple[tuple[int, str, int], ...] = ()


_FILE_COLUMNS = ", ".join(field.name for field in fields(KeptFile))
_CASE_COLUMNS = ", ".join(field.name for field in fields(Case))


class PeopleStore:
    """The index in one folder. Use it in the thread that opened it."""

    def __init__(self, path: Path, db: sqlite3.Connection, lock: InstanceLock) -> None:
        """Use `open`."""
        self._path = path
        self._db = db
        self._lock = lock

    @classmethod
    def open(cls, folder: Path) -> Self:
        """Open the index of a folder, making an empty one where there is none or a spoilt one.

        Raises JournalBusy when another window holds it, JournalConflict for the folder of a
        person's diary, JournalMachine when the machine fails.
        """
        path = folder / STORE
        with translated_errors(path), contextlib.ExitStack() as undo:
            if (folder / backups.STORE).exists() and not path.exists():
                raise JournalConflict(coded("folder_of_a_diary", folder=str(folder)))
            private_folder(folder)
            must_be_writable(path)
            try:
                lock = InstanceLock(folder)
            except JournalBusy:
                raise JournalBusy(coded("desk_open_elsewhere")) from None
            undo.callback(lock.release)
            db = _opened(path)
            undo.pop_all()
            return cls(path, db, lock)

    def close(self) -> None:
        """Let go of the index. A second call does nothing."""
        self._db.close()
        self._lock.release()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *fault: object) -> None:
        self.close()

    # ------------------------------------------------------------ reading

    def cases(self) -> tuple[Case, ...]:
        """Every person, by code."""
        with translated_errors(self._path):
            rows = self._db.execute(f"SELECT {_CASE_COLUMNS} FROM cases ORDER BY code").fetchall()
        return tuple(_case(row) for row in rows)

    def case(self, code: str) -> Case | None:
        """One person's row."""
        with translated_errors(self._path):
            row = self._db.execute(
                f"SELECT {_CASE_COLUMNS} FROM cases WHERE code = ?", (code,)
            ).fetchone()
        return None if row is None else _case(row)

    def files(self, person: str | None = None) -> tuple[KeptFile, ...]:
        """Every file by name, or those of one person."""
        which, values = ("", ()) if person is None else ("WHERE person = ?", (person,))
        with translated_errors(self._path):
            rows = self._db.execute(
                f"SELECT {_FILE_COLUMNS} FROM files {which} ORDER BY name", values
            ).fetchall()
        return tuple(KeptFile(*row) for row in rows)

    # ------------------------------------------------------------ writing

    def put(self, file: KeptFile, case: Case | None) -> None:
        """Add a file, and the row of its person as it is with that file."""
        with translated_errors(self._path), self._db:
            _put(self._db, (file,), () if case is None else (case,))

    def drop(self, names: Iterable[str], gone: Iterable[str], changed: Iterable[Case]) -> None:
        """Take files out; `gone` people have none left, `changed` are rows without those files."""
        with translated_errors(self._path), self._db:
            self._db.executemany("DELETE FROM files WHERE name = ?", [(n,) for n in names])
            self._db.executemany("DELETE FROM cases WHERE code = ?", [(c,) for c in gone])
            _put(self._db, (), changed)

    def put_all(self, files: Sequence[KeptFile], cases: Sequence[Case]) -> None:
        """Put these in the place of everything."""
        with translated_errors(self._path), self._db:
            self._db.execute("DELETE FROM files")
            self._db.execute("DELETE FROM cases")
            _put(self._db, files, cases)


def _put(db: sqlite3.Connection, files: Iterable[KeptFile], cases: Iterable[Case]) -> None:
    marks = ", ".join("?" * len(fields(KeptFile)))
    db.executemany(f"REPLACE INTO files VALUES ({marks})", [astuple(file) for file in files])
    marks = ", ".join("?" * len(fields(Case)))
    rows = [tuple(map(_stored, astuple(case))) for case in cases]
    db.executemany(f"REPLACE INTO cases VALUES ({marks})", rows)


def _stored(value: object) -> object:
    if isinstance(value, date):
        return value.isoformat()
    return json.dumps(value) if isinstance(value, tuple) else value


def _case(row: tuple[object, ...]) -> Case:
    days = [None if day is None else date.fromisoformat(str(day)) for day in row[4:8]]
    unsafe = tuple((code, count) for code, count in json.loads(str(row[12])))
    answered = tuple((plan, day, count) for plan, day, count in json.loads(str(row[13])))
    rest = [*row[8:11], bool(row[11]), unsafe, answered]
    return Case(*row[:4], *days, *rest)  # type: ignore[arg-type]


def _opened(path: Path) -> sqlite3.Connection:
    """A connection to a sound index; a spoilt or foreign one is taken away first."""
    with (
        contextlib.suppress(sqlite3.DatabaseError, UnicodeDecodeError),
        _closing_on_fault(path) as db,
    ):
        if _sound(db):
            return db
        db.close()
    path.unlink(missing_ok=True)
    path.with_name(path.name + "-journal").unlink(missing_ok=True)
    with _closing_on_fault(path) as db, db:
        for statement in _TABLES:
            db.execute(statement)
        db.execute(f"PRAGMA user_version = {VERSION}")
        db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    return db


@contextlib.contextmanager
def _closing_on_fault(path: Path) -> Iterator[sqlite3.Connection]:
    db = sqlite3.connect(path)
    try:
        path.chmod(0o600)
        # What is lost in a power cut is made again from the files.
        db.execute("PRAGMA synchronous = OFF")
        yield db
    except BaseException:
        db.close()
        raise


def _sound(db: sqlite3.Connection) -> bool:
    mark = db.execute("PRAGMA application_id").fetchone()[0]
    version = db.execute("PRAGMA user_version").fetchone()[0]
    if (mark, version) != (APPLICATION_ID, VERSION):
        return False
    return bool(db.execute("PRAGMA quick_check").fetchone()[0] == "ok")
