"""Writing a plan: what each fault names, what can be signed, and what goes home."""

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.caution_rules import CAUTION_LIST
from companion.care.contacts import typed_label
from companion.care.records import Contact, Diary, Plan, TapeOff
from companion.care.trial_schedule import planned
from companion.exchange.files import read, read_bytes
from companion.exchange.taking_in import preview_plan
from companion.presentation.language.words import contact_words
from companion.services.front import front
from companion.services.plan_answers import answers_of, limits
from companion.services.plan_draft import (
    REVIEW_AFTER_DAYS,
    DraftFault,
    UsualPain,
    draft_faults,
    drawn,
    fixed_trial,
    from_last,
    from_practice,
    from_template,
    group_answer,
    plan_file,
    plan_of,
    practice_plan,
    set_field,
    sign,
    taught_today,
    ticked,
    usual_pain,
)
from companion.services.plan_writing import taken_up
from companion.services.routine import RoutineWalk
from companion.services.walks import WalkStep, begin
from companion.wire.sign_off import content_sha256, sign_off_holds
from tests.builders import session, small_plan
from tests.care.content import CATALOGUE, answered
from tests.said import sentence
from tests.services.context_for_tests import HandClock, Kept
from tests.services.plan_writing import AT, SEED, TODAY, put, ready, started, tried

ROOT = Path(__file__).parents[2]
TEMPLATES = [template.id for template in CATALOGUE.templates]


def standing(draft: Any) -> set[tuple[str, str]]:
    return {(f.key, f.code) for f in draft_faults(draft, CATALOGUE) if not f.advice}


def advice(draft: Any) -> set[tuple[str, str]]:
    return {(f.key, f.code) for f in draft_faults(draft, CATALOGUE) if f.advice}


def signed_plan(draft: Any) -> Plan:
    plan = sign(draft, CATALOGUE, name="R. Vane", registration="PT 4711", at=AT)
    assert isinstance(plan, Plan), plan
    return plan


# ---------------------------------------------------------------- from a template


@pytest.mark.parametrize("template", TEMPLATES)
def test_a_template_leaves_who_which_knee_cautions_and_teaching_to_the_clinician(
    template: str,
) -> None:
    draft = started(template)
    found = standing(draft)
    assert {("person", "missing"), ("side", "missing")} <= found
    for name in ticked(draft, "techniques"):
        assert (f"techniques.{name}.taught_on", "technique_untaught") in found
    assert any(code == "caution_unanswered" for _, code in found)
    assert isinstance(sign(draft, CATALOGUE, name="R. Vane", registration="1", at=AT), tuple)


@pytest.mark.parametrize("template", TEMPLATES)
def test_what_is_left_can_be_done_and_then_the_plan_can_be_signed(template: str) -> None:
    draft = ready(template)
    assert standing(draft) == set()
    plan = signed_plan(draft)
    assert sign_off_holds(plan)
    assert not plan.practice
    assert plan.version == 1
    assert plan.written_on == TODAY


def test_both_knees_ask_which_is_the_main_one() -> None:
    draft = put(ready("hands_only"), side="both")
    assert standing(draft) == {("main_side", "missing")}
    assert standing(put(draft, main_side="left")) == set()
    assert plan_of(put(draft, main_side="left")).sides == ("left", "right")
    assert put(draft, side="left").answers["main_side"] == "left"


# ---------------------------------------------------------------- contradictions

