"""Every answer of every kind of entry has its question, drawn by its type; what it was stays to be
read."""

import dataclasses
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care import correcting as walk
from companion.care.correcting import answers_of, is_fixed, typed, with_answer
from companion.care.hints import hint_in, plain
from companion.care.records import ENTRY_KINDS, AnyEntry, DayPage, Record, Session, WarningSign
from companion.presentation.home.correcting_pages import (
    days_view,
    entries_view,
    moved_words,
    was_words,
)
from companion.presentation.home.walk_pages import ViewContext, page_view
from companion.presentation.language.field_words import field_words
from companion.presentation.view.page import ActionList, Choose, DefinitionList, Scale, Tick
from companion.services.correcting import EntryHistory, told_by_day
from companion.wire.plain import decode_entry, encode
from tests.builders import after_hands, at, before, page, session, warning
from tests.care.walking import CATALOGUE, taught_plan
from tests.presentation.home.test_handed_over import parts
from tests.presentation.wording import faults, lines
from tests.strategies import entries
from tests.whole_diary import whole_diary

SETTING = ViewContext(plan=taught_plan(), side="right", catalogue=CATALOGUE)


def asked_of(cls: type[Record]) -> Iterator[type[Record]]:
    """A record and those inside it that are asked about."""
    yield cls
    for field in dataclasses.fields(cls):
        if not is_fixed(cls, field.name):
            for inner in parts(hint_in(cls, field.name)):
                if isinstance(inner, type) and issubclass(inner, Record):
                    yield from asked_of(inner)


ASKED = sorted(
    {
        (cls, field.name)
        for kind in ENTRY_KINDS.values()
        for cls in asked_of(kind)
        for field in dataclasses.fields(cls)
    },
    key=lambda one: (one[0].__name__, one[1]),
)


def holds_records(cls: type[Record], name: str) -> bool:
    """Whether a field holds records, whose own fields are asked."""
    held = plain(hint_in(cls, name))
    inner = getattr(held, "__args__", (held,))[0]
    return dataclasses.is_dataclass(inner)


@pytest.mark.parametrize(("cls", "name"), ASKED, ids=lambda one: getattr(one, "__name__", one))
def test_every_field_of_every_entry_has_its_question_or_is_never_asked(
    cls: type[Record], name: str
) -> None:
    """A new field, or a new kind of entry, fails here until its row says how it is asked."""
    asked = not is_fixed(cls, name) and not holds_records(cls, name)
    assert bool(field_words(cls, name).question) == asked


def test_every_answer_of_the_whole_diary_is_asked_and_named() -> None:
    met: set[tuple[type[Record], str]] = set()
    for entry in whole_diary().entries:
        for answer in answers_of(entry):
            if (answer.record, answer.name) in met:
                continue
            met.add((answer.record, answer.name))
            view = page_view(walk.AnswerPage(key="answer:1", now=entry, path=answer.path), SETTING)
            assert faults(lines(view)) == [], answer.path
            assert view.heading
    asked = {one for one in ASKED if not is_fixed(*one) and not holds_records(*one)}
    assert met == asked


def options(entry: AnyEntry, path: str) -> list[Any]:
    """What a page gives for an answer, as far as it offers any."""
    view = page_view(walk.AnswerPage(key="answer:1", now=entry, path=path), SETTING)
    for block in view.blocks:
        match block:
            case Choose():
                return [None if o.value == "" else o.value for o in block.options]
            case Scale():
                return [0, 7, 10]
            case Tick():
                return [[], [option.value for option in block.options]]
    return []


@given(st.data())
def test_whatever_is_answered_is_an_entry_again(data: st.DataObject) -> None:
    """Of any entry: the codec reads it back, it differs there alone, and twice is once."""
    entry = data.draw(entries(taught_plan()))
    answers = answers_of(entry)
    if not answers:
        return
    answer = data.draw(st.sampled_from(answers))
    offered = options(entry, answer.path)
    if not offered:
        return
    value = typed(answer, {"value": data.draw(st.sampled_from(offered))}, entry.for_day)
    new = with_answer(entry, answer.path, value)
    assert decode_entry(encode(new)) == new
    assert with_answer(new, answer.path, value) == new or value is None
    others = {one.path: one.value for one in answers_of(entry) if one.path != answer.path}
    now = {one.path: one.value for one in answers_of(new) if one.path != answer.path}
    assert now == others


