"""A warning is told on every page of the clinic, however it ended, and never by its code."""

from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass
from typing import get_args

import pytest

from companion.care.catalogue import Catalogue
from companion.care.history import current
from companion.care.records import AnyEntry, Cleared, Diary, Told, WarningSign
from companion.presentation.clinic.answers import clinic_answers, knee_of
from companion.presentation.clinic.review import first_page_answers, record_days
from companion.presentation.clinic.tables import entries_table, warnings_table
from companion.presentation.home.handed_over import held_rows
from companion.presentation.papers.findings_words import findings_words
from companion.presentation.papers.plan_report import visit_report
from companion.presentation.papers.summary import visit_summary
from companion.system.resources import resource
from companion.wire.catalogue_reading import read_catalogue
from tests.builders import DiaryBuilder
from tests.found import findings
from tests.paper.diaries import eight_weeks

Became = tuple[Cleared | None, Told | None]
ENDS: tuple[Became, ...] = (
    (None, None),
    *((how, None) for how in get_args(Cleared)),
    *((None, told) for told in get_args(Told) if told != "all"),
    ("checked_by_professional", "all"),
)


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return read_catalogue(resource())


def warned(became: Became) -> Diary:
    """Eight weeks with one more card, of which that became."""
    how, told = became
    plan, entries = eight_weeks()
    book = DiaryBuilder(made=len(entries))
    when = book.day(44) if how else None
    said = {} if told is None else {"told": told, "told_by": "clinic", "told_on": book.day(44)}
    ended = {"cleared": how, "cleared_on": when}
    book.add(WarningSign, 42, sign="lump", card="lump", level="call", **ended, **said)
    added: list[AnyEntry] = book.entries
    return Diary(plans=(plan,), entries=(*entries, *added))


def texts(shown: object) -> Iterator[str]:
    """Every text of a page."""
    if isinstance(shown, str):
        yield shown
    elif isinstance(shown, list | tuple):
        for part in shown:
            yield from texts(part)
    elif is_dataclass(shown):
        for each in fields(shown):
            yield from texts(getattr(shown, each.name))


def summary(diary: Diary, catalogue: Catalogue) -> object:
    return visit_summary(diary, [findings(diary, "right")], catalogue)


def report(diary: Diary, catalogue: Catalogue) -> object:
    return visit_report(diary, [findings(diary, "right")], catalogue)


def review(diary: Diary, catalogue: Catalogue) -> object:
    entries = current(diary.entries)
    knees = (knee_of(findings(diary, "right"), entries),)
    days = record_days(entries, diary.plan, "right")
    answers = clinic_answers(knees, diary.plans, days, catalogue)
    return (
        first_page_answers(answers, knees),
        warnings_table(entries, catalogue),
        entries_table(diary.entries, days.first_day, days.last_day, catalogue),
    )


def findings_text(diary: Diary, catalogue: Catalogue) -> object:
    return findings_words(diary, findings(diary, "right"), catalogue)


def handed_over(diary: Diary, catalogue: Catalogue) -> object:
    return [held_rows(e, catalogue) for e in diary.entries if isinstance(e, WarningSign)]


@pytest.mark.parametrize("page", [summary, report, review, findings_text, handed_over])
def test_every_page_tells_how_a_warning_ended(
    page: Callable[[Diary, Catalogue], object], catalogue: Catalogue
) -> None:
    told = {how: " ".join(texts(page(warned(how), catalogue))) for how in ENDS}
    for words in told.values():
        assert "A lump at the knee" in words
        assert not [code for code in get_args(Cleared) if code in words]
    assert len(set(told.values())) == len(ENDS), "each way to end has words of its own"
