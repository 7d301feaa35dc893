"""What a field of a record may hold, asked of its type.

There are a few hundred types, and a form asks about them with every key that is pressed: what was
found out once is kept.
"""

import functools
import types
import typing
from collections.abc import Iterator
from typing import Annotated, Literal

from companion.care.records import Record

_hints: dict[type, dict[str, object]] = {}


def hint_in(cls: type[Record], name: str) -> object:
    """The type of a field of a record, with its range."""
    if cls not in _hints:
        _hints[cls] = typing.get_type_hints(cls, include_extras=True)
    return _hints[cls][name]


@functools.cache
def plain(hint: object) -> object:
    """A type without its markers, and without the None it may be."""
    if typing.get_origin(hint) is Annotated:
        return plain(typing.get_args(hint)[0])
    if typing.get_origin(hint) in (typing.Union, types.UnionType):
        others = [each for each in typing.get_args(hint) if each is not type(None)]
        return plain(others[0]) if len(others) == 1 else hint
    return hint


@functools.cache
def codes_of(hint: object) -> tuple[str, ...]:
    """The codes of a type that holds one or several of a fixed set; none for any other."""
    held = plain(hint)
    if typing.get_origin(held) is tuple:
        held = plain(typing.get_args(held)[0])
    return typing.get_args(held) if typing.get_origin(held) is Literal else ()


@functools.cache
def several(hint: object) -> bool:
    """Whether a type holds several codes of a fixed set."""
    return typing.get_origin(plain(hint)) is tuple and bool(codes_of(hint))


@functools.cache
def optional(hint: object) -> bool:
    """Whether a type allows None."""
    if typing.get_origin(hint) is Annotated:
        return optional(typing.get_args(hint)[0])
    return type(None) in typing.get_args(hint)


def markers(hint: object) -> Iterator[object]:
    """What stands beside a type, and beside those in it."""
    if typing.get_origin(hint) is Annotated:
        yield from typing.get_args(hint)[1:]
    for part in typing.get_args(hint):
        if typing.get_origin(part) is not None:
            yield from markers(part)
