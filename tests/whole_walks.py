"""Every walk of Home played to each of its ends, day after day in one diary.

It is played as a person plays it: through the rooms of Home, each page answered. Kept are the
pages that were shown, how each walk ended, and the diary that came of it.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cache
from itertools import count
from pathlib import Path
from typing import Any, TypeVar, cast, get_args
from unittest.mock import patch

from companion.care import outing_questions, patch_questions, taping
from companion.care.closures import NOT_WHOLE
from companion.care.day_pages_kept import PAGES_TO_KNOW
from companion.care.day_questions import AmountsPage, NotePage
from companion.care.finding import newest_first, oldest_first
from companion.care.flow import Given, WalkPage
from companion.care.open_things import tape_things
from companion.care.patch_looks import PATCH_CALL
from companion.care.records import (
    AmountPlan,
    AnyEntry,
    CautionAnswer,
    CheckMove,
    Contact,
    ContactRole,
    CutLengths,
    DayPage,
    Depth,
    Diary,
    Event,
    KneeMeasures,
    KnownSign,
    LastFortnight,
    NextMorning,
    OutingEnded,
    PatchTest,
    Plan,
    Session,
    Side,
    Skin,
    StairsWay,
    TapeFeeling,
    TapeOff,
    TapeOn,
    TapeTrial,
    WarningSign,
)
from companion.care.tape_applications import current_application
from companion.care.trial_schedule import planned
from companion.presentation.view.page import PageView
from companion.services.bad_spell import say_bad_spell
from companion.services.evening import one_evening
from companion.services.front import expire_left_behind, front
from companion.services.settings import Settings
from companion.services.walks import WalkResult, WalkStep
from companion.ui.home.desk import Answered, HomeHost
from companion.ui.home.walking import Walking
from companion.wire.sign_off import signed
from tests.builders import NOTHING_NEW, SOMETHING_NEW, at
from tests.care.walking import CATALOGUE, EXERCISES, TECHNIQUES, taught_plan
from tests.services.context_for_tests import HandClock, Kept
from tests.steady import steady

Answers = dict[str, Any]
"""Answers by the beginning of a page's key; a list holds one for each time it is shown."""

DEFAULTS: dict[type[Any], Given] = {
    patch_questions.MakePage: {"make": "1"},
    patch_questions.PatchNotClearPage: {"skin": "kept"},
    patch_questions.PatchUnderWayPage: {"again": "no"},
    patch_questions.PatchSkinPage: {"skin": "clear", "clean": "yes"},
    patch_questions.PatchOnPage: {"piece": "on"},
    patch_questions.PatchNotNowPage: {"look": "no"},
    patch_questions.PatchLookPage: {"skin": "clear"},
    outing_questions.WhatForPage: {"what": "1"},
    outing_questions.AmountMeantPage: {"amount": 200},
    outing_questions.TapeForOutingPage: {"tape": "yes"},
    outing_questions.OutingLookOverPage: {"going": "yes"},
    outing_questions.WhyEndedPage: {"because": "done"},
    outing_questions.AmountDonePage: {"amount": 150},
    outing_questions.OutingPainPage: {"score": 4},
    outing_questions.BothOutingPainPage: {"left": 4, "right": 5},
    outing_questions.TapeStillOnPage: {"tape": "on"},
    outing_questions.MorningAfterPage: {"next_morning": "as_usual"},
    outing_questions.BothMorningsPage: {"left": "as_usual", "right": "less_pain"},
    taping.OffWhenPage: {"day": "today", "hour": 8},
    AmountsPage: {"amount:0": 180},
    NotePage: {"note": None, "private": None},
}
"""What is answered where `steady` says nothing and neither does the day."""
MOST_PAGES = 120


@dataclass(frozen=True, slots=True)
class Played:
    """The diary, and what was seen on the way: `shown` are the pages of walks as they were drawn,
    each with its plan."""

    diary: Diary
    pages: tuple[WalkPage, ...]
    views: tuple[PageView, ...]
    ends: tuple[Any, ...]
    shown: tuple[tuple[WalkPage, Plan, PageView], ...] = ()


class _Walking(Walking):
    """The walks of Home, with whoever looks on."""

    def __init__(
        self, desk: HomeHost, seen: Callable[[WalkStep[Any] | WalkResult[Any, Any]], None]
    ) -> None:
        super().__init__(desk)
        self._seen = seen
        self._made: dict[tuple[object, ...], PageView] = {}
        self.shown: list[tuple[WalkPage, Plan, PageView]] = []

    def _show(self, outcome: WalkStep[Any] | WalkResult[Any, Any]) -> None:
        self._seen(outcome)
        super()._show(outcome)

    def _view(self, step: WalkStep[Any]) -> PageView:
        """A page that comes again, such as a step of taping, is drawn once."""
        state, helping = step.state, self._desk.doorways.settings().helper_view
        day = state.for_day if state.walk == "day" else None
        key = (state.walk, repr(step.page), state.plan.version, state.side, day, helping)
        if key not in self._made:
            self._made[key] = super()._view(step)
            self.shown.append((step.page, state.plan, self._made[key]))
        return self._made[key]


T = TypeVar("T")


@dataclass
class _Doorways:
    """Nothing of what lies outside the window but the settings."""

    helping: bool = False

    def settings(self) -> Settings:
        return Settings(helper_view=self.helping)

    def beside(self, work: Callable[[], T]) -> T:
        """Nothing stands in the way of a walk that no window shows."""
        return work()


