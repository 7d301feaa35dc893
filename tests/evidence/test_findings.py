"""Findings of whole diaries: the contract's keys, one rule at a time."""

import json
import re
import subprocess
import sys
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any, get_args

import pytest
from hypothesis import given, settings
from jsonschema import Draft202012Validator

from companion.care.coded import KnownFault
from companion.care.levels import PARTS
from companion.care.records import (
    Amount,
    AmountPlan,
    Diary,
    HandsRound,
    Measurement,
    Question,
    StepDone,
)
from companion.evidence.change_model import fits, series_of
from companion.evidence.figures import (
    BecauseCode,
    Better,
    CannotTell,
    Kept,
    TapeWorth,
    TrialLimitation,
    UnsafeTold,
    Why,
)
from companion.evidence.findings import as_json, sides
from companion.evidence.sources import SOURCES
from companion.presentation.language.said import said_words
from companion.presentation.language.verdict_words import amount_words
from tests import strategies
from tests.builders import (
    DAY,
    answers,
    at,
    diary,
    event,
    new_id,
    page,
    pages,
    patch_test,
    plan,
    session,
    tape_off,
    tape_on,
    warning,
)
from tests.care.content import FACTS
from tests.care.test_trial_days import trial_of
from tests.evidence.diaries import diaries
from tests.found import findings

ROOT = Path(__file__).parents[2]
SCHEMA: dict[str, Any] = json.loads(
    ROOT.joinpath("resources", "schemas", "findings-1.schema.json").read_text(encoding="utf-8")
)
VALIDATOR = Draft202012Validator(SCHEMA, format_checker=Draft202012Validator.FORMAT_CHECKER)

# The contract's keys, typed from it and not from the code.
CONTRACT: dict[str, set[str] | None] = {
    "side": None,
    "verdicts": {"better", "kept", "tape", "unsafe"},
    "period": {"first_day", "last_day", "days"},
    "diary": {
        "days_kept",
        "days_expected",
        "kept_percent",
        "late_entries",
        "longest_gap_days",
    },
    "routine": {"sessions_done", "sessions_prescribed", "done_percent", "stopped", "left"},
    "exercise": {"sessions_done", "sessions_prescribed", "done_percent", "stopped", "left"},
    "pain": {
        "measure",
        "model",
        "baseline",
        "latest",
        "change_points",
        "change_percent",
        "low",
        "high",
        "band",
        "beyond_measurement_error",
        "acceptable_state",
        "trend",
        "flares",
        "nap",
    },
    "ease": {
        "sessions",
        "sessions_scored",
        "target_percent",
        "met",
        "met_percent",
        "median_percent",
        "by_stage",
    },
    "activities": None,
    "activities_mean": {"baseline", "latest", "change", "beyond_measurement_error"},
    "tape": {"applications", "days_worn", "overdue", "skin_events"},
    "trial": None,
    "warnings": None,
    "events": None,
    "chair_stand": None,
    "cannot_tell": None,
}


def stand(day: int, count: int, **fields: Any) -> Measurement:
    return Measurement(
        id=new_id(),
        for_day=DAY + timedelta(days=day),
        written_at=at(day),
        written_by="clinic",
        plan_version=1,
        count=count,
        **fields,
    )


def unknown(found: Any, finding: str) -> list[CannotTell]:
    return [item for item in found.cannot_tell if item.finding == finding]


# ---------------------------------------------------------------- shape


@given(diaries())
def test_any_diary_gives_findings_that_meet_the_schema(made: Diary) -> None:
    for side in sides(made):
        plain: Any = as_json(findings(made, side), FACTS, said_words)
        errors = [error.message for error in VALIDATOR.iter_errors(plain)]
        assert errors == []
        # No NaN and no infinity, and nothing that changes on the way through a file.
        assert json.loads(json.dumps(plain, allow_nan=False)) == plain
        for item in plain["cannot_tell"]:
            assert {"finding", "why", "have", "need"} <= set(item)


def test_the_schema_knows_each_code_of_a_reason() -> None:
    known = SCHEMA["$defs"]
    assert known["unknown"]["properties"]["why"]["enum"] == list(get_args(Why))
    codes = [code for part in get_args(BecauseCode) for code in get_args(part) or (part,)]
    assert known["because"]["properties"]["code"]["enum"] == codes
    for key, told in {
        "better": Better,
        "kept": Kept,
        "tape": TapeWorth,
        "unsafe": UnsafeTold,
    }.items():
        verdict = SCHEMA["properties"]["verdicts"]["properties"][key]
        assert verdict["properties"]["verdict"]["enum"] == list(get_args(told))
    limits = known["trial"]["properties"]["limitations"]["items"]["enum"]
    assert limits == list(get_args(TrialLimitation))


@settings(max_examples=12)
@given(strategies.diaries(most_entries=20))
def test_any_diary_of_the_file_form_gives_findings_that_meet_the_schema(made: Diary) -> None:
    for side in sides(made):
        assert VALIDATOR.is_valid(as_json(findings(made, side), FACTS, said_words))


@settings(max_examples=25)
@given(diaries())
def test_the_order_of_entries_does_not_matter(made: Diary) -> None:
    turned = replace(made, entries=tuple(reversed(made.entries)))
    assert findings(turned) == findings(made)


