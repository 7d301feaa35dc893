"""The knee in its own frame, in millimetres, drawn to one person's measures.

First axis to the inner side, second to the hip, origin in the middle of the kneecap, the front of
the leg laid flat: what is measured along the skin is as long in the drawing. The typical knee has
a kneecap 43 mm wide and high and 46 mm of tendon below it; people's differ (facts: kneecap_width,
kneecap_height, tendon_length).
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Literal

from companion.care.catalogue import Landmark
from companion.care.records import KneeMeasures, Zone
from companion.care.strips import measure_fault, ratio_verdict
from companion.picture.curves import Path, Point, inside, through, unit

TYPICAL_WIDTH_MM = 43.0
TYPICAL_HEIGHT_MM = 43.0
TYPICAL_MEASURE_MM = 89.0
WIDTHS_MM = (26.0, 66.0)
HEIGHTS_MM = (24.0, 64.0)
"""Outside these a kneecap cannot be drawn by stretching the typical one: measure again (C)."""
BUILDS: dict[Literal["slim", "usual", "broad"], float] = {"slim": 0.9, "usual": 1.0, "broad": 1.2}
"""How wide the leg is beside the typical one, kneecap aside (C)."""

DrawnAs = Literal["measured", "missing", "impossible"]
"""measured: to the person's measures. missing, impossible: the typical knee instead, and why."""


def _points(*pairs: tuple[float, float]) -> tuple[Point, ...]:
    return tuple(complex(x, y) for x, y in pairs)


_OUTER = _points(
    (-86, 240), (-84, 205), (-81, 170), (-76, 132), (-69, 96), (-62, 62), (-58.5, 34), (-58, 10),
    (-57, -14), (-53.5, -36), (-51, -56), (-52.5, -78), (-57.5, -104), (-61, -132), (-60.5, -162),
    (-56, -192), (-50, -220), (-45, -245),
)  # fmt: skip
_INNER = _points(
    (90, 240), (88.5, 205), (85.5, 170), (81, 138), (76.5, 108), (72, 80), (66, 54), (61, 32),
    (60, 12), (60.5, -8), (58.5, -28), (54, -48), (51.5, -66), (54, -88), (60, -112), (64.5, -138),
    (64, -166), (58.5, -196), (51, -222), (46, -245),
)  # fmt: skip
_KNEECAP = _points(
    (0, 21.5), (13, 19.2), (20, 11), (21.5, 0), (16.8, -11.5), (8, -19.8), (0, -22.5),
    (-8, -19.8), (-16.8, -11.5), (-21.5, 0), (-20, 11), (-13, 19.2),
)  # fmt: skip
_TENDON = (
    _points((-11, -25), (-9.2, -42), (-9.5, -57)),
    _points((11, -25), (9.2, -42), (9.5, -57)),
)
_BUMP = _points((-13.5, -69), (-10.5, -61.5), (0, -58.5), (10.5, -61.5), (13.5, -69))
_INNER_MUSCLE = _points((33, 118), (42, 94), (45.5, 68), (40, 44), (29, 27))
_OUTER_MUSCLE = _points((-38, 128), (-42.5, 100), (-40, 72), (-34, 48), (-26, 30))
_HOLLOW = _points((33, 12), (35.5, -3), (32, -18), (24, -29))
_SHIN = _points((8, -84), (12.5, -118), (14.5, -156), (14, -200), (12, -240))

_EDGE_ZONE = _points(
    (15.5, 14.5), (25.5, 20.5), (32.5, 9.5), (32.5, -10.5), (23.5, -19), (13.5, -14), (15.5, 0),
)  # fmt: skip
_JOINT_ZONE = _points(
    (37.5, 4), (45.5, 10), (54.5, -1), (53, -28), (45, -40), (36.5, -27),
)  # fmt: skip
_ZONES: dict[Zone, tuple[Point, ...]] = {
    "above": _points(
        (0, 26.5), (17, 25), (30, 34), (31, 56), (0, 68), (-31, 56), (-30, 34), (-17, 25),
    ),
    "below": _points(
        (0, -26), (12, -25), (19.5, -34), (15, -49), (10, -70), (-10, -70), (-15, -49),
        (-19.5, -34), (-12, -25),
    ),
    "inner_edge": _EDGE_ZONE,
    "outer_edge": tuple(-point.conjugate() for point in _EDGE_ZONE),
    "behind_kneecap": _points(
        (0, 16), (9, 12), (12.5, 0), (9, -11), (0, -16.5), (-9, -11), (-12.5, 0), (-9, 12),
    ),
    "inner_joint_line": _JOINT_ZONE,
    "outer_joint_line": tuple(-point.conjugate() for point in _JOINT_ZONE),
}  # fmt: skip
"""On the typical knee."""


