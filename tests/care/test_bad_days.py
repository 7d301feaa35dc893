"""Bad days and bad spells, by the person's own usual."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import timedelta
from random import Random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.bad_days import (
    BadDays,
    bad_day_rule,
    bad_days,
    by_version,
    mark_in_force,
    offered_mark,
    usual_rest_pain,
)
from companion.care.records import AnyEntry, CheckMove, Depth, Plan
from tests.builders import DAY, event, plan, session
from tests.care.content import POLICY

RULE = bad_day_rule(POLICY)
SCORES = st.integers(0, 10)


def days_of(
    befores: Sequence[int],
    of: Plan | None = None,
    *more: AnyEntry,
    today: int | None = None,
) -> BadDays:
    """How bad days stand after sessions with these before scores, one a day from day 0."""
    sessions = [session(day, before) for day, before in enumerate(befores)]
    now = DAY + timedelta(days=len(befores) if today is None else today)
    return bad_days(POLICY, by_version([of or plan()]), (*sessions, *more), "right", now)


# ------------------------------------------------------------ usual and mark


def test_usual_is_the_median_of_the_last_ten_before_scores() -> None:
    assert days_of([9, 9, *[4, 6] * 5]).usual == 5
    assert days_of([4, 5, 6, 7, 6]).usual == 6


def test_with_fewer_than_five_scores_the_first_session_says_what_is_usual() -> None:
    assert days_of([6, 2, 2, 2]).usual == 6
    assert days_of([]).usual is None


def test_the_offered_mark() -> None:
    """Two above usual, at least one above the ceiling, at most 10; no number for a usual of 9."""
    assert offered_mark(RULE, 5, 5) == 7
    assert offered_mark(RULE, 5.5, 5) == 8
    assert offered_mark(RULE, 1, 5) == 6
    assert offered_mark(RULE, 8, 5) == 10
    assert offered_mark(RULE, 8.5, 5) == 10
    assert offered_mark(RULE, 9, 5) is None
    assert offered_mark(RULE, None, 5) == 8
    assert offered_mark(RULE, None, 9) == 10


@given(st.one_of(st.none(), st.floats(0, 10)), st.integers(1, 9))
def test_an_offered_mark_is_above_ceiling_and_usual(usual: float | None, ceiling: int) -> None:
    mark = offered_mark(RULE, usual, ceiling)
    if mark is None:
        assert usual is not None
        assert usual >= 9
        return
    assert ceiling < mark <= 10
    if usual is not None:
        assert mark >= min(10, usual + 2)


@given(st.one_of(st.none(), st.floats(0, 10)), SCORES)
def test_the_plans_mark_comes_first_and_off_is_off(usual: float | None, mark: int) -> None:
    assert mark_in_force(RULE, plan(bad_day_mark=mark), usual) == mark
    assert mark_in_force(RULE, plan(bad_day_mark=mark, bad_day_mark_off=True), usual) is None


def test_a_score_of_another_move_or_depth_is_not_usual() -> None:
    low = Depth(how_low="a low stool")
    other = session(0, 9, depth=low)
    mine = session(1, 4, depth=Depth())
    found = bad_days(POLICY, by_version([plan()]), (other, mine), "right", DAY)
    assert found.usual == 4
    earlier = plan(check_move=CheckMove(name="small_squat"))
    now = plan(version=2)
    entries = (session(0, 9), session(1, 4, plan_version=2))
    assert bad_days(POLICY, by_version([earlier, now]), entries, "right", DAY).usual == 4
    assert bad_days(POLICY, by_version([plan(), now]), entries, "right", DAY).usual == 9


class Read(Mapping[int, Plan]):
    """Plans that say which of them were looked at."""

    def __init__(self, versions: int) -> None:
        self.versions = range(1, versions + 1)
        self.touched: set[int] = set()

    def __getitem__(self, version: int) -> Plan:
        self.touched.add(version)
        return plan(version=version)

    def __iter__(self) -> Iterator[int]:
        return iter(self.versions)

    def __len__(self) -> int:
        return len(self.versions)


def test_of_many_plans_only_those_the_scores_need_are_looked_at() -> None:
    """A store makes a plan when it is touched, and the front page waits for it."""
    versions = Read(20)
    entries = [session(day, 5, plan_version=1 + day // 5) for day in range(100)]
    found = bad_days(POLICY, versions, entries, "right", DAY + timedelta(days=100))
    assert (found.usual, found.running) == (5, 0)
    assert versions.touched == {1, 19, 20}, "the first score of all, and the last ten"


def test_usual_pain_at_rest() -> None:
    rests = [session(day, rest_pain=score) for day, score in enumerate([1, 6, 6, 4, 6])]
    assert usual_rest_pain(POLICY, rests, "right") == 6
    assert usual_rest_pain(POLICY, rests[:3], "right") == 1
    assert usual_rest_pain(POLICY, (), "right") is None


# ------------------------------------------------------------ runs and spells


def test_the_third_bad_session_running_is_a_bad_spell() -> None:
    of = plan(bad_day_mark=7)
    assert days_of([5, 5, 7, 8], of).spell is None
    spell = days_of([5, 5, 7, 8, 7], of).spell
    assert spell is not None
    assert (spell.since, spell.pressed, spell.sessions) == (DAY + timedelta(days=2), False, 3)
    assert days_of([5, 5, 7, 8, 7, 6], of).spell is None


def test_a_spell_does_not_raise_its_own_usual() -> None:
    """Nine bad sessions would be a median of their own: without a mark in the plan it stays."""
    found = days_of([*[5] * 10, *[8] * 9])
    assert (found.usual, found.mark, found.running) == (5, 7, 9)
    assert found.spell is not None


def test_what_has_been_bad_for_a_month_is_the_usual() -> None:
    assert days_of([*[5] * 10, *[8] * 40]).spell is None


def test_pain_at_rest_above_the_limit_is_a_bad_session_too() -> None:
    """No move is made then, and the worst days would count for nothing."""
    of = plan()
    entries = [session(day, rest_pain=6) for day in range(3)]
    found = bad_days(POLICY, by_version([of]), entries, "right", DAY + timedelta(days=3))
    assert found.running == 3
    own = plan(rest_pain_limit=6)
    assert bad_days(POLICY, by_version([own]), entries, "right", DAY).running == 0


def test_a_spell_begins_and_ends_by_the_persons_press() -> None:
    begun, over = event(5, "bad_spell"), event(7, "bad_spell_over")
    spell = days_of([5] * 5, None, begun, today=6).spell
    assert spell is not None
    assert (spell.since, spell.pressed, spell.call) == (DAY + timedelta(days=5), True, None)
    assert days_of([5] * 5, None, begun, over, today=8).spell is None
    again = event(9, "bad_spell")
    assert days_of([5] * 5, None, begun, over, again, today=9).spell is not None


@pytest.mark.parametrize(("days", "call"), [(None, 7), (3, 3), (10, 10)])
def test_a_spell_that_does_not_settle_is_told_the_clinic(days: int | None, call: int) -> None:
    of = plan(flare_days=days)
    begun = event(0, "bad_spell")
    for today in range(12):
        spell = days_of([], of, begun, today=today).spell
        assert spell is not None
        assert spell.call == ("flare_days_used_up" if today >= call else None)


def test_a_spell_that_worsens_each_time_is_told_the_clinic() -> None:
    of = plan(bad_day_mark=7, flare_plan="Rest it after lunch.")
    rising = days_of([5, 7, 8, 9], of).spell
    level = days_of([5, 8, 8, 9], of).spell
    assert rising is not None
    assert level is not None
    assert (rising.call, level.call) == ("flare_worsens", None)


def test_without_a_plan_for_it_three_bad_sessions_are_told_the_clinic() -> None:
    spell = days_of([5, 8, 8, 8], plan(bad_day_mark=7)).spell
    assert spell is not None
    assert spell.call == "no_flare_plan"


@given(st.lists(SCORES, max_size=14), st.one_of(st.none(), SCORES), st.booleans())
def test_no_spell_without_three_bad_sessions_or_a_press(
    befores: list[int], mark: int | None, off: bool
) -> None:
    """Never by a statistic: every spell has its press, or three sessions at the mark."""
    found = days_of(befores, plan(bad_day_mark=mark, bad_day_mark_off=off))
    if found.spell is None:
        return
    assert not off
    assert found.mark is not None
    assert all(score >= found.mark for score in befores[-found.running :])
    assert found.running >= 3


# ------------------------------------------------------------ a mark of one's own


def share_bad(usual: float, of: Plan | None = None, fixed: int | None = None) -> float:
    """The share of a seeded person's sessions that are bad days: whole scores about `usual`,
    give or take one, over 60 sessions."""
    random = Random(11)
    befores: list[int] = []
    bad = 0
    for _ in range(60):
        score = min(10, max(0, round(random.gauss(usual, 1))))
        mark: Any = fixed if fixed is not None else days_of(befores, of).mark
        bad += mark is not None and score >= mark
        befores.append(score)
    return bad / 60


def test_a_fixed_mark_makes_most_days_bad_of_who_always_scores_eight() -> None:
    """The remark behind the rule: a fixed 8 calls about two thirds of their sessions bad (62 to
    69 % in a simulation of the same kind), a mark of their own hardly any."""
    assert share_bad(8, fixed=8) > 0.6
    assert share_bad(8) < 0.15
    assert share_bad(4) < 0.15


def test_a_mark_of_ones_own_still_sees_a_bad_day() -> None:
    found = days_of([4] * 10)
    assert found.mark is not None
    assert found.mark <= 7
