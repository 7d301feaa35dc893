"""The plain codec: what it writes it reads, and what does not fit has a place and a reason."""

import json
from datetime import UTC, date, datetime
from typing import Any

import pytest
from hypothesis import given, settings

from companion.care.records import DayPage, KneeMeasures, Plan
from companion.presentation.language.said import said_words
from companion.wire.plain import PlainFault, decode, decode_entry, decode_plan, encode
from tests.strategies import diaries

PAGE: dict[str, Any] = {
    "id": "0" * 32,
    "for_day": "2026-03-09",
    "written_at": "2026-03-09T19:42:00+01:00",
    "written_by": "person",
    "plan_version": 1,
    "kind": "day_page",
    "side": "left",
}


@settings(max_examples=30)
@given(diaries(most_entries=4))
def test_what_is_written_is_read_back_the_same(diary: Any) -> None:
    for plan in diary.plans:
        value = json.loads(json.dumps(encode(plan)))
        assert decode_plan(value) == plan
        assert encode(decode_plan(value)) == value
    for entry in diary.entries:
        value = json.loads(json.dumps(encode(entry)))
        assert decode_entry(value) == entry
        assert encode(decode_entry(value)) == value  # the offset of a time too


def test_absent_is_left_out_and_zero_is_not() -> None:
    page = decode_entry(PAGE | {"pain_now": 0})
    assert encode(page) == PAGE | {"pain_now": 0, "form": "short", "note_private": False}
    assert isinstance(page, DayPage)
    assert page.pain_average is None


def test_a_whole_number_in_a_measure_is_spelled_as_it_is_read() -> None:
    written = encode(KneeMeasures(side="left", kneecap_width_mm=45))
    assert json.dumps(written["kneecap_width_mm"]) == "45.0"
    assert encode(decode(KneeMeasures, written)) == written


def test_the_offset_of_a_time_is_kept() -> None:
    page = decode_entry(PAGE)
    assert page.written_at == datetime(2026, 3, 9, 18, 42, tzinfo=UTC)
    assert encode(page)["written_at"] == "2026-03-09T19:42:00+01:00"


@pytest.mark.parametrize(
    ("change", "place", "reason"),
    [
        ({"pain_worst": 11}, "entry.pain_worst", "11 is not between 0 and 10"),
        ({"pain_worst": -1}, "entry.pain_worst", "-1 is not between"),
        ({"pain_worst": True}, "entry.pain_worst", "True is not a whole number"),
        ({"pain_worst": "3"}, "entry.pain_worst", "'3' is not a whole number"),
        ({"side": "both"}, "entry.side", "'both' is not one of left, right"),
        ({"written_at": "2026-03-09T19:42:00"}, "entry.written_at", "offset"),
        ({"for_day": "9.3.2026"}, "entry.for_day", "is not a date"),
        ({"swelled": "much"}, "entry.swelled", "not a field"),
        ({"note": "bell\x07"}, "entry.note", "control characters"),
        ({"note": "half \ud800"}, "entry.note", "control characters"),
        ({"note": ""}, "entry.note", "text of 0 characters"),
        ({"activities": {}}, "entry.activities", "a list is expected"),
        (
            {"activities": [{"label": "walk", "score": 12}]},
            "entry.activities[0].score",
            "12 is not between",
        ),
    ],
)
def test_a_fault_has_a_place_and_a_reason(change: Any, place: str, reason: str) -> None:
    with pytest.raises(PlainFault) as fault:
        decode_entry(PAGE | change)
    assert fault.value.place == place
    assert reason in said_words(fault.value.what)


def test_what_is_missing_is_named() -> None:
    with pytest.raises(PlainFault, match=r"^entry\.side: missing"):
        decode_entry({key: value for key, value in PAGE.items() if key != "side"})
    with pytest.raises(PlainFault, match="not_a_kind"):
        decode_entry(PAGE | {"kind": "weather"})


def test_tab_and_line_feed_may_stand_in_a_note() -> None:
    page = decode_entry(PAGE | {"note": "stairs\tbad\nbed early"})
    assert isinstance(page, DayPage)
    assert page.note == "stairs\tbad\nbed early"


def test_a_plan_needs_its_days() -> None:
    with pytest.raises(PlainFault, match=r"^plan\."):
        decode_plan({"person": "K-07"})
    plan = Plan(
        person="K-07",
        version=1,
        written_on=date(2026, 3, 2),
        review_on=date(2026, 4, 27),
        side="right",
        main_side="right",
    )
    assert decode_plan(encode(plan)) == plan
