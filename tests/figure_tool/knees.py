"""A knee with hands on it: `poses/knees/*.json` holds the layouts, drawn from whose eyes see them.

A layout says how the person sits, where each hand's pads touch, in the knee's own frame
(millimetres to the outer side and to the hip from the middle of the kneecap), and which way each
hand looks. The angles that were found are kept in the same file: drawing finds nothing anew.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np

from tests.figure_tool.body import BODIES, Body, Build, Floats, Ints, normals, turn, unit, units
from tests.figure_tool.joints import FINGERS, Joints, Z, finger_bones
from tests.figure_tool.lines import Camera, Seen, fewer, smoothed
from tests.figure_tool.props import rod
from tests.figure_tool.reach import Arm, Contact, InSight, Pads, Surface
from tests.figure_tool.scene import Look, Scene, Still, digest, onward, packed, paint
from tests.figure_tool.source import HERE, NAILS, Source

LAYOUTS = HERE / "poses" / "knees"
MOVING = ("woman_usual", "man_usual")
"""The bodies whose hands are drawn in motion; of the others there are stills."""
UNIT_MM = 0.2
HALF_WIDE_MM, HALF_HIGH_MM = 22.5, 24.5
"""Half a kneecap of a grown woman (C: about 45 by 51 mm)."""
UP_MM = 26.0
"""Its middle above the axis of the knee."""
BUMP_MM = -74.5
SHORTS = 0.69
HEMS = {"long": SHORTS, "upright": 0.42, "bent": SHORTS}
"""How far down the thigh the shorts reach; a thigh that is stroked is bare."""
EDGE_MM = 14.0
"""What is drawn beyond each side of a frame, for hands that move until their next still."""
CUFF = 0.62
"""How far down the forearm a helper's sleeve reaches."""
FRAME_MM = (-120.0, -140.0, 240.0, 277.0)
"""Left, top, width and height on the page; the middle of the kneecap is at 0, 0."""


class Knee:
    """The right knee's landmarks as places of triangles of the smooth skin, found at rest."""

    def __init__(self, body: Body) -> None:
        self.body = body
        at = body.at
        middle = at("lowerleg01.R")
        up = unit(unit(at("upperleg02.R") - middle) + unit(middle - at("foot.R")))
        front = np.array([0.0, -1.0, 0.0])
        self.up, self.front = up, unit(front - up * (front @ up))
        outer = np.cross(up, self.front)
        self.outer = outer * np.sign(-outer[0])
        self.centre = middle + up * UP_MM / 1000
        leg = body.bones_with("upperleg", "lowerleg", side=".R")[body.owner[body.quads]]
        faces = np.all(leg, axis=1)[body.parents]
        rest = body.smooth @ body.rest
        near = np.linalg.norm(rest[body.triangles].mean(1) - self.centre, axis=1) < 0.3
        self._faces: Ints = np.nonzero(faces & near)[0]
        self._rest: Floats = rest

    def places(self, where: Floats) -> tuple[Ints, Floats]:
        """Triangles and shares of points (outer, hip) in mm, seen straight from the front."""
        where = np.atleast_2d(np.asarray(where, float)) / 1000
        start = self.centre + where[:, :1] * self.outer + where[:, 1:] * self.up
        return self._hit(start + self.front * 0.2, -self.front[None] + 0 * start)

    def round_places(self, where: Floats) -> tuple[Ints, Floats]:
        """The same, the first of each pair measured round the leg's side."""
        where = np.atleast_2d(np.asarray(where, float)) / 1000
        angle = where[:, :1] / 0.052
        way = np.cos(angle) * self.front + np.sin(angle) * self.outer
        axis = self.centre + where[:, 1:] * self.up - self.front * 0.045
        return self._hit(axis + way * 0.2, -way)

    def _hit(self, start: Floats, way: Floats) -> tuple[Ints, Floats]:
        corners = self._rest[self.body.triangles[self._faces]]
        a, b, c = corners[:, 0], corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
        faces, shares = [], []
        for origin, d in zip(start, way, strict=True):
            p = np.cross(d, c)
            whole = (b * p).sum(1)
            whole = np.where(np.abs(whole) < 1e-14, 1e-14, whole)
            off = origin - a
            u = (off * p).sum(1) / whole
            q = np.cross(off, b)
            v = (q @ d) / whole
            far = (c * q).sum(1) / whole
            good = (u >= -1e-9) & (v >= -1e-9) & (u + v <= 1 + 1e-9) & (far > 0)
            if not good.any():
                raise ValueError("a place that lies beside the leg")
            i = int(np.where(good, far, np.inf).argmin())
            faces.append(self._faces[i])
            shares.append([1 - u[i] - v[i], u[i], v[i]])
        return np.array(faces), np.array(shares)

    def at(self, places: tuple[Ints, Floats], points: Floats) -> Floats:
        """Where places are on a posed skin; the same for directions."""
        faces, shares = places
        made: Floats = (points[self.body.triangles[faces]] * shares[:, :, None]).sum(1)
        return made

    def rim(self, degrees: Floats, wider: float = 1.0) -> Floats:
        """Points of the kneecap's edge in mm: 0 upper, 90 outer, 180 lower, 270 inner end."""
        angle = np.radians(np.atleast_1d(degrees))
        x, y = np.sin(angle) * HALF_WIDE_MM * wider, np.cos(angle) * HALF_HIGH_MM * wider
        made: Floats = np.stack(
            [x * (1 + 0.14 * y / HALF_HIGH_MM), np.where(y < 0, y * 1.08, y)], 1
        )
        return made


