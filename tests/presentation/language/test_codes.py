"""Words for codes: no code without its row, no code set with a second table anywhere."""

import ast
import pkgutil
from collections import Counter
from collections.abc import Iterator, Sequence
from importlib import import_module
from pathlib import Path
from typing import Any, Literal

import pytest

import companion
import companion.presentation
from companion.presentation.language import codes, phrases
from companion.presentation.language.code_table import (
    CodeTable,
    Wording,
    capital,
    clinic_words,
    home_words,
)
from tests.languages.recorded import marked

ROOT = Path(companion.__file__).parent


def all_tables() -> dict[str, CodeTable[Any, Any]]:
    """Every table of the package, by module and name."""
    found = {}
    for module in pkgutil.walk_packages(companion.presentation.__path__, "companion.presentation."):
        for name, value in vars(import_module(module.name)).items():
            if isinstance(value, CodeTable):
                found[f"{module.name}.{name}"] = value
    return found


TABLES = all_tables()


def texts(row: object) -> list[str]:
    if isinstance(row, Wording):
        return [row.text(column) for column in row.columns]
    assert isinstance(row, str)
    return [row]


@pytest.mark.parametrize("name", TABLES)
def test_every_code_has_a_row_and_every_row_its_words(name: str) -> None:
    table = TABLES[name]
    assert set(table.rows) == set(table.codes)
    for row in table.rows.values():
        assert all(text and text == text.strip() for text in texts(row))


def test_a_missing_row_and_a_row_too_many_are_refused() -> None:
    with pytest.raises(TypeError, match="broken"):
        CodeTable(Literal["clear", "broken"], {"clear": "clear"})
    with pytest.raises(TypeError, match="torn"):
        CodeTable(Literal["clear", "broken"], {"clear": "x", "broken": "y", "torn": "z"})


def test_a_code_set_has_one_table() -> None:
    tables = {id(table): frozenset(table.codes) for table in TABLES.values()}
    assert [held for held, count in Counter(tables.values()).items() if count > 1] == []


def test_words_go_through_the_phrase_function(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(phrases, "_translate", marked)
    assert codes.SKIN["itchy"].clinic == "<itchy>"
    assert codes.EVENTS["fall"] == "<fall>"
    assert codes.KINDS["outing"].counted("one", "many", 3) == "<3 outings>"
    assert home_words(codes.SKIN, None) is None
    assert home_words(codes.EVENTS, "fall") == clinic_words(codes.EVENTS, "fall") == "<fall>"
    assert codes.SIDES.find("left") is codes.SIDES["left"]
    assert codes.SIDES.find("Left") is None


def test_a_word_begins_a_sentence() -> None:
    assert capital("left knee") == "Left knee"


# ---------------------------------------------------------------- none anywhere else

Keys = frozenset[object]


def constants(nodes: Sequence[ast.expr | None]) -> Keys:
    return frozenset(
        node.value
        for node in nodes
        if isinstance(node, ast.Constant)
        and node.value is not None
        and not isinstance(node.value, bool)
    )


def wordy(node: ast.expr) -> bool:
    """Whether a value is a text, or holds one."""
    if isinstance(node, ast.Constant):
        return isinstance(node.value, str)
    if isinstance(node, ast.Tuple):
        return any(map(wordy, node.elts))
    called = isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id
    return called == "phrase" or isinstance(node, ast.JoinedStr | ast.Lambda)


def parts(node: ast.expr) -> list[ast.expr]:
    """What a pair or an option is made of."""
    if isinstance(node, ast.Tuple):
        return node.elts
    return node.args if isinstance(node, ast.Call) else []


def worded(node: ast.AST) -> Keys:
    """The constants that a dict, or a row of pairs or of options, gives words to."""
    if isinstance(node, ast.Dict) and any(map(wordy, node.values)):
        return constants(node.keys)
    if isinstance(node, ast.Tuple | ast.List):
        pairs = [parts(each) for each in node.elts]
        if all(len(pair) > 1 and wordy(pair[1]) for pair in pairs):
            return constants([pair[0] for pair in pairs])
    return frozenset()


def outside_tables(node: ast.AST) -> Iterator[ast.AST]:
    """Every node that does not stand in a `CodeTable`."""
    for child in ast.iter_child_nodes(node):
        called = isinstance(child, ast.Call) and isinstance(child.func, ast.Name) and child.func.id
        if called != "CodeTable":
            yield child
            yield from outside_tables(child)


def said_again(keys: Keys) -> list[str]:
    """The tables whose codes are the keys or most of them, or are most of the keys. Yes and no are
    answers to any question, and no code set."""
    if keys <= {"yes", "no"}:
        return []
    found = []
    for name, table in TABLES.items():
        codes = set(table.codes)
        named = all(isinstance(key, str) for key in keys)
        some = named and keys <= codes and len(keys) > 1 and 3 * len(keys) >= 2 * len(codes)
        if some or (codes <= keys and 2 * len(codes) >= len(keys)):
            found.append(name)
    return found


ELSEWHERE = {
    ("evidence/verdicts.py", "cannot_tell"): "from code to code: pain's verdicts as an activity's",
    ("evidence/verdicts.py", "fall"): "from code to code: what is unsafe, and the first of it",
    ("presentation/clinic/behind.py", "cannot_tell"): "from code to code: verdicts and bands",
    ("exchange/fhir.py", "left"): "codes of another system",
    ("exchange/fhir.py", "kneecap_pain"): "codes of another system",
    ("ui/kit/controls.py", "call"): "how a level looks, no words",
    ("ui/kit/knee_picture.py", "dark"): "how a picture looks in each, no words",
}
"""Where a code set stands once more, by its first code, and why."""


def test_no_code_set_is_worded_anywhere_else() -> None:
    found = {}
    for path in sorted(ROOT.rglob("*.py")):
        for node in outside_tables(ast.parse(path.read_text(encoding="utf-8"))):
            keys = worded(node)
            again = said_again(keys)
            if again:
                place = (path.relative_to(ROOT).as_posix(), str(next(iter(sorted(map(str, keys))))))
                found[place] = (getattr(node, "lineno", 0), again)
    assert set(found) == set(ELSEWHERE), "\n".join(map(str, found.items()))
