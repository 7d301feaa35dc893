"""What the plan form works out from the draft and says beside its fields."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from companion.care.catalogue import Catalogue
from companion.care.form import FormTelling
from companion.care.pacing import amount_in_week, weeks_to_goal
from companion.care.records import Plan
from companion.care.strips import short_piece, side_strip
from companion.evidence.figures import Limits
from companion.presentation.clinic.plan_trial import (
    how_it_goes,
    how_it_is_read,
    how_long,
    running_words,
    what_it_can_tell,
)
from companion.presentation.clinic.plan_words import remarks
from companion.presentation.language.phrases import phrase
from companion.services.plan_draft import PlanDraft, draft_faults, fixed_trial

Facts = tuple[tuple[str, str], ...]
_WEEKS_SAID = 9
"""Amounts of more weeks are not all written out."""


@dataclass(frozen=True, slots=True)
class Told:
    """Sentences, and names with values; None where there never are any."""

    said: tuple[str, ...] = ()
    facts: Facts | None = None


def told(
    telling: FormTelling, draft: PlanDraft, plan: Plan, catalogue: Catalogue, row: str
) -> Told:
    """What is said; `plan` is that of the draft, `row` the name of the row it stands in."""
    return _TELLINGS[telling](draft, plan, catalogue, row)


def _dated_cautions(_draft: PlanDraft, _plan: Plan, catalogue: Catalogue, _row: str) -> Told:
    return Told(
        tuple(
            phrase(
                "{words}: {effect}",
                words=phrase(caution.clinic_words),
                effect=phrase(caution.clinic_effect),
            )
            for caution in catalogue.cautions.cautions
            if caution.dated
        )
    )


def _strip_lengths(draft: PlanDraft, plan: Plan, _catalogue: Catalogue, row: str) -> Told:
    measured = next((knee for knee in plan.knees if knee.side == row), None)
    said: list[str] = []
    if measured is not None and draft.answers.get("tape.when") != "never":
        strip, piece = side_strip(plan.tape, measured), short_piece(plan.tape, measured)
        if strip.slack_mm is not None and strip.paper_mm is not None:
            said.append(
                phrase(
                    "Side strip {slack} mm slack, {paper} mm on its paper.",
                    slack=f"{strip.slack_mm:.0f}",
                    paper=f"{strip.paper_mm:.0f}",
                )
            )
        if plan.tape.highest == 2 and piece.slack_mm is not None and piece.paper_mm is not None:
            said.append(
                phrase(
                    "Short piece {slack} mm slack, {paper} mm on its paper.",
                    slack=f"{piece.slack_mm:.0f}",
                    paper=f"{piece.paper_mm:.0f}",
                )
            )
    return Told(tuple(said))


def _weeks(draft: PlanDraft, plan: Plan, _catalogue: Catalogue, row: str) -> Told:
    """`160, 180, 200 ... 300 m, the goal in week 8`, while the row makes sense."""
    label = draft.answers.get(f"amounts.{row}.label")
    amount = next((each for each in plan.amounts if each.label == label), None)
    if amount is None or amount.goal < amount.baseline or amount.baseline <= 0:
        return Told()
    weeks = weeks_to_goal(amount)
    if weeks is None:
        return Told()
    first = [amount_in_week(amount, week) for week in range(1, min(weeks, _WEEKS_SAID) + 1)]
    numbers = ", ".join(f"{number:g}" for number in first)
    if weeks > _WEEKS_SAID:
        numbers = phrase("{numbers} ... {goal}", numbers=numbers, goal=f"{amount.goal:g}")
    return Told(
        (
            phrase(
                "Week by week, when each is kept: {numbers} {unit}. The goal comes in week {week}.",
                numbers=numbers,
                unit=amount.unit,
                week=weeks,
            ),
        )
    )


def _trial_in_the_way(draft: PlanDraft, _plan: Plan, catalogue: Catalogue, _row: str) -> Told:
    """What stands in the way of the trial on other pages."""
    form = catalogue.plan_form
    found = [
        fault
        for fault in draft_faults(draft, catalogue)
        if fault.code.startswith("trial_") and form.section_of(fault.key).id != "trial"
    ]
    return Told(
        tuple(
            phrase(
                "Under {page}: {fault}",
                page=phrase(form.section_of(key).heading),
                fault=remark.text,
            )
            for key, said in remarks(found, catalogue).items()
            for remark in said
        )
    )


def _trial_running(draft: PlanDraft, plan: Plan, _catalogue: Catalogue, _row: str) -> Told:
    if plan.trial is None or plan.trial != fixed_trial(draft):
        return Told()
    return Told((running_words(plan.trial, draft.today),))


def _trial_outlook(draft: PlanDraft, plan: Plan, _catalogue: Catalogue, _row: str) -> Told:
    if plan.trial is None:
        return Told((), ())
    if plan.trial == fixed_trial(draft):
        return Told((), how_long(plan.trial))
    own: Limits | None = None
    if draft.at_hand is not None:
        own = draft.at_hand.limits[plan.trial.side, plan.measure]
    facts = (*how_long(plan.trial), *what_it_can_tell(plan.trial, own))
    return Told((how_it_is_read(own),), facts)


def _trial_course(_draft: PlanDraft, _plan: Plan, _catalogue: Catalogue, _row: str) -> Told:
    return Told(how_it_goes())


_TELLINGS: Mapping[FormTelling, Callable[[PlanDraft, Plan, Catalogue, str], Told]] = {
    "dated_cautions": _dated_cautions,
    "strip_lengths": _strip_lengths,
    "weeks": _weeks,
    "trial_in_the_way": _trial_in_the_way,
    "trial_running": _trial_running,
    "trial_outlook": _trial_outlook,
    "trial_course": _trial_course,
}
