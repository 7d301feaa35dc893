"""A chart laid out: where each of its marks, lines and words stands. Plain arithmetic, no toolkit.

Lengths are those of the face its words are measured in, points on paper and pixels on a screen,
and grow with its size; y grows downwards. From top to bottom: the title and the words of the scale
where they are asked for, the names where there is no room beside the days, the labels of the plan
versions, the scale from 0 to 10 with its days, a lane for each thing that was so on some days. At
the right, in a gutter, each series is named beside its last point.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from itertools import pairwise
from typing import Literal, Protocol

from companion.canvas.box import Box
from companion.presentation.view.chart import (
    PLAN_STROKE,
    Chart,
    DaySpan,
    DayTick,
    PlanLine,
    Point,
    SeriesSign,
    Stroke,
    day_ticks,
)

TOP_SCORE = 10
_SCORES = range(0, TOP_SCORE + 1, 2)
_MOST_PLAN_ROWS = 3

# In sizes of the face.
_FINE, _FIRM, _FAINT, _RULE = 0.06, 0.1, 0.05, 0.07
_LEAST_RADIUS, _MOST_RADIUS = 0.14, 0.25
_LANE, _LANE_GAP = 0.86, 0.38
_HATCH_STEP = 0.25
_TICK = 0.28
_KEY = 1.33
"""For the sign before a name."""
_BEFORE_KEY = 1.05
"""White between the days and that sign, or it would pass for one more day."""
_GAP = 0.4

Colour = Literal["ink", "accent", "quiet", "rule", "faint", "words", "title"]
Align = Literal["left", "centre", "right"]


class Face(Protocol):
    """What words are measured with."""

    @property
    def size(self) -> float:
        """The size of its letters."""

    @property
    def line_height(self) -> float:
        """From one baseline to the next."""

    @property
    def cap_height(self) -> float:
        """Height of a capital letter."""

    def width(self, text: str) -> float:
        """Width of one line."""

    def lines(self, text: str, width: float) -> tuple[str, ...]:
        """The lines a text takes at a width."""


# ---------------------------------------------------------------- what is drawn


@dataclass(frozen=True, slots=True)
class Line:
    """A line through places, `width` wide."""

    places: tuple[tuple[float, float], ...]
    colour: Colour
    width: float
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Mark:
    """A sign with its middle at a place; `radius` is that of a plain dot."""

    sign: SeriesSign
    x: float
    y: float
    radius: float


@dataclass(frozen=True, slots=True)
class ChartText:
    """One line of words; `x`, `y` is on the baseline."""

    words: str
    x: float
    y: float
    colour: Colour = "words"
    align: Align = "left"


Item = Line | Mark | ChartText


@dataclass(frozen=True, slots=True)
class Plot:
    """The scales of one chart. Each day has a column of its own; a score sits at its middle."""

    area: Box
    first_day: date
    last_day: date

    @property
    def day_width(self) -> float:
        return self.area.width / ((self.last_day - self.first_day).days + 1)

    def x(self, day: date, share: float = 0.5) -> float:
        """The middle of a day's column, or another share of it (0 left edge, 1 right edge)."""
        return self.area.left + ((day - self.first_day).days + share) * self.day_width

    def y(self, score: float) -> float:
        """The height of a score: 0 at the bottom of the area, 10 at its top."""
        return self.area.bottom - score / TOP_SCORE * self.area.height

    def place(self, point: Point) -> tuple[float, float]:
        return self.x(point.day, point.share), self.y(point.score)

    def column(self, span: DaySpan) -> tuple[float, float]:
        """Left and right edge of a span of days, cut to the plot."""
        first = max(span.first_day, self.first_day)
        last = min(span.last_day, self.last_day)
        return self.x(first, 0), self.x(last, 1)

    def day_at(self, x: float) -> date:
        """The day whose column holds this place, the first or last one beside them."""
        days = (self.last_day - self.first_day).days
        place = math.floor((x - self.area.left) / self.day_width)
        return self.first_day + timedelta(days=min(max(place, 0), days))


@dataclass(frozen=True, slots=True)
class Drawn:
    """A chart laid out: its scales, the middles of its lanes, and everything to be painted."""

    plot: Plot
    lane_middles: tuple[float, ...]
    items: tuple[Item, ...]


# ---------------------------------------------------------------- sharing out the room


def names_of(chart: Chart) -> tuple[tuple[str, SeriesSign], ...]:
    """What the chart holds: the name of each thing that has a sign, and that sign."""
    series = [(each.name, each.sign) for each in chart.series if each.points]
    return (*series, *((lane.name, lane.sign) for lane in chart.lanes if lane.sign))


