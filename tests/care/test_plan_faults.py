"""What contradicts itself in a plan, and what of it can be played."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any, get_args

import pytest

from companion.care.plan_faults import (
    FaultCode,
    faults,
    playable_exercises,
    playable_techniques,
    running_trial,
)
from companion.care.records import (
    AmountPlan,
    AnsweredSign,
    CautionAnswer,
    CheckMove,
    Contact,
    CutLengths,
    KneeMeasures,
    KnownSign,
    MoveName,
    OverruleReason,
    Plan,
    PlanSide,
    TapeTrial,
)
from companion.care.trial_schedule import schedule
from tests.builders import DAY, event
from tests.care.content import CATALOGUE, answered, no_to_all, whole_plan

WHOLE = whole_plan()
TECHNIQUE = WHOLE.techniques[0]
EXERCISE = WHOLE.exercises[0]
SEATED = replace(EXERCISE, exercise="seated_straightening", hold_seconds=3)


def found(care_plan: Plan, *, advice: bool = False) -> set[tuple[str, str]]:
    return {
        (fault.field, fault.code)
        for fault in faults(care_plan, CATALOGUE)
        if fault.advice == advice
    }


def test_a_whole_plan_has_none() -> None:
    assert found(WHOLE) == set()
    assert found(WHOLE, advice=True) == set()


def numbers(**fields: Any) -> tuple[Contact, ...]:
    """Those of a whole plan, the first with other fields."""
    first, *others = WHOLE.contacts
    return (replace(first, **fields), *others)


def opened(caution: str, **fields: Any) -> tuple[CautionAnswer, ...]:
    """A yes that the clinician opened all the same."""
    return tuple(
        replace(one, **fields) if one.answer else one for one in answered(caution, allowed=True)
    )


GIVES_WAY = KnownSign(sign="gives_way_new", since=DAY, stays_closed=True)


def knee(**fields: Any) -> tuple[KneeMeasures, ...]:
    base: dict[str, Any] = {"side": "right", "bump_to_upper_edge_mm": 120}
    return (KneeMeasures(**(base | fields)),)


def trial(seed: str = "one", **sizes: Any) -> TapeTrial:
    """Eight pairs of three scored days from the day after the plan: 64 days, to 5 May."""
    held: dict[str, Any] = {
        "first_day": DAY + timedelta(days=1),
        "pairs": 8,
        "scored_days": 3,
    } | sizes
    side = held.pop("side", "right")
    planned = schedule(seed, **held)
    return TapeTrial(side=side, seed=seed, schedule_sha256=planned.sha256, **held)


LAST_DAY = DAY + timedelta(days=64)
AFTER: dict[str, Any] = {"review_on": LAST_DAY + timedelta(days=1)}

STUCK = AnsweredSign(warning="a" * 32, sign="knee_stuck", since=DAY, answer="seen")
FAULTS: list[tuple[dict[str, Any], dict[str, Any], str, str]] = [
    ({}, {"review_on": DAY}, "review_on", "review_not_after_written"),
    ({}, {"contacts": WHOLE.contacts[1:]}, "contacts", "contact_missing"),
    ({}, {"contacts": numbers(number="ask")}, "contacts", "number_not_a_number"),
    ({}, {"contacts": numbers(opens="8:00")}, "contacts", "hours_half_told"),
    ({}, {"main_side": "left"}, "main_side", "main_side_not_in_plan"),
    ({"start": 2, "highest": 1}, {}, "tape.start", "starting_stage_above_highest"),
    ({"when": "never"}, {}, "tape.highest", "tape_never_but_stages"),
    ({"highest": 0}, {}, "tape.highest", "tape_when_but_no_stage"),
    ({"make": None}, {}, "tape.make", "tape_make_missing"),
    ({"first_wear_hours": 121}, {}, "tape.first_wear_hours", "first_wear_over_cap"),
    ({"second_wear_hours": 121}, {}, "tape.second_wear_hours", "second_wear_over_cap"),
    ({"cap_hours": 71}, {}, "tape.cap_hours", "due_over_cap"),
    ({"stretch_of": "available"}, {}, "tape.stretch_limit_percent", "stretch_limit_missing"),
    ({"length_from": "as_cut"}, {}, "knees", "cut_lengths_missing"),
    (
        {"length_from": "as_cut"},
        {"knees": knee(cut=CutLengths(side_strip_mm=180))},
        "knees",
        "short_piece_missing",
    ),
    ({}, {"knees": knee() + knee()}, "knees.1.side", "two_measures_for_one_knee"),
    ({}, {"pain_ceiling": 1}, "pain_ceiling", "ceiling_below_stop_amount"),
    ({}, {"bad_day_mark": None}, "bad_day_mark", "bad_day_mark_open"),
    ({}, {"bad_day_mark_off": True}, "bad_day_mark_off", "bad_day_mark_both"),
    (
        {},
        {"exercises": (replace(SEATED, on_bad_days="easier"),)},
        "exercises.0.on_bad_days",
        "no_easier_form",
    ),
    ({}, {"check_moves": 2}, "check_moves", "too_few_moves_for_rounds"),
    ({}, {"check_move": CheckMove(name="stairs")}, "check_move.safe", "safety_unanswered"),
    ({}, {"check_move": CheckMove(name="step_down")}, "check_move.safe", "safety_unanswered"),
    (
        {},
        {"check_move": CheckMove(name="own", safe="alone")},
        "check_move.own_words",
        "own_move_without_words",
    ),
    (
        {},
        {"techniques": (replace(TECHNIQUE, technique="no_such"),)},
        "techniques.0",
        "technique_unknown",
    ),
    ({}, {"techniques": (TECHNIQUE, TECHNIQUE)}, "techniques.1", "technique_twice"),
    (
        {},
        {"techniques": (replace(TECHNIQUE, taught_on=None),)},
        "techniques.0.taught_on",
        "technique_untaught",
    ),
    (
        {},
        {"exercises": (replace(EXERCISE, exercise="no_such"),)},
        "exercises.0",
        "exercise_unknown",
    ),
    ({}, {"exercises": (EXERCISE, EXERCISE)}, "exercises.1", "exercise_twice"),
    (
        {},
        {"exercises": (replace(EXERCISE, taught_on=None),)},
        "exercises.0.taught_on",
        "exercise_untaught",
    ),
    (
        {"when": "never", "highest": 0},
        {"cautions": answered("clot")},
        "techniques.0",
        "technique_blocked",
    ),
    ({}, {"cautions": answered("adhesive_allergy")}, "tape.when", "tape_blocked"),
    ({}, {"cautions": no_to_all()[1:]}, "cautions", "caution_unanswered"),
    ({}, {"cautions": opened("lymphoedema")}, "cautions.12.reason", "caution_reason_missing"),
    (
        {},
        {"cautions": opened("lymphoedema", reason="other")},
        "cautions.12.reason_words",
        "caution_reason_words_missing",
    ),
    (
        {"when": "never", "highest": 0},
        {
            "cautions": answered("uncontrolled_pressure"),
            "exercises": (),
            "exercise_days_a_week": 0,
            "chair_stand": "alone",
        },
        "chair_stand",
        "chair_stand_blocked",
    ),
    (
        {},
        {"known_signs": (replace(GIVES_WAY, stays_closed=None, stays_open=("standing",)),)},
        "known_signs.0.support",
        "known_sign_support_missing",
    ),
    (
        {},
        {"known_signs": (replace(GIVES_WAY, stays_closed=None),)},
        "known_signs.0.stays_open",
        "known_sign_open_missing",
    ),
    (
        {},
        {"known_signs": (replace(GIVES_WAY, stays_open=("standing",), support="nothing"),)},
        "known_signs.0.stays_closed",
        "known_sign_open_both",
    ),
    (
        {"when": "never", "highest": 0},
        {"known_signs": (GIVES_WAY,), "side": "both"},
        "known_signs.0.side",
        "known_sign_knee_missing",
    ),
    (
        {},
        {"known_signs": (replace(GIVES_WAY, side="left"),)},
        "known_signs.0.side",
        "known_sign_knee_not_in_plan",
    ),
    (
        {},
        {"known_signs": (replace(GIVES_WAY, review_by=DAY - timedelta(days=1)),)},
        "known_signs.0.review_by",
        "known_sign_review_passed",
    ),
    (
        {},
        {"open_signs": (replace(STUCK, answer="known"),)},
        "open_signs.0",
        "open_sign_not_known",
    ),
    (
        {},
        {"open_signs": (replace(STUCK, sign="chest_or_breath", answer="go_on"),)},
        "open_signs.0",
        "open_sign_must_be_seen",
    ),
    (
        {},
        {"cautions": (*no_to_all(), CautionAnswer(caution="no_such", answer=False, on=DAY))},
        f"cautions.{len(no_to_all())}",
        "caution_unknown",
    ),
    ({}, {"replacement": "listed"}, "replacement_on", "replacement_date_missing"),
    (
        {},
        {"replacement": "listed", "replacement_on": date(2026, 6, 1)},
        "tape.stay_bare_from",
        "tape_past_replacement",
    ),
    (
        {},
        {"amounts": (AmountPlan(label="walk", unit="m", baseline=200, goal=100),)},
        "amounts.0.goal",
        "goal_not_above_baseline",
    ),
    (
        {},
        {"known_signs": (KnownSign(sign="no_such", since=DAY),)},
        "known_signs.0",
        "known_sign_unknown",
    ),
    (
        {},
        {"known_signs": (KnownSign(sign="fever", since=DAY),)},
        "known_signs.0",
        "known_sign_not_allowed",
    ),
    (
        {},
        {"knees": knee(bump_to_upper_edge_mm=251)},
        "knees.0.bump_to_upper_edge_mm",
        "measure_refused",
    ),
    (
        {"when": "never", "highest": 0},
        {"trial": trial(), **AFTER},
        "trial",
        "trial_without_tape",
    ),
    ({}, {"trial": trial(side="left"), **AFTER}, "trial.side", "trial_side_not_in_plan"),
    ({}, {"trial": trial(first_day=DAY), **AFTER}, "trial.first_day", "trial_not_ahead"),
    ({"rest_hours": 25}, {"trial": trial(), **AFTER}, "tape.rest_hours", "trial_rest_too_long"),
    ({"wear_hours": 71}, {"trial": trial(), **AFTER}, "tape.wear_hours", "trial_due_too_short"),
    (
        {"wear_hours": 47, "cap_hours": 48},
        {"trial": trial(scored_days=2), **AFTER},
        "tape.wear_hours",
        "trial_due_too_short",
    ),
    ({}, {"trial": trial(), "review_on": LAST_DAY}, "review_on", "trial_past_review"),
    (
        {"stay_bare_from": LAST_DAY},
        {"trial": trial(), **AFTER},
        "tape.stay_bare_from",
        "trial_past_bare",
    ),
    (
        {"stay_bare_from": LAST_DAY + timedelta(days=1)},
        {"trial": trial(), **AFTER, "replacement": "deferring", "replacement_on": LAST_DAY},
        "replacement_on",
        "trial_past_replacement",
    ),
]


@pytest.mark.parametrize(
    ("tape", "fields", "field", "code"), FAULTS, ids=[row[3] for row in FAULTS]
)
def test_each_fault_alone(
    tape: dict[str, Any], fields: dict[str, Any], field: str, code: str
) -> None:
    assert found(whole_plan(tape, **fields)) == {(field, code)}


def test_in_a_plan_for_both_knees_a_known_sign_says_which() -> None:
    """What is known of one knee would hide what is new in the other. A sign of no knee has none,
    and a plan for one knee needs no word."""
    both: dict[str, Any] = {"side": "both", "main_side": "right"}
    no_tape = {"when": "never", "highest": 0}
    missing = ("known_signs.0.side", "known_sign_knee_missing")
    for sign in (row for row in CATALOGUE.policy.signs if row.known_since):
        known = replace(GIVES_WAY, sign=sign.sign)
        asked = found(whole_plan(no_tape, known_signs=(known,), **both))
        assert (missing in asked) == sign.known_knee, sign.sign
        for side in get_args(PlanSide):
            said = whole_plan(no_tape, known_signs=(replace(known, side=side),), **both)
            assert missing not in found(said)
        assert found(whole_plan(known_signs=(known,))) == set()


def test_only_what_closes_something_as_before_asks_what_of_it_goes_on() -> None:
    for sign in (row.sign for row in CATALOGUE.policy.signs if row.known_since):
        known = replace(GIVES_WAY, sign=sign, stays_closed=None)
        closes = CATALOGUE.closes_as_before(sign)
        asked = {code for _, code in found(whole_plan(known_signs=(known,)))}
        assert asked == ({"known_sign_open_missing"} if closes else set()), sign
        for part in closes:
            opened = replace(known, stays_open=(part,), support="both_hands")
            assert found(whole_plan(known_signs=(opened,))) == set()


@pytest.mark.parametrize("name", get_args(MoveName))
def test_no_move_is_safe_alone_by_default(name: MoveName) -> None:
    move = CheckMove(name=name, own_words="Kneel down once.")
    assert found(whole_plan(check_move=move)) == {("check_move.safe", "safety_unanswered")}
    assert found(whole_plan(check_move=replace(move, safe="with_someone"))) == set()


def test_an_opened_caution_keeps_its_reason() -> None:
    """A drug, or who agreed, belongs in the plan, not in somebody's memory."""
    for reason in get_args(OverruleReason):
        words = "INR 2.5, her doctor agrees"
        kept = whole_plan(cautions=opened("blood_thinner", reason=reason, reason_words=words))
        assert found(kept) == set()
    assert found(whole_plan(cautions=answered("lives_alone", allowed=True))) == set(), "closes none"


