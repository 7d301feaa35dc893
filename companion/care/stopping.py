"""The short gate, the full stop list and its cards, and the Stop button.

The list and its cards are data; here is only the order in which they are asked and what a sign
that holds does to the walk. No score, no diagnosis.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Literal, TypeVar

from companion.care.catalogue import Catalogue, Sign, sign_holds
from companion.care.closures import parts_closed
from companion.care.course import EndReason
from companion.care.flow import Answer, Given, Walk
from companion.care.levels import level_rank
from companion.care.policy import State
from companion.care.records import Part, Record, SessionEnd
from companion.care.stop_rules import FullListReason

EndT = TypeVar("EndT")
ListReason = Literal[FullListReason, "new_place", "stop"]
"""Why the full list is shown. new_place: pain at the back of the knee, where it was not before."""
GATE_LIST = "list"
"""Begins the keys of the list that comes with the gate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GatePage:
    """The four questions. Given: `gate` none | something."""

    key: str = "gate"


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenSignPage:
    """A sign of an earlier day, asked about again. Given: `over` yes | no."""

    key: str
    sign: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StopListPage:
    """The full stop list. Given: `signs`, ids ticked."""

    key: str
    reason: ListReason
    signs: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SignQuestionsPage:
    """The questions behind one ticked sign. Given: yes | no | not_sure by question id."""

    key: str
    sign: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CardPage:
    """The fixed card of a sign that holds. Given: `card` read | mistake.

    `coming` are the signs whose cards follow, with the keys of their pages: whoever puts the
    screen down to get help has ticked those too.
    """

    key: str
    sign: str
    coming: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NoneTickedPage:
    """What the list says when nothing was ticked, or when no ticked sign holds."""

    key: str
    ticked: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class GoOnPage:
    """After Stop, when no sign was ticked. Given: `go_on` yes | no."""

    key: str = "go_on"


@dataclass(frozen=True, slots=True, kw_only=True)
class SignTicked(Record):
    """A sign that was ticked and held; `mistake` when taken back on its card."""

    sign: str
    mistake: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class StopEnd:
    """What pressing Stop came to. `ends` is why what was under way ends, None to go on with it.

    A sign that closes anything ends it: nobody goes back to a page that is now closed.
    """

    signs: tuple[SignTicked, ...]
    ends: Literal["card", "wanted"] | None


class Ended(Exception):
    """Leaves a walk from inside a part of it: how it ended and why."""

    def __init__(self, ended: SessionEnd, reason: EndReason) -> None:
        super().__init__(reason)
        self.ended: SessionEnd = ended
        self.reason: EndReason = reason


def stop_list_walk(
    catalogue: Catalogue,
    signs: tuple[str, ...],
    reason: ListReason,
    prefix: str,
    ticked: list[SignTicked],
) -> Walk[None]:
    """The full list, the questions behind each tick, and the cards, the highest level first.

    Ends the session for a sign that does so, once its card was read. A card ticked by mistake
    brings the list back; both stay in `ticked`, and no card is shown twice for one tick.
    """
    turn = 0
    while True:
        turn += 1
        given = yield StopListPage(key=f"{prefix}:{turn}", reason=reason, signs=signs)
        given_signs = given["signs"]
        cards = yield from cards_walk(catalogue, given_signs, f"{prefix}:{turn}", ticked)
        known = {done.sign for done in ticked if not done.mistake}
        if not cards and not (given_signs and known.issuperset(given_signs)):
            yield NoneTickedPage(key=f"{prefix}:{turn}:none", ticked=bool(given_signs))
            return
        mistakes = sum(card.mistake for card in cards)
        meant = [done.sign for done in ticked if not done.mistake]
        if any(catalogue.policy.sign(sign).ends == "session" for sign in meant):
            raise Ended("stopped", "card")
        if not mistakes:
            return


