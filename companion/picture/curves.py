"""Smooth curves in the plane, in millimetres.

A point is a complex number: adding moves it, multiplying by `unit(angle)` turns it. A path is a
chain of cubic Bezier curves; most are laid through points by the Catmull-Rom rule.
"""

from __future__ import annotations

import cmath
from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise
from math import radians

Point = complex

_STEPS = 12
"""Chords per Bezier curve when a length is measured; ours bend little, the error is below 0.1 %."""


def unit(degrees: float) -> Point:
    """The point one millimetre from the origin at this angle from the first axis."""
    return cmath.rect(1.0, radians(degrees))


@dataclass(frozen=True)
class Path:
    """A start point and then three points (two controls, one end) for each Bezier curve."""

    points: tuple[Point, ...] = field(repr=False)
    """Not written out: a picture has some thousand, and whoever prints a page wants its words."""
    closed: bool = False

    @property
    def start(self) -> Point:
        """Where it begins."""
        return self.points[0]

    @property
    def end(self) -> Point:
        """Where it ends."""
        return self.points[-1]

    @property
    def curves(self) -> tuple[tuple[Point, Point, Point, Point], ...]:
        """Each Bezier curve with its four points."""
        p = self.points
        return tuple((p[i], p[i + 1], p[i + 2], p[i + 3]) for i in range(0, len(p) - 3, 3))

    @cached_property
    def chords(self) -> tuple[Point, ...]:
        """Points close enough together to measure by."""
        found = [self.points[0]]
        for curve in self.curves:
            found += [bezier_point(curve, step / _STEPS) for step in range(1, _STEPS + 1)]
        return tuple(found)

    @cached_property
    def _mileage(self) -> tuple[float, ...]:
        run = [0.0]
        for a, b in pairwise(self.chords):
            run.append(run[-1] + abs(b - a))
        return tuple(run)

    @property
    def length_mm(self) -> float:
        """Length along the path."""
        return self._mileage[-1]

    def at(self, distance_mm: float) -> Point:
        """The point so far along; the ends beyond either end."""
        run = self._mileage
        if distance_mm <= 0:
            return self.chords[0]
        if distance_mm >= run[-1]:
            return self.chords[-1]
        index = bisect_right(run, distance_mm) - 1
        a, b = self.chords[index], self.chords[index + 1]
        return a + (b - a) * ((distance_mm - run[index]) / (run[index + 1] - run[index]))

    def distance_to(self, point: Point) -> float:
        """How far along the place nearest to a point is, to a quarter of a millimetre."""
        steps = round(self.length_mm * 4)
        stops = [self.length_mm * i / steps for i in range(steps + 1)]
        return min(stops, key=lambda stop: abs(self.at(stop) - point))

    def share(self, share_0_1: float) -> Point:
        """The point at this share of the length."""
        return self.at(share_0_1 * self.length_mm)

    def direction(self, distance_mm: float) -> Point:
        """The unit vector along the path there."""
        reach = min(1.0, self.length_mm / 4)
        ahead, behind = distance_mm + reach, distance_mm - reach
        step = self.at(min(ahead, self.length_mm)) - self.at(max(behind, 0.0))
        return step / abs(step)

    def between(self, from_mm: float, to_mm: float, spacing_mm: float = 3.0) -> Path:
        """The part between two distances from the start, laid anew through points of it."""
        count = max(2, round((to_mm - from_mm) / spacing_mm))
        stops = [from_mm + (to_mm - from_mm) * i / count for i in range(count + 1)]
        return through([self.at(stop) for stop in stops])

    def moved(self, move: Callable[[Point], Point]) -> Path:
        """Every point moved. Right for turning, mirroring, scaling and shifting."""
        return Path(tuple(move(point) for point in self.points), self.closed)

    def reversed(self) -> Path:
        """The same path from its other end."""
        return Path(tuple(reversed(self.points)), self.closed)


def bezier_point(curve: tuple[Point, Point, Point, Point], t: float) -> Point:
    """The point of a cubic Bezier curve at t in 0..1."""
    a, b, c, d = curve
    s = 1 - t
    return s * s * s * a + 3 * s * s * t * b + 3 * s * t * t * c + t * t * t * d


def through(points: Sequence[Point], *, closed: bool = False) -> Path:
    """A smooth path through all points (uniform Catmull-Rom)."""
    p = list(points)
    n = len(p)
    found = [p[0]]
    for i in range(n if closed else n - 1):
        if closed:
            before, a, b, after = p[i - 1], p[i], p[(i + 1) % n], p[(i + 2) % n]
        else:
            a, b = p[i], p[i + 1]
            before = p[i - 1] if i > 0 else a
            after = p[i + 2] if i + 2 < n else b
        found += [a + (b - before) / 6, b - (after - a) / 6, b]
    return Path(tuple(found), closed)


def straight(points: Sequence[Point], *, closed: bool = False) -> Path:
    """Straight lines from point to point."""
    p = [*points, points[0]] if closed else list(points)
    found = [p[0]]
    for a, b in pairwise(p):
        found += [a + (b - a) / 3, a + (b - a) * 2 / 3, b]
    return Path(tuple(found), closed)


def ellipse(centre: Point, across_mm: float, along_mm: float) -> Path:
    """A closed ellipse with these half axes."""
    k = 0.5522847498
    a, b = complex(across_mm, 0), complex(0, along_mm)
    points = [
        a, a + k * b, b + k * a, b, b - k * a, -a + k * b, -a,
        -a - k * b, -b - k * a, -b, -b + k * a, a - k * b, a,
    ]  # fmt: skip
    return Path(tuple(centre + point for point in points), closed=True)


def inside(point: Point, ring: Sequence[Point]) -> bool:
    """Whether a point lies inside a closed ring of corners (even-odd rule)."""
    crossings = 0
    for a, b in zip(ring, (*ring[1:], ring[0]), strict=True):
        if (a.imag > point.imag) != (b.imag > point.imag):
            x = a.real + (point.imag - a.imag) / (b.imag - a.imag) * (b.real - a.real)
            crossings += x > point.real
    return crossings % 2 == 1


def ribbon(middle: Path, half_width: Callable[[float], tuple[float, float]]) -> Path:
    """The outline of a band round a middle line.

    `half_width` gives, for a distance along it, the reach to the left (as one walks, with the
    second axis to the left of the first) and to the right, both at least 0.
    """
    count = max(12, round(middle.length_mm / 2))
    stops = [middle.length_mm * i / count for i in range(count + 1)]
    # Rounded ends need more points than the middle does.
    near = [0.4, 0.9, 1.6, 2.6, 3.8, 5.2]
    stops = sorted({*stops, *near, *(middle.length_mm - step for step in near)})
    left, right = [], []
    for stop in stops:
        if not 0 <= stop <= middle.length_mm:
            continue
        normal = middle.direction(stop) * 1j
        reach_left, reach_right = half_width(stop)
        left.append(middle.at(stop) + normal * reach_left)
        right.append(middle.at(stop) - normal * reach_right)
    return straight([*left, *reversed(right)], closed=True)
