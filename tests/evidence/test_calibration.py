"""The short form of `python -m tests.calibration`: fewer diaries, the same seed.

The full form (2000 diaries a number) gave the shares below; the short form may miss them by four
standard errors of its own few diaries and no more, so that a change of method shows.
"""

from dataclasses import replace

import numpy as np
import pytest

from companion.evidence.kendall import attained, inversions_left_out
from tests.calibration import (
    KINDS,
    SEED,
    Kind,
    better_shares,
    change_coverage,
    day_pairs_beyond,
    detection,
    diaries,
    false_signals,
    noise,
    trend_coverage,
    trial_power,
)
from tests.contradictions import OWN, contradictions, simulated
from tests.simulated import TRUTHS

ROWS = 300


def slack(share: float, rows: int = ROWS) -> float:
    """Four standard errors of a share in `rows` diaries."""
    return float(4 * np.sqrt(share * (1 - share) / rows))


def test_the_simulated_days_are_as_like_one_another_as_they_are_said_to_be() -> None:
    for kind in (Kind(r=0.0), Kind(r=0.6), Kind(r=0.6, peaks=2.0)):
        found = noise(np.random.default_rng(1), kind, 2000)
        assert found.std() == pytest.approx(1, abs=0.03)
        assert (found[:, 1:] * found[:, :-1]).mean() == pytest.approx(kind.r, abs=0.03)


def test_simulated_scores_are_whole_and_on_the_scale_with_gaps() -> None:
    rows = list(diaries(np.random.default_rng(1), Kind(level=9.0, spread=1.3), 50))
    assert {type(score) for row in rows for score in row.values()} == {int}
    assert max(score for row in rows for score in row.values()) == 10
    assert 0.86 < sum(map(len, rows)) / (50 * 70) < 0.94


# Full form: the change interval's coverage, all within the 88 to 98 % asked for.
CHANGE = {
    "r 0.0, SD 0.6": 0.970,
    "r 0.3, SD 1.0": 0.945,
    "r 0.6, SD 0.6": 0.906,
    "r 0.6, SD 1.3": 0.918,
    "r 0.6, sharp peaks": 0.925,
    "r 0.6, a quarter missing": 0.927,
    "r 0.6, near the bottom": 0.913,
    "r 0.6, drift -0.2 a week": 0.922,
    "r 0.3, fall of 2, ends near the bottom": 0.948,
}


@pytest.mark.parametrize("name", CHANGE)
def test_the_interval_of_a_change_holds_the_truth(name: str) -> None:
    full = CHANGE[name]
    assert 0.88 <= full <= 0.98
    change, _ = change_coverage(KINDS[name], ROWS)
    assert change.rows > ROWS / 2  # the others have too few days in a window
    assert change.held == pytest.approx(full, abs=slack(full, change.rows))


def test_the_overlap_is_not_promised_where_days_are_alike() -> None:
    # Full form: 97 % for independent days, 75 % at autocorrelation .6: said in its source line.
    _, independent = change_coverage(KINDS["r 0.0, SD 1.0"], ROWS)
    _, alike = change_coverage(KINDS["r 0.6, SD 1.0"], ROWS)
    assert independent.held == pytest.approx(0.971, abs=slack(0.971))
    assert alike.held == pytest.approx(0.748, abs=slack(0.748))


@pytest.mark.parametrize("weeks", [5, 8, 13])
@pytest.mark.parametrize("r", [0.0, 0.3])
def test_a_trend_is_seldom_told_where_there_is_none(weeks: int, r: float) -> None:
    # Full form: 1.2 to 3.5 %. What the exact interval leaves out is the most for independent weeks.
    found = trend_coverage(Kind(r=r, days=7 * weeks), ROWS)
    k = inversions_left_out(weeks)
    assert k is not None
    left_out = 1 - attained(weeks, k)
    assert found.told <= left_out + slack(left_out, found.rows)


def test_a_trend_of_a_fifth_of_a_point_a_week_is_found_in_a_quarter() -> None:
    # Full form: 97 % of diaries of 13 weeks, and a third of those of 8: "8 for a useful width".
    falling = KINDS["r 0.3, drift -0.2 a week"]
    assert trend_coverage(replace(falling, days=91), 100).told > 0.85
    assert trend_coverage(replace(falling, days=56), 100).told < 0.55


@pytest.mark.parametrize(
    ("name", "most"), [("r 0.0, SD 0.6", 0.3), ("r 0.3, SD 1.0", 1.4), ("r 0.6, SD 1.3", 2.3)]
)
def test_signals_where_nothing_happens(name: str, most: float) -> None:
    # One or two a quarter by chance (fact: flare_signal).
    assert false_signals(KINDS[name], 60) <= most


def test_what_would_be_noticed_is_foretold() -> None:
    # The person's own detection limit is the chance of being noticed, within a few of a hundred.
    for name in ("r 0.0, SD 0.6", "r 0.0, SD 1.0", "r 0.3, SD 1.3"):
        noticed, foretold = detection(KINDS[name], ROWS)
        assert foretold is not None
        assert noticed == pytest.approx(foretold, abs=slack(foretold))


def test_a_day_is_seldom_beyond_the_own_limit_by_chance() -> None:
    # By its making 5 %; whole scores and a spread from 28 days make it up to 9.
    assert 0.02 < day_pairs_beyond(Kind(), ROWS) < 0.12


def test_a_tape_trial_without_an_effect_is_seldom_told() -> None:
    nothing = trial_power(Kind(r=0.6), 8, 3, 0, ROWS)
    assert nothing <= 0.05 + slack(0.05)
    assert trial_power(Kind(r=0.3), 8, 3, 2, 100) > 0.9


# ---------------------------------------------------------------- verdicts

# Full form of 1,000 diaries: what is said at most, and found at least.
FEW = 100


@pytest.mark.parametrize(
    ("name", "plain", "higher"),
    [
        ("no change, phi 0.3", 0.03, 0.07),
        ("no change, near the bottom", 0.03, 0.07),
        ("no change, phi 0.8", 0.03, 0.07),
        ("slow wave .6", 0.05, 0.13),
        ("slow wave 1", 0.05, 0.13),
        ("entry after worst 15 %", 0.12, 0.13),
    ],
)
def test_where_nothing_changes_a_fall_is_seldom_told_without_its_reservation(
    name: str, plain: float, higher: float
) -> None:
    found = better_shares(TRUTHS[name], FEW)
    assert found.plain <= plain + slack(plain, FEW) / 2
    assert found.given["probably_higher"] <= higher + slack(higher, FEW) / 2
    assert found.past == 0


def test_a_true_fall_and_a_true_rise_are_found() -> None:
    assert better_shares(TRUTHS["fall 2.4"], FEW).fall >= 0.8
    assert better_shares(TRUTHS["rise 1.6"], FEW).given["probably_higher"] >= 0.6


def test_no_page_contradicts_itself() -> None:
    for name, read in simulated(100, SEED):
        assert contradictions(read) == [], (name, dict(read.lines))


def test_the_table_of_what_may_not_stand_together_finds_what_does() -> None:
    # Each page as it is stands; with a line of the former kind put into it, it does not.
    (_, read) = next(iter(simulated(1, SEED)))
    for label, words, name in (
        (
            "Change, first to last 14 days",
            "points: beyond measurement error",
            "two things judge a change",
        ),
        ("Pain going up", "probably higher by 2.0, from 4.0", "pain going up, and not higher"),
        (
            OWN,
            "Now about 3, at first about 5. Probably lower.",
            "the person is told less, the clinic not",
        ),
    ):
        assert name in contradictions(replace(read, lines={**read.lines, label: words}))
