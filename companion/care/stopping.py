"""The gate, the stop list behind its questions, the cards, and the Stop button.

The list and its cards are data; here is only the order in which they are asked and what a sign
that holds does to the walk. No score, no diagnosis.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import partial
from types import MappingProxyType
from typing import Literal, TypeVar

from companion.care.catalogue import Catalogue, sign_led_to
from companion.care.clearing import MistakePage, OpenSign, mistake_key, open_signs_walk
from companion.care.closures import parts_closed
from companion.care.course import EndReason
from companion.care.flow import Answer, Given, Walk, WalkPage, relayed
from companion.care.levels import level_rank
from companion.care.policy import PartAsks, State
from companion.care.records import (
    AfterLast,
    GateReply,
    GateReplySaid,
    GateSaid,
    KnownReply,
    KnownSign,
    Part,
    Record,
    SessionEnd,
    Side,
)
from companion.care.stop_rules import FullListReason

EndT = TypeVar("EndT")
OpenReason = Literal[FullListReason, "wanted"]
"""Why the gate shows every sign behind its questions. wanted: the person asked for it."""
ListReason = Literal["gate", "new_place", "stop", "put_right"]
"""What the rows of the list are shown for. gate: a question was answered with yes or not sure.
new_place: pain at the back of the knee, where it was not before. put_right: an answer of the gate
was put right later."""
GATE_LIST = "list"
"""Begins the keys of the list that comes with the gate."""
GATE_ALL = "gate:all"
"""The key of the gate with every sign, where the person asked for it."""
IN_SESSION = 5
"""The question about what happens in a session and with tape."""
NEW_PLACE_QUESTION = 3
"""The question about the knee and the calf."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GatePage:
    """The gate: each question answered for itself. Given: `q1` to `q4`, with 5 asked `q5`, each
    yes | no | not_sure; `after_last` where it is asked, of the routine of `last_day`; or `show`
    all.

    With a `reason` everything is open: the rows of each question, `signs`, are read with it. On an
    evening of both knees `after_last_of` are those of which it is asked, each given by itself as
    `after_last:<knee>`.
    """

    key: str = "gate"
    reason: OpenReason | None = None
    signs: tuple[str, ...] = ()
    questions: tuple[int, ...] = (1, 2, 3, 4)
    after_last: bool = False
    last_day: date | None = None
    after_last_of: tuple[Side, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownPage:
    """Every sign the plan marks as known. Given by its id: as_before | worse | something_new."""

    signs: tuple[str, ...]
    key: str = "known"


@dataclass(frozen=True, slots=True, kw_only=True)
class TopicsPage:
    """A question with many rows, narrowed down. Given: `topics`, ids ticked; none is all."""

    key: str
    question: int
    topics: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StopListPage:
    """The rows behind `questions`. Given: `signs`, ids ticked, and with none of them `rest`: none,
    or not_sure where something is new that no row says."""

    key: str
    reason: ListReason
    questions: tuple[int, ...]
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
    screen down to get help has ticked those too. `two_knees`: which knee a sign of one knee is
    about is asked after its card, so until then it is of both; but of those in `knees` the plan
    says it.
    """

    key: str
    sign: str
    coming: tuple[tuple[str, str], ...] = ()
    two_knees: bool = False
    knees: tuple[tuple[str, Side], ...] = ()

    def knee_of(self, sign: str) -> Side | None:
        """The knee that is known of the sign, or of one that follows."""
        return dict(self.knees).get(sign)


SIGN_PAGES = (KnownPage, TopicsPage, StopListPage, SignQuestionsPage, CardPage)
"""The pages from an answer that is not "no" to its card."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WhichKneePage:
    """Which knee a sign is about. Given: `knee` left | right | both."""

    key: str
    sign: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NoneTickedPage:
    """What the list says when nothing was ticked and nothing is new. `unsure`: something is, and no
    card goes with it."""

    key: str
    unsure: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class StopPage:
    """What Stop opens: help at once, or what it is about. Given: `about` help | not_sure | none |
    the number of a question."""

    key: str
    questions: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GoOnPage:
    """After Stop, when nothing closes what was under way. Given: `go_on` yes | no | more.

    `none`: nothing was ticked.
    """

    key: str
    none: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SignTicked(Record):
    """A sign that was ticked and held; `mistake` when taken back after its card, `another` when
    another one of the list was meant."""

    sign: str
    mistake: bool
    another: bool = False


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
    opened: tuple[int, ...],
    reason: ListReason,
    prefix: str,
    ticked: list[SignTicked],
    *,
    two_knees: bool,
    earlier: tuple[str, ...] = (),
    worse: tuple[str, ...] = (),
    known: tuple[KnownSign, ...] = (),
) -> Walk[None]:
    """The rows of the opened questions, the questions behind each tick, and the cards, the highest
    level first.

    `signs` are those offered, `earlier` those open from before, `worse` known ones that got worse:
    they hold without a row. `known` is what the plan says of known ones. Ends the session for a
    sign that does so, once its card was read. Whoever meant another sign than that of the card has
    the list again; both stay in `ticked`, and no card is shown twice for one tick.
    """
    turn = 0
    while True:
        turn += 1
        ticks: tuple[str, ...] = ()
        certain = list(worse) if turn == 1 else []
        if opened:
            rows = yield from _narrowed(catalogue, signs, opened, f"{prefix}:{turn}")
            submitted = yield StopListPage(
                key=f"{prefix}:{turn}", reason=reason, questions=opened, signs=rows
            )
            ticks = tuple(submitted["signs"])
            if not ticks and submitted.get("rest") == "not_sure":
                # Of everything the first question is the gravest, and its sign closes the most.
                unsure = opened[:1] if _all(catalogue, opened) else opened
                certain += [catalogue.short_gate.question(number).not_sure for number in unsure]
        cards = yield from cards_walk(
            catalogue,
            ticks,
            f"{prefix}:{turn}",
            ticked,
            two_knees=two_knees,
            certain=certain,
            earlier=earlier,
            knees=_knees_of(catalogue, known),
        )
        if not cards:
            if not ticks and not certain:
                yield NoneTickedPage(key=f"{prefix}:{turn}:none")
            return
        another = any(card.another for card in cards)
        if any(catalogue.policy.sign(sign).ends == "session" for sign in _meant(ticked)):
            raise Ended("stopped", "card")
        if not another or not opened:
            return