class Sitter:
    """A body whose right knee is drawn, and the hands on it."""

    def __init__(self, source: Source, build: Build) -> None:
        self.body = Body(source, build, levels=2)
        self.joints = Joints(self.body)
        self.pads = Pads(self.body, self.joints)
        self.knee = Knee(self.body)
        self._mask = source.read(NAILS)

    @cached_property
    def nails(self) -> dict[tuple[str, str], list[int]]:
        """The border of each nail as points of the plain mesh, in order."""
        from PySide6.QtGui import QImage

        image = QImage.fromData(self._mask).convertToFormat(QImage.Format.Format_Grayscale8)
        marks = self.body.face_marks
        body = self.body
        shade = np.array(
            [
                image.pixelColor(
                    min(int(u * image.width()), image.width() - 1),
                    min(max(int((1 - v) * image.height()), 0), image.height() - 1),
                ).lightness()
                if 0 <= u <= 1 and 0 <= v <= 1
                else 0
                for u, v in marks
            ]
        )
        made = {}
        for side in "RL":
            for finger in FINGERS:
                i = body.number[finger_bones(finger, side)[2]]
                own = (shade > 128) & (body.owner[body.quads] == i).any(1)
                made[finger, side] = _border(body.quads[own])
        return made

    def faces(self, *parts: str, side: str) -> Ints:
        """The smooth triangles of some limbs."""
        body = self.body
        own = body.bones_with(*parts, side=side)[body.owner[body.quads]]
        made: Ints = np.nonzero(np.all(own, axis=1)[body.parents])[0]
        return made


def _border(quads: Ints) -> list[int]:
    """The longest closed border of some faces."""
    edges = {(a, b) for q in quads.tolist() for a, b in zip(q, q[1:] + q[:1], strict=True)}
    nexts = {a: b for a, b in edges if (b, a) not in edges}
    best: list[int] = []
    while nexts:
        path = [next(iter(nexts))]
        while path[-1] in nexts:
            path.append(nexts.pop(path[-1]))
        best = max(best, path[:-1], key=len)
    return best


LEG = ("upperleg", "lowerleg", "foot", "toe")
ARM = ("upperarm", "lowerarm", "wrist", "meta", "finger")
SEATS: dict[str, dict[str, float]] = {
    "long": {
        "hip.R": 84, "hip.L": 84, "abduct.R": -5, "abduct.L": -12, "knee.R": 5, "knee.L": 5,
        "ankle.R": -14, "ankle.L": -14, "lean": 24, "nod": 22,
    },
    "upright": {
        "hip.R": 84, "hip.L": 84, "abduct.R": -5, "abduct.L": -12, "knee.R": 5, "knee.L": 5,
        "ankle.R": -14, "ankle.L": -14, "lean": 6, "nod": 34,
    },
    "bent": {
        "hip.R": 90, "hip.L": 90, "abduct.R": -4, "abduct.L": 6, "knee.R": 62, "knee.L": 62,
        "lean": 32, "nod": 24,
    },
    "raised": {
        "hip.R": 114, "hip.L": 84, "abduct.R": -5, "abduct.L": -12, "knee.R": 54, "knee.L": 5,
        "ankle.R": -4, "ankle.L": -14, "lean": 14, "nod": 22,
    },
}  # fmt: skip
_LEANS: dict[str, float] = {
    "hip.R": 80, "hip.L": 80, "knee.R": 80, "knee.L": 80, "lean": 24, "nod": 20,
}  # fmt: skip
BESIDE: dict[str, tuple[dict[str, float], float, tuple[float, float, float]]] = {
    "long": (_LEANS, 90, (-0.41, 0.0, -0.12)),
    "upright": (_LEANS, 90, (-0.41, 0.06, -0.12)),
    "bent": (_LEANS | {"lean": 30}, 180, (0.0, -0.6, -0.36)),
}
"""How a helper sits by each seat, how far turned, and where (metres from the kneecap): close by
on the outer side of a straight leg, in front of a bent knee."""
RELAXED = {
    "elbow": 30, "palm": 25, **{f"{one}.mcp": 12 for one in FINGERS[1:]},
    **{f"{one}.pip": 14 for one in FINGERS[1:]}, **{f"{one}.dip": 6 for one in FINGERS[1:]},
    "index.abd": -3, "little.abd": 3,
}  # fmt: skip
SHOULDERS = {"R": (-62.0, 20.0, -25.0), "L": (-62.0, -20.0, 25.0)}


def touches(told: Mapping[str, Any], knee: Knee) -> dict[str, Floats]:
    """Where each pad of a hand is to be, in mm: on the rim at an angle, or at a place."""
    made = {}
    for pad, where in told.items():
        if "rim" in where:
            spot = knee.rim(where["rim"], where.get("wider", 1.0))[0]
        else:
            spot = np.array(where["at"], float)
        made[pad] = spot + np.array(where.get("beside", (0, 0)), float)
    return made


