"""Copies of the store beside it: made by the database itself, checked, and turned over."""

import contextlib
import json
import os
import re
import sqlite3
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path

from companion.care.coded import Coded, coded
from companion.journal import schema
from companion.journal.faults import JournalConflict, JournalDamaged, translated_errors
from companion.journal.instance_lock import InstanceLock
from companion.system.atomic import open_private, sync_folder
from companion.system.clock import Clock

STORE = "journal.sqlite3"
DAILY_KEPT = 7
WEEKLY_KEPT = 4
BEFORE_UPGRADE_KEPT = 3
_BEFORE = re.compile(r"^before-v\d+-")


def backup_folder(folder: Path) -> Path:
    """The folder of the copies of the store in `folder`."""
    return folder / "backups"


def names_due(day: date) -> tuple[str, str]:
    """The copies that belong to a day: one of the day, one of its ISO week."""
    year, week, _ = day.isocalendar()
    return f"daily-{day.isoformat()}.sqlite3", f"weekly-{year}-W{week:02}.sqlite3"


def make(db: sqlite3.Connection, target: Path) -> None:
    """Copy the store to `target`, whole or not at all. Raises sqlite3.Error or OSError.

    The copy is made by the backup interface, which is right however the store is being used, and
    is checked before it takes its name: a good copy is never replaced by a bad one.
    """
    target.parent.mkdir(mode=0o700, exist_ok=True)
    part = target.with_name(f".{target.name}.part")
    part.unlink(missing_ok=True)
    try:
        open_private(part).close()
        with contextlib.closing(sqlite3.connect(part, isolation_level=None)) as copy:
            db.backup(copy)
            if full_faults(copy):
                raise sqlite3.DatabaseError("the copy does not hold together")
        _sync_file(part)
        part.replace(target)
    except BaseException:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
        raise
    sync_folder(target.parent)


def turn_over(folder: Path) -> None:
    """Remove the oldest copies of each sort beyond the number kept."""
    copies = backup_folder(folder)
    for pattern, kept in (
        ("daily-*.sqlite3", DAILY_KEPT),
        ("weekly-*.sqlite3", WEEKLY_KEPT),
        ("before-v*.sqlite3", BEFORE_UPGRADE_KEPT),
    ):
        # Names sort by age but for the version in some: `before-v10` is newer than `before-v9`.
        by_age = sorted(copies.glob(pattern), key=lambda copy: _BEFORE.sub("", copy.name))
        for old in by_age[:-kept]:
            old.unlink()


def newest_good(folder: Path) -> Path | None:
    """The newest copy that opens, holds together and whose every entry can be read."""
    copies = [*backup_folder(folder).glob("*.sqlite3")]
    with contextlib.suppress(OSError):
        copies.sort(key=lambda path: path.stat().st_mtime_ns, reverse=True)
    return next((path for path in copies if is_good(path)), None)


def damage_told(fault: JournalDamaged) -> Coded:
    """What the person is told of a damaged store: why, and the newest good copy."""
    copy = newest_good(fault.path.parent)
    if copy is None:
        return coded("store_damaged_no_copy", why=fault.why)
    return coded("store_damaged_copy", why=fault.why, name=copy.name)


def is_good(path: Path) -> bool:
    """True when the store at `path` is one of ours and nothing in it is damaged."""
    try:
        with contextlib.closing(open_read_only(path)) as db:
            version = int(db.execute("PRAGMA user_version").fetchone()[0])
            return version <= schema.VERSION and not full_faults(db)
    except (sqlite3.Error, OSError):
        return False


def open_read_only(path: Path) -> sqlite3.Connection:
    """A connection that cannot write. Raises sqlite3.Error when there is no such file."""
    uri = f"{path.absolute().as_uri()}?mode=ro"
    return sqlite3.connect(uri, uri=True, isolation_level=None)


def full_faults(db: sqlite3.Connection) -> tuple[str, ...]:
    """All that is wrong with a store of any version: its pages, then every row in it."""
    pages = [row[0] for row in db.execute("PRAGMA quick_check(5)")]
    if pages != ["ok"]:
        return tuple(pages)
    return tuple(_row_faults(db))


def _row_faults(db: sqlite3.Connection) -> Iterator[str]:
    version = int(db.execute("PRAGMA user_version").fetchone()[0])
    if version == 0:
        yield from _rows_unread(db)
        return
    for number, body, crc in db.execute("SELECT version, body, crc FROM plans"):
        if schema.crc(number, body) != crc:
            yield f"plan version {number}"
    columns = schema.COLUMNS_BEFORE_AT if version == 1 else schema.ENTRY_COLUMNS
    for row in db.execute(f"SELECT {columns} FROM entries"):
        if schema.crc(*row[:-1]) != row[-1]:
            yield f"entry {row[0]}"


def _rows_unread(db: sqlite3.Connection) -> Iterator[str]:
    """Version 0 had no check over its rows: each is read instead."""
    from companion.wire.plain import decode_entry, decode_plan

    try:
        for (body,) in db.execute("SELECT body FROM plans"):
            decode_plan(json.loads(body))
        for (body,) in db.execute("SELECT body FROM entries"):
            decode_entry(json.loads(body))
    except (ValueError, TypeError) as fault:
        yield str(fault)


def restore(folder: Path, backup: Path, clock: Clock) -> Path | None:
    """Put `backup` in the place of the store in `folder`; the path of what was there before.

    The store that was there is moved aside, never overwritten. None when there was none. Raises
    JournalBusy while a window has it open, JournalConflict when the backup is not good itself.
    """
    store = folder / STORE
    with translated_errors(store), contextlib.ExitStack() as held:
        lock = InstanceLock(folder)
        held.callback(lock.release)
        if not is_good(backup):
            raise JournalConflict(coded("copy_damaged", name=backup.name))
        fresh = folder / f".{STORE}.part"
        fresh.unlink(missing_ok=True)
        open_private(fresh).close()
        with (
            contextlib.closing(open_read_only(backup)) as source,
            contextlib.closing(sqlite3.connect(fresh, isolation_level=None)) as copy,
        ):
            source.backup(copy)
        _sync_file(fresh)
        aside = _move_aside(store, clock.now())
        fresh.replace(store)
        sync_folder(folder)
        return aside


def _move_aside(store: Path, at: datetime) -> Path | None:
    """Rename the store and the database's own files that belong to it."""
    if not store.exists():
        return None
    aside = store.with_name(f"damaged-{at:%Y%m%dT%H%M%S}-{os.urandom(2).hex()}.sqlite3")
    # The rollback file first: left behind, it would be played back into the restored store.
    for suffix in ("-journal", "-wal", "-shm", ""):
        part = store.with_name(store.name + suffix)
        if part.exists():
            part.replace(aside.with_name(aside.name + suffix))
    return aside


def _sync_file(path: Path) -> None:
    handle = os.open(path, os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
