"""What no single line of a file can tell: whether its lines belong together."""

import hashlib
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from companion.care.clocks import CLOCK_SLACK
from companion.care.coded import KNEES, Coded, CodeOf, coded
from companion.care.days import diary_day
from companion.care.history import instant, on_their_own
from companion.care.json_values import JsonObject
from companion.care.records import (
    AnyEntry,
    DayPage,
    Outing,
    OutingKnee,
    Plan,
    Session,
    Side,
    TapeOff,
    TapeOn,
)
from companion.wire.faults import Fault
from companion.wire.plain import encode
from companion.wire.sign_off import canonical, sign_off_holds

KNEE_KINDS = (DayPage, Session, TapeOn, TapeOff)


def plan_faults(plan: Plan, place: str = "plan") -> tuple[Fault, ...]:
    """Faults between the fields of one plan."""
    found = []
    if plan.main_side not in plan.sides:
        found.append(
            Fault(
                f"{place}.main_side",
                coded("main_side_not_in_plan", main=plan.main_side, side=plan.side),
            )
        )
    if plan.review_on < plan.written_on:
        found.append(Fault(f"{place}.review_on", coded("before_written")))
    if plan.sign_off is not None and not sign_off_holds(plan):
        found.append(Fault(f"{place}.sign_off", coded("signed_for_other")))
    sides = Counter(knee.side for knee in plan.knees)
    found += [
        Fault(f"{place}.knees", coded("knee_twice", knee=KNEES[side]))
        for side, n in sides.items()
        if n > 1
    ]
    return tuple(found)


def knees_told(entry: AnyEntry) -> tuple[Side, ...]:
    """The knees that an entry tells of, and its plan must treat."""
    if isinstance(entry, Outing):
        return entry.sides
    return (entry.side,) if isinstance(entry, KNEE_KINDS) else ()


def conflicting_ids(entries: Iterable[AnyEntry]) -> tuple[str, ...]:
    """Ids that stand for more than one content. Such a file is damaged."""
    seen: dict[str, AnyEntry] = {}
    return tuple(
        dict.fromkeys(e.id for e in entries if not same_content(seen.setdefault(e.id, e), e))
    )


def same_content(one: AnyEntry | Plan, other: AnyEntry | Plan) -> bool:
    """True when both would be written alike. The offset of a time counts, unlike in `==`."""
    return one is other or encode(one) == encode(other)


def beside(entry: AnyEntry) -> AnyEntry:
    """The entry under an id of its own, where the one it has stands for something else: kept beside
    that as its rival. The same entry gives the same."""
    its_id = beside_id(entry.id, encode(entry))
    return replace(entry, id=its_id, beside=entry.id)


def beside_id(entry_id: str, content: JsonObject) -> str:
    """The id of `beside`, for the JSON of an entry."""
    told = b"beside\x00" + entry_id.encode() + b"\x00" + canonical(content)
    return hashlib.sha256(told).hexdigest()[:32]


@dataclass(frozen=True, slots=True)
class Sound:
    """The entries of a diary that belong together, and a fault for each that was left out."""

    entries: tuple[AnyEntry, ...]
    faults: tuple[Fault, ...] = ()


def plans_faults(person: str, plans: Sequence[Plan]) -> tuple[Fault, ...]:
    """Faults in the plans of one diary."""
    return tuple(_plans_together(person, plans))


def sound(plans: Sequence[Plan], entries: Sequence[AnyEntry]) -> Sound:
    """What of `entries` fits the plans and the other entries. An entry that does not costs itself
    alone: what names it stands for itself from then on, under an id of its own."""
    by_version = {plan.version: plan for plan in plans}
    by_id = {entry.id: entry for entry in entries}
    in_circles = _in_circles(by_id)
    faults: dict[str, Fault] = {}
    for index, entry in enumerate(entries):
        first = next(_misfits(entry, by_version, by_id, in_circles), None)
        if first is not None:
            field, what = first
            faults[entry.id] = Fault(f"entries[{index}]{field}", what)
    if not faults:
        return Sound(tuple(entries))
    kept = [entry for entry in entries if entry.id not in faults]
    return Sound(tuple(on_their_own(kept).values()), tuple(faults.values()))


