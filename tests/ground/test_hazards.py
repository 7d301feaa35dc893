"""The hazard log: each row with a living test, each rule of the policy with a row.

What the log says is checked against the repository without running a test: the test a row names is
there and not skipped, the rule is one of the policy, the sentence stands where the row says.
"""

from __future__ import annotations

import ast
import json
import re
from dataclasses import dataclass
from functools import cache

import pytest

from tests.ground.checkout import ROOT

LOG = ROOT / "companion" / "care" / "HAZARDS.md"
POLICY = ROOT / "resources" / "policy.json"
COLUMNS = (
    *("id", "hazard", "situation", "harm", "severity", "control"),
    *("rule", "sentence", "test", "confirmed by"),
)
SEVERITIES = ("grave", "serious", "slight")
CONTROLS = ("design", "guard", "words")
"""In the order of their strength, and of their naming in a row."""
NOTHING = "-"
NO_CONTROL = "no control yet"
NOBODY = "nobody yet"

AT_LEAST: dict[str, tuple[str, ...]] = {
    "what any such program has": (
        *("list_unsigned", "card_unseen", "gate_by_habit", "stop_out_of_reach", "left_for_right"),
        *("tape_too_long", "tape_on_bad_skin", "wrong_person", "gap_as_no_pain"),
        *("backfill_as_real", "clock_change", "crash", "clipped_warning", "silent_voice"),
        *("wrong_step", "stale_plan", "forged_plan", "over_reassured", "over_blocking"),
        *("accidental_delete", "double_press"),
    ),
    "one policy everywhere": (
        *("closed_part_offered", "closed_walk_resumed", "tape_off_closed", "door_invites"),
        *("paper_differs", "paper_goes_on", "draft_goes_on", "practice_as_real"),
    ),
    "the gate": ("list_unread", "not_sure_waved_on", "no_row_for_it", "xray_as_leave"),
    "known signs": ("known_misused", "known_of_other_knee", "known_left_empty"),
    "cards": (
        *("cleared_too_lightly", "nobody_reached", "no_number", "mistake_hides_sign"),
        *("forgotten_sign", "correction_opens", "correction_unheeded", "wrong_leg_sign"),
    ),
    "bad days, rest pain, steps, mornings": (
        *("bad_day", "bad_days_running", "rest_pain", "step_too_painful", "limit_unseen"),
        *("dose_too_high", "dose_up", "move_when_closed", "flare_by_statistic"),
    ),
    "falls, fever, the head": ("fall", "head_knock", "fever"),
    "the day page and the clinic's page": (
        *("day_page_silent", "asked_too_often", "clinic_misses_it", "rise_untold"),
    ),
    "cautions, alone, two knees": (
        *("caution_not_asked", "caution_filled_in", "caution_overruled", "alone"),
        *("helper_missing", "two_knees", "default_as_choice"),
    ),
    "what is said of evidence": ("evidence_overstated",),
    "hands and skin": (
        *("nails_rings", "cream_under_tape", "heat_on_tape", "tape_torn_off", "tape_allergy"),
    ),
    "taken up later": ("taken_up_late",),
}
"""Hazards the log must hold, whatever else, by what they are about."""


@dataclass(frozen=True)
class Row:
    """What is checked of a hazard. `tests` as pytest names them, `sentences` a file and a part of
    what it says."""

    id: str
    severity: str
    control: str
    rules: tuple[str, ...]
    sentences: tuple[tuple[str, str], ...]
    tests: tuple[str, ...]
    confirmed_by: str


def _cells(line: str) -> list[str]:
    return [cell.strip() for cell in line.strip().strip("|").split("|")]


def _several(cell: str) -> tuple[str, ...]:
    return () if cell == NOTHING else tuple(part.strip() for part in cell.split("<br>"))


def _sentence(cell: str) -> tuple[str, str]:
    found = re.fullmatch(r"([^\s:]+): “(.+)”", cell)
    assert found is not None, cell
    return found[1], found[2]


def rows_of(text: str) -> tuple[Row, ...]:
    """The rows of the log's table."""
    table = [line for line in text.splitlines() if line.startswith("|")]
    assert tuple(_cells(table[0])) == COLUMNS
    rows = []
    for line in table[2:]:
        cells = _cells(line)
        assert len(cells) == len(COLUMNS), line
        assert all(cells), line
        rows.append(
            Row(
                id=cells[0],
                severity=cells[4],
                control=cells[5],
                rules=_several(cells[6]),
                sentences=tuple(_sentence(part) for part in _several(cells[7])),
                tests=tuple(part.strip("`") for part in _several(cells[8])),
                confirmed_by=cells[9],
            )
        )
    return tuple(rows)


