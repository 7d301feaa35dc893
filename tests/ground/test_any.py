"""In how many lines the package says `Any`: a number that may only fall."""

import ast

from tests.ground.checkout import ROOT

MOST = 25
"""Left where the kind is a registry's to know, or a library's own interface has it."""


def test_the_package_says_any_in_no_more_lines_than_it_did() -> None:
    said = {
        f"{path.relative_to(ROOT)}:{node.lineno}"
        for path in sorted((ROOT / "companion").rglob("*.py"))
        if "Any" in (text := path.read_text(encoding="utf-8"))
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.Name) and node.id == "Any"
    }
    assert len(said) <= MOST, sorted(said)
