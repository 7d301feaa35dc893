"""What a signed plan says of signs that were open when it was written (rule r08)."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from companion.care.answered_signs import answers_for, told_by_plan
from companion.care.closures import open_warnings, still_closes, still_holds
from companion.care.history import current
from companion.care.records import (
    AnsweredSign,
    AnyEntry,
    OpenSignSaid,
    Plan,
    SignOff,
    WarningSign,
)
from tests.builders import at, warning
from tests.care.content import CATALOGUE, POLICY
from tests.care.walking import taught_plan

SIGNS = tuple(sign.id for sign in CATALOGUE.stop_list.signs if not POLICY.sign(sign.id).for_session)
SIGNED = SignOff(name="R. Vane", registration="PT 1", signed_at=at(5, 11), content_sha256="0" * 64)


def ticked(sign: str, day: int = 2) -> WarningSign:
    listed = CATALOGUE.sign(sign)
    return warning(day, sign, listed.level, card=listed.card)


def saying(answer: OpenSignSaid, *signs: WarningSign, version: int = 2) -> Plan:
    said = tuple(
        AnsweredSign(
            warning=sign.id, sign=sign.sign, since=sign.for_day, sides=sign.sides, answer=answer
        )
        for sign in signs
    )
    return replace(taught_plan(), version=version, open_signs=said, sign_off=SIGNED)


def told(plan: Plan, *entries: AnyEntry) -> tuple[WarningSign, ...]:
    """The corrections, with ids that follow from what they correct."""
    return told_by_plan(plan, entries, POLICY, lambda entry: entry[::-1])


@pytest.mark.parametrize("sign", SIGNS)
def test_no_emergency_and_no_broken_skin_goes_on_unseen_and_none_is_known_that_may_not_be(
    sign: str,
) -> None:
    offered = answers_for(sign, POLICY)
    row = POLICY.sign(sign)
    assert {"seen", "still_open"} <= {*offered}
    assert ("known" in offered) == row.known_since
    if CATALOGUE.sign(sign).level == "emergency" or sign == "skin_broken":
        assert "go_on" not in offered


@pytest.mark.parametrize("sign", SIGNS)
def test_each_answer_but_still_open_opens_all_that_was_closed(sign: str) -> None:
    before = ticked(sign)
    for answer in answers_for(sign, POLICY):
        (after,) = told(saying(answer, before), before)
        counting = current((before, after))
        assert (after.told_by, after.told_name) == ("clinic", "R. Vane")
        assert (after.written_by, after.plan_version) == ("clinic", 2)
        assert after.told_on == SIGNED.signed_at.date()
        if answer == "still_open":
            assert still_closes(after, POLICY) == still_closes(before, POLICY)
            assert open_warnings(counting, POLICY) == (after,)
        else:
            assert open_warnings(counting, POLICY) == ()


def test_the_same_plan_again_changes_nothing() -> None:
    before = ticked("swollen_days")
    for answer in ("seen", "still_open"):
        plan = saying(answer, before)
        once = told(plan, before)
        assert len(once) == 1
        assert told(plan, before, *once) == ()


def test_an_unsigned_plan_and_one_that_answers_nothing_say_nothing() -> None:
    before = ticked("swollen_days")
    assert told(replace(saying("seen", before), sign_off=None), before) == ()
    assert told(saying("seen"), before) == ()


def test_a_sign_ticked_since_stays_closed() -> None:
    before, since = ticked("swollen_days"), ticked("swollen_days", 4)
    (after,) = told(saying("seen", before), before, since)
    assert open_warnings(current((before, since, after)), POLICY) == (since,)


def test_a_sign_that_was_corrected_since_is_still_the_one_that_was_answered() -> None:
    before = ticked("swollen_days")
    called = replace(
        ticked("swollen_days"), replaces=before.id, told="not_reached", told_on=at(3).date()
    )
    (after,) = told(saying("seen", before), before, called)
    assert after.replaces == called.id
    assert not still_holds(after, POLICY)


def test_what_was_said_or_opened_after_the_signing_stands() -> None:
    before = ticked("swollen_days")
    later = replace(
        ticked("swollen_days"), replaces=before.id, told="not_yet", told_on=at(6).date()
    )
    assert told(saying("go_on", before), before, later) == ()
    over = replace(
        later, told=None, told_on=None, cleared="ticked_by_mistake", cleared_on=at(6).date()
    )
    assert told(saying("still_open", before), before, over) == ()


def test_a_home_clock_ahead_does_not_keep_a_seen_sign_closed() -> None:
    before = ticked("knee_stuck", 9)
    (after,) = told(saying("seen", before), before)
    assert after.written_at >= before.written_at
    assert after.written_at.date() >= after.for_day
    assert not still_holds(after, POLICY)
    assert after.cleared_on == before.for_day
    assert after.for_day - SIGNED.signed_at.date() == timedelta(days=4)
