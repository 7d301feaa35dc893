"""A plan as a flat list of answers: by the types of its records, no field named here twice."""

from dataclasses import fields
from datetime import date

import pytest

from companion.care.records import Contact, Plan
from companion.exchange.files import read
from companion.services.plan_answers import (
    CAUTION_GROUPS,
    DERIVED,
    PlanMaker,
    answers_of,
    fields_asked,
    key_of,
    pattern_of,
    rows_of,
)
from companion.services.plan_draft import plan_of
from tests.services.plan_writing import put, ready, tried
from tests.services.test_plan_draft import ROOT

PEOPLE = ("edda", "jory", "osric", "tobin", "wilma")


def demo_plan(who: str) -> Plan:
    plan = read(ROOT / "demo_profiles" / who / "plan.homeknee").plan
    assert plan is not None
    return plan


@pytest.mark.parametrize("who", PEOPLE)
def test_the_answers_of_a_plan_make_it_again(who: str) -> None:
    plan = demo_plan(who)
    answers = answers_of(plan)
    again = PlanMaker(answers, answers.get, {}).plan(
        version=plan.version,
        written_on=plan.written_on,
        caution_list=plan.caution_list,
        trial=plan.trial,
        sign_off=plan.sign_off,
    )
    assert again == plan


def test_every_field_of_a_plan_is_asked_or_follows_from_something() -> None:
    asked = {key.split(".")[0] for key in fields_asked()}
    derived = {name for name in DERIVED if "." not in name} | {"sign_off"}
    assert asked - {"session", CAUTION_GROUPS} == {field.name for field in fields(Plan)} - derived
    for key in answers_of(plan_of(put(tried(), knees__left__build="slim"))):
        assert pattern_of(key) in fields_asked()


def test_the_rows_of_a_list_are_called_by_what_names_them() -> None:
    assert rows_of("knees").names == ("left", "right")
    assert rows_of("techniques").names is None
    assert rows_of("amounts").names == ("0", "1", "2", "3", "4")
    plan = plan_of(ready())
    first = plan.techniques[0].technique
    assert key_of("techniques.0.taught_on", plan) == f"techniques.{first}.taught_on"
    assert key_of("knees.0.side", plan) == "knees.right.side"
    assert key_of("tape.make", plan) == "tape.make"
    for unknown in ("knees.middle.build", "contacts.nurse.number", "amounts.5.goal", "version"):
        with pytest.raises(KeyError):
            pattern_of(unknown)


def test_a_row_is_there_when_it_says_something() -> None:
    named = put(ready(), contacts__surgical_team__label="The ward")
    assert all(contact.role != "surgical_team" for contact in plan_of(named).contacts)
    numbered = put(named, contacts__surgical_team__number="0100 9")
    assert plan_of(numbered).contacts[-1] == Contact(
        role="surgical_team", label="The ward", number="0100 9"
    )
    # A label no record holds makes no row; what is missing of a row is stood in for.
    assert plan_of(put(ready(), amounts__1__label="x" * 61)).amounts == ()
    begun = plan_of(put(ready(), amounts__1__label="walk", amounts__1__goal=200.0)).amounts
    assert [(a.label, a.unit, a.baseline, a.goal) for a in begun] == [("walk", "-", 0.0, 200.0)]
    known = put(ready(), known_signs__gives_way_new=date(2026, 1, 9))
    assert [sign.since for sign in plan_of(known).known_signs] == [date(2026, 1, 9)]
