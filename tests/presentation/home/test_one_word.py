"""One word for one thing: the list in DEVELOPERS.md is kept to by what Home says."""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]
HEAD = "### One word for one thing"


def table() -> list[tuple[str, tuple[str, ...]]]:
    """The word of each thing, and those that are not said for it."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    part = text.partition(HEAD)[2].partition("\n#")[0]
    rows = [line.strip("|").split("|") for line in part.splitlines() if line.startswith("|")]
    return [(word.strip(), tuple(no.strip() for no in nos.split(","))) for word, nos in rows[2:]]


def said() -> Iterator[tuple[str, str]]:
    """Where each text of Home is, and the text."""
    for path in sorted((ROOT / "companion/presentation/home").glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "phrase":
                for text in node.args:
                    if isinstance(text, ast.Constant) and isinstance(text.value, str):
                        yield path.name, text.value
    for folder in ("techniques", "exercises"):
        for path in sorted((ROOT / "resources" / folder).glob("*.json")):
            yield from ((path.name, text) for text in texts(json.loads(path.read_text("utf-8"))))


def texts(held: object) -> Iterator[str]:
    if isinstance(held, str):
        yield held
    elif isinstance(held, dict):
        for name, value in held.items():
            if name != "clinic_name":
                yield from texts(value)
    elif isinstance(held, list):
        for value in held:
            yield from texts(value)


@pytest.mark.parametrize(("word", "nots"), table(), ids=lambda value: str(value)[:20])
def test_a_thing_has_one_word_at_home(word: str, nots: tuple[str, ...]) -> None:
    every = [*said()]
    assert any(word in text.lower() for _, text in every), "nobody says it any more"
    wrong = re.compile("|".join(rf"\b{one}s?\b" for one in nots), re.IGNORECASE)
    assert [(where, text) for where, text in every if wrong.search(text)] == []


def test_the_list_is_there() -> None:
    assert len(table()) >= 8
