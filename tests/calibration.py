"""How the findings behave on diaries whose truth is known: `python -m tests.calibration`.

Diaries are simulated as those on which the methods were chosen: scores from 0 to 10, rounded, each
day like the day before it (autoregression of order 1), days missing, sharp peaks, drift, both ends
of the scale.
Printed are coverage, false alarms and detection, beside what is expected of each. The short
form runs in `tests/evidence/test_calibration.py` with the same seed and fewer diaries.

The truth of a change is that of the recorded scale: the mean of the rounded and bounded score, not
of what lies under it.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt

from companion.care.trial_schedule import fair_bit
from companion.evidence.change_interval import change_interval
from companion.evidence.flare_signal import decide, decisions, signals
from companion.evidence.limits import days_of, limits, reference
from companion.evidence.overlap import overlap
from companion.evidence.tape_trial import estimate
from companion.evidence.trend import trend
from companion.evidence.windows import WINDOW_DAYS, Windows, within

Floats = npt.NDArray[np.float64]
FIRST_DAY = date(2026, 3, 2)
SEED = 20261125
QUARTER_DAYS = 91


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of diary. `drift` is points a week, `step` points from the middle on.

    `peaks` is the shape of gamma shocks, the smaller the sharper (skewness 2/sqrt(shape)); None for
    normal ones.
    """

    days: int = 70
    level: float = 5.0
    spread: float = 1.0
    r: float = 0.3
    missing: float = 0.1
    peaks: float | None = None
    drift: float = 0.0
    step: float = 0.0

    def levels(self) -> Floats:
        """The level under each day's score."""
        at = np.arange(self.days)
        return self.level + self.drift * at / 7 + self.step * (at >= self.days / 2)


def noise(rng: np.random.Generator, kind: Kind, rows: int) -> Floats:
    """Unit-spread autoregressive noise, `rows` x days; with peaks its shocks are skewed up."""
    shape = (rows, kind.days + 30)
    shocks = (
        rng.standard_normal(shape)
        if kind.peaks is None
        else (rng.gamma(kind.peaks, size=shape) - kind.peaks) / np.sqrt(kind.peaks)
    )
    found = np.empty(shape)
    found[:, 0] = shocks[:, 0]
    for day in range(1, shape[1]):
        found[:, day] = kind.r * found[:, day - 1] + np.sqrt(1 - kind.r**2) * shocks[:, day]
    return found[:, 30:]


def recorded(latent: Floats) -> Floats:
    """Whole scores from 0 to 10."""
    return np.clip(np.rint(latent), 0, 10)


def diaries(rng: np.random.Generator, kind: Kind, rows: int) -> Iterator[dict[date, int]]:
    """Simulated diaries as scores by day; the first and the last day are always recorded."""
    scores = recorded(kind.levels() + kind.spread * noise(rng, kind, rows))
    kept = rng.random(scores.shape) >= kind.missing
    kept[:, [0, -1]] = True
    for row, there in zip(scores.astype(int).tolist(), kept.tolist(), strict=True):
        yield {
            FIRST_DAY + timedelta(days=at): score
            for at, (score, known) in enumerate(zip(row, there, strict=True))
            if known
        }


def recorded_levels(kind: Kind, rows: int = 20_000) -> Floats:
    """Scores of many diaries of a kind, rows x days: the truth of what is recorded."""
    rng = np.random.default_rng(SEED + 1)
    return recorded(kind.levels() + kind.spread * noise(rng, replace(kind, missing=0), rows))


def two_windows(scores: dict[date, int]) -> tuple[dict[date, int], dict[date, int]]:
    both = Windows(first_day=min(scores), last_day=max(scores))
    return within(scores, both.baseline), within(scores, both.latest)


# ---------------------------------------------------------------- change and overlap


@dataclass(frozen=True, slots=True)
class Coverage:
    """How often an interval held the truth, and how often it told one way or the other."""

    held: float
    told: float
    rows: int


