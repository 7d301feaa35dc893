"""What is told of a day that is over: every page says the day, and none asks how things are now.

The answers are kept under that day, so a question about now would write down what is not true.
"""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from functools import partial

import pytest

from companion.care.clearing import MistakePage
from companion.care.day_answers import RowOffer
from companion.care.day_questions import DayStart, WorstBelowAveragePage, day_walk
from companion.care.flow import Given, WalkPage
from companion.care.outing_questions import (
    KneeAfterStart,
    OutingAfterStart,
    TapeStillOnPage,
    outing_after_walk,
)
from companion.care.records import Amount, AmountPlan
from companion.care.stopping import CardPage, GatePage, NoneTickedPage
from companion.presentation.home.walk_pages import ViewContext, about, page_view
from companion.presentation.language.phrases import long_day
from companion.presentation.view.page import Callout, Choose, Number, PageView, Scale, Write
from companion.services.day_page import DayWalk
from companion.services.outing import OutingAfterWalk, OutingWalk
from companion.services.walk_kinds import WALK_KINDS
from companion.services.walks import WalkStep
from tests.builders import DAY, at
from tests.care.walking import CATALOGUE, any_answer, chooser, taught_plan, walked
from tests.presentation.wording import lines
from tests.services.conftest import Keep
from tests.services.context_for_tests import answer_by, walk_on

OF_NOW = re.compile(
    r"\b(now|today|tonight|at the moment|this (morning|evening)|last night|yesterday)\b",
    re.IGNORECASE,
)
START = DayStart(
    side="right",
    form="full",
    taped=True,
    past=True,
    measure="now",
    activities=("Climb the harbour steps",),
    amounts=(AmountPlan(label="Walk", unit="min", baseline=10, goal=40),),
    offers=(
        RowOffer(answer="worst", at_least=1, usual=None, signs=("rest_or_night_pain",)),
        RowOffer(answer="swelling", at_least=1, usual=None, signs=("rest_or_night_pain",)),
    ),
)
TOLD = OutingAfterStart(
    outing="0" * 32,
    day=DAY,
    what_for="Walk",
    meant=Amount(label="Walk", unit="min", amount=20),
    label="Walk",
    unit="min",
    knees=(KneeAfterStart(side="right", taped=True, tape_now="for_outing"),),
)
SHOWS_ONLY = (WorstBelowAveragePage, CardPage, MistakePage, NoneTickedPage)
"""A card, and whether it was a slip, is about now, whatever day led to it."""
OF_NO_DAY = ("private",)
"""Questions about the page itself."""


def _answer(choose: object, page: WalkPage) -> Given:
    return any_answer(page, choose)  # type: ignore[arg-type]


def _pages() -> Iterator[WalkPage]:
    for seed in range(12):
        answer = partial(_answer, chooser(seed))
        yield from walked(lambda: day_walk(START, CATALOGUE), answer)[0]
        yield from walked(lambda: outing_after_walk(TOLD), answer)[0]


def _shown(page: WalkPage) -> PageView:
    late = DAY + timedelta(days=2)
    above = about("day", "right", DAY, late)
    setting = ViewContext(
        plan=taught_plan(), side="right", catalogue=CATALOGUE, day=DAY, about=above
    )
    return page_view(page, setting)


def _questions(view: PageView) -> Iterator[str]:
    for block in view.blocks:
        if isinstance(block, Choose | Scale | Number | Write) and block.name not in OF_NO_DAY:
            yield block.question


def test_every_late_page_says_its_day_and_asks_nothing_of_now() -> None:
    faults: set[str] = set()
    met: set[type] = set()
    for page in _pages():
        if isinstance(page, SHOWS_ONLY):
            continue
        met.add(type(page))
        view = _shown(page)
        day = long_day(DAY)
        name = type(page).__name__
        # What to do about tape that is on is no question.
        told = replace(view, blocks=tuple(b for b in view.blocks if not isinstance(b, Callout)))
        faults |= {f"{name}: {said}" for said in lines(told) if OF_NOW.search(said)}
        if day not in view.heading:
            faults |= {f"{name}, no day: {asked}" for asked in _questions(view) if day not in asked}
        if day not in " ".join((view.above, *lines(view))):
            faults.add(f"{name} says no day")
    assert len(met) >= 12
    assert not faults
    assert TapeStillOnPage not in met


def test_a_walk_told_late_hands_its_day_to_the_page(keep: Keep) -> None:
    """The outing of yesterday is about yesterday, whenever its telling was begun."""
    kept = keep(plan=taught_plan())
    going = {
        "what_for:1": {"what": "1"},
        "tape_for_outing": {"tape": "no"},
        "look_over": {"going": "yes"},
    }
    walk_on(kept.context, OutingWalk(), answer=answer_by(going))
    day = kept.clock.today()
    kept.clock.pass_by(days=1)
    told = walk_on(kept.context, OutingAfterWalk(), until="why_ended")
    assert isinstance(told, WalkStep)
    assert WALK_KINDS["outing_after"].told_day(told.state) == day


def test_a_page_begun_today_asks_nothing_of_now_once_its_day_is_over(keep: Keep) -> None:
    kept = keep(plan=taught_plan(measure="now"))
    step = walk_on(kept.context, DayWalk(), until="worst")
    assert isinstance(step, WalkStep)
    day = step.state.for_day
    kept.clock.pass_by(days=1)
    after = walk_on(kept.context, DayWalk(), for_day=day, until="look_over")
    assert isinstance(after, WalkStep)
    assert "now" not in [answer.page for answer in after.state.answers]


@pytest.mark.parametrize("day", [None, DAY])
def test_what_is_asked_today_is_asked_of_today(day: object) -> None:
    setting = ViewContext(plan=taught_plan(), side="right", catalogue=CATALOGUE)
    shown = replace(setting, day=DAY) if day else setting
    said = shown.asked("Is the knee swollen today?", "Was the knee swollen?")
    expected = f"On {long_day(DAY)}: was the knee swollen?" if day else "Is the knee swollen today?"
    assert said == expected


@pytest.mark.parametrize(
    ("days", "said"),
    [(1, "Monday’s routine"), (6, "Monday’s routine"), (7, "your routine on Monday 2 March")],
)
def test_the_gate_says_which_routine_it_asks_about(days: int, said: str) -> None:
    setting = ViewContext(
        plan=taught_plan(), side="right", catalogue=CATALOGUE, now=at(DAY + timedelta(days=days))
    )
    view = page_view(GatePage(after_last=True, last_day=DAY), setting)
    (asked,) = (b for b in view.blocks if isinstance(b, Choose) and b.name == "after_last")
    assert f" after {said}, " in asked.question
