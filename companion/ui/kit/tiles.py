"""Equal boxes in as many columns as their words allow."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from PySide6.QtWidgets import QWidget

from companion.ui.kit.buttons import Pressable
from companion.ui.kit.placed import Placed, height_of

TileT = TypeVar("TileT", bound=QWidget)

_LOWER = 0.72


class Tiles(Placed):
    """Children in rows of equal columns; fewer columns when the words would not fit.

    `columns` lists the counts that may be used, best first; the last is used when none fits.
    Each row is as high as its highest child.
    """

    may_wrap = False
    """Whether words may take more lines where that makes the whole lower by more than `_LOWER`."""

    def __init__(self, columns: Sequence[int] = (1,), *, gap: int = 0) -> None:
        super().__init__()
        self._columns = tuple(columns)
        self._gap = gap

    def add(self, tile: TileT) -> TileT:
        return self.add_part(tile)

    def columns_for(self, width: int) -> int:
        """How many columns are used at this width in pixels: as few as make the same rows, so that
        none stands alone in the last one where it need not."""
        count, number = self._most_columns(width), len(self.parts())
        rows = -(-number // count)
        if rows < 2:
            return count
        return min(c for c in self._columns if c <= count and -(-number // c) == rows)

    def _most_columns(self, width: int) -> int:
        need = max((_comfortable_width(tile) for tile in self.parts()), default=0)
        fitting = (count for count in self._columns if self._tile_width(width, count) >= need)
        count = next(fitting, self._columns[-1])
        if not self.may_wrap or count > 1 or width <= 0:
            return count
        least = max((tile.minimumSizeHint().width() for tile in self.parts()), default=0)
        lower = _LOWER * self._rows_high(width, count)
        return next(
            (
                more
                for more in self._columns
                if self._tile_width(width, more) >= least and self._rows_high(width, more) < lower
            ),
            count,
        )

    def _rows_high(self, width: int, count: int) -> int:
        tiles, wide = self.parts(), self._tile_width(width, count)
        rows = (tiles[start : start + count] for start in range(0, len(tiles), count))
        return sum(max(height_of(tile, wide) for tile in row) for row in rows)

    def _tile_width(self, width: int, count: int) -> int:
        return (width - self._gap * (count - 1)) // count

    def wanted_width(self) -> int:
        return 720

    def least_width(self) -> int:
        fewest = min(self._columns)
        return super().least_width() * fewest + self._gap * (fewest - 1)

    def place(self, width: int, *, move: bool) -> int:
        count, tiles = self.columns_for(width), self.parts()
        tile_width = self._tile_width(width, count)
        top = 0
        for start in range(0, len(tiles), count):
            row = tiles[start : start + count]
            high = max(height_of(tile, tile_width) for tile in row)
            for place, tile in enumerate(row if move else ()):
                # The last column takes what whole pixels left over, so that edges line up.
                left = round(place * (width + self._gap) / count)
                right = round((place + 1) * (width + self._gap) / count) - self._gap
                if self.isRightToLeft():
                    left, right = width - right, width - left
                tile.setGeometry(left, top, right - left, high)
            top += high + self._gap
        return max(top - self._gap, 0)


def _comfortable_width(tile: QWidget) -> int:
    if isinstance(tile, Pressable):
        return tile.comfortable_width()
    return tile.minimumSizeHint().width()
