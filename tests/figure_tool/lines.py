"""From triangles to clean lines: hidden surfaces, outlines, inner edges, smooth and few points."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from tests.figure_tool.body import Floats, Ints, unit

Mask = NDArray[np.bool_]
NOTHING = -1
FAR = 1e9
_AT_ONCE = 150_000
"""Candidate pixels looked at in one go."""


@dataclass(frozen=True)
class Camera:
    """An eye. Without `distance_true` everything is seen from far away, at `scale` pixels a metre
    on the plane through `target`."""

    eye: Floats
    target: Floats
    up: Floats
    size: tuple[int, int]
    scale: float
    near: bool = False

    @property
    def axes(self) -> Floats:
        """Right, up and forward as rows."""
        forward = unit(self.target - self.eye)
        right = unit(np.cross(forward, self.up))
        return np.stack([right, np.cross(right, forward), forward])

    def project(self, points: Floats) -> Floats:
        """Pixels to the right and down, and the distance."""
        seen = (points - self.eye) @ self.axes.T
        depth = seen[..., 2]
        scale: Any = self.scale
        if self.near:
            scale = self.scale * np.linalg.norm(self.target - self.eye) / np.maximum(depth, 1e-3)
        wide, high = self.size
        made: Floats = np.stack(
            [wide / 2 + seen[..., 0] * scale, high / 2 - seen[..., 1] * scale, depth], -1
        )
        return made

    def towards(self, points: Floats) -> Floats:
        """From each point to the eye."""
        if self.near:
            made: Floats = self.eye - points
            return made
        return np.broadcast_to(-self.axes[2], points.shape)


@dataclass(frozen=True)
class Seen:
    """What is in front at each pixel: its distance, its group, its triangle."""

    depth: Floats
    group: Ints
    triangle: Ints


def seen(
    camera: Camera, points: Floats, triangles: Ints, groups: Ints, behind: Seen | None = None,
    known: int = 0,
) -> Seen:  # fmt: skip
    """Look at triangles: the nearest at each pixel. What is `behind` was made of the first `known`
    of them by the same eye."""
    wide, high = camera.size
    flat = camera.project(points)
    corners = flat[triangles]
    low = np.floor(corners[:, :, :2].min(1)).astype(np.int64)
    top = np.ceil(corners[:, :, :2].max(1)).astype(np.int64)
    low, top = np.maximum(low, 0), np.minimum(top, [wide, high])
    extent = (top - low).max(1)
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1])
    good = (area != 0) & ((top - low).min(1) > 0) & (corners[:, :, 2].min(1) > 0.02)
    depth = np.full(wide * high, FAR) if behind is None else behind.depth.flatten()
    front = np.full(wide * high, NOTHING, np.int64)
    if behind is not None:
        front, good[:known] = behind.triangle.flatten(), False
    size, before = 1, 0
    while before < max(wide, high):
        these = np.nonzero(good & (extent > before) & (extent <= size))[0]
        step = max(1, _AT_ONCE // (size * size))
        for start in range(0, len(these), step):
            some = these[start : start + step]
            _nearer(corners, area, low, top, some, wide, depth, front, near=camera.near)
        before, size = size, size * 2
    group = np.where(front == NOTHING, NOTHING, groups[front])
    shape = (high, wide)
    return Seen(depth.reshape(shape), group.reshape(shape), front.reshape(shape))


def _nearer(
    corners: Floats, area: Floats, low: Ints, top: Ints, these: Ints, wide: int,
    depth: Floats, front: Ints, *, near: bool,
) -> None:  # fmt: skip
    across, down = (top[these] - low[these]).max(0)
    x = low[these, 0][:, None, None] + np.arange(across)[None, None, :]
    y = low[these, 1][:, None, None] + np.arange(down)[None, :, None]
    a, b, c = (corners[these, k][:, None, None, :] for k in range(3))
    px, py = x + 0.5, y + 0.5
    whole = area[these][:, None, None]
    u = ((b[..., 0] - px) * (c[..., 1] - py) - (c[..., 0] - px) * (b[..., 1] - py)) / whole
    v = ((c[..., 0] - px) * (a[..., 1] - py) - (a[..., 0] - px) * (c[..., 1] - py)) / whole
    w = 1 - u - v
    inside = (u >= 0) & (v >= 0) & (w >= 0)
    inside &= (x < top[these, 0][:, None, None]) & (y < top[these, 1][:, None, None])
    if near:
        far = 1 / (u / a[..., 2] + v / b[..., 2] + w / c[..., 2])
    else:
        far = u * a[..., 2] + v * b[..., 2] + w * c[..., 2]
    where = np.nonzero(inside)
    pixel = (y + 0 * x)[where] * wide + (x + 0 * y)[where]
    value, which = far[where], these[where[0]]
    order = np.lexsort((value, pixel))
    pixel, value, which = pixel[order], value[order], which[order]
    first = np.r_[True, np.diff(pixel) > 0] if len(pixel) else np.zeros(0, bool)
    pixel, value, which = pixel[first], value[first], which[first]
    won = value < depth[pixel]
    depth[pixel[won]], front[pixel[won]] = value[won], which[won]


def smoothed(points: Floats, sigma: float, *, closed: bool = False) -> Floats:
    """A line of points a pixel apart, evened out; an open one keeps its ends."""
    if len(points) < 5:
        return points
    if closed:
        made: Floats = gaussian_filter1d(points, sigma, axis=0, mode="wrap")
        return made
    pad = min(len(points) - 1, int(4 * sigma))
    longer = np.r_[
        2 * points[0] - points[pad:0:-1], points, 2 * points[-1] - points[-2 : -pad - 2 : -1]
    ]
    evened: Floats = gaussian_filter1d(longer, sigma, axis=0)
    return evened[pad : pad + len(points)]


def fewer(points: Floats, tolerance: float) -> Floats:
    """Douglas and Peucker's rule: no point left out is farther than this from the line."""
    keep = np.zeros(len(points), bool)
    keep[[0, -1]] = True
    spans = [(0, len(points) - 1)]
    while spans:
        first, last = spans.pop()
        if last - first < 2:
            continue
        way, off = points[last] - points[first], points[first + 1 : last] - points[first]
        length = float(np.hypot(*way))
        far = np.abs(way[0] * off[:, 1] - way[1] * off[:, 0]) / length if length > 1e-9 else None
        far = np.hypot(*off.T) if far is None else far
        worst = int(far.argmax())
        if far[worst] > tolerance:
            middle = first + 1 + worst
            keep[middle] = True
            spans += [(first, middle), (middle, last)]
    return points[keep]


