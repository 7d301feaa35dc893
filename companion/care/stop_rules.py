"""When the short gate gives way to the full stop list."""

from collections.abc import Iterable
from datetime import date
from typing import Literal

from companion.care.history import instant
from companion.care.records import AnyEntry, GateAnswer, GateSaid, Plan, Session, WarningSign

FullListReason = Literal[
    "gate_answered_something", "first_use", "new_plan_version", "card", "away", "weekly"
]
DAYS_BETWEEN = 7


def full_list_due(
    plan: Plan,
    entries: Iterable[AnyEntry],
    today: date,
    gate: GateSaid | None = None,
) -> FullListReason | None:
    """Why the full stop list is shown today, or None when the short gate is enough.

    `gate` is today's answer, once given. Away means nothing was written down for seven days.
    A card counts whatever its level, and also when it was ticked by mistake. `entries` are those
    that count.
    """
    entries = tuple(entries)
    if gate == "something":
        return "gate_answered_something"
    last = last_full_list(entries)
    if last is None:
        return "first_use"
    if last.plan_version != plan.version:
        return "new_plan_version"
    if any(_card_since(entry, last) for entry in entries):
        return "card"
    if (today - max(entry.for_day for entry in entries)).days >= DAYS_BETWEEN:
        return "away"
    if (today - last.for_day).days >= DAYS_BETWEEN:
        return "weekly"
    return None


def last_full_list(entries: Iterable[AnyEntry]) -> Session | GateAnswer | None:
    """The newest gate, in a session or by itself, at which the full list was shown.

    A gate by itself says so when its list was answered; "something" alone may be its half.
    """
    shown = [
        entry
        for entry in entries
        if isinstance(entry, Session | GateAnswer)
        and (entry.full_list or (isinstance(entry, Session) and entry.gate == "something"))
    ]
    return max(shown, key=lambda entry: (entry.for_day, instant(entry.written_at)), default=None)


def _card_since(entry: AnyEntry, last: Session | GateAnswer) -> bool:
    """Whether a card was shown at the gate of the last full list, or after it."""
    if not isinstance(entry, WarningSign):
        return False
    if entry.happened_at is not None and last.happened_at is not None:
        return instant(entry.happened_at) >= instant(last.happened_at)
    return entry.for_day >= last.for_day
