"""Tape on one knee: how often, on how many days, how often too long, and what the skin did."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

from companion.care.adherence import plan_on
from companion.care.days import diary_day
from companion.care.history import instant
from companion.care.records import DayPage, PatchTest, Side, Skin, TapeOff, TapeOn
from companion.care.tape_applications import (
    TapeApplication,
    tape_applications,
    taped_days,
    wear_clock,
)
from companion.evidence.figures import SkinEvent, SkinSource, Tape
from companion.evidence.readings import Readings

WATCHED_SKIN: frozenset[Skin] = frozenset({"red", "itchy", "blister", "broken"})
"""What counts as a skin event. Pink fades within 30 minutes and is none."""


def tape(readings: Readings) -> Tape:
    """The figures of one knee over the whole diary.

    Paper knows days, not times: a run of days worn, side by side in the calendar, is one
    application. A wear counts as overdue when it is known to have ended after it was due, or
    after the hard cap, by the plan of the day it began; one whose end is not known (still on, no
    time known, copied from paper) is counted in `end_not_known` instead.
    """
    timed = tape_applications(readings.entries, readings.side)
    timed_days = _timed_days(readings, timed)
    paper_days = {day for day, page in readings.pages.items() if page.tape_worn}
    runs = _runs(paper_days - timed_days)
    late = [ended_late(wear, readings) for wear in timed]
    return Tape(
        applications=len(timed) + runs,
        days_worn=len(timed_days | paper_days),
        overdue=late.count(True),
        skin_events=tuple(_skin_events(readings)),
        end_not_known=late.count(None) + runs,
    )


def ended_late(wear: TapeApplication, readings: Readings) -> bool | None:
    """Whether a wear ended after it was due; None when its end is not known well enough.

    Without a time of removal the latest it can have been decides, if that was in time.
    """
    if not wear.ended or wear.off_by is None:
        return None
    plan = plan_on(readings.plans, diary_day(wear.on_at))
    clock = wear_clock(wear, plan, wear.off_by, wear.on_at.tzinfo or UTC)
    if instant(wear.off_by) <= min(instant(clock.due_at), instant(clock.cap_at)):
        return False
    return True if wear.off_at is not None else None


def _timed_days(readings: Readings, timed: tuple[TapeApplication, ...]) -> set[date]:
    """Days on which tape was on for any time, by the entries that hold times."""
    if not timed:
        return set()
    entries = tuple(entry for entry in readings.entries if not isinstance(entry, DayPage))
    last_day = max(entry.for_day for entry in readings.entries)
    cap_hours = readings.plans[-1].tape.cap_hours
    put_on = {diary_day(wear.on_at) for wear in timed}
    return put_on | taped_days(entries, readings.side, cap_hours, last_day)


def _runs(days: set[date]) -> int:
    """How many runs of days, side by side in the calendar."""
    return sum(day - timedelta(days=1) not in days for day in days)


def _read_day(read_at: datetime | None, placed_on: date) -> date:
    return placed_on if read_at is None else diary_day(read_at)


def _skin_events(readings: Readings) -> Iterator[SkinEvent]:
    """Skin that was not clear, by day; each finding of one entry once."""
    found: dict[tuple[date, Side | None, Skin, SkinSource, str], SkinEvent] = {}
    for entry in readings.entries:
        source: SkinSource
        side: Side | None = readings.side
        seen: tuple[tuple[date, Skin | None], ...]
        if isinstance(entry, PatchTest):
            source, side = "patch_test", None
            seen = (
                (_read_day(entry.first_read_at, entry.for_day), entry.first_skin),
                (_read_day(entry.second_read_at, entry.for_day), entry.second_skin),
            )
        elif getattr(entry, "side", None) != readings.side:
            continue
        elif isinstance(entry, DayPage):
            source, seen = "day_page", ((entry.for_day, entry.skin),)
        elif isinstance(entry, TapeOn):
            source, seen = "tape_on", ((entry.for_day, entry.skin_before),)
        elif isinstance(entry, TapeOff):
            source = "tape_off"
            seen = (
                (entry.for_day, entry.skin_at_once),
                (entry.for_day, entry.skin_after_30_min),
            )
        else:
            continue
        for day, skin in seen:
            if skin in WATCHED_SKIN:
                event = SkinEvent(day=day, side=side, skin=skin, source=source)
                found[day, side, skin, source, entry.id] = event
    yield from sorted(found.values(), key=lambda event: event.day)
