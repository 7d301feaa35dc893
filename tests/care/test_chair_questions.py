"""The 30-second chair stand as a walk: locks win, a try first, the whole time or nothing.

Rules of the test: CDC, 30-Second Chair Stand, 2017 (F). The short gate before it, the plan's
ceiling, "somebody there" and the days in which it is due are ours (C).
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from hypothesis import given

from companion.care import chair_questions as chair
from companion.care.chair_questions import ChairEnd, ChairStart, chair_stand_due, chair_walk
from companion.care.clearing import TalkedPage
from companion.care.flow import WalkPage
from companion.care.records import Measurement
from companion.care.stopping import CardPage, GatePage
from tests.builders import DAY, SOMETHING_NEW, at, new_id, plan
from tests.care.asking import asked
from tests.care.content import CATALOGUE
from tests.care.test_outing_questions import but, kinds, walked
from tests.care.walking import Choose, any_answer, choices
from tests.steady import steady

START = ChairStart(safe="alone", ceiling=5, gate_asked=True)


def chair_end(start: ChairStart, **changed: Mapping[str, Any]) -> tuple[list[type], ChairEnd]:
    pages, end = walked(chair_walk(CATALOGUE, start), but(steady, **changed))
    return kinds(pages), end


def test_the_rules_a_try_the_count_and_how_many() -> None:
    pages, end = chair_end(START, chair={"seat_cm": 43}, how_many={"count": 11, "arms": "no"})
    assert pages == [
        chair.ChairPage,
        chair.HowPage,
        chair.TryPage,
        chair.CountPage,
        chair.HowManyPage,
        chair.ChairLookOverPage,
    ]
    assert end == ChairEnd(count=11, seat_cm=43)


def test_the_gate_comes_first_unless_it_was_answered_today() -> None:
    pages, _ = chair_end(replace(START, gate_asked=False))
    assert pages[:2] == [GatePage, chair.ChairPage]
    pages, _ = chair_end(replace(START, gate_asked=True, list_reason="weekly"))
    assert pages[:2] == [GatePage, chair.ChairPage]


def test_an_open_card_is_all_there_is() -> None:
    pages, end = chair_end(replace(START, closed_by="knee_stuck"))
    assert pages == [chair.ChairClosedPage]
    assert end == ChairEnd()


def standing_sign() -> str:
    """A sign that closes the chair stand and goes on otherwise."""
    return next(
        sign.id
        for sign in CATALOGUE.stop_list.signs
        if sign.asked_when == "always"
        and "check_move" in (row := CATALOGUE.policy.sign(sign.id)).parts
        and row.ends != "session"
        and not sign.questions
    )


def test_what_closes_the_chair_stand_wins_wherever_it_comes_from() -> None:
    closed = [chair.NotNowPage]
    assert chair_end(replace(START, closed=("check_move",)))[0] == closed
    still = replace(START, open_signs=(asked(standing_sign()),))
    name = f"open_{standing_sign()}_talked"
    assert chair_end(still, **{name: {"told": "not_called"}})[0] == [TalkedPage, *closed]
    said = {f"open_{standing_sign()}_checked": {"by": "clinic", "days_ago": 0}}
    assert chair_end(still, **{name: {"told": "all"}}, **said)[1].count == 9
    ticked = replace(START, gate_asked=False, asked_signs=(standing_sign(),))
    pages, end = chair_end(ticked, gate=SOMETHING_NEW, list_1={"signs": [standing_sign()]})
    assert pages[-2:] == [CardPage, *closed]
    assert end.count is None


def test_a_card_that_ends_a_session_ends_it_at_once() -> None:
    sign = next(
        s
        for s in CATALOGUE.stop_list.signs
        if CATALOGUE.policy.sign(s.id).ends == "session" and s.asked_when == "always"
    )
    start = replace(START, gate_asked=False, asked_signs=(sign.id,))
    pages, end = chair_end(start, gate=SOMETHING_NEW, list_1={"signs": [sign.id]})
    assert pages[-1] is CardPage
    assert end.count is None
    assert [one.sign for one in end.signs] == [sign.id]


def test_somebody_must_be_there_where_the_plan_says_so() -> None:
    start = replace(START, safe="with_someone")
    assert chair.SomeonePage in chair_end(start)[0]
    pages, end = chair_end(start, someone={"there": "no"})
    assert pages[-1] is chair.NotNowPage
    assert end.count is None
    assert chair.SomeonePage not in chair_end(START)[0]


@pytest.mark.parametrize(
    ("tried", "reason"),
    [
        ({"stood": "yes", "pain": 6}, "pain"),
        ({"stood": "no", "pain": 0}, "no_stand"),
        ({"stood": "arms", "pain": 6}, "pain"),
    ],
)
def test_nobody_goes_against_the_clock_who_cannot(tried: dict[str, Any], reason: str) -> None:
    pages, end = walked(chair_walk(CATALOGUE, START), but(steady, **{"try": tried}))
    assert [page.reason for page in pages if isinstance(page, chair.NotNowPage)] == [reason]
    assert end.count is None


def test_pain_at_the_ceiling_goes_on() -> None:
    """Above the plan's ceiling stops a step; at it does not (design 5.5)."""
    assert chair_end(START, **{"try": {"stood": "yes", "pain": 5}})[1].count == 9


