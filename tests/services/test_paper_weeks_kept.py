"""Weeks half typed come back as they were, from a killed store and a folder opened anew."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from companion.care.records import Diary
from companion.presentation.papers.typed_weeks import TypedWeeks
from companion.services.context import PAPER_WEEKS
from companion.services.open_now import walks_kept
from companion.services.paper_weeks import keep_at_home
from companion.services.paper_weeks_kept import (
    FoundWeeks,
    HalfTyped,
    WeeksAtClinic,
    WeeksAtHome,
    WeeksKeeper,
)
from companion.services.practice import Practice
from tests.presentation.papers.test_booklet import plan_of
from tests.services.context_for_tests import kept

FIRST = date(2026, 11, 2)
NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)


def begun(name: str, days: int = 3) -> TypedWeeks:
    """Weeks with a few answers, one of them odd."""
    weeks = TypedWeeks(Diary(plans=(plan_of(name),)), FIRST, days, NOW)
    for key in "nnn52":
        assert weeks.press(key)
    weeks.step("next_day")
    weeks.step("on")
    assert weeks.press("?")
    return weeks


@pytest.mark.parametrize("name", ["jory", "wilma"])
def test_what_was_typed_and_where_comes_back(practice: Practice, name: str) -> None:
    weeks = begun(name)
    WeeksAtClinic(practice, "K-1").keep(weeks.half_typed())
    half = WeeksAtClinic(practice, "K-1").found().half
    assert half == weeks.half_typed()
    back = TypedWeeks.taken_up(weeks.diary, half, 3, NOW)
    assert (back.form_at, back.cell_at) == (weeks.form_at, weeks.cell_at)
    assert back.entries() == weeks.entries()
    assert back.not_taken() == weeks.not_taken()
    # Days went by since: their sheets are there too.
    longer = TypedWeeks.taken_up(weeks.diary, half, 5, NOW)
    assert len(longer.forms) == 5 * len(weeks.diary.plan.sides)
    assert longer.entries() == weeks.entries()
    assert practice.drafts.kept("K-1") == (), "it is no plan"
    assert WeeksAtClinic(practice, "K-2").found() == FoundWeeks()


def test_a_knee_that_the_plan_has_no_more_is_left_out() -> None:
    half = begun("wilma").half_typed()
    one_knee = Diary(plans=(plan_of("jory"),))
    back = TypedWeeks.taken_up(one_knee, half, half.days, NOW)
    assert {form.side for form in back.forms} == set(one_knee.plan.sides)
    assert back.cell in back.cells


def test_a_killed_store_has_it_until_it_is_taken_in(tmp_path: Path) -> None:
    half = begun("jory").half_typed()
    home = kept(tmp_path)
    WeeksAtHome(home.context).keep(half)
    context = home.kill()
    assert WeeksAtHome(context).found() == FoundWeeks(half)
    assert walks_kept(context) == ()
    keep_at_home(context, ())
    assert WeeksAtHome(home.kill()).found() == FoundWeeks()
    home.close()


def given_up(keeper: WeeksKeeper, half: HalfTyped) -> FoundWeeks:
    keeper.keep(half)
    keeper.drop()
    return keeper.found()


def test_what_is_given_up_is_gone_and_what_is_damaged_is_told(
    practice: Practice, tmp_path: Path
) -> None:
    half = begun("jory").half_typed()
    home = kept(tmp_path / "home")
    assert given_up(WeeksAtHome(home.context), half) == FoundWeeks()
    clinic = WeeksAtClinic(practice, "K-1")
    assert given_up(clinic, half) == FoundWeeks()
    home.context.journal.save_draft(PAPER_WEEKS, {"first": "2026-11-02", "days": 0})
    assert WeeksAtHome(home.context).found() == FoundWeeks(damaged=True)
    clinic.keep(half)
    (path,) = practice.drafts.place.iterdir()
    path.write_bytes(path.read_bytes()[:-2])
    assert clinic.found() == FoundWeeks(damaged=True)
    home.close()
