"""Files that are handed to an open window: by the command, by a second start, or dropped on it.

A second start on the same folder finds the first by a local socket of the user's own, named after
the folder; it hands its file over, and the first window comes to the front. Nobody else on the
machine can connect, and all that is ever said there is a path.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QDeadlineTimer, QObject, Qt, QThread, QTimer
from PySide6.QtNetwork import QLocalServer, QLocalSocket

from companion.ui.kit.background import is_at_work
from companion.ui.kit.page import Page
from companion.ui.kit.window import PageWindow

WAIT_MS = 2000
"""How long a second start waits for an answer: longer than any step of a window may take."""
STARTING_MS = 3000
"""How long it looks for the first, which may be starting itself, and how often."""
AGAIN_MS = 50
MOST_BYTES = 64 * 1024


def hand_over(folder: Path, file: Path | None) -> bool:
    """Ask the window that has `folder` open to come to the front, and to open `file`; whether one
    was there to ask."""
    socket = QLocalSocket()
    starting = QDeadlineTimer(STARTING_MS)
    socket.connectToServer(server_name(folder))
    while not socket.waitForConnected(WAIT_MS):
        if starting.hasExpired():
            return False
        QThread.msleep(AGAIN_MS)
        socket.connectToServer(server_name(folder))
    socket.write(json.dumps(None if file is None else str(file.absolute())).encode())
    socket.flush()
    sent = socket.waitForBytesWritten(WAIT_MS) or socket.bytesToWrite() == 0
    socket.disconnectFromServer()
    return sent


class HandedIn(QObject):
    """Takes one file after the other, each when nothing is being done that it would break into.

    `take` opens one; `is_free` says whether the page being shown is a place to do that from.
    """

    def __init__(
        self,
        window: PageWindow,
        folder: Path,
        take: Callable[[Path], None],
        is_free: Callable[[Page], bool],
    ) -> None:
        super().__init__(window)
        self._window = window
        self._take = take
        self._is_free = is_free
        self._waiting: list[Path] = []
        self._server = QLocalServer(self)
        self._server.setSocketOptions(QLocalServer.SocketOption.UserAccessOption)
        self._server.newConnection.connect(self._asked)
        # What a killed window left is in nobody's way: only one process holds the folder's lock.
        QLocalServer.removeServer(server_name(folder))
        self._server.listen(server_name(folder))
        window.takes_files = self._free_now
        window.files_dropped.connect(self._dropped)
        window.page_shown.connect(lambda _page: QTimer.singleShot(0, self, self._next))

    def close(self) -> None:
        """Be asked nothing more."""
        self._server.close()

    def add(self, file: Path) -> None:
        """Open a file as soon as that can be."""
        self._waiting.append(file)
        QTimer.singleShot(0, self, self._next)

    def _free_now(self) -> bool:
        page = self._window.page()
        calm = self._window.sheet() is None and not is_at_work()
        return page is not None and calm and self._is_free(page)

    def _next(self) -> None:
        if self._waiting and self._free_now():
            self._take(self._waiting.pop(0))

    def _dropped(self, files: list[Path]) -> None:
        for file in files:
            self.add(file)

    def _asked(self) -> None:
        while self._server.hasPendingConnections():
            socket = self._server.nextPendingConnection()
            socket.disconnected.connect(lambda socket=socket: self._told(socket))

    def _told(self, socket: QLocalSocket) -> None:
        said = bytes(socket.read(MOST_BYTES).data())
        socket.deleteLater()
        try:
            file = json.loads(said)
        except ValueError:
            return
        self._to_the_front()
        if isinstance(file, str) and file and "\0" not in file:
            self.add(Path(file))

    def _to_the_front(self) -> None:
        window = self._window
        window.setWindowState(window.windowState() & ~Qt.WindowState.WindowMinimized)
        window.show()
        window.raise_()
        window.activateWindow()


def server_name(folder: Path) -> str:
    """What the local socket of the window that has `folder` open is called."""
    digest = hashlib.sha256(str(folder.absolute()).encode("utf-8", "surrogateescape")).hexdigest()
    return f"homeknee-{digest[:32]}"
