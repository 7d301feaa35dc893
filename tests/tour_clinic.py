"""A tour for eyes of the clinic: a picture of every screen, with the demo people in its list, and
one more whose diary holds everything.

    python -m tests.tour_clinic DIR [--percent N] [--size WxH] [--person NAME]
                                      [--palette light|dark|high_contrast]

Each option may be given more than once. No display is needed. Where a page scrolls, a picture
`...-whole.png` beside it shows all of its column.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from datetime import date
from itertools import product
from pathlib import Path

from PySide6.QtCore import QEventLoop, QTimer
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from companion.app.clinic_window import draw_home_papers, draw_paper, draw_wording
from companion.exchange.case_files import CaseFolder
from companion.exchange.files import diary_bytes
from companion.journal.drafts import DraftFolder
from companion.journal.people import PeopleStore
from companion.presentation.clinic.review import review_pages
from companion.services.export import FORMATS
from companion.services.practice import Practice
from companion.services.settings import Language, Settings
from companion.system.settings import SettingsFile
from companion.ui.clinic.clinic import Clinic
from companion.ui.clinic.clinic_page import ClinicPage
from companion.ui.clinic.desk import ClinicDoorways
from companion.ui.clinic.export_page import ExportPage
from companion.ui.clinic.import_pages import PreviewPage, ProgressPage
from companion.ui.clinic.review_more import UsualPage
from companion.ui.clinic.review_pages import AnswersPage
from companion.ui.kit.page import Page
from companion.ui.kit.theme import PALETTES, Theme, apply
from companion.ui.kit.window import PageWindow
from tests.care.content import CATALOGUE
from tests.tour_people import diary_of, tour_people
from tests.tour_plan import new_plan, out_of_review
from tests.tour_visit import LaterClock, settle

TODAY = date(2026, 11, 25)
SIZES = ("1366x768", "1024x600")
PERCENTS = (100, 150)
MOST_MILLISECONDS = 60_000


class Desk:
    """Somebody at the clinic's window; what they pick from the machine is handed in."""

    def __init__(self, folder: Path, window: PageWindow, today: date = TODAY) -> None:
        self.window = window
        self.data = folder
        self.picks: list[str | None] = []
        self.shown: list[str] = []
        """What was said to be saved, by its path."""
        self._settings = Settings()
        self.languages: tuple[Language, ...] = ()
        self.practice = Practice(
            people=PeopleStore.open(folder),
            folder=CaseFolder(folder),
            drafts=DraftFolder(folder),
            signer=SettingsFile(folder, "signer.json"),
            clock=LaterClock(today),
            catalogue=lambda: CATALOGUE,
        )
        self.clinic = Clinic(
            window,
            self.practice,
            ClinicDoorways(
                pick_file=self._pick,
                pick_folder=lambda _title: self._pick(),
                save_as=self.save_as,
                folder_for=lambda _name: self._pick(),
                show_saved=self._show,
                settings=lambda: self._settings,
                use_settings=self._use,
                languages=lambda: self.languages,
                draw_paper=draw_paper,
                draw_home_papers=draw_home_papers,
                print_out=self._print,
                on_letter_paper=lambda: self._settings.paper == "letter",
                draw_wording=draw_wording,
            ),
        )

    def save_as(self, _offered: str) -> str | None:
        """Where a file is put that is offered by a name."""
        return self._pick()

    def _show(self, path: str, draw: Callable[[], object] | None) -> None:
        assert Path(path).exists()
        self.shown.append(path)

    def _print(self, name: str, draw: Callable[[], object]) -> str:
        draw()
        return f"{name} is on its way."

    def _pick(self) -> str | None:
        return self.picks.pop(0) if self.picks else None

    def _use(self, settings: Settings) -> None:
        self._settings = settings

    def page(self) -> Page:
        """The page on screen."""
        page = self.window.sheet() or self.window.page()
        assert page is not None
        return page

    def close(self) -> None:
        """Let go of the list."""
        self.practice.people.close()

    def until(self, reached: Callable[[], bool]) -> None:
        """Let the window live until something holds; an AssertionError when it never does."""
        loop, timer, limit = QEventLoop(), QTimer(), QTimer()
        timer.timeout.connect(lambda: loop.quit() if reached() else None)
        limit.setSingleShot(True)
        limit.timeout.connect(loop.quit)
        timer.start(5)
        limit.start(MOST_MILLISECONDS)
        if not reached():
            loop.exec()
        timer.stop()
        limit.stop()
        assert reached()

    def until_preview(self) -> PreviewPage:
        """Wait until what was picked has been read."""
        self.until(lambda: not isinstance(self.page(), ProgressPage))
        page = self.page()
        assert isinstance(page, PreviewPage)
        return page

    def take_in(self, path: Path) -> None:
        """Take in a file or a folder, whatever in it is ready."""
        paths = sorted(path.iterdir()) if path.is_dir() else [path]
        self.clinic.look_at([str(each) for each in paths])
        page = self.until_preview()
        assert page.main is not None
        page.main.click()
        self.until(lambda: not isinstance(self.page(), ProgressPage))

    def answers(self) -> AnswersPage:
        """The first page of the review that is open, once its answers are there."""
        page = self.page()
        assert isinstance(page, AnswersPage)
        self.until(lambda: len(page.blocks) > 1)
        return page


