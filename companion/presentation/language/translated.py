"""Sentences in another language: whole ones from its catalogue, then the open holes filled."""

import re
from collections.abc import Callable, Mapping
from string import Formatter

from companion.presentation.language.holes import filled, members
from companion.presentation.language.phrases import Forms, Rendered

_PERCENT = re.compile(r"(\{\w+[^{}]*\}|\d+)[ \u00a0]?%")
_UNIT = re.compile(r"(\{\w+[^{}]*\}|\d) (mm|cm|m|km|kg|s|min|h|\{unit\})(?!\w)")

Find = Callable[[str, str | None, str, int], str]
"""(text, many, context, n) -> the sentence of the catalogue with its holes, or ""."""


class Translated:
    """What says a sentence in another language; in English, where the catalogue has none."""

    def __init__(self, find: Find, forms: Forms) -> None:
        self._find = find
        self._numbers = _Numbers(forms.decimal)
        self._percent = forms.percent
        self._unit = r"\1" + forms.unit_gap + r"\2"

    def __call__(
        self, text: str, many: str | None, context: str, values: Mapping[str, object]
    ) -> str:
        """The sentence for `text`, or for `many` of the value `n`, filled."""
        words = {
            name: value.english
            for name, value in values.items()
            if isinstance(value, Rendered) and value.english in members(name, text)
        }
        n = _counted(values.get("n"))
        found = self._find(
            filled(text, words), many and filled(many, words), context, n
        ) or self._find(text, many, context, n)
        if not found:
            found = text if many is None or n == 1 else many
        said = self._numbers.vformat(self._spaced(found), (), values)
        if len(words) < len(values) or many is not None:
            return said
        return Rendered(said, filled(text, words))

    def _spaced(self, text: str) -> str:
        """Its per cent and its units as the language writes them after a number, however the
        translator did."""
        if "%" in text and self._percent != Forms.percent:
            text = _PERCENT.sub(self._percent.replace("{number}", r"\1"), text)
        return _UNIT.sub(self._unit, text)


def _counted(n: object) -> int:
    """The number a plural goes by. A broken one is more than one, and so is what is no number."""
    if isinstance(n, int | float) and n == int(n):
        return int(n)
    return 2


class _Numbers(Formatter):
    """Fills holes; a broken number with the decimal sign of the language."""

    def __init__(self, decimal: str) -> None:
        self._decimal = decimal

    def format_field(self, value: object, format_spec: str) -> str:
        """A value as it is written."""
        said: str = format(value, format_spec)
        return said.replace(".", self._decimal) if isinstance(value, int | float) else said
