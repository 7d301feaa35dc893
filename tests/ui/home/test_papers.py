"""Papers and tape: what can be printed, and how much tape a stay takes."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from companion.care.records import Question
from companion.journal.store import Journal
from companion.system.clock import PinnedClock
from companion.ui.kit.window import PageWindow
from tests.tour_visit import DemoPerson, Visit
from tests.ui.kit import accessibility, clipping
from tests.ui.kit.gallery import settle


@pytest.fixture
def window(qtbot: QtBot) -> Iterator[PageWindow]:
    made = PageWindow("Home")
    qtbot.addWidget(made)
    made.show()
    yield made
    made.close()


def words(visit: Visit) -> str:
    page = visit.page
    settle()
    assert accessibility.faults(page) == []
    assert clipping.faults(page) == []
    return page.reading_text()


def test_the_papers_of_a_plan_with_tape(window: PageWindow, tmp_path: Path) -> None:
    visit = Visit(DemoPerson("osric", tmp_path), window, lambda *_: None)
    visit.start()
    visit.through("settings")
    visit.answer(press="Papers and tape")
    assert "The cutting sheet" in words(visit)
    visit.answer(press="The booklet")
    assert "Saved as booklet.pdf." in words(visit)
    visit.start()
    visit.through("settings")
    visit.answer(press="Papers and tape")
    visit.answer(press="Days away")
    visit.answer({"days": 10})
    told = words(visit)
    assert "Side strips to cut" in told
    assert "Pack" in told
    visit.leave()


def test_a_plan_without_tape_has_the_booklet_alone(window: PageWindow, tmp_path: Path) -> None:
    visit = Visit(DemoPerson("wilma", tmp_path), window, lambda *_: None)
    visit.start()
    visit.through("settings")
    visit.answer(press="Papers and tape")
    told = words(visit)
    assert "The booklet" in told
    assert "cutting" not in told
    visit.leave()


def test_a_knee_is_measured_until_two_readings_agree(window: PageWindow, tmp_path: Path) -> None:
    person = DemoPerson("osric", tmp_path)
    store = person.store()
    visit = Visit(person, window, lambda *_: None)
    visit.start(store)
    visit.through("settings")
    visit.answer(press="Papers and tape")
    visit.answer(press="Measure the knee")
    assert "Find the bony bump" in words(visit)
    visit.answer()
    assert "Find the upper edge" in words(visit)
    visit.answer()
    visit.answer({"unit": "cm", "first": 8.0, "second": 9.0})
    assert "more than 5 mm apart" in words(visit)
    visit.answer()
    visit.answer({"unit": "cm", "first": 8.5, "second": 8.7})
    assert "About 86 mm" in words(visit)
    visit.answer()
    visit.leave()
    with Journal.open(store, PinnedClock(person.last_day)) as journal:
        newest = journal.entries()[-1]
    assert isinstance(newest, Question)
    assert newest.text == (
        "Measured at home, left knee: bony bump to upper edge 86 mm (85 mm and 87 mm)."
    )
