"""Back over the short gate in the window: the other answer, the list, its card."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from companion.care.records import GateAnswer, WarningSign
from companion.presentation.home.chair_pages import chair_name
from companion.ui.home.front_page import FrontPage
from companion.ui.kit.window import PageWindow
from tests.builders import DAY, session
from tests.care.walking import taught_plan
from tests.tour_visit import settle
from tests.ui.home.bad_days import BadDay, begun
from tests.ui.kit import accessibility, clipping

CARD = "fall_unhurt"


@pytest.fixture
def visit(window: PageWindow, tmp_path: Path) -> Iterator[BadDay]:
    listed = session(9, 7, 3, full_list=True)
    plan = taught_plan(chair_stand="alone", birth_year=1943, sex="female")
    made = begun(tmp_path / "diary", window, listed, day=DAY + timedelta(days=10), plan=plan)
    yield made
    made.leave()


def looked_over(visit: BadDay) -> None:
    settle()
    shown = visit.page
    assert clipping.faults(shown) + clipping.overlaps(shown) == [], visit.key
    assert accessibility.faults(shown) == [], visit.key


def to_the_gate(visit: BadDay, door: str) -> None:
    visit.through(door)
    if door == "tape":
        visit.walk(until=("gate",))
    if door == "visit":
        visit.answer(press=chair_name())
    assert visit.key == "gate"


@pytest.mark.parametrize("door", ["outing", "tape", "visit"])
def test_back_the_other_answer_and_its_card(door: str, visit: BadDay) -> None:
    to_the_gate(visit, door)
    visit.answer({})
    after = visit.key
    assert after != "gate"
    visit.back()
    assert visit.key == "gate"
    looked_over(visit)
    visit.answer({})
    assert visit.key == after
    visit.back()
    visit.answer({"q2": "yes"})
    assert visit.key == "list:1"
    assert "You said there is something new, or you are not sure." in visit.words
    looked_over(visit)
    assert [one.gate for one in visit.written(GateAnswer)] == ["none", "something"]
    visit.answer({"signs": (CARD,)})
    assert visit.key == f"list:1:{CARD}:card"
    looked_over(visit)
    (warning,) = visit.written(WarningSign)
    assert warning.sign == CARD


def test_back_from_the_list_of_a_changed_answer_leads_home_and_the_gate_is_asked_again(
    visit: BadDay,
) -> None:
    to_the_gate(visit, "outing")
    visit.answer({})
    visit.back()
    visit.answer({"q2": "yes"})
    visit.back()
    assert isinstance(visit.page, FrontPage)
    visit.through("routine")
    assert visit.key == "gate"
    visit.back()
    visit.through("outing")
    assert visit.key == "list:1", "the list that was left is taken up"
