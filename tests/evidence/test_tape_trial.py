"""The tape trial: its schedule, its test under every schedule, and its result as CENT 2015 asks."""

import hashlib
from collections.abc import Mapping
from datetime import date, timedelta
from itertools import pairwise, product
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.trial_schedule import PAIRS_NEEDED, Schedule, fair_bit, schedule
from companion.evidence.figures import SkinEvent
from companion.evidence.sign_flip import hodges_lehmann, sign_flip, smallest_p
from companion.evidence.tape_trial import estimate, trial_result
from companion.evidence.verdicts import tape_worth
from tests.builders import DAY

SEED = "9f3c-harbour"


def planned(pairs: int = 8, scored_days: int = 3) -> Schedule:
    return schedule(SEED, DAY, pairs, scored_days)


def scored(trial: Schedule, tape: int, no_tape: int) -> dict[date, int]:
    return {
        day: tape if period.arm == "tape" else no_tape
        for period in trial.periods
        for day in period.scored_days
    }


def followed(trial: Schedule) -> dict[date, bool]:
    worn = {period.bare_day: False for period in trial.periods}
    for period in trial.periods:
        worn |= dict.fromkeys(period.scored_days, period.arm == "tape")
    return worn


# ---------------------------------------------------------------- schedule


def test_the_schedule_is_pairs_of_periods_without_a_gap() -> None:
    trial = planned(8, 3)
    assert len(trial.periods) == 16
    days: list[date] = []
    for period in trial.periods:
        days += [period.bare_day, *period.scored_days]
        assert len(period.scored_days) == 3
    assert days == [DAY + timedelta(days=step) for step in range(64)]
    assert trial.last_day == days[-1]
    for first, second in zip(trial.periods[::2], trial.periods[1::2], strict=True):
        assert first.pair == second.pair
        assert {first.arm, second.arm} == {"tape", "no_tape"}


def test_ten_pairs_of_two_days_take_as_long_as_statistics_says() -> None:
    # D: 10 x 2 periods of one bare and two scored days.
    assert (planned(10, 2).last_day - DAY).days + 1 == 60


def test_the_same_seed_gives_the_same_schedule_and_hash() -> None:
    assert planned() == planned()
    assert planned().sha256 == planned().sha256
    assert planned().sha256 == hashlib.sha256(planned().text.encode()).hexdigest()


def test_anything_changed_changes_the_hash() -> None:
    hashes = {
        planned().sha256,
        schedule(SEED + "x", DAY, 8, 3).sha256,
        schedule(SEED, DAY + timedelta(days=1), 8, 3).sha256,
        schedule(SEED, DAY, 9, 3).sha256,
        schedule(SEED, DAY, 8, 2).sha256,
    }
    assert len(hashes) == 5


def test_the_text_that_is_hashed_can_be_read_by_eye() -> None:
    lines = schedule("s", DAY, 6, 1).text.splitlines()
    assert lines[0] == "s 6 1 2026-03-02"
    assert len(lines) == 13
    assert lines[1].split()[0] == "1"
    assert lines[1].split()[1] in {"tape", "no_tape"}


def test_the_order_within_pairs_is_fair_and_one_pair_says_nothing_of_the_next() -> None:
    bits = np.array([[fair_bit(f"seed {n}", pair) for pair in range(1, 9)] for n in range(2000)])
    # Five standard errors of a fair coin: the seeds are fixed, so this never wavers.
    assert np.abs(bits.mean(axis=0) - 0.5).max() < 5 * 0.5 / 2000**0.5
    for left, right in pairwise(range(8)):
        same = (bits[:, left] == bits[:, right]).mean()
        assert abs(same - 0.5) < 5 * 0.5 / 2000**0.5


def test_only_the_period_of_the_day_is_told() -> None:
    trial = planned()
    for period in trial.periods:
        for day in (period.bare_day, *period.scored_days):
            assert trial.due(day) == period
    assert trial.due(DAY - timedelta(days=1)) is None
    assert trial.due(trial.last_day + timedelta(days=1)) is None


@pytest.mark.parametrize(
    ("seed", "pairs", "scored_days", "sentence"),
    [
        ("  ", 8, 3, "The seed of the tape trial is empty; draw one by chance."),
        ("a", 5, 3, "A tape trial needs 6 to 40 pairs of periods"),
        ("a", 41, 3, "A tape trial needs 6 to 40 pairs of periods"),
        ("a", 8, 0, "A period of the tape trial has 1 to 7 scored days."),
        ("a", 8, 8, "A period of the tape trial has 1 to 7 scored days."),
    ],
)
def test_a_trial_that_could_not_tell_is_refused(
    seed: str, pairs: int, scored_days: int, sentence: str
) -> None:
    with pytest.raises(ValueError, match=sentence):
        schedule(seed, DAY, pairs, scored_days)


# ---------------------------------------------------------------- the test, exactly