ROWS = rows_of(LOG.read_text(encoding="utf-8"))


@cache
def living_tests(path: str) -> frozenset[str]:
    """The tests of a file by name, without those that are marked to be skipped or to fail."""
    file = ROOT / path
    if not (path.startswith("tests/") and file.is_file()):
        return frozenset()
    found = set()
    for node in ast.parse(file.read_text(encoding="utf-8")).body:
        inside = f"{node.name}::" if isinstance(node, ast.ClassDef) else ""
        for test in node.body if isinstance(node, ast.ClassDef) else [node]:
            if isinstance(test, ast.FunctionDef) and test.name.startswith("test_"):
                marks = " ".join(ast.unparse(mark) for mark in test.decorator_list)
                if "skip" not in marks and "xfail" not in marks:
                    found.add(inside + test.name)
    return frozenset(found)


def is_living(name: str) -> bool:
    """Whether a test that is named as pytest names it is there to be run."""
    path, _, function = name.partition("::")
    return function in living_tests(path)


def rules() -> tuple[str, ...]:
    """The ids of the policy's rules."""
    return tuple(rule["id"] for rule in json.loads(POLICY.read_text(encoding="utf-8"))["rules"])


def test_a_row_is_whole_and_has_its_own_id() -> None:
    ids = [row.id for row in ROWS]
    assert len(set(ids)) == len(ids)
    for about, hazards in AT_LEAST.items():
        assert sorted(set(hazards) - set(ids)) == [], about
    for row in ROWS:
        assert re.fullmatch(r"[a-z_]+", row.id), row.id
        assert row.severity in SEVERITIES, row.id


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_a_row_has_a_living_test_or_says_that_it_has_no_control(row: Row) -> None:
    if row.control.startswith(NO_CONTROL):
        assert row.tests == ()
        return
    assert row.tests
    assert [name for name in row.tests if not is_living(name)] == []
    kinds = re.findall(r"(?:^|; )([a-z]+):", row.control)
    assert kinds, "design, guard or words"
    assert kinds == sorted(kinds, key=CONTROLS.index), "design before guard before words"


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_the_sentence_of_a_row_stands_where_the_row_says(row: Row) -> None:
    for path, words in row.sentences:
        said = (ROOT / path).read_text(encoding="utf-8")
        # A literal that goes over lines is one sentence.
        assert words in re.sub(r'"\s*\n\s*"', "", said), (path, words)


def test_each_rule_of_the_policy_has_a_row_and_each_row_a_rule_that_is_there() -> None:
    named = {rule for row in ROWS for rule in row.rules}
    assert sorted(set(rules()) - named) == []
    assert sorted(named - set(rules())) == []


def test_nobody_has_confirmed_a_row_whose_wording_nobody_signed() -> None:
    """A row is confirmed by whom its rules are; today that is nobody."""
    policy = json.loads(POLICY.read_text(encoding="utf-8"))["rules"]
    by = {rule["id"]: rule.get("confirmed_by") for rule in policy}
    for row in ROWS:
        signed = {by[rule] for rule in row.rules}
        assert row.confirmed_by == NOBODY or row.confirmed_by in signed, row.id


# ---------------------------------------------------------------- the checks themselves


def test_a_test_that_is_not_there_is_seen() -> None:
    here = "tests/ground/test_hazards.py"
    assert is_living(f"{here}::test_a_test_that_is_not_there_is_seen")
    assert not is_living(f"{here}::test_of_nothing")
    assert not is_living("tests/ground/test_of_nothing.py::test_a")
    assert not is_living("companion/care/records.py::Record")


def test_a_table_that_is_not_the_log_is_seen() -> None:
    whole = f"| {' | '.join(COLUMNS)} |\n|{'---|' * len(COLUMNS)}\n"
    assert rows_of(whole) == ()
    with pytest.raises(AssertionError):
        rows_of(whole.replace("severity", "how bad"))
    with pytest.raises(AssertionError):
        rows_of(whole + "| a | b |\n")
    with pytest.raises(AssertionError):
        rows_of(whole + f"| a | {' | ' * 8} |\n")
