"""The tape trial in one person as it is lived.

Every day of a schedule is one thing; hands rest on scored days in both arms; tape is for tape days
alone, and off by the evening of the last of them.
"""

from dataclasses import replace
from datetime import date, datetime, time, timedelta, timezone

from hypothesis import given
from hypothesis import strategies as st

from companion.care.records import AnyEntry, Plan, TapeTrial
from companion.care.tape_applications import current_application, wear_clock
from companion.care.trial_days import (
    hands_rest,
    last_tape_day,
    tape_refused,
    trial_day,
    trial_faulty,
)
from companion.care.trial_schedule import schedule
from companion.care.trial_today import TOLD_OVER_FOR, TrialStanding, trial_today
from tests.builders import DAY, at, page, tape_off, tape_on, warning
from tests.care.content import CATALOGUE, whole_plan

ONE = timedelta(days=1)
ZONE = timezone(timedelta(0))


def trial_of(
    first_day: date = DAY, seed: str = "quay 4", pairs: int = 6, scored_days: int = 3
) -> TapeTrial:
    return TapeTrial(
        side="right",
        first_day=first_day,
        pairs=pairs,
        scored_days=scored_days,
        seed=seed,
        schedule_sha256=schedule(seed, first_day, pairs, scored_days).sha256,
    )


def in_trial(trial: TapeTrial | None = None, **fields: object) -> Plan:
    trial = trial or trial_of()
    return whole_plan({"wear_hours": 96}, trial=trial, **fields)


def first(what: str, number: int, plan: Plan | None = None) -> date:
    """The first day of the trial that is this."""
    plan = plan or in_trial()
    day = DAY
    while True:
        found = trial_day(plan, "right", day)
        assert found is not None
        if (found.what, found.number) == (what, number):
            return day
        day += ONE


trials = st.builds(
    trial_of,
    st.dates(date(2026, 1, 1), date(2027, 12, 31)),
    st.text(st.characters(codec="ascii", categories=("L", "N")), min_size=1, max_size=20),
    st.integers(6, 12),
    st.integers(2, 3),
)


@given(trials)
def test_every_day_of_a_schedule_is_one_thing(trial: TapeTrial) -> None:
    plan = in_trial(trial)
    fixed = schedule(trial.seed, trial.first_day, trial.pairs, trial.scored_days)
    assert not trial_faulty(plan, "right")
    assert trial_day(plan, "right", trial.first_day - ONE) is None
    assert trial_day(plan, "right", fixed.last_day + ONE) is None
    days = [trial.first_day + n * ONE for n in range((fixed.last_day - trial.first_day).days + 1)]
    found = [trial_day(plan, "right", day) for day in days]
    assert len(days) == 2 * trial.pairs * (1 + trial.scored_days)
    for day, one in zip(days, found, strict=True):
        assert one is not None
        assert one.of == trial.scored_days
        assert (one.what == "bare") == (one.number == 0)
        assert one.last_day == day + (one.of - one.number) * ONE
        assert hands_rest(plan, "right", day) == (one.what != "bare")
        assert trial_day(plan, "left", day) is None
    counts = [sum(one is not None and one.what == what for one in found) for what in _WHATS]
    assert counts == [trial.pairs * trial.scored_days] * 2 + [2 * trial.pairs]
    assert [one.number for one in found if one] == [*range(trial.scored_days + 1)] * 2 * trial.pairs


_WHATS = ("tape", "no_tape", "bare")


@given(trials, st.integers(-5, 110), st.integers(0, 24 * 60 - 1))
def test_tape_is_for_tape_days_alone_and_off_by_their_last_evening(
    trial: TapeTrial, number: int, minute: int
) -> None:
    plan = in_trial(trial)
    day = trial.first_day + number * ONE
    now = datetime.combine(day, time(3), tzinfo=ZONE) + timedelta(minutes=minute)
    found = trial_day(plan, "right", day)
    refused = tape_refused(plan, "right", (), today=day, now=now)
    on = tape_on(now)
    wear = current_application([on], "right")
    assert wear is not None
    due = wear_clock(wear, plan, now, ZONE).due_at
    if found is None:
        assert refused is None
        before_trial = day < trial.first_day
        evening = datetime.combine(trial.first_day - ONE, time(21), tzinfo=ZONE)
        assert not before_trial or due <= max(evening, now)
        return
    evening = datetime.combine(found.last_day, time(21), tzinfo=ZONE)
    if found.what == "tape" and now < evening:
        assert refused is None
        assert now < due <= evening
    else:
        assert refused is not None
        assert due == now
    standing = trial_today(
        plan, "right", (), today=day, now=now, zone=ZONE, policy=CATALOGUE.policy
    )
    assert standing is not None
    assert (standing.standing == "tape_due") == (refused is None)


