"""Drawings of a knee (`companion.picture`) by QPainter, in whatever three colours are handed in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import get_args

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPainterPath, QPen

from companion.picture.curves import Path
from companion.picture.drawing import (
    LINE_SHARE,
    WORDS_HALO_SHARE,
    Closeup,
    Drawing,
    DrawnWords,
    Frame,
    Shape,
    Tint,
)
from companion.presentation.language.said import said_words
from companion.system.font_files import FAMILY

_FINE = 64
"""Font pixels per millimetre of letter: metrics stay linear at any scale."""


@dataclass(frozen=True, slots=True)
class Colours:
    """The three a drawing needs, and the tints of a figure; one that is not there is paper."""

    ink: QColor
    paper: QColor
    tape: QColor
    tints: Mapping[Tint, QColor] = field(default_factory=dict)


def paint(
    painter: QPainter,
    drawing: Drawing,
    into: QRectF,
    colours: Colours,
    *,
    least: float = 0.0,
    pixels: float = 1.0,
) -> None:
    """The drawing, as large as it fits into a rectangle, centred, cut off at its frame. Its letters
    are no smaller than `least`, in the units of the rectangle; `pixels` says how many of a coarse
    copy there are to one of these: no line is too thin for them."""
    frame = drawing.frame
    painter.save()
    scale = to_frame(painter, frame, into)
    fine = scale * pixels
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    box = QRectF(frame.left, frame.top, frame.width, frame.height)
    painter.setClipRect(box, Qt.ClipOperation.IntersectClip)
    painter.fillRect(box, colours.paper)
    fills = dict.fromkeys(get_args(Tint), colours.paper) | dict(colours.tints)
    fills |= {"paper": colours.paper, "tape": colours.tape, "ink": colours.ink}
    above: DrawnWords | None = None
    for item in drawing.items:
        if isinstance(item, Shape):
            _paint_shape(painter, item, fills, fine)
        elif isinstance(item, Closeup):
            painter.save()
            painter.setClipPath(qt_path(item.ring.path), Qt.ClipOperation.IntersectClip)
            painter.fillRect(box, colours.paper)
            for shape in item.shapes:
                _paint_shape(painter, shape, fills, fine)
            painter.restore()
            _paint_shape(painter, item.ring, fills, fine)
        else:
            above = _grown(item, least / scale, above)
            _paint_words(painter, above, colours)
    painter.restore()


def _grown(words: DrawnWords, least: float, above: DrawnWords | None) -> DrawnWords:
    """Words no smaller than `least`, and no line of them in the one above that grew as well."""
    grown = replace(words, size_mm=max(words.size_mm, least))
    if above is None or grown == words:
        return grown
    under = above.at.real == words.at.real and above.at.imag < words.at.imag
    clear = above.at.imag + LINE_SHARE * grown.size_mm if under else words.at.imag
    return replace(grown, at=complex(words.at.real, max(words.at.imag, clear)))


def _paint_shape(painter: QPainter, shape: Shape, fills: dict[str, QColor], fine: float) -> None:
    painter.setPen(_pen(shape, fills, fine))
    painter.setBrush(fills.get(shape.fill, Qt.BrushStyle.NoBrush))
    painter.drawPath(qt_path(shape.path))


def to_frame(painter: QPainter, frame: Frame, into: QRectF) -> float:
    """From here on the painter is in millimetres of the frame, as large as it fits; how much of the
    units of the rectangle one takes."""
    scale = min(into.width() / frame.width, into.height() / frame.height)
    painter.translate(into.center())
    painter.scale(scale, scale)
    painter.translate(-frame.left - frame.width / 2, -frame.top - frame.height / 2)
    return scale


@lru_cache(maxsize=512)
def qt_path(path: Path) -> QPainterPath:
    """The same path for Qt."""
    made = QPainterPath(QPointF(path.start.real, path.start.imag))
    for _, b, c, d in path.curves:
        made.cubicTo(b.real, b.imag, c.real, c.imag, d.real, d.imag)
    if path.closed:
        made.closeSubpath()
    return made


def _pen(shape: Shape, colours: dict[str, QColor], fine: float) -> QPen:
    line = shape.line(fine)
    if line is None:
        return QPen(Qt.PenStyle.NoPen)
    what, width = line
    pen = QPen(colours[what], width)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    if shape.dashed:
        dash = shape.dash_mm(width) / width
        pen.setDashPattern([dash, dash])
    return pen


def _paint_words(painter: QPainter, words: DrawnWords, colours: Colours) -> None:
    font = QFont(FAMILY)
    font.setPixelSize(round(words.size_mm * _FINE))
    font.setBold(words.bold)
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    metrics = QFontMetricsF(font)
    high = metrics.xHeight()
    for line, at in words.lines(said_words):
        x = 0.0
        if words.align != "left":
            width = metrics.horizontalAdvance(line)
            x = -width if words.align == "right" else -width / 2
        painter.save()
        painter.translate(at.real, at.imag)
        painter.scale(1 / _FINE, 1 / _FINE)
        if words.halo:
            letters = QPainterPath()
            letters.addText(QPointF(x, 0), font, line)
            # Nor is a line of the picture a stroke between two words.
            for at_space in [number for number, letter in enumerate(line) if letter == " "]:
                begin, end = (metrics.horizontalAdvance(line[:n]) for n in (at_space, at_space + 1))
                letters.addRect(x + begin, -high, end - begin, high)
            halo = QPen(colours.paper, words.size_mm * WORDS_HALO_SHARE * _FINE)
            halo.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
            painter.strokePath(letters, halo)
        # As words, not as their outlines: what is printed can then be searched and read aloud.
        painter.setFont(font)
        painter.setPen(colours.ink)
        painter.drawText(QPointF(x, 0), line)
        painter.restore()
