"""Every version of an entry, as the diary keeps them."""

from collections.abc import Iterable

from companion.care.history import trees
from companion.care.records import AnyEntry


def versions_of(entries: Iterable[AnyEntry], entry_id: str) -> tuple[AnyEntry, ...]:
    """Every version in the tree of one entry, oldest first; empty when the id is unknown."""
    return next((tree for tree in trees(entries) if any(e.id == entry_id for e in tree)), ())
