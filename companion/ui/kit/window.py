"""The window: one page at a time, and now and then a sheet with a question over it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QEvent, QObject, QSize, Qt, QTimer, Signal
from PySide6.QtGui import (
    QCloseEvent,
    QDragEnterEvent,
    QDropEvent,
    QMoveEvent,
    QResizeEvent,
)
from PySide6.QtWidgets import QApplication, QMainWindow, QStackedWidget, QWidget

from companion.ui.kit.accessible import announce
from companion.ui.kit.page import Page
from companion.ui.kit.placed import coming

LEAST_SIZE = (640, 480)
"""The least a window takes where the screen has it."""
SMALLEST = (320, 256)
"""The least on any screen: what is left of a common one at four times its size."""
FIRST_SIZE = (1024, 700)
_TITLE_BAR = 36
"""Pixels a desktop's title bar may take; how many it does is known only once it is there."""


class PageWindow(QMainWindow):
    """Shows pages. It remembers nothing about the pages it showed before.

    `may_close` is asked before the window closes; it returns False to keep it open. `takes_files`
    says whether files may be dropped now; then `files_dropped` carries their paths.
    """

    page_shown = Signal(object)
    sheet_shown = Signal(object)
    first_painted = Signal()
    files_dropped = Signal(object)
    resized = Signal()

    def __init__(self, title: str) -> None:
        super().__init__()
        self.may_close: Callable[[], bool] | None = None
        self.takes_files: Callable[[], bool] = lambda: False
        self._page: Page | None = None
        self._sheet: Page | None = None
        self._focus_before: QWidget | None = None
        self._painted = False
        self._stack = QStackedWidget()
        self.setCentralWidget(self._stack)
        self.setWindowTitle(title)
        self._settle_least(self.screen().availableSize())
        self.resize(*FIRST_SIZE)
        self.setAcceptDrops(True)

    def _settle_least(self, room: QSize) -> None:
        """The least size, as far as the `room` of its screen goes."""
        self._room = room
        (wide, high), (least_wide, least_high) = LEAST_SIZE, SMALLEST
        self.setMinimumSize(
            max(min(wide, room.width()), least_wide),
            max(min(high, room.height() - _TITLE_BAR), least_high),
        )

    def moveEvent(self, event: QMoveEvent) -> None:
        super().moveEvent(event)
        room = self.screen().availableSize()
        if room != self._room:  # it was moved to another screen
            self._settle_least(room)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.resized.emit()

    def fit(self, width: int, height: int) -> None:
        """Take this size, or what the screen has of it: the main button stands at the foot."""
        room = self.screen().availableSize()
        self.resize(min(width, room.width()), min(height, room.height() - _TITLE_BAR))

    def setVisible(self, visible: bool) -> None:
        with coming():
            super().setVisible(visible)

    def page(self) -> Page | None:
        return self._page

    def sheet(self) -> Page | None:
        """The sheet over the page, if there is one."""
        return self._sheet

    def show_page(self, page: Page) -> None:
        """Show a page in place of the last one, which is deleted. A sheet is dropped too."""
        self.drop_sheet(restore_focus=False)
        old, self._page = self._page, page
        self._bring(page)
        if old is not None and old is not page:
            self._discard(old)
        self.page_shown.emit(page)

    def show_sheet(self, sheet: Page) -> None:
        """Put a sheet over the page. There is one at a time; a second is an error."""
        if self._sheet is not None:
            raise ValueError("a sheet is already shown")
        self._focus_before = QApplication.focusWidget()
        self._sheet = sheet
        self._bring(sheet)
        self.sheet_shown.emit(sheet)

    def drop_sheet(self, *, restore_focus: bool = True) -> None:
        """Take the sheet away and go back to where the person was; nothing if there is none."""
        if self._sheet is None:
            return
        sheet, self._sheet = self._sheet, None
        before, self._focus_before = self._focus_before, None
        if self._page is not None:
            if restore_focus:
                self._put_over(self._page)
                if before is not None and self._page.isAncestorOf(before):
                    before.setFocus(Qt.FocusReason.OtherFocusReason)
                else:
                    self._page.take_focus()
            self._stack.setCurrentWidget(self._page)
        self._discard(sheet)

    def _bring(self, page: Page) -> None:
        with coming():
            if self._stack.indexOf(page) == -1:
                self._stack.addWidget(page)
            if not self._painted:
                page.heading.installEventFilter(self)
            self._put_over(page)
            page.take_focus()
            self._stack.setCurrentWidget(page)
        opening = page.opening()
        if opening.words:
            announce(page.heading, opening.words, at_once=opening.at_once)

    def _put_over(self, page: Page) -> None:
        """Show a page over the one before it. Were that hidden first it would hand the focus on to
        whatever is next, and a screen reader would name each stop on the way."""
        if self._stack.currentWidget() not in (None, page):
            page.setGeometry(self._stack.rect())
            page.raise_()
            page.show()

    def _discard(self, page: Page) -> None:
        page.hide()
        self._stack.removeWidget(page)
        page.deleteLater()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        # The window itself paints nothing where its page covers it: the first heading tells.
        if event.type() == QEvent.Type.Paint and not self._painted:
            self._painted = True
            watched.removeEventFilter(self)
            # This pass goes on to the other parts; the timer fires when all of them are done.
            QTimer.singleShot(0, self.first_painted.emit)
        return False

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if self.takes_files() and _files(event):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        self.files_dropped.emit(_files(event))

    def closeEvent(self, event: QCloseEvent) -> None:
        if self.may_close is not None and not self.may_close():
            event.ignore()
            return
        super().closeEvent(event)


def _files(event: QDropEvent) -> list[Path]:
    """The files of this machine that are dragged."""
    return [Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile()]
