"""What the person saves from Home to a place they pick: the record on paper, the calendar file."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog

from companion.app import saving
from companion.app.outside import save_calendar, save_record, write_visit
from companion.exchange.files import read
from companion.presentation.home.record_view import Span
from companion.presentation.home.saving_pages import ELSEWHERE
from companion.ui.kit.window import PageWindow
from tests.builders import at, page, tape_on
from tests.ui.home.bad_days import BadDay, begun

WINDOW_IS_SHOWN = False


@pytest.fixture
def picking(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    """Let the next save dialog give this name; "" is a dialog that was closed."""

    def pick(name: str) -> None:
        monkeypatch.setattr(
            QFileDialog, "getSaveFileName", staticmethod(lambda *_args, **_named: (name, ""))
        )
        elsewhere = {"place": ELSEWHERE}
        monkeypatch.setattr(
            saving, "ask_over", lambda _, view: elsewhere if view.key == "where_to" else None
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
    assert save_record(window, visit.home.context, "right", Span.LAST_14_DAYS) is None
    assert target.read_bytes().startswith(b"%PDF")
    visit.leave()


def test_a_visit_saves_the_diary_and_the_summary(window: PageWindow, tmp_path: Path) -> None:
    visit = visit_of(tmp_path, window)
    out = tmp_path / "stick"
    out.mkdir()
    said = write_visit(visit.home.context, out)
    names = sorted(path.name for path in out.iterdir())
    assert [name.split("-")[0] for name in names] == ["diary", "visit"]
    assert all(name in said for name in names)
    visit.leave()


@pytest.mark.parametrize("fault", [KeyError("a code without a word"), OSError(28, "No space")])
def test_a_summary_that_fails_keeps_no_diary_from_the_clinic(
    window: PageWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fault: Exception
) -> None:
    """What the clinic can make itself is never in the way of what only the home has."""

    def fails(*_: object, **__: object) -> bytes:
        raise fault

    monkeypatch.setattr("companion.paper.visit_summary.visit_summary_pdf", fails)
    visit = visit_of(tmp_path, window)
    out = tmp_path / "stick"
    out.mkdir()
    said = write_visit(visit.home.context, out)
    (only,) = out.iterdir()
    kept = read(only).diary
    assert kept is not None
    written = visit.home.context.journal.diary().entries
    assert {entry.id: entry for entry in kept.entries} == {entry.id: entry for entry in written}
    assert only.name in said
    assert "could not be made" in said
    log = (tmp_path / "diary" / "log.txt").read_text(encoding="utf-8")
    assert f"visit summary: {type(fault).__name__}" in log
    assert "a code without a word" not in log
    visit.leave()


def test_a_diary_that_cannot_be_written_says_so(window: PageWindow, tmp_path: Path) -> None:
    visit = visit_of(tmp_path, window)
    assert "could not be saved there" in write_visit(visit.home.context, tmp_path / "gone")
    visit.leave()


def test_the_calendar_is_a_calendar_file(
    window: PageWindow, tmp_path: Path, picking: Callable[[str], None]
) -> None:
    visit = visit_of(tmp_path, window)
    target = tmp_path / "knee.ics"
    picking(str(target))
    assert save_calendar(window, visit.home.context) is None
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
