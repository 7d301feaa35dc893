"""Whole pictures: each technique and stage has one, and each says which knee and which way."""

from __future__ import annotations

from collections import Counter
from xml.etree import ElementTree as ET

import pytest

from companion.care.catalogue import TechniqueSheet
from companion.care.coded import coded
from companion.care.records import Side, Zone
from companion.picture.curves import Path
from companion.picture.drawing import WEIGHTS_MM, Drawing
from companion.picture.places import LANDMARKS, ZONES
from companion.picture.scenes import knee_of
from companion.picture.svg import svg_text
from companion.picture.views import Viewpoint
from companion.presentation.language.said import said_words
from companion.presentation.view.figures import (
    in_motion,
    landmark_picture,
    measuring_picture,
    plan_pictures,
    tape_picture,
    technique_motion,
    technique_still,
    technique_stills,
    zones_picture,
)
from tests.care.content import CATALOGUE
from tests.picture.made import SVG, measures, mirrored_plan, plan

SIDES: tuple[Side, ...] = ("left", "right")
VIEWPOINTS: tuple[Viewpoint, ...] = ("own", "helper")
SHEETS = CATALOGUE.techniques
MARKED: tuple[Zone, ...] = ("above",)
KNEE_ROLES = {"skin", "bone", "tape", "anchor", "tape_path", "zone", "cloth"}


def ids(sheet: TechniqueSheet) -> str:
    return sheet.id


def rounded(path: Path) -> tuple[tuple[float, float], ...]:
    """Its points, in no order: a mirrored outline is walked the other way round."""
    return tuple(sorted({(round(p.real, 2) + 0.0, round(p.imag, 2) + 0.0) for p in path.points}))


def bag(drawing: Drawing, factor: complex = 1, *, mirror: bool = False) -> Counter[object]:
    """The shapes that belong to the knee and the hands, turned or mirrored."""
    return Counter(
        (
            shape.role, shape.weight, shape.fill,
            rounded(shape.path.moved(lambda p: -p.conjugate() if mirror else p * factor)),
        )
        for shape in drawing.shapes
        if shape.role != "figure"
    )  # fmt: skip


@pytest.mark.parametrize("sheet", SHEETS, ids=ids)
@pytest.mark.parametrize("viewpoint", VIEWPOINTS)
def test_left_is_the_mirror_of_right(sheet: TechniqueSheet, viewpoint: Viewpoint) -> None:
    right = technique_stills(sheet, "right", viewpoint)
    left = technique_stills(sheet, "left", viewpoint)
    assert [bag(one) for one in left] == [bag(one, mirror=True) for one in right]


@pytest.mark.parametrize("stage", [1, 2])
@pytest.mark.parametrize("viewpoint", VIEWPOINTS)
def test_tape_mirrors_with_the_knee(stage: int, viewpoint: Viewpoint) -> None:
    made = plan("right")
    right = tape_picture(made, "right", stage, viewpoint)
    assert bag(right) == bag(
        tape_picture(mirrored_plan(made), "left", stage, viewpoint), mirror=True
    )


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("viewpoint", VIEWPOINTS)
def test_every_picture_says_in_words_which_knee_and_which_way(
    side: Side, viewpoint: Viewpoint
) -> None:
    made = plan(side)
    seen = {"own": "as you see it", "helper": "helper’s view"}[viewpoint]
    pictures = [
        drawing
        for name, drawing in plan_pictures(made, CATALOGUE)
        if name.startswith(f"{side}-{viewpoint}-")
    ]
    pictures += [
        zones_picture(side, viewpoint, MARKED),
        landmark_picture("bony_bump", side, viewpoint),
        measuring_picture(side, viewpoint),
    ]
    assert len(pictures) > 2 * len(SHEETS)
    for drawing in pictures:
        places = {said_words(words.what): words.at for words in drawing.words}
        assert f"{side.capitalize()} knee" in places
        assert seen in places
        assert said_words(drawing.description).startswith(f"{side.capitalize()} knee, {seen}. ")
        leg, width = places["foot"] - places["hip"], places["outer"] - places["inner"]
        if abs(leg.real) > abs(leg.imag):  # a helper beside the leg: the outer side is near
            assert viewpoint == "helper"
            assert (leg.real > 0) == (side == "right")
            assert width.imag > 0
        else:
            assert (width.real < 0) == ((side == "right") == (viewpoint == "helper"))
            assert (leg.imag > 0) == (viewpoint == "helper")
        for words in drawing.words:
            frame = drawing.frame
            assert frame.left <= words.at.real <= frame.right
            assert frame.top <= words.at.imag <= frame.bottom


