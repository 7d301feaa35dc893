"""A week of somebody with two knees, by keyboard alone in a small window: what each day takes.

Every page of it is checked elsewhere; here it is walked, with what one day leaves to the next.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from companion.care.records import AnyEntry, DayPage, Outing, Session
from companion.presentation.view import page as view
from companion.ui.kit.controls import PainScale
from companion.ui.kit.theme import LIGHT, Theme, apply
from companion.ui.kit.window import PageWindow
from tests.tour_visit import STEADY, Answers, DemoPerson
from tests.ui.home.bad_days import BadDay
from tests.ui.home.keyboard import Keyboard
from tests.ui.home.test_by_keyboard import PROJECT, is_front

HEADING = "### A week of two knees, by keyboard"
DAYS = 7
OUT = 3
"""The day on which she goes out, counted from 1; its morning is told on the next."""


@dataclass
class Steadily(Keyboard):
    """Somebody who knows the pages: they are walked and counted, and 3 is the pain."""

    def _meet(self) -> None:
        self._on = self.page
        self.met.append(self.key)
        self.count.pages += 1

    def _score(
        self, scale: PainScale, asked: view.Scale, submitted: Answers, *, alone: bool
    ) -> None:
        super()._score(scale, asked, {asked.name: STEADY.get("score"), **submitted}, alone=alone)


@pytest.fixture
def week(window: PageWindow, tmp_path: Path, qapp: QApplication) -> Iterator[Steadily]:
    apply(qapp, Theme(LIGHT, 100))
    person = DemoPerson("wilma", tmp_path)
    visit = BadDay(person, window, lambda _name, _page: None, short=True)
    visit.start()
    keys = Steadily(visit, qapp)
    keys.begin()
    yield keys
    visit.leave()


def a_day(keys: Steadily, number: int) -> None:
    """What she does on a day: out and back, the evening of both knees, the day page."""
    if number == OUT + 1:
        keys.line("Say how the morning after is")
        keys.walk()
    if number == OUT:
        keys.through("outing")
        keys.walk()
        keys.visit.put_clock(hours=1)
        keys.visit.front_again()
        keys.begin()
        keys.line("Say how it was")
        keys.walk()
    for door in ("routine", "day"):
        keys.through(door)
        assert keys.key not in ("knee", "FrontPage"), "both knees are one evening and one day page"
        keys.walk()
        assert is_front(keys), keys.key


def test_a_week(week: Steadily) -> None:
    first = week.visit.home.context.clock.today()
    took: list[list[int]] = []
    for number in range(1, DAYS + 1):
        pages, pressed, read, typed = counts(week)
        a_day(week, number)
        now = counts(week)
        took.append([now[0] - pages, now[1] - pressed, now[2] - read, now[3] - typed])
        print(f"| {number} | {' | '.join(map(str, took[-1]))} |")
        week.visit.put_clock(days=1)
        if number == OUT:
            week.visit.put_clock(hours=-1)
        week.visit.front_again()
        week.begin()
    assert week.faults == []
    told = [entry for entry in week.visit.journal.entries() if entry.for_day >= first]
    for side in ("right", "left"):
        for kind in (Session, DayPage):
            assert len(days_of(told, kind, side)) == DAYS, (kind, side)
    out = [one for one in told if isinstance(one, Outing)]
    assert {len(one.knees) for one in out} == {2}
    assert len({one.for_day for one in out}) == 1
    assert len(out[-1].mornings) == 2
    for number, said in enumerate(table()):
        near = [abs(a - b) <= max(3, b // 10) for a, b in zip(took[number], said, strict=True)]
        assert all(near), took
    assert len(table()) == DAYS


def counts(keys: Steadily) -> tuple[int, int, int, int]:
    return keys.count.pages, keys.count.keys, keys.count.reading, keys.count.typing


def days_of(entries: list[AnyEntry], kind: type[object], side: str) -> set[date]:
    return {
        one.for_day
        for one in entries
        if isinstance(one, kind) and getattr(one, "side", None) == side
    }


def table() -> list[list[int]]:
    """What DEVELOPERS.md says each day takes: pages, keys, of these reading on, typing."""
    _, _, after = (PROJECT / "DEVELOPERS.md").read_text("utf-8").partition(HEADING)
    rows = [line.strip("|").split("|") for line in after.splitlines() if line.startswith("|")]
    return [[int(cell) for cell in row[1:]] for row in rows[2:][:DAYS]]
