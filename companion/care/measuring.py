"""Measuring a knee: two readings that must agree, in centimetres or inches."""

from dataclasses import dataclass
from typing import Literal

from companion.care.strips import measure_fault

LengthUnit = Literal["cm", "inch"]
MM_OF: dict[LengthUnit, float] = {"cm": 10.0, "inch": 25.4}
"""Millimetres of one (fact: inch)."""
MUST_AGREE_MM = 5.0
"""How far two readings may lie apart (C)."""
Verdict = Literal["good", "unusual", "differ", "refused"]


@dataclass(frozen=True, slots=True)
class Measured:
    """Two readings of the way from the bony bump to the upper edge, in millimetres.

    `mm` is their mean, None when they do not agree or cannot be a knee's. `unusual`: outside
    60-160 mm, measure again to be sure. `refused`: outside 40-250 mm.
    """

    first_mm: float
    second_mm: float
    verdict: Verdict

    @property
    def mm(self) -> float | None:
        """The mean of both."""
        usable = self.verdict in ("good", "unusual")
        return (self.first_mm + self.second_mm) / 2 if usable else None


def measured(first: float, second: float, unit: LengthUnit) -> Measured:
    """Two readings in `unit`, judged."""
    first_mm, second_mm = first * MM_OF[unit], second * MM_OF[unit]
    faults = {measure_fault(first_mm), measure_fault(second_mm)}
    verdict: Verdict = "good"
    if "refused" in faults:
        verdict = "refused"
    elif abs(first_mm - second_mm) > MUST_AGREE_MM:
        verdict = "differ"
    elif faults != {None}:
        verdict = "unusual"
    return Measured(first_mm, second_mm, verdict)
