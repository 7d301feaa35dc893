"""What was said at the gate, as the clinic's table of entries tells it."""

from typing import Any

from companion.care.records import GateReply, KnownReply
from companion.presentation.clinic.tables import held_words
from tests.builders import gate, session
from tests.care.content import CATALOGUE

REPLIES = tuple(
    GateReply(question=number, said="not_sure" if number == 3 else "no") for number in (1, 2, 3, 4)
)
NO_DAYS: Any = None
"""No day is told of a gate."""
KNOWN = (KnownReply(sign="stiff_mornings", said="worse"),)


def test_what_was_not_no_is_told_with_its_question() -> None:
    entry = gate(
        0, "something", gate_replies=REPLIES, known_replies=KNOWN, after_last="more_next_morning"
    )
    told = held_words(entry, NO_DAYS, CATALOGUE)
    assert told is not None
    assert f"not sure: {CATALOGUE.short_gate.question(3).words}" in told
    assert CATALOGUE.short_gate.question(1).words not in told, "no is nothing to tell"
    assert "that is new or worse: worse" in told
    assert "after the routine before: more pain the next morning" in told


def test_a_session_tells_it_too() -> None:
    told = held_words(session(0, 6, 3, after_last="same"), NO_DAYS, CATALOGUE)
    assert told is not None
    assert told.endswith("after the routine before: as usual")
