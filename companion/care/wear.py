"""The wear clock: how long tape has been on one knee, when it is due off, and the rest after it.

Lengths of time are real hours, taken between instants in UTC, so midnight, a change of the clocks
and travel change nothing. Only the evening rule looks at a wall clock: the one of the zone that is
handed in, where the person is now.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from typing import Literal

from companion.care.days import EVENING, diary_day
from companion.care.history import instant
from companion.care.records import AnyEntry, DayPage, Plan, Side, TapeOff, TapeOn, TapePlan

MORNING = time(8, 0)
SKIN_AGAIN = timedelta(minutes=30)
"""Redness still there 30 minutes after removal counts as a skin injury: MARSI consensus,
McNichol 2013, updated 2024 (F)."""

WearState = Literal["on", "due", "over_cap"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wear:
    """One wear of tape on one knee, short pieces added later included.

    `number` counts the wears of this make on this knee, from 1. `off_at` is None while the tape is
    on, and when nobody knows; `off_by` is the latest it can have come off.
    """

    side: Side
    on_ids: tuple[str, ...]
    on_at: datetime
    stage: int
    make: str | None
    for_outing: bool
    number: int
    ended: bool = False
    off_id: str | None = None
    off_at: datetime | None = None
    off_by: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WearClock:
    """How one wear stands. Instants are in the zone that was handed in; hours are real hours.

    `off_day` is the calendar day written on the tape. `hours_left` is below 0 once it is due.
    """

    wear: Wear
    state: WearState
    due_at: datetime
    cap_at: datetime
    off_day: date
    worn_hours: float
    hours_left: float


def wears(entries: Iterable[AnyEntry], side: Side) -> tuple[Wear, ...]:
    """The wears of one knee, oldest first. `entries` are those that count.

    Tape on with a higher stage while tape is on goes on with the same wear. Any other tape on
    while tape is on means the earlier one came off unrecorded, at an unknown time. A tape off
    belongs to the tape on it names, else to what was on at its time; with an unknown time, to what
    was on when it was written.
    """
    ons = [entry for entry in entries if isinstance(entry, TapeOn) and entry.side == side]
    known = {entry.id for entry in ons}
    offs = [entry for entry in entries if isinstance(entry, TapeOff) and entry.side == side]
    marks: list[tuple[datetime, int, str, TapeOn | TapeOff]] = [
        *((instant(entry.happened_at), 1, entry.id, entry) for entry in ons),
        *((instant(entry.happened_at or entry.written_at), 0, entry.id, entry) for entry in offs),
    ]
    done: list[Wear] = []
    over: set[str | None] = set()
    times: Counter[str] = Counter()
    on: Wear | None = None
    early: dict[str, TapeOff] = {}

    def end(wear: Wear, by: datetime, off: TapeOff | None, at: datetime | None) -> None:
        off_id = None if off is None else off.id
        done.append(replace(wear, ended=True, off_id=off_id, off_at=at, off_by=by))
        over.update(wear.on_ids)

    for at, _, _, mark in sorted(marks, key=lambda mark: mark[:3]):
        if isinstance(mark, TapeOn):
            if on is not None and mark.stage > on.stage:
                on = replace(on, on_ids=(*on.on_ids, mark.id), stage=mark.stage)
            else:
                if on is not None:
                    end(on, at, None, None)
                times[_make(mark.make)] += 1
                on = _begun(mark, times[_make(mark.make)])
            if mark.id in early:
                # Written as off before it was on: the wear is over, at no time we know.
                end(on, on.on_at, early[mark.id], None)
                on = None
        elif on is not None and (mark.tape_on not in known or mark.tape_on in on.on_ids):
            end(on, at, mark, mark.happened_at)
            on = None
        elif mark.tape_on is not None and mark.tape_on in known and mark.tape_on not in over:
            early[mark.tape_on] = mark
    return (*done, on) if on is not None else tuple(done)


def current_wear(entries: Iterable[AnyEntry], side: Side) -> Wear | None:
    """The wear that is on now, or None."""
    all_wears = wears(tuple(entries), side)
    return all_wears[-1] if all_wears and not all_wears[-1].ended else None


def wear_clock(wear: Wear, plan: Plan, now: datetime, zone: tzinfo) -> WearClock:
    """How a wear that is on stands at `now`.

    Due after 24 hours for the first wear, 48 for the second, then the plan's (defaults from
    memory and common practice, M and C; all three are plan fields), never past the hard cap. A
    due time after 21:00 or before 08:00 comes forward to 21:00 of that evening, unless the tape
    went on later than that. In a tape trial tape is due at the latest on the evening of the last
    day the trial lets it on, and at once where it lets none on.
    """
    tape = plan.tape
    hours = {1: tape.first_wear_hours, 2: tape.second_wear_hours}.get(wear.number, tape.wear_hours)
    on_at = instant(wear.on_at)
    due = on_at + timedelta(hours=min(hours, tape.cap_hours))
    cap = on_at + timedelta(hours=tape.cap_hours)
    evening = _evening_before(due, zone)
    if on_at < evening < due:
        due = evening
    trial_ends = _trial_ends(plan, wear, zone)
    if trial_ends is not None:
        due = min(due, max(on_at, trial_ends))
    at = instant(now)
    return WearClock(
        wear=wear,
        state="over_cap" if at >= cap else "due" if at >= due else "on",
        due_at=due.astimezone(zone),
        cap_at=cap.astimezone(zone),
        off_day=due.astimezone(zone).date(),
        worn_hours=_hours(at - on_at),
        hours_left=_hours(due - at),
    )


def worn_hours(wear: Wear) -> float | None:
    """Real hours from on to off; None while it is on, and when the end is not known."""
    if wear.off_at is None:
        return None
    return _hours(instant(wear.off_at) - instant(wear.on_at))


def rest_until(entries: Iterable[AnyEntry], side: Side, tape: TapePlan) -> datetime | None:
    """When the rest after the last wear is over; None when there was none or tape is on.

    An unknown end counts as the latest it can have been.
    """
    all_wears = wears(tuple(entries), side)
    if not all_wears or all_wears[-1].off_by is None:
        return None
    return instant(all_wears[-1].off_by) + timedelta(hours=tape.rest_hours)


def skin_look_at(entries: Iterable[AnyEntry], side: Side) -> datetime | None:
    """When the skin is to be looked at again after the last removal; None when it was, or since.

    With an unknown time of removal, 30 minutes after it was written down.
    """
    entries = tuple(entries)
    offs = [entry for entry in entries if isinstance(entry, TapeOff) and entry.side == side]
    if not offs:
        return None
    last = max(offs, key=lambda off: instant(off.happened_at or off.written_at))
    if last.skin_after_30_min is not None:
        return None
    at = instant(last.happened_at or last.written_at)
    for entry in entries:
        if isinstance(entry, TapeOn) and entry.side == side and instant(entry.happened_at) > at:
            return None
        later_page = isinstance(entry, DayPage) and entry.side == side and entry.skin is not None
        if later_page and instant(entry.written_at) >= at + SKIN_AGAIN:
            return None
    return at + SKIN_AGAIN


def taped_days(
    entries: Iterable[AnyEntry], side: Side, cap_hours: int, last_day: date
) -> frozenset[date]:
    """Diary days on which tape was already on when the day began, up to `last_day`.

    With paper pages that say tape was worn. A wear whose end is unknown is counted to its latest
    end, but no further than the hard cap: tape that nobody wrote down as off does not stay on for
    ever. `entries` are those that count.
    """
    entries = tuple(entries)
    days = {
        entry.for_day
        for entry in entries
        if isinstance(entry, DayPage) and entry.side == side and entry.tape_worn
    }
    for wear in wears(entries, side):
        end = wear.off_at
        if end is None:
            capped = instant(wear.on_at) + timedelta(hours=cap_hours)
            latest = capped if wear.off_by is None else min(capped, instant(wear.off_by))
            end = latest.astimezone(wear.on_at.tzinfo)
        day = diary_day(wear.on_at) + timedelta(days=1)
        while day <= min(diary_day(end), last_day):
            days.add(day)
            day += timedelta(days=1)
    return frozenset(day for day in days if day <= last_day)


def same_make(one: str | None, other: str | None) -> bool:
    """Whether two makes are one, whatever their capitals and outer spaces."""
    return _make(one) == _make(other)


def _begun(mark: TapeOn, number: int) -> Wear:
    return Wear(
        side=mark.side,
        on_ids=(mark.id,),
        on_at=mark.happened_at,
        stage=mark.stage,
        make=mark.make,
        for_outing=mark.for_outing,
        number=number,
    )


def _evening_before(due: datetime, zone: tzinfo) -> datetime:
    """21:00 of the evening a due time in the night belongs to; the due time itself by day."""
    local = due.astimezone(zone)
    if MORNING <= local.time() <= EVENING:
        return due
    day = local.date() if local.time() > EVENING else local.date() - timedelta(days=1)
    return datetime.combine(day, EVENING, tzinfo=zone).astimezone(UTC)


def _trial_ends(plan: Plan, wear: Wear, zone: tzinfo) -> datetime | None:
    """The evening at whose end the plan's trial wants this tape off."""
    if plan.trial is None:
        return None
    # Most plans hold no trial, and this is on the way to the front page.
    from companion.care.trial_days import last_tape_day

    day = last_tape_day(plan, wear.side, diary_day(wear.on_at.astimezone(zone)))
    if day is None:
        return None
    return datetime.combine(day, EVENING, tzinfo=zone).astimezone(UTC)


def _hours(length: timedelta) -> float:
    return length / timedelta(hours=1)


def _make(name: str | None) -> str:
    return (name or "").strip().casefold()
