"""Rules see the whole diary at every door, however long it is."""

from dataclasses import replace
from typing import Any

from companion.care.records import AnyEntry, HandsRound, MoveScore, Session, Side, StepDone
from companion.services.day_page import DayWalk
from companion.services.front import front
from companion.services.outing import OutingWalk
from companion.services.patch_test import PatchWalk
from companion.services.routine import RoutineWalk
from companion.services.signs import StopWalk
from companion.services.tape import TapeOnWalk
from companion.services.walks import WalkKind
from tests.builders import at, gate, new_id, page, session, tape_off, tape_on
from tests.care.walking import taught_plan
from tests.services.conftest import Keep

SIDES: tuple[Side, ...] = ("left", "right")
HANDS = (HandsRound(steps=(StepDone(step="glide_inner_edge", outcome="done"),)),)


def taped(day: int) -> Session:
    """A session that met its target with side strips and short pieces."""
    moves = (MoveScore(role="before", score=7), MoveScore(role="after_tape", score=2, stage=2))
    return session(day, stage=2, moves=moves)


def test_the_starting_stage_is_not_forgotten(keep: Keep) -> None:
    """Two of the last three taped sessions met the target: they may lie months back."""
    days = range(58)
    sessions = [taped(day) if day in (3, 7, 11) else session(day, 4, 3) for day in days]
    diary = keep(*sessions, *(page(day) for day in days))
    diary.clock.set(at(58))
    start = RoutineWalk().start(diary.context, taught_plan(), "right", diary.clock.today())
    assert start.starting_stage == 2


def busy_day(day: int) -> list[AnyEntry]:
    """Sixteen entries, as two knees with tape for a walk and a second session make them."""
    weekly = day % 7 == 0
    entries: list[AnyEntry] = [gate(day, full_list=weekly), gate(day)]
    for side in SIDES:
        on = tape_on(at(day, 9), side=side)
        off = tape_off(at(day, 15), side=side, tape_on=on.id, skin_at_once="clear")
        seen = replace(off, id=new_id(), replaces=off.id, skin_after_30_min="clear")
        sessions = session(day, 5, 3, side=side, rounds=HANDS), session(day, 3, side=side)
        entries += [on, off, seen, *sessions, gate(day)]
        entries.append(page(day, side=side, form="full" if weekly else "short"))
    return entries


def test_a_week_that_is_done_is_done_however_much_was_written(keep: Keep) -> None:
    plan = taught_plan(side="both", hands_days_a_week=5)
    entries = [entry for day in range(5) for entry in busy_day(day)]
    diary = keep(*entries, *(page(5, side=side) for side in SIDES), plan=plan)
    diary.clock.set(at(5))
    knees = front(diary.context).knees
    assert {knee.side: knee.hands for knee in knees} == dict.fromkeys(SIDES, "week_done")


def test_a_door_reads_only_what_it_must(keep: Keep) -> None:
    """Behind every door of a year and more a few entries are read, not all of them."""
    days = range(400)
    entries = [entry for day in days for entry in busy_day(day) if day < 393 or day % 2]
    plan = taught_plan({"patch_test": "tolerated_in_clinic"}, side="both")
    diary = keep(*entries, plan=plan)
    diary.clock.set(at(400))
    context, index = diary.context, diary.context.journal.index
    front(context)
    # Bad days and what is usual are told of the last four weeks; here a day has four sessions.
    assert len(index._entries) <= 240
    today = diary.clock.today()
    kinds: tuple[WalkKind[Any, Any], ...] = (
        RoutineWalk(), TapeOnWalk(), OutingWalk(), DayWalk(), PatchWalk(),
        StopWalk(),
    )  # fmt: skip
    for kind in kinds:
        kind.start(context, plan, "right", today)
    assert len(index._entries) <= 260
    assert len(index._entries) < len(entries) / 25


def test_one_entry_is_found_without_the_others(keep: Keep) -> None:
    entries = [page(day) for day in range(300)]
    index = keep(*entries).context.journal.index
    assert index.counting(entries[7].id) == entries[7]
    assert len(index._entries) == 1
