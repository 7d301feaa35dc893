"""Strict reading of what comes from outside. The only user of pydantic, and slow to import.

What pydantic makes of a line is handed back. Where it is lenient (it takes a text of digits for an
instant, and the last of a key that comes twice) it is held to the form by its own schema and by
the line itself: read as bare JSON and written again, a line without a key twice is the same bytes.
Only a line that fails is read by the plain reader of our own store too, for its words. In the
tests that reader is the oracle: both take the same, and make the same records of it.
"""

import functools
import json
import math
from collections.abc import Callable, Iterable, Mapping
from typing import Annotated, Any, Literal, NoReturn, TypeVar, cast

import pydantic
from pydantic_core import CoreSchema, ErrorDetails, SchemaValidator, from_json, to_json

from companion.care.coded import Coded, coded
from companion.care.json_values import JsonObject, JsonValue
from companion.care.ranges import YEARS
from companion.care.records import ENTRY_KINDS, AnyEntry, Plan
from companion.wire import plain
from companion.wire.faults import Fault

_LONGEST_QUOTE = 60
T = TypeVar("T")

TaggedEntry = Annotated[AnyEntry, pydantic.Discriminator("kind")]

_DAY = f"(?:{'|'.join(map(str, range(YEARS[0], YEARS[1] + 1)))})-[0-9]{{2}}-[0-9]{{2}}"
_CLOCK = "[0-9]{2}:[0-9]{2}(?::[0-9]{2}(?:[.][0-9]{1,6})?)?"
_FORMS = {
    "date": f"^{_DAY}$",
    "datetime": f"^{_DAY}[T ]{_CLOCK}(?:Z|[+-][0-9]{{2}}:[0-9]{{2}})?$",
}
"""How a day and an instant are written (RFC 3339); the offset is looked for by itself."""


class _RefusedError(ValueError):
    """A JSON text that has more than one meaning."""

    def __init__(self, what: Coded) -> None:
        super().__init__(str(what))
        self.what = what


def read_plan(data: bytes, place: str = "plan") -> Plan | tuple[Fault, ...]:
    """The plan written as JSON in `data`, or all that is wrong with it."""
    return _read(data, place, _validator("plan"), plain.decode_plan)


def read_entry(data: bytes, place: str = "entry") -> AnyEntry | tuple[Fault, ...]:
    """The entry written as JSON in `data`, or all that is wrong with it."""
    return _read(data, place, _validator("entry"), plain.decode_entry)


def guarded_json(data: bytes, place: str) -> JsonValue | tuple[Fault, ...]:
    """The JSON value in `data`; a tuple of one fault when it is none that has one meaning.

    Refused are: bytes that are not UTF-8, a byte order mark, half a letter, the same key twice, NaN
    and infinity, numbers without measure and nesting without measure. What is left can be written
    again.
    """
    try:
        value: JsonValue = _decoder().decode(data.decode("utf-8"))
    except UnicodeDecodeError:
        return (Fault(place, coded("not_utf8")),)
    except _RefusedError as refused:
        return (Fault(place, refused.what),)
    except RecursionError:
        return (Fault(place, coded("nested_too_deep")),)
    except ValueError:  # also whole numbers of thousands of digits
        return (Fault(place, coded("not_json")),)
    try:  # the codec has a shallower bottom, and takes no half of a surrogate pair
        from_json(data, allow_inf_nan=False)
    except ValueError as refused:
        if "recursion" in str(refused):
            return (Fault(place, coded("nested_too_deep")),)
        return (Fault(place, coded("not_json")),)
    return value


@functools.cache
def _decoder() -> json.JSONDecoder:
    return json.JSONDecoder(
        object_pairs_hook=_single_keys, parse_constant=_no_constant, parse_float=_finite
    )


@functools.cache
def _validator(kind: Literal["plan", "entry"]) -> SchemaValidator:
    plan = kind == "plan"
    adapter = pydantic.TypeAdapter(Plan) if plan else pydantic.TypeAdapter(TaggedEntry)
    return SchemaValidator(cast(CoreSchema, _to_the_form(adapter.core_schema)))


def _to_the_form(schema: object) -> object:
    """The schema with each day and instant held to its form, for which pydantic has no setting."""
    if isinstance(schema, list | tuple):
        return type(schema)(map(_to_the_form, schema))
    if not isinstance(schema, dict):
        return schema
    kind = schema.get("type")
    if kind not in _FORMS:
        return {key: _to_the_form(part) for key, part in schema.items()}
    text = {"type": "str", "strict": True, "pattern": _FORMS[kind]}
    named = {"custom_error_type": f"{kind}_form", "custom_error_message": "not of its form"}
    form = {"type": "custom-error", "schema": text} | named
    return {"type": "chain", "steps": [form, schema | {"strict": False}]}


def _read(
    data: bytes, place: str, validator: SchemaValidator, decode: Callable[[object, str], T]
) -> T | tuple[Fault, ...]:
    try:
        read: T = validator.validate_json(data)
    except pydantic.ValidationError as refused:
        return _told(data, place, refused, decode)
    if to_json(from_json(data, allow_inf_nan=False, cache_strings="keys")) == data:
        return read
    value = guarded_json(data, place)  # laid out in another way, or a key twice
    return value if isinstance(value, tuple) else read


