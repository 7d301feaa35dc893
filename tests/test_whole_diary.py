"""The diary that holds everything does hold everything, counted from the record types."""

import dataclasses
import types
import typing
from collections import defaultdict
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, Literal

from companion.app.demo import fill
from companion.care.history import current, merge
from companion.care.ranges import Length, Range
from companion.care.records import ENTRY_KINDS, DayPage, Diary, Entry, Plan, Record
from companion.exchange.files import diary_bytes, read_bytes
from companion.journal.store import Journal
from companion.system.clock import PinnedClock
from tests.whole_diary import KEYS, LAST_DAY, whole_diary

Field = tuple[type[Record], str]

IMPOSSIBLE: dict[tuple[str, str], str] = {
    ("Plan.version", "9999"): "no further version could follow it",
    ("Entry.plan_version", "9999"): "there is no such plan",
}
"""What no diary of one person holds, and why."""


def kinds_of_value(hint: Any) -> Iterator[str]:
    """What a field of this type may hold, told apart as far as a page may tell it apart."""
    origin = typing.get_origin(hint)
    if origin is typing.Annotated:
        inner, *markers = typing.get_args(hint)
        match markers[-1]:
            case Range(least, most):
                yield from (str(inner(least)), str(inner(most)))
            case Length():
                yield from ("empty", "filled")
                yield from kinds_of_value(typing.get_args(inner)[0])
    elif origin in (typing.Union, types.UnionType):
        for each in typing.get_args(hint):
            yield from ("None",) if each is type(None) else ("given", *kinds_of_value(each))
    elif origin is Literal:
        yield from map(str, typing.get_args(hint))
    elif hint is bool:
        yield from ("True", "False")


def kinds_held(value: Any) -> Iterator[str]:
    """The same of one value."""
    if isinstance(value, tuple):
        yield "filled" if value else "empty"
        for each in value:
            yield from kinds_held(each)
    else:
        yield str(value)
        if value is not None:
            yield "given"


def record_types(cls: type[Record], seen: set[type[Record]]) -> set[type[Record]]:
    """A record type and all it is made of."""
    if cls not in seen:
        seen.add(cls)
        hints: dict[str, Any] = typing.get_type_hints(cls)
        for hint in hints.values():
            for part in _parts(hint):
                record_types(part, seen)
    return seen


def _parts(hint: Any) -> Iterator[type[Record]]:
    if isinstance(hint, type) and issubclass(hint, Record):
        yield hint
    for each in typing.get_args(hint):
        yield from _parts(each)


def every_record(of: Iterable[Record]) -> Iterator[Record]:
    """Records and those in them."""
    for record in of:
        yield record
        for each in dataclasses.fields(record):
            value = getattr(record, each.name)
            parts = value if isinstance(value, tuple) else (value,)
            yield from every_record(part for part in parts if isinstance(part, Record))


def held(of: Iterable[Record]) -> dict[Field, set[str]]:
    """What is held in each field."""
    found: dict[Field, set[str]] = defaultdict(set)
    for record in every_record(of):
        for each in dataclasses.fields(record):
            found[type(record), each.name].update(kinds_held(getattr(record, each.name)))
    return found


def missing(diary: Diary) -> list[str]:
    """What could be held by an entry that counts, or by a plan, and is not."""
    found = held([*diary.plans, *current(diary.entries)])
    replaced = held(diary.entries)
    types_of: set[type[Record]] = set()
    tops: list[type[Record]] = [Plan, *ENTRY_KINDS.values()]
    for cls in tops:
        record_types(cls, types_of)
    lacking = []
    for cls in sorted(types_of, key=lambda one: one.__name__):
        hints = typing.get_type_hints(cls, include_extras=True)
        for each in dataclasses.fields(cls):
            owner = Entry if issubclass(cls, Entry) and each.name in _OF_ENTRY else cls
            wanted = {*kinds_of_value(hints[each.name]), *KEYS.get((cls, each.name), ())}
            have = (replaced if each.name == "replaces" else found)[cls, each.name]
            lacking += [
                f"{owner.__name__}.{each.name}: {value}"
                for value in sorted(wanted - have)
                if (f"{owner.__name__}.{each.name}", value) not in IMPOSSIBLE
            ]
    return sorted(set(lacking))


_OF_ENTRY = {each.name for each in dataclasses.fields(Entry)}


def test_every_value_of_every_field_counts_in_it() -> None:
    assert missing(whole_diary()) == []


def test_every_kind_is_corrected_and_a_correction_is_too() -> None:
    by_id = {entry.id: entry for entry in whole_diary().entries}
    once = {e.kind for e in by_id.values() if e.replaces}
    twice = {e.kind for e in by_id.values() if e.replaces and by_id[e.replaces].replaces}
    assert once == twice == set(ENTRY_KINDS)


def test_a_value_that_is_left_out_is_found() -> None:
    whole = whole_diary()
    less = tuple(
        dataclasses.replace(one, swelling="some")
        if isinstance(one, DayPage) and one.swelling == "much"
        else one
        for one in whole.entries
    )
    assert missing(dataclasses.replace(whole, entries=less)) == ["DayPage.swelling: much"]


def test_it_is_a_whole_diary_file() -> None:
    whole = whole_diary()
    reading = read_bytes(diary_bytes(whole), name="everything.homeknee", today=LAST_DAY)
    assert (reading.state, reading.sentence) == ("whole", reading.sentence)
    assert reading.diary is not None
    assert merge(reading.diary.entries) == merge(whole.entries)
    assert reading.diary.plans == whole.plans


def test_it_fills_a_store(tmp_path: Path) -> None:
    whole = whole_diary()
    fill(tmp_path, whole, PinnedClock(LAST_DAY))
    with Journal.open(tmp_path, PinnedClock(LAST_DAY)) as journal:
        assert merge(journal.entries()) == merge(whole.entries)
