"""The gate and the stop list: each question for itself, every tick its card, an honest end.

Which question a row stands behind is the stop list's; the Ottawa combinations are those of Stiell
1996, JAMA 276:611 (F).
"""

from dataclasses import replace
from itertools import product
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.clearing import MistakePage, TalkedPage
from companion.care.flow import Answer, Given, Paused, Walk, WalkPage, replay
from companion.care.levels import level_rank
from companion.care.records import GateReplySaid, KnownSaid, KnownSign, Part
from companion.care.stopping import (
    GATE_ALL,
    CardPage,
    Ended,
    Gate,
    GatePage,
    GateStart,
    GoOnPage,
    KnownPage,
    NoneTickedPage,
    SignQuestionsPage,
    SignTicked,
    StopEnd,
    StopListPage,
    StopPage,
    StopStart,
    TopicsPage,
    WhichKneePage,
    closed_now,
    gate_walk,
    stop_list_walk,
    stop_walk,
)
from tests.builders import DAY, NOTHING_NEW, SOMETHING_NEW, at
from tests.care.asking import asked
from tests.care.walking import CATALOGUE, SIGNS, pages_of, walked
from tests.steady import steady

LIST = CATALOGUE.stop_list.signs
ROWS = tuple(sign for sign in LIST if sign.asked_when not in ("stop", "follows", "state"))
ALL = (1, 2, 3, 4, 5)
GATE = CATALOGUE.short_gate


def listed(
    opened: tuple[int, ...] = ALL,
    *,
    earlier: tuple[str, ...] = (),
    knee: str | None = None,
    **answers: Any,
) -> tuple[list[WalkPage], list[SignTicked], str]:
    """Walk the rows alone: the pages, what was ticked, and "" or why the session ended."""
    ticked: list[SignTicked] = []

    def walk() -> Any:
        try:
            yield from stop_list_walk(
                CATALOGUE,
                SIGNS,
                opened,
                "gate",
                "list",
                ticked,
                two_knees=knee is not None,
                earlier=earlier,
            )
        except Ended as stop:
            return stop.reason
        return ""

    pages, _, end = walked(walk, lambda page: _answer(page, answers | {"knee": knee}))
    return pages, ticked, end


def _answer(page: WalkPage, answers: dict[str, Any]) -> Given:
    match page:
        case TopicsPage():
            return {"topics": answers.get("topics", [])}
        case StopListPage():
            turns = answers.get("turns", [])
            return {"signs": turns.pop(0) if turns else [], "rest": answers.get("rest", "none")}
        case SignQuestionsPage():
            return answers.get("replies", {})  # type: ignore[no-any-return]
        case CardPage():
            return {"card": "mistake" if page.key in answers.get("mistakes", ()) else "read"}
        case MistakePage():
            return {"mistake": answers.get("sure", "another")}
        case WhichKneePage():
            return {"knee": answers["knee"]}
    return steady(page)


def at_gate(
    start: GateStart | None = None, /, **answers: Given
) -> tuple[list[WalkPage], Gate, str]:
    """Walk a gate: its pages, what it gathered, and "" or why the session ended."""
    gathered = Gate()
    start = start or GateStart(asked_signs=SIGNS)

    def walk() -> Walk[str]:
        try:
            yield from gate_walk(CATALOGUE, start, gathered)
        except Ended as stop:
            return stop.reason
        return ""

    pages, _, end = walked(walk, lambda page: answers.get(page.key) or steady(page))
    return pages, gathered, end


def yes_to_all(sign_id: str) -> dict[str, str]:
    return {question.id: "yes" for question in CATALOGUE.sign(sign_id).questions}


def meant(ticked: list[SignTicked]) -> list[str]:
    return [one.sign for one in ticked if not one.mistake]


# ------------------------------------------------------------ the four questions

replies = st.fixed_dictionaries(
    {f"q{number}": st.sampled_from(get_args(GateReplySaid)) for number in (1, 2, 3, 4)}
)


