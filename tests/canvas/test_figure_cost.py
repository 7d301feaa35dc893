"""What a figure costs, and that its lines hold where colour does not."""

from __future__ import annotations

import time
from typing import get_args

import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtWidgets import QApplication

from companion.canvas.drawing import Colours, paint
from companion.paper.picture_files import black_and_white
from companion.picture.drawing import Drawing
from companion.picture.views import Viewpoint
from companion.presentation.view.figures import exercise_pictures, technique_still
from companion.services.settings import SkinTone
from companion.ui.kit.knee_picture import picture_colours
from companion.ui.kit.theme import PALETTES, Palette
from tests.builders import SKIN_TONES
from tests.care.content import CATALOGUE
from tests.ui.kit.contrast import contrast_ratio

MOST_SECONDS = 0.030


def painted(drawing: Drawing, colours: Colours, width: int) -> QImage:
    high = round(width * drawing.frame.height / drawing.frame.width)
    image = QImage(width, high, QImage.Format.Format_RGB32)
    image.fill(QColor("#FFFFFF"))
    painter = QPainter(image)
    paint(painter, drawing, QRectF(image.rect()), colours)
    painter.end()
    return image


def stills() -> list[Drawing]:
    return [one for sheet in CATALOGUE.exercises for one in exercise_pictures(sheet, "right")]


def test_a_still_is_painted_in_30_ms_of_cpu(qapp: QApplication) -> None:
    hands = [
        technique_still(sheet, "right", seen, 3)
        for sheet in CATALOGUE.techniques
        for seen in get_args(Viewpoint)
    ]
    for drawings in (stills(), hands):
        drawing = max(drawings, key=lambda one: len(one.items))
        spent = []
        for _ in range(4):
            start = time.process_time()
            painted(drawing, black_and_white(), 430)
            spent.append(time.process_time() - start)
        assert min(spent) <= MOST_SECONDS


def test_a_harsh_one_bit_copy_keeps_the_lines_and_no_tint(qapp: QApplication) -> None:
    for drawing in stills():
        image = painted(drawing, black_and_white(), 620)
        copy = [
            QColor(image.pixel(x, y)).lightness() < 0.55 * 255
            for y in range(0, image.height(), 3)
            for x in range(0, image.width(), 3)
        ]
        assert 0.01 < sum(copy) / len(copy) < 0.2


@pytest.mark.parametrize("tone", SKIN_TONES)
@pytest.mark.parametrize("palette", PALETTES.values(), ids=PALETTES)
def test_lines_hold_on_every_skin_and_pads_stand_out_of_it(
    palette: Palette, tone: SkinTone
) -> None:
    colours = picture_colours(palette, tone)
    skin, *marked = (colours.tints[one].name() for one in ("skin", "press", "flush"))
    assert contrast_ratio(colours.ink.name(), skin) >= 7
    for small in marked:
        assert contrast_ratio(colours.ink.name(), small) >= 4.5
        assert contrast_ratio(skin, small) >= 1.15
