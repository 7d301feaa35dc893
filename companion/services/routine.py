"""Today's routine: what it starts from, and what it writes."""

from dataclasses import fields, replace
from datetime import date, datetime, timedelta
from typing import get_args

from companion.care.adherence import days_a_week, days_done, is_rest_day
from companion.care.bad_days import rest_pain_limit, was_bad_on
from companion.care.catalogue import Catalogue
from companion.care.caution_rules import Judgement, caution_judgement
from companion.care.closures import skin_to_ask
from companion.care.course import EndReason
from companion.care.finding import Entries, find
from companion.care.flow import Given, Walk, WalkPage
from companion.care.history import instant
from companion.care.known_steps import known_steps
from companion.care.plan_faults import playable_exercises, playable_techniques
from companion.care.ready import routine_asks
from companion.care.records import (
    AfterLast,
    AnyEntry,
    Event,
    Exercise,
    Plan,
    Question,
    Record,
    Session,
    SessionEnd,
    Side,
    Technique,
    TenSaid,
)
from companion.care.routine import (
    CLOSED,
    HandsOff,
    RoutineEnd,
    RoutineStart,
    SaidDose,
    SpellPage,
    TenPage,
    routine,
    so_far,
)
from companion.care.scoring_taught import ask_about_ten
from companion.care.sore_zones import zones_known
from companion.care.starting_stage import starting_stage
from companion.care.tape_applications import current_application
from companion.care.taping import TapeOnPage
from companion.care.trial_days import hands_rest, trial_day
from companion.services.bad_spell import bad_days_of, dose_of
from companion.services.context import Context, derived_id
from companion.services.day_page import in_flare
from companion.services.signs import (
    SignWalk,
    closed_at_start,
    closed_since,
    closing_sign,
    gate_part,
    last_part,
    open_signs,
    signs_to_ask,
)
from companion.services.tape import (
    bad_today,
    gate_kept_today,
    tape_off_answered,
    tape_on_entry,
    tape_outlook,
    trial_came,
)
from companion.services.walks import ExpiryReason, WalkState


