"""A visit to Home on a diary with a few entries, whose clock and store a test may reach."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from typing import Any, cast

from companion.care.records import AnyEntry, Plan
from companion.journal.store import Journal
from companion.ui.home.front_page import FrontPage
from companion.ui.home.home import Home
from companion.ui.kit.page import Page
from companion.ui.kit.window import PageWindow
from tests.builders import DAY, at
from tests.care.walking import CATALOGUE, taught_plan
from tests.services.context_for_tests import HandClock, Kept
from tests.tour_visit import DemoPerson, Visit


class Somebody:
    """A person with a plan and a few entries, in place of a demo person."""

    name = "somebody"
    catalogue = CATALOGUE

    def __init__(self, folder: Path, plan: Plan, *entries: AnyEntry) -> None:
        self.plan = plan
        self.last_day = DAY
        self._folder = folder
        Kept(folder, plan, entries, HandClock(at(0))).close()

    def store(self) -> Path:
        """The one folder there is."""
        return self._folder


class BadDay(Visit):
    """A visit whose clock and store a test may reach. It begins at 18:00."""

    def put_clock(self, **length: float) -> None:
        """Put the clock forward, or back."""
        self._clock.ahead += timedelta(**length)

    @property
    def journal(self) -> Journal:
        """The store."""
        assert self._journal is not None
        return self._journal

    @property
    def home(self) -> Home:
        """Home."""
        assert self._home is not None
        return self._home

    def written(self, kind: type[Any]) -> list[Any]:
        """The entries of a kind, corrected ones included."""
        return [entry for entry in self.journal.entries() if isinstance(entry, kind)]

    def front_again(self) -> Page:
        """The front page, whatever was shown."""
        self.home.show_front()
        return self.page

    def line(self, words: str) -> Page:
        """Through the line of the front page that begins so."""
        front = self.page
        assert isinstance(front, FrontPage)
        (row,) = (row for row in front.rows if row.text().startswith(words))
        row.click()
        return self.page

    @property
    def words(self) -> str:
        """What the page says."""
        return self.page.reading_text()


def begun(
    folder: Path,
    window: PageWindow,
    *entries: AnyEntry,
    day: date = DAY,
    plan: Plan | None = None,
    short: bool = False,
) -> BadDay:
    """A visit that shows its front page; `short`: where steps are known they share a page."""
    person = Somebody(folder, plan or taught_plan(), *entries)
    visit = BadDay(
        cast("DemoPerson", person), window, lambda _name, _page: None, day=day, short=short
    )
    visit.start()
    return visit
