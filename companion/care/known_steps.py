"""Which steps of a routine somebody knows, told by the diary alone: nothing of it is stored.

Whoever knows steps is shown several of them on one page, with one clock. A step that was stopped is
shown the long way again, and so is each after a new plan or when its sheet has changed.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from datetime import date

from companion.care.catalogue import Catalogue
from companion.care.finding import Entries, newest_first
from companion.care.records import Plan, Session, Side, StepDone

DONE_OFTEN = 5
"""In so many routines since it was last stopped, and it is known (our choice, no source)."""
WITHIN_DAYS = 28
"""Before the last routine: what was done longer ago may be forgotten (our choice, no source)."""
MOST_TOGETHER = 4
"""Steps on one page: more small pictures are too small to be read (our choice, no source)."""


def known_steps(plan: Plan, entries: Entries, side: Side, catalogue: Catalogue) -> tuple[str, ...]:
    """The steps and exercises of a plan that are known on this knee, in the order of the plan.

    Known is what was done at home in DONE_OFTEN routines of WITHIN_DAYS by this version of the plan
    and of its sheet, and not stopped since; or done once in one after which the person said that
    these steps are known.
    """
    sheets = _sheets(plan, catalogue)
    open_still, times, known = set(sheets), Counter[str](), set[str]()
    last: date | None = None
    for session in newest_first(entries, Session, side=side):
        last = last or session.for_day
        old = (last - session.for_day).days >= WITHIN_DAYS
        if old or session.plan_version != plan.version or not open_still:
            break
        if session.place != "home":
            continue
        stopped = {done.step for done in steps_of(session) if done.outcome == "stopped"}
        well = {
            done.step
            for done in steps_of(session)
            if done.outcome == "done" and (done.sheet or 1) == sheets.get(done.step)
        }
        times.update(well - stopped)
        often = {name for name in well if times[name] >= DONE_OFTEN or session.knows_steps}
        known |= (often - stopped) & open_still
        open_still -= stopped | known
    return tuple(name for name in sheets if name in known)


def steps_of(session: Session) -> Iterator[StepDone]:
    """Every step and exercise of a session, in order."""
    for done in session.rounds:
        yield from done.steps
    yield from session.exercises


def together(names: Iterable[str], known: Iterable[str]) -> Iterator[tuple[str, ...]]:
    """Steps in order, those that are known and follow each other on one page."""
    page: list[str] = []
    alone = set(names := tuple(names)) - set(known)
    for name in names:
        if page and (name in alone or len(page) == MOST_TOGETHER):
            yield tuple(page)
            page = []
        if name in alone:
            yield (name,)
        else:
            page.append(name)
    if page:
        yield tuple(page)


def _sheets(plan: Plan, catalogue: Catalogue) -> dict[str, int]:
    """The version of the sheet of each step of a plan that there is a sheet of."""
    hands = {sheet.id: sheet.version for sheet in catalogue.techniques}
    versions = hands | {sheet.id: sheet.version for sheet in catalogue.exercises}
    names = (*(t.technique for t in plan.techniques), *(e.exercise for e in plan.exercises))
    return {name: versions[name] for name in names if name in versions}
