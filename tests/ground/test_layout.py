"""The house: what stands at the top, and floors that nothing slips past.

The import contracts in pyproject.toml name modules; these tests see to it that no module is
missing from them and cover what import-linter cannot say: "nothing but the standard library".
"""

from __future__ import annotations

import ast
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

from tests.ground.checkout import ROOT

TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "companion",
    "resources",
    "tests",
    "demo_profiles",
    "run.py",
    "requirements.lock",
    "LICENSE",
}
NOT_IN_GIT = {"demo-output", "__pycache__", "build", "dist"}
PURE = ["care", "evidence", "picture", "presentation", "services"]

CONFIGURED: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))[
    "tool"
]["importlinter"]
CONTRACTS: dict[str, dict[str, Any]] = {one["name"]: one for one in CONFIGURED["contracts"]}


def imported_names(path: Path) -> set[str]:
    """Return every module a file imports, at its top or inside a function."""
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module)
    return names


def test_the_top_level_is_what_it_should_be() -> None:
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert found - NOT_IN_GIT == TOP_LEVEL


def test_every_part_of_the_package_stands_on_a_floor() -> None:
    layers = CONTRACTS["A floor imports only what stands below it"]["layers"]
    named = {
        module.strip("() ").removeprefix("companion.")
        for layer in layers
        for module in layer.replace("|", ":").split(":")
    }
    parts = set()
    for path in (ROOT / "companion").iterdir():
        is_package = path.is_dir() and any(path.rglob("*.py"))
        if is_package and path.name != "ui":
            parts.add(path.name)
        elif path.suffix == ".py" and path.name != "__init__.py":
            parts.add(path.stem)
    parts |= {
        f"ui.{path.name}"
        for path in (ROOT / "companion" / "ui").iterdir()
        if any(path.glob("*.py"))
    }
    assert parts <= named


def test_every_pure_floor_is_under_the_contract_for_pure_floors() -> None:
    there = [name for name in PURE if (ROOT / "companion" / name).is_dir()]
    contract = CONTRACTS["The pure floors open no file and own no clock"]
    assert contract["source_modules"] == [f"companion.{name}" for name in there]


@pytest.mark.parametrize("path", sorted((ROOT / "companion" / "care").rglob("*.py")), ids=str)
def test_care_needs_nothing_but_the_standard_library(path: Path) -> None:
    for name in imported_names(path):
        known = name.split(".")[0] in sys.stdlib_module_names
        assert known or name == "companion.care" or name.startswith("companion.care."), name


def test_a_shared_package_runs_nothing_on_the_way_to_its_parts() -> None:
    """`companion` and `companion.ui` are imported by all: they import nothing themselves."""
    for name in ("companion", "companion/ui"):
        assert imported_names(ROOT / name / "__init__.py") == set()
