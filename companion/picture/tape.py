"""Strips of tape on the knee: their paths from landmarks, and the bands they cover.

Two side strips are anchored on the bony bump, run up beside the kneecap and end at about its upper
edge; two short pieces begin under the lower edge beside the band and run up along the hollows
(fact: tape_placing). A strip as measured or as cut covers the measured way from end to end. A strip
whose length comes from the path has its anchors beyond both ends of that way.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from companion.care.coded import coded
from companion.care.records import KneeMeasures, TapePlan
from companion.care.strips import StripLength, short_piece, side_strip
from companion.picture.curves import Path, Point, ellipse, ribbon, straight, through, unit
from companion.picture.drawing import Shape, Words
from companion.picture.hands import Hand
from companion.picture.knee import Knee
from companion.picture.views import View

CORNER_MM = 7.0
SKIN_MARGIN_MM = 1.6
MOST_ANCHOR_SHARE = 0.3
"""Of a strip shorter than its two anchors this much is drawn as anchor at each end."""
HATCH_MM = 5.5
OFF_KNEECAP_MM = 1.5
LEAN_DEGREES = 55.0
"""How far from straight up the skin is drawn when it is drawn up and to one side (C)."""
DRAWN_MM = 9.0
"""How far drawn skin moves on a picture: a little (C)."""
PULL_ARROW_MM = 30.0
BESIDE_MM = 12.0
"""The skin is drawn no further than this from the kneecap's edge (C)."""
BARE_KNEECAP = 0.62
"""The middle of the kneecap, as a share of its width and height, that no tape ever covers."""


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
    """How far from the middle a side strip runs beside the kneecap: clear of it, on the skin.

    The build is left out: a word for the pictures must not change a length that is cut.
    """
    wanted = knee.half_width + OFF_KNEECAP_MM + width_mm / 2
    outer, inner = replace(knee, build=1.0).skin_at(0)
    room = min(inner, -outer) - 6.0
    return min(wanted, room)


# ---------------------------------------------------------------- bands


@lru_cache(maxsize=64)
def band(knee: Knee, strip: Strip) -> Path:
    """The area a strip covers: round corners, cut off at the skin's outline, and never on the
    middle of the kneecap."""
    length, half = strip.path_mm, strip.width_mm / 2
    corner = min(CORNER_MM, half * 0.8)

    def reach(stop: float) -> tuple[float, float]:
        near = min(stop, length - stop)
        wide = half
        if near < corner:
            wide = half - corner + (corner**2 - (corner - near) ** 2) ** 0.5
        at, normal = strip.middle.at(stop), strip.middle.direction(stop) * 1j
        return _free(knee, at, normal, wide), _free(knee, at, -normal, wide)

    return ribbon(strip.middle, reach)


def _free(knee: Knee, at: Point, way: Point, most: float) -> float:
    """How far one can go from a point before the outline of the leg or the kneecap's middle."""

    def allowed(reach: float) -> bool:
        point = at + way * reach
        across = point.real / (knee.half_width * BARE_KNEECAP)
        along = point.imag / (knee.height_mm / 2 * BARE_KNEECAP)
        return knee.on_skin(point, SKIN_MARGIN_MM) and across**2 + along**2 > 1

    if allowed(most):
        return most
    low, high = 0.0, most
    for _ in range(14):
        middle = (low + high) / 2
        low, high = (middle, high) if allowed(middle) else (low, middle)
    return low


def strip_shapes(
    knee: Knee, view: View, strip: Strip, *, laid_mm: float | None = None
) -> list[Shape]:
    """A strip on the page: its band and hatched anchors.

    With `laid_mm` only so much of it is on the skin; where the rest will lie is a broken line.
    """
    laid, whole = strip, laid_mm is None
    found: list[Shape] = []
    if laid_mm is not None:
        laid = replace(strip, middle=strip.middle.between(0.0, laid_mm))
        found.append(Shape("tape", view.path(band(knee, strip)), "light", dashed=True))
    area = band(knee, laid)
    found += [
        Shape("tape", view.path(area), "heavy", "tape", name=f"strip-{strip.number}"),
        Shape("tape_path", view.path(laid.middle), "none", name=f"strip-{strip.number}-path"),
    ]
    ends = [(0.0, min(strip.anchor_mm, laid.path_mm))]
    if whole:
        ends.append((strip.path_mm - strip.anchor_mm, strip.path_mm))
    for low, high in ends:
        found += [
            Shape("anchor", view.path(line), "light") for line in _hatch(knee, laid, low, high)
        ]
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


