"""One model, one transform."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.records import Side
from companion.picture.curves import Point
from companion.picture.knee import Knee
from companion.picture.views import View, Viewpoint

POINTS = st.builds(complex, st.floats(-200, 200), st.floats(-200, 200))
VIEWS = st.builds(View, st.sampled_from(("left", "right")), st.sampled_from(("own", "helper")))


@given(VIEWS, POINTS)
def test_there_and_back(view: View, point: Point) -> None:
    assert view.to_knee(view.to_page(point)) == point


@given(VIEWS, POINTS)
def test_turning_twice_gives_back_the_start(view: View, point: Point) -> None:
    assert view.turned.turned == view
    assert view.turned.to_page(point) == -view.to_page(point)


@given(VIEWS, POINTS)
def test_left_is_the_mirror_of_right(view: View, point: Point) -> None:
    assert view.mirrored.mirrored == view
    here, there = view.to_page(point), view.mirrored.to_page(point)
    assert there == -here.conjugate()


@pytest.mark.parametrize(
    ("side", "viewpoint", "inner_on_the", "hip"),
    [
        ("right", "helper", "right", "up"),
        ("right", "own", "left", "down"),
        ("left", "helper", "left", "up"),
        ("left", "own", "right", "down"),
    ],
)
def test_where_inner_and_hip_are(
    side: Side, viewpoint: Viewpoint, inner_on_the: str, hip: str
) -> None:
    """Looking down at one's own right leg the other leg is on its left, the hip near (C)."""
    view, knee = View(side, viewpoint), Knee()
    inner = view.to_page(knee.landmark("inner_edge"))
    assert (inner.real > 0) == (inner_on_the == "right")
    thigh = view.to_page(knee.landmark("thigh_inner"))
    assert (thigh.imag < 0) == (hip == "up")