def resampled(points: Floats, *, closed: bool = False) -> Floats:
    """The same line with a point every pixel."""
    line = np.r_[points, points[:1]] if closed else points
    run = np.r_[0, np.cumsum(np.linalg.norm(np.diff(line[:, :2], axis=0), axis=1))]
    count = max(int(run[-1]), 2)
    at = np.linspace(0, run[-1], count, endpoint=not closed)
    return np.stack([np.interp(at, run, line[:, k]) for k in range(line.shape[1])], 1)


def outlines(mask: Mask, sigma: float, tolerance: float, least: int = 40) -> list[Floats]:
    """The closed, even borders of an area; short ones are specks and left out."""
    made = []
    for loop in _borders(mask):
        if len(loop) < least:
            continue
        middles = (loop + np.roll(loop, -1, 0)) / 2
        even = smoothed(resampled(middles, closed=True), sigma, closed=True)
        even = np.r_[even, even[:1]]
        half = len(even) // 2
        made.append(np.r_[fewer(even[: half + 1], tolerance)[:-1], fewer(even[half:], tolerance)])
    return made


def _borders(mask: Mask) -> Iterator[Floats]:
    """The corners of each closed border, the area on the right hand side."""
    area = np.pad(mask, 1)
    nexts: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
    ways = (
        (area[1:-1, 1:-1] & ~area[:-2, 1:-1], (0, 0), (1, 0)),
        (area[1:-1, 1:-1] & ~area[1:-1, 2:], (1, 0), (1, 1)),
        (area[1:-1, 1:-1] & ~area[2:, 1:-1], (1, 1), (0, 1)),
        (area[1:-1, 1:-1] & ~area[1:-1, :-2], (0, 1), (0, 0)),
    )
    for border, start, end in ways:
        for y, x in zip(*(one.tolist() for one in np.nonzero(border)), strict=True):
            nexts[x + start[0], y + start[1]].append((x + end[0], y + end[1]))
    while nexts:
        here = next(iter(nexts))
        loop, before = [here], None
        while here in nexts:
            options = nexts[here]
            onward = options.pop(_rightmost(before, here, options))
            if not options:
                del nexts[here]
            before, here = here, onward
            loop.append(here)
        yield np.array(loop[:-1], float)


