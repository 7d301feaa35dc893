"""The 95 % interval of the difference of two windows whose days are not independent.

A t interval with the effective number of days of a first-order autoregression in each window and
Welch's degrees of freedom (fact: change_interval). Of n days with r* between one and the next,
f = 1 + 2 sum over k < n of (1 - k/n) r*^k; the mean's variance is s^2/n x f x (n - 1)/max(n - f, 1)
on max(n/f - 1, 1) degrees. Its coverage: `python -m tests.calibration`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from math import sqrt
from statistics import variance

from companion.evidence.autocorrelation import corrected, inflation, lag_one
from companion.evidence.student_t import quantile

MOST_AUTOCORRELATION = 0.9  # (fact: change_interval)
SPREAD_FLOOR = 0.5
"""Standard deviation taken where the scores never vary: a whole number hides this much (fact:
change_interval)."""


@dataclass(frozen=True, slots=True)
class ChangeInterval:
    """Latest minus baseline with its interval; `inflations` are f of either window."""

    change: float
    low: float
    high: float
    degrees: float
    inflations: tuple[float, float]


def change_interval(
    baseline: Mapping[date, int], latest: Mapping[date, int]
) -> ChangeInterval | None:
    """The interval of the change; None with fewer than two recorded days in either window.

    Where neither window varies at all the formula gives no width; the spread is then taken as
    half a point in both.
    """
    windows = (baseline, latest)
    counts = [len(window) for window in windows]
    if min(counts) < 2:
        return None
    means = [sum(window.values()) / n for window, n in zip(windows, counts, strict=True)]
    squares = [float(variance(window.values())) for window in windows]
    if not any(squares):
        squares = [SPREAD_FLOOR**2, SPREAD_FLOOR**2]
    r = corrected(lag_one(windows), sum(counts) / 2, MOST_AUTOCORRELATION)
    swollen = [inflation(n, r) for n in counts]
    variances = [
        square / n * f * (n - 1) / max(n - f, 1)
        for square, n, f in zip(squares, counts, swollen, strict=True)
    ]
    degrees = sum(variances) ** 2 / sum(
        v * v / max(n / f - 1, 1) for v, n, f in zip(variances, counts, swollen, strict=True)
    )
    change = means[1] - means[0]
    half = float(quantile(degrees, 0.975)) * sqrt(sum(variances))
    return ChangeInterval(
        change=change,
        low=change - half,
        high=change + half,
        degrees=degrees,
        inflations=(swollen[0], swollen[1]),
    )
