"""Every code handed up has its sentence, and every sentence gets the parameters it names."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from string import Formatter

import pytest

import companion
from companion.care.coded import Coded, CodeOf, coded
from companion.presentation.language import phrases
from companion.presentation.language.said import SAID, said_words
from companion.presentation.view.figures import technique_still
from tests.care.walking import CATALOGUE
from tests.languages.recorded import marked

SOURCES = sorted(Path(companion.__file__).parent.rglob("*.py"))


def calls() -> list[tuple[str, str, frozenset[str]]]:
    """Where `coded` is called, with which code and which parameters."""
    found = []
    for path in SOURCES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "coded":
                place = f"{path.name}:{node.lineno}"
                assert isinstance(node.args[0], ast.Constant), f"{place}: write the code out"
                names = frozenset(keyword.arg or "**" for keyword in node.keywords)
                found.append((place, str(node.args[0].value), names))
    return found


def named(sentence: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(sentence) if name}


def test_codes_and_sentences_are_the_same_set() -> None:
    assert {code for _, code, _ in calls()} == set(SAID)


def test_each_call_hands_in_just_what_its_sentence_names() -> None:
    wrong = [
        (place, code, sorted(names ^ named(SAID[code])))
        for place, code, names in calls()
        if names != named(SAID[code])
    ]
    assert wrong == []


def test_a_code_may_stand_inside_another() -> None:
    place = coded("at_place", place="entries[3].side", what=coded("missing"))
    said = coded("file_faulty", name="a.homeknee", fault=place)
    assert said_words(said) == (
        "a.homeknee cannot be right: entries[3].side: missing. "
        "Nothing was taken in. Ask for a new file."
    )


def test_a_parameter_may_be_a_code_or_what_a_content_file_says(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Both reach a reader through the phrase function, as the sentence round them does."""
    monkeypatch.setattr(phrases, "_translate", marked)
    assert said_words(coded("fhir_code", code=CodeOf("stairs", "in_turn"))) == (
        "<<one foot after the other>>"
    )
    sheet = CATALOGUE.technique("stroke_thigh")
    picture = technique_still(sheet, "right", "own")
    assert f"<{sheet.title}>" in said_words(picture.description)


def test_what_has_no_name_and_a_machine_without_a_reason_are_said_in_words() -> None:
    assert said_words(coded("kept_lost", name="")) == (
        "This file cannot be read any more. Take the file in again."
    )
    unsaid = coded("kept_unreadable", name="a.homeknee", why="")
    assert said_words(unsaid) == (
        "a.homeknee cannot be read in the clinic’s folder: unknown trouble."
    )


def test_for_a_log_a_code_is_told_without_words() -> None:
    assert str(Coded("too_many_lines", (("count", 3),))) == "too_many_lines(count=3)"


# ---------------------------------------------------------------- codes, not sentences

WORDS = re.compile(r"[A-Za-z]{2,}[,;:]? +[A-Za-z{]{2,}")


def modules(*floors: str) -> Iterator[tuple[str, ast.Module]]:
    for path in SOURCES:
        if path.relative_to(Path(companion.__file__).parent).parts[0] in floors:
            yield path.name, ast.parse(path.read_text(encoding="utf-8"))


def strings_in(node: ast.AST) -> Iterator[str]:
    """The texts under a node: no docstrings, and nothing a programmer alone is told by `raise`."""
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.Raise):
            continue
        if isinstance(child, ast.Expr) and isinstance(child.value, ast.Constant):
            continue
        if isinstance(child, ast.Constant) and isinstance(child.value, str):
            yield child.value
        yield from strings_in(child)


def test_the_members_of_a_literal_are_codes() -> None:
    members = [
        (name, text)
        for name, module in modules("care", "picture", "evidence", "exchange", "services")
        for node in ast.walk(module)
        if isinstance(node, ast.Subscript) and getattr(node.value, "id", "") == "Literal"
        for text in strings_in(node)
    ]
    assert members
    assert [(name, text) for name, text in members if " " in text] == []


@pytest.mark.parametrize("floor", ["evidence", "picture"])
def test_findings_and_pictures_hold_no_sentence(floor: str) -> None:
    found = [
        (name, text)
        for name, module in modules(floor)
        if name != "svg.py"  # markup
        for text in strings_in(module)
        if WORDS.search(text)
    ]
    assert found == []
