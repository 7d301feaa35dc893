"""The diary store: append-only, durable, one window at a time.

SQLite with `journal_mode=DELETE` and `synchronous=EXTRA`: each append is on the disk, rollback
file and folder included, when the call returns. WAL is not used, it breaks in synced folders.

Trust: at every open the header, version and tables are looked at; each row carries a CRC that is
checked whenever the row is read. All pages and rows are checked when the last window did not close
cleanly, and in each copy that `backups.tend` makes. A ten-year diary thus opens in a few
milliseconds.
"""

import contextlib
import json
import os
import sqlite3
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from threading import RLock
from typing import Any, Protocol, Self, TypeVar

from companion.care.coded import coded
from companion.care.json_values import JsonObject
from companion.care.records import AnyEntry, Diary, Plan
from companion.journal import backups, schema
from companion.journal.faults import (
    JournalConflict,
    JournalDamaged,
    JournalFault,
    JournalMissing,
    JournalTooNew,
    must_be_writable,
    translated_errors,
)
from companion.journal.index import StoreIndex
from companion.journal.instance_lock import InstanceLock
from companion.journal.leaving import close_to_others
from companion.system.atomic import private_folder
from companion.system.clock import Clock
from companion.system.ids import new_id
from companion.wire.plain import decode_entry, decode_plan, encode

E = TypeVar("E", bound=AnyEntry)
T = TypeVar("T")
Values = Mapping[str, str | int]
"""What a question to the database is about, by its name in the question."""
_NUMBERS = "SELECT value FROM json_each(:numbers)"


@dataclass(frozen=True, slots=True)
class Summary:
    """What the store holds, counted without reading it."""

    entries: int
    plan_versions: int
    last_written_at: datetime | None


_SIGNED = """instr(body, '"sign_off":{') > 0"""
_IN_ITS_TIME = f"({_SIGNED} OR NOT EXISTS (SELECT 1 FROM plans WHERE {_SIGNED}))"
"""Plans that are or were in force: where one is signed, those nobody signed never were."""


class PlanVersions(Mapping[int, Plan]):
    """See `Journal.versions`."""

    def __init__(
        self,
        read: Callable[[str, Values], tuple[Plan, ...]],
        ask: Callable[[str, Values], list[tuple[Any, ...]]],
    ) -> None:
        self._read, self._ask = read, ask

    def __getitem__(self, version: int) -> Plan:
        found = self._read("WHERE version = :version", {"version": version})
        if not found:
            raise KeyError(version)
        return found[0]

    def __iter__(self) -> Iterator[int]:
        rows = self._ask(f"SELECT version FROM plans WHERE {_IN_ITS_TIME} ORDER BY version", {})
        return (version for (version,) in rows)

    def __len__(self) -> int:
        return sum(1 for _ in self)


class OffThread(Protocol):
    """Does work beside the window, which lives on meanwhile, and gives what came of it."""

    def __call__(self, work: Callable[[], T], /) -> T:
        """What `work` gives; raises what it raises."""


def _here(work: Callable[[], T], /) -> T:
    return work()


