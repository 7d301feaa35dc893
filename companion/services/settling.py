"""Walks of an earlier day that were never ended."""

from datetime import timedelta

from companion.care.days import diary_day
from companion.care.records import Side
from companion.services.chair_stand import ChairConduct
from companion.services.context import Context
from companion.services.day_page import DayConduct
from companion.services.outing import OutingAfterConduct, OutingConduct, OutingMorningConduct
from companion.services.patch_test import PatchConduct, PatchReadingConduct
from companion.services.routine import RoutineConduct
from companion.services.signs import ClearConduct, StopConduct
from companion.services.tape import (
    SkinConduct,
    TapeCheckConduct,
    TapeOffConduct,
    TapeOnConduct,
)
from companion.services.walks import Conduct, load, settle


def settle_all(context: Context) -> None:
    """Settle every walk of an earlier day that was never ended: a routine is written as left, a
    day page and tape off with what was answered. A day page of yesterday may still be gone on
    with, whichever day it is for.
    """
    if context.plan() is None:
        return
    today = context.clock.today()
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
        ChairConduct(),
        StopConduct(),
        ClearConduct(),
    )
    for conduct in kinds:
        is_page = isinstance(conduct, DayConduct)
        oldest = today - timedelta(days=1) if is_page else today
        for side in sides:
            begun = load(context, conduct, side)
            if begun is None:
                continue
            day = diary_day(begun.last_at) if is_page else begun.for_day
            if not oldest <= day <= today:
                settle(context, conduct, begun, "left_behind")
