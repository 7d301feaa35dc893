"""The small pages round the walks, in words."""

from dataclasses import replace
from typing import Any, get_args

import pytest

from companion.care.clearing import Became, ClearEnd
from companion.care.day_questions import DayEnd
from companion.care.records import AnsweredSign, Diary, KnownSign, OpenSignSaid, Question, Told
from companion.care.routine import RoutineEnd
from companion.care.tape_applications import WearClock, current_application, wear_clock
from companion.care.taping import SkinEnd, TapeCheckEnd, TapeOffEnd, TapeOnEnd
from companion.exchange.taking_in import Preview
from companion.presentation.home.home_pages import (
    day_choice_view,
    finished_view,
    knee_choice_view,
    not_saved_view,
    notice_view,
    plan_preview_view,
    question_view,
    tape_room_view,
    visit_view,
)
from companion.presentation.home.settings_pages import merge_view
from companion.presentation.home.walk_pages import ViewContext
from companion.presentation.language.open_sign_words import home_answers
from companion.presentation.view.page import ActionList, Choose, PageView
from companion.wire.sign_off import signed
from tests.builders import DAY, at, page, tape_on
from tests.care.asking import asked
from tests.care.test_trial_days import trial_of
from tests.care.walking import CATALOGUE, taught_plan
from tests.presentation.wording import faults, lines

ASKED = Question(
    id="0" * 32,
    for_day=at(1).date(),
    written_at=at(1),
    written_by="person",
    plan_version=1,
    text="Is a stick of use?",
)
MERGED = Preview(new=(ASKED,))
ANSWERED = replace(
    taught_plan(),
    open_signs=tuple(
        AnsweredSign(
            warning=f"{number}" * 32,
            sign=sign,
            since=at(1).date(),
            sides=("right",),
            answer=answer,
        )
        for number, (sign, answer) in enumerate(
            zip(
                ("knee_stuck", "swollen_days", "sore_calf", "lump"),
                get_args(OpenSignSaid),
                strict=True,
            )
        )
    ),
)
SETTING = ViewContext(plan=taught_plan(), side="right", catalogue=CATALOGUE)
NOW = at(10)


def worn(put_on: Any) -> WearClock:
    wear = current_application([tape_on(put_on)], "right")
    assert wear is not None
    assert NOW.tzinfo is not None
    return wear_clock(wear, taught_plan(), NOW, NOW.tzinfo)


def finished(end: Any, wear: WearClock | None = None) -> PageView:
    return finished_view(end, NOW, SETTING, wears={} if wear is None else {"right": wear}, now=NOW)


ENDS = {
    "routine": RoutineEnd(ended="finished", reason="target_met", rest_pain=2),
    "routine, card": RoutineEnd(ended="stopped", reason="card"),
    "day": DayEnd(pain_average=3),
    "day, empty": DayEnd(),
    "tape on": TapeOnEnd(put_on=True, signs=(), signs_over=()),
    "tape not on": TapeOnEnd(put_on=False, signs=(), signs_over=()),
    "check": TapeCheckEnd(off=False),
    "check, off": TapeCheckEnd(off=True),
    "tape off": TapeOffEnd(off="now", off_day=None, hour=None, skin="clear", signs=()),
    "tape off earlier": TapeOffEnd(off="earlier", off_day="today", hour=9, skin="clear", signs=()),
    "skin clear": SkinEnd(skin="clear", signs=()),
    "skin red": SkinEnd(skin="red", signs=()),
    **{
        f"card, {end.how or end.told}": ClearEnd(sign=asked(sign), became=end)
        for sign in ("knee_stuck", "lump")
        for end in (
            Became(),
            Became(how="ticked_by_mistake"),
            *(Became(told=said, parts=("hands",), by="clinic") for said in get_args(Told)),
        )
    },
}


@pytest.mark.parametrize("name", ENDS)
def test_every_end_says_what_was_written_in_words_that_can_be_read(name: str) -> None:
    view = finished(ENDS[name])
    assert faults(lines(view)) == []
    assert view.main is not None
    assert not view.back
    nothing = {"day, empty", "tape not on", "check"}
    open_still = name.startswith("card") and not name.endswith(("all", "ticked_by_mistake"))
    said = "Written down, Thursday 18:00."
    assert (view.heading == said) == (name not in nothing and not open_still)


@pytest.mark.parametrize(
    ("put_on", "words"),
    [
        (at(10, 17), "It comes off tomorrow at 17:00. Write that day on the tape."),
        (at(9, 23), "It comes off this evening at 21:00."),
        (at(9, 12), "It is due off now. Take it off."),
        (at(4, 12), "It has been on too long, over 120 hours. Take it off now."),
    ],
)
@pytest.mark.parametrize("name", ["routine", "tape on", "check"])
def test_tape_that_is_on_is_told_with_its_time(name: str, put_on: Any, words: str) -> None:
    assert words in lines(finished(ENDS[name], worn(put_on)))
    assert faults(lines(finished(ENDS[name], worn(put_on)))) == []


def test_skin_that_did_not_clear_means_a_call_before_more_tape() -> None:
    for skin in ("red", "itchy", "blister", "broken"):
        said = lines(finished(SkinEnd(skin=skin, signs=())))
        assert "Call your clinic before you tape again." in said


def test_only_tape_that_came_off_just_now_is_looked_at_in_half_an_hour() -> None:
    assert "Look at the skin again in 30 minutes." in lines(finished(ENDS["tape off"]))
    assert "Look at the skin again in 30 minutes." in lines(finished(ENDS["check, off"]))
    assert "30 minutes" not in " ".join(lines(finished(ENDS["tape off earlier"])))


