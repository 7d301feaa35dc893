"""Days to be kept with a pen: what is asked, of whom, and how it is taken in."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from companion.exchange.table import read_table
from companion.presentation.papers.day_form import Part, form_headings, forms_of
from tests.presentation.papers.test_booklet import NAMES, plan_of

DAY = date(2026, 11, 20)
CELLS = {
    "pain_average": "4", "pain_worst": "6", "pain_now": "3", "stiffness_min": "10 min",
    "before": "6", "steps_done": "yes", "after_hands": "3", "exercise_done": "no",
    "tape_stage": "1", "after_tape": "2", "tape_worn": "Yes", "skin": "Pink", "medicine": "no",
    "note": "", "sign": "no", "fell": "No", "night_pain": "yes", "stairs": "with rail",
    "tape_by": "me",
    "tape_on": "18:30",
}  # fmt: skip


def parts_of(name: str, number: int = 0) -> list[Part]:
    form = forms_of(plan_of(name), DAY, 1)[number]
    return [part for row in form.rows for part in row]


@pytest.mark.parametrize("name", NAMES)
def test_a_form_typed_as_it_stands_is_taken_in(name: str) -> None:
    """The questions down, the days across, in the words that are printed."""
    plan = plan_of(name)
    lines = ["day;20 Nov 2026;21/11/2026", f"side;{plan.main_side};{plan.main_side}"]
    for part in parts_of(name):
        if part.column:
            cell = CELLS.get(part.column, "5")
            lines.append(f"{part.words.upper()};{cell};{cell}")
    at = datetime(2026, 11, 25, 12, tzinfo=UTC)
    taken = read_table("\n".join(lines).encode(), plan, at, headings=form_headings(plan))
    assert taken.faults == ()
    assert {entry.for_day.day for entry in taken.entries} == {20, 21}


def test_the_person_is_asked_once_where_there_are_two_knees() -> None:
    plan = plan_of("wilma")
    forms = forms_of(plan, DAY, 2)
    assert [form.code for form in forms] == [
        "K-19 1 R 2026-11-20",
        "K-19 1 L 2026-11-20",
        "K-19 1 R 2026-11-21",
        "K-19 1 L 2026-11-21",
    ]
    asked = {part.words for part in parts_of("wilma", 0)}
    again = {part.words for part in parts_of("wilma", 1)}
    assert {"A sign of the fridge sheet?", "Did you fall?", "Extra pain medicine?"} <= asked - again
    assert {"Pain now", "Woken by this knee?"} <= asked & again


def test_the_form_asks_first_what_may_be_unsafe_and_who_put_the_tape_on() -> None:
    """Signs, falls and medicine before all; tape by the clock, and who put it on, which is all of
    the help that a record keeps. What else a day may hold follows, and a line for the rest."""
    columns = [part.column for part in parts_of("osric")]
    assert columns[:3] == ["sign", "fell", "medicine"]
    at = columns.index("tape_on")
    assert columns[at : at + 3] == ["tape_on", "tape_by", "tape_off"]
    assert {"night_pain", "stairs"} < set(columns)
    assert columns[-1] == "note"


def test_tape_is_asked_about_where_the_plan_tapes_and_no_further() -> None:
    columns = {part.column for part in parts_of("wilma")}
    assert not {"tape_stage", "tape_worn", "skin"} & columns
    for name in ("osric", "edda"):
        highest = plan_of(name).tape.highest
        stage = next(part for part in parts_of(name) if part.column == "tape_stage")
        assert len(getattr(stage, "options", ())) == highest + 1
