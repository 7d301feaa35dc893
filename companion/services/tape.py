"""Tape on, the tape check, tape off, and the second look at the skin."""

from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from companion.care import tape_gate
from companion.care.bad_days import was_bad_on
from companion.care.closures import skin_to_ask
from companion.care.days import diary_day
from companion.care.finding import Entries, find, newest_first
from companion.care.flow import Given, Walk, WalkPage
from companion.care.history import instant, seniority
from companion.care.ready import asks_of
from companion.care.records import (
    AnyEntry,
    GateAnswer,
    Part,
    Plan,
    Record,
    Session,
    Side,
    Skin,
    TapeOff,
    TapeOn,
)
from companion.care.starting_stage import starting_stage
from companion.care.tape_applications import (
    current_application,
    next_wear,
    skin_look_at,
    skin_look_open,
)
from companion.care.tape_gate import TapeReason
from companion.care.taping import (
    SkinEnd,
    SkinPage,
    SkinStart,
    TapeCheckEnd,
    TapeOffEnd,
    TapeOnEnd,
    TapeOnPage,
    TapeOnStart,
    TapeTakenOffPage,
    TapeWornStart,
    skin_walk,
    tape_check_walk,
    tape_off_walk,
    tape_on_walk,
)
from companion.care.trial_days import TrialRefusal, tape_refused, trial_day
from companion.services.context import Context, derived_id
from companion.services.day_page import in_flare
from companion.services.signs import (
    GateWalk,
    SignWalk,
    closed_at_start,
    closed_since,
    gate_part,
    last_part,
    open_signs,
    signs_to_ask,
)
from companion.services.walks import ExpiryReason, WalkState


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeOutlook:
    """What is known of tape today before the person is asked. `refused`: reasons against it;
    `next_wear`: which wear of its make it would be."""

    refused: tuple[TapeReason, ...]
    helper_needed: bool
    next_wear: int


def tape_outlook(
    context: Context, plan: Plan, side: Side, entries: Entries, part: Part = "tape_on"
) -> TapeOutlook:
    """The tape gate as far as it needs no answer. Signs that are asked about at the short gate
    are left to that."""
    today = context.clock.today()
    found = tape_gate.check(
        plan,
        side,
        entries,
        context.catalogue,
        now=context.clock.now(),
        today=today,
        in_flare=in_flare(context, plan, side),
        part=part,
        bad_day=bad_today(context, side, today),
    )
    closed = closed_at_start(context, plan, entries, side, open_signs(context, entries, side))
    waived = () if part in closed else ("locked", "patch_red")
    return TapeOutlook(
        refused=tuple(reason for reason in found.reasons if reason not in waived),
        helper_needed=found.helper_needed,
        next_wear=next_wear(entries, side, plan.tape.make),
    )


def bad_today(context: Context, side: Side, day: date) -> bool:
    """Whether the score before a session of today made it a bad day for this knee (rule r02)."""
    versions = context.journal.versions
    return was_bad_on(context.policy, versions, context.entries, side, day, by_score=True)


def tape_on_entry(
    context: Context, state: WalkState[Record], page: TapeOnPage, submitted: Given
) -> TapeOn:
    """Tape that has just gone on."""
    now = context.clock.now()
    return TapeOn(
        **state.stamp(derived_id(state.id, page.key), for_day=diary_day(now), at=now),
        side=state.side,
        happened_at=now,
        stage=page.stage,
        make=state.plan.tape.make,
        by=submitted["by"],
        skin_before="clear",
    )


def tape_off_answered(
    context: Context, state: WalkState[Record], page: WalkPage, submitted: Given
) -> tuple[AnyEntry, ...]:
    """The tape-off of a page that says it is off now, and then the skin under it."""
    now = context.clock.now()
    off_id = derived_id(state.id, TapeTakenOffPage().key)
    if isinstance(page, TapeTakenOffPage):
        wear = current_application(context.entries, state.side)
        return (
            TapeOff(
                **state.stamp(off_id, for_day=diary_day(now), at=now),
                side=state.side,
                tape_on=None if wear is None else wear.on_ids[-1],
                happened_at=now,
                felt=page.felt,
            ),
        )
    off = context.journal.entry(off_id) if isinstance(page, SkinPage) else None
    if isinstance(off, TapeOff):
        seen = replace(off, skin_at_once=submitted["skin"] or off.skin_at_once)
        return (state.corrected(seen, derived_id(state.id, page.key), now),)
    return ()


