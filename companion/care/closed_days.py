"""On which days what was closed, and by which rule: for counts, and for the clinic that asks why.

Signs close from their day until they are opened, cautions while the plan in force holds them, and
steps with a helper on the days on which none comes. What closes one session alone (pain at rest, a
bad day) closes the day of that session.
"""

from collections.abc import Collection, Iterable, Sequence
from datetime import date, timedelta
from typing import Literal

from companion.care.bad_days import rest_pain_limit
from companion.care.caution_rules import caution_judgement
from companion.care.closures import OF_BOTH_KNEES, closed_by_cautions, concerns, days_closed, row_of
from companion.care.finding import Entries, find
from companion.care.levels import PARTS
from companion.care.policy import Policy
from companion.care.records import Part, Plan, Record, Session, Side, WarningSign, record

DayState = Literal["rest_pain_above_limit", "bad_day", "no_helper"]
"""What closes a part on a day and is over with it. no_helper: the helper it needs does not come."""


@record
class ClosedSpan(Record):
    """The days on which one sign, one caution or one state of the day closed one part; all of it,
    or all but what is done holding on."""

    part: Part
    rule: str
    days: frozenset[date]
    sign: str | None = None
    caution: str | None = None
    state: DayState | None = None
    but_at_support: bool = False


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
    period = (first_day, last_day)
    found: dict[_Closer, set[date]] = {}
    for closer, days in (
        *_by_signs(policy, entries, side, *period),
        *_by_cautions(policy, plans, *period),
        *_by_sessions(policy, plans, entries, side, *period),
    ):
        found.setdefault(closer, set()).update(days)
    spans = [
        ClosedSpan(
            part=part,
            rule=rule,
            days=frozenset(days),
            sign=sign,
            caution=caution,
            state=state,
            but_at_support=_but_at_support(policy, sign, part),
        )
        for (part, rule, sign, caution, state), days in found.items()
        if days
    ]
    return tuple(sorted(spans, key=lambda one: (PARTS.index(one.part), -len(one.days), one.rule)))


def _but_at_support(policy: Policy, sign: str | None, part: Part) -> bool:
    row = None if sign is None else policy.of_sign(sign)
    return row is not None and part in row.parts and part not in row.parts_at_support


_Closer = tuple[Part, str, str | None, str | None, DayState | None]
_Closed = Iterable[tuple[_Closer, Iterable[date]]]


def _by_signs(
    policy: Policy, entries: Entries, side: Side, first_day: date, last_day: date
) -> _Closed:
    for warning in find(entries, WarningSign):
        row = row_of(warning, policy)
        for part in row.parts:
            held = days_closed(warning, part, policy)
            if held is None or not (concerns(warning, side) or part in OF_BOTH_KNEES):
                continue
            first, over = held
            last = last_day if over is None else min(over - timedelta(days=1), last_day)
            yield (part, row.rule, warning.sign, None, None), _days(max(first, first_day), last)


def _by_cautions(policy: Policy, plans: Sequence[Plan], first_day: date, last_day: date) -> _Closed:
    """Only what was answered: what nobody answered closes no day that counts."""
    for plan, first, last in _in_force(plans, first_day, last_day):
        answered = {answer.caution for answer in plan.cautions}
        for one in closed_by_cautions(policy, plan):
            if one.caution in answered and _holds(plan, one.part):
                yield (one.part, one.rule, None, one.caution, None), _days(first, last)
        for part in PARTS if plan.helper_days else ():
            # What is closed by the weekday is alike on every seventh day.
            for day in _days(first, min(last, first + timedelta(days=6))):
                for blocked in caution_judgement(plan, part, policy, today=day).blocked:
                    if blocked.reason == "no_helper" and _holds(plan, part):
                        rule = policy.caution(blocked.caution).rule
                        yield (part, rule, None, blocked.caution, "no_helper"), _days(day, last, 7)


def _by_sessions(
    policy: Policy,
    plans: Sequence[Plan],
    entries: Entries,
    side: Side,
    first_day: date,
    last_day: date,
) -> _Closed:
    """What was closed for the rest of a session, for the other knee too where both stand on it."""
    by_version = {plan.version: plan for plan in plans}
    for session in find(entries, Session, first_day=first_day, last_day=last_day):
        plan = by_version.get(session.plan_version)
        if plan is None or session.place == "clinic":
            continue
        for state in _states(plan, session):
            row = policy.state(state)
            for part in row.closes:
                if _holds(plan, part) and (session.side == side or part in OF_BOTH_KNEES):
                    yield (part, row.rule, None, None, state), (session.for_day,)


def _states(plan: Plan, session: Session) -> Iterable[Literal["rest_pain_above_limit", "bad_day"]]:
    if session.rest_pain is not None and session.rest_pain > rest_pain_limit(plan):
        yield "rest_pain_above_limit"
    if session.reason == "bad_day":
        yield "bad_day"


def _holds(plan: Plan, part: Part) -> bool:
    """Whether a plan has anything of a part that a caution or a state could close."""
    if part == "hands":
        return bool(plan.techniques)
    return plan.tape.highest > 0 or part not in ("tape_on", "outing_tape")


def days_closed_for(
    spans: Iterable[ClosedSpan], part: Part, done: Collection[date] = ()
) -> frozenset[date]:
    """The days on which anything closed a part. A state of the day closed none of the days in
    `done`, on which the part was done all the same."""
    return frozenset(
        day
        for span in spans
        if span.part == part
        for day in span.days
        if span.state is None or day not in done
    )


def days_without_exercise(
    spans: Collection[ClosedSpan],
    exercises: Collection[str],
    policy: Policy,
    done: Collection[date] = (),
) -> frozenset[date]:
    """The days on which every one of these exercises was closed; of none, all exercise. `done` as
    above."""
    kinds = {(policy.exercise_part(one), one in policy.at_support) for one in exercises}
    return frozenset.intersection(
        *(
            days_closed_for(
                [one for one in spans if not (holds_on and one.but_at_support)], part, done
            )
            for part, holds_on in kinds or {("seated", False), ("standing", False)}
        )
    )


def _days(first: date, last: date, step: int = 1) -> Iterable[date]:
    return (first + timedelta(days=n) for n in range(0, (last - first).days + 1, step))


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
