"""Long work beside the window: one step at a time in a thread, with progress and Cancel."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator

from PySide6.QtCore import QObject, QRectF, QSize, QThread, Signal
from PySide6.QtGui import QAccessible, QColor, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from companion.ui.kit.accessible import give_role
from companion.ui.kit.buttons import brush
from companion.ui.kit.theme import GRID, REACH, current

Work = Callable[[], Iterator[object]]


class Job(QThread):
    """Runs an iterator step by step in a thread of its own.

    `stepped` carries each step to the window's thread; `ended` comes once, after the last of
    them, also when `stop` was called or the work raised: `fault` is then what it raised.
    """

    stepped = Signal(object)
    ended = Signal()

    def __init__(self, work: Work, parent: QObject) -> None:
        super().__init__(parent)
        self._work = work
        self.fault: Exception | None = None
        self.was_stopped = False
        self.finished.connect(self.ended)

    def stop(self) -> None:
        """Let the step under way come to its end, and begin no other."""
        self.was_stopped = True
        self.requestInterruption()

    def run(self) -> None:
        """The work; called by the thread.

        Collecting garbage stops every thread for as long as it takes to look at all there is.
        So what is there before a step is set aside from it: else the window would stand still,
        with many files for more than a second.
        """
        try:
            gc.freeze()
            for step in self._work():
                self.stepped.emit(step)
                if self.isInterruptionRequested():
                    break
                gc.freeze()
        except Exception as fault:  # noqa: BLE001 - told to the window, which handles every fault
            self.fault = fault
        finally:
            gc.unfreeze()


class ProgressLine(QWidget):
    """How much of a known number is done: a line that fills. The numbers stand beside it."""

    def __init__(self, name: str, most: int) -> None:
        super().__init__()
        self._most = max(most, 1)
        self._done = 0
        give_role(self, QAccessible.Role.ProgressBar, name)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def set_done(self, done: int) -> None:
        """So many are done."""
        self._done = min(done, self._most)
        self.setAccessibleDescription(f"{self._done} / {self._most}")
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(480, 3 * GRID)

    def minimumSizeHint(self) -> QSize:
        return QSize(200, 3 * GRID)

    def paintEvent(self, event: QPaintEvent) -> None:
        palette = current().palette
        painter = brush(self)
        whole = QRectF(REACH, GRID, self.width() - 2 * REACH, GRID)
        painter.setPen(QPen(QColor(palette.line), 1))
        painter.setBrush(QColor(palette.surface))
        painter.drawRect(whole)
        done = QRectF(whole)
        done.setWidth(whole.width() * self._done / self._most)
        painter.setBrush(QColor(palette.action))
        painter.drawRect(done)
        painter.end()
