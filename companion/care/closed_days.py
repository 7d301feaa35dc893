"""On which days what was closed, and by which rule: for counts, and for the clinic that asks why.

Signs close from their day until they are opened, cautions while the plan in force holds them. What
closes a session alone (rest pain, a bad day) is told by its session and closes no day.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from companion.care.closures import OF_BOTH_KNEES, closed_by_cautions, concerns, days_closed, row_of
from companion.care.finding import Entries, find
from companion.care.levels import PARTS
from companion.care.policy import Policy
from companion.care.records import Part, Plan, Side, WarningSign


@dataclass(frozen=True, slots=True)
class ClosedSpan:
    """The days on which one sign or one caution closed one part."""

    part: Part
    rule: str
    days: frozenset[date]
    sign: str | None = None
    caution: str | None = None


def closed_spans(
    policy: Policy,
    plans: Sequence[Plan],
    entries: Entries,
    side: Side,
    first_day: date,
    last_day: date,
) -> tuple[ClosedSpan, ...]:
    """What was closed for a knee from `first_day` to `last_day`, both included, in the order of the
    parts. `entries` are those that count. The day of opening is open again.
    """
    found: dict[tuple[Part, str, str | None, str | None], set[date]] = {}
    for warning in find(entries, WarningSign):
        row = row_of(warning, policy)
        for part in row.parts:
            held = days_closed(warning, part, policy)
            if held is None or not (concerns(warning, side) or part in OF_BOTH_KNEES):
                continue
            first, over = held
            last = last_day if over is None else min(over - timedelta(days=1), last_day)
            days = found.setdefault((part, row.rule, warning.sign, None), set())
            days.update(_days(max(first, first_day), last))
    for plan, first, last in _in_force(plans, first_day, last_day):
        answered = {answer.caution for answer in plan.cautions}
        for one in closed_by_cautions(policy, plan):
            if one.caution not in answered:
                continue  # not signed like that; what nobody answered closes no day that counts
            if not _holds(plan, one.part):
                continue  # what the plan never held was closed on none of its days
            key = (one.part, one.rule, None, one.caution)
            found.setdefault(key, set()).update(_days(first, last))
    spans = [
        ClosedSpan(part, rule, frozenset(days), sign, caution)
        for (part, rule, sign, caution), days in found.items()
        if days
    ]
    return tuple(sorted(spans, key=lambda one: (PARTS.index(one.part), -len(one.days), one.rule)))


def _holds(plan: Plan, part: Part) -> bool:
    """Whether a plan has anything of a part whose caution could close it."""
    if part == "hands":
        return bool(plan.techniques)
    return plan.tape.highest > 0 or part not in ("tape_on", "outing_tape")


def days_closed_for(spans: Iterable[ClosedSpan], part: Part) -> frozenset[date]:
    """The days on which anything closed a part."""
    return frozenset(day for span in spans if span.part == part for day in span.days)


def days_without_exercise(
    spans: Collection[ClosedSpan], exercises: Collection[str], policy: Policy
) -> frozenset[date]:
    """The days on which every one of these exercises was closed; of none, all exercise."""
    parts = {policy.exercise_part(exercise) for exercise in exercises} or {"seated", "standing"}
    return frozenset.intersection(*(days_closed_for(spans, part) for part in parts))


def _days(first: date, last: date) -> Iterable[date]:
    return (first + timedelta(days=n) for n in range((last - first).days + 1))


def _in_force(
    plans: Sequence[Plan], first_day: date, last_day: date
) -> Iterable[tuple[Plan, date, date]]:
    """Each plan with the first and last day of the period on which it was in force."""
    by_version = sorted(plans, key=lambda plan: plan.version)
    for number, plan in enumerate(by_version):
        later = [other.written_on for other in by_version[number + 1 :]]
        last = min([last_day, *(day - timedelta(days=1) for day in later)])
        first = max(first_day, plan.written_on)
        if first <= last:
            yield plan, first, last
