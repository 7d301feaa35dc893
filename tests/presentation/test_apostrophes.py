"""One apostrophe on every page and paper, the curved one of the typeface."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import companion
from companion.system.resources import resource

_STRAIGHT = re.compile(r"(?<=[A-Za-z])'(?=[a-z])|(?<=s)'(?= )")
_PACKAGE = Path(companion.__file__).parent


def strings_of(module: ast.Module) -> Iterator[str]:
    """The texts of a module that are no docstring."""
    told = {id(node.value) for node in ast.walk(module) if isinstance(node, ast.Expr)}
    for node in ast.walk(module):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in told:
            yield node.value


@pytest.mark.parametrize("floor", ["evidence", "presentation", "ui"])
def test_no_sentence_in_code_has_a_straight_apostrophe(floor: str) -> None:
    texts = [
        text
        for file in sorted((_PACKAGE / floor).rglob("*.py"))
        for text in strings_of(ast.parse(file.read_text(encoding="utf-8")))
    ]
    assert texts
    assert [text for text in texts if _STRAIGHT.search(text)] == []


def test_no_sentence_of_the_content_has_a_straight_apostrophe() -> None:
    files = [file for file in resource().rglob("*.json") if "schemas" not in file.parts]
    assert files
    for file in files:
        assert _STRAIGHT.search(file.read_text(encoding="utf-8")) is None, file.name
