"""What holds for every test: a throwaway home, no display, and nothing of Qt left alive.

A timer, thread or window that outlives its test fails that test, because the crash it causes
would otherwise show up in a later one. The check costs nothing where Qt is not loaded.
"""

from __future__ import annotations

import atexit
import os
import shutil
import sys
import tempfile
import time
from collections.abc import Generator, Iterator
from typing import TYPE_CHECKING, Any
from weakref import WeakSet

import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from PySide6.QtCore import QThread, QTimer
    from PySide6.QtWidgets import QWidget

# Qt reads these when it is first imported, so they are set before any test module is.
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
if os.environ.get("LANG", "") in ("", "C", "POSIX"):
    os.environ["LANG"] = "C.UTF-8"
os.environ["LANGUAGE"] = "en"  # a desktop of another language changes no test

# The machine's own zone is one no diary here is kept in, half an hour off the full one: whatever
# takes it instead of the zone it was handed shows. Without a database: POSIX.1, TZ, "FAR9:30".
os.environ["TZ"] = "FAR9:30"
if hasattr(time, "tzset"):
    time.tzset()

# No test reads or writes a real person's folders, nor does a command that a test starts.
_HOME = tempfile.mkdtemp(prefix="homeknee-tests-")
atexit.register(shutil.rmtree, _HOME, ignore_errors=True)
for _name in ("CACHE", "CONFIG", "DATA", "STATE"):
    os.environ[f"XDG_{_name}_HOME"] = os.path.join(_HOME, _name.lower())  # noqa: PTH118 - text
os.environ["XDG_RUNTIME_DIR"] = _HOME  # mkdtemp made it private, as Qt demands

# The same examples each time: a red run can be repeated, a green one is not luck.
settings.register_profile("steady", derandomize=True, max_examples=60, deadline=None, database=None)
settings.load_profile("steady")

_PASSED = pytest.StashKey[bool]()
_watched: WeakSet[Any] = WeakSet()  # QTimer and QThread objects that were started


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item, call: pytest.CallInfo[None]
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Remember whether the test itself passed, for the leak check that follows it."""
    report = yield
    if call.when == "call":
        item.stash[_PASSED] = report.passed
    return report


def _watch_starts(kind: type[QTimer] | type[QThread]) -> None:
    """Note every object of this kind that is started from Python."""
    original: Any = kind.start
    if getattr(original, "watched", False):
        return

    def start(self: Any, *arguments: Any, **named: Any) -> Any:
        _watched.add(self)
        return original(self, *arguments, **named)

    start.watched = True  # type: ignore[attr-defined]
    kind.start = start  # type: ignore[method-assign]


def _flush_deletions() -> None:
    """Carry out every pending `deleteLater`, which no event loop is running to do."""
    from PySide6.QtCore import QCoreApplication, QEvent

    for _ in range(3):  # a deletion may ask for another
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
        QCoreApplication.processEvents()


def _loop_is_over() -> bool:
    """Say whether the application was told to end, and take it back.

    From then on no event loop of a later test would turn: it would wait in vain, far from the
    cause.
    """
    from PySide6.QtCore import QEventLoop, QTimer
    from PySide6.QtWidgets import QApplication

    loop = QEventLoop()
    QTimer.singleShot(0, loop.quit)
    if loop.exec() == 0:
        return False
    QTimer.singleShot(0, QApplication.exit)
    QApplication.exec()
    return True


def _leaked(windows_before: list[QWidget]) -> list[str]:
    """Name what is alive and was not before, and make it harmless for the tests that follow."""
    from PySide6.QtCore import QThread
    from PySide6.QtWidgets import QApplication
    from shiboken6 import isValid

    names = []
    for started in list(_watched):
        if not isValid(started):
            continue
        if isinstance(started, QThread):
            if started.isRunning():
                names.append(f"running {started!r}")
                started.quit()
                started.wait(2000)
        elif started.isActive():
            names.append(f"ticking {started!r}")
            started.stop()
    for window in QApplication.topLevelWidgets():
        if window not in windows_before:
            names.append(f"open {window!r} {window.objectName()}")
            window.close()
            window.deleteLater()
    _watched.clear()
    _flush_deletions()
    if _loop_is_over():
        names.append("the application was told to end")
    return names


@pytest.fixture(autouse=True)
def nothing_left_alive(request: pytest.FixtureRequest) -> Iterator[None]:
    """Fail a passing test that leaves a Qt timer, thread or window behind, or ends the loop."""
    before: list[QWidget] = []
    if "PySide6.QtWidgets" in sys.modules:
        from PySide6.QtCore import QThread, QTimer
        from PySide6.QtWidgets import QApplication

        _watch_starts(QTimer)
        _watch_starts(QThread)
        if QApplication.instance() is not None:
            before = QApplication.topLevelWidgets()
    yield
    if "PySide6.QtWidgets" not in sys.modules:
        return
    from PySide6.QtWidgets import QApplication

    if QApplication.instance() is None:
        return
    _flush_deletions()
    left = _leaked(before)
    # A failed test keeps its objects alive through its traceback: one report is enough.
    if left and request.node.stash.get(_PASSED, False):
        pytest.fail(f"left alive: {'; '.join(left)}", pytrace=False)


@pytest.fixture(autouse=True)
def every_press_counts() -> None:
    """Tests press at once; those of the rest between presses hand in a clock of their own."""
    if "companion.ui.kit.page" in sys.modules:
        from companion.ui.kit.presses import Presses, use_presses

        use_presses(Presses(0))


@pytest.fixture(scope="session", autouse=True)
def one_application(qapp: Any) -> Any:
    """The application of windows, made before anything that paints makes a smaller one: a process
    can have only one, and windows would find no place in the smaller.

    It does not end with the last window: after that, no event loop of a later test would run.
    """
    qapp.setQuitOnLastWindowClosed(False)
    return qapp
