"""What every picture of the front of a knee holds: which knee it is, and which way is up.

Everything here is on the page: first axis right, second down, origin in the middle of the kneecap.
"""

from __future__ import annotations

from companion.care.coded import Coded, coded
from companion.care.records import Side
from companion.picture.curves import Path, Point, ellipse, straight, through, unit
from companion.picture.drawing import DrawnWords, Frame, Shape
from companion.picture.knee import DrawnAs
from companion.picture.views import View, Viewpoint

HEADER_MM = 74.0
KNEE_FRAME = Frame(-120.0, -140.0 - HEADER_MM, 240.0, 277.0 + HEADER_MM)
"""What is drawn of a bare knee, under its header."""
INSET = 0.84
"""The small person beside the words stays above the line under them."""
WORDS_MM = 13.0
SMALL_WORDS_MM = 11.0

KNEES: dict[Side, Coded] = {"left": coded("drawn_left"), "right": coded("drawn_right")}
SEEN: dict[Viewpoint, Coded] = {"own": coded("drawn_own"), "helper": coded("drawn_helper")}
NOTES: dict[DrawnAs, Coded | None] = {
    "measured": None,
    "missing": coded("drawn_not_measured"),
    "impossible": coded("drawn_measure_again"),
}


def end_words(view: View, frame: Frame) -> list[DrawnWords]:
    """ "hip" and "foot", each at the end of the page it lies towards."""
    top, low = frame.top + HEADER_MM + 15, frame.bottom - 7
    hip, foot = (low, top) if view.hip > 0 else (top, low)
    return [
        DrawnWords(coded("drawn_hip"), complex(0, hip), WORDS_MM, halo=True, way=1j * view.hip),
        DrawnWords(coded("drawn_foot"), complex(0, foot), WORDS_MM, halo=True, way=-1j * view.hip),
    ]


def side_words(view: View, frame: Frame) -> list[DrawnWords]:
    """ "inner" and "outer" beside the leg at the far end, where no hand lies."""
    level = frame.top + HEADER_MM + 15
    return [
        DrawnWords(
            word,
            complex(sign * (frame.right - 4), level),
            SMALL_WORDS_MM,
            "right" if sign > 0 else "left",
            halo=True,
            way=complex(sign, 0),
        )
        for word, sign in ((coded("drawn_inner"), view.inner), (coded("drawn_outer"), -view.inner))
    ]


def header(
    view: View, frame: Frame, *notes: Coded, seen: Coded | None = None, across: bool = False
) -> list[Shape | DrawnWords]:
    """Which knee, seen by whom; a small figure with that knee marked; up to three notes.

    `seen` stands instead of who sees it so; `across` where the leg lies across the page.
    """
    # A figure that lies across is longer, its head to the left or the right of its knee.
    left = frame.left + (94 if across else 76)
    middle = 38 if not across else 52 if view.side == "right" else 38
    top = frame.top
    foot = top + HEADER_MM
    ground = straight(
        [
            complex(frame.left - 5, top - 5),
            complex(frame.right + 5, top - 5),
            complex(frame.right + 5, foot),
            complex(frame.left - 5, foot),
        ],
        closed=True,
    )
    lines: list[Shape | DrawnWords] = [
        DrawnWords(KNEES[view.side], complex(left, top + 21), 17.0, "left", bold=True),
        DrawnWords(seen or SEEN[view.viewpoint], complex(left, top + 36.5), WORDS_MM, "left"),
    ]
    first, step = (51, 13) if len(notes) < 3 else (48, 11.4)
    for number, text in enumerate(notes):
        at = complex(left, top + first + step * number)
        lines.append(DrawnWords(text, at, SMALL_WORDS_MM, "left"))
    return [
        Shape("figure", ground, "light", "paper"),
        *_figure(view, complex(frame.left + middle, top + HEADER_MM / 2), across=across),
        *lines,
    ]


def _figure(view: View, middle: Point, *, across: bool = False) -> list[Shape]:
    """A small person seen the same way, with the knee of this picture marked.

    The person looks down at lap, legs and toes; the helper sees the person from the front, or
    from beside the leg: then the person lies `across`, that leg nearer.
    """
    own = view.viewpoint == "own"
    down = -1 if own else 1  # which way on the page the feet are

    def at(x: float, y: float) -> Point:
        """y from the hip (0) to the toes (50), whichever way that is on the page."""
        if across:
            # The middle of the whole length of a person is at 13.
            side = 1 if view.side == "right" else -1
            return middle + complex(side * (y - 13), -x * view.inner) * INSET
        return middle + complex(x, down * (y - 21)) * INSET

    found: list[Shape] = []
    body = (
        [at(-27, -22), at(-24, -12), at(-13, -4), at(0, -1), at(13, -4), at(24, -12), at(27, -22)]
        if own
        else [at(-15, 0), at(-14.5, -14), at(-20, -30), at(20, -30), at(14.5, -14), at(15, 0)]
    )
    for sign in (-1, 1):
        x = sign * 10.5
        leg = [
            at(x - 7.5, -2), at(x - 6.6, 14), at(x - 5.2, 22), at(x - 5.6, 30), at(x - 3.7, 41),
            at(x - 4.2 + sign, 46), at(x - 5.6 + sign * 1.4, 52), at(x - 3.0 + sign * 1.6, 56),
            at(x + 3.0 + sign * 1.6, 56), at(x + 5.6 + sign * 1.4, 52), at(x + 4.2 + sign, 46),
            at(x + 3.7, 41), at(x + 5.6, 30), at(x + 5.2, 22), at(x + 6.6, 14), at(x + 7.5, -2),
        ]  # fmt: skip
        found.append(Shape("figure", through(leg), "light", "paper"))
    shorts = [
        at(-19, -6), at(-19, 0), at(-19.5, 12.5), at(-10.5, 14), at(-2.2, 12), at(0, 4),
        at(2.2, 12), at(10.5, 14), at(19.5, 12.5), at(19, 0), at(19, -6),
    ]  # fmt: skip
    found.append(Shape("figure", straight(shorts, closed=True), "light", "paper"))
    found.append(Shape("figure", through(body), "light", "paper"))
    spot = at(-10.5 * view.inner, 23)
    found.append(Shape("figure", ellipse(spot, 9.2, 9.2), "heavy", "paper"))
    found.append(Shape("figure", ellipse(spot, 5.0, 5.0), "none", "ink"))
    return found


def arrow(path: Path, *, head_mm: float = 10.5, both: bool = False) -> list[Shape]:
    """A heavy arrow along a path, with paper round it so that it stands clear of other lines."""
    heads = [_head(path, head_mm)]
    if both:
        heads.append(_head(path.reversed(), head_mm))
    # The line stops inside the head, or its flat end would stand out of the point.
    trim = head_mm * 0.55
    start = trim if both else 0.0
    line = path.between(start, path.length_mm - trim, 4.0)
    return [
        Shape("arrow", line, "halo"),
        *(Shape("arrow", head, "halo") for head in heads),
        Shape("arrow", line, "heavy"),
        *(Shape("arrow", head, "none", "ink") for head in heads),
    ]


def _head(path: Path, size_mm: float) -> Path:
    tip = path.end
    back = path.at(max(path.length_mm - size_mm, 0.0))
    along = (tip - back) / abs(tip - back)
    base = tip - along * size_mm
    wing = along * unit(90) * size_mm * 0.48
    return straight([tip, base + wing, base + along * size_mm * 0.18, base - wing], closed=True)
