"""What is open in a diary now: `care.open_things` with the walks under way.

This is on the way to the first paint: most days begin without a walk under way, so what tells
whether one may be gone on with is loaded only where there is one.
"""

from collections.abc import Iterator, Sequence
from typing import cast

from companion.care.open_things import OpenThing, OpenWalk, UnderWay, open_things
from companion.care.records import Plan, Side
from companion.care.state_calls import StateCall
from companion.services.bad_spell import calls_of
from companion.services.context import (
    CLOCK,
    PAPER_WEEKS,
    PLAN_WAITS,
    PRIVATE_NOTES,
    QUESTION,
    Context,
)

_ANSWERED_ELSEWHERE = ("stop", "clear", "correct")
"""Walks that are begun anew, or gone on with where they were begun."""


def open_now(
    context: Context, plan: Plan, calls: Sequence[StateCall] | None = None
) -> tuple[OpenThing, ...]:
    """Everything that is open now; `calls` where they are known already."""
    now = context.clock.now()
    assert now.tzinfo is not None  # the clock gives aware instants
    return open_things(
        plan,
        context.entries,
        today=context.clock.today(),
        now=now,
        zone=now.tzinfo,
        policy=context.policy,
        under_way=tuple(_under_way(context)),
        plan_waits=_plan_waits(context, plan),
        calls=calls_of(context, plan) if calls is None else calls,
    )


def _plan_waits(context: Context, plan: Plan) -> bool:
    """Whether a plan came that is newer than the one in force, and nobody said yes or no to it."""
    if PLAN_WAITS not in context.journal.draft_keys():
        return False
    draft = context.journal.draft(PLAN_WAITS)
    return draft is not None and (plan.practice or int(str(draft["version"])) > plan.version)


def walks_kept(context: Context) -> tuple[str, ...]:
    """The keys of the walks that are kept under way."""
    keys = context.journal.draft_keys()
    others = (CLOCK, PAPER_WEEKS, PLAN_WAITS, QUESTION)
    return tuple(key for key in keys if key not in others and not key.startswith(PRIVATE_NOTES))


def _under_way(context: Context) -> Iterator[UnderWay]:
    """The walks that were begun and may be gone on with."""
    keys = [key for key in walks_kept(context) if key.split(":")[0] not in _ANSWERED_ELSEWHERE]
    if not keys:
        return
    from companion.services.walk_kinds import WALK_KINDS
    from companion.services.walks import WalkName, load

    today = context.clock.today()
    for key in keys:
        name, _, side = key.partition(":")
        try:
            kind = WALK_KINDS[cast(WalkName, name)]
            state = load(context, kind, cast(Side, side))
            if state is None or not state.answers or kind.is_past(state, today):
                continue
            if kind.expiry(context, state) is None:
                yield UnderWay(cast(OpenWalk, name), state.side, state.for_day)
        except LookupError:
            # What it was about is gone, and its room begins it anew; or another version kept it.
            continue
