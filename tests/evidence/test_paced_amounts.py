"""The numbers the paced amounts stand on: pages, outings that were told of, flares of any knee."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

from companion.care.pacing import WeekOutcome
from companion.care.records import Amount, AmountPlan, AnyEntry, DayPage, Outing, OutingKnee
from companion.evidence.paced_amounts import amounts_done, flare_days, paced_amounts
from tests.builders import DAY, at, page, pages, plan

WALK = AmountPlan(label="walk", unit="m", baseline=200, goal=300)
PLAN = plan(amounts=(WALK,), written_on=DAY)


def walked(day: int, metres: float, **fields: Any) -> DayPage:
    return page(day, amounts=(Amount(label="walk", unit="m", amount=metres),), **fields)


def outing(day: int, metres: float, *, told: bool) -> Outing:
    return Outing(
        id=f"outing{day:0>8}",
        for_day=DAY + timedelta(days=day),
        written_at=at(day),
        written_by="person",
        plan_version=1,
        what_for="walk",
        knees=(OutingKnee(side="right"),),
        amount=Amount(label="walk", unit="m", amount=metres),
        ended_because="done" if told else None,
    )


def aims(*entries: AnyEntry, days: int) -> list[float]:
    (paced,) = paced_amounts(entries, [PLAN], DAY + timedelta(days=days))
    assert paced.planned == WALK
    return [week.aim for week in paced.weeks]


def test_the_worked_weeks_from_a_diary() -> None:
    """200 m, goal 300 m: 160, 180, 200 (therapeutic guideline text; S, D)."""
    entries = [walked(1, 160), walked(2, 170), walked(9, 150), walked(15, 180)]
    assert aims(*entries, days=21) == [160, 180, 180, 200]


def test_an_outing_counts_once_it_was_told_of() -> None:
    """What was only meant was not done."""
    assert aims(outing(2, 160, told=False), days=7) == [160, 160]
    assert aims(outing(2, 160, told=True), days=7) == [160, 180]


def test_the_larger_amount_of_a_day_counts() -> None:
    both: list[AnyEntry] = [walked(1, 100), outing(1, 160, told=True), walked(1, 90, side="left")]
    assert amounts_done(both) == {("walk", "m"): {DAY + timedelta(days=1): 160.0}}


def test_a_recorded_flare_holds_the_amount() -> None:
    """Usual 4, then 6 and 6 is a flare (Parry, Ogollah and Peat; F)."""
    scores = pages("4 4 4 4 4 4 4 4 4 4 4 4 4 4 4 4 6 6 4 4 4 4")
    kept = [replace(entry, amounts=walked(0, 500).amounts) for entry in scores]
    found = flare_days(kept, PLAN)
    assert found == {DAY + timedelta(days=16), DAY + timedelta(days=17)}
    assert aims(*kept, days=21) == [160, 180, 200, 200]
    (paced,) = paced_amounts(kept, [PLAN], DAY + timedelta(days=21))
    outcomes: list[WeekOutcome] = [week.before.outcome for week in paced.weeks if week.before]
    assert outcomes == ["kept", "kept", "flare"]


def test_a_flare_counts_in_either_knee_of_the_plan_and_in_no_other() -> None:
    row = pages("4 4 4 4 4 4 4 4 6 6", side="left")
    assert not flare_days(row, PLAN)
    assert len(flare_days(row, replace(PLAN, side="both"))) == 2


def test_nothing_paced_is_nothing() -> None:
    assert paced_amounts([], [plan()], DAY) == ()
    none = plan(amounts=(replace(WALK, baseline=0.0),))
    assert paced_amounts([], [none], DAY) == ()
