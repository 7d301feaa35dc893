"""Long work beside the window: it ends with the program, however that ends."""

from __future__ import annotations

import itertools
import threading
from collections.abc import Iterator

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QApplication

from companion.ui.kit.background import Job


def test_work_that_is_under_way_comes_to_its_end_before_the_program_does(
    qapp: QApplication,
) -> None:
    """A window that was closed while files were looked at took the program down with a crash."""
    began, may_end = threading.Event(), threading.Event()
    steps: list[int] = []

    def work() -> Iterator[None]:
        for step in itertools.count():  # it ends by being stopped alone
            began.set()
            assert may_end.wait(10)
            steps.append(step)
            yield

    owner = QObject()
    job = Job(work, owner)
    job.start()
    assert began.wait(10)
    threading.Timer(0, may_end.set).start()
    qapp.aboutToQuit.emit()
    assert job.isFinished()
    assert job.was_stopped
    assert steps == [*range(len(steps))] != []
