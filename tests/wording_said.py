"""What is wording of the trade that somebody licensed is to sign, and where it is not said that
nobody has."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import cache

from companion.care.policy import BEFOREHAND
from companion.presentation.language.caution_words import asked_for
from tests.care.walking import CATALOGUE

PAGE_END = "\f"
"""Stands after the texts of a page, or of a paper whose foot is on each of its pages."""
NOBODY = "licensed clinician has signed"
_FEWEST_WORDS = 5
"""Of the lines of a card: a shorter one, such as whom to call, is said in other places too."""


def _sentences() -> Iterator[str]:
    for sign in (*CATALOGUE.stop_list.signs, *CATALOGUE.stop_list.unknown):
        asked = (question.words for question in sign.questions)
        yield from (w for w in (sign.words, sign.told, sign.known_words, *asked) if w)
    for card in CATALOGUE.cards.cards:
        asked = (question.words for question in card.opens_when)
        lines = (*card.actions, *card.actions_open, card.say, card.say_away, card.say_also, *asked)
        yield from (line for line in lines if line and len(line.split()) >= _FEWEST_WORDS)
    yield from (question.words for question in CATALOGUE.short_gate.questions)
    for caution in CATALOGUE.cautions.cautions:
        yield from (caution.clinic_words, caution.clinic_effect)
    for helping in (False, True):
        minded = asked_for(BEFOREHAND, helping=helping)
        yield from (line for line in minded if len(line.split()) > _FEWEST_WORDS)


@cache
def wording() -> frozenset[str]:
    """Every sentence of the stop list, its cards, the daily questions and the cautions, as it is
    looked for."""
    return frozenset(re.sub(r"[.?!]$", "", sentence).lower() for sentence in _sentences())


def unsigned_pages(texts: Iterable[str]) -> list[str]:
    """The pages that hold wording and do not say that nobody licensed signed it: the sentence, and
    where."""
    found = []
    pages = " \n".join(texts).split(PAGE_END)
    for page in dict.fromkeys(" ".join(page.split()).lower() for page in pages):
        held = next((one for one in wording() if one in page), None)
        if held is not None and NOBODY not in page:
            found.append(f"{held!r} in: {page[:160]}")
    return found
