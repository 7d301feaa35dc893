"""The knee in its own frame, in millimetres, drawn to one person's measures.

First axis to the inner side, second to the hip, origin in the middle of the kneecap, all of it
along the skin: `picture/skin` says where a place lies on the page. The typical knee has
a kneecap 43 mm wide and high and 46 mm of tendon below it; people's differ (facts: kneecap_width,
kneecap_height, tendon_length).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import atan2, degrees
from typing import Literal

from companion.care.catalogue import Landmark
from companion.care.records import Build, KneeMeasures, Zone
from companion.care.strips import measure_fault, ratio_verdict
from companion.picture.curves import Path, Point, inside, through, unit

TYPICAL_WIDTH_MM = 43.0
TYPICAL_HEIGHT_MM = 43.0
TYPICAL_MEASURE_MM = 89.0
WIDTHS_MM = (26.0, 66.0)
HEIGHTS_MM = (24.0, 64.0)
"""Outside these a kneecap cannot be drawn by stretching the typical one: measure again (C)."""

Named = Literal[
    "upper", "upper_outer", "outer", "lower_outer", "lower", "lower_inner", "inner", "upper_inner",
    "band", "bump", "outer_hollow", "inner_hollow", "above", "thigh_inner", "thigh_outer",
]  # fmt: skip
"""Places of a knee as they are told."""
_SECTORS: tuple[Named, ...] = (
    "upper", "upper_outer", "outer", "lower_outer", "lower", "lower_inner", "inner", "upper_inner",
)  # fmt: skip
BUMP_MM, ABOVE_MM = 17.0, 8.0
ABOVE_HALF_MM, BAND_HALF_MM = 25.0, 12.0
"""Which place a spot belongs to: how near the bump, how far beyond the kneecap's ends, how near the
middle of the thigh and of the band (C)."""
THIGH_MM = 96.0
"""So far above the kneecap a place of the thigh is meant (C)."""

DrawnAs = Literal["measured", "missing", "impossible"]
"""measured: to the person's measures. missing, impossible: the typical knee instead, and why."""


def _points(*pairs: tuple[float, float]) -> tuple[Point, ...]:
    return tuple(complex(x, y) for x, y in pairs)


_KNEECAP = _points(
    (0, 21.5), (13, 19.2), (20, 11), (21.5, 0), (16.8, -11.5), (8, -19.8), (0, -22.5),
    (-8, -19.8), (-16.8, -11.5), (-21.5, 0), (-20, 11), (-13, 19.2),
)  # fmt: skip
_TENDON = (
    _points((-11, -25), (-9.2, -42), (-9.5, -57)),
    _points((11, -25), (9.2, -42), (9.5, -57)),
)
_BUMP = _points((-13.5, -69), (-10.5, -61.5), (0, -58.5), (10.5, -61.5), (13.5, -69))
_EDGE_ZONE = _points(
    (15.5, 14.5), (25.5, 20.5), (32.5, 9.5), (32.5, -10.5), (23.5, -19), (13.5, -14), (15.5, 0),
)  # fmt: skip
_JOINT_ZONE = _points(
    (38, 6), (46, 14), (66, 8), (66, -34), (48, -46), (38, -27),
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
    build: Build = "usual"
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

    def _laid(self, points: tuple[Point, ...]) -> Path:
        return through([self.place(point) for point in points])

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

    def kneecap_rim(self, angle: float, off_mm: float = 0.0) -> Point:
        """A point of the kneecap's rim: 0 is the inner edge, 90 the upper, 180 the outer.

        `off_mm` moves it off the rim, outwards.
        """
        return _rim(self, angle) + off_mm * unit(angle)

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
            "thigh_inner": complex(46, self.top + THIGH_MM),
            "thigh_outer": complex(-46, self.top + THIGH_MM),
        }
        return places[name]

    def named(self, at: Point) -> Named:
        """What a place of the knee is called, from where it lies."""
        if abs(at - 1j * self.bump) < BUMP_MM or at.imag < self.bump:
            return "bump"
        if at.imag > self.top + ABOVE_MM:
            if abs(at.real) <= ABOVE_HALF_MM:
                return "above"
            return "thigh_inner" if at.real > 0 else "thigh_outer"
        if at.imag < self.bottom - ABOVE_MM:
            if abs(at.real) <= BAND_HALF_MM:
                return "band"
            return "inner_hollow" if at.real > 0 else "outer_hollow"
        turned = degrees(atan2(-at.real / self.half_width, at.imag / self.top)) % 360
        return _SECTORS[round(turned / 45) % 8]

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
        """Where a point of the typical knee lies: within the kneecap's width it goes with it,
        beyond it stays as far from its edge."""
        across, half = abs(point.real), TYPICAL_WIDTH_MM / 2
        over = max(across - half, 0.0)
        made = min(across, half) * self.half_width / half + over
        return complex(made if point.real >= 0 else -made, self.level(point.imag))


def knee_from(measures: KneeMeasures | None) -> Knee:
    """The knee of these measures; the typical one when the length is missing or impossible.

    The build is the person's either way: it is a word, and no measure.

    Impossible: refused by `care.strips.measure_fault`, a tendon that does not fit the kneecap's
    height (`ratio_verdict`), or a kneecap no knee has. A missing width or height is the typical
    one, in proportion to the length.
    """
    if measures is None:
        return Knee(drawn_as="missing")
    build = measures.build or "usual"
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
def _rim(knee: Knee, angle: float) -> Point:
    """Where a ray from the middle of the kneecap leaves it."""
    ray, ring = unit(angle), knee.kneecap.chords
    low, high = 0.0, knee.width_mm + knee.height_mm
    for _ in range(24):
        middle = (low + high) / 2
        low, high = (middle, high) if inside(ray * middle, ring) else (low, middle)
    return ray * low
