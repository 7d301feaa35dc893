"""What counts of a diary in which nothing is ever changed or removed.

A correction is a new entry that names the one it replaces. Entries that hang together by such
names are one tree of versions; one of them counts, all of them stay. Where that one withdraws what
it corrects, none counts. An entry counts over those it names, and over those it saw: what the same
machine wrote before it. Of several that neither saw the other, the rivals, one counts until a
person chooses. Nothing here raises for what a file from outside may hold: a correction of an absent
entry stands by itself, and corrections that name each other in a ring are rivals like any others.
"""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import fields, replace
from datetime import UTC, date, datetime
from itertools import pairwise
from typing import Protocol, TypeVar

from companion.care.records import AnyEntry, Outing, OutingKnee, Side, TapeOff, WrittenBy


class Version(Protocol):
    """As much of an entry as tells whether it counts: an entry itself, or its row in a store."""

    @property
    def id(self) -> str: ...
    @property
    def kind(self) -> str: ...
    @property
    def for_day(self) -> date | str: ...
    @property
    def replaces(self) -> str | None: ...
    @property
    def machine(self) -> str | None: ...
    @property
    def turn(self) -> int | None: ...
    @property
    def over(self) -> Collection[str]: ...
    @property
    def beside(self) -> str | None: ...


_E = TypeVar("_E", bound=AnyEntry)
_V = TypeVar("_V", bound=Version)


class ConflictingEntry(ValueError):
    """Two entries with one id and different content. `entry_id` names them."""

    def __init__(self, entry_id: str) -> None:
        super().__init__(f"entry {entry_id} is there twice with different content")
        self.entry_id = entry_id


def merge(*parts: Iterable[AnyEntry]) -> tuple[AnyEntry, ...]:
    """The union of entries by id, in an order that does not depend on the order of `parts`.

    Raises ConflictingEntry when one id comes with two contents.
    """
    by_id: dict[str, AnyEntry] = {}
    for part in parts:
        for entry in part:
            known = by_id.setdefault(entry.id, entry)
            if known is not entry and not _same_content(known, entry):
                raise ConflictingEntry(entry.id)
    return in_order(by_id.values())


_last: tuple[tuple[AnyEntry, ...], tuple[AnyEntry, ...]] = ((), ())


def current(entries: Iterable[AnyEntry]) -> tuple[AnyEntry, ...]:
    """The entries that count: corrections applied, one day page for each day and knee.

    Of rivals in one tree of corrections, and of two pages for one day and knee, the later
    `written_at` counts, then the larger id. Sorted by day, then by when written, then by id.
    A page and its papers ask it many times of one diary, so the last answer is kept.
    """
    global _last  # noqa: PLW0603 - read and put in one step, so threads find one pair or the other
    of, found = _last
    if of is entries:
        return found
    found = in_order(counting(entries, seniority))
    if isinstance(entries, tuple):  # nothing else stays as it is
        _last = (entries, found)
    return found


def rivals(entries: Iterable[AnyEntry]) -> tuple[tuple[AnyEntry, ...], ...]:
    """What was told differently and never chosen: groups of two and more, each oldest first. The
    last of a group counts until then. Rivals that say the same are none."""
    groups: list[list[AnyEntry]] = []
    days: dict[tuple[date | str, Side | None], list[list[AnyEntry]]] = {}
    for tree in _trees({entry.id: entry for entry in entries}):
        last = last_of(tree)
        if last.kind == "day_page" and not is_withdrawn(last):
            days.setdefault(_day_and_knee(last), []).append(tree)
        else:
            groups.append(_ends(tree))
    for day_and_knee, mates in days.items():
        ends = [entry for tree in mates for entry in _ends(tree)]
        among = [e for tree in mates for e in tree if _day_and_knee(e) == day_and_knee]
        groups.append(_unseen(ends, among))
    told = (tuple(sorted(group, key=seniority)) for group in groups if len(group) > 1)
    found = [
        group for group in told if not all(same_telling(group[0], entry) for entry in group[1:])
    ]
    return tuple(sorted(found, key=lambda group: (group[-1].for_day, group[-1].id)))


def counting(versions: Iterable[_V], senior: Callable[[_V], tuple[object, ...]]) -> list[_V]:
    """What of some versions counts, in no order; see `current`. `senior` tells by what the older
    of two is less."""
    by_id = {version.id: version for version in versions}
    pages: dict[tuple[date | str, Side | None], tuple[list[_V], list[_V]]] = {}
    counted: list[_V] = []
    for tree in _trees(by_id):
        last = _latest(_ends(tree), senior)
        if is_withdrawn(last):
            continue
        if last.kind == "day_page":
            ends, among = pages.setdefault(_day_and_knee(last), ([], []))
            ends.append(last)
            # What was written of another day or knee saw no page of this one.
            among += (one for one in tree if _day_and_knee(one) == _day_and_knee(last))
        else:
            counted.append(last)
    counted += (_latest(_unseen(ends, among), senior) for ends, among in pages.values())
    return counted


