"""Windows, the change between them, and the bands at their edges."""

from datetime import timedelta
from fractions import Fraction

import pytest

from companion.evidence.windows import (
    Sample,
    Windows,
    band,
    change,
    enough,
    percent,
    sample,
)
from tests.builders import DAY, by_day, scores


def windows(days: int) -> Windows:
    return Windows(first_day=DAY, last_day=DAY + timedelta(days=days - 1))


def test_windows_are_fourteen_calendar_days_at_either_end() -> None:
    both = windows(56)
    assert both.baseline == (DAY, DAY + timedelta(days=13))
    assert both.latest == (DAY + timedelta(days=42), DAY + timedelta(days=55))


@pytest.mark.parametrize(("days", "apart"), [(1, False), (27, False), (28, True), (29, True)])
def test_windows_share_no_day_from_twenty_eight_days_on(days: int, apart: bool) -> None:
    both = windows(days)
    shared = both.latest[0] <= both.baseline[1]
    assert both.apart is apart
    assert shared is not apart


def test_a_sample_counts_recorded_days_by_the_calendar() -> None:
    values = by_day(scores("6 - - 4 5 - - - - - - - - - 9"))
    found = sample(values, windows(28).baseline)
    assert (found.days, found.mean) == (3, Fraction(5))


def test_an_empty_sample_has_no_mean() -> None:
    assert sample({}, windows(28).latest).mean is None


@pytest.mark.parametrize(("a", "b", "is_enough"), [(10, 10, True), (9, 14, False), (14, 9, False)])
def test_ten_recorded_days_in_each(a: int, b: int, is_enough: bool) -> None:
    assert enough(Sample(days=a, total=0), Sample(days=b, total=0)) is is_enough


def test_change_is_exact_where_floats_are_not() -> None:
    # In floats 3.1 - 5.1 is -1.9999999999999996 and would miss the mark of -2.
    points = change(Fraction(51, 10), Fraction(31, 10))
    assert 3.1 - 5.1 > -2
    assert points == -2
    assert band(Fraction(-2), None) == "clear_better"


def test_percent_of_a_baseline_of_nothing_is_not_known() -> None:
    assert percent(Fraction(3), Fraction(0)) is None
    assert percent(Fraction(-2), Fraction(6)) == Fraction(-100, 3)
