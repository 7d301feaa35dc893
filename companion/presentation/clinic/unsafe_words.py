"""What may be unsafe: the words of each code, for the review and for the list of people."""

from __future__ import annotations

from companion.evidence.figures import UnsafeCode
from companion.presentation.language.code_table import CodeTable, Wording


class UnsafeWords(Wording):
    """The label of a row, and what is said of one thing or of `n`."""

    label: str
    one: str
    many: str


UNSAFE: CodeTable[UnsafeCode, UnsafeWords] = CodeTable(
    UnsafeCode,
    {
        "silent_after_card": UnsafeWords(
            "Nothing written since",
            "silent for {n} day since a card",
            "silent for {n} days since a card",
        ),
        "open_card": UnsafeWords("Cards open", "{n} card open", "{n} cards open"),
        "fall": UnsafeWords("Falls", "{n} fall", "{n} falls"),
        "head_knock": UnsafeWords(
            "Knock to the head", "{n} knock to the head", "{n} knocks to the head"
        ),
        "skin": UnsafeWords("Skin", "skin {n} time", "skin {n} times"),
        "open_sign": UnsafeWords(
            "Signs not answered for", "{n} sign not answered for", "{n} signs not answered for"
        ),
        "step_stopped": UnsafeWords(
            "Steps stopped", "{n} step stopped often", "{n} steps stopped often"
        ),
        "woken": UnsafeWords("Night pain", "new night pain", "new night pain"),
        "swelling": UnsafeWords("Swelling", "new swelling", "new swelling"),
        "stiff": UnsafeWords("Morning stiffness", "new stiffness", "new stiffness"),
        "rising": UnsafeWords("Pain going up", "pain going up", "pain going up"),
        "signal": UnsafeWords("Own limit passed", "own limit passed", "own limit passed"),
        "silent": UnsafeWords("Nothing written since", "silent for {n} day", "silent for {n} days"),
    },
)
"""What may be unsafe: the label of its row, and what the list of people says of so many."""


def unsafe_listed(code: UnsafeCode, n: int) -> str:
    """What may be unsafe, in a few words; `n` things, or days of silence."""
    return UNSAFE[code].counted("one", "many", n)
