"""The edges of a diary: each gives a typed answer, never an exception, never a made-up number."""

import math
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from datetime import date, timedelta
from statistics import stdev
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.records import Amount
from companion.evidence.figures import CannotTell, Findings
from companion.evidence.flare_signal import decide, decisions, signals
from companion.evidence.limits import limits
from companion.evidence.overlap import interval
from companion.evidence.process_chart import process_chart
from companion.evidence.scale_end import scale_end
from companion.evidence.tape_trial import estimate
from companion.evidence.trend import trend, weekly_means
from tests.builders import DAY, at, by_day, diary, page, pages, plan, scores
from tests.found import findings


def numbers_in(value: Any) -> Iterator[float]:
    if is_dataclass(value) and not isinstance(value, type):
        for each in fields(value):
            yield from numbers_in(getattr(value, each.name))
    elif isinstance(value, tuple):
        for each in value:
            yield from numbers_in(each)
    elif isinstance(value, float):
        yield value


def unknown(found: Findings, finding: str) -> CannotTell:
    (item,) = [each for each in found.cannot_tell if each.finding == finding]
    return item


def day(step: int) -> date:
    return DAY + timedelta(days=step)


# ---------------------------------------------------------------- few values


@pytest.mark.parametrize("row", ["", "4", "4 7", "4 - - - - - - - - - - - - - - - - - - 7"])
def test_hardly_any_value(row: str) -> None:
    found = findings(diary(pages(row)))
    pain = found.pain
    assert (pain.low, pain.high, pain.model.change) == (None, None, None)
    assert found.verdicts.better.verdict == "cannot_tell"
    assert found.verdicts.better.need
    assert (pain.trend.slope_per_week, pain.trend.verdict) == (None, "too_short")
    assert pain.nap.value is None
    assert pain.limits.real_change_points is None
    assert pain.process_chart.centre is None
    assert (pain.signals, pain.signal_decision) == ((), "no_decision")
    for key in (
        *("pain.low", "pain.high", "pain.trend", "pain.nap", "pain.limits"),
        *("pain.signal_decision", "pain.process_chart"),
    ):
        assert unknown(found, key).have < unknown(found, key).need


def test_what_is_missing_is_named_with_its_number() -> None:
    found = findings(diary(pages([5, None] * 6 + [5] * 16)))
    assert (unknown(found, "pain.trend").have, unknown(found, "pain.trend").need) == (4, 5)
    change = unknown(found, "pain.low")
    assert (change.why, change.have, change.need) == ("too_few_recorded_days", 8, 10)
    short = findings(diary(pages([5] * 13)))
    assert (unknown(short, "pain.limits").have, unknown(short, "pain.limits").need) == (13, 14)


def test_nap_needs_five_days_in_each_window_and_no_shared_day() -> None:
    few = [5] * 4 + [None] * 10 + [5] * 14
    assert findings(diary(pages(few))).pain.nap.value is None
    assert unknown(findings(diary(pages(few))), "pain.nap").have == 4
    five = [5] * 5 + [None] * 9 + [5] * 14
    assert findings(diary(pages(five))).pain.nap.value == 0.5
    shared = findings(diary(pages([5] * 27)))
    assert unknown(shared, "pain.nap").why == "windows_share_days"


# ---------------------------------------------------------------- no spread


def test_a_constant_series_has_the_floor_for_a_spread() -> None:
    pain = findings(diary(pages([6] * 14 + [4] * 14))).pain
    assert pain.limits.spread is not None
    constant = findings(diary(pages([5] * 60))).pain
    assert constant.limits.spread == 0.6
    # By hand: 1.96 x sqrt 2 x .6.
    assert constant.limits.real_change_points == pytest.approx(1.663115)
    # By hand: r* = 0 + 1/14, f = 1 + 2 (13/14 (1/14) + 12/14 (1/14)^2 + ...) and so on; the change
    # is certain to be near 0 and its range is not nothing.
    assert findings(diary(pages([5] * 60))).verdicts.better.verdict == "same"
    assert constant.low is not None
    assert constant.high is not None
    assert constant.low < 0 < constant.high
    assert constant.high == pytest.approx(-constant.low)
    assert pain.high is not None
    assert pain.high > -2


