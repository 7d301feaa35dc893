"""Days typed by hand: what is taken, and the sentence for what is not."""

from datetime import date

import pytest

from companion.presentation.home.picked_days import picked_days
from companion.presentation.view.chart import DaySpan

TODAY = date(2026, 11, 25)
BEGAN = date(2026, 9, 1)


def picked(first: str, last: str) -> tuple[DaySpan | None, str, str]:
    return picked_days(first, last, began=BEGAN, today=TODAY)


def test_empty_means_from_the_beginning_until_today() -> None:
    assert picked("", "") == (DaySpan(BEGAN, TODAY), "", "")
    assert picked("2 11", "8 11") == (DaySpan(date(2026, 11, 2), date(2026, 11, 8)), "", "")
    assert picked(" ", "8 11")[0] == DaySpan(BEGAN, date(2026, 11, 8))


def test_nothing_is_shown_before_the_record_or_after_today() -> None:
    assert picked("1 1 2020", "1 1 2030")[0] == DaySpan(BEGAN, TODAY)
    # A record that had not begun by then is shown as the empty day asked for.
    assert picked("1 1 2020", "3 1 2020")[0] == DaySpan(date(2020, 1, 3), date(2020, 1, 3))


@pytest.mark.parametrize(
    ("first", "last", "at_first", "at_last"),
    [
        ("99 9", "", True, False),
        ("", "99 9", False, True),
        ("x", "y", True, True),
        ("1 1 2030", "", True, False),
        ("8 11 2026", "2 11 2026", False, True),
    ],
)
def test_a_fault_is_told_beside_its_field(
    first: str, last: str, at_first: bool, at_last: bool
) -> None:
    span, first_fault, last_fault = picked(first, last)
    assert span is None
    assert (bool(first_fault), bool(last_fault)) == (at_first, at_last)