def test_an_exercise_that_does_not_go_with_a_caution_is_named_and_left_out() -> None:
    """A kneecap that slips: not the forms that go to the end of straightening (common practice)."""
    ends = replace(EXERCISE, exercise="seated_straightening")
    care_plan = whole_plan(
        {"when": "never", "highest": 0},
        techniques=(),
        hands_days_a_week=0,
        exercises=(EXERCISE, ends),
        cautions=answered("kneecap_slips_out"),
    )
    assert found(care_plan) == {("exercises.1", "exercise_blocked")}
    assert playable_exercises(care_plan, "right", CATALOGUE, (), DAY) == (EXERCISE,)


def test_a_recent_fracture_blocks_the_exercise_too() -> None:
    care_plan = whole_plan({"when": "never", "highest": 0}, cautions=answered("recent_fracture"))
    assert found(care_plan) == {
        ("techniques.0", "technique_blocked"),
        ("exercises.0", "exercise_blocked"),
    }


ADVICE: list[tuple[dict[str, Any], dict[str, Any], set[tuple[str, str]]]] = [
    (
        {},
        {"exercises": (), "exercise_days_a_week": 0},
        {("exercises", "no_exercise")},
    ),
    (
        {},
        {"exercises": ()},
        {("exercises", "no_exercise"), ("exercise_days_a_week", "exercise_days_without_exercise")},
    ),
    ({}, {"exercise_days_a_week": 0}, {("exercise_days_a_week", "exercises_without_days")}),
    ({}, {"bad_day_mark": 5}, {("bad_day_mark", "bad_day_mark_low")}),
    ({}, {"hands_days_a_week": 0}, {("hands_days_a_week", "hands_without_days")}),
    ({}, {"techniques": ()}, {("hands_days_a_week", "hands_days_without_hands")}),
    ({}, {"knees": ()}, {("knees", "measure_missing")}),
    (
        {"when": "never", "highest": 0},
        {
            "cautions": answered("uncontrolled_pressure"),
            "exercises": (),
            "exercise_days_a_week": 0,
        },
        {("check_move.name", "check_move_blocked"), ("exercises", "no_exercise")},
    ),
    ({}, {"cautions": answered("weak_hands")}, {("helper_days", "helper_days_missing")}),
    (
        {},
        {"cautions": answered("weak_hands"), "helper_days": ("monday",)},
        {("hands_days_a_week", "more_hands_days_than_helper_days")},
    ),
    (
        {},
        {"knees": knee(bump_to_upper_edge_mm=161)},
        {("knees.0.bump_to_upper_edge_mm", "measure_unusual")},
    ),
    ({"anchor_mm": 60.0}, {}, {("tape.anchor_mm", "anchors_fill_strip")}),
    (
        {},
        {"techniques": (replace(TECHNIQUE, seconds=600),)},
        {("techniques.0", "technique_over_range")},
    ),
    ({}, {"exercises": (replace(EXERCISE, sets=10),)}, {("exercises.0", "exercise_over_range")}),
]


