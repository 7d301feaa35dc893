"""The visit summary: what its two pages say, as frozen plain data. No Qt, no clock.

The first page is the person's own: questions, goal, their record in half points and everyday
words. The second is read by the clinic in a minute: six answers, always in the same order, each
number with its days and its source. "After" is said, never what a change came from: nothing but the
tape of a trial was given by chance. Private notes stay at home.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import get_args

from companion.care.catalogue import Catalogue
from companion.care.clocks import that_count
from companion.care.records import Diary, Measure, Plan, Question, Side
from companion.evidence.figures import Adherence, Findings
from companion.presentation.clinic.answers import (
    WINDOW_DAYS,
    AnswerRow,
    Cell,
    KneeFindings,
    ReviewQuestion,
    WatchedAnswer,
    by_knee,
    clinic_answers,
    counted,
    falls,
    knee_of,
    rows_of,
    unsafe_of,
)
from companion.presentation.home.record_view import (
    day_chart,
    knee_words,
    medicine_by_day,
    session_chart,
)
from companion.presentation.language import codes
from companion.presentation.language.code_table import capital
from companion.presentation.language.field_words import key_words
from companion.presentation.language.phrases import dated, joined, phrase, short_day
from companion.presentation.language.plan_changes import whose_knee
from companion.presentation.language.trial_words import goes_on, own_words_of, trial_sentence
from companion.presentation.language.unsigned_words import unsigned_for_clinic
from companion.presentation.language.verdict_words import better_own, reason
from companion.presentation.language.words import question_words
from companion.presentation.view.chart import Chart, DaySpan, days_between

LONGEST_CHART_DAYS = 112
"""Sixteen weeks: beyond that a day is too narrow to see on a page."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A question for the clinic and the day it was written."""

    day: str
    text: str


@dataclass(frozen=True, slots=True)
class KneeCharts:
    """The charts of one knee; `note` says when they hold less than the whole record."""

    day_chart: Chart
    session_chart: Chart
    note: str | None


@dataclass(frozen=True, slots=True)
class VisitSummary:
    """Two pages. `columns` names the knees of the answers; `own_rows` are the person's lines.

    `running_days` and `until` are of the whole record: its first and last entry of any kind.
    `foot` and `note` stand at the foot of each page.
    """

    person: str
    title: str
    running_head: str
    running_days: str
    until: date
    who: tuple[str, ...]
    plan_mark: str | None
    questions_heading: str
    questions: tuple[Asked, ...]
    earlier_heading: str
    earlier_questions: tuple[Asked, ...]
    goal_heading: str
    goal: str | None
    own_heading: str
    own_lead: str
    own_rows: tuple[AnswerRow, ...]
    pictures: tuple[KneeCharts, ...]
    clinic_title: str
    clinic_lead: tuple[str, ...]
    columns: tuple[str, ...]
    answers: tuple[ReviewQuestion, ...]
    foot: str
    note: str


# ---------------------------------------------------------------- the whole


def visit_summary(diary: Diary, findings: Sequence[Findings], catalogue: Catalogue) -> VisitSummary:
    """Both pages for one person; `findings` has one entry a knee, the main knee first.

    Raises ValueError without findings.
    """
    if not findings:
        raise ValueError("a visit summary needs the findings of at least one knee")
    plan = diary.plan
    entries = that_count(diary)
    knees = tuple(knee_of(found, entries) for found in findings)
    span = _whole_span(knees, plan)
    questions = [entry for entry in entries if isinstance(entry, Question)]
    since = [asked for asked in questions if asked.for_day >= plan.written_on]
    earlier = [asked for asked in questions if asked.for_day < plan.written_on]
    written = sorted(entry.for_day for entry in entries)
    record = DaySpan(written[0], written[-1]) if written else span
    page_days = [day for day in (_first_and_last(knees)) if day is not None]
    pages = DaySpan(min(page_days), max(page_days)) if page_days else None
    period = pages or record
    return VisitSummary(
        person=plan.person,
        title=phrase("For your visit"),
        running_head=phrase(
            "{person}, {knees}, care plan {version}",
            person=plan.person,
            knees=whose_knee(plan.side),
            version=plan.version,
        ),
        running_days=days_between(record) if written else phrase("nothing written down"),
        until=record.last_day,
        who=_who(plan, pages),
        plan_mark=phrase("Practice plan: nobody signed it. Not for a real knee.")
        if plan.practice
        else None,
        questions_heading=phrase("Your questions"),
        questions=tuple(_asked(entry) for entry in since),
        earlier_heading=phrase("Written before plan {version}", version=plan.version),
        earlier_questions=tuple(_asked(entry) for entry in earlier),
        goal_heading=phrase("Your goal"),
        goal=plan.goal,
        own_heading=phrase("What you wrote down"),
        own_lead=_own_measure(plan.measure),
        own_rows=_own_rows(knees, period, catalogue),
        pictures=tuple(_picture(knee, diary.plans, span, many=len(knees) > 1) for knee in knees),
        clinic_title=phrase("For the clinic, in one minute"),
        clinic_lead=_clinic_lead(plan, knees),
        columns=tuple(_column(knee.side, plan) for knee in knees),
        answers=clinic_answers(knees, diary.plans, period, catalogue),
        foot=phrase("From what was written at home. It does not diagnose, or choose treatment."),
        note=unsigned_for_clinic(catalogue),
    )