@dataclass(frozen=True)
class Owner:
    """Whose hands lie on the knee: a body, how it sits, and where."""

    sitter: Sitter
    angles: dict[str, float]
    root: Floats

    def moves(self, found: Mapping[str, Any]) -> Floats:
        """Where its bones are once its arms are where they were found."""
        turns = self.sitter.joints.turns({**self.angles, **found})
        return self.sitter.body.stand(turns, self.root)


class Seated:
    """The person as they sit, without hands: the leg's skin and what is on it; a `helper` beside
    or in front of the knee, where the words of the technique want one."""

    def __init__(self, sitter: Sitter, seat: str, helper: Sitter | None = None) -> None:
        self.sitter, self.angles, self.seat = sitter, dict(SEATS[seat]), seat
        self.root = np.eye(3, 4)
        body = sitter.body
        self.moves = body.stand(sitter.joints.turns(self.angles), self.root)
        self.points = body.smooth @ body.skin(self.moves)
        self.looks = normals(self.points, body.triangles)
        legs = np.concatenate([sitter.faces(*LEG, side=f".{side}") for side in "RL"])
        used = np.unique(body.triangles[legs])[::3]
        self.skin = Surface(self.points[used], self.looks[used])
        self.owners = {"own": Owner(sitter, self.angles, self.root)}
        if helper is not None:
            angles, degrees, off = BESIDE[seat]
            turned = turn(Z, degrees)
            at = self.place(np.zeros(2))[0] + np.array(off)
            self.owners["helper"] = Owner(helper, angles, np.c_[turned, at])

    @cached_property
    def legs(self) -> Scene:
        """The legs and what they lie on."""
        return _legs(self)

    def owner(self, told: Mapping[str, Any]) -> Owner:
        """Whose hands a layout is about."""
        return self.owners[told.get("by", "own")]

    def place(self, where: Floats, *, around: bool = False) -> tuple[Floats, Floats]:
        """A place of the knee in space, and which way its skin looks."""
        knee = self.sitter.knee
        found = knee.round_places(where) if around else knee.places(where)
        return knee.at(found, self.points)[0], unit(knee.at(found, self.looks)[0])


HELPER = Build("man", age=0.35, weight=0.5, muscle=0.5)


class Room:
    """A person of some build and a helper, by each seat."""

    def __init__(self, source: Source, build: Build) -> None:
        self.sitter, self._helper = Sitter(source, build), Sitter(source, HELPER)
        self._seats: dict[str, Seated] = {}

    def seated(self, seat: str) -> Seated:
        """The person as they sit."""
        if seat not in self._seats:
            self._seats[seat] = Seated(self.sitter, seat, self._helper)
        return self._seats[seat]


def find(
    seated: Seated, told: Mapping[str, Any], eye: Floats, rounds: int = 2, *, most: int = 100,
    firm: float = 1.0,
) -> dict[str, Any]:  # fmt: skip
    """The angles of both arms for a layout, the kneecap in sight of the `eye` as far as the pads
    let it; the second round keeps the hands out of each other.
    `most` is how many steps each search may take, whatever the layout says; pads are pulled to
    their places `firm` times as much as it says."""
    owner = seated.owner(told)
    sitter = owner.sitter
    before = _before(told)
    found: dict[str, Any] = owner.angles | dict(told.get("found", {}))
    for turn_number in range(rounds):
        for side, hand in told["hands"].items():
            other = "L" if side == "R" else "R"
            rest = {k: v for k, v in found.items() if not _of_arm(k, side)}
            out_of = [seated.skin]
            if other in told["hands"] and (turn_number or "found" in told):
                out_of.append(_hand_surface(sitter, found, owner.root, other))
            contacts = [
                replace(one, weight=one.weight * firm) for one in _contacts(seated, hand)
            ] + _contacts(seated, hand, "near")
            begin: dict[str, Any] = {f"{k}.{side}": v for k, v in RELAXED.items()}
            begin |= {f"{k}.{side}": v for k, v in hand.get("start", {}).items()}
            begin[f"shoulder.{side}"] = hand.get("shoulder", SHOULDERS[side])
            begin |= {k: v for k, v in before.items() if _of_arm(k, side)}
            if turn_number:
                begin |= {k: v for k, v in found.items() if _of_arm(k, side)}
            aim = {
                name: (hand[name][:3], hand[name][3])
                for name in ("back", "fingers")
                if name in hand
            }
            made, cost = Arm(sitter.joints, sitter.pads, side).bring(
                rest, owner.root, begin, contacts, out_of=out_of,
                laid=hand.get("laid", {}), aim=aim, clear=in_sight(seated, eye),
                rounds=min(hand.get("rounds", 30), most),
            )  # fmt: skip
            found |= made
            print(f"  {side} {cost:.1f}", flush=True)
    return {k: v for k, v in found.items() if k not in owner.angles}


def in_sight(seated: Seated, eye: Floats) -> InSight:
    """The kneecap as an eye sees it."""
    middle, up = seated.place(np.zeros(2))
    ahead = seated.place(np.array([0.0, 8.0]))[0] - middle
    hip = unit(ahead - up * (ahead @ up))
    halves = np.stack([np.cross(hip, up) * HALF_WIDE_MM, hip * HALF_HIGH_MM]) / 1000
    return InSight(eye, middle, halves)


def touching(contacts: Mapping[str, float]) -> bool:
    """Whether every pad touches its place, a little nearer than a stored picture is held to."""
    pads = [(what, gap) for what, gap in contacts.items() if not what.startswith("deepest")]
    return all(gap < (11.5 if what.startswith("palm") else 2.8) for what, gap in pads)


