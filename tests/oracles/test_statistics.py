"""Published and recomputed values for the methods of the findings, and the same by libraries.

Letters: F read in the source, S in a secondary page, M from memory, D arithmetic, V checked against
a reference library or R. The data are outside data or made up by us; none are of a real person.
"""

import math
from datetime import date, timedelta
from itertools import permutations
from statistics import mean, median
from typing import Any

import numpy as np
import pymannkendall
import pytest
from scipy import stats

from companion.evidence.autocorrelation import corrected, inflation, lag_one
from companion.evidence.change_interval import change_interval
from companion.evidence.kendall import attained, inversions_left_out, lower_tail
from companion.evidence.limits import limits, mean_variance, reference
from companion.evidence.next_morning import next_morning
from companion.evidence.overlap import interval, nap, overlap
from companion.evidence.process_chart import RANGE_FACTOR, UPPER_RANGE_FACTOR, moving_range
from companion.evidence.sign_flip import hodges_lehmann, sign_flip, smallest_p, walsh_averages
from companion.evidence.tape_trial import estimate
from companion.evidence.trend import sen, slopes, weekly_means
from companion.evidence.windows import Windows, within
from tests.builders import DAY, by_day, diary, pages, scores
from tests.found import findings
from tests.oracles.test_made_diary import EIGHT_WEEKS

# ---------------------------------------------------------------- slopes

# Sen 1968, J Am Stat Assoc 63:1379, by way of scipy's own tests (F).
SEN_X, SEN_Y = (1, 2, 3, 4, 10, 12, 18), (9, 15, 19, 20, 45, 55, 78)


def test_sens_own_example() -> None:
    found = slopes(dict(zip(SEN_X, SEN_Y, strict=True)))
    assert sen(found, len(SEN_X)).value == pytest.approx(4, abs=0.006)
    assert sen(found, len(SEN_X)).value == pytest.approx(stats.theilslopes(SEN_Y, SEN_X)[0])


def statsmodels() -> Any:
    """Loading it takes a second, which is nothing for those who only collect."""
    import statsmodels.api

    return statsmodels.api


def test_the_nile() -> None:
    # Flow at Aswan, 1871-1970 (Cobb 1978, Biometrika 65:243; statsmodels' data).
    flow = [int(one) for one in statsmodels().datasets.nile.load_pandas().data["volume"]]
    # R's modifiedmk: S -1387, z -4.1280665, slope -2.6 (V in pymannkendall), tolerance 1e-4.
    found = slopes(dict(enumerate(flow)))
    s = sum(map(np.sign, found))
    theirs = pymannkendall.original_test(flow)
    assert s == theirs.s == -1387
    assert median(found) == pytest.approx(-2.6, abs=1e-4)
    assert theirs.slope == pytest.approx(median(found))
    assert (s + 1) / math.sqrt(theirs.var_s) == pytest.approx(-4.1280665, abs=1e-4)


# Borckardt and Nash 2014, Neuropsychol Rehabil 24:492, fictitious data (F, V in R).
BORCKARDT_A = (7, 9, 8, 7, 7, 8, 8)
BORCKARDT_B = (3, 4, 2, 4, 2, 1, 4, 5, 3, 2, 1, 2, 4, 4)


def test_twenty_one_sessions_in_order() -> None:
    row = [*BORCKARDT_A, *BORCKARDT_B]
    s = sum(map(np.sign, slopes(dict(enumerate(row)))))
    assert s == -98
    ties = [row.count(score) for score in set(row)]
    all_pairs, tied = 21 * 20 / 2, sum(n * (n - 1) / 2 for n in ties)
    tau_b = s / math.sqrt(all_pairs * (all_pairs - tied))
    assert tau_b == pytest.approx(-0.495861, abs=1e-5)
    assert tau_b == pytest.approx(stats.kendalltau(range(21), row).statistic)


# Statistics of the method: K and the attained share for 5 to 13 weeks. 11 weeks attain 95.947 %,
# by our count and by that of all integers; the table has 96.0 for it, hence the tolerance (V).
KENDALL = {
    5: (0, 98.3),
    6: (1, 98.3),
    7: (3, 97.0),
    8: (5, 96.9),
    9: (8, 95.5),
    10: (11, 95.3),
    11: (14, 96.0),
    12: (18, 95.5),
    13: (22, 95.8),
}