@pytest.mark.parametrize(("tape", "fields", "expected"), ADVICE)
def test_advice_blocks_nothing(
    tape: dict[str, Any], fields: dict[str, Any], expected: set[tuple[str, str]]
) -> None:
    """Hands or tape but no exercise is said, not forbidden: guidelines put exercise first."""
    care_plan = whole_plan(tape, **fields)
    assert found(care_plan) == set()
    assert found(care_plan, advice=True) == expected


def test_every_code_can_be_found() -> None:
    tested = {row[3] for row in FAULTS} | {code for row in ADVICE for _, code in row[2]}
    with_others = {"exercise_blocked", "trial_cap_too_short", "trial_fixed", "trial_not_as_fixed"}
    assert tested | with_others == set(get_args(FaultCode))


# ---------------------------------------------------------------- the tape trial
# Offered only if rest fits the bare day, wear due covers the period (facts: trial_pairs,
# trial_bare_day).


@pytest.mark.parametrize(
    ("tape", "fields"),
    [
        ({"rest_hours": 24}, {"trial": trial()}),
        ({"wear_hours": 72, "cap_hours": 72}, {"trial": trial()}),
        ({"wear_hours": 48, "second_wear_hours": 48}, {"trial": trial(pairs=10, scored_days=2)}),
        ({"stay_bare_from": LAST_DAY + timedelta(days=1)}, {"trial": trial()}),
    ],
)
def test_a_trial_that_fits_is_no_fault(tape: dict[str, Any], fields: dict[str, Any]) -> None:
    assert found(whole_plan(tape, **fields, **AFTER)) == set()


