"""The first session: what the clinic writes of it, how it seeds the plan, what Home makes of it."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from companion.care.adherence import days_done
from companion.care.records import (
    AnyEntry,
    Depth,
    Measurement,
    PatchTest,
    Plan,
    ScoringTaught,
    Session,
    TapeOn,
)
from companion.care.tape_gate import patch_test_state
from companion.exchange.files import read_bytes
from companion.exchange.taking_in import preview
from companion.presentation.clinic.plan_form import FormMaker
from companion.services.front import front
from companion.services.plan_draft import PlanDraft, draft_faults, sign
from companion.services.plan_first_session import first_session, start_file
from tests.builders import new_id
from tests.care.content import CATALOGUE
from tests.said import sentence
from tests.services.context_for_tests import HandClock, Kept
from tests.services.plan_writing import AT, TODAY, put, ready


def held(template: str = "up_to_short_pieces", **answers: Any) -> PlanDraft:
    draft = put(
        ready(template),
        session__held=True,
        session__scoring="Ten is the worst she can think of; a bruise is a three.",
        session__before=7,
        session__zones_before="inner_edge above",
        check_move__depth__seat_cm=46,
        check_move__depth__arms_used=False,
    )
    return put(draft, **answers)


def signed(draft: PlanDraft) -> Plan:
    plan = sign(draft, CATALOGUE, name="R. Vane", registration="1", at=AT)
    assert isinstance(plan, Plan), plan
    return plan


def written(draft: PlanDraft) -> tuple[AnyEntry, ...]:
    return first_session(draft, signed(draft), AT, new_id)


def only(entries: tuple[AnyEntry, ...], kind: type[Any]) -> Any:
    (found,) = (entry for entry in entries if isinstance(entry, kind))
    return found


def faults(draft: PlanDraft) -> set[tuple[str, str]]:
    return {(f.key, f.code) for f in draft_faults(draft, CATALOGUE) if not f.advice}


def test_a_session_of_the_clinic_holds_what_was_asked_and_answered() -> None:
    entries = written(held(session__after_hands=4, session__zones_after_hands="inner_edge"))
    session = only(entries, Session)
    assert session.place == "clinic"
    assert session.written_by == "clinic"
    assert session.for_day == TODAY
    assert session.depth == Depth(seat_cm=46, arms_used=False)
    assert [(m.role, m.score, m.zones) for m in session.moves] == [
        ("before", 7, ("inner_edge", "above")),
        ("after_hands", 4, ("inner_edge",)),
    ]
    assert "worst she can think of" in only(entries, ScoringTaught).words
    # What was shown back is the plan's; what was done in the room, and for how long, nobody asked.
    assert any(step.taught_on == TODAY for step in signed(held()).techniques)
    assert (session.rounds, session.exercises, session.stage) == ((), (), None)
    assert all(move.same_depth is None for move in session.moves)


def test_the_first_session_asks_how_the_fortnight_before_was() -> None:
    def is_asked(draft: PlanDraft) -> bool:
        form = FormMaker(draft, CATALOGUE)
        fields = form.section(CATALOGUE.plan_form.section("session")).fields
        return next(each.shown for each in fields if each.key == "session.last_fortnight")

    session = only(written(held(session__last_fortnight="worse")), Session)
    assert session.last_fortnight == "worse"
    assert only(written(held()), Session).last_fortnight is None
    assert is_asked(held())
    assert not is_asked(replace(held(), last=signed(held())))


def test_the_day_of_the_first_session_counts_as_done_where_it_was_scored_after_hands() -> None:
    scored = written(held(session__after_hands=4))
    assert days_done(scored, "right", "hands") == {TODAY}
    assert days_done(written(held()), "right", "hands") == frozenset()
    assert days_done(scored, "right", "exercise") == frozenset()


def test_the_plan_starts_at_the_stage_that_was_put_on_and_has_the_depth() -> None:
    draft = held(session__stage=2, session__after_tape=3, session__stays_on=True)
    plan = signed(draft)
    assert plan.tape.start == 2
    assert plan.check_move.depth.seat_cm == 46
    assert put(draft, session__stage=0).answers["tape.start"] == 2  # no tape today says nothing


def test_tape_that_goes_home_starts_the_wear_clock() -> None:
    entries = written(held(session__stage=1, session__stays_on=True, session__skin_before="clear"))
    on = only(entries, TapeOn)
    assert (on.stage, on.make, on.by, on.skin_before) == (1, "Slate 50", "clinic", "clear")
    assert on.happened_at == AT


def test_tape_that_came_off_in_the_room_is_no_wear() -> None:
    entries = written(held(session__stage=1, session__stays_on=False, session__skin_after="clear"))
    assert {type(entry) for entry in entries} == {Session, ScoringTaught}
    assert only(entries, Session).stage == 1


def test_skin_that_did_not_bear_the_tape_holds_it_back_at_home() -> None:
    # Redness past 30 minutes counts as an injury: MARSI consensus, McNichol 2013 (F).
    draft = held(
        session__stage=1,
        session__stays_on=False,
        session__skin_after="red",
        tape__patch_test="tolerated_in_clinic",
    )
    plan, entries = signed(draft), written(draft)
    assert not only(entries, PatchTest).tolerated_in_clinic
    readings = CATALOGUE.tape_steps.patch_test.readings
    assert patch_test_state(plan, entries, plan.tape.make, AT, readings) == "not_clear"


@pytest.mark.parametrize(("stands", "arms"), [(9, False), (0, False), (11, True)])
def test_a_chair_stand_in_the_room_is_a_measure(stands: int, arms: bool) -> None:
    measured = only(written(held(session__stands=stands, session__stand_arms=arms)), Measurement)
    assert (measured.count, measured.arms_used, measured.written_by) == (stands, arms, "clinic")


def test_tolerance_seen_in_the_clinic_is_written() -> None:
    draft = held(tape__patch_test="tolerated_in_clinic")
    plan, entries = signed(draft), written(draft)
    readings = CATALOGUE.tape_steps.patch_test.readings
    assert patch_test_state(plan, entries, plan.tape.make, AT, readings) == "clear"


@pytest.mark.parametrize(
    ("answers", "key", "code"),
    [
        ({"session__before": None}, "session.before", "missing"),
        ({"session__stands": 9}, "session.stand_arms", "missing"),
        ({"session__stands": 100, "session__stand_arms": False}, "session.stands", "not_allowed"),
        ({"session__before": 11}, "session.before", "not_allowed"),
        ({"session__scoring": ""}, "session.scoring", "missing"),
        ({"session__after_tape": 3}, "session.stage", "missing"),
        ({"side": "both", "main_side": "right"}, "session.side", "missing"),
        ({"tape__highest": 1, "session__stage": 2}, "tape.start", "starting_stage_above_highest"),
    ],
)
def test_a_session_that_lacks_something_names_it(
    answers: dict[str, Any], key: str, code: str
) -> None:
    assert (key, code) in faults(held(**answers))


def test_a_score_of_nought_is_an_answer() -> None:
    draft = held(session__before=0)
    assert faults(draft) == set()
    assert only(written(draft), Session).moves[0].score == 0


def test_nothing_is_written_when_no_session_was_held() -> None:
    draft = held(session__held=False, session__before=None)
    assert faults(draft) == set()
    assert written(draft) == ()
    assert signed(draft) == replace(signed(held()), sign_off=signed(draft).sign_off)


@pytest.mark.parametrize("template", [t.id for t in CATALOGUE.templates])
def test_plan_and_first_session_are_taken_in_at_home(template: str, tmp_path: Path) -> None:
    draft = held(template)
    plan = signed(draft)
    entries = first_session(draft, plan, AT, new_id)
    reading = read_bytes(start_file(plan, entries), today=TODAY)
    assert reading.state == "whole", sentence(reading)
    assert reading.diary is not None
    kept = Kept(tmp_path, clock=HandClock(AT))
    try:
        found = preview(None, reading.diary)
        assert found.refused is None
        kept.context.journal.append(*found.new, plans=found.new_plans)
        assert kept.context.plan() == plan
        assert only(tuple(kept.context.entries), Session).place == "clinic"
        assert front(kept.context).plan == plan
    finally:
        kept.close()
