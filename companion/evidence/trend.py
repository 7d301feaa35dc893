"""Is pain going up or down: Theil-Sen on weekly means, with the exact Kendall interval.

Sen 1968 on the means of weeks with at least four recorded days, each at its real week number.
Daily whole numbers are never used: a true fall of one point gives slope 0 in most diaries.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import median

from companion.care.days import week_of
from companion.evidence.figures import Trend, TrendVerdict
from companion.evidence.kendall import attained, inversions_left_out

DAYS_OF_A_USABLE_WEEK = 4  # (fact: day_mean)
WEEKS_NEEDED = 5  # (fact: trend_interval)


@dataclass(frozen=True, slots=True)
class Slope:
    """The median of all slopes between two points, and its exact interval.

    `low`, `high` and `attained` (0 to 1) are None below five points: no interval exists.
    """

    value: float
    low: float | None
    high: float | None
    attained: float | None


def weekly_means(scores: Mapping[date, int], first_day: date) -> dict[int, float]:
    """The mean of each usable week by its number, from 0 and counted from `first_day`."""
    weeks: dict[int, list[int]] = {}
    for day in sorted(scores):
        weeks.setdefault(week_of(day, first_day), []).append(scores[day])
    return {
        week: sum(found) / len(found)
        for week, found in weeks.items()
        if len(found) >= DAYS_OF_A_USABLE_WEEK
    }


def slopes(points: Mapping[int, float] | Mapping[float, float]) -> list[float]:
    """The slopes between all pairs of points, sorted. `points`: height by place, no place twice."""
    at = sorted(points.items())
    return sorted(
        (later - earlier) / (right - left)
        for step, (left, earlier) in enumerate(at)
        for right, later in at[step + 1 :]
    )


def sen(found: Sequence[float], points: int) -> Slope:
    """The median of the sorted slopes between `points` points, with its interval."""
    left_out = inversions_left_out(points)
    if left_out is None:
        return Slope(value=median(found), low=None, high=None, attained=None)
    return Slope(
        value=median(found),
        low=found[left_out],
        high=found[-1 - left_out],
        attained=attained(points, left_out),
    )


def trend(scores: Mapping[date, int], first_day: date | None) -> Trend:
    """The trend in points a week; `too_short` below five usable weeks."""
    weeks = {} if first_day is None else weekly_means(scores, first_day)
    if len(weeks) < WEEKS_NEEDED:
        return Trend(weeks=len(weeks), verdict="too_short")
    found = sen(slopes(weeks), len(weeks))
    return Trend(
        slope_per_week=found.value,
        low=found.low,
        high=found.high,
        weeks=len(weeks),
        verdict=_verdict(found.low, found.high),
        attained_percent=None if found.attained is None else 100 * found.attained,
    )


def _verdict(low: float | None, high: float | None) -> TrendVerdict:
    if high is not None and high < 0:
        return "falling"
    return "rising" if low is not None and low > 0 else "unclear"