@given(replies)
def test_a_yes_or_not_sure_opens_its_own_rows_and_no_others(given_: dict[str, str]) -> None:
    pages, gate, _ = at_gate(gate=given_)
    opened = tuple(n for n in (1, 2, 3, 4) if given_[f"q{n}"] != "no")
    lists = pages_of(pages, StopListPage)
    assert [page.questions for page in lists] == ([opened] if opened else [])
    for page in lists:
        of = {CATALOGUE.sign(sign).question for sign in page.signs}
        assert of == set(opened)
        everything = {s for s in SIGNS if CATALOGUE.sign(s).question in opened}
        assert set(page.signs) == everything, "a topic that was not ticked leaves nothing out"
    assert gate.said == ("something" if opened else "none")
    assert [(one.question, one.said) for one in gate.replies] == [
        (number, given_[f"q{number}"]) for number in (1, 2, 3, 4)
    ]


def test_four_times_no_is_one_page() -> None:
    pages, gate, _ = at_gate(gate=NOTHING_NEW)
    assert [type(page) for page in pages] == [GatePage]
    assert not gate.full_list


def test_there_is_no_answer_for_all_questions_together() -> None:
    (page,), _, _ = at_gate(gate=NOTHING_NEW)
    assert isinstance(page, GatePage)
    assert page.questions == (1, 2, 3, 4)
    assert "gate" not in NOTHING_NEW


@pytest.mark.parametrize("said", ["none", "something"])
def test_an_answer_for_all_that_an_older_version_kept_is_asked_again(said: str) -> None:
    start = GateStart(asked_signs=SIGNS)
    gathered = Gate()
    running = gate_walk(CATALOGUE, start, gathered)
    first = next(running)
    assert running.send({"gate": said}) == first
    assert gathered.said is None
    old = Answer(page="stop:1", submitted={"signs": ["lump"]}, at=at(0))
    position = replay(lambda: stop_walk(CATALOGUE, StopStart(asked=SIGNS)), [old])
    assert isinstance(position, Paused)
    assert isinstance(position.page, StopPage)


def test_the_whole_list_is_read_with_the_questions() -> None:
    start = GateStart(asked_signs=SIGNS, list_reason="weekly")
    pages, gate, _ = at_gate(start, gate=NOTHING_NEW | {"q5": "no"})
    (page,) = pages
    assert isinstance(page, GatePage)
    assert (page.reason, page.signs, page.questions) == ("weekly", SIGNS, ALL)
    assert gate.full_list
    assert gate.said == "none"
    pages, gate, _ = at_gate(gate={"show": "all"}, **{GATE_ALL: NOTHING_NEW})
    assert [page.key for page in pages] == ["gate", GATE_ALL]
    assert gate.full_list


def test_what_happens_in_a_session_is_asked_where_a_sign_of_it_is_offered() -> None:
    first = tuple(s for s in SIGNS if CATALOGUE.sign(s).question != 5)
    pages, _, _ = at_gate(GateStart(asked_signs=first, list_reason="first_use"))
    assert pages[0].questions == (1, 2, 3, 4)  # type: ignore[attr-defined]


def test_a_gate_answered_before_is_asked_again_only_with_the_whole_list() -> None:
    assert at_gate(GateStart(asked_signs=SIGNS, gate_asked=True))[0] == []
    start = GateStart(asked_signs=SIGNS, gate_asked=True, list_reason="card")
    assert [page.key for page in at_gate(start)[0]] == ["gate"]


def test_topics_narrow_the_rows_of_their_question_alone() -> None:
    topics = GATE.question(3).topics
    for topic in topics:
        pages, _, _ = listed((3,), topics=[topic.id])
        (page,) = pages_of(pages, StopListPage)
        assert {CATALOGUE.sign(sign).topic for sign in page.signs} == {topic.id}
    pages, _, _ = listed((2, 3), topics=[topics[0].id])
    (page,) = pages_of(pages, StopListPage)
    both = {s for s in SIGNS if CATALOGUE.sign(s).question == 2}
    assert both < set(page.signs)
    assert not pages_of(listed((1,))[0], TopicsPage)


# ------------------------------------------------------------ not sure


