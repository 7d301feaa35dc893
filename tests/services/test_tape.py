"""Tape on, checked and off, and the skin after it, as entries."""

from dataclasses import replace
from datetime import datetime
from typing import Any

import pytest

from companion.care.open_things import tape_things, wear_of
from companion.care.records import CautionAnswer, GateAnswer, Session, TapeOff, TapeOn, WarningSign
from companion.care.stopping import CardPage, GatePage, StopListPage
from companion.care.taping import NoTapePage, SkinTooEarlyPage, TapeReadyPage
from companion.services.front import front
from companion.services.outing import OutingWalk
from companion.services.routine import RoutineWalk
from companion.services.signs import closed_since
from companion.services.tape import (
    SkinWalk,
    TapeCheckWalk,
    TapeOffWalk,
    TapeOnWalk,
    remembered,
    tape_outlook,
)
from companion.services.walks import WalkKind, WalkStep, begin, give
from tests.builders import (
    DAY,
    NOTHING_NEW,
    SOMETHING_NEW,
    at,
    patch_test,
    session,
    tape_off,
    tape_on,
    warning,
)
from tests.care.walking import NO_CAUTIONS, taught_plan
from tests.services.conftest import Keep
from tests.services.context_for_tests import (
    HandClock,
    answer_by,
    counting,
    ended,
    of,
    shown,
    walk_on,
)
from tests.steady import steady


def caution(name: str, **fields: Any) -> tuple[CautionAnswer, ...]:
    others = tuple(answer for answer in NO_CAUTIONS if answer.caution != name)
    return (*others, CautionAnswer(caution=name, answer=True, on=DAY, **fields))


def test_tape_on_is_written_when_it_is_said_to_be_on(keep: Keep) -> None:
    diary = keep()
    by = {"tape_on:1": {"tape": "on", "by": "person"}}
    walk_on(diary.context, TapeOnWalk(), answer=answer_by(by))
    (on,) = of(diary.context, TapeOn)
    assert (on.side, on.stage, on.by, on.skin_before, on.make) == (
        "right",
        1,
        "person",
        "clear",
        "Slate 50",
    )
    assert on.happened_at == diary.clock.now()


def test_tape_on_after_a_gate_answered_none_today_does_not_ask_it_again(keep: Keep) -> None:
    context = keep(session(10, 7, 3, full_list=True)).context
    assert isinstance(shown(begin(context, TapeOnWalk(), "right")), TapeReadyPage)


@pytest.mark.parametrize("conduct", [TapeOnWalk(), OutingWalk()], ids=lambda c: c.name)
def test_a_gate_outside_a_session_is_kept_at_once_and_not_asked_again(
    keep: Keep, conduct: WalkKind[Any, Any]
) -> None:
    diary = keep(session(9, 7, 3, full_list=True))
    outcome = begin(diary.context, conduct, "right")
    assert isinstance(outcome, WalkStep)
    assert isinstance(outcome.page, GatePage)
    give(diary.context, conduct, outcome, NOTHING_NEW)
    (kept,) = of(diary.context, GateAnswer)
    assert (kept.gate, kept.full_list, kept.for_day) == ("none", False, diary.clock.today())
    routine = begin(diary.kill(), RoutineWalk(), "right")
    assert not isinstance(shown(routine), GatePage)
    diary.clock.pass_by(days=1)
    assert isinstance(shown(begin(diary.context, RoutineWalk(), "right")), GatePage)


def test_every_sign_shown_with_that_gate_counts_as_read(keep: Keep) -> None:
    diary = keep()
    first = shown(begin(diary.context, TapeOnWalk(), "right"))
    assert isinstance(first, GatePage)
    assert first.reason == "first_use"
    assert not of(diary.context, GateAnswer), "who breaks off is asked again"
    walk_on(diary.context, TapeOnWalk(), until="tape_ready")
    (kept,) = of(diary.context, GateAnswer)
    assert (kept.gate, kept.full_list) == ("none", True)
    routine = begin(diary.context, RoutineWalk(), "right")
    assert isinstance(routine, WalkStep)
    assert routine.state.start.list_reason is None
    assert not isinstance(routine.page, GatePage | StopListPage)
    walk_on(diary.context, RoutineWalk())
    (written,) = of(diary.context, Session)
    assert (written.gate, written.full_list) == (None, False)