CONTRADICTIONS: list[tuple[dict[str, Any], str, str]] = [
    ({"tape__highest": 1, "tape__start": 2}, "tape.start", "starting_stage_above_highest"),
    ({"tape__cap_hours": 48}, "tape.cap_hours", "due_over_cap"),
    (
        {"tape__first_wear_hours": 130, "tape__cap_hours": 120},
        "tape.first_wear_hours",
        "first_wear_over_cap",
    ),
    ({"tape__second_wear_hours": 130}, "tape.second_wear_hours", "second_wear_over_cap"),
    ({"tape__make": ""}, "tape.make", "tape_make_missing"),
    ({"tape__highest": 0}, "tape.highest", "tape_when_but_no_stage"),
    (
        {"tape__stretch_of": "available"},
        "tape.stretch_limit_percent",
        "stretch_limit_missing",
    ),
    ({"tape__length_from": "as_cut"}, "knees.right.side_strip_mm", "cut_lengths_missing"),
    (
        {"tape__length_from": "as_cut", "knees__right__side_strip_mm": 190.0},
        "knees.right.short_piece_mm",
        "short_piece_missing",
    ),
    (
        {"knees__right__bump_to_upper_edge_mm": 39.0},
        "knees.right.bump_to_upper_edge_mm",
        "not_allowed",
    ),
    ({"pain_ceiling": 1}, "pain_ceiling", "ceiling_below_stop_amount"),
    ({"rounds": 3, "check_moves": 3}, "check_moves", "too_few_moves_for_rounds"),
    ({"review_on": TODAY}, "review_on", "review_passed"),
    ({"review_on": TODAY - timedelta(days=1)}, "review_on", "review_passed"),
    ({"review_on": None}, "review_on", "missing"),
    ({"cautions__clot": None}, "cautions.clot", "caution_unanswered"),
    ({"cautions__clot": True}, "techniques.stroke_thigh", "technique_blocked"),
    ({"cautions__clot": True}, "tape.when", "tape_blocked"),
    ({"cautions__lymphoedema": True}, "tape.when", "tape_blocked"),
    ({"check_move__safe": None}, "check_move.safe", "safety_unanswered"),
    ({"pain_ceiling": None}, "pain_ceiling", "missing"),
    ({"stop_amount": None}, "stop_amount", "missing"),
    ({"check_move__name": "own"}, "check_move.own_words", "own_move_without_words"),
    (
        {"techniques__stroke_thigh__taught_on": None},
        "techniques.stroke_thigh.taught_on",
        "technique_untaught",
    ),
    (
        {"exercises__sit_to_stand__taught_on": None},
        "exercises.sit_to_stand.taught_on",
        "exercise_untaught",
    ),
    (
        {"techniques__stroke_thigh__taught_on": TODAY + timedelta(days=1)},
        "techniques.stroke_thigh.taught_on",
        "day_ahead",
    ),
    (
        {"known_signs__gives_way_new": TODAY + timedelta(days=1)},
        "known_signs.gives_way_new",
        "day_ahead",
    ),
    ({"replacement": "listed"}, "replacement_on", "replacement_date_missing"),
    (
        {"replacement": "listed", "replacement_on": date(2026, 6, 1)},
        "tape.stay_bare_from",
        "tape_past_replacement",
    ),
    (
        {"known_signs__chest_or_breath": TODAY},
        "known_signs.chest_or_breath",
        "known_sign_not_allowed",
    ),
    (
        {
            "amounts__2__label": "Walk to the quay",
            "amounts__2__unit": "m",
            "amounts__2__baseline": 300.0,
            "amounts__2__goal": 200.0,
        },
        "amounts.2.goal",
        "goal_not_above_baseline",
    ),
    ({"amounts__0__label": "Walk to the quay"}, "amounts.0.baseline", "missing"),
    ({"knees__right__short_piece_mm": 60.0}, "knees.right.side_strip_mm", "missing"),
    ({"person": "Mrs Name!"}, "person", "not_allowed"),
    ({"rounds": 4}, "rounds", "not_allowed"),
    ({"rounds": None}, "rounds", "missing"),
    ({"ease_target_percent": 5}, "ease_target_percent", "not_allowed"),
    ({"techniques__stroke_thigh__seconds": None}, "techniques.stroke_thigh.seconds", "missing"),
    ({"birth_year": 1850}, "birth_year", "not_allowed"),
]


