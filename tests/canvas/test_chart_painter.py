"""The painter puts ink where the scale says, and none in a gap: looked at on paper."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QColor, QImage, QPainter

from companion.canvas.box import Box
from companion.canvas.chart_layout import Drawn, Mark
from companion.canvas.typesetting import application
from companion.paper.charts import chart_setting
from companion.presentation.view.chart import Chart, PlanLine, SeriesSign
from companion.presentation.view.charts import (
    AVERAGE,
    BEFORE,
    NOW,
    SessionPair,
    TrialPair,
    session_chart,
    trial_chart,
)
from tests.canvas.charts import day, pain, span

SCALE = 4
BOX = Box(10, 10, 400, 200)
DARK, LIGHT = 120, 225


def paint(chart: Chart) -> tuple[QImage, Drawn]:
    application()
    image = QImage(420 * SCALE, 220 * SCALE, QImage.Format.Format_RGB32)
    image.fill(QColor("white"))
    painter = QPainter(image)
    painter.scale(SCALE, SCALE)
    setting = chart_setting([chart], 9, BOX.width)
    setting.draw(chart, painter, BOX)
    painter.end()
    return image, setting.lay_out(chart, BOX)


def grey(image: QImage, x: float, y: float) -> int:
    return QColor(image.pixel(round(x * SCALE), round(y * SCALE))).lightness()


def radius(drawn: Drawn, sign: SeriesSign) -> float:
    """How large a sign is drawn."""
    mark = next(item for item in drawn.items if isinstance(item, Mark) and item.sign == sign)
    return mark.radius * sign.size


def test_an_average_is_a_filled_dot_at_its_day_and_score() -> None:
    image, drawn = paint(pain({3: 7}))
    x, y = drawn.plot.x(day(3)), drawn.plot.y(7)
    assert grey(image, x, y) < DARK
    assert grey(image, x, drawn.plot.y(3)) > LIGHT


def test_now_is_an_open_dot() -> None:
    image, drawn = paint(pain(now={3: 7}))
    x, y = drawn.plot.x(day(3)), drawn.plot.y(7)
    assert grey(image, x, y) > LIGHT
    wide = radius(drawn, NOW)
    assert grey(image, x + wide, y) < DARK
    assert grey(image, x, y - wide) < DARK


def test_worst_is_a_short_bar() -> None:
    image, drawn = paint(pain(worst={3: 7}))
    x, y = drawn.plot.x(day(3)), drawn.plot.y(7)
    assert grey(image, x + 1.5, y) < DARK
    assert grey(image, x - 1.5, y) < DARK
    assert grey(image, x, y + 2.5) > LIGHT
    assert grey(image, x + drawn.plot.day_width / 2, y) > LIGHT


def test_neighbouring_days_are_joined_and_a_gap_is_a_gap() -> None:
    image, drawn = paint(pain(dict.fromkeys((1, 2, 4, 5), 5)))
    y = drawn.plot.y(5)
    between = [drawn.plot.x(day(n), 1.0) for n in (1, 2, 3, 4)]
    joined = [grey(image, x, y) < DARK for x in between]
    assert joined == [True, False, False, True]
    missing = drawn.plot.x(day(3))
    # Nothing but the grid stands in the missing day's column, and none of it at 0.
    for score in (9, 7, 5, 3, 1):
        assert grey(image, missing, drawn.plot.y(score)) > LIGHT


def test_the_scale_runs_from_nought_to_ten_whatever_the_scores() -> None:
    _, low = paint(pain({1: 1}))
    _, high = paint(pain({1: 10}))
    assert low.plot.area == high.plot.area
    assert low.plot.y(0) == low.plot.area.bottom
    assert low.plot.y(10) == pytest.approx(low.plot.area.top)


def test_taped_days_are_hatched_under_the_axis_and_only_there() -> None:
    days = span(4, 6)
    image, drawn = paint(pain({1: 5}, taped=days))
    left, right = drawn.plot.column(days)
    row = drawn.lane_middles[0]
    inside = [grey(image, left + n * (right - left) / 80, row) for n in range(2, 79)]
    outside = [grey(image, left - 12 + n / 8, row - 2) for n in range(80)]
    # Stripes of ink and of paper: neither black nor grey all over.
    assert 0.05 < sum(value < 160 for value in inside) / len(inside) < 0.6
    assert sum(value > LIGHT for value in inside) / len(inside) > 0.3
    assert all(value > 190 for value in outside)


def test_medicine_is_a_mark_in_its_own_lane() -> None:
    bare, _ = paint(pain({1: 5}))
    image, drawn = paint(pain({1: 5}, medicine=(day(4),)))
    y = drawn.lane_middles[0]
    assert grey(image, drawn.plot.x(day(4)), y) < DARK
    assert grey(bare, drawn.plot.x(day(4)), y) > LIGHT


def test_a_plan_change_is_a_line_through_the_plot() -> None:
    image, drawn = paint(pain({1: 5}, plan_lines=(PlanLine(day(7), "Plan 2"),)))
    x = drawn.plot.x(day(7), 0)
    area = drawn.plot.area
    column = [
        min(grey(image, x + d, area.top + n * area.height / 200) for d in (-0.25, 0, 0.25))
        for n in range(200)
    ]
    assert sum(value < 160 for value in column) > 60


def test_an_empty_chart_says_so_in_ink() -> None:
    image, drawn = paint(pain())
    area = drawn.plot.area
    middle = area.top + area.height / 2
    row = [
        grey(image, area.left + n * area.width / 600, middle + up / 4)
        for n in range(200, 400)
        for up in range(-12, 8)
    ]
    assert min(row) < DARK


def test_before_is_open_after_is_filled_and_taped_is_square() -> None:
    pairs = (
        SessionPair(day(0), 7, 3, tape_stage=0),
        SessionPair(day(2), 7, 3, tape_stage=1),
        SessionPair(day(4), 7, None),
    )
    image, drawn = paint(session_chart("Check move", span(0, 13), pairs))
    plot = drawn.plot
    for each in pairs:
        assert grey(image, plot.x(each.day), plot.y(7)) > LIGHT
    for each in pairs[:2]:
        assert grey(image, plot.x(each.day), plot.y(3)) < DARK
        assert grey(image, plot.x(each.day), plot.y(5)) < 170
    corner = radius(drawn, AVERAGE) * 0.88
    assert grey(image, plot.x(day(0)) + corner, plot.y(3) - corner) > LIGHT
    assert grey(image, plot.x(day(2)) + corner, plot.y(3) - corner) < DARK
    # No after score: no line down and no dot at 0.
    last = plot.x(pairs[2].day)
    assert grey(image, last, plot.y(5)) > LIGHT
    assert grey(image, last, plot.y(0) - 2) > LIGHT


def test_an_after_score_like_the_one_before_is_seen_in_its_ring() -> None:
    image, drawn = paint(session_chart("Check move", span(0, 13), (SessionPair(day(2), 4, 4),)))
    x, y = drawn.plot.x(day(2)), drawn.plot.y(4)
    ring = radius(drawn, BEFORE)
    assert grey(image, x, y) < DARK
    assert grey(image, x, y - ring) < DARK
    assert grey(image, x, y - (ring + radius(drawn, AVERAGE)) / 2 + 0.25) > LIGHT


def test_a_trial_is_rings_without_tape_squares_with_it_joined_in_the_pair() -> None:
    pair = TrialPair(number=1, tape_day=day(0), no_tape_day=day(4), tape=3, no_tape=7)
    dropped = TrialPair(number=2, tape_day=day(10), no_tape_day=day(13), tape=3, no_tape=None)
    image, drawn = paint(trial_chart("Trial", span(0, 13), (pair, dropped)))
    plot = drawn.plot
    assert grey(image, plot.x(day(0)), plot.y(3)) < DARK
    assert grey(image, plot.x(day(4)), plot.y(7)) > LIGHT
    assert grey(image, plot.x(day(2)), plot.y(5)) < DARK
    assert grey(image, plot.x(day(10)), plot.y(3)) < DARK
    # The other period of the dropped pair has no mark, and no line leads to it.
    assert grey(image, plot.x(day(11)), plot.y(5)) > LIGHT
    assert grey(image, plot.x(day(13)), plot.y(0) - 2) > LIGHT


def test_two_charts_share_a_day_axis() -> None:
    application()
    pages, moves = pain({1: 5}, medicine=(day(0),)), session_chart("Check move", span(0, 13), ())
    shared = chart_setting([pages, moves], 9, 400)
    assert shared.gutter >= chart_setting([moves], 9, 400).gutter
    assert shared.gutter == chart_setting([pages], 9, 400).gutter
    box = Box(0, 0, 400, 200)
    assert shared.lay_out(pages, box).plot.x(day(9)) == shared.lay_out(moves, box).plot.x(day(9))


def test_a_box_too_low_for_the_scale_is_refused() -> None:
    application()
    with pytest.raises(ValueError, match="no room"):
        chart_setting([pain()], 9, 300).lay_out(pain(), Box(0, 0, 300, 60))
