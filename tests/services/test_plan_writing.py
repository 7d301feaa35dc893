"""What a plan that is written begins from, and the file it ends as."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from companion.care.records import Diary, Plan
from companion.exchange.files import diary_bytes, plan_bytes, read_bytes
from companion.exchange.taking_in import Refusal
from companion.services.plan_draft import PlanDraft, plan_of, practice_plan
from companion.services.plan_writing import (
    content_hash,
    is_anothers,
    last_signer,
    made_file,
    picked_plan,
    save_plan,
    signed,
    taken_up,
)
from companion.services.practice import Practice, people
from companion.services.settings import Signer
from companion.services.trouble import Trouble
from companion.wire.sign_off import content_sha256
from tests.services.plan_writing import put, ready, worn
from tests.services.test_clinic_import import TODAY

WHO = Signer(name="R. Vane", registration="PT 4711")


def draft() -> PlanDraft:
    """A draft that can be signed on the day of the practice."""
    return put(replace(ready("hands_only"), today=TODAY), review_on=TODAY.replace(month=12))


def plan(practice: Practice, of: PlanDraft | None = None) -> Plan:
    made = signed(practice, of or draft(), WHO)
    assert isinstance(made, Plan)
    return made


@pytest.mark.parametrize("last_code", [None, "K-07", "K-08"])
def test_what_is_gone_on_with_is_an_unsigned_plan_of_the_same_person(
    practice: Practice, tmp_path: Path, last_code: str | None
) -> None:
    unsigned = practice_plan(draft())
    assert isinstance(unsigned, Plan)
    last = None if last_code is None else replace(plan(practice), person=last_code)
    files = {
        "unreadable": b"Dear clinic",
        "diary": diary_bytes(Diary(plans=(plan(practice),))),
        "signed": plan_bytes(plan(practice)),
        "another_person" if last_code == "K-08" else None: plan_bytes(unsigned),
    }
    for refused, data in files.items():
        (tmp_path / "picked").write_bytes(data)
        picked = picked_plan(practice, str(tmp_path / "picked"), last)
        assert picked.refused == refused
        assert (picked.plan == unsigned) == (refused in (None, "another_person"))


def test_a_signed_plan_is_saved_kept_in_the_list_and_its_signer_remembered(
    practice: Practice, tmp_path: Path
) -> None:
    made = made_file(draft(), plan(practice))
    assert made.name == "plan-K-07-1.homeknee"
    assert not is_anothers(practice, made, None)
    assert last_signer(practice) == Signer()
    saved = save_plan(practice, made, str(tmp_path / "p"), None)
    assert (saved.name, saved.in_list, saved.changed) == ("p", True, frozenset({"K-07"}))
    assert read_bytes((tmp_path / "p").read_bytes()).plan == made.plan
    assert [case.plan_version for case in people(practice).cases] == [1]
    assert last_signer(practice) == WHO
    # Another first plan under this code is somebody else's; the next version of this one is not.
    assert is_anothers(practice, made, None)
    assert not is_anothers(practice, made, Diary(plans=(made.plan,)))


def test_a_practice_plan_goes_into_no_list(practice: Practice, tmp_path: Path) -> None:
    unsigned = practice_plan(draft())
    assert isinstance(unsigned, Plan)
    made = made_file(draft(), unsigned)
    assert made.name == "practice-plan-K-07-1.homeknee"
    saved = save_plan(practice, made, str(tmp_path / "p"), None)
    assert (saved.in_list, saved.left, saved.changed) == (False, None, frozenset())
    assert people(practice).cases == ()
    assert last_signer(practice) == Signer()


def test_a_first_session_makes_it_a_diary_to_start_with(practice: Practice) -> None:
    held = put(
        draft(), session__held=True, session__before=7, session__scoring="Ten is the stairs."
    )
    made = made_file(held, plan(practice, held))
    assert made.name == "start-K-07-1.homeknee"
    diary = read_bytes(made.data).diary
    assert diary is not None
    assert set(diary.entries) == set(made.entries) != set()


def test_a_place_that_cannot_be_written_changes_nothing(practice: Practice, tmp_path: Path) -> None:
    made = made_file(draft(), plan(practice))
    with pytest.raises(Trouble):
        save_plan(practice, made, str(tmp_path / "absent" / "p"), None)
    assert people(practice).cases == ()
    assert last_signer(practice) == Signer()


def test_a_plan_the_list_refuses_is_saved_all_the_same(practice: Practice, tmp_path: Path) -> None:
    made = made_file(draft(), plan(practice))
    save_plan(practice, made, str(tmp_path / "p"), None)
    other = put(draft(), goal="Another.")
    rival = made_file(other, plan(practice, other))
    saved = save_plan(practice, rival, str(tmp_path / "q"), None)
    assert not saved.in_list
    assert saved.left == Refusal("plan_differs", {"theirs": 1})
    assert (tmp_path / "q").exists()


def test_the_diary_at_hand_goes_with_the_draft(practice: Practice) -> None:
    assert taken_up(draft(), None).at_hand is None
    written = taken_up(draft(), Diary(plans=(plan_of(ready()),), entries=worn()))
    assert written.at_hand is not None
    assert len(written.at_hand.tape) == 4
    assert content_hash(written) == content_sha256(plan_of(written))
