"""Days typed by hand: what is taken, and the sentence for what is not."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.presentation.home.picked_days import picked_days, typed_day
from companion.presentation.view.chart import DaySpan

TODAY = date(2026, 11, 25)
BEGAN = date(2026, 9, 1)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2 11 2026", date(2026, 11, 2)),
        ("2.11.2026", date(2026, 11, 2)),
        ("02/11/26", date(2026, 11, 2)),
        ("2026-11-02", date(2026, 11, 2)),
        ("2 Nov", date(2026, 11, 2)),
        ("2 november 2025", date(2025, 11, 2)),
        # Without a year the last such day is meant: 25 December is still to come.
        ("25 12", date(2025, 12, 25)),
        ("25.11.", TODAY),
        ("29 2", date(2024, 2, 29)),
        ("31 11 2026", None),
        ("99 9", None),
        ("2 13 2026", None),
        ("yesterday", None),
        ("2 Nov 2026 19:00", None),
        ("Nov 2 2026", None),
        ("0 1 2026", None),
        ("1 1 0", date(2000, 1, 1)),
        ("²", None),
    ],
)
def test_days_as_people_write_them(text: str, day: date | None) -> None:
    assert typed_day(text, TODAY) == day


@given(st.dates(date(2001, 1, 1), TODAY))
def test_every_day_is_read_back_from_its_own_figures(day: date) -> None:
    assert typed_day(f"{day.day}.{day.month}.{day.year}", TODAY) == day
    assert typed_day(day.isoformat(), TODAY) == day


@given(st.text(max_size=30))
def test_whatever_is_typed_is_a_day_or_none(text: str) -> None:
    found = typed_day(text, TODAY)
    assert found is None or isinstance(found, date)


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