@pytest.mark.parametrize("question", GATE.questions, ids=lambda q: q.number)
def test_not_sure_with_nothing_ticked_never_says_go_on(question: Any) -> None:
    pages, ticked, _ = listed((question.number,), rest="not_sure")
    assert not pages_of(pages, NoneTickedPage)
    assert [page.sign for page in pages_of(pages, CardPage)] == [question.not_sure]
    assert meant(ticked) == [question.not_sure]


def test_not_sure_of_chest_breath_fever_or_head_is_call_now_and_ends_the_session() -> None:
    _, ticked, why = listed((1,), rest="not_sure")
    (sign,) = meant(ticked)
    assert CATALOGUE.sign(sign).level == "call"
    assert CATALOGUE.card(sign).heading == "Call now"
    assert why == "card"
    for number in (2, 3, 4):
        assert listed((number,), rest="not_sure")[2] == "", "seated exercise stays"


def test_none_of_these_is_said_for_the_opened_rows_alone() -> None:
    pages, ticked, _ = listed((4,), rest="none")
    assert isinstance(pages[-1], NoneTickedPage)
    assert not ticked


def test_what_is_not_over_at_the_next_gate_is_told_to_the_clinic() -> None:
    start = GateStart(asked_signs=SIGNS, open_signs=(asked("not_sure_knee"),))
    pages, gate, _ = at_gate(start, **{"open:not_sure_knee": {"over": "no"}})
    assert [page.sign for page in pages_of(pages, CardPage)] == ["not_sure_again"]
    assert CATALOGUE.sign("not_sure_again").level == "call"
    assert list(gate.still_open) == ["not_sure_knee"]
    pages, gate, _ = at_gate(start, **{"open:not_sure_knee": {"over": "yes"}})
    assert not pages_of(pages, CardPage)
    assert gate.over == ["not_sure_knee"]
    both = replace(start, open_signs=(asked("not_sure_again"), asked("not_sure_knee")))
    over = {f"open:{one.sign}": {"over": "no"} for one in both.open_signs}
    assert not pages_of(at_gate(both, **over)[0], CardPage), "told once"


def test_dizziness_that_is_not_over_at_the_second_session_is_opened_by_a_professional() -> None:
    """By the table of the policy the person opens it once, after a rise that is clear."""
    start = GateStart(asked_signs=SIGNS, open_signs=(asked("dizzy_on_rising"),))
    pages, _, _ = at_gate(start, **{"open:dizzy_on_rising": {"over": "not_sure"}})
    (card,) = pages_of(pages, CardPage)
    row = CATALOGUE.policy.sign(card.sign)
    assert row.parts == ("standing", "check_move")
    assert [one.opens for one in row.closes] == [("checked_by_professional",)]
    pages, gate, _ = at_gate(start, **{"open:dizzy_on_rising": {"over": "yes"}})
    assert not pages_of(pages, CardPage)
    assert gate.over == ["dizzy_on_rising"]


# ------------------------------------------------------------ known signs


KNOWN = GateStart(asked_signs=SIGNS, known_signs=("gives_way_new", "rest_or_night_pain"))


def test_known_signs_stand_on_one_page() -> None:
    pages, gate, _ = at_gate(KNOWN)
    assert [type(page) for page in pages] == [GatePage, KnownPage]
    assert gate.said == "none", "as before is nothing new"
    assert [(one.sign, one.said) for one in gate.known] == [
        ("gives_way_new", "as_before"),
        ("rest_or_night_pain", "as_before"),
    ]
    assert "gives_way_known" in meant(gate.ticked), "it holds what it held before, without a card"


def test_worse_shows_the_card_of_the_worse_form_without_a_row() -> None:
    said = {"gives_way_new": "worse", "rest_or_night_pain": "worse"}
    pages, gate, _ = at_gate(KNOWN, known=said)
    assert not pages_of(pages, StopListPage)
    cards = [page.sign for page in pages_of(pages, CardPage)]
    assert cards == ["gives_way_worse", "rest_or_night_pain"]
    assert gate.said == "something"


