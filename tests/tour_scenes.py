"""The scenes of the tour: short visits that between them meet every screen of Home.

A scene begins on the front page of a fresh copy of a demo person's store. Names of looks are part
of file names, so they say what is seen.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

from companion.app.fault_words import store_fault_words
from companion.care.coded import coded
from companion.care.records import (
    DayPage,
    Event,
    HandsRound,
    Plan,
    Question,
    Session,
    StepDone,
    TapeTrial,
    WarningSign,
)
from companion.care.trial_schedule import schedule
from companion.care.trial_today import trial_today
from companion.exchange.files import read_bytes
from companion.journal.backups import STORE
from companion.journal.faults import JournalFault, JournalUnwritable
from companion.journal.salvage import Lost, Salvage
from companion.journal.store import Journal
from companion.presentation.home.chair_pages import chair_name
from companion.presentation.home.home_pages import notice_view
from companion.presentation.home.mending_pages import (
    bringing_up_view,
    gone_view,
    looking_view,
    mended_words,
    mending_view,
    no_answer_view,
)
from companion.presentation.home.record_tables import SECTIONS
from companion.presentation.home.record_view import Span
from companion.presentation.home.second_place_pages import (
    FoundDiary,
    found_view,
    moved_away_view,
    moved_in_words,
    searching_view,
    used_before_view,
    writing_view,
)
from companion.presentation.home.settings_pages import taken_away_view
from companion.presentation.language.phrases import phrase
from companion.presentation.language.troubles import not_saved_words
from companion.presentation.view.page import ActionList
from companion.services.context import Context
from companion.services.day_page import DayWalk
from companion.services.second_place import SecondPlace
from companion.services.trouble import Trouble
from companion.system.clock import PinnedClock
from companion.ui.home.record_page import PICK, PUT_RIGHT, PickDaysPage, RecordPage
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.controls import ChoiceList
from companion.ui.kit.window import PageWindow
from companion.wire.resource_reading import shipped_policy
from tests.builders import SOMETHING_NEW
from tests.said import sentence
from tests.tour_visit import Answers, DemoPerson, Look, Visit, spoken

Scene = Callable[["Stage"], None]


class Stage:
    """Where a scene plays: a person, a window, and who looks."""

    def __init__(self, person: DemoPerson, window: PageWindow, look: Look) -> None:
        self.person = person
        self.window = window
        self.look = look

    def visit(
        self, days_later: int = 1, folder: Path | None = None, *, short: bool = False
    ) -> Visit:
        """A visit that has begun, `days_later` after the record's last day; its evening is a
        `short` one or goes page by page."""
        visit = Visit(
            self.person,
            self.window,
            self.look,
            day=self.person.last_day + timedelta(days=days_later),
            short=short,
        )
        visit.start(folder)
        return visit


def first_time(stage: Stage) -> None:
    """No plan yet; a file that is refused; the plan; the front page of the first day, and what its
    day page asks once."""
    visit = stage.visit(folder=stage.person.empty())
    visit.look("front-no-plan")
    visit.plan_file = sentence(read_bytes(b"homeknee plan 3 ", name="plan.homeknee"))
    visit.through("plan")
    visit.look("plan-refused")
    visit.answer()
    visit.diary_file = stage.person.record
    visit.through("settings")
    visit.answer({"room": "data"})
    visit.answer({"do": "merge"})
    visit.look("diary-preview")
    visit.answer(press="Leave it")
    visit.plan_file = stage.person.plan
    visit.through("plan")
    visit.look("plan-preview")
    visit.answer()
    visit.look("front-first-day")
    _to_day(visit)
    visit.walk(look_at=("last_fortnight",), until=("medicine",))
    visit.leave()


def routine(stage: Stage) -> None:
    """The routine as a steady person goes through it, from the front page to the next one."""
    visit = stage.visit()
    visit.look("front")
    visit.through("routine")
    if visit.key == "knee":
        visit.look("which-knee")
        visit.answer()
    visit.walk(
        look_at=(
            "gate",
            "list",
            "rest_pain",
            "no_hands",
            "depth",
            "ready:",
            "hands_ready",
            "move:before",
            "zones:move:before",
            "step:1",
            "move:after_hands:1",
            "decision:2",
            "exercise",
            "tape_ready",
            "no_tape",
            "tape_on",
            "move:after_tape",
            "look_over",
            "finished",
        ),
        scores=(7, 5, 4, 3, 3),
    )
    visit.look("front-after")
    visit.leave()


def short_evening(stage: Stage) -> None:
    """The routine of somebody who knows its steps; and one in which not all was done."""
    visit = stage.visit(short=True)
    visit.through("routine")
    if visit.key == "knee":
        visit.answer()
    visit.walk(
        look_at=(
            *("gate", "rest_pain", "no_hands", "ready:", "move:before", "zones", "steps:"),
            *("move:after_hands", "decision", "exercises", "look_over", "finished"),
            *("both:", "right:steps", "left:zones", "left:steps"),
        ),
        scores=(7, 3, 3, 3, 3),
        submitted={
            "both:rest_pain": {"right": 1, "left": 2},
            "both:move:before": {"right": 6, "left": 5},
            "both:move:after_hands": {"right": 2, "left": 2},
        },
    )
    visit.look("front-after")
    visit.leave()
    visit = stage.visit(short=True)
    visit.through("routine")
    if visit.key == "knee":
        visit.answer()
    visit.walk(
        until=("steps:1", "exercises:1", "right:steps:1", "finished"),
        submitted={
            "both:rest_pain": {"right": 1, "left": 2},
            "both:move:before": {"right": 6, "left": 5},
        },
    )
    if visit.key.startswith(("steps", "exercises", "right:steps")):
        visit.count_out()
        visit.look("steps-counted")
        visit.answer(press="Not all, or show me")
        visit.look("how-each-went")
    visit.leave()
    for later in (1, 2):
        pains = {"average": 3, "worst": 5, "now": 2}
        visit = stage.visit(days_later=later, short=True)
        visit.through("day")
        visit.walk(
            look_at=("right:", "left:", "pains", "morning", "activities", "rest", "look_over"),
            submitted={"pains": pains, "right:pains": pains, "left:pains": pains},
        )
        visit.leave()


def stop_list(stage: Stage) -> None:
    """The gate, all its signs; something new: what it is about, the rows, questions behind a sign;
    not sure with nothing ticked; none ticked."""
    visit = stage.visit()
    _to_gate(visit)
    visit.look("gate")
    visit.answer(press="Show every sign")
    visit.look("gate-every-sign")
    visit.answer(SOMETHING_NEW | {"q1": "no", "q2": "no", "q4": "no"})
    visit.look("what-about")
    visit.answer({"topics": ("swelling",)})
    visit.look("rows-of-a-question")
    visit.leave()
    visit = stage.visit()
    _to_list(visit)
    visit.look("rows-of-all")
    sign = next(s for s in _offered(visit) if stage.person.catalogue.sign(s).questions)
    visit.answer({"signs": (sign,)})
    visit.look("sign-questions")
    visit.leave()
    for number, rest in ((1, "not_sure"), (3, "not_sure"), (3, "none")):
        visit = stage.visit()
        _to_gate(visit)
        visit.answer({f"q{number}": "not_sure"})
        visit.walk(until=("list",))
        if visit.key.endswith("topics"):
            visit.answer()
        visit.answer({"signs": (), "rest": rest})
        visit.look(f"{rest.replace('_', '-')}-{number}")
        visit.leave()


def cards(stage: Stage) -> None:
    """A card of each level; the closed front page; clearing what was ticked."""
    for level in ("emergency", "today", "call", "care"):
        visit = stage.visit()
        _to_list(visit)
        of_level = [
            sign
            for sign in _offered(visit)
            if stage.person.catalogue.sign(sign).level == level
            and not stage.person.catalogue.sign(sign).questions
        ]
        if not of_level:
            visit.leave()
            continue
        visit.answer({"signs": (of_level[0],)})
        visit.look(f"card-{level}")
        visit.answer()
        if visit.key == "finished":
            visit.look(f"card-{level}-finished")
            visit.answer()
            visit.look(f"card-{level}-front-locked")
            visit.through("card")
            visit.look(f"card-{level}-open")
            visit.answer()
            if visit.key.endswith("talked"):
                visit.look(f"card-{level}-talked")
                visit.answer({"told": "only_these" if level == "emergency" else "not_reached"})
            if visit.key.endswith("parts"):
                visit.look(f"card-{level}-parts")
                visit.answer({"parts": ("seated",)})
            if visit.key.endswith("checked"):
                visit.look(f"card-{level}-checked")
                visit.answer({"by": "doctor", "days_ago": "0", "who": ""})
            visit.look(f"card-{level}-told")
            visit.answer()
            visit.look(f"card-{level}-front-told")
        visit.leave()
    visit = stage.visit()
    _to_list(visit)
    signs = [s for s in _offered(visit) if stage.person.catalogue.sign(s).level == "call"]
    visit.answer({"signs": (signs[0],)})
    visit.answer(press="I ticked this by mistake")
    visit.look("card-by-mistake")
    visit.answer({"mistake": "another"})
    visit.look("card-by-mistake-list-again")
    visit.leave()


def hard_days(stage: Stage) -> None:
    """Too much pain at rest; a step that hurts; a move made differently; no tape today."""
    visit = stage.visit()
    visit.through("routine")
    visit.walk(until=("no_hands",), submitted={"rest_pain": {"score": 8}}, look_at=("no_hands",))
    visit.leave()
    visit = stage.visit()
    visit.through("routine")
    different = {"same_depth": False}
    visit.walk(
        look_at=(),
        until=("step:1:1:stopped", "no_hands", "finished"),
        submitted={"step:1:1": {"pain": 9}},
        scores=(8, 8, 8, 8, 8),
    )
    if visit.key == "step:1:1:stopped":
        visit.look("step-stopped")
        visit.walk(
            until=("decision",),
            look_at=("move:after_hands:1:again",),
            submitted={"move:after_hands": different},
            scores=(7, 7),
        )
        visit.look("decision-not-comparable")
    visit.leave()
    visit = stage.visit()
    visit.through("routine")
    visit.walk(
        until=("no_tape", "finished"),
        look_at=("no_tape",),
        submitted={"tape_ready": {"skin": "not_clear", "clean": "no", "reach": "no"}},
        scores=(8, 7, 7),
    )
    visit.leave()


def no_move(stage: Stage) -> None:
    """The knee gives way more than before: the front page, and the routine without a check move."""
    folder = stage.person.store()
    day = stage.person.last_day + timedelta(days=1)
    plan = stage.person.plan
    sign = stage.person.catalogue.sign("gives_way_worse")
    ticked = WarningSign(
        id="9" * 32,
        for_day=stage.person.last_day,
        written_at=datetime.combine(stage.person.last_day, time(18), tzinfo=UTC),
        written_by="person",
        plan_version=plan.version,
        sign=sign.id,
        card=sign.card,
        level=sign.level,
    )
    journal = Journal.open(folder, PinnedClock(day))
    journal.append(ticked)
    journal.close()
    visit = stage.visit(folder=folder)
    visit.look("no-move-front")
    visit.through("routine")
    visit.walk(until=("no_move", "no_hands", "finished"), look_at=("no_move", "no_hands"))
    visit.leave()


def bad_spell(stage: Stage) -> None:
    """A bad day; a bad spell said to have begun, the front page and the routine in it, its end."""
    visit = stage.visit()
    visit.through("routine")
    visit.walk(look_at=("bad_day", "step:1:1", "exercise:1", "finished"), scores=(10,))
    visit.leave()
    visit = stage.visit()
    visit.through("spell")
    visit.look("bad-spell-asked")
    visit.answer()
    visit.look("front-in-a-bad-spell")
    visit.through("spell")
    visit.look("bad-spell-day-1")
    visit.answer(press="Back to the front page")
    visit.through("routine")
    visit.walk(look_at=("spell", "no_hands"), scores=(4, 3))
    visit.look("front-after-a-bad-spell")
    visit.leave()
    visit = stage.visit(folder=_long_spell(stage))
    visit.look("bad-spell-call-front")
    visit.through("card")
    visit.look("bad-spell-call-card")
    visit.answer()
    visit.look("bad-spell-call-talked")
    visit.answer({"told": "not_reached"})
    visit.look("bad-spell-call-not-reached")
    visit.answer()
    visit.through("card")
    visit.answer()
    visit.answer({"told": "all"})
    visit.answer({"by": "clinic", "days_ago": "0", "who": ""})
    visit.look("bad-spell-call-told")
    visit.leave()


def _long_spell(stage: Stage) -> Path:
    """A store in which a bad spell has not settled in its days."""
    folder, last = stage.person.store(), stage.person.last_day
    begun = last - timedelta(days=12)
    journal = Journal.open(folder, PinnedClock(last + timedelta(days=1)))
    journal.append(
        Event(
            id="8" * 32,
            for_day=begun,
            written_at=datetime.combine(begun, time(20), tzinfo=UTC),
            written_by="person",
            plan_version=stage.person.plan.version,
            what="bad_spell",
        )
    )
    journal.close()
    return folder


def unsettled(stage: Stage) -> None:
    """A clock that leapt, days to put right, and two tellings of one thing."""
    folder = stage.person.store()
    plan, last = stage.person.plan, stage.person.last_day
    written = datetime.combine(last, time(19, 42), tzinfo=UTC)
    asked = Question(
        id="7" * 32,
        for_day=last,
        written_at=written,
        written_by="person",
        plan_version=plan.version,
        text="May I walk to the lighthouse?",
    )
    year = timedelta(days=364)
    journal = Journal.open(folder, PinnedClock(last + timedelta(days=1)))
    journal.append(
        asked,
        replace(asked, id="8" * 32, replaces=asked.id, text="May I walk to the harbour wall?"),
        replace(
            asked, id="9" * 32, replaces=asked.id, written_by="helper", text="May she use a stick?"
        ),
        replace(asked, id="6" * 32, for_day=last + year, written_at=written + year),
    )
    page = max(
        (one for one in stage.person.record.entries if isinstance(one, DayPage)),
        key=lambda one: one.written_at,
    )
    hers = replace(page, id="4" * 32, replaces=page.id, pain_average=4, pain_worst=6, note=None)
    journal.append(
        replace(hers, written_at=page.written_at + timedelta(minutes=5)),
        replace(
            hers,
            id="5" * 32,
            written_by="helper",
            written_at=page.written_at + timedelta(minutes=50),
            pain_average=7,
            swelling="much",
            medicine=True,
            note="She could not sleep and walked about the kitchen half of the night.",
        ),
    )
    journal.close()
    visit = stage.visit(folder=folder)
    visit.look("clock-behind")
    visit.answer({"clock": "wrong"})
    visit.look("set-clock")
    visit.answer()
    visit.answer({"clock": "right"})
    visit.look("wrong-clock-day")
    visit.answer({"day": "other"})
    visit.look("wrong-clock-other-day")
    visit.answer({"day": f"{last:%d.%m.%Y}"})
    visit.look("rivals")
    visit.answer()
    visit.look("rivals-then")
    visit.leave()


def less_today(stage: Stage) -> None:
    """More pain the next morning after the last routines: the front page and a step less."""
    folder = stage.person.store()
    plan, last = stage.person.plan, stage.person.last_day
    did = HandsRound(steps=(StepDone(step="stroke_thigh", outcome="done"),))
    journal = Journal.open(folder, PinnedClock(last + timedelta(days=1)))
    for number in range(3):
        day = last - timedelta(days=2 - number)
        journal.append(
            Session(
                id=f"{number:032x}",
                for_day=day,
                written_at=datetime.combine(day, time(20), tzinfo=UTC),
                written_by="person",
                plan_version=plan.version,
                side=plan.main_side,
                rounds=(did,),
                ended="finished",
                after_last="more_next_morning",
            )
        )
    journal.close()
    visit = stage.visit(folder=folder)
    visit.look("less-today-front")
    visit.through("routine")
    visit.walk(until=("exercise:1", "finished"), look_at=("dose", "exercise:1"), scores=(5, 3))
    visit.leave()


SCORES: dict[str, Sequence[int]] = {
    "one-more-round": (8, 7),
    "target-met": (8, 3),
    "worse": (5, 8),
    "low-score": (2, 2),
    "nothing-to-ease": (0, 0),
    "short-of-target": (8, 7, 6, 6, 6, 6),
    "tape-did-not-add": (8, 7, 6, 7),
    "worse-with-tape": (8, 6, 5, 9),
}


def decisions(stage: Stage) -> None:
    """What each course of scores comes to: every decision page, and new tape off again."""
    seen: set[str] = set()
    for name, scores in SCORES.items():
        visit = stage.visit()
        visit.through("routine")
        shown = ""
        for _ in range(60):
            visit.walk(
                until=("decision", "tape_taken_off", "look_over", "finished"),
                scores=scores if not shown else (),
            )
            page = visit.page
            shown = page.heading_text() + page.reading_text()
            if visit.key == "tape_taken_off":
                visit.look(f"decision-{name}-tape-off")
            if not visit.key.startswith("decision"):
                break
            if shown not in seen:
                seen.add(shown)
                visit.look(f"decision-{name}-{visit.key.partition(':')[2]}")
            visit.answer()
        visit.leave()


def tape(stage: Stage) -> None:
    """Tape by itself: on, the room while it is on, off, and the two looks at the skin."""
    visit = stage.visit()
    if "tape" not in visit.doors():
        visit.leave()
        return
    _to_tape(visit)
    if visit.key == "tape_room":  # it is on already
        _off_again(visit)
        _to_tape(visit)
    visit.walk(
        until=("finished", "tape:"),
        look_at=("list", "tape_ready", "no_tape", "finished"),
    )
    if visit.key != "finished":
        while visit.key.startswith("tape:"):
            visit.look(f"tape-step-{visit.key.rpartition(':')[2]:0>2}")
            visit.answer()
        visit.look("tape-is-it-on")
        visit.answer({"by": "helper"})
        visit.look("tape-on-written")
        visit.walk()
        visit.look("front-tape-on")
        _to_tape(visit)
        visit.look("tape-room")
        visit.answer(press="Check how it feels")
        visit.look("tape-check")
        visit.walk()
        _to_tape(visit)
        _off_again(visit)
    visit.leave()


def test_piece(stage: Stage) -> None:
    """A test piece of tape goes on, and the skin under it is looked at."""
    folder, plan = stage.person.store(), stage.person.plan
    tape = replace(
        plan.tape, make="Slate 50", patch_test="at_home", highest=max(plan.tape.highest, 1)
    )
    with Journal.open(folder, PinnedClock(stage.person.last_day)) as journal:
        journal.append(plans=[replace(plan, version=plan.version + 1, tape=tape)])
    visit = stage.visit(folder=folder)
    if _to_piece(visit, "place"):
        answers = {"make": {"make": "1"}, "patch_skin": {"skin": "clear", "clean": "yes"}}
        visit.walk(submitted=answers, look_at=("make", "patch", "finished"))
        visit.later(25 * 60)
        visit.show()
    if _to_piece(visit, "read"):
        clear = {"look:": {"skin": "clear"}}
        visit.walk(submitted=clear, look_at=("look", "finished"))
    visit.leave()


def _to_piece(visit: Visit, do: str) -> bool:
    """To the walk of a test piece, where there is one."""
    if visit.key == "wrong_clock":
        visit.answer({"clock": "right"})
    _to_tape(visit)
    if visit.key == "tape_choice":
        visit.answer({"do": do})
    return visit.key.startswith(("make", "patch", "look"))


def _off_again(visit: Visit) -> None:
    """From the tape room: off, the skin at once and half an hour later, with a card and without."""
    visit.answer()
    visit.look("tape-removal")
    visit.answer(press="I took it off earlier")
    visit.look("tape-off-when")
    visit.answer({"day": "today", "hour": 17})
    visit.look("skin-at-once")
    visit.answer({"skin": "clear"})
    visit.look("tape-off-written")
    visit.walk()
    visit.look("front-skin-look")
    _to_tape(visit)
    if visit.key == "skin_too_early":
        visit.look("skin-too-early")
        visit.walk()
        visit.later(31)
        _to_tape(visit)
    visit.look("skin-after-30-minutes")
    visit.answer({"skin": "broken"})
    visit.look("skin-broken-card")
    visit.walk()
    visit.look("front-skin-broken")


def tape_trial(stage: Stage) -> None:
    """A tape day, a no-tape day and a bare day of a tape trial; the first day after it."""
    plan = stage.person.plan
    if plan.tape.highest == 0:
        return
    for kind, standings in (
        ("tape-day", ("tape_due", "tape_not_now")),
        ("no-tape-day", ("no_tape_day",)),
        ("bare-day", ("bare_day",)),
        ("over", ("over",)),
    ):
        visit = stage.visit()
        visit.plan_file = _in_trial(plan, visit.day, standings)
        visit.through("settings")
        visit.answer({"room": "plan"})
        if visit.key == "plan_preview" and kind == "tape-day":
            visit.look("trial-plan-preview")
        visit.walk()
        visit.look(f"{kind}-front")
        if kind != "over":
            _to_tape(visit)
            if visit.key == "tape_room":
                visit.look(f"{kind}-tape-still-on")
            else:
                visit.walk(until=("tape:",), look_at=("tape_ready", "no_tape", "skin_too_early"))
            visit.start()
            visit.plan_file = _in_trial(plan, visit.day, standings)
            visit.through("settings")
            visit.answer({"room": "plan"})
            visit.walk()
            visit.through("routine")
            if visit.key == "knee":
                visit.answer()
            visit.walk(until=("no_hands", "depth"), look_at=("no_hands",))
        visit.leave()
    visit = stage.visit()
    visit.plan_file = _in_trial(plan, visit.day, ("no_tape_day",))
    visit.through("settings")
    visit.answer({"room": "plan"})
    visit.walk()
    visit.through("outing")
    visit.walk(until=("tape_by_trial",), look_at=("tape_by_trial",))
    visit.leave()


def _in_trial(plan: Plan, day: date, standings: Sequence[str]) -> Plan:
    """The plan's next version with a tape trial, begun so that `day` stands like this in it."""
    side = plan.main_side
    for ago in range(200):
        first_day = day - timedelta(days=ago)
        planned = schedule("harbour wall", first_day)
        trial = TapeTrial(
            side=side,
            first_day=first_day,
            pairs=planned.pairs,
            scored_days=planned.scored_days,
            seed=planned.seed,
            schedule_sha256=planned.sha256,
        )
        found = replace(plan, version=plan.version + 1, trial=trial)
        at = datetime.combine(day, time(18), tzinfo=UTC)
        today = trial_today(found, side, (), today=day, now=at, zone=UTC, policy=shipped_policy())
        if today is not None and today.standing in standings:
            return found
    raise AssertionError(f"no trial stands like {standings}")


