"""An ordinary evening of somebody who knows it, counted from the gate to what is written down.

All four answers of the gate are no, the mark is reached in one round, every step is known and the
day page is no full one. Each page is read once, its lines at the stated rate and a press for each
answer (facts: reading_words_a_minute, seconds_a_press); of steps that are known the names are read.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from functools import cache
from typing import Any, NamedTuple

from companion.app.demo import read_diary
from companion.care.flow import Given, WalkPage
from companion.care.known_steps import steps_of
from companion.care.records import DayPage, Session
from companion.care.routine import KnownStepsPage, MovePage, QuickStepPage
from companion.presentation.home.walk_pages import ViewContext, page_view
from companion.presentation.view.page import (
    ASKING,
    Callout,
    DefinitionList,
    Folded,
    PageView,
)
from companion.services.day_page import DayWalk
from companion.services.routine import RoutineWalk
from companion.services.walks import WalkKind, WalkStep, begin, give
from companion.system.resources import demo_profiles
from tests.builders import at
from tests.care.content import CATALOGUE
from tests.presentation.wording import lines_of
from tests.services.context_for_tests import HandClock
from tests.services.offered import in_memory
from tests.steady import steady

FACTS = {fact.id: fact.value for fact in CATALOGUE.facts.rows}
MOST_SECONDS = 4 * 60


class Evening(NamedTuple):
    """What was seen and pressed, and what was written down."""

    pages: tuple[WalkPage, ...]
    presses: int
    words: int
    entries: tuple[Any, ...]

    @property
    def seconds(self) -> float:
        """How long reading and pressing take."""
        rate, press = (
            float(FACTS[name] or 0) for name in ("reading_words_a_minute", "seconds_a_press")
        )
        return self.words * 60 / rate + self.presses * press


def _answer(page: WalkPage) -> Given:
    if isinstance(page, MovePage):
        return {"score": 6 if page.role == "before" else 2, "same_depth": True, "depth": "as_plan"}
    return steady(page)


@cache
def evening(walk: type[WalkKind[Any, Any]]) -> Evening:
    """The evening after the diary of the demo person Edda ends, her review not yet near."""
    diary = read_diary(demo_profiles() / "edda" / "diary.homeknee")
    day = max(entry.for_day for entry in diary.entries) + timedelta(days=1)
    plan = replace(diary.plan, review_on=day + timedelta(days=60), sign_off=None)
    context = in_memory(HandClock(at(day, 18)), diary.entries, plan)
    kind = walk()
    outcome = begin(context, kind, "right")
    pages: list[WalkPage] = []
    presses = words = 0
    while isinstance(outcome, WalkStep):
        page = outcome.page
        assert not isinstance(page, QuickStepPage)
        pages.append(page)
        view = page_view(page, ViewContext(plan=plan, side="right", catalogue=CATALOGUE))
        presses += _presses(view) + isinstance(page, KnownStepsPage)  # Start, and all of it done
        words += sum(len(line.split()) for line in dict.fromkeys(_read(view, page)))
        outcome = give(context, kind, outcome, _answer(page))
    assert not outcome.tells, "what was looked over is what is written: no page says it again"
    return Evening(tuple(pages), presses, words, outcome.entries)


def _presses(view: PageView) -> int:
    """One for each answer that is needed, and one to go on."""
    asked = (one for one in view.blocks if isinstance(one, ASKING))
    return 1 + len([one for one in asked if getattr(one, "needed", True)])


def _read(view: PageView, page: WalkPage) -> Iterator[str]:
    """The lines somebody reads who knows the steps: of these their names, of what is looked over
    the values; not what is folded away or stands there to be looked up."""
    yield view.heading
    for block in view.blocks:
        if isinstance(page, KnownStepsPage) and isinstance(block, DefinitionList):
            yield from (name for name, _ in block.rows)
        elif not isinstance(block, Folded | Callout):
            yield from lines_of((block,))


def test_an_ordinary_evening_is_ten_pages_at_most() -> None:
    routine = evening(RoutineWalk)
    keys = [page.key for page in routine.pages]
    assert keys == [
        *("gate", "rest_pain", "move:before:1", "zones:move:before:1", "steps:1:1"),
        *("move:after_hands:1", "zones:move:after_hands:1", "exercises:1", "look_over"),
    ]
    (session,) = routine.entries
    assert isinstance(session, Session)
    assert len(session.gate_replies) == 4
    assert {step.outcome for step in steps_of(session)} == {"done"}


def test_its_day_page_is_three_at_most() -> None:
    day = evening(DayWalk)
    assert [page.key for page in day.pages] == ["pains", "rest", "look_over"]
    (written,) = day.entries
    assert isinstance(written, DayPage)
    assert (written.pain_average, written.pain_worst, written.medicine) == (3, 5, False)


def test_from_the_gate_to_what_is_written_reading_and_pressing_take_under_four_minutes() -> None:
    routine, day = evening(RoutineWalk), evening(DayWalk)
    for what in (routine, day):
        print(f"{len(what.pages)} pages, {what.presses} presses, {what.words} words", end=", ")
        print(f"{what.seconds:.0f} s")
    assert routine.seconds < MOST_SECONDS
    assert day.seconds < MOST_SECONDS / 4
