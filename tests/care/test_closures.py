"""What is closed, by what, and what opens it again."""

from dataclasses import replace
from datetime import timedelta
from itertools import product
from typing import get_args

import pytest

from companion.care.closures import (
    asked_of,
    cleared,
    closures,
    days_closed,
    highest,
    open_warnings,
    skin_to_ask,
    to_ask_at_gate,
    ways_to_clear,
)
from companion.care.history import corrected, current
from companion.care.levels import PARTS
from companion.care.policy import Closing, SignPolicy
from companion.care.records import Cleared, Part, WarningSign
from tests.builders import DAY, at, event, new_id, page, plan, tape_off, tape_on, warning
from tests.care.content import POLICY, answered, closed_for, no_to_all


def clear(sign: WarningSign, how: Cleared, day: int, **fields: object) -> WarningSign:
    on = fields.get("on", DAY + timedelta(days=day))
    right = cleared(
        sign,
        how,
        on=on,  # type: ignore[arg-type]
        policy=fields.get("policy", POLICY),  # type: ignore[arg-type]
    )
    return corrected(right, new_id(), at(day, 20), "person")


@pytest.mark.parametrize("level", ["today", "emergency"])
def test_today_and_emergency_close_all_until_checked_or_taken_back(level: str) -> None:
    sign = warning(0, level=level, sides=("right",))
    for side in ("left", "right"):
        found = closures(POLICY, plan(cautions=no_to_all()), [sign], side, today=DAY)
        assert found.parts == {*PARTS}
        assert {one.sign for one in found.by} == {sign}
        assert {one.rule for one in found.why("seated")} == {"r01"}
    for how in ("checked_by_professional", "ticked_by_mistake"):
        over = clear(sign, how, 2)
        assert closed_for(current([sign, over])) == set()
        assert over.for_day == sign.for_day
    for how in ("skin_read_clear", "well_again", "asked_again", "as_before", "has_gone"):
        with pytest.raises(ValueError, match="does not clear"):
            clear(sign, how, 2)  # type: ignore[arg-type]


def test_a_clearing_that_cannot_clear_is_none() -> None:
    """What a file from outside claims is judged like what we write."""
    sign = warning(1)
    bad = [
        replace(sign, cleared="skin_read_clear", cleared_on=sign.for_day),
        replace(sign, cleared="asked_again"),
        replace(sign, cleared="checked_by_professional"),
        replace(sign, cleared="checked_by_professional", cleared_on=DAY),
    ]
    for one in bad:
        assert closed_for([one]) == {*PARTS}
        assert open_warnings([one], POLICY) == (one,)
    for day in (0, None):
        with pytest.raises(ValueError, match="needs its date"):
            clear(sign, "checked_by_professional", 1, on=None if day is None else DAY)


def test_the_policy_can_raise_a_level_but_not_lower_it() -> None:
    low = warning(0, sign="chest_or_breath", level="care")
    assert closed_for([low]) == {*PARTS}
    assert ways_to_clear(low, POLICY) == ("checked_by_professional", "ticked_by_mistake")
    high = warning(0, sign="lump", level="emergency")
    assert closed_for([high]) == {*PARTS}
    assert ways_to_clear(high, POLICY) == ("checked_by_professional", "ticked_by_mistake")


def test_broken_skin_closes_hands_and_tape_there_until_read_clear() -> None:
    sign = warning(0, sign="skin_broken", level="call", sides=("right",))
    assert closed_for([sign]) == {"hands", "tape_on", "outing_tape"}
    assert closed_for([sign], "left") == set()
    assert "hands" in closed_for([replace(sign, sides=())], "left"), "in doubt, both"
    assert to_ask_at_gate([sign], POLICY, DAY) == (sign,)
    assert closed_for(current([clear(sign, "skin_read_clear", 3), sign])) == set()
    with pytest.raises(ValueError, match="does not clear"):
        clear(sign, "checked_by_professional", 3)


