"""What no single line of a file can tell: whether its lines belong together."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta

from companion.care.coded import KNEES, coded
from companion.care.days import diary_day
from companion.care.records import AnyEntry, Outing, Plan, TapeOff, TapeOn
from companion.wire.faults import Fault
from companion.wire.plain import encode
from companion.wire.sign_off import sign_off_holds

# A clock put right, or a journey, may set a written time before the moment it tells of.
CLOCK_SLACK = timedelta(days=1)
KNEE_KINDS = ("day_page", "session", "tape_on", "tape_off", "outing")


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


def conflicting_ids(entries: Iterable[AnyEntry]) -> tuple[str, ...]:
    """Ids that stand for more than one content. Such a file is damaged."""
    seen: dict[str, AnyEntry] = {}
    return tuple(
        dict.fromkeys(e.id for e in entries if not same_content(seen.setdefault(e.id, e), e))
    )


def same_content(one: AnyEntry | Plan, other: AnyEntry | Plan) -> bool:
    """True when both would be written alike. The offset of a time counts, unlike in `==`."""
    return one is other or encode(one) == encode(other)


def diary_faults(
    person: str, plans: Sequence[Plan], entries: Sequence[AnyEntry], today: date | None = None
) -> tuple[Fault, ...]:
    """Faults between plans and entries. `today` None: nothing is measured against the present."""
    found = list(_plans_together(person, plans))
    by_version = {plan.version: plan for plan in plans}
    by_id = {entry.id: entry for entry in entries}
    for index, entry in enumerate(entries):
        place = f"entries[{index}]"
        found += _against_plan(entry, place, by_version)
        found += _in_time(entry, place, today)
        found += _references(entry, place, by_id)
    found += _circles(by_id)
    return tuple(found)


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


def _against_plan(entry: AnyEntry, place: str, plans: dict[int, Plan]) -> Iterator[Fault]:
    plan = plans.get(entry.plan_version)
    if plan is None:
        yield Fault(f"{place}.plan_version", coded("no_such_version", version=entry.plan_version))
        return
    side = getattr(entry, "side", None)
    if entry.kind in KNEE_KINDS and side not in plan.sides:
        yield Fault(
            f"{place}.side",
            coded("side_not_in_plan", side=str(side), version=plan.version, sides=plan.side),
        )


def _in_time(entry: AnyEntry, place: str, today: date | None) -> Iterator[Fault]:
    written_on = diary_day(entry.written_at)
    if entry.for_day > written_on:
        yield Fault(
            f"{place}.for_day", coded("day_after_written", day=entry.for_day, written=written_on)
        )
    happened_at = getattr(entry, "happened_at", None)
    if happened_at is not None and happened_at > entry.written_at + CLOCK_SLACK:
        yield Fault(f"{place}.happened_at", coded("happened_after_written"))
    if today is not None and written_on > today + CLOCK_SLACK:
        yield Fault(f"{place}.written_at", coded("in_the_future", day=written_on, today=today))


def _references(entry: AnyEntry, place: str, by_id: dict[str, AnyEntry]) -> Iterator[Fault]:
    if entry.replaces is not None:
        replaced = by_id.get(entry.replaces)
        if replaced is None:
            yield Fault(f"{place}.replaces", coded("no_such_entry"))
        elif replaced.kind != entry.kind:
            yield Fault(
                f"{place}.replaces",
                coded("replaces_other_kind", kind=entry.kind, replaced=replaced.kind),
            )
    if isinstance(entry, TapeOff | Outing) and entry.tape_on is not None:
        put_on = by_id.get(entry.tape_on)
        if not isinstance(put_on, TapeOn):
            yield Fault(f"{place}.tape_on", coded("no_such_tape"))
        elif put_on.side != entry.side:
            yield Fault(f"{place}.tape_on", coded("tape_on_other_knee", knee=KNEES[put_on.side]))


def _circles(by_id: dict[str, AnyEntry]) -> Iterator[Fault]:
    """Corrections that replace one another in a circle would hide each other."""
    sound: set[str] = set()
    for start in by_id:
        way: dict[str, None] = {}
        here: str | None = start
        while here is not None and here in by_id and here not in sound:
            if here in way:
                yield Fault("entries", coded("replaced_in_a_circle", entry=here))
                break
            way[here] = None
            here = by_id[here].replaces
        sound.update(way)
