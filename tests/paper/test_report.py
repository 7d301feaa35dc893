"""The report for the file: all of it, the plan in force, the source of each figure."""

from __future__ import annotations

import io
import re
import subprocess
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import get_args

import pytest
from pypdf import PdfReader

from companion.app.clinic_window import draw_paper
from companion.canvas.box import Box
from companion.care.records import AnsweredSign, Diary
from companion.exchange.files import read
from companion.paper.blocks import TableRow
from companion.paper.paper_size import PaperSize, use_paper
from companion.paper.report import report_blocks, visit_report_pdf
from companion.paper.visit_summary import (
    MARGIN,
    column_of,
    placed_pages,
    visit_summary_pdf,
)
from companion.presentation.papers.plan_report import VisitReport, plan_rows, visit_report
from companion.presentation.papers.summary import KneeCharts
from companion.presentation.view.chart import Chart
from companion.services.clinic_papers import PaperName
from companion.services.plan_draft import plan_of
from tests.builders import event
from tests.care.content import CATALOGUE
from tests.found import findings
from tests.services.plan_writing import ready, tried

ROOT = Path(__file__).parents[2]
PEOPLE = ["edda", "jory", "osric", "tobin", "wilma"]


@cache
def diary_of(who: str) -> Diary:
    diary = read(ROOT / "demo_profiles" / who / "diary.homeknee").diary
    assert diary is not None
    return diary


@cache
def report_of(who: str) -> VisitReport:
    diary = diary_of(who)
    return visit_report(diary, [findings(diary, side) for side in diary.plan.sides], CATALOGUE)


@cache
def printed(who: str, letter: bool = False) -> bytes:
    return visit_report_pdf(report_of(who), letter=letter)


@cache
def pages_of(pdf: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages]


@pytest.mark.parametrize("letter", [False, True])
@pytest.mark.parametrize("who", PEOPLE)
def test_nothing_of_the_report_is_left_out_for_want_of_room(who: str, letter: bool) -> None:
    """Sore places, charts of the sessions and how figures are made were dropped without a word,
    on Letter more than on A4. A trial has a page more."""
    report = report_of(who)
    pages = pages_of(printed(who, letter))
    assert len(pages) == 3 + len(report.trials)
    for number, page in enumerate(pages, 1):
        assert f"Page {number} of {len(pages)}" in page
        assert report.summary.running_head in page
    squeezed = "".join(" ".join(pages).split())
    told = [line.method for line in report.sources]
    told += [chart.title for each in report.summary.pictures for chart in charts_of(each)]
    if any(len(table.rows) > 1 for _, table in report.zones):
        told.append(report.zones_heading)
    for words in told:
        assert "".join(words.split()) in squeezed, words


def charts_of(knee: KneeCharts) -> tuple[Chart, Chart]:
    return knee.day_chart, knee.session_chart


@pytest.mark.parametrize("letter", [False, True])
@pytest.mark.parametrize("who", PEOPLE)
def test_an_answer_that_goes_on_overleaf_is_named_there(who: str, letter: bool) -> None:
    """Medicine and other care stood there under no name; a name has room above the next one."""
    sheet = Box(0, 0, 612, 792) if letter else Box(0, 0, 595, 842)
    column = column_of(sheet)
    for page in placed_pages(report_blocks(report_of(who), column), column):
        beside = [(top, row.beside) for top, row in page.placed if isinstance(row, TableRow)]
        named = [(top, one) for top, one in beside if one is not None]
        assert all(top + one.height < below for (top, one), (below, _) in pairwise(named))
        first = page.placed[0][1]
        if isinstance(first, TableRow) and first.tag is not None:
            assert first.beside is not None


@pytest.mark.parametrize("letter", [False, True])
@pytest.mark.parametrize("who", PEOPLE)
def test_the_plan_in_force_is_on_one_page_and_the_foot_stands_clear(
    who: str, letter: bool, tmp_path: Path
) -> None:
    """Two lines of foot ran into the last line of a full page, here and in the summary."""
    report, low = report_of(who), 792 if letter else 842
    plan_from, plan_to = report.plan_heading, report.plan_rows[-1].label
    pages = pages_of(printed(who, letter))
    (page,) = (page for page in pages if plan_from in page)
    assert plan_to.split()[0] in page.partition(plan_from)[2]
    summary = visit_summary_pdf(report.summary, letter=letter)
    for number, pdf in enumerate((printed(who, letter), summary)):
        path = tmp_path / f"{number}.pdf"
        path.write_bytes(pdf)
        told = subprocess.run(
            ["pdftotext", "-bbox", str(path), "-"], capture_output=True, text=True, check=True
        ).stdout
        for words in told.split("<page ")[1:]:
            tops = [float(top) for top in re.findall(r' yMin="(.*?)"', words)]
            ends = [float(end) for end in re.findall(r' yMax="(.*?)"', words)]
            foot = min(top for top in tops if top > low - MARGIN)
            assert max(end for end, top in zip(ends, tops, strict=True) if top < foot) < foot + 2


