"""The paced amounts of a plan, week by week: aims from the plan, what was written down, flares.

The rules are those of `care.pacing`; here are the numbers they stand on. An amount is the
person's: the largest of a day counts, from a day page or from an outing that was told of.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from companion.care.finding import Entries, find
from companion.care.pacing import PacedWeek, paced_since, paced_week, paced_weeks
from companion.care.records import AmountPlan, DayPage, Outing, Plan, newest_in_force
from companion.evidence.flares import recorded_flares
from companion.evidence.readings import pain_of

DoneByDay = dict[tuple[str, str], dict[date, float]]
"""The largest amount of each day, by label and unit."""


@dataclass(frozen=True, slots=True)
class PacedAmount:
    """One amount of the plan with its weeks, the first of them first."""

    planned: AmountPlan
    weeks: tuple[PacedWeek, ...]


def amounts_done(
    entries: Entries, first_day: date | None = None, last_day: date | None = None
) -> DoneByDay:
    """What was written down of each amount, from `first_day` to `last_day`."""
    done: DoneByDay = {}
    pages = find(entries, DayPage, first_day=first_day, last_day=last_day)
    outings = find(entries, Outing, first_day=first_day, last_day=last_day)
    amounts = [(page.for_day, one) for page in pages for one in page.amounts]
    amounts += [
        (outing.for_day, outing.amount)
        for outing in outings
        # Before an outing was told of, its amount is what was meant.
        if outing.amount is not None and outing.ended_because
    ]
    for day, amount in amounts:
        by_day = done.setdefault((amount.label, amount.unit), {})
        by_day[day] = max(by_day.get(day, 0.0), amount.amount)
    return done


def flare_days(entries: Entries, plan: Plan) -> frozenset[date]:
    """The days of recorded flares of any knee of the plan, in the plan's measure."""
    days: set[date] = set()
    for side in plan.sides:
        scores = {
            entry.for_day: score
            for entry in find(entries, DayPage, side=side)
            for score in [pain_of(entry, plan.measure)]
            if score is not None
        }
        for flare in recorded_flares(scores):
            days.update(flare.first_day + timedelta(days=step) for step in range(flare.days))
    return frozenset(days)


def paced_amounts(entries: Entries, plans: Sequence[Plan], today: date) -> tuple[PacedAmount, ...]:
    """The amounts of the plan in force up to the week of `today`. `entries` are those that count.

    An amount that cannot be paced, from a baseline of 0, is left out.
    """
    found = (
        PacedAmount(planned, paced_weeks(planned, since, today, done, flares))
        for planned, since, done, flares in _paced(entries, plans, today)
    )
    return tuple(each for each in found if each.weeks)


def paced_this_week(entries: Entries, plans: Sequence[Plan], today: date) -> tuple[PacedWeek, ...]:
    """The week of `today` of each of the `paced_amounts`."""
    found = (
        paced_week(planned, since, today, done, flares)
        for planned, since, done, flares in _paced(entries, plans, today)
    )
    return tuple(each for each in found if each is not None)


def _paced(
    entries: Entries, plans: Sequence[Plan], today: date
) -> Iterator[tuple[AmountPlan, date, dict[date, float], frozenset[date]]]:
    """Each amount of the plan in force, the day it is paced from, what was done, and flares."""
    plan = newest_in_force(plans)
    if not plan.amounts:
        return
    since = {planned: paced_since(plans, planned) for planned in plan.amounts}
    done, flares = amounts_done(entries, min(since.values()), today), flare_days(entries, plan)
    for planned in plan.amounts:
        key = planned.label, planned.unit
        yield planned, since[planned], done.get(key, {}), flares
