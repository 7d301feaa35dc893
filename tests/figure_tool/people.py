"""Whole people: a sheet of poses becomes its panels. `poses/people/*.json` holds the sheets.

A sheet names its poses (angles, where the body stands, what its hands hold), the things around it,
and its panels: which pose, which other one as a ghost, and the arrow, the way a joint goes from
one pose to the other. So a new exercise gets its pictures without code.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from scipy.optimize import least_squares

from tests.figure_tool import props
from tests.figure_tool.body import Body, Build, Floats, normals, turn
from tests.figure_tool.dress import Dressed
from tests.figure_tool.joints import FINGERS, Joints, X
from tests.figure_tool.lines import Camera, fewer, outlines, seen
from tests.figure_tool.scene import Scene, Still, digest, packed, paint
from tests.figure_tool.source import HERE, Source

POSES = HERE / "poses" / "people"
UNIT_MM = 0.24
CURL = {
    "rest": {"mcp": 14, "pip": 18, "dip": 8},
    "grip": {"mcp": 50, "pip": 62, "dip": 30},
    "flat": {"mcp": 2, "pip": 3, "dip": 2},
}
TINTS = {
    "head": "skin", "arm": "skin", "leg": "skin", "shirt": "cloth", "sleeve": "cloth",
    "shorts": "dark", "shoe": "paper", "sole": "dark", "hair": "hair", "legR": "limb",
}  # fmt: skip
"""The leg that is meant, always the near one, is named apart (`limb`): the program gives it the
skin of the person and a heavy line."""
_ARROW_STEPS = 24


@dataclass(frozen=True)
class Standing:
    """A body in one pose: its angles, its bones' moves and its smooth skin."""

    angles: dict[str, Any]
    moves: Floats
    points: Floats
    looks_to: Floats


class Person:
    """One build, dressed, to be posed."""

    def __init__(self, source: Source, build: Build) -> None:
        self.body = Body(source, build, levels=1)
        self.joints = Joints(self.body)
        self.dressed = Dressed(self.body)
        self._presets = json.loads((POSES.parent / "presets.json").read_text("utf-8"))

    def angles(self, pose: Mapping[str, Any]) -> dict[str, Any]:
        """The angles of a pose: its preset, its fingers, its own, and soles laid flat."""
        made: dict[str, Any] = dict(self._presets[pose["like"]])
        made |= pose.get("angles", {})
        for side in "RL":
            curl = CURL[pose.get("fingers", {}).get(side, "rest")]
            for finger in FINGERS[1:]:
                for joint, degrees in curl.items():
                    made.setdefault(f"{finger}.{joint}.{side}", degrees)
        for side in pose.get("flat", ""):
            hip, knee = made.get(f"hip.{side}", 0), made.get(f"knee.{side}", 0)
            made[f"ankle.{side}"] = pose.get("pitch", 0) - hip + knee
        return made

    def stand(self, pose: Mapping[str, Any]) -> Standing:
        """Put the body where the pose says."""
        own, moves = self.moved(pose)
        points = self.body.smooth @ self.body.skin(moves)
        return Standing(own, moves, points, normals(points, self.body.triangles))

    def moved(
        self, pose: Mapping[str, Any], angles: dict[str, Any] | None = None
    ) -> tuple[dict[str, Any], Floats]:
        """Its angles and its bones' moves: on its feet, on its back or a seat, one joint at y."""
        own = self.angles(pose) if angles is None else angles
        turned = turn(X, float(pose.get("pitch", 0)))
        root = np.concatenate([turned, np.zeros((3, 1))], 1)
        moves = self.body.stand(self.joints.turns(own), root)
        bone, y = pose["fix"]
        shift = np.array([0.0, float(y) - self.body.joint(moves, bone)[1], 0.0])
        shift[2] = float(pose.get("floor", 0)) - self._lowest(moves, pose.get("on", "feet"))
        root[:, 3] = shift
        if angles is None:
            for side, hold in pose.get("hands", {}).items():
                own = self._reach(own, root, side, hold)
        return own, self.body.stand(self.joints.turns(own), root)

    def _lowest(self, moves: Floats, what: str) -> float:
        """How low the soles, one of them, or the body without arms (`on` "back") reach."""
        if what == "back":
            trunk = self.body.bones_with("spine", "upperleg", "pelvis", "lowerleg", "head", "foot")
            own = self.body.skin(moves)[trunk[self.body.owner]]
            return float(np.percentile(own[:, 2], 1.0))
        if what == "seat":
            trunk = self.body.bones_with("upperleg", "pelvis", "root")
            own = self.body.skin(moves)[trunk[self.body.owner]]
            return float(np.percentile(own[:, 2], 1.5))
        sides = what.removeprefix("foot.") if what.startswith("foot.") else "RL"
        lows = []
        for side in sides:
            rest, _, held = self.dressed.soles[side]
            each = (held @ moves.reshape(len(moves), 12)).reshape(-1, 3, 4)
            lows.append((np.einsum("nij,nj->ni", each[:, :, :3], rest) + each[:, :, 3])[:, 2].min())
        return float(min(lows))

    def palm(self, moves: Floats, side: str) -> Floats:
        """The middle of a palm's skin."""
        body, hand = self.body, self.joints.hand[side]
        i = body.number[f"wrist.{side}"]
        middle = (body.at(f"wrist.{side}") + body.at(f"finger3-1.{side}")) / 2
        spot = middle + (body.at(f"finger3-1.{side}") - middle) * 0.6 - hand["back"] * 0.02
        made: Floats = moves[i, :, :3] @ spot + moves[i, :, 3]
        return made

    def _reach(
        self, angles: dict[str, Any], root: Floats, side: str, hold: Mapping[str, Any]
    ) -> dict[str, Any]:
        """Bring a palm to a place, its back and fingers looking as told; the arm follows."""
        names = [f"{one}.{side}" for one in ("elbow", "palm", "wrist", "aside", "shrug", "forward")]
        low = np.array([0, -80, -45, -12, -5, -8, -170, -170, -170], float)
        high = np.array([140, 80, 45, 22, 14, 20, 170, 170, 170], float)
        start = np.array([40, 20, 0, 0, 0, 0, *hold.get("start", (-50, 0, 0))], float)
        place = np.asarray(hold["palm"], float)
        wrist = self.body.number[f"wrist.{side}"]
        elbow = self.body.number[f"lowerarm01.{side}"]
        sigma = np.array([70, 50, 25, 12, 10, 10, 80, 80, 80], float)

        def off(values: Floats) -> Floats:
            own = angles | dict(zip(names, values[:6], strict=True))
            own[f"shoulder.{side}"] = values[6:]
            moves = self.body.stand(self.joints.turns(own), root)
            made = [(self.palm(moves, side) - place) / 0.003, (values - start) / sigma * 0.3]
            for name in ("back", "fingers"):
                if name in hold:
                    wanted = np.asarray(hold[name], float)
                    looks = moves[wrist, :, :3] @ self.joints.hand[side][name]
                    made.append((looks - wanted / np.linalg.norm(wanted)) * 3.0)
            if "elbow_x" in hold:
                at = moves[elbow, :, :3] @ self.body.head[elbow] + moves[elbow, :, 3]
                made.append(np.array([(at[0] - hold["elbow_x"]) / 0.05]))
            return np.concatenate(made)

        found = least_squares(off, np.clip(start, low, high), bounds=(low, high), max_nfev=60)
        values = np.round(found.x, 2)
        made = angles | dict(zip(names, values[:6].tolist(), strict=True))
        made[f"shoulder.{side}"] = values[6:].tolist()
        return made

    def face(self, scene: Scene, moves: Floats) -> None:
        """Eye, brow and mouth, quiet lines that judge nobody."""
        body = self.body
        head = body.number["head"]
        for side, sign in (("R", -1.0), ("L", 1.0)):
            eye = body.at(f"eye.{side}")
            for name, line in FACE.items():
                rest = eye + np.array(line) / 1000 * np.array([sign, 1, 1])
                placed = rest @ moves[head, :, :3].T + moves[head, :, 3]
                scene.curve(placed, "inner", f"{name}{side}", near=0.03)


