"""Every sentence a person reads passes through `phrase`: one place for plurals and, later, tongues.

Call sites hold literals, never f-strings, so that a translation can be looked up by its literal.
"""

from collections.abc import Callable
from datetime import date, datetime

LANGUAGE = "en"
"""The language of what `phrase` is given, as a reader of pages is told."""
_translate: Callable[[str], str] = str


def phrase(text: str, many: str | None = None, /, **values: object) -> str:
    """`text`, or `many` when the value `n` is not 1, filled with `values`."""
    chosen = text if many is None or values["n"] == 1 else many
    return _translate(chosen).format(**values)


_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def weekday(day: date) -> str:
    """The weekday in words."""
    return phrase(_WEEKDAYS[day.weekday()])


def short_day(day: date) -> str:
    """A day for a chart or table: `2 Nov`."""
    return f"{day.day} {phrase(_MONTHS[day.month - 1][:3])}"


def long_day(day: date) -> str:
    """A day in words: `Monday 2 November`."""
    return f"{weekday(day)} {day.day} {phrase(_MONTHS[day.month - 1])}"


def dated(day: date) -> str:
    """A day with its year: `2 November 2026`."""
    return f"{day.day} {phrase(_MONTHS[day.month - 1])} {day.year}"


def month_year(day: date) -> str:
    """The month of a day: `November 2026`."""
    return f"{phrase(_MONTHS[day.month - 1])} {day.year}"


def clock_time(at: datetime) -> str:
    """A time of day: `19:42`."""
    return at.strftime("%H:%M")
