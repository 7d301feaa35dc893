"""Draws chart descriptions with QPainter: in ink alone, so that a grey copy says the same.

Kinds differ by shape, never by colour. All lengths are points in the painter's own coordinates.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPolygonF

from companion.paper.chart_plot import Box, Plot, apart, hatch, spread
from companion.paper.typesetting import (
    FAINT_RULE_INK,
    INK,
    QUIET_INK,
    RULE_INK,
    Align,
    TextStyle,
    cap_height,
    draw_line,
    solid,
    text_width,
    wrapped,
)
from companion.presentation.language.phrases import phrase
from companion.presentation.view.chart import (
    DayChart,
    PlanLine,
    PointKind,
    SessionChart,
    SessionChartWords,
    SessionPair,
    TrialChart,
    day_ticks,
)

_PAPER = QColor("#FFFFFF")
_SCORES = (0, 2, 4, 6, 8, 10)
_LANE = 9.0
"""Height of one lane under the day axis, in points."""
_LANE_GAP = 4.0
_KEY = 14.0
"""Width kept for the small sign before a direct label."""
_BEFORE_KEY = 11.0
"""White between the plot and that sign, or it would pass for one more day."""
_HATCH_STEP = 2.6

_Glyph = Callable[[QPainter, QPointF], None]
AnyChart = DayChart | SessionChart | TrialChart


@dataclass(frozen=True, slots=True)
class ChartStyle:
    """Sizes of the words in a chart, in points."""

    title: TextStyle
    words: TextStyle


def chart_style(size: float) -> ChartStyle:
    """Words of `size` points, with a title one step larger."""
    return ChartStyle(
        title=TextStyle(size * 1.15, bold=True), words=TextStyle(size, leading=1.2, quiet=True)
    )


# ---------------------------------------------------------------- where the parts go


@dataclass(frozen=True, slots=True)
class Parts:
    """A chart's box shared out: the plot, the lanes under it, and the gutter for words."""

    plot: Plot
    gutter_left: float
    gutter_width: float
    ticks_baseline: float
    lanes_top: float


def gutter_width(charts: Iterable[AnyChart], style: ChartStyle, width: float) -> float:
    """Room at the right for the words of all these charts, so that they share one day axis.

    A quarter of `width` at most: a longer word takes two lines.
    """
    labels = [label for chart in charts for label in _labels_of(chart)]
    widest = max((text_width(label, style.words) for label in labels), default=0.0)
    return min(widest, width * 0.25) + _KEY + _BEFORE_KEY


def height_around(chart: AnyChart, style: ChartStyle) -> float:
    """What a chart needs beside the height of its score scale: titles, day labels, lanes."""
    lanes = _lane_count(chart)
    return _above(style) + _below(style, lanes)


def parts_of(chart: AnyChart, box: Box, style: ChartStyle, gutter: float | None = None) -> Parts:
    """Share out the box of a chart. Raises ValueError when no room is left for the scale."""
    if gutter is None:
        gutter = gutter_width([chart], style, box.width)
    words = style.words
    left = text_width("10", words) + 8
    area = Box(
        box.left + left,
        box.top + _above(style),
        box.width - left - gutter,
        box.height - height_around(chart, style),
    )
    if area.height < 4 * words.size:
        raise ValueError(f"a chart {box.height:g} points high has no room for its scale")
    return Parts(
        plot=Plot(area, chart.first_day, chart.last_day),
        gutter_left=area.right + _BEFORE_KEY,
        gutter_width=gutter - _BEFORE_KEY,
        ticks_baseline=area.bottom + 3 + words.line_height * 0.8,
        lanes_top=area.bottom + _below(style, 0) + 4,
    )


def _above(style: ChartStyle) -> float:
    return style.title.line_height + style.words.line_height + 8


def _below(style: ChartStyle, lanes: int) -> float:
    return style.words.line_height + 3 + (lanes * (_LANE + _LANE_GAP) + 4 if lanes else 0)


def _lane_count(chart: AnyChart) -> int:
    """How many lanes stand under the days: a trial's holds the numbers of its pairs."""
    if isinstance(chart, TrialChart):
        return 1
    return len(_lanes_of(chart)) if isinstance(chart, DayChart) else 0