def _plans_together(person: str, plans: Sequence[Plan]) -> Iterator[Fault]:
    if not plans:
        yield Fault("plans", coded("no_plan"))
    versions: set[int] = set()
    for index, plan in enumerate(plans):
        place = f"plans[{index}]"
        if plan.person != person:
            yield Fault(f"{place}.person", coded("other_person", theirs=plan.person, ours=person))
        if plan.version in versions:
            yield Fault(f"{place}.version", coded("version_twice", version=plan.version))
        versions.add(plan.version)
        yield from plan_faults(plan, place)


def _misfits(
    entry: AnyEntry,
    plans: Mapping[int, Plan],
    by_id: Mapping[str, AnyEntry],
    in_circles: Collection[str],
) -> Iterator[tuple[str, Coded]]:
    """What does not fit the rest, each with the field it is told of; "" is all of the entry."""
    plan = plans.get(entry.plan_version)
    if plan is None:
        yield ".plan_version", coded("no_such_version", version=entry.plan_version)
    for side in knees_told(entry):
        if plan is not None and side not in plan.sides:
            version = plan.version
            yield ".side", coded("side_not_in_plan", version=version, sides=plan.side, side=side)
    written_on = diary_day(entry.written_at)
    if entry.for_day > written_on:
        yield ".for_day", coded("day_after_written", day=entry.for_day, written=written_on)
    happened_at = getattr(entry, "happened_at", None)
    if happened_at is not None and instant(happened_at) > instant(entry.written_at) + CLOCK_SLACK:
        yield ".happened_at", coded("happened_after_written")
    if entry.replaces is None and getattr(entry, "withdrawn", None) is not None:
        yield ".withdrawn", coded("withdraws_nothing")
    for field, name in ((".replaces", entry.replaces), (".beside", entry.beside)):
        named = None if name is None else by_id.get(name)
        if name is not None and named is None:
            yield field, coded("no_such_entry")
        elif named is not None and named.kind != entry.kind:
            kind, replaced = (CodeOf("kinds", each.kind) for each in (entry, named))
            yield field, coded("replaces_other_kind", kind=kind, replaced=replaced)
    if isinstance(entry, TapeOff):
        yield from _tape_misfits(entry, "", by_id)
    if isinstance(entry, Outing):
        if not entry.knees:
            yield ".knees", coded("outing_without_knee")
        elif len(set(entry.sides)) < len(entry.sides):
            yield ".knees", coded("knee_twice", knee=KNEES[entry.sides[0]])
        for number, knee in enumerate(entry.knees):
            yield from _tape_misfits(knee, f".knees[{number}]", by_id)
    if entry.id in in_circles:
        yield "", coded("replaced_in_a_circle", entry=entry.id)


def _tape_misfits(
    of: TapeOff | OutingKnee, place: str, by_id: Mapping[str, AnyEntry]
) -> Iterator[tuple[str, Coded]]:
    put_on = None if of.tape_on is None else by_id.get(of.tape_on)
    if of.tape_on is not None and not isinstance(put_on, TapeOn):
        yield f"{place}.tape_on", coded("no_such_tape")
    elif isinstance(put_on, TapeOn) and put_on.side != of.side:
        yield f"{place}.tape_on", coded("tape_on_other_knee", knee=KNEES[put_on.side])


def _in_circles(by_id: Mapping[str, AnyEntry]) -> set[str]:
    """Entries that replace one another in a circle, which would hide each other."""
    found: set[str] = set()
    passed: set[str] = set()
    named = {entry.id: name for entry in by_id.values() if (name := entry.replaces or entry.beside)}
    for start in named:
        way: dict[str, None] = {}
        here: str | None = start
        while here in named and here not in passed:
            if here in way:
                on_way = list(way)
                found.update(on_way[on_way.index(here) :])
                break
            way[here] = None
            here = named[here]
        passed.update(way)
    return found