class Person:
    """Somebody at Home. It is the desk of the walks too: what is asked is kept until answered."""

    def __init__(self, folder: Path, known: Diary, day: date) -> None:
        self._clock = HandClock(at(day, 9))
        self.long_way = True
        self._kept = Kept(folder, clock=self._clock, long_way=lambda: self.long_way)
        self.context = self._kept.context
        self.context.journal.append(*known.entries, plans=known.plans)
        self.doorways = _Doorways()
        self.pages: list[WalkPage] = []
        self.views: list[PageView] = []
        self.ends: list[Any] = []
        self.corrected: AnyEntry | None = None
        self._page: WalkPage | None = None
        self._asked: tuple[PageView, Answered] | None = None
        self._walking = _Walking(cast("HomeHost", self), self._seen)
        self.shown = self._walking.shown

    # ------------------------------------------------------------ the desk

    def ask(
        self,
        view: PageView,
        answered: Answered,
        _went_back: Callable[[], None],
        *,
        given_before: Given | None = None,
        leave: bool = False,
    ) -> None:
        self.views.append(view)
        self._asked = (view, answered)

    def show_front(self) -> None:
        self._asked = self._page = None
        self._walking.let_go()

    def attempt(self, act: Callable[[], object]) -> None:
        act()

    def _seen(self, outcome: WalkStep[Any] | WalkResult[Any, Any]) -> None:
        if isinstance(outcome, WalkResult):
            self.ends.append(outcome.end)
            self._page = None
        else:
            self.pages.append(outcome.page)
            self._page = outcome.page

    # ------------------------------------------------------------ a day

    def taped(self, side: Side) -> bool:
        """Whether tape is on this knee."""
        return current_application(self.context.entries, side) is not None

    def tape(self, answers: Answers | None = None, side: Side = "right") -> None:
        """Through the tape door, after a look at the skin that is still to be made."""
        self.skin_again(side)
        self.go("tape", side, answers)

    def skin_again(self, side: Side) -> None:
        """The look at the skin half an hour after tape, where it is still to be made."""
        self.later(minutes=40)
        things = tape_things(front(self.context).open, side)
        if any("skin" in one.walks for one in things) and not self.taped(side):
            self.go("tape", side)

    def put_on(self, side: Side = "right", answers: Answers | None = None) -> None:
        """Tape on."""
        if not self.taped(side):
            self.tape(OVER | (answers or {}), side)
            assert self.taped(side)

    def bare(self, side: Side = "right") -> None:
        """Tape off."""
        if self.taped(side):
            self.tape(OFF, side)

    def shut(self) -> None:
        """Leave the page that is shown; what was answered stays."""
        self.show_front()

    def taken_up(self, key: str) -> bool:
        """Whether the walk that was under way stands at a page again."""
        return self._asked is not None and self._asked[0].key == key

    def cleared(self, how: str) -> None:
        """The card that is open, cleared."""
        match how:
            case "not_yet":
                self.go("card", answers={"open_card": {"how": "not_yet"}})
            case "ticked_by_mistake":
                self.go("card", answers={"open_card": {"how": "mistake", "mistake": "yes"}})
            case _:
                self.go("card", answers={"open_card": {"how": "asked"}} | OVER)

    def talked(self) -> None:
        """The clinic was told of the skin under a test piece, where its card is shown."""
        if any(one.sign == PATCH_CALL for one in front(self.context).open):
            self.cleared("checked_by_professional")

    @property
    def today(self) -> date:
        """The day it is."""
        return self._clock.today()

    def morning(self, days: int = 1) -> None:
        """Nine in the morning, some days later, as Home begins a day."""
        self._clock.set(at(self.today + timedelta(days=days), 9))
        self.show_front()
        expire_left_behind(self.context)

    def bare_morning(self) -> None:
        """The next morning, no tape on the right knee."""
        self.morning()
        self.bare()

    def later(self, **length: float) -> None:
        """Let time pass."""
        self._clock.pass_by(**length)

    def plan_in_force(self) -> Plan:
        """The newest version."""
        plan = self.context.plan()
        assert plan is not None
        return plan

    def new_plan(self, plan: Plan) -> Plan:
        """Take this in as the next version, signed today."""
        version = self.plan_in_force().version + 1
        new = replace(plan, version=version, written_on=self.today)
        new = replace(new, review_on=self.today + timedelta(days=60))
        new = signed(new, "R. Quay", "PH 0412", at(self.today, 8))
        self.context.journal.append(plans=(new,))
        return new

    def injected(self) -> None:
        """An injection today, taken over from paper."""
        paper = Event(
            id=f"{self.today.toordinal():032x}",
            for_day=self.today,
            written_at=self.context.clock.now(),
            written_by="paper",
            plan_version=self.plan_in_force().version,
            what="injection",
            side="right",
        )
        self.context.journal.append(paper)

    def go(
        self,
        room: str,
        side: Side = "right",
        answers: Answers | None = None,
        *,
        scores: Sequence[int] = (),
        until: str = "",
    ) -> None:
        """Through a door of Home and on to the front page again, or until a page begins so."""
        self._walking.enter(room, side)
        self.on(answers, scores=scores, until=until)

    def evening(self, answers: Answers | None = None, *, until: str = "") -> None:
        """The routines of both knees in one."""
        assert one_evening(self.context, self.plan_in_force(), self.today)
        self._walking.go_on("evening", "right", None)
        self.on(answers, until=until)

    def put_right(self, entry: AnyEntry, side: Side) -> None:
        """From My record to the page of an entry."""
        self._walking.put_right(entry.id, side, self.show_front)

    def give(self, submitted: Given) -> None:
        """Answer the page that is shown with this alone."""
        assert self._asked is not None
        self._clock.pass_by(seconds=20)
        self._asked[1](submitted)

    def stop(self, answers: Answers) -> None:
        """Press Stop on the page that is shown, until it is over and what then is shown."""
        self._walking.stop()
        while self._asked is not None and self._asked[0].key.startswith(("stop", "go_on")):
            self._answer(dict(answers))

    def on(
        self, answers: Answers | None = None, *, scores: Sequence[int] = (), until: str = ""
    ) -> None:
        """Answer page after page."""
        submitted, left = dict(ON | THEIR_OWN | (answers or {})), list(scores)
        for _ in range(MOST_PAGES):
            if self._asked is None or (until and self._asked[0].key.startswith(until)):
                return
            self._answer(submitted, left)
        raise AssertionError(f"no end; it stands at {self._asked}")

    def _answer(self, submitted: dict[str, Any], scores: list[int] | None = None) -> None:
        assert self._asked is not None
        view, answered = self._asked
        reply = dict(self._reply(view.key, submitted))
        if scores and view.key.startswith("move:"):
            reply["score"] = scores.pop(0)
        self._clock.pass_by(seconds=20)
        answered(reply)

    def _reply(self, key: str, submitted: dict[str, Any]) -> dict[str, Any]:
        named = max((name for name in submitted if key.startswith(name)), key=len, default=None)
        said: Any = {} if named is None else submitted[named]
        if isinstance(said, list):
            said = said.pop(0) if said else {}
        page = self._page
        if page is None or page.key != key:
            return {"day": self.today.isoformat(), **said} if key == "which_day" else said
        reply = {**steady(page), **DEFAULTS.get(type(page), {}), **said}
        return {name: value for name, value in reply.items() if value is not LEFT_OUT}

    def end(self) -> Diary:
        """The diary that came of it, tape off and every card cleared."""
        for side in get_args(Side):
            self.bare(side)
            self.skin_again(side)
        while front(self.context).locked is not None:
            self.cleared("ticked_by_mistake")
        diary = self.context.journal.diary()
        self._kept.close()
        return diary


