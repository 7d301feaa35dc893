"""Bare knees and a map of their skin, on which the program lays tape when it knows the plan.

A map is a net over the skin of the right knee: its rows run across, its columns along the leg, both
in millimetres of skin from the middle of the kneecap. Of each node it holds where it lies before
the eye, so that the program knows its place on the page, true lengths, and what is turned away.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from scipy.interpolate import RectBivariateSpline
from scipy.spatial import cKDTree

from tests.figure_tool.body import Build, Floats, unit
from tests.figure_tool.knees import (
    FRAME_MM,
    LEG,
    SHORTS,
    UNIT_MM,
    Seated,
    Sitter,
    bare_leg,
    named_ends,
    own_camera,
)
from tests.figure_tool.lines import Camera, fewer
from tests.figure_tool.scene import Scene, Still, digest, packed, paint
from tests.figure_tool.source import HERE, Source

SKINS = HERE / "poses" / "skins.json"
ALONG_MM = (-120.0, 120.0)
"""From the kneecap's middle to the foot (below 0) and to the hip."""
ACROSS_MM = 100.0
STEP_MM = 10.0
HELPER_EYE_MM = (-90.0, -430.0, 520.0)
"""A helper's eyes from the middle of the kneecap: to the outer side, to the foot, upwards (C)."""
HELPER_OFF_MM = 5.0
OVER_MM = -20.0
"""How far to the outer side of the kneecap one's own eyes are (C)."""
_RAY_MM, _RAY_DEGREES = 5.0, 5.0
_ROUND = 165.0
NEAR_M = 0.3
_NEAREST = 6
SIDE_EYE_MM = (-560.0, -640.0, 400.0)
"""Where a bending knee is looked at from: to the outer side, to the foot, upwards (C)."""
SIDE_DOWN_MM, SIDE_FORWARD_MM, SIDE_SHARE = 50.0, 40.0, 0.74
BEND_M = 0.16
"""So far from the knee the arrow goes that says which way it bends."""


def skin_names() -> dict[str, tuple[str, str, Build]]:
    """Every bare leg by its name: which map, from whose eyes, and of which body."""
    told = json.loads(SKINS.read_text("utf-8"))
    made: dict[str, tuple[str, str, Build]] = {}
    for which, one in told["maps"].items():
        for seen in one["seen"]:
            for body in told["bodies"]:
                sex, build = body.split("_")
                made[f"{which}_{seen}_{body}_1"] = (
                    which, seen, Build(sex=sex, weight=told["builds"][build]),
                )  # fmt: skip
    return made


def draw_skins(source: Source, names: list[str]) -> Iterator[tuple[str, str]]:
    """The file of each of these, its name and text."""
    text = SKINS.read_text("utf-8")
    told = json.loads(text)
    sitters: dict[Build, Sitter] = {}
    for name in names:
        which, seen, build = skin_names()[name]
        if build not in sitters:
            sitters[build] = Sitter(source, build)
        yield name, draw_skin(sitters[build], told["maps"][which], seen, name, digest(text))


def draw_skin(sitter: Sitter, told: dict[str, Any], seen: str, name: str, pose: str) -> str:
    """One bare leg with its map. The places of the map are those of the straight leg: they go
    with the skin where the knee is bent."""
    straight = Seated(sitter, "long")
    seated = straight if told["seat"] == "long" else Seated(sitter, told["seat"])
    camera = camera_of(seated, seen)
    if "shift" in told:
        off = camera.axes[1] * (told["shift"][seen] / 1000)
        camera = replace(camera, target=camera.target + off)
    scene = Scene()
    for side in "LR":
        bare_leg(
            scene, sitter, seated.points, seated.looks, side, told.get("hem", SHORTS),
            tight=told["seat"] != "long" or "hem" in told,
        )  # fmt: skip
    still = Still(camera.size, UNIT_MM)
    paint(camera, scene, still)
    along = told.get("along", ALONG_MM)
    net = skin_net(straight, along)
    if seated is not straight:
        net = _with_the_skin(sitter, net, straight.points, seated.points)
        line = camera.project(_bends(seated))[:, :2]
        still.items.append(["a", "go", "arrow", packed(fewer(line, 0.6))])
    before = (net - camera.eye) @ camera.axes.T * (1000 / UNIT_MM)
    before[..., 1] *= -1
    before[..., :2] *= camera.scale * UNIT_MM / 1000  # a map of less than life size
    middle, _ = seated.place(np.zeros(2))
    origin = camera.project(middle[None])[0, :2]
    far = float(np.linalg.norm(camera.target - camera.eye)) * 1000 / UNIT_MM
    return still.text(
        figure=name.rpartition("_")[0], steps=[], pose=pose, build=sitter.body.build.sex,
        origin=[round(float(one), 1) for one in origin],
        places=named_ends(seated, camera),
        skin=_stored(before, far, along[0]),
    )  # fmt: skip