def sunk(contacts: Mapping[str, float]) -> bool:
    """Whether a hand sinks in, as little."""
    return any(value < -3.8 for what, value in contacts.items() if what.startswith("deepest"))


def _contacts(seated: Seated, hand: Mapping[str, Any], what: str = "touch") -> list[Contact]:
    """The contacts of one hand; `lift` is how far (mm) over the flat skin a pad is held: a palm
    that lies on a round thigh, pads that have a fold of skin between them. What is `near` only
    pulls: a palm that keeps off the kneecap."""
    made = []
    for pad, spot in touches(hand.get(what, {}), seated.sitter.knee).items():
        told = hand[what][pad]
        place, looks = seated.place(spot, around=told.get("round", False))
        free = pad == "palm" or told.get("free", False)
        lifted = place + looks * (told.get("lift", 0.0) / 1000)
        weight, flat = told.get("weight", 1.6), told.get("turned", 1.0)
        made.append(Contact(pad, lifted, None if free else looks, weight, flat))
    return made


def _before(told: Mapping[str, Any]) -> Mapping[str, Any]:
    """Where the search begins: at what was found before, or at a layout this one goes on from."""
    if "found" in told or "from" not in told:
        made: Mapping[str, Any] = told.get("found", {})
        return made
    found: Mapping[str, Any] = posed(LAYOUTS / f"{told['from']}.json", told["body"])["found"]
    return found


def _of_arm(name: str, side: str) -> bool:
    leg = ("hip", "knee", "ankle", "abduct", "roll", "toes")
    return name.endswith(f".{side}") and name.partition(".")[0] not in leg


def _hand_surface(sitter: Sitter, angles: Mapping[str, Any], root: Floats, side: str) -> Surface:
    body = sitter.body
    skin = body.skin(body.stand(sitter.joints.turns(angles), root))
    own = np.nonzero(body.bones_with("wrist", "meta", "finger", side=f".{side}")[body.owner])[0]
    faces = body.quads
    looks = normals(skin, np.concatenate([faces[:, [0, 1, 2]], faces[:, [0, 2, 3]]]))
    return Surface(skin[own], looks[own])


def contacts_of(seated: Seated, told: Mapping[str, Any]) -> dict[str, float]:
    """How far each named pad is from its landmark on the skin that is drawn, in mm, and how deep
    each hand sinks in at most (below 0)."""
    owner = seated.owner(told)
    sitter, body = owner.sitter, owner.sitter.body
    points = body.smooth @ body.skin(owner.moves(told["found"]))
    made = {}
    for side, hand in told["hands"].items():
        for one in _contacts(seated, hand):
            gap = np.linalg.norm(points[sitter.pads.points[one.pad, side]] - one.place)
            made[f"{one.pad}.{side}"] = round(float(gap) * 1000, 1)
        own = np.unique(body.triangles[sitter.faces("wrist", "meta", "finger", side=f".{side}")])
        deep = float(seated.skin.above(points[own]).min()) * 1000
        made[f"deepest.{side}"] = round(deep, 1)
    return made


def named_place(spot: Floats) -> str:
    """What a place of the knee is called, from where it lies (mm to the outer side and the hip)."""
    x, y = float(spot[0]), float(spot[1])
    if y > 30:
        return "above" if abs(x) <= 25 else "thigh_outer" if x > 0 else "thigh_inner"
    if y < -34:
        return "band" if abs(x) <= 12 else "outer_hollow" if x > 0 else "inner_hollow"
    angle = np.degrees(np.arctan2(x / HALF_WIDE_MM, y / HALF_HIGH_MM)) % 360
    return _SECTORS[round(float(angle) / 45) % 8]


_SECTORS = (
    "upper", "upper_outer", "outer", "lower_outer", "lower", "lower_inner", "inner", "upper_inner",
)  # fmt: skip


def touch_words(told: Mapping[str, Any], knee: Knee) -> list[list[str]]:
    """Hand, digit and place of each pad; two side by side are on the edge that is between them."""
    plain = {
        side: {
            pad: {k: v for k, v in where.items() if k != "beside"}
            for pad, where in hand["touch"].items()
        }
        for side, hand in told["hands"].items()
    }
    return [
        [side, pad, named_place(spot)]
        for side, touch in plain.items()
        for pad, spot in touches(touch, knee).items()
    ]


def way_words(told: Mapping[str, Any], knee: Knee) -> list[list[str]]:
    """How each arrow goes and where it ends."""
    made = []
    for arrow in told.get("arrows", []):
        kind = "round" if "round" in arrow else arrow.get("is", "go")
        made.append([kind, named_place(arrow_way(knee, arrow)[-1])])
    return made