def cards_walk(
    catalogue: Catalogue, signs: Iterable[str], prefix: str, ticked: list[SignTicked]
) -> Walk[tuple[SignTicked, ...]]:
    """The questions behind each sign that is said to hold, then the cards of those that do, the
    highest level first. No card is shown twice; what each came to is added to `ticked`."""
    holding: list[Sign] = []
    for sign_id in signs:
        sign = catalogue.sign(sign_id)
        replies: Given = {}
        if sign.questions:
            replies = yield SignQuestionsPage(key=f"{prefix}:{sign_id}:ask", sign=sign_id)
        if sign_holds(sign, dict(replies)):
            holding.append(sign)
    known = {done.sign for done in ticked if not done.mistake}
    cards = [
        (sign, f"{prefix}:{sign.id}:card")
        for sign in sorted(holding, key=lambda sign: -level_rank(sign.level))
        if sign.id not in known
    ]
    shown: list[SignTicked] = []
    for number, (sign, key) in enumerate(cards, 1):
        coming = tuple((later.id, later_key) for later, later_key in cards[number:])
        given = yield CardPage(key=key, sign=sign.id, coming=coming)
        shown.append(SignTicked(sign=sign.id, mistake=given["card"] == "mistake"))
    ticked += shown
    return tuple(shown)


@dataclass(frozen=True, slots=True, kw_only=True)
class GateStart(Record):
    """What every walk with a gate stands on. `gate_asked`: the gate was answered today with none,
    outside a session. `list_reason`: why the full list is due. `asked_signs` are those the list
    offers, `open_signs` those to ask about again, for the person may open them. `closed` is what
    stays closed whatever they say of those: by other signs, the plan, or for the other knee.
    """

    gate_asked: bool = False
    closed: tuple[Part, ...] = ()
    list_reason: FullListReason | None = None
    asked_signs: tuple[str, ...] = ()
    open_signs: tuple[str, ...] = ()


def gate_walk(
    catalogue: Catalogue,
    signs: tuple[str, ...],
    list_reason: FullListReason | None,
    ticked: list[SignTicked],
    *,
    answered: bool,
) -> Walk[None]:
    """The short gate outside a session, unless it was `answered` today, and the full list when
    it is due: a card or a new plan asks for that after any gate."""
    reason: FullListReason | None = list_reason
    if not answered and (yield GatePage())["gate"] == "something":
        reason = "gate_answered_something"
    if reason is not None:
        yield from stop_list_walk(catalogue, signs, reason, GATE_LIST, ticked)


def played_out(walk: Callable[[], Walk[EndT]], answers: Iterable[Answer]) -> EndT:
    """How a walk ends when no further question is answered."""
    running = walk()
    try:
        page = next(running)
        for answer in answers:
            page = running.send(answer.given)
        while True:
            page = running.send({"card": "read"} if isinstance(page, CardPage) else {})
    except StopIteration as stop:
        end: EndT = stop.value
        return end


def closed_now(
    catalogue: Catalogue,
    start: GateStart,
    still_open: Iterable[str],
    ticked: Iterable[SignTicked],
    states: Iterable[State] = (),
) -> frozenset[Part]:
    """What is closed in a walk by now: from its start on, by signs open still or ticked in it, and
    by states of its session."""
    holding = [*still_open, *(sign.sign for sign in ticked if not sign.mistake)]
    return parts_closed(catalogue.policy, holding, states).union(start.closed)


@dataclass(frozen=True, slots=True, kw_only=True)
class StopStart(Record):
    """The signs that Stop offers."""

    asked: tuple[str, ...]


def stop_walk(catalogue: Catalogue, signs: tuple[str, ...]) -> Walk[StopEnd]:
    """What Stop opens on every page: the full list, its cards, and whether to go on."""
    ticked: list[SignTicked] = []
    try:
        yield from stop_list_walk(catalogue, signs, "stop", "stop", ticked)
    except Ended:
        return StopEnd(signs=tuple(ticked), ends="card")
    if any(catalogue.policy.sign(done.sign).parts for done in ticked if not done.mistake):
        return StopEnd(signs=tuple(ticked), ends="card")
    given = yield GoOnPage()
    return StopEnd(signs=tuple(ticked), ends=None if given["go_on"] == "yes" else "wanted")
