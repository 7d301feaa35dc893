"""What became of an open sign: by what the person says, what they were told, or a mistake.

The rules are r08 (who opens again, and what) and r06 (fever) of the policy: common practice, no
source.
"""

from datetime import timedelta
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.clearing import (
    Became,
    CheckedPage,
    ClearEnd,
    ClearStart,
    MistakePage,
    OpenCardPage,
    OpenSignPage,
    TalkedPage,
    ToldPartsPage,
    became,
    became_walk,
    clear_walk,
    closed_after,
    open_sign,
    open_signs_walk,
    written,
)
from companion.care.closures import nobody_told, still_closes, still_holds, to_ask_at_gate
from companion.care.flow import WalkPage
from companion.care.history import corrected
from companion.care.records import Told, WarningSign
from tests.builders import DAY, at
from tests.care.asking import answer_asked, asked, opens_all, opens_nothing
from tests.care.content import CATALOGUE, POLICY, closed_for
from tests.care.walking import Choose, choices, pages_of, walked

SIGNS = tuple(sign.id for sign in CATALOGUE.stop_list.signs)
LASTING = tuple(sign for sign in SIGNS if not POLICY.sign(sign).for_session)


def ticked(sign: str) -> WarningSign:
    listed = CATALOGUE.sign(sign)
    return WarningSign(
        id="a" * 32,
        for_day=DAY,
        written_at=at(0),
        written_by="person",
        plan_version=1,
        sign=sign,
        card=listed.card,
        level=listed.level,
        happened_at=at(0),
    )


def after(warning: WarningSign, end: Became, days: int = 10) -> WarningSign:
    """The sign as it counts once `end` came of it, so many days after it was ticked."""
    today = DAY + timedelta(days=days)
    entry = written(
        warning,
        open_sign(warning, POLICY, today, card=True),
        end,
        today=today,
        policy=POLICY,
    )
    return warning if entry is None else corrected(entry, "b" * 32, at(days), "person")


def told(said: Told, *parts: Any) -> Became:
    return Became(told=said, parts=parts, by="clinic")


# ------------------------------------------------------------ what is asked


@pytest.mark.parametrize("sign", LASTING)
def test_an_open_sign_is_asked_as_its_row_says(sign: str) -> None:
    open_one = asked(sign)
    pages, _, end = walked(lambda: became_walk(CATALOGUE, open_one), opens_all)
    assert bool(pages_of(pages, OpenSignPage)) == (open_one.asks is not None)
    assert not closed_after(open_one, end) or len(POLICY.sign(sign).closes) > 1
    pages, _, end = walked(lambda: became_walk(CATALOGUE, open_one), opens_nothing)
    assert bool(pages_of(pages, TalkedPage)) == open_one.talk
    assert end == Became()
    assert closed_after(open_one, end) == {*open_one.closes}


@pytest.mark.parametrize("said", get_args(Told))
def test_whom_is_asked_once_somebody_was_reached(said: Told) -> None:
    def answer(page: WalkPage) -> Any:
        return {"told": said} if isinstance(page, TalkedPage) else opens_all(page)

    pages, _, end = walked(lambda: became_walk(CATALOGUE, asked("lump")), answer)
    assert bool(pages_of(pages, CheckedPage)) == (said != "not_reached")
    assert bool(pages_of(pages, ToldPartsPage)) == (said == "only_these")
    assert end.told == said


@pytest.mark.parametrize(
    ("answers", "opens"),
    [
        ({}, True),
        ({"no_fever": "no"}, False),
        ({"no_fever": "not_sure"}, False),
        ({"no_tablets": "no"}, False),
        ({"knee_as_usual": "no"}, False),
    ],
)
def test_fever_is_opened_by_the_person_only_when_all_of_rule_6_is_so(
    answers: dict[str, str], opens: bool
) -> None:
    def answer(page: WalkPage) -> Any:
        if isinstance(page, OpenSignPage):
            return opens_all(page) | answers
        return {"told": "not_called"}

    _, _, end = walked(lambda: became_walk(CATALOGUE, asked("fever")), answer)
    assert (end.how == "well_again") is opens
    assert bool(closed_after(asked("fever"), end)) is not opens


def test_a_fever_is_not_asked_about_before_two_days_are_over() -> None:
    fever = ticked("fever")
    for days in (0, 1):
        assert to_ask_at_gate([fever], POLICY, DAY + timedelta(days=days)) == ()
    assert to_ask_at_gate([fever], POLICY, DAY + timedelta(days=2)) == (fever,)


@given(choices, st.sampled_from(LASTING))
def test_what_is_gathered_from_answers_is_what_the_walk_came_to(choose: Choose, sign: str) -> None:
    open_one = asked(sign)
    pages, answers, end = walked(
        lambda: became_walk(CATALOGUE, open_one),
        lambda page: answer_asked(page, choose),
    )
    assert became(CATALOGUE, open_one, answers) == end
    for short in range(len(pages)):
        assert became(CATALOGUE, open_one, answers[:short]) is None


# ------------------------------------------------------------ what is closed after it


@given(choices, st.sampled_from(LASTING))
def test_a_sign_closes_no_more_for_being_asked_about_and_the_entry_says_the_same(
    choose: Choose, sign: str
) -> None:
    warning = ticked(sign)
    open_one = open_sign(warning, POLICY, DAY + timedelta(days=10), card=True)
    _, _, end = walked(
        lambda: became_walk(CATALOGUE, open_one),
        lambda page: answer_asked(page, choose),
    )
    closed = closed_after(open_one, end)
    assert closed <= closed_for([warning])
    counts = after(warning, end)
    assert closed_for([counts]) == closed
    assert still_holds(counts, POLICY) or not closed
    # Asked again and told to do all of it, it is over, from wherever it stood.
    if open_one.talk:
        assert not closed_for([after(counts, told("all"), 20)])


