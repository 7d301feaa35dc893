"""Recorded flares: rises above the person's own median, on calendar days.

Usual = median of the 28 calendar days before; two or more above it on two or more days running;
over after five usual days; its first and last day are the first and last raised day. The
marks are those of a published definition, but that asks the person what pain is usual; the median
stands in for it here (fact: flare_usual), so these are not the paper's flares. What else the
definition leaves open is settled here:

- The usual of a flare is that of the 28 days before its first day, and stays so while it lasts:
  a flare must not raise its own usual.
- Fewer than seven recorded days among the 28 give no usual (a week of them holds every weekday).
- An unrecorded day is neither raised nor usual: it breaks two raised days running, and is passed
  over among the five usual ones.
- A gap stretches no flare: where five days or more without a raised one, recorded or not, lie
  before the next raised day, that day belongs to another.

In people whose days spread by 1.2 and to whom nothing happens, one or two a quarter come by chance
(fact: flares_by_chance).
"""

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from statistics import median

from companion.evidence.figures import Flare

REFERENCE_DAYS = 28
"""Calendar days before, from which the usual is taken (fact: flare_usual)."""
REFERENCE_NEEDED = 7
"""Recorded days among them that a usual needs (fact: flare_usual_needed)."""
RAISED_POINTS = 2  # (fact: flare_points)
RAISED_DAYS_RUNNING = 2  # (fact: flare_days)
USUAL_DAYS_TO_CLOSE = 5  # (fact: flare_over)

_DAY = timedelta(days=1)


def usual_before(days: Sequence[date], scores: Sequence[int], day: date) -> float | None:
    """The usual score at `day`, the median of the 28 calendar days before; None when too few of
    them are recorded. `scores` are those of `days`, which are in order."""
    first, end = bisect_left(days, day - REFERENCE_DAYS * _DAY), bisect_left(days, day)
    return float(median(scores[first:end])) if end - first >= REFERENCE_NEEDED else None


def most_earlier_days(values: Mapping[date, int]) -> int:
    """The most recorded days that any recorded day has among the 28 before it."""
    days = sorted(values)
    return max(
        (
            at - bisect_left(days, day - timedelta(days=REFERENCE_DAYS))
            for at, day in enumerate(days)
        ),
        default=0,
    )


def recorded_flares(values: Mapping[date, int]) -> tuple[Flare, ...]:
    """All recorded flares of a diary, oldest first. `values`: score 0-10 by day."""
    days = sorted(values)
    scores = [values[day] for day in days]
    found: list[Flare] = []
    at = 0
    while at < len(days):
        flare, next_day = _flare_from(values, days, scores, at)
        if flare is not None:
            found.append(flare)
        at = max(at + 1, bisect_left(days, next_day))
    return tuple(found)


def _flare_from(
    values: Mapping[date, int], days: Sequence[date], scores: Sequence[int], at: int
) -> tuple[Flare | None, date]:
    """The flare that begins on `days[at]`, if one does, and the day to look on from."""
    first = days[at]
    running = days[at : at + RAISED_DAYS_RUNNING]
    if running[-1] != first + timedelta(days=RAISED_DAYS_RUNNING - 1):
        return None, first + _DAY
    usual = usual_before(days, scores, first)
    raised = scores[at : at + RAISED_DAYS_RUNNING]
    if usual is None or min(raised) < usual + RAISED_POINTS:
        return None, first + _DAY
    last = first + timedelta(days=RAISED_DAYS_RUNNING - 1)
    day = last + _DAY
    quiet = 0
    while day <= days[-1] and quiet < USUAL_DAYS_TO_CLOSE:
        score = values.get(day)
        if score is not None and score < usual + RAISED_POINTS:
            quiet += 1
        elif score is not None:
            if (day - last).days > USUAL_DAYS_TO_CLOSE:
                break
            last, quiet = day, 0
        day += _DAY
    length = (last - first).days + 1
    flare = Flare(
        first_day=first,
        last_day=last,
        days=length,
        peak=max(
            values[raised]
            for raised in (first + timedelta(days=step) for step in range(length))
            if raised in values
        ),
        usual=usual,
        over=quiet >= USUAL_DAYS_TO_CLOSE,
    )
    return flare, day
