"""Where it hurt: how often each sore zone was named before the routine, first weeks beside last."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from companion.care.adherence import plan_on
from companion.care.records import AnyEntry, Plan, Session, Side, Zone
from companion.picture.drawing import Drawing
from companion.picture.scenes import ZONE_WORDS, knee_of, zones_picture
from companion.presentation.phrases import phrase, short_day

WINDOW = timedelta(days=14)


@dataclass(frozen=True, slots=True)
class ZoneMap:
    """One window: its days, the same counts in words, and the picture."""

    title: str
    counted: str
    drawing: Drawing


def zone_counts(
    entries: Iterable[AnyEntry], side: Side, first_day: date, last_day: date
) -> tuple[int, Counter[Zone]]:
    """Sessions with a before score in the window, and in how many each zone was named then.

    `entries` are those that count. A session without zones counts as one that named none.
    """
    sessions = 0
    counts: Counter[Zone] = Counter()
    for entry in entries:
        if not isinstance(entry, Session) or entry.side != side:
            continue
        before = next((move for move in entry.moves if move.role == "before"), None)
        if before is not None and first_day <= entry.for_day <= last_day:
            sessions += 1
            counts.update(set(before.zones))
    return sessions, counts


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
    sessions, counts = zone_counts(entries, side, first, last)
    named = ", ".join(
        phrase("{zone} {n}", zone=phrase(ZONE_WORDS[zone]), n=n) for zone, n in counts.most_common()
    )
    return ZoneMap(
        title=phrase("{first} to {last}", first=short_day(first), last=short_day(last)),
        counted=phrase(
            "Of {n} session with a score before: {named}.",
            "Of {n} sessions with a score before: {named}.",
            n=sessions,
            named=named or phrase("no place named"),
        ),
        drawing=zones_picture(
            side, "helper", knee=knee_of(plan_on(plans, last), side), counts=counts
        ),
    )
