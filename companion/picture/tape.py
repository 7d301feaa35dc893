"""Strips of tape on the knee: their paths from landmarks, and the bands they cover.

Two side strips are anchored on the bony bump, run up beside the kneecap and end at about its upper
edge; two short pieces begin under the lower edge beside the band and run up along the hollows
(fact: tape_placing). A strip as measured or as cut begins on the bump and lies as long as it is
cut, with the plan's stretch between its ends. A strip whose length comes from the path has its ends
beyond both ends of the measured way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import atan2, pi

from companion.care.records import KneeMeasures, TapePlan
from companion.care.strips import StripLength, plan_share, short_piece, side_strip
from companion.picture.curves import Path, Point, ellipse, straight, through, unit
from companion.picture.drawing import Shape
from companion.picture.knee import Knee
from companion.picture.skin import TURNED_AWAY, Skin

CORNER_MM = 8.0
"""Radius of the round corners, as on the cutting sheet (C)."""
MOST_ANCHOR_SHARE = 0.3
"""Of a strip shorter than its two anchors this much is drawn as anchor at each end."""
HATCH_MM = 5.5
DOT_MM = 5.0
OFF_KNEECAP_MM = 1.5
LEAN_DEGREES = 55.0
"""How far from straight up the skin is drawn when it is drawn up and to one side (C)."""
PULL_ARROW_MM = 30.0
BESIDE_MM = 12.0
"""The skin is drawn no further than this from the kneecap's edge (C)."""


@dataclass(frozen=True, slots=True)
class Strip:
    """One strip or piece in the knee's frame.

    `middle` is its middle line from end to end along the skin, from the anchor laid first.
    `anchor_mm` lies at each end, `between_mm` is the stretched way between the anchors.
    """

    number: int
    inner: bool
    middle: Path
    anchor_mm: float
    width_mm: float

    @property
    def path_mm(self) -> float:
        """The whole skin path, end to end."""
        return self.middle.length_mm

    @property
    def between_mm(self) -> float:
        """The skin path between the anchors."""
        return self.path_mm - 2 * self.anchor_mm


@lru_cache(maxsize=64)
def side_strips(knee: Knee, tape: TapePlan) -> tuple[Strip, Strip]:
    """Strip 1 on the inner side and strip 2 on the outer side, mirror images, so equally long."""
    beside = _beside(knee, tape.width_mm)
    start = complex(min(tape.width_mm * 0.16, 7.0), knee.bump)

    def out(share: float, level: float) -> Point:
        return complex(start.real + (beside - start.real) * share, level)

    # The anchor lies on the bump and looks up the leg; only above it the strip turns aside.
    way = [
        start,
        out(0.14, knee.level(-54)),
        out(0.48, knee.level(-36)),
        out(0.84, knee.level(-17)),
        out(1.0, knee.level(0)),
        out(0.98, knee.level(12)),
        out(0.9, knee.top),
    ]
    way = [_off_the_kneecap(knee, point, tape.width_mm) for point in way]
    if tape.length_from == "path":
        reach = tape.anchor_mm
        end = way[-1]
        below = [start - complex(1.0, reach + 6), start - complex(0.2, (reach + 6) / 2)]
        above = [end + complex(-reach * 0.05, reach * 0.5), end + complex(-reach * 0.12, reach + 6)]
        whole = through([*below, *way, *above])
        from_mm = whole.distance_to(start)
        to_mm = whole.distance_to(end)
        middle = whole.between(from_mm - reach, to_mm + reach)
        anchor = reach
    else:
        middle = through(way)
        anchor = min(tape.anchor_mm, middle.length_mm * MOST_ANCHOR_SHARE)
    mirrored = middle.moved(lambda point: -point.conjugate())
    return (
        Strip(1, True, middle, anchor, float(tape.width_mm)),
        Strip(2, False, mirrored, anchor, float(tape.width_mm)),
    )


