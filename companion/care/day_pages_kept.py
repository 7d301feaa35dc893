"""Which day pages are kept."""

from datetime import date, timedelta
from itertools import islice

from companion.care.finding import Entries, find, newest_first, oldest_first
from companion.care.records import DayPage, Side


def page_of(entries: Entries, day: date, side: Side) -> DayPage | None:
    """The page of a day and knee that counts, if there is one."""
    return next(iter(find(entries, DayPage, side=side, first_day=day, last_day=day)), None)


def days_to_write(entries: Entries, today: date, side: Side) -> tuple[date, ...]:
    """Today and yesterday, those without a page."""
    return tuple(
        day for day in (today, today - timedelta(days=1)) if page_of(entries, day, side) is None
    )


PAGES_TO_KNOW = 5
"""Whoever wrote so many pages knows their questions (our choice, no source)."""


def knows_pages(entries: Entries, side: Side) -> bool:
    """Whether pages of a knee were written often enough for several questions on one."""
    return sum(1 for _ in islice(newest_first(entries, DayPage, side=side), PAGES_TO_KNOW)) == (
        PAGES_TO_KNOW
    )


def first_page_day(entries: Entries) -> date | None:
    """The day of the first page of the diary."""
    return next((page.for_day for page in oldest_first(entries, DayPage)), None)


def last_full_day(entries: Entries, side: Side | None = None) -> date | None:
    """The day of the last full page, of one knee or of either."""
    pages = newest_first(entries, DayPage, side=side, words=["full"])
    return next((page.for_day for page in pages if page.form == "full"), None)
