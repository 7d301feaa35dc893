"""A diary on disk with a clock that is set by hand, and walks in it."""

import tempfile
from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

from companion.care.days import diary_day
from companion.care.flow import Given, WalkPage
from companion.care.records import AnyEntry, Plan, Side
from companion.journal.backups import STORE
from companion.journal.store import Journal
from companion.services.context import Context
from companion.services.walks import WalkKind, WalkResult, WalkStep, begin, give
from tests.builders import at
from tests.care.walking import CATALOGUE, taught_plan
from tests.steady import steady

EVENING = at(10)


@cache
def _empty_store() -> bytes:
    """A store nobody wrote in yet. Making one waits for the disc; copying it does not."""
    with tempfile.TemporaryDirectory() as folder:
        Journal.open(Path(folder), HandClock()).close()
        return (Path(folder) / STORE).read_bytes()


class HandClock:
    """Stands still until it is set."""

    def __init__(self, now: datetime = EVENING) -> None:
        self._now = now

    def now(self) -> datetime:
        return self._now

    def today(self) -> date:
        return diary_day(self._now)

    def set(self, now: datetime) -> None:
        self._now = now

    def pass_by(self, **length: float) -> None:
        self._now += timedelta(**length)


class Kept:
    """One person's diary in a folder: opened, killed and opened again."""

    def __init__(
        self,
        folder: Path,
        plan: Plan | None = None,
        entries: Iterable[AnyEntry] = (),
        clock: HandClock | None = None,
        *,
        long_way: Callable[[], bool] = bool,
    ) -> None:
        self.folder = folder
        self._long_way = long_way
        if not folder.exists():
            folder.mkdir(parents=True)
            (folder / STORE).write_bytes(_empty_store())
        self.clock = clock or HandClock()
        self.context = self._opened()
        plans = () if plan is None else (plan,)
        self.context.journal.append(*entries, plans=plans)

    def _opened(self) -> Context:
        journal = Journal.open(self.folder, self.clock)
        # A killed program loses nothing the machine has taken over; a power cut is the store's own
        # test. So no walk here waits for the disc.
        journal._db.execute("PRAGMA synchronous = OFF")
        return Context(
            journal=journal, clock=self.clock, catalogue=CATALOGUE, long_way=self._long_way
        )

    def kill(self) -> Context:
        """End without a clean close, as a killed program does, and open again."""
        journal = self.context.journal
        journal._db.close()
        assert journal._lock is not None
        journal._lock.release()
        self.context = self._opened()
        return self.context

    def close(self) -> None:
        self.context.journal.close()


def kept(folder: Path, *entries: AnyEntry, plan: Plan | None = None) -> Kept:
    return Kept(folder, plan or taught_plan(), entries)


def answer_by(
    by_key: Mapping[str, Any], otherwise: Callable[[WalkPage], Given] = steady
) -> Callable[[WalkPage], Given]:
    """Answers by page key, else a steady person's."""
    return lambda page: by_key.get(page.key, otherwise(page))


def walk_on(
    context: Context,
    conduct: WalkKind[Any, Any],
    side: Side = "right",
    answer: Callable[[WalkPage], Given] = steady,
    *,
    until: str | None = None,
    for_day: date | None = None,
) -> WalkStep[Any] | WalkResult[Any, Any]:
    """Walk to the end, or until the page with the key `until` is shown."""
    outcome = begin(context, conduct, side, for_day)
    for _ in range(400):
        if isinstance(outcome, WalkResult) or outcome.page.key == until:
            return outcome
        outcome = give(context, conduct, outcome, answer(outcome.page))
    raise AssertionError("the walk did not end")


def shown(outcome: WalkStep[Any] | WalkResult[Any, Any]) -> WalkPage:
    """The page on screen."""
    assert isinstance(outcome, WalkStep), outcome
    return outcome.page


def ended(outcome: WalkStep[Any] | WalkResult[Any, Any]) -> Any:
    """How the walk ended."""
    assert isinstance(outcome, WalkResult), outcome
    return outcome.end


def of(context: Context, kind: type[Any]) -> list[Any]:
    """All entries of a kind, corrected ones too, in the order they were written."""
    return [entry for entry in context.journal.entries() if isinstance(entry, kind)]


def counting(context: Context, kind: type[Any]) -> list[Any]:
    """The entries of a kind that count."""
    return [entry for entry in context.entries if isinstance(entry, kind)]