def day_pages(stage: Stage) -> None:
    """The short and the full day page, answers that may mean a sign, an odd pair of scores, nothing
    answered."""
    for form in ("short", "full"):
        later = next(iter(_days_with(stage, form)), None)
        if later is None:
            continue
        visit = stage.visit(later)
        _to_day(visit, f"day-{form}-which-day")
        visit.walk(look_at=None, until=("finished",), submitted={"average": {"score": 4}})
        visit.walk()
        visit.look(f"day-{form}-front-after")
        visit.leave()
        visit = stage.visit(later)
        _to_day(visit)
        alarming: dict[str, Answers] = {
            "worst": {"score": 10},
            "morning": {"swelling": "much", "stiffness_minutes": 120, "night_pain": "yes"},
        }
        visit.walk(
            look_at=("sign_of",), until=("medicine", "note", "look_over"), submitted=alarming
        )
        visit.leave()
    visit = stage.visit()
    _to_day(visit)
    visit.walk(
        until=("worst_below_average",), submitted={"average": {"score": 6}, "worst": {"score": 4}}
    )
    visit.look("day-worst-below-average")
    visit.leave()
    visit = stage.visit()
    _to_day(visit)
    nothing = {
        "score": None,
        "skin": "",
        "medicine": "",
        "stairs": "",
        "night_pain": None,
        "swelling": None,
        "stiffness_minutes": None,
    }
    visit.walk(until=("look_over",), submitted={"": nothing})
    visit.look("day-nothing-answered")
    visit.leave()


