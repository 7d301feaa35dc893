"""What is open, in words: one line for each thing, and the door it is."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING, Literal

from companion.care.journeys import by_the_clock_then, by_the_clock_there
from companion.care.open_things import OpenThing, OpenWalk, tape_things
from companion.care.records import Journey, Outing, Side
from companion.presentation.language import codes
from companion.presentation.language.phrases import clock_time, long_day, phrase, weekday
from companion.presentation.language.words import this_knee

if TYPE_CHECKING:
    from companion.care.trial_today import TrialToday

DoorName = Literal[
    "routine",
    "tape",
    "patch",
    "outing",
    "day",
    "chair",
    "record",
    "visit",
    "settings",
    "card",
    "add",
    "plan",
    "used_before",
    "second",
    "practice",
    "mend",
    "spell",
    "unsettled",
    "who",
    "trial",
    "journey",
    "plan_waits",
    "plan_before",
]


@dataclass(frozen=True, slots=True)
class Door:
    """A way off the front page: a word and one line. `side` None asks which knee first; with
    `walk` that walk is gone on with, else the room says what there is to do."""

    name: DoorName
    word: str
    line: str
    side: Side | None = None
    day: date | None = None
    walk: OpenWalk | None = None


@dataclass(frozen=True, slots=True)
class Moment:
    """Now, the diary's day, and whether more than one knee is spoken of: then each is named."""

    now: datetime
    today: date
    two_knees: bool
    hands_rest: frozenset[Side] = frozenset()
    journey: Journey | None = None
    """The journey that is under way."""


BEGUN_LINES: dict[OpenWalk, str] = {
    "routine": "You began the routine{whose}. Go on where you left it.",
    "evening": "You began the routine of both knees. Go on where you left it.",
    "day": "Your day page{of_day}{whose} is half written. Go on with it.",
    "tape_on": "You began to put tape on{where}. Go on where you left it.",
    "outing": "You began to write about going out. Go on with it.",
    "outing_after": "Say how it was. You began it.",
    "outing_morning": "Say how the morning after is. You began it.",
    "patch": "You began the test of a tape. Go on where you left it.",
    "patch_reading": "You began a look at the test piece. Go on with it.",
    "chair": "You began to count how often you rise. Go on with it.",
}
"""By the walk that is half answered."""
TRIAL_LINES = {
    "faulty": "The tape trial in your plan is not right. Ask your clinic.",
    "over": "Your tape trial{where} is over. See what it says.",
    "bare_day": "Today is a bare day in your tape trial{where}: no tape. "
    "Look here again in the morning.",
    "no_tape_day": "Today is no-tape day {n} of {of}{where}.",
    "no_hands": "Today is no-tape day {n} of {of}{where}. The hands-on part rests too.",
    "tape_due": "Today is tape day {n} of {of}{where}. Open Tape to put it on.",
    "tape_on": "Today is tape day {n} of {of}{where}. The tape stays on.",
    "last_tape_on": "Today is tape day {n} of {of}{where}. The tape stays on until this evening.",
    "tape_tomorrow": "Today is tape day {n} of {of}{where}. It is late: put it on in the morning.",
    "tape_ended": "Tape day {n} of {of}{where} is over. No new tape tonight.",
    "tape_not_now": "Today is tape day {n} of {of}{where}, but no tape for now.",
    "tape_rests": "Today is tape day {n} of {of}{where}. The skin rests, no tape until {when}.",
    "clock_behind": "No tape for your trial{where} until the clock is right.",
}


def open_line(thing: OpenThing, moment: Moment) -> str:
    """The one line of an open thing."""
    where = whose = ""
    if thing.side is not None and moment.two_knees:
        where = phrase(" on your {knee}", knee=this_knee(thing.side))
        whose = phrase(" for your {knee}", knee=this_knee(thing.side))
    if thing.trial is not None:
        resting = thing.side in moment.hands_rest
        return _trial_line(thing.trial, where, moment.now, hands_rest=resting)
    day = thing.day
    values = {
        "where": where,
        "whose": whose,
        "when": "" if thing.at is None else when_words(thing.at, moment.now),
        "time": "" if thing.at is None else clock_time(thing.at),
        "hours": 0 if thing.wear is None else thing.wear.cap_hours,
        "last": phrase(" Tomorrow is too late.") if thing.last else "",
        "what": thing.entry.what_for if isinstance(thing.entry, Outing) else "",
        "day": "" if day is None else long_day(day),
        "of_day": ""
        if day is None or day == moment.today
        else phrase(" of {day}", day=long_day(day)),
    }
    if thing.code == "begun":
        return phrase(BEGUN_LINES[thing.walks[0]], **values)
    return codes.OPEN_THINGS[thing.code].filled(**values).home


