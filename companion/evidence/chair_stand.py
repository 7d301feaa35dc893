"""The 30-second chair stand against its published table and its own error.

Below average if *fewer* stands than the row says; arms used, score 0 (fact: chair_stand_arms); no
row below 60 or above 94. It is a fall-risk flag, not a knee grade. Change: an individual needs more
than about 2.5 stands, so +2 may be chance and +3 is not; but that error was found within one
session, and between months it is larger. A second trial adds 0.5 to 0.8 by practice alone (fact:
chair_stand_practice).
"""

from collections.abc import Sequence

from companion.care.records import Measurement, Sex
from companion.evidence.figures import ChairStand, PublishedRow

CHANGE_ERROR_STANDS = 2.5  # (fact: chair_stand_change)

TABLE: tuple[PublishedRow, ...] = tuple(
    PublishedRow(age_from=age, age_to=age + 4, men=men, women=women)
    for age, men, women in (
        (60, 14, 12),
        (65, 12, 11),
        (70, 12, 10),
        (75, 11, 10),
        (80, 10, 9),
        (85, 8, 8),
        (90, 7, 4),
    )
)  # (fact: chair_stand_table)
YOUNGEST = TABLE[0].age_from
OLDEST = TABLE[-1].age_to


def row_for(age: int) -> PublishedRow | None:
    """The row of an age in whole years; None where nothing is published."""
    return next((row for row in TABLE if row.age_from <= age <= row.age_to), None)


def ages_on(year: int, birth_year: int) -> tuple[int, int]:
    """The two ages a person may have in `year`: the birthday still to come, or past."""
    return year - birth_year - 1, year - birth_year


def limits(
    year: int, birth_year: int | None, sex: Sex | None = None
) -> tuple[tuple[PublishedRow, ...], tuple[int, ...] | None]:
    """The rows of the two ages, and below which counts they say "below average": for one sex or
    for both. None where nothing is published for one of the ages.
    """
    if birth_year is None:
        return (), None
    rows = [row_for(age) for age in ages_on(year, birth_year)]
    known = tuple(dict.fromkeys(row for row in rows if row is not None))
    if None in rows:
        return known, None
    men = [row.men for row in known if sex != "female"]
    women = [row.women for row in known if sex != "male"]
    return known, (*men, *women)


def below_average(
    score: int, year: int, birth_year: int | None, sex: Sex | None = None
) -> bool | None:
    """Whether `score` is below average wherever the birthday lies, and for either sex unless it
    is known; else None."""
    _, below = limits(year, birth_year, sex)
    if below is None:
        return None
    if score < min(below):
        return True
    return False if score >= max(below) else None


def chair_stands(
    measurements: Sequence[Measurement], birth_year: int | None, sex: Sex | None = None
) -> tuple[ChairStand, ...]:
    """Every chair stand in the order of `measurements`, each against the first without arms."""
    found: list[ChairStand] = []
    first: int | None = None
    for measured in measurements:
        if measured.test != "chair_stand_30_s":
            continue
        score = 0 if measured.arms_used else measured.count
        change = None if first is None or measured.arms_used else measured.count - first
        if first is None and not measured.arms_used:
            first = measured.count
        year = measured.for_day.year
        published, _ = limits(year, birth_year, sex)
        found.append(
            ChairStand(
                day=measured.for_day,
                count=measured.count,
                arms_used=measured.arms_used,
                score=score,
                below_average=below_average(score, year, birth_year, sex),
                published=published,
                change=change,
                beyond_measurement_error=(
                    None if change is None else abs(change) > CHANGE_ERROR_STANDS
                ),
            )
        )
    return tuple(found)