def rooms(stage: Stage) -> None:
    """My record in its spans and parts, the visit, and any door no other scene goes through."""
    visit = stage.visit()
    visit.through("record")
    if visit.key == "knee":
        visit.answer()
    page = visit.page
    assert isinstance(page, RecordPage)
    spans = page.findChildren(ChoiceList)[0]
    for span in Span:
        spans.set_value(span)
        spans.chosen.emit(span)
        visit.look(f"record-{span.value}".replace("_", "-"))
    for way in (*SECTIONS, PICK):
        record = visit.page
        assert isinstance(record, RecordPage)
        record.ways[way].click()
        visit.look(f"record-{way}")
        picking = visit.page
        if isinstance(picking, PickDaysPage) and picking.main is not None:
            picking.first.set_text("99.9.")
            picking.main.click()
            visit.look("record-pick-no-day")
        visit.back()
    visit.back()
    visit.through("visit")
    visit.look("visit")
    visit.answer(press="Write a question for the clinic")
    visit.look("visit-question")
    visit.answer({"text": "May I go back to the allotment?"})
    visit.look("visit-with-question")
    visit.answer()
    visit.look("visit-asked")
    visit.back()
    visit.answer(press="Save both files")
    visit.look("visit-saved")
    visit.answer()
    visit.through("visit")
    visit.answer(press="See what is handed over")
    visit.look("visit-handed")
    for kind in _ways(visit):
        visit.answer({"kind": kind})
        if visit.key == "handed_kind":
            visit.look(f"visit-handed-{kind}")
            visit.answer()
        visit.look(f"visit-handed-{kind}-entries")
        visit.answer(press="Back to what is handed over")
    visit.leave()
    for door in _other_doors(stage):
        visit = stage.visit()
        visit.through(door)
        visit.look(f"door-{door}")
        visit.leave()


