"""One model of a series of scores 0-10 over all its days: level before, a ramp, level at the end.

With t the day number and n days from the first to the last, the mean of a day is
before + change x clip((t - 6.5)/(n - 14), 0, 1): a plateau of 14 days at either end. Days hang
together in two ways at once: V_ij = (1 - w) phi^|i-j| + w exp(-|i-j|/21), a day like the day before
it and pain that comes and goes by the month. phi and w are not known, so every pair of a grid
(fact: change_model_priors) is fitted by generalised least squares and weighs what the days make of
it:

- change b and its scale s from the residual sum of squares + 0.25 on N - 2 degrees of freedom;
- weight = prior x |V|^-1/2 |X'V^-1X|^-1/2 (rss + 0.25)^-(N-2)/2.

The posterior of the change is the weighted mixture of t distributions about each b (fact:
change_model). V is that of two first-order series added, so its inverse is a recursion over the
days (Kalman 1960, no error of measurement beside them): a day costs the same in a year as in a
month, and gaps need nothing. `tests/oracles/test_change_model.py` holds each cell to the dense V.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import exp
from typing import TYPE_CHECKING

from companion.evidence.figures import Better
from companion.evidence.student_t import quantile as t_quantile
from companion.evidence.student_t import share_below

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Floats = npt.NDArray[np.float64]
    Flags = npt.NDArray[np.bool_]

PLATEAU_DAYS = 14  # (fact: change_model)
DAYS_NEEDED = 21  # (fact: change_model_needs)
RECORDED_NEEDED = 10  # (fact: change_model_needs)
RECENT_NEEDED = 3  # (fact: change_model_needs)
"""Recorded days among the last fourteen."""
RUNNING_DAYS, RUNNING_NEEDED = 7, 3  # (fact: change_model_start)
"""The record begins with the first so many days running that hold so many scores."""
LATER_START_DAYS = 14  # (fact: change_model_start)
"""Days left out where the model is run again from day 15."""
MATTERS = 1.0  # (fact: pain_noise)
PHI = ((0.0, 0.20), (0.2, 0.22), (0.4, 0.22), (0.6, 0.18), (0.75, 0.12), (0.88, 0.06))
"""Correlation of a day with the one before it, and its prior."""
SLOW_SHARE = ((0.0, 0.5), (0.2, 0.3), (0.45, 0.2))
"""Share of the slow wave in the spread, and its prior."""
SLOW_DAYS = 21.0  # (fact: change_model_priors)
SPREAD_HELD = 0.25
"""Added to the residual sum of squares: a whole number hides so much (fact: change_model)."""
CELLS = tuple((phi, w, p * q) for phi, p in PHI for w, q in SLOW_SHARE)
"""phi, slow share and prior of each cell of the grid."""
_STRONGLY_SLOW = tuple(float(w == SLOW_SHARE[-1][0]) for _, w, _ in CELLS)
_SCALE_TOP = 10.0
_HALVINGS = 46


@dataclass(frozen=True, slots=True)
class Posterior:
    """What series say of their change, one row each: every cell's fit, and its weight.

    `before` and `change` in points, rows x cells; the scale of the change is the spread of the days
    (`spread`, points) times what their number and places make of it (`width`); `weight` sums to 1
    in each row; `degrees` N - 2 of each row.
    """

    before: "Floats"
    change: "Floats"
    spread: "Floats"
    width: "Floats"
    weight: "Floats"
    degrees: "Floats"

    @property
    def scale(self) -> "Floats":
        """The scale of each cell's t distribution, in points."""
        return self.spread * self.width

    @property
    def mean_change(self) -> "Floats":
        """The posterior mean of the change, a row each."""
        return _mean(self.weight, self.change)

    @property
    def slow(self) -> "Floats":
        """The chance that the slow wave has the largest share, a row each."""
        import numpy as np

        return _mean(self.weight, np.array(_STRONGLY_SLOW))

    @property
    def mean_before(self) -> "Floats":
        """The posterior mean of the level before, within the scale."""
        return _mean(self.weight, self.before).clip(0.0, _SCALE_TOP)

    def below(self, points: "float | Floats") -> "Floats":
        """P(change < points), a row each."""
        import numpy as np

        at = (np.asarray(points)[..., None] - self.change) / self.scale
        return _mean(self.weight, share_below(self.degrees[:, None], at))

    def quantile(self, share: float) -> "Floats":
        """The change below which `share` of the posterior lies, by halving."""
        import numpy as np

        # The mixture's quantile lies between the least and the most of its parts'.
        each = self.change + t_quantile(self.degrees[:, None], share) * self.scale
        low: Floats = each.min(axis=1)
        high: Floats = each.max(axis=1)
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            under = self.below(middle) < share
            low, high = np.where(under, middle, low), np.where(under, high, middle)
        return (low + high) / 2


