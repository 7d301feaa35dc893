"""The front page's facts: what is due and why, what is open, what was written last.

This is the way to the first paint: it loads neither the walks nor the content of the trade.
"""

from dataclasses import replace
from datetime import date, datetime

from companion.care.bad_days import Spell
from companion.care.closures import closures
from companion.care.day_pages_kept import days_to_write
from companion.care.days import CLOCK_MAY_LAG
from companion.care.dose import Dose
from companion.care.due import Due, due_today, part_today
from companion.care.finding import Entries, last_written, newest_first
from companion.care.history import instant
from companion.care.journeys import journey_of
from companion.care.minutes import routine_minutes
from companion.care.open_things import OpenThing, knees_of
from companion.care.patch_looks import red_test
from companion.care.records import (
    AnyEntry,
    DayPage,
    Journey,
    Part,
    Plan,
    Record,
    Session,
    Side,
    TapeOn,
    WarningSign,
    record,
)
from companion.care.state_calls import StateCall
from companion.services.bad_spell import bad_days_of, calls_due, dose_of
from companion.services.context import Context
from companion.services.open_now import open_now, walks_kept

ROUTINE_PARTS: tuple[Part, ...] = ("hands", "seated", "standing", "check_move")
"""What a routine is made of, but for the tape at its end."""


@record
class KneeToday(Record):
    """One knee of the plan today. `days` are today and yesterday where they have no page yet.

    `minutes` are of what is open; `shortened`: a sign or a look at the skin closes a part of the
    routine and leaves the rest.
    """

    side: Side
    hands: str
    exercise: str
    minutes: int
    shortened: bool
    days: tuple[date, ...]
    dose: Dose | None = None


@record
class Front(Record):
    """Everything the front page rests on. `plan` None: no plan was taken in yet. `open` is what is
    open, the most pressing first. `recorded` are the knees of the plan and those with a record of
    an earlier one. `calls`: what the days say the clinic is to be told, and nobody answered for."""

    today: date
    now: datetime
    plan: Plan | None
    knees: tuple[KneeToday, ...]
    due: tuple[Due, ...]
    last_written_at: datetime | None
    open: tuple[OpenThing, ...] = ()
    recorded: tuple[Side, ...] = ()
    spell: Spell | None = None
    calls: tuple[StateCall, ...] = ()
    journey: Journey | None = None
    """The journey that is under way, else the next one."""

    @property
    def locked(self) -> WarningSign | None:
        """The sign whose card is open, None where there is none, or a call the days ask for."""
        entry = next((thing.entry for thing in self.open if thing.code == "card"), None)
        return entry if isinstance(entry, WarningSign) else None

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
        return Front(today=today, now=now, plan=None, knees=(), due=(), last_written_at=None)
    entries = context.entries
    knees = []
    spell: Spell | None = None
    spells: list[Spell | None] = []
    for side in plan.sides:
        hands = part_today(plan, side, entries, "hands", today, context.policy)
        bad = bad_days_of(context, side).spell
        spells.append(bad)
        if bad is not None and (spell is None or bad.since < spell.since):
            spell = bad
        dose = dose_of(context, plan, side)
        # What a signed plan prescribes and was taught is what will be offered.
        techniques = tuple(t for t in plan.techniques if t.taught_on is not None)
        exercises = tuple(e for e in plan.exercises if e.taught_on is not None)
        held = closures(context.policy, plan, entries, side, today=today)
        left = tuple(e for e in exercises if not held.closed_exercise(context.policy, e.exercise))
        knees.append(
            KneeToday(
                side=side,
                hands=hands,
                exercise=part_today(plan, side, entries, "exercise", today, context.policy),
                minutes=routine_minutes(
                    replace(plan, rounds=dose.rounds if bad is None else 1),
                    techniques if hands in ("due", "week_done") else (),
                    left,
                ),
                shortened=any(held.by_sign(part) for part in ROUTINE_PARTS),
                days=days_to_write(entries, today, side),
                dose=dose,
            )
        )
    last = last_written(entries)
    calls = calls_due(red_test(entries), spells, (one.dose for one in knees))
    return Front(
        today=today,
        now=now,
        plan=plan,
        knees=tuple(knees),
        due=due_today(plan, entries, today=today, policy=context.policy),
        last_written_at=None if last is None else last.written_at,
        open=open_now(context, plan, calls),
        recorded=tuple(
            side for side in knees_of(plan) if side in plan.sides or recorded(entries, side)
        ),
        spell=spell,
        calls=calls,
        journey=journey_of(entries, today),
    )


def recorded(entries: Entries, side: Side) -> bool:
    """Whether anything of a knee's days is written down."""
    kinds: tuple[type[AnyEntry], ...] = (DayPage, Session, TapeOn)
    return any(next(newest_first(entries, kind, side=side), None) for kind in kinds)


def expire_left_behind(context: Context) -> None:
    """End every walk of an earlier day that was never ended; see `walk_kinds.expire_all`.

    Most days begin without one, so what that needs is loaded only when a walk is under way.
    """
    if walks_kept(context):
        from companion.services.walk_kinds import expire_all

        expire_all(context)
