"""Chart descriptions drawn on the screen: the only module that loads the plotting library.

Import it when a chart is about to be shown: the library is far too heavy for the start. Nothing
moves under the mouse; shapes, not colours alone, tell the series apart.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QEvent, QRectF, QSize, Qt
from PySide6.QtGui import (
    QAccessible,
    QBrush,
    QColor,
    QFocusEvent,
    QFontMetricsF,
    QPainterPath,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QTransform,
    QWheelEvent,
)
from PySide6.QtWidgets import QGraphicsRectItem, QSizePolicy, QVBoxLayout, QWidget

from companion.presentation.view.chart import (
    DayChart,
    DayPoint,
    DaySpan,
    PlanLine,
    PointKind,
    SessionChart,
    TrialChart,
    day_ticks,
)
from companion.ui.kit.accessible import give_role
from companion.ui.kit.buttons import body_of, brush, draw_body, draw_ring
from companion.ui.kit.text import Words, one_line_width, set_text, show_when
from companion.ui.kit.theme import GRID, REACH, Theme, Type, current, faint_line

_HIGHEST = 10
_MOST_PLAN_ROWS = 3
# Labels are arranged for the narrowest plot, so that the height does not depend on the width.
_LEAST_PLOT_WIDTH = 380
_MOST_FOR_LABELS = 0.4
"""The share of a chart's width that names beside their series may take."""


@dataclass(frozen=True, slots=True)
class _Room:
    """How the plot's pixels are shared out: `sides` is what is left free on both sides; one score
    is `unit` pixels high, one day `day` pixels wide.
    """

    width: float
    height: float
    above: float
    below: float
    sides: float
    unit: float
    day: float


class _Plot(pg.PlotWidget):  # type: ignore[misc]
    """A plot that is looked at and not touched; the wheel goes to the page."""

    def __init__(self) -> None:
        super().__init__()
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setFrameShape(pg.PlotWidget.Shape.NoFrame)
        self.setMenuEnabled(False)
        self.setMouseEnabled(x=False, y=False)
        self.hideButtons()
        self.viewport().setFocusPolicy(Qt.FocusPolicy.NoFocus)
        # The library makes a menu all the same, and leaves it without anyone to delete it.
        menu = self.getPlotItem().ctrlMenu
        menu.setParent(self, menu.windowFlags())

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()