def _mean(weight: "Floats", values: "Floats") -> "Floats":
    found: Floats = (weight * values).sum(axis=1)
    return found


def ramp(days: int) -> "Floats":
    """How much of the change each of `days` days holds, 0 to 1; `days` over 14."""
    import numpy as np

    at = (np.arange(days) - (PLATEAU_DAYS - 1) / 2) / (days - PLATEAU_DAYS)
    return at.clip(0.0, 1.0)


def posterior(scores: "Floats", seen: "Flags", ramps: "Floats") -> Posterior:
    """Fit every cell to every row; all three are rows x days.

    A day that was not `seen` is left out whatever its score. At least three seen days a row, and
    ramps that vary over them.
    """
    import numpy as np

    phi, slow, prior = (np.array(column) for column in zip(*CELLS, strict=True))
    rows, days = scores.shape
    cells = (rows, len(CELLS))
    # The fast series and the slow one beside it: how each is carried from a day to the next, the
    # variance of the two given the days so far, and what those let expect of each of three columns
    # (score, 1, ramp).
    carried = np.stack([phi, np.full_like(phi, exp(-1 / SLOW_DAYS))])
    still = np.zeros((2, 2, *phi.shape))
    still[0, 0], still[1, 1] = 1 - slow, slow
    both_carried = carried[:, None] * carried
    renewed = (still * (1 - both_carried))[:, :, None]
    both_carried, carried = both_carried[:, :, None], carried[:, None, :, None]
    variance = np.broadcast_to(still[:, :, None], (2, 2, *cells)).copy()
    expected = np.zeros((2, *cells, 3))
    columns = np.stack([scores, np.ones_like(scores), ramps])[:, :, :, None].transpose(2, 1, 3, 0)
    off, spread = np.zeros((days, *cells, 3)), np.ones((days, *cells))
    there = seen.T[:, :, None]
    counts = seen.sum(axis=0)
    some, every = (counts > 0).tolist(), (counts == rows).tolist()
    for day in range(days):
        if some[day]:
            gain = variance[0] + variance[1]
            wide = gain[0] + gain[1]
            error = columns[day] - expected[0] - expected[1]
            if not every[day]:
                gain, error = gain * there[day], error * there[day, :, :, None]
                spread[day] = np.where(there[day], wide, 1.0)
            else:
                spread[day] = wide
            off[day] = error
            share = gain / wide
            expected += share[..., None] * error
            variance -= gain[:, None] * share
        expected *= carried
        variance *= both_carried
        variance += renewed
    off /= np.sqrt(spread)[..., None]
    score, one, up = (off[..., column] for column in range(3))
    return _cells(
        _Products(
            *((a * b).sum(axis=0) for a, b in ((score, score), (one, one), (up, up))),
            *((a * b).sum(axis=0) for a, b in ((score, one), (score, up), (one, up))),
        ),
        np.log(spread).sum(axis=0),
        seen.sum(axis=1).astype(float),
        prior,
    )


@dataclass(frozen=True, slots=True)
class _Products:
    """V^-1 products of the columns score, 1 and ramp, rows x cells each."""

    score_score: "Floats"
    one_one: "Floats"
    up_up: "Floats"
    score_one: "Floats"
    score_up: "Floats"
    one_up: "Floats"


