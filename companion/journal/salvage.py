"""What can be saved of a damaged diary: every good row of the store and of each of its copies.

Each row carries a check of its own, so one that is damaged costs itself alone. The copies are of
the same store, so a row keeps its number in all of them: what is damaged here and good in a copy is
not lost. Nothing here writes into the damaged store; `backups.put_in_place` moves it aside.
"""

import contextlib
import json
import os
import shutil
import sqlite3
from collections.abc import Container, Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from pathlib import Path
from typing import get_args

from companion.care.coded import coded
from companion.care.history import on_their_own
from companion.care.json_values import JsonObject
from companion.care.records import AnyEntry, Diary, EntryKind, Plan, newest_in_force
from companion.journal import backups, schema
from companion.journal.faults import UNREADABLE, JournalConflict, translated_errors
from companion.system.atomic import PART
from companion.system.clock import Clock
from companion.wire.plain import decode_entry, decode_plan

_AHEAD = 2_000
"""How many rows behind an unreadable one are looked for where nothing tells the last number."""


@dataclass(frozen=True, slots=True)
class Lost:
    """An entry that is whole nowhere, and what its row still says of it."""

    id: str | None = None
    kind: EntryKind | None = None
    for_day: date | None = None


@dataclass(frozen=True, slots=True)
class Salvage:
    """All that is good. `rows` are the entries in the order they were added, by their number.

    `lost` are the entries of the damaged store that are whole nowhere; `store_read` is False where
    nothing of that store can be read, so that nobody knows what was written after the last copy.
    """

    plans: tuple[Plan, ...]
    rows: tuple[tuple[int, AnyEntry], ...]
    lost: tuple[Lost, ...]
    store_read: bool
    drafts: tuple[tuple[str, str, str], ...] = ()

    @property
    def entries(self) -> tuple[AnyEntry, ...]:
        """The good entries, in the order they were added."""
        return tuple(entry for _, entry in self.rows)

    @property
    def written_until(self) -> datetime | None:
        """When the last good entry was written."""
        return max((entry.written_at for entry in self.entries), default=None)

    @property
    def plan(self) -> Plan | None:
        """The plan in force, for the numbers to call."""
        return newest_in_force(self.plans) if self.plans else None


@dataclass(slots=True)
class _StoreRows:
    """One store, read row by row. Keys are the numbers of the rows."""

    plans: dict[int, Plan] = field(default_factory=dict)
    entries: dict[int, AnyEntry] = field(default_factory=dict)
    bad: dict[int, Lost] = field(default_factory=dict)
    drafts: dict[str, tuple[str, str]] = field(default_factory=dict)

    @property
    def last(self) -> int:
        return max((*self.entries, *self.bad), default=0)


def salvaged(folder: Path) -> Salvage:
    """Everything good in the store of `folder` and in its copies. Never raises for what they hold;
    raises JournalMachine when the machine fails."""
    with translated_errors(folder / backups.STORE):
        store = _rows_of(folder / backups.STORE, set())
        entries, plans, drafts = dict(store.entries), store.plans, store.drafts
        known = {entry.id for entry in entries.values()}
        for path in backups.by_content(folder):
            copy = _rows_of(path, known)
            for number, entry in copy.entries.items():
                known.add(entry.id)
                # Another entry has the number only after a repair: it then comes last.
                entries[number if number not in entries else max(entries) + 1] = entry
            plans, drafts = copy.plans | plans, copy.drafts | drafts
    missing = (
        store.bad.get(number, Lost())
        for number in range(1, store.last + 1)
        if number not in entries
    )
    return _referring(
        Salvage(
            plans=tuple(plans[version] for version in sorted(plans)),
            rows=tuple(sorted(entries.items(), key=lambda row: row[0])),
            lost=tuple(lost for lost in missing if lost.id not in known),
            store_read=bool(store.entries or store.bad or store.plans),
            drafts=tuple((key, *drafts[key]) for key in sorted(drafts)),
        )
    )


NOTHING = Salvage(plans=(), rows=(), lost=(), store_read=False)


def with_store(salvage: Salvage, path: Path, workroom: Path) -> Salvage:
    """The same with what is good in one store, a copy on a stick for example.

    It is looked at in a copy made in the folder `workroom`; nothing beside it is written. Raises
    JournalConflict for the diary of somebody else, JournalMachine when the machine fails.
    """
    with translated_errors(path):
        rows = _rows_of(path, set(), workroom)
    if not rows.plans:
        return salvage
    plans = tuple(rows.plans.values())
    entries = tuple(rows.entries[number] for number in sorted(rows.entries))
    found = with_diary(salvage, Diary(plans=plans, entries=entries))
    drafts = {key: (key, *draft) for key, draft in rows.drafts.items()}
    kept = drafts | {draft[0]: draft for draft in salvage.drafts}
    return replace(found, drafts=tuple(kept[key] for key in sorted(kept)))


