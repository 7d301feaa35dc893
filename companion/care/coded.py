"""What the floors below `presentation` hand up instead of a sentence: a code and its parameters.

The sentence of each code stands in `presentation/language/said.py`, once, in whatever tongue.
`tests/presentation/language/test_said.py` reads every call of `coded` and finds a code without
a sentence, a sentence nobody needs and a parameter that is not handed in.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import NamedTuple


class CodeOf(NamedTuple):
    """A parameter that is the code of a set: its words stand in the one table of that set."""

    table: str
    code: str


class ContentWords(NamedTuple):
    """A parameter that is written in a content file, such as the title of a technique."""

    text: str


class Coded(NamedTuple):
    """A code with its parameters, each named as in the sentence; another `Coded` may be one."""

    code: str
    values: tuple[tuple[str, CodedValue], ...] = ()

    def __str__(self) -> str:
        """For a log and for developers; never for a page."""
        told = ", ".join(f"{name}={value}" for name, value in self.values)
        return f"{self.code}({told})"


CodedValue = str | int | float | date | Coded | CodeOf | ContentWords


def coded(code: str, /, **values: CodedValue) -> Coded:
    """`code` is written out where this is called, so that the tests can read it there."""
    return Coded(code, tuple(values.items()))


Say = Callable[[Coded], str]
"""The words of a code: handed in where a floor below `presentation` writes what is read."""


class KnownFault(Exception):
    """Something that can be told to whoever asked for it; `said` is what."""

    def __init__(self, said: Coded) -> None:
        super().__init__(str(said))
        self.said = said


KNEES = {"left": coded("left_knee"), "right": coded("right_knee")}
"""The knee of a side, as a parameter."""
