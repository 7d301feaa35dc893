"""Hands seen from their backs, as the person who owns them sees them.

A pose is described for a right hand in its own frame: first axis to the right, second to the
finger tips, origin in the middle of the wrist, life size in millimetres. `hand_shapes` puts one
of its tips on a point of the page, turned, and mirrored for a left hand. Hands come from where
their owner is, so they belong to the page and never to the knee's frame.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from companion.picture.curves import Path, Point, through, unit
from companion.picture.drawing import Shape
from companion.picture.views import View

HandSide = Literal["left", "right"]
PoseName = Literal["flat", "pads", "point"]
Tip = Literal["index", "pads", "palm"]

SCALE = 0.74
"""Hands are drawn smaller than life beside the knee, so that they hide less of it."""


@dataclass(frozen=True, slots=True)
class Digit:
    """A thumb or finger: its middle line from the base, and its half widths at both ends."""

    line: tuple[Point, ...]
    base: float
    tip: float
    nail: bool = True


@dataclass(frozen=True, slots=True)
class Pose:
    """The digits, the last one on top, where on the hand the tips are, and how far the wrist bends
    the forearm to the little finger's side, in degrees."""

    digits: tuple[Digit, ...]
    tips: tuple[tuple[Tip, Point], ...]
    wrist: float = 0.0


@dataclass(frozen=True, slots=True)
class Hand:
    """One hand on the page: `tip` lies on `at`; turned by `turn` degrees, clockwise on the page,
    from fingers pointing up."""

    pose: PoseName
    side: HandSide
    tip: Tip
    at: Point
    turn: float = 0.0


def _line(*pairs: tuple[float, float]) -> tuple[Point, ...]:
    return tuple(complex(x, y) for x, y in pairs)


_PALM = _line(
    (-32, -260), (-30, -150), (-28, -70), (-26.5, -30), (-26.5, -4), (-30, 16), (-34, 40),
    (-36, 66), (-35, 84), (-27, 92), (-10, 97), (10, 94), (27, 86), (36, 72), (36.5, 46), (33, 16),
    (27, -4), (27, -30), (29, -70), (32, -150), (34, -260),
)  # fmt: skip


def _thumb(*pairs: tuple[float, float]) -> Digit:
    return Digit(_line((-13, 24), *pairs), 14.5, 9.4)


def _index(*pairs: tuple[float, float], nail: bool = True) -> Digit:
    return Digit(_line((-24.0, 76), *pairs), 9.8, 7.6, nail)


def _middle(*pairs: tuple[float, float], nail: bool = True) -> Digit:
    return Digit(_line((-8.5, 85), *pairs), 10.2, 8.0, nail)


def _ring(*pairs: tuple[float, float], nail: bool = True) -> Digit:
    return Digit(_line((10.5, 82), *pairs), 9.8, 7.6, nail)


def _little(*pairs: tuple[float, float], nail: bool = True) -> Digit:
    return Digit(_line((25.5, 66), *pairs), 8.4, 6.6, nail)


_POSES: dict[PoseName, Pose] = {
    "flat": Pose(
        (
            _thumb((-43, 52), (-54, 74), (-60, 100)),
            _little((33, 104), (39, 134)),
            _ring((14.5, 124), (17, 162)),
            _middle((-8.5, 130), (-8, 171)),
            _index((-31, 122), (-33.5, 158)),
        ),
        (("index", -33.5 + 158j), ("palm", 0 + 92j)),
    ),
    "pads": Pose(
        (
            _thumb((-40, 50), (-48, 72), (-50, 96)),
            _little((32, 88), (33, 98), nail=False),
            _ring((13, 100), (14, 112), nail=False),
            _middle((-9, 126), (-11, 165)),
            _index((-28.5, 120), (-29.5, 156)),
        ),
        (("pads", -20.5 + 164j), ("index", -29.5 + 162j)),
    ),
    "point": Pose(
        (
            _thumb((-40, 50), (-46, 70), (-40, 92)),
            _little((31, 86), (31, 94), nail=False),
            _ring((12.5, 98), (12.5, 108), nail=False),
            _middle((-8, 104), (-8, 114), nail=False),
            _index((-27, 120), (-28, 156)),
        ),
        (("index", -28 + 160j),),
    ),
}


