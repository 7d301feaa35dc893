"""Which day pages are kept."""

from collections.abc import Sequence
from datetime import date, timedelta

from companion.care.records import AnyEntry, DayPage, Side


def page_of(entries: Sequence[AnyEntry], day: date, side: Side) -> DayPage | None:
    """The page of a day and knee that counts, if there is one."""
    return next(
        (
            entry
            for entry in entries
            if isinstance(entry, DayPage) and entry.for_day == day and entry.side == side
        ),
        None,
    )


def days_to_write(entries: Sequence[AnyEntry], today: date, side: Side) -> tuple[date, ...]:
    """Today and yesterday, those without a page."""
    return tuple(
        day for day in (today, today - timedelta(days=1)) if page_of(entries, day, side) is None
    )