@pytest.mark.parametrize("size", ["letter", "a4"])
def test_the_clinic_draws_both_on_the_paper_that_is_set(size: PaperSize) -> None:
    diary, wide = diary_of("wilma"), {"letter": 612, "a4": 595}[size]
    found = tuple(findings(diary, side) for side in diary.plan.sides)
    use_paper(size)
    try:
        for which in get_args(PaperName):
            (first, *_) = PdfReader(io.BytesIO(draw_paper(which, diary, found, CATALOGUE))).pages
            assert round(first.mediabox.width) == wide, which
    finally:
        use_paper("guess")


@pytest.mark.parametrize("who", PEOPLE)
def test_the_report_says_what_the_summary_says(who: str) -> None:
    report, text = report_of(who), " ".join(pages_of(printed(who)))
    squeezed = "".join(text.split())
    for answer in report.summary.answers:
        for row in answer.rows:
            for cell in row.cells:
                assert "".join(cell.lead.split()) in squeezed
    for row in report.plan_rows:
        assert row.label in text
    for line in report.sources:
        assert line.figure in text


def fullest() -> Diary:
    """Both knees, a bad day, a known sign and a lower dose; and on top of it an overruled caution,
    two signs the plan answered, a fall and new tablets."""
    diary = diary_of("wilma")
    first, last = diary.plan, diary.entries[-1]
    day = last.for_day
    plan = replace(
        first,
        sign_off=None,
        cautions=tuple(
            replace(
                one,
                answer=True,
                allowed=True,
                reason="other",
                reason_words="Warfarin for years, Dr Pell agrees",
            )
            if one.caution == "blood_thinner"
            else one
            for one in first.cautions
        ),
        open_signs=tuple(
            AnsweredSign(warning=letter * 32, sign=sign, since=day, sides=("right",), answer="seen")
            for letter, sign in (("a", "swollen_days"), ("b", "knee_stuck"))
        ),
    )
    new = (
        event(day, "fall", note="On the slipway.", written_at=last.written_at),
        event(day, "new_tablets", note="For the night.", written_at=last.written_at),
    )
    return Diary(plans=(plan,), entries=(*diary.entries, *new))


@pytest.mark.parametrize("letter", [False, True])
def test_the_fullest_person_fits_its_pages_and_loses_only_what_says_nothing(letter: bool) -> None:
    """On Letter the report of both knees takes a page more."""
    diary = fullest()
    report = visit_report(diary, [findings(diary, side) for side in diary.plan.sides], CATALOGUE)
    pages = pages_of(visit_report_pdf(report, letter=letter))
    own = pages_of(visit_summary_pdf(report.summary, letter=letter))
    assert len(pages) == 3 + letter
    assert len(own) <= 2
    after_first = " ".join(own[1:])
    for answer in report.summary.answers:
        for row in answer.rows:
            if not row.spare:
                assert row.label.split()[-1] in after_first
    assert "Dr Pell agrees" in after_first
    assert " ".join(pages).count("Dr Pell agrees") == 1
    cells = {row.label: len(row.cells) for answer in report.summary.answers for row in answer.rows}
    assert (cells["Weeks kept"], cells["Pain"]) == (1, 2)  # alike for both knees, and not
    assert "Signs open at signing" in " ".join(pages)


def test_the_plan_in_force_is_there_with_its_values_and_who_signed_it() -> None:
    plan = diary_of("osric").plan
    assert plan.sign_off is not None
    words = {row.label: row.cells[0].words for row in report_of("osric").plan_rows}
    assert plan.sign_off.name in words["Signed by"]
    assert plan.sign_off.content_sha256[:16] in words["Signed by"]
    assert f"ceiling {plan.pain_ceiling}" in words["Limits"]
    assert f"at most {plan.tape.cap_hours} h" in words["Tape"]
    for technique in plan.techniques:
        assert CATALOGUE.technique(technique.technique).title in words["Hands"]