# ---------------------------------------------------------------- the days

LEFT_OUT: Any = object()
"""An answer that is not given."""
NOTHING_TICKED: Given = {"signs": []}
LIST: Answers = {"gate": SOMETHING_NEW}
STOP_ALL: Answers = {"stop:1": {"about": "not_sure"}}
SAID: Given = {"told": "all", "by": "clinic", "who": None, "days_ago": 0}
FEVER_GONE: Given = dict.fromkeys(("no_fever", "no_tablets", "knee_as_usual"), "yes")
OVER: Answers = {"open:": {"over": "yes", **FEVER_GONE, **SAID}}
NOT_OVER: Answers = {"open:": {"over": "no", "told": "not_called"}}
_STANDING = next(one for one in EXERCISES if one.exercise == "sit_to_stand")
PLACE, READ, ON = ({"tape_choice": {"do": what}} for what in ("place", "read", "on"))
THEIR_OWN: Answers = {"whose_no": {"whose": "person"}}
"""A no that a helper pressed was the person's."""
OFF, CHECK = ({"tape_room": {"do": what}} for what in ("off", "check"))


def ticked(sign: str) -> Answers:
    """Something at the gate, and then this on the list."""
    return LIST | {"list": {"signs": [sign]}}


def plan_for_all(person: str, first_day: date, version: int) -> Plan:
    """A plan that offers whatever there is, for both knees, tried in the clinic and signed."""
    plan = taught_plan(
        {
            "patch_test": "at_home",
            "rest_hours": 0,
            "start": 1,
            "length_from": "as_cut",
            "pull": "towards the inner side",
        },
        person=person,
        version=version,
        written_on=first_day,
        review_on=first_day + timedelta(days=60),
        birth_year=1951,
        sex="female",
        side="both",
        main_side="right",
        goal="Up to the light and back without a rest.",
        check_move=CheckMove(depth=Depth(seat_cm=45, arms_used=False, shoes=True)),
        techniques=TECHNIQUES[:2],
        activities=("Walk to the quay", "Climb the harbour steps"),
        amounts=(AmountPlan(label="Along the mole", unit="m", baseline=200.0, goal=400.0),),
        contacts=tuple(
            Contact(role=role, label=f"Pellan Harbour {number}", number=f"555 010{number}")
            for number, role in enumerate(get_args(ContactRole))
        ),
        chair_stand="with_someone",
        known_signs=(KnownSign(sign="stiff_mornings", since=first_day, side="right"),),
        bad_day_mark_off=True,
        knees=tuple(
            KneeMeasures(
                side=side,
                bump_to_upper_edge_mm=85.0,
                kneecap_width_mm=48.0,
                cut=CutLengths(side_strip_mm=210.0, short_piece_mm=60.0),
            )
            for side in get_args(Side)
        ),
    )
    plan = replace(plan, exercises=plan.exercises[:2], hands_days_a_week=7, exercise_days_a_week=7)
    return signed(plan, "R. Quay", "PH 0412", at(first_day, 8))


def _test_pieces(person: Person) -> None:
    """A test piece for each thing a look may find, and at last one that is clear twice."""

    def place(make: str, **answers: Any) -> None:
        own = {"make:1": {"make": "own", "own": " "}, "make:2": {"make": "own", "own": make}}
        person.go("tape", answers=PLACE | own | answers)

    person.go("tape", answers=ON)
    place("Slate 30", patch_skin={"skin": "not_clear", "clean": "no"})
    place("Slate 30", patch_on={"piece": "not_on"})
    for number, skin in enumerate(get_args(Skin)):
        place(f"Slate {number}")
        person.morning(1)
        person.later(hours=1)
        if number % 2:
            person.go("tape", answers=READ)
            person.morning(2)
        person.go("tape", answers=READ | {"look:": {"skin": skin}})
        person.go("tape", answers=READ)
        if skin == "clear":
            person.morning()
            person.later(hours=1)
            person.go("tape", answers=READ)
        if skin in NOT_WHOLE:
            place("Slate 70")  # nothing goes on a locked knee, until the skin is clear
            person.go("tape", answers=ON)
        person.morning()
        person.talked()
    place("Slate 0")  # known to be clear
    place("Slate 60")
    person.go("tape", answers=READ)
    place("Slate 60", patch_under_way={"again": "yes"})
    person.later(hours=3)
    person.go("tape", answers=READ | {"patch_not_now": {"look": "reaction"}})
    person.morning(1)
    person.later(hours=3)
    person.go("tape", answers=READ | {"look:": {"skin": "gone"}})
    late = [{"look": "no"}, {"look": "reaction"}]
    person.morning(4)
    person.go("tape", answers=READ | {"patch_not_now": late})
    person.go("tape", answers=READ | {"patch_not_now": late})
    place("Slate 61")
    person.morning(1)
    person.later(hours=23)
    person.go("tape", answers=READ)  # so late that no second look can follow
    person.morning()
    person.go("tape", answers=PLACE)
    person.go("tape", answers=PLACE)
    mistaken: Answers = {"look:": [{"skin": "red"}, {"skin": "broken"}, {"skin": "clear"}]}
    mistaken |= {"look:1:not_clear": {"skin": "mistake"}, "look:2:card": {"card": "mistake"}}
    for days in (1, 2):
        person.morning(days)
        person.later(hours=1)
        person.go("tape", answers=READ | mistaken)


