"""A plan as a flat list of answers, and back again, by the types of its records.

The key of an answer is its path in the record: `tape.start`, `check_move.depth.seat_cm`. A row of
a list is called by the field that names it, or by its place: `techniques.stroke_thigh.seconds`,
`knees.left.build`, `amounts.0.goal`. What stands for a whole row has the name of the row for its
key: `techniques.stroke_thigh` is a tick, `cautions.clot` the answer, `known_signs.clot` the day.
A record that may be left out has a tick (`trial.on`); inside a row its fields stand among the
row's own (`knees.left.side_strip_mm`). Several codes of a fixed set are one answer, one after the
other. `caution_groups.falls` says how a group of cautions was answered; no plan holds it.
"""

from __future__ import annotations

import functools
import types
import typing
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import MISSING, dataclass, fields, replace
from datetime import date
from typing import Annotated, Any, Literal, TypeVar

from companion.care.caution_rules import counting_answers
from companion.care.hints import hint_in, markers, optional, plain, several
from companion.care.ranges import EntryId, Key, Length, Note, Range, Score, Words
from companion.care.records import (
    GroupAnswer,
    LastFortnight,
    Plan,
    Record,
    Side,
    Skin,
    Stage,
    record,
)
from companion.wire.plain import PlainFault, decode

Answer = str | int | float | bool | date | None
RecordT = TypeVar("RecordT", bound=Record)


@record
class FirstSession(Record):
    """What is asked about a first session beside the plan, under `session.`; `held`: there was one.

    Zones are their ids, one after the other.
    """

    held: bool | None = None
    side: Side | None = None
    rest_pain: Score | None = None
    stands: Annotated[int, Range(0, 99)] | None = None
    stand_arms: bool | None = None
    before: Score | None = None
    after_hands: Score | None = None
    after_tape: Score | None = None
    zones_before: Note | None = None
    zones_after_hands: Note | None = None
    stage: Stage | None = None
    skin_before: Skin | None = None
    skin_after: Skin | None = None
    stays_on: bool | None = None
    scoring: Note | None = None
    last_fortnight: LastFortnight | None = None


DERIVED = frozenset(
    {
        "version",
        "written_on",
        "caution_list",
        "trial.seed",
        "trial.schedule_sha256",
        "open_signs.*.sign",
        "open_signs.*.since",
        "open_signs.*.sides",
    }
)
"""What nobody is asked: it follows from the last version, the day, the content, the draw and the
diary at hand."""
CAUTION_GROUPS = "caution_groups"
_TICKED = ("techniques", "exercises")
_OWN = {"cautions": "answer", "known_signs": "since", "open_signs": "answer"}
"""Lists whose rows are ticked, and the field that stands under the name of a row."""


@dataclass(frozen=True, slots=True)
class FieldLimits:
    """What a field may hold: a number from `least` to `most`, a text of `most` letters, a day, yes
    or no."""

    least: float | None = None
    most: float | None = None
    whole: bool = False
    may_be_empty: bool = False
    day: bool = False
    yes_no: bool = False


# ---------------------------------------------------------------- the shape of the records


@dataclass(frozen=True, slots=True)
class _Field:
    """A field with one answer: its path from the record or row that is asked about, its type."""

    path: tuple[str, ...]
    hint: Any
    default: object

    @property
    def needed(self) -> bool:
        """Whether the record or row cannot be made without it."""
        return len(self.path) == 1 and self.default is MISSING


@dataclass(frozen=True, slots=True)
class Rows:
    """How the rows of a list are told apart: by the field `by`, or by their place.

    `names` are the rows there can be, None where the catalogue names them. `fields` stand under
    what follows the name of the row in their key.
    """

    record: type[Record] | None
    by: str
    names: tuple[str, ...] | None
    fields: Mapping[str, _Field]

    def name(self, row: object, place: int) -> str:
        """What the row at a place of the list is called."""
        return str(getattr(row, self.by)) if self.by else str(place)


def _fields(cls: type[Record], path: tuple[str, ...] = ()) -> Iterator[_Field]:
    """What a record holds: first its own fields, then those of the records in it. No lists of
    records."""
    inside = []
    for field in fields(cls):
        hint, here = hint_in(cls, field.name), (*path, field.name)
        held = plain(hint)
        if isinstance(held, type) and issubclass(held, Record):
            inside.append((held, here))
        elif typing.get_origin(held) is not tuple or several(hint):
            yield _Field(here, hint, field.default)
    for held, here in inside:
        yield from _fields(held, here)


@functools.cache
def _single() -> Mapping[str, _Field]:
    """The fields of a plan outside its lists. The sign-off is the last step of all, and no draft
    holds it."""
    found = {".".join(field.path): field for field in _fields(Plan)}
    return {
        key: field
        for key, field in found.items()
        if key not in DERIVED and field.path[0] != "sign_off"
    }


