"""Zones, landmarks and the measure on the drawn skin: inner is inner, and all of it is in sight."""

from __future__ import annotations

from itertools import product
from typing import get_args

import pytest

from companion.care.records import Build, Side, Zone
from companion.picture.curves import inside
from companion.picture.knee import Knee
from companion.picture.places import LANDMARKS, MEASURED_FROM, DrawnZones, zone_map
from companion.picture.views import View, Viewpoint
from companion.presentation.language.said import said_words
from companion.presentation.view.figures import (
    landmark_picture,
    measuring_picture,
    stored_knee,
    zones_picture,
)

SIDES: tuple[Side, ...] = ("left", "right")
VIEWPOINTS: tuple[Viewpoint, ...] = ("own", "helper")
BUILDS: tuple[Build, ...] = get_args(Build)
BODIES = [*product(VIEWPOINTS, ("woman", "man"), BUILDS)]
KNEES = (Knee(), Knee(32, 30, 50), Knee(54, 52, 130))
PAIRS: tuple[tuple[Zone, Zone], ...] = (
    ("inner_edge", "outer_edge"),
    ("inner_joint_line", "outer_joint_line"),
)
MARKED: tuple[Zone, ...] = ("inner_edge",)
LEAST_MM2 = 200.0
"""A zone is at least as large as a finger tip on the page (C)."""


def area(path: list[complex]) -> float:
    """By the rule of the surveyor."""
    after = [*path[1:], path[0]]
    return abs(sum((a.conjugate() * b).imag for a, b in zip(path, after, strict=True))) / 2


def near(path: list[complex], ring: list[complex]) -> list[complex]:
    """The points of `path` within the box round `ring`: no other can be inside it."""
    left, right = min(at.real for at in ring), max(at.real for at in ring)
    top, foot = min(at.imag for at in ring), max(at.imag for at in ring)
    return [at for at in path if left <= at.real <= right and top <= at.imag <= foot]


def made(knee: Knee, side: Side, body: tuple[Viewpoint, str, Build]) -> DrawnZones:
    return zone_map(knee, stored_knee(*body), side)


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("body", BODIES, ids="-".join)
def test_inner_is_inner_and_the_hip_where_it_is_on_every_knee(
    side: Side, body: tuple[Viewpoint, str, Build]
) -> None:
    view = View(side, body[0])
    for knee in KNEES:
        zones = made(knee, side, body)
        for inner, outer in PAIRS:
            assert (zones.middle(inner) - zones.middle(outer)).real * view.inner > 20
        assert (zones.middle("above") - zones.middle("below")).imag * view.hip > 40


@pytest.mark.parametrize("body", BODIES, ids="-".join)
def test_each_zone_is_large_enough_to_press_and_apart_from_the_others(
    body: tuple[Viewpoint, str, Build],
) -> None:
    for knee in KNEES:
        zones = made(knee, "right", body)
        assert set(zones.areas) == set(knee.zones)
        rings = {zone: list(path.chords) for zone, path in zones.areas.items()}
        for zone, path in rings.items():
            assert area(path) > LEAST_MM2, (zone, knee)
            assert zones.at(zones.middle(zone)) == zone
            for other, ring in rings.items():
                if other != zone:
                    assert not any(inside(at, ring) for at in near(path, ring)), (zone, other)
        assert zones.at(200 + 200j) is None


@pytest.mark.parametrize("viewpoint", VIEWPOINTS)
def test_a_picture_of_zones_mirrors_with_the_knee_and_its_words_do_not(
    viewpoint: Viewpoint,
) -> None:
    right, left = (zones_picture(side, viewpoint, MARKED) for side in ("right", "left"))
    named = [{s.name: s.path for s in one.shapes if s.role == "zone" and s.name}
             for one in (right, left)]  # fmt: skip
    assert len(named[0]) == 7
    for name, path in named[0].items():
        assert [-p.conjugate() for p in path.points] == list(named[1][name].points)
    for one, side in ((right, "Right"), (left, "Left")):
        assert said_words(one.description).startswith(f"{side} knee")


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("viewpoint", VIEWPOINTS)
def test_a_finger_of_the_hand_that_is_said_is_on_the_landmark(
    side: Side, viewpoint: Viewpoint
) -> None:
    """The right hand of whoever has a right knee, and the other one of a helper, comes from the
    outer side; its index finger is where the ring is."""
    for landmark in LANDMARKS:
        picture = landmark_picture(landmark, side, viewpoint)
        hand = "Right" if (side == "right") == (viewpoint == "own") else "Left"
        said = said_words(picture.description)
        assert f"{hand} hand: index finger on it: {said_words(LANDMARKS[landmark])}" in said
        (ring,) = (s.path for s in picture.shapes if s.role == "mark" and s.weight != "halo")
        middle = sum(ring.chords) / len(ring.chords)
        pad = next(s.path for s in picture.shapes if (s.name or "").startswith("pads"))
        assert min(abs(at - middle) for at in pad.chords) < 14


@pytest.mark.parametrize("build", BUILDS)
@pytest.mark.parametrize("viewpoint", VIEWPOINTS)
@pytest.mark.parametrize("side", SIDES)
def test_the_words_of_the_measure_stand_clear_of_the_leg(
    side: Side, viewpoint: Viewpoint, build: Build
) -> None:
    knee = Knee(build=build)
    drawing = measuring_picture(side, viewpoint, knee=knee)
    ends = [knee.landmark(name) for name in MEASURED_FROM]
    rims = [stored_knee(viewpoint, "woman", build).skin.outer_rim(at.imag).real for at in ends]
    shown = [
        (at, words.size_mm, len(line), words.align)
        for words in drawing.words
        for line, at in words.lines(said_words)
        if line in ("bony", "bump", "upper", "edge")
    ]
    assert len(shown) == 4
    for (at, size, letters, align), rim in zip(shown, [rims[0]] * 2 + [rims[1]] * 2, strict=True):
        assert abs(at.real) > abs(rim) + 4
        # Letters are about 0.55 as wide as they are high; the words end within the picture.
        far = at.real + (1 if align == "left" else -1) * 0.55 * size * letters
        assert drawing.frame.left <= far <= drawing.frame.right
