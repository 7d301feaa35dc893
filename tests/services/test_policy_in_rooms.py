"""The policy in the rooms beside the routine: a test piece, a plan nobody signed, one that is only
tried, answers put right, another computer. What is closed stays so there, and no more than that."""

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest

from companion.care.closures import closures
from companion.care.correcting import ReadAgainPage
from companion.care.flow import Given, WalkPage
from companion.care.levels import PARTS
from companion.care.records import GateReply, Part, Session, Side, SignOff
from companion.care.routine import MovePage
from companion.exchange.files import diary_bytes, read_bytes
from companion.services.context import Context
from companion.services.correcting import CorrectWalk
from companion.services.look_round import to_try
from companion.services.patch_test import PatchWalk
from companion.services.routine import RoutineWalk
from companion.services.walks import WalkStep, begin, give
from tests.builders import at, warning
from tests.care.walking import CATALOGUE, taught_plan
from tests.services.context_for_tests import HandClock
from tests.services.offered import in_memory, offered, out_and_home, pages_of_walk, shut_by
from tests.services.test_policy_everywhere import ASKED, BEFORE, LASTING, PLAN, POLICY, level

BY_WHAT_THEY_CLOSE = [*{row.closes: row for row in LASTING}.values()]
"""One sign of each kind of closing, where all of them would only take longer."""
SIDES: tuple[Side, ...] = ("right", "left")
SIGNED = SignOff(
    name="R. Vane",
    registration="example 1",
    signed_at=datetime(2026, 3, 2, 12, tzinfo=UTC),
    content_sha256="0" * 64,
)


def sign_of(row: Any) -> Any:
    sides: tuple[Side, ...] = () if row.knee == "person" else ("right",)
    return warning(9, sign=row.sign, level=level(row.sign), sides=sides)


def closed(context: Context) -> dict[Side, frozenset[Part]]:
    """What is closed of either knee today, by the plan of the diary."""
    plan, today = context.plan(), context.clock.today()
    assert plan is not None
    return {
        side: closures(POLICY, plan, context.entries, side, today=today).parts for side in SIDES
    }


# ---------------------------------------------------------------- a test piece


def test_on_a_bad_day_no_test_piece_goes_on_and_on_the_next_it_does() -> None:
    """It is new tape (rule r02)."""
    plan = taught_plan({"when": "always", "highest": 1}, bad_day_mark=8)
    clock = HandClock(at(10))
    context = in_memory(clock, BEFORE, plan)

    def answer(page: WalkPage) -> Given:
        return {"score": 9} if isinstance(page, MovePage) else out_and_home(page)

    assert PatchWalk().start(context, plan, "right", clock.today()).refused == ()
    pages_of_walk(context, RoutineWalk(), "right", answer)
    assert PatchWalk().start(context, plan, "right", clock.today()).refused == ("bad_day",)
    clock.pass_by(days=1)
    assert PatchWalk().start(context, plan, "right", clock.today()).refused == ()


# ---------------------------------------------------------------- a plan nobody signed


@pytest.mark.parametrize("row", BY_WHAT_THEY_CLOSE, ids=lambda row: row.sign)
@pytest.mark.parametrize("sign_off", [None, SIGNED], ids=["practice", "signed"])
def test_a_plan_offers_what_is_open_and_nothing_else_whether_it_is_signed_or_not(
    row: Any, sign_off: SignOff | None
) -> None:
    plan = replace(PLAN, sign_off=sign_off)
    assert plan.practice == (sign_off is None)
    found = offered(lambda: in_memory(HandClock(at(10)), (*BEFORE, sign_of(row)), plan), "right")
    assert set().union(*found.values()) == {*PARTS} - shut_by(row)


@pytest.mark.parametrize("row", LASTING, ids=lambda row: row.sign)
def test_a_plan_that_is_only_tried_is_closed_by_the_cards_of_the_diary(row: Any) -> None:
    """Its store is thrown away, and the knee it is tried on is the same."""
    here = in_memory(HandClock(at(10)), (*BEFORE, sign_of(row)), replace(PLAN, sign_off=SIGNED))
    tried = read_bytes(diary_bytes(to_try(here, replace(PLAN, version=2)))).diary
    assert tried is not None
    there = in_memory(HandClock(at(10)), tried.entries, *tried.plans)
    assert closed(there) == closed(here)
    empty = in_memory(HandClock(at(10)), BEFORE, PLAN)
    assert to_try(empty, replace(PLAN, version=2)).entries == ()


# ---------------------------------------------------------------- another computer


def test_on_another_computer_the_same_is_closed_by_every_sign() -> None:
    for row in LASTING:
        here = in_memory(HandClock(at(10)), (*BEFORE, sign_of(row)), PLAN)
        copy = read_bytes(diary_bytes(here.journal.diary())).diary
        assert copy is not None
        there = in_memory(HandClock(at(10)), copy.entries, *copy.plans)
        assert closed(there) == closed(here), row.sign
        assert closed(there)["right"] == {*row.parts}, row.sign


# ---------------------------------------------------------------- answers put right


@pytest.mark.parametrize("row", ASKED, ids=lambda row: row.sign)
def test_no_sign_is_opened_by_putting_the_gate_right_before_it_was_read_again(row: Any) -> None:
    """Of every row of the gate: the answer is taken back, and who is not sure keeps the card."""
    question = CATALOGUE.sign(row.sign).question
    assert question is not None
    replies = tuple(
        GateReply(question=n, said="yes" if n == question else "no") for n in (1, 2, 3, 4)
    )
    (told,) = (one for one in BEFORE if isinstance(one, Session))
    told = replace(told, gate="something", gate_replies=replies)
    context = in_memory(HandClock(at(10)), (told, *BEFORE[1:], sign_of(row)), PLAN)
    before = closed(context)
    answers: tuple[Given, ...] = (
        {"do": f"gate_replies.{question - 1}.said"},
        {"value": "no"},
        {"do": "put_right"},
    )
    outcome: Any = begin(context, CorrectWalk(told.id), "right")
    for one in answers:
        assert isinstance(outcome, WalkStep)
        outcome = give(context, CorrectWalk(), outcome, one)
    assert isinstance(outcome.page, ReadAgainPage)
    assert outcome.page.sign == row.sign
    assert closed(context) == before
    give(context, CorrectWalk(), outcome, {"mistake": "no"})
    assert closed(context) == before


@pytest.mark.parametrize("row", BY_WHAT_THEY_CLOSE, ids=lambda row: row.sign)
def test_a_score_that_is_put_right_opens_nothing_and_closes_nothing(row: Any) -> None:
    sign = sign_of(row)
    context = in_memory(HandClock(at(10)), (*BEFORE, sign), PLAN)
    before = closed(context)
    told = BEFORE[0]
    outcome: Any = begin(context, CorrectWalk(told.id), "right")
    for one in ({"do": "moves.0.score"}, {"value": 4}, {"do": "put_right"}):
        assert isinstance(outcome, WalkStep)
        outcome = give(context, CorrectWalk(), outcome, one)
    assert outcome.end.entry is not None
    assert closed(context) == before
