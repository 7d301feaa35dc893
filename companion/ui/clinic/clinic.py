"""The clinic's desk: the case list, imports, and the way into one person's review."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, QTimer

from companion.care.records import Diary
from companion.exchange.case_files import ChangedFile, diary_paths, import_stamp
from companion.journal.faults import JournalFault
from companion.journal.people import KeptFile
from companion.presentation.clinic.people import unusable_lines
from companion.presentation.language.phrases import phrase
from companion.services.clinic_import import (
    Look,
    Rebuilt,
    Taken,
    differs,
    last_import,
    looks,
    rebuild,
    takings,
    undoing,
)
from companion.ui.clinic.clinic_page import Way
from companion.ui.clinic.desk import Doorways, Practice
from companion.ui.kit.page import Page
from companion.ui.kit.window import PageWindow

if TYPE_CHECKING:
    from companion.presentation.clinic.export import ExportTold
    from companion.presentation.view.page import PageView
    from companion.services.export import Format
    from companion.ui.clinic.background import Job
    from companion.ui.clinic.plan_room import PlanRoom
    from companion.ui.clinic.review_room import ReviewRoom

Given = dict[str, Any]


class Clinic(QObject):
    """The clinic's side. It holds what is shown; everything else is read anew for each page."""

    def __init__(self, window: PageWindow, practice: Practice, doorways: Doorways) -> None:
        super().__init__(window)
        self.practice = practice
        self.doorways = doorways
        self._window = window
        self._job: Job | None = None
        self._typed = ""
        self._writer: PlanRoom | None = None
        self._room: ReviewRoom | None = None
        window.may_close = self._may_close

    # ------------------------------------------------------------ the case list

    def show_people(self, told: str = "") -> None:
        """The case list, as it stands now."""
        from companion.ui.clinic.people_page import PeoplePage

        people = self.practice.people
        files = people.files()
        page = PeoplePage(
            people.cases(),
            self._ways(files),
            self.practice.clock.today(),
            told=told,
            unusable=unusable_lines(files),
            typed="" if told else self._typed,
        )
        page.way_chosen.connect(self._go)
        page.opened.connect(self.open)
        page.field.changed.connect(self._remember)
        self._window.show_page(page)

    def _remember(self, typed: str) -> None:
        self._typed = typed

    def _ways(self, files: Sequence[KeptFile]) -> list[Way]:
        ways = [
            Way("file", phrase("Take in a file")),
            Way("folder", phrase("Take in a folder")),
            Way("write", phrase("Write a plan")),
        ]
        if last_import(files):
            ways.append(Way("undo", phrase("Undo the last import")))
        if files:
            ways.append(Way("rebuild", phrase("Make the list anew")))
        return [
            *ways,
            Way("look", phrase("Text and colours")),
            Way("about", phrase("What this is for")),
        ]

    def _go(self, name: str) -> None:
        match name:
            case "write":
                self._write_plan()
            case "file":
                path = self.doorways.pick_file()
                if path is not None:
                    self.look_at([path])
            case "folder":
                self._pick_folder()
            case "undo":
                self._ask_undo()
            case "rebuild":
                self.make_anew()
            case "about":
                self._about()
            case _:
                self._looks()

    def look_over(self) -> None:
        """Compare the list with the folder and make it anew where they differ."""
        try:
            different = differs(self.practice.folder, self.practice.people.files())
        except OSError as fault:
            self.tell(phrase("The folder of files"), _machine(fault))
            return
        if different:
            self.make_anew()

    def open(self, code: str) -> None:
        """Open the diary of one person."""
        kept = [(file.name, file.content) for file in self.practice.people.files(code)]
        if not kept:
            self.tell(
                phrase("No such diary"),
                phrase("There is no code {code} in the list.", code=code),
            )
            return
        try:
            held = self.practice.folder.held(kept)
        except ChangedFile as changed:
            self.tell(phrase("This diary cannot be opened"), str(changed))
            return
        # Charts load slowly; the list waits for none of them.
        from companion.ui.clinic.review_pages import NEXT_PLAN
        from companion.ui.clinic.review_room import ReviewRoom

        def leads(way: str, diary: Diary) -> None:
            if way == NEXT_PLAN:
                self._write_plan(diary)
            else:
                self._save_paper(way, diary, room.enter)

        def exports(diary: Diary, wanted: Sequence[Format]) -> ExportTold | None:
            from companion.ui.clinic.export_page import save_export

            return save_export(diary, wanted, self.practice, self.doorways)

        room = ReviewRoom(
            self._window, held, self.practice.catalogue, self.show_people, leads, exports
        )
        if self._room is not None:
            self._room.deleteLater()  # with the whole diary it holds
        self._room = room
        room.enter()

    # ------------------------------------------------------------ plans and reports

    def _write_plan(self, diary: Diary | None = None) -> None:
        """The plan writer: the next version of a diary's plan, or a first one."""
        from companion.ui.clinic.plan_desk import write_plan

        code = None if diary is None else diary.plan.person
        left = self.show_people if code is None else partial(self.open, code)
        self._writer = write_plan(self._window, self.practice, self.doorways, left, diary)

    def _save_paper(self, which: str, diary: Diary, back: Callable[[], None]) -> None:
        from companion.presentation.clinic.plan_pages import paper_told_view
        from companion.ui.clinic.plan_desk import save_paper
        from companion.ui.kit.asking import AskingPage

        sentence = save_paper(which, diary, self.practice.catalogue(), self.doorways.save_as)
        if sentence is None:
            return
        page = AskingPage(paper_told_view(which, sentence))
        page.given.connect(lambda _given: back())
        page.back_wanted.connect(back)
        self._window.show_page(page)

    # ------------------------------------------------------------ an import

    def _pick_folder(self) -> None:
        folder = self.doorways.pick_folder(phrase("Take in a folder of diary files"))
        if folder is None:
            return
        try:
            paths = diary_paths(folder)
        except OSError as fault:
            self.tell(phrase("This folder cannot be read"), _machine(fault))
            return
        if not paths:
            self.tell(phrase("Nothing to take in"), phrase("There is no file in that folder."))
            return
        self.look_at(paths)

    def look_at(self, paths: Sequence[str]) -> None:
        """Read files beside the window, then show what they would bring."""
        practice = self.practice
        files, today = practice.people.files(), practice.clock.today()
        found: list[Look] = []
        self._run(
            phrase("Reading"),
            len(paths),
            phrase("Nothing is taken in yet. Cancel leaves everything as it is."),
            lambda: looks(paths, practice.folder, files, today),
            found.append,
            lambda stopped: self._preview(found, broken_off=stopped),
        )

    def _preview(self, found: Sequence[Look], *, broken_off: bool) -> None:
        if broken_off:
            self.show_people(phrase("Cancelled. Nothing was taken in."))
            return
        from companion.presentation.clinic.people import import_preview
        from companion.ui.clinic.import_pages import PreviewPage

        page = PreviewPage(import_preview(found))
        page.back_wanted.connect(self.show_people)

        def agreed(ticked: Sequence[Look]) -> None:
            chosen = [look for look in found if look.ready or look in ticked]
            if chosen:
                self._take(chosen)
            else:
                self.show_people(phrase("Nothing was taken in."))

        page.agreed.connect(agreed)
        self._window.show_page(page)

    def _take(self, chosen: Sequence[Look]) -> None:
        practice = self.practice
        files = practice.people.files()
        stamp = import_stamp(practice.clock.now(), [file.taken for file in files])
        done: list[Taken] = []

        def one(taken: Taken) -> None:
            done.append(taken)
            if taken.file is not None:
                practice.people.put(taken.file, taken.case)

        def ended(_stopped: bool) -> None:
            from companion.presentation.clinic.people import taken_words

            self.show_people(taken_words(done, len(chosen)))

        self._run(
            phrase("Taking in"),
            len(chosen),
            phrase("Cancel keeps what was taken in so far, each file whole."),
            lambda: takings(chosen, practice.folder, files, stamp),
            one,
            ended,
        )

    # ------------------------------------------------------------ undo, and making it anew

    def _ask_undo(self) -> None:
        from companion.presentation.clinic.people import undo_words
        from companion.presentation.view.page import Button, PageView, Text

        practice = self.practice
        try:
            undone = undoing(practice.people.files(), practice.folder)
        except ChangedFile as changed:
            self.tell(phrase("The last import cannot be undone"), str(changed))
            return

        def given(answer: Given) -> None:
            if not answer.get("undo"):
                self.show_people()
                return
            try:
                practice.folder.set_aside(undone.names)
            except OSError as fault:
                self.tell(phrase("The last import was not undone"), _machine(fault))
                return
            practice.people.drop(undone.names, undone.gone, undone.changed)
            self.show_people(phrase("The last import was undone."))

        view = PageView(
            key="undo",
            heading=phrase("Undo the last import"),
            blocks=(Text(undo_words(undone)),),
            main=Button(phrase("Undo it"), (("undo", True),)),
            stop=False,
        )
        self._ask(view, given)

    def make_anew(self) -> None:
        """Read every file of the folder again, and make the list from them."""
        practice = self.practice
        read: list[Rebuilt] = []

        def ended(stopped: bool) -> None:
            if stopped:
                self.show_people(phrase("Cancelled. The list is as it was."))
                return
            cases = {each.case.code: each.case for each in read if each.case is not None}
            practice.people.put_all([each.file for each in read], list(cases.values()))
            self.show_people(
                phrase(
                    "The list was made anew from {n} file.",
                    "The list was made anew from {n} files.",
                    n=len(read),
                )
            )

        self._run(
            phrase("Making the list anew"),
            len(practice.folder.listed()),
            phrase("Cancel leaves the list as it is."),
            lambda: rebuild(practice.folder),
            read.append,
            ended,
        )

    # ------------------------------------------------------------ the desk itself

    def _looks(self) -> None:
        from companion.presentation.home.settings_pages import look_view

        def given(answer: Given) -> None:
            from dataclasses import replace

            wanted = {name: value for name, value in answer.items() if value is not None}
            self.doorways.use_settings(replace(self.doorways.settings(), **wanted))
            self.show_people()

        self._ask(look_view(self.doorways.settings()), given)

    def _about(self) -> None:
        from companion.presentation.home.settings_pages import clinic_about_view

        self._ask(clinic_about_view(self.practice.catalogue()), lambda _given: self.show_people())

    def tell(self, heading: str, sentence: str) -> None:
        """Show one thing to know, and the way back to the list."""
        from companion.presentation.home.home_pages import told_view

        self._ask(told_view(heading, sentence), lambda _given: self.show_people())

    def _ask(self, view: PageView, given: Callable[[Given], None]) -> None:
        from dataclasses import replace

        from companion.ui.kit.asking import AskingPage

        page = AskingPage(replace(view, stop=False))
        page.given.connect(given)
        page.back_wanted.connect(self.show_people)
        self._window.show_page(page)

    def shown(self) -> Page | None:
        """The page on screen."""
        return self._window.page()

    def _run(
        self,
        heading: str,
        most: int,
        consequence: str,
        work: Callable[[], Any],
        step: Callable[[Any], object],
        ended: Callable[[bool], None],
    ) -> None:
        """Do long work beside the window, behind a page with progress and Cancel."""
        from companion.ui.clinic.background import Job
        from companion.ui.clinic.import_pages import ProgressPage

        page = ProgressPage(heading, most, consequence)
        job = Job(work, self)
        self._job = job
        done = 0

        def stepped(result: object) -> None:
            nonlocal done
            done += 1
            step(result)
            page.show_done(done)

        def over() -> None:
            job.wait()
            self._job = None
            job.deleteLater()
            if job.fault is not None:
                self._failed(job.fault)
            else:
                ended(job.was_stopped)

        job.stepped.connect(stepped)
        job.ended.connect(over)
        page.cancelled.connect(job.stop)
        self._window.show_page(page)
        job.start()

    def _failed(self, fault: Exception) -> None:
        """The machine's faults are told here; a bug goes to the one place where bugs end."""
        if isinstance(fault, OSError):
            self.tell(phrase("This machine could not do it"), _machine(fault))
        elif isinstance(fault, JournalFault | ChangedFile):
            self.tell(phrase("This could not be done"), str(fault))
        else:
            self.show_people()
            QTimer.singleShot(0, self, lambda: _raise(fault))

    def _may_close(self) -> bool:
        """Work under way comes to the end of its step before the window closes. A plan that is
        being written keeps it open, and asks what becomes of it."""
        if self._job is not None:
            self._job.stop()
            self._job.wait()
        if self._writer is not None and self._writer.is_writing:
            self._writer.ask_to_leave()
            return False
        return True


def _raise(fault: Exception) -> None:
    raise fault


def _machine(fault: OSError) -> str:
    why = (fault.strerror or phrase("unknown trouble")).lower()
    where = fault.filename or phrase("this machine")
    return phrase("The machine refused at {where}: {why}.", where=where, why=why)
