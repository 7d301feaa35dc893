"""Days a person types: the first and the last day of what is shown of the record. No Qt."""

from __future__ import annotations

import re
from datetime import date

from companion.presentation.language.phrases import phrase
from companion.presentation.view.chart import DaySpan

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def typed_day(text: str, today: date) -> date | None:
    """The day of `2 11 2026`, `2.11.26`, `2 Nov` or `2026-11-02`; None when it is no day.

    Day, month, year; without a year the last such day up to `today` is meant.
    """
    parts = re.findall(r"\d+|[^\W\d_]+", text.casefold())
    if len(parts) == 3 and len(parts[0]) == 4:
        parts.reverse()
    if len(parts) not in (2, 3) or not parts[0].isdigit():
        return None
    month = _month(parts[1])
    if month is None or not all(part.isdigit() for part in parts[2:]):
        return None
    day = int(parts[0])
    if len(parts) == 3:
        year = int(parts[2])
        return _day(year + 2000 if year < 100 else year, month, day)
    # A leap day is up to eight years back.
    tried = (_day(year, month, day) for year in range(today.year, today.year - 9, -1))
    return next((found for found in tried if found is not None and found <= today), None)


def _month(text: str) -> int | None:
    if text.isdigit():
        return int(text)
    return next((n for n, name in enumerate(_MONTHS, 1) if text.startswith(name)), None)


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


def picked_days(
    first: str, last: str, *, began: date, today: date
) -> tuple[DaySpan | None, str, str]:
    """The days typed, or the sentence for the first field and the one for the last.

    Empty means from `began`, the record's first day, or until `today`.
    """
    first_day = typed_day(first, today) if first.strip() else began
    last_day = typed_day(last, today) if last.strip() else today
    no_day = phrase("That is no day. Write day, month and year, such as 2.11.2026.")
    if first_day is None or last_day is None:
        return None, no_day if first_day is None else "", no_day if last_day is None else ""
    if first_day > today:
        return None, phrase("That day is still to come. Write an earlier one."), ""
    last_day = min(last_day, today)
    if last_day < first_day:
        return None, "", phrase("The last day is before the first. Write a later one.")
    return DaySpan(max(first_day, min(began, last_day)), last_day), "", ""
