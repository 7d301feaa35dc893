"""Facts of the trade: each with a source that can be found, cited where it is used, and the number
beside a citation the one of the fact."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterator
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
CITED = re.compile(r"\(facts?: ([a-z0-9_,\s#]+)\)")
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


def cited_by_the_program() -> dict[str, set[str]]:
    """Which ids each file of the program and its content cites."""
    found = {
        str(path.relative_to(ROOT)): ids_in(path.read_text(encoding="utf-8"))
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


@pytest.mark.parametrize("fact", FACTS.rows, ids=lambda fact: fact.id)
def test_each_fact_has_a_source_that_can_be_found_or_says_that_it_has_none(fact: Fact) -> None:
    TypeAdapter(Fact).validate_python(fact)
    place = (fact.author, fact.year, fact.place)
    if fact.letter in ("F", "S"):
        assert all(place)
    elif fact.letter == "V":
        assert fact.year
        assert fact.place
    elif fact.letter == "M":
        assert all(place) or (place == (None, None, None) and fact.title == "from memory")
    elif fact.letter == "C":
        assert place == (None, None, None)
        assert fact.title in NO_SOURCE
    else:
        assert (place, fact.title) == ((None, None, None), "arithmetic")
    assert fact.unit is None or fact.value is not None


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
    cited = cited_by_the_program()
    cited |= {str(path): ids_in(path.read_text(encoding="utf-8")) for path in python_files("tests")}
    missing = {place: sorted(ids - set(BY_ID)) for place, ids in cited.items()}
    assert {place: ids for place, ids in missing.items() if ids} == {}


def test_content_that_rests_on_facts_names_one_at_least() -> None:
    for path in content_files():
        for ids in facts_named(json.loads(path.read_text(encoding="utf-8"))):
            assert ids, path.name
