"""A real window on a real screen takes a whole session by keyboard alone, and survives a kill.

The program runs as a process of its own and is watched through its store alone: the answers that
are on disk say which page is shown, since a walk is replayed from them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest

from companion.care.flow import Paused, replay
from companion.care.records import AnyEntry, Plan, Session, TapeOn
from companion.care.routine import RoutineStart
from companion.exchange.files import read
from companion.journal.store import Journal
from companion.presentation.home.walk_pages import ViewContext, page_view
from companion.presentation.view.page import (
    Choose,
    Counting,
    KneeTick,
    PageView,
    Scale,
    Value,
)
from companion.services.context import Context
from companion.services.routine import RoutineWalk
from companion.services.walks import WalkState, load
from companion.system.clock import PinnedClock
from companion.system.resources import demo_profiles, resource
from companion.wire.catalogue_reading import read_catalogue
from tests.e2e.running import ended, wait_for
from tests.e2e.screen import Keyboard, demo_window, screen
from tests.tour_visit import blocks_of

PERSON = "edda"
Routine = WalkState[RoutineStart]
CATALOGUE = read_catalogue(resource())

ANSWERS: dict[str, Value] = {
    **dict.fromkeys(("q1", "q2", "q3", "q4", "q5"), "no"),
    "after_last": "same",
    "depth": "as_plan",
    "same_depth": True,
    "skin": "clear",
    "clean": "yes",
    "reach": "alone",
    "by": "person",
}


@pytest.fixture(scope="module")
def keyboard() -> Iterator[Keyboard]:
    """The keyboard of a screen of its own."""
    with screen() as made:
        yield made


@dataclass
class Watched:
    """A store that a running window writes to, read from outside."""

    folder: Path

    def state(self) -> Routine | None:
        """The routine under way as it is on disk, None when none is."""
        with self._open() as journal:
            context = Context(
                journal=journal, clock=PinnedClock(date(2026, 1, 5)), catalogue=CATALOGUE
            )
            return load(context, RoutineWalk(), "right")

    def shown(self, state: Routine) -> PageView:
        """The page that the answers on disk lead to."""
        with self._open() as journal:
            clock = PinnedClock(state.for_day)
            context = Context(journal=journal, clock=clock, catalogue=CATALOGUE)
            position = replay(lambda: RoutineWalk().walk(context, state), state.answers)
            assert isinstance(position, Paused)
            setting = ViewContext(plan=state.plan, side=state.side, catalogue=CATALOGUE)
            return page_view(position.page, setting)

    def entries(self) -> tuple[AnyEntry, ...]:
        """Everything that is written down."""
        with self._open() as journal:
            return journal.entries()

    def session(self, state: Routine) -> Session:
        """The session of the routine that was under way."""
        written = [
            entry
            for entry in self.entries()
            if isinstance(entry, Session) and entry.happened_at == state.begun_at
        ]
        assert len(written) == 1
        return written[0]

    def _open(self) -> Journal:
        return Journal.open(self.folder, PinnedClock(date(2000, 1, 3)), read_only=True)


def read_plan() -> Plan:
    """The demo person's plan."""
    plan = read(demo_profiles() / PERSON / "plan.homeknee").plan
    assert plan is not None
    return plan


def keys_for(view: PageView, scores: Iterator[int]) -> list[str]:
    """The keys that answer a page, beginning with the focus on its heading.

    Tab goes from question to question; a digit answers the one that has the focus, and from
    anywhere when it is the only one. The stop list is left by its button, reached with Tab.
    """
    keys: list[str] = []
    for block in blocks_of(view):
        match block:
            case Choose(name, _, options):
                values = [option.value for option in options]
                keys += ["Tab", str(values.index(ANSWERS[name]) + 1)]
            case Scale("score"):
                keys += ["Tab", str(next(scores) if view.key.startswith("move") else 2)]
            case KneeTick():
                keys += ["Tab", "Tab", "space"]  # the picture stands before the places in words
            case _:  # what may be left out is left out, and on no page it stands before the rest
                pass
    # Backwards from the heading come Stop, Help, Leave for now, Back and then the main button.
    back = ["shift+Tab"] * (3 + view.stop + view.back)
    leave = [*back, "space"]
    if any(isinstance(block, Counting) for block in view.blocks):
        # Nobody waits here for the clock; before the main button stand the other ways on.
        ways = [other.text for other in view.others]
        return back + ["shift+Tab"] * (len(ways) - ways.index("Already done")) + ["space"]
    return keys + (["Return"] if view.enter_answers else leave)