class _ChartView(QWidget):
    """A chart with its title and the words of its score axis above it.

    Tab reaches it, and a screen reader says its name and its description.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._title = Words("", Type.STRONG, inset=0)
        self._axis_words = Words("", Type.LABEL, colour="quiet", inset=0)
        self._key = _Key()
        self._plot = _Plot()
        self._box = self._plot.getPlotItem().getViewBox()
        self._drawn: tuple[float, float] | None = None
        self._theme = current()
        give_role(self, QAccessible.Role.Chart)
        give_role(self._plot, QAccessible.Role.Graphic)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        column = QVBoxLayout(self)
        pad = REACH + 2 * GRID
        column.setContentsMargins(pad, pad, pad, pad)
        column.setSpacing(0)
        column.addWidget(self._title)
        column.addWidget(self._axis_words)
        column.addWidget(self._key)
        column.addWidget(self._plot)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        self._box.sigResized.connect(self._resized)

    def _say(self, title: str, axis_words: str, description: str) -> None:
        self._title.set_text(title)
        show_when(self._title, bool(title))
        self._axis_words.set_text(axis_words)
        self.setAccessibleName(title or axis_words)
        self.setAccessibleDescription(description)
        self._plot.setAccessibleName(title or axis_words)

    def redraw(self) -> None:
        """Draw everything again in the present theme and size."""
        self._theme = theme = current()
        palette = theme.palette
        self._plot.setBackground(QColor(palette.surface))
        item = self._plot.getPlotItem()
        item.clear()
        font = theme.font(Type.LABEL)
        line = theme.line_height(Type.LABEL)
        for name in ("left", "bottom"):
            axis = item.getAxis(name)
            axis.setStyle(
                tickFont=font,
                tickLength=theme.scaled(5),
                tickTextOffset=GRID // 2,
                hideOverlappingLabels=False,
            )
            axis.setTextPen(QColor(palette.ink))
            axis.setTickPen(QPen(QColor(palette.line), 1))
            axis.setPen(QPen(Qt.PenStyle.NoPen))
        digits = one_line_width("10", Type.LABEL, theme)
        item.getAxis("left").setWidth(digits + theme.scaled(5) + GRID)
        item.getAxis("bottom").setHeight(round(line) + theme.scaled(5) + GRID // 2)
        item.getAxis("left").setTicks([[(n, str(n)) for n in range(0, _HIGHEST + 1, 2)]])
        size = self._box.size()
        self._drawn = (size.width(), size.height())
        if size.width() > 2 and size.height() > 2:
            self._draw(theme)

    def _draw(self, theme: Theme) -> None:
        raise AssertionError("every chart draws itself")

    def _resized(self) -> None:
        size = self._box.size()
        if self._drawn != (size.width(), size.height()):
            self.redraw()

    # Parts that both charts are made of

    def _share(self, first: date, last: date, above: float, below: float, right: float) -> _Room:
        """Set the ranges so that bands and labels get their pixels and the scale the rest."""
        size = self._box.size()
        width, height = size.width(), size.height()
        # The mark of the last day is drawn whole.
        right = max(min(right, width * 0.45), GRID)
        # The first day's label is centred under it and needs half its width before it.
        left = max(one_line_width("28 Sep", Type.LABEL, current()) / 2 - 12, 0)
        unit = max((height - above - below) / _HIGHEST, 1.0)
        days = (last - first).days + 1
        day = max((width - left - right) / days, 0.01)
        left_edge = first.toordinal() - 0.5 - left / day
        self._box.setRange(
            xRange=(left_edge, left_edge + width / day),
            yRange=(-below / unit, _HIGHEST + above / unit),
            padding=0,
            disableAutoRange=True,
        )
        return _Room(width, height, above, below, left + right, unit, day)

    def _draw_days(self, first: date, last: date, room: _Room, theme: Theme) -> None:
        longest = "28 Sep" if first.year == last.year else "Sep 2028"
        widest = one_line_width(longest, Type.LABEL, theme) + 2 * GRID
        most = max(int((room.width - room.sides) // widest), 2)
        ticks = [(tick.day.toordinal(), tick.label) for tick in day_ticks(first, last, most)]
        self._plot.getPlotItem().getAxis("bottom").setTicks([ticks])

    def _draw_scale(self, first: date, last: date, theme: Theme) -> None:
        """Quiet lines at every second score, a firm one at 0."""
        ends = [first.toordinal() - 0.5, last.toordinal() + 0.5]
        faint = faint_line(theme.palette)
        scores = range(2, _HIGHEST + 1, 2)
        self._line(ends * len(scores), [s for s in scores for _ in ends], QPen(faint, 1), "pairs")
        self._line(ends, [0, 0], QPen(QColor(theme.palette.ink), 1.5))

    def _line(
        self, x: Sequence[float], y: Sequence[float], pen: QPen, connect: str = "all"
    ) -> None:
        """One line through all places, or with "pairs" a line from each odd place to the next."""
        pen.setCosmetic(True)
        curve = pg.PlotCurveItem(
            np.array(x, float), np.array(y, float), pen=pen, connect=connect, antialias=True
        )
        self._plot.getPlotItem().addItem(curve, ignoreBounds=True)

    def _dots(
        self,
        x: Sequence[float],
        y: Sequence[float],
        symbol: str | QPainterPath,
        size: float,
        fill: str | None,
        edge: str,
        wide: float = 2,
    ) -> None:
        if not x:
            return
        dots = pg.ScatterPlotItem(
            x=np.array(x, float),
            y=np.array(y, float),
            symbol=symbol,
            size=size,
            brush=pg.mkBrush(fill) if fill else pg.mkBrush(None),
            pen=pg.mkPen(edge, width=wide),
            antialias=True,
        )
        self._plot.getPlotItem().addItem(dots, ignoreBounds=True)

    def _words(
        self,
        text: str,
        x: float,
        y: float,
        theme: Theme,
        *,
        anchor: tuple[float, float],
        width: float = 0,
        bold: bool = False,
    ) -> None:
        words = pg.TextItem(text, color=QColor(theme.palette.ink), anchor=anchor)
        words.setFont(theme.font(Type.LABEL_STRONG if bold else Type.LABEL))
        words.textItem.document().setDocumentMargin(0)
        if width:
            words.textItem.setTextWidth(width)
        words.setPos(x, y)
        self._plot.getPlotItem().addItem(words, ignoreBounds=True)

    def _draw_plan_lines(
        self, lines: Sequence[PlanLine], first: date, last: date, room: _Room, theme: Theme
    ) -> None:
        """A dashed line where a version of the plan began, its label at the top."""
        row = theme.line_height(Type.LABEL)
        for plan, level in _plan_levels(lines, first, last, theme):
            x = plan.day.toordinal() - 0.5
            pen = QPen(QColor(theme.palette.quiet), 1.5)
            pen.setDashPattern([4, 3])
            wide = one_line_width(plan.label, Type.LABEL, theme) / room.day
            top = _HIGHEST + (room.above - 2 - level * row) / room.unit
            self._line([x, x], [0, top], pen)
            beyond = x + wide > first.toordinal() - 0.5 + (room.width - 2 * GRID) / room.day
            anchor = (1.0, 0.0) if beyond else (0.0, 0.0)
            away = (-4 if beyond else 4) / room.day
            self._words(plan.label, x + away, top, theme, anchor=anchor)

    def _plan_rows(self, lines: Sequence[PlanLine], first: date, last: date, theme: Theme) -> float:
        """Room for the labels of the plan lines, in pixels."""
        levels = [level for _, level in _plan_levels(lines, first, last, theme)]
        return (max(levels, default=-1) + 1) * theme.line_height(Type.LABEL)

    def _draw_nothing(self, text: str, first: date, last: date, theme: Theme) -> None:
        middle = (first.toordinal() + last.toordinal()) / 2
        self._words(text, middle, _HIGHEST / 2, theme, anchor=(0.5, 0.5))

    # The widget

    def _fit(self) -> None:
        """Make room: the scale keeps its height whatever stands above and below it."""
        theme = current()
        scale = 200 + 0.8 * theme.text_percent - 40
        axis = round(theme.line_height(Type.LABEL)) + theme.scaled(5) + GRID // 2
        high = scale + self._above(theme) + self._below(theme) + axis
        self._plot.setFixedHeight(math.ceil(high))

    def _above(self, theme: Theme) -> float:
        """Pixels wanted over the scale: half of the label of its highest score stands there."""
        return max(GRID, theme.line_height(Type.LABEL) / 2)

    def _below(self, theme: Theme) -> float:
        """Pixels wanted under the scale."""
        return GRID

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange and current() != self._theme:
            self._fit()
            self.redraw()

    def focusInEvent(self, event: QFocusEvent) -> None:
        self.update()
        super().focusInEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self.update()
        super().focusOutEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        palette = current().palette
        painter = brush(self)
        draw_body(painter, body_of(self), palette.surface, palette.line, 1)
        if self.hasFocus():
            draw_ring(painter, body_of(self))
        painter.end()


class DayChartView(_ChartView):
    """Pain by day: average joined over neighbouring days, worst as bars, now as rings.

    Under the zero line lie a hatched band for the taped days and a mark for each day with extra
    pain medicine; a day without an answer is left empty. Each is named at its right; where that
    would leave the days too little room the names stand in a line above the scale.
    """

    def __init__(self, chart: DayChart, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._chart = chart
        self._keyed = False
        self.set_chart(chart)

    def set_chart(self, chart: DayChart) -> None:
        """Show another description."""
        self._chart = chart
        self._say(chart.title, chart.words.score_axis, chart.description)
        self._key.set_entries(self._named())
        self._settle_names()
        self._fit()
        self.redraw()

    def _settle_names(self) -> None:
        """Decide where the names stand at this width."""
        theme = current()
        beside = self._label_width(theme) + theme.scaled(14) + 3 * GRID
        room = self.width() - 2 * (REACH + 2 * GRID)
        self._keyed = bool(self._named()) and beside > _MOST_FOR_LABELS * room
        show_when(self._key, self._keyed)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        before = self._keyed
        self._settle_names()
        if self._keyed != before:
            self._fit()
            self.redraw()

    def changeEvent(self, event: QEvent) -> None:
        if event.type() == QEvent.Type.StyleChange and current() != self._theme:
            self._settle_names()
        super().changeEvent(event)

    def _draw(self, theme: Theme) -> None:
        chart, palette = self._chart, theme.palette
        beside = bool(self._named()) and not self._keyed
        label_width = self._label_width(theme)
        sample = theme.scaled(14) + GRID
        rows_below = self._rows_below(label_width, theme)
        room = self._share(
            chart.first_day,
            chart.last_day,
            self._above(theme),
            self._below(theme),
            label_width + sample + 2 * GRID if beside else 0,
        )
        first, last = chart.first_day, chart.last_day
        self._draw_days(first, last, room, theme)
        self._draw_scale(first, last, theme)
        self._draw_plan_lines(chart.plan_lines, first, last, room, theme)
        for flare in self._flares():
            self._draw_flare(flare.first_day, flare.last_day, room, theme)
        dot = min(max(room.day * 0.8, theme.scaled(4)), theme.scaled(9))
        self._draw_worst(dot, theme)
        self._draw_average(dot, theme)
        now = chart.points(PointKind.NOW)
        self._dots(_days(now), _scores(now), "o", dot + 5, None, palette.ink, 1.5)
        label_x = last.toordinal() + 0.5 + 2 * GRID / room.day
        if chart.is_empty:
            self._draw_nothing(chart.words.nothing, first, last, theme)
        elif beside:
            self._label_series(label_x, sample, label_width, room, theme)
        self._draw_rows(rows_below, label_x, label_width, room, theme)

    def _above(self, theme: Theme) -> float:
        row = theme.line_height(Type.LABEL)
        plan_rows = self._plan_rows(
            self._chart.plan_lines, self._chart.first_day, self._chart.last_day, theme
        )
        return plan_rows + (row + GRID if self._flares() else 0) + super()._above(theme)

    def _below(self, theme: Theme) -> float:
        rows = self._rows_below(self._label_width(theme), theme)
        return sum(high for _, high in rows) + GRID

    def _flares(self) -> list[DaySpan]:
        first, last = self._chart.first_day, self._chart.last_day
        return [f for f in self._chart.flares if f.last_day >= first and f.first_day <= last]

    def _label_width(self, theme: Theme) -> float:
        """Room for the names at the right: the widest of them, wrapped when it is too wide."""
        widest = max(
            (one_line_width(text, Type.LABEL, theme) for _, text in self._named()), default=0
        )
        return min(widest + 2, 0.28 * 640)

    def _named(self) -> list[tuple[str, str]]:
        """What the chart holds: the symbol and the name of each."""
        words, chart = self._chart.words, self._chart
        named = [
            (chart.points(PointKind.WORST), "bar", words.worst),
            (chart.points(PointKind.AVERAGE), "o", words.average),
            (chart.points(PointKind.NOW), "ring", words.now),
            (chart.bands, "band", words.taped),
            (chart.marks, "d", words.medicine),
        ]
        return [(symbol, text) for things, symbol, text in named if things]

    def _rows_below(self, label_width: float, theme: Theme) -> list[tuple[str, float]]:
        """Which rows stand under the zero line, and how high their labels make them."""
        words, chart = self._chart.words, self._chart
        rows = []
        for things, text in ((chart.bands, words.taped), (chart.marks, words.medicine)):
            if things:
                lines = 1 if self._keyed else _lines_at(text, label_width, theme)
                rows.append((text, lines * theme.line_height(Type.LABEL) + 4))
        return rows

    def _draw_average(self, dot: float, theme: Theme) -> None:
        """Dots, joined inside runs of consecutive days only."""
        runs = self._chart.runs(PointKind.AVERAGE)
        points = [point for run in runs for point in run]
        if not points:
            return
        joined = np.ones(len(points), dtype=np.int32)
        end = -1
        for run in runs:
            end += len(run)
            joined[end] = 0
        pen = pg.mkPen(theme.palette.action, width=2)
        days, scores = np.array(_days(points), float), np.array(_scores(points), float)
        curve = pg.PlotCurveItem(days, scores, pen=pen, connect=joined, antialias=True)
        self._plot.getPlotItem().addItem(curve, ignoreBounds=True)
        self._dots(_days(points), _scores(points), "o", dot, theme.palette.action, "#00000000", 0)

    def _draw_worst(self, dot: float, theme: Theme) -> None:
        worst = self._chart.points(PointKind.WORST)
        ink = theme.palette.ink
        self._dots(_days(worst), _scores(worst), _bar(), dot + 5, ink, ink, 0)

    def _draw_flare(self, first: date, last: date, room: _Room, theme: Theme) -> None:
        """A bracket over the raised days with the word at its middle."""
        left = max(first, self._chart.first_day).toordinal() - 0.4
        right = min(last, self._chart.last_day).toordinal() + 0.4
        y = _HIGHEST + GRID / room.unit
        down = 5 / room.unit
        pen = QPen(QColor(theme.palette.ink), 2)
        self._line([left, left, right, right], [y - down, y, y, y - down], pen)
        text = self._chart.words.flare
        wide = one_line_width(text, Type.LABEL, theme) / room.day
        edge = self._chart.first_day.toordinal() - 0.5
        middle = max((left + right) / 2, edge + wide / 2)
        self._words(text, middle, y + 1 / room.unit, theme, anchor=(0.5, 1.0))

    def _label_series(
        self, x: float, sample: float, width: float, room: _Room, theme: Theme
    ) -> None:
        """The name of each series beside its last point, kept from lying over each other."""
        words, palette = self._chart.words, theme.palette
        wanted: list[tuple[float, PointKind, str]] = []
        for kind, text in (
            (PointKind.WORST, words.worst),
            (PointKind.AVERAGE, words.average),
            (PointKind.NOW, words.now),
        ):
            points = self._chart.points(kind)
            if points:
                wanted.append((points[-1].score, kind, text))
        step = theme.line_height(Type.LABEL) / room.unit
        wanted.sort(key=lambda each: each[0])
        places = [score for score, _, _ in wanted]
        for n in range(1, len(places)):
            places[n] = max(places[n], places[n - 1] + step)
        top = float(_HIGHEST)
        for n in reversed(range(len(places))):
            places[n] = min(places[n], top)
            top = places[n] - step
        size = theme.scaled(9)
        middle = x + theme.scaled(14) / 2 / room.day
        for place, (_, kind, text) in zip(places, wanted, strict=True):
            if kind is PointKind.WORST:
                self._dots([middle], [place], _bar(), size + 5, palette.ink, palette.ink, 0)
            elif kind is PointKind.AVERAGE:
                self._dots([middle], [place], "o", size, palette.action, "#00000000", 0)
            else:
                self._dots([middle], [place], "o", size + 5, None, palette.ink, 1.5)
            self._words(text, x + sample / room.day, place, theme, anchor=(0, 0.5), width=width + 2)

    def _draw_rows(
        self,
        rows: list[tuple[str, float]],
        x: float,
        width: float,
        room: _Room,
        theme: Theme,
    ) -> None:
        chart, palette = self._chart, theme.palette
        top = float(GRID)
        for text, high in rows:
            middle = -(top + high / 2) / room.unit
            if text == chart.words.taped and chart.bands:
                half = min(theme.scaled(8), high / 2 - 2) / room.unit
                for band in chart.bands:
                    self._draw_band(
                        max(band.first_day, chart.first_day),
                        min(band.last_day, chart.last_day),
                        middle,
                        half,
                        theme,
                    )
            else:
                days = [float(day.toordinal()) for day in chart.marks]
                size = min(max(room.day * 0.8, theme.scaled(8)), theme.scaled(10))
                self._dots(days, [middle] * len(days), "d", size, palette.ink, palette.ink, 1)
            if not self._keyed:
                self._words(text, x, middle, theme, anchor=(0, 0.5), width=width + 2)
            top += high

    def _draw_band(self, first: date, last: date, middle: float, half: float, theme: Theme) -> None:
        if last < first:
            return
        left = first.toordinal() - 0.5
        wide = last.toordinal() + 0.5 - left
        band = QGraphicsRectItem(QRectF(left, middle - half, wide, 2 * half))
        pen = QPen(QColor(theme.palette.ink), 1.5)
        pen.setCosmetic(True)
        band.setPen(pen)
        band.setBrush(QBrush(QColor(theme.palette.ink), Qt.BrushStyle.BDiagPattern))
        self._plot.getPlotItem().addItem(band, ignoreBounds=True)


class SessionChartView(_ChartView):
    """Before and after by session: an open dot, a line to a filled mark, the mark by tape stage."""

    _symbols = ("o", "t1", "s")

    def _above(self, theme: Theme) -> float:
        plan_rows = self._plan_rows(
            self._chart.plan_lines, self._chart.first_day, self._chart.last_day, theme
        )
        return plan_rows + super()._above(theme)

    def __init__(self, chart: SessionChart, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._chart = chart
        self.set_chart(chart)

    def set_chart(self, chart: SessionChart) -> None:
        """Show another description."""
        self._chart = chart
        self._say(chart.title, chart.words.score_axis, chart.description)
        stages = sorted({p.tape_stage for p in chart.pairs if p.tape_stage and p.after is not None})
        words = chart.words
        after = [("o", words.after if not stages else f"{words.after}, {_low(words.stages[0])}")]
        after += [(self._symbols[n], f"{words.after}, {_low(words.stages[n])}") for n in stages]
        self._key.set_entries([("ring", words.before), *after])
        show_when(self._key, not chart.is_empty)
        self._fit()
        self.redraw()

    def _draw(self, theme: Theme) -> None:
        chart, palette = self._chart, theme.palette
        first, last = chart.first_day, chart.last_day
        room = self._share(first, last, self._above(theme), self._below(theme), 0)
        self._draw_days(first, last, room, theme)
        self._draw_scale(first, last, theme)
        self._draw_plan_lines(chart.plan_lines, first, last, room, theme)
        if chart.is_empty:
            self._draw_nothing(chart.words.nothing, first, last, theme)
            return
        dot = min(max(room.day * 0.8, theme.scaled(6)), theme.scaled(9))
        befores: list[tuple[float, float]] = []
        joined: list[tuple[float, float]] = []
        afters: dict[int, list[tuple[float, float]]] = {}
        for pair in chart.pairs:
            x = pair.day.toordinal() + min(pair.place * 0.3, 0.4)
            if pair.before is not None:
                befores.append((x, pair.before))
            if pair.after is not None:
                afters.setdefault(pair.tape_stage or 0, []).append((x, pair.after))
            if pair.before is not None and pair.after is not None:
                joined += [(x, pair.before), (x, pair.after)]
        if joined:
            pen = QPen(QColor(palette.action), 1.5)
            self._line([x for x, _ in joined], [y for _, y in joined], pen, "pairs")
        self._dots(
            [x for x, _ in befores],
            [y for _, y in befores],
            "o",
            dot + 4,
            palette.surface,
            palette.ink,
            1.5,
        )
        for stage, places in afters.items():
            self._dots(
                [x for x, _ in places],
                [y for _, y in places],
                self._symbols[stage],
                dot + (0 if stage == 0 else 2),
                palette.action,
                palette.action,
                1,
            )


class TrialChartView(_ChartView):
    """The pairs of a tape trial: a ring without tape, a square with it, joined within the pair."""

    def __init__(self, chart: TrialChart, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._chart = chart
        self._say(chart.title, chart.words.score_axis, chart.description)
        self._key.set_entries([("s", chart.words.tape), ("ring", chart.words.no_tape)])
        show_when(self._key, not chart.is_empty)
        self._fit()
        self.redraw()

    def _below(self, theme: Theme) -> float:
        """Under the zero line the number of each pair."""
        return theme.line_height(Type.LABEL) + GRID

    def _draw(self, theme: Theme) -> None:
        chart, palette = self._chart, theme.palette
        first, last = chart.first_day, chart.last_day
        room = self._share(first, last, self._above(theme), self._below(theme), 0)
        self._draw_days(first, last, room, theme)
        self._draw_scale(first, last, theme)
        if chart.is_empty:
            self._draw_nothing(chart.words.nothing, first, last, theme)
            return
        places = [place for pair in chart.pairs for place in pair.places]
        joined = [place for pair in chart.pairs if len(pair.places) == 2 for place in pair.places]
        if joined:
            pen = QPen(QColor(palette.action), 2)
            days, means = [day.toordinal() for day, *_ in joined], [mean for _, mean, _ in joined]
            self._line(days, means, pen, "pairs")
        size = theme.scaled(10)
        for taped, symbol, fill, edge in (
            (False, "o", palette.surface, palette.ink),
            (True, "s", palette.action, palette.action),
        ):
            shown = [(day.toordinal(), mean) for day, mean, on in places if on is taped]
            x, y = [float(day) for day, _ in shown], [mean for _, mean in shown]
            self._dots(x, y, symbol, size + (2 if taped else 3), fill, edge, 1.5)
        for middle, number in chart.labels:
            self._words(number, middle, -2 / room.unit, theme, anchor=(0.5, 0.0))


_SOLID, _HATCHED = Qt.BrushStyle.SolidPattern, Qt.BrushStyle.BDiagPattern
_KEY_MARKS = {
    "ring": ("o", "ink", "surface", _SOLID),
    "bar": ("bar", "ink", "ink", _SOLID),
    "band": ("s", "ink", "ink", _HATCHED),
    "d": ("d", "ink", "ink", _SOLID),
    "o": ("o", "action", "action", _SOLID),
    "t1": ("t1", "action", "action", _SOLID),
    "s": ("s", "action", "action", _SOLID),
}
"""By symbol: its shape, the colours of its edge and inside, and how it is filled."""


class _Key(QWidget):
    """The shapes and their words in a line that wraps."""

    def __init__(self) -> None:
        super().__init__()
        self._entries: list[tuple[str, str]] = []
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        give_role(self, QAccessible.Role.StaticText)

    def set_entries(self, entries: Sequence[tuple[str, str]]) -> None:
        """Show these: a symbol (a key of `_KEY_MARKS`) and its words."""
        self._entries = list(entries)
        self.setAccessibleName(", ".join(words for _, words in entries))
        self.updateGeometry()
        self.update()

    def _places(self, width: int) -> list[tuple[int, int]]:
        theme = current()
        high = round(theme.line_height(Type.LABEL))
        left = top = 0
        places = []
        for _, words in self._entries:
            wide = theme.scaled(16) + GRID + one_line_width(words, Type.LABEL, theme)
            if left and left + wide > width:
                left, top = 0, top + high
            places.append((left, top))
            left += wide + 3 * GRID
        return places

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        places = self._places(width)
        return places[-1][1] + round(current().line_height(Type.LABEL)) if places else 0

    def sizeHint(self) -> QSize:
        return QSize(640, self.heightForWidth(640))

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = current()
        palette = theme.palette
        painter = brush(self)
        painter.setFont(theme.font(Type.LABEL))
        metrics = QFontMetricsF(theme.font(Type.LABEL))
        line = theme.line_height(Type.LABEL)
        size = theme.scaled(11)
        for (left, top), (symbol, words) in zip(
            self._places(self.width()), self._entries, strict=True
        ):
            middle = top + line / 2
            shape, edge, fill, pattern = _KEY_MARKS[symbol]
            path = _bar() if shape == "bar" else pg.graphicsItems.ScatterPlotItem.Symbols[shape]
            # Symbols are one unit wide round the origin.
            place = QTransform.fromTranslate(left + theme.scaled(8), middle).scale(size, size)
            painter.setPen(QPen(QColor(getattr(palette, edge)), 1.5))
            painter.setBrush(QBrush(QColor(getattr(palette, fill)), pattern))
            painter.drawPath(place.map(path))
            painter.setPen(QColor(palette.ink))
            base = middle + (metrics.ascent() - metrics.descent()) / 2
            painter.drawText(round(left + theme.scaled(16) + GRID), round(base), words)
        painter.end()


def _plan_levels(
    lines: Sequence[PlanLine], first: date, last: date, theme: Theme
) -> list[tuple[PlanLine, int]]:
    """The plan lines in sight, by day, and the row of each label: near ones stand in turn."""
    days = (last - first).days + 1
    day = _LEAST_PLOT_WIDTH / days
    free_from = [-math.inf] * _MOST_PLAN_ROWS
    placed = []
    for plan in sorted(lines, key=lambda each: each.day):
        if not first <= plan.day <= last:
            continue
        left = (plan.day - first).days * day
        free = [level for level, edge in enumerate(free_from) if left >= edge]
        level = free[0] if free else _MOST_PLAN_ROWS - 1
        free_from[level] = left + one_line_width(plan.label, Type.LABEL, theme) + GRID
        placed.append((plan, level))
    return placed


def _bar() -> QPainterPath:
    """A short level bar as a plot symbol, one unit wide."""
    path = QPainterPath()
    path.addRect(-0.5, -0.1, 1.0, 0.2)
    return path


def _days(points: Sequence[DayPoint]) -> list[float]:
    return [float(point.day.toordinal()) for point in points]


def _scores(points: Sequence[DayPoint]) -> list[float]:
    return [float(point.score) for point in points]


def _low(words: str) -> str:
    return words[:1].lower() + words[1:]


def _lines_at(text: str, width: float, theme: Theme) -> int:
    """How many lines the text takes at this width."""
    return set_text(text, Type.LABEL, theme, int(width) + 2).lines
