"""Diaries for the tests of findings: a plan, and scores written as rows of text."""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from itertools import chain
from typing import Any

from companion.care.records import ActivityScore, AnyEntry, DayPage, Diary, Plan
from tests.care.made import DAY, page, plan


def scores(text: str) -> list[int | None]:
    """Scores by day from a row of text: `-` is a day without a page, `/` only parts weeks."""
    return [None if word == "-" else int(word) for word in text.replace("/", " ").split()]


def by_day(values: Iterable[int | None], first: date = DAY) -> dict[date, int]:
    """Scores by day from `first` on, gaps left out."""
    return {
        first + timedelta(days=step): score
        for step, score in enumerate(values)
        if score is not None
    }


def pages(values: str | Sequence[int | None], first: int = 0, **fields: Any) -> list[DayPage]:
    """A page for each score of average pain, the first on day `first`."""
    row = scores(values) if isinstance(values, str) else values
    return [
        page(first + step, pain_average=score, **fields)
        for step, score in enumerate(row)
        if score is not None
    ]


def answers(**by_label: int) -> tuple[ActivityScore, ...]:
    return tuple(ActivityScore(label=label, score=score) for label, score in by_label.items())


def diary(*entries: AnyEntry | Iterable[AnyEntry], plans: Sequence[Plan] = ()) -> Diary:
    """A diary of one plan for the right knee unless `plans` says otherwise."""
    flat = chain.from_iterable([e] if isinstance(e, AnyEntry) else e for e in entries)
    return Diary(plans=tuple(plans) or (plan(),), entries=tuple(flat))
