"""The windows: here, and in the commands, everything is wired together."""

from __future__ import annotations

import contextlib
import subprocess
import sys
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QApplication, QFileDialog

from companion.care.catalogue import Catalogue
from companion.care.records import Diary, Plan
from companion.journal.faults import JournalFault
from companion.journal.store import Journal
from companion.presentation.home_pages import told_view
from companion.presentation.phrases import phrase
from companion.services.house import House
from companion.system.clock import Clock
from companion.system.folders import data_folder
from companion.system.resources import resource
from companion.system.settings import Settings, read_settings, write_settings
from companion.ui.home.desk import Doorways
from companion.ui.home.home import Home
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.theme import PALETTES, Theme, apply
from companion.ui.kit.window import PageWindow
from companion.wire.catalogue_reading import read_catalogue

APP_TITLE = "Home knee companion"
DONE, MACHINE = 0, 3
PRACTICE_PERSON = "edda"


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
    looks = Looks(application, folder)
    window = PageWindow(APP_TITLE)
    try:
        journal = Journal.open(folder, clock)
    except JournalFault as fault:
        print(" ".join(str(fault).split()), file=sys.stderr)
        if not quit_when_shown:
            _tell(window, application, str(fault))
        return MACHINE
    house = House(journal=journal, clock=clock, catalogue=read_catalogue(resource()))
    home = Home(window, house, doorways(window, house, looks))
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


class Looks:
    """The settings of this machine, and what they do to the screen."""

    def __init__(self, application: QApplication, folder: Path) -> None:
        self._application = application
        self.folder = folder
        self.settings = read_settings(folder)
        self._apply()

    def use(self, settings: Settings) -> None:
        """Use these from now on, and keep them; a machine that cannot keep them still uses them."""
        self.settings = settings
        self._apply()
        with contextlib.suppress(OSError):
            write_settings(self.folder, settings)

    def _apply(self) -> None:
        palette = PALETTES[self._palette_name()]
        apply(self._application, Theme(palette, self.settings.text_percent))

    def _palette_name(self) -> str:
        if self.settings.colours != "computer":
            return self.settings.colours
        wish = self._application.styleHints().colorScheme()
        return "dark" if wish == Qt.ColorScheme.Dark else "light"


def doorways(window: PageWindow, house: House, looks: Looks) -> Doorways:
    """What lies outside the window."""
    return Doorways(
        read_plan=lambda: pick_plan(window, house),
        read_diary=lambda: pick_diary(window, house),
        save_visit=lambda: save_visit(window, house),
        save_copy=lambda: save_copy(window, house),
        save_stop_list=lambda: save_stop_list(window, house),
        settings=lambda: looks.settings,
        use_settings=looks.use,
        data_folder=lambda: str(looks.folder),
        take_everything_away=lambda: take_everything_away(window, house, looks.folder),
        look_round=lambda: look_round(window),
    )


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


def pick_diary(window: PageWindow, house: House) -> Diary | str | None:
    """Let the person pick a diary file; the diary, the sentence why not, or None."""
    from companion.exchange.files import read

    name, _ = QFileDialog.getOpenFileName(window, phrase("Open a diary file"))
    if not name:
        return None
    reading = read(Path(name), today=house.clock.today())
    if reading.plan is not None:
        return phrase("{name} is a plan, not a diary.", name=Path(name).name)
    return reading.diary or reading.sentence


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


def save_copy(window: PageWindow, house: House) -> str | None:
    """Let the person pick a file and write the whole diary there; where it is, or None."""
    plan = house.plan()
    if plan is None:
        return phrase("There is no plan here yet, so there is nothing to copy.")
    suggested = f"diary-{plan.person}-{house.clock.today().isoformat()}.homeknee"
    name, _ = QFileDialog.getSaveFileName(window, phrase("Save a copy of the diary"), suggested)
    if not name:
        return None
    from companion.exchange.files import diary_bytes

    return _write(Path(name), diary_bytes(house.journal.diary()))


def save_stop_list(window: PageWindow, house: House) -> str | None:
    """Let the person pick a file and write the stop list there as a page to print."""
    plan = house.plan()
    if plan is None:
        return None
    name, _ = QFileDialog.getSaveFileName(window, phrase("Save the stop list"), "stop-list.pdf")
    if not name:
        return None
    return _write(Path(name), stop_list_leaflet(plan, house.catalogue, house.clock.today()))


def stop_list_leaflet(plan: Plan, catalogue: Catalogue, today: date) -> bytes:
    """The stop list with the numbers to call, in large print."""
    from companion.paper.leaflet import leaflet_pdf
    from companion.presentation.settings_pages import signs_view

    return leaflet_pdf(
        signs_view(plan, catalogue),
        head=phrase("{person}, care plan {version}", person=plan.person, version=plan.version),
        foot=phrase("In an emergency, call the emergency number first."),
        until=today,
    )


def _write(path: Path, data: bytes) -> str:
    """Write a file whole; one sentence that says how it went."""
    from companion.system.atomic import write_whole

    try:
        write_whole(path, data)
    except OSError as fault:
        return _not_written(fault)
    return phrase("Saved as {name}.", name=path.name)


def _not_written(fault: OSError) -> str:
    return phrase(
        "It could not be saved there ({why}). Nothing is lost. Choose another place.",
        why=(fault.strerror or phrase("unknown trouble")).lower(),
    )


def take_everything_away(window: PageWindow, house: House, folder: Path) -> None:
    """Close the diary, take its folder off this machine, and close the window."""
    house.journal.close()
    for path in sorted(folder.rglob("*"), reverse=True):
        with contextlib.suppress(OSError):
            path.rmdir() if path.is_dir() else path.unlink()
    with contextlib.suppress(OSError):
        folder.rmdir()
    window.close()


def look_round(window: PageWindow) -> str | None:
    """Open a window of its own on an invented person whose plan nobody signed."""
    started = subprocess.Popen(
        [sys.executable, "-m", "companion", "demo", PRACTICE_PERSON, "--practice"],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    window.destroyed.connect(started.poll)
    return None


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
        return _not_written(fault)
    return phrase(
        "Saved in {folder}: {diary} and {summary}.",
        folder=folder.name or str(folder),
        diary=names[0],
        summary=names[1],
    )
