"""A language that nobody speaks, made from the English as it is said: no letter of it is an English
one, it is longer by a third, and its commas, semicolons and figures are set with signs of its own.

So what was never looked up, what was joined by hand and what has no room shows, on every page at
once. It is never offered: it lasts as long as a test.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import fields, is_dataclass

from companion.presentation.language import phrases
from companion.presentation.language.phrases import Forms
from companion.presentation.language.translated import Translated
from tests.languages.template import HOLE

TAG = "qps"
_SMALL = dict(zip("abcdefghijklmnopqrstuvwxyz", "áƀćďéƒğĥíĵķĺμñóρθŕšťúνŵχýž", strict=True))
_LETTERS = str.maketrans(
    {**_SMALL, **{plain.upper(): marked.upper() for plain, marked in _SMALL.items()}}
)
_SIGNS = str.maketrans({",": "،", ";": "؛"})
_DECIMAL = "\u066b"
_BROKEN = re.compile(r"(?<=\d)\.(?=\d)")
_VOWEL = re.compile("[aeiou]", re.IGNORECASE)
_TO_KEEP = re.compile(rf"{HOLE.pattern}|\[\w+\]")


def marked(text: str) -> str:
    """English words in it; holes stay. Each vowel is said twice, which is a third more."""
    said, at = [], 0
    for hole in _TO_KEEP.finditer(text):
        said += [_said(text[at : hole.start()]), hole.group()]
        at = hole.end()
    return "".join([*said, _said(text[at:])])


def _said(words: str) -> str:
    longer = _VOWEL.sub(lambda vowel: vowel.group() + vowel.group().lower(), words)
    return _BROKEN.sub(_DECIMAL, longer.translate(_LETTERS).translate(_SIGNS))


@contextmanager
def pseudo_spoken() -> Iterator[None]:
    """While this lasts everything is said in it; afterwards in what was spoken before."""
    made = Forms()
    for name in ("weekdays", "months", "short_months"):
        setattr(made, name, tuple(map(marked, getattr(made, name))))
    for name in ("comma", "semicolon", "last_of_two", "last_of_many"):
        setattr(made, name, marked(getattr(made, name)))
    made.decimal = _DECIMAL
    before = phrases.spoken(), phrases._translate, phrases.forms()
    phrases.speak(TAG, Translated(_find, made), made)
    try:
        yield
    finally:
        phrases.speak(*before)


def _find(text: str, many: str | None, _context: str, n: int) -> str:
    return marked(text if many is None or n == 1 else many)


def typed_in(record: object) -> set[str]:
    """What people typed into a record: its texts that are no codes."""
    if isinstance(record, str):
        return {record, record[0].upper() + record[1:]} if re.search(r"[A-Z ]", record) else set()
    if is_dataclass(record) and not isinstance(record, type):
        return typed_in([getattr(record, field.name) for field in fields(record)])
    if isinstance(record, dict):
        return typed_in([*record, *record.values()])
    if isinstance(record, Iterable):
        return {words for part in record for words in typed_in(part)}
    return set()


def english_in(words: str, the_same: re.Pattern[str]) -> str:
    """What of it is English still, but for what is `the_same` in every language."""
    return " ".join(_ENGLISH.findall(the_same.sub("", words)))


def the_same(typed: Collection[str], everywhere: Collection[str]) -> re.Pattern[str]:
    """What people typed, and patterns of what nobody translates."""
    longest_first = sorted(typed, key=len, reverse=True)
    return re.compile("|".join([*map(re.escape, longest_first), *everywhere]))


_ENGLISH = re.compile(r"[A-Za-z][A-Za-z’ -]*|[,;](?= )|\d\.\d")