def test_a_cap_inside_a_scored_period_is_named_too() -> None:
    short = {"wear_hours": 71, "cap_hours": 71}
    assert found(whole_plan(short, trial=trial(), **AFTER)) == {
        ("tape.wear_hours", "trial_due_too_short"),
        ("tape.cap_hours", "trial_cap_too_short"),
    }


def test_a_trial_that_has_begun_goes_on_or_ends_and_is_never_changed() -> None:
    first = whole_plan(trial=trial(), **AFTER)
    for days, running in ((0, False), (1, True), (64, True), (65, False)):
        assert (running_trial(first, DAY + timedelta(days=days)) is not None) == running
    later: dict[str, Any] = {"version": 2, "written_on": DAY + timedelta(days=20)}

    def codes(second: Plan) -> set[str]:
        return {fault.code for fault in faults(second, CATALOGUE, first)}

    assert codes(replace(first, **later)) == set()
    assert codes(replace(first, **later, trial=None)) == set()
    for changed in (
        trial(pairs=9),
        trial(first_day=DAY + timedelta(days=21)),
        trial("two"),
    ):
        assert "trial_fixed" in codes(replace(first, **later, trial=changed))
    # Nobody began it: until its first day it may still be another.
    before: dict[str, Any] = {"version": 2, "written_on": DAY}
    assert codes(replace(first, **before, trial=trial(pairs=7))) == set()


