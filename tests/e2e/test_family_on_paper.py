"""A family without a computer: the clinic prints, a pen writes, the clinic types, and reads."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pypdf
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QPushButton
from pytestqt.qtbot import QtBot

from companion.care.records import DayPage, Diary
from companion.evidence.findings import findings
from companion.exchange.files import diary_bytes
from companion.presentation.papers.typed_weeks import TypedWeeks
from companion.services.paper_weeks_kept import FoundWeeks, WeeksAtClinic
from companion.services.practice import open_diary
from companion.ui.kit.weeks_page import WeeksPage, WeeksStartPage
from companion.wire.resource_reading import shipped_policy
from tests.presentation.papers.test_booklet import plan_of
from tests.tour_clinic import TODAY, Desk, desk_in_sight
from tests.tour_visit import press, settle
from tests.ui.kit.accessibility import faults as accessibility_faults
from tests.ui.kit.clipping import faults as clipping_faults

Key = Qt.Key
FIRST = TODAY - timedelta(days=13)
PAPER = (5, 5, 6, 5, 4, 5, 4, 4, 5, 4, 3, 4, 3, 3)
"""The average pain of fourteen days as the pen ringed it."""


@pytest.fixture
def desk(qtbot: QtBot, qapp: QApplication, tmp_path: Path) -> Iterator[Desk]:
    yield from desk_in_sight(qtbot, qapp, tmp_path / "data")


def words_of(path: Path) -> str:
    told = (page.extract_text() for page in pypdf.PdfReader(path).pages)
    return " ".join(word for page in told for word in page.split())


def test_the_clinic_prints_a_pen_writes_and_the_clinic_types_and_reads(
    desk: Desk, tmp_path: Path
) -> None:
    plan = replace(plan_of("osric"), written_on=FIRST, open_signs=(), sign_off=None)
    given = tmp_path / "given.homeknee"
    given.write_bytes(diary_bytes(Diary(plans=(plan,))))
    desk.take_in(given)
    # Printed: all that the family takes home, each day's form with its date.
    desk.clinic.open(plan.person)
    out = tmp_path / "print"
    out.mkdir()
    desk.picks = [str(out)]
    press("h")
    _press_words(desk, "Save the pages for the person")
    (folder,) = out.iterdir()
    names = {path.name for path in folder.iterdir()}
    assert {"booklet.pdf", "fridge.pdf", "cards.pdf", "blank-days.pdf"} <= names
    assert plan.contacts[0].number in words_of(folder / "fridge.pdf")
    printed = words_of(folder / "blank-days.pdf")
    assert f"{plan.person} {plan.version} L {TODAY.isoformat()}" in printed
    # Typed: the day is offered, each average one key, the rest left empty.
    desk.clinic.open(plan.person)
    press("w")
    start = desk.page()
    assert isinstance(start, WeeksStartPage)
    assert start.first.text() == f"{FIRST.day} November 2026"
    press(Key.Key_Return)
    page = desk.page()
    assert isinstance(page, WeeksPage)
    for number, average in enumerate(PAPER):
        press(*[Key.Key_Down] * 3, str(average))
        if number == 3:
            press("2")  # a worst below the average: told, and it costs these two alone
        press(Key.Key_PageDown)
    assert "is below the average" in page.odd.text()
    assert accessibility_faults(page) == []
    assert clipping_faults(page) == []
    page = _left_and_taken_up(desk, plan.person)
    assert page.main is not None
    page.main.setFocus(Qt.FocusReason.TabFocusReason)
    press(Key.Key_Return)
    told = desk.page().reading_text()
    assert "13 days are in the diary now." in told
    assert "the worst, 2, is below the average, 5" in told
    assert WeeksAtClinic(desk.practice, plan.person).found() == FoundWeeks(), "taken in"
    # Read: the review has them, and the findings are those of what stands on paper.
    press(Key.Key_Return)
    desk.answers()
    diary = open_diary(desk.practice, plan.person)
    assert diary is not None
    pages = {e.for_day: e.pain_average for e in diary.whole().entries if isinstance(e, DayPage)}
    kept = {FIRST + timedelta(days=n): score for n, score in enumerate(PAPER) if n != 3}
    assert pages == kept
    found = diary.found("left")
    assert found == findings(
        Diary(plans=(plan,), entries=_typed(plan_diary=Diary(plans=(plan,)), at=desk)),
        "left",
        policy=shipped_policy(),
        read_on=TODAY,
    )


def _left_and_taken_up(desk: Desk, person: str) -> WeeksPage:
    """Left without a word, all that was typed is there when the screen is opened anew."""
    desk.clinic.open(person)
    press("w")
    assert "14 days have answers" in desk.page().reading_text()
    _press_words(desk, "Go on typing")
    page = desk.page()
    assert isinstance(page, WeeksPage)
    assert "is below the average" in page.odd.text()
    return page


def _typed(plan_diary: Diary, at: Desk) -> tuple[DayPage, ...]:
    """The same days typed without a window."""
    weeks = TypedWeeks(plan_diary, FIRST, len(PAPER), at.practice.clock.now())
    for number, average in enumerate(PAPER):
        if number != 3:
            weeks.go_to(
                next(n for n, c in enumerate(weeks.cells) if c.part.column == "pain_average")
            )
            weeks.press(str(average))
        weeks.step("next_day")
    return tuple(entry for entry in weeks.entries() if isinstance(entry, DayPage))


def _press_words(desk: Desk, words: str) -> None:
    buttons = desk.page().findChildren(QPushButton)
    (button,) = (each for each in buttons if each.text() == words)
    button.click()
    settle()
