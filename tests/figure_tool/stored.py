"""What is stored of the figures, and how far a figure drawn anew is from it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from companion.picture.stored import points_of
from tests.figure_tool.source import HERE

OUT = HERE.parents[1] / "resources" / "figures"
MOST_UNITS = 1.0
"""No point may be farther than this from where it was stored."""


def stored() -> dict[str, Mapping[str, Any]]:
    """Every stored figure by its name."""
    return {path.stem: json.loads(path.read_text("utf-8")) for path in sorted(OUT.glob("*.json"))}


def moved(before: Mapping[str, Any], after: Mapping[str, Any]) -> float:
    """How far the farthest point moved, in units; infinite where lines came or went."""
    if before["size"] != after["size"] or len(before["items"]) != len(after["items"]):
        return float("inf")
    worst = 0.0
    pairs = [*zip(before["items"], after["items"], strict=True)]
    if any(old[:3] != new[:3] or len(old) != len(new) for old, new in pairs):
        return float("inf")
    lines = [(a, b) for old, new in pairs for a, b in zip(old[3:], new[3:], strict=True)]
    for old, new in zip(before.get("onward", []), after.get("onward", []), strict=True):
        lines += zip(old, new, strict=True)
    for one, other in lines:
        a, b = points_of(one), points_of(other)
        if len(a) != len(b):
            return float("inf")
        worst = max(
            [worst, *(max(abs((p - q).real), abs((p - q).imag)) for p, q in zip(a, b, strict=True))]
        )
    return worst
