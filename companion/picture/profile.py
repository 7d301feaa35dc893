"""The leg from its outer side: how one sits, and how far the knee is bent.

A right leg is seen with its toes to the right, a left leg is its mirror image.
"""

from __future__ import annotations

from companion.care.catalogue import Posture
from companion.care.coded import Coded, coded
from companion.care.records import Side
from companion.picture.curves import Path, Point, ellipse, straight, through, unit
from companion.picture.drawing import Drawing, DrawnWords, Frame, Shape, described
from companion.picture.leg import KNEES, SMALL_WORDS_MM, WORDS_MM, arrow

THIGH_MM, SHIN_MM = 104.0, 100.0
"""Lengths on the page, far smaller than life; thigh to shin as in a grown person (C)."""
FLAT_TO_DEGREES = 20
"""Up to this bend the leg lies along a bed or sofa; beyond it one sits on a chair."""
CHAIR_DEGREES = 78
POSTURES: dict[Posture, Coded] = {
    "sitting_leg_straight": coded("drawn_sitting_straight"),
    "sitting_knee_bent": coded("drawn_sitting_bent"),
    "lying": coded("drawn_lying"),
    "standing": coded("drawn_standing"),
}
WORDS_LEFT_MM = -28.0
"""Words stand over the feet, where a right leg leaves room."""
_FRAME = Frame(-150.0, -140.0, 300.0, 262.0)


def posture_picture(posture: Posture, side: Side, bend_degrees: int | None = None) -> Drawing:
    """The posture from the side; `bend_degrees` (0 to 120) where the plan says how far.

    Raises ValueError for a bend outside that range.
    """
    if bend_degrees is not None and not 0 <= bend_degrees <= 120:
        raise ValueError(f"a knee does not bend {bend_degrees} degrees here")
    bend = bend_degrees
    if bend is None:
        bend = CHAIR_DEGREES if posture == "sitting_knee_bent" else 0
    words = POSTURES[posture]
    if bend_degrees:
        words = coded("drawn_bent", degrees=bend_degrees)
    if posture == "standing":
        items = _standing()
    elif posture == "lying":
        items = _resting(bend, lying=True)
    else:
        items = _resting(bend) if bend <= FLAT_TO_DEGREES else _on_a_chair(bend)
    if side == "left":
        items = [
            Shape(
                item.role, item.path.moved(lambda p: -p.conjugate()), item.weight, item.fill,
                item.dashed, item.name,
            )
            for item in items
        ]  # fmt: skip
    left = _FRAME.left + 10 if side == "left" else WORDS_LEFT_MM
    knee, seen = KNEES[side], coded("drawn_outer_side")
    header: list[Shape | DrawnWords] = [
        DrawnWords(knee, complex(left, _FRAME.top + 22), 17.0, "left", bold=True),
        DrawnWords(seen, complex(left, _FRAME.top + 37.5), WORDS_MM, "left"),
        DrawnWords(words, complex(left, _FRAME.top + 51.5), SMALL_WORDS_MM, "left"),
    ]
    return Drawing(
        _FRAME, (*items, *header), described((coded("drawn_seen", knee=knee, seen=seen), words))
    )


def _resting(bend: int, *, lying: bool = False) -> list[Shape]:
    """Leg along a bed, a rolled towel under the knee."""
    bed = 62.0
    hip = complex(-88, bed - 23)
    lift = min(bend, FLAT_TO_DEGREES) / 2
    knee = hip + THIGH_MM * unit(-lift - 3)
    ankle = knee + SHIN_MM * unit(lift + 4)
    back = -176.0 if lying else -100.0
    shapes = [
        Shape("figure", straight([complex(-170, bed), complex(170, bed)]), "heavy"),
        *_towel(complex(knee.real - 4, bed - 11)),
        *_body(hip, back),
        *_leg(hip, knee, ankle, 0.0),
    ]
    return [*shapes, *_pointer(knee)]


def _on_a_chair(bend: int) -> list[Shape]:
    """Thigh on a seat, shin down to the floor."""
    hip = -82 + 8j
    knee = hip + THIGH_MM * unit(0)
    ankle = knee + SHIN_MM * unit(min(bend, 105))
    floor = max(ankle.imag + 13.0, 100.0)
    seat = hip.imag + 24
    shapes = [
        Shape("figure", straight([complex(-170, floor), complex(170, floor)]), "heavy"),
        Shape("figure", straight([complex(-118, seat), complex(-4, seat)]), "heavy"),
        Shape("figure", straight([complex(-112, seat), complex(-112, floor)]), "light"),
        Shape("figure", straight([complex(-14, seat), complex(-14, floor)]), "light"),
        Shape("figure", straight([complex(-118, seat), complex(-124, -110)]), "light"),
        *_body(hip, -96.0),
        *_leg(hip, knee, ankle, 90.0 if bend > 55 else 20.0),
    ]
    return [*shapes, *_pointer(knee)]


