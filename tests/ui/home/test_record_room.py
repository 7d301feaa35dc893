"""My record in the window: each part, days of one's own, paper, and the way back."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from companion.presentation.home.record_tables import SECTIONS
from companion.presentation.home.record_view import Span
from companion.ui.home.front_page import FrontPage
from companion.ui.home.record_page import PickDaysPage, RecordPage, RecordPartPage
from companion.ui.kit.controls import ChoiceList
from companion.ui.kit.page import Page
from companion.ui.kit.table import DataTable
from companion.ui.kit.theme import LIGHT, Theme, apply
from tests.tour_visit import Visit, settle
from tests.ui.home.conftest import Visiting
from tests.ui.kit import accessibility, clipping


def record(visit: Visit) -> RecordPage:
    page = visit.page
    assert isinstance(page, RecordPage)
    return page


def entered(visiting: Visiting, name: str = "edda") -> Visit:
    visit = visiting(name)
    visit.through("record")
    if visit.key == "knee":
        visit.answer()
    return visit


def rows(page: Page) -> int:
    return sum(table.view.model().rowCount() for table in page.findChildren(DataTable))


def test_each_part_opens_and_leads_back(visiting: Visiting) -> None:
    visit = entered(visiting)
    for section in SECTIONS:
        record(visit).ways[section].click()
        assert isinstance(visit.page, RecordPartPage)
        assert visit.page.heading_text() == record_word(section)
        visit.back()
    visit.back()
    assert isinstance(visit.page, FrontPage)


def record_word(section: str) -> str:
    words = {
        "routines": "Routines",
        "tape": "Tape and outings",
        "activities": "Activities and days",
        "changes": "What was changed",
    }
    return words[section]


def test_another_span_stays_on_the_page_and_holds_for_its_parts(visiting: Visiting) -> None:
    visit = entered(visiting)
    page = record(visit)
    before = rows(page)
    page.ways["routines"].click()
    of_eight_weeks = rows(visit.page)
    visit.back()
    spans = record(visit).findChildren(ChoiceList)[0]
    spans.rows[0].click()
    assert spans.value() is Span.LAST_14_DAYS
    assert record(visit) is spans.window().page()  # type: ignore[attr-defined]
    assert rows(visit.page) < before
    record(visit).ways["routines"].click()
    assert rows(visit.page) < of_eight_weeks


def test_days_of_ones_own_are_shown_and_a_fault_is_told_in_place(visiting: Visiting) -> None:
    visit = entered(visiting)
    record(visit).ways["pick"].click()
    page = visit.page
    assert isinstance(page, PickDaysPage)
    assert page.main is not None
    QTest.keyClicks(page.first.focusProxy() or page.first, "99.9.")
    page.main.click()
    assert visit.page is page
    assert "That is no day" in page.reading_text()
    page.first.set_text("2.11.2026")
    page.last.set_text("8.11.2026")
    page.main.click()
    assert "7 days: 2 Nov to 8 Nov" in record(visit).reading_text()
    assert record(visit).findChildren(ChoiceList)[0].value() is None
    record(visit).ways["tape"].click()
    assert "2 Nov to 8 Nov" in visit.page.reading_text()


def test_printing_says_where_it_is(visiting: Visiting) -> None:
    visit = entered(visiting)
    record(visit).ways["print"].click()
    assert "record-right.pdf" in visit.page.reading_text()


def test_stop_is_on_every_page_of_the_record(visiting: Visiting) -> None:
    visit = entered(visiting)
    record(visit).ways["tape"].click()
    visit.stop()
    assert visit.key.startswith("stop")


@pytest.mark.parametrize("percent", [100, 200])
def test_nothing_is_clipped_and_everything_has_a_name(
    percent: int, visiting: Visiting, qapp: QApplication
) -> None:
    apply(qapp, Theme(LIGHT, percent))
    visit = entered(visiting, "tobin")
    for way in ("", *SECTIONS, "pick"):
        if way:
            record(visit).ways[way].click()
        settle()
        page = visit.page
        assert clipping.faults(page) == [], way
        assert clipping.overlaps(page) == [], way
        assert accessibility.faults(page) == [], way
        if way:
            visit.back()


def test_a_row_of_the_record_opens_its_day(visiting: Visiting) -> None:
    """By a click and by Enter; a row of days with nothing leads nowhere."""
    visit = entered(visiting)
    view = record(visit).findChildren(DataTable)[0].view
    nothing = [n for n, day in enumerate(record(visit)._row_days) if day is None]
    view.clicked.emit(view.model().index(nothing[0], 0))
    assert isinstance(visit.page, RecordPage)
    row = next(n for n, day in enumerate(record(visit)._row_days) if day is not None)
    day = view.model().index(row, 0).data()
    view.clicked.emit(view.model().index(row, 0))
    assert visit.key == "correct_entry"
    assert day.split()[0] in visit.page.heading_text()
    visit.back()
    view = record(visit).findChildren(DataTable)[0].view
    view.setFocus()
    view.setCurrentIndex(view.model().index(row, 0))
    QTest.keyClick(view, Qt.Key.Key_Return)
    assert visit.key == "correct_entry"
    visit.back()
    assert isinstance(visit.page, RecordPage)
