"""Names and values: the name quiet, the value in ink, stacked where that takes less room."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QSize
from PySide6.QtGui import QAccessible, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from companion.ui.kit.accessible import give_role
from companion.ui.kit.text import Words, one_line_width, widest_word
from companion.ui.kit.theme import GRID, Type, current

_GAP = 3 * GRID
_MOST_NAME_SHARE = 0.4


class FactList(QWidget):
    """Rows of a name and its value."""

    def __init__(self, rows: Sequence[tuple[str, str]], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rows: list[tuple[Words, Words]] = []
        self._shown: tuple[tuple[str, str], ...] = ()
        self.show_rows(rows)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def show_rows(self, rows: Sequence[tuple[str, str]]) -> None:
        """Show other rows in place of those in sight."""
        if tuple(rows) == self._shown:
            return
        self._shown = tuple(rows)
        for words in (each for row in self._rows for each in row):
            words.hide()
            words.deleteLater()
        self._rows = [
            (
                Words(name, Type.BODY, colour="quiet", parent=self),
                Words(value, Type.STRONG, parent=self),
            )
            for name, value in rows
        ]
        for name, value in self._rows:
            value.setAccessibleName(f"{name.text()}: {value.text()}")
            if self.isVisible():
                name.show()
                value.show()
        give_role(self, QAccessible.Role.Grouping, ", ".join(name for name, _ in rows))
        self.setMinimumHeight(self._placed())
        self.updateGeometry()

    def _name_width(self, width: int) -> int | None:
        """The width of the column of names, None when names stand above their values.

        Where not every name fits its share in one line, whichever is lower as a whole.
        """
        theme = current()
        names = [name.text() for name, _ in self._rows]
        pad = 2 * GRID
        need = max((one_line_width(name, Type.BODY, theme) for name in names), default=0) + pad
        share = int(width * _MOST_NAME_SHARE)
        if need <= share:
            return need
        if max(widest_word(name, Type.BODY, theme) for name in names) + pad > share:
            return None
        beside = self._place(width, share, move=False)
        return share if beside < self._place(width, None, move=False) else None

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        return self._place(width, self._name_width(width), move=False)

    def sizeHint(self) -> QSize:
        return QSize(480, self.heightForWidth(480))

    def minimumSizeHint(self) -> QSize:
        return QSize(200, 0)

    def resizeEvent(self, event: QResizeEvent) -> None:
        # Layouts inside layouts ask for no height at this width; so it is said outright.
        self.setMinimumHeight(self._placed())

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange:
            self.setMinimumHeight(
                self._place(self.width(), self._name_width(self.width()), move=True)
            )
            self.updateGeometry()

    def _placed(self) -> int:
        width = self.width()
        return self._place(width, self._name_width(width), move=True)

    def _place(self, width: int, names: int | None, *, move: bool) -> int:
        top = 0
        for name, value in self._rows:
            if names is None:
                high = name.heightForWidth(width)
                low = value.heightForWidth(width)
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
