"""The table of what a tape trial can notice, computed again in a few of its cells."""

import pytest

from companion.evidence.sign_flip import smallest_p
from companion.evidence.trial_power import SPREADS, outlook
from tests.calibration import AUTOCORRELATIONS, TABLE_SPREADS, Kind, trial_power

ROWS = 200


def test_every_size_that_may_be_planned_is_in_the_table() -> None:
    assert SPREADS == TABLE_SPREADS
    for pairs in range(6, 13):
        for days in (2, 3):
            for spread in SPREADS:
                found = outlook(pairs, days, spread)
                assert found is not None
                assert found.smallest_p == smallest_p(pairs) < 0.05
                assert 0 < found.one_point_percent < found.two_points_percent <= 100


@pytest.mark.parametrize(
    ("pairs", "days", "spread"), [(6, 3, 1.0), (8, 3, 1.0), (8, 3, 1.6), (10, 2, 1.3)]
)
def test_a_cell_computed_again(pairs: int, days: int, spread: float) -> None:
    found = outlook(pairs, days, spread)
    assert found is not None
    for points, percent in ((1, found.one_point_percent), (2, found.two_points_percent)):
        again = min(
            trial_power(Kind(r=r, spread=spread), pairs, days, points, ROWS)
            for r in AUTOCORRELATIONS
        )
        # Four standard errors of 200 trials, and as much downwards again for the lowest of three.
        share = percent / 100
        slack = 4 * (max(share * (1 - share), 0.01) / ROWS) ** 0.5
        assert share - 1.5 * slack < again < share + slack


def test_more_pairs_more_days_less_spread_notice_more() -> None:
    def percent(pairs: int, days: int, spread: float) -> int:
        found = outlook(pairs, days, spread)
        assert found is not None
        return found.one_point_percent

    for pairs in range(6, 13):
        assert percent(pairs, 3, 1.0) >= percent(pairs, 2, 1.0)
        assert percent(pairs, 3, 0.6) > percent(pairs, 3, 1.0) > percent(pairs, 3, 1.6)
    assert percent(12, 3, 1.0) > percent(6, 3, 1.0)


def test_a_spread_between_two_takes_the_wider() -> None:
    between, wider = outlook(8, 3, 1.1), outlook(8, 3, 1.3)
    assert between == wider
    assert between is not None
    assert between.spread == 1.3
    assert outlook(8, 3, 0.5) == outlook(8, 3, 0.6)


@pytest.mark.parametrize(
    ("pairs", "days", "spread"), [(5, 3, 1.0), (13, 3, 1.0), (8, 4, 1.0), (8, 1, 1.0), (8, 3, 1.7)]
)
def test_nothing_is_foretold_outside_the_table(pairs: int, days: int, spread: float) -> None:
    assert outlook(pairs, days, spread) is None