class RoutineWalk(SignWalk[RoutineStart, RoutineEnd]):
    """The routine of one knee."""

    name = "routine"
    start_type = RoutineStart

    def start(self, context: Context, plan: Plan, side: Side, for_day: date) -> RoutineStart:
        """What it stands on."""
        entries = context.entries
        catalogue = context.catalogue
        wear = current_application(entries, side)
        asking = open_signs(context, entries, side)
        flare = in_flare(context, plan, side)
        techniques, exercises = playable(plan, side, catalogue, entries, for_day, flare)
        hands = caution_judgement(
            plan,
            "hands",
            catalogue.policy,
            entries=entries,
            side=side,
            today=for_day,
            in_flare=flare,
        )
        tape = tape_outlook(context, plan, side, entries)
        known = () if context.long_way() else known_steps(plan, entries, side, catalogue)
        return RoutineStart(
            side=side,
            closed_by=closing_sign(context, entries, side),
            closed=closed_at_start(context, plan, entries, side, asking),
            closed_at_support=closed_at_start(
                context, plan, entries, side, asking, at_support=True
            ),
            gate_asked=gate_kept_today(entries, for_day),
            **gate_part(context, plan, for_day),
            **last_part(context, side, for_day),
            open_signs=signs_to_ask(context, asking, skin=skin_to_ask(entries, side)),
            hands_off=_hands_off(
                plan,
                side,
                entries,
                for_day,
                taped=wear is not None,
                playable=bool(techniques),
                cautions=hands,
            ),
            asks=routine_asks(plan, context.policy),
            ask_about_ten=_ask_about_ten(entries),
            wearing_stage=0 if wear is None else wear.stage,
            starting_stage=starting_stage(plan, side, entries),
            tape_off=tape.refused,
            tape_by_trial=trial_day(plan, side, for_day) is not None,
            helper_needed=tape.helper_needed,
            next_wear=tape.next_wear,
            known_zones=zones_known(entries, side, catalogue.zones),
            techniques=techniques,
            exercises=exercises,
            bad=bad_days_of(context, side),
            other_knee_bad=_other_knee_bad(context, plan, side, for_day),
            bad_today=bad_today(context, side, for_day),
            doses=tuple(
                SaidDose(said=said, dose=dose_of(context, plan, side, said))
                for said in (None, *get_args(AfterLast))
            ),
            known_steps=known,
            may_know=not known and not context.long_way(),
        )

    def walk(self, context: Context, state: WalkState[RoutineStart]) -> Walk[RoutineEnd]:
        """The routine itself."""
        return routine(state.plan, context.catalogue, state.start)()

    def on_answer(
        self, context: Context, state: WalkState[RoutineStart], page: WalkPage, submitted: Given
    ) -> tuple[AnyEntry, ...]:
        """Signs, tape that went on or came off again, and what the clinic is to be told."""
        if isinstance(page, TapeOnPage) and submitted["tape"] == "on":
            return (tape_on_entry(context, state, page, submitted),)
        if isinstance(page, SpellPage) and submitted["over"] == "yes":
            return (_spell_over(context, state),)
        if isinstance(page, TenPage):
            return (_told_about_ten(context, state, submitted["ten"]),)
        off = tape_off_answered(context, state, page, submitted)
        return off or super().on_answer(context, state, page, submitted)

    def finish(
        self, context: Context, state: WalkState[RoutineStart], end: RoutineEnd
    ) -> tuple[AnyEntry, ...]:
        """The session; none when a sign kept the routine closed."""
        if end.reason == CLOSED:
            return ()
        return (session_entry(context, state, end, ended_at=context.clock.now()),)

    def expiry(self, context: Context, state: WalkState[RoutineStart]) -> ExpiryReason | None:
        """A sign ticked elsewhere, a plan with a tape trial for today, or tape put on meanwhile,
        closes what is under way. Where nothing was answered yet the routine starts from how things
        are now."""
        if not state.answers:
            return "stale"
        if _left_for(context, state) >= timedelta(hours=context.policy.taken_up.anew_hours):
            return "left_behind"  # its scores would be joined to those of another hour
        entries = context.entries
        if closed_since(context, entries, state):
            return "card"
        if not state.start.tape_by_trial and trial_came(context, state.side):
            return "trial"
        wear = current_application(entries, state.side)
        wore = state.start.wearing_stage > 0
        own = wear is not None and set(wear.on_ids) <= set(state.entry_ids)
        return "tape_on" if wear is not None and not own and not wore else None

    def taken_up(self, context: Context, state: WalkState[RoutineStart]) -> WalkState[RoutineStart]:
        """After an hour the gate and the pain at rest are asked again: an old no covers no new
        sign."""
        again = timedelta(minutes=context.policy.taken_up.gate_again_minutes)
        if _left_for(context, state) < again:
            return state
        at = tuple(dict.fromkeys((*state.start.taken_up_at, len(state.answers))))
        return replace(state, start=replace(state.start, taken_up_at=at))

    def on_expired(
        self, context: Context, state: WalkState[RoutineStart], why: ExpiryReason
    ) -> tuple[AnyEntry, ...]:
        """The session as far as it came; it ended with its last answer."""
        ended: SessionEnd = "stopped" if why == "card" else "left"
        return _as_it_stands(context, state, ended, why)

    def on_stopped(
        self, context: Context, state: WalkState[RoutineStart], reason: EndReason
    ) -> tuple[AnyEntry, ...]:
        """The session as far as it came, stopped by the person or by a card."""
        return _as_it_stands(context, state, "stopped", reason)

    def tells(self, state: WalkState[RoutineStart], end: RoutineEnd) -> bool:
        """Not where a sign kept it closed, nor after a short evening: what there was to read stood
        with what was looked over, but for tape."""
        if end.reason == CLOSED:
            return False
        return not state.start.short or end.reason == "card" or bool(end.stage)


