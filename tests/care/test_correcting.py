"""Putting right, as rules over entries: chains, two machines, and what follows from an answer."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.correcting import (
    CorrectStart,
    answer_at,
    answers_of,
    lowered,
    not_possible,
    on_day,
    on_other_knee,
    raised,
    with_answer,
    withdrawn,
)
from companion.care.history import current, is_withdrawn, last_of, merge, tree_of
from companion.care.records import AnyEntry, GateReply, Session
from tests.builders import after_hands, at, before, page, session, tape_off, tape_on

FIRST = session(
    4,
    moves=(before(6), after_hands(5)),
    gate_replies=tuple(GateReply(question=number, said="no") for number in (1, 2, 3, 4)),
)
STEPS = st.lists(
    st.tuples(st.sampled_from("ab"), st.sampled_from(["score", "rest", "out", "in"])), max_size=8
)


def corrected(entry: AnyEntry, what: str, number: int) -> AnyEntry:
    """The next correction of an entry, of one kind."""
    new = {
        "score": lambda: with_answer(entry, "moves.1.score", number % 11),
        "rest": lambda: on_day(entry, at(3).date()),
        "out": lambda: withdrawn(entry, "never_happened"),
        "in": lambda: withdrawn(entry, None),
    }[what]()
    return replace(
        new, id=f"{number:016x}{'c' * 16}", replaces=entry.id, written_at=at(5, 8, number)
    )


@given(STEPS, st.randoms())
def test_chains_of_two_machines_come_to_one_end_whichever_way_they_meet(
    steps: list[tuple[str, str]], random: object
) -> None:
    """Each machine corrects what it knows; no version is lost, one counts or none."""
    known: dict[str, list[AnyEntry]] = {"a": [FIRST], "b": [FIRST]}
    for number, (machine, what) in enumerate(steps, 1):
        known[machine].append(corrected(known[machine][-1], what, number))
    union = merge(known["a"], known["b"])
    shuffled = list(union)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    assert union == merge(known["b"], known["a"])
    assert current(shuffled) == current(union)
    end = last_of(tree_of(union, FIRST.id))
    assert current(union) == (() if is_withdrawn(end) else (end,))
    assert len(union) == 1 + len(steps)


def test_what_a_walk_works_out_is_worked_out_again() -> None:
    fell = with_answer(FIRST, "gate_replies.1.said", "yes")
    assert isinstance(fell, Session)
    assert fell.gate == "something"
    other = with_answer(FIRST, "moves.1.same_depth", False)
    assert isinstance(other, Session)
    assert not other.comparable
    again = with_answer(other, "moves.1.same_depth", True)
    assert isinstance(again, Session)
    assert again.comparable


def test_a_yes_raises_its_question_and_a_no_lowers_it() -> None:
    fell = with_answer(FIRST, "gate_replies.1.said", "not_sure")
    assert raised(FIRST, fell).questions == (2,)
    assert lowered(fell, FIRST) == ((2,), ())
    assert raised(fell, FIRST).questions == ()
    assert raised(FIRST, withdrawn(fell, "written_twice")).questions == ()


def test_an_older_gate_was_one_question_for_all() -> None:
    older = session(4, gate="none")
    assert {answer.name for answer in answers_of(older)} >= {"gate"}
    assert raised(older, with_answer(older, "gate", "something")).questions == (1, 2, 3, 4)
    assert answer_at(FIRST, "gate") is None, "it follows from its questions"


@pytest.mark.parametrize("name", ["skin", "pain_average"])
def test_only_skin_that_is_not_whole_raises_its_card(name: str) -> None:
    told = page(4, skin="clear", pain_average=2)
    for value in ("pink", "blister") if name == "skin" else (3, 10):
        assert raised(told, with_answer(told, name, value)).skin == (value == "blister")


def test_what_was_not_answered_is_not_made_up_later() -> None:
    assert [answer.path for answer in answers_of(page(4, pain_worst=3))] == ["pain_worst"]


def test_tape_of_the_other_knee_names_no_tape_of_this_one() -> None:
    off = on_other_knee(tape_off(at(4), tape_on="f" * 32))
    assert (getattr(off, "side", None), getattr(off, "tape_on", "")) == ("left", None)


def test_no_time_is_later_than_it_was_first_written() -> None:
    on = tape_on(at(4, 9))
    later = replace(on, id="f" * 32, replaces=on.id, written_at=at(8))
    start = CorrectStart(entry=later, earlier_versions=(on,), today=at(9).date())
    assert not_possible(start, replace(later, happened_at=at(4, 8))) is None
    assert not_possible(start, replace(later, happened_at=at(4, 10))) == "later"
