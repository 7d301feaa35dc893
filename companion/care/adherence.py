"""Prescribed days: what a plan asked for over a period, and on which days it was done.

A locked day and a rest day leave the count, and a day on which a bad session or no helper kept a
part closed; for hands a taped day and a scored day of a tape trial too: nobody is behind for a day
on which that part was not to be done, nor for a day on which no plan treated the knee (facts:
adherence_share, adherence_days_out). Hands and exercise are counted apart.
"""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import Literal

from companion.care.caution_rules import INJECTION_CAUTION, REST_DAYS_AFTER_INJECTION
from companion.care.closed_days import closed_spans, days_closed_for, days_without_exercise
from companion.care.finding import Entries, find
from companion.care.policy import Policy
from companion.care.records import DayPage, Event, Plan, Record, Session, Side, record
from companion.care.tape_applications import taped_days

RoutinePart = Literal["hands", "exercise"]


@record
class CountedDays(Record):
    """The days of a period, each in one place alone: open, or under the first of no plan, locked,
    resting, in trial and taped that closes it.

    `prescribed` is the plan's days a week over the open days, rounded half up. It is 0 only where
    the plan prescribes none, and None where that cannot be counted: no day is open, or so few are
    that they round to none.
    """

    days: int
    open_days: tuple[date, ...]
    no_plan: tuple[date, ...]
    locked: tuple[date, ...]
    resting: tuple[date, ...]
    taped: tuple[date, ...]
    in_trial: tuple[date, ...]
    prescribed: int | None


def days_under_plan(
    entries: Entries, side: Side, plans: Sequence[Plan]
) -> tuple[date, date] | None:
    """The days of the first and of the last entry of any kind written for a day on which a plan
    treated that knee; None without any."""
    days = [e.for_day for e in entries if plan_in_force(plans, side, e.for_day) is not None]
    return (min(days), max(days)) if days else None


def counted_days(
    entries: Entries,
    side: Side,
    plans: Plan | Sequence[Plan],
    first_day: date,
    last_day: date,
    part: RoutinePart = "hands",
    *,
    policy: Policy,
) -> CountedDays:
    """Which days of `first_day` to `last_day` (both included) count, and how many were prescribed.

    `entries` are those that count. Each day goes by the plan in force on it.
    """
    versions = (plans,) if isinstance(plans, Plan) else tuple(plans)
    period = [first_day + timedelta(days=day) for day in range((last_day - first_day).days + 1)]
    asked = {
        day: days_a_week(plan, part)
        for day in period
        if (plan := plan_in_force(versions, side, day)) is not None
    }
    no_plan = frozenset(period) - asked.keys()
    locked = _closed_days(entries, side, versions, first_day, last_day, part, policy)
    resting = rest_days(entries, side, versions)
    cap_hours = max(plan.tape.cap_hours for plan in versions)
    # Tape on takes the hands-on part out of a day; exercise stays offered, and so prescribed.
    taped = taped_days(entries, side, cap_hours, last_day) if part == "hands" else frozenset()
    in_trial = _days_hands_rest(versions, side, period) if part == "hands" else frozenset()
    closed = no_plan | locked | resting | taped | in_trial
    open_days = tuple(day for day in period if day not in closed)
    rounded = (2 * sum(asked[day] for day in open_days) + 7) // 14
    return CountedDays(
        days=len(period),
        open_days=open_days,
        no_plan=tuple(day for day in period if day in no_plan),
        locked=tuple(day for day in period if day in locked - no_plan),
        resting=tuple(day for day in period if day in resting - locked - no_plan),
        taped=tuple(day for day in period if day in taped - locked - resting - in_trial - no_plan),
        in_trial=tuple(day for day in period if day in in_trial - locked - resting - no_plan),
        prescribed=0 if asked and not any(asked.values()) else rounded or None,
    )


def days_a_week(plan: Plan, part: RoutinePart) -> int:
    """The plan's days a week for hands or exercise."""
    return plan.hands_days_a_week if part == "hands" else plan.exercise_days_a_week


