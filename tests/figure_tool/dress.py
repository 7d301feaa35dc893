"""Clothes, hair and shoes: the smooth skin cut along even hems and lifted a little."""

from __future__ import annotations

from typing import Any

import numpy as np
import scipy.sparse as sp

from tests.figure_tool.body import Body, Floats, Ints, units
from tests.figure_tool.scene import Look, Scene

Labels = Any
LIFT = {
    "sleeve": 0.013, "shirt": 0.013, "shorts": 0.013, "shoe": 0.007, "hair": 0.016,
}  # fmt: skip
"""How far above the skin each lies, in metres."""
SOLE_MM = 16


class Dressed:
    """A body in shirt, shorts and shoes, cut once at rest; worn in any pose."""

    def __init__(self, body: Body) -> None:
        self.body = body
        self.rest: Floats = body.smooth @ body.rest
        self.triangles: Ints = body.triangles
        self.smooth: Any = body.smooth
        self.labels: Labels = np.full(len(self.triangles), "torso", object)
        self._operator: Any = sp.eye(len(self.rest)).tocsr()
        self._cut_all()
        self.soles = {side: self._sole(side) for side in "RL"}

    def _weight(self, *parts: str, side: str = "") -> Floats:
        which = np.nonzero(self.body.bones_with(*parts, side=side))[0]
        made: Floats = self.body.smooth @ np.asarray(self.body.held[:, which].sum(1)).ravel()
        return made

    def _along(self, first: str, second: str) -> Floats:
        start, way = self.body.at(first), self.body.at(second) - self.body.at(first)
        made: Floats = (self.rest - start) @ way / (way @ way)
        return made

    def _cut_all(self) -> None:
        at, rest = self.body.at, self.rest
        trunk = ("spine", "clav", "shoulder", "breast", "pelvis", "root", "neck01")
        arm = ("upperarm", "lowerarm", "wrist", "finger", "metac")
        leg = ("upperleg", "lowerleg", "foot", "toe")
        self._cut("torso", 1 - self._weight(*trunk, *arm, *leg), 0.5, "torso", "head")
        for side in "RL":
            self._cut("torso", self._weight(*arm, side=side), 0.5, "torso", f"arm{side}")
            self._cut("torso", self._weight(*leg, side=side), 0.5, "torso", f"leg{side}")
        for side in "RL":
            upper = self._along(f"upperarm01.{side}", f"lowerarm01.{side}")
            self._cut(f"arm{side}", upper, 0.66, f"sleeve{side}", f"arm{side}")
            thigh = self._along(f"upperleg01.{side}", f"lowerleg01.{side}")
            self._cut(f"leg{side}", thigh, 0.64, f"shorts{side}", f"leg{side}")
            low = at(f"foot.{side}")[2] - rest[:, 2]
            self._cut(f"leg{side}", low, -0.004, f"leg{side}", f"shoe{side}")
        behind = rest[:, 1] - at("neck01")[1]
        collar = rest[:, 2] - 0.45 * behind
        self._cut("torso", collar, at("neck01")[2] - 0.012, "shirt", "head")
        self._cut("shirt", at("pelvis.R")[2] - rest[:, 2], -0.045, "shirt", "shorts")
        self._hair()

    def _hair(self) -> None:
        """From the brow over the ear, and behind it down to the nape."""
        eye = self.body.at("eye.R")
        y, z = self.rest[:, 1] - eye[1], self.rest[:, 2] - eye[2]
        over = z - (0.05 - 0.42 * y)
        behind = np.minimum(y - 0.112, z + 0.085)
        self._cut("head", np.maximum(over, behind), 0.0, "head", "hair")

    def bun(self) -> tuple[Floats, Ints]:
        """A knot of hair at the back of the head, at rest."""
        eye = self.body.at("eye.R")
        middle = np.array([0.0, eye[1] + 0.195, eye[2] + 0.035])
        around = np.linspace(0, 2 * np.pi, 25)[:-1]
        up = np.linspace(-np.pi / 2, np.pi / 2, 13)
        ring = [
            np.stack(
                [
                    0.034 * np.cos(v) * np.cos(around),
                    0.034 * np.cos(v) * np.sin(around),
                    np.full(24, 0.038 * np.sin(v)),
                ],
                1,
            )
            for v in up
        ]
        points = np.concatenate(ring) + middle
        i, j = np.arange(24), (np.arange(24) + 1) % 24
        faces = [np.stack([k * 24 + i, k * 24 + j, (k + 1) * 24 + i], 1) for k in range(12)] + [
            np.stack([k * 24 + j, (k + 1) * 24 + j, (k + 1) * 24 + i], 1) for k in range(12)
        ]
        return points, np.concatenate(faces)

    def _cut(self, name: str, value: Floats, limit: float, below: str, above: str) -> None:
        """Cut what has this label where a value passes a limit."""
        over = self._operator @ value - limit
        own = self.labels == name
        up = over[self.triangles] > 0
        mixed = own & (up.sum(1) > 0) & (up.sum(1) < 3)
        corners, raised = self.triangles[mixed], up[mixed]
        alone = raised.sum(1) == 1
        tip = np.where(alone, raised.argmax(1), (~raised).argmax(1))
        row = np.arange(len(corners))
        a, b, c = (corners[row, (tip + k) % 3] for k in range(3))
        count, new = self._operator.shape[0], [self._operator]
        for end in (b, c):
            share = over[a] / (over[a] - over[end])
            new.append(
                sp.diags(1 - share) @ self._operator[a] + sp.diags(share) @ self._operator[end]
            )
        p, q = count + row, count + len(row) + row
        self._operator = sp.vstack(new).tocsr()
        whole = ~mixed
        labels = np.where(own & (up.sum(1) == 3), above, np.where(own, below, self.labels))
        tips, rest = np.where(alone, above, below), np.where(alone, below, above)
        self.triangles = np.concatenate(
            [
                self.triangles[whole],
                np.stack([a, p, q], 1),
                np.stack([p, b, c], 1),
                np.stack([p, c, q], 1),
            ]
        )
        self.labels = np.concatenate([labels[whole], tips, rest, rest])

    def _sole(self, side: str) -> tuple[Floats, Ints, Any]:
        """A sole under a shoe at rest: its points, its faces, and how each hangs on the bones."""
        body = self.body
        foot = body.bones_with("foot", "toe", side=side)[body.owner]
        skin = np.nonzero(foot & (body.rest[:, 2] < body.rest[foot][:, 2].min() + 0.03))[0]
        own = body.rest[skin]
        steps = np.linspace(own[:, 1].min() - 0.008, own[:, 1].max() + 0.008, 36)
        floor = own[:, 2].min() - 0.007
        rows, anchors = [], []
        for y in steps:
            near = np.abs(own[:, 1] - y)
            band = own[near < max(0.012, near.min() + 0.004)]
            left, right = band[:, 0].min() - 0.005, band[:, 0].max() + 0.005
            rows.append([left, right])
            anchors.append(skin[near.argmin()])
        edge = np.array(rows)
        thick = SOLE_MM / 1000
        points = np.concatenate(
            [
                np.stack([edge[:, k], steps, np.full(len(steps), floor + up)], 1)
                for k in (0, 1)
                for up in (0.006, -thick)
            ]
        )
        n = len(steps)
        faces = []
        for one, other in ((0, 1), (1, 3), (3, 2), (2, 0)):
            i = np.arange(n - 1)
            faces += [
                np.stack([one * n + i, one * n + i + 1, other * n + i], 1),
                np.stack([one * n + i + 1, other * n + i + 1, other * n + i], 1),
            ]
        for end in (0, n - 1):
            faces.append(
                np.array([[end, n + end, 2 * n + end], [n + end, 3 * n + end, 2 * n + end]])
            )
        return points, np.concatenate(faces), body.held[np.tile(np.array(anchors), 4)]

    def wear(
        self,
        scene: Scene,
        skin: Floats,
        looks_to: Floats,
        moves: Floats,
        tints: dict[str, str],
        *,
        bare: bool = False,
    ) -> None:
        """Put the dressed body of a pose into a scene; `skin` are the smooth points.

        With `bare` there are socks and no shoes. `tints` names the tint of each part, `legR` or
        `shirt`; the shorts are one part.
        """
        points, looks = self._operator @ skin, units(self._operator @ looks_to)
        for label in sorted(set(self.labels)):
            name = "shorts" if label.startswith("shorts") else str(label)
            lift = LIFT.get(label.rstrip("RL") if label != "shirt" else label, 0.0)
            own = self.triangles[self.labels == label]
            inner = name in {"head", "armR", "armL", "legR", "legL"}
            look = Look(name, tints.get(name, tints.get(name.rstrip("RL"), "skin")), inner=inner)
            scene.add(look, points + looks * lift, own, looks)
        if self.body.build.sex == "woman":
            knot, faces = self.bun()
            move = moves[self.body.number["head"]]
            scene.add(Look("bun", "hair", inner=False), knot @ move[:, :3].T + move[:, 3], faces)
        if bare:
            return
        for side, (rest, faces, held) in self.soles.items():
            each = (held @ moves.reshape(len(moves), 12)).reshape(-1, 3, 4)
            placed = np.einsum("nij,nj->ni", each[:, :, :3], rest) + each[:, :, 3]
            scene.add(Look(f"sole{side}", tints.get("sole", "dark"), inner=False), placed, faces)
