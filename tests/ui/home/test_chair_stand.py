"""The chair stand in the window: from the visit and from the record, to its count or to a stop."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from companion.care.records import Amount, AmountPlan, GateAnswer, Measurement
from companion.presentation.home.chair_pages import chair_name
from companion.ui.home.front_page import FrontPage
from companion.ui.home.record_page import CHAIR, RecordPage
from companion.ui.kit.theme import LIGHT, Theme, apply
from companion.ui.kit.window import PageWindow
from tests.builders import DAY, page
from tests.care.walking import taught_plan
from tests.tour_visit import settle
from tests.ui.home.bad_days import BadDay, begun
from tests.ui.kit import accessibility, clipping

WALK = AmountPlan(label="Walk to the quay", unit="m", baseline=200, goal=300)
PLAN = taught_plan(
    chair_stand="with_someone", birth_year=1943, sex="female", written_on=DAY, amounts=(WALK,)
)


@pytest.fixture
def visit(window: PageWindow, tmp_path: Path) -> Iterator[BadDay]:
    made = begun(tmp_path / "diary", window, plan=PLAN)
    yield made
    made.leave()


def to_the_chair(visit: BadDay) -> None:
    visit.through("visit")
    visit.answer(press=chair_name())
    visit.walk(until=("chair",))


def looked_over(visit: BadDay) -> None:
    settle()
    shown = visit.page
    assert clipping.faults(shown) + clipping.overlaps(shown) == [], visit.key
    assert accessibility.faults(shown) == [], visit.key


@pytest.mark.parametrize("percent", [100, 200])
def test_from_the_visit_to_the_count_and_its_result(
    percent: int, visit: BadDay, qapp: QApplication
) -> None:
    apply(qapp, Theme(LIGHT, percent))
    visit.through("visit")
    assert "Your clinic asks how often you can get up in 30 seconds." in visit.words
    looked_over(visit)
    visit.answer(press=chair_name())
    visit.walk(until=("chair",))
    submitted = {"seat_cm": 44, "stood": "yes", "count": 8, "arms": "no", "there": "yes"}
    while visit.key != "finished":
        looked_over(visit)
        if visit.key.startswith("count:"):
            visit.wait_out(35)
            settle()
            assert "Stop: the 30 seconds are over" in visit.words
        visit.answer(submitted)
    looked_over(visit)
    assert "Yours counts as 8: below average." in visit.words
    assert "This is the first one without arms." in visit.words
    (measured,) = visit.written(Measurement)
    assert (measured.count, measured.seat_cm, measured.arms_used) == (8, 44, False)
    assert len(visit.written(GateAnswer)) == 1
    visit.answer()
    assert isinstance(visit.page, FrontPage)
    visit.through("visit")
    assert "Your clinic asks how often you can get up" not in visit.words


def test_a_count_that_was_cut_short_is_not_taken(visit: BadDay) -> None:
    to_the_chair(visit)
    visit.walk(until=("count:1",), submitted={"someone": {"there": "yes"}})
    visit.wait_out(30)  # five of them to get ready
    visit.answer()
    assert visit.key == "short:1"
    visit.answer(press="Leave it for today")
    assert isinstance(visit.page, FrontPage)
    assert not visit.written(Measurement)


def test_stop_in_the_middle_opens_the_list_and_the_count_begins_anew(visit: BadDay) -> None:
    to_the_chair(visit)
    visit.walk(until=("count:1",))
    visit.wait_out(20)
    visit.stop()
    assert visit.key.startswith("stop")
    visit.walk(until=("count:1",))
    assert visit.key == "count:1"
    assert "of 30 seconds" in visit.words
    visit.stop()
    visit.answer({"about": "5"})
    visit.answer({"signs": ("faint_in_session",)})
    visit.walk()
    assert isinstance(visit.page, FrontPage)
    visit.through("visit")
    visit.answer(press=chair_name())
    assert visit.key == "open:faint_in_session:talked", "nothing until somebody said go on"
    assert not visit.written(Measurement)


def test_the_record_leads_there_too_and_only_where_the_plan_offers_it(
    visit: BadDay, window: PageWindow, tmp_path: Path
) -> None:
    visit.through("record")
    record = visit.page
    assert isinstance(record, RecordPage)
    record.ways[CHAIR].click()
    assert visit.key == "gate"
    visit.leave()
    other = begun(tmp_path / "other", window, plan=replace(PLAN, chair_stand=None))
    other.through("record")
    record = other.page
    assert isinstance(record, RecordPage)
    assert CHAIR not in record.ways
    other.back()
    other.through("visit")
    assert chair_name() not in other.words
    other.leave()


def test_the_day_page_says_this_weeks_amount_and_why(window: PageWindow, tmp_path: Path) -> None:
    reached = page(2, amounts=(Amount(label=WALK.label, unit="m", amount=160.0),), pain_average=3)
    later = begun(
        tmp_path / "diary", window, reached, day=reached.for_day.replace(day=10), plan=PLAN
    )
    later.through("day")
    later.walk(until=("amounts",))
    words = later.words.replace("\u00a0", " ")
    assert "Planned this week: 180 m in a day." in words
    assert "Last week: 160 m on 1 day, so this week 180 m." in words
    later.leave()
