"""The diary day: it ends at 03:00 local time, so an evening past midnight stays one evening."""

from datetime import date, datetime, time, timedelta

DAY_ENDS_AT = time(3, 0)
EVENING = time(21, 0)
"""When tape comes off at the latest on the evening of its last day (facts: wear_end_of_day,
trial_taped_day)."""
CLOCK_MAY_LAG = timedelta(minutes=10)
"""A machine's clock is put right by a few minutes now and then; that is no fault."""


def diary_day(at: datetime) -> date:
    """The diary day of an aware instant, by the wall clock of the instant's own offset."""
    if at.utcoffset() is None:
        raise ValueError("a diary day needs a time with its offset from UTC")
    day = at.date()
    return day - timedelta(days=1) if at.time() < DAY_ENDS_AT else day


def is_late(for_day: date, written_at: datetime) -> bool:
    """True when written at or after 03:00 two days after `for_day`."""
    wall = written_at.replace(tzinfo=None)
    return wall >= datetime.combine(for_day + timedelta(days=2), DAY_ENDS_AT)


def week_of(day: date, first_day: date) -> int:
    """The week of a day, from 0, a week being seven days counted from `first_day`."""
    return (day - first_day).days // 7
