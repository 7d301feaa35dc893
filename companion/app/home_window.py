"""The window of Home: here, and in the commands, everything is wired together.

What lies outside the window is loaded when it is asked for: the first paint waits for none of it.
"""

from __future__ import annotations

import contextlib
import gc
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QApplication

from companion.app.elsewhere import Elsewhere
from companion.app.exits import DONE, MACHINE
from companion.app.fault_words import store_fault_words
from companion.app.looks import Looks, name_program
from companion.journal import backups
from companion.journal.faults import (
    JournalBusy,
    JournalDamaged,
    JournalFault,
    JournalFull,
    JournalGone,
    JournalUnwritable,
)
from companion.journal.store import Journal, is_older
from companion.services.context import Context
from companion.services.second_place import (
    FILE,
    SecondPlace,
    keep_second_place,
    read_second_place,
)
from companion.services.trouble import Trouble
from companion.system.clock import Clock
from companion.system.folders import data_folder
from companion.system.logs import PrivateLog
from companion.system.places import Kept, Places
from companion.system.settings import SettingsFile
from companion.ui.home.desk import HomeDoorways
from companion.ui.home.front_page import FrontPage
from companion.ui.home.home import Home
from companion.ui.kit.faults import install
from companion.ui.kit.window import PageWindow

if TYPE_CHECKING:
    from datetime import date

    from companion.care.catalogue import Catalogue
    from companion.care.policy import Policy
    from companion.care.records import Plan
    from companion.services.doctor import Checked
    from companion.ui.kit.background import Job

T = TypeVar("T")
_AGAIN_MS = 100
PIECE, PIECE_EVERY_MS = 50, 25
"""Entries read ahead at a time: some four milliseconds of a processor in each twenty-five."""
APP_TITLE = "Home knee companion"
FIRST_SIZE = (1366, 768)
_DISK_FAULTS = {JournalFull.__name__, JournalUnwritable.__name__, JournalBusy.__name__}


def show_home(
    data_dir: Path | None,
    clock: Clock,
    *,
    file: Path | None = None,
    language: str | None = None,
    quit_when_shown: bool = False,
    closed: Callable[[], None] | None = None,
) -> int:
    """Open Home on a diary and run until the window closes; the exit code. `file` is looked at
    from its front page. Where another window has the diary open, that one comes to the front.
    `language` goes before the one that is set.

    `closed` runs after the store is closed, such as to clear away a throwaway copy.
    """
    application = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(application, QApplication)
    name_program(application, APP_TITLE)
    folder = data_folder(data_dir)
    window = PageWindow(APP_TITLE)
    looks = Looks(application, folder, language)
    looks.place(window, *FIRST_SIZE)
    looks.follow(window)
    looks.follow_system(window)
    looks.settle_presses()
    program = HomeProgram(window, folder, clock, looks, places=None if closed else Places())
    faults = install(program.show_fault, PrivateLog(folder, clock))
    window.first_painted.connect(gc.enable)
    try:
        program.begin(accompanied=not quit_when_shown)
    except JournalFault as fault:
        if isinstance(fault, JournalBusy) and not quit_when_shown and _handed_over(folder, file):
            faults.remove()
            return DONE
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
    else:
        looks.follow_wishes(window)
        window.first_painted.connect(lambda: program.take_files(file))
    window.show()
    application.exec()
    faults.remove()
    if program.home is not None and not quit_when_shown:  # not where the diary was taken away
        looks.keep_place(window)
    window.hide()
    program.end()
    if closed is not None:
        closed()
    return DONE if program.was_opened else MACHINE


