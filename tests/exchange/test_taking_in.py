"""Before anything is taken in, it is said what would be; what may not be is refused whole."""

import dataclasses
import random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.care.records import Diary, Plan, newest_in_force
from companion.exchange.cross_checks import beside
from companion.exchange.taking_in import Preview, Refusal, preview, preview_plan
from companion.wire.plain import encode
from tests.builders import small_plan
from tests.exchange.made import an_id, full_diary, full_plan
from tests.strategies import diaries

OWN = full_diary()


def taken(own: Diary, seen: Preview) -> Diary:
    """The diary after what was shown is taken in."""
    return Diary(plans=own.plans + seen.new_plans, entries=own.entries + seen.new)


def content(diary: Diary) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    plans = [encode(plan) for plan in sorted(diary.plans, key=lambda p: p.version)]
    return plans, [encode(entry) for entry in sorted(diary.entries, key=lambda e: e.id)]


def refused(seen: Preview) -> bool:
    return seen.refused is not None and seen.new == () and seen.new_plans == ()


def test_counts_are_shown_before() -> None:
    here = Diary(plans=OWN.plans[:1], entries=OWN.entries[:1])
    seen = preview(here, OWN)
    assert seen.refused is None
    assert (len(seen.new), seen.known, seen.corrections) == (14, 1, 2)
    assert seen.new_plans == OWN.plans[1:]
    assert content(taken(here, seen)) == content(OWN)


def test_into_an_empty_diary_everything_comes() -> None:
    seen = preview(None, OWN)
    assert seen.refused is None
    assert (seen.new, seen.new_plans, seen.known) == (OWN.entries, OWN.plans, 0)
    assert not seen.side_changes


def test_what_is_here_already_is_not_taken_in_again() -> None:
    seen = preview(OWN, Diary(plans=OWN.plans[:1], entries=OWN.entries[:3]))
    assert refused(seen)
    assert seen.known == 3
    assert seen.refused == Refusal("nothing_new")


def test_another_person_s_diary_is_refused() -> None:
    plans = tuple(dataclasses.replace(plan, person="K-31") for plan in OWN.plans)
    seen = preview(OWN, Diary(plans=plans, entries=()))
    assert refused(seen)
    assert seen.refused == Refusal("another_person", {"theirs": "K-31", "ours": "K-07"})
    assert preview_plan(OWN.plans, plans[1]) == seen


def test_the_same_code_with_another_birth_year_is_another_person() -> None:
    other = dataclasses.replace(full_plan(), birth_year=1961)
    for seen in (preview(OWN, Diary(plans=(other,))), preview_plan(OWN.plans, other)):
        assert refused(seen)
        values = {"person": "K-07", "theirs": 1961, "ours": 1951}
        assert seen.refused == Refusal("another_birth_year", values)


def test_an_unknown_birth_year_is_no_reason() -> None:
    silent = dataclasses.replace(full_plan(), birth_year=None, version=3)
    assert preview_plan(OWN.plans, silent).refused is None


def test_a_rival_of_an_entry_costs_itself_alone_and_both_are_kept() -> None:
    rival = dataclasses.replace(OWN.entries[0], written_by="helper")
    fresh = dataclasses.replace(OWN.entries[1], id=an_id(99))
    seen = preview(OWN, Diary(plans=OWN.plans, entries=(fresh, rival)))
    assert seen.refused is None
    assert seen.conflicts == (rival.id,)
    assert seen.new == (fresh, beside(rival))
    again = preview(
        dataclasses.replace(OWN, entries=(*OWN.entries, *seen.new)),
        Diary(plans=OWN.plans, entries=(fresh, rival)),
    )
    assert again.refused == Refusal("nothing_new")


def test_a_rival_of_a_plan_version_refuses_the_whole_file() -> None:
    rival = dataclasses.replace(small_plan(), rounds=3)
    seen = preview(OWN, Diary(plans=(rival, full_plan()), entries=()))
    assert refused(seen)
    assert seen.refused == Refusal("plan_differs", {"theirs": 1})
    newest = dataclasses.replace(full_plan(), rounds=3)
    assert refused(preview_plan(OWN.plans, newest))