def go_on(
    keyboard: Keyboard, store: Watched, state: Routine, scores: Iterator[int]
) -> Routine | None:
    """Answer the page that is shown; the routine as it stands then, None when it has ended."""
    keyboard.press(*keys_for(store.shown(state), scores))
    answered = len(state.answers)

    def further() -> tuple[Routine | None] | None:
        now = store.state()
        return (now,) if now is None or len(now.answers) > answered else None

    return wait_for(f"an answer to {store.shown(state).key}", further)[0]


def begin(keyboard: Keyboard, store: Watched) -> Routine:
    """From the heading of the front page through its first door, the routine."""
    keyboard.press("Tab", "Return")
    return wait_for("the routine to begin", store.state)


def test_a_whole_session_by_keyboard_alone(keyboard: Keyboard, tmp_path: Path) -> None:
    """Two rounds short of the mark, the exercises, then tape: every kind of page of a routine."""
    with ended(demo_window(PERSON, tmp_path, keyboard)):
        store = Watched(tmp_path)
        before = store.entries()
        scores = iter((8, 6, 5, 4))
        state: Routine | None = begin(keyboard, store)
        pages: list[str] = []
        last = state
        while state is not None:
            last = state
            pages.append(store.shown(state).key)
            state = go_on(keyboard, store, state, scores)
        assert last is not None
        written = store.session(last)
        entries = store.entries()

    assert entries[: len(before)] == before
    assert [move.score for move in written.moves] == [8, 6, 5, 4]
    assert [move.role for move in written.moves] == [
        "before",
        "after_hands",
        "after_hands",
        "after_tape",
    ]
    # Her steps are known, so it is not asked where it hurt between hands and tape.
    assert [move.zones for move in written.moves] == [("above",), ("above",), (), ("above",)]
    assert written.gate == "none"
    assert written.rest_pain == 2
    plan = read_plan()
    assert [len(done.steps) for done in written.rounds] == [len(plan.techniques)] * 2
    assert [step.outcome for step in written.exercises] == ["done"] * len(plan.exercises)
    assert written.stage == 1
    assert written.ended == "finished"
    assert written.reason == "target_met"
    tape = [entry for entry in entries if isinstance(entry, TapeOn)][-1]
    assert tape not in before
    assert (tape.stage, tape.by, tape.side) == (1, "person", "right")
    assert len(pages) == len(set(pages))


def test_killed_in_the_middle_it_goes_on_from_the_same_page(
    keyboard: Keyboard, tmp_path: Path
) -> None:
    store = Watched(tmp_path)
    scores = iter((9, 4))
    with ended(demo_window(PERSON, tmp_path, keyboard)) as process:
        state: Routine | None = begin(keyboard, store)
        while state is not None and not store.shown(state).key.startswith("steps:1:"):
            state = go_on(keyboard, store, state, scores)
        assert state is not None
        shown = store.shown(state)
        process.kill()
        process.wait()

    with ended(demo_window(PERSON, tmp_path, keyboard)):
        again = begin(keyboard, store)
        assert again == state
        assert store.shown(again).key == shown.key
        assert store.shown(again).heading == shown.heading
        # The first answer given now is filed under the page that was shown when it was killed.
        last = go_on(keyboard, store, again, scores)
        assert last is not None
        assert last.answers[: len(state.answers)] == state.answers
        assert last.answers[len(state.answers)].page == shown.key
        now: Routine | None = last
        while now is not None:
            last = now
            now = go_on(keyboard, store, now, scores)
        written = store.session(last)

    assert last.id == state.id
    assert [move.score for move in written.moves] == [9, 4]
    assert written.rest_pain == 2
    assert [step.outcome for step in written.rounds[0].steps] == ["done"] * 4
    assert (written.ended, written.reason) == ("finished", "target_met")