class Journal:
    """The store of one person's diary. One thread uses it at a time; others wait their turn."""

    def __init__(
        self, path: Path, clock: Clock, db: sqlite3.Connection, lock: InstanceLock | None
    ) -> None:
        """Use `open`."""
        self.path = path
        self._clock = clock
        self._db = db
        self._lock = lock
        self._marked_open = False
        self._one_at_a_time = RLock()
        self.beside: OffThread = _here
        """Where what is written is forced to the disk; a window hands in a thread beside itself."""
        self._plans_read: dict[tuple[int, int], Plan] = {}
        self.index = StoreIndex(self._asked, self._entries)
        """The entries that count, found without reading all."""

    # ------------------------------------------------------------ opening and closing

    @classmethod
    def open(cls, folder: Path, clock: Clock, *, read_only: bool = False) -> Self:
        """Open the diary in `folder`, making an empty one when there is none.

        `read_only` takes no lock, writes nothing and needs a diary to be there. Raises
        JournalBusy, JournalTooNew, JournalDamaged, JournalMissing or JournalMachine, and
        JournalConflict for the folder of a clinic's desk; the store is then as it was.
        """
        path = folder / backups.STORE
        with translated_errors(path), contextlib.ExitStack() as undo:
            lock = None
            if read_only:
                db = _opened_to_read(path)
            else:
                if (folder / backups.DESK_STORE).exists() and not path.exists():
                    raise JournalConflict(coded("folder_of_the_desk", folder=str(folder)))
                private_folder(folder)
                must_be_writable(path)
                lock = InstanceLock(folder)
                undo.callback(lock.release)
                close_to_others(folder)
                db = _connected(path)
            undo.callback(db.close)
            version = _recognised(db, path)
            if version < schema.VERSION:
                db = _brought_up(db, path, version, None if read_only else clock)
                undo.callback(db.close)
            _looked_over(db, path, read_only=read_only)
            undo.pop_all()
            return cls(path, clock, db, lock)

    @classmethod
    def open_copy(cls, path: Path, clock: Clock) -> Self:
        """Open one copy of the store to read it. Raises as `open` does, read only."""
        with translated_errors(path), contextlib.ExitStack() as undo:
            db = _opened_to_read(path)
            undo.callback(db.close)
            version = _recognised(db, path)
            if version < schema.VERSION:
                db = _brought_up(db, path, version, None)
                undo.callback(db.close)
            undo.pop_all()
            return cls(path, clock, db, None)

    def close(self) -> None:
        """Mark the store as closed cleanly and let go of it. A second call does nothing."""
        try:
            if self._marked_open:
                with contextlib.suppress(JournalFault), self._writing():
                    self._set_meta("closed_cleanly", "yes")
                self._marked_open = False
        finally:
            self._db.close()
            if self._lock is not None:
                self._lock.release()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *fault: object) -> None:
        self.close()

    # ------------------------------------------------------------ writing

    def write(
        self,
        *entries: E,
        drop_draft: str | None = None,
        save_draft: tuple[str, JsonObject] | None = None,
    ) -> tuple[E, ...]:
        """Add what was written down here, as `append` does. Each entry gets the name of this store
        and its turn in it: by that it is known later what it saw, whatever the clock said."""

        def written() -> tuple[E, ...]:
            with self._using():
                machine, turn = self._meta("machine") or new_id(), self._last_turn()
                stamped = tuple(
                    replace(entry, machine=machine, turn=number)
                    for number, entry in enumerate(dict.fromkeys(entries), turn + 1)
                )
                self._add(stamped, (), drop_draft, save_draft, machine if entries else None)
            return stamped

        return self.beside(written)

    def append(
        self,
        *entries: AnyEntry,
        plans: Sequence[Plan] = (),
        drop_draft: str | None = None,
        save_draft: tuple[str, JsonObject] | None = None,
    ) -> int:
        """Add plans and entries and drop or keep a draft, in one transaction; how many entries
        are new.

        What is here already with the same content is passed over. Raises JournalConflict when an
        id or plan version stands for something else here, when a plan is another person's, or when
        an entry names a plan version or an entry that is not here; JournalMachine when the machine
        fails. Then nothing was added. Raises ValueError (a bug) for what could not be read back.
        """
        return self.beside(lambda: self._add(entries, plans, drop_draft, save_draft))

    def _add(
        self,
        entries: Sequence[AnyEntry],
        plans: Sequence[Plan],
        drop_draft: str | None,
        save_draft: tuple[str, JsonObject] | None,
        machine: str | None = None,
    ) -> int:
        plan_rows = [_plan_row(plan) for plan in plans]
        rows = [_entry_row(entry) for entry in entries]
        with self._writing():
            for plan, plan_row in zip(plans, plan_rows, strict=True):
                self._put_plan(plan, plan_row)
            new = sum(self._put_entry(row) for row in rows)
            self._check_references(entries)
            turn = max((entry.turn or 0 for entry in entries), default=0)
            if turn > self._last_turn():
                self._set_meta("turn", str(turn))
            if machine is not None:
                self._set_meta("machine", machine)
            if drop_draft is not None:
                self._db.execute("DELETE FROM drafts WHERE key = ?", (drop_draft,))
            if save_draft is not None:
                self._put_draft(*save_draft)
        if new:
            self.index.added({entry.kind for entry in entries})
        return new

    def save_draft(self, key: str, draft: JsonObject) -> None:
        """Keep `draft`, a JSON object, under `key` in the place of the one before."""

        def kept() -> None:
            with self._writing():
                self._put_draft(key, draft)

        self.beside(kept)

    def _put_draft(self, key: str, draft: JsonObject) -> None:
        body = json.dumps(draft, ensure_ascii=False, allow_nan=False)
        at = schema.sortable(self._clock.now())
        self._db.execute("REPLACE INTO drafts VALUES (?, ?, ?)", (key, body, at))

    def drop_draft(self, key: str) -> None:
        """Forget the draft under `key`, if there is one."""

        def dropped() -> None:
            with self._writing():
                self._db.execute("DELETE FROM drafts WHERE key = ?", (key,))

        self.beside(dropped)

    # ------------------------------------------------------------ reading

    def draft_keys(self) -> tuple[str, ...]:
        """The names of all drafts."""
        with self._using():
            rows = self._db.execute("SELECT key FROM drafts ORDER BY key").fetchall()
        return tuple(row[0] for row in rows)

    def draft(self, key: str) -> JsonObject | None:
        """The draft under `key`."""
        with self._using():
            row = self._db.execute("SELECT body FROM drafts WHERE key = ?", (key,)).fetchone()
        if row is None:
            return None
        try:
            draft = json.loads(row[0])
        except ValueError:
            raise JournalDamaged(self.path, coded("draft_unread")) from None
        return draft if isinstance(draft, dict) else None

    def plans(self) -> tuple[Plan, ...]:
        """All plan versions, oldest first."""
        return self._plans("ORDER BY version")

    def plan_in_force(self) -> Plan | None:
        """The highest version that is signed, else the highest; see `newest_in_force`."""
        ending = f"WHERE {_IN_ITS_TIME} ORDER BY version DESC LIMIT 1"
        return next(iter(self._plans(ending)), None)

    @property
    def versions(self) -> Mapping[int, Plan]:
        """The plans that are or were in force by their version, each read when it is first touched:
        on the way to the front page the newest are, of all that years bring."""
        return PlanVersions(self._plans, self._asked)

    def entry(self, entry_id: str) -> AnyEntry | None:
        """The entry of that id."""
        return self.index.as_written(entry_id)

    def entries(self) -> tuple[AnyEntry, ...]:
        """All entries, in the order they were added. Slow on a long diary."""
        return self.index.every_entry()

    def diary(self) -> Diary:
        """All plans and entries; what is later than today is marked as written under a wrong clock.
        Raises JournalMissing when there is no plan yet."""
        from companion.care.clocks import written_after  # not on the way to the front page

        with self._reading():
            plans, entries = self.plans(), self.entries()
        if not plans:
            raise JournalMissing(coded("no_plan_yet"))
        later = tuple(sorted(written_after(entries, self._clock.today())))
        return Diary(plans=plans, entries=entries, wrong_clock=later)

    def count(self) -> int:
        """How many entries there are, corrected ones included."""
        with self._using():
            return int(self._db.execute("SELECT count(*) FROM entries").fetchone()[0])

    def last_day(self) -> date | None:
        """The latest day an entry is for, without reading entries; None when there is none."""
        with self._using():
            last = self._db.execute("SELECT max(for_day) FROM entries").fetchone()[0]
        return None if last is None else date.fromisoformat(last)

    def summary(self) -> Summary:
        """Counts, without reading entries."""
        with self._reading():
            entries, last = self._db.execute(
                "SELECT count(*), max(written_at) FROM entries"
            ).fetchone()
            plans = self._db.execute("SELECT count(*) FROM plans").fetchone()[0]
        return Summary(entries, plans, None if last is None else datetime.fromisoformat(last))

    # ------------------------------------------------------------ care of the store itself

    def check(self) -> None:
        """Check every page and row. Raises JournalDamaged."""
        with self._using():
            if backups.full_faults(self._db):
                raise JournalDamaged(self.path, coded("entries_changed"))

    # ------------------------------------------------------------ inside

    @contextlib.contextmanager
    def _using(self) -> Iterator[None]:
        """The connection, for this thread alone, and its faults as those a person is told."""
        with self._one_at_a_time, translated_errors(self.path):
            yield

    @contextlib.contextmanager
    def _writing(self) -> Iterator[None]:
        """One transaction: all of it, or nothing and the fault a person is told."""
        with self._using():
            self._db.execute("BEGIN IMMEDIATE")
            try:
                if not self._marked_open:
                    self._set_meta("closed_cleanly", "no")
                yield
                self._db.execute("COMMIT")
            except BaseException:
                with contextlib.suppress(sqlite3.Error):  # a full disk may have undone it already
                    self._db.execute("ROLLBACK")
                raise
            self._marked_open = True

    @contextlib.contextmanager
    def _reading(self) -> Iterator[None]:
        """Several questions to one state of the store, while another process may write."""
        with self._using():
            self._db.execute("BEGIN")
            try:
                yield
            finally:
                self._db.execute("ROLLBACK")

    def _last_turn(self) -> int:
        """The highest turn of any entry here, those of other machines too."""
        return int(self._meta("turn") or 0)

    def _meta(self, key: str) -> str | None:
        return _meta(self._db, key)

    def _set_meta(self, key: str, value: str) -> None:
        self._db.execute("REPLACE INTO meta VALUES (?, ?)", (key, value))

    def _put_plan(self, plan: Plan, row: tuple[int, str, int]) -> None:
        here = self.plans()
        if here and here[-1].person != plan.person:
            theirs, ours = plan.person, here[-1].person
            raise JournalConflict(coded("plan_of_another", theirs=theirs, ours=ours))
        same = next((old for old in here if old.version == plan.version), None)
        if same is None or (same.practice and not plan.practice):
            # One that nobody signed gives way: it was for looking round.
            self._db.execute("REPLACE INTO plans VALUES (?, ?, ?)", row)
        elif plan.practice and not same.practice:
            return
        elif encode(same) != encode(plan):
            raise JournalConflict(coded("plan_here_differs", version=plan.version))

    def _put_entry(self, row: schema.Row) -> bool:
        """Add the entry; False when it is here already."""
        here = self._db.execute("SELECT body FROM entries WHERE id = ?", row[:1]).fetchone()
        if here is None:
            self._db.execute(schema.INSERT_ENTRY, row)
            return True
        if here[0] != row[-2] and _canonical(here[0]) != _canonical(row[-2]):
            raise JournalConflict(coded("entry_here_differs"))
        return False

    def _check_references(self, entries: Sequence[AnyEntry]) -> None:
        versions = {version for (version,) in self._db.execute("SELECT version FROM plans")}
        for entry in entries:
            if entry.plan_version not in versions:
                raise JournalConflict(coded("plan_not_here", version=entry.plan_version))
            for named in (entry.replaces, entry.beside):
                if named is None:
                    continue
                found = self._db.execute("SELECT kind FROM entries WHERE id = ?", (named,))
                if found.fetchone() != (entry.kind,):
                    raise JournalConflict(coded("corrected_not_here"))

    def _plans(self, ending: str, values: Values | None = None) -> tuple[Plan, ...]:
        rows = self._asked(f"SELECT version, body, crc FROM plans {ending}", values or {})
        with self._trusting():
            return tuple(self._plan(*row) for row in rows)

    def _plan(self, version: int, body: str, crc: int) -> Plan:
        if schema.crc(version, body) != crc:
            raise ValueError
        if (version, crc) not in self._plans_read:
            self._plans_read[version, crc] = decode_plan(json.loads(body))
        return self._plans_read[version, crc]

    def _asked(self, question: str, values: Values) -> list[tuple[Any, ...]]:
        with self._using():
            return self._db.execute(question, values).fetchall()

    def _entries(self, numbers: Sequence[int]) -> list[tuple[int, AnyEntry]]:
        question = f"SELECT seq, {schema.ENTRY_COLUMNS} FROM entries WHERE seq IN ({_NUMBERS})"
        rows = self._asked(question, {"numbers": json.dumps(numbers)})
        with self._trusting():
            return [(row[0], _trusted_entry(row[1:])) for row in rows]

    @contextlib.contextmanager
    def _trusting(self) -> Iterator[None]:
        """A row that is not what was written is damage of the store."""
        try:
            yield
        except (ValueError, TypeError):
            raise JournalDamaged(self.path, coded("entry_changed")) from None


