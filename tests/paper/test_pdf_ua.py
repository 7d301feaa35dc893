"""Every kind of paper held to ISO 14289-1 (PDF/UA-1) by a checker that is not ours.

It has a rule for each condition of the Matterhorn Protocol that a machine can judge, and passes the
corpus of veraPDF (both by its own account). What only a person can judge, whether a description
tells what the picture does, no test holds.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import page
import pytest

from companion.care.records import Diary
from companion.paper.home_papers import HELPERS, PERSONS, home_paper
from companion.paper.leaflet import leaflet_pdf
from companion.paper.pdf import pdf_bytes
from companion.paper.record_sheet import record_sheet_pdf
from companion.paper.report import visit_report_pdf
from companion.paper.visit_summary import visit_summary_pdf
from companion.paper.wording import wording_pdf
from companion.presentation.home.settings_pages import signs_view
from companion.presentation.papers.wording_sheet import wording_sheet
from tests.care.content import CATALOGUE
from tests.paper import test_record_sheet, test_tagged
from tests.paper.test_booklet import plan_of
from tests.paper.test_demo_pages import diary_of, summary_of
from tests.paper.test_report import report_of

pytestmark = pytest.mark.usefixtures("qapp")
DAY = date(2026, 11, 25)
CLAIM = {"PDFUA1-ID-PART-001", "PDFUA1-ID-SCHEMA-001"}
"""That a file says of itself that it conforms (ISO 14289-1, 5). None of ours does: it would say so
of what only a person can judge as well."""


def faults(data: bytes) -> set[tuple[str, str]]:
    """What the checker finds, but for the claim."""
    report = page.validate_pdf_bytes(data, profile="ua1")
    assert report.rules.total > 100
    found = {(fault.rule_id, fault.message) for fault in report.failures}
    return {each for each in found if each[0] not in CLAIM}


def _summary(diary: Diary, *, letter: bool = False) -> bytes:
    return visit_summary_pdf(summary_of(diary), letter=letter)


OTHERS: dict[str, Callable[[], bytes]] = {
    "summary": lambda: _summary(diary_of("edda")),
    "summary of two knees": lambda: _summary(diary_of("wilma"), letter=True),
    "report": lambda: visit_report_pdf(report_of("wilma")),
    "report with a trial": lambda: visit_report_pdf(report_of("jory")),
    "record": lambda: record_sheet_pdf(test_record_sheet.sheet(), until=test_record_sheet.LAST),
    "wording": lambda: wording_pdf(wording_sheet(CATALOGUE, DAY), on=DAY),
    "stop list": lambda: leaflet_pdf(
        signs_view(plan_of("edda"), CATALOGUE),
        head="K-07",
        foot="Call first.",
        warned="A warning was open.",
        until=DAY,
    ),
}


@pytest.mark.parametrize("which", OTHERS)
def test_what_goes_to_the_clinic_and_comes_of_a_screen(which: str) -> None:
    assert faults(OTHERS[which]()) == set()


@pytest.mark.parametrize("which", PERSONS)
def test_what_is_taken_home(which: str) -> None:
    name = "wilma" if which == "blank_days" else "osric"
    paper = home_paper(which, plan_of(name), CATALOGUE, on=DAY, weeks=1, letter=True)  # type: ignore[arg-type]
    assert faults(paper) == set()


def test_what_the_helper_takes_home() -> None:
    paper = home_paper(HELPERS[0], plan_of("wilma"), CATALOGUE, on=DAY, weeks=1, letter=False)
    assert faults(paper) == set()


def test_the_checker_finds_what_is_wrong() -> None:
    """Without the title shown, a language, or the words of a picture, the rules for these fail."""
    good = pdf_bytes("Title", "content", DAY, test_tagged.paint, letter=False)
    assert faults(good) == set()
    for part, rule in ((b"/Lang (en)", "LANG"), (b"/Alt ", "FIGURE"), (b"/Marked true", "TAGGED")):
        assert part in good
        worse = good.replace(part, b" " * len(part) if part != b"/Alt " else b"/Xlt ", 1)
        found = faults(worse)
        assert found, part
        assert any(rule in each for each, _ in found), found
