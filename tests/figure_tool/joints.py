"""Named angles of a body in degrees; nothing named is at rest, where arms slant down by the side.

`hip` and `knee` bend, `ankle` lifts the foot, `toes` lift; `abduct` takes the leg outward, `lean`
bends the trunk forward, `nod` the head. `elbow` bends, `palm` turns the palm down, `wrist` bends
the hand back below 0, `aside` takes it to the little finger's side. Of each finger `mcp`, `pip`,
`dip` bend and `abd` spreads. `shoulder` is a rotation vector, or made of `raise` (the arm forward)
and `close` (to the side of the trunk; 40 hangs straight).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from tests.figure_tool.body import Body, Floats, turn, turn_by, unit

FINGERS = ("thumb", "index", "middle", "ring", "little")
SIDES = {"R": 1.0, "L": -1.0}
X, Y, Z = np.eye(3)
Angles = Mapping[str, Any]
Hinge = tuple[str, Floats, float]


def finger_bones(finger: str, side: str) -> tuple[str, str, str]:
    """The three bones of a digit, from the hand outward."""
    number = FINGERS.index(finger) + 1
    return (
        f"finger{number}-1.{side}",
        f"finger{number}-2.{side}",
        f"finger{number}-3.{side}",
    )


class Joints:
    """What each named angle turns, for one body."""

    def __init__(self, body: Body) -> None:
        self.body = body
        self.hinges: dict[str, list[Hinge]] = {
            "lean": [(f"spine0{i}", X, 0.2) for i in (5, 4, 3, 2, 1)],
            "stoop": [("spine02", X, 0.5), ("spine01", X, 0.5)],
            "nod": [*((f"neck0{i}", X, 0.25) for i in (1, 2, 3)), ("head", X, 0.25)],
            "twist": [(f"spine0{i}", Z, 0.2) for i in (5, 4, 3, 2, 1)],
        }
        self.hand: dict[str, dict[str, Floats]] = {}
        for side, sign in SIDES.items():
            self._leg(side, sign)
            self._arm(side, sign)

    def _leg(self, side: str, sign: float) -> None:
        self.hinges |= {
            f"hip.{side}": [(f"upperleg01.{side}", -X, 1.0)],
            f"knee.{side}": [(f"lowerleg01.{side}", X, 1.0)],
            f"ankle.{side}": [(f"foot.{side}", -X, 1.0)],
            f"abduct.{side}": [(f"upperleg01.{side}", Y * sign, 1.0)],
            f"roll.{side}": [(f"upperleg01.{side}", Z * sign, 1.0)],
            f"toes.{side}": [(f"toe{i}-1.{side}", -X, 1.0) for i in range(1, 6)],
        }

    def _arm(self, side: str, sign: float) -> None:
        at = self.body.at
        upper = unit(at(f"lowerarm01.{side}") - at(f"upperarm01.{side}"))
        fore = unit(at(f"wrist.{side}") - at(f"lowerarm01.{side}"))
        elbow = unit(np.cross(upper, fore))
        self.hinges |= {
            f"elbow.{side}": [(f"lowerarm01.{side}", elbow, 1.0)],
            f"palm.{side}": [
                (f"lowerarm01.{side}", -fore * sign, 0.4),
                (f"lowerarm02.{side}", -fore * sign, 0.6),
            ],
            f"shrug.{side}": [(f"clavicle.{side}", Y * sign, 1.0)],
            f"forward.{side}": [(f"clavicle.{side}", Z * -sign, 1.0)],
        }
        fingers = unit(at(f"finger3-1.{side}") - at(f"wrist.{side}"))
        across = at(f"finger5-1.{side}") - at(f"finger2-1.{side}")
        back = unit(np.cross(fingers, across))
        back *= np.sign(back[2]) or 1.0
        little = unit(np.cross(back, fingers))
        little *= np.sign(little @ across)
        self.hand[side] = {"fingers": fingers, "back": back, "little": little}
        self.hinges |= {
            f"wrist.{side}": [(f"wrist.{side}", np.cross(back, fingers), 1.0)],
            f"aside.{side}": [(f"wrist.{side}", np.cross(fingers, little), 1.0)],
        }
        self._digits(side, sign, back, little)

    def _digits(self, side: str, sign: float, back: Floats, little: Floats) -> None:
        body = self.body
        for finger in FINGERS:
            bones = finger_bones(finger, side)
            along = [unit(body.tail[body.number[one]] - body.at(one)) for one in bones]
            nail = self.nail_direction(finger, side, back)
            bends = [unit(np.cross(nail, one)) for one in along]
            if finger == "thumb":
                spread = unit(np.cross(bends[0], along[0]))
                self.hinges |= {
                    f"thumb.cmc.{side}": [(bones[0], bends[0], 1.0)],
                    f"thumb.twist.{side}": [(bones[0], along[0] * sign, 1.0)],
                    f"thumb.mcp.{side}": [(bones[1], bends[1], 1.0)],
                    f"thumb.ip.{side}": [(bones[2], bends[2], 1.0)],
                }
            else:
                spread = unit(np.cross(along[0], little))
                self.hinges |= {
                    f"{finger}.mcp.{side}": [(bones[0], bends[0], 1.0)],
                    f"{finger}.pip.{side}": [(bones[1], bends[1], 1.0)],
                    f"{finger}.dip.{side}": [(bones[2], bends[2], 1.0)],
                }
            self.hinges[f"{finger}.abd.{side}"] = [(bones[0], spread, 1.0)]

    def nail_direction(self, finger: str, side: str, back: Floats) -> Floats:
        """The way the nail of a digit looks at rest, told from the widest side of its last bone."""
        body = self.body
        bone = finger_bones(finger, side)[2]
        i = body.number[bone]
        along = unit(body.tail[i] - body.head[i])
        own = np.nonzero(body.owner == i)[0]
        spread = body.rest[own] - body.rest[own].mean(0)
        spread = spread - np.outer(spread @ along, along)
        _, _, axes = np.linalg.svd(spread, full_matrices=False)
        thin: Floats = unit(axes[1] - along * (axes[1] @ along))
        return thin if thin @ back > 0 else -thin

    def turns(self, angles: Angles) -> dict[str, Floats]:
        """The rotation of each bone that is not at rest. Raises KeyError for a name unknown."""
        made: dict[str, Floats] = {}
        for side, sign in SIDES.items():
            turned = shoulder(angles, side, sign)
            if turned is not None:
                made[f"upperarm01.{side}"] = turned
        for name, degrees in angles.items():
            if name.split(".")[0] in ("shoulder", "raise", "close"):
                continue
            for bone, axis, share in self.hinges[name]:
                if degrees:
                    made[bone] = made.get(bone, np.eye(3)) @ turn(axis, degrees * share)
        return made


def shoulder(angles: Angles, side: str, sign: float) -> Floats | None:
    """How an upper arm is turned."""
    if f"shoulder.{side}" in angles:
        return turn_by(np.asarray(angles[f"shoulder.{side}"], float))
    forward, close = angles.get(f"raise.{side}"), angles.get(f"close.{side}")
    if forward is None and close is None:
        return None
    return turn(X, -(forward or 0.0)) @ turn(Y, -(40.0 if close is None else close) * sign)
