"""Whole people: every exercise and check move is drawn, for both legs, in words too."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import get_args

import pytest

from companion.care.catalogue import ExerciseSheet, TechniqueSheet
from companion.care.records import Build, MoveName, Side
from companion.picture.drawing import Drawing
from companion.picture.hands_on import FRAMES_A_SECOND
from companion.picture.stored import figure_of
from companion.picture.views import Viewpoint
from companion.presentation.language.said import said_words
from companion.presentation.view.drawn_people import draw_person
from companion.presentation.view.figures import (
    chair_stand_picture,
    exercise_pictures,
    move_picture,
    shown_steps,
    technique_motion,
    technique_still,
    technique_stills,
)
from companion.services.settings import DrawnPerson
from companion.system.figures import stored_figures, stored_ground
from tests.builders import DRAWN_PEOPLE
from tests.care.content import CATALOGUE

SIDES: tuple[Side, ...] = get_args(Side)
BUILDS: tuple[Build, ...] = get_args(Build)
VIEWPOINTS: tuple[Viewpoint, ...] = get_args(Viewpoint)


@pytest.mark.parametrize("found", CATALOGUE.exercises, ids=lambda sheet: sheet.id)
def test_each_exercise_has_a_panel_for_each_step_with_its_verb_over_it(
    found: ExerciseSheet,
) -> None:
    for side in SIDES:
        drawings = exercise_pictures(found, side)
        told = [said_words(words.what) for drawing in drawings for words in drawing.words[:-1]]
        assert told == [f"{n} {step.verb}" for n, step in enumerate(found.steps, 1)]
        assert {said_words(one.words[-1].what) for one in drawings} == {f"{side.capitalize()} knee"}
        said = [said_words(drawing.description) for drawing in drawings]
        assert all(one.startswith(f"{found.title}. {side.capitalize()} knee") for one in said)
        assert all(step.verb in " ".join(said) for step in found.steps)


def test_each_check_move_but_the_own_one_is_drawn() -> None:
    for move in get_args(MoveName):
        assert (move_picture(move, "left") is None) == (move == "own")


def test_the_chair_stand_is_drawn() -> None:
    drawing = chair_stand_picture()
    assert drawing is not None
    assert "crossed arms" in said_words(drawing.description)


def pads(drawing: Drawing) -> complex:
    """The middle of the toned pads on the page; the middle of the kneecap is at 0."""
    points = [p for shape in drawing.shapes if shape.fill == "press" for p in shape.path.points]
    return sum(points) / len(points)


@pytest.fixture(params=DRAWN_PEOPLE)
def person(request: pytest.FixtureRequest) -> Iterator[DrawnPerson]:
    """Each of the people who may be drawn; a woman again when the test is over."""
    draw_person(request.param)
    yield request.param
    draw_person("woman")


@pytest.mark.parametrize("build", BUILDS)
@pytest.mark.parametrize("side", SIDES)
def test_inner_is_inner_and_a_glide_goes_towards_the_hip_on_every_body(
    side: Side, build: Build, person: DrawnPerson
) -> None:
    """In one's own view the hip is below and a right knee's inner side on the left; a helper who
    sits on the outer side has the inner side above and a right knee's hip on the left."""
    right = 1 if side == "right" else -1
    for name, inner in (("glide_inner_edge", 1), ("glide_outer_edge", -1)):
        sheet = CATALOGUE.technique(name)
        begins, ends = map(pads, technique_stills(sheet, side, "own", build=build)[-2:])
        assert -inner * right * begins.real > 8
        assert -inner * right * ends.real > 8
        assert ends.imag > begins.imag + 25
        begins, ends = map(pads, technique_stills(sheet, side, "helper", build=build)[-2:])
        assert -inner * begins.imag > 4
        assert -inner * ends.imag > 4
        assert right * (begins.real - ends.real) > 20


