"""What tape may leave on the skin, drawn on the skin itself, and where a test piece goes.

Every finding can be told without colour: by dots, lines and shapes of its own.
"""

from __future__ import annotations

from dataclasses import replace

from companion.care.coded import Coded, coded
from companion.care.records import Side, Skin
from companion.picture.board import (
    BareKnee,
    Hands,
    bare_shapes,
    hand_shapes,
    mirrored,
    moved_hand,
)
from companion.picture.curves import Point, ellipse, straight, through
from companion.picture.drawing import Drawing, DrawnWords, Frame, Shape, described
from companion.picture.knee import Knee
from companion.picture.leg import HEADER_MM, KNEES
from companion.picture.scenes import framed
from companion.picture.tape import Laid, Strip, band, lay, strip_shapes
from companion.picture.told import Doing, doing_words
from companion.picture.views import View

NEARER = 2.0
"""A finding is drawn so many times as large as a knee."""
FRAME = Frame(-78.0, -96.0, 156.0, 166.0)
WORDS_MM = 17.0
PIECE_WIDE_MM, PIECE_LONG_MM = 25.0, 32.0
"""A test piece is about as large as a stamp (C)."""
FINDINGS: dict[Skin, Coded] = {
    "clear": coded("finding_clear"),
    "pink": coded("finding_pink"),
    "red": coded("finding_red"),
    "itchy": coded("finding_itchy"),
    "blister": coded("finding_blister"),
    "broken": coded("finding_broken"),
}
_TOLD: dict[Skin, Coded] = {
    "clear": coded("finding_told_clear"),
    "pink": coded("finding_told_pink"),
    "red": coded("finding_told_red"),
    "itchy": coded("finding_told_itchy"),
    "blister": coded("finding_told_blister"),
    "broken": coded("finding_told_broken"),
}


def finding_picture(knee: Knee, bare: BareKnee, laid: Laid, side: Side, skin: Skin) -> Drawing:
    """What one answer means, where this tape was: nearer than a knee is drawn."""
    middle = laid.on_page(laid.long_mm * 0.55, 0.0)[0]
    shapes = (*bare_shapes(knee, bare), *_finding(laid, skin))
    nearer = [replace(one, path=one.path.moved(lambda p: (p - middle) * NEARER)) for one in shapes]
    top, left = FRAME.top + 26, FRAME.left
    corners = ((left - 5, FRAME.top - 5), (FRAME.right + 5, FRAME.top - 5),
               (FRAME.right + 5, top), (left - 5, top))  # fmt: skip
    ground = straight([complex(x, y) for x, y in corners], closed=True)
    words = DrawnWords(FINDINGS[skin], complex(left + 3, top - 8), WORDS_MM, "left", bold=True)
    items: list[Shape | DrawnWords] = [*mirrored(nearer, side)]
    items += [Shape("figure", ground, "light", "paper"), words]
    told = described((KNEES[side], FINDINGS[skin], _TOLD[skin]))
    return Drawing(FRAME, tuple(items), told)


def _finding(laid: Laid, skin: Skin) -> list[Shape]:
    """The skin where a strip was."""
    where = Shape("mark", band(laid), "light", dashed=True, name=f"finding-{skin}")
    match skin:
        case "clear":
            return [where]
        case "pink":
            tint = Shape("mark", band(laid), "none", "flush")
            return [tint, where, *_spots(laid, 9.0, 0.8)]
        case "red":
            tint = Shape("mark", band(laid), "none", "flush")
            edge = Shape("mark", band(laid), "heavy", name=f"finding-{skin}")
            return [tint, edge, *_spots(laid, 4.2, 0.8)]
        case "itchy":
            return [where, *_bumps(laid), *_scratches(laid)]
        case "blister":
            return [where, *_blisters(laid)]
        case "broken":
            return [where, *_tear(laid), *_bruise(laid)]


def _spots(laid: Laid, step: float, size: float) -> list[Shape]:
    half, made = laid.strip.width_mm / 2, list[Shape]()
    for row in range(1, int(laid.long_mm / step)):
        for k in range(-6, 7):
            across = (k + row % 2 / 2) * step / half
            if abs(across) < 1 - 2 / half:
                at, facing = laid.on_page(row * step, across)
                if facing > 0.2:
                    made.append(Shape("mark", ellipse(at, size, size), "none", "ink"))
    return made


def _at(laid: Laid, along: float, across: float) -> Point:
    return laid.on_page(laid.long_mm * along, across)[0]


