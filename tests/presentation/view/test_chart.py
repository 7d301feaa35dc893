"""Chart descriptions: runs, spans and the labels of a day axis."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.presentation.view.chart import (
    DayChart,
    DayPoint,
    PointKind,
    SessionPair,
    TrialChart,
    TrialPair,
    day_label,
    day_ticks,
    runs_of_consecutive_days,
    spans_of_days,
)

START = date(2026, 10, 20)


def point(offset: int, score: float = 4, kind: PointKind = PointKind.AVERAGE) -> DayPoint:
    return DayPoint(kind, START + timedelta(days=offset), score)


def test_a_missing_day_ends_a_run() -> None:
    runs = runs_of_consecutive_days([point(0), point(1), point(3), point(6), point(7)])
    assert [[(p.day - START).days for p in run] for run in runs] == [[0, 1], [3], [6, 7]]


def test_a_run_crosses_the_day_the_clocks_change() -> None:
    # Clocks in the European Union go back on the last Sunday of October (Directive 2000/84/EC):
    # 25 October 2026. Days are plain dates, so that night is one step like any other.
    runs = runs_of_consecutive_days([point(4), point(5), point(6)])
    assert len(runs) == 1


def test_two_points_of_one_kind_on_one_day_are_refused() -> None:
    with pytest.raises(ValueError, match="two points"):
        runs_of_consecutive_days([point(0), point(0, 5)])


@given(st.sets(st.integers(0, 400)))
def test_runs_keep_every_point_and_join_only_neighbours(offsets: set[int]) -> None:
    runs = runs_of_consecutive_days([point(n) for n in offsets])
    assert sorted((p.day - START).days for run in runs for p in run) == sorted(offsets)
    for run in runs:
        days = [p.day.toordinal() for p in run]
        assert days == list(range(days[0], days[-1] + 1))
    for left, right in pairwise(runs):
        assert (right[0].day - left[-1].day).days > 1


@given(st.lists(st.integers(0, 60)))
def test_spans_cover_exactly_their_days(offsets: list[int]) -> None:
    spans = spans_of_days(START + timedelta(days=n) for n in offsets)
    assert sum(span.days for span in spans) == len(set(offsets))


@pytest.mark.parametrize("score", [-1, 11, float("nan"), float("inf")])
def test_a_score_off_the_scale_is_refused(score: float) -> None:
    with pytest.raises(ValueError, match="0-10"):
        point(0, score)
    with pytest.raises(ValueError, match="0-10"):
        SessionPair(START, score, None)


def test_a_chart_refuses_what_lies_outside_its_days() -> None:
    with pytest.raises(ValueError, match="outside"):
        DayChart("Pain", START, START + timedelta(days=2), series=(point(3),))


def test_day_labels() -> None:
    assert day_label(date(2026, 11, 2)) == "2 Nov"


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
    assert pair.places == ((day, 3.5, True),)
    assert TrialChart("", day, day).is_empty
    assert not TrialChart("", day, day, (pair,)).is_empty
    with pytest.raises(ValueError, match="not on the 0-10 scale"):
        replace(pair, no_tape=10.5)
    with pytest.raises(ValueError, match="outside"):
        TrialChart("", day - timedelta(days=3), day - timedelta(days=1), (pair,))
    with pytest.raises(ValueError, match="before it begins"):
        TrialChart("", day, day - timedelta(days=1))


def test_a_trial_s_periods_are_told_in_their_order_and_numbered_between() -> None:
    day = date(2026, 9, 20)
    pair = TrialPair(number=4, tape_day=day, no_tape_day=day - timedelta(days=4), tape=3, no_tape=5)
    assert [taped for _, _, taped in pair.places] == [False, True]
    chart = TrialChart("", day - timedelta(days=6), day, (pair,))
    assert chart.labels == ((day.toordinal() - 2, "4"),)