def cards_walk(
    catalogue: Catalogue,
    signs: Iterable[str],
    prefix: str,
    ticked: list[SignTicked],
    *,
    two_knees: bool = False,
    certain: Iterable[str] = (),
    earlier: Iterable[str] = (),
    knees: Mapping[str, Side] = MappingProxyType({}),
) -> Walk[tuple[SignTicked, ...]]:
    """The questions behind each ticked row, then the cards of the signs they lead to, of those that
    are `certain` without a question, and of what follows from these and from `earlier` ones
    together, the highest level first. No card is shown twice; what each came to is added to
    `ticked`. With `two_knees` a sign of one knee asks which after its card, unless that is among
    `knees`; a row that stands for either knee always asks."""
    holding = list(certain)
    for sign_id in signs:
        sign = catalogue.sign(sign_id)
        replies: Given = {}
        if sign.questions:
            replies = yield SignQuestionsPage(key=f"{prefix}:{sign_id}:ask", sign=sign_id)
        holding.append(sign_led_to(sign, dict(replies)))
        if sign.asked_when != "known":
            knees = {one: side for one, side in knees.items() if one != holding[-1]}
    known = {*_meant(ticked)}
    holding = [one for one in dict.fromkeys(holding) if one not in known]
    holding += _follow(catalogue, holding, {*known, *earlier})
    cards = [
        (sign, f"{prefix}:{sign.id}:card")
        for sign in sorted(map(catalogue.sign, holding), key=lambda one: -level_rank(one.level))
    ]
    shown: list[SignTicked] = []
    for number, (sign, key) in enumerate(cards, 1):
        coming = tuple((later.id, later_key) for later, later_key in cards[number:])
        page = CardPage(
            key=key,
            sign=sign.id,
            coming=coming,
            two_knees=two_knees,
            knees=tuple(knees.items()) if two_knees else (),
        )
        tick = yield from card_walk(page, another=True)
        shown.append(tick)
        of_one = catalogue.policy.sign(sign.id).knee != "person" and sign.id not in knees
        if two_knees and not tick.mistake and of_one:
            yield WhichKneePage(key=knee_key(key), sign=sign.id)
    ticked += shown
    return tuple(shown)


