"""Warning signs as entries: written when their card is shown, corrected when cleared."""

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TypeVar

from companion.care.clearing import ClearEnd, ClearStart, clear_walk
from companion.care.closures import (
    OF_BOTH_KNEES,
    asked_of,
    cleared,
    closed_but_for,
    closures,
    concerns,
    most_pressing,
    open_warnings,
    row_of,
    to_ask_at_gate,
    ways_to_clear,
)
from companion.care.finding import Entries, newest_first
from companion.care.flow import Given, Page, Walk
from companion.care.history import instant
from companion.care.levels import PARTS
from companion.care.records import (
    AfterLast,
    AnyEntry,
    Cleared,
    GateAnswer,
    GateReply,
    GateSaid,
    KnownReply,
    Part,
    Plan,
    Record,
    Session,
    Side,
    TapeOff,
    TapeOn,
    WarningSign,
)
from companion.care.stopping import (
    GATE_ALL,
    GATE_LIST,
    CardPage,
    GatePage,
    GateStart,
    KnownPage,
    NoneTickedPage,
    OpenSignPage,
    StopEnd,
    StopStart,
    gate_replies,
    known_replies,
    said_of,
    stop_walk,
)
from companion.services.context import Context, derived_id
from companion.services.walks import EndT, ExpiryReason, StartT, WalkKind, WalkState

GateStartT = TypeVar("GateStartT", bound=GateStart)
_OF_NO_KNEE = ("stop", "chair")
"""Walks of the whole person, by name."""
_STOP_IS_OLD = timedelta(minutes=30)


def asked_signs(
    context: Context,
    plan: Plan,
    entries: Entries,
    *,
    in_session: bool = False,
    stop: bool = False,
) -> tuple[str, ...]:
    """The signs the list offers today as rows. A sign the clinician marked as known brings its
    worse form along, and for Stop the one as before: at a gate that has a page of its own."""
    known = [sign for sign in context.catalogue.stop_list.signs if sign.id in known_signs(plan)]
    of_known = {sign.worse_as for sign in known}
    of_known |= {sign.known_as for sign in known} if stop else set()
    taped = _any(entries, TapeOn) or _any(entries, TapeOff)
    trained = _any(entries, Session)
    offered: list[str] = []
    for sign in context.catalogue.stop_list.signs:
        match sign.asked_when:
            case "always":
                wanted = True
            case "tape_worn":
                wanted = taped
            case "in_session":
                wanted = trained or in_session or stop
            case "replacement_listed":
                wanted = plan.replacement == "listed"
            case "known":
                wanted = sign.id in of_known
            case "stop" | "follows":
                wanted = False
        if wanted:
            offered.append(sign.id)
    return tuple(offered)


def known_signs(plan: Plan) -> tuple[str, ...]:
    """The signs the plan marks as known, each once."""
    return tuple(dict.fromkeys(known.sign for known in plan.known_signs))


def _any(entries: Entries, kind: type[AnyEntry]) -> bool:
    return next(newest_first(entries, kind), None) is not None


def open_signs(context: Context, entries: Entries, side: Side) -> tuple[WarningSign, ...]:
    """Open warnings of this knee or of the whole person that a gate asks about again."""
    return tuple(
        warning
        for warning in to_ask_at_gate(entries, context.policy, context.clock.today())
        if concerns(warning, side)
    )


def signs_to_ask(warnings: Iterable[WarningSign], *, skin: bool) -> tuple[str, ...]:
    """The signs a gate asks about again; broken skin also when only a look found it."""
    signs = [warning.sign for warning in warnings]
    if skin and "skin_broken" not in signs:
        signs.append("skin_broken")
    return tuple(dict.fromkeys(signs))


def closing_sign(context: Context, entries: Entries, side: Side) -> str | None:
    """The open sign that closes everything until a professional opens it, if there is one."""
    return next(
        (
            warning.sign
            for warning in open_warnings(entries, context.policy)
            if concerns(warning, side)
            and {*row_of(warning, context.policy).parts} - {*warning.opened} == {*PARTS}
            and not asked_of(warning, context.policy, context.clock.today())
        ),
        None,
    )


