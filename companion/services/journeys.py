"""A journey written down, put right, and ended."""

from dataclasses import replace
from datetime import date, timedelta

from companion.care.journeys import journey_of
from companion.care.records import Journey, WrittenBy
from companion.services.context import Context


def journey_told(context: Context) -> Journey | None:
    """The journey that is under way, else the next one."""
    return journey_of(context.entries, context.clock.today())


def write_journey(
    context: Context,
    *,
    first_day: date,
    last_day: date,
    where: str | None,
    clock_ahead: float | None,
    emergency: str | None,
    written_by: WrittenBy,
    so_far: Journey | None = None,
) -> Journey:
    """Write a journey down, in place of what was told of it `so_far`. Raises LookupError without a
    plan, and ValueError for days in the wrong order."""
    if last_day < first_day:
        raise ValueError("a journey ends after it begins")
    stamp = context.stamp(written_by)
    offset = stamp["written_at"].utcoffset()
    # What the clock at home said is known from when it was first told: now it may be elsewhere.
    home = so_far.home_minutes if so_far is not None else None
    if home is None and offset is not None:
        home = round(offset / timedelta(minutes=1))
    journey = Journey(
        **stamp,
        replaces=None if so_far is None else so_far.id,
        first_day=first_day,
        last_day=last_day,
        where=where,
        clock_ahead=clock_ahead,
        home_minutes=home,
        emergency=emergency,
    )
    return context.journal.write(journey)[0]


def end_journey(context: Context, journey: Journey, written_by: WrittenBy) -> None:
    """Home again: it ended yesterday. One that did not begin before today is taken out."""
    today = context.clock.today()
    began = journey.first_day < today
    yesterday = min(journey.last_day, today - timedelta(days=1))
    ended = (
        replace(journey, last_day=yesterday)
        if began
        else replace(journey, withdrawn="never_happened")
    )
    context.correct(ended, written_by)
