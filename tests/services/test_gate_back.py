"""Back over a gate that was answered outside a session, in the real store."""

from datetime import datetime, timedelta
from typing import Any

import pytest

from companion.care.flow import Given
from companion.care.records import GateAnswer, KnownSign, WarningSign
from companion.care.stop_rules import full_list_due
from companion.care.stopping import (
    CardPage,
    GatePage,
    KnownPage,
    NoneTickedPage,
    StopListPage,
)
from companion.services.chair_stand import ChairWalk
from companion.services.outing import OutingWalk
from companion.services.routine import RoutineWalk
from companion.services.tape import TapeOnWalk, gate_asked_today, gate_kept_today
from companion.services.walks import WalkKind, WalkStep, back, begin, give
from tests.builders import NOTHING_NEW, at, session
from tests.care.walking import taught_plan
from tests.services.conftest import Keep
from tests.services.context_for_tests import (
    HandClock,
    Kept,
    answer_by,
    counting,
    of,
    shown,
    walk_on,
)

NONE, SOMETHING = NOTHING_NEW, NOTHING_NEW | {"q2": "yes"}
CARD = "fall_unhurt"
LISTED_YESTERDAY = session(9, 7, 3, full_list=True)
"""So no list is due today, and the gate is asked alone."""


@pytest.fixture(params=[TapeOnWalk(), OutingWalk(), ChairWalk()], ids=lambda c: c.name)
def conduct(request: pytest.FixtureRequest) -> WalkKind[Any, Any]:
    made: WalkKind[Any, Any] = request.param
    return made


@pytest.fixture
def diary(keep: Keep) -> Kept:
    return keep(LISTED_YESTERDAY, plan=taught_plan(chair_stand="alone"))


def went(diary: Kept, conduct: WalkKind[Any, Any], *submitted: Given) -> WalkStep[Any]:
    """Where a walk stands after these answers from where it stood."""
    outcome = begin(diary.context, conduct, "right")
    for answer in submitted:
        assert isinstance(outcome, WalkStep)
        outcome = give(diary.context, conduct, outcome, answer)
    assert isinstance(outcome, WalkStep)
    return outcome


def went_back(diary: Kept, conduct: WalkKind[Any, Any]) -> WalkStep[Any]:
    outcome = back(diary.context, conduct, went(diary, conduct))
    assert isinstance(outcome, WalkStep)
    return outcome


def routine_asks(diary: Kept) -> bool:
    return isinstance(shown(begin(diary.context, RoutineWalk(), "right")), GatePage)


def test_back_shows_the_gate_and_the_same_answer_writes_nothing_more(
    diary: Kept, conduct: WalkKind[Any, Any]
) -> None:
    after = went(diary, conduct, NONE)
    assert after.can_go_back
    assert isinstance(went_back(diary, conduct).page, GatePage)
    (kept,) = of(diary.context, GateAnswer)
    assert kept.gate == "none", "Back is no answer: what was said is in force until it is changed"
    diary.clock.pass_by(minutes=1)
    assert went(diary, conduct, NONE).page == after.page
    assert of(diary.context, GateAnswer) == [kept]


def test_a_page_further_on_leads_back_to_the_gate_one_page_at_a_time(diary: Kept) -> None:
    conduct = OutingWalk()
    going = {"what_for:1": {"what": "1"}, "tape_for_outing": {"tape": "yes"}}
    walk_on(diary.context, conduct, answer=answer_by(going), until="tape_ready")
    keys = []
    while (outcome := went(diary, conduct)).can_go_back:
        keys.append(outcome.page.key)
        went_back(diary, conduct)
    assert keys[0] == "tape_ready"
    assert isinstance(outcome.page, GatePage)


def test_a_changed_answer_is_a_correction_on_disk_before_its_list(
    diary: Kept, conduct: WalkKind[Any, Any]
) -> None:
    went(diary, conduct, NONE)
    went_back(diary, conduct)
    diary.clock.pass_by(minutes=2)
    changed = went(diary, conduct, SOMETHING)
    assert isinstance(changed.page, StopListPage)
    assert changed.page.questions == (2,)
    first, second = of(diary.context, GateAnswer)
    assert (first.gate, second.gate, second.replaces) == ("none", "something", first.id)
    assert second.happened_at == first.happened_at, "one gate, answered again"
    assert second.written_at == first.written_at + timedelta(minutes=2)
    assert not second.full_list, "not every sign was shown"
    assert counting(diary.context, GateAnswer) == [second]
    assert not changed.can_go_back, "a level only rises"
    assert back(diary.context, conduct, changed) is changed