def _bumps(laid: Laid) -> list[Shape]:
    """Small raised spots in a group: a rash."""
    places = [(0.3, -0.5), (0.36, 0.1), (0.42, -0.3), (0.45, 0.5), (0.52, 0.05), (0.58, -0.5),
              (0.62, 0.4), (0.69, -0.05)]  # fmt: skip
    return [
        Shape("mark", ellipse(_at(laid, *place), 2.2, 2.2), "light", "flush") for place in places
    ]


def _scratches(laid: Laid) -> list[Shape]:
    """Wavy lines beside it: it itches."""
    made = []
    for off in (7.0, 12.0):
        line = []
        for k in range(9):
            edge, inside_it = _at(laid, 0.3 + k * 0.05, -1.0), _at(laid, 0.3 + k * 0.05, 0.0)
            out = (edge - inside_it) / abs(edge - inside_it)
            line.append(edge + out * (off + (1.7 if k % 2 else -1.7)))
        made.append(Shape("mark", through(line), "light"))
    return made


def _blisters(laid: Laid) -> list[Shape]:
    """Bubbles with a light on them."""
    made = []
    for along, across, size in ((0.4, -0.2, 6.5), (0.58, 0.35, 4.5), (0.66, -0.35, 3.5)):
        at = _at(laid, along, across)
        rim = ((-0.5, 0.05), (-0.33, -0.38), (0.11, -0.55))
        light = [at + size * complex(*one) for one in rim]
        made += [
            Shape("mark", ellipse(at, size, size * 0.8), "heavy", "skin"),
            Shape("mark", through(light), "light"),
        ]
    return made


def _tear(laid: Laid) -> list[Shape]:
    """A corner of skin torn up, raw under it."""
    rim = ((0.28, -0.3), (0.34, -0.75), (0.47, -0.6), (0.57, -0.1), (0.5, 0.3), (0.37, 0.15))
    raw = [_at(laid, *one) for one in rim]
    flap = [raw[2], raw[3], _at(laid, 0.66, -0.2), _at(laid, 0.6, -0.75)]
    return [
        Shape("mark", straight(raw, closed=True), "heavy", "flush"),
        Shape("mark", straight(flap, closed=True), "heavy", "skin"),
    ]


def _bruise(laid: Laid) -> list[Shape]:
    """A blotch, crossed by lines."""
    rim = [_at(laid, a, b) for a, b in ((0.72, -0.5), (0.78, -0.75), (0.9, -0.4), (0.92, 0.4),
                                        (0.83, 0.75), (0.73, 0.3))]  # fmt: skip
    lines = [
        straight([_at(laid, 0.75 + k * 0.045, -0.45), _at(laid, 0.75 + k * 0.045, 0.5)])
        for k in range(4)
    ]
    return [
        Shape("mark", through(rim, closed=True), "light", "flush"),
        *(Shape("mark", line, "light") for line in lines),
    ]


def test_piece(knee: Knee, thigh: BareKnee) -> Laid:
    """A test piece on the inner side of the thigh."""
    at = knee.landmark("thigh_inner")
    middle = straight([at - 1j * PIECE_LONG_MM / 2, at + 1j * PIECE_LONG_MM / 2])
    return lay(thigh.skin, Strip(1, True, middle, 0.0, PIECE_WIDE_MM), PIECE_LONG_MM)


def patch_picture(knee: Knee, thigh: BareKnee, view: View, hands: Hands, what: Coded) -> Drawing:
    """Where a test piece goes: on the inner side of the thigh, laid down by the hand of that
    side."""
    at, laid = knee.landmark("thigh_inner"), test_piece(knee, thigh)
    own = "L" if view.viewpoint == "own" else "R"
    shapes = [*bare_shapes(knee, thigh), *strip_shapes(laid)]
    hand = moved_hand(hands(f"lay_{own}"), thigh.skin, at + 0.3j * PIECE_LONG_MM)
    unseen: tuple[Coded, ...] = ()
    if hand is not None:
        shapes += hand_shapes(knee, thigh, hand)
        doing = Doing(hand.hand, hand.digits, "sticks", knee.named(at))
        unseen = (doing_words(doing, view.side),)
    figure = thigh.figure
    left, top = -figure.origin.real, -figure.origin.imag
    if view.side == "left":
        left = -(left + figure.width_mm)
    frame = Frame(left, top - HEADER_MM, figure.width_mm, figure.height_mm + HEADER_MM)
    return framed(view, mirrored(shapes, view.side), what, frame=frame, unseen=unseen)