def _late_rash(person: Person) -> None:
    """Days after two clear looks: nothing there, and a rash that was a mistake."""
    rash: Answers = {"patch_clear": {"look": "reaction"}, "look:1:not_clear": {"skin": "mistake"}}
    for found in ({}, rash | {"look:": [{"skin": "red"}, {"skin": "clear"}]}):
        person.morning(3)
        person.go("tape", answers=READ | found)


def _tape(person: Person) -> None:
    """Tape on and off in every way, the check, and the skin at once and later."""
    person.go("tape", answers=LIST | {"list:1": {"signs": ["lump"]}})
    person.cleared("checked_by_professional")
    ways: tuple[Answers, ...] = (
        {"removal": {"off": "now"}},
        {"removal": {"off": "earlier"}, "off_when": {"day": "yesterday", "hour": None}},
        {"removal": {"off": "earlier"}, "off_when": {"day": "unknown", "hour": None}},
        {"removal": {"off": "by_itself"}, "off_when": {"day": "today", "hour": 2}},
    )
    for number, skin in enumerate(get_args(Skin)):
        person.morning()
        person.doorways.helping = number % 2 == 1
        if not number:
            person.tape(OVER | {"tape:": {"outcome": "stopped"}})
        person.put_on(answers={"tape_on": {"by": "person"}})
        person.go("tape", answers=CHECK)
        card = {"skin:card": {"card": "mistake" if number % 2 else "read"}}
        person.go("tape", answers=OFF | ways[number % len(ways)] | {"skin": {"skin": skin}} | card)
        person.go("tape")
        person.later(minutes=40)
        person.go("tape", answers={"skin": {"skin": skin}} | card)
    for number, felt in enumerate(get_args(TapeFeeling)):
        person.morning()
        person.put_on()
        if not number:
            person.morning()
            person.go("routine", answers={"tape_check": {"feelings": [felt]}})
        else:
            felt_now = {"tape_check": {"feelings": [felt]}, "skin": {"skin": "blister"}}
            person.go("tape", answers=CHECK | felt_now)
    person.morning()
    unready = {"skin": "not_clear", "clean": "no", "reach": "no"}
    person.tape({"tape_ready": unready})
    person.tape({"tape_on": {"tape": "not_on"}})
    person.morning()
    person.tape(ticked("fever"))
    person.tape()  # a card is open
    person.cleared("checked_by_professional")


def _scored(person: Person) -> None:
    """A session for each course the scores may take, each on a day of its own."""
    courses: tuple[Sequence[int], ...] = (
        *((6, 3), (5, 8), (0, 0), (2, 2)),
        *((8, 7, 6, 3), (8, 7, 6, 6, 6), (8, 6, 5, 7), (8, 7, 6, 7)),
    )
    for number, scores in enumerate(courses):
        person.doorways.helping = number % 2 == 1
        person.bare_morning()
        person.go("routine", scores=scores)
    person.bare_morning()
    differs = {"move:after_hands": {"same_depth": False}}
    person.go("routine", answers=differs, scores=(8, 7, 7))
    person.morning()
    once = {"move:after_hands:1": [{"same_depth": False}, {}]}
    person.go("routine", answers=once, scores=(8, 7, 7, 7, 7))


def _short_evenings(person: Person) -> None:
    """Steps that are known: said to be, done together, too quickly, in part, and stopped. Then day
    pages of both knees in one, with every answer."""
    plan = person.plan_in_force()
    person.long_way = False
    hands = dict.fromkeys((one.technique for one in plan.techniques), "stopped")
    exercises = dict.fromkeys((one.exercise for one in plan.exercises), "not_yet")
    evenings: tuple[Answers, ...] = (
        {"look_over": {"knows": True}},
        {"move:before": {"depth": "other"}, "how_set_up": {"how": "a low stool"}},
        {"steps:": {"took": 1, "each": [[60, 2], [12, 0]]}, "steps:1:1:each": {}},
        {"exercises:": {"outcome": "some"}, "exercises:1:each": exercises},
        {"steps:": {"outcome": "some"}, "steps:1:1:each": hands},
    )
    for answers in evenings:
        person.bare_morning()
        person.go("routine", answers=answers, scores=(6, 2))
    for side in get_args(Side):
        person.bare_morning()
        person.go("routine", side, {"look_over": {"knows": True}}, scores=(6, 2))
    _both_knees(person)
    for side in get_args(Side):
        for _ in range(PAGES_TO_KNOW):
            person.morning()
            person.go("day", side)
    person.put_on()
    stairs = (*get_args(StairsWay), None)
    for number in range(14):
        person.morning()
        pains = {"average": number % 11, "worst": (10, 3)[number % 2], "skin": "clear"}
        rest = {"stairs": stairs[number % len(stairs)], "note": (None, "Wet steps.")[number % 2]}
        sign = {"sign_of": {"sign": "as_before"}, "left:sign_of": {"sign": "not_sure"}}
        swollen = {"swelling": "much", "night_pain": "yes", "stiffness_minutes": 90}
        both: Answers = {"right:pains": pains, "left:pains": pains, "rest": rest, **sign}
        person.go("day", answers=both | {"left:morning": swollen})
    person.morning()
    person.go("day", answers={"": {}, "rest": {"medicine": None}})
    person.go("day", "left")
    person.cleared("skin_read_clear")
    for side in get_args(Side):
        person.bare(side)
    person.morning()
    person.go("day")