def _with_the_skin(sitter: Sitter, net: Floats, before: Floats, after: Floats) -> Floats:
    """Where places of a skin are once it moved: each goes with the nearest of its own leg."""
    own = np.unique(sitter.body.triangles[sitter.faces(*LEG, side=".R")])
    flat = net.reshape(-1, 3)
    far, near = cKDTree(before[own]).query(flat, k=_NEAREST)
    share = 1 / np.maximum(far, 1e-4) ** 2
    share /= share.sum(1, keepdims=True)
    made: Floats = flat + ((after - before)[own][near] * share[..., None]).sum(1)
    return made.reshape(net.shape)


def _bends(bent: Seated) -> Floats:
    """The way the shin goes while the knee bends, round the knee: from where a straight leg would
    be, in space, a line of points."""
    body = bent.sitter.body
    hip, knee, ankle = (
        body.joint(bent.moves, one) for one in ("upperleg01.R", "lowerleg01.R", "foot.R")
    )
    first, last = unit(knee - hip), unit(ankle - knee)
    whole = np.arccos(first @ last)
    share = np.linspace(0.1, 0.72, 20)[:, None] * whole
    made: Floats = knee + BEND_M * (
        (np.sin(whole - share) * first + np.sin(share) * last) / np.sin(whole)
    )
    return made


def camera_of(seated: Seated, seen: str) -> Camera:
    """Whose eyes see the knee; one's own are bent over it, or its outer side would be hidden."""
    if seen == "side":
        return side_camera(seated)
    if seen == "helper":
        return helper_camera(seated)
    camera = own_camera(seated, seated.moves)
    over = np.array([camera.target[0] + OVER_MM / 1000, *camera.eye[1:]])
    return replace(camera, eye=over)


def side_camera(seated: Seated) -> Camera:
    """From the outer side and the foot, a little above: the hip is to the left."""
    middle, _ = seated.place(np.zeros(2))
    wide, high = (int(one / UNIT_MM) for one in FRAME_MM[2:])
    target = middle - np.array([0.0, SIDE_FORWARD_MM, SIDE_DOWN_MM]) / 1000
    eye = target + np.array(SIDE_EYE_MM) / 1000
    scale = SIDE_SHARE * 1000 / UNIT_MM
    return Camera(eye, target, np.array([0.0, 0.0, 1.0]), (wide, high), scale, near=True)


def helper_camera(seated: Seated) -> Camera:
    """From whoever kneels at the foot end, towards the outer side: the hip is up."""
    middle, _ = seated.place(np.zeros(2))
    wide, high = (int(one / UNIT_MM) for one in FRAME_MM[2:])
    target = middle + np.array([0.0, HELPER_OFF_MM / 1000, 0.0])
    eye = middle + np.array(HELPER_EYE_MM) / 1000
    up = np.array([0.0, 1.0, 0.0])
    return Camera(eye, target, up, (wide, high), 1000 / UNIT_MM, near=True)


def _stored(before: Floats, far: float, along: float) -> dict[str, Any]:
    """The net as it is kept: each row as packed pairs (right and down), and its depths."""
    depth = np.stack([before[..., 2] - far, np.zeros(before.shape[:2])], -1)
    return {
        "step": STEP_MM,
        "along": along,
        "across": -ACROSS_MM,
        "far": round(far, 1),
        "rows": [packed(row[:, :2]) for row in before],
        "deep": [packed(row) for row in depth],
    }


