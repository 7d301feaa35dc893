"""One evening of two knees: what it starts from, and the session of each knee it writes."""

from dataclasses import replace
from datetime import date, timedelta

from companion.care.clearing import MistakePage
from companion.care.course import EndReason
from companion.care.evening import EveningEnd, EveningStart, evening, evening_so_far
from companion.care.finding import find
from companion.care.flow import Given, Walk, WalkPage, knee_of, unnamed
from companion.care.history import instant
from companion.care.records import AnyEntry, Plan, Session, SessionEnd, Side
from companion.care.routine import RoutineStart
from companion.care.stopping import SIGN_PAGES, WhichKneePage
from companion.care.tape_applications import current_application
from companion.services.context import Context, derived_id
from companion.services.routine import RoutineWalk, session_entry
from companion.services.signs import SignWalk, closed_since, gate_part
from companion.services.tape import trial_came
from companion.services.walks import ExpiryReason, WalkState, load

_OF_SIGNS = (*SIGN_PAGES, WhichKneePage, MistakePage)
_ROUTINE = RoutineWalk()


def one_evening(context: Context, plan: Plan, day: date) -> bool:
    """Whether the routines of both knees are one evening today: both are short, neither is done or
    begun, and no sign is open from before, which each knee would be asked about by itself."""
    if len(plan.sides) < 2 or context.long_way():
        return False
    if load(context, EveningWalk(), plan.sides[0]) is not None:
        return True
    if find(context.entries, Session, first_day=day, last_day=day):
        return False
    if any(load(context, _ROUTINE, side) is not None for side in plan.sides):
        return False
    starts = [_ROUTINE.start(context, plan, side, day) for side in plan.sides]
    return all(one.short and one.closed_by is None and not one.open_signs for one in starts)


class EveningWalk(SignWalk[EveningStart, EveningEnd]):
    """The routines of both knees of a plan."""

    name = "evening"
    start_type = EveningStart

    def start(self, context: Context, plan: Plan, side: Side, for_day: date) -> EveningStart:
        """What it stands on."""
        knees = tuple(_ROUTINE.start(context, plan, one, for_day) for one in plan.sides)
        first = knees[0]
        asked = tuple(knee for knee in knees if knee.after_last)
        return EveningStart(
            **gate_part(context, plan, for_day),
            gate_asked=first.gate_asked,
            asks=first.asks,
            after_last_of=tuple(knee.side for knee in asked),
            last_day=asked[0].last_day if asked else None,
            knees=knees,
        )

    def walk(self, context: Context, state: WalkState[EveningStart]) -> Walk[EveningEnd]:
        """Both routines."""
        return evening(state.plan, context.catalogue, state.start)()

    def on_answer(
        self, context: Context, state: WalkState[EveningStart], page: WalkPage, submitted: Given
    ) -> tuple[AnyEntry, ...]:
        """What the routine of its knee writes; of both knees that of the first."""
        side = knee_of(page) or state.side
        if isinstance(page, _OF_SIGNS):
            return super().on_answer(context, replace(state, side=side), page, submitted)
        return _ROUTINE.on_answer(context, _of_knee(state, side), unnamed(page), submitted)

    def finish(
        self, context: Context, state: WalkState[EveningStart], end: EveningEnd
    ) -> tuple[AnyEntry, ...]:
        """The session of each knee."""
        now = context.clock.now()
        return tuple(
            session_entry(context, _of_knee(state, side), own, ended_at=now)
            for side, own in zip(end.sides, end.ends, strict=True)
        )

    def tells(self, state: WalkState[EveningStart], end: EveningEnd) -> bool:
        """After a card alone: else what was looked over is what is written."""
        return end.reason == "card"

    def expiry(self, context: Context, state: WalkState[EveningStart]) -> ExpiryReason | None:
        """As for one knee; left for so long that the gate is due again, it is begun anew."""
        if not state.answers:
            return "stale"
        away = instant(context.clock.now()) - instant(state.last_at)
        if away >= timedelta(minutes=context.policy.taken_up.gate_again_minutes):
            return "left_behind"
        entries = context.entries
        for knee in state.start.knees:
            of_knee = replace(state, side=knee.side)
            if closed_since(context, entries, of_knee):
                return "card"
            if not knee.tape_by_trial and trial_came(context, knee.side):
                return "trial"
            wear = current_application(entries, knee.side)
            own = wear is not None and set(wear.on_ids) <= set(state.entry_ids)
            if wear is not None and not own and knee.wearing_stage == 0:
                return "tape_on"
        return None

    def on_expired(
        self, context: Context, state: WalkState[EveningStart], why: ExpiryReason
    ) -> tuple[AnyEntry, ...]:
        """Both sessions as far as they came; they ended with the last answer."""
        return _as_they_stand(context, state, "stopped" if why == "card" else "left", why)

    def on_stopped(
        self, context: Context, state: WalkState[EveningStart], reason: EndReason
    ) -> tuple[AnyEntry, ...]:
        """Both sessions as far as they came, stopped by the person or by a card."""
        return _as_they_stand(context, state, "stopped", reason)


def _of_knee(state: WalkState[EveningStart], side: Side) -> WalkState[RoutineStart]:
    """The routine of one knee in it, with the answers that are its alone."""
    begins = f"{side}:"
    return WalkState(
        walk="routine",
        id=derived_id(state.id, side),
        side=side,
        plan=state.plan,
        for_day=state.for_day,
        begun_at=state.begun_at,
        written_by=state.written_by,
        start=next(knee for knee in state.start.knees if knee.side == side),
        answers=tuple(
            replace(one, page=one.page.removeprefix(begins))
            for one in state.answers
            if one.page.startswith(begins)
        ),
        entry_ids=state.entry_ids,
    )


def _as_they_stand(
    context: Context, state: WalkState[EveningStart], ended: SessionEnd, reason: EndReason
) -> tuple[AnyEntry, ...]:
    if not state.answers:
        return ()
    givens = [answer.submitted for answer in state.answers]
    end = evening_so_far(
        state.plan, context.catalogue, state.start, givens, ended=ended, reason=reason
    )
    return tuple(
        session_entry(context, _of_knee(state, side), own, ended_at=state.last_at)
        for side, own in zip(end.sides, end.ends, strict=True)
    )
