"""Copies of the store beside it: made by the database itself, checked, and turned over."""

import contextlib
import json
import os
import re
import shutil
import sqlite3
import zlib
from collections.abc import Callable, Collection, Iterator
from datetime import date, datetime, timedelta
from pathlib import Path

from companion.care.coded import Coded, coded
from companion.journal import schema
from companion.journal.faults import (
    UNREADABLE,
    JournalConflict,
    JournalDamaged,
    translated_errors,
)
from companion.journal.instance_lock import InstanceLock
from companion.system.atomic import PART, make_private, private_folder, sweep_left, sync_folder
from companion.system.clock import Clock

STORE = "journal.sqlite3"
DESK_STORE = "people.sqlite"
"""The index of a clinic's desk, which is no diary."""
DAILY_KEPT = 7
WEEKLY_KEPT = 4
BEFORE_UPGRADE_KEPT = 3
_PIECE = 256
"""Pages copied at a time, a megabyte."""
BESIDE = ("-journal", "-wal", "-shm")
"""What the database keeps beside a store, by the ending of its name."""
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
    with whole_store(target) as copy:
        # In pieces: between two of them the window may write.
        db.backup(copy, pages=_PIECE, sleep=0)


@contextlib.contextmanager
def whole_store(
    target: Path, before: Callable[[], object] = lambda: None
) -> Iterator[sqlite3.Connection]:
    """A new store to be filled, which is at `target` once it is whole, checked and on the disk.

    `before` is done just before it takes that name. Raises sqlite3.Error or OSError; then
    `target` is as it was.
    """
    part = target.with_name(f".{target.name}{PART}")
    _drop(part, *BESIDE, "")
    try:
        make_private(part)
        with contextlib.closing(sqlite3.connect(part, isolation_level=None)) as fresh:
            yield fresh
            if full_faults(fresh):
                raise sqlite3.DatabaseError("the new store does not hold together")
        _sync_file(part)
        before()
        part.replace(target)
    except BaseException:
        with contextlib.suppress(OSError):
            _drop(part, *BESIDE, "")
        raise
    sync_folder(target.parent)


def _drop(store: Path, *suffixes: str) -> list[Path]:
    """Remove the files of a store that is not to be: those of these endings; which there were."""
    files = [store.with_name(store.name + suffix) for suffix in suffixes]
    there = [file for file in files if file.exists()]
    for file in there:
        file.unlink()
    return there


def tend(folder: Path, today: date) -> tuple[Path, ...]:
    """Make the copies of the day and of the week that are missing; those that were made.

    Each copy is checked whole before it takes its name, so damage of the store is found within a
    day. Works over a connection of its own: to be called in another thread than the window's, in
    whose way it does not stand. Raises JournalDamaged, JournalMachine.
    """
    store = folder / STORE
    with translated_errors(store):
        sweep(folder)
        missing = [
            target
            for name in names_due(today)
            if not (target := backup_folder(folder) / name).exists()
        ]
        if not missing or not store.exists():
            return ()
        with contextlib.closing(open_read_only(store)) as db:
            if db.execute("SELECT max(version) FROM plans").fetchone()[0] is None:
                return ()
            for target in missing:
                make(db, target)
        turn_over(folder, today, missing)
        return tuple(missing)


def made_now(folder: Path, today: date) -> Path:
    """The copy of the day, made anew with all that is in the store by now; its path.

    To be called in another thread than the window's, as `tend`. Raises as that does.
    """
    store = folder / STORE
    target = backup_folder(folder) / names_due(today)[0]
    with translated_errors(store):
        with contextlib.closing(open_read_only(store)) as db:
            make(db, target)
        turn_over(folder, today, [target])
    return target


def turn_over(folder: Path, today: date, made: Collection[Path] = ()) -> None:
    """Remove the oldest copies of each sort beyond the number kept.

    A copy dated in the future was made while the clock was ahead: such go first, or they would
    push out every copy that is made from now on. One of `made` never goes.
    """
    copies = backup_folder(folder)
    due = names_due(today)
    for pattern, kept, newest in (
        ("daily-*.sqlite3", DAILY_KEPT, due[0]),
        ("weekly-*.sqlite3", WEEKLY_KEPT, due[1]),
        ("before-v*.sqlite3", BEFORE_UPGRADE_KEPT, f"{today + timedelta(days=1):%Y%m%d}"),
    ):
        # Names sort by age but for the version in some: `before-v10` is newer than `before-v9`.
        names = {path: _BEFORE.sub("", path.name) for path in copies.glob(pattern)}
        by_age = sorted(names, key=lambda path: (names[path] <= newest, names[path]))
        for old in by_age[: max(0, len(by_age) - kept)]:
            if old not in made:
                old.unlink()


