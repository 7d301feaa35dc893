"""Weeks on paper half typed: kept through whatever happens to the window, and taken up again.

At home they are a draft of the journal, in the clinic a file beside the plans half written.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Annotated, Protocol

from companion.care.ranges import Range
from companion.care.records import Record, Side, record
from companion.services.context import PAPER_WEEKS, Context
from companion.services.paper_weeks import MOST_DAYS
from companion.services.practice import Practice
from companion.services.trouble import known_troubles
from companion.wire.plain import PlainFault, decode, encode


@record
class KeptCell(Record):
    """A question of the form of a day and knee, by its column, and what was typed there."""

    day: date
    side: Side
    column: str
    text: str = ""


@record
class HalfTyped(Record):
    """What was typed of `days` days from `first`, and the question that was next."""

    first: date
    days: Annotated[int, Range(1, MOST_DAYS)]
    cells: tuple[KeptCell, ...]
    next_at: KeptCell


@dataclass(frozen=True, slots=True)
class FoundWeeks:
    """What was left unfinished; `damaged` where something was kept and cannot be read."""

    half: HalfTyped | None = None
    damaged: bool = False


class WeeksKeeper(Protocol):
    """Where the half typed weeks of one person are kept. Each may raise Trouble."""

    def found(self) -> FoundWeeks:
        """What was left unfinished."""

    def keep(self, half: HalfTyped) -> None:
        """Put it in the place of the one before; on the disk when this returns."""

    def drop(self) -> None:
        """It was taken in or given up."""


class WeeksAtHome:
    """A draft of the journal at hand."""

    def __init__(self, context: Context) -> None:
        self._journal = context.journal

    def found(self) -> FoundWeeks:
        """What was left unfinished."""
        with known_troubles():
            body = self._journal.draft(PAPER_WEEKS)
        return FoundWeeks() if body is None else _found(body)

    def keep(self, half: HalfTyped) -> None:
        """Put it in the place of the one before."""
        with known_troubles():
            self._journal.save_draft(PAPER_WEEKS, encode(half))

    def drop(self) -> None:
        """It was taken in or given up."""
        with known_troubles():
            self._journal.drop_draft(PAPER_WEEKS)


class WeeksAtClinic:
    """A file of the clinic's folder, one for each code."""

    def __init__(self, practice: Practice, person: str) -> None:
        self._drafts, self._name = practice.drafts, f"{person}.weeks"

    def found(self) -> FoundWeeks:
        """What was left unfinished."""
        with known_troubles():
            kept = self._drafts.one(self._name)
        return FoundWeeks() if kept is None else _found(kept.body)

    def keep(self, half: HalfTyped) -> None:
        """Put it in the place of the one before."""
        with known_troubles():
            self._drafts.keep(self._name, encode(half))

    def drop(self) -> None:
        """It was taken in or given up."""
        with known_troubles():
            self._drafts.drop(self._name)


def _found(body: object) -> FoundWeeks:
    try:
        return FoundWeeks(decode(HalfTyped, body))
    except PlainFault:
        return FoundWeeks(damaged=True)
