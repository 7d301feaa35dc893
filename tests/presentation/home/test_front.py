"""The front page in words: what is due and why, whatever the day."""

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any, get_args

import pytest

from companion.care.catalogue import Catalogue
from companion.care.records import Contact, StepDone
from companion.care.trial_today import TrialStanding
from companion.presentation.home.front import (
    front_view,
    last_written,
    room_line,
    written_down,
)
from companion.presentation.home.open_lines import TRIAL_LINES, when_words
from companion.services.front import Front, front
from companion.services.routine import RoutineWalk
from tests.builders import at, page, patch_test, session, tape_off, tape_on, warning
from tests.care.content import answered
from tests.care.test_catalogue_wording import BANNED
from tests.care.test_trial_days import first, trial_of
from tests.care.walking import CATALOGUE, taught_plan
from tests.presentation.wording import faults, lines_of
from tests.services.conftest import keep as keep  # noqa: PLC0414 - a fixture
from tests.services.context_for_tests import HandClock, walk_on

NO_TAPE = {"when": "never", "highest": 0}
BOTH: dict[str, Any] = {"side": "both", "main_side": "right"}


def content() -> Catalogue:
    return CATALOGUE


def seen(diary: Any) -> Front:
    return front(diary.context)


def said(view: Any) -> list[str]:
    rows = [row.door for row in view.today]
    doors = [line for door in (*rows, *view.doors) for line in (door.word, door.line)]
    card = [] if view.card is None else lines_of([view.card])
    found = [view.heading, *card, *view.lines, *doors, view.written]
    return [line for line in found if line]


def check(diary: Any) -> tuple[str, ...]:
    """The lines, those that are doors with the others, once the whole page was held to the wording
    rules."""
    view = front_view(seen(diary), content)
    assert faults(said(view)) == []
    assert len({(door.name, door.side) for door in view.doors}) == len(view.doors)
    return lines(view)


def lines(view: Any) -> tuple[str, ...]:
    """Sentences, and what today holds, each row in one line."""
    rows = (row.door for row in view.today if row.door.name != "card")
    return (*view.lines, *(f"{door.word} / {door.line}".removesuffix(" / ") for door in rows))


def states(view: Any) -> dict[str, str]:
    """How each row stands, by its door."""
    return {row.door.name: row.state for row in view.today}


def test_a_plain_day(keep: Any) -> None:
    diary = keep()
    routine, page_line = check(diary)
    assert routine.startswith("Your knee routine / About ")
    assert routine.endswith(" minutes")
    assert page_line == "Day page / Two minutes: pain and your day"
    assert states(front_view(seen(diary), content)) == {"routine": "next", "day": "open"}


@pytest.mark.parametrize(("on_for_hours", "shown"), [(3, True), (40, False)])
def test_a_helper_is_to_look_at_the_skin_while_tape_stays_on(
    keep: Any, on_for_hours: int, shown: bool
) -> None:
    """Numb feet: daily look by helper (fact: cautions_acted_on). Tape due off comes off instead."""
    line = "Have your helper look at the skin round the tape today."
    on = tape_on(at(10) - timedelta(hours=on_for_hours))
    numb = taught_plan(cautions=answered("numb_feet", allowed=True))
    for plan, wanted in ((numb, shown), (taught_plan(), False)):
        diary = keep(on, plan=plan)
        check(diary)
        assert (line in front_view(seen(diary), content).lines) == wanted


def test_tape_that_comes_off_this_evening(keep: Any) -> None:
    """A first wear is due after 24 h; 23:00 comes forward to 21:00 of that evening."""
    told = check(keep(tape_on(at(9, 23))))
    assert told[0].startswith("Your exercises / About ")
    assert told[-1] == "Your tape comes off this evening at 21:00."


@pytest.mark.parametrize(
    ("put_on", "line"),
    [
        (at(9, 12), "Your tape is due off now."),
        (at(5, 12), "Your tape has been on too long, over 120 hours. Take it off now."),
    ],
)
def test_tape_that_is_due_comes_first(put_on: datetime, line: str, keep: Any) -> None:
    assert check(keep(tape_on(put_on)))[0] == line