def _labels_of(chart: AnyChart) -> tuple[str, ...]:
    if isinstance(chart, TrialChart):
        return (chart.words.tape, chart.words.no_tape)
    words = chart.words
    if isinstance(words, SessionChartWords):
        stages = _stages_shown(chart).values() if isinstance(chart, SessionChart) else ()
        return (words.before, *stages)
    lanes = {"taped": words.taped, "medicine": words.medicine, "flare": words.flare}
    shown = _lanes_of(chart) if isinstance(chart, DayChart) else ()
    return (words.average, words.worst, words.now, *(lanes[lane] for lane in shown))


# ---------------------------------------------------------------- a day chart


def draw_day_chart(
    painter: QPainter, chart: DayChart, box: Box, style: ChartStyle, gutter: float | None = None
) -> Parts:
    """Pain by diary day in `box`; returns where its parts went."""
    parts = parts_of(chart, box, style, gutter)
    plot = parts.plot
    painter.save()
    _frame(painter, parts, box, style, (chart.title, chart.words.score_axis))
    taken = box.left + text_width(chart.words.score_axis, style.words)
    _plan_lines(painter, plot, chart.plan_lines, style, taken)
    if chart.is_empty:
        _nothing(painter, plot, chart.words.nothing, style)
    radius = plot.dot_radius
    solid(painter, INK, max(0.6, radius * 0.42))
    for run in chart.runs(PointKind.AVERAGE):
        painter.drawPolyline(QPolygonF([_place(plot, p.day, p.score) for p in run]))
    for point in chart.points(PointKind.WORST):
        _bar(painter, _place(plot, point.day, point.score), radius)
    for point in chart.points(PointKind.NOW):
        _open_dot(painter, _place(plot, point.day, point.score), radius * 1.5, filled_in=False)
    for point in chart.points(PointKind.AVERAGE):
        _dot(painter, _place(plot, point.day, point.score), radius)
    _name_series(painter, chart, parts, style)
    _draw_lanes(painter, chart, parts, style)
    painter.restore()
    return parts


def _name_series(painter: QPainter, chart: DayChart, parts: Parts, style: ChartStyle) -> None:
    """Name each kind beside its last point."""
    plot = parts.plot
    words = chart.words
    named: list[tuple[float, str, _Glyph]] = []
    for kind, word, glyph in (
        (PointKind.WORST, words.worst, _bar_sign),
        (PointKind.AVERAGE, words.average, _dot_sign),
        (PointKind.NOW, words.now, _ring_sign),
    ):
        points = chart.points(kind)
        if points:
            named.append((plot.y(points[-1].score), word, glyph))
    _gutter_words(painter, parts, style, named)


def _lanes_of(chart: DayChart) -> tuple[str, ...]:
    names = (("taped", chart.bands), ("medicine", chart.marks), ("flare", chart.flares))
    return tuple(name for name, held in names if held)


def _draw_lanes(painter: QPainter, chart: DayChart, parts: Parts, style: ChartStyle) -> None:
    plot = parts.plot
    top = parts.lanes_top
    for lane in _lanes_of(chart):
        middle = top + _LANE / 2
        solid(painter, FAINT_RULE_INK, 0.5)
        painter.drawLine(QLineF(plot.area.left, middle, plot.area.right, middle))
        if lane == "taped":
            for band in chart.bands:
                left, right = plot.column(band)
                _hatched(painter, Box(left, top, right - left, _LANE))
            word, glyph = chart.words.taped, _hatch_sign
        elif lane == "medicine":
            for day in chart.marks:
                _diamond(painter, QPointF(plot.x(day), middle), min(3.2, plot.day_width * 0.6))
            word, glyph = chart.words.medicine, _diamond_sign
        else:
            for flare in chart.flares:
                left, right = plot.column(flare)
                _bracket(painter, Box(left, top, right - left, _LANE))
            word, glyph = chart.words.flare, _bracket_sign
        _gutter_word(painter, parts, style, middle, word, glyph)
        top += _LANE + _LANE_GAP


# ---------------------------------------------------------------- a session chart


