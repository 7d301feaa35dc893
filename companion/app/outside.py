"""What lies outside the window: files a person picks, pages saved for print, other windows.

Whatever lets the person pick something gives None when nothing was picked, and a sentence where
it went wrong or to say where it was put.
"""

from __future__ import annotations

import subprocess
import tempfile
from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QApplication, QFileDialog

from companion.care.records import Diary, Plan, Side
from companion.exchange.files import Reading, reader, shown_name
from companion.paper.paper_size import on_letter_paper
from companion.presentation.home.cutting import NoCuttingSheet
from companion.presentation.home.home_pages import notice_view
from companion.presentation.home.papers_pages import papers_folder
from companion.presentation.home.record_view import Span
from companion.presentation.language.phrases import phrase, spoken
from companion.presentation.language.said import said_words
from companion.presentation.language.troubles import (
    not_saved_words,
    refusal_words,
)
from companion.presentation.papers.home_sheets import FILE_NAMES, HomePaper, weeks_until
from companion.presentation.view.chart import DaySpan
from companion.services.context import Context
from companion.services.saving import save_file, save_folder
from companion.services.trouble import Trouble
from companion.system.machine import own_command
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.background import beside
from companion.ui.kit.window import PageWindow

if TYPE_CHECKING:
    from companion.app.saving import Saving
    from companion.presentation.papers.still_open import StillOpen
    from companion.presentation.view.page import PageView

PRACTICE_PERSON = "edda"


def tell_and_end(window: PageWindow, application: QApplication, sentence: str) -> None:
    """Show why there is no diary, and end when that was read."""
    cannot_be_opened(window, sentence, application.quit)
    window.show()
    application.exec()


def cannot_be_opened(window: PageWindow, sentence: str, read: Callable[[], object]) -> None:
    """Show why there is no diary; `read` is called when the person has read it."""
    page = AskingPage(notice_view(phrase("The diary cannot be opened"), sentence, ends=True))
    page.submitted.connect(read)
    window.show_page(page)


def pick_plan(
    window: PageWindow, context: Context, done: Callable[[Plan | Diary | str], None]
) -> None:
    """Let the person pick a plan file; `done` gets what is in it, or the sentence why not."""
    _pick(
        window,
        phrase("Open your plan file"),
        context.clock.today(),
        lambda reading, name: done(plan_in(reading, name, context)),
    )


def pick_diary(window: PageWindow, context: Context, done: Callable[[Diary | str], None]) -> None:
    """Let the person pick a diary file; `done` gets the diary, or the sentence why not."""
    pick_diary_file(window, context.clock.today(), done)


def pick_diary_file(window: PageWindow, today: date, done: Callable[[Diary | str], None]) -> None:
    """The same where no diary is open."""
    _pick(window, phrase("Open a diary file"), today, lambda got, name: done(diary_in(got, name)))


def open_file(
    window: PageWindow,
    context: Context,
    path: Path,
    plan_read: Callable[[Plan | Diary | str], None],
    diary_read: Callable[[Diary | str], None],
) -> None:
    """Read a file that was handed in, and give what it holds to whoever takes that in: a plan, or
    a diary that brings a new one, or a diary."""
    from companion.ui.kit.reading_sheet import read_under_sheet

    name, today = shown_name(path.name), context.clock.today()

    def done(reading: Reading) -> None:
        found = plan_in(reading, name, context)
        if reading.diary is not None and isinstance(found, str):
            diary_read(diary_in(reading, name))
        else:
            plan_read(found)

    read_under_sheet(window, name, reader(path, today=today), done)


def _pick(
    window: PageWindow, title: str, today: date, read: Callable[[Reading, str], None]
) -> None:
    """Let the person pick a file, and read it beside the window under a sheet with Cancel."""
    from companion.ui.kit.reading_sheet import read_under_sheet

    picked, _ = QFileDialog.getOpenFileName(window, title)
    if picked:
        path = Path(picked)
        name = shown_name(path.name)
        read_under_sheet(window, name, reader(path, today=today), lambda got: read(got, name))


