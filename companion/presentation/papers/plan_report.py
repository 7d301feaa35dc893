"""The report for the clinic's file: the answers of the summary, the plan in force, the sources.

It says what the visit summary says and nothing else; what it adds is what a file must hold: whose
plan, with which values, and how every figure was made. No Qt, no clock.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from companion.care.catalogue import Catalogue
from companion.care.clocks import that_count
from companion.care.facts import Facts
from companion.care.records import Diary, Exercise, Plan, Side, TapeTrial
from companion.care.trial_days import fixed_schedule
from companion.evidence.figures import Findings
from companion.presentation.clinic.answers import AnswerRow, knee_of
from companion.presentation.clinic.behind import behind_answer
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
from companion.presentation.language.known_words import known_for_file
from companion.presentation.language.open_sign_words import clinic_answers
from companion.presentation.language.phrases import dated, listed, parted, phrase
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
    """What the file holds. `plan_rows` are what the answers do not say of the plan in force,
    `sources` one line a figure.

    `trials` holds each knee's tape trial, where there was one, `zones` where each knee hurt before
    and after the routine, in the first weeks and in the last.
    """

    summary: VisitSummary
    title: str
    foot: str
    plan_heading: str
    plan_rows: tuple[AnswerRow, ...]
    sources_heading: str
    sources: tuple[FigureSource, ...]
    trial_heading: str
    trials: tuple[TrialView, ...]
    zones_heading: str
    zones: tuple[tuple[str, RecordTable], ...]


_FIGURES = {
    "pain.model": "Pain, all days",
    "activities_mean": "Activities, mean",
    "verdicts.kept": "Weeks kept",
    "exercise": "Exercise, days",
    "routine": "Hands, days",
    "diary": "Day pages",
    "pain.latest": "Pain, last 14 days",
    "pain.low": "Change, first to last 14 days",
    "pain.trend": "By the week",
    "pain.flares": "Recorded flares",
    "ease": "Ease in the session",
    "tape": "Tape worn",
    "trial": "Tape trial",
}
"""The figures whose making a report explains, in the order of its answers. Limits that an answer
names beside its number, such as the size of noise, are not said twice; nor is how the mean of
the first fourteen days is made, which is as that of the last."""


def visit_report(diary: Diary, findings: Sequence[Findings], catalogue: Catalogue) -> VisitReport:
    """The report of one person; `findings` has one entry a knee, the main knee first.

    Raises ValueError without findings.
    """
    summary = visit_summary(diary, findings, catalogue)
    plan = diary.plan
    answered = [row for answer in summary.answers for row in answer.rows]
    return VisitReport(
        summary=summary,
        title=phrase("Report for the file"),
        foot=phrase("Computed from what was written at home. It does not diagnose or advise."),
        plan_heading=phrase(
            "Plan in force: version {version} of {day}",
            version=plan.version,
            day=dated(plan.written_on),
        ),
        plan_rows=tuple(row for row in plan_rows(plan, catalogue) if row not in answered),
        sources_heading=phrase("How each figure is made"),
        sources=_sources(diary, findings, catalogue.facts),
        trial_heading=phrase("Tape trial"),
        trials=tuple(view for view in map(trial_view, findings) if view is not None),
        zones_heading=phrase("Where it hurt: in how many sessions, before and after the routine"),
        zones=tuple(_zones(diary, each.side) for each in findings),
    )


def _zones(diary: Diary, side: Side) -> tuple[str, RecordTable]:
    entries = that_count(diary)
    days = record_days(entries, diary.plan, side)
    maps = zone_maps(entries, diary.plans, side, days.first_day, days.last_day)
    return knee(side), zone_table(maps)


def plan_rows(plan: Plan, catalogue: Catalogue) -> tuple[AnswerRow, ...]:
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
        *(((phrase("Known signs"), parted(_known(plan, catalogue))),) if plan.known_signs else ()),
        *(
            ((phrase("Signs open at signing"), parted(clinic_answers(plan, catalogue))),)
            if plan.open_signs
            else ()
        ),
        (phrase("Knee replacement"), replacement_words(plan)),
    ]
    return tuple(AnswerRow.of(label, "", words) for label, words in rows)


def _per_week(days: int, steps: Sequence[str]) -> str:
    if not steps:
        return phrase("none")
    return phrase(
        "{n} day a week: {steps}", "{n} days a week: {steps}", n=days, steps=parted(steps)
    )


def _exercise(exercise: Exercise, catalogue: Catalogue) -> str:
    words = dose_words(exercise, catalogue)
    if exercise.hold_seconds:
        words = phrase("{words}, held {n} s", words=words, n=exercise.hold_seconds)
    return words


def _limits(plan: Plan, catalogue: Catalogue) -> str:
    words = {field.key: field.report for field in catalogue.plan_form.fields}
    return listed(
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
        said.append(phrase("none; {n} answered no", n=len(plan.cautions)))
    unasked = not_asked_words(plan, catalogue)
    return parted(said if unasked is None else (*said, unasked))


def _known(plan: Plan, catalogue: Catalogue) -> list[str]:
    return [known_for_file(plan, one, catalogue) for one in plan.known_signs]


def _with_words(said: str | None, method: str) -> str:
    """How a figure is made, after what it says where no other page does."""
    return method if said is None else phrase("{said}. {method}", said=said, method=method)


def _sources(diary: Diary, findings: Sequence[Findings], facts: Facts) -> tuple[FigureSource, ...]:
    """One line a figure that rests on anything, with what stands behind the verdicts; `n` of each
    knee, the main one first."""
    lines = []
    entries = that_count(diary)
    behind = behind_answer([knee_of(found, entries) for found in findings])
    said = {row.label: " / ".join(cell.words for cell in row.cells) for row in behind.rows}
    first, last = said.get(phrase("Pain, first 14 days")), phrase("Pain, last 14 days")
    if first is not None and last in said:
        said[last] = phrase("{last}; first 14 days {first}", last=said[last], first=first)
    for key, name in _FIGURES.items():
        found = [each.provenance.get(key) for each in findings]
        there = [each for each in found if each is not None and each.n > 0]
        if not there:
            continue
        lines.append(
            FigureSource(
                phrase(name),
                " / ".join("0" if each is None else str(each.n) for each in found),
                _with_words(said.get(name), said_words(there[0].method)),
                sources_words(facts, there[0].facts),
            )
        )
    return tuple(lines)