@pytest.mark.parametrize(("answers", "key", "code"), CONTRADICTIONS)
def test_a_contradiction_names_its_field_and_cannot_be_signed(
    answers: dict[str, Any], key: str, code: str
) -> None:
    draft = put(ready(), **answers)
    assert (key, code) in standing(draft)
    refused = sign(draft, CATALOGUE, name="R. Vane", registration="PT 4711", at=AT)
    assert isinstance(refused, tuple)
    assert (key, code) in {(fault.key, fault.code) for fault in refused}


def test_a_field_out_of_its_range_says_that_alone() -> None:
    draft = put(ready(), pain_ceiling=0)
    assert standing(draft) == {("pain_ceiling", "not_allowed")}


@pytest.mark.parametrize(
    "caution", [row.caution for row in CATALOGUE.policy.cautions if not row.rest]
)
def test_an_unanswered_caution_keeps_a_plan_from_being_signed(caution: str) -> None:
    draft = set_field(ready("hands_only"), f"cautions.{caution}", None, CATALOGUE)
    assert standing(draft) == {(f"cautions.{caution}", "caution_unanswered")}


def test_a_group_nobody_answered_stands_as_one_thing_and_none_of_it_answers_each_row() -> None:
    draft = put(
        ready(), **{f"cautions__{one.id}": None for one in CATALOGUE.cautions.asked("blood")}
    )
    assert group_answer(draft, "blood", CATALOGUE) is None
    assert standing(draft) == {("caution_groups.blood", "caution_unanswered")}
    opened = put(draft, caution_groups__blood="some")
    rows = {
        (f"cautions.{one.id}", "caution_unanswered") for one in CATALOGUE.cautions.asked("blood")
    }
    assert standing(opened) == rows
    none = put(draft, caution_groups__blood="none")
    assert group_answer(none, "blood", CATALOGUE) == "none"
    assert standing(none) == set()
    answers = {one.caution: one for one in plan_of(none).cautions}
    for one in CATALOGUE.cautions.asked("blood"):
        assert (answers[one.id].answer, answers[one.id].on) == (False, TODAY)
    assert group_answer(put(none, cautions__clot=True), "blood", CATALOGUE) == "some"
    assert plan_of(none) == plan_of(ready()), "the plan holds the answers, not how they were given"


def test_no_template_and_no_default_fills_a_caution_a_limit_or_what_is_safe_alone() -> None:
    for template in CATALOGUE.templates:
        draft = started(template.id)
        for key in ("stop_amount", "pain_ceiling", "check_move.safe", "chair_stand"):
            assert draft.answers[key] is None
        assert not any(key.startswith("cautions.") for key in draft.answers)
        missing = {key for key, _ in standing(draft)}
        assert {"stop_amount", "pain_ceiling", "check_move.safe"} <= missing
        groups = {f"caution_groups.{group.id}" for group in CATALOGUE.cautions.groups}
        assert groups <= missing
        assert len(groups) == 7, "each is read and pressed, or opened"


def test_a_plan_of_the_first_list_is_asked_the_rest_before_it_is_signed_again() -> None:
    last = replace(signed_plan(ready()), caution_list=None)
    old = {row.caution for row in CATALOGUE.policy.cautions if row.asked_since == 1}
    last = replace(last, cautions=tuple(one for one in last.cautions if one.caution in old))
    draft = from_last(last, TODAY + timedelta(days=56))
    asked = {key for key, code in standing(draft) if code == "caution_unanswered"}
    new = {row.caution for row in CATALOGUE.policy.cautions if row.asked_since > 1}
    assert asked == {f"cautions.{caution}" for caution in new}
    assert plan_of(draft).caution_list == CAUTION_LIST


