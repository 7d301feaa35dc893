"""Diaries whose truth is known, as people keep them; `tests.calibration` counts what is told.

A day's pain is the person's level, a weekly wave, a slow wave of three weeks' time constant, days
that hang together, and what truly changed; it is rounded and bounded, and then written down or not.
None of it is taken from real diaries: the slow wave above all is an assumption.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import exp, pi

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
FIRST_DAY = date(2026, 3, 2)
BEFORE_DAYS = 364
"""Days of a person's life in which the worst weeks are looked for."""
_SETTLING = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """What is true of a kind of diary; points of 0 to 10, shares of 1.

    `spread` is that of days, `between` that of people's levels. `phi` carries a day to the next;
    `slow` is the spread of the slow wave. `entry` begins the diary right after the worst such share
    of the person's own weeks. `fall` is the true change by a ramp between the first and the last
    fourteen days, or by a step at the middle. `drift` is what the person comes to score lower in
    the end though nothing changed. `missing` days at random, `missing_when_bad` more of them on the
    worst third of days. `digits`: share of odd scores moved to the next even one. `back_filled`:
    share of missing runs filled in later with one number.
    """

    days: int = 70
    level: float = 5.0
    between: float = 0.7
    spread: float = 1.2
    phi: float = 0.3
    wave: float = 0.3
    slow: float = 0.0
    entry: float | None = None
    fall: float = 0.0
    step: bool = False
    drift: float = 0.0
    missing: float = 0.1
    missing_when_bad: float = 0.0
    digits: float = 0.0
    back_filled: float = 0.0

    def path(self) -> Floats:
        """What the change takes off each day."""
        late = (np.arange(self.days) >= self.days / 2).astype(float)
        return -(self.fall + self.drift) * (late if self.step else ramp_of(self.days))


def ramp_of(days: int) -> Floats:
    """0 over the first 14 days' middle to 1 over the last's, straight between."""
    return np.clip((np.arange(days) - 6.5) / (days - 14), 0, 1)


def carried(rng: np.random.Generator, rows: int, days: int, r: float) -> Floats:
    """Unit-spread series, each day `r` of the one before."""
    shocks = rng.standard_normal((rows, days + _SETTLING))
    found = np.empty_like(shocks)
    found[:, 0] = shocks[:, 0]
    for day in range(1, shocks.shape[1]):
        found[:, day] = r * found[:, day - 1] + np.sqrt(1 - r**2) * shocks[:, day]
    return found[:, _SETTLING:]


def scored(rng: np.random.Generator, truth: Truth, rows: int) -> Floats:
    """Whole scores of every day, rows x days, before any is missing."""
    lead = 0 if truth.entry is None else BEFORE_DAYS
    days = lead + truth.days
    latent = truth.level + truth.between * rng.standard_normal((rows, 1))
    weekday = (np.arange(days) + rng.integers(0, 7, (rows, 1))) / 7
    latent = latent + truth.wave * np.sqrt(2) * np.sin(2 * pi * weekday)
    latent += truth.spread * carried(rng, rows, days, truth.phi)
    if truth.slow:
        latent += truth.slow * carried(rng, rows, days, exp(-1 / 21))
    if truth.entry is not None:
        latent = _from_a_bad_week(rng, latent, truth)
    found = np.clip(np.rint(latent + truth.path()), 0, 10)
    if truth.digits:
        odd = (found % 2 == 1) & (rng.random(found.shape) < truth.digits)
        found = np.clip(found + odd * rng.choice([-1, 1], found.shape), 0, 10)
    return found


def _from_a_bad_week(rng: np.random.Generator, latent: Floats, truth: Truth) -> Floats:
    """Each row from the day after one of its own worst weeks on."""
    assert truth.entry is not None
    lead = latent.shape[1] - truth.days
    weeks = np.lib.stride_tricks.sliding_window_view(latent, 7, axis=1).mean(axis=2)[:, : lead - 6]
    limit = np.quantile(weeks, 1 - truth.entry, axis=1, keepdims=True)
    begins = np.array([rng.choice(np.flatnonzero(row)) + 7 for row in weeks >= limit])
    return np.stack([row[at : at + truth.days] for row, at in zip(latent, begins, strict=True)])