FACE = {
    "eye": [(4, -10, 1), (10, -8, 3), (16, -2, 1), (19, 2, -1)],
    "brow": [(2, -15, 17), (10, -13, 21), (19, -6, 21), (24, 1, 17)],
    "mouth": [(-24, -28, -62), (-16, -24, -63), (-9, -17, -64)],
}
"""From the eye outward, forward and up, in millimetres."""


def sheets() -> dict[str, Path]:
    """Every sheet of poses by its name."""
    return {path.stem: path for path in sorted(POSES.glob("*.json"))}


def draw_sheet(person: Person, path: Path) -> dict[str, str]:
    """The files of one sheet: name and text of each panel."""
    text = path.read_text("utf-8")
    told = json.loads(text)
    poses = {name: person.stand(pose) for name, pose in told["poses"].items()}
    arrows = [
        [(one, _arrow(person, told["poses"], poses, one)) for one in panel.get("arrows", [])]
        for panel in told["panels"]
    ]
    ways = [line for panel in arrows for _, line in panel]
    camera = _camera(told, [one.points for one in poses.values()], ways)
    made = {}
    for i, panel in enumerate(told["panels"], 1):
        still = Still(camera.size, UNIT_MM)
        if "ghost" in panel:
            _ghost(person, poses[panel["ghost"]], camera, still, bare=told.get("bare", False))
        scene = Scene()
        tints = TINTS | told.get("tints", {})
        for thing in [*told.get("props", []), *panel.get("props", [])]:
            props.build(scene, thing["is"], thing)
        figure = poses[panel["pose"]]
        person.dressed.wear(
            scene, figure.points, figure.looks_to, figure.moves, tints, bare=told.get("bare", False)
        )
        person.face(scene, figure.moves)
        _floor(camera, still, told)
        paint(camera, scene, still)
        for mark in panel.get("marks", []):
            line = _on_page(mark)
            still.stroke("mark", "mark", camera.project(line))
        for arrow, line in arrows[i - 1]:
            flat = fewer(camera.project(line)[:, :2], 0.6)
            still.items.append(["a", "back" if arrow.get("back") else "go", "arrow", packed(flat)])
        made[f"{path.stem}_{person.body.build.sex}_{i}"] = still.text(
            figure=path.stem, panel=i, steps=panel.get("steps", []), pose=digest(text),
            build=person.body.build.sex,
        )  # fmt: skip
    return made