@settings(max_examples=25)
@given(whole=diaries(), turns=st.randoms(use_true_random=False))
def test_the_union_does_not_depend_on_who_takes_in_whom(whole: Diary, turns: random.Random) -> None:
    """Merge is order-free and idempotent, and no original is lost."""

    def part() -> Diary:
        kept = [entry for entry in whole.entries if turns.random() < 0.6]
        turns.shuffle(kept)
        return Diary(plans=whole.plans, entries=tuple(kept))

    one, other = part(), part()
    left = taken(one, preview(one, other))
    right = taken(other, preview(other, one))
    assert content(left) == content(right)
    assert {e.id for e in left.entries} == {e.id for e in (*one.entries, *other.entries)}
    again = preview(left, other)
    assert refused(again)
    assert content(taken(left, again)) == content(left)


# ---------------------------------------------------------------- plans


def _version(number: int, **fields: object) -> Plan:
    base: dict[str, object] = {"version": number}
    return dataclasses.replace(small_plan(), **(base | fields))  # type: ignore[arg-type]


def test_the_first_plan_comes_without_a_question() -> None:
    seen = preview_plan((), small_plan())
    assert seen.refused is None
    assert not seen.side_changes
    assert seen.new_plans == (small_plan(),)


def test_the_next_version_comes() -> None:
    seen = preview_plan((small_plan(),), _version(2))
    assert seen.refused is None
    assert seen.new_plans == (_version(2),)
    assert not seen.side_changes


@pytest.mark.parametrize("side", ["left", "both"])
def test_another_knee_needs_a_yes(side: str) -> None:
    main = "right" if side == "both" else side
    seen = preview_plan((small_plan(),), _version(2, side=side, main_side=main))
    assert seen.refused is None
    assert seen.side_changes
    by_diary = preview(
        Diary(plans=(small_plan(),)),
        Diary(plans=(small_plan(), _version(2, side=side, main_side=main))),
    )
    assert by_diary.side_changes


def test_an_older_version_than_in_force_is_refused() -> None:
    seen = preview_plan((_version(2), _version(4)), _version(3))
    assert refused(seen)
    assert seen.refused == Refusal("plan_older", {"theirs": 3, "ours": 4})


def test_an_older_version_that_comes_with_its_diary_is_kept_and_changes_no_knee() -> None:
    """The clinic may hold entries of an old plan that this machine never saw."""
    own = Diary(plans=(_version(2),))
    seen = preview(own, Diary(plans=(_version(1, side="left", main_side="left"), _version(2))))
    assert seen.refused is None
    assert not seen.side_changes


def test_a_plan_nobody_signed_takes_the_place_of_no_signed_one() -> None:
    """A draft that was sent to look at locked the real one out, and could not be undone."""
    draft = dataclasses.replace(full_plan(), version=3, sign_off=None)
    refusal = Refusal("practice_plan", {"theirs": 3, "ours": 2})
    assert preview_plan(OWN.plans, draft).refused == refusal
    assert preview(OWN, Diary(plans=(*OWN.plans, draft))).refused == Refusal("nothing_new")
    assert preview(OWN, Diary(plans=(draft,))).refused == refusal


def test_a_signed_plan_stands_in_the_place_of_one_nobody_signed() -> None:
    draft = dataclasses.replace(full_plan(), rounds=3, sign_off=None)
    for own in ((draft,), (small_plan(), draft), (dataclasses.replace(draft, version=7),)):
        seen = preview_plan(own, full_plan())
        assert (seen.refused, seen.new_plans) == (None, (full_plan(),))
        assert preview(Diary(plans=own), Diary(plans=(full_plan(),))).new_plans == (full_plan(),)
    # The other way round it stays.
    back = preview(Diary(plans=(full_plan(),)), Diary(plans=(draft, full_plan())))
    assert back.refused == Refusal("nothing_new")
    assert newest_in_force((dataclasses.replace(draft, version=9), full_plan())) == full_plan()
    assert newest_in_force((small_plan(), draft)) == draft


def test_the_same_version_again_brings_nothing() -> None:
    seen = preview_plan(OWN.plans, full_plan())
    assert refused(seen)
    assert seen.refused == Refusal("plan_here", {"theirs": 2})