def test_a_missed_day_is_an_open_page_and_no_reproach(keep: Any) -> None:
    diary = keep(page(8), session(8, 7, 3, full_list=True), plan=taught_plan(NO_TAPE))
    told = check(diary)
    assert told[-1] == "Day page / Two minutes: pain and your day"
    whole = " ".join(said(front_view(seen(diary), content))).lower()
    assert not {"missed", "late", "overdue", "forgot"} & set(whole.split())


def test_after_a_week_away(keep: Any) -> None:
    diary = keep(page(2), session(2, 7, 3, full_list=True), plan=taught_plan(NO_TAPE))
    away, routine, *_ = check(diary)
    assert away == "Nothing was written for 8 days. Start again as usual: all is kept."
    assert routine.startswith("Your knee routine / About")
    assert last_written(seen(diary)).startswith("Last written down: Wednesday 4 March, ")


def test_what_was_written_after_midnight_has_the_day_of_its_clock_time(keep: Any) -> None:
    """The diary's day ends at 03:00; a time of day is told with the day of the calendar."""
    late = session(8, 7, 3, written_at=at(9, 1, 24))
    told = last_written(seen(keep(late, plan=taught_plan(NO_TAPE), clock=HandClock(at(9, 10)))))
    assert told == "Last written down: Wednesday 11 March, 01:24."
    told = last_written(seen(keep(late, plan=taught_plan(NO_TAPE), clock=HandClock(at(9, 2)))))
    assert told == "Last written down: today, 01:24."


def test_past_the_review_day_it_is_said_even_on_a_full_day(keep: Any) -> None:
    diary = keep(
        page(50), tape_on(at(56, 23)), warning(56, "lump", "call"), clock=HandClock(at(57))
    )
    told = check(diary)
    line = "Your plan was due for review on 27 April 2026. / Ask your clinic for a visit"
    assert line in told


def test_under_a_lock_the_card_comes_first_and_nothing_else_is_due(keep: Any) -> None:
    plan = taught_plan(contacts=(Contact(role="doctor", label="Dr Quay", number="555 0123"),))
    diary = keep(warning(9, "knee_stuck"), plan=plan)
    told = check(diary)
    assert "Your exercises / Not now: first follow the card" in told
    view = front_view(seen(diary), content)
    assert view.card is not None
    assert view.card.level == "today"
    assert "555 0123" in [phone.number for phone in view.card.phones]
    assert (view.today[0].door.name, view.today[0].state) == ("card", "open")
    assert "next" not in states(view).values(), "the card leads"
    names = {door.name for door in view.doors}
    assert {"tape", "record", "visit"} <= names, "never locked"
    assert states(view)["day"] == "open"


def test_a_call_sign_is_said_and_what_is_open_stays(keep: Any) -> None:
    """The card above says whom to call and by when; the lines invite to nothing it closes."""
    told = check(keep(warning(9, "lump", "call")))
    assert told[0].startswith("Your exercises / About ")
    assert told[0].endswith(", without what is closed")
    both = check(keep(warning(9, "knee_stuck"), warning(9, "lump", "call")))
    assert "Call your clinic too, about the other card." in both


def test_under_a_card_the_routine_is_as_long_as_what_it_leaves_open(keep: Any) -> None:
    """The door said 20 minutes under a card that closes half of them."""
    plan = taught_plan(NO_TAPE)
    whole = seen(keep(plan=plan)).knees[0].minutes
    found = seen(keep(warning(9, "gives_way_worse", "call"), plan=plan))
    left = found.knees[0]
    assert left.shortened
    assert left.minutes < whole
    view = front_view(found, content)
    said = f"about {left.minutes} minutes, without what is closed"
    assert f"Your knee routine / {said.capitalize()}" in lines(view)


def test_without_a_plan_the_page_asks_for_it(keep: Any) -> None:
    found = seen(keep(with_plan=False))
    view = front_view(found, content)
    assert view.doors[0].name == "plan"
    assert not {"routine", "day", "record", "visit"} & {door.name for door in view.doors}
    assert faults(said(view)) == []
    assert view.written == ""


