"""What is due today, and why. What is open until something closes it is in `open_things`."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from companion.care.adherence import RoutinePart, days_a_week, days_done, is_rest_day
from companion.care.closures import closures, nobody_told, open_warnings
from companion.care.day_pages_kept import first_page_day, last_full_day, page_of
from companion.care.days import week_of
from companion.care.finding import Entries
from companion.care.policy import Policy
from companion.care.records import PageForm, Part, Plan, Side
from companion.care.tape_applications import current_application

DueWhat = Literal[
    "locked",
    "call_clinic",
    "call_another",
    "hands",
    "exercise",
    "day_page",
    "review",
    "nothing",
]
PartToday = Literal[
    "due", "done", "week_done", "taped", "locked", "resting", "trial", "not_in_plan"
]
"""week_done: the plan's days of this week are reached. taped: tape is on, so no hands. trial: a
scored day of the tape trial, on which hands rest."""

FULL_AT_FIRST_DAYS = 14
FULL_BEFORE_REVIEW_DAYS = 14


@dataclass(frozen=True, slots=True)
class Due:
    """One thing due. `side` None: of every knee; `form` only with the day page."""

    what: DueWhat
    side: Side | None = None
    form: PageForm | None = None


def due_today(plan: Plan, entries: Entries, *, today: date, policy: Policy) -> tuple[Due, ...]:
    """Everything due today, the most pressing first; never empty.

    `entries` are those that count. Hands and exercise of one knee are one routine: exercise is
    named by itself only when hands are not due.
    """
    found: list[Due] = []
    held = [closures(policy, plan, entries, side, today=today) for side in plan.sides]
    warnings = open_warnings(entries, policy)
    if any(one.by_sign("seated") for one in held):
        found.append(Due("locked"))
    if any(sign.level == "call" for sign in warnings):
        found.append(Due("call_clinic"))
    if any(nobody_told(sign, policy, today) for sign in warnings):
        found.append(Due("call_another"))
    for side in plan.sides:
        parts: tuple[RoutinePart, ...] = ("hands", "exercise")
        found += [
            Due(part, side)
            for part in parts
            if part_today(plan, side, entries, part, today, policy) == "due"
        ][:1]
    missing = [side for side in plan.sides if page_of(entries, today, side) is None]
    if missing:
        form = day_form(plan, first_page_day(entries), today, last_full_day(entries))
        one_left = missing[0] if len(missing) < len(plan.sides) else None
        found.append(Due("day_page", one_left, form))
    if today > plan.review_on:
        found.append(Due("review"))
    return tuple(found) or (Due("nothing"),)


def part_today(
    plan: Plan,
    side: Side,
    entries: Entries,
    part: RoutinePart,
    today: date,
    policy: Policy,
) -> PartToday:
    """How hands or exercise of one knee stand today. `entries` are those that count.

    Weeks are seven days from the day the plan was written. A week that is done does not forbid
    more exercise; hands are one session a day at most.
    """
    prescribed = plan.techniques if part == "hands" else plan.exercises
    if not prescribed or days_a_week(plan, part) == 0:
        return "not_in_plan"
    held = closures(policy, plan, entries, side, today=today)
    asked: set[Part] = {"hands"}
    closed = held.closed("hands")
    if part == "exercise":
        asked = {policy.exercise_part(each.exercise) for each in plan.exercises}
        closed = all(held.closed_exercise(policy, each.exercise) for each in plan.exercises)
    if closed and any(held.by_sign(one) for one in asked):
        return "locked"
    if is_rest_day(entries, side, (plan,), today):
        return "resting"
    if closed:
        return "not_in_plan"
    if part == "hands" and _hands_rest(plan, side, today):
        return "trial"
    if part == "hands" and current_application(entries, side) is not None:
        return "taped"
    week_began = plan.written_on + timedelta(days=7 * week_of(today, plan.written_on))
    this_week = days_done(entries, side, part, first_day=week_began, last_day=today)
    if today in this_week:
        return "done"
    return "week_done" if len(this_week) >= days_a_week(plan, part) else "due"


def day_form(
    plan: Plan, first_day: date | None, today: date, last_full: date | None = None
) -> PageForm:
    """Which day page is asked today: full for the first 14 days and from 14 days before review,
    weekly between, else short.

    `first_day` is the diary's first day, None when today is. Weekly means on every seventh day
    from `first_day`; with `last_full`, the day of the last full page, also when that lies seven
    days back, so that one missed full day does not leave two weeks without.
    """
    if first_day is None or (today - first_day).days < FULL_AT_FIRST_DAYS:
        return "full"
    if (plan.review_on - today).days <= FULL_BEFORE_REVIEW_DAYS:
        return "full"
    if last_full is not None:
        return "full" if today == last_full or (today - last_full).days >= 7 else "short"
    return "full" if (today - first_day).days % 7 == 0 else "short"


def _hands_rest(plan: Plan, side: Side, today: date) -> bool:
    """Whether the tape trial lets hands rest today."""
    if plan.trial is None:
        return False
    from companion.care.trial_days import hands_rest

    return hands_rest(plan, side, today)
