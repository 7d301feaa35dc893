"""How the hands move for a technique, from its contact, motion and anchors.

Paths are in the knee's frame, from landmark to landmark. Hands are on the page, because they come
from the person who uses them: always from below. `t` runs from 0 at the start to 1 at the end.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from companion.care.catalogue import HandContact, Landmark, Motion, Step, TechniqueSheet
from companion.picture.curves import Path, Point, through, unit
from companion.picture.drawing import Shape
from companion.picture.hands import (
    ACROSS_PINCH,
    Hand,
    HandSide,
    along_hand,
    circle_path,
    fold_shapes,
)
from companion.picture.knee import Knee
from companion.picture.views import View

RIM_DEGREES: dict[Landmark, float] = {
    "inner_edge": 0.0,
    "upper_edge": 90.0,
    "outer_edge": 180.0,
    "lower_edge": 270.0,
}
_OPPOSITE = {
    frozenset({"inner_edge", "outer_edge"}),
    frozenset({"inner_hollow", "outer_hollow"}),
    frozenset({"thigh_inner", "thigh_outer"}),
}
SHIFT_MM = 8.0
"""How far a shifted kneecap is drawn from its place; a little, and both ways (C)."""
CONTACT_OFF_MM = 3.0
ARROW_OFF_MM = 9.0
"""Off the kneecap's rim: where a thumb glides, and where its arrow is drawn."""
RING_MM = 20.0
"""Radius of a round arrow: wide enough to be seen round two finger tips."""
PAUSE_SHARE = 0.2
"""Share of a loop in which the hands rest before they start again."""


@dataclass(frozen=True, slots=True)
class Movement:
    """A technique on the page: arrows, hands at a time t, and what else moves with them.

    `rings` are round arrows that lie under the hands.
    """

    arrows: tuple[Path, ...]
    hands: Callable[[float], tuple[Hand, ...]]
    kneecap_shift: Callable[[float], Point]
    skin_fold: Callable[[float], list[Shape]]
    both_ways: bool = False
    rings: tuple[Path, ...] = ()


def _still(_t: float) -> Point:
    return 0j


def _no_fold(_t: float) -> list[Shape]:
    return []


def main_step(sheet: TechniqueSheet) -> Step:
    """The step a picture shows: the timed one, else the last that touches something."""
    for step in sheet.steps:
        if step.timed and step.anchors:
            return step
    touching = [step for step in sheet.steps if step.anchors]
    if not touching:
        raise ValueError(f"technique {sheet.id} names no place to touch")
    return touching[-1]


def movement(
    knee: Knee, view: View, contact: HandContact, motion: Motion, anchors: Sequence[Landmark]
) -> Movement:
    """The movement of one step. Raises ValueError when its anchors are too few for its motion."""
    if not anchors:
        raise ValueError("a movement needs a landmark")
    if motion == "shift":
        return _shift(knee, view, anchors)
    if motion == "lift_skin":
        return _lift(knee, view, anchors)
    if motion == "circles":
        return _circles(knee, view, contact, anchors)
    parts = _parts_of(anchors)
    paths = tuple(view.path(_path(knee, part, motion)) for part in parts)
    # The arrow runs beside the edge, so that both are seen.
    arrows = tuple(view.path(_path(knee, part, motion, off_mm=ARROW_OFF_MM)) for part in parts)
    if len(paths) == 2 and contact == "thumbs":
        return _thumbs_apart(paths, arrows)
    return _along(view, contact, paths, arrows)


# ---------------------------------------------------------------- where to


def _parts_of(anchors: Sequence[Landmark]) -> list[tuple[Landmark, ...]]:
    """One run of landmarks, or two that leave the first one for opposite sides."""
    if len(anchors) == 3 and frozenset(anchors[1:]) in _OPPOSITE:
        return [(anchors[0], anchors[1]), (anchors[0], anchors[2])]
    return [tuple(anchors)]


def _path(
    knee: Knee,
    anchors: tuple[Landmark, ...],
    motion: Motion,
    off_mm: float = CONTACT_OFF_MM,
) -> Path:
    """The way from landmark to landmark: round the kneecap's rim where it can, else straight."""
    if motion == "glide" and all(name in RIM_DEGREES for name in anchors) and len(anchors) > 1:
        return _along_rim(knee, anchors, off_mm)
    if motion == "stroke" and len(anchors) == 2 and anchors[1].startswith("thigh"):
        return _up_the_thigh(knee, anchors[1])
    points = [knee.landmark(name) for name in anchors]
    if len(points) == 1:
        points.append(points[0] + 12j)
    return through(points)


