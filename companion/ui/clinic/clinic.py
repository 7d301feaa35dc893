"""The clinic's desk: the case list, imports, and the way into one person's review.

One loop: what is wanted goes to a service; what comes of it, or what it could not do, is shown on
the next page, and whatever shows a diary that changed is made anew.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Any, TypeVar

from PySide6.QtCore import QObject, QTimer

from companion.care.flow import Given
from companion.care.records import Diary
from companion.presentation.language.phrases import phrase
from companion.presentation.language.troubles import trouble_words
from companion.services.practice import (
    Looking,
    MakingAnew,
    People,
    Practice,
    TakingIn,
    Task,
    differs,
    files_in,
    open_diary,
    people,
    remember_opened,
    undo,
    undoing,
)
from companion.services.saving import save_file
from companion.services.trouble import Trouble
from companion.ui.clinic.clinic_page import ClinicPage, Way
from companion.ui.clinic.desk import ClinicDoorways
from companion.ui.kit.page import Page
from companion.ui.kit.window import PageWindow

if TYPE_CHECKING:
    from companion.presentation.view.page import PageView
    from companion.services.clinic_import import FileLook, Taken
    from companion.services.settings import Language
    from companion.ui.clinic.plan_room import PlanRoom
    from companion.ui.clinic.review_room import ReviewRoom
    from companion.ui.kit.background import Job

T = TypeVar("T")


class Clinic(QObject):
    """The clinic's side, and the desk its rooms work at. It holds what is shown; everything else
    is read anew for each page."""

    def __init__(self, window: PageWindow, practice: Practice, doorways: ClinicDoorways) -> None:
        super().__init__(window)
        self.practice = practice
        self.doorways = doorways
        self._window = window
        self._job: Job | None = None
        self._typed = ""
        self._writer: PlanRoom | None = None
        self._review: ReviewRoom | None = None
        self._answered: Callable[[Given], None] | None = None
        self._went_back: Callable[[], None] | None = None
        self._stopped: Callable[[], None] | None = None
        window.may_close = self._may_close

    # ------------------------------------------------------------ the case list

    def show_people(self, told: str = "") -> None:
        """The case list, as it stands now."""
        from companion.ui.clinic.people_page import PeoplePage

        there = self._attempt(phrase("The list cannot be read"), partial(people, self.practice))
        if there is None:
            return
        page = PeoplePage(
            there,
            _ways(there, self.doorways.languages()),
            self.practice.clock.today(),
            told=told,
            typed="" if told else self._typed,
        )
        page.way_chosen.connect(self._go)
        page.opened.connect(self.open)
        page.field.changed.connect(self._remember)
        self.show(page)

    def _remember(self, typed: str) -> None:
        self._typed = typed

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
            case "look":
                self._looks()
            case "language":
                self._language()
            case code:
                self.open(code.removeprefix(_OPENED))

    def look_over(self) -> None:
        """Compare the list with the folder and make it anew where they differ."""
        if self._attempt(phrase("The folder of files"), partial(differs, self.practice)):
            self.make_anew()

    def open(self, code: str) -> None:
        """Open the diary of one person, read anew."""
        heading = phrase("This diary cannot be opened")
        found = self._attempt(heading, lambda: (open_diary(self.practice, code),))
        if found is None:
            return
        (diary,) = found
        if diary is None:
            self.tell(
                phrase("No such diary"),
                phrase("There is no code {code} in the list.", code=code),
            )
            return
        remember_opened(self.practice, code)
        # Charts load slowly; the list waits for none of them.
        from companion.ui.clinic.review_room import ReviewRoom

        self._close_review()
        self._review = ReviewRoom(self, self._window, code, diary)
        self._review.left.connect(self.show_people)
        self._review.changed.connect(lambda: self._read_anew(code))
        self._review.plan_wanted.connect(self._write_plan)
        self._review.enter()

    def _back_to(self, code: str) -> None:
        """Back to the review of a person: as it is, or read anew when the diary is another."""
        if self._review is not None and self._review.code == code:
            self._review.enter()
        else:
            self.open(code)

    def changed(self, codes: frozenset[str]) -> None:
        """A service changed these people's diaries: what shows one of them is made anew."""
        if self._review is not None and self._review.code in codes:
            self._close_review()

    def _read_anew(self, code: str) -> None:
        self.changed(frozenset({code}))
        self.open(code)

    def _close_review(self) -> None:
        if self._review is not None:
            self._review.deleteLater()  # with the whole diary it holds
            self._review = None

    def _write_plan(self, diary: Diary | None = None) -> None:
        """The plan writer: the next version of a diary's plan, or a first one."""
        from companion.ui.clinic.plan_room import PlanRoom

        code = None if diary is None else diary.plan.person
        left = self.show_people if code is None else partial(self._back_to, code)
        self._writer = PlanRoom(self, self._window, left, diary)
        self._writer.enter()

    # ------------------------------------------------------------ an import

    def _pick_folder(self) -> None:
        folder = self.doorways.pick_folder(phrase("Take in a folder of diary files"))
        if folder is None:
            return
        paths = self._attempt(phrase("This folder cannot be read"), partial(files_in, folder))
        if paths:
            self.look_at(paths)
        elif paths is not None:
            self.tell(phrase("Nothing to take in"), phrase("There is no file in that folder."))

    def look_at(self, paths: Sequence[str]) -> None:
        """Read files beside the window, then show what they would bring."""
        self._run(
            phrase("Reading"),
            phrase("Nothing is taken in yet. Cancel leaves everything as it is."),
            lambda: Looking(self.practice, paths),
            self._preview,
        )

    def _preview(self, found: tuple[FileLook, ...] | None) -> None:
        if found is None:
            self.show_people(phrase("Cancelled. Nothing was taken in."))
            return
        from companion.presentation.clinic.people import import_preview
        from companion.ui.clinic.import_pages import PreviewPage

        page = PreviewPage(import_preview(found))
        page.back_wanted.connect(self.show_people)

        def agreed(ticked: Sequence[FileLook]) -> None:
            chosen = [look for look in found if look.ready or look in ticked]
            if chosen:
                self._take(chosen)
            else:
                self.show_people(phrase("Nothing was taken in."))

        page.agreed.connect(agreed)
        self.show(page)

    def _take(self, chosen: Sequence[FileLook]) -> None:
        def ended(done: tuple[Taken, ...]) -> None:
            from companion.presentation.clinic.people import taken_words

            self.show_people(taken_words(done, len(chosen)))

        self._run(
            phrase("Taking in"),
            phrase("Cancel keeps what was taken in so far, each file whole."),
            lambda: TakingIn(self.practice, chosen),
            ended,
        )

    # ------------------------------------------------------------ undo, and making it anew

    def _ask_undo(self) -> None:
        from companion.presentation.clinic.people import undo_view

        heading = phrase("The last import cannot be undone")
        undone = self._attempt(heading, partial(undoing, self.practice))
        if undone is None:
            return

        def submitted(answer: Given) -> None:
            if not answer.get("undo"):
                self.show_people()
                return
            heading = phrase("The last import was not undone")
            changed = self._attempt(heading, partial(undo, self.practice, undone))
            if changed is not None:
                self.changed(changed)
                self.show_people(phrase("The last import was undone."))

        self.ask(undo_view(undone), submitted, self.show_people)

    def make_anew(self) -> None:
        """Read every file of the folder again, and make the list from them."""
        from companion.presentation.clinic.people import anew_words, look_words

        self._run(
            phrase("Making the list anew"),
            phrase("Cancel leaves the list as it is."),
            lambda: MakingAnew(self.practice, look_words),
            lambda files: self.show_people(anew_words(files)),
        )

    # ------------------------------------------------------------ the desk itself

    def _looks(self) -> None:
        from companion.presentation.home.settings_pages import look_view

        def submitted(answer: Given) -> None:
            wanted = {name: value for name, value in answer.items() if value is not None}
            self.doorways.use_settings(replace(self.doorways.settings(), **wanted))
            self.show_people()

        self.ask(look_view(self.doorways.settings()), submitted, self.show_people)

    def _language(self) -> None:
        from companion.presentation.home.language_pages import language_view

        def submitted(answer: Given) -> None:
            settings = replace(self.doorways.settings(), language=answer["language"])
            self.doorways.use_settings(settings)
            self._close_review()
            self.show_people()

        view = language_view(self.doorways.settings(), self.doorways.languages())
        self.ask(view, submitted, self.show_people)

    def _about(self) -> None:
        from companion.presentation.home.settings_pages import clinic_about_view

        def submitted(answer: Given) -> None:
            if answer.get("do") == "wording":
                self._save_wording()
            else:
                self.show_people()

        self.ask(clinic_about_view(self.practice.catalogue()), submitted, self.show_people)

    def _save_wording(self) -> None:
        place = self.doorways.save_as("wording-to-sign.pdf")
        if place is None:
            self._about()
            return
        draw = partial(
            self.doorways.draw_wording, self.practice.catalogue(), self.practice.clock.today()
        )
        name = self._attempt(phrase("The wording to sign"), partial(save_file, place, draw()))
        if name is not None:
            self.doorways.show_saved(place, draw)
            self._about()

    def tell(self, heading: str, sentence: str) -> None:
        from companion.presentation.home.home_pages import notice_view

        view = notice_view(heading, sentence)
        self.ask(view, lambda _given: self.show_people(), self.show_people)

    def ask(
        self,
        view: PageView,
        answered: Callable[[Given], None],
        went_back: Callable[[], None],
        stopped: Callable[[], None] | None = None,
    ) -> None:
        """Show a page; `answered` gets what was given, `stopped` hears of its Stop."""
        from companion.ui.kit.asking import AskingPage

        self._answered, self._went_back, self._stopped = answered, went_back, stopped
        page = AskingPage(view if stopped is not None else replace(view, stop=False))
        page.submitted.connect(self._on_given)
        page.back_wanted.connect(self._on_back)
        page.stop_wanted.connect(self._on_stop)
        self.show(page)

    def show(self, page: Page) -> None:
        self._window.show_page(page)

    def show_over(self, page: ClinicPage) -> None:
        page.back_wanted.connect(self._window.drop_sheet)
        self._window.show_sheet(page)

    def shown(self) -> Page | None:
        return self._window.page()

    def _on_given(self, submitted: Given) -> None:
        if self._answered is not None:
            self._answered(submitted)

    def _on_back(self) -> None:
        if self._went_back is not None:
            self._went_back()

    def _on_stop(self) -> None:
        if self._stopped is not None:
            self._stopped()

    def _attempt(self, heading: str, act: Callable[[], T]) -> T | None:
        """Ask a service for something; None when it could not be done, which is told."""
        try:
            return act()
        except Trouble as trouble:
            self.tell(heading, trouble_words(trouble))
            return None

    def _run(
        self,
        heading: str,
        consequence: str,
        make: Callable[[], Task[Any, T]],
        told: Callable[[T], None],
    ) -> None:
        """Do long work beside the window, behind a page with progress and Cancel."""
        from companion.ui.clinic.import_pages import ProgressPage
        from companion.ui.kit.background import Job

        task = self._attempt(heading, make)
        if task is None:
            return
        page = ProgressPage(heading, task.count, consequence)
        job = Job(task.steps, self)
        task.beat = job.beat
        self._job = job
        done = 0

        def stepped(step: object) -> None:
            nonlocal done
            done += 1
            try:
                task.keep(step)
            except Trouble as trouble:
                job.fault = trouble
                job.stop()
            page.show_done(done)

        def over() -> None:
            job.wait()
            self._job = None
            job.deleteLater()
            self.changed(task.changed())
            if job.fault is not None:
                self._failed(job.fault)
                return
            result = self._attempt(heading, lambda: (task.end(stopped=job.was_stopped),))
            if result is not None:
                self.changed(task.changed())
                told(result[0])

        job.stepped.connect(stepped)
        job.within.connect(page.show_within)
        job.ended.connect(over)
        page.cancelled.connect(job.stop)
        self.show(page)
        job.start()

    def _failed(self, fault: Exception) -> None:
        """What the machine refuses is told here; a bug goes to the one place where bugs end."""
        if isinstance(fault, Trouble):
            self.tell(phrase("This could not be done"), trouble_words(fault))
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


_OPENED = "opened "


def _ways(there: People, languages: Sequence[Language]) -> list[Way]:
    ways = [
        Way("file", phrase("Take in a file")),
        Way("folder", phrase("Take in a folder")),
        Way("write", phrase("Write a plan")),
        *(Way(f"{_OPENED}{code}", phrase("Open {code}", code=code)) for code in there.lately),
    ]
    if there.can_undo:
        ways.append(Way("undo", phrase("Undo the last import")))
    if there.files:
        ways.append(Way("rebuild", phrase("Rebuild the list")))
    return [
        *ways,
        Way("look", phrase("Text and colours")),
        *([Way("language", phrase("Language"))] if languages else ()),
        Way("about", phrase("What this is for")),
    ]


def _raise(fault: Exception) -> None:
    raise fault