@lru_cache(maxsize=64)
def short_pieces(knee: Knee, tape: TapePlan) -> tuple[Strip, Strip]:
    """Piece 3 on the inner side of the band and piece 4 on the outer, mirror images."""
    width = float(tape.width_mm)
    near = 3.0 + width / 2
    beside = _beside(knee, width)
    way = [
        complex(near - 1.0, knee.bottom - 21),
        complex(near + 3.5, knee.bottom - 11),
        complex(near + (beside - near) * 0.66, knee.level(-15)),
        complex(beside, knee.level(2)),
    ]
    way = [_off_the_kneecap(knee, point, width) for point in way]
    middle = through(way)
    mirrored = middle.moved(lambda point: -point.conjugate())
    anchor = min(tape.anchor_mm, middle.length_mm * MOST_ANCHOR_SHARE)
    return (
        Strip(3, True, middle, anchor, width),
        Strip(4, False, mirrored, anchor, width),
    )


def side_strip_length(tape: TapePlan, measures: KneeMeasures | None, knee: Knee) -> StripLength:
    """The length of a side strip the way the plan says, with the drawn path of this knee.

    A knee drawn as the typical one lends its path to nobody: then the path is missing.
    """
    if knee.drawn_as != "measured":
        return side_strip(tape, measures)
    strip = side_strips(knee, tape)[0]
    path = strip.between_mm if tape.length_from == "path" else strip.path_mm
    return side_strip(tape, measures, path)


def short_piece_length(tape: TapePlan, measures: KneeMeasures | None, knee: Knee) -> StripLength:
    """The length of a short piece: as cut in the clinic, else from its drawn path.

    A short piece has no room for the anchors of a side strip: they are as short as they are drawn.
    """
    cut = None if measures is None or measures.cut is None else measures.cut.short_piece_mm
    if knee.drawn_as != "measured" or cut is not None:
        return short_piece(tape, measures)
    piece = short_pieces(knee, tape)[0]
    return short_piece(replace(tape, anchor_mm=piece.anchor_mm), measures, piece.between_mm)


def _beside(knee: Knee, width_mm: float) -> float:
    """How far from the middle a side strip runs beside the kneecap: clear of it. A wide one turns
    round the side of the leg."""
    return knee.half_width + OFF_KNEECAP_MM + width_mm / 2


def _off_the_kneecap(knee: Knee, point: Point, width_mm: float) -> Point:
    """The same point, or farther out where a strip over it would lie on the kneecap."""
    degrees = atan2(point.imag, point.real) * 180 / pi
    least = abs(knee.kneecap_rim(degrees)) + OFF_KNEECAP_MM + width_mm / 2
    return point * max(1.0, least / abs(point))


def laid_mm(strip: Strip, tape: TapePlan, length: StripLength) -> float:
    """How much skin a strip covers: as long as it is cut, stretched between its ends as planned.

    One whose length is not known, or comes from the drawn way, covers that way.
    """
    slack = length.slack_mm
    if slack is None or length.way == "path":
        return strip.path_mm
    between = max(slack - 2 * strip.anchor_mm, 0.0)
    return slack + between * (plan_share(tape) or 0.0)


# ---------------------------------------------------------------- on the skin


@dataclass(frozen=True, slots=True)
class Laid:
    """A strip on the skin of one knee: rows across it at even steps from the end laid first.

    Of each point its place on the page, and how much the skin there looks towards the eye;
    `slack_mm` is its length off its paper, where that is known.
    """

    strip: Strip
    long_mm: float
    slack_mm: float | None
    rows: tuple[tuple[tuple[Point, float], ...], ...]
    middle: tuple[Point, ...]
    """Its middle line in the knee's frame, as many points as rows."""

    def on_page(self, along_mm: float, across: float) -> tuple[Point, float]:
        """A place of the strip, `across` -1 to 1 from its right to its left edge, as it is laid."""
        a, u = _step(along_mm / self.long_mm, len(self.rows))
        b, v = _step((across + 1) / 2, _ACROSS)
        row, then = self.rows[a], self.rows[a + 1]
        weights = ((1 - u) * (1 - v), (1 - u) * v, u * (1 - v), u * v)
        four = (row[b], row[b + 1], then[b], then[b + 1])
        at = sum((w * one[0] for w, one in zip(weights, four, strict=True)), 0j)
        return at, sum(w * one[1] for w, one in zip(weights, four, strict=True))

    def place(self, along_mm: float) -> Point:
        """The place of the knee under its middle line there."""
        a, u = _step(along_mm / self.long_mm, len(self.middle))
        return self.middle[a] * (1 - u) + self.middle[a + 1] * u

    def line(self, from_share: float, to_share: float) -> Path:
        """A part of its middle line on the page."""
        step = (to_share - from_share) * self.long_mm / 12
        stops = [from_share * self.long_mm + step * k for k in range(13)]
        return straight([self.on_page(stop, 0.0)[0] for stop in stops])

    def edges(self, along_mm: float, wide: float = 1.0) -> tuple[Point, Point] | None:
        """Its right and left edge on the page, or where it goes out of sight; None when all of
        it there is out of sight. `wide` is the share of its width that is there."""
        seen = [self.on_page(along_mm, -wide + 2 * wide * k / _CUTS) for k in range(_CUTS + 1)]
        shown = [k for k, (_, facing) in enumerate(seen) if facing > TURNED_AWAY]
        if not shown:
            return None
        first, last = shown[0], shown[-1]
        right, left = seen[first][0], seen[last][0]
        if first > 0:
            right = _rim_between(seen[first - 1], seen[first])
        if last < _CUTS:
            left = _rim_between(seen[last + 1], seen[last])
        return right, left