def test_a_card_at_that_gate_is_written_with_it_and_opens_the_list_again(keep: Keep) -> None:
    diary = keep(session(9, 7, 3, full_list=True))
    ticked = {"gate": SOMETHING_NEW, "list:1": {"signs": ("fall_unhurt",)}}
    outcome = walk_on(
        diary.context,
        TapeOnWalk(),
        answer=answer_by(ticked),
        until="list:1:fall_unhurt:card",
    )
    assert isinstance(shown(outcome), CardPage)
    (kept,) = of(diary.context, GateAnswer)
    assert (kept.gate, kept.full_list) == ("something", False)
    assert len(of(diary.context, WarningSign)) == 1
    routine = begin(diary.context, RoutineWalk(), "right")
    assert isinstance(routine, WalkStep)
    assert routine.state.start.list_reason == "card"
    assert not routine.state.start.gate_asked, "something is no none"


@pytest.mark.parametrize(
    ("entries", "plan", "reason"),
    [
        ((tape_on(at(9)),), taught_plan(), "tape_on"),
        ((tape_on(at(8)), tape_off(at(10, 6))), taught_plan(), "rest"),
        ((), taught_plan({"patch_test": "at_home"}), "patch_test_missing"),
        (
            (patch_test(at(5), first_skin="itchy", first_read_at=at(6)),),
            taught_plan(),
            "patch_test_not_clear",
        ),
        ((), taught_plan({"when": "never"}), "not_in_plan"),
        ((), taught_plan({"stay_bare_from": DAY}), "stay_bare"),
        ((), taught_plan(cautions=caution("adhesive_allergy")), "caution"),
        ((), taught_plan(cautions=()), "caution"),
        ((), taught_plan(cautions=caution("thin_skin")), "caution"),
    ],
)
def test_what_is_known_before_asking_refuses_tape(
    entries: Any, plan: Any, reason: str, keep: Keep
) -> None:
    context = keep(*entries, plan=plan).context
    page = shown(walk_on(context, TapeOnWalk(), until="no_tape"))
    assert isinstance(page, NoTapePage)
    assert reason in page.reasons
    assert len(of(context, TapeOn)) == sum(isinstance(entry, TapeOn) for entry in entries)


def test_a_tick_of_the_clinician_lifts_a_caution_and_weak_hands_need_a_helper(keep: Keep) -> None:
    lifted = keep(plan=taught_plan(cautions=caution("thin_skin", allowed=True))).context
    plan = lifted.plan()
    assert plan is not None
    assert tape_outlook(lifted, plan, "right", ()).refused == ()
    weak = keep(plan=taught_plan(cautions=caution("weak_hands"))).context
    plan = weak.plan()
    assert plan is not None
    assert tape_outlook(weak, plan, "right", ()).helper_needed
    veins = keep(plan=taught_plan(cautions=caution("varicose_veins"))).context
    plan = veins.plan()
    assert plan is not None
    page = shown(walk_on(veins, TapeOnWalk(), until="tape_ready"))
    assert isinstance(page, TapeReadyPage)
    assert page.asks == ("not_over_veins",)


def test_nothing_is_put_on_top_of_tape_outside_a_session(keep: Keep) -> None:
    context = keep(tape_on(at(9))).context
    walk_on(context, TapeOnWalk())
    assert len(of(context, TapeOn)) == 1


def test_tape_off_now_is_when_it_was_said_not_when_the_skin_was_read(keep: Keep) -> None:
    diary = keep(tape_on(at(9)))
    walk_on(diary.context, TapeOffWalk(), until="skin")
    diary.clock.pass_by(hours=3)
    walk_on(diary.context, TapeOffWalk())
    (off,) = of(diary.context, TapeOff)
    assert off.happened_at == at(10)
    assert off.skin_at_once == "clear"
    assert not off.came_off_by_itself


