"""Student's t distribution: its shares and quantiles.

With t = sqrt(v) tan a the density of v degrees of freedom is cos(a)^(v - 1) (arithmetic), smooth
and without ends: Gauss and Legendre's rule of 32 points gives its area to the last figures of a
number. Where v is small that power has an edge at a quarter turn, so the area is taken for more
degrees and brought down by the reduction of powers of the cosine. `tests/oracles/test_student_t.py`
holds both to scipy's, within 1e-12.
"""

from __future__ import annotations

from functools import cache
from math import pi
from statistics import NormalDist
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Floats = npt.NDArray[np.float64]

_POINTS = 32
_SMOOTH = 24
"""From this power of the cosine on its edge is flat enough."""
_BEYOND = 80.0
"""Where power times angle squared is this much, less than 1e-17 of the area is left."""
_STEPS = 60
_CLOSE = 1e-14


def share_below(degrees: float | Floats, at: float | Floats) -> Floats:
    """P(t < at) for `degrees` of freedom, at least 1; both may be arrays that go together."""
    import numpy as np

    v, t = np.asarray(degrees, dtype=float), np.asarray(at, dtype=float)
    half = _area(v, np.arctan(np.abs(t) / np.sqrt(v))) / _whole(v) / 2
    found: Floats = 0.5 + np.sign(t) * half
    return found


def quantile(degrees: float | Floats, share: float) -> Floats:
    """The t below which `share` lies, over 0 and under 1, for `degrees` of freedom."""
    import numpy as np

    v = np.asarray(degrees, dtype=float)
    over = max(share, 1 - share)
    density = 1 / (2 * np.sqrt(v) * _whole(v))
    # From the quantile of the normal distribution, which lies nearer to 0, each step stays short
    # of the root: the share is concave there.
    t = np.full(v.shape, NormalDist().inv_cdf(over))
    for _ in range(_STEPS):
        slope = density * (1 + t * t / v) ** (-(v + 1) / 2)
        step = (over - share_below(v, t)) / slope
        t = t + step
        if np.all(np.abs(step) <= _CLOSE * (1 + t)):
            break
    found: Floats = t if share >= 1 / 2 else -t
    return found


def _area(degrees: Floats, angle: Floats) -> Floats:
    """The area of cos(a)^(degrees - 1) from 0 to `angle`, at most a quarter turn."""
    import numpy as np

    places, weights = _rule()
    raised = 2 * np.ceil(np.maximum(_SMOOTH - degrees + 1, 0) / 2)
    power = degrees - 1 + raised
    end = np.minimum(angle, np.sqrt(_BEYOND / power))
    # cos a = 1 - 2 sin^2 (a/2): a power of what is nearly 1 would lose its last figures.
    logs = np.log1p(-2 * np.sin(np.asarray(end)[..., None] * places / 2) ** 2)
    each: Floats = np.exp(np.asarray(power)[..., None] * logs)
    area: Floats = end * (each @ weights)
    while raised.any():
        lowered = (power * area - np.cos(angle) ** (power - 1) * np.sin(angle)) / (power - 1)
        area = np.where(raised > 0, lowered, area)
        power = np.where(raised > 0, power - 2, power)
        raised = np.maximum(raised - 2, 0)
    return area


def _whole(degrees: Floats) -> Floats:
    """The area of a quarter turn."""
    import numpy as np

    return _area(degrees, np.asarray(pi / 2))


@cache
def _rule() -> tuple[Floats, Floats]:
    """Places and weights of Gauss and Legendre's rule over 0 to 1."""
    import numpy as np

    places, weights = np.polynomial.legendre.leggauss(_POINTS)
    return (places + 1) / 2, weights / 2