_ACROSS = 7
_CUTS = 8
_ROW_MM = 3.0
BEYOND_MM = 140.0
"""A strip may be so much longer than the way that is drawn for it (C: longer than any)."""


def _step(share: float, count: int) -> tuple[int, float]:
    at = min(max(share, 0.0), 1.0) * (count - 1)
    index = min(int(at), count - 2)
    return index, at - index


def _rim_between(hidden: tuple[Point, float], seen: tuple[Point, float]) -> Point:
    share = (TURNED_AWAY - hidden[1]) / (seen[1] - hidden[1])
    return hidden[0] + (seen[0] - hidden[0]) * share


@lru_cache(maxsize=64)
def lay(
    skin: Skin,
    strip: Strip,
    long_mm: float,
    slack_mm: float | None = None,
    *,
    shown_on: Skin | None = None,
) -> Laid:
    """A strip on the skin, so many millimetres of it from its first end on; with `shown_on` as it
    is seen where the same skin has another posture."""
    page = shown_on or skin
    middle = strip.middle
    ahead = middle.end + middle.direction(middle.length_mm) * BEYOND_MM
    way = (*middle.chords, *straight([middle.end, ahead]).chords[1:])
    count = max(8, round(long_mm / _ROW_MM))
    points = skin.walked(way, 0.0, long_mm, count)
    rows = []
    for i, at in enumerate(points):
        ways = points[min(i + 1, count)] - points[max(i - 1, 0)]
        row = []
        for k in range(_ACROSS):
            beside = skin.beside(at, ways, strip.width_mm / 2 * (2 * k / (_ACROSS - 1) - 1))
            row.append((page.on_page(beside), page.facing(beside)))
        rows.append(tuple(row))
    return Laid(strip, long_mm, slack_mm, tuple(rows), tuple(points))


def band(laid: Laid, from_mm: float = 0.0, to_mm: float | None = None) -> Path:
    """The area of a strip on the page, or of a part of it: round corners at its own ends, and what
    goes round the side of the leg ends at its outline."""
    end = laid.long_mm if to_mm is None else to_mm
    half = laid.strip.width_mm / 2
    corner = min(CORNER_MM, half * 0.8, laid.long_mm / 3)
    stops = {from_mm + (end - from_mm) * i / 24 for i in range(25)}
    for off in (0.0, 0.4, 0.9, 1.6, 2.6, 3.8, 5.2):
        stops |= {stop for stop in (off, laid.long_mm - off) if from_mm <= stop <= end}
    right, left = list[Point](), list[Point]()
    for stop in sorted(stops):
        near = max(min(stop, laid.long_mm - stop), 0.0)
        wide = half
        if near < corner:
            wide = half - corner + (corner**2 - (corner - near) ** 2) ** 0.5
        edges = laid.edges(stop, wide / half)
        if edges is not None:
            right.append(edges[0])
            left.append(edges[1])
    return straight([*left, *reversed(right)], closed=True)


