"""Where it hurt before and after the routine, how often, first weeks beside last."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from companion.care.adherence import plan_on
from companion.care.coded import Coded, coded
from companion.care.records import AnyEntry, Plan, Session, Side, Zone
from companion.picture.drawing import Drawing
from companion.picture.places import ZONES
from companion.picture.scenes import knee_of
from companion.presentation.home.record_view import RecordTable
from companion.presentation.language.phrases import phrase, short_day
from companion.presentation.language.said import said_words
from companion.presentation.view.figures import zones_picture

WINDOW = timedelta(days=14)

When = Literal["before", "after"]


@dataclass(frozen=True, slots=True)
class ZoneCount:
    """How many sessions have a score then, and in how many of these each zone was named."""

    sessions: int
    zones: Counter[Zone]


@dataclass(frozen=True, slots=True)
class ZoneMap:
    """One window: its days, what was counted before and after the routine, a picture of each."""

    title: str
    before: ZoneCount
    after: ZoneCount
    before_picture: Drawing
    after_picture: Drawing


def zone_counts(
    entries: Iterable[AnyEntry], side: Side, first_day: date, last_day: date, when: When
) -> ZoneCount:
    """The zones of the score before, or of the last score after, in each session of the window.

    `entries` are those that count. A session without zones counts as one that named none.
    """
    sessions = 0
    counts: Counter[Zone] = Counter()
    for entry in entries:
        if not isinstance(entry, Session) or entry.side != side:
            continue
        if not first_day <= entry.for_day <= last_day:
            continue
        moves = [move for move in entry.moves if (move.role == "before") == (when == "before")]
        if moves:
            sessions += 1
            counts.update(set(moves[-1].zones))
    return ZoneCount(sessions, counts)


def zone_maps(
    entries: Sequence[AnyEntry], plans: Sequence[Plan], side: Side, first_day: date, last_day: date
) -> tuple[ZoneMap, ...]:
    """The first 14 days and the last 14; one map of all days where those would share any."""
    if last_day - first_day < 2 * WINDOW - timedelta(days=1):
        windows = [(first_day, last_day)]
    else:
        one_day = timedelta(days=1)
        windows = [
            (first_day, first_day + WINDOW - one_day),
            (last_day - WINDOW + one_day, last_day),
        ]
    return tuple(_map(entries, plans, side, first, last) for first, last in windows)


def _map(
    entries: Sequence[AnyEntry], plans: Sequence[Plan], side: Side, first: date, last: date
) -> ZoneMap:
    before = zone_counts(entries, side, first, last, "before")
    after = zone_counts(entries, side, first, last, "after")
    knee = knee_of(plan_on(plans, last), side)

    def picture(found: ZoneCount, when: When) -> Drawing:
        told = _counted(found.sessions, when)
        return zones_picture(side, "helper", knee=knee, counts=found.zones, told=told)

    return ZoneMap(
        title=phrase("{first} to {last}", first=short_day(first), last=short_day(last)),
        before=before,
        after=after,
        before_picture=picture(before, "before"),
        after_picture=picture(after, "after"),
    )


def _counted(sessions: int, when: When) -> Coded:
    if when == "before":
        if sessions == 1:
            return coded("drawn_counted_before_one", count=sessions)
        return coded("drawn_counted_before", count=sessions)
    if sessions == 1:
        return coded("drawn_counted_after_one", count=sessions)
    return coded("drawn_counted_after", count=sessions)


def zone_table(maps: Sequence[ZoneMap]) -> RecordTable:
    """The same counts in rows, a zone each, the most named before first; zones never named are
    left out. The first row holds the sessions that were counted."""
    counted = [count for one in maps for count in (one.before, one.after)]
    total: Counter[Zone] = Counter()
    for count in counted:
        total.update(count.zones)
    headers = [phrase("Place")]
    for one in maps:
        headers += [
            phrase("{days}, before", days=one.title),
            phrase("{days}, after", days=one.title),
        ]
    rows: list[tuple[str | None, ...]] = [
        (phrase("Sessions with a score"), *(str(count.sessions) for count in counted))
    ]
    rows += [
        (said_words(ZONES[zone]), *(str(count.zones[zone]) for count in counted))
        for zone, _ in total.most_common()
    ]
    return RecordTable(headers=tuple(headers), rows=tuple(rows))
