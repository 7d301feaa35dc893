"""Which knee is seen, and from where.

In the knee's frame the first axis points to the inner side of the leg and the second to the hip,
whichever leg it is. On the page the first points right and the second down. Looking down one's
own straight leg the hip is near, so below; a helper facing the person sees the hip above. A right
leg has its inner edge on the left for the person and on the right for the helper.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from companion.care.records import Side

Viewpoint = Literal["own", "helper"]


@dataclass(frozen=True, slots=True)
class View:
    """Which knee, seen from where."""

    side: Side
    viewpoint: Viewpoint

    @property
    def inner(self) -> int:
        """1 when the inner edge is on the right of the page, -1 when on the left."""
        return 1 if (self.side == "right") == (self.viewpoint == "helper") else -1

    @property
    def hip(self) -> int:
        """1 when the hip is below on the page, -1 when above."""
        return 1 if self.viewpoint == "own" else -1