def cut(
    points: Floats, looks: Floats, faces: Ints, value: Floats, limit: float
) -> tuple[Floats, Floats, Ints, Ints]:
    """Faces cut where a value passes a limit: all points and directions, faces below, above."""
    over = value - limit
    up = over[faces] > 0
    count = up.sum(1)
    mixed = (count > 0) & (count < 3)
    corners, raised = faces[mixed], up[mixed]
    alone = raised.sum(1) == 1
    tip = np.where(alone, raised.argmax(1), (~raised).argmax(1))
    row = np.arange(len(corners))
    a, b, c = (corners[row, (tip + k) % 3] for k in range(3))
    new_points, new_looks = [points], [looks]
    for end in (b, c):
        share = (over[a] / (over[a] - over[end]))[:, None]
        new_points.append(points[a] + share * (points[end] - points[a]))
        new_looks.append(looks[a] + share * (looks[end] - looks[a]))
    p, q = len(points) + row, len(points) + len(row) + row
    tips = np.stack([a, p, q], 1)
    rests = np.concatenate([np.stack([p, b, c], 1), np.stack([p, c, q], 1)])
    above = np.concatenate([faces[count == 3], tips[alone], rests[np.tile(~alone, 2)]])
    below = np.concatenate([faces[count == 0], tips[~alone], rests[np.tile(alone, 2)]])
    return np.concatenate(new_points), np.concatenate(new_looks), below, above


@dataclass(frozen=True)
class Eye:
    """What is seen of the knee: a frame on the page (left, top, width, height in mm, the middle of
    the kneecap at 0, 0), how large against life, and which way on the bed is up on the page."""

    frame: tuple[float, float, float, float]
    up: tuple[float, float, float]
    share: float = 1.0
    bent: bool = False

    def camera(self, seated: Seated, by: str) -> Camera:
        """From the eyes of the person, or of the helper."""
        owner = seated.owners[by]
        body, moves = owner.sitter.body, owner.moves({})
        eye = (body.joint(moves, "eye.R") + body.joint(moves, "eye.L")) / 2
        middle, _ = seated.place(np.zeros(2))
        left, top, wide, high = self.frame
        if self.bent:
            eye = eye + np.array([0.0, -0.3, 0.05])
        up = np.array(self.up)
        across, down = (left + wide / 2) / 1000, (top + high / 2) / 1000
        target = middle + (np.cross(up, Z) * across - up * down) / self.share
        size = (int((wide + 2 * EDGE_MM) / UNIT_MM), int((high + 2 * EDGE_MM) / UNIT_MM))
        return Camera(eye, target, up, size, self.share * 1000 / UNIT_MM, near=True)


EYES: dict[tuple[str, str], Eye] = {
    ("own", "long"): Eye(FRAME_MM, (0, -1, 0)),
    ("own", "upright"): Eye((-120, -110, 240, 277), (0, -1, 0), 0.8),
    ("own", "bent"): Eye(FRAME_MM, (0, -1, 0), bent=True),
    ("helper", "long"): Eye((-150, -100, 300, 220), (1, 0, 0)),
    ("helper", "upright"): Eye((-205, -100, 300, 220), (1, 0, 0), 0.9),
    ("helper", "bent"): Eye((-120, -130, 240, 260), (0, 1, 0)),
}


def own_camera(seated: Seated, moves: Floats) -> Camera:
    """From the person's own eyes: the foot is up; what is shown, and nothing beyond."""
    body = seated.sitter.body
    eye = (body.joint(moves, "eye.R") + body.joint(moves, "eye.L")) / 2
    middle, _ = seated.place(np.zeros(2))
    wide, high = (int(one / UNIT_MM) for one in FRAME_MM[2:])
    off = (FRAME_MM[1] + FRAME_MM[3] / 2) / 1000
    target = middle + np.array([0.0, off, 0.0])
    return Camera(eye, target, np.array([0.0, -1.0, 0.0]), (wide, high), 1000 / UNIT_MM, near=True)


def ground_name(told: Mapping[str, Any]) -> str:
    """The file with what lies under the hands of a layout: every still of one seat shares it."""
    return f"{told.get('by', 'own')}_{told['seat']}_{told['body']}"


def _legs(seated: Seated) -> Scene:
    """The legs and what they lie on."""
    scene = Scene()
    if seated.seat != "bent":
        under = _under_knee(seated)
        look = Look("towel", "paper", "leg", inner=False)
        radius = 0.036
        at = under - np.array([0.0, 0.0, radius])
        half = np.array([0.16, 0.0, 0.0])
        for k in range(-8, 8):  # short pieces: a long triangle is slow to look at
            scene.add(look, *rod(at + half * k / 8, at + half * (k + 1) / 8, radius))
    for side in "LR":
        bare_leg(
            scene, seated.sitter, seated.points, seated.looks, side, HEMS[seated.seat],
            tight=seated.seat == "bent",
        )  # fmt: skip
    return scene


def _under_knee(seated: Seated) -> Floats:
    """The lowest skin under the middle of the kneecap."""
    middle, _ = seated.place(np.zeros(2))
    near = np.linalg.norm(seated.points[:, :2] - middle[:2], axis=1) < 0.03
    low = seated.points[near]
    made: Floats = low[low[:, 2].argmin()]
    return made


def draw_ground(seated: Seated, by: str, body: str) -> str:
    """The text of the legs of one seat without hands."""
    eye = EYES[by, seated.seat]
    camera = eye.camera(seated, by)
    scene, knee, points = seated.legs.over(), seated.sitter.knee, seated.points
    for x in (-7.0, 7.0):
        band = np.array([[x * (1 + 0.2 * k), y] for k, y in enumerate((-31.0, -45.0, -60.0))])
        scene.curve(knee.at(knee.places(band), points), "nail", "band", near=0.004)
    arc = np.linspace(200, 340, 15)
    bump = np.stack([14 * np.cos(np.radians(arc)), BUMP_MM + 4 + 9 * np.sin(np.radians(arc))], 1)
    scene.curve(knee.at(knee.places(bump), points), "bone", "bump", near=0.004)
    still = Still(camera.size, UNIT_MM)
    paint(camera, scene, still)
    middle, _ = seated.place(np.zeros(2))
    return still.text(
        figure="ground", steps=[], pose=ground_digest(by, seated.seat, body),
        build=seated.sitter.body.build.sex,
        origin=rounded(camera.project(middle[None])[0, :2]),
        edge_mm=EDGE_MM,
        places=named_ends(seated, camera),
    )  # fmt: skip


