"""The window of Home: here, and in the commands, everything is wired together.

What lies outside the window is loaded when it is asked for: the first paint waits for none of it.
"""

from __future__ import annotations

import contextlib
import gc
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QApplication

from companion.app.exits import DONE, MACHINE
from companion.app.fault_words import store_fault_words
from companion.app.looks import Looks
from companion.care.coded import coded
from companion.journal import backups
from companion.journal.faults import JournalDamaged, JournalFault, JournalGone
from companion.journal.store import Journal
from companion.services.context import Context
from companion.system.clock import Clock
from companion.system.folders import data_folder
from companion.system.logs import PrivateLog
from companion.system.places import Kept, Places
from companion.ui.home.desk import Doorways
from companion.ui.home.home import Home
from companion.ui.kit.faults import install
from companion.ui.kit.window import FIRST_SIZE, PageWindow

if TYPE_CHECKING:
    from companion.care.catalogue import Catalogue
    from companion.care.policy import Policy
    from companion.ui.kit.background import Job

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
    window = PageWindow(APP_TITLE)
    window.fit(*FIRST_SIZE)
    looks = Looks(application, folder)
    looks.settle_presses()
    program = HomeProgram(window, folder, clock, looks, places=None if closed else Places())
    faults = install(program.show_fault, PrivateLog(folder, clock))
    window.first_painted.connect(gc.enable)
    try:
        program.begin(accompanied=not quit_when_shown)
    except JournalFault as fault:
        sentence = store_fault_words(fault)
        print(" ".join(sentence.split()), file=sys.stderr)
        if quit_when_shown:
            faults.remove()
            return MACHINE
        if isinstance(fault, JournalDamaged):
            program.mend()
        elif isinstance(fault, JournalGone):
            program.ask_where(fault)
        else:
            from companion.app.outside import tell_and_end

            tell_and_end(window, application, sentence)  # it runs until that was read
            faults.remove()
            return MACHINE
    if quit_when_shown:
        window.first_painted.connect(application.quit)
        window.first_painted.connect(_say_shown)
    window.show()
    application.exec()
    faults.remove()
    window.hide()
    program.end()
    if closed is not None:
        closed()
    return DONE if program.was_opened else MACHINE


