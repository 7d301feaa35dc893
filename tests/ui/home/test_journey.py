"""A journey: written down, on every card by its days, tape told by its clock, pages typed later."""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.care.records import Contact, DayPage, Journey
from companion.presentation.view.page import CardBlock, Phones
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.window import PageWindow
from tests.builders import at, page, session, tape_on
from tests.care.walking import taught_plan
from tests.presentation.wording import faults, lines
from tests.ui.home.bad_days import BadDay, begun

WINDOW_IS_SHOWN = False
PLAN = taught_plan(
    contacts=(
        Contact(role="emergency", number="112"),
        Contact(role="clinic", number="0700 100"),
        Contact(role="out_of_hours", number="0700 200"),
    )
)


@pytest.fixture
def visit(window: PageWindow, tmp_path: Path) -> BadDay:
    known = (session(-1, 6, 3, full_list=True), page(-1, pain_average=4))
    return begun(tmp_path / "diary", window, *known, tape_on(at(0, 9)), plan=PLAN)


def asking(visit: BadDay) -> AskingPage:
    assert isinstance(visit.page, AskingPage)
    return visit.page


def numbers(visit: BadDay) -> list[str]:
    """The emergency numbers that Help shows, in their order."""
    visit.page.help_wanted.emit()
    sheet = visit.window.sheet()
    assert isinstance(sheet, AskingPage)
    (phones,) = (block for block in sheet.view.blocks if isinstance(block, Phones))
    visit.window.drop_sheet()
    return [line.number for line in phones.lines if line.number in ("112", "911")]


def test_a_journey_from_its_first_day_to_the_pages_typed_after(visit: BadDay) -> None:
    visit.through("settings")
    visit.answer(press="Going away")
    assert visit.key == "journey_days"
    visit.answer({"leave_in": 2, "days": 3})
    visit.answer({"where": "Lisk", "emergency": "nine", "clock": "behind", "hours": 8})
    assert visit.key == "journey_there", "no number is guessed out of words"
    assert "That is no number" in visit.words
    visit.answer({"where": "Lisk", "emergency": "911", "clock": "behind", "hours": 8})
    assert visit.key == "journey"
    assert not faults(lines(asking(visit).view), own_words=("Lisk",))
    (told,) = visit.written(Journey)
    assert (told.where, told.clock_ahead, told.emergency) == ("Lisk", -8.0, "911")
    assert (told.last_day - told.first_day).days == 2

    visit.front_again()
    assert "You go away on" in visit.words
    assert numbers(visit) == ["112", "911"], "home first before it begins"
    visit.put_clock(days=2)
    visit.front_again()
    assert "You are away until" in visit.words
    assert "By the clock where you are" in visit.words
    assert numbers(visit) == ["911", "112"]
    visit.through("add")
    visit.answer({"about": "help"})
    (card,) = (block for block in asking(visit).view.blocks if isinstance(block, CardBlock))
    assert [line.number for line in card.phones][:2] == ["911", "112"], "on every card"
    assert "You are away from home. Say first where you are." in card.actions
    assert not any("at home" in action for action in card.actions)
    visit.front_again()
    visit.line("You are away until")
    assert visit.key == "journey"

    visit.put_clock(days=3)
    visit.front_again()
    assert numbers(visit) == ["112"], "it ends by its days"
    visit.line("Day pages of your journey are missing.")
    assert visit.key == "which_day"
    visit.answer({"day": told.first_day.isoformat()})
    visit.walk()
    typed = visit.written(DayPage)[-1]
    assert (typed.for_day, typed.written_by) == (told.first_day, "paper")
    visit.leave()


def test_home_sooner_ends_it_and_one_not_begun_is_taken_out(visit: BadDay) -> None:
    visit.through("settings")
    visit.answer(press="Going away")
    visit.answer({"leave_in": 0, "days": 10})
    visit.answer({"clock": ""})
    assert visit.key == "journey"
    assert "A number is missing" in visit.words
    visit.answer(press="I am home again")
    assert "You are away" not in visit.words
    assert visit.written(Journey)[-1].withdrawn == "never_happened"
    visit.through("settings")
    visit.answer(press="Going away")
    visit.answer({"leave_in": 0, "days": 10})
    visit.answer({"clock": "same", "emergency": "110"})
    visit.put_clock(days=4)
    visit.front_again()
    visit.line("You are away until")
    visit.answer(press="Change it")
    visit.answer({"leave_in": 0, "days": 2})
    visit.answer({"clock": "same", "emergency": "110"})
    changed = visit.written(Journey)[-1]
    assert (changed.last_day - changed.first_day).days == 5, "it began four days ago"
    visit.answer(press="I am home again")
    assert visit.written(Journey)[-1].withdrawn is None
    assert "Day pages of your journey are missing." in visit.words
    visit.leave()
