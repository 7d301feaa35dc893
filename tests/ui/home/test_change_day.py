"""A day page that was written down can be changed at once; what it said before is kept."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from companion.care.history import current
from companion.care.records import DayPage
from companion.journal.store import Journal
from companion.system.clock import PinnedClock
from companion.ui.kit.window import PageWindow
from tests.tour_visit import DemoPerson, Visit
from tests.versions import versions_of

WINDOW_IS_SHOWN = False


@pytest.fixture
def window(qtbot: QtBot) -> Iterator[PageWindow]:
    made = PageWindow("Home")
    qtbot.addWidget(made)
    made.show()
    yield made
    made.close()


def write_the_page(visit: Visit, average: int) -> None:
    for _ in range(20):
        if visit.key == "finished":
            return
        visit.answer({"score": average} if visit.key == "average" else None)
    raise AssertionError("the page did not end")


def test_a_slip_is_put_right_from_the_page_that_says_it_was_written(
    window: PageWindow, tmp_path: Path
) -> None:
    person = DemoPerson("edda", tmp_path)
    store = person.store()
    visit = Visit(person, window, lambda *_: None)
    visit.start(store)
    visit.through("day")
    write_the_page(visit, 3)
    visit.answer(press="Change something")
    assert visit.key == "average"
    write_the_page(visit, 6)
    visit.leave()
    with Journal.open(store, PinnedClock(person.last_day)) as journal:
        entries = journal.entries()
    (page,) = [
        entry
        for entry in current(entries)
        if isinstance(entry, DayPage) and entry.for_day > person.last_day
    ]
    told = [one.pain_average for one in versions_of(entries, page.id) if isinstance(one, DayPage)]
    assert told == [3, 6]
