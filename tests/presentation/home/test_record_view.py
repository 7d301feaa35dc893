"""The record of one knee: what is drawn, what is a gap, and the same data as rows."""

from __future__ import annotations

import subprocess
import sys
from datetime import date, timedelta

from companion.care.records import TapeOff
from companion.presentation.home.record_view import (
    Span,
    day_chart,
    days_of_span,
    record_table,
    record_view,
    session_chart,
    tape_on_days,
)
from companion.presentation.view.chart import Chart, DaySpan, Lane, Series
from tests.builders import START, DiaryBuilder, after_hands, after_tape, before
from tests.paper.diaries import at, eight_weeks, plan


def day(n: int) -> date:
    return START + timedelta(days=n)


def series(chart: Chart, name: str) -> Series:
    """One series by its name."""
    return next(each for each in chart.series if each.name == name)


def lane(chart: Chart, name: str) -> Lane:
    """One lane by its name."""
    return next(each for each in chart.lanes if each.name == name)


def test_what_was_not_answered_is_not_drawn_and_not_zero() -> None:
    book = DiaryBuilder()
    book.page(0, 6)
    book.page(1, None, pain_worst=8)
    book.page(3, 0)
    chart = day_chart(book.entries, [plan()], "right", day(0), day(3))
    assert [(p.day, p.score) for p in series(chart, "Average").points] == [(day(0), 6), (day(3), 0)]
    assert [len(run) for run in series(chart, "Average").runs] == [1, 1]
    assert [(p.day, p.score) for p in series(chart, "Worst").points] == [(day(1), 8)]


def test_the_other_knee_stays_out_but_the_persons_medicine_counts() -> None:
    book = DiaryBuilder()
    book.page(0, 6, medicine=None)
    book.page(0, 2, side="left", medicine=True)
    chart = day_chart(book.entries, [plan()], "right", day(0), day(0))
    assert [p.score for each in chart.series for p in each.points] == [6]
    assert lane(chart, "Extra pain medicine").spans == (DaySpan(day(0), day(0)),)
    table = record_table(book.entries, [plan()], "right", day(0), day(0))
    assert table.rows[0][table.headers.index("Extra medicine")] == "yes"


def test_tape_is_on_from_its_day_to_the_day_it_came_off() -> None:
    book = DiaryBuilder()
    book.tape(2, 48)
    assert tape_on_days(book.entries, [plan()], "right", day(9)) == {day(2), day(3), day(4)}
    assert tape_on_days(book.entries, [plan()], "left", day(9)) == frozenset()


def test_tape_taken_off_before_three_in_the_morning_belongs_to_the_evening() -> None:
    # The diary day ends at 03:00.
    book = DiaryBuilder()
    book.tape(2, 8)  # on at 18:30, off at 02:30
    assert tape_on_days(book.entries, [plan()], "right", day(9)) == {day(2)}


def test_tape_nobody_took_off_is_still_on_up_to_the_hard_cap() -> None:
    book = DiaryBuilder()
    book.tape(2, None)
    assert tape_on_days(book.entries, [plan()], "right", day(4)) == {day(2), day(3), day(4)}
    # The plan's cap is 120 hours, five days (fact: wear_cap).
    assert max(tape_on_days(book.entries, [plan()], "right", day(30))) == day(7)


def test_tape_off_at_no_known_time_ends_on_the_day_it_was_found_off() -> None:
    book = DiaryBuilder()
    on = book.tape(2, None)
    book.add(TapeOff, 4, side="right", tape_on=on.id, happened_at=None)
    assert tape_on_days(book.entries, [plan()], "right", day(9)) == {day(2), day(3), day(4)}


def test_short_pieces_added_later_do_not_end_the_wear() -> None:
    book = DiaryBuilder()
    book.tape(2, None)
    book.tape(3, 24, stage=2)
    assert tape_on_days(book.entries, [plan()], "right", day(9)) == {day(2), day(3), day(4)}


