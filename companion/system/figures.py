"""The stored figures: `resources/figures` holds one file for each panel, `NAME_1.json` onward."""

from __future__ import annotations

import json
from functools import lru_cache

from companion.picture.stored import Stored
from companion.system.resources import resource


@lru_cache(maxsize=64)
def stored_figures(name: str) -> tuple[Stored, ...]:
    """The panels stored under a name, in their order; none where nothing is drawn of it.

    Raises OSError or ValueError when a file that is there cannot be read.
    """
    folder = resource("figures")
    count = sum(1 for _ in folder.glob(f"{name}_[0-9].json"))
    paths = (folder / f"{name}_{number}.json" for number in range(1, count + 1))
    return tuple(json.loads(path.read_text(encoding="utf-8")) for path in paths)


@lru_cache(maxsize=16)
def stored_ground(name: str) -> Stored:
    """What lies under the hands of every still of one seat. Raises OSError without it."""
    path = resource("figures") / f"{name}.json"
    made: Stored = json.loads(path.read_text(encoding="utf-8"))
    return made
