"""Recorded flares: what the definition says, and what we settled where it is silent."""

import itertools
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.evidence.flares import most_earlier_days, recorded_flares, usual_before
from tests.builders import DAY, by_day, scores

USUAL = "4 4 4 4 4 4 4 4 4 4 4 4 4 4"


def usual_at(values: dict[date, int], day: date) -> float | None:
    days = sorted(values)
    return usual_before(days, [values[each] for each in days], day)


def spans(text: str) -> list[tuple[int, int, int]]:
    """First and last raised day, counted from the first after `USUAL`, and the peak."""
    found = recorded_flares(by_day(scores(f"{USUAL} {text}")))
    return [
        ((flare.first_day - DAY).days - 14, (flare.last_day - DAY).days - 14, flare.peak)
        for flare in found
    ]


def test_first_and_last_raised_day_and_the_days_between() -> None:
    (flare,) = recorded_flares(by_day(scores(f"{USUAL} 6 7 4 6 4 4 4 4 4")))
    assert (flare.first_day, flare.last_day) == (
        DAY + timedelta(days=14),
        DAY + timedelta(days=17),
    )
    assert (flare.days, flare.peak, flare.usual, flare.over) == (4, 7, 4.0, True)


def test_two_flares_with_five_usual_days_between() -> None:
    assert spans("6 6 4 4 4 4 4 7 7") == [(0, 1, 6), (7, 8, 7)]


def test_a_flare_at_the_end_of_the_diary_is_not_over() -> None:
    (flare,) = recorded_flares(by_day(scores(f"{USUAL} 6 6 4 4 4 4")))
    assert not flare.over


def test_an_unrecorded_day_does_not_make_two_days_running() -> None:
    assert spans("6 - 6 4 4") == []


def test_an_unrecorded_day_is_passed_over_among_the_usual_ones() -> None:
    assert spans("6 6 4 4 4 - 4 4 4 6 4") == [(0, 1, 6)]


def test_a_gap_stretches_no_flare() -> None:
    # Four days between raised ones leave it one flare, five or more begin another.
    assert spans("6 6 - 4 4 - 6 6") == [(0, 7, 6)]
    assert spans("6 6 - - 4 4 - - 7 7") == [(0, 1, 6), (8, 9, 7)]
    gap = " ".join("-" * 30)
    found = recorded_flares(by_day(scores(f"{USUAL} 6 6 {gap} 6 6")))
    assert [(flare.days, flare.over) for flare in found] == [(2, False)]


def test_the_usual_stays_while_the_flare_lasts() -> None:
    # By the 20th raised day the median of the 28 days before would be 6: no longer raised.
    assert spans(" ".join("6" * 25)) == [(0, 24, 6)]


def test_the_usual_takes_calendar_days_not_the_last_recorded_ones() -> None:
    values = by_day(scores("9 9 9 9 9 9 9 9 9 9 " + " ".join("-" * 20) + " 4 4 4 4 4 4 4 4"))
    assert usual_at(values, DAY + timedelta(days=37)) == 4.0
    # The 28 days before day 30 hold eight of the nines.
    assert usual_at(values, DAY + timedelta(days=30)) == 9.0


@pytest.mark.parametrize(("days", "usual"), [(6, None), (7, 4.0)])
def test_fewer_than_seven_recorded_days_give_no_usual(days: int, usual: float | None) -> None:
    values = by_day([4] * days)
    assert usual_at(values, DAY + timedelta(days=days)) == usual
    assert most_earlier_days(by_day([4] * (days + 1))) == days


def test_a_usual_between_two_scores() -> None:
    # Median 4.5: 6 is 1.5 above, 7 is 2.5 above.
    half = "4 5 4 5 4 5 4 5"
    assert recorded_flares(by_day(scores(f"{half} 6 6"))) == ()
    assert len(recorded_flares(by_day(scores(f"{half} 7 7")))) == 1


@given(st.lists(st.none() | st.integers(0, 10), max_size=120))
def test_every_flare_is_what_it_says(row: list[int | None]) -> None:
    values = by_day(row)
    found = recorded_flares(values)
    for flare in found:
        raised = flare.usual + 2
        first, last = flare.first_day, flare.last_day
        assert values[first] >= raised
        assert values[first + timedelta(days=1)] >= raised
        assert values[last] >= raised
        assert flare.days == (last - first).days + 1 >= 2
        assert flare.usual == usual_at(values, first)
        inside = [values.get(first + timedelta(days=step)) for step in range(flare.days)]
        assert flare.peak == max(score for score in inside if score is not None)
    for one, other in itertools.pairwise(found):
        assert one.last_day < other.first_day
        assert one.over or (other.first_day - one.last_day).days > 5