class TapeOnWalk(GateWalk[TapeOnStart, TapeOnEnd]):
    """Tape by itself, outside a session. While tape is on nothing is put on top of it: what more
    tape is worth is judged by a score, and that belongs to the routine."""

    name = "tape_on"
    start_type = TapeOnStart

    def start(self, context: Context, plan: Plan, side: Side, for_day: date) -> TapeOnStart:
        """What it stands on."""
        entries = context.entries
        tape = tape_outlook(context, plan, side, entries)
        trial = trial_day(plan, side, for_day)
        asking = open_signs(context, entries, side)
        return TapeOnStart(
            stage=max(1, starting_stage(plan, side, entries)),
            gate_asked=gate_asked_today(entries, for_day),
            closed=closed_at_start(context, plan, entries, side, asking),
            **gate_part(context, plan, for_day),
            **last_part(context, side, for_day),
            open_signs=signs_to_ask(context, asking, skin=skin_to_ask(entries, side)),
            refused=tape.refused,
            by_trial=_by_trial(context, plan, side, entries),
            tape_day=trial is not None and trial.what == "tape",
            helper_needed=tape.helper_needed,
            next_wear=tape.next_wear,
            asks=asks_of(plan, context.policy),
        )

    def walk(self, context: Context, state: WalkState[TapeOnStart]) -> Walk[TapeOnEnd]:
        """Gate, questions, steps."""
        return tape_on_walk(context.catalogue, state.start)

    def on_answer(
        self, context: Context, state: WalkState[TapeOnStart], page: WalkPage, submitted: Given
    ) -> tuple[AnyEntry, ...]:
        """Signs, and the tape."""
        if isinstance(page, TapeOnPage) and submitted["tape"] == "on":
            return (tape_on_entry(context, state, page, submitted),)
        return super().on_answer(context, state, page, submitted)

    def tells(self, state: WalkState[TapeOnStart], end: TapeOnEnd) -> bool:
        """Not where the tape trial let none on."""
        return not end.by_trial

    def has_changed(self, context: Context, state: WalkState[TapeOnStart]) -> bool:
        """A sign ticked elsewhere closes it; tape put on meanwhile, a tape trial that lets none on
        by now, or other reasons against tape than at its start."""
        entries = context.entries
        outlook = tape_outlook(context, state.plan, state.side, entries)
        return (
            closed_since(context, entries, state)
            or set(outlook.refused) != set(state.start.refused)
            or _by_trial(context, context.plan() or state.plan, state.side, entries) is not None
            or current_application(entries, state.side) is not None
        )


def _by_trial(context: Context, plan: Plan, side: Side, entries: Entries) -> TrialRefusal | None:
    """Why the tape trial lets no tape on now."""
    return tape_refused(plan, side, entries, today=context.clock.today(), now=context.clock.now())


def trial_came(context: Context, side: Side) -> bool:
    """Whether the plan in force has a tape trial that rules this knee today: a walk state under a
    plan without it would go on with hands or tape that the trial excludes."""
    plan = context.plan()
    return plan is not None and trial_day(plan, side, context.clock.today()) is not None


def gate_kept_today(entries: Entries, day: date) -> bool:
    """Whether the short gate in force this day was answered with none, and in no session."""
    return gate_asked_today(find(entries, GateAnswer, first_day=day, last_day=day), day)


def gate_asked_today(entries: Entries, day: date) -> bool:
    """Whether the short gate in force this day was answered with none, in a session or not.

    The one written last is in force, whichever knee it was asked for.
    """
    answered: list[GateAnswer | Session] = [
        *find(entries, GateAnswer, first_day=day, last_day=day),
        *(one for one in find(entries, Session, first_day=day, last_day=day) if one.gate),
    ]
    last = max(answered, key=seniority, default=None)
    return last is not None and last.gate == "none"


class TapeCheckWalk(SignWalk[TapeWornStart, TapeCheckEnd]):
    """The tape check. Nothing closes it."""

    name = "tape_check"
    start_type = TapeWornStart

    def start(self, context: Context, plan: Plan, side: Side, for_day: date) -> TapeWornStart:
        """The tape that is on. Raises LookupError when none is."""
        return _tape_now_on(context, side)

    def walk(self, context: Context, state: WalkState[TapeWornStart]) -> Walk[TapeCheckEnd]:
        """What is felt, and tape off when something is."""
        return tape_check_walk()

    def on_answer(
        self, context: Context, state: WalkState[TapeWornStart], page: WalkPage, submitted: Given
    ) -> tuple[AnyEntry, ...]:
        """Tape off, the skin, a mistake taken back."""
        off = tape_off_answered(context, state, page, submitted)
        return off or super().on_answer(context, state, page, submitted)


