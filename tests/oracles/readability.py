"""Reading grade of English text, for the wording rules of the home pages.

Formula: Kincaid, Fishburne, Rogers and Chissom 1975, "Derivation of new readability formulas for
Navy enlisted personnel", Research Branch Report 8-75 (coefficients from memory, status M):
grade = 0.39 x words per sentence + 11.8 x syllables per word - 15.59.
Syllables are counted by rule with a list of exceptions; both are checked in
``tests/care/test_catalogue_wording.py`` against counts of an ordinary dictionary.
"""

import re
from collections.abc import Iterable

_EXCEPTIONS = {
    "area": 3,
    "being": 2,
    "clinician": 3,
    "clothes": 1,
    "diary": 3,
    "doing": 2,
    "every": 2,
    "goes": 1,
    "idea": 3,
    "kneecap": 2,
    "medicine": 3,
    "osteoarthritis": 6,
    "outside": 2,
    "quiet": 2,
    "radiotherapy": 6,
    "something": 2,
    "sometimes": 2,
    "someone": 2,
    "whole": 1,
    "trial": 2,
    "anyone": 3,
    "somewhere": 2,
    "real": 1,
    "going": 2,
    "shoes": 1,
    "toes": 1,
    "does": 1,
    "unable": 3,
    "throbbing": 2,
    "replacement": 3,
}
_ONES = (2, 1, 1, 1, 1, 1, 1, 2, 1, 1, 1, 3, 1, 2, 2, 2, 2, 3, 2, 2)
"""Syllables of zero to nineteen, spoken."""
_TENS = (0, 0, 2, 2, 2, 2, 2, 3, 2, 2)
"""Syllables of twenty to ninety, spoken, by the first digit."""


def words(text: str) -> list[str]:
    """The words and numbers of a text, in small letters."""
    return re.findall(r"[a-z]+(?:'[a-z]+)?|\d+", text.lower())


def sentences(texts: Iterable[str]) -> list[str]:
    """The sentences of separate lines; a line ends a sentence whether it has a stop or not."""
    found: list[str] = []
    for text in texts:
        found += [part for part in re.split(r"(?<=[.?!])\s+", text.strip()) if words(part)]
    return found


def syllables(word: str) -> int:
    """Syllables of one word or of a number below 100 as spoken."""
    if word.isdigit():
        number = int(word)
        if number < 20:
            return _ONES[number]
        if number < 100:
            return _TENS[number // 10] + (_ONES[number % 10] if number % 10 else 0)
        return 2 * len(word)
    plain = word.replace("'s", "").replace("'", "")
    if plain in _EXCEPTIONS:
        return _EXCEPTIONS[plain]
    stem = plain
    if len(stem) > 3:
        if re.search(r"[^td]ed$|(?<![sxzcg])(?<!ch|sh)es$", stem):
            stem = stem[:-2]
        elif stem.endswith("ely"):
            stem = stem[:-3] + "ly"
        elif stem.endswith("e") and not re.search(r"[^aeiouy]le$", stem):
            stem = stem[:-1]
    count = len(re.findall(r"[aeiouy]+", stem))
    count += len(re.findall(r"i(?:a|o(?!n))|[^q]uous|eo(?!u|p)", stem))
    return max(1, count)


def grade(texts: Iterable[str]) -> float:
    """Flesch-Kincaid grade of the lines of one page."""
    found = sentences(texts)
    every_word = [word for sentence in found for word in words(sentence)]
    per_sentence = len(every_word) / len(found)
    per_word = sum(map(syllables, every_word)) / len(every_word)
    return 0.39 * per_sentence + 11.8 * per_word - 15.59


def longest_sentence(texts: Iterable[str]) -> int:
    """Words of the longest sentence."""
    return max(len(words(sentence)) for sentence in sentences(texts))


def mean_sentence(texts: Iterable[str]) -> float:
    """Mean words of a sentence."""
    counts = [len(words(sentence)) for sentence in sentences(texts)]
    return sum(counts) / len(counts)