def diary_in(reading: Reading, name: str) -> Diary | str:
    """The diary of a file, else the sentence why there is none."""
    if reading.plan is not None:
        return phrase("{name} is a plan, not a diary.", name=name)
    return reading.diary or said_words(reading.said)


def plan_in(reading: Reading, name: str, context: Context) -> Plan | Diary | str:
    """The plan of a file when it may be taken in, or looked round with, else the sentence why not.

    A diary that brings a new plan is given whole: so a clinic hands over the plan and the first
    session in one file.
    """
    from companion.services.taking_in import would_bring

    if any(fault.what.code == "signed_for_other" for fault in reading.faults):
        return phrase(
            "The file {name} was changed after it was signed. Nothing was taken in. "
            "Call your clinic.",
            name=name,
        )
    if reading.value is None:
        return said_words(reading.said)
    brings = would_bring(context, reading.value)
    if reading.diary is not None:
        own = context.plan()
        newest = 0 if own is None or own.practice else own.version
        brings_none = not brings.new_plans or reading.diary.plan.version <= newest
        if brings.refused is None and brings_none:
            return phrase("{name} is a diary, not a plan. Open the plan file.", name=name)
    if brings.refused is not None and brings.refused.why != "practice_plan":
        return refusal_words(brings.refused)
    return reading.value


def save_visit(window: PageWindow, context: Context) -> str | None:
    """Let the person pick a folder and write both files there; where they are, or None."""
    place = _saving(window, context).place(phrase("The files for your visit"))
    return None if place is None else beside(lambda: write_visit(context, place))


def save_copy(window: PageWindow, context: Context) -> str | None:
    """Let the person pick a file and write the whole diary there; where it is, or None."""
    plan = context.plan()
    if plan is None:
        return phrase("There is no plan here yet, so there is nothing to copy.")
    suggested = f"diary-{plan.person}-{context.clock.today().isoformat()}.homeknee"

    def made() -> bytes:
        from companion.services.visit import diary_file

        return diary_file(context)

    return _saving(window, context).file(suggested, made)


def letter(_window: PageWindow, _context: Context) -> bool:
    """Whether papers are Letter."""
    return on_letter_paper()


def _saving(window: PageWindow, context: Context) -> Saving:
    from companion.app.saving import Saving

    return Saving(window, context.journal.path.parent)


def save_stop_list(window: PageWindow, context: Context) -> str | None:
    """Let the person pick a file and write the stop list there as a page to print."""
    plan = context.plan()
    if plan is None:
        return None
    return _saving(window, context).file(
        "stop-list.pdf", lambda: stop_list_leaflet(plan, context), prints=True
    )


def _with_numbers(plan: Plan, context: Context) -> Plan:
    """The plan as papers show it: with the emergency number of a journey."""
    from companion.presentation.home.numbers import plan_here
    from companion.services.journeys import journey_told

    return plan_here(plan, journey_told(context), context.clock.today())


def stop_list_leaflet(plan: Plan, context: Context) -> bytes:
    """The stop list with the numbers to call, in large print."""
    from companion.presentation.home.settings_pages import signs_view

    return _leaflet(signs_view(_with_numbers(plan, context), context.catalogue), plan, context)


def stay_leaflet(plan: Plan, context: Context, days: int) -> bytes:
    """What to cut and pack for so many days away, in large print."""
    from companion.presentation.home.stay import stay_view

    return _leaflet(stay_view(plan, days), plan, context)


