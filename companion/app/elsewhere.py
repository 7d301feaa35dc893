"""Copies of the diary outside its folder: the second place, and the way to another computer.

All of it is written beside the window, from a copy that the database made: the window writes on
meanwhile. The front page asks what was said of a second place; what writes there is loaded then.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from companion.care.coded import KnownFault
from companion.care.records import Diary
from companion.journal import backups
from companion.presentation.language.phrases import phrase
from companion.services.second_place import (
    FILE,
    PlaceState,
    SecondPlace,
    chosen_place,
    copy_there,
    is_due,
    keep_second_place,
    read_second_place,
)
from companion.services.trouble import Trouble
from companion.system.clock import Clock
from companion.system.settings import SettingsFile
from companion.ui.kit.window import PageWindow

if TYPE_CHECKING:
    from companion.ui.kit.background import Job

Written = Callable[[str], None]
"""Told when it is done: "" or the sentence why it could not be."""


class Elsewhere(QObject):
    """What of a diary is kept outside its folder. `changed` is called when there is news for the
    front page."""

    def __init__(
        self,
        window: PageWindow,
        folder: Path,
        clock: Clock,
        changed: Callable[[], None],
        *,
        own: bool = True,
    ) -> None:
        """`own` False: a throwaway diary, whose copies nobody wants."""
        super().__init__(window)
        self.own = own
        self._window = window
        self._folder = folder
        self._clock = clock
        self._changed = changed
        self._file = SettingsFile(folder, FILE)
        self._job: Job | None = None

    @property
    def said(self) -> SecondPlace:
        return read_second_place(self._file) if self.own else SecondPlace(wanted="never")

    def use(self, said: SecondPlace) -> None:
        """Keep what was said; where the machine cannot, it is asked again."""
        with contextlib.suppress(Trouble):
            keep_second_place(self._file, said)

    def standing(self) -> tuple[PlaceState, bool]:
        from companion.exchange.second_place import same_disk, state_of

        said = self.said
        state = state_of(said.place, said.place_id, said.mark)
        return state, state == "there" and same_disk(said.place, self._folder)

    def pick(self) -> str | None:
        return pick_folder(self._window, phrase("Choose the stick or a folder"))

    def copy_when_due(self) -> None:
        """Write the copy of the week, when the place is there."""
        if is_due(self.said, self._clock.today()):
            self._copy(self.said, lambda _why: self._changed())

    def copy_at_visit(self) -> None:
        """Write a copy of what the clinic was just given."""
        if self.said.wanted == "yes":
            self._copy(self.said, lambda _why: self._changed())

    def copy_now(self, chosen: str | None, told: Written) -> None:
        """Write a copy to a place that was picked, from now on, or to the one that is set."""
        said = self.said
        if chosen is None:
            self._copy(said, told)
        else:
            self._copy(chosen_place(said, chosen), told, begin=True)

    def _copy(self, said: SecondPlace, told: Written, *, begin: bool = False) -> None:
        today = self._clock.today()
        if self._job is not None:
            told(_busy())
            return

        def work() -> Iterator[SecondPlace]:
            yield copy_there(said, self._diary, today, begin=begin, roots=_disks)

        def ended(done: SecondPlace | None, why: str) -> None:
            if done is not None:
                self.use(done)
                if done.last != today:
                    why = phrase("The stick with your copies is not plugged in.")
            elif not begin:
                self.use(replace(self.said, failed=True))
            told(why)

        self._run(work, ended)

    def _diary(self) -> Diary:
        from companion.journal.store import Journal

        copy = backups.made_now(self._folder, self._clock.today())
        with Journal.open_copy(copy, self._clock) as journal:
            return journal.diary()

    def move_away(self, chosen: str, told: Callable[[str, str], None]) -> None:
        """Write everything into a new folder at a place, for another computer. `told` gets the
        name of the folder and "", or "" and the sentence why not."""

        if self._job is not None:
            told("", _busy())
            return

        def work() -> Iterator[str]:
            yield self._write_everything(Path(chosen))

        def ended(done: str | None, why: str) -> None:
            if done is not None:
                self.use(replace(self.said, moved_on=self._clock.today()))
            told(done or "", why)

        self._run(work, ended)

    def _write_everything(self, place: Path) -> str:
        from companion.exchange.files import diary_bytes
        from companion.presentation.home.second_place_pages import READ_ME
        from companion.services.trouble import known_troubles
        from companion.system.atomic import write_folder_whole

        today = self._clock.today()
        with known_troubles():
            diary = self._diary()
            person = diary.plan.person
            store = backups.backup_folder(self._folder) / backups.names_due(today)[0]
            files = {
                f"diary-{person}-{today.isoformat()}.homeknee": diary_bytes(diary),
                backups.STORE: store.read_bytes(),
                "read-me.txt": READ_ME.encode(),
            }
            settings = self._folder / "settings.json"
            if settings.is_file():
                files[settings.name] = settings.read_bytes()
            return write_folder_whole(place, f"knee-diary-{person}-{today.isoformat()}", files).name

    def _run(self, work: Callable[[], Iterator[object]], ended: Callable[..., None]) -> None:
        """Do one thing; `ended` gets what came of it and "", or None and the sentence why not."""
        from companion.ui.kit.background import Job

        results: list[object] = []
        job = self._job = Job(work, self)
        job.stepped.connect(results.append)

        def over() -> None:
            self._job = None
            if isinstance(job.fault, Trouble | KnownFault):
                ended(None, _why(job.fault))
            elif job.fault is not None:
                raise job.fault
            elif results:
                ended(results[0], "")

        job.ended.connect(over)
        job.start()

    def stop(self) -> None:
        """Let what is being written come to its end, and tell nobody."""
        if self._job is not None:
            self._job.ended.disconnect()
            self._job.wait()
            self._job = None


def _disks() -> list[str]:
    """The roots of all disks that are mounted now. It may wait for one that is far away: never to
    be called in the window's thread."""
    from PySide6.QtCore import QStorageInfo

    return [disk.rootPath() for disk in QStorageInfo.mountedVolumes() if disk.isReady()]


def _busy() -> str:
    return phrase("Something is being written already. Try again in a minute.")


def _why(fault: Trouble | KnownFault) -> str:
    from companion.presentation.language.said import said_words
    from companion.presentation.language.troubles import not_saved_words

    return not_saved_words(fault) if isinstance(fault, Trouble) else said_words(fault.said)


def pick_folder(window: PageWindow, question: str) -> str | None:
    """Let the person pick a folder; None when nothing was picked."""
    from PySide6.QtWidgets import QFileDialog

    return QFileDialog.getExistingDirectory(window, question) or None
