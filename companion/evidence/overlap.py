"""How far two windows overlap: nonoverlap of all pairs (NAP) with a Newcombe interval.

NAP is the chance that a latest day is better than a baseline day, ties half (Parker and Vannest
2009). Interval: Newcombe 2006, method 5, the two roots x of
mn (NAP - x)^2 (2 - x)(1 + x) = z^2 x (1 - x)(2 + h + (1 + 2h) x (1 - x)) with h = (m + n)/2 - 1;
where NAP is 1 or 0 the factor that vanishes there is divided out first, so that the interval is
never a single point. Days are taken as independent, which they are not: its coverage is printed by
`python -m tests.calibration` and not promised. No p goes with it.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from fractions import Fraction
from statistics import NormalDist

from companion.evidence.figures import Overlap

DAYS_NEEDED = 5  # (facts: nap, nap_interval)
_Z = NormalDist().inv_cdf(0.975)
_HALVINGS = 54


def nap(baseline: Sequence[int], latest: Sequence[int]) -> Fraction:
    """The share of all pairs in which the latest is lower, ties half. Neither may be empty."""
    ordered = sorted(baseline)
    better = sum(len(ordered) - bisect_right(ordered, score) for score in latest)
    ties = sum(bisect_right(ordered, score) - bisect_left(ordered, score) for score in latest)
    return Fraction(2 * better + ties, 2 * len(baseline) * len(latest))


def interval(value: float, m: int, n: int) -> tuple[float, float]:
    """The 95 % interval of a NAP of `m` by `n` pairs, within 0 to 1.

    At 1 the upper end is 1 and the lower the root with (1 - x) divided out; at 0 mirrored.
    """
    if value >= 1:
        return _root(_at_the_end(m, n), 0.0, 1.0), 1.0
    if value <= 0:
        return 0.0, 1 - _root(_at_the_end(m, n), 0.0, 1.0)
    h = (m + n) / 2 - 1

    def gap(x: float) -> float:
        spread = _Z**2 * x * (1 - x) * (2 + h + (1 + 2 * h) * x * (1 - x))
        return m * n * (value - x) ** 2 * (2 - x) * (1 + x) - spread

    return _root(gap, 0.0, value), _root(gap, value, 1.0)


def overlap(baseline: Sequence[int], latest: Sequence[int]) -> Overlap:
    """NAP with its interval; nothing known with fewer than five days in either."""
    if min(len(baseline), len(latest)) < DAYS_NEEDED:
        return Overlap()
    value = float(nap(baseline, latest))
    low, high = interval(value, len(baseline), len(latest))
    return Overlap(value=value, low=low, high=high)


def _at_the_end(m: int, n: int) -> Callable[[float], float]:
    h = (m + n) / 2 - 1

    def gap(x: float) -> float:
        return m * n * (1 - x) * (2 - x) * (1 + x) - _Z**2 * x * (2 + h + (1 + 2 * h) * x * (1 - x))

    return gap


def _root(of: Callable[[float], float], low: float, high: float) -> float:
    """Where `of` passes 0 between two ends at which it has either sign, by halving."""
    falls = of(low) > 0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if (of(middle) > 0) == falls:
            low = middle
        else:
            high = middle
    return (low + high) / 2