def _camera(told: Mapping[str, Any], bodies: list[Floats], ways: list[Floats]) -> Camera:
    """One eye for all panels of a sheet, so that they can be laid over each other."""
    azimuth, height = told.get("view", (0, 0))
    away = turn(np.array([0.0, 0, 1]), azimuth) @ turn(np.array([0.0, 1, 0]), height)
    eye = away @ np.array([-8.0, 0, 0])
    scene = Scene()
    things = [*told.get("props", []), *(one for p in told["panels"] for one in p.get("props", []))]
    for thing in things:
        if thing["is"] != "wall":
            props.build(scene, thing["is"], thing)
    points = [*bodies, *(line + np.array([0, 0.035 * k, 0]) for line in ways for k in (-1, 1))]
    if things:
        points.append(scene.arrays()[0])
    probe = Camera(eye, np.zeros(3), np.array([0.0, 0, 1]), (0, 0), 1.0)
    flat = np.concatenate([probe.project(one)[:, :2] for one in points])
    margin = told.get("margin", 0.05)
    low, high = flat.min(0) - margin, flat.max(0) + margin
    high[1] += 0.02 if told.get("floor", True) else 0.0
    middle = (low + high) / 2
    right, up, _ = probe.axes
    target = right * middle[0] - up * middle[1]
    scale = told["mm_per_m"] / UNIT_MM
    size = (int((high - low)[0] * scale), int((high - low)[1] * scale))
    return Camera(eye + target, target, np.array([0.0, 0, 1]), size, scale)


def _floor(camera: Camera, still: Still, told: Mapping[str, Any]) -> None:
    if not told.get("floor", True):
        return
    y = camera.project(np.array([[0.75, 0.0, 0.0]]))[0, 1]
    still.stroke("outline", "floor", np.array([[0.0, y], [float(camera.size[0]), y]]))


def _ghost(person: Person, figure: Standing, camera: Camera, still: Still, *, bare: bool) -> None:
    scene = Scene()
    person.dressed.wear(scene, figure.points, figure.looks_to, figure.moves, {}, bare=bare)
    points, _, triangles, groups = scene.arrays()
    view = seen(camera, points, triangles, groups * 0)
    loops = outlines(view.group == 0, 3.0, 0.9)
    still.fill("ghost", "ghost", loops)
    for loop in loops:
        still.stroke("inner", "ghost", loop, dashed=True)


def between(first: Mapping[str, Any], second: Mapping[str, Any], share: float) -> dict[str, Any]:
    """Angles on the way from one pose to another."""
    made: dict[str, Any] = {}
    for name in {**first, **second}:
        a, b = np.asarray(first.get(name, 0.0)), np.asarray(second.get(name, 0.0))
        mixed = a + (b - a) * share
        made[name] = float(mixed) if mixed.ndim == 0 else mixed
    return made


def _way(first: Mapping[str, Any], second: Mapping[str, Any], share: float) -> dict[str, Any]:
    """Where the body stands on that way."""
    made = dict(first)
    for name in ("pitch", "floor"):
        a, b = first.get(name, 0), second.get(name, 0)
        made[name] = a + (b - a) * share
    if first["fix"][0] == second["fix"][0]:
        y = first["fix"][1] + (second["fix"][1] - first["fix"][1]) * share
        made["fix"] = [first["fix"][0], y]
    return made


def _arrow(
    person: Person, told: Mapping[str, Any], poses: Mapping[str, Standing], arrow: Mapping[str, Any]
) -> Floats:
    """The way of a joint from one pose to the other, beside the body by `beside` (x, y, z)."""
    if "line" in arrow:
        line = _on_page(arrow["line"])
    else:
        first, second = arrow["from"], arrow["to"]
        start, end = arrow.get("part", (0.0, 1.0))
        rows = []
        for share in np.linspace(start, end, _ARROW_STEPS):
            angles = between(poses[first].angles, poses[second].angles, float(share))
            way = _way(told[first], told[second], float(share))
            _, moves = person.moved(way, angles)
            rows.append(person.body.joint(moves, arrow["of"]))
        line = np.array(rows)
    line += np.asarray(arrow.get("beside", (0, 0, 0)), float)
    return line


def _on_page(line: list[list[float]]) -> Floats:
    """Points (y, z), or (y, z, x) where they do not lie beside the near leg."""
    return np.array([[one[2] if len(one) > 2 else -0.13, one[0], one[1]] for one in line], float)
