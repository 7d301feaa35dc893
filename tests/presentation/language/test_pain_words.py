"""How pain is asked for: in words of our own, the same everywhere."""

import re
from pathlib import Path

import companion
from companion.presentation.language.words import pain_ends, pain_scale_words
from companion.system.resources import resource

ELSEWHERE = re.compile(r"last 24 hours|can imagine", re.IGNORECASE)
TEXTS = (".py", ".json", ".csv", ".md", ".txt")


def test_the_scale_has_the_same_ends_in_a_row_and_in_a_sentence() -> None:
    low, high = pain_ends()
    assert (low, high) == ("no pain", "worst possible pain")
    assert pain_scale_words() == f"0 is {low}. 10 is the {high}."


def test_no_other_words_ask_for_pain() -> None:
    """Those stand in a licensed inventory of pain, from memory."""
    roots = (Path(companion.__file__).parent, Path(str(resource())))
    files = [path for root in roots for path in root.rglob("*") if path.suffix in TEXTS]
    assert len(files) > 200
    found = [
        f"{path.name}: {line.strip()}"
        for path in files
        for line in path.read_text(encoding="utf-8").splitlines()
        if ELSEWHERE.search(line)
    ]
    assert found == []