def test_a_tape_trial_in_force_is_a_line_of_the_plan() -> None:
    plan = plan_of(tried())
    assert plan.trial is not None
    words = {row.label: row.cells[0].words for row in plan_rows(plan, CATALOGUE)}
    assert words["Tape trial"].startswith("8 pairs of 3 days with and without, right knee")
    assert "Not blinded" in words["Tape trial"]
    assert plan.trial.schedule_sha256[:16] in words["Tape trial"]
    assert "Tape trial" not in {row.label for row in plan_rows(plan_of(ready()), CATALOGUE)}


def test_each_figure_has_its_number_of_values_for_each_knee() -> None:
    report = report_of("wilma")
    diary = diary_of("wilma")
    found = [findings(diary, side) for side in diary.plan.sides]
    assert len(found) == 2
    line = next(line for line in report.sources if line.figure == "Day pages")
    assert line.n == " / ".join(str(each.provenance["diary"].n) for each in found)
    assert "Stone 2003" in line.source


def test_nothing_is_explained_that_rests_on_nothing() -> None:
    diary = Diary(plans=diary_of("edda").plans)
    empty = visit_report(diary, [findings(diary, side) for side in diary.plan.sides], CATALOGUE)
    assert empty.sources == ()
    pages = pages_of(visit_report_pdf(empty))
    assert len(pages) == 1
    assert empty.sources_heading not in pages[0]


@pytest.mark.parametrize("who", ["edda", "osric"])
def test_sore_places_stand_in_it_before_and_after(who: str) -> None:
    report = report_of(who)
    text = " ".join(pages_of(printed(who)))
    assert report.zones_heading in text
    assert len(report.zones) == len(diary_of(who).plan.sides)
    for name, table in report.zones:
        assert len(report.zones) == 1 or name in text
        for row in table.rows:
            assert " ".join(cell or "" for cell in row) in text


def test_a_report_needs_findings() -> None:
    with pytest.raises(ValueError, match="findings"):
        visit_report(diary_of("edda"), [], CATALOGUE)


def test_the_same_report_gives_the_same_bytes() -> None:
    assert visit_report_pdf(report_of("edda")) == visit_report_pdf(report_of("edda"))


@pytest.mark.parametrize("pairs", [6, 12])
@pytest.mark.parametrize("letter", [False, True])
def test_a_trial_of_any_size_takes_one_page(pairs: int, letter: bool) -> None:
    report = report_of("jory")
    (view,) = report.trials
    rows = (view.table.rows * 2)[:pairs]
    sized = replace(view, table=replace(view.table, rows=rows))
    made = visit_report_pdf(replace(report, trials=(sized,)), letter=letter)
    assert len(pages_of(made)) == 4


def test_each_trial_has_a_page_of_its_own() -> None:
    report = report_of("jory")
    pages = pages_of(visit_report_pdf(replace(report, trials=report.trials * 2)))
    assert len(pages) == 5
    assert pages[3].replace("Page 4", "") == pages[4].replace("Page 5", "")


def test_the_page_of_a_trial_says_all_the_review_says() -> None:
    report = report_of("jory")
    (view,) = report.trials
    squeezed = "".join(pages_of(visit_report_pdf(report))[3].split())
    said = [view.sentence, view.limits, *view.table.headers]
    said += [cell for row in view.table.rows for cell in row if cell]
    said += [row.cells[0].words for part in view.parts for row in part.rows]
    said += [row.label for part in view.parts for row in part.rows]
    for words in said:
        assert "".join(words.split()) in squeezed, words


@pytest.mark.parametrize("who", ["tobin", "jory"])
def test_every_mark_is_a_grey(who: str) -> None:
    """Black-and-white safe: no colour on a page has parts that differ by more than a warm grey."""
    reader = PdfReader(io.BytesIO(printed(who)))
    colours = set()
    for page in reader.pages:
        contents = page.get_contents()
        assert contents is not None
        for line in contents.get_data().decode("latin-1").splitlines():
            parts = line.split()
            if parts and parts[-1] in ("rg", "RG", "scn", "SCN") and len(parts) >= 4:
                colours.add(tuple(float(part) for part in parts[-4:-1]))
    assert colours
    assert all(max(colour) - min(colour) < 0.07 for colour in colours), colours
