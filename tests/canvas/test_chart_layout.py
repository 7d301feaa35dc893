"""Where things stand in a chart: plain arithmetic, checked on the numbers, without the toolkit."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.canvas.box import Box
from companion.canvas.chart_layout import (
    ChartText,
    Drawn,
    Line,
    Mark,
    Plot,
    gutter_width,
    hatch,
    height_around,
    lay_out,
    spread,
)
from companion.presentation.view.chart import PLAN_STROKE, Chart, DaySpan, PlanLine
from companion.presentation.view.charts import (
    AVERAGE,
    AVERAGE_LINE,
    MEDICINE,
    NOW,
    WORST,
    SessionPair,
    TrialPair,
    session_chart,
    trial_chart,
)
from tests.canvas.charts import day, pain, span

FIRST = date(2026, 10, 20)


def plot(days: int = 10) -> Plot:
    return Plot(Box(40, 20, 200, 100), FIRST, FIRST + timedelta(days=days - 1))


def test_zero_is_the_bottom_and_ten_the_top() -> None:
    assert [plot().y(score) for score in (0, 5, 10)] == [120, 70, 20]


def test_each_day_has_a_column_of_its_own() -> None:
    # Ten days over 200 points: 20 each; the score sits in the middle of its column.
    ten = plot()
    assert [ten.x(FIRST + timedelta(days=n)) for n in (0, 1, 9)] == [50, 70, 230]
    assert ten.column(DaySpan(FIRST, FIRST + timedelta(days=1))) == (40, 80)


def test_a_column_is_as_wide_on_the_day_the_clocks_change() -> None:
    # In the European Union clocks go back on the last Sunday of October (Directive 2000/84/EC):
    # 25 October 2026, a night of 25 hours.
    xs = [plot().x(FIRST + timedelta(days=n)) for n in range(10)]
    assert {round(right - left, 9) for left, right in pairwise(xs)} == {20}


def test_a_span_is_cut_to_the_plot() -> None:
    before = FIRST - timedelta(days=5)
    assert plot().column(DaySpan(before, FIRST)) == (40, 60)


@given(
    st.lists(st.floats(0, 100), min_size=1, max_size=6),
    st.floats(1, 40),
)
def test_labels_keep_their_order_and_their_distance(wanted: list[float], gap: float) -> None:
    placed = spread(wanted, gap, 0, 100)
    room = min(gap, 100 / max(1, len(wanted) - 1))
    ordered = sorted(placed)
    assert all(b - a >= room - 1e-6 for a, b in pairwise(ordered))
    assert all(-1e-6 <= y <= 100 + 1e-6 for y in placed)
    for one, other in pairwise(sorted(range(len(wanted)), key=lambda n: (wanted[n], n))):
        assert placed[one] <= placed[other]


def test_a_label_with_room_stays_where_it_was_wanted() -> None:
    assert spread([10, 50, 90], 12, 0, 100) == (10, 50, 90)


@given(st.floats(0, 50), st.floats(0, 50), st.floats(1, 60), st.floats(1, 20))
def test_hatching_stays_inside_its_box(x: float, y: float, w: float, h: float) -> None:
    box = Box(x, y, w, h)
    strokes = hatch(box, 2.5)
    for x1, y1, x2, y2 in strokes:
        assert box.left - 1e-6 <= x1 < x2 <= box.right + 1e-6
        assert box.top - 1e-6 <= y2 <= y1 <= box.bottom + 1e-6
        assert x1 + y1 == pytest.approx(x2 + y2)


def test_a_day_wide_box_is_hatched() -> None:
    assert len(hatch(Box(3, 3, 6, 9), 2.6)) >= 4


# ---------------------------------------------------------------- a whole chart


@dataclass(frozen=True)
class Half:
    """A face whose every letter is half as wide as it is high."""

    size: float = 10.0
    line_height: float = 14.0
    cap_height: float = 7.0

    def width(self, text: str) -> float:
        return len(text) * self.size / 2

    def lines(self, text: str, width: float) -> tuple[str, ...]:
        return tuple(textwrap.wrap(text, max(int(width / self.size * 2), 1)))


FACE = Half()


def drawn(
    chart: Chart,
    width: float = 400,
    *,
    scale: float = 100,
    beside: bool = True,
    title: Half | None = None,
) -> Drawn:
    gutter = gutter_width([chart], FACE, width / 4) if beside else 0
    height = scale + height_around(chart, width, FACE, gutter, title)
    return lay_out(chart, Box(0, 0, width, height), FACE, gutter, title)


def marks(of: Drawn, sign: object) -> list[tuple[float, float]]:
    """Where a sign stands in the plot, by day and score."""
    plot = of.plot
    return [
        (
            round((item.x - plot.area.left) / plot.day_width - 0.5, 6),
            round((plot.area.bottom - item.y) / plot.area.height * 10, 6),
        )
        for item in of.items
        if isinstance(item, Mark) and item.sign == sign and item.x <= plot.area.right
    ]


def texts(of: Drawn) -> list[ChartText]:
    return [item for item in of.items if isinstance(item, ChartText)]


def extent(text: ChartText) -> tuple[float, float]:
    """Left and right edge of a text."""
    wide = FACE.width(text.words)
    left = text.x - {"left": 0, "centre": wide / 2, "right": wide}[text.align]
    return left, left + wide


def firm_lines(of: Drawn) -> list[int]:
    """How many days each line of the averages joins."""
    ink, width = AVERAGE_LINE.ink, 0.1 * FACE.size
    lines = [item for item in of.items if isinstance(item, Line)]
    return [len(line.places) for line in lines if (line.colour, line.width) == (ink, width)]


def test_every_score_stands_at_its_day_and_height_and_a_gap_is_a_gap() -> None:
    chart = pain({0: 6, 1: 5, 3: 0, 4: 10}, worst={1: 8}, now={13: 2})
    made = drawn(chart)
    assert marks(made, AVERAGE) == [(0, 6), (1, 5), (3, 0), (4, 10)]
    assert marks(made, WORST) == [(1, 8)]
    assert marks(made, NOW) == [(13, 2)]
    assert firm_lines(made) == [2, 2]


def test_a_day_alone_is_joined_to_nothing() -> None:
    assert firm_lines(drawn(pain({0: 6, 2: 5}))) == []


def test_the_signs_of_a_lane_stand_at_their_days() -> None:
    made = drawn(pain({0: 6}, medicine=[day(2), day(3), day(9)]))
    assert [x for x, _ in marks(made, MEDICINE)] == [2, 3, 9]
    (middle,) = made.lane_middles
    assert middle > made.plot.area.bottom


def test_sessions_of_a_day_stand_side_by_side_in_its_column() -> None:
    pairs = [SessionPair(day(2), 7, 3), SessionPair(day(2), 5, None), SessionPair(day(3), None, 1)]
    chart = session_chart("Check move", span(0, 6), pairs)
    assert [(p.day, p.share) for p in chart.series[0].points] == [(day(2), 0.25), (day(2), 0.75)]
    made = drawn(chart)
    (link,) = [i for i in made.items if isinstance(i, Line) and i.places[0][0] == i.places[1][0]
               and {made.plot.y(7), made.plot.y(3)} == {y for _, y in i.places}]  # fmt: skip
    assert link.colour == "quiet"


def test_pairs_of_a_trial_are_numbered_between_their_periods() -> None:
    pairs = [
        TrialPair(number=1, tape_day=day(0), no_tape_day=day(4), tape=3.5, no_tape=5),
        TrialPair(number=2, tape_day=day(12), no_tape_day=day(8), tape=4, no_tape=None),
    ]
    made = drawn(trial_chart("Trial", span(0, 14), pairs))
    numbers = {text.words: text.x for text in texts(made) if text.words in ("1", "2")}
    assert numbers == {"1": made.plot.x(day(2)), "2": made.plot.x(day(10))}


@pytest.mark.parametrize("gap", [0, 3, 30])
@pytest.mark.parametrize("title", [None, FACE])
def test_labels_of_plans_lie_over_nothing(gap: int, title: Half | None) -> None:
    lines = tuple(PlanLine(day(n * gap), f"Plan {n}") for n in range(3))
    made = drawn(pain({}, days=71, plan_lines=lines), title=title)
    named = [t for t in texts(made) if t.words.startswith("Plan ")]
    assert len(named) == 3
    dashed = [item for item in made.items if isinstance(item, Line) and item.dashed]
    assert len(dashed) == 3
    assert {line.colour for line in dashed} == {PLAN_STROKE.ink}
    for n, one in enumerate(texts(made)):
        assert 0 <= extent(one)[0] < extent(one)[1] <= 400
        for other in texts(made)[n + 1 :]:
            apart = extent(one)[1] <= extent(other)[0] or extent(other)[1] <= extent(one)[0]
            assert apart or abs(one.y - other.y) >= FACE.cap_height, (one, other)


@given(st.sets(st.integers(0, 70), min_size=2, max_size=12), st.sampled_from([None, FACE]))
def test_no_line_of_a_plan_strikes_through_a_label(days: set[int], title: Half | None) -> None:
    lines = tuple(PlanLine(day(n), f"Plan {n}") for n in sorted(days))
    made = drawn(pain({}, days=71, plan_lines=lines), title=title)
    down = [item.places for item in made.items if isinstance(item, Line) and item.dashed]
    for n in days:
        parts = [places for places in down if places[0][0] == made.plot.x(day(n), 0)]
        assert parts[-1][1][1] == made.plot.area.bottom
    for label in texts(made):
        if label.words.startswith("Plan "):
            left, right = extent(label)
            for (x, top), (_, bottom) in down:
                over = bottom <= label.y - FACE.cap_height or top >= label.y
                assert over or not left < x < right, label


@given(
    st.dictionaries(st.integers(0, 29), st.integers(0, 10)),
    st.dictionaries(st.integers(0, 29), st.integers(0, 10)),
    st.sets(st.integers(0, 29)),
    st.integers(220, 900),
    st.booleans(),
)
def test_nothing_leaves_the_box_and_no_name_lies_over_another(
    average: dict[int, int], worst: dict[int, int], taped: set[int], width: int, beside: bool
) -> None:
    chart = pain(average, worst=worst, taped=map(day, taped), days=30)
    made = drawn(chart, width, beside=beside, title=FACE)
    assert round(made.plot.area.height, 6) == 100
    high = 100 + height_around(
        chart, width, FACE, gutter_width([chart], FACE, width / 4) if beside else 0, FACE
    )
    for item in made.items:
        places = item.places if isinstance(item, Line) else ((item.x, item.y),)
        assert all(-1e-6 <= x <= width + 1e-6 for x, _ in places)
        assert all(-1e-6 <= y <= high + 1e-6 for _, y in places)
    names = [t for t in texts(made) if t.words in ("Average", "Worst", "Tape on")]
    held = {each.name for each in chart.series} | {lane.name for lane in chart.lanes}
    assert {t.words for t in names} == held
    for n, one in enumerate(names):
        for other in names[n + 1 :]:
            beside_it = extent(one)[1] < extent(other)[0] or extent(other)[1] < extent(one)[0]
            assert beside_it or abs(one.y - other.y) >= FACE.line_height - 1e-6


@given(st.integers(1, 4000), st.integers(200, 1200))
def test_labels_of_days_stand_apart(days: int, width: int) -> None:
    made = drawn(pain({}, days=days), width)
    row = max(text.y for text in texts(made))
    labels = sorted(extent(text) for text in texts(made) if text.y == row)
    assert labels
    assert all(right < left for (_, right), (left, _) in pairwise(labels))


@given(st.integers(1, 60), st.floats(-50, 500))
def test_a_place_is_read_as_the_day_whose_column_holds_it(days: int, x: float) -> None:
    many = plot(days)
    found = many.day_at(x)
    left, right = many.x(found, 0), many.x(found, 1)
    assert left - 1e-6 <= min(max(x, many.area.left), many.area.right) <= right + 1e-6
