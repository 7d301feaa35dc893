"""This person's own limits: the usual spread, and what a day must move to mean anything.

The reference is 28 calendar days. What is usual of them is not to be raised by a flare among them:
the mean leaves out the lowest and the highest quarter, and the spread is that of the days below it.
Smallest real change of a day against another, of two days picked beforehand: 1.96 x sqrt 2 x the
spread. A rise is noticed by the signal of `flare_signal` when the mean of three days lies above the
usual by its limit.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from math import sqrt
from statistics import NormalDist

from companion.evidence.figures import Limits

REFERENCE_DAYS = 28  # (fact: own_limits)
REFERENCE_NEEDED = 14  # (fact: own_limits)
SPREAD_FLOOR = 0.6  # (fact: own_limits)
R = 0.35
"""Taken for how like a day is to the one before it: 28 days cannot show it (fact: flare_signal)."""
LEAST_RISE = 1.5
"""The smallest rise of a three-day mean that is ever a signal (fact: flare_signal)."""
SPREADS = 2.5  # (fact: flare_signal)
RISE_POINTS = 2.0
RISE_DAYS = 3
RISE_CANNOT_BE_RECORDED = 8.0
"""From this mean on a rise of two points runs into the end of the scale."""


@dataclass(frozen=True, slots=True)
class Reference:
    """What is usual: recorded days, mean of their middle half, spread (at least 0.6)."""

    days: int
    mean: float
    spread: float

    def rise_limit(self, recorded: tuple[int, ...]) -> float:
        """What the mean of the days at these places must rise to be a signal."""
        return max(LEAST_RISE, SPREADS * self.spread * sqrt(mean_variance(recorded, R)))


def mean_variance(recorded: tuple[int, ...], r: float) -> float:
    """Variance of a mean of unit-spread days at these places in a first-order series."""
    k = len(recorded)
    return sum(float(r ** abs(a - b)) for a in recorded for b in recorded) / k**2


def days_of(scores: Mapping[date, int], last_day: date) -> dict[date, int]:
    """The recorded days among the 28 calendar days that end on `last_day`."""
    days = (last_day - timedelta(days=back) for back in range(REFERENCE_DAYS))
    return {day: scores[day] for day in days if day in scores}


def reference(window: Mapping[date, int]) -> Reference | None:
    """The usual from the recorded days of a window; None below fourteen of them."""
    n = len(window)
    if n < REFERENCE_NEEDED:
        return None
    ordered = sorted(window.values())
    middle = ordered[n // 4 : n - n // 4]
    mean = sum(middle) / len(middle)
    below = sum(min(score - mean, 0.0) ** 2 for score in ordered) / n
    return Reference(days=n, mean=mean, spread=max(sqrt(2 * below), SPREAD_FLOOR))


def most(window: Mapping[date, int]) -> tuple[int, int]:
    """The narrowest range of whole scores that holds four of five days; the lowest of several."""
    found = sorted(window.values())
    wanted = -(-4 * len(found) // 5)
    ranges = zip(found, found[wanted - 1 :], strict=False)
    return min(ranges, key=lambda ends: (ends[1] - ends[0], ends[0]))


def limits(scores: Mapping[date, int], last_day: date | None) -> Limits:
    """The limits from the 28 days that end on `last_day`: those of the three days to come."""
    window = {} if last_day is None else days_of(scores, last_day)
    usual = reference(window)
    if usual is None:
        return Limits(days=len(window))
    running = tuple(range(RISE_DAYS))
    rise = usual.rise_limit(running)
    error = usual.spread * sqrt(mean_variance(running, R))
    low, high = most(window)
    recordable = usual.mean < RISE_CANNOT_BE_RECORDED
    return Limits(
        days=usual.days,
        mean=usual.mean,
        spread=usual.spread,
        most_low=low,
        most_high=high,
        most_days=sum(low <= score <= high for score in window.values()),
        real_change_points=1.96 * sqrt(2) * usual.spread,
        rise_limit_points=rise,
        rise_noticed=1 - NormalDist().cdf((rise - RISE_POINTS) / error) if recordable else None,
        rise_recordable=recordable,
    )
