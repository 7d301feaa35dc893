"""Numbers as they are read: rounding never contradicts what stands beside it."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.presentation.language.figures_in_words import (
    MINUS,
    half_point,
    hundredths,
    one_decimal,
    signed,
    signed_between,
    whole_percent,
)

MEANS = st.floats(0, 10)


def read(words: str) -> Decimal:
    return Decimal(words.replace(MINUS, "-"))


@given(MEANS, MEANS)
def test_a_change_is_what_a_reader_gets_from_its_ends(first: float, last: float) -> None:
    change = read(signed_between(first, last))
    assert change == read(one_decimal(last)) - read(one_decimal(first))
    assert abs(change - Decimal(last - first)) <= Decimal("0.1") + Decimal("1e-9")


def test_a_change_rounded_by_itself_would_be_a_tenth_off() -> None:
    assert (one_decimal(4.14), one_decimal(2.66)) == ("4.1", "2.7")
    assert signed(2.66 - 4.14) == f"{MINUS}1.5"
    assert signed_between(4.14, 2.66) == f"{MINUS}1.4"


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
        (hundredths(-0.125), f"{MINUS}0.13"),
        (whole_percent(-28.5), f"{MINUS}29\u00a0%"),
        (whole_percent(28.5), "29\u00a0%"),
        (whole_percent(28.5, with_sign=True), "+29\u00a0%"),
    ],
)
def test_halves_go_up_and_nothing_has_no_sign(words: str, said: str) -> None:
    assert words == said
