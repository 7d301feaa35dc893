"""Chair, bed, step, rail and towel, in the sizes they have in a home. Metres."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from tests.figure_tool.body import Floats, Ints, unit
from tests.figure_tool.scene import Look, Scene

SEAT_MM, SEAT_DEEP_MM, SEAT_WIDE_MM = 450, 400, 460
"""A usual dining chair (C); the back ends 900 mm above the floor."""
STEP_MM = 150
WORKTOP_MM = 900
BED_MM = 500


def box(
    x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]
) -> tuple[Floats, Ints]:
    """A box between two corners."""
    points = np.array([[a, b, c] for a in x for b in y for c in z], float)
    sides = [[0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1], [2, 3, 7, 6], [0, 2, 6, 4], [1, 5, 7, 3]]
    faces = [[s[0], s[1], s[2]] for s in sides] + [[s[0], s[2], s[3]] for s in sides]
    return points, np.array(faces, np.int64)


def rod(start: Floats, end: Floats, radius: float, flat: float = 1.0) -> tuple[Floats, Ints]:
    """A round rod between two points; `flat` squeezes it from above."""
    way = unit(end - start)
    side = unit(np.cross(way, [0.0, 0.0, 1.0] if abs(way[2]) < 0.9 else [0.0, 1.0, 0.0]))
    upward = np.cross(side, way)
    around = np.linspace(0, 2 * np.pi, 32, endpoint=False)
    ring = radius * (np.cos(around)[:, None] * side + flat * np.sin(around)[:, None] * upward)
    points = np.r_[start + ring, end + ring, [start], [end]]
    i = np.arange(32)
    j, n = (i + 1) % 32, 32
    faces = [
        np.stack([i, j, n + i], 1),
        np.stack([j, n + j, n + i], 1),
        np.stack([j, i, np.full(n, 2 * n)], 1),
        np.stack([n + i, n + j, np.full(n, 2 * n + 1)], 1),
    ]
    return points, np.concatenate(faces)


def build(scene: Scene, kind: str, told: Mapping[str, Any]) -> None:
    """Add one thing of a pose's list to a scene."""
    MAKERS[kind](scene, told)


def _solid(scene: Scene, name: str, tint: str, made: tuple[Floats, Ints]) -> None:
    points, faces = made
    if len(points) != 8:
        scene.add(Look(name, tint, inner=False), points, faces)
        return
    for axis in range(3):  # each side of a box is an area, or its edges would not be drawn
        own = faces[np.ptp(points[faces][:, :, axis], 1) < 1e-9]
        scene.add(Look(f"{name}_{'xyz'[axis]}", tint, inner=False), points, own)


def _chair(scene: Scene, told: Mapping[str, Any]) -> None:
    """`back` is where its back is on the y axis; it faces the same way as the person."""
    back, top = float(told["back"]), SEAT_MM / 1000 + float(told.get("higher", 0))
    front, wide = back - SEAT_DEEP_MM / 1000, SEAT_WIDE_MM / 2000
    for x in (wide - 0.04, -wide):
        side = "near" if x < 0 else "far"
        _solid(
            scene,
            f"chair_{side}_front",
            "wood",
            box((x, x + 0.04), (front + 0.02, front + 0.06), (0, top - 0.03)),
        )
        _solid(
            scene,
            f"chair_{side}_back",
            "wood",
            box((x, x + 0.04), (back - 0.04, back), (0, top + 0.45)),
        )
    _solid(
        scene,
        "chair_rest",
        "wood",
        box((-wide + 0.04, wide - 0.04), (back - 0.035, back - 0.01), (top + 0.2, top + 0.43)),
    )
    _solid(
        scene, "chair_seat", "wood", box((-wide, wide), (front, back - 0.04), (top - 0.045, top))
    )
    if told.get("cushion"):
        _solid(
            scene,
            "cushion",
            "cloth",
            box(
                (-wide + 0.02, wide - 0.02),
                (front + 0.01, back - 0.05),
                (top, top + float(told["cushion"])),
            ),
        )


def _wall(scene: Scene, told: Mapping[str, Any]) -> None:
    at = float(told["at"])
    _solid(
        scene, "wall", "shade", box((-0.5, 0.6), (at, at + 0.03), (0, float(told.get("high", 1.2))))
    )


