"""A drawing: a frozen list of shapes and words, in millimetres, that knows no colour.

The first axis points right and the second down, as on a page. Two line weights; skin is paper;
tape is the one filled thing. Whoever paints it chooses ink, paper and tape.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import reduce
from typing import Literal

from companion.care.coded import Coded, Say, coded
from companion.picture.curves import Path, Point

Role = Literal[
    "skin", "bone", "cloth", "tape", "anchor", "tape_path", "hand", "arrow", "mark", "zone",
    "figure", "person", "words",
]  # fmt: skip
Weight = Literal["none", "light", "heavy", "halo"]
"""Two weights of ink: heavy for hands, leg, kneecap, tape and arrows, light for what is inside them
and for whole people, of whom the leg that is meant is heavy too. halo: paper round heavy ink, so
that an arrow stays apart from the lines it crosses."""
Tint = Literal["skin", "press", "flush", "cloth", "piece", "hair", "wood", "shade", "ghost"]
"""Quiet areas of a figure. press: a pad that presses, or skin that is held; flush: skin as tape may
leave it; piece: a short piece of tape; shade: a wall; ghost: where it was or will be. Every picture
can be read without them."""
Fill = Literal["none", "paper", "tape", "ink"] | Tint

WEIGHTS_MM: dict[Weight, float] = {
    "none": 0.0,
    "light": 1.1,
    "heavy": 2.0,
    "halo": 5.4,
}
LEAST_LINES: dict[Weight, float] = {"none": 0.0, "light": 1.25, "heavy": 2.6, "halo": 5.6}
"""How wide a line is at least where it is shown, in pixels: a thinner one breaks in one bit (C)."""
HALOS: frozenset[Weight] = frozenset({"halo"})
DASH_MM, DASH_SHARE = 4.0, 2.6
"""A broken line: as long a dash as a gap, and that at least as long as it is so many times wide."""
WORDS_HALO_SHARE = 0.25
"""The line of paper round each letter is this share of its size."""
LINE_SHARE = 12 / 11
"""From one line of words to the next, as a share of their size."""


@dataclass(frozen=True, slots=True)
class Shape:
    """One path. `name` is its id in a file; `dashed` breaks the line."""

    role: Role
    path: Path
    weight: Weight = "light"
    fill: Fill = "none"
    dashed: bool = False
    name: str | None = None

    def line(self, pixels_per_mm: float) -> tuple[Literal["ink", "paper"], float] | None:
        """What its line is drawn with and how wide, in millimetres, where it is shown at this
        scale; None without a line."""
        if self.weight == "none":
            return None
        width = max(WEIGHTS_MM[self.weight], LEAST_LINES[self.weight] / pixels_per_mm)
        return "paper" if self.weight in HALOS else "ink", width

    def dash_mm(self, width: float) -> float:
        """How long its dashes and gaps are where its line is so wide: round ends do not meet."""
        return max(DASH_MM, width * DASH_SHARE)


@dataclass(frozen=True, slots=True)
class DrawnWords:
    """A word or two, never mirrored or turned. `at` is on the baseline of their first line.

    Whoever paints them says them: `what` is their code. With `halo` there is paper round the
    letters, for words that may lie over lines.
    """

    what: Coded
    at: Point
    size_mm: float
    align: Literal["left", "centre", "right"] = "centre"
    bold: bool = False
    halo: bool = False
    role: Role = "words"
    way: Point | None = None
    """Towards which end or side of the page they stand; along it they may be moved. None: not."""
    room: tuple[int, int] = (5, 1)
    """As many letters and lines as they may have."""

    def lines(self, say: Say) -> Iterator[tuple[str, Point]]:
        """What stands there, line by line, each with its own place."""
        for number, line in enumerate(say(self.what).split("\n")):
            yield line, self.at + number * LINE_SHARE * self.size_mm * 1j


@dataclass(frozen=True, slots=True)
class Closeup:
    """A part of a picture once more and larger, cut off at a circle with a line round it."""

    at: Point
    radius_mm: float
    shapes: tuple[Shape, ...]
    ring: Shape


@dataclass(frozen=True, slots=True)
class Frame:
    """What is shown, in millimetres; everything outside is cut off."""

    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Its right side."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """Its lower side."""
        return self.top + self.height


@dataclass(frozen=True, slots=True)
class Drawing:
    """A whole picture. `description` is what it shows, for whoever cannot see it."""

    frame: Frame
    items: tuple[Shape | DrawnWords | Closeup, ...]
    description: Coded

    @property
    def shapes(self) -> tuple[Shape, ...]:
        """The lines and areas."""
        return tuple(item for item in self.items if isinstance(item, Shape))

    @property
    def words(self) -> tuple[DrawnWords, ...]:
        """The words."""
        return tuple(item for item in self.items if isinstance(item, DrawnWords))


def described(parts: Iterable[Coded]) -> Coded:
    """A description of some parts, a sentence each; a part may be a description itself."""
    bare = map(_without_stop, parts)
    return coded("drawn", what=reduce(lambda a, b: coded("drawn_then", first=a, then=b), bare))


def _without_stop(part: Coded) -> Coded:
    inner = dict(part.values).get("what") if part.code == "drawn" else None
    return inner if isinstance(inner, Coded) else part
