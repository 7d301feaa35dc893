"""Tests that a docstring names, each on a line of its own as `file::test`."""

from __future__ import annotations

import ast
import re

from tests.ground.checkout import ROOT


def not_there(doc: str, *, least: int) -> list[str]:
    """Those that are named and are not there; a list that names fewer than `least` says so."""
    named = re.findall(r"^ +(tests/\S+?)::(\w+)$", doc, re.MULTILINE)
    missing = [f"{file}::{test}" for file, test in named if test not in _tests_in(file)]
    return missing if len(named) >= least else [*missing, f"only {len(named)} are named"]


def named_in(text: str, *, least: int) -> list[str]:
    """Those that a text names between its words as `file::test` and that are not there."""
    named = re.findall(r"`(tests/\S+?)::(\w+)`", text)
    missing = [f"{file}::{test}" for file, test in named if test not in _tests_in(file)]
    return missing if len(named) >= least else [*missing, f"only {len(named)} are named"]


def _tests_in(file: str) -> set[str]:
    tree = ast.parse((ROOT / file).read_text(encoding="utf-8"))
    return {each.name for each in ast.walk(tree) if isinstance(each, ast.FunctionDef)}
