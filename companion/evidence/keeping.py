"""How the diary was kept, and how much of what was prescribed was done."""

from collections.abc import Iterable, Sequence
from datetime import date
from fractions import Fraction
from itertools import pairwise

from companion.care.adherence import RoutinePart, counted_days, days_a_week, days_done
from companion.care.finding import find
from companion.care.policy import Policy
from companion.care.records import AnyEntry, Plan, Session, Side
from companion.evidence.figures import Adherence, Keeping, Period
from companion.evidence.readings import Readings, holds_pain, is_late_page


def period(readings: Readings) -> Period:
    """First to last day page of the knee, both included; nothing known without a page."""
    first, last = readings.first_day, readings.last_day
    days = 0 if first is None or last is None else (last - first).days + 1
    return Period(first_day=first, last_day=last, days=days)


def longest_gap(kept: Iterable[date], of: Period) -> int | None:
    """The longest run of days of the period without a kept day; None without a period."""
    if of.first_day is None or of.last_day is None:
        return None
    ordinals = [of.first_day.toordinal() - 1, *sorted(day.toordinal() for day in kept)]
    ordinals.append(of.last_day.toordinal() + 1)
    return max(later - earlier - 1 for earlier, later in pairwise(ordinals))


def keeping(readings: Readings, of: Period) -> Keeping:
    """Days with any pain value, of all days of the period; late pages are counted in."""
    kept = [day for day, page in readings.pages.items() if holds_pain(page)]
    return Keeping(
        days_kept=len(kept),
        days_expected=of.days,
        kept_percent=float(Fraction(100 * len(kept), of.days)) if of.days else None,
        late_entries=sum(is_late_page(page) for page in readings.pages.values()),
        longest_gap_days=longest_gap(kept, of),
    )


def adherence(
    entries: Sequence[AnyEntry],
    side: Side,
    plans: Sequence[Plan],
    days: tuple[date, date] | None,
    part: RoutinePart,
    policy: Policy,
) -> Adherence:
    """Days done of days prescribed, at home, from the first to the last of `days`, both included.

    `entries` are those that count; `days` are those of `care.adherence.days_under_plan`, or any
    others. Days are counted once. `stopped` and `left` count home sessions by how they ended: for
    the routine all of them, for the exercise those in which an exercise was begun.
    """
    if days is None:
        versions = [plan for plan in plans if side in plan.sides]
        return Adherence(
            sessions_done=0,
            sessions_prescribed=None if any(days_a_week(p, part) for p in versions) else 0,
        )
    first, last = days
    counted = counted_days(entries, side, plans, first, last, part, policy=policy)
    prescribed = counted.prescribed
    at_home = [e for e in entries if not (isinstance(e, Session) and e.place == "clinic")]
    done = days_done(at_home, side, part, first_day=first, last_day=last)
    ended = [
        session.ended
        for session in find(at_home, Session, side=side)
        if first <= session.for_day <= last and (part == "hands" or session.exercises)
    ]
    return Adherence(
        sessions_done=len(done),
        sessions_prescribed=prescribed,
        done_percent=float(Fraction(100 * len(done), prescribed)) if prescribed else None,
        stopped=ended.count("stopped"),
        left=ended.count("left"),
        first_day=first,
        last_day=last,
        days_counted=len(counted.open_days),
        done_on_days_left_out=len(done.difference(counted.open_days)),
        days_without_plan=len(counted.no_plan),
        days_locked=len(counted.locked),
        days_resting=len(counted.resting),
        days_taped=len(counted.taped),
        days_in_trial=len(counted.in_trial),
    )
