"""The front page's facts: what is due and why, what is open, what was written last."""

from dataclasses import dataclass
from datetime import date, datetime

from companion.care.catalogue import level_rank
from companion.care.due import Due, due_today, part_today
from companion.care.locks import locks, open_warnings
from companion.care.plan_faults import playable_exercises, playable_techniques
from companion.care.records import DayPage, Plan, Side, WarningSign
from companion.care.routine import routine_minutes
from companion.care.wear import WearClock, current_wear, skin_look_at, wear_clock
from companion.services.day_page import days_to_write
from companion.services.house import House, newest
from companion.services.routine import RoutineConduct, end_early
from companion.services.walks import load


@dataclass(frozen=True, slots=True, kw_only=True)
class KneeToday:
    """One knee today. `days` are today and yesterday where they have no page yet."""

    side: Side
    hands: str
    exercise: str
    minutes: int
    underway: bool
    wear: WearClock | None
    skin_look_at: datetime | None
    days: tuple[date, ...]


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


def front(house: House) -> Front:
    """Read what today needs: the newest entries and whatever is still open."""
    today, now = house.clock.today(), house.clock.now()
    plan = house.plan()
    if plan is None:
        return Front(
            today=today, now=now, plan=None, knees=(), due=(), locked=None, last_written_at=None
        )
    entries = house.lately()
    stop_list = house.catalogue.stop_list
    zone = now.tzinfo
    assert zone is not None  # the clock gives aware instants
    knees = []
    for side in plan.sides:
        wear = current_wear(entries, side)
        techniques = playable_techniques(plan, side, house.catalogue, entries, today)
        exercises = playable_exercises(plan, side, house.catalogue, entries, today)
        begun = load(house, RoutineConduct(), side)
        knees.append(
            KneeToday(
                side=side,
                hands=part_today(plan, side, entries, "hands", today, stop_list),
                exercise=part_today(plan, side, entries, "exercise", today, stop_list),
                minutes=routine_minutes(plan, techniques, exercises),
                underway=begun is not None and begun.for_day == today and bool(begun.answers),
                wear=None if wear is None else wear_clock(wear, plan.tape, now, zone),
                skin_look_at=skin_look_at(entries, side),
                days=days_to_write(entries, today, side),
            )
        )
    warnings = [
        warning
        for warning in open_warnings(entries, stop_list)
        if level_rank(warning.level) >= level_rank("call")
    ]
    locking = [w for side in plan.sides for w in locks(entries, side, stop_list).why]
    last = newest(entries)
    pages = [entry.for_day for entry in entries if isinstance(entry, DayPage)]
    return Front(
        today=today,
        now=now,
        plan=plan,
        knees=tuple(knees),
        due=due_today(
            plan,
            entries,
            today=today,
            now=now,
            zone=zone,
            stop_list=stop_list,
            first_day=min(pages, default=None),
        ),
        locked=next(iter(locking or warnings), None),
        last_written_at=None if last is None else last.written_at,
    )


def settle_left_behind(house: House) -> None:
    """Write down a routine of an earlier day that was never ended, as left, with what it held."""
    plan = house.plan()
    if plan is None:
        return
    today = house.clock.today()
    sides: tuple[Side, ...] = ("left", "right")
    for side in sides:
        begun = load(house, RoutineConduct(), side)
        if begun is not None and begun.for_day != today:
            end_early(house, side, "left", "left_behind")
