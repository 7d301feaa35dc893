"""Student's t and the roots of the overlap against scipy's: they stand in for it (V)."""

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import stdtr, stdtrit

from companion.evidence.overlap import interval
from companion.evidence.student_t import quantile, share_below

DEGREES = (1.0, 1.3, 2.0, 2.7, 3.0, 4.5, 8.0, 19.0, 24.0, 25.0, 26.5, 60.0, 365.0, 3650.0, 1e6)
ACROSS = np.concatenate([np.linspace(-12, 12, 97), [-400.0, -50.0, 50.0, 400.0, 1e5]])
CLOSE = 1e-12


@pytest.mark.parametrize("degrees", DEGREES)
def test_shares_are_those_of_scipy(degrees: float) -> None:
    assert share_below(degrees, ACROSS) == pytest.approx(stdtr(degrees, ACROSS), abs=CLOSE)
    assert float(share_below(degrees, 0.0)) == 0.5


@pytest.mark.parametrize("share", [0.001, 0.025, 0.1, 0.5, 0.8, 0.95, 0.975, 0.995])
def test_quantiles_are_those_of_scipy(share: float) -> None:
    """Within 1e-12 of themselves, also where few degrees lay them far out."""
    degrees = np.array(DEGREES)
    theirs = stdtrit(degrees, share)
    assert quantile(degrees, share) == pytest.approx(theirs, rel=CLOSE, abs=CLOSE)
    for each, ours in zip(DEGREES, quantile(degrees, share), strict=True):
        assert float(quantile(each, share)) == pytest.approx(float(ours), rel=CLOSE, abs=CLOSE)


def test_rows_and_cells_go_together() -> None:
    degrees = np.array([[19.0], [365.0]])
    at = np.array([[-1.0, 0.5, 2.0], [0.0, 1.0, -3.0]])
    assert share_below(degrees, at) == pytest.approx(stdtr(degrees, at), abs=CLOSE)


@pytest.mark.parametrize(("m", "n"), [(5, 5), (14, 14), (28, 7)])
@pytest.mark.parametrize("value", [0.0, 0.02, 0.31, 0.5, 0.77, 1.0])
def test_the_ends_of_the_overlap_are_the_roots_scipy_finds(value: float, m: int, n: int) -> None:
    z, h = 1.959963984540054, (m + n) / 2 - 1

    def gap(x: float) -> float:
        spread = z**2 * x * (1 - x) * (2 + h + (1 + 2 * h) * x * (1 - x))
        return float(m * n * (value - x) ** 2 * (2 - x) * (1 + x) - spread)

    low, high = interval(value, m, n)
    edge = 1e-9  # the ends are roots too where the value is one of them
    if value > 0:
        top = value if value < 1 else 1 - edge
        assert low == pytest.approx(brentq(gap, 0, top, xtol=1e-15, rtol=1e-14), abs=CLOSE)
    if value < 1:
        foot = value if value > 0 else edge
        assert high == pytest.approx(brentq(gap, foot, 1, xtol=1e-15, rtol=1e-14), abs=CLOSE)
