"""Every caution through the pages of Home: nothing it closes is offered, everything it leaves open
is, and what it asks for stands before it; in the booklet too."""

from datetime import timedelta
from typing import Any

import pytest

from companion.care.caution_rules import (
    DAILY_LOOK_CAUTIONS,
    caution_judgement,
    front_page_daily_look,
    tape_looked_at_daily,
)
from companion.care.chair_questions import ChairStart, CountPage, HowPage, chair_walk
from companion.care.flow import WalkPage
from companion.care.ready import ReadyPage, asks_of
from companion.care.records import CheckMove, KnownSign, Part, Plan, Support
from companion.care.routine import ExercisePage, MovePage, StepPage
from companion.care.stopping import CardPage, SignTicked, closed_now
from companion.care.taping import TapeCheckPage, TapeOnPage, TapeReadyPage, TapeStepPage
from companion.presentation.home.home_pages import tape_room_view
from companion.presentation.home.walk_pages import ViewContext, page_view
from companion.presentation.language.caution_words import ASKS, SAID_ELSEWHERE, asked_for
from companion.presentation.language.words import daily_look, daily_look_today
from companion.presentation.papers.booklet import booklet
from companion.services.plan_preview import routine_pages
from tests.builders import DAY, at
from tests.care.content import CATALOGUE, POLICY, answered, no_to_all
from tests.care.test_routine import walk_with
from tests.care.walking import EXERCISES, start_of, taught_plan
from tests.presentation.wording import faults, lines

ASKED = [row.caution for row in POLICY.cautions if not row.rest]
TAPED: dict[str, Any] = {"when": "always", "start": 1, "highest": 1, "make": "Slate 50"}


def plan_of(caution: str = "", *, allowed: bool = True, **fields: Any) -> Plan:
    said = answered(caution, allowed=allowed) if caution else no_to_all()
    whole: dict[str, Any] = {"cautions": said, "check_move": CheckMove(safe="alone")}
    return taught_plan(TAPED, **(whole | fields))


def offered(plan: Plan) -> tuple[WalkPage, ...]:
    return routine_pages(plan, "right", CATALOGUE, DAY)


def part_at(page: WalkPage) -> Part | None:
    """The part of the routine a page is of."""
    match page:
        case StepPage():
            return "hands"
        case ExercisePage():
            return POLICY.exercise_part(page.exercise.exercise)
        case MovePage():
            return "check_move"
        case TapeStepPage():
            return "tape_on"
    return None


def said_on(pages: tuple[WalkPage, ...], plan: Plan, *, helping: bool = False) -> str:
    setting = ViewContext(plan=plan, side="right", catalogue=CATALOGUE, helping=helping)
    return " ".join(line for page in pages for line in lines(page_view(page, setting)))


@pytest.mark.parametrize("caution", ASKED)
@pytest.mark.parametrize("allowed", [False, True])
def test_nothing_closed_is_offered_and_everything_open_is(caution: str, allowed: bool) -> None:
    plan = plan_of(caution, allowed=allowed)
    found = {part_at(page) for page in offered(plan)} - {None}
    shut = {
        part
        for part in ("hands", "seated", "standing", "check_move", "tape_on")
        if caution_judgement(plan, part, POLICY).blocked
    }
    everything = {"hands", "seated", "standing", "check_move", "tape_on"}
    # Without hands nothing is scored, and without a score no tape goes on in the routine.
    if "hands" in shut or "check_move" in shut:
        shut |= {"check_move", "tape_on"}
    assert found == everything - shut


