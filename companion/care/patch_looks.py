"""When a look at a test piece counts: the one rule, for the walk, the tape gate and what is due.

A look that was missed or came too early never counts. The windows are handed in; who cannot load
the content of the trade has them as `LOOKS`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from typing import Literal, Protocol

from companion.care.days import diary_day
from companion.care.finding import Entries, find
from companion.care.history import instant
from companion.care.records import PatchTest, WarningSign

Look = Literal["first", "second"]
Moment = Literal["too_early", "first", "second", "too_late", "clear", "not_clear"]
PATCH_CALL = "patch_call"
"""The sign that stands for what was said of a test piece whose skin was not clear."""
NEXT_MORNING = time(8, 0)
"""When a day begins for whoever is to look at the skin again (C)."""


class LookHours(Protocol):
    """When one look is made, in hours after the piece was placed."""

    @property
    def earliest_hours(self) -> int:
        """From then on it counts."""

    @property
    def latest_hours(self) -> int:
        """The last hour in which it counts."""


@dataclass(frozen=True, slots=True)
class _Hours:
    earliest_hours: int
    latest_hours: int


LOOKS: tuple[LookHours, ...] = (_Hours(24, 47), _Hours(48, 72))
"""When a test piece is looked at (fact: patch_test_hours); a test holds them to the content."""


def red_test(entries: Entries) -> PatchTest | None:
    """The test piece, of whatever make, whose skin was not clear last, until somebody said what the
    clinic says of it: from then on that is a sign of its own (fact: patch_test_not_clear)."""
    red = [(at, test) for test in find(entries, PatchTest) for at in [_red_since(test)] if at]
    if not red:
        return None
    since, test = max(red, key=lambda one: (one[0], one[1].id))
    told = (
        sign
        for sign in find(entries, WarningSign)
        if sign.sign == PATCH_CALL and sign.cleared != "ticked_by_mistake"
    )
    return None if any(instant(sign.written_at) >= since for sign in told) else test


def _red_since(test: PatchTest) -> datetime | None:
    """When a look found skin that was not clear."""
    looks = ((test.second_skin, test.second_read_at), (test.first_skin, test.first_read_at))
    found = (instant(at or test.written_at) for skin, at in looks if skin not in (None, "clear"))
    return next(found, None)


def first_look_counts(test: PatchTest, readings: Sequence[LookHours]) -> bool:
    """Whether the first look was clear, and not too early."""
    if test.first_skin != "clear" or test.first_read_at is None:
        return False
    return _whole_hours(test, test.first_read_at) >= readings[0].earliest_hours


def _second_look_counts(test: PatchTest, readings: Sequence[LookHours]) -> bool:
    """Whether the second look was clear, after one that counts, and in its time."""
    first_at, second_at = test.first_read_at, test.second_read_at
    if not first_look_counts(test, readings) or first_at is None or second_at is None:
        return False
    in_time = _whole_hours(test, second_at) <= readings[-1].latest_hours
    begun = instant(second_at) >= _second_from(test, first_at, readings)
    return test.second_skin == "clear" and in_time and begun


def look_from(test: PatchTest, readings: Sequence[LookHours]) -> datetime:
    """From when the next look counts: the first after 24 h, the second after 48 h.

    The second is on a later day than the first: two looks in one hour would be one look.
    """
    placed = instant(test.happened_at)
    if not first_look_counts(test, readings) or test.first_read_at is None:
        return placed + timedelta(hours=readings[0].earliest_hours)
    return _second_from(test, test.first_read_at, readings)


def look_until(test: PatchTest, readings: Sequence[LookHours]) -> datetime:
    """Until when a look counts: the end of the hour that is the last of the second window."""
    return instant(test.happened_at) + timedelta(hours=readings[-1].latest_hours)


def counts_until(test: PatchTest, readings: Sequence[LookHours]) -> datetime:
    """From when on no look at this test counts any more."""
    return look_until(test, readings) + timedelta(hours=1)


def morning_of(day: date, zone: tzinfo | None) -> datetime:
    """When a day begins for whoever is to look at the skin."""
    return datetime.combine(day, NEXT_MORNING, tzinfo=zone)


def moment(test: PatchTest, at: datetime, readings: Sequence[LookHours]) -> Moment:
    """What a look at this test at `at` is: one of the two, too early, too late, or not needed.

    A first look that leaves no time for the second is too late.
    """
    if any(skin not in (None, "clear") for skin in (test.first_skin, test.second_skin)):
        return "not_clear"
    first = first_look_counts(test, readings)
    if _second_look_counts(test, readings):
        return "clear"
    begins = look_from(test, readings)
    ends = counts_until(test, readings)
    if instant(at) >= ends or begins >= ends:
        return "too_late"
    if instant(at) < begins:
        return "too_early"
    if first:
        return "second"
    return "too_late" if next_look(test, at, readings) is None else "first"


def _second_from(test: PatchTest, first_at: datetime, readings: Sequence[LookHours]) -> datetime:
    morning = morning_of(diary_day(first_at) + timedelta(days=1), first_at.tzinfo)
    second = instant(test.happened_at) + timedelta(hours=readings[-1].earliest_hours)
    return max(second, morning.astimezone(UTC))


def _whole_hours(test: PatchTest, at: datetime) -> int:
    return (instant(at) - instant(test.happened_at)) // timedelta(hours=1)


def next_look(
    test: PatchTest, first_at: datetime, readings: Sequence[LookHours]
) -> datetime | None:
    """When the second look begins after a clear first one at `first_at`; None: too late for it."""
    begins = _second_from(test, first_at, readings)
    late = begins >= counts_until(test, readings)
    return None if late else begins.astimezone(first_at.tzinfo)