def test_a_tick_lifts_what_a_yes_blocks_and_goes_with_the_yes() -> None:
    yes = put(ready(), cautions__lymphoedema=True)
    allowed = put(yes, cautions__lymphoedema__allowed=True)
    assert standing(allowed) == {("cautions.lymphoedema.reason", "caution_reason_missing")}
    allowed = put(allowed, cautions__lymphoedema__reason="tolerated")
    assert standing(allowed) == set()
    assert put(allowed, cautions__lymphoedema=False).answers["cautions.lymphoedema.reason"] is None
    assert not put(allowed, cautions__lymphoedema=False).answers["cautions.lymphoedema.allowed"]


def test_advice_does_not_keep_a_plan_from_being_signed() -> None:
    draft = put(ready("hands_only"), activities__0="stairs")
    for name in ticked(draft, "exercises"):
        draft = set_field(draft, f"exercises.{name}", False, CATALOGUE)
    # (facts: exercise_first, activities_few)
    assert {("exercises", "no_exercise"), ("activities.1", "few_activities")} <= advice(draft)
    signed_plan(draft)


def test_measures_that_do_not_go_together_are_said() -> None:
    # (60 - 43) / 43 = 0.40, outside 0.6 to 1.6: measure again (fact: kneecap_ratio_again).
    draft = put(
        ready(),
        knees__right__bump_to_upper_edge_mm=60.0,
        knees__right__kneecap_height_mm=43.0,
    )
    assert ("knees.right.kneecap_height_mm", "ratio_unusual") in advice(draft)
    usual = put(draft, knees__right__bump_to_upper_edge_mm=86.0)
    assert ("knees.right.kneecap_height_mm", "ratio_unusual") not in advice(usual)


# ---------------------------------------------------------------- signing


@pytest.mark.parametrize("missing", ["name", "registration"])
def test_nobody_signs_without_name_and_registration(missing: str) -> None:
    typed = {"name": "R. Vane", "registration": "PT 4711"} | {missing: "  "}
    refused = sign(ready(), CATALOGUE, at=AT, **typed)
    assert refused == (DraftFault(f"sign_off.{missing}", "missing"),)


def test_a_name_that_does_not_fit_is_refused() -> None:
    refused = sign(ready(), CATALOGUE, name="x" * 61, registration="1", at=AT)
    assert refused == (DraftFault("sign_off.name", "not_allowed"),)


@pytest.mark.parametrize(
    "answers",
    [
        {"goal": "To the harbour and back."},
        {"rounds": 1},
        {"tape__cap_hours": 96},
        {"check_move__depth__seat_cm": 46},
        {"techniques__stroke_thigh__seconds": 45},
        {"knees__right__bump_to_upper_edge_mm": 121.0},
        {"cautions__poor_sight": True},
        {"contacts__clinic__when": "mornings"},
        {"known_signs__gives_way_known": None, "birth_year": 1950},
        {"activities__0": "stairs"},
        {"measure": "worst"},
        {"replacement": "deferring"},
    ],
)
def test_the_hash_changes_with_any_field(answers: dict[str, Any]) -> None:
    changed = put(ready(), **answers)
    assert content_sha256(plan_of(changed)) != content_sha256(plan_of(ready()))


def test_a_practice_plan_may_contradict_itself_but_not_lack_its_person() -> None:
    contradicting = practice_plan(put(ready(), pain_ceiling=1))
    assert isinstance(contradicting, Plan)
    assert contradicting.practice
    assert practice_plan(put(ready(), person="")) == (DraftFault("person", "missing"),)


def test_a_kept_practice_plan_is_taken_up_again() -> None:
    draft = put(ready(), review_on=date(2026, 4, 1), goal="Stairs.")
    kept = practice_plan(draft)
    assert isinstance(kept, Plan)
    again = from_practice(kept, None, TODAY + timedelta(days=1))
    assert again.version == 1
    assert replace(plan_of(again), written_on=TODAY) == kept
    with pytest.raises(ValueError, match="followed by a new version"):
        from_practice(signed_plan(draft), None, TODAY)


# ---------------------------------------------------------------- the next version