def sweep(folder: Path) -> None:
    """Take away what a killed program left half written. Whoever holds the lock may do it."""
    for place in (folder, backup_folder(folder)):
        sweep_left(place, after_s=0)


def by_content(folder: Path) -> list[Path]:
    """The copies that can be opened, the one with the most in it first.

    The store only grows, so the highest number of a row tells which copy is newest: neither the
    time of the file, which a move to a stick sets anew, nor the day in its name, which comes from
    a clock that may have been ahead.
    """
    found = {
        path: content
        for path in backup_folder(folder).glob("*.sqlite3")
        if (content := _content(path)) is not None
    }
    return sorted(found, key=lambda path: (found[path], path.name), reverse=True)


def _content(path: Path) -> tuple[int, int] | None:
    try:
        with contextlib.closing(open_read_only(path)) as db:
            entries = db.execute("SELECT max(rowid) FROM entries").fetchone()[0]
            plans = db.execute("SELECT max(version) FROM plans").fetchone()[0]
    except UNREADABLE:
        return None
    return int(entries or 0), int(plans or 0)


def last_written(copy: Path) -> datetime | None:
    """When the last entry of a good copy was written."""
    with translated_errors(copy), contextlib.closing(open_read_only(copy)) as db:
        last = db.execute("SELECT max(written_at) FROM entries").fetchone()[0]
    return None if last is None else datetime.fromisoformat(last)


def newest_good(folder: Path) -> Path | None:
    """The newest copy that opens, holds together and whose every entry can be read."""
    return next(filter(is_good, by_content(folder)), None)


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
    except (*UNREADABLE, OSError):
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
    *checked, crc = columns.split(", ")
    for name, row, was in db.execute(
        f"SELECT id, {schema.joined_sql(checked)}, {crc} FROM entries"
    ):
        if zlib.crc32(row) != was:
            yield f"entry {name}"


def _rows_unread(db: sqlite3.Connection) -> Iterator[str]:
    """Version 0 had no check over its rows: each is read instead."""
    from companion.wire.plain import decode_entry, decode_plan

    try:
        for (body,) in db.execute("SELECT body FROM plans"):
            decode_plan(schema.newest_plan(json.loads(body)))
        for (body,) in db.execute("SELECT body FROM entries"):
            decode_entry(schema.newest_entry(json.loads(body)))
    except (ValueError, TypeError) as fault:
        yield str(fault)


def restore(folder: Path, backup: Path, clock: Clock) -> Path | None:
    """Put `backup` in the place of the store in `folder`; the path of what was there before.

    The store that was there is moved aside, never overwritten. None when there was none. Raises
    JournalBusy while a window has it open, JournalConflict when the backup is not good itself.
    """

    def fill(db: sqlite3.Connection) -> None:
        if not is_good(backup):
            raise JournalConflict(coded("copy_damaged", name=backup.name))
        with contextlib.closing(open_read_only(backup)) as source:
            source.backup(db)

    return put_in_place(folder, fill, clock)


def put_in_place(
    folder: Path, fill: Callable[[sqlite3.Connection], None], clock: Clock
) -> Path | None:
    """Let `fill` write a new store, and put it in the place of the one in `folder`.

    The store that was there is moved aside, never overwritten; its path, None when there was none.
    Raises JournalBusy while a window has it open, JournalMachine when the machine fails.
    """
    store = folder / STORE
    with translated_errors(store), contextlib.ExitStack() as held:
        private_folder(folder)
        lock = InstanceLock(folder)
        held.callback(lock.release)
        aside = store.with_name(
            f"damaged-{clock.now():%Y%m%dT%H%M%S}-{os.urandom(2).hex()}.sqlite3"
        )
        # One that was only just begun holds nothing that anybody could miss.
        just_begun = store.exists() and _content(store) == (0, 0)
        with whole_store(store, lambda: None if just_begun else _keep_aside(store, aside)) as db:
            fill(db)
            # It may lack what was written since: what comes now is another machine's.
            db.execute("DELETE FROM meta WHERE key = 'machine'")
        return aside if aside.exists() else None


def _keep_aside(store: Path, aside: Path) -> None:
    """Give the store, and what the database keeps beside it, a second name.

    The store keeps its own until a new one takes it: at no moment is there none.
    """
    for suffix in ("", *BESIDE):
        part, kept = store.with_name(store.name + suffix), aside.with_name(aside.name + suffix)
        if part.exists():
            try:
                os.link(part, kept)
            except OSError:  # a disk without second names
                shutil.copyfile(part, kept)
                _sync_file(kept)
    sync_folder(store.parent)
    if any(_drop(store, *BESIDE)):  # left there, it would be played back into the new store
        sync_folder(store.parent)


def _sync_file(path: Path) -> None:
    handle = os.open(path, os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
