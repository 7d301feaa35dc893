"""The holes of sentences that only some words fill: each makes a whole sentence of its own, which a
translator sees with the words in it, so that gender, case and order can be right.

A hole is known by its name, so a name here is used for nothing else.
"""

CLOSED: dict[str, tuple[str, ...]] = {
    "knee": ("left knee", "right knee"),
    "your_knee": ("Your knee", "Your left knee", "Your right knee"),
    "knees": ("left knee", "right knee", "both knees"),
}
"""The English words for each such hole. Where it begins a sentence, they begin large."""


def members(name: str, text: str) -> tuple[str, ...]:
    """The words that may fill the hole `name` of `text`."""
    words = CLOSED.get(name, ())
    if text.startswith("{" + name + "}"):
        return tuple(word[0].upper() + word[1:] for word in words)
    return words


def filled(text: str, words: dict[str, str]) -> str:
    """`text` with these holes filled; the others stay."""
    for name, word in words.items():
        text = text.replace("{" + name + "}", word)
    return text