def ground_digest(by: str, seat: str, body: str) -> str:
    """A short name for all that a ground is drawn from."""
    told = [SEATS[seat], BESIDE[seat], asdict(EYES[by, seat]), asdict(BODIES[body])]
    return digest(json.dumps(told))


def rounded(point: Floats) -> list[float]:
    """A place on the page, to a tenth of a unit."""
    return [round(float(one), 1) for one in point]


def named_ends(seated: Seated, camera: Camera) -> dict[str, list[float]]:
    """Which way hip, foot, inner and outer side lie from the kneecap on the page."""
    middle, _ = seated.place(np.zeros(2))
    knee = seated.sitter.knee
    ways = {"hip": (0.0, 40.0), "foot": (0.0, -40.0), "outer": (20.0, 0.0), "inner": (-20.0, 0.0)}
    start = camera.project(middle[None])[0, :2]
    made = {}
    for name, way in ways.items():
        at = knee.at(knee.places(np.array(way)), seated.points)
        made[name] = rounded(units(camera.project(at)[:, :2] - start)[0] * 100)
    return made


def hands_scene(seated: Seated, told: Mapping[str, Any]) -> Scene:
    """The knee with the hands of a layout where they were found."""
    scene = seated.legs.over()
    owner = seated.owner(told)
    sitter, body = owner.sitter, owner.sitter.body
    skin = body.skin(owner.moves(told["found"]))
    points = body.smooth @ skin
    looks = normals(points, body.triangles)
    camera = EYES[told.get("by", "own"), told["seat"]].camera(seated, told.get("by", "own"))
    if "fold" in told:
        fold, faces = _fold(seated, told["fold"])
        scene.add(Look("foldS", "limb", "leg"), fold, faces)
    for side in told["hands"]:
        pads = tuple(told["hands"][side]["touch"])
        press = "skin" if told.get("lifted") else "limb"
        draw_hand(scene, sitter, points, looks, side, pads, sleeve="by" in told, press=press)
        draw_nails(scene, sitter, camera, skin, side)
    return scene


def _fold(seated: Seated, told: Mapping[str, Any]) -> tuple[Floats, Ints]:
    """A fold of skin that is held up: a ridge `long` and `high` mm, along a way of the knee."""
    middle, up = seated.place(np.array(told["at"], float))
    ahead = seated.place(np.array(told["at"], float) + 8 * np.array(told["along"], float))[0]
    along = unit(ahead - middle)
    across = unit(np.cross(up, along))
    up = np.cross(along, across)
    run = np.linspace(-1, 1, 41)[:, None, None]
    round_ = np.linspace(0, np.pi, 25)[None, :, None]
    swell = np.sqrt(np.maximum(1 - run**2, 0)) ** 1.4
    high, wide, long = (float(told[one]) / 1000 for one in ("high", "wide", "long"))
    points = (
        middle
        + along * run * long / 2
        + across * np.cos(round_) * wide * np.sqrt(swell) * (0.9 - 0.4 * np.sin(round_))
        + up * (np.sin(round_) ** 0.8 * high * swell - 0.002)
    )
    grid = np.arange(41 * 25).reshape(41, 25)
    a, b, c, d = grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]
    faces = np.concatenate([np.stack([a, c, b], -1), np.stack([a, d, c], -1)]).reshape(-1, 3)
    made: Floats = points.reshape(-1, 3)
    return made, faces


def _next(path: Path, body: str) -> dict[str, Any] | None:
    """The layout that this one moves on to: the next number, from the last one the first."""
    if body not in MOVING:
        return None
    lead, _, number = path.stem.rpartition("_")
    for one in (int(number) + 1, 1):
        then = path.with_name(f"{lead}_{one}.json")
        if then != path and then.exists():
            return posed(then, body)
    return None