def draw_session_chart(
    painter: QPainter, chart: SessionChart, box: Box, style: ChartStyle, gutter: float | None = None
) -> Parts:
    """The check move before and after each session in `box`; returns where its parts went."""
    parts = parts_of(chart, box, style, gutter)
    plot = parts.plot
    painter.save()
    _frame(painter, parts, box, style, (chart.title, chart.words.score_axis))
    taken = box.left + text_width(chart.words.score_axis, style.words)
    _plan_lines(painter, plot, chart.plan_lines, style, taken)
    if chart.is_empty:
        _nothing(painter, plot, chart.words.nothing, style)
    radius = plot.dot_radius
    of_day: dict[date, int] = {}
    for pair in chart.pairs:
        of_day[pair.day] = max(of_day.get(pair.day, 0), pair.place + 1)
    for pair in chart.pairs:
        x = plot.x(pair.day, (pair.place + 0.5) / of_day[pair.day])
        _pair(painter, plot, pair, x, radius)
    named: list[tuple[float, str, _Glyph]] = []
    if any(pair.before is not None for pair in chart.pairs):
        last = [pair.before for pair in chart.pairs if pair.before is not None][-1]
        named.append((plot.y(last), chart.words.before, _ring_sign))
    for stage, word in _stages_shown(chart).items():
        scores = [p.after for p in chart.pairs if p.after is not None and p.tape_stage == stage]
        named.append((plot.y(scores[-1]), word, _AFTER_SIGNS[stage]))
    _gutter_words(painter, parts, style, named)
    painter.restore()
    return parts


def _stages_shown(chart: SessionChart) -> dict[int | None, str]:
    """The kinds of after score that occur, with the words beside their sign."""
    shown = {p.tape_stage for p in chart.pairs if p.after is not None}
    words: dict[int | None, str] = {}
    taped_too = bool(shown - {0, None})
    for stage in (0, 1, 2, None):
        if stage in shown:
            if stage is None or not taped_too:
                words[stage] = chart.words.after
            else:
                words[stage] = phrase(
                    "{after}: {stage}", after=chart.words.after, stage=chart.words.stages[stage]
                )
    return words


def _pair(painter: QPainter, plot: Plot, pair: SessionPair, x: float, radius: float) -> None:
    if pair.before is not None and pair.after is not None and pair.before != pair.after:
        solid(painter, QUIET_INK, 0.6)
        painter.drawLine(QLineF(x, plot.y(pair.before), x, plot.y(pair.after)))
    if pair.before is not None:
        _open_dot(painter, QPointF(x, plot.y(pair.before)), radius * 1.15, filled_in=True)
    if pair.after is not None:
        at = QPointF(x, plot.y(pair.after))
        if pair.tape_stage == 1:
            _square(painter, at, radius)
        elif pair.tape_stage == 2:
            _triangle(painter, at, radius * 1.25)
        else:
            _dot(painter, at, radius)


# ---------------------------------------------------------------- a trial


def draw_trial_chart(
    painter: QPainter, chart: TrialChart, box: Box, style: ChartStyle, gutter: float | None = None
) -> Parts:
    """The pairs of a tape trial in `box`: a ring without tape, a square with it, joined."""
    parts = parts_of(chart, box, style, gutter)
    plot = parts.plot
    painter.save()
    _frame(painter, parts, box, style, (chart.title, chart.words.score_axis))
    if chart.is_empty:
        _nothing(painter, plot, chart.words.nothing, style)
    last: dict[bool, float] = {}
    for pair in chart.pairs:
        places = [(_place(plot, day, mean), taped) for day, mean, taped in pair.places]
        if len(places) == 2:
            solid(painter, INK, 0.9)
            painter.drawLine(QLineF(places[0][0], places[1][0]))
        for at, taped in places:
            last[taped] = at.y()
            if taped:
                _square(painter, at, 2.8)
            else:
                _open_dot(painter, at, 3.2, filled_in=True)
    baseline = parts.lanes_top + _LANE / 2 + cap_height(style.words) / 2
    first = plot.first_day.toordinal()
    for middle, number in chart.labels:
        x = plot.area.left + (middle - first + 0.5) * plot.day_width
        draw_line(painter, number, style.words, QPointF(x, baseline), Align.CENTRE)
    named = [
        (last[taped], word, glyph)
        for taped, word, glyph in (
            (True, chart.words.tape, _square_sign),
            (False, chart.words.no_tape, _ring_sign),
        )
        if taped in last
    ]
    _gutter_words(painter, parts, style, named)
    if chart.pairs:
        at = QPointF(parts.gutter_left + _KEY, baseline)
        draw_line(painter, chart.words.pairs, style.words, at)
    painter.restore()
    return parts


# ---------------------------------------------------------------- what all share


