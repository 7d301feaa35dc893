"""The tasks of a new user, by keyboard alone, at 200 % in a window of 1024 by 600 pixels."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from companion.care.records import (
    AnyEntry,
    DayPage,
    HandsRound,
    Outing,
    Plan,
    Question,
    Session,
    SignOff,
    StepDone,
    TapeOff,
    TapeOn,
    WarningSign,
)
from companion.evidence.findings import findings
from companion.presentation.papers.summary import visit_summary
from companion.ui.home.front_page import FrontPage
from companion.ui.kit.theme import LIGHT, Theme, apply
from companion.ui.kit.window import PageWindow
from tests.builders import DAY, at, page, session, tape_on
from tests.care.walking import CATALOGUE, EXERCISES, taught_plan
from tests.ui.home.bad_days import begun
from tests.ui.home.keyboard import PERCENT, Keyboard

PROJECT = Path(__file__).parents[3]
HEADING = "### The tasks of a new user, by keyboard at 200 %"
TASKS = (
    "routine, one target missed",
    "a short evening and its day page",
    "a bad evening and its day page",
    "tape off, red skin, the second look",
    "a yes on the gate, until it is cleared",
    "an outing, how it was, next morning",
    "the visit, with a question, and what goes along",
    "helping: tape on, from the helper’s side",
    "helping: a whole evening",
    "text size and colours",
    "a score of last Tuesday, put right",
)
PLAN = taught_plan(
    exercises=EXERCISES[:3],
    sign_off=SignOff(
        name="M. Quay", registration="PH-0412", signed_at=at(0), content_sha256="0" * 64
    ),
)
"""A plan as a clinician signs it: three techniques, three exercises, tape if missed."""

Sitting = Callable[..., Keyboard]


@pytest.fixture
def sitting(window: PageWindow, tmp_path: Path, qapp: QApplication) -> Iterator[Sitting]:
    """Sit down before the front page of a diary with these entries."""
    made: list[Keyboard] = []

    def sit(
        *entries: AnyEntry, plan: Plan | None = None, days: int = 1, short: bool = False
    ) -> Keyboard:
        apply(qapp, Theme(LIGHT, PERCENT))
        day = DAY + timedelta(days=days)
        folder, plan = tmp_path / f"diary{len(made)}", plan or PLAN
        visit = begun(folder, window, *entries, day=day, plan=plan, short=short)
        made.append(Keyboard(visit, qapp))
        return made[-1].begin()

    yield sit
    for keyboard in made:
        keyboard.visit.leave()


def known(days: int = 1) -> tuple[AnyEntry, ...]:
    """A diary that is under way: the list was read yesterday, a day page stands for each day."""
    return tuple(
        entry
        for day in range(days)
        for entry in (session(day, 6, 3, full_list=True), page(day, pain_average=4, pain_now=3))
    )


def steps_known(days: int) -> tuple[AnyEntry, ...]:
    """The same, and every step of the plan was done each day."""
    one_round = HandsRound(
        steps=tuple(StepDone(step=one.technique, outcome="done") for one in PLAN.techniques)
    )
    did = tuple(StepDone(step=one.exercise, outcome="done") for one in PLAN.exercises)
    return tuple(
        replace(entry, rounds=(one_round,), exercises=did) if isinstance(entry, Session) else entry
        for entry in known(days)
    )


def is_front(keyboard: Keyboard) -> bool:
    return isinstance(keyboard.page, FrontPage)


def written(keyboard: Keyboard, kind: type[Any], day: int = 1) -> list[Any]:
    """The entries of a kind that were written on `day`."""
    return [e for e in keyboard.visit.written(kind) if e.for_day == DAY + timedelta(days=day)]


def table() -> dict[str, list[int]]:
    """What DEVELOPERS.md says each task takes: pages, keys, of these reading on, typing."""
    _, _, after = (PROJECT / "DEVELOPERS.md").read_text("utf-8").partition(HEADING)
    rows = [line.strip("|").split("|") for line in after.splitlines() if line.startswith("|")]
    return {row[0].strip(): [int(cell) for cell in row[1:]] for row in rows[2:][: len(TASKS)]}


def told(keyboard: Keyboard, task: str) -> None:
    """Nothing was wrong on the way, and the table in DEVELOPERS.md says what it took."""
    count = keyboard.count
    took = [count.pages, count.keys, count.reading, count.typing]
    print(f"| {task} | {' | '.join(map(str, took))} |")
    assert keyboard.faults == []
    for now, said in zip(took, table()[task], strict=True):
        assert abs(now - said) <= max(3, said // 10), f"{task} takes {took}"


def test_the_table_has_every_task() -> None:
    assert tuple(table()) == TASKS


def test_routine(sitting: Sitting) -> None:
    keys = sitting(*known())
    keys.through("routine")
    keys.walk(scores=(7, 5, 3))
    assert is_front(keys)
    (done,) = written(keys, Session)
    assert [move.score for move in done.moves] == [7, 5, 3]
    assert len(done.rounds) == 2
    assert done.ended == "finished"
    told(keys, "routine, one target missed")


def test_a_short_evening(sitting: Sitting) -> None:
    keys = sitting(*steps_known(6), days=6, short=True)
    keys.through("routine")
    keys.walk(scores=(7, 3))
    assert is_front(keys)
    (done,) = written(keys, Session, 6)
    assert [move.score for move in done.moves] == [7, 3]
    assert [step.outcome for one in done.rounds for step in one.steps] == ["done"] * 3
    assert [step.outcome for step in done.exercises] == ["done"] * 3
    keys.through("day")
    keys.walk(
        submitted={
            "pains": {"average": 3, "worst": 5, "now": 2},
            "activities": {f"activity:{number}": 6 for number in range(3)},
        }
    )
    assert is_front(keys)
    assert [page.pain_worst for page in written(keys, DayPage, 6)] == [5]
    told(keys, "a short evening and its day page")


def test_a_bad_evening(sitting: Sitting) -> None:
    keys = sitting(*known())
    keys.through("routine")
    keys.walk(submitted={"rest_pain": {"score": 8}})
    assert is_front(keys)
    assert "no_hands" in keys.met
    (done,) = written(keys, Session)
    assert done.rest_pain == 8
    assert done.rounds == ()
    policy = keys.visit.person.catalogue.policy
    seated = [
        one.exercise
        for one in keys.visit.person.plan.exercises
        if policy.exercise_part(one.exercise) == "seated"
    ]
    assert [step.step for step in done.exercises] == seated, "rest pain closes standing (rule r03)"
    keys.through("day")
    keys.ask_for_help()
    keys.walk(
        submitted={
            "now": {"score": 8},
            "average": {"score": 7},
            "worst": {"score": 10},
            "medicine": {"medicine": "yes"},
            "note": {"note": "It ached at the quay.", "private": "no"},
        }
    )
    assert is_front(keys)
    (day,) = written(keys, DayPage)
    assert (day.pain_average, day.pain_worst, day.medicine) == (7, 10, True)
    assert (day.note, day.note_private) == ("It ached at the quay.", False)
    told(keys, "a bad evening and its day page")


def test_tape_off_with_red_skin(sitting: Sitting) -> None:
    keys = sitting(*known(), tape_on(at(0)))
    keys.through("tape")
    keys.walk(submitted={"skin": {"skin": "pink"}})
    assert is_front(keys)
    keys.visit.put_clock(minutes=35)
    keys.through("tape")
    keys.walk(submitted={"skin": {"skin": "red"}})
    assert is_front(keys)
    off = written(keys, TapeOff)
    assert off[-1].skin_at_once == "pink"
    assert off[-1].skin_after_30_min == "red"
    told(keys, "tape off, red skin, the second look")


def test_a_yes_on_the_gate(sitting: Sitting) -> None:
    keys = sitting(*known(), tape_on(at(0)))
    keys.through("routine")
    keys.walk(
        until=("tape_check",),
        submitted={
            "gate": {"q3": "yes"},
            "list:1:topics": {"topics": ("stuck",)},
            "list:1": {"signs": ("knee_stuck",)},
        },
    )
    assert is_front(keys)
    (warning,) = written(keys, WarningSign)
    assert (warning.sign, warning.level, warning.cleared) == ("knee_stuck", "today", None)
    keys.through("routine")
    assert keys.key == "closed"
    keys.walk()
    keys.through("tape")
    keys.walk()
    assert len(written(keys, TapeOff)) == 1
    keys.through("card")
    keys.walk(
        submitted={
            "open:knee_stuck:talked": {"told": "all"},
            "open:knee_stuck:checked": {"by": "doctor", "days_ago": "0", "who": "M. Vane"},
        }
    )
    cleared = written(keys, WarningSign)[-1]
    assert (cleared.cleared, cleared.told_name) == ("checked_by_professional", "M. Vane")
    assert is_front(keys)
    assert "card" not in keys.visit.doors()
    told(keys, "a yes on the gate, until it is cleared")


def test_an_outing(sitting: Sitting) -> None:
    keys = sitting(*known(), plan=replace(PLAN, tape=replace(PLAN.tape, when="outings")))
    keys.through("outing")
    keys.walk()
    assert is_front(keys)
    assert len(written(keys, TapeOn)) == 1
    keys.visit.put_clock(hours=3)
    keys.line("Say how it was")
    keys.walk()
    keys.visit.put_clock(hours=12)
    keys.visit.front_again()
    keys.begin()
    keys.line("Say how the morning after is")
    keys.walk()
    out = keys.visit.written(Outing)[-1]
    (knee,) = out.knees
    assert (out.what_for, out.ended_because, knee.pain_worst) == ("Walk to the quay", "done", 3)
    assert knee.next_morning == "as_usual"
    told(keys, "an outing, how it was, next morning")


def test_the_visit(sitting: Sitting) -> None:
    keys = sitting(*known())
    keys.through("visit")
    keys.answer(press="Write a question for the clinic")
    keys.press(Qt.Key.Key_Tab)
    keys.ask_for_help()
    keys.answer({"text": "May I kneel in the garden?"})
    keys.answer(press="See what is handed over")
    keys.answer(press="1 day page")
    keys.answer()
    assert "Average pain" in keys.page.reading_text()
    keys.answer()
    keys.back()
    assert keys.key == "visit"
    keys.answer(press="Save both files")
    keys.walk()
    assert is_front(keys)
    (asked,) = keys.visit.written(Question)
    assert asked.text == "May I kneel in the garden?"
    told(keys, "the visit, with a question, and what goes along")


def test_helping(sitting: Sitting) -> None:
    keys = sitting(*known())
    keys.through("settings")
    keys.answer(press="Who sits here")
    keys.answer({"who": "helper"})
    keys.back()
    keys.through("tape")
    keys.walk()
    assert is_front(keys)
    (on,) = written(keys, TapeOn)
    assert (on.by, on.written_by) == ("helper", "helper")
    told(keys, "helping: tape on, from the helper’s side")


def test_a_helpers_evening(sitting: Sitting) -> None:
    """Tape off, the routine and the day page, with the person beside the screen."""
    keys = sitting(*known(), tape_on(at(0)), plan=replace(PLAN, helper_days=("tuesday",)))
    keys.through("who")
    keys.through("tape")
    keys.walk()
    keys.through("routine")
    keys.walk(scores=(7, 3))
    assert "whose_no" in keys.met
    keys.through("day")
    keys.walk()
    keys.through("who")
    (off,), (done,) = written(keys, TapeOff), written(keys, Session)
    (day,) = written(keys, DayPage)
    assert {one.written_by for one in (off, done, day)} == {"helper"}
    assert not keys.visit.settings.helper_view
    told(keys, "helping: a whole evening")


def test_text_and_colours(sitting: Sitting) -> None:
    keys = sitting(*known())
    keys.through("settings")
    keys.answer(press="Text and colours")
    keys.answer({"text_percent": 150, "colours": "dark"})
    keys.back()
    assert is_front(keys)
    assert keys.visit.settings.text_percent == 150
    assert keys.visit.settings.colours == "dark"
    told(keys, "text size and colours")


def test_a_score_put_right(sitting: Sitting) -> None:
    tuesday = DAY + timedelta(days=1)
    assert tuesday.weekday() == 1
    keys = sitting(*known(6), days=6)
    before = summed_up(keys)
    keys.through("record")
    keys.press_button("Put something right")
    keys.answer({"day": tuesday.isoformat()})
    keys.answer({"entry": "0"})
    keys.answer({"do": "moves.1.score"})
    keys.answer({"value": 5})
    assert "5, not 3" in keys.page.reading_text()
    keys.answer(press="Put it right")
    keys.answer()
    assert is_front(keys)
    told_now = [move.score for one in written(keys, Session)[-1:] for move in one.moves]
    assert told_now == [6, 5]
    assert summed_up(keys) != before, "the summary for the visit goes by it"
    told(keys, "a score of last Tuesday, put right")


def summed_up(keys: Keyboard) -> object:
    """The answers of the visit's summary."""
    diary = keys.visit.journal.diary()
    found = [findings(diary, side, policy=CATALOGUE.policy) for side in diary.plan.sides]
    return visit_summary(diary, found, CATALOGUE).answers
