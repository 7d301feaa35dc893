"""The skin round a knee as a map: where a place of the knee lies on the page, and what is hidden.

A map is stored beside the drawing of a bare knee: a net of the skin in millimetres, across (to the
inner side) and along (to the hip) from the middle of the kneecap, with each node's place before the
eye. So what is laid on it is as long and as wide as it is, and turns round the side of the leg.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import floor, sqrt

from companion.picture.curves import Path, Point, straight
from companion.picture.stored import Stored, points_of

Place = tuple[float, float, float]
"""Right, down and away from the eye, in millimetres."""

TURNED_AWAY = 0.06
"""Cosine below which skin is too far round the side to show anything on it."""


@dataclass(frozen=True)
class Skin:
    """A map; places on the page are from the middle of the kneecap.

    `centre` is where the eye looks at. What is stored is a right knee.
    """

    step_mm: float
    along_mm: float
    across_mm: float
    far_mm: float
    centre: Point
    net: tuple[tuple[Place, ...], ...]

    def place(self, at: Point) -> Place:
        """Where a place of the knee (to the inner side, to the hip) lies before the eye."""
        row, u = _cell((at.imag - self.along_mm) / self.step_mm, len(self.net))
        column, v = _cell((at.real - self.across_mm) / self.step_mm, len(self.net[0]))
        a, b, c, d = _weights(v)  # written out: a picture asks two thousand times
        x = y = z = 0.0
        for down, line in zip(_weights(u), self.net[row - 1 : row + 3], strict=True):
            p, q, r, s = line[column - 1 : column + 3]
            x += down * (a * p[0] + b * q[0] + c * r[0] + d * s[0])
            y += down * (a * p[1] + b * q[1] + c * r[1] + d * s[1])
            z += down * (a * p[2] + b * q[2] + c * r[2] + d * s[2])
        return x, y, z

    def page(self, place: Place) -> Point:
        """A place before the eye on the page."""
        share = self.far_mm / place[2]
        return complex(place[0] * share, place[1] * share) + self.centre

    def on_page(self, at: Point) -> Point:
        """A place of the knee on the page, hidden or not."""
        return self.page(self.place(at))

    def facing(self, at: Point) -> float:
        """How much the skin there looks towards the eye: 1 straight at it, below 0 turned away."""
        row, u = _cell((at.imag - self.along_mm) / self.step_mm, len(self.net))
        column, v = _cell((at.real - self.across_mm) / self.step_mm, len(self.net[0]))
        (a, b), (c, d) = ((line[column], line[column + 1]) for line in self._facings[row : row + 2])
        return (a + (b - a) * v) * (1 - u) + (c + (d - c) * v) * u

    @cached_property
    def _facings(self) -> tuple[tuple[float, ...], ...]:
        high, wide = len(self.net), len(self.net[0])

        def at(i: int, j: int) -> float:
            up, down = self.net[min(i + 1, high - 1)][j], self.net[max(i - 1, 0)][j]
            right, left = self.net[i][min(j + 1, wide - 1)], self.net[i][max(j - 1, 0)]
            looks, here = _cross(_minus(right, left), _minus(up, down)), self.net[i][j]
            return -_dot(looks, here) / (_size(looks) * _size(here))

        return tuple(tuple(at(i, j) for j in range(wide)) for i in range(high))

    def shown(self, at: Point) -> bool:
        """Whether the eye sees this place."""
        return self.facing(at) > TURNED_AWAY

    def _across(self, at: Point) -> Place:
        return _minus(self.place(at + 0.5), self.place(at - 0.5))

    def _along(self, at: Point) -> Place:
        return _minus(self.place(at + 0.5j), self.place(at - 0.5j))

    def lines(self, path: Path) -> list[Path]:
        """A path on the page, without what is turned away."""
        found: list[Path] = []
        run: list[Point] = []
        for at in path.chords:
            if self.shown(at):
                run.append(self.on_page(at))
                continue
            if len(run) > 1:
                found.append(straight(run))
            run = []
        if len(run) > 1:
            found.append(straight(run))
        return found

    def area(self, path: Path) -> Path:
        """A closed path on the page; what is turned away of it ends at the outline."""
        seen = [self.on_page(at) for at in path.chords if self.shown(at)]
        return straight(seen, closed=True)

    def outer_rim(self, level: float) -> Point:
        """The outermost place of the page, to the outer side, of the skin about a level."""
        levels = [level + off for off in (-10, 0, 10)]
        far = [complex(self.across_mm * share, y) for y in levels for share in (0.4, 0.6, 0.8, 0.9)]
        middle = self.on_page(0j).real
        return max((self.on_page(at) for at in far), key=lambda at: abs(at.real - middle))

    def length_mm(self, points: Sequence[Point]) -> float:
        """How long a line through places of the knee is on the skin."""
        places = [self.place(at) for at in points]
        return sum(_size(_minus(b, a)) for a, b in pairwise(places))

    def walked(
        self, points: Sequence[Point], from_mm: float, to_mm: float, count: int
    ) -> list[Point]:
        """Places at even steps of skin along a line, between two distances from its start.

        Raises ValueError where the path is too short.
        """
        places = [self.place(at) for at in points]
        run = [0.0]
        for a, b in pairwise(places):
            run.append(run[-1] + _size(_minus(b, a)))
        if to_mm > run[-1] + 0.01:
            raise ValueError(f"the way is {run[-1]:.0f} mm long, not {to_mm:.0f}")
        made, i = list[Point](), 0
        for k in range(count + 1):
            stop = from_mm + (to_mm - from_mm) * k / count
            while i < len(run) - 2 and run[i + 1] < stop:
                i += 1
            share = (stop - run[i]) / (run[i + 1] - run[i])
            made.append(points[i] + (points[i + 1] - points[i]) * min(max(share, 0.0), 1.0))
        return made

    def beside(self, at: Point, way: Point, off_mm: float) -> Point:
        """The place so far to the left of a line that goes this way, on the skin; right below 0.

        Left as one walks, with the second axis to the left of the first.
        """
        across, along = self._across(at), self._along(at)
        ahead = _plus(_times(across, way.real), _times(along, way.imag))
        left = _cross(_cross(across, along), ahead)
        left = _times(left, off_mm / _size(left))
        if not off_mm:
            return at
        # The step (p, q) of the net that is nearest to it: two equations with two unknowns.
        aa, ab, bb = _dot(across, across), _dot(across, along), _dot(along, along)
        la, lb = _dot(left, across), _dot(left, along)
        whole = aa * bb - ab * ab
        step = complex((la * bb - lb * ab) / whole, (lb * aa - la * ab) / whole)
        reached = _size(_minus(self.place(at + step), self.place(at)))
        return at + step * (abs(off_mm) / reached)


def skin_of(stored: Stored) -> Skin:
    """The map of a stored knee. Raises KeyError for a figure without one."""
    unit, told = stored["unit_mm"], stored["skin"]

    def row(across: str, deep: str) -> tuple[Place, ...]:
        pairs = zip(points_of(across, unit), points_of(deep, unit), strict=True)
        return tuple((a.real, a.imag, d.real + told["far"] * unit) for a, d in pairs)

    return Skin(
        step_mm=told["step"],
        along_mm=told["along"],
        across_mm=told["across"],
        far_mm=told["far"] * unit,
        centre=(complex(*stored["size"]) / 2 - complex(*stored["origin"])) * unit,
        net=tuple(map(row, told["rows"], told["deep"])),
    )


def _cell(at: float, count: int) -> tuple[int, float]:
    """The cell a place lies in and how far on; at the rim the last cell is gone on from."""
    index = min(max(floor(at), 1), count - 3)
    return index, at - index


def _weights(t: float) -> tuple[float, float, float, float]:
    """Catmull and Rom's rule."""
    t2, t3 = t * t, t * t * t
    return (
        (-t3 + 2 * t2 - t) / 2,
        (3 * t3 - 5 * t2 + 2) / 2,
        (-3 * t3 + 4 * t2 + t) / 2,
        (t3 - t2) / 2,
    )


def _minus(a: Place, b: Place) -> Place:
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def _plus(a: Place, b: Place) -> Place:
    return a[0] + b[0], a[1] + b[1], a[2] + b[2]


def _times(a: Place, by: float) -> Place:
    return a[0] * by, a[1] * by, a[2] * by


def _dot(a: Place, b: Place) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _cross(a: Place, b: Place) -> Place:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def _size(a: Place) -> float:
    return sqrt(_dot(a, a))
