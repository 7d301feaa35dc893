"""The front page's facts: what is due and why, what is open, what was written last."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from companion.care.days import diary_day
from companion.care.due import Due, due_today, part_today
from companion.care.plan_faults import playable_exercises, playable_techniques
from companion.care.records import DayPage, Plan, Side, WarningSign
from companion.care.routine import routine_minutes
from companion.care.wear import WearClock, current_wear, skin_look_at, wear_clock
from companion.services.day_page import DayConduct, days_to_write
from companion.services.house import House, newest
from companion.services.outing import OutingAfterConduct, OutingConduct, OutingMorningConduct
from companion.services.patch_test import PatchConduct, PatchReadingConduct
from companion.services.routine import RoutineConduct
from companion.services.signs import ClearConduct, StopConduct, most_pressing
from companion.services.tape import (
    SkinConduct,
    TapeCheckConduct,
    TapeOffConduct,
    TapeOnConduct,
    skin_to_look_at,
)
from companion.services.walks import Conduct, load, settle


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
        hands = part_today(plan, side, entries, "hands", today, stop_list)
        look = skin_look_at(entries, side) if skin_to_look_at(house, side) is not None else None
        knees.append(
            KneeToday(
                side=side,
                hands=hands,
                exercise=part_today(plan, side, entries, "exercise", today, stop_list),
                minutes=routine_minutes(
                    plan, techniques if hands in ("due", "week_done") else (), exercises
                ),
                underway=begun is not None and begun.for_day == today and bool(begun.answers),
                wear=None if wear is None else wear_clock(wear, plan.tape, now, zone),
                skin_look_at=None if look is None else look.astimezone(zone),
                days=days_to_write(entries, today, side),
            )
        )
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
        locked=most_pressing(entries, stop_list),
        last_written_at=None if last is None else last.written_at,
    )


def settle_left_behind(house: House) -> None:
    """Settle every walk of an earlier day that was never ended: a routine is written as left, a
    day page and tape off with what was answered. A day page of yesterday may still be gone on
    with, whichever day it is for.
    """
    if house.plan() is None:
        return
    today = house.clock.today()
    sides: tuple[Side, ...] = ("left", "right")
    kinds: tuple[Conduct, ...] = (
        RoutineConduct(),
        DayConduct(),
        TapeOnConduct(),
        TapeCheckConduct(),
        TapeOffConduct(),
        SkinConduct(),
        OutingConduct(),
        OutingAfterConduct(),
        OutingMorningConduct(),
        PatchConduct(),
        PatchReadingConduct(),
        StopConduct(),
        ClearConduct(),
    )
    for conduct in kinds:
        is_page = isinstance(conduct, DayConduct)
        oldest = today - timedelta(days=1) if is_page else today
        for side in sides:
            begun = load(house, conduct, side)
            if begun is None:
                continue
            day = diary_day(begun.last_at) if is_page else begun.for_day
            if not oldest <= day <= today:
                settle(house, conduct, begun, "left_behind")
