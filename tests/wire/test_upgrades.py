"""What older versions wrote, as the newest has it: what changed its name, and nothing else."""

from dataclasses import replace
from datetime import UTC, datetime
from hashlib import sha256
from typing import Any

import pytest

from companion.care.json_values import JsonObject
from companion.wire.plain import decode_entry, decode_plan, encode
from companion.wire.sign_off import canonical, sign_off_holds, signed
from companion.wire.upgrades import ENTRY_UPGRADES, PLAN_UPGRADES, upgraded
from tests.builders import small_plan

BASE: dict[str, Any] = {
    "id": "a" * 32,
    "for_day": "2026-03-09",
    "written_at": "2026-03-09T19:42:00+01:00",
    "written_by": "clinic",
    "plan_version": 1,
}
CARE = BASE | {"kind": "event", "what": "other_care", "side": "right", "note": "0 to 10, shown"}
ABOUT_TEN = "I was asked if a score of 10 is the worst possible pain. I said "


def entry_now(entry: JsonObject) -> JsonObject:
    return upgraded(entry, 2, 3, ENTRY_UPGRADES)


def test_how_scoring_was_taught_is_told_by_its_own_kind() -> None:
    assert entry_now(CARE) == BASE | {"kind": "scoring_taught", "words": "0 to 10, shown"}


@pytest.mark.parametrize(
    "entry",
    [
        CARE | {"what": "fall"},
        CARE | {"written_by": "person"},
        {key: value for key, value in CARE.items() if key != "note"},
        CARE | {"note": None},
        BASE | {"kind": "day_page", "side": "right", "note": "shown in the clinic"},
        BASE | {"kind": "measure", "what": "other_care", "note": "of another kind"},
    ],
)
def test_no_other_entry_is_taken_for_it(entry: JsonObject) -> None:
    assert entry_now(entry) == entry


def test_a_step_is_for_what_is_older_than_it_alone() -> None:
    assert upgraded(CARE, 3, 4, ENTRY_UPGRADES) == CARE
    assert upgraded(CARE, 1, 4, ENTRY_UPGRADES) == entry_now(CARE)


@pytest.mark.parametrize(
    ("said", "code"), [("yes", "worst"), ("no", "can_be_worse"), ("I am not sure", "not_sure")]
)
@pytest.mark.parametrize("after", ["", " Five of my sessions in a row began at 10."])
@pytest.mark.parametrize("more", ["", " And it burns.\nAt night too."])
def test_what_was_said_of_a_score_of_ten_is_an_answer(
    said: str, code: str, after: str, more: str
) -> None:
    entry = BASE | {"kind": "question", "text": f"{ABOUT_TEN}{said}.{after}{more}"}
    own = {"text": more.strip()} if more else {}
    assert entry_now(entry) == BASE | {"kind": "question", "ten_said": code} | own


@pytest.mark.parametrize(
    "entry",
    [
        BASE | {"kind": "question", "text": "Is a score of 10 the worst possible pain?"},
        BASE | {"kind": "question", "text": f"She wrote: {ABOUT_TEN}yes."},
        BASE | {"kind": "event", "what": "fall", "text": f"{ABOUT_TEN}yes."},
        BASE | {"kind": "question", "text": 10},
        BASE | {"kind": "question"},
    ],
)
def test_a_question_of_ones_own_stays_a_question(entry: JsonObject) -> None:
    assert entry_now(entry) == entry


# ---------------------------------------------------------------- a plan

AT = datetime(2026, 3, 2, 11, tzinfo=UTC)


def of_version_3(mark: int | None) -> JsonObject:
    """A signed plan as version 3 wrote it: the mark by its older name, and signed under that."""
    plan = replace(small_plan(), bad_day_mark=mark)
    content = encode(plan)
    older: JsonObject = {
        "easy_day_mark" if key == "bad_day_mark" else key: value for key, value in content.items()
    }
    sign_off = encode(signed(plan, "A. Example", "example 000", AT))["sign_off"]
    assert isinstance(sign_off, dict)
    return older | {"sign_off": sign_off | {"content_sha256": sha256(canonical(older)).hexdigest()}}


def test_a_signed_plan_answers_for_the_same_content_under_the_newer_name() -> None:
    plan = decode_plan(upgraded(of_version_3(7), 3, 4, PLAN_UPGRADES), "plan")
    assert plan.bad_day_mark == 7
    assert sign_off_holds(plan)


def test_a_plan_that_was_changed_after_it_was_signed_stays_one() -> None:
    older = of_version_3(7) | {"easy_day_mark": 9}
    plan = decode_plan(upgraded(older, 3, 4, PLAN_UPGRADES), "plan")
    assert plan.bad_day_mark == 9
    assert not sign_off_holds(plan)


def test_a_plan_without_the_mark_or_a_signature_is_left_as_it_is() -> None:
    without = of_version_3(None)
    assert upgraded(without, 3, 4, PLAN_UPGRADES) == without
    unsigned = {key: value for key, value in of_version_3(7).items() if key != "sign_off"}
    newer = replace(small_plan(), bad_day_mark=7)
    assert upgraded(unsigned, 3, 4, PLAN_UPGRADES) == encode(newer)


# ---------------------------------------------------------------- an outing

OUTING = BASE | {
    "kind": "outing",
    "side": "left",
    "happened_at": "2026-03-09T10:00:00+01:00",
    "tape_on": "b" * 32,
    "what_for": "The chapel",
    "ended_because": "pain",
    "pain_worst": 6,
    "next_morning": "more_pain",
}
OF_KNEE = ("side", "tape_on", "pain_worst", "next_morning")


def test_an_outing_of_one_knee_keeps_all_of_it_as_an_outing_of_the_person() -> None:
    upped = upgraded(OUTING, 6, 7, ENTRY_UPGRADES)
    kept = {name: value for name, value in OUTING.items() if name not in OF_KNEE}
    assert upped == kept | {"knees": [{name: OUTING[name] for name in OF_KNEE}]}
    assert encode(decode_entry(upped)) == upped
    assert upgraded(upped, 6, 7, ENTRY_UPGRADES) == upped, "a store may hold newer bodies"
    bare = {name: OUTING[name] for name in (*BASE, "kind", "side", "what_for")}
    assert upgraded(bare, 6, 7, ENTRY_UPGRADES)["knees"] == [{"side": "left"}]


def test_only_an_outing_is_taken_for_one() -> None:
    page = BASE | {"kind": "day_page", "side": "left", "pain_worst": 6}
    assert upgraded(page, 6, 7, ENTRY_UPGRADES) == page
