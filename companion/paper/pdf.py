"""One way to make a PDF: upright sheets, points as units, the same content the same bytes."""

from __future__ import annotations

import re
from collections.abc import Callable
from contextvars import ContextVar
from datetime import UTC, date, datetime, time
from hashlib import sha256
from typing import TYPE_CHECKING

from PySide6.QtCore import QBuffer, QByteArray, QHashSeed, QIODevice, QMarginsF, QUuid
from PySide6.QtGui import QPageLayout, QPageSize, QPainter, QPdfWriter

from companion.canvas.box import Box
from companion.canvas.fonts import load_fonts
from companion.canvas.marks import heard_by
from companion.canvas.typesetting import application
from companion.paper.paper_size import page_size
from companion.paper.tagged import Marked, with_tags
from companion.presentation.language.phrases import phrase, spoken

if TYPE_CHECKING:
    from PySide6.QtPrintSupport import QPrinter

POINTS_PER_MM = 72 / 25.4
RESOLUTION = 1200
"""Dots per inch of the PDF's own grid: fine enough for hatching, and for dots on their day."""

Paint = Callable[[QPainter, Callable[[], object], Box], None]
"""Draws all pages: a painter in points, what begins the next page, and the whole sheet."""


def pdf_bytes(title: str, content: object, until: date, paint: Paint, *, letter: bool) -> bytes:
    """The PDF as bytes, A4 or Letter, dated on the day `until` so that it is repeatable.

    `content` is what the pages are made of: the document's id follows from it.
    """
    size = page_size(letter=letter)
    points = size.size(QPageSize.Unit.Point)
    sheet = Box(0, 0, points.width(), points.height())
    print_job = _print_job.get()
    if print_job is not None:
        print_job.add(paint, sheet)
        return b""
    # The toolkit orders some of what it writes by a seed of its own, another in each process.
    QHashSeed.setDeterministicGlobalSeed()
    application()
    load_fonts()
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setResolution(RESOLUTION)
    writer.setPageLayout(QPageLayout(size, QPageLayout.Orientation.Portrait, QMarginsF()))
    writer.setTitle(title)
    writer.setCreator(phrase("Home knee companion"))
    writer.setDocumentId(_document_id(content))
    painter = QPainter(writer)
    marked = Marked()
    try:
        painter.scale(RESOLUTION / 72, RESOLUTION / 72)
        with heard_by(marked):
            paint(painter, writer.newPage, sheet)
    finally:
        painter.end()
    buffer.close()
    made = _dated(bytes(data.data()), datetime.combine(until, time(12), UTC))
    return with_tags(made, marked, spoken())


class _PrintJob:
    """Papers painted one after the other onto a printer."""

    def __init__(self, printer: QPrinter) -> None:
        self._printer = printer
        self._painter = QPainter()
        self.pages = 0

    def add(self, paint: Paint, sheet: Box) -> None:
        """Paint a paper on its own pages."""
        application()
        load_fonts()
        if self.pages:
            self._printer.newPage()
        else:
            self._printer.setFullPage(True)
            self._painter.begin(self._printer)
        self.pages += 1
        self._painter.save()
        per_point = self._printer.resolution() / 72
        self._painter.scale(per_point, per_point)
        paint(self._painter, self._next_page, sheet)
        self._painter.restore()

    def _next_page(self) -> None:
        self.pages += 1
        self._printer.newPage()

    def end(self) -> None:
        """Hand over what was painted."""
        if self._painter.isActive():
            self._painter.end()


_print_job: ContextVar[_PrintJob | None] = ContextVar("_print_job", default=None)


def onto_printer(printer: QPrinter, draw: Callable[[], object]) -> int:
    """Paint every paper that `draw` makes onto a printer, in place of into a file; how many pages
    there are."""
    job = _PrintJob(printer)
    before = _print_job.set(job)
    try:
        draw()
    finally:
        _print_job.reset(before)
        job.end()
    return job.pages


def _document_id(content: object) -> QUuid:
    digest = sha256(repr(content).encode()).digest()[:16]
    return QUuid.fromRfc4122(QByteArray(digest))


def _dated(pdf: bytes, at: datetime) -> bytes:
    """The file with every date in it set to `at`, in place: no byte moves."""
    stamp, xmp = at.strftime("%Y%m%d%H%M%S"), at.strftime("%Y-%m-%dT%H:%M:%S")
    pdf = re.sub(rb"(Date ?\(D:)\d{14}", rb"\g<1>" + stamp.encode(), pdf)
    return re.sub(rb'(xmp:\w+Date=")\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d', rb"\g<1>" + xmp.encode(), pdf)