def put_right(stage: Stage) -> None:
    """An answer of an earlier day put right, and an entry that should not be there."""
    visit = stage.visit()
    visit.through("record")
    if visit.key == "knee":
        visit.answer()
    record = visit.page
    assert isinstance(record, RecordPage)
    record.ways[PUT_RIGHT].click()
    visit.look("put-right-day")
    days = [day for day in _ways(visit) if day != "older"]
    visit.answer({"day": days[1]})
    visit.look("put-right-entries")
    scored = _scored_entry(visit)
    visit.look("put-right-entry")
    visit.answer({"do": scored})
    visit.look("put-right-answer")
    visit.answer({"value": 9})
    visit.look("put-right-look-over")
    visit.answer(press="Put it right")
    visit.look("put-right-done")
    visit.answer(press="Back to my record")
    visit.look("put-right-entries-then")
    visit.answer({"entry": "0"})
    visit.look("put-right-what-it-was")
    visit.answer({"do": "other_day"})
    visit.look("put-right-other-day")
    visit.back()
    visit.answer({"do": "withdraw"})
    visit.look("put-right-withdraw")
    visit.answer({"why": "never_happened"})
    visit.look("put-right-withdrawn")
    visit.leave()


def outing(stage: Stage) -> None:
    """Going out, and how it was; Help from within a walk."""
    visit = stage.visit()
    for out in ("going", "back", "morning"):
        if out == "morning":
            visit.later(15 * 60)
            visit.show()
        visit.through("outing")
        if visit.key == "knee":
            visit.answer()
        for _ in range(40):
            if visit.key in ("FrontPage", "finished"):
                break
            if not visit.key.startswith(("gate", "list", "tape:")):
                visit.look(f"outing-{out}-{spoken(visit.key)}")
            visit.answer()
        visit.look(f"outing-{out}-end")
        visit.walk()
    visit.through("routine")
    if visit.key == "knee":
        visit.answer()
    button = visit.page.bar.help
    assert button is not None
    button.click()
    visit.look("help")
    visit.leave()


