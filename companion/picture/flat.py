"""A strip of tape over a table, in both hands: cut with round corners, and its paper torn near
one end.

It is drawn smaller than it is, as wide against its length as it is.
"""

from __future__ import annotations

from dataclasses import replace

from companion.care.catalogue import CutMoment
from companion.care.coded import Coded, coded
from companion.care.records import Side
from companion.picture.board import Hands
from companion.picture.curves import Path, Point, ellipse, straight, unit
from companion.picture.drawing import Drawing, DrawnWords, Frame, Shape, described
from companion.picture.leg import arrow
from companion.picture.tape import CORNER_MM
from companion.picture.told import Does, Doing, doing_words

UNKNOWN_MM = 180.0
"""A strip whose length is not known is drawn so long, without a number."""
FRAME = Frame(-120.0, -118.0, 240.0, 245.0)
WORDS_MM = 15.0
_AT = -16 - 42j
"""Where the middle of the strip is."""
_ROOM_MM = 146.0
_TEAR_MM = 42.0
_TEETH = 9
_OWNER: Side = "right"
"""Whoever cuts sees their own hands, whichever knee it is for."""


def flat_picture(
    moment: CutMoment, paper_mm: float | None, width_mm: float, words: Coded, hands: Hands,
    *, measured: bool = True,
) -> Drawing:  # fmt: skip
    """One piece on its paper, `paper_mm` long there, in the hands of whoever cuts it; `words` stand
    over it. Its length is written where it is `measured`, as a test piece is not."""
    long_mm = paper_mm or UNKNOWN_MM
    share = min(_ROOM_MM / long_mm, 1.4)
    half, deep = long_mm * share / 2, max(width_mm * share / 2, 12.0)
    corner = min(CORNER_MM * share * 1.2, deep * 0.8)
    items: list[Shape | DrawnWords] = []
    doings: list[Doing] = []

    def hand(which: str, does: Does, pads: Point) -> None:
        found = hands(which)
        if found is not None:
            items.extend(replace(one, role="hand") for one in found.figure.moved(pads - found.pads))
            doings.append(Doing(found.hand, found.digits, does))

    if moment == "cut":
        items += _placed(_cut(half, deep, corner))
        hand("lay_L", "keeps", _AT + complex(-half + min(20.0, half * 0.6), deep * 0.3))
        tip = _AT + complex(half - corner * 0.4, -deep + corner * 0.4)
        items += _scissors(tip)
        hand("lay_R", "cuts", tip + _TO_THUMB)
        items += _front_of_loops(tip)
        if paper_mm is not None and measured:
            items += _length(half, deep, coded("drawn_mm", mm=round(paper_mm)))
        told = coded("drawn_cut")
    else:
        items += _placed(_opened(half, deep, corner))
        hand("lay_L", "keeps", _AT + complex(-half + 20, deep * 0.3))
        hand("lay_R", "peels", _AT + complex(half + 11, -deep * 0.2 - 2))
        way = [complex(half - 30, -deep - 14), complex(half - 4, -deep - 24)]
        items += _placed(arrow(straight([*way, complex(half + 14, -deep - 22)])))
        told = coded("drawn_open")
    lead = DrawnWords(words, complex(FRAME.left + 3, FRAME.top + 16), WORDS_MM, "left", bold=True)
    said = [doing_words(one, _OWNER) for one in doings]
    return Drawing(FRAME, (*items, lead), described((words, told, *said)))


def _placed(shapes: list[Shape]) -> list[Shape]:
    return [replace(one, path=one.path.moved(lambda p: p + _AT)) for one in shapes]


_TO_THUMB = 16 + 92j
"""From the tip of the scissors to the thumb that is in them."""
_PIVOT, _LOOPS = 5 + 46j, (15 + 94j, 37 + 84j)
_LOOP_MM = 11.0