def draw_layout(seated: Seated, name: str) -> str:
    """The text of one figure: the hands alone, over the ground of their seat."""
    path, body = figures()[name]
    told = posed(path, body)
    by = told.get("by", "own")
    camera = EYES[by, told["seat"]].camera(seated, by)
    scene, knee, points = hands_scene(seated, told), seated.sitter.knee, seated.points
    rim = knee.at(knee.places(knee.rim(np.linspace(0, 360, 73))), points)
    scene.curve(rim, "bone", "kneecap", hidden="dashed", near=0.004)
    for line in told.get("folds", []):
        fold = knee.at(knee.places(np.array(line, float)), points)
        scene.curve(resmooth(fold), "bone", "fold", near=0.02)
    still = Still(camera.size, UNIT_MM)
    hands = [
        look.name for look in scene.looks if look.name[:-1] in ("hand", "pads", "sleeve", "fold")
    ]
    view = paint(camera, scene, still, only=hands)
    then = _next(path, body)
    on: dict[str, Any] = {"seconds": told.get("seconds", KEY_SECONDS)}
    if then is not None:
        on["onward"] = onward(camera, scene, view, still, hands_scene(seated, then))
    if "sway" in told:
        on["sway"] = packed(_sway(seated, camera, told["sway"]))
        on["seconds"] = told["sway"]["seconds"]
        on["carried"] = told["sway"].get("carried", False)
    for arrow in told.get("arrows", []):
        way = knee.at(knee.places(arrow_way(knee, arrow)), points)
        flat = fewer(camera.project(way)[:, :2], 0.6)
        still.items.append(["a", arrow.get("is", "go"), "arrow", packed(flat)])
    for at, tail in _presses(seated, told, camera, view, scene):
        still.items.append(["p", "press", "press", packed(np.array([tail, at]))])
    return still.text(
        figure=name.rpartition("_")[0], ground=ground_name(told), steps=told.get("steps", []),
        pose=digest(json.dumps(told)), build=seated.sitter.body.build.sex,
        touch=[] if told.get("lifted") else touch_words(told, knee), ways=way_words(told, knee),
        contacts={} if told.get("lifted") else contacts_of(seated, told), **on,
    )  # fmt: skip


KEY_SECONDS = 0.75
"""From one key of a movement to the next (C: a glide along an edge in three seconds, slowly)."""


def _sway(seated: Seated, camera: Camera, told: Mapping[str, Any]) -> Floats:
    """How hands that stay on one spot move with what is under them, in units of the page: a
    small circle, or along a line of the knee and back."""
    knee = seated.sitter.knee
    if "radius" in told:
        begin, end = told["arc"]
        angle = np.radians(np.linspace(begin, end, 25))
        spots = told["radius"] * np.stack([np.cos(angle), np.sin(angle)], 1)
    else:
        spots = np.array(told["line"], float)
    at = camera.project(knee.at(knee.places(np.r_[np.zeros((1, 2)), spots]), seated.points))
    made: Floats = at[1:, :2] - at[1, :2]
    return made


BESIDE_MM = 26.0
"""Pads nearer to each other than this are shown to press as one."""


def _presses(
    seated: Seated, told: Mapping[str, Any], camera: Camera, view: Seen, scene: Scene
) -> list[tuple[Floats, Floats]]:
    """Where a press is shown: its point near the pads of a hand, its tail over bare skin."""
    if told.get("lifted") or "fold" in told:
        return []
    hands = [i for i, one in enumerate(scene.looks) if one.name[:-1] in ("hand", "pads", "sleeve")]
    covered = np.isin(view.group, hands)
    middle = camera.project(seated.place(np.zeros(2))[0][None])[0, :2]
    groups: list[list[Floats]] = []
    for hand in told["hands"].values():
        for one in _contacts(seated, hand):
            at = camera.project(one.place[None])[0, :2]
            near = [g for g in groups if np.linalg.norm(np.mean(g, 0) - at) * UNIT_MM < BESIDE_MM]
            if one.pad == "palm":
                continue
            if near:
                near[0].append(at)
            else:
                groups.append([at])
    made = []
    for spot in [np.mean(group, 0) for group in groups]:
        best, most = None, -np.inf
        for degrees in range(0, 360, 15):
            way = np.array([np.cos(np.radians(degrees)), np.sin(np.radians(degrees))])
            run = spot + np.outer(np.linspace(9, 32, 24) / UNIT_MM, way)
            x, y = (np.clip(run[:, k].astype(int), 0, camera.size[k] - 1) for k in (0, 1))
            away = unit(spot - middle) @ way
            score = float((~covered[y, x]).sum()) + 5 * away
            if score > most and away > 0.25:
                best, most = way, score
        if best is not None:
            made.append((spot + best * 9 / UNIT_MM, spot + best * 32 / UNIT_MM))
    return made


def draw_hand(
    scene: Scene, sitter: Sitter, points: Floats, looks: Floats, side: str, pads: tuple[str, ...],
    *, sleeve: bool = False, press: str = "limb",
) -> None:  # fmt: skip
    """One arm, the ends of the digits that touch in a tone of their own; a helper's is sleeved."""
    body = sitter.body
    faces = body.triangles[sitter.faces(*ARM, side=f".{side}")]
    if sleeve:
        rest = body.smooth @ body.rest
        elbow, wrist = body.at(f"lowerarm01.{side}"), body.at(f"wrist.{side}")
        down = (rest - elbow) @ (wrist - elbow) / ((wrist - elbow) @ (wrist - elbow))
        points, looks, cloth, faces = cut(points, looks, faces, down, CUFF)
        look = Look(f"sleeve{side}", "cloth", "hand", inner=False)
        scene.add(look, points + units(looks) * 0.007, cloth, looks)
    ends = [body.number[finger_bones(one, side)[2]] for one in pads if one != "palm"]
    toned = body.smooth @ np.asarray(body.held[:, ends].sum(1)).ravel()
    toned = np.r_[toned, np.zeros(len(points) - len(toned))]
    made, dirs, hand, tips = cut(points, looks, faces, toned, 0.5)
    scene.add(Look(f"hand{side}", "skin", "hand"), made, hand, dirs)
    if len(tips):
        look = Look(f"pads{side}", press, "", part_of=f"hand{side}")
        scene.add(look, made, tips, dirs)


