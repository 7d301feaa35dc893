"""A drawing of a knee on a page: in the colours of the theme, still unless motion is asked for."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, QTimer
from PySide6.QtGui import (
    QAccessible,
    QColor,
    QFont,
    QFontMetricsF,
    QHideEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
    QShowEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from companion.picture.curves import Path
from companion.picture.drawing import DASH_MM, WORDS_HALO_SHARE, Drawing, Shape, Words
from companion.ui.kit.accessible import give_role
from companion.ui.kit.fonts import FAMILY
from companion.ui.kit.theme import Palette, current

PIXELS_PER_MM = 1.45
"""At text of 100 %: the words of a picture are then as large as a label."""
LEAST_SHARE = 0.72
"""A picture may shrink to this share of its size before the page scrolls."""
FRAME_MS = 60
TAPE = {"light": "#BFD0DF", "dark": "#45637F", "high_contrast": "#00407A"}
"""Tape in each palette: quieter than ink on it, and more than paper under it."""
_FINE = 32


class KneePicture(QWidget):
    """Shows one drawing, as large as it fits; its accessible name says what it shows.

    With `loop`, drawings of one size, it can move: never by itself, only after `play`.
    """

    def __init__(
        self,
        drawing: Drawing,
        *,
        loop: Sequence[Drawing] = (),
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._drawing = drawing
        self._loop = tuple(loop)
        self._at = 0
        self._timer = QTimer(self)
        self._timer.setInterval(FRAME_MS)
        self._timer.timeout.connect(self._next)
        self._playing = False
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        give_role(self, QAccessible.Role.Graphic, drawing.description)

    def drawing(self) -> Drawing:
        """What is shown when nothing moves."""
        return self._drawing

    def set_drawing(self, drawing: Drawing, *, loop: Sequence[Drawing] = ()) -> None:
        """Show another drawing; motion stops."""
        self.stop()
        self._drawing, self._loop = drawing, tuple(loop)
        self.setAccessibleName(drawing.description)
        self.updateGeometry()
        self.update()

    def play(self, *, still: bool = False) -> None:
        """Move through the loop until `stop`; nothing happens when `still` or without a loop."""
        if still or not self._loop:
            return
        self._playing = True
        if self.isVisible():
            self._timer.start()

    def stop(self) -> None:
        """Show the still drawing again."""
        self._playing = False
        self._timer.stop()
        self._at = 0
        self.update()

    def is_moving(self) -> bool:
        """Whether it moves now."""
        return self._timer.isActive()

    def shown(self) -> Drawing:
        """The drawing that is painted now."""
        return self._loop[self._at] if self._playing and self._loop else self._drawing

    def sizeHint(self) -> QSize:
        frame, scale = self._drawing.frame, self._scale()
        return QSize(round(frame.width * scale), round(frame.height * scale))

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint() * LEAST_SHARE

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        frame = self._drawing.frame
        wide = min(float(width), frame.width * self._scale())
        return round(wide * frame.height / frame.width)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        _paint(painter, self.shown(), QRectF(self.rect()), current().palette)
        painter.end()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if self._playing:
            self._timer.start()

    def hideEvent(self, event: QHideEvent) -> None:
        self._timer.stop()
        super().hideEvent(event)

    def _next(self) -> None:
        self._at = (self._at + 1) % len(self._loop)
        self.update()

    @staticmethod
    def _scale() -> float:
        return PIXELS_PER_MM * current().text_percent / 100


def _paint(painter: QPainter, drawing: Drawing, into: QRectF, palette: Palette) -> None:
    frame = drawing.frame
    scale = min(into.width() / frame.width, into.height() / frame.height)
    ink, paper = QColor(palette.ink), QColor(palette.paper)
    fills = {"ink": ink, "paper": paper, "tape": QColor(TAPE[palette.name])}
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(into.center())
    painter.scale(scale, scale)
    painter.translate(-frame.left - frame.width / 2, -frame.top - frame.height / 2)
    painter.setClipRect(QRectF(frame.left, frame.top, frame.width, frame.height))
    for item in drawing.items:
        if isinstance(item, Words):
            _paint_words(painter, item, ink, paper)
            continue
        painter.setPen(_pen(item, fills))
        fill = fills.get(item.fill)
        painter.setBrush(Qt.BrushStyle.NoBrush if fill is None else fill)
        painter.drawPath(_qt_path(item.path))


def _pen(shape: Shape, colours: dict[str, QColor]) -> QPen:
    if shape.line is None:
        return QPen(Qt.PenStyle.NoPen)
    what, width = shape.line
    pen = QPen(colours[what], width)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    if shape.dashed:
        pen.setDashPattern([DASH_MM / width, DASH_MM / width])
    return pen


def _qt_path(path: Path) -> QPainterPath:
    made = QPainterPath(QPointF(path.start.real, path.start.imag))
    for _, b, c, d in path.curves:
        made.cubicTo(b.real, b.imag, c.real, c.imag, d.real, d.imag)
    if path.closed:
        made.closeSubpath()
    return made


def _paint_words(painter: QPainter, words: Words, ink: QColor, paper: QColor) -> None:
    font = QFont(FAMILY)
    font.setPixelSize(round(words.size_mm * _FINE))
    font.setBold(words.bold)
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    x = 0.0
    if words.align != "left":
        width = QFontMetricsF(font).horizontalAdvance(words.text)
        x = -width if words.align == "right" else -width / 2
    letters = QPainterPath()
    letters.addText(QPointF(x, 0), font, words.text)
    halo = QPen(paper, words.size_mm * WORDS_HALO_SHARE * _FINE)
    halo.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    painter.save()
    painter.translate(words.at.real, words.at.imag)
    painter.scale(1 / _FINE, 1 / _FINE)
    painter.strokePath(letters, halo)
    painter.fillPath(letters, ink)
    painter.restore()
