"""London's clock in 2026, written out: a bare machine may have no zone data.

Clocks go forward on 29 March and back on 25 October, both at 01:00 UTC (common knowledge; the
rule is the last Sunday of the month).
"""

from datetime import UTC, datetime, timedelta, tzinfo

FORWARD = datetime(2026, 3, 29, 1, tzinfo=UTC).replace(tzinfo=None)
BACK = datetime(2026, 10, 25, 1, tzinfo=UTC).replace(tzinfo=None)
HOUR = timedelta(hours=1)


class London(tzinfo):
    """Wall times of 2026 only."""

    def dst(self, dt: datetime | None) -> timedelta:
        assert dt is not None
        wall = dt.replace(tzinfo=None, fold=0)
        summer = FORWARD + HOUR <= wall < (BACK if dt.fold else BACK + HOUR)
        return HOUR if summer else timedelta(0)

    def utcoffset(self, dt: datetime | None) -> timedelta:
        return self.dst(dt)

    def tzname(self, dt: datetime | None) -> str:
        return "BST" if self.dst(dt) else "GMT"

    def fromutc(self, dt: datetime) -> datetime:
        utc = dt.replace(tzinfo=None, fold=0)
        if FORWARD <= utc < BACK:
            return (utc + HOUR).replace(tzinfo=self)
        return utc.replace(tzinfo=self, fold=1 if BACK <= utc < BACK + HOUR else 0)


LONDON = London()
