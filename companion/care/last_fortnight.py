"""Whether the two weeks before the start were worse than usual, asked once for each knee.

Who comes when it is bad gets better by itself as well: beside a fall of pain the clinic reads what
was said of it (fact: bad_spell_entry). The clinic asks in the first session; else Home does on
the knee's first day page.
"""

from datetime import date

from companion.care.finding import Entries, find, oldest_first
from companion.care.records import DayPage, LastFortnight, Session, Side

_HELD = ("last_fortnight",)


def last_fortnight(entries: Entries, side: Side, last_day: date) -> LastFortnight | None:
    """What was said of it first, up to `last_day`; None where nothing was."""
    sessions = find(entries, Session, side=side, last_day=last_day, words=_HELD)
    pages = find(entries, DayPage, side=side, last_day=last_day, words=_HELD)
    # The sessions first: of one day, what the clinic wrote counts.
    both: tuple[Session | DayPage, ...] = (*sessions, *pages)
    said = [entry for entry in both if entry.last_fortnight is not None]
    return min(said, key=lambda entry: entry.for_day).last_fortnight if said else None


def is_fortnight_asked(entries: Entries, side: Side, day: date) -> bool:
    """Whether the page of `day` asks: no page of this knee lies before, and no session said it."""
    first = next(oldest_first(entries, DayPage, side=side), None)
    if first is not None and first.for_day < day:
        return False
    sessions = find(entries, Session, side=side, last_day=day, words=_HELD)
    return all(session.last_fortnight is None for session in sessions)
