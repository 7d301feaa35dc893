"""The stage of a helper: what is read from two metres, and what alone goes on from it."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QFontMetricsF
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from companion.care.records import TapeOn
from companion.presentation.view import page as view
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.buttons import MainButton
from companion.ui.kit.knee_picture import KneePicture
from companion.ui.kit.step_clock import StepClock
from companion.ui.kit.theme import Theme, Type, apply, current, grown
from companion.ui.kit.window import PageWindow
from tests.tour_visit import DemoPerson, Visit, settle
from tests.ui.home.bad_days import BadDay, begun


@pytest.fixture
def visit(window: PageWindow, tmp_path: Path) -> BadDay:
    """A helper’s evening, at the first step of the hands."""
    window.resize(1366, 768)
    shown = begun(tmp_path, window)
    shown.through("settings")
    shown.answer({"room": "who"})
    shown.answer({"who": "helper"})
    shown.home.show_front()
    shown.through("routine")
    shown.walk(until=("step:1:1",))
    settle()
    return shown


@pytest.fixture
def taping(window: PageWindow, tmp_path: Path) -> Visit:
    """A helper who lays tape, at the first page of it."""
    window.resize(1366, 768)
    visit = Visit(DemoPerson("edda", tmp_path), window, lambda _name, _page: None)
    visit.start()
    visit.through("settings")
    visit.answer({"room": "who"})
    visit.answer({"who": "helper"})
    visit.back()
    visit.through("tape")
    visit.walk(until=("tape:",))
    settle()
    return visit


def page_of(visit: Visit) -> AskingPage:
    assert isinstance(visit.page, AskingPage)
    return visit.page


def test_nothing_else_stands_on_it(visit: BadDay) -> None:
    page = page_of(visit)
    pictured, counting, folded = page.view.blocks
    assert isinstance(pictured, view.TwoColumns)
    aloud, how_hard = pictured.blocks
    assert isinstance(aloud, view.Text)
    assert "Say stop if it hurts" in aloud.text
    assert "Stop above 5" in aloud.text
    assert isinstance(how_hard, view.Text)
    assert "pressure" in how_hard.text
    assert isinstance(counting, view.Counting)
    assert isinstance(folded, view.Folded)
    assert [button.text for button in page.view.others] == ["It hurts"]
    assert page.heading_text().startswith("Right knee: ")
    assert page.scroll_bar().maximum() == 0
    visit.leave()


@pytest.mark.parametrize(("width", "height"), [(1024, 600), (1366, 768), (1920, 1080)])
def test_the_picture_has_70_per_cent_of_the_height(visit: BadDay, width: int, height: int) -> None:
    visit.window.resize(width, height)
    settle()
    page = page_of(visit)
    picture = page.findChild(KneePicture)
    assert picture is not None
    # As it is drawn: where the column is narrow that is less than the room it is given.
    drawn = min(picture.height(), picture.full_height(picture.width()))
    assert drawn >= 0.7 * height
    visit.leave()


def test_space_enter_and_the_bar_go_on_and_nothing_else(visit: BadDay) -> None:
    page = page_of(visit)
    clock, picture = page.findChild(StepClock), page.findChild(KneePicture)
    assert clock is not None
    assert picture is not None
    assert page.main is not None
    for key in (Qt.Key.Key_A, Qt.Key.Key_5, Qt.Key.Key_Right, Qt.Key.Key_PageDown):
        QTest.keyClick(page, key)
    QTest.mouseClick(picture, Qt.MouseButton.LeftButton)
    assert not clock.is_begun()
    for key in (Qt.Key.Key_Space, Qt.Key.Key_Return):
        running = clock.is_running()
        QTest.keyClick(page, key)
        assert clock.is_running() is not running
    QTest.mouseClick(page.main, Qt.MouseButton.LeftButton)
    assert clock.is_running()
    visit.leave()


SIZES = ((1024, 600), (1366, 768), (1920, 1080))
MM_A_PIXEL = 15.6 * 25.4 / (1366**2 + 768**2) ** 0.5
"""On a screen of 15.6 inches with 1366 by 768 pixels (arithmetic)."""


def seen_of(page: AskingPage, widget: QWidget) -> float:
    """The share of a widget's height that is in sight and under nothing."""
    assert page.main is not None
    top = widget.mapTo(page, QPoint(0, 0)).y()
    left, right = (widget.mapTo(page, QPoint(x, 0)).x() for x in (0, widget.width()))
    end = page.bar.mapTo(page, QPoint(0, 0)).y()
    for over in (page.main, page.findChild(StepClock)):
        if over is not None and not isinstance(widget, MainButton | StepClock):
            at = over.mapTo(page, QPoint(0, 0))
            if left < at.x() + over.width() and right > at.x():
                end = min(end, at.y())
    begin = page.column.mapTo(page, QPoint(0, page.scroll_bar().value())).y()
    return (min(top + widget.height(), end) - max(top, begin)) / max(widget.height(), 1)