@pytest.mark.parametrize("other", [2, 3, 4, 6, 7, 8])
def test_no_alarm_on_the_first_different_day(other: int) -> None:
    row = by_day([5] * 40 + [other])
    assert decide(row, day(40)).decision == "no_signal"


def test_all_of_both_windows_equal() -> None:
    pain = findings(diary(pages([5] * 60))).pain
    assert pain.nap.value == 0.5
    assert pain.nap.low is not None
    assert pain.nap.high is not None
    assert pain.nap.low < 0.5 < pain.nap.high
    found = estimate([0.0] * 8)
    assert (found.hodges_lehmann, found.p, found.mean_difference) == (0, 1, 0)
    assert found.favouring == 0


@pytest.mark.parametrize(("value", "m", "n"), [(1.0, 5, 5), (1.0, 14, 14), (0.0, 5, 14)])
def test_an_overlap_at_its_end_still_has_a_range(value: float, m: int, n: int) -> None:
    low, high = interval(value, m, n)
    assert 0 <= low < high <= 1


# ---------------------------------------------------------------- ends of the scale


def test_all_zeros_is_at_the_bottom() -> None:
    found = findings(diary(pages([0] * 60)))
    assert found.pain.scale_end == "at_bottom"
    assert found.pain.change_points == 0
    assert found.verdicts.better.verdict == "same"
    assert found.pain.trend.slope_per_week == 0
    assert found.pain.process_chart.low == 0


def test_no_limit_of_the_process_chart_lies_above_the_scale() -> None:
    """Steps of ten from day to day: 3.268 times their mean is far above 10."""
    chart = process_chart({DAY + timedelta(days=day): day % 2 * 10 for day in range(20)})
    assert chart.moving_range == 10
    assert (chart.low, chart.high, chart.range_high) == (0, 10, 10)


@pytest.mark.parametrize(("score", "recordable"), [(7, True), (8, False), (9, False), (10, False)])
def test_from_eight_on_a_rise_of_two_cannot_be_recorded(score: int, recordable: bool) -> None:
    found = findings(diary(pages([score] * 40)))
    assert found.pain.limits.rise_recordable is recordable
    assert (found.pain.limits.rise_noticed is None) is not recordable
    if not recordable:
        item = unknown(found, "pain.limits.rise_noticed")
        assert (item.why, item.have, item.need) == ("rise_not_recordable", score, 8)


@pytest.mark.parametrize(
    ("means", "end"),
    [
        ((4.0, 0.0), "at_bottom"),
        ((4.0, 0.9), "near_bottom"),
        ((0.5, 4.0), "near_bottom"),
        ((1.0, 8.0), None),
        ((4.0, 8.1), "near_top"),
        ((4.0, 10.0), "at_top"),
        ((None, None), None),
    ],
)
def test_which_end_of_the_scale_is_near(means: tuple[float | None, ...], end: str | None) -> None:
    assert scale_end(*means) == end


# ---------------------------------------------------------------- gaps


def test_a_gap_in_the_three_days_is_no_decision_not_no_flare() -> None:
    usual = [4] * 28
    assert decide(by_day([*usual, None, None, 9]), day(30)).decision == "no_decision"
    assert decide(by_day([*usual, 9, 9, None]), day(30)).decision == "no_decision"
    assert decide(by_day([*usual, None, 9, 9]), day(30)).decision == "signal"
    assert decide(by_day([*usual, 9, None, 9]), day(30)).decision == "signal"
    # One page without the score on the last day: the findings say what it lacks.
    made = diary(pages([*usual, 9, 9]), page(30, medicine=True))
    found = findings(made)
    assert found.pain.signal_decision == "no_decision"
    assert unknown(found, "pain.signal_decision").why == "no_score_on_last_day"


