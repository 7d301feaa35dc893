"""Charts on the screen: the only module that loads the plotting library.

What stands still is drawn by the painter that draws on paper too. The library has what moves: which
days are in view, the span that is drawn out with the mouse, the line at the day that is read.
Import this when a chart is about to be shown: the library is far too heavy for the start.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from datetime import date, timedelta

import pyqtgraph as pg
from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QAccessible,
    QColor,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from companion.canvas.box import Box
from companion.canvas.chart_layout import Drawn, gutter_width, height_around, lay_out
from companion.canvas.chart_painter import ChartLook, paint_chart
from companion.canvas.typesetting import TextStyle
from companion.presentation.language.phrases import phrase
from companion.presentation.view.chart import Chart, DaySpan, days_between
from companion.ui.kit.accessible import LEFT_OUT, announce, give_role, in_sentences
from companion.ui.kit.buttons import QuietButton, body_of, brush, draw_body, draw_ring
from companion.ui.kit.text import WrappedText, set_text, show_when
from companion.ui.kit.theme import GRID, REACH, Theme, Type, current, faint_line

LEAST_DAYS = 7
"""Nearer than this a chart is not looked at."""
_MOST_FOR_NAMES = 0.4
"""The share of a chart's width that names beside their series may take; else they stand above."""
_PAD = REACH + 2 * GRID


