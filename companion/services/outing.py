"""Going out: what the three walks start from, and the outing they write and correct."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime

from companion.care.clearing import OpenSign
from companion.care.closures import skin_to_ask
from companion.care.days import diary_day
from companion.care.finding import Entries
from companion.care.flow import Given, Walk, WalkPage, knee_of, unnamed
from companion.care.open_things import knees_of
from companion.care.outing_questions import (
    KneeAfterEnd,
    KneeAfterStart,
    OutingAfterEnd,
    OutingAfterStart,
    OutingEnd,
    OutingKneeStart,
    OutingMorningEnd,
    OutingMorningStart,
    OutingStart,
    TapeStillOnPage,
    more_pain_the_morning_before,
    outing_after_walk,
    outing_morning_walk,
    outing_walk,
)
from companion.care.outings_waiting import outings_waiting
from companion.care.ready import asks_of
from companion.care.records import AnyEntry, Outing, OutingKnee, Plan, Side, TapeOff
from companion.care.starting_stage import starting_stage
from companion.care.stop_rules import after_last_due
from companion.care.stopping import played_out
from companion.care.tape_applications import current_application
from companion.care.taping import TapeOnPage, TapeTakenOffPage
from companion.care.trial_days import trial_day
from companion.services.context import Context, derived_id
from companion.services.day_page import aims_on
from companion.services.signs import (
    SEEN_ON_SKIN,
    GateWalk,
    SignWalk,
    closed_at_start,
    closed_since,
    closing_sign,
    gate_part,
    open_signs,
    signs_to_ask,
)
from companion.services.tape import (
    came_off,
    gate_asked_today,
    tape_off_answered,
    tape_on_entry,
    tape_outlook,
    trial_came,
)
from companion.services.walks import ExpiryReason, StartT, WalkState


class OutingWalk(GateWalk[OutingStart, OutingEnd]):
    """Going out: what for, how much, tape as the plan allows."""

    name = "outing"
    start_type = OutingStart

    def start(self, context: Context, plan: Plan, side: Side, for_day: date) -> OutingStart:
        """What it stands on, of each knee the plan treats, and of one it left with tape on."""
        entries = context.entries
        taken = _knees_out(plan, entries)
        labels = (*(amount.label for amount in plan.amounts), *plan.activities)
        closing = (closing_sign(context, entries, knee) for knee in plan.sides)
        lasts = {knee: after_last_due(entries, knee, for_day) for knee in plan.sides}
        asked_last = tuple(knee for knee, last in lasts.items() if last is not None)
        to_ask = _signs_to_ask(context, plan, entries)
        return OutingStart(
            knees=tuple(_knee_start(context, plan, knee, for_day, to_ask) for knee in taken),
            closed_by=next((sign for sign in closing if sign is not None), None),
            gate_asked=gate_asked_today(entries, for_day),
            after_last=len(plan.sides) == 1 and bool(asked_last),
            after_last_of=asked_last if len(plan.sides) > 1 else (),
            last_day=lasts[asked_last[0]] if asked_last else None,
            open_signs=to_ask,
            labels=tuple(dict.fromkeys(labels)),
            amounts=plan.amounts,
            aims=aims_on(context, for_day),
            tape_in_plan=plan.tape.when != "never" and plan.tape.highest > 0,
            asks=asks_of(plan, context.policy),
            **gate_part(context, plan, for_day),
        )

    def walk(self, context: Context, state: WalkState[OutingStart]) -> Walk[OutingEnd]:
        """Gate, what for, how much, tape."""
        return outing_walk(context.catalogue, state.start)

    def on_answer(
        self, context: Context, state: WalkState[OutingStart], page: WalkPage, submitted: Given
    ) -> tuple[AnyEntry, ...]:
        """The tape, on or off; signs."""
        side = knee_of(page)
        own, of_knee = _of_knee(state, side), unnamed(page)
        if isinstance(of_knee, TapeOnPage) and submitted["tape"] == "on":
            return (replace(tape_on_entry(context, own, of_knee, submitted), for_outing=True),)
        off = tape_off_answered(context, own, of_knee, submitted)
        return off or super().on_answer(context, state, page, submitted)

    def finish(
        self, context: Context, state: WalkState[OutingStart], end: OutingEnd
    ) -> tuple[AnyEntry, ...]:
        """The outing, with the tape that is on for it; nothing when nobody goes."""
        if not end.going or end.what_for is None:
            return ()
        now = context.clock.now()
        taped = {one.side: one.tape for one in end.tape}
        named = {
            knee.side: {"put_on": _put_on(state, knee), "was_on": knee.wearing}
            for knee in state.start.knees
        }
        return (
            Outing(
                **state.stamp(derived_id(state.id, "outing"), for_day=diary_day(now), at=now),
                happened_at=now,
                what_for=end.what_for,
                knees=tuple(
                    OutingKnee(side=side, tape_on=tapes.get(taped[side]))
                    for side, tapes in named.items()
                ),
                amount=end.amount,
            ),
        )

    def has_changed(self, context: Context, state: WalkState[OutingStart]) -> bool:
        """A sign ticked elsewhere, a plan with a tape trial for today, tape put on or taken off
        elsewhere."""
        return any(self._changed(context, state, knee) for knee in state.start.knees)

    def _changed(
        self, context: Context, state: WalkState[OutingStart], knee: OutingKneeStart
    ) -> bool:
        """Whether something of a knee is not as it was when the walk began, but by this walk."""
        two = len(state.start.knees) > 1
        entries, own = context.entries, _of_knee(state, knee.side if two else None)
        if closed_since(context, entries, replace(state, side=knee.side)):
            return True
        if not knee.tape_by_trial and trial_came(context, knee.side):
            return True
        wear = current_application(entries, knee.side)
        wearing = None if wear is None else wear.on_ids[-1]
        off_here = derived_id(own.id, TapeTakenOffPage().key) in state.entry_ids
        on_here = _put_on(state, knee)
        expected = None if off_here else knee.wearing
        return wearing != (on_here if on_here in state.entry_ids else expected)


def _knees_out(plan: Plan, entries: Entries) -> tuple[Side, ...]:
    """The knees of an outing: those the plan treats, and one it leaves out while tape is on it, for
    that tape is checked before and asked about after all the same."""
    worn = (knee for knee in knees_of(plan) if current_application(entries, knee) is not None)
    return tuple(dict.fromkeys((*plan.sides, *worn)))


def _knee_start(
    context: Context, plan: Plan, side: Side, for_day: date, to_ask: Sequence[OpenSign]
) -> OutingKneeStart:
    entries = context.entries
    wear = current_application(entries, side)
    tape = tape_outlook(context, plan, side, entries, "outing_tape")
    asking = open_signs(context, entries, side)
    mine = {one.sign for one in to_ask if one.side in (None, side)}
    return OutingKneeStart(
        side=side,
        closed=closed_at_start(context, plan, entries, side, asking),
        of_other=tuple(one.sign for one in to_ask if one.sign not in mine),
        wearing=None if wear is None else wear.on_ids[-1],
        tape_by_trial=trial_day(plan, side, for_day) is not None,
        stage=max(1, starting_stage(plan, side, entries)),
        refused=tape.refused,
        helper_needed=tape.helper_needed,
        next_wear=tape.next_wear,
    )


def _signs_to_ask(context: Context, plan: Plan, entries: Entries) -> tuple[OpenSign, ...]:
    """The signs asked about again: those of both knees once, then those of each."""
    by_knee = {side: open_signs(context, entries, side) for side in plan.sides}
    first, *others = by_knee.values()
    shared = [one for one in first if all(one in knee for knee in others)]
    if not others:
        skin = skin_to_ask(entries, plan.sides[0])
        return signs_to_ask(context, shared, skin=skin)
    signs = signs_to_ask(context, shared, skin=False)
    seen = any(one.sign == SEEN_ON_SKIN for one in signs)
    for side, warnings in by_knee.items():
        own = [one for one in warnings if one not in shared]
        skin = not seen and skin_to_ask(entries, side)
        signs += tuple(replace(one, side=side) for one in signs_to_ask(context, own, skin=skin))
    return signs


def _of_knee(state: WalkState[StartT], side: Side | None) -> WalkState[StartT]:
    """The walk as far as it is of one knee among two: its entries have ids of their own."""
    if side is None:
        return state
    return replace(state, id=derived_id(state.id, side), side=side)


def _put_on(state: WalkState[OutingStart], knee: OutingKneeStart) -> str:
    """The id of the tape that this walk puts on a knee."""
    own = _of_knee(state, knee.side if len(state.start.knees) > 1 else None)
    return derived_id(own.id, f"tape_on:{knee.stage}")


class OutingAfterWalk(SignWalk[OutingAfterStart, OutingAfterEnd]):
    """How the outing was. Nothing closes it."""

    name = "outing_after"
    start_type = OutingAfterStart

    def start(self, context: Context, plan: Plan, side: Side, for_day: date) -> OutingAfterStart:
        """What it stands on. Raises LookupError when no outing is to be told."""
        outing = _waiting(context, "after")[0]
        planned = next((one for one in plan.amounts if one.label == outing.what_for), None)
        counted = outing.amount or planned
        return OutingAfterStart(
            outing=outing.id,
            day=outing.for_day if outing.for_day < for_day else None,
            what_for=outing.what_for,
            meant=outing.amount,
            label=None if counted is None else counted.label,
            unit=None if counted is None else counted.unit,
            knees=tuple(_knee_after(context.entries, knee) for knee in outing.knees),
        )

    def told_day(self, state: WalkState[OutingAfterStart]) -> date:
        """The day of the outing."""
        return state.start.day or state.for_day

    def walk(self, context: Context, state: WalkState[OutingAfterStart]) -> Walk[OutingAfterEnd]:
        """The questions."""
        return outing_after_walk(state.start)

    def finish(
        self, context: Context, state: WalkState[OutingAfterStart], end: OutingAfterEnd
    ) -> tuple[AnyEntry, ...]:
        """The correction of the outing, nothing when nothing was said; and the tape that is off."""
        return _after(context, state, end, context.clock.now())

    def has_changed(self, context: Context, state: WalkState[OutingAfterStart]) -> bool:
        """It was told elsewhere."""
        outing = _counting(context, state.start.outing)
        return outing is None or outing.ended_because is not None

    def on_expired(
        self, context: Context, state: WalkState[OutingAfterStart], why: ExpiryReason
    ) -> tuple[AnyEntry, ...]:
        """What was said so far; the rest is absent."""
        outing = _counting(context, state.start.outing)
        if not state.answers or outing is None or outing.ended_because is not None:
            return ()
        return _after(
            context, state, played_out(self.walk(context, state), state.answers), state.last_at
        )


class OutingMorningWalk(SignWalk[OutingMorningStart, OutingMorningEnd]):
    """The morning after an outing. Nothing closes it."""

    name = "outing_morning"
    start_type = OutingMorningStart

    def start(self, context: Context, plan: Plan, side: Side, for_day: date) -> OutingMorningStart:
        """What it stands on. Raises LookupError when no morning is to be told.

        One morning follows all outings of a day, so all of them are answered at once.
        """
        outings = _waiting(context, "morning")
        aims = aims_on(context, for_day)
        entries, today = context.entries, context.clock.today()
        sides = tuple(dict.fromkeys(knee for outing in outings for knee in outing.sides))
        more = (knee for knee in sides if more_pain_the_morning_before(entries, knee, today))
        return OutingMorningStart(
            outings=tuple(outing.id for outing in outings),
            what_for=outings[-1].what_for,
            sides=sides,
            more_pain_before=tuple(more),
            aim=next((aim for aim in aims if aim.label == outings[-1].what_for), None),
        )

    def walk(
        self, context: Context, state: WalkState[OutingMorningStart]
    ) -> Walk[OutingMorningEnd]:
        """One question a knee, and its card."""
        return outing_morning_walk(state.start)

    def finish(
        self, context: Context, state: WalkState[OutingMorningStart], end: OutingMorningEnd
    ) -> tuple[AnyEntry, ...]:
        """The correction of each outing of that day."""
        return self._morning(context, state, end, context.clock.now())

    def has_changed(self, context: Context, state: WalkState[OutingMorningStart]) -> bool:
        """It was told elsewhere."""
        waiting = (_counting(context, outing) for outing in state.start.outings)
        return not any(one is not None and not one.mornings for one in waiting)

    def on_expired(
        self, context: Context, state: WalkState[OutingMorningStart], why: ExpiryReason
    ) -> tuple[AnyEntry, ...]:
        """The morning as it was said, though its card was not put away."""
        if not state.answers:
            return ()
        end = played_out(self.walk(context, state), state.answers)
        return self._morning(context, state, end, state.last_at)

    def _morning(
        self,
        context: Context,
        state: WalkState[OutingMorningStart],
        end: OutingMorningEnd,
        at: datetime,
    ) -> tuple[AnyEntry, ...]:
        said = {knee.side: knee.said for knee in end.knees}
        if not any(said.values()):
            return ()
        outings = [_counting(context, outing) for outing in state.start.outings]
        return tuple(
            replace(
                state.corrected(outing, derived_id(state.id, outing.id), at),
                knees=tuple(
                    replace(knee, next_morning=said.get(knee.side)) for knee in outing.knees
                ),
            )
            for outing in outings
            if outing is not None and not outing.mornings
        )


def _knee_after(entries: Entries, knee: OutingKnee) -> KneeAfterStart:
    wear = current_application(entries, knee.side)
    return KneeAfterStart(
        side=knee.side,
        taped=knee.tape_on is not None,
        tape_now=None if wear is None else "for_outing" if wear.for_outing else "other",
        wearing=None if wear is None else wear.on_ids[-1],
    )


def _waiting(context: Context, what: str) -> tuple[Outing, ...]:
    """The outings that wait for the same telling, oldest first; at least one."""
    waiting = outings_waiting(context.entries, context.clock.today(), context.clock.now())
    found = tuple(one.entry for one in waiting if one.what == what)
    if not found:
        raise LookupError("no outing is to be told of")
    return found


def _counting(context: Context, outing_id: str) -> Outing | None:
    """The version of an outing that counts now."""
    entry = context.entries.counting(outing_id)
    return entry if isinstance(entry, Outing) else None


def _after(
    context: Context, state: WalkState[OutingAfterStart], end: OutingAfterEnd, at: datetime
) -> tuple[AnyEntry, ...]:
    outing = _counting(context, state.start.outing)
    two = len(state.start.knees) > 1
    off = tuple(
        one
        for knee, told in zip(state.start.knees, end.knees, strict=True)
        if (one := _tape_off(context, state, knee, told, at, named=two)) is not None
    )
    if end.empty or outing is None:
        return off
    pains = {knee.side: knee.pain_worst for knee in end.knees}
    return (
        *off,
        replace(
            state.corrected(outing, derived_id(state.id, outing.id), at),
            ended_because=end.because,
            amount=end.amount,
            knees=tuple(replace(knee, pain_worst=pains[knee.side]) for knee in outing.knees),
        ),
    )


def _tape_off(
    context: Context,
    state: WalkState[OutingAfterStart],
    knee: KneeAfterStart,
    told: KneeAfterEnd,
    at: datetime,
    *,
    named: bool,
) -> TapeOff | None:
    """The tape that was said to be off, unless that was written elsewhere meanwhile."""
    wear = current_application(context.entries, knee.side)
    tape_on = knee.wearing
    if told.removed is None or tape_on is None or wear is None or tape_on not in wear.on_ids:
        return None
    own = _of_knee(state, knee.side if named else None)
    page = TapeStillOnPage().key
    key = f"{knee.side}:{page}" if named else page
    said = next(one for one in state.answers if one.page == key)
    return came_off(context, own, tape_on, told.removed, said_at=said.at, at=at)
