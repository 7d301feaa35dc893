"""The catalogues of other languages agree with what the program says, and are whole if offered."""

from __future__ import annotations

import pytest
from babel.messages.catalog import Catalog

from tests.languages.catalogues import (
    DOMAIN,
    faults,
    folder,
    merged,
    mo_bytes,
    parts,
    po_bytes,
    read,
    tags,
    taken_back,
    to_do,
    whole,
)
from tests.languages.code_texts import Text
from tests.languages.template import texts


def test_texts_are_found_in_code_tables_and_content() -> None:
    found = texts()
    assert Text("Choose an answer first.") in found  # a literal
    assert Text("one foot after the other") in found  # a row of a table of codes
    assert Text("{n} outing", "{n} outings") in found  # two columns of a row
    assert Text("Call the emergency number.") in found  # a content file
    assert Text("How much does your left knee hurt now?") in found
    assert not [text for text in found if "{knee}" in text.one]


def test_one_english_sentence_has_one_plural() -> None:
    """A catalogue knows a message by its singular and its context alone."""
    plurals: dict[tuple[str, str], set[str]] = {}
    for text in texts():
        if text.many is not None:
            plurals.setdefault((text.context, text.one), set()).add(text.many)
    assert [pair for pair in plurals.items() if len(pair[1]) > 1] == []


@pytest.mark.parametrize("tag", tags())
def test_a_language_is_offered_if_and_only_if_it_is_whole(tag: str) -> None:
    """`python -m tests.languages merge` brings it up to date and compiles it."""
    path = folder(tag) / f"{DOMAIN}.po"
    catalogue = read(path, tag)
    assert list(faults(catalogue)) == []
    compiled = path.with_suffix(".mo")
    assert compiled.exists() == whole(catalogue)
    if whole(catalogue):
        assert po_bytes(merged(tag, catalogue)) == path.read_bytes()
        assert mo_bytes(catalogue) == compiled.read_bytes()


def _catalogue(**said: str) -> Catalog:
    made = Catalog(locale="de", charset="utf-8")
    made.add("Call {name}.", said.get("call", ""), locations=[("a.py", 0)])
    made.add(("{n} day", "{n} days"), ("{n} Tag", said.get("days", "")), locations=[("b.py", 0)])
    return made


def test_what_cannot_be_right_is_told() -> None:
    assert list(faults(_catalogue(call="Ruf {name} an.", days="{n} Tage"))) == []
    assert len(list(faults(_catalogue(call="Ruf {wen} an.")))) == 1
    assert len(list(faults(_catalogue(call="Ruf {name an.")))) == 1
    assert len(list(faults(_catalogue(call=" Ruf {name} an.")))) == 1


def test_parts_come_back_into_the_whole() -> None:
    ours = _catalogue()
    one, other = parts(ours, 2)
    assert len(to_do(ours)) == len(one) + len(other) == 2
    filled = _catalogue(call="Ruf {name} an.", days="{n} Tage")
    assert taken_back(ours, [filled]) == 2
    assert whole(ours)
