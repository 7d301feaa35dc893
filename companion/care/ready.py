"""Made ready before a part of the routine: what cautions and known signs ask for, asked once.

Nothing here is about a score. What is not ready closes its part for the session; the rest goes on.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

from companion.care.catalogue import Catalogue
from companion.care.caution_rules import caution_judgement, counting_answers
from companion.care.flow import Walk
from companion.care.levels import PARTS
from companion.care.policy import BEFOREHAND, Ask, PartAsks, Policy
from companion.care.records import Part, Plan
from companion.care.stopping import GateStart, SignTicked, as_before

STANDING: tuple[Part, ...] = ("check_move", "standing")


def asks_of(plan: Plan, policy: Policy) -> tuple[PartAsks, ...]:
    """What the plan's cautions ask for, part by part."""
    counting = counting_answers(plan)
    judged = (
        (part, caution_judgement(plan, part, policy, counting=counting).asks) for part in PARTS
    )
    return tuple(PartAsks(part=part, asks=asks) for part, asks in judged if asks)


def routine_asks(plan: Plan, policy: Policy) -> tuple[PartAsks, ...]:
    """The same, and somebody there where the check move is safe only so."""
    found = {one.part: one.asks for one in asks_of(plan, policy)}
    if plan.check_move.safe == "with_someone":
        found["check_move"] = (*found.get("check_move", ()), "somebody_there")
    return tuple(PartAsks(part=part, asks=found[part]) for part in PARTS if part in found)


def asked_in(
    catalogue: Catalogue, start: GateStart, ticked: Iterable[SignTicked], part: Part
) -> tuple[Ask, ...]:
    """What is asked for in a part: by cautions, and by a known sign that leaves standing open."""
    asks = [ask for one in start.asks if one.part == part for ask in one.asks]
    asks += [
        how.support
        for how in as_before(catalogue, start.known, ticked).values()
        if part in STANDING and part in how.stays_open
        if how.support is not None and how.support != "nothing"
    ]
    return tuple(dict.fromkeys(asks))


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadyPage:
    """What cautions ask for before these parts. Given: `ready` yes | no."""

    key: str
    parts: tuple[Part, ...]
    asks: tuple[Ask, ...]


@dataclass(slots=True)
class Readied:
    """What of it is ready by now, and what is not; `closed` are the parts that wait for it."""

    ready: set[Ask] = field(default_factory=set)
    missing: set[Ask] = field(default_factory=set)
    closed: set[Part] = field(default_factory=set)


def make_ready(
    catalogue: Catalogue,
    start: GateStart,
    ticked: Iterable[SignTicked],
    parts: Iterable[Part],
    readied: Readied,
    *,
    also: Iterable[Ask] = (),
) -> Walk[None]:
    """Ask once whether all is ready for these open parts, `also` what an open sign asks for. What
    is not closes them for the session.

    Before hands and seated exercise a page comes only for what is made ready beforehand; what is
    minded all the while stands on the pages of the steps.
    """
    parts = tuple(parts)
    asks = dict.fromkeys(a for p in parts for a in asked_in(catalogue, start, ticked, p))
    asks |= dict.fromkeys(also)
    if not set(parts) & set(STANDING):
        asks = {ask: None for ask in asks if ask in BEFOREHAND}
    if readied.missing & set(asks):
        readied.closed |= set(parts)
    new = tuple(ask for ask in asks if ask not in readied.ready)
    if not new or set(parts) <= readied.closed:
        return
    submitted = yield ReadyPage(key=f"ready:{parts[0]}", parts=parts, asks=new)
    if submitted["ready"] == "yes":
        readied.ready |= set(new)
        return
    readied.closed |= set(parts)
    if len(new) == 1:
        readied.missing |= set(new)
