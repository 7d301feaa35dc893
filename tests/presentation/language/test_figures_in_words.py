"""Numbers as they are read: rounding never contradicts what stands beside it."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.presentation.language.figures_in_words import (
    MINUS,
    change_between,
    changed,
    half_point,
    hundredths,
    one_decimal,
    signed,
    whole_percent,
)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (half_point(6.5), "6½"),
        (half_point(0.25), "½"),
        (half_point(0.2), "0"),
        (one_decimal(4.25), "4.3"),
        (one_decimal(-0.04), "0.0"),
        (signed(-0.04), "0.0"),
        (signed(1.84), "+1.8"),
        (signed(2, "1"), "+2"),
        (hundredths(-0.125), f"{MINUS}0.13"),
        (whole_percent(-28.5), f"{MINUS}29\u00a0%"),
        (whole_percent(28.5), "29\u00a0%"),
        (whole_percent(28.5, with_sign=True), "+29\u00a0%"),
    ],
)
def test_halves_go_up_and_nothing_has_no_sign(words: str, said: str) -> None:
    assert words == said


@given(st.floats(0, 10), st.floats(0, 10))
def test_a_change_is_what_its_ends_differ_by_as_they_are_read(before: float, after: float) -> None:
    def number(words: str) -> Decimal:
        return Decimal(words.replace(MINUS, "-"))

    ends = [number(one_decimal(end)) for end in (before, after)]
    assert number(change_between(before, after)) == ends[1] - ends[0]
    change = after - before
    assert number(changed(before, change)) == ends[0] + number(one_decimal(change))
    assert abs(number(changed(before, change)) - ends[1]) <= Decimal("0.1")
    assert (change_between(4.36, 6.54), changed(4.36, 2.18)) == ("+2.1", "6.6")
