"""The levels of warning signs, how they rank, and the parts of the routine in their order."""

from typing import get_args

from companion.care.records import Level, Part

LEVELS_RISING: tuple[Level, ...] = ("care", "call", "today", "emergency")
"""care: go on with the stated change. call: call the clinic before the next session. today: be
seen today. emergency: now. The highest wins and levels only rise."""
PARTS: tuple[Part, ...] = get_args(Part)
"""Everything that may be closed, in one order."""


def level_rank(level: Level) -> int:
    """0 for care up to 3 for emergency."""
    return LEVELS_RISING.index(level)