@pytest.mark.parametrize("who", ["edda", "jory", "osric", "tobin", "wilma"])
def test_a_version_written_again_is_the_same_but_for_its_number_and_days(who: str) -> None:
    last = read(ROOT / "demo_profiles" / who / "plan.homeknee").plan
    assert last is not None
    again = plan_of(from_last(last, last.written_on))
    assert again.version == last.version + 1
    # Labels that nobody typed are left out of it.
    contacts = tuple(replace(one, label=typed_label(one)) for one in last.contacts)
    expected = replace(last, contacts=contacts)
    assert replace(again, version=last.version, sign_off=last.sign_off) == expected


def test_a_caution_answered_for_the_last_version_keeps_its_day_until_it_is_answered_again() -> None:
    last = signed_plan(ready())
    later = TODAY + timedelta(days=56)
    draft = from_last(last, later)
    assert draft.answers["cautions.clot.on"] == TODAY
    assert put(draft, cautions__clot=False).answers["cautions.clot.on"] == later
    assert draft.answers["review_on"] == later + (last.review_on - last.written_on)


@pytest.mark.parametrize("weekday", range(7))
def test_a_review_is_offered_on_no_weekend(weekday: int) -> None:
    day = date(2026, 3, 2) + timedelta(days=weekday)  # from Monday on
    moved = {5: 2, 6: 1}.get(weekday, 0)
    for template in CATALOGUE.templates:
        offered = from_template(template, day).answers["review_on"]
        assert offered == day + timedelta(days=REVIEW_AFTER_DAYS + moved)
    again = from_last(replace(signed_plan(ready()), written_on=day, review_on=day), day)
    assert again.answers["review_on"] == date(2026, 3, 3 + weekday if weekday < 4 else 9)


def test_a_second_number_of_one_role_is_not_lost() -> None:
    numbers = (
        Contact(role="clinic", label="Front desk", number="0100 1"),
        Contact(role="clinic", label="Evenings", number="0100 2"),
    )
    last = replace(signed_plan(ready()), contacts=numbers)
    assert plan_of(from_last(last, TODAY)).contacts == numbers


def test_a_number_is_called_by_its_role_unless_the_clinic_typed_a_name() -> None:
    """Version 2 wrote our word for the role into the plan; a new version of it does not."""
    made = plan_of(put(ready(), contacts__doctor__label="Dr. Holm"))
    assert {one.role: one.label for one in made.contacts} == {
        "clinic": None,
        "doctor": "Dr. Holm",
        "emergency": None,
        "out_of_hours": None,
    }
    said = {
        "clinic": "Your clinic",
        "doctor": "Dr. Holm",
        "emergency": "Emergency",
        "out_of_hours": "Out of hours",
    }
    assert {one.role: contact_words(one) for one in made.contacts} == said
    old = replace(made, contacts=tuple(replace(one, label=said[one.role]) for one in made.contacts))
    assert {one.role: contact_words(one) for one in old.contacts} == said
    assert plan_of(from_last(old, TODAY)).contacts == made.contacts


def test_of_two_answers_to_one_caution_the_one_that_counts_goes_on() -> None:
    last = replace(
        signed_plan(ready("hands_only")), cautions=(*answered("clot"), *answered("poor_sight"))
    )
    # The latest counts, and of one day the most cautious.
    assert from_last(last, TODAY).answers["cautions.clot"] is True
    assert from_last(last, TODAY).answers["cautions.poor_sight"] is True


# ---------------------------------------------------------------- the tape trial


def test_a_trial_is_ticked_with_the_usual_sizes_and_fixed_by_its_hash() -> None:
    # Default 8 x 3 or 10 x 2 scored days, the schedule fixed before day 1.
    draft = tried()
    assert standing(draft) == set()
    trial = signed_plan(draft).trial
    assert trial is not None
    assert (trial.side, trial.pairs, trial.scored_days) == ("right", 8, 3)
    assert trial.first_day == TODAY + timedelta(days=1)
    assert trial.schedule_sha256 == planned(trial).sha256
    two = plan_of(put(draft, trial__scored_days=2)).trial
    assert two is not None
    assert (two.pairs, two.scored_days) == (10, 2)
    seven = plan_of(put(draft, trial__pairs=7, trial__scored_days=2)).trial
    assert seven is not None
    assert seven.pairs == 7, "what somebody wrote stays"