def _frame(
    painter: QPainter, parts: Parts, box: Box, style: ChartStyle, titles: tuple[str, str]
) -> None:
    """Title, scale with its words, and day ticks."""
    plot = parts.plot
    area = plot.area
    title, axis = titles
    baseline = box.top + style.title.line_height * 0.75
    draw_line(painter, title, style.title, QPointF(box.left, baseline))
    draw_line(painter, axis, style.words, QPointF(box.left, baseline + style.words.line_height + 1))
    drop = cap_height(style.words) / 2
    for score in _SCORES:
        y = plot.y(score)
        solid(painter, RULE_INK if score == 0 else FAINT_RULE_INK, 0.7 if score == 0 else 0.5)
        painter.drawLine(QLineF(area.left, y, area.right, y))
        at = QPointF(area.left - 6, y + drop)
        draw_line(painter, str(score), style.words, at, Align.RIGHT)
    room = text_width("28 Nov", style.words) * 1.4
    ticks = day_ticks(plot.first_day, plot.last_day, max(2, int(area.width / room)))
    widths = [(plot.x(t.day), text_width(t.label, style.words)) for t in ticks]
    for tick, drawn in zip(ticks, apart(widths, 4), strict=True):
        x = plot.x(tick.day)
        solid(painter, RULE_INK, 0.7)
        painter.drawLine(QLineF(x, area.bottom, x, area.bottom + 3))
        if drawn:
            at = QPointF(x, parts.ticks_baseline)
            draw_line(painter, tick.label, style.words, at, Align.CENTRE)


def _plan_lines(
    painter: QPainter, plot: Plot, lines: Iterable[PlanLine], style: ChartStyle, taken: float
) -> None:
    """A dashed line where a plan began, its label above it; within the plot where the words of the
    scale stand above it, up to `taken`."""
    area = plot.area
    ordered = sorted(lines, key=lambda line: line.day)
    widths = [(plot.x(line.day, 0), text_width(line.label, style.words)) for line in ordered]
    for line, named in zip(ordered, apart(widths, 4), strict=True):
        x = plot.x(line.day, 0)
        solid(painter, QUIET_INK, 0.8, dashed=True)
        painter.drawLine(QLineF(x, area.top - 3, x, area.bottom))
        if named:
            width = text_width(line.label, style.words)
            left = max(area.left, min(x - width / 2, area.right - width))
            at = QPointF(left, area.top - 6)
            if left < taken + 4:
                at = QPointF(x + 3, area.top + cap_height(style.words) + 2)
                painter.fillRect(QRectF(at.x(), area.top - 1, width, 3), _PAPER)
            draw_line(painter, line.label, style.words, at)


def _nothing(painter: QPainter, plot: Plot, words: str, style: ChartStyle) -> None:
    area = plot.area
    at = QPointF(area.left + area.width / 2, area.top + area.height / 2)
    draw_line(painter, words, style.words, at, Align.CENTRE)


def _gutter_words(
    painter: QPainter,
    parts: Parts,
    style: ChartStyle,
    named: Sequence[tuple[float, str, _Glyph]],
) -> None:
    """Words in the gutter, each as near to its height as the others leave room for."""
    if not named:
        return
    lines = [wrapped(word, style.words, parts.gutter_width - _KEY) for _, word, _ in named]
    gap = style.words.line_height * max(len(each) for each in lines) + 1
    area = parts.plot.area
    heights = spread([y for y, _, _ in named], gap, area.top, area.bottom)
    for y, (_, word, glyph) in zip(heights, named, strict=True):
        _gutter_word(painter, parts, style, y, word, glyph)


def _gutter_word(
    painter: QPainter, parts: Parts, style: ChartStyle, middle: float, word: str, glyph: _Glyph
) -> None:
    glyph(painter, QPointF(parts.gutter_left + 5, middle))
    lines = wrapped(word, style.words, parts.gutter_width - _KEY)
    baseline = middle + cap_height(style.words) / 2
    baseline -= (len(lines) - 1) * style.words.line_height / 2
    for line in lines:
        at = QPointF(parts.gutter_left + _KEY, baseline)
        draw_line(painter, line, style.words, at)
        baseline += style.words.line_height


# ---------------------------------------------------------------- signs


def _place(plot: Plot, day: date, score: float) -> QPointF:
    return QPointF(plot.x(day), plot.y(score))