@pytest.mark.parametrize(
    "wrong", [{"schedule_sha256": "0" * 64}, {"seed": "  "}, {"first_day": date(9999, 12, 1)}]
)
def test_a_trial_that_is_not_as_it_was_fixed_is_named_and_does_not_run(wrong: Any) -> None:
    faulty = whole_plan(trial=replace(trial(), **wrong), **AFTER)
    assert found(faulty) == {("trial", "trial_not_as_fixed")}
    assert running_trial(faulty, DAY + timedelta(days=5)) is None
    later = replace(faulty, version=2, written_on=DAY + timedelta(days=5), trial=None)
    assert faults(later, CATALOGUE, faulty) == faults(later, CATALOGUE)


def test_faults_come_first() -> None:
    care_plan = whole_plan({"start": 2, "highest": 1}, exercises=(), exercise_days_a_week=0)
    assert [fault.advice for fault in faults(care_plan, CATALOGUE)] == [False, True]


def techniques(care_plan: Plan, day: int = 0, **more: Any) -> list[str]:
    today = DAY + timedelta(days=day)
    return [
        one.technique
        for one in playable_techniques(
            care_plan, "right", CATALOGUE, more.pop("entries", ()), today, **more
        )
    ]


def test_only_what_was_taught_and_is_not_blocked_can_be_played() -> None:
    assert techniques(WHOLE) == ["glide_inner_edge"]
    assert techniques(WHOLE, day=-1) == [], "taught the day after"
    assert techniques(whole_plan(techniques=(replace(TECHNIQUE, taught_on=None),))) == []
    assert techniques(whole_plan(techniques=(replace(TECHNIQUE, technique="no_such"),))) == []
    assert techniques(whole_plan(cautions=())) == []
    assert techniques(whole_plan(cautions=answered("clot"))) == []
    assert techniques(WHOLE, day=1, entries=(event(0),)) == []
    flaring = whole_plan(cautions=answered("inflamed_arthritis"))
    assert techniques(flaring) == ["glide_inner_edge"]
    assert techniques(flaring, in_flare=True) == []


def test_exercises() -> None:
    today = DAY + timedelta(days=1)
    assert playable_exercises(WHOLE, "right", CATALOGUE, (), today) == WHOLE.exercises
    assert playable_exercises(WHOLE, "right", CATALOGUE, (event(0),), today) == ()
    untaught = whole_plan(exercises=(replace(EXERCISE, taught_on=None),))
    assert playable_exercises(untaught, "right", CATALOGUE, (), today) == ()
    # A caution that guards hands alone leaves the exercise.
    clot = whole_plan(cautions=answered("clot"))
    assert playable_exercises(clot, "right", CATALOGUE, (), today) == clot.exercises