def settings(stage: Stage) -> None:
    """Settings and help, every room behind it, and the routine from the helper's side."""
    visit = stage.visit()
    visit.through("settings")
    visit.look("settings")
    for room in _ways(visit):
        if room in ("plan", "practice"):
            continue
        visit.answer({"room": room})
        visit.look(f"settings-{room}")
        if room == "data":
            visit.answer({"do": "delete"})
            visit.look("settings-take-away")
            visit.back()
        visit.back()
        if visit.key != "settings":
            visit.through("settings")
    visit.answer({"room": "who"})
    visit.answer({"who": "helper"})
    visit.back()
    visit.through("routine")
    if visit.key == "knee":
        visit.answer()
    visit.walk(until=("step:1:1", "look_over"), scores=(7,))
    visit.look("helper-step")
    visit.leave()


def away(stage: Stage) -> None:
    """A journey: its days, what is there, its page, the front page and a card meanwhile."""
    visit = stage.visit()
    visit.through("settings")
    visit.answer({"room": "journey"})
    visit.look("journey-days")
    visit.answer({"leave_in": 0, "days": 12})
    there = {"where": "Lisk", "emergency": "0700 911", "clock": "behind", "hours": 8}
    visit.fill_in(there)
    visit.look("journey-there")
    visit.answer(there)
    visit.look("journey")
    visit.show()
    visit.look("front-away")
    visit.through("add")
    visit.answer({"about": "help"})
    visit.look("card-away")
    visit.leave()