class HomeProgram(QObject):
    """Home in its window: opened, mended where it is damaged and opened again, and closed."""

    def __init__(
        self,
        window: PageWindow,
        folder: Path,
        clock: Clock,
        looks: Looks,
        *,
        places: Places | None = None,
    ) -> None:
        """`places` None: a throwaway diary, which nobody misses."""
        super().__init__(window)
        self._places = places
        self._window = window
        self._folder = folder
        self._clock = clock
        self._looks = looks
        self._journal: Journal | None = None
        self._tending: Job | None = None
        self._reading: QTimer | None = None
        self.home: Home | None = None
        self.was_opened = False

    def begin(self, *, accompanied: bool = True) -> None:
        """Open the diary and show the front page. Raises JournalFault; nothing is open then.

        `accompanied` by what the first paint does not wait for: copies, reminders, reading ahead.
        """
        self._not_gone()
        journal = Journal.open(self._folder, self._clock)
        try:
            context = Context(
                journal=journal, clock=self._clock, catalogue=_content, policy=_policy
            )
            home = Home(self._window, context, self._doorways(context))
            home.show_front()
        except BaseException:
            journal.close()
            raise
        self._journal, self.home, self.was_opened = journal, home, True
        if accompanied:
            QTimer.singleShot(1500, home, self._accompany)
            if self._window.isVisible():
                self._read_ahead()
            else:
                self._window.first_painted.connect(self._read_ahead)

    def _not_gone(self) -> None:
        """Raise JournalGone where a diary was kept and now is none, nor a copy of it."""
        if self._places is None or any(self._folder.glob("*.sqlite3")):
            return
        kept = self._places.kept(self._folder)
        if kept is None or backups.by_content(self._folder):
            return
        raise JournalGone(
            coded("diary_gone", on=kept.on, entries=kept.entries, folder=str(self._folder))
        )

    def ask_where(self, gone: JournalGone) -> None:
        """Ask what became of the diary that was here."""
        from companion.presentation.home.mending_pages import gone_view
        from companion.presentation.language.said import said_words
        from companion.ui.kit.asking import AskingPage

        page = AskingPage(gone_view(said_words(gone.said)), help_offered=False)
        page.given.connect(lambda given: self._where(given["way"]))
        self._window.show_page(page)

    def _where(self, way: str) -> None:
        match way:
            case "again":
                self._begin_again()
            case "file":
                self.mend()
            case "anew":
                if self._places is not None:
                    self._places.forget(self._folder)
                self._begin_again()
            case _:
                self._window.close()

    def _read_ahead(self) -> None:
        if self._journal is not None and self._reading is None:
            self._reading = read_ahead(self, self._journal)

    def _accompany(self) -> None:
        if self.home is not None:
            self._tend()
            _attend(self._window, self.home, self._looks)

    def mend(self) -> None:
        """Close the diary, which is damaged, and offer the ways to mend it."""
        from companion.app.mending import Mending

        self.end()
        application = QApplication.instance()
        assert application is not None
        Mending(
            self._window,
            self._folder,
            self._clock,
            begin_again=self._begin_again,
            close=application.quit,
        ).show()

    def take_away(self) -> None:
        """Close the diary, take it off this machine, say what stayed, and close the window."""
        from companion.journal.leaving import take_off
        from companion.presentation.home.settings_pages import taken_away_view
        from companion.ui.kit.asking import AskingPage

        self.end()
        if self._places is not None:
            self._places.forget(self._folder)
        page = AskingPage(taken_away_view(take_off(self._folder)), help_offered=False)
        page.given.connect(self._window.close)
        self._window.show_page(page)

    def _begin_again(self) -> None:
        try:
            self.begin()
        except JournalDamaged:
            self.mend()
        except JournalGone as gone:
            self.ask_where(gone)

    def end(self) -> None:
        """Let go of the diary. A second call does nothing."""
        if self._reading is not None:
            self._reading.stop()
            self._reading = None
        if self._tending is not None:
            self._tending.stop()
            self._tending.wait()
            self._tending = None
        if self.home is not None:
            self.home.deleteLater()
            self.home = None
        if self._journal is not None:
            if self._places is not None:
                self._remember(self._journal)
            self._journal.close()
            self._journal = None

    def _remember(self, journal: Journal) -> None:
        assert self._places is not None
        with contextlib.suppress(JournalFault):
            entries = journal.count()
            if entries:
                self._places.remember(self._folder, Kept(entries, self._clock.today()))

    def show_fault(self, kind: str) -> None:
        """One plain page; every answer before the fault is on disk. What damage of the diary
        raised, wherever it was read, leads to where that is mended."""
        if kind == JournalDamaged.__name__:
            self.mend()
            return
        from companion.ui.kit.fault_page import FaultPage

        page = FaultPage(stop=False)
        if page.main is not None and self.home is not None:
            page.main.clicked.connect(self.home.show_front)
        self._window.show_page(page)

    def _tend(self) -> None:
        """Make the copies that are due, once the person has their page, beside the window."""
        from companion.ui.kit.background import Job

        folder, today = self._folder, self._clock.today()
        job = Job(lambda: iter([backups.tend(folder, today)]), self)
        job.ended.connect(lambda: self._tended(job))
        self._tending = job
        job.start()

    def _tended(self, job: Job) -> None:
        """What the person is told where no copy could be made."""
        if job.fault is None or self.home is None:
            return
        if not isinstance(job.fault, JournalFault):
            raise job.fault
        self.home.note(store_fault_words(job.fault), mend=isinstance(job.fault, JournalDamaged))

    def _doorways(self, context: Context) -> Doorways:
        return doorways(
            self._window, context, self._looks, mend=self.mend, take_away=self.take_away
        )


def doorways(
    window: PageWindow,
    context: Context,
    looks: Looks,
    *,
    mend: Callable[[], None],
    take_away: Callable[[], None],
) -> Doorways:
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
        take_everything_away=take_away,
        look_round=out("look_round"),
        mend=mend,
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


def read_ahead(beside: QObject, journal: Journal) -> QTimer:
    """Read the rest of the diary in small pieces, while nobody waits for it; what does so must be
    stopped before the diary is closed."""
    timer = QTimer(beside)

    def read() -> None:
        try:
            left = journal.index.read_ahead(PIECE)
        except JournalFault:
            left = False  # it is told at the door that needs what is damaged
        if not left:
            timer.stop()

    timer.timeout.connect(read)
    timer.start(PIECE_EVERY_MS)
    return timer


def _content() -> Catalogue:
    from companion.system.resources import resource
    from companion.wire.catalogue_reading import read_catalogue

    return read_catalogue(resource())


def _policy() -> Policy:
    from companion.wire.resource_reading import shipped_policy

    return shipped_policy()


def _say_shown() -> None:
    print(f"shown {time.monotonic()}", flush=True)
