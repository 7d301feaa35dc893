"""What is to come of a diary, as an iCalendar object (RFC 5545).

The routine on the plan's days a week, tape due off, the look at the skin after it, those at a test
piece, and the review.
Everything rests on the diary alone, never on today: what is past is written as past.

The review is a date without a time, and the routine an hour without a zone: both hold wherever the
person is. Moments are in UTC: a diary keeps
the offset of a place but not its name, so the rules of a time zone (VTIMEZONE) cannot be told, and
a moment in UTC is shown right everywhere.

The plan says how many days a week, not which. The days here are spread over the week from the day
the plan was written, and the text says that any day will do; while a tape trial is ahead or runs,
it says where each day is told, and no more: the order of the trial is shown only when it is due. A
part that a warning sign holds
locked is not in the calendar. UIDs stay as they are from one diary to the next, so a calendar
replaces what it has; SEQUENCE is the plan's version. A plan nobody signed says so in each title.
"""

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from uuid import UUID, uuid5

from companion.care.adherence import RoutinePart, days_a_week
from companion.care.clocks import newest_written, that_count
from companion.care.closures import closures
from companion.care.coded import KNEES, Coded, Say, coded
from companion.care.contacts import typed_label
from companion.care.days import diary_day
from companion.care.open_things import open_things
from companion.care.records import AnyEntry, Contact, Diary, PatchTest, Plan
from companion.care.trial_days import trial_schedule
from companion.wire.resource_reading import shipped_policy

_OURS = UUID("2c9be4d6-35c8-5b0c-8f4e-6f0a9d1b7c52")
"""The name space of our UIDs, drawn once."""
_DAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
ROUTINE_AT = time(18, 0)
"""When the routine rings, by the clock of wherever the person is (C)."""
MOST_OCTETS = 75
"""Of one line, its end not counted: RFC 5545, 3.1."""


@dataclass(frozen=True, slots=True)
class _Event:
    """One event. `start` is a day, a moment with its offset, or an hour by the clock of wherever
    the person is, which has none; it rings at that moment, or on the evening before a day."""

    what: str
    start: date | datetime
    title: Coded
    text: tuple[Coded, ...]
    rule: str | None = None


def write_calendar(diary: Diary, say: Say) -> str:
    """The calendar of a diary in the words of `say`; lines end in CRLF, of at most 75 octets."""
    plan = diary.plan
    entries = that_count(diary)
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//Home knee companion//Diary//EN",
        "CALSCALE:GREGORIAN",
    ]
    newest = _newest(diary)
    for event in (*_routine(plan, entries, newest), *_open(plan, entries, newest), _review(plan)):
        lines += _event_lines(event, plan, newest, say)
    lines.append("END:VCALENDAR")
    return "".join(f"{folded}\r\n" for line in lines for folded in _folded(line))


def _newest(diary: Diary) -> datetime:
    """When the diary was last written to; without an entry, when its plan was signed or written."""
    plan, newest = diary.plan, newest_written(diary)
    if newest is not None:
        return newest
    if plan.sign_off is not None:
        return plan.sign_off.signed_at
    return datetime(plan.written_on.year, plan.written_on.month, plan.written_on.day, tzinfo=UTC)


# ---------------------------------------------------------------- what is to come


def _routine(plan: Plan, entries: Sequence[AnyEntry], newest: datetime) -> Iterator[_Event]:
    """Hands and exercise: one event where they come on the same days, else one each."""
    today = diary_day(newest)
    days = {part: days_a_week(plan, part) for part in _open_parts(plan, entries, today)}
    which = _which_days(plan, today)
    if "hands" in days:
        yield from _weekly(plan, "hands", coded("calendar_routine"), days["hands"], which, today)
    if "exercise" in days and days["exercise"] != days.get("hands"):
        yield from _weekly(
            plan, "exercise", coded("calendar_exercises"), days["exercise"], which, today
        )


def _which_days(plan: Plan, today: date) -> Coded:
    trials = [trial_schedule(plan, side) for side in plan.sides]
    if any(trial is not None and today <= trial.last_day for trial in trials):
        return coded("calendar_trial_days")
    return coded("calendar_any_days")


def _open_parts(plan: Plan, entries: Sequence[AnyEntry], today: date) -> Iterator[RoutinePart]:
    """The parts the plan prescribes, and nothing closes on every knee of the plan."""
    held = [closures(shipped_policy(), plan, entries, side, today=today) for side in plan.sides]
    if plan.techniques and plan.hands_days_a_week and not all(one.closed("hands") for one in held):
        yield "hands"
    if (
        plan.exercises
        and plan.exercise_days_a_week
        and not all(one.closed("seated") for one in held)
    ):
        yield "exercise"


