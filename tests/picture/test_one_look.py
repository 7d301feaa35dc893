"""One look: two weights of ink and a few tints, on every screen and on a harsh copy."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from typing import get_args

import numpy as np
import pytest
from numpy.typing import NDArray
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter

from companion.canvas.drawing import Colours, paint
from companion.canvas.typesetting import application
from companion.care.records import MoveName, Zone
from companion.paper.picture_files import black_and_white
from companion.picture.board import taped
from companion.picture.curves import Path, Point
from companion.picture.drawing import (
    WEIGHTS_MM,
    Closeup,
    Drawing,
    DrawnWords,
    Shape,
    Tint,
)
from companion.picture.knee import Knee
from companion.picture.scenes import knee_of, measures_of
from companion.picture.views import Viewpoint
from companion.presentation.language.said import said_words
from companion.presentation.view.drawn_people import draw_person
from companion.presentation.view.figures import (
    chair_stand_picture,
    exercise_pictures,
    finding_panels,
    landmark_picture,
    measuring_picture,
    move_picture,
    patch_picture,
    posture_picture,
    stored_knee,
    tape_panels,
    tape_picture,
    technique_panels,
    technique_still,
    zones_picture,
)
from companion.services.settings import DrawnPerson
from companion.system.figures import stored_figures
from companion.ui.kit.knee_picture import picture_colours
from companion.ui.kit.theme import PALETTES, Palette
from tests.builders import DRAWN_PEOPLE, SKIN_TONES
from tests.care.content import CATALOGUE
from tests.picture.made import plan
from tests.ui.kit.contrast import contrast_ratio

VIEWPOINTS: tuple[Viewpoint, ...] = ("own", "helper")
MARKED: tuple[Zone, ...] = ("above", "inner_edge")
ACROSS = 316
"""Pixels across: a picture on a page at the table."""
FINER = 3
BODY = ("leg", "arm", "head")
HARSH = 153
"""What is darker than 60 % white comes out black on a harsh copy."""


def every_kind(seen: Viewpoint) -> list[Drawing]:
    """A picture of each kind."""
    made = plan()
    chair = chair_stand_picture()
    assert chair is not None
    return [
        technique_still(CATALOGUE.techniques[0], "right", seen, 2),
        tape_picture(made, "right", 2, seen),
        *tape_panels(made, "right", seen, 1, CATALOGUE.tape_steps.before),
        *tape_panels(made, "right", seen, 1, CATALOGUE.tape_steps.stages[0].steps),
        *tape_panels(made, "right", seen, 1, CATALOGUE.tape_steps.removal),
        *finding_panels(made, "right", seen, ("clear", "pink", "itchy", "blister", "broken")),
        patch_picture(made, "right", seen),
        zones_picture("right", seen, MARKED),
        landmark_picture("bony_bump", "right", seen),
        measuring_picture("right", seen),
        posture_picture("sitting_knee_bent", "right"),
        chair,
    ]


def shapes_of(picture: Drawing) -> list[Shape]:
    """Its shapes, those close up too."""
    near = [one for item in picture.items if isinstance(item, Closeup) for one in item.shapes]
    return [*picture.shapes, *near]


def people() -> list[Drawing]:
    """A picture of each exercise and check move."""
    exercises = [one for sheet in CATALOGUE.exercises for one in exercise_pictures(sheet, "right")]
    moves = [move_picture(move, "left") for move in get_args(MoveName)]
    return [*exercises, *(one for one in moves if one is not None)]


def test_there_are_two_weights_of_ink() -> None:
    inks = {weight for weight in WEIGHTS_MM if weight not in ("none", "halo")}
    assert inks == {"light", "heavy"}


@pytest.mark.parametrize("width", [160, ACROSS])
def test_a_line_is_over_a_pixel_wide_at_any_size_and_a_heavy_one_twice_that(width: int) -> None:
    for picture in (*every_kind("own"), *every_kind("helper"), *people()):
        scale = width / picture.frame.width
        lines = [(one.weight, one.line(scale)) for one in shapes_of(picture)]
        wide = {weight: line[1] * scale for weight, line in lines if line is not None}
        assert wide["light"] > 1.2
        if "heavy" in wide:
            assert wide["heavy"] > 2 * 1.2
            assert wide.get("halo", 99.0) > wide["heavy"] + 2


def test_words_are_large_enough_where_a_picture_is_shown() -> None:
    """Of 12 pixels at least, without being painted larger than they are set: a picture of its own
    in a window of 1024 by 600 (400 pixels), one of three panels in one of 1366 by 768 (180)."""
    whole = [*every_kind("own"), *every_kind("helper"), *people()]
    sheets = CATALOGUE.techniques
    panels = [
        one
        for sheet, seen in product(sheets, VIEWPOINTS)
        for one in technique_panels(sheet, "left", seen, 2)
    ]
    for pictures, width in ((whole, 400), (panels, 180)):
        for picture in pictures:
            least = min((words.size_mm for words in picture.words), default=99.0)
            assert least * width / picture.frame.width >= 12, said_words(picture.description)


def dark(picture: Drawing, width: int) -> NDArray[np.bool_]:
    """Where a picture as it is printed is black in one bit."""
    image, _ = harsh(picture, black_and_white(), width)
    rows = np.frombuffer(bytes(image.constBits()), np.uint8).reshape(image.height(), -1)
    return rows[:, :width] < 128


def test_every_stroke_of_every_kind_of_picture_survives_a_harsh_copy() -> None:
    """What is black where there is room for it is black in one bit at 316 pixels too: hardly any
    place of a line is further than a pixel from ink. Letters are left out: a finer copy is read."""
    for picture in (*every_kind("own"), *every_kind("helper"), *people()):
        lines = replace(picture, items=tuple(
            one for one in picture.items if not isinstance(one, DrawnWords)
        ))  # fmt: skip
        fine, coarse = dark(lines, ACROSS * FINER), dark(lines, ACROSS)
        y, x = np.nonzero(fine)
        near = np.zeros_like(coarse)
        for down, across in product((-1, 0, 1), repeat=2):
            near |= np.roll(coarse, (down, across), (0, 1))
        y, x = (
            np.minimum(at // FINER, size - 1) for at, size in zip((y, x), near.shape, strict=True)
        )
        assert near[y, x].mean() > 0.99, said_words(picture.description)


@pytest.mark.parametrize("palette", PALETTES.values(), ids=lambda palette: palette.name)
def test_one_person_has_one_skin_and_the_leg_that_is_meant_a_heavy_line(palette: Palette) -> None:
    """In any skin of any palette: nothing of a whole person has another tint than the skin."""
    for sheet in CATALOGUE.exercises:
        for picture in exercise_pictures(sheet, "right"):
            bodies = [one for one in picture.shapes if (one.name or "").startswith(BODY)]
            areas = {one.fill for one in bodies if one.weight == "none"}
            assert areas == {"skin"}
            heavy = {one.name for one in bodies if one.weight == "heavy"}
            assert heavy == ({"legL", "legR"} if sheet.both_legs else {"legR"})
    skins = {picture_colours(palette, tone).tints["skin"].name() for tone in SKIN_TONES}
    assert len(skins) == len(SKIN_TONES)
    # No picture of somebody is outlines on bare ground alone, "lines" apart.
    ground = {picture_colours(palette).tints[one].name() for one in ("skin", "cloth", "wood")}
    assert QColor(palette.paper).name() not in ground


@pytest.mark.parametrize("seen", VIEWPOINTS)
def test_every_picture_keeps_to_one_skin_one_hand_one_cloth_and_two_tapes(
    seen: Viewpoint,
) -> None:
    allowed = {"none", "paper", "ink", "tape", *get_args(Tint)}
    used = {one.fill for picture in every_kind(seen) for one in shapes_of(picture)}
    assert used <= allowed
    assert {"skin", "press", "flush", "cloth", "tape", "piece"} <= used
    bodies = {one.fill for one in technique_still(CATALOGUE.techniques[0], "right", seen).shapes}
    assert bodies <= {"none", "paper", "ink", "skin", "press", "cloth"}


@pytest.mark.parametrize("palette", PALETTES.values(), ids=lambda palette: palette.name)
def test_lines_are_seen_on_every_tint_of_every_palette(palette: Palette) -> None:
    """At least 4.5:1 on tape and on small areas of skin, 7:1 on everything else (WCAG 2.2, 1.4.11
    asks for 3:1)."""
    for tone in SKIN_TONES:
        colours = picture_colours(palette, tone)
        assert set(colours.tints) == set(get_args(Tint))
        assert contrast_ratio(palette.ink, colours.tape.name()) >= 4.5
        for tint, colour in colours.tints.items():
            least = 4.5 if tint in ("press", "flush") else 7
            assert contrast_ratio(palette.ink, colour.name()) >= least, (tint, tone)
    assert len({colours.tape.name(), *(colours.tints[one].name() for one in ("piece",))}) == 2


def harsh(picture: Drawing, colours: Colours, width: int) -> tuple[QImage, float]:
    """The picture in one bit, and its pixels a millimetre."""
    application()
    scale = width / picture.frame.width
    size = (width, round(picture.frame.height * scale))
    image = QImage(*size, QImage.Format.Format_Grayscale8)
    image.fill(0xFFFFFFFF)
    painter = QPainter(image)
    paint(painter, picture, QRectF(image.rect()), colours)
    painter.end()
    shades = bytes(image.constBits())
    harsh_shades = shades.translate(bytes(255 if value > HARSH else 0 for value in range(256)))
    made = QImage(harsh_shades, *size, image.bytesPerLine(), image.format())
    return made.copy(), scale


def black_along(picture: Drawing, image: QImage, scale: float, line: list[Point]) -> float:
    """The share of places of a line that have ink within a pixel."""
    found = []
    for at in line:
        x = int((at.real - picture.frame.left) * scale)
        y = int((at.imag - picture.frame.top) * scale)
        if 1 <= x < image.width() - 1 and 1 <= y < image.height() - 1:
            near = [(x + a, y + b) for a in (-1, 0, 1) for b in (-1, 0, 1)]
            found.append(any(image.pixelColor(*one).lightness() < 128 for one in near))
    assert len(found) > 10
    return sum(found) / len(found)


@pytest.mark.parametrize("width", [ACROSS, 500])
@pytest.mark.parametrize("seen", VIEWPOINTS)
def test_kneecap_strips_and_zones_survive_a_harsh_copy(seen: Viewpoint, width: int) -> None:
    """One bit at 316 pixels, and 85 mm at 150 dots an inch (500 pixels): no outline breaks."""
    knee, skin = Knee(), stored_knee(seen, "woman", "usual").skin
    pictures = (tape_picture(plan(), "right", 1, seen), zones_picture("right", seen, MARKED))
    for picture in pictures:
        image, scale = harsh(picture, black_and_white(), width)
        lines: list[Path] = [
            one.path
            for one in picture.shapes
            if one.weight == "heavy" and (one.name or "").startswith(("strip", "zone"))
        ]
        for line in (*lines, *(skin.lines(knee.kneecap) if picture is pictures[1] else ())):
            # The number of a strip and the other strip's end lie over its outline.
            least = 0.9 if picture is pictures[0] else 0.97
            assert black_along(picture, image, scale, list(line.chords)) > least


@pytest.mark.parametrize("seen", VIEWPOINTS)
def test_every_stored_outline_of_a_hand_that_tapes_survives_a_harsh_copy(seen: Viewpoint) -> None:
    assert stored_figures(f"tape_{seen}_rub_R")
    picture = tape_picture(plan(), "right", 1, seen, 1, "end")
    image, scale = harsh(picture, black_and_white(), ACROSS)
    hands = [s.path for s in picture.shapes if s.role == "hand" and s.weight == "heavy"]
    assert hands
    top = picture.frame.top + 92
    for line in hands:
        shown = [at for at in line.chords if at.imag > top and at.imag < picture.frame.bottom - 22]
        assert black_along(picture, image, scale, shown) > 0.97


@pytest.mark.parametrize("seen", VIEWPOINTS)
def test_a_short_piece_is_told_from_a_strip_in_one_bit(seen: Viewpoint) -> None:
    """It is dotted all over, where a strip is bare between its hatched ends."""
    made, bare = plan(), stored_knee(seen, "woman", "usual")
    inked = {}
    for stage, number, middle in ((1, 1, 0.4), (2, 3, 0.6)):
        picture = tape_picture(made, "right", stage, seen)
        image, scale = harsh(picture, black_and_white(), 500)
        knee = knee_of(made, "right")
        laid = taped(knee, made.tape, measures_of(made, "right"), bare, stage).strip(number)
        line = [
            laid.on_page(laid.long_mm * (middle + 0.2 * along / 20), across / 10)[0]
            for along, across in product(range(21), range(-6, 7))
        ]
        inked[number] = black_along(picture, image, scale, line)
    assert inked[1] < 0.05
    assert inked[3] > 0.25


@pytest.mark.parametrize("person", DRAWN_PEOPLE)
def test_somebody_who_sits_or_stands_is_shown_in_a_row_whoever_is_drawn(
    person: DrawnPerson,
) -> None:
    """Panels that lie are halved; a man who sits was a little too wide for a row, and was too."""
    draw_person(person)
    try:
        seated = {
            sheet.id: exercise_pictures(sheet, "right")[0].frame for sheet in CATALOGUE.exercises
        }
    finally:
        draw_person("woman")
    for name in ("seated_straightening", "sit_to_stand", "step_up", "heel_raises"):
        assert seated[name].width > 1.4 * seated[name].height, name