@settings(max_examples=25)
@given(diaries())
def test_what_is_null_is_said_to_be_unknown(made: Diary) -> None:
    found = findings(made)
    said = {item.finding for item in found.cannot_tell}
    nulls = {
        "pain.change_points": found.pain.change_points,
        "pain.baseline": found.pain.baseline.mean,
        "pain.latest": found.pain.latest.mean,
        "routine.sessions_prescribed": found.routine.sessions_prescribed,
        "exercise.sessions_prescribed": found.exercise.sessions_prescribed,
        "routine.done_percent": found.routine.done_percent,
        "exercise.done_percent": found.exercise.done_percent,
        "ease.met_percent": found.ease.met_percent,
        "ease.median_percent": found.ease.median_percent,
        "period": found.period.first_day,
        "pain.low": found.pain.low,
        "pain.high": found.pain.high,
        "pain.trend": found.pain.trend.slope_per_week,
        "pain.nap": found.pain.nap.value,
        "pain.limits": found.pain.limits.spread,
        "pain.process_chart": found.pain.process_chart.centre,
    }
    assert {key for key, value in nulls.items() if value is None} == said & set(nulls)
    assert ("pain.signal_decision" in said) is (found.pain.signal_decision == "no_decision")
    for item in found.cannot_tell:
        # Two are limits from above: an age past the table, a mean with no room over it.
        if item.why not in {"no_value_for_age", "rise_not_recordable"}:
            assert item.have < item.need


def test_every_key_of_the_contract_is_there_even_in_an_empty_diary() -> None:
    plain: Any = as_json(findings(diary()), FACTS, said_words)
    for key, inner in CONTRACT.items():
        assert key in plain
        assert key in SCHEMA["required"]
        if inner is not None:
            assert inner <= set(plain[key]), key
    assert set(plain["pain"]["trend"]) >= {"slope_per_week", "low", "high", "weeks", "verdict"}
    assert set(plain["pain"]["nap"]) >= {"value", "low", "high"}
    assert plain["pain"]["trend"]["verdict"] == "too_short"
    assert plain["trial"] is None  # a plan without a trial lacks nothing
    assert "trial" not in {item["finding"] for item in plain["cannot_tell"]}
    assert set(plain["pain"]["baseline"]) >= {"days", "mean"}
    run = {
        "first_day",
        "last_day",
        "before",
        "after",
        "change",
        "low",
        "high",
        "p_lower",
        "p_higher",
    }
    assert set(plain["pain"]["model"]) == run | {"p_same", "worse_from", "bad_spell", "from_day_15"}
    assert all(set(each) == {"verdict", "because", "need"} for each in plain["verdicts"].values())


def test_the_schema_is_a_schema_and_refuses_what_is_missing_or_renamed() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    whole: Any = as_json(findings(diary(pages("5 5"))), FACTS, said_words)
    for key, inner in CONTRACT.items():
        assert not VALIDATOR.is_valid({name: whole[name] for name in whole if name != key})
        for name in inner or ():
            part = {other: whole[key][other] for other in whole[key] if other != name}
            assert not VALIDATOR.is_valid(whole | {key: part}), (key, name)
    assert VALIDATOR.is_valid(whole | {"added": 1})


def test_each_figure_carries_its_method_its_number_and_its_source() -> None:
    found = findings(diary(pages("5 5 5")))
    assert set(found.provenance) == set(SOURCES)
    assert found.provenance["pain.baseline"].n == 3
    assert all(
        said_words(item.method) and FACTS.of(item.facts) for item in found.provenance.values()
    )
    told: Any = as_json(found, FACTS, said_words)["provenance"]
    assert told["pain.acceptable_state"]["source"] == "Tubach 2005, Ann Rheum Dis 64:34"
    assert told["pain.acceptable_state"]["status"] == "F"
    # A review found no agreed definition; which days leave our count is our choice, and less sure.
    assert told["routine"]["source"] == "Bailey 2020, Br J Sports Med 54:326; our choice, no source"
    assert told["routine"]["status"] == "C"


def test_nothing_heavy_is_loaded_before_a_finding_needs_it() -> None:
    # Of the trade’s numbers only t and the exact distribution need numpy: a
    # diary of a few days has none of them, and the way to the front page never asks for findings.
    heavy = "{'numpy', 'scipy', 'pydantic', 'PySide6', 'pyqtgraph'}"
    code = f"""
import sys
from tests.found import findings
from tests.builders import diary, pages
found = findings(diary(pages("5 6 4 - 5 5 7 5 5 4 6 - 5 5 5 4 5")))
assert found.pain.limits.spread is not None
sys.exit(bool({heavy} & set(sys.modules)))
"""
    assert subprocess.run([sys.executable, "-c", code], check=False, cwd=ROOT).returncode == 0


def test_each_figure_carries_the_days_it_rests_on() -> None:
    made = diary(pages([5] * 40), event(50, "fall"))
    known = findings(made).provenance

    def days(key: str) -> tuple[Any, Any]:
        first, last = known[key].first_day, known[key].last_day
        assert first is not None
        assert last is not None
        return (first - DAY).days, (last - DAY).days

    assert days("period") == days("pain.change_points") == days("pain.trend") == (0, 39)
    assert days("pain.baseline") == (0, 13)
    assert days("pain.latest") == days("pain.acceptable_state") == (26, 39)
    assert days("pain.limits") == (12, 39)
    assert days("events") == (0, 50)
    nothing = findings(diary()).provenance["pain.baseline"]
    assert (nothing.n, nothing.first_day, nothing.last_day) == (0, None, None)


