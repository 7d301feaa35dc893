"""Words, arrows and what is shown close up, moved to where they hide nothing: no hand, no pad, no
tape, none of each other.

What lies where is counted in small cells of the page. Nothing here knows which picture it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import partial
from itertools import pairwise
from operator import add

from companion.picture.curves import Path, Point, ellipse, unit
from companion.picture.drawing import (
    LINE_SHARE,
    WORDS_HALO_SHARE,
    Closeup,
    DrawnWords,
    Frame,
    Shape,
)
from companion.picture.stored import Arrow

CELL_MM = 2.0
LETTER_SHARE, HIGH_SHARE = 0.56, 0.8
"""A letter is so wide and high against the size of its word."""
WORDS_STEP_MM, WORDS_IN_MM = 4.0, 64.0
"""Words are moved along their side of the page, and inwards up to so far."""
ARROW_STEP_MM, ARROW_OFF_MM, ARROW_WAYS = 4.0, 36.0, 16
"""An arrow is moved up to so far from where it is stored, in so many directions."""
NEAR_MM = 75.0
"""So far off says as little as an arrow that lies over a hand with all of its length (C)."""
AROUND_MM = 3.5
"""What an arrow hides to each side of its line: its paper."""
ROUND = 12
TIP_MM = 5.0
"""A finger tip reaches so far from the middle of its nail."""
HANDS = ("hand", "pads", "sleeve", "arm", "fold", "nail")
KNEECAP_MM, MIDDLE_MM = 21.0, 14.0
"""How far a kneecap and its middle reach from its centre."""
TIPS = 9
"""The weight of what must be seen before all else: finger tips, words, a mark that presses."""

Item = Shape | DrawnWords | Closeup


class PageCells:
    """Which cells of a page something lies on; beside the page everything is taken."""

    def __init__(self, frame: Frame) -> None:
        self._frame = frame
        self._wide = int(frame.width / CELL_MM) + 1
        self._high = int(frame.height / CELL_MM) + 1
        self._rows = [bytearray(self._wide) for _ in range(self._high)]

    def area(self, ring: Sequence[Point], weight: int = 1) -> None:
        """A closed ring lies over what is there (even-odd rule); `weight` (1 to 255) says how much
        it matters."""
        crossings: dict[int, list[float]] = {}
        for a, b in pairwise((*ring, ring[0])):
            (x0, y0), (x1, y1) = self._cell(a), self._cell(b)
            if y0 == y1:
                continue
            low, high = min(y0, y1), max(y0, y1)
            for y in range(max(0, int(low + 0.5)), min(self._high, int(high + 0.5))):
                at = x0 + (y + 0.5 - y0) / (y1 - y0) * (x1 - x0)
                crossings.setdefault(y, []).append(at)
        for y, ends in crossings.items():
            ends.sort()
            row = self._rows[y]
            for left, right in zip(ends[::2], ends[1::2], strict=False):
                begin = min(max(0, int(left)), self._wide)
                end = max(begin, min(self._wide, int(right) + 1))
                row[begin:end] = bytes([weight]) * (end - begin)

    def spots(self, points: Iterable[Point], weight: int) -> None:
        """These cells are taken."""
        for point in points:
            x, y = self._cell(point)
            if 0 <= x < self._wide and 0 <= y < self._high:
                self._rows[int(y)][int(x)] = weight

    def share(self, points: Sequence[Point], off: Point = 0j) -> float:
        """How much of some places, moved by `off`, is taken, by weight."""
        left, top = self._frame.left - off.real, self._frame.top - off.imag
        total = 0
        for point in points:
            x, y = (point.real - left) / CELL_MM, (point.imag - top) / CELL_MM
            inside = 0 <= x < self._wide and 0 <= y < self._high
            total += self._rows[int(y)][int(x)] if inside else TIPS
        return total / len(points)

    def _cell(self, at: Point) -> tuple[float, float]:
        return (at.real - self._frame.left) / CELL_MM, (at.imag - self._frame.top) / CELL_MM


def hides(shape: Shape) -> bool:
    """Whether words and arrows keep off it: a hand, a pad, tape, a mark that presses."""
    if shape.weight == "halo" or shape.fill == "none":
        return False
    return shape.role in ("hand", "tape", "mark", "arrow") or (shape.name or "").startswith(HANDS)


def covered_by(items: Iterable[Item], area: Frame) -> PageCells:
    """What of a picture is to be seen whole, finger tips and words before all else."""
    covered, tips = PageCells(area), list[Sequence[Point]]()
    for item in items:
        if isinstance(item, Closeup):
            tips.append(item.ring.path.chords)
        elif isinstance(item, DrawnWords):
            tips.append(_corners(*_box(item)))
        elif (item.name or "").startswith("nail"):
            rim = _ring(item.path)
            middle = sum(rim) / len(rim)
            tips.append(ellipse(middle, TIP_MM, TIP_MM).chords)
        elif hides(item) and (item.fill == "press" or item.name == "press"):
            tips.append(_ring(item.path))
        elif hides(item) or (item.role == "bone" and item.name == "kneecap"):
            covered.area(_ring(item.path))
        elif item.role == "arrow" and item.weight == "heavy":
            _cover_line(covered, item.path)
    for ring in tips:
        covered.area(ring, TIPS)
    return covered


def _ring(path: Path) -> Sequence[Point]:
    """Its corners; what has few of them is round."""
    return path.points[::3] if len(path.points) > 3 * ROUND else path.chords


def words_clear(items: Sequence[Item], area: Frame, reach: Iterable[Shape] = ()) -> list[Item]:
    """The words that name an end or a side of the page where nothing lies, as near to the middle of
    it as that is; `reach` is kept free as well, such as hands that come there later."""
    moving = [one for one in items if isinstance(one, DrawnWords) and one.way is not None]
    covered = covered_by((*(one for one in items if one not in moving), *reach), area)
    found: list[Item] = []
    for item in items:
        cleared = item
        if isinstance(item, DrawnWords) and item.way is not None:
            cleared = _cleared(item, item.way, area, covered)
            covered.area(_corners(*_box(cleared)), TIPS)
        found.append(cleared)
    return found


def _cleared(words: DrawnWords, way: Point, area: Frame, covered: PageCells) -> DrawnWords:
    grid = _grid(words)
    best, least = 0j, covered.share(grid)
    for off in _offs(words, way, area) if least else ():
        hidden = covered.share(grid, off)
        if hidden < least:
            best, least = off, hidden
        if not hidden:
            break
    return replace(words, at=words.at + best)


def _offs(words: DrawnWords, way: Point, area: Frame) -> list[Point]:
    """How far it may be moved, the least first: along its side of the page, or further in, which
    counts double."""
    left, top, right, bottom = _box(words)
    steps = int(max(area.width, area.height) / WORDS_STEP_MM)
    found = []
    for deep in range(int(WORDS_IN_MM / WORDS_STEP_MM)):
        for step in range(-steps, steps + 1):
            off = (way * 1j * step - way * deep) * WORDS_STEP_MM
            across = area.left <= left + off.real and right + off.real <= area.right
            down = area.top <= top + off.imag and bottom + off.imag <= area.bottom
            if across and down:
                found.append((abs(step) + 2 * deep, off))
    return [off for _, off in sorted(found, key=lambda one: one[0])]


def _box(words: DrawnWords) -> tuple[float, float, float, float]:
    letters, lines = words.room
    wide = letters * LETTER_SHARE * words.size_mm
    left = words.at.real - {"left": 0.0, "centre": wide / 2, "right": wide}[words.align]
    low = (0.24 + (lines - 1) * LINE_SHARE) * words.size_mm
    high = HIGH_SHARE * words.size_mm
    return left, words.at.imag - high, left + wide, words.at.imag + low


def _corners(left: float, top: float, right: float, bottom: float) -> tuple[Point, ...]:
    return complex(left, top), complex(right, top), complex(right, bottom), complex(left, bottom)


def _grid(words: DrawnWords) -> list[Point]:
    left, top, right, bottom = _box(words)
    # What lies close beside a letter is read as a part of it.
    paper = WORDS_HALO_SHARE * words.size_mm
    left, right = left - paper, right + paper
    across = [left + (right - left) * k / 12 for k in range(13)]
    rows = 2 * words.room[1]
    down = [top + (bottom - top) * k / rows for k in range(rows + 1)]
    return [complex(x, y) for y in down for x in across]


def _beside(path: Path) -> list[Point]:
    """Places of an arrow: its line and its paper."""
    count = max(4, int(path.length_mm / 4))
    middle = [path.share(k / count) for k in range(count + 1)]
    return [at + off for at in middle for off in _AROUND]


_AROUND = (0j, *(AROUND_MM * unit(angle) for angle in (0, 90, 180, 270)))


def arrows_clear(arrows: Iterable[Arrow], items: Iterable[Item], area: Frame) -> list[Arrow]:
    """Arrows where they hide nothing of a picture and none of the others."""
    covered, found = covered_by(items, area), list[Arrow]()
    for is_, way in arrows:
        off = _arrow_off(way, covered)
        moved = way.moved(partial(add, off))
        _cover_line(covered, moved)
        found.append((is_, moved))
    return found


def _cover_line(covered: PageCells, line: Path) -> None:
    covered.spots(_beside(line), TIPS)


def _arrow_off(path: Path, covered: PageCells) -> Point:
    """How far an arrow is moved: least where it hides nothing, but not so far that it no longer
    says of what. One that is not for the kneecap itself keeps off it."""
    places = _beside(path)
    over = sum(abs(at) < MIDDLE_MM for at in places) > len(places) / 2

    def cost(off: Point) -> float:
        kneecap = 0 if over else sum(abs(at + off) < KNEECAP_MM for at in places)
        return covered.share(places, off) + kneecap / len(places) + abs(off) / NEAR_MM

    best, least = 0j, cost(0j)
    for ring in range(1, int(ARROW_OFF_MM / ARROW_STEP_MM) + 1):
        if least <= ring * ARROW_STEP_MM / NEAR_MM:
            break
        for k in range(ARROW_WAYS):
            off = ring * ARROW_STEP_MM * unit(k * 360 / ARROW_WAYS)
            found = cost(off)
            if found < least:
                best, least = off, found
    return best
