"""Equal boxes in as many columns as their words allow."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from PySide6.QtCore import QEvent, QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from companion.ui.kit.buttons import Pressable

TileT = TypeVar("TileT", bound=QWidget)


class Tiles(QWidget):
    """Children in rows of equal columns; fewer columns when the words would not fit.

    `columns` lists the counts that may be used, best first; the last is used when none fits.
    Each row is as high as its highest child.
    """

    def __init__(
        self, columns: Sequence[int] = (1,), *, gap: int = 0, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._columns = tuple(columns)
        self._gap = gap
        self._tiles: list[QWidget] = []
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def add(self, tile: TileT) -> TileT:
        """Add a child at the end."""
        tile.setParent(self)
        self._tiles.append(tile)
        self.updateGeometry()
        return tile

    @property
    def tiles(self) -> tuple[QWidget, ...]:
        """The children in order."""
        return tuple(self._tiles)

    def columns_for(self, width: int) -> int:
        """How many columns are used at this width in pixels."""
        need = max((_comfortable_width(tile) for tile in self._shown()), default=0)
        for count in self._columns:
            if self._tile_width(width, count) >= need:
                return count
        return self._columns[-1]

    def _shown(self) -> list[QWidget]:
        return [tile for tile in self._tiles if not tile.isHidden()]

    def _tile_width(self, width: int, count: int) -> int:
        return (width - self._gap * (count - 1)) // count

    def _rows(self, width: int) -> list[list[QWidget]]:
        count = self.columns_for(width)
        shown = self._shown()
        return [shown[start : start + count] for start in range(0, len(shown), count)]

    def _row_height(self, row: list[QWidget], tile_width: int) -> int:
        return max(
            tile.heightForWidth(tile_width)
            if tile.hasHeightForWidth()
            else tile.sizeHint().height()
            for tile in row
        )

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        rows = self._rows(width)
        tile_width = self._tile_width(width, self.columns_for(width))
        high = sum(self._row_height(row, tile_width) for row in rows)
        return high + self._gap * max(len(rows) - 1, 0)

    def sizeHint(self) -> QSize:
        # In a wide column as high as it is there: the least height a page takes comes from here,
        # and what is more than that would be empty room at its end.
        return QSize(720, self.heightForWidth(max(720, self.width())))

    def minimumSizeHint(self) -> QSize:
        need = max((tile.minimumSizeHint().width() for tile in self._shown()), default=0)
        fewest = min(self._columns)
        return QSize(need * fewest + self._gap * (fewest - 1), 0)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._place()
        if event.size().width() != event.oldSize().width():
            self.updateGeometry()

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.LayoutRequest:
            self.updateGeometry()
            self._place()
        return super().event(event)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in (QEvent.Type.StyleChange, QEvent.Type.FontChange):
            self.updateGeometry()
            self._place()

    def _place(self) -> None:
        width = self.width()
        count = self.columns_for(width)
        tile_width = self._tile_width(width, count)
        right_to_left = self.layoutDirection() == Qt.LayoutDirection.RightToLeft
        top = 0
        for row in self._rows(width):
            high = self._row_height(row, tile_width)
            for place, tile in enumerate(row):
                # The last column takes what whole pixels left over, so that edges line up.
                left = round(place * (width + self._gap) / count)
                right = round((place + 1) * (width + self._gap) / count) - self._gap
                if right_to_left:
                    left, right = width - right, width - left
                tile.setGeometry(left, top, right - left, high)
            top += high + self._gap


def _comfortable_width(tile: QWidget) -> int:
    if isinstance(tile, Pressable):
        return tile.comfortable_width()
    return tile.minimumSizeHint().width()


class Doors(Tiles):
    """The doors of the front page, two side by side while their words fit."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__((2, 1), parent=parent)
