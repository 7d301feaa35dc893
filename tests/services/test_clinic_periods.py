"""Two periods, counted by hand. The change and its interval are pinned in tests/oracles; here it
is which days go into them, and when nothing is told."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from companion.care.records import (
    AnyEntry,
    DayPage,
    Event,
    MoveScore,
    Plan,
    Session,
    StepDone,
    TapeOff,
    TapeOn,
)
from companion.services.clinic_periods import Count, Days, around, first_and_last, two_periods
from tests import builders
from tests.builders import small_plan
from tests.exchange.made import FIRST, an_id, at

PLAN = small_plan()


def day(number: int) -> date:
    return FIRST + timedelta(days=number)


def page(number: int, average: int | None, **more: Any) -> DayPage:
    own = {"id": an_id(number), "written_at": at(number, 20)}
    return builders.page(number, pain_average=average, **(own | more))


def compared(*entries: AnyEntry, one: Days, other: Days, plans: tuple[Plan, ...] = (PLAN,)) -> Any:
    return two_periods(entries, plans, "right", one, other)


def test_means_and_answers_are_counted_over_their_own_days() -> None:
    pages = [
        page(0, 6, pain_worst=8, medicine=True, night_pain=True, stairs="backwards"),
        page(1, None, medicine=False),
        page(2, 4, pain_worst=6),
        page(20, 2, medicine=True, night_pain=False, stairs="in_turn"),
    ]
    found = compared(*pages, one=Days(day(0), day(2)), other=Days(day(20), day(20)))
    one, other = found.one, found.other
    assert (one.pain_mean, one.pain_days, one.worst_mean) == (5.0, 2, 7.0)
    assert (one.medicine, one.night_pain, one.backwards) == (Count(1, 2), Count(1, 1), Count(1, 1))
    assert (other.pain_mean, other.pain_days, other.worst_mean) == (2.0, 1, None)
    assert (other.medicine, other.backwards) == (Count(1, 1), Count(0, 1))
    assert found.change is None  # too few days in either


def test_sessions_tape_and_falls() -> None:
    session = Session(
        id=an_id(100),
        for_day=day(1),
        written_at=at(1, 18),
        written_by="person",
        plan_version=1,
        side="right",
        moves=(MoveScore(role="before", score=8), MoveScore(role="after_hands", score=4)),
        exercises=(StepDone(step="straight_leg_raise", outcome="done"),),
        ended="finished",
    )
    on = TapeOn(
        id=an_id(101),
        for_day=day(1),
        written_at=at(1, 18),
        written_by="person",
        plan_version=1,
        side="right",
        happened_at=at(1, 18),
        stage=1,
    )
    off = TapeOff(
        id=an_id(102),
        for_day=day(3),
        written_at=at(3, 18),
        written_by="person",
        plan_version=1,
        side="right",
        tape_on=on.id,
        happened_at=at(3, 18),
    )
    fall = Event(
        id=an_id(103),
        for_day=day(9),
        written_at=at(9, 9),
        written_by="person",
        plan_version=1,
        what="fall",
    )
    found = compared(session, on, off, fall, one=Days(day(0), day(6)), other=Days(day(7), day(13)))
    one, other = found.one, found.other
    # 8 to 4 is half: the default target of 50 % is met, edge included.
    assert one.eased == Count(1, 1)
    # Five days a week on seven days, none locked or resting.
    assert (one.exercise.sessions_done, one.exercise.sessions_prescribed) == (1, 5)
    # Tape takes its two whole days out of the hands count: 5 days x 5/7 = 3.57, 4 prescribed.
    # A score after hands says that hands were done, as it does in the findings.
    assert (one.hands.sessions_done, one.hands.sessions_prescribed) == (1, 4)
    assert (one.tape_on, one.taped_days, one.falls) == (1, 3, 0)
    assert (other.eased, other.tape_on, other.falls) == (Count(0, 0), 0, 1)


def test_a_change_needs_ten_days_in_both_and_no_shared_day() -> None:
    pages = [page(n, 6 if n % 2 else 5) for n in range(14)]
    pages += [page(n, 3 if n % 2 else 2) for n in range(40, 54)]
    one, other = Days(day(0), day(13)), Days(day(40), day(53))
    found = compared(*pages, one=one, other=other)
    assert found.change == pytest.approx(-3.0)  # 5.5 to 2.5
    assert found.low < -3.0 < found.high
    assert compared(*pages[4:], one=one, other=other).change is not None  # 10 and 14 days
    assert compared(*pages[5:], one=one, other=other).change is None  # 9 and 14
    shared = compared(*pages, one=Days(day(0), day(45)), other=other)
    assert (shared.shared, shared.change) == (6, None)


def test_days_of_a_period() -> None:
    assert Days(day(0), day(13)).count == 14
    with pytest.raises(ValueError, match="before its first"):
        Days(day(1), day(0))


def test_the_periods_that_are_offered() -> None:
    assert first_and_last(day(0), day(27)) == (Days(day(0), day(13)), Days(day(14), day(27)))
    # Nine days make two periods of four, and share none.
    assert first_and_last(day(0), day(8)) == (Days(day(0), day(3)), Days(day(5), day(8)))
    assert first_and_last(day(0), day(0)) == (Days(day(0), day(0)), Days(day(0), day(0)))
    assert around(day(10), day(0), day(60)) == (Days(day(0), day(9)), Days(day(10), day(37)))
    assert around(day(0), day(0), day(60)) is None
    assert around(day(61), day(0), day(60)) is None
