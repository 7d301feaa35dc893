"""Figures as they are stored: vector lines drawn once from a posed body, which are only painted.

A file holds its size in units, how large a unit is, and its items in the order they are painted:
areas (f), lines (s), broken lines (d), arrows (a: go moves, back returns, both is to and fro) and
places that are pressed (p). A line is text: each point as its step from the one before it, five
bits a letter. Hands on a knee are stored alone, over the `ground` of their seat; `onward` says how
far each of their points goes until the next still, so that the program makes what is between.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Literal, NotRequired, TypedDict, get_args

from companion.picture.curves import Path, Point, straight
from companion.picture.drawing import Fill, Shape, Tint, Weight
from companion.picture.leg import arrow
from companion.picture.told import Digit, HandName

_WEIGHTS: dict[str, Weight] = {
    "outline": "light", "inner": "light", "mark": "light",
    "hand": "heavy", "leg": "heavy", "bone": "heavy", "nail": "light",
}  # fmt: skip
_TINTS: dict[str, Fill] = {
    "paper": "paper",
    "dark": "cloth",
    "limb": "press",
    **{tint: tint for tint in get_args(Tint)},
}


class StoredSkin(TypedDict):
    """The map of a bare knee, in units: the net's step and first places in millimetres, how far
    the eye is from the middle, and its rows from the foot to the hip, outer side first."""

    step: float
    along: float
    across: float
    far: float
    rows: list[str]
    deep: list[str]


class StoredHand(TypedDict):
    """A hand alone: where its place of the skin and its pads are, in units, and that place."""

    at: list[float]
    pads: list[float]
    place: list[float]


class Stored(TypedDict):
    """A file of a figure."""

    size: list[int]
    unit_mm: float
    steps: list[int]
    items: list[list[str]]
    ground: NotRequired[str]
    """The file whose items lie under these."""
    origin: NotRequired[list[float]]
    skin: NotRequired[StoredSkin]
    hand: NotRequired[StoredHand]
    edge_mm: NotRequired[float]
    """What is drawn beyond each side of what is shown."""
    places: NotRequired[dict[str, list[float]]]
    """Which way hip, foot, inner and outer side lie from the middle of the kneecap."""
    touch: NotRequired[list[tuple[HandName, Digit, str]]]
    """Hand, digit and place of each pad."""
    ways: NotRequired[list[tuple[str, str]]]
    """How each arrow goes, and where it ends."""
    contacts: NotRequired[dict[str, float]]
    """How far each pad is from its landmark, and how deep each hand sinks in, in millimetres."""
    seconds: NotRequired[float]
    """Until the next still, or for one round of `sway`."""
    onward: NotRequired[list[list[str]]]
    sway: NotRequired[str]
    """How the hands move with what is under them."""
    carried: NotRequired[bool]
    """Whether the kneecap moves with them."""


HEAD_MM = 8.0
"""The head of an arrow on a knee."""
Way = Literal["go", "back", "both"]
Arrow = tuple[Way, Path]
_WAYS: dict[str, Way] = {one: one for one in get_args(Way)}


@dataclass(frozen=True, slots=True)
class Figure:
    """One still: how large it is on a page, which steps of its sheet it shows, and its shapes."""

    width_mm: float
    height_mm: float
    steps: tuple[int, ...]
    shapes: tuple[Shape, ...]
    origin: Point = 0j
    """Where the middle of the kneecap is, in a figure of a knee."""
    edge_mm: float = 0.0
    places: Mapping[str, Point] = field(default_factory=dict)
    """Which way hip, foot, inner and outer side lie from there, one long."""
    arrows: tuple[Arrow, ...] = ()
    presses: tuple[tuple[Point, Point], ...] = ()
    """Where pads press: the tail and the point of what shows it."""

    def mirrored(self) -> Figure:
        """As it is for the other side of the body."""
        return replace(
            self,
            origin=self.width_mm - self.origin.conjugate(),
            places={name: -way.conjugate() for name, way in self.places.items()},
            arrows=tuple(
                (is_, way.moved(lambda p: self.width_mm - p.conjugate()))
                for is_, way in self.arrows
            ),
            presses=tuple(
                (self.width_mm - a.conjugate(), self.width_mm - b.conjugate())
                for a, b in self.presses
            ),
            shapes=tuple(
                replace(one, path=one.path.moved(lambda p: self.width_mm - p.conjugate()))
                for one in self.shapes
            ),
        )

    def smaller(self, share: float) -> Figure:
        """At a share of its size, its lines as wide as before."""
        return replace(
            self,
            width_mm=self.width_mm * share,
            height_mm=self.height_mm * share,
            arrows=tuple((is_, way.moved(lambda p: p * share)) for is_, way in self.arrows),
            shapes=tuple(
                replace(one, path=one.path.moved(lambda p: p * share)) for one in self.shapes
            ),
        )

    def moved(
        self, by: Point, *, arrows: bool = True, head_mm: float = HEAD_MM
    ) -> tuple[Shape, ...]:
        """Its shapes elsewhere on a page, its arrows last."""
        shapes = [*self.shapes, *(arrow_shapes(self.arrows, head_mm) if arrows else ())]
        return tuple(replace(one, path=one.path.moved(lambda p: p + by)) for one in shapes)


def figure_of(stored: Stored, ground: Stored | None = None, share: float = 0.0) -> Figure:
    """A stored figure, over its ground where it has one; `share` of the way to the next still, or
    of one round of its sway. Raises ValueError for a kind of item or a tint that is unknown."""
    unit = float(stored["unit_mm"])
    wide, high = stored["size"]
    under = (
        [] if ground is None else [one for item in ground["items"] for one in _under(item, unit)]
    )
    about = stored if ground is None else ground
    across, down = about.get("origin", (0.0, 0.0))
    sway = _swayed(stored, unit, share)
    shapes = list[Shape]()
    meant = {item[2] for item in stored["items"] if item[1] == "limb" and _is_leg(item[2])}
    onward = stored.get("onward") or [[]] * len(stored["items"])
    for item, ways in zip(stored["items"], [*onward, *[[]] * len(stored["items"])], strict=False):
        shapes += _shapes(item, unit, _moves(item, ways, share, sway, stored), meant)
    if sway and stored.get("carried"):
        shapes = [*(replace(one, dashed=True, weight="light")
                    for one in _kneecap(stored, unit)), *shapes]  # fmt: skip
    return Figure(
        wide * unit, high * unit, tuple(stored["steps"]), (*under, *shapes),
        complex(across, down) * unit,
        about.get("edge_mm", 0.0),
        {name: complex(*way) / 100 for name, way in about.get("places", {}).items()},
        tuple(_arrows(stored["items"], unit)),
        tuple(
            (line[0], line[-1])
            for kind, _, _, *lines in stored["items"] if kind == "p"
            for line in [points_of(lines[0], unit)]
        ),
    )  # fmt: skip


@lru_cache(maxsize=4096)
def points_of(packed: str, unit_mm: float = 1.0) -> tuple[Point, ...]:
    """The points of a packed line."""
    found, at, value, shift = list[Point](), [0, 0], 0, 0
    axis = 0
    for letter in packed:
        bits = ord(letter) - 63
        value |= (bits & 0x1F) << shift
        shift += 5
        if bits < 0x20:
            at[axis] += ~(value >> 1) if value & 1 else value >> 1
            value = shift = 0
            axis = 1 - axis
            if axis == 0:
                found.append(complex(at[0], at[1]) * unit_mm)
    return tuple(found)


def _swayed(stored: Stored, unit: float, share: float) -> Point:
    """How far the hands are carried at this part of a round."""
    if "sway" not in stored:
        return 0j
    line = points_of(stored["sway"], unit)
    at = min(max(share, 0.0), 1.0) * (len(line) - 1)
    low = min(int(at), len(line) - 2)
    return line[low] + (line[low + 1] - line[low]) * (at - low)


def _moves(
    item: Sequence[str], ways: Sequence[str], share: float, sway: Point, stored: Stored
) -> list[Sequence[Point] | Point]:
    """How far each line of an item is moved: all of it alike, or each point by itself."""
    if sway and (item[2] != "kneecap" or stored.get("carried")):
        return [sway] * (len(item) - 3)
    unit = float(stored["unit_mm"]) * share
    return [points_of(way, unit) if way and share else 0j for way in ways]


def _kneecap(stored: Stored, unit: float) -> Iterator[Shape]:
    for item in stored["items"]:
        if item[2] == "kneecap":
            yield from _shapes(item, unit, [])


@lru_cache(maxsize=1024)
def _cached(item: tuple[str, ...], unit: float) -> tuple[Shape, ...]:
    return tuple(_shapes(item, unit, []))


def _under(item: Sequence[str], unit: float) -> tuple[Shape, ...]:
    """What does not move is made once."""
    return _cached(tuple(item), unit)


def _is_leg(name: str) -> bool:
    return name.startswith("leg")


def _line(packed: str, unit: float, move: Sequence[Point] | Point) -> Sequence[Point]:
    line = points_of(packed, unit)
    if isinstance(move, complex):
        return [p + move for p in line] if move else line
    return [p + by for p, by in zip(line, move, strict=True)]


def _shapes(
    item: Sequence[str],
    unit: float,
    moves: Sequence[Sequence[Point] | Point],
    meant: Container[str] = (),
) -> Iterator[Shape]:
    """The shapes of one item. A leg that is `meant` has the skin of the person, since it is one
    person, and is told by its heavy line, which holds in any skin and in one bit."""
    kind, what, name, *packed = item
    if kind in ("a", "p"):
        return
    lines = [_line(one, unit, moves[i] if i < len(moves) else 0j) for i, one in enumerate(packed)]
    if kind == "f" and what in _TINTS:
        fill = "skin" if name in meant else _TINTS[what]
        yield Shape("person", _joined(lines), "none", fill, name=name)
    elif kind in ("s", "d") and what in _WEIGHTS:
        weight = "heavy" if name in meant else _WEIGHTS[what]
        yield Shape("person", straight(lines[0]), weight, dashed=kind == "d", name=name)
    else:
        raise ValueError(f"no item of a figure: {kind} {what}")


def _arrows(items: Sequence[Sequence[str]], unit: float) -> Iterator[Arrow]:
    for kind, what, _, *lines in items:
        if kind == "a":
            if what not in _WAYS:
                raise ValueError(f"no item of a figure: {kind} {what}")
            yield _WAYS[what], straight(points_of(lines[0], unit))


def arrow_shapes(arrows: Sequence[Arrow], head_mm: float = HEAD_MM) -> Iterator[Shape]:
    """Arrows as they are painted: solid for what moves, broken for what goes back."""
    for is_, way in arrows:
        for shape in arrow(way, head_mm=head_mm, both=is_ == "both"):
            yield replace(shape, dashed=is_ == "back" and shape.fill == "none")


def _joined(loops: Sequence[Sequence[Point]]) -> Path:
    """Several borders as one: whoever goes to the next comes back the same way."""
    corners = list(loops[0])
    for loop in loops[1:]:
        corners += [*loop, loop[0], loops[0][-1]]
    return straight(corners, closed=True)