def _knees_of(catalogue: Catalogue, known: Iterable[KnownSign]) -> Mapping[str, Side]:
    """The knee of each known sign, and of the one it comes to as before and when it is worse, where
    the plan names one."""
    said: dict[str, set[Side | None]] = {}
    for one in known:
        sign = catalogue.sign(one.sign)
        side = None if one.side == "both" else one.side
        for of_it in (one.sign, sign.known_as, sign.worse_as):
            if of_it is not None:
                said.setdefault(of_it, set()).add(side)
    return {sign: side for sign, (side, *more) in said.items() if side is not None and not more}


def card_walk(page: CardPage, *, another: bool = False) -> Walk[SignTicked]:
    """A card, and what it came to. A sign is taken back only after it was read once more (rule
    r08); `another`: there is a list on which another may have been meant."""
    mistake = "no"
    if (yield page)["card"] == "mistake":
        sure = yield MistakePage(key=mistake_key(page.key), sign=page.sign, another=another)
        mistake = sure["mistake"]
    return SignTicked(sign=page.sign, mistake=mistake != "no", another=mistake == "another")


def knee_key(card: str) -> str:
    """The key of the page after a card that asks which knee its sign is about."""
    return f"{card}:knee"


def _narrowed(
    catalogue: Catalogue, signs: tuple[str, ...], opened: tuple[int, ...], key: str
) -> Walk[tuple[str, ...]]:
    """The rows of the opened questions; of one with topics those of the topics that were ticked.

    Whoever opened more than one question with many rows, or all, sees the rows of all.
    """
    rows = tuple(sign for sign in signs if catalogue.sign(sign).question in opened)
    number = next((n for n in opened if catalogue.short_gate.question(n).topics), None)
    if number is None or _all(catalogue, opened):
        return rows
    offered = {catalogue.sign(sign).topic for sign in rows}
    topics = tuple(
        one.id for one in catalogue.short_gate.question(number).topics if one.id in offered
    )
    ticked = (yield TopicsPage(key=f"{key}:topics", question=number, topics=topics))["topics"]
    return tuple(
        sign
        for sign in rows
        if not ticked
        or catalogue.sign(sign).topic in ticked
        or catalogue.sign(sign).question != number
    )


def _all(catalogue: Catalogue, opened: tuple[int, ...]) -> bool:
    return len(opened) == len(catalogue.short_gate.questions)


def _follow(catalogue: Catalogue, holding: list[str], before: set[str]) -> list[str]:
    """The signs that follow from several others together, one of them ticked now."""
    found = []
    for sign in catalogue.stop_list.signs:
        of = sign.two_of
        if of is None or sign.id in before or not set(holding) & set(of.signs):
            continue
        if len({*holding, *before} & set(of.signs)) >= of.count:
            found.append(sign.id)
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class GateStart(Record):
    """What every walk with a gate stands on. `gate_asked`: the gate was answered today with none,
    outside a session. `list_reason`: why every sign is shown with it. `asked_signs` are those the
    list offers, `known_signs` those the plan marks as known, `open_signs` those to ask about
    again. `closed` is what stays closed whatever is said of those: by other signs, the plan, or
    for the other knee; `closed_at_support` of what is done holding on, None where that is the
    same. `two_knees`: the plan is for both, so a sign of one knee asks which. `after_last`: how
    the knee took the routine before is asked, that of `last_day`. `asks` is what cautions ask for
    in the parts they leave open, `known` what the plan says of the known signs. `after_last_of`:
    it is asked of each of these knees.
    """

    gate_asked: bool = False
    closed: tuple[Part, ...] = ()
    closed_at_support: tuple[Part, ...] | None = None
    asks: tuple[PartAsks, ...] = ()
    known: tuple[KnownSign, ...] = ()
    list_reason: FullListReason | None = None
    asked_signs: tuple[str, ...] = ()
    known_signs: tuple[str, ...] = ()
    open_signs: tuple[OpenSign, ...] = ()
    two_knees: bool = False
    after_last: bool = False
    last_day: date | None = None
    after_last_of: tuple[Side, ...] = ()


