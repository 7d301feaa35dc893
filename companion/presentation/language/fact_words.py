"""Where a number comes from, in words: its sources in short, each with how sure it is."""

from collections.abc import Iterable

from companion.care.catalogue import KnownAbout
from companion.care.facts import Fact, Facts
from companion.care.ranges import Letter
from companion.presentation.language.code_table import CodeTable, capital
from companion.presentation.language.phrases import listed, parted, phrase

LETTERS: CodeTable[Letter, str] = CodeTable(
    Letter,
    {
        "F": "read in the source",
        "S": "read in a secondary page",
        "M": "from memory, to be confirmed",
        "C": "no source",
        "D": "arithmetic",
        "V": "recomputed",
    },
)
"""How sure a source is."""


def short_source(facts: Facts, fact_id: str) -> str:
    """Author and year of the source of one fact, for the end of a sentence."""
    (fact,) = facts.of((fact_id,))
    return phrase(fact.title) if fact.author is None else fact.short


def sources_words(facts: Facts, ids: Iterable[str]) -> str:
    """The sources of facts, one after the other, such as `Tubach 2005, Ann Rheum Dis 64:34 (read
    in the source); our choice, no source`. What names no source says so in its own words."""
    return parted(_source(fact) for fact in facts.sources(ids))


def source_sentence(facts: Facts, ids: Iterable[str]) -> str:
    """The sources of facts as a sentence of their own."""
    words = sources_words(facts, ids)
    return phrase("{sources}.", sources=capital(words))


def known_words(known: KnownAbout, facts: Facts) -> tuple[str, ...]:
    """What is known about a part of care, for the clinician, each with its sources."""
    return tuple(
        " ".join((phrase(one.words), *_sentence_of(facts, one.facts))) for one in known.clinic
    )


def known_in_short(known: KnownAbout, facts: Facts) -> str:
    """The two things that tell most, and whose they are."""
    first = known.clinic[:2]
    named = dict.fromkeys(fact.short for one in first for fact in facts.of(one.facts))
    words = " ".join(phrase(one.words) for one in first)
    return phrase("{words} ({sources})", words=words, sources=listed(named))


def _sentence_of(facts: Facts, ids: tuple[str, ...]) -> tuple[str, ...]:
    return (source_sentence(facts, ids),) if ids else ()


def _source(fact: Fact) -> str:
    if fact.year is None:
        return phrase(fact.title)
    return phrase("{named} ({standing})", named=fact.named, standing=LETTERS[fact.letter])
