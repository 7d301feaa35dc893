"""Seeded chance, the pain it moves, and the clock of the town.

The files must come out the same to the byte on every machine and every Python, so only
`random.Random.random` and `getrandbits` are used, and only arithmetic that IEEE 754 rounds exactly
(no logarithm, no sine).
"""

import math
import random
from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta, timezone
from typing import TypeVar

Item = TypeVar("Item")


class Dice:
    """One stream of chance from one seed."""

    def __init__(self, seed: int) -> None:
        self._random = random.Random(seed)

    def happens(self, probability: float) -> bool:
        """True in the share `probability` (0-1) of calls."""
        return self._random.random() < probability

    def whole(self, least: int, most: int) -> int:
        """A whole number from `least` to `most`, both included."""
        return least + int(self._random.random() * (most - least + 1))

    def pick(self, items: Sequence[Item]) -> Item:
        """One of `items`."""
        return items[self.whole(0, len(items) - 1)]

    def bell(self, mean: float, spread: float) -> float:
        """A number round `mean` with standard deviation `spread`.

        The sum of twelve even draws: its variance is exactly 1, its tails end at 6.
        """
        return mean + spread * (sum(self._random.random() for _ in range(12)) - 6.0)

    def entry_id(self) -> str:
        """Thirty-two hexadecimal digits."""
        return f"{self._random.getrandbits(128):032x}"


class Swing:
    """What pain adds to its level from day to day: AR(1), standard deviation `spread` points.

    Diaries of this kind have a spread of 0.6 to 1.6 and a lag-1 correlation of 0 to 0.6 (the
    range our statistics were chosen on; C).
    """

    def __init__(self, dice: Dice, spread: float, lag1: float) -> None:
        if not (0.6 <= spread <= 1.6 and 0.0 <= lag1 <= 0.6):
            raise ValueError("spread is 0.6 to 1.6 points, lag1 is 0 to 0.6")
        self._dice = dice
        self._spread = spread
        self._lag1 = lag1
        self._now = dice.bell(0.0, spread)

    def next_day(self) -> float:
        """The swing of the next day, in points."""
        fresh = self._dice.bell(0.0, self._spread * math.sqrt(1.0 - self._lag1 * self._lag1))
        self._now = self._lag1 * self._now + fresh
        return self._now


def score_0_10(value: float) -> int:
    """The nearest whole number from 0 to 10; halves go up."""
    return max(0, min(10, math.floor(value + 0.5)))


def last_sunday(year: int, month: int) -> date:
    """The last Sunday of a month of 31 days."""
    last = date(year, month, 31)
    return last - timedelta(days=(last.weekday() + 1) % 7)


def town_time(day: date, minutes: float) -> datetime:
    """The instant `minutes` after midnight of `day` by the town's clock, to the second.

    Pellan Harbour keeps United Kingdom time: one hour ahead from the last Sunday of March to the
    last Sunday of October, changing at 01:00 Greenwich mean time (fact:
    uk_clock_change). Instants between 01:00 and 02:00 of those two nights are not asked for.
    """
    starts, ends = last_sunday(day.year, 3), last_sunday(day.year, 10)
    wall = datetime.combine(day, time()) + timedelta(seconds=math.floor(minutes * 60))
    summer = datetime.combine(starts, time(1)) <= wall < datetime.combine(ends, time(2))
    return wall.replace(tzinfo=timezone(timedelta(hours=1 if summer else 0)))


def later(at: datetime, hours: float) -> datetime:
    """The instant `hours` after `at`, told by the town's clock of that day."""
    then = at.astimezone(UTC) + timedelta(hours=hours)
    for ahead in (1, 0):
        there = then.astimezone(timezone(timedelta(hours=ahead)))
        if town_time(there.date(), minutes_of(there)).utcoffset() == there.utcoffset():
            return there
    raise ValueError(f"{then} is in the night the clocks change")


def minutes_of(at: datetime) -> float:
    """Minutes after midnight on the clock of `at`."""
    return at.hour * 60 + at.minute + at.second / 60
