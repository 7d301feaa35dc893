"""A walk through pages, as a generator that yields a page and is sent its answer.

A walk is never stored as a state. What is stored is the list of answers; replaying them gives the
page to show. So going back is dropping the last answer, and a killed program takes up where the
last saved answer left it.
"""

from collections.abc import Callable, Generator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Generic, Protocol, TypeVar

EndT_co = TypeVar("EndT_co", covariant=True)


class Page(Protocol):
    """One page of a walk. `key` is unique within the walk."""

    @property
    def key(self) -> str:
        """Names the page; an answer names it again."""
        ...


Given = Mapping[str, Any]
"""What was answered on one page: plain JSON values by the name of the question."""
Walk = Generator[Page, Given, EndT_co]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """The answer to one page, and when it was given."""

    page: str
    given: Given
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Paused:
    """A walk that waits at a page.

    `answers` are those that still fit; one that names another page than the walk asks for (the
    plan was replaced meanwhile) ends the replay there.
    """

    page: Page
    answers: tuple[Answer, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Completed(Generic[EndT_co]):
    """A walk that ended, with the answers it used."""

    end: EndT_co
    answers: tuple[Answer, ...]


def replay(
    walk: Callable[[], Walk[EndT_co]], answers: Sequence[Answer]
) -> Paused | Completed[EndT_co]:
    """Walk again through `answers`; pure when `walk` is."""
    running = walk()
    used: list[Answer] = []
    try:
        page = next(running)
        for answer in answers:
            if answer.page != page.key:
                break
            used.append(answer)
            page = running.send(answer.given)
    except StopIteration as stop:
        return Completed(end=stop.value, answers=tuple(used))
    running.close()
    return Paused(page=page, answers=tuple(used))