@pytest.mark.parametrize("sheet", SHEETS, ids=ids)
@pytest.mark.parametrize("viewpoint", VIEWPOINTS)
def test_each_technique_shows_hands_that_move_and_an_arrow(
    sheet: TechniqueSheet, viewpoint: Viewpoint
) -> None:
    *found, laid, moving = technique_stills(sheet, "left", viewpoint)
    assert len(found) == (sheet.steps[0].verb == "Find")
    assert "arrow" not in {shape.role for shape in laid.shapes}
    assert "arrow" in {shape.role for shape in moving.shapes}
    if not in_motion(sheet, viewpoint):
        assert sheet.motion == "lift_skin"
        return
    loop = technique_motion(sheet, "left", viewpoint)
    assert bag(loop[0]) != bag(loop[len(loop) * 2 // 3])


def test_both_knees_are_drawn_and_never_mixed() -> None:
    right, left = measures("right", 92.0, 46.0, 43.0), measures("left", 74.0, 36.0, 38.0)
    both = plan("both", (right, left))
    assert knee_of(both, "right").measure_mm == 92.0
    assert knee_of(both, "left").measure_mm == 74.0
    names = [name for name, _ in plan_pictures(both, CATALOGUE)]
    assert len(names) == len(set(names))
    for side in SIDES:
        assert sum(name.startswith(f"{side}-") for name in names) * 2 == len(names)


def test_a_knee_without_measures_is_not_drawn_from_the_other_one() -> None:
    both = plan("both", (measures("right", 92.0, 46.0, 43.0),))
    assert knee_of(both, "left").drawn_as == "missing"
    drawing = tape_picture(both, "left", 1, "own")
    assert "A typical knee: not measured" in {said_words(words.what) for words in drawing.words}
    assert "A typical knee: not measured" in said_words(drawing.description)


def test_impossible_measures_say_so_on_the_picture() -> None:
    odd = plan("right", (measures("right", 40.0),))
    drawing = tape_picture(odd, "right", 1, "own")
    assert "A typical knee: measure again" in {said_words(words.what) for words in drawing.words}


def test_every_landmark_and_zone_has_its_words() -> None:
    zones = {zone.id for zone in CATALOGUE.zones.zones}
    assert set(ZONES) == zones
    used = {a for sheet in SHEETS for step in sheet.steps for a in step.anchors}
    assert used <= set(LANDMARKS)
    for name in LANDMARKS:
        found = landmark_picture(name, "left", "own").description
        assert said_words(LANDMARKS[name]) in said_words(found)


def test_marked_zones_are_dotted_and_told() -> None:
    drawing = zones_picture("right", "own", ("inner_edge", "back_of_knee"))
    assert "Where it hurts: inner edge of the kneecap" in said_words(drawing.description)
    assert "back of the knee" in said_words(drawing.description)
    marked = [s.name for s in drawing.shapes if s.role == "zone" and s.weight == "heavy"]
    assert marked == ["zone-inner_edge"]
    dots = [s for s in drawing.shapes if s.role == "zone" and s.fill == "ink"]
    assert len(dots) >= 6


def test_a_count_map_shows_its_numbers() -> None:
    drawing = zones_picture(
        "left",
        "helper",
        counts={"above": 12, "elsewhere": 3},
        told=coded("drawn_counted_before", count=15),
    )
    texts = {said_words(words.what) for words in drawing.words}
    assert "12" in texts
    assert {"somewhere else: 3", "Before, 15 sessions"} <= texts
    assert "hip side of the kneecap: 12" in said_words(drawing.description)


@pytest.mark.parametrize("viewpoint", VIEWPOINTS)
def test_svg_is_whole_and_holds_two_weights_and_three_colours(viewpoint: Viewpoint) -> None:
    drawing = tape_picture(plan(), "right", 2, viewpoint)
    root = ET.fromstring(
        svg_text(drawing, said_words, ink="#111111", paper="#EEEEEE", tape="#999999")
    )
    assert root.attrib["width"].endswith("mm")
    box = [float(n) for n in root.attrib["viewBox"].split()]
    assert box[2] == pytest.approx(float(root.attrib["width"][:-2]))
    assert box[3] == pytest.approx(float(root.attrib["height"][:-2]))
    paints, ink_widths = set(), set()
    for element in root.iter(f"{SVG}path"):
        paints |= {element.attrib["fill"], element.attrib["stroke"]}
        if element.attrib["stroke"] == "#111111":
            ink_widths.add(float(element.attrib["stroke-width"]))
        if element.attrib["fill"] == "#999999":
            assert element.attrib["class"] == "tape"
    assert paints == {"none", "#111111", "#EEEEEE", "#999999"}
    assert ink_widths <= set(WEIGHTS_MM.values())
    texts = list(root.iter(f"{SVG}text"))
    assert all("transform" not in element.attrib for element in [*texts, *root.iter(f"{SVG}g")])
    title = root.find(f"{SVG}title")
    assert title is not None
    assert title.text == said_words(drawing.description)


@pytest.mark.parametrize("sheet", SHEETS, ids=ids)
def test_hands_are_drawn_in_the_same_two_weights(sheet: TechniqueSheet) -> None:
    """The outline of a hand is heavy, what is inside it fine."""
    drawing = technique_still(sheet, "right", "helper")
    hands = [s for s in drawing.shapes if (s.name or "").startswith(("hand", "inner"))]
    widths = {s.weight for s in hands}
    assert widths == {"none", "light", "heavy"}
    assert not any(s.fill == "tape" for s in drawing.shapes)


def test_a_technique_in_motion_keeps_its_frame() -> None:
    sheet = CATALOGUE.technique("glide_outer_edge")
    loop = technique_motion(sheet, "right", "own")
    assert loop[0] == loop[1]  # a rest before it begins
    assert loop[-1] != loop[-2]
    assert len({drawing.frame for drawing in (loop[0], loop[40], loop[-1])}) == 1