def test_no_decision_names_what_the_reference_lacks() -> None:
    found = findings(diary(pages("4 - - - 4 4 4 4 4")))
    item = unknown(found, "pain.signal_decision")
    assert (item.why, item.have, item.need) == ("too_few_earlier_days", 3, 14)
    lone = findings(diary(pages([4] * 20 + [None] * 5 + [4])))
    item = unknown(lone, "pain.signal_decision")
    assert (item.why, item.have, item.need) == ("too_few_recorded_days", 1, 2)


def test_weeks_keep_their_real_number_across_a_gap() -> None:
    # Weeks 0, 1, 4, 5, 6 at 8, 7, 4, 3, 2: one point a week by the calendar, not by order.
    row: list[int | None] = []
    for level in (8, 7, None, None, 4, 3, 2):
        row += [level] * 7
    assert list(weekly_means(by_day(row), DAY)) == [0, 1, 4, 5, 6]
    found = trend(by_day(row), DAY)
    assert (found.slope_per_week, found.weeks, found.verdict) == (-1, 5, "falling")


def test_a_week_counts_from_four_recorded_days() -> None:
    row = scores("5 5 5 5 - - - / 5 5 5 - - - - / 5 - 5 - 5 - 5")
    assert list(weekly_means(by_day(row), DAY)) == [0, 2]


def test_scores_without_two_days_running_have_no_moving_range() -> None:
    found = findings(diary(pages([5, None] * 20)))
    assert found.pain.process_chart.centre is None
    assert unknown(found, "pain.process_chart").why == "no_two_days_running"
    # Nothing is known of how a day follows a day, so nothing is assumed.
    assert found.pain.limits.days == 14
    assert process_chart(by_day([5, 6] * 7)).moving_range == 1


# ---------------------------------------------------------------- doubled and late


def test_of_a_doubled_day_one_page_counts() -> None:
    row = [5] * 40
    single = findings(diary(pages(row)))
    double = findings(
        diary(pages(row), page(3, pain_average=5, written_at=at(3, 21)), page(3, pain_average=5))
    )
    assert double.pain == single.pain


def test_late_pages_with_and_without() -> None:
    # Ten days of the last window were filled in on day 40, all of them a 1.
    row = [5] * 46
    late = [page(step, pain_average=1, written_at=at(60)) for step in range(32, 36)]
    found = findings(diary(pages([*row[:32], *[None] * 4, *row[36:]]), late)).pain
    again = found.without_late
    assert found.change_points == pytest.approx(-16 / 14)
    assert again is not None
    assert (again.late_days, again.baseline_days, again.latest_days) == (4, 14, 10)
    assert again.change_points == 0
    assert findings(diary(pages(row))).pain.without_late is None
    # A late page without the score takes nothing away.
    no_score = findings(diary(pages(row), page(50, pain_worst=3, written_at=at(60))))
    assert no_score.diary.late_entries == 1
    assert no_score.pain.without_late is None


def test_without_late_pages_too_little_may_be_left() -> None:
    late = [page(step, pain_average=1, written_at=at(60)) for step in range(27, 32)]
    found = findings(diary(pages([5] * 27), late)).pain
    assert found.change_points is not None
    assert found.without_late is not None
    assert found.without_late.change_points is None
    assert found.without_late.low is None


def test_a_plan_change_in_the_middle_changes_the_measure_for_the_whole_diary() -> None:
    plans = [plan(), plan(version=2, written_on=day(14), measure="worst")]
    made = diary(
        [page(step, pain_average=5) for step in range(14)],
        [page(step, pain_average=5, pain_worst=7) for step in range(14, 40)],
        plans=plans,
    )
    found = findings(made)
    assert found.pain.measure == "worst"
    assert (found.pain.baseline.days, found.pain.low) == (0, None)
    assert unknown(found, "pain.low").have == 0


