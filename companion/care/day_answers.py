"""Answers of a day page that may mean one of the signs of the stop list.

Swelling, being woken, stiffness and the worst pain are read against what is usual for this person:
what the plan says, else what the first full page said. Where neither is known, or the scale has no
room above it, days are counted instead. Whoever says that it is as before is asked again a week
later, not every day.
"""

from collections.abc import Collection, Iterable
from datetime import date, timedelta
from typing import get_args

from companion.care.finding import Entries, find, oldest_first
from companion.care.policy import AnswerPolicy
from companion.care.records import (
    DayAnswer,
    DayPage,
    Plan,
    Record,
    Side,
    Swelling,
    WarningSign,
    record,
)

_SWELLING: tuple[Swelling, ...] = get_args(Swelling)
"""The least swelling first."""
_HIGHEST: dict[DayAnswer, int] = {"swelling": 2, "woken": 1, "stiff": 720, "worst": 10}
"""Where each scale ends: grades of swelling, a yes, minutes, points of 10."""


@record
class RowOffer(Record):
    """From which value of an answer on a page offers these signs of the stop list; `usual` is
    what it is read against, None where that is not known."""

    answer: DayAnswer
    at_least: int
    usual: int | None
    signs: tuple[str, ...]


def value_of(page: DayPage, answer: DayAnswer) -> int | None:
    """An answer as a number: grades of swelling 0-2, woken 1 or not 0, minutes, points 0-10."""
    match answer:
        case "swelling":
            return graded(page.swelling)
        case "woken":
            return None if page.night_pain is None else int(page.night_pain)
        case "stiff":
            return page.stiffness_minutes
        case "worst":
            return page.pain_worst


def graded(swelling: Swelling | None) -> int | None:
    """Swelling as a number, none is 0."""
    return None if swelling is None else _SWELLING.index(swelling)


def usual_value(
    plan: Plan, entries: Entries, side: Side, answer: DayAnswer, before: date
) -> int | None:
    """What is usual of an answer: the plan's, else that of the first full page of the knee that is
    older than `before`; None where neither says it."""
    match answer:
        case "swelling":
            said = graded(plan.usual_swelling)
        case "woken":
            said = None if plan.usual_night is None else int(plan.usual_night)
        case "stiff":
            said = plan.usual_stiffness_minutes
        case "worst":
            said = plan.usual_worst
    if said is not None:
        return said
    for page in oldest_first(entries, DayPage, side=side):
        if page.form == "full":
            return value_of(page, answer) if page.for_day < before else None
    return None


def offer_of(
    rule: AnswerPolicy, plan: Plan, entries: Entries, side: Side, day: date
) -> RowOffer | None:
    """From which value on an answer is new on `day`; None where none can be."""
    usual = usual_value(plan, entries, side, rule.answer, day)
    at_least = _new_from(rule, usual, entries, side, day)
    if at_least is None:
        return None
    return RowOffer(answer=rule.answer, at_least=at_least, usual=usual, signs=rule.offers)


def row_offers(
    answers: Iterable[AnswerPolicy],
    plan: Plan,
    entries: Entries,
    side: Side,
    day: date,
    open_signs: Collection[str],
) -> tuple[RowOffer, ...]:
    """What the page of `day` offers: nothing that is open, and nothing that was answered for in
    the days before it, by a sign or as being as before."""
    return tuple(
        offer
        for rule in answers
        if not any(sign in open_signs for sign in rule.offers)
        and not _answered_lately(rule, entries, side, day)
        for offer in (offer_of(rule, plan, entries, side, day),)
        if offer is not None
    )


def _new_from(
    rule: AnswerPolicy, usual: int | None, entries: Entries, side: Side, day: date
) -> int | None:
    highest = _HIGHEST[rule.answer]
    lowest = rule.lowest_unknown
    if usual is not None:
        enough = usual + rule.steps_above * rule.step
        if enough <= highest:
            return max(rule.lowest, enough)
        lowest = max(rule.lowest, usual + 1)
    if lowest > highest:
        return None
    first_day = day - timedelta(days=rule.of_days - 1)
    pages = find(entries, DayPage, side=side, first_day=first_day, last_day=day)
    values = (value_of(page, rule.answer) for page in pages if page.for_day != day)
    earlier = sum(value is not None and value >= lowest for value in values)
    return lowest if earlier + 1 >= rule.days else None


def _answered_lately(rule: AnswerPolicy, entries: Entries, side: Side, day: date) -> bool:
    first_day = day - timedelta(days=rule.again_after_days - 1)
    pages = find(entries, DayPage, side=side, first_day=first_day, last_day=day)
    if any(rule.answer in page.as_before for page in pages if page.for_day != day):
        return True
    return any(
        sign.sign in rule.offers
        and sign.cleared != "ticked_by_mistake"
        and side in (sign.sides or (side,))
        for sign in find(entries, WarningSign, first_day=first_day, last_day=day)
    )
