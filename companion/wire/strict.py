"""Strict reading of what comes from outside. The only user of pydantic, and slow to import.

Two readers that share nothing but the records must both take a value: pydantic, and the plain
reader of our own store. Where one is lenient (pydantic takes a text of digits for an instant, the
other a date without dashes) the other refuses, and what is handed back is what the plain reader
made, so that a record is the same from a file and from the store.
"""

import functools
import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Annotated, Any, NoReturn

import pydantic
from pydantic_core import ErrorDetails

from companion.care.ranges import Code, Length
from companion.care.records import ENTRY_KINDS, AnyEntry, Plan, Record
from companion.wire import plain
from companion.wire.faults import Fault

PLAN_VERSION = 2
DIARY_VERSION = 2
_LONGEST_QUOTE = 60

TaggedEntry = Annotated[AnyEntry, pydantic.Discriminator("kind")]


@dataclass(frozen=True, slots=True, kw_only=True)
class DiaryBody(Record):
    """The body of a diary file: the person's code, every plan version and every entry."""

    person: Code
    plans: Annotated[tuple[Plan, ...], Length(9999)]
    entries: Annotated[tuple[TaggedEntry, ...], Length(400_000)]


class _RefusedError(ValueError):
    """A JSON text that has more than one meaning."""


def read_plan(data: bytes, place: str = "plan") -> Plan | tuple[Fault, ...]:
    """The plan written as JSON in `data`, or all that is wrong with it."""
    plan: Plan | tuple[Fault, ...] = _read(data, place, _plan_adapter(), plain.decode_plan)
    return plan


def read_entry(data: bytes, place: str = "entry") -> AnyEntry | tuple[Fault, ...]:
    """The entry written as JSON in `data`, or all that is wrong with it."""
    entry: AnyEntry | tuple[Fault, ...] = _read(data, place, _entry_adapter(), plain.decode_entry)
    return entry


def guarded_json(data: bytes, place: str) -> Any | tuple[Fault, ...]:
    """The JSON value in `data`; a tuple of one fault when it is none that has one meaning.

    Refused are: bytes that are not UTF-8, a byte order mark, the same key twice, NaN and infinity,
    numbers without measure and nesting without measure.
    """
    try:
        return json.loads(
            data.decode("utf-8"), object_pairs_hook=_single_keys, parse_constant=_no_constant
        )
    except UnicodeDecodeError:
        return (Fault(place, "is not UTF-8 text"),)
    except _RefusedError as refused:
        return (Fault(place, str(refused)),)
    except RecursionError:
        return (Fault(place, "is nested too deep"),)
    except ValueError:  # also whole numbers of thousands of digits
        return (Fault(place, "is not JSON"),)


def json_schemas() -> dict[str, dict[str, Any]]:
    """The JSON Schemas of the bodies of plan and diary files, by file name."""
    plan = _plan_adapter().json_schema()
    diary = pydantic.TypeAdapter(DiaryBody).json_schema()
    return {
        f"plan-{PLAN_VERSION}.schema.json": _titled(plan, "plan", PLAN_VERSION),
        f"diary-{DIARY_VERSION}.schema.json": _titled(diary, "diary", DIARY_VERSION),
    }


def _titled(schema: dict[str, Any], kind: str, version: int) -> dict[str, Any]:
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:homeknee:{kind}:{version}",
    } | schema


@functools.cache
def _plan_adapter() -> "pydantic.TypeAdapter[Plan]":
    return pydantic.TypeAdapter(Plan)


@functools.cache
def _entry_adapter() -> "pydantic.TypeAdapter[AnyEntry]":
    return pydantic.TypeAdapter(TaggedEntry)


def _read(
    data: bytes, place: str, adapter: "pydantic.TypeAdapter[Any]", decode: Callable[[Any, str], Any]
) -> Any:
    value = guarded_json(data, place)
    if isinstance(value, tuple):
        return value
    try:
        record, from_plain = decode(value, place), None
    except plain.PlainFault as fault:
        where, _, sentence = str(fault).partition(": ")
        record, from_plain = None, Fault(where, _short(sentence))
    try:
        adapter.validate_json(data)
    except pydantic.ValidationError as refused:
        return _in_words(refused.errors(include_url=False), place, from_plain)
    return (from_plain,) if from_plain is not None else record


def _single_keys(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    out = dict(pairs)
    if len(out) != len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise _RefusedError(f"holds {_quoted(twice)} twice")
    return out


def _no_constant(word: str) -> NoReturn:
    raise _RefusedError(f"{word} is not a number")


def _in_words(
    errors: Iterable[ErrorDetails], place: str, from_plain: Fault | None
) -> tuple[Fault, ...]:
    """Each fault once; the plain reader's words where it found the same place at fault."""
    faults = []
    for error in errors:
        where = _place(place, error["loc"])
        if from_plain is not None and where == from_plain.place:
            faults.append(from_plain)
        else:
            faults.append(Fault(where, _short(_sentence(error))))
    return tuple(dict.fromkeys(faults))


def _place(place: str, loc: tuple[int | str, ...]) -> str:
    parts = list(loc)
    if parts and parts[0] in ENTRY_KINDS:  # the tag of the union, not a field
        parts = parts[1:]
    return place + "".join(f"[{p}]" if isinstance(p, int) else f".{p}" for p in parts)


def _sentence(error: ErrorDetails) -> str:
    got, context = _quoted(error["input"]), error.get("ctx", {})
    kind = error["type"]
    words = {
        "missing": "missing",
        "unexpected_keyword_argument": "not a field we know",
        "less_than_equal": f"{got} is more than {context.get('le')}",
        "greater_than_equal": f"{got} is less than {context.get('ge')}",
        "literal_error": f"{got} is not one of {context.get('expected')}",
        "too_long": f"more than {context.get('max_length')} items",
        "string_too_long": f"text of more than {context.get('max_length')} characters",
        "string_too_short": f"text of less than {context.get('min_length')} characters",
        "string_pattern_mismatch": f"{got} is not of the allowed form",
        "timezone_aware": f"{got} has no offset from UTC",
        "tuple_type": "a list is expected",
        "union_tag_invalid": f"{_quoted(context.get('tag'))} is not a kind of entry",
        "union_tag_not_found": "without a kind of entry",
    }
    if kind in words:
        return words[kind]
    for start, word in _TYPE_WORDS:
        if kind.startswith(start):
            return f"{got} is not {word}"
    return error["msg"].lower()


_TYPE_WORDS = (
    ("int_", "a whole number"),
    ("float_", "a number"),
    ("finite_", "a number"),
    ("bool_", "true or false"),
    ("string_", "text"),
    ("datetime_", "a time such as 2026-03-09T19:42:00+01:00"),
    ("date_", "a date such as 2026-03-09"),
    ("dataclass_", "an object"),
)


def _quoted(value: Any) -> str:
    return _short(json.dumps(value, ensure_ascii=False, default=str) if value != "" else "''")


def _short(text: str) -> str:
    """One line of bounded length, whatever the file holds."""
    line = "".join(letter if letter.isprintable() else " " for letter in text[: _LONGEST_QUOTE * 4])
    limit = _LONGEST_QUOTE * 2
    return line if len(line) <= limit else line[: limit - 3] + "..."
