"""A day is like the day before it: how much, and what that takes from the weight of a mean.

First-order autocorrelation on calendar days. Products are taken only between consecutive recorded
days, so a gap joins nothing. A sample of n days shows too little of it: r* = r + (1 + 3r)/n.
"""

from collections.abc import Mapping, Sequence
from datetime import date, timedelta

_DAY = timedelta(days=1)


def deviations(scores: Mapping[date, int]) -> dict[date, float]:
    """Each score less the mean of all; empty from nothing."""
    if not scores:
        return {}
    mean = sum(scores.values()) / len(scores)
    return {day: score - mean for day, score in scores.items()}


def lag_one(windows: Sequence[Mapping[date, int]]) -> float:
    """r of days around their own window's mean, pooled over `windows`.

    0 where it is not known: no two consecutive days, or no spread at all.
    """
    around = [deviations(window) for window in windows]
    squares = [value * value for window in around for value in window.values()]
    products = [
        value * window[day + _DAY]
        for window in around
        for day, value in window.items()
        if day + _DAY in window
    ]
    if not products or not any(squares):
        return 0.0
    return (sum(products) / len(products)) / (sum(squares) / len(squares))


def corrected(r: float, n: float, most: float) -> float:
    """r*, freed of its fall in small samples and clipped to [0, `most`]. `n` above 0."""
    return min(max(r + (1 + 3 * r) / n, 0.0), most)


def inflation(n: int, r: float) -> float:
    """f(n): by how much `r` swells the variance of a mean of `n` days running."""
    return 1 + 2 * sum((1 - k / n) * r**k for k in range(1, n))