@pytest.mark.parametrize("pairs", range(6, 13))
@pytest.mark.parametrize("kind", ["tied", "untied"])
def test_type_one_error_over_all_schedules_is_at_most_five_percent(pairs: int, kind: str) -> None:
    # Had tape done nothing the diary is the same whatever the order: every order only turns signs.
    rng = np.random.default_rng(pairs)
    whole = rng.integers(-6, 7, pairs) / 3 if kind == "tied" else rng.normal(size=pairs)
    signs = np.array(list(product([1, -1], repeat=pairs)))
    sums = signs @ whole
    # p of every schedule at once: how many sums are as far from 0.
    far = np.sort(np.abs(sums))
    p = 1 - np.searchsorted(far, np.abs(sums) - 1e-9) / len(far)
    assert (p <= 0.05).mean() <= 0.05
    assert (p <= 0.05).any() or kind == "tied"
    # The same p as the findings give it, for the first and the last schedule and some between.
    for at in range(0, len(signs), max(1, len(signs) // 16)):
        assert sign_flip(list(whole * signs[at])).p == pytest.approx(p[at])


@pytest.mark.parametrize("pairs", [6, 7, 8])
def test_the_findings_own_decision_over_all_schedules(pairs: int) -> None:
    # The whole way: every schedule of one unchanging diary, by the interval that is shown.
    rng = np.random.default_rng(10 + pairs)
    whole = [float(each) / 2 for each in rng.integers(-6, 7, pairs)]
    wrong = 0
    for signs in product([1, -1], repeat=pairs):
        found = sign_flip([sign * each for sign, each in zip(signs, whole, strict=True)])
        assert found.low is not None
        assert found.high is not None
        # The interval and the test say the same.
        assert (found.low <= 0 <= found.high) is (found.p > 0.05)
        wrong += found.p <= 0.05
    assert wrong / 2**pairs <= 0.05


@given(st.lists(st.integers(-20, 20), min_size=6, max_size=10))
def test_the_interval_holds_the_shifts_the_test_does_not_refuse(halves: list[int]) -> None:
    d = [half / 2 for half in halves]
    found = sign_flip(d)
    assert found.low is not None
    assert found.high is not None
    step = 1e-6
    for end, outward in ((found.low, -step), (found.high, step)):
        assert sign_flip([each - end - outward for each in d]).p <= 0.05
        assert sign_flip([each - end for each in d]).p > 0.05 or found.low == found.high
    assert found.low <= sum(d) / len(d) <= found.high
    assert found.low <= hodges_lehmann(d) <= found.high


def test_above_twenty_pairs_it_is_drawn_and_says_nearly_the_same() -> None:
    rng = np.random.default_rng(3)
    d = [float(each) for each in rng.normal(-0.4, 1, 20)]
    exact = sign_flip(d)
    more = [*d, 0.0]
    drawn = sign_flip(more, seed=1)
    assert drawn == sign_flip(more, seed=1)
    # A difference of 0 has no sign: p is the same but for the drawing (standard error .0007).
    assert drawn.p == pytest.approx(exact.p, abs=0.004)
    assert smallest_p(21) == 1 / 100_001
    assert drawn.low is not None
    assert exact.low is not None
    assert drawn.low == pytest.approx(exact.low, abs=0.1)
    assert sign_flip([1.0] * 30).p == 1 / 100_001


def test_nothing_is_tested_without_a_difference() -> None:
    with pytest.raises(ValueError, match="at least one pair difference"):
        sign_flip([])
    with pytest.raises(ValueError, match="at least one difference"):
        hodges_lehmann([])
    assert estimate([]).p is None


# ---------------------------------------------------------------- result


def test_a_whole_trial() -> None:
    trial = planned()
    found = trial_result(
        trial, scored(trial, 3, 5), followed(trial), written_on=trial.first_day - timedelta(days=1)
    )
    assert found.estimate.mean_difference == -2
    assert (found.estimate.low, found.estimate.high, found.estimate.favouring) == (-2, -2, 8)
    told = tape_worth(found)
    assert told.verdict == "lower_with_tape"
    assert "trial_surely_a_point" in {each.code for each in told.because}
    assert found.estimate.p == smallest_p(8) == found.design.smallest_p
    assert found.first_day_dropped.mean_difference == -2
    assert found.flow.days_scheduled == 48
    assert (found.flow.days_recorded, found.flow.pairs_complete) == (48, 8)
    assert (found.flow.days_not_followed, found.flow.days_followed_unknown) == (0, 0)
    assert found.randomisation.as_fixed is True
    assert found.blinded is False
    assert found.limitations == (
        "not_blinded",
        "carry_over_hides_difference",
    )


def test_a_pair_with_an_empty_period_is_dropped_and_counted() -> None:
    trial = planned()
    row = scored(trial, 3, 5)
    for day in trial.periods[0].scored_days:
        del row[day]
    found = trial_result(trial, row, followed(trial))
    assert (found.flow.pairs_complete, found.flow.pairs_dropped) == (7, 1)
    assert found.pairs[0].difference is None
    assert found.estimate.pairs == 7
    assert found.estimate.p == smallest_p(7)
    assert "pairs_dropped" in found.limitations


def test_three_dropped_pairs_leave_too_few_to_tell() -> None:
    trial = planned()
    row = scored(trial, 3, 5)
    for period in trial.periods[:6:2]:
        for day in period.scored_days:
            del row[day]
    found = trial_result(trial, row, followed(trial)).estimate
    assert found.pairs == 5
    assert (found.low, found.high) == (None, None)
    # Five pairs all one way: the usual threshold cannot be reached.
    assert found.p == found.smallest_p == 0.0625
    assert found.pairs < PAIRS_NEEDED


def test_a_trial_broken_off() -> None:
    trial = planned()
    end = trial.periods[9].last_day
    row = {day: score for day, score in scored(trial, 4, 5).items() if day <= end}
    worn = {day: tape for day, tape in followed(trial).items() if day <= end}
    found = trial_result(trial, row, worn)
    assert found.flow.last_day_reached == end
    assert found.flow.pairs_complete == 5
    assert tape_worth(found).verdict == "cannot_tell"
    assert found.flow.days_followed_unknown == 24
    assert "broken_off" in found.limitations
    begun = scored(trial, 4, 5)
    for day in trial.periods[-1].scored_days:
        del begun[day]
    assert "broken_off" in trial_result(trial, begun, {}).limitations
    last_bare = {trial.periods[-1].bare_day: False}
    assert "broken_off" not in trial_result(trial, begun, last_bare).limitations
    never = trial_result(trial, {}, {})
    assert never.flow.last_day_reached is None
    assert (never.estimate.pairs, never.estimate.mean_difference) == (0, None)
    assert "broken_off" in never.limitations


def test_days_not_followed_are_kept_as_scheduled_and_counted() -> None:
    trial = planned()
    worn: dict[date, bool] = followed(trial)
    off = next(period for period in trial.periods if period.arm == "tape")
    worn[off.scored_days[0]] = False
    worn[trial.periods[3].bare_day] = True
    found = trial_result(trial, scored(trial, 3, 5), worn)
    assert found.flow.days_not_followed == 2
    assert found.estimate.mean_difference == -2
    assert "days_not_followed" in found.limitations


def test_the_first_day_of_every_period_can_be_dropped() -> None:
    trial = planned()
    row = scored(trial, 3, 5)
    for period in trial.periods:
        row[period.scored_days[0]] = 9
    found = trial_result(trial, row, {})
    assert found.estimate.mean_difference == pytest.approx(-4 / 3)
    assert found.first_day_dropped.mean_difference == -2
    one_day = planned(8, 1)
    alone = trial_result(one_day, scored(one_day, 3, 5), {})
    assert (alone.estimate.pairs, alone.first_day_dropped.pairs) == (8, 0)


def test_a_schedule_written_down_late_is_said() -> None:
    trial = planned()
    found = trial_result(trial, {}, {}, written_on=trial.first_day)
    assert found.randomisation.as_fixed is False
    assert "schedule_not_fixed_before" in found.limitations
    assert trial_result(trial, {}, {}).randomisation.as_fixed is None


def test_harms_are_those_within_the_trials_days() -> None:
    def skin(day: date) -> SkinEvent:
        return SkinEvent(day=day, side="right", skin="red", source="day_page")

    trial = planned()
    # The last tape may come off on the day after, and its skin is seen then.
    inside = [skin(DAY), skin(trial.last_day + timedelta(days=1))]
    outside = [skin(DAY - timedelta(days=1)), skin(trial.last_day + timedelta(days=2))]
    pink = [DAY, DAY, DAY - timedelta(days=1)]
    found = trial_result(trial, {}, {}, skin_events=[*inside, *outside], pink=pink)
    assert found.harms.skin_events == tuple(inside)
    assert found.harms.pink_days == 1
    early = trial_result(trial, {}, {}, skin_events=inside, broken_off_on=trial.last_day)
    assert early.harms.skin_events == (inside[0],)


@given(st.data())
def test_any_record_of_a_trial_gives_a_result(data: st.DataObject) -> None:
    trial = planned(6, 2)
    days = [day for period in trial.periods for day in (period.bare_day, *period.scored_days)]
    row: Mapping[date, int] = data.draw(st.dictionaries(st.sampled_from(days), st.integers(0, 10)))
    worn: Mapping[date, Any] = data.draw(st.dictionaries(st.sampled_from(days), st.booleans()))
    found = trial_result(trial, row, worn)
    assert found.flow.pairs_complete + found.flow.pairs_dropped == 6
    if found.estimate.pairs < 6:
        assert tape_worth(found).verdict == "cannot_tell"
        assert found.estimate.low is None