@pytest.mark.parametrize("caution", ASKED)
@pytest.mark.parametrize("helping", [False, True])
def test_what_a_caution_asks_for_stands_where_it_matters(caution: str, helping: bool) -> None:
    plan = plan_of(caution)
    pages = offered(plan)
    met = {part_at(page) for page in pages}
    said = said_on(pages, plan, helping=helping)
    for one in asks_of(plan, POLICY):
        if one.part not in met:
            continue
        wanted = [ask for ask in one.asks if ask not in SAID_ELSEWHERE]
        if one.part == "tape_on":
            wanted = [ask for ask in wanted if ask != "helper_there"]  # by the reach question
        for sentence in asked_for(wanted, helping=helping, tape=one.part == "tape_on"):
            assert sentence in said, (one.part, sentence)
    setting = ViewContext(plan=plan, side="right", catalogue=CATALOGUE, helping=helping)
    shown = [page for page in pages if isinstance(page, ReadyPage | TapeReadyPage)]
    assert [fault for page in shown for fault in faults(lines(page_view(page, setting)))] == []


def test_who_has_no_caution_meets_no_page_of_theirs() -> None:
    assert not any(isinstance(page, ReadyPage) for page in offered(plan_of()))


def test_it_is_asked_once_for_all_it_is_needed_for() -> None:
    """Phone, chair, shoes and light are asked before the first check move, not before the
    exercises again."""
    pages = offered(plan_of("lives_alone"))
    (asked,) = [page for page in pages if isinstance(page, ReadyPage)]
    assert asked.asks == ("phone_on_you", "chair_behind", "firm_shoes", "light_on")
    assert pages.index(asked) < next(n for n, p in enumerate(pages) if isinstance(p, MovePage))


def test_what_is_not_ready_closes_its_part_and_leaves_the_rest() -> None:
    plan = plan_of("weak_hands")
    start = start_of(plan, asks=asks_of(plan, POLICY))
    pages, end = walk_with(plan, start, ready={"ready": "no"})
    assert {part_at(page) for page in pages} - {None} == {"seated"}
    assert end.moves == ()
    keys = [page.key for page in pages if isinstance(page, ReadyPage)]
    assert keys == ["ready:hands", "ready:standing"]


def test_a_helper_who_is_not_there_is_asked_about_once() -> None:
    plan = plan_of("cannot_tell_pain")
    start = start_of(plan, asks=asks_of(plan, POLICY))
    pages, _ = walk_with(plan, start, ready={"ready": "no"})
    assert [page.key for page in pages if isinstance(page, ReadyPage)] == ["ready:hands"]
    assert {part_at(page) for page in pages} == {None}, "nothing is done without the helper"


def test_a_move_that_is_safe_with_somebody_there_asks_for_somebody() -> None:
    plan = plan_of(check_move=CheckMove(name="stairs", safe="with_someone"))
    (asked,) = [page for page in offered(plan) if isinstance(page, ReadyPage)]
    assert asked.asks == ("somebody_there",)
    assert ASKS["somebody_there"].person in said_on((asked,), plan)


@pytest.mark.parametrize("caution", ["falls_two", "uncontrolled_pressure"])
def test_the_chair_stand_obeys_cautions_too(caution: str) -> None:
    plan = plan_of(caution, allowed=False, chair_stand="alone")
    shut = bool(caution_judgement(plan, "check_move", POLICY).blocked)
    for ready in ("yes", "no"):
        start = ChairStart(
            safe="alone",
            ceiling=5,
            gate_asked=True,
            closed=("check_move",) if shut else (),
            asks=asks_of(plan, POLICY),
        )
        walk = chair_walk(CATALOGUE, start)
        pages = [next(walk)]
        submitted = {"ready": ready, "seat_cm": 43}
        while not isinstance(pages[-1], HowPage | CountPage):
            try:
                pages.append(walk.send(submitted))
            except StopIteration:
                break
        asked = any(isinstance(page, ReadyPage) for page in pages)
        assert asked == (not shut)
        assert isinstance(pages[-1], HowPage) == (not shut and ready == "yes")