def test_a_paper_page_that_ticks_tape_draws_the_band() -> None:
    book = DiaryBuilder()
    book.page(0, 5, tape_worn=True, written_by="paper")
    book.page(1, 5, tape_worn=False, written_by="paper")
    chart = day_chart(book.entries, [plan()], "right", day(0), day(1))
    assert lane(chart, "Tape on").spans == (DaySpan(day(0), day(0)),)
    table = record_table(book.entries, [plan()], "right", day(0), day(1))
    tape = table.headers.index("Tape on")
    assert [row[tape] for row in table.rows] == ["no", "yes"]


def test_no_tape_ever_leaves_the_column_out() -> None:
    book = DiaryBuilder()
    book.page(0, 5)
    assert "Tape on" not in record_table(book.entries, [plan()], "right", day(0), day(0)).headers


def test_rows_are_newest_first_and_a_gap_says_its_length() -> None:
    book = DiaryBuilder()
    book.page(0, 6)
    book.page(4, 5)
    table = record_table(book.entries, [plan()], "right", day(0), day(5))
    assert [row[0] for row in table.rows] == ["5 Sep", "4 Sep", "1 Sep to 3 Sep", "31 Aug"]
    assert [row[-1] for row in table.rows] == [
        "nothing recorded",
        None,
        "3 days with nothing recorded",
        None,
    ]
    assert all(len(row) == len(table.headers) for row in table.rows)


def test_the_table_holds_the_numbers_of_the_chart() -> None:
    own, entries = eight_weeks()
    chart = day_chart(entries, [own], "right", day(0), day(55))
    table = record_table(entries, [own], "right", day(0), day(55))
    for header in ("Average", "Worst", "Now"):
        column = table.headers.index(header)
        cells = [row[column] for row in table.rows if row[column] is not None]
        assert cells == [str(p.score) for p in reversed(series(chart, header).points)]


def test_lateness_paper_and_correction_are_said() -> None:
    # Late: written at or after 03:00 two days after the day.
    book = DiaryBuilder()
    book.page(0, 5, written_at=at(day(2), 2, 59))
    book.page(1, 5, written_at=at(day(3), 3, 0))
    book.page(2, 5, written_by="paper", written_at=at(day(30)))
    book.page(3, 5, replaces="f" * 32)
    table = record_table(book.entries, [plan()], "right", day(0), day(3))
    assert [row[-1] for row in table.rows] == ["put right", "from paper", "written late", None]


def test_a_session_row_says_before_then_after_and_what_with() -> None:
    book = DiaryBuilder()
    book.session(0, before(7), after_hands(5), after_tape(3))
    book.session(1, before(7), after_hands(3))
    book.session(2, before(7), ended="stopped")
    book.session(3, before(6), after_hands(4), comparable=False)
    table = record_table(book.entries, [plan()], "right", day(0), day(3))
    moves = table.headers.index("Check move")
    assert [row[moves] for row in table.rows] == [
        "6, then 4 (done differently)",
        "7, no score after",
        "7, then 3",
        "7, then 3 with tape",
    ]
    assert table.rows[1][-1] == "routine stopped"


def test_session_chart_takes_the_last_after_score_and_its_stage() -> None:
    book = DiaryBuilder()
    book.session(0, before(7), after_hands(5), after_tape(4, 1), after_tape(3, 2))
    book.session(0, before(4), after_hands(2), happened_at=at(day(0), 21))
    book.session(1, before(6), after_hands(4), comparable=False)
    chart = session_chart(book.entries, [plan()], "right", day(0), day(1))
    held = {each.name: [(p.day, p.share, p.score) for p in each.points] for each in chart.series}
    assert held == {
        "Before": [(day(0), 0.25, 7), (day(0), 0.75, 4), (day(1), 0.5, 6)],
        "After: no tape": [(day(0), 0.75, 2)],
        "After: side strips and short pieces": [(day(0), 0.25, 3)],
    }
    assert [(one.score, other.score) for one, other in chart.links] == [(7, 3), (4, 2)]


