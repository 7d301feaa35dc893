"""The model of a change against other libraries: the cells, the mixture's limits, Monte Carlo."""

import numpy as np
import numpy.typing as npt
import pytest
from scipy import integrate, stats

from companion.evidence.change_model import CELLS, Posterior, posterior, ramp

Floats = npt.NDArray[np.float64]
DAYS = 56


def rows(seed: int) -> tuple[Floats, npt.NDArray[np.bool_], Floats]:
    """Two diaries with gaps, one of them beginning late."""
    rng = np.random.default_rng(seed)
    scores = np.clip(np.rint(5 + 1.3 * rng.standard_normal((2, DAYS)).cumsum(axis=1) / 3), 0, 10)
    seen = rng.random(scores.shape) > 0.25
    seen[1, :9] = False
    ramps = np.tile(ramp(DAYS), (2, 1))
    return scores, seen, ramps


def found() -> Posterior:
    return posterior(*rows(3))


def test_every_cell_is_that_of_generalised_least_squares_on_the_same_v() -> None:
    # V: statsmodels' GLS with the dense V, and |V|, |X'V^-1X| of numpy; tolerance 1e-8.
    import statsmodels.api as sm

    scores, seen, ramps = rows(3)
    ours = found()
    for row in range(2):
        at = np.flatnonzero(seen[row])
        apart = np.abs(np.subtract.outer(at, at))
        columns = np.column_stack([np.ones(len(at)), ramps[row, at]])
        logs = []
        for cell, (phi, slow, prior) in enumerate(CELLS):
            fast = np.where(apart == 0, 1.0, phi ** apart.astype(float))
            v = (1 - slow) * fast + slow * np.exp(-apart / 21)
            fit = sm.GLS(scores[row, at], columns, sigma=v).fit()
            inverse = np.linalg.inv(v)
            rss = float(fit.resid @ inverse @ fit.resid) + 0.25
            information = columns.T @ inverse @ columns
            scale = np.sqrt(rss / (len(at) - 2) * np.linalg.inv(information)[1, 1])
            assert ours.before[row, cell] == pytest.approx(fit.params[0], abs=1e-8)
            assert ours.change[row, cell] == pytest.approx(fit.params[1], abs=1e-8)
            assert ours.scale[row, cell] == pytest.approx(scale, abs=1e-8)
            logs.append(
                np.log(prior)
                - np.linalg.slogdet(v)[1] / 2
                - np.linalg.slogdet(information)[1] / 2
                - (len(at) - 2) / 2 * np.log(rss)
            )
        weights = np.exp(np.array(logs) - max(logs))
        assert ours.weight[row] == pytest.approx(weights / weights.sum(), abs=1e-8)


def test_the_priors_are_shares() -> None:
    assert len(CELLS) == 18
    assert sum(prior for *_, prior in CELLS) == pytest.approx(1)


def test_the_mixtures_limits_and_chances_by_direct_integration() -> None:
    # V: the density of the mixture by scipy's t, integrated by its quadrature; tolerance 1e-6.
    ours = found()
    limits = (ours.quantile(0.025), ours.quantile(0.975))
    for row in range(2):

        def density(x: float, row: int = row) -> float:
            parts = stats.t.pdf(x, ours.degrees[row], loc=ours.change[row], scale=ours.scale[row])
            return float((ours.weight[row] * parts).sum())

        for limit, share in zip(limits, (0.025, 0.975), strict=True):
            below, _ = integrate.quad(density, -60, float(limit[row]), limit=400)
            assert below == pytest.approx(share, abs=1e-6)
        same, _ = integrate.quad(density, -1, 1, limit=400)
        assert float((ours.below(1.0) - ours.below(-1.0))[row]) == pytest.approx(same, abs=1e-6)


def test_the_mixture_by_drawing_from_it() -> None:
    # Monte Carlo, 200,000 draws under another seed: four standard errors.
    ours = found()
    rng = np.random.default_rng(99)
    n = 200_000
    cell = rng.choice(len(CELLS), size=n, p=ours.weight[0])
    drawn = ours.change[0, cell] + ours.scale[0, cell] * rng.standard_t(ours.degrees[0], size=n)
    for points in (-1.0, 0.0, 0.5):
        share = float(ours.below(points)[0])
        error = 4 * np.sqrt(share * (1 - share) / n)
        assert float(np.mean(drawn < points)) == pytest.approx(share, abs=error)
    assert float(ours.mean_change[0]) == pytest.approx(drawn.mean(), abs=4 * drawn.std() / n**0.5)
