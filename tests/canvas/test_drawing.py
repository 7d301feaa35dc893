"""A drawing of a knee keeps to its place on the page."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter

from companion.canvas.drawing import paint
from companion.canvas.fonts import load_fonts
from companion.canvas.typesetting import application
from companion.paper.picture_files import black_and_white
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