# ---------------------------------------------------------------- which knee, which plan


def test_a_single_plan_names_its_knee() -> None:
    assert findings(diary(plans=[plan(side="left", main_side="left")])).side == "left"


def test_a_plan_for_both_has_a_main_knee() -> None:
    both = plan(side="both", main_side="left")
    made = diary(pages("3 3", side="left"), pages("8 8 8", side="right"), plans=[both])
    assert findings(made).side == "left"
    assert findings(made).pain.baseline.mean == 3
    assert findings(made, "right").pain.baseline.mean == 8
    assert findings(made, "right").period.days == 3
    assert sides(made) == ("left", "right")


def test_a_knee_no_plan_treats_is_refused_in_one_sentence() -> None:
    with pytest.raises(KnownFault) as refused:
        findings(diary(), "left")
    assert (
        said_words(refused.value.said) == "The plan is for the right knee, not for the left knee."
    )


def test_the_knee_of_an_earlier_version_can_still_be_read() -> None:
    plans = [plan(), plan(version=2, side="left", main_side="left")]
    made = diary(pages("5 5"), plans=plans)
    assert sides(made) == ("left", "right")
    assert findings(made).period.days == 0
    assert findings(made, "right").period.days == 2


# ---------------------------------------------------------------- period and diary


def test_no_pages() -> None:
    found = findings(diary(session(0, 6, 3)))
    assert (found.period.first_day, found.period.last_day, found.period.days) == (None, None, 0)
    assert found.diary.kept_percent is None
    assert found.diary.longest_gap_days is None
    assert found.ease.sessions == 1
    assert unknown(found, "period")[0].why == "no_day_pages"
    assert unknown(found, "pain.change_points")[0].why == "no_day_pages"


def test_one_day() -> None:
    found = findings(diary(page(0, pain_average=4)))
    assert (found.period.days, found.diary.days_kept, found.diary.kept_percent) == (1, 1, 100)
    assert (found.pain.baseline.mean, found.pain.latest.mean) == (4, 4)
    assert found.pain.change_points is None
    (item,) = unknown(found, "pain.change_points")
    assert (item.why, item.have, item.need) == ("windows_share_days", 1, 28)


def test_a_page_without_pain_extends_the_period_but_is_not_kept() -> None:
    found = findings(diary(page(0, pain_average=4), page(9, medicine=True)))
    assert (found.period.days, found.diary.days_expected, found.diary.days_kept) == (10, 10, 1)
    assert found.diary.kept_percent == 10
    assert found.diary.longest_gap_days == 9


def test_any_pain_value_keeps_a_day() -> None:
    found = findings(diary(page(0, pain_now=4), page(1, pain_worst=0), page(2, pain_average=1)))
    assert found.diary.days_kept == 3
    assert found.pain.baseline.days == 1  # the measure is average


def test_the_longest_gap_lies_between_kept_days() -> None:
    found = findings(diary(pages("4 - - 4 - - - 4 4")))
    assert found.diary.longest_gap_days == 3


def test_late_pages_are_counted_and_counted_in() -> None:
    # Day 0 is late from 03:00 of day 2 on. A page copied from paper is never late.
    made = diary(
        page(0, pain_average=2, written_at=at(2, 2, 59)),
        page(1, pain_average=4, written_at=at(3, 3, 0)),
        page(2, pain_average=6, written_at=at(30), written_by="paper"),
    )
    found = findings(made)
    assert found.diary.late_entries == 1
    assert found.pain.baseline.mean == 4


def test_a_correction_counts_and_its_original_does_not() -> None:
    wrong = page(0, pain_average=9)
    right = page(0, pain_average=2, replaces=wrong.id, written_at=at(0, 19))
    assert findings(diary(wrong, right)).pain.baseline.mean == 2


def test_of_two_pages_for_one_day_the_later_written_counts() -> None:
    made = diary(
        page(0, pain_average=9, written_at=at(0, 20)), page(0, pain_average=1, written_at=at(0, 19))
    )
    found = findings(made)
    assert (found.pain.baseline.days, found.pain.baseline.mean) == (1, 9)


# ---------------------------------------------------------------- pain


def test_the_plans_measure_is_read() -> None:
    made = diary(page(0, pain_average=2, pain_worst=7), plans=[plan(measure="worst")])
    assert findings(made).pain.measure == "worst"
    assert findings(made).pain.baseline.mean == 7


def test_change_of_two_full_windows() -> None:
    found = findings(diary(pages([6] * 14 + [4] * 14))).pain
    assert (found.baseline.days, found.latest.days) == (14, 14)
    assert found.change_points == -2
    assert found.change_percent == pytest.approx(-100 / 3)
    assert found.band == "clear_better"
    assert found.beyond_measurement_error is True
    assert found.acceptable_state is False