def gutter_width(charts: Iterable[Chart], face: Face, most: float = math.inf) -> float:
    """Room at the right for the names of all these charts, so that they share one day axis.

    A name wider than `most` takes two lines.
    """
    charts = tuple(charts)
    names = [each.name for chart in charts for each in chart.series]
    names += [lane.name for chart in charts for lane in chart.lanes]
    widest = max((face.width(name) for name in names), default=0.0)
    # A hair more than the widest, or rounding could break it.
    return min(1.01 * widest, most) + (_KEY + _BEFORE_KEY) * face.size


@dataclass(frozen=True, slots=True)
class _ChartFrame:
    """How a chart shares out its width, and what it needs above and below its scale."""

    left: float
    width: float
    above: float
    below: float
    key: tuple[tuple[int, float, str, SeriesSign], ...]
    plan_rows: tuple[tuple[PlanLine, int, float], ...]
    lanes: tuple[float, ...]
    """The height of each."""


def _frame(
    chart: Chart, left: float, width: float, face: Face, gutter: float, title: Face | None
) -> _ChartFrame:
    em, line = face.size, face.line_height
    edge = face.width(str(TOP_SCORE)) + 0.75 * em
    across = width - edge - (gutter or 0.9 * em)
    days = Plot(Box(left + edge, 0, across, 0), chart.first_day, chart.last_day)
    taken = left + face.width(chart.score_axis) + em if title else -math.inf
    plan_rows = tuple(_plan_rows(chart.plan_lines, days, face, taken, left + width))
    key = () if gutter else tuple(_key(chart, left, width, face))
    rows = max([1 if title else 0, *(row + 1 for _, row, _ in plan_rows if row >= 0)])
    rows += key[-1][0] + 1 if key else 0
    lanes = tuple(
        max((_LANE + _LANE_GAP) * em, lines * line + 0.1 * em if gutter else 0)
        for lines in (len(_name_lines(lane.name, face, gutter)) for lane in chart.lanes)
    )
    return _ChartFrame(
        left=edge,
        width=across,
        above=(title.line_height if title else 0) + rows * line + face.cap_height / 2 + _GAP * em,
        below=line + _TICK * em + sum(lanes) + (_GAP * em if lanes else 0),
        key=key,
        plan_rows=plan_rows,
        lanes=lanes,
    )


def height_around(
    chart: Chart, width: float, face: Face, gutter: float, title: Face | None = None
) -> float:
    """What a chart needs beside the height of its score scale."""
    frame = _frame(chart, 0, width, face, gutter, title)
    return frame.above + frame.below


def lay_out(chart: Chart, box: Box, face: Face, gutter: float, title: Face | None = None) -> Drawn:
    """The chart within a box.

    With a `gutter` (`gutter_width`) its series are named there, with 0 above the scale. With a face
    for its `title` it is headed by it and by the words of its scale. Raises ValueError when no room
    is left for the scale.
    """
    frame = _frame(chart, box.left, box.width, face, gutter, title)
    high = box.height - frame.above - frame.below
    if high < 4 * face.size:
        raise ValueError(f"a chart {box.height:g} high has no room for its scale")
    area = Box(box.left + frame.left, box.top + frame.above, frame.width, high)
    layout = _Layout(chart, box, face, Plot(area, chart.first_day, chart.last_day), frame, gutter)
    return layout.drawn(title)


def _name_lines(name: str, face: Face, gutter: float) -> tuple[str, ...]:
    return face.lines(name, gutter - (_KEY + _BEFORE_KEY) * face.size) if gutter else (name,)


def _plan_rows(
    lines: Iterable[PlanLine], days: Plot, face: Face, taken: float, right: float
) -> Iterator[tuple[PlanLine, int, float]]:
    """Each plan line with the row of its label, -1 where no row has room for it, and the left edge
    of the label: right of the line, or left of it at the end of the days."""
    free_from = [taken] + [-math.inf] * _MOST_PLAN_ROWS
    for line in sorted(lines, key=lambda each: each.day):
        x, wide, away = days.x(line.day, 0), face.width(line.label), 0.25 * face.size
        left = x + away if x + away + wide <= right else x - away - wide
        row = next((n for n, edge in enumerate(free_from) if left >= edge), -1)
        if row >= 0:
            free_from[row] = left + wide + _GAP * face.size
        yield line, row, left