def _first_and_last(knees: Iterable[KneeFindings]) -> Iterable[date | None]:
    for knee in knees:
        yield knee.found.period.first_day
        yield knee.found.period.last_day


def _whole_span(knees: Sequence[KneeFindings], plan: Plan) -> DaySpan:
    """The days of the charts: all knees share one axis."""
    days = [day for day in _first_and_last(knees) if day is not None]
    days += [session.for_day for knee in knees for session in knee.sessions]
    if not days:
        return DaySpan(plan.written_on, plan.written_on + timedelta(days=WINDOW_DAYS - 1))
    last = max(days)
    return DaySpan(max(min(days), last - timedelta(days=LONGEST_CHART_DAYS - 1)), last)


def _picture(knee: KneeFindings, plans: Sequence[Plan], span: DaySpan, *, many: bool) -> KneeCharts:
    flares = [DaySpan(f.first_day, f.last_day) for f in knee.found.pain.flares]
    entries = knee.entries
    chart = day_chart(entries, plans, knee.side, span.first_day, span.last_day, flares=flares)
    moves = session_chart(entries, plans, knee.side, span.first_day, span.last_day)
    if many:
        name = knee_words(knee.side)
        chart = replace(chart, title=phrase("{knee}: pain by day", knee=name))
        moves = replace(moves, title=phrase("{knee}: check move before and after", knee=name))
    whole = knee.found.period.first_day
    cut = whole is not None and whole < span.first_day
    return KneeCharts(
        day_chart=chart,
        session_chart=moves,
        note=phrase("The chart shows the last {n} days.", n=span.days) if cut else None,
    )


def _who(plan: Plan, pages: DaySpan | None) -> tuple[str, ...]:
    return (
        phrase(
            "{person}, {knees}. Care plan {version} of {written}.",
            person=plan.person,
            knees=whose_knee(plan.side),
            version=plan.version,
            written=dated(plan.written_on),
        ),
        phrase("No day page was kept.")
        if pages is None
        else phrase(
            "Day pages from {first} to {last}.",
            first=dated(pages.first_day),
            last=dated(pages.last_day),
        ),
        phrase("Review: {review}.", review=dated(plan.review_on)),
    )


def _column(side: Side, plan: Plan) -> str:
    if plan.side == "both" and side == plan.main_side:
        return phrase("{knee} (main)", knee=knee_words(side))
    return knee_words(side)


def _asked(entry: Question) -> Asked:
    return Asked(day=short_day(entry.for_day), text=question_words(entry))


# ---------------------------------------------------------------- the person's page


def _own_rows(
    knees: Sequence[KneeFindings], period: DaySpan, catalogue: Catalogue
) -> tuple[AnswerRow, ...]:
    entries = knees[0].entries
    medicine = medicine_by_day(entries, period.first_day, period.last_day)
    fallen = [short_day(day) for day, _ in falls(entries, sided=False)]
    cards = [
        key_words("sign", each.sign or "", catalogue)
        for each in unsafe_of(knees, "open_card", "open_sign")
    ]
    return rows_of(
        AnswerRow(phrase("Cards still open"), (counted(len(cards), " ".join(cards)),))
        if cards
        else None,
        by_knee(phrase("Nothing written since"), knees, _own_silence),
        by_knee(phrase("Pain"), knees, _own_pain),
        by_knee(phrase("Exercise"), knees, lambda knee: own_part(knee.found.exercise)),
        by_knee(phrase("Hands"), knees, lambda knee: own_part(knee.found.routine)),
        by_knee(phrase("Tape"), knees, _own_tape),
        by_knee(phrase("Tape trial"), knees, _own_trial),
        AnswerRow.of(
            phrase("Extra pain medicine"),
            phrase(
                "{taken} of {n} day",
                "{taken} of {n} days",
                n=len(medicine),
                taken=sum(medicine.values()),
            ),
            phrase("you answered"),
        )
        if medicine
        else None,
        AnswerRow(phrase("Falls"), (counted(len(fallen), joined(fallen)),)) if fallen else None,
        *(_own_more(knees, code) for code in get_args(WatchedAnswer)),
    )


