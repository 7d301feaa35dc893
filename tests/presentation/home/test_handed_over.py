"""What is handed over, field by field: every field has words, and it is what the file holds."""

import dataclasses
import json
import re
import typing
from collections.abc import Iterator
from datetime import date, datetime
from typing import Any, Literal

import pytest
from hypothesis import Phase, given, settings

from companion.care import records
from companion.care.ranges import Key, Token
from companion.care.records import ENTRY_KINDS, Diary, Plan, Record
from companion.exchange.files import diary_bytes, read, read_bytes
from companion.presentation.home.handed_over import (
    PLAN,
    ROWS_A_PAGE,
    counted_kinds,
    entries_view,
    handed_view,
    held_rows,
    kind_view,
    page_of_month,
    pages_of,
)
from companion.presentation.language.codes import STAGES
from companion.presentation.language.field_words import WORDS, field_words, value_words
from companion.presentation.language.phrases import clock_time, dated
from companion.presentation.view.page import ActionList, DefinitionList, Heading
from companion.system.resources import demo_profiles
from companion.wire.plain import decode_entry, decode_plan
from tests.builders import at, page, tape_off, tape_on
from tests.care.walking import CATALOGUE, taught_plan
from tests.presentation.wording import faults, lines
from tests.strategies import diaries


def classes(cls: Any) -> Iterator[type[Any]]:
    """A record and every record inside it."""
    yield cls
    for hint in typing.get_type_hints(cls, include_extras=True).values():
        for inner in parts(hint):
            if dataclasses.is_dataclass(inner) and isinstance(inner, type):
                yield from classes(inner)


def parts(hint: Any) -> Iterator[Any]:
    """A type and the types it is made of."""
    yield hint
    if typing.get_origin(hint) is not Literal:
        for inner in typing.get_args(hint):
            yield from parts(inner)


EVERY: list[type[Any]] = sorted(
    {one for cls in [Plan, *ENTRY_KINDS.values()] for one in classes(cls)}, key=lambda c: c.__name__
)
KEY_PATTERN = next(marker.pattern for marker in typing.get_args(Key) if isinstance(marker, Token))


@pytest.mark.parametrize("cls", EVERY, ids=lambda cls: cls.__name__)
def test_every_field_code_and_key_has_words(cls: type[Record]) -> None:
    """A new field of a record, or a new code, fails here until it has words."""
    hints = typing.get_type_hints(cls, include_extras=True)
    for field in dataclasses.fields(cls):
        words = field_words(cls, field.name, CATALOGUE.plan_form)
        assert words.name
        for hint in parts(hints[field.name]):
            codes = typing.get_args(hint) if typing.get_origin(hint) is Literal else ()
            if codes and field.name != "kind":
                assert words.looked == "zone" or set(codes) <= set(words.codes or ()), field.name
                for code in codes:
                    assert value_words(words, code, CATALOGUE)
            if isinstance(hint, Token) and hint.pattern == KEY_PATTERN:
                assert words.looked is not None, field.name


def test_no_words_are_left_for_a_field_that_is_gone() -> None:
    for cls, named in WORDS.items():
        assert set(named) <= {field.name for field in dataclasses.fields(cls)}


def test_a_zone_and_a_stage_are_told_as_everywhere() -> None:
    zones = typing.get_args(records.Zone)
    assert {zone.id for zone in CATALOGUE.zones.zones} == set(zones)
    assert field_words(records.TapeOn, "stage").codes is STAGES


def leaves(value: Any, place: str = "") -> Iterator[tuple[str, Any]]:
    """Each place of a JSON value that holds something itself, and what it holds."""
    if isinstance(value, dict) and value:
        for name, inner in value.items():
            yield from leaves(inner, f"{place}.{name}" if place else name)
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        for number, inner in enumerate(value):
            yield from leaves(inner, f"{place}[{number}]")
    else:
        yield place, value


def in_file(diary: Diary) -> Iterator[tuple[Record, dict[str, Any]]]:
    """The lines of the written file, each with the record it is."""
    body = json.loads(diary_bytes(diary).split(b"\n", 1)[1])
    for plan in body["plans"]:
        yield decode_plan(plan), plan
    for entry in body["entries"]:
        yield decode_entry(entry), entry


