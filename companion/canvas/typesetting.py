"""Words measured and drawn with the bundled font, on pages and in charts.

Lengths are the painter's own, points (1/72 inch) on paper and pixels on a screen; y grows
downwards. Text is measured at a large whole pixel size without hinting, so the same words break at
the same places in a PDF and in a picture.
Every function needs a QGuiApplication (`application`).
"""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from enum import Enum
from functools import cache, lru_cache

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetricsF,
    QGuiApplication,
    QPainter,
    QTextLayout,
    QTextOption,
)

from companion.canvas.fonts import load_fonts
from companion.canvas.marks import PARAGRAPH, tagged
from companion.care.shown_text import SHORT_WORD, shown
from companion.system.font_files import FAMILY

INK = QColor("#1A1A1A")
RULE_INK = QColor("#8A867C")
FAINT_RULE_INK = QColor("#D5D1C7")

_FINE = 20
"""Font pixels per point: metrics are linear and sizes in twentieths of a point stay exact."""
_made: list[QGuiApplication] = []


class Align(Enum):
    """Where a line of words stands from its point."""

    LEFT = "left"
    CENTRE = "centre"
    RIGHT = "right"


@dataclass(frozen=True, slots=True)
class TextStyle:
    """Size in points; `leading` is line height over size. `heading` is the rank of a heading, from
    1; 0 is none."""

    size: float
    bold: bool = False
    leading: float = 1.35
    heading: int = 0

    @property
    def line_height(self) -> float:
        """From one baseline to the next, in points."""
        return self.size * self.leading

    @property
    def cap_height(self) -> float:
        return _metrics(self).capHeight() / _FINE

    def with_bold(self) -> TextStyle:
        """The same in bold."""
        return replace(self, bold=True)

    def width(self, text: str) -> float:
        return text_width(text, self)

    def lines(self, text: str, width: float) -> tuple[str, ...]:
        """The lines a text takes at a width."""
        return wrapped(text, self, width)


def application() -> QGuiApplication:
    """The running application, or one that needs no display, kept for the whole process."""
    running = QGuiApplication.instance()
    if isinstance(running, QGuiApplication):
        return running
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    _made.append(QGuiApplication(["homeknee"]))
    return _made[-1]


def text_width(text: str, style: TextStyle) -> float:
    """Width of one line, in points."""
    return _metrics(style).horizontalAdvance(text) / _FINE


@lru_cache(maxsize=4096)
def wrapped(
    text: str, style: TextStyle, width: float, first_indent: float = 0.0
) -> tuple[str, ...]:
    """`text` as the lines it takes at `width` points; a word too long for a line is broken, and a
    short one that would end a paragraph alone takes the word before it along.

    The first line begins `first_indent` points in. It is empty when not one word fits beside it.
    """
    lines: list[str] = []
    indent = first_indent
    for part in shown(text).split("\n"):
        lines += _lines_of(part, style, width, indent)
        indent = 0.0
    return tuple(lines)


def _lines_of(text: str, style: TextStyle, width: float, first_indent: float) -> list[str]:
    if not text:
        return [""]
    lines: list[str] = []
    room = width - first_indent
    if first_indent and text_width(text.split(" ", 1)[0], style) > room:
        lines.append("")
        room = width
    layout = QTextLayout(text, _font(style))
    option = QTextOption()
    option.setWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
    layout.setTextOption(option)
    layout.beginLayout()
    while (line := layout.createLine()).isValid():
        line.setLineWidth(max(room, style.size) * _FINE)
        start = line.textStart()
        lines.append(text[start : start + line.textLength()].rstrip())
        room = width
    layout.endLayout()
    if len(lines) > 1 and len(lines[-1]) <= SHORT_WORD:
        before, space, along = lines[-2].rpartition(" ")
        if space and text_width(pair := f"{along} {lines[-1]}", style) <= width:
            lines[-2:] = [before.rstrip(), pair]
    return lines


def draw_line(
    painter: QPainter,
    text: str,
    style: TextStyle,
    at: QPointF,
    align: Align = Align.LEFT,
    colour: QColor | None = None,
) -> None:
    """One line with its baseline at `at`, on paper in ink: what is grey is lost in a copy."""
    if not text:
        return
    x = at.x()
    if align is not Align.LEFT:
        width = text_width(text, style)
        x -= width if align is Align.RIGHT else width / 2
    with tagged(painter, PARAGRAPH):
        painter.save()
        painter.setPen(colour or INK)
        painter.setFont(_font(style))
        painter.translate(x, at.y())
        painter.scale(1 / _FINE, 1 / _FINE)
        painter.drawText(QPointF(0, 0), shown(text))
        painter.restore()


def draw_lines(
    painter: QPainter, lines: tuple[str, ...], style: TextStyle, top_left: QPointF
) -> None:
    """Lines under each other, the first one's box beginning at `top_left`."""
    baseline = top_left.y() + first_baseline(style)
    for line in lines:
        draw_line(painter, line, style, QPointF(top_left.x(), baseline))
        baseline += style.line_height


def first_baseline(style: TextStyle) -> float:
    """From the top of a line's box to its baseline: the words stand centred in their leading."""
    return (style.line_height + style.cap_height) / 2


@cache
def _font(style: TextStyle) -> QFont:
    application()
    load_fonts()
    font = QFont(FAMILY)
    font.setPixelSize(round(style.size * _FINE))
    font.setWeight(QFont.Weight.Bold if style.bold else QFont.Weight.Normal)
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return font


@cache
def _metrics(style: TextStyle) -> QFontMetricsF:
    return QFontMetricsF(_font(style))


def solid(painter: QPainter, colour: QColor, width: float, *, dashed: bool = False) -> None:
    """Set a line pen of `width` points."""
    pen = painter.pen()
    pen.setColor(colour)
    pen.setWidthF(width)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    if dashed:
        pen.setDashPattern([3.0, 3.0])
    else:
        pen.setStyle(Qt.PenStyle.SolidLine)
    painter.setPen(pen)
