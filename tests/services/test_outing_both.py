"""Going out with two knees: one outing, told once, with what each knee had of it.

Each failed before: an outing was of one knee, and whoever chose the other in the evening began a
new one.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from companion.care import outing_questions as going
from companion.care.flow import WalkPage
from companion.care.records import (
    AmountPlan,
    GateAnswer,
    Outing,
    StepDone,
    TapeOff,
    TapeOn,
    WarningSign,
)
from companion.care.stopping import CardPage, GatePage
from companion.care.tape_applications import current_application
from companion.care.taping import NoTapePage, TapeReadyPage
from companion.services.front import expire_left_behind
from companion.services.outing import OutingAfterWalk, OutingMorningWalk, OutingWalk
from companion.services.walks import WalkStep, begin, give
from tests.builders import NOTHING_NEW, at, session, tape_on, warning
from tests.care.content import whole_plan
from tests.care.test_outing_questions import but, going_out, told
from tests.services.context_for_tests import HandClock, Kept
from tests.services.test_outing import TODAY, Answerer, later, of, through, tolerated

WALK = AmountPlan(label="Walk", unit="min", baseline=10.0, goal=30.0)
PLAN = whole_plan(amounts=(WALK,), side="both", main_side="right")
YESTERDAY = TODAY - timedelta(days=1)
DONE = (StepDone(step="straight_leg_raise", outcome="done"),)
BOTH: Mapping[str, Mapping[str, Any]] = {
    "gate": NOTHING_NEW | {f"after_last:{side}": "same" for side in PLAN.sides}
}


@pytest.fixture
def kept(tmp_path: Any) -> Any:
    diary = Kept(tmp_path, PLAN, (tolerated(),), HandClock(at(TODAY, 10)))
    diary.context.journal.append(
        *(
            session(YESTERDAY, 5, 2, full_list=True, side=side, exercises=DONE)
            for side in PLAN.sides
        )
    )
    yield diary
    diary.close()


def answer(**changed: Mapping[str, Any]) -> Answerer:
    """Whoever goes out with both knees, and tells of it, but for these answers."""
    given = {**BOTH, **changed}

    def by(page: WalkPage) -> Mapping[str, Any]:
        match page:
            case going.BothOutingPainPage():
                return {"left": 2, "right": 5}
            case going.BothMorningsPage():
                return given["mornings"]
            case CardPage():
                return {"card": "read"}
        own = told if isinstance(page, _TOLD) else going_out
        return but(own, **given)(page)

    return by


_TOLD = (going.WhyEndedPage, going.AmountDonePage, going.TapeStillOnPage)
NO_TAPE = {f"{side}_tape_for_outing": {"tape": "no"} for side in PLAN.sides}


def went(kept: Kept, **changed: Mapping[str, Any]) -> list[WalkPage]:
    return through(kept.context, OutingWalk(), answer(**changed))[0]


def test_one_outing_with_a_pain_and_a_morning_for_each_knee(kept: Kept) -> None:
    pages = went(kept, **NO_TAPE)
    assert [type(page) for page in pages] == [
        GatePage,
        going.WhatForPage,
        going.AmountMeantPage,
        going.TapeForOutingPage,
        going.TapeForOutingPage,
        going.OutingLookOverPage,
    ]
    assert [page.key for page in pages[3:5]] == [f"{side}:tape_for_outing" for side in PLAN.sides]
    later(kept.context, hours=2)
    pages, _ = through(kept.context, OutingAfterWalk(), answer())
    assert [type(page) for page in pages] == [
        going.WhyEndedPage,
        going.AmountDonePage,
        going.BothOutingPainPage,
        going.OutingAfterLookOverPage,
    ]
    with pytest.raises(LookupError):
        begin(kept.context, OutingAfterWalk(), "left")
    later(kept.context, hours=20)
    mornings = {"left": "as_usual", "right": "more_pain"}
    pages, _ = through(kept.context, OutingMorningWalk(), answer(mornings=mornings))
    assert [type(page) for page in pages] == [going.BothMorningsPage, CardPage]
    (outing,) = of(kept.context, Outing)
    assert {one.side: (one.pain_worst, one.next_morning) for one in outing.knees} == {
        "left": (2, "as_usual"),
        "right": (5, "more_pain"),
    }
    assert [(one.sign, one.sides) for one in of(kept.context, WarningSign)] == [
        ("more_pain_after", ("right",))
    ]
    with pytest.raises(LookupError):
        begin(kept.context, OutingMorningWalk(), "right")


def test_each_knee_has_its_own_tape_and_it_comes_off_by_itself(kept: Kept) -> None:
    went(kept, left_tape_for_outing={"tape": "no"})
    (on,), (outing,) = of(kept.context, TapeOn), of(kept.context, Outing)
    assert (on.side, on.for_outing) == ("right", True)
    assert {one.side: one.tape_on for one in outing.knees} == {"left": None, "right": on.id}
    later(kept.context, hours=3)
    off: dict[str, Mapping[str, Any]] = {
        "right_tape_still_on": {"tape": "off"},
        "right_off_when": {"day": "today", "hour": 12},
        "right_skin": {"skin": "broken"},
    }
    pages, done = through(kept.context, OutingAfterWalk(), answer(**off))
    assert [page.key for page in pages if "tape_still_on" in page.key] == ["right:tape_still_on"]
    (written,) = of(kept.context, TapeOff)
    assert (written.side, written.tape_on, written.skin_at_once) == ("right", on.id, "broken")
    assert [one.sides for one in of(kept.context, WarningSign)] == [("right",)]
    assert current_application(kept.context.entries, "right") is None
    assert {one.side: one.removed is None for one in done.end.knees} == {
        "left": True,
        "right": False,
    }


def test_tape_on_both_is_two_tapes_of_one_outing(kept: Kept) -> None:
    pages = went(kept)
    assert [page.key for page in pages if isinstance(page, TapeReadyPage)] == [
        f"{side}:tape_ready" for side in PLAN.sides
    ]
    tapes = {one.side: one.id for one in of(kept.context, TapeOn)}
    (outing,) = of(kept.context, Outing)
    assert {one.side: one.tape_on for one in outing.knees} == tapes
    assert len(tapes) == 2


def test_killed_between_two_tapes_the_first_is_kept_and_not_put_on_again(kept: Kept) -> None:
    step = begin(kept.context, OutingWalk(), "right")
    by = answer()
    while isinstance(step, WalkStep) and step.page.key != "left:tape_ready":
        step = give(kept.context, OutingWalk(), step, by(step.page))
    again = begin(kept.kill(), OutingWalk(), "right")
    assert isinstance(again, WalkStep)
    assert again.page.key == "left:tape_ready"


def test_a_sign_of_one_knee_is_asked_of_that_knee_and_closes_its_tape_alone(kept: Kept) -> None:
    """Policy rule 14: T of the other knee stays."""
    kept.context.journal.append(warning(YESTERDAY, "skin_broken", "call", sides=("left",)))
    pages = went(kept)
    assert pages[0].key == "left:open:skin_broken"
    assert [page.key for page in pages if isinstance(page, NoTapePage)] == ["left:no_tape"]
    assert [one.side for one in of(kept.context, TapeOn)] == ["right"]
    (kept_open,) = of(kept.context, WarningSign)
    assert kept_open.sides == ("left",)


def test_tape_on_the_knee_the_plan_left_is_checked_and_asked_after(kept: Kept) -> None:
    """It went along unlooked at, and nobody asked afterwards whether it was still on."""
    on = tape_on(at(TODAY, 9), side="left")
    right = replace(PLAN, version=2, side="right", main_side="right")
    kept.context.journal.append(on, plans=(right,))
    said: dict[str, Mapping[str, Any]] = {
        "gate": NOTHING_NEW | {"after_last": "same"},
        "left_tape_check": {"feelings": []},
        "left_tape_still_on": {"tape": "off"},
        "left_off_when": {"day": "today", "hour": 11},
        "left_skin": {"skin": "clear"},
    }
    pages = went(kept, right_tape_for_outing={"tape": "no"}, **said)
    asked = [page.key for page in pages if ":tape_" in page.key]
    assert asked == ["right:tape_for_outing", "left:tape_check"], "no new tape on the left one"
    (outing,) = of(kept.context, Outing)
    assert {one.side: one.tape_on for one in outing.knees} == {"left": on.id, "right": None}
    later(kept.context, hours=3)
    pages, _ = through(kept.context, OutingAfterWalk(), answer(**said))
    assert [page.key for page in pages if "tape_still_on" in page.key] == ["left:tape_still_on"]
    assert current_application(kept.context.entries, "left") is None
    went(kept, tape_for_outing={"tape": "no"}, **said)
    last = max(of(kept.context, Outing), key=lambda one: one.happened_at)
    assert [one.side for one in last.knees] == ["right"]


def test_how_each_knee_took_the_routine_before_is_kept_of_each(kept: Kept) -> None:
    said = {f"after_last:{side}": how for side, how in zip(PLAN.sides, _HOW, strict=True)}
    went(kept, **NO_TAPE, gate=NOTHING_NEW | said)
    gates = of(kept.context, GateAnswer)
    assert {one.side: one.after_last for one in gates} == dict(zip(PLAN.sides, _HOW, strict=True))
    assert {one.gate for one in gates} == {"none"}


_HOW = ("more_gone_2h", "same")


def test_left_lying_what_was_said_of_each_knee_is_kept(kept: Kept) -> None:
    went(kept, **NO_TAPE)
    step = begin(kept.context, OutingAfterWalk(), "left")
    for submitted in ({"because": "pain"}, {"amount": 12}, {"left": 7, "right": None}):
        assert isinstance(step, WalkStep)
        step = give(kept.context, OutingAfterWalk(), step, submitted)
    later(kept.context, hours=24)
    expire_left_behind(kept.context)
    (outing,) = of(kept.context, Outing)
    assert {one.side: one.pain_worst for one in outing.knees} == {"left": 7, "right": None}