def second_voice(stage: Stage) -> None:
    """The routine while a helper sits at the screen: whose turn each page is."""
    visit = stage.visit()
    visit.through("settings")
    visit.answer({"room": "who"})
    visit.answer({"who": "helper"})
    visit.back()
    visit.look("front")
    visit.through("routine")
    if visit.key == "knee":
        visit.answer()
    visit.look("gate")
    visit.answer()
    visit.walk(until=("whose_no",))
    visit.look("whose-no")
    visit.answer({"whose": "helper"})
    visit.answer(press="Not with somebody here")
    visit.look("alone")
    visit.answer({"alone": "later"})
    visit.through("routine")
    if visit.key == "knee":
        visit.answer()
    visit.walk(until=("rest_pain",))
    visit.look("rest-pain")
    for until in ("move:", "zones", "hands_ready", "step:", "exercise:", "look_over"):
        visit.walk(until=(until,), scores=(7, 3))
        visit.look(until.strip(":"))
    visit.leave()


def elsewhere(stage: Stage) -> None:
    """A second place for copies: asked, written, refused, old; the way to another computer."""
    visit = stage.visit()
    visit.elsewhere.said = SecondPlace()
    visit.show()
    visit.look("front-asks")
    visit.through("second")
    visit.look("second-asked")
    visit.elsewhere.refused = not_saved_words(Trouble(why="No space left on device"))
    visit.answer({"way": "choose"})
    visit.look("second-refused")
    visit.elsewhere.refused = ""
    visit.answer({"way": "choose"})
    visit.look("second-copied")
    copied = replace(visit.elsewhere.said, last=visit.day - timedelta(days=12))
    for name, said in (
        ("in-time", copied),
        ("old", replace(copied, last=visit.day - timedelta(days=34))),
        ("other", replace(copied, other=True)),
    ):
        visit.elsewhere.said = said
        visit.show()
        visit.look(f"front-copy-{name}")
    visit.through("settings")
    visit.answer({"room": "data"})
    visit.answer({"do": "second"})
    visit.look("second-set")
    visit.elsewhere.state = "other"
    visit.back()
    visit.answer({"do": "second"})
    visit.look("second-other-stick")
    visit.elsewhere.state, visit.elsewhere.same_disk = "there", True
    visit.back()
    visit.answer({"do": "second"})
    visit.look("second-same-disk")
    visit.back()
    visit.answer({"do": "move"})
    visit.look("move")
    visit.answer()
    visit.look("move-done")
    visit.leave()
    found = FoundDiary("K-07", 214, 61, stage.person.last_day)
    for view in (
        writing_view(),
        used_before_view(),
        used_before_view(phrase("No diary was found there.")),
        searching_view(),
        found_view((found, replace(found, person="K-19", things=1, days=1))),
        notice_view(phrase("Your diary goes on here"), moved_in_words(found)),
        moved_away_view(stage.person.last_day, stage.person.plan),
    ):
        stage.window.show_page(AskingPage(view, help_offered=False))
        stage.look(spoken(view.key), stage.window.page())  # type: ignore[arg-type]


