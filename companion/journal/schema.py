"""The shape of the store, and the way from every older shape to it.

Version 0 is the first trial's shape: no checks over rows, no drafts. Version 1 had no `at` and no
`tape_on`, and found entries of a kind by when they were written alone. From version 2 on
they are the same tables; what their bodies hold passes the steps of newer versions of the format.
"""

import json
import sqlite3
import zlib
from collections.abc import Callable, Sequence
from datetime import UTC, datetime

from companion.care.json_values import JsonObject
from companion.care.records import AnyEntry, Plan
from companion.wire.plain import encode

VERSION = 5
APPLICATION_ID = 0x4B6E6565
"""`Knee` in ASCII, in the header of the database: tells our store from any other."""

TABLES: dict[str, str] = {
    "meta": "CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID",
    "plans": (
        "CREATE TABLE plans (version INTEGER PRIMARY KEY, body TEXT NOT NULL, crc INTEGER NOT NULL)"
    ),
    "entries": (
        "CREATE TABLE entries (seq INTEGER PRIMARY KEY AUTOINCREMENT, id TEXT NOT NULL UNIQUE, "
        "kind TEXT NOT NULL, side TEXT, for_day TEXT NOT NULL, at TEXT NOT NULL, "
        "written_at TEXT NOT NULL, tape_on TEXT, replaces TEXT, body TEXT NOT NULL, "
        "crc INTEGER NOT NULL)"
    ),
    "drafts": (
        "CREATE TABLE drafts (key TEXT PRIMARY KEY, body TEXT NOT NULL, saved_at TEXT NOT NULL) "
        "WITHOUT ROWID"
    ),
    "entries_by_kind": "CREATE INDEX entries_by_kind ON entries (kind, for_day, written_at, side)",
    "entries_by_at": "CREATE INDEX entries_by_at ON entries (kind, side, at)",
    "entries_by_tape_on": (
        "CREATE INDEX entries_by_tape_on ON entries (tape_on) WHERE tape_on IS NOT NULL"
    ),
    "entries_by_replaces": (
        "CREATE INDEX entries_by_replaces ON entries (replaces) WHERE replaces IS NOT NULL"
    ),
    "entries_by_day": "CREATE INDEX entries_by_day ON entries (for_day)",
    "entries_by_time": "CREATE INDEX entries_by_time ON entries (written_at)",
}
"""`at` is when the entry happened, else when it was written; `tape_on` the tape it names;
`replaces` the entry it is another version of."""
ENTRY_COLUMNS = "id, kind, side, for_day, at, written_at, tape_on, replaces, body, crc"
COLUMNS_BEFORE_AT = "id, kind, side, for_day, written_at, replaces, body, crc"
"""Those of version 1. The last column is the check over the others."""
INSERT_NUMBERED = (
    f"INSERT INTO entries (seq, {ENTRY_COLUMNS}) "
    f"VALUES ({', '.join('?' * (1 + len(ENTRY_COLUMNS.split(', '))))})"
)
Row = tuple[str, str, str | None, str, str, str, str | None, str | None, str, int]

INSERT_ENTRY = (
    f"INSERT INTO entries ({ENTRY_COLUMNS}) "
    f"VALUES ({', '.join('?' * len(ENTRY_COLUMNS.split(', ')))})"
)


def entry_row(entry: AnyEntry) -> Row:
    """The columns of an entry, in the order of ENTRY_COLUMNS."""
    body = json.dumps(encode(entry), ensure_ascii=False, separators=(",", ":"))
    columns = (
        entry.id,
        entry.kind,
        getattr(entry, "side", None),
        entry.for_day.isoformat(),
        sortable(getattr(entry, "happened_at", None) or entry.written_at),
        sortable(entry.written_at),
        getattr(entry, "tape_on", None),
        entry.replaces or entry.beside,
        body,
    )
    return (*columns, crc(*columns))


