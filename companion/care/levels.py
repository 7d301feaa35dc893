"""The levels of warning signs, what a sign locks and what ends it."""

from typing import Literal

from companion.care.records import Level

LEVELS_RISING: tuple[Level, ...] = ("care", "call", "today", "emergency")
"""care: go on with the stated change. call: call the clinic before the next session. today: be
seen today. emergency: now. The highest wins and levels only rise."""

Lock = Literal["hands", "exercise", "standing_steps", "tape_on"]
"""What a sign closes. Tape-off, the record, phone numbers and Visit are never locked."""

Clears = Literal[
    "checked_by_professional", "skin_read_clear", "well_again", "asked_again", "session_end"
]
"""What ends a sign; "ticked by mistake" ends every one as well. checked_by_professional: written
with a date. well_again: the person says so. asked_again: asked about at the next short gate.
session_end: holds for this session alone."""


def level_rank(level: Level) -> int:
    """0 for care up to 3 for emergency."""
    return LEVELS_RISING.index(level)
