"""The review of the diary that holds everything: no page, no opened figure shows a code."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from companion.exchange.files import diary_bytes
from companion.presentation.clinic.review import review_pages
from companion.presentation.home.record_view import Span
from companion.ui.clinic.clinic_page import ClinicPage
from companion.ui.clinic.review_more import _Spans
from companion.ui.kit.window import PageWindow
from tests.raw_codes import codes_in, on_page
from tests.tour_clinic import Desk
from tests.whole_diary import LAST_DAY, NAME, whole_diary


@pytest.fixture
def desk(qtbot: QtBot, tmp_path: Path) -> Iterator[Desk]:
    """The clinic's desk, the list empty."""
    window = PageWindow("Clinic")
    qtbot.addWidget(window)
    made = Desk(tmp_path / "data", window, LAST_DAY)
    made.clinic.show_people()
    window.show()
    yield made
    made.close()


def page_of(desk: Desk) -> ClinicPage:
    """The page on screen."""
    page = desk.page()
    assert isinstance(page, ClinicPage)
    return page


def _let_go() -> None:
    """Delete the pages before this one, which no event loop does here."""
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def test_no_page_of_the_review_shows_a_code(desk: Desk, tmp_path: Path) -> None:
    whole = whole_diary()
    path = tmp_path / f"{NAME}.homeknee"
    path.write_bytes(diary_bytes(whole))
    desk.take_in(path)
    texts = list(on_page(page_of(desk)))
    desk.clinic.open(whole.plan.person)
    answers = desk.answers()
    desk.window.hide()  # what is not painted is read as well
    texts += on_page(answers)
    for block in answers.blocks:
        for row in block.rows:
            row.click()
            texts += on_page(page_of(desk))
            desk.window.drop_sheet()
            _let_go()
    for shown in review_pages(whole.plans)[1:]:
        page_of(desk).way_chosen.emit(shown.name)
        _let_go()
        for side in whole.plan.sides:
            if hasattr(page := page_of(desk), "knee_wanted"):
                page.knee_wanted.emit(side)
                _let_go()
            texts += on_page(page := page_of(desk))
            if isinstance(page, _Spans):
                page.show_span(Span.ALL)
                texts += on_page(page)
    assert codes_in(texts) == []
