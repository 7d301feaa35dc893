"""The only clock. Everything else is told the time."""

import time
from datetime import UTC, date, datetime, timedelta
from datetime import time as time_of_day
from typing import Protocol

from companion.care.days import diary_day

PINNED_CLOCKS_START_AT = time_of_day(18, 0)


class Clock(Protocol):
    """Tells the instant, with the local UTC offset, and the diary day."""

    def now(self) -> datetime:
        """The aware instant, in local time."""

    def today(self) -> date:
        """The diary day of `now`: it ends at 03:00 local time."""


class SystemClock:
    """The clock of the machine."""

    def now(self) -> datetime:
        """The aware instant, in local time."""
        return datetime.now(UTC).astimezone()

    def today(self) -> date:
        """The diary day of `now`."""
        return diary_day(self.now())


class PinnedClock:
    """A clock that stands at 18:00 local time of `day` when made, and runs on from there.

    It runs by the monotonic clock, so changing the machine's clock does not move it.
    """

    def __init__(self, day: date) -> None:
        started = datetime.combine(day, PINNED_CLOCKS_START_AT).astimezone()
        # In UTC, so that running on across a change to daylight saving stays true.
        self._started = started.astimezone(UTC)
        self._monotonic = time.monotonic()

    def now(self) -> datetime:
        """The aware instant, in local time."""
        elapsed = timedelta(seconds=time.monotonic() - self._monotonic)
        return (self._started + elapsed).astimezone()

    def today(self) -> date:
        """The diary day of `now`."""
        return diary_day(self.now())
