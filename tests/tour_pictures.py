"""Contact sheets of every picture: both knees, both viewpoints, each look and black on white.

    python -m tests.tour_pictures DIR

Look at them without their captions: does each say which knee, which way and where?
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter

from companion.canvas.drawing import Colours, paint
from companion.canvas.fonts import load_fonts
from companion.canvas.typesetting import application
from companion.care.coded import coded
from companion.care.records import Side, Zone
from companion.paper.picture_files import black_and_white
from companion.picture.drawing import Drawing
from companion.picture.profile import POSTURES, posture_picture
from companion.picture.scenes import (
    MOMENTS_OF_STAGE,
    STRIPS_OF_STAGE,
    knee_of,
    landmark_picture,
    measuring_picture,
    tape_picture,
    technique_picture,
    zones_picture,
)
from companion.picture.views import Viewpoint
from companion.ui.kit.knee_picture import TAPE
from companion.ui.kit.theme import PALETTES
from tests.care.content import CATALOGUE
from tests.picture.made import plan

PIXELS_PER_MM = 0.9
COLUMNS = 7
MARKED: tuple[Zone, ...] = ("above", "inner_edge", "behind_kneecap", "back_of_knee")
COUNTS: dict[Zone, int] = {"inner_edge": 12, "below": 4, "outer_joint_line": 1, "elsewhere": 2}


def sheets(side: Side, viewpoint: Viewpoint) -> Iterator[tuple[str, list[Drawing]]]:
    """The pictures of one knee from one viewpoint, sorted by what they are about."""
    made = plan(side)
    knee = knee_of(made, side)
    yield (
        "hands",
        [
            technique_picture(sheet, made, side, viewpoint, time)
            for sheet in CATALOGUE.techniques
            for time in (0.0, 0.5, 1.0)
        ],
    )
    tape = []
    for stage, strips in STRIPS_OF_STAGE.items():
        tape.append(tape_picture(made, side, stage, viewpoint))
        for strip in strips:
            tape += [
                tape_picture(made, side, stage, viewpoint, strip, moment)
                for moment in (*MOMENTS_OF_STAGE[stage], "lay")
            ]
        tape.append(tape_picture(made, side, stage, viewpoint, None, "rub"))
    yield "tape", tape
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
        found[name] = Colours(QColor(palette.ink), QColor(palette.paper), QColor(TAPE[name]))
    return found


def contact_sheet(drawings: Sequence[Drawing], colours: Colours) -> QImage:
    """The drawings in rows, at about the size they have on a page."""
    wide = max(drawing.frame.width for drawing in drawings) * PIXELS_PER_MM + 8
    high = max(drawing.frame.height for drawing in drawings) * PIXELS_PER_MM + 8
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
    for side in sides:
        for viewpoint in viewpoints:
            for about, drawings in sheets(side, viewpoint):
                for name, colours in looks().items():
                    image = contact_sheet(drawings, colours)
                    image.save(str(folder / f"{about}-{side}-{viewpoint}-{name}.png"))
                    written += 1
    print(f"{written} sheets")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
