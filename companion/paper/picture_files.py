"""Drawings of a knee as picture files, safe in black and white."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QRectF
from PySide6.QtGui import QColor, QImage, QImageWriter, QPainter

from companion.canvas.drawing import Colours, paint
from companion.canvas.fonts import load_fonts
from companion.canvas.typesetting import application
from companion.care.catalogue import Catalogue
from companion.care.records import Plan
from companion.picture.drawing import Drawing, Tint
from companion.picture.svg import svg_text
from companion.presentation.language.said import said_words
from companion.presentation.view.figures import people_pictures, plan_pictures
from companion.system.atomic import private_folder, write_whole

GREYS: dict[Tint, str] = {
    "skin": "#FFFFFF", "press": "#DADADA", "flush": "#DADADA", "cloth": "#FFFFFF",
    "piece": "#FFFFFF", "hair": "#E2E2E2", "wood": "#FFFFFF", "shade": "#F5F5F5",
    "ghost": "#F5F5F5",
}  # fmt: skip


def black_and_white() -> Colours:
    """For a printer without colour: tape and tints are light greys, and outlined anyway."""
    tints = {tint: QColor(grey) for tint, grey in GREYS.items()}
    return Colours(QColor("#000000"), QColor("#FFFFFF"), QColor("#CFCFCF"), tints)


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
    stages with each strip, and the measuring guide; its exercises and its check move. Returns the
    names of the files in the order they were written. Raises OSError when the machine fails.
    """
    private_folder(out)
    drawings = (*plan_pictures(plan, catalogue), *people_pictures(plan, catalogue))
    names: list[str] = []
    for name, drawing in drawings:
        for ending, data in (
            ("svg", svg_text(drawing, said_words, tints=GREYS).encode("utf-8")),
            ("png", drawing_png(drawing)),
        ):
            write_whole(out / f"{name}.{ending}", data)
            names.append(f"{name}.{ending}")
    return tuple(names)
