"""The whole diary of a store, read lazily: which entries count is told by columns of their rows,
and what a row holds is read when it is first touched, and kept.

Only the window that writes an entry adds one, so what was found stands until the next is added.
"""

import json
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from datetime import date
from itertools import count
from typing import Any, NamedTuple, TypeVar, cast, overload

from companion.care.finding import By, EntryIndex
from companion.care.history import counting, tree_of
from companion.care.records import ENTRY_KINDS, AnyEntry, Side, TapeOff

E = TypeVar("E", bound=AnyEntry)
Values = dict[str, str]
"""What a question to the database is about, by its name in the question."""
FIRST_LOOK = 8
"""Rows asked for first when the newest are wanted; then twice as many, and so on."""


class _Row(NamedTuple):
    """The columns of an entry. `withdrawn`: it leaves nothing in the place of what it corrects.
    `tied`: other rows have a say in whether it counts; then the last columns say what its body
    holds of that."""

    number: int
    id: str
    kind: str
    side: str | None
    for_day: str
    at: str
    written_at: str
    named: str | None
    withdrawn: int
    tied: int
    replaces: str | None = None
    machine: str | None = None
    turn: int | None = None
    names_over: str = "[]"
    beside: str | None = None

    @property
    def over(self) -> list[str]:
        """The rivals it was chosen over."""
        return list(json.loads(self.names_over))


class _Asked(NamedTuple):
    """A question to the store; `kind` where only entries of one kind can be an answer."""

    question: str
    values: tuple[str, ...]
    kind: str | None


class _Rows(NamedTuple):
    """Rows that were asked for, and those of them that count."""

    rows: list[_Row]
    counting: list[_Row]


_KIND_OF: dict[type[object], str] = {cls: kind for kind, cls in ENTRY_KINDS.items()}
_WITHDRAWN = """replaces IS NOT NULL AND instr(body, '"withdrawn":') > 0"""
"""No text in a body holds this: there its marks are escaped."""
_COLUMNS = f"seq, id, kind, side, for_day, at, written_at, replaces, {_WITHDRAWN}"
_ORDERS: dict[By, str] = {
    "day": "for_day, written_at, id",
    "time": "at, id",
    "writing": "written_at, id",
}
_RIVAL = "rival.kind = 'day_page' AND rival.for_day = one.for_day AND rival.side IS one.side"
_TIED = f"""replaces IS NOT NULL
    OR EXISTS (SELECT 1 FROM entries AS later WHERE later.replaces = one.id)
    OR one.kind = 'day_page' AND EXISTS (
        SELECT 1 FROM entries AS rival WHERE {_RIVAL} AND rival.seq != one.seq)"""
_SELECT = f"SELECT {_COLUMNS}, {_TIED} FROM entries AS one"
_WITH_TIES = f"""
    WITH RECURSIVE tied(seq) AS (
        SELECT value FROM json_each(:numbers)
        UNION SELECT later.seq FROM tied JOIN entries AS one USING (seq)
            JOIN entries AS later ON later.replaces = one.id
        UNION SELECT earlier.seq FROM tied JOIN entries AS one USING (seq)
            JOIN entries AS earlier ON earlier.id = one.replaces
        UNION SELECT rival.seq FROM tied JOIN entries AS one USING (seq)
            JOIN entries AS rival ON one.kind = 'day_page' AND {_RIVAL}
    )
    SELECT {_COLUMNS}, 1, json_extract(said, '$.replaces'), json_extract(said, '$.machine'),
        json_extract(said, '$.turn'), coalesce(json_extract(said, '$.over'), '[]'),
        json_extract(said, '$.beside')
    FROM (SELECT *, iif(json_valid(body), body, '{{}}') AS said FROM entries
        WHERE seq IN (SELECT seq FROM tied))"""
"""Some rows, and every row that has a say in whether they count: other versions of them, and pages
for the same day and knee."""


