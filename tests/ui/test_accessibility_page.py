"""ACCESSIBILITY.md: every clause, in order, with a state; every test it names is there."""

from __future__ import annotations

import re

from tests.ground.checkout import ROOT
from tests.named_tests import named_in

PAGE = ROOT / "companion" / "ui" / "ACCESSIBILITY.md"
STATES = ("met", "partly", "not met", "does not apply")

A = (
    *("1.1.1", "1.2.1", "1.2.2", "1.2.3", "1.3.1", "1.3.2", "1.3.3", "1.4.1", "1.4.2"),
    *("2.1.1", "2.1.2", "2.1.4", "2.2.1", "2.2.2", "2.3.1", "2.4.1", "2.4.2", "2.4.3", "2.4.4"),
    *("2.5.1", "2.5.2", "2.5.3", "2.5.4", "3.1.1", "3.2.1", "3.2.2", "3.2.6", "3.3.1", "3.3.2"),
    *("3.3.7", "4.1.2"),
)
"""WCAG 2.2, level A: 31 (M); 4.1.1 was taken out of it."""
AA = (
    *("1.2.4", "1.2.5", "1.3.4", "1.3.5", "1.4.3", "1.4.4", "1.4.5", "1.4.10", "1.4.11", "1.4.12"),
    *("1.4.13", "2.4.5", "2.4.6", "2.4.7", "2.4.11", "2.5.7", "2.5.8", "3.1.2", "3.2.3", "3.2.4"),
    *("3.3.3", "3.3.4", "3.3.8", "4.1.3"),
)
"""WCAG 2.2, level AA: 24 (M)."""
SOFTWARE = (
    "11.5.1",
    *(f"11.5.2.{n}" for n in range(1, 18)),
    *("11.6.1", "11.6.2", "11.7"),
    *(f"11.8.{n}" for n in range(1, 6)),
)
"""EN 301 549 V3.2.1, clauses 11.5 to 11.8 (M)."""


def rows() -> list[list[str]]:
    text = PAGE.read_text(encoding="utf-8")
    lines = re.findall(r"^\| (\d+\..*) \|$", text, re.MULTILINE)
    return [[cell.strip() for cell in line.split(" | ")] for line in lines]


def test_every_clause_is_there_once() -> None:
    found = [(row[0].split()[0], row[1]) for row in rows()]
    wanted = {**dict.fromkeys(A, "A"), **dict.fromkeys(AA, "AA"), **dict.fromkeys(SOFTWARE, "-")}
    assert len(A) == 31
    assert len(AA) == 24
    assert dict(found) == wanted
    assert len(found) == len(wanted)
    assert [clause for clause, _ in found] == sorted(
        (clause for clause, _ in found), key=lambda clause: [int(n) for n in clause.split(".")]
    )


def test_every_row_says_how_and_in_what_state() -> None:
    assert [row for row in rows() if len(row) != 5 or not row[2] or row[3] not in STATES] == []
    nothing = [row[0] for row in rows() if row[3] == "does not apply" and row[4] != "-"]
    assert nothing == [], "what does not apply names no test"
    untried = [row[0] for row in rows() if row[3] == "met" and "::" not in row[4]]
    assert untried == [], "what is met names its test"


def test_every_test_that_is_named_is_there() -> None:
    assert named_in(PAGE.read_text(encoding="utf-8"), least=40) == []