def closed_at_start(
    context: Context, plan: Plan, entries: Entries, side: Side, asked: Collection[WarningSign]
) -> tuple[Part, ...]:
    """What a walk finds closed whatever is said of the signs it asks about again."""
    found = closures(context.policy, plan, entries, side, today=context.clock.today())
    closed = closed_but_for(found, asked)
    return tuple(part for part in PARTS if part in closed)


def closed_since(context: Context, entries: Entries, state: WalkState[Record]) -> bool:
    """Whether a sign ticked elsewhere since a walk began closes something of its knee."""
    policy = context.policy
    return any(
        warning.id not in state.entry_ids
        and warning.replaces not in state.entry_ids
        and (concerns(warning, state.side) or {*OF_BOTH_KNEES} & {*row_of(warning, policy).parts})
        and bool(row_of(warning, policy).parts)
        and instant(warning.written_at) >= instant(state.begun_at)
        for warning in open_warnings(entries, policy)
    )


def warnings_of(
    context: Context, state: WalkState[Record], sign_id: str, page_key: str
) -> tuple[WarningSign, ...]:
    """The warning entries of a sign that holds.

    Signs of a leg are about that of the walk. Stop is pressed anywhere, and a chair stand is no
    knee's, so there it is written for every knee of the plan, and each is read clear by itself.
    A day page asks about its own knee alone, so a sign of one knee is that knee's there.
    """
    sign = context.catalogue.sign(sign_id)
    now = context.clock.now()
    whose = context.policy.sign(sign.id).knee
    of_leg = whose == "leg" or (whose == "knee" and state.walk == "day")
    knees: Sequence[Side | None] = (
        (None,) if not of_leg else state.plan.sides if state.walk in _OF_NO_KNEE else (state.side,)
    )
    return tuple(
        WarningSign(
            **state.stamp(
                derived_id(state.id, page_key, *([knee] if knee else [])),
                for_day=context.clock.today(),
                at=now,
            ),
            sign=sign.id,
            card=sign.card,
            level=sign.level,
            sides=() if knee is None else (knee,),
            happened_at=now,
        )
        for knee in knees
    )


def _clear(
    context: Context,
    state: WalkState[Record],
    warning: WarningSign,
    how: Cleared,
    *key: str,
    on: date | None = None,
    by: str | None = None,
) -> WarningSign:
    return cleared(
        warning,
        how,
        on=on or context.clock.today(),
        by=by,
        entry_id=derived_id(*key, warning.id, how),
        written_at=context.clock.now(),
        written_by=state.written_by,
        plan_version=state.plan.version,
        policy=context.policy,
    )


class SignWalk(WalkKind[StartT, EndT]):
    """A walk in which cards may come up: each is on disk before it is seen."""

    def on_shown(
        self, context: Context, state: WalkState[StartT], page: Page
    ) -> tuple[AnyEntry, ...]:
        """The warnings of a card, and of the cards that follow it."""
        if not isinstance(page, CardPage):
            return ()
        return tuple(
            warning
            for sign, key in ((page.sign, page.key), *page.coming)
            for warning in warnings_of(context, state, sign, key)
        )

    def on_answer(
        self, context: Context, state: WalkState[StartT], page: Page, given: Given
    ) -> tuple[AnyEntry, ...]:
        """A mistake taken back, an open sign that is over."""
        if isinstance(page, CardPage) and given["card"] == "mistake":
            written = [
                context.journal.entry(warning.id)
                for warning in warnings_of(context, state, page.sign, page.key)
            ]
            return tuple(
                _clear(context, state, warning, "ticked_by_mistake", state.id, page.key)
                for warning in written
                if isinstance(warning, WarningSign)
            )
        if isinstance(page, OpenSignPage) and given["over"] == "yes":
            today = context.clock.today()
            warnings = [
                (warning, closing.asked)
                for warning in open_signs(context, context.entries, state.side)
                if warning.sign == page.sign
                for closing in asked_of(warning, context.policy, today)[:1]
            ]
            if warnings:
                return tuple(
                    _clear(context, state, warning, how, state.id)
                    for warning, how in warnings
                    if how is not None
                )
            # Seen only in a look at the skin, such as one from paper: written as read clear.
            return tuple(
                replace(_clear(context, state, warning, "skin_read_clear", state.id), replaces=None)
                for warning in warnings_of(context, state, page.sign, page.key)
            )
        return ()


