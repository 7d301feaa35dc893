"""What the clinician's answers to the cautions close, and what they ask for."""

from dataclasses import replace
from datetime import timedelta
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.caution_rules import (
    CAUTION_LIST,
    WEEKDAYS,
    Blocked,
    Judgement,
    answer_to,
    caution_judgement,
    helper_may_come,
    lives_alone,
    not_asked_yet,
)
from companion.care.policy import Ask
from companion.care.records import AnyEntry, CautionAnswer, Part, Plan, Weekday
from tests.builders import DAY, event, plan
from tests.care.content import CATALOGUE, answered, no_to_all

PARTS = get_args(Part)
POLICY = CATALOGUE.policy
ROWS = POLICY.cautions
EXERCISE: tuple[Part, ...] = ("seated", "standing", "check_move")
CLOSES_EXERCISE = {
    "unstable_heart_lung",
    "uncontrolled_pressure",
    "unexplained_faint",
    "clot_untreated",
    "recent_fracture",
    "operation_recent",
}
"""Closed until ticked (facts: cautions_exercise, cautions_operation); with every other caution
exercise stays open under its condition. Common practice, no source."""


def judge(
    care_plan: Plan, part: Part, *entries: AnyEntry, day: int = 0, in_flare: bool = False
) -> Judgement:
    return caution_judgement(
        care_plan,
        part,
        POLICY,
        entries=entries,
        side="right",
        today=DAY + timedelta(days=day),
        in_flare=in_flare,
    )


def reasons(judgement: Judgement) -> dict[str, str]:
    return {one.caution: one.reason for one in judgement.blocked}


def new_plan(**fields: Any) -> Plan:
    """A plan asked by the list of today."""
    return plan(caution_list=CAUTION_LIST, **fields)


def test_an_unanswered_caution_closes_what_it_guards() -> None:
    for part in PARTS:
        found = reasons(judge(new_plan(), part))
        assert set(found.values()) == {"unanswered"}
        guarding = {row.caution for row in ROWS if part in row.guards and not row.rest}
        assert set(found) == guarding, "dated ones are written as they happen"
        assert judge(new_plan(cautions=no_to_all()), part) == Judgement()


def test_a_caution_added_later_closes_nothing_in_a_plan_that_was_never_asked_it() -> None:
    """A signed plan is not closed at home by a longer list (fact: caution_not_asked)."""
    old = tuple(one for one in no_to_all() if POLICY.caution(one.caution).asked_since == 1)
    before = plan(cautions=old)
    new = {row.caution for row in ROWS if row.asked_since > 1}
    assert new, "the list grew"
    for part in PARTS:
        assert judge(before, part) == Judgement()
    assert set(not_asked_yet(before, POLICY)) == new
    asked = replace(before, caution_list=CAUTION_LIST)
    assert not_asked_yet(asked, POLICY) == ()
    assert any(judge(asked, part).blocked for part in PARTS)
    yes = CautionAnswer(caution="diabetes", answer=True, on=DAY)
    assert "diabetes" not in not_asked_yet(replace(before, cautions=(*old, yes)), POLICY)


def test_the_list_of_today_is_that_of_the_content() -> None:
    assert max(row.asked_since for row in ROWS) == CAUTION_LIST == CATALOGUE.cautions.version


@pytest.mark.parametrize("caution", [row.caution for row in ROWS if not row.rest])
def test_exercise_stays_open_but_for_the_few_that_close_it_until_ticked(caution: str) -> None:
    for part in EXERCISE:
        shut = reasons(judge(plan(cautions=answered(caution)), part))
        assert (caution in shut) == (caution in CLOSES_EXERCISE), part
        lifted = judge(plan(cautions=answered(caution, allowed=True)), part)
        assert lifted.blocked == ()


@pytest.mark.parametrize(
    ("caution", "part", "ticked", "reason"),
    [
        ("clot", "hands", True, "never"),
        ("clot", "tape_on", True, "never"),
        ("clot", "seated", False, None),
        ("adhesive_allergy", "tape_on", True, "never"),
        ("adhesive_allergy", "hands", False, None),
        ("latex_allergy", "tape_on", False, "not_ticked"),
        ("cancer_there", "hands", False, "not_ticked"),
        ("cancer_there", "hands", True, None),
        ("lymphoedema", "tape_on", False, "not_ticked"),
        ("lymphoedema", "tape_on", True, None),
        ("swollen_legs_heart_kidney", "tape_on", False, "not_ticked"),
        ("leg_ulcer", "hands", False, "not_ticked"),
        ("crps", "hands", False, "not_ticked"),
        ("kneecap_slips_out", "seated", False, None),
        ("diabetes", "tape_on", False, "not_ticked"),
        ("diabetes", "standing", False, None),
    ],
)
def test_answers(caution: str, part: Part, ticked: bool, reason: str | None) -> None:
    """What cautions do (fact: cautions_acted_on): no hands or tape with a clot, adhesive allergy
    never tape."""
    found = reasons(judge(plan(cautions=answered(caution, allowed=ticked)), part))
    assert found == ({caution: reason} if reason else {})


@pytest.mark.parametrize(
    ("caution", "part", "asks"),
    [
        ("blood_thinner", "hands", ("lightest_hands",)),
        ("poor_sight", "tape_on", ("helper_there",)),
        ("poor_sight", "standing", ("both_hands", "light_on")),
        ("weak_hands", "check_move", ("firm_grip",)),
        ("varicose_veins", "hands", ("not_over_veins",)),
        ("numb_feet", "tape_on", ("daily_look",)),
        ("diabetes", "standing", ("shoes_and_feet",)),
        ("falls_two", "check_move", ("both_hands", "chair_behind")),
        ("dizzy_rising", "standing", ("rise_slowly", "both_hands")),
        ("severe_osteoporosis", "standing", ("no_deep_bend",)),
        ("lives_alone", "standing", ("phone_on_you", "chair_behind", "firm_shoes", "light_on")),
        ("lives_alone", "seated", ()),
    ],
)
def test_what_stays_open_comes_with_its_condition(
    caution: str, part: Part, asks: tuple[Ask, ...]
) -> None:
    found = judge(plan(cautions=answered(caution, allowed=True)), part)
    assert found == Judgement(asks=asks)


