"""Walks on disk: killed at every page they resume there, and nothing acknowledged is lost."""

import sqlite3
from datetime import timedelta
from typing import Any

import pytest

from companion.care.coded import coded
from companion.care.flow import Given, WalkPage
from companion.care.records import DayPage, Question, Session, TapeOff, TapeOn, WarningSign
from companion.care.routine import StepPage
from companion.care.tape_applications import current_application
from companion.journal.faults import JournalBusy, JournalFull
from companion.journal.store import Journal
from companion.services.day_page import DayWalk
from companion.services.routine import RoutineWalk
from companion.services.signs import ClearWalk, StopWalk
from companion.services.tape import (
    SkinWalk,
    TapeCheckWalk,
    TapeOffWalk,
    TapeOnWalk,
)
from companion.services.walks import WalkKind, WalkResult, WalkStep, back, begin, give, load
from tests.builders import SOMETHING_NEW, at, session, tape_off, tape_on, warning
from tests.care.walking import STOP_ROWS, any_answer, card_of, chooser, taught_plan, ticking
from tests.services.conftest import Keep
from tests.services.context_for_tests import HandClock, Kept, answer_by, of, walk_on
from tests.steady import steady

SESSIONS = [session(day, 10, 5, full_list=True) for day in range(2, 7)]
"""Five sessions that began at 10, so that scoring is asked about; the last list a week ago."""

CASES: dict[str, tuple[WalkKind[Any, Any], tuple[Any, ...], dict[str, Given]]] = {
    "routine": (RoutineWalk(), tuple(SESSIONS), {}),
    "routine, always taped, made worse": (
        RoutineWalk(),
        (),
        {"move:after_tape:1": {"score": 9, "same_depth": True}, **ticking("lump")},
    ),
    "routine with tape on": (
        RoutineWalk(),
        (tape_on(at(9)), *SESSIONS),
        {"tape_check": {"feelings": ["itch"]}, "skin": {"skin": "broken"}},
    ),
    "routine ended by a card": (
        RoutineWalk(),
        (),
        {"gate": SOMETHING_NEW, "list:1": {"signs": ["fever", "lump"]}},
    ),
    "routine with an open sign": (
        RoutineWalk(),
        (warning(8, "skin_broken", "call", sides=("right",)),),
        {},
    ),
    "routine closed": (RoutineWalk(), (warning(8),), {}),
    "stop": (
        StopWalk(),
        (),
        {
            "stop:1": {"about": "not_sure"},
            "stop:1:list:1": {"signs": ["injury_check", "lump"]},
        },
    ),
    "stop, a mistake": (
        StopWalk(),
        (),
        ticking("lump", STOP_ROWS) | {card_of("lump", STOP_ROWS): {"card": "mistake"}},
    ),
    "clear": (
        ClearWalk(),
        (warning(8),),
        {
            "open_card": {"how": "asked"},
            "open:knee_stuck:talked": {"told": "only_these"},
            "open:knee_stuck:parts": {"parts": ["seated"]},
            "open:knee_stuck:checked": {"by": "doctor", "days_ago": 1, "who": "nurse"},
        },
    ),
    "tape on": (TapeOnWalk(), (), {}),
    "tape off": (
        TapeOffWalk(),
        (tape_on(at(9)),),
        {
            "removal": {"off": "earlier"},
            "off_when": {"day": "today", "hour": 12},
            "skin": {"skin": "blister"},
        },
    ),
    "tape check": (TapeCheckWalk(), (tape_on(at(9)),), {"tape_check": {"feelings": ["pain"]}}),
    "skin": (SkinWalk(), (tape_on(at(9)), tape_off(at(10, 17))), {"skin": {"skin": "broken"}}),
    "day page": (DayWalk(), (tape_on(at(9)),), {"skin": {"skin": "broken"}}),
}
PLAN = taught_plan({"when": "always"})


@pytest.mark.parametrize("case", CASES)
def test_killed_at_every_page_it_resumes_there_and_ends_the_same(case: str, keep: Keep) -> None:
    conduct, entries, by_key = CASES[case]
    answer = answer_by(by_key)
    straight = keep(*entries, plan=PLAN)
    killed = keep(*entries, plan=PLAN)

    whole = begin(straight.context, conduct, "right")
    pieces = begin(killed.context, conduct, "right")
    while isinstance(whole, WalkStep):
        assert isinstance(pieces, WalkStep)
        assert pieces.page == whole.page
        before = [answered.submitted for answered in pieces.state.answers]
        on_disk = killed.context.journal.count()
        context = killed.kill()
        pieces = begin(context, conduct, "right")
        assert isinstance(pieces, WalkStep)
        assert pieces.page == whole.page
        assert [answered.submitted for answered in pieces.state.answers] == before
        assert context.journal.count() == on_disk, "a page shown again writes nothing again"
        straight.clock.pass_by(seconds=20)
        killed.clock.pass_by(seconds=20)
        whole = give(straight.context, conduct, whole, answer(whole.page))
        pieces = give(context, conduct, pieces, answer(pieces.page))
    assert isinstance(pieces, WalkResult)
    assert pieces.end == whole.end
    assert _contents(killed) == _contents(straight)
    assert load(killed.context, conduct, "right") is None


