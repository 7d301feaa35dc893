"""Stills of one movement beside and below each other, as large as the room allows."""

from __future__ import annotations

from collections.abc import Sequence

from companion.picture.drawing import Drawing
from companion.ui.kit.knee_picture import KneePicture
from companion.ui.kit.placed import Placed
from companion.ui.kit.theme import GRID


class PicturePanels(Placed):
    """The drawings in rows, in the columns that make them largest; each in its place of a grid."""

    fills_room = True
    """In a column of its own it is as high as what the heading leaves."""

    def __init__(self, drawings: Sequence[Drawing]) -> None:
        super().__init__()
        self._panels = [self.add_part(KneePicture(drawing)) for drawing in drawings]

    def full_height(self, width: int) -> int:
        """How high they are where only the width holds them back: two beside each other."""
        columns = min(2, len(self._panels))
        rows = -(-len(self._panels) // columns)
        each = (width - GRID * (columns - 1)) // columns
        return rows * (self._shape(each) + GRID) - GRID

    def _shape(self, width: int) -> int:
        return max(picture.full_height(width) for picture in self._panels)

    def _columns(self, width: int, height: int) -> int:
        """The number of columns by which a picture comes out largest."""

        def size(columns: int) -> float:
            rows = -(-len(self._panels) // columns)
            return min(width / columns, width * (height / rows) / max(self._shape(width), 1))

        return max(range(1, len(self._panels) + 1), key=size)

    def place(self, width: int, *, move: bool) -> int:
        wanted = min(self.full_height(width), _MOST_IN_WORDS)
        if not move:
            return wanted
        height = self.height()
        columns = self._columns(width, height)
        rows = -(-len(self._panels) // columns)
        wide, high = width / columns, height / rows
        for place, picture in enumerate(self._panels):
            left, top = round(place % columns * wide), round(place // columns * high)
            picture.setGeometry(left, top, round(wide) - GRID, round(high) - GRID)
        return wanted


_MOST_IN_WORDS = 520
"""The most they take above the words where there is one column, in pixels."""