def _handed_over(folder: Path, file: Path | None) -> bool:
    from companion.app.handed_in import hand_over

    return hand_over(folder, file)


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
        self._loading: Job | None = None
        self._elsewhere: Elsewhere | None = None
        self._reading: QTimer | None = None
        self.home: Home | None = None
        self.was_opened = False

    def begin(self, *, accompanied: bool = True) -> None:
        """Open the diary and show the front page. Raises JournalFault; nothing is open then.

        `accompanied` by what the first paint does not wait for: copies, reminders, reading ahead.
        A diary that moved to another computer is not opened before the person says so.
        """
        self._not_gone()
        moved_on = self._second_place().moved_on
        if moved_on is not None:
            self._say_moved(moved_on)
            return
        if accompanied and is_older(self._folder):
            self._bring_up()
            return
        journal = Journal.open(self._folder, self._clock)
        try:
            context = Context(
                journal=journal,
                clock=self._clock,
                catalogue=_content,
                policy=_policy,
                long_way=lambda: self._looks.settings.long_way,
            )
            self._elsewhere = Elsewhere(
                self._window,
                self._folder,
                self._clock,
                self._show_anew,
                own=self._places is not None,
            )
            home = Home(self._window, context, self._doorways(context, self._elsewhere))
            if self._looks.asks_language() and context.plan() is None:
                home.ask_language()
            else:
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

    def _second_place(self) -> SecondPlace:
        file = SettingsFile(self._folder, FILE)
        return read_second_place(file) if self._places is not None else SecondPlace()

    def _say_moved(self, on: date) -> None:
        from companion.presentation.home.second_place_pages import moved_away_view
        from companion.ui.kit.asking import AskingPage

        plan = None
        with contextlib.suppress(JournalFault), self._only_read() as journal:
            plan = journal.plan_in_force()
        self.was_opened = True  # closing it here is no failure
        page = AskingPage(moved_away_view(on, plan), help_offered=False)
        page.submitted.connect(lambda submitted: self._go_moved(submitted["way"], on, plan))
        self._window.show_page(page)

    def _go_moved(self, way: str, on: date, plan: Plan | None) -> None:
        if way == "signs" and plan is not None:
            from companion.presentation.home.settings_pages import signs_view
            from companion.ui.kit.asking import AskingPage

            page = AskingPage(signs_view(plan, _content()), help_offered=False)
            page.submitted.connect(lambda: self._say_moved(on))
            page.back_wanted.connect(lambda: self._say_moved(on))
            self._window.show_page(page)
        elif way == "here_again":
            here = replace(self._second_place(), moved_on=None)
            with contextlib.suppress(Trouble):  # then it is asked again
                keep_second_place(SettingsFile(self._folder, FILE), here)
            self._begin_again()
        else:
            self._window.close()

    def _only_read(self) -> Journal:
        return Journal.open(self._folder, self._clock, read_only=True)

    def _moved_away(self, folder: str) -> None:
        """What was written for another computer is complete: from here on it is written there. The
        diary is closed before it is said, so that nothing comes between."""
        from companion.presentation.home.second_place_pages import moved_view
        from companion.ui.kit.asking import AskingPage

        self.end()
        page = AskingPage(moved_view(folder), help_offered=False)
        page.submitted.connect(self._begin_again)
        self._window.show_page(page)

    def _bring_up(self) -> None:
        """Bring an older store up to date beside the window, then open it: it is copied first, and
        a long diary would hold the window up."""
        from companion.presentation.home.mending_pages import bringing_up_view
        from companion.ui.kit.asking import AskingPage
        from companion.ui.kit.background import Job

        def work() -> Iterator[None]:
            Journal.open(self._folder, self._clock).close()
            yield

        self._window.show_page(AskingPage(bringing_up_view(), help_offered=False))
        job = self._tending = Job(work, self)
        job.ended.connect(lambda: self._brought_up(job))
        job.start()

    def _brought_up(self, job: Job) -> None:
        if self._tending is not job:
            return  # the window was closed meanwhile
        self._tending = None
        if job.fault is None:
            self._begin_again()
        elif isinstance(job.fault, JournalFault):
            self._cannot_begin(job.fault)
        else:
            raise job.fault

    def _not_gone(self) -> None:
        """Raise JournalGone where a diary was kept and now is none, nor a copy of it."""
        if self._places is None or any(self._folder.glob("*.sqlite3")):
            return
        kept = self._places.kept(self._folder)
        if kept is None or backups.by_content(self._folder):
            return
        raise JournalGone(kept.on, kept.entries, str(self._folder))

    def ask_where(self, gone: JournalGone) -> None:
        """Ask what became of the diary that was here."""
        from companion.presentation.home.mending_pages import gone_view
        from companion.ui.kit.asking import AskingPage

        page = AskingPage(gone_view(gone.on, gone.entries, gone.folder), help_offered=False)
        page.submitted.connect(lambda submitted: self._where(submitted["way"]))
        self._window.show_page(page)

    def _where(self, way: str) -> None:
        match way:
            case "again":
                self._begin_again()
            case "copy":
                self.move_in()
            case "anew":
                if self._places is not None:
                    self._places.forget(self._folder)
                self._begin_again()
            case _:
                self._window.close()

    def _read_ahead(self) -> None:
        """From the first page on nothing waits for the disk in the window's thread, and the rest of
        the diary is read while nobody waits for it."""
        from companion.ui.kit.background import beside

        if self._journal is not None and self._reading is None:
            self._journal.beside = beside
            self._reading = read_ahead(self, self._journal, self._read)

    def _read(self) -> None:
        """The diary was read: say what waits in it, and load what is behind the doors. What cannot
        be loaded is told at its door."""
        from companion.ui.kit.background import Job

        if self.home is not None:
            self.home.say_what_waits()
            self._loading = Job(self.home.load_ahead, self)
            self._loading.start()

    def _accompany(self) -> None:
        if self.home is not None:
            self._tend()
            _attend(self._window, self.home, self._looks)

    def take_files(self, file: Path | None) -> None:
        """From now on look at files that are handed in, from the front page; at this one first."""
        from companion.app.handed_in import HandedIn

        def take(path: Path) -> None:
            from companion.ui.home.settings_room import SettingsRoom

            if self.home is not None:
                SettingsRoom(self.home).take_in_file(str(path))

        handed = HandedIn(
            self._window, self._folder, take, lambda page: isinstance(page, FrontPage)
        )
        if file is not None:
            handed.add(file)

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

    def move_in(self) -> None:
        """Close the diary, which is empty or gone, and look for one that was saved elsewhere."""
        from companion.app.moving import Moving

        self.end()
        Moving(
            self._window,
            self._folder,
            self._clock,
            self._looks,
            go_on=self._begin_again,
            give_up=self._begin_again,
        ).show()

    def _show_anew(self) -> None:
        from companion.ui.kit.background import is_at_work

        if self.home is None:
            return
        if is_at_work():
            QTimer.singleShot(_AGAIN_MS, self.home, self._show_anew)
        else:
            self.home.show_anew()

    def take_away(self) -> None:
        """Close the diary, take it off this machine, say what stayed, and close the window."""
        from companion.journal.leaving import take_off
        from companion.presentation.home.settings_pages import taken_away_view
        from companion.ui.kit.asking import AskingPage

        self.end()
        if self._places is not None:
            from companion.app.reminding import call_again

            self._places.forget(self._folder)
            if self._looks.settings.when_closed:
                call_again(self._folder, False)
        page = AskingPage(taken_away_view(take_off(self._folder)), help_offered=False)
        page.submitted.connect(self._window.close)
        self._window.show_page(page)

    def _begin_again(self) -> None:
        try:
            self.begin()
        except JournalFault as fault:
            self._cannot_begin(fault)

    def _cannot_begin(self, fault: JournalFault) -> None:
        """Show what the diary that cannot be opened asks for, in a window that is open."""
        match fault:
            case JournalDamaged():
                self.mend()
            case JournalGone():
                self.ask_where(fault)
            case _:
                from companion.app.outside import cannot_be_opened

                cannot_be_opened(self._window, store_fault_words(fault), self._window.close)

    def end(self) -> None:
        """Let go of the diary. A second call does nothing."""
        if self._reading is not None:
            self._reading.stop()
            self._reading = None
        for job in (self._tending, self._loading):
            if job is not None:
                job.stop()
                job.wait()
        self._tending = self._loading = None
        if self._elsewhere is not None:
            self._elsewhere.stop()
            self._elsewhere.deleteLater()
            self._elsewhere = None
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
        raised, wherever it was read, leads to where that is mended; a disk that gave no answer is
        told for what it is."""
        if kind == JournalDamaged.__name__:
            self.mend()
            return
        if kind in _DISK_FAULTS:
            self._tell_disk()
            return
        from companion.ui.kit.fault_page import FaultPage

        page = FaultPage()
        if page.main is not None and self.home is not None:
            page.main.clicked.connect(self.home.show_front)
        self._window.show_page(page)

    def _tell_disk(self) -> None:
        """The disk gave no answer while a page was read: no fault of the program."""
        from companion.presentation.home.mending_pages import no_answer_view
        from companion.ui.kit.asking import AskingPage

        page = AskingPage(no_answer_view(), help_offered=False)
        if self.home is not None:
            page.submitted.connect(self.home.show_front)
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
        if self.home is None or self._elsewhere is None:
            return
        if job.fault is None:
            self._elsewhere.copy_when_due()
            return
        if not isinstance(job.fault, JournalFault):
            raise job.fault
        fault = job.fault
        self.home.note(lambda: store_fault_words(fault), mend=isinstance(fault, JournalDamaged))

    def _doorways(self, context: Context, elsewhere: Elsewhere) -> HomeDoorways:
        return doorways(
            self._window,
            context,
            self._looks,
            mend=self.mend,
            take_away=self.take_away,
            used_before=self.move_in,
            moved_away=self._moved_away,
            elsewhere=elsewhere,
        )


def doorways(
    window: PageWindow,
    context: Context,
    looks: Looks,
    *,
    mend: Callable[[], None],
    take_away: Callable[[], None],
    used_before: Callable[[], None],
    moved_away: Callable[[str], None],
    elsewhere: Elsewhere,
) -> HomeDoorways:
    """What lies outside the window."""

    def out(name: str) -> Callable[..., Any]:
        def do(*what: object) -> Any:
            from companion.app import outside

            return getattr(outside, name)(window, context, *what)

        return do

    def save_visit() -> str | None:
        sentence: str | None = out("save_visit")()
        if sentence is not None:
            elsewhere.copy_at_visit()
        return sentence

    def waited_for(work: Callable[[], T], /) -> T:
        from companion.ui.kit.background import beside

        return beside(work)

    def look_over_all(told: Callable[[tuple[Checked, ...]], None]) -> None:
        from companion.app.doctor import look_in_window

        look_in_window(window, looks.folder, context.clock, told)

    def may_remind_closed() -> bool:
        from companion.system.desktop_timer import desktop_way

        return elsewhere.own and desktop_way() is not None

    def remind_closed(wanted: bool) -> bool:
        from companion.app.reminding import call_again

        return call_again(looks.folder, wanted)

    return HomeDoorways(
        may_remind_closed=may_remind_closed,
        remind_closed=remind_closed,
        read_plan=out("pick_plan"),
        read_diary=out("pick_diary"),
        open_file=lambda file, *told: out("open_file")(Path(file), *told),
        save_visit=save_visit,
        save_copy=out("save_copy"),
        save_stop_list=out("save_stop_list"),
        save_record=out("save_record"),
        save_calendar=out("save_calendar"),
        save_paper=out("save_paper"),
        save_papers=out("save_papers"),
        save_stay=out("save_stay"),
        on_letter_paper=out("letter"),
        has_voice=_has_voice,
        look_over_all=look_over_all,
        settings=lambda: looks.settings,
        use_settings=looks.use,
        languages=looks.languages,
        data_folder=lambda: str(looks.folder),
        take_everything_away=take_away,
        look_round=out("look_round"),
        mend=mend,
        used_before=used_before,
        moved_away=moved_away,
        elsewhere=elsewhere,
        beside=waited_for,
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

    reading = ReadingAloud(
        window, lambda: looks.settings.reading_aloud, lambda: looks.settings.speaking
    )
    reminders = Reminders(
        window, home, lambda: looks.settings.reminders, rings=lambda: looks.settings.ring
    )
    application = QApplication.instance()
    assert application is not None
    application.aboutToQuit.connect(reminders.stop)
    application.aboutToQuit.connect(reading.stop)


def read_ahead(beside: QObject, journal: Journal, done: Callable[[], None]) -> QTimer:
    """Read the rest of the diary in small pieces, while nobody waits for it, then call `done`; what
    does so must be stopped before the diary is closed."""
    timer = QTimer(beside)

    from companion.ui.kit.background import is_at_work

    def read() -> None:
        if is_at_work():
            return
        try:
            if journal.index.read_ahead(PIECE):
                return
            timer.stop()
            done()
        except JournalFault:
            timer.stop()  # it is told at the door that needs what is damaged

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
