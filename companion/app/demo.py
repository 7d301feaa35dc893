"""Demo people: a window on a throwaway copy of a record, or the whole loop without a window."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from datetime import date, timedelta
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from companion.app.exits import DONE, MachineFails, Refused
from companion.app.fault_words import store_fault_words
from companion.care.clocks import that_count
from companion.care.records import Diary
from companion.journal.faults import JournalFault
from companion.journal.store import Journal
from companion.presentation.language.phrases import phrase, spoken
from companion.presentation.language.said import said_words
from companion.system.clock import Clock, PinnedClock
from companion.system.machine import own_command
from companion.system.resources import demo_profiles, resource

if TYPE_CHECKING:
    from companion.care.catalogue import Catalogue


FILL = "fill-demo"
"""The command that fills a store from a diary file; it is told to nobody."""


def people() -> tuple[str, ...]:
    """The demo people, by name."""
    return tuple(sorted(p.parent.name for p in demo_profiles().glob("*/diary.homeknee")))


def show(
    name: str,
    *,
    data_dir: Path | None,
    diary: Path | None,
    today: date | None,
    practice: bool,
    language: str | None,
    quit_when_shown: bool,
) -> int:
    """Home on a throwaway copy of a record, or on `data_dir`, filled when it is empty."""
    from companion.app.home_window import show_home

    throwaway = None if data_dir is not None else Path(tempfile.mkdtemp(prefix="homeknee-demo-"))
    folder = data_dir or throwaway
    assert folder is not None
    try:
        if not folder.is_dir() or not any(folder.iterdir()):
            _fill(folder, diary or demo_profiles() / name / "diary.homeknee", practice=practice)
        day = today or day_after_last(folder)
    except JournalFault as fault:
        raise MachineFails(store_fault_words(fault)) from fault
    clear = None if throwaway is None else partial(shutil.rmtree, throwaway, ignore_errors=True)
    return show_home(
        folder,
        PinnedClock(day),
        language=language,
        quit_when_shown=quit_when_shown,
        closed=clear,
    )


def day_after_last(folder: Path) -> date:
    """The day after the last entry of the store in a folder."""
    with Journal.open(folder, PinnedClock(date(2000, 1, 3)), read_only=True) as journal:
        last = journal.last_day()
        if last is not None:
            return last + timedelta(days=1)
        plan = journal.plan_in_force()
    if plan is None:
        raise MachineFails(
            phrase("{folder} holds no plan. Give an empty folder, or --today.", folder=folder)
        )
    return plan.written_on


def _fill(folder: Path, diary: Path, *, practice: bool) -> None:
    """Fill a store from a diary file, in a process of its own: checking a file from outside loads
    what the window must not wait for."""
    import subprocess

    more = ["--practice"] if practice else []
    done = subprocess.run(
        own_command(FILL, "--language", spoken(), str(folder), str(diary), *more),
        check=False,
        stderr=subprocess.PIPE,
        text=True,
    )
    if done.returncode == DONE:
        return
    sentence = (
        done.stderr.strip().splitlines()[-1] if done.stderr.strip() else phrase("It went wrong.")
    )
    if done.returncode == 1:
        raise Refused(sentence)
    raise MachineFails(sentence)


def fill(folder: Path, diary: Diary, clock: Clock) -> None:
    """Put a whole diary into an empty store."""
    with Journal.open(folder, clock) as journal:
        journal.append(*diary.entries, plans=diary.plans)


def fill_from(folder: Path, path: Path, *, practice: bool) -> None:
    """The same from a diary file, as on the day after its last entry; `practice`: its plans signed
    by nobody. Raises Refused for a file that holds no diary, MachineFails where it is not kept."""
    diary = read_diary(path)
    if practice:
        diary = replace(diary, plans=tuple(replace(p, sign_off=None) for p in diary.plans))
    last = max((entry.for_day for entry in diary.entries), default=diary.plan.written_on)
    try:
        fill(folder, diary, PinnedClock(last + timedelta(days=1)))
    except JournalFault as fault:
        raise MachineFails(store_fault_words(fault)) from fault


def read_diary(path: Path) -> Diary:
    """The diary of a file. Raises Refused with the sentence why not."""
    from companion.exchange.files import read

    reading = read(path)
    if reading.diary is None:
        raise Refused(said_words(reading.said))
    return reading.diary


def play(name: str, out: Path, today: date | None) -> None:
    """The whole loop without a window, into the folder `out`.

    The record is taken into a store; the next day's routine, tape and day page are walked
    through there; then the diary is handed over, read back, and what it shows is written.
    """
    from companion.app.demo_day import play_day
    from companion.exchange.files import read_bytes
    from companion.paper.paper_size import on_letter_paper
    from companion.paper.visit_summary import visit_summary_pdf
    from companion.presentation.papers.summary import visit_summary
    from companion.services.context import Context
    from companion.services.visit import diary_file, summary_file
    from companion.system.atomic import private_folder, write_whole
    from companion.wire.catalogue_reading import read_catalogue

    record = read_diary(demo_profiles() / name / "diary.homeknee")
    last = max(entry.for_day for entry in record.entries)
    clock = PinnedClock(today or last + timedelta(days=1))
    catalogue, letter = read_catalogue(resource()), on_letter_paper()
    with tempfile.TemporaryDirectory(prefix="homeknee-demo-") as folder:
        fill(Path(folder), record, clock)
        with Journal.open(Path(folder), clock) as journal:
            context = Context(journal=journal, clock=clock, catalogue=catalogue)
            play_day(context)
            handed = diary_file(context)
            summary = summary_file(
                context, lambda d, f, c: visit_summary_pdf(visit_summary(d, f, c), letter=letter)
            )
    handed_over = read_bytes(handed, name="diary.homeknee").diary
    if handed_over is None:
        raise MachineFails(phrase("The diary that was written could not be read back."))
    private_folder(out)
    write_whole(out / "diary.homeknee", handed)
    write_whole(out / "visit-summary.pdf", summary)
    for file, data in _shown(handed_over, catalogue, clock.today(), letter=letter):
        write_whole(out / file, data)


def _shown(
    diary: Diary, catalogue: Catalogue, today: date, *, letter: bool
) -> Iterator[tuple[str, bytes]]:
    """What a diary that was handed over shows, and the papers of its plan, file by file."""
    from companion.evidence.findings import findings
    from companion.exchange.files import plan_bytes
    from companion.paper.booklet import booklet_pdf
    from companion.paper.cutting_sheet import cutting_sheet_pdf
    from companion.paper.record_picture import record_png
    from companion.presentation.home.cutting import NoCuttingSheet, cutting_sheet
    from companion.presentation.home.record_view import Span, record_view
    from companion.presentation.papers.booklet import booklet
    from companion.presentation.view.chart import DaySpan
    from companion.services.export import findings_json

    plan, entries = diary.plan, that_count(diary)
    yield "plan.homeknee", plan_bytes(plan)
    views = []
    for side in plan.sides:
        flares = findings(diary, side, policy=catalogue.policy).pain.flares
        spans = [DaySpan(flare.first_day, flare.last_day) for flare in flares]
        views.append(
            record_view(entries, diary.plans, side, Span.LAST_8_WEEKS, today, flares=spans)
        )
    yield "record.png", record_png(plan.person, views)
    yield (
        "findings.json",
        findings_json(findings(diary, policy=catalogue.policy), said_words).encode(),
    )
    routine = booklet(plan, catalogue, today=today)
    yield "booklet.pdf", booklet_pdf(routine, on=today, letter=letter)
    with suppress(NoCuttingSheet):  # the plan does not tape, or a measure is not plausible
        yield "cutting-sheet.pdf", cutting_sheet_pdf(cutting_sheet(plan), on=today, letter=letter)