def hidden(page: AskingPage, width: int, height: int, percent: int) -> list[str]:
    """What of picture, verb and answer is not seen whole as the page comes."""
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    apply(app, Theme(current().palette, grown(percent, width, height)))
    page.window().resize(width, height)
    settle()
    page.scroll_bar().setValue(0)
    picture, clock = page.findChild(KneePicture), page.findChild(StepClock)
    looked = {"verb": page.heading, "picture": picture, "answer": page.main, "clock": clock}
    where = f"{width}x{height} {percent}% {page.heading_text()}"
    faults = [
        f"{where}: {name}"
        for name, widget in looked.items()
        if widget is not None and seen_of(page, widget) < 1
    ]
    assert picture is not None
    drawn = min(picture.height(), picture.full_height(picture.width()))
    return [*faults, *([f"{where}: small"] if drawn < height * 0.35 else [])]


@pytest.mark.parametrize("percent", [100, 150, 200, 300, 400])
def test_picture_verb_and_answer_are_seen_at_every_size(
    visit: BadDay, qapp: QApplication, percent: int
) -> None:
    """At 1366 by 768 and 200 % nothing but "Right knee:" was, at 1024 by 600 no picture."""
    page = page_of(visit)
    faults = [one for size in SIZES for one in hidden(page, *size, percent)]
    visit.count_out()
    faults += [one for size in SIZES for one in hidden(page, *size, percent)]
    apply(qapp, Theme())
    visit.leave()
    assert faults == []


def test_tape_is_laid_on_a_stage_too(taping: Visit, qapp: QApplication) -> None:
    """It was pages of sentences with four small pictures each, one heading in letters of 6 mm."""
    faults, headings = [], []
    while taping.key.startswith("tape:"):
        page = page_of(taping)
        for size, percent in ((SIZES[0], 200), (SIZES[1], 200), (SIZES[1], 100)):
            if view.is_stage(page.view):
                faults += hidden(page, *size, percent)
        laid = any(button.hurts for button in page.view.others)
        while laid:
            headings.append(page.heading_text().replace("\u00a0", " "))
            picture, metrics = page.findChild(KneePicture), page.heading.kind()
            assert picture is not None
            assert picture.height() >= 0.7 * page.window().height()
            capital = QFontMetricsF(current().font(metrics)).capHeight() * MM_A_PIXEL
            assert metrics is Type.STAGE
            assert capital >= 12
            assert page.main is not None
            if not page.shows_next_moment():
                break
            QTest.keyClick(page, Qt.Key.Key_Space)
            settle()
        taping.answer()
    apply(qapp, Theme())
    assert faults == []
    assert headings == [
        *(
            f"Right knee, strip {strip}: {verb}"
            for strip in ("1, inner side", "2, outer side")
            for verb in ("stick the first end", "draw the skin", "lay down", "lay the last end")
        ),
        "Right knee: rub the tape",
        "Right knee: bend the knee",
    ]
    taping.leave()


def test_of_tape_too_nothing_else_stands_there_and_nothing_else_goes_on(taping: Visit) -> None:
    while "strip" not in page_of(taping).heading_text():
        taping.answer()
    settle()
    page = page_of(taping)
    aloud, moments = page.view.blocks
    assert isinstance(aloud, view.Text)
    assert "Say stop if it hurts" in aloud.text
    assert "1 or more" in aloud.text
    assert isinstance(moments, view.Moments)
    hurts, stop = page.bar.beside_stop, page.bar.stop
    assert hurts is not None
    assert stop is not None
    assert hurts.word == "It hurts"
    assert hurts.height() == stop.height()
    assert hurts.word_type == stop.word_type
    first, picture = page.heading_text(), page.findChild(KneePicture)
    assert picture is not None
    for key in (Qt.Key.Key_A, Qt.Key.Key_5, Qt.Key.Key_Right, Qt.Key.Key_PageDown):
        QTest.keyClick(page, key)
    QTest.mouseClick(picture, Qt.MouseButton.LeftButton)
    assert page.heading_text() == first
    seen = [first]
    assert page.main is not None
    QTest.keyClick(page, Qt.Key.Key_Space)
    seen.append(page.heading_text())
    QTest.keyClick(page, Qt.Key.Key_Return)
    seen.append(page.heading_text())
    QTest.mouseClick(page.main, Qt.MouseButton.LeftButton)
    seen.append(page.heading_text())
    assert len(set(seen)) == 4
    QTest.keyClick(page, Qt.Key.Key_Escape)
    assert page.heading_text() == seen[2]
    assert taping.page is page
    taping.leave()


def test_it_hurts_takes_what_was_laid_off_and_writes_no_tape(taping: Visit) -> None:
    while "strip" not in page_of(taping).heading_text():
        taping.answer()
    taping.answer(press="It hurts")
    assert page_of(taping).heading_text() == "Take the new tape off"
    taping.answer()
    assert not taping.key.startswith("tape")
    assert taping._journal is not None
    assert not [
        entry
        for entry in taping._journal.entries()
        if isinstance(entry, TapeOn) and entry.for_day == taping.day
    ]
    taping.leave()
