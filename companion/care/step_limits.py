"""What ends a step while it runs, and what the tape's own feelings ask for.

Scores are 0-10. Limits come from the plan; nothing here holds a number of its own. A check move
is never stopped by these limits.
"""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

from companion.care.adherence import RoutinePart
from companion.care.records import Plan, TapeFeeling

StepStop = Literal["above_ceiling", "above_rest"]
"""above_ceiling: pain above the plan's ceiling. above_rest: too far above the pain at rest."""
TAPE_FEELINGS: tuple[TapeFeeling, ...] = ("itch", "pinching", "numbness", "pain")
"""What a person may feel from the tape itself; each of them means tape off now."""


@dataclass(frozen=True, slots=True)
class StepLimit:
    """The most pain (0-10) with which a step goes on, and by which of the two limits."""

    most: int
    by: StepStop


def step_limit(part: RoutinePart, plan: Plan, rest_pain: int | None) -> StepLimit:
    """What stops a step of hands or exercise: pain above its `most`.

    Hands stop above the plan's ceiling and more than the stop amount above the pain at rest;
    exercise above its own ceiling alone, since it may hurt while it is done (fact:
    pain_zone_acceptable). Where the knee hurts at rest more than the ceiling, a step can only be
    told by its rise: it stops once the pain is the stop amount above where it began, at 10 in any
    case. An absent rest pain leaves the ceiling alone.
    """
    ceiling = ceiling_of(part, plan)
    if rest_pain is None:
        return StepLimit(ceiling, "above_ceiling")
    if rest_pain > ceiling:
        return StepLimit(min(rest_pain + plan.stop_amount, 10) - 1, "above_rest")
    if part == "hands" and rest_pain + plan.stop_amount < ceiling:
        return StepLimit(rest_pain + plan.stop_amount, "above_rest")
    return StepLimit(ceiling, "above_ceiling")


def ceiling_of(part: RoutinePart, plan: Plan) -> int:
    """The plan's ceiling of hands or of exercise; where it sets none for exercise, the same."""
    if part == "exercise" and plan.exercise_ceiling is not None:
        return plan.exercise_ceiling
    return plan.pain_ceiling


def felt_from_tape(feelings: Collection[str]) -> tuple[TapeFeeling, ...]:
    """What is felt from the tape, in one order. Each of it asks for taking the tape off now."""
    return tuple(feeling for feeling in TAPE_FEELINGS if feeling in feelings)