def test_the_pages_round_the_walks_read_easily() -> None:
    today = NOW.date()
    views = [
        knee_choice_view(("left", "right"), {"left": "Done today", "right": "About 12 minutes"}),
        day_choice_view([(today, False), (at(9).date(), True)], today, "Right knee"),
        not_saved_view("The disc is full. Nothing was lost."),
        notice_view("For your visit", "Saved in the folder Visit."),
        question_view(),
        tape_room_view("Right knee", "Off this evening at 21:00"),
        visit_view(Diary(plans=(taught_plan(),), entries=(page(1, note_private=True), ASKED))),
        visit_view(Diary(plans=(taught_plan(),))),
        visit_view(Diary(plans=(taught_plan(),)), not_asked=1),
        visit_view(Diary(plans=(taught_plan(),)), not_asked=20),
        plan_preview_view(taught_plan()),
        plan_preview_view(taught_plan(side="both"), side_changes=("right", "both")),
        plan_preview_view(taught_plan(), comes_with=(tape_on(at(0), written_by="clinic"),)),
        plan_preview_view(taught_plan(), comes_with=(tape_on(at(0)),)),
        plan_preview_view(taught_plan(), of_signs=home_answers(ANSWERED, CATALOGUE)),
        plan_preview_view(taught_plan(trial=trial_of())),
        plan_preview_view(taught_plan(trial=replace(trial_of(), schedule_sha256="0" * 64))),
        merge_view(replace(MERGED, side_changes=("both", "left"))),
    ]
    found = [fault for view in views for fault in faults(lines(view), own_words=("K-07",))]
    assert found == []


def test_a_trial_that_is_not_as_it_was_fixed_is_not_offered_as_one_that_runs() -> None:
    runs, broken = trial_of(), replace(trial_of(), schedule_sha256="0" * 64)
    told = [lines(plan_preview_view(taught_plan(trial=trial))) for trial in (runs, broken)]
    rows = [said[said.index("Tape trial") + 1] for said in told]
    assert rows == ["from 2 March 2026 on, right knee", "not right, ask your clinic"]


def test_which_knee_says_how_each_stands() -> None:
    view = knee_choice_view(("left", "right"), {"left": "Done today"})
    (ways,) = [block for block in view.blocks if isinstance(block, ActionList)]
    assert [(o.value, o.word, o.line) for o in ways.options] == [
        ("left", "Left knee", "Done today"),
        ("right", "Right knee", ""),
    ]


def test_which_day_says_what_is_written_and_what_comes_late() -> None:
    today = NOW.date()
    days = [(today, False), (at(9).date(), True), (at(7).date(), False)]
    view = day_choice_view(days, today, "Right knee")
    (choose,) = [block for block in view.blocks if isinstance(block, Choose)]
    words = [(option.word, option.line) for option in choose.options]
    assert words[0] == ("Today, Thursday 12 March", "")
    assert words[1][0].startswith("Yesterday, ")
    assert "Written already" in words[1][1]
    assert "late" in words[2][1]


def test_what_the_clinic_says_of_open_signs_is_read_before_the_plan_is_taken_in() -> None:
    signed_plan = signed(ANSWERED, "R. Quay", "PH 0412", at(0))
    told = home_answers(signed_plan, CATALOGUE)
    assert len({*told}) == 4 + 1, "and whose wording it is"
    said = lines(plan_preview_view(signed_plan, of_signs=told))
    assert "Your warning signs" in said
    assert {*told} <= {*said}
    assert "Your warning signs" not in lines(plan_preview_view(signed_plan))


def test_a_plan_for_another_knee_is_said_before_it_is_taken_in() -> None:
    plan = signed(taught_plan(side="left", main_side="left"), "R. Quay", "PH 0412", at(0))
    changes = plan_preview_view(plan, side_changes=("right", "left"))
    merges = merge_view(replace(MERGED, side_changes=("right", "left")))
    for view in (changes, merges):
        said = lines(view)
        assert "Your plan so far was for the right knee. The new one is for the left knee." in said
        (asked,) = [block for block in view.blocks if isinstance(block, Choose)]
        assert asked.needed
        assert [option.value for option in asked.options] == ["yes", "no"]
    assert "R. Quay" in lines(changes)
    for view in (plan_preview_view(plan), merge_view(MERGED)):
        assert "Another knee" not in lines(view)


def test_a_plan_with_a_tape_trial_says_from_when_and_nothing_of_its_order() -> None:
    trials = {
        tuple(lines(plan_preview_view(taught_plan(trial=trial_of(seed=seed)))))
        for seed in ("quay 4", "quay 5", "quay 6")
    }
    (said,) = trials
    assert "from 2 March 2026 on, right knee" in said


def test_a_plan_nobody_signed_is_for_looking_round() -> None:
    said = " ".join(lines(plan_preview_view(taught_plan())))
    assert "Not for a real knee." in said
    assert "nobody signed it" in said


def test_the_visit_says_what_is_held_back() -> None:
    view = visit_view(Diary(plans=(taught_plan(),), entries=(page(1, note_private=True), ASKED)))
    assert "1 private note stays here" in lines(view)
    assert "1 day page and 1 question" in lines(view)
    assert "Is a stick of use?" in lines(view)
    assert "nothing yet" in lines(visit_view(Diary(plans=(taught_plan(),))))


def test_a_goal_is_read_back_as_it_was_typed() -> None:
    plan = replace(taught_plan(), goal="To the lighthouse and back")
    view = visit_view(Diary(plans=(plan,)))
    assert "To the lighthouse and back" in lines(view)
    assert KnownSign(sign="gives_way_new", since=DAY) not in plan.known_signs
