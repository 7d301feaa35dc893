"""Weeks kept with a pen, typed in: read as a table is, and taken in, at home or in the clinic."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from companion.care.clocks import that_count
from companion.care.coded import Coded
from companion.care.records import AnyEntry, DayPage, Diary, Plan, Session, Side
from companion.exchange.files import diary_bytes
from companion.exchange.table import read_cells
from companion.services.clinic_import import Taken
from companion.services.context import PAPER_WEEKS, Context
from companion.services.practice import Practice, take_made

MOST_DAYS = 42
"""Days that are typed in one go (our choice, no source)."""


@dataclass(frozen=True, slots=True)
class TypedDay:
    """One day of one knee as it was typed: texts by the column of a table."""

    day: date
    side: Side
    texts: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Slip:
    """What cannot be taken of a typed day: the cell of a column, or with "" the whole day."""

    day: date
    side: Side
    column: str
    what: Coded


def read_days(
    plan: Plan, days: Sequence[TypedDay], written_at: datetime
) -> tuple[tuple[AnyEntry, ...], tuple[Slip, ...]]:
    """The entries of typed days, and the slips, each of which costs its cell. `written_at` (aware)
    is now."""
    columns = tuple(dict.fromkeys(column for day in days for column in day.texts))
    rows = [
        [day.day.isoformat(), day.side, *(day.texts.get(column, "") for column in columns)]
        for day in days
    ]
    reading = read_cells(("day", "side", *columns), rows, plan, written_at)
    slips = []
    for fault in reading.faults:
        of = days[max(fault.line, 1) - 1]
        slips.append(Slip(of.day, of.side, fault.column, fault.what))
    return reading.entries, tuple(slips)


def first_to_type(diary: Diary, today: date) -> date:
    """The day after the last one that was written down, else that of the plan; none to come."""
    written = [entry.for_day for entry in that_count(diary) if isinstance(entry, DayPage | Session)]
    first = max(written) + timedelta(days=1) if written else diary.plan.written_on
    return min(first, today)


def days_from(first: date, today: date) -> int:
    """How many days there are to type from `first` to today, in one go."""
    return min((today - first).days + 1, MOST_DAYS)


def written_days(diary: Diary) -> frozenset[tuple[date, Side]]:
    """The days and knees that have a page: it is put right where it stands, not typed again."""
    return frozenset(
        (entry.for_day, entry.side) for entry in that_count(diary) if isinstance(entry, DayPage)
    )


def keep_at_home(context: Context, entries: Sequence[AnyEntry]) -> None:
    """Take typed days into the diary at hand. They are appended, as what a file brings: none of it
    was told here. What was kept of them half typed is dropped with it. Raises JournalFault."""
    context.journal.append(*entries, drop_draft=PAPER_WEEKS)


def keep_at_clinic(practice: Practice, diary: Diary, entries: Sequence[AnyEntry]) -> Taken:
    """Take typed days into the clinic's list, as a file of their own. Raises Trouble."""
    return take_made(practice, diary_bytes(Diary(plans=diary.plans, entries=tuple(entries))))
