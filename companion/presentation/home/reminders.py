"""What to remind of while the program runs: each thing once for each time it is due. No Qt."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from companion.care.history import instant
from companion.care.records import Side
from companion.presentation.home.front import Door
from companion.presentation.language.phrases import phrase
from companion.presentation.language.words import this_knee
from companion.services.front import Front, KneeToday

MORNING_HOUR = 8
"""From this hour on a tape day of the trial is reminded of: it is to be worn through the day."""
EVENING_HOUR = 19
"""From this hour on the wall clock what is still open today is reminded of."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reminder:
    """One thing due. `key` is the same as long as it is due for the same time; `walks` are those
    that do it, so that nobody is reminded of what they are doing."""

    key: str
    sentence: str
    go: str
    door: Door
    walks: tuple[str, ...]


def reminders(front: Front) -> tuple[Reminder, ...]:
    """What to remind of now, the most pressing first."""
    if front.plan is None:
        return ()
    both = len(front.knees) > 1
    return (
        *(found for one in front.knees for found in _tape(front, one, both=both)),
        *_evening(front),
    )


def _tape(front: Front, knee_today: KneeToday, *, both: bool) -> Iterator[Reminder]:
    side = knee_today.side
    where = phrase(" on your {knee}", knee=this_knee(side)) if both else ""
    wear = knee_today.wear
    if wear is not None and wear.state != "on":
        if wear.state == "over_cap":
            key, at = "over_cap", wear.cap_at
            sentence = phrase(
                "Your tape{where} has been on too long. Take it off now.", where=where
            )
        else:
            key, at = "tape_off", wear.due_at
            sentence = phrase("Your tape{where} is due off now.", where=where)
        yield Reminder(
            key=f"{key}:{side}:{instant(at).isoformat()}",
            sentence=sentence,
            go=phrase("Go to the tape"),
            door=_door("tape", side),
            walks=("tape_off", "tape_check"),
        )
    trial = knee_today.trial
    by_day = front.now.hour >= MORNING_HOUR
    if trial is not None and trial.standing == "tape_due" and by_day:
        yield Reminder(
            key=f"tape_on:{side}:{front.today.isoformat()}",
            sentence=phrase("Today is a tape day{where}. The tape is not on yet.", where=where),
            go=phrase("Go to the tape"),
            door=_door("tape", side),
            walks=("tape_on",),
        )
    look = knee_today.skin_look_at
    if look is not None and instant(look) <= instant(front.now):
        yield Reminder(
            key=f"skin:{side}:{instant(look).isoformat()}",
            sentence=phrase("Look at the skin{where} again.", where=where),
            go=phrase("Look at the skin"),
            door=_door("tape", side),
            walks=("skin",),
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
