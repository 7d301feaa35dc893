"""What the clinician's answers to the cautions do."""

from dataclasses import replace
from datetime import timedelta

import pytest

from companion.care.caution_rules import Blocked, Judgement, answer_to, caution_judgement
from companion.care.records import AnyEntry, CautionAnswer, Plan
from tests.builders import DAY, event, plan
from tests.care.content import CATALOGUE, answered, no_to_all

ALL = tuple(caution.id for caution in CATALOGUE.cautions.cautions)


def judge(
    care_plan: Plan, part: str, *entries: AnyEntry, day: int = 0, **more: object
) -> Judgement:
    return caution_judgement(
        care_plan,
        ALL,
        part,  # type: ignore[arg-type]
        CATALOGUE.cautions,
        entries=entries,
        side="right",
        today=DAY + timedelta(days=day),
        **more,  # type: ignore[arg-type]
    )


def reasons(judgement: Judgement) -> dict[str, str]:
    return {one.caution: one.reason for one in judgement.blocked}


def test_an_unanswered_caution_blocks_what_it_guards() -> None:
    found = reasons(judge(plan(), "hands"))
    assert set(found.values()) == {"unanswered"}
    assert set(found) == set(ALL) - {"recent_injection"}, "dated ones are written as they happen"
    assert judge(plan(cautions=no_to_all()), "hands") == Judgement()
    some = caution_judgement(plan(cautions=no_to_all()[1:]), ["clot"], "hands", CATALOGUE.cautions)
    assert some == Judgement()


@pytest.mark.parametrize(
    ("caution", "part", "ticked", "reason"),
    [
        ("clot", "hands", True, "blocked"),
        ("clot", "tape", True, "blocked"),
        ("adhesive_allergy", "tape", True, "blocked"),
        ("adhesive_allergy", "hands", False, None),
        ("cancer_there", "hands", False, "not_ticked"),
        ("cancer_there", "hands", True, None),
        ("lymphoedema", "tape", False, "not_ticked"),
        ("lymphoedema", "tape", True, None),
        ("swollen_legs_heart_kidney", "tape", False, "not_ticked"),
        ("kneecap_slips_out", "exercise", False, None),
    ],
)
def test_answers(caution: str, part: str, ticked: bool, reason: str | None) -> None:
    """What cautions do (fact: cautions_acted_on): no hands or tape with a clot, adhesive allergy
    never tape."""
    found = reasons(judge(plan(cautions=answered(caution, allowed=ticked)), part))
    assert found == ({caution: reason} if reason else {})


def test_what_is_allowed_with_care() -> None:
    thinner = judge(plan(cautions=answered("blood_thinner", allowed=True)), "hands")
    assert thinner == Judgement(lightest_hands=True)
    assert judge(plan(cautions=answered("poor_sight")), "tape") == Judgement(helper_needed=True)
    assert judge(plan(cautions=answered("varicose_veins")), "hands").not_over == ("varicose_veins",)
    numb = judge(plan(cautions=answered("numb_feet", allowed=True)), "tape")
    assert numb == Judgement(daily_look=True)


def test_inflamed_arthritis_blocks_in_a_flare_only() -> None:
    care_plan = plan(cautions=answered("inflamed_arthritis"))
    assert judge(care_plan, "hands") == Judgement()
    assert reasons(judge(care_plan, "hands", in_flare=True)) == {"inflamed_arthritis": "flare"}
    assert judge(plan(cautions=no_to_all()), "hands", in_flare=True) == Judgement()


def test_rest_after_an_injection() -> None:
    """Injection in the last 7 days, rest (fact: injection_rest)."""
    care_plan = plan(cautions=no_to_all())
    injection = event(0, side="right")
    for part in ("hands", "tape", "exercise"):
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


def test_a_caution_nobody_knows_blocks() -> None:
    found = caution_judgement(plan(), ["no_such"], "hands", CATALOGUE.cautions)
    assert found.blocked == (Blocked("no_such", "unknown"),)
