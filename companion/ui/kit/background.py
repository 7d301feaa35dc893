"""Work beside the window. Long work goes one step at a time in a thread, with progress and Cancel;
what is short but may wait for a disk is waited for, and the window lives on meanwhile."""

from __future__ import annotations

import gc
import threading
from collections.abc import Callable, Iterator
from typing import TypeVar

from PySide6.QtCore import (
    QCoreApplication,
    QEventLoop,
    QObject,
    QRectF,
    QSize,
    Qt,
    QThread,
    QTimer,
    Signal,
)
from PySide6.QtGui import QAccessible, QColor, QGuiApplication, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from companion.ui.kit.accessible import give_role
from companion.ui.kit.buttons import brush
from companion.ui.kit.theme import GRID, REACH, current

Work = Callable[[], Iterator[object]]
T = TypeVar("T")
SHOW_WAITING_MS = 300
"""After so long the pointer says that something is being done (C)."""
_at_work = 0


def is_at_work() -> bool:
    """Whether something is waited for just now: what comes by itself, a reminder say, waits too."""
    return _at_work > 0


class _Once(QThread):
    """Does one thing in a thread of its own, and keeps what came of it."""

    def __init__(self, work: Callable[[], object]) -> None:
        super().__init__()
        self._work = work
        self.gave: object = None
        self.fault: BaseException | None = None

    def run(self) -> None:
        try:
            self.gave = self._work()
        except BaseException as fault:  # noqa: BLE001 - raised again where it is waited for
            self.fault = fault


def beside(work: Callable[[], T]) -> T:
    """Do something in a thread of its own while the window lives on: it paints, and moves when it
    is moved. What is pressed meanwhile waits and is not lost, so whoever calls this finds all as
    it was. Gives what `work` gives; raises what it raises. `work` touches no window. Called in
    such work it does no more than that.
    """
    if threading.current_thread() is not threading.main_thread():
        return work()
    global _at_work  # noqa: PLW0603 - of the one thread of windows
    once, loop, slow = _Once(work), QEventLoop(), QTimer()
    slow.setSingleShot(True)
    slow.timeout.connect(lambda: QGuiApplication.setOverrideCursor(Qt.CursorShape.BusyCursor))
    once.finished.connect(loop.quit)
    _at_work += 1
    try:
        slow.start(SHOW_WAITING_MS)
        once.start()
        loop.exec(QEventLoop.ProcessEventsFlag.ExcludeUserInputEvents)
        once.wait()  # where the program is ending, no loop turns
    finally:
        _at_work -= 1
        if not slow.isActive():
            QGuiApplication.restoreOverrideCursor()
        slow.stop()
    if once.fault is not None:
        raise once.fault
    return once.gave  # type: ignore[return-value] # it is what `work` gave


class LeftOff(BaseException):
    """Work was stopped inside a step. No Exception, so that nothing on the way takes it for a fault
    of what it was at."""


class Job(QThread):
    """Runs an iterator step by step in a thread of its own.

    `stepped` carries each step to the window's thread; `ended` comes once, after the last of
    them, also when `stop` was called or the work raised: `fault` is then what it raised. `within`
    carries how many percent of a step are done, where the work says so by `beat`.
    """

    stepped = Signal(object)
    within = Signal(int)
    ended = Signal()

    def __init__(self, work: Work, parent: QObject) -> None:
        super().__init__(parent)
        self._work = work
        self.fault: Exception | None = None
        self.was_stopped = False
        self.finished.connect(self.ended)
        application = QCoreApplication.instance()
        if application is not None:
            # A thread that outlives the program would take it down with a crash.
            application.aboutToQuit.connect(self._end_with_the_program)

    def _end_with_the_program(self) -> None:
        self.stop()
        self.wait()

    def beat(self, percent: int) -> None:
        """To be called by the work inside a step: so many percent of it are done. Raises LeftOff
        where the work was stopped."""
        if self.isInterruptionRequested():
            raise LeftOff
        self.within.emit(percent)

    def stop(self) -> None:
        """Let the step under way come to its end or its next beat, and begin no other."""
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
        except LeftOff:
            pass
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