def _scissors(tip: Point) -> list[Shape]:
    """A pair of scissors, a little open, its tip at a corner; loops where thumb and finger are."""
    pivot, made = tip + _PIVOT, list[Shape]()
    for loop, end in zip(_LOOPS, (7 + 1j, -4 + 1j), strict=True):
        at = tip + loop
        way = (at - pivot) / abs(at - pivot)
        side = way * 1j
        stem = [
            pivot + side * 3,
            at - way * _LOOP_MM + side * 2.5,
            at - way * _LOOP_MM - side * 2.5,
        ]
        blade = [pivot - side * 3, pivot + side * 3, tip + end]
        made += [
            Shape("mark", straight([*stem, pivot - side * 3], closed=True), "heavy", "paper"),
            Shape("mark", straight(blade, closed=True), "heavy", "paper"),
            Shape("mark", ellipse(at, _LOOP_MM, _LOOP_MM), "heavy", "paper"),
            Shape("mark", ellipse(at, _LOOP_MM - 4, _LOOP_MM - 4), "heavy", "paper"),
        ]
    return [*made, Shape("mark", ellipse(pivot, 1.6, 1.6), "none", "ink")]


def _front_of_loops(tip: Point) -> list[Shape]:
    """The part of each loop that lies over the finger in it."""
    made = list[Shape]()
    for loop in _LOOPS:
        rims = [
            [tip + loop + reach * unit(angle) for angle in range(200, 341, 10)]
            for reach in (_LOOP_MM, _LOOP_MM - 4)
        ]
        band = straight([*rims[0], *reversed(rims[1])], closed=True)
        made.append(Shape("mark", band, "heavy", "paper"))
    return made


def _cut(half: float, deep: float, corner: float) -> list[Shape]:
    """The piece, and what is cut off its corners."""
    square = straight(
        [complex(x, y) for x, y in ((-half, -deep), (half, -deep), (half, deep), (-half, deep))],
        closed=True,
    )
    return [
        Shape("tape", square, "light", dashed=True),
        Shape("tape", _rounded(half, deep, corner), "heavy", "tape"),
    ]


def _length(half: float, deep: float, words: Coded) -> list[Shape | DrawnWords]:
    """How long it is, between two ticks under it."""
    y = -deep - 12 + _AT.imag
    left, right = _AT.real - half, _AT.real + half
    lines = [[complex(left, y), complex(right, y)]]
    lines += [[complex(x, y - 5), complex(x, y + 5)] for x in (left, right)]
    made: list[Shape | DrawnWords] = [Shape("mark", straight(line), "light") for line in lines]
    return [*made, DrawnWords(words, complex(_AT.real - half * 0.3, y - 6), WORDS_MM, bold=True)]


def _opened(half: float, deep: float, corner: float) -> list[Shape]:
    """The piece, its glue up: the paper torn across, and the short part of it curled away."""
    tear = half - _TEAR_MM
    teeth = [
        complex(tear + (3 if k % 2 else -3), -deep + 2 * deep * k / _TEETH)
        for k in range(_TEETH + 1)
    ]
    paper = straight([complex(-half, -deep), *teeth, complex(-half, deep)], closed=True)
    # The short part of the paper, peeled off over the end: its lower edge still at the tape.
    flap = straight(
        [
            complex(half - 10, -deep + 3),
            complex(half - 10, deep - 3),
            complex(half + 13, deep - 16),
            complex(half + 13, -deep - 16),
        ],
        closed=True,
    )
    dots = [
        Shape("anchor", _dot(complex(x, y)), "none", "ink")
        for x in _steps(tear + 8, half - 8, 8.0)
        for y in _steps(-deep + 6, deep - 6, 8.0)
    ]
    return [
        Shape("tape", _rounded(half, deep, corner), "heavy", "tape"),
        *dots,
        Shape("tape", paper, "heavy", "paper"),
        Shape("tape", flap, "heavy", "paper"),
    ]


def _steps(low: float, high: float, step: float) -> list[float]:
    return [low + step * k for k in range(int((high - low) // step) + 1)] if high > low else []


def _dot(at: Point) -> Path:
    return straight([at + 0.9 * unit(angle) for angle in range(0, 360, 45)], closed=True)


def _rounded(half: float, deep: float, corner: float) -> Path:
    """An oblong with round corners."""
    points = [
        complex(x * (half - corner), y * (deep - corner)) + corner * unit(turn + step)
        for x, y, turn in ((1, 1, 0), (-1, 1, 90), (-1, -1, 180), (1, -1, 270))
        for step in range(0, 91, 15)
    ]
    return straight(points, closed=True)