def test_no_template_and_no_tick_means_no_trial() -> None:
    assert plan_of(drawn(ready(), SEED)).trial is None
    assert plan_of(put(tried(), trial__on=False)).trial is None


def test_the_seed_is_drawn_once() -> None:
    draft = drawn(tried(), "another")
    assert draft.seed == SEED
    again = put(put(draft, trial__on=False), trial__on=True)
    assert plan_of(again).trial == plan_of(tried()).trial
    undrawn = put(replace(ready(), at_hand=tried().at_hand), trial__on=True)
    assert ("trial.on", "missing") in standing(undrawn)


@pytest.mark.parametrize(
    ("answers", "key", "code"),
    [
        ({"trial__first_day": TODAY}, "trial.first_day", "trial_not_ahead"),
        ({"trial__first_day": None}, "trial.first_day", "missing"),
        ({"trial__first_day": date(9999, 12, 1)}, "trial.first_day", "not_allowed"),
        ({"trial__pairs": 5}, "trial.pairs", "not_allowed"),
        ({"trial__pairs": 13}, "trial.pairs", "not_allowed"),
        ({"trial__scored_days": 4}, "trial.scored_days", "not_allowed"),
        ({"trial__side": "left"}, "trial.side", "trial_side_not_in_plan"),
        ({"tape__when": "never"}, "trial.on", "trial_without_tape"),
        ({"tape__rest_hours": 48}, "tape.rest_hours", "trial_rest_too_long"),
        ({"tape__wear_hours": 48}, "tape.wear_hours", "trial_due_too_short"),
        (
            {"tape__wear_hours": 60, "tape__cap_hours": 60},
            "tape.cap_hours",
            "trial_cap_too_short",
        ),
        ({"review_on": TODAY + timedelta(days=64)}, "review_on", "trial_past_review"),
        (
            {"tape__stay_bare_from": TODAY + timedelta(days=64)},
            "tape.stay_bare_from",
            "trial_past_bare",
        ),
        ({"tape__make": "Fern 50"}, "trial.on", "trial_skin_too_few"),
    ],
)
def test_a_trial_that_does_not_fit_names_its_field_and_cannot_be_signed(
    answers: dict[str, Any], key: str, code: str
) -> None:
    draft = put(tried(), **answers)
    assert (key, code) in standing(draft)
    assert isinstance(sign(draft, CATALOGUE, name="R. Vane", registration="1", at=AT), tuple)


def test_without_a_diary_at_hand_no_skin_is_shown() -> None:
    assert standing(replace(tried(), at_hand=None)) == {("trial.on", "trial_skin_unknown")}


def test_skin_that_was_not_clear_is_named() -> None:
    draft = tried()
    assert draft.at_hand is not None
    tape = tuple(
        replace(entry, skin_at_once="pink") if isinstance(entry, TapeOff) else entry
        for entry in draft.at_hand.tape
    )
    pink = replace(draft, at_hand=replace(draft.at_hand, tape=tape))
    assert standing(pink) == {("trial.on", "trial_skin_not_clear")}


def test_a_running_trial_goes_on_unchanged_or_ends() -> None:
    last = signed_plan(tried())
    while_it_runs = TODAY + timedelta(days=30)
    draft = from_last(last, while_it_runs)
    assert fixed_trial(draft) == last.trial
    assert plan_of(draft).trial == last.trial
    assert standing(draft) == set(), "what runs is not asked for its skin again"
    changed = put(draft, trial__pairs=9)
    assert ("trial.on", "trial_fixed") in standing(changed)
    assert standing(put(draft, trial__on=False)) == set()
    assert plan_of(put(put(changed, trial__on=False), trial__on=True)).trial == last.trial
    # Begun from a template there is none; ticked, it is the one that runs and no other.
    template = from_template(CATALOGUE.template("up_to_short_pieces"), while_it_runs, last)
    assert plan_of(template).trial is None
    assert plan_of(put(drawn(template, "another"), trial__on=True)).trial == last.trial