def kept_days(rng: np.random.Generator, truth: Truth, scores: Floats) -> npt.NDArray[np.bool_]:
    """Which days were written down; the first and the last always are."""
    chance = np.full(scores.shape, truth.missing)
    if truth.missing_when_bad:
        bad = scores > np.quantile(scores, 2 / 3, axis=1, keepdims=True)
        chance = chance + truth.missing_when_bad * bad
    kept: npt.NDArray[np.bool_] = rng.random(scores.shape) >= chance
    kept[:, [0, -1]] = True
    return kept


def diaries_of(rng: np.random.Generator, truth: Truth, rows: int) -> list[dict[date, int]]:
    """So many diaries of a kind, as scores by day."""
    scores = scored(rng, truth, rows)
    kept = kept_days(rng, truth, scores)
    found = []
    for row, there in zip(scores.astype(int).tolist(), kept.tolist(), strict=True):
        if truth.back_filled:
            _fill_back(rng, truth.back_filled, row, there)
        found.append(
            {
                FIRST_DAY + timedelta(days=at): score
                for at, (score, known) in enumerate(zip(row, there, strict=True))
                if known
            }
        )
    return found


def _fill_back(rng: np.random.Generator, share: float, row: list[int], there: list[bool]) -> None:
    """Some runs of missing days are filled in afterwards, with the score of the day after them."""
    at = 0
    while at < len(row):
        end = at
        while end < len(row) and not there[end]:
            end += 1
        if end > at and rng.random() < share:
            row[at:end] = [row[end]] * (end - at)
            there[at:end] = [True] * (end - at)
        at = end + 1


def true_change(truth: Truth, rows: int = 20_000, seed: int = 7) -> float:
    """The change of the recorded scale between first and last fourteen days, the waves left out:
    what bounds and rounding leave of it. 0 where nothing changed."""
    if not (truth.fall or truth.drift):
        return 0.0
    still = replace(truth, slow=0.0, entry=None, wave=0.0)
    found = scored(np.random.default_rng(seed), still, rows)
    return float(found[:, -14:].mean() - found[:, :14].mean())


STATIONARY: dict[str, Truth] = {
    **{f"no change, phi {phi:.1f}": Truth(phi=phi) for phi in (0.0, 0.3, 0.6, 0.8)},
    "no change, spread 1.8": Truth(spread=1.8),
    "no change, spread .6": Truth(spread=0.6),
    "no change, a quarter missing": Truth(missing=0.25),
    "no change, missing when bad": Truth(missing_when_bad=0.4),
    "no change, even numbers liked": Truth(digits=0.5),
    "no change, filled in later": Truth(missing=0.3, back_filled=0.7),
    "no change, near the bottom": Truth(level=1.0),
    "no change, near the top": Truth(level=9.0),
    "no change, 26 weeks": Truth(days=182, phi=0.4),
}
SLOW: dict[str, Truth] = {
    "slow wave .6": Truth(slow=0.6),
    "slow wave .6, phi .6": Truth(slow=0.6, phi=0.6),
    "slow wave 1": Truth(slow=1.0),
}
BAD_ENTRY: dict[str, Truth] = {
    "entry after worst 15 %": Truth(slow=0.6, entry=0.15),
    "entry after worst 5 %, slow 1": Truth(slow=1.0, entry=0.05),
}
CHANGED: dict[str, Truth] = {
    "fall 1.2": Truth(fall=1.2),
    "fall 1.6": Truth(fall=1.6),
    "fall 1.6, phi .6": Truth(fall=1.6, phi=0.6),
    "fall 2.4": Truth(fall=2.4),
    "step down 2": Truth(fall=2.0, step=True),
    "rise 1.6": Truth(fall=-1.6),
    "rise 3": Truth(fall=-3.0),
    "scored lower by 1, nothing changed": Truth(drift=1.0),
}
TRUTHS: dict[str, Truth] = STATIONARY | SLOW | BAD_ENTRY | CHANGED


def cut_at(scores: dict[date, int], days: Sequence[int]) -> list[dict[date, int]]:
    """What a diary held at each of several visits, days after its first."""
    return [
        {day: score for day, score in scores.items() if (day - FIRST_DAY).days < until}
        for until in days
    ]