def _both_knees(person: Person) -> None:
    """Evenings of both knees: ordinary ones, another round, a card, Stop, and one left lying."""
    person.morning()
    person.evening({"both:move:before": _SCORED | {"right": 6, "left": 6, "depth": "as_plan"}})
    person.morning()
    person.evening({"both:exercise": {"outcome": "some"}})
    person.morning()
    person.evening({"both:move:after_hands:1": {"right": 9, "left": 2}})
    person.morning()
    person.evening(until="both:move:before")
    person.stop({"stop:1": {"about": "none"}, "go_on": {"go_on": "no"}})
    person.morning()
    person.evening(until="both:move:before")
    person.morning()
    lump = LIST | {"list:1": {"signs": ["lump"]}, "list:1:lump:card:knee": {"knee": "left"}}
    person.evening(lump)
    person.cleared("checked_by_professional")
    person.morning()
    person.evening(ticked("unwell"))
    person.cleared("ticked_by_mistake")
    plan = person.plan_in_force()
    person.new_plan(replace(plan, exercises=(EXERCISES[0],)))
    person.long_way = True
    for side in get_args(Side):
        person.morning()
        person.go("routine", side, {"look_over": {"knows": True}}, scores=(6, 2))
    person.long_way = False
    person.morning()
    person.evening()
    person.new_plan(plan)


_SCORED: Answers = {"same_depth": True}


def _bad_days(person: Person) -> None:
    """Bad days for each reason, bad spells with each call, and the dose down and back."""
    plan = person.plan_in_force()
    own = replace(
        plan,
        bad_day_mark=7,
        bad_day_mark_off=None,
        known_signs=(),
        tape=replace(plan.tape, when="never", highest=0),
        exercises=(*plan.exercises[:1], replace(_STANDING, on_bad_days="easier")),
    )
    person.new_plan(own)
    sore = {"rest_pain": {"score": 8}}
    say_bad_spell(person.context)
    person.go("routine", answers={"spell": {"over": "no"}}, scores=(4,))
    person.morning()
    person.go("routine", answers={"spell": {"over": "yes"}}, scores=(4, 2))
    person.morning()
    person.go("routine", scores=(8,))
    person.go("routine", "left", scores=(3,))
    person.morning()
    person.go("routine", scores=(4, 2))
    for scores in ((7,), (8,), (9,), (9,)):
        person.morning()
        person.go("routine", scores=scores)  # three running: the plan says nothing for it
    person.morning()
    person.go("routine", answers=sore)
    person.morning()
    person.go("routine", scores=(4, 2))
    person.new_plan(replace(own, flare_plan="Short walks on the flat, twice a day."))
    say_bad_spell(person.context)
    for scores in ((7,), (8,), (9,), (10,)):
        person.go("routine", scores=scores)  # the last two: each worse than the one before
        person.morning()
    person.go("routine", answers=sore)
    person.morning(8)
    person.go("routine", scores=(8,))  # not settled
    person.morning()
    person.go("routine", answers=sore)
    for how in ("not_yet", "checked_by_professional"):
        person.cleared(how)  # the call that the bad spell asks for
    say_bad_spell(person.context, over=True)
    person.morning()
    person.new_plan(replace(own, bad_day_mark=None, bad_day_mark_off=True))
    say_bad_spell(person.context)
    too_much = {"exercise": {"pain": 9}}
    person.go("routine", answers={"spell": {"over": "no"}} | too_much, scores=(9,))
    say_bad_spell(person.context, over=True)
    for said in (*["more_next_morning"] * 3, "more_gone_2h", "same", "cannot_recall", "same"):
        person.morning()
        gate = {"gate": NOTHING_NEW | {"after_last": said}}
        person.go("routine", answers=gate, scores=(6, 3))
    person.new_plan(plan)


def _broken_off(person: Person) -> None:
    """Routines that end for another reason than their scores."""
    person.go("routine", answers={"tape_ready": {"reach": "no"}}, scores=(8, 7, 7))
    person.bare_morning()
    person.go("routine", answers={"rest_pain": {"score": 8}})
    person.bare_morning()
    new_place = {
        "zones:move:before:1": {"zones": ["back_of_knee"]},
        "list:move": {"signs": ["skin_broken"]},
    }
    person.go("routine", answers=new_place, scores=(6,))
    person.bare_morning()
    below = {"zones": {"zones": ["below", "elsewhere"]}}
    person.go("routine", answers=OVER | below, scores=(8, 7))
    person.bare_morning()
    too_much = {
        "step:1:1": {"pain": 9},
        "step:1:2": {"pain": 5},
        "exercise": {"outcome": "skipped", "pain": None},
    }
    person.go("routine", answers=NOT_OVER)
    person.bare_morning()
    person.go("routine", answers=OVER | too_much, scores=(6, 6))
    person.bare_morning()
    too_sore = {"outcome": "stopped", "pain": LEFT_OUT}
    said = {"step": too_sore, "exercise": too_sore}
    person.go("routine", "left", said, scores=(6, 6))
    person.bare_morning()
    quick = {
        "step:1:1": {"took": 2},
        "step:1:1:quick": {"outcome": "partly"},
        "exercise:1": {"took": 1},
        "exercise:1:quick": {"outcome": "skipped"},
    }
    person.go("routine", answers=quick, scores=(6, 6))
    for sign in ("chest_or_breath", "fever", "unwell"):
        person.bare_morning()
        person.go("routine", answers=ticked(sign))
        person.go("routine", answers=NOT_OVER)
        if sign == "unwell":
            person.bare_morning()
            person.go("routine", answers=NOT_OVER)
        else:
            person.cleared("not_yet")
            person.cleared("checked_by_professional")


