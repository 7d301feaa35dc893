"""Charts on a page: in ink alone, so that a grey copy says the same. All lengths are points."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial

from PySide6.QtGui import QColor, QPainter

from companion.canvas import chart_layout
from companion.canvas.box import Box
from companion.canvas.chart_layout import Drawn, lay_out
from companion.canvas.chart_painter import ChartLook, paint_chart
from companion.canvas.typesetting import FAINT_RULE_INK, INK, RULE_INK, TextStyle
from companion.paper.blocks import PaperPicture
from companion.presentation.view.chart import Chart

_MOST_FOR_NAMES = 0.25
"""The share of the width that names beside their series may take; a longer one takes two lines."""


@dataclass(frozen=True, slots=True)
class ChartSetting:
    """How charts of one page are set: `size` of their words, `width`, and one day axis for all."""

    look: ChartLook
    width: float
    gutter: float

    def height(self, chart: Chart, scale: float) -> float:
        """The height of a chart whose score scale is `scale` high."""
        look = self.look
        around = chart_layout.height_around(
            chart, self.width, look.words, self.gutter, title=look.title
        )
        return scale + around

    def lay_out(self, chart: Chart, box: Box) -> Drawn:
        """Where the parts of a chart go. Raises ValueError when its scale has no room."""
        return lay_out(chart, box, self.look.words, self.gutter, title=self.look.title)

    def draw(self, chart: Chart, painter: QPainter, box: Box) -> None:
        """The chart in its box."""
        paint_chart(painter, self.lay_out(chart, box), self.look)

    def block(self, chart: Chart, scale: float) -> PaperPicture:
        """The chart as a block of a page, its score scale `scale` high."""
        alt = f"{chart.title}. {chart.description}" if chart.title else chart.description
        return PaperPicture(self.height(chart, scale), partial(self.draw, chart), alt=alt)


def chart_setting(charts: Iterable[Chart], size: float, width: float) -> ChartSetting:
    """The setting of the charts of a page, with words of `size` points."""
    words = TextStyle(size, leading=1.2)
    look = ChartLook(
        colours={
            "ink": INK,
            "accent": INK,
            "quiet": INK,
            "rule": RULE_INK,
            "faint": FAINT_RULE_INK,
            "words": INK,
            "title": INK,
        },
        ground=QColor("#FFFFFF"),
        words=words,
        title=TextStyle(size * 1.15, bold=True),
    )
    gutter = chart_layout.gutter_width(charts, words, width * _MOST_FOR_NAMES)
    return ChartSetting(look, width, gutter)
