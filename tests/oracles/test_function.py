"""Activities and the chair stand against published values (F: read in the source)."""

import pytest

from companion.care.records import Measurement
from companion.evidence.activities import ACTIVITIES_MEAN_ERROR, ACTIVITY_ERROR
from companion.evidence.chair_stand import (
    CHANGE_ERROR_STANDS,
    below_average,
    chair_stands,
    row_for,
)
from tests.builders import DAY, at, new_id

# CDC, 30-Second Chair Stand, 2017 (F): below average if fewer stands than, men and women.
CDC = [
    (60, 64, 14, 12),
    (65, 69, 12, 11),
    (70, 74, 12, 10),
    (75, 79, 11, 10),
    (80, 84, 10, 9),
    (85, 89, 8, 8),
    (90, 94, 7, 4),
]


@pytest.mark.parametrize(("youngest", "oldest", "men", "women"), CDC)
def test_published_table(youngest: int, oldest: int, men: int, women: int) -> None:
    for age in range(youngest, oldest + 1):
        row = row_for(age)
        assert row is not None
        assert (row.age_from, row.age_to, row.men, row.women) == (youngest, oldest, men, women)


@pytest.mark.parametrize("age", [0, 59, 95, 110])
def test_no_value_is_published_outside_the_ages(age: int) -> None:
    # CDC 2017 (F): none below 60 or above 94.
    assert row_for(age) is None


# The year of birth leaves two ages and both sexes open; 1943 is 82 or 83 in 2026: 10 and 9.
@pytest.mark.parametrize(("score", "below"), [(8, True), (9, None), (10, False), (0, True)])
def test_fewer_than_is_strict(score: int, below: bool | None) -> None:
    assert below_average(score, 2026, 1943) is below


@pytest.mark.parametrize(
    ("birth_year", "score", "below"),
    [
        (1966, 3, None),  # 59 or 60: for 59 nothing is published
        (1961, 10, True),  # 64 or 65: below 14, 12, 12 and 11
        (1961, 11, None),
        (1961, 14, False),
        (1938, 7, True),  # 87 or 88: 8 for both
        (1938, 8, False),
        (1931, 3, None),  # 94 or 95
        (None, 3, None),
    ],
)
def test_what_the_year_of_birth_leaves_open(
    birth_year: int | None, score: int, below: bool | None
) -> None:
    assert below_average(score, 2026, birth_year) is below


@pytest.mark.parametrize(("youngest", "oldest", "men", "women"), CDC)
def test_every_row_for_either_sex(youngest: int, oldest: int, men: int, women: int) -> None:
    """Whoever turns `youngest` + 1 in 2026 is of that row whatever the day: strictly fewer."""
    born = 2026 - youngest - 1
    for sex, limit in (("male", men), ("female", women)):
        assert below_average(limit - 1, 2026, born, sex) is True  # type: ignore[arg-type]
        assert below_average(limit, 2026, born, sex) is False  # type: ignore[arg-type]


def test_the_birthday_may_decide_between_two_rows() -> None:
    # Born in 1946, 79 or 80 in 2026: women 10 or 9 (CDC 2017, F).
    found = [below_average(score, 2026, 1946, "female") for score in (8, 9, 10)]
    assert found == [True, None, False]


def stand(count: int, arms: bool = False) -> Measurement:
    return Measurement(
        id=new_id(),
        for_day=DAY,
        written_at=at(DAY),
        written_by="clinic",
        plan_version=1,
        count=count,
        arms_used=arms,
    )


def test_arms_used_score_nothing() -> None:
    # CDC 2017 (F).
    (found,) = chair_stands([stand(11, arms=True)], 1943)
    assert (found.count, found.score, found.below_average) == (11, 0, True)


def test_two_more_stands_may_be_chance_and_three_are_not() -> None:
    # Gill 2022 (F): one person's smallest change is about 2.5 stands, within one session.
    assert CHANGE_ERROR_STANDS == 2.5
    found = chair_stands([stand(9), stand(11), stand(12), stand(6)], 1943)
    assert [each.change for each in found] == [None, 2, 3, -3]
    assert [each.beyond_measurement_error for each in found] == [None, False, True, True]


def test_a_stand_with_arms_is_no_yardstick() -> None:
    found = chair_stands([stand(12, arms=True), stand(9), stand(12, arms=True), stand(12)], None)
    assert [each.change for each in found] == [None, None, None, 3]


def test_smallest_change_of_activities() -> None:
    # Stratford 1995, Physiother Can 47:258 (M): 3 points single, 2 points mean.
    assert (ACTIVITY_ERROR, ACTIVITIES_MEAN_ERROR) == (3, 2)
