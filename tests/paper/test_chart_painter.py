"""The painter puts ink where the scale says, and none in a gap."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta

import pytest
from PySide6.QtGui import QColor, QImage, QPainter

from companion.paper.chart_painter import (
    AnyChart,
    Parts,
    chart_style,
    draw_day_chart,
    draw_session_chart,
    draw_trial_chart,
    gutter_width,
)
from companion.paper.chart_plot import Box
from companion.paper.typesetting import application
from companion.presentation.view.chart import (
    DayChart,
    DayPoint,
    DaySpan,
    PlanLine,
    PointKind,
    SessionChart,
    SessionPair,
    TrialChart,
    TrialPair,
)
from tests.paper.builders import START

SCALE = 4
BOX = Box(10, 10, 400, 200)
DARK, LIGHT = 120, 225


def paint(chart: AnyChart) -> tuple[QImage, Parts]:
    application()
    image = QImage(420 * SCALE, 220 * SCALE, QImage.Format.Format_RGB32)
    image.fill(QColor("white"))
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.scale(SCALE, SCALE)
    if isinstance(chart, DayChart):
        parts = draw_day_chart(painter, chart, BOX, chart_style(9))
    elif isinstance(chart, TrialChart):
        parts = draw_trial_chart(painter, chart, BOX, chart_style(9))
    else:
        parts = draw_session_chart(painter, chart, BOX, chart_style(9))
    painter.end()
    return image, parts


def grey(image: QImage, x: float, y: float) -> int:
    return QColor(image.pixel(round(x * SCALE), round(y * SCALE))).lightness()


def chart(
    points: Iterable[tuple[int, PointKind, float]], days: int = 14, **more: object
) -> DayChart:
    return DayChart(
        title="Pain by day",
        first_day=START,
        last_day=START + timedelta(days=days - 1),
        series=tuple(DayPoint(k, START + timedelta(days=n), s) for n, k, s in points),
        **more,  # type: ignore[arg-type]
    )


def test_an_average_is_a_filled_dot_at_its_day_and_score() -> None:
    image, parts = paint(chart([(3, PointKind.AVERAGE, 7)]))
    x, y = parts.plot.x(START + timedelta(days=3)), parts.plot.y(7)
    assert grey(image, x, y) < DARK
    assert grey(image, x, parts.plot.y(3)) > LIGHT


def test_now_is_an_open_dot() -> None:
    image, parts = paint(chart([(3, PointKind.NOW, 7)]))
    x, y = parts.plot.x(START + timedelta(days=3)), parts.plot.y(7)
    assert grey(image, x, y) > LIGHT
    radius = parts.plot.dot_radius * 1.5
    assert grey(image, x + radius, y) < DARK
    assert grey(image, x, y - radius) < DARK


def test_worst_is_a_short_bar() -> None:
    image, parts = paint(chart([(3, PointKind.WORST, 7)]))
    x, y = parts.plot.x(START + timedelta(days=3)), parts.plot.y(7)
    assert grey(image, x + 1.5, y) < DARK
    assert grey(image, x - 1.5, y) < DARK
    assert grey(image, x, y + 2.5) > LIGHT
    assert grey(image, x + parts.plot.day_width / 2, y) > LIGHT


def test_neighbouring_days_are_joined_and_a_gap_is_a_gap() -> None:
    points = [(n, PointKind.AVERAGE, 5.0) for n in (1, 2, 4, 5)]
    image, parts = paint(chart(points))
    y = parts.plot.y(5)
    between = [parts.plot.x(START + timedelta(days=n), 1.0) for n in (1, 2, 3, 4)]
    joined = [grey(image, x, y) < DARK for x in between]
    assert joined == [True, False, False, True]
    missing = parts.plot.x(START + timedelta(days=3))
    # Nothing but the grid stands in the missing day's column, and none of it at 0.
    for score in (9, 7, 5, 3, 1):
        assert grey(image, missing, parts.plot.y(score)) > LIGHT


def test_the_scale_runs_from_nought_to_ten_whatever_the_scores() -> None:
    _, low = paint(chart([(1, PointKind.AVERAGE, 1)]))
    _, high = paint(chart([(1, PointKind.AVERAGE, 10)]))
    assert low.plot.area == high.plot.area
    assert low.plot.y(0) == low.plot.area.bottom
    assert low.plot.y(10) == pytest.approx(low.plot.area.top)


def test_taped_days_are_hatched_under_the_axis_and_only_there() -> None:
    days = DaySpan(START + timedelta(days=4), START + timedelta(days=6))
    image, parts = paint(chart([(1, PointKind.AVERAGE, 5)], bands=(days,)))
    left, right = parts.plot.column(days)
    row = parts.lanes_top + 4
    inside = [grey(image, left + n * (right - left) / 80, row) for n in range(2, 79)]
    outside = [grey(image, left - 12 + n / 8, row - 2) for n in range(80)]
    # Stripes of ink and of paper: neither black nor grey all over.
    assert 0.05 < sum(value < 160 for value in inside) / len(inside) < 0.6
    assert sum(value > LIGHT for value in inside) / len(inside) > 0.3
    assert all(value > 190 for value in outside)


def test_medicine_is_a_mark_in_its_own_lane() -> None:
    day = START + timedelta(days=4)
    bare, _ = paint(chart([(1, PointKind.AVERAGE, 5)]))
    image, parts = paint(chart([(1, PointKind.AVERAGE, 5)], marks=(day,)))
    y = parts.lanes_top + 4.5
    assert grey(image, parts.plot.x(day), y) < DARK
    assert grey(bare, parts.plot.x(day), y) > LIGHT


def test_a_plan_change_is_a_line_through_the_plot() -> None:
    day = START + timedelta(days=7)
    image, parts = paint(chart([(1, PointKind.AVERAGE, 5)], plan_lines=(PlanLine(day, "Plan 2"),)))
    x = parts.plot.x(day, 0)
    area = parts.plot.area
    column = [
        min(grey(image, x + d, area.top + n * area.height / 200) for d in (-0.25, 0, 0.25))
        for n in range(200)
    ]
    assert sum(value < 160 for value in column) > 60


def test_an_empty_chart_says_so_in_ink() -> None:
    image, parts = paint(chart([]))
    area = parts.plot.area
    middle = area.top + area.height / 2
    row = [
        grey(image, area.left + n * area.width / 600, middle + up / 4)
        for n in range(200, 400)
        for up in range(-12, 8)
    ]
    assert min(row) < DARK


def test_before_is_open_after_is_filled_and_taped_is_square() -> None:
    day = START + timedelta(days=2)
    pairs = (
        SessionPair(START, 7, 3, tape_stage=0),
        SessionPair(day, 7, 3, tape_stage=1),
        SessionPair(START + timedelta(days=4), 7, None),
    )
    moves = SessionChart("Check move", START, START + timedelta(days=13), pairs)
    image, parts = paint(moves)
    plot = parts.plot
    for each in pairs:
        assert grey(image, plot.x(each.day), plot.y(7)) > LIGHT
    for each in pairs[:2]:
        assert grey(image, plot.x(each.day), plot.y(3)) < DARK
        assert grey(image, plot.x(each.day), plot.y(5)) < 170
    corner = plot.dot_radius * 0.88
    assert grey(image, plot.x(START) + corner, plot.y(3) - corner) > LIGHT
    assert grey(image, plot.x(day) + corner, plot.y(3) - corner) < DARK
    # No after score: no line down and no dot at 0.
    last = plot.x(pairs[2].day)
    assert grey(image, last, plot.y(5)) > LIGHT
    assert grey(image, last, plot.y(0) - 2) > LIGHT


def test_a_trial_is_rings_without_tape_squares_with_it_joined_in_the_pair() -> None:
    later = START + timedelta(days=4)
    pair = TrialPair(number=1, tape_day=START, no_tape_day=later, tape=3, no_tape=7)
    alone = START + timedelta(days=10)
    dropped = TrialPair(
        number=2, tape_day=alone, no_tape_day=alone + timedelta(days=3), tape=3, no_tape=None
    )
    made = TrialChart("Trial", START, START + timedelta(days=13), (pair, dropped))
    image, parts = paint(made)
    plot = parts.plot
    assert grey(image, plot.x(START), plot.y(3)) < DARK
    assert grey(image, plot.x(later), plot.y(7)) > LIGHT
    assert grey(image, plot.x(START + timedelta(days=2)), plot.y(5)) < DARK
    assert grey(image, plot.x(alone), plot.y(3)) < DARK
    # The other period of the dropped pair has no mark, and no line leads to it.
    assert grey(image, plot.x(alone + timedelta(days=1)), plot.y(5)) > LIGHT
    assert grey(image, plot.x(alone + timedelta(days=3)), plot.y(0) - 2) > LIGHT


def test_two_charts_share_a_day_axis() -> None:
    application()
    style = chart_style(9)
    day = chart([(1, PointKind.AVERAGE, 5)], marks=(START,))
    moves = SessionChart("Check move", START, START + timedelta(days=13))
    shared = gutter_width([day, moves], style, 400)
    assert shared >= gutter_width([moves], style, 400)
    assert shared == gutter_width([day], style, 400)


def test_a_box_too_low_for_the_scale_is_refused() -> None:
    application()
    image = QImage(10, 10, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    try:
        with pytest.raises(ValueError, match="no room"):
            draw_day_chart(painter, chart([]), Box(0, 0, 300, 60), chart_style(9))
    finally:
        painter.end()