@functools.cache
def _lists() -> Mapping[str, Rows]:
    """The lists of a plan. A row is called by its first field, where that is a key or one of
    several words."""
    found = {}
    for field in fields(Plan):
        hint = hint_in(Plan, field.name)
        if typing.get_origin(plain(hint)) is not tuple or several(hint):
            continue
        row = typing.get_args(plain(hint))[0]
        most = next(marker.most for marker in markers(hint) if isinstance(marker, Length))
        places = tuple(str(place) for place in range(most))
        if not isinstance(row, type):
            found[field.name] = Rows(None, "", places, {"": _Field((), row, MISSING)})
            continue
        held = list(_fields(row))
        names: tuple[str, ...] | None = places
        by, first = held[0].path[0], held[0].hint
        if first in (Key, EntryId):
            names = None
        elif typing.get_origin(first) is Literal:
            names = typing.get_args(first)
        else:
            by = ""
        asked = {
            "" if each.path[-1] == _OWN.get(field.name) else f".{each.path[-1]}": each
            for each in held
            if each.path != (by,) and f"{field.name}.*.{each.path[-1]}" not in DERIVED
        }
        found[field.name] = Rows(row, by, names, asked)
    return found


def rows_of(group: str) -> Rows:
    """The rows of a list of the plan. Raises KeyError for what is no list."""
    return _lists()[group]


@functools.cache
def fields_asked() -> Mapping[str, object]:
    """The type of every field a draft asks for, by its key with a star for the row of a list.

    Any answer of a row may be missing, but for one that is ticked.
    """
    found = {key: field.hint for key, field in _single().items()} | {"trial.on": bool | None}
    for group, rows in _lists().items():
        ticked = group in _TICKED
        if ticked:
            found[f"{group}.*"] = bool | None
        for end, field in rows.fields.items():
            found[f"{group}.*{end}"] = field.hint if ticked else field.hint | None
    found |= {f"session.{field.path[0]}": field.hint for field in _fields(FirstSession)}
    found[f"{CAUTION_GROUPS}.*"] = GroupAnswer | None
    return types.MappingProxyType(found)


@functools.cache
def keys_of_records() -> Mapping[tuple[type[Record], str], str]:
    """The key of every field of a plan and of the records in it, also of what nobody is asked."""
    return types.MappingProxyType(dict(_keys(Plan, "")))


def _keys(
    cls: type[Record], place: str, own: str | None = None, *, in_row: bool = False
) -> Iterator[tuple[tuple[type[Record], str], str]]:
    for field in fields(cls):
        key = place.removesuffix(".") if field.name == own else f"{place}{field.name}"
        yield (cls, field.name), key
        held = plain(hint_in(cls, field.name))
        if isinstance(held, type) and issubclass(held, Record):
            yield from _keys(held, place if in_row else f"{key}.", in_row=in_row)
        elif field.name in _lists():
            row = _lists()[field.name].record
            if row is not None:
                yield from _keys(row, f"{key}.*.", _OWN.get(field.name), in_row=True)


# ---------------------------------------------------------------- one field


@functools.lru_cache(maxsize=4096)
def pattern_of(key: str) -> str:
    """The key with a star for the row: `techniques.*.seconds`. Raises KeyError for a field no
    plan has."""
    group, dot, rest = key.partition(".")
    pattern = key
    if dot and group in _lists():
        name, dot, end = rest.partition(".")
        names = rows_of(group).names
        if names is not None and name not in names:
            raise KeyError(key)
        pattern = f"{group}.*{dot}{end}"
    elif dot and group == CAUTION_GROUPS:
        pattern = f"{group}.*"
    if pattern not in fields_asked():
        raise KeyError(key)
    return pattern


def hint_of(key: str) -> object:
    """The type of a field, with its range. Raises KeyError for a field no plan has."""
    return fields_asked()[pattern_of(key)]


@functools.lru_cache(maxsize=4096)
def limits(key: str) -> FieldLimits:
    """What the field may hold, as its record says. Raises KeyError for a field no plan has."""
    return limits_of(hint_of(key))


def limits_of(hint: object) -> FieldLimits:
    """What a field of this type may hold."""
    kind, beside = plain(hint), list(markers(hint))
    bounds = next((marker for marker in beside if isinstance(marker, Range)), None)
    words = next((marker for marker in beside if isinstance(marker, Words)), None)
    most = bounds.most if bounds else words.most if words else None
    return FieldLimits(
        least=bounds.least if bounds else None,
        most=most,
        whole=kind is int,
        may_be_empty=optional(hint) or several(hint),
        day=kind is date,
        yes_no=kind is bool,
    )