def plan_on(plans: Sequence[Plan], day: date) -> Plan:
    """The plan in force on a day: the highest version written by then, else the first of all."""
    by_version = sorted(plans, key=lambda plan: plan.version)
    written = [plan for plan in by_version if plan.written_on <= day]
    return written[-1] if written else by_version[0]


def plan_in_force(plans: Iterable[Plan], side: Side, day: date) -> Plan | None:
    """The highest version written by a day; None before the first, and where it does not treat
    that knee."""
    written = [plan for plan in plans if plan.written_on <= day]
    latest = max(written, key=lambda plan: plan.version, default=None)
    return latest if latest is not None and side in latest.sides else None


def days_done(
    entries: Entries,
    side: Side,
    part: RoutinePart,
    *,
    first_day: date | None = None,
    last_day: date | None = None,
) -> frozenset[date]:
    """The days on which hands or exercise were done: at least one step to its end, in a session
    at home or in the clinic, or said so on a paper page. Of all days, or of those asked for.

    A session without any step, of a table or of the clinic, tells of hands by its score after them.
    """
    done = set()
    for session in find(entries, Session, side=side, first_day=first_day, last_day=last_day):
        if part == "exercise":
            did = any(step.outcome == "done" for step in session.exercises)
        elif session.rounds:
            did = any(step.outcome == "done" for one in session.rounds for step in one.steps)
        else:
            did = any(move.role == "after_hands" for move in session.moves)
        if did:
            done.add(session.for_day)
    for page in find(entries, DayPage, side=side, first_day=first_day, last_day=last_day):
        said = page.hands_done if part == "hands" else page.exercise_done
        if said:
            done.add(page.for_day)
    return frozenset(done)


def _closed_days(
    entries: Entries,
    side: Side,
    plans: Sequence[Plan],
    first_day: date,
    last_day: date,
    part: RoutinePart,
    policy: Policy,
) -> frozenset[date]:
    """The days on which hands, or every exercise of the plan then in force, were closed."""
    spans = closed_spans(policy, plans, entries, side, first_day, last_day)
    done = days_done(entries, side, part, first_day=first_day, last_day=last_day)
    if part == "hands":
        return days_closed_for(spans, "hands", done)
    return frozenset(
        day
        for plan in plans
        for day in days_without_exercise(
            spans, [one.exercise for one in plan.exercises], policy, done
        )
        if plan_in_force(plans, side, day) is plan
    )


def _days_hands_rest(
    versions: Sequence[Plan], side: Side, period: Iterable[date]
) -> frozenset[date]:
    """The days on which the tape trial of the plan then in force let hands rest."""
    if all(plan.trial is None for plan in versions):
        return frozenset()
    # Most plans hold no trial, and this module is on the way to the front page.
    from companion.care.trial_days import hands_rest

    return frozenset(day for day in period if hands_rest(plan_on(versions, day), side, day))


def rest_days(entries: Entries, side: Side, plans: Sequence[Plan] = ()) -> frozenset[date]:
    """The rest days after injections: the day of each and the six after it.

    An injection without a side, and one the clinician dated in a plan, counts for both knees.
    """
    return _after_injections(find(entries, Event), side, plans)


def is_rest_day(entries: Entries, side: Side, plans: Sequence[Plan], day: date) -> bool:
    """Whether a day is one of the `rest_days`."""
    first_day = day - timedelta(days=REST_DAYS_AFTER_INJECTION)
    events = find(entries, Event, first_day=first_day, last_day=day)
    return day in _after_injections(events, side, plans)


def _after_injections(
    events: Iterable[Event], side: Side, plans: Sequence[Plan]
) -> frozenset[date]:
    injections = {
        event.for_day
        for event in events
        if event.what == "injection" and event.side in (None, side)
    }
    for plan in plans:
        for answer in plan.cautions:
            if answer.caution == INJECTION_CAUTION and answer.answer:
                injections.add(answer.on)
    return frozenset(
        day + timedelta(days=number)
        for day in injections
        for number in range(REST_DAYS_AFTER_INJECTION)
    )