def _along_rim(knee: Knee, anchors: tuple[Landmark, ...], off_mm: float) -> Path:
    """Along the rim. The ends of an edge are where it turns into the next one, not the poles."""
    degrees = [RIM_DEGREES[anchors[0]]]
    for name in anchors[1:]:
        step = (RIM_DEGREES[name] - degrees[-1] + 180) % 360 - 180
        degrees.append(degrees[-1] + step)
    ends = (degrees[0], degrees[-1])
    if len(anchors) == 2:
        turn = 18 if ends[1] > ends[0] else -18
        low, high = ends[0] + turn * 0.6, ends[1] - turn
    else:
        turn = 34 if ends[1] > ends[0] else -34
        low, high = ends[0] + turn, ends[1] - turn
    return through([knee.kneecap_rim(low + (high - low) * i / 8, off_mm) for i in range(9)])


def _up_the_thigh(knee: Knee, side: Landmark) -> Path:
    sign = 1 if side == "thigh_inner" else -1
    return through(
        [
            complex(sign * 12, knee.top + 14),
            complex(sign * 27, knee.top + 44),
            complex(sign * 36, knee.top + 76),
            complex(sign * 40, knee.top + 108),
        ]
    )


# ---------------------------------------------------------------- hands


def _along(
    view: View, contact: HandContact, paths: tuple[Path, ...], arrows: tuple[Path, ...]
) -> Movement:
    """One contact moving along one path, or along two one after the other."""

    def hands(t: float) -> tuple[Hand, ...]:
        number = min(int(t * len(paths)), len(paths) - 1)
        share = t * len(paths) - number
        path = paths[number]
        return hands_at(view, contact, path.share(share), path)

    return Movement(arrows, hands, _still, _no_fold)


def _side_of_page(at: Point) -> int:
    """-1 when the place is on the left of the page, 1 on the right."""
    return -1 if at.real < 0 else 1


def hands_at(view: View, contact: HandContact, at: Point, path: Path) -> tuple[Hand, ...]:
    """The hand or hands of a contact at one place of their path on the page."""
    if contact == "thumbs":
        # Side by side, from outside the edge, turned towards the kneecap.
        side = _side_of_page(path.share(0.5))
        centre = at + complex(side * 8.0, 0)
        lean = -side * 36.0
        apart = unit(lean) * 7.0
        pair = (
            Hand("thumb", "left", "thumb", centre - apart, lean - 30),
            Hand("thumb", "right", "thumb", centre + apart, lean + 30),
        )
        return pair if side < 0 else pair[::-1]
    turn = 1 if _hand_of(view) == "left" else -1
    if contact == "flat_hand":
        return (Hand("flat", _hand_of(view), "palm", at, turn * 60.0),)
    if contact == "thumb_and_fingers":
        return (_pinch(view, at),)
    return (Hand("pads", _hand_of(view), "pads", at, turn * 52.0),)


def pointing_hand(view: View, at: Point) -> Hand:
    """A finger on one place, from the outer side."""
    turn = 1 if _hand_of(view) == "left" else -1
    return Hand("point", _hand_of(view), "index", at, turn * 56.0)


def _pinch(view: View, at: Point) -> Hand:
    """Thumb and fingers of the hand on the outer side, out of the way of the kneecap."""
    turn = 1 if _hand_of(view) == "left" else -1
    return Hand("pinch", _hand_of(view), "pinch", at, turn * (30.0 if view.hip > 0 else 74.0))


def _hand_of(view: View) -> HandSide:
    """The hand on the outer side of the leg, as its owner sees the leg."""
    return "left" if view.inner > 0 else "right"


def _thumbs_apart(paths: tuple[Path, ...], arrows: tuple[Path, ...]) -> Movement:
    """Thumbs tip to tip, gliding apart."""

    def hands(t: float) -> tuple[Hand, ...]:
        found = []
        for path in paths:
            side = _side_of_page(path.end)
            at = path.share(t) + complex(side * 2.0, 0)
            name: HandSide = "right" if side > 0 else "left"
            found.append(Hand("thumb", name, "thumb", at, -side * 42.0))
        return tuple(found)

    return Movement(arrows, hands, _still, _no_fold)


