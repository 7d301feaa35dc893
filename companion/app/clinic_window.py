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
from companion.app.looks import Looks
from companion.exchange.case_files import CaseFolder
from companion.journal.drafts import DraftFolder
from companion.journal.faults import JournalFault
from companion.journal.people import PeopleStore
from companion.presentation.language.phrases import dated, phrase
from companion.presentation.language.said import said_words
from companion.services.practice import Practice
from companion.system.clock import Clock
from companion.system.folders import data_folder
from companion.system.logs import PrivateLog
from companion.system.settings import SettingsFile
from companion.ui.clinic.clinic import Clinic
from companion.ui.clinic.desk import Doorways
from companion.ui.kit.faults import install
from companion.ui.kit.window import PageWindow

if TYPE_CHECKING:
    from datetime import date

    from companion.care.catalogue import Catalogue
    from companion.care.records import Diary
    from companion.evidence.figures import Findings
    from companion.services.clinic_papers import PaperName

APP_TITLE = "Home knee companion, clinic"
FOLDER = "homeknee-clinic"
FIRST_SIZE = (1366, 768)


def clinic_folder(data_dir: Path | None) -> Path:
    """Where the clinic keeps its files: beside the diary of this machine, never inside it, so
    that taking a diary away takes no file of the clinic with it."""
    return data_folder(data_dir) if data_dir is not None else data_folder().with_name(FOLDER)


def show_clinic(
    data_dir: Path | None, clock: Clock, *, code: str | None = None, quit_when_shown: bool = False
) -> int:
    """Open the case list, or the review of `code`, and run until the window closes."""
    application = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(application, QApplication)
    application.setApplicationName("homeknee")
    application.setApplicationDisplayName(APP_TITLE)
    folder = clinic_folder(data_dir)
    looks = Looks(application, folder)
    looks.settle_presses()
    window = PageWindow(APP_TITLE)
    window.fit(*FIRST_SIZE)
    try:
        people = PeopleStore.open(folder)
    except JournalFault as fault:
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
        clock=clock,
        catalogue=_content,
    )
    clinic = Clinic(window, practice, doorways(window, looks))
    if code is not None and people.case(code) is None:
        people.close()
        print(f"There is no code {code} in the clinic's list.", file=sys.stderr)
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
    window.show()
    application.exec()
    window.hide()
    faults.remove()
    people.close()
    return DONE


def _tell(window: PageWindow, application: QApplication, sentence: str) -> None:
    """Show why there is no list, and end when that was read."""
    from companion.presentation.home.home_pages import told_view
    from companion.ui.kit.asking import AskingPage

    page = AskingPage(told_view(phrase("The list cannot be opened"), sentence))
    page.given.connect(application.quit)
    window.show_page(page)
    window.show()
    application.exec()
    window.hide()


def _show_fault(window: PageWindow, clinic: Clinic) -> None:
    """One plain page; every file that was taken in is on disk."""
    from companion.ui.kit.fault_page import FaultPage

    def go_on() -> None:
        clinic.show_people()

    page = FaultPage(stop=False)
    if page.main is not None:
        page.main.clicked.connect(go_on)
    window.show_page(page)


def doorways(window: PageWindow, looks: Looks) -> Doorways:
    """What lies outside the window."""

    def pick_file() -> str | None:
        from PySide6.QtWidgets import QFileDialog

        name, _ = QFileDialog.getOpenFileName(window, phrase("Open a file"))
        return name or None

    def pick_folder(title: str) -> str | None:
        from PySide6.QtWidgets import QFileDialog

        return QFileDialog.getExistingDirectory(window, title) or None

    def save_as(offered: str) -> str | None:
        from PySide6.QtWidgets import QFileDialog

        name, _ = QFileDialog.getSaveFileName(window, phrase("Where to save it"), offered)
        return name or None

    return Doorways(
        pick_file=pick_file,
        pick_folder=pick_folder,
        save_as=save_as,
        settings=lambda: looks.settings,
        use_settings=looks.use,
        draw_paper=draw_paper,
        draw_wording=draw_wording,
    )


def draw_paper(
    which: PaperName, diary: Diary, found: tuple[Findings, ...], catalogue: Catalogue
) -> bytes:
    """A paper of a review as a PDF. Pages load slowly, and only for this."""
    if which == "report":
        from companion.paper.report import visit_report_pdf
        from companion.presentation.papers.plan_report import visit_report

        return visit_report_pdf(visit_report(diary, found, catalogue))
    from companion.paper.visit_summary import visit_summary_pdf
    from companion.presentation.papers.summary import visit_summary

    return visit_summary_pdf(visit_summary(diary, found, catalogue))


def draw_wording(catalogue: Catalogue, today: date) -> bytes:
    """The wording to sign as a PDF, in the size of a clinic's paper."""
    from companion.paper.leaflet import leaflet_pdf
    from companion.presentation.papers.wording_sheet import wording_view

    return leaflet_pdf(
        wording_view(catalogue),
        head=phrase("{program}: wording of {day}", program=APP_TITLE, day=dated(today)),
        foot=phrase(catalogue.policy.status_note),
        until=today,
        scale=0.72,
    )


@cache
def _content() -> Catalogue:
    from companion.system.resources import resource
    from companion.wire.catalogue_reading import read_catalogue

    return read_catalogue(resource())
