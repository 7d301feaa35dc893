"""A body: mesh, shapes of age and build, skeleton and skin. Metres; z is up, at rest the person
faces -y with arms slanting down, and the person's right side is at -x.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal, get_args

import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray

from tests.figure_tool.source import GROUPS, MESH, RIG, WEIGHTS, Source

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Sex = Literal["woman", "man"]

SKIN_POINTS = 13380
"""The points of the skin come first; those after it only say where joints are."""
_MESH_SEX: dict[Sex, str] = {"woman": "female", "man": "male"}


def unit(vector: Floats) -> Floats:
    """The same direction, one long."""
    made: Floats = vector / np.linalg.norm(vector)
    return made


def units(rows: Floats) -> Floats:
    """Each row as a direction one long; a row of nothing stays."""
    made: Floats = rows / np.maximum(np.linalg.norm(rows, axis=1, keepdims=True), 1e-12)
    return made


def turn(axis: Floats, degrees: float) -> Floats:
    """The rotation about an axis."""
    x, y, z = unit(np.asarray(axis, float))
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    angle = np.radians(degrees)
    made: Floats = np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross
    return made


def turn_by(vector: Floats) -> Floats:
    """The rotation about a vector by its length in degrees."""
    size = float(np.linalg.norm(vector))
    return np.eye(3) if size < 1e-9 else turn(vector, size)


@dataclass(frozen=True)
class Build:
    """What a body is made of: `age` 0 young to 1 old, `weight` 0 slim to 1 broad."""

    sex: Sex = "woman"
    age: float = 0.8
    weight: float = 0.55
    muscle: float = 0.4


WEIGHTS_OF = {"slim": 0.2, "usual": 0.55, "broad": 0.85}
BODIES = {
    f"{sex}_{name}": Build(sex, weight=weight)
    for sex in get_args(Sex)
    for name, weight in WEIGHTS_OF.items()
}
"""Whose knees and hands are drawn, by name."""


def _upright(points: Floats) -> Floats:
    made: Floats = np.stack([points[:, 0], -points[:, 2], points[:, 1]], 1) * 0.1
    return made


def _mesh(source: Source) -> tuple[Floats, Floats, Ints, Ints]:
    """All points, all texture points, and the skin's four-cornered faces in both."""
    points, marks, faces, face_marks, group = [], [], [], [], ""
    for line in source.read(MESH).decode("utf-8").splitlines():
        parts = line.split()
        if not parts:
            continue
        if parts[0] == "v":
            points.append([float(one) for one in parts[1:4]])
        elif parts[0] == "vt":
            marks.append([float(one) for one in parts[1:3]])
        elif parts[0] == "g":
            group = parts[1]
        elif parts[0] == "f" and group == "body":
            corners = [one.split("/") for one in parts[1:]]
            faces.append([int(one[0]) - 1 for one in corners])
            face_marks.append([int(one[1]) - 1 for one in corners])
    return (
        np.array(points),
        np.array(marks),
        np.array(faces, np.int64),
        np.array(face_marks, np.int64),
    )


def _shares(build: Build) -> dict[str, float]:
    """How much of each shape is in a build."""
    fat, strong = (build.weight - 0.5) * 2, (build.muscle - 0.5) * 2
    sex = _MESH_SEX[build.sex]
    weights = {"average": 1 - abs(fat), "max": max(fat, 0.0), "min": max(-fat, 0.0)}
    muscles = {"average": 1 - abs(strong), "max": max(strong, 0.0), "min": max(-strong, 0.0)}
    made: dict[str, float] = {}
    for age, years in (("old", build.age), ("young", 1 - build.age)):
        for line in ("african", "asian", "caucasian"):
            made[f"{line}-{sex}-{age}"] = years / 3
        for muscle, much in muscles.items():
            for weight, heavy in weights.items():
                made[f"universal-{sex}-{age}-{muscle}muscle-{weight}weight"] = years * much * heavy
    return {name: share for name, share in made.items() if abs(share) > 1e-6}


