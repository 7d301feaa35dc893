"""What warning signs lock, how they are cleared, and levels that only rise.

A sign of level emergency or today locks hands, exercise and tape-on of the whole person until it
was "checked by a professional on <date>" or "ticked by mistake". Taking tape off, the record, the
phone numbers and Visit are never locked, so nothing here can lock them.

The stop list says what a sign locks and what ends it. Where it is not at hand (findings depend on
the diary alone), or does not know a sign, the level decides, and a short table of lower signs.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import TYPE_CHECKING, get_args

from companion.care.days import diary_day
from companion.care.finding import Entries, find, newest_first
from companion.care.history import seniority
from companion.care.levels import Clears, Lock, level_rank
from companion.care.records import (
    Cleared,
    DayPage,
    Level,
    Side,
    Skin,
    TapeOff,
    TapeOn,
    WarningSign,
    WrittenBy,
)

if TYPE_CHECKING:
    from companion.care.catalogue import StopList

NOT_WHOLE: tuple[Skin, ...] = ("blister", "broken")
_ALL: tuple[Lock, ...] = ("hands", "exercise", "tape_on")
_BELOW_TODAY: dict[str, tuple[Clears, tuple[Lock, ...]]] = {
    "skin_broken": ("skin_read_clear", ("hands", "tape_on")),
    "skin_broken_before_replacement": ("skin_read_clear", ("hands", "tape_on")),
    "unwell": ("well_again", _ALL),
    "faint_in_session": ("asked_again", _ALL),
    "tape_tingling": ("asked_again", ("tape_on",)),
}
"""What lower signs end by and lock when the stop list is not at hand; a test holds it to the list.
Locks of standing steps alone are not here: no count of days depends on them."""


@dataclass(frozen=True, slots=True)
class Locks:
    """What is locked for one knee, and the open signs that lock it.

    `skin`: the last look at the skin found a blister or broken skin, signed for or not.
    """

    hands: bool
    exercise: bool
    standing_steps: bool
    tape_on: bool
    skin: bool
    why: tuple[WarningSign, ...]


def locks(
    entries: Entries,
    side: Side,
    stop_list: "StopList | None" = None,
    *,
    on: date | None = None,
) -> Locks:
    """What is locked for a knee: now, or on the day `on` as the diary tells it today.

    `entries` are those that count.
    """
    locked: set[Lock] = set()
    why = []
    for warning in find(entries, WarningSign):
        if concerns(warning, side) and _holds(warning, stop_list, on):
            closes = locks_of(warning, stop_list)
            if closes:
                why.append(warning)
                locked.update(closes)
    skin = on is None and skin_to_ask(entries, side)
    if skin:
        locked.update(("hands", "tape_on"))
    return Locks(
        hands="hands" in locked,
        exercise="exercise" in locked,
        standing_steps="standing_steps" in locked or "exercise" in locked,
        tape_on="tape_on" in locked,
        skin=skin,
        why=tuple(why),
    )


def locks_of(warning: WarningSign, stop_list: "StopList | None" = None) -> tuple[Lock, ...]:
    """What one sign locks while it is open."""
    if level_rank(level_of(warning, stop_list)) >= level_rank("today"):
        return _ALL
    for sign in stop_list.signs if stop_list else ():
        if sign.id == warning.sign:
            return sign.locks
    return _BELOW_TODAY[warning.sign][1] if warning.sign in _BELOW_TODAY else ()


def level_of(warning: WarningSign, stop_list: "StopList | None" = None) -> Level:
    """The level of a sign: the diary's or the list's, whichever is higher."""
    listed = (
        [sign.level for sign in stop_list.signs if sign.id == warning.sign] if stop_list else []
    )
    return max([warning.level, *listed], key=level_rank)


def concerns(warning: WarningSign, side: Side) -> bool:
    """Whether a sign is about this knee. Emergency and today are about the whole person."""
    whole = not warning.sides or level_rank(warning.level) >= level_rank("today")
    return whole or side in warning.sides


def open_warnings(entries: Entries, stop_list: "StopList | None" = None) -> tuple[WarningSign, ...]:
    """The signs that still hold, the highest level first, then the oldest.

    `entries` are those that count. Signs that hold for their own session alone are not among them.
    """
    still = [sign for sign in find(entries, WarningSign) if still_holds(sign, stop_list)]
    return tuple(sorted(still, key=lambda sign: (-level_rank(sign.level), sign.for_day, sign.id)))


def still_holds(warning: WarningSign, stop_list: "StopList | None" = None) -> bool:
    """Whether a sign holds now: not cleared, or by nothing that can clear it. One that held for
    its own session alone does not."""
    return _holds(warning, stop_list, None)


def most_pressing(entries: Entries, stop_list: "StopList | None" = None) -> WarningSign | None:
    """The open warning to show: the highest level, then the oldest. Below call only one that
    locks something."""
    return next(
        (
            warning
            for warning in open_warnings(entries, stop_list)
            if level_rank(level_of(warning, stop_list)) >= level_rank("call")
            or locks_of(warning, stop_list)
        ),
        None,
    )


def to_ask_at_gate(
    entries: Entries, stop_list: "StopList | None" = None
) -> tuple[WarningSign, ...]:
    """The open signs the next short gate asks about: all but those a professional must clear."""
    return tuple(
        sign
        for sign in open_warnings(entries, stop_list)
        if level_rank(level_of(sign, stop_list)) < level_rank("today")
    )


def skin_to_ask(entries: Entries, side: Side) -> bool:
    """Whether the last look at this knee's skin found a blister or broken skin.

    It is asked again at the gate; any later look that finds neither ends it.
    """
    looks: list[tuple[date, tuple[datetime, str], Skin]] = []
    for kind, fields in _SKIN_SEEN:
        for entry in newest_first(entries, kind, side=side, words=fields):
            skin = _skin(entry)
            if skin is not None:
                looks.append((entry.for_day, seniority(entry), skin))
                break
    looks += [
        (sign.cleared_on or diary_day(sign.written_at), seniority(sign), "clear")
        for sign in find(entries, WarningSign)
        if sign.cleared == "skin_read_clear" and concerns(sign, side)
    ]
    return bool(looks) and max(looks)[2] in NOT_WHOLE


def _skin(entry: DayPage | TapeOn | TapeOff) -> Skin | None:
    if isinstance(entry, TapeOff):
        return entry.skin_after_30_min or entry.skin_at_once
    return entry.skin_before if isinstance(entry, TapeOn) else entry.skin


_SKIN_SEEN: tuple[tuple[type[DayPage | TapeOn | TapeOff], tuple[str, ...]], ...] = (
    (DayPage, ("skin",)),
    (TapeOn, ("skin_before",)),
    (TapeOff, ("skin_at_once", "skin_after_30_min")),
)
"""Entries that hold a look at the skin, and in which fields."""


def ways_to_clear(warning: WarningSign, stop_list: "StopList | None" = None) -> tuple[Cleared, ...]:
    """What may be written to clear a sign. A tick by mistake can always be taken back."""
    clears = _clears(warning, stop_list)
    if clears == "asked_again":
        return ("asked_again", "checked_by_professional", "ticked_by_mistake")
    if clears == "session_end":
        return ("ticked_by_mistake",)
    return (clears, "ticked_by_mistake")


def cleared(
    warning: WarningSign,
    how: Cleared,
    *,
    on: date | None,
    by: str | None,
    entry_id: str,
    written_at: datetime,
    written_by: WrittenBy,
    plan_version: int,
    stop_list: "StopList | None" = None,
) -> WarningSign:
    """The correction that clears a sign. It keeps the day on which the sign was ticked.

    `on` is the day of the check or the look, required for "checked by a professional" and not
    before the sign. Raises ValueError for a way that cannot clear this sign.
    """
    if how not in ways_to_clear(warning, stop_list):
        raise ValueError(f"{how} does not clear the sign {warning.sign}")
    if how == "checked_by_professional" and (on is None or on < warning.for_day):
        raise ValueError("a check by a professional needs its date, not before the sign")
    return replace(
        warning,
        id=entry_id,
        replaces=warning.id,
        written_at=written_at,
        written_by=written_by,
        plan_version=plan_version,
        cleared=how,
        cleared_on=on,
        cleared_by=by,
    )


def days_held(
    warning: WarningSign, stop_list: "StopList | None" = None
) -> tuple[date, date | None]:
    """The day a sign began to hold and the first day it no longer did; None while it holds.

    A sign cleared on its own day held on no whole day.
    """
    return warning.for_day, _over_on(warning, stop_list)


def highest(levels: Iterable[Level]) -> Level | None:
    """The highest of some levels; None of none."""
    return max(levels, key=level_rank, default=None)


def _clears(warning: WarningSign, stop_list: "StopList | None") -> Clears:
    if level_rank(level_of(warning, stop_list)) >= level_rank("today"):
        return "checked_by_professional"
    for sign in stop_list.signs if stop_list else ():
        if sign.id == warning.sign:
            return sign.clears
    if warning.sign in _BELOW_TODAY:
        return _BELOW_TODAY[warning.sign][0]
    if warning.cleared in get_args(Clears):
        return warning.cleared  # type: ignore[return-value]
    return "asked_again" if warning.level == "call" else "session_end"


def _holds(warning: WarningSign, stop_list: "StopList | None", on: date | None) -> bool:
    over = _over_on(warning, stop_list)
    if on is None:
        return over is None
    return warning.for_day <= on and (over is None or on < over)


def _over_on(warning: WarningSign, stop_list: "StopList | None") -> date | None:
    """The first day on which a sign no longer holds.

    What was written counts only if it can clear this sign: a skin read clear does not clear an
    emergency, and a check without a date, or dated before the sign, is no check.
    """
    if _clears(warning, stop_list) == "session_end":
        return warning.for_day
    how = warning.cleared
    if how is None or how not in ways_to_clear(warning, stop_list):
        return None
    if how == "checked_by_professional":
        on = warning.cleared_on
        return on if on is not None and on >= warning.for_day else None
    return max(warning.cleared_on or diary_day(warning.written_at), warning.for_day)
