"""Days a person types: the first and the last day of what is shown of the record. No Qt."""

from __future__ import annotations

from datetime import date

from companion.presentation.language.phrases import phrase
from companion.presentation.language.typed_days import typed_day_before
from companion.presentation.view.chart import DaySpan


def picked_days(
    first: str, last: str, *, began: date, today: date
) -> tuple[DaySpan | None, str, str]:
    """The days typed, or the sentence for the first field and the one for the last.

    Empty means from `began`, the record's first day, or until `today`.
    """
    first_day = typed_day_before(first, today) if first.strip() else began
    last_day = typed_day_before(last, today) if last.strip() else today
    no_day = phrase("That is no day. Write day, month and year, such as 2.11.2026.")
    if first_day is None or last_day is None:
        return None, no_day if first_day is None else "", no_day if last_day is None else ""
    if first_day > today:
        return None, phrase("That day is still to come. Write an earlier one."), ""
    last_day = min(last_day, today)
    if last_day < first_day:
        return None, "", phrase("The last day is before the first. Write a later one.")
    return DaySpan(max(first_day, min(began, last_day)), last_day), "", ""
