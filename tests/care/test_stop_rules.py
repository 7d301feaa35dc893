"""When the full stop list is due."""

from datetime import timedelta

from companion.care.records import GateReply, HandsRound, Side, StepDone
from companion.care.stop_rules import after_last_due, full_list_due
from tests.builders import DAY, at, gate, page, plan, session, warning


def due(entries: list[object], day: int, version: int = 1) -> str | None:
    today = DAY + timedelta(days=day)
    return full_list_due(plan(version=version), entries, today)  # type: ignore[arg-type]


def full(day: int, **fields: object) -> object:
    return session(day, 5, 3, full_list=True, happened_at=at(day, 18), **fields)


def test_first_use_and_the_gate() -> None:
    assert due([], 0) == "first_use"
    assert due([session(0)], 1) == "first_use"
    assert due([full(0)], 1) is None
    assert due([session(0, gate="something")], 1) is None, "it opened the whole list"
    replies = (GateReply(question=4, said="yes"),)
    one = session(0, gate="something", gate_replies=replies)
    assert due([one], 1) == "first_use", "it opened the rows of one question alone"


def test_a_gate_outside_a_session_counts_like_one() -> None:
    assert due([gate(0)], 1) == "first_use", "its list was not shown"
    assert due([gate(0, full_list=True)], 1) is None
    assert due([full(0), gate(5, full_list=True), page(6)], 8) is None
    card_at_it = warning(5, happened_at=at(5))
    assert due([full(0), gate(5, full_list=True), card_at_it], 6) == "card"


def test_weekly() -> None:
    kept = [full(0), *(page(day) for day in range(1, 9))]
    assert due(kept[:7], 6) is None
    assert due(kept[:7], 7) == "weekly"


def test_after_seven_days_away() -> None:
    assert due([full(0), page(1)], 8) == "away"
    assert due([full(0), page(3)], 7) == "weekly"


def test_after_any_card() -> None:
    assert due([full(0), warning(1, happened_at=at(1))], 2) == "card"
    assert due([full(0), warning(1, level="care")], 2) == "card"
    assert due([full(0), warning(1, cleared="ticked_by_mistake")], 2) == "card"
    assert due([full(0), warning(0, happened_at=at(0, 18, 5))], 1) == "card", "in that session"
    assert due([full(1), warning(0, happened_at=at(0))], 2) is None
    assert due([full(2), warning(1, happened_at=at(1)), full(0)], 3) is None


def test_with_a_new_plan_version() -> None:
    assert due([full(0)], 1, version=2) == "new_plan_version"
    assert due([full(0), full(1, plan_version=2)], 2, version=2) is None


# ------------------------------------------------------------ after the routine before

STEP = (StepDone(step="quad_set", outcome="done"),)


def asked(*entries: object, side: Side = "right", day: int = 1) -> bool:
    last = after_last_due(entries, side, DAY + timedelta(days=day))  # type: ignore[arg-type]
    return last is not None


def test_the_routine_of_an_earlier_day_is_asked_about_once() -> None:
    done = session(0, exercises=STEP)
    assert not asked()
    assert asked(done)
    assert not asked(done, day=0), "nobody knows the next morning on the same day"
    assert asked(done, day=30)
    assert not asked(done, side="left"), "each knee for itself"
    assert not asked(done, session(1, after_last="same"))
    assert not asked(done, gate(1, after_last="cannot_recall", side="right"))
    assert asked(done, gate(1, after_last="same", side="left"))
    assert asked(done, gate(1))
    assert asked(done, session(1, after_last="same", exercises=STEP), day=2)


def test_a_session_with_no_step_begun_is_not_asked_about() -> None:
    skipped = (StepDone(step="quad_set", outcome="skipped"),)
    assert not asked(session(0, rounds=(), exercises=skipped))
    stopped = (StepDone(step="quad_set", outcome="stopped", pain=8),)
    assert asked(session(0, rounds=(HandsRound(steps=stopped),)))
