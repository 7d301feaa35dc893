"""What there is to translate: every text of code and content, as messages of a catalogue."""

from __future__ import annotations

import re
from functools import cache
from itertools import product

from babel.messages.catalog import Catalog

from companion.presentation.language.holes import CLOSED, filled, members
from tests.languages.code_texts import Code, Text
from tests.languages.content_texts import content_texts

ROOMS = {
    "home": ("companion/presentation/home", "companion/ui/home", "companion/app/home"),
    "clinic": ("companion/presentation/clinic", "companion/ui/clinic", "companion/app/clinic"),
    "papers": ("companion/presentation/papers", "companion/paper"),
    "content": ("resources/",),
    "everywhere": ("companion/presentation/language", "companion/presentation/view"),
    "windows": ("companion/ui/kit", "companion/canvas"),
    "commands": ("companion/app",),
}
"""Where a message is said, by the beginning of its path; the first that fits counts."""
HOLE = re.compile(r"\{(\w+)[^}]*\}")


@cache
def texts() -> dict[Text, frozenset[str]]:
    """Every text with the files that say it, closed holes filled."""
    found: dict[Text, set[str]] = {}
    for text, places in Code().found.items():
        found.setdefault(text, set()).update(places)
    for words, place in content_texts():
        found.setdefault(Text(words), set()).add(place)
    whole: dict[Text, set[str]] = {}
    for text, places in found.items():
        for one in _whole(text):
            whole.setdefault(one, set()).update(places)
    return {text: frozenset(places) for text, places in whole.items()}


def _whole(text: Text) -> list[Text]:
    """The same with every closed hole filled by each of its words."""
    holes = [name for name in dict.fromkeys(HOLE.findall(text.one)) if name in CLOSED]
    return [
        Text(
            filled(text.one, chosen),
            text.many and filled(text.many, chosen),
            text.context,
        )
        for words in product(*(members(name, text.one) for name in holes))
        for chosen in [dict(zip(holes, words, strict=True))]
    ]


def template() -> Catalog:
    """All of it as a catalogue. Of two texts one of which has a plural, the one with it stays: a
    catalogue has one message for both."""
    made = Catalog(domain="homeknee", project="homeknee", charset="utf-8")
    plurals = {(text.context, text.one) for text in texts() if text.many}
    for text, places in sorted(texts().items(), key=lambda item: (min(item[1]), item[0].one)):
        if text.many is None and (text.context, text.one) in plurals:
            continue
        made.add(
            (text.one, text.many) if text.many else text.one,
            locations=[(place, 0) for place in sorted(places)],
            context=text.context or None,
            flags=["python-brace-format"] if HOLE.search(text.one + (text.many or "")) else (),
        )
    return made


def room(places: frozenset[str] | set[str]) -> str:
    """Where a message is said: of several, the room that is named first in ROOMS."""
    for name, begins in ROOMS.items():
        if any(place.startswith(begins) for place in places):
            return name
    return "commands"
