"""Which side is which, for whoever looks."""

from __future__ import annotations

import pytest

from companion.care.records import Side
from companion.picture.drawing import DrawnWords, Frame, Shape
from companion.picture.leg import header
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


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("across", [False, True])
def test_the_small_figure_stands_whole_beside_the_words(side: Side, across: bool) -> None:
    """Nothing of it is cut off at the frame, and none of its lines runs through a word."""
    frame = Frame(-120, -200, 240, 400)
    ground, *parts = header(View(side, "helper"), frame, across=across)
    left = min(word.at.real for word in parts if isinstance(word, DrawnWords))
    for part in parts:
        if isinstance(part, Shape):
            reached = [point.real for point in part.path.chords]
            assert frame.left <= min(reached)
            assert max(reached) < left
    assert isinstance(ground, Shape)
