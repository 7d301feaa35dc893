"""A damaged diary: what is good in it is looked for, told, and put in its place."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from PySide6.QtCore import QObject

from companion.app.outside import pick_diary_file
from companion.care.coded import KnownFault
from companion.care.days import diary_day
from companion.care.flow import Given
from companion.care.records import Diary
from companion.journal import backups
from companion.journal.salvage import Salvage, mend, salvaged, with_diary
from companion.presentation.home.home_pages import notice_view
from companion.presentation.home.mending_pages import (
    looking_view,
    mended_words,
    mending_view,
)
from companion.presentation.home.settings_pages import signs_view
from companion.presentation.language.phrases import phrase
from companion.presentation.language.said import said_words
from companion.presentation.view.page import PageView
from companion.system.clock import Clock
from companion.system.resources import resource
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.background import Job
from companion.ui.kit.window import PageWindow
from companion.wire.catalogue_reading import read_catalogue


@dataclass(frozen=True, slots=True)
class _Copy:
    """The newest good copy, and the day of the last entry in it."""

    path: Path
    until: date | None


class Mending(QObject):
    """The pages of a damaged diary, until it is mended or the window is closed.

    The store must be closed. `begin_again` opens it once it is whole; `close` ends the program.
    """

    def __init__(
        self,
        window: PageWindow,
        folder: Path,
        clock: Clock,
        *,
        begin_again: Callable[[], None],
        close: Callable[[], object],
    ) -> None:
        super().__init__(window)
        self._window = window
        self._folder = folder
        self._clock = clock
        self._begin_again = begin_again
        self._close = close
        self._found: Salvage | None = None
        self._copy: _Copy | None = None

    def show(self) -> None:
        """Look at what is good, beside the window, and tell it."""
        self._window.show_page(AskingPage(looking_view()))
        job = Job(self._look, self)
        job.ended.connect(lambda: self._looked(job))
        job.start()

    def _look(self) -> Iterator[None]:
        self._found = salvaged(self._folder)
        yield
        path = backups.newest_good(self._folder)
        self._copy = None if path is None else _Copy(path, _until(path))
        yield

    def _looked(self, job: Job) -> None:
        if isinstance(job.fault, KnownFault):
            self._ask(
                notice_view(
                    phrase("The diary cannot be opened"), said_words(job.fault.said), ends=True
                ),
                lambda _given: self._close(),
            )
        elif job.fault is not None:
            raise job.fault
        else:
            self._tell()

    def _tell(self, said: str = "") -> None:
        assert self._found is not None
        until = self._copy.until if self._copy else None
        self._ask(mending_view(self._found, until, said=said), self._go)

    def _ask(self, view: PageView, answered: Callable[[Given], object]) -> None:
        page = AskingPage(view, help_offered=False)
        page.submitted.connect(answered)
        page.back_wanted.connect(self._tell)
        self._window.show_page(page)

    def _go(self, submitted: Given) -> None:
        found, copy = self._found, self._copy
        assert found is not None
        match submitted["way"]:
            case "mend":
                self._put(lambda: mend(self._folder, found, self._clock), found)
            case "copy" if copy is not None:
                self._put(lambda: backups.restore(self._folder, copy.path, self._clock), None)
            case "file":
                self._add()
            case "signs" if found.plan is not None:
                catalogue = read_catalogue(resource())
                self._ask(signs_view(found.plan, catalogue), lambda _given: self._tell())
            case _:
                self._close()

    def _put(self, put: Callable[[], Path | None], found: Salvage | None) -> None:
        aside: list[Path | None] = []

        def work() -> Iterator[None]:
            aside.append(put())
            yield

        self._window.show_page(AskingPage(looking_view()))
        job = Job(work, self)
        job.ended.connect(lambda: self._was_put(job, aside, found))
        job.start()

    def _was_put(self, job: Job, aside: list[Path | None], found: Salvage | None) -> None:
        if isinstance(job.fault, KnownFault):
            self._tell(said_words(job.fault.said))
            return
        if job.fault is not None:
            raise job.fault
        name = aside[0].name if aside[0] else None
        if found is None:
            sentence = phrase("You go on with the copy.")
        else:
            sentence = mended_words(found, name)
        self._ask(
            notice_view(phrase("Your diary is whole again"), sentence),
            lambda _given: self._begin_again(),
        )

    def _add(self) -> None:
        pick_diary_file(self._window, self._clock.today(), self._added)

    def _added(self, picked: Diary | str) -> None:
        if isinstance(picked, str):
            self._tell(picked)
            return
        assert self._found is not None
        before = len(self._found.rows)
        try:
            self._found = with_diary(self._found, picked)
        except KnownFault as fault:
            self._tell(said_words(fault.said))
            return
        more = len(self._found.rows) - before
        self._tell(phrase("That file brings {n} more of what you wrote down.", n=more))


def _until(copy: Path) -> date | None:
    """The day of the last entry in a copy that is good."""
    last = backups.last_written(copy)
    return None if last is None else diary_day(last)
