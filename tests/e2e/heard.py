"""Somebody who goes through the program while another process listens: `python -m tests.e2e.heard`.

Prints a line a page and waits for one, while its window answers whoever asks on the accessibility
bus. Between them a whole routine with tape, a card, the day page, the record, the visit, and at the
clinic the review and a plan.
"""

from __future__ import annotations

import sys
import tempfile
from datetime import date
from pathlib import Path

from PySide6.QtCore import QEventLoop, QSocketNotifier
from PySide6.QtWidgets import QApplication

from companion.presentation.clinic.review import review_pages
from companion.ui.clinic.clinic_page import ClinicPage
from companion.ui.kit.page import Page
from companion.ui.kit.presses import Presses, use_presses
from companion.ui.kit.theme import Theme, apply
from companion.ui.kit.window import PageWindow
from tests.builders import SOMETHING_NEW
from tests.services.plan_writing import ready
from tests.tour_clinic import Desk, inbox_of
from tests.tour_plan import give, go, room_of
from tests.tour_visit import DemoPerson, Visit, settle

PERSON = "edda"
DAY = date(2026, 11, 25)
REVIEWED = ("pain", "sessions", "tape", "usual")
"""Pages of the review besides its answers; the others are tables as these have them."""
SECOND_TIME = ("step-2", "zones-move-after", "move-after-hands-2")
"""Pages of the routine that are heard a second time, and so left out."""


def until_heard() -> None:
    """Let the window live until whoever listens says that the page was heard."""
    loop = QEventLoop()
    listening = QSocketNotifier(sys.stdin.fileno(), QSocketNotifier.Type.Read)
    listening.activated.connect(loop.quit)
    loop.exec()
    listening.setEnabled(False)
    assert sys.stdin.readline(), "nobody listens any more"


def passed() -> None:
    """Let what was said on the way here be forgotten: nobody looks at these pages."""
    settle()
    print("-", flush=True)
    until_heard()


def tell(name: str) -> None:
    """Say which page is there, and wait until it was heard."""
    settle()
    print(name, flush=True)
    until_heard()


def at_home(person: DemoPerson, window: PageWindow) -> None:
    """The front page, an evening, the day page, what is kept, the visit; and a card."""

    def look(name: str, _page: Page) -> None:
        if name.startswith(SECOND_TIME):
            passed()
        else:
            tell(f"home: {name}")

    visit = Visit(person, window, look)
    visit.start()
    visit.look("front")
    visit.through("routine")
    visit.walk(look_at=None, scores=(7, 5, 4, 3, 3))
    visit.look("front-after")
    visit.through("day")
    visit.walk(look_at=None)
    passed()
    visit.through("record")
    visit.look("record")
    visit.back()
    passed()
    visit.through("visit")
    visit.look("visit")
    visit.leave()
    visit.start()
    passed()
    visit.through("routine")
    visit.walk(
        look_at=None, submitted={"gate": SOMETHING_NEW, "list:1": {"signs": ("chest_or_breath",)}}
    )
    visit.look("front-locked")
    visit.leave()


def at_the_clinic(folder: Path, window: PageWindow) -> None:
    """The list, a review with all its pages, and a plan that is written."""
    desk = Desk(folder / "data", window, DAY)
    desk.clinic.show_people()
    tell("clinic: nobody yet")
    desk.take_in(inbox_of(folder / "inbox", [PERSON]) / f"{PERSON}.homeknee")
    passed()
    desk.clinic.show_people()
    tell("clinic: people")
    (case,) = desk.practice.people.cases()
    desk.clinic.open(case.code)
    answers = desk.answers()
    tell("clinic: review, answers")
    for page in (p for p in review_pages(answers.record.plans) if p.name in REVIEWED):
        shown = desk.page()
        assert isinstance(shown, ClinicPage)
        shown.way_chosen.emit(page.name)
        tell(f"clinic: review, {page.name}")
    desk.clinic.show_people()
    passed()
    go(desk, "write")
    tell("clinic: a plan begins")
    give(desk, begin="template:up_to_short_pieces")
    passed()
    room = room_of(desk)
    for key in ("cautions", "tape", "person"):
        room.open_section(key)
        tell(f"clinic: plan, {key}")
    room.take_up(ready(), "sign")
    tell("clinic: plan, sign")
    desk.close()


def main() -> int:
    """Go through all of it."""
    application = QApplication(["heard"])
    apply(application, Theme())
    use_presses(Presses(0))
    window = PageWindow("Home knee companion")
    window.resize(1024, 700)
    with tempfile.TemporaryDirectory(prefix="homeknee-heard-") as scratch:
        person = DemoPerson(PERSON, Path(scratch, "home"))
        window.show()
        window.activateWindow()
        at_home(person, window)
        at_the_clinic(Path(scratch), window)
    window.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