def refused(hint: Any, answer: Answer) -> bool:
    """Whether the records would not hold this: asked of the reader of our own store."""
    written: object = answer.isoformat() if isinstance(answer, date) else answer
    if several(hint):
        written = [] if answer is None else str(answer).split()
    try:
        decode(hint, written, "field")
    except PlainFault:
        return True
    return False


def key_of(field: str, plan: Plan) -> str:
    """The key of what is called `techniques.0.seconds` in a plan: its row by its name."""
    group, *rest = field.split(".")
    if not rest or group not in _lists():
        return field
    place = int(rest[0])
    return ".".join((group, rows_of(group).name(getattr(plan, group)[place], place), *rest[1:]))


# ---------------------------------------------------------------- from a plan


def answers_of(plan: Plan) -> dict[str, Answer]:
    """The answers that make this plan. Of two to one caution the one that counts, of other rows
    with one name the first."""
    plan = replace(plan, cautions=tuple(counting_answers(plan).values()))
    answers: dict[str, Answer] = {}
    for key, field in _single().items():
        if field.path[0] != "trial":
            answers[key] = _at(plan, field.path)
        elif plan.trial is not None:
            answers["trial.on"] = True
            answers[key] = _at(plan, field.path)
    for group, rows in _lists().items():
        for number, row in enumerate(getattr(plan, group)):
            place = f"{group}.{rows.name(row, number)}"
            if group in _TICKED:
                answers[place] = True
            for end, field in rows.fields.items():
                answers.setdefault(f"{place}{end}", _at(row, field.path))
    return answers


def _at(held: object, path: tuple[str, ...]) -> Any:
    for name in path:
        held = None if held is None else getattr(held, name)
    return (" ".join(held) or None) if isinstance(held, tuple) else held


# ---------------------------------------------------------------- to a plan


@dataclass(frozen=True, slots=True)
class PlanMaker:
    """Makes a plan of answers. `get` gives the answer to a key that may be used, else None.

    `stand_ins` are for what has no default and no answer: under the key itself, or under the name
    of the field. `keys` are those of the draft, in order.
    """

    keys: Iterable[str]
    get: Callable[[str], Answer]
    stand_ins: Mapping[str, Answer]

    def plan(self, **known: object) -> Plan:
        """The plan of the answers; what is `known` is not looked for among them."""
        lists = {
            group: tuple(self._row(group, name) for name in self.rows_there(group))
            for group in _lists()
            if group not in known
        }
        return self._record(Plan, ".".join, known | lists)

    def rows_there(self, group: str) -> tuple[str, ...]:
        """The names of the rows of a list for which there are answers, in order."""
        names = rows_of(group).names
        if names is None:
            keys = (key.split(".") for key in self.keys)
            names = tuple(key[1] for key in keys if key[0] == group and len(key) == 2)
        return tuple(name for name in names if self._is_there(group, name))

    def _is_there(self, group: str, name: str) -> bool:
        """A row is there by what stands under its name; else when anything is answered that it
        needs and that nothing stands in for; where it needs nothing, when anything is."""
        place, asked = f"{group}.{name}", rows_of(group).fields
        if group in _TICKED:
            return self.get(place) is True
        if "" in asked:
            return self.get(place) is not None
        keys = {f"{place}{end}": field.needed for end, field in asked.items()}
        needed = [key for key, must in keys.items() if must and key not in self.stand_ins]
        return any(self.get(key) is not None for key in needed or keys)

    def _row(self, group: str, name: str) -> object:
        rows, place, own = rows_of(group), f"{group}.{name}", _OWN.get(group)
        if rows.record is None:
            return self.get(place)
        return self._record(
            rows.record,
            lambda path: place if path[-1] == own else f"{place}.{path[-1]}",
            {rows.by: name} if rows.by else {},
        )

    def _record(
        self,
        cls: type[RecordT],
        key_of: Callable[[tuple[str, ...]], str],
        known: Mapping[str, object],
        path: tuple[str, ...] = (),
    ) -> RecordT:
        values = dict(known)
        for field in fields(cls):
            if field.name in known:
                continue
            here, held_as = (*path, field.name), hint_in(cls, field.name)
            held = plain(held_as)
            if isinstance(held, type) and issubclass(held, Record):
                there = field.default is not None or any(
                    self.get(key_of((*here, *each.path))) is not None
                    for each in _fields(held)
                    if each.needed
                )
                values[field.name] = self._record(held, key_of, {}, here) if there else None
                continue
            key = key_of(here)
            answer = self.get(key)
            if answer is not None:
                values[field.name] = tuple(str(answer).split()) if several(held_as) else answer
            elif field.default is MISSING:
                values[field.name] = self.stand_ins[key if key in self.stand_ins else field.name]
        return cls(**values)
