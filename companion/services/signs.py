"""Warning signs as entries: written when their card is shown, corrected when cleared."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TypedDict, TypeVar

from companion.care.clearing import (
    AskingPage,
    Became,
    ClearEnd,
    ClearStart,
    MistakePage,
    OpenSign,
    became,
    clear_walk,
    mistake_key,
    open_sign,
    written,
)
from companion.care.closures import (
    OF_BOTH_KNEES,
    cleared,
    closed_but_for,
    closures,
    concerns,
    most_pressing,
    open_warnings,
    row_of,
    still_closes,
    to_ask_at_gate,
)
from companion.care.days import diary_day
from companion.care.finding import Entries, newest_first
from companion.care.flow import Answer, Given, Walk, WalkPage, knee_of
from companion.care.history import instant, same_telling
from companion.care.levels import PARTS
from companion.care.patch_looks import PATCH_CALL, red_test
from companion.care.records import (
    AfterLast,
    AnyEntry,
    Cleared,
    GateAnswer,
    GateReply,
    GateSaid,
    KnownReply,
    KnownSign,
    Part,
    Plan,
    Record,
    Session,
    Side,
    TapeOff,
    TapeOn,
    WarningSign,
)
from companion.care.state_calls import StateCall
from companion.care.stop_rules import FullListReason, after_last_due, full_list_due
from companion.care.stopping import (
    GATE_ALL,
    GATE_LIST,
    CardPage,
    GatePage,
    GateStart,
    KnownPage,
    NoneTickedPage,
    StopEnd,
    StopStart,
    WhichKneePage,
    after_last_replies,
    gate_replies,
    knee_key,
    known_replies,
    said_of,
    stop_walk,
)
from companion.services.bad_spell import calls_of
from companion.services.context import Context, derived_id
from companion.services.walks import EndT, ExpiryReason, StartT, WalkKind, WalkState

GateStartT = TypeVar("GateStartT", bound=GateStart)
SEEN_ON_SKIN = "skin_broken"
"""The sign that a look at the skin stands for."""
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
    offered: dict[str, bool] = {
        "always": True,
        "tape_worn": taped,
        "in_session": trained or in_session or stop,
        "replacement_listed": plan.replacement == "listed",
    }
    return tuple(
        sign.id
        for sign in context.catalogue.stop_list.signs
        if offered.get(sign.asked_when, sign.asked_when == "known" and sign.id in of_known)
    )


class GatePart(TypedDict):
    """What every gate stands on, whoever's knee it is of."""

    list_reason: FullListReason | None
    asked_signs: tuple[str, ...]
    known_signs: tuple[str, ...]
    known: tuple[KnownSign, ...]
    two_knees: bool


def gate_part(context: Context, plan: Plan, for_day: date, *, in_session: bool = False) -> GatePart:
    """The gate of a day, for the start of a walk."""
    entries = context.entries
    return GatePart(
        list_reason=full_list_due(plan, entries, for_day),
        asked_signs=asked_signs(context, plan, entries, in_session=in_session),
        known_signs=known_signs(plan),
        known=plan.known_signs,
        two_knees=len(plan.sides) > 1,
    )


class LastPart(TypedDict):
    """Whether a gate asks how a knee took the routine before, and that of which day."""

    after_last: bool
    last_day: date | None


def last_part(context: Context, side: Side, for_day: date) -> LastPart:
    """The same of one knee, for the start of a walk."""
    last = after_last_due(context.entries, side, for_day)
    return LastPart(after_last=last is not None, last_day=last)


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


def signs_to_ask(
    context: Context, warnings: Iterable[WarningSign], *, skin: bool
) -> tuple[OpenSign, ...]:
    """The signs a gate asks about again, each once; broken skin also when only a look found it."""
    today, policy = context.clock.today(), context.policy
    signs: dict[str, OpenSign] = {}
    for warning in warnings:
        sign = open_sign(warning, policy, today)
        # Of two entries of a sign, one a knee, the longest is asked about for both.
        signs.setdefault(sign.sign, sign)
    if skin and SEEN_ON_SKIN not in signs:
        row = policy.state("skin_seen")
        signs[SEEN_ON_SKIN] = OpenSign(
            sign=SEEN_ON_SKIN,
            level=context.catalogue.sign(SEEN_ON_SKIN).level,
            closes=row.closes,
            asks=row.opens[0],
            asks_opens=row.closes,
        )
    return tuple(signs.values())


