"""Where things stand in a chart: pure arithmetic, checked on the numbers."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.paper.chart_plot import Box, Plot, apart, hatch, spread
from companion.presentation.view.chart import DaySpan

FIRST = date(2026, 10, 20)


def plot(days: int = 10) -> Plot:
    return Plot(Box(40, 20, 200, 100), FIRST, FIRST + timedelta(days=days - 1))


def test_zero_is_the_bottom_and_ten_the_top() -> None:
    assert [plot().y(score) for score in (0, 5, 10)] == [120, 70, 20]


def test_each_day_has_a_column_of_its_own() -> None:
    # Ten days over 200 points: 20 each; the score sits in the middle of its column.
    ten = plot()
    assert [ten.x(FIRST + timedelta(days=n)) for n in (0, 1, 9)] == [50, 70, 230]
    assert ten.column(DaySpan(FIRST, FIRST + timedelta(days=1))) == (40, 80)


def test_a_column_is_as_wide_on_the_day_the_clocks_change() -> None:
    # In the European Union clocks go back on the last Sunday of October (Directive 2000/84/EC):
    # 25 October 2026, a night of 25 hours.
    xs = [plot().x(FIRST + timedelta(days=n)) for n in range(10)]
    assert {round(right - left, 9) for left, right in pairwise(xs)} == {20}


def test_a_span_is_cut_to_the_plot() -> None:
    before = FIRST - timedelta(days=5)
    assert plot().column(DaySpan(before, FIRST)) == (40, 60)


@given(
    st.lists(st.floats(0, 100), min_size=1, max_size=6),
    st.floats(1, 40),
)
def test_labels_keep_their_order_and_their_distance(wanted: list[float], gap: float) -> None:
    placed = spread(wanted, gap, 0, 100)
    room = min(gap, 100 / max(1, len(wanted) - 1))
    ordered = sorted(placed)
    assert all(b - a >= room - 1e-6 for a, b in pairwise(ordered))
    assert all(-1e-6 <= y <= 100 + 1e-6 for y in placed)
    for one, other in pairwise(sorted(range(len(wanted)), key=lambda n: (wanted[n], n))):
        assert placed[one] <= placed[other]


def test_a_label_with_room_stays_where_it_was_wanted() -> None:
    assert spread([10, 50, 90], 12, 0, 100) == (10, 50, 90)


@given(st.floats(0, 50), st.floats(0, 50), st.floats(1, 60), st.floats(1, 20))
def test_hatching_stays_inside_its_box(x: float, y: float, w: float, h: float) -> None:
    box = Box(x, y, w, h)
    strokes = hatch(box, 2.5)
    for x1, y1, x2, y2 in strokes:
        assert box.left - 1e-6 <= x1 < x2 <= box.right + 1e-6
        assert box.top - 1e-6 <= y2 <= y1 <= box.bottom + 1e-6
        assert x1 + y1 == pytest.approx(x2 + y2)


def test_a_day_wide_box_is_hatched() -> None:
    assert len(hatch(Box(3, 3, 6, 9), 2.6)) >= 4


def test_labels_that_would_touch_are_left_out() -> None:
    assert apart([(10, 20), (25, 20), (50, 20)], 4) == (True, False, True)