@dataclass(frozen=True)
class Knee:
    """One knee. Make it with `knee_from`, or the typical one as it is."""

    width_mm: float = TYPICAL_WIDTH_MM
    height_mm: float = TYPICAL_HEIGHT_MM
    measure_mm: float = TYPICAL_MEASURE_MM
    build: float = 1.0
    drawn_as: DrawnAs = "measured"

    @property
    def half_width(self) -> float:
        """From the middle of the kneecap to its inner or outer edge."""
        return self.width_mm / 2

    @property
    def top(self) -> float:
        """The level of the kneecap's upper edge."""
        return self.height_mm / 2

    @property
    def bottom(self) -> float:
        """The level of the kneecap's lower edge."""
        return -self.height_mm / 2

    @property
    def bump(self) -> float:
        """The level of the bony bump: the measure below the upper edge."""
        return self.top - self.measure_mm

    def level(self, y: float) -> float:
        """Where a level of the typical knee lies in this one."""
        half = TYPICAL_HEIGHT_MM / 2
        if y > half:
            return self.top + (y - half)
        if y >= -half:
            return y * self.height_mm / TYPICAL_HEIGHT_MM
        tendon = (self.measure_mm - self.height_mm) / (TYPICAL_MEASURE_MM - TYPICAL_HEIGHT_MM)
        typical_bump = half - TYPICAL_MEASURE_MM
        if y >= typical_bump:
            return self.bottom + (y + half) * tendon
        return self.bump + (y - typical_bump)

    def place(self, point: Point) -> Point:
        """Where a point on the front of the typical knee lies in this one."""
        return complex(point.real * self.width_mm / TYPICAL_WIDTH_MM, self.level(point.imag))

    def skin_place(self, point: Point) -> Point:
        """The same for the outline of the leg, which follows the build too."""
        wide = 1 + (self.width_mm / TYPICAL_WIDTH_MM - 1) * 0.6
        return complex(point.real * wide * self.build, self.level(point.imag))

    def _laid(self, points: tuple[Point, ...]) -> Path:
        return through([self.place(point) for point in points])

    @cached_property
    def outer_skin(self) -> Path:
        """The outline on the outer side, from the hip down."""
        return through([self.skin_place(point) for point in _OUTER])

    @cached_property
    def inner_skin(self) -> Path:
        """The outline on the inner side, from the hip down."""
        return through([self.skin_place(point) for point in _INNER])

    @cached_property
    def kneecap(self) -> Path:
        """The kneecap, closed."""
        return through([self.place(point) for point in _KNEECAP], closed=True)

    @cached_property
    def tendon_edges(self) -> tuple[Path, Path]:
        """The two edges of the band below the kneecap: outer, inner."""
        return self._laid(_TENDON[0]), self._laid(_TENDON[1])

    @cached_property
    def bump_rim(self) -> Path:
        """The upper rim of the bony bump."""
        return self._laid(_BUMP)

    @cached_property
    def muscles(self) -> tuple[Path, Path]:
        """The lower borders of the thigh muscles: inner, outer."""
        return self._laid(_INNER_MUSCLE), self._laid(_OUTER_MUSCLE)

    @cached_property
    def hollows(self) -> tuple[Path, Path]:
        """The soft hollows below the kneecap: inner, outer."""
        mirror = tuple(-point.conjugate() for point in _HOLLOW)
        return self._laid(_HOLLOW), self._laid(mirror)

    @cached_property
    def shin(self) -> Path:
        """The edge of the shin bone."""
        return self._laid(_SHIN)

    def skin_at(self, y: float) -> tuple[float, float]:
        """The outer (negative) and the inner (positive) side of the skin at a level."""
        outer, inner = self._falling
        return _crossing(*outer, y), _crossing(*inner, y)

    @cached_property
    def _falling(self) -> tuple[tuple[tuple[Point, ...], tuple[float, ...]], ...]:
        edges = (self.outer_skin.chords, self.inner_skin.chords)
        return tuple((chords, tuple(-point.imag for point in chords)) for chords in edges)

    def kneecap_rim(self, degrees: float, off_mm: float = 0.0) -> Point:
        """A point of the kneecap's rim: 0 is the inner edge, 90 the upper, 180 the outer.

        `off_mm` moves it off the rim, outwards.
        """
        return _rim(self, degrees) + off_mm * unit(degrees)

    def landmark(self, name: Landmark) -> Point:
        """The place of a landmark."""
        places: dict[Landmark, Point] = {
            "inner_edge": complex(self.half_width, 0),
            "outer_edge": complex(-self.half_width, 0),
            "upper_edge": complex(0, self.top),
            "lower_edge": complex(0, self.bottom),
            "tendon": complex(0, (self.bottom + self.bump) / 2),
            "bony_bump": complex(0, self.bump),
            "inner_hollow": self.place(23 - 25j),
            "outer_hollow": self.place(-23 - 25j),
            "thigh_inner": self.skin_place(46 + 118j),
            "thigh_outer": self.skin_place(-44 + 118j),
        }
        return places[name]

    @cached_property
    def zones(self) -> dict[Zone, Path]:
        """The sore zones one can see from the front, as closed areas that do not overlap.

        The back of the knee and "elsewhere" lie on no front and are words alone.
        """
        return {
            zone: through([self._zone_place(point) for point in points], closed=True)
            for zone, points in _ZONES.items()
        }

    def _zone_place(self, point: Point) -> Point:
        """Where a point of the typical knee lies when kneecap and outline both stay in place."""
        typical, across = Knee(), abs(point.real)
        sign = 1 if point.real >= 0 else -1
        level = self.level(point.imag)
        if across <= typical.half_width:
            return complex(sign * across * self.half_width / typical.half_width, level)
        side = 1 if sign > 0 else 0
        skin, here = abs(typical.skin_at(point.imag)[side]), abs(self.skin_at(level)[side])
        share = (across - typical.half_width) / (skin - typical.half_width)
        return complex(sign * (self.half_width + share * (here - self.half_width)), level)

    def zone_at(self, point: Point) -> Zone | None:
        """The zone a point lies in; None beside all of them."""
        for zone, area in self.zones.items():
            if inside(point, area.chords):
                return zone
        return None