def test_a_lump_closes_hands_and_tape_until_somebody_said_go_on() -> None:
    """Its card says: do not press or rub it. That the clinic was called opens nothing."""
    sign = warning(0, sign="lump", level="call")
    assert closed_for([sign]) == {"hands", "tape_on", "outing_tape"}
    assert asked_of(sign, POLICY, DAY + timedelta(days=60)) == ()
    with pytest.raises(ValueError, match="does not clear"):
        clear(sign, "asked_again", 1)
    assert closed_for(current([sign, clear(sign, "checked_by_professional", 1)])) == set()


def test_what_an_older_version_wrote_stays_as_it_was_told() -> None:
    """Version 3 asked "have you called?" about a lump; that sign is over in its diary."""
    sign = warning(0, sign="lump", level="call")
    asked = replace(sign, cleared="asked_again", cleared_on=DAY + timedelta(days=1))
    assert closed_for([asked]) == set()


@pytest.mark.parametrize("sign", ["gives_way_worse", "sudden_pain_every_step", "fast_worse"])
def test_standing_and_the_check_move_close_for_both_knees(sign: str) -> None:
    """Nobody stands on one knee alone; hands, tape and seated exercise of the other stay open."""
    one = warning(0, sign=sign, level="call", sides=("right",))
    assert {"standing", "check_move"} <= closed_for([one])
    assert closed_for([one], "left") == {"standing", "check_move"}


def test_a_sign_for_its_own_session_is_over_afterwards() -> None:
    sign = warning(0, sign="pain_over_limit", level="care")
    assert open_warnings([sign], POLICY) == ()
    assert ways_to_clear(sign, POLICY) == ("ticked_by_mistake",)


def test_unwell_closes_until_well_again() -> None:
    sign = warning(0, sign="unwell", level="care")
    assert closed_for([sign]) == {*PARTS}
    assert closed_for([clear(sign, "well_again", 2)]) == set()


def test_the_person_may_open_from_the_day_of_the_row_on() -> None:
    """Night pain as before for 7 nights (C: the table of the policy)."""
    sign = warning(0, sign="rest_or_night_pain", level="call")
    asked = [bool(asked_of(sign, POLICY, DAY + timedelta(days=n))) for n in range(9)]
    assert asked == [False] * 7 + [True] * 2
    assert closed_for([clear(sign, "as_before", 7)]) == set()


SWOLLEN = SignPolicy(
    sign="lump",
    rule="r01",
    knee="knee",
    closes=(
        Closing(
            parts=("hands", "tape_on", "outing_tape"),
            until="told",
            opens=("checked_by_professional",),
        ),
        Closing(parts=("standing", "check_move"), until="as_before", opens=("as_before",)),
    ),
)
"""A row of two closings: some the person opens, the rest a professional."""


def test_what_the_person_opens_leaves_the_rest_closed() -> None:
    policy = replace(
        POLICY, signs=tuple(SWOLLEN if row.sign == "lump" else row for row in POLICY.signs)
    )
    sign = warning(0, sign="lump", level="call")

    def closed(one: WarningSign, on: int | None = None) -> frozenset[Part]:
        day = None if on is None else DAY + timedelta(days=on)
        return closures(policy, plan(cautions=no_to_all()), [one], "right", today=DAY, on=day).parts

    assert to_ask_at_gate([sign], policy, DAY) == (sign,)
    opened = clear(sign, "as_before", 2, policy=policy)
    assert (opened.cleared, opened.opened) == (None, ("standing", "check_move"))
    assert closed(opened) == {"hands", "tape_on", "outing_tape"}
    assert asked_of(opened, policy, DAY + timedelta(days=9)) == ()
    assert to_ask_at_gate([opened], policy, DAY + timedelta(days=9)) == (opened,), "told to go on?"
    assert open_warnings([opened], policy) == (opened,)
    assert closed(opened, 1) == set(SWOLLEN.parts), "not yet opened then"
    assert days_closed(opened, "standing", policy) == (DAY, DAY + timedelta(days=2))
    assert days_closed(opened, "hands", policy) == (DAY, None)
    assert days_closed(opened, "seated", policy) is None
    told = clear(opened, "checked_by_professional", 5, policy=policy)
    assert closed(told) == {"standing", "check_move"} - set(opened.opened) == set()
    assert days_closed(told, "hands", policy) == (DAY, DAY + timedelta(days=5))