def is_older(folder: Path) -> bool:
    """Whether the store in a folder is to be brought up to date, which copies it first: to be done
    beside the window, by opening and closing it."""
    with contextlib.suppress(OSError), (folder / backups.STORE).open("rb") as file:
        head = file.read(100)
        # Offset 60 of the SQLite file format: the version its program gave it.
        version = int.from_bytes(head[60:64], "big", signed=True)
        return head.startswith(b"SQLite format 3\x00") and 0 <= version < schema.VERSION
    return False


def _opened_to_read(path: Path) -> sqlite3.Connection:
    if not path.is_file() or _is_empty(path):
        raise JournalMissing(coded("no_diary_there", folder=str(path.parent)))
    _trust_header(path)
    return backups.open_read_only(path)


def _connected(path: Path) -> sqlite3.Connection:
    """A connection to the store at `path`, which is made when there never was one."""
    if _is_empty(path):
        _make(path)
    else:
        _trust_header(path)
    # The thread that writes is not the window's; `Journal._using` lets in one at a time.
    db = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
    try:
        db.execute("PRAGMA trusted_schema = OFF")
        db.execute("PRAGMA journal_mode = DELETE")
        db.execute("PRAGMA synchronous = EXTRA")
    except BaseException:
        db.close()
        raise
    return db


