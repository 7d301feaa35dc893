"""When the gate shows every sign, and when it asks how the knee took the routine before."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from heapq import merge
from typing import Literal

from companion.care.finding import Entries, find, last_day, newest_first
from companion.care.history import instant, seniority
from companion.care.records import GateAnswer, Plan, Session, Side, WarningSign

FullListReason = Literal["first_use", "new_plan_version", "card", "away", "weekly"]
DAYS_BETWEEN = 7


def full_list_due(plan: Plan, entries: Entries, today: date) -> FullListReason | None:
    """Why every sign is shown today, or None when the four questions are enough.

    Away means nothing was written down for seven days. A card counts whatever its level, and also
    when it was ticked by mistake. `entries` are those that count.
    """
    last = last_full_list(entries)
    if last is None:
        return "first_use"
    if last.plan_version != plan.version:
        return "new_plan_version"
    if any(_card_since(sign, last) for sign in find(entries, WarningSign)):
        return "card"
    if (today - (last_day(entries) or today)).days >= DAYS_BETWEEN:
        return "away"
    if (today - last.for_day).days >= DAYS_BETWEEN:
        return "weekly"
    return None


def last_full_list(entries: Entries) -> Session | GateAnswer | None:
    """The newest gate, in a session or by itself, at which the full list was shown.

    A gate by itself says so when its list was answered; "something" alone may be its half. In a
    session from before the questions were answered one by one it opened the whole list.
    """
    sessions: Iterator[Session | GateAnswer] = newest_first(entries, Session)
    gates = merge(sessions, newest_first(entries, GateAnswer), key=_age, reverse=True)
    return next((one for one in gates if _with_list(one)), None)


def _age(gate: Session | GateAnswer) -> tuple[date, datetime, str]:
    return gate.for_day, *seniority(gate)


def _with_list(gate: Session | GateAnswer) -> bool:
    whole = isinstance(gate, Session) and gate.gate == "something" and not gate.gate_replies
    return gate.full_list or whole


def _card_since(sign: WarningSign, last: Session | GateAnswer) -> bool:
    """Whether a card was shown at the gate of the last full list, or after it."""
    if sign.happened_at is not None and last.happened_at is not None:
        return instant(sign.happened_at) >= instant(last.happened_at)
    return sign.for_day >= last.for_day


def after_last_due(entries: Entries, side: Side, today: date) -> date | None:
    """The day of the last routine, where the gate asks how this knee took it: one of an earlier day
    with a step begun, and not asked about since."""
    last = next(
        (
            one
            for one in newest_first(entries, Session, side=side)
            if one.for_day < today
            and any(
                step.outcome != "skipped"
                for steps in (*(done.steps for done in one.rounds), one.exercises)
                for step in steps
            )
        ),
        None,
    )
    if last is None:
        return None
    since = last.for_day + timedelta(days=1)
    asked: list[Session | GateAnswer] = [
        *find(entries, Session, side=side, first_day=since),
        *find(entries, GateAnswer, side=side, first_day=since),
    ]
    return last.for_day if all(one.after_last is None for one in asked) else None