def _key(
    chart: Chart, left: float, width: float, face: Face
) -> Iterator[tuple[int, float, str, SeriesSign]]:
    """The names in rows from left to right: row, left edge, name and sign."""
    row, x = 0, left
    for name, sign in names_of(chart):
        wide = _KEY * face.size + face.width(name)
        if x > left and x + wide > left + width:
            row, x = row + 1, left
        yield row, x, name, sign
        x += wide + 1.3 * face.size


# ---------------------------------------------------------------- laying out


@dataclass(frozen=True, slots=True)
class _Layout:
    chart: Chart
    box: Box
    face: Face
    plot: Plot
    frame: _ChartFrame
    gutter: float
    items: list[Item] = field(default_factory=list)

    def drawn(self, title: Face | None) -> Drawn:
        """Everything, the lowest first."""
        self._head(title)
        self._scale()
        self._days()
        self._plan_lines()
        for one, other in self.chart.links:
            self._line((self.plot.place(one), self.plot.place(other)), self.chart.link_stroke)
        for series in self.chart.series:
            for run in series.runs if series.line else ():
                self._line(tuple(self.plot.place(point) for point in run), series.line)
        for series in self.chart.series:
            for point in series.points:
                self.items.append(Mark(series.sign, *self.plot.place(point), self._radius))
        if self.chart.is_empty:
            area = self.plot.area
            middle = area.top + area.height / 2
            self._text(self.chart.nothing, area.left + area.width / 2, middle, align="centre")
        self._names()
        middles = self._lanes()
        return Drawn(self.plot, middles, tuple(self.items))

    @property
    def _radius(self) -> float:
        """Of a plain dot: smaller where the days stand close."""
        em = self.face.size
        if not self.chart.by_day:
            return _MOST_RADIUS * em
        return max(_LEAST_RADIUS * em, min(_MOST_RADIUS * em, self.plot.day_width * 0.4))

    def _line(self, places: tuple[tuple[float, float], ...], stroke: Stroke | None) -> None:
        if stroke is not None and len(places) > 1:
            width = (_FIRM if stroke.firm else _FINE) * self.face.size
            self.items.append(Line(places, stroke.ink, width, stroke.dashed))

    def _rule(self, x1: float, y1: float, x2: float, y2: float, colour: Colour) -> None:
        width = (_FAINT if colour == "faint" else _RULE) * self.face.size
        self.items.append(Line(((x1, y1), (x2, y2)), colour, width))

    def _text(self, words: str, x: float, middle: float, *, align: Align = "left") -> None:
        """Words whose capitals have their middle at a height."""
        self.items.append(ChartText(words, x, middle + self.face.cap_height / 2, align=align))

    def _head(self, title: Face | None) -> None:
        line, top = self.face.line_height, self.box.top
        if title is not None:
            baseline = top + (title.line_height + title.cap_height) / 2
            self.items.append(ChartText(self.chart.title, self.box.left, baseline, "title"))
            top += title.line_height
        for row, x, name, sign in self.frame.key:
            self._named(name, sign, x, top + (row + 0.5) * line)
        if title is not None:
            row = self.frame.key[-1][0] + 1 if self.frame.key else 0
            self._text(self.chart.score_axis, self.box.left, top + (row + 0.5) * line)

    def _scale(self) -> None:
        """A quiet line at every second score, a firmer one at 0."""
        area = self.plot.area
        for score in _SCORES:
            y = self.plot.y(score)
            self._rule(area.left, y, area.right, y, "faint" if score else "rule")
            self._text(str(score), area.left - 0.55 * self.face.size, y, align="right")

    def _days(self) -> None:
        area, face = self.plot.area, self.face
        top = area.bottom + _TICK * face.size
        for tick in self._ticks():
            x = self.plot.x(tick.day)
            self._rule(x, area.bottom, x, top, "rule")
            left, right = self._label_of(tick)
            self._text(tick.label, (left + right) / 2, top + face.line_height / 2, align="centre")

    def _label_of(self, tick: DayTick) -> tuple[float, float]:
        """Left and right edge of a day's label: centred under the day, but within the box."""
        wide = self.face.width(tick.label)
        left = min(max(self.plot.x(tick.day) - wide / 2, self.box.left), self.box.right - wide)
        return left, left + wide

    def _ticks(self) -> tuple[DayTick, ...]:
        """As many labels as stand apart."""
        plot, face = self.plot, self.face
        most = max(2, int(plot.area.width / (face.width("28 Nov") + face.size)))
        while True:
            ticks = day_ticks(plot.first_day, plot.last_day, most)
            ends = pairwise(self._label_of(tick) for tick in ticks)
            gaps = [left - right for (_, right), (left, _) in ends]
            if most == 2 or all(gap >= _GAP * face.size for gap in gaps):
                return ticks
            most -= 1

    def _plan_lines(self) -> None:
        """A dashed line where a plan began, up to its label; another label on its way breaks it."""
        area, line = self.plot.area, self.face.line_height
        rows = max((row + 1 for _, row, _ in self.frame.plan_rows), default=0)
        top = area.top - self.face.cap_height / 2 - _GAP * self.face.size - max(rows, 1) * line
        for plan, row, left in self.frame.plan_rows:
            x, middle = self.plot.x(plan.day, 0), top + (row + 0.5) * line
            upper = middle - line * 0.4 if row >= 0 else area.top
            for crossed in self._labels_under(x, row):
                self._line(((x, upper), (x, top + crossed * line)), PLAN_STROKE)
                upper = top + (crossed + 1) * line
            self._line(((x, upper), (x, area.bottom)), PLAN_STROKE)
            if row >= 0:
                self._text(plan.label, left, middle)

    def _labels_under(self, x: float, row: int) -> list[int]:
        """The rows below one of a plan's label where a line down from it meets other labels."""
        return sorted(
            other
            for plan, other, left in self.frame.plan_rows
            if other > row >= 0 and left <= x <= left + self.face.width(plan.label)
        )

    def _named(self, name: str, sign: SeriesSign | None, left: float, middle: float) -> None:
        """A name with its sign before it; in the gutter on as many lines as it needs."""
        em, line = self.face.size, self.face.line_height
        if sign is not None:
            at = left + 0.5 * em
            if sign.shape in ("hatch", "bracket"):
                self._cover(sign, Box(at - 0.45 * em, middle - 0.35 * em, 0.9 * em, 0.7 * em))
            else:
                self.items.append(Mark(sign, at, middle, 0.22 * em))
        lines = _name_lines(name, self.face, self.gutter)
        for n, words in enumerate(lines):
            self._text(words, left + _KEY * em, middle + (n - (len(lines) - 1) / 2) * line)

    def _names(self) -> None:
        """Each series beside its last point, as near to it as the others leave room for."""
        named = [each for each in self.chart.series if each.points]
        if not self.gutter or not named:
            return
        area, left = self.plot.area, self.plot.area.right + _BEFORE_KEY * self.face.size
        most = max(len(_name_lines(each.name, self.face, self.gutter)) for each in named)
        wanted = [self.plot.y(each.points[-1].score) for each in named]
        heights = spread(wanted, self.face.line_height * most, area.top, area.bottom)
        for each, middle in zip(named, heights, strict=True):
            self._named(each.name, each.sign, left, middle)

    def _lanes(self) -> tuple[float, ...]:
        area, em = self.plot.area, self.face.size
        top = area.bottom + _TICK * em + self.face.line_height + _GAP * em
        middles = []
        for lane, high in zip(self.chart.lanes, self.frame.lanes, strict=True):
            middle = top + high / 2
            middles.append(middle)
            top += high
            if lane.sign is not None:
                self._rule(area.left, middle, area.right, middle, "faint")
            for n, span in enumerate(lane.spans):
                left, right = self.plot.column(span)
                if lane.sign is None:
                    self._text(lane.texts[n], (left + right) / 2, middle, align="centre")
                elif lane.sign.shape in ("hatch", "bracket"):
                    box = Box(left, middle - _LANE / 2 * em, right - left, _LANE * em)
                    self._cover(lane.sign, box)
                else:
                    for day in span:
                        self.items.append(Mark(lane.sign, self.plot.x(day), middle, self._radius))
            if self.gutter:
                self._named(lane.name, lane.sign, area.right + _BEFORE_KEY * em, middle)
        return tuple(middles)

    def _cover(self, sign: SeriesSign, box: Box) -> None:
        """Days under a hatched box, or under a bracket."""
        em, ink = self.face.size, sign.ink
        left, right, low = box.left, box.right, box.bottom
        if sign.shape == "hatch":
            # Strokes of our own: a pattern brush is drawn in device pixels and is grey on paper.
            for x1, y1, x2, y2 in hatch(box, _HATCH_STEP * em):
                self.items.append(Line(((x1, y1), (x2, y2)), ink, _FAINT * em))
            corners = ((left, box.top), (right, box.top), (right, low), (left, low))
            self.items.append(Line((*corners, corners[0]), ink, _FAINT * em))
        else:
            high = box.top + 0.2 * em
            feet = ((left, low), (left, high), (right, high), (right, low))
            self.items.append(Line(feet, ink, _FIRM * em))


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