def _contents(diary: Kept) -> list[tuple[Any, ...]]:
    """What a diary holds, but for ids and the name of the store, which are new in each."""
    bare = []
    for entry in diary.context.journal.entries():
        skip = {"id", "replaces", "tape_on", "machine"}
        names = [n for n in entry.__dataclass_fields__ if n not in skip]
        bare.append(tuple((n, getattr(entry, n)) for n in names))
    return bare


def test_going_back_keeps_the_answers_it_leads_over(keep: Keep) -> None:
    """They were dropped: to change the first score at the end cost the whole evening."""
    context, kind = keep().context, RoutineWalk()
    on = walk_on(context, kind, until="depth")
    assert isinstance(on, WalkStep)
    assert on.given_before is None
    submitted = [answered.submitted for answered in on.state.answers]
    step: WalkStep[Any] = on
    while step.can_go_back:
        earlier = back(context, kind, step)
        assert isinstance(earlier, WalkStep)
        assert earlier.given_before == step.state.answers[-1].submitted
        step = earlier
        if step.state.answers:
            assert begin(context, kind, "right") == step, "on disk too"
    while step.given_before is not None:
        onward = give(context, kind, step, step.given_before)
        assert isinstance(onward, WalkStep)
        step = onward
    assert step.page == on.page
    assert [answered.submitted for answered in step.state.answers] == submitted
    assert step.state.taken_back == ()


def test_going_back_takes_one_answer_at_a_time(keep: Keep) -> None:
    context = keep().context
    underway = walk_on(context, RoutineWalk(), until="depth")
    assert isinstance(underway, WalkStep)
    assert underway.can_go_back
    earlier = back(context, RoutineWalk(), underway)
    assert isinstance(earlier, WalkStep)
    assert earlier.page.key == "rest_pain"
    assert len(earlier.state.answers) == len(underway.state.answers) - 1
    assert begin(context, RoutineWalk(), "right") == earlier, "on disk too"


def test_nobody_goes_back_over_what_is_written_for_good(keep: Keep) -> None:
    context = keep(plan=PLAN).context
    answer = answer_by(ticking("lump"))
    card = walk_on(context, RoutineWalk(), answer=answer, until="list:1:lump:card")
    assert isinstance(card, WalkStep)
    assert len(of(context, WarningSign)) == 1, "on disk before the card is answered"
    assert not card.can_go_back
    assert back(context, RoutineWalk(), card) == card
    other = keep(plan=PLAN).context
    taped = walk_on(other, RoutineWalk(), until="move:after_tape:1")
    assert isinstance(taped, WalkStep)
    assert len(of(other, TapeOn)) == 1
    assert not taped.can_go_back


def test_a_mistake_can_still_be_said_after_the_card_was_read(keep: Keep) -> None:
    context = keep().context
    answer = answer_by(ticking("lump"))
    after = walk_on(context, RoutineWalk(), answer=answer, until="rest_pain")
    assert isinstance(after, WalkStep)
    card = back(context, RoutineWalk(), after)
    assert isinstance(card, WalkStep)
    assert card.page.key == "list:1:lump:card"
    sure = give(context, RoutineWalk(), card, {"card": "mistake"})
    assert isinstance(sure, WalkStep)
    give(context, RoutineWalk(), sure, {"mistake": "yes"})
    first, second = of(context, WarningSign)
    assert (first.cleared, second.cleared) == (None, "ticked_by_mistake")
    assert second.replaces == first.id


# ------------------------------------------------------------ the machine fails


def _full(*_args: Any, **_named: Any) -> Any:
    raise JournalFull(coded("no_room"))