def _own_more(knees: Sequence[KneeFindings], code: WatchedAnswer) -> AnswerRow | None:
    """On how many of the last answered days an answer was more than usual; None where on none."""
    new = {each.side: each for each in unsafe_of(knees, code)}
    if not new:
        return None
    cells = []
    for knee in knees:
        found = new.get(knee.side)
        if found is None:
            cells.append(Cell("", phrase("as usual")))
            continue
        lead = phrase("{n} of {of}", n=found.count, of=found.of)
        cells.append(Cell(lead, phrase("days more than usual, of those you answered")))
    return AnswerRow(capital(codes.DAY_ANSWERS[code].home), tuple(cells))


def _own_silence(knee: KneeFindings) -> Cell | None:
    """When a whole week and more has nothing in it, up to the day of reading."""
    told = knee.found.verdicts.kept
    last = reason(told, "last_written")
    if told.verdict != "silent" or last is None:
        return None
    days = int(last["days"])
    since = dated(knee.found.read_on - timedelta(days=days))
    return Cell(phrase("{day},", day=since), phrase("{n} day", "{n} days", n=days))


def _own_pain(knee: KneeFindings) -> Cell | None:
    if knee.found.period.days == 0:
        return None
    return Cell("", better_own(knee.found.verdicts.better, knee.found.pain.model))


def _own_measure(measure: Measure) -> str:
    return phrase(
        "Pain is {measure}. 0 is none, 10 is the worst possible.",
        measure=codes.MEASURES[measure].clinic,
    )


def own_part(part: Adherence) -> Cell | None:
    """The days done of those planned, in the person's words; None where there is nothing to say."""
    done = part.sessions_done - part.done_on_days_left_out
    planned, more = part.sessions_prescribed, part.done_on_days_left_out
    if not planned and not part.sessions_done:
        return None
    if planned is None:
        lead, words = (phrase("{n} day", "{n} days", n=done), "") if done else ("", "")
    elif done > planned:
        lead = phrase("{n} day,", "{n} days,", n=done)
        words = phrase("{planned} planned", planned=planned)
    else:
        lead = phrase("{done} of {planned}", done=done, planned=planned)
        words = phrase("day planned", "days planned", n=planned)
    if more:
        also = phrase("{n} other day", "{n} other days", n=more)
        words = phrase("{words}, and on {also}", words=words, also=also) if lead else also
    return Cell(lead, words)


def _own_tape(knee: KneeFindings) -> Cell | None:
    tape = knee.found.tape
    if not tape.applications:
        return None
    return Cell(
        phrase("{n} time,", "{n} times,", n=tape.applications),
        phrase("on {n} day", "on {n} days", n=tape.days_worn),
    )


def _own_trial(knee: KneeFindings) -> Cell | None:
    found = knee.found
    return None if found.trial is None else Cell("", own_words_of(found.trial, found.verdicts.tape))


# ---------------------------------------------------------------- the clinic's page


def _clinic_lead(plan: Plan, knees: Sequence[KneeFindings]) -> tuple[str, ...]:
    signed_by = (
        phrase(
            "Signed by {name}, {number}.",
            name=plan.sign_off.name,
            number=plan.sign_off.registration,
        )
        if plan.sign_off is not None
        else phrase("Signed by nobody: a practice plan.")
    )
    told = ((knee.found.trial, knee.found.verdicts.tape) for knee in knees)
    over = [trial_sentence(one, tape) for one, tape in told if one is not None and not goes_on(one)]
    answers = over if plan.primary_question == "tape" else []
    return (
        phrase(
            "Primary question of the plan: {question}. All else is exploratory.",
            question=codes.PRIMARY_QUESTIONS[plan.primary_question].home,
        ),
        *(phrase("Its answer: {sentence}", sentence=sentence) for sentence in answers),
        signed_by,
    )
