"""`resources/forms/plan.json` against the records, the tables of words and the codes of faults."""

from __future__ import annotations

import string
from collections import Counter
from collections.abc import Iterator
from typing import Any, get_args

import pytest

from companion.care.form import Condition, FormField, FormState
from companion.care.plan_faults import FaultCode
from companion.presentation.clinic.plan_form import section
from companion.presentation.language import codes
from companion.presentation.language.code_table import CodeTable
from companion.services.plan_answers import (
    DERIVED,
    fields_asked,
    hint_of,
    keys_of_records,
    limits,
    refused,
)
from companion.services.plan_draft import DraftCode
from tests.care.content import CATALOGUE
from tests.services.plan_writing import put, ready, tried

FORM = CATALOGUE.plan_form
FIELDS = [field for page in FORM.sections for _, field in page.fields]
FOLLOWS = {"cautions.*.on"}
"""Keys of a draft without a field: the day of an answer follows from the answer."""
ROW = {"knees": "left", "contacts": "clinic", "activities": "0", "amounts": "0"}


def example(pattern: str) -> str:
    """A key of the field, in a row there can be."""
    return pattern.replace("*", ROW.get(pattern.partition(".")[0], "one"))


def table_of(field: FormField) -> CodeTable[Any, Any] | None:
    if field.options is None or field.options == "zones":
        return None
    return codes.named(field.options.partition(".")[0])


def test_every_field_of_the_records_has_one_field_of_the_form() -> None:
    once = Counter(field.key for field in FIELDS if not field.again)
    assert [key for key, count in once.items() if count > 1] == []
    assert set(once) == set(fields_asked()) - FOLLOWS
    assert {field.key for field in FIELDS if field.again} <= set(once)


@pytest.mark.parametrize("field", FIELDS, ids=lambda field: field.key)
def test_the_control_fits_the_type_and_every_code_has_its_words(field: FormField) -> None:
    key, table = example(field.key), table_of(field)
    held = limits(key)
    if field.control in ("tick", "yes_no"):
        assert held.yes_no
    if table is None:
        if not held.yes_no and held.least is None and not held.day and field.control is None:
            typed = ("Text", "8:30")
            assert any(not refused(hint_of(key), text) for text in typed), "codes need their table"
        return
    column = field.options.partition(".")[2] if field.options else ""
    offered = [code for code in table if not refused(hint_of(key), code)]
    assert all(isinstance(row, str) or getattr(row, column or "clinic") for _, row in table.items())
    # No code of any table that the field may hold is left out.
    for each in vars(codes).values():
        if isinstance(each, CodeTable):
            assert all(code in offered or refused(hint_of(key), code) for code in each)
    if held.least is not None and held.most is not None:
        assert offered == list(range(round(held.least), round(held.most) + 1))


def test_every_field_of_the_records_is_called_something_at_home_once() -> None:
    """A new field of a plan fails here until it has words."""
    asked = [field.key for field in FORM.fields if field.home is not None]
    named = Counter([*asked, *(other.key for other in FORM.unasked)])
    assert set(named) == set(keys_of_records().values())
    assert max(named.values()) == 1
    unasked = {other.key for other in FORM.unasked}
    for key in DERIVED:
        assert key in unasked
    for other in FORM.unasked:
        assert other.options is None or isinstance(codes.named(other.options), CodeTable)


def conditions() -> Iterator[Condition]:
    for page in FORM.sections:
        yield from page.shown
        for part in page.parts:
            yield from part.shown
            for group in part.groups:
                yield from group.shown
                for sentence in (*group.said, *((group.instead,) if group.instead else ())):
                    yield from sentence.shown
                for field in group.fields:
                    yield from field.shown
                    for sentence in (*field.line, *((field.change,) if field.change else ())):
                        yield from sentence.shown


@pytest.mark.parametrize("condition", [*conditions()], ids=lambda each: each.of)
def test_a_condition_asks_for_an_answer_there_can_be(condition: Condition) -> None:
    answers = {*condition.one_of, *condition.none_of}
    assert answers
    if condition.of in get_args(FormState):
        assert answers <= {"yes", "no"}
        return
    key = example(condition.of)
    may_be = {"unanswered"}
    if limits(key).yes_no:
        may_be |= {"yes", "no"}
    field = next(each for each in FIELDS if each.key == condition.of)
    table = table_of(field)
    if table is not None:
        may_be |= {str(code) for code in table if not refused(hint_of(key), code)}
    assert answers <= may_be


def test_every_fault_has_one_sentence_and_no_sentence_is_left_over() -> None:
    said = Counter(fault.code for fault in FORM.faults)
    assert max(said.values()) == 1
    own = {code for each in get_args(DraftCode) for code in get_args(each) or (each,)}
    # What a field must not hold is said from its limits.
    assert set(said) == (own | set(get_args(FaultCode))) - {"not_allowed"}
    for fault in FORM.faults:
        names = {name for _, name, _, _ in string.Formatter().parse(fault.words) if name}
        assert names <= {"what"}


def test_every_sentence_of_the_form_can_be_said() -> None:
    for draft in (put(ready(), side="both", cautions__clot=True), tried()):
        for page in FORM.sections:
            assert "{" not in repr(section(page.id, draft, CATALOGUE))
