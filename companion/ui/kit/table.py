"""Rows of data to be read: large, sized to what they hold, with a dash for what is missing."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import product

from PySide6.QtCore import (
    QAbstractTableModel,
    QEvent,
    QModelIndex,
    QPersistentModelIndex,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPaintEvent, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QHeaderView,
    QSizePolicy,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from companion.presentation.language.phrases import phrase
from companion.ui.kit.buttons import body_of, brush, draw_body, draw_ring
from companion.ui.kit.presses import presses
from companion.ui.kit.text import one_line_width, set_text, widest_word
from companion.ui.kit.theme import GRID, REACH, Theme, Type, current

MISSING = "–"
MISSING_SAID = "not recorded"

_Index = QModelIndex | QPersistentModelIndex


# Up to this many letters a text is read at a glance and is not broken: a day with its time.
_SHORT = 13
_MOST_LINES = 40
_SIDEWAYS_LINES = 3


def _least_width(text: str, kind: Type, theme: Theme) -> int:
    if kind is Type.BODY and len(text) <= _SHORT:
        return one_line_width(text, kind, theme)
    return widest_word(text, kind, theme)


def _width_in_two(text: str, kind: Type, theme: Theme) -> int:
    """The least width of a short text that may be broken once; of others that of their words."""
    words = text.split(" ")
    if kind is not Type.BODY or len(text) > _SHORT or len(words) == 1:
        return widest_word(text, kind, theme)
    parts = [(" ".join(words[:n]), " ".join(words[n:])) for n in range(1, len(words))]
    return min(max(one_line_width(part, kind, theme) for part in pair) for pair in parts)


class _TableTexts(QAbstractTableModel):
    """The texts of a table; None is an answer that was not given."""

    def __init__(self, headers: Sequence[str], rows: Sequence[Sequence[str | None]]) -> None:
        super().__init__()
        self.headers = tuple(headers)
        self.rows = tuple(tuple(row) for row in rows)

    def rowCount(self, parent: _Index = QModelIndex()) -> int:  # noqa: B008 - never changed
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: _Index = QModelIndex()) -> int:  # noqa: B008 - never changed
        return 0 if parent.isValid() else len(self.headers)

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        text = self.rows[index.row()][index.column()]
        if role == Qt.ItemDataRole.DisplayRole:
            return MISSING if text is None else text
        if role == Qt.ItemDataRole.AccessibleTextRole:
            # The head of its column is said by the reader itself.
            return phrase(MISSING_SAID) if text is None else text
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        if role == Qt.ItemDataRole.FontRole and self._is_head(index.row()):
            return current().font(Type.STRONG)
        return None

    def _is_head(self, row: int) -> bool:
        """Whether a row is a head over those that follow, such as their month."""
        first, *rest = self.rows[row]
        return bool(first) and bool(rest) and not any(text != "" for text in rest)

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        if orientation is not Qt.Orientation.Horizontal:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return self.headers[section]
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return (
                int(Qt.AlignmentFlag.AlignLeft)
                | int(Qt.AlignmentFlag.AlignBottom)
                | int(Qt.TextFlag.TextWordWrap)
            )
        return None


class _View(QTableView):
    """The toolkit's table without its own frame; the wheel and unused keys go to the page.

    Where its rows lead on, Enter and a click `lead`.
    """

    lead = Signal(int)
    leads = False

    def wheelEvent(self, event: QWheelEvent) -> None:
        bar = self.verticalScrollBar()
        if bar.maximum() == 0:
            event.ignore()
        else:
            super().wheelEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if enter and self.leads and self.currentIndex().isValid() and not event.isAutoRepeat():
            if presses().counts(event.key()):
                self.lead.emit(self.currentIndex().row())
        elif enter or event.key() == Qt.Key.Key_Escape:
            event.ignore()
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        if not self.currentIndex().isValid() and self.model().rowCount():
            self.setCurrentIndex(self.model().index(0, 0))


def _shared(natural: Sequence[int], least: Sequence[int], room: int) -> list[int]:
    """Widths that leave no short text broken, the rest of the room shared by want; may be none."""
    spare = room - sum(least)
    if spare < 0:
        return []
    wish = [full - low for full, low in zip(natural, least, strict=True)]
    return [low + spare * want // sum(wish) for low, want in zip(least, wish, strict=True)]


def _in_lines(full: int, lines: int) -> int:
    """About the width at which a text takes so many lines that takes `full` in one."""
    pad = 4 * GRID
    # Lines end at words: each is some way short of full.
    return pad + math.ceil(1.25 * (full - pad) / lines)


def _low_rows(
    natural: Sequence[int], least: Sequence[int], least_broken: Sequence[int], room: int
) -> list[int]:
    """Widths for the fewest lines that fit the room; short texts are broken where that helps, and
    taken back into one line, the cheapest first, where there is room for it."""
    widths = list(least_broken)
    for lines, low in product(range(2, _MOST_LINES), (least, least_broken)):
        wanted = [max(low[n], min(full, _in_lines(full, lines))) for n, full in enumerate(natural)]
        if sum(wanted) <= room:
            widths = wanted
            break
    by_want = sorted(range(len(natural)), key=lambda each: natural[each] - widths[each])
    for column in by_want:
        if natural[column] - widths[column] <= room - sum(widths):
            widths[column] = natural[column]
    widths[by_want[-1]] += room - sum(widths)
    return widths


class DataTable(QWidget):
    """A table of texts with named columns.

    `rows` hold one text per header; None shows a dash and is read as "not recorded". All rows are
    shown and the page scrolls; where the columns are too wide for it the table scrolls sideways by
    itself. Raises ValueError for a row of the wrong length.
    """

    def __init__(
        self,
        name: str,
        headers: Sequence[str],
        rows: Sequence[Sequence[str | None]],
    ) -> None:
        super().__init__()
        self._name = name
        self.view = _View(self)
        view = self.view
        view.setAccessibleName(name)
        view.setFrameShape(QFrame.Shape.NoFrame)
        view.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        view.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        view.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        view.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        view.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        view.setTabKeyNavigation(False)
        view.setShowGrid(False)
        view.setWordWrap(True)
        view.verticalHeader().setVisible(False)
        header = view.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        header.setSectionsClickable(False)
        header.setHighlightSections(False)
        header.setMinimumSectionSize(GRID)
        view.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        column = QVBoxLayout(self)
        pad = REACH + 2
        column.setContentsMargins(pad, pad, pad, pad)
        column.addWidget(view)
        self.setFocusProxy(view)
        view.installEventFilter(self)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        self.set_rows(headers, rows)

    def spoken(self) -> str:
        """Its name and size: a voice does not read cells."""
        rows = len(self._rows.rows)
        return phrase(
            "A table, {name}: {n} row", "A table, {name}: {n} rows", name=self._name, n=rows
        )

    def lead_on(self, to: Callable[[int], None]) -> None:
        """Let rows lead on: a click on one, or Enter, calls `to` with its number."""
        self.view.leads = True
        self.view.lead.connect(to)
        self.view.clicked.connect(self._row_clicked)

    def _row_clicked(self, index: QModelIndex) -> None:
        if presses().counts(self.view):
            self.view.lead.emit(index.row())

    def set_rows(self, headers: Sequence[str], rows: Sequence[Sequence[str | None]]) -> None:
        for number, row in enumerate(rows, 1):
            if len(row) != len(headers):
                raise ValueError(
                    f"row {number} has {len(row)} texts for {len(headers)} columns of {self._name}"
                )
        old = self.view.model()
        self._rows = _TableTexts(headers, rows)
        self._rows.setParent(self.view)
        self.view.setModel(self._rows)
        if old is not None:
            old.deleteLater()
        self._fit()

    def _width_of(self, column: int, measure: Callable[[str, Type, Theme], int]) -> int:
        """What a column needs when its texts are measured so: in one line, or by their words."""
        theme = current()
        texts = sorted({row[column] or MISSING for row in self._rows.rows}, key=len)
        head = measure(self._rows.headers[column], Type.LABEL_STRONG, theme)
        # The widest text is among the longest ones; measuring a whole diary would be slow.
        shortest = min((len(text) for text in texts[-5:]), default=0)
        longest = (text for text in texts if len(text) >= shortest)
        body = max((measure(text, Type.BODY, theme) for text in longest), default=0)
        return max(head, body) + 4 * GRID

    def _widths(self, room: int) -> list[int]:
        """Share the room: nothing wraps if it fits, else words wrap, else it goes sideways.

        Where words wrap, the columns share what is left over in the measure they want it; where
        that makes rows much higher than they need be, each gets what the fewest lines ask for.
        """
        columns = range(len(self._rows.headers))
        natural = [self._width_of(column, one_line_width) for column in columns]
        least = [self._width_of(column, _least_width) for column in columns]
        least_broken = [self._width_of(column, _width_in_two) for column in columns]
        if not natural:
            return []
        if sum(natural) <= room:
            extra = (room - sum(natural)) // len(natural)
            widths = [each + extra for each in natural]
        elif sum(least_broken) <= room:
            widths = _low_rows(natural, least, least_broken, room)
            shared = _shared(natural, least, room)
            if shared and self._most_lines(shared) < self._most_lines(widths) + 2:
                widths = shared
        else:
            # It goes sideways in any case: then no row need be a tower either.
            return [
                max(low, min(full, _in_lines(full, _SIDEWAYS_LINES)))
                for low, full in zip(least, natural, strict=True)
            ]
        widths[-1] += room - sum(widths)
        return widths

    def _most_lines(self, widths: Sequence[int]) -> int:
        """How many lines the highest row takes, as its longest texts say."""
        theme = current()
        longest = (
            max((row[column] or MISSING for row in self._rows.rows), key=len, default="")
            for column in range(len(widths))
        )
        return max(
            set_text(text, Type.BODY, theme, wide - 4 * GRID).lines
            for text, wide in zip(longest, widths, strict=True)
        )

    def _fit(self) -> None:
        """Share the width among the columns and give the rows the height of their texts."""
        theme = current()
        room = self.width() - 2 * (REACH + 2)
        widths = self._widths(room)
        for column, wide in enumerate(widths):
            self.view.setColumnWidth(column, wide)
        line = theme.line_height(Type.BODY)
        heights = []
        for number, row in enumerate(self._rows.rows):
            high = max(
                (
                    set_text(text or MISSING, Type.BODY, theme, widths[column] - 4 * GRID).height
                    for column, text in enumerate(row)
                ),
                default=line,
            )
            heights.append(round(high) + 2 * GRID)
            self.view.setRowHeight(number, heights[-1])
        head_line = theme.line_height(Type.LABEL_STRONG)
        head = max(
            (
                set_text(text, Type.LABEL_STRONG, theme, widths[column] - 2 * GRID).height
                for column, text in enumerate(self._rows.headers)
            ),
            default=head_line,
        )
        head_high = round(head) + 2 * GRID
        self.view.horizontalHeader().setFixedHeight(head_high)
        sideways = sum(widths) > room
        policy = Qt.ScrollBarPolicy
        self.view.setHorizontalScrollBarPolicy(
            policy.ScrollBarAlwaysOn if sideways else policy.ScrollBarAlwaysOff
        )
        self.view.setVerticalScrollBarPolicy(policy.ScrollBarAlwaysOff)
        bar = self.view.horizontalScrollBar().sizeHint().height() if sideways else 0
        self.view.setFixedHeight(head_high + sum(heights) + bar)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange:
            self._fit()

    def eventFilter(self, watched: object, event: QEvent) -> bool:
        if event.type() in (QEvent.Type.FocusIn, QEvent.Type.FocusOut):
            self.update()
        return False

    def minimumSizeHint(self) -> QSize:
        return QSize(320, self.view.height() + 2 * (REACH + 2))

    def paintEvent(self, event: QPaintEvent) -> None:
        palette = current().palette
        painter = brush(self)
        draw_body(painter, body_of(self), palette.surface, palette.line, 2)
        if self.view.hasFocus():
            draw_ring(painter, body_of(self))
        painter.end()
