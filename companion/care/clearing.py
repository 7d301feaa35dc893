"""Clearing a warning that is open: who looked at it and when, or that it was a mistake."""

from dataclasses import dataclass

from companion.care.flow import Walk
from companion.care.records import Cleared, Record


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearStart(Record):
    """The open warning, the ways in which its sign can be cleared, and for how long it is open."""

    warning: str
    sign: str
    ways: tuple[Cleared, ...]
    days_open: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenCardPage:
    """The card again. Given: `how`, a way to clear, or `not_yet`."""

    sign: str
    ways: tuple[Cleared, ...]
    key: str = "open_card"


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckedPage:
    """Who checked it and when. Given: `who`, `days_ago` 0 to `most_days_ago`.

    A check before the sign was ticked is none, so no earlier day is offered.
    """

    most_days_ago: int
    key: str = "checked"


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearEnd:
    """How the warning was cleared; `how` None when it stays open."""

    how: Cleared | None
    days_ago: int = 0
    who: str | None = None


def clear_walk(start: ClearStart) -> Walk[ClearEnd]:
    """Show the card again and ask what became of it."""
    given = yield OpenCardPage(sign=start.sign, ways=start.ways)
    if given["how"] == "not_yet":
        return ClearEnd(how=None)
    if given["how"] == "checked_by_professional":
        checked = yield CheckedPage(most_days_ago=start.days_open)
        return ClearEnd(
            how=given["how"], days_ago=int(checked["days_ago"]), who=checked.get("who") or None
        )
    return ClearEnd(how=given["how"])
