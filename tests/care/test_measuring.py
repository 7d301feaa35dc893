"""Two readings of a knee: they agree, or it is measured again."""

import pytest

from companion.care.measuring import measured


@pytest.mark.parametrize(
    ("first", "second", "verdict", "mm"),
    [
        (8.4, 8.6, "good", 85.0),
        (8.0, 8.5, "good", 82.5),
        (8.0, 8.51, "differ", None),
        (8.5, 8.0, "good", 82.5),
        (5.9, 5.8, "unusual", 58.5),
        (16.2, 16.0, "unusual", 161.0),
        (6.0, 16.0, "differ", None),
        (3.9, 4.1, "refused", None),
        (25.1, 25.0, "refused", None),
        (84, 85, "refused", None),
    ],
)
def test_centimetres(first: float, second: float, verdict: str, mm: float | None) -> None:
    """Must agree within 5 mm (common practice, no source). Warn outside 60-160 mm, refuse outside
    40-250 mm (facts: measure_unusual, measure_refused). The last row is millimetres typed as
    centimetres."""
    found = measured(first, second, "cm")
    assert found.verdict == verdict
    assert found.mm == (None if mm is None else pytest.approx(mm))


def test_inches_are_25_4_mm() -> None:
    """International yard and pound agreement, 1959 (M)."""
    found = measured(3.25, 3.375, "inch")
    assert (found.first_mm, found.second_mm) == pytest.approx((82.55, 85.725))
    assert found.mm == pytest.approx(84.1375)
