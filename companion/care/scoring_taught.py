"""Whether scoring needs to be gone through again: five sessions running that begin at 10."""

from collections.abc import Iterable, Iterator
from datetime import date

from companion.care.history import in_order
from companion.care.records import AnyEntry, Session

SESSIONS_RUNNING = 5


def ask_about_ten(entries: Iterable[AnyEntry]) -> bool:
    """Whether to ask, now, if 10 means "the worst imaginable".

    True only while the newest scored session is the fifth of the first such run: so it is asked
    once, without a record of having asked. Scoring is the person's, so both knees count as one
    row of sessions; one session without a before score neither adds to a run nor breaks it.
    `entries` are those that count.
    """
    runs = list(_runs(entries))
    first = next((run for run in runs if len(run) >= SESSIONS_RUNNING), None)
    return first is not None and first is runs[-1] and len(first) == SESSIONS_RUNNING


def first_ten_run(entries: Iterable[AnyEntry]) -> date | None:
    """The day of the fifth session of the first such run, to tell the clinic; else None."""
    for run in _runs(entries):
        if len(run) >= SESSIONS_RUNNING:
            return run[SESSIONS_RUNNING - 1]
    return None


def _runs(entries: Iterable[AnyEntry]) -> Iterator[list[date]]:
    """Days of sessions running that begin at 10, run by run; an empty run where one broke off."""
    run: list[date] = []
    for entry in in_order(entries):
        if not isinstance(entry, Session):
            continue
        before = next((move.score for move in entry.moves if move.role == "before"), None)
        if before is None:
            continue
        if before == 10:
            run.append(entry.for_day)
        else:
            yield run
            run = []
    yield run