@pytest.mark.parametrize("weeks", KENDALL)
def test_how_many_slopes_are_left_out(weeks: int) -> None:
    k, share = KENDALL[weeks]
    assert inversions_left_out(weeks) == k
    assert 100 * attained(weeks, k) == pytest.approx(share, abs=0.06)
    # One more would leave less than 95 %.
    assert attained(weeks, k) >= 0.95 > attained(weeks, k + 1)


@pytest.mark.parametrize("weeks", [0, 1, 2, 3, 4])
def test_four_weeks_have_no_interval(weeks: int) -> None:
    assert inversions_left_out(weeks) is None


@pytest.mark.parametrize("n", [2, 3, 4, 5, 6, 7])
def test_inversions_of_every_order_counted_one_by_one(n: int) -> None:
    # D: all n! orders.
    counts = [0] * (n * (n - 1) // 2 + 1)
    for order in permutations(range(n)):
        counts[sum(order[i] > order[j] for i in range(n) for j in range(i + 1, n))] += 1
    expected = np.cumsum(counts) / math.factorial(n)
    assert lower_tail(n) == pytest.approx(list(expected), abs=1e-12)


@pytest.mark.parametrize("n", [12, 40, 156])
def test_the_exact_p_of_a_library(n: int) -> None:
    # scipy's exact Kendall test of an order with so many inversions (V).
    order = list(range(n))
    for at in range(0, n - 5, 6):
        order[at : at + 5] = reversed(order[at : at + 5])
    found = stats.kendalltau(range(n), order, method="exact")
    inversions = round((1 - found.statistic) / 2 * n * (n - 1) / 2)
    assert 2 * lower_tail(n)[inversions] == pytest.approx(found.pvalue, rel=1e-6, abs=1e-14)


def made_weeks() -> dict[int, float]:
    return weekly_means(by_day(scores(EIGHT_WEEKS)), DAY)


def test_weekly_slope_of_the_made_diary() -> None:
    # Made up by us, V in R: a check of conventions, tolerance 1e-5.
    found = findings(diary(pages(EIGHT_WEEKS))).pain.trend
    assert found.slope_per_week == pytest.approx(-0.300595, abs=1e-5)
    assert found.low == pytest.approx(-0.428571, abs=1e-5)
    assert found.high == pytest.approx(-0.083333, abs=1e-5)
    assert (found.weeks, found.verdict) == (8, "falling")
    assert found.attained_percent == pytest.approx(96.9, abs=0.05)
    weeks = made_weeks()
    falls = sum(slope > 0 for slope in slopes(weeks))
    assert 2 * lower_tail(8)[falls] == pytest.approx(0.0055059524, abs=1e-10)  # R's exact p (V)
    theirs = stats.kendalltau(list(weeks), list(weeks.values()), method="exact")
    assert theirs.pvalue == pytest.approx(0.0055059524, abs=1e-10)
    assert stats.theilslopes(list(weeks.values()), list(weeks))[0] == pytest.approx(
        found.slope_per_week
    )


# ---------------------------------------------------------------- first against last


def made_windows() -> tuple[dict[date, int], dict[date, int]]:
    row = by_day(scores(EIGHT_WEEKS))
    both = Windows(first_day=min(row), last_day=max(row))
    return within(row, both.baseline), within(row, both.latest)


def test_change_of_the_made_diary() -> None:
    # Made up by us, V: f 1.274434, df 16.26877, interval -2.397296 to -1.269371; 1e-5.
    found = change_interval(*made_windows())
    assert found is not None
    assert found.inflations == pytest.approx((1.274434, 1.274434), abs=1e-5)
    assert found.degrees == pytest.approx(16.26877, abs=1e-5)
    assert (found.low, found.high) == pytest.approx((-2.397296, -1.269371), abs=1e-5)
    pain = findings(diary(pages(EIGHT_WEEKS))).pain
    assert (pain.low, pain.high) == (found.low, found.high)


def test_without_autocorrelation_it_is_welchs_interval() -> None:
    # V: scipy's Welch interval, where the products of neighbours come to make r* 0 and f 1.
    swing = [2, 8, 2, 8, 3, 7, 2, 8, 1, 9, 2, 8, 2, 8]
    calm = [4, 6, 4, 6, 4, 6, 3, 7, 4, 6, 4, 6, 4, 5]
    found = change_interval(by_day(swing), by_day(calm, DAY + timedelta(days=40)))
    theirs = stats.ttest_ind(calm, swing, equal_var=False).confidence_interval(0.95)
    assert found is not None
    assert found.inflations == pytest.approx((1, 1))
    assert (found.low, found.high) == pytest.approx(tuple(theirs))


def test_how_much_a_day_like_the_last_swells_a_mean() -> None:
    # D: rho .5, 7 days: variance factor 17.03125/49, tolerance 1e-9.
    assert inflation(7, 0.5) / 7 == pytest.approx(17.03125 / 49, abs=1e-9)
    assert mean_variance(tuple(range(7)), 0.5) == pytest.approx(17.03125 / 49, abs=1e-9)
    whole = np.power(0.5, np.abs(np.subtract.outer(np.arange(7), np.arange(7))))
    assert inflation(7, 0.5) / 7 == pytest.approx(whole.sum() / 49)


def test_lag_one_of_a_library() -> None:
    # V: statsmodels' autocorrelation divides products by n; ours by how many products there are.
    row = by_day([4, 5, 6, 6, 5, 3, 4, 4, 7, 6, 5, 5, 4, 6])
    theirs = statsmodels().tsa.acf(list(row.values()), nlags=1, fft=False)[1]
    assert lag_one([row]) == pytest.approx(theirs * 14 / 13)


def test_correction_for_few_days_is_clipped() -> None:
    # D: r + (1 + 3r)/n.
    assert corrected(0.2, 10, 0.9) == pytest.approx(0.36)
    assert corrected(0.9, 10, 0.9) == 0.9
    assert corrected(0.9, 10, 0.8) == 0.8
    assert corrected(-0.9, 10, 0.9) == 0


# ---------------------------------------------------------------- overlap


def test_all_pairs_better() -> None:
    # Borckardt and Nash 2014 (F, V in R): NAP 1, lower limit .788396. SingleCaseES gives [1, 1].
    found = overlap(BORCKARDT_A, BORCKARDT_B)
    assert found.value == 1
    assert found.low == pytest.approx(0.788396, abs=1e-5)
    assert found.high == 1
    shifts = [a - b for a in BORCKARDT_A for b in BORCKARDT_B]
    assert median(shifts) == 5.0  # the two-sample Hodges-Lehmann shift of the same data


def test_four_pairs_in_a_hundred_and_ten() -> None:
    # Parker and Vannest 2009, Behav Ther 40:357 (F, V): higher is better there, so turned round.
    a, b = (4, 3, 4, 3, 4, 7, 5, 2, 3, 2), (5, 9, 7, 9, 7, 5, 9, 11, 11, 10, 9)
    assert float(nap(b, a)) == pytest.approx(106 / 110)
    assert interval(106 / 110, 10, 11) == pytest.approx((0.74997, 0.99508), abs=1e-4)


def test_overlap_of_the_made_diary() -> None:
    # Made up by us, V, tolerance 1e-5.
    found = findings(diary(pages(EIGHT_WEEKS))).pain.nap
    assert found.value == pytest.approx(0.982639, abs=1e-5)
    assert (found.low, found.high) == pytest.approx((0.801789, 0.998542), abs=1e-5)
    first, last = (list(window.values()) for window in made_windows())
    theirs = stats.mannwhitneyu(first, last).statistic / (len(first) * len(last))
    assert found.value == pytest.approx(theirs)  # the same by ranks (V)


def test_an_overlap_turned_round_is_mirrored() -> None:
    here, there = overlap(BORCKARDT_A, BORCKARDT_B), overlap(BORCKARDT_B, BORCKARDT_A)
    assert there.value == 0
    assert there.low == 0
    assert there.high == pytest.approx(1 - (here.low or 0))


# ---------------------------------------------------------------- pair differences

# Heights of Darwin's maize, crossed less self-fertilised, in eighths of an inch (Fisher 1935; V).
DARWIN = (49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48)
# Hollander and Wolfe, depression scale before and after, the example of R's wilcox.test (V in R).
HOLLANDER = [
    x - y
    for x, y in zip(
        (1.83, 0.50, 1.62, 2.48, 1.68, 1.88, 1.55, 3.06, 1.30),
        (0.878, 0.647, 0.598, 2.05, 1.06, 1.29, 1.06, 3.14, 1.29),
        strict=True,
    )
]
MADE_PAIRS = (-1.5, -0.5, -2, 0, -1, -0.5, -1.5, -1)


def test_darwins_plants() -> None:
    assert sign_flip(DARWIN).p == 1726 / 32768
    assert hodges_lehmann(DARWIN) == pytest.approx(25, abs=1e-8)
    theirs = stats.permutation_test(
        (DARWIN,), np.sum, permutation_type="samples", n_resamples=2**15, vectorized=True
    )
    assert theirs.pvalue == sign_flip(DARWIN).p


def test_hollander_and_wolfe() -> None:
    assert hodges_lehmann(HOLLANDER) == pytest.approx(0.46, abs=1e-9)
    # The interval of the signed-rank test, .010 to .786, from our Walsh averages and the null
    # distribution of the test, counted over all 2^9 signs (D).
    ranks = np.arange(1, 10)
    sums = sorted(
        sum(rank for rank, up in zip(ranks, format(n, "09b"), strict=True) if up == "1")
        for n in range(2**9)
    )
    left_out = max(w for w in range(20) if sum(each < w for each in sums) / 2**9 <= 0.025) - 1
    averages = walsh_averages(HOLLANDER)
    assert averages[left_out] == pytest.approx(0.010, abs=1e-9)
    assert averages[-1 - left_out] == pytest.approx(0.786, abs=1e-9)


def test_made_pairs() -> None:
    # Made up by us; p checked in R (V), tolerance 1e-9.
    found = sign_flip(MADE_PAIRS)
    assert mean(MADE_PAIRS) == -1
    assert found.p == 4 / 256
    assert hodges_lehmann(MADE_PAIRS) == pytest.approx(-1, abs=1e-9)
    assert (found.low, found.high) == pytest.approx((-1.5, -0.5), abs=1e-9)
    assert estimate(MADE_PAIRS).favouring == 7


@pytest.mark.parametrize(
    ("pairs", "p"), [(5, 0.0625), (6, 0.0313), (7, 0.0156), (8, 0.0078), (10, 0.0020)]
)
def test_smallest_p(pairs: int, p: float) -> None:
    # Statistics of the method (D: 2 of 2^k), four decimals.
    assert smallest_p(pairs) == pytest.approx(p, abs=5.1e-5)
    assert sign_flip([1.0] * pairs).p == smallest_p(pairs)


# ---------------------------------------------------------------- process chart


def test_flow_rates_of_the_handbook() -> None:
    # NIST/SEMATECH e-Handbook 6.3.2.2 (S): mean 50.81, mean moving range 1.8778, limits with
    # 3/1.128 55.8041 and 45.8159, tolerance 1e-4.
    rates = (49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1)
    steps = moving_range({DAY + timedelta(days=at): rate for at, rate in enumerate(rates)})
    assert steps is not None
    assert mean(rates) == pytest.approx(50.81, abs=1e-4)
    assert steps == pytest.approx(1.8778, abs=1e-4)
    assert mean(rates) + 3 / 1.128 * steps == pytest.approx(55.8041, abs=1e-4)
    assert mean(rates) - 3 / 1.128 * steps == pytest.approx(45.8159, abs=1e-4)
    # The factors are the rounded ones in common use: 3/d2 and D4 for ranges of two (M). d2 of two
    # normal values is 2/sqrt(pi), the spread of their range sqrt(2 - 4/pi) (D).
    d2 = 2 / math.sqrt(math.pi)
    assert round(3 / d2, 2) == RANGE_FACTOR
    assert pytest.approx(1 + 3 * math.sqrt(2 - d2**2) / d2, abs=2e-3) == UPPER_RANGE_FACTOR


# ---------------------------------------------------------------- own limits, next morning


# By hand (D): days of 3 and then of 7 lie 2 from their mean; of 13 products 12 are 4 and one -4, so
# r = (44/13)/4 = .846154 and r* = r + (1 + 3r)/14 = 1.098901 is clipped.
STEP_UP = [3] * 7 + [7] * 7


def correlated(r: float, n: int) -> float:
    """Variance of a mean of n unit-spread days in a first-order series, from the whole matrix."""
    return float(np.power(r, np.abs(np.subtract.outer(np.arange(n), np.arange(n)))).mean())


def test_own_limits_by_hand() -> None:
    # (fact: flare_signal): m of the middle half, s of the days below it, r .35, max(1.5, 2.5 s
    # sqrt f). By hand (D): of 1 2 2 and then 4s and 9s the middle half is 4, and the squares below
    # are 9 + 4 + 4.
    row = [1, 2, 2, *[4] * 12, 9, 9, 9, 9, 9]
    usual = reference(by_day(row))
    assert usual is not None
    spread = math.sqrt(2 * (9 + 4 + 4) / 20)
    assert (usual.mean, usual.spread) == pytest.approx((4, spread))
    error = spread * math.sqrt(correlated(0.35, 3))
    assert usual.rise_limit((0, 1, 2)) == pytest.approx(2.5 * error)
    # A day missing in the middle leaves days 0 and 2: their like is r squared.
    missing = 2.5 * spread * math.sqrt((2 + 2 * 0.35**2) / 4)
    assert usual.rise_limit((0, 2)) == pytest.approx(missing)
    own = limits(by_day(row), DAY + timedelta(days=19))
    assert own.real_change_points == pytest.approx(1.96 * math.sqrt(2) * spread)
    assert own.rise_noticed == pytest.approx(1 - stats.norm.cdf((2.5 * error - 2) / error))


def test_the_interval_of_days_very_like_one_another_by_hand() -> None:
    # (fact: change_interval): r* clipped to .9, f of 14 days from the whole matrix.
    found = change_interval(by_day(STEP_UP), by_day(STEP_UP, DAY + timedelta(days=40)))
    f = 14 * correlated(0.9, 14)
    v = float(np.var(STEP_UP, ddof=1)) / 14 * f * 13 / max(14 - f, 1)
    degrees = 2 * max(14 / f - 1, 1)
    assert found is not None
    assert found.degrees == pytest.approx(degrees)
    assert found.high == pytest.approx(stats.t.ppf(0.975, degrees) * math.sqrt(2 * v))
    assert found.low == pytest.approx(-found.high)


def test_next_morning_by_a_library() -> None:
    # V: statsmodels' least squares with the same columns.
    rng = np.random.default_rng(7)
    days = [DAY + timedelta(days=step) for step in range(80)]
    amounts = {day: float(rng.integers(5, 60)) for day in days}
    pain = {day: int(rng.integers(2, 8)) for day in days}
    found, unknown = next_morning("walk", "min", amounts, pain)
    assert unknown is None
    pairs = days[1:-1]
    spread = np.std([amounts[day] for day in pairs], ddof=1)
    columns = np.array(
        [
            [
                1.0,
                amounts[day] / spread,
                pain[day - timedelta(days=1)],
                float((day + timedelta(days=1)).weekday() >= 5),
                (day - DAY).days,
            ]
            for day in pairs
        ]
    )
    theirs = (
        statsmodels().OLS([float(pain[day + timedelta(days=1)]) for day in pairs], columns).fit()
    )
    assert found.pairs == 78
    assert found.points == pytest.approx(theirs.params[1])
    assert (found.low, found.high) == pytest.approx(tuple(theirs.conf_int()[1]))
    several, _ = next_morning("walk", "min", amounts, pain, of=2)
    assert (several.low, several.high) == pytest.approx(tuple(theirs.conf_int(alpha=0.01)[1]))
    assert several.range_percent == 99
