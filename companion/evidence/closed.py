"""What was closed for a knee, on how many days and by which rule."""

from collections.abc import Collection
from datetime import date

from companion.care.closed_days import ClosedSpan, DayState, closed_spans
from companion.care.levels import PARTS
from companion.care.policy import Policy
from companion.evidence.figures import Closed, ClosedReason, DaysOfPart
from companion.evidence.readings import Readings


def closed(record: Readings, policy: Policy, days: tuple[date, date] | None) -> Closed:
    """From the first to the last of `days`, both included; the reason of most days first."""
    if days is None:
        return Closed(days=0, of_days=0)
    first, last = days
    spans = closed_spans(policy, record.plans, record.entries, record.side, first, last)
    parts = [DaysOfPart(part=part, days=len(_days(spans, part=part))) for part in PARTS]
    keys = dict.fromkeys(_closer(one) for one in spans)
    by = []
    for key in keys:
        own = [one for one in spans if _closer(one) == key]
        sign, caution, state, rule = key
        by.append(
            ClosedReason(
                sign=sign,
                caution=caution,
                state=state,
                rule=rule,
                parts=tuple(dict.fromkeys(one.part for one in own)),
                days=len(_days(own)),
            )
        )
    return Closed(
        days=len(_days(spans)),
        of_days=(last - first).days + 1,
        parts=tuple(one for one in parts if one.days),
        by=tuple(
            sorted(
                by,
                key=lambda one: (-one.days, one.rule, one.sign or one.caution or one.state or ""),
            )
        ),
    )


def _closer(one: ClosedSpan) -> tuple[str | None, str | None, DayState | None, str]:
    return one.sign, one.caution, one.state, one.rule


def _days(spans: Collection[ClosedSpan], *, part: str | None = None) -> frozenset[date]:
    return frozenset(day for one in spans if part in (None, one.part) for day in one.days)
