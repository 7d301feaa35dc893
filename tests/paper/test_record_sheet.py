"""The record in print: every row of it, headers on every page, the same bytes each time."""

import re
import subprocess
from datetime import timedelta
from pathlib import Path

import pytest

from companion.care.records import Outing, OutingKnee
from companion.exchange.files import read
from companion.paper.record_sheet import RecordSheet, record_sheet_pdf
from companion.presentation.home.record_tables import SECTIONS, section_tables
from companion.presentation.home.record_view import Span, record_view
from companion.presentation.view.chart import DaySpan
from companion.system.resources import demo_profiles
from tests.builders import START, DiaryBuilder
from tests.paper.diaries import eight_weeks, plan

LAST = START + timedelta(days=55)
pytestmark = pytest.mark.usefixtures("qapp")


def sheet(span: Span | DaySpan = Span.LAST_8_WEEKS, mark: str = "") -> RecordSheet:
    own, entries = eight_weeks()
    view = record_view(entries, [own], "right", span, LAST)
    parts = [t for s in SECTIONS for t in section_tables(s, entries, [own], "right", view.days)]
    return RecordSheet("K-90", mark, view, tuple(parts))


def pages(pdf: bytes, folder: Path) -> list[str]:
    path = folder / "record.pdf"
    path.write_bytes(pdf)
    done = subprocess.run(
        ["pdftotext", "-layout", str(path), "-"], capture_output=True, text=True, check=True
    )
    fonts = subprocess.run(["pdffonts", str(path)], capture_output=True, text=True, check=True)
    rows = fonts.stdout.splitlines()[2:]
    assert rows
    assert all(" yes " in row for row in rows), "every font is inside the file"
    return done.stdout.split("\f")[:-1]


@pytest.mark.parametrize("letter", [False, True])
def test_every_row_is_printed_under_its_headers(letter: bool, tmp_path: Path) -> None:
    printed = sheet()
    found = pages(record_sheet_pdf(printed, until=LAST, letter=letter), tmp_path)
    assert len(found) > 2
    words = "\n".join(found)
    for row in printed.view.table.rows:
        assert row[0] is not None
        assert row[0].split(" to ")[0] in words
    for part in printed.parts:
        assert (part.heading in words) is bool(part.table.rows)
    for number, page in enumerate(found, 1):
        assert f"Page {number} of {len(found)}" in page
        assert "K-90, Right knee" in page
        assert "Day" in page or number == 1, "the first may hold the charts alone"
    names = {"Day by day", *(part.heading for part in printed.parts)}
    for page in found[1:]:
        begins = [line.strip() for line in page.splitlines() if line.strip()][1]
        assert begins.endswith(", continued") or begins in names, "a table says which it is"


def test_no_month_is_left_alone_at_the_foot_of_a_page(tmp_path: Path) -> None:
    """In this diary of a demo person October would begin below the last day of a page."""
    diary = read(demo_profiles() / "osric" / "diary.homeknee").diary
    assert diary is not None
    until = max(entry.for_day for entry in diary.entries) + timedelta(days=1)
    view = record_view(diary.entries, diary.plans, "left", Span.ALL, until)
    printed = record_sheet_pdf(RecordSheet("K-90", "", view, ()), until=until, letter=True)
    for page in pages(printed, tmp_path):
        told = [line.strip() for line in page.splitlines() if line.strip()]
        assert not re.fullmatch(r"(\w+ )?2026", told[-2])


@pytest.mark.parametrize(("who", "letter"), [("tobin", False), ("edda", True)])
def test_no_table_begins_with_one_row_at_the_foot_of_a_page(
    who: str, letter: bool, tmp_path: Path
) -> None:
    """Routines of one and tape of the other began so, in the eight weeks of these demo people."""
    diary = read(demo_profiles() / who / "diary.homeknee").diary
    assert diary is not None
    until = max(entry.for_day for entry in diary.entries) + timedelta(days=1)
    view = record_view(diary.entries, diary.plans, "right", Span.LAST_8_WEEKS, until)
    parts = [
        table
        for section in SECTIONS
        for table in section_tables(section, diary.entries, diary.plans, "right", view.days)
    ]
    made = record_sheet_pdf(RecordSheet("K-90", "", view, tuple(parts)), until=until, letter=letter)
    rows = {part.heading: len(part.table.rows) for part in parts}
    begun = 0
    for page in pages(made, tmp_path):
        told = [line.strip() for line in page.splitlines() if line.strip()]
        for number, line in enumerate(told):
            if line in rows:
                begun += 1
                below = [one for one in told[number:] if re.match(r"\d+ [A-Z][a-z]{2}\b", one)]
                assert len(below) >= min(2, rows[line]), line
    assert begun >= 5


def test_the_mark_of_a_practice_plan_is_on_every_page(tmp_path: Path) -> None:
    marked = record_sheet_pdf(sheet(mark="Practice plan"), until=LAST)
    assert all("Practice plan" in page for page in pages(marked, tmp_path))


def test_picked_days_are_the_ones_printed(tmp_path: Path) -> None:
    days = DaySpan(START, START + timedelta(days=6))
    (first, *_) = pages(record_sheet_pdf(sheet(days), until=LAST), tmp_path)
    assert "7 days: 31 Aug to 6 Sep" in first
    assert "7 Sep" not in first.replace("31 Aug to 6 Sep", "")


def test_the_same_record_is_the_same_bytes() -> None:
    assert record_sheet_pdf(sheet(), until=LAST) == record_sheet_pdf(sheet(), until=LAST)


def test_an_empty_record_is_one_page_that_says_so(tmp_path: Path) -> None:
    view = record_view([], [plan()], "right", Span.LAST_14_DAYS, LAST)
    (only,) = pages(record_sheet_pdf(RecordSheet("K-90", "", view, ()), until=LAST), tmp_path)
    assert "No score in these days" in only


def test_words_nobody_can_break_still_have_their_place(tmp_path: Path) -> None:
    book = DiaryBuilder()
    book.page(0, 3)
    what_for = "harbour" * 10
    book.add(Outing, 0, knees=(OutingKnee(side="right"),), what_for=what_for, ended_because="done")
    view = record_view(book.entries, [plan()], "right", Span.ALL, book.day(1))
    parts = section_tables("tape", book.entries, [plan()], "right", view.days)
    (only,) = pages(
        record_sheet_pdf(RecordSheet("K-90", "", view, parts), until=book.day(1)), tmp_path
    )
    assert only.count("harbour") >= 5