CODED = re.compile("[a-z][a-z0-9_]*")


def is_said(raw: Any, value: str) -> bool:
    """Whether a plain value of the file stands in the words. Codes are words of their own."""
    if isinstance(raw, list):
        return all(is_said(each, value) for each in raw)
    if raw == {}:
        return True
    if isinstance(raw, bool):
        return ("yes" if raw else "no") in value
    if isinstance(raw, int | float):
        return str(int(raw) if raw == int(raw) else raw) in value
    if re.match(r"\d{4}-\d\d-\d\d(T|$)", raw):
        return dated(datetime.fromisoformat(raw).date()) in value
    run_together = raw.replace(" ", "").lower() in value.replace(" ", "").lower()
    return run_together or bool(CODED.fullmatch(raw))


NUMBERS_IN_WORDS = ("stage", "tape_stage", "start", "highest", "question")


def shown_holds_the_file(diary: Diary) -> None:
    for record, line in in_file(diary):
        rows = held_rows(record, CATALOGUE)
        told = [place for row in rows for place in row.told]
        held = dict(leaves(line))
        of_headings = {"kind", "for_day"} & held.keys()
        assert sorted(told) == sorted(held.keys() - of_headings)
        for row in rows:
            assert row.name
            assert row.value
            for place in row.told:
                coded = place.split(".")[-1] in NUMBERS_IN_WORDS
                assert coded or is_said(held[place], row.name + row.value), (place, row)


@settings(
    phases=[Phase.explicit, Phase.generate], max_examples=30
)  # shrinking a whole diary takes minutes
@given(diaries())
def test_what_is_shown_is_what_the_file_holds_no_field_more_or_less(diary: Diary) -> None:
    shown_holds_the_file(diary)


@pytest.mark.parametrize("name", ["edda", "osric"])
def test_the_demo_people_hand_over_what_they_see(name: str) -> None:
    diary = read(demo_profiles() / name / "diary.homeknee").diary
    assert diary is not None
    recent = dataclasses.replace(diary, entries=diary.entries[-60:])
    recent = dataclasses.replace(
        recent,
        entries=tuple(
            e
            for e in recent.entries
            if getattr(e, "replaces", None) is None and getattr(e, "tape_on", None) is None
        ),
    )
    assert read_bytes(diary_bytes(recent)).diary == recent
    shown_holds_the_file(recent)


def test_words_a_person_typed_stand_as_they_were_typed() -> None:
    typed = page(3, note="It ached at the quay.", pain_average=4)
    rows = {row.name: row.value for row in held_rows(typed, CATALOGUE)}
    written = rows["Written down"].split("; ")
    assert rows["Note"] == "It ached at the quay."
    assert rows["Average pain"] == "4"
    assert f"on: {dated(typed.written_at.date())}, {clock_time(typed.written_at)}" in written
    assert f"number: {typed.id}" in [part.replace(" ", "").replace(":", ": ") for part in written]


def made() -> Diary:
    entries = [page(day, pain_average=3, note_private=day == 40) for day in range(60)]
    return Diary(plans=(taught_plan(),), entries=(*entries, tape_on(at(5, 9)), tape_off(at(6, 9))))


def test_the_first_page_counts_each_kind_and_says_what_stays() -> None:
    view = handed_view(made())
    (ways,) = [block for block in view.blocks if isinstance(block, ActionList)]
    assert [option.value for option in ways.options] == [PLAN, "day_page", "tape_on", "tape_off"]
    assert ways.options[1].word == "60 day pages"
    assert ways.options[1].line == "2 March to 30 April 2026"
    assert "1 private note" in lines(view)


def test_what_was_changed_later_is_one_thing_and_both_answers_are_there() -> None:
    first = page(3, pain_average=4)
    changed = dataclasses.replace(first, id="f" * 32, replaces=first.id, pain_average=5)
    diary = Diary(plans=(taught_plan(),), entries=(first, changed))
    (ways,) = [block for block in handed_view(diary).blocks if isinstance(block, ActionList)]
    assert ways.options[1].word == "1 day page"
    assert ways.options[1].line == "5 March 2026, and 1 earlier answer"
    (shown,) = pages_of(diary, "day_page", CATALOGUE)
    assert {one.id for one in shown} == {first.id, changed.id}  # type: ignore[attr-defined]


