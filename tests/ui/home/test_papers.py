"""Papers and tape: what can be printed, and how much tape a stay takes."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

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
