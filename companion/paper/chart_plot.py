"""Where things stand in a chart on paper: plain arithmetic in points, no painting.

A plot has a score axis on the left (0 to 10, always), lanes under the day axis for what is on or
off on a day, and a gutter on the right for the words that name each line directly.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from companion.presentation.view.chart import DaySpan

TOP_SCORE = 10


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle in points, y downwards."""

    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Right edge."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """Lower edge."""
        return self.top + self.height


@dataclass(frozen=True, slots=True)
class Plot:
    """The scales of one chart. Each day has a column of its own; a score sits at its middle."""

    area: Box
    first_day: date
    last_day: date

    @property
    def day_width(self) -> float:
        """Width of one day's column."""
        return self.area.width / ((self.last_day - self.first_day).days + 1)

    def x(self, day: date, share: float = 0.5) -> float:
        """The middle of a day's column, or another share of it (0 left edge, 1 right edge)."""
        return self.area.left + ((day - self.first_day).days + share) * self.day_width

    def y(self, score: float) -> float:
        """The height of a score: 0 at the bottom of the area, 10 at its top."""
        return self.area.bottom - score / TOP_SCORE * self.area.height

    def column(self, span: DaySpan) -> tuple[float, float]:
        """Left and right edge of a span of days, cut to the plot."""
        first = max(span.first_day, self.first_day)
        last = min(span.last_day, self.last_day)
        return self.x(first, 0), self.x(last, 1)

    @property
    def dot_radius(self) -> float:
        """Radius of a score's dot: smaller where the days stand close."""
        return max(1.0, min(2.6, self.day_width * 0.36))


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> tuple[float, ...]:
    """Heights as near to `wanted` as may be, at least `gap` apart, within `low` to `high`.

    The order of the heights is kept, ties in the order given. When there is no room for all at
    that gap they share the room evenly.
    """
    count = len(wanted)
    if count == 0:
        return ()
    if count > 1 and gap * (count - 1) > high - low:
        gap = (high - low) / (count - 1)
    order = sorted(range(count), key=lambda n: (wanted[n], n))
    # Each height is at least its neighbour above plus the gap, then the tail is pushed back up.
    placed: list[float] = []
    for place, n in enumerate(order):
        least = low if place == 0 else placed[-1] + gap
        placed.append(max(wanted[n], least))
    limit = high
    for place in range(count - 1, -1, -1):
        placed[place] = min(placed[place], limit)
        limit = placed[place] - gap
    result = [0.0] * count
    for place, n in enumerate(order):
        result[n] = placed[place]
    return tuple(result)


def hatch(box: Box, step: float) -> tuple[tuple[float, float, float, float], ...]:
    """Rising diagonal strokes that fill a box, each cut to it: x1, y1, x2, y2 in points.

    Strokes are anchored to the page, not to the box, so that neighbouring boxes match.
    """
    strokes: list[tuple[float, float, float, float]] = []
    # On a rising diagonal x + y is constant.
    total = -(-(box.left + box.top) // step) * step
    while total <= box.right + box.bottom:
        x1 = max(box.left, total - box.bottom)
        x2 = min(box.right, total - box.top)
        if x2 > x1:
            strokes.append((x1, total - x1, x2, total - x2))
        total += step
    return tuple(strokes)


def apart(centres_and_widths: Iterable[tuple[float, float]], gap: float) -> tuple[bool, ...]:
    """Which labels in a row may be drawn: each that does not touch the last one drawn."""
    allowed: list[bool] = []
    edge = float("-inf")
    for centre, width in centres_and_widths:
        free = centre - width / 2 >= edge
        allowed.append(free)
        if free:
            edge = centre + width / 2 + gap
    return tuple(allowed)
