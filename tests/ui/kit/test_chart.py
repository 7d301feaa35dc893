"""Charts on the screen: what is drawn, what is read of a day, and which days are in view."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from itertools import pairwise

import pyqtgraph as pg
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from companion.canvas.chart_layout import ChartText, Drawn, Line, Mark
from companion.presentation.view.chart import Chart, DaySpan, PlanLine
from companion.presentation.view.charts import (
    AVERAGE,
    BEFORE,
    NOW,
    TAPED,
    WITH_TAPE,
    WITHOUT_TAPE,
    WORST,
    SessionPair,
    TrialPair,
    session_chart,
    trial_chart,
)
from companion.ui.kit import chart as chart_module
from companion.ui.kit.buttons import QuietButton
from companion.ui.kit.chart import LEAST_DAYS, ChartView
from companion.ui.kit.page import Page
from companion.ui.kit.theme import COLUMN_WIDTH, PALETTES, Theme, apply, current
from companion.ui.kit.window import PageWindow
from tests.canvas.charts import day, pain, span
from tests.ui.kit import accessibility, clipping, gallery
from tests.ui.kit.gallery import day_chart, settle

LEFT, RIGHT, PLAIN = Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.KeyboardModifier.NoModifier
SHIFT = Qt.KeyboardModifier.ShiftModifier


class ChartPage(Page):
    """Charts stand on pages of one wide column."""

    most_width = COLUMN_WIDTH


def shown_chart(window: PageWindow, view: ChartView) -> Page:
    page = ChartPage("Record")
    page.first_focus = page.add(view)
    window.show_page(page)
    settle()
    return page


def drawn(view: ChartView) -> Drawn:
    found = view.drawn()
    assert found is not None
    return found


def places(view: ChartView, sign: object) -> list[float]:
    """How many day widths from the first day each of these signs stands."""
    plot = drawn(view).plot
    marks = [i for i in drawn(view).items if isinstance(i, Mark) and i.sign == sign]
    inside = [mark.x for mark in marks if mark.x <= plot.area.right]
    return [round((x - plot.area.left) / plot.day_width - 0.5, 6) for x in inside]


def lines(view: ChartView, colour: str) -> list[Line]:
    return [i for i in drawn(view).items if isinstance(i, Line) and i.colour == colour]


def texts(view: ChartView) -> list[ChartText]:
    return [item for item in drawn(view).items if isinstance(item, ChartText)]


def words(view: ChartView) -> list[str]:
    return [text.words for text in texts(view)]


def plot_of(view: ChartView) -> pg.GraphicsView:
    plot = view.findChild(pg.GraphicsView)
    assert plot is not None
    return plot


def at(view: ChartView, of: date) -> QPoint:
    """A place over a day, in pixels of the plot."""
    area = drawn(view).plot.area
    return QPointF(drawn(view).plot.x(of), area.top + area.height / 2).toPoint()


def point_at(view: ChartView, of: date) -> None:
    """Move the mouse over a day."""
    QTest.mouseMove(plot_of(view).viewport(), at(view, of))
    settle()


def draw_out(view: ChartView, first: date, last: date) -> None:
    """Press, draw and let go with the mouse, from one day to another."""
    field = plot_of(view).viewport()
    QTest.mousePress(field, Qt.MouseButton.LeftButton, pos=at(view, first))
    for n in range(1, 6):
        way = (at(view, last) - at(view, first)) * n / 5
        QTest.mouseMove(field, at(view, first) + way)
    QTest.mouseRelease(field, Qt.MouseButton.LeftButton, pos=at(view, last))
    settle()


# ---------------------------------------------------------------- what is drawn


def test_lines_join_only_days_that_follow_each_other(window: PageWindow) -> None:
    view = ChartView(pain(dict.fromkeys((0, 1, 2, 5, 6, 9), 4), days=10))
    shown_chart(window, view)
    assert places(view, AVERAGE) == [0, 1, 2, 5, 6, 9]
    assert [len(line.places) for line in lines(view, "accent")] == [3, 2]


def test_days_stay_equally_wide_when_the_clocks_change(window: PageWindow) -> None:
    # Clocks in the European Union go back on 25 October 2026 (Directive 2000/84/EC).
    view = ChartView(pain(dict.fromkeys(range(10), 4), days=10))
    shown_chart(window, view)
    (line,) = lines(view, "accent")
    assert {round(b - a, 6) for (a, _), (b, _) in pairwise(line.places)} == {
        round(drawn(view).plot.day_width, 6)
    }


def test_the_scale_is_0_to_10_whatever_the_scores(window: PageWindow) -> None:
    view = ChartView(pain({0: 4, 1: 4}))
    shown_chart(window, view)
    assert [w for w in words(view) if w.isdigit()] == ["0", "2", "4", "6", "8", "10"]
    (days,) = [item for item in plot_of(view).items() if isinstance(item, pg.ViewBox)]
    assert days.viewRange() == [[day(0).toordinal(), day(14).toordinal()], [0, 10]]
    # What moves over the drawing keeps to its scale.
    area = drawn(view).plot.area
    within = days.sceneBoundingRect().getRect()
    assert within == pytest.approx((area.left, area.top, area.width, area.height), abs=0.6)


def test_taped_days_are_hatched_below_the_scale(window: PageWindow) -> None:
    view = ChartView(pain({0: 4}, days=10, taped=span(2, 4)))
    shown_chart(window, view)
    plot = drawn(view).plot
    below = [
        line
        for line in lines(view, TAPED.ink)
        if plot.area.left <= line.places[0][0] <= plot.area.right
    ]
    xs = [x for line in below for x, _ in line.places]
    assert (min(xs), max(xs)) == (plot.x(day(2), 0), plot.x(day(4), 1))
    assert all(y > plot.area.bottom for line in below for _, y in line.places)
    assert len(below) > 5


def test_a_reader_is_told_what_the_chart_says(window: PageWindow) -> None:
    view = ChartView(day_chart())
    shown_chart(window, view)
    view.setFocus()
    seen = [s for s in accessibility.walk(view) if s.role is accessibility.Role.Chart]
    assert len(seen) == 1
    assert seen[0].focusable
    assert seen[0].name.startswith("Right knee")
    assert "Average pain went from 6 to 3" in seen[0].description
    assert "left and right arrow keys" in seen[0].description
    assert accessibility.faults(view) == []


def test_an_empty_record_says_so_and_draws_no_point(window: PageWindow) -> None:
    view = ChartView(pain(days=7))
    shown_chart(window, view)
    assert "No score in these days" in words(view)
    assert not [item for item in drawn(view).items if isinstance(item, Mark)]
    assert view.reading() == ""
    QTest.keyClick(view, LEFT)
    assert view.day_read() is None


def test_a_label_names_each_series_and_none_lies_over_another(window: PageWindow) -> None:
    view = ChartView(pain({0: 4}, worst={0: 4}, now={0: 4}, days=7))
    shown_chart(window, view)
    named = [text for text in texts(view) if text.words in ("Average", "Now", "Worst")]
    assert sorted(text.words for text in named) == ["Average", "Now", "Worst"]
    ys = sorted(text.y for text in named)
    assert all(below - above > 15 for above, below in pairwise(ys))
    assert all(text.x > drawn(view).plot.area.right for text in named)


@pytest.mark.parametrize("gap", [0, 3, 30])
def test_plan_labels_are_all_there_and_in_sight(window: PageWindow, gap: int) -> None:
    plans = tuple(PlanLine(day(n * gap), f"Plan {n}") for n in range(3))
    view = ChartView(pain(days=71, plan_lines=plans))
    shown_chart(window, view)
    labels = [text for text in texts(view) if text.words.startswith("Plan")]
    assert len(labels) == 3
    wide = plot_of(view).width()
    assert all(0 <= text.x < wide - 40 and 0 < text.y < text.x + wide for text in labels)


def test_a_session_without_an_after_score_has_no_line(window: PageWindow) -> None:
    pairs = (
        SessionPair(day(0), 7, 3, 1),
        SessionPair(day(2), 6, None),
        SessionPair(day(3), None, 2),
    )
    view = ChartView(session_chart("Sessions", span(0, 5), pairs))
    shown_chart(window, view)
    plot = drawn(view).plot
    (line,) = [each for each in lines(view, "quiet") if not each.dashed]
    assert line.places == ((plot.x(day(0)), plot.y(7)), (plot.x(day(0)), plot.y(3)))
    assert places(view, BEFORE) == [0, 2]


def test_the_ground_is_that_of_the_palette(window: PageWindow, qapp: QApplication) -> None:
    view = ChartView(day_chart())
    shown_chart(window, view)
    for palette in PALETTES.values():
        apply(qapp, Theme(palette))
        settle()
        picture = view.grab().toImage()
        seen = {
            picture.pixelColor(picture.width() - 40, 40).name(),
            picture.pixelColor(view.width() // 2, picture.height() // 2).name(),
        }
        assert seen == {QColor(palette.surface).name()}


def trial() -> Chart:
    pairs = (
        TrialPair(number=1, tape_day=day(0), no_tape_day=day(4), tape=3.5, no_tape=5),
        TrialPair(number=2, tape_day=day(12), no_tape_day=day(8), tape=4, no_tape=None),
    )
    return trial_chart("Right knee", span(0, 14), pairs)


def test_the_pairs_of_a_trial_are_joined_within_the_pair(window: PageWindow) -> None:
    view = ChartView(trial())
    shown_chart(window, view)
    plot = drawn(view).plot
    (line,) = lines(view, "accent")
    assert line.places == ((plot.x(day(0)), plot.y(3.5)), (plot.x(day(4)), plot.y(5)))
    assert places(view, WITH_TAPE) == [0, 12]
    assert places(view, WITHOUT_TAPE) == [4]
    numbers = {text.words: text.x for text in texts(view) if text.y > plot.area.bottom + 30}
    assert (numbers["1"], numbers["2"]) == (plot.x(day(2)), plot.x(day(10)))
    assert accessibility.faults(view) == []


def test_a_trial_without_a_score_says_so(window: PageWindow) -> None:
    view = ChartView(trial_chart("Right knee", span(0, 14), ()))
    shown_chart(window, view)
    assert "No score in these days" in words(view)


# ---------------------------------------------------------------- a day is read


def test_the_day_under_the_pointer_is_read(window: PageWindow) -> None:
    view = ChartView(pain({0: 6, 3: 5}, worst={3: 8}, days=10, medicine=[day(3)]))
    shown_chart(window, view)
    assert view.reading().startswith("Point at a day")
    point_at(view, day(3))
    assert view.day_read() == day(3)
    assert view.reading() == "Friday 23 October 2026. Average 5. Worst 8. Extra pain medicine."
    point_at(view, day(4))
    assert view.reading() == "Saturday 24 October 2026. No score."
    (line,) = [item for item in plot_of(view).items() if isinstance(item, pg.InfiniteLine)]
    assert line.isVisible()
    assert line.value() == day(4).toordinal() + 0.5
    # A line and no bar, however wide the days are: what is beside it is seen.
    day_wide = drawn(view).plot.day_width
    picture = plot_of(view).grab().toImage()
    accent = QColor(current().palette.action).name()
    level = round(drawn(view).plot.y(1))
    wide = sum(picture.pixelColor(x, level).name() == accent for x in range(picture.width()))
    assert 0 < wide < 4 < day_wide


def test_arrows_read_a_day_or_a_week_on_and_a_reader_is_told(
    window: PageWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    monkeypatch.setattr(chart_module, "announce", lambda _, text: told.append(text))
    view = ChartView(pain({0: 6, 19: 2}, days=20))
    page = shown_chart(window, view)
    scrolled = page.scroll_bar().value()
    read = []
    for key, held in (
        (LEFT, PLAIN), (LEFT, PLAIN), (LEFT, SHIFT), (RIGHT, PLAIN), (LEFT, SHIFT), (LEFT, SHIFT),
        (RIGHT, SHIFT),
    ):  # fmt: skip
        QTest.keyClick(view, key, held)
        read.append(view.day_read())
    # The last day first; then no further than the days there are.
    assert read == [day(19), day(18), day(11), day(12), day(5), day(0), day(7)]
    assert told[0] == "Sunday 8 November 2026. Average 2."
    assert told[1] == "Saturday 7 November 2026. No score."
    assert len(told) == 7
    assert page.scroll_bar().value() == scrolled
    assert window.page() is page


def test_of_a_trial_only_the_days_that_stand_for_a_period_are_read(window: PageWindow) -> None:
    view = ChartView(trial())
    shown_chart(window, view)
    QTest.keyClick(view, LEFT)
    assert view.reading() == "Sunday 1 November 2026. With tape 4. Pair 2."
    QTest.keyClick(view, LEFT)
    assert view.day_read() == day(4)
    point_at(view, day(1))
    assert view.day_read() == day(0)


@pytest.mark.parametrize("percent", [100, 200])
def test_what_is_read_moves_nothing_on_the_page(
    window: PageWindow, qapp: QApplication, percent: int
) -> None:
    apply(qapp, Theme(text_percent=percent))
    view = ChartView(day_chart())
    page = shown_chart(window, view)
    high = view.height()
    view.setFocus()
    for _ in range(30):
        QTest.keyClick(view, LEFT)
        settle()
        assert view.height() == high
    assert clipping.faults(page) == []


def test_at_home_nothing_moves_under_the_mouse(window: PageWindow) -> None:
    view = ChartView(day_chart())
    page = shown_chart(window, view)
    page.add(ChartView(gallery.session_chart()))
    settle()
    before = view.in_view()
    scrolled = page.scroll_bar().value()
    field = plot_of(view).viewport()
    centre = field.rect().center()
    taken_by: QWidget | None = field
    while taken_by is not None:  # as the toolkit hands a turn of the wheel on
        wheel = QWheelEvent(
            QPointF(centre),
            QPointF(field.mapToGlobal(centre)),
            QPoint(0, 0),
            QPoint(0, -120),
            Qt.MouseButton.NoButton,
            PLAIN,
            Qt.ScrollPhase.NoScrollPhase,
            False,
        )
        wheel.ignore()
        QApplication.sendEvent(taken_by, wheel)
        if wheel.isAccepted():
            break
        taken_by = taken_by.parentWidget()
    assert taken_by is page.column.parentWidget()
    assert page.scroll_bar().value() > scrolled
    items = drawn(view).items
    draw_out(view, before.first_day + timedelta(days=5), before.first_day + timedelta(days=30))
    QTest.mouseClick(field, Qt.MouseButton.RightButton, pos=centre)
    for key in ("+", "-"):
        QTest.keyClicks(view, key)
    assert view.in_view() == before
    assert drawn(view).items == items
    assert QApplication.activePopupWidget() is None


# ---------------------------------------------------------------- which days are in view


def near(
    window: PageWindow, *, taped: Iterable[date] = (), medicine: Iterable[date] = ()
) -> tuple[ChartView, list[DaySpan]]:
    """A chart of a hundred days that can be looked at closely, and what it says it shows."""
    scores = {n: n % 11 for n in range(100) if n % 10 != 5}
    view = ChartView(pain(scores, days=100, taped=taped, medicine=medicine), zooms=True)
    said: list[DaySpan] = []
    view.zoomed.connect(said.append)
    shown_chart(window, view)
    return view, said


def test_a_span_is_drawn_out_with_the_mouse_and_given_back(window: PageWindow) -> None:
    view, said = near(window)
    draw_out(view, day(20), day(47))
    assert view.in_view() == span(20, 47)
    assert said == [span(20, 47)]
    # The signs of these days alone, each as wide apart as there is now room; a gap stays a gap.
    assert places(view, AVERAGE) == [n for n in range(28) if (n + 20) % 10 != 5]
    assert [len(line.places) for line in lines(view, "accent")] == [5, 9, 9, 2]
    (whole,) = view.findChildren(QuietButton)
    assert whole.isVisible()
    assert whole.line == "In view: 9 Nov to 6 Dec"
    whole.click()
    assert view.in_view() == span(0, 99)
    assert said[-1] == span(0, 99)
    assert not whole.isVisible()
    assert view.hasFocus()


def test_a_short_span_is_shown_with_the_days_round_it(window: PageWindow) -> None:
    view, _ = near(window)
    view.zoom_to(span(50, 50))
    assert view.in_view() == span(47, 53)
    view.zoom_to(span(99, 99))
    assert view.in_view() == span(93, 99)
    view.zoom_to(span(-40, 12))
    assert view.in_view().first_day == day(0)
    assert view.in_view().days >= LEAST_DAYS
    view.zoom_to(span(-40, 400))
    assert view.in_view() == span(0, 99)


def test_plus_and_minus_look_closer_and_less_close_at_the_day_that_is_read(
    window: PageWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    monkeypatch.setattr(chart_module, "announce", lambda _, text: told.append(text))
    view, _ = near(window)
    view.read(day(30))
    QTest.keyClicks(view, "+")
    assert view.in_view().days == 50
    assert view.in_view().holds(day(30))
    assert told == ["In view: 25 Oct to 13 Dec"]
    for _ in range(6):
        QTest.keyClicks(view, "+")
    assert view.in_view().days == LEAST_DAYS
    assert view.in_view().holds(day(30))
    for _ in range(6):
        QTest.keyClicks(view, "-")
    assert view.in_view() == span(0, 99)


def test_the_days_in_view_follow_the_day_that_is_read(window: PageWindow) -> None:
    view, _ = near(window)
    view.zoom_to(span(50, 59))
    view.read(day(51))
    QTest.keyClick(view, LEFT)
    QTest.keyClick(view, LEFT)
    assert view.day_read() == day(49)
    assert view.in_view() == span(49, 58)
    for _ in range(2):
        QTest.keyClick(view, RIGHT, SHIFT)
    assert view.day_read() == day(63)
    assert view.in_view() == span(54, 63)


def test_close_or_not_the_chart_is_as_high_and_names_what_it_shows(window: PageWindow) -> None:
    view, _ = near(window, taped=span(0, 9), medicine=[day(70)])
    high = plot_of(view).height()
    assert {"Tape on", "Extra pain medicine"} <= set(words(view))
    view.zoom_to(span(60, 80))
    assert plot_of(view).height() == high
    assert "Tape on" not in words(view)
    assert "Extra pain medicine" in words(view)
    point_at(view, day(70))
    assert view.reading().endswith("Extra pain medicine.")


def test_another_chart_is_shown_whole(window: PageWindow) -> None:
    view, _ = near(window)
    view.zoom_to(span(60, 80))
    view.read(day(70))
    view.set_chart(pain({0: 4}, days=10))
    assert view.in_view() == span(0, 9)
    assert view.day_read() is None
    assert not view.findChildren(QuietButton)[0].isVisible()


@pytest.mark.parametrize("palette", PALETTES.values(), ids=lambda palette: palette.name)
@pytest.mark.parametrize("percent", [100, 200])
def test_a_closer_look_fits_in_every_look(
    window: PageWindow, qapp: QApplication, palette: object, percent: int
) -> None:
    apply(qapp, Theme(palette, percent))  # type: ignore[arg-type]
    view, _ = near(window)
    view.zoom_to(span(60, 80))
    settle()
    assert clipping.faults(view) == []
    assert accessibility.faults(view) == []


def test_four_hundred_redraws(window: PageWindow, qapp: QApplication) -> None:
    """One version of the toolkit aborted after some dozens of these (see pyproject.toml)."""
    days, sessions = ChartView(day_chart()), ChartView(gallery.session_chart())
    page = Page("Record")
    page.add(days)
    page.add(sessions)
    window.show_page(page)
    other = pain(dict.fromkeys((0, 1, 2, 5), 4), days=10)
    full, pairs = day_chart(), gallery.session_chart()
    for n in range(200):
        days.set_chart(other if n % 2 else full)
        sessions.set_chart(pairs)
        if n % 10 == 0:
            days.grab()
            sessions.grab()
            qapp.processEvents()
    assert places(days, AVERAGE) == [0, 1, 2, 5]
    assert places(days, WORST) == places(days, NOW) == []