def _is_empty(path: Path) -> bool:
    """Whether there is no store at `path` yet, or a file without anything in it. Raises
    JournalDamaged where copies beside it say that there was one."""
    there = path.exists()
    if there and path.stat().st_size:
        return False
    if any(backups.backup_folder(path.parent).glob("*.sqlite3")):
        raise JournalDamaged(path, coded("store_empty") if there else coded("store_missing"))
    return True


def _make(path: Path) -> None:
    """Put an empty store there, whole: one half made would be taken for a damaged one."""
    with backups.whole_store(path) as db:
        db.execute("BEGIN IMMEDIATE")
        schema.create(db)
        db.execute("COMMIT")


def _trust_header(path: Path) -> None:
    """Look at the file before the database does, which would take a stump for an empty store."""
    with path.open("rb") as file:
        if not file.read(100).startswith(b"SQLite format 3\x00"):
            raise JournalDamaged(path, coded("no_diary"))
    # Another process may be writing while we read only: a mismatch counts when it stays.
    if not any(_has_its_size(path) for _ in range(3)):
        raise JournalDamaged(path, coded("cut_short"))


def _has_its_size(path: Path) -> bool:
    """True when the file is as long as its header says (offsets of the SQLite file format)."""
    with path.open("rb") as file:
        head = file.read(100)
        size = os.fstat(file.fileno()).st_size
    if path.with_name(f"{path.name}-journal").exists():
        return True  # the size is final only once that file is gone
    page_size, pages = int.from_bytes(head[16:18], "big"), int.from_bytes(head[28:32], "big")
    return len(head) == 100 and size == (65536 if page_size == 1 else page_size) * pages