def test_the_list_it_opens_is_as_ever_and_its_card_is_on_disk(
    diary: Kept, conduct: WalkKind[Any, Any]
) -> None:
    went(diary, conduct, NONE)
    went_back(diary, conduct)
    card = went(diary, conduct, SOMETHING, {"signs": (CARD,)})
    assert isinstance(card.page, CardPage)
    (warning,) = of(diary.context, WarningSign)
    (gate,) = counting(diary.context, GateAnswer)
    assert (warning.sign, gate.gate, gate.full_list) == (CARD, "something", False)
    assert not card.can_go_back
    context = diary.context
    plan, today = card.state.plan, diary.clock.today()
    assert full_list_due(plan, context.entries, today) == "card"
    assert not gate_asked_today(context.entries, today)
    assert not gate_kept_today(context.entries, today)


def test_a_list_with_nothing_ticked_ends_the_changed_gate(
    diary: Kept, conduct: WalkKind[Any, Any]
) -> None:
    further = went(diary, conduct, NONE)
    went_back(diary, conduct)
    none = went(diary, conduct, SOMETHING, {"signs": (), "rest": "none"})
    assert isinstance(none.page, NoneTickedPage)
    assert went(diary, conduct, {}).page == further.page
    (gate,) = counting(diary.context, GateAnswer)
    assert (gate.gate, gate.full_list) == ("something", False)
    assert len(of(diary.context, GateAnswer)) == 2
    assert full_list_due(none.state.plan, diary.context.entries, diary.clock.today()) is None
    assert routine_asks(diary), "the gate in force is not none"


def test_the_routine_asks_again_only_when_the_gate_in_force_is_not_none(
    diary: Kept, conduct: WalkKind[Any, Any]
) -> None:
    went(diary, conduct, NONE)
    assert not routine_asks(diary)
    went_back(diary, conduct)
    assert not routine_asks(diary)
    went(diary, conduct, SOMETHING)
    assert routine_asks(diary), "also when the list was left"


@pytest.mark.parametrize("answered", [0, 1, 2, 3])
def test_killed_anywhere_it_takes_up_at_the_page_that_was_shown(
    answered: int, diary: Kept, conduct: WalkKind[Any, Any]
) -> None:
    went(diary, conduct, NONE)
    diary.kill()
    page = went_back(diary, conduct).page
    for submitted in (SOMETHING, {"signs": (CARD,)}, {"card": "read"})[:answered]:
        page = went(diary, conduct, submitted).page
    before = [*diary.context.journal.entries()]
    diary.kill()
    assert went(diary, conduct).page == page
    assert [*diary.context.journal.entries()] == before


def test_back_leads_to_the_gate_that_showed_every_sign(
    keep: Keep, conduct: WalkKind[Any, Any]
) -> None:
    diary = keep(plan=taught_plan(chair_stand="alone"))  # the first use shows every sign
    further = went(diary, conduct, NONE)
    (kept,) = of(diary.context, GateAnswer)
    assert (kept.gate, kept.full_list) == ("none", True)
    back_at = went_back(diary, conduct).page
    assert isinstance(back_at, GatePage)
    assert back_at.reason == "first_use"
    assert went(diary, conduct, NONE).page == further.page
    assert of(diary.context, GateAnswer) == [kept]
    went_back(diary, conduct)
    diary.clock.pass_by(minutes=1)
    assert isinstance(went(diary, conduct, SOMETHING).page, StopListPage)
    first, second = of(diary.context, GateAnswer)
    assert (second.gate, second.full_list, second.replaces) == ("something", True, first.id)
    went(diary, conduct, {"signs": (), "rest": "none"}, {})
    assert of(diary.context, GateAnswer) == [first, second]
    while (outcome := went(diary, conduct)).can_go_back:
        went_back(diary, conduct)
    assert isinstance(outcome.page, StopListPage), "the rows may be read again, the gate stands"


