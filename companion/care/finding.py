"""Finding entries of a diary: by kind, knee and day, without looking at all the others.

A rule is given the entries that count and asks here for those it needs. They come as a plain
collection, or as an `EntryIndex`: the diary a window has open, ten years perhaps, of which only
what is looked at is read. A rule gives the same on both, however long the diary.
"""

from abc import abstractmethod
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from datetime import date, datetime
from typing import Literal, TypeVar

from companion.care.history import in_order, instant, seniority
from companion.care.records import AnyEntry, Outing, Side, TapeOff

Entries = Collection[AnyEntry]
E = TypeVar("E", bound=AnyEntry)
By = Literal["day", "time", "writing"]
"""An order: by diary day and then by when written; by when it happened, else was written; by when
written. Where that is alike the id decides."""


class EntryIndex(Collection[AnyEntry]):
    """The entries that count of a whole diary, in order of days. Each is read when first touched.

    Its methods do what the functions below say, which rules call.
    """

    @abstractmethod
    def find(
        self,
        kind: type[E],
        *,
        side: Side | None = None,
        first_day: date | None = None,
        last_day: date | None = None,
        words: Collection[str] = (),
    ) -> Sequence[E]:
        """See `find`."""

    @abstractmethod
    def in_turn(
        self,
        kind: type[E] | None,
        *,
        by: By = "day",
        newest: bool = True,
        side: Side | None = None,
        words: Collection[str] = (),
    ) -> Iterator[E]:
        """See `newest_first` and `oldest_first`."""

    @abstractmethod
    def off_of(self, tape_on: str) -> Sequence[TapeOff]:
        """See `off_of`."""

    @abstractmethod
    def counting(self, entry_id: str) -> AnyEntry | None:
        """The version that counts of the entry of that id; None where none does: the id is
        unknown, or another page counts for its day."""


def find(
    entries: Entries,
    kind: type[E],
    *,
    side: Side | None = None,
    first_day: date | None = None,
    last_day: date | None = None,
    words: Collection[str] = (),
) -> Sequence[E]:
    """The entries of one kind in order of days: of one knee, from `first_day` to `last_day`.

    With `words`, codes or names of fields, those that hold none of them may be left out: a field
    that is None is not held. What comes may still be without.
    """
    if isinstance(entries, EntryIndex):
        return entries.find(kind, side=side, first_day=first_day, last_day=last_day, words=words)
    return in_order(
        entry
        for entry in _of(entries, kind, side)
        if (first_day is None or entry.for_day >= first_day)
        and (last_day is None or entry.for_day <= last_day)
    )


def newest_first(
    entries: Entries,
    kind: type[E],
    *,
    by: By = "day",
    side: Side | None = None,
    words: Collection[str] = (),
) -> Iterator[E]:
    """The entries of one kind from the newest on; `side` and `words` as in `find`. What comes after
    the last one that is taken is not read."""
    if isinstance(entries, EntryIndex):
        return entries.in_turn(kind, by=by, side=side, words=words)
    return iter(sorted(_of(entries, kind, side), key=_ORDERS[by], reverse=True))


def oldest_first(entries: Entries, kind: type[E], *, side: Side | None = None) -> Iterator[E]:
    """The entries of one kind in order of days; as `newest_first`, from the other end."""
    if isinstance(entries, EntryIndex):
        return entries.in_turn(kind, newest=False, side=side)
    return iter(in_order(_of(entries, kind, side)))


def last_written(entries: Entries) -> AnyEntry | None:
    """The entry written last."""
    return _newest(entries, "writing")


def last_day(entries: Entries) -> date | None:
    """The last day something was written down for."""
    newest = _newest(entries, "day")
    return None if newest is None else newest.for_day


def off_of(entries: Entries, tape_on: str) -> Sequence[TapeOff]:
    """The removals that name the tape on of that id, in order of days."""
    if isinstance(entries, EntryIndex):
        return entries.off_of(tape_on)
    return in_order(off for off in _of(entries, TapeOff, None) if off.tape_on == tape_on)


def with_id(entries: Entries, entry_id: str) -> AnyEntry | None:
    """The entry of that id; None when there is none, or another version counts."""
    if isinstance(entries, EntryIndex):
        found = entries.counting(entry_id)
        return found if found is not None and found.id == entry_id else None
    return next((entry for entry in entries if entry.id == entry_id), None)


def side_of(entry: AnyEntry) -> Side | None:
    """The one knee an entry is about; None where it is the person's, or of both."""
    if isinstance(entry, Outing):
        return entry.sides[0] if len(entry.knees) == 1 else None
    side: Side | None = getattr(entry, "side", None)
    return side


def happened_at(entry: AnyEntry) -> datetime:
    """When an entry happened, else when it was written; in UTC."""
    return instant(getattr(entry, "happened_at", None) or entry.written_at)


def _newest(entries: Entries, by: By) -> AnyEntry | None:
    if isinstance(entries, EntryIndex):
        return next(entries.in_turn(None, by=by), None)
    return max(entries, key=_ORDERS[by], default=None)


def _of(entries: Iterable[AnyEntry], kind: type[E], side: Side | None) -> Iterator[E]:
    for entry in entries:
        if isinstance(entry, kind) and side in (None, getattr(entry, "side", None)):
            yield entry


_ORDERS: dict[By, Callable[[AnyEntry], tuple[date | str, ...]]] = {
    "day": lambda entry: (entry.for_day, *seniority(entry)),
    "time": lambda entry: (happened_at(entry), entry.id),
    "writing": seniority,
}
