"""The wear clock: how long tape has been on one knee, when it is due off, and the rest after it.

Lengths of time are real hours, taken between instants in UTC, so midnight, a change of the clocks
and travel change nothing. Only the evening rule looks at a wall clock: the one of the zone that is
handed in, where the person is now.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from itertools import takewhile
from typing import Literal

from companion.care.days import EVENING, diary_day
from companion.care.finding import Entries, find, happened_at, newest_first, off_of, with_id
from companion.care.history import instant
from companion.care.records import DayPage, Plan, Record, Side, TapeOff, TapeOn, TapePlan, record

MORNING = time(8, 0)  # (facts: wear_end_of_day, trial_taped_day)
SKIN_AGAIN = timedelta(minutes=30)
"""Redness still there after it counts as a skin injury (fact: skin_red_minutes)."""

SKIN_LOOK_ENDS = timedelta(hours=24)
"""So long after its hour a look "30 minutes after removal" is still one (C)."""

ANY_LATER_WEAR = 3
WearState = Literal["on", "due", "over_cap"]


@record
class TapeApplication(Record):
    """One wear of tape on one knee, short pieces added later included.

    `number` counts the wears of this make on this knee: 1, 2, and 3 for every later one. `off_at`
    is None while the tape is on, and when nobody knows; `off_by` is the latest it can have come
    off.
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


@record
class WearClock(Record):
    """How one wear stands. Instants are in the zone that was handed in; hours are real hours.

    `off_day` is the calendar day written on the tape. `hours_left` is below 0 once it is due.
    """

    wear: TapeApplication
    state: WearState
    due_at: datetime
    cap_at: datetime
    off_day: date
    worn_hours: float
    hours_left: float

    @property
    def cap_hours(self) -> int:
        """The hard cap in real hours from when it went on."""
        return round((self.cap_at.timestamp() - self.wear.on_at.timestamp()) / 3600)


def tape_applications(entries: Entries, side: Side) -> tuple[TapeApplication, ...]:
    """The wears of one knee, oldest first. `entries` are those that count.

    Tape on with a higher stage while tape is on goes on with the same wear. Any other tape on
    while tape is on means the earlier one came off unrecorded, at an unknown time. A tape off
    belongs to the tape on it names, else to what was on at its time; with an unknown time, to what
    was on when it was written.
    """
    ons, offs = find(entries, TapeOn, side=side), find(entries, TapeOff, side=side)
    return _wears(ons, offs, frozenset())


def _wears(
    ons: Iterable[TapeOn], offs: Iterable[TapeOff], worn_before: Collection[str]
) -> tuple[TapeApplication, ...]:
    """The wears of some tape. `worn_before`: the ids of tape that was on and off before that."""
    known = {entry.id for entry in ons}.union(worn_before)
    marks: list[tuple[datetime, int, str, TapeOn | TapeOff]] = [
        *((happened_at(entry), 1, entry.id, entry) for entry in ons),
        *((happened_at(entry), 0, entry.id, entry) for entry in offs),
    ]
    done: list[TapeApplication] = []
    over: set[str | None] = set(worn_before)
    times: Counter[str] = Counter()
    on: TapeApplication | None = None
    early: dict[str, TapeOff] = {}

    def end(wear: TapeApplication, by: datetime, off: TapeOff | None, at: datetime | None) -> None:
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
                on = _begun(mark, min(times[_make(mark.make)], ANY_LATER_WEAR))
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


def last_wears(entries: Entries, side: Side) -> Iterator[tuple[TapeApplication, ...]]:
    """The last wears of one knee as `wears` has them, then more of them, at last all.

    Whoever has seen enough stops: the tape of years back is not read. Only `number` may be too low,
    where the wears that are there do not tell it.
    """
    ons: list[TapeOn] = []
    offs: list[TapeOff] = []
    removals = newest_first(entries, TapeOff, by="time", side=side)
    removal = next(removals, None)
    wanted = 1
    for on in newest_first(entries, TapeOn, by="time", side=side):
        # No higher a stage than before it: this tape went on as a wear of its own.
        if len(ons) >= wanted and ons[-1].stage <= on.stage:
            first = happened_at(ons[-1])
            while removal is not None and happened_at(removal) > first:
                offs.append(removal)
                removal = next(removals, None)
            early = _written_early(entries, ons)
            yield _wears(ons, [*offs, *early], _worn_before(entries, ons, offs))
            wanted = 2 * len(ons)
        ons.append(on)
    if removal is not None:
        offs += [removal, *removals]
    yield _wears(ons, offs, frozenset())


def current_application(entries: Entries, side: Side) -> TapeApplication | None:
    """The wear that is on now, or None."""
    wear = None
    for found in last_wears(entries, side):
        wear = found[-1] if found else None
        if wear is None or wear.ended:
            return None
        if wear.number == ANY_LATER_WEAR:
            break
    return wear


def next_wear(entries: Entries, side: Side, make: str | None) -> int:
    """Which wear of this make the next on this knee will be: 1, 2, and 3 for every later one."""
    worn = 0
    for found in last_wears(entries, side):
        worn = sum(same_make(wear.make, make) for wear in found)
        if worn >= ANY_LATER_WEAR - 1:
            break
    return min(worn + 1, ANY_LATER_WEAR)