def plan_row(plan: Plan) -> tuple[int, str, int]:
    """The columns of a plan."""
    body = json.dumps(encode(plan), ensure_ascii=False, separators=(",", ":"))
    return plan.version, body, crc(plan.version, body)


def sortable(at: datetime) -> str:
    """An instant in UTC, of one length, so that texts sort as instants do."""
    return at.astimezone(UTC).isoformat(timespec="microseconds")


def crc(*columns: str | int | None) -> int:
    """CRC-32 of a row: a letter that changed on the disk never passes for what was written."""
    joined = "\x1f".join("" if column is None else str(column) for column in columns)
    return zlib.crc32(joined.encode("utf-8", "surrogatepass"))


def joined_sql(columns: Sequence[str]) -> str:
    """The bytes `crc` is over, put together by the database: for the rows of a whole store."""
    parts = " || char(31) || ".join(f"coalesce({column}, '')" for column in columns)
    return f"CAST({parts} AS BLOB)"


def newest_plan(body: JsonObject) -> JsonObject:
    """The body of a plan as the newest version has it, whatever version wrote it."""
    from companion.wire.upgrades import PLAN_UPGRADES, upgraded

    return upgraded(body, *_BODIES, PLAN_UPGRADES)


def newest_entry(body: JsonObject) -> JsonObject:
    """The same for an entry."""
    from companion.wire.upgrades import ENTRY_UPGRADES, upgraded

    return upgraded(body, *_BODIES, ENTRY_UPGRADES)


def create(db: sqlite3.Connection) -> None:
    """Make the tables of the newest version, inside the caller's transaction."""
    for statement in TABLES.values():
        db.execute(statement)
    db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    db.execute(f"PRAGMA user_version = {VERSION}")


def found(db: sqlite3.Connection) -> dict[str, str]:
    """The statements of the tables and indexes that are there, by name."""
    rows = db.execute("SELECT name, sql FROM sqlite_master WHERE name NOT LIKE 'sqlite_%'")
    return dict(rows.fetchall())


def _anew(db: sqlite3.Connection) -> None:
    """Write plans and entries into new tables: their bodies tell every column."""
    from companion.wire.plain import decode_entry, decode_plan

    plans = [
        decode_plan(newest_plan(json.loads(body)))
        for (body,) in db.execute("SELECT body FROM plans")
    ]
    entries = [
        decode_entry(newest_entry(json.loads(body)))
        for (body,) in db.execute("SELECT body FROM entries ORDER BY seq").fetchall()
    ]
    kept = {
        name: db.execute(f"SELECT * FROM {name}").fetchall() for name in _KEPT & found(db).keys()
    }
    for table in {"plans", "entries", *kept}:
        db.execute(f"DROP TABLE {table}")
    for statement in TABLES.values():
        db.execute(statement)
    db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    for name, rows in kept.items():
        if rows:
            marks = ", ".join("?" * len(rows[0]))
            db.executemany(f"INSERT INTO {name} VALUES ({marks})", rows)
    db.executemany("INSERT INTO plans VALUES (?, ?, ?)", map(plan_row, plans))
    db.executemany(INSERT_ENTRY, map(entry_row, entries))


_BODIES = (1, 7)
"""Bodies are written as in files: from version 1 of that format on, and up to the version of this
store. No step harms a body that is newer than it."""
_KEPT = {"meta", "drafts"}
"""Tables taken over as they are."""
STEPS: dict[int, Callable[[sqlite3.Connection], None]] = dict.fromkeys(range(VERSION), _anew)
"""The step from each older version to the newest. A step sees one open transaction."""


def migrate(db: sqlite3.Connection, version: int) -> None:
    """Bring the store from `version` to VERSION, in one transaction."""
    db.execute("BEGIN IMMEDIATE")
    try:
        STEPS[version](db)
        db.execute(f"PRAGMA user_version = {VERSION}")
    except BaseException:
        db.execute("ROLLBACK")
        raise
    db.execute("COMMIT")
