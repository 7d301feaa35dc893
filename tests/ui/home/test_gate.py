"""The gate and its rows in the window: presses and words counted, the end in sight, Enter."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget

from companion.care.records import KnownSign, Plan, StepDone, WarningSign
from companion.ui.home.front_page import FrontPage
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.buttons import Pressable, UrgentRow
from companion.ui.kit.controls import ChoiceList, LevelGroup
from companion.ui.kit.page import Page
from companion.ui.kit.text import WrappedText
from companion.ui.kit.window import PageWindow
from tests.builders import DAY, at, session
from tests.care.content import CATALOGUE
from tests.care.walking import taught_plan
from tests.tour_visit import settle
from tests.ui.home.bad_days import BadDay, begun

FACTS = {fact.id: fact.value for fact in CATALOGUE.facts.rows}
DONE = session(9, 7, 3, full_list=True, exercises=(StepDone(step="quad_set", outcome="done"),))
"""A routine of yesterday, with every sign read: the gate asks how the knee took it."""


@pytest.fixture
def visit(window: PageWindow, tmp_path: Path) -> Iterator[BadDay]:
    made = begun(tmp_path / "diary", window, DONE, day=DAY + timedelta(days=10))
    yield made
    made.leave()


def at_gate(visit: BadDay) -> AskingPage:
    visit.through("routine")
    settle()
    page = visit.page
    assert isinstance(page, AskingPage)
    assert page.view.key == "gate"
    return page


def in_sight(page: Page, part: QWidget) -> bool:
    seen = part.visibleRegion().boundingRect()
    return seen.height() >= part.height() - 1 and page.isVisible()


def press(page: Page, key: Qt.Key) -> None:
    handle = page.window().windowHandle()
    assert handle is not None
    QTest.keyClick(handle, key)
    settle()


# ------------------------------------------------------------ how long it takes


def test_nothing_new_takes_about_forty_seconds_and_a_press_for_each_question(
    visit: BadDay,
) -> None:
    """Words read once each at the stated rate, and every press (facts: gate_seconds,
    reading_words_a_minute, seconds_a_press)."""
    page = at_gate(visit)
    told = [part.text() for part in page.findChildren(WrappedText) if part.isVisible()]
    pressed = [part.word for part in (*page.column.findChildren(Pressable), page.main) if part]
    lines = dict.fromkeys([*told, *pressed])  # "No" is read once, not four times
    words = sum(len(line.split()) for line in lines)
    lists = page.column.findChildren(ChoiceList)
    presses = len(lists) + 1  # and Next
    assert presses == 4 + 1 + 1
    rate, press_seconds = (
        float(FACTS[name] or 0) for name in ("reading_words_a_minute", "seconds_a_press")
    )
    seconds = words * 60 / rate + presses * press_seconds
    print(f"{words} words, {presses} presses, {seconds:.0f} s")
    assert seconds <= float(FACTS["gate_seconds"] or 0)
    visit.answer()
    assert visit.key == "rest_pain", "four times no is one page"


def test_by_keyboard_a_figure_answers_and_tab_goes_on(visit: BadDay) -> None:
    page = at_gate(visit)
    lists = page.column.findChildren(ChoiceList)
    for number, rows in enumerate(lists):
        press(page, Qt.Key.Key_2 if number < 4 else Qt.Key.Key_1)
        assert rows.value() is not None
        press(page, Qt.Key.Key_Tab)
    assert [rows.value() for rows in lists] == ["no"] * 4 + ["same"]


def test_enter_answers_nothing_at_the_gate(visit: BadDay) -> None:
    page = at_gate(visit)
    for rows in page.column.findChildren(ChoiceList):
        rows.rows[0].setFocus()
        press(page, Qt.Key.Key_Return)
        assert rows.value() is None
    assert visit.key == "gate"
    assert "Choose an answer first." in visit.words


# ------------------------------------------------------------ the end in sight


def to_rows(visit: BadDay) -> AskingPage:
    at_gate(visit)
    visit.answer({"q2": "yes"})
    settle()
    page = visit.page
    assert isinstance(page, AskingPage)
    assert page.view.key == "list:1"
    return page


def test_none_of_these_is_said_only_with_the_end_in_sight(
    visit: BadDay, window: PageWindow
) -> None:
    page = to_rows(visit)
    (rest,) = page.column.findChildren(ChoiceList)
    assert page.main is not None
    assert not in_sight(page, rest)
    assert not in_sight(page, page.main)
    press(page, Qt.Key.Key_1)
    assert rest.value() is None, "no figure answers what is below"
    press(page, Qt.Key.Key_Return)
    assert visit.key == "list:1", "Enter ends it only on its button"
    press(page, Qt.Key.Key_End)
    assert in_sight(page, page.main)
    press(page, Qt.Key.Key_1)
    assert rest.value() == "none"
    page.main.setFocus()
    press(page, Qt.Key.Key_Return)
    assert visit.key == "list:1:none"


def test_nothing_ticked_and_nothing_said_keeps_the_page(visit: BadDay) -> None:
    page = to_rows(visit)
    assert page.main is not None
    page.main.click()
    assert visit.key == "list:1"
    visit.answer({"signs": (), "rest": "not_sure"})
    assert visit.key == "list:1:not_sure_fall:card"
    assert [one.sign for one in visit.written(WarningSign)] == ["not_sure_fall"]


def test_every_level_has_a_look_of_its_own(visit: BadDay) -> None:
    page = to_rows(visit)
    groups = page.column.findChildren(LevelGroup)
    levels = [group.level for group in groups]
    assert levels == ["emergency", "today", "call"]
    tops = [group.mapTo(page.column, group.rect().topLeft()) for group in groups]
    assert tops == sorted(tops, key=lambda top: (top.x(), top.y())), "the gravest first"


# ------------------------------------------------------------ Stop, known signs


def test_stop_has_help_one_press_away_and_its_button_takes_enter(visit: BadDay) -> None:
    at_gate(visit)
    visit.stop()
    settle()
    page = visit.page
    (row,) = page.column.findChildren(UrgentRow)
    assert in_sight(page, row)
    press(page, Qt.Key.Key_Return)
    assert visit.key == "stop:1", "not from the heading, where F9 leads"
    press(page, Qt.Key.Key_Tab)
    assert row.hasFocus()
    press(page, Qt.Key.Key_Return)
    assert visit.key == "stop:1:help_now:card"
    assert [one.sign for one in visit.written(WarningSign)] == ["help_now"]
    visit.answer()
    assert isinstance(visit.page, FrontPage)


def known_plan() -> Plan:
    since = at(0).date()
    known = tuple(KnownSign(sign=sign, since=since) for sign in ("stiff_mornings", "lump"))
    return taught_plan(known_signs=known)


def test_known_signs_are_one_page_of_three_answers_each(window: PageWindow, tmp_path: Path) -> None:
    visit = begun(tmp_path / "diary", window, DONE, day=DAY + timedelta(days=10), plan=known_plan())
    at_gate(visit)
    visit.answer()
    assert visit.key == "known"
    lists = visit.page.column.findChildren(ChoiceList)
    assert [len(rows.rows) for rows in lists] == [3, 3]
    visit.answer({"stiff_mornings": "as_before", "lump": "worse"})
    assert visit.key == "list:1:lump:card"
    visit.leave()
