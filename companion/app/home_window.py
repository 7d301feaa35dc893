"""The window of Home: here, and in the commands, everything is wired together.

What lies outside the window is loaded when it is asked for: the first paint waits for none of it.
"""

from __future__ import annotations

import gc
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from companion.app.exits import DONE, MACHINE
from companion.app.fault_words import store_fault_words
from companion.app.looks import Looks
from companion.journal.faults import JournalFault
from companion.journal.store import Journal
from companion.services.context import Context
from companion.system.clock import Clock
from companion.system.folders import data_folder
from companion.system.logs import PrivateLog
from companion.ui.home.desk import Doorways
from companion.ui.home.home import Home
from companion.ui.kit.faults import install
from companion.ui.kit.window import FIRST_SIZE, PageWindow

if TYPE_CHECKING:
    from companion.care.catalogue import Catalogue

PIECE, PIECE_EVERY_MS = 50, 25
"""Entries read ahead at a time: some four milliseconds of a processor in each twenty-five."""
APP_TITLE = "Home knee companion"


def show_home(
    data_dir: Path | None,
    clock: Clock,
    *,
    quit_when_shown: bool = False,
    closed: Callable[[], None] | None = None,
) -> int:
    """Open Home on a diary and run until the window closes; the exit code.

    `closed` runs after the store is closed, such as to clear away a throwaway copy.
    """
    application = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(application, QApplication)
    application.setApplicationName("homeknee")
    application.setApplicationDisplayName(APP_TITLE)
    folder = data_folder(data_dir)
    looks = Looks(application, folder)
    window = PageWindow(APP_TITLE)
    window.fit(*FIRST_SIZE)
    try:
        journal = Journal.open(folder, clock)
    except JournalFault as fault:
        sentence = store_fault_words(fault)
        print(" ".join(sentence.split()), file=sys.stderr)
        if not quit_when_shown:
            from companion.app.outside import tell_and_end

            tell_and_end(window, application, sentence)
        return MACHINE
    context = Context(journal=journal, clock=clock, catalogue=_content)
    home = Home(window, context, doorways(window, context, looks))
    faults = install(lambda _kind: _show_fault(window, home), PrivateLog(folder, clock))
    home.show_front()
    window.first_painted.connect(gc.enable)
    if quit_when_shown:
        window.first_painted.connect(application.quit)
        window.first_painted.connect(_say_shown)
    else:
        QTimer.singleShot(1500, window, lambda: _tend(journal))
        QTimer.singleShot(1500, window, lambda: _attend(window, home, looks))
        window.first_painted.connect(lambda: read_ahead(window, journal))
    window.show()
    application.exec()
    faults.remove()
    window.hide()
    journal.close()
    if closed is not None:
        closed()
    return DONE


def doorways(window: PageWindow, context: Context, looks: Looks) -> Doorways:
    """What lies outside the window."""

    def out(name: str) -> Callable[..., Any]:
        def do(*what: object) -> Any:
            from companion.app import outside

            return getattr(outside, name)(window, context, *what)

        return do

    return Doorways(
        read_plan=out("pick_plan"),
        read_diary=out("pick_diary"),
        save_visit=out("save_visit"),
        save_copy=out("save_copy"),
        save_stop_list=out("save_stop_list"),
        save_record=out("save_record"),
        save_calendar=out("save_calendar"),
        save_booklet=out("save_booklet"),
        save_cutting_sheet=out("save_cutting_sheet"),
        has_voice=_has_voice,
        settings=lambda: looks.settings,
        use_settings=looks.use,
        data_folder=lambda: str(looks.folder),
        take_everything_away=lambda: _take_away(window, context, looks.folder),
        look_round=out("look_round"),
    )


def _has_voice() -> bool:
    from companion.ui.kit.voice import find_voice

    return find_voice() is not None


def _attend(window: PageWindow, home: Home, looks: Looks) -> None:
    """What the front page does without: reminders, and reading aloud where that is wanted.

    Both belong to the window.
    """
    from companion.ui.home.reminders import Reminders
    from companion.ui.kit.voice import ReadingAloud

    reading = ReadingAloud(window, lambda: looks.settings.reading_aloud)
    reminders = Reminders(window, home, lambda: looks.settings.reminders)
    application = QApplication.instance()
    assert application is not None
    application.aboutToQuit.connect(reminders.stop)
    application.aboutToQuit.connect(reading.stop)


def read_ahead(window: PageWindow, journal: Journal) -> None:
    """Read the rest of the diary in small pieces, while nobody waits for it."""
    timer = QTimer(window)

    def read() -> None:
        try:
            left = journal.index.read_ahead(PIECE)
        except JournalFault:
            left = False  # it is told at the door that needs what is damaged
        if not left:
            timer.stop()

    timer.timeout.connect(read)
    timer.start(PIECE_EVERY_MS)


def _take_away(window: PageWindow, context: Context, folder: Path) -> None:
    from companion.app.outside import take_everything_away

    take_everything_away(window, context, folder)


def _content() -> Catalogue:
    from companion.system.resources import resource
    from companion.wire.catalogue_reading import read_catalogue

    return read_catalogue(resource())


def _show_fault(window: PageWindow, home: Home) -> None:
    """One plain page; every answer before the fault is on disk."""
    from companion.ui.kit.fault_page import FaultPage

    page = FaultPage(stop=False)
    if page.main is not None:
        page.main.clicked.connect(home.show_front)
    window.show_page(page)


def _say_shown() -> None:
    print(f"shown {time.monotonic()}", flush=True)


def _tend(journal: Journal) -> None:
    """Weekly check and backups, once the person has their page."""
    try:
        journal.tend()
    except JournalFault as fault:
        print(" ".join(store_fault_words(fault).split()), file=sys.stderr)