def chair(stage: Stage) -> None:
    """The chair stand from the record and from the visit, to its result; and where it ends."""
    folder = stage.person.store()
    day = stage.person.last_day + timedelta(days=1)
    old = stage.person.plan
    offered = replace(
        old,
        version=old.version + 1,
        written_on=day,
        chair_stand="with_someone",
        sex=old.sex or "female",
    )
    journal = Journal.open(folder, PinnedClock(day))
    journal.append(plans=(offered,))
    journal.close()
    visit = stage.visit(folder=folder)
    visit.through("record")
    if visit.key == "knee":
        visit.answer()
    visit.look("record")
    visit.back()
    visit.through("visit")
    visit.look("visit-due")
    visit.answer(press=chair_name())
    visit.walk(until=("chair",))
    for _ in range(10):
        visit.look(spoken(visit.key))
        if visit.key == "count:1":
            visit.wait_out(17)
            visit.look("count-runs")
            visit.answer(press="The time is over")
            visit.look("count-short")
            visit.answer()
            visit.wait_out(60)
            visit.look("count-over")
        if visit.key == "finished":
            break
        visit.answer({"seat_cm": 44, "stood": "yes", "count": 11, "arms": "no", "there": "yes"})
    visit.answer()
    for reason, submitted in (
        ("nobody", {"someone": {"there": "no"}}),
        ("pain", {"try": {"pain": 8}}),
        ("no-stand", {"try": {"stood": "no"}}),
        ("stopped", {}),
    ):
        visit.through("visit")
        visit.answer(press=chair_name())
        visit.walk(until=("not_now", "count:1"), submitted=submitted)
        if visit.key == "count:1":
            visit.answer(press="I had to stop")
        visit.look(f"not-now-{reason}")
        visit.answer()
    visit.leave()


def papers(stage: Stage) -> None:
    """Days away and measuring the knee, where the plan tapes."""
    visit = stage.visit()
    visit.through("settings")
    visit.answer({"room": "papers"})
    if "away" in _ways(visit):
        visit.answer({"paper": "away"})
        visit.look("days-away")
        visit.answer({"days": 10})
        visit.look("days-away-told")
        visit.start()
        visit.through("settings")
        visit.answer({"room": "papers"})
        visit.answer({"paper": "measure"})
        visit.look("measure-bump")
        visit.answer()
        visit.look("measure-edge")
        visit.answer()
        visit.look("measure-readings")
        visit.answer({"unit": "cm", "first": 8.0, "second": 9.0})
        visit.look("measure-differ")
        visit.answer()
        visit.answer({"unit": "cm", "first": 8.5, "second": 8.7})
        visit.look("measure-agrees")
    visit.leave()


def stopping(stage: Stage) -> None:
    """Stop in the middle of the routine, and going on from there; help at once."""
    visit = stage.visit()
    visit.through("routine")
    visit.walk(until=("rest_pain",))
    visit.stop()
    visit.look("stop")
    visit.answer({"about": "5"})
    visit.look("stop-rows")
    visit.answer({"signs": (), "rest": "none"})
    visit.walk(until=("stop:1:go_on",))
    visit.look("stop-go-on")
    visit.answer(press="Something else is wrong")
    visit.answer({"about": "help"})
    visit.look("stop-help-now")
    visit.answer(press="I ticked this by mistake")
    visit.answer()
    visit.answer({"about": "none"})
    visit.answer()
    assert visit.key == "rest_pain"
    visit.back()
    visit.leave()