def _latest(ends: Sequence[_V], senior: Callable[[_V], tuple[object, ...]]) -> _V:
    """The one that counts. Most stand alone, and are asked no instant."""
    return ends[0] if len(ends) == 1 else max(ends, key=senior)


def last_of(tree: Sequence[AnyEntry]) -> AnyEntry:
    """The version of a tree that counts, or that withdraws what it corrects."""
    return max(_ends([*tree]), key=seniority)


def is_withdrawn(version: Version) -> bool:
    """Whether a correction leaves nothing in the place of what it corrects. An entry that corrects
    nothing cannot: files that hold such a one are refused."""
    return version.replaces is not None and bool(getattr(version, "withdrawn", None))


def tree_of(versions: Iterable[_V], entry_id: str) -> list[_V]:
    """The versions in the tree of one entry, in no order. Empty when the id is unknown."""
    by_id = {version.id: version for version in versions}
    trees = _trees(by_id) if entry_id in by_id else []
    return next((tree for tree in trees if by_id[entry_id] in tree), [])


def trees(entries: Iterable[AnyEntry]) -> tuple[tuple[AnyEntry, ...], ...]:
    """Every entry with its corrections: the trees of versions, each oldest first."""
    by_id = {entry.id: entry for entry in entries}
    return tuple(tuple(sorted(tree, key=seniority)) for tree in _trees(by_id))


def in_order(entries: Iterable[_E]) -> tuple[_E, ...]:
    """Entries by day, then by when written (as instants), then by id."""
    by_day = sorted(entries, key=lambda entry: entry.for_day)
    if all(one.for_day < after.for_day for one, after in pairwise(by_day)):
        return tuple(by_day)  # the pages of a knee, say: one a day, and an instant takes its time
    return tuple(sorted(by_day, key=lambda entry: (entry.for_day, *seniority(entry))))


def on_their_own(entries: Sequence[AnyEntry]) -> dict[str, AnyEntry]:
    """The entries by the id they had, and nothing in them names what is not there: a file or a
    store must hold all that its entries name.

    What named something that is gone stands for itself, under an id that follows from the one it
    had; so does what names such an entry, and then names it by its new id.
    """
    known = {entry.id for entry in entries}
    named_by: dict[str, list[str]] = {}
    on_own: list[str] = []
    for entry in entries:
        for name in _names(entry):
            named_by.setdefault(name, []).append(entry.id)
            if name not in known:
                on_own.append(entry.id)
    if not on_own:
        return {entry.id: entry for entry in entries}
    ids: dict[str, str] = {}
    while on_own:
        entry_id = on_own.pop()
        if entry_id not in ids:
            ids[entry_id] = _own_id(entry_id)
            on_own += named_by.get(entry_id, ())
    kept: dict[str, AnyEntry] = {}
    for entry in entries:
        if entry.id not in ids:
            kept[entry.id] = entry
        elif ids[entry.id] not in known:  # else it stands for itself already
            new = {name: ids.get(name, name) if name in known else None for name in _names(entry)}
            kept[entry.id] = replace(
                naming_tapes(entry, new),
                id=ids[entry.id],
                replaces=None if entry.replaces is None else new[entry.replaces],
                beside=None if entry.beside is None else new[entry.beside],
            )
    return kept


def tapes_named(entry: AnyEntry) -> tuple[str, ...]:
    """The tape that an entry names: what came off, or was on for an outing, on each knee."""
    named = entry.knees if isinstance(entry, Outing) else (entry,)
    found = (one.tape_on for one in named if isinstance(one, TapeOff | OutingKnee))
    return tuple(name for name in found if name is not None)


def naming_tapes(entry: _V, ids: Mapping[str, str | None]) -> _V:
    """The entry with the ids of tape it names changed; None: it names none there."""
    if isinstance(entry, Outing):
        knees = (replace(one, tape_on=_changed(one.tape_on, ids)) for one in entry.knees)
        return replace(entry, knees=tuple(knees))
    if isinstance(entry, TapeOff):
        return replace(entry, tape_on=_changed(entry.tape_on, ids))
    return entry


