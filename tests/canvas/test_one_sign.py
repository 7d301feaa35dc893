"""One thing has one sign: what the screen draws for it is what a page draws for it.

Both are looked at as pictures, whoever painted them. A sign is cut out by drawing a chart twice,
with the thing on another day: what differs at the earlier day is the sign and nothing else.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import numpy.typing as npt
import pytest
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from companion.canvas.box import Box
from companion.paper.charts import chart_setting
from companion.presentation.view.chart import Chart
from companion.presentation.view.charts import (
    SessionPair,
    TrialPair,
    session_chart,
    trial_chart,
)
from companion.ui.kit.chart import ChartView
from companion.ui.kit.theme import Theme, apply
from tests.canvas.charts import day, pain, span
from tests.ui.kit.gallery import settle

Grey = npt.NDArray[np.float64]
Look = Callable[[Chart], Grey]
EARLY, LATE = 3, 10
CELLS = 6


def sessions(n: int, stage: int | None, *, before: bool = False) -> Chart:
    """One session on the nth day, the other stages and scores far from it."""
    pairs = [SessionPair(day(each), 9, 1, each) for each in (0, 1, 2)]
    own = SessionPair(day(n), 5, None) if before else SessionPair(day(n), None, 5, stage)
    return session_chart("", span(0, 13), [*pairs, own])


def trial(n: int, *, taped: bool) -> Chart:
    """A period on the nth day."""
    first = TrialPair(number=1, tape_day=day(0), no_tape_day=day(1), tape=9, no_tape=1)
    means = (5.0, None) if taped else (None, 5.0)
    pair = TrialPair(number=2, tape_day=day(n), no_tape_day=day(n), tape=means[0], no_tape=means[1])
    return trial_chart("", span(0, 13), [first, pair])


def pages(n: int, name: str) -> Chart:
    """A day page of which one thing is on the nth day."""
    scores = {each: {0: 2, n: 5} if each == name else {0: 2} for each in ("worst", "now")}
    return pain(
        {0: 2, n: 5} if name == "average" else {0: 2},
        worst=scores["worst"],
        now=scores["now"],
        taped=[day(0), *([day(n)] if name == "taped" else [])],
        medicine=[day(0), *([day(n)] if name == "medicine" else [])],
        flares=[span(0, 0), *([span(n, n)] if name == "flares" else [])],
    )


PAIN = ("average", "worst", "now", "taped", "medicine", "flares")
CHARTS: dict[str, dict[str, Callable[[int], Chart]]] = {
    "pain": {name: lambda n, name=name: pages(n, name) for name in PAIN},  # type: ignore[misc]
    "sessions": {
        "before": lambda n: sessions(n, 0, before=True),
        "no tape": lambda n: sessions(n, 0),
        "side strips": lambda n: sessions(n, 1),
        "short pieces": lambda n: sessions(n, 2),
    },
    "trial": {
        "with tape": lambda n: trial(n, taped=True),
        "without tape": lambda n: trial(n, taped=False),
    },
}


def greys(image: QImage) -> Grey:
    """How dark each place is: 0 paper, 1 ink."""
    image = image.convertToFormat(QImage.Format.Format_Grayscale8)
    rows = np.frombuffer(bytes(image.constBits()), np.uint8)
    return 1 - rows.reshape(image.height(), image.bytesPerLine())[:, : image.width()] / 255.0


def on_paper(chart: Chart) -> Grey:
    image = QImage(1640, 880, QImage.Format.Format_RGB32)
    image.fill(QColor("white"))
    painter = QPainter(image)
    painter.scale(4, 4)
    chart_setting([chart], 10, 400).draw(chart, painter, Box(5, 5, 400, 200))
    painter.end()
    return greys(image)


@pytest.fixture
def on_screen(qtbot: QtBot, qapp: QApplication) -> Look:
    apply(qapp, Theme(text_percent=200))

    def look(chart: Chart) -> Grey:
        view = ChartView(chart)
        qtbot.addWidget(view)
        view.resize(1600, 800)
        view.show()
        settle()
        image = view.grab().toImage()
        view.close()
        return greys(image)

    return look


def sign(look: Look, chart: Callable[[int], Chart]) -> tuple[Grey, float]:
    """A sign as its mean darkness in a few cells, and its width by its height."""
    early, late = look(chart(EARLY)), look(chart(LATE))
    changed = np.abs(early - late) > 0.2
    columns = np.flatnonzero(changed.any(axis=0))
    # The two days are far apart: where the columns leap is between them.
    leap = int(np.argmax(np.diff(columns)))
    left, right = columns[0], columns[leap] + 1
    rows = np.flatnonzero(changed[:, left:right].any(axis=1))
    cut = early[rows[0] : rows[-1] + 1, left:right]
    fine = np.kron(cut, np.ones((CELLS, CELLS)))
    high, wide = cut.shape
    cells = fine.reshape(CELLS, high, CELLS, wide).mean(axis=(1, 3))
    # Ink may be blue or grey: against the darkest place of the sign.
    return cells / cut.max(), wide / high


def unlike(one: tuple[Grey, float], other: tuple[Grey, float]) -> float:
    shape = float(np.abs(one[0] - other[0]).mean())
    return shape + 0.3 * abs(math.log(one[1] / other[1]))


@pytest.mark.parametrize("which", CHARTS)
def test_screen_and_paper_have_the_same_sign_for_each_thing(on_screen: Look, which: str) -> None:
    screen = {name: sign(on_screen, chart) for name, chart in CHARTS[which].items()}
    paper = {name: sign(on_paper, chart) for name, chart in CHARTS[which].items()}
    for name, seen in screen.items():
        assert min(paper, key=lambda other: unlike(seen, paper[other])) == name
        assert unlike(seen, paper[name]) < 0.15, name
        for other, drawn in screen.items():
            assert other == name or unlike(seen, drawn) > 0.15, (name, other)