@given(
    st.fixed_dictionaries(dict.fromkeys(KNOWN.known_signs, st.sampled_from(get_args(KnownSaid))))
)
def test_something_new_opens_the_rows_of_its_question(said: dict[str, str]) -> None:
    pages, gate, _ = at_gate(KNOWN, known=said)
    opened = "something_new" in said.values()
    assert [page.questions for page in pages_of(pages, StopListPage)][:1] == (
        [(3,)] if opened else []
    )
    assert gate.said == ("none" if set(said.values()) == {"as_before"} else "something")


# ------------------------------------------------------------ rows and cards


@pytest.mark.parametrize("sign", ROWS, ids=lambda sign: sign.id)
def test_every_tick_shows_a_card_and_ends_as_the_list_says(sign: Any) -> None:
    pages, ticked, why = listed(turns=[[sign.id]], replies=yes_to_all(sign.id))
    (card,) = pages_of(pages, CardPage)
    assert ticked == [SignTicked(sign=card.sign, mistake=False)]
    held = CATALOGUE.sign(card.sign)
    assert level_rank(held.level) >= level_rank(sign.level)
    assert why == ("card" if CATALOGUE.policy.sign(held.id).ends == "session" else "")
    assert closed_now(CATALOGUE, GateStart(), {}, ticked) == {*CATALOGUE.policy.sign(held.id).parts}
    if sign.level in ("emergency", "today"):
        assert why == "card"


@pytest.mark.parametrize("sign", [s for s in ROWS if s.questions], ids=lambda sign: sign.id)
@pytest.mark.parametrize("said", ["yes", "no", "not_sure"])
def test_no_answer_to_its_questions_leaves_a_tick_without_a_card(sign: Any, said: str) -> None:
    replies = {question.id: said for question in sign.questions}
    pages, ticked, _ = listed(turns=[[sign.id]], replies=replies)
    assert len(pages_of(pages, CardPage)) == 1
    assert len(meant(ticked)) == 1


def test_the_highest_level_comes_first_and_the_others_are_known_from_its_card() -> None:
    rows = ["stiff_mornings", "skin_broken", "knee_stuck", "foot_cold"]
    pages, ticked, why = listed(turns=[rows])
    cards = pages_of(pages, CardPage)
    ranks = [level_rank(CATALOGUE.sign(card.sign).level) for card in cards]
    assert ranks == sorted(ranks, reverse=True)
    assert [sign for sign, _ in cards[0].coming] == [card.sign for card in cards[1:]]
    assert [key for _, key in cards[0].coming] == [card.key for card in cards[1:]]
    assert cards[-1].coming == ()
    assert len(ticked) == 4
    assert why == "card"


def test_a_mistake_brings_the_rows_back_and_both_ticks_are_kept() -> None:
    pages, ticked, why = listed(
        turns=[["knee_stuck"], ["lump"]], mistakes={"list:1:knee_stuck:card"}
    )
    assert [page.sign for page in pages_of(pages, CardPage)] == ["knee_stuck", "lump"]
    assert ticked == [
        SignTicked(sign="knee_stuck", mistake=True, another=True),
        SignTicked(sign="lump", mistake=False),
    ]
    assert why == ""


def test_a_mistake_is_read_once_more_and_then_open_at_once() -> None:
    pages, ticked, why = listed(turns=[["lump"]], mistakes={"list:1:lump:card"}, sure="yes")
    assert [type(page) for page in pages] == [StopListPage, CardPage, MistakePage]
    assert ticked == [SignTicked(sign="lump", mistake=True)]
    assert (why, closed_now(CATALOGUE, GateStart(), {}, ticked)) == ("", frozenset())


def test_whoever_wavers_over_a_mistake_keeps_the_card() -> None:
    mistakes = {"list:1:knee_stuck:card"}
    _, ticked, why = listed(turns=[["knee_stuck"]], mistakes=mistakes, sure="no")
    assert ticked == [SignTicked(sign="knee_stuck", mistake=False)]
    assert why == "card"


