"""Where bugs end: a private log and one plain page, whatever raised and wherever.

Exceptions in slots, in other threads and lines of the toolkit itself all come here. What went
wrong is for the log; the person is told what was kept and what to do.
"""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable
from types import TracebackType
from typing import Protocol

from PySide6.QtCore import QMessageLogContext, QObject, QtMsgType, Signal, qInstallMessageHandler

_ToolkitHandler = Callable[[QtMsgType, QMessageLogContext, str], object]
_LONGEST_LINE = 200


class FaultLog(Protocol):
    """Where faults are written for whoever repairs the program; it never raises."""

    def fault(self, where: str, fault: BaseException) -> None:
        """Write down a fault."""

    def note(self, text: str) -> None:
        """Write down a line."""


class Faults(QObject):
    """Catches what nobody caught. Make one with `install` and keep it.

    `show` is called in the window's own thread, once for each fault, with the kind of fault; it
    is not called again while it is itself at work.
    """

    _met = Signal(str)

    def __init__(self, show: Callable[[str], None], log: FaultLog) -> None:
        super().__init__()
        self._show = show
        self._log = log
        self._showing = False
        self._before = (sys.excepthook, threading.excepthook)
        self._toolkit_before: _ToolkitHandler | None = None
        # From another thread the signal is queued, so pages are built where they belong.
        self._met.connect(self._tell)

    def listen(self) -> None:
        sys.excepthook = self.caught
        threading.excepthook = self.caught_in_thread
        self._toolkit_before = qInstallMessageHandler(self.toolkit_said)

    def caught(
        self, kind: type[BaseException], fault: BaseException, trace: TracebackType | None
    ) -> None:
        """Write the fault down and have it shown. Ctrl+C and quitting pass through."""
        if not issubclass(kind, Exception):
            self._before[0](kind, fault, trace)
            return
        self._log.fault("window", fault)
        self._met.emit(kind.__name__)

    def caught_in_thread(self, args: threading.ExceptHookArgs) -> None:
        """The same for other threads."""
        if args.exc_value is not None:
            self.caught(args.exc_type, args.exc_value, args.exc_traceback)

    def toolkit_said(self, kind: QtMsgType, context: QMessageLogContext, message: str) -> None:
        """Keep what the toolkit warns of; what it only mentions is of no use to anyone."""
        if kind not in (QtMsgType.QtDebugMsg, QtMsgType.QtInfoMsg):
            self._log.note("toolkit: " + message[:_LONGEST_LINE])

    def remove(self) -> None:
        """Put back what was there before."""
        sys.excepthook, threading.excepthook = self._before
        qInstallMessageHandler(self._toolkit_before)

    def _tell(self, what: str) -> None:
        if self._showing:
            return
        self._showing = True
        try:
            self._show(what)
        except Exception as worse:  # noqa: BLE001 - the last place a fault can go is the log
            self._log.fault("fault page", worse)
        finally:
            self._showing = False


def install(show: Callable[[str], None], log: FaultLog) -> Faults:
    """Catch every uncaught exception and every warning of the toolkit from now on."""
    faults = Faults(show, log)
    faults.listen()
    return faults
