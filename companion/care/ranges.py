"""What a field may hold, written once beside its type.

A marker sits in `Annotated[...]`. It is read by whoever guards a door: the strict reader (the
markers speak its schema protocol without importing it, which keeps this floor free of
third-party code) and the plain reader of our own store through `fault`.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Literal, Protocol

from companion.care.coded import Coded, coded

_Schema = dict[str, object]
_Handler = Callable[[object], _Schema]
YEARS = (1900, 2200)
"""The years a day or an instant may lie in. Beyond them no person's diary does, and the first and
last years of the calendar cannot be moved from one zone into another."""
NO_CONTROL_CHARACTERS = r"^[^\x00-\x08\x0b-\x1f\x7f-\x9f]*$"


class Marker(Protocol):
    """What stands beside a type in `Annotated`."""

    def fault(self, value: object) -> Coded | None:
        """What is wrong with a value of that type, else None."""


def _is_control(letter: str) -> bool:
    """True for what `NO_CONTROL_CHARACTERS` refuses, and for half of a surrogate pair."""
    code = ord(letter)
    if letter in "\t\n":
        return False
    return code < 0x20 or 0x7F <= code <= 0x9F or 0xD800 <= code <= 0xDFFF


@dataclass(frozen=True, slots=True)
class Range:
    """A number from `least` to `most`, both included."""

    least: float
    most: float

    def fault(self, value: object) -> Coded | None:
        """What is wrong when `value` lies outside, else None."""
        if isinstance(value, bool) or not isinstance(value, int | float):
            return coded("not_a_number", got=repr(value))
        if not self.least <= value <= self.most:
            return coded("not_between", got=value, least=self.least, most=self.most)
        return None

    def __get_pydantic_core_schema__(self, source: object, handler: _Handler) -> _Schema:
        schema = handler(source) | {"ge": self.least, "le": self.most}
        return schema | {"allow_inf_nan": False} if schema["type"] == "float" else schema


@dataclass(frozen=True, slots=True)
class Words:
    """Text of `least` to `most` characters, without control characters but tab and line feed."""

    most: int
    least: int = 1

    def fault(self, value: object) -> Coded | None:
        """What is wrong when `value` is not such text, else None."""
        if not isinstance(value, str):
            return coded("not_text", got=repr(value))
        if not self.least <= len(value) <= self.most:
            return coded("text_length", length=len(value), least=self.least, most=self.most)
        if not value.isprintable() and any(_is_control(letter) for letter in value):
            return coded("control_characters")
        return None

    def __get_pydantic_core_schema__(self, source: object, handler: _Handler) -> _Schema:
        limits = {"min_length": self.least, "max_length": self.most}
        return handler(source) | limits | {"pattern": NO_CONTROL_CHARACTERS}


@dataclass(frozen=True, slots=True)
class Token:
    """Text that matches a pattern in full, such as an id or a code."""

    pattern: str

    def fault(self, value: object) -> Coded | None:
        """What is wrong when `value` does not match, else None."""
        import re

        if not isinstance(value, str) or re.fullmatch(self.pattern, value) is None:
            return coded("not_of_form", got=repr(value), form=self.pattern)
        return None

    def __get_pydantic_core_schema__(self, source: object, handler: _Handler) -> _Schema:
        return handler(source) | {"pattern": f"^(?:{self.pattern})$"}


@dataclass(frozen=True, slots=True)
class Aware:
    """An instant with its UTC offset."""

    def fault(self, value: object) -> Coded | None:
        """What is wrong when `value` has no offset, else None."""
        if not isinstance(value, datetime) or value.utcoffset() is None:
            return coded("no_offset", got=repr(value))
        return None

    def __get_pydantic_core_schema__(self, source: object, handler: _Handler) -> _Schema:
        return handler(source) | {"tz_constraint": "aware"}


@dataclass(frozen=True, slots=True)
class Length:
    """A tuple of at most `most` items."""

    most: int

    def fault(self, value: object) -> Coded | None:
        """What is wrong when `value` is no tuple or too long, else None."""
        if not isinstance(value, tuple):
            return coded("list_expected")
        if len(value) > self.most:
            return coded("too_many_items", count=len(value), most=self.most)
        return None

    def __get_pydantic_core_schema__(self, source: object, handler: _Handler) -> _Schema:
        return handler(source) | {"max_length": self.most}


Letter = Literal["F", "S", "M", "C", "D", "V"]
"""How sure a fact is. F read in the source or its abstract; S read only in a secondary page; M from
memory; C common practice or a choice of ours, no source; D arithmetic on other facts; V recomputed,
or chosen by a simulation that can be run again."""
Score = Annotated[int, Range(0, 10)]
"""A whole number from 0 to 10."""
Instant = Annotated[datetime, Aware()]
"""A moment, with the UTC offset of the place where it was written."""
EntryId = Annotated[str, Token("[0-9a-f]{32}")]
"""Thirty-two lower-case hexadecimal digits, made at random."""
Code = Annotated[str, Token("[A-Za-z0-9][A-Za-z0-9._-]{0,31}")]
"""The clinic's own code for a person; never a name."""
Key = Annotated[str, Token("[a-z][a-z0-9_]{0,63}")]
"""The name of something in `resources/`."""
ClockTime = Annotated[str, Token("([01]?[0-9]|2[0-3]):[0-5][0-9]")]
"""A time of the day on a clock of 24 hours, such as 8:30."""
Label = Annotated[str, Words(60)]
"""A short line a person typed, such as an activity."""
Note = Annotated[str, Words(2000)]
"""A longer text a person typed."""
