"""Charts on the screen, looked at through what was drawn."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pyqtgraph as pg
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QGraphicsRectItem, QWidget

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
from companion.ui.kit.chart import DayChartView, SessionChartView, TrialChartView
from companion.ui.kit.page import Page
from companion.ui.kit.theme import PALETTES, Theme, apply
from companion.ui.kit.window import PageWindow
from tests.ui.kit import accessibility
from tests.ui.kit.gallery import day_chart, session_chart, settle

# Clocks in the European Union go back on 25 October 2026 (Directive 2000/84/EC).
START = date(2026, 10, 22)


def chart(days: list[int], **parts: object) -> DayChart:
    series = tuple(DayPoint(PointKind.AVERAGE, START + timedelta(days=n), 4) for n in days)
    return DayChart(
        "Right knee",
        START,
        START + timedelta(days=9),
        series=series,
        **parts,  # type: ignore[arg-type]
    )


def shown_chart(window: PageWindow, view: DayChartView | SessionChartView | TrialChartView) -> None:
    page = Page("Record")
    page.add(view)
    window.show_page(page)
    settle()


def plot_of(view: QWidget) -> pg.PlotWidget:
    plot = view.findChild(pg.PlotWidget)
    assert plot is not None
    return plot


def curves(view: DayChartView) -> list[pg.PlotCurveItem]:
    items = plot_of(view).getPlotItem().items
    return [item for item in items if isinstance(item, pg.PlotCurveItem)]


def average_curve(view: DayChartView) -> pg.PlotCurveItem:
    return next(c for c in curves(view) if not isinstance(c.opts["connect"], str))


def test_lines_join_only_days_that_follow_each_other(window: PageWindow) -> None:
    view = DayChartView(chart([0, 1, 2, 5, 6, 9]))
    shown_chart(window, view)
    curve = average_curve(view)
    assert list(curve.xData - START.toordinal()) == [0, 1, 2, 5, 6, 9]
    assert list(curve.opts["connect"]) == [1, 1, 0, 1, 0, 0]


def test_days_stay_equally_wide_when_the_clocks_change(window: PageWindow) -> None:
    view = DayChartView(chart(list(range(10))))
    shown_chart(window, view)
    assert set(np.diff(average_curve(view).xData)) == {1.0}


def test_the_scale_is_0_to_10_whatever_the_scores(window: PageWindow) -> None:
    view = DayChartView(chart([0, 1]))
    shown_chart(window, view)
    axis = plot_of(view).getPlotItem().getAxis("left")
    labels = [text for _, text in axis._tickLevels[0]]
    assert labels == ["0", "2", "4", "6", "8", "10"]
    low, high = plot_of(view).getPlotItem().getViewBox().viewRange()[1]
    assert low <= 0
    assert high >= 10


def test_taped_days_are_hatched_below_the_scale(window: PageWindow) -> None:
    band = DaySpan(START + timedelta(days=2), START + timedelta(days=4))
    view = DayChartView(chart([0, 1], bands=(band,)))
    shown_chart(window, view)
    items = plot_of(view).getPlotItem().items
    rects = [item for item in items if isinstance(item, QGraphicsRectItem)]
    assert len(rects) == 1
    rect = rects[0].rect()
    assert rect.bottom() < 0
    assert (rect.left(), rect.right()) == (START.toordinal() + 1.5, START.toordinal() + 4.5)
    assert rects[0].brush().style() is Qt.BrushStyle.BDiagPattern


def test_nothing_moves_under_the_mouse(window: PageWindow) -> None:
    view = DayChartView(day_chart())
    shown_chart(window, view)
    page = window.page()
    assert page is not None
    page.add(SessionChartView(session_chart()))
    settle()
    plot = plot_of(view)
    box = plot.getPlotItem().getViewBox()
    before = box.viewRange()
    scrolled = page.scroll_bar().value()
    centre = plot.mapTo(window, plot.rect().center())
    wheel = QWheelEvent(
        QPointF(centre),
        QPointF(window.mapToGlobal(centre)),
        QPoint(0, 0),
        QPoint(0, -120),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    # What lies under the mouse is the view: its plot lets every event through.
    assert window.childAt(centre) is view
    QApplication.sendEvent(view, wheel)
    QTest.mousePress(view, Qt.MouseButton.LeftButton, pos=QPoint(200, 200))
    QTest.mouseMove(view, QPoint(300, 250))
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=QPoint(300, 250))
    QTest.mouseClick(view, Qt.MouseButton.RightButton, pos=QPoint(200, 200))
    assert box.viewRange() == before
    assert page.scroll_bar().value() > scrolled


def test_a_reader_is_told_what_the_chart_says(window: PageWindow) -> None:
    view = DayChartView(day_chart())
    shown_chart(window, view)
    view.setFocus()
    seen = [s for s in accessibility.walk(view) if s.role is accessibility.Role.Chart]
    assert len(seen) == 1
    assert seen[0].focusable
    assert seen[0].name.startswith("Right knee")
    assert "Average pain went from 6 to 3" in seen[0].description


def test_an_empty_record_says_so_and_draws_no_point(window: PageWindow) -> None:
    view = DayChartView(DayChart("Right knee", START, START + timedelta(days=6)))
    shown_chart(window, view)
    items = plot_of(view).getPlotItem().items
    texts = [item.toPlainText() for item in items if isinstance(item, pg.TextItem)]
    assert texts == ["Nothing recorded yet"]
    dots = [i for i in items if isinstance(i, pg.ScatterPlotItem) and len(i.data)]
    assert dots == []


def test_a_label_names_each_series_and_none_lies_over_another(window: PageWindow) -> None:
    series = tuple(DayPoint(kind, START, 4) for kind in PointKind)
    view = DayChartView(DayChart("Right knee", START, START + timedelta(days=6), series=series))
    shown_chart(window, view)
    plot = plot_of(view)
    texts = [i for i in plot.getPlotItem().items if isinstance(i, pg.TextItem)]
    assert sorted(t.toPlainText() for t in texts) == ["Average", "Now", "Worst"]
    rects = [t.textItem.sceneBoundingRect() for t in texts]
    for n, rect in enumerate(rects):
        for other in rects[n + 1 :]:
            assert rect.intersected(other).height() < 3


@pytest.mark.parametrize("gap", [0, 3, 30])
def test_plan_labels_do_not_lie_over_each_other(window: PageWindow, gap: int) -> None:
    lines = tuple(PlanLine(START + timedelta(days=n * gap), f"Plan {n}") for n in range(3))
    view = DayChartView(DayChart("Knee", START, START + timedelta(days=70), plan_lines=lines))
    shown_chart(window, view)
    plot = plot_of(view)
    rects = [
        item.textItem.sceneBoundingRect()
        for item in plot.getPlotItem().items
        if isinstance(item, pg.TextItem) and item.toPlainText().startswith("Plan")
    ]
    assert len(rects) == 3
    scene = plot.sceneRect()
    for n, rect in enumerate(rects):
        assert scene.contains(rect)
        for other in rects[n + 1 :]:
            overlap = rect.intersected(other)
            assert overlap.width() < 1 or overlap.height() < 3


def test_a_session_without_an_after_score_has_no_line(window: PageWindow) -> None:
    pairs = (
        SessionPair(START, 7, 3, 1),
        SessionPair(START + timedelta(days=2), 6, None),
        SessionPair(START + timedelta(days=3), None, 2),
    )
    view = SessionChartView(SessionChart("Sessions", START, START + timedelta(days=5), pairs=pairs))
    shown_chart(window, view)
    items = plot_of(view).getPlotItem().items
    joined = [
        item
        for item in items
        if isinstance(item, pg.PlotCurveItem)
        and item.opts["connect"] == "pairs"
        and max(item.xData) == min(item.xData)
    ]
    assert len(joined) == 1
    assert list(joined[0].yData) == [7, 3]


def test_the_ground_is_that_of_the_palette(window: PageWindow, qapp: QApplication) -> None:
    view = DayChartView(day_chart())
    shown_chart(window, view)
    for palette in PALETTES.values():
        apply(qapp, Theme(palette))
        settle()
        picture = view.grab().toImage()
        ground = picture.pixelColor(picture.width() - 40, 40)
        assert ground == QColor(palette.surface)


def test_the_pairs_of_a_trial_are_joined_within_the_pair(window: PageWindow) -> None:
    day = START.toordinal()
    pairs = (
        TrialPair(
            number=1, tape_day=START, no_tape_day=START + timedelta(days=4), tape=3.5, no_tape=5
        ),
        TrialPair(
            number=2,
            tape_day=START + timedelta(days=12),
            no_tape_day=START + timedelta(days=8),
            tape=4,
            no_tape=None,
        ),
    )
    view = TrialChartView(TrialChart("Right knee", START, START + timedelta(days=14), pairs))
    shown_chart(window, view)
    items = plot_of(view).getPlotItem().items
    joined = [c for c in items if isinstance(c, pg.PlotCurveItem) and len(set(c.yData)) == 2]
    (line,) = [c for c in joined if c.opts["connect"] == "pairs"]
    assert (list(line.xData), list(line.yData)) == ([day, day + 4], [3.5, 5])
    dots = {d.opts["symbol"]: d for d in items if isinstance(d, pg.ScatterPlotItem)}
    assert sorted(dots["s"].getData()[1]) == [3.5, 4]
    assert list(dots["o"].getData()[1]) == [5]
    numbers = {t.toPlainText(): t.pos().x() for t in items if isinstance(t, pg.TextItem)}
    assert numbers == {"1": day + 2, "2": day + 10}
    assert accessibility.faults(view) == []


def test_a_trial_without_a_score_says_so(window: PageWindow) -> None:
    view = TrialChartView(TrialChart("Right knee", START, START + timedelta(days=14)))
    shown_chart(window, view)
    words = [t for t in plot_of(view).getPlotItem().items if isinstance(t, pg.TextItem)]
    assert [t.toPlainText() for t in words] == ["Nothing recorded yet"]


def test_four_hundred_redraws(window: PageWindow, qapp: QApplication) -> None:
    """One version of the toolkit aborted after some dozens of these (see pyproject.toml)."""
    days, sessions = DayChartView(day_chart()), SessionChartView(session_chart())
    page = Page("Record")
    page.add(days)
    page.add(sessions)
    window.show_page(page)
    other = chart([0, 1, 2, 5])
    full, pairs = day_chart(), session_chart()
    for n in range(200):
        days.set_chart(other if n % 2 else full)
        sessions.set_chart(pairs)
        if n % 10 == 0:
            days.grab()
            sessions.grab()
            qapp.processEvents()
    assert len(average_curve(days).xData) == 4
