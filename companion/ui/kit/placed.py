"""Widgets whose parts are placed by one function of the width.

The toolkit's layouts know rows, columns and grids. Where parts stand beside each other while they
fit and below each other when they do not, a subclass says so in `place`; what the toolkit asks of
it, and what must be followed, is the same for all and stands here. It is no `QLayout`: one written
in Python shares its items with the toolkit, and that crashed where parts are taken out again.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TypeVar

from PySide6.QtCore import QCoreApplication, QEvent, QSize, Qt
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from companion.ui.kit.theme import current

PartT = TypeVar("PartT", bound=QWidget)
_RESETTING = (
    QEvent.Type.StyleChange,
    QEvent.Type.FontChange,
    QEvent.Type.LayoutDirectionChange,
)
_SAID = Qt.WidgetAttribute.WA_WState_ExplicitShowHide
_changed = 0
_coming = False


def changed() -> None:
    """Something is as high or as wide no longer: nothing that was measured holds."""
    global _changed  # noqa: PLW0603 - one page is laid out at a time
    _changed += 1


@contextmanager
def coming() -> Iterator[None]:
    """While a page comes into sight what was measured is kept too: nothing of it changes by then
    but what its own widgets tell."""
    global _coming  # noqa: PLW0603 - one page comes at a time
    changed()
    before, _coming = _coming, True
    try:
        yield
    finally:
        _coming = before
        changed()


class Placed(QWidget):
    """Parts placed by `place`; as high as that makes them at the width there is."""

    def __init__(self, *parts: QWidget) -> None:
        super().__init__()
        self._parts: list[QWidget] = []
        self._highs: dict[int, int] = {}
        self._measured: object = None
        """When, and in which theme, these heights at widths were measured."""
        for part in parts:
            self.add_part(part)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def place(self, width: int, *, move: bool) -> int:
        """Move every part to where it belongs at this width, or only measure; the height."""
        raise AssertionError("every such widget places its own parts")

    def wanted_width(self) -> int:
        """The width to have, in pixels, where there is room."""
        return 640

    def least_width(self) -> int:
        return max((part.minimumSizeHint().width() for part in self.parts()), default=0)

    def least_height(self) -> int:
        return 0

    def parts(self) -> list[QWidget]:
        """The parts that are not hidden, in the order they were added."""
        return [part for part in self._parts if not part.isHidden()]

    def add_part(self, part: PartT) -> PartT:
        put_away = part.isHidden() and part.testAttribute(_SAID)
        part.setParent(self)
        self._parts.append(part)
        if self.isVisible() and not put_away:
            part.show()
        self.updateGeometry()
        return part

    def take_out(self, *parts: QWidget) -> None:
        """Take parts away; whose they are from now on is said by whoever takes them."""
        self._parts = [part for part in self._parts if part not in parts]
        self.updateGeometry()
        self._settle()

    def high(self, width: int) -> int:
        """How high it is at a width. The toolkit asks some dozen times for each page that is shown,
        so what was measured is kept until something changes. While it is out of sight the toolkit
        tells nobody of a change of what stands in it, and nothing is kept."""
        if not (_coming or self.isVisible()):
            return self.place(width, move=False)
        now = _changed, current()
        if self._measured != now:
            self._measured = now
            self._highs.clear()
        if width not in self._highs:
            high = self.place(width, move=False)
            if now[0] != _changed:
                return high
            self._highs[width] = high
        return self._highs[width]

    # What the toolkit asks, and what is followed

    def updateGeometry(self) -> None:
        changed()
        super().updateGeometry()

    def heightForWidth(self, width: int) -> int:
        return self.high(width)

    def sizeHint(self) -> QSize:
        # In a wide column as high as it is there: the least height a page takes comes from here,
        # and what is more than that would be empty room at its end.
        wide = self.wanted_width()
        return QSize(wide, self.high(max(wide, self.width())))

    def minimumSizeHint(self) -> QSize:
        return QSize(self.least_width(), self.least_height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._settle()
        if event.size().width() != event.oldSize().width():
            self.updateGeometry()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._settle()

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.LayoutRequest:
            self.updateGeometry()
            self._settle()
        return super().event(event)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in _RESETTING:
            self.updateGeometry()
            # Once, when all that stands in it has changed too; out of sight as it is shown.
            if self.isVisible():
                QCoreApplication.postEvent(self, QEvent(QEvent.Type.LayoutRequest))

    def _settle(self) -> None:
        self.place(self.width(), move=True)


def stack(parts: Sequence[QWidget], left: int, width: int, gap: int = 0, *, move: bool) -> int:
    """Parts one below the other, `gap` pixels apart; their height together."""
    top = 0
    for part in parts:
        high = height_of(part, width)
        if move:
            part.setGeometry(left, top, width, high)
        top += high + gap
    return max(top - gap, 0)


def height_of(part: QWidget, width: int) -> int:
    """How high a part is at a width."""
    if part.hasHeightForWidth():
        return part.heightForWidth(width)
    return max(part.minimumSizeHint().height(), part.sizeHint().height())