def _filled(painter: QPainter) -> None:
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QBrush(INK))


def _dot(painter: QPainter, at: QPointF, radius: float) -> None:
    _filled(painter)
    painter.drawEllipse(at, radius, radius)
    painter.setBrush(Qt.BrushStyle.NoBrush)


def _open_dot(painter: QPainter, at: QPointF, radius: float, *, filled_in: bool) -> None:
    solid(painter, INK, max(0.5, radius * 0.3))
    painter.setBrush(QBrush(_PAPER) if filled_in else QBrush())
    painter.drawEllipse(at, radius, radius)
    painter.setBrush(Qt.BrushStyle.NoBrush)


def _bar(painter: QPainter, at: QPointF, radius: float) -> None:
    # Narrower than a day's column, or neighbours would run together into a line.
    solid(painter, INK, max(0.8, radius * 0.7))
    half = radius * 1.1
    painter.drawLine(QLineF(at.x() - half, at.y(), at.x() + half, at.y()))


def _square(painter: QPainter, at: QPointF, radius: float) -> None:
    _filled(painter)
    painter.drawRect(QRectF(at.x() - radius, at.y() - radius, radius * 2, radius * 2))
    painter.setBrush(Qt.BrushStyle.NoBrush)


def _triangle(painter: QPainter, at: QPointF, radius: float) -> None:
    _filled(painter)
    painter.drawPolygon(
        QPolygonF(
            [
                QPointF(at.x(), at.y() - radius),
                QPointF(at.x() + radius, at.y() + radius * 0.8),
                QPointF(at.x() - radius, at.y() + radius * 0.8),
            ]
        )
    )
    painter.setBrush(Qt.BrushStyle.NoBrush)


def _diamond(painter: QPainter, at: QPointF, radius: float) -> None:
    _filled(painter)
    painter.drawPolygon(
        QPolygonF(
            [
                QPointF(at.x(), at.y() - radius),
                QPointF(at.x() + radius, at.y()),
                QPointF(at.x(), at.y() + radius),
                QPointF(at.x() - radius, at.y()),
            ]
        )
    )
    painter.setBrush(Qt.BrushStyle.NoBrush)


def _hatched(painter: QPainter, box: Box) -> None:
    # Strokes of our own: a pattern brush is drawn in device pixels and turns to grey on paper.
    painter.fillRect(QRectF(box.left, box.top, box.width, box.height), _PAPER)
    solid(painter, INK, 0.45)
    for x1, y1, x2, y2 in hatch(box, _HATCH_STEP):
        painter.drawLine(QLineF(x1, y1, x2, y2))
    painter.drawRect(QRectF(box.left, box.top, box.width, box.height))


def _bracket(painter: QPainter, box: Box) -> None:
    solid(painter, INK, 1.1)
    inset = 0.5
    painter.drawPolyline(
        QPolygonF(
            [
                QPointF(box.left + inset, box.bottom - 1),
                QPointF(box.left + inset, box.top + 2),
                QPointF(box.right - inset, box.top + 2),
                QPointF(box.right - inset, box.bottom - 1),
            ]
        )
    )


def _dot_sign(painter: QPainter, at: QPointF) -> None:
    _dot(painter, at, 2.4)


def _ring_sign(painter: QPainter, at: QPointF) -> None:
    _open_dot(painter, at, 3.2, filled_in=False)


def _bar_sign(painter: QPainter, at: QPointF) -> None:
    _bar(painter, at, 2.4)


def _square_sign(painter: QPainter, at: QPointF) -> None:
    _square(painter, at, 2.4)


def _triangle_sign(painter: QPainter, at: QPointF) -> None:
    _triangle(painter, at, 3.0)


def _diamond_sign(painter: QPainter, at: QPointF) -> None:
    _diamond(painter, at, 3.0)


def _hatch_sign(painter: QPainter, at: QPointF) -> None:
    _hatched(painter, Box(at.x() - 4.5, at.y() - 3.5, 9, 7))


def _bracket_sign(painter: QPainter, at: QPointF) -> None:
    _bracket(painter, Box(at.x() - 4.5, at.y() - 4, 9, 8))


_AFTER_SIGNS: dict[int | None, _Glyph] = {
    0: _dot_sign,
    1: _square_sign,
    2: _triangle_sign,
    None: _dot_sign,
}