class StoreIndex(EntryIndex):
    """The index of a store. `ask` puts a question to its database; `read` gives entries by the
    numbers of their rows."""

    def __init__(
        self,
        ask: Callable[[str, Values], list[tuple[Any, ...]]],
        read: Callable[[Sequence[int]], Iterable[tuple[int, AnyEntry]]],
    ) -> None:
        self._ask = ask
        self._read = read
        self._found: dict[_Asked, _Rows] = {}
        self._entries: dict[int, AnyEntry] = {}
        self._ahead: list[int] | None = None
        self._every: tuple[AnyEntry, ...] | None = None

    def added(self, kinds: Collection[str]) -> None:
        """Entries of these kinds were added to the store."""
        self._every = None
        self._found = {
            key: rows for key, rows in self._found.items() if key.kind and key.kind not in kinds
        }

    def read_ahead(self, most: int) -> bool:
        """Read up to `most` entries nobody asked for yet, the newest first, so that no door waits
        for them; whether any are left."""
        if self._ahead is None:
            self._ahead = self._every_number()
        self._fetch(self._ahead[-most:])
        del self._ahead[-most:]
        return bool(self._ahead)

    def as_written(self, entry_id: str) -> AnyEntry | None:
        """The entry of that id, whether it counts or not."""
        numbers = [row.number for row in self._rows(["id = :id"], {"id": entry_id}, "id").rows]
        return next(self._fetch(numbers), None)

    def every_entry(self) -> tuple[AnyEntry, ...]:
        """All entries, those too that do not count, in the order they were added: the same tuple
        until one is added, so that what is found out about it need not be found out again."""
        if self._every is None:
            self._every = tuple(self._fetch(self._every_number()))
        return self._every

    # ------------------------------------------------------------ finding

    def find(
        self,
        kind: type[E],
        *,
        side: Side | None = None,
        first_day: date | None = None,
        last_day: date | None = None,
        words: Collection[str] = (),
    ) -> Sequence[E]:
        """See `finding.find`."""
        where, values = _where(kind, words)
        if first_day is not None:
            where.append("for_day >= :first_day")
            values["first_day"] = first_day.isoformat()
        if last_day is not None:
            where.append("for_day <= :last_day")
            values["last_day"] = last_day.isoformat()
        rows = self._rows(where, values, _ORDERS["day"]).counting
        return _Lazy([row.number for row in rows if side in (None, row.side)], self._fetch)

    def in_turn(
        self,
        kind: type[E] | None,
        *,
        by: By = "day",
        newest: bool = True,
        side: Side | None = None,
        words: Collection[str] = (),
    ) -> Iterator[E]:
        """See `finding.newest_first` and `finding.oldest_first`."""
        columns = _ORDERS[by].split(", ")
        order = ", ".join(f"{column} DESC" if newest else column for column in columns)
        beyond = "<" if newest else ">"
        after = f"({', '.join(columns)}) {beyond} ({', '.join(f':{name}' for name in columns)})"
        last: Values = {}
        for turn in count():
            # At first without the words: to look for them, whole rows have to be read.
            where, values = _where(kind, words if turn else ())
            if side is not None:
                where.append("side = :side")
                values["side"] = side
            if last:
                where.append(after)
            limit = FIRST_LOOK << turn
            rows, that_count = self._rows(where, values | last, f"{order} LIMIT {limit}")
            for row in that_count:
                yield cast(E, next(self._fetch([row.number])))
            if len(rows) < limit:
                return
            last = {column: getattr(rows[-1], column) for column in columns}

    def off_of(self, tape_on: str) -> Sequence[TapeOff]:
        """See `finding.off_of`."""
        # The plus keeps the database from looking through all that came off.
        where = ["+kind = :kind", "tape_on = :tape_on"]
        values = {"kind": _KIND_OF[TapeOff], "tape_on": tape_on}
        rows = self._rows(where, values, _ORDERS["day"]).counting
        return _Lazy([row.number for row in rows], self._fetch)

    def counting(self, entry_id: str) -> AnyEntry | None:
        """See `EntryIndex.counting`."""
        rows = self._with_ties(self._rows(["id = :id"], {"id": entry_id}, "id").rows)
        that_count = counting(rows, _senior)
        version = next((row for row in tree_of(rows, entry_id) if row in that_count), None)
        return None if version is None else next(self._fetch([version.number]))

    # ------------------------------------------------------------ as a collection

    def __iter__(self) -> Iterator[AnyEntry]:
        rows = self._rows([], {}, _ORDERS["day"]).counting
        return self._fetch([row.number for row in rows])

    def __len__(self) -> int:
        return len(self._rows([], {}, _ORDERS["day"]).counting)

    def __contains__(self, entry: object) -> bool:
        found = self.counting(entry.id) if isinstance(entry, AnyEntry) else None
        return found is not None and found == entry

    # ------------------------------------------------------------ inside

    def _rows(self, where: list[str], values: Values, order: str) -> _Rows:
        question = f"{_SELECT} WHERE {' AND '.join(where) or 1} ORDER BY {order}"
        key = _Asked(question, tuple(values.values()), values.get("kind"))
        if key not in self._found:
            rows = [_Row(*row) for row in self._ask(question, values)]
            tied = [row for row in rows if row.tied]
            count = {row.number for row in counting(self._with_ties(tied), _senior)}
            counted = [row for row in rows if not row.tied or row.number in count]
            self._found[key] = _Rows(rows, counted)
        return self._found[key]

    def _with_ties(self, rows: list[_Row]) -> list[_Row]:
        if not rows:
            return []
        numbers = f"[{','.join(str(row.number) for row in rows)}]"
        return [_Row(*row) for row in self._ask(_WITH_TIES, {"numbers": numbers})]

    def _fetch(self, numbers: Sequence[int]) -> Iterator[AnyEntry]:
        """The entries of some rows; what was not touched before is read at once."""
        unread = [number for number in numbers if number not in self._entries]
        if unread:
            self._entries.update(self._read(unread))
        return map(self._entries.__getitem__, numbers)

    def _every_number(self) -> list[int]:
        return [number for (number,) in self._ask("SELECT seq FROM entries ORDER BY seq", {})]


class _Lazy(Sequence[E]):
    """Entries by the numbers of their rows."""

    def __init__(
        self, numbers: Sequence[int], fetch: Callable[[Sequence[int]], Iterator[AnyEntry]]
    ) -> None:
        self._numbers = numbers
        self._fetch = fetch

    def __len__(self) -> int:
        return len(self._numbers)

    def __iter__(self) -> Iterator[E]:
        return cast(Iterator[E], self._fetch(self._numbers))

    @overload
    def __getitem__(self, at: int) -> E: ...
    @overload
    def __getitem__(self, at: slice) -> Sequence[E]: ...
    def __getitem__(self, at: int | slice) -> E | Sequence[E]:
        if isinstance(at, slice):
            return _Lazy(self._numbers[at], self._fetch)
        return cast(E, next(self._fetch([self._numbers[at]])))


def _where(kind: type[object] | None, words: Collection[str]) -> tuple[list[str], Values]:
    where: list[str] = []
    values: Values = {}
    if kind is not None:
        where.append("kind = :kind")
        values["kind"] = _KIND_OF[kind]
    if words:
        held = {f"word{number}": f'"{word}"' for number, word in enumerate(words)}
        where.append(f"({' OR '.join(f'instr(body, :{name})' for name in held)})")
        values |= held
    return where, values


def _senior(row: _Row) -> tuple[str, str]:
    return row.written_at, row.id
