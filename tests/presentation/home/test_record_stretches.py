"""A long record is told by weeks, a longer one by months, and never by a smear of days."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from companion.presentation.home.record_stretches import stretches_of
from companion.presentation.home.record_view import Span, record_view
from companion.presentation.view.chart import DaySpan
from tests.builders import START, DiaryBuilder, after_hands, before
from tests.paper.diaries import plan


def book(days: int) -> DiaryBuilder:
    """A page each day, a session and tape each week, and a warning sign halfway."""
    made = DiaryBuilder()
    for n in range(days):
        made.page(n, 4 + n % 3, pain_worst=7, medicine=n % 7 == 0)
        if n % 7 == 0:
            made.session(n, before(6), after_hands(3))
    return made


@pytest.mark.parametrize("days", [183, 400, 731, 3653])
def test_every_day_is_in_one_stretch(days: int) -> None:
    whole = DaySpan(START, START + timedelta(days=days - 1))
    spans = [one.days for one in stretches_of(whole)]
    assert [day for span in spans for day in span] == [*whole]
    names = [one.name for one in stretches_of(whole)]
    assert len(set(names)) == len(names)
    if days < 731:
        assert all(span.first_day.weekday() == 0 for span in spans[1:])
    else:
        assert all(span.first_day.month in (3, 6, 9, 12) for span in spans[1:])


def test_from_half_a_year_on_a_mark_stands_for_a_week_and_is_its_middle_score() -> None:
    made = book(183)
    last = made.day(182)
    days = record_view(made.entries, [plan()], "right", Span.ALL, last - timedelta(days=1))
    weeks = record_view(made.entries, [plan()], "right", Span.ALL, last)
    assert len(days.day_chart.series[0].points) == 182
    average = weeks.day_chart.series[0]
    assert len(average.points) == len(stretches_of(weeks.days))
    assert {point.score for point in average.points[1:-1]} == {5.0}, "of 4, 5, 6 in turn"
    assert len(average.runs) == 1, "weeks side by side are joined"
    assert weeks.day_chart.read_out(average.points[3].day).startswith("Week from ")
    assert weeks.counted == "Pain written down on 183 of 183 days."


def test_a_week_with_nothing_breaks_the_line_and_is_a_row_of_dashes() -> None:
    made = book(183)
    monday = next(d for d in range(70, 80) if made.day(d).weekday() == 0)
    gone = {made.day(monday + n) for n in range(7)}
    entries = [one for one in made.entries if one.for_day not in gone]
    view = record_view(entries, [plan()], "right", Span.ALL, made.day(182))
    assert len(view.day_chart.series[0].runs) == 2
    row = view.table.rows[view.table.days.index(DaySpan(made.day(monday), made.day(monday + 6)))]
    assert set(row[1:]) == {None}


def test_ten_years_are_forty_marks_under_heads_that_name_the_year() -> None:
    made = book(3653)
    plans = [
        plan(version=n + 1, written_on=START + timedelta(days=180 * n), review_on=START)
        for n in range(20)
    ]
    view = record_view(made.entries, plans, "right", Span.ALL, made.day(3652))
    assert len(view.day_chart.series[0].points) <= 42
    assert view.day_chart.plan_lines == ()
    heads = [row[0] for row, days in zip(view.table.rows, view.table.days, strict=True) if not days]
    assert heads == [str(year) for year in range(made.day(3652).year, START.year - 1, -1)]
    assert len(view.table.rows) <= 42 + len(heads)


def test_the_days_of_a_row_are_what_is_opened_by_it() -> None:
    made = book(200)
    view = record_view(made.entries, [plan()], "right", Span.ALL, made.day(199))
    chosen = next(days for days in view.table.days if days is not None)
    near = record_view(made.entries, [plan()], "right", chosen, made.day(199))
    assert near.days == chosen
    assert all(days is None or days.days == 1 for days in near.table.days)


def test_many_days_stand_under_their_months() -> None:
    made = book(90)
    view = record_view(made.entries, [plan()], "right", Span.ALL, made.day(89))
    heads = [row[0] for row, days in zip(view.table.rows, view.table.days, strict=True) if not days]
    months = {date(2026, n, 1).strftime("%B %Y") for n in (8, 9, 10, 11)}
    assert set(heads) == months
