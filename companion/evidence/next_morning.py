"""How much was done on a day, and the pain of the next: what goes together, not what causes what.

Least squares of the next day's score on the day's amount, with the score of the day before it, the
weekend and the time since the first day held equal; t interval, 99 % where several amounts are
looked at. The day's own score is not held equal: it already holds what the amount did that day, and
an amount that hurts on its day alone would seem to ease the next. Other causes are possible,
always: the page that shows it says so.
"""

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from math import sqrt
from statistics import stdev

from companion.care.records import DayPage
from companion.evidence.figures import Lack, NextMorning

PAIRS_NEEDED = 56  # (fact: next_morning)
ONE_PERCENT, SEVERAL_PERCENT = 95, 99
"""The range's coverage where one amount is looked at, and where several are (C)."""
_DAY = timedelta(days=1)
_SATURDAY = 5
_SMALL = 1e-9


def amounts_by_day(pages: Iterable[DayPage]) -> dict[tuple[str, str], dict[date, float]]:
    """The amounts of each activity and unit by day; of two pages of a day the first counts."""
    found: dict[tuple[str, str], dict[date, float]] = {}
    for page in pages:
        for amount in page.amounts:
            by_day = found.setdefault((amount.label, amount.unit), {})
            by_day.setdefault(page.for_day, amount.amount)
    return found


def next_morning(
    label: str,
    unit: str,
    amounts: Mapping[date, float],
    scores: Mapping[date, int],
    *,
    of: int = 1,
) -> tuple[NextMorning, Lack | None]:
    """The figure of one activity of `of` that are looked at, and why it is not known where it is
    not."""
    days = sorted(day for day in amounts if day - _DAY in scores and day + _DAY in scores)
    spread = stdev(amounts[day] for day in days) if len(days) > 1 else 0.0
    percent = ONE_PERCENT if of == 1 else SEVERAL_PERCENT
    found = _fit(days, amounts, scores, spread, percent)
    points, low, high = (None, None, None) if isinstance(found, Lack) else found
    figure = NextMorning(
        label=label,
        unit=unit,
        pairs=len(days),
        range_percent=percent,
        spread=spread if points is not None else None,
        points=points,
        low=low,
        high=high,
    )
    return figure, found if isinstance(found, Lack) else None


def _fit(
    days: list[date],
    amounts: Mapping[date, float],
    scores: Mapping[date, int],
    spread: float,
    percent: int,
) -> tuple[float, float, float] | Lack:
    """Points of the next day for one spread of the amount, and the ends of their interval."""
    n = len(days)
    if n < PAIRS_NEEDED:
        return Lack("too_few_day_pairs", n, PAIRS_NEEDED)
    if spread < _SMALL:
        return Lack("amount_never_varies", 1, 2)
    if len({scores[day + _DAY] for day in days}) == 1:
        return Lack("scores_never_vary", 1, 2)
    import numpy as np

    from companion.evidence.student_t import quantile

    others = np.array(
        [
            [
                1.0,
                scores[day - _DAY],
                float((day + _DAY).weekday() >= _SATURDAY),
                (day - days[0]).days / 7,
            ]
            for day in days
        ]
    )
    amount = np.array([amounts[day] for day in days]) / spread
    after = np.array([float(scores[day + _DAY]) for day in days])
    # What the others say of the amount is taken out first: the slope on what is left is the
    # slope with the others held equal (Frisch and Waugh 1933).
    own = amount - others @ np.linalg.lstsq(others, amount, rcond=None)[0]
    weight = float(own @ own)
    if weight < _SMALL * n:
        return Lack("amount_not_separable", 0, 1)
    points = float(own @ after) / weight
    left = after - amount * points
    left = left - others @ np.linalg.lstsq(others, left, rcond=None)[0]
    degrees = n - int(np.linalg.matrix_rank(others)) - 1
    half = float(quantile(degrees, (1 + percent / 100) / 2)) * sqrt(
        float(left @ left) / degrees / weight
    )
    return points, points - half, points + half