def trouble(stage: Stage) -> None:
    """The disk is full; an answer is missing; the diary cannot be opened."""
    visit = stage.visit()
    visit.through("routine")
    visit.walk(until=("rest_pain",))
    page = visit.page
    assert page.main is not None
    page.main.click()
    visit.look("answer-missing")
    visit.disk_full(True)
    visit.answer()
    visit.look("not-saved")
    visit.disk_full(False)
    visit.answer()
    visit.leave()
    for why, fault in _cannot_be_opened(stage):
        words = store_fault_words(fault)
        view = notice_view(phrase("The diary cannot be opened"), words, ends=True)
        stage.window.show_page(AskingPage(view))
        stage.look(f"cannot-be-opened-{why}", stage.window.page())  # type: ignore[arg-type]
    record = stage.person.record
    rows = tuple(enumerate(record.entries, 1))
    lost = tuple(Lost(e.id, e.kind, e.for_day) for e in record.entries[:2])
    hurt = Salvage(plans=record.plans, rows=rows[2:], lost=lost, store_read=True)
    for view in (
        looking_view(),
        bringing_up_view(),
        mending_view(hurt, stage.person.last_day - timedelta(days=3)),
        notice_view(phrase("Your diary is whole again"), mended_words(hurt, "damaged-1.sqlite3")),
        gone_view(stage.person.last_day, 214, "/media/disk/homeknee"),
        no_answer_view(),
        taken_away_view(("Letters", "tax.pdf")),
    ):
        stage.window.show_page(AskingPage(view, help_offered=False))
        stage.look(spoken(view.key), stage.window.page())  # type: ignore[arg-type]


def _cannot_be_opened(stage: Stage) -> Iterator[tuple[str, JournalFault]]:
    """A store that is open elsewhere and one that is damaged, a file in place of the folder, and a
    folder that may only be read."""
    clock = PinnedClock(stage.person.last_day)
    folder = stage.person.store()
    with Journal.open(folder, clock):
        yield "in-use", _refused(folder, clock)
    (folder / STORE).write_bytes(b"\0" * 4096)
    yield "damaged", _refused(folder, clock)
    for why in (coded("no_folder"), coded("only_readable")):
        said = coded("store_unusable", folder="/home/edda/diary", why=why)
        yield spoken(why.code), JournalUnwritable(said)


def _refused(folder: Path, clock: PinnedClock) -> JournalFault:
    try:
        Journal.open(folder, clock).close()
    except JournalFault as fault:
        return fault
    raise AssertionError("it opened")


SCENES: dict[str, Scene] = {
    "first-time": first_time,
    "routine": routine,
    "short": short_evening,
    "stop-list": stop_list,
    "cards": cards,
    "hard-days": hard_days,
    "no-move": no_move,
    "decisions": decisions,
    "tape": tape,
    "tape-trial": tape_trial,
    "test-piece": test_piece,
    "day": day_pages,
    "rooms": rooms,
    "put_right": put_right,
    "outing": outing,
    "settings": settings,
    "away": away,
    "second_voice": second_voice,
    "elsewhere": elsewhere,
    "chair": chair,
    "papers": papers,
    "stopping": stopping,
    "trouble": trouble,
    "bad_spell": bad_spell,
    "less_today": less_today,
    "unsettled": unsettled,
}

_MET_IN_SCENES = {
    "routine",
    "add",
    "tape",
    "outing",
    "day",
    "record",
    "visit",
    "card",
    "settings",
    "spell",
}


def _other_doors(stage: Stage) -> tuple[str, ...]:
    """Doors of the front page that no scene above goes through."""
    visit = stage.visit()
    doors = tuple(door for door in visit.doors() if door not in _MET_IN_SCENES)
    visit.leave()
    return doors


def _scored_entry(visit: Visit) -> str:
    """Through the first entry of a day that holds a score, and the door of that score."""
    for entry in _ways(visit):
        visit.answer({"entry": entry})
        for do in _ways(visit):
            if do.endswith(("score", "pain_average")):
                return do
        visit.back()
    raise LookupError("no entry of the day holds a score")


def _ways(visit: Visit) -> list[str]:
    """Where the page that is shown leads to."""
    page = visit.page
    assert isinstance(page, AskingPage)
    return [
        str(option.value)
        for block in page.view.blocks
        if isinstance(block, ActionList)
        for option in block.options
    ]


def _to_tape(visit: Visit) -> None:
    """Through the tape door, the first knee where it asks."""
    visit.through("tape")
    if visit.key == "knee":
        visit.answer()


def _to_gate(visit: Visit) -> None:
    """To the gate of the routine."""
    visit.through("routine")
    if visit.key == "knee":
        visit.answer()
    visit.walk(until=("gate",))


def _to_list(visit: Visit) -> None:
    """Through the gate to the rows of all its questions."""
    _to_gate(visit)
    visit.answer(SOMETHING_NEW)
    visit.walk(until=("list:1",), submitted={"list:1:topics": {"topics": ()}})
    if visit.key.endswith("topics"):
        visit.answer()


def _offered(visit: Visit) -> list[str]:
    """The signs the stop list that is shown offers."""
    page = visit.page
    assert isinstance(page, AskingPage)
    return [
        str(option.value)
        for block in page.view.blocks
        for option in getattr(block, "options", ())
        if getattr(block, "name", "") == "signs"
    ]


def _to_day(visit: Visit, look: str = "") -> None:
    """To the first question of today's day page."""
    visit.through("day")
    for key in ("knee", "which_day"):
        if visit.key == key:
            if look and key == "which_day":
                visit.look(look)
            visit.answer()


def _days_with(stage: Stage, form: str) -> Iterator[int]:
    """Days after the record's last one whose day page has this form."""
    folder = stage.person.store()
    for later in range(1, 15):
        clock = PinnedClock(stage.person.last_day + timedelta(days=later))
        with Journal.open(folder, clock) as journal:
            context = Context(journal=journal, clock=clock, catalogue=stage.person.catalogue)
            plan = stage.person.plan
            start = DayWalk().start(context, plan, plan.sides[0], clock.today())
        if start.form == form:
            yield later
