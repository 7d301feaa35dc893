"""All that a family without a computer takes home of a plan, each as a PDF by its name."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from datetime import date

from companion.care.catalogue import Catalogue
from companion.care.records import Plan
from companion.paper.booklet import booklet_pdf
from companion.paper.cutting_sheet import cutting_sheet_pdf
from companion.paper.day_form import day_forms_pdf
from companion.presentation.home.cutting import NoCuttingSheet, cutting_sheet
from companion.presentation.papers.booklet import Booklet, booklet, warned
from companion.presentation.papers.home_sheets import (
    FILE_NAMES,
    HomePaper,
    blank_days,
    card_sheets,
    fridge_sheet,
)
from companion.presentation.papers.still_open import StillOpen, head_line

PERSONS: tuple[HomePaper, ...] = ("booklet", "fridge", "cards", "blank_days", "cutting")
HELPERS: tuple[HomePaper, ...] = ("helper_booklet", "fridge", "cards", "blank_days", "cutting")

_BOOKLETS: tuple[HomePaper, ...] = ("booklet", "helper_booklet")


def home_paper(
    which: HomePaper,
    plan: Plan,
    catalogue: Catalogue,
    *,
    on: date,
    weeks: int,
    letter: bool,
    still_open: StillOpen = (),
) -> bytes:
    """One of them, dated `on`, A4 or Letter; `weeks` is how many weeks of blank days there are.
    `still_open`: the warnings that are open, which each of them says at its head.

    Raises NoCuttingSheet, and ValueError for a number of weeks that paper should not have.
    """
    sheet: Booklet
    match which:
        case "cutting":
            cut = replace(cutting_sheet(plan), warned=head_line(still_open, on))
            return cutting_sheet_pdf(cut, on=on, letter=letter)
        case "booklet":
            sheet = booklet(plan, catalogue, today=on)
        case "helper_booklet":
            sheet = booklet(plan, catalogue, today=on, for_helper=True)
        case "fridge":
            sheet = fridge_sheet(plan, catalogue)
        case "cards":
            sheet = card_sheets(plan, catalogue)
        case "blank_days":
            days = blank_days(plan, catalogue.policy, on, weeks)
            days = replace(days, warned=head_line(still_open, on))
            return day_forms_pdf(days, on=on, letter=letter)
    sheet = warned(sheet, still_open, on, whole=which in _BOOKLETS)
    return booklet_pdf(sheet, on=on, letter=letter)


def home_papers(
    plan: Plan,
    catalogue: Catalogue,
    *,
    on: date,
    weeks: int,
    for_helper: bool,
    letter: bool,
    still_open: StillOpen = (),
) -> dict[str, bytes]:
    """All of them for one reader by the names of their files. The cutting sheet is there where the
    plan tapes and its lengths are known. Raises ValueError as `home_paper` does."""
    papers: dict[str, bytes] = {}
    for which in HELPERS if for_helper else PERSONS:
        with suppress(NoCuttingSheet):
            papers[FILE_NAMES[which]] = home_paper(
                which,
                plan,
                catalogue,
                on=on,
                weeks=weeks,
                letter=letter,
                still_open=still_open,
            )
    return papers
