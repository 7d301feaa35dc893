"""From the knee's own frame to the page: one transform for both sides and both viewpoints.

In the knee's frame the first axis points to the inner side of the leg and the second to the hip,
whichever leg it is. On the page the first points right and the second down. Looking down one's
own straight leg the hip is near, so below; a helper facing the person sees the hip above. A right
leg has its inner edge on the left for the person and on the right for the helper.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from companion.care.records import Side
from companion.picture.curves import Path, Point

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

    def to_page(self, point: Point) -> Point:
        """From the knee's frame to the page."""
        return complex(point.real * self.inner, point.imag * self.hip)

    def to_knee(self, point: Point) -> Point:
        """From the page to the knee's frame: the same signs once more."""
        return self.to_page(point)

    def path(self, path: Path) -> Path:
        """A path on the page."""
        across, along = self.inner, self.hip
        points = tuple(complex(p.real * across, p.imag * along) for p in path.points)
        return Path(points, path.closed)

    @property
    def turned(self) -> View:
        """The same knee from the other viewpoint: the page turned by half a circle."""
        return View(self.side, "helper" if self.viewpoint == "own" else "own")

    @property
    def mirrored(self) -> View:
        """The other knee from the same viewpoint."""
        return View("left" if self.side == "right" else "right", self.viewpoint)