def _shift(knee: Knee, view: View, anchors: Sequence[Landmark]) -> Movement:
    """The kneecap held at two opposite edges and eased to and fro."""
    if len(anchors) < 2:
        raise ValueError("easing the kneecap needs two opposite edges")
    first, second = view.to_page(knee.landmark(anchors[0])), view.to_page(knee.landmark(anchors[1]))
    way = second - first
    way /= abs(way)
    across = abs(way.real) > abs(way.imag)

    def shift(t: float) -> Point:
        return way * SHIFT_MM * (2 * t - 1)

    def hands(t: float) -> tuple[Hand, ...]:
        move = shift(t)
        if across:
            side = _side_of_page(first)
            thumb: HandSide = "right" if side > 0 else "left"
            pads: HandSide = "left" if side > 0 else "right"
            return (
                Hand("thumb", thumb, "thumb", first + move + complex(side * 1.0, 2), -side * 40.0),
                Hand("pads", pads, "pads", second + move - complex(side * 1.0, -2), side * 62.0),
            )
        return (
            Hand("clamp", "left", "clamp", complex(-14, 0) + move, 90.0),
            Hand("clamp", "right", "clamp", complex(14, 0) + move, -90.0),
        )

    reach = knee.half_width if across else knee.height_mm / 2
    middle = through([-way * reach * 0.72, 0j, way * reach * 0.72])
    return Movement((middle,), hands, shift, _no_fold, both_ways=True)


def _circles(knee: Knee, view: View, contact: HandContact, anchors: Sequence[Landmark]) -> Movement:
    """Small circles: in two opposite hollows at once, or down a line bit by bit."""
    radius = 5.0
    pair = len(anchors) == 2 and frozenset(anchors) in _OPPOSITE
    centres = [view.to_page(knee.landmark(name)) for name in anchors]
    if pair:
        spots = sorted(centres, key=lambda point: point.real)

        def two(t: float) -> tuple[Hand, ...]:
            left, right = spots
            swing = radius * unit(360 * t)
            return (
                Hand("pads", "left", "pads", left + swing, 50.0),
                Hand("pads", "right", "pads", right - swing.conjugate(), -50.0),
            )

        # On a small knee the two arrows would run into each other.
        ring_mm = min(RING_MM, abs(spots[1].real) * 0.82)
        rings = (
            circle_path(spots[0], ring_mm, 150, 270),
            circle_path(spots[1], ring_mm, 30, -270),
        )
        return Movement(rings, two, _still, _no_fold)
    line = through(centres) if len(centres) > 1 else through([centres[0], centres[0] + 0.01])
    turns = 3

    turn = 1 if _hand_of(view) == "left" else -1

    def one(t: float) -> tuple[Hand, ...]:
        swing = radius * unit(360 * turns * t)
        at = line.share(t) + complex(swing.real * turn, swing.imag)
        return hands_at(view, contact, at, line)

    begin = 90 + turn * 60
    ring = circle_path(line.start, RING_MM * 0.85, begin, turn * 270)
    onward: tuple[Path, ...] = ()
    if line.length_mm > 8:
        way = line.end - line.start
        onward = (
            through([line.start + way * 0.55, line.start + way * 0.9, line.end + way * 0.35]),
        )
    return Movement((ring, *onward), one, _still, _no_fold)


def _lift(knee: Knee, view: View, anchors: Sequence[Landmark]) -> Movement:
    """Skin taken up between thumb and fingers, place after place round the kneecap."""
    off = 17.0
    names = [name for name in anchors if name in RIM_DEGREES]
    if not names:
        names = ["upper_edge"]
    degrees = [RIM_DEGREES[names[0]]]
    for name in names[1:]:
        step = (RIM_DEGREES[name] - degrees[-1] + 180) % 360 - 180
        degrees.append(degrees[-1] + step)
    low, high = degrees[0], degrees[-1]
    ring = view.path(
        through([knee.kneecap_rim(low + (high - low) * i / 12, off) for i in range(13)])
        if high != low
        else through([knee.kneecap_rim(low, off), knee.kneecap_rim(low + 20, off)])
    )

    def hands(t: float) -> tuple[Hand, ...]:
        return (_pinch(view, ring.share(t)),)

    def fold(t: float) -> list[Shape]:
        hand = _pinch(view, ring.share(t))
        return fold_shapes(hand.at, along_hand(hand, ACROSS_PINCH))

    return Movement((), hands, _still, fold, rings=(ring,))


def loop_times(frames: int) -> tuple[float, ...]:
    """Times of a calm loop: there, a pause, and from the start again."""
    if frames < 2:
        raise ValueError("a loop needs at least two frames")
    moving = max(1, round(frames * (1 - PAUSE_SHARE)))
    return tuple(min(i / moving, 1.0) for i in range(frames))