def test_highest_first() -> None:
    call, today, emergency = (
        warning(day, sign="s", level=level)
        for day, level in enumerate(("call", "today", "emergency"))
    )
    assert open_warnings([call, today, emergency], POLICY) == (emergency, today, call)


def test_days_closed() -> None:
    sign = warning(2)
    assert days_closed(sign, "hands", POLICY) == (DAY + timedelta(days=2), None)
    checked = clear(sign, "checked_by_professional", 5)
    assert days_closed(checked, "hands", POLICY) == (sign.for_day, DAY + timedelta(days=5))
    mistake = clear(sign, "ticked_by_mistake", 2, on=None)
    assert days_closed(mistake, "hands", POLICY) == (sign.for_day, sign.for_day)
    on = [DAY + timedelta(days=day) for day in range(7)]
    assert ["hands" in closed_for([checked], on=day) for day in on] == [0, 0, 1, 1, 1, 0, 0]


def test_a_check_on_the_day_of_the_tick_opens_again() -> None:
    """Ticked in the morning, seen in the afternoon: it held on no whole day."""
    sign = warning(2)
    checked = clear(sign, "checked_by_professional", 2)
    assert checked.cleared_on == sign.for_day
    assert days_closed(checked, "hands", POLICY) == (sign.for_day, sign.for_day)
    assert open_warnings([checked], POLICY) == ()
    assert closed_for([checked]) == set()


def test_a_caution_closes_until_it_is_ticked() -> None:
    fractured = plan(cautions=answered("recent_fracture"))
    closed = closures(POLICY, fractured, [], "right", today=DAY)
    assert closed.parts == set(PARTS)
    assert not any(closed.by_sign(part) for part in PARTS)
    assert {(one.caution, one.until) for one in closed.by} == {("recent_fracture", "ticked")}
    for answers in (answered("recent_fracture", allowed=True), no_to_all()):
        assert closures(POLICY, plan(cautions=answers), [], "right", today=DAY).by == ()


def test_what_rests_after_an_injection_is_open_again_by_itself() -> None:
    submitted = [event(0, side="right")]
    for day, parts in ((6, set(PARTS)), (7, set())):
        today = DAY + timedelta(days=day)
        closed = closures(POLICY, plan(cautions=no_to_all()), submitted, "right", today=today)
        assert closed.parts == parts
        assert {one.until for one in closed.by} == ({"days"} if parts else set())


def test_the_last_look_at_the_skin() -> None:
    off = tape_off(at(1), skin_at_once="pink", skin_after_30_min="broken")
    assert skin_to_ask([off], "right")
    assert not skin_to_ask([off], "left")
    assert closed_for([off]) == {"hands", "tape_on", "outing_tape"}
    assert not skin_to_ask([off, page(2, skin="clear")], "right")
    assert skin_to_ask([off, page(0, skin="clear")], "right")
    assert skin_to_ask([page(2, skin="blister")], "right")
    assert not skin_to_ask([off, tape_on(at(3), skin_before="clear")], "right")
    sign = warning(1, sign="skin_broken", level="call", sides=("right",))
    assert not skin_to_ask([off, clear(sign, "skin_read_clear", 2)], "right")


def test_a_look_typed_in_later_for_an_earlier_day_does_not_overrule_a_later_look() -> None:
    today = page(3, skin="blister", written_at=at(3, 19))
    from_paper = page(1, skin="clear", written_at=at(4, 10), written_by="paper")
    assert skin_to_ask([today, from_paper], "right")
    healed = page(3, skin="clear", written_at=at(3, 19))
    blister_from_paper = page(1, skin="blister", written_at=at(4, 10), written_by="paper")
    assert not skin_to_ask([healed, blister_from_paper], "right")


def test_the_highest_level_counts() -> None:
    levels = ("care", "call", "today", "emergency")
    for one, other in product(levels, levels):
        assert highest([one, other]) == max(one, other, key=levels.index)  # type: ignore[list-item]
    assert highest([]) is None


def test_every_way_to_clear_can_be_written() -> None:
    field = WarningSign.__annotations__["cleared"]
    assert set(get_args(get_args(field)[0])) == set(get_args(Cleared))