def test_tape_that_came_off_by_itself_at_no_known_time(keep: Keep) -> None:
    context = keep(tape_on(at(9))).context
    answers = {"removal": {"off": "by_itself"}, "off_when": {"day": "unknown", "hour": None}}
    walk_on(context, TapeOffWalk(), answer=answer_by(answers))
    (off,) = of(context, TapeOff)
    assert off.happened_at is None
    assert off.came_off_by_itself
    assert wear_of(front(context).open, "right") is None


def test_an_hour_before_the_tape_was_on_is_no_time_at_all(keep: Keep) -> None:
    context = keep(tape_on(at(10, 12))).context
    answers = {"removal": {"off": "earlier"}, "off_when": {"day": "today", "hour": 9}}
    walk_on(context, TapeOffWalk(), answer=answer_by(answers))
    (off,) = of(context, TapeOff)
    assert off.happened_at is None
    assert wear_of(front(context).open, "right") is None


@pytest.mark.parametrize(
    ("now", "day", "hour", "then"),
    [
        (at(10, 18), "today", 9, at(10, 9)),
        (at(10, 18), "yesterday", 20, at(9, 20)),
        (at(11, 1), "today", 22, at(10, 22)),  # the diary day ends at 03:00
        (at(11, 1), "today", 0, at(11, 0)),
        (at(10, 18), "today", 2, at(10, 2)),
        (at(10, 18), "today", 20, at(10, 18)),  # never later than now
        (at(10, 18), "yesterday", 1, at(10, 1)),
        (at(11, 10), "yesterday", 3, at(10, 3)),  # three is the day's first hour, not its last
        (at(10, 18), "unknown", 9, None),
        (at(10, 18), "today", None, None),
    ],
)
def test_the_hour_a_person_remembers(
    now: datetime, day: str, hour: int | None, then: datetime | None
) -> None:
    assert remembered(now, day, hour) == then


def test_the_tape_check_leaves_it_on_or_takes_it_off_with_the_skin(keep: Keep) -> None:
    context = keep(tape_on(at(9))).context
    assert not ended(walk_on(context, TapeCheckWalk())).off
    assert not of(context, TapeOff)
    felt = {"tape_check": {"feelings": ["pain", "numbness"]}, "skin": {"skin": "pink"}}
    assert ended(walk_on(context, TapeCheckWalk(), answer=answer_by(felt))).off
    first, second = of(context, TapeOff)
    assert (first.skin_at_once, second.skin_at_once) == (None, "pink")
    assert second.replaces == first.id
    assert first.felt == second.felt == ("numbness", "pain")
    assert wear_of(front(context).open, "right") is None


def test_without_tape_there_is_nothing_to_check_or_take_off(keep: Keep) -> None:
    context = keep().context
    kinds: tuple[WalkKind[Any, Any], ...] = (TapeCheckWalk(), TapeOffWalk(), SkinWalk())
    for conduct in kinds:
        with pytest.raises(LookupError):
            begin(context, conduct, "right")


def test_new_tape_that_made_it_worse_is_written_on_and_off(keep: Keep) -> None:
    context = keep(plan=taught_plan({"when": "always"})).context
    answers = {
        "move:after_hands:1": {"score": 3, "same_depth": True},
        "move:after_tape:1": {"score": 9, "same_depth": True},
    }
    done = ended(walk_on(context, RoutineWalk(), answer=answer_by(answers)))
    assert (done.reason, done.stage) == ("worse", 0)
    (on,), (off,) = of(context, TapeOn), of(context, TapeOff)
    assert off.tape_on == on.id
    assert wear_of(front(context).open, "right") is None


# ------------------------------------------------------------ the second look