def pulled_along(strip: Strip, tape: TapePlan) -> bool:
    """Whether a strip is drawn up along itself, at the middle of the kneecap.

    The plan's pull is that of the side strips; short pieces are always drawn gently up along
    themselves.
    """
    usual = tape.pull_at in {None, "middle"} and tape.pull_towards in {None, "up"}
    return usual or strip.number > 2


def pull_arrow(knee: Knee, strip: Strip, tape: TapePlan) -> Path:
    """The arrow on a strip: where and which way it is drawn, in the knee's frame."""
    if pulled_along(strip, tape):
        low, high = strip.anchor_mm, strip.path_mm - strip.anchor_mm
        # Where the stretched part is short the arrow points on over the far end.
        spare = 5.0 if high - low > 40 else 3.0
        end = high - spare * 0.4 if high - low > 24 else min(high + 8.0, strip.path_mm - 4.0)
        return strip.middle.between(low + spare, end, 5.0)
    # It begins a little below, so that the place itself lies under its line.
    at = pull_place(knee, strip, tape)
    return _arrow_from(knee, at, pull_way(strip, tape, at), -6.0)


def draw_arrow(knee: Knee, strip: Strip, tape: TapePlan) -> Path:
    """The arrow of the hand that draws the skin: on from its finger pads, in the knee's frame.

    Drawn towards the side the hand comes from, it would lie on the fingers: then it runs above
    them.
    """
    at = pull_place(knee, strip, tape)
    way = pull_way(strip, tape, at)
    if tape.pull_towards == ("inner" if strip.inner else "outer"):
        return _arrow_from(knee, at + complex(-8.0 if strip.inner else 8.0, 17.0), way, 0.0)
    return _arrow_from(knee, at, way, 8.0)


def _arrow_from(knee: Knee, at: Point, way: Point, from_mm: float) -> Path:
    """A straight arrow from so far off a place, as long as the leg has room for."""
    to_mm = from_mm + PULL_ARROW_MM
    while to_mm > 0 and not knee.on_skin(at + way * to_mm, 3.0):
        to_mm -= 1.0
    from_mm = min(from_mm, to_mm - PULL_ARROW_MM / 2)
    return through([at + way * from_mm, at + way * (from_mm + to_mm) / 2, at + way * to_mm])


def pull_hand(knee: Knee, view: View, strip: Strip, tape: TapePlan, time: float) -> Hand:
    """The finger pads that draw the skin: on their place at time 0, drawn a little at time 1.

    They come from beside the leg on the strip's own side, so that neither strip nor arrow lies
    under them.
    """
    at = pull_place(knee, strip, tape)
    at = view.to_page(at + pull_way(strip, tape, at) * DRAWN_MM * time)
    side = -1 if at.real < 0 else 1
    turn = 80.0 if view.hip > 0 else 98.0
    return Hand("pads", "left" if side < 0 else "right", "pads", at, -side * turn)


def number_shapes(view: View, strip: Strip, at_mm: float) -> list[Shape | Words]:
    """The number of a strip in a disc."""
    at = view.to_page(strip.middle.at(at_mm))
    return [
        Shape("mark", ellipse(at, 8.2, 8.2), "heavy", "paper"),
        Words(coded("drawn_number", number=strip.number), at + 4.3j, 12.0, bold=True),
    ]


@lru_cache(maxsize=128)
def _hatch(knee: Knee, strip: Strip, low: float, high: float) -> tuple[Path, ...]:
    """Slanting lines across a part of a strip, and a line where the part ends."""
    half = strip.width_mm / 2
    inset = 1.6

    def edge(stop: float, side: int) -> Point:
        at = strip.middle.at(stop)
        normal = strip.middle.direction(stop) * 1j * side
        return at + normal * max(_free(knee, at, normal, half) - inset, 0.0)

    lines = []
    slant = half * 0.9
    count = int((high - low + slant) // HATCH_MM)
    for i in range(count + 1):
        foot = low - slant + i * HATCH_MM + 2.0
        head = foot + slant
        # Where a slanting line leaves the part it is cut short, not bent.
        begin, end = max(foot, low + 1.5), min(head, high)
        if end - begin < 1.0:
            continue
        share_a, share_b = (begin - foot) / slant, (end - foot) / slant

        def across(stop: float, share: float) -> Point:
            left, right = edge(stop, 1), edge(stop, -1)
            return left + (right - left) * share

        lines.append(straight([across(begin, share_a), across(end, share_b)]))
    ends = [stop for stop in (low, high) if 1.0 < stop < strip.path_mm - 1.0]
    return (*lines, *(straight([edge(stop, 1), edge(stop, -1)]) for stop in ends))