class ChartView(QWidget):
    """A chart with its title and the words of its scale above it, and a line that reads one day.

    The day is the one under the pointer; Left and Right go from day to day, with Shift from week to
    week, and a screen reader is told. With `zooms` a span of days is looked at by drawing it out
    with the mouse or by + and -; `zoomed` then gives the `DaySpan` in view.
    """

    zoomed = Signal(object)

    def __init__(self, chart: Chart, *, zooms: bool = False) -> None:
        super().__init__()
        self._chart = chart
        self._zooms = zooms
        self._in_view = chart.days
        self._day: date | None = None
        self._theme = current()
        give_role(self, QAccessible.Role.Chart)
        # All of it is told with the view itself, once.
        self._title = WrappedText("", Type.STRONG, inset=0, told_as=LEFT_OUT)
        self._axis_words = WrappedText("", Type.LABEL, colour="quiet", inset=0, told_as=LEFT_OUT)
        self._plot = _Plot(zooms)
        self._read = WrappedText("", Type.LABEL, inset=0, told_as=LEFT_OUT)
        self._whole = QuietButton(phrase("Show the whole time"), snug=True)
        show_when(self._whole, False)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        column = QVBoxLayout(self)
        column.setContentsMargins(_PAD, _PAD, _PAD, _PAD)
        column.setSpacing(0)
        for part in (self._title, self._axis_words, self._plot):
            column.addWidget(part)
        column.addSpacing(GRID)
        column.addWidget(self._read)
        column.addWidget(self._whole)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        self._plot.pointed.connect(self.read)
        self._plot.spanned.connect(self.zoom_to)
        self._whole.clicked.connect(self._zoom_out)
        self.set_chart(chart)

    def set_chart(self, chart: Chart) -> None:
        """Show another description, the whole of it."""
        self._chart = chart
        self._in_view = chart.days
        self._day = None
        self._title.set_text(chart.title)
        show_when(self._title, bool(chart.title))
        self._axis_words.set_text(chart.score_axis)
        name = chart.title or chart.score_axis
        self.setAccessibleName(name)
        hint = "" if chart.is_empty else self._hint()
        self.describe(chart.description)
        self._read.set_text(hint)
        show_when(self._read, bool(hint))
        show_when(self._whole, False)
        self._fit()

    def spoken(self) -> str:
        """What the chart says, without how it is read."""
        return in_sentences(self._chart.title or self._chart.score_axis, self._described)

    def describe(self, words: str) -> None:
        """Say in words what is in view, where that is more than the chart says of itself."""
        self._described = words
        hint = "" if self._chart.is_empty else self._hint()
        self.setAccessibleDescription(f"{words} {hint}".strip())

    def in_view(self) -> DaySpan:
        """The days that are shown."""
        return self._in_view

    def drawn(self) -> Drawn | None:
        """What is painted, in pixels of the drawing; None while there is no room for it."""
        return self._plot.drawn

    def reading(self) -> str:
        """The line of words about the day that is read."""
        return self._read.text()

    def day_read(self) -> date | None:
        """The day the line of words is about."""
        return self._day

    def zoom_to(self, days: DaySpan) -> None:
        """Show these days of the chart, as far as it has them and at least a week."""
        whole = self._chart.days
        more = max(min(LEAST_DAYS, whole.days) - days.days, 0)
        first = days.first_day - timedelta(days=more // 2)
        first = min(first, whole.last_day - timedelta(days=days.days + more - 1))
        first = max(first, whole.first_day)
        last = min(first + timedelta(days=days.days + more - 1), whole.last_day)
        self._in_view = DaySpan(first, last)
        near = self._in_view != whole
        if near:
            days_shown = phrase("In view: {days}", days=days_between(self._in_view))
            self._whole.set_words(self._whole.word, days_shown)
        show_when(self._whole, near)
        self._draw()
        self.zoomed.emit(self._in_view)

    def read(self, day: date) -> None:
        """Say in words what the chart holds for a day, and mark it."""
        self._day = day
        self._read.set_text(self._chart.read_out(day))
        self._plot.mark(day)

    def _zoom_out(self) -> None:
        self.zoom_to(self._chart.days)
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    def _hint(self) -> str:
        if self._zooms:
            return phrase(
                "Point at a day, or use the left and right arrow keys, to read it. Draw out a "
                "span, or press + and −, to look closer."
            )
        return phrase("Point at a day, or use the left and right arrow keys, to read it.")

    # Keys

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()), 0)
        modifiers = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        week = modifiers == Qt.KeyboardModifier.ShiftModifier
        if step and not self._chart.is_empty and (week or not modifiers):
            self._step(step * (7 if week else 1))
        elif self._zooms and event.text() in ("+", "="):
            self._zoom_by(0.5)
        elif self._zooms and event.text() in ("-", "−"):
            self._zoom_by(2)
        else:
            super().keyPressEvent(event)

    def _step(self, by: int) -> None:
        """Read the next day, or the last one in view to begin with."""
        stops = self._chart.stops
        if self._day is None:
            place = bisect_left(stops, self._in_view.last_day + timedelta(days=1)) - 1
        else:
            place = bisect_left(stops, self._day) + by
        day = stops[min(max(place, 0), len(stops) - 1)]
        if not self._in_view.holds(day):
            away = day - (self._in_view.first_day if by < 0 else self._in_view.last_day)
            view = self._in_view
            self.zoom_to(DaySpan(view.first_day + away, view.last_day + away))
        self.read(day)
        announce(self, self._read.text())

    def _zoom_by(self, factor: float) -> None:
        """Show more or fewer days round the one that is read."""
        view = self._in_view
        count = min(max(round(view.days * factor), LEAST_DAYS), self._chart.days.days)
        middle = view.first_day + timedelta(days=view.days // 2)
        if self._day is not None and view.holds(self._day):
            middle = self._day
        first = max(middle - timedelta(days=count // 2), self._chart.first_day)
        self.zoom_to(DaySpan(first, first + timedelta(days=count - 1)))
        announce(self, phrase("In view: {days}", days=days_between(self._in_view)))

    # The widget

    def _fit(self) -> None:
        """Make room: the scale keeps its height whatever stands above and below it."""
        theme = current()
        words = _words(theme)
        width = self.width() - 2 * _PAD
        self._gutter = gutter_width([self._chart], words)
        if self._chart.is_empty or self._gutter > _MOST_FOR_NAMES * width:
            self._gutter = 0.0
        scale = 160 + 0.8 * theme.text_percent
        self._plot.setFixedHeight(
            math.ceil(scale + height_around(self._chart, width, words, self._gutter))
        )
        longest = self._chart.read_out(self._chart.fullest_day)
        room = set_text(longest, Type.LABEL, theme, max(width, 1)).height
        self._read.setMinimumHeight(math.ceil(room))
        self._draw()

    def _draw(self) -> None:
        self._theme = current()
        whole = self._in_view == self._chart.days
        chart = self._chart if whole else self._chart.within(self._in_view)
        self._plot.show_chart(chart, self._gutter)
        if self._day is not None:
            self._plot.mark(self._day)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange and current() != self._theme:
            self._fit()

    def paintEvent(self, event: QPaintEvent) -> None:
        palette = current().palette
        painter = brush(self)
        draw_body(painter, body_of(self), palette.surface, palette.line, 1)
        if self.hasFocus():
            draw_ring(painter, body_of(self))
        painter.end()


class _Plot(pg.GraphicsView):  # type: ignore[misc]
    """The drawing, and over it what moves. The wheel goes to the page. It is told by the words of
    the view it stands in."""

    told_as = LEFT_OUT

    pointed = Signal(object)
    spanned = Signal(object)

    def __init__(self, zooms: bool) -> None:
        super().__init__()
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.viewport().setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._chart: Chart | None = None
        self._gutter = 0.0
        self.drawn: Drawn | None = None
        self._days = _DaysInView(zooms)
        self._days.drawn_out.connect(self._drawn_out)
        self._line = pg.InfiniteLine(angle=90)
        self._line.hide()
        self._days.addItem(self._line, ignoreBounds=True)
        self.addItem(self._days)

    def show_chart(self, chart: Chart, gutter: float) -> None:
        """Lay a chart out at the present size, in the present theme."""
        self._chart, self._gutter = chart, gutter
        theme = current()
        # Made by the library its width is in pixels; the toolkit would take it for days.
        self._line.setPen(pg.mkPen(theme.palette.action, width=2))
        self._line.hide()
        words = _words(theme)
        size = Box(0, 0, self.width(), self.height())
        if size.height < height_around(chart, size.width, words, gutter) + 4 * words.size:
            self.drawn = None  # on the way to its size
            return
        self.drawn = lay_out(chart, size, words, gutter)
        area = self.drawn.plot.area
        self._days.setGeometry(QRectF(area.left, area.top, area.width, area.height))
        first, last = chart.first_day.toordinal(), chart.last_day.toordinal() + 1
        self._days.setRange(xRange=(first, last), yRange=(0, 10), padding=0)
        self.resetCachedContent()
        self.viewport().update()

    def mark(self, day: date) -> None:
        """Draw the line at a day, if it is in view."""
        self._line.setPos(day.toordinal() + 0.5)
        self._line.setVisible(self._chart is not None and self._chart.days.holds(day))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        super().mouseMoveEvent(event)
        at = event.position()
        drawn, chart = self.drawn, self._chart
        if drawn is None or chart is None or chart.is_empty:
            return
        if drawn.plot.area.left <= at.x() <= drawn.plot.area.right:
            day = drawn.plot.day_at(at.x())
            self.pointed.emit(min(chart.stops, key=lambda stop: abs((stop - day).days)))

    def _drawn_out(self, left: float, right: float) -> None:
        first, last = (date.fromordinal(math.floor(edge)) for edge in (left, right))
        self.spanned.emit(DaySpan(first, last))

    def drawBackground(self, painter: QPainter, rect: QRectF) -> None:
        theme = current()
        palette = theme.palette
        painter.fillRect(rect, QColor(palette.surface))
        if self.drawn is None:
            return
        words = _words(theme)
        ink = QColor(palette.ink)
        look = ChartLook(
            colours={
                "ink": ink,
                "accent": QColor(palette.action),
                "quiet": QColor(palette.quiet),
                "rule": QColor(palette.line),
                "faint": faint_line(palette),
                "words": ink,
                "title": ink,
            },
            ground=QColor(palette.surface),
            words=words,
            title=words,
        )
        paint_chart(painter, self.drawn, look)

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        super().resizeEvent(event)
        if event is not None and self._chart is not None:
            self.show_chart(self._chart, self._gutter)

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()


class _DaysInView(pg.ViewBox):  # type: ignore[misc]
    """The days in view. A span drawn out over them is handed on; it moves nothing by itself."""

    drawn_out = Signal(float, float)

    def __init__(self, zooms: bool) -> None:
        super().__init__(enableMenu=False)
        self.setMouseMode(pg.ViewBox.RectMode)
        self.setMouseEnabled(x=False, y=False)
        self._zooms = zooms

    def mouseDragEvent(self, event: pg.MouseDragEvent, axis: int | None = None) -> None:
        if self._zooms and event.button() == Qt.MouseButton.LeftButton:
            super().mouseDragEvent(event, axis)
        else:
            event.ignore()

    def updateScaleBox(self, begin: QPointF, end: QPointF) -> None:
        super().updateScaleBox(pg.Point(begin.x(), 0), pg.Point(end.x(), self.height()))

    def showAxRect(self, rect: QRectF) -> None:
        whole = self.viewRange()[0]
        left, right = sorted((rect.left(), rect.right()))
        self.drawn_out.emit(max(left, whole[0]), min(right, whole[1] - 0.5))


def _words(theme: Theme) -> TextStyle:
    spacing = Type.LABEL.line_spacing
    return TextStyle(theme.line_height(Type.LABEL) / spacing, leading=spacing)
