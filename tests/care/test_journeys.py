"""Days away: which journey, what o'clock it is there, and which pages are typed later."""

from datetime import UTC, date, datetime, timedelta, timezone
from typing import Any

import pytest

from companion.care.journeys import (
    by_the_clock_then,
    by_the_clock_there,
    journey_next,
    journey_now,
    journey_of,
    pages_to_type,
)
from companion.care.open_things import open_things
from companion.care.records import Journey
from tests.builders import DAY, at, page
from tests.care.content import CATALOGUE, whole_plan


def journey(first: int, last: int, **fields: Any) -> Journey:
    return Journey(
        id=f"{first:016x}{last:016x}",
        for_day=DAY,
        written_at=at(0),
        written_by="person",
        plan_version=1,
        first_day=DAY + timedelta(days=first),
        last_day=DAY + timedelta(days=last),
        **fields,
    )


def day(number: int) -> date:
    return DAY + timedelta(days=number)


def test_a_journey_is_under_way_by_its_days_alone() -> None:
    one, two = journey(3, 9), journey(20, 21)
    told = [one, two]
    assert [journey_now(told, day(n)) for n in (2, 3, 9, 10)] == [None, one, one, None]
    assert [journey_next(told, day(n)) for n in (2, 3, 20)] == [one, two, None]
    assert [journey_of(told, day(n)) for n in (0, 5, 10, 22)] == [one, one, two, None]
    assert journey_of([journey(9, 3)], day(5)) is None, "days in the wrong order are none"


def test_what_of_a_journey_is_open() -> None:
    told = (journey(20, 23),)

    def codes(number: int, *more: Any) -> list[str]:
        now = at(number, 12)
        things = open_things(
            whole_plan(),
            (*told, *more),
            today=day(number),
            now=now,
            zone=UTC,
            policy=CATALOGUE.policy,
        )
        return [one.code for one in things]

    assert codes(5) == []
    assert codes(6) == codes(19) == ["journey_soon"]
    assert codes(20) == codes(23) == ["journey"]
    assert codes(24) == codes(37) == ["journey_pages"]
    assert codes(38) == []
    assert codes(25, *(page(n, pain_average=4) for n in range(20, 24))) == []


def test_pages_of_a_journey_are_typed_once_it_is_over() -> None:
    told = (journey(1, 4), page(2, pain_average=4))
    assert pages_to_type(told, "right", day(4)) == ()
    assert pages_to_type(told, "right", day(5)) == (day(1), day(3), day(4))
    assert pages_to_type(told, "right", day(19)) == ()


HOME = timezone(timedelta(hours=1))
OFF = datetime(2026, 10, 24, 5, 0, tzinfo=HOME)


@pytest.mark.parametrize(
    ("ahead", "computer", "said"),
    [
        (-8, HOME, "21:00"),  # the computer still goes by home
        (-8, timezone(timedelta(hours=2)), "22:00"),  # so it does in summer
        (-8, timezone(timedelta(hours=-7)), None),  # it was set there
        (9, HOME, "14:00"),
        (5.75, HOME, "10:45"),
        (0, HOME, None),
        (None, HOME, None),
    ],
)
def test_the_off_time_is_told_by_the_clock_there(
    ahead: float | None, computer: timezone, said: str | None
) -> None:
    told = journey(0, 9, clock_ahead=ahead, home_minutes=60)
    there = by_the_clock_there(OFF.astimezone(computer), told)
    assert (None if there is None else f"{there:%H:%M}") == said
    assert there is None or there == OFF


def test_tape_that_went_on_by_another_clock_is_told_by_that_one() -> None:
    """Written on it was Saturday, and the page said Friday, without a word why."""
    here = OFF.astimezone(timezone(timedelta(hours=-8)))
    then = by_the_clock_then(here, OFF - timedelta(days=3))
    assert then is not None
    assert (f"{here:%a %H:%M}", f"{then:%a %H:%M}") == ("Fri 20:00", "Sat 05:00")
    summer = OFF.astimezone(timezone(timedelta(hours=2)))
    assert by_the_clock_then(summer, OFF) is None, "an hour is summer time"