def _weekly(
    plan: Plan, part: RoutinePart, title: Coded, number: int, which: Coded, newest: date
) -> Iterator[_Event]:
    """An event on `number` days a week, 1 to 7, from the day last written of until the review."""
    offsets = [place * 7 // number for place in range(number)]
    on = sorted((plan.written_on.weekday() + offset) % 7 for offset in offsets)
    begins = max(plan.written_on, newest)
    while begins.weekday() not in on:
        begins += timedelta(days=1)
    often = coded("calendar_one_day") if number == 1 else coded("calendar_days", number=number)
    text = (often, which, coded("calendar_open_first"))
    if begins > plan.review_on:
        return
    until = f"{_day(plan.review_on)}T235959"
    rule = f"FREQ=WEEKLY;UNTIL={until};BYDAY={','.join(_DAYS[day] for day in on)}"
    yield _Event(f"routine {part}", datetime.combine(begins, ROUTINE_AT), title, text, rule)


def _open(plan: Plan, entries: Sequence[AnyEntry], newest: datetime) -> Iterator[_Event]:
    """What was open when the diary ends and has an hour: tape that is on, of a knee that the plan
    leaves out too, the look at the skin after it, and the looks at a test piece."""
    things = open_things(
        plan,
        entries,
        today=diary_day(newest),
        now=newest,
        zone=newest.tzinfo or UTC,
        policy=shipped_policy(),
    )
    for thing in things:
        at = thing.at
        if thing.wear is not None and thing.side is not None:
            clock = thing.wear
            on, cap = (at.strftime("%Y-%m-%d %H:%M") for at in (clock.wear.on_at, clock.cap_at))
            title = coded("calendar_tape_off", knee=KNEES[thing.side])
            text = (coded("calendar_tape_off_by", on=on, cap=cap),)
            yield _Event(f"tape off {thing.side}", clock.due_at, title, text)
        elif at is not None and "skin" in thing.walks and thing.side is not None:
            title = coded("calendar_skin", knee=KNEES[thing.side])
            text = (coded("calendar_skin_look"),)
            yield _Event(f"skin look {thing.side}", at, title, text)
        elif at is not None and isinstance(thing.entry, PatchTest) and thing.code != "patch_missed":
            title = coded("calendar_patch", make=thing.entry.make)
            text = (coded("calendar_patch_look"),)
            yield _Event(f"patch look {thing.entry.id}", at, title, text)


def _review(plan: Plan) -> _Event:
    clinics = [contact for contact in plan.contacts if contact.role == "clinic"]
    text = (coded("calendar_bring"), *map(_number, clinics))
    return _Event("review", plan.review_on, coded("calendar_review"), text)


def _number(contact: Contact) -> Coded:
    label, number = typed_label(contact) or coded("calendar_clinic"), contact.number
    if not contact.when:
        return coded("calendar_number", label=label, number=number)
    return coded("calendar_number_when", label=label, number=number, when=contact.when)


# ---------------------------------------------------------------- the form


def _event_lines(event: _Event, plan: Plan, stamp: datetime, say: Say) -> Iterator[str]:
    name = json.dumps([plan.person, event.what])
    title = say(coded("calendar_practice", title=event.title) if plan.practice else event.title)
    text = " ".join(map(say, event.text))
    yield "BEGIN:VEVENT"
    yield f"UID:{uuid5(_OURS, name)}"
    yield f"DTSTAMP:{_utc(stamp)}"
    yield f"SEQUENCE:{plan.version}"
    if isinstance(event.start, datetime):
        yield f"DTSTART:{_moment(event.start)}"
        yield "DURATION:PT15M"
    else:
        yield f"DTSTART;VALUE=DATE:{_day(event.start)}"
        yield "DURATION:P1D"
    if event.rule is not None:
        yield f"RRULE:{event.rule}"
    yield f"SUMMARY:{_escaped(title)}"
    yield f"DESCRIPTION:{_escaped(text)}"
    yield "CLASS:PRIVATE"
    yield "TRANSP:TRANSPARENT"
    yield "BEGIN:VALARM"
    yield "ACTION:DISPLAY"
    yield f"DESCRIPTION:{_escaped(title)}"
    yield "TRIGGER:PT0S" if isinstance(event.start, datetime) else "TRIGGER:-PT6H"
    yield "END:VALARM"
    yield "END:VEVENT"


def _day(day: date) -> str:
    return f"{day.year:04}{day.month:02}{day.day:02}"


def _moment(at: datetime) -> str:
    """A moment in UTC, or an hour by the clock of wherever the person is (RFC 5545, 3.3.5)."""
    return _utc(at) if at.tzinfo is not None else f"{_day(at.date())}T{at:%H%M%S}"


def _utc(at: datetime) -> str:
    """A moment in UTC, whole seconds; begun seconds are cut off."""
    at = at.astimezone(UTC)
    return f"{_day(at.date())}T{at.hour:02}{at.minute:02}{at.second:02}Z"


def _escaped(text: str) -> str:
    """TEXT of RFC 5545, 3.3.11: no control characters but the tab."""
    text = text.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    return text.replace("\n", "\\n")


def _folded(line: str) -> Iterator[str]:
    """The line in pieces of at most 75 octets, each after the first behind one space.

    A character is never cut in two (RFC 5545, 3.1, allows it; many readers do not).
    """
    piece, octets = "", 0
    for letter in line:
        size = len(letter.encode("utf-8"))
        if octets + size > MOST_OCTETS:
            yield piece
            piece, octets = " ", 1
        piece += letter
        octets += size
    yield piece
