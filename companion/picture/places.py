"""Places of a knee on its drawn skin: sore zones, landmarks found by a finger, what is measured.

Everything is put together for a right knee and mirrored for a left one, words last.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import reduce
from typing import Literal

from companion.care.catalogue import Landmark
from companion.care.coded import Coded, coded
from companion.care.records import Side, Zone
from companion.picture.board import BareKnee, Hands, bare_shapes, mirrored, placed_hand
from companion.picture.curves import Path, Point, ellipse, inside, straight
from companion.picture.drawing import Drawing, DrawnWords, Frame, Shape, Weight
from companion.picture.knee import Knee
from companion.picture.leg import HEADER_MM, SMALL_WORDS_MM
from companion.picture.scenes import framed
from companion.picture.views import View, Viewpoint

COUNTED_FRAME = Frame(-108.0, -112.0 - HEADER_MM, 216.0, 216.0 + HEADER_MM)
"""Less of the leg, for a map that stands small beside others."""
COUNT_MM = 15.0
FROM_THE_FRONT = coded("drawn_front")
"""For a clinic's eyes, which are no helper's."""
DOTS_MM = 6.5
MEASURED_FROM: tuple[Landmark, Landmark] = ("bony_bump", "upper_edge")
"""The two ends of what is measured."""
POINTS: dict[Viewpoint, str] = {"own": "point_R", "helper": "point_L"}
"""The hand that points, from the outer side."""
ZONES: dict[Zone, Coded] = {
    "above": coded("zone_above"),
    "below": coded("zone_below"),
    "inner_edge": coded("zone_inner_edge"),
    "outer_edge": coded("zone_outer_edge"),
    "behind_kneecap": coded("zone_behind_kneecap"),
    "inner_joint_line": coded("zone_inner_joint_line"),
    "outer_joint_line": coded("zone_outer_joint_line"),
    "back_of_knee": coded("zone_back_of_knee"),
    "elsewhere": coded("zone_elsewhere"),
}
LANDMARKS: dict[Landmark, Coded] = {
    "inner_edge": coded("landmark_inner_edge"),
    "outer_edge": coded("landmark_outer_edge"),
    "upper_edge": coded("landmark_upper_edge"),
    "lower_edge": coded("landmark_lower_edge"),
    "tendon": coded("landmark_tendon"),
    "bony_bump": coded("landmark_bony_bump"),
    "inner_hollow": coded("landmark_inner_hollow"),
    "outer_hollow": coded("landmark_outer_hollow"),
    "thigh_inner": coded("landmark_thigh_inner"),
    "thigh_outer": coded("landmark_thigh_outer"),
}


@dataclass(frozen=True)
class DrawnZones:
    """The sore zones of one knee where they lie on the page."""

    areas: Mapping[Zone, Path]

    def at(self, point: Point) -> Zone | None:
        """The zone a place of the page lies in; None beside all of them."""
        return next((zone for zone, area in self.areas.items() if inside(point, area.chords)), None)

    def middle(self, zone: Zone) -> Point:
        """The middle of a zone. Raises KeyError for one the front does not show."""
        chords = self.areas[zone].chords
        return sum(chords) / len(chords)


def zone_map(knee: Knee, bare: BareKnee, side: Side) -> DrawnZones:
    """Each zone of this knee on its drawn skin, without what goes round the side of the leg."""
    return DrawnZones(
        {
            zone: mirrored([Shape("zone", bare.skin.area(area))], side)[0].path
            for zone, area in knee.zones.items()
        }
    )


def zones_picture(
    knee: Knee,
    bare: BareKnee,
    view: View,
    marked: Collection[Zone] = (),
    *,
    counts: Mapping[Zone, int] | None = None,
    told: Coded | None = None,
) -> Drawing:
    """The sore zones of a knee, the marked ones dotted; with `counts`, how often each was named.

    `told` stands on the picture, such as what was counted. The back of the knee and "elsewhere"
    are told in words, since the front does not show them. Nothing is said of a knee that was not
    measured: zones need no measure.
    """
    zones, often = zone_map(knee, bare, view.side), counts or {}
    items: list[Shape | DrawnWords] = [*mirrored(bare_shapes(knee, bare), view.side)]
    for zone, path in zones.areas.items():
        heavy = zone in marked or bool(often.get(zone))
        weight: Weight = "heavy" if heavy else "light"
        items.append(Shape("zone", path, weight, dashed=not heavy, name=f"zone-{zone}"))
        if zone in marked:
            items += [Shape("zone", ellipse(at, 1.7, 1.7), "none", "ink") for at in _dots(path)]
    for zone in zones.areas:
        if zone in often:
            number, at = coded("drawn_number", number=often[zone]), zones.middle(zone)
            low = at + COUNT_MM * 0.36j
            items.append(DrawnWords(number, low, COUNT_MM, bold=True, halo=True))
    counted = {
        zone: coded("drawn_zone_count", zone=ZONES[zone], count=n) for zone, n in often.items() if n
    }
    said = {
        zone: counted.get(zone, ZONES[zone]) for zone in ZONES if zone in marked or zone in counted
    }
    named = [said[zone] for zone in zones.areas if zone in said]
    beside = [words for zone, words in said.items() if zone not in zones.areas]
    what = coded("drawn_zones")
    if named:
        what = coded("drawn_zones_named", zones=reduce(_listed, named))
    extra = [] if told is None else [told]
    if beside:
        extra.append(reduce(_listed_apart, beside))
    if counts is None:
        return framed(view, items, what, *extra)
    seen = FROM_THE_FRONT if view.viewpoint == "helper" else None
    return framed(view, items, what, *extra, frame=COUNTED_FRAME, seen=seen)


def _listed(first: Coded, then: Coded) -> Coded:
    return coded("drawn_listed", first=first, then=then)


def _listed_apart(first: Coded, then: Coded) -> Coded:
    return coded("drawn_listed_apart", first=first, then=then)


def _dots(path: Path) -> list[Point]:
    """Points of an even grid inside a closed path, clear of its line."""
    ring = path.chords
    left, right = min(p.real for p in ring), max(p.real for p in ring)
    top, bottom = min(p.imag for p in ring), max(p.imag for p in ring)
    middle = complex((left + right) / 2, (top + bottom) / 2)
    across, down = int((right - left) / 2 / DOTS_MM) + 1, int((bottom - top) / 2 / DOTS_MM) + 1
    grid = [
        middle + complex(x * DOTS_MM + (DOTS_MM / 2 if y % 2 else 0), y * DOTS_MM)
        for y in range(-down, down + 1)
        for x in range(-across, across + 1)
    ]
    clear = (0j, 2.6 + 0j, -2.6 + 0j, 2.6j, -2.6j)
    return [dot for dot in grid if all(inside(dot + off, ring) for off in clear)]


def landmark_picture(
    landmark: Landmark, knee: Knee, bare: BareKnee, view: View, hands: Hands, who: Coded
) -> Drawing:
    """How to find a landmark: a finger on it, and its name; `who` says whose finger."""
    place = knee.landmark(landmark)
    shapes = [
        *bare_shapes(knee, bare),
        *placed_hand(hands(POINTS[view.viewpoint]), knee, bare, place),
    ]
    at = bare.skin.on_page(place)
    shapes += [Shape("mark", ellipse(at, 15, 15), "halo"), Shape("mark", ellipse(at, 15, 15))]
    told = coded("drawn_points", finger=who, place=LANDMARKS[landmark])
    return framed(view, [*mirrored(shapes, view.side)], told, note=knee)


def measuring_picture(knee: Knee, bare: BareKnee, view: View) -> Drawing:
    """What is measured: along the skin from the bony bump to the kneecap's upper edge."""
    low, high = (knee.landmark(name) for name in MEASURED_FROM)
    lines = bare.skin.lines(straight([low, high]))
    lines += [path for at in (low, high) for path in bare.skin.lines(straight([at - 11, at + 11]))]
    shapes = [*bare_shapes(knee, bare)]
    shapes += [Shape("mark", line, "halo") for line in lines]
    shapes += [Shape("mark", line, "heavy") for line in lines]
    items: list[Shape | DrawnWords] = [*mirrored(shapes, view.side)]
    names = (coded("drawn_bony_bump"), coded("drawn_upper_edge"))
    for beside, place in zip(names, (low, high), strict=True):
        at, edge = bare.skin.on_page(place), bare.skin.outer_rim(place.imag)
        off = 1 if edge.real > at.real else -1
        begin, words = at + 14 * off, complex(edge.real + 6 * off, at.imag)
        if view.side == "left":
            begin, words, off = -begin.conjugate(), -words.conjugate(), -off
        items.append(Shape("mark", straight([begin, words - 4 * off])))
        align: Literal["left", "right"] = "left" if off > 0 else "right"
        items.append(DrawnWords(beside, words + 1j, SMALL_WORDS_MM, align, halo=True))
    what, extra = coded("drawn_measuring"), coded("drawn_measuring_note")
    return framed(view, items, what, extra, note=knee)
