"""Charts by QPainter, on a screen as on paper: the layout says what and where, a look in what inks.

Kinds differ by shape, never by colour alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen, QPolygonF, QTransform

from companion.canvas.chart_layout import ChartText, Colour, Drawn, Line, Mark
from companion.canvas.typesetting import Align, TextStyle, draw_line
from companion.presentation.view.chart import Shape

_EDGE = 0.3
"""The line of an open sign, as a share of its radius."""


@dataclass(frozen=True, slots=True)
class ChartLook:
    """The colours of a chart, and what its words and its title are set in."""

    colours: Mapping[Colour, QColor]
    ground: QColor
    words: TextStyle
    title: TextStyle


def paint_chart(painter: QPainter, drawn: Drawn, look: ChartLook) -> None:
    """Everything of a chart that was laid out in the face of the look's words."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for item in drawn.items:
        if isinstance(item, Mark):
            _paint_mark(painter, item, look)
        elif isinstance(item, Line):
            _paint_line(painter, item, look)
        else:
            _paint_text(painter, item, look)
    painter.restore()


def _paint_mark(painter: QPainter, mark: Mark, look: ChartLook) -> None:
    radius = mark.radius * mark.sign.size
    colour = look.colours[mark.sign.ink]
    full = mark.sign.fill == "full"
    painter.setPen(Qt.PenStyle.NoPen if full else QPen(colour, radius * _EDGE))
    ground = QBrush(look.ground) if mark.sign.fill == "ground" else QBrush()
    painter.setBrush(QBrush(colour) if full else ground)
    place = QTransform.fromTranslate(mark.x, mark.y).scale(radius, radius)
    painter.drawPath(place.map(_PATHS[mark.sign.shape]))


def _paint_line(painter: QPainter, line: Line, look: ChartLook) -> None:
    pen = QPen(look.colours[line.colour], line.width)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    if line.dashed:
        pen.setDashPattern([4.0, 3.0])
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in line.places]))


def _paint_text(painter: QPainter, text: ChartText, look: ChartLook) -> None:
    style = look.title if text.colour == "title" else look.words
    colour = look.colours[text.colour]
    draw_line(painter, text.words, style, QPointF(text.x, text.y), Align(text.align), colour)


def _polygon(*places: tuple[float, float]) -> QPainterPath:
    path = QPainterPath()
    path.addPolygon(QPolygonF([QPointF(x, y) for x, y in places]))
    path.closeSubpath()
    return path


def _circle() -> QPainterPath:
    path = QPainterPath()
    path.addEllipse(QRectF(-1, -1, 2, 2))
    return path


# Each of a radius of 1 round its middle. The bar is narrower than a day's column, or neighbours
# would run together into a line.
_PATHS: Mapping[Shape, QPainterPath] = {
    "circle": _circle(),
    "bar": _polygon((-1.1, -0.35), (1.1, -0.35), (1.1, 0.35), (-1.1, 0.35)),
    "square": _polygon((-1, -1), (1, -1), (1, 1), (-1, 1)),
    "triangle": _polygon((0, -1), (1, 0.8), (-1, 0.8)),
    "diamond": _polygon((0, -1), (1, 0), (0, 1), (-1, 0)),
}