def _leaflet(shown: PageView, plan: Plan, context: Context) -> bytes:
    from companion.paper.leaflet import leaflet_pdf
    from companion.presentation.papers.still_open import head_line

    today = context.clock.today()
    return leaflet_pdf(
        shown,
        head=phrase("{person}, care plan {version}", person=plan.person, version=plan.version),
        foot=phrase("In an emergency, call the emergency number first."),
        warned=head_line(_still_open(plan, context), today),
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
    return _saving(window, context).file(
        suggested, lambda: record_sheet(context, plan, side, span), prints=True
    )


def record_sheet(context: Context, plan: Plan, side: Side, span: Span | DaySpan) -> bytes:
    """The record of one knee as a PDF."""
    from companion.care.clocks import that_count, under_wrong_clock
    from companion.paper.record_sheet import RecordSheet, record_sheet_pdf
    from companion.presentation.home.record_tables import SECTIONS, section_tables
    from companion.presentation.home.record_view import record_view

    diary, today = context.journal.diary(), context.clock.today()
    view = record_view(that_count(diary), diary.plans, side, span, today)
    parts = tuple(
        table
        for section in SECTIONS
        for table in section_tables(
            section,
            diary.entries,
            diary.plans,
            side,
            view.days,
            catalogue=context.catalogue,
            wrong_clock=under_wrong_clock(diary),
        )
    )
    mark = phrase("Practice plan: not for a real knee") if plan.practice else ""
    return record_sheet_pdf(
        RecordSheet(plan.person, mark, view, parts), until=today, letter=on_letter_paper()
    )


def save_calendar(window: PageWindow, context: Context) -> str | None:
    """Let the person pick a file and write what is to come there as a calendar; where it is."""
    plan = context.plan()
    if plan is None:
        return None

    def made() -> bytes:
        from companion.exchange.diary_calendar import write_calendar

        return write_calendar(context.journal.diary(), said_words).encode()

    return _saving(window, context).file(f"knee-{plan.person}.ics", made)


def _still_open(plan: Plan, context: Context) -> StillOpen:
    """The warnings that are open now, for the head of each paper."""
    from companion.presentation.papers.still_open import open_to_print
    from companion.services.bad_spell import calls_of

    calls = calls_of(context, plan)
    return open_to_print(plan, context.catalogue, context.entries, calls)


def save_paper(window: PageWindow, context: Context, which: HomePaper) -> str | None:
    """Let the person pick a file and write a paper of the plan there; where it is, or why not."""
    plan, today = context.plan(), context.clock.today()
    if plan is None:
        return None
    here = _with_numbers(plan, context)

    def made() -> bytes:
        from companion.paper.home_papers import home_paper

        return home_paper(
            which,
            here,
            context.catalogue,
            on=today,
            weeks=weeks_until(plan, today),
            letter=on_letter_paper(),
            still_open=_still_open(plan, context),
        )

    try:
        return _saving(window, context).file(FILE_NAMES[which], made, prints=True)
    except NoCuttingSheet as missing:
        return str(missing)


def save_papers(window: PageWindow, context: Context, for_helper: bool) -> str | None:
    """Let the person pick a folder and write all papers of the plan into a new one in it."""
    plan, today = context.plan(), context.clock.today()
    if plan is None:
        return None
    here = _with_numbers(plan, context)

    def drawn() -> Mapping[str, bytes]:
        from companion.paper.home_papers import home_papers

        return home_papers(
            here,
            context.catalogue,
            on=today,
            weeks=weeks_until(plan, today),
            for_helper=for_helper,
            letter=on_letter_paper(),
            still_open=_still_open(plan, context),
        )

    name = papers_folder(plan)

    def put(place: Path) -> Path:
        return place / save_folder(str(place), name, drawn())

    return _saving(window, context).folder(name, put, drawn)


def save_stay(window: PageWindow, context: Context, days: int) -> str | None:
    """Let the person pick a file and write what to cut and pack for so many days away there."""
    plan = context.plan()
    if plan is None:
        return None
    return _saving(window, context).file(
        "days-away.pdf", lambda: stay_leaflet(plan, context, days), prints=True
    )


def look_round(window: PageWindow, context: Context, draft: Plan | Diary | None = None) -> None:
    """Open a window of its own on an invented person whose plan nobody signed, or on a `draft` of a
    plan in a throwaway store: what is written there goes nowhere."""
    extra: list[str] = []
    if draft is not None:
        from companion.exchange.files import diary_bytes
        from companion.services.look_round import to_try
        from companion.system.atomic import write_whole

        folder = Path(tempfile.mkdtemp(prefix="homeknee-draft-"))
        whole = draft if isinstance(draft, Diary) else to_try(context, draft)
        write_whole(folder / "draft.homeknee", diary_bytes(whole))
        extra = ["--data-dir", str(folder / "store"), "--diary", str(folder / "draft.homeknee")]
    started = subprocess.Popen(
        own_command("demo", PRACTICE_PERSON, "--practice", "--language", spoken(), *extra),
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