def _trial_line(trial: "TrialToday", where: str, now: datetime, *, hands_rest: bool) -> str:
    """What the tape trial says of today, and of no later day."""
    told: str = trial.standing
    if told == "no_tape_day" and hands_rest:
        told = "no_hands"
    elif told == "tape_on" and trial.day is not None and trial.day.last_scored:
        told = "last_tape_on"
    elif trial.rests_until is not None:
        told = "tape_rests"
    when = "" if trial.rests_until is None else when_words(trial.rests_until, now)
    number, of = (0, 0) if trial.day is None else (trial.day.number, trial.day.of)
    return phrase(TRIAL_LINES[told], n=number, of=of, where=where, when=when)


def open_door(thing: OpenThing, moment: Moment) -> Door:
    """The door that an open thing's line is: to its own knee, and to its walk where that is one."""
    words, line = open_line(thing, moment), ""
    if thing.code == "card":
        line = (
            phrase("I have called about it")
            if thing.entry is None
            else phrase("Tell what happened, or say it was a mistake")
        )
    if thing.trial is not None and thing.trial.day is not None:
        line = phrase(
            "Part {n} of {of} of your trial.",
            n=thing.trial.day.period,
            of=thing.trial.day.periods,
        )
        if thing.trial.complete:
            done = phrase(
                "{n} pair is complete so far.",
                "{n} pairs are complete so far.",
                n=thing.trial.complete,
            )
            line = f"{line} {done}"
        if thing.trial.missed:
            line = phrase("Yesterday had no tape, so it does not count. Just go on.")
    if thing.code == "plan_before":
        line = phrase("Only today. Your clinic sees it. Press to go on by the new one")
    if thing.code == "plan_waits":
        line = phrase("Until you say yes, your plan stays as it is")
    if isinstance(thing.entry, Journey):
        line = phrase("Numbers, tape, and what may be left out")
        if thing.entry.emergency is None:
            line = phrase("The emergency number there is not typed in yet")
    if thing.wear is not None and thing.at is not None:
        line = other_clock(thing.at, thing.wear.wear.on_at, moment)
    straight = thing.code in ("begun", "outing_after", "outing_morning")
    return Door(
        thing.door,
        words,
        line,
        thing.side,
        thing.day if thing.door == "day" else None,
        thing.walks[0] if straight else None,
    )


def other_clock(at: datetime, then: datetime, moment: Moment) -> str:
    """The same moment by the clock of somewhere else, with the reason: where the person is, else
    where the tape went on at `then`; "" where all clocks are one."""
    there = None if moment.journey is None else by_the_clock_there(at, moment.journey)
    if there is not None:
        return phrase(
            "By the clock where you are: {when}. It is the same moment.", when=_dated_time(there)
        )
    home = by_the_clock_then(at, then)
    if home is None:
        return ""
    return phrase(
        "By the clock where it went on: {when}. The hours on your skin are the same.",
        when=_dated_time(home),
    )


def _dated_time(at: datetime) -> str:
    return phrase("{day} at {time}", day=weekday(at.date()), time=clock_time(at))


def tape_words(things: Sequence[OpenThing], side: Side, now: datetime) -> str:
    """How the tape of one knee stands, in a few words; "" where nothing of it is open."""
    for thing in tape_things(things, side):
        match thing.code:
            case "tape_over_cap":
                return phrase(
                    "On too long, over {n} hours. Take it off now",
                    n=0 if thing.wear is None else thing.wear.cap_hours,
                )
            case "tape_due":
                return phrase("It is due off now")
            case "skin_later" if thing.at is not None:
                return phrase("Look at the skin again at {time}", time=clock_time(thing.at))
            case "skin_look":
                return phrase("Look at the skin again")
            case _ if thing.at is not None:
                return phrase("Off {when}", when=when_words(thing.at, now))
    return ""


def patch_words(things: Sequence[OpenThing], now: datetime) -> str:
    """How the test piece stands, in a few words; "" where none is open."""
    for thing in things:
        match thing.code:
            case "patch_first" | "patch_second":
                return phrase("Look under the test piece today")
            case "patch_later" if thing.at is not None:
                return phrase("A test piece is on. Look {when}", when=when_words(thing.at, now))
            case "patch_missed":
                return phrase("The test is to begin again")
    return ""


def when_words(at: datetime, now: datetime) -> str:
    """A coming instant in words: `this evening at 21:00`, `tomorrow at 19:00`, `Friday at 9:30`."""
    days = (at.date() - now.date()).days
    time = clock_time(at)
    if days <= 0:
        if at.hour >= 18:
            return phrase("this evening at {time}", time=time)
        return phrase("today at {time}", time=time)
    if days == 1:
        return phrase("tomorrow at {time}", time=time)
    if days >= 7:
        return phrase("{day} at {time}", day=long_day(at.date()), time=time)
    return phrase("{day} at {time}", day=weekday(at.date()), time=time)
