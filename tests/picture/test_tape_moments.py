"""Each moment of taping: which hands are drawn, what is said of them, and that both agree."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise, product
from typing import get_args

import pytest

from companion.care.catalogue import TapeMoment
from companion.care.records import Build, Side, Skin, TapePlan
from companion.picture.board import mirrored, taped
from companion.picture.drawing import Drawing
from companion.picture.knee import Knee, Named
from companion.picture.skin_marks import FINDINGS
from companion.picture.tape_moments import MOMENTS, REMOVAL, bent_shapes
from companion.picture.told import BESIDE, DIGITS, PLACES, Digit
from companion.picture.views import View, Viewpoint
from companion.presentation.language.said import said_words
from companion.presentation.view.figures import (
    finding_panels,
    hands,
    patch_picture,
    stored_knee,
    tape_panels,
    tape_picture,
)
from tests.care.content import CATALOGUE
from tests.picture.made import measures, plan

SIDES: tuple[Side, ...] = ("left", "right")
VIEWPOINTS: tuple[Viewpoint, ...] = ("own", "helper")
FROM_THE_FRONT: tuple[TapeMoment, ...] = (*MOMENTS, "rub", *REMOVAL)
BUILDS: tuple[Build, ...] = get_args(Build)
MOST_HIDDEN_MM = 20.0
"""Of the rim of a kneecap, some 130 mm round: a fingertip beside it may cover so much (C)."""


def hands_shown(picture: Drawing, side: Side) -> set[str]:
    """Whose hand each outline on the picture is, in words."""
    drawn = {(s.name or "")[-1] for s in picture.shapes if (s.name or "").startswith("hand")}
    return {"Right" if (one == "R") == (side == "right") else "Left" for one in drawn}


@pytest.mark.parametrize("moment", FROM_THE_FRONT)
@pytest.mark.parametrize("viewpoint", VIEWPOINTS)
@pytest.mark.parametrize("side", SIDES)
def test_what_is_said_of_hands_is_what_is_drawn(
    side: Side, viewpoint: Viewpoint, moment: TapeMoment
) -> None:
    """Each hand that is drawn is named once, on the right side, and no other."""
    for strip in (1, 2):
        picture = tape_picture(plan(side), side, 1, viewpoint, strip, moment)
        said = said_words(picture.description)
        for hand in ("Right", "Left"):
            shown = hand in hands_shown(picture, side)
            assert said.count(f"{hand} hand: ") == shown, (strip, said)
        pads = {(s.name or "")[-1] for s in picture.shapes if (s.name or "").startswith("pads")}
        assert len(pads) <= len(hands_shown(picture, side))


@pytest.mark.parametrize("build", BUILDS)
@pytest.mark.parametrize("viewpoint", VIEWPOINTS)
@pytest.mark.parametrize("side", SIDES)
def test_a_hand_that_presses_an_end_down_leaves_the_kneecap_bare(
    side: Side, viewpoint: Viewpoint, build: Build
) -> None:
    """A reader copies what is drawn: a hand on the kneecap would press on what is sore."""
    made = plan(side, knees=(replace(measures(side), build=build),))
    moments: tuple[TapeMoment, ...] = ("anchor", "hold")
    for strip, moment in product((1, 2), moments):
        picture = tape_picture(made, side, 1, viewpoint, strip, moment)
        through = [s.path.chords for s in picture.shapes if s.role == "bone" and s.dashed]
        hidden = sum(abs(b - a) for line in through for a, b in pairwise(line))
        assert hidden < MOST_HIDDEN_MM, (strip, moment, hidden)


def test_a_hand_says_the_digits_it_was_posed_with_and_where_it_is() -> None:
    said = said_words(tape_picture(plan(), "right", 1, "own", 1, "anchor").description)
    assert "Left hand: thumb and index finger, holding the strip" in said
    assert "Right hand: thumb, pressing its first end down on the bony bump" in said
    outer = said_words(tape_picture(plan("left"), "left", 1, "own", 2, "lay").description)
    assert "Left hand: thumb, laying it down beside the outer edge of the kneecap" in outer


def test_every_digit_and_place_has_its_words() -> None:
    assert set(DIGITS) == set(get_args(Digit))
    assert set(PLACES) == set(get_args(Named))
    assert set(BESIDE) < set(PLACES)


@pytest.mark.parametrize(
    ("at", "name"),
    [
        (21.5 + 0j, "inner"), (-21.5 + 0j, "outer"), (21.5j, "upper"), (-21.5j, "lower"),
        (15 + 15j, "upper_inner"), (-67.5j, "bump"), (-45j, "band"), (20 - 40j, "inner_hollow"),
        (10 + 50j, "above"), (-40 + 90j, "thigh_outer"),
    ],
)  # fmt: skip
def test_a_place_is_named_from_where_it_lies(at: complex, name: str) -> None:
    assert Knee().named(at) == name


@pytest.mark.parametrize("viewpoint", VIEWPOINTS)
def test_every_step_with_a_hand_in_it_has_its_panel(viewpoint: Viewpoint) -> None:
    """Cut and round, tear the paper, each strip, rub, bend, and taking off."""
    steps = CATALOGUE.tape_steps
    shown = tape_panels(plan(), "right", viewpoint, 1, steps.before)
    assert len(shown) == 2
    assert all({"handL", "handR"} <= {s.name for s in one.shapes} for one in shown)
    for stage in steps.stages:
        without = [one.verb for one in stage.steps if one.moment is None]
        assert set(without) <= {"Check the pieces"}
    off = tape_panels(plan(), "right", viewpoint, 1, steps.removal)
    assert len(off) == len(steps.removal)


@pytest.mark.parametrize("sex", ["woman", "man"])
@pytest.mark.parametrize("build", BUILDS)
@pytest.mark.parametrize("side", SIDES)
def test_a_bent_knee_keeps_its_tape_on_the_skin_of_every_body(
    side: Side, build: Build, sex: str
) -> None:
    """From the outer side the whole outer strip is in sight, on the leg, off the kneecap."""
    bare, bent = stored_knee("own", sex, build), stored_knee("side", sex, build, "bend")
    on = taped(Knee(), TapePlan(when="always", highest=1, width_mm=25), None, bare, 1)
    shapes = mirrored(bent_shapes(on, bent), side)
    strip = next(s.path for s in shapes if s.name == "strip-2")
    legs = [p for s in shapes if s.fill == "skin" for p in s.path.points]
    left, right = min(p.real for p in legs), max(p.real for p in legs)
    top, low = min(p.imag for p in legs), max(p.imag for p in legs)
    assert all(left < p.real < right and top - 2 < p.imag < low for p in strip.chords)
    (arrow,) = (s.path for s in shapes if s.role == "arrow" and s.weight == "heavy")
    assert (arrow.end - arrow.start).imag > 20  # the shin goes down


@pytest.mark.parametrize("viewpoint", VIEWPOINTS)
@pytest.mark.parametrize("side", SIDES)
def test_a_test_piece_lies_on_the_inner_side_of_the_thigh(side: Side, viewpoint: Viewpoint) -> None:
    picture, view = patch_picture(plan(side), side, viewpoint), View(side, viewpoint)
    (piece,) = (s.path for s in picture.shapes if s.name == "strip-1")
    middle = sum(piece.chords) / len(piece.chords)
    assert middle.real * view.inner > 15
    assert middle.imag * view.hip > 60
    assert "on the inner side of the thigh" in said_words(picture.description)
    frame = picture.frame
    assert frame.left < middle.real < frame.right
    assert frame.top < middle.imag < frame.bottom


@pytest.mark.parametrize("patch", [True, False])
def test_each_finding_can_be_told_from_the_others_without_colour(patch: bool) -> None:
    shown = finding_panels(plan(), "right", "own", tuple(FINDINGS), patch=patch)
    assert set(FINDINGS) == set(get_args(Skin))
    lines = [
        tuple((s.weight, s.dashed, s.fill == "ink", len(s.path.points)) for s in one.shapes
              if (s.role == "mark" and s.weight != "none") or s.fill == "ink")
        for one in shown
    ]  # fmt: skip
    assert len(set(lines)) == len(FINDINGS)
    assert len({said_words(one.description) for one in shown}) == len(FINDINGS)


def test_a_moment_of_the_side_is_not_asked_of_the_front() -> None:
    from companion.picture.tape_moments import moment_shapes

    bare = stored_knee("own", "woman", "usual")
    on = taped(Knee(), TapePlan(when="always", highest=1, width_mm=25), None, bare, 1)
    with pytest.raises(ValueError, match="bend"):
        moment_shapes(on, 1, "bend", hands("own"), "own")
