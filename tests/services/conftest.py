"""Fixtures of the use cases: a diary that is closed again after the test."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from companion.care.records import AnyEntry, Plan
from companion.exchange.case_files import CaseFolder
from companion.journal.drafts import DraftFolder
from companion.journal.people import PeopleStore
from companion.services.practice import Practice
from companion.system.clock import PinnedClock
from companion.system.settings import SettingsFile
from tests.care.content import CATALOGUE
from tests.care.walking import taught_plan
from tests.services.context_for_tests import HandClock, Kept
from tests.services.test_clinic_import import TODAY

Keep = Callable[..., Kept]


@pytest.fixture
def keep(tmp_path: Path) -> Iterator[Keep]:
    """Make a diary: `keep(*entries, plan=..., clock=...)`."""
    made: list[Kept] = []

    def make(
        *entries: AnyEntry,
        plan: Plan | None = None,
        clock: HandClock | None = None,
        with_plan: bool = True,
    ) -> Kept:
        folder = tmp_path / f"diary{len(made)}"
        the_plan = (plan or taught_plan()) if with_plan else None
        made.append(Kept(folder, the_plan, entries, clock))
        return made[-1]

    yield make
    for one in made:
        one.close()


@pytest.fixture
def practice(tmp_path: Path) -> Iterator[Practice]:
    data = tmp_path / "data"
    with PeopleStore.open(data) as store:
        yield Practice(
            people=store,
            folder=CaseFolder(data),
            drafts=DraftFolder(data),
            signer=SettingsFile(data, "signer.json"),
            clock=PinnedClock(TODAY),
            catalogue=lambda: CATALOGUE,
        )
