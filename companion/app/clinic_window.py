"""The window of the clinic: its list of people is wired to the folder it is made from."""

from __future__ import annotations

import gc
import sys
import time
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from companion.app.exits import DONE, MACHINE, REFUSED
from companion.app.looks import Looks, name_program
from companion.exchange.case_files import CaseFolder
from companion.journal.drafts import DraftFolder
from companion.journal.faults import JournalBusy, JournalFault
from companion.journal.people import PeopleStore
from companion.paper.paper_size import on_letter_paper
from companion.presentation.language.phrases import phrase
from companion.presentation.language.said import said_words
from companion.services.practice import Practice
from companion.system.clock import Clock
from companion.system.folders import data_folder
from companion.system.logs import PrivateLog
from companion.system.settings import SettingsFile
from companion.ui.clinic.clinic import Clinic
from companion.ui.clinic.desk import ClinicDoorways
from companion.ui.kit.faults import install
from companion.ui.kit.window import PageWindow

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import date

    from companion.app.saving import Saving
    from companion.care.catalogue import Catalogue
    from companion.care.records import Diary, Plan
    from companion.evidence.figures import Findings
    from companion.services.clinic_papers import PaperName, Reader

APP_TITLE = "Home knee companion, clinic"
FOLDER = "homeknee-clinic"
FIRST_SIZE = (1366, 768)


def clinic_folder(data_dir: Path | None) -> Path:
    """Where the clinic keeps its files: beside the diary of this machine, never inside it, so
    that taking a diary away takes no file of the clinic with it."""
    return data_folder(data_dir) if data_dir is not None else data_folder().with_name(FOLDER)


def show_clinic(
    data_dir: Path | None,
    clock: Clock,
    *,
    code: str | None = None,
    file: Path | None = None,
    language: str | None = None,
    quit_when_shown: bool = False,
) -> int:
    """Open the case list, or the review of `code`, and run until the window closes. `file` is
    looked at from the list. Where another window has the list open, that one comes to the front."""
    application = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(application, QApplication)
    name_program(application, APP_TITLE)
    folder = clinic_folder(data_dir)
    looks = Looks(application, folder, language)
    looks.settle_presses()
    window = PageWindow(APP_TITLE)
    looks.follow_system(window)
    looks.place(window, *FIRST_SIZE)
    try:
        people = PeopleStore.open(folder)
    except JournalFault as fault:
        if isinstance(fault, JournalBusy) and not quit_when_shown and _handed_over(folder, file):
            return DONE
        sentence = said_words(fault.said)
        print(" ".join(sentence.split()), file=sys.stderr)
        if not quit_when_shown:
            _tell(window, application, sentence)
        return MACHINE
    practice = Practice(
        people=people,
        folder=CaseFolder(folder),
        drafts=DraftFolder(folder),
        signer=SettingsFile(folder, "signer.json"),
        opened=SettingsFile(folder, "opened.json"),
        clock=clock,
        catalogue=_content,
    )
    clinic = Clinic(window, practice, doorways(window, looks))
    if code is not None and people.case(code) is None:
        people.close()
        print(phrase("There is no code {code} in the clinic's list.", code=code), file=sys.stderr)
        return REFUSED
    faults = install(lambda _kind: _show_fault(window, clinic), PrivateLog(folder, clock))
    if code is None:
        clinic.show_people()
    else:
        clinic.open(code)
    window.first_painted.connect(gc.enable)
    if quit_when_shown:
        window.first_painted.connect(application.quit)
        window.first_painted.connect(lambda: print(f"shown {time.monotonic()}", flush=True))
    elif code is None:
        window.first_painted.connect(lambda: QTimer.singleShot(0, clinic, clinic.look_over))
    if not quit_when_shown:
        looks.follow_wishes(window)
        window.first_painted.connect(lambda: _take_files(window, clinic, folder, file))
    window.show()
    application.exec()
    if not quit_when_shown:
        looks.keep_place(window)
    window.hide()
    faults.remove()
    people.close()
    return DONE


def _handed_over(folder: Path, file: Path | None) -> bool:
    from companion.app.handed_in import hand_over

    return hand_over(folder, file)


