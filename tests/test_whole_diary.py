"""The diary that holds everything does hold everything, counted from the record types."""

import dataclasses
import importlib
import pkgutil
import types
import typing
from collections import defaultdict
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, Literal

import pytest

from companion import care
from companion.app.demo import fill
from companion.care import records
from companion.care.history import current, merge
from companion.care.ranges import Length, Range
from companion.care.records import ENTRY_KINDS, DayPage, Diary, Entry, Plan, Record, Session
from companion.exchange.files import diary_bytes, read_bytes
from companion.journal.store import Journal
from companion.system.clock import PinnedClock
from tests.said import sentence
from tests.whole_diary import (
    ENDS_OF_A_ROUTINE,
    KEYS,
    LAST_DAY,
    whole_diary,
    whole_play,
)

Field = tuple[type[Any], str]

IMPOSSIBLE: dict[tuple[str, str], str] = {
    ("Plan.version", "9999"): "no further version could follow it",
    ("Entry.plan_version", "9999"): "there is no such plan",
    ("Outing.knees", "empty"): "it is of a knee",
    ("Entry.turn", "1"): "the first entry of a store alone has it",
    ("Entry.turn", str(2**53 - 1)): "no further entry could follow it",
}
"""What no diary of one person holds, and why."""


_TWO = "it is of both knees"

NEVER: dict[str, str] = {
    "AmountsPage.amounts: empty": "the page is left out where the plan has none",
    "BothExercisePage.sides: empty": _TWO,
    "BothExercisesPage.legs: empty": "an exercise is done by a leg",
    "BothExercisesPage.sides: empty": _TWO,
    "BothLookOverPage.pages: empty": _TWO,
    "BothLookOverPage.sides: empty": _TWO,
    "BothMorningsPage.sides: empty": _TWO,
    "BothMovePage.moves: empty": _TWO,
    "BothMovePage.sides: empty": _TWO,
    "BothOutingPainPage.sides: empty": _TWO,
    "BothRestPage.sides: empty": _TWO,
    "DayActivitiesPage.labels: empty": "the page is left out where the plan has none",
    "DayPainsPage.measures: empty": "two scores are asked every day",
    "DecisionPage.role: before": "the first score is followed by no decision",
    "EachStepPage.names: empty": "two share a page at least",
    "EntryPage.versions: empty": "the entry itself is one",
    "EntryPage.whole: empty": "something may be wrong with each",
    "EveningEnd.ends: empty": _TWO,
    "EveningEnd.sides: empty": _TWO,
    "GatePage.questions: empty": "its questions are fixed",
    "GoOnPage.none: False": "what is ticked at Stop closes something, and ends what was under way",
    "KnownPage.signs: empty": "it is there only where the plan marks one",
    "KnownStepsPage.steps: empty": "two share a page at least",
    "MakePage.makes: empty": "its door is there only where a make is known",
    "NoTapePage.reasons: empty": "without a reason tape goes on",
    "OpenSignPage.asks: checked_by_professional": "what one said is asked on the next page",
    "OpenSignPage.asks: ticked_by_mistake": "that is read once more on a page of its own",
    "OtherDayPage.days: empty": "its door is there only where a day is free",
    "NotPossiblePage.why: too_late": "what goes on later is written later here",
    "OutingAfterEnd.because: None": "why it ended is the first answer",
    "OutingAfterEnd.knees: empty": "it is of a knee",
    "OutingLookOverPage.tape: empty": "it is of a knee",
    "OutingMorningEnd.knees: empty": "it is of a knee",
    "PatchUnderWayPage.look_from: None": "a piece that is on has its next look",
    "ReadyPage.asks: empty": "it is there only where something is asked for",
    "ReadyPage.parts: empty": "it is asked before a part",
    "RoutineEnd.ended: left": "no page is shown of it; its session is written",
    "RoutineEnd.knows_steps: False": "it is said, or nothing is",
    "RoutineEnd.reason: left_behind": "no page is shown of it; its session is written",
    "RoutineEnd.reason: plan_tapes_always": "tape follows, so nothing ends",
    "RoutineEnd.reason: prescribed": "a round follows, so nothing ends",
    "RoutineEnd.reason: stale": "nothing was answered, so nothing is written",
    "RoutineEnd.reason: tape_on": "no page is shown of it; its session is written",
    "RoutineEnd.reason: target_missed": "a round follows, so nothing ends",
    "RoutineEnd.reason: trial": "no page is shown of it; its session is written",
    "TapeOffEnd.skin: None": "no page is shown of a walk left lying; what it held is written",
    "ToldPartsPage.parts: empty": "nobody is asked about a sign that closes nothing",
    "RoutineEnd.reason: wanted": "Stop leaves the walk; its session is written",
    "SignOfAnswerPage.signs: empty": "an answer is offered a sign at least",
    "StopListPage.questions: empty": "it is there only behind a question",
    "StopPage.questions: empty": "its questions are fixed",
    "TapeStepPage.steps: empty": "a page has at least one step",
    "TopicsPage.topics: empty": "it is there only where a question has some",
    "StopListPage.signs: empty": "some signs are always asked",
}
"""What no page of a walk shows and no walk ends with, and why."""


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
    elif origin is tuple:
        yield from ("empty", "filled")
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
    yield "any"


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