@pytest.mark.parametrize("build", BUILDS)
def test_a_stroke_of_the_thigh_goes_towards_the_hip_on_both_sides(
    build: Build, person: DrawnPerson
) -> None:
    """An arrow on a slim leg turned round and went towards the foot."""
    for seen in VIEWPOINTS:
        figure = stored_figures(f"{seen}_stroke_thigh_{person}_{build}")[0]
        hip = complex(*stored_ground(figure["ground"])["places"]["hip"])
        ways = figure_of(figure).arrows
        assert len(ways) == 2
        for _, way in ways:
            steps = [b - a for a, b in pairwise(way.chords)]
            assert all((step * hip.conjugate()).real > 0 for step in steps)


def test_who_is_drawn_is_who_was_set_and_builds_differ(person: DrawnPerson) -> None:
    sheet = CATALOGUE.technique("ease_across")
    knees = [technique_still(sheet, "right", "own", build=build).shapes for build in BUILDS]
    squat = move_picture("small_squat", "left")
    assert len(set(knees)) == len(BUILDS)
    draw_person(next(one for one in DRAWN_PEOPLE if one != person))
    other = [technique_still(sheet, "right", "own", build=build).shapes for build in BUILDS]
    assert not set(knees) & set(other)
    assert squat is not None
    assert squat != move_picture("small_squat", "left")


@pytest.mark.parametrize("sheet", CATALOGUE.techniques, ids=lambda sheet: sheet.id)
def test_a_technique_is_drawn_from_a_posed_body(sheet: TechniqueSheet) -> None:
    for side, seen in ((side, seen) for side in SIDES for seen in VIEWPOINTS):
        stills = technique_stills(sheet, side, seen)
        assert len(stills) == len(shown_steps(sheet))
        for drawing in stills:
            said = [said_words(words.what) for words in drawing.words]
            assert {"hip", "foot", "inner", "outer", f"{side.capitalize()} knee"} <= set(said)
            assert any(shape.role == "person" for shape in drawing.shapes)
        roles = {shape.role for shape in stills[-1].shapes}
        assert "arrow" in roles


@pytest.mark.parametrize("seen", VIEWPOINTS)
def test_a_glide_moves_calmly_along_its_edge_and_back(seen: Viewpoint) -> None:
    """Between two frames no pad goes farther than a calm hand does: 150 mm a second (C)."""
    sheet = CATALOGUE.technique("glide_inner_edge")
    loop = technique_motion(sheet, "left", seen)
    assert 3 < len(loop) / FRAMES_A_SECOND < 8
    places = [pads(loop[i]) for i in range(14, 14 + 2 * FRAMES_A_SECOND)]
    steps = [abs(b - a) for a, b in pairwise(places)]
    assert max(steps) < 150 / FRAMES_A_SECOND
    assert abs(places[-1] - places[0]) > 15


def test_wedges_say_how_hard() -> None:
    sheet = CATALOGUE.technique("glide_outer_edge")
    for count in (0, 1, 3):
        drawing = technique_still(sheet, "right", "helper", count)
        shown = [shape for shape in drawing.shapes if shape.name == "press"]
        assert len(shown) == count
    assert said_words(drawing.description).endswith("how hard to press: 3 of 3.")


def test_each_still_says_which_digit_of_which_hand_is_where() -> None:
    sheet = CATALOGUE.technique("ease_across")
    said = {side: said_words(technique_stills(sheet, side, "own")[0].description) for side in SIDES}
    assert "Right hand: thumb on the outer edge of the kneecap." in said["right"]
    assert "Left hand: index finger on the inner edge of the kneecap." in said["right"]
    assert "Left hand: thumb on the outer edge of the kneecap." in said["left"]
    assert "Right hand: index finger on the inner edge of the kneecap." in said["left"]
    one = technique_still(sheet, "left", "own")
    assert "The movement goes to and fro." in said_words(one.description)


def test_what_both_knees_do_is_named_after_neither() -> None:
    """On an evening of two knees a picture said "Right knee" under the heading of both."""
    for drawing in (
        move_picture("rise_from_chair", "right", of_both=True),
        *(
            one
            for sheet in CATALOGUE.exercises
            for one in exercise_pictures(sheet, "right", of_both=True)
        ),
    ):
        assert drawing is not None
        told = [
            said_words(drawing.description),
            *(said_words(words.what) for words in drawing.words),
        ]
        assert not any("right knee" in one.lower() for one in told)
