"""Two windows of a diary and the change between them, in exact fractions.

Scores are whole numbers, so means and percents are kept as fractions and compared exactly: a fall
from 6 to 4 is never missed by a rounding error. They become floats only in the findings.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from companion.evidence.figures import Band

WINDOW_DAYS = 14
"""Calendar days of one window (fact: window_days)."""
DAYS_NEEDED = 10
"""Recorded days each window needs before a change is given (fact: window_days_needed)."""
PERIOD_NEEDED = 2 * WINDOW_DAYS
"""Days the period needs so that the windows share none."""

PAIN_ERROR = Fraction(133, 100)  # (fact: pain_detectable_change)
ACCEPTABLE_PAIN = Fraction(323, 100)  # (fact: pain_acceptable)
SLIGHT_POINTS = 1  # (fact: pain_change_slight)
SLIGHT_PERCENT = 15  # (fact: pain_change_slight_percent)
CLEAR_POINTS = 2  # (fact: pain_change_clear)
CLEAR_PERCENT = 33  # (fact: pain_change_clear_percent)


@dataclass(frozen=True, slots=True)
class Sample:
    """The recorded days of a window and the sum of their scores."""

    days: int
    total: int

    @property
    def mean(self) -> Fraction | None:
        """The exact mean; None without a recorded day."""
        return Fraction(self.total, self.days) if self.days else None


@dataclass(frozen=True, slots=True)
class Windows:
    """The first and the last fourteen calendar days of a period."""

    first_day: date
    last_day: date

    @property
    def baseline(self) -> tuple[date, date]:
        """First and last day of the baseline window."""
        return self.first_day, self.first_day + timedelta(days=WINDOW_DAYS - 1)

    @property
    def latest(self) -> tuple[date, date]:
        """First and last day of the latest window."""
        return self.last_day - timedelta(days=WINDOW_DAYS - 1), self.last_day

    @property
    def period_days(self) -> int:
        """Days from the first to the last, both included."""
        return (self.last_day - self.first_day).days + 1

    @property
    def apart(self) -> bool:
        """True when the two windows share no day."""
        return self.period_days >= PERIOD_NEEDED


def within(values: Mapping[date, int], window: tuple[date, date]) -> dict[date, int]:
    """What `values` holds from the first to the last day of `window`, by day."""
    first, last = window
    days = (first + timedelta(days=step) for step in range((last - first).days + 1))
    return {day: values[day] for day in days if day in values}


def sample(values: Mapping[date, int], window: tuple[date, date]) -> Sample:
    """What `values` holds from the first to the last day of `window`, summed."""
    found = within(values, window)
    return Sample(days=len(found), total=sum(found.values()))


def enough(baseline: Sample, latest: Sample) -> bool:
    """True when both windows hold the recorded days a change needs."""
    return min(baseline.days, latest.days) >= DAYS_NEEDED


def change(baseline: Fraction | None, latest: Fraction | None) -> Fraction | None:
    """Latest minus baseline."""
    return None if baseline is None or latest is None else latest - baseline


def percent(of: Fraction, baseline: Fraction) -> Fraction | None:
    """A change as a percent of the baseline; None when the baseline is 0."""
    return 100 * of / baseline if baseline else None


def band(points: Fraction, percent_: Fraction | None) -> Band:
    """The band of a change of pain, edges included, mirrored for worse.

    Points and percent are alternatives, as in the paper, but first comes the error of one rating:
    within it a change is slight at most, or half a point of 1.5 would be a clear fall
    (fact: pain_band_joined). Without a percent the points decide.
    """
    share = Fraction(0) if percent_ is None else percent_
    beyond = abs(points) > PAIN_ERROR
    if beyond and (points <= -CLEAR_POINTS or share <= -CLEAR_PERCENT):
        return "clear_better"
    if points <= -SLIGHT_POINTS or share <= -SLIGHT_PERCENT:
        return "slight_better"
    if beyond and (points >= CLEAR_POINTS or share >= CLEAR_PERCENT):
        return "clear_worse"
    if points >= SLIGHT_POINTS or share >= SLIGHT_PERCENT:
        return "slight_worse"
    return "little"
