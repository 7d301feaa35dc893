"""What the plan form works out from the draft and says beside its fields."""

from __future__ import annotations

from dataclasses import dataclass

from companion.care.bad_days import bad_day_rule, offered_mark
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
from companion.presentation.language.phrases import in_figures, listed, phrase
from companion.services.plan_answers import Answer
from companion.services.plan_draft import PlanDraft, draft_faults, fixed_trial, usual_pain

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
    match telling:
        case "dated_cautions":
            return Told(_dated_cautions(catalogue))
        case "strip_lengths":
            return Told(_strip_lengths(draft, plan, row))
        case "weeks":
            return Told(_weeks(plan, draft.answers.get(f"amounts.{row}.label")))
        case "bad_day_mark":
            return Told(_bad_day_mark(draft, plan, catalogue))
        case "trial_in_the_way":
            return Told(_trial_in_the_way(draft, catalogue))
        case "trial_running":
            trial = plan.trial if plan.trial == fixed_trial(draft) else None
            return Told(() if trial is None else (running_words(trial, draft.today),))
        case "trial_outlook":
            return _trial_outlook(draft, plan)
        case "trial_course":
            return Told(how_it_goes())


def _dated_cautions(catalogue: Catalogue) -> tuple[str, ...]:
    return tuple(
        phrase(
            "{words}: {effect}",
            words=phrase(caution.clinic_words),
            effect=phrase(caution.clinic_effect),
        )
        for caution in catalogue.cautions.cautions
        if caution.dated
    )


def _bad_day_mark(draft: PlanDraft, plan: Plan, catalogue: Catalogue) -> tuple[str, ...]:
    """The mark that is offered, and from which usual score it follows; it is typed to confirm."""
    usual = usual_pain(draft, catalogue).before
    mark = offered_mark(bad_day_rule(catalogue.policy), usual, plan.pain_ceiling)
    if usual is None:
        return (phrase("No score is known yet. Offered mark: {mark}.", mark=mark),)
    if mark is None:
        return (
            phrase(
                "Usual before score {usual}: no mark is offered. You decide.",
                usual=in_figures(usual),
            ),
        )
    return (
        phrase(
            "Usual before score {usual}. Offered mark: {mark}.", usual=in_figures(usual), mark=mark
        ),
    )


def _strip_lengths(draft: PlanDraft, plan: Plan, row: str) -> tuple[str, ...]:
    measured = next((knee for knee in plan.knees if knee.side == row), None)
    said: list[str] = []
    if measured is not None and draft.answers.get("tape.when") != "never":
        strip, piece = side_strip(plan.tape, measured), short_piece(plan.tape, measured)
        if strip.slack_mm is not None and strip.paper_mm is not None:
            said.append(
                phrase(
                    "Side strip {slack} mm slack, {paper} mm on its paper.",
                    slack=in_figures(strip.slack_mm, ".0f"),
                    paper=in_figures(strip.paper_mm, ".0f"),
                )
            )
        if plan.tape.highest == 2 and piece.slack_mm is not None and piece.paper_mm is not None:
            said.append(
                phrase(
                    "Short piece {slack} mm slack, {paper} mm on its paper.",
                    slack=in_figures(piece.slack_mm, ".0f"),
                    paper=in_figures(piece.paper_mm, ".0f"),
                )
            )
    return tuple(said)


def _weeks(plan: Plan, label: Answer) -> tuple[str, ...]:
    """`160, 180, 200 ... 300 m, the goal in week 8`, while the row makes sense."""
    amount = next((each for each in plan.amounts if each.label == label), None)
    if amount is None or amount.goal < amount.baseline or amount.baseline <= 0:
        return ()
    weeks = weeks_to_goal(amount)
    if weeks is None:
        return ()
    first = [amount_in_week(amount, week) for week in range(1, min(weeks, _WEEKS_SAID) + 1)]
    numbers = listed(in_figures(number) for number in first)
    if weeks > _WEEKS_SAID:
        numbers = phrase("{numbers} ... {goal}", numbers=numbers, goal=in_figures(amount.goal))
    return (
        phrase(
            "Week by week, when each is kept: {numbers} {unit}. The goal comes in week {week}.",
            numbers=numbers,
            unit=amount.unit,
            week=weeks,
        ),
    )


def _trial_in_the_way(draft: PlanDraft, catalogue: Catalogue) -> tuple[str, ...]:
    """What stands in the way of the trial on other pages."""
    form = catalogue.plan_form
    found = [
        fault
        for fault in draft_faults(draft, catalogue)
        if fault.code.startswith("trial_") and form.section_of(fault.key).id != "trial"
    ]
    return tuple(
        phrase(
            "Under {page}: {fault}", page=phrase(form.section_of(key).heading), fault=remark.text
        )
        for key, said in remarks(found, catalogue).items()
        for remark in said
    )


def _trial_outlook(draft: PlanDraft, plan: Plan) -> Told:
    if plan.trial is None:
        return Told((), ())
    if plan.trial == fixed_trial(draft):
        return Told((), how_long(plan.trial))
    own: Limits | None = None
    if draft.at_hand is not None:
        own = draft.at_hand.limits[plan.trial.side, plan.measure]
    facts = (*how_long(plan.trial), *what_it_can_tell(plan.trial, own))
    return Told((how_it_is_read(own),), facts)