def test_a_known_giving_way_leaves_open_what_the_clinician_ticked_with_its_support() -> None:
    plan = plan_of()
    ticked = [SignTicked(sign="gives_way_known", mistake=False)]
    rows: tuple[tuple[tuple[Part, ...], Support | None], ...] = (
        ((), None),
        (("standing",), "both_hands"),
        (("standing", "check_move"), "somebody_there"),
        (("standing", "check_move"), "nothing"),
    )
    for stays, support in rows:
        how = KnownSign(sign="gives_way_new", since=DAY, stays_open=stays, support=support)
        start = start_of(plan, known=(how,))
        closed = closed_now(CATALOGUE, start, {}, ticked)
        assert closed == {"standing", "check_move"} - set(stays)
        assert closed_now(CATALOGUE, start, {}, ()) == set()
        worse = [SignTicked(sign="gives_way_worse", mistake=False)]
        assert {"standing", "check_move"} <= closed_now(CATALOGUE, start, {}, worse)


def test_the_booklet_says_it_too_and_goes_by_no_day_of_the_helper() -> None:
    for caution in ASKED:
        plan = plan_of(caution, exercises=EXERCISES)
        paper = str(booklet(plan, CATALOGUE, today=DAY).pages)
        for one in asks_of(plan, POLICY):
            if one.part in ("hands", "seated", "standing", "check_move"):
                left = [ask for ask in one.asks if ask not in SAID_ELSEWHERE]
                blocked = caution_judgement(plan, one.part, POLICY).blocked
                assert bool(blocked) or all(words in paper for words in asked_for(left))
    helped = plan_of("weak_hands", helper_days=("monday",))
    whole = [
        len(booklet(helped, CATALOGUE, today=DAY + timedelta(days=day)).pages) for day in range(7)
    ]
    assert len(set(whole)) == 1


@pytest.mark.parametrize("sign", [sign.id for sign in CATALOGUE.stop_list.signs])
def test_who_lives_alone_is_told_to_call_first_and_unlock_the_door(sign: str) -> None:
    """On the cards of what cannot wait for tomorrow, and of a knock to the head (rule r13); to a
    helper who is there it is not said."""
    pressing = CATALOGUE.sign(sign).level in ("emergency", "today") or sign in POLICY.watch.heads
    card = CardPage(key="card", sign=sign)
    for caution, helping in (("lives_alone", False), ("lives_alone", True), ("clot", False)):
        said = said_on((card,), plan_of(caution), helping=helping)
        wanted = caution == "lives_alone" and not helping and pressing
        assert ("Unlock your door" in said) == wanted


def test_a_flare_holds_back_by_the_one_caution_that_is_asked_about() -> None:
    """Home looks for a flare only where this caution was answered yes."""
    assert [row.caution for row in POLICY.cautions if row.flare] == ["inflamed_arthritis"]


@pytest.mark.parametrize("caution", ASKED)
def test_a_daily_look_is_told_wherever_tape_is_on(caution: str) -> None:
    plan = taught_plan(cautions=answered(caution, allowed=True))
    wanted = caution == "numb_feet"  # (fact: cautions_acted_on): daily look by helper
    assert tape_looked_at_daily(plan, POLICY) == wanted
    assert front_page_daily_look(plan) == wanted, "the front page does without the catalogue"
    assert (caution in DAILY_LOOK_CAUTIONS) == wanted
    for helping in (False, True):
        setting = ViewContext(plan=plan, side="right", catalogue=CATALOGUE, helping=helping)
        told = daily_look(helping=helping)
        for walked in (TapeOnPage(key="tape_on:1", stage=1), TapeCheckPage()):
            found = lines(page_view(walked, setting))
            assert (told in found) == wanted
            assert faults(found) == []
        paper = booklet(plan, CATALOGUE, today=at(10).date(), for_helper=helping)
        assert (told in str(paper.pages)) == wanted


def test_the_tape_room_says_it_too() -> None:
    view = tape_room_view("Right knee", "Off this evening at 21:00", looked_at_daily=True)
    assert daily_look_today() in lines(view)
    assert faults(lines(view)) == []
