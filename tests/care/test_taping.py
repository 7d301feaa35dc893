"""Tape on, the check, tape off and the look at the skin."""

from typing import Any, get_args

import pytest
from hypothesis import given

from companion.care.clearing import OpenSignPage, became, closed_after
from companion.care.flow import Answer, WalkPage
from companion.care.records import Skin
from companion.care.stopping import CardPage, GatePage, StopListPage
from companion.care.taping import (
    NoTapePage,
    OffWhenPage,
    SkinEnd,
    SkinPage,
    SkinStart,
    SkinTooEarlyPage,
    TapeCheckEnd,
    TapeOnEnd,
    TapeOnPage,
    TapeOnStart,
    TapeReadyPage,
    TapeStepPage,
    TapeTakenOffPage,
    skin_walk,
    tape_check_walk,
    tape_off_walk,
    tape_on_walk,
    tape_steps,
)
from tests.builders import SOMETHING_NEW, at
from tests.care.asking import asked
from tests.care.walking import CATALOGUE, Choose, any_answer, choices, pages_of, walked
from tests.steady import steady

ASKED = tuple(sign.id for sign in CATALOGUE.stop_list.signs)


def on(start: TapeOnStart, **answers: Any) -> tuple[list[WalkPage], TapeOnEnd]:
    pages, _, end = walked(
        lambda: tape_on_walk(CATALOGUE, start), lambda page: answers.get(page.key, steady(page))
    )
    return pages, end


def test_the_gate_comes_first_then_the_questions_then_every_step() -> None:
    pages, end = on(TapeOnStart(stage=1))
    steps = pages_of(pages, TapeStepPage)
    assert [type(pages[0]), type(pages[1])] == [GatePage, TapeReadyPage]
    assert [step.number for step in steps] == list(range(1, len(steps) + 1))
    assert {step.part for step in steps} == {"before", "stage"}
    assert [step.write is not None for step in steps] == [False] * (len(steps) - 1) + [True]
    assert end == TapeOnEnd(put_on=True, signs=(), signs_over=())


def test_the_gate_is_not_asked_twice_a_day() -> None:
    pages, _ = on(TapeOnStart(stage=1, gate_asked=True))
    assert not pages_of(pages, GatePage)


def test_stage_two_from_bare_goes_through_both() -> None:
    pages, _ = on(TapeOnStart(stage=2))
    assert [step.stage for step in pages_of(pages, TapeStepPage) if step.part == "stage"] == sorted(
        step.stage for step in pages_of(pages, TapeStepPage) if step.part == "stage"
    )
    assert {s.stage for s in pages_of(pages, TapeStepPage) if s.part == "stage"} == {1, 2}


@pytest.mark.parametrize(("on_now", "stage"), [(0, 1), (0, 2), (1, 2)])
def test_every_step_has_its_page_and_they_are_at_most_five(on_now: int, stage: int) -> None:
    """With the hands full nobody turns pages; a step of the side strips that the short pieces end
    with as well is told once, last."""
    pages, _, _ = walked(lambda: tape_steps(CATALOGUE, on_now, stage), steady)
    shown = pages_of(pages, TapeStepPage)
    assert len(shown) <= 5
    told = []
    for page in shown:
        steps = CATALOGUE.tape_steps.before
        if page.part == "stage":
            steps = next(s for s in CATALOGUE.tape_steps.stages if s.stage == page.stage).steps
        told += [steps[index].person for index in page.steps]
    assert len(told) == len(set(told))
    wanted = [step.person for step in CATALOGUE.tape_steps.before] if on_now == 0 else []
    for part in CATALOGUE.tape_steps.stages:
        wanted += [step.person for step in part.steps] if on_now < part.stage <= stage else []
    assert set(told) == set(wanted)
    assert (shown[-1].write is None) == (on_now > 0)


def test_short_pieces_on_top_of_side_strips_are_only_their_own_steps() -> None:
    pages, _, put_on = walked(lambda: tape_steps(CATALOGUE, 1, 2), steady)
    assert {(s.part, s.stage) for s in pages_of(pages, TapeStepPage)} == {("stage", 2)}
    assert put_on


def test_known_reasons_refuse_before_any_question() -> None:
    pages, end = on(TapeOnStart(stage=1, gate_asked=True, refused=("rest", "caution")))
    assert [type(page) for page in pages] == [NoTapePage]
    assert not end.put_on


def test_broken_skin_still_open_locks_tape_and_read_clear_opens_it() -> None:
    start = TapeOnStart(stage=1, open_signs=(asked("skin_broken"),))
    still, end = on(start, **{"open:skin_broken": {"over": "not_sure"}})
    assert pages_of(still, OpenSignPage)
    assert pages_of(still, NoTapePage)[0].reasons == ("locked",)
    assert not end.put_on
    _, end = on(start, **{"open:skin_broken": {"over": "yes"}})
    assert end.put_on
    assert end.signs_over == ("skin_broken",)


