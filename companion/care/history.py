"""What counts of a diary in which nothing is ever changed or removed.

A correction is a new entry that names the one it replaces. Entries that hang together by such
names are one tree of versions; one of them counts, all of them stay. Nothing here raises for
what a file from outside may hold: a correction of an absent entry stands by itself, and
corrections that name each other in a ring are rivals like any others.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import fields
from datetime import UTC, date, datetime
from typing import Protocol, TypeVar

from companion.care.records import AnyEntry, Side


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


def current(entries: Iterable[AnyEntry]) -> tuple[AnyEntry, ...]:
    """The entries that count: corrections applied, one day page for each day and knee.

    Of the last versions in one tree of corrections, and of two pages for one day and knee, the
    later `written_at` counts, then the larger id. Sorted by day, then by when written, then by id.
    """
    return in_order(counting(entries, seniority))


def counting(versions: Iterable[_V], senior: Callable[[_V], tuple[object, ...]]) -> list[_V]:
    """What of some versions counts, in no order; see `current`. `senior` tells by what the older
    of two is less."""
    by_id = {version.id: version for version in versions}
    pages: dict[tuple[date | str, Side | None], _V] = {}
    others: list[_V] = []
    for tree in _trees(by_id):
        last = _last(tree, senior)
        if last.kind == "day_page":
            day_and_knee = last.for_day, getattr(last, "side", None)
            pages[day_and_knee] = max(pages.get(day_and_knee, last), last, key=senior)
        else:
            others.append(last)
    return [*others, *pages.values()]


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
    return tuple(sorted(entries, key=lambda entry: (entry.for_day, *seniority(entry))))


def instant(at: datetime) -> datetime:
    """The same instant in UTC.

    Two times that share a zone object are compared and subtracted by their wall clocks, which is
    wrong across a change of the clocks; in UTC it never is.
    """
    return at.astimezone(UTC)


def seniority(entry: AnyEntry) -> tuple[datetime, str]:
    """By what the older of two entries is less: when written, as an instant, then the id."""
    return entry.written_at.astimezone(UTC), entry.id


def _last(tree: Sequence[_V], senior: Callable[[_V], tuple[object, ...]]) -> _V:
    if len(tree) == 1:
        return tree[0]
    replaced = {entry.replaces for entry in tree}
    last = [entry for entry in tree if entry.id not in replaced]
    # A ring of corrections has no last version: then all of them are rivals.
    return max(last or tree, key=senior)


def _trees(by_id: dict[str, _V]) -> list[list[_V]]:
    """Entries grouped by corrections. Two corrections of one absent entry are rivals too."""
    root_of: dict[str, str] = {}
    for start in by_id:
        path: list[str] = []
        on_path: set[str] = set()
        at = start
        while at not in root_of:
            path.append(at)
            on_path.add(at)
            target = _target(by_id, at)
            if target is None:
                root_of[at] = at
            elif target not in by_id:
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
    """What an entry replaces. A correction of another kind replaces nothing: a question must
    not be able to make a warning disappear."""
    entry = by_id[entry_id]
    if entry.replaces is None:
        return None
    target = by_id.get(entry.replaces)
    return entry.replaces if target is None or target.kind == entry.kind else None


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
