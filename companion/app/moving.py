"""Going on at a new computer: what was saved is looked for, told, and put in its place."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QFileDialog

from companion.app.elsewhere import pick_folder
from companion.app.looks import Looks
from companion.care.coded import KnownFault
from companion.care.flow import Given
from companion.care.records import Diary
from companion.exchange.files import read
from companion.journal.salvage import NOTHING, Salvage, mend, with_diary, with_store
from companion.presentation.home.home_pages import notice_view
from companion.presentation.home.second_place_pages import (
    FoundDiary,
    found_view,
    moved_in_words,
    searching_view,
    used_before_view,
)
from companion.presentation.language.phrases import phrase
from companion.presentation.language.said import said_words
from companion.presentation.view.page import PageView
from companion.services.settings import read_settings
from companion.system.clock import Clock
from companion.system.settings import SettingsFile
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.background import Job
from companion.ui.kit.window import PageWindow

_DEEP, _MOST = 4, 400
"""How deep below a picked folder is looked, and at how many files: a stick may hold much else."""
_STORE, _FILE = ".sqlite3", ".homeknee"


class Moving(QObject):
    """The pages from "I have used this before" to the diary that goes on.

    The diary here is empty and closed. `go_on` opens it once it holds what was found; `give_up`
    opens it as it is.
    """

    def __init__(
        self,
        window: PageWindow,
        folder: Path,
        clock: Clock,
        looks: Looks,
        *,
        go_on: Callable[[], None],
        give_up: Callable[[], None],
    ) -> None:
        super().__init__(window)
        self._window = window
        self._folder = folder
        self._clock = clock
        self._looks = looks
        self._go_on = go_on
        self._give_up = give_up
        self._found: dict[str, Salvage] = {}
        self._settings: Path | None = None
        self._faults: list[str] = []

    def show(self, said: str = "") -> None:
        """Ask where what was saved is."""
        self._ask(used_before_view(said), self._where, self._give_up)

    def _ask(
        self, view: PageView, answered: Callable[[Given], object], back: Callable[[], None]
    ) -> None:
        page = AskingPage(view, help_offered=False)
        page.submitted.connect(answered)
        page.back_wanted.connect(back)
        self._window.show_page(page)

    def _where(self, given: Given) -> None:
        question = phrase("Where is what you saved?")
        if given["way"] == "folder":
            picked = pick_folder(self._window, question)
        else:
            picked = QFileDialog.getOpenFileName(self._window, question)[0]
        if picked:
            self.look_in(Path(picked))

    def look_in(self, place: Path) -> None:
        """Look for diaries in a folder, or in one file, beside the window."""
        self._found, self._settings, self._faults = {}, None, []
        self._window.show_page(AskingPage(searching_view(), help_offered=False))
        job = Job(lambda: self._look(place), self)
        job.ended.connect(lambda: self._looked(job))
        job.start()

    def _look(self, place: Path) -> Iterator[None]:
        for path in (place,) if place.is_file() else candidates(place):
            try:
                self._take(path)
            except KnownFault as fault:
                self._faults.append(said_words(fault.said))
            yield

    def _take(self, path: Path) -> None:
        if path.suffix == _STORE:
            found = with_store(NOTHING, path, self._folder)
            settings = path.with_name("settings.json")
            if found.plan is not None and settings.is_file():
                self._settings = settings
        else:
            reading = read(path, today=self._clock.today())
            if reading.diary is None:
                self._faults.append(said_words(reading.said))
                return
            found = with_diary(NOTHING, reading.diary)
        if found.plan is not None:
            person = found.plan.person
            self._found[person] = joined(self._found.get(person), found)

    def _looked(self, job: Job) -> None:
        if job.fault is not None and not isinstance(job.fault, OSError):
            raise job.fault
        if not self._found:
            why = self._faults[0] if len(self._faults) == 1 else phrase("No diary was found there.")
            self.show(why)
            return
        found = [told(person, salvage) for person, salvage in sorted(self._found.items())]
        self._ask(found_view(found), lambda given: self._put(given["person"]), self.show)

    def _put(self, person: str) -> None:
        found = self._found[person]
        job = Job(lambda: iter([mend(self._folder, found, self._clock)]), self)
        job.ended.connect(lambda: self._put_in(job, told(person, found)))
        self._window.show_page(AskingPage(searching_view(), help_offered=False))
        job.start()

    def _put_in(self, job: Job, found: FoundDiary) -> None:
        if isinstance(job.fault, KnownFault):
            self.show(said_words(job.fault.said))
            return
        if job.fault is not None:
            raise job.fault
        if self._settings is not None:
            self._looks.use(read_settings(SettingsFile(self._settings.parent)))
        view = notice_view(phrase("Your diary goes on here"), moved_in_words(found))
        self._ask(view, lambda _given: self._go_on(), self._go_on)


def joined(one: Salvage | None, other: Salvage) -> Salvage:
    """What two finds of one person hold together."""
    if one is None:
        return other
    both = with_diary(one, Diary(plans=other.plans, entries=other.entries))
    drafts = {draft[0]: draft for draft in (*other.drafts, *one.drafts)}
    return replace(both, drafts=tuple(drafts[key] for key in sorted(drafts)))


def told(person: str, found: Salvage) -> FoundDiary:
    """What is said of a diary that was found."""
    days = {entry.for_day for entry in found.entries}
    return FoundDiary(person, len(found.rows), len(days), max(days, default=None))


def candidates(place: Path) -> Iterator[Path]:
    """Files below a folder that may hold a diary, whatever else it holds; never what is hidden."""
    seen = 0
    for folder, below, names in os.walk(place):
        deep = len(Path(folder).relative_to(place).parts)
        below[:] = sorted(n for n in below if not n.startswith(".")) if deep < _DEEP else []
        for name in sorted(names):
            path = Path(folder) / name
            if name.startswith((".", "damaged-")) or path.suffix not in (_STORE, _FILE):
                continue
            yield path
            seen += 1
            if seen == _MOST:
                return
