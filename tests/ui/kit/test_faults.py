"""Bugs end in one place, wherever they happen."""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator

import pytest
from PySide6.QtCore import qWarning
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from companion.ui.kit.buttons import QuietButton
from companion.ui.kit.fault_page import FaultPage
from companion.ui.kit.faults import Faults, install
from companion.ui.kit.page import Page
from companion.ui.kit.window import PageWindow
from tests.ui.kit import accessibility
from tests.ui.kit.gallery import settle


class Lines:
    """A log that keeps its lines."""

    def __init__(self) -> None:
        self.lines: list[str] = []

    def fault(self, where: str, fault: BaseException) -> None:
        self.lines.append(f"{where}: {type(fault).__name__}")

    def note(self, text: str) -> None:
        self.lines.append(text)


@pytest.fixture
def met() -> list[str]:
    return []


@pytest.fixture
def log() -> Lines:
    return Lines()


@pytest.fixture
def faults(met: list[str], log: Lines, qapp: QApplication) -> Iterator[Faults]:
    made = install(met.append, log)
    yield made
    made.remove()


def fail() -> None:
    raise LookupError("100 % broken")


@pytest.mark.qt_no_exception_capture
def test_a_fault_in_a_slot_is_caught(
    window: PageWindow, faults: Faults, met: list[str], log: Lines
) -> None:
    page = Page("Page")
    button = page.add(QuietButton("Press"))
    button.clicked.connect(fail)
    window.show_page(page)
    button.click()
    assert met == ["LookupError"]
    assert log.lines == ["window: LookupError"], "the message may hold what a person wrote"


@pytest.mark.qt_no_exception_capture
def test_a_fault_in_a_thread_is_shown_in_the_windows_thread(
    qtbot: QtBot, qapp: QApplication, log: Lines
) -> None:
    where: list[int] = []
    made = install(lambda _what: where.append(threading.get_ident()), log)
    try:
        thread = threading.Thread(target=fail)
        thread.start()
        thread.join()
        qtbot.waitUntil(lambda: bool(where), timeout=30_000)
    finally:
        made.remove()
    assert where == [threading.get_ident()]


@pytest.mark.qt_no_exception_capture
def test_a_fault_while_showing_a_fault_ends_in_the_log(qapp: QApplication, log: Lines) -> None:
    def show(_what: str) -> None:
        raise RuntimeError("worse")

    made = install(show, log)
    try:
        sys.excepthook(ValueError, ValueError("bad"), None)
    finally:
        made.remove()
    assert log.lines == ["window: ValueError", "fault page: RuntimeError"]


def test_leaving_passes_through(
    met: list[str], log: Lines, qapp: QApplication, monkeypatch: pytest.MonkeyPatch
) -> None:
    passed: list[object] = []
    monkeypatch.setattr(sys, "excepthook", lambda *what: passed.append(what[0]))
    made = install(met.append, log)
    try:
        sys.excepthook(KeyboardInterrupt, KeyboardInterrupt(), None)
    finally:
        made.remove()
    assert met == []
    assert passed == [KeyboardInterrupt]


def test_lines_of_the_toolkit_go_to_the_log(faults: Faults, log: Lines) -> None:
    qWarning("50 % of something")
    assert log.lines == ["toolkit: 50 % of something"]


def test_everything_is_put_back(qapp: QApplication, log: Lines) -> None:
    before = (sys.excepthook, threading.excepthook)
    install(print, log).remove()
    assert (sys.excepthook, threading.excepthook) == before


def test_the_page_says_what_was_kept(window: PageWindow) -> None:
    page = FaultPage()
    window.show_page(page)
    settle()
    assert "Everything you had written down is kept." in page.reading_text()
    assert accessibility.faults(page) == []