def test_arms_in_the_try_score_0_without_the_clock() -> None:
    pages, end = chair_end(START, **{"try": {"stood": "arms", "pain": 2}})
    assert chair.CountPage not in pages
    assert (end.count, end.arms_used) == (0, True)


def test_only_the_whole_30_seconds_count() -> None:
    short = {"seconds": 29, "outcome": "done"}
    pages, end = chair_end(START, count_1=short)
    assert pages.count(chair.CountPage) == 2
    assert end.count == 9
    pages, end = chair_end(
        START, count_1={"seconds": None, "outcome": "done"}, short_1={"again": "no"}
    )
    assert pages[-1] is chair.ShortPage
    assert end.count is None
    pages, end = chair_end(START, count_1={"seconds": 30, "outcome": "stopped"})
    assert pages[-1] is chair.NotNowPage
    assert end.count is None


@given(choices)
def test_whatever_is_answered_it_ends(choose: Choose) -> None:
    start = ChairStart(
        safe=choose(["alone", "with_someone"]),
        ceiling=choose(range(1, 10)),
        gate_asked=choose([True, False]),
        list_reason=choose([None, "weekly"]),
        asked_signs=tuple(s.id for s in CATALOGUE.stop_list.signs if s.asked_when == "always"),
        open_signs=choose([(), (asked(standing_sign()),)]),
    )

    def answer(page: WalkPage) -> Mapping[str, Any]:
        return any_answer(page, choose)

    pages, end = walked(chair_walk(CATALOGUE, start), answer)
    assert len({page.key for page in pages}) == len(pages)
    if end.count is not None:
        assert isinstance(pages[-1], chair.ChairLookOverPage)
        tries = [page for page in pages if isinstance(page, chair.TryPage)]
        assert len(tries) == 1


# ---------------------------------------------------------------- when it is due


def counted(day: int) -> Measurement:
    return Measurement(
        id=new_id(),
        for_day=DAY + timedelta(days=day),
        written_at=at(day),
        written_by="person",
        plan_version=1,
        count=9,
    )


PLAN = plan(chair_stand="alone", written_on=DAY, review_on=DAY + timedelta(days=56))


@pytest.mark.parametrize(
    ("day", "due"),
    [(0, True), (6, True), (7, False), (41, False), (42, True), (56, True), (57, False)],
)
def test_due_in_the_first_days_and_in_the_14_before_review(day: int, due: bool) -> None:
    assert chair_stand_due(PLAN, [], DAY + timedelta(days=day)) is due


def test_one_count_is_enough_for_either() -> None:
    first = [counted(0)]
    assert not chair_stand_due(PLAN, first, DAY + timedelta(days=3))
    assert chair_stand_due(PLAN, first, DAY + timedelta(days=45))
    assert not chair_stand_due(PLAN, [*first, counted(44)], DAY + timedelta(days=45))
    trial = replace(counted(0), test="activity_trial")
    assert chair_stand_due(PLAN, [trial], DAY)
    assert not chair_stand_due(replace(PLAN, chair_stand=None), [], DAY)