def test_the_second_look_is_not_taken_too_early(keep: Keep) -> None:
    diary = keep(tape_on(at(9)), tape_off(at(10, 17, 45)))
    early = shown(begin(diary.context, SkinWalk(), "right"))
    assert early == SkinTooEarlyPage(at=at(10, 18, 15))
    assert ended(walk_on(diary.context, SkinWalk())).skin is None
    assert len(of(diary.context, TapeOff)) == 1
    diary.clock.set(at(10, 18, 15))
    walk_on(diary.context, SkinWalk(), answer=answer_by({"skin": {"skin": "red"}}))
    (off,) = counting(diary.context, TapeOff)
    assert off.skin_after_30_min == "red"
    assert tape_things(front(diary.context).open, "right") == ()


def test_waiting_on_the_page_that_says_too_early_begins_the_look_in_time(keep: Keep) -> None:
    diary = keep(tape_on(at(9)), tape_off(at(10, 17, 45)))
    begin(diary.context, SkinWalk(), "right")
    diary.clock.pass_by(minutes=30)
    assert shown(begin(diary.context, SkinWalk(), "right")).key == "skin"


def test_a_day_later_a_look_after_thirty_minutes_is_not_made_up(keep: Keep) -> None:
    diary = keep(tape_on(at(7)), tape_off(at(9, 9)), clock=HandClock(at(10, 12)))
    assert tape_things(front(diary.context).open, "right") == ()
    with pytest.raises(LookupError):
        begin(diary.context, SkinWalk(), "right")
    assert isinstance(begin(diary.context, TapeOnWalk(), "right"), WalkStep)


def test_tape_off_names_the_piece_that_went_on_last(keep: Keep) -> None:
    """Short pieces added to side strips are one wear of two entries; the later one is taken off."""
    strips, pieces = tape_on(at(9, 10), stage=1), tape_on(at(9, 18), stage=2)
    diary = keep(strips, pieces)
    walk_on(diary.context, TapeOffWalk())
    (off,) = of(diary.context, TapeOff)[:1]
    assert off.tape_on == pieces.id
    checked = keep(strips, pieces)
    itches = answer_by({"tape_check": {"feelings": ["itch"]}})
    walk_on(checked.context, TapeCheckWalk(), answer=itches)
    (off,) = of(checked.context, TapeOff)[:1]
    assert off.tape_on == pieces.id


def test_a_routine_whose_tape_was_added_to_elsewhere_is_not_taken_up_again(keep: Keep) -> None:
    """Its own strips are on, and somebody put short pieces on top of them meanwhile."""
    plan = taught_plan({"when": "always", "highest": 1})
    diary = keep(plan=plan)
    kind = RoutineWalk()
    step = begin(diary.context, kind, "right")
    while not of(diary.context, TapeOn):
        assert isinstance(step, WalkStep)
        step = give(diary.context, kind, step, steady(step.page))
    assert isinstance(step, WalkStep)
    state = step.state
    assert kind.expiry(diary.context, state) is None
    diary.clock.pass_by(minutes=5)
    more = tape_on(diary.clock.now(), stage=2)
    diary.context.journal.append(more)
    assert kind.expiry(diary.context, state) == "tape_on"
    (own, _) = of(diary.context, TapeOn)
    assert own.id in state.entry_ids


def test_a_card_of_its_own_taken_back_closes_no_walk(keep: Keep) -> None:
    diary = keep()
    kind = TapeOnWalk()
    step = walk_on(diary.context, kind, until="tape_ready")
    assert isinstance(step, WalkStep)
    state = step.state
    sign = replace(
        warning(10, sign="skin_broken", level="call", sides=("right",)), written_at=at(10, 18, 30)
    )
    again = replace(sign, id="f" * 32, replaces=sign.id, written_at=at(10, 18, 40))
    diary.context.journal.append(sign, again)
    entries = diary.context.entries
    assert closed_since(diary.context, entries, state)
    own = replace(state, entry_ids=(sign.id,))
    assert not closed_since(diary.context, entries, own), "a correction of its own sign is its own"