def _take_files(window: PageWindow, clinic: Clinic, folder: Path, file: Path | None) -> None:
    """From now on look at files that are handed in, from the list of people; at this one first."""
    from companion.app.handed_in import HandedIn
    from companion.ui.clinic.people_page import PeoplePage

    handed = HandedIn(
        window,
        folder,
        lambda path: clinic.look_at([str(path)]),
        lambda page: isinstance(page, PeoplePage),
    )
    if file is not None:
        handed.add(file)


def _tell(window: PageWindow, application: QApplication, sentence: str) -> None:
    """Show why there is no list, and end when that was read."""
    from companion.presentation.home.home_pages import notice_view
    from companion.ui.kit.asking import AskingPage

    page = AskingPage(notice_view(phrase("The list cannot be opened"), sentence, ends=True))
    page.submitted.connect(application.quit)
    window.show_page(page)
    window.show()
    application.exec()
    window.hide()


def _show_fault(window: PageWindow, clinic: Clinic) -> None:
    """One plain page; every file that was taken in is on disk."""
    from companion.ui.kit.fault_page import FaultPage

    def go_on() -> None:
        clinic.show_people()

    page = FaultPage()
    if page.main is not None:
        page.main.clicked.connect(go_on)
    window.show_page(page)


def doorways(window: PageWindow, looks: Looks) -> ClinicDoorways:
    """What lies outside the window."""

    def pick_file() -> str | None:
        from PySide6.QtWidgets import QFileDialog

        name, _ = QFileDialog.getOpenFileName(window, phrase("Open a file"))
        return name or None

    def pick_folder(title: str) -> str | None:
        from PySide6.QtWidgets import QFileDialog

        return QFileDialog.getExistingDirectory(window, title) or None

    def saving() -> Saving:
        from companion.app.saving import Saving

        return Saving(window, looks.folder)

    def save_as(offered: str) -> str | None:
        picked = saving().target(offered)
        return None if picked is None else str(picked)

    def folder_for(name: str) -> str | None:
        picked = saving().place(name)
        return None if picked is None else str(picked)

    def print_out(name: str, draw: Callable[[], object]) -> str:
        from companion.app import printing

        return printing.print_out(window, name, draw)

    return ClinicDoorways(
        pick_file=pick_file,
        pick_folder=pick_folder,
        save_as=save_as,
        folder_for=folder_for,
        show_saved=lambda path, draw: saving().show(Path(path), draw),
        settings=lambda: looks.settings,
        use_settings=looks.use,
        languages=looks.languages,
        draw_paper=draw_paper,
        draw_home_papers=draw_home_papers,
        print_out=print_out,
        on_letter_paper=on_letter_paper,
        draw_wording=draw_wording,
    )


def draw_paper(
    which: PaperName, diary: Diary, found: tuple[Findings, ...], catalogue: Catalogue
) -> bytes:
    """A paper of a review as a PDF. Pages load slowly, and only for this."""
    if which == "report":
        from companion.paper.report import visit_report_pdf
        from companion.presentation.papers.plan_report import visit_report

        return visit_report_pdf(visit_report(diary, found, catalogue), letter=on_letter_paper())
    from companion.paper.visit_summary import visit_summary_pdf
    from companion.presentation.papers.summary import visit_summary

    return visit_summary_pdf(visit_summary(diary, found, catalogue), letter=on_letter_paper())


def draw_home_papers(
    plan: Plan, catalogue: Catalogue, today: date, reader: Reader, diary: Diary | None
) -> Mapping[str, bytes]:
    """All pages for home of a plan as PDFs, with blank days to its review, and with the warnings
    that are open in the diary at hand."""
    from companion.app.open_on_paper import still_open_in
    from companion.paper.home_papers import home_papers
    from companion.presentation.papers.home_sheets import weeks_until

    return home_papers(
        plan,
        catalogue,
        on=today,
        weeks=weeks_until(plan, today),
        for_helper=reader == "helper",
        letter=on_letter_paper(),
        still_open=still_open_in(diary, plan, catalogue, today),
    )


def draw_wording(catalogue: Catalogue, today: date) -> bytes:
    """The wording to sign as a PDF, in the size of a clinic's paper."""
    from companion.paper.wording import wording_pdf
    from companion.presentation.papers.wording_sheet import wording_sheet

    return wording_pdf(wording_sheet(catalogue, today), on=today, letter=on_letter_paper())


@cache
def _content() -> Catalogue:
    from companion.system.resources import resource
    from companion.wire.catalogue_reading import read_catalogue

    return read_catalogue(resource())
