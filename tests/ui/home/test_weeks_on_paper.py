"""Weeks kept with a pen, typed in at home."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from companion.care.coded import coded
from companion.care.records import DayPage
from companion.journal.faults import JournalFull
from companion.journal.store import Journal
from companion.services.paper_weeks_kept import FoundWeeks, WeeksAtHome
from companion.ui.home.front_page import FrontPage
from companion.ui.home.weeks_room import WeeksRoom
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.weeks_page import WeeksPage, WeeksStartPage
from companion.ui.kit.window import PageWindow
from tests.builders import page
from tests.ui.home.bad_days import begun

WINDOW_IS_SHOWN = False


def test_days_are_typed_into_the_diary_at_hand(window: PageWindow, tmp_path: Path) -> None:
    visit = begun(tmp_path / "diary", window, page(-1, pain_average=3))
    home = visit.home
    left: list[bool] = []
    WeeksRoom(home, lambda: left.append(True)).enter()
    start = window.page()
    assert isinstance(start, WeeksStartPage)
    for wrong in ("no day", "1.1.2090"):
        start.begun.emit(wrong)
        assert "Write a day up to today" in start.reading_text()
    offered = start.first.text()
    start.begun.emit(offered)
    typing = window.page()
    assert isinstance(typing, WeeksPage)
    assert typing.main is not None
    assert not typing.main.isEnabled(), "nothing was typed yet"
    typing.sheet.setFocus()
    QTest.keyClicks(typing.sheet, "nnn5")  # no sign, no fall, no medicine, an average
    # Back asks before it gives anything up.
    typing.back_wanted.emit()
    asked = window.page()
    assert isinstance(asked, AskingPage)
    asked.submitted.emit({})
    again = window.page()
    assert isinstance(again, WeeksPage)
    again.kept.emit()
    told = window.page()
    assert told is not None
    assert "1 day is in the diary now." in told.reading_text()
    pages = [e for e in home.context.journal.diary().entries if isinstance(e, DayPage)]
    assert [(e.written_by, e.pain_average) for e in pages] == [("person", 3), ("paper", 5)]
    assert not left
    assert WeeksAtHome(home.context).found() == FoundWeeks(), "what was taken in is dropped"
    visit.leave()


def no_room(*_told: object) -> None:
    raise JournalFull(coded("no_room"))


def test_half_typed_days_outlive_the_window(
    window: PageWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    visit = begun(tmp_path / "diary", window, page(-1, pain_average=3))
    left: list[bool] = []
    WeeksRoom(visit.home, lambda: left.append(True)).enter()
    start = window.page()
    assert isinstance(start, WeeksStartPage)
    start.begun.emit(start.first.text())
    typing = window.page()
    assert isinstance(typing, WeeksPage)
    typing.sheet.setFocus()
    QTest.keyClicks(typing.sheet, "nnn5")
    # Nothing is left, kept or asked: the store is let go and opened anew.
    visit.leave()
    visit.start()
    assert isinstance(window.page(), FrontPage), "no walk is under way"
    room = WeeksRoom(visit.home, lambda: left.append(True))
    room.enter()
    offered = window.page()
    assert isinstance(offered, AskingPage)
    assert "1 day has answers" in offered.reading_text()
    offered.submitted.emit({})
    again = window.page()
    assert isinstance(again, WeeksPage)
    QTest.keyClicks(again.sheet, "8")  # goes to the question that was next
    found = WeeksAtHome(visit.home.context).found().half
    assert found is not None
    texts = {cell.column: cell.text for cell in found.cells}
    assert (texts["pain_average"], texts["pain_worst"]) == ("5", "8")
    # A full disk is told on the page, and nothing that was typed is gone.
    with monkeypatch.context() as full:
        full.setattr(Journal, "save_draft", no_room)
        QTest.keyClicks(again.sheet, "3")
        QTest.keyClick(again.sheet, Qt.Key.Key_Return)
        assert "cannot be kept half typed" in again.reading_text()
    QTest.keyClicks(again.sheet, "n")
    assert "cannot be kept half typed" not in again.reading_text()
    # Another day: it is offered again, until it is given up.
    for said, still in (("later", True), ("away", False)):
        if not isinstance(window.page(), WeeksPage):
            room.enter()
            view = window.page()
            assert isinstance(view, AskingPage)
            view.submitted.emit({})
        shown = window.page()
        assert isinstance(shown, WeeksPage)
        shown.back_wanted.emit()
        asked = window.page()
        assert isinstance(asked, AskingPage)
        asked.submitted.emit({"weeks": said})
        kept = WeeksAtHome(visit.home.context).found()
        assert (kept.half is not None) is still
    assert left == [True, True]
    room.enter()
    assert isinstance(window.page(), WeeksStartPage)
    visit.leave()
