"""Hands brought to landmarks: one arm's angles by least squares, from pad to shoulder.

A contact pulls the pad of a digit to a place of the skin and turns it towards that skin; the rest
of the hand stays out of what it must not sink into, fingertips lie on it, and every joint stays
near where the layout says and inside what a hand of seventy-five can do.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.optimize import least_squares
from scipy.spatial import cKDTree

from tests.figure_tool.body import Body, Floats, Ints, unit, units
from tests.figure_tool.joints import FINGERS, Angles, Joints, finger_bones

LIMITS: dict[str, tuple[float, float]] = {
    "elbow": (0, 130), "palm": (-80, 72), "wrist": (-42, 40), "aside": (-12, 20),
    "shrug": (-4, 12), "forward": (-8, 22), "mcp": (-8, 75), "pip": (0, 85), "dip": (-3, 50),
    "abd": (-12, 12), "thumb.cmc": (-25, 32), "thumb.abd": (-28, 28), "thumb.twist": (-22, 22),
    "thumb.mcp": (-5, 40), "thumb.ip": (-14, 45),
}  # fmt: skip
"""Degrees (C: within what a healthy old hand reaches without force; not measured here)."""
EASE = {
    "elbow": 60, "palm": 40, "wrist": 16, "aside": 8, "shrug": 8, "forward": 10, "mcp": 12,
    "pip": 10, "dip": 8, "abd": 5, "thumb.cmc": 14, "thumb.abd": 14, "thumb.twist": 9,
    "thumb.mcp": 13, "thumb.ip": 13,
}  # fmt: skip
_SHOULDER_EASE = 60.0
_TIGHT_M, _DEEP_M, _REST_M, _CLEAR_M = 0.002, 0.0014, 0.006, 0.006
_TIP_OVER_M, _HAND_OVER_M = 0.013, 0.004
"""How far over the edge of the kneecap an end of a digit may lie, and the rest of the hand."""
_STEP_DEGREES = 0.01


def _of(table: Mapping[str, Any], name: str) -> Any:
    name = name.rsplit(".", 1)[0]
    return table[name] if name in table else table[name.split(".")[-1]]


class Surface:
    """How far points are from a skin; below 0 they are under it."""

    def __init__(self, points: Floats, looks: Floats) -> None:
        self._tree, self._points, self._looks = cKDTree(points), points, looks

    def near(self, places: Floats) -> Ints:
        """Of each place the points of the skin that are nearest."""
        made: Ints = self._tree.query(places, k=3)[1]
        return made

    def above(self, places: Floats, near: Ints | None = None) -> Floats:
        """In metres; far away it is only told that it is far. `near` where it is known."""
        near = self.near(places) if near is None else near
        off = ((places[:, None] - self._points[near]) * self._looks[near]).sum(2).mean(1)
        far = np.linalg.norm(places - self._points[near[:, 0]], axis=1) > 0.04
        made: Floats = np.where(far, 0.04, off)
        return made


@dataclass(frozen=True)
class InSight:
    """A round place of the skin that is to stay in sight of an eye. Its middle, its half axes (two
    rows) in metres."""

    eye: Floats
    middle: Floats
    halves: Floats

    def over(self, places: Floats) -> Floats:
        """How far inside its edge, as the eye sees it, places lie, in metres; below 0 beside it."""
        normal, rays = np.cross(*self.halves), places - self.eye
        share = ((self.middle - self.eye) @ normal) / (rays @ normal)
        at = self.eye + rays * share[:, None] - self.middle
        size = (self.halves**2).sum(1)
        made: Floats = (1 - np.linalg.norm(at @ self.halves.T / size, axis=1)) * size.min() ** 0.5
        return made


@dataclass(frozen=True)
class Contact:
    """A pad on a place: which pad, where, which way the skin looks there, how strictly."""

    pad: str
    place: Floats
    looks: Floats | None
    weight: float = 1.6
    turned: float = 1.0
    """How much it matters, against the place, that the pad lies flat."""


class Pads:
    """The point of the skin in the middle of each pad, and of the palm."""

    def __init__(self, body: Body, joints: Joints) -> None:
        self.points: dict[tuple[str, str], int] = {}
        for side in "RL":
            back = joints.hand[side]["back"]
            for finger in FINGERS:
                bone = finger_bones(finger, side)[2]
                i = body.number[bone]
                along = body.tail[i] - body.head[i]
                length = float(np.linalg.norm(along))
                nail = joints.nail_direction(finger, side, back)
                own = np.nonzero(body.owner == i)[0]
                off = body.rest[own] - body.head[i]
                share = off @ unit(along) / length
                across = np.abs(off @ unit(np.cross(nail, along)))
                score = off @ -nail - np.abs(share - 0.6) * 0.02 - across * 0.6
                self.points[finger, side] = int(own[score.argmax()])
            middle = (body.at(f"wrist.{side}") + body.at(f"finger3-1.{side}")) / 2 - back * 0.018
            self.points["palm", side] = int(np.linalg.norm(body.rest - middle, axis=1).argmin())


class Arm:
    """One arm to be brought somewhere, the rest of the body as it is."""

    def __init__(self, joints: Joints, pads: Pads, side: str) -> None:
        self.joints, self.body, self.pads, self.side = joints, joints.body, pads, side
        names = ["shrug", "forward", "elbow", "palm", "wrist", "aside"]
        names += [f"thumb.{one}" for one in ("cmc", "abd", "twist", "mcp", "ip")]
        names += [
            f"{finger}.{one}" for finger in FINGERS[1:] for one in ("mcp", "abd", "pip", "dip")
        ]
        self.names = [f"{name}.{side}" for name in names]
        body = self.body
        self._chain = np.nonzero(
            body.bones_with("clavicle", "shoulder", "arm", "wrist", "meta", "finger", side=side)
        )[0]
        hand = body.bones_with("wrist", "meta", "finger", side=side)[body.owner]
        fore = body.bones_with("lowerarm", side=side)[body.owner]
        ends = [finger_bones(one, side)[2] for one in FINGERS]
        tips = np.isin(body.owner, [body.number[one] for one in ends])
        parts = [
            np.nonzero(hand & ~tips)[0][::4],
            np.nonzero(tips)[0][::2],
            np.nonzero(fore)[0][::20],
        ]
        self._hand: Ints = np.concatenate(parts)
        over = (_HAND_OVER_M, _TIP_OVER_M, _HAND_OVER_M)
        self._over: Floats = np.repeat(over, [len(one) for one in parts])

    def _moves(self, angles: Angles, before: Floats) -> Floats:
        body, turns, moves = self.body, self.joints.turns(angles), before.copy()
        for i in self._chain:
            base, own = moves[body.above[i]], turns.get(body.bones[i])
            if own is None:
                moves[i] = base
                continue
            pivot = body.head[i]
            moves[i, :, :3] = base[:, :3] @ own
            moves[i, :, 3] = base[:, :3] @ (pivot - own @ pivot) + base[:, 3]
        return moves

    def bring(
        self,
        rest: Angles,
        root: Floats,
        start: Angles,
        contacts: Sequence[Contact],
        *,
        out_of: Sequence[Surface],
        laid: Mapping[str, float],
        aim: Mapping[str, tuple[Sequence[float], float]],
        clear: InSight | None = None,
        rounds: int = 30,
    ) -> tuple[dict[str, Any], float]:
        """The arm's angles and what is left of the effort.

        `rest` are the other angles, `start` where this arm begins and stays near; `laid` are
        pads that lie on the first surface and how firmly; `aim` is where the hand's `back` and
        `fingers` look. Raises KeyError for a pad unknown.
        """
        side, body = self.side, self.body
        before = body.stand(self.joints.turns(rest), root)
        begin = np.array(
            [*(start.get(name, 0.0) for name in self.names), *start[f"shoulder.{side}"]], float
        )
        limits = np.array([_of(LIMITS, name) for name in self.names], float)
        low, high = np.r_[limits[:, 0], [-175] * 3], np.r_[limits[:, 1], [175] * 3]
        ease = np.array([*(_of(EASE, name) for name in self.names), *[_SHOULDER_EASE] * 3], float)
        touch = [self.pads.points[one.pad, side] for one in contacts]
        lie = [self.pads.points[name, side] for name in laid]
        smooth = body.smooth[touch]
        round_it = np.unique(smooth.indices)
        smooth = smooth[:, round_it]  # the pad as it is drawn lies a little inside the plain mesh
        which = np.r_[np.array(touch + lie, int), self._hand, round_it]
        held, skin, looks = body.held[which], body.rest[which], body.rest_normals[which]
        wrist, n, m = body.number[f"wrist.{side}"], len(touch), len(touch) + len(lie)
        firm = np.array(list(laid.values()), float)

        def placed(values: Floats) -> tuple[Floats, Floats, Floats]:
            angles = dict(zip(self.names, values, strict=False))
            angles[f"shoulder.{side}"] = values[-3:]
            moves = self._moves(angles, before)
            each = (held @ moves.reshape(len(moves), 12)).reshape(-1, 3, 4)
            at = np.einsum("nij,nj->ni", each[:, :, :3], skin) + each[:, :, 3]
            drawn = smooth @ at[len(at) - len(round_it) :]
            return moves, each, np.concatenate([drawn, at[n : len(at) - len(round_it)]])

        def effort(values: Floats, near: Sequence[Ints | None] = (None,) * len(out_of)) -> Floats:
            moves, each, at = placed(values)
            parts = [(values - begin) / ease * 0.35]
            for i, one in enumerate(contacts):
                parts.append((at[i] - one.place) / _TIGHT_M * one.weight)
                if one.looks is not None:
                    own = units((each[i, :, :3] @ looks[i])[None])[0]
                    parts.append((own + one.looks) * 2.2 * one.weight * one.turned)
            off = [one.above(at[n:], some) for one, some in zip(out_of, near, strict=True)]
            parts.append((off[0][: m - n] - 0.001) / _REST_M * firm)
            parts += [np.minimum(one[m - n :] - 0.0005, 0) / _DEEP_M for one in off]
            if clear is not None:
                parts.append(np.maximum(clear.over(at[m:]) - self._over, 0) / _CLEAR_M)
            for name, (way, weight) in aim.items():
                wanted = unit(np.asarray(way, float))
                seen = moves[wrist, :, :3] @ self.joints.hand[side][name]
                parts.append((seen - wanted) * weight)
            return np.concatenate(parts)

        def slopes(values: Floats) -> Floats:
            """By small steps, in which the nearest skin stays the nearest."""
            _, _, at = placed(values)
            near = [one.near(at[n:]) for one in out_of]
            begun = effort(values, near)
            step = _STEP_DEGREES * np.eye(len(values))
            return np.stack(
                [(effort(values + one, near) - begun) / _STEP_DEGREES for one in step], 1
            )

        inside = np.clip(begin, low + 1e-6, high - 1e-6)
        found = least_squares(
            effort, inside, slopes, bounds=(low, high), x_scale=ease, max_nfev=rounds, ftol=2e-3,
        )  # fmt: skip
        values = np.round(found.x, 2)
        made: dict[str, Any] = dict(zip(self.names, values.tolist(), strict=False))
        made[f"shoulder.{side}"] = values[-3:].tolist()
        return made, float(found.cost)