def _stopped(person: Person) -> None:
    """Stop with each of its ends, in a routine and elsewhere."""
    person.go("routine", until="rest_pain")
    person.stop({"stop": NOTHING_TICKED})
    assert person.taken_up("rest_pain")
    mistake = {"stop:1:help_now:card": {"card": "mistake"}}
    person.stop({"stop:1": {"about": "help"}, "stop:2": {"about": "none"}} | mistake)
    assert person.taken_up("rest_pain")
    person.stop({"stop": NOTHING_TICKED, "stop:1:go_on": {"go_on": "no"}})
    person.bare_morning()
    person.go("routine", until="rest_pain")
    person.stop(
        STOP_ALL
        | {"stop:1:list:1": {"signs": ["knee_stuck", "lump"]}}
        | {"stop:1:list:1:lump:card": {"card": "mistake"}}
    )
    person.cleared("ticked_by_mistake")
    person.bare_morning()
    questions = CATALOGUE.sign("injury_check").questions
    asked = {question.id: "yes" for question in questions}
    denied = {"list:1:injury_check:ask": {question.id: "no" for question in questions}}
    person.tape(LIST | {"list:1": {"signs": ["injury_check"]}} | denied)
    person.bare_morning()
    person.go("routine", until="rest_pain")
    person.stop(
        STOP_ALL
        | {"stop:1:list:1": {"signs": ["injury_check"]}, "stop:1:list:1:injury_check:ask": asked}
    )
    person.cleared("checked_by_professional")
    person.bare_morning()
    person.go("day", "left", until="average")
    person.stop({"stop": NOTHING_TICKED, "stop:1:go_on": {"go_on": "no"}})
    person.go("outing", "left", until="what_for")
    person.stop({"stop": NOTHING_TICKED, "stop:1:go_on": {"go_on": "no"}})
    person.bare_morning()
    person.go("routine", answers={"gate": {"show": "all"}, "gate:all": NOTHING_NEW})
    person.bare_morning()
    person.go("routine", answers=LIST | {"list:1": {"signs": (), "rest": "none"}})


def _left_behind(person: Person) -> None:
    """Walks that are not taken up again, each for its reason."""
    person.morning()
    person.go("routine", until="move:")
    person.morning()
    person.go("routine", until="move:")
    person.shut()
    person.bare()
    person.tape(ticked("unwell"))
    person.go("routine", answers=OVER)
    person.bare_morning()
    person.go("routine", until="move:")
    person.shut()
    person.put_on()
    person.go("routine")
    person.bare()


def _with_cautions(person: Person) -> None:
    """Under a plan that says yes to every caution; then under one that says it only to what may
    be lifted, and rests the skin for a day."""
    plan = person.plan_in_force()
    person.new_plan(with_cautions(plan, all_there_are=True))
    person.go("routine")
    person.go("tape")
    careful = with_cautions(plan)
    careful = replace(careful, tape=replace(plan.tape, rest_hours=24), chair_stand="alone")
    person.new_plan(careful)
    person.morning()
    person.go("routine", answers={"look_over": {"knows": True}}, scores=(6, 2))
    person.morning()
    person.long_way = False
    person.go("routine", scores=(6, 2))  # what cautions ask for stands beside the known steps
    person.long_way = True
    person.morning()
    person.go("routine", answers={"ready:hands": {"ready": "no"}})
    for _ in range(5):
        person.morning()
        person.go("routine", scores=(10, 3))
        person.go("day", answers={"average": {"score": 2}})
    person.morning()
    person.go("day", answers={"average": {"score": 2}})
    person.bare()
    person.morning(2)
    person.tape({"tape_ready": {"reach": "alone"}})
    person.put_on()
    person.bare()
    person.morning()
    person.go("day", answers={"average": {"score": 2}})
    person.go("routine", scores=(8, 7, 7))
    for _ in range(2):
        person.morning()
        person.go("day", answers={"average": {"score": 8}, "worst": {"score": 9}})
    person.go("routine")  # in a flare
    person.go("chair", answers={"ready": {"ready": "no"}})
    person.go("chair")
    person.new_plan(plan)
    person.injected()
    person.morning()
    person.go("routine")


def with_cautions(plan: Plan, *, all_there_are: bool = False) -> Plan:
    """The plan with a yes, opened, to every caution that can be opened; or to all there are."""
    yes = tuple(
        CautionAnswer(
            caution=row.caution,
            answer=True,
            allowed=True,
            reason="other",
            reason_words="A. Doctor agrees",
            on=plan.written_on,
        )
        for row in CATALOGUE.policy.cautions
        if not row.rest and (all_there_are or not row.never)
    )
    said = {answer.caution for answer in yes}
    return replace(
        plan, cautions=(*yes, *(one for one in plan.cautions if one.caution not in said))
    )


def _bare_plan(person: Person) -> None:
    """Under a plan that prescribes and names nothing but tape of some make."""
    plan = person.plan_in_force()
    nothing: dict[str, Any] = dict.fromkeys(
        ("techniques", "exercises", "activities", "amounts"), ()
    )
    tape = replace(plan.tape, make=None)
    person.new_plan(replace(plan, tape=tape, goal=None, **nothing))
    person.morning()
    person.go("routine")
    person.go("tape", answers=ON)
    own: Answers = {
        "what_for": {"own": "To the chandler"},
        "make:": [{"own": ""}, {"own": "Slate 80"}],
    }
    person.go("tape", answers=PLACE | own)
    person.go("outing", answers=own)
    person.later(hours=1)
    person.go("outing")
    person.new_plan(plan)


