"""What every picture of the front of a knee holds: the leg, which knee it is, which way is up.

Everything here is on the page: first axis right, second down, origin in the middle of the kneecap.
"""

from __future__ import annotations

from dataclasses import dataclass

from companion.care.coded import Coded, coded
from companion.care.records import Side
from companion.picture.curves import Path, Point, ellipse, straight, through, unit
from companion.picture.drawing import DrawnWords, Frame, Shape
from companion.picture.knee import DrawnAs, Knee
from companion.picture.views import View, Viewpoint

HALF_FRAME_MM = 120.0
HEADER_MM = 74.0
SIDE_WORDS_MM = 44.0
"""Room beside the leg at the hem for "inner" and "outer"."""
CLOTH_MM = 30.0
CUFF_MM = 9.0
WORDS_MM = 13.0
SMALL_WORDS_MM = 11.0

KNEES: dict[Side, Coded] = {"left": coded("drawn_left"), "right": coded("drawn_right")}
SEEN: dict[Viewpoint, Coded] = {"own": coded("drawn_own"), "helper": coded("drawn_helper")}
NOTES: dict[DrawnAs, Coded | None] = {
    "measured": None,
    "missing": coded("drawn_not_measured"),
    "impossible": coded("drawn_measure_again"),
}


@dataclass(frozen=True, slots=True)
class Stretch:
    """How much of the leg is shown: bare skin above the kneecap and below the bony bump."""

    above_mm: float = 86.0
    below_mm: float = 44.0


AROUND_THE_KNEE = Stretch()


def frame_of(knee: Knee, view: View, stretch: Stretch) -> Frame:
    """The part of the page that shows this stretch of the leg under a header."""
    hem = knee.top + stretch.above_mm
    hip, foot = hem + CLOTH_MM, -(knee.bump - stretch.below_mm - CLOTH_MM)
    up, down = (foot, hip) if view.viewpoint == "own" else (hip, foot)
    half = max(HALF_FRAME_MM, *(abs(edge) + SIDE_WORDS_MM for edge in knee.skin_at(hem)))
    return Frame(-half, -up - HEADER_MM, 2 * half, up + down + HEADER_MM)


def leg_shapes(
    knee: Knee, view: View, *, kneecap_shift: Point = 0j, details: bool = True
) -> list[Shape]:
    """The bare leg: outline, kneecap, tendon, bump, muscles, hollows and shin.

    A kneecap shifted on the page leaves its place as a dashed line. Without `details` only what
    one feels first is drawn: outline, kneecap and bump.
    """
    skin = (Shape("skin", view.path(edge), "heavy") for edge in (knee.outer_skin, knee.inner_skin))
    light = (*knee.muscles, *knee.hollows, knee.shin, *knee.tendon_edges) if details else ()
    return [
        *skin,
        *(Shape("skin", view.path(line), "light") for line in light),
        Shape("bone", view.path(knee.bump_rim), "heavy"),
        *([Shape("bone", view.path(knee.kneecap), "light", dashed=True)] if kneecap_shift else []),
        Shape("bone", view.path(knee.kneecap).moved(lambda p: p + kneecap_shift), "heavy"),
    ]


def cloth_shapes(knee: Knee, view: View, stretch: Stretch) -> list[Shape]:
    """Shorts at the hip end and a sock at the foot end."""
    return [*_shorts(knee, view, stretch), *_sock(knee, view, stretch)]


def _shorts(knee: Knee, view: View, stretch: Stretch) -> list[Shape]:
    hem = knee.top + stretch.above_mm
    far = hem + CLOTH_MM + 12
    outer, inner = knee.skin_at(hem)
    left, right = outer - 7, inner + 6

    def line(down: float) -> list[Point]:
        return [
            complex(left + (right - left) * share, hem + down - 7 * (1 - (2 * share - 1) ** 2))
            for share in (0, 0.2, 0.4, 0.6, 0.8, 1)
        ]

    hem_path = through(line(0.0))
    cloth = Path(
        (
            *hem_path.points,
            *straight([hem_path.end, complex(right + 5, far), complex(left - 5, far)]).points[1:],
        ),
        closed=True,
    )
    seam = through(line(6.5)[0:6])
    return [
        Shape("cloth", view.path(cloth), "heavy", "paper"),
        Shape("cloth", view.path(seam), "light", dashed=True),
    ]


