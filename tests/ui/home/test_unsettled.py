"""The clock is asked about before the front page opens; what waits is put right page by page."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from pytestqt.qtbot import QtBot

from companion.care.records import DayPage
from companion.exchange.files import diary_bytes, reader
from companion.ui.home.front_page import FrontPage
from companion.ui.kit.reading_sheet import ReadingSheet, read_under_sheet
from companion.ui.kit.window import PageWindow
from tests.builders import new_id, page, session
from tests.services.test_hostile_world import OTHER, YEAR, diary, evening
from tests.ui.home.bad_days import begun


def test_a_leap_is_asked_about_before_anything_opens(window: PageWindow, tmp_path: Path) -> None:
    visit = begun(tmp_path / "diary", window, session(0))
    visit.put_clock(days=365)
    visit.home.show_front()
    assert "Is it really" in visit.words
    visit.answer({"clock": "wrong"})
    assert "Put the clock right" in visit.words
    visit.answer()
    assert "Is it really" in visit.words, "it is still wrong"
    visit.put_clock(days=-365)
    visit.answer({"clock": "wrong"})
    visit.answer()
    assert isinstance(visit.page, FrontPage)
    visit.put_clock(days=365)
    visit.home.show_front()
    visit.answer({"clock": "right"})
    assert isinstance(visit.page, FrontPage)
    visit.leave()


def test_days_and_rivals_are_put_right_from_the_front_page(
    window: PageWindow, tmp_path: Path
) -> None:
    first = evening(-3, 1)
    here = replace(first, id=new_id(), replaces=first.id, turn=2, pain_average=5)
    there = replace(here, id=new_id(), machine=OTHER, pain_average=6)
    wrong = evening(-1, 3, ahead=YEAR)
    visit = begun(tmp_path / "diary", window, first, here, there, wrong)
    assert "still to come" in visit.words
    visit.answer({"clock": "right"})
    assert "This entry was written while the clock was wrong" in visit.words
    visit.answer({"day": "other"})
    visit.answer({"day": "no day"})
    assert "That is no day" in visit.words
    day = first.for_day + timedelta(days=1)
    visit.answer({"day": f"{day.day}.{day.month}.{day.year}"})
    assert "Which one is right?" in visit.words
    visit.answer({"keep": here.id})
    assert isinstance(visit.page, FrontPage)
    pages = {e.for_day: e for e in visit.home.context.entries if isinstance(e, DayPage)}
    assert {at: e.pain_average for at, e in pages.items()}[first.for_day] == 5
    assert day in pages
    visit.leave()


def test_what_waits_is_said_on_the_front_page(window: PageWindow, tmp_path: Path) -> None:
    first = evening(-3, 1)
    here = replace(first, id=new_id(), replaces=first.id, turn=2, pain_average=5)
    there = replace(here, id=new_id(), machine=OTHER, pain_average=6)
    visit = begun(tmp_path / "diary", window, first, here, there)
    visit.home.say_what_waits()
    assert "1 thing was written down in two ways" in visit.words
    visit.through("unsettled")
    visit.answer({"keep": there.id})
    assert "in two ways" not in visit.words
    visit.leave()


def test_a_file_is_read_beside_the_window_and_can_be_left_off(
    window: PageWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    path = tmp_path / "diary.homeknee"
    path.write_bytes(diary_bytes(diary(*(page(0, id=new_id()) for _ in range(300)))))
    begun(tmp_path / "home", window)
    got: list[object] = []
    read_under_sheet(window, path.name, reader(path), got.append)
    assert isinstance(window.sheet(), ReadingSheet)
    qtbot.waitUntil(lambda: bool(got))
    assert window.sheet() is None

    held: list[bool] = []

    def slow() -> Generator[int, None, str]:
        while not held:
            yield 1
        return "read"

    read_under_sheet(window, path.name, slow(), got.append)
    sheet = window.sheet()
    assert isinstance(sheet, ReadingSheet)
    sheet.cancel.click()
    qtbot.waitUntil(lambda: window.sheet() is None)
    assert len(got) == 1, "what was cancelled is not taken up"
