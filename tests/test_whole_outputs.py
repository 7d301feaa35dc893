"""The diary that holds everything goes through every output: nothing fails, and no page shows a
code, a key, None or a number that is none."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import fields
from datetime import date, datetime, time, timedelta
from functools import cache
from itertools import groupby, pairwise
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, cast, get_args

import pytest
from jsonschema import Draft202012Validator

from companion.app.commands import run
from companion.care.bad_days import bad_day_rule, rest_pain_limit
from companion.care.chair_questions import NotNowPage
from companion.care.closures import open_warnings
from companion.care.days import diary_day
from companion.care.dose import dose_rule, one_step_down
from companion.care.flow import WalkPage
from companion.care.history import current
from companion.care.measuring import measured
from companion.care.outing_questions import TapeForOutingPage
from companion.care.records import ENTRY_KINDS, AnyEntry, Diary, Plan, Side
from companion.care.routine import DosePage, ExercisePage, NoHandsPage, StepPage
from companion.care.step_limits import ceiling_of
from companion.care.taping import NoTapePage, TapeOnPage
from companion.evidence.figures import Findings
from companion.evidence.flares import RAISED_DAYS_RUNNING, RAISED_POINTS
from companion.exchange.files import diary_bytes
from companion.exchange.table import read_table
from companion.exchange.taking_in import preview
from companion.paper.booklet import booklet_pdf
from companion.paper.cutting_sheet import cutting_sheet_pdf
from companion.paper.record_picture import record_png
from companion.paper.record_sheet import RecordSheet, record_sheet_pdf
from companion.paper.report import visit_report_pdf
from companion.paper.visit_summary import visit_summary_pdf
from companion.presentation.clinic.answers import _past_the_limit, clinic_answers, knee_of
from companion.presentation.clinic.periods import pairs, periods_view
from companion.presentation.clinic.plan_form import contents, section, sections_of
from companion.presentation.clinic.plan_signing import signing
from companion.presentation.clinic.review import first_page_answers, record_days
from companion.presentation.clinic.tables import warnings_table
from companion.presentation.home import home_pages, measuring_pages, settings_pages
from companion.presentation.home.card_pages import closed_by_card
from companion.presentation.home.cutting import NoCuttingSheet, cutting_sheet, stretch_of_strips
from companion.presentation.home.front import front_view
from companion.presentation.home.handed_over import (
    PLAN,
    entries_view,
    handed_view,
    kind_view,
    pages_of,
)
from companion.presentation.home.papers_pages import papers_view
from companion.presentation.home.record_tables import SECTIONS, NamedTable, section_tables
from companion.presentation.home.record_view import Span, record_view
from companion.presentation.home.reminders import reminders
from companion.presentation.home.stay import stay_view
from companion.presentation.language.open_sign_words import home_answers
from companion.presentation.language.plan_changes import plan_changes
from companion.presentation.language.said import said_words
from companion.presentation.papers.booklet import Booklet, booklet
from companion.presentation.papers.findings_words import findings_words
from companion.presentation.papers.home_sheets import blank_days, card_sheets, fridge_sheet
from companion.presentation.papers.plan_report import plan_rows, visit_report
from companion.presentation.papers.summary import visit_summary
from companion.presentation.view.chart import DaySpan
from companion.presentation.view.count_words import count_words
from companion.presentation.view.page import Counting, PageView
from companion.services.export import FORMATS, export_files
from companion.services.front import front
from companion.services.plan_draft import from_last
from companion.services.settings import Settings
from companion.system.resources import resource
from tests.care.walking import CATALOGUE
from tests.found import findings
from tests.languages.recorded import Recorded
from tests.raw_codes import CODE, TYPED, codes_in, in_pdf, raw, said
from tests.said import sentence
from tests.services.context_for_tests import HandClock, Kept
from tests.whole_diary import HOME, whole_diary, whole_play
from tests.wording_said import PAGE_END, unsigned_pages

# ---------------------------------------------------------------- the outputs


def page(view: Any) -> Iterator[str]:
    """Every text of a page, and its end."""
    yield from said(view)
    yield PAGE_END


SIDES: tuple[Side, ...] = get_args(Side)


@cache
def diary() -> Diary:
    """What everything is made of."""
    return whole_diary()


@cache
def counting() -> tuple[AnyEntry, ...]:
    """Its entries that count."""
    return current(diary().entries)


@cache
def today() -> date:
    """The day after the last entry was written."""
    return diary_day(max(entry.written_at for entry in diary().entries)) + timedelta(days=1)


@cache
def found(side: Side) -> Findings:
    """The findings of one knee."""
    return findings(diary(), side)


@cache
def exported() -> dict[str, bytes]:
    """Every file of every export, by name."""
    return {file.name: file.data for file in export_files(diary(), FORMATS, said_words)}


def files_called(begin: str) -> list[str]:
    """The texts of the exported files whose names begin so."""
    return [data.decode() for name, data in exported().items() if name.startswith(begin)]


def findings_files() -> Iterator[str]:
    schema = json.loads(resource("schemas", "findings-1.schema.json").read_text("utf-8"))
    for text in files_called("findings"):
        Draft202012Validator(schema).validate(json.loads(text, parse_constant=_no_number))
        yield ""


def _no_number(name: str) -> None:
    raise AssertionError(f"{name} is no number of JSON")


def findings_text() -> Iterator[str]:
    for side in SIDES:
        yield from findings_words(diary(), found(side), CATALOGUE)


def fhir() -> Iterator[str]:
    """What a reader of the bundle sees: display, text and narrative, at whatever depth."""

    def shown(value: Any) -> Iterator[str]:
        if isinstance(value, dict):
            for name, inner in value.items():
                if isinstance(inner, str) and name in ("display", "text", "div", "title"):
                    yield inner
                yield from shown(inner)
        elif isinstance(value, list):
            for inner in value:
                yield from shown(inner)

    (text,) = files_called("fhir")
    yield from shown(json.loads(text, parse_constant=_no_number))


def table() -> Iterator[str]:
    """Its codes are its content: every column is in the dictionary, and nothing is a Python word;
    read again without a fault."""
    (text,) = files_called("table-K")
    header, *rows = csv.reader(io.StringIO(text))
    assert {name.partition(":")[0] for name in header} <= columns()
    yield from (cell for row in rows for cell in row if not CODE.fullmatch(cell))
    reading = read_table(text.encode(), diary().plan, datetime.combine(today(), time(), HOME))
    yield from (sentence(fault) for fault in reading.faults)


def columns() -> set[str]:
    """The columns of the table as its dictionary names them, without whose they are."""
    (dictionary,) = files_called("table-columns")
    return {row[0].partition(":")[0] for row in csv.reader(io.StringIO(dictionary))}


def calendar() -> Iterator[str]:
    (text,) = files_called("calendar")
    unfolded = text.replace("\r\n ", "")
    for line in unfolded.splitlines():
        name, _, words = line.partition(":")
        if name in ("SUMMARY", "DESCRIPTION"):
            yield words


def summary() -> Iterator[str]:
    made = visit_summary(diary(), [found(side) for side in diary().plan.sides], CATALOGUE)
    yield from said(made)
    yield from in_pdf(visit_summary_pdf(made))


def report() -> Iterator[str]:
    made = visit_report(diary(), [found(side) for side in diary().plan.sides], CATALOGUE)
    yield from said(made)
    yield from in_pdf(visit_report_pdf(made))


def record() -> Iterator[str]:
    """Every span of either knee with all its tables, and on paper all of it."""
    for side in SIDES:
        for span in Span:
            view = record_view(counting(), diary().plans, side, span, today())
            yield from said(view)
            yield from said(_sections(side, view.days))
        sheet = RecordSheet(diary().plan.person, "", view, _sections(side, view.days))
        yield from in_pdf(record_sheet_pdf(sheet, until=today()))
    assert record_png(diary().plan.person, [view])


def _sections(side: Side, days: DaySpan) -> tuple[NamedTable, ...]:
    return tuple(
        named
        for section in SECTIONS
        for named in section_tables(section, diary().entries, diary().plans, side, days)
    )


def any_day() -> Iterator[str]:
    """The record of every single day on which something was written down."""
    for day in sorted({entry.for_day for entry in counting()}):
        one = DaySpan(day, day)
        on_it = [entry for entry in counting() if entry.for_day == day]
        for side in SIDES:
            yield from said(record_view(on_it, diary().plans, side, one, today()))


def handed_over() -> Iterator[str]:
    yield from said(handed_view(diary()))
    for kind in (PLAN, *ENTRY_KINDS):
        if kind != PLAN:
            yield from said(kind_view(diary(), kind))
        pages = pages_of(diary(), kind, CATALOGUE)
        for number in range(len(pages)):
            yield from page(entries_view(kind, pages, number, CATALOGUE))


def walks() -> Iterator[str]:
    for view in dict.fromkeys(whole_play().views):
        yield from page(view)


def home() -> Iterator[str]:
    """The front page and its reminders every third evening, as things stood then; the visit."""
    entries = sorted(diary().entries, key=lambda entry: entry.written_at)
    days = groupby(entries, key=lambda entry: diary_day(entry.written_at))
    plans = list(diary().plans)
    clock = HandClock()
    with TemporaryDirectory() as folder:
        kept = Kept(Path(folder) / "store", clock=clock)
        journal = kept.context.journal
        for number, (day, written) in enumerate(days):
            clock.set(datetime.combine(day, time(20, 30), HOME))
            journal.append(*written, plans=[p for p in plans if p.written_on <= day])
            plans = [plan for plan in plans if plan.written_on > day]
            if number % 3 == 0:
                facts = front(kept.context)
                yield from page(front_view(facts, lambda: CATALOGUE))
                for reminder in reminders(facts):
                    yield from (reminder.sentence, reminder.go)
        yield from said(home_pages.visit_view(journal.diary()))
        kept.close()


def rooms() -> Iterator[str]:
    """The rooms of Home that rest on the plan alone, under every version."""
    settings = Settings()
    yield from said(settings_pages.settings_view(settings, has_plan=True))
    yield from said(
        settings_pages.data_view("homeknee", entries=len(diary().entries), has_plan=True)
    )
    yield from said(settings_pages.merge_view(preview(None, diary())))
    yield from page(settings_pages.clinic_about_view(CATALOGUE))
    yield from said(
        [papers_view(tapes=tapes, helper_view=False, letter=tapes) for tapes in (True, False)]
    )
    for plan in diary().plans:
        yield from page(
            home_pages.plan_preview_view(
                plan, comes_with=diary().entries, of_signs=home_answers(plan, CATALOGUE)
            )
        )
        yield from page(settings_pages.numbers_view(plan))
        yield from page(settings_pages.help_view(plan))
        yield from page(settings_pages.signs_view(plan, CATALOGUE))
        yield from page(settings_pages.about_view(CATALOGUE, plan))
        for side in plan.sides:
            yield from said(measuring_pages.bump_view(plan, side))
            yield from said(measuring_pages.edge_view(plan, side))
            yield from said(measuring_pages.readings_view(plan, side))
            for readings in ((8.4, 8.6), (8.4, 9.1), (17.0, 17.2), (1.0, 1.0)):
                read = measured(*readings, "cm")
                yield from said(measuring_pages.measured_view(read, side))


@cache
def booklets() -> tuple[Booklet, ...]:
    """The booklet of every version, by turns that of the person and of the helper."""
    return tuple(
        booklet(plan, CATALOGUE, today=plan.written_on, for_helper=plan.version % 2 == 0)
        for plan in diary().plans
    )


def papers() -> Iterator[str]:
    """Booklet, cutting sheet and tape for days away, under every version."""
    # The table for days without a computer names its columns, as the file does that is typed.
    coded = (name for name in columns() if "_" in name)
    any_column = re.compile("|".join(sorted(coded, key=len, reverse=True)))
    for plan, content in zip(diary().plans, booklets(), strict=True):
        sheets = (content, fridge_sheet(plan, CATALOGUE), card_sheets(plan, CATALOGUE))
        for part, note in ((part, sheet.running_head) for sheet in sheets for part in sheet.pages):
            yield from (any_column.sub("column", text) for text in page((part, note)))
        try:
            sheet = cutting_sheet(plan)
            yield from said(stay_view(plan, 10))
        except NoCuttingSheet as missing:
            yield str(missing)
        else:
            yield from said(sheet)
            yield from in_pdf(cutting_sheet_pdf(sheet, on=today()))
    for line in in_pdf(booklet_pdf(content, on=today())):
        yield any_column.sub("column", line)


def plans_to_write() -> Iterator[str]:
    """The plan writer on every version, and what each changed."""
    for plan in diary().plans:
        draft = from_last(plan, today())
        yield from said(contents(draft, CATALOGUE))
        yield from page(signing(draft, CATALOGUE, "0" * 64))
        for key in sections_of(draft, CATALOGUE):
            if key != "sign":
                yield from page(section(key, draft, CATALOGUE))
    for old, new in pairwise(diary().plans):
        yield from plan_changes(old, new, CATALOGUE)


def periods() -> Iterator[str]:
    for side in SIDES:
        days = record_days(counting(), diary().plan, side)
        for pair in pairs(diary().plans, days.first_day, days.last_day):
            yield from said(pair.words)
            yield from said(periods_view(counting(), diary().plans, side, pair.one, pair.other))


OUTPUTS: dict[str, Callable[[], Iterator[str]]] = {
    "findings": findings_files,
    "findings in words": findings_text,
    "bundle": fhir,
    "table": table,
    "calendar": calendar,
    "visit summary": summary,
    "report": report,
    "record": record,
    "any day": any_day,
    "handed over": handed_over,
    "walks": walks,
    "home": home,
    "rooms": rooms,
    "papers": papers,
    "plan writer": plans_to_write,
    "two periods": periods,
}


@pytest.mark.parametrize("output", OUTPUTS)
def test_an_output_of_everything_shows_no_code(output: str) -> None:
    """Nor the words of a sign, a card, a caution or the gate without that nobody signed them; and
    every sentence is one that a translator is given."""
    heard = Recorded()
    with heard.listening():
        texts = list(OUTPUTS[output]())
    assert texts
    assert codes_in(texts) == []
    assert unsigned_pages(texts) == []
    assert heard.unknown() == []


@pytest.mark.parametrize("sentence", ["A lump at the knee.", "Broken or sore skin?"])
def test_wording_without_its_note_is_found(sentence: str) -> None:
    told = "Practice wording: no licensed clinician has signed it yet."
    assert unsigned_pages([sentence, PAGE_END, told, PAGE_END])
    assert not unsigned_pages(["Next", PAGE_END, sentence, told, PAGE_END])


# ---------------------------------------------------------------- limits

LIMITS = frozenset(
    {
        *("StepPage.most_pain", "ExercisePage.most_pain", "StepHurtPage.most_pain"),
        *("StepStoppedPage.most_pain", "ExercisePage.planned", "RestPainPage.limit"),
        *("NoHandsPage.rest_pain", "MovePage.allowed", "MovePage.mark", "MovePage.enough"),
        *("DecisionPage.enough", "BadDayPage.mark", "SpellPage.mark", "HowPage.ceiling"),
        *("TryPage.ceiling", "NotNowPage.ceiling", "QuickStepPage.seconds"),
        *("KnownStepsPage.most_pain", "BothRestPage.limit"),
    }
)
"""The limits of the plan, or of the day, by which a page goes on or leaves something out."""
NO_LIMITS = {
    *("ActivityPage.count", "ActivityPage.index", "BadDayPage.exercises", "BadDayPage.hands"),
    *("BadDayPage.score", "CheckedPage.most_days_ago", "DecisionPage.before"),
    *("DecisionPage.exercises_next", "DecisionPage.latest", "ExercisePage.count"),
    *("ExercisePage.index", "MovePage.number", "MovePage.stage", "NoHandsPage.exercises"),
    *("NoMovePage.exercises", "NoMovePage.hands", "PatchStepPage.count", "PatchStepPage.index"),
    *("SignOfAnswerPage.usual", "SignOfAnswerPage.value", "SpellPage.score", "StepPage.count"),
    *("StepPage.index", "StepPage.round_number", "StepPage.rounds", "StepStoppedPage.pain"),
    *("TapeOnPage.stage", "TapeReadyPage.stage", "TapeStepPage.count", "TapeStepPage.write"),
    *(
        "KnownStepsPage.round_number",
        "TapeStepPage.number",
        "TapeStepPage.stage",
        "TapeStoppedPage.over",
        "TopicsPage.question",
    ),
    *("WorstBelowAveragePage.average", "WorstBelowAveragePage.worst"),
}
"""Numbers of pages that limit nothing: scores, places in a row, counts of what comes next."""


def _of_the_plan(shown: WalkPage, plan: Plan) -> tuple[float, ...]:
    """Limits that a page takes from its plan."""
    tape = plan.tape
    match shown:
        case TapeOnPage() | TapeForOutingPage():
            hours = (tape.first_wear_hours, tape.second_wear_hours, tape.wear_hours)
            return (*(min(one, tape.cap_hours) for one in hours), tape.cap_hours)
        case NoTapePage(reasons=("rest",)):
            return (tape.rest_hours,)
        case NoHandsPage(reason="rest_pain"):
            return (rest_pain_limit(plan),)
        case NoHandsPage(reason="flare"):
            return (RAISED_POINTS, RAISED_DAYS_RUNNING)
        case ExercisePage(exercise=exercise):
            sets = exercise.sets if exercise.sets > 1 else 0
            return (exercise.repeats, sets, exercise.hold_seconds or 0)
        case StepPage(technique=technique):
            return (technique.seconds, technique.repeats if technique.repeats > 1 else 0)
        case DosePage(dose=dose):
            planned = [one.repeats for one in plan.exercises]
            fewer = [pair for pair in zip(dose.repeats, planned, strict=True) if pair[0] < pair[1]]
            rounds = (dose.rounds, plan.rounds) if dose.rounds < plan.rounds else ()
            return (*rounds, *(number for pair in fewer for number in pair))
    return ()


def test_every_limit_stands_as_its_number_on_the_page_it_limits() -> None:
    """Over every page of every walk. A number of a page that is in neither list is a new one: say
    whether it limits anything."""
    missing, listed = set(), set[str]()
    for shown, plan, view in whole_play().shown:
        kind = type(shown).__name__
        numbers = {*re.findall(r"\d+", " ".join((*said(view), *_counted(view))))}
        wanted: list[tuple[str, float]] = [("plan", n) for n in _of_the_plan(shown, plan) if n]
        for each in fields(cast("Any", shown)):
            name, value = f"{kind}.{each.name}", getattr(shown, each.name)
            if isinstance(value, bool) or not isinstance(value, int):
                continue
            assert (name in LIMITS) != (name in NO_LIMITS), name
            listed.add(name)
            elsewhere = isinstance(shown, NotNowPage) and shown.reason != "pain"
            wanted += [] if name in NO_LIMITS or elsewhere else [(name, value)]
        missing |= {(kind, name, n) for name, n in wanted if f"{n:g}" not in numbers}
    assert sorted(missing) == []
    assert sorted(LIMITS - listed) == []


def _of_sore_mornings(plan: Plan) -> Iterator[float]:
    rule, less = dose_rule(CATALOGUE.policy, plan), one_step_down(CATALOGUE.policy, plan)
    yield from (rule.more_of, rule.last, rule.above_usual, rule.days)
    if less.steps:
        yield rule.sessions
        planned = ((less.rounds, plan.rounds if plan.techniques else 0),)
        each = zip(less.repeats, (one.repeats for one in plan.exercises), strict=True)
        yield from (n for now, then in (*planned, *each) if now < then for n in (now, then))


def test_every_limit_stands_on_the_page_of_the_booklet_it_limits() -> None:
    """Under every version of the plan, on the page of the step, the exercise, the tape or the day
    on which it acts: paper is read without the rest of it."""
    missing = set()
    for plan, made in zip(diary().plans, booklets(), strict=True):
        for paper in made.pages:
            numbers = {*re.findall(r"\d+", " ".join(said(paper)))}
            missing |= {
                (plan.version, paper.heading, f"{n:g}")
                for n in _of_paper(plan, paper.heading)
                if f"{n:g}" not in numbers
            }
    assert sorted(missing) == []


def _of_paper(plan: Plan, heading: str) -> Iterator[float]:
    """Limits of the plan that act on the page of the booklet with this heading."""
    tape, title = plan.tape, heading.partition(": ")[2]
    hands, exercise = ceiling_of("hands", plan), ceiling_of("exercise", plan)
    for technique in plan.techniques:
        if title == CATALOGUE.technique(technique.technique).title:
            yield from (hands, plan.stop_amount, technique.seconds)
            yield from (technique.repeats,) if technique.repeats > 1 else ()
    for done in plan.exercises:
        if title == CATALOGUE.exercise(done.exercise).title:
            yield from (exercise, done.repeats)
            yield from (n for n in (done.hold_seconds, done.sets if done.sets > 1 else 0) if n)
    wears = [min(n, tape.cap_hours) for n in (tape.first_wear_hours, tape.second_wear_hours)]
    wears.append(min(tape.wear_hours, tape.cap_hours))
    if title == "When the tape comes off":
        yield from wears
    if heading == "While the tape is on":
        yield from (*wears, tape.cap_hours)
        yield from (tape.rest_hours,) if tape.rest_hours else ()
    if title == "Taking the tape off":
        yield CATALOGUE.tape_steps.skin_again_minutes
    if heading == "Your home routine":
        yield from (hands, exercise, plan.stop_amount, rest_pain_limit(plan))
        rule = bad_day_rule(CATALOGUE.policy)
        yield from (rule.running, plan.flare_days or rule.days)
        yield from _of_sore_mornings(plan)
        yield from _bad_day_numbers(plan)


def _bad_day_numbers(plan: Plan) -> Iterator[float]:
    """The mark of the plan; what it is worked out from where the plan says none."""
    rule = bad_day_rule(CATALOGUE.policy)
    if plan.bad_day_mark is not None and not plan.bad_day_mark_off:
        yield plan.bad_day_mark
    elif not plan.bad_day_mark_off:
        yield from (rule.above_usual, min(10, plan.pain_ceiling + rule.above_ceiling))


def _of_a_day(plan: Plan) -> Iterator[float]:
    """Limits that act on any day that is kept with a pen."""
    tape = plan.tape
    if plan.techniques:
        yield from (ceiling_of("hands", plan), plan.stop_amount)
    if plan.exercises:
        yield ceiling_of("exercise", plan)
    yield rest_pain_limit(plan)
    yield from _bad_day_numbers(plan)
    if tape.highest:
        hours = (tape.first_wear_hours, tape.second_wear_hours, tape.wear_hours)
        yield from (*(min(one, tape.cap_hours) for one in hours), tape.cap_hours)


def _of_the_file(plan: Plan) -> Iterator[float]:
    """Limits that the clinic reads of the plan in its report."""
    given = (
        *(plan.rounds, plan.check_moves, plan.ease_target_percent, plan.stop_amount),
        *(plan.pain_ceiling, plan.low_score, plan.bad_day_mark, plan.rest_pain_limit),
        *(plan.exercise_ceiling, plan.flare_days, plan.floor_rounds, plan.floor_repeats_percent),
        *(plan.mornings_down, plan.expected_weeks),
    )
    yield from (one for one in given if one is not None)
    tape = plan.tape
    if tape.highest and tape.when != "never":
        yield from (tape.first_wear_hours, tape.second_wear_hours, tape.wear_hours)
        yield from (tape.cap_hours, tape.rest_hours)


Limited = Iterator[tuple[str, Iterable[str], Iterable[float]]]
"""Where on an output, its texts there, and the limits that act there."""


def _days_on_paper(plan: Plan) -> Limited:
    sheets = blank_days(plan, CATALOGUE.policy, plan.written_on, 1)
    yield "head of a sheet", sheets.limits, _of_a_day(plan)


def _cut(plan: Plan) -> Limited:
    try:
        knees = cutting_sheet(plan).knees
    except NoCuttingSheet:
        return
    steps = [step for stage in CATALOGUE.tape_steps.stages for step in stage.steps]
    for one in knees:
        told = " ".join(stretch_of_strips(plan, one.side, steps))
        lengths = (float(round(piece.length_mm)) for piece in one.pieces)
        yield one.heading, one.lines, (*lengths, *map(float, re.findall(r"\d+", told)))


def _cards(plan: Plan) -> Limited:
    """From which day on the person may open a card, on screen and on paper."""
    paper = list(said(card_sheets(plan, CATALOGUE).pages))
    for sign in CATALOGUE.stop_list.signs:
        row, rows = CATALOGUE.policy.sign(sign.id), closed_by_card(sign, plan, CATALOGUE)
        known = CATALOGUE.known_by(plan, sign.id)
        left = set() if known is None else {*known.stays_open}
        days = [one.after_days for one in row.closes if one.after_days and {*one.parts} - left]
        yield sign.id, [words for _, words in rows], days
        if days and sign.asked_when not in ("stop", "state"):
            yield f"{sign.id} on paper", [t for t in paper if all(w in t for _, w in rows)], days


def _fridge(plan: Plan) -> Limited:
    """What a sign of the fridge sheet counts by: a fever of 38, an age, days since."""
    for sheet in fridge_sheet(plan, CATALOGUE).pages:
        for sign in CATALOGUE.stop_list.signs:
            words = sign.told or sign.words
            if words in {*said(sheet)}:
                numbers = map(float, re.findall(r"\d+", sign.words))
                yield sign.id, [words], numbers


def _report(plan: Plan) -> Limited:
    rows = [" ".join(said(row)) for row in plan_rows(plan, CATALOGUE)]
    yield "plan in force", rows, _of_the_file(plan)


LIMITED: dict[str, Callable[[Plan], Limited]] = {
    "days on paper": _days_on_paper,
    "cutting sheet": _cut,
    "cards": _cards,
    "fridge sheet": _fridge,
    "report": _report,
}


@pytest.mark.parametrize("output", LIMITED)
def test_every_limit_stands_as_its_number_on_what_is_printed(output: str) -> None:
    """Under every version of the plan, beside what it limits there."""
    checked, missing = 0, set()
    for plan in diary().plans:
        for where, texts, limits in LIMITED[output](plan):
            numbers = {*re.findall(r"\d+", " ".join(texts))}
            wanted = {f"{limit:g}" for limit in limits}
            checked += len(wanted)
            missing |= {(plan.version, where, n) for n in wanted - numbers}
    assert sorted(missing) == []
    assert checked


def test_every_limit_that_was_passed_stands_beside_it() -> None:
    """On the front page, in review, report and summary: a step stopped above its limit, tape that
    was on too long, days that were bad."""
    too_long = [text for text in home() if "too long" in text]
    assert too_long
    assert [text for text in too_long if not re.search(r"\d", text)] == []
    seen = set()
    for side in SIDES:
        view = visit_summary(diary(), [found(side)], CATALOGUE)
        for row in (row for answer in view.answers for row in answer.rows):
            words = " ".join(said(row))
            if row.label == "Bad days" and "scored" in words:
                seen.add(row.label)
                assert re.search(r"mark \d+|no mark", words), words
            if row.label == "Night, swelling, stiffness" and "stiff" in words:
                seen.add(row.label)
                assert re.search(r"stiff over \d+ min", words), words
    for step in (step for side in SIDES for step in found(side).stopped_steps):
        if step.limit_points is not None:
            seen.add("Steps stopped")
            assert f"limit {step.limit_points}" in _past_the_limit(step)
    assert seen == {"Bad days", "Night, swelling, stiffness", "Steps stopped"}


@pytest.mark.parametrize("side", SIDES)
def test_paper_says_how_far_a_strip_is_stretched_as_the_screen_does(side: Side) -> None:
    steps = [step for stage in CATALOGUE.tape_steps.stages for step in stage.steps]
    for plan, made in zip(diary().plans, booklets(), strict=True):
        told = {*stretch_of_strips(plan, side, steps)}
        taped = [one for one in made.pages if f"{side.capitalize()} knee: Strip" in one.heading]
        if taped:
            assert told <= {*said(taped)}


def _counted(view: PageView) -> Iterator[str]:
    """What the control that counts says beside its figure."""
    for block in view.blocks:
        if isinstance(block, Counting):
            yield count_words(block.beats)


@pytest.mark.parametrize(
    "text",
    ["pain_average", "asked pain.baseline", "None", "Skin: None", "it is True", "nan", "{n} days",
     "Depth(seat_cm=45)", "datetime.date", "a None, b"],
)  # fmt: skip
def test_what_is_no_word_is_found(text: str) -> None:
    assert raw(text)


@pytest.mark.parametrize(
    "text",
    ["None written down.", "It hurt. None of these?", "Saved as findings-K.pdf", TYPED, "24.5 h",
     "nhs.uk/conditions", "Falls: none"],
)  # fmt: skip
def test_a_word_is_none_of_it(text: str) -> None:
    assert raw(text) == []


def test_every_command_takes_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    diary_file = tmp_path / "diary.homeknee"
    diary_file.write_bytes(diary_bytes(diary()))
    out = tmp_path / "out"
    out.mkdir()
    export = ("--fhir", f"{out}/b.json", "--csv", f"{out}/t.csv", "--ics", f"{out}/c.ics")
    for command in (
        ("verify", diary_file),
        ("findings", diary_file, "--side", "left"),
        ("findings", tmp_path, "--table", out / "table.csv"),
        ("export", diary_file, *export),
    ):
        assert run([str(part) for part in command]) == 0, command
        told = capsys.readouterr().out.splitlines()
        assert codes_in(told) == []
        assert unsigned_pages([*told, PAGE_END]) == [], command
    assert run(["doctor", str(tmp_path)]) in (0, 1)
    assert unsigned_pages([capsys.readouterr().out, PAGE_END]) == []
    assert run(["findings", str(diary_file), "--json"]) == 0
    json.loads(capsys.readouterr().out, parse_constant=_no_number)


ORDER = (
    *("Cards open", "Falls", "Knock to the head", "Skin", "Signs not answered for"),
    *("Steps stopped", "Night, swelling, stiffness", "Pain going up", "Own limit passed"),
)
"""What may be unsafe, in the order of rule r15. Silence comes first after a card, else last."""


@pytest.mark.parametrize("days_ago", [0, 150])
def test_anything_unsafe_stands_in_its_order_on_every_page_that_has_it(days_ago: int) -> None:
    last = today() - timedelta(days=days_ago)
    entries = current([one for one in diary().entries if diary_day(one.written_at) < last])
    so_far = Diary(plans=diary().plans, entries=entries)
    made = [findings(so_far, side) for side in SIDES]
    knees = [knee_of(one, entries) for one in made]
    days = record_days(entries, so_far.plan, SIDES[0])
    answers = clinic_answers(knees, so_far.plans, days, CATALOGUE)
    pages = {
        "summary": visit_summary(so_far, made, CATALOGUE).answers,
        "report": visit_report(so_far, made, CATALOGUE).summary.answers,
        "review": tuple(one for one, _ in first_page_answers(answers, knees)),
    }
    told = {}
    for name, page_answers in pages.items():
        (unsafe,) = [one for one in page_answers if one.question == "Anything unsafe?"]
        rows = [row.label for row in unsafe.rows]
        told[name] = [label for label in rows if label in ORDER]
        assert told[name] == sorted(told[name], key=ORDER.index), name
        silent = [at for at, label in enumerate(rows) if label == "Nothing written since"]
        listed = [at for at, label in enumerate(rows) if label in ORDER]
        assert all(at in (0, max([*listed, 0]) + 1) for at in silent), rows
    assert len({tuple(labels) for labels in told.values()}) == 1
    assert told["review"]


@pytest.mark.parametrize("days_ago", [0, 30, 90, 150, 210])
def test_every_page_calls_the_same_cards_open(days_ago: int) -> None:
    """What holds by the rule of Home: a sign of its own session does not, nor is one cleared by
    what cannot clear it."""
    last = today() - timedelta(days=days_ago)
    so_far = current([one for one in diary().entries if diary_day(one.written_at) < last])
    still_open = len(open_warnings(so_far, CATALOGUE.policy))
    told = [row[-1] or "" for row in warnings_table(so_far, CATALOGUE).rows]
    assert sum("still open" in words for words in told) == still_open
    lines = visit_summary(
        Diary(plans=diary().plans, entries=so_far),
        [findings(Diary(plans=diary().plans, entries=so_far), side) for side in SIDES],
        CATALOGUE,
    )
    (unsafe,) = [one for one in lines.answers if one.question == "Anything unsafe?"]
    told_open = [
        int(row.cells[0].lead.rstrip(":"))
        for row in unsafe.rows
        if row.label in ("Cards open", "Signs not answered for")
    ]
    assert sum(told_open) == still_open
