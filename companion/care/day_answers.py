"""Answers of a day page that may mean one of the signs of the stop list.

Swelling, being woken, stiffness and the worst pain are read against what is usual for this person:
what the plan says, else what the first full page said. The worst pain goes up and down from day to
day, and one page of it is chance: it is read against the range of the first pages (fact:
usual_worst_range). Where nothing is known, or the scale has no room above it, days are counted
instead. Whoever says that it is as before is asked again a week later, not every day.
"""

from collections.abc import Collection, Iterable
from datetime import date, timedelta
from itertools import dropwhile, islice, takewhile
from typing import NamedTuple, get_args

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


class UsualAnswer(NamedTuple):
    """What is usual of an answer: its middle, and the highest that still is."""

    middle: int
    highest: int


def usual_range(
    rule: AnswerPolicy, plan: Plan, entries: Entries, side: Side, before: date
) -> UsualAnswer | None:
    """What is usual of an answer: the plan's of the main knee, else that of the first pages of the
    knee older than `before`, from the first full one on; None where neither says it.

    What is usual of one knee would hide what is new in the other.
    """
    match rule.answer:
        case "swelling":
            said = graded(plan.usual_swelling)
        case "woken":
            said = None if plan.usual_night is None else int(plan.usual_night)
        case "stiff":
            said = plan.usual_stiffness_minutes
        case "worst":
            said = plan.usual_worst
    if said is not None and side == plan.main_side:
        return UsualAnswer(said, said)
    pages = oldest_first(entries, DayPage, side=side)
    since_full = dropwhile(lambda page: page.form != "full", pages)
    older = takewhile(lambda page: page.for_day < before, since_full)
    first = next(older, None)
    answer = None if first is None else value_of(first, rule.answer)
    if answer is None:
        return None
    later = (value_of(page, rule.answer) for page in older) if rule.usual_pages > 1 else ()
    known = (value for value in later if value is not None)
    values = sorted((answer, *islice(known, rule.usual_pages - 1)))
    if len(values) < rule.usual_pages_needed:
        return UsualAnswer(answer, answer)
    return UsualAnswer(values[len(values) // 2], values[-1])


def offer_of(
    rule: AnswerPolicy, plan: Plan, entries: Entries, side: Side, day: date
) -> RowOffer | None:
    """From which value on an answer is new on `day`; None where none can be."""
    usual = usual_range(rule, plan, entries, side, day)
    at_least = _new_from(rule, usual, entries, side, day)
    if at_least is None:
        return None
    return RowOffer(
        answer=rule.answer,
        at_least=at_least,
        usual=None if usual is None else usual.middle,
        signs=rule.offers,
    )


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
    rule: AnswerPolicy, usual: UsualAnswer | None, entries: Entries, side: Side, day: date
) -> int | None:
    highest = _HIGHEST[rule.answer]
    lowest = rule.lowest_unknown
    if usual is not None:
        enough = max(usual.middle + rule.steps_above * rule.step, usual.highest + rule.step)
        if enough <= highest:
            return max(rule.lowest, enough)
        lowest = max(rule.lowest, usual.middle + 1)
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