def test_twenty_seven_days_share_one() -> None:
    found = findings(diary(pages([6] * 14 + [4] * 13)))
    assert found.pain.change_points is None
    assert found.pain.band is None
    (item,) = unknown(found, "pain.change_points")
    assert (item.why, item.have, item.need) == ("windows_share_days", 27, 28)


@pytest.mark.parametrize(("missing", "known"), [(4, True), (5, False)])
def test_ten_recorded_days_in_each_window(missing: int, known: bool) -> None:
    row: list[int | None] = [*[6] * 14, *[4] * 14]
    row[5 : 5 + missing] = [None] * missing
    found = findings(diary(pages(row)))
    assert (found.pain.change_points is not None) is known
    if not known:
        (item,) = unknown(found, "pain.change_points")
        assert (item.why, item.have, item.need) == ("too_few_recorded_days", 9, 10)
        assert found.pain.baseline.mean == 6


def test_windows_go_by_the_calendar_not_by_recorded_days() -> None:
    # Five pages in the first fourteen days: the sixth, on day 20, is in no window.
    found = findings(diary(pages("6 6 6 6 6"), page(20, pain_average=0), pages("2 2", first=40)))
    assert (found.pain.baseline.days, found.pain.baseline.mean) == (5, 6)
    assert (found.pain.latest.days, found.pain.latest.mean) == (2, 2)


def test_all_zero() -> None:
    found = findings(diary(pages([0] * 40)))
    assert found.pain.change_points == 0
    assert found.pain.change_percent is None
    assert found.pain.band == "little"
    assert found.pain.acceptable_state is True
    (item,) = unknown(found, "pain.change_percent")
    assert item.why == "baseline_zero"
    assert unknown(found, "pain.change_points") == []


def test_from_nothing_to_something_is_judged_by_points() -> None:
    found = findings(diary(pages([0] * 14 + [2] * 14)))
    assert found.pain.band == "clear_worse"


def test_all_the_same() -> None:
    found = findings(diary(pages([5] * 60)))
    assert (found.pain.change_points, found.pain.change_percent) == (0, 0)
    assert found.pain.beyond_measurement_error is False
    assert found.pain.flares == ()
    assert found.diary.longest_gap_days == 0


def test_a_share_within_the_error_of_a_rating_is_never_clear() -> None:
    # 1.0 to 0.5: half a point, but half of it. Clear by the share of Salaffi 2004 (F), within the
    # error of Alghadir 2018 (F); that the error comes first is our choice (C).
    found = findings(diary(pages([1] * 14 + [0, 1] * 7)))
    assert found.pain.change_points == -0.5
    assert found.pain.band == "slight_better"
    assert found.pain.beyond_measurement_error is False


def test_too_few_days_for_a_usual() -> None:
    (item,) = unknown(findings(diary(pages("5 5 8 8"))), "pain.flares")
    assert (item.why, item.have, item.need) == ("too_few_earlier_days", 3, 7)


# ---------------------------------------------------------------- routine and exercise


def hands_round(outcome: Any = "done") -> tuple[HandsRound, ...]:
    return (HandsRound(steps=(StepDone(step="glide_upper_edge", outcome=outcome),)),)


def exercises(outcome: Any = "done") -> tuple[StepDone, ...]:
    return (StepDone(step="heel_slide", outcome=outcome),)


def test_prescribed_is_days_a_week_over_the_days_from_the_first_entry_to_the_last() -> None:
    found = findings(diary(pages([5] * 56)))
    assert found.routine.sessions_prescribed == 40
    assert found.exercise.sessions_prescribed == 40
    # Two routines and no day page: days 3 to 9 are seven, 5 a week.
    kept = findings(diary(session(3, 6, 3, exercises=exercises()), session(9, 6, 3)))
    assert (kept.period.days, kept.diary.days_expected) == (0, 0)
    assert (kept.routine.sessions_done, kept.routine.sessions_prescribed) == (2, 5)
    assert (kept.exercise.sessions_done, kept.exercise.sessions_prescribed) == (1, 5)
    assert kept.routine.done_percent == 40
    assert (kept.routine.first_day, kept.routine.last_day) == (
        DAY + timedelta(days=3),
        DAY + timedelta(days=9),
    )
    known = kept.provenance["routine"]
    assert (known.first_day, known.last_day) == (kept.routine.first_day, kept.routine.last_day)


def test_an_entry_of_any_kind_spans_the_days_that_are_counted() -> None:
    made = diary(pages([5] * 7), event(-5, "fall"), event(13, "fall"))
    assert findings(made).period.days == 7
    # Days 0 to 13 under the plan; what was written before it prescribes nothing.
    assert findings(made).routine.sessions_prescribed == 10


def test_only_a_plan_that_prescribes_none_says_none() -> None:
    for made, why in (
        (diary(), "no_entry_under_plan"),
        (diary(page(-3, pain_average=5)), "no_entry_under_plan"),
        (diary(event(0, "injection"), page(3, pain_average=5)), "every_day_left_out"),
        (
            diary(page(0, pain_average=5), plans=[plan(hands_days_a_week=3)]),
            "too_few_for_one_prescribed",
        ),
    ):
        found = findings(made)
        assert found.routine.sessions_prescribed is None, why
        assert found.routine.done_percent is None
        assert unknown(found, "routine.done_percent")[0].why == why
        assert unknown(found, "routine.sessions_prescribed")[0].why == why
    for entries in ([], [page(0, pain_average=5)]):
        none = findings(diary(entries, plans=[plan(hands_days_a_week=0)]))
        assert none.routine.sessions_prescribed == 0
        assert unknown(none, "routine.sessions_prescribed") == []


