"""What a page says, string by string, and what none may say.

No praise, no blame, no promise, no reassurance, no cause.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any

BANNED = (
    "because of", "due to", "thanks to", "well done", "good job", "great", "excellent",
    "congrat", "unfortunately", "fail", "poor", "should", "must", "don't worry", "no need to",
    "you are fine", "normal", "healthy", "cure", "heal", "works", "effective", "proven",
    "guarantee", "sure to", "diagnosis", "improve", "compliance", "compliant",
)  # fmt: skip


def words_in(value: Any) -> Iterator[str]:
    """Every string anywhere in a view."""
    if isinstance(value, str):
        yield value
    elif is_dataclass(value):
        for each in fields(value):
            yield from words_in(getattr(value, each.name))
    elif isinstance(value, tuple):
        for each in value:
            yield from words_in(each)
