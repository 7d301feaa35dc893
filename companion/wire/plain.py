"""Records to plain JSON values and back, by the types of their fields.

This is the reading for what we wrote ourselves (our store, our resources): quick, without
pydantic, with one plain fault and its place. What comes from outside goes through `strict`, which
reads the same shape; `encode` is the only writer.
"""

import dataclasses
import functools
import types
import typing
from collections.abc import Callable
from datetime import date, datetime
from typing import TypeAlias, TypeVar

from companion.care import records
from companion.care.coded import Coded, coded
from companion.care.json_values import JsonObject, JsonValue
from companion.care.ranges import YEARS, Marker
from companion.care.records import AnyEntry, Plan, Record

T = TypeVar("T")
_Reader = Callable[[object], object]
_FieldValue: TypeAlias = "bool | int | float | str | date | Record | tuple[_FieldValue, ...] | None"


class PlainFault(ValueError):
    """A value that is not what our own records hold: where, and what is wrong with it."""

    def __init__(self, place: str, what: Coded) -> None:
        super().__init__(f"{place}: {what}")
        self.place, self.what = place, what

    def inside(self, part: str) -> "PlainFault":
        """The same fault, its place told from outside: `part` is the field or item it lies in."""
        if not part or not self.place:
            return PlainFault(part or self.place, self.what)
        return PlainFault(f"{part}{'' if self.place[0] == '[' else '.'}{self.place}", self.what)


def encode(record: Record) -> JsonObject:
    """The JSON object of a record. What is None or an empty tuple by default is left out."""
    out: JsonObject = {}
    for name, default, whole_as_float in _fields(type(record)):  # type: ignore[arg-type]
        value = getattr(record, name)
        if name != "kind" and value == default and (value is None or value == ()):
            continue
        # A whole number in a float field is written as it will be read: 50 and 50.0 are one.
        out[name] = float(value) if whole_as_float and value is not None else _encode_value(value)
    return out


def decode(cls: type[T], value: object, place: str = "") -> T:
    """A record of class `cls` from its JSON object.

    Raises PlainFault with the place when a key is unknown or missing, or a value does not fit.
    """
    try:
        return _reader(cls)(value)  # type: ignore[return-value, arg-type]
    except PlainFault as fault:
        raise fault.inside(place or ("" if fault.place else cls.__name__)) from None


def decode_entry(value: object, place: str = "entry") -> AnyEntry:
    """An entry of whichever kind its `kind` names."""
    kind = value.get("kind") if isinstance(value, dict) else None
    cls = records.ENTRY_KINDS.get(kind) if isinstance(kind, str) else None
    if cls is None:
        raise PlainFault(place, coded("not_a_kind", got=repr(kind)))
    return decode(cls, value, place)  # type: ignore[return-value]


def decode_plan(value: object, place: str = "plan") -> Plan:
    """A plan from its JSON object."""
    return decode(Plan, value, place)


@functools.cache
def _fields(cls: type) -> tuple[tuple[str, object, bool], ...]:
    hints = typing.get_type_hints(cls)
    return tuple(
        (f.name, f.default, hints[f.name] in (float, float | None)) for f in dataclasses.fields(cls)
    )


def _encode_value(value: _FieldValue) -> JsonValue:
    if isinstance(value, date):  # a datetime is a date too
        return value.isoformat()
    if isinstance(value, tuple):
        return [_encode_value(item) for item in value]
    if isinstance(value, Record):
        return encode(value)
    return value


@functools.cache
def _reader(hint: object) -> _Reader:
    origin = typing.get_origin(hint)
    if origin is typing.Annotated:
        inner, *markers = typing.get_args(hint)
        return _checked(_reader(inner), tuple(markers))
    if origin in (typing.Union, types.UnionType):
        return _one_of(typing.get_args(hint))
    if origin is typing.Literal:
        return _literal(typing.get_args(hint))
    if origin is tuple:
        return _items(_reader(typing.get_args(hint)[0]))
    if dataclasses.is_dataclass(hint):
        return _record(typing.cast(type, hint))
    return _SCALARS[hint]


