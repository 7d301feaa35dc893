"""The diary that holds everything: one invented person whose plans and entries between them hold
every value of every code, every optional field given and not given, both ends of every range, a
correction of every kind of entry, and what every end of every walk writes (`whole_walks`).

It is made by walking the record types, so what is added to a record is in it at once;
`tests/test_whole_diary.py` proves that from the types again.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Iterator, Sequence
from dataclasses import fields, replace
from datetime import UTC, date, datetime, timedelta, timezone
from functools import cache
from itertools import count
from typing import Any, Literal, TypeVar

from companion.care import records
from companion.care.closures import cleared, open_warnings, ways_to_clear
from companion.care.course import EndReason
from companion.care.history import corrected, current, instant
from companion.care.ranges import Aware, ClockTime, Length, Range, Token, Words
from companion.care.records import AnyEntry, Diary, Plan, Record, Side, TapeOff, TapeOn, WarningSign
from companion.care.tape_applications import current_application
from companion.care.trial_schedule import planned
from companion.wire.sign_off import signed
from tests.care.walking import CATALOGUE
from tests.raw_codes import TYPED
from tests.whole_walks import Played, played

R = TypeVar("R", bound=Record)

PERSON = "K-all"
NAME = "everything"
"""What the tours call this person, who is in no list a newcomer sees."""
FIRST_DAY = date(2026, 3, 2)
LAST_DAY = date(2027, 3, 31)
HOME = timezone(timedelta(hours=1))
AWAY = (timezone(timedelta(hours=5, minutes=45)), timezone(timedelta(hours=-9, minutes=-30)))
FEWEST_ROWS = 4

_DATE, _AT, _SHA = date.min, datetime.min.replace(tzinfo=UTC), "0" * 64
"""Stand where a day, a moment or a checksum belongs until the record is put on a day."""
_TAPE = "f" * 32
"""Stands where the tape belongs that is on."""


# ---------------------------------------------------------------- every value of a field

UNWRITTEN: tuple[EndReason, ...] = (
    *("prescribed", "target_missed", "plan_tapes_always"),
    *("locked", "stale"),
)
"""Reasons to go on, and ends of a routine of which nothing is written."""
ENDS_OF_A_ROUTINE: tuple[str, ...] = tuple(
    reason for reason in typing.get_args(EndReason) if reason not in UNWRITTEN
)
TECHNIQUES = tuple(sheet.id for sheet in CATALOGUE.techniques)
EXERCISES = tuple(sheet.id for sheet in CATALOGUE.exercises)
SIGNS = tuple(sign.id for sign in CATALOGUE.stop_list.signs)
KEYS: dict[tuple[type[Record], str], tuple[str, ...]] = {
    (records.Technique, "technique"): TECHNIQUES,
    (records.Exercise, "exercise"): EXERCISES,
    (records.StepDone, "step"): (*TECHNIQUES, *EXERCISES),
    (records.CautionAnswer, "caution"): tuple(c.id for c in CATALOGUE.cautions.cautions),
    (records.KnownSign, "sign"): SIGNS,
    (records.AnsweredSign, "sign"): SIGNS,
    (records.KnownReply, "sign"): SIGNS,
    (records.WarningSign, "sign"): SIGNS,
    (records.WarningSign, "card"): tuple(sign.card for sign in CATALOGUE.stop_list.signs),
    (records.Session, "reason"): ENDS_OF_A_ROUTINE,
}


def rows(cls: type[R], **fixed: Sequence[Any]) -> tuple[R, ...]:
    """Records of one class that between them hold every value of every field.

    `fixed` says what some fields hold. The first record has nothing that may be left out.
    """
    hints = typing.get_type_hints(cls, include_extras=True)
    columns = {
        each.name: fixed[each.name]
        if each.name in fixed
        else values(hints[each.name], KEYS.get((cls, each.name), ()))
        for each in fields(cls)
    }
    most = max(FEWEST_ROWS, *(len(column) for column in columns.values()))
    # Shifted by its place once a column is through, so that two of one length part company.
    return tuple(
        cls(
            **{
                name: column[(row + row // len(column) * place) % len(column)]
                for place, (name, column) in enumerate(columns.items())
            }
        )
        for row in range(most)
    )


@cache
def values(hint: Any, keys: tuple[str, ...] = ()) -> tuple[Any, ...]:
    """Every value of a type worth holding: all codes, None and not, both ends and the middle.

    `keys` are the names it may hold where it is one of something in the resources.
    """
    origin = typing.get_origin(hint)
    if origin is typing.Annotated:
        inner, *markers = typing.get_args(hint)
        return keys or _limited(inner, markers[-1])
    if origin in (typing.Union, types.UnionType):
        of = typing.get_args(hint)
        submitted = tuple(
            value for each in of if each is not type(None) for value in values(each, keys)
        )
        return (None, *submitted) if type(None) in of else submitted
    if origin is Literal:
        return typing.get_args(hint)
    if isinstance(hint, type) and issubclass(hint, Record):
        return rows(hint)
    return {bool: (True, False), date: (_DATE,)}[hint]


def _limited(inner: Any, marker: Any) -> tuple[Any, ...]:
    match marker:
        case Range(least, most):
            if inner is float:
                return (float(least), (least + most) / 2 + 0.25, float(most))
            whole = range(int(least), int(most) + 1)
            return tuple(whole) if len(whole) < 5 else (whole[0], whole[len(whole) // 2], whole[-1])
        case Words(most, least) if least == most:
            return (_SHA,)
        case Words(most):
            return ("Quay"[:most], TYPED[:most], ("The way up to the light " * 100)[:most].strip())
        case Aware():
            return (_AT,)
        case Length(most):
            return _tuples(typing.get_args(inner)[0], most)
        case Token("[0-9a-f]{32}"):
            return (_TAPE,)
        case Token() if marker in typing.get_args(ClockTime):
            return ("8:30", "17:00")
    raise AssertionError(f"{marker} of {inner}: say what it may hold")


def _tuples(of: Any, most: int) -> tuple[tuple[Any, ...], ...]:
    """None, one, and all there are, as many at a time as are allowed."""
    if of in (records.KneeMeasures, records.OutingKnee):  # one of each knee at most
        left, right = (rows(of, side=(side,)) for side in ("left", "right"))
        pairs = tuple(zip(left, right, strict=True))
        return ((), *pairs) if of is records.KneeMeasures else ((left[0],), (right[1],), *pairs)
    every = values(of)
    parts = [every[at : at + most] for at in range(0, len(every), most)]
    return ((), every[:1], *parts)


# ---------------------------------------------------------------- on a day

DAYS: dict[str, int] = {
    "taught_on": 0,
    "on": 0,
    "since": -30,
    "first_day": 1,
    "last_day": 5,
    "stay_bare_from": 3,
    "replacement_on": 40,
    "cleared_on": 1,
    "opened_on": 1,
    "review_by": 30,
    "told_on": 1,
}
"""How many days after its entry or its plan a day in it is."""
HOURS: dict[str, float] = {
    "happened_at": 18,
    "ended_at": 18.5,
    "first_read_at": 18 + 25,
    "second_read_at": 18 + 50,
}
"""How many hours after the beginning of its day a moment of an entry is."""


def placed(record: R, day: date, zone: timezone = HOME) -> R:
    """The record with its days and moments, those of the records in it too."""

    def put(name: str, value: Any) -> Any:
        if isinstance(value, Record):
            return placed(value, day, zone)
        if isinstance(value, tuple):
            return tuple(put(name, each) for each in value)
        if value is _DATE:
            return day + timedelta(days=DAYS[name])
        if value is _AT:
            return at(day, HOURS[name], zone)
        return value

    return replace(
        record, **{each.name: put(each.name, getattr(record, each.name)) for each in fields(record)}
    )


def at(day: date, hour: float, zone: timezone = HOME) -> datetime:
    """So many hours after the beginning of a day."""
    return datetime(day.year, day.month, day.day, tzinfo=zone) + timedelta(hours=hour)


# ---------------------------------------------------------------- the plans

PLAN_EVERY = 12
"""Days between two versions."""


@cache
def plans_by_type() -> tuple[Plan, ...]:
    """Plan versions that hold every value of a plan, every second one signed."""
    loose = rows(
        Plan,
        person=(PERSON,),
        version=(1,),
        written_on=(_DATE,),
        review_on=(_DATE,),
        side=("both", "left", "right"),
        sign_off=(None,),
    )
    return tuple(_agreeing(plan, version) for version, plan in enumerate(loose, 1))


def _agreeing(plan: Plan, version: int) -> Plan:
    """The plan on its day, with what its fields must agree in."""
    day = FIRST_DAY + timedelta(days=PLAN_EVERY * (version - 1))
    plan = replace(plan, version=version, written_on=day, review_on=day + timedelta(days=56))
    plan = placed(
        replace(plan, main_side=plan.main_side if plan.side == "both" else plan.side), day
    )
    if plan.trial is not None and version % 3:
        fixed = replace(plan.trial, schedule_sha256=planned(plan.trial).sha256)
        plan = replace(plan, trial=fixed)
    if version % 2:
        return plan
    return signed(plan, "R. Quay", "PH 0412" if version % 4 else TYPED, at(day, 11))


# ---------------------------------------------------------------- the entries


def entries_by_type(plans: Sequence[Plan]) -> tuple[AnyEntry, ...]:
    """Entries of every kind that hold every value, once as they are and once corrected."""
    made: list[AnyEntry] = []
    numbers = count(1)
    for cls in records.ENTRY_KINDS.values():
        loose = _loose(cls)
        for number, entry in enumerate(map(_open, loose)):
            day = FIRST_DAY + timedelta(days=number)
            made.append(_belonging(entry, plans, made, day, number, next(numbers)))
        for number, entry in enumerate(loose):
            day = FIRST_DAY + timedelta(days=len(loose) + number)
            before = _belonging(entry, plans, made, day, number, next(numbers))
            made.append(before)
            # Another one's values in its place; every fourth is corrected once more.
            for again in range(1, 3 if number % 4 == 0 else 2):
                other = replace(loose[(number + again) % len(loose)], replaces=made[-1].id)
                if hasattr(before, "side"):
                    other = replace(other, side=before.side)
                new = _belonging(other, plans, made, day, number, next(numbers))
                later = made[-1].written_at + timedelta(hours=1)
                made.append(replace(new, written_at=max(new.written_at, later)))
        if cls is not WarningSign:
            for why in typing.get_args(records.Withdrawn):
                before = _belonging(loose[0], plans, made, day, 0, next(numbers))
                later = before.written_at + timedelta(hours=1)
                made.append(before)
                new = replace(before, id=f"{next(numbers):032x}", replaces=before.id)
                made.append(replace(new, withdrawn=why, written_at=later))
        # It came again under its id, and was chosen.
        once = _belonging(loose[0], plans, made, day, 0, next(numbers))
        again_id, chosen_id = (f"{next(numbers):032x}" for _ in range(2))
        later = once.written_at + timedelta(hours=1)
        made += [once, replace(once, id=again_id, beside=once.id)]
        made.append(
            replace(once, id=chosen_id, replaces=once.id, over=(again_id,), written_at=later)
        )
    in_turn = sorted(made, key=lambda entry: (instant(entry.written_at), entry.id))
    turns = {entry.id: turn for turn, entry in enumerate(in_turn, 1)}
    # The first of each kind was written before stores had names.
    first = {next(entry.id for entry in made if entry.kind == kind) for kind in records.ENTRY_KINDS}
    return tuple(
        entry if entry.id in first else replace(entry, machine="e" * 32, turn=turns[entry.id])
        for entry in made
    )


def _open(entry: AnyEntry) -> AnyEntry:
    """A warning as it is when its card is shown; `put_right` ends it."""
    if isinstance(entry, WarningSign):
        return replace(entry, cleared=None, cleared_on=None, cleared_by=None)
    return entry


def _loose(cls: type[Any]) -> tuple[Any, ...]:
    """Rows of one kind, for both knees where it has one, with codes that belong together."""
    fixed: dict[str, Sequence[Any]] = {"id": ("",), "plan_version": (1,), "replaces": (None,)}
    fixed |= {"for_day": (_DATE,), "written_at": (_AT,), "machine": (None,), "turn": (None,)}
    fixed |= {"over": ((),), "beside": (None,)}
    if cls is not WarningSign:
        fixed["withdrawn"] = (None,)
    if cls is records.Session:
        of_hands = records.HandsRound
        fixed["rounds"] = tuple(
            tuple(of_hands(steps=steps) for steps in part)
            for part in ((), *_in_threes(_tuples_of(records.StepDone, TECHNIQUES)))
        )
        fixed["exercises"] = _tuples_of(records.StepDone, EXERCISES)
    made = rows(cls, **fixed)
    if cls is WarningSign:
        made = tuple(_as_listed(warning) for warning in made)
    return made


def _in_threes(parts: Sequence[Any]) -> Iterator[tuple[Any, ...]]:
    for first in range(0, len(parts), 3):
        yield tuple(parts[first : first + 3])


def _tuples_of(cls: type[records.StepDone], steps: Sequence[str]) -> tuple[tuple[Any, ...], ...]:
    return ((), *((step,) for step in rows(cls, step=steps)), rows(cls, step=steps))


def _as_listed(warning: WarningSign) -> WarningSign:
    """With the card and the level the stop list has for its sign, and no clearing by halves."""
    sign = CATALOGUE.sign(warning.sign)
    warning = replace(warning, card=sign.card, level=sign.level)
    return warning if warning.cleared else replace(warning, cleared_on=None, cleared_by=None)


def _belonging(
    entry: Any, plans: Sequence[Plan], made: Sequence[AnyEntry], day: date, number: int, new: int
) -> Any:
    """The entry on its day, under a plan for its knee and with the tape that was on it."""
    zone = AWAY[number % 2] if number % 10 == 9 else HOME
    side: Side | None = getattr(entry, "side", None)
    entry = placed(replace(entry, for_day=day, written_at=at(day, 20, zone)), day, zone)
    of_tape = entry.knees if isinstance(entry, records.Outing) else (entry,)
    named = tuple(_with_tape(one, made) for one in of_tape)
    entry = replace(entry, knees=named) if isinstance(entry, records.Outing) else named[0]
    sides = entry.sides if isinstance(entry, records.Outing) else (side,) if side else ()
    moments = [at(day, 20, zone), *(v for v in _values(entry) if isinstance(v, datetime))]
    paper = entry.written_by == "paper"
    return replace(
        entry,
        id=f"{new:032x}",
        written_at=max(moments) + timedelta(days=5 if paper else 0, minutes=10),
        plan_version=next(
            plan.version
            for plan in sorted(plans, key=lambda plan: -plan.version)
            if plan.written_on <= day and {*sides} <= {*plan.sides}
        ),
    )


def _with_tape(of: Any, made: Sequence[AnyEntry]) -> Any:
    """Naming the tape that was put on that knee last, where it names one."""
    if getattr(of, "tape_on", None) is None:
        return of
    on = (one.id for one in reversed(made) if isinstance(one, TapeOn) and one.side == of.side)
    return replace(of, tape_on=next(on))


def _values(record: Record) -> Iterator[Any]:
    return (getattr(record, each.name) for each in fields(record))


def put_right(entries: Sequence[AnyEntry]) -> tuple[AnyEntry, ...]:
    """What ends all that is still open: every warning cleared a day later, tape off, nobody knows
    when."""
    made: list[AnyEntry] = []
    numbers = count(1)
    counting = current(entries)
    for warning in open_warnings(counting, CATALOGUE.policy):
        ways = ways_to_clear(warning, CATALOGUE.policy)
        number = next(numbers)
        when = warning.written_at + timedelta(hours=13)
        way = ways[number % len(ways)]
        right = cleared(warning, way, on=when.date(), policy=CATALOGUE.policy)
        made.append(corrected(right, f"{number:016x}{'c' * 16}", when, "person"))
    last = max(entry.written_at for entry in entries)
    for side in typing.get_args(Side):
        wear = current_application(counting, side)
        if wear is not None:
            on = next(one for one in entries if one.id == wear.on_ids[-1])
            made.append(
                TapeOff(
                    id=f"{next(numbers):016x}{'d' * 16}",
                    for_day=last.date(),
                    written_at=last,
                    written_by="person",
                    plan_version=on.plan_version,
                    side=side,
                    tape_on=on.id,
                )
            )
    return tuple(made)


@cache
def whole_play() -> Played:
    """Every walk played after the days above, under the plans that follow."""
    first_day = max(entry.written_at for entry in _by_type()).date() + timedelta(days=2)
    return played(PERSON, first_day, len(plans_by_type()) + 1)


@cache
def _by_type() -> tuple[AnyEntry, ...]:
    entries = entries_by_type(plans_by_type())
    return (*entries, *put_right(entries))


@cache
def whole_diary() -> Diary:
    """The diary, made once: what the types hold, then what the walks write."""
    walked = whole_play().diary
    return Diary(plans=(*plans_by_type(), *walked.plans), entries=(*_by_type(), *walked.entries))
