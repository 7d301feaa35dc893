"""Going out: what the three walks start from, and the outing they write and correct."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime

from companion.care.closures import skin_to_ask
from companion.care.days import diary_day
from companion.care.finding import Entries
from companion.care.flow import Given, Walk, WalkPage
from companion.care.outing_questions import (
    OutingAfterEnd,
    OutingAfterStart,
    OutingEnd,
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
from companion.care.records import AnyEntry, Outing, Plan, Record, Side, TapeOff
from companion.care.starting_stage import starting_stage
from companion.care.stop_rules import after_last_due, full_list_due
from companion.care.stopping import played_out
from companion.care.tape_applications import current_application
from companion.care.taping import TapeOnPage, TapeTakenOffPage
from companion.care.trial_days import trial_day
from companion.services.context import Context, derived_id
from companion.services.day_page import aims_on
from companion.services.signs import (
    GateWalk,
    SignWalk,
    asked_signs,
    closed_at_start,
    closed_since,
    closing_sign,
    known_signs,
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
from companion.services.walks import ExpiryReason, WalkState


class OutingWalk(GateWalk[OutingStart, OutingEnd]):
    """Going out: what for, how much, tape as the plan allows."""

    name = "outing"
    start_type = OutingStart

    def start(self, context: Context, plan: Plan, side: Side, for_day: date) -> OutingStart:
        """What it stands on."""
        entries = context.entries
        wear = current_application(entries, side)
        tape = tape_outlook(context, plan, side, entries, "outing_tape")
        asking = open_signs(context, entries, side)
        labels = (*(amount.label for amount in plan.amounts), *plan.activities)
        return OutingStart(
            closed_by=closing_sign(context, entries, side),
            closed=closed_at_start(context, plan, entries, side, asking),
            gate_asked=gate_asked_today(entries, for_day),
            list_reason=full_list_due(plan, entries, for_day),
            asked_signs=asked_signs(context, plan, entries),
            known_signs=known_signs(plan),
            after_last=(last := after_last_due(entries, side, for_day)) is not None,
            last_day=last,
            two_knees=len(plan.sides) > 1,
            open_signs=signs_to_ask(context, asking, skin=skin_to_ask(entries, side)),
            labels=tuple(dict.fromkeys(labels)),
            amounts=plan.amounts,
            aims=aims_on(context, for_day),
            wearing=None if wear is None else wear.on_ids[-1],
            tape_in_plan=plan.tape.when != "never" and plan.tape.highest > 0,
            tape_by_trial=trial_day(plan, side, for_day) is not None,
            stage=max(1, starting_stage(plan, side, entries)),
            refused=tape.refused,
            helper_needed=tape.helper_needed,
            next_wear=tape.next_wear,
            asks=asks_of(plan, context.policy),
            known=plan.known_signs,
        )

    def walk(
        self, context: Context, state: WalkState[OutingStart]
    ) -> Callable[[], Walk[OutingEnd]]:
        """Gate, what for, how much, tape."""
        return lambda: outing_walk(context.catalogue, state.start)

    def on_answer(
        self, context: Context, state: WalkState[OutingStart], page: WalkPage, submitted: Given
    ) -> tuple[AnyEntry, ...]:
        """The tape, on or off; signs."""
        if isinstance(page, TapeOnPage) and submitted["tape"] == "on":
            return (replace(tape_on_entry(context, state, page, submitted), for_outing=True),)
        off = tape_off_answered(context, state, page, submitted)
        return off or super().on_answer(context, state, page, submitted)

    def finish(
        self, context: Context, state: WalkState[OutingStart], end: OutingEnd
    ) -> tuple[AnyEntry, ...]:
        """The outing, with the tape it was put on for; nothing when nobody goes."""
        if not end.going or end.what_for is None:
            return ()
        now = context.clock.now()
        tape_on: str | None = None
        if end.tape == "put_on":
            page = TapeOnPage(key=f"tape_on:{state.start.stage}", stage=state.start.stage)
            tape_on = derived_id(state.id, page.key)
        elif end.tape == "was_on":
            tape_on = state.start.wearing
        return (
            Outing(
                **state.stamp(derived_id(state.id, "outing"), for_day=diary_day(now), at=now),
                side=state.side,
                happened_at=now,
                tape_on=tape_on,
                what_for=end.what_for,
                amount=end.amount,
            ),
        )

    def expiry(self, context: Context, state: WalkState[OutingStart]) -> ExpiryReason | None:
        """A sign ticked elsewhere, a plan with a tape trial for today, tape put on or taken off
        elsewhere, or no answer yet: anew."""
        entries = context.entries
        if state.untouched or closed_since(context, entries, state):
            return "stale"
        if not state.start.tape_by_trial and trial_came(context, state.side):
            return "stale"
        off_here = derived_id(state.id, TapeTakenOffPage().key) in state.entry_ids
        wear = current_application(entries, state.side)
        wearing = None if wear is None else wear.on_ids[-1]
        expected = None if off_here else state.start.wearing
        return "stale" if wearing != expected else None


class OutingAfterWalk(SignWalk[OutingAfterStart, OutingAfterEnd]):
    """How the outing was. Nothing closes it."""

    name = "outing_after"
    start_type = OutingAfterStart

    def start(self, context: Context, plan: Plan, side: Side, for_day: date) -> OutingAfterStart:
        """What it stands on. Raises LookupError when no outing is to be told."""
        entries = context.entries
        outing = _waiting(context, entries, side, "after")[0]
        planned = next((one for one in plan.amounts if one.label == outing.what_for), None)
        counted = outing.amount or planned
        wear = current_application(entries, side)
        return OutingAfterStart(
            outing=outing.id,
            day=outing.for_day if outing.for_day < for_day else None,
            what_for=outing.what_for,
            meant=outing.amount,
            label=None if counted is None else counted.label,
            unit=None if counted is None else counted.unit,
            taped=outing.tape_on is not None,
            tape_now=None if wear is None else "for_outing" if wear.for_outing else "other",
            wearing=None if wear is None else wear.on_ids[-1],
        )

    def told_day(self, state: WalkState[OutingAfterStart]) -> date:
        """The day of the outing."""
        return state.start.day or state.for_day

    def walk(
        self, context: Context, state: WalkState[OutingAfterStart]
    ) -> Callable[[], Walk[OutingAfterEnd]]:
        """The questions."""
        return lambda: outing_after_walk(state.start)

    def finish(
        self, context: Context, state: WalkState[OutingAfterStart], end: OutingAfterEnd
    ) -> tuple[AnyEntry, ...]:
        """The correction of the outing, nothing when nothing was said; and the tape that is off."""
        return _after(context, state, end, context.clock.now())

    def expiry(self, context: Context, state: WalkState[OutingAfterStart]) -> ExpiryReason | None:
        """No answer yet, or it was told elsewhere."""
        outing = _counting(context, state.start.outing)
        told = outing is None or outing.ended_because is not None
        return "stale" if told or not state.answers else None

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
        entries = context.entries
        outings = _waiting(context, entries, side, "morning")
        aims = aims_on(context, for_day)
        return OutingMorningStart(
            outings=tuple(outing.id for outing in outings),
            what_for=outings[-1].what_for,
            more_pain_before=more_pain_the_morning_before(entries, side, context.clock.today()),
            aim=next((aim for aim in aims if aim.label == outings[-1].what_for), None),
        )

    def walk(
        self, context: Context, state: WalkState[OutingMorningStart]
    ) -> Callable[[], Walk[OutingMorningEnd]]:
        """One question, and its card."""
        return lambda: outing_morning_walk(state.start)

    def finish(
        self, context: Context, state: WalkState[OutingMorningStart], end: OutingMorningEnd
    ) -> tuple[AnyEntry, ...]:
        """The correction of each outing of that day."""
        return self._morning(context, state, end, context.clock.now())

    def expiry(self, context: Context, state: WalkState[OutingMorningStart]) -> ExpiryReason | None:
        """No answer yet, or it was told elsewhere."""
        waiting = [_counting(context, outing) for outing in state.start.outings]
        open_still = any(one is not None and one.next_morning is None for one in waiting)
        return None if open_still and state.answers else "stale"

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
        if end.next_morning is None:
            return ()
        outings = [_counting(context, outing) for outing in state.start.outings]
        return tuple(
            replace(_corrected(context, state, outing, at), next_morning=end.next_morning)
            for outing in outings
            if outing is not None and outing.next_morning is None
        )


def _waiting(context: Context, entries: Entries, side: Side, what: str) -> tuple[Outing, ...]:
    """The outings of a knee that wait for the same telling, oldest first; at least one."""
    waiting = outings_waiting(entries, context.clock.today(), context.clock.now())
    found = tuple(one.entry for one in waiting if one.side == side and one.what == what)
    if not found:
        raise LookupError("no outing is to be told of")
    return found


def _counting(context: Context, outing_id: str) -> Outing | None:
    """The version of an outing that counts now."""
    entry = context.entries.counting(outing_id)
    return entry if isinstance(entry, Outing) else None


def _corrected(context: Context, state: WalkState[Record], outing: Outing, at: datetime) -> Outing:
    """A correction. It keeps the plan version of its outing, whose knee that plan was for."""
    return replace(
        outing,
        id=derived_id(state.id, outing.id),
        replaces=outing.id,
        written_at=at,
        written_by=state.written_by,
    )


def _after(
    context: Context, state: WalkState[OutingAfterStart], end: OutingAfterEnd, at: datetime
) -> tuple[AnyEntry, ...]:
    outing = _counting(context, state.start.outing)
    off = _tape_off(context, state, end, at)
    if end.empty or outing is None:
        return off
    return (
        *off,
        replace(
            _corrected(context, state, outing, at),
            ended_because=end.because,
            amount=end.amount,
            pain_worst=end.pain_worst,
        ),
    )


def _tape_off(
    context: Context, state: WalkState[OutingAfterStart], end: OutingAfterEnd, at: datetime
) -> tuple[TapeOff, ...]:
    """The tape that was said to be off, unless that was written elsewhere meanwhile."""
    wear = current_application(context.entries, state.side)
    tape_on = state.start.wearing
    if end.removed is None or tape_on is None or wear is None or tape_on not in wear.on_ids:
        return ()
    said = next(one for one in state.answers if one.page == TapeStillOnPage().key)
    return (came_off(context, state, tape_on, end.removed, said_at=said.at, at=at),)
