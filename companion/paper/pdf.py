"""One way to make a PDF: upright sheets, points as units, the same content the same bytes."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, date, datetime, time
from hashlib import sha256

from PySide6.QtCore import QBuffer, QByteArray, QHashSeed, QIODevice, QMarginsF, QUuid
from PySide6.QtGui import QPageLayout, QPageSize, QPainter, QPdfWriter

from companion.canvas.box import Box
from companion.canvas.fonts import load_fonts
from companion.canvas.typesetting import application
from companion.presentation.language.phrases import phrase

POINTS_PER_MM = 72 / 25.4
RESOLUTION = 1200
"""Dots per inch of the PDF's own grid: fine enough for hatching, and for dots on their day."""

Paint = Callable[[QPainter, Callable[[], object], Box], None]
"""Draws all pages: a painter in points, what begins the next page, and the whole sheet."""


def pdf_bytes(title: str, content: object, until: date, paint: Paint, *, letter: bool) -> bytes:
    """The PDF as bytes, A4 or Letter, dated on the day `until` so that it is repeatable.

    `content` is what the pages are made of: the document's id follows from it.
    """
    # The toolkit orders some of what it writes by a seed of its own, another in each process.
    QHashSeed.setDeterministicGlobalSeed()
    application()
    load_fonts()
    size = QPageSize(QPageSize.PageSizeId.Letter if letter else QPageSize.PageSizeId.A4)
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setResolution(RESOLUTION)
    writer.setPageLayout(QPageLayout(size, QPageLayout.Orientation.Portrait, QMarginsF()))
    writer.setTitle(title)
    writer.setCreator(phrase("Home knee companion"))
    writer.setDocumentId(_document_id(content))
    points = size.size(QPageSize.Unit.Point)
    painter = QPainter(writer)
    try:
        painter.scale(RESOLUTION / 72, RESOLUTION / 72)
        paint(painter, writer.newPage, Box(0, 0, points.width(), points.height()))
    finally:
        painter.end()
    buffer.close()
    return _dated(bytes(data.data()), datetime.combine(until, time(12), UTC))


def _document_id(content: object) -> QUuid:
    digest = sha256(repr(content).encode()).digest()[:16]
    return QUuid.fromRfc4122(QByteArray(digest))


def _dated(pdf: bytes, at: datetime) -> bytes:
    """The file with every date in it set to `at`, in place: no byte moves."""
    stamp, xmp = at.strftime("%Y%m%d%H%M%S"), at.strftime("%Y-%m-%dT%H:%M:%S")
    pdf = re.sub(rb"(Date ?\(D:)\d{14}", rb"\g<1>" + stamp.encode(), pdf)
    return re.sub(rb'(xmp:\w+Date=")\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d', rb"\g<1>" + xmp.encode(), pdf)