def test_a_knee_that_came_later_is_prescribed_nothing_before() -> None:
    plans = [
        plan(hands_days_a_week=7),
        plan(version=2, side="both", hands_days_a_week=7, written_on=DAY + timedelta(days=14)),
    ]
    made = diary(pages([5] * 28), plans=plans)
    assert findings(made, "right").routine.sessions_prescribed == 28
    assert findings(made, "left").routine.sessions_prescribed == 14


@pytest.mark.parametrize(("days", "prescribed"), [(1, 1), (2, 1), (7, 5), (10, 7), (30, 21)])
def test_prescribed_is_rounded_to_the_nearest(days: int, prescribed: int) -> None:
    # 5 a week: .71, 1.43, 5, 7.14, 21.43.
    found = findings(diary(pages([5] * days)))
    assert found.routine.sessions_prescribed == prescribed


def test_a_plan_change_in_the_middle_counts_from_its_day() -> None:
    plans = [
        plan(hands_days_a_week=7),
        plan(version=2, written_on=DAY + timedelta(days=14), hands_days_a_week=0),
    ]
    found = findings(diary(pages([5] * 28), plans=plans))
    assert found.routine.sessions_prescribed == 14


def test_done_counts_days_once_from_sessions_and_paper() -> None:
    made = diary(
        pages([5] * 7),
        session(0, 6, 3),
        session(0, 5, 4),
        session(1, rounds=hands_round()),
        session(2, rounds=hands_round("skipped")),
        session(3, 6),
        page(4, pain_average=5, hands_done=True, written_at=at(4, 20)),
        page(0, pain_average=5, hands_done=True, written_at=at(0, 20)),
    )
    found = findings(made)
    assert found.routine.sessions_done == 3
    assert found.routine.sessions_prescribed == 5
    assert found.routine.done_percent == 60


def test_clinic_sessions_are_not_the_home_routine() -> None:
    made = diary(pages([5] * 7), session(0, 6, 3, place="clinic", exercises=exercises()))
    found = findings(made)
    assert (found.routine.sessions_done, found.exercise.sessions_done) == (0, 0)


def test_a_session_before_the_plan_is_not_counted_and_one_after_the_last_page_is() -> None:
    made = diary(pages([5] * 7), session(-1, 6, 3), session(7, 6, 3, ended="left"))
    found = findings(made)
    assert (found.routine.sessions_done, found.routine.left) == (1, 1)


def test_hands_and_exercise_are_counted_apart() -> None:
    made = diary(
        pages([5] * 14),
        session(0, 6, 3, ended="stopped"),
        session(1, exercises=exercises(), ended="left"),
        session(2, exercises=exercises("skipped")),
        page(3, pain_average=5, exercise_done=True, written_at=at(3, 20)),
    )
    found = findings(made)
    assert (found.routine.sessions_done, found.exercise.sessions_done) == (1, 2)
    assert (found.routine.stopped, found.routine.left) == (1, 1)
    assert (found.exercise.stopped, found.exercise.left) == (0, 1)


def test_more_than_prescribed_is_not_capped() -> None:
    made = diary(
        pages([5] * 7), [session(day, 6, 3) for day in range(7)], plans=[plan(hands_days_a_week=2)]
    )
    assert findings(made).routine.done_percent == 350


def test_days_done_that_are_left_out_are_told_apart() -> None:
    # A week, two days of it under tape, hands done on all: 5 x 5 / 7 = 3.57.
    worn: dict[str, Any] = {"tape_worn": True, "written_by": "paper"}
    made = diary(
        pages([5] * 5), pages("5 5", first=5, **worn), [session(day, 6, 3) for day in range(7)]
    )
    found = findings(made).routine
    assert (found.sessions_done, found.sessions_prescribed) == (7, 4)
    assert (found.days_counted, found.done_on_days_left_out) == (5, 2)
    assert findings(made).exercise.done_on_days_left_out == 0


def test_nothing_prescribed_has_no_percent() -> None:
    found = findings(diary(pages([5] * 7), plans=[plan(hands_days_a_week=0)]))
    assert found.routine.done_percent is None
    assert unknown(found, "routine.done_percent")[0].why == "nothing_prescribed"


def test_rest_after_an_injection_leaves_the_count() -> None:
    whole = findings(diary(pages([5] * 28)))
    rested = findings(diary(pages([5] * 28), event(7, "injection", side="right")))
    assert whole.routine.sessions_prescribed == 20
    assert rested.routine.sessions_prescribed == 15
    assert (whole.routine.days_resting, rested.routine.days_resting) == (0, 7)


