"""Small diaries of invented people of Pellan Harbour, for pages and charts.

The numbers are typed, not drawn at random, so that a test can say what a page must show.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

from companion.care.records import (
    ActivityScore,
    AnyEntry,
    CheckMove,
    Depth,
    Event,
    Exercise,
    Measurement,
    Plan,
    Question,
    SignOff,
    StepDone,
    TapePlan,
    Technique,
    WarningSign,
)
from tests import builders
from tests.builders import START, DiaryBuilder, after_hands, before, small_plan


def at(day: date, hour: int = 19, minute: int = 30) -> datetime:
    """An instant on a calendar day, in the harbour's summer time."""
    return builders.at(day, hour, minute, offset_hours=2)


def plan(**more: Any) -> Plan:
    """A signed plan of K-90, right knee, hands, exercise and side strips."""
    values: dict[str, Any] = {
        "person": "K-90",
        "written_on": START,
        "review_on": START + timedelta(days=56),
        "goal": "Walk along the quay to the fish market and back",
        "check_move": CheckMove(depth=Depth(seat_cm=45, arms_used=False)),
        "techniques": (Technique(technique="glide_inner_edge", seconds=60, taught_on=START),),
        "exercises": (Exercise(exercise="sit_to_stand", repeats=8, sets=2, taught_on=START),),
        "tape": TapePlan(when="if_missed", highest=1, make="Harbour elastic tape"),
        "activities": ("Stairs to the lamp room", "Kneeling in the garden"),
        "sign_off": SignOff(
            name="R. Quill",
            registration="PH-2231",
            signed_at=at(START, 11),
            content_sha256="0" * 64,
        ),
    }
    return small_plan(**(values | more))


_DIARY = (
    "6 7 6 - 7 6 5 6 6 7 7 - 6 6 6 5 6 6 7 - - 5 6 5 6 6 5 6 "
    "5 5 - 6 5 4 5 5 4 5 5 7 8 7 5 5 4 - 5 4 4 4 5 4 4 - 5 4"
)
AVERAGES = _DIARY.split()
"""Eight weeks of average pain, `-` missing: a made diary. First 14 days: 12 recorded, mean 6.25;
last 14: 12 recorded, mean 4.416667."""


def eight_weeks() -> tuple[Plan, list[AnyEntry]]:
    """The made diary with sessions, tape, one skin finding, a fall, a card and a question."""
    own = plan()
    book = DiaryBuilder()
    for n, word in enumerate(AVERAGES):
        if word == "-":
            continue
        average = int(word)
        late = n == 9
        book.page(
            n,
            average,
            pain_worst=min(average + 2, 10),
            pain_now=max(average - 1, 0) if n < 14 or n >= 42 else None,
            form="full" if n < 14 or n >= 42 else "short",
            medicine=average >= 7,
            night_pain=n in (3, 40) if n < 14 or n >= 42 else None,
            stairs="backwards" if n == 50 else None,
            activities=(
                ActivityScore(label="Stairs to the lamp room", score=4 if n < 14 else 6),
                ActivityScore(label="Kneeling in the garden", score=2),
            )
            if n < 14 or n >= 42
            else (),
            written_at=at(book.day(n + 3 if late else n), 20),
            note="The ferry steps were wet" if n == 50 else None,
        )
    for n in range(0, 56, 2):
        first = 6 if n < 28 else 5
        book.session(
            n,
            before(first, "inner_edge"),
            after_hands(first - (3 if n % 4 == 0 else 2)),
            exercises=(StepDone(step="sit_to_stand", outcome="done"),),
        )
    book.tape(10, 24)
    book.tape(17, 48)
    book.tape(40, 70, skin_at_once="pink", skin_after_30_min="red")
    book.add(Event, 38, what="fall", side="right", note="Slipped on the slipway, no knock")
    book.add(Event, 30, what="injection", side="right")
    book.add(
        WarningSign,
        41,
        sign="skin_broken",
        card="skin_broken",
        level="call",
        sides=("right",),
        cleared="skin_read_clear",
        cleared_on=book.day(45),
    )
    book.add(Measurement, 0, count=9)
    book.add(Measurement, 55, count=11)
    book.add(Question, 20, text="May I kneel on a cushion to weed?")
    book.add(Question, 52, text="Do I go on with tape in the winter?")
    return own, book.entries


def both_knees() -> tuple[Plan, list[AnyEntry]]:
    """Five weeks of K-91: both knees, the left one main, no tape, thin skin; nobody signed."""
    own = plan(
        person="K-91",
        side="both",
        main_side="left",
        tape=TapePlan(),
        sign_off=None,
        goal="Carry the post up to the lighthouse row without a rest on the third landing",
        activities=("Stairs", "Rise from a low chair", "Walk to the harbour office"),
    )
    book = DiaryBuilder(side="left")
    for n in range(35):
        if n % 9 == 4:
            continue
        person = {
            "medicine": n % 11 == 0,
            "activities": (
                ActivityScore(label="Stairs", score=3 + n // 12),
                ActivityScore(label="Rise from a low chair", score=4),
                ActivityScore(label="Walk to the harbour office", score=6 - n // 20),
            ),
            "night_pain": n in (5, 6),
            "stairs": "one_at_a_time",
        }
        book.page(n, 6 - n // 15, pain_worst=8 - n // 15, form="full", **person)
        if n % 2 == 0:
            book.page(n, 3, side="right", pain_worst=5)
        if n % 3 == 0:
            book.session(
                n,
                before(6),
                after_hands(4),
                exercises=(StepDone(step="sit_to_stand", outcome="done"),),
            )
            book.session(
                n,
                before(3),
                after_hands(2 if n % 6 else 3),
                side="right",
                exercises=(StepDone(step="sit_to_stand", outcome="done"),),
            )
    return own, book.entries