def _left_for(context: Context, state: WalkState[RoutineStart]) -> timedelta:
    """How long ago its last answer is."""
    return instant(context.clock.now()) - instant(state.last_at)


def playable(
    plan: Plan,
    side: Side,
    catalogue: Catalogue,
    entries: Entries,
    today: date,
    flare: bool,
) -> tuple[tuple[Technique, ...], tuple[Exercise, ...]]:
    """The techniques and exercises that can be offered today."""
    return (
        playable_techniques(plan, side, catalogue, entries, today, flare),
        playable_exercises(plan, side, catalogue, entries, today, flare),
    )


def _hands_off(
    plan: Plan,
    side: Side,
    entries: Entries,
    day: date,
    *,
    taped: bool,
    playable: bool,
    cautions: Judgement,
) -> HandsOff | None:
    """Why there are no hands today, as far as it is known before anything is asked.

    Signs are left to the walk: those that lock are asked about at its gate. One hands session a
    day, also when every step of it was stopped; and rest pain above the ceiling is for the day.
    """
    today = find(entries, Session, side=side, first_day=day, last_day=day)
    prescribed = plan.techniques and days_a_week(plan, "hands")
    if prescribed and hands_rest(plan, side, day):
        return "trial"
    if taped:
        return "tape_on"
    if not prescribed:
        return "not_in_plan"
    if is_rest_day(entries, side, (plan,), day):
        return "resting"
    begun = any(
        step.outcome != "skipped" for entry in today for done in entry.rounds for step in done.steps
    )
    if begun or day in days_done(entries, side, "hands", first_day=day, last_day=day):
        return "done_today"
    limit = rest_pain_limit(plan)
    if any(entry.rest_pain is not None and entry.rest_pain > limit for entry in today):
        return "rest_pain"
    if playable and cautions.blocked:
        return "helper_needed"
    if playable:
        return None
    return "flare" if any(one.reason == "flare" for one in cautions.blocked) else "caution"


def _ask_about_ten(entries: Entries) -> bool:
    """Once: a session that was left before its first score must not bring the question back."""
    return ask_about_ten(entries) and not any(
        question.ten_said is not None for question in find(entries, Question)
    )


def _other_knee_bad(context: Context, plan: Plan, side: Side, day: date) -> bool:
    """Whether today is a bad day by a session of the other knee of the plan."""
    versions = context.journal.versions
    return any(
        was_bad_on(context.policy, versions, context.entries, other, day)
        for other in plan.sides
        if other != side
    )


def _spell_over(context: Context, state: WalkState[RoutineStart]) -> Event:
    """The person says that the knee is as usual again."""
    at = context.clock.now()
    return Event(**state.stamp(derived_id(state.id, "spell"), at=at), what="bad_spell_over")


def _told_about_ten(context: Context, state: WalkState[Record], answer: TenSaid) -> Question:
    """What the clinic is told: among the questions for the visit."""
    now = context.clock.now()
    return Question(
        **state.stamp(derived_id(state.id, "ten"), at=now),
        ten_said=answer,
    )


_OF_SIGNS = ("signs", "signs_over")
"""What of an end is written in entries of its own."""
_OF_THE_END = [field.name for field in fields(RoutineEnd) if field.name not in _OF_SIGNS]


def session_entry(
    context: Context, state: WalkState[Record], end: RoutineEnd, *, ended_at: datetime
) -> Session:
    """The session as an entry."""
    return Session(
        **state.stamp(derived_id(state.id, "session"), at=ended_at),
        side=state.side,
        happened_at=state.begun_at,
        ended_at=ended_at,
        **{name: getattr(end, name) for name in _OF_THE_END},
    )


def _as_it_stands(
    context: Context, state: WalkState[RoutineStart], ended: SessionEnd, reason: EndReason
) -> tuple[Session, ...]:
    if not state.answers or state.start.closed_by is not None:
        return ()
    givens = [answer.submitted for answer in state.answers]
    end = so_far(state.plan, context.catalogue, state.start, givens, ended=ended, reason=reason)
    return (session_entry(context, state, end, ended_at=state.last_at),)