@pytest.mark.parametrize("sign", ROWS, ids=lambda sign: sign.id)
def test_with_two_knees_a_sign_of_one_asks_which_after_its_card(sign: Any) -> None:
    pages, ticked, _ = listed(turns=[[sign.id]], replies=yes_to_all(sign.id), knee="left")
    of_knee = [one.sign for one in ticked if CATALOGUE.policy.sign(one.sign).knee != "person"]
    assert [page.sign for page in pages_of(pages, WhichKneePage)] == of_knee
    if of_knee:
        shown = [type(page) for page in pages]
        assert shown.index(CardPage) < shown.index(WhichKneePage), "the card waits for nothing"


def test_a_sign_that_was_meant_is_not_shown_twice_after_a_mistake_beside_it() -> None:
    pages, ticked, why = listed(
        turns=[["skin_broken", "lump"], ["skin_broken"]], mistakes={"list:1:lump:card"}
    )
    shown = [page.sign for page in pages_of(pages, CardPage)]
    assert sorted(shown) == ["lump", "skin_broken"]
    assert not pages_of(pages, NoneTickedPage)
    assert meant(ticked) == ["skin_broken"]
    assert why == ""


def test_a_mistake_beside_an_emergency_does_not_lower_it() -> None:
    _, ticked, why = listed(turns=[["foot_cold", "lump"]], mistakes={"list:1:lump:card"})
    assert why == "card"
    assert "foot_cold" in meant(ticked)


SLOW = ("lump", "rest_or_night_pain", "weight_loss", "past_cancer")


@given(st.sets(st.sampled_from(SLOW)), st.sets(st.sampled_from(SLOW), min_size=1))
def test_two_slow_signs_together_are_to_be_told_today(before: set[str], now: set[str]) -> None:
    """Also when one of them is open from an earlier day. Our choice, no source."""
    _, ticked, _ = listed((3,), earlier=tuple(before), turns=[sorted(now)])
    assert ("two_slow_signs" in meant(ticked)) == (len(before | now) >= 2)
    assert CATALOGUE.card("two_slow_signs").by_when.startswith("Call today")  # type: ignore[union-attr]


def test_two_slow_signs_are_told_once() -> None:
    _, ticked, _ = listed((3,), earlier=("lump", "two_slow_signs"), turns=[["weight_loss"]])
    assert meant(ticked) == ["weight_loss"]


_OTTAWA = (
    "cannot_walk_four_steps",
    "hurts_more",
    "cannot_bend_to_90",
    "sore_bone",
    "age_55_and_over",
)


@pytest.mark.parametrize("answers", list(product(("yes", "no", "not_sure"), repeat=5)))
def test_the_injury_questions_send_by_the_ottawa_rule_and_clear_nobody(
    answers: tuple[str, ...],
) -> None:
    """Cannot walk four steps; or hurts more and any of the other three. Not sure counts as yes.
    More pain alone is to call; a knock without it keeps hands and tape off for two days."""
    walk, more, *rest = (answer != "no" for answer in answers)
    _, ticked, why = listed(
        (2,), turns=[["injury_check"]], replies=dict(zip(_OTTAWA, answers, strict=True))
    )
    seen_today = walk or (more and any(rest))
    expected = "injury_check" if seen_today else "injury_hurts_more" if more else "light_bump"
    assert meant(ticked) == [expected]
    assert why == ("card" if seen_today else "")


def test_questions_left_unanswered_count_as_not_sure() -> None:
    _, ticked, _ = listed((2,), turns=[["injury_check"]], replies={})
    assert meant(ticked) == ["injury_check"]


# ------------------------------------------------------------ Stop


def stopped(**answers: Given) -> tuple[list[WalkPage], StopEnd]:
    pages, _, end = walked(
        lambda: stop_walk(CATALOGUE, StopStart(asked=SIGNS)),
        lambda page: answers.get(page.key) or steady(page),
    )
    assert isinstance(end, StopEnd)
    return pages, end


