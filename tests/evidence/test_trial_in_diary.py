"""The tape trial from the diary: which plan's, which days were taped, and what it lacks."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from itertools import pairwise
from typing import Any

import pytest

from companion.care.records import AnyEntry, DayPage, Diary, Plan, TapeOff, TapeOn, TapeTrial
from companion.care.trial_schedule import Schedule, planned, schedule
from companion.care.trial_today import pairs_complete
from companion.evidence.figures import CannotTell, TrialResult
from companion.evidence.readings import readings
from companion.evidence.trial_in_diary import held_trial, taped_by_day
from companion.evidence.verdicts import tape_worth
from tests.builders import DAY, at, page, plan, tape_off, tape_on, warning
from tests.found import findings

STATISTICS_DIFFERENCES = (-1.5, -0.5, -2, 0, -1, -0.5, -1.5, -1)
"""Mean -1, p 4/256, Hodges-Lehmann -1, interval -1.5 to -0.5; made up by
us, p checked in R (V)."""
FIRST = DAY + timedelta(days=14)


def trial(pairs: int = 8, scored_days: int = 2, **fields: Any) -> TapeTrial:
    fixed = schedule("drawn by chance", FIRST, pairs, scored_days)
    made = TapeTrial(
        side="right",
        first_day=FIRST,
        pairs=pairs,
        scored_days=scored_days,
        seed=fixed.seed,
        schedule_sha256=fixed.sha256,
    )
    return replace(made, **fields)


def plan_with(held: TapeTrial | None, version: int = 2, day: int = 12, **fields: Any) -> Plan:
    written = DAY + timedelta(days=day)
    return plan(version=version, written_on=written, trial=held, **fields)


def worn(of: Schedule) -> list[AnyEntry]:
    """Tape on at nine of the first scored day, off at eight in the evening of the last."""
    found: list[AnyEntry] = []
    for period in of.periods:
        if period.arm == "tape":
            on = tape_on(at(period.scored_days[0], 9))
            found += [on, tape_off(at(period.last_day, 20), tape_on=on.id, skin_at_once="clear")]
    return found


def scored(of: Schedule, means: Sequence[tuple[float, float]]) -> list[AnyEntry]:
    """Pages whose averages have the means (tape, no tape) of each pair, in half points."""
    found: list[AnyEntry] = [page(period.bare_day, pain_average=9) for period in of.periods]
    for period in of.periods:
        mean = means[period.pair - 1][0 if period.arm == "tape" else 1]
        low = int(mean)
        row = [low] * len(period.scored_days)
        row[0] += round((mean - low) * len(row))
        found += [
            page(day, pain_average=score)
            for day, score in zip(period.scored_days, row, strict=True)
        ]
    return found


def of_differences(differences: Sequence[float]) -> list[tuple[float, float]]:
    return [(5 + difference, 5) for difference in differences]


def result(entries: Sequence[AnyEntry], *plans: Plan) -> TrialResult:
    found = findings(Diary(plans=(plan(), *plans), entries=tuple(entries)), "right").trial
    assert found is not None
    return found


def lacking(entries: Sequence[AnyEntry], *plans: Plan) -> dict[str, CannotTell]:
    found = findings(Diary(plans=(plan(), *plans), entries=tuple(entries)), "right")
    return {gap.finding: gap for gap in found.cannot_tell if gap.finding.startswith("trial")}


def taped(entries: Sequence[AnyEntry], held: TapeTrial) -> Mapping[date, bool]:
    diary = Diary(plans=(plan_with(held),), entries=tuple(entries))
    return taped_by_day(readings(diary), planned(held))


# ---------------------------------------------------------------- the result


def test_the_values_of_statistics_come_out_of_a_diary() -> None:
    held = trial()
    of = planned(held)
    entries = [*worn(of), *scored(of, of_differences(STATISTICS_DIFFERENCES))]
    found = result(entries, plan_with(held))
    assert tuple(pair.difference for pair in found.pairs) == STATISTICS_DIFFERENCES
    estimate = found.estimate
    assert estimate.mean_difference == pytest.approx(-1, abs=1e-9)
    assert estimate.p == pytest.approx(4 / 256, abs=1e-9)
    assert estimate.hodges_lehmann == pytest.approx(-1, abs=1e-9)
    assert estimate.low == pytest.approx(-1.5, abs=1e-9)
    assert estimate.high == pytest.approx(-0.5, abs=1e-9)
    assert estimate.favouring == 7
    assert tape_worth(found).verdict == "lower_with_tape"
    assert found.flow.days_recorded == found.flow.days_scheduled == 32
    assert (found.flow.days_not_followed, found.flow.days_followed_unknown) == (0, 0)
    assert found.randomisation.as_fixed is True
    assert found.randomisation.tape_first == of.tape_first
    assert len(found.limitations) == 2
    assert lacking(entries, plan_with(held)) == {}


def test_the_result_names_its_schedule_and_the_means_of_each_pair() -> None:
    """Whoever draws the trial again needs its seed; whoever doubts a difference, its two means."""
    held = trial()
    of = planned(held)
    entries = [*worn(of), *scored(of, of_differences(STATISTICS_DIFFERENCES))]
    found = result(entries, plan_with(held))
    assert (found.randomisation.seed, found.randomisation.sha256) == (
        held.seed,
        held.schedule_sha256,
    )
    assert (found.design.pairs, found.design.scored_days, found.design.bare_days) == (8, 2, 1)
    for pair, difference in zip(found.pairs, STATISTICS_DIFFERENCES, strict=True):
        assert (pair.tape_days, pair.no_tape_days) == (2, 2)
        assert (pair.tape_mean, pair.no_tape_mean) == (5 + difference, 5)


def test_six_whole_pairs_lack_nothing() -> None:
    held = trial(6)
    of = planned(held)
    assert lacking([*worn(of), *scored(of, of_differences([-3] * 6))], plan_with(held)) == {}


def test_its_figures_carry_their_days_and_source() -> None:
    held = trial()
    of = planned(held)
    entries = [*worn(of), *scored(of, of_differences(STATISTICS_DIFFERENCES))]
    found = findings(Diary(plans=(plan(), plan_with(held)), entries=tuple(entries)), "right")
    rests_on = found.provenance["trial"]
    assert (rests_on.n, rests_on.first_day, rests_on.last_day) == (8, of.first_day, of.last_day)
    assert found.provenance["trial.flow"].n == 32


def test_the_measure_is_that_of_the_plan_that_holds_the_trial() -> None:
    held = trial()
    of = planned(held)
    days = [day for period in of.periods for day in period.scored_days]
    entries = [page(day, pain_average=2, pain_worst=7) for day in days]
    later = plan(version=3, written_on=of.last_day + timedelta(days=3), measure="average")
    found = result(entries, plan_with(held, measure="worst"), later)
    assert found.design.measure == "worst"
    assert {pair.tape_mean for pair in found.pairs} == {7}
    assert "broken_off" not in found.limitations


def test_the_first_scored_day_can_be_left_out() -> None:
    held = trial()
    of = planned(held)
    entries: list[AnyEntry] = []
    for period in of.periods:
        first, second = period.scored_days
        low = 3 if period.arm == "tape" else 5
        # What the first day still carries of the period before it hides the difference.
        entries += [page(first, pain_average=4), page(second, pain_average=low)]
    found = result([*worn(of), *entries], plan_with(held))
    assert found.estimate.mean_difference == pytest.approx(-1)
    assert found.first_day_dropped.mean_difference == pytest.approx(-2)
    assert tape_worth(found).verdict == "lower_with_tape"


def test_five_pairs_all_one_way_cannot_reach_the_usual_threshold() -> None:
    held = trial(6)
    of = planned(held)
    whole = scored(of, of_differences([-3] * 6))
    empty = set(of.periods[4].scored_days)
    entries = [*worn(of), *(entry for entry in whole if entry.for_day not in empty)]
    found = result(entries, plan_with(held))
    assert (found.flow.pairs_complete, found.flow.pairs_dropped) == (5, 1)
    after = of.last_day + timedelta(days=1)
    assert pairs_complete(plan_with(held), "right", entries, after) == 5, "home counts as it does"
    assert pairs_complete(plan_with(held), "right", entries, of.periods[1].last_day) == 0
    assert found.estimate.p == 0.0625
    assert tape_worth(found).verdict == "cannot_tell"
    gaps = lacking(entries, plan_with(held))
    assert set(gaps) == {"trial.estimate", "trial.first_day_dropped"}
    gap = gaps["trial.estimate"]
    assert (gap.why, gap.have, gap.need) == ("too_few_complete_pairs", 5, 6)


# ---------------------------------------------------------------- which trial


def test_without_a_trial_there_is_none_and_nothing_lacks() -> None:
    assert findings(Diary(plans=(plan(),))).trial is None
    assert lacking([]) == {}


def test_a_trial_of_the_other_knee_is_not_this_knee_s() -> None:
    held = trial(side="left")
    both = plan(side="both", version=2, trial=held, written_on=DAY + timedelta(days=12))
    diary = Diary(plans=(plan(), both))
    assert findings(diary, "right").trial is None
    assert findings(diary, "left").trial is not None


def test_nothing_written_is_a_trial_that_is_not_over() -> None:
    held = trial()
    found = result([page(0, pain_average=5)], plan_with(held))
    assert found.flow.last_day_reached is None
    assert "not_over" in found.limitations
    assert "broken_off" not in found.limitations
    assert lacking([], plan_with(held))["trial.estimate"].have == 0


def test_a_diary_that_goes_on_without_scores_is_a_trial_broken_off() -> None:
    held = trial()
    of = planned(held)
    entries = [page(of.periods[3].last_day, pain_average=4), page(of.last_day)]
    entries = [replace(entry, written_by="paper") for entry in entries]
    assert "broken_off" in result(entries, plan_with(held)).limitations


def test_a_plan_without_the_trial_breaks_it_off_from_its_day_on() -> None:
    held = trial()
    of = planned(held)
    entries = [*worn(of), *scored(of, of_differences([-2] * 8))]
    end = of.periods[13].bare_day
    later = plan(version=3, written_on=end)
    found = result(entries, plan_with(held), later)
    assert found.flow.broken_off_on == end
    assert found.flow.last_day_reached == end - timedelta(days=1)
    assert (found.flow.pairs_complete, found.flow.pairs_dropped) == (6, 2)
    assert "broken_off" in found.limitations
    # A version that only carries it on changes nothing; one written after the last day neither.
    same = plan(version=3, written_on=end, trial=held)
    after = plan(version=4, written_on=of.last_day + timedelta(days=1))
    assert result(entries, plan_with(held), same, after).flow.broken_off_on is None


def test_what_is_scored_on_the_day_a_trial_is_dropped_is_no_longer_its() -> None:
    held = trial()
    of = planned(held)
    last = of.periods[13]
    later = plan(version=3, written_on=last.scored_days[1])
    entries = [*worn(of), *scored(of, of_differences([-2] * 8))]
    pair = result(entries, plan_with(held), later).pairs[last.pair - 1]
    days = {"tape": pair.tape_days, "no_tape": pair.no_tape_days}
    assert days[last.arm] == 1
    assert sum(days.values()) == 3


def test_another_trial_takes_the_place_of_the_first() -> None:
    held = trial()
    second_start = planned(held).last_day + timedelta(days=7)
    fixed = schedule("drawn again", second_start, 6, 3)
    second = TapeTrial(
        side="right",
        first_day=second_start,
        pairs=6,
        scored_days=3,
        seed=fixed.seed,
        schedule_sha256=fixed.sha256,
    )
    plans = (plan_with(held), plan_with(second, version=3, day=60))
    chosen = held_trial(plans, "right")
    assert chosen is not None
    assert (chosen.trial, chosen.dropped_on) == (second, None)
    assert result([], *plans).design.first_day == second_start
    # One for the other knee ends this knee's as no trial would.
    other = plan(version=3, written_on=FIRST, side="both", trial=replace(held, side="left"))
    ended = held_trial((plan_with(held), other), "right")
    assert ended is not None
    assert ended.dropped_on == FIRST


@pytest.mark.parametrize(("written_day", "before"), [(13, True), (14, False), (20, False)])
def test_a_schedule_not_fixed_before_its_first_day_is_said(written_day: int, before: bool) -> None:
    found = result([], plan_with(trial(), day=written_day))
    assert found.randomisation.as_fixed is before
    late = "schedule_not_fixed_before"
    assert (late in found.limitations) is not before


@pytest.mark.parametrize(
    "wrong", [{"seed": "  "}, {"first_day": date(9999, 12, 1)}, {"schedule_sha256": "0" * 64}]
)
def test_what_home_did_not_run_has_no_result(wrong: dict[str, Any]) -> None:
    """A schedule nobody lived by would give a number by chance."""
    held = trial(**wrong)
    of = planned(trial())
    entries = [*worn(of), *scored(of, of_differences([-2] * 8))]
    diary = Diary(plans=(plan(), plan_with(held)), entries=tuple(entries))
    assert findings(diary, "right").trial is None
    why = "schedule_not_as_fixed"
    assert lacking(entries, plan_with(held))["trial"].why == why


def test_a_trial_dropped_before_its_first_day_was_never_one() -> None:
    held = trial()
    before = plan(version=3, written_on=FIRST - timedelta(days=1))
    diary = Diary(plans=(plan(), plan_with(held), before))
    assert findings(diary, "right").trial is None
    assert lacking([], plan_with(held), before) == {}
    # The one before it, which was lived, is told.
    after = planned(held).last_day
    second = trial(first_day=after + timedelta(days=9))
    fixed = schedule(second.seed, second.first_day, 8, 2).sha256
    second = replace(second, schedule_sha256=fixed)
    plans = (
        plan_with(held),
        plan(version=3, written_on=after + timedelta(days=2), trial=second),
        plan(version=4, written_on=after + timedelta(days=5)),
    )
    chosen = held_trial(plans, "right")
    assert chosen is not None
    assert (chosen.trial, chosen.dropped_on) == (held, after + timedelta(days=2))


def test_a_trial_in_its_last_period_is_not_over() -> None:
    held = trial()
    of = planned(held)
    whole = [*worn(of), *scored(of, of_differences([-2] * 8))]
    days = [of.periods[-1].bare_day, *of.periods[-1].scored_days]
    for end in days[:-1]:
        entries = [entry for entry in whole if entry.for_day <= end]
        found = result(entries, plan_with(held))
        assert "not_over" in found.limitations
        assert "broken_off" not in found.limitations
    unscored = [e for e in whole if e.for_day < days[-1] or e.kind != "day_page"]
    last = [*unscored, tape_on(at(days[-1], 7))]
    assert "not_over" in result(last, plan_with(held)).limitations
    assert "not_over" not in result(whole, plan_with(held)).limitations


# ---------------------------------------------------------------- taped or not


def test_days_that_were_not_followed_are_counted_and_kept() -> None:
    held = trial()
    of = planned(held)
    entries = [*worn(of)[2:], *scored(of, of_differences([-2] * 8))]
    found = result(entries, plan_with(held))
    assert found.flow.days_not_followed == 2
    assert found.estimate.mean_difference == pytest.approx(-2)
    assert "days_not_followed" in found.limitations


@pytest.mark.parametrize(
    ("on", "off", "expected"),
    [
        # Half of 08:00 to 21:00 is six and a half hours.
        ((0, 14, 30), (1, 20, 0), {0: True, 1: True, 2: False}),
        ((0, 14, 31), (1, 14, 29), {0: False, 1: False, 2: False}),
        # Off before the day begins, or on after it ends, is a day without tape.
        ((0, 21, 0), (1, 8, 0), {0: False, 1: False, 2: False}),
    ],
)
def test_a_day_is_taped_by_half_of_its_hours(
    on: tuple[int, int, int], off: tuple[int, int, int], expected: dict[int, bool]
) -> None:
    def when(place: tuple[int, int, int]) -> datetime:
        return at(FIRST + timedelta(days=place[0]), place[1], place[2])

    tape = tape_on(when(on))
    entries: list[AnyEntry] = [tape, tape_off(when(off), tape_on=tape.id)]
    entries += [page(FIRST + timedelta(days=step), pain_average=4) for step in range(3)]
    found = taped(entries, trial())
    assert {step: found[FIRST + timedelta(days=step)] for step in expected} == expected


def test_an_unknown_time_of_removal_leaves_the_days_between_unknown() -> None:
    third = FIRST + timedelta(days=3)
    tape = tape_on(at(FIRST, 20, 0))
    written = [page(FIRST + timedelta(days=step), pain_average=4) for step in range(4)]
    off = tape_off(None, tape_on=tape.id, written_at=at(third, 9), for_day=third)
    found = taped([tape, off, *written], trial())
    # An hour on the first day at most, an hour on the fourth at most; between, nobody knows.
    assert found == {FIRST: False, third: False}


@pytest.mark.parametrize(("off_by", "expected"), [((14, 29), {FIRST: False}), ((14, 30), {})])
def test_a_day_that_may_have_been_taped_for_half_of_its_hours_is_unknown(
    off_by: tuple[int, int], expected: dict[date, bool]
) -> None:
    tape = tape_on(at(FIRST, 8))
    off = tape_off(None, tape_on=tape.id, written_at=at(FIRST, *off_by), for_day=FIRST)
    assert taped([tape, off, page(FIRST, pain_average=4)], trial()) == expected


def test_what_two_wears_of_a_day_can_have_been_is_added_up() -> None:
    """Four hours at most and four and a half: neither alone is half of the day."""
    entries: list[AnyEntry] = [page(FIRST, pain_average=4)]
    for on, off in (((8, 0), (12, 0)), ((12, 30), (17, 0))):
        tape = tape_on(at(FIRST, *on))
        written = at(FIRST, *off)
        entries += [tape, tape_off(None, tape_on=tape.id, written_at=written, for_day=FIRST)]
    assert taped(entries, trial()) == {}


def test_tape_on_the_other_knee_tapes_no_day_of_this_one() -> None:
    tape = tape_on(at(FIRST, 8), side="left")
    off = tape_off(at(FIRST, 20), tape_on=tape.id, side="left")
    assert taped([tape, off, page(FIRST, pain_average=4)], trial()) == {FIRST: False}


def test_tape_that_is_still_on_is_on_until_the_diary_ends() -> None:
    days = [FIRST + timedelta(days=step) for step in range(8)]
    tape = tape_on(at(days[0], 8, 0))
    last = page(days[2], pain_average=4, written_at=at(days[2], 20))
    # Up to the hard cap of 120 hours it may still be on; on the day after that it is not.
    assert taped([tape, last], trial()) == dict.fromkeys(days[:3], True)


def test_paper_says_itself_whether_tape_was_worn() -> None:
    days = [FIRST + timedelta(days=step) for step in range(3)]
    entries = [
        page(days[0], pain_average=4, tape_worn=True, written_by="paper"),
        page(days[1], pain_average=4, tape_worn=False, written_by="paper"),
        page(days[2], pain_average=4, written_by="paper"),
    ]
    assert taped(entries, trial()) == {days[0]: True, days[1]: False}


def test_a_day_nobody_wrote_about_is_unknown() -> None:
    assert taped([], trial()) == {}
    assert taped([page(FIRST)], trial()) == {FIRST: False}


# ---------------------------------------------------------------- harms


def test_skin_and_warnings_of_its_days_are_its_harms() -> None:
    held = trial()
    of = planned(held)
    entries: list[AnyEntry] = [
        page(FIRST - timedelta(days=1), skin="red"),
        page(FIRST, skin="pink"),
        page(FIRST + timedelta(days=1), skin="itchy"),
        warning(of.periods[2].bare_day),
        warning(of.last_day + timedelta(days=5)),
    ]
    harms = result(entries, plan_with(held)).harms
    assert [event.skin for event in harms.skin_events] == ["itchy"]
    assert (len(harms.warnings), harms.pink_days) == (1, 1)


@pytest.mark.parametrize(
    "seen",
    [
        page(FIRST, skin="pink"),
        tape_on(at(FIRST, 9), skin_before="pink"),
        tape_off(at(FIRST, 9), skin_at_once="pink"),
        tape_off(at(FIRST, 9), skin_at_once="clear", skin_after_30_min="pink"),
    ],
)
def test_a_pink_day_is_one_whenever_that_was_seen_and_on_this_knee_alone(
    seen: DayPage | TapeOn | TapeOff,
) -> None:
    assert result([seen], plan_with(trial())).harms.pink_days == 1
    assert result([replace(seen, side="left")], plan_with(trial())).harms.pink_days == 0


def test_tape_that_is_still_on_is_on_no_longer_than_the_plan_of_its_day_lets_it() -> None:
    """24 hours under the plan it went on under; the 120 of a later one are not its."""
    held = trial()
    short = plan_with(held, tape={"cap_hours": 24})
    long = plan(version=3, written_on=FIRST + timedelta(days=1), trial=held)
    assert long.tape.cap_hours > 24
    days = [FIRST + timedelta(days=step) for step in range(4)]
    entries: list[AnyEntry] = [tape_on(at(FIRST, 8)), *(page(day, pain_average=4) for day in days)]
    diary = Diary(plans=(short, long), entries=tuple(entries))
    found = taped_by_day(readings(diary), planned(held))
    assert found == {days[0]: True, days[1]: False, days[2]: False, days[3]: False}


def test_pairs_are_those_of_the_schedule() -> None:
    of = planned(trial())
    found = result([], plan_with(trial()))
    for pair, (first, second) in zip(found.pairs, list(pairwise(of.periods))[::2], strict=True):
        assert pair.pair == first.pair == second.pair
        assert pair.tape_first is (first.arm == "tape")
        assert pair.difference is None
