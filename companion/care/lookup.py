"""A row of the content by what names it."""

from collections.abc import Iterable
from typing import TypeVar

Row = TypeVar("Row")


def row_by(rows: Iterable[Row], field: str, named: object) -> Row:
    """The first row whose `field` is that. Raises KeyError."""
    for row in rows:
        if getattr(row, field) == named:
            return row
    raise KeyError(named)