def _cells(of: _Products, logs: "Floats", n: "Floats", prior: "Floats") -> Posterior:
    """Each cell's fit from the whitened columns and the logarithm of |V|."""
    import numpy as np

    determinant = of.one_one * of.up_up - of.one_up**2
    before = (of.up_up * of.score_one - of.one_up * of.score_up) / determinant
    change = (of.one_one * of.score_up - of.one_up * of.score_one) / determinant
    left = of.score_score - before * of.score_one - change * of.score_up
    rss = np.maximum(left, 0.0) + SPREAD_HELD
    degrees = n - 2
    log_weight = np.log(prior) - (logs + np.log(determinant) + degrees[:, None] * np.log(rss)) / 2
    weight = np.exp(log_weight - log_weight.max(axis=1, keepdims=True))
    return Posterior(
        before=before,
        change=change,
        spread=np.sqrt(rss / degrees[:, None]),
        width=np.sqrt(of.one_one / determinant),
        weight=weight / weight.sum(axis=1, keepdims=True),
        degrees=degrees,
    )


# ---------------------------------------------------------------- one series and what it tells

FALLS: tuple[Better, ...] = ("lower", "probably_lower")
SURELY, PROBABLY, GUARDED, WITHIN = 0.975, 0.95, 0.90, 0.80  # (fact: change_verdicts)
GUARDED_MORE = 0.12  # (fact: change_verdicts_slow)
"""How much of the chance of a strong slow wave is added to the bar of a change for the worse."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """The model over some days. `change` is the posterior mean, `low` and `high` its 95 % limits,
    cut to what the scale leaves from the level before; `p_same` is P(-1 < change < 1);
    `worse_from` the chance from which a rise is told."""

    before: float
    after: float
    change: float
    low: float
    high: float
    p_lower: float
    p_higher: float
    p_same: float
    worse_from: float

    @property
    def verdict(self) -> Better:
        """What is said of it."""
        return told(self.change, self.p_lower, self.p_higher, self.p_same, self.worse_from)


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelSeries:
    """Scores 0-10 from the first day of the record to the last score: days, how many are recorded,
    and how many of them among the last fourteen. `scores` begin on `first_day`."""

    first_day: date
    last_day: date
    scores: Mapping[date, float]

    @property
    def days(self) -> int:
        """Days spanned, both ends included."""
        return (self.last_day - self.first_day).days + 1

    @property
    def recent(self) -> int:
        """Recorded days among the last fourteen."""
        since = self.last_day - timedelta(days=PLATEAU_DAYS - 1)
        return sum(day >= since for day in self.scores)

    @property
    def enough(self) -> bool:
        """Whether the model says anything of it."""
        return (
            self.days >= DAYS_NEEDED
            and len(self.scores) >= RECORDED_NEEDED
            and self.recent >= RECENT_NEEDED
        )

    def later(self) -> "ModelSeries":
        """The same from day 15 on."""
        first_day = self.first_day + timedelta(days=LATER_START_DAYS)
        scores = {day: score for day, score in self.scores.items() if day >= first_day}
        return replace(self, first_day=first_day, scores=scores)


def record_start(days: Sequence[date]) -> date | None:
    """The first of the first seven running days that hold three of `days`, which are in order: a
    stray page begins nothing. None without such a week."""
    for first, third in zip(days, days[RUNNING_NEEDED - 1 :], strict=False):
        if (third - first).days < RUNNING_DAYS:
            return first
    return None


def series_of(scores: Mapping[date, float] | Mapping[date, int]) -> ModelSeries | None:
    """The series of some scores by day; None where the record never begins."""
    days = sorted(scores)
    first = record_start(days)
    if first is None:
        return None
    kept = {day: float(scores[day]) for day in days if day >= first}
    return ModelSeries(first_day=first, last_day=days[-1], scores=kept)


def worse_from(slow: float) -> float:
    """The chance from which a rise is told: low, for safety, and the higher the more the days
    themselves say that pain comes and goes by the month, where chance makes most rises (facts:
    change_verdicts, change_verdicts_slow). `slow` is the chance of the largest slow share."""
    return min(GUARDED + GUARDED_MORE * slow, SURELY)


def told(
    change: float, p_lower: float, p_higher: float, p_same: float, worse_from: float
) -> Better:
    """The first of the verdicts that holds (fact: change_verdicts)."""
    if p_lower >= SURELY and change <= -MATTERS:
        return "lower"
    if p_lower >= PROBABLY and change <= -MATTERS:
        return "probably_lower"
    if p_lower >= SURELY and change > -MATTERS:
        return "lower_little"
    if p_higher >= worse_from and change >= MATTERS:
        return "probably_higher"
    return "same" if p_same >= WITHIN else "cannot_tell"


def fits(series: Sequence[ModelSeries | None]) -> tuple[Fit | None, ...]:
    """The model of each series, all in one pass; None for one that is too short or not there."""
    known = [one for one in series if one is not None and one.enough]
    if not known:
        return (None,) * len(series)
    found = _posterior_of(known)
    lows, highs = found.quantile(0.025), found.quantile(0.975)
    under = [found.below(points) for points in (-MATTERS, 0.0, MATTERS)]
    means = (found.mean_before, found.mean_change)
    each = zip(*means, lows, highs, *under, found.slow, strict=True)
    made = iter([_fit(*map(float, row)) for row in each])
    return tuple(next(made) if one is not None and one.enough else None for one in series)


def _fit(
    before: float,
    change: float,
    low: float,
    high: float,
    under_less: float,
    under_zero: float,
    under_more: float,
    slow: float,
) -> Fit:
    def cut(points: float) -> float:
        return min(max(points, -before), _SCALE_TOP - before)

    return Fit(
        before=before,
        after=before + cut(change),
        change=cut(change),
        low=cut(low),
        high=cut(high),
        p_lower=under_zero,
        p_higher=1 - under_zero,
        p_same=under_more - under_less,
        worse_from=worse_from(slow),
    )


def _posterior_of(series: Sequence[ModelSeries]) -> Posterior:
    import numpy as np

    rows, days = len(series), max(one.days for one in series)
    scores, ramps = np.zeros((rows, days)), np.zeros((rows, days))
    seen = np.zeros((rows, days), dtype=bool)
    for row, one in enumerate(series):
        first = one.first_day.toordinal()
        at = [day.toordinal() - first for day in one.scores]
        scores[row, at] = list(one.scores.values())
        seen[row, at] = True
        ramps[row, : one.days] = ramp(one.days)
    return posterior(scores, seen, ramps)


# ---------------------------------------------------------------- what would decide

MORE_WEEKS = (2, 4, 6, 8, 10, 12)
"""Weeks that are looked ahead (C)."""


def days_to_go(one: ModelSeries | None, fit: Fit | None) -> int | None:
    """The days that would decide, where nothing can be told yet; None where it can, and where
    twelve more weeks would not.

    Below the minimum the days it lacks, if each is written down. Above it the days after which a
    verdict would be given if level and change stay as they are and each day is written down:
    a guide, no promise (C).
    """
    if one is None:
        return DAYS_NEEDED
    if fit is None:
        lacking = (
            DAYS_NEEDED - one.days,
            RECORDED_NEEDED - len(one.scores),
            RECENT_NEEDED - one.recent,
        )
        return max(*lacking, 1)
    return None if fit.verdict != "cannot_tell" else _looked_ahead(one)


def _looked_ahead(one: ModelSeries) -> int | None:
    import numpy as np

    now = _posterior_of([one])
    longer = []
    for weeks in MORE_WEEKS:
        last_day = one.last_day + timedelta(weeks=weeks)
        more = {one.last_day + timedelta(days=day): 0.0 for day in range(1, 7 * weeks + 1)}
        longer.append(replace(one, last_day=last_day, scores={**one.scores, **more}))
    then = _posterior_of(longer)
    rows = len(MORE_WEEKS)
    foreseen = replace(
        then,
        before=np.repeat(now.before, rows, axis=0),
        change=np.repeat(now.change, rows, axis=0),
        spread=np.repeat(now.spread, rows, axis=0),
        weight=np.repeat(now.weight, rows, axis=0),
    )
    change, bar = float(now.mean_change[0]), worse_from(float(now.slow[0]))
    under_less, under_zero, under_more = (
        foreseen.below(points) for points in (-MATTERS, 0.0, MATTERS)
    )
    for row, weeks in enumerate(MORE_WEEKS):
        p_lower = float(under_zero[row])
        p_same = float(under_more[row] - under_less[row])
        if told(change, p_lower, 1 - p_lower, p_same, bar) != "cannot_tell":
            return 7 * weeks
    return None