def _checked(read: _Reader, markers: tuple[Marker, ...]) -> _Reader:
    def reader(value: object) -> object:
        result = read(value)
        for marker in markers:
            fault = marker.fault(result)
            if fault is not None:
                raise PlainFault("", fault)
        return result

    return reader


def _one_of(hints: tuple[object, ...]) -> _Reader:
    """Unions here are `X | None`, or records told apart by `kind`."""
    others = [hint for hint in hints if hint is not type(None)]
    if len(others) == 1:
        read = _reader(others[0])
        return lambda value: None if value is None else read(value)
    return lambda value: decode_entry(value, "")


def _literal(words: tuple[str | int, ...]) -> _Reader:
    def reader(value: object) -> object:
        if value not in words or isinstance(value, bool):
            allowed = ", ".join(map(str, words))
            raise PlainFault("", coded("not_one_of", got=repr(value), allowed=allowed))
        return value

    return reader


def _items(read: _Reader) -> _Reader:
    def reader(value: object) -> object:
        if not isinstance(value, list):
            raise PlainFault("", coded("list_expected"))
        items: list[object] = []
        try:
            for item in value:
                items.append(read(item))  # noqa: PERF401 - a fault tells how many were read
        except PlainFault as fault:
            raise fault.inside(f"[{len(items)}]") from None
        return tuple(items)

    return reader


def _record(cls: type) -> _Reader:
    names = [f.name for f in dataclasses.fields(cls)]
    # Evaluating hints that are types already is slow, and the first page waits for it.
    hints: dict[str, object] = {f.name: f.type for f in dataclasses.fields(cls)}
    if any(isinstance(hint, str) for hint in hints.values()):
        hints = typing.get_type_hints(cls, include_extras=True)
    required = {
        f.name
        for f in dataclasses.fields(cls)
        if f.default is dataclasses.MISSING and f.default_factory is dataclasses.MISSING
    }
    readers = {name: _reader(hints[name]) for name in names}

    def reader(value: object) -> object:
        if not isinstance(value, dict):
            raise PlainFault("", coded("object_expected"))
        if not value.keys() <= readers.keys():
            unknown = min(value.keys() - readers.keys())
            raise PlainFault(unknown, coded("not_a_field_of", record=cls.__name__))
        if not value.keys() >= required:
            raise PlainFault(min(required - value.keys()), coded("missing"))
        fields: dict[str, object] = {}
        name = ""
        try:
            for name, item in value.items():
                fields[name] = readers[name](item)
        except PlainFault as fault:  # its place is put together only where there is one
            raise fault.inside(name) from None
        return cls(**fields)

    return reader


def _scalar(kinds: type | tuple[type, ...], fault: Callable[[object], Coded]) -> _Reader:
    def reader(value: object) -> object:
        if not isinstance(value, kinds) or (isinstance(value, bool) and kinds is not bool):
            raise PlainFault("", fault(value))
        return value

    return reader


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise PlainFault("", coded("not_a_number", got=repr(value)))
    try:
        return float(value)
    except OverflowError:  # a whole number of hundreds of digits
        raise PlainFault("", coded("not_a_number", got=f"{str(value)[:12]}...")) from None


def _iso(kind: type[date] | type[datetime], fault: Callable[[object], Coded]) -> _Reader:
    def reader(value: object) -> object:
        try:
            if not isinstance(value, str):
                raise TypeError
            found = kind.fromisoformat(value)
        except (TypeError, ValueError):
            raise PlainFault("", fault(value)) from None
        if not YEARS[0] <= found.year <= YEARS[1]:
            least, most = YEARS
            raise PlainFault("", coded("year_not_between", year=found.year, least=least, most=most))
        return found

    return reader


_SCALARS: dict[object, _Reader] = {
    str: _scalar(str, lambda got: coded("not_text", got=repr(got))),
    int: _scalar(int, lambda got: coded("not_whole", got=repr(got))),
    bool: _scalar(bool, lambda got: coded("not_true_or_false", got=repr(got))),
    float: _number,
    date: _iso(date, lambda got: coded("not_a_date", got=repr(got))),
    datetime: _iso(datetime, lambda got: coded("not_a_time", got=repr(got))),
}
