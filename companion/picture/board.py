"""Tape on this person's knee, laid on the map of a drawn leg, and the hands that lay it.

Everything is put together for a right knee and mirrored for a left one, words and numbers last. A
hand is drawn once, at a typical knee; it is moved to where the strip of the plan is.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from companion.care.coded import coded
from companion.care.records import KneeMeasures, Side, TapePlan
from companion.picture.curves import Point, ellipse, inside, straight
from companion.picture.drawing import DrawnWords, Shape
from companion.picture.knee import Knee
from companion.picture.skin import Skin
from companion.picture.stored import Figure, Stored, figure_of
from companion.picture.tape import (
    Laid,
    laid_mm,
    lay,
    short_piece_length,
    short_pieces,
    side_strip_length,
    side_strips,
    strip_shapes,
)
from companion.picture.told import Digit, HandName

STRIPS_OF_STAGE: dict[int, tuple[int, ...]] = {1: (1, 2), 2: (3, 4)}
"""The numbers of the strips each stage adds."""


@dataclass(frozen=True)
class BareKnee:
    """A drawn leg and the map of its skin."""

    figure: Figure
    skin: Skin


@dataclass(frozen=True)
class TapeHand:
    """One hand: where on the page its place of the skin is, and where its pads are."""

    figure: Figure
    at: Point
    pads: Point
    place: Point
    hand: HandName
    digits: tuple[Digit, ...]


def tape_hand_of(stored: Stored) -> TapeHand:
    """A stored hand, its places from the middle of the kneecap. Raises KeyError without one."""
    unit, told, figure = stored["unit_mm"], stored["hand"], figure_of(stored)
    at, pads = (complex(*told[which]) * unit - figure.origin for which in ("at", "pads"))
    moved = replace(figure, shapes=figure.moved(-figure.origin))
    ((hand, _, _), *_), digits = stored["touch"], tuple(pad for _, pad, _ in stored["touch"])
    return TapeHand(moved, at, pads, complex(*told["place"]), hand, digits)


Hands = Callable[[str], TapeHand | None]
"""A hand by what it does and which it is: `pinch_L`; None where none is drawn."""


@dataclass(frozen=True)
class Taped:
    """A knee to be taped: whose, how it is drawn, and every strip of a stage as it is laid."""

    knee: Knee
    tape: TapePlan
    bare: BareKnee
    laid: tuple[Laid, ...]

    def strip(self, number: int) -> Laid:
        """The strip of a number. Raises ValueError for one the stage does not have."""
        for one in self.laid:
            if one.strip.number == number:
                return one
        raise ValueError(f"no strip {number}")


def taped(
    knee: Knee, tape: TapePlan, measures: KneeMeasures | None, bare: BareKnee, stage: int
) -> Taped:
    """All strips up to a stage, each as long on the skin as it is cut and stretched.

    Raises ValueError for a stage without tape.
    """
    if stage not in STRIPS_OF_STAGE:
        raise ValueError(f"stage {stage} has no tape")
    each = [(strip, side_strip_length(tape, measures, knee)) for strip in side_strips(knee, tape)]
    if stage == 2:
        length = short_piece_length(tape, measures, knee)
        each += [(piece, length) for piece in short_pieces(knee, tape)]
    laid = tuple(lay(bare.skin, one, laid_mm(one, tape, long), long.slack_mm) for one, long in each)
    return Taped(knee, tape, bare, laid)


def bare_shapes(knee: Knee, bare: BareKnee) -> list[Shape]:
    """The leg with this person's kneecap, band and bony bump on it."""
    skin = bare.skin
    lines = [Shape("skin", one, "light") for edge in knee.tendon_edges for one in skin.lines(edge)]
    bones = [
        Shape("bone", one, "heavy", name=name)
        for name, edge in (("bump", knee.bump_rim), ("kneecap", knee.kneecap))
        for one in skin.lines(edge)
    ]
    return [*bare.figure.moved(-bare.figure.origin, arrows=False), *lines, *bones]


