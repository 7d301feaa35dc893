"""What ends a step while it runs, what the tape's own feelings ask for, and bad days.

Scores are 0-10. Limits come from the plan; nothing here holds a number of its own. A check move
is never stopped by these limits.
"""

from collections.abc import Collection
from typing import Literal

from companion.care.records import TapeFeeling

StepStop = Literal["above_ceiling", "above_rest"]
"""above_ceiling: pain above the plan's ceiling. above_rest: more than the stop amount above the
rest pain before the step."""
TAPE_FEELINGS: tuple[TapeFeeling, ...] = ("itch", "pinching", "numbness", "pain")
"""What a person may feel from the tape itself; each of them means tape off now."""


def stop_step(pain: int, rest_pain: int | None, ceiling: int, stop_amount: int) -> StepStop | None:
    """Why a hands or exercise step stops at this pain, or None to go on.

    Both limits are "more than": pain at the ceiling, or exactly the stop amount above the rest
    pain, still goes on. An absent rest pain leaves the ceiling alone.
    """
    if pain > ceiling:
        return "above_ceiling"
    if rest_pain is not None and pain > rest_pain + stop_amount:
        return "above_rest"
    return None


def hands_today(rest_pain: int | None, ceiling: int) -> bool:
    """False when the pain at rest lies above the ceiling: no hands today."""
    return rest_pain is None or rest_pain <= ceiling


def felt_from_tape(feelings: Collection[str]) -> tuple[TapeFeeling, ...]:
    """What is felt from the tape, in one order. Each of it asks for taking the tape off now."""
    return tuple(feeling for feeling in TAPE_FEELINGS if feeling in feelings)


def bad_day(before: int | None, mark: int | None) -> bool:
    """Whether it is a bad day: a before score at or above the plan's bad-day mark.

    A plan without a mark has no bad days.
    """
    return before is not None and mark is not None and before >= mark