# ---------------------------------------------------------------- signals


def test_the_least_signal_is_one_and_a_half_points() -> None:
    # By hand: usual 4, spread .6, r .35: 2.5 x .6 x sqrt(.516) = 1.08 is below 1.5. A four, six and
    # six are 4/3 above, two more points make it 2.
    assert decide(by_day([4] * 28 + [4, 6, 6]), day(30)).decision == "no_signal"
    assert decide(by_day([4] * 28 + [4, 6, 7]), day(30)).decision == "signal"
    assert decide(by_day([4] * 28 + [6, 6, 6]), day(30)).limit == 1.5


def test_an_earlier_flare_does_not_blind_the_signal() -> None:
    # Five days of 8 three weeks before: a standard deviation would ask for three points and more.
    calm = [4, 5, 4, 4, 5, 4, 4]
    row = [*calm, 8, 8, 8, 8, 8, *calm, *calm, 4, 4, 6, 7, 6]
    found = decide(by_day(row), day(len(row) - 1))
    assert (found.decision, found.limit) == ("signal", 1.5)


def test_the_reference_ends_three_days_before() -> None:
    # Fourteen days needed among days 3 to 30 before: with thirteen there is no decision.
    assert decide(by_day([4] * 16), day(15)).decision == "no_decision"
    assert decide(by_day([4] * 17), day(16)).decision == "no_signal"
    # What lies 31 days back is not part of it.
    with_old = by_day([10] * 3 + [4] * 31)
    assert decide(with_old, day(33)).rise == pytest.approx(0)


def test_an_own_wide_spread_raises_the_limit() -> None:
    row = by_day([1, 1, 1, 7, 7, 7] * 5 + [7, 7, 7])
    found = decide(row, day(32))
    assert found.limit is not None
    assert found.limit > 4
    assert found.decision == "no_signal"


def test_a_new_episode_needs_five_quiet_days() -> None:
    usual = [4] * 31
    # Days 31 and 32 are raised: the mean of three is past 1.5 on day 32, and still on day 33. From
    # day 34 on it is quiet, up to the second day of the second rise.
    four = signals(decisions(by_day([*usual, 8, 8, *[4] * 4, 8, 8])))
    five = signals(decisions(by_day([*usual, 8, 8, *[4] * 5, 8, 8])))
    assert [(each.first_day, each.last_day) for each in four] == [(day(32), day(38))]
    assert [(each.first_day, each.last_day) for each in five] == [
        (day(32), day(33)),
        (day(39), day(39)),
    ]


def test_a_signal_is_not_a_recorded_flare() -> None:
    # One day of 9 after a usual of 4 is past the person's limit; a flare needs two raised days.
    pain = findings(diary(pages([4] * 30 + [9, 4, 4]))).pain
    assert pain.flares == ()
    assert len(pain.signals) == 1
    assert pain.signal_decision == "signal"


def test_how_often_a_rise_would_be_noticed() -> None:
    # By hand for a constant diary: spread .6, r .35, f = (3 + 4 x .35 + 2 x .1225)/9 = .516111;
    # limit 1.5; 1 - Phi((1.5 - 2)/(.6 sqrt f)) = Phi(1.15998) = .87697.
    found = limits(by_day([5] * 40), day(39))
    assert found.rise_limit_points == 1.5
    assert found.rise_noticed == pytest.approx(0.87697, abs=1e-4)


def test_most_days_are_told_in_whole_scores() -> None:
    # Four of five of 20 days are 16: from 3 to 5 there are 17, and no two scores hold as many.
    row = by_day([4] * 9 + [3] * 4 + [5] * 4 + [1, 8, 9])
    found = limits(row, day(19))
    assert (found.most_low, found.most_high, found.most_days, found.days) == (3, 5, 17, 20)


