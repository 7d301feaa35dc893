"""One moment of taping at a time: what is on by then, the strip, both hands, and which way.

The hand on the strip's own side holds and lays it: whoever faces the person has the other hand
there. Each hand that is shown also says what it does, for whoever cannot see it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from companion.care.catalogue import TapeMoment
from companion.picture.board import (
    BareKnee,
    Hands,
    Taped,
    bare_shapes,
    hand_shapes,
    moved_hand,
)
from companion.picture.curves import Path, Point, bezier_point, ribbon, straight
from companion.picture.drawing import Fill, Shape
from companion.picture.leg import arrow
from companion.picture.tape import Laid, lay, pull_arrow, pull_place, strip_shapes
from companion.picture.told import Does, Doing
from companion.picture.views import Viewpoint

MOMENTS: tuple[TapeMoment, ...] = ("anchor", "draw", "lay", "end")
"""What is done with a side strip, one after the other."""
REMOVAL: tuple[TapeMoment, ...] = ("wet", "hold", "off", "follow", "wipe")
"""What is done to take it off."""
LEAST_LAID_MM = 18.0
CLEAR_OF_FINGERS_MM = 12.0
LAID_SHARE = 0.62
ON_SHARES: dict[TapeMoment, float] = {"off": 0.66, "follow": 0.42}
"""How much of a strip is still on while it is folded back, and followed."""
PRESSED_BESIDE_MM = 14.0
"""The skin is held down so far from the tape that still lies there (C)."""
TIP_MM = 9.0
"""Of a hand that holds a strip, so much of the strip comes out beyond its fingers."""
_TAIL_STEPS = 14


@dataclass
class _Shown:
    """What a moment shows, gathered one after the other."""

    on: Taped
    new: Laid
    hands: Hands
    items: list[Shape]
    arrows: list[Path] = field(default_factory=list)
    doings: list[Doing] = field(default_factory=list)

    def hand(self, which: str, does: Does, place: Point) -> None:
        """A hand at a place of the knee."""
        found = moved_hand(self.hands(which), self.on.bare.skin, place)
        if found is not None:
            self.items += hand_shapes(self.on.knee, self.on.bare, found)
            self.doings.append(Doing(found.hand, found.digits, does, self.on.knee.named(place)))

    def rubbed(self, own: str, does: Does, seen: Viewpoint) -> None:
        """A palm on the new strip, along all of it and back: one's own beside the kneecap, that of
        a helper, whose arms come from the foot, across the leg below it."""
        lies = self.new.place(self.new.long_mm / 2)
        if seen == "helper":
            first = self.on.laid[0]
            own, lies = "R", first.place(first.long_mm * 0.1)
        self.hand(f"rub_{own}", does, lies)
        self.arrows = [self.new.line(0.15, 0.85)]

    def held(self, which: str, does: Does, on_mm: float, at_mm: float) -> None:
        """What is not on the skin, in the hand that holds it."""
        found = moved_hand(self.hands(which), self.on.bare.skin, self.new.place(at_mm))
        if found is not None:
            folds = does == "folds"
            loose = _folded if folds else _tail
            self.items += loose(self.new, on_mm, found.pads)
            self.items += hand_shapes(self.on.knee, self.on.bare, found)
            self.doings.append(Doing(found.hand, found.digits, does))


def moment_shapes(
    on: Taped, number: int, moment: TapeMoment, hands: Hands, seen: Viewpoint
) -> tuple[list[Shape], tuple[Doing, ...]]:
    """What one moment shows, and what each hand does in it. Raises ValueError for "bend", which is
    seen from the side (`bent_shapes`)."""
    new = on.strip(number)
    strip = new.strip
    shown = _Shown(on, new, hands, bare_shapes(on.knee, on.bare))
    for one in on.laid:
        if one.strip.number < number:
            shown.items += strip_shapes(one)
    own, other = ("L", "R") if strip.inner == (seen == "own") else ("R", "L")
    if moment in REMOVAL:
        _taken_off(shown, moment, own, other, seen)
    else:
        _put_on(shown, moment, own, other, seen)
    both = moment in ("rub", "wipe")
    heads = (arrow(line, head_mm=11.0, both=both) for line in shown.arrows)
    return [*shown.items, *(one for each in heads for one in each)], tuple(shown.doings)


def _put_on(shown: _Shown, moment: TapeMoment, own: str, other: str, seen: Viewpoint) -> None:
    on, new = shown.on, shown.new
    strip = new.strip
    match moment:
        case "anchor":
            on_mm = min(max(strip.anchor_mm, LEAST_LAID_MM), new.long_mm * 0.5)
            shown.items += strip_shapes(new, on_mm)
            shown.held(f"pinch_{own}", "holds", on_mm, new.long_mm * 0.62)
            shown.hand(f"press_{other}", "presses", new.place(on_mm * 0.5))
        case "draw":
            pull = pull_place(on.knee, strip, on.tape)
            stop = strip.middle.distance_to(pull)
            on_mm = max(min(strip.anchor_mm, stop), LEAST_LAID_MM, stop - CLEAR_OF_FINGERS_MM)
            on_mm = min(on_mm, new.long_mm * LAID_SHARE)
            shown.items += strip_shapes(new, on_mm)
            shown.held(f"pinch_{own}", "holds", on_mm, new.long_mm)
            shown.hand(f"draw_{other}", "draws", pull)
            shown.arrows = on.bare.skin.lines(pull_arrow(strip, on.tape, on.knee))
        case "lay":
            on_mm = new.long_mm - min(strip.anchor_mm, new.long_mm * 0.3)
            shown.items += strip_shapes(new, on_mm)
            shown.hand(f"lay_{own}", "lays", new.place(on_mm))
            shown.arrows = [new.line(0.2, 0.55)]
        case "end":
            shown.items += strip_shapes(new)
            shown.hand(f"lay_{own}", "ends", new.place(new.long_mm - 6))
        case "rub":
            shown.items += strip_shapes(new)
            shown.rubbed(own, "rubs", seen)
        case _:
            raise ValueError(f"{moment} is not seen from the front")


def _taken_off(shown: _Shown, moment: TapeMoment, own: str, other: str, seen: Viewpoint) -> None:
    new = shown.new
    if moment == "wipe":
        shown.rubbed(own, "wipes", seen)
        return
    on_mm = new.long_mm * ON_SHARES.get(moment, 1.0)
    shown.items += strip_shapes(new, on_mm if moment in ON_SHARES else None)
    if moment == "wet":
        shown.hand(f"draw_{own}", "wets", new.place(new.long_mm - 5))
        shown.items += _drops(new)
        return
    # From in front of the knee a thumb would lie across the kneecap: a finger from beside does not.
    with_which = "press" if seen == "own" else "draw"
    shown.hand(f"{with_which}_{own}", "steadies", new.place(on_mm + PRESSED_BESIDE_MM))
    # One's own other hand comes from beside the kneecap, a helper's from the foot.
    folds = f"{'fold' if seen == 'own' else 'pinch'}_{other}"
    if moment == "off":
        shown.held(folds, "folds", on_mm, on_mm * 0.3)
        shown.arrows = [new.line(0.63, 0.3)]
    elif moment == "follow":
        shown.held(folds, "folds", on_mm, 0.0)
        shown.arrows = [new.line(0.86, 0.54)]


def bent_shapes(on: Taped, bent: BareKnee) -> list[Shape]:
    """The knee bent with all its tape on, each strip where the skin under it has gone, and the way
    the leg bends."""
    laid = (
        lay(on.bare.skin, one.strip, one.long_mm, one.slack_mm, shown_on=bent.skin)
        for one in on.laid
    )
    ways = (
        one
        for _, way in bent.figure.arrows
        for one in arrow(way.moved(lambda p: p - bent.figure.origin), head_mm=11.0)
    )
    strips = (shape for one in laid for shape in strip_shapes(one))
    return [*bare_shapes(on.knee, bent), *strips, *ways]


def _drops(laid: Laid) -> list[Shape]:
    """Drops of oil or water over the last end of a strip."""
    at = laid.on_page(laid.long_mm - 6, 0.0)[0]
    made = []
    for x, y, size in ((-13, -15, 5.0), (0, -22, 6.0), (13, -14, 5.0)):
        middle = at + complex(x, y)
        points = [
            middle + size * complex(a, b)
            for a, b in ((0, -1.5), (0.55, -0.4), (0.8, 0.3), (0.45, 0.9), (0, 1.05),
                         (-0.45, 0.9), (-0.8, 0.3), (-0.55, -0.4))
        ]  # fmt: skip
        made.append(Shape("mark", straight(points, closed=True), "light", "paper", name="drop"))
    return made


def _loose(laid: Laid, points: Sequence[Point], wide: float, *, back: bool) -> list[Shape]:
    area = ribbon(straight(points), lambda _: (wide, wide))
    fill: Fill = "paper" if back else "tape"
    return [Shape("tape", area, "heavy", fill, name=f"strip-{laid.strip.number}-free")]


def _tail(laid: Laid, from_mm: float, to: Point) -> list[Shape]:
    """What of a strip is not laid yet: from the skin up to the fingers that hold it."""
    start = laid.on_page(from_mm, 0.0)[0]
    before = laid.on_page(max(from_mm - 6.0, 0.0), 0.0)[0]
    edges = laid.edges(from_mm)
    wide = abs(edges[0] - edges[1]) / 2 if edges else laid.strip.width_mm / 2
    ahead = (start - before) / abs(start - before)
    far = abs(to - start)
    onto = to + (to - start) / far * TIP_MM
    curve = (start, start + ahead * far * 0.4, to - (to - start) * 0.25, onto)
    points = [bezier_point(curve, k / _TAIL_STEPS) for k in range(_TAIL_STEPS + 1)]
    return _loose(laid, points, wide, back=False)


def _folded(laid: Laid, from_mm: float, to: Point) -> list[Shape]:
    """What of a strip is off again: folded back flat on itself, its sticky side up."""
    start = laid.on_page(from_mm, 0.0)[0]
    return _loose(laid, [start, (start + to) / 2, to], laid.strip.width_mm / 2, back=True)