def with_diary(salvage: Salvage, diary: Diary) -> Salvage:
    """The same with what a diary file holds beyond it. Raises JournalConflict for the diary of
    somebody else."""
    ours = salvage.plan
    if ours is not None and diary.plan.person != ours.person:
        raise JournalConflict(coded("plan_of_another", theirs=diary.plan.person, ours=ours.person))
    known = {entry.id for entry in salvage.entries}
    versions = {plan.version for plan in salvage.plans}
    added = tuple(entry for entry in diary.entries if entry.id not in known)
    found = {entry.id for entry in added}
    plans = (*salvage.plans, *(plan for plan in diary.plans if plan.version not in versions))
    last = max((number for number, _ in salvage.rows), default=0)
    return _referring(
        replace(
            salvage,
            plans=tuple(sorted(plans, key=lambda plan: plan.version)),
            rows=(*salvage.rows, *enumerate(added, last + 1)),
            lost=tuple(lost for lost in salvage.lost if lost.id not in found),
        )
    )


def mend(folder: Path, salvage: Salvage, clock: Clock) -> Path | None:
    """Put a whole store with everything that was saved in the place of the damaged one.

    The damaged store is moved aside and kept; its path, None when there was none. Raises
    JournalBusy while a window has it open, JournalMachine when the machine fails: then all is as it
    was.
    """

    def fill(db: sqlite3.Connection) -> None:
        db.execute("BEGIN IMMEDIATE")
        schema.create(db)
        db.executemany("INSERT INTO plans VALUES (?, ?, ?)", map(schema.plan_row, salvage.plans))
        # Each keeps its number: by that a copy made before is known to be older.
        db.executemany(
            schema.INSERT_NUMBERED, ((n, *schema.entry_row(entry)) for n, entry in salvage.rows)
        )
        db.executemany("INSERT INTO drafts VALUES (?, ?, ?)", salvage.drafts)
        turn = max((entry.turn or 0 for entry in salvage.entries), default=0)
        db.execute("INSERT INTO meta VALUES ('turn', ?)", (str(turn),))
        db.execute("COMMIT")

    return backups.put_in_place(folder, fill, clock)


def _referring(salvage: Salvage) -> Salvage:
    """The same, and nothing in it names what is lost.

    An entry that corrects a lost one stands for itself (`on_their_own`). An entry whose plan is
    lost is lost with it.
    """
    versions = {plan.version for plan in salvage.plans}
    lost = [
        Lost(entry.id, entry.kind, entry.for_day)
        for _, entry in salvage.rows
        if entry.plan_version not in versions
    ]
    gone = {each.id for each in lost}
    rows = [(number, entry) for number, entry in salvage.rows if entry.id not in gone]
    own = on_their_own([entry for _, entry in rows])
    kept = tuple((number, own[entry.id]) for number, entry in rows if entry.id in own)
    return replace(salvage, rows=kept, lost=(*salvage.lost, *lost))


# ---------------------------------------------------------------- reading row by row


def _rows_of(path: Path, known: Container[str], workroom: Path | None = None) -> _StoreRows:
    """What is good in one store, of whatever version, and not `known` by its id; nothing where it
    is no store at all. It is read in a copy: in the folder `workroom`, or beside it."""
    rows = _StoreRows()
    if not path.is_file():
        return rows
    # A rollback file beside it must be played back, which needs a store one may write to.
    workplace = (workroom or path.parent) / f".{path.name[:40]}.{os.urandom(4).hex()}{PART}"
    workplace.mkdir(mode=0o700)
    try:
        copy = workplace / "store"
        shutil.copyfile(path, copy)
        for part in backups.BESIDE:
            beside = path.with_name(path.name + part)
            if beside.exists():
                shutil.copyfile(beside, copy.with_name(copy.name + part))
        with contextlib.closing(sqlite3.connect(copy, isolation_level=None)) as db:
            db.text_factory = bytes  # what is no text is found by its row's check
            with contextlib.suppress(*UNREADABLE):
                # Without this a store that is cut short is not read at all.
                db.execute("PRAGMA writable_schema = ON")
            _read_plans(db, rows)
            _read_entries(db, rows, known)
            _read_drafts(db, rows)
    finally:
        shutil.rmtree(workplace, ignore_errors=True)
    return rows


