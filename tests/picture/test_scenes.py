"""Whole pictures: each technique and stage has one, and each says which knee and which way."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest

from companion.care.catalogue import TechniqueSheet
from companion.care.coded import coded
from companion.care.records import Side, Zone
from companion.picture.curves import Path
from companion.picture.drawing import WEIGHTS_MM, Drawing
from companion.picture.knee import BUILDS, Knee
from companion.picture.motions import loop_times, main_step, movement
from companion.picture.scenes import (
    LANDMARKS,
    ZONES,
    knee_of,
    landmark_picture,
    measuring_picture,
    plan_pictures,
    tape_picture,
    technique_picture,
    zones_picture,
)
from companion.picture.svg import svg_text
from companion.picture.views import View, Viewpoint
from companion.presentation.language.said import said_words
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


@pytest.mark.parametrize("build", BUILDS.values())
@pytest.mark.parametrize("viewpoint", VIEWPOINTS)
@pytest.mark.parametrize("side", SIDES)
def test_the_words_of_the_measure_stand_clear_of_the_leg(
    side: Side, viewpoint: Viewpoint, build: float
) -> None:
    knee, view = Knee(build=build), View(side, viewpoint)
    drawing = measuring_picture(side, viewpoint, knee=knee)
    shown = [
        (line, at, words.size_mm)
        for words in drawing.words
        for line, at in words.lines(said_words)
        if line in ("bony", "bump", "upper", "edge")
    ]
    assert len(shown) == 4
    for line, at, size_mm in shown:
        for height in (0.0, -size_mm):
            assert not knee.on_skin(view.to_knee(at + complex(-1, height)))
        # Letters are at most as wide as they are high; the words end within the picture.
        assert at.real + 0.7 * size_mm * len(line) <= drawing.frame.right


@pytest.mark.parametrize("sheet", SHEETS, ids=ids)
@pytest.mark.parametrize("viewpoint", VIEWPOINTS)
def test_left_is_the_mirror_of_right(sheet: TechniqueSheet, viewpoint: Viewpoint) -> None:
    made = plan("right")
    for frame in (0.0, 0.4, 1.0):
        right = technique_picture(sheet, made, "right", viewpoint, frame)
        left = technique_picture(sheet, mirrored_plan(made), "left", viewpoint, frame)
        assert bag(left) == bag(right, mirror=True)


@pytest.mark.parametrize("stage", [1, 2])
def test_tape_turns_and_mirrors_with_the_knee(stage: int) -> None:
    made = plan("right")
    own, helper = (tape_picture(made, "right", stage, v) for v in VIEWPOINTS)
    left = tape_picture(mirrored_plan(made), "left", stage, "own")
    assert bag(own) == bag(left, mirror=True)

    def knee_only(drawing: Drawing) -> Drawing:
        return replace(drawing, items=tuple(s for s in drawing.shapes if s.role in KNEE_ROLES))

    assert bag(knee_only(own)) == bag(knee_only(helper), factor=-1)
    assert bag(knee_only(own)) == bag(knee_only(own), factor=1)


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("viewpoint", VIEWPOINTS)
def test_every_picture_says_in_words_which_knee_and_which_way(
    side: Side, viewpoint: Viewpoint
) -> None:
    made = plan(side)
    seen = {"own": "as you see it", "helper": "as your helper sees it"}[viewpoint]
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
        inner_is_right = places["inner"].real > places["outer"].real
        assert inner_is_right == ((side == "right") == (viewpoint == "helper"))
        assert (places["hip"].imag < places["foot"].imag) == (viewpoint == "helper")
        for words in drawing.words:
            frame = drawing.frame
            assert frame.left <= words.at.real <= frame.right
            assert frame.top <= words.at.imag <= frame.bottom


@pytest.mark.parametrize("sheet", SHEETS, ids=ids)
@pytest.mark.parametrize("viewpoint", VIEWPOINTS)
@pytest.mark.parametrize("side", SIDES)
def test_each_technique_shows_hands_that_move_and_an_arrow(
    sheet: TechniqueSheet, viewpoint: Viewpoint, side: Side
) -> None:
    made = plan(side)
    start, end = (technique_picture(sheet, made, side, viewpoint, t) for t in (0.0, 1.0))
    for drawing in (start, end):
        roles = {shape.role for shape in drawing.shapes}
        assert {"skin", "bone", "hand", "arrow", "cloth"} <= roles
    if sheet.motion != "circles" or len(main_step(sheet).anchors) > 2:
        assert bag(start) != bag(end)
    else:
        half = technique_picture(sheet, made, side, viewpoint, 0.5)
        assert bag(start) != bag(half)


CONTACT_POSES = {
    "thumbs": {"thumb"},
    "finger_pads": {"pads"},
    "flat_hand": {"flat"},
    "thumb_and_fingers": {"thumb", "pads", "clamp", "pinch"},
}


@pytest.mark.parametrize("sheet", SHEETS, ids=ids)
@pytest.mark.parametrize("viewpoint", VIEWPOINTS)
def test_hands_touch_the_knee_where_the_technique_says(
    sheet: TechniqueSheet, viewpoint: Viewpoint
) -> None:
    """The first hand starts near the first landmark: nothing is more than 40 mm from it."""
    view, knee = View("right", viewpoint), knee_of(plan(), "right")
    anchors = main_step(sheet).anchors
    moves = movement(knee, view, sheet.contact, sheet.motion, anchors)
    for t in (0.0, 0.25, 0.5, 0.75, 1.0):
        for hand in moves.hands(t):
            assert hand.pose in CONTACT_POSES[sheet.contact]
            assert knee.on_skin(view.to_knee(hand.at)), (t, hand)
    places = [view.to_page(knee.landmark(name)) for name in anchors]
    first = moves.hands(0.0)[0].at
    assert min(abs(first - place) for place in places) < 40


def test_gliding_along_the_inner_edge_stays_at_the_inner_edge() -> None:
    sheet = CATALOGUE.technique("glide_inner_edge")
    knee = knee_of(plan(), "right")
    for viewpoint in VIEWPOINTS:
        view = View("right", viewpoint)
        moves = movement(knee, view, sheet.contact, sheet.motion, main_step(sheet).anchors)
        tips = [view.to_knee(sum(h.at for h in moves.hands(t)) / 2) for t in (0, 0.5, 1)]
        assert all(tip.real > knee.half_width * 0.5 for tip in tips)
        assert tips[0].imag < tips[1].imag < tips[2].imag


def test_a_loop_ends_with_a_pause() -> None:
    times = loop_times(40)
    assert times[0] == 0.0
    assert list(times) == sorted(times)
    assert times.count(1.0) >= 6
    with pytest.raises(ValueError, match="two"):
        loop_times(1)


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
    assert "above the kneecap: 12" in said_words(drawing.description)


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
    assert ink_widths == {2.2, 1.1}
    texts = list(root.iter(f"{SVG}text"))
    assert all("transform" not in element.attrib for element in [*texts, *root.iter(f"{SVG}g")])
    title = root.find(f"{SVG}title")
    assert title is not None
    assert title.text == said_words(drawing.description)


@pytest.mark.parametrize("sheet", SHEETS, ids=ids)
def test_hands_are_drawn_in_the_same_two_weights(sheet: TechniqueSheet) -> None:
    """A silhouette is drawn at twice the heavy weight and its inner half filled over."""
    drawing = technique_picture(sheet, plan(), "right", "own")
    widths = {s.line[1] for s in drawing.shapes if s.line and s.line[0] == "ink"}
    assert widths <= {WEIGHTS_MM["light"], WEIGHTS_MM["heavy"], WEIGHTS_MM["under"]}
    assert WEIGHTS_MM["under"] == 2 * WEIGHTS_MM["heavy"] == 4 * WEIGHTS_MM["light"]
    assert not any(s.fill == "tape" for s in drawing.shapes)


def test_a_technique_that_touches_nothing_is_refused() -> None:
    sheet = SHEETS[0]
    bare = replace(sheet, steps=tuple(replace(step, anchors=()) for step in sheet.steps))
    with pytest.raises(ValueError, match="touch"):
        technique_picture(bare, plan(), "right", "own")


def test_a_technique_in_motion_keeps_its_frame_and_its_words() -> None:
    sheet = CATALOGUE.technique("glide_outer_edge")
    loop = [technique_picture(sheet, plan(), "right", "own", time) for time in loop_times(10)]
    assert loop[0] != loop[1]
    assert loop[-1] == loop[-2]
    assert len({(drawing.frame, said_words(drawing.description)) for drawing in loop}) == 1