def closing_sign(context: Context, entries: Entries, side: Side) -> str | None:
    """The open sign that closes everything and is not asked about today, if there is one; for one
    that nobody knows here what stands for it."""
    asked = to_ask_at_gate(entries, context.policy, context.clock.today())
    return next(
        (
            context.catalogue.sign(warning.sign, warning.level).id
            for warning in open_warnings(entries, context.policy)
            if concerns(warning, side)
            and set(still_closes(warning, context.policy)) == {*PARTS}
            and warning not in asked
        ),
        None,
    )


def closed_at_start(
    context: Context,
    plan: Plan,
    entries: Entries,
    side: Side,
    asked: Collection[WarningSign],
    *,
    at_support: bool = False,
) -> tuple[Part, ...]:
    """What a walk finds closed whatever is said of the signs it asks about again; `at_support`: of
    what is done holding on."""
    found = closures(context.policy, plan, entries, side, today=context.clock.today())
    closed = closed_but_for(found, asked, at_support=at_support)
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


def warning_of(
    context: Context,
    state: WalkState[Record],
    sign_id: str,
    page_key: str,
    *,
    two_knees: bool,
    knee: Side | None = None,
) -> WarningSign:
    """The warning entry of a sign that holds. Of one knee it is that of the walk; with `two_knees`
    the `knee` that is known, else which is still to be asked, and until then it is of both."""
    sign = context.catalogue.sign(sign_id)
    now = context.clock.now()
    of_person = context.policy.sign(sign.id).knee == "person"
    sides = (state.side,) if not two_knees else () if knee is None else (knee,)
    return WarningSign(
        **state.stamp(derived_id(state.id, page_key), for_day=context.clock.today(), at=now),
        sign=sign.id,
        card=sign.card,
        level=sign.level,
        sides=() if of_person else sides,
        happened_at=now,
    )


def _of_knees(
    context: Context, state: WalkState[Record], page: WhichKneePage, said: str
) -> tuple[WarningSign, ...]:
    """The correction of a sign whose knee was asked. Of both knees each has an entry of its own:
    one opens without the other."""
    card = page.key.removesuffix(knee_key(""))
    warning = context.journal.entry(derived_id(state.id, card))
    if not isinstance(warning, WarningSign):
        return ()
    knees = tuple(side for side in state.plan.sides if said in (side, "both"))
    return tuple(
        replace(
            warning,
            id=derived_id(state.id, page.key, knee),
            written_at=context.clock.now(),
            written_by=state.written_by,
            replaces=warning.id if number == 0 else None,
            sides=(knee,),
        )
        for number, knee in enumerate(knees)
    )


def _right(
    context: Context, state: WalkState[Record], warning: WarningSign, *key: str
) -> WarningSign:
    """A sign as it is now, as a correction under the plan of the walk."""
    entry = state.corrected(warning, derived_id(*key), context.clock.now())
    return replace(entry, plan_version=state.plan.version)


def _clear(
    context: Context, state: WalkState[Record], warning: WarningSign, how: Cleared, *key: str
) -> WarningSign:
    over = cleared(warning, how, on=context.clock.today(), policy=context.policy)
    return _right(context, state, over, *key, warning.id, how)


