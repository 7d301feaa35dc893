"""Every text of the content files that a person reads, by the names of their fields.

A field is told or it is a code, an id, a citation; `NOT_TOLD` and `TOLD` name them all, so that a
new one has to be put in either.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from companion.presentation.home.card_pages import with_whom
from companion.system.resources import resource
from companion.wire.facts_reading import read_facts

TOLD = frozenset(
    {
        *("about", "actions", "actions_open", "after", "after_last_question", "after_on"),
        *("alone", "as_before_question", "beyond", "by_when", "called_question"),
        *("clinic_effect", "clinic_name", "clinic_words", "clinician_words", "confirmed_by"),
        *("contact_words", "easier", "explanation", "for_the_clinic", "heading"),
        *("heading_open", "helper", "hint", "home", "home_words", "in_short", "known_words"),
        *("label", "lead", "needs", "over_question", "person", "position", "position_helper"),
        *("reach_question", "reading_question", "report", "say", "say_also", "say_away"),
        "sentences",
        *("skin_again_question", "skin_clear_question", "skin_question", "status_note"),
        *("stop_for", "take_off_for", "title", "told", "topics_question", "unit", "verb"),
        *("week", "week_not_clear", "well_again_question", "when_none", "while_worn", "word"),
        "words",
    }
)
ONLY_IN = {"never": "tape_steps", "opens": "tape_steps"}
"""Told in this file, codes in others."""
NOT_TOLD = frozenset(
    {
        *("anchors", "answer", "ask", "asked_when", "card", "caution", "closes", "code"),
        *("contact", "contacts", "control", "each", "ends", "exercise", "facts", "falls", "felt"),
        *("flare", "flat", "group", "half_typed", "heads", "holds_on", "id", "key", "knee"),
        *("known_as", "letter", "level", "looked", "measure", "met_when", "moment", "motion"),
        *("name", "none_of", "not_over", "not_sure", "not_with", "of", "offers", "one_of"),
        *("options", "parts", "patch_test", "posture", "practises", "pressure", "preview"),
        *("primary_question", "reason", "replacement", "rest", "rule", "sign", "signs"),
        *("state", "taught", "technique", "tells", "topic", "until", "when", "worse_as"),
        "zones",
    }
)


class UnknownField(Exception):
    """A content file has a field of which it is not said whether a person reads it."""


def content_texts() -> Iterator[tuple[str, str]]:
    """Each text with the file it stands in, the files in order."""
    top = resource()
    files = [*top.glob("*.json")]
    for folder in ("exercises", "forms", "techniques", "templates"):
        files += (top / folder).glob("*.json")
    for path in sorted(files):
        place = path.relative_to(top.parent).as_posix()
        for text in _told(json.loads(path.read_bytes()), "", path):
            yield text, place
    for card in json.loads((top / "cards.json").read_bytes())["cards"]:
        first, *others = card.get("contacts", [None])
        for role in others:
            yield with_whom(card["actions"][0], first, role), "resources/cards.json"
    for fact in read_facts(resource()).rows:
        if fact.author is None:  # else a source is named, which is the same in every language
            yield fact.title, "resources/facts.csv"


def _told(held: Any, field: str, path: Path) -> Iterator[str]:
    match held:
        case dict():
            for name, inner in held.items():
                yield from _told(inner, name, path)
        case list():
            for inner in held:
                yield from _told(inner, field, path)
        case str():
            if field in TOLD or ONLY_IN.get(field) == path.stem:
                yield held
            elif field not in NOT_TOLD and field not in ONLY_IN:
                raise UnknownField(f"{path.name}: is {field!r} told to a person?")