@dataclass(slots=True, kw_only=True)
class Gate:
    """What the gate has gathered; it lives only inside one replay.

    `said` is None while it was not asked. `known`: the signs that hold because they are as before.
    `still_open`: what each sign closes that is open still. `of_knee`: of which knee a sign is, as
    it was asked; `after_last_of`: how each knee took the routine before.
    """

    said: GateSaid | None = None
    full_list: bool = False
    replies: tuple[GateReply, ...] = ()
    known: tuple[KnownReply, ...] = ()
    after_last: AfterLast | None = None
    ticked: list[SignTicked] = field(default_factory=list)
    over: list[str] = field(default_factory=list)
    still_open: dict[str, frozenset[Part]] = field(default_factory=dict)
    of_knee: dict[str, str] = field(default_factory=dict)
    after_last_of: dict[Side, AfterLast] = field(default_factory=dict)

    def of_other(self, catalogue: Catalogue, ticked: SignTicked, side: Side) -> bool:
        """Whether a sign is of the other knee alone: those to act on today are about the whole
        person."""
        high = catalogue.sign(ticked.sign).level in ("emergency", "today")
        said = self.of_knee.get(ticked.sign)
        return said is not None and said not in (side, "both") and not (high or ticked.mistake)


def of_knee(side: Side, page: WalkPage) -> WalkPage:
    """A page of one knee: its key says which."""
    named = replace(page, key=f"{side}:{page.key}")  # type: ignore[type-var]
    if isinstance(named, CardPage):
        coming = tuple((sign, f"{side}:{key}") for sign, key in named.coming)
        return replace(named, coming=coming)
    return named


def pages_of(side: Side | None, walk: Walk[EndT]) -> Walk[EndT]:
    """A walk that is about one knee among two: each of its pages says so by its key."""
    return (yield from walk if side is None else relayed(walk, partial(of_knee, side)))


def gate_walk(catalogue: Catalogue, start: GateStart, gate: Gate) -> Walk[None]:
    """The short gate, and of which knee each sign of it is."""

    def heard(page: WalkPage, submitted: Given) -> None:
        if isinstance(page, WhichKneePage):
            gate.of_knee[page.sign] = submitted["knee"]
        if isinstance(page, GatePage):
            gate.after_last_of |= after_last_replies(submitted, page.after_last_of)

    yield from relayed(_gate_walk(catalogue, start, gate), heard=heard)


def after_last_replies(submitted: Given, sides: Iterable[Side]) -> dict[Side, AfterLast]:
    """How each of these knees took the routine before, as far as it was said."""
    said = ((side, submitted.get(f"after_last:{side}")) for side in sides)
    return {side: how for side, how in said if how is not None}


def _gate_walk(catalogue: Catalogue, start: GateStart, gate: Gate) -> Walk[None]:
    """The open signs asked about again; the gate, unless it was answered today and nothing more is
    due; the known signs; and the rows behind every yes and not sure."""
    gate.still_open = yield from open_signs_walk(catalogue, start.open_signs)
    gate.over += [one.sign for one in start.open_signs if one.sign not in gate.still_open]
    # What was to pass by itself and did not is told to the clinic, whatever else is new.
    still = [one for one in start.open_signs if one.sign in gate.still_open and one.asks]
    grown = tuple(
        sign.not_over
        for sign in (catalogue.sign(one.sign) for one in still)
        if sign.not_over is not None and sign.not_over not in gate.still_open
    )
    if grown:
        yield from _rows(catalogue, start, gate, (), grown, "not_over")
    if start.gate_asked and start.list_reason is None:
        # What is known holds on the whole day on which it is as before, whichever door asked.
        closing = (one for one in map(catalogue.stands_in, start.known_signs) if one is not None)
        gate.ticked += [
            SignTicked(sign=one, mistake=False)
            for one in closing
            if catalogue.policy.sign(one).parts
        ]
        return
    submitted = yield from _asked(catalogue, start, gate, start.list_reason)
    gate.full_list |= start.list_reason is not None
    gate.replies = gate_replies(submitted)
    gate.after_last = submitted.get("after_last")
    gate.said = said_of(gate.replies)
    opened = {reply.question for reply in gate.replies if reply.said != "no"}
    worse: list[str] = []
    if start.known_signs:
        submitted = yield KnownPage(signs=start.known_signs)
        gate.known = known_replies(submitted, start.known_signs)
        gate.said = said_of(gate.replies, gate.known)
        for one in gate.known:
            known = catalogue.sign(one.sign)
            if one.said == "worse":
                worse.append(known.worse_as or known.id)
            elif known.known_as is not None:
                gate.ticked.append(SignTicked(sign=known.known_as, mistake=False))
            if one.said == "something_new" and known.question is not None:
                opened.add(known.question)
    if opened or worse:
        yield from _rows(catalogue, start, gate, tuple(sorted(opened)), tuple(worse), GATE_LIST)


