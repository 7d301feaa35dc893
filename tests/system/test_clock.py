"""The clocks: aware instants, and days that end at 03:00 local time."""

import os
import time
from collections.abc import Iterator
from datetime import date, datetime, timedelta, timezone
from pathlib import Path

import pytest

from companion.care.days import diary_day
from companion.system.clock import Clock, PinnedClock, SystemClock

needs_zones = pytest.mark.skipif(not hasattr(time, "tzset"), reason="no tzset on this system")


@pytest.fixture
def berlin(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Central European time by its POSIX rule, so that no zone database is needed."""
    monkeypatch.setenv("TZ", "CET-1CEST,M3.5.0,M10.5.0/3")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


class Ticks:
    """Stands in for the monotonic clock."""

    def __init__(self) -> None:
        self.seconds = 100.0

    def monotonic(self) -> float:
        return self.seconds


@pytest.fixture
def ticks(monkeypatch: pytest.MonkeyPatch) -> Ticks:
    ticks = Ticks()
    monkeypatch.setattr("companion.system.clock.time.monotonic", ticks.monotonic)
    return ticks


def test_the_system_clock_tells_an_aware_local_instant() -> None:
    told: Clock = SystemClock()
    before = Path(__file__).stat().st_mtime  # written before this test ran
    now = told.now()
    assert now.timestamp() > before
    assert now.utcoffset() == now.astimezone().utcoffset()
    assert told.today() in (diary_day(now), diary_day(told.now()))


def test_a_pinned_clock_starts_at_six_in_the_evening_and_runs_on(ticks: Ticks) -> None:
    pinned = PinnedClock(date(2026, 3, 9))
    now = pinned.now()
    assert (now.date(), now.hour, now.minute) == (date(2026, 3, 9), 18, 0)
    assert now.utcoffset() is not None
    ticks.seconds += 90
    assert pinned.now() - now == timedelta(seconds=90)


def test_the_pinned_day_ends_at_three(ticks: Ticks) -> None:
    pinned = PinnedClock(date(2026, 3, 9))
    ticks.seconds += (9 * 60 - 1) * 60
    assert pinned.now().time().isoformat("minutes") == "02:59"
    assert pinned.today() == date(2026, 3, 9)
    ticks.seconds += 60
    assert pinned.today() == date(2026, 3, 10)


@needs_zones
@pytest.mark.usefixtures("berlin")
def test_a_pinned_clock_runs_across_the_change_to_summer_time(ticks: Ticks) -> None:
    """European summer time began on 29 March 2026 at 02:00 (Directive 2000/84/EC)."""
    pinned = PinnedClock(date(2026, 3, 28))
    assert pinned.now().tzinfo is not None
    assert pinned.now().utcoffset() == timedelta(hours=1)
    ticks.seconds += 9 * 3600
    assert pinned.now() == datetime(2026, 3, 29, 4, 0, tzinfo=timezone(timedelta(hours=2)))
    assert pinned.now().utcoffset() == timedelta(hours=2)


@needs_zones
@pytest.mark.usefixtures("berlin")
def test_a_pinned_clock_takes_the_offset_of_its_own_season() -> None:
    assert PinnedClock(date(2026, 7, 1)).now().utcoffset() == timedelta(hours=2)
    assert PinnedClock(date(2026, 12, 1)).now().utcoffset() == timedelta(hours=1)
    assert os.environ["TZ"].startswith("CET")
