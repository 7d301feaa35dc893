"""Where bugs end: a private log and one plain page, whatever raised and wherever.

Exceptions in slots, in other threads and lines of the toolkit itself all come here. What went
wrong is for the log; the person is told what was kept and what to do.
"""

from __future__ import annotations

import logging
import sys
import threading
from collections.abc import Callable
from types import TracebackType

from PySide6.QtCore import QMessageLogContext, QObject, QtMsgType, Signal, qInstallMessageHandler

from companion.presentation.phrases import phrase
from companion.ui.kit.controls import Notice, Paragraph
from companion.ui.kit.page import Page

_ToolkitHandler = Callable[[QtMsgType, QMessageLogContext, str], object]

log = logging.getLogger("companion.faults")
_toolkit_log = logging.getLogger("companion.toolkit")

_LEVELS = {
    QtMsgType.QtDebugMsg: logging.DEBUG,
    QtMsgType.QtInfoMsg: logging.INFO,
    QtMsgType.QtWarningMsg: logging.WARNING,
    QtMsgType.QtCriticalMsg: logging.ERROR,
    QtMsgType.QtFatalMsg: logging.CRITICAL,
}


class Faults(QObject):
    """Catches what nobody caught. Make one with `install` and keep it.

    `show` is called in the window's own thread, once for each fault, with a short text for the
    log's reader; it is not called again while it is itself at work.
    """

    _met = Signal(str)

    def __init__(self, show: Callable[[str], None]) -> None:
        super().__init__()
        self._show = show
        self._showing = False
        self._before = (sys.excepthook, threading.excepthook)
        self._toolkit_before: _ToolkitHandler | None = None
        # From another thread the signal is queued, so pages are built where they belong.
        self._met.connect(self._tell)

    def caught(
        self, kind: type[BaseException], fault: BaseException, trace: TracebackType | None
    ) -> None:
        """Write the fault down and have it shown. Ctrl+C and quitting pass through."""
        if not issubclass(kind, Exception):
            self._before[0](kind, fault, trace)
            return
        log.error("fault", exc_info=(kind, fault, trace))
        self._met.emit(kind.__name__)

    def caught_in_thread(self, args: threading.ExceptHookArgs) -> None:
        """The same for other threads."""
        if args.exc_value is not None:
            self.caught(args.exc_type, args.exc_value, args.exc_traceback)

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
        except Exception:
            log.exception("the fault page could not be shown")
        finally:
            self._showing = False


def install(show: Callable[[str], None]) -> Faults:
    """Catch every uncaught exception and every line of the toolkit from now on."""
    faults = Faults(show)
    sys.excepthook = faults.caught
    threading.excepthook = faults.caught_in_thread
    faults._toolkit_before = qInstallMessageHandler(_toolkit_said)
    return faults


def _toolkit_said(kind: QtMsgType, context: QMessageLogContext, message: str) -> None:
    # Arguments rather than a formatted line: a message may hold a percent sign.
    _toolkit_log.log(_LEVELS.get(kind, logging.WARNING), "%s", message)


class FaultPage(Page):
    """Says plainly that something went wrong, what was kept, and what to do now."""

    def __init__(
        self,
        *,
        kept: str | None = None,
        todo: str | None = None,
        where: str = "",
        main: str | None = None,
        heading: str | None = None,
        stop: bool = True,
    ) -> None:
        super().__init__(heading or phrase("Something went wrong"), back=False, stop=stop)
        self.add(Paragraph(phrase("This is a fault in the program, not something you did.")), 8)
        self.add(Notice(kept or phrase("Everything you had written down is kept.")))
        self.add(
            Paragraph(
                todo
                or phrase(
                    "Go back to the front page. If it happens again, close the program and open "
                    "it again."
                )
            )
        )
        if where:
            self.add(Paragraph(where, quiet=True))
        self.main_button(main or phrase("Go to the front page"))
