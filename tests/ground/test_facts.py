"""Facts of the trade: each with a source that can be found, cited where it is used, and the number
beside a citation the one of the fact."""

from __future__ import annotations

import ast
import csv
import io
import json
import re
import tokenize
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from pydantic import TypeAdapter

from companion.care.facts import Fact
from companion.evidence.sources import SOURCES
from companion.wire.facts_reading import COLUMNS, FACTS_FILE, FactsError, read_facts
from tests.ground.checkout import ROOT

RESOURCES = ROOT / "resources"
TABLE = RESOURCES / FACTS_FILE
FACTS = read_facts(RESOURCES)
BY_ID = {fact.id: fact for fact in FACTS.rows}
CITED = re.compile(r"\(facts?:\s+([a-z0-9_,\s#]+)\)")
"""In round brackets, `fact: id` or `facts: id, id`, which may go over lines of a comment."""
NO_SOURCE = {"common practice, no source", "our choice, no source"}


def python_files(*parts: str) -> Iterator[Path]:
    for part in parts:
        yield from sorted((ROOT / part).rglob("*.py"))


def ids_in(text: str) -> set[str]:
    return {
        name
        for found in CITED.findall(text)
        for name in re.split(r"[,\s#]+", found.strip())
        if name
    }


SAYING = {"about", "short_source", "source_sentence", "sources_words"}
"""Functions of presentation that are handed ids."""


def ids_said(path: Path) -> set[str]:
    """Ids that are handed to what says a source."""
    text = path.read_text(encoding="utf-8")
    if not any(name in text for name in SAYING):
        return set()
    return {
        part.value
        for call in ast.walk(ast.parse(text))
        if isinstance(call, ast.Call)
        and (getattr(call.func, "attr", None) or getattr(call.func, "id", None)) in SAYING
        for argument in call.args
        for part in ast.walk(argument)
        if isinstance(part, ast.Constant)
        and isinstance(part.value, str)
        and re.fullmatch("[a-z][a-z0-9_]+", part.value)
    }


def facts_named(value: Any) -> Iterator[list[str]]:
    """Every `facts` list of a content file."""
    if isinstance(value, dict):
        for key, item in value.items():
            if key == "facts":
                yield item
            yield from facts_named(item)
    elif isinstance(value, list):
        for item in value:
            yield from facts_named(item)


def content_files() -> list[Path]:
    return [path for path in sorted(RESOURCES.rglob("*.json")) if path.parent.name != "schemas"]


@cache
def cited_by_the_program() -> dict[str, set[str]]:
    """Which ids each file of the program and its content cites."""
    found = {
        str(path.relative_to(ROOT)): ids_in(path.read_text(encoding="utf-8")) | ids_said(path)
        for path in python_files("companion", "demo_profiles")
    }
    for path in content_files():
        lists = list(facts_named(json.loads(path.read_text(encoding="utf-8"))))
        found[str(path.relative_to(ROOT))] = {name for ids in lists for name in ids}
    found["SOURCES"] = {name for made in SOURCES.values() for name in made.facts}
    return found


# ---------------------------------------------------------------- the table


def test_the_table_is_well_set() -> None:
    data = TABLE.read_bytes()
    table = list(csv.reader(io.StringIO(data.decode("utf-8"), newline=""), strict=True))
    assert tuple(table[0]) == COLUMNS
    ids = [row[0] for row in table[1:]]
    assert ids == sorted(set(ids))
    again = io.StringIO(newline="")
    csv.writer(again, lineterminator="\r\n").writerows(table)
    assert again.getvalue().encode() == data


def can_be_found(fact: Fact) -> bool:
    """Whether it has a source that can be found, or says that it has none."""
    place = (fact.author, fact.year, fact.place)
    nowhere = place == (None, None, None)
    match fact.letter:
        case "F" | "S":
            return all(place)
        case "V":
            return bool(fact.year and fact.place)
        case "M":
            return all(place) or (nowhere and fact.title == "from memory")
        case "C":
            return nowhere and fact.title in NO_SOURCE
    return nowhere and fact.title == "arithmetic"


