"""Chart descriptions: runs, spans and the labels of a day axis."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.presentation.language.phrases import short_day
from companion.presentation.view.chart import (
    Chart,
    DaySpan,
    Lane,
    PlanLine,
    Point,
    Series,
    day_ticks,
    spans_of_days,
)
from companion.presentation.view.charts import (
    AVERAGE,
    AVERAGE_LINE,
    SessionPair,
    TrialPair,
    pain_chart,
    session_chart,
    trial_chart,
)

START = date(2026, 10, 20)


def day(offset: int) -> date:
    return START + timedelta(days=offset)


def joined(offsets: list[int]) -> Series:
    """Averages on these days."""
    points = tuple(Point(day(n), 4) for n in offsets)
    return Series("Average", AVERAGE, points, AVERAGE_LINE)


def test_a_missing_day_ends_a_run() -> None:
    runs = joined([0, 1, 3, 6, 7]).runs
    assert [[(p.day - START).days for p in run] for run in runs] == [[0, 1], [3], [6, 7]]


def test_a_run_crosses_the_day_the_clocks_change() -> None:
    # Clocks in the European Union go back on the last Sunday of October (Directive 2000/84/EC):
    # 25 October 2026. Days are plain dates, so that night is one step like any other.
    assert len(joined([4, 5, 6]).runs) == 1


def test_two_joined_points_on_one_day_are_refused() -> None:
    with pytest.raises(ValueError, match="Average: 2026-10-20 follows 2026-10-20"):
        joined([0, 0])
    with pytest.raises(ValueError, match="follows"):
        Series("Before", AVERAGE, (Point(day(1), 4), Point(day(0), 4)))


@given(st.sets(st.integers(0, 400)))
def test_runs_keep_every_point_and_join_only_neighbours(offsets: set[int]) -> None:
    runs = joined(sorted(offsets)).runs
    assert sorted((p.day - START).days for run in runs for p in run) == sorted(offsets)
    for run in runs:
        days = [p.day.toordinal() for p in run]
        assert days == list(range(days[0], days[-1] + 1))
    for left, right in pairwise(runs):
        assert (right[0].day - left[-1].day).days > 1


@given(st.lists(st.integers(0, 60)))
def test_spans_cover_exactly_their_days(offsets: list[int]) -> None:
    spans = spans_of_days(START + timedelta(days=n) for n in offsets)
    assert {d for span in spans for d in span} == {day(n) for n in offsets}
    assert sum(span.days for span in spans) == len(set(offsets))


@pytest.mark.parametrize("score", [-1, 11, float("nan"), float("inf")])
def test_a_score_off_the_scale_is_refused(score: float) -> None:
    with pytest.raises(ValueError, match="0-10"):
        Point(START, score)
    with pytest.raises(ValueError, match="0-10"):
        session_chart("", DaySpan(START, START), [SessionPair(START, score, None)])


def test_a_chart_refuses_what_lies_outside_its_days() -> None:
    with pytest.raises(ValueError, match="outside"):
        Chart("Pain", "", START, day(2), (joined([3]),))


def test_a_lane_without_a_sign_has_a_text_for_every_span() -> None:
    span = DaySpan(START, day(1))
    assert Lane("Pair", (span,), texts=("1",)).texts == ("1",)
    with pytest.raises(ValueError, match="a text for every span"):
        Lane("Pair", (span,))


def pain() -> Chart:
    """Ten days: three with scores, three with tape, a flare, a new plan."""
    return pain_chart(
        "Right knee",
        DaySpan(START, day(9)),
        average={day(0): 6, day(1): 5, day(8): 2},
        worst={day(1): 8},
        now={},
        taped=[day(n) for n in (1, 2, 3)],
        medicine=[day(1)],
        flares=[DaySpan(day(3), day(5))],
        plan_lines=[PlanLine(day(8), "Plan 2")],
    )


def test_a_day_is_read_out_with_all_that_is_held_for_it_and_a_gap_as_a_gap() -> None:
    chart = pain()
    assert chart.read_out(day(1)) == (
        "Wednesday 21 October 2026. Average 5. Worst 8. Tape on. Extra pain medicine."
    )
    assert chart.read_out(day(2)) == "Thursday 22 October 2026. No score. Tape on."
    assert chart.read_out(day(7)) == "Tuesday 27 October 2026. No score."
    assert chart.read_out(day(8)) == "Wednesday 28 October 2026. Average 2. Plan 2 begins."
    assert chart.fullest_day == day(1)
    assert chart.stops == tuple(day(n) for n in range(10))


def test_sessions_of_a_day_are_read_out_in_their_order() -> None:
    pairs = [SessionPair(START, 7, 3, 1), SessionPair(START, 5, None), SessionPair(day(1), 6, 2)]
    chart = session_chart("", DaySpan(START, day(3)), pairs)
    assert chart.read_out(START) == "Tuesday 20 October 2026. Before 7, 5. After: side strips 3."
    assert chart.read_out(day(1)) == "Wednesday 21 October 2026. Before 6. After: no tape 2."


def test_only_taped_sessions_make_the_others_bare() -> None:
    span = DaySpan(START, START)
    bare = session_chart("", span, [SessionPair(START, 7, 3, 0), SessionPair(START, 7, 4, None)])
    assert [series.name for series in bare.series] == ["Before", "After"]
    assert [point.score for point in bare.series[1].points] == [3, 4]
    stages = [SessionPair(START, 7, 3, stage) for stage in (2, None, 0, 1)]
    assert [series.name for series in session_chart("", span, stages).series] == [
        "Before",
        "After: no tape",
        "After: side strips",
        "After: side strips and short pieces",
        "After",
    ]


@given(st.integers(0, 9), st.integers(0, 9))
def test_a_part_of_a_chart_holds_what_the_whole_says_of_its_days(one: int, other: int) -> None:
    chart = pain()
    span = DaySpan(day(min(one, other)), day(max(one, other)))
    part = chart.within(span)
    assert part.days == span
    assert [part.read_out(d) for d in span] == [chart.read_out(d) for d in span]
    assert all(span.holds(d) for lane in part.lanes for each in lane.spans for d in each)


def test_labels_of_days_are_short() -> None:
    assert short_day(date(2026, 11, 2)) == "2 Nov"


def test_ticks_of_ten_weeks_are_fortnights() -> None:
    labels = [tick.label for tick in day_ticks(date(2026, 9, 1), date(2026, 11, 20), 8)]
    assert labels == ["1 Sep", "15 Sep", "29 Sep", "13 Oct", "27 Oct", "10 Nov"]


def test_ticks_name_a_new_year_once() -> None:
    labels = [tick.label for tick in day_ticks(date(2026, 9, 1), date(2027, 11, 20), 8)]
    assert labels == ["Sep 2026", "Nov", "Jan 2027", "Mar", "May", "Jul", "Sep", "Nov"]


@given(st.integers(0, 20_000), st.integers(2, 12))
def test_ticks_fit_the_room_and_lie_on_the_axis(length: int, most: int) -> None:
    last = START + timedelta(days=length)
    ticks = day_ticks(START, last, most)
    assert len(ticks) <= most
    assert all(START <= tick.day <= last for tick in ticks)
    assert [t.day for t in ticks] == sorted({t.day for t in ticks})


def test_a_trial_s_means_are_scores_and_lie_within_its_days() -> None:
    day = date(2026, 9, 16)
    pair = TrialPair(number=1, tape_day=day, no_tape_day=day, tape=3.5, no_tape=None)
    (taped,) = trial_chart("", DaySpan(day, day), (pair,)).series
    assert taped.points == (Point(day, 3.5),)
    assert trial_chart("", DaySpan(day, day), ()).is_empty
    with pytest.raises(ValueError, match="not on the 0-10 scale"):
        trial_chart("", DaySpan(day, day), (replace(pair, no_tape=10.5),))
    with pytest.raises(ValueError, match="outside"):
        trial_chart("", DaySpan(day - timedelta(days=3), day - timedelta(days=1)), (pair,))
    with pytest.raises(ValueError, match="before it begins"):
        Chart("", "", day, day - timedelta(days=1))


def test_a_trial_s_periods_are_joined_in_the_pair_and_numbered_between() -> None:
    day = date(2026, 9, 20)
    pair = TrialPair(number=4, tape_day=day, no_tape_day=day - timedelta(days=4), tape=3, no_tape=5)
    chart = trial_chart("", DaySpan(day - timedelta(days=6), day), (pair,))
    assert chart.links == ((Point(day, 3), Point(day - timedelta(days=4), 5)),)
    (numbers,) = chart.lanes
    assert (numbers.spans, numbers.texts) == ((DaySpan(day - timedelta(days=4), day),), ("4",))
    assert chart.stops == (day - timedelta(days=4), day)
    assert chart.read_out(day) == "Sunday 20 September 2026. With tape 3. Pair 4."