def test_tape_from_before_the_trial_is_off_the_evening_before() -> None:
    plan = in_trial(trial_of(DAY + 2 * ONE))
    wear = current_application([tape_on(at(1, 9))], "right")
    assert wear is not None
    assert wear_clock(wear, plan, at(1, 10), ZONE).due_at == at(1, 21)
    # The trial came with a plan taken in later: due off at once.
    late = wear_clock(wear, plan, at(2, 10), ZONE)
    assert (late.state, late.due_at) == ("due", at(1, 21))
    assert last_tape_day(plan, "right", DAY) == DAY + ONE
    assert last_tape_day(plan, "left", DAY) is None
    assert last_tape_day(plan, "right", DAY + 200 * ONE) is None


def test_the_plans_due_time_and_cap_come_first_when_they_are_earlier() -> None:
    day = first("tape", 1)
    wear = current_application([tape_on(at(day, 8))], "right")
    assert wear is not None
    # A first wear is due after 24 hours, trial or not.
    assert wear_clock(wear, in_trial(), at(day, 9), ZONE).due_at == at(day + ONE, 8)
    third = replace(wear, number=3)
    assert wear_clock(third, in_trial(), at(day, 9), ZONE).due_at == at(day + 2 * ONE, 21)


def test_a_schedule_other_than_the_fixed_one_is_not_run() -> None:
    good = trial_of()
    for trial in (
        replace(good, seed="another"),
        replace(good, first_day=good.first_day + ONE),
        replace(good, schedule_sha256="0" * 64),
        replace(good, seed=" "),
    ):
        plan = in_trial(trial)
        assert trial_faulty(plan, "right")
        assert not trial_faulty(plan, "left")
        assert trial_day(plan, "right", DAY) is None
        assert tape_refused(plan, "right", (), today=DAY, now=at(0)) is None
        assert standing(plan, DAY) == "faulty"
    assert not trial_faulty(whole_plan(), "right")


def standing(plan: Plan, day: date, *entries: AnyEntry, hour: int = 12) -> TrialStanding | None:
    now, policy = at(day, hour), CATALOGUE.policy
    found = trial_today(plan, "right", entries, today=day, now=now, zone=ZONE, policy=policy)
    return None if found is None else found.standing


def test_how_a_tape_day_stands() -> None:
    plan = in_trial()
    day = first("tape", 1)
    assert standing(plan, day) == "tape_due"
    assert standing(plan, day, tape_on(at(day, 8))) == "tape_on"
    # What is due off does not stay on: the plan's cap and clock win.
    assert standing(plan, day + ONE, tape_on(at(day, 8))) == "tape_not_now"
    rest = tape_off(at(day, 10))
    assert standing(plan, day, tape_on(at(day, 8)), rest) == "tape_not_now"
    assert standing(plan, day, warning(day - ONE)) == "tape_not_now"
    skin = warning(day - ONE, sign="skin_broken", level="call", sides=("right",))
    assert standing(plan, day, skin) == "tape_not_now"
    bare = in_trial()
    assert standing(replace(bare, tape=replace(bare.tape, stay_bare_from=day)), day) == (
        "tape_not_now"
    )
    ahead = page(day, written_at=at(day + 2 * ONE))
    assert standing(plan, day, ahead) == "clock_behind"
    last = first("tape", 3)
    # Late on a day that is not the last one, nothing asks for tape any more that evening either.
    assert standing(plan, day, hour=20) == "tape_due"
    assert standing(plan, day, hour=21) == "tape_tomorrow"
    assert standing(plan, last, hour=20) == "tape_due"
    assert standing(plan, last, hour=21) == "tape_ended"


def test_other_days_and_the_end() -> None:
    plan = in_trial()
    fixed = schedule("quay 4", DAY, 6, 3)
    assert standing(plan, first("bare", 0)) == "bare_day"
    assert standing(plan, first("no_tape", 2)) == "no_tape_day"
    assert standing(plan, DAY - ONE) is None
    assert standing(plan, fixed.last_day + ONE) == "over"
    assert standing(plan, fixed.last_day + TOLD_OVER_FOR) == "over"
    assert standing(plan, fixed.last_day + TOLD_OVER_FOR + ONE) is None
    assert standing(whole_plan(), DAY) is None


def test_the_last_scored_day() -> None:
    plan = in_trial()
    found = [trial_day(plan, "right", first("no_tape", number)) for number in (1, 2, 3)]
    assert [one.last_scored for one in found if one] == [False, False, True]