class SignWalk(WalkKind[StartT, EndT]):
    """A walk in which cards may come up: each is on disk before it is seen."""

    def on_shown(
        self, context: Context, state: WalkState[StartT], page: WalkPage
    ) -> tuple[AnyEntry, ...]:
        """The warnings of a card, and of the cards that follow it."""
        if not isinstance(page, CardPage):
            return ()
        of_knee = replace(state, side=knee_of(page) or state.side)
        return tuple(
            warning_of(
                context, of_knee, sign, key, two_knees=page.two_knees, knee=page.knee_of(sign)
            )
            for sign, key in ((page.sign, page.key), *page.coming)
        )

    def on_answer(
        self, context: Context, state: WalkState[StartT], page: WalkPage, submitted: Given
    ) -> tuple[AnyEntry, ...]:
        """A mistake taken back, the knee of a sign, what became of an open sign."""
        if isinstance(page, MistakePage) and submitted["mistake"] != "no":
            card = page.key.removesuffix(mistake_key(""))
            written = context.journal.entry(derived_id(state.id, card))
            if not isinstance(written, WarningSign):
                return ()
            return (_clear(context, state, written, "ticked_by_mistake", state.id, page.key),)
        if isinstance(page, WhichKneePage):
            return _of_knees(context, state, page, submitted["knee"])
        if isinstance(page, AskingPage) and isinstance(state.start, GateStart):
            answer = Answer(page=page.key, submitted=submitted, at=context.clock.now())
            side = knee_of(page)
            own = replace(state, side=side or state.side)
            sign = next(
                one for one in state.start.open_signs if one.sign == page.sign and one.side == side
            )
            end = became(context.catalogue, sign, (*state.answers, answer))
            return () if end is None else _became(context, own, sign, end)
        return ()


def _became(
    context: Context, state: WalkState[Record], sign: OpenSign, end: Became
) -> tuple[AnyEntry, ...]:
    """What became of an open sign, of each entry of it that is about this knee."""
    entries, policy = context.entries, context.policy
    warnings = [
        warning
        for warning in open_warnings(entries, policy)
        if warning.sign == sign.sign and concerns(warning, state.side)
    ]
    if warnings:
        found = (_corrected(context, state, warning, sign, end) for warning in warnings)
        written_now = tuple(entry for entry in found if entry is not None)
        return (*written_now, *_grown_from(context, state, sign, end))
    if end.how is None:
        return ()
    # Seen only in a look at the skin, such as one from paper: written as read clear.
    seen = warning_of(context, state, sign.sign, sign.key, two_knees=False)
    return (replace(_clear(context, state, seen, end.how, state.id), replaces=None),)


def _grown_from(
    context: Context, state: WalkState[Record], sign: OpenSign, end: Became
) -> tuple[WarningSign, ...]:
    """What was told of a sign is told too of the one it followed from when that was not over."""
    if end.told is None:
        return ()
    today, policy = context.clock.today(), context.policy
    before = {one.id for one in context.catalogue.stop_list.signs if one.not_over == sign.sign}
    found = (
        _corrected(context, state, one, open_sign(one, policy, today, card=True), end)
        for one in open_warnings(context.entries, policy)
        if one.sign in before
    )
    return tuple(entry for entry in found if entry is not None)


def _corrected(
    context: Context,
    state: WalkState[Record],
    warning: WarningSign,
    sign: OpenSign,
    end: Became,
) -> WarningSign | None:
    said = end.how or end.told or ""
    right = written(warning, sign, end, today=context.clock.today(), policy=context.policy)
    return None if right is None else _right(context, state, right, state.id, warning.id, said)