def _outings(person: Person) -> None:
    """Going out with each end, how it was, and the morning after."""
    own: Answers = {
        "what_for": [{"what": "own", "own": " "}, {"what": "own", "own": "To the chandler"}]
    }
    without: Answers = {"tape_for_outing": {"tape": "no"}, "amount_meant": {"amount": None}}
    both = person.plan_in_force()
    knees = tuple(knee for knee in both.knees if knee.side == "right")
    person.new_plan(replace(both, side="right", main_side="right", knees=knees))
    person.morning()
    person.go("outing", answers=own | without | {"look_over": {"going": "no"}})
    person.go("outing", answers={"tape_ready": {"skin": "not_clear"}, "look_over": {"going": "no"}})
    person.go("outing", answers={"tape_on": {"tape": "not_on"}, "look_over": {"going": "no"}})
    mornings: list[str | None] = [*get_args(NextMorning), "more_pain", None]
    for number, because in enumerate([*get_args(OutingEnded), "not_gone"]):
        person.bare_morning()
        if number in (0, 3, 4):
            person.put_on()
        felt: Answers = {"tape_check": {"feelings": ["pinching"]}}
        chandler: Answers = {"what_for": {"what": "own", "own": "To the chandler"}}
        person.go("outing", answers=({}, chandler, without, {}, felt, {})[number])
        person.later(hours=1)
        after: Answers = {
            "why_ended": {"because": because},
            "outing_pain": {"score": number or None},
            "amount_done": {"amount": None},
            "tape_still_on": {"tape": {1: "off", 3: "by_itself"}.get(number, "on")},
        }
        person.go("outing", answers=after)
        person.morning()
        if because != "not_gone":
            said = {"next_morning": mornings[number]}
            card: Answers = {"next_morning:1:card": {"card": "mistake" if number == 3 else "read"}}
            person.go("outing", answers={"next_morning": [said, said]} | card)
    person.morning()
    person.go("outing", answers=ticked("fever"))
    person.go("outing", answers=without)  # its card comes first
    person.cleared("checked_by_professional")
    person.new_plan(both)
    person.bare_morning()
    person.go("outing")  # how the last one was
    person.go("outing")  # and its morning
    person.go("outing")
    person.later(hours=1)
    person.go("outing", answers={"left:tape_still_on": {"tape": "off"}})
    person.morning()
    person.go("outing", answers={"both:next_morning": {"left": None, "right": "more_pain"}})


def _chair(person: Person) -> None:
    """The chair stand to each of its ends."""
    ends: tuple[Answers, ...] = (
        {"chair": {"seat_cm": 44}},
        {"try": {"stood": "arms"}},
        {"try": {"stood": "no"}},
        {"try": {"pain": 9}},
        {"someone": {"there": "no"}},
        {"count": {"outcome": "stopped"}},
        {"count": {"seconds": 12}, "short": {"again": "no"}},
        {"count": [{"seconds": 12}, {"seconds": 30}], "how_many": {"count": 60, "arms": "yes"}},
    )
    for end in ends:
        person.morning()
        person.go("chair", answers=end)
    person.morning()
    person.go("chair", answers=ticked("sudden_pain_every_step"))
    person.morning()
    person.go("chair")
    person.cleared("checked_by_professional")
    person.morning()
    person.go("routine", answers=ticked("gives_way_worse"))
    person.cleared("checked_by_professional")
    person.morning()
    person.go("routine", answers={"rest_pain": {"score": 9}})
    person.go("chair")
    person.morning()
    person.go("chair", answers=ticked("fever"))
    person.go("chair")
    person.cleared("checked_by_professional")


def _days(person: Person) -> None:
    """Day pages: every answer, none, a page changed, the worst below the average, a day late."""
    stairs = (*get_args(StairsWay), None)
    person.put_on()
    person.bare()
    for said in get_args(LastFortnight):  # the first page, and the same one changed
        person.go("day", "left", {"last_fortnight": {"last_fortnight": said}})
    person.morning(8)  # so long away that the whole list is due
    for number, skin in enumerate(get_args(Skin)):
        person.morning()
        person.put_on()
        person.go(
            "day",
            answers={
                "average": {"score": number},
                "worst": {"score": 3},
                "skin": {"skin": skin},
                "morning": {
                    "stiffness_minutes": (0, 30, 720, None)[number % 4],
                    "swelling": ("none", "some", "much", None)[number % 4],
                    "night_pain": (None, "yes", "yes", "yes", "no", "no")[number],
                },
                "medicine": {"medicine": ("yes", "no", None)[number % 3]},
                "amounts": {"amount:0": (0, 120.5, None)[number % 3]},
                "stairs": {"stairs": stairs[number % len(stairs)]},
                "note": (
                    {"note": "The ferry steps were wet.", "private": "no"},
                    {"note": "Not for the clinic.", "private": "yes"},
                    {},
                )[number % 3],
            },
        )
        person.go("day", "left", {"": {}})
    person.morning()
    nothing: Answers = dict.fromkeys(("score", "skin", "medicine", "stairs"))
    person.go("day", answers={"": nothing, "note": {}})
    yesterday = {"which_day": {"day": (person.today - timedelta(days=1)).isoformat()}}
    person.go("day", answers=yesterday)
    person.morning(3)
    person.bare()
    late = {"which_day": {"day": (person.today - timedelta(days=3)).isoformat()}}
    person.go("day", answers=late, until="worst")
    person.cleared("skin_read_clear")
    person.morning(8)
    person.go("day", answers={"worst": {"score": 10}, "sign_of": {"sign": "none"}})


def _cards(person: Person) -> None:
    """Each way a card may be cleared, and all that may be said of the routine meanwhile."""
    for sign, how in (
        ("chest_or_breath", "checked_by_professional"),
        ("fever", "ticked_by_mistake"),
        ("fever", "well_again"),
        ("skin_broken", "skin_read_clear"),
        ("unwell", "well_again"),
        ("rest_or_night_pain", "as_before"),
        ("tape_tingling", "has_gone"),
        ("more_pain_two_days", "asked_again"),
    ):
        person.morning()
        person.tape(ticked(sign))
        person.morning({"as_before": 7, "well_again": 2}.get(how, 1))
        person.cleared(how)
    person.bare_morning()
    person.tape(ticked("sudden_pain_every_step"))
    for told, by in (
        ("not_reached", "clinic"),
        ("not_spoken_of", "phone_line"),
        ("not_yet", "hospital"),
        ("only_these", "doctor"),
    ):
        person.morning()
        said = {"told": told, "by": by, "who": "Nurse Hale", "days_ago": 1, "parts": ["hands"]}
        person.go("card", answers={"open_card": {"how": "asked"}, "open:": said})
        person.go("routine", answers=NOT_OVER)
    person.cleared("checked_by_professional")


