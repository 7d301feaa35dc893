"""A short list of what a day holds: done is ticked, and the one thing to do next is large."""

from __future__ import annotations

from typing import Literal

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from companion.presentation.language.phrases import phrase
from companion.ui.kit.buttons import (
    ActionRow,
    draw_body,
    draw_chevron,
    draw_tick,
)
from companion.ui.kit.theme import GRID, Palette, Type, current

Mark = Literal["open", "done", "told"]


class _Line(ActionRow):
    """What both kinds of lines share: room for a mark before their words."""

    pad_across = 2 * GRID
    mark_size = 26


class ListedRow(_Line):
    """A line of the list, which leads on: an empty box before what is to do, a tick before what is
    done, a dot before what is only told."""

    pad_down = GRID

    def __init__(self, word: str, line: str = "", *, mark: Mark) -> None:
        super().__init__(word, line)
        self.mark = mark
        if mark == "done":
            self.setAccessibleDescription(phrase("Done. {line}", line=line))

    def draw(self, painter: QPainter, body: QRectF, palette: Palette) -> None:
        done = self.mark == "done"
        fill = palette.paper if done else palette.surface
        draw_body(painter, body, fill, palette.action if self.is_held() else palette.line, 2)
        self.draw_words(painter, palette.quiet if done else palette.ink, palette.quiet)
        box = self.mark_box()
        match self.mark:
            case "open":
                _draw_open_box(painter, box, palette.action)
            case "done":
                draw_tick(painter, box, palette.quiet)
            case _:
                painter.setPen(Qt.PenStyle.NoPen)
                painter.setBrush(QColor(palette.quiet))
                away = box.width() * 0.36
                painter.drawEllipse(box.adjusted(away, away, -away, -away))
        draw_chevron(painter, body, self.pad_across, palette.action)


class LeadingRow(_Line):
    """The one thing to do next: filled, and in larger type than all beside it."""

    word_type = Type.SUBHEADING
    line_type = Type.BODY
    least_height = 13 * GRID
    pad_down = 2 * GRID

    def right_mark(self) -> int:
        return current().scaled(14) + 2 * GRID

    def draw(self, painter: QPainter, body: QRectF, palette: Palette) -> None:
        draw_body(painter, body, palette.action_pressed if self.is_held() else palette.action)
        self.draw_words(painter, palette.on_action, palette.on_action)
        _draw_open_box(painter, self.mark_box(), palette.on_action)
        draw_chevron(painter, body, self.pad_across, palette.on_action, 1.4)


def _draw_open_box(painter: QPainter, box: QRectF, colour: str) -> None:
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(colour), current().scaled(2.5)))
    painter.drawRoundedRect(box.adjusted(2, 2, -2, -2), 3, 3)
