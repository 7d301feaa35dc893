"""Outings that are still to be told of: how it was, and the morning after."""

from datetime import date, datetime, timedelta
from typing import Literal

from companion.care.finding import Entries, find, happened_at
from companion.care.history import instant
from companion.care.records import Outing, Record, record


@record
class OutingWaiting(Record):
    """An outing that is still to be told of: how it was, or the morning after."""

    what: Literal["after", "morning"]
    entry: Outing


def went(outing: Outing) -> bool:
    """False when it was said that nobody went."""
    return not (
        outing.ended_because is not None and outing.amount is not None and outing.amount.amount == 0
    )


def outings_waiting(entries: Entries, today: date, now: datetime) -> tuple[OutingWaiting, ...]:
    """Every outing still to be told of, how it was before the morning after, the oldest first.

    How it was is asked on the day and the day after; the morning after on that day alone. Later
    an answer would be made up, so it stays absent. `entries` are those that count.
    """
    after: list[OutingWaiting] = []
    morning: list[OutingWaiting] = []
    yesterday = today - timedelta(days=1)
    outings = find(entries, Outing, first_day=yesterday, last_day=today)
    for outing in sorted(outings, key=happened_at):
        if happened_at(outing) > instant(now):
            continue
        if outing.ended_because is None:
            after.append(OutingWaiting(what="after", entry=outing))
        elif outing.for_day == yesterday and not outing.mornings and went(outing):
            morning.append(OutingWaiting(what="morning", entry=outing))
    return (*after, *morning)
