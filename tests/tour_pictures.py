"""Contact sheets of every picture: woman and man, both knees and viewpoints, each build and look,
black on white and as a harsh copy leaves them.

    python -m tests.tour_pictures DIR

Look at them without their captions: does each say which knee, which way and where?
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterator, Sequence
from itertools import product
from pathlib import Path
from typing import get_args

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QImage, QPainter

from companion.canvas.drawing import Colours, paint
from companion.canvas.fonts import load_fonts
from companion.canvas.typesetting import application
from companion.care.coded import coded
from companion.care.records import Build, MoveName, Side, Skin, Zone
from companion.paper.picture_files import black_and_white
from companion.picture.board import STRIPS_OF_STAGE
from companion.picture.drawing import Drawing
from companion.picture.scenes import knee_of
from companion.picture.tape_moments import MOMENTS, REMOVAL
from companion.picture.views import Viewpoint
from companion.presentation.view.drawn_people import draw_person
from companion.presentation.view.figures import (
    POSTURES,
    chair_stand_picture,
    exercise_pictures,
    finding_panels,
    landmark_picture,
    measuring_picture,
    move_picture,
    patch_picture,
    posture_picture,
    tape_panels,
    tape_picture,
    technique_still,
    technique_stills,
    zones_picture,
)
from companion.ui.kit.knee_picture import picture_colours
from companion.ui.kit.theme import PALETTES
from tests.builders import DRAWN_PEOPLE, SKIN_TONES
from tests.care.content import CATALOGUE
from tests.picture.made import plan

PIXELS_PER_MM = 0.9
COPY_PIXELS = 316
COLUMNS = 7
MARKED: tuple[Zone, ...] = ("above", "inner_edge", "behind_kneecap", "back_of_knee")
COUNTS: dict[Zone, int] = {"inner_edge": 12, "below": 4, "outer_joint_line": 1, "elsewhere": 2}


def sheets(side: Side, viewpoint: Viewpoint) -> Iterator[tuple[str, list[Drawing]]]:
    """The pictures of one knee from one viewpoint, sorted by what they are about."""
    made = plan(side)
    knee = knee_of(made, side)
    for build in get_args(Build):
        hands = [
            drawing
            for sheet in CATALOGUE.techniques
            for drawing in (
                *technique_stills(sheet, side, viewpoint, 2, build),
                technique_still(sheet, side, viewpoint, 2, build),
            )
        ]
        yield f"hands-{build}", hands
    people = [one for sheet in CATALOGUE.exercises for one in exercise_pictures(sheet, side)]
    moves = [move_picture(move, side) for move in get_args(MoveName)]
    yield "people", [*people, *(one for one in (*moves, chair_stand_picture(side)) if one)]
    tape = []
    for stage, strips in STRIPS_OF_STAGE.items():
        tape.append(tape_picture(made, side, stage, viewpoint))
        for strip in strips:
            tape += [tape_picture(made, side, stage, viewpoint, strip, one) for one in MOMENTS]
        tape.append(tape_picture(made, side, stage, viewpoint, strips[-1], "rub"))
        tape.append(tape_picture(made, side, stage, viewpoint, strips[-1], "bend"))
    yield "tape", tape
    yield "off", [tape_picture(made, side, 1, viewpoint, 1, one) for one in REMOVAL]
    yield "cut", list(tape_panels(made, side, viewpoint, 1, CATALOGUE.tape_steps.before))
    found = [
        finding_panels(made, side, viewpoint, get_args(Skin), patch=on) for on in (False, True)
    ]
    yield "skin", [patch_picture(made, side, viewpoint), *found[0], *found[1]]
    yield (
        "places",
        [
            landmark_picture("bony_bump", side, viewpoint, knee=knee),
            landmark_picture("upper_edge", side, viewpoint, knee=knee),
            measuring_picture(side, viewpoint, knee=knee),
            zones_picture(side, viewpoint, MARKED, knee=knee),
            zones_picture(side, viewpoint, knee=knee, counts=COUNTS, told=BEFORE),
            *(posture_picture(posture, side) for posture in POSTURES),
        ],
    )


BEFORE = coded("drawn_counted_before", count=12)


def looks() -> dict[str, Colours]:
    """Black on white as printed, and each palette of the screen."""
    found = {"printed": black_and_white()}
    for name, palette in PALETTES.items():
        found[name] = picture_colours(palette)
    for tone in SKIN_TONES:
        found[f"skin-{tone}"] = picture_colours(PALETTES["light"], tone)
    return found


def contact_sheet(
    drawings: Sequence[Drawing], colours: Colours, scale: float = PIXELS_PER_MM
) -> QImage:
    """The drawings in rows, at about the size they have on a page."""
    wide = max(drawing.frame.width for drawing in drawings) * scale + 8
    high = max(drawing.frame.height for drawing in drawings) * scale + 8
    rows = -(-len(drawings) // COLUMNS)
    image = QImage(round(wide * COLUMNS), round(high * rows), QImage.Format.Format_RGB32)
    image.fill(QColor("#808080"))
    painter = QPainter(image)
    for number, drawing in enumerate(drawings):
        row, column = divmod(number, COLUMNS)
        into = QRectF(column * wide + 4, row * high + 4, wide - 8, high - 8)
        paint(painter, drawing, into, colours)
    painter.end()
    return image


def copied(drawings: Sequence[Drawing]) -> QImage:
    """As a harsh copy leaves them: small, and either black or white."""
    widest = max(drawing.frame.width for drawing in drawings)
    grey = contact_sheet(drawings, black_and_white(), COPY_PIXELS / widest)
    return grey.convertToFormat(QImage.Format.Format_Mono, Qt.ImageConversionFlag.ThresholdDither)


def main(arguments: Sequence[str]) -> int:
    """Write the sheets and say how many."""
    parser = argparse.ArgumentParser(prog="python -m tests.tour_pictures", description=__doc__)
    parser.add_argument("folder", type=Path)
    folder: Path = parser.parse_args(arguments).folder
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    application()
    load_fonts()
    folder.mkdir(parents=True, exist_ok=True)
    sides: tuple[Side, ...] = ("right", "left")
    viewpoints: tuple[Viewpoint, ...] = ("own", "helper")
    written = 0
    for person, side, viewpoint in product(DRAWN_PEOPLE, sides, viewpoints):
        draw_person(person)
        for about, drawings in sheets(side, viewpoint):
            lead = f"{about}-{person}-{side}-{viewpoint}"
            made = {name: contact_sheet(drawings, colours) for name, colours in looks().items()}
            made["copied"] = copied(drawings)
            for name, image in made.items():
                image.save(str(folder / f"{lead}-{name}.png"))
                written += 1
    print(f"{written} sheets")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