def subdivided(quads: Ints, count: int) -> tuple[Any, Ints, Ints]:
    """One step of Catmull and Clark's subdivision, for faces of four corners.

    Gives the matrix that makes the new points from the old, the new faces, and of each its parent.
    """
    faces = len(quads)
    edges = np.sort(np.stack([quads, np.roll(quads, -1, 1)], 2).reshape(-1, 2), 1)
    found, where, uses = np.unique(edges, axis=0, return_inverse=True, return_counts=True)
    where = where.reshape(faces, 4)
    many, rim = len(found), uses == 1

    def matrix(rows: Any, columns: Any, value: float, shape: tuple[int, int]) -> Any:
        return sp.csr_matrix((np.full(len(rows), value), (rows, columns)), shape)

    own = np.repeat(np.arange(faces), 4)
    middle = matrix(own, quads.ravel(), 0.25, (faces, count))
    touching = matrix(where.ravel(), own, 1.0, (many, faces))
    half = matrix(np.repeat(np.arange(many), 2), found.ravel(), 0.5, (many, count))
    inner, outer = sp.diags((~rim).astype(float)), sp.diags(rim.astype(float))
    on_edges = inner @ (half * 0.5 + (touching @ middle) * 0.25) + outer @ half
    to_faces = matrix(quads.ravel(), own, 1.0, (count, faces))
    to_edges = matrix(found.ravel(), np.repeat(np.arange(many), 2), 1.0, (count, many))
    degree = np.maximum(np.asarray(to_edges.sum(1)).ravel(), 1)
    round_about = np.maximum(np.asarray(to_faces.sum(1)).ravel(), 1)
    kept = sp.diags(1 / degree) @ (
        sp.diags(1 / round_about) @ to_faces @ middle + 2 * sp.diags(1 / degree) @ to_edges @ half
    ) + sp.diags((degree - 3) / degree)
    at_rim = np.asarray(to_edges @ rim.astype(float)).ravel() > 0
    rim_edges = to_edges @ outer
    along = sp.diags(1 / np.maximum(np.asarray(rim_edges.sum(1)).ravel(), 1))
    kept_rim = 0.5 * sp.eye(count) + 0.5 * along @ rim_edges @ half
    kept = sp.diags((~at_rim).astype(float)) @ kept + sp.diags(at_rim.astype(float)) @ kept_rim
    corner, centre = count + where, count + many + np.arange(faces)
    quarters = [
        np.stack([quads[:, k], corner[:, k], centre, corner[:, k - 1]], 1) for k in range(4)
    ]
    made = np.stack(quarters, 1).reshape(-1, 4)
    return sp.vstack([kept, on_edges, middle]).tocsr(), made, own


def normals(points: Floats, triangles: Ints) -> Floats:
    """The direction in which the surface looks at each of its points."""
    a, b, c = (points[triangles[:, k]] for k in range(3))
    faces = np.cross(b - a, c - a)
    made = np.zeros_like(points)
    for k in range(3):
        for axis in range(3):
            made[:, axis] += np.bincount(triangles[:, k], faces[:, axis], len(points))
    return units(made)


