"""What is open now: of which knee, until when, behind which door, and which walk closes it.

This is the one owner of it, for the front page and its doors, the rooms, reminders and the
calendar. It is told from the whole diary, the plan, the walks under way and the clock, and stored
nowhere. A knee the plan leaves out is told of as well: tape comes off it all the same.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo
from typing import TYPE_CHECKING, Literal, get_args

from companion.care.closures import most_pressing
from companion.care.finding import Entries, find
from companion.care.history import instant
from companion.care.journeys import SAID_BEFORE, journey_next, journey_now, pages_to_type
from companion.care.outings_waiting import outings_waiting
from companion.care.patch_looks import (
    LOOKS,
    counts_until,
    look_from,
    moment,
    morning_of,
    next_look,
)
from companion.care.policy import Policy
from companion.care.records import AnyEntry, Event, PatchTest, Plan, Side
from companion.care.state_calls import StateCall
from companion.care.tape_applications import (
    SKIN_LOOK_ENDS,
    WearClock,
    current_application,
    skin_look_open,
    wear_clock,
)

if TYPE_CHECKING:
    from companion.care.trial_today import TrialToday

OpenCode = Literal[
    "card",
    "tape_over_cap",
    "tape_due",
    "skin_look",
    "patch_first",
    "patch_second",
    "patch_missed",
    "trial_tape",
    "outing_after",
    "outing_morning",
    "plan_waits",
    "begun",
    "journey_pages",
    "skin_later",
    "trial_day",
    "tape_on",
    "patch_later",
    "journey",
    "journey_soon",
    "plan_before",
    "trial_over",
]
"""What is open, the most pressing first. skin_later, patch_later: a look whose hour is to come.
plan_waits: a plan came, and nobody said yes or no to it. begun: a walk that is half answered, such
as a day page. trial_day: a day of the tape trial that asks for nothing; trial_over: its end, which
is told for a week. journey: one is under way; journey_soon: it begins within a fortnight;
journey_pages: its pages are to be typed from paper. plan_before: today goes by the plan before."""
OpenDoor = Literal[
    "card",
    "tape",
    "patch",
    "outing",
    "routine",
    "day",
    "chair",
    "trial",
    "journey",
    "plan_waits",
    "plan_before",
]
"""The room a thing is done in."""
OpenWalk = Literal[
    "clear",
    "tape_on",
    "tape_off",
    "tape_check",
    "skin",
    "patch",
    "patch_reading",
    "outing",
    "outing_after",
    "outing_morning",
    "routine",
    "evening",
    "day",
    "chair",
]
"""The walks that close something."""

_TO_COME: tuple[OpenCode, ...] = (
    "tape_on",
    "patch_later",
    "journey",
    "journey_soon",
    "plan_before",
    "trial_over",
)
_RANKS = {code: rank for rank, code in enumerate(get_args(OpenCode))}
MISSED_IS_SAID = timedelta(days=7)
"""So long a missed look at a test piece is told: the piece comes off, and a new one is needed
(C)."""


@dataclass(frozen=True, slots=True)
class UnderWay:
    """A walk that is half answered and may be gone on with: its name, knee and day."""

    walk: OpenWalk
    side: Side
    for_day: date


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenThing:
    """One thing that is open. `side` None: it is the whole person's.

    `walks` close it, the first of them first; `at` is the hour it is about, `until` when it ends by
    itself, both in the zone handed in. `day` is that of an outing or of a walk under way. `last`:
    tomorrow it would be too late. `sign` is that of a card, `entry` what of the diary is open.
    """

    code: OpenCode
    door: OpenDoor
    walks: tuple[OpenWalk, ...]
    side: Side | None = None
    at: datetime | None = None
    until: datetime | None = None
    day: date | None = None
    last: bool = False
    sign: str | None = None
    entry: AnyEntry | None = None
    wear: WearClock | None = None
    trial: "TrialToday | None" = None

    @property
    def to_come(self) -> bool:
        """True where nothing of it is asked for today."""
        return self.code in _TO_COME


def open_things(
    plan: Plan,
    entries: Entries,
    *,
    today: date,
    now: datetime,
    zone: tzinfo,
    policy: Policy,
    under_way: Sequence[UnderWay] = (),
    calls: Sequence[StateCall] = (),
    plan_waits: bool = False,
) -> tuple[OpenThing, ...]:
    """Everything that is open, the most pressing first. `entries` are those that count.

    `calls` are the calls that the days ask for, see `state_calls`; of cards the one that is to be
    answered first stands for all. `plan_waits`: a plan came that is not the one in force. What is
    half answered of a thing is that thing.
    """
    found = [
        *_card(entries, policy, calls),
        *(thing for side in knees_of(plan) for thing in _tape(plan, side, entries, now, zone)),
        *_patch(entries, today, now, zone),
        *(
            thing
            for side in plan.sides
            for thing in _trial(plan, side, entries, today, now, zone, policy)
        ),
        *_outings(entries, today, now),
        *([OpenThing(code="plan_waits", door="plan_waits", walks=())] if plan_waits else ()),
        *_journey(entries, today),
        *_plan_before(entries, today),
        *(thing for side in plan.sides for thing in _pages_to_type(entries, side, today)),
    ]
    owned = {
        (walk, thing.side)
        for thing in found
        for walk in thing.walks
        if thing.code != "journey_pages"  # a page that is half written is of one day among them
    }
    for one in under_way:
        if one.walk not in _ROOMS or {(one.walk, one.side), (one.walk, None)} & owned:
            continue
        found.append(_begun(one))
        if one.walk in _OF_PERSON:
            owned.add((one.walk, None))
    return tuple(sorted(found, key=lambda thing: _RANKS[thing.code]))


def knees_of(plan: Plan) -> tuple[Side, ...]:
    """Both knees, those of the plan first."""
    sides: tuple[Side, ...] = ("left", "right")
    return (*plan.sides, *(side for side in sides if side not in plan.sides))


def tape_things(things: Iterable[OpenThing], side: Side) -> tuple[OpenThing, ...]:
    """What is open of the tape of one knee: the tape that is on, and the skin to look at."""
    codes = ("tape_over_cap", "tape_due", "tape_on", "skin_look", "skin_later")
    return tuple(one for one in things if one.side == side and one.code in codes)


def wear_of(things: Iterable[OpenThing], side: Side) -> WearClock | None:
    """The clock of the tape that is on a knee; None where none is."""
    return next((one.wear for one in things if one.side == side and one.wear is not None), None)


def _card(entries: Entries, policy: Policy, calls: Sequence[StateCall]) -> Iterator[OpenThing]:
    sign = most_pressing(entries, policy)
    if sign is not None:
        yield OpenThing(code="card", door="card", walks=("clear",), sign=sign.sign, entry=sign)
    elif calls:
        yield OpenThing(code="card", door="card", walks=("clear",), sign=calls[0])


def _tape(
    plan: Plan, side: Side, entries: Entries, now: datetime, zone: tzinfo
) -> Iterator[OpenThing]:
    wear = current_application(entries, side)
    if wear is not None:
        clock = wear_clock(wear, plan, now, zone)
        code: dict[str, OpenCode] = {"over_cap": "tape_over_cap", "due": "tape_due"}
        yield OpenThing(
            code=code.get(clock.state, "tape_on"),
            door="tape",
            walks=("tape_off", "tape_check"),
            side=side,
            at=clock.cap_at if clock.state == "over_cap" else clock.due_at,
            wear=clock,
        )
    look = skin_look_open(entries, side, now)
    if look is not None:
        yield OpenThing(
            code="skin_look" if instant(now) >= look else "skin_later",
            door="tape",
            walks=("skin",),
            side=side,
            at=look.astimezone(zone),
            until=(look + SKIN_LOOK_ENDS).astimezone(zone),
        )


def _patch(entries: Entries, today: date, now: datetime, zone: tzinfo) -> Iterator[OpenThing]:
    """The newest test piece, until it was read twice or missed; not clear, it is a card."""
    tests = [test for test in find(entries, PatchTest) if not test.tolerated_in_clinic]
    test = max(tests, key=lambda one: (instant(one.happened_at), one.id), default=None)
    if test is None:
        return
    ends = counts_until(test, LOOKS)
    said = moment(test, now, LOOKS)
    tomorrow = morning_of(today + timedelta(days=1), zone)
    code: OpenCode
    match said:
        case "clear" | "not_clear":
            return
        case "too_early":
            code, last = "patch_later", False
        case "first":
            # A first look tomorrow may leave no time for the second.
            code, last = "patch_first", next_look(test, tomorrow, LOOKS) is None
        case "second":
            code, last = "patch_second", instant(tomorrow) >= ends
        case _:
            code, last = "patch_missed", False
    until = ends + MISSED_IS_SAID if code == "patch_missed" else ends
    if instant(now) < until:
        yield OpenThing(
            code=code,
            door="patch",
            walks=("patch",) if code == "patch_missed" else ("patch_reading",),
            at=look_from(test, LOOKS).astimezone(zone),
            until=until.astimezone(zone),
            last=last,
            entry=test,
        )


def _trial(
    plan: Plan,
    side: Side,
    entries: Entries,
    today: date,
    now: datetime,
    zone: tzinfo,
    policy: Policy,
) -> Iterator[OpenThing]:
    if plan.trial is None:
        return
    # Most plans hold no trial, and this is on the way to the front page.
    from companion.care.trial_today import trial_today

    trial = trial_today(plan, side, entries, today=today, now=now, zone=zone, policy=policy)
    if trial is not None:
        asked = trial.standing == "tape_due"
        codes: dict[str, OpenCode] = {"tape_due": "trial_tape", "over": "trial_over"}
        yield OpenThing(
            code=codes.get(trial.standing, "trial_day"),
            door="trial" if trial.standing == "over" else "tape",
            walks=("tape_on",) if asked else (),
            side=side,
            trial=trial,
        )


def _outings(entries: Entries, today: date, now: datetime) -> Iterator[OpenThing]:
    """The outings that wait for the same telling are one thing of the person: the oldest comes
    first, and one morning follows them all."""
    told: set[str] = set()
    for one in outings_waiting(entries, today, now):
        if one.what in told:
            continue
        told.add(one.what)
        after = one.what == "after"
        yield OpenThing(
            code="outing_after" if after else "outing_morning",
            door="outing",
            walks=("outing_after",) if after else ("outing_morning",),
            day=one.entry.for_day,
            entry=one.entry,
        )


def _journey(entries: Entries, today: date) -> Iterator[OpenThing]:
    now, soon = journey_now(entries, today), journey_next(entries, today)
    if now is not None:
        yield OpenThing(code="journey", door="journey", walks=(), day=now.last_day, entry=now)
    elif soon is not None and soon.first_day <= today + SAID_BEFORE:
        yield OpenThing(
            code="journey_soon", door="journey", walks=(), day=soon.first_day, entry=soon
        )


def went_back(entries: Entries, today: date) -> Event | None:
    """That the person went back to the plan before for today, see `plan_before`."""
    said = find(entries, Event, first_day=today, last_day=today)
    return next((event for event in said if event.what == "plan_before"), None)


def _plan_before(entries: Entries, today: date) -> Iterator[OpenThing]:
    event = went_back(entries, today)
    if event is not None:
        yield OpenThing(code="plan_before", door="plan_before", walks=(), entry=event)


def _pages_to_type(entries: Entries, side: Side, today: date) -> Iterator[OpenThing]:
    days = pages_to_type(entries, side, today)
    if days:
        yield OpenThing(code="journey_pages", door="day", walks=("day",), side=side, day=days[0])


_ROOMS: dict[OpenWalk, OpenDoor] = {
    "routine": "routine",
    "evening": "routine",
    "day": "day",
    "tape_on": "tape",
    "outing": "outing",
    "outing_after": "outing",
    "outing_morning": "outing",
    "patch": "patch",
    "patch_reading": "patch",
    "chair": "chair",
}
"""The walks that are gone on with from the front page, each with its room. Tape off, the check and
the look at the skin are the tape's; Stop and clearing are answered or begun anew."""
_OF_PERSON: tuple[OpenWalk, ...] = (
    *("patch", "patch_reading", "chair", "outing", "outing_after", "outing_morning"),
)
"""Walks of the whole person: kept under two knees, after a plan for another, they are one thing."""


def _begun(one: UnderWay) -> OpenThing:
    return OpenThing(
        code="begun", door=_ROOMS[one.walk], walks=(one.walk,), side=one.side, day=one.for_day
    )
