"""Hands on a knee as they are stored: in the frame every knee picture has, still or moving."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal, overload

from companion.care.coded import Coded, coded
from companion.care.records import Side
from companion.picture.clear import PageCells, arrows_clear, covered_by, words_clear
from companion.picture.curves import Point, ellipse, straight
from companion.picture.drawing import Closeup, Drawing, DrawnWords, Frame, Shape, described
from companion.picture.leg import HEADER_MM, KNEES, SEEN, SMALL_WORDS_MM, WORDS_MM, header
from companion.picture.stored import Figure, arrow_shapes
from companion.picture.views import View, Viewpoint

FRAMES_A_SECOND = 24
WEDGE_MM = 6.5
WEDGE_GAP_MM = 1.5
CLOSEUP_TIMES = 2.0


@dataclass(frozen=True)
class WordPlaces:
    """Where the words of a technique stand and its pads are shown close up, on a right knee: in the
    same places in each of its pictures, and while it moves."""

    words: tuple[DrawnWords, ...]
    near: Point


def settled(viewpoint: Viewpoint, stills: Sequence[Figure]) -> WordPlaces:
    """Where no hand comes in any of these stills."""
    figure, view = stills[0], View("right", viewpoint)
    frame = _frame(figure)
    below = _below(frame)
    reach = [shape for one in stills for shape in one.moved(-figure.origin, arrows=False)]
    near, size = _near(view, frame, covered_by(reach, below))
    spot = Shape("mark", ellipse(near, size, size), fill="paper")
    words = words_clear(_end_words(figure, frame), below, [*reach, spot])
    return WordPlaces(tuple(one for one in words if isinstance(one, DrawnWords)), near)


def hands_on_picture(
    side: Side,
    viewpoint: Viewpoint,
    figure: Figure,
    what: Coded,
    settled: WordPlaces,
    told: Sequence[Coded] = (),
    *,
    wedges: int = 0,
    near: bool = True,
) -> Drawing:
    """A stored knee with hands on it, its words where they are `settled`.

    `wedges` (0 to 3) say how hard its pads press; `near` shows the pads close up. Arrows are moved
    to where they hide nothing. `told` is what is said of the hands, for whoever cannot see them.
    What is stored is a right knee; a left one is its mirror image.
    """
    view, frame = View(side, viewpoint), _frame(figure)
    shapes = figure.moved(-figure.origin, arrows=False)
    presses = [(tail - figure.origin, tip - figure.origin) for tail, tip in figure.presses]
    items: list[Shape | DrawnWords | Closeup] = [*shapes]
    for tail, tip in presses if wedges else ():
        items += _wedges(tail, tip, wedges)
    if near and presses:
        items.append(_closeup(frame, settled.near, shapes, presses))
    # What moves keeps its words where they are; a still has them clear of its own hands.
    words = [*items, *settled.words]
    items = words_clear(words, _below(frame)) if near else words
    arrows = [(is_, way.moved(lambda p: p - figure.origin)) for is_, way in figure.arrows]
    items[len(shapes) : len(shapes)] = arrow_shapes(arrows_clear(arrows, items, frame))
    if side == "left":
        items, frame = [_mirrored(one) for one in items], replace(frame, left=-frame.right)
    items += header(view, frame, across=_across(figure))
    lead = coded("drawn_seen", knee=KNEES[side], seen=SEEN[viewpoint])
    return Drawing(frame, tuple(items), described((lead, what, *told)))


def _frame(figure: Figure) -> Frame:
    return Frame(
        figure.edge_mm - figure.origin.real,
        figure.edge_mm - figure.origin.imag - HEADER_MM,
        figure.width_mm - 2 * figure.edge_mm,
        figure.height_mm - 2 * figure.edge_mm + HEADER_MM,
    )


def _below(frame: Frame) -> Frame:
    """What is under its header."""
    return Frame(frame.left, frame.top + HEADER_MM, frame.width, frame.height - HEADER_MM)


def _across(figure: Figure) -> bool:
    return abs(figure.places["hip"].real) > 0.7


def _mirrored(item: Shape | DrawnWords | Closeup) -> Shape | DrawnWords | Closeup:
    """As it is at a left knee; words are not turned."""
    if isinstance(item, Shape):
        return replace(item, path=item.path.moved(lambda p: -p.conjugate()))
    if isinstance(item, DrawnWords):
        way = None if item.way is None else -item.way.conjugate()
        return replace(item, at=-item.at.conjugate(), align=_OTHER[item.align], way=way)
    shapes = tuple(replace(one, path=one.path.moved(lambda p: -p.conjugate()))
                   for one in item.shapes)  # fmt: skip
    ring = replace(item.ring, path=item.ring.path.moved(lambda p: -p.conjugate()))
    return Closeup(-item.at.conjugate(), item.radius_mm, shapes, ring)


_OTHER: dict[str, Literal["left", "centre", "right"]] = {
    "left": "right", "centre": "centre", "right": "left",
}  # fmt: skip


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
    top, across = frame.top + HEADER_MM, _across(figure)
    found = []
    for name, place in figure.places.items():
        end = name in ("hip", "foot")
        size = WORDS_MM if end else SMALL_WORDS_MM
        align: Literal["left", "right", "centre"]
        if abs(place.real) > abs(place.imag):
            right = place.real > 0
            x, align = (frame.right - 4, "right") if right else (frame.left + 4, "left")
            at = complex(x, (top + frame.bottom) / 2 if end else top + 15)
            way = complex(1 if right else -1, 0)
        else:
            x, align = (frame.right - 4, "right") if across else (0.0, "centre")
            at = complex(x, frame.bottom - 7 if place.imag > 0 else top + 15)
            way = 1j if place.imag > 0 else -1j
        found.append(DrawnWords(_WORDS[name], at, size, align, halo=True, way=way))
    return found


_WORDS = {
    "hip": coded("drawn_hip"),
    "foot": coded("drawn_foot"),
    "inner": coded("drawn_inner"),
    "outer": coded("drawn_outer"),
}


NEAR_MM = 27.0


def _near(view: View, frame: Frame, covered: PageCells) -> tuple[Point, float]:
    """Where pads are shown close up, and how large: beside the words at the top, or where the page
    is narrow at a side of it where no hand lies, its outer one and its upper end first."""
    if frame.width > 270:
        reach = HEADER_MM / 2 - 4
        return complex(frame.right - reach - 4, frame.top + HEADER_MM / 2), reach
    high, low = frame.top + HEADER_MM + 22 + NEAR_MM, frame.bottom - 22 - NEAR_MM
    places = [
        complex(out * -view.inner * (frame.right - NEAR_MM - 3), high + (low - high) * down / 12)
        for out in (1, -1)
        for down in range(13)
    ]
    rims = [ellipse(0j, NEAR_MM * k / 3, NEAR_MM * k / 3).chords for k in (1, 2, 3)]
    disc = [0j, *(at for rim in rims for at in rim)]
    return min(places, key=lambda at: round(covered.share(disc, at), 2)), NEAR_MM


def _closeup(
    frame: Frame,
    at: Point,
    shapes: Sequence[Shape],
    presses: Sequence[tuple[Point, Point]],
) -> Closeup:
    """Pads twice as large. Of two places that are pressed far apart it shows one."""
    reach = HEADER_MM / 2 - 4 if frame.width > 270 else NEAR_MM
    tail, tip = presses[0]
    spot = tip + (tip - tail) / abs(tip - tail) * 9
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
