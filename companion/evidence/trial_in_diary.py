"""The tape trial a diary holds: which one, what was scored, and on which days tape was on.

The trial is that of the newest plan version that holds one for the knee. A later version without
it, or with another, breaks it off from the day it was written on; one that was dropped before its
first day was never a trial. One whose schedule is not as it was fixed has no result, because Home
does not run it. A day is taped when tape was on
for half or more of the hours from 08:00 to 21:00, those of which a person tells how the day was;
where the time tape came off is not known, it is taped or not only if every possible time says the
same. A day nobody wrote anything about is unknown. Paper pages say it themselves.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from companion.care.days import EVENING
from companion.care.history import instant
from companion.care.records import DayPage, Plan, Session, Side, TapeOff, TapeOn, TapeTrial
from companion.care.tape_applications import MORNING, TapeApplication, tape_applications
from companion.care.trial_days import fixed_schedule
from companion.care.trial_schedule import PAIRS_NEEDED, Schedule
from companion.evidence.figures import CannotTell, SkinEvent, TrialResult, Warned
from companion.evidence.readings import Readings
from companion.evidence.tape_trial import trial_result

_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class HeldTrial:
    """A trial of one knee, the newest plan that holds it, the day it was first written down, and
    the day of the later plan that holds it no more."""

    trial: TapeTrial
    plan: Plan
    written_on: date
    dropped_on: date | None


def held_trial(plans: Sequence[Plan], side: Side) -> HeldTrial | None:
    """The trial of a knee by its plan versions, lowest first; None without one."""
    after: Plan | None = None
    for plan in reversed(plans):
        trial = plan.trial
        dropped = None if after is None else after.written_on
        # The last plan of a run of them that hold it comes first, and its date says enough.
        if (
            trial is not None
            and trial.side == side
            and (after is None or after.trial != trial)
            and (dropped is None or dropped >= trial.first_day)
        ):
            return HeldTrial(
                trial=trial,
                plan=plan,
                written_on=min(each.written_on for each in plans if each.trial == trial),
                dropped_on=dropped,
            )
        after = plan
    return None


def trial_of(
    record: Readings, skin_events: Sequence[SkinEvent], warnings: Sequence[Warned]
) -> tuple[TrialResult | None, tuple[CannotTell, ...]]:
    """The result of the knee's trial, and what it lacks; None where no plan holds one."""
    held = held_trial(record.plans, record.side)
    if held is None:
        return None, ()
    schedule = fixed_schedule(held.trial)
    if schedule is None:
        gap = CannotTell("trial", "schedule_not_as_fixed", 0, 1)
        return None, (gap,)
    dropped = held.dropped_on
    result = trial_result(
        schedule,
        record.pain_by_day(held.plan.measure),
        taped_by_day(record, schedule),
        measure=held.plan.measure,
        written_on=held.written_on,
        broken_off_on=None if dropped is None or dropped > schedule.last_day else dropped,
        diary_ends=max((entry.for_day for entry in record.entries), default=None),
        skin_events=skin_events,
        pink=frozenset(_pink_days(record)),
        warnings=warnings,
    )
    return result, tuple(_unknown(result))


def taped_by_day(record: Readings, schedule: Schedule) -> dict[date, bool]:
    """Whether tape was on, for each day of the trial of which that is known."""
    worn = tape_applications(record.entries, record.side)
    ends = [_ends(wear, record) for wear in worn]
    told = _days_told(record)
    found: dict[date, bool] = {}
    days = (schedule.last_day - schedule.first_day).days + 1
    for day in (schedule.first_day + step * _DAY for step in range(days)):
        surely = at_most = timedelta(0)
        for wear, (sure, latest) in zip(worn, ends, strict=True):
            surely += _by_day(day, wear.on_at, sure)
            at_most += _by_day(day, wear.on_at, latest)
        page = record.pages.get(day)
        if 2 * surely >= _whole(day) or (page is not None and page.tape_worn):
            found[day] = True
        elif 2 * at_most < _whole(day) and (
            day in told or at_most or (page is not None and page.tape_worn is False)
        ):
            found[day] = False
    return found


def _ends(wear: TapeApplication, record: Readings) -> tuple[datetime, datetime]:
    """Until when a wear was surely on, and until when it can have been."""
    if wear.off_at is not None:
        return wear.off_at, wear.off_at
    plan = [each for each in record.plans if each.written_on <= wear.on_at.date()]
    cap = (plan or record.plans)[-1].tape.cap_hours
    latest = instant(wear.on_at) + timedelta(hours=cap)
    if wear.off_by is not None:
        return wear.on_at, min(latest, instant(wear.off_by))
    written = max(instant(entry.written_at) for entry in record.entries)
    return min(latest, max(written, instant(wear.on_at))), latest


def _whole(day: date) -> timedelta:
    return datetime.combine(day, EVENING) - datetime.combine(day, MORNING)


def _by_day(day: date, on_at: datetime, off_at: datetime) -> timedelta:
    """How long tape was on between 08:00 and 21:00, by the clock it was put on under."""
    begins = max(on_at, datetime.combine(day, MORNING, tzinfo=on_at.tzinfo))
    ends = min(off_at, datetime.combine(day, EVENING, tzinfo=on_at.tzinfo))
    return max(ends - begins, timedelta(0))


def _days_told(record: Readings) -> frozenset[date]:
    """Days on which something was written about the knee itself, with what was on it."""
    return frozenset(
        entry.for_day
        for entry in record.entries
        if isinstance(entry, DayPage | Session | TapeOn | TapeOff)
        and entry.side == record.side
        and entry.written_by != "paper"
    )


def _pink_days(record: Readings) -> Iterable[date]:
    for entry in record.entries:
        if isinstance(entry, DayPage | TapeOn | TapeOff) and entry.side == record.side:
            looks = {
                getattr(entry, name, None)
                for name in ("skin", "skin_before", "skin_at_once", "skin_after_30_min")
            }
            if "pink" in looks:
                yield entry.for_day


def _unknown(result: TrialResult) -> Iterable[CannotTell]:
    for key, found in (
        ("trial.estimate", result.estimate),
        ("trial.first_day_dropped", result.first_day_dropped),
    ):
        if found.pairs < PAIRS_NEEDED:
            yield CannotTell(key, "too_few_complete_pairs", found.pairs, PAIRS_NEEDED)
