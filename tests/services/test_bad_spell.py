"""A bad spell, as the person says it began and ended, and the dose of the day, in use."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from companion.care.closures import closures
from companion.care.flow import Given, WalkPage
from companion.care.records import AnyEntry, Event, Session, WarningSign
from companion.care.routine import BadDayPage, MovePage, SpellPage
from companion.presentation.home.bad_spell_pages import bad_spell_view
from companion.presentation.home.front import front_view
from companion.services.bad_spell import dose_of, say_bad_spell
from companion.services.context import Context
from companion.services.front import front
from companion.services.routine import RoutineWalk
from companion.services.signs import ClearWalk
from companion.services.walks import WalkResult
from tests.builders import NOTHING_NEW, at, event, session
from tests.care.test_dose import DID
from tests.care.walking import CATALOGUE, taught_plan
from tests.services.context_for_tests import HandClock, Kept, answer_by, shown, walk_on

TODAY = 12
BEFORE = "move:before:1"


@pytest.fixture
def diaries(tmp_path: Path) -> Iterator[Any]:
    """Makes the open diary of somebody on day `TODAY`."""
    made: list[Kept] = []

    def make(*entries: AnyEntry, **fields: Any) -> Context:
        plan = taught_plan({"when": "never"}, **fields)
        made.append(Kept(tmp_path / f"d{len(made)}", plan, entries, HandClock(at(TODAY))))
        return made[-1].context

    yield make
    for diary in made:
        diary.close()


def walked(context: Context, **by_key: Any) -> Session:
    """Today's session, by these answers and else a steady person's."""
    submitted = {key.replace("__", ":"): answer for key, answer in by_key.items()}
    outcome = walk_on(context, RoutineWalk(), answer=answer_by(submitted))
    assert isinstance(outcome, WalkResult)
    return next(e for e in outcome.entries if isinstance(e, Session))


def lines(context: Context) -> tuple[str, ...]:
    return front_view(front(context), lambda: CATALOGUE).lines


def test_a_spell_begins_and_ends_by_press(diaries: Any) -> None:
    context = diaries()
    assert front(context).spell is None
    say_bad_spell(context)
    begun = front(context).spell
    assert begun is not None
    assert (begun.since, begun.pressed) == (context.clock.today(), True)
    assert lines(context)[0] == "Bad spell, day 1: a shorter routine, gently."
    say_bad_spell(context, over=True)
    assert front(context).spell is None
    said = sorted(entry.what for entry in context.entries if isinstance(entry, Event))
    assert said == ["bad_spell", "bad_spell_over"]


def test_what_the_plan_says_for_a_bad_spell_stands_behind_its_door(diaries: Any) -> None:
    context = diaries(flare_plan="Ice it after lunch.", flare_days=5)
    plan = context.plan()
    asked = str(bad_spell_view(front(context), plan, context.policy))
    assert "Ice it after lunch." in asked
    assert "it has not settled in 5 days" in asked
    say_bad_spell(context)
    shown_then = bad_spell_view(front(context), plan, context.policy)
    assert "Ice it after lunch." in str(shown_then)
    assert [button.text for button in shown_then.others] == ["My knee is as usual again"]


def test_a_spell_that_does_not_settle_says_to_call_on_the_front_page(diaries: Any) -> None:
    """As a card, with whom to call, like every other call; the lines say only how it stands."""
    context = diaries(event(TODAY - 7, "bad_spell"))
    view = front_view(front(context), lambda: CATALOGUE)
    assert view.card is not None
    assert view.card.level == "call"
    told = [row.door.line for row in view.today if row.door.name == "card"]
    assert told == ["I have called about it"]
    assert view.lines[0] == "Bad spell, day 8: a shorter routine, gently."


SORE = [session(TODAY - 9, 6, rounds=DID)] + [
    session(day, 6, rounds=DID, after_last="more_next_morning") for day in range(3, TODAY)
]
"""More pain next morning after every routine, on less and less."""


def called(context: Context, told: str) -> WarningSign | None:
    """The card of a call behind its door: what came of it, said the day after; what is written."""
    end: dict[str, Given] = {
        "open_card": {"how": "asked"},
        "talked": {"told": told},
        "checked": {"by": "clinic", "who": "Ysolde", "days_ago": 0},
    }

    def answer(page: WalkPage) -> Given:
        return end[page.key.rpartition(":")[2]]

    outcome = walk_on(context, ClearWalk(), answer=answer)
    assert isinstance(outcome, WalkResult)
    return next((e for e in outcome.entries if isinstance(e, WarningSign)), None)


@pytest.mark.parametrize(
    ("entries", "sign"),
    [((event(TODAY - 7, "bad_spell"),), "spell_call"), (tuple(SORE), "dose_call")],
    ids=["spell", "dose"],
)
def test_a_call_of_the_days_can_be_answered_for_and_opens_and_closes_nothing(
    diaries: Any, entries: Any, sign: str
) -> None:
    """Nobody ticked it, and it could be answered by nothing: it stood there to be read past. The
    call closes nothing (rules r02, r05), so what was said opens nothing either."""
    context = diaries(*entries)
    clock = context.clock
    dose = dose_of(context, context.plan(), "right").steps
    assert front(context).calls == (sign,)
    assert called(context, "not_called") is None
    assert front(context).calls == (sign,)
    kept = called(context, "all")
    assert kept is not None
    assert (kept.sign, kept.told, kept.told_by, kept.told_name) == (sign, "all", "clinic", "Ysolde")
    assert kept.cleared == "checked_by_professional"
    found = front(context)
    assert (found.calls, found.locked) == ((), None)
    assert dose_of(context, context.plan(), "right").steps == dose
    assert (
        closures(
            context.policy, context.plan(), context.entries, "right", today=clock.today()
        ).parts
        == frozenset()
    )
    clock.pass_by(days=6)
    assert front(context).calls == ()
    clock.pass_by(days=1)
    assert front(context).calls == (sign,), "still so a week later: call again"


@pytest.mark.parametrize("told", ["not_yet", "not_reached"])
def test_who_was_told_not_yet_or_reached_nobody_keeps_the_card(diaries: Any, told: str) -> None:
    context = diaries(event(TODAY - 7, "bad_spell"))
    kept = called(context, told)
    assert kept is not None
    assert (kept.told, kept.cleared) == (told, None)
    found = front(context)
    assert found.locked is not None
    assert (found.locked.sign, found.calls) == ("spell_call", ())
    again = called(context, "not_spoken_of")
    assert again is not None
    assert front(context).locked is None


def test_the_routine_asks_once_the_score_is_below_the_mark_and_writes_the_end_down(
    diaries: Any,
) -> None:
    context = diaries(event(TODAY - 1, "bad_spell"), bad_day_mark=8)
    low = {BEFORE: {"score": 4}}
    asked = walk_on(context, RoutineWalk(), answer=answer_by(low), until="spell")
    assert isinstance(shown(asked), SpellPage)
    held = walked(context, **{BEFORE: {"score": 4}, "spell": {"over": "yes"}})
    assert len(held.moves) > 1
    assert front(context).spell is None


def test_the_third_bad_session_running_is_told_in_it_and_on_the_front_page(diaries: Any) -> None:
    earlier = [session(day, 8) for day in (TODAY - 2, TODAY - 1)]
    context = diaries(*earlier, bad_day_mark=8)
    bad = answer_by({BEFORE: {"score": 9}})
    page = shown(walk_on(context, RoutineWalk(), answer=bad, until="bad_day"))
    assert isinstance(page, BadDayPage)
    assert (page.spell, page.call) == (True, "no_flare_plan")
    held = walked(context, **{BEFORE: {"score": 9}})
    assert (held.reason, len(held.moves)) == ("bad_day", 1)
    spell = front(context).spell
    assert spell is not None
    assert (spell.sessions, spell.pressed) == (3, False)


def test_without_a_mark_in_the_plan_the_persons_own_usual_gives_it(diaries: Any) -> None:
    context = diaries(*(session(day, 8) for day in range(10)))
    page = shown(walk_on(context, RoutineWalk(), until=BEFORE))
    assert isinstance(page, MovePage)
    assert page.mark == 10


def test_a_bad_session_of_one_knee_leaves_standing_out_for_the_other(diaries: Any) -> None:
    left = session(TODAY, 9, side="left")
    context = diaries(left, side="both", main_side="right", bad_day_mark=8)
    page = shown(
        walk_on(context, RoutineWalk(), answer=answer_by({BEFORE: {"score": 3}}), until="bad_day")
    )
    assert isinstance(page, BadDayPage)
    assert page.why == "other_knee"


def test_two_mornings_of_more_pain_make_the_next_routine_a_step_less(diaries: Any) -> None:
    first = session(TODAY - 2, 6, rounds=DID)
    second = session(TODAY - 1, 6, rounds=DID, after_last="more_next_morning")
    context = diaries(first, second)
    gate = NOTHING_NEW | {"after_last": "more_next_morning"}
    held = walked(context, gate=gate, **{BEFORE: {"score": 8}, "move:after_hands:1": {"score": 7}})
    assert held.after_last == "more_next_morning"
    assert len(held.rounds) == 1
    assert "The routine is a step less than your plan today. It says why." in lines(context)
