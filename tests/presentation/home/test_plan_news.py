"""What a plan that arrives changes, in at most five lines, and what becomes of what is open."""

from dataclasses import replace
from datetime import UTC, timedelta

from companion.care.open_things import UnderWay, open_things
from companion.presentation.home.home_pages import plan_preview_view
from companion.presentation.home.plan_news import MOST_LINES, becomes_lines, news_lines
from companion.presentation.view.page import Choose
from tests.builders import DAY, at, tape_on
from tests.care.walking import CATALOGUE, EXERCISES, TECHNIQUES, taught_plan
from tests.presentation.wording import faults

OLD = taught_plan(version=1, techniques=TECHNIQUES[:2], exercises=EXERCISES[:2])


def test_what_is_new_gone_and_changed() -> None:
    """A plan with other steps and no tape was taken in without a word of it."""
    first = replace(EXERCISES[0], repeats=EXERCISES[0].repeats + 4)
    new = replace(
        OLD,
        version=2,
        techniques=TECHNIQUES[1:3],
        exercises=(first, EXERCISES[1]),
        tape=replace(OLD.tape, when="never", highest=0),
        exercise_days_a_week=3,
    )
    lines = news_lines(OLD, new, CATALOGUE)
    assert lines[0].startswith("New: ")
    assert lines[1].startswith("Not any more: ")
    assert lines[2:4] == (
        "No new tape any more.",
        "Exercises: now 3 days a week, before 5.",
    )
    assert f"{first.repeats} times" in lines[4]
    assert faults(lines) == []
    assert news_lines(OLD, replace(OLD, version=2), CATALOGUE) == ()


def test_never_more_than_five_lines() -> None:
    doubled = tuple(replace(one, repeats=one.repeats * 2) for one in EXERCISES)
    old = replace(OLD, exercises=EXERCISES, techniques=TECHNIQUES)
    new = replace(old, exercises=doubled, hands_days_a_week=2, exercise_days_a_week=2)
    lines = news_lines(old, new, CATALOGUE)
    assert len(lines) == MOST_LINES
    assert lines[-1] == "There is more. Your clinic can show you all of it."


def test_what_becomes_of_tape_and_of_a_half_routine_is_said_and_agreed_to() -> None:
    now = at(3, 12)
    things = open_things(
        OLD,
        (tape_on(at(3, 9)),),
        today=DAY + timedelta(days=3),
        now=now,
        zone=UTC,
        policy=CATALOGUE.policy,
        under_way=(UnderWay("routine", "right", DAY + timedelta(days=3)),),
    )
    bare = replace(OLD, tape=replace(OLD.tape, when="never", highest=0))
    left = replace(OLD, side="left", main_side="left")
    said = {
        plan.side + plan.tape.when: becomes_lines(plan, things, now) for plan in (OLD, bare, left)
    }
    stays, goes, other = (lines[-1] for lines in said.values())
    assert stays == "The tape on your right knee stays on. It comes off tomorrow at 09:00."
    no_new = "The tape on your right knee may stay on until tomorrow at 09:00. Then no new one."
    assert goes == other == no_new
    assert said["rightnever"][0] == "The routine you began is finished by the plan so far."
    assert all(faults(lines) == [] for lines in said.values())
    asks = [
        block.name
        for block in plan_preview_view(bare, news=(), becomes=said["rightnever"]).blocks
        if isinstance(block, Choose)
    ]
    assert asks == ["becomes"]