def test_when_all_is_done(keep: Any) -> None:
    did = (StepDone(step="sit_to_stand", outcome="done"),)
    held = session(10, 7, 3, full_list=True, exercises=did)
    diary = keep(page(9), page(10), held, plan=taught_plan(NO_TAPE))
    told = check(diary)
    assert told == ("Your knee routine / Done today", "Day page / Written for today")
    assert set(states(front_view(seen(diary), content)).values()) == {"done"}


def test_skin_to_look_at_says_when(keep: Any) -> None:
    diary = keep(tape_on(at(8)), tape_off(at(10, 17, 45)))
    assert check(diary)[0] == "Look at the skin again at 18:15."
    diary.clock.pass_by(minutes=20)
    assert check(diary)[0] == "Look at the skin again."


def test_a_patch_test_to_read(keep: Any) -> None:
    diary = keep(patch_test(at(9, 12)), plan=taught_plan({"patch_test": "at_home"}))
    assert "Look at the skin under the test piece today." in check(diary)


def test_two_knees_are_told_apart(keep: Any) -> None:
    diary = keep(tape_on(at(9, 23), side="left"), plan=taught_plan(**BOTH))
    told = check(diary)
    assert any("on your left knee" in line for line in told)
    (routine,) = (line for line in told if line.startswith("Your knee routine / Right knee: about"))
    assert "; Left knee: about " in routine
    view = front_view(seen(diary), content)
    assert view.above == "Both knees"
    assert next(row.door for row in view.today if row.door.name == "routine").side is None
    for knee_today in seen(diary).knees:
        for room in ("routine", "tape", "day"):
            line = room_line(seen(diary), knee_today.side, room)
            assert line
            assert not BANNED.search(line)


def test_what_is_the_same_for_both_knees_is_said_once(keep: Any) -> None:
    told = check(keep(plan=taught_plan(**BOTH)))
    assert sum("knee routine" in line for line in told) == 1
    assert told[0].endswith("for each knee")


def test_the_page_of_one_knee_that_is_left_is_no_page_on_a_knee(keep: Any) -> None:
    told = check(keep(page(10, side="right"), plan=taught_plan(**BOTH)))
    assert told[-1] == "Day page for your left knee / Two minutes: pain and your day"


def test_a_routine_under_way_can_be_gone_on_with(keep: Any) -> None:
    diary = keep()
    walk_on(diary.context, RoutineWalk(), until="depth")
    view = front_view(seen(diary), content)
    assert states(view) == {"routine": "next", "day": "open"}
    assert check(diary)[0] == "You began the routine. Go on where you left it."


def test_a_practice_plan_is_marked(keep: Any) -> None:
    assert front_view(seen(keep()), content).mark == "Practice plan: not for a real knee"


@pytest.mark.parametrize("side", ["right", "both"])
@pytest.mark.parametrize(
    ("what", "number", "line", "tape_door"),
    [
        (
            "bare",
            0,
            "Today is a bare day in your tape trial{}: no tape. Look here again in the morning.",
            "No tape today",
        ),
        (
            "no_tape",
            2,
            "Today is no-tape day 2 of 3{}. The hands-on part rests too.",
            "No tape today",
        ),
        (
            "tape",
            1,
            "Today is tape day 1 of 3{}. Open Tape to put it on.",
            "Tape day 1 of 3. Put it on",
        ),
    ],
)
def test_a_day_of_the_tape_trial(
    side: str, what: str, number: int, line: str, tape_door: str, keep: Any
) -> None:
    plan = taught_plan(side=side, trial=trial_of())
    diary = keep(plan=plan, clock=HandClock(at(first(what, number), 9)))
    told = check(diary)
    where = " on your right knee" if side == "both" else ""
    assert told[0].startswith(line.format(where))
    doors = {door.name: door.line for door in front_view(seen(diary), content).doors}
    assert doors["tape"] == tape_door
    as_you_are = "As you are: tape goes by the trial"
    assert (doors["outing"] == as_you_are) == (side == "right")


