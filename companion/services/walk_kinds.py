"""Every kind of walk, by name; and what becomes of those that nobody ended."""

from collections.abc import Mapping
from typing import Any

from companion.care.records import Side
from companion.services.chair_stand import ChairWalk
from companion.services.context import Context
from companion.services.correcting import CorrectWalk
from companion.services.day_page import DayWalk
from companion.services.evening import EveningWalk
from companion.services.outing import OutingAfterWalk, OutingMorningWalk, OutingWalk
from companion.services.patch_test import PatchReadingWalk, PatchWalk
from companion.services.routine import RoutineWalk
from companion.services.signs import ClearWalk, StopWalk
from companion.services.tape import SkinWalk, TapeCheckWalk, TapeOffWalk, TapeOnWalk
from companion.services.walks import WalkKind, WalkName, expire, load

_KINDS: tuple[WalkKind[Any, Any], ...] = (
    RoutineWalk(),
    EveningWalk(),
    DayWalk(),
    TapeOnWalk(),
    TapeCheckWalk(),
    TapeOffWalk(),
    SkinWalk(),
    OutingWalk(),
    OutingAfterWalk(),
    OutingMorningWalk(),
    PatchWalk(),
    PatchReadingWalk(),
    ChairWalk(),
    StopWalk(),
    ClearWalk(),
    CorrectWalk(),
)
WALK_KINDS: Mapping[WalkName, WalkKind[Any, Any]] = {kind.name: kind for kind in _KINDS}


def expire_all(context: Context) -> None:
    """End every walk whose day is over: a routine is written as left, a day page and tape off with
    what was answered. One that nobody can take up again, see `load`, is forgotten."""
    if context.plan() is None:
        return
    today = context.clock.today()
    sides: tuple[Side, ...] = ("left", "right")
    unread: set[str] = set()
    for kind in WALK_KINDS.values():
        for side in sides:
            state = load(context, kind, side)
            if state is None:
                unread.add(f"{kind.name}:{side}")
            elif kind.is_past(state, today):
                expire(context, kind, state, "left_behind")
    for key in unread.intersection(context.journal.draft_keys()):
        context.journal.drop_draft(key)
