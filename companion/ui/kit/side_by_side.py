"""The same things told in more than one way: row beside row, or one telling below the other."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtWidgets import QWidget

from companion.presentation.language.phrases import phrase
from companion.ui.kit.accessible import LEFT_OUT
from companion.ui.kit.controls import SubHeading
from companion.ui.kit.placed import Placed, height_of
from companion.ui.kit.text import WrappedText
from companion.ui.kit.theme import GRID, Type, current

_GAP = 4 * GRID
_LEAST_COLUMN = 20 * GRID
"""Pixels of a column at 100 % text; with less a value is broken where nobody expects it."""


class SideBySide(Placed):
    """A column a telling, each with its head and the same names; rows stand level.

    A screen reader is told one whole telling after the other.
    """

    def __init__(self, heads: Sequence[str], rows: Sequence[tuple[str, Sequence[str]]]) -> None:
        super().__init__()
        self._columns: list[list[QWidget]] = []
        for number, head in enumerate(heads):
            column: list[QWidget] = [self.add_part(SubHeading(head))]
            for name, values in rows:
                value = values[number]
                words = WrappedText(name, Type.BODY, colour="quiet", told_as=LEFT_OUT)
                column.append(self.add_part(words))
                told = self.add_part(WrappedText(value, Type.STRONG))
                told.setAccessibleName(phrase("{name}: {value}", name=name, value=value))
                column.append(told)
            self._columns.append(column)

    def stand_beside(self, width: int) -> bool:
        """Whether the tellings stand side by side at this width in pixels."""
        return self._share(width) >= max(
            _LEAST_COLUMN * current().text_percent // 100, super().least_width()
        )

    def _share(self, width: int) -> int:
        count = len(self._columns)
        return (width - _GAP * (count - 1)) // count

    def place(self, width: int, *, move: bool) -> int:
        if not self.stand_beside(width):
            return self._one_below_the_other(width, move=move)
        share, top = self._share(width), 0
        for place, level in enumerate(zip(*self._columns, strict=True)):
            high = max(height_of(part, share) for part in level)
            for number, part in enumerate(level if move else ()):
                left = number * (share + _GAP)
                if self.isRightToLeft():
                    left = width - left - share
                part.setGeometry(left, top, share, high)
            top += high + _after(place)
        return top

    def _one_below_the_other(self, width: int, *, move: bool) -> int:
        top = 0
        for column in self._columns:
            for place, part in enumerate(column):
                high = height_of(part, width)
                if move:
                    part.setGeometry(0, top, width, high)
                top += high + _after(place)
            top += GRID
        return top


def _after(place: int) -> int:
    """The room below a part: a name and its value are seen as one."""
    return 0 if place % 2 else 2 * GRID
