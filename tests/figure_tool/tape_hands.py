"""One hand alone, as it holds, presses or rubs tape at a knee: layouts in `poses/tape/*.json`.

Each is drawn without the leg, which only hides what is behind it; the program lays leg, tape and
hands over each other, and moves a hand to where the tape of a plan is. So a layout names one
contact, the place of the knee that the hand goes with.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from tests.figure_tool.body import Build, Floats, normals, turn
from tests.figure_tool.joints import Z
from tests.figure_tool.knees import (
    FRAME_MM,
    HELPER,
    LEG,
    UNIT_MM,
    Owner,
    Seated,
    Sitter,
    contacts_of,
    draw_hand,
    draw_nails,
    touches,
)
from tests.figure_tool.lines import Camera
from tests.figure_tool.scene import Look, Scene, Still, digest, paint
from tests.figure_tool.skins import camera_of
from tests.figure_tool.source import HERE, Source

TAPE_HANDS = HERE / "poses" / "tape"
SPARE_MM = 24.0
"""So much more than the frame of a picture is drawn, for a hand is moved to where the tape is."""


KNEELS = {"hip.R": 80, "hip.L": 80, "knee.R": 110, "knee.L": 110, "lean": 30, "nod": 20}
KNEELS_AT = (-0.09, -0.56, -0.13)
"""How a helper kneels at the foot end, and where: metres from the kneecap (left, hip, up)."""


class Helping(Seated):
    """A helper at the knee of somebody seated: the hands are theirs, the knee is not."""

    def __init__(self, seated: Seated, helper: Sitter) -> None:
        self.seated, self.sitter, self.angles = seated, helper, dict(KNEELS)
        at = seated.place(np.zeros(2))[0] + np.array(KNEELS_AT)
        self.root = np.c_[turn(Z, 180), at]
        self.owners = {"own": Owner(helper, self.angles, self.root)}
        self.points, self.looks, self.skin = seated.points, seated.looks, seated.skin

    def place(self, where: Floats, *, around: bool = False) -> tuple[Floats, Floats]:
        """A place of the knee in space, and which way its skin looks."""
        return self.seated.place(where, around=around)


class Hands:
    """Whoever lays tape, by whose eyes see it."""

    def __init__(self, source: Source) -> None:
        self._source, self._found = source, dict[str, Seated]()

    def at(self, told: Mapping[str, Any]) -> Seated:
        """The person of this layout, or their helper."""
        if told["seen"] not in self._found:
            own = Seated(Sitter(self._source, Build()), told["seat"])
            made = own if told["seen"] == "own" else Helping(own, Sitter(self._source, HELPER))
            self._found[told["seen"]] = made
        return self._found[told["seen"]]

    def person(self, told: Mapping[str, Any]) -> Seated:
        """Whose knee it is."""
        seated = self.at(told)
        return seated.seated if isinstance(seated, Helping) else seated


def tape_hands() -> dict[str, Path]:
    """Every layout by its name: whose eyes, what is done, which hand."""
    return {f"tape_{path.stem}": path for path in sorted(TAPE_HANDS.glob("*.json"))}


def draw_tape_hand(seated: Seated, path: Path) -> dict[str, str]:
    """The file of one layout, its name and text."""
    text = path.read_text("utf-8")
    told = json.loads(text)
    sitter = seated.sitter
    ((side, hand),) = told["hands"].items()
    body, joints = sitter.body, sitter.joints
    moves = body.stand(joints.turns(seated.angles | told["found"]), seated.root)
    skin = body.skin(moves)
    points = body.smooth @ skin
    looks = normals(points, body.triangles)
    person = seated.seated if isinstance(seated, Helping) else seated
    camera = _wider(camera_of(person, told["seen"]), told.get("spare", SPARE_MM))
    scene = Scene()
    for leg in "LR":
        hidden = Look(f"leg{leg}", "", "", inner=False)
        faces = person.sitter.body.triangles[person.sitter.faces(*LEG, side=f".{leg}")]
        scene.add(hidden, person.points, faces, person.looks)
    draw_hand(scene, sitter, points, looks, side, tuple(hand["touch"]))
    draw_nails(scene, sitter, camera, skin, side)
    still = Still(camera.size, UNIT_MM)
    paint(camera, scene, still)
    place = _place(told, sitter, hand)
    pads = np.array([points[sitter.pads.points[pad, side]] for pad in hand["touch"]])
    spots = [seated.place(np.zeros(2))[0], seated.place(np.array(place))[0], pads.mean(0)]
    seen = camera.project(np.array(spots))[:, :2]
    origin, at, fingers = ([round(float(one), 1) for one in row] for row in seen)
    return {
        f"tape_{path.stem}_1": still.text(
            figure=f"tape_{path.stem}", steps=[], pose=digest(text), build=body.build.sex,
            origin=origin, touch=[[side, pad, told["does"]] for pad in hand["touch"]],
            hand={"at": at, "pads": fingers, "place": [-place[0], place[1]]},
            contacts=contacts_of(seated, told),
        )
    }  # fmt: skip


def _place(told: Mapping[str, Any], sitter: Sitter, hand: Mapping[str, Any]) -> list[float]:
    """The place of the knee the hand goes with: to the outer side and to the hip, in mm."""
    spots = np.array(list(touches(hand["touch"], sitter.knee).values()))
    return [round(float(one), 1) for one in told.get("place", spots.mean(0).tolist())]


def _wider(camera: Camera, spare: float) -> Camera:
    wide, high = (int((one + 2 * spare) / UNIT_MM) for one in FRAME_MM[2:])
    return Camera(camera.eye, camera.target, camera.up, (wide, high), camera.scale, near=True)
