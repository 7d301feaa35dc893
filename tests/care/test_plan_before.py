"""Going back to the plan before opens nothing that either closes, and asks no more of each."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

from hypothesis import given, settings

from companion.care.closures import closures
from companion.care.levels import PARTS
from companion.care.plan_before import plan_to_go_back_to, stricter
from companion.care.records import CautionAnswer, Exercise, KnownSign, Plan, SignOff
from companion.care.step_limits import ceiling_of
from tests.builders import DAY, at
from tests.care.content import CATALOGUE
from tests.care.walking import taught_plan
from tests.strategies import plans

SIGNED = SignOff(name="R. Vane", registration="PT 1", signed_at=at(0), content_sha256="0" * 64)


def made_plan(version: int, **fields: Any) -> Plan:
    return taught_plan(version=version, sign_off=SIGNED, **fields)


@settings(max_examples=25)
@given(plans(), plans())
def test_what_either_closes_stays_closed_and_no_limit_is_higher(now: Plan, before: Plan) -> None:
    both = stricter(now, before)
    for one in (now, before):
        for part in ("hands", "exercise"):
            assert ceiling_of(part, both) <= ceiling_of(part, one)
        assert both.rounds <= one.rounds
        assert both.tape.cap_hours <= one.tape.cap_hours
        assert both.tape.highest <= one.tape.highest
        assert both.tape.rest_hours >= one.tape.rest_hours
        assert {each.technique for each in both.techniques} <= {
            each.technique for each in one.techniques
        }
        assert {each.sign for each in both.known_signs} <= {each.sign for each in one.known_signs}
    assert both.version == now.version


def test_a_yes_of_either_plan_closes_and_a_tick_takes_both() -> None:
    day = DAY + timedelta(days=3)

    def closed(plan: Plan) -> set[str]:
        held = closures(CATALOGUE.policy, plan, (), "right", today=day)
        return {part for part in PARTS if held.closed(part)}

    yes = CautionAnswer(caution="clot", answer=True, on=DAY)
    ticked = replace(yes, allowed=True, reason="doctor_agrees")
    others = tuple(one for one in taught_plan().cautions if one.caution != "clot")
    no = next(one for one in taught_plan().cautions if one.caution == "clot")
    for first, second in ((yes, no), (no, yes), (yes, ticked), (ticked, yes)):
        now, before = (made_plan(2, cautions=(*others, one)) for one in (first, second))
        assert closed(stricter(now, before)) == closed(now) | closed(before) != set()


def test_of_each_the_less_is_done_and_what_one_leaves_out_is_left_out() -> None:
    def exercise(name: str, repeats: int) -> Exercise:
        return Exercise(exercise=name, repeats=repeats, taught_on=DAY)

    now = made_plan(2, exercises=(exercise("heel_slide", 12), exercise("step_up", 6)), rounds=3)
    before = made_plan(1, exercises=(exercise("heel_slide", 8), exercise("heel_raises", 9)))
    both = stricter(now, before)
    assert [(one.exercise, one.repeats) for one in both.exercises] == [("heel_slide", 8)]
    known = KnownSign(sign="giving_way", since=DAY, stays_open=("standing",), side="right")
    assert stricter(replace(now, known_signs=(known,)), before).known_signs == ()


def test_only_a_signed_plan_for_the_same_knee_may_be_gone_back_to() -> None:
    now, before = made_plan(3), made_plan(1)
    draft = replace(made_plan(2), sign_off=None)
    assert plan_to_go_back_to(now, {3: now, 2: draft, 1: before}) == before
    assert plan_to_go_back_to(now, {3: now}) is None
    left = replace(before, side="left", main_side="left")
    assert plan_to_go_back_to(now, {3: now, 1: left}) is None
    assert plan_to_go_back_to(draft, {2: draft, 1: before}) is None
