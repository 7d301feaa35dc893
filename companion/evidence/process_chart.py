"""The numbers of a process chart (XmR): a picture of usual variation, never an alarm.

As an alarm it cries wolf one to three times a quarter. The factors are those of moving ranges of
two: 3/1.128, and the range's own. Ranges are taken only between consecutive days.
"""

from collections.abc import Mapping
from datetime import date, timedelta

from companion.evidence.figures import ProcessChart

DAYS_NEEDED = 14  # (fact: process_chart_days)
RANGE_FACTOR = 2.66  # (fact: process_chart)
UPPER_RANGE_FACTOR = 3.268  # (fact: process_chart)
_SCALE = (0.0, 10.0)
_DAY = timedelta(days=1)


def moving_range(values: Mapping[date, float] | Mapping[date, int]) -> float | None:
    """The mean step from a day to the next; None where no two days are consecutive."""
    steps = [
        abs(values[day + _DAY] - value) for day, value in values.items() if day + _DAY in values
    ]
    return sum(steps) / len(steps) if steps else None


def process_chart(scores: Mapping[date, int]) -> ProcessChart:
    """Centre and limits of the recorded days; nothing known below fourteen days or without two
    consecutive ones."""
    days = len(scores)
    steps = moving_range(scores)
    if days < DAYS_NEEDED or steps is None:
        return ProcessChart(days=days)
    centre = sum(scores.values()) / days
    bottom, top = _SCALE
    return ProcessChart(
        days=days,
        centre=centre,
        low=max(centre - RANGE_FACTOR * steps, bottom),
        high=min(centre + RANGE_FACTOR * steps, top),
        moving_range=steps,
        range_high=min(UPPER_RANGE_FACTOR * steps, top),
    )
