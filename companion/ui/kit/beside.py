"""A picture and the words about it: side by side where both have room, else one above the other."""

from __future__ import annotations

from typing import TypeVar

from PySide6.QtCore import QEvent
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from companion.ui.kit.theme import GRID, current

WidgetT = TypeVar("WidgetT", bound=QWidget)
_LEAST_WIDTH_FOR_BOTH = 620
"""Pixels at 100 % text; more with larger text, half as much more for a few words."""
_PICTURE_PARTS, _WORDS_PARTS = 5, 6


class PictureBeside(QWidget):
    """Widgets added before `begin_words` stand with the picture, later ones beside it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._line = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        self._line.setContentsMargins(0, 0, 0, 0)
        self._line.setSpacing(3 * GRID)
        self._picture = self._column = self._new_column(_PICTURE_PARTS)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def begin_words(self) -> None:
        """From now on, what is added stands beside the picture."""
        self._column.addStretch(1)
        self._column = self._new_column(_WORDS_PARTS)

    def end(self) -> None:
        """Keep the words at the top, however high the picture is."""
        self._column.addStretch(1)

    def add(self, widget: WidgetT, before: int) -> WidgetT:
        """Put a widget at the end of the column that is being filled."""
        if before and self._column.count():
            self._column.addSpacing(before)
        self._column.addWidget(widget)
        return widget

    def _new_column(self, parts: int) -> QVBoxLayout:
        column = QVBoxLayout()
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        self._line.addLayout(column, parts)
        return column

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._turn()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange:
            self._turn()

    def _turn(self) -> None:
        percent = current().text_percent
        both = self.width() >= _LEAST_WIDTH_FOR_BOTH * percent / 100 or (
            self.width() >= _LEAST_WIDTH_FOR_BOTH * (100 + percent) / 200 and self._few_words()
        )
        way = QBoxLayout.Direction.LeftToRight if both else QBoxLayout.Direction.TopToBottom
        if self._line.direction() != way:
            self._line.setDirection(way)
            self.updateGeometry()

    def _few_words(self) -> bool:
        """Whether the words end no lower than the picture they stand beside."""
        if self._column is self._picture:
            return False
        share = (self.width() - self._line.spacing()) // (_PICTURE_PARTS + _WORDS_PARTS)
        words = self._column.heightForWidth(share * _WORDS_PARTS)
        return words <= self._picture.heightForWidth(share * _PICTURE_PARTS)