def _trial(person: Person) -> None:
    """A tape trial comes while a routine is under way, and what it lets on no more."""
    person.bare_morning()
    plan = person.plan_in_force()
    person.go("routine", until="move:")
    person.shut()
    first_day = person.today
    trial = TapeTrial(
        side="right",
        first_day=first_day,
        pairs=6,
        scored_days=2,
        seed="harbour wall",
        schedule_sha256="",
    )
    trial = replace(trial, schedule_sha256=planned(trial).sha256)
    person.new_plan(replace(plan, trial=trial))
    person.go("routine")
    for _ in range(7):
        person.go("tape", answers={"tape_ready": [{"skin": "not_clear"}]})
        person.go("tape")
        person.go("outing", answers={"look_over": {"going": "no"}})
        person.go("routine", scores=(6, 3))
        person.go("day")
        person.bare_morning()
    person.new_plan(plan)


def _put_right(person: Person) -> None:
    """Entries put right: their answers, their day, their knee, and what that raises or opens."""

    def right(kind: type[AnyEntry], *submitted: Given, side: Side = "right") -> None:
        entry = next(newest_first(person.context.entries, kind, by="writing"), None)
        last = person.corrected if entry is None else entry
        assert last is not None
        person.corrected = last
        person.put_right(last, side)
        for given in submitted:
            person.give(given)
        person.shut()

    done: Given = {"do": "put_right"}
    person.put_on()
    right(TapeOn, {"do": "happened_at"}, {"hour": 23, "minute": 0}, {}, {"do": "leave"})
    person.later(hours=3)
    person.bare()
    right(TapeOff, {"do": "happened_at"}, {"hour": 8, "minute": 0}, {}, {"do": "leave"})
    right(TapeOn, {"do": "happened_at"}, {"hour": 8, "minute": 30}, done)
    person.skin_again("right")
    person.put_on()
    later = person.today
    person.morning()
    person.bare()
    tape = oldest_first(person.context.entries, TapeOn)
    person.put_right(next(tape), "right")
    person.give({"do": "other_day"})
    person.give({"day": later.isoformat()})
    person.shut()
    person.skin_again("right")
    person.go("day")
    right(DayPage, {"do": "pain_average"}, {"value": 7}, done)
    right(DayPage, {"do": "other_knee"}, done)
    right(DayPage, {"do": "withdraw"}, {"why": "keep"}, {"do": "leave"})
    right(DayPage, {"do": "withdraw"}, {"why": "never_happened"})
    right(DayPage, {"do": "count_again"})
    person.morning()
    person.go("routine")
    fell: tuple[Given, ...] = ({"do": "gate_replies.1.said"}, {"value": "yes"}, done)
    right(Session, *fell, {"signs": ["fall_unhurt"]}, {"card": "read"}, {"knee": "right"})
    mistaken: tuple[Given, ...] = ({"do": "gate_replies.1.said"}, {"value": "no"}, done)
    right(Session, *mistaken, {"mistake": "yes"})
    right(WarningSign, {"do": "not_over"})
    right(WarningSign, {"do": "mistake"}, {"mistake": "no"})
    person.go("day")
    skin: tuple[Given, ...] = ({"do": "skin_at_once"}, {"value": "clear"}, done)
    right(TapeOff, {"do": "skin_at_once"}, {"value": "blister"}, done, {"card": "mistake"}, _YES)
    right(TapeOff, *skin, {"mistake": "yes"})
    pieces = newest_first(person.context.entries, PatchTest)
    person.put_right(next(one for one in pieces if one.first_skin == "red"), "right")
    for given in ({"do": "first_skin"}, {"value": "clear"}, done, {"mistake": "no"}):
        person.give(given)
    person.shut()


_YES: Given = {"mistake": "yes"}

PARTS: tuple[Callable[[Person], None], ...] = (
    _test_pieces,
    _late_rash,
    _tape,
    _scored,
    _short_evenings,
    _bad_days,
    _broken_off,
    _stopped,
    _left_behind,
    _with_cautions,
    _bare_plan,
    _outings,
    _chair,
    _days,
    _cards,
    _trial,
    _put_right,
)


@cache
def played(person: str, first_day: date, version: int) -> Played:
    """Every walk, played once. Each part is played in a store of its own, the later the day."""
    diary = Diary(plans=(plan_for_all(person, first_day, version),))
    pages: list[WalkPage] = []
    views: list[PageView] = []
    ends: list[Any] = []
    shown: list[tuple[WalkPage, Plan, PageView]] = []
    entries: dict[str, AnyEntry] = {}
    day = first_day
    numbers = count(1)
    with (
        tempfile.TemporaryDirectory(prefix="homeknee-tests-") as folder,
        patch("companion.services.walks.new_id", lambda: f"{next(numbers):016x}{'e' * 16}"),
    ):
        for part in PARTS:
            # No tape without a test piece that was clear: so much is known from the first part,
            # and what the clinic said of those that were not.
            known = tuple(
                one
                for one in entries.values()
                if isinstance(one, PatchTest)
                or (isinstance(one, WarningSign) and one.sign == PATCH_CALL)
            )
            somebody = Person(Path(folder) / part.__name__, replace(diary, entries=known), day)
            part(somebody)
            day = somebody.today + timedelta(days=1)
            diary = somebody.end()
            entries |= {entry.id: entry for entry in diary.entries}
            pages += somebody.pages
            views += somebody.views
            ends += somebody.ends
            shown += somebody.shown
    diary = replace(diary, entries=tuple(entries.values()))
    return Played(diary, tuple(pages), tuple(views), tuple(ends), tuple(shown))