def draw_nails(scene: Scene, sitter: Sitter, camera: Camera, skin: Floats, side: str) -> None:
    """The nails of one hand that the eye sees."""
    quads = sitter.body.quads
    plain = normals(skin, np.concatenate([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]]))
    for finger in FINGERS:
        line = sitter.nails[finger, side]
        if len(line) > 4 and _faces_eye(camera, skin[line], plain[line]):
            edge = _round(skin[line] + plain[line] * 0.0004)
            scene.curve(edge, "nail", f"nail{side}", near=0.002)


def arrow_way(knee: Knee, arrow: Mapping[str, Any]) -> Floats:
    """An arrow in the knee's frame, in mm: along the kneecap's edge, round a spot, or a line."""
    if "rim" in arrow:
        begin, end = arrow["rim"]
        return knee.rim(np.linspace(begin, end, 30), arrow.get("wider", 1.0))
    if "round" in arrow:
        begin, end = arrow["arc"]
        angle = np.radians(np.linspace(begin, end, 40))
        made: Floats = np.array(arrow["round"], float) + arrow["radius"] * np.stack(
            [np.cos(angle), np.sin(angle)], 1
        )
        return made
    line = np.array(arrow["line"], float)
    at = np.linspace(0, len(line) - 1, 24)
    return np.stack([np.interp(at, np.arange(len(line)), line[:, k]) for k in (0, 1)], 1)


def resmooth(line: Floats) -> Floats:
    """A line of few points as an even curve."""
    at = np.linspace(0, len(line) - 1, 40)
    even = np.stack([np.interp(at, np.arange(len(line)), line[:, k]) for k in range(3)], 1)
    return smoothed(even, 4.0)


def bare_leg(
    scene: Scene, sitter: Sitter, points: Floats, looks: Floats, side: str, hem: float = SHORTS,
    *, tight: bool = False,
) -> None:  # fmt: skip
    """One leg with the hem of its shorts and the cuff of its sock; a `tight` hem lies close to
    the skin, where an eye would look in under it."""
    body = sitter.body
    rest = body.smooth @ body.rest
    knee, hip = body.at(f"lowerleg01.{side}"), body.at(f"upperleg01.{side}")
    ankle = body.at(f"foot.{side}")
    down = (rest - hip) @ (knee - hip) / ((knee - hip) @ (knee - hip))
    low = (rest - knee) @ (ankle - knee) / ((ankle - knee) @ (ankle - knee))
    faces = body.triangles[sitter.faces(*LEG, side=f".{side}")]
    made, dirs, shorts, bare = cut(points, looks, faces, down, hem)
    more = np.concatenate([low, np.zeros(len(made) - len(low))])
    look = Look(f"shorts{side}", "cloth", "leg", inner=False)
    high = np.clip((hem - np.r_[down, np.full(len(made) - len(down), hem)]) / 0.12, 0.0, 1.0)
    off = 0.002 + 0.007 * high if tight else np.full(len(made), 0.009)
    scene.add(look, made + units(dirs) * off[:, None], shorts, dirs)
    made, dirs, bare, sock = cut(made, dirs, bare, more, 0.30)
    scene.add(Look(f"leg{side}", "skin", "leg"), made, bare, dirs)
    look = Look(f"sock{side}", "cloth", "leg", inner=False)
    scene.add(look, made + units(dirs) * 0.006, sock, dirs)


def _faces_eye(camera: Camera, points: Floats, looks: Floats) -> bool:
    return bool((looks * units(camera.towards(points))).sum(1).mean() > 0.22)


def _round(line: Floats) -> Floats:
    """A closed border as an even curve."""
    closed = np.r_[line, line[:1]]
    at = np.linspace(0, len(line), 60)
    even = np.stack([np.interp(at, np.arange(len(closed)), closed[:, k]) for k in range(3)], 1)
    even = smoothed(even[:-1], 2.6, closed=True)
    made: Floats = np.concatenate([even, even[:1]])
    return made


def layouts() -> dict[str, Path]:
    """Every layout by its name."""
    return {path.stem: path for path in sorted(LAYOUTS.glob("*.json"))}


def posed(path: Path, body: str) -> dict[str, Any]:
    """A layout as it is for one body, with the angles that were found for it, if any."""
    told: dict[str, Any] = json.loads(path.read_text("utf-8"))
    found = told.pop("found", {})
    if body in found:
        told["found"] = found[body]
    return told | {"body": body}


def keys_of(body: str) -> dict[str, list[Path]]:
    """What is drawn of each technique on a body, in order: all keys of its movement where that is
    drawn too, else where the hands begin and where they end."""
    made: dict[str, list[Path]] = {}
    for path in layouts().values():
        made.setdefault(path.stem.rpartition("_")[0], []).append(path)
    if body in MOVING:
        return made
    return {lead: _ends(paths) for lead, paths in made.items()}


def _ends(paths: list[Path]) -> list[Path]:
    laid = [one for one in paths if not json.loads(one.read_text("utf-8")).get("lifted")]
    return [laid[0], *laid[1:][-1:]]


def figures() -> dict[str, tuple[Path, str]]:
    """Every figure of hands by its name: its layout, and on whose knee."""
    return {
        f"{lead}_{body}_{number}": (path, body)
        for body in BODIES
        for lead, paths in keys_of(body).items()
        for number, path in enumerate(paths, 1)
    }