class TapeOffWalk(SignWalk[TapeWornStart, TapeOffEnd]):
    """Tape off. Nothing closes it."""

    name = "tape_off"
    start_type = TapeWornStart

    def start(self, context: Context, plan: Plan, side: Side, for_day: date) -> TapeWornStart:
        """The tape that is on. Raises LookupError when none is."""
        return _tape_now_on(context, side)

    def walk(self, context: Context, state: WalkState[TapeWornStart]) -> Walk[TapeOffEnd]:
        """How, when, skin."""
        return tape_off_walk()

    def finish(
        self, context: Context, state: WalkState[TapeWornStart], end: TapeOffEnd
    ) -> tuple[AnyEntry, ...]:
        """The tape-off entry."""
        return (self._entry(context, state, context.clock.now(), end.skin),)

    def has_changed(self, context: Context, state: WalkState[TapeWornStart]) -> bool:
        """Tape put on since is other tape."""
        wear = current_application(context.entries, state.side)
        return wear is None or state.start.tape_on not in wear.on_ids

    def on_expired(
        self, context: Context, state: WalkState[TapeWornStart], why: ExpiryReason
    ) -> tuple[AnyEntry, ...]:
        """That it came off was said, though nothing of the skin."""
        if not state.answers:
            return ()
        return (self._entry(context, state, state.last_at, None),)

    def _entry(
        self, context: Context, state: WalkState[TapeWornStart], at: datetime, skin: Skin | None
    ) -> TapeOff:
        said = state.answers[0]
        when = next((a.submitted for a in state.answers if a.page == "off_when"), {})
        end = TapeOffEnd(
            off=said.submitted["off"],
            off_day=when.get("day"),
            hour=when.get("hour"),
            skin=skin,
        )
        return came_off(context, state, state.start.tape_on, end, said_at=said.at, at=at)


def came_off(
    context: Context,
    state: WalkState[Record],
    tape_on: str,
    end: TapeOffEnd,
    *,
    said_at: datetime,
    at: datetime,
) -> TapeOff:
    """The tape-off of what was said at `said_at`, written at `at`."""
    off_at: datetime | None = said_at
    if end.off != "now":
        off_at = remembered(said_at, end.off_day, end.hour)
    on = context.journal.entry(tape_on)
    if off_at is not None and isinstance(on, TapeOn):
        # Off before it was on is a slip of the hour: then nobody knows when.
        off_at = None if instant(off_at) < instant(on.happened_at) else off_at
    return TapeOff(
        **state.stamp(
            derived_id(state.id, "tape_off"), for_day=diary_day(off_at or said_at), at=at
        ),
        side=state.side,
        tape_on=tape_on,
        happened_at=off_at,
        came_off_by_itself=end.off == "by_itself",
        skin_at_once=end.skin,
    )


def _tape_now_on(context: Context, side: Side) -> TapeWornStart:
    wear = current_application(context.entries, side)
    if wear is None:
        raise LookupError("no tape is on this knee")
    return TapeWornStart(tape_on=wear.on_ids[-1])


def remembered(now: datetime, day: str | None, hour: int | None) -> datetime | None:
    """The hour the person remembers; None when they do not. Never later than now.

    `today` and `yesterday` are diary days: at one in the night "today, 22" is three hours ago.
    The small hours belong to either, so of both the later that is past is meant.
    """
    if day not in ("today", "yesterday") or hour is None:
        return None
    base = diary_day(now) - timedelta(days=1 if day == "yesterday" else 0)
    days = [base + timedelta(days=1), base] if hour < 3 else [base]
    found = [datetime.combine(one, time(hour), tzinfo=now.tzinfo) for one in days]
    return next((at for at in found if at <= now), now)


class SkinWalk(SignWalk[SkinStart, SkinEnd]):
    """The look at the skin half an hour after."""

    name = "skin"
    start_type = SkinStart

    def start(self, context: Context, plan: Plan, side: Side, for_day: date) -> SkinStart:
        """What it stands on. Raises LookupError when no skin is to be looked at."""
        off = skin_to_look_at(context, side)
        if off is None:
            raise LookupError("no skin to look at again")
        at = skin_look_at(context.entries, side)
        early = at is not None and instant(context.clock.now()) < instant(at)
        return SkinStart(tape_off=off.id, too_early_until=at if early else None)

    def walk(self, context: Context, state: WalkState[SkinStart]) -> Walk[SkinEnd]:
        """One question, when its time has come."""
        return skin_walk(state.start)

    def finish(
        self, context: Context, state: WalkState[SkinStart], end: SkinEnd
    ) -> tuple[AnyEntry, ...]:
        """A correction of the tape-off with the second look."""
        off = context.journal.entry(state.start.tape_off)
        if end.skin is None or not isinstance(off, TapeOff):
            return ()
        seen = replace(off, skin_after_30_min=end.skin)
        return (state.corrected(seen, derived_id(state.id, "skin"), context.clock.now()),)

    def tells(self, state: WalkState[SkinStart], end: SkinEnd) -> bool:
        """Not where it was too early to look."""
        return end.skin is not None


def skin_to_look_at(context: Context, side: Side) -> TapeOff | None:
    """The tape-off whose skin is to be looked at again; None when there is none, or a day has
    passed: a look "30 minutes after removal" would then be made up."""
    entries = context.entries
    if skin_look_open(entries, side, context.clock.now()) is None:
        return None
    return next(newest_first(entries, TapeOff, by="time", side=side))
