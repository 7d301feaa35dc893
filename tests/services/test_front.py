"""What the front page rests on: what is due, what is open, and what was left behind."""

from dataclasses import replace
from typing import Any

import pytest

from companion.app.demo_day import play_day
from companion.care.records import CautionAnswer, Technique
from companion.services.front import expire_left_behind, front
from companion.services.routine import RoutineWalk, playable
from companion.services.signs import StopWalk
from companion.services.walks import WalkStep, begin, load
from tests.builders import DAY, at, page, session, tape_on, warning
from tests.care.walking import (
    CATALOGUE,
    NO_CAUTIONS,
    STOP_ROWS,
    TECHNIQUES,
    card_of,
    taught_plan,
    ticking,
)
from tests.services.conftest import Keep
from tests.services.context_for_tests import HandClock, answer_by, walk_on


def due(keep_one: Any) -> list[str]:
    return [one.what for one in front(keep_one.context).due]


def opened(keep_one: Any) -> list[str]:
    return [one.code for one in front(keep_one.context).open]


def test_without_a_plan_nothing_is_due(keep: Keep) -> None:
    found = front(keep(with_plan=False).context)
    assert (found.plan, found.due, found.knees) == (None, (), ())
    expire_left_behind(keep(with_plan=False).context)


def test_a_first_day_has_the_routine_and_the_page(keep: Keep) -> None:
    diary = keep()
    assert due(diary) == ["hands", "day_page"]
    assert front(diary.context).knees[0].minutes > 0


def test_after_a_day_nothing_is_left(keep: Keep) -> None:
    diary = keep(plan=taught_plan({"when": "never", "highest": 0}))
    play_day(diary.context)
    assert due(diary) == ["nothing"]
    assert front(diary.context).last_written_at == diary.clock.now()


def test_minutes_are_those_of_what_is_left(keep: Keep) -> None:
    both = keep().context
    alone = keep(tape_on(at(9))).context
    assert front(alone).knees[0].minutes < front(both).knees[0].minutes


def test_the_oldest_of_the_highest_signs_is_shown(keep: Keep) -> None:
    context = keep(
        warning(9, "lump", "call"), warning(9, "fever"), warning(8, "knee_stuck")
    ).context
    locked = front(context).locked
    assert locked is not None
    assert locked.sign == "knee_stuck"


def test_a_routine_under_way_is_known(keep: Keep) -> None:
    diary = keep()
    begin(diary.context, RoutineWalk(), "right")
    assert opened(diary) == []
    walk_on(diary.context, RoutineWalk(), until="depth")
    assert opened(diary) == ["begun"]
    diary.clock.pass_by(days=1)
    assert opened(diary) == []


@pytest.mark.parametrize("days", [1, 7, 40])
def test_everything_left_behind_is_settled(days: int, keep: Keep) -> None:
    diary = keep(tape_on(at(9)))
    walk_on(diary.context, RoutineWalk(), until="rest_pain")
    walk_on(
        diary.context,
        StopWalk(),
        answer=answer_by(ticking("lump", STOP_ROWS)),
        until=card_of("lump", STOP_ROWS),
    )
    diary.clock.pass_by(days=days)
    expire_left_behind(diary.context)
    assert load(diary.context, RoutineWalk(), "right") is None
    assert load(diary.context, StopWalk(), "right") is None


def test_away_for_a_week_the_full_list_comes_back(keep: Keep) -> None:
    diary = keep(session(2, 7, 3, full_list=True), page(2))
    begun = begin(diary.context, RoutineWalk(), "right")
    assert isinstance(begun, WalkStep)
    assert begun.state.start.list_reason == "away"
    assert due(diary) == ["hands", "day_page"]


def test_past_the_review_day_a_visit_is_due(keep: Keep) -> None:
    diary = keep(page(56), clock=HandClock(at(57)))
    assert due(diary)[-1] == "review"


def test_two_windows_of_time_for_a_first_wear(keep: Keep) -> None:
    """A first wear is due after 24 h; put on at 23:00 it comes forward to 21:00 (M, C)."""
    diary = keep(tape_on(at(9, 23)))
    (tape,) = front(diary.context).open
    assert (tape.code, tape.at) == ("tape_on", at(10, 21))


# ------------------------------------------------------------ what is offered


def test_what_was_not_shown_back_is_never_offered(keep: Keep) -> None:
    untaught = Technique(technique="lift_skin", seconds=30)
    later = replace(TECHNIQUES[0], taught_on=at(11).date())
    plan = taught_plan(techniques=(untaught, later, TECHNIQUES[1]))
    context = keep(plan=plan).context
    techniques, _ = playable(plan, "right", CATALOGUE, context.entries, at(10).date(), False)
    assert [one.technique for one in techniques] == [TECHNIQUES[1].technique]


@pytest.mark.parametrize("caution", ["blood_thinner", "thin_skin"])
def test_a_technique_that_does_not_go_with_a_caution_is_left_out(caution: str, keep: Keep) -> None:
    """Lightest hands for both (fact: cautions_acted_on), and lifting the skin not at all."""
    others = tuple(one for one in NO_CAUTIONS if one.caution != caution)
    answer = CautionAnswer(caution=caution, answer=True, allowed=True, on=DAY)
    plan = taught_plan(techniques=TECHNIQUES, cautions=(*others, answer))
    context = keep(plan=plan).context
    techniques, _ = playable(plan, "right", CATALOGUE, context.entries, at(10).date(), False)
    names = {one.technique for one in techniques}
    assert names == {one.technique for one in TECHNIQUES} - {"lift_skin"}
    begun = begin(context, RoutineWalk(), "right")
    assert isinstance(begun, WalkStep)
    asks = {one.part: one.asks for one in begun.state.start.asks}
    assert "lightest_hands" in asks["hands"]


def test_weak_hands_need_a_helper_for_the_hands_part(keep: Keep) -> None:
    others = tuple(one for one in NO_CAUTIONS if one.caution != "weak_hands")
    answer = CautionAnswer(caution="weak_hands", answer=True, on=DAY)
    context = keep(plan=taught_plan(cautions=(*others, answer))).context
    begun = begin(context, RoutineWalk(), "right")
    assert isinstance(begun, WalkStep)
    asks = {one.part: one.asks for one in begun.state.start.asks}
    assert "helper_there" in asks["hands"]
    assert asks["check_move"] == ("firm_grip",)


def test_unanswered_cautions_leave_no_hands(keep: Keep) -> None:
    context = keep(plan=taught_plan(cautions=())).context
    begun = begin(context, RoutineWalk(), "right")
    assert isinstance(begun, WalkStep)
    assert begun.state.start.hands_off == "caution"
