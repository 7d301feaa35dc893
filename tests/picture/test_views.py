"""Which side is which, for whoever looks."""

from __future__ import annotations

import pytest

from companion.care.records import Side
from companion.picture.views import View, Viewpoint


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
    view = View(side, viewpoint)
    assert (view.inner > 0) == (inner_on_the == "right")
    assert (view.hip < 0) == (hip == "up")