def every_record(of: Iterable[Any]) -> Iterator[Any]:
    """Records, pages or ends, and those in them."""
    for record in of:
        yield record
        for each in dataclasses.fields(record):
            value = getattr(record, each.name)
            parts = value if isinstance(value, tuple) else (value,)
            yield from every_record(part for part in parts if dataclasses.is_dataclass(part))


def held(of: Iterable[Any]) -> dict[Field, set[str]]:
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
            written_only = each.name in (
                "replaces",
                "withdrawn",
                "machine",
                "turn",
                "beside",
                "over",
            )
            wanted = {*kinds_of_value(hints[each.name]), *KEYS.get((cls, each.name), ())}
            have = (replaced if written_only else found)[cls, each.name]
            lacking += [
                f"{owner.__name__}.{each.name}: {value}"
                for value in sorted(wanted - have)
                if (f"{owner.__name__}.{each.name}", value) not in IMPOSSIBLE
            ]
    return sorted(set(lacking))


def of_walks(word: str) -> dict[str, type[Any]]:
    """The pages of the walks, or their ends: what `care` calls so."""
    found = {}
    for module in pkgutil.iter_modules(care.__path__, f"{care.__name__}."):
        for name, cls in vars(importlib.import_module(module.name)).items():
            own = getattr(cls, "__module__", "") == module.name != records.__name__
            if own and dataclasses.is_dataclass(cls) and name.endswith(word):
                found[name] = typing.cast("type[Any]", cls)
    return found


_OF_WRITING = {"replaces", "withdrawn", "machine", "turn", "beside", "over"}
"""What tells how an entry was written down: it need not be held by one that counts."""
_OF_ENTRY = {each.name for each in dataclasses.fields(Entry)}


def test_every_value_of_every_field_counts_in_it() -> None:
    assert missing(whole_diary()) == []


def test_every_kind_is_corrected_and_a_correction_is_too() -> None:
    by_id = {entry.id: entry for entry in whole_diary().entries}
    once = {e.kind for e in by_id.values() if e.replaces}
    twice = {e.kind for e in by_id.values() if e.replaces and by_id[e.replaces].replaces}
    assert once == twice == set(ENTRY_KINDS)


@pytest.mark.parametrize("word", ["Page", "End"])
def test_every_page_of_every_walk_is_shown_and_every_end_played(word: str) -> None:
    seen = whole_play().pages if word == "Page" else whole_play().ends
    found = held(seen)
    lacking = [
        f"{name}.{each.name}: {value}"
        for name, cls in of_walks(word).items()
        for hints in [typing.get_type_hints(cls, include_extras=True)]
        for each in dataclasses.fields(cls)
        for value in {"any", *kinds_of_value(hints[each.name])} - found[cls, each.name]
    ]
    assert sorted(lacking) == sorted(line for line in NEVER if line.split(".")[0].endswith(word))


def test_every_reason_a_session_ends_for_is_played() -> None:
    sessions = [one for one in whole_play().diary.entries if isinstance(one, Session)]
    assert set(ENDS_OF_A_ROUTINE) - {session.reason for session in sessions} == set()


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
    assert reading.state == "whole", sentence(reading)
    assert reading.diary is not None
    assert merge(reading.diary.entries) == merge(whole.entries)
    assert reading.diary.plans == whole.plans


def test_it_fills_a_store(tmp_path: Path) -> None:
    whole = whole_diary()
    fill(tmp_path, whole, PinnedClock(LAST_DAY))
    with Journal.open(tmp_path, PinnedClock(LAST_DAY)) as journal:
        assert merge(journal.entries()) == merge(whole.entries)