def gate_again_walk(catalogue: Catalogue, start: GateStart, gate: Gate, prefix: str) -> Walk[None]:
    """The questions of the gate once more, for a walk that was left lying, and the rows behind
    every yes and not sure. What was said first stays; what is new is added to it."""
    again = replace(start, after_last=False)
    replies = gate_replies((yield from _asked(catalogue, again, gate, None, f"{prefix}:")))
    before = {reply.question: reply for reply in gate.replies if reply.said != "no"}
    gate.replies = tuple(before.get(reply.question, reply) for reply in replies)
    gate.said = said_of(gate.replies, gate.known)
    opened = tuple(reply.question for reply in replies if reply.said != "no")
    if opened:
        yield from _rows(catalogue, start, gate, opened, (), f"{prefix}:{GATE_LIST}")


def _rows(
    catalogue: Catalogue,
    start: GateStart,
    gate: Gate,
    opened: tuple[int, ...],
    worse: tuple[str, ...],
    prefix: str,
) -> Walk[None]:
    yield from stop_list_walk(
        catalogue,
        start.asked_signs,
        opened,
        "gate",
        prefix,
        gate.ticked,
        two_knees=start.two_knees,
        earlier=tuple(gate.still_open),
        worse=worse,
        known=start.known,
    )


def _asked(
    catalogue: Catalogue,
    start: GateStart,
    gate: Gate,
    reason: OpenReason | None,
    prefix: str = "",
) -> Walk[Given]:
    """Ask the gate until its questions are answered, with every sign where the person wants that:
    one answer for all of them, kept by an older version, says nothing of each."""
    page, every = _gate_page(catalogue, start, f"{prefix}gate", reason), False
    while True:
        submitted = yield page
        if submitted.get("show") == "all" and not every:
            page, every = _gate_page(catalogue, start, f"{prefix}{GATE_ALL}", "wanted"), True
        elif gate_replies(submitted):
            gate.full_list |= every
            return submitted


def _gate_page(
    catalogue: Catalogue, start: GateStart, key: str, reason: OpenReason | None
) -> GatePage:
    signs = start.asked_signs if reason is not None else ()
    asked = {catalogue.sign(sign).question for sign in signs} - {None}
    return GatePage(
        key=key,
        reason=reason,
        signs=signs,
        questions=tuple(
            question.number
            for question in catalogue.short_gate.questions
            if question.number != IN_SESSION or question.number in asked
        ),
        after_last=start.after_last,
        last_day=start.last_day,
        after_last_of=start.after_last_of,
    )


def gate_replies(submitted: Given) -> tuple[GateReply, ...]:
    """The answers on a page of the gate, in the order of its questions."""
    said: dict[int, GateReplySaid] = {
        number: submitted[f"q{number}"]
        for number in range(1, IN_SESSION + 1)
        if f"q{number}" in submitted
    }
    return tuple(GateReply(question=number, said=reply) for number, reply in said.items())


def known_replies(submitted: Given, signs: Iterable[str]) -> tuple[KnownReply, ...]:
    """The answers on the page of the known signs."""
    return tuple(KnownReply(sign=sign, said=submitted[sign]) for sign in signs)


def said_of(replies: Iterable[GateReply], known: Iterable[KnownReply] = ()) -> GateSaid:
    """None when every question was answered with no, and every known sign is as before."""
    new = any(reply.said != "no" for reply in replies)
    return "something" if new or any(one.said != "as_before" for one in known) else "none"


