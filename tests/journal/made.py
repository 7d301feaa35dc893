"""A store in a throwaway folder, and entries by the dozen."""

import sqlite3
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from companion.care.records import AnyEntry, DayPage, Plan
from companion.journal import schema
from companion.journal.store import Journal
from companion.system.clock import Clock, PinnedClock
from companion.system.ids import new_id
from tests import builders

DAY = date(2026, 3, 9)
PLAN: Plan = builders.small_plan()


class SetClock:
    """A clock that stands where it is put."""

    def __init__(self, day: date) -> None:
        self.day = day

    def now(self) -> datetime:
        return datetime(self.day.year, self.day.month, self.day.day, 18, tzinfo=UTC)

    def today(self) -> date:
        return self.day


def page(number: int = 0, **fields: Any) -> DayPage:
    """The day page of the right knee, `number` days after the plan was written. Its id is random:
    other processes write into the same store."""
    return builders.page(number, **({"id": new_id(), "pain_average": number % 11} | fields))


def opened(folder: Path, clock: Clock | None = None, **options: Any) -> Journal:
    return Journal.open(folder, clock or PinnedClock(DAY), **options)


def filled(folder: Path, *entries: AnyEntry) -> Path:
    """A store that holds the plan and `entries` and was closed."""
    with opened(folder) as journal:
        journal.append(*entries, plans=(PLAN,))
        return journal.path


def in_memory(*entries: AnyEntry) -> Journal:
    """An open store that holds the plan and `entries` and is on no disc."""
    db = sqlite3.connect(":memory:", isolation_level=None)
    schema.create(db)
    journal = Journal(Path("nowhere"), PinnedClock(DAY), db, None)
    journal.append(*entries, plans=(PLAN,))
    return journal


def everything(folder: Path) -> dict[str, bytes]:
    """Every file below a folder and its bytes, the lock's apart."""
    return dict(_files(folder))


def _files(folder: Path) -> Iterator[tuple[str, bytes]]:
    for path in sorted(folder.rglob("*")):
        if path.is_file() and path.name != "journal.lock":
            yield str(path.relative_to(folder)), path.read_bytes()
