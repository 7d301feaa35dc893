"""Outings that are still to be told of: how it was, and the morning after."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from companion.care.history import instant
from companion.care.records import AnyEntry, Outing, Side


@dataclass(frozen=True, slots=True, kw_only=True)
class OutingWaiting:
    """An outing that is still to be told of: how it was, or the morning after."""

    what: Literal["after", "morning"]
    side: Side
    entry: Outing


def went(outing: Outing) -> bool:
    """False when it was said that nobody went."""
    return not (
        outing.ended_because is not None and outing.amount is not None and outing.amount.amount == 0
    )


def outings_waiting(
    entries: Iterable[AnyEntry], today: date, now: datetime
) -> tuple[OutingWaiting, ...]:
    """Every outing still to be told of, how it was before the morning after, the oldest first.

    How it was is asked on the day and the day after; the morning after on that day alone. Later
    an answer would be made up, so it stays absent. `entries` are those that count.
    """
    after: list[OutingWaiting] = []
    morning: list[OutingWaiting] = []
    outings = [entry for entry in entries if isinstance(entry, Outing)]
    for outing in sorted(outings, key=lambda one: instant(one.happened_at or one.written_at)):
        days = (today - outing.for_day).days
        begun = instant(outing.happened_at or outing.written_at) <= instant(now)
        if days not in (0, 1) or not begun:
            continue
        if outing.ended_because is None:
            after.append(OutingWaiting(what="after", side=outing.side, entry=outing))
        elif days == 1 and outing.next_morning is None and went(outing):
            morning.append(OutingWaiting(what="morning", side=outing.side, entry=outing))
    return (*after, *morning)


def outing_waiting(
    entries: Iterable[AnyEntry], today: date, now: datetime, side: Side | None = None
) -> OutingWaiting | None:
    """What is to be told first, of one knee or of either; None when nothing is."""
    waiting = outings_waiting(entries, today, now)
    return next((one for one in waiting if side in (None, one.side)), None)
