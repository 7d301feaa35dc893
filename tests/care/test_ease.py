"""Ease in whole numbers."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from companion.care.ease import ease_percent, target_met

scores = st.integers(0, 10)


def test_edges() -> None:
    """Half as the usual mark for "enough": (fact: ease_target)."""
    assert target_met(10, 5, 50)
    assert not target_met(7, 4, 50)
    assert target_met(7, 3, 50)
    assert target_met(10, 7, 30), "0.3 * 10 is not exact in floating point"
    assert not target_met(0, 0, 50)
    assert ease_percent(0, 0) is None
    assert ease_percent(None, 3) is None
    assert ease_percent(5, None) is None
    assert ease_percent(5, 6) == -20
    assert ease_percent(8, 2) == 75


@given(scores, scores, st.integers(10, 100))
def test_met_is_the_exact_share(before: int, after: int, target: int) -> None:
    exact = before > 0 and Fraction(before - after, before) >= Fraction(target, 100)
    assert target_met(before, after, target) == exact
