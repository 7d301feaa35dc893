"""The front page's facts: what is due and why, what is open, what was written last.

This is the way to the first paint: it loads neither the walks nor the content of the trade.
"""

from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import TYPE_CHECKING, Literal

from companion.care.bad_days import Spell
from companion.care.closures import most_pressing
from companion.care.day_pages_kept import days_to_write
from companion.care.days import CLOCK_MAY_LAG
from companion.care.dose import Dose
from companion.care.due import SKIN_LOOK_ENDS, Due, due_today, part_today
from companion.care.finding import Entries, last_written
from companion.care.history import instant
from companion.care.minutes import routine_minutes
from companion.care.outings_waiting import outing_waiting
from companion.care.policy import Policy
from companion.care.records import Plan, Side, WarningSign
from companion.care.wear import Wear, WearClock, current_wear, skin_look_at, wear_clock
from companion.services.bad_spell import bad_days_of, dose_of
from companion.services.context import PRIVATE_NOTES, Context

if TYPE_CHECKING:
    from companion.care.trial_today import TrialToday


@dataclass(frozen=True, slots=True, kw_only=True)
class KneeToday:
    """One knee today. `days` are today and yesterday where they have no page yet.

    A knee the plan leaves out is there too while tape is on it or its skin is to be looked at.
    """

    side: Side
    hands: str
    exercise: str
    minutes: int
    underway: bool
    wear: WearClock | None
    skin_look_at: datetime | None
    days: tuple[date, ...]
    dose: Dose | None = None
    trial: "TrialToday | None" = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Front:
    """Everything the front page rests on. `plan` None: no plan was taken in yet."""

    today: date
    now: datetime
    plan: Plan | None
    knees: tuple[KneeToday, ...]
    due: tuple[Due, ...]
    locked: WarningSign | None
    last_written_at: datetime | None
    spell: Spell | None = None
    outing: Literal["after", "morning"] | None = None

    @property
    def clock_is_behind(self) -> bool:
        """True when the newest entry was written later than it is now."""
        last = self.last_written_at
        return last is not None and instant(last) > instant(self.now) + CLOCK_MAY_LAG


def front(context: Context) -> Front:
    """Find what today needs."""
    today, now = context.clock.today(), context.clock.now()
    plan = context.plan()
    if plan is None:
        return Front(
            today=today, now=now, plan=None, knees=(), due=(), locked=None, last_written_at=None
        )
    entries = context.entries
    zone = now.tzinfo
    assert zone is not None  # the clock gives aware instants
    knees = []
    spell: Spell | None = None
    others: tuple[Side, ...] = ("left", "right")
    for side in (*plan.sides, *(other for other in others if other not in plan.sides)):
        wear = current_wear(entries, side)
        draft = context.journal.draft(f"routine:{side}")
        hands = part_today(plan, side, entries, "hands", today, context.policy)
        look = skin_look_at(entries, side)
        if look is not None and instant(now) >= instant(look) + SKIN_LOOK_ENDS:
            look = None
        if side not in plan.sides:
            if wear is not None or look is not None:
                knees.append(_left_out(plan, side, wear, look, now))
            continue
        bad = bad_days_of(context, side).spell
        if bad is not None and (spell is None or bad.since < spell.since):
            spell = bad
        dose = dose_of(context, plan, side)
        # What a signed plan prescribes and was taught is what will be offered.
        techniques = tuple(t for t in plan.techniques if t.taught_on is not None)
        exercises = tuple(e for e in plan.exercises if e.taught_on is not None)
        knees.append(
            KneeToday(
                side=side,
                hands=hands,
                exercise=part_today(plan, side, entries, "exercise", today, context.policy),
                minutes=routine_minutes(
                    replace(plan, rounds=dose.rounds),
                    techniques if hands in ("due", "week_done") else (),
                    exercises,
                ),
                underway=(
                    draft is not None
                    and draft["for_day"] == today.isoformat()
                    and bool(draft["answers"])
                ),
                wear=None if wear is None else wear_clock(wear, plan, now, zone),
                skin_look_at=None if look is None else look.astimezone(zone),
                days=days_to_write(entries, today, side),
                dose=dose,
                trial=_trial(context.policy, plan, side, entries, today, now),
            )
        )
    last = last_written(entries)
    waiting = outing_waiting(entries, today, now)
    return Front(
        today=today,
        now=now,
        plan=plan,
        knees=tuple(knees),
        due=due_today(plan, entries, today=today, now=now, zone=zone, policy=context.policy),
        locked=most_pressing(entries, context.policy),
        last_written_at=None if last is None else last.written_at,
        spell=spell,
        outing=None if waiting is None else waiting.what,
    )


def _trial(
    policy: Policy, plan: Plan, side: Side, entries: Entries, today: date, now: datetime
) -> "TrialToday | None":
    """The tape trial today; most plans hold none, and what it needs is not loaded for them."""
    if plan.trial is None:
        return None
    from companion.care.trial_today import trial_today

    assert now.tzinfo is not None
    return trial_today(plan, side, entries, today=today, now=now, zone=now.tzinfo, policy=policy)


def _left_out(
    plan: Plan, side: Side, wear: Wear | None, look: datetime | None, now: datetime
) -> KneeToday:
    """A knee the plan leaves out: its tape, and nothing else."""
    assert now.tzinfo is not None
    return KneeToday(
        side=side,
        hands="not_in_plan",
        exercise="not_in_plan",
        minutes=0,
        underway=False,
        wear=None if wear is None else wear_clock(wear, plan, now, now.tzinfo),
        skin_look_at=None if look is None else look.astimezone(now.tzinfo),
        days=(),
    )


def expire_left_behind(context: Context) -> None:
    """End every walk of an earlier day that was never ended; see `walk_kinds.expire_all`.

    Most days begin without one, so what that needs is loaded only when a walk is under way.
    """
    walks = [key for key in context.journal.draft_keys() if not key.startswith(PRIVATE_NOTES)]
    if walks:
        from companion.services.walk_kinds import expire_all

        expire_all(context)