def moved_hand(hand: TapeHand | None, skin: Skin, place: Point) -> TapeHand | None:
    """The hand where its place of the skin is another one."""
    if hand is None:
        return None
    by = skin.on_page(place) - hand.at
    figure = replace(hand.figure, shapes=hand.figure.moved(by))
    return replace(hand, figure=figure, at=hand.at + by, pads=hand.pads + by, place=place)


def placed_hand(hand: TapeHand | None, knee: Knee, bare: BareKnee, place: Point) -> list[Shape]:
    """A hand over a bare knee, moved to a place of it; nothing where none is drawn."""
    found = moved_hand(hand, bare.skin, place)
    return [] if found is None else hand_shapes(knee, bare, found)


def hand_shapes(knee: Knee, bare: BareKnee, hand: TapeHand) -> list[Shape]:
    """A hand over what is on the knee, with the kneecap showing through it as a broken line."""
    areas = _areas(hand.figure.shapes)
    through = []
    for line in bare.skin.lines(knee.kneecap):
        run: list[Point] = []
        for at in (*line.points[::3], None):
            if at is not None and any(inside(at, ring) for ring in areas):
                run.append(at)
                continue
            if len(run) > 2:
                through.append(Shape("bone", straight(run), "light", dashed=True))
            run = []
    hands = [replace(one, role="hand") for one in hand.figure.shapes]
    return [*hands, *through]


def _areas(shapes: Sequence[Shape]) -> list[tuple[Point, ...]]:
    return [one.path.points[::3] for one in shapes if one.fill not in ("none", "ink")]


def length_words(on: Taped, side: Side, number: int) -> list[DrawnWords]:
    """How long a strip is off its paper, beside it; nothing where the length is not known."""
    laid = on.strip(number)
    if laid.slack_mm is None:
        return []
    # At its first end, clear of all of it: the hand that lays the last end is not there.
    first, last = (laid.on_page(laid.long_mm * share, 0.0)[0] for share in (0.12, 0.9))
    seen = [edges for k in range(10) if (edges := laid.edges(laid.long_mm * k / 10))]
    away = 1 if last.real > first.real else -1
    far = max((at.real * away for edges in seen for at in edges), default=first.real * away)
    out = complex((far + MM_OFF) * away, first.imag)
    at = out if side == "right" else -out.conjugate()
    words = coded("drawn_mm_bare", mm=round(laid.slack_mm))
    left = at.real < 0
    way = complex(-1 if left else 1, 0)
    align: Literal["left", "right"] = "right" if left else "left"
    return [DrawnWords(words, at + 4j, MM_WORDS_MM, align, halo=True, way=way, room=MM_ROOM)]


MM_WORDS_MM, MM_OFF, MM_ROOM = 11.0, 4.0, (9, 2)


def strips_shapes(on: Taped, numbers: Sequence[int]) -> list[Shape]:
    """These strips on the knee."""
    laid = [shape for number in numbers for shape in strip_shapes(on.strip(number))]
    return [*bare_shapes(on.knee, on.bare), *laid]


def mirrored(shapes: Sequence[Shape], side: Side) -> list[Shape]:
    """As they are at this knee."""
    if side == "right":
        return list(shapes)
    return [replace(one, path=one.path.moved(lambda p: -p.conjugate())) for one in shapes]


def number_words(
    on: Taped, side: Side, numbers: Sequence[int], shapes: Sequence[Shape]
) -> list[Shape | DrawnWords]:
    """The numbers of strips in discs: a side strip's near its end, a piece's near its beginning.

    There is none where a hand of these shapes lies over it.
    """
    found: list[Shape | DrawnWords] = []
    hands = _areas([one for one in shapes if one.role == "hand"])
    for number in numbers:
        laid = on.strip(number)
        stop = 12.0 if number > 2 else laid.long_mm - 14.0
        edges = laid.edges(stop)
        at = laid.on_page(stop, 0.0)[0] if edges is None else sum(edges) / 2
        at = at if side == "right" else -at.conjugate()
        if any(inside(at, ring) for ring in hands):
            continue
        found += [
            Shape("mark", ellipse(at, 8.2, 8.2), "heavy", "paper"),
            DrawnWords(coded("drawn_number", number=number), at + 4.3j, 12.0, bold=True),
        ]
    return found