def _read_plans(db: sqlite3.Connection, rows: _StoreRows) -> None:
    wanted = "version, body, crc" if "crc" in _columns(db, "plans") else "version, body"
    for number, row in _numbered(db, "plans", wanted, 0):
        plan = None if row is None else _plan(row)
        if plan is not None:
            rows.plans[number] = plan


def _read_entries(db: sqlite3.Connection, rows: _StoreRows, known: Container[str]) -> None:
    there = _columns(db, "entries")
    wanted = "body"
    if "crc" in there:
        wanted = schema.ENTRY_COLUMNS if "at" in there else schema.COLUMNS_BEFORE_AT
    names = wanted.split(", ")
    for number, row in _numbered(db, "entries", wanted, _AHEAD):
        told = _told(names, row)
        if told.id in known:
            continue
        entry = None if row is None else _entry(row)
        if entry is None:
            rows.bad[number] = told
        else:
            rows.entries[number] = entry
    if not _last_number(db, "entries"):
        # Nothing tells the last number: what is only looked for behind the last row is no row.
        end = max((n for n in (*rows.entries, *rows.bad) if rows.bad.get(n) != Lost()), default=0)
        rows.bad = {number: told for number, told in rows.bad.items() if number <= end}


def _read_drafts(db: sqlite3.Connection, rows: _StoreRows) -> None:
    with contextlib.suppress(*UNREADABLE):
        for row in db.execute("SELECT key, body, saved_at FROM drafts"):
            key, body, saved_at = (column.decode() for column in row)
            rows.drafts[key] = (body, saved_at)


_Row = tuple[object, ...]


def _numbered(
    db: sqlite3.Connection, table: str, columns: str, ahead: int
) -> Iterator[tuple[int, _Row | None]]:
    """Each row by its number; None for one that cannot be read. Behind such a row the next ones
    are asked for one by one."""
    last = 0
    try:
        for row in db.execute(f"SELECT rowid, {columns} FROM {table} ORDER BY rowid"):
            last = row[0]
            yield last, row[1:]
        return
    except UNREADABLE:
        pass
    end = _last_number(db, table) or last + ahead
    for number in range(last + 1, end + 1):
        found: _Row | None = None
        with contextlib.suppress(*UNREADABLE):
            asked = f"SELECT {columns} FROM {table} WHERE rowid = ?"
            found = db.execute(asked, (number,)).fetchone()
        yield number, found


def _last_number(db: sqlite3.Connection, table: str) -> int:
    with contextlib.suppress(*UNREADABLE, TypeError):
        asked = "SELECT seq FROM sqlite_sequence WHERE name = ?"
        return int(db.execute(asked, (table.encode(),)).fetchone()[0])
    return 0


def _columns(db: sqlite3.Connection, table: str) -> set[str]:
    try:
        return {row[1].decode() for row in db.execute(f"PRAGMA table_info({table})")}
    except UNREADABLE:
        return set()


def _plan(row: _Row) -> Plan | None:
    try:
        number, body, *check = _texts(row)
        if check and schema.crc(number, body) != check[0]:
            return None
        return decode_plan(schema.newest_plan(_object(body)))
    except (ValueError, TypeError, KeyError):
        return None


def _entry(row: _Row) -> AnyEntry | None:
    try:
        texts = _texts(row)
        if len(texts) > 1 and schema.crc(*texts[:-1]) != texts[-1]:
            return None
        return decode_entry(schema.newest_entry(_object(texts[-2] if len(texts) > 1 else texts[0])))
    except (ValueError, TypeError, KeyError):
        return None


def _texts(row: Iterable[object]) -> list[str | int | None]:
    """The columns as they were written. Raises ValueError for what is no text."""
    read: list[str | int | None] = []
    for column in row:
        if column is None or isinstance(column, int):
            read.append(column)
        elif isinstance(column, bytes):
            read.append(column.decode())
        else:
            raise TypeError(type(column))
    return read


def _object(body: str | int | None) -> JsonObject:
    value = json.loads(body) if isinstance(body, str) else None
    if not isinstance(value, dict):
        raise TypeError
    return value


def _told(names: list[str], row: _Row | None) -> Lost:
    """What a damaged row still says of itself, as far as that can be so."""
    if row is None:
        return Lost()
    said = dict(zip(names, row, strict=True))

    def text(name: str) -> str | None:
        column = said.get(name)
        with contextlib.suppress(UnicodeDecodeError):
            return column.decode() if isinstance(column, bytes) else None
        return None

    kind, day = text("kind"), text("for_day")
    for_day = None
    with contextlib.suppress(ValueError):
        for_day = date.fromisoformat(day) if day else None
    known = next((code for code in get_args(EntryKind) if code == kind), None)
    return Lost(text("id"), known, for_day)