def test_each_fact_has_a_source_that_can_be_found_or_says_that_it_has_none() -> None:
    assert TypeAdapter(tuple[Fact, ...]).validate_python(FACTS.rows) == FACTS.rows
    assert [fact.id for fact in FACTS.rows if not can_be_found(fact)] == []
    without = [fact.id for fact in FACTS.rows if fact.unit is not None and fact.value is None]
    assert without == []


def test_a_source_is_written_in_one_way() -> None:
    titles: dict[str, set[str]] = {}
    for fact in FACTS.rows:
        titles.setdefault(fact.named, set()).add(fact.title)
    assert {named: found for named, found in titles.items() if len(found) > 1} == {}


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        (lambda text: text.replace("id,fact", "name,fact", 1), "the header row"),
        (lambda text: text.replace(",F,", ",X,", 1), "row .*letter"),
        (lambda text: text.replace("\r\n", ",more\r\n", 2), "the header row"),
        (lambda text: text.rstrip("\r\n") + ",more\r\n", "row .* has 10 cells"),
        (lambda text: text + '"', "facts.csv: "),
    ],
)
def test_a_table_that_cannot_be_read_says_where(change: Any, fault: str, tmp_path: Path) -> None:
    text = TABLE.read_bytes().decode("utf-8")
    (tmp_path / FACTS_FILE).write_bytes(change(text).encode("utf-8"))
    with pytest.raises(FactsError, match=fault):
        read_facts(tmp_path)


# ---------------------------------------------------------------- citations


def test_every_id_that_is_cited_is_there() -> None:
    cited = cited_by_the_program() | {
        str(path): ids_in(path.read_text(encoding="utf-8")) for path in python_files("tests")
    }
    missing = {place: sorted(ids - set(BY_ID)) for place, ids in cited.items()}
    assert {place: ids for place, ids in missing.items() if ids} == {}


def test_every_fact_is_used() -> None:
    used = set().union(*cited_by_the_program().values())
    assert sorted(set(BY_ID) - used) == []


def test_content_that_rests_on_facts_names_one_at_least() -> None:
    for path in content_files():
        for ids in facts_named(json.loads(path.read_text(encoding="utf-8"))):
            assert ids, path.name


@dataclass(frozen=True)
class Citation:
    """A value in the code and the facts that stand beside it."""

    where: str
    value: ast.expr
    ids: frozenset[str]


def citations(path: Path) -> Iterator[Citation]:
    """Values of modules and classes whose comment or docstring cites facts."""
    text = path.read_text(encoding="utf-8")
    comments: dict[int, str] = {}
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type == tokenize.COMMENT:
            comments[token.start[0]] = token.string
    for scope in ast.walk(ast.parse(text)):
        if not isinstance(scope, ast.Module | ast.ClassDef):
            continue
        for node, after in zip(scope.body, [*scope.body[1:], None], strict=True):
            if not isinstance(node, ast.Assign | ast.AnnAssign) or node.value is None:
                continue
            said = " ".join(
                comments.get(line, "")
                for line in range(node.lineno, node.end_lineno + 1)  # type: ignore[operator]
            )
            match after:
                case ast.Expr(ast.Constant(str(docstring))):
                    said += f" {docstring}"
            ids = ids_in(said)
            if ids:
                where = f"{path.relative_to(ROOT)}:{node.lineno}"
                yield Citation(where, node.value, frozenset(ids))


def numbers_of(node: ast.expr) -> Iterator[float | str]:
    """The numbers an expression holds, and its texts that hold figures, such as codes."""
    if isinstance(node, ast.Constant):
        if isinstance(node.value, str):
            yield from [node.value] if any(letter.isdigit() for letter in node.value) else []
        elif isinstance(node.value, int | float) and not isinstance(node.value, bool):
            yield float(node.value)
    elif isinstance(node, ast.BinOp) and isinstance(node.op, ast.Div):
        yield quotient(node.left, node.right)
    elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        if node.func.id == "Fraction":
            yield quotient(*node.args)
        elif node.func.id == "time":
            yield from numbers_of(node.args[0])
        else:
            for part in (*node.args, *(keyword.value for keyword in node.keywords)):
                yield from numbers_of(part)
    else:
        for child in ast.iter_child_nodes(node):
            if isinstance(child, ast.expr):
                yield from numbers_of(child)


