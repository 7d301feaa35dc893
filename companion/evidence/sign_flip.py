"""Pair differences under a random order: sign-flip test, interval by inverting it, Hodges-Lehmann.

Had tape done nothing, each pair difference could as well have had the other sign (Fisher 1935).
p is the share of all 2^k sign vectors whose sum is at least as far from 0 as the one seen, the one
seen included. The interval holds every shift whose p is above 5 %. Above twenty pairs a hundred
thousand vectors drawn from a stored seed stand for all.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor
from statistics import median

MOST_PAIRS_IN_FULL = 20
DRAWN = 100_000
LEVEL = 0.05  # (fact: sign_flip)
_TOLERANCE = 1e-9


@dataclass(frozen=True, slots=True)
class SignFlip:
    """p, two-sided, and the ends of the 95 % interval; None where p cannot reach 5 %."""

    p: float
    low: float | None
    high: float | None


def smallest_p(pairs: int) -> float:
    """The smallest two-sided p that `pairs` pairs can reach."""
    if pairs > MOST_PAIRS_IN_FULL:
        return 1 / (DRAWN + 1)
    return min(1.0, 0.5 ** (pairs - 1))


def sign_flip(differences: Sequence[float], seed: int = 0) -> SignFlip:
    """Test and interval of at least one pair difference; `seed` is for more than twenty.

    Raises ValueError without differences.
    """
    if not differences:
        raise ValueError("A sign-flip test needs at least one pair difference.")
    import numpy as np

    d = np.array(differences, dtype=float)
    k, total = len(d), float(d.sum())
    if k <= MOST_PAIRS_IN_FULL:
        # Sums and sizes of every choice of pairs whose sign is turned, the empty choice first.
        turned, size = np.zeros(1), np.zeros(1)
        for each in d:
            turned = np.concatenate([turned, turned + each])
            size = np.concatenate([size, size + 1])
        seen, of = 0, len(turned)
    else:
        flips = np.random.default_rng(seed).integers(0, 2, size=(DRAWN, k))
        turned, size = flips @ d, flips.sum(axis=1)
        seen, of = 1, DRAWN + 1
    far = np.abs(total - 2 * turned) >= abs(total) - _TOLERANCE * max(1.0, float(np.abs(d).max()))
    # A shift s below the mean is kept out as long as few sign vectors of d - s reach its sum. One
    # does from the mean of the turned pairs on, or from that of the others (for all or none
    # turned: always). So the ends are order statistics of those means.
    with np.errstate(divide="ignore", invalid="ignore"):
        here, there = turned / size, (total - turned) / (k - size)
    whole = (size == 0) | (size == k)
    rank = floor(LEVEL * of + _TOLERANCE)
    lower = np.sort(np.where(whole, -np.inf, np.minimum(here, there)))[max(rank - seen, 0)]
    upper = np.sort(np.where(whole, -np.inf, np.minimum(-here, -there)))[max(rank - seen, 0)]
    known = bool(np.isfinite(lower) and np.isfinite(upper))
    return SignFlip(
        p=(int(far.sum()) + seen) / of,
        low=float(lower) if known else None,
        high=-float(upper) if known else None,
    )


def walsh_averages(differences: Sequence[float]) -> list[float]:
    """The means of all pairs of differences, each with itself included, sorted."""
    return sorted((a + b) / 2 for step, a in enumerate(differences) for b in differences[step:])


def hodges_lehmann(differences: Sequence[float]) -> float:
    """The median of the Walsh averages, differences of 0 kept. Raises ValueError from none."""
    if not differences:
        raise ValueError("A Hodges-Lehmann estimate needs at least one difference.")
    return median(walsh_averages(differences))