@pytest.mark.parametrize("case", ["routine", "day page", "tape off", "stop"])
def test_a_full_disc_at_any_page_loses_nothing_and_trying_again_works(
    case: str, keep: Keep, monkeypatch: pytest.MonkeyPatch
) -> None:
    conduct, entries, by_key = CASES[case]
    answer = answer_by(by_key)
    context = keep(*entries, plan=PLAN).context
    outcome = begin(context, conduct, "right")
    while isinstance(outcome, WalkStep):
        count = context.journal.count()
        with monkeypatch.context() as patch:
            patch.setattr(context.journal, "write", _full)
            with pytest.raises(JournalFull):
                give(context, conduct, outcome, answer(outcome.page))
        assert context.journal.count() == count
        resumed = begin(context, conduct, "right")
        assert isinstance(resumed, WalkStep)
        assert resumed.page == outcome.page
        assert resumed.state.answers == outcome.state.answers
        outcome = resumed
        outcome = give(context, conduct, outcome, answer(outcome.page))
    assert outcome.state.walk == conduct.name


def test_a_real_full_store_keeps_the_page(keep: Keep) -> None:
    """The store itself refuses: SQLite is told it may not grow any further."""
    diary = keep()
    context = diary.context
    underway = walk_on(context, DayWalk(), until="note")
    assert isinstance(underway, WalkStep)
    db: sqlite3.Connection = context.journal._db
    (pages,) = db.execute("PRAGMA page_count").fetchone()
    db.execute(f"PRAGMA max_page_count = {pages}")
    with pytest.raises(JournalFull):
        give(context, DayWalk(), underway, {"note": "long " * 2000, "private": "no"})
    db.execute("PRAGMA max_page_count = 1073741823")
    assert begin(context, DayWalk(), "right") == underway
    assert isinstance(give(context, DayWalk(), underway, {"note": "short"}), WalkStep)


def test_a_second_window_is_refused_and_the_first_goes_on(keep: Keep) -> None:
    diary = keep()
    underway = walk_on(diary.context, RoutineWalk(), until="depth")
    with pytest.raises(JournalBusy) as refused:
        Journal.open(diary.folder, diary.clock)
    assert str(refused.value)
    assert isinstance(underway, WalkStep)
    assert isinstance(give(diary.context, RoutineWalk(), underway, {"depth": "as_plan"}), WalkStep)


# ------------------------------------------------------------ days and plans


def test_coming_back_the_same_day_goes_on_where_it_was_left(keep: Keep) -> None:
    diary = keep(clock=HandClock(at(10, 9)))
    left = walk_on(diary.context, RoutineWalk(), until="step:1:2")
    diary.clock.set(at(10, 9, 59))  # later than that the gate is asked again
    assert begin(diary.context, RoutineWalk(), "right") == left


def test_a_routine_begun_before_midnight_belongs_to_the_day_it_began(keep: Keep) -> None:
    diary = keep(clock=HandClock(at(10, 23, 50)))
    walk_on(diary.context, RoutineWalk(), until="step:1:2")
    diary.clock.set(at(11, 0, 20))
    done = walk_on(diary.context, RoutineWalk())
    (written,) = of(diary.context, Session)
    assert isinstance(done, WalkResult)
    assert written.for_day == at(10).date()
    assert (written.happened_at, written.ended_at) == (at(10, 23, 50), at(11, 0, 20))


def test_the_next_day_a_routine_left_behind_is_written_with_what_it_held(keep: Keep) -> None:
    diary = keep(clock=HandClock(at(10, 9)))
    walk_on(diary.context, RoutineWalk(), until="step:1:3")
    diary.clock.set(at(11, 9))
    fresh = begin(diary.context, RoutineWalk(), "right")
    (written,) = of(diary.context, Session)
    assert (written.ended, written.reason) == ("left", "left_behind")
    assert written.for_day == at(10).date()
    assert written.ended_at == at(10, 9), "it ended with its last answer, not when it was found"
    assert [step.step for step in written.rounds[0].steps] == [
        technique.technique for technique in taught_plan().techniques[:2]
    ]
    assert written.moves[0].score == 6
    assert isinstance(fresh, WalkStep)
    assert fresh.page.key == "gate"


def test_a_plan_replaced_in_the_middle_keeps_the_old_one_for_that_walk(keep: Keep) -> None:
    diary = keep()
    walk_on(diary.context, RoutineWalk(), until="step:1:2")
    newer = taught_plan({"when": "never", "highest": 0}, version=2, rounds=1, techniques=())
    diary.context.journal.append(plans=(newer,))
    done = walk_on(diary.kill(), RoutineWalk())
    assert isinstance(done, WalkResult)
    assert done.state.plan.version == 1
    (written,) = of(diary.context, Session)
    assert written.plan_version == 1
    assert written.rounds
    again = begin(diary.context, RoutineWalk(), "right")
    assert isinstance(again, WalkStep)
    assert again.state.plan.version == 2