def test_a_locked_week_leaves_the_count() -> None:
    ticked = warning(7, written_at=at(7))
    cleared = replace(
        ticked,
        id=new_id(),
        replaces=ticked.id,
        cleared="checked_by_professional",
        cleared_on=DAY + timedelta(days=14),
        written_at=at(14),
    )
    found = findings(diary(pages([5] * 28), ticked, cleared))
    assert found.routine.sessions_prescribed == 15
    assert [(item.sign, item.cleared) for item in found.warnings] == [
        ("knee_stuck", "checked_by_professional")
    ]
    assert (found.closed.days, found.closed.of_days) == (7, 28)
    assert [(one.part, one.days) for one in found.closed.parts] == [(part, 7) for part in PARTS]
    assert [(one.sign, one.rule, one.days) for one in found.closed.by] == [("knee_stuck", "r01", 7)]


def test_closed_days_are_told_by_part_and_by_rule() -> None:
    """Two signs that overlap: days of any, days of each part, and each with its rule."""
    signs = [warning(20, sign="lump", level="call"), warning(24, sign="unwell", level="care")]
    found = findings(diary(pages([5] * 28), *signs)).closed
    assert (found.days, found.of_days) == (8, 28)
    days = {one.part: one.days for one in found.parts}
    assert days == dict.fromkeys(PARTS, 4) | dict.fromkeys(("hands", "tape_on", "outing_tape"), 8)
    assert [(one.sign, one.rule, one.days) for one in found.by] == [
        ("lump", "r01", 8),
        ("unwell", "r06", 4),
    ]
    assert found.by[0].parts == ("hands", "tape_on", "outing_tape")
    assert findings(diary(pages([5] * 28))).closed.by == ()


def test_taped_days_leave_the_count_of_hands() -> None:
    # Paper: seven days worn of 28; (28 - 7) x 5 / 7 = 15.
    worn = [
        page(day, pain_average=5, tape_worn=True, written_by="paper", written_at=at(40))
        for day in range(7)
    ]
    found = findings(diary(pages([5] * 28), worn)).routine
    assert (found.sessions_prescribed, found.days_taped) == (15, 7)


def test_scored_days_of_a_tape_trial_leave_the_count_of_hands() -> None:
    # 28 days of a trial of periods of 1 + 3 days: 21 scored; 7 x 5 / 7 = 5.
    found = findings(diary(pages([5] * 28), plans=[plan(trial=trial_of())]))
    assert (found.routine.sessions_prescribed, found.routine.days_in_trial) == (5, 21)
    assert (found.exercise.sessions_prescribed, found.exercise.days_in_trial) == (20, 0)


# ---------------------------------------------------------------- steps stopped, and paper


def test_steps_stopped_for_pain_are_told_with_their_limit() -> None:
    def hands(*pains: int | None) -> tuple[HandsRound, ...]:
        steps = (StepDone(step="glide", outcome="stopped", pain=pain) for pain in pains)
        return (HandsRound(steps=(*steps, StepDone(step="stroke", outcome="done", pain=3))),)

    made = diary(
        session(4, rest_pain=2, rounds=hands(5, None)),
        session(1, rest_pain=4, exercises=exercises("stopped")),
        session(2, rounds=hands(6, 3), rest_pain=None),
        session(2, rest_pain=0, rounds=hands(9), side="left"),
    )
    plans = [plan(side="both", pain_ceiling=5, stop_amount=2)]
    found = findings(replace(made, plans=tuple(plans)), "right")
    told = [
        ((each.day - DAY).days, each.part, each.step, each.pain, each.limit, each.limit_points)
        for each in found.stopped_steps
    ]
    assert told == [
        (1, "exercise", "heel_slide", None, None, None),
        (2, "hands", "glide", 6, "above_ceiling", 5),
        (2, "hands", "glide", 3, None, None),
        (4, "hands", "glide", 5, "above_rest", 4),
        (4, "hands", "glide", None, None, None),
    ]
    assert found.provenance["stopped_steps"].n == 5
    assert VALIDATOR.is_valid(as_json(found, FACTS, said_words))


def test_what_paper_does_not_ask_is_not_read_as_none() -> None:
    paper: dict[str, Any] = {"written_by": "paper", "written_at": at(30)}
    copied = diary(pages("5 5 5", **paper), session(1, 6, 3, written_by="clinic", place="clinic"))
    alone = findings(copied)
    assert (alone.on_paper.days, alone.on_paper.alone) == (3, True)
    for key in ("warnings", "stopped_steps", "events"):
        (gap,) = unknown(alone, key)
        assert gap.why == "not_asked_on_paper"
    mixed = findings(diary(pages("5 5 5", **paper), page(9, pain_average=4)))
    assert (mixed.on_paper.days, mixed.on_paper.alone) == (3, False)
    assert unknown(mixed, "warnings") == []
    typed = findings(diary(pages("5 5")))
    assert (typed.on_paper.days, typed.on_paper.alone) == (0, False)
    fell = findings(diary(pages("5 5", **paper), event(1, "fall", **paper)))
    assert unknown(fell, "events") == []


# ---------------------------------------------------------------- ease


def test_ease_of_sessions() -> None:
    made = diary(
        session(0, 10, 5),  # half exactly: met
        session(1, 7, 4),  # 42.9 %: missed
        session(2, 8, 6, (1, 4)),  # the last score counts: 50 %, stage 1
        session(3, 8, (1, 6), (2, 2)),  # stage 2
        session(4, 0, 0),  # nothing to ease: not scored
        session(5, 6),  # no after score
        session(6, 4, 6),  # worse: -50 %
        session(7, 2, 1),
    )
    found = findings(made).ease
    assert (found.sessions, found.sessions_scored, found.met) == (7, 6, 4)
    assert found.met_percent == pytest.approx(400 / 6)
    # -50, 42.9, 50, 50, 50, 75
    assert found.median_percent == 50
    assert found.by_stage == {"0": 5, "1": 1, "2": 1}