def knee_from(measures: KneeMeasures | None) -> Knee:
    """The knee of these measures; the typical one when the length is missing or impossible.

    The build is the person's either way: it is a word, and no measure.

    Impossible: refused by `care.strips.measure_fault`, a tendon that does not fit the kneecap's
    height (`ratio_verdict`), or a kneecap no knee has. A missing width or height is the typical
    one, in proportion to the length.
    """
    if measures is None:
        return Knee(drawn_as="missing")
    build = BUILDS[measures.build or "usual"]
    if measures.bump_to_upper_edge_mm is None:
        return Knee(build=build, drawn_as="missing")
    length = measures.bump_to_upper_edge_mm
    height, width = measures.kneecap_height_mm, measures.kneecap_width_mm
    share = TYPICAL_HEIGHT_MM / TYPICAL_MEASURE_MM
    fits = (
        measure_fault(length) != "refused"
        and (height is None or HEIGHTS_MM[0] <= height <= HEIGHTS_MM[1])
        and (width is None or WIDTHS_MM[0] <= width <= WIDTHS_MM[1])
        and (height is None or ratio_verdict(length, height) != "measure_again")
        and (height is not None or HEIGHTS_MM[0] <= length * share <= HEIGHTS_MM[1])
    )
    if not fits:
        return Knee(build=build, drawn_as="impossible")
    drawn_height = length * share if height is None else height
    drawn_width = drawn_height if width is None else width
    if not WIDTHS_MM[0] <= drawn_width <= WIDTHS_MM[1]:
        return Knee(build=build, drawn_as="impossible")
    return Knee(drawn_width, drawn_height, length, build)


@lru_cache(maxsize=1024)
def _rim(knee: Knee, degrees: float) -> Point:
    """Where a ray from the middle of the kneecap leaves it."""
    ray, ring = unit(degrees), knee.kneecap.chords
    low, high = 0.0, knee.width_mm + knee.height_mm
    for _ in range(24):
        middle = (low + high) / 2
        low, high = (middle, high) if inside(ray * middle, ring) else (low, middle)
    return ray * low


def _crossing(chords: tuple[Point, ...], levels: tuple[float, ...], y: float) -> float:
    """Where an edge that runs down from the hip is at a level; its ends beyond it.

    `levels` are those of its chords, turned round so that they rise.
    """
    index = bisect_left(levels, -y)
    if index == 0:
        return chords[0].real
    if index == len(levels):
        return chords[-1].real
    a, b = chords[index - 1], chords[index]
    return a.real + (a.imag - y) / (a.imag - b.imag) * (b.real - a.real)
