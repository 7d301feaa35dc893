"""What to remind of while the program runs, and when again while it is not done. No Qt."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from companion.care.history import instant
from companion.care.open_things import OpenThing
from companion.care.records import Side
from companion.presentation.home.front import moment_of, visit_is_near, visit_line
from companion.presentation.home.open_lines import Door, Moment, open_door, open_line
from companion.presentation.language.phrases import phrase
from companion.presentation.language.words import this_knee
from companion.services.front import Front

MORNING_HOUR = 8
"""From this hour on a tape day of the trial, a look at a test piece and the visit are reminded
of."""
EVENING_HOUR = 19
"""From this hour on the wall clock what is still open today is reminded of."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reminder:
    """One thing due. `key` is the same as long as it is due for the same time; `walks` are those
    that do it, so that nobody is reminded of what they are doing. `presses`: it cannot wait."""

    key: str
    sentence: str
    go: str
    door: Door
    walks: tuple[str, ...]
    presses: bool = False


AGAIN = timedelta(minutes=15)
"""After so long a reminder comes once more; past the hard cap of tape, each time (C)."""
BEDTIME = time(21, 30)
"""The last one of a day (C): what is to be done before the night."""


def again_at(one: Reminder, times: int, now: datetime) -> datetime:
    """When a reminder that was shown `times` times, the last one `now`, comes again while it is not
    done: after 15 minutes, then at bedtime, then the next morning."""
    if times < 2 or one.presses:
        return now + AGAIN
    bedtime = datetime.combine(now.date(), BEDTIME, tzinfo=now.tzinfo)
    if now < bedtime:
        return bedtime
    tomorrow = now.date() + timedelta(days=1)
    return datetime.combine(tomorrow, time(MORNING_HOUR), tzinfo=now.tzinfo)


def reminders(front: Front) -> tuple[Reminder, ...]:
    """What to remind of now, the most pressing first."""
    if front.plan is None:
        return ()
    moment = moment_of(front)
    return (
        *(found for thing in front.open for found in _of_open(thing, front, moment)),
        *_visit(front),
        *_evening(front),
    )


_GO = {
    "tape_over_cap": "Go to the tape",
    "tape_due": "Go to the tape",
    "skin_look": "Look at the skin",
    "patch_first": "Look at the skin",
    "patch_second": "Look at the skin",
    "trial_tape": "Go to the tape",
}
"""What of the things that are open is reminded of, and where it leads."""
_BY_DAY = ("patch_first", "patch_second", "trial_tape")


def _of_open(thing: OpenThing, front: Front, moment: Moment) -> Iterator[Reminder]:
    if thing.code not in _GO or (thing.code in _BY_DAY and front.now.hour < MORNING_HOUR):
        return
    at = front.today.isoformat() if thing.at is None else instant(thing.at).isoformat()
    sentence = open_line(thing, moment)
    if thing.code == "trial_tape":
        where = ""
        if thing.side is not None and moment.two_knees:
            where = phrase(" on your {knee}", knee=this_knee(thing.side))
        sentence = phrase("Today is a tape day{where}. The tape is not on yet.", where=where)
    yield Reminder(
        key=f"{thing.code}:{thing.side or 'person'}:{at}",
        sentence=sentence,
        go=phrase(_GO[thing.code]),
        door=open_door(thing, moment),
        walks=thing.walks,
        presses=thing.code == "tape_over_cap",
    )


def _visit(front: Front) -> Iterator[Reminder]:
    """The review, on the day before it and on its day."""
    plan = front.plan
    assert plan is not None
    if not visit_is_near(front) or front.now.hour < MORNING_HOUR:
        return
    yield Reminder(
        key=f"visit:{plan.review_on.isoformat()}:{front.today.isoformat()}",
        sentence=visit_line(front),
        go=phrase("Go to the visit"),
        door=Door("visit", phrase("Visit"), ""),
        walks=(),
    )


def _evening(front: Front) -> Iterator[Reminder]:
    # Past midnight it is too late to begin, though the diary day still runs.
    if front.now.hour < EVENING_HOUR:
        return
    due = [k.side for k in front.knees if "due" in (k.hands, k.exercise) and front.locked is None]
    if due:
        yield Reminder(
            key=f"routine:{front.today.isoformat()}",
            sentence=phrase("Your routine is still open for today."),
            go=phrase("Go to the routine"),
            door=_door("routine", due[0] if len(front.knees) == 1 else None),
            walks=("routine",),
        )
    open_days = [k.side for k in front.knees if front.today in k.days]
    if open_days:
        yield Reminder(
            key=f"day:{front.today.isoformat()}",
            sentence=phrase("Your day page is still open for today."),
            go=phrase("Go to the day page"),
            door=_door("day", open_days[0] if len(front.knees) == 1 else None),
            walks=("day",),
        )


def _door(name: str, side: Side | None) -> Door:
    match name:
        case "tape":
            return Door("tape", phrase("Tape"), "", side)
        case "routine":
            return Door("routine", phrase("Today’s routine"), "", side)
        case _:
            return Door("day", phrase("Day page"), "", side)
