"""How the store of a folder and its copies are, looked at without touching either."""

import contextlib
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Literal

from companion.journal import schema
from companion.journal.backups import STORE, by_content, full_faults, is_good, open_read_only
from companion.journal.faults import UNREADABLE

StoreState = Literal["none", "whole", "damaged", "too_new"]


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreHealth:
    """A store and its copies. `faults` is the number of damaged places, at least 1 where it is
    damaged; `last_written` the time of its last entry; `copies` those that can be opened and
    `copied_until` the time of the last entry of the newest good one."""

    state: StoreState
    entries: int = 0
    faults: int = 0
    last_written: datetime | None = None
    copies: int = 0
    copied_until: datetime | None = None


def store_health(folder: Path) -> StoreHealth:
    """Read every row of the store in `folder`, and the newest copy. Writes nothing, takes no lock,
    never raises for what the files hold."""
    copies = by_content(folder)
    newest = next(filter(is_good, copies), None)
    until = None if newest is None else _read(newest).last_written
    store = folder / STORE
    found = _read(store) if store.exists() else StoreHealth(state="none")
    return StoreHealth(
        state=found.state,
        entries=found.entries,
        faults=found.faults,
        last_written=found.last_written,
        copies=len(copies),
        copied_until=until,
    )


def _read(store: Path) -> StoreHealth:
    try:
        with contextlib.closing(open_read_only(store)) as db:
            if int(db.execute("PRAGMA user_version").fetchone()[0]) > schema.VERSION:
                return StoreHealth(state="too_new")
            faults = full_faults(db)
            if faults:
                return StoreHealth(state="damaged", faults=len(faults))
            entries, last = db.execute("SELECT count(*), max(written_at) FROM entries").fetchone()
            written = None if last is None else datetime.fromisoformat(last)
            return StoreHealth(state="whole", entries=int(entries), last_written=written)
    except (*UNREADABLE, OSError):
        return StoreHealth(state="damaged", faults=1)