def _changed(name: str | None, ids: Mapping[str, str | None]) -> str | None:
    return None if name is None else ids.get(name, name)


def _names(entry: AnyEntry) -> tuple[str, ...]:
    """The entries that must be there for this one."""
    names = (entry.replaces, entry.beside, *tapes_named(entry))
    return tuple(name for name in names if name is not None)


def _own_id(entry_id: str) -> str:
    import hashlib  # not on the way to the front page

    return hashlib.sha256(f"mended\x00{entry_id}".encode()).hexdigest()[:32]


def corrected(entry: _E, entry_id: str, at: datetime, by: WrittenBy | None = None) -> _E:
    """`entry` as a correction of itself, written at `at` under its own id; without `by` it is of
    whoever wrote the one before."""
    by = by or entry.written_by
    return replace(entry, id=entry_id, replaces=entry.id, written_at=at, written_by=by)


def instant(at: datetime) -> datetime:
    """The same instant in UTC.

    Two times that share a zone object are compared and subtracted by their wall clocks, which is
    wrong across a change of the clocks; in UTC it never is.
    """
    return at.astimezone(UTC)


def seniority(entry: AnyEntry) -> tuple[datetime, str]:
    """By what the older of two entries is less: when written, as an instant, then the id."""
    return entry.written_at.astimezone(UTC), entry.id


def _ends(tree: list[_V]) -> list[_V]:
    """The last versions of a tree: one, or rivals."""
    if len(tree) == 1:
        return tree
    replaced = {version.replaces for version in tree}
    ends = [version for version in tree if version.id not in replaced]
    # A ring of corrections has no last version: then all of them are rivals.
    return _unseen(ends or tree, tree)


def _day_and_knee(page: _V) -> tuple[date | str, Side | None]:
    return page.for_day, getattr(page, "side", None)


def _unseen(ends: list[_V], among: Sequence[_V]) -> list[_V]:
    """Those of `ends` over which none of `among` counts: chosen over them by name, or written
    later on the same machine, which then had them before it."""
    if len(ends) == 1:
        return ends
    passed = {name for version in among for name in version.over}
    newest: dict[str, int] = {}
    for version in among:
        if version.machine is not None:
            newest[version.machine] = max(newest.get(version.machine, 0), version.turn or 0)
    return [
        version
        for version in ends
        if version.id not in passed
        and (version.machine is None or (version.turn or 0) >= newest.get(version.machine, 0))
    ] or ends


def same_telling(one: AnyEntry, other: AnyEntry) -> bool:
    """Whether two entries say the same, whoever wrote which of them when and on what machine."""
    return type(one) is type(other) and all(
        getattr(one, f.name) == getattr(other, f.name)
        for f in fields(one)
        if f.name not in _NOT_TOLD
    )


_NOT_TOLD = {
    *("id", "written_at", "written_by", "plan_version"),
    *("replaces", "machine", "turn", "over", "beside"),
}


def _trees(by_id: dict[str, _V]) -> list[list[_V]]:
    """Entries grouped by corrections. Two corrections of one absent entry are rivals too."""
    targets = {one: named for one in by_id if (named := _target(by_id, one)) is not None}
    root_of = {one: one for one in by_id if one not in targets}
    for start in targets:
        path: list[str] = []
        on_path: set[str] = set()
        at = start
        while at not in root_of:
            path.append(at)
            on_path.add(at)
            target = targets[at]
            if target not in by_id:
                root_of[at] = f"{target} {by_id[at].kind}"
            elif target in on_path:
                # A ring: whichever way it is entered, its smallest id stands for it.
                root_of[at] = min(path[path.index(target) :])
            else:
                at = target
        for step in path:
            root_of[step] = root_of[at]
    trees: dict[str, list[_V]] = {}
    for entry in by_id.values():
        trees.setdefault(root_of[entry.id], []).append(entry)
    return list(trees.values())


def _target(by_id: dict[str, _V], entry_id: str) -> str | None:
    """What an entry is another version of. One of another kind is none: a question must not be
    able to make a warning disappear."""
    entry = by_id[entry_id]
    named = entry.replaces or entry.beside
    if named is None:
        return None
    target = by_id.get(named)
    return named if target is None or target.kind == entry.kind else None


def _same_content(one: AnyEntry, other: AnyEntry) -> bool:
    """Equal in every field, offsets from UTC included (10:00+00:00 is not 11:00+01:00)."""
    if one != other:
        return False
    for field in fields(one):
        value = getattr(one, field.name)
        if (
            isinstance(value, datetime)
            and value.utcoffset() != getattr(other, field.name).utcoffset()
        ):
            return False
    return True