TOLD = session(4, moves=(before(6), after_hands(5), after_hands(4)))


def corrected(entry: AnyEntry, day: int, **fields: Any) -> AnyEntry:
    new = replace(entry, replaces=entry.id, written_at=at(day), **fields)
    return replace(new, id=f"{day:032x}")


def test_what_it_was_and_when_it_was_put_right_is_kept() -> None:
    second = corrected(with_answer(TOLD, "moves.1.score", 3), 6)
    third = corrected(with_answer(second, "moves.1.score", 2), 8)
    said = was_words((TOLD, second, third), "moves.1.score", SETTING)
    assert said == "was: 5, put right on 8 Mar; was: 3, put right on 10 Mar"
    assert was_words((TOLD, second, third), "moves.0.score", SETTING) == ""


def test_doors_of_two_rounds_are_told_apart() -> None:
    shown = page_view(
        walk.EntryPage(key="entry:1", versions=(TOLD,), now=TOLD, whole=("withdraw",)), SETTING
    )
    said = lines(shown)
    assert "After hands" in said
    assert "After hands 2" in said
    assert shown.main is None, "nothing is changed yet"
    doors = [
        option.value
        for block in shown.blocks
        if isinstance(block, ActionList)
        for option in block.options
    ]
    assert {"moves.0.score", "moves.1.score", "moves.2.score", "withdraw"} <= {*doors}


def test_the_look_over_says_what_will_be_instead_of_what() -> None:
    now = with_answer(TOLD, "moves.1.score", 3)
    view = page_view(walk.EntryPage(key="entry:2", versions=(TOLD,), now=now, whole=()), SETTING)
    (changes,) = [block for block in view.blocks if isinstance(block, DefinitionList)]
    assert changes.rows == (("After hands: score", "3, not 5"),)
    assert view.main is not None
    assert view.main.text == "Put it right"


def test_an_entry_that_moved_or_was_taken_out_says_so() -> None:
    told = page(4, pain_average=3)
    moved = corrected(replace(told, for_day=at(3).date(), side="left"), 6)
    out = corrected(walk.withdrawn(moved, "written_twice"), 7)
    back = corrected(walk.withdrawn(out, None), 8)
    assert moved_words((told, moved, out, back)) == (
        "Day: was 6 Mar, put right on 8 Mar",
        "Knee: was right knee, put right on 8 Mar",
        "Taken out on 9 Mar: it was written twice",
        "Counts again since 10 Mar",
    )


def test_the_ways_to_an_entry_are_said_plainly() -> None:
    told = told_by_day((TOLD, page(4, pain_average=3), page(3, pain_average=2)), "right")
    view = days_view([*told.items()], more=True, above="Right knee")
    (days,) = [block for block in view.blocks if isinstance(block, ActionList)]
    assert [option.line for option in days.options] == ["Routine and day page", "Day page"]
    assert faults(lines(view)) == []
    clinics = EntryHistory(session(4, 5, written_by="clinic"), ())
    day = TOLD.for_day
    view = entries_view(day, (*told[day], clinics), SETTING)
    assert faults(lines(view)) == []
    assert "Only your clinic can put that right." in " ".join(lines(view))
    (mine,) = [block for block in view.blocks if isinstance(block, ActionList)]
    assert len(mine.options) == 2


def test_each_page_of_the_walk_is_plain() -> None:
    sign = warning(4)
    for shown in (
        walk.NotPossiblePage(key="not_possible:1", why="later"),
        walk.WithdrawPage(key="withdraw:1", entry=TOLD),
        walk.OtherDayPage(key="day:1", entry=TOLD, days=(at(3).date(),)),
        walk.ReadAgainPage(key="again:1", sign=None, day=at(3).date()),
        walk.ReadAgainPage(key="again:1", sign=sign.sign, day=at(3).date()),
        walk.EntryPage(key="entry:1", versions=(sign,), now=sign, whole=("mistake", "not_over")),
    ):
        assert faults(lines(page_view(shown, SETTING))) == []


def test_the_kinds_a_person_writes_have_a_door_at_least() -> None:
    answered = {type(entry) for entry in whole_diary().entries if answers_of(entry)}
    assert {*ENTRY_KINDS.values()} == answered
    assert {DayPage, Session, WarningSign} <= answered
