"""Names and values: the name quiet, the value in ink, stacked where that takes less room."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtGui import QAccessible

from companion.presentation.language.phrases import phrase
from companion.ui.kit.accessible import LEFT_OUT
from companion.ui.kit.placed import Placed
from companion.ui.kit.text import WrappedText, one_line_width, widest_word
from companion.ui.kit.theme import GRID, Room, Theme, Type, current

_GAP = 3 * GRID
_MOST_NAME_SHARE = 0.4


class FactList(Placed):
    """Rows of a name and its value. A screen reader is told each row as one."""

    told_as = QAccessible.Role.List

    def __init__(self, rows: Sequence[tuple[str, str]]) -> None:
        super().__init__()
        self._shown: tuple[tuple[str, str], ...] = ()
        self._heights: dict[int, int] = {}
        self._measured_in: Theme | None = None
        self.show_rows(rows)

    def show_rows(self, rows: Sequence[tuple[str, str]]) -> None:
        """Show other rows in place of those in sight."""
        if tuple(rows) == self._shown:
            return
        self._shown = tuple(rows)
        self._heights.clear()
        before = self.parts()
        self.take_out(*before)
        for part in before:
            part.hide()
            part.deleteLater()
        for name, value in rows:
            self.add_part(WrappedText(name, Type.BODY, colour="quiet", told_as=LEFT_OUT))
            row = WrappedText(value, Type.STRONG, told_as=QAccessible.Role.ListItem)
            self.add_part(row).setAccessibleName(phrase("{name}: {value}", name=name, value=value))

    def take_room(self, _room: Room) -> None:
        """What was measured holds no longer: the words took another size."""
        self._heights.clear()

    def _pairs(self) -> list[tuple[WrappedText, WrappedText]]:
        words = [part for part in self.parts() if isinstance(part, WrappedText)]
        return list(zip(words[::2], words[1::2], strict=True))

    def wanted_width(self) -> int:
        return 480

    def least_width(self) -> int:
        return 200

    def place(self, width: int, *, move: bool) -> int:
        # A page asks how high its parts are many times before it is shown; the answer hangs on the
        # words, the width and the theme.
        if self._measured_in is not current():
            self._measured_in = current()
            self._heights.clear()
        if move or width not in self._heights:
            names = self._name_width(width)
            self._heights[width] = self._place(width, names, move=move)
        return self._heights[width]

    def _name_width(self, width: int) -> int | None:
        """The width of the column of names, None when names stand above their values.

        Where not every name fits its share in one line, whichever is lower as a whole.
        """
        theme = current()
        names = [name.text() for name, _ in self._pairs()]
        kind = next((name.kind() for name, _ in self._pairs()), Type.BODY)
        pad = 2 * GRID
        need = max((one_line_width(name, kind, theme) for name in names), default=0) + pad
        share = int(width * _MOST_NAME_SHARE)
        words = max((value.minimumSizeHint().width() for _, value in self._pairs()), default=0)
        if width - min(need, share) - _GAP < words <= width:
            return None
        told = max((value.one_line() for _, value in self._pairs()), default=0)
        if need <= share or need + _GAP + told <= width:
            return need
        if max(widest_word(name, kind, theme) for name in names) + pad > share:
            return None
        beside = self._place(width, share, move=False)
        return share if beside < self._place(width, None, move=False) else None

    def _place(self, width: int, names: int | None, *, move: bool) -> int:
        top = 0
        for name, value in self._pairs():
            if names is None:
                high, low = name.heightForWidth(width), value.heightForWidth(width)
                if move:
                    name.setGeometry(0, top, width, high)
                    value.setGeometry(0, top + high, width, low)
                top += high + low + 2 * GRID  # a pair is seen as one
            else:
                left = names + _GAP
                high = max(name.heightForWidth(names), value.heightForWidth(width - left))
                if move:
                    name.setGeometry(0, top, names, high)
                    value.setGeometry(left, top, width - left, high)
                top += high + GRID // 2
        return top
