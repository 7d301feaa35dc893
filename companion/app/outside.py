"""What lies outside the window: files a person picks, pages saved for print, other windows.

Whatever lets the person pick something gives None when nothing was picked, and a sentence where
it went wrong or to say where it was put.
"""

from __future__ import annotations

import subprocess
import sys
from datetime import date
from pathlib import Path

from PySide6.QtCore import QLocale
from PySide6.QtWidgets import QApplication, QFileDialog

from companion.care.catalogue import Catalogue
from companion.care.records import Diary, Plan, Side
from companion.presentation.home.home_pages import told_view
from companion.presentation.home.record_view import Span
from companion.presentation.language.phrases import phrase
from companion.presentation.language.said import said_words
from companion.presentation.language.troubles import (
    not_saved_words,
    refusal_words,
    saved_words,
)
from companion.presentation.view.chart import DaySpan
from companion.services.context import Context
from companion.services.saving import save_file
from companion.services.trouble import Trouble
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.window import PageWindow

PRACTICE_PERSON = "edda"


def tell_and_end(window: PageWindow, application: QApplication, sentence: str) -> None:
    """Show why there is no diary, and end when that was read."""
    page = AskingPage(told_view(phrase("The diary cannot be opened"), sentence))
    page.given.connect(application.quit)
    window.show_page(page)
    window.show()
    application.exec()


def pick_plan(window: PageWindow, context: Context) -> Plan | Diary | str | None:
    """Let the person pick a plan file; what is in it, the sentence why not, or None."""
    name, _ = QFileDialog.getOpenFileName(window, phrase("Open your plan file"))
    return read_plan(Path(name), context) if name else None


def pick_diary(window: PageWindow, context: Context) -> Diary | str | None:
    """Let the person pick a diary file; the diary, the sentence why not, or None."""
    return pick_diary_file(window, context.clock.today())


def pick_diary_file(window: PageWindow, today: date) -> Diary | str | None:
    """The same where no diary is open."""
    from companion.exchange.files import read

    name, _ = QFileDialog.getOpenFileName(window, phrase("Open a diary file"))
    if not name:
        return None
    reading = read(Path(name), today=today)
    if reading.plan is not None:
        return phrase("{name} is a plan, not a diary.", name=Path(name).name)
    return reading.diary or said_words(reading.said)


def read_plan(path: Path, context: Context) -> Plan | Diary | str:
    """The plan of a file when it may be taken in, else the sentence why not.

    A diary that brings a new plan is given whole: so a clinic hands over the plan and the first
    session in one file.
    """
    from companion.exchange.files import read
    from companion.services.taking_in import would_bring

    reading = read(path, today=context.clock.today())
    if reading.value is None:
        return said_words(reading.said)
    brings = would_bring(context, reading.value)
    if reading.diary is not None:
        newest = max((plan.version for plan in context.journal.plans()), default=0)
        if brings.refused is None and reading.diary.plan.version <= newest:
            return phrase("{name} is a diary, not a plan. Open the plan file.", name=path.name)
    if brings.refused is not None:
        return refusal_words(brings.refused)
    return reading.value


def save_visit(window: PageWindow, context: Context) -> str | None:
    """Let the person pick a folder and write both files there; where they are, or None."""
    name = QFileDialog.getExistingDirectory(window, phrase("Where to save the files"))
    return write_visit(context, Path(name)) if name else None


def save_copy(window: PageWindow, context: Context) -> str | None:
    """Let the person pick a file and write the whole diary there; where it is, or None."""
    plan = context.plan()
    if plan is None:
        return phrase("There is no plan here yet, so there is nothing to copy.")
    suggested = f"diary-{plan.person}-{context.clock.today().isoformat()}.homeknee"
    name, _ = QFileDialog.getSaveFileName(window, phrase("Save a copy of the diary"), suggested)
    if not name:
        return None
    from companion.exchange.files import diary_bytes

    return _write(Path(name), diary_bytes(context.journal.diary()))


def save_stop_list(window: PageWindow, context: Context) -> str | None:
    """Let the person pick a file and write the stop list there as a page to print."""
    plan = context.plan()
    if plan is None:
        return None
    name, _ = QFileDialog.getSaveFileName(window, phrase("Save the stop list"), "stop-list.pdf")
    if not name:
        return None
    return _write(Path(name), stop_list_leaflet(plan, context.catalogue, context.clock.today()))


def stop_list_leaflet(plan: Plan, catalogue: Catalogue, today: date) -> bytes:
    """The stop list with the numbers to call, in large print."""
    from companion.paper.leaflet import leaflet_pdf
    from companion.presentation.home.settings_pages import signs_view

    return leaflet_pdf(
        signs_view(plan, catalogue),
        head=phrase("{person}, care plan {version}", person=plan.person, version=plan.version),
        foot=phrase("In an emergency, call the emergency number first."),
        until=today,
        letter=on_letter_paper(),
    )


def save_record(
    window: PageWindow, context: Context, side: Side, span: Span | DaySpan
) -> str | None:
    """Let the person pick a file and write their record there in large print; where it is."""
    plan = context.plan()
    if plan is None:
        return None
    suggested = f"record-{plan.person}-{side}-{context.clock.today().isoformat()}.pdf"
    name, _ = QFileDialog.getSaveFileName(window, phrase("Save your record"), suggested)
    return _write(Path(name), record_sheet(context, plan, side, span)) if name else None