def test_something_new_opens_the_list_and_a_today_card_ends_it() -> None:
    pages, end = on(
        TapeOnStart(stage=1, asked_signs=ASKED),
        gate=SOMETHING_NEW,
        **{"list:1": {"signs": ["fever"]}},
    )
    assert pages_of(pages, StopListPage)
    assert isinstance(pages[-1], CardPage)
    assert not end.put_on


def test_said_not_to_be_on_writes_nothing() -> None:
    _, end = on(TapeOnStart(stage=1), **{"tape_on:1": {"tape": "not_on"}})
    assert not end.put_on


@given(choices)
def test_no_tape_goes_on_past_a_reason_against_it(choose: Choose) -> None:
    start = TapeOnStart(
        stage=choose([1, 2]),
        asked_signs=ASKED,
        gate_asked=choose([True, False]),
        list_reason=choose([None, "weekly"]),
        open_signs=choose([(), *((asked(sign),) for sign in ("skin_broken", "unwell", "lump"))]),
        refused=choose([(), ("rest",)]),
        helper_needed=choose([True, False]),
    )
    given_by_key: dict[str, Any] = {}

    def answer(page: WalkPage) -> Any:
        submitted = any_answer(page, choose)
        given_by_key[page.key] = submitted
        return submitted

    pages, _, end = walked(lambda: tape_on_walk(CATALOGUE, start), answer)
    assert all(page.stage <= start.stage for page in pages_of(pages, TapeOnPage))
    if not pages_of(pages, TapeOnPage):
        assert not end.put_on
        return
    ready = given_by_key["tape_ready"]
    assert not start.refused
    assert (ready["skin"], ready["clean"]) == ("clear", "yes")
    assert ready["reach"] == "helper" or (ready["reach"] == "alone" and not start.helper_needed)
    for sign in start.open_signs:
        submitted = [Answer(page=key, submitted=one, at=at(0)) for key, one in given_by_key.items()]
        end_of = became(CATALOGUE, sign, submitted)
        assert end_of is not None
        assert "tape_on" not in closed_after(sign, end_of)
    meant = [tick.sign for tick in end.signs if not tick.mistake]
    assert not any("tape_on" in CATALOGUE.policy.sign(sign).parts for sign in meant)


# ------------------------------------------------------------ check, off, skin


def test_nothing_felt_leaves_the_tape_on() -> None:
    pages, _, end = walked(tape_check_walk, lambda _page: {"feelings": []})
    assert len(pages) == 1
    assert end == TapeCheckEnd(off=False)


def test_something_felt_takes_it_off_and_looks_at_the_skin() -> None:
    pages, _, end = walked(
        tape_check_walk, lambda _page: {"feelings": ["itch"], "skin": "clear", "tape": "off"}
    )
    assert [type(page) for page in pages[1:]] == [TapeTakenOffPage, SkinPage]
    assert pages_of(pages, TapeTakenOffPage)[0].felt
    assert end.off


@pytest.mark.parametrize("skin", get_args(Skin))
@pytest.mark.parametrize("look", ["off", "later"])
def test_broken_skin_or_a_blister_shows_its_card_at_every_look(skin: str, look: str) -> None:
    walk: Any = tape_off_walk if look == "off" else lambda: skin_walk(SkinStart(tape_off="a" * 32))
    pages, _, end = walked(walk, lambda page: {"off": "now", "skin": skin, "card": "read"})
    expected = ["skin_broken"] if skin in ("blister", "broken") else []
    assert [page.sign for page in pages_of(pages, CardPage)] == expected
    assert [tick.sign for tick in end.signs] == expected
    assert end.skin == skin


@pytest.mark.parametrize("off", ["earlier", "by_itself"])
def test_when_it_came_off_is_asked_unless_it_is_now(off: str) -> None:
    answers = {"off": off, "day": "yesterday", "hour": 20, "skin": "pink"}
    pages, _, end = walked(tape_off_walk, lambda _page: answers)
    assert pages_of(pages, OffWhenPage)
    assert (end.off, end.off_day, end.hour) == (off, "yesterday", 20)
    pages, _, _ = walked(tape_off_walk, lambda _page: answers | {"off": "now"})
    assert not pages_of(pages, OffWhenPage)


def test_too_early_a_look_is_put_off_and_nothing_is_said_of_the_skin() -> None:
    start = SkinStart(tape_off="a" * 32, too_early_until=at(0, 18, 30))
    pages, _, end = walked(lambda: skin_walk(start), lambda _page: {})
    assert pages == [SkinTooEarlyPage(at=at(0, 18, 30))]
    assert end == SkinEnd(skin=None, signs=())