class GateWalk(SignWalk[GateStartT, EndT]):
    """A walk that asks the short gate outside a session: its answer is an entry of its own.

    It is on disk as soon as nothing of the gate is left to answer: at once when no row follows,
    else with the first card or with "you ticked none". So who breaks off at the rows is asked
    again. Back leads over "none"; "something" in its place is a correction, on disk before its rows
    are shown, and stands: nobody goes back over that.
    """

    def on_shown(
        self, context: Context, state: WalkState[GateStartT], page: Page
    ) -> tuple[AnyEntry, ...]:
        """The gate with its rows, and the warnings of a card."""
        gate: tuple[AnyEntry, ...] = ()
        if isinstance(page, CardPage) and page.key.startswith(GATE_LIST):
            # First, so that no card is older than its gate: the list is due again for it.
            gate = _gate_entry(context, state, gate_given(state))
        return (*gate, *super().on_shown(context, state, page))

    def on_answer(
        self, context: Context, state: WalkState[GateStartT], page: Page, given: Given
    ) -> tuple[AnyEntry, ...]:
        """The gate, a mistake taken back, an open sign that is over."""
        if isinstance(page, GatePage | KnownPage):
            gate = gate_given(state, (page.key, given))
            if gate is None:
                return ()
            left = isinstance(page, GatePage) and bool(state.start.known_signs)
            rows_follow = left or gate.said == "something"
            if rows_follow and (_gate_kept(context, state) is None or gate.said == "none"):
                return ()
            return _gate_entry(context, state, gate)
        if isinstance(page, NoneTickedPage) and page.key.startswith(GATE_LIST):
            return _gate_entry(context, state, gate_given(state))
        return super().on_answer(context, state, page, given)

    def may_change(self, state: WalkState[GateStartT], page: Page, given: Given) -> bool:
        """A gate answered with none: whoever pressed the wrong answer goes back."""
        if isinstance(page, GatePage | KnownPage):
            gate = gate_given(state, (page.key, given))
            return gate is None or gate.said == "none"
        return False


@dataclass(frozen=True, slots=True, kw_only=True)
class GateGiven:
    """What was answered at a gate so far."""

    said: GateSaid
    full_list: bool
    replies: tuple[GateReply, ...]
    known: tuple[KnownReply, ...]
    after_last: AfterLast | None


def gate_given(
    state: WalkState[GateStartT], last: tuple[str, Given] | None = None
) -> GateGiven | None:
    """The gate as its pages were answered, `last` the answer that is given now; None while its
    questions are not. A gate that was answered before the walk is none of it."""
    answers = {one.page: one.given for one in state.answers}
    if last is not None:
        answers[last[0]] = last[1]
    every = GATE_ALL in answers
    given = answers.get(GATE_ALL if every else GatePage().key, {})
    replies = gate_replies(given)
    if not replies:
        return None
    known_given = answers.get(KnownPage(signs=()).key)
    known = () if known_given is None else known_replies(known_given, state.start.known_signs)
    return GateGiven(
        said=said_of(replies, known),
        full_list=every or state.start.list_reason is not None,
        replies=replies,
        known=known,
        after_last=given.get("after_last"),
    )


