"""Days typed by hand, at home and in the clinic: one reader for both."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.presentation.language.typed_days import typed_day, typed_day_before

TODAY = date(2026, 11, 25)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2 11 2026", date(2026, 11, 2)),
        ("2.11.2026", date(2026, 11, 2)),
        ("02/11/26", date(2026, 11, 2)),
        ("2026-11-02", date(2026, 11, 2)),
        ("2 november 2025", date(2025, 11, 2)),
        ("24 Dec 2026", date(2026, 12, 24)),
        ("today", TODAY),
        ("Today ", TODAY),
        ("6w", TODAY + timedelta(weeks=6)),
        ("10 d", TODAY + timedelta(days=10)),
        ("1 1 0", date(2000, 1, 1)),
        ("31 2 2026", None),
        ("31 11 2026", None),
        ("2 13 2026", None),
        ("yesterday", None),
        ("soon", None),
        ("2 Nov 2026 19:00", None),
        ("Nov 2 2026", None),
        ("0 1 2026", None),
        ("1 1 20260", None),
        ("1 1 1800", None),
        ("²", None),
        ("", None),
    ],
)
def test_days_as_people_write_them(text: str, day: date | None) -> None:
    assert typed_day(text, TODAY) == day
    assert typed_day_before(text, TODAY) == day


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2 Nov", date(2026, 11, 2)),
        # Without a year the last such day is meant: 25 December is still to come.
        ("25 12", date(2025, 12, 25)),
        ("25.11.", TODAY),
        ("29 2", date(2024, 2, 29)),
        ("99 9", None),
        ("12 2026", None),
    ],
)
def test_without_a_year_the_last_such_day_is_meant_or_none(text: str, day: date | None) -> None:
    assert typed_day_before(text, TODAY) == day
    assert typed_day(text, TODAY) is None


@given(st.dates(date(1900, 1, 1), date(2200, 12, 31)))
def test_every_day_is_read_back_as_it_is_written(day: date) -> None:
    for text in (f"{day.day} {day.month} {day.year}", f"{day.day}.{day.month}.{day.year}"):
        assert typed_day(text, TODAY) == typed_day_before(text, TODAY) == day
    assert typed_day(day.isoformat(), TODAY) == day


@given(st.text(max_size=30))
def test_whatever_is_typed_is_a_day_or_none(text: str) -> None:
    for found in (typed_day(text, TODAY), typed_day_before(text, TODAY)):
        assert found is None or isinstance(found, date)
