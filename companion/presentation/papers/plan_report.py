"""The report for the clinic's file: the answers of the summary, the plan in force, the sources.

It says what the visit summary says and nothing else; what it adds is what a file must hold: whose
plan, with which values, and how every figure was made. No Qt, no clock.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from companion.care.catalogue import Catalogue
from companion.care.facts import Facts
from companion.care.history import current
from companion.care.records import Diary, Exercise, Plan, Side, TapeTrial
from companion.care.trial_days import fixed_schedule
from companion.evidence.figures import Findings
from companion.presentation.clinic.answers import Cell, Row
from companion.presentation.clinic.review import record_days
from companion.presentation.clinic.trial import TrialView, trial_view
from companion.presentation.clinic.zones import zone_maps, zone_table
from companion.presentation.home.record_view import RecordTable
from companion.presentation.language import codes
from companion.presentation.language.caution_words import (
    answered_yes,
    not_asked_words,
    yes_words,
)
from companion.presentation.language.fact_words import sources_words
from companion.presentation.language.phrases import dated, phrase
from companion.presentation.language.plan_changes import (
    dose_words,
    highest_stage_words,
    move_words,
    replacement_words,
    trial_words,
)
from companion.presentation.language.said import said_words
from companion.presentation.language.words import knee
from companion.presentation.papers.summary import VisitSummary, visit_summary
from companion.services.plan_answers import answers_of


@dataclass(frozen=True, slots=True)
class FigureSource:
    """How one figure was made: what it is called, of how many values, how, and who says so."""

    figure: str
    n: str
    method: str
    source: str


@dataclass(frozen=True, slots=True)
class VisitReport:
    """Two pages for the file. `plan_rows` are the plan in force, `sources` one line a figure.

    `trials` holds each knee's tape trial, where there was one, `zones` where each knee hurt before
    and after the routine, in the first weeks and in the last.
    """

    summary: VisitSummary
    title: str
    foot: str
    plan_heading: str
    plan_rows: tuple[Row, ...]
    sources_heading: str
    sources: tuple[FigureSource, ...]
    trial_heading: str
    trials: tuple[TrialView, ...]
    zones_heading: str
    zones: tuple[tuple[str, RecordTable], ...]


_FIGURES = {
    "diary": "Day pages",
    "exercise": "Exercise",
    "routine": "Hands",
    "pain.latest": "Pain, last 14 days",
    "pain.low": "Interval of the change",
    "pain.outcome": "Better or not",
    "pain.trend": "Weekly trend",
    "pain.flares": "Flares",
    "activities_mean": "Activities, mean",
    "ease": "Ease in the session",
    "tape": "Tape worn",
    "trial": "Tape trial",
    "chair_stand": "Chair stand",
}
"""The figures whose making a report explains, in the order of its answers. Limits that an answer
names beside its number, such as the size of noise, are not said twice; nor is the mean of the
first fourteen days, which is made as that of the last."""


def visit_report(diary: Diary, findings: Sequence[Findings], catalogue: Catalogue) -> VisitReport:
    """The report of one person; `findings` has one entry a knee, the main knee first.

    Raises ValueError without findings.
    """
    summary = visit_summary(diary, findings, catalogue)
    plan = diary.plan
    return VisitReport(
        summary=summary,
        title=phrase("Report for the file"),
        foot=phrase("Computed from what was written at home. It does not diagnose or advise."),
        plan_heading=phrase(
            "Plan in force: version {version} of {day}",
            version=plan.version,
            day=dated(plan.written_on),
        ),
        plan_rows=plan_rows(plan, catalogue),
        sources_heading=phrase("How each figure is made"),
        sources=_sources(findings, catalogue.facts),
        trial_heading=phrase("Tape trial"),
        trials=tuple(view for view in map(trial_view, findings) if view is not None),
        zones_heading=phrase("Where it hurt: in how many sessions, before and after the routine"),
        zones=tuple(_zones(diary, each.side) for each in findings),
    )


def _zones(diary: Diary, side: Side) -> tuple[str, RecordTable]:
    entries = current(diary.entries)
    days = record_days(entries, diary.plan, side)
    maps = zone_maps(entries, diary.plans, side, days.first_day, days.last_day)
    return knee(side), zone_table(maps)


def plan_rows(plan: Plan, catalogue: Catalogue) -> tuple[Row, ...]:
    """The plan in words for the clinic, a row for each part of it."""
    signed = (
        phrase("nobody: a practice plan")
        if plan.sign_off is None
        else phrase(
            "{name}, {registration}, content {digest}",
            name=plan.sign_off.name,
            registration=plan.sign_off.registration,
            digest=plan.sign_off.content_sha256[:16],
        )
    )
    rows = [
        (phrase("Signed by"), signed),
        (phrase("Review"), dated(plan.review_on)),
        (phrase("Check move"), move_words(plan.check_move)),
        (
            phrase("Hands"),
            _per_week(
                plan.hands_days_a_week,
                [dose_words(each, catalogue) for each in plan.techniques],
            ),
        ),
        (
            phrase("Exercise"),
            _per_week(
                plan.exercise_days_a_week,
                [_exercise(each, catalogue) for each in plan.exercises],
            ),
        ),
        (phrase("Limits"), _limits(plan, catalogue)),
        (phrase("Tape"), _tape(plan)),
        *(() if plan.trial is None else ((phrase("Tape trial"), _trial(plan.trial)),)),
        (phrase("Cautions, yes"), _cautions(plan, catalogue)),
        (phrase("Knee replacement"), replacement_words(plan)),
    ]
    return tuple(Row(label, (Cell("", words),)) for label, words in rows)


def _per_week(days: int, steps: Sequence[str]) -> str:
    if not steps:
        return phrase("none")
    return phrase(
        "{n} day a week: {steps}", "{n} days a week: {steps}", n=days, steps="; ".join(steps)
    )


def _exercise(exercise: Exercise, catalogue: Catalogue) -> str:
    words = dose_words(exercise, catalogue)
    if exercise.hold_seconds:
        words = phrase("{words}, held {n} s", words=words, n=exercise.hold_seconds)
    return words


def _limits(plan: Plan, catalogue: Catalogue) -> str:
    words = {field.key: field.report for field in catalogue.plan_form.fields}
    return ", ".join(
        phrase(said, value=answer)
        for key, answer in answers_of(plan).items()
        if (said := words.get(key)) is not None and answer is not None
    )


def _tape(plan: Plan) -> str:
    tape = plan.tape
    if tape.when == "never" or tape.highest == 0:
        return phrase("none")
    return phrase(
        "{stages} {when}, start at stage {start}; make {make}; {first}, {second}, then {then} h, "
        "at most {cap} h, rest {rest} h",
        stages=highest_stage_words(tape),
        when=codes.WHEN_TAPE[tape.when].clinic,
        start=tape.start,
        make=tape.make or phrase("not named"),
        first=tape.first_wear_hours,
        second=tape.second_wear_hours,
        then=tape.wear_hours,
        cap=tape.cap_hours,
        rest=tape.rest_hours,
    )


def _trial(trial: TapeTrial) -> str:
    if fixed_schedule(trial) is None:
        return trial_words(trial)
    return phrase(
        "{words}; until then in place of when to tape. Not blinded. Schedule {digest}",
        words=trial_words(trial),
        digest=trial.schedule_sha256[:16],
    )


def _cautions(plan: Plan, catalogue: Catalogue) -> str:
    said = [yes_words(answer, catalogue) for answer in answered_yes(plan, catalogue)]
    if not said:
        said.append(phrase("none of {n} answered", n=len(plan.cautions)))
    unasked = not_asked_words(plan, catalogue)
    return "; ".join(said if unasked is None else (*said, unasked))


def _sources(findings: Sequence[Findings], facts: Facts) -> tuple[FigureSource, ...]:
    """One line a figure that rests on anything; `n` of each knee, the main one first."""
    lines = []
    for key, name in _FIGURES.items():
        found = [each.provenance.get(key) for each in findings]
        there = [each for each in found if each is not None and each.n > 0]
        if not there:
            continue
        lines.append(
            FigureSource(
                phrase(name),
                " / ".join("0" if each is None else str(each.n) for each in found),
                said_words(there[0].method),
                sources_words(facts, there[0].facts),
            )
        )
    return tuple(lines)
