"""Whether scoring needs to be gone through again: five sessions running that begin at 10."""

from collections.abc import Iterable, Iterator
from datetime import date
from itertools import groupby, islice, takewhile

from companion.care.finding import Entries, find, newest_first
from companion.care.records import Session

SESSIONS_RUNNING = 5


def ask_about_ten(entries: Entries) -> bool:
    """Whether to ask, now, if 10 means "the worst imaginable".

    True only while the newest scored session is the fifth of the first such run: so it is asked
    once, without a record of having asked. Scoring is the person's, so both knees count as one
    row of sessions; one session without a before score neither adds to a run nor breaks it.
    `entries` are those that count.
    """
    earlier = (before for _, before in _befores(newest_first(entries, Session)))
    running = sum(1 for _ in takewhile(_ten, islice(earlier, SESSIONS_RUNNING + 1)))
    if running != SESSIONS_RUNNING:
        return False
    return not any(
        ten and sum(1 for _ in run) >= SESSIONS_RUNNING for ten, run in groupby(earlier, key=_ten)
    )


def first_ten_run(entries: Entries) -> date | None:
    """The day of the fifth session of the first such run, to tell the clinic; else None."""
    running = 0
    for day, before in _befores(find(entries, Session)):
        running = running + 1 if _ten(before) else 0
        if running == SESSIONS_RUNNING:
            return day
    return None


def _befores(sessions: Iterable[Session]) -> Iterator[tuple[date, int]]:
    """The day and the before score of each session that has one."""
    for session in sessions:
        before = next((move.score for move in session.moves if move.role == "before"), None)
        if before is not None:
            yield session.for_day, before


def _ten(score: int) -> bool:
    return score == 10
