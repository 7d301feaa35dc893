"""A walk through pages, as a generator that yields a page and is sent its answer.

A walk is never stored as a state. What is stored is the list of answers; replaying them gives the
page to show. So going back is dropping the last answer, and a killed program takes up where the
last saved answer left it.
"""

from collections.abc import Callable, Generator, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any, Generic, Protocol, TypeVar, get_args

from companion.care.records import Side

EndT_co = TypeVar("EndT_co", covariant=True)


class WalkPage(Protocol):
    """One page of a walk. `key` is unique within the walk."""

    @property
    def key(self) -> str:
        """Names the page; an answer names it again."""
        ...


def knee_of(page: WalkPage) -> Side | None:
    """The knee a page is about in a walk of both: its key begins with it. None in any other."""
    begins = page.key.partition(":")[0]
    return next((side for side in get_args(Side) if side == begins), None)


def unnamed(page: WalkPage) -> WalkPage:
    """The page as it is in a walk of one knee."""
    side = knee_of(page)
    if side is None:
        return page
    return replace(page, key=page.key.removeprefix(f"{side}:"))  # type: ignore[type-var]


Given = Mapping[str, Any]
"""What was answered on one page: plain JSON values by the name of the question."""
Walk = Generator[WalkPage, Given, EndT_co]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """The answer to one page, and when it was given."""

    page: str
    submitted: Given
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Paused:
    """A walk that waits at a page.

    `answers` are those that still fit; one that names another page than the walk asks for (the
    plan was replaced meanwhile) ends the replay there. `passed` are their pages, one an answer.
    """

    page: WalkPage
    answers: tuple[Answer, ...]
    passed: tuple[WalkPage, ...] = field(default=(), compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Completed(Generic[EndT_co]):
    """A walk that ended, with the answers it used."""

    end: EndT_co
    answers: tuple[Answer, ...]


def replay(
    walk: Callable[[], Walk[EndT_co]], answers: Sequence[Answer]
) -> Paused | Completed[EndT_co]:
    """Walk again through `answers`; pure when `walk` is."""
    waiting = iter(answers)

    def next_answer(page: WalkPage) -> Answer | None:
        answer = next(waiting, None)
        return answer if answer is not None and answer.page == page.key else None

    return _walked(walk, next_answer)


def replay_changed(
    walk: Callable[[], Walk[EndT_co]],
    passed: Sequence[WalkPage],
    answers: Sequence[Answer],
    changed: Answer,
) -> Paused | Completed[EndT_co]:
    """Walk again with one answer changed; pure when `walk` is.

    Each other answer is used again where its question is asked again; `passed` are the pages they
    were given on. Where another question comes the walk waits.
    """
    before = {page.key: (page, answer) for page, answer in zip(passed, answers, strict=True)}

    def kept(page: WalkPage) -> Answer | None:
        if page.key == changed.page:
            return changed
        asked, answer = before.get(page.key, (None, None))
        return answer if asked is not None and same_question(asked, page) else None

    return _walked(walk, kept)


def played_out(running: Walk[EndT_co], answers: Iterable[Given]) -> EndT_co | None:
    """The end of a walk that `answers` bring there; None where they do not, and it is left then."""
    try:
        next(running)
        for submitted in answers:
            running.send(submitted)
    except StopIteration as stop:
        return stop.value  # type: ignore[no-any-return]
    running.close()
    return None


def relayed(
    running: Walk[EndT_co],
    shown: Callable[[WalkPage], WalkPage] = lambda page: page,
    heard: Callable[[WalkPage, Given], object] = lambda page, submitted: None,
) -> Walk[EndT_co]:
    """A walk whose pages are shown as `shown` makes them; `heard` has each with its answer before
    the walk has it."""
    try:
        page = next(running)
        while True:
            submitted = yield shown(page)
            heard(page, submitted)
            page = running.send(submitted)
    except StopIteration as stop:
        return stop.value  # type: ignore[no-any-return]


def same_question(one: WalkPage, other: WalkPage) -> bool:
    """Whether an answer to one page answers the other. A page that shows more than it asks has an
    `about`: what it asks; any other page is about all it shows."""
    if type(one) is not type(other) or one.key != other.key:
        return False
    return bool(getattr(one, "about", one) == getattr(other, "about", other))


def _walked(
    walk: Callable[[], Walk[EndT_co]], answer_to: Callable[[WalkPage], Answer | None]
) -> Paused | Completed[EndT_co]:
    running = walk()
    used: list[Answer] = []
    passed: list[WalkPage] = []
    try:
        page = next(running)
        while (answer := answer_to(page)) is not None:
            used.append(answer)
            passed.append(page)
            page = running.send(answer.submitted)
    except StopIteration as stop:
        return Completed(end=stop.value, answers=tuple(used))
    running.close()
    return Paused(page=page, answers=tuple(used), passed=tuple(passed))
