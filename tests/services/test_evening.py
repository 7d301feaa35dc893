"""The evening of two knees on disk: one walk, the session of each knee, and nothing lost."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from companion.care.closures import closures
from companion.care.flow import Given
from companion.care.records import AnyEntry, HandsRound, Session, Side, StepDone, WarningSign
from companion.services.evening import EveningWalk, one_evening
from companion.services.walks import WalkResult, WalkStep, begin, expire, give, load, stop
from tests.builders import at, session, warning
from tests.care.walking import EXERCISES, TECHNIQUES, taught_plan, ticking
from tests.services.context_for_tests import HandClock
from tests.services.offered import in_memory
from tests.steady import steady

PLAN = taught_plan(
    {"when": "never"}, rounds=1, side="both", techniques=TECHNIQUES[:2], exercises=EXERCISES[:2]
)
DAY = at(10).date()


def _known(side: Side) -> Session:
    done = {name: StepDone(step=name, outcome="done") for name in _names()}
    return session(
        9,
        *(6, 2),
        side=side,
        full_list=True,
        knows_steps=True,
        rounds=(HandsRound(steps=tuple(done[one.technique] for one in PLAN.techniques)),),
        exercises=tuple(done[one.exercise] for one in PLAN.exercises),
    )


def _names() -> tuple[str, ...]:
    return (
        *(one.technique for one in PLAN.techniques),
        *(one.exercise for one in PLAN.exercises),
    )


def _context(*more: AnyEntry, clock: HandClock | None = None) -> Any:
    both = (_known("right"), replace(_known("left"), id="b" * 32))
    return in_memory(clock or HandClock(at(10)), (*both, *more), PLAN)


def _play(context: Any, until: str = "", **answers: Given) -> Any:
    outcome: Any = begin(context, EveningWalk(), "right")
    while isinstance(outcome, WalkStep) and not (until and outcome.page.key.startswith(until)):
        said = {**steady(outcome.page), **answers.get(outcome.page.key, {})}
        outcome = give(context, EveningWalk(), outcome, said)
    return outcome


def test_it_writes_the_session_of_each_knee_and_is_not_told_again() -> None:
    context = _context()
    assert one_evening(context, PLAN, DAY)
    done = _play(context)
    assert isinstance(done, WalkResult)
    assert not done.tells
    assert [entry.side for entry in done.entries if isinstance(entry, Session)] == ["right", "left"]
    assert len({entry.id for entry in done.entries}) == 2
    sessions = [entry for entry in done.entries if isinstance(entry, Session)]
    assert all(len(one.gate_replies) == 4 for one in sessions)
    assert not one_evening(context, PLAN, DAY), "both are done"


def test_with_a_sign_open_from_before_each_knee_has_its_own_evening() -> None:
    sign = warning(9, sign="lump", level="call", sides=("left",))
    assert not one_evening(_context(sign), PLAN, DAY)


def test_a_sign_of_the_left_knee_is_written_as_of_that_knee_and_closes_what_the_policy_says() -> (
    None
):
    context = _context()
    said = {**ticking("lump"), "list:1:lump:card:knee": {"knee": "left"}}
    done = _play(context, **said)
    assert isinstance(done, WalkResult)
    signs = [one for one in context.journal.diary().entries if isinstance(one, WarningSign)]
    assert [one.sides for one in signs if one.replaces is not None] == [("left",)]
    right, left = (
        closures(context.policy, PLAN, context.entries, side, today=DAY)
        for side in ("right", "left")
    )
    assert left.closed("hands")
    assert not right.closed("hands")
    by_side = {entry.side: entry for entry in done.entries if isinstance(entry, Session)}
    assert by_side["right"].rounds
    assert not by_side["left"].rounds


def test_left_lying_for_an_hour_it_is_written_as_far_as_it_came_and_begun_anew() -> None:
    clock = HandClock(at(10))
    context = _context(clock=clock)
    _play(context, until="both:move:after_hands")
    clock.pass_by(minutes=61)
    state = load(context, EveningWalk(), "right")
    assert state is not None
    assert EveningWalk().expiry(context, state) == "left_behind"
    expire(context, EveningWalk(), state, "left_behind")
    left = [
        e for e in context.journal.diary().entries if isinstance(e, Session) and e.for_day == DAY
    ]
    assert [(e.side, e.ended, len(e.moves), len(e.rounds)) for e in left] == [
        ("right", "left", 1, 1),
        ("left", "left", 1, 1),
    ]


def test_stop_writes_both() -> None:
    context = _context()
    _play(context, until="both:move:before")
    written = stop(context, EveningWalk(), "right", "wanted")
    assert [(e.side, e.ended) for e in written if isinstance(e, Session)] == [
        ("right", "stopped"),
        ("left", "stopped"),
    ]
