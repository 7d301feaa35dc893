"""A scene of surfaces becomes a still: areas, outlines, inner lines, in the order of painting."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from scipy.ndimage import distance_transform_edt, gaussian_filter1d, maximum_filter

from companion.picture.stored import points_of
from tests.figure_tool.body import Floats, Ints, normals
from tests.figure_tool.lines import (
    FAR,
    Camera,
    Mask,
    Seen,
    fewer,
    inner_edges,
    off_border,
    outlines,
    resampled,
    runs,
    seen,
    smoothed,
)

OUTLINE, INNER = "outline", "inner"
"""The two line weights."""


@dataclass(frozen=True)
class Look:
    """How one group is drawn: its name, its tint ("" for none), and which lines it has."""

    name: str
    tint: str = ""
    outline: str = OUTLINE
    inner: bool = True
    part_of: str = ""
    """The group that this one is a toned part of: they share one outline."""


@dataclass
class Still:
    """What is stored of one picture. Points are whole units; `unit_mm` says how large one is."""

    size: tuple[int, int]
    unit_mm: float
    items: list[list[Any]] = field(default_factory=list)

    def fill(self, tint: str, name: str, loops: Sequence[Floats]) -> None:
        """An area, with holes where its borders lie in each other; none of specks alone."""
        if loops:
            self.items.append(["f", tint, name, *(packed(one) for one in loops)])

    def stroke(self, kind: str, name: str, line: Floats, *, dashed: bool = False) -> None:
        """A line of one of the weights."""
        if len(line) > 1:
            self.items.append(["d" if dashed else "s", kind, name, packed(line)])

    def text(self, **about: Any) -> str:
        """What is written into the file, an item a line."""
        head = {**about, "size": list(self.size), "unit_mm": self.unit_mm}
        lines = [json.dumps(one, separators=(",", ":")) for one in self.items]
        body = ",\n".join(lines)
        return json.dumps(head, separators=(",", ":"))[:-1] + ',"items":[\n' + body + "\n]}\n"


def packed(line: Floats) -> str:
    """Points as text: each as its step from the one before, five bits a letter from "?" on."""
    steps = np.diff(np.round(line[:, :2]).astype(int), axis=0, prepend=0)
    made = []
    for value in steps.ravel().tolist():
        rest = value << 1 if value >= 0 else ~(value << 1)
        while rest >= 0x20:
            made.append(chr((0x20 | (rest & 0x1F)) + 63))
            rest >>= 5
        made.append(chr(rest + 63))
    return "".join(made)


def digest(text: str) -> str:
    """A short name for a pose, however its file is laid out: a figure of another one is told."""
    told = json.dumps(json.loads(text), sort_keys=True)
    return hashlib.sha256(told.encode("utf-8")).hexdigest()[:16]


class Scene:
    """Surfaces, each triangle of a group, and lines that lie on them."""

    def __init__(self) -> None:
        self.looks: list[Look] = []
        self.curves: list[tuple[Floats, str, str, str, float]] = []
        self._points: list[Floats] = []
        self._looks_to: list[Floats] = []
        self._triangles: list[Ints] = []
        self._groups: list[Ints] = []
        self._count = 0
        self._behind: Scene | None = None
        self._seen: tuple[Camera, Seen] | None = None

    def over(self) -> Scene:
        """A scene that begins as this one, which is looked at only once by each eye."""
        made = Scene()
        made.looks, made.curves, made._count = [*self.looks], [*self.curves], self._count
        made._points, made._looks_to = [*self._points], [*self._looks_to]
        made._triangles, made._groups = [*self._triangles], [*self._groups]
        made._behind = self
        return made

    def seen(self, camera: Camera) -> Seen:
        """What an eye sees of it."""
        points, _, triangles, groups = self.arrays()
        if self._behind is None:
            return seen(camera, points, triangles, groups)
        known = sum(len(one) for one in self._behind._triangles)
        behind = self._behind._known(camera)
        return seen(camera, points, triangles, groups, behind, known)

    def _known(self, camera: Camera) -> Seen:
        if self._seen is None or not _same(self._seen[0], camera):
            self._seen = camera, self.seen(camera)
        return self._seen[1]

    def group(self, look: Look) -> int:
        """The number of a group; one of the same name is the same."""
        for i, one in enumerate(self.looks):
            if one.name == look.name:
                return i
        self.looks.append(look)
        return len(self.looks) - 1

    def add(
        self, look: Look, points: Floats, triangles: Ints, looks_to: Floats | None = None
    ) -> None:
        """A surface; `looks_to` where it was smooth before it was cut."""
        group = self.group(look)
        looks = normals(points, triangles) if looks_to is None else looks_to
        used, places = np.unique(triangles, return_inverse=True)
        self._points.append(points[used])
        self._looks_to.append(looks[used])
        self._triangles.append(places.reshape(-1, 3) + self._count)
        self._groups.append(np.full(len(triangles), group, np.int64))
        self._count += len(used)

    def curve(
        self, line: Floats, kind: str, name: str, *, hidden: str = "", near: float = 0.003
    ) -> None:
        """A line on a surface; `hidden` "dashed" shows it through what covers it."""
        self.curves.append((line, kind, name, hidden, near))

    def arrays(self) -> tuple[Floats, Floats, Ints, Ints]:
        """Points, directions, triangles and their groups."""
        return (
            np.concatenate(self._points),
            np.concatenate(self._looks_to),
            np.concatenate(self._triangles),
            np.concatenate(self._groups),
        )


def _same(one: Camera, other: Camera) -> bool:
    places = ((one.eye, other.eye), (one.target, other.target), (one.up, other.up))
    alike = (one.size, one.scale, one.near) == (other.size, other.scale, other.near)
    return alike and all(np.array_equal(a, b) for a, b in places)


def paint(
    camera: Camera, scene: Scene, still: Still, *, detail: float = 1.0, only: Sequence[str] = ()
) -> Seen:
    """Draw a scene into a still. `detail` below 1 keeps fewer points and shorter lines; of the
    rest of a scene than the groups `only` nothing is drawn, but it hides what is behind it."""
    points, looks_to, triangles, groups = scene.arrays()
    view = scene.seen(camera)
    tolerance = 0.55 / detail
    loops: dict[int, list[Floats]] = {}
    whole = view.group
    for number, look in enumerate(scene.looks):
        if look.part_of:
            owner = [one.name for one in scene.looks].index(look.part_of)
            whole = np.where(whole == number, owner, whole)
    for number, look in enumerate(scene.looks):
        area = (view.group if look.part_of else whole) == number
        if area.sum() < 60 or (only and look.name not in only):
            continue
        loops[number] = outlines(area, 2.2, tolerance)
        if look.tint:
            still.fill(look.tint, look.name, loops[number])
    shown = np.array([one.inner and (not only or one.name in only) for one in scene.looks])[groups]
    for line in _inside(camera, points, looks_to, triangles[shown], view, whole):
        still.stroke(INNER, _inner_name(scene, whole, line), fewer(line, tolerance))
    for number, borders in loops.items():
        look = scene.looks[number]
        if not look.outline:
            continue
        for loop in borders:
            for line in off_border(loop, camera.size):
                still.stroke(look.outline, look.name, line)
    _curves(camera, scene, view, still, tolerance)
    return view


def _inner_name(scene: Scene, whole: Ints, line: Floats) -> str:
    """An inner line of a hand says of which one."""
    x, y = line[len(line) // 2, :2].astype(int)
    name = scene.looks[whole[y, x]].name if whole[y, x] >= 0 else ""
    return f"inner{name[-1]}" if name.startswith("hand") else "inner"


def onward(camera: Camera, scene: Scene, view: Seen, still: Still, then: Scene) -> list[list[str]]:
    """How far each point of each item of a still goes until the next one, as packed lines.

    `then` is the same scene in the next pose. A point goes where the nearest surface of its own
    group goes; lines of no group that is there stay.
    """
    points, _, triangles, _ = scene.arrays()
    way = camera.project(then.arrays()[0])[:, :2] - camera.project(points)[:, :2]
    way = way[triangles].mean(1)
    names = [look.part_of or look.name for look in scene.looks]
    near: dict[str, Ints] = {}
    made = []
    for _, _, name, *lines in still.items:
        group = _group_of(name, names)
        if not group:
            made.append([""] * len(lines))
            continue
        if group not in near:
            own = np.isin(view.group, [i for i, one in enumerate(names) if one == group])
            near[group] = distance_transform_edt(~own, return_distances=False, return_indices=True)
        moved = []
        for line in lines:
            at = np.array([(p.real, p.imag) for p in points_of(line)]).astype(int)
            x, y = (np.clip(at[:, k], 0, camera.size[k] - 1) for k in (0, 1))
            step = way[view.triangle[tuple(near[group][:, y, x])]]
            moved.append(packed(gaussian_filter1d(step, 1.0, axis=0, mode="nearest")))
        made.append(moved)
    return made


def _group_of(name: str, groups: Sequence[str]) -> str:
    """The group a line belongs to: its own, or the hand of its side."""
    if name in groups:
        return name
    hand = f"hand{name[-1]}"
    return hand if hand in groups and name[:-1] in ("nail", "inner", "pads", "sleeve") else ""


def _inside(
    camera: Camera, points: Floats, looks_to: Floats, triangles: Ints, view: Seen, whole: Ints
) -> list[Floats]:
    """The visible inner edges, apart from every outline."""
    edge = np.zeros(view.group.shape, bool)
    edge[:, 1:] |= whole[:, 1:] != whole[:, :-1]
    edge[1:] |= whole[1:] != whole[:-1]
    far: Floats = distance_transform_edt(~edge)
    deepest: Floats = maximum_filter(view.depth, 3)
    made = []
    for chain in inner_edges(camera, points, looks_to, triangles):
        line = resampled(camera.project(chain))
        inside = _within(line, camera.size)
        x, y = (np.clip(line[:, k].astype(int), 0, camera.size[k] - 1) for k in (0, 1))
        visible = inside & (line[:, 2] <= deepest[y, x] + 0.004)
        for start, end in runs(visible, 6, 22):
            apart = far[y[start:end], x[start:end]] > 5
            for first, last in runs(apart, 10, 20):
                piece = line[start + max(first - 5, 0) : start + min(last + 5, end - start)]
                made.append(smoothed(piece[:, :2], 2.5))
    return made


def _within(line: Floats, size: tuple[int, int]) -> Mask:
    x, y = line[:, 0], line[:, 1]
    made: Mask = (x >= 0) & (y >= 0) & (x < size[0]) & (y < size[1])
    return made


def _curves(camera: Camera, scene: Scene, view: Seen, still: Still, tolerance: float) -> None:
    deepest: Floats = maximum_filter(view.depth, 3)
    for curve, kind, name, hidden, near in scene.curves:
        line = resampled(camera.project(curve))
        inside = _within(line, camera.size)
        x, y = (np.clip(line[:, k].astype(int), 0, camera.size[k] - 1) for k in (0, 1))
        visible = inside & (line[:, 2] <= deepest[y, x] + near)
        for start, end in runs(visible, 1, 3):
            still.stroke(kind, name, fewer(line[start:end, :2], tolerance))
        if hidden:
            for start, end in runs(inside & ~visible, 1, 3):
                dotted = fewer(line[max(start - 1, 0) : end + 1, :2], tolerance)
                still.stroke(kind, name, dotted, dashed=True)


def silhouette(camera: Camera, points: Floats, triangles: Ints) -> list[Floats]:
    """The outer border of one surface alone."""
    view = seen(camera, points, triangles, np.zeros(len(triangles), np.int64))
    return outlines(view.depth < FAR, 3.0, 0.9)
