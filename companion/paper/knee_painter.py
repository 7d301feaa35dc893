"""Drawings of a knee on paper and as pictures, by QPainter, safe in black and white."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QPointF, QRectF, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetricsF,
    QImage,
    QImageWriter,
    QPainter,
    QPainterPath,
    QPen,
)

from companion.care.catalogue import Catalogue
from companion.care.records import Plan
from companion.paper.typesetting import application, load_fonts
from companion.picture.curves import Path as Curve
from companion.picture.drawing import DASH_MM, WORDS_HALO_SHARE, Drawing, Shape, Words
from companion.picture.scenes import plan_pictures
from companion.picture.svg import svg_text
from companion.system.atomic import write_whole
from companion.system.font_files import FAMILY

_FINE = 64
"""Font pixels per millimetre of letter: metrics stay linear at any scale."""


@dataclass(frozen=True, slots=True)
class Colours:
    """The three a drawing needs."""

    ink: QColor
    paper: QColor
    tape: QColor


def black_and_white() -> Colours:
    """For a printer without colour: the tape is a light grey, and outlined and numbered anyway."""
    return Colours(QColor("#000000"), QColor("#FFFFFF"), QColor("#CFCFCF"))


def paint(
    painter: QPainter, drawing: Drawing, into: QRectF, colours: Colours, *, family: str = FAMILY
) -> None:
    """The drawing, as large as it fits into a rectangle, centred, cut off at its frame."""
    frame = drawing.frame
    scale = min(into.width() / frame.width, into.height() / frame.height)
    painter.save()
    painter.translate(into.center())
    painter.scale(scale, scale)
    painter.translate(-frame.left - frame.width / 2, -frame.top - frame.height / 2)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    box = QRectF(frame.left, frame.top, frame.width, frame.height)
    painter.setClipRect(box, Qt.ClipOperation.IntersectClip)
    painter.fillRect(box, colours.paper)
    fills = {"paper": colours.paper, "tape": colours.tape, "ink": colours.ink}
    for item in drawing.items:
        if isinstance(item, Shape):
            _paint_shape(painter, item, colours, fills)
        else:
            _paint_words(painter, item, colours, family)
    painter.restore()


def _paint_shape(
    painter: QPainter, shape: Shape, colours: Colours, fills: dict[str, QColor]
) -> None:
    if shape.line is not None:
        what, width = shape.line
        pen = QPen(colours.ink if what == "ink" else colours.paper, width)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        if shape.dashed:
            pen.setDashPattern([DASH_MM / width, DASH_MM / width])
        painter.setPen(pen)
    else:
        painter.setPen(Qt.PenStyle.NoPen)
    fill = fills.get(shape.fill)
    painter.setBrush(fill if fill is not None else Qt.BrushStyle.NoBrush)
    painter.drawPath(qt_path(shape.path))


@lru_cache(maxsize=512)
def qt_path(path: Curve) -> QPainterPath:
    """The same path for Qt."""
    made = QPainterPath(QPointF(path.start.real, path.start.imag))
    for _, b, c, d in path.curves:
        made.cubicTo(b.real, b.imag, c.real, c.imag, d.real, d.imag)
    if path.closed:
        made.closeSubpath()
    return made


def _paint_words(painter: QPainter, words: Words, colours: Colours, family: str) -> None:
    font = QFont(family)
    font.setPixelSize(round(words.size_mm * _FINE))
    font.setBold(words.bold)
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    x = 0.0
    if words.align != "left":
        width = QFontMetricsF(font).horizontalAdvance(words.text)
        x = -width if words.align == "right" else -width / 2
    painter.save()
    painter.translate(words.at.real, words.at.imag)
    painter.scale(1 / _FINE, 1 / _FINE)
    if words.halo:
        letters = QPainterPath()
        letters.addText(QPointF(x, 0), font, words.text)
        halo = QPen(colours.paper, words.size_mm * WORDS_HALO_SHARE * _FINE)
        halo.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        painter.strokePath(letters, halo)
    painter.setFont(font)
    painter.setPen(colours.ink)
    painter.drawText(QPointF(x, 0), words.text)
    painter.restore()


def drawing_png(drawing: Drawing, *, pixels_per_mm: float = 3.0) -> bytes:
    """The drawing alone as a PNG, black on white."""
    application()
    load_fonts()
    frame = drawing.frame
    image = QImage(
        round(frame.width * pixels_per_mm),
        round(frame.height * pixels_per_mm),
        QImage.Format.Format_Grayscale8,
    )
    image.setDotsPerMeterX(round(pixels_per_mm * 1000))
    image.setDotsPerMeterY(round(pixels_per_mm * 1000))
    image.fill(QColor("#FFFFFF"))
    painter = QPainter(image)
    try:
        paint(painter, drawing, QRectF(image.rect()), black_and_white())
    finally:
        painter.end()
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QImageWriter(buffer, QByteArray(b"png"))
    if not writer.write(image):
        raise OSError(writer.errorString())
    buffer.close()
    return bytes(data.data())


def write_pictures(plan: Plan, catalogue: Catalogue, out: Path) -> tuple[str, ...]:
    """Every picture of a plan as SVG and PNG into a folder, which is made when it is not there.

    For each knee of the plan and each viewpoint: its techniques at their start and end, its tape
    stages with each strip, and the measuring guide. Returns the names of the files in the order
    they were written. Raises OSError when the machine fails.
    """
    out.mkdir(parents=True, exist_ok=True)
    names: list[str] = []
    for name, drawing in plan_pictures(plan, catalogue):
        for ending, data in (
            ("svg", svg_text(drawing).encode("utf-8")),
            ("png", drawing_png(drawing)),
        ):
            write_whole(out / f"{name}.{ending}", data)
            names.append(f"{name}.{ending}")
    return tuple(names)