def _gate_kept(context: Context, state: WalkState[Record]) -> GateAnswer | None:
    """The gate this walk wrote, as it was last corrected."""
    written = map(context.journal.entry, reversed(state.entry_ids))
    return next((entry for entry in written if isinstance(entry, GateAnswer)), None)


def _gate_entry(
    context: Context, state: WalkState[GateStartT], gate: GateGiven | None
) -> tuple[GateAnswer, ...]:
    """The gate of a walk, or its correction; nothing when it is kept like that. What was written
    as something stays so, and a list that was read stays read."""
    if gate is None:
        return ()
    kept = _gate_kept(context, state)
    now = context.clock.now()
    entry = GateAnswer(
        **state.stamp(derived_id(state.id, "gate"), at=now),
        happened_at=now,
        gate=gate.said,
        full_list=gate.full_list,
        gate_replies=gate.replies,
        known_replies=gate.known,
        side=None if gate.after_last is None else state.side,
        after_last=gate.after_last,
    )
    if kept is None:
        return (entry,)
    entry = replace(
        entry,
        id=derived_id(state.id, "gate", kept.id),
        replaces=kept.id,
        happened_at=kept.happened_at,
        gate="something" if kept.gate == "something" else gate.said,
        full_list=gate.full_list or kept.full_list,
    )
    same = replace(entry, id=kept.id, replaces=kept.replaces, written_at=kept.written_at)
    return () if same == kept else (entry,)


class StopWalk(SignWalk[StopStart, StopEnd]):
    """The Stop button."""

    name = "stop"
    start_type = StopStart

    def start(self, context: Context, plan: Plan, side: Side, for_day: date) -> StopStart:
        """The signs to offer."""
        entries = context.entries
        return StopStart(
            asked=asked_signs(context, plan, entries, stop=True),
            earlier=tuple(w.sign for w in open_warnings(entries, context.policy)),
        )

    def walk(self, context: Context, state: WalkState[StopStart]) -> Callable[[], Walk[StopEnd]]:
        """The list, its cards, and whether to go on."""
        return lambda: stop_walk(context.catalogue, state.start)

    def expiry(self, context: Context, state: WalkState[StopStart]) -> ExpiryReason | None:
        """Stop pressed anew, some time later, begins at the list."""
        age = instant(context.clock.now()) - instant(state.last_at)
        return "stale" if age >= _STOP_IS_OLD else None


class ClearWalk(WalkKind[ClearStart, ClearEnd]):
    """Clearing the warning with the highest level that is open."""

    name = "clear"
    start_type = ClearStart

    def start(self, context: Context, plan: Plan, side: Side, for_day: date) -> ClearStart:
        """The warning and the ways to clear it. Raises LookupError when none is open."""
        warning = most_pressing(context.entries, context.policy)
        if warning is None:
            raise LookupError("no warning is open")
        return ClearStart(
            warning=warning.id,
            sign=warning.sign,
            ways=ways_to_clear(warning, context.policy),
            days_open=max(0, (context.clock.today() - warning.for_day).days),
        )

    def walk(self, context: Context, state: WalkState[ClearStart]) -> Callable[[], Walk[ClearEnd]]:
        """The card again, and what became of it."""
        return lambda: clear_walk(state.start)

    def finish(
        self, context: Context, state: WalkState[ClearStart], end: ClearEnd
    ) -> tuple[AnyEntry, ...]:
        """The correction that clears it."""
        warning = context.journal.entry(state.start.warning)
        if end.how is None or not isinstance(warning, WarningSign):
            return ()
        on = state.for_day - timedelta(days=end.days_ago)
        return (_clear(context, state, warning, end.how, state.id, on=on, by=end.who),)

    def expiry(self, context: Context, state: WalkState[ClearStart]) -> ExpiryReason | None:
        """Another sign presses more by now, or this one is cleared."""
        warning = most_pressing(context.entries, context.policy)
        return None if warning is not None and warning.id == state.start.warning else "stale"
