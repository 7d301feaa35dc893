"""What signs lock and what clears them."""

from dataclasses import replace
from datetime import timedelta
from itertools import product
from typing import get_args

import pytest

from companion.care.history import current
from companion.care.locks import (
    cleared,
    days_held,
    highest,
    level_of,
    locks,
    locks_of,
    open_warnings,
    skin_to_ask,
    to_ask_at_gate,
    ways_to_clear,
)
from companion.care.records import Cleared, WarningSign
from tests.builders import DAY, at, new_id, page, tape_off, tape_on, warning
from tests.care.content import CATALOGUE

STOP_LIST = CATALOGUE.stop_list


def clear(sign: WarningSign, how: Cleared, day: int, **fields: object) -> WarningSign:
    on = fields.get("on", DAY + timedelta(days=day))
    return cleared(
        sign,
        how,
        on=on,  # type: ignore[arg-type]
        by="walk-in clinic",
        entry_id=new_id(),
        written_at=at(day, 20),
        written_by="person",
        plan_version=1,
    )


@pytest.mark.parametrize("level", ["today", "emergency"])
def test_today_and_emergency_lock_until_checked_or_taken_back(level: str) -> None:
    sign = warning(0, level=level, sides=("right",))
    for side in ("left", "right"):
        held = locks([sign], side)
        assert (held.hands, held.exercise, held.tape_on, held.standing_steps) == (True,) * 4
        assert held.why == (sign,)
    for how in ("checked_by_professional", "ticked_by_mistake"):
        over = clear(sign, how, 2)
        free = locks(current([sign, over]), "right")
        assert (free.hands, free.exercise, free.tape_on, free.why) == (False, False, False, ())
        assert over.for_day == sign.for_day
    for how in ("skin_read_clear", "well_again", "asked_again"):
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
        assert locks([one], "right").hands
        assert open_warnings([one]) == (one,)
    for day in (0, None):
        with pytest.raises(ValueError, match="needs its date"):
            clear(sign, "checked_by_professional", 1, on=None if day is None else DAY)


def test_the_list_can_raise_a_level_but_not_lower_it() -> None:
    low = warning(0, sign="chest_or_breath", level="care")
    assert level_of(low, STOP_LIST) == "emergency"
    assert locks([low], "right", STOP_LIST).exercise
    high = warning(0, sign="lump", level="emergency")
    assert level_of(high, STOP_LIST) == "emergency"
    assert ways_to_clear(high, STOP_LIST) == ("checked_by_professional", "ticked_by_mistake")


@pytest.mark.parametrize("stop_list", [None, STOP_LIST])
def test_broken_skin_locks_hands_and_tape_there_until_read_clear(stop_list: None) -> None:
    sign = warning(0, sign="skin_broken", level="call", sides=("right",))
    held = locks([sign], "right", stop_list)
    assert (held.hands, held.tape_on, held.exercise) == (True, True, False)
    assert not locks([sign], "left", stop_list).hands
    assert locks([replace(sign, sides=())], "left", stop_list).hands, "in doubt, both"
    assert to_ask_at_gate([sign], stop_list) == (sign,)
    over = clear(sign, "skin_read_clear", 3)
    assert not locks(current([over, sign]), "right", stop_list).hands
    with pytest.raises(ValueError, match="does not clear"):
        clear(sign, "checked_by_professional", 3)


def test_call_is_asked_about_at_the_next_gate() -> None:
    sign = warning(0, sign="lump", level="call")
    held = locks([sign], "right", STOP_LIST)
    assert (held.hands, held.exercise, held.tape_on) == (False, False, False)
    assert to_ask_at_gate([sign], STOP_LIST) == (sign,)
    assert to_ask_at_gate(current([sign, clear(sign, "asked_again", 1)]), STOP_LIST) == ()
    assert to_ask_at_gate([warning(0)], STOP_LIST) == (), "a professional must clear this one"


def test_standing_steps_alone() -> None:
    sign = warning(0, sign="gives_way_worse", level="call", sides=("right",))
    held = locks([sign], "right", STOP_LIST)
    assert (held.standing_steps, held.exercise) == (True, False)


def test_a_sign_for_its_own_session_is_over_afterwards() -> None:
    sign = warning(0, sign="pain_over_limit", level="care")
    for stop_list in (None, STOP_LIST):
        assert open_warnings([sign], stop_list) == ()
        assert ways_to_clear(sign, stop_list) == ("ticked_by_mistake",)


def test_unwell_locks_until_well_again() -> None:
    sign = warning(0, sign="unwell", level="care")
    for stop_list in (None, STOP_LIST):
        assert locks([sign], "right", stop_list).exercise
        over = clear(sign, "well_again", 2)
        assert not locks([over], "right", stop_list).exercise


def test_without_the_list_the_same_as_with_it() -> None:
    """The short table of lower signs says what the stop list says."""
    for sign in STOP_LIST.signs:
        one = warning(0, sign=sign.id, level=sign.level)
        listed = tuple(lock for lock in locks_of(one, STOP_LIST) if lock != "standing_steps")
        assert locks_of(one) == listed, sign.id
        if listed:
            assert ways_to_clear(one) == ways_to_clear(one, STOP_LIST), sign.id


def test_highest_first() -> None:
    call, today, emergency = (
        warning(day, sign="s", level=level)
        for day, level in enumerate(("call", "today", "emergency"))
    )
    assert open_warnings([call, today, emergency]) == (emergency, today, call)


def test_days_held() -> None:
    sign = warning(2)
    assert days_held(sign) == (DAY + timedelta(days=2), None)
    assert days_held(clear(sign, "checked_by_professional", 5))[1] == DAY + timedelta(days=5)
    mistake = clear(sign, "ticked_by_mistake", 2, on=None)
    assert days_held(mistake) == (sign.for_day, sign.for_day)
    on = [DAY + timedelta(days=day) for day in range(7)]
    checked = clear(sign, "checked_by_professional", 5)
    assert [locks([checked], "right", on=day).hands for day in on] == [0, 0, 1, 1, 1, 0, 0]


def test_a_check_on_the_day_of_the_tick_opens_again() -> None:
    """Ticked in the morning, seen in the afternoon: it held on no whole day."""
    sign = warning(2)
    checked = clear(sign, "checked_by_professional", 2)
    assert checked.cleared_on == sign.for_day
    assert days_held(checked) == (sign.for_day, sign.for_day)
    assert open_warnings([checked]) == ()
    assert not locks([checked], "right").hands


def test_the_last_look_at_the_skin() -> None:
    off = tape_off(at(1), skin_at_once="pink", skin_after_30_min="broken")
    assert skin_to_ask([off], "right")
    assert not skin_to_ask([off], "left")
    held = locks([off], "right")
    assert (held.skin, held.hands, held.tape_on, held.exercise) == (True, True, True, False)
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
