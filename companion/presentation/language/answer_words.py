"""One answer of an entry in words: what it is called, and what was said."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from companion.care.correcting import AnswerAt, RowName
from companion.presentation.language.code_table import capital, inside
from companion.presentation.language.field_words import field_words, value_words
from companion.presentation.language.phrases import clock_time, listed, phrase

if TYPE_CHECKING:
    from companion.care.catalogue import Catalogue


def answer_name(answer: AnswerAt, catalogue: Catalogue | None = None) -> str:
    """What an answer is called: `After hands: score`."""
    name = phrase(field_words(answer.record, answer.name).name)
    rows = [row_words(row, catalogue) for row in answer.rows]
    if not rows:
        return name
    return phrase("{where}: {what}", where=listed(rows), what=inside(name))


def row_words(row: RowName, catalogue: Catalogue | None = None) -> str:
    """What a row of a list is called, with its number where another one is called so."""
    words = field_words(row.record, row.name)
    if row.counted:
        return phrase("{what} {n}", n=row.value, what=capital(phrase(words.name)))
    named = capital(value_words(words, row.value, catalogue)).rstrip(".")
    return phrase("{what} {n}", n=row.nth, what=named) if row.nth > 1 else named


def said_words(answer: AnswerAt, catalogue: Catalogue | None = None) -> str:
    """An answer in words, `nothing` where none of several was ticked."""
    if answer.value == ():
        return phrase("nothing")
    if isinstance(answer.value, datetime):
        return clock_time(answer.value)
    return value_words(field_words(answer.record, answer.name), answer.value, catalogue)