def test_spans_end_on_the_given_day() -> None:
    book = DiaryBuilder()
    book.page(0, 5)
    assert days_of_span(book.entries, [plan()], "right", Span.LAST_14_DAYS, day(20)).days == 14
    whole = days_of_span(book.entries, [plan()], "right", Span.LAST_8_WEEKS, day(80))
    assert (whole.days, whole.last_day) == (56, day(80))
    assert days_of_span(book.entries, [plan()], "right", Span.ALL, day(20)) == DaySpan(
        day(0), day(20)
    )
    assert days_of_span([], [], "right", Span.ALL, day(20)) == DaySpan(day(20), day(20))


def test_days_before_the_plan_are_not_days_without_a_record() -> None:
    late = plan(written_on=day(30))
    assert days_of_span([], [late], "right", Span.LAST_8_WEEKS, day(45)) == DaySpan(
        day(30), day(45)
    )
    assert record_view([], [late], "right", Span.LAST_8_WEEKS, day(45)).counted == (
        "Pain written down on 0 of 16 days."
    )
    # What paper brought from before the plan is shown, and the days between are named as such.
    book = DiaryBuilder()
    book.page(20, 5)
    book.page(31, 4)
    view = record_view(book.entries, [late], "right", Span.LAST_8_WEEKS, day(32))
    assert view.days == DaySpan(day(20), day(32))
    said = [(row[0], row[-1]) for row in view.table.rows]
    assert said == [
        ("2 Oct", "nothing recorded"),
        ("1 Oct", None),
        ("30 Sep", "nothing recorded"),
        ("21 Sep to 29 Sep", "9 days before the plan"),
        ("20 Sep", None),
    ]
    # A clock behind the plan leaves one day, and no chart that runs backwards.
    assert days_of_span([], [late], "right", Span.LAST_8_WEEKS, day(3)).days == 1


def test_plan_changes_are_lines_but_the_beginning_is_not() -> None:
    plans = [plan(), plan(version=2, written_on=day(10)), plan(version=3, written_on=day(10))]
    book = DiaryBuilder()
    book.page(0, 5)
    chart = day_chart(book.entries, plans, "right", day(0), day(20))
    assert [(line.day, line.label) for line in chart.plan_lines] == [(day(10), "Plan 3")]


def test_the_view_counts_days_and_speaks_for_the_picture() -> None:
    own, entries = eight_weeks()
    view = record_view(entries, [own], "right", Span.LAST_14_DAYS, day(55))
    assert view.heading == "Right knee, 12 Oct to 25 Oct"
    assert view.counted == "Pain written down on 12 of 14 days."
    assert view.day_chart.description == (
        "Right knee, 12 Oct to 25 Oct. Average pain on 12 of 14 days, from 4 to 5. "
        "The worst was 7, last on 24 Oct."
    )
    assert not view.is_empty
    assert record_view([], [own], "right", Span.ALL, day(55)).is_empty


def test_whoever_cannot_see_the_chart_is_told_its_course_worst_and_gap() -> None:
    book = DiaryBuilder()
    for number in range(40):
        if not 20 <= number < 26:
            start = 6 if number < 14 else 4
            book.page(
                number, start if number % 2 else start + 1, pain_worst=9 if number == 3 else 8
            )
    chart = day_chart(book.entries, [plan()], "right", day(0), day(39))
    # By hand: fortnights of seven 6s and seven 7s, and seven 4s and seven 5s; days 20 to 25 empty.
    assert chart.description.endswith(
        "Average pain on 34 of 40 days, from 4 to 7. In the first 14 days about 6½, in the last 14 "
        "about 4½. The worst was 9, last on 3 Sep. The longest gap is 6 days."
    )


def test_flares_are_cut_to_the_chart() -> None:
    chart = day_chart(
        [],
        [plan()],
        "right",
        day(10),
        day(20),
        flares=[DaySpan(day(8), day(11)), DaySpan(day(30), day(31))],
    )
    assert lane(chart, "Flare").spans == (DaySpan(day(10), day(11)),)


def test_the_page_loads_no_heavy_library() -> None:
    # These cost more than the rest of the start together.
    code = (
        "import sys, companion.presentation.home.record_view;"
        "print([m for m in ('pydantic', 'numpy', 'scipy', 'pyqtgraph', 'PySide6')"
        " if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
