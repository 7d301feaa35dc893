"""Findings of many diaries as a table: one row a diary and side, the plain figures as columns."""

import csv
import io
from collections.abc import Iterable, Mapping
from typing import Any

from companion.evidence.figures import Findings
from companion.evidence.findings import as_json

_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def row_of(file: str, findings: Findings) -> dict[str, Any]:
    """One row: the file, then every single figure under its dotted key of the findings.

    Lists are given as how many they hold; provenance is left to the JSON.
    """
    return {"file": file} | dict(_flat("", as_json(findings)))


def _flat(prefix: str, value: Mapping[str, Any]) -> Iterable[tuple[str, Any]]:
    for key, item in value.items():
        if key == "provenance":
            continue
        name = f"{prefix}{key}"
        if isinstance(item, Mapping):
            yield from _flat(f"{name}.", item)
        elif isinstance(item, list):
            yield f"{name}.count", len(item)
        else:
            yield name, item


def table_text(rows: Iterable[Mapping[str, Any]]) -> str:
    """RFC 4180, header row first; what a spreadsheet would take for a formula is defused."""
    rows = list(rows)
    columns = list(dict.fromkeys(key for row in rows for key in row)) or ["file"]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows([_cell(row.get(column)) for column in columns] for row in rows)
    return out.getvalue()


def _cell(value: Any) -> Any:
    match value:
        case None:
            return ""
        case bool():
            return int(value)
        case str() if value.startswith(_FORMULA_STARTS):
            return f"'{value}"
        case _:
            return value
