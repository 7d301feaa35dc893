"""How many pairs of n values stand in falling order when order is chance alone.

The exact null distribution of Kendall's count of inversions, all n! orders alike: one more value
adds 0 to n - 1 inversions, each as likely (Kendall 1938; arithmetic). Without ties; with ties it
is on the careful side.
"""

from functools import cache

TAIL = 0.025
"""Chance left out at each end of a 95 % interval."""
_ROUNDING = 1e-12


@cache
def lower_tail(n: int) -> tuple[float, ...]:
    """P(inversions <= k) for k = 0, 1 ... n(n - 1)/2. `n` at least 1."""
    import numpy as np

    chance = np.ones(1)
    for values in range(2, n + 1):
        summed = np.cumsum(np.append(chance, np.zeros(values - 1)))
        summed[values:] -= summed[:-values].copy()
        chance = summed / values
    return tuple(np.cumsum(chance).tolist())


def inversions_left_out(n: int) -> int | None:
    """K, the most inversions whose lower tail is at most 2.5 %; None below five values."""
    if n < 2:
        return None
    below = [k for k, chance in enumerate(lower_tail(n)) if chance <= TAIL + _ROUNDING]
    return below[-1] if below else None


def attained(n: int, k: int) -> float:
    """What the interval that leaves out `k` slopes at each end covers, 0 to 1."""
    return 1 - 2 * lower_tail(n)[k]