# ---------------------------------------------------------------- next morning


def amounts(values: list[float]) -> list[Any]:
    return [
        page(
            step,
            pain_average=4 + step % 3,
            amounts=(Amount(label="walk", unit="m", amount=value),),
        )
        for step, value in enumerate(values)
    ]


def test_next_morning_is_off_unless_asked_for() -> None:
    made = diary(amounts([100.0 + 7 * (step % 5) for step in range(60)]))
    assert findings(made).next_morning == ()
    (found,) = findings(made, with_next_morning=True).next_morning
    assert (found.label, found.unit, found.pairs) == ("walk", "m", 58)
    assert found.points is not None


def test_next_morning_needs_fifty_six_pairs() -> None:
    made = diary(amounts([100.0 + 7 * (step % 5) for step in range(57)]))
    found = findings(made, with_next_morning=True)
    assert found.next_morning[0].points is None
    item = unknown(found, "next_morning.points")
    assert (item.why, item.have, item.need, item.label) == ("too_few_day_pairs", 55, 56, "walk")
    assert found.next_morning[0].spread is None, "a step of nothing known"
    (one,) = findings(diary(amounts([100.0, 107.0])), with_next_morning=True).next_morning
    assert (one.pairs, one.points, one.spread) == (0, None, None)
    values = [100.0 + 7 * (step % 5) for step in range(58)]
    (enough,) = findings(diary(amounts(values)), with_next_morning=True).next_morning
    assert enough.pairs == 56
    assert enough.points is not None
    assert enough.spread == pytest.approx(stdev(values[1:-1])), "one usual step, of the days used"


def test_next_morning_of_an_amount_that_says_nothing_of_its_own() -> None:
    same = findings(diary(amounts([100.0] * 60)), with_next_morning=True)
    item = unknown(same, "next_morning.points")
    assert (item.why, item.have, item.need) == ("amount_never_varies", 1, 2)
    timed = findings(diary(amounts([10.0 * step for step in range(60)])), with_next_morning=True)
    assert unknown(timed, "next_morning.points").why == ("amount_not_separable")
    flat = [
        page(step, pain_average=4, amounts=(Amount(label="walk", unit="m", amount=step % 7),))
        for step in range(60)
    ]
    item = unknown(findings(diary(flat), with_next_morning=True), "next_morning.points")
    assert (item.why, item.have, item.need) == ("scores_never_vary", 1, 2)


# ---------------------------------------------------------------- anything


ROWS = st.lists(st.none() | st.integers(0, 10), max_size=120)
CALM = st.lists(st.none() | st.integers(4, 5), min_size=28, max_size=120)


@given(ROWS | CALM)
def test_any_row_gives_finite_numbers_in_order(row: list[int | None]) -> None:
    found = findings(diary(pages(row)))
    pain = found.pain
    assert all(math.isfinite(number) for number in numbers_in(found))
    if pain.change_points is not None:
        assert pain.low is not None
        assert pain.high is not None
        assert pain.low < pain.change_points < pain.high
    model = pain.model
    if model.change is not None:
        assert model.before is not None
        assert model.low is not None
        assert model.high is not None
        assert model.low <= model.change <= model.high
        assert model.before + model.low >= -1e-9
        assert model.before + model.high <= 10 + 1e-9
    if pain.trend.slope_per_week is not None:
        assert pain.trend.low is not None
        assert pain.trend.high is not None
        assert pain.trend.low <= pain.trend.slope_per_week <= pain.trend.high
    if pain.nap.value is not None:
        assert pain.nap.low is not None
        assert pain.nap.high is not None
        assert 0 <= pain.nap.low <= pain.nap.value <= pain.nap.high <= 1
        assert pain.nap.high > pain.nap.low
    if pain.limits.rise_noticed is not None:
        assert 0 <= pain.limits.rise_noticed <= 1