def test_a_kind_says_which_fields_are_filled_in_and_how_often() -> None:
    view = kind_view(made(), "day_page")
    (facts,) = [block for block in view.blocks if isinstance(block, DefinitionList)]
    assert ("Average pain", "in all 60") in facts.rows
    assert not any(name == "Note" for name, _ in facts.rows)
    (months,) = [block for block in view.blocks if isinstance(block, ActionList)]
    assert [(o.word, o.line) for o in months.options] == [
        ("April 2026", "30 to read"),
        ("March 2026", "30 to read"),
    ]


def test_what_was_added_to_later_is_counted_once_and_all_of_it_is_read() -> None:
    off = tape_off(at(6, 9))
    looked = tape_off(at(6, 9), skin_after_30_min="clear", replaces=off.id)
    diary = Diary(plans=(taught_plan(),), entries=(tape_on(at(5, 9)), off, looked))
    assert counted_kinds(diary) == {
        "tape_on": "tape on 1 time",
        "tape_off": "tape off 1 time",
    }
    view = kind_view(diary, "tape_off")
    assert view.heading == "Tape off 1 time"
    assert any("1 earlier answer is among them." in line for line in lines(view))
    assert sum(map(len, pages_of(diary, "tape_off", CATALOGUE))) == 2


def test_what_both_knees_were_told_of_in_one_go_is_counted_once() -> None:
    """Somebody who wrote on 62 days read that she had written 124 day pages."""
    days = [page(day, side=side) for day in (1, 2, 3) for side in ("right", "left")]
    diary = Diary(plans=(taught_plan(side="both", main_side="right"),), entries=tuple(days[:-1]))
    assert counted_kinds(diary) == {"day_page": "3 day pages of both knees"}


def test_the_entries_are_read_page_by_page_newest_first_and_none_is_left_out() -> None:
    diary = made()
    pages = pages_of(diary, "day_page", CATALOGUE)
    shown = [each for one in pages for each in one]
    assert [e.for_day for e in shown] == sorted((e.for_day for e in shown), reverse=True)  # type: ignore[attr-defined]
    assert len(shown) == 60
    assert all(
        len(one) == 1 or sum(len(held_rows(e, CATALOGUE)) for e in one) <= ROWS_A_PAGE
        for one in pages
    )
    begin = page_of_month(pages, "2026-03")
    assert any(e.for_day == date(2026, 3, 31) for e in pages[begin])  # type: ignore[attr-defined]
    last = entries_view("day_page", pages, len(pages) - 1, CATALOGUE)
    assert last.main is not None
    assert last.main.submitted == (("do", "list"),)
    assert any(isinstance(b, Heading) and b.text.endswith("2 March 2026") for b in last.blocks)


def test_the_pages_of_what_is_handed_over_read_easily() -> None:
    diary = made()
    views = [handed_view(diary)]
    views += [kind_view(diary, kind) for kind in ("day_page", "tape_on", "tape_off")]
    for kind in (PLAN, "day_page", "tape_on", "tape_off"):
        pages = pages_of(diary, kind, CATALOGUE)
        views += [entries_view(kind, pages, number, CATALOGUE) for number in range(len(pages))]
    dates = r"(\b\w+day )?\d+ (March|April) 2026(, \d\d:\d\d)?|number: [0-9a-f ]+"
    said = [[re.sub(dates, "it", line) for line in lines(view)] for view in views]
    own = ("K-07", "Slate 50")
    assert [fault for one in said for fault in faults(one, own_words=own)] == []


def test_an_instant_is_told_by_the_clock_of_its_place() -> None:
    words = field_words(records.TapeOn, "happened_at")
    moment = datetime.fromisoformat("2026-03-09T19:42:00+11:00")
    assert value_words(words, moment) == "9 March 2026, 19:42"
    assert isinstance(words.name, str)
