"""No hand lies on the kneecap where its edge alone is pressed, or tape is laid beside it.

Read from what is painted: of the kneecap's outline, how much is under a hand, and whether its
middle is.
"""

from __future__ import annotations

from cmath import phase
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import reduce
from typing import get_args

import numpy as np
import pytest
from numpy.typing import NDArray

from companion.care.catalogue import TapeMoment
from companion.care.records import Build
from companion.picture.board import STRIPS_OF_STAGE
from companion.picture.curves import Point, inside
from companion.picture.drawing import Drawing
from companion.picture.scenes import knee_of
from companion.picture.stored import points_of
from companion.picture.tape_moments import MOMENTS, REMOVAL
from companion.picture.views import Viewpoint
from companion.presentation.view.figures import bare_knee, tape_picture
from tests.figure_tool.body import BODIES
from tests.figure_tool.knees import figures, keys_of, posed
from tests.figure_tool.stored import stored
from tests.picture.made import measures, plan

STORED, FIGURES = stored(), figures()
Places = NDArray[np.complex128]
MOST_COVERED, NEAR_MIDDLE = 0.5, 0.2
"""Of a hand that presses on the edge the ends of its digits lie on it (C: a thumb's end is longer
than half of the kneecap's edge is from its middle, so not less is asked)."""


SHARES = (0.15, 0.3, 0.45, 0.6, 0.75, 0.9)


def some(ring: Sequence[Point]) -> Sequence[Point]:
    return ring[:: max(len(ring) // 16, 1)]


def covered(ring: Sequence[Point], hands: Sequence[Sequence[Sequence[Point]]]) -> list[float]:
    """How far from the middle of a round line, as a share, each of its places under a hand is; a
    hand is a number of lines, holes among them."""
    middle = sum(ring) / len(ring)
    shares, outwards = np.array(SHARES), np.array(some(ring)) - middle
    places = (middle + shares[:, None] * outwards).ravel()
    under = np.zeros(len(places), bool)
    for hand in hands:
        under |= reduce(np.logical_xor, (_inside(places, np.array(line)) for line in hand))
    return [float(one) for one in np.repeat(shares, len(outwards))[under]]


def _inside(places: Places, line: Places) -> NDArray[np.bool_]:
    """`companion.picture.curves.inside` of many places at once."""
    a, b = line, np.roll(line, -1)
    level = a.imag != b.imag
    a, b = a[level], b[level]
    at = places[:, None]
    cut = (a.imag > at.imag) != (b.imag > at.imag)
    x = a.real + (at.imag - a.imag) / (b.imag - a.imag) * (b.real - a.real)
    odd: NDArray[np.bool_] = (cut & (x > at.real)).sum(axis=1) % 2 == 1
    return odd


def test_many_places_at_once_are_inside_as_one_alone_is() -> None:
    line = [0j, 4 + 0j, 4 + 4j, 2 + 1j, 4j]
    places = [complex(x, y) for x in (-1, 0.5, 2, 3.5, 5) for y in (-1, 0.5, 2, 3, 5)]
    found = _inside(np.array(places), np.array(line)).tolist()
    assert found == [inside(one, line) for one in places]
    assert 0 < sum(found) < len(found)


def in_sight(
    ring: Sequence[Point], hands: Sequence[Sequence[Sequence[Point]]], *, middle: bool = True
) -> bool:
    under = covered(ring, hands)
    whole = sum(SHARES) * len(some(ring))
    free = not middle or min(under, default=1.0) > NEAR_MIDDLE
    return free and sum(under) < MOST_COVERED * whole


@pytest.mark.parametrize("body", BODIES)
def test_hands_of_a_technique_leave_the_middle_of_the_kneecap_in_sight(body: str) -> None:
    """At each key of a movement where a hand is on the knee, on every body; of a key that is
    only passed the middle may be touched by a thumb's root."""
    wrong, paths = [], [path for one in keys_of("woman_slim").values() for path in one]
    for name, (path, whose) in FIGURES.items():
        if whose == body and not posed(path, body).get("lifted"):
            ring, hands = _stored_parts(name)
            if not in_sight(ring, hands, middle=path in paths):
                wrong.append(name)
    assert paths
    assert not wrong


def _stored_parts(name: str) -> tuple[list[Point], list[list[tuple[Point, ...]]]]:
    items = STORED[name]["items"]
    line = [at for one in items if one[2] == "kneecap" for at in points_of(one[3])]
    middle = sum(line) / len(line)
    ring = sorted(line, key=lambda at: phase(at - middle))
    hands = [
        [points_of(line) for line in one[3:]]
        for one in items
        if one[0] == "f" and one[2][:-1] in ("hand", "pads", "sleeve")
    ]
    return ring, hands


MOST_OVER: tuple[TapeMoment, ...] = ("draw", "rub")
"""Where a hand comes nearest to the kneecap: on the other bodies these alone are asked."""


def _tape_pictures(seen: Viewpoint, build: Build) -> Iterator[tuple[str, Drawing]]:
    made = plan("right", knees=(replace(measures("right"), build=build),))
    for stage, strips in STRIPS_OF_STAGE.items():
        for strip in strips:
            for moment in MOST_OVER if build != "usual" else (*MOMENTS, "rub"):
                name = f"{stage} {strip} {moment}"
                yield name, tape_picture(made, "right", stage, seen, strip, moment)
    for moment in REMOVAL if build == "usual" else ("off",):
        yield moment, tape_picture(made, "right", 1, seen, 1, moment)


@pytest.mark.parametrize("build", get_args(Build))
@pytest.mark.parametrize("seen", get_args(Viewpoint))
def test_hands_that_lay_tape_leave_the_middle_of_the_kneecap_in_sight(
    seen: Viewpoint, build: Build
) -> None:
    made = plan("right", knees=(replace(measures("right"), build=build),))
    knee = knee_of(made, "right")
    (line,) = bare_knee(seen, knee).skin.lines(knee.kneecap)
    wrong = []
    for name, drawing in _tape_pictures(seen, build):
        hands = [
            [one.path.points[::3]]
            for one in drawing.shapes
            if one.role == "hand" and one.fill not in ("none", "ink")
        ]
        assert hands
        if not in_sight(line.points[::3], hands):
            wrong.append((name, covered(line.points[::3], hands)))
    assert not wrong