def record_sheet(context: Context, plan: Plan, side: Side, span: Span | DaySpan) -> bytes:
    """The record of one knee as a PDF."""
    from companion.care.history import current
    from companion.paper.record_sheet import RecordSheet, record_sheet_pdf
    from companion.presentation.home.record_tables import SECTIONS, section_tables
    from companion.presentation.home.record_view import record_view

    entries, plans, today = (
        context.journal.entries(),
        context.journal.plans(),
        context.clock.today(),
    )
    view = record_view(current(entries), plans, side, span, today)
    parts = tuple(
        table
        for section in SECTIONS
        for table in section_tables(section, entries, plans, side, view.days)
    )
    mark = phrase("Practice plan: not for a real knee") if plan.practice else ""
    return record_sheet_pdf(RecordSheet(plan.person, mark, view, parts), until=today)


def save_calendar(window: PageWindow, context: Context) -> str | None:
    """Let the person pick a file and write what is to come there as a calendar; where it is."""
    from companion.exchange.diary_calendar import write_calendar

    plan = context.plan()
    if plan is None:
        return None
    suggested = f"knee-{plan.person}.ics"
    name, _ = QFileDialog.getSaveFileName(window, phrase("Save the calendar file"), suggested)
    if not name:
        return None
    return _write(Path(name), write_calendar(context.journal.diary(), said_words).encode())


def save_booklet(window: PageWindow, context: Context) -> str | None:
    """Let the person pick a file and write the plan's booklet there; where it is, or None."""
    plan = context.plan()
    if plan is None:
        return None
    name, _ = QFileDialog.getSaveFileName(window, phrase("Save the booklet"), "booklet.pdf")
    if not name:
        return None
    from companion.paper.booklet import booklet_pdf
    from companion.presentation.papers.booklet import booklet

    today = context.clock.today()
    content = booklet(plan, context.catalogue, today=today)
    return _write(Path(name), booklet_pdf(content, on=today, letter=on_letter_paper()))


def save_cutting_sheet(window: PageWindow, context: Context) -> str | None:
    """Let the person pick a file and write the sheet to cut tape by; where it is, or why not."""
    from companion.paper.cutting_sheet import cutting_sheet_pdf
    from companion.presentation.home.cutting import NoCuttingSheet, cutting_sheet

    plan = context.plan()
    if plan is None:
        return None
    try:
        sheet = cutting_sheet(plan)
    except NoCuttingSheet as missing:
        return str(missing)
    name, _ = QFileDialog.getSaveFileName(
        window, phrase("Save the cutting sheet"), "cutting-sheet.pdf"
    )
    if not name:
        return None
    made = cutting_sheet_pdf(sheet, on=context.clock.today(), letter=on_letter_paper())
    return _write(Path(name), made)


LETTER_PAPER = ("BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE")
"""Where paper is Letter rather than A4 (fact: letter_paper)."""


def on_letter_paper() -> bool:
    """Whether this machine stands where printers hold Letter paper."""
    return QLocale.territoryToCode(QLocale.system().territory()) in LETTER_PAPER


def _write(path: Path, data: bytes) -> str:
    """Write a file whole; one sentence that says how it went."""
    try:
        return saved_words(save_file(str(path), data))
    except Trouble as trouble:
        return not_saved_words(trouble)


def look_round(window: PageWindow, context: Context) -> None:
    """Open a window of its own on an invented person whose plan nobody signed."""
    started = subprocess.Popen(
        [sys.executable, "-m", "companion", "demo", PRACTICE_PERSON, "--practice"],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    window.destroyed.connect(started.poll)


def write_visit(context: Context, folder: Path) -> str:
    """Write the diary file and the summary into a folder; one sentence that says how it went.

    The diary is on its way first: the clinic can make the summary from it, and nothing else can
    make the diary.
    """
    from companion.paper.visit_summary import visit_summary_pdf
    from companion.presentation.papers.summary import visit_summary
    from companion.services.visit import diary_file, summary_file
    from companion.system.logs import PrivateLog

    person = context.journal.diary().plan.person
    day = context.clock.today().isoformat()
    names = (f"diary-{person}-{day}.homeknee", f"visit-summary-{person}-{day}.pdf")
    try:
        save_file(str(folder / names[0]), diary_file(context))
    except Trouble as trouble:
        return not_saved_words(trouble)
    where = folder.name or str(folder)
    try:
        summary = summary_file(
            context,
            lambda diary, found, catalogue: visit_summary_pdf(
                visit_summary(diary, found, catalogue), letter=on_letter_paper()
            ),
        )
        save_file(str(folder / names[1]), summary)
    except Exception as fault:  # noqa: BLE001 - whatever it is, the diary is saved and that is said
        PrivateLog(context.journal.path.parent, context.clock).fault("visit summary", fault)
        return phrase(
            "Saved in {folder}: {diary}. The two printed pages could not be made. Your clinic can "
            "make them from this file.",
            folder=where,
            diary=names[0],
        )
    return phrase(
        "Saved in {folder}: {diary} and {summary}.",
        folder=where,
        diary=names[0],
        summary=names[1],
    )
