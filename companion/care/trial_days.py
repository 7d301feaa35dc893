"""The days of a plan's tape trial on one knee: what a diary day is, and what follows for tape.

A trial whose schedule is not the one it was fixed with is not run. A plan that holds the same
trial goes on with it, a plan that holds another or none ends it: only the plan in force is asked.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import lru_cache
from typing import Literal

from companion.care.days import CLOCK_MAY_LAG, EVENING
from companion.care.finding import Entries, last_written
from companion.care.history import instant
from companion.care.records import Plan, Side, TapeTrial
from companion.care.trial_schedule import Schedule, planned

TrialRefusal = Literal["trial_bare", "trial_no_tape", "trial_evening", "trial_clock"]
"""Why the trial lets no tape on. trial_evening: the last tape day of its period is over.
trial_clock: the clock is behind the diary, so that nobody knows which day it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialDay:
    """A day of the trial. `number` of `of` counts the scored days of its period; 0 on a bare day.

    `last_day` is the last day of the period, which is the `period`th of `periods`.
    """

    what: Literal["bare", "tape", "no_tape"]
    number: int
    of: int
    last_day: date
    period: int = 1
    periods: int = 1

    @property
    def last_scored(self) -> bool:
        """Whether this is the last scored day of its period."""
        return self.number == self.of


def trial_schedule(plan: Plan, side: Side) -> Schedule | None:
    """The schedule the plan runs on this knee; None without a trial, and for a faulty one."""
    trial = plan.trial
    if trial is None or trial.side != side:
        return None
    return fixed_schedule(trial)


def trial_faulty(plan: Plan, side: Side) -> bool:
    """Whether the plan's trial on this knee is not the one that was fixed, and so is not run."""
    trial = plan.trial
    return trial is not None and trial.side == side and fixed_schedule(trial) is None


def trial_day(plan: Plan, side: Side, day: date) -> TrialDay | None:
    """What the trial says of a diary day of this knee; None outside its days."""
    schedule = trial_schedule(plan, side)
    period = None if schedule is None else schedule.due(day)
    if schedule is None or period is None:
        return None
    bare = day == period.bare_day
    return TrialDay(
        what="bare" if bare else period.arm,
        number=0 if bare else period.scored_days.index(day) + 1,
        of=len(period.scored_days),
        last_day=period.last_day,
        period=schedule.periods.index(period) + 1,
        periods=len(schedule.periods),
    )


def hands_rest(plan: Plan, side: Side, day: date) -> bool:
    """Whether hands rest: on the scored days of both arms, so that tape is all that differs."""
    today = trial_day(plan, side, day)
    return today is not None and today.what != "bare"


def last_tape_day(plan: Plan, side: Side, put_on: date) -> date | None:
    """The last day on which tape put on at the diary day `put_on` stays on; None: no such day is
    set. Tape that should not be there had its last day before it went on."""
    schedule = trial_schedule(plan, side)
    if schedule is None or put_on > schedule.last_day:
        return None
    if put_on < schedule.first_day:
        return schedule.first_day - timedelta(days=1)
    day = trial_day(plan, side, put_on)
    tape = day is not None and day.what == "tape"
    return day.last_day if day is not None and tape else put_on - timedelta(days=1)


def tape_refused(
    plan: Plan, side: Side, entries: Entries, *, today: date, now: datetime
) -> TrialRefusal | None:
    """Why the trial lets no tape on now; None on a tape day and outside the trial."""
    day = trial_day(plan, side, today)
    if day is None:
        return None
    if day.what == "bare":
        return "trial_bare"
    if day.what == "no_tape":
        return "trial_no_tape"
    last = last_written(entries)
    if last is not None and instant(last.written_at) > instant(now) + CLOCK_MAY_LAG:
        return "trial_clock"
    over = today == day.last_day and evening_is_over(now, today)
    return "trial_evening" if over else None


def evening_is_over(now: datetime, today: date) -> bool:
    """Whether the evening of a diary day is over. Past midnight the day still runs: it is the
    evening's."""
    return now.date() > today or now.time() >= EVENING


@lru_cache(maxsize=16)
def fixed_schedule(trial: TapeTrial) -> Schedule | None:
    """The schedule; None when it cannot be made, or has no longer the hash it was fixed with."""
    try:
        schedule = planned(trial)
    except (ValueError, OverflowError):
        return None
    return schedule if schedule.sha256 == trial.schedule_sha256 else None
