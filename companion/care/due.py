"""What is due today, and why."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo
from typing import Literal

from companion.care.adherence import RoutinePart, days_a_week, days_done, is_rest_day
from companion.care.closures import closures, nobody_told, open_warnings
from companion.care.day_pages_kept import first_page_day, last_full_day, page_of
from companion.care.days import week_of
from companion.care.finding import Entries, find
from companion.care.history import instant
from companion.care.patch_looks import LOOKS, moment
from companion.care.policy import Policy
from companion.care.records import PageForm, Part, PatchTest, Plan, Side
from companion.care.wear import current_wear, skin_look_at, wear_clock

DueWhat = Literal[
    "locked",
    "tape_over_cap",
    "tape_off",
    "skin_look",
    "call_clinic",
    "call_another",
    "patch_test_reading",
    "tape_on",
    "trial",
    "hands",
    "exercise",
    "day_page",
    "review",
    "nothing",
]
"""trial: nothing to do, but a day of the tape trial, which is said. tape_on: its tape day asks for
tape."""
DueWhy = Literal[
    "open_sign",
    "over_cap",
    "due_passed",
    "due_later",
    "after_removal",
    "first_look",
    "second_look",
    "prescribed",
    "not_written",
    "review_passed",
    "trial_day",
    "all_done",
]
PartToday = Literal[
    "due", "done", "week_done", "taped", "locked", "resting", "trial", "not_in_plan"
]
"""week_done: the plan's days of this week are reached. taped: tape is on, so no hands. trial: a
scored day of the tape trial, on which hands rest."""

FULL_AT_FIRST_DAYS = 14
FULL_BEFORE_REVIEW_DAYS = 14
SKIN_LOOK_ENDS = timedelta(hours=24)
"""After a day, a look "30 minutes after removal" would be made up."""


@dataclass(frozen=True, slots=True)
class Due:
    """One thing due. `at` is an instant in the zone handed in; `form` only with the day page."""

    what: DueWhat
    why: DueWhy
    side: Side | None = None
    at: datetime | None = None
    form: PageForm | None = None


def due_today(
    plan: Plan,
    entries: Entries,
    *,
    today: date,
    now: datetime,
    zone: tzinfo,
    policy: Policy,
) -> tuple[Due, ...]:
    """Everything due today, the most pressing first; never empty.

    `entries` are those that count. Hands and exercise of one knee are one routine: exercise is
    named by itself only when hands are not due.
    """
    pressing: list[Due] = []
    trial: list[Due] = []
    coming: list[Due] = []
    routine: list[Due] = []
    held = [closures(policy, plan, entries, side, today=today) for side in plan.sides]
    if any(one.by_sign("seated") for one in held):
        pressing.append(Due("locked", "open_sign"))
    others: tuple[Side, ...] = ("left", "right")
    # Tape may still be on a knee that a new plan leaves out: it has to come off all the same.
    for side in (*plan.sides, *(other for other in others if other not in plan.sides)):
        wear = current_wear(entries, side)
        if wear is not None:
            clock = wear_clock(wear, plan, now, zone)
            if clock.state == "over_cap":
                pressing.append(Due("tape_over_cap", "over_cap", side, clock.cap_at))
            elif clock.state == "due":
                pressing.append(Due("tape_off", "due_passed", side, clock.due_at))
            else:
                coming.append(Due("tape_off", "due_later", side, clock.due_at))
        look = skin_look_at(entries, side)
        if look is not None and instant(now) < look + SKIN_LOOK_ENDS:
            pressing.append(Due("skin_look", "after_removal", side, look.astimezone(zone)))
        found = _trial(plan, side, entries, today, now, zone, policy)
        if found is not None:
            trial.append(found)
        for part in ("hands", "exercise") if side in plan.sides else ():
            if part_today(plan, side, entries, part, today, policy) == "due":
                routine.append(Due(part, "prescribed", side))
                break
    if any(sign.level == "call" for sign in open_warnings(entries, policy)):
        pressing.append(Due("call_clinic", "open_sign"))
    if any(nobody_told(sign, policy, today) for sign in open_warnings(entries, policy)):
        pressing.append(Due("call_another", "open_sign"))
    pressing.extend(_patch_readings(entries, now))
    pages: list[Due] = []
    missing = [side for side in plan.sides if page_of(entries, today, side) is None]
    if missing:
        form = day_form(plan, first_page_day(entries), today, last_full_day(entries))
        one_left = missing[0] if len(missing) < len(plan.sides) else None
        pages.append(Due("day_page", "not_written", one_left, form=form))
    if today > plan.review_on:
        pages.append(Due("review", "review_passed"))
    dues = (*pressing, *trial, *routine, *coming, *pages)
    return dues or (Due("nothing", "all_done"),)


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
    if part == "exercise":
        asked = {policy.exercise_part(each.exercise) for each in plan.exercises}
    closed = held.parts >= asked
    if closed and any(held.by_sign(one) for one in asked):
        return "locked"
    if is_rest_day(entries, side, (plan,), today):
        return "resting"
    if closed:
        return "not_in_plan"
    if part == "hands" and _hands_rest(plan, side, today):
        return "trial"
    if part == "hands" and current_wear(entries, side) is not None:
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


def _trial(
    plan: Plan,
    side: Side,
    entries: Entries,
    today: date,
    now: datetime,
    zone: tzinfo,
    policy: Policy,
) -> Due | None:
    """The tape trial's day of a knee of the plan."""
    if plan.trial is None or side not in plan.sides:
        return None
    # Most plans hold no trial, and this is on the way to the front page.
    from companion.care.trial_today import trial_today

    trial = trial_today(plan, side, entries, today=today, now=now, zone=zone, policy=policy)
    if trial is None:
        return None
    return Due("tape_on" if trial.standing == "tape_due" else "trial", "trial_day", side)


def _hands_rest(plan: Plan, side: Side, today: date) -> bool:
    """Whether the tape trial lets hands rest today."""
    if plan.trial is None:
        return False
    from companion.care.trial_days import hands_rest

    return hands_rest(plan, side, today)


def _patch_readings(entries: Entries, now: datetime) -> list[Due]:
    """The looks at a patch test that are due now: of the newest test alone."""
    tests = [test for test in find(entries, PatchTest) if not test.tolerated_in_clinic]
    test = max(tests, key=lambda one: (instant(one.happened_at), one.id), default=None)
    if test is None:
        return []
    match moment(test, now, LOOKS):
        case "first":
            return [Due("patch_test_reading", "first_look")]
        case "second":
            return [Due("patch_test_reading", "second_look")]
    return []
