"""A drawing of a knee keeps to its place on the page."""

from __future__ import annotations

from itertools import pairwise

import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter

from companion.canvas.drawing import paint
from companion.canvas.fonts import load_fonts
from companion.canvas.typesetting import application
from companion.paper.picture_files import black_and_white
from companion.picture.drawing import DrawnWords
from companion.picture.leg import HEADER_MM
from companion.presentation.view.figures import technique_still
from tests.care.content import CATALOGUE

pytestmark = pytest.mark.usefixtures("qapp")


def test_a_picture_stays_in_its_place() -> None:
    """Hands and cloth reach beyond the frame; nothing of them may run over the page."""
    application()
    load_fonts()
    drawing = technique_still(CATALOGUE.techniques[0], "right", "own")
    image = QImage(400, 500, QImage.Format.Format_RGB32)
    image.fill(QColor("#FF00FF"))
    painter = QPainter(image)
    paint(painter, drawing, QRectF(100, 100, 200, 300), black_and_white())
    painter.end()
    for x, y in ((99, 250), (301, 250), (200, 99), (200, 401), (50, 50)):
        assert image.pixelColor(x, y) == QColor("#FF00FF"), (x, y)
    assert image.pixelColor(200, 130) != QColor("#FF00FF")


def test_lines_of_a_header_stay_apart_where_small_pictures_have_large_letters() -> None:
    """The name of the knee and who sees it: paper between their rows of ink."""
    application()
    load_fonts()
    drawing = technique_still(CATALOGUE.techniques[0], "left", "own")
    name, who = [one for one in drawing.items if isinstance(one, DrawnWords)][-2:]
    assert name.bold
    assert not who.bold
    high, wide = 480, round(480 * drawing.frame.width / drawing.frame.height)
    image = QImage(wide, high, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    paint(painter, drawing, QRectF(0, 0, wide, high), black_and_white(), least=40)
    painter.end()
    scale = high / drawing.frame.height
    left, foot = ((name.at.real - drawing.frame.left) * scale, HEADER_MM * scale - 4)
    rows = [
        any(image.pixelColor(x, y).lightness() < 128 for x in range(round(left), wide - 4))
        for y in range(round(foot))
    ]
    assert sum(after and not before for before, after in pairwise((False, *rows))) == 2
