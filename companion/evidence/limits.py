"""This person's own limits: the usual spread, and what a day must move to mean anything.

The reference is 28 calendar days. Smallest real change of a day against another: 1.96 x sqrt 2 x
the spread within the reference. A rise is noticed by the signal of `flare_signal` when the mean of
three days lies above the usual by its limit.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from math import sqrt
from statistics import NormalDist, stdev

from companion.evidence.autocorrelation import corrected, lag_one
from companion.evidence.figures import Limits

REFERENCE_DAYS = 28  # (fact: own_limits)
REFERENCE_NEEDED = 14  # (fact: own_limits)
SPREAD_FLOOR = 0.5  # (fact: own_limits)
MOST_AUTOCORRELATION = 0.8  # (fact: own_limits)
LEAST_RISE = 4 / 3
"""The smallest rise of a three-day mean that is ever a signal: four points over three days (fact:
flare_signal)."""
SPREADS = 2.5  # (fact: flare_signal)
RISE_POINTS = 2.0
RISE_DAYS = 3
RISE_CANNOT_BE_RECORDED = 8.0
"""From this mean on a rise of two points runs into the end of the scale."""


@dataclass(frozen=True, slots=True)
class Reference:
    """What is usual: recorded days, mean, standard deviation (at least .5), r*."""

    days: int
    mean: float
    spread: float
    r: float

    def rise_limit(self, recorded: tuple[int, ...]) -> float:
        """What the mean of the days at these places must rise to be a signal."""
        return max(LEAST_RISE, SPREADS * self.spread * sqrt(mean_variance(recorded, self.r)))


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
    return Reference(
        days=n,
        mean=sum(window.values()) / n,
        spread=max(stdev(window.values()), SPREAD_FLOOR),
        r=corrected(lag_one([window]), n, MOST_AUTOCORRELATION),
    )


def limits(scores: Mapping[date, int], last_day: date | None) -> Limits:
    """The limits from the 28 days that end on `last_day`: those of the three days to come."""
    window = {} if last_day is None else days_of(scores, last_day)
    usual = reference(window)
    if usual is None:
        return Limits(
            days=len(window),
            mean=None,
            spread=None,
            real_change_points=None,
            rise_limit_points=None,
            rise_noticed=None,
            rise_recordable=None,
        )
    running = tuple(range(RISE_DAYS))
    rise = usual.rise_limit(running)
    error = usual.spread * sqrt(mean_variance(running, usual.r))
    recordable = usual.mean < RISE_CANNOT_BE_RECORDED
    return Limits(
        days=usual.days,
        mean=usual.mean,
        spread=usual.spread,
        real_change_points=1.96 * sqrt(2) * usual.spread,
        rise_limit_points=rise,
        rise_noticed=1 - NormalDist().cdf((rise - RISE_POINTS) / error) if recordable else None,
        rise_recordable=recordable,
    )