@pytest.mark.parametrize("sign", LASTING)
def test_not_spoken_of_opens_seated_exercise_alone(sign: str) -> None:
    if not asked(sign).talk:
        return
    closed = closed_after(asked(sign), told("not_spoken_of"))
    assert closed == {*POLICY.sign(sign).parts} - {"seated"}
    assert still_holds(after(ticked(sign), told("not_spoken_of")), POLICY)


@pytest.mark.parametrize("sign", ["chest_or_breath", "knee_hot_swollen"])
def test_a_sign_to_be_seen_with_stays_closed_while_nobody_was_reached(sign: str) -> None:
    assert closed_after(asked(sign), told("not_reached")) == {*POLICY.sign(sign).parts}


def test_below_that_seated_exercise_is_open_while_nobody_was_reached() -> None:
    closed = closed_after(asked("faint_in_session"), told("not_reached"))
    assert closed == {*POLICY.sign("faint_in_session").parts} - {"seated"}


def test_only_these_opens_these_and_all_of_them_clears() -> None:
    sudden = ticked("sudden_pain_every_step")
    some = after(sudden, told("only_these", "hands", "tape_on", "outing_tape"))
    assert closed_for([some]) == {"standing", "check_move"}
    assert (some.cleared, some.told, some.told_by) == (None, "only_these", "clinic")
    every = after(sudden, told("only_these", *still_closes(sudden, POLICY)))
    assert every.cleared == "checked_by_professional"


def test_whoever_was_told_nothing_is_asked_daily_and_others_after_a_week() -> None:
    lump = ticked("lump")
    assert to_ask_at_gate([lump], POLICY, DAY) == (lump,)
    days_to: dict[Told, int] = {
        "not_reached": 1,
        "not_spoken_of": 1,
        "not_yet": 7,
        "only_these": 7,
    }
    for said, days in days_to.items():
        counts = after(lump, told(said), 2)
        since = DAY + timedelta(days=2)
        assert to_ask_at_gate([counts], POLICY, since + timedelta(days=days - 1)) == ()
        assert to_ask_at_gate([counts], POLICY, since + timedelta(days=days)) == (counts,)


def test_after_three_days_without_a_word_somebody_else_is_to_be_called() -> None:
    counts = after(ticked("lump"), told("not_reached"), 1)
    assert not nobody_told(counts, POLICY, DAY + timedelta(days=2))
    assert nobody_told(counts, POLICY, DAY + timedelta(days=3))
    assert not nobody_told(ticked("lump"), POLICY, DAY + timedelta(days=3))
    assert not nobody_told(after(counts, told("not_yet"), 3), POLICY, DAY + timedelta(days=9))


def test_the_person_opens_what_is_theirs_and_a_professional_the_rest() -> None:
    nights = after(ticked("rest_or_night_pain"), Became(how="as_before"))
    assert nights.cleared == "as_before"
    assert not closed_for([nights])


@given(choices)
def test_what_is_open_still_after_a_gate_is_named_with_what_it_closes(choose: Choose) -> None:
    signs = (asked("lump"), asked("fever"), asked("skin_broken"))
    _, answers, still = walked(
        lambda: open_signs_walk(CATALOGUE, signs),
        lambda page: answer_asked(page, choose),
    )
    for sign in signs:
        end = became(CATALOGUE, sign, answers)
        assert end is not None
        assert still.get(sign.sign, frozenset()) == closed_after(sign, end)


# ------------------------------------------------------------ behind the card


START = ClearStart(warning="a" * 32, sign=asked("knee_stuck"))


def cleared(**answers: Any) -> tuple[list[WalkPage], ClearEnd]:
    pages, _, end = walked(
        lambda: clear_walk(CATALOGUE, START),
        lambda page: answers.get(type(page).__name__, {"how": "not_yet"}),
    )
    return pages, end


def test_the_card_comes_first_and_nothing_yet_leaves_it() -> None:
    pages, end = cleared()
    assert pages == [OpenCardPage(key="open_card", sign=START.sign)]
    assert end == ClearEnd(sign=START.sign, became=Became())


def test_a_mistake_is_read_once_more() -> None:
    pages, end = cleared(OpenCardPage={"how": "mistake"}, MistakePage={"mistake": "yes"})
    assert [type(page) for page in pages] == [OpenCardPage, MistakePage]
    assert end.became == Became(how="ticked_by_mistake")
    assert not closed_after(START.sign, end.became)


def test_whoever_wavers_sees_the_card_again() -> None:
    turns = iter([{"how": "mistake"}, {"how": "not_yet"}])

    def answer(page: WalkPage) -> Any:
        return next(turns) if isinstance(page, OpenCardPage) else {"mistake": "no"}

    pages, _, end = walked(lambda: clear_walk(CATALOGUE, START), answer)
    assert [type(page) for page in pages] == [OpenCardPage, MistakePage, OpenCardPage]
    assert end.became == Became()


@pytest.mark.parametrize("days_ago", [0, "2"])
def test_what_was_said_has_its_day_and_who_it_was(days_ago: Any) -> None:
    pages, end = cleared(
        OpenCardPage={"how": "asked"},
        TalkedPage={"told": "all"},
        CheckedPage={"by": "doctor", "who": None, "days_ago": days_ago},
    )
    assert pages_of(pages, CheckedPage)[0].most_days_ago == 2, "no day before the sign"
    assert end.became == Became(told="all", by="doctor", days_ago=int(days_ago))