def clock_from_now(plan: Plan, side: Side, number: int, now: datetime, zone: tzinfo) -> WearClock:
    """The clock of tape that goes on now as the wear of this number."""
    wear = TapeApplication(
        side=side, on_ids=(), on_at=now, stage=1, make=plan.tape.make, for_outing=False,
        number=number,
    )  # fmt: skip
    return wear_clock(wear, plan, now, zone)


def wear_clock(wear: TapeApplication, plan: Plan, now: datetime, zone: tzinfo) -> WearClock:
    """How a wear that is on stands at `now`.

    Due after 24 hours for the first wear, 48 for the second, then the plan's (all three are plan
    fields), never past the hard cap. A due time after 21:00 or before 08:00 comes forward to 21:00
    of that evening, unless the tape went on later than that. In a tape trial tape is due at the
    latest on the evening of the last day the trial lets it on, and at once where it lets none on.
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


def worn_hours(wear: TapeApplication) -> float | None:
    """Real hours from on to off; None while it is on, and when the end is not known."""
    if wear.off_at is None:
        return None
    return _hours(instant(wear.off_at) - instant(wear.on_at))


def rest_until(entries: Entries, side: Side, tape: TapePlan) -> datetime | None:
    """When the rest after the last wear is over; None when there was none or tape is on.

    An unknown end counts as the latest it can have been.
    """
    found = next(last_wears(entries, side))
    if not found or found[-1].off_by is None:
        return None
    return instant(found[-1].off_by) + timedelta(hours=tape.rest_hours)


def skin_look_at(entries: Entries, side: Side) -> datetime | None:
    """When the skin is to be looked at again after the last removal; None when it was, or since.

    With an unknown time of removal, 30 minutes after it was written down.
    """
    last = next(newest_first(entries, TapeOff, by="time", side=side), None)
    if last is None or last.skin_after_30_min is not None:
        return None
    at = happened_at(last)
    on = next(newest_first(entries, TapeOn, by="time", side=side), None)
    if on is not None and happened_at(on) > at:
        return None
    later_pages = takewhile(
        lambda page: instant(page.written_at) >= at + SKIN_AGAIN,
        newest_first(entries, DayPage, by="writing", side=side),
    )
    return None if any(page.skin is not None for page in later_pages) else at + SKIN_AGAIN


def skin_look_open(entries: Entries, side: Side, now: datetime) -> datetime | None:
    """The same while the look can still be made: later than a day it would be made up."""
    at = skin_look_at(entries, side)
    return None if at is None or instant(now) >= at + SKIN_LOOK_ENDS else at


def taped_days(
    entries: Entries, side: Side, cap_hours: int, last_day: date, first_day: date | None = None
) -> frozenset[date]:
    """Diary days on which tape was already on when the day began, from `first_day` to `last_day`.

    With paper pages that say tape was worn. A wear whose end is unknown is counted to its latest
    end, but no further than the hard cap: tape that nobody wrote down as off does not stay on for
    ever. `entries` are those that count.
    """
    pages = find(entries, DayPage, side=side, first_day=first_day, last_day=last_day)
    days = {page.for_day for page in pages if page.tape_worn}
    for wear in (
        tape_applications(entries, side) if first_day is None else _since(entries, side, first_day)
    ):
        end = wear.off_at
        if end is None:
            capped = instant(wear.on_at) + timedelta(hours=cap_hours)
            latest = capped if wear.off_by is None else min(capped, instant(wear.off_by))
            end = latest.astimezone(wear.on_at.tzinfo)
        day = diary_day(wear.on_at) + timedelta(days=1)
        while day <= min(diary_day(end), last_day):
            days.add(day)
            day += timedelta(days=1)
    return frozenset(day for day in days if (first_day or day) <= day <= last_day)


def same_make(one: str | None, other: str | None) -> bool:
    """Whether two makes are one, whatever their capitals and outer spaces."""
    return _make(one) == _make(other)


def _since(entries: Entries, side: Side, day: date) -> tuple[TapeApplication, ...]:
    """The last wears, with every one that was on on that day or since."""
    before = day - timedelta(days=2)  # the day and the one before it may be told in two zones
    found: tuple[TapeApplication, ...] = ()
    for found in last_wears(entries, side):
        if found and diary_day(found[0].on_at) <= before:
            break
    return found


def _written_early(entries: Entries, ons: Sequence[TapeOn]) -> Iterator[TapeOff]:
    """Removals that name the last tape but are of a time before it went on: a clock was put back,
    or the hour was a slip."""
    for on in ons:
        for off in off_of(entries, on.id):
            if off.side == on.side and happened_at(off) <= happened_at(ons[-1]):
                yield off


def _worn_before(
    entries: Entries, ons: Sequence[TapeOn], offs: Iterable[TapeOff]
) -> frozenset[str]:
    """The ids of earlier tape on this knee that removals since then name."""
    here = {on.id for on in ons}
    named = {off.tape_on for off in offs if off.tape_on is not None} - here
    found = (with_id(entries, tape_on) for tape_on in named)
    return frozenset(on.id for on in found if isinstance(on, TapeOn) and on.side == ons[0].side)


def _begun(mark: TapeOn, number: int) -> TapeApplication:
    return TapeApplication(
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


def _trial_ends(plan: Plan, wear: TapeApplication, zone: tzinfo) -> datetime | None:
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