def _told(
    data: bytes,
    place: str,
    refused: pydantic.ValidationError,
    decode: Callable[[object, str], object],
) -> tuple[Fault, ...]:
    """All that is wrong with a line, in the plain reader's words where it finds it too."""
    value = guarded_json(data, place)
    if isinstance(value, tuple):
        return value
    from_plain = None
    try:
        decode(value, place)
    except plain.PlainFault as fault:
        from_plain = Fault(_short(fault.place), _bounded(fault.what))
    return _all_of(refused.errors(include_url=False), place, from_plain)


def _single_keys(pairs: list[tuple[str, JsonValue]]) -> JsonObject:
    out = dict(pairs)
    if len(out) != len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise _RefusedError(coded("key_twice", key=_quoted(twice)))
    return out


def _no_constant(word: str) -> NoReturn:
    raise _RefusedError(coded("not_a_number", got=_short(word)))


def _finite(digits: str) -> float:
    number = float(digits)
    if math.isinf(number):
        _no_constant(digits)
    return number


def _all_of(
    errors: Iterable[ErrorDetails], place: str, from_plain: Fault | None
) -> tuple[Fault, ...]:
    """Each fault once; the plain reader's own where it found the same place at fault."""
    faults = []
    for error in errors:
        where = _short(_place(place, error["loc"]))
        if from_plain is not None and where == from_plain.place:
            faults.append(from_plain)
        else:
            faults.append(Fault(where, _what(error)))
    return tuple(dict.fromkeys(faults))


def _place(place: str, loc: tuple[int | str, ...]) -> str:
    parts = list(loc)
    if parts and parts[0] in ENTRY_KINDS:  # the tag of the union, not a field
        parts = parts[1:]
    return place + "".join(f"[{p}]" if isinstance(p, int) else f".{p}" for p in parts)


def _what(error: ErrorDetails) -> Coded:
    """What pydantic refuses, in the codes of the plain reader where it has one."""
    got, limits, kind = _quoted(error["input"]), error.get("ctx", {}), error["type"]
    known = _KINDS.get(kind) or _TYPES.get(kind.partition("_")[0])
    return known(got, limits) if known else coded("refused", why=_short(error["msg"]))


_Coder = Callable[[str, Mapping[str, Any]], Coded]
"""From what was got, quoted, and the limits the fault names."""
_KINDS: dict[str, _Coder] = {
    "missing": lambda got, limits: coded("missing"),
    "unexpected_keyword_argument": lambda got, limits: coded("unknown_field"),
    "less_than_equal": lambda got, limits: coded("more_than", got=got, most=limits["le"]),
    "greater_than_equal": lambda got, limits: coded("less_than", got=got, least=limits["ge"]),
    "literal_error": lambda got, limits: coded(
        "not_one_of", got=got, allowed=_short(str(limits["expected"]))
    ),
    "too_long": lambda got, limits: coded("more_items_than", most=limits["max_length"]),
    "string_too_long": lambda got, limits: coded("text_too_long", most=limits["max_length"]),
    "string_too_short": lambda got, limits: coded("text_too_short", least=limits["min_length"]),
    "string_pattern_mismatch": lambda got, limits: coded("not_of_allowed_form", got=got),
    "timezone_aware": lambda got, limits: coded("no_offset", got=got),
    "tuple_type": lambda got, limits: coded("list_expected"),
    "union_tag_invalid": lambda got, limits: coded("not_a_kind", got=_quoted(limits.get("tag"))),
    "union_tag_not_found": lambda got, limits: coded("no_kind"),
}
_TYPES: dict[str, _Coder] = {
    "int": lambda got, limits: coded("not_whole", got=got),
    "float": lambda got, limits: coded("not_a_number", got=got),
    "finite": lambda got, limits: coded("not_a_number", got=got),
    "bool": lambda got, limits: coded("not_true_or_false", got=got),
    "string": lambda got, limits: coded("not_text", got=got),
    "datetime": lambda got, limits: coded("not_a_time", got=got),
    "date": lambda got, limits: coded("not_a_date", got=got),
    "dataclass": lambda got, limits: coded("object_expected"),
}


def _bounded(what: Coded) -> Coded:
    """The same with no more of the file in it than fits a line."""
    return Coded(
        what.code,
        tuple((name, _short(got) if isinstance(got, str) else got) for name, got in what.values),
    )


def _quoted(value: object) -> str:
    return _short(json.dumps(value, ensure_ascii=False, default=str) if value != "" else "''")


def _short(text: str) -> str:
    """One line of bounded length, whatever the file holds."""
    line = "".join(letter if letter.isprintable() else " " for letter in text[: _LONGEST_QUOTE * 4])
    limit = _LONGEST_QUOTE * 2
    return line if len(line) <= limit else line[: limit - 3] + "..."