def skin_net(seated: Seated, along: Sequence[float] = ALONG_MM) -> Floats:
    """Points of the skin in space: a row for each level, towards the inner side last."""
    sitter = seated.sitter
    body = sitter.body
    middle, looks = seated.place(np.zeros(2))
    hip, joint, ankle = (
        body.joint(seated.moves, one) for one in ("upperleg01.R", "lowerleg01.R", "foot.R")
    )
    up = unit(unit(hip - joint) + unit(joint - ankle))
    front = unit(looks - up * (looks @ up))
    inner = np.cross(up, front)
    other = body.joint(seated.moves, "lowerleg01.L") - joint
    inner *= np.sign(inner @ other)
    levels = np.arange(along[0] - 30, along[1] + 30.1, _RAY_MM)
    angles = np.arange(-_ROUND, _ROUND + 0.1, _RAY_DEGREES)
    turned = np.radians(angles)
    way = np.cos(turned)[:, None] * front + np.sin(turned)[:, None] * inner
    off = levels / 1000 + (middle - joint) @ up
    bones = [(end - joint) / ((end - joint) @ up) for end in (hip, ankle)]
    axis = joint + np.where(off > 0, 1, 0)[:, None] * np.outer(off, bones[0])
    axis += np.where(off > 0, 0, 1)[:, None] * np.outer(off, bones[1])
    start = axis[:, None, :] + 0 * way[None]
    faces = body.triangles[sitter.faces(*LEG, side=".R")]
    faces = faces[np.linalg.norm(seated.points[faces[:, 0]] - middle, axis=1) < NEAR_M]
    found = _first_skin(seated.points, faces, start.reshape(-1, 3), np.tile(way, (len(levels), 1)))
    whole = found.reshape(len(levels), len(angles), 3)
    splines = [RectBivariateSpline(levels, angles, whole[..., k], s=0) for k in range(3)]

    def at(level: Floats, angle: Floats) -> Floats:
        return np.stack([one(level, angle) for one in splines], -1)

    fine = np.linspace(levels[0], levels[-1], 1200)
    run = _mileage(at(fine, np.zeros(1))[:, 0])
    run -= np.interp(0.0, fine, run)
    rows = np.arange(along[0], along[1] + 0.1, STEP_MM)
    columns = np.arange(-ACROSS_MM, ACROSS_MM + 0.1, STEP_MM)
    around = np.linspace(angles[0], angles[-1], 1200)
    made = []
    for level in np.interp(rows, run, fine):
        line = at(np.array([level]), around)[0]
        across = _mileage(line)
        across -= np.interp(0.0, around, across)
        made.append(at(np.array([level]), np.interp(columns, across, around))[0])
    return np.array(made)


def _mileage(line: Floats) -> Floats:
    made: Floats = np.r_[0, np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))] * 1000
    return made


def _first_skin(points: Floats, faces: Any, start: Floats, way: Floats) -> Floats:
    """Where rays from inside the leg come out of it."""
    a = points[faces[:, 0]]
    b, c = points[faces[:, 1]] - a, points[faces[:, 2]] - a
    middles = a + (b + c) / 3
    made = np.zeros_like(start)
    for i, (origin, d) in enumerate(zip(start, way, strict=True)):
        off = middles - origin
        along = off @ d
        near = (along > 0) & (np.linalg.norm(off - along[:, None] * d, axis=1) < 0.03)
        e, f, g = b[near], c[near], origin - a[near]
        p = np.cross(d, f)
        whole = (e * p).sum(1)
        whole = np.where(np.abs(whole) < 1e-14, 1e-14, whole)
        u = (g * p).sum(1) / whole
        q = np.cross(g, e)
        v = (q @ d) / whole
        far = (f * q).sum(1) / whole
        good = (u >= -1e-6) & (v >= -1e-6) & (u + v <= 1 + 1e-6) & (far > 0)
        made[i] = origin + d * far[good].min()
    return made
