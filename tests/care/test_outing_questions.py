"""Going out, how it was, and the morning after.

More pain the morning after: care; two days running: call (fact: pain_after_hours). Tape 60 minutes
before walking far or water (fact: tape_warm_up), and tape off as part of an outing (C).
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care import outing_questions as going
from companion.care import outings_waiting as waits
from companion.care.clearing import MistakePage, OpenSignPage, TalkedPage
from companion.care.flow import Walk, WalkPage
from companion.care.records import Amount, AmountPlan, AnyEntry, Outing
from companion.care.stopping import CardPage, GatePage, StopListPage, TopicsPage
from companion.care.tape_gate import TapeReason
from companion.care.taping import (
    NoTapePage,
    SkinPage,
    TapeCheckPage,
    TapeOnPage,
    TapeReadyPage,
    TapeStepPage,
    TapeTakenOffPage,
)
from tests.builders import DAY, NOTHING_NEW, SOMETHING_NEW, at, new_id, of_knees, warning
from tests.care.asking import asked, opens_nothing
from tests.care.content import CATALOGUE

WALK = AmountPlan(label="Walk", unit="min", baseline=10.0, goal=30.0)
RIGHT = going.OutingKneeStart(side="right")
START = going.OutingStart(
    knees=(RIGHT,),
    gate_asked=True,
    labels=("Walk", "Shopping"),
    amounts=(WALK,),
    tape_in_plan=True,
)
Answerer = Callable[[WalkPage], Mapping[str, Any]]


def outing(day: int | date = 0, **fields: Any) -> Outing:
    if isinstance(day, int):
        day = DAY + timedelta(days=day)
    base: dict[str, Any] = {
        "id": new_id(),
        "for_day": day,
        "written_at": at(day, 14),
        "written_by": "person",
        "plan_version": 1,
        "happened_at": at(day, 14),
        "what_for": "Walk",
    }
    return Outing(**of_knees(base | fields))


def of_knee(start: going.OutingStart = START, **fields: Any) -> going.OutingStart:
    """As `start`, with this known of its one knee."""
    (knee,) = start.knees
    return replace(start, knees=(replace(knee, **fields),))


def going_out(page: WalkPage) -> Mapping[str, Any]:
    """Whoever walks 20 min with tape on."""
    match page:
        case GatePage():
            return NOTHING_NEW
        case OpenSignPage() | TalkedPage():
            return opens_nothing(page)
        case TopicsPage():
            return {"topics": []}
        case StopListPage():
            return {"signs": [], "rest": "none"}
        case going.WhatForPage():
            return {"what": "1"}
        case going.AmountMeantPage():
            return {"amount": 20}
        case going.TapeForOutingPage():
            return {"tape": "yes"}
        case TapeReadyPage():
            return {"skin": "clear", "clean": "yes", "reach": "alone"}
        case TapeOnPage():
            return {"tape": "on", "by": "person"}
        case going.OutingLookOverPage():
            return {"going": "yes"}
        case _:
            return {}


def but(other: Answerer, **changed: Mapping[str, Any]) -> Answerer:
    """As `other`, but with these answers on the pages of these keys."""
    return lambda page: changed.get(page.key.replace(":", "_"), other(page))


def walked(walk: Walk[Any], answer: Answerer) -> tuple[list[WalkPage], Any]:
    pages: list[WalkPage] = []
    try:
        page = next(walk)
        while True:
            pages.append(page)
            page = walk.send(answer(page))
    except StopIteration as stop:
        return pages, stop.value


def kinds(pages: Iterable[WalkPage]) -> list[type]:
    return [type(page) for page in pages]


# ---------------------------------------------------------------- before


def test_with_tape_the_last_page_is_the_tape() -> None:
    pages, end = walked(going.outing_walk(CATALOGUE, START), going_out)
    assert kinds(pages)[:4] == [
        going.WhatForPage,
        going.AmountMeantPage,
        going.TapeForOutingPage,
        TapeReadyPage,
    ]
    assert isinstance(pages[-1], TapeOnPage)
    assert end.going
    assert end.tape == (going.KneeTape(side="right", tape="put_on"),)
    assert (end.what_for, end.amount) == ("Walk", Amount(label="Walk", unit="min", amount=20.0))


def test_the_keys_of_a_walk_are_unique() -> None:
    start = replace(START, gate_asked=False, list_reason="weekly", asked_signs=("fever",))
    pages, _ = walked(going.outing_walk(CATALOGUE, start), going_out)
    assert len({page.key for page in pages}) == len(pages)


def test_own_words_take_no_amount() -> None:
    answer = but(going_out, what_for_1={"what": "own", "own": "  To the \x07harbour\twall "})
    pages, end = walked(going.outing_walk(CATALOGUE, START), answer)
    assert end.what_for == "To the harbour wall"
    assert end.amount is None
    assert going.AmountMeantPage not in kinds(pages)


def test_own_words_that_are_an_activity_of_the_plan_are_that_activity() -> None:
    answer = but(going_out, what_for_1={"what": "own", "own": "walk"})
    _, end = walked(going.outing_walk(CATALOGUE, START), answer)
    assert end.what_for == "Walk"
    assert end.amount is not None


def test_own_words_left_empty_are_asked_for_again() -> None:
    answer = but(going_out, what_for_1={"what": "own", "own": None})
    pages, _ = walked(going.outing_walk(CATALOGUE, START), answer)
    asked = [page for page in pages if isinstance(page, going.WhatForPage)]
    assert [page.again for page in asked] == [False, True]


def test_a_long_text_becomes_a_label() -> None:
    """A label holds 60 characters."""
    assert len(going.one_line("steps " * 40)) <= 60
    assert going.one_line(None) == ""


def test_an_amount_left_out_is_absent() -> None:
    _, end = walked(
        going.outing_walk(CATALOGUE, START), but(going_out, amount_meant={"amount": None})
    )
    assert end.amount is None


def test_no_tape_this_time_is_an_outing_all_the_same() -> None:
    pages, end = walked(
        going.outing_walk(CATALOGUE, START), but(going_out, tape_for_outing={"tape": "no"})
    )
    assert end.going
    assert [one.tape for one in end.tape] == ["none"]
    assert isinstance(pages[-1], going.OutingLookOverPage)


def test_not_going_writes_nothing() -> None:
    answer = but(going_out, tape_for_outing={"tape": "no"}, look_over={"going": "no"})
    _, end = walked(going.outing_walk(CATALOGUE, START), answer)
    assert not end.going


def test_a_plan_without_tape_speaks_of_none() -> None:
    pages, end = walked(going.outing_walk(CATALOGUE, replace(START, tape_in_plan=False)), going_out)
    assert [one.tape for one in end.tape] == ["none"]
    assert not {NoTapePage, going.TapeForOutingPage, TapeReadyPage} & set(kinds(pages))


@pytest.mark.parametrize("reason", ["rest", "caution", "patch_test_missing", "stay_bare"])
def test_a_reason_known_before_refuses_tape_and_lets_go_without(reason: TapeReason) -> None:
    pages, end = walked(going.outing_walk(CATALOGUE, of_knee(refused=(reason,))), going_out)
    assert NoTapePage(reasons=(reason,)) in pages
    assert TapeOnPage not in kinds(pages)
    assert (end.going, end.tape[0].tape) == (True, "none")


@pytest.mark.parametrize(
    ("answer", "reason"),
    [
        ({"skin": "not_clear", "clean": "yes", "reach": "alone"}, "skin"),
        ({"skin": "clear", "clean": "no", "reach": "alone"}, "not_clean"),
        ({"skin": "clear", "clean": "yes", "reach": "no"}, "reach"),
    ],
)
def test_what_only_the_person_sees_refuses_tape(answer: dict[str, str], reason: TapeReason) -> None:
    pages, end = walked(going.outing_walk(CATALOGUE, START), but(going_out, tape_ready=answer))
    assert NoTapePage(reasons=(reason,)) in pages
    assert [one.tape for one in end.tape] == ["none"]


def test_tape_that_is_on_is_checked_and_not_put_on_again() -> None:
    wearing = of_knee(wearing=new_id(), refused=("tape_on", "rest"))
    pages, end = walked(
        going.outing_walk(CATALOGUE, wearing), but(going_out, tape_check={"feelings": []})
    )
    assert TapeCheckPage in kinds(pages)
    assert TapeOnPage not in kinds(pages)
    assert (end.going, end.tape[0].tape) == (True, "was_on")


def test_tape_that_itches_comes_off_before_the_outing() -> None:
    """Itch from the tape: off now."""
    answer = but(going_out, tape_check={"feelings": ["itch"]}, skin={"skin": "clear"})
    pages, end = walked(going.outing_walk(CATALOGUE, of_knee(wearing=new_id())), answer)
    assert TapeTakenOffPage in kinds(pages)
    assert (end.going, end.tape[0].tape) == (True, "none")


def test_an_open_card_comes_first_and_locks_tape_alone() -> None:
    start = replace(of_knee(refused=("locked",)), closed_by="knee_stuck")
    pages, end = walked(going.outing_walk(CATALOGUE, start), going_out)
    assert pages[0] == going.CardFirstPage(sign="knee_stuck")
    assert TapeOnPage not in kinds(pages)
    assert (end.going, end.tape[0].tape) == (True, "none")


def test_a_card_that_ends_a_session_ends_going_out() -> None:
    start = replace(START, gate_asked=False, asked_signs=("knee_stuck",))
    answer = but(
        going_out,
        gate=SOMETHING_NEW,
        list_1={"signs": ["knee_stuck"]},
        list_1_knee_stuck_card={"card": "read"},
    )
    _, end = walked(going.outing_walk(CATALOGUE, start), answer)
    assert end.card
    assert not end.going
    assert [sign.sign for sign in end.signs] == ["knee_stuck"]


def test_broken_skin_that_is_open_still_refuses_tape() -> None:
    start = replace(START, open_signs=(asked("skin_broken"),))
    pages, end = walked(going.outing_walk(CATALOGUE, start), going_out)
    assert NoTapePage(reasons=("locked",)) in pages
    assert (end.going, end.tape[0].tape) == (True, "none")


def test_broken_skin_read_clear_lets_tape_on() -> None:
    start = replace(START, open_signs=(asked("skin_broken"),))
    answer = but(going_out, open_skin_broken={"over": "yes"})
    _, end = walked(going.outing_walk(CATALOGUE, start), answer)
    assert [one.tape for one in end.tape] == ["put_on"]


def test_a_gate_answered_today_is_not_asked_again() -> None:
    assert GatePage not in kinds(walked(going.outing_walk(CATALOGUE, START), going_out)[0])
    again = replace(START, gate_asked=False)
    assert GatePage in kinds(walked(going.outing_walk(CATALOGUE, again), going_out)[0])


_REFUSALS = st.lists(
    st.sampled_from(["rest", "locked", "caution", "patch_test_missing", "stay_bare"]), max_size=2
)


@given(
    refused=_REFUSALS,
    ready=st.fixed_dictionaries(
        {
            "skin": st.sampled_from(["clear", "not_clear"]),
            "clean": st.sampled_from(["yes", "no"]),
            "reach": st.sampled_from(["alone", "helper", "no"]),
        }
    ),
    helper_needed=st.booleans(),
    still_open=st.booleans(),
    ticked=st.sampled_from([None, "skin_broken", "knee_stuck", "lump"]),
    in_plan=st.booleans(),
)
def test_tape_never_goes_on_when_the_gate_forbids_it(
    refused: list[TapeReason],
    ready: dict[str, str],
    helper_needed: bool,
    still_open: bool,
    ticked: str | None,
    in_plan: bool,
) -> None:
    """Tape gate, design section 5 rule 7: every reason against tape is a reason here."""
    start = replace(
        of_knee(refused=tuple(refused), helper_needed=helper_needed),
        gate_asked=False,
        open_signs=(asked("skin_broken"),) if still_open else (),
        asked_signs=("skin_broken", "knee_stuck", "lump"),
        tape_in_plan=in_plan,
    )
    answer = but(
        going_out,
        gate=SOMETHING_NEW if ticked else NOTHING_NEW,
        list_1={"signs": [ticked] if ticked else [], "rest": "none"},
        tape_ready=ready,
    )

    def read(page: WalkPage) -> Mapping[str, Any]:
        return {"card": "read"} if isinstance(page, CardPage) else answer(page)

    pages, end = walked(going.outing_walk(CATALOGUE, start), read)
    forbidden = (
        bool(refused)
        or not in_plan
        or still_open
        or bool(ticked)
        or ready["skin"] != "clear"
        or ready["clean"] != "yes"
        or ready["reach"] == "no"
        or (helper_needed and ready["reach"] != "helper")
    )
    assert (TapeOnPage in kinds(pages)) is not forbidden
    assert (TapeStepPage in kinds(pages)) is not forbidden
    assert ([one.tape for one in end.tape] == ["put_on"]) is not forbidden


# ---------------------------------------------------------------- after

AFTER = going.OutingAfterStart(
    outing=new_id(),
    what_for="Walk",
    meant=Amount(label="Walk", unit="min", amount=20.0),
    label="Walk",
    unit="min",
    knees=(going.KneeAfterStart(side="right", taped=True, tape_now="for_outing"),),
)


def tape_now(what: Any) -> going.OutingAfterStart:
    return replace(AFTER, knees=(replace(AFTER.knees[0], tape_now=what),))


def told(page: WalkPage) -> Mapping[str, Any]:
    match page:
        case going.WhyEndedPage():
            return {"because": "pain"}
        case going.AmountDonePage():
            return {"amount": 12.5}
        case going.OutingPainPage():
            return {"score": 6}
        case going.TapeStillOnPage():
            return {"tape": "on"}
        case _:
            return {}


def test_how_it_was() -> None:
    pages, end = walked(going.outing_after_walk(AFTER), told)
    assert kinds(pages) == [
        going.WhyEndedPage,
        going.AmountDonePage,
        going.OutingPainPage,
        going.TapeStillOnPage,
        going.OutingAfterLookOverPage,
    ]
    assert (end.because, end.knees[0].pain_worst) == ("pain", 6)
    assert end.amount == Amount(label="Walk", unit="min", amount=12.5)


def test_what_was_meant_is_not_carried_over_to_what_was_done() -> None:
    """Absent is absent: never carried forward."""
    _, end = walked(going.outing_after_walk(AFTER), but(told, amount_done={"amount": None}))
    assert end.amount is None


def test_pain_that_cannot_be_said_is_absent() -> None:
    _, end = walked(going.outing_after_walk(AFTER), but(told, outing_pain={"score": None}))
    assert end.knees[0].pain_worst is None
    assert not end.empty


def test_nobody_went() -> None:
    pages, end = walked(
        going.outing_after_walk(AFTER), but(told, why_ended={"because": "not_gone"})
    )
    assert going.OutingPainPage not in kinds(pages)
    assert not end.gone
    assert end.amount == Amount(label="Walk", unit="min", amount=0.0)
    uncounted = replace(AFTER, meant=None, label=None, unit=None)
    _, end = walked(
        going.outing_after_walk(uncounted), but(told, why_ended={"because": "not_gone"})
    )
    assert end.amount == Amount(label="Walk", unit="times", amount=0.0)


@pytest.mark.parametrize(
    ("now", "still", "because", "then"),
    [
        ("for_outing", "on", "done", "take_off"),
        ("for_outing", "off", "done", None),
        ("other", "on", "done", "leave"),
        ("other", "on", "tape", "take_off"),
        ("other", "by_itself", "tape", None),
    ],
)
def test_what_becomes_of_the_tape(now: Any, still: str, because: str, then: str | None) -> None:
    off: Any = {"off_when": {"day": "today", "hour": 11}, "skin": {"skin": "clear"}}
    pages, end = walked(
        going.outing_after_walk(tape_now(now)),
        but(told, tape_still_on={"tape": still}, why_ended={"because": because}, **off),
    )
    assert end.knees[0].next_with_tape == then
    assert (end.knees[0].removed is not None) == (still != "on")
    assert (SkinPage in kinds(pages)) == (still != "on")


def test_without_tape_it_is_not_asked_about() -> None:
    pages, end = walked(going.outing_after_walk(tape_now(None)), told)
    assert going.TapeStillOnPage not in kinds(pages)
    assert end.knees[0].next_with_tape is None


# ---------------------------------------------------------------- the morning after


def morning(more_pain_before: bool = False) -> Walk[going.OutingMorningEnd]:
    return going.outing_morning_walk(
        going.OutingMorningStart(
            outings=(new_id(),),
            what_for="Walk",
            sides=("right",),
            more_pain_before=("right",) if more_pain_before else (),
        )
    )


@pytest.mark.parametrize("answer", ["as_usual", "less_pain", None])
def test_a_morning_without_more_pain_shows_no_card(answer: str | None) -> None:
    pages, end = walked(morning(True), lambda _page: {"next_morning": answer})
    assert kinds(pages) == [going.MorningAfterPage]
    assert end.knees[0].said == answer


@pytest.mark.parametrize(
    ("before", "sign", "level"),
    [(False, "more_pain_after", "care"), (True, "more_pain_two_days", "call")],
)
def test_more_pain_shows_its_card(before: bool, sign: str, level: str) -> None:
    pages, end = walked(
        morning(before),
        lambda page: (
            {"card": "read"} if isinstance(page, CardPage) else {"next_morning": "more_pain"}
        ),
    )
    assert [page.sign for page in pages if isinstance(page, CardPage)] == [sign]
    assert CATALOGUE.sign(sign).level == level
    assert end.knees[0].said == "more_pain"


def test_a_card_by_mistake_asks_again() -> None:
    answers = iter(
        [
            {"next_morning": "more_pain"},
            {"card": "mistake"},
            {"mistake": "yes"},
            {"next_morning": "as_usual"},
        ]
    )
    pages, end = walked(morning(), lambda _page: next(answers))
    morning_after = going.MorningAfterPage
    assert kinds(pages) == [morning_after, CardPage, MistakePage, morning_after]
    assert end.knees[0].said == "as_usual"
    assert [sign.mistake for sign in end.signs] == [True]


def test_two_mornings_running() -> None:
    today = DAY + timedelta(days=5)
    before = outing(3, next_morning="more_pain")  # its morning was yesterday

    def held(*entries: AnyEntry) -> bool:
        return going.more_pain_the_morning_before(entries, "right", today)

    assert held(before)
    assert not held()
    assert not held(outing(3, next_morning="as_usual"))
    assert not held(outing(2, next_morning="more_pain"))  # two mornings ago
    assert not held(outing(3, next_morning="more_pain", side="left"))
    assert held(warning(4, "more_pain_after", "care"))
    assert not held(warning(4, "more_pain_after", "care", cleared="ticked_by_mistake"))
    assert not held(warning(3, "more_pain_after", "care"))


# ---------------------------------------------------------------- what is due


def waiting(*entries: AnyEntry, days: int, hour: int = 18) -> str | None:
    found = waits.outings_waiting(entries, DAY + timedelta(days=days), at(days, hour))
    return found[0].what if found else None


def test_how_it_was_waits_on_the_day_and_the_next() -> None:
    assert waiting(outing(), days=0) == "after"
    assert waiting(outing(), days=1) == "after"
    assert waiting(outing(), days=2) is None
    assert waiting(outing(), days=0, hour=13) is None  # the clock was set back


def test_the_morning_waits_on_the_next_day_alone() -> None:
    told_of = outing(ended_because="done")
    assert waiting(told_of, days=0) is None
    assert waiting(told_of, days=1, hour=7) == "morning"
    assert waiting(told_of, days=2) is None
    assert waiting(outing(ended_because="done", next_morning="as_usual"), days=1) is None


def test_nobody_went_and_no_morning_waits() -> None:
    nobody = outing(ended_because="other", amount=Amount(label="Walk", unit="min", amount=0.0))
    assert waiting(nobody, days=1) is None


def test_how_it_was_comes_before_a_morning() -> None:
    entries = outing(0, ended_because="done", side="left"), outing(1, side="right")
    today, now = DAY + timedelta(days=1), at(1, 20)
    both = waits.outings_waiting(entries, today, now)
    assert [(one.what, one.entry.sides) for one in both] == [
        ("after", ("right",)),
        ("morning", ("left",)),
    ]