def test_no_page_says_what_comes_later_in_the_trial(keep: Any) -> None:
    """Nothing is said before the first day; and two orders cannot be told apart on it."""
    before = taught_plan(trial=trial_of(at(11).date()))
    assert not [line for line in check(keep(plan=before)) if "tape" in line]
    pages = set()
    for seed in ("quay 4", "quay 5", "quay 6", "quay 7"):
        trial = trial_of(at(10).date(), seed=seed)
        diary = keep(plan=taught_plan(trial=trial), clock=HandClock(at(10)))
        pages.add(tuple(said(front_view(seen(diary), content))))
    assert len({trial_of(seed=seed).schedule_sha256 for seed in ("quay 4", "quay 5")}) == 2
    assert len(pages) == 1


def test_every_standing_of_the_trial_has_a_plain_line(keep: Any) -> None:
    assert set(get_args(TrialStanding)) <= set(TRIAL_LINES)
    day = first("tape", 2)
    found = seen(keep(plan=taught_plan(trial=trial_of()), clock=HandClock(at(day, 9))))
    (thing,) = (one for one in found.open if one.trial is not None)
    assert thing.trial is not None
    for standing in get_args(TrialStanding):
        told = replace(thing, trial=replace(thing.trial, standing=standing))
        words = lines(front_view(replace(found, open=(told,)), content))
        assert faults(words) == []
        assert len(set(words)) == len(words)


def test_what_is_open_is_never_crowded_out(keep: Any) -> None:
    diary = keep(
        tape_on(at(9, 23), side="left"),
        tape_on(at(9, 23)),
        warning(9, "lump", "call"),
        plan=taught_plan(**BOTH),
    )
    told = check(diary)
    assert [line for line in told if line.startswith("Your tape on your")] == [
        "Your tape on your right knee comes off this evening at 21:00.",
        "Your tape on your left knee comes off this evening at 21:00.",
    ]


@pytest.mark.parametrize(
    ("today", "word"),
    [
        (48, None),
        (49, "Your visit is planned by Monday 27 April. / See what to bring"),
        (55, "Your visit is planned by Monday 27 April. / That is tomorrow. See what to bring"),
        (56, "Your visit is planned by Monday 27 April. / That is today. See what to bring"),
    ],
)
def test_the_visit_is_among_what_today_holds_in_its_last_week(
    today: int, word: str | None, keep: Any
) -> None:
    view = front_view(seen(keep(clock=HandClock(at(today)))), content)
    assert states(view).get("visit") == (None if word is None else "told")
    assert word in (None, *lines(view))
    door = next(door for door in view.doors if door.name == "visit")
    assert door.line == "By 27 Apr, 2026", "its day is never out of sight"


def test_one_thing_at_most_is_large_and_it_is_the_first_that_is_to_do(keep: Any) -> None:
    diary = keep(tape_on(at(5, 12)))
    rows = front_view(seen(diary), content).today
    assert [row.state for row in rows].count("next") == 1
    assert rows[0].state == "next"
    assert rows[0].door.word == "Your tape has been on too long, over 120 hours. Take it off now."
    diary = keep(page(10), session(8, 7, 3, full_list=True), plan=taught_plan(NO_TAPE))
    assert states(front_view(seen(diary), content)) == {"routine": "next", "day": "done"}


def test_who_is_here_stands_on_the_page_and_over_it_while_a_helper_is(keep: Any) -> None:
    found = seen(keep())
    for helping, words, above in (
        (False, "Who is here: you", "Right knee"),
        (True, "Who is here: a helper", "Right knee · a helper is here"),
    ):
        view = front_view(found, content, helping=helping)
        assert [door.word for door in view.doors if door.name == "who"] == [words]
        assert view.above == above


@pytest.mark.parametrize(
    ("when", "words"),
    [
        (at(10, 21), "this evening at 21:00"),
        (at(10, 19, 30), "this evening at 19:30"),
        (at(11, 9), "tomorrow at 09:00"),
        (at(13, 20), "Sunday at 20:00"),
        (at(17, 20), "Thursday 19 March at 20:00"),
    ],
)
def test_a_coming_time_in_words(when: datetime, words: str) -> None:
    assert when_words(when, at(10, 18)) == words


def test_saved_is_said_as_the_design_says_it() -> None:
    assert written_down(at(8, 19, 42)) == "Written down, Tuesday 19:42."
