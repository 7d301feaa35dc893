"""The wear clock across evenings, midnight, a change of the clocks and travel."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.days import diary_day
from companion.care.history import current
from companion.care.records import AnyEntry, TapeOff, TapeOn
from companion.care.tape_applications import (
    TapeApplication,
    current_application,
    last_wears,
    rest_until,
    same_make,
    skin_look_at,
    tape_applications,
    taped_days,
    wear_clock,
    worn_hours,
)
from tests.builders import DAY, at, page, plan, tape_off, tape_on
from tests.care.london import LONDON
from tests.strategies import close_together

PLAN = plan()


def one_wear(on_at: datetime, number: int = 1) -> TapeApplication:
    return TapeApplication(
        side="right",
        on_ids=("a" * 32,),
        on_at=on_at,
        stage=1,
        make=None,
        for_outing=False,
        number=number,
    )


def test_london_changes_its_clocks() -> None:
    """The zone the tests use is right about itself."""
    assert datetime(2026, 3, 29, 0, 59, tzinfo=UTC).astimezone(LONDON).hour == 0
    assert datetime(2026, 3, 29, 1, 0, tzinfo=UTC).astimezone(LONDON).hour == 2
    before = datetime(2026, 10, 25, 0, 30, tzinfo=UTC).astimezone(LONDON)
    after = datetime(2026, 10, 25, 1, 30, tzinfo=UTC).astimezone(LONDON)
    assert (before.hour, after.hour) == (1, 1)
    assert after.astimezone(UTC) - before.astimezone(UTC) == timedelta(hours=1)


@pytest.mark.parametrize(("number", "hours"), [(1, 24), (2, 48), (3, 72), (9, 72)])
def test_first_wear_24_then_48_then_the_plans(number: int, hours: int) -> None:
    """First wear 24 h, then 48 h, then the plan's 72, hard cap 120 (facts: wear_first,
    wear_second, wear_usual, wear_cap)."""
    clock = wear_clock(one_wear(at(0, 10), number), PLAN, at(0, 12), UTC)
    assert clock.due_at == at(0, 10) + timedelta(hours=hours)
    assert clock.cap_at == at(5, 10)
    assert (clock.state, clock.worn_hours, clock.hours_left) == ("on", 2, hours - 2)
    assert clock.off_day == DAY + timedelta(hours=hours)


@pytest.mark.parametrize(
    ("on", "due"),
    [
        (at(0, 8), at(1, 8)),
        (at(0, 7, 59), at(0, 21)),
        (at(0, 20, 59), at(1, 20, 59)),
        (at(0, 21), at(1, 21)),
        (at(0, 21, 1), at(1, 21)),
        (at(0, 23, 59), at(1, 21)),
        (at(1, 0, 30), at(1, 21)),
    ],
)
def test_a_due_time_in_the_night_comes_forward_to_the_evening(on: datetime, due: datetime) -> None:
    assert wear_clock(one_wear(on), PLAN, on, UTC).due_at == due


def test_nine_in_the_evening_itself_is_not_the_night() -> None:
    assert wear_clock(one_wear(at(0, 21), 2), PLAN, at(0, 22), UTC).due_at == at(2, 21)


def test_an_evening_before_the_tape_went_on_is_no_due_time() -> None:
    short = plan({"first_wear_hours": 6})
    assert wear_clock(one_wear(at(0, 22)), short, at(0, 22), UTC).due_at == at(1, 4)
    assert wear_clock(one_wear(at(0, 20)), short, at(0, 20), UTC).due_at == at(0, 21)


def test_never_past_the_hard_cap() -> None:
    tight = plan({"wear_hours": 168, "cap_hours": 30})
    clock = wear_clock(one_wear(at(0, 10), 3), tight, at(1, 16), UTC)
    assert clock.due_at == clock.cap_at == at(1, 16)
    assert clock.state == "over_cap"


def test_states() -> None:
    wear = one_wear(at(0, 10))
    assert wear_clock(wear, PLAN, at(1, 9, 59), UTC).state == "on"
    due = wear_clock(wear, PLAN, at(1, 10), UTC)
    assert (due.state, due.hours_left) == ("due", 0)
    assert wear_clock(wear, PLAN, at(5, 9, 59), UTC).state == "due"
    assert wear_clock(wear, PLAN, at(5, 10), UTC).state == "over_cap"
    assert wear_clock(wear, PLAN, at(1, 12), UTC).hours_left == -2


def test_real_hours_across_the_change_of_the_clocks() -> None:
    """On 29 March 2026 London skips an hour, on 25 October it has one twice."""
    spring = datetime(2026, 3, 28, 12, tzinfo=LONDON)
    clock = wear_clock(one_wear(spring), PLAN, datetime(2026, 3, 29, 12, tzinfo=LONDON), LONDON)
    assert clock.worn_hours == 23
    assert (clock.due_at.day, clock.due_at.hour) == (29, 13)
    autumn = datetime(2026, 10, 24, 12, tzinfo=LONDON)
    clock = wear_clock(one_wear(autumn), PLAN, datetime(2026, 10, 25, 12, tzinfo=LONDON), LONDON)
    assert clock.worn_hours == 25
    assert (clock.due_at.day, clock.due_at.hour) == (25, 11)
    # 24 real hours after 20:30 are 21:30 on the wall: the evening rule looks at the wall.
    late = datetime(2026, 3, 28, 20, 30, tzinfo=LONDON)
    clock = wear_clock(one_wear(late), PLAN, late, LONDON)
    assert (clock.due_at.hour, clock.due_at.minute) == (21, 0)
    off = tape_off(datetime(2026, 3, 29, 12, tzinfo=LONDON))
    (wear,) = tape_applications([tape_on(spring), off], "right")
    assert worn_hours(wear) == 23


def test_travel_moves_the_wall_clock_not_the_hours() -> None:
    east = timezone(timedelta(hours=5, minutes=30))
    on = at(0, 12)
    home = wear_clock(one_wear(on), PLAN, at(1, 11), UTC)
    away = wear_clock(one_wear(on), PLAN, at(1, 11), east)
    assert (home.due_at.hour, away.due_at.hour, away.due_at.minute) == (12, 17, 30)
    assert home.due_at == away.due_at
    assert home.worn_hours == away.worn_hours == 23
    # 16:00 UTC is 21:30 there: it comes forward to 21:00 there.
    late = wear_clock(one_wear(at(0, 16)), PLAN, at(1, 11), east)
    assert late.due_at == at(1, 15, 30)


@given(
    st.integers(0, 245 * 24 * 60).map(lambda minutes: at(0) + timedelta(minutes=minutes)),
    st.integers(1, 168),
    st.integers(1, 168),
    st.integers(0, 200),
)
def test_due_is_after_on_and_not_past_plan_or_cap(
    on: datetime, hours: int, cap: int, later: int
) -> None:
    tape = plan({"first_wear_hours": hours, "cap_hours": cap})
    clock = wear_clock(one_wear(on), tape, on + timedelta(hours=later), LONDON)
    assert on < clock.due_at.astimezone(UTC) <= on + timedelta(hours=min(hours, cap))
    assert clock.due_at.astimezone(UTC) <= clock.cap_at.astimezone(UTC)
    assert clock.worn_hours == later
    wall = clock.due_at.time()
    if not time(8) <= wall <= time(21):
        day = clock.due_at.date() - timedelta(days=1 if wall < time(8) else 0)
        evening = datetime.combine(day, time(21), tzinfo=LONDON)
        assert evening.astimezone(UTC) <= on, "in the night only when it went on that evening"


def test_short_pieces_added_later_are_the_same_wear() -> None:
    first, second = tape_on(at(0, 10)), tape_on(at(0, 10, 20), stage=2)
    wear = current_application([second, first], "right")
    assert wear is not None
    assert (wear.on_at, wear.stage, wear.on_ids) == (at(0, 10), 2, (first.id, second.id))
    assert wear.number == 1
    assert current_application([second, first], "left") is None


def test_off_ends_the_wear_and_the_next_is_the_second() -> None:
    on, off, again = tape_on(at(0, 10)), tape_off(at(1, 9)), tape_on(at(3, 10))
    first, second = tape_applications([again, off, on], "right")
    assert (first.ended, first.off_at, worn_hours(first)) == (True, at(1, 9), 23)
    assert (second.number, second.ended, worn_hours(second)) == (2, False, None)
    other_make = tape_applications([on, off, replace(again, make="Other")], "right")[1]
    assert other_make.number == 1, "a new make starts again"
    assert same_make(" slate 50", "Slate 50")


def test_tape_on_again_without_an_off_is_a_new_wear() -> None:
    first, second = tape_applications([tape_on(at(0, 10)), tape_on(at(4, 10))], "right")
    assert (first.ended, first.off_at, first.off_by) == (True, None, at(4, 10))
    assert (second.ended, second.number) == (False, 2)
    assert worn_hours(first) is None


def test_dont_know_when_counts_as_late_as_can_be() -> None:
    on = tape_on(at(0, 10))
    off = tape_off(None, written_at=at(2, 18), tape_on=on.id)
    (wear,) = tape_applications([on, off], "right")
    assert (wear.ended, wear.off_at, wear.off_by) == (True, None, at(2, 18))
    assert rest_until([on, off], "right", PLAN.tape) == at(3, 18)
    assert skin_look_at([on, off], "right") == at(2, 18, 30)


def test_an_off_written_before_its_own_on_still_ends_it() -> None:
    on = tape_on(at(0, 14))
    off = tape_off(at(0, 13), tape_on=on.id)
    (wear,) = tape_applications([on, off], "right")
    assert (wear.ended, wear.off_at, wear.off_id) == (True, None, off.id)


def test_an_off_that_names_a_replaced_tape_on_goes_by_its_time() -> None:
    on = tape_on(at(0, 14))
    (wear,) = tape_applications([on, tape_off(at(1, 13), tape_on="e" * 32)], "right")
    assert wear.off_at == at(1, 13)
    assert tape_applications([tape_off(at(1, 13))], "right") == ()


def test_an_off_for_an_earlier_wear_leaves_the_present_one_on() -> None:
    on, off, again = tape_on(at(0, 10)), tape_off(at(1, 9)), tape_on(at(3, 10))
    repeated = tape_off(at(3, 12), tape_on=on.id)
    assert current_application([on, off, again, repeated], "right") is not None


def test_rest_after_tape() -> None:
    """Rest before the next wear: plan field, default 24 h (C)."""
    on, off = tape_on(at(0, 10)), tape_off(at(1, 9))
    assert rest_until([on, off], "right", PLAN.tape) == at(2, 9)
    assert rest_until([on], "right", PLAN.tape) is None
    assert rest_until([], "right", PLAN.tape) is None


def test_the_skin_is_looked_at_after_30_minutes() -> None:
    """MARSI consensus, McNichol 2013, updated 2024: redness past 30 minutes (F)."""
    on, off = tape_on(at(0, 10)), tape_off(at(1, 9), skin_at_once="pink")
    assert skin_look_at([on, off], "right") == at(1, 9, 30)
    assert skin_look_at([on, off], "left") is None
    assert skin_look_at([on, replace(off, skin_after_30_min="clear")], "right") is None
    assert skin_look_at([on, off, page(1, skin="clear", written_at=at(1, 20))], "right") is None
    assert skin_look_at([on, off, page(1, skin="clear", written_at=at(1, 9, 5))], "right")
    assert skin_look_at([on, off, tape_on(at(3, 10))], "right") is None


def test_a_look_at_exactly_30_minutes_is_that_look() -> None:
    off = tape_off(at(1, 9), skin_at_once="pink")
    early = page(1, skin="clear", written_at=at(1, 9, 29))
    on_time = page(1, skin="clear", written_at=at(1, 9, 30))
    assert skin_look_at([off, early], "right") == at(1, 9, 30)
    assert skin_look_at([off, on_time], "right") is None


def days(*numbers: int) -> frozenset[date]:
    return frozenset(DAY + timedelta(days=number) for number in numbers)


def test_taped_days_are_those_that_began_with_tape_on() -> None:
    on, off = tape_on(at(0, 10)), tape_off(at(2, 9))
    assert taped_days([on, off], "right", 120, DAY + timedelta(days=9)) == days(1, 2)
    assert taped_days([on, off], "right", 120, DAY + timedelta(days=1)) == days(1)
    assert taped_days([on, tape_off(at(0, 23))], "right", 120, DAY + timedelta(days=9)) == days()
    # The diary day ends at 03:00: off at 02:00 is still the evening before.
    late = tape_off(at(2, 2))
    assert taped_days([on, late], "right", 120, DAY + timedelta(days=9)) == days(1)
    paper = page(5, tape_worn=True)
    assert taped_days([paper], "right", 120, DAY + timedelta(days=9)) == days(5)


def test_tape_nobody_wrote_off_does_not_stay_on_for_ever() -> None:
    on = tape_on(at(0, 10))
    last = DAY + timedelta(days=60)
    assert taped_days([on], "right", 48, last) == days(1, 2)
    unknown = tape_off(None, written_at=at(1, 18))
    assert taped_days([on, unknown], "right", 120, last) == days(1)


# ---------------------------------------------------------------- the last of many wears

TODAY = DAY + timedelta(days=60)
worn = close_together([PLAN], TODAY, kinds=("tape_on", "tape_off", "tape_off"))


def _but_for_numbers(found: tuple[TapeApplication, ...]) -> tuple[TapeApplication, ...]:
    return tuple(replace(wear, number=0) for wear in found)


@given(worn)
def test_the_last_wears_are_the_last_of_all(entries: tuple[AnyEntry, ...]) -> None:
    counting = current(entries)
    every = tape_applications(counting, "right")
    shorter = 0
    for found in last_wears(counting, "right"):
        assert len(found) >= shorter
        assert _but_for_numbers(found) == _but_for_numbers(every[len(every) - len(found) :])
        shorter = len(found)
    assert found == every
    assert current_application(counting, "right") == next(
        (w for w in every[-1:] if not w.ended), None
    )


@given(worn)
def test_taped_days_of_a_part_are_those_of_the_whole(entries: tuple[AnyEntry, ...]) -> None:
    """Where an entry stands on the day it happened, as every part of this program writes it."""
    consistent = tuple(
        replace(entry, for_day=diary_day(entry.happened_at or entry.written_at))
        for entry in current(entries)
        if isinstance(entry, TapeOn | TapeOff)
    )
    whole = taped_days(consistent, "right", 120, TODAY)
    for first in (TODAY - timedelta(days=days) for days in range(70)):
        part = taped_days(consistent, "right", 120, TODAY, first)
        assert part == {day for day in whole if day >= first}
