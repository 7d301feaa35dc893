"""Reading ``resources/facts.csv``: RFC 4180, UTF-8, a header row, sorted by id.

Not on the way to the front page, which shows no source.
"""

import csv
import functools
from collections.abc import Mapping
from dataclasses import fields
from pathlib import Path

from companion.care.facts import Fact, Facts
from companion.wire.plain import PlainFault, decode

FACTS_FILE = "facts.csv"
COLUMNS = tuple(field.name for field in fields(Fact))


class FactsError(ValueError):
    """The table of facts cannot be read; the message says where and why."""


@functools.cache
def read_facts(folder: Path) -> Facts:
    """Every fact of the resources ``folder``. Raises FactsError."""
    try:
        with (folder / FACTS_FILE).open(encoding="utf-8", newline="") as file:
            table = list(csv.reader(file, strict=True))
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise FactsError(f"{FACTS_FILE}: {error}") from None
    if not table or tuple(table[0]) != COLUMNS:
        raise FactsError(f"{FACTS_FILE}: the header row must be {','.join(COLUMNS)}")
    return Facts(tuple(_fact(row, line) for line, row in enumerate(table[1:], start=2)))


def _fact(row: list[str], line: int) -> Fact:
    if len(row) != len(COLUMNS):
        raise FactsError(f"{FACTS_FILE}: row {line} has {len(row)} cells, not {len(COLUMNS)}")
    cells: Mapping[str, object] = {
        name: int(cell) if name == "year" and cell.isdecimal() else cell
        for name, cell in zip(COLUMNS, row, strict=True)
        if cell
    }
    try:
        return decode(Fact, cells)
    except PlainFault as fault:
        raise FactsError(f"{FACTS_FILE}: row {line}: {fault}") from None