class Body:
    """One build with its skeleton; `levels` of smoothing for what is drawn."""

    def __init__(self, source: Source, build: Build, *, levels: int = 1) -> None:
        self.build = build
        points, marks, self.quads, face_marks = _mesh(source)
        self.face_marks: Floats = marks[face_marks].mean(1)
        for name, share in _shares(build).items():
            which, by = source.shape(name)
            points[which] += share * by
        everything = _upright(points)
        self.rest: Floats = everything[:SKIN_POINTS]
        self._skeleton(source, everything)
        smooth, faces, count = sp.eye(SKIN_POINTS).tocsr(), self.quads, SKIN_POINTS
        parents = np.arange(len(faces))
        for _ in range(levels):
            step, faces, up = subdivided(faces, count)
            smooth, count, parents = step @ smooth, step.shape[0], parents[up]
        self.smooth: Any = smooth
        self.triangles: Ints = np.concatenate([faces[:, [0, 1, 2]], faces[:, [0, 2, 3]]])
        self.parents: Ints = np.concatenate([parents, parents])
        """Of each triangle drawn, the face of the plain mesh that it lies in."""

    def _skeleton(self, source: Source, everything: Floats) -> None:
        rig, groups = source.record(RIG), source.record(GROUPS)
        rig = rig.get("bones", rig)

        def place(end: Mapping[str, Any]) -> Floats:
            if end["strategy"] == "CUBE":
                ((first, last),) = groups[end["cube_name"]]
                made: Floats = everything[first : last + 1].mean(0)
            elif end["strategy"] == "VERTEX":
                made = everything[end["vertex_index"]]
            else:
                made = everything[end["vertex_indices"]].mean(0)
            return made

        self.bones: list[str] = []
        waiting = list(rig)
        while waiting:
            for name in tuple(waiting):
                if not rig[name]["parent"] or rig[name]["parent"] in self.bones:
                    self.bones.append(name)
                    waiting.remove(name)
        self.number = {name: i for i, name in enumerate(self.bones)}
        self.above = [self.number.get(rig[name]["parent"], -1) for name in self.bones]
        self.head: Floats = np.array([place(rig[name]["head"]) for name in self.bones])
        self.tail: Floats = np.array([place(rig[name]["tail"]) for name in self.bones])
        told = source.record(WEIGHTS)["weights"]
        cells = [
            (point, self.number[name], share)
            for name in self.bones
            for point, share in told.get(name, [])
            if point < SKIN_POINTS
        ]
        rows, columns, shares = (np.array(one) for one in zip(*cells, strict=True))
        held = sp.csr_matrix((shares, (rows, columns)), (SKIN_POINTS, len(self.bones)))
        whole = np.maximum(np.asarray(held.sum(1)).ravel(), 1e-9)
        self.held: Any = (sp.diags(1 / whole) @ held).tocsr()
        self.owner: Ints = np.asarray(self.held.argmax(1)).ravel()
        """Of each point of the skin, the bone that holds it most."""

    def at(self, bone: str) -> Floats:
        """Where a bone begins at rest."""
        made: Floats = self.head[self.number[bone]]
        return made

    def bones_with(self, *parts: str, side: str = "") -> NDArray[np.bool_]:
        """Which bones have one of these words in their name, of one side."""
        made: NDArray[np.bool_] = np.array(
            [name.endswith(side) and any(part in name for part in parts) for name in self.bones],
            np.bool_,
        )
        return made

    @cached_property
    def rest_normals(self) -> Floats:
        """Directions of the plain mesh at rest."""
        faces = self.quads
        return normals(self.rest, np.concatenate([faces[:, [0, 1, 2]], faces[:, [0, 2, 3]]]))

    def stand(self, turns: Mapping[str, Floats], root: Floats | None = None) -> Floats:
        """The move of each bone (3 by 4) from rest; `turns` in the axes of the world at rest."""
        moves = np.zeros((len(self.bones), 3, 4))
        start = np.eye(3, 4) if root is None else root
        for i, name in enumerate(self.bones):
            own = turns.get(name)
            up = self.above[i]
            base = moves[up] if up >= 0 else start
            if own is None:
                moves[i] = base
                continue
            pivot = self.head[i]
            moves[i, :, :3] = base[:, :3] @ own
            moves[i, :, 3] = base[:, :3] @ (pivot - own @ pivot) + base[:, 3]
        return moves

    def skin(self, moves: Floats, points: Any = None) -> Floats:
        """Where the skin's points (all, or these) are once the bones have moved."""
        rest = self.rest if points is None else self.rest[points]
        held = self.held if points is None else self.held[points]
        each = (held @ moves.reshape(len(moves), 12)).reshape(-1, 3, 4)
        made: Floats = np.einsum("nij,nj->ni", each[:, :, :3], rest) + each[:, :, 3]
        return made

    def joint(self, moves: Floats, bone: str) -> Floats:
        """Where a bone begins once they have moved."""
        i = self.number[bone]
        made: Floats = moves[i, :, :3] @ self.head[i] + moves[i, :, 3]
        return made