@pytest.mark.parametrize(
    ("stays_open", "may_go_on"),
    [(("standing", "check_move"), True), (("standing",), False), ((), False)],
)
def test_stop_for_a_known_sign_ends_only_what_the_plan_does_not_leave_open(
    stays_open: tuple[Part, ...], may_go_on: bool
) -> None:
    known = KnownSign(sign="gives_way_new", since=DAY, stays_open=stays_open, support="both_hands")
    gone = KnownSign(sign="a_sign_of_another_list", since=DAY)
    start = StopStart(asked=(*SIGNS, "gives_way_known"), known=(known, gone))
    answers: dict[str, Given] = {
        "stop:1": {"about": "3"},
        "stop:1:list:1": {"signs": ["gives_way_known"]},
    }
    pages, _, end = walked(
        lambda: stop_walk(CATALOGUE, start), lambda page: answers.get(page.key) or steady(page)
    )
    assert isinstance(end, StopEnd)
    assert [one.sign for one in end.signs] == ["gives_way_known"]
    assert any(isinstance(page, GoOnPage) for page in pages) == may_go_on
    assert (end.ends == "card") != may_go_on


def test_one_press_on_stop_shows_the_emergency_card() -> None:
    pages, end = stopped(**{"stop:1": {"about": "help"}})
    assert [type(page) for page in pages] == [StopPage, CardPage]
    card = pages[1]
    assert isinstance(card, CardPage)
    assert CATALOGUE.sign(card.sign).level == "emergency"
    assert end.ends == "card"
    assert [one.sign for one in end.signs] == [card.sign]


def test_help_pressed_by_mistake_leads_back_to_stop() -> None:
    mistake = {
        "stop:1": {"about": "help"},
        "stop:1:help_now:card": {"card": "mistake"},
        "stop:1:help_now:card:mistake": {"mistake": "yes"},
    }
    pages, end = stopped(**mistake)
    assert pages[3].key == "stop:2"
    assert end == StopEnd(signs=(SignTicked(sign="help_now", mistake=True),), ends=None)


@pytest.mark.parametrize("sign", ROWS, ids=lambda sign: sign.id)
def test_every_row_is_two_presses_from_stop(sign: Any) -> None:
    answers: dict[str, Given] = {
        "stop:1": {"about": str(sign.question)},
        "stop:1:list:1": {"signs": [sign.id]},
        f"stop:1:list:1:{sign.id}:ask": yes_to_all(sign.id),
    }
    pages, end = stopped(**answers)
    (rows,) = pages_of(pages, StopListPage)
    assert rows.questions == (sign.question,)
    assert len(end.signs) == 1
    closes = bool(CATALOGUE.policy.sign(end.signs[0].sign).parts)
    assert end.ends == ("card" if closes else None), "nobody goes back to what is closed now"


def test_not_sure_on_stop_shows_the_rows_of_all() -> None:
    answers: dict[str, Given] = {
        "stop:1": {"about": "not_sure"},
        "stop:1:list:1": {"signs": [], "rest": "not_sure"},
    }
    pages, end = stopped(**answers)
    (rows,) = pages_of(pages, StopListPage)
    assert set(rows.signs) == {sign.id for sign in ROWS}
    assert [one.sign for one in end.signs] == ["not_sure_body"], "the gravest of them"
    assert end.ends == "card"


@pytest.mark.parametrize(("go_on", "ends"), [("yes", None), ("no", "wanted")])
def test_none_of_these_asks_whether_to_go_on(go_on: str, ends: str | None) -> None:
    pages, end = stopped(**{"stop:1:go_on": {"go_on": go_on}})
    assert [type(page) for page in pages] == [StopPage, GoOnPage]
    assert pages_of(pages, GoOnPage)[0].none
    assert end == StopEnd(signs=(), ends=ends)  # type: ignore[arg-type]


def test_something_else_leads_back_to_stop() -> None:
    pages, _ = stopped(**{"stop:1:go_on": {"go_on": "more"}})
    assert [page.key for page in pages] == ["stop:1", "stop:1:go_on", "stop:2", "stop:2:go_on"]


def test_open_signs_come_before_the_gate() -> None:
    start = GateStart(asked_signs=SIGNS, open_signs=(asked("lump"),))
    pages, gate, _ = at_gate(
        start, **{"open:lump:talked": {"told": "not_called"}, "gate": SOMETHING_NEW}
    )
    assert isinstance(pages[0], TalkedPage)
    assert isinstance(pages[1], GatePage)
    assert list(gate.still_open) == ["lump"]