def _recognised(db: sqlite3.Connection, path: Path) -> int:
    """The version of the store, when it is ours and not newer than this program."""
    version = int(db.execute("PRAGMA user_version").fetchone()[0])
    application = int(db.execute("PRAGMA application_id").fetchone()[0])
    if version < 0 or application != (schema.APPLICATION_ID if version else 0):
        raise JournalDamaged(path, coded("no_diary"))
    if version > schema.VERSION:
        raise JournalTooNew(coded("store_too_new"))
    if not {"meta", "plans", "entries"} <= schema.found(db).keys():
        raise JournalDamaged(path, coded("no_diary"))
    return version


def _brought_up(
    db: sqlite3.Connection, path: Path, version: int, clock: Clock | None
) -> sqlite3.Connection:
    """The store in the newest shape: the same connection, after a copy was put aside.

    Without a clock nothing may be written: a copy in memory is brought up instead.
    """
    if backups.full_faults(db):
        raise JournalDamaged(path, coded("entries_changed"))
    if clock is None:
        copy = sqlite3.connect(":memory:", isolation_level=None)
        db.backup(copy)
        db.close()
        db = copy
    else:
        name = f"before-v{schema.VERSION}-{clock.now():%Y%m%dT%H%M%S}.sqlite3"
        target = backups.backup_folder(path.parent) / name
        backups.make(db, target)
        backups.turn_over(path.parent, clock.today(), [target])
    schema.migrate(db, version)
    return db


def _looked_over(db: sqlite3.Connection, path: Path, *, read_only: bool) -> None:
    """The look at every open; at everything when the last window did not close cleanly. What was
    found whole is marked so, and not looked at again until it is written to."""
    if schema.found(db) != schema.TABLES:
        raise JournalDamaged(path, coded("tables_differ"))
    if read_only or _meta(db, "closed_cleanly") != "no":
        return
    if backups.full_faults(db):
        raise JournalDamaged(path, coded("entries_changed"))
    with contextlib.suppress(sqlite3.Error):  # a full disk: then it is looked at again
        db.execute("UPDATE meta SET value = 'yes' WHERE key = 'closed_cleanly'")


def _meta(db: sqlite3.Connection, key: str) -> str | None:
    row = db.execute("SELECT value FROM meta WHERE key = ?", (key,)).fetchone()
    return None if row is None else str(row[0])


def _plan_row(plan: Plan) -> tuple[int, str, int]:
    row = schema.plan_row(plan)
    if decode_plan(json.loads(row[1])) != plan:
        raise ValueError("a plan must be read back as it was written")
    return row


def _entry_row(entry: AnyEntry) -> schema.Row:
    row = schema.entry_row(entry)
    if _decoded_entry(row[-2]) != entry:
        raise ValueError("an entry must be read back as it was written")
    return row


def _decoded_entry(body: str) -> AnyEntry:
    return decode_entry(json.loads(body))


def _canonical(body: str) -> JsonObject:
    """What a body says, however it was spelled: the offset of a time counts, not its spelling."""
    return encode(_decoded_entry(body))


def _trusted_entry(row: schema.Row) -> AnyEntry:
    if schema.crc(*row[:-1]) != row[-1]:
        raise ValueError(f"entry {row[0]}")
    return _decoded_entry(row[-2])