def quotient(above: ast.expr, below: ast.expr) -> float:
    top, bottom = ast.literal_eval(above), ast.literal_eval(below)
    return float(top) / float(bottom)


@cache
def all_citations() -> tuple[Citation, ...]:
    """Those of the program. A file that cites nothing is not parsed."""
    return tuple(
        citation
        for path in python_files("companion", "demo_profiles")
        if "(fact" in path.read_text(encoding="utf-8")
        for citation in citations(path)
    )


def test_the_number_beside_a_citation_is_the_one_of_the_fact() -> None:
    wrong = []
    for citation in all_citations():
        values = [fact.value for fact in FACTS.of(sorted(citation.ids)) if fact.value is not None]
        known = [float(one) for value in values for one in re.findall(r"\d+(?:\.\d+)?", value)]
        for number in numbers_of(citation.value):
            found = (
                any(number in value for value in values)
                if isinstance(number, str)
                else any(number == pytest.approx(one, rel=1e-4) for one in known)
            )
            if not found:
                wrong.append((citation.where, number, values))
    assert wrong == []


MEASURED = ("_days", "_hours", "_minutes", "_mm", "_percent")


def measured_in(value: Any, ids: tuple[str, ...] = ()) -> Iterator[tuple[str, float, list[str]]]:
    """Every number with a unit in a content file, with the facts of the object around it."""
    if isinstance(value, dict):
        ids = (*ids, *value.get("facts", ()))
        for key, item in value.items():
            if key.endswith(MEASURED) and isinstance(item, int | float):
                yield key, item, list(ids)
            yield from measured_in(item, ids)
    elif isinstance(value, list):
        for item in value:
            yield from measured_in(item, ids)


@pytest.mark.parametrize("name", ["cautions.json", "tape_steps.json", "stop_list.json"])
def test_a_number_in_the_content_is_one_of_its_facts(name: str) -> None:
    content = json.loads((RESOURCES / name).read_text(encoding="utf-8"))
    for key, number, ids in measured_in(content):
        values = [fact.value for fact in FACTS.of(ids) if fact.value is not None]
        known = {float(one) for value in values for one in re.findall(r"\d+(?:\.\d+)?", value)}
        assert number in known, (key, number, ids)


def test_citations_are_found_and_compared() -> None:
    """The test above cannot pass for want of anything to compare."""
    assert len(all_citations()) > 50
    with_numbers = [one for one in all_citations() if list(numbers_of(one.value))]
    assert len(with_numbers) > 40


def test_a_letter_other_than_c_comes_with_its_fact() -> None:
    """(C) beside a value of ours claims nothing; every other letter stands in the table alone."""
    letter = re.compile(r"\((?:[^()]*[,;] )?(?:F|S|M|D|V)\)")
    found = [
        f"{path.relative_to(ROOT)}:{number}"
        for path in python_files("companion")
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if letter.search(line)
    ]
    assert found == []


# ---------------------------------------------------------------- nothing outside


OUTSIDE = re.compile(
    "|".join(
        (
            r"care[_ ]facts",
            r"\b(?:statistics|design|contract|policy|craft|layout)\.md",
            r"\bfindings/\w+\.md",
            r"this desi" + "gn",
            r"the desi" + r"gn['’ ]s own",
            r"kept outside this reposi" + "tory",
        )
    ),
    re.IGNORECASE,
)
READ_BY_PEOPLE = {".py", ".json", ".csv", ".md", ".toml", ".txt", ".cfg", ".yml", ".yaml"}


def test_nothing_points_at_a_document_outside_the_repository() -> None:
    found = []
    for part in ("companion", "tests", "resources", "demo_profiles"):
        for path in sorted((ROOT / part).rglob("*")):
            if path.suffix in READ_BY_PEOPLE and path != Path(__file__):
                found += outside(path)
    for name in ("README.md", "DEVELOPERS.md", "pyproject.toml", "run.py"):
        found += outside(ROOT / name)
    assert found == []


def outside(path: Path) -> list[str]:
    lines = path.read_text(encoding="utf-8").splitlines()
    return [
        f"{path.relative_to(ROOT)}:{number}"
        for number, line in enumerate(lines, 1)
        if OUTSIDE.search(line)
    ]
