"""A day as it is typed, read the same wherever one is typed, at home and in the clinic."""

from __future__ import annotations

import re
from datetime import date, timedelta

from companion.presentation.language.phrases import phrase

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_AHEAD = re.compile(r"([0-9]{1,3}) ?([wd])")
_EARLIEST, _LATEST = 1900, 2200


def typed_day(text: str, today: date) -> date | None:
    """The day of `24 12 2026`, `24.12.26`, `24 Dec 2026` (day, month, year), `2026-12-24` or
    `today`, and of `6w` and `10d` for so many weeks and days from today. None when it is none."""
    typed = text.strip().casefold()
    if typed == phrase("today"):
        return today
    ahead = _AHEAD.fullmatch(typed)
    if ahead is not None:
        return today + timedelta(days=int(ahead[1]) * (7 if ahead[2] == "w" else 1))
    parts = re.findall(r"\d+|[^\W\d_]+", typed)
    if len(parts) != 3:
        return None
    if len(parts[0]) == 4:
        parts.reverse()
    if not (parts[0].isdecimal() and parts[2].isdecimal()):
        return None
    year = int(parts[2])
    return _day_of(parts[0], parts[1], year + 2000 if year < 100 else year)


def typed_day_before(text: str, today: date) -> date | None:
    """The same, and `24 12` or `24 Dec` for the last such day up to today."""
    parts = re.findall(r"\d+|[^\W\d_]+", text.casefold())
    if len(parts) != 2 or not parts[0].isdecimal() or parts[1] in ("w", "d"):
        return typed_day(text, today)
    # A leap day is up to eight years back.
    tried = (_day_of(parts[0], parts[1], year) for year in range(today.year, today.year - 9, -1))
    return next((found for found in tried if found is not None and found <= today), None)


def _day_of(day: str, month: str, year: int) -> date | None:
    number = int(month) if month.isdecimal() else _named(month)
    if number is None or not _EARLIEST <= year <= _LATEST:
        return None
    try:
        return date(year, number, int(day))
    except ValueError:
        return None


def _named(month: str) -> int | None:
    return next((n for n, name in enumerate(_MONTHS, 1) if month.startswith(name)), None)
