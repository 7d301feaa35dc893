"""Entries written while the clock of their machine was wrong.

Such an entry is kept, is told apart, and counts in no figure until a correction says when it was
written. A clock is known to have been wrong in two ways: the entry is later than the day it is
read on, or it does not fit the order in which its machine wrote (`turn`).
"""

from bisect import bisect_right
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import fields, replace
from datetime import date, datetime, timedelta
from typing import TypeVar

from companion.care.days import diary_day
from companion.care.history import current, instant
from companion.care.records import AnyEntry, Diary, WarningSign

E = TypeVar("E", bound=AnyEntry)
CLOCK_SLACK = timedelta(days=1)
"""So far a clock put right, or a journey, may set one time off another."""
LEAP = timedelta(weeks=3)
"""A clock that is ahead of the last entry by so much is asked about (C)."""


def written_after(entries: Iterable[AnyEntry], day: date) -> frozenset[str]:
    """The ids of entries that were written later than the day after `day`."""
    return frozenset(
        entry.id for entry in entries if diary_day(entry.written_at) > day + CLOCK_SLACK
    )


def out_of_order(entries: Iterable[AnyEntry]) -> frozenset[str]:
    """The ids of entries whose time does not fit the order in which their machine wrote.

    Of one machine the fewest are named that leave the others in order; where that leaves a choice,
    those whose clock was ahead. Entries without a turn are never named.
    """
    machines: dict[str, list[AnyEntry]] = {}
    for entry in entries:
        if entry.machine is not None and entry.turn is not None:
            machines.setdefault(entry.machine, []).append(entry)
    return frozenset(name for wrote in machines.values() for name in _misfits(wrote))


def under_wrong_clock(diary: Diary) -> frozenset[str]:
    """The ids of all entries of a diary that were written under a wrong clock."""
    return out_of_order(diary.entries) | frozenset(diary.wrong_clock)


def that_count(diary: Diary) -> tuple[AnyEntry, ...]:
    """The entries of a diary that count in figures: current ones, under a clock that was right.

    Whatever is told as a figure, a table or a chart of days counts these, at home as at the clinic.
    What decides what a person may do, or shows an entry to put it right, asks `current`: a sign or
    tape that is on must not be forgotten for a clock. An open sign stays one whatever the clock
    said: it counts for the last day that is sure.
    """
    counting = current(diary.entries)
    wrong = under_wrong_clock(diary)
    if not wrong:
        return counting
    sure = [entry for entry in counting if entry.id not in wrong]
    last = max((entry.for_day for entry in sure), default=diary.plan.written_on)
    signs = (e for e in counting if e.id in wrong and isinstance(e, WarningSign))
    return (*sure, *(moved(sign, min(last - sign.for_day, timedelta())) for sign in signs))


def newest_written(diary: Diary) -> datetime | None:
    """When a diary was last written to under a clock that was right, by a withdrawal as well; None
    where nothing was."""
    wrong = under_wrong_clock(diary)
    return max((e.written_at for e in diary.entries if e.id not in wrong), default=None)


def uncounted(diary: Diary) -> tuple[AnyEntry, ...]:
    """The entries that would count, had their clock been right."""
    wrong = under_wrong_clock(diary)
    return tuple(e for e in current(diary.entries) if e.id in wrong) if wrong else ()


def moved(entry: E, by: timedelta, before: AnyEntry | None = None) -> E:
    """The same entry by so many days earlier or later, all its days and times but when it was
    written; the time of day stays. So does what it took over from the version `before` it."""
    changed = {
        field.name: value + by
        for field in fields(entry)
        if field.name != "written_at"
        and isinstance(value := getattr(entry, field.name), date)
        and value != getattr(before, field.name, None)
    }
    return replace(entry, **changed)  # type: ignore[arg-type]


def _misfits(wrote: Collection[AnyEntry]) -> Iterator[str]:
    """See `out_of_order`, of one machine: what is not in the longest row of times that never go
    back, and more than the slack off its neighbours in that row."""
    # Where a file gives one turn twice, what is told must not hang on the order of its lines.
    in_turn = sorted(wrote, key=lambda one: (one.turn or 0, instant(one.written_at), one.id))
    times = [instant(entry.written_at) for entry in in_turn]
    row = _longest_row(times)
    earlier = _beside(times, row)
    later = [*reversed(_beside(times[::-1], {len(times) - 1 - place for place in row}))]
    for entry, at, before, after in zip(in_turn, times, earlier, later, strict=True):
        if (before is not None and at < before - CLOCK_SLACK) or (
            after is not None and at > after + CLOCK_SLACK
        ):
            yield entry.id


def _longest_row(times: Sequence[datetime]) -> set[int]:
    """The places of a longest row of times that never go back: of equal ones that which ends with
    the latest in turn."""
    ends: list[datetime] = []
    places: list[int] = []
    before: list[int | None] = []
    for place, at in enumerate(times):
        length = bisect_right(ends, at)
        before.append(places[length - 1] if length else None)
        if length == len(ends):
            ends.append(at)
            places.append(place)
        else:
            ends[length], places[length] = at, place
    row: set[int] = set()
    last = places[-1] if places else None
    while last is not None:
        row.add(last)
        last = before[last]
    return row


def _beside(times: Sequence[datetime], row: Collection[int]) -> list[datetime | None]:
    """For each place the nearest time of the row at or before it."""
    found: list[datetime | None] = []
    nearest: datetime | None = None
    for place, at in enumerate(times):
        nearest = at if place in row else nearest
        found.append(nearest)
    return found
