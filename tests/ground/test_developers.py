"""DEVELOPERS.md: decisions that can be cited, and a glossary of names that exist."""

from __future__ import annotations

import re
from datetime import date

from tests.ground.checkout import ROOT

TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
SOURCE = "\n".join(
    path.read_text(encoding="utf-8") for path in sorted((ROOT / "companion").rglob("*.py"))
)


def section(heading: str) -> str:
    return TEXT.partition(f"\n## {heading}\n")[2].partition("\n## ")[0]


def decisions() -> list[str]:
    return re.findall(r"^- (.*?)(?=^- |\Z)", section("Decisions"), flags=re.MULTILINE | re.DOTALL)


def test_decisions_have_a_number_a_day_and_a_consequence() -> None:
    found = decisions()
    assert found
    for number, text in enumerate(found, 1):
        head = re.match(rf"\*\*D-{number:02}, (\d{{4}}-\d\d-\d\d)\. [^*]+\*\*", text)
        assert head is not None, text
        date.fromisoformat(head[1])
        assert "*So:*" in text, text


def test_a_decision_that_is_cited_exists() -> None:
    cited = {int(number) for number in re.findall(r"\bD-(\d\d)\b", TEXT + SOURCE)}
    assert cited <= set(range(1, len(decisions()) + 1))


def test_names_of_the_glossary_are_names_of_the_code() -> None:
    rows = [row.split("|") for row in section("Glossary").splitlines() if row.startswith("| ")][1:]
    assert rows
    names = [name for row in rows for name in re.findall(r"`(\w+)`", row[2])]
    missing = [
        name
        for name in names
        if re.search(rf"^ *(?:(?:class|def) {name}\b|{name}(?: =|:))", SOURCE, re.MULTILINE) is None
    ]
    assert missing == []
