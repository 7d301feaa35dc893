"""Facts of the trade and where each comes from: the rows of ``resources/facts.csv``.

A fact is cited by its id. Code writes ``fact:`` and the id in round brackets beside the value it
takes, content names the id in its ``facts``. So a number's source is written once, and a test
compares the number beside the id with the number of the fact. Nothing in this module reads a file.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated

from companion.care.ranges import Key, Letter, Range, Words
from companion.care.records import Record

_FIRMEST_FIRST: tuple[Letter, ...] = ("F", "V", "S", "D", "M", "C")


@dataclass(frozen=True, kw_only=True, slots=True)
class Fact(Record):
    """One fact. ``value`` holds its numbers as text, in ``unit``; None where it has none.

    ``author``, ``year`` and ``place`` (journal, volume and page, DOI, or body and number) are None
    where no source is named; ``title`` says then why there is none.
    """

    id: Key
    fact: Annotated[str, Words(400)]
    value: Annotated[str, Words(200)] | None = None
    unit: Annotated[str, Words(40)] | None = None
    letter: Letter
    author: Annotated[str, Words(80)] | None = None
    title: Annotated[str, Words(300)]
    year: Annotated[int, Range(1900, 2100)] | None = None
    place: Annotated[str, Words(120)] | None = None

    @property
    def short(self) -> str:
        """Author and year, such as ``Salaffi 2004``; else why there is none."""
        return self.title if self.author is None else f"{self.author} {self.year}"

    @property
    def named(self) -> str:
        """The source in short, such as ``Salaffi 2004, Eur J Pain 8:283``; else why there is
        none."""
        return self.title if self.author is None else f"{self.short}, {self.place}"


@dataclass(frozen=True, slots=True)
class Facts:
    """All facts, by id."""

    rows: tuple[Fact, ...]

    def of(self, ids: Iterable[str]) -> tuple[Fact, ...]:
        """The facts with these ids, in their order. Raises KeyError for an unknown id."""
        known = {fact.id: fact for fact in self.rows}
        return tuple(known[fact_id] for fact_id in ids)

    def sources(self, ids: Iterable[str]) -> tuple[Fact, ...]:
        """One fact for each source that stands behind these ids, in their order."""
        return tuple({(fact.named, fact.letter): fact for fact in self.of(ids)}.values())

    def least_firm(self, ids: Iterable[str]) -> Letter:
        """How sure all of these facts together are: the letter of the least sure one."""
        return max((fact.letter for fact in self.of(ids)), key=_FIRMEST_FIRST.index)