def test_no_median_below_six_scored_sessions() -> None:
    found = findings(diary(session(day, 6, 3) for day in range(5)))
    assert (found.ease.sessions_scored, found.ease.median_percent) == (5, None)
    (item,) = unknown(found, "ease.median_percent")
    assert (item.why, item.have, item.need) == ("too_few_sessions", 5, 6)


def test_each_session_is_held_against_the_target_of_its_own_plan() -> None:
    plans = [plan(ease_target_percent=30), plan(version=2, ease_target_percent=50)]
    made = diary(session(0, 10, 6, plan_version=1), session(1, 10, 6, plan_version=2), plans=plans)
    found = findings(made).ease
    assert (found.met, found.target_percent) == (1, 50)


def test_moves_that_cannot_be_compared_have_no_ease() -> None:
    found = findings(diary(session(0, 8, 4, comparable=False))).ease
    assert (found.sessions, found.not_comparable, found.met_percent) == (0, 1, None)


def test_clinic_sessions_have_an_ease_and_are_told_apart() -> None:
    found = findings(diary(session(0, 8, 2, place="clinic"), session(1, 8, 6))).ease
    assert (found.sessions, found.clinic_sessions, found.met) == (2, 1, 1)


# ---------------------------------------------------------------- activities


def activity_pages(label: str, row: list[int], first: int = 0, **fields: Any) -> list[Any]:
    return [
        page(
            first + step,
            pain_average=5,
            activities=answers(**{label: score}),
            **fields,
        )
        for step, score in enumerate(row)
    ]


def test_one_activity_needs_three_points() -> None:
    made = activity_pages("stairs", [3] * 14 + [6] * 14)
    found = findings(diary(made, plans=[plan(activities=("stairs",))]))
    (item,) = found.activities
    assert (item.baseline, item.latest, item.change) == (3, 6, 3)
    assert item.beyond_measurement_error is True
    nearly = activity_pages("stairs", [3] * 14 + [6] * 13 + [5])
    (item,) = findings(diary(nearly)).activities
    assert item.beyond_measurement_error is False


def test_the_mean_needs_two_points_over_the_same_activities() -> None:
    made = [
        page(
            day,
            pain_average=5,
            activities=answers(stairs=4 if day < 14 else 6, kneeling=2 if day < 14 else 4)
            if day < 25
            else answers(stairs=6, kneeling=4, market=9),
        )
        for day in range(28)
    ]
    found = findings(diary(made))
    mean = found.activities_mean
    assert mean.labels == ("stairs", "kneeling")
    assert (mean.baseline, mean.latest, mean.change) == (3, 5, 2)
    assert mean.beyond_measurement_error is True
    (item,) = unknown(found, "activities.change")
    assert (item.label, item.why, item.have) == ("market", "too_few_recorded_days", 0)


def test_activities_belong_to_the_person_main_knee_first() -> None:
    both = plan(side="both", main_side="left")
    made = diary(
        page(0, side="left", pain_average=5, activities=answers(stairs=7)),
        page(0, side="right", pain_average=5, activities=answers(stairs=1, kneeling=2)),
        plans=[both],
    )
    for side in ("left", "right"):
        found = findings(made, side)
        assert {item.label: item.baseline for item in found.activities} == {
            "stairs": 7,
            "kneeling": 2,
        }


def test_an_activity_never_scored_is_there_and_unknown() -> None:
    found = findings(diary(pages([5] * 28), plans=[plan(activities=("stairs",))]))
    (item,) = found.activities
    assert (item.label, item.baseline, item.latest, item.change) == ("stairs", None, None, None)
    assert unknown(found, "activities_mean.change")[0].why == "no_activity_in_both_windows"


# ---------------------------------------------------------------- tape


def test_wears_with_times() -> None:
    # First wear due after 24 h, second after 48 h; both begin at 10:00.
    made = diary(
        pages([5] * 10),
        tape_on(at(0, 10)),
        tape_off(at(1, 9), skin_at_once="pink"),
        tape_on(at(3, 10)),
        tape_off(at(7, 10), skin_after_30_min="red"),
    )
    found = findings(made).tape
    assert (found.applications, found.overdue, found.end_not_known) == (2, 1, 0)
    assert found.days_worn == 2 + 5
    (item,) = found.skin_events
    assert (item.skin, item.source, item.day) == ("red", "tape_off", DAY + timedelta(days=7))


def test_short_pieces_added_are_the_same_wear() -> None:
    made = diary(tape_on(at(0, 10)), tape_on(at(0, 18), stage=2), tape_off(at(1, 9)))
    assert findings(made).tape.applications == 1


def test_an_end_nobody_knows_is_not_called_overdue() -> None:
    made = diary(tape_on(at(0, 10)), tape_off(None, written_at=at(9, 10)))
    found = findings(made).tape
    assert (found.applications, found.overdue, found.end_not_known) == (1, 0, 1)


