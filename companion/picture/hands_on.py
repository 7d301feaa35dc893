"""Hands on a knee as they are stored: in the frame every knee picture has, still or moving."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal, overload

from companion.care.coded import Coded, coded
from companion.care.records import Side
from companion.picture.curves import Point, ellipse, straight
from companion.picture.drawing import Closeup, Drawing, DrawnWords, Frame, Shape, described
from companion.picture.leg import HEADER_MM, KNEES, SEEN, SMALL_WORDS_MM, WORDS_MM, header
from companion.picture.stored import Figure, arrow_shapes
from companion.picture.views import View, Viewpoint

FRAMES_A_SECOND = 24
WEDGE_MM = 6.5
WEDGE_GAP_MM = 1.5
CLOSEUP_TIMES = 2.0


def hands_on_picture(
    side: Side,
    viewpoint: Viewpoint,
    figure: Figure,
    what: Coded,
    told: Sequence[Coded] = (),
    *,
    wedges: int = 0,
    arrows: bool = True,
    near: bool = True,
) -> Drawing:
    """A stored knee with hands on it.

    `wedges` (0 to 3) say how hard its pads press; `arrows` which way they go; `near` shows the
    pads close up. `told` is what is said of the hands, for whoever cannot see them. What is stored
    is a right knee; a left one is its mirror image.
    """
    view = View(side, viewpoint)
    own = figure if side == "right" else figure.mirrored()
    frame = Frame(
        own.edge_mm - own.origin.real,
        own.edge_mm - own.origin.imag - HEADER_MM,
        own.width_mm - 2 * own.edge_mm,
        own.height_mm - 2 * own.edge_mm + HEADER_MM,
    )
    shapes = own.moved(-own.origin, arrows=False)
    presses = [(tail - own.origin, tip - own.origin) for tail, tip in own.presses]
    items: list[Shape | DrawnWords | Closeup] = [*shapes]
    if arrows:
        items += [
            replace(one, path=one.path.moved(lambda p: p - own.origin))
            for one in arrow_shapes(own.arrows)
        ]
    for tail, tip in presses if wedges else ():
        items += _wedges(tail, tip, wedges)
    across = abs(own.places["hip"].real) > 0.7
    items += _end_words(own, frame)
    items += header(view, frame, across=across)
    if near and presses:
        items.append(_closeup(view, frame, shapes, presses))
    lead = coded("drawn_seen", knee=KNEES[side], seen=SEEN[viewpoint])
    return Drawing(frame, tuple(items), described((lead, what, *told)))


def _wedges(tail: Point, tip: Point, count: int) -> list[Shape]:
    """Hollow wedges one behind the other, their points towards the pad: one is light."""
    along = (tip - tail) / abs(tip - tail)
    found = []
    for number in range(count):
        point = tip - along * number * (WEDGE_MM + WEDGE_GAP_MM)
        base = point - along * WEDGE_MM
        corners = [point, base + along * 1j * WEDGE_MM * 0.55, base - along * 1j * WEDGE_MM * 0.55]
        found.append(straight(corners, closed=True))
    return [
        *(Shape("arrow", one, "halo") for one in found),
        *(Shape("arrow", one, "light", "paper", name="press") for one in found),
    ]


def _end_words(figure: Figure, frame: Frame) -> list[DrawnWords]:
    """ "hip", "foot", "inner" and "outer", each at the end of the page it lies towards."""
    top = frame.top + HEADER_MM
    across = abs(figure.places["hip"].real) > 0.7
    found = []
    for name, way in figure.places.items():
        end = name in ("hip", "foot")
        size = WORDS_MM if end else SMALL_WORDS_MM
        if abs(way.real) > abs(way.imag):
            right = way.real > 0
            x = frame.right - 4 if right else frame.left + 4
            y = (top + frame.bottom) / 2 if end else top + 15
            found.append(
                DrawnWords(_WORDS[name], complex(x, y), size, "right" if right else "left",
                           halo=True)
            )  # fmt: skip
        else:
            y = frame.bottom - 7 if way.imag > 0 else top + 15
            x = frame.right - 4 if across else 0.0
            at = complex(x, y)
            align: Literal["right", "centre"] = "right" if across else "centre"
            found.append(DrawnWords(_WORDS[name], at, size, align, halo=True))
    return found


_WORDS = {
    "hip": coded("drawn_hip"),
    "foot": coded("drawn_foot"),
    "inner": coded("drawn_inner"),
    "outer": coded("drawn_outer"),
}


def _closeup(
    view: View, frame: Frame, shapes: Sequence[Shape], presses: Sequence[tuple[Point, Point]]
) -> Closeup:
    """Pads twice as large: beside the words at the top, or in the upper corner on the outer side
    where the page is narrow. Of two places that are pressed far apart it shows one."""
    tail, tip = presses[0]
    spot = tip + (tip - tail) / abs(tip - tail) * 9
    if frame.width > 270:
        reach = HEADER_MM / 2 - 4
        at = complex(frame.right - reach - 4, frame.top + HEADER_MM / 2)
    else:
        reach = 27.0
        at = complex(-view.inner * (frame.right - reach - 3), frame.top + HEADER_MM + 22 + reach)
    return Closeup(
        at,
        reach,
        tuple(
            replace(one, path=one.path.moved(lambda p: at + (p - spot) * CLOSEUP_TIMES))
            for one in shapes
        ),
        Shape("figure", ellipse(at, reach, reach), "heavy"),
    )


@dataclass(frozen=True)
class Frames(Sequence[Drawing]):
    """A movement as frames, `FRAMES_A_SECOND` of them, each made when it is asked for."""

    moments: tuple[tuple[int, float], ...]
    """The still and how far on to the next one, of each frame."""
    made: Callable[[int, float], Drawing]

    def __len__(self) -> int:
        return len(self.moments)

    @overload
    def __getitem__(self, index: int) -> Drawing: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[Drawing]: ...
    def __getitem__(self, index: int | slice) -> Drawing | Sequence[Drawing]:
        if isinstance(index, slice):
            return [self.made(*one) for one in self.moments[index]]
        return self.made(*self.moments[index])


def moments(seconds: Sequence[float], rest: float = 0.6) -> tuple[tuple[int, float], ...]:
    """The frames of one round: a rest at the first still, then from each to the next, as long as
    it says (in seconds)."""
    found = [(0, 0.0)] * round(rest * FRAMES_A_SECOND)
    for number, long in enumerate(seconds):
        count = max(1, round(long * FRAMES_A_SECOND))
        found += [(number, i / count) for i in range(count)]
    return tuple(found)