def along_hand(hand: Hand, direction: Point) -> Point:
    """A direction of the hand's own frame as it lies on the page."""
    mirror = -1 if hand.side == "left" else 1
    return complex(direction.real * mirror, -direction.imag) * unit(hand.turn)


def hand_of(view: View) -> HandSide:
    """The hand on the outer side of the leg, as its owner sees the leg."""
    return "left" if view.inner > 0 else "right"


def pointing_hand(view: View, at: Point) -> Hand:
    """A finger on one place, from the outer side."""
    turn = 1 if hand_of(view) == "left" else -1
    return Hand("point", hand_of(view), "index", at, turn * 56.0)


def hand_shapes(hand: Hand) -> list[Shape]:
    """The hand as shapes: each part is filled with paper, so it hides what lies below it."""
    anchor = dict(_POSES[hand.pose].tips)[hand.tip]

    def place(point: Point) -> Point:
        return hand.at + along_hand(hand, (point - anchor) * SCALE)

    found: list[Shape] = []
    for part in _parts(hand.pose):
        path = part.path.moved(place)
        if part.kind == "edge":
            found.append(Shape("hand", path, "under"))
        elif part.kind == "fill":
            found.append(Shape("hand", path, "none", "paper"))
        else:
            found.append(Shape("hand", path, "light"))
    return found


@dataclass(frozen=True, slots=True)
class _Part:
    path: Path
    kind: Literal["edge", "fill", "line"]


@lru_cache(maxsize=16)
def _parts(name: PoseName) -> tuple[_Part, ...]:
    pose = _POSES[name]
    palm = _palm(pose.wrist)
    parts: list[_Part] = []
    for digit in pose.digits:
        outline = _outline(digit)
        parts += [_Part(outline, "edge"), _Part(outline, "fill")]
    parts += [_Part(palm, "edge"), _Part(palm, "fill")]
    # Palm and digits are one skin: the palm's line is filled over where a digit leaves it.
    parts += [_Part(_outline(digit, until=0.34), "fill") for digit in pose.digits]
    parts += [_Part(_nail(digit), "line") for digit in pose.digits if digit.nail]
    return tuple(parts)


def _palm(wrist: float) -> Path:
    """Back of the hand and forearm, the forearm bent at the wrist."""

    def bent(point: Point) -> Point:
        # The bend is shared out over the length of the wrist.
        share = min(max((4 - point.imag) / 80, 0.0), 1.0)
        return (point + 4j) * unit(wrist * share) - 4j

    return through([bent(point) for point in _PALM])


def _outline(digit: Digit, *, until: float = 1.0) -> Path:
    """The closed outline of a digit, or of its beginning, with a round end."""
    middle = through(digit.line)
    count = 6
    left: list[Point] = []
    right: list[Point] = []
    reach = digit.base
    for i in range(count + 1):
        share = until * i / count
        reach = digit.base + (digit.tip - digit.base) * share**0.8
        at = middle.share(share)
        normal = middle.direction(share * middle.length_mm) * 1j
        left.append(at + normal * reach)
        right.append(at - normal * reach)
    end = middle.share(until)
    along = middle.direction(until * middle.length_mm)
    cap = [end + along * unit(angle) * reach * (1.0 if angle else 1.06) for angle in (50, 0, -50)]
    return through([*left, *cap, *reversed(right)], closed=True)


def _nail(digit: Digit) -> Path:
    """A nail: a small arch open towards the tip."""
    middle = through(digit.line)
    along = middle.direction(middle.length_mm)
    across = along * 1j
    reach = digit.tip * 0.56
    tip = middle.end + along * digit.tip * 0.62
    return through(
        [
            tip + across * reach,
            tip + across * reach * 1.02 - along * reach * 1.0,
            tip + across * reach * 0.6 - along * reach * 1.75,
            tip - along * reach * 1.95,
            tip - across * reach * 0.6 - along * reach * 1.75,
            tip - across * reach * 1.02 - along * reach * 1.0,
            tip - across * reach,
        ]
    )
