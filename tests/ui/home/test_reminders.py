"""Reminders in the window: on the front page, over a calm page, never over what is under way."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPlainTextEdit

from companion.app.home_window import _attend
from companion.app.looks import Looks
from companion.ui.home.front_page import FrontPage
from companion.ui.home.reminders import LOOK_EVERY_MS, Reminders
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.buttons import ActionRow
from companion.ui.kit.controls import PainScale
from companion.ui.kit.voice import ReadingAloud
from companion.ui.kit.window import PageWindow
from tests.builders import DAY, page, tape_on
from tests.tour_visit import settle
from tests.ui.home.bad_days import BadDay, begun
from tests.ui.kit import accessibility, clipping


@dataclass
class Reminded:
    """A visit with reminders; `alerts` counts how often the window asked to be looked at."""

    visit: BadDay
    window: PageWindow
    reminders: Reminders
    wanted: bool = True
    alerts: list[PageWindow] = field(default_factory=list)

    def look(self, **later: float) -> None:
        self.visit.put_clock(**later)
        self.reminders.look()

    @property
    def sheet(self) -> str:
        shown = self.window.sheet()
        return "" if shown is None else shown.reading_text()

    def press(self, word: str) -> None:
        shown = self.window.sheet()
        assert shown is not None
        (row,) = [row for row in shown.findChildren(ActionRow) if row.word == word]
        row.click()


Beginning = Callable[..., Reminded]


@pytest.fixture
def reminded(window: PageWindow, tmp_path: Path) -> Iterator[Beginning]:
    """A visit at 18:00 with tape that is due at 21:00, and reminders that look when told to."""
    made: list[Reminded] = []

    def begin() -> Reminded:
        # By the clock of the machine, as the visit's: whatever zone that is.
        put_on = datetime.combine(DAY - timedelta(days=1), time(22)).astimezone()
        visit = begun(tmp_path / "diary", window, tape_on(put_on), page(0, pain_average=3))
        alerts: list[PageWindow] = []
        reminders = Reminders(window, visit.home, lambda: one.wanted, alert=alerts.append)
        reminders.stop()
        one = Reminded(visit, window, reminders, alerts=alerts)
        made.append(one)
        return one

    yield begin
    for one in made:
        one.visit.leave()


def test_it_looks_by_itself_and_stops_when_told(window: PageWindow, tmp_path: Path) -> None:
    visit = begun(tmp_path / "diary", window)
    reminders = Reminders(window, visit.home, lambda: True)
    (timer,) = reminders.findChildren(QTimer)
    assert timer.isActive()
    assert 30_000 <= timer.interval() == LOOK_EVERY_MS <= 60_000
    reminders.stop()
    assert not timer.isActive()
    visit.leave()


def test_the_front_page_says_anew_what_is_due_and_keeps_the_door_in_focus(
    reminded: Beginning,
) -> None:
    one = reminded()
    before = one.visit.page
    one.look(minutes=1)
    assert one.visit.page is before, "nothing new to say"
    one.visit.home.note(lambda: "No copy could be made.", mend=False)
    before = one.visit.page
    one.look()
    assert one.visit.page is before, "what is said of the diary is not news each time"
    assert isinstance(before, FrontPage)
    before.doors["record"].setFocus()
    one.look(hours=3)
    after = one.visit.page
    assert isinstance(after, FrontPage)
    assert "Your tape is due off now." in after.reading_text()
    assert after.doors["record"].hasFocus()
    assert one.sheet == ""
    assert len(one.alerts) == 1
    one.look(minutes=5)
    assert len(one.alerts) == 1
    one.look(minutes=10)
    assert len(one.alerts) == 2, "again after a quarter of an hour"


@pytest.mark.parametrize("wanted", [True, False])
def test_it_rings_where_a_sound_is_wanted(
    reminded: Beginning, monkeypatch: pytest.MonkeyPatch, wanted: bool
) -> None:
    rung: list[bool] = []
    monkeypatch.setattr(QApplication, "beep", lambda: rung.append(True))
    one = reminded()
    reminders = Reminders(
        one.window, one.visit.home, lambda: True, alert=lambda _window: None, rings=lambda: wanted
    )
    reminders.stop()
    one.visit.put_clock(hours=3)
    reminders.look()
    assert rung == [True] * wanted


def test_over_a_calm_page_it_lies_once_and_later_goes_back(reminded: Beginning) -> None:
    one = reminded()
    one.visit.through("settings")
    shown = one.visit.page
    one.look(hours=3)
    assert "Your tape is due off now." in one.sheet
    assert len(one.alerts) == 1
    # Whoever was about to press Enter, Space or a figure presses nothing here.
    for key in (Qt.Key.Key_Return, Qt.Key.Key_Space, Qt.Key.Key_5):
        QTest.keyClick(one.window.focusWidget(), key)
    assert one.sheet
    one.press("Later")
    assert one.visit.page is shown
    one.look(minutes=5)
    assert "Your tape" not in one.sheet
    if one.sheet:
        one.press("Later")
    one.look(minutes=10)
    assert "Your tape is due off now." in one.sheet, "later is no never"


def test_it_leads_to_the_tape(reminded: Beginning) -> None:
    one = reminded()
    one.visit.through("visit")
    one.look(hours=3)
    one.press("Go to the tape")
    assert one.visit.key == "tape_room"


def test_one_after_the_other(reminded: Beginning) -> None:
    one = reminded()
    one.visit.through("settings")
    one.look(hours=3)
    one.press("Later")
    one.look()
    assert "Your routine is still open for today." in one.sheet
    one.press("Later")
    one.look()
    assert one.sheet == ""


def test_what_is_being_done_is_not_reminded_of(reminded: Beginning) -> None:
    one = reminded()
    one.visit.through("tape")
    one.visit.answer(press="Take the tape off")
    one.look(hours=3)
    assert "Your tape" not in one.sheet


def test_an_answer_half_given_is_never_covered(reminded: Beginning) -> None:
    one = reminded()
    one.visit.through("routine")
    one.visit.walk(until=("rest_pain",))
    scale = one.visit.page.findChildren(PainScale)[0]
    scale.boxes[4].click()
    one.look(hours=3)
    assert one.sheet == ""
    assert scale.value() == 4
    # It waits, and comes on the next page that is calm.
    one.visit.page.main.click()  # type: ignore[union-attr]
    one.reminders.look()
    assert "Your tape is due off now." in one.sheet


def test_a_page_with_nothing_answered_yet_keeps_its_question(reminded: Beginning) -> None:
    one = reminded()
    one.visit.through("routine")
    one.visit.walk(until=("rest_pain",))
    asked = one.visit.page
    one.look(hours=3)
    one.press("Later")
    assert one.visit.page is asked
    assert asked.isVisible()


def test_typing_is_never_covered(reminded: Beginning) -> None:
    one = reminded()
    one.visit.through("visit")
    one.visit.answer(press="Write a question for the clinic")
    (field_of_words,) = one.visit.page.findChildren(QPlainTextEdit)
    field_of_words.setFocus()
    one.look(hours=3)
    assert one.sheet == "", "before the first letter"
    QTest.keyClicks(field_of_words, "May I kneel?")
    one.visit.page.heading.setFocus()
    one.look()
    assert one.sheet == "", "with words in it"


@pytest.mark.parametrize("until", ["gate", "hands"])
def test_the_stop_list_a_card_and_a_step_are_never_covered(until: str, reminded: Beginning) -> None:
    one = reminded()
    if until == "gate":
        one.visit.stop()
        one.look(hours=3)
        assert one.sheet == "", one.visit.key
        one.visit.answer({"about": "3"})
        one.look()
        assert one.sheet == "", one.visit.key
        one.visit.answer()
        one.look()
        assert one.sheet == "", one.visit.key
        one.visit.answer({"signs": ("knee_stuck",)})
        while one.visit.key.startswith("stop"):
            one.reminders.look()
            assert one.sheet == "", one.visit.key
            one.visit.answer()
    else:
        one.visit.through("routine")
        one.visit.walk(until=("exercise:",))
        view = one.visit.page.view if isinstance(one.visit.page, AskingPage) else None
        assert view is not None
        assert view.key.startswith("exercise")
        one.look(hours=3)
        assert one.sheet == ""


def test_off_in_settings_is_off_but_the_front_page_stays_true(reminded: Beginning) -> None:
    one = reminded()
    one.wanted = False
    one.look(hours=3)
    assert "Your tape is due off now." in one.visit.words
    assert one.alerts == []
    one.visit.through("settings")
    one.reminders.look()
    assert one.sheet == ""


def test_a_sheet_that_lies_there_is_left_alone(reminded: Beginning) -> None:
    one = reminded()
    one.visit.through("settings")
    help_button = one.visit.page.bar.help
    assert help_button is not None
    help_button.click()
    help_sheet = one.window.sheet()
    one.look(hours=3)
    assert one.window.sheet() is help_sheet


def test_a_new_day_turns_the_front_page(reminded: Beginning) -> None:
    one = reminded()
    one.look(hours=9, minutes=30)
    assert "Tuesday 3 March" in one.visit.words


def test_the_sheet_is_whole_and_told(reminded: Beginning) -> None:
    one = reminded()
    one.visit.through("settings")
    one.look(hours=3)
    settle()
    shown = one.window.sheet()
    assert shown is not None
    assert clipping.faults(shown) + clipping.overlaps(shown) + accessibility.faults(shown) == []


def test_the_program_attends_to_both_after_the_first_paint(
    window: PageWindow, tmp_path: Path, qapp: QApplication
) -> None:
    visit = begun(tmp_path / "diary", window)
    looks = Looks(qapp, tmp_path / "diary")
    _attend(window, visit.home, looks)
    (reminders,) = window.findChildren(Reminders)
    (timer,) = reminders.findChildren(QTimer)
    assert timer.isActive()
    assert len(window.findChildren(ReadingAloud)) == 1
    qapp.aboutToQuit.emit()
    assert not timer.isActive()
    visit.leave()
