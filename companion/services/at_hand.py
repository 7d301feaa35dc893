"""What a plan writer needs of the diary at hand: the tape that was worn, the usual spread, the
sessions and the warning signs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import get_args

from companion.care.clocks import that_count
from companion.care.records import (
    AnyEntry,
    DayPage,
    Diary,
    Measure,
    Plan,
    Session,
    Side,
    TapeOff,
    TapeOn,
    WarningSign,
)
from companion.evidence.figures import Limits
from companion.evidence.limits import limits
from companion.services.clinic_periods import pain_by_day


@dataclass(frozen=True, slots=True)
class AtHand:
    """Entries of tape, sessions and signs that count, every version of the plan, and this person's
    own limits by knee and measure of pain."""

    tape: tuple[AnyEntry, ...]
    sessions: tuple[AnyEntry, ...]
    signs: tuple[WarningSign, ...]
    plans: tuple[Plan, ...]
    limits: Mapping[tuple[Side, Measure], Limits]


def at_hand(diary: Diary) -> AtHand:
    """What the whole diary says; limits are those of its last days, as in the findings."""
    entries = that_count(diary)
    found = {}
    for side in get_args(Side):
        days = [e.for_day for e in entries if isinstance(e, DayPage) and e.side == side]
        for measure in get_args(Measure):
            found[side, measure] = limits(
                pain_by_day(entries, side, measure), max(days, default=None)
            )
    return AtHand(
        tape=tuple(entry for entry in entries if isinstance(entry, TapeOn | TapeOff)),
        sessions=tuple(entry for entry in entries if isinstance(entry, Session)),
        signs=tuple(entry for entry in entries if isinstance(entry, WarningSign)),
        plans=diary.plans,
        limits=found,
    )
