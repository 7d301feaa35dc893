"""How the tape trial stands on one knee today, for the front page."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo
from typing import Literal

from companion.care.closures import closures
from companion.care.finding import Entries, find
from companion.care.history import instant
from companion.care.policy import Policy
from companion.care.records import DayPage, Plan, Side, TapeOn
from companion.care.tape_applications import (
    current_application,
    rest_until,
    taped_days,
    wear_clock,
)
from companion.care.trial_days import (
    TrialDay,
    evening_is_over,
    tape_refused,
    trial_day,
    trial_faulty,
    trial_schedule,
)

TrialStanding = Literal[
    "tape_due",
    "tape_on",
    "tape_not_now",
    "tape_tomorrow",
    "tape_ended",
    "clock_behind",
    "no_tape_day",
    "bare_day",
    "over",
    "faulty",
]
"""The first six are tape days. tape_not_now: something known beforehand keeps new tape off, or
tape that is on is due off; the rest of the gate is asked at the Tape door. tape_tomorrow: the
evening is over, so nothing asks for tape before the next tape day, which is tomorrow."""
TOLD_OVER_FOR = timedelta(days=7)
"""So long the end of a trial is told, so that a few days away do not hide it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialToday:
    """The trial today. `day` None: it is over, or not run. `rests_until`: the skin has its rest
    after the last tape, and tape may go on again from then. `missed`: yesterday was a tape day, and
    no tape was on. `complete`: so many pairs of periods are over and can be compared."""

    standing: TrialStanding
    day: TrialDay | None = None
    rests_until: datetime | None = None
    missed: bool = False
    complete: int = 0


def trial_today(
    plan: Plan,
    side: Side,
    entries: Entries,
    *,
    today: date,
    now: datetime,
    zone: tzinfo,
    policy: Policy,
) -> TrialToday | None:
    """The trial of this knee today; None when there is nothing of it to say.

    `entries` are those that count. What is closed, rest and the wear clock win over the tape day.
    """
    if trial_faulty(plan, side):
        return TrialToday(standing="faulty")
    day = trial_day(plan, side, today)
    if day is None:
        schedule = trial_schedule(plan, side)
        ended = schedule is not None and schedule.last_day < today
        if schedule is None or not ended or today - schedule.last_day > TOLD_OVER_FOR:
            return None
        return TrialToday(standing="over")
    missed = _missed(plan, side, entries, today - timedelta(days=1))
    complete = pairs_complete(plan, side, entries, today)
    if day.what != "tape":
        standing: TrialStanding = "bare_day" if day.what == "bare" else "no_tape_day"
        return TrialToday(standing=standing, day=day, missed=missed, complete=complete)
    standing = _tape_day(plan, side, entries, today, now, zone, policy)
    until = rest_until(entries, side, plan.tape) if standing == "tape_not_now" else None
    resting = until is not None and instant(now) < until
    rests_until = until.astimezone(zone) if until is not None and resting else None
    return TrialToday(
        standing=standing, day=day, rests_until=rests_until, missed=missed, complete=complete
    )


def pairs_complete(plan: Plan, side: Side, entries: Entries, today: date) -> int:
    """How many pairs of periods are over with a score in both, as the trial is read at its end."""
    schedule = trial_schedule(plan, side)
    if schedule is None:
        return 0
    pages = find(entries, DayPage, side=side, first_day=schedule.first_day, last_day=today)
    scored = {page.for_day for page in pages if getattr(page, f"pain_{plan.measure}") is not None}
    halves = schedule.periods
    return sum(
        second.last_day < today
        and not scored.isdisjoint(first.scored_days)
        and not scored.isdisjoint(second.scored_days)
        for first, second in zip(halves[::2], halves[1::2], strict=True)
    )


def _missed(plan: Plan, side: Side, entries: Entries, day: date) -> bool:
    """Whether a day was a tape day on which no tape was on."""
    trial = trial_day(plan, side, day)
    if trial is None or trial.what != "tape":
        return False
    if find(entries, TapeOn, side=side, first_day=day, last_day=day):
        return False
    cap = plan.tape.cap_hours
    return not taped_days(entries, side, cap, last_day=day, first_day=day)


def _tape_day(
    plan: Plan,
    side: Side,
    entries: Entries,
    today: date,
    now: datetime,
    zone: tzinfo,
    policy: Policy,
) -> TrialStanding:
    wear = current_application(entries, side)
    if wear is not None:
        return "tape_on" if wear_clock(wear, plan, now, zone).state == "on" else "tape_not_now"
    match tape_refused(plan, side, entries, today=today, now=now):
        case "trial_clock":
            return "clock_behind"
        case "trial_evening":
            return "tape_ended"
    until = rest_until(entries, side, plan.tape)
    bare_from = plan.tape.stay_bare_from
    kept_off = (
        plan.tape.when == "never"
        or plan.tape.highest == 0
        or (bare_from is not None and today >= bare_from)
        or (until is not None and instant(now) < until)
        or closures(policy, plan, entries, side, today=today).closed("tape_on")
    )
    if kept_off:
        return "tape_not_now"
    return "tape_tomorrow" if evening_is_over(now, today) else "tape_due"
