"""The tape trial as the walks and the front page live it."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from companion.app.demo_day import play_day
from companion.care.day_questions import DayPainsPage
from companion.care.outing_questions import TapeByTrialPage, TapeForOutingPage
from companion.care.records import AnyEntry, Plan, Session, TapeOff, TapeOn
from companion.care.routine import NoHandsPage, StepPage
from companion.care.taping import NoTapePage, TapeReadyPage, TapeStepPage
from companion.care.trial_days import TrialRefusal, trial_day, trial_schedule
from companion.care.trial_today import TrialToday
from companion.presentation.home.front import front_view
from companion.services.day_page import DayWalk
from companion.services.front import front
from companion.services.outing import OutingWalk
from companion.services.routine import RoutineWalk
from companion.services.tape import TapeOffWalk, TapeOnWalk
from companion.services.walks import WalkKind, WalkResult, WalkStep, begin, give
from tests.builders import DAY, at, page, tape_off, tape_on, warning
from tests.care.test_trial_days import first, trial_of
from tests.care.walking import CATALOGUE, taught_plan
from tests.services.conftest import Keep
from tests.services.context_for_tests import HandClock, Kept, answer_by, of, shown, walk_on

ONE = timedelta(days=1)


def in_trial(tape: dict[str, Any] | None = None, **fields: Any) -> Plan:
    return taught_plan({"wear_hours": 96} | (tape or {}), **({"trial": trial_of()} | fields))


OUT = {"what_for:1": {"what": "own", "own": "Market"}, "look_over": {"going": "yes"}}


def seen(context: Any, conduct: WalkKind[Any, Any], side: Any = "right") -> list[Any]:
    """Every page of a walk by a steady person."""
    pages = []
    outcome = begin(context, conduct, side)
    while isinstance(outcome, WalkStep):
        pages.append(outcome.page)
        outcome = give(context, conduct, outcome, answer_by(OUT)(outcome.page))
    return pages


def has(pages: list[Any], *kinds: type[Any]) -> bool:
    return any(isinstance(one, kinds) for one in pages)


def dues(kept: Kept) -> list[str]:
    """What is open and what is due, in the order of the page."""
    found = front(kept.context)
    return [*(one.code for one in found.open), *(one.what for one in found.due)]


def trial_now(kept: Kept, side: str = "right") -> TrialToday | None:
    return next((one.trial for one in front(kept.context).open if one.side == side), None)


@pytest.mark.parametrize("when", ["if_missed", "always"])
def test_on_every_day_of_a_pair_no_walk_does_what_the_trial_excludes(when: str, keep: Keep) -> None:
    plan = in_trial({"when": when})
    for number in range(8):
        day = DAY + number * ONE
        trial = trial_day(plan, "right", day)
        assert trial is not None
        kept = keep(plan=plan, clock=HandClock(at(day, 9)))
        routine = seen(kept.context, RoutineWalk())
        assert not has(routine, TapeReadyPage, TapeStepPage)
        assert has(routine, StepPage) == (trial.what == "bare")
        assert has(routine, NoHandsPage) == (trial.what != "bare")
        assert of(kept.context, Session)[-1].exercises
        going = seen(kept.context, OutingWalk())
        assert has(going, TapeByTrialPage)
        assert not has(going, TapeForOutingPage, TapeReadyPage, TapeStepPage)
        assert of(kept.context, TapeOn) == []
        tape = seen(kept.context, TapeOnWalk())
        assert has(tape, TapeReadyPage) == (trial.what == "tape")
        assert len(of(kept.context, TapeOn)) == (trial.what == "tape")


def test_a_tape_day_asks_for_tape_at_the_starting_stage(keep: Keep) -> None:
    plan = in_trial()
    day = first("tape", 1, plan)
    kept = keep(plan=plan, clock=HandClock(at(day, 9)))
    assert dues(kept) == ["trial_tape", "exercise", "day_page"]
    play_day(kept.context)
    (on,) = of(kept.context, TapeOn)
    assert (on.stage, on.for_outing) == (1, False)
    standing = [one.trial.standing for one in front(kept.context).open if one.trial is not None]
    assert (standing, front(kept.context).knees[0].hands) == (["tape_on"], "trial")
    assert "trial_tape" not in dues(kept)


def test_the_whole_gate_stands_before_the_tape_of_a_tape_day(keep: Keep) -> None:
    day = first("tape", 1)
    kept = keep(plan=in_trial({"patch_test": "at_home"}), clock=HandClock(at(day, 9)))
    refused = walk_on(kept.context, TapeOnWalk(), until="no_tape")
    assert shown(refused) == NoTapePage(reasons=("patch_test_missing",), tape_day=True)
    locked = keep(warning(day - ONE), plan=in_trial(), clock=HandClock(at(day, 9)))
    assert dues(locked)[:3] == ["card", "trial_day", "locked"]
    pages = seen(locked.context, TapeOnWalk())
    assert not has(pages, TapeReadyPage)
    assert pages[-1] == NoTapePage(reasons=("locked",), tape_day=True)


@pytest.mark.parametrize(("what", "reason"), [("bare", "trial_bare"), ("no_tape", "trial_no_tape")])
def test_without_a_tape_day_nothing_is_asked(what: str, reason: TrialRefusal, keep: Keep) -> None:
    number = 0 if what == "bare" else 2
    kept = keep(plan=in_trial(), clock=HandClock(at(first(what, number), 9)))
    pages = seen(kept.context, TapeOnWalk())
    assert pages == [NoTapePage(reasons=(reason,))]
    done = walk_on(kept.context, TapeOnWalk())
    assert isinstance(done, WalkResult)
    assert not done.tells
    assert ("hands" in dues(kept)) == (what == "bare")
    assert "trial_day" in dues(kept)


def test_tape_that_is_on_is_due_off_when_its_days_are_over(keep: Keep) -> None:
    plan = in_trial()
    last = first("tape", 3, plan)
    before = [tape_on(at(day, 8), make="Slate 50") for day in (DAY - 9 * ONE, DAY - 5 * ONE)]
    kept = keep(*before, tape_on(at(last - 2 * ONE, 8)), plan=plan, clock=HandClock(at(last, 20)))
    assert dues(kept)[:2] == ["trial_day", "tape_on"]
    assert front(kept.context).open[1].at == at(last, 21)
    kept.clock.set(at(last, 21))
    assert dues(kept)[0] == "tape_due"
    kept.clock.set(at(last + ONE, 9))
    assert dues(kept)[:2] == ["tape_due", "trial_day"]
    walk_on(kept.context, TapeOffWalk())
    assert len(of(kept.context, TapeOff)) == 1
    assert front(kept.context).knees[0].hands == "due", "the bare day keeps hands"


def test_a_plan_with_a_trial_while_tape_is_on(keep: Keep) -> None:
    kept = keep(tape_on(at(0, 8)), plan=taught_plan(), clock=HandClock(at(0, 12)))
    assert dues(kept)[0] != "tape_due"
    kept.context.journal.append(plans=(in_trial(version=2),))
    assert dues(kept)[:2] == ["tape_due", "trial_day"]


def test_tape_on_begun_before_the_plan_came_is_not_gone_on_with(keep: Keep) -> None:
    kept = keep(plan=taught_plan(), clock=HandClock(at(0, 12)))
    walk_on(kept.context, TapeOnWalk(), until="tape_ready")
    kept.context.journal.append(plans=(in_trial(version=2),))
    outcome = begin(kept.context, TapeOnWalk(), "right")
    assert shown(outcome) == NoTapePage(reasons=("trial_bare",))


@pytest.mark.parametrize("what", ["bare", "no_tape", "tape"])
def test_a_routine_begun_before_the_plan_came_puts_no_tape_on(what: str, keep: Keep) -> None:
    day = first(what, 0 if what == "bare" else 1)
    always = taught_plan({"when": "always"})
    kept = keep(plan=always, clock=HandClock(at(day, 9)))
    walk_on(kept.context, RoutineWalk(), until="tape_ready")
    kept.context.journal.append(plans=(in_trial({"when": "always"}, version=2),))
    again = seen(kept.context, RoutineWalk())
    assert not has(again, TapeReadyPage, TapeStepPage)
    assert of(kept.context, TapeOn) == []
    before, after = of(kept.context, Session)
    assert (before.ended, before.reason) == ("left", "trial")
    assert before.rounds, "what was done is kept"
    assert after.plan_version == 2


def test_an_outing_begun_before_the_plan_came_puts_no_tape_on(keep: Keep) -> None:
    kept = keep(plan=taught_plan(), clock=HandClock(at(0, 12)))
    with_tape = answer_by(OUT | {"tape_for_outing": {"tape": "yes"}})
    walk_on(kept.context, OutingWalk(), answer=with_tape, until="tape_ready")
    kept.context.journal.append(plans=(in_trial(version=2),))
    again = seen(kept.context, OutingWalk())
    assert has(again, TapeByTrialPage)
    assert not has(again, TapeForOutingPage, TapeReadyPage, TapeStepPage)


def test_a_new_plan_keeps_the_trial_or_ends_it(keep: Keep) -> None:
    day = first("tape", 2)
    kept = keep(plan=in_trial(), clock=HandClock(at(day, 9)))
    kept.context.journal.append(plans=(in_trial(version=2, rounds=3, written_on=day),))
    assert "trial_tape" in dues(kept)
    another = trial_of(day + ONE)
    kept.context.journal.append(plans=(in_trial(version=3, written_on=day, trial=another),))
    assert not {"trial_tape", "trial_day"} & set(dues(kept))
    kept.context.journal.append(plans=(in_trial(version=4, written_on=day, trial=None),))
    assert dues(kept)[0] == "hands"
    assert has(seen(kept.context, RoutineWalk()), StepPage)


def test_a_faulty_trial_is_not_run_and_said(keep: Keep) -> None:
    bad = replace(trial_of(), schedule_sha256="0" * 64)
    kept = keep(plan=in_trial(trial=bad), clock=HandClock(at(first("no_tape", 1), 9)))
    assert dues(kept)[:2] == ["trial_day", "hands"]
    assert has(seen(kept.context, RoutineWalk()), StepPage)


def test_days_missed_change_no_day(keep: Keep) -> None:
    """Nothing is made up for: the day is what the calendar says."""
    day = first("no_tape", 3)
    kept = keep(page(DAY, pain_average=4), plan=in_trial(), clock=HandClock(at(day, 9)))
    trial = trial_now(kept)
    assert trial is not None
    assert trial.day is not None
    assert (trial.standing, trial.day.number) == ("no_tape_day", 3)


def test_a_clock_set_back_lets_no_tape_on(keep: Keep) -> None:
    day = first("tape", 1)
    ahead = page(day + 6 * ONE, written_at=at(day + 6 * ONE))
    kept = keep(ahead, plan=in_trial(), clock=HandClock(at(day, 9)))
    assert front(kept.context).clock_is_behind
    assert "trial_tape" not in dues(kept)
    assert seen(kept.context, TapeOnWalk()) == [NoTapePage(reasons=("trial_clock",))]


def test_with_two_knees_the_other_one_goes_on_as_the_plan_says(keep: Keep) -> None:
    plan = in_trial({"when": "always"}, side="both")
    day = first("no_tape", 1, plan)
    kept = keep(plan=plan, clock=HandClock(at(day, 9)))
    right, left = front(kept.context).knees
    assert (right.hands, left.hands) == ("trial", "due")
    assert trial_now(kept, "left") is None
    assert has(seen(kept.context, RoutineWalk(), "left"), TapeReadyPage)
    assert [on.side for on in of(kept.context, TapeOn)] == ["left"]


def test_when_it_is_over_the_plan_holds_as_before(keep: Keep) -> None:
    plan = in_trial({"when": "always"})
    after = DAY + 48 * ONE
    kept = keep(plan=plan, clock=HandClock(at(after, 9)))
    assert dues(kept)[:2] == ["trial_over", "hands"]
    assert has(seen(kept.context, RoutineWalk()), TapeReadyPage)


def test_the_measure_of_the_plan_is_asked_every_day(keep: Keep) -> None:
    """What a trial needs is asked daily, on short pages too."""
    for measure in ("average", "worst", "now"):
        plan = in_trial(measure=measure, trial=trial_of(DAY + 20 * ONE))
        old = [page(number, form="full", pain_average=4) for number in range(22)]
        kept = keep(*old, plan=plan, clock=HandClock(at(23, 9)))
        start = DayWalk().start(kept.context, plan, "right", kept.clock.today())
        assert start.form == "short"
        (pains,) = (one for one in seen(kept.context, DayWalk()) if isinstance(one, DayPainsPage))
        assert measure in pains.measures


def test_a_tape_day_on_which_the_skin_rests_says_until_when(keep: Keep) -> None:
    """It said "but no tape for now", neither why nor until when."""
    day = first("tape", 2)
    off = tape_off(at(day - ONE, 20), skin_at_once="pink", skin_after_30_min="pink")
    plan = in_trial({"rest_hours": 24})
    kept = keep(tape_on(at(day - ONE, 8)), off, plan=plan, clock=HandClock(at(day, 9)))
    trial = trial_now(kept)
    assert trial is not None
    assert (trial.standing, trial.rests_until) == ("tape_not_now", at(day, 20))
    (line,) = (
        row.door.word
        for row in front_view(front(kept.context), lambda: CATALOGUE).today
        if row.door.name == "tape"
    )
    assert line == "Today is tape day 2 of 3. The skin rests, no tape until this evening at 20:00."


def test_how_far_the_trial_is_is_said_and_a_missed_tape_day_once(keep: Keep) -> None:
    """Neither was ever said."""
    day = first("tape", 2)
    worn = (tape_on(at(day - ONE, 8)), tape_off(at(day - ONE, 21)))

    def line(*entries: AnyEntry, on: date = day) -> str:
        kept = keep(*entries, plan=in_trial(), clock=HandClock(at(on, 9)))
        view = front_view(front(kept.context), lambda: CATALOGUE)
        rows = (row.door for row in view.today)
        return next(door.line for door in rows if door.word.startswith("Today is"))

    assert line() == "Yesterday had no tape, so it does not count. Just go on."
    trial = trial_day(in_trial(), "right", day)
    assert trial is not None
    part = f"Part {trial.period} of 12 of your trial."
    assert line(*worn) == part
    assert line(on=day - ONE) == part, "the day before was bare"


def test_how_many_pairs_are_complete_is_said_as_they_come(keep: Keep) -> None:
    """Nobody was told how far it is but by the day of the part."""
    schedule = trial_schedule(in_trial(), "right")
    assert schedule is not None

    def said(parts: int) -> str:
        day = schedule.periods[parts].scored_days[0]
        pages = (
            page(scored, pain_average=4)
            for period in schedule.periods[:parts]
            for scored in period.scored_days
        )
        kept = keep(*pages, plan=in_trial(), clock=HandClock(at(day, 9)))
        rows = front_view(front(kept.context), lambda: CATALOGUE).today
        doors = (row.door for row in rows)
        return next(door.line for door in doors if door.word.startswith("Today is"))

    assert said(1) == "Part 2 of 12 of your trial."
    assert said(2) == "Part 3 of 12 of your trial. 1 pair is complete so far."
    assert said(4) == "Part 5 of 12 of your trial. 2 pairs are complete so far."
