"""Strict reading: nothing is converted, nothing passes that the plain reader would refuse."""

import json
from collections.abc import Iterator
from dataclasses import fields
from typing import Any

import pytest
from hypothesis import given, settings

from companion.care.json_values import JsonObject, JsonValue
from companion.care.records import DayPage, Diary, Entry, Plan
from companion.wire import strict
from companion.wire.faults import Fault
from companion.wire.plain import PlainFault, decode_entry, decode_plan, encode
from tests.said import sentence
from tests.strategies import diaries
from tests.whole_diary import entries_by_type, plans_by_type
from tests.wire.test_plain import PAGE

PLAN: dict[str, Any] = {
    "person": "K-07",
    "version": 1,
    "written_on": "2026-03-02",
    "review_on": "2026-04-27",
    "side": "right",
    "main_side": "right",
}


def _faults(change: dict[str, Any]) -> tuple[Fault, ...]:
    read = strict.read_entry(json.dumps(PAGE | change).encode(), "entries[12]")
    assert isinstance(read, tuple), "this was to be refused"
    return read


@settings(max_examples=30)
@given(diaries(most_entries=4))
def test_both_readers_make_the_same_record(diary: Diary) -> None:
    for plan in diary.plans:
        read_plan = strict.read_plan(json.dumps(encode(plan)).encode())
        assert isinstance(read_plan, Plan)
        assert encode(read_plan) == encode(plan)
    for entry in diary.entries:
        read = strict.read_entry(json.dumps(encode(entry)).encode())
        assert not isinstance(read, tuple)
        assert encode(read) == encode(entry)
        assert type(read) is type(entry)


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"pain_worst": 11}, "entries[12].pain_worst: 11 is not between 0 and 10"),
        ({"pain_worst": -1}, "entries[12].pain_worst: -1 is not between 0 and 10"),
        ({"pain_worst": "3"}, "entries[12].pain_worst: '3' is not a whole number"),
        ({"pain_worst": 3.0}, "entries[12].pain_worst: 3.0 is not a whole number"),
        ({"pain_worst": True}, "entries[12].pain_worst: True is not a whole number"),
        ({"medicine": 1}, "entries[12].medicine: 1 is not true or false"),
        ({"side": "both"}, "entries[12].side: 'both' is not one of left, right"),
        ({"kind": "weather"}, "entries[12]: 'weather' is not a kind of entry"),
        ({"weather": "wet"}, "entries[12].weather: not a field of DayPage"),
        ({"for_day": "2026-02-30"}, "entries[12].for_day: '2026-02-30' is not a date"),
        ({"for_day": "20260309"}, "entries[12].for_day: "),
        ({"for_day": 20260309}, "entries[12].for_day: "),
        ({"written_at": "2026-03-09T19:42:00"}, "entries[12].written_at: "),
        ({"written_at": "1741545720"}, "entries[12].written_at: "),
        ({"written_at": 1741545720}, "entries[12].written_at: "),
        ({"written_at": "2026-W11-1T19:42:00+01:00"}, "entries[12].written_at: "),
        ({"id": "0" * 31}, "entries[12].id: "),
        ({"id": "0" * 32 + "\n"}, "entries[12].id: "),
        ({"id": "A" * 32}, "entries[12].id: "),
        ({"note": "a\x00b"}, "entries[12].note: text with control characters"),
        ({"note": "x" * 2001}, "entries[12].note: text of 2001 characters"),
        ({"plan_version": 10**30}, "entries[12].plan_version: "),
        (
            {"amounts": [{"label": "walk", "unit": "min", "amount": "20"}]},
            "entries[12].amounts[0].amount: '20' is not a number",
        ),
        (
            {"amounts": [{"label": "walk", "unit": "min", "amount": 5, "x": 1}]},
            "entries[12].amounts[0].x: not a field of Amount",
        ),
        (
            {"activities": [{"label": f"walk {n}", "score": 3} for n in range(6)]},
            "entries[12].activities: 6 items, allowed are 5",
        ),
        ({"for_day": "1899-12-31"}, "entries[12].for_day: "),
        ({"written_at": "2201-03-09T19:42:00+01:00"}, "entries[12].written_at: "),
        ({"written_at": "2026-03-09_19:42:00+01:00"}, "entries[12].written_at: "),
    ],
)
def test_what_does_not_fit_is_refused_with_its_place(change: Any, fault: str) -> None:
    assert sentence(_faults(change)[0]).startswith(fault)


