"""A strip of tape on a table: cut with round corners, and its paper torn near one end.

It is drawn at a third of its size, as wide against its length as it is.
"""

from __future__ import annotations

from companion.care.catalogue import CutMoment
from companion.care.coded import Coded, coded
from companion.picture.curves import Path, Point, straight, unit
from companion.picture.drawing import Drawing, DrawnWords, Frame, Shape, described
from companion.picture.tape import CORNER_MM

UNKNOWN_MM = 180.0
"""A strip whose length is not known is drawn so long, without a number."""
WIDE_MM, HIGH_MM = 240.0, 150.0
WORDS_MM = 15.0
_ROOM_MM = 200.0
_TEAR_MM = 42.0
_TEETH = 9


def flat_picture(
    moment: CutMoment, paper_mm: float | None, width_mm: float, words: Coded
) -> Drawing:
    """One piece on its paper, `paper_mm` long there; `words` stand over it."""
    long_mm = paper_mm or UNKNOWN_MM
    share = min(_ROOM_MM / long_mm, 1.4)
    half, deep = long_mm * share / 2, max(width_mm * share / 2, 12.0)
    corner = min(CORNER_MM * share * 1.2, deep * 0.8)
    items: list[Shape | DrawnWords] = []
    if moment == "cut":
        items += _cut(half, deep, corner)
        if paper_mm is not None:
            items += _length(half, deep, coded("drawn_mm", mm=round(paper_mm)))
        told = coded("drawn_cut")
    else:
        items += _opened(half, deep, corner)
        told = coded("drawn_open")
    frame = Frame(-WIDE_MM / 2, -HIGH_MM / 2, WIDE_MM, HIGH_MM)
    lead = DrawnWords(words, complex(frame.left + 3, frame.top + 16), WORDS_MM, "left", bold=True)
    return Drawing(frame, (*items, lead), described((words, told)))


def _cut(half: float, deep: float, corner: float) -> list[Shape]:
    """The piece, and what is cut off its corners."""
    square = straight(
        [complex(x, y) for x, y in ((-half, -deep), (half, -deep), (half, deep), (-half, deep))],
        closed=True,
    )
    return [
        Shape("tape", square, "light", dashed=True),
        Shape("tape", _rounded(half, deep, corner), "firm", "tape"),
    ]


def _length(half: float, deep: float, words: Coded) -> list[Shape | DrawnWords]:
    """How long it is, between two ticks under it."""
    y = deep + 16
    lines = [[complex(-half, y), complex(half, y)]]
    lines += [[complex(x, y - 5), complex(x, y + 5)] for x in (-half, half)]
    made: list[Shape | DrawnWords] = [Shape("mark", straight(line), "light") for line in lines]
    return [*made, DrawnWords(words, complex(0, y + 20), WORDS_MM, bold=True)]


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
        Shape("tape", _rounded(half, deep, corner), "firm", "tape"),
        *dots,
        Shape("tape", paper, "firm", "paper"),
        Shape("tape", flap, "firm", "paper"),
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