def _standing() -> list[Shape]:
    floor = 112.0
    ankle = complex(-78, floor - 13)
    knee = ankle - SHIN_MM * 1j
    hip = knee - THIGH_MM * 1j
    return [
        Shape("figure", straight([complex(-170, floor), complex(170, floor)]), "heavy"),
        *_body(hip, -90.0),
        *_leg(hip, knee, ankle, 90.0),
        *arrow(straight([knee + 78 - 30j, knee + 28 - 4j]), head_mm=9.0),
    ]


def _pointer(knee: Point) -> list[Shape]:
    """An arrow at the knee this is about."""
    return arrow(straight([knee + 34 - 62j, knee + 8 - 26j]), head_mm=9.0)


def _towel(at: Point) -> list[Shape]:
    roll = through([at + unit(40 * i) * (1.5 + i * 0.72) for i in range(14)])
    return [
        Shape("cloth", ellipse(at, 11, 11), "heavy", "paper"),
        Shape("cloth", roll, "light"),
    ]


def _body(hip: Point, back: float) -> list[Shape]:
    """The trunk from the hip, leaning back."""
    chest = hip + 170 * unit(back)
    return _limb([hip + 2 - 4j, hip + 44 * unit(back), chest], [23.0, 21.0, 26.0])


def _limb(line: list[Point], reach: list[float]) -> list[Shape]:
    """A rounded limb; its outline joins what is drawn over it."""
    path = _limb_path(line, reach)
    return [Shape("figure", path, "under"), Shape("figure", path, "none", "paper")]


def _limb_path(line: list[Point], reach: list[float]) -> Path:
    middle = through(line)
    count = 10
    left: list[Point] = []
    right: list[Point] = []
    for i in range(count + 1):
        share = i / count
        place = share * (len(reach) - 1)
        low = min(int(place), len(reach) - 2)
        wide = reach[low] + (reach[low + 1] - reach[low]) * (place - low)
        normal = middle.direction(share * middle.length_mm) * 1j
        left.append(middle.share(share) + normal * wide)
        right.append(middle.share(share) - normal * wide)
    ahead = middle.direction(middle.length_mm) * reach[-1]
    behind = -middle.direction(0.0) * reach[0]
    cap_end = [middle.end + ahead * unit(a) for a in (50, 0, -50)]
    cap_start = [middle.start + behind * unit(a) for a in (50, 0, -50)]
    return through([*left, *cap_end, *reversed(right), *cap_start], closed=True)


def _leg(hip: Point, knee: Point, ankle: Point, foot_turn: float) -> list[Shape]:
    """Thigh, shin and foot as one skin, with kneecap, bump and the hem of the shorts."""
    thigh, shin = (knee - hip) / abs(knee - hip), (ankle - knee) / abs(ankle - knee)
    front = -1j  # towards the front of the leg, when it points to the right
    toes = unit(-82 + foot_turn) if foot_turn < 45 else unit(4)
    parts = [
        _limb_path([hip, hip + (knee - hip) * 0.55, knee], [25.0, 20.0, 14.5]),
        _limb_path(
            [knee, knee + (ankle - knee) * 0.35 - shin * front * 3, ankle], [14.0, 14.5, 8.5]
        ),
        _limb_path([ankle, ankle + toes * 18, ankle + toes * 37], [10.0, 8.5, 5.5]),
    ]
    way = (thigh + shin) / abs(thigh + shin)
    cap = knee + way * front * 7.5
    parts += [ellipse(cap, 10.5, 10.5), ellipse(knee + shin * 28 + shin * front * 10.2, 5.5, 5.5)]
    found = [Shape("figure", part, "under") for part in parts]
    found += [Shape("figure", part, "none", "paper") for part in parts]
    hem = hip + thigh * THIGH_MM * 0.5
    found.append(
        Shape("cloth", straight([hem + thigh * front * 21, hem - thigh * front * 21]), "light")
    )
    return found
