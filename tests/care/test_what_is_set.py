"""Rule r17: everything the policy lets the clinician set is a field of the plan, and is asked."""

import pytest

from tests.care.walking import CATALOGUE

SET: dict[str, tuple[str, ...]] = {
    "Bad-day mark": ("bad_day_mark", "bad_day_mark_off"),
    "limits, for hands and exercise apart": ("pain_ceiling", "exercise_ceiling"),
    "the limit of pain at rest": ("rest_pain_limit",),
    "usual worst pain": ("usual_worst",),
    "nights": ("usual_night",),
    "swelling": ("usual_swelling",),
    "stiffness": ("usual_stiffness_minutes",),
    "known signs": ("known_signs.*", "known_signs.*.stays_open"),
    "the set for bad days": ("exercises.*.on_bad_days",),
    "support": ("known_signs.*.support",),
    "floor and steps": ("floor_rounds", "floor_repeats_percent"),
    "the rule for mornings": ("mornings_down", "expected_weeks"),
    "days until a call in a flare": ("flare_days",),
    "who opens what": ("known_signs.*.stays_open", "open_signs.*"),
    "days with a helper": ("helper_days",),
    "exemptions for tape and test piece": ("cautions.*.allowed", "tape.patch_test"),
}


@pytest.mark.parametrize("words", SET)
def test_what_the_clinician_can_set_is_asked_by_the_form(words: str) -> None:
    assert words in CATALOGUE.policy.rule("r17").clinician_words
    asked = {field.key for field in CATALOGUE.plan_form.fields}
    assert sorted({*SET[words]} - asked) == []