def test_a_trial_that_is_over_or_not_begun_can_be_another() -> None:
    last = signed_plan(tried())
    over = from_last(last, TODAY + timedelta(days=65))
    assert plan_of(over).trial is None
    assert over.seed == ""
    ahead = from_last(last, TODAY)
    assert plan_of(ahead).trial == last.trial
    assert plan_of(put(ahead, trial__pairs=9)).trial != last.trial
    assert ("trial.on", "trial_fixed") not in standing(put(ahead, trial__pairs=9))


@pytest.mark.parametrize("wrong", [{"schedule_sha256": "0" * 64}, {"seed": "  "}])
def test_a_trial_that_is_not_as_it_was_fixed_does_not_go_on(wrong: dict[str, Any]) -> None:
    last = signed_plan(tried())
    assert last.trial is not None
    faulty = replace(last, trial=replace(last.trial, **wrong))
    for today in (TODAY, TODAY + timedelta(days=30)):
        draft = from_last(faulty, today)
        assert plan_of(draft).trial is None
        assert fixed_trial(draft) is None
        assert standing(draft) == set()


def test_the_knee_of_the_trial_follows_the_knee_of_the_plan() -> None:
    assert put(tried(), side="left").answers["trial.side"] == "left"
    both = put(tried(), side="both", main_side="left", trial__side="left")
    trial = plan_of(both).trial
    assert trial is not None
    assert trial.side == "left"


# ---------------------------------------------------------------- fields


def test_a_ticked_technique_has_the_dose_of_its_sheet_and_comes_last() -> None:
    draft = put(started("hands_only"), techniques__lift_skin=True)
    sheet = CATALOGUE.technique("lift_skin")
    assert ticked(draft, "techniques")[-1] == "lift_skin"
    assert draft.answers["techniques.lift_skin.seconds"] == sheet.seconds.default
    gone = put(draft, techniques__stroke_thigh=False)
    assert "stroke_thigh" not in ticked(gone, "techniques")
    assert plan_of(gone).techniques[-1].technique == "lift_skin"


def test_everything_taught_today_leaves_earlier_dates() -> None:
    before = TODAY - timedelta(days=3)
    draft = put(started("hands_only"), techniques__stroke_thigh__taught_on=before)
    taught = taught_today(draft, "techniques")
    assert taught.answers["techniques.stroke_thigh.taught_on"] == before
    assert taught.answers["techniques.ease_across.taught_on"] == TODAY


def test_no_tape_and_a_highest_stage_go_together() -> None:
    assert put(ready(), tape__when="never").answers["tape.highest"] == 0
    assert put(ready(), tape__when="never", tape__make="x").answers["tape.highest"] == 0
    back = put(put(ready(), tape__when="never"), tape__when="always")
    assert back.answers["tape.highest"] == 1


def test_a_field_no_plan_has_is_an_error() -> None:
    for key in (
        "sign_off",
        "version",
        "tape.colour",
        "knees.middle.side_strip_mm",
        "amounts.9.goal",
    ):
        with pytest.raises(KeyError):
            set_field(ready(), key, 1, CATALOGUE)


def test_limits_are_those_of_the_records() -> None:
    assert (limits("rounds").least, limits("rounds").most) == (1, 3)
    assert limits("rounds").whole
    assert not limits("rounds").may_be_empty
    assert limits("bad_day_mark").may_be_empty
    assert limits("knees.left.bump_to_upper_edge_mm").most == 250
    assert limits("tape.make").most == 60


