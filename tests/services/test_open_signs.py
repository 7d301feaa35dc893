"""A new plan answers for each sign that is open in the diary, and home writes its answers once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from companion.care.answered_signs import told_by_plan
from companion.care.clocks import out_of_order
from companion.care.closures import open_warnings
from companion.care.records import AnyEntry, Diary, Plan, WarningSign
from companion.exchange.files import plan_bytes, read_bytes
from companion.presentation.clinic.answers import clinic_answers, knee_of
from companion.presentation.clinic.people import people_view
from companion.presentation.clinic.plan_form import section, sections_of
from companion.presentation.clinic.plan_signing import signing
from companion.presentation.language.phrases import short_day
from companion.presentation.view.chart import DaySpan
from companion.services.at_hand import at_hand
from companion.services.clinic_import import case_of
from companion.services.plan_draft import (
    PlanDraft,
    draft_faults,
    from_last,
    plan_of,
    sign,
)
from companion.services.taking_in import take_in, would_bring
from companion.wire.sign_off import content_sha256
from tests.builders import page, warning
from tests.care.content import CATALOGUE, POLICY
from tests.found import findings
from tests.services.context_for_tests import Kept, counting
from tests.services.plan_writing import AT, TODAY, put, ready

SWOLLEN = warning(TODAY - timedelta(days=3), "swollen_days", "call", sides=("right",))
STUCK = warning(TODAY - timedelta(days=2))


def first_plan() -> Plan:
    plan = sign(ready(), CATALOGUE, name="R. Vane", registration="1", at=AT)
    assert isinstance(plan, Plan)
    return plan


def again(*entries: AnyEntry, last: Plan | None = None) -> PlanDraft:
    """The next version, written beside a diary of these entries."""
    plan = last or first_plan()
    draft = put(from_last(plan, TODAY), review_on=TODAY + timedelta(days=40))
    return replace(draft, at_hand=at_hand(Diary(plans=(plan,), entries=tuple(entries))))


def answered(draft: PlanDraft, answer: str, *signs: WarningSign) -> PlanDraft:
    return put(draft, **{f"open_signs__{sign.id}": answer for sign in signs})


def in_the_way(draft: PlanDraft) -> set[tuple[str, str]]:
    return {(f.key, f.code) for f in draft_faults(draft, CATALOGUE) if not f.advice}


def signed(draft: PlanDraft) -> Plan:
    plan = sign(draft, CATALOGUE, name="R. Vane", registration="1", at=AT)
    assert isinstance(plan, Plan), plan
    return plan


# ---------------------------------------------------------------- writing it


def test_no_plan_is_signed_over_an_open_sign() -> None:
    draft = again(SWOLLEN, STUCK)
    keys = {f"open_signs.{sign.id}" for sign in (SWOLLEN, STUCK)}
    assert in_the_way(draft) == {(key, "open_sign_unanswered") for key in keys}
    one = answered(draft, "seen", STUCK)
    assert not isinstance(sign(one, CATALOGUE, name="R. Vane", registration="1", at=AT), Plan)
    both = answered(one, "still_open", SWOLLEN)
    assert [(one.sign, one.answer) for one in signed(both).open_signs] == [
        ("swollen_days", "still_open"),
        ("knee_stuck", "seen"),
    ]


def test_the_page_comes_only_with_an_open_sign_and_nothing_is_filled_in() -> None:
    over = replace(STUCK, cleared="checked_by_professional", cleared_on=TODAY)
    assert "open_signs" not in sections_of(again(over), CATALOGUE)
    draft = again(SWOLLEN, STUCK)
    assert "open_signs" in sections_of(draft, CATALOGUE)
    page = section("open_signs", draft, CATALOGUE)
    asked = [field for field in page.fields if field.key.startswith("open_signs.") and field.shown]
    assert [field.value for field in asked] == [None, None]
    assert [group.heading for group in page.groups if group.heading] == [
        # the gravest first
        CATALOGUE.sign("knee_stuck").words.rstrip("."),
        CATALOGUE.sign("swollen_days").words.rstrip("."),
    ]


@pytest.mark.parametrize(
    ("ticked", "offered"),
    [
        (warning(TODAY, "chest_or_breath", "emergency"), ["seen", "still_open"]),
        (STUCK, ["seen", "known", "go_on", "still_open"]),
        (warning(TODAY, "sore_calf"), ["seen", "go_on", "still_open"]),
        (warning(TODAY, "skin_broken", "call", sides=("right",)), ["seen", "known", "still_open"]),
    ],
    ids=lambda each: getattr(each, "sign", ""),
)
def test_what_is_offered_is_what_the_policy_lets_be_said(
    ticked: WarningSign, offered: list[str]
) -> None:
    draft = again(ticked)
    fields = {field.key: field for field in section("open_signs", draft, CATALOGUE).fields}
    options = [option.value for option in fields[f"open_signs.{ticked.id}"].options]
    assert options == offered
    for answer in {"known", "go_on"} - {*offered}:
        codes = {code for _, code in in_the_way(answered(draft, answer, ticked))}
        assert codes & {"open_sign_not_known", "open_sign_must_be_seen"}


def test_known_asks_since_when_on_the_same_page() -> None:
    draft = answered(again(SWOLLEN), "known", SWOLLEN)
    assert in_the_way(draft) == {(f"open_signs.{SWOLLEN.id}", "open_sign_not_known")}
    asked = section("open_signs", draft, CATALOGUE)
    shown = {field.key for group in asked.groups if group.shown for field in group.fields}
    assert "known_signs.swollen_days" in shown
    dated = put(draft, known_signs__swollen_days=TODAY - timedelta(days=400))
    plan = signed(dated)
    assert [known.sign for known in plan.known_signs] == ["swollen_days"]


def test_two_of_one_sign_are_answered_apart_and_known_is_asked_once() -> None:
    left = warning(TODAY - timedelta(days=1), "swollen_days", "call", sides=("left",))
    draft = answered(answered(again(SWOLLEN, left), "known", SWOLLEN, left), "seen", left)
    fields = section("open_signs", draft, CATALOGUE).fields
    keys = [field.key for field in fields]
    assert len(keys) == len({*keys})
    assert keys.count("known_signs.swollen_days") == 1
    answers = {one.sides: one.answer for one in plan_of(draft).open_signs}
    assert answers == {("right",): "known", ("left",): "seen"}


def test_answers_are_asked_anew_for_each_version_and_only_of_the_entry_that_counts() -> None:
    plan = signed(answered(again(SWOLLEN), "still_open", SWOLLEN))
    assert (f"open_signs.{SWOLLEN.id}", "open_sign_unanswered") in in_the_way(
        again(SWOLLEN, last=plan)
    )
    corrected = replace(STUCK, id=SWOLLEN.id, replaces=None)
    later = replace(corrected, id="b" * 32, replaces=SWOLLEN.id, told="not_reached", told_on=TODAY)
    draft = answered(again(corrected, later), "seen", SWOLLEN)
    assert in_the_way(draft) == {(f"open_signs.{later.id}", "open_sign_unanswered")}
    assert plan_of(draft).open_signs == ()


def test_what_was_answered_is_signed_and_shown_at_signing() -> None:
    draft = answered(again(SWOLLEN), "seen", SWOLLEN)
    plan = signed(draft)
    assert plan.sign_off is not None
    changed = replace(plan, open_signs=(replace(plan.open_signs[0], answer="go_on"),))
    assert content_sha256(changed) != plan.sign_off.content_sha256
    facts = signing(draft, CATALOGUE, "0" * 64).facts
    told = [words for name, words in facts if "Open" in name]
    assert len(told) == 1
    assert "seen, and over" in told[0]
    assert "swelled over a day" in told[0]


def test_a_plan_without_open_signs_keeps_the_hash_it_was_signed_with() -> None:
    assert b"open_signs" not in plan_bytes(first_plan())


# ---------------------------------------------------------------- at the clinic until it comes back


def test_the_clinic_s_list_says_what_its_plan_answers_until_the_diary_says_so() -> None:
    other = warning(TODAY - timedelta(days=1), "swollen_days", "call", sides=("left",))
    plan = signed(answered(answered(again(SWOLLEN, STUCK), "seen", STUCK), "still_open", SWOLLEN))
    at_desk = Diary(plans=(first_plan(), plan), entries=(SWOLLEN, STUCK, other))
    case = case_of(at_desk)
    assert case.answered == ((2, plan.written_on.isoformat(), 1),)
    # What was said to be open still, and what was ticked since, is open.
    assert dict(case.unsafe) == {"open_sign": 1}, "the other knee is not in this plan"
    (row,) = people_view([case], "", TODAY, POLICY.watch).rows
    day = short_day(plan.written_on)
    assert f"1 sign answered in plan 2 of {day}, not yet written at home" in row[4]
    found = findings(at_desk, "right")
    told = [each for each in found.unsafe if each.code in ("open_card", "open_sign")]
    assert [(each.sign, each.answer) for each in told] == [
        ("knee_stuck", "seen"),
        ("swollen_days", "still_open"),
    ]
    answers = clinic_answers(
        [knee_of(found, at_desk.entries)], at_desk.plans, DaySpan(TODAY, TODAY), CATALOGUE
    )
    words = " ".join(cell.words for answer in answers for row in answer.rows for cell in row.cells)
    assert f"answered in plan 2 of {day}: seen, and over; not yet written at home" in words
    back = told_by_plan(plan, at_desk.entries, POLICY, lambda entry: entry[::-1])
    home_again = replace(at_desk, entries=(*at_desk.entries, *back))
    assert case_of(home_again).answered == ()


# ---------------------------------------------------------------- taking it in


def home(folder: Path, entries: Iterable[AnyEntry]) -> Kept:
    return Kept(folder, first_plan(), entries)


@pytest.mark.parametrize("answer", ["seen", "known", "go_on", "still_open"])
def test_home_writes_what_the_plan_says_once(tmp_path: Path, answer: str) -> None:
    kept = home(tmp_path / "home", [SWOLLEN])
    draft = answered(again(SWOLLEN), answer, SWOLLEN)
    if answer == "known":
        draft = put(draft, known_signs__swollen_days=TODAY - timedelta(days=400))
    plan = read_bytes(plan_bytes(signed(draft))).plan
    assert plan is not None
    brings = would_bring(kept.context, plan)
    take_in(kept.context, brings)
    (sign,) = counting(kept.context, WarningSign)
    assert (sign.told_by, sign.told_name, sign.plan_version) == ("clinic", "R. Vane", 2)
    still = open_warnings([*kept.context.entries], POLICY)
    assert still == ((sign,) if answer == "still_open" else ())
    # The same preview once more, as after a double press; and the file once more.
    before = kept.context.journal.count()
    take_in(kept.context, brings)
    assert kept.context.journal.count() == before
    assert would_bring(kept.context, plan).refused is not None
    kept.close()


def test_what_a_plan_says_is_not_taken_for_written_under_a_wrong_clock(tmp_path: Path) -> None:
    """It was written in no store at home, days after the sign that it answers."""
    machine = "a" * 32
    sign = replace(SWOLLEN, machine=machine, turn=1)
    since = [
        page(sign.for_day + timedelta(days=ago), machine=machine, turn=2 + ago) for ago in (0, 1)
    ]
    kept = home(tmp_path / "home", [sign, *since])
    take_in(kept.context, would_bring(kept.context, signed(answered(again(sign), "seen", sign))))
    (told,) = counting(kept.context, WarningSign)
    assert told.told == "all"
    assert (told.machine, told.turn) == (None, None)
    assert out_of_order(kept.context.journal.entries()) == frozenset()
    kept.close()