def _rightmost(
    before: tuple[int, int] | None, here: tuple[int, int], options: Sequence[tuple[int, int]]
) -> int:
    """Where two areas touch at a corner, stay with the one we go round."""
    if before is None or len(options) == 1:
        return 0
    x, y = here[0] - before[0], here[1] - before[1]
    turns = [x * (to[1] - here[1]) - y * (to[0] - here[0]) for to in options]
    return int(np.argmax(turns))


def inner_edges(camera: Camera, points: Floats, looks: Floats, triangles: Ints) -> list[Floats]:
    """Where a smooth surface turns away from the eye, as lines in space."""
    facing = (looks * camera.towards(points)).sum(1)
    seen_side = facing > 0
    mixed = triangles[(seen_side[triangles].sum(1) % 3) != 0]
    if not len(mixed):
        return []
    edges = np.stack([mixed, np.roll(mixed, -1, 1)], 2).reshape(-1, 2)
    edges = np.sort(edges[seen_side[edges[:, 0]] != seen_side[edges[:, 1]]], 1)
    found, where = np.unique(edges, axis=0, return_inverse=True)
    share = facing[found[:, 0]] / (facing[found[:, 0]] - facing[found[:, 1]])
    at = points[found[:, 0]] + share[:, None] * (points[found[:, 1]] - points[found[:, 0]])
    return [at[chain] for chain in _chains(where.reshape(-1, 2))]


def _chains(pairs: Ints) -> list[list[int]]:
    """Pieces joined where they share an end."""
    beside: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for i, (a, b) in enumerate(pairs.tolist()):
        beside[a].append((b, i))
        beside[b].append((a, i))
    used, made = set[int](), []
    starts = [one for one in beside if len(beside[one]) == 1] + list(beside)
    for start in starts:
        while True:
            chain, here = [start], start
            while step := next((one for one in beside[here] if one[1] not in used), None):
                here = step[0]
                used.add(step[1])
                chain.append(here)
            if len(chain) < 2:
                break
            made.append(chain)
    return made


def runs(shown: Mask, gap: int, least: int) -> list[tuple[int, int]]:
    """Where something holds for long enough; short gaps are bridged."""
    change = np.flatnonzero(np.diff(np.r_[False, shown, False].astype(np.int8)))
    made: list[tuple[int, int]] = []
    for start, end in change.reshape(-1, 2).tolist():
        if made and start - made[-1][1] <= gap:
            made[-1] = (made[-1][0], end)
        else:
            made.append((start, end))
    return [one for one in made if one[1] - one[0] >= least]


def off_border(loop: Floats, size: tuple[int, int], margin: float = 3.0) -> list[Floats]:
    """A closed line without the parts that only run along the frame."""
    wide, high = size
    x, y = loop[:, 0], loop[:, 1]
    edge = (x < margin) | (y < margin) | (x > wide - margin) | (y > high - margin)
    both = edge[:-1] & edge[1:]
    if not both.any():
        return [loop]
    start = int(np.flatnonzero(both)[0]) + 1
    order = np.r_[np.arange(start, len(loop) - 1), np.arange(0, start + 1)]
    turned, hidden = loop[order], np.r_[both[start:], both[:start]][: len(order) - 1]
    return [turned[a : b + 1] for a, b in runs(~hidden, 0, 1)]
