"""The warnings that are open when a paper is printed: each paper for home says them at its head.

Paper does not close by itself, and hangs there for weeks: so it says on which day that was.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from companion.care.catalogue import Catalogue
from companion.care.closures import open_to_act_on
from companion.care.finding import Entries
from companion.care.records import Plan
from companion.care.state_calls import StateCall
from companion.presentation.home.card_pages import closed_by_card
from companion.presentation.language.phrases import dated, phrase
from companion.presentation.view.page import Block, Callout, DefinitionList, Text


@dataclass(frozen=True, slots=True)
class OpenWarning:
    """A warning that is open when a paper is printed: its words, what it closes until when."""

    words: str
    closes: tuple[tuple[str, str], ...]


StillOpen = tuple[OpenWarning, ...]
"""Those of one diary; empty where none is open, or where a plan alone is printed."""


def open_to_print(
    plan: Plan, catalogue: Catalogue, entries: Entries, calls: Iterable[StateCall] = ()
) -> StillOpen:
    """What is open in a diary, as paper says it. `entries` are those that count; `calls` those that
    its days ask for, see `care.state_calls`."""
    warnings = open_to_act_on(entries, catalogue.policy)
    ticked = {one.sign for one in warnings}
    signs = [(catalogue.sign(one.sign, one.level), one.opened) for one in warnings]
    signs += [(catalogue.sign(call), ()) for call in calls if call not in ticked]
    found = (
        OpenWarning(phrase(sign.told or sign.words), closed_by_card(sign, plan, catalogue, opened))
        for sign, opened in signs
    )
    return tuple(dict.fromkeys(found))


def head_blocks(still_open: StillOpen, on: date) -> Iterator[tuple[Block, ...]]:
    """What stands at the head of a paper that is printed `on`, parted where it may be turned over;
    nothing where none is open."""
    if not still_open:
        return
    yield (Callout(_what_first(still_open), _how_many(still_open, on)),)
    for one in still_open:
        yield Text(one.words, "strong"), DefinitionList(one.closes)


def head_line(still_open: StillOpen, on: date) -> str:
    """The same where there is room for a line; "" where none is open."""
    if not still_open:
        return ""
    count = _how_many(still_open, on)
    return phrase("{count}. {first}", count=count, first=_what_first(still_open))


def _how_many(still_open: StillOpen, on: date) -> str:
    return phrase(
        "A warning was open on {day}",
        "{n} warnings were open on {day}",
        n=len(still_open),
        day=dated(on),
    )


def _what_first(still_open: StillOpen) -> str:
    if len(still_open) == 1:
        return phrase("Do first what its card says.")
    return phrase("Do first what their cards say.")