NUMBERS = [
    key
    for key, answer in answers_of(plan_of(ready())).items()
    if isinstance(answer, int | float) and not isinstance(answer, bool)
]


@given(st.sampled_from(NUMBERS), st.integers(-5, 500))
def test_whatever_is_typed_into_a_field_the_plan_can_be_shown(key: str, typed: int) -> None:
    plan = plan_of(set_field(ready(), key, typed, CATALOGUE))
    reading = read_bytes(plan_file(plan))
    assert reading.state == "whole", sentence(reading)


# ---------------------------------------------------------------- to Home


@pytest.mark.parametrize("template", TEMPLATES)
def test_a_signed_plan_goes_home_and_the_routine_begins(template: str, tmp_path: Path) -> None:
    plan = signed_plan(ready(template))
    reading = read_bytes(plan_file(plan))
    assert reading.state == "whole"
    assert reading.plan == plan
    kept = Kept(tmp_path, clock=HandClock(AT))
    try:
        found = preview_plan(kept.context.journal.plans(), reading.plan)
        assert found.refused is None
        kept.context.journal.append(plans=(reading.plan,))
        assert kept.context.plan() == plan
        assert front(kept.context).knees[0].exercise == "due"
        begun = begin(kept.context, RoutineWalk(), "right")
        assert isinstance(begun, WalkStep)
        assert begun.page.key == "gate"
        revised = put(from_last(plan, TODAY + timedelta(days=1)), rounds=1, check_moves=4)
        second = sign(revised, CATALOGUE, name="R. Vane", registration="PT 4711", at=AT)
        assert isinstance(second, Plan)
        kept.context.journal.append(plans=(second,))
        assert kept.context.plan() == second
    finally:
        kept.context.journal.close()


def test_the_preview_of_a_template_needs_no_answers() -> None:
    for template in CATALOGUE.templates:
        assert plan_of(from_template(template, TODAY)).practice


# ---------------------------------------------------------------- bad days


def seen_before(*scores: int, rest: int | None = None, **fields: Any) -> Diary:
    """A diary of the plan below with these before scores, one a day."""
    entries = [session(n, score, rest_pain=rest) for n, score in enumerate(scores)]
    return Diary(plans=(small_plan(**fields),), entries=tuple(entries))


def test_a_plan_is_signed_with_its_bad_day_mark_or_with_none() -> None:
    """Neither a template nor the program fills it in: the person's own usual decides it."""
    assert standing(put(ready(), bad_day_mark=None)) == {("bad_day_mark", "bad_day_mark_open")}
    assert standing(put(ready(), bad_day_mark=None, bad_day_mark_off=True)) == set()
    both = put(ready(), bad_day_mark_off=True)
    assert standing(both) == {("bad_day_mark_off", "bad_day_mark_both")}
    for template in CATALOGUE.templates:
        assert from_template(template, TODAY).answers["bad_day_mark"] is None


def test_the_usual_scores_come_from_the_diary_at_hand_else_from_today() -> None:
    draft = put(ready(), check_move__depth__seat_cm=None)
    known = taken_up(
        draft, seen_before(4, 5, 6, 7, 6, rest=3, check_move=plan_of(draft).check_move)
    )
    assert usual_pain(known, CATALOGUE) == UsualPain(before=6, rest=3)
    here = put(draft, session__held=True, session__before=7, session__rest_pain=2)
    assert usual_pain(here, CATALOGUE) == UsualPain(before=7, rest=2)
    assert usual_pain(draft, CATALOGUE) == UsualPain(before=None, rest=None)


def test_who_usually_hurts_at_rest_gets_a_limit_of_their_own() -> None:
    sore = taken_up(ready(), seen_before(6, 6, 6, 6, 6, rest=4))
    assert standing(sore) == {("rest_pain_limit", "rest_pain_limit_open")}
    assert standing(put(sore, rest_pain_limit=6)) == set()
    assert standing(taken_up(ready(), seen_before(6, 6, 6, 6, 6, rest=3))) == set()