def _sock(knee: Knee, view: View, stretch: Stretch) -> list[Shape]:
    rim = knee.bump - stretch.below_mm
    far = rim - CLOTH_MM - 12
    outer, inner = knee.skin_at(rim)
    left, right = outer - 2.5, inner + 2.5

    def line(y: float, wider: float = 0.0) -> list[Point]:
        return [
            complex(
                left - wider + (right - left + 2 * wider) * share,
                y - 5 * (1 - (2 * share - 1) ** 2),
            )
            for share in (0, 0.2, 0.4, 0.6, 0.8, 1)
        ]

    top, low = through(line(rim)), through(line(rim - CUFF_MM))
    cuff_area = Path(
        (
            *top.points,
            *straight([top.end, low.end]).points[1:],
            *low.reversed().points[1:],
            *straight([low.start, top.start]).points[1:],
        ),
        closed=True,
    )
    far_outer, far_inner = knee.skin_at(far)
    body = Path(
        (
            *low.points,
            *straight([low.end, complex(far_inner + 2, far), complex(far_outer - 2, far)]).points[
                1:
            ],
        ),
        closed=True,
    )
    ribs: list[Shape] = []
    for i in range(1, 14):
        share = i / 14
        a, b = top.share(share), low.share(share)
        ribs.append(Shape("cloth", view.path(straight([a + (b - a) * 0.2, b])), "light"))
    return [
        Shape("cloth", view.path(body), "heavy", "paper"),
        Shape("cloth", view.path(cuff_area), "heavy", "paper"),
        *ribs,
    ]


def end_words(knee: Knee, view: View, stretch: Stretch) -> list[DrawnWords]:
    """ "hip" on the shorts and "foot" on the sock."""
    hem, rim = knee.top + stretch.above_mm, knee.bump - stretch.below_mm
    hip = view.to_page(complex(sum(knee.skin_at(hem)) / 2, hem + CLOTH_MM * 0.46))
    foot = view.to_page(
        complex(sum(knee.skin_at(rim)) / 2, rim - CUFF_MM - (CLOTH_MM - CUFF_MM) * 0.56 - 2)
    )
    return [
        DrawnWords(coded("drawn_hip"), hip + WORDS_MM * 0.5j, WORDS_MM, halo=True),
        DrawnWords(coded("drawn_foot"), foot + WORDS_MM * 0.35j, WORDS_MM, halo=True),
    ]


def side_words(knee: Knee, view: View, frame: Frame) -> list[DrawnWords]:
    """ "inner" and "outer" beside the leg at the far end, where no hand lies."""
    level = frame.top + HEADER_MM + 15
    return [
        DrawnWords(
            word,
            complex(sign * (frame.right - 4), level),
            SMALL_WORDS_MM,
            "right" if sign > 0 else "left",
            halo=True,
        )
        for word, sign in ((coded("drawn_inner"), view.inner), (coded("drawn_outer"), -view.inner))
    ]


def header(
    view: View, frame: Frame, *notes: Coded, seen: Coded | None = None, across: bool = False
) -> list[Shape | DrawnWords]:
    """Which knee, seen by whom; a small figure with that knee marked; up to three notes.

    `seen` stands instead of who sees it so; `across` where the leg lies across the page.
    """
    left = frame.left + 76
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
        *_figure(view, complex(frame.left + 38, top + HEADER_MM / 2), across=across),
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
            side = 1 if view.side == "right" else -1
            return middle + complex(side * (y - 21), -x * view.inner)
        return middle + complex(x, down * (y - 21))

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