def test_who_cannot_tell_pain_has_a_helper_there_for_all_of_it() -> None:
    care_plan = plan(cautions=answered("cannot_tell_pain"))
    assert all(judge(care_plan, part).asks == ("helper_there",) for part in PARTS)


@given(st.sets(st.sampled_from(WEEKDAYS)), st.integers(0, 6), st.sampled_from(PARTS))
def test_steps_with_the_helper_are_not_on_days_without(
    days: set[Weekday], day: int, part: Part
) -> None:
    """Where no day is set, the helper is asked about on the day itself (fact: living_alone)."""
    care_plan = plan(
        cautions=answered("cannot_tell_pain"),
        helper_days=tuple(one for one in WEEKDAYS if one in days),
    )
    today = DAY + timedelta(days=day)
    comes = not days or today.strftime("%A").lower() in days
    assert helper_may_come(care_plan, today) == comes
    expected = {} if comes else {"cannot_tell_pain": "no_helper"}
    assert reasons(judge(care_plan, part, day=day)) == expected
    without = replace(care_plan, cautions=no_to_all())
    assert judge(without, part, day=day) == Judgement(), "nothing else waits for a helper"


@given(st.sampled_from([row.caution for row in ROWS if not row.rest]), st.sampled_from(PARTS))
def test_the_clinician_can_close_any_part_for_any_yes(caution: str, part: Part) -> None:
    yes = answered(caution, allowed=True)
    closed = tuple(replace(one, closed=(part,)) if one.answer else one for one in yes)
    for other in PARTS:
        shut = reasons(judge(plan(cautions=closed), other))
        never = other in POLICY.caution(caution).never
        assert (caution in shut) == (other == part or never)


def test_inflamed_arthritis_closes_in_a_flare_only() -> None:
    care_plan = plan(cautions=answered("inflamed_arthritis"))
    assert judge(care_plan, "hands") == Judgement()
    assert reasons(judge(care_plan, "hands", in_flare=True)) == {"inflamed_arthritis": "flare"}
    assert judge(plan(cautions=no_to_all()), "hands", in_flare=True) == Judgement()


def test_rest_after_an_injection() -> None:
    """Injection in the last 7 days, rest (fact: injection_rest)."""
    care_plan = plan(cautions=no_to_all())
    injection = event(0, side="right")
    for part in PARTS:
        for day, rests in ((0, True), (6, True), (7, False)):
            found = reasons(judge(care_plan, part, injection, day=day))
            assert found == ({"recent_injection": "resting"} if rests else {})
    assert judge(care_plan, "hands", event(0, side="left"), day=1) == Judgement()
    assert judge(care_plan, "hands", event(0, "fall"), day=1) == Judgement()
    dated = CautionAnswer(caution="recent_injection", answer=True, on=DAY)
    assert reasons(judge(plan(cautions=(*no_to_all(), dated)), "hands", day=6))


def test_the_latest_answer_counts_and_of_one_day_the_most_cautious() -> None:
    old = CautionAnswer(caution="clot", answer=True, on=DAY)
    new = replace(old, answer=False, on=DAY + timedelta(days=1))
    assert answer_to(plan(cautions=(new, old)), "clot") == new
    same_day = replace(new, on=DAY)
    assert answer_to(plan(cautions=(same_day, old)), "clot") == old
    ticked = replace(old, allowed=True)
    assert answer_to(plan(cautions=(ticked, old)), "clot") == old
    assert answer_to(plan(), "clot") is None


def test_living_alone_closes_nothing() -> None:
    alone = plan(cautions=answered("lives_alone"))
    assert lives_alone(alone)
    assert not lives_alone(plan(cautions=no_to_all()))
    assert not lives_alone(plan())
    assert all(judge(alone, part).blocked == () for part in PARTS)


@pytest.mark.parametrize("caution", [row.caution for row in ROWS])
def test_what_a_row_of_the_policy_may_say(caution: str) -> None:
    """Tape for an outing is tape, and nobody makes the check move where nobody stands."""
    found = POLICY.caution(caution)
    for parts in (found.closes, found.never, found.flare, found.rest):
        assert ("tape_on" in parts) == ("outing_tape" in parts)
        assert ("standing" in parts) == ("check_move" in parts)
        assert list(parts) == [part for part in PARTS if part in parts]
    assert found.guards
    assert (found.rest_days is not None) == bool(found.rest)
    words = CATALOGUE.caution(found.caution)
    assert words.dated == bool(found.rest)
    assert words.group in {group.id for group in CATALOGUE.cautions.groups}


def test_every_caution_has_words_and_a_row() -> None:
    assert [row.caution for row in ROWS] == [one.id for one in CATALOGUE.cautions.cautions]
    asked = [
        one.id for group in CATALOGUE.cautions.groups for one in CATALOGUE.cautions.asked(group.id)
    ]
    assert sorted(asked) == sorted(one.id for one in CATALOGUE.cautions.asked())
    assert {ask.ask for row in ROWS for ask in row.asks} | {"somebody_there"} == set(get_args(Ask))


def test_what_blocks_is_named() -> None:
    found = judge(plan(cautions=answered("leg_ulcer")), "hands")
    assert found.blocked == (Blocked("leg_ulcer", "not_ticked"),)
