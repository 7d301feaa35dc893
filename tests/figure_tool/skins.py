"""Bare knees and a map of their skin, on which the program lays tape when it knows the plan.

A map is a net over the skin of the right knee: its rows run across, its columns along the leg, both
in millimetres of skin from the middle of the kneecap. Of each node it holds where it lies before
the eye, so that the program knows its place on the page, true lengths, and what is turned away.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np
from scipy.interpolate import RectBivariateSpline

from tests.figure_tool.body import Build, Floats, unit
from tests.figure_tool.knees import FRAME_MM, LEG, UNIT_MM, Seated, Sitter, bare_leg, own_camera
from tests.figure_tool.lines import Camera
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
NEAR_M = 0.26


def skin_names() -> dict[str, tuple[str, Build]]:
    """Every bare knee by its name: from whose eyes, and of which body."""
    told = json.loads(SKINS.read_text("utf-8"))
    made: dict[str, tuple[str, Build]] = {}
    for seen, bodies in told["seen"].items():
        for body in bodies:
            sex, build = body.split("_")
            made[f"skin_{seen}_{body}_1"] = (seen, Build(sex=sex, weight=told["builds"][build]))
    return made


def draw_skins(source: Source, names: list[str]) -> Iterator[tuple[str, str]]:
    """The file of each of these, its name and text."""
    told = SKINS.read_text("utf-8")
    bodies: dict[Build, Seated] = {}
    for name in names:
        seen, build = skin_names()[name]
        if build not in bodies:
            bodies[build] = Seated(Sitter(source, build), json.loads(told)["seat"])
        yield name, draw_skin(bodies[build], seen, name, digest(told))


def draw_skin(seated: Seated, seen: str, name: str, pose: str) -> str:
    """One bare knee with its map."""
    camera = camera_of(seated, seen)
    scene = Scene()
    for side in "LR":
        bare_leg(scene, seated.sitter, seated.points, seated.looks, side)
    still = Still(camera.size, UNIT_MM)
    paint(camera, scene, still)
    net = skin_net(seated)
    before = (net - camera.eye) @ camera.axes.T * (1000 / UNIT_MM)
    before[..., 1] *= -1
    middle, _ = seated.place(np.zeros(2))
    origin = camera.project(middle[None])[0, :2]
    far = float(np.linalg.norm(camera.target - camera.eye)) * 1000 / UNIT_MM
    return still.text(
        figure=name.rpartition("_")[0], steps=[], pose=pose, build=seated.sitter.body.build.sex,
        origin=[round(float(one), 1) for one in origin],
        skin=_stored(before, far),
    )  # fmt: skip


def camera_of(seated: Seated, seen: str) -> Camera:
    """Whose eyes see the knee; one's own are bent over it, or its outer side would be hidden."""
    if seen == "helper":
        return helper_camera(seated)
    camera = own_camera(seated, seated.moves)
    over = np.array([camera.target[0] + OVER_MM / 1000, *camera.eye[1:]])
    return replace(camera, eye=over)


def helper_camera(seated: Seated) -> Camera:
    """From whoever kneels at the foot end, towards the outer side: the hip is up."""
    middle, _ = seated.place(np.zeros(2))
    wide, high = (int(one / UNIT_MM) for one in FRAME_MM[2:])
    target = middle + np.array([0.0, HELPER_OFF_MM / 1000, 0.0])
    eye = middle + np.array(HELPER_EYE_MM) / 1000
    up = np.array([0.0, 1.0, 0.0])
    return Camera(eye, target, up, (wide, high), 1000 / UNIT_MM, near=True)


def _stored(before: Floats, far: float) -> dict[str, Any]:
    """The net as it is kept: each row as packed pairs (right and down), and its depths."""
    depth = np.stack([before[..., 2] - far, np.zeros(before.shape[:2])], -1)
    return {
        "step": STEP_MM,
        "along": ALONG_MM[0],
        "across": -ACROSS_MM,
        "far": round(far, 1),
        "rows": [packed(row[:, :2]) for row in before],
        "deep": [packed(row) for row in depth],
    }


def skin_net(seated: Seated) -> Floats:
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
    levels = np.arange(ALONG_MM[0] - 30, ALONG_MM[1] + 30.1, _RAY_MM)
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
    rows = np.arange(ALONG_MM[0], ALONG_MM[1] + 0.1, STEP_MM)
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
