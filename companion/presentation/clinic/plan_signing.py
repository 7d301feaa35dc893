"""The last page of the plan writer: what stands in the way, what changed, what is signed."""

from __future__ import annotations

from dataclasses import dataclass

from companion.care.catalogue import Catalogue
from companion.care.records import Plan, TapeTrial
from companion.presentation.clinic.plan_form import Field, FormMaker, section_heading
from companion.presentation.clinic.plan_words import (
    Difference,
    answer_words,
    remarks,
    whose_plan,
)
from companion.presentation.language.caution_words import answered_yes, yes_words
from companion.presentation.language.open_sign_words import clinic_answers
from companion.presentation.language.phrases import dated, listed, phrase
from companion.presentation.language.plan_changes import (
    highest_stage_words,
    move_words,
    plan_changes,
    trial_words,
)
from companion.presentation.language.unsigned_words import unsigned_for_clinic
from companion.services.plan_answers import CAUTION_GROUPS, Answer, answers_of
from companion.services.plan_draft import PlanDraft, draft_faults, is_held, plan_of


@dataclass(frozen=True, slots=True, kw_only=True)
class SigningIssue:
    """One thing that stands in the way, or is advised: where, what it is called, the sentence."""

    section: str
    key: str
    label: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Signing:
    """The last page: what stands in the way, in the order of the pages, and what changed.

    `facts` sum the plan up for whoever signs; the hash is there only when it could be signed.
    `session` is what was answered of the first session, which is written with it.
    """

    facts: tuple[tuple[str, str], ...]
    session: tuple[SigningIssue, ...]
    faults: tuple[SigningIssue, ...]
    advice: tuple[SigningIssue, ...]
    changes: tuple[str, ...]
    differences: tuple[Difference, ...]
    content_sha256: str | None


def signing(draft: PlanDraft, catalogue: Catalogue, content_sha256: str) -> Signing:
    """What is said before signing."""
    found = draft_faults(draft, catalogue)
    form, fields = catalogue.plan_form, _fields(draft, catalogue)
    lines = []
    for key, said in remarks(found, catalogue).items():
        place = form.section_of(key).id
        label = fields[key].alone if key in fields else section_heading(place, catalogue)
        lines += [
            (one.advice, SigningIssue(section=place, key=key, label=label, text=one.text))
            for one in said
        ]
    order = [each.id for each in form.sections]
    lines.sort(key=lambda line: order.index(line[1].section))
    new = plan_of(draft)
    return Signing(
        facts=_facts(draft, new, catalogue),
        session=_session(draft, catalogue),
        faults=tuple(line for advice, line in lines if not advice),
        advice=tuple(line for advice, line in lines if advice),
        changes=() if draft.last is None else plan_changes(draft.last, new, catalogue),
        differences=differences(draft, catalogue),
        content_sha256=None if any(not f.advice for f in found) else content_sha256,
    )


def _session(draft: PlanDraft, catalogue: Catalogue) -> tuple[SigningIssue, ...]:
    """What was answered of the first session, in the order of its page."""
    if not is_held(draft):
        return ()
    form = catalogue.plan_form
    made = FormMaker(draft, catalogue).section(form.section(SESSION))
    return tuple(
        SigningIssue(
            section=SESSION,
            key=field.key,
            label=field.alone or field.label,
            text=_said(field, field.value),
        )
        for group in made.groups
        if group.shown
        for field in group.fields
        if field.shown and field.value not in (None, False) and field.key != HELD
    )


SESSION, HELD = "session", "session.held"


def _facts(draft: PlanDraft, plan: Plan, catalogue: Catalogue) -> tuple[tuple[str, str], ...]:
    answered = [answer for answer in plan.cautions if answer.answer]
    return (
        (
            phrase("For"),
            whose_plan(draft),
        ),
        (
            phrase("Version"),
            phrase("{version}, review on {day}", version=draft.version, day=dated(plan.review_on)),
        ),
        (phrase("Check move"), move_words(plan.check_move)),
        (
            phrase("Hands"),
            phrase(
                "{n} technique, {days} days a week, rounds {rounds}",
                "{n} techniques, {days} days a week, rounds {rounds}",
                n=len(plan.techniques),
                days=plan.hands_days_a_week,
                rounds=plan.rounds,
            ),
        ),
        (
            phrase("Exercise"),
            phrase(
                "{n} exercise, {days} days a week",
                "{n} exercises, {days} days a week",
                n=len(plan.exercises),
                days=plan.exercise_days_a_week,
            ),
        ),
        (phrase("Tape"), highest_stage_words(plan.tape)),
        *(() if plan.trial is None else ((phrase("Tape trial"), _trial(plan.trial)),)),
        (
            phrase("Cautions"),
            phrase(
                "{yes} answered yes, {no} no",
                yes=len(answered),
                no=len(plan.cautions) - len(answered),
            ),
        ),
        *(
            (phrase("On your judgement"), yes_words(answer, catalogue))
            for answer in answered_yes(plan, catalogue)
            if answer.allowed or answer.closed
        ),
        *((phrase("Open sign"), words) for words in clinic_answers(plan, catalogue)),
        *((phrase("Wording"), note) for note in (unsigned_for_clinic(catalogue),) if note),
    )


def _trial(trial: TapeTrial) -> str:
    """The trial, and the mark of its order, fixed before anybody sees it."""
    digest = trial.schedule_sha256[:16]
    return phrase("{words}. Order {digest}", words=trial_words(trial), digest=digest)


def differences(draft: PlanDraft, catalogue: Catalogue) -> tuple[Difference, ...]:
    """Every field that differs from the last version, as it was and as it is."""
    if draft.last is None:
        return ()
    before = answers_of(draft.last)
    fields = _fields(draft, catalogue)
    found = []
    for key in {**before, **draft.answers}:
        was, now = before.get(key), draft.answers.get(key)
        parts = key.split(".")
        if was == now or all(answer is None or answer is False for answer in (was, now)):
            continue
        if parts[0] in ("session", "open_signs", CAUTION_GROUPS):
            continue  # signs that are open are named above, with what was answered
        if parts[0] == "cautions" and parts[-1] == "on":
            continue  # the day is part of the answer
        if parts[0] in ("techniques", "exercises") and len(parts) == 3:
            ticks = (
                before.get(f"{parts[0]}.{parts[1]}"),
                draft.answers.get(f"{parts[0]}.{parts[1]}"),
            )
            if ticks != (True, True):
                continue  # new or gone: its dose says nothing more
        if (
            parts[0] == "trial"
            and key != "trial.on"
            and (before.get("trial.on"), draft.answers.get("trial.on")) != (True, True)
        ):
            continue  # new, gone or over: the change in words tells its sizes
        field = fields.get(key)
        label = key.replace("_", " ").replace(".", ", ") if field is None else field.alone
        found.append(Difference(label, _said(field, was), _said(field, now)))
    return tuple(found)


def _said(field: Field | None, answer: Answer) -> str:
    """An answer as it was chosen, or written; of several, each."""
    if field is None or field.kind not in ("choose", "several"):
        return answer_words(answer)
    chosen: dict[Answer, str] = {option.value: option.word for option in field.options}
    if field.kind == "several" and isinstance(answer, str):
        return listed(chosen[one] for one in answer.split() if one in chosen)
    return chosen.get(answer, answer_words(answer))


def _fields(draft: PlanDraft, catalogue: Catalogue) -> dict[str, Field]:
    return {field.key: field for field in FormMaker(draft, catalogue).every_field()}