def test_an_end_nobody_timed_is_in_time_when_it_was_written_in_time() -> None:
    made = diary(tape_on(at(0, 10)), tape_off(None, written_at=at(1, 9)))
    found = findings(made).tape
    assert (found.overdue, found.end_not_known) == (0, 0)


def test_tape_still_on_is_counted_to_the_last_entry() -> None:
    made = diary(tape_on(at(0, 10)), pages("5 5 5"))
    found = findings(made).tape
    assert (found.applications, found.days_worn, found.end_not_known) == (1, 3, 1)


def test_paper_days_worn_running_are_one_application() -> None:
    worn = ["1", "1", "-", "1", "0", "1", "1", "1"]
    made = [
        page(day, pain_average=5, tape_worn=word == "1", written_by="paper")
        for day, word in enumerate(worn)
        if word != "-"
    ]
    found = findings(diary(made)).tape
    assert (found.applications, found.days_worn, found.overdue) == (3, 6, 0)


def test_skin_events_of_every_source() -> None:
    made = diary(
        page(0, pain_average=5, skin="itchy"),
        page(1, pain_average=5, skin="pink"),
        tape_on(at(2, 10), skin_before="broken"),
        patch_test(at(3), first_read_at=at(4), first_skin="blister", second_skin="clear"),
        page(0, side="left", skin="broken"),
    )
    found = findings(made).tape.skin_events
    assert [(item.skin, item.source, item.side, (item.day - DAY).days) for item in found] == [
        ("itchy", "day_page", "right", 0),
        ("broken", "tape_on", "right", 2),
        ("blister", "patch_test", None, 4),
    ]


# ---------------------------------------------------------------- what happened


def test_warnings_and_events_of_this_knee_and_of_the_person() -> None:
    made = diary(
        warning(0, sides=("left",)),
        warning(1, sides=("right",)),
        warning(2, sign="unwell", level="care"),
        event(3, "fall"),
        event(4, "injection", side="left"),
        event(5, "brace", side="right", note="from the shop at the quay"),
    )
    found = findings(made)
    assert [(item.day - DAY).days for item in found.warnings] == [1, 2]
    assert [(item.what, item.note) for item in found.events] == [
        ("fall", None),
        ("brace", "from the shop at the quay"),
    ]


def test_a_chair_stand_says_why_it_is_not_judged() -> None:
    def why(birth_year: int | None, count: int) -> list[Any]:
        made = diary(stand(0, count), plans=[plan(birth_year=birth_year)])
        return [
            (item.why, item.have, item.need)
            for item in unknown(findings(made), "chair_stand.below_average")
        ]

    assert why(None, 9) == [("birth_year_not_in_plan", 0, 1)]
    assert why(1990, 9) == [("no_value_for_age", 35, 60)]
    assert why(1925, 9) == [("no_value_for_age", 101, 94)]
    assert why(1943, 9) == [("sex_not_in_plan", 0, 1)]
    assert why(1943, 4) == []
    women = plan(birth_year=1946, sex="female")
    (item,) = unknown(findings(diary(stand(0, 9), plans=[women])), "chair_stand.below_average")
    assert item.why == "day_of_birth_not_in_plan"
    known = plan(birth_year=1943, sex="female")
    assert findings(diary(stand(0, 9), plans=[known])).chair_stand[0].below_average is False


def test_a_question_changes_nothing() -> None:
    asked = Question(
        id=new_id(),
        for_day=DAY,
        written_at=at(0),
        written_by="person",
        plan_version=1,
        text="May I row to the lighthouse?",
    )
    base = diary(pages("5 5"))
    assert findings(replace(base, entries=(*base.entries, asked))) == findings(base)


# ---------------------------------------------------------------- amounts


def test_an_amount_of_the_plan_is_told_in_its_unit_by_the_same_model() -> None:
    """Ten parts of its goal, what is beyond counting as the goal (fact: amount_tenths)."""
    walk = AmountPlan(label="walk", unit="m", baseline=200, goal=400)
    no_goal = AmountPlan(label="sit", unit="min", baseline=10, goal=0)
    own = plan(amounts=(walk, no_goal))
    done = [160] * 20 + [200, 240, 280, 320] * 5 + [360, 500] * 10
    days = [
        page(n, pain_average=4, amounts=(Amount(label="walk", unit="m", amount=amount),))
        for n, amount in enumerate(done)
    ]
    (found,) = findings(diary(days, plans=[own])).amounts
    tenths = series_of(
        {page.for_day: 10 * min(a / 400, 1) for page, a in zip(days, done, strict=True)}
    )
    (fit,) = fits([tenths])
    assert fit is not None
    assert (found.days, found.verdict) == (60, "more")
    assert found.model.change == pytest.approx(fit.change * 40)
    assert found.model.low == pytest.approx(fit.low * 40)
    assert found.model.high == pytest.approx(fit.high * 40)
    assert found.model.after is not None
    assert found.model.after <= 400
    lead, words = amount_words(found)
    assert lead == "More,"
    assert re.fullmatch(r"by \d+ m \(\d+ to \d+ more\): 1\d\d to 3\d\d; goal 400", words)
    (short,) = findings(diary(days[:20], plans=[own])).amounts
    assert (short.model.change, short.verdict) == (None, "cannot_tell")