def test_where_nothing_was_answered_the_routine_starts_from_how_things_are(keep: Keep) -> None:
    diary = keep()
    first = begin(diary.context, RoutineWalk(), "right")
    diary.context.journal.append(tape_on(at(10, 17)))
    second = begin(diary.context, RoutineWalk(), "right")
    assert isinstance(first, WalkStep)
    assert isinstance(second, WalkStep)
    assert first.state.start.wearing_stage == 0
    assert second.state.start.hands_off == "tape_on"


def test_tape_put_on_in_the_middle_ends_the_hands_part(keep: Keep) -> None:
    diary = keep()
    walk_on(diary.context, RoutineWalk(), until="step:1:2")
    walk_on(diary.context, TapeOnWalk())
    again = begin(diary.context, RoutineWalk(), "right")
    assert isinstance(again, WalkStep)
    assert again.page.key == "tape_check", "the gate was answered before the tape"
    assert again.state.start.hands_off == "tape_on"
    (written,) = of(diary.context, Session)
    assert (written.ended, written.reason) == ("left", "tape_on")


def test_tape_of_this_routine_does_not_end_it(keep: Keep) -> None:
    diary = keep(plan=PLAN)
    left = walk_on(diary.context, RoutineWalk(), until="move:after_tape:1")
    assert begin(diary.kill(), RoutineWalk(), "right") == left


def test_any_answers_keep_the_diary_readable(keep: Keep) -> None:
    """Random walks through the real store: every entry is accepted, every draft is taken up."""
    diary = keep(plan=PLAN)
    conducts = (RoutineWalk(), DayWalk(), TapeOnWalk(), StopWalk(), TapeOffWalk())
    for seed in range(12):
        choose = chooser(seed)

        def answer(page: WalkPage, choose: Any = choose) -> Given:
            return any_answer(page, choose)

        for conduct in conducts:
            taped = current_application(diary.context.entries, "right") is not None
            if taped or not isinstance(conduct, TapeOffWalk):
                walk_on(diary.context, conduct, answer=answer)
        diary.clock.pass_by(days=1, minutes=7)
    assert diary.context.journal.diary().entries
    assert of(diary.context, DayPage)
    assert of(diary.context, Session)


def test_ten_is_told_to_the_clinic_once(keep: Keep) -> None:
    diary = keep(*SESSIONS)
    first = walk_on(diary.context, RoutineWalk(), until="ten")
    assert isinstance(first, WalkStep)
    give(diary.context, RoutineWalk(), first, {"ten": "can_be_worse"})
    (told,) = of(diary.context, Question)
    assert told.written_by == "person"
    assert (told.ten_said, told.text) == ("can_be_worse", None)
    # Left before the first score, it is not asked again the next day.
    diary.clock.pass_by(days=1)
    walk_on(diary.context, RoutineWalk(), answer=_never_ten)
    assert len(of(diary.context, Question)) == 1


def _never_ten(page: WalkPage) -> Given:
    assert page.key != "ten"
    return steady(page)


def test_one_hands_session_a_day_also_when_its_steps_were_stopped(keep: Keep) -> None:
    def stopped(page: WalkPage) -> Given:
        return {"outcome": "stopped", "pain": 9} if isinstance(page, StepPage) else steady(page)

    diary = keep(plan=taught_plan({"when": "never", "highest": 0}))
    walk_on(diary.context, RoutineWalk(), answer=stopped)
    again = begin(diary.context, RoutineWalk(), "right")
    assert isinstance(again, WalkStep)
    assert again.state.start.hands_off == "done_today"
    diary.clock.pass_by(days=1)
    tomorrow = begin(diary.context, RoutineWalk(), "right")
    assert isinstance(tomorrow, WalkStep)
    assert tomorrow.state.start.hands_off is None


def test_rest_pain_above_the_ceiling_holds_for_the_day(keep: Keep) -> None:
    diary = keep()
    walk_on(diary.context, RoutineWalk(), answer=answer_by({"rest_pain": {"score": 8}}))
    again = begin(diary.context, RoutineWalk(), "right")
    assert isinstance(again, WalkStep)
    assert again.state.start.hands_off == "rest_pain"


def test_tape_off_left_at_the_skin_is_written_without_it(keep: Keep) -> None:
    diary = keep(tape_on(at(9)))
    walk_on(diary.context, TapeOffWalk(), until="skin")
    diary.clock.pass_by(days=1)
    with pytest.raises(LookupError):
        begin(diary.context, TapeOffWalk(), "right")
    (off,) = of(diary.context, TapeOff)
    assert off.happened_at == at(10)
    assert off.skin_at_once is None
    assert diary.clock.now() - off.written_at == timedelta(days=1)
