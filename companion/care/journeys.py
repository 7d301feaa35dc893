"""Journeys: which one is now or comes next, what o'clock it is there, which pages are to be typed.

A journey begins and ends by its days alone: nobody has to come back to the program for the number
at home to stand first again.
"""

from datetime import date, datetime, timedelta, timezone

from companion.care.day_pages_kept import page_of
from companion.care.finding import Entries, find
from companion.care.history import instant
from companion.care.records import Journey, Side

MOST_DAYS_AWAY = 120
"""The longest journey that is offered (C)."""
SAID_BEFORE = timedelta(days=14)
"""So long before it a journey stands on the front page: tape is cut and tested at home (C)."""
PAGES_ASKED_FOR = timedelta(days=14)
"""So long after it the pages that were kept on paper are asked for (C)."""
_SUMMER_TIME = timedelta(hours=1)
_A_DAY = timedelta(days=1)


def journey_now(entries: Entries, today: date) -> Journey | None:
    """The journey that is under way: of several the one that began last."""
    under_way = [one for one in find(entries, Journey) if one.first_day <= today <= one.last_day]
    return max(under_way, key=_begins, default=None)


def journey_next(entries: Entries, today: date) -> Journey | None:
    """The journey that begins next."""
    to_come = [one for one in find(entries, Journey) if today < one.first_day <= one.last_day]
    return min(to_come, key=_begins, default=None)


def journey_of(entries: Entries, today: date) -> Journey | None:
    """The journey that is under way, else the next one."""
    return journey_now(entries, today) or journey_next(entries, today)


def _begins(journey: Journey) -> tuple[date, datetime, str]:
    return journey.first_day, instant(journey.written_at), journey.id


def pages_to_type(entries: Entries, side: Side, today: date) -> tuple[date, ...]:
    """The days of journeys that are just over on which a knee has no page, the oldest first."""
    days: set[date] = set()
    for one in find(entries, Journey):
        if one.last_day < today <= one.last_day + PAGES_ASKED_FOR:
            first = max(one.first_day, one.last_day - timedelta(days=MOST_DAYS_AWAY - 1))
            days |= {first + timedelta(days=n) for n in range((one.last_day - first).days + 1)}
    return tuple(day for day in sorted(days) if page_of(entries, day, side) is None)


def by_the_clock_there(at: datetime, journey: Journey) -> datetime | None:
    """`at`, a moment by this computer's clock, by the clock where the person is.

    None where both show the same, as far as is known: a computer that was taken along and set
    itself is told by an offset nearer to the one there than to that of home.
    """
    offset, ahead = at.utcoffset(), journey.clock_ahead
    if offset is None or not ahead or journey.home_minutes is None:
        return None
    moved, away = offset - timedelta(minutes=journey.home_minutes), timedelta(hours=ahead)
    if abs(moved - away) < abs(moved) or abs(offset + away) >= _A_DAY:
        return None
    return at.astimezone(timezone(offset + away))


def by_the_clock_then(at: datetime, then: datetime) -> datetime | None:
    """`at` by the clock by which `then` was written down; None where that is the same clock. An
    hour is summer time and no journey."""
    offset, other = at.utcoffset(), then.utcoffset()
    if offset is None or other is None or abs(offset - other) <= _SUMMER_TIME:
        return None
    return at.astimezone(timezone(other))
