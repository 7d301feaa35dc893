"""What the person saves from Home to a place they pick: the record on paper, the calendar file."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog

from companion.app.outside import save_calendar, save_record
from companion.presentation.home.record_view import Span
from companion.ui.kit.window import PageWindow
from tests.care.made import at, page, tape_on
from tests.ui.home.bad_days import BadDay, begun


@pytest.fixture
def picking(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    """Let the next save dialog give this name; "" is a dialog that was closed."""

    def pick(name: str) -> None:
        monkeypatch.setattr(
            QFileDialog, "getSaveFileName", staticmethod(lambda *_args, **_named: (name, ""))
        )

    return pick


def visit_of(folder: Path, window: PageWindow) -> BadDay:
    return begun(folder / "diary", window, page(0, pain_average=3), tape_on(at(0, 9)))


def test_the_record_is_a_pdf_where_it_was_wanted(
    window: PageWindow, tmp_path: Path, picking: Callable[[str], None]
) -> None:
    visit = visit_of(tmp_path, window)
    target = tmp_path / "record.pdf"
    picking(str(target))
    said = save_record(window, visit.home.context, "right", Span.LAST_14_DAYS)
    assert said == "Saved as record.pdf."
    assert target.read_bytes().startswith(b"%PDF")
    visit.leave()


def test_the_calendar_is_a_calendar_file(
    window: PageWindow, tmp_path: Path, picking: Callable[[str], None]
) -> None:
    visit = visit_of(tmp_path, window)
    target = tmp_path / "knee.ics"
    picking(str(target))
    assert save_calendar(window, visit.home.context) == "Saved as knee.ics."
    # The first and last lines of an iCalendar object, ended by CRLF: RFC 5545, 3.1 and 3.4 (F).
    data = target.read_bytes()
    assert data.startswith(b"BEGIN:VCALENDAR\r\n")
    assert data.endswith(b"END:VCALENDAR\r\n")
    assert b"Take tape off: right knee" in data
    visit.leave()


def test_a_closed_dialog_saves_nothing_and_a_bad_place_is_said(
    window: PageWindow, tmp_path: Path, picking: Callable[[str], None]
) -> None:
    visit = visit_of(tmp_path, window)
    context = visit.home.context
    picking("")
    assert save_record(window, context, "right", Span.ALL) is None
    assert save_calendar(window, context) is None
    picking(str(tmp_path / "no" / "such" / "folder.ics"))
    said = save_calendar(window, context)
    assert said is not None
    assert "It could not be saved there" in said
    assert "Nothing is lost." in said
    visit.leave()