def inbox_of(folder: Path, names: Sequence[str]) -> Path:
    """A folder of what people brought: whole diaries, and one that was damaged on the way."""
    folder.mkdir()
    for name in names:
        data = diary_bytes(diary_of(name))
        (folder / f"{name}.homeknee").write_bytes(data)
        (folder / "zz-damaged.homeknee").write_bytes(data[:-20])
    return folder


def desk_in_sight(qtbot: QtBot, qapp: QApplication, folder: Path) -> Iterator[Desk]:
    """The clinic's desk in an active window of 1366x768, the list empty; for a fixture."""
    apply(qapp, Theme())
    window = PageWindow("Clinic")
    qtbot.addWidget(window)
    window.resize(1366, 768)
    made = Desk(folder, window)
    made.clinic.show_people()
    with qtbot.waitActive(window):
        window.show()
        window.activateWindow()
    yield made
    made.close()
    apply(qapp, Theme())


def next_morning(desk: Desk, code: str, look: Callable[[str], None]) -> None:
    """Ask for what goes with the next morning, on the page where it may be asked for."""
    page = desk.page()
    if isinstance(page, UsualPage):
        page.ask.click()
        look(f"{code}-U-usual-asked")


def export_saved_and_refused(
    desk: Desk, code: str, scratch: str, look: Callable[[str], None]
) -> None:
    """Save every format, then where nothing can be saved, on the page where it may be asked for."""
    page = desk.page()
    if not isinstance(page, ExportPage):
        return
    page.ticks.set_values(FORMATS)
    for place, how in ((scratch, "saved"), (f"{scratch}/not there", "refused")):
        desk.picks = [place]
        page.export_wanted.emit(page.ticks.values())
        look(f"{code}-E-export-{how}")
        desk.window.drop_sheet()


def asked_for(desk: Desk, code: str, scratch: str, look: Callable[[str], None]) -> None:
    """What the page on screen shows only once it is asked for."""
    next_morning(desk, code, look)
    export_saved_and_refused(desk, code, scratch, look)


def tour(
    folder: Path,
    sizes: Sequence[str],
    percents: Sequence[int],
    names: Sequence[str],
    palettes: Sequence[str] = ("light",),
) -> int:
    """Take the pictures; how many."""
    application = QApplication.instance() or QApplication(["tour"])
    assert isinstance(application, QApplication)
    apply(application, Theme())
    taken = 0
    with tempfile.TemporaryDirectory(prefix="homeknee-tour-") as scratch:
        inbox = inbox_of(Path(scratch, "inbox"), names)
        window = PageWindow("Tour")
        window.show()
        desk = Desk(Path(scratch, "data"), window)

        def look(what: str) -> None:
            nonlocal taken
            window.activateWindow()
            for palette, percent, size in product(palettes, percents, sizes):
                apply(application, Theme(PALETTES[palette], percent))
                window.resize(*map(int, size.split("x")))
                settle()
                colours = "" if palette == "light" else f"-{palette}"
                name = f"{what}-{size}-{percent}{colours}"
                window.grab().save(str(folder / f"{name}.png"))
                taken += 1
                page = desk.page()  # a page that reads files may be gone by now
                if page.scroll_bar().maximum() > 0:
                    page.column.grab().save(str(folder / f"{name}-whole.png"))
            apply(application, Theme())

        desk.clinic.show_people()
        look("01-nobody")
        desk.clinic.look_at([str(path) for path in sorted(inbox.iterdir())])
        look("02-reading")
        preview = desk.until_preview()
        look("03-preview")
        assert preview.main is not None
        preview.main.click()
        desk.until(lambda: not isinstance(desk.page(), ProgressPage))
        look("04-people")
        for case in desk.practice.people.cases():
            desk.clinic.open(case.code)
            answers = desk.answers()
            look(f"{case.code}-1-answers")
            row = answers.blocks[1].rows[2]
            row.click()
            look(f"{case.code}-1-figure")
            window.drop_sheet()
            for page in review_pages(answers.record.plans)[1:]:
                shown = desk.page()
                assert isinstance(shown, ClinicPage)
                shown.way_chosen.emit(page.name)
                look(f"{case.code}-{page.key}-{page.name}")
                asked_for(desk, case.code, scratch, look)
            out_of_review(desk, case.code, folder, look)
        new_plan(desk, look)
        desk.close()
        window.close()
    return taken


def main(arguments: Sequence[str]) -> int:
    """Take the pictures and say how many."""
    parser = argparse.ArgumentParser(prog="python -m tests.tour_clinic", description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--percent", action="append", type=int)
    parser.add_argument("--size", action="append", metavar="WxH")
    parser.add_argument("--person", action="append", choices=tour_people())
    parser.add_argument("--palette", action="append", choices=tuple(PALETTES))
    options = parser.parse_args(arguments)
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    options.folder.mkdir(parents=True, exist_ok=True)
    names = options.person or tour_people()
    taken = tour(
        options.folder,
        options.size or SIZES,
        options.percent or PERCENTS,
        names,
        options.palette or ("light",),
    )
    print(f"{taken} pictures")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
