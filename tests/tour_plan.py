"""The scenes of the plan writer and the report, for the clinic's tour."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any, Protocol

from PySide6.QtTest import QTest

from companion.presentation.clinic.plan_form import sections_of
from companion.ui.clinic.clinic import Clinic
from companion.ui.clinic.clinic_page import ClinicPage
from companion.ui.clinic.plan_pages import PlanPage, SectionPage
from companion.ui.clinic.plan_room import PlanRoom
from companion.ui.clinic.review_pages import AnswersPage
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.page import Page
from companion.ui.kit.weeks_page import WeeksPage, WeeksStartPage
from companion.ui.kit.window import PageWindow
from tests.care.content import CATALOGUE
from tests.services.plan_writing import put, ready

Look = Callable[[str], None]


class TourDesk(Protocol):
    """What the scenes need of the desk."""

    window: PageWindow
    clinic: Clinic
    picks: list[str | None]

    def page(self) -> Page:
        """The page on screen."""

    def answers(self) -> AnswersPage:
        """The first page of the review that is open, once its answers are there."""


def go(desk: TourDesk, way: str) -> None:
    """Take a way from the page on screen."""
    page = desk.page()
    assert isinstance(page, ClinicPage)
    page.way_chosen.emit(way)


def give(desk: TourDesk, **submitted: Any) -> None:
    """Answer the page on screen."""
    page = desk.page()
    assert isinstance(page, AskingPage)
    page.submitted.emit(submitted)


def room_of(desk: TourDesk) -> PlanRoom:
    """The plan writer that was opened last."""
    return desk.window.findChildren(PlanRoom)[-1]


def new_plan(desk: TourDesk, look: Look) -> None:
    """A first plan: where it begins, every section empty and filled, a first session, leaving."""
    desk.clinic.show_people()
    go(desk, "write")
    room = room_of(desk)
    look("plan-00-start")
    give(desk, begin="template:up_to_short_pieces")
    for number, key in enumerate(sections_of(room.draft, CATALOGUE), 1):
        room.open_section(key)
        look(f"plan-{number:02d}-{key}")
    filled = put(
        ready(),
        session__held=True,
        session__before=7,
        session__after_hands=4,
        session__stage=1,
        session__zones_before="inner_edge below",
        session__scoring="Ten is the worst he can think of.",
        activities__0="Stairs to the harbour office",
        amounts__0__label="Walk to the quay",
        amounts__0__unit="m",
        amounts__0__baseline=200.0,
        amounts__0__goal=300.0,
        cautions__lymphoedema=True,
        known_signs__gives_way_new=date(2025, 4, 1),
        trial__on=True,
    )
    for number, key in enumerate(sections_of(filled, CATALOGUE), 1):
        room.take_up(filled, key)
        look(f"plan-filled-{number:02d}-{key}")
    room.take_up(filled, "person")
    page = desk.page()
    assert isinstance(page, SectionPage)
    page.answered.emit("goal", "To the harbour office without stopping.")
    page.back_wanted.emit()
    look("plan-leave")
    give(desk, do="later")
    go(desk, "write")
    look("plan-unfinished")


def out_of_review(desk: TourDesk, code: str, folder: Path, look: Look) -> None:
    """Weeks on paper, the report, and the next version of the plan: changed a little, previewed,
    to be signed."""
    go(desk, "weeks")
    look(f"{code}-weeks-start")
    start = desk.page()
    assert isinstance(start, WeeksStartPage)
    start.begun.emit(start.first.text())
    look(f"{code}-weeks")
    page = desk.page()
    assert isinstance(page, WeeksPage)
    QTest.keyClicks(page.sheet, "nnn5")
    page.back_wanted.emit()
    look(f"{code}-weeks-leave")
    give(desk, weeks="later")
    go(desk, "weeks")
    look(f"{code}-weeks-half")
    desk.clinic.open(code)
    desk.answers()
    desk.picks = [str(folder / f"{code}-report.pdf")]
    go(desk, "report")
    look(f"{code}-report-saved")
    desk.clinic.open(code)
    desk.answers()
    go(desk, "next_plan")
    look(f"{code}-plan-start")
    give(desk, begin="last")
    room = room_of(desk)
    changed = put(room.draft, rounds=1, goal="To the end of the mole and back.")
    room.take_up(changed, "hands")
    look(f"{code}-plan-hands")
    if "open_signs" in sections_of(changed, CATALOGUE):
        room.take_up(changed, "open_signs")
        look(f"{code}-plan-open-signs")
        room.take_up(changed, "hands")
    if "trial" in sections_of(changed, CATALOGUE):
        room.take_up(put(changed, trial__on=True), "trial")
        look(f"{code}-plan-trial")
        room.take_up(changed, "hands")
    page = desk.page()
    assert isinstance(page, PlanPage)
    page.preview_wanted.emit()
    look(f"{code}-plan-preview")
    give(desk, end=True)
    room.open_section("sign")
    look(f"{code}-plan-sign")