ODD: tuple[JsonValue, ...] = (
    *(None, True, 2, 3.0, 10**30, -(10**400), "", "3", "\x7f", [], [None], {"kind": "day_page"}),
    *("left", "2026-03-09", "1899-12-31", "2200-12-31", "2201-01-01", "1741545720", "0"),
    *("2026-03-09T00:00:00", "2026-03-09T19:42:00Z", "2026-03-09 19:42+01:00"),
    *("2026-03-09T24:00:00Z", "2201-01-01T00:00:00Z", "2026-03-09T19:42:00+25:00"),
)
"""Values that a reader may take for something else than they are."""
OTHER_FORMS = ("20260309", "2026-W11-1", "2026-03-09T19:42:00.123456789+01:00")
"""What the plain reader takes and is no form of a file, or would be cut."""


def _spoilt(
    value: JsonValue, odd: JsonValue, but: frozenset[str] = frozenset()
) -> Iterator[JsonValue]:
    """The value with one of its parts replaced by `odd`, left out or added, each part in turn but
    those named."""
    if isinstance(value, dict):
        yield value | {"weather": odd}
        for key in value.keys() - but:
            yield from (value | {key: other} for other in _spoilt(value[key], odd))
            yield {name: kept for name, kept in value.items() if name != key}
    elif isinstance(value, list):
        yield from ([other] for item in value for other in _spoilt(item, odd))
    yield odd


def _with_one_of_each(value: JsonValue) -> JsonValue:
    """The value with one item of each list."""
    if isinstance(value, dict):
        return {key: _with_one_of_each(part) for key, part in value.items()}
    return [_with_one_of_each(part) for part in value[:1]] if isinstance(value, list) else value


def test_the_plain_reader_takes_and_makes_what_this_one_does() -> None:
    """The second reader shares nothing with this one but the records: what is spoilt in one place,
    any place of any kind, both refuse, or both read as the same record."""
    plans = plans_by_type()
    longest: dict[str, JsonObject] = {}
    for record in (*plans, *entries_by_type(plans)):
        value, kind = encode(record), getattr(record, "kind", "plan")
        longest[kind] = max(value, longest.get(kind, {}), key=lambda one: len(str(one)))
    taken, of_all = 0, frozenset(field.name for field in fields(Entry))
    for kind, value in longest.items():
        for odd in (*ODD, *OTHER_FORMS):
            but = frozenset() if kind == "session" else of_all
            for spoilt in _spoilt(_with_one_of_each(value), odd, but):
                data = json.dumps(spoilt).encode()
                read = strict.read_plan(data) if kind == "plan" else strict.read_entry(data)
                try:
                    plainly = (decode_plan if kind == "plan" else decode_entry)(spoilt)
                except PlainFault:
                    assert isinstance(read, tuple), spoilt
                else:
                    same = not isinstance(read, tuple) and encode(read) == encode(plainly)
                    assert same or odd in OTHER_FORMS, spoilt
                    taken += same
    assert taken > len(longest), "hardly anything that was spoilt was read: this compares nothing"


def test_every_fault_of_an_entry_is_told() -> None:
    places = {fault.place for fault in _faults({"pain_now": 11, "pain_worst": 12, "side": "up"})}
    assert places == {"entries[12].pain_now", "entries[12].pain_worst", "entries[12].side"}


AMOUNT = {"label": "walk", "unit": "min", "amount": 5}


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"pain_worst": 11}, "pain_worst: 11 is more than 10"),
        ({"pain_worst": -1}, "pain_worst: -1 is less than 0"),
        ({"pain_worst": "3"}, 'pain_worst: "3" is not a whole number'),
        ({"pain_worst": 3.5}, "pain_worst: 3.5 is not a whole number"),
        ({"pain_worst": True}, "pain_worst: true is not a whole number"),
        ({"medicine": 1}, "medicine: 1 is not true or false"),
        ({"side": "both"}, "side: \"both\" is not one of 'left' or 'right'"),
        ({"side": ""}, "side: '' is not one of 'left' or 'right'"),
        ({"side": "é"}, "side: \"é\" is not one of 'left' or 'right'"),
        ({"for_day": 20260309}, "for_day: 20260309 is not a date such as 2026-03-09"),
        ({"for_day": "2026-02-30"}, 'for_day: "2026-02-30" is not a date such as 2026-03-09'),
        (
            {"written_at": "2026-03-09T19:42:00"},
            'written_at: "2026-03-09T19:42:00" has no offset from UTC',
        ),
        (
            {"written_at": "noon"},
            'written_at: "noon" is not a time such as 2026-03-09T19:42:00+01:00',
        ),
        ({"note": 3}, "note: 3 is not text"),
        ({"note": "x" * 2001}, "note: text of more than 2000 characters"),
        ({"note": ""}, "note: text of less than 1 characters"),
        (
            {"activities": [{"label": f"walk {n}", "score": 3} for n in range(6)]},
            "activities: more than 5 items",
        ),
        ({"amounts": 3}, "amounts: a list is expected"),
        ({"amounts": [3]}, "amounts[0]: an object is expected"),
        ({"amounts": [{"label": "walk", "unit": "min"}]}, "amounts[0].amount: missing"),
        ({"amounts": [AMOUNT | {"amount": "20"}]}, 'amounts[0].amount: "20" is not a number'),
    ],
)
def test_a_second_fault_is_told_as_plainly_as_the_first(change: Any, fault: str) -> None:
    """The plain reader ends at its first fault; those after it come from the other reader."""
    first, second = _faults({"id": "A" * 32} | change)
    assert sentence(first).startswith("entries[12].id: 'AAA")
    assert sentence(second) == f"entries[12].{fault}"