def test_every_sign_shown_on_request_is_kept_as_read(
    diary: Kept, conduct: WalkKind[Any, Any]
) -> None:
    every = went(diary, conduct, {"show": "all"})
    assert isinstance(every.page, GatePage)
    assert every.page.reason == "wanted"
    assert every.can_go_back
    assert not of(diary.context, GateAnswer)
    went(diary, conduct, NONE)
    (kept,) = of(diary.context, GateAnswer)
    assert (kept.gate, kept.full_list) == ("none", True)


def test_the_gate_keeps_every_reply_and_how_the_knee_took_the_last_routine(
    diary: Kept, conduct: WalkKind[Any, Any]
) -> None:
    went(diary, conduct, NONE | {"after_last": "more_next_morning"})
    (kept,) = of(diary.context, GateAnswer)
    assert [(one.question, one.said) for one in kept.gate_replies] == [
        (number, "no") for number in (1, 2, 3, 4)
    ]
    assert (kept.side, kept.after_last) == ("right", "more_next_morning")


def test_known_signs_as_before_are_kept_with_the_gate(
    keep: Keep, conduct: WalkKind[Any, Any]
) -> None:
    known = (KnownSign(sign="rest_or_night_pain", since=at(0).date()),)
    plan = taught_plan(chair_stand="alone", known_signs=known)
    diary = keep(LISTED_YESTERDAY, plan=plan)
    page = went(diary, conduct, NONE)
    assert isinstance(page.page, KnownPage)
    assert not of(diary.context, GateAnswer), "half of it is still to be answered"
    further = went(diary, conduct, {"rest_or_night_pain": "as_before"})
    (kept,) = of(diary.context, GateAnswer)
    assert kept.gate == "none"
    assert [(one.sign, one.said) for one in kept.known_replies] == [
        ("rest_or_night_pain", "as_before")
    ]
    assert not of(diary.context, WarningSign)
    assert isinstance(went_back(diary, conduct).page, KnownPage)
    changed = went(diary, conduct, {"rest_or_night_pain": "worse"})
    assert isinstance(changed.page, CardPage)
    assert counting(diary.context, GateAnswer)[0].gate == "something"
    assert [one.sign for one in of(diary.context, WarningSign)] == ["rest_or_night_pain"]
    assert further.page != changed.page


def test_a_gate_whose_list_was_left_puts_no_weekly_list_off(keep: Keep) -> None:
    diary = keep(session(4, 7, 3, full_list=True), plan=taught_plan())
    conduct = TapeOnWalk()
    plan = went(diary, conduct, NONE).state.plan
    went_back(diary, conduct)
    went(diary, conduct, SOMETHING)
    diary.clock.pass_by(days=1)
    assert full_list_due(plan, diary.context.entries, diary.clock.today()) == "weekly"


def test_the_gate_written_last_is_in_force(diary: Kept) -> None:
    went(diary, OutingWalk(), NONE)
    diary.clock.pass_by(minutes=5)
    went_back(diary, OutingWalk())
    went(diary, OutingWalk(), SOMETHING, {"signs": (), "rest": "none"}, {})
    today = diary.clock.today()
    assert not gate_asked_today(diary.context.entries, today)
    diary.clock.pass_by(minutes=5)
    walk_on(diary.context, RoutineWalk())  # asks the gate, which is answered with none
    assert gate_asked_today(diary.context.entries, today)
    assert not gate_kept_today(diary.context.entries, today), "each session has its own"


class _Running(HandClock):
    """Goes on between any two looks at it, as the machine's does."""

    def now(self) -> datetime:
        self.pass_by(microseconds=1)
        return super().now()


def test_no_card_is_older_than_its_gate(keep: Keep) -> None:
    diary = keep(LISTED_YESTERDAY)
    running = _Running(diary.clock.now())
    diary.clock = running
    diary.kill()
    ticked = {"gate": SOMETHING, "list:1": {"signs": (CARD,)}}
    walk_on(diary.context, TapeOnWalk(), answer=answer_by(ticked), until=f"list:1:{CARD}:card")
    (gate,), (warning,) = of(diary.context, GateAnswer), of(diary.context, WarningSign)
    assert gate.happened_at <= warning.happened_at
    plan = diary.context.plan()
    assert plan is not None
    assert full_list_due(plan, diary.context.entries, running.today()) == "card"