def _worktop(scene: Scene, told: Mapping[str, Any]) -> None:
    """`edge` is where its front edge is on the y axis."""
    edge, top = float(told["edge"]), WORKTOP_MM / 1000
    _solid(
        scene, "cupboard", "paper", box((-0.25, 0.5), (edge - 0.5, edge - 0.03), (0.1, top - 0.04))
    )
    _solid(scene, "plinth", "shade", box((-0.24, 0.5), (edge - 0.5, edge - 0.09), (0, 0.1)))
    _solid(scene, "worktop", "wood", box((-0.26, 0.52), (edge - 0.5, edge), (top - 0.04, top)))


def _step(scene: Scene, told: Mapping[str, Any]) -> None:
    """`edge` is where the lowest begins on the y axis, `count` how many there are; they rise in
    front of the person, or `down` from where the person comes. `near` is how far they reach to the
    near side."""
    edge, high = float(told["edge"]), STEP_MM / 1000
    deep, near = float(told.get("deep", 0.32)), float(told.get("near", 0.4))
    for i in range(int(told.get("count", 1))):
        start = edge + deep * i if told.get("down") else edge - deep * (i + 1)
        across = (-near, 0.4)
        _solid(scene, f"step{i}", "wood", box(across, (start, start + deep), (0, high * (i + 1))))


def _rail(scene: Scene, told: Mapping[str, Any]) -> None:
    """A rail on the far side, or with `side` R on the near one; from `start` to `end` (y, z)."""
    x = float(told.get("x", 0.36))
    start, end = (np.array([x, *told[key]], float) for key in ("start", "end"))
    for i, share in enumerate((0.1, 0.9)):
        foot = start + (end - start) * share
        ground = np.array([x, foot[1], 0.0])
        _solid(scene, f"post{i}", "wood", rod(ground, foot, 0.014))
    _solid(scene, "rail", "wood", rod(start, end, 0.02))


def _bed(scene: Scene, told: Mapping[str, Any]) -> None:
    """From `foot` to `head` on the y axis; its top is at `top`."""
    top, foot, head = float(told.get("top", 0)), float(told["foot"]), float(told["head"])
    _solid(scene, "bed", "wood", box((-0.5, 0.5), (foot, head), (top - 0.16, top)))
    if "board" in told:
        _solid(
            scene,
            "bedhead",
            "wood",
            box((-0.5, 0.5), (head, head + 0.04), (top - 0.2, top + float(told["board"]))),
        )


def _pillow(scene: Scene, told: Mapping[str, Any]) -> None:
    """Soft, between two points (y, z), so thick."""
    start, end = (np.array([0.0, *told[key]], float) for key in ("start", "end"))
    thick = float(told.get("thick", 0.11))
    way = unit(end - start)
    across = np.array([0.0, -way[2], way[1]])
    length = float(np.linalg.norm(end - start))
    around = np.linspace(0, 2 * np.pi, 60, endpoint=False)
    shape = [np.sign(v) * np.abs(v) ** 0.6 for v in (np.cos(around), np.sin(around))]
    ring = (
        (start + end) / 2
        + np.outer(shape[0] * length / 2, way)
        + np.outer(shape[1] * thick / 2, across)
    )
    wide = np.array([0.25, 0.0, 0.0])
    near, far = ring - wide, ring + wide
    points = np.r_[near, far, [near.mean(0)]]
    i = np.arange(60)
    j = (i + 1) % 60
    faces = np.concatenate(
        [
            np.stack([i, j, 60 + i], 1),
            np.stack([j, 60 + j, 60 + i], 1),
            np.stack([i, np.full(60, 120), j], 1),
        ]
    )
    _solid(scene, str(told.get("name", "pillow")), "paper", (points, faces))


def _towel(scene: Scene, told: Mapping[str, Any]) -> None:
    """A rolled towel across the bed, its middle at (y, z)."""
    y, z = told["at"]
    radius, flat = float(told["radius"]), float(told.get("flat", 0.8))
    start, end = np.array([-0.16, y, z]), np.array([0.18, y, z])
    _solid(scene, "towel", "cloth", rod(start, end, radius, flat))
    around = np.linspace(0.3, 4.4 * np.pi, 90)
    wide = radius * (0.86 - 0.7 * around / (4.4 * np.pi))
    spiral = np.stack(
        [np.full(90, -0.1605), y + wide * np.cos(around), z + flat * wide * np.sin(around)], 1
    )
    scene.curve(spiral, "inner", "towel_roll", near=0.002)


MAKERS = {
    "chair": _chair, "wall": _wall, "worktop": _worktop, "step": _step, "rail": _rail,
    "bed": _bed, "pillow": _pillow, "towel": _towel,
}  # fmt: skip