def change_coverage(kind: Kind, rows: int, seed: int = SEED) -> tuple[Coverage, Coverage]:
    """Of the change interval and of NAP; `told` is an interval that leaves out no change."""
    truth = recorded_levels(kind)
    first, last = truth[:, :WINDOW_DAYS], truth[:, -WINDOW_DAYS:]
    change = float(last.mean() - first.mean())
    better = _chance_lower(first.ravel(), last.ravel())
    held, told = [], []
    nap_held, nap_told = [], []
    for scores in diaries(np.random.default_rng(seed), kind, rows):
        baseline, latest = two_windows(scores)
        if min(len(baseline), len(latest)) < 10:
            continue
        found = change_interval(baseline, latest)
        assert found is not None
        held.append(found.low <= change <= found.high)
        told.append(not found.low <= 0 <= found.high)
        nap = overlap(list(baseline.values()), list(latest.values()))
        assert nap.low is not None
        assert nap.high is not None
        nap_held.append(nap.low <= better <= nap.high)
        nap_told.append(not nap.low <= 0.5 <= nap.high)
    return (
        Coverage(float(np.mean(held)), float(np.mean(told)), len(held)),
        Coverage(float(np.mean(nap_held)), float(np.mean(nap_told)), len(nap_held)),
    )


def _chance_lower(first: Floats, last: Floats) -> float:
    """P(last < first) + half P(equal), of scores 0 to 10."""
    p = np.bincount(first.astype(int), minlength=11) / len(first)
    q = np.bincount(last.astype(int), minlength=11) / len(last)
    above = 1 - np.cumsum(p)
    return float((q * (above + p / 2)).sum())


# ---------------------------------------------------------------- trend