def strip_shapes(laid: Laid, on_mm: float | None = None) -> list[Shape]:
    """A strip on the page: its area, and what is laid without stretch hatched; a short piece is
    dotted all over. With `on_mm` only so much is on the skin, the rest a broken line."""
    strip, whole = laid.strip, on_mm is None
    end = laid.long_mm if on_mm is None else on_mm
    name = f"strip-{strip.number}"
    found: list[Shape] = []
    if not whole:
        found.append(Shape("tape", band(laid, end), "light", dashed=True))
    short = strip.number > 2
    found.append(
        Shape("tape", band(laid, 0.0, end), "heavy", "piece" if short else "tape", name=name)
    )
    if short:
        return [*found, *_dots(laid, end)]
    ends = [(0.0, min(strip.anchor_mm, end))]
    if whole:
        ends.append((laid.long_mm - strip.anchor_mm, laid.long_mm))
    return [*found, *(Shape("anchor", one, "light") for a, b in ends for one in _hatch(laid, a, b))]


def _seen_line(laid: Laid, ends: Sequence[tuple[float, float]]) -> list[Path]:
    """A line through places of a strip (along, across), without what is out of sight."""
    points = [laid.on_page(*one) for one in ends]
    shown = [at for at, facing in points if facing > TURNED_AWAY]
    return [straight(shown)] if len(shown) > 1 else []


def _hatch(laid: Laid, low: float, high: float) -> list[Path]:
    """Slanting lines across a part of a strip, and a line where the part ends."""
    half = laid.strip.width_mm / 2
    slant, inset = half * 0.9, 1 - 1.6 / half
    lines = []
    for i in range(int((high - low + slant) // HATCH_MM) + 1):
        foot = low - slant + i * HATCH_MM + 2.0
        # Where a slanting line leaves the part it is cut short, not bent.
        begin, end = max(foot, low + 1.5), min(foot + slant, high)
        if end - begin >= 1.0:
            stops = [begin + (end - begin) * k / 6 for k in range(7)]
            lines += _seen_line(
                laid, [(stop, inset * (2 * (stop - foot) / slant - 1)) for stop in stops]
            )
    for stop in (low, high):
        if 1.0 < stop < laid.long_mm - 1.0:
            lines += _seen_line(laid, [(stop, inset * (k / 3 - 1)) for k in range(7)])
    return lines


def _dots(laid: Laid, end: float) -> list[Shape]:
    """Dots all over a piece."""
    half = laid.strip.width_mm / 2
    found = []
    for i in range(int((end - 4) // DOT_MM)):
        for k in range(-8, 9):
            off = (k + (i % 2) / 2) * DOT_MM
            if abs(off) < half - 3:
                at, facing = laid.on_page(4 + i * DOT_MM, off / half)
                if facing > 0.2:
                    found.append(Shape("anchor", ellipse(at, 0.8, 0.8), "none", "ink"))
    return found


def pull_place(knee: Knee, strip: Strip, tape: TapePlan) -> Point:
    """Where the skin is drawn for a side strip: on its way, close beside the kneecap."""
    levels = {"lower_edge": knee.bottom, "middle": 0.0, "upper_edge": knee.top}
    level = levels[tape.pull_at or "middle"]
    at = min(strip.middle.chords, key=lambda point: abs(point.imag - level))
    across = min(abs(at.real), knee.half_width + BESIDE_MM)
    return complex(across if strip.inner else -across, at.imag)


def pull_way(strip: Strip, tape: TapePlan, at: Point) -> Point:
    """Which way, as one millimetre: up along the strip, or up and to one side."""
    if tape.pull_towards == "inner":
        return unit(90.0 - LEAN_DEGREES)
    if tape.pull_towards == "outer":
        return unit(90.0 + LEAN_DEGREES)
    return strip.middle.direction(strip.middle.distance_to(at))


def pull_arrow(strip: Strip, tape: TapePlan, knee: Knee) -> Path:
    """The arrow of the pull: where the skin is drawn and which way, in the knee's frame."""
    at = pull_place(knee, strip, tape)
    way = pull_way(strip, tape, at)
    return through([at - way * 4, at + way * PULL_ARROW_MM / 2, at + way * PULL_ARROW_MM])
