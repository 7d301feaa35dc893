"""Words set by ourselves: wrapped, at a line spacing the toolkit's labels do not offer.

`Setting` lays one text out for one width; `Words` is the label that shows it. Texts are plain:
no mark-up is read, so nothing typed by anyone can turn into formatting.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache

from PySide6.QtCore import QPointF, QSize, Qt
from PySide6.QtGui import (
    QAccessible,
    QColor,
    QFontMetricsF,
    QPainter,
    QPaintEvent,
    QPen,
    QTextLayout,
    QTextOption,
)
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from companion.care.shown_text import SHORT_WORD, shown
from companion.ui.kit.accessible import ToldAs, give_role, tell_level
from companion.ui.kit.placed import changed
from companion.ui.kit.theme import REACH, Room, Theme, Type, current

_LINE_BREAK = "\u2028"
_NO_BREAK = "\u00a0"
WORD_STROKE = 3
"""Pixels of the stroke below the word that is being spoken: as wide as the ring of the focus."""


@lru_cache(maxsize=64)
def _metrics(kind: Type, text_percent: int) -> QFontMetricsF:
    return QFontMetricsF(Theme(text_percent=text_percent).font(kind))


class LaidOutText:
    """One text laid out: `height` and the widest line in pixels, ready to be drawn."""

    __slots__ = ("_layout", "_lift", "height", "lines", "natural_width")

    def __init__(
        self,
        text: str,
        kind: Type,
        theme: Theme,
        width: float,
        alignment: Qt.AlignmentFlag = Qt.AlignmentFlag.AlignLeft,
    ) -> None:
        font = theme.font(kind)
        metrics = _metrics(kind, theme.text_percent)
        line_height = theme.line_height(kind)
        self._lift = (line_height - metrics.ascent() - metrics.descent()) / 2
        kept = _last_word_kept(shown(text), metrics, width)
        layout = QTextLayout(kept.replace("\n", _LINE_BREAK), font)
        option = QTextOption(alignment)
        option.setWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
        layout.setTextOption(option)
        layout.setCacheEnabled(True)
        self.natural_width = 0.0
        self.lines = 0
        layout.beginLayout()
        while (line := layout.createLine()).isValid():
            line.setLineWidth(max(width, 1.0))
            line.setPosition(QPointF(0, self.lines * line_height))
            self.natural_width = max(self.natural_width, line.naturalTextWidth())
            self.lines += 1
        layout.endLayout()
        self.height = self.lines * line_height
        self._layout = layout

    def draw(self, painter: QPainter, left: float, top: float, colour: str) -> None:
        """Draw with the upper left corner of the block at the given place."""
        painter.setPen(QColor(colour))
        self._layout.draw(painter, QPointF(left, top + self._lift))

    def underline(self, painter: QPainter, left: float, word: int) -> None:
        """Draw a stroke in the pen below a word, by its place among the words."""
        found = [each.span() for each in re.finditer(r"\S+", self._layout.text())]
        start, end = found[word]
        line = self._layout.lineForTextPosition(start)
        # What is set has a height of lines of its own: the stroke is in the room below the letters.
        below = self._lift + line.y() + line.ascent() + line.descent()
        from_x, to_x = line.cursorToX(start), line.cursorToX(end)
        assert isinstance(from_x, tuple)
        assert isinstance(to_x, tuple)
        painter.drawLine(QPointF(left + from_x[0], below), QPointF(left + to_x[0], below))


def _last_word_kept(text: str, metrics: QFontMetricsF, width: float) -> str:
    """The text with a short last word held to the one before it, where both fit into a line: the
    number of a limit alone in a line is not read with it. It never takes a line more."""
    before, space, last = text.rpartition(" ")
    if not space or not 0 < len(last) <= SHORT_WORD or "\n" in last:
        return text
    pair = f"{before.split()[-1] if before.split() else ''} {last}"
    return f"{before}{_NO_BREAK}{last}" if metrics.horizontalAdvance(pair) < width else text


@lru_cache(maxsize=512)
def set_text(
    text: str,
    kind: Type,
    theme: Theme,
    width: int,
    alignment: Qt.AlignmentFlag = Qt.AlignmentFlag.AlignLeft,
) -> LaidOutText:
    """The setting of a text for a width in pixels; kept, since layouts ask many times."""
    return LaidOutText(text, kind, theme, width, alignment)


@lru_cache(maxsize=4096)
def one_line_width(text: str, kind: Type, theme: Theme) -> int:
    """How wide the text is when only its own line breaks count, in pixels. A last letter whose ink
    stands out beyond its room, as the mark of a \u010f does, is broken where that has none."""
    metrics = _metrics(kind, theme.text_percent)
    lines = text.splitlines()
    wide = max(map(metrics.horizontalAdvance, lines), default=0.0)
    if not text.isascii():
        wide = max(wide, *(metrics.boundingRect(line).right() for line in lines))
    return math.ceil(wide) + 1


def widest_word(text: str, kind: Type, theme: Theme) -> int:
    """The width of the widest single word, in pixels: below it a word would be broken."""
    return max((one_line_width(word, kind, theme) for word in text.split()), default=0)


def show_when(widget: QWidget, wanted: bool) -> None:
    """Show or hide a part of something larger, also before it has its place there.

    A widget without a parent is a window: showing it would open one for a moment, and take the
    focus from the page. It is left to be shown with its parent instead.
    """
    if wanted and widget.parentWidget() is None:
        widget.setAttribute(Qt.WidgetAttribute.WA_WState_ExplicitShowHide, False)
    else:
        if not wanted and widget.isVisible() and widget.isHidden():
            # Hidden in the middle of being shown: the toolkit shows it and forgets to hide it.
            widget.setVisible(True)
        widget.setVisible(wanted)
    changed()


class WrappedText(QLabel):
    """A wrapped text. `colour` names a field of the palette; `inset` keeps it off the edges;
    `told_as` is what a screen reader takes it for, where that is not a plain text."""

    def __init__(
        self,
        text: str = "",
        kind: Type = Type.BODY,
        *,
        colour: str = "ink",
        inset: int = REACH,
        alignment: Qt.AlignmentFlag = Qt.AlignmentFlag.AlignLeft,
        told_as: ToldAs | None = None,
    ) -> None:
        super().__init__()
        if told_as is not None:
            give_role(self, told_as)
        self._kind = kind
        self._room: Room = "usual"
        self._colour = colour
        self._inset = inset
        self._side = alignment
        self._word: int | None = None
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setWordWrap(True)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.set_text(text)

    def updateGeometry(self) -> None:
        changed()
        super().updateGeometry()

    def set_text(self, text: str) -> None:
        """Show another text; an empty one takes no room."""
        self.setText(text)
        self.setAccessibleName(shown(text))
        self.updateGeometry()
        self.update()

    def mark_word(self, word: int | None) -> None:
        """Mark the word that is being spoken, by its place among the words; None: no word."""
        if word != self._word:
            self._word = word
            self.update()

    def set_kind(self, kind: Type) -> None:
        if kind is not self._kind:
            self._kind = kind
            self.updateGeometry()
            self.update()

    def take_room(self, room: Room) -> None:
        """Stand closer, or larger, as the whole page does."""
        if room != self._room:
            self._room = room
            self.updateGeometry()
            self.update()

    def kind(self) -> Type:
        """In what it is set now."""
        return self._kind.at(self._room)

    def set_colour(self, colour: str) -> None:
        """Change the colour, by the name of a field of the palette."""
        if colour != self._colour:
            self._colour = colour
            self.update()

    def hang(self) -> int:
        """Room before the words for what hangs there, in pixels."""
        return 0

    def setting(self, width: int) -> LaidOutText:
        """The text laid out for a widget of this width."""
        room = max(width - self.hang() - 2 * self._inset, 1)
        return set_text(self.text(), self.kind(), current(), room, self._side)

    def heightForWidth(self, width: int) -> int:
        return math.ceil(self.setting(width).height) if self.text() else 0

    def one_line(self) -> int:
        """The width at which nothing wraps."""
        words = one_line_width(self.text(), self.kind(), current())
        return words + self.hang() + 2 * self._inset

    def sizeHint(self) -> QSize:
        wide = self.one_line()
        return QSize(min(wide, 720), self.heightForWidth(min(wide, 720)))

    def minimumSizeHint(self) -> QSize:
        if not self.text():
            return QSize(0, 0)
        word = widest_word(self.text(), self.kind(), current()) + 2 * self._inset
        high = math.ceil(current().line_height(self.kind()))
        return QSize(min(word, 320) + self.hang(), high)

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self.text():
            return
        painter = QPainter(self)
        colour = getattr(current().palette, self._colour)
        laid_out, left = self.setting(self.width()), self._inset + self.hang()
        laid_out.draw(painter, left, 0, colour)
        if self._word is not None:
            painter.setPen(QPen(QColor(colour), WORD_STROKE))
            laid_out.underline(painter, left, self._word)
        painter.end()


class HeadingWords(WrappedText):
    """A heading: `level` 1 is that of the page."""

    told_as = QAccessible.Role.Heading

    def __init__(
        self, text: str, kind: Type, *, level: int = 2, colour: str = "ink", inset: int = REACH
    ) -> None:
        super().__init__(text, kind, colour=colour, inset=inset)
        tell_level(self, level)


class Paragraph(WrappedText):
    """Running text. `quiet` is the smaller label size, `strong` is bold."""

    def __init__(self, text: str, *, quiet: bool = False, strong: bool = False) -> None:
        kinds = {
            (False, False): Type.BODY,
            (False, True): Type.STRONG,
            (True, False): Type.LABEL,
            (True, True): Type.LABEL_STRONG,
        }
        super().__init__(text, kinds[quiet, strong], colour="quiet" if quiet else "ink")
