"""What the door for the plan file takes in: a plan, or a clinic's diary file that brings one."""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.app.outside import read_plan
from companion.care.records import Diary, Plan, Side
from companion.exchange.files import diary_bytes
from companion.journal.store import Journal
from companion.services.context import Context
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.window import PageWindow
from companion.wire.sign_off import signed
from tests.builders import at, session
from tests.care.walking import CATALOGUE, taught_plan
from tests.services.context_for_tests import HandClock
from tests.ui.home.bad_days import begun


def version(number: int, side: Side = "right") -> Plan:
    plan = taught_plan(version=number, side=side, main_side=side)
    return signed(plan, "R. Vane", "PT 4711", at(0))


def seen_in_the_room(number: int) -> Diary:
    """What a clinic hands over that wrote a session down beside its plan."""
    held = session(0, place="clinic", written_by="clinic", plan_version=number)
    return Diary(plans=(version(number),), entries=(held,))


def test_a_diary_that_brings_no_plan_is_not_a_plan_file(tmp_path: Path) -> None:
    file = tmp_path / "brought.homeknee"
    begins = seen_in_the_room(1)
    with Journal.open(tmp_path / "diary", HandClock(at(1))) as journal:
        context = Context(journal=journal, clock=HandClock(at(1)), catalogue=CATALOGUE)
        file.write_bytes(diary_bytes(begins))
        assert read_plan(file, context) == begins
        journal.append(*begins.entries, plans=begins.plans)
        said = read_plan(file, context)
        assert isinstance(said, str)
        assert "There is nothing to take in." in said
        file.write_bytes(diary_bytes(Diary(plans=begins.plans, entries=(session(1),))))
        assert read_plan(file, context) == (
            "brought.homeknee is a diary, not a plan. Open the plan file."
        )
        file.write_bytes(diary_bytes(seen_in_the_room(2)))
        assert isinstance(read_plan(file, context), Diary)
        # A version between, which never came here, is no plan to be used from now on.
        journal.append(plans=(version(3),))
        said = read_plan(file, context)
        assert isinstance(said, str)
        assert "is a diary, not a plan" in said


def test_the_next_version_with_a_session_is_taken_in_whole(
    window: PageWindow, tmp_path: Path
) -> None:
    visit = begun(tmp_path / "diary", window, session(0), plan=version(1))
    visit.plan_file = seen_in_the_room(2)
    for press, versions, sessions in (("No, leave it", [1], 1), ("Yes, use this plan", [1, 2], 2)):
        visit.through("settings")
        visit.answer({"room": "plan"})
        assert "what your clinic wrote down with you in the room" in visit.words
        visit.answer(press=press)
        assert [plan.version for plan in visit.journal.plans()] == versions
        assert len(visit.journal.entries()) == sessions
    visit.leave()


@pytest.mark.parametrize("room", ["plan", "data"])
def test_a_plan_for_the_other_knee_comes_only_with_a_yes_of_its_own(
    room: str, window: PageWindow, tmp_path: Path
) -> None:
    visit = begun(tmp_path / "diary", window, session(0), plan=version(1))
    brought = Diary(plans=(version(1), version(2, "left")), entries=())
    visit.plan_file = visit.diary_file = brought

    def look() -> AskingPage:
        visit.through("settings")
        visit.answer({"room": room})
        if room == "data":
            visit.answer({"do": "merge"})
        assert "was for the right knee. The new one is for the left knee." in visit.words
        assert isinstance(visit.page, AskingPage)
        return visit.page

    page = look()
    assert page.main is not None
    page.main.click()
    assert visit.page is page, "nothing was chosen, so nothing is answered"
    visit.answer({"another_knee": "no"})
    assert "Your plan stays as it is." in visit.words
    assert [plan.version for plan in visit.journal.plans()] == [1]
    visit.answer()
    look()
    visit.answer({"another_knee": "yes"})
    assert [plan.side for plan in visit.journal.plans()] == ["right", "left"]
    visit.leave()


def test_a_diary_from_elsewhere_says_how_much_it_brings(window: PageWindow, tmp_path: Path) -> None:
    visit = begun(tmp_path / "diary", window, plan=version(1))
    visit.plan_file = Diary(plans=(version(2),), entries=(session(0, plan_version=2),))
    visit.through("settings")
    visit.answer({"room": "plan"})
    assert "1 entry of your diary" in visit.words
    visit.leave()