def trend_coverage(kind: Kind, rows: int, seed: int = SEED) -> Coverage:
    """Of the weekly slope; `told` is a verdict of falling or rising."""
    weeks = recorded_levels(kind).mean(axis=0)[: kind.days // 7 * 7].reshape(-1, 7).mean(axis=1)
    slope = float(np.polyfit(np.arange(len(weeks)), weeks, 1)[0])
    held, told = [], []
    for scores in diaries(np.random.default_rng(seed), kind, rows):
        found = trend(scores, min(scores))
        if found.low is None or found.high is None:
            continue
        held.append(found.low <= slope <= found.high)
        told.append(found.verdict in {"falling", "rising"})
    return Coverage(float(np.mean(held)), float(np.mean(told)), len(held))


# ---------------------------------------------------------------- signals and own limits


def false_signals(kind: Kind, rows: int, seed: int = SEED) -> float:
    """Episodes of the flare signal a quarter in diaries where nothing happens."""
    whole = replace(kind, days=31 + QUARTER_DAYS)
    found = [
        len(signals(decisions(scores)))
        for scores in diaries(np.random.default_rng(seed), whole, rows)
    ]
    return float(np.mean(found))


def detection(kind: Kind, rows: int, seed: int = SEED) -> tuple[float, float | None]:
    """How often two points more for three days are noticed on the third, and the chance foretold.

    The chance is by the person's own limits before the rise; None where none was foretold.
    """
    whole = replace(kind, days=31, missing=0)
    rng = np.random.default_rng(seed)
    latent = whole.levels() + whole.spread * noise(rng, whole, rows)
    latent[:, -3:] += 2
    noticed, foretold = [], []
    last = FIRST_DAY + timedelta(days=30)
    for row in recorded(latent).astype(int).tolist():
        scores = {FIRST_DAY + timedelta(days=at): score for at, score in enumerate(row)}
        noticed.append(decide(scores, last).decision == "signal")
        own = limits(scores, last - timedelta(days=3))
        if own.rise_noticed is not None:
            foretold.append(own.rise_noticed)
    return float(np.mean(noticed)), float(np.mean(foretold)) if foretold else None


def day_pairs_beyond(kind: Kind, rows: int, seed: int = SEED) -> float:
    """Share of days, two weeks after the reference, that differ from one in it by the own limit."""
    whole = replace(kind, days=42, missing=0)
    beyond = []
    for scores in diaries(np.random.default_rng(seed), whole, rows):
        usual = reference(days_of(scores, FIRST_DAY + timedelta(days=27)))
        assert usual is not None
        step = scores[FIRST_DAY + timedelta(days=41)] - scores[FIRST_DAY + timedelta(days=14)]
        beyond.append(abs(step) >= 1.96 * np.sqrt(2) * usual.spread)
    return float(np.mean(beyond))


# ---------------------------------------------------------------- tape trial


def trial_power(
    kind: Kind, pairs: int, scored_days: int, points: float, rows: int, seed: int = SEED
) -> float:
    """How often the trial's p is at most 5 % when tape takes `points` off, days followed."""
    period = scored_days + 1
    whole = replace(kind, days=2 * pairs * period, missing=0)
    rng = np.random.default_rng(seed)
    latent = whole.levels() + whole.spread * noise(rng, whole, rows)
    reached = 0
    for row, each in enumerate(latent):
        differences = []
        for pair in range(pairs):
            tape_first = fair_bit(f"{seed} {row}", pair + 1)
            means = []
            for half in (0, 1):
                start = (2 * pair + half) * period + 1
                on = tape_first is (half == 0)
                scores = recorded(each[start : start + scored_days] - points * on)
                means.append((on, float(scores.mean())))
            tape = next(mean for on, mean in means if on)
            bare = next(mean for on, mean in means if not on)
            differences.append(tape - bare)
        p = estimate(differences).p
        reached += p is not None and p <= 0.05
    return reached / rows


# ---------------------------------------------------------------- printing

SPREADS = (0.6, 1.0, 1.3)
TABLE_SPREADS = (0.6, 1.0, 1.3, 1.6)
AUTOCORRELATIONS = (0.0, 0.3, 0.6)
KINDS: dict[str, Kind] = {
    f"r {r:.1f}, SD {spread:.1f}": Kind(r=r, spread=spread)
    for r in AUTOCORRELATIONS
    for spread in SPREADS
} | {
    "r 0.3, peaks": Kind(peaks=4.0),
    "r 0.3, sharp peaks": Kind(peaks=2.0),
    "r 0.6, sharp peaks": Kind(peaks=2.0, r=0.6),
    "r 0.3, a quarter missing": Kind(missing=0.25),
    "r 0.6, a quarter missing": Kind(missing=0.25, r=0.6),
    "r 0.3, near the bottom": Kind(level=1.0),
    "r 0.3, near the top": Kind(level=9.0),
    "r 0.6, near the bottom": Kind(level=1.0, r=0.6),
    "r 0.3, drift -0.2 a week": Kind(level=6.0, drift=-0.2),
    "r 0.6, drift -0.2 a week": Kind(level=6.0, drift=-0.2, r=0.6),
    "r 0.3, fall of 1.5": Kind(level=6.0, step=-1.5),
    "r 0.6, fall of 1.5": Kind(level=6.0, step=-1.5, r=0.6),
    "r 0.3, fall of 2, ends near the bottom": Kind(level=2.5, step=-2),
}


def _percent(share: float | None) -> str:
    return "-" if share is None else f"{100 * share:5.1f} %"


def print_changes(rows: int) -> None:
    print("\nChange and overlap, 10 weeks, 14 and 14 days. Expected: coverage of the change")
    print("88 to 98 % up to autocorrelation 0.6; NAP's is printed and not promised.")
    print(f"{'kind':42}{'change':>9}{'told':>9}{'NAP':>9}{'told':>9}")
    for name, kind in KINDS.items():
        change, nap = change_coverage(kind, rows)
        print(
            f"{name:42}{_percent(change.held):>9}{_percent(change.told):>9}"
            f"{_percent(nap.held):>9}{_percent(nap.told):>9}"
        )


def print_trends(rows: int) -> None:
    print("\nTrend by the week. Expected: 5 weeks needed, 8 for a useful width; exact interval")
    print(
        "of 95.3 to 98.3 % for independent weeks; on daily whole numbers 12 to 31 % false trends."
    )
    print(f"{'kind':42}{'weeks':>7}{'held':>9}{'told':>9}")
    for name, kind in KINDS.items():
        for weeks in (5, 8, 13):
            found = trend_coverage(replace(kind, days=7 * weeks), rows)
            print(f"{name:42}{weeks:7}{_percent(found.held):>9}{_percent(found.told):>9}")


def print_signals(rows: int) -> None:
    print("\nFlare signal where nothing happens. Expected: about one a quarter, up to one and a")
    print("half with sharp peaks. Noticed: 2 points more for 3 days, on the third, and foretold.")
    print(f"{'kind':42}{'a quarter':>10}{'noticed':>10}{'foretold':>10}")
    for name, kind in KINDS.items():
        if kind.drift or kind.step:
            continue
        noticed, foretold = detection(kind, rows)
        print(
            f"{name:42}{false_signals(kind, rows):10.2f}{_percent(noticed):>10}"
            f"{_percent(foretold):>10}"
        )


def print_limits(rows: int) -> None:
    print(
        "\nOne day against another beyond 1.96 x sqrt 2 x the person's spread. By its making: 5 %."
    )
    for name, kind in KINDS.items():
        if not (kind.drift or kind.step):
            print(f"{name:42}{_percent(day_pairs_beyond(kind, rows)):>9}")


def print_trials(rows: int) -> None:
    print("\nTape trial: p at most 5 % where tape does nothing, takes 1 point off, and 2.")
    print("Expected: 8 x 3 or 10 x 2 scored days; where it does nothing at most 5 %.")
    print(f"{'kind':28}{'pairs':>7}{'days':>6}{'nothing':>10}{'1 point':>10}{'2 points':>10}")
    for spread in SPREADS:
        for r in AUTOCORRELATIONS:
            kind = Kind(r=r, spread=spread)
            for pairs, days in ((6, 3), (8, 3), (10, 2), (12, 2)):
                shares = [trial_power(kind, pairs, days, points, rows) for points in (0, 1, 2)]
                print(
                    f"{f'r {r:.1f}, SD {spread:.1f}':28}{pairs:7}{days:6}"
                    + "".join(f"{_percent(share):>10}" for share in shares)
                )


def print_power(rows: int) -> None:
    """The rows of `companion.evidence.trial_power`, the lowest over the autocorrelations."""
    print("\n# pairs, scored days, spread: percent for 1 point and for 2")
    for pairs in range(6, 13):
        for days in (2, 3):
            for spread in TABLE_SPREADS:
                shares = [
                    min(
                        trial_power(Kind(r=r, spread=spread), pairs, days, points, rows)
                        for r in AUTOCORRELATIONS
                    )
                    for points in (1, 2)
                ]
                one, two = (int(100 * share) for share in shares)
                print(f"    ({pairs}, {days}, {spread}): ({one}, {two}),", flush=True)


def main(arguments: Sequence[str] | None = None) -> int:
    """Print every table; `--diaries` says how many diaries each number rests on."""
    parser = argparse.ArgumentParser(prog="python -m tests.calibration", description=__doc__)
    parser.add_argument("--diaries", type=int, default=1000)
    tables: dict[str, Callable[[int], None]] = {
        "change": print_changes,
        "trend": print_trends,
        "signal": print_signals,
        "limits": print_limits,
        "trial": print_trials,
        "power": print_power,
    }
    parser.add_argument("tables", nargs="*", metavar="table", help=" ".join(tables))
    given = parser.parse_args(arguments)
    if set(given.tables) - set(tables):
        parser.error(f"tables are {', '.join(tables)}")
    print(f"{given.diaries} diaries a number, seed {SEED}")
    for name in given.tables or [name for name in tables if name != "power"]:
        tables[name](given.diaries)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
