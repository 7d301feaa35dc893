"""The windows: here, and in the commands, everything is wired together."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QFileDialog

from companion.care.records import Plan
from companion.journal.faults import JournalFault
from companion.journal.store import Journal
from companion.presentation.home_pages import told_view
from companion.presentation.phrases import phrase
from companion.services.house import House
from companion.system.clock import Clock
from companion.system.folders import data_folder
from companion.system.resources import resource
from companion.ui.home.home import Doorways, Home
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.theme import Theme, apply
from companion.ui.kit.window import PageWindow
from companion.wire.catalogue_reading import read_catalogue

APP_TITLE = "Home knee companion"
DONE, MACHINE = 0, 3


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
    apply(application, Theme())
    window = PageWindow(APP_TITLE)
    folder = data_folder(data_dir)
    try:
        journal = Journal.open(folder, clock)
    except JournalFault as fault:
        print(" ".join(str(fault).split()), file=sys.stderr)
        if quit_when_shown:
            return MACHINE
        _tell(window, application, str(fault))
        return MACHINE
    house = House(journal=journal, clock=clock, catalogue=read_catalogue(resource()))
    home = Home(
        window,
        house,
        Doorways(
            read_plan=lambda: pick_plan(window, house), save_visit=lambda: save_visit(window, house)
        ),
    )
    home.show_front()
    if quit_when_shown:
        window.first_painted.connect(application.quit)
        window.first_painted.connect(_say_shown)
    else:
        QTimer.singleShot(1500, window, lambda: _tend(journal))
    window.show()
    application.exec()
    window.hide()
    journal.close()
    if closed is not None:
        closed()
    return DONE


def _say_shown() -> None:
    print(f"shown {time.monotonic()}", flush=True)


def _tend(journal: Journal) -> None:
    """Weekly check and backups, once the person has their page."""
    try:
        journal.tend()
    except JournalFault as fault:
        print(" ".join(str(fault).split()), file=sys.stderr)


def _tell(window: PageWindow, application: QApplication, sentence: str) -> None:
    page = AskingPage(told_view(phrase("The diary cannot be opened"), sentence))
    page.given.connect(application.quit)
    window.show_page(page)
    window.show()
    application.exec()


def pick_plan(window: PageWindow, house: House) -> Plan | str | None:
    """Let the person pick a plan file; the plan, the sentence why not, or None."""
    name, _ = QFileDialog.getOpenFileName(window, phrase("Open your plan file"))
    return read_plan(Path(name), house) if name else None


def read_plan(path: Path, house: House) -> Plan | str:
    """The plan of a file when it may be taken in, else the sentence why not."""
    from companion.exchange.files import read
    from companion.exchange.taking_in import preview_plan

    reading = read(path, today=house.clock.today())
    if reading.plan is None:
        if reading.diary is not None:
            return phrase("{name} is a diary, not a plan. Open the plan file.", name=path.name)
        return reading.sentence
    found = preview_plan(house.journal.plans(), reading.plan)
    return reading.plan if found.ready else found.sentence


def save_visit(window: PageWindow, house: House) -> str | None:
    """Let the person pick a folder and write both files there; where they are, or None."""
    name = QFileDialog.getExistingDirectory(window, phrase("Where to save the files"))
    return write_visit(house, Path(name)) if name else None


def write_visit(house: House, folder: Path) -> str:
    """Write the diary file and the summary into a folder; one sentence that says how it went."""
    from companion.paper.visit_summary import visit_summary_pdf
    from companion.presentation.summary import visit_summary
    from companion.services.visit import visit_pack
    from companion.system.atomic import write_whole

    pack = visit_pack(house, lambda d, f, c: visit_summary_pdf(visit_summary(d, f, c)))
    person = house.journal.diary().plan.person
    day = house.clock.today().isoformat()
    names = (f"diary-{person}-{day}.homeknee", f"visit-summary-{person}-{day}.pdf")
    try:
        write_whole(folder / names[0], pack.diary)
        write_whole(folder / names[1], pack.summary)
    except OSError as fault:
        return phrase(
            "This folder could not be written ({why}). Nothing is lost. Choose another folder.",
            why=(fault.strerror or phrase("unknown trouble")).lower(),
        )
    return phrase(
        "Saved in {folder}: {diary} and {summary}.",
        folder=folder.name or str(folder),
        diary=names[0],
        summary=names[1],
    )
