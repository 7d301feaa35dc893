"""The stop list: every tick shows its card, mistakes bring the list back, Stop ends what is closed.

Levels, locks and routes are those of the stop list; the Ottawa combinations are
those of Stiell 1996, JAMA 276:611 (F).
"""

from itertools import product
from typing import Any

import pytest

from companion.care.flow import Page
from companion.care.levels import PARTS
from companion.care.stopping import (
    CardPage,
    Ended,
    GateStart,
    GoOnPage,
    NoneTickedPage,
    SignQuestionsPage,
    SignTicked,
    StopEnd,
    StopListPage,
    closed_now,
    stop_list_walk,
    stop_walk,
)
from tests.care.walking import CATALOGUE, pages_of, walked

SIGNS = CATALOGUE.stop_list.signs
IDS = tuple(sign.id for sign in SIGNS)


def listed(**answers: Any) -> tuple[list[Page], list[SignTicked], str]:
    """Walk the list alone: its pages, what was ticked, and "" or why the session ended."""
    ticked: list[SignTicked] = []

    def walk() -> Any:
        try:
            yield from stop_list_walk(CATALOGUE, IDS, "weekly", "list", ticked)
        except Ended as stop:
            return stop.reason
        return ""

    pages, _, end = walked(walk, lambda page: _answer(page, answers))
    return pages, ticked, end


def _answer(page: Page, answers: dict[str, Any]) -> Any:
    match page:
        case StopListPage():
            turns = answers.get("turns", [])
            return {"signs": turns.pop(0) if turns else []}
        case SignQuestionsPage():
            return answers.get("replies", {})
        case CardPage():
            return {"card": "mistake" if page.key in answers.get("mistakes", ()) else "read"}
        case GoOnPage():
            return {"go_on": answers.get("go_on", "yes")}
    return {}


def yes_to_all(sign_id: str) -> dict[str, str]:
    return {question.id: "yes" for question in CATALOGUE.sign(sign_id).questions}


@pytest.mark.parametrize("sign", SIGNS, ids=lambda sign: sign.id)
def test_every_tick_shows_its_card_and_ends_as_the_list_says(sign: Any) -> None:
    pages, ticked, why = listed(turns=[[sign.id]], replies=yes_to_all(sign.id))
    assert [page.sign for page in pages_of(pages, CardPage)] == [sign.id]
    assert ticked == [SignTicked(sign=sign.id, mistake=False)]
    row = CATALOGUE.policy.sign(sign.id)
    assert why == ("card" if row.ends == "session" else "")
    if sign.level in ("emergency", "today"):
        assert why == "card"
        assert row.parts == PARTS
    assert closed_now(CATALOGUE, GateStart(), [], ticked) == {*row.parts}


@pytest.mark.parametrize("sign", SIGNS, ids=lambda sign: sign.id)
def test_stop_ends_what_was_under_way_when_anything_is_closed(sign: Any) -> None:
    answers = {"turns": [[sign.id]], "replies": yes_to_all(sign.id)}
    pages, _, end = walked(lambda: stop_walk(CATALOGUE, IDS), lambda page: _answer(page, answers))
    assert isinstance(end, StopEnd)
    row = CATALOGUE.policy.sign(sign.id)
    closes = bool(row.parts) or row.ends == "session"
    assert end.ends == ("card" if closes else None)
    assert bool(pages_of(pages, GoOnPage)) != closes


def test_nothing_ticked_says_so_and_asks_whether_to_go_on() -> None:
    pages, _, end = walked(
        lambda: stop_walk(CATALOGUE, IDS), lambda page: _answer(page, {"go_on": "no"})
    )
    assert [type(page) for page in pages] == [StopListPage, NoneTickedPage, GoOnPage]
    assert end == StopEnd(signs=(), ends="wanted")


def test_the_highest_level_comes_first_and_the_others_are_known_from_its_card() -> None:
    pages, ticked, why = listed(turns=[["lump", "skin_broken", "fever", "foot_cold"]])
    cards = pages_of(pages, CardPage)
    assert [card.sign for card in cards] == ["foot_cold", "fever", "lump", "skin_broken"]
    assert [sign for sign, _ in cards[0].coming] == ["fever", "lump", "skin_broken"]
    assert [key for _, key in cards[0].coming] == [card.key for card in cards[1:]]
    assert cards[-1].coming == ()
    assert len(ticked) == 4
    assert why == "card"


def test_a_mistake_brings_the_list_back_and_both_ticks_are_kept() -> None:
    pages, ticked, why = listed(turns=[["fever"], ["lump"]], mistakes={"list:1:fever:card"})
    assert [page.sign for page in pages_of(pages, CardPage)] == ["fever", "lump"]
    assert ticked == [
        SignTicked(sign="fever", mistake=True),
        SignTicked(sign="lump", mistake=False),
    ]
    assert why == ""
    assert closed_now(CATALOGUE, GateStart(), [], ticked) == {"hands", "tape_on", "outing_tape"}


def test_a_sign_that_was_meant_is_not_shown_twice_after_a_mistake_beside_it() -> None:
    pages, ticked, why = listed(
        turns=[["skin_broken", "lump"], ["skin_broken"]], mistakes={"list:1:lump:card"}
    )
    shown = [page.sign for page in pages_of(pages, CardPage)]
    assert sorted(shown) == ["lump", "skin_broken"]
    assert not pages_of(pages, NoneTickedPage)
    assert "hands" in closed_now(CATALOGUE, GateStart(), [], ticked)
    assert why == ""


def test_a_mistake_beside_an_emergency_does_not_lower_it() -> None:
    _, ticked, why = listed(turns=[["foot_cold", "lump"]], mistakes={"list:1:lump:card"})
    assert why == "card"
    assert "tape_on" in closed_now(CATALOGUE, GateStart(), [], ticked)


_OTTAWA = (
    "cannot_walk_four_steps",
    "hurts_more",
    "cannot_bend_to_90",
    "sore_bone",
    "age_55_and_over",
)


@pytest.mark.parametrize("answers", list(product(("yes", "no", "not_sure"), repeat=5)))
def test_the_injury_questions_follow_the_ottawa_rule(answers: tuple[str, ...]) -> None:
    """Cannot walk four steps; or hurts more and any of the other three. Not sure counts as yes."""
    replies = dict(zip(_OTTAWA, answers, strict=True))
    walk, more, *rest = (answer != "no" for answer in answers)
    pages, ticked, why = listed(turns=[["injury_check"]], replies=replies)
    holds = walk or (more and any(rest))
    assert bool(ticked) == holds
    assert why == ("card" if holds else "")
    if not holds:
        assert pages_of(pages, NoneTickedPage)[0].ticked


def test_questions_left_unanswered_count_as_not_sure() -> None:
    _, ticked, _ = listed(turns=[["injury_check"]], replies={})
    assert ticked == [SignTicked(sign="injury_check", mistake=False)]