class GateWalk(SignWalk[GateStartT, EndT]):
    """A walk that asks the short gate outside a session: its answer is an entry of its own.

    It is on disk as soon as nothing of the gate is left to answer: at once when no row follows,
    else with the first card or with "you ticked none". So who breaks off at the rows is asked
    again. Back leads over "none"; "something" in its place is a correction, on disk before its rows
    are shown, and stands: nobody goes back over that.
    """

    def on_shown(
        self, context: Context, state: WalkState[GateStartT], page: WalkPage
    ) -> tuple[AnyEntry, ...]:
        """The gate with its rows, and the warnings of a card."""
        gate: tuple[AnyEntry, ...] = ()
        if isinstance(page, CardPage) and page.key.startswith(GATE_LIST):
            # First, so that no card is older than its gate: the list is due again for it.
            gate = _gate_entry(context, state, gate_given(state))
        return (*gate, *super().on_shown(context, state, page))

    def on_answer(
        self, context: Context, state: WalkState[GateStartT], page: WalkPage, submitted: Given
    ) -> tuple[AnyEntry, ...]:
        """The gate, a mistake taken back, an open sign that is over."""
        if isinstance(page, GatePage | KnownPage):
            gate = gate_given(state, (page.key, submitted))
            if gate is None:
                return ()
            left = isinstance(page, GatePage) and bool(state.start.known_signs)
            rows_follow = left or gate.said == "something"
            if rows_follow and (_gate_kept(context, state) is None or gate.said == "none"):
                return ()
            return _gate_entry(context, state, gate)
        if isinstance(page, NoneTickedPage) and page.key.startswith(GATE_LIST):
            return _gate_entry(context, state, gate_given(state))
        return super().on_answer(context, state, page, submitted)

    def may_change(self, state: WalkState[GateStartT], page: WalkPage, submitted: Given) -> bool:
        """A gate answered with none: whoever pressed the wrong answer goes back."""
        if isinstance(page, GatePage | KnownPage):
            gate = gate_given(state, (page.key, submitted))
            return gate is None or gate.said == "none"
        return False


@dataclass(frozen=True, slots=True, kw_only=True)
class GateGiven:
    """What was answered at a gate so far."""

    said: GateSaid
    full_list: bool
    replies: tuple[GateReply, ...]
    known: tuple[KnownReply, ...]
    after_last: tuple[tuple[Side | None, AfterLast | None], ...]
    """How each knee took the routine before: at least one row, whose knee None is the walk's."""


def gate_given(
    state: WalkState[GateStartT], last: tuple[str, Given] | None = None
) -> GateGiven | None:
    """The gate as its pages were answered, `last` the answer that is given now; None while its
    questions are not. A gate that was answered before the walk is none of it."""
    answers = {one.page: one.submitted for one in state.answers}
    if last is not None:
        answers[last[0]] = last[1]
    every = GATE_ALL in answers
    submitted = answers.get(GATE_ALL if every else GatePage().key, {})
    replies = gate_replies(submitted)
    if not replies:
        return None
    known_given = answers.get(KnownPage(signs=()).key)
    known = () if known_given is None else known_replies(known_given, state.start.known_signs)
    of_each = tuple(after_last_replies(submitted, state.start.after_last_of).items())
    return GateGiven(
        said=said_of(replies, known),
        full_list=every or state.start.list_reason is not None,
        replies=replies,
        known=known,
        after_last=of_each or ((None, submitted.get("after_last")),),
    )


def _gate_kept(
    context: Context, state: WalkState[Record], knee: Side | None = None
) -> GateAnswer | None:
    """The gate this walk wrote, that of `knee` where it wrote one a knee, as it was last
    corrected."""
    written = map(context.journal.entry, reversed(state.entry_ids))
    gates = (entry for entry in written if isinstance(entry, GateAnswer))
    return next((gate for gate in gates if knee in (None, gate.side)), None)


def _gate_entry(
    context: Context, state: WalkState[GateStartT], gate: GateGiven | None
) -> tuple[GateAnswer, ...]:
    """The gate of a walk, or its correction; nothing when it is kept like that. What was written
    as something stays so, and a list that was read stays read."""
    if gate is None:
        return ()
    (knee, said), *others = gate.after_last
    told = _gate_of(context, state, gate, knee, said)
    for other, how in others:
        # One entry a knee: `after_last` is of its `side`. The gate itself stands in the first.
        of_other = _gate_of(context, state, gate, other, how)
        told += tuple(replace(one, gate_replies=(), known_replies=()) for one in of_other)
    return told