def test_the_second_of_two_fields_nobody_knows_is_told_too() -> None:
    assert {sentence(fault) for fault in _faults({"weather": "wet", "wind": 3})} == {
        "entries[12].weather: not a field of DayPage",
        "entries[12].wind: not a field we know",
    }


@pytest.mark.parametrize("word", ["NaN", "Infinity", "-Infinity", "1e999"])
def test_no_number_without_measure(word: str) -> None:
    amount = f'"amounts":[{{"label":"walk","unit":"min","amount":{word}}}]'
    text = json.dumps(PAGE)[:-1] + "," + amount + "}"
    read = strict.read_entry(text.encode())
    assert isinstance(read, tuple)
    assert len(read) == 1


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (b'{"side":"left","side":"right"}', 'holds "side" twice'),
        (b'{"a":{"b":1,"b":1}}', 'holds "b" twice'),
        (b"[" * 100_000, "nested too deep"),
        (b'{"a":' * 100_000, "nested too deep"),
        (b"1" * 100_000, "is not JSON"),
        (b'{"a":1}x', "is not JSON"),
        (b"", "is not JSON"),
        (b"\xef\xbb\xbf{}", "is not JSON"),
        (b'{"a":"\xff"}', "is not UTF-8"),
        (b'{"a":"\xed\xa0\x80"}', "is not UTF-8"),
        (b"{'a':1}", "is not JSON"),
        (b'{"a":NaN}', "NaN is not a number"),
    ],
)
def test_text_with_more_or_less_than_one_meaning(data: bytes, reason: str) -> None:
    for read in (strict.read_entry(data), strict.read_plan(data)):
        assert isinstance(read, tuple)
        assert reason in sentence(read[0])


@pytest.mark.parametrize("data", [b"null", b"3", b'"x"', b"[]", b"{}", b'{"kind":[]}'])
def test_json_that_is_no_record(data: bytes) -> None:
    assert isinstance(strict.read_entry(data), tuple)
    assert isinstance(strict.read_plan(data), tuple)


def test_half_a_surrogate_pair_is_refused() -> None:
    read = strict.read_entry(json.dumps(PAGE | {"note": "\ud800"}).encode())
    assert isinstance(read, tuple)


def test_an_escape_is_the_letter_it_stands_for() -> None:
    read = strict.read_entry(json.dumps(PAGE | {"note": "é\U0001f9b5"}).encode())
    assert isinstance(read, DayPage)
    assert read.note == "é\U0001f9b5"


def test_nested_records_are_as_strict_as_the_whole() -> None:
    for tape, place in (
        ({"anchor_mm": "50"}, "plan.tape.anchor_mm"),
        ({"highest": 3}, "plan.tape.highest"),
        ({"colour": "blue"}, "plan.tape.colour"),
        ({"anchor_mm": True}, "plan.tape.anchor_mm"),
    ):
        read = strict.read_plan(json.dumps(PLAN | {"tape": tape}).encode())
        assert isinstance(read, tuple)
        assert read[0].place == place


def test_what_is_quoted_from_a_file_stays_one_short_line() -> None:
    for fault in _faults({"side": "x\n" * 5000, "written_by": "y" * 5000, "z" * 5000: 1}):
        assert len(sentence(fault)) < 200
        assert "\n" not in sentence(fault)
