"""The data dictionary says what the table does: each column, its type, range and words."""

import csv
import dataclasses
from datetime import date
from typing import Any, get_args

import pytest

from companion.care.records import DayPage, Plan, Side, Skin
from companion.exchange.files import read
from companion.exchange.table import FIXED, HOURS, TableReading, read_table, write_table
from companion.system.resources import demo_profiles, resource
from tests.exchange.made import at, full_plan
from tests.said import sentence

PATTERNS = ("activity:<label>", "amount:<label>:<unit>")
with resource("data_dictionary.csv").open(encoding="utf-8", newline="") as _file:
    ROWS = list(csv.DictReader(_file))
COLUMNS = {row["column"]: row for row in ROWS}
NUMBERS = [row for row in ROWS if "number" in row["type"]]
WORDS = [row for row in ROWS if row["words"]]
PLAN = dataclasses.replace(
    full_plan(), side="right", sign_off=None, activities=("Walk",), version=1
)


def named(column: str) -> str:
    """A column as a header names it."""
    return column.replace("<label>", "Walk").replace("<unit>", "min")


def taken(column: str, cell: str, plan: Plan = PLAN) -> TableReading:
    """A table of one row with one cell beside its day."""
    columns = {"day": "2026-03-04", "side": "right"} | {named(column): cell}
    if column == "tape_by":
        columns["tape_on"] = "18:30"
    lines = [",".join(columns), ",".join(columns.values())]
    return read_table("\r\n".join(lines).encode(), plan, at(30, 12))


def told(reading: TableReading) -> str:
    return "; ".join(sentence(fault) for fault in reading.faults)


def test_every_column_of_the_table_is_in_it_and_no_other_in_the_same_order() -> None:
    """Both ways: what is read and written is told, and what is told is read and written; hours of
    tape are read alone."""
    assert list(COLUMNS) == [*list(FIXED)[:-1], *HOURS, *PATTERNS, "note"]
    assert len(ROWS) == len(COLUMNS)


def test_every_column_that_was_ever_written_is_in_it() -> None:
    for path in sorted(demo_profiles().glob("*/diary.homeknee")):
        diary = read(path).diary
        assert diary is not None
        for name in next(csv.reader([write_table(diary).split("\r\n")[0]])):
            kind = name.partition(":")[0]
            pattern = {"activity": PATTERNS[0], "amount": PATTERNS[1]}.get(kind, name)
            assert pattern in COLUMNS


def test_every_row_says_what_it_is() -> None:
    types = {"day", "hour", "word", "whole number", "number", "yes or no", "text"}
    for row in ROWS:
        assert row["type"] in types
        assert row["meaning"].endswith(".")
        assert row["required"]
        assert bool(row["unit"]) == ("number" in row["type"]), "numbers have a unit, others none"


@pytest.mark.parametrize("row", NUMBERS, ids=lambda row: row["column"])
def test_a_number_is_taken_to_its_ends_and_not_past_them(row: dict[str, Any]) -> None:
    least, most = int(row["least"]), int(row["most"])
    for value in (least, most):
        assert told(taken(row["column"], str(value))) == ""
    for value in (least - 1, most + 1):
        assert named(row["column"]) in told(taken(row["column"], str(value)))
    whole = row["type"] == "whole number"
    assert (told(taken(row["column"], f"{least}.5")) != "") == whole


@pytest.mark.parametrize("row", WORDS, ids=lambda row: row["column"])
def test_the_words_of_a_column_are_taken_and_no_others(row: dict[str, Any]) -> None:
    words = row["words"].split()
    for word in words:
        plan = PLAN
        if word in get_args(Side):
            plan = dataclasses.replace(PLAN, side=word, main_side=word)
        assert told(taken(row["column"], word, plan)) == ""
    for word in ("2", "true", words[0].upper() + "x"):
        assert row["column"] in told(taken(row["column"], word))


def test_the_words_for_skin_are_those_of_the_records() -> None:
    assert tuple(COLUMNS["skin"]["words"].split()) == get_args(Skin)
    assert tuple(COLUMNS["side"]["words"].split()) == get_args(Side)


def test_the_day_begins_where_it_says_and_is_required() -> None:
    first = date.fromisoformat(COLUMNS["day"]["least"])
    assert told(taken("day", first.isoformat())) == ""
    assert "day" in told(taken("day", "1899-12-31"))
    assert [row["column"] for row in ROWS if row["required"] == "yes"] == ["day"]
    assert "day" in told(taken("day", ""))


def test_the_side_is_required_when_the_plan_is_for_both_knees() -> None:
    assert COLUMNS["side"]["required"] == "when the plan is for both knees"
    both = dataclasses.replace(PLAN, side="both")
    assert "side" in told(taken("side", "", both))
    assert told(taken("side", "")) == ""


def test_a_note_is_as_long_as_it_says() -> None:
    most = int(COLUMNS["note"]["most"].split()[0])
    reading = taken("note", "n" * most)
    (page,) = reading.entries
    assert isinstance(page, DayPage)
    assert page.note == "n" * most
    assert "note" in told(taken("note", "n" * (most + 1)))
