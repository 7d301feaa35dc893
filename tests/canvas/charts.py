"""Small charts of a few named points."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta

from companion.presentation.view.chart import Chart, DaySpan
from companion.presentation.view.charts import pain_chart

START = date(2026, 10, 20)


def day(n: int) -> date:
    """The nth day, 0 the first."""
    return START + timedelta(days=n)


def span(first: int, last: int) -> DaySpan:
    """From one day to another, both inclusive."""
    return DaySpan(day(first), day(last))


def pain(
    average: Mapping[int, float] = {},
    *,
    worst: Mapping[int, float] = {},
    now: Mapping[int, float] = {},
    days: int = 14,
    title: str = "Pain by day",
    **more: object,
) -> Chart:
    """Pain by day: scores by the number of the day."""
    scores = [{day(n): score for n, score in of.items()} for of in (average, worst, now)]
    return pain_chart(
        title,
        span(0, days - 1),
        average=scores[0],
        worst=scores[1],
        now=scores[2],
        **more,  # type: ignore[arg-type]
    )