def played_out(running: Walk[EndT], answers: Iterable[Answer]) -> EndT:
    """How a walk ends when no further question is answered."""
    try:
        page = next(running)
        for answer in answers:
            page = running.send(answer.submitted)
        while True:
            page = running.send({"card": "read"} if isinstance(page, CardPage) else {})
    except StopIteration as stop:
        end: EndT = stop.value
        return end


def closed_now(
    catalogue: Catalogue,
    start: GateStart,
    still_open: Mapping[str, frozenset[Part]],
    ticked: Iterable[SignTicked],
    states: Iterable[State] = (),
    *,
    at_support: bool = False,
) -> frozenset[Part]:
    """What is closed in a walk by now: from its start on, by what signs `still_open` close, by
    signs ticked in it, and by states of its session. A known sign leaves open what the plan says
    (rule r09). `at_support`: of what is done holding on."""
    known = as_before(catalogue, start.known, ticked)
    others = [sign for sign in _meant(ticked) if sign not in known]
    left = (
        set(catalogue.policy.sign(sign).parts) - set(how.stays_open) for sign, how in known.items()
    )
    closed = parts_closed(catalogue.policy, others, states, at_support=at_support)
    if not at_support:
        return closed.union(start.closed, *left, *still_open.values())
    begun = start.closed if start.closed_at_support is None else start.closed_at_support
    rows = {sign: catalogue.policy.of_sign(sign) for sign in still_open}
    held = (
        parts if (row := rows[sign]) is None else parts.intersection(row.parts_at_support)
        for sign, parts in still_open.items()
    )
    return closed.union(begun, *left, *held)


def as_before(
    catalogue: Catalogue, known: Iterable[KnownSign], ticked: Iterable[SignTicked]
) -> Mapping[str, KnownSign]:
    """The signs ticked as they always are, by their id, with what the plan says of them."""
    said = {sign.sign for sign in ticked if not sign.mistake}
    stands_in = {catalogue.stands_in(how.sign): how for how in known}
    return {sign: how for sign, how in stands_in.items() if sign is not None and sign in said}


@dataclass(frozen=True, slots=True, kw_only=True)
class StopStart(Record):
    """The signs that Stop offers, those open from before, whether the plan is for both knees, and
    what it says of known signs."""

    asked: tuple[str, ...]
    earlier: tuple[str, ...] = ()
    two_knees: bool = False
    known: tuple[KnownSign, ...] = ()


def stop_walk(catalogue: Catalogue, start: StopStart) -> Walk[StopEnd]:
    """What Stop opens on every page: help at once, the rows of one question, or all of them; the
    cards; and whether to go on."""
    ticked: list[SignTicked] = []
    numbers = tuple(question.number for question in catalogue.short_gate.questions)
    turn = 0
    try:
        while True:
            turn += 1
            key = f"stop:{turn}"
            about = (yield StopPage(key=key, questions=numbers)).get("about")
            if about is None:  # kept under way by a version that had another page here
                continue
            meant_before = _meant(ticked)
            if about == "help":
                help_at_once = next(s for s in catalogue.stop_list.signs if s.asked_when == "stop")
                yield from cards_walk(catalogue, (), key, ticked, certain=(help_at_once.id,))
                if _meant(ticked) == meant_before:
                    continue
            elif about != "none":
                yield from stop_list_walk(
                    catalogue,
                    start.asked,
                    numbers if about == "not_sure" else (int(about),),
                    "stop",
                    f"{key}:list",
                    ticked,
                    two_knees=start.two_knees,
                    earlier=start.earlier,
                    known=start.known,
                )
            known = as_before(catalogue, start.known, ticked)
            if any(
                set(catalogue.policy.sign(sign).parts)
                - set(known[sign].stays_open if sign in known else ())
                for sign in _meant(ticked)
            ):
                return StopEnd(signs=tuple(ticked), ends="card")
            go_on = (yield GoOnPage(key=f"{key}:go_on", none=not _meant(ticked)))["go_on"]
            if go_on != "more":
                return StopEnd(signs=tuple(ticked), ends=None if go_on == "yes" else "wanted")
    except Ended:
        return StopEnd(signs=tuple(ticked), ends="card")


def _meant(ticked: Iterable[SignTicked]) -> tuple[str, ...]:
    return tuple(done.sign for done in ticked if not done.mistake)