def _gate_of(
    context: Context,
    state: WalkState[GateStartT],
    gate: GateGiven,
    knee: Side | None,
    after_last: AfterLast | None,
) -> tuple[GateAnswer, ...]:
    kept = _gate_kept(context, state, knee)
    now = context.clock.now()
    named = () if knee is None else (knee,)
    entry = GateAnswer(
        **state.stamp(derived_id(state.id, "gate", *named), at=now),
        happened_at=now,
        gate=gate.said,
        full_list=gate.full_list,
        gate_replies=gate.replies,
        known_replies=gate.known,
        side=None if after_last is None else knee or state.side,
        after_last=after_last,
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
    return () if same_telling(entry, kept) else (entry,)


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
            two_knees=len(plan.sides) > 1,
            known=plan.known_signs,
        )

    def walk(self, context: Context, state: WalkState[StopStart]) -> Walk[StopEnd]:
        """The list, its cards, and whether to go on."""
        return stop_walk(context.catalogue, state.start)

    def expiry(self, context: Context, state: WalkState[StopStart]) -> ExpiryReason | None:
        """Stop pressed anew, some time later, begins at the list."""
        age = instant(context.clock.now()) - instant(state.last_at)
        return "stale" if age >= _STOP_IS_OLD else None


class ClearWalk(WalkKind[ClearStart, ClearEnd]):
    """Clearing the warning with the highest level that is open."""

    name = "clear"
    start_type = ClearStart

    def start(self, context: Context, plan: Plan, side: Side, for_day: date) -> ClearStart:
        """The warning and the ways to clear it, else the call that the days ask for. Raises
        LookupError when there is neither."""
        warning = most_pressing(context.entries, context.policy)
        if warning is None:
            calls = calls_of(context, plan)
            if not calls:
                raise LookupError("no warning is open")
            return ClearStart(warning=None, sign=_sign_of_call(context, calls[0]))
        sign = open_sign(warning, context.policy, context.clock.today(), card=True)
        return ClearStart(warning=warning.id, sign=sign)

    def walk(self, context: Context, state: WalkState[ClearStart]) -> Walk[ClearEnd]:
        """The card again, and what became of it."""
        return clear_walk(context.catalogue, state.start)

    def finish(
        self, context: Context, state: WalkState[ClearStart], end: ClearEnd
    ) -> tuple[AnyEntry, ...]:
        """The correction that clears it, or says what was told."""
        sign = state.start.sign
        if state.start.warning is None:
            return _told_of_call(context, state, sign, end.became)
        warning = context.journal.entry(state.start.warning)
        if not isinstance(warning, WarningSign):
            return ()
        entry = _corrected(context, state, warning, sign, end.became)
        return () if entry is None else (entry, *_grown_from(context, state, sign, end.became))

    def expiry(self, context: Context, state: WalkState[ClearStart]) -> ExpiryReason | None:
        """Another sign presses more by now, or this one is cleared."""
        warning = most_pressing(context.entries, context.policy)
        if warning is None and state.start.warning is None:
            calls = calls_of(context, state.plan)
            return None if calls[:1] == (state.start.sign.sign,) else "stale"
        return None if warning is not None and warning.id == state.start.warning else "stale"


def _sign_of_call(context: Context, call: StateCall) -> OpenSign:
    """A call that nobody ticked, as a sign that is asked about."""
    days = context.policy.clearing.ask_again_days - 1
    red = red_test(context.entries)
    if call == PATCH_CALL and red is not None:
        days = (context.clock.today() - diary_day(red.second_read_at or red.written_at)).days
    return OpenSign(
        sign=call,
        level=context.catalogue.sign(call).level,
        closes=context.policy.sign(call).parts,
        talk=True,
        days_open=max(0, days),
    )


def _told_of_call(
    context: Context, state: WalkState[ClearStart], sign: OpenSign, end: Became
) -> tuple[WarningSign, ...]:
    """What was told of a call that nobody ticked: its sign is written with the answer. It is of the
    day on which somebody was spoken to."""
    made = warning_of(context, state, sign.sign, sign.sign, two_knees=False)
    made = replace(made, for_day=made.for_day - timedelta(days=end.days_ago))
    entry = _corrected(context, state, made, sign, end)
    return () if entry is None else (replace(entry, replaces=None),)
