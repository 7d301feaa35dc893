"""What the door for the plan file takes in: a plan, or a clinic's diary file that brings one."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from companion.app.outside import open_file, plan_in
from companion.care.records import Diary, Event, Plan, Side
from companion.exchange.files import diary_bytes, plan_bytes, read
from companion.journal.store import Journal
from companion.services.context import Context
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.window import PageWindow
from companion.wire.sign_off import signed
from tests.builders import at, session
from tests.care.walking import CATALOGUE, taught_plan
from tests.services.context_for_tests import HandClock
from tests.ui.home.bad_days import begun

WINDOW_IS_SHOWN = False


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
        assert plan_in(read(file), file.name, context) == begins
        journal.append(*begins.entries, plans=begins.plans)
        said = plan_in(read(file), file.name, context)
        assert isinstance(said, str)
        assert "There is nothing to take in." in said
        file.write_bytes(diary_bytes(Diary(plans=begins.plans, entries=(session(1),))))
        assert plan_in(read(file), file.name, context) == (
            "brought.homeknee is a diary, not a plan. Open the plan file."
        )
        file.write_bytes(diary_bytes(seen_in_the_room(2)))
        assert isinstance(plan_in(read(file), file.name, context), Diary)
        # A version between, which never came here, is no plan to be used from now on.
        journal.append(plans=(version(3),))
        said = plan_in(read(file), file.name, context)
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


def test_a_file_that_is_handed_in_is_taken_for_what_it_holds(
    qtbot: QtBot, window: PageWindow, tmp_path: Path
) -> None:
    """A plan, or a diary that brings one, as a plan; a diary that brings none as a diary."""
    visit = begun(tmp_path / "diary", window)
    context = visit.home.context
    files = {
        "plan": plan_bytes(version(2)),
        "brings": diary_bytes(seen_in_the_room(3)),
        "diary": diary_bytes(Diary(plans=context.journal.plans(), entries=(session(0),))),
        "broken": b"no file of ours",
    }
    told: list[tuple[str, object]] = []
    for number, (name, data) in enumerate(files.items(), 1):
        path = tmp_path / f"{name}.homeknee"
        path.write_bytes(data)
        open_file(
            window,
            context,
            path,
            lambda found: told.append(("plan", found)),
            lambda found: told.append(("diary", found)),
        )
        qtbot.waitUntil(partial(lambda wanted: len(told) == wanted, number))
    kinds = [(room, type(found)) for room, found in told]
    assert kinds == [("plan", Plan), ("plan", Diary), ("diary", Diary), ("plan", str)]
    visit.leave()


def test_a_plan_that_was_changed_after_signing_is_told_in_plain_words(tmp_path: Path) -> None:
    """It said "plan.sign_off: signed for another content than this plan has"."""
    file = tmp_path / "plan.homeknee"
    file.write_bytes(plan_bytes(replace(version(2), rounds=3)))
    with Journal.open(tmp_path / "diary", HandClock(at(1))) as journal:
        context = Context(journal=journal, clock=HandClock(at(1)), catalogue=CATALOGUE)
        assert plan_in(read(file), file.name, context) == (
            "The file plan.homeknee was changed after it was signed. Nothing was taken in. "
            "Call your clinic."
        )


def test_a_draft_beside_a_signed_plan_opens_in_a_look_round(
    window: PageWindow, tmp_path: Path
) -> None:
    """It took the signed plan's place; then it was refused, and led nowhere."""
    visit = begun(tmp_path / "diary", window, session(0), plan=version(1))
    draft = taught_plan(version=2)
    visit.plan_file = draft
    visit.through("settings")
    visit.answer({"room": "plan"})
    assert visit.key == "draft"
    visit.answer()
    assert visit.looked_round == [draft]
    assert [plan.version for plan in visit.journal.plans()] == [1]
    assert "A new plan is here" not in visit.words
    visit.leave()


def test_a_plan_that_came_waits_until_somebody_says_yes_or_no(
    window: PageWindow, tmp_path: Path
) -> None:
    visit = begun(tmp_path / "diary", window, session(0), plan=version(1))
    visit.plan_file = seen_in_the_room(2)
    visit.through("settings")
    visit.answer({"room": "plan"})
    visit.back()
    visit.line("A new plan is here.")
    assert "what your clinic wrote down with you in the room" in visit.words
    visit.answer(press="No, leave it")
    assert "A new plan is here." not in visit.words
    visit.plan_file = version(2, "left")
    visit.through("settings")
    visit.answer({"room": "plan"})
    visit.answer({"another_knee": "no"})
    visit.front_again()
    visit.line("A new plan is here.")
    visit.answer({"another_knee": "yes"})
    assert "A new plan is here." not in visit.words
    assert [plan.side for plan in visit.journal.plans()] == ["right", "left"]
    visit.leave()


def test_the_plan_before_may_be_gone_back_to_for_a_day_and_the_clinic_reads_it(
    window: PageWindow, tmp_path: Path
) -> None:
    """There was no way back from a plan that is too much."""
    visit = begun(tmp_path / "diary", window, session(0), plan=replace(version(1), rounds=1))
    visit.plan_file = signed(replace(version(2), rounds=3), "R. Vane", "PT 4711", at(0))
    visit.through("settings")
    visit.answer({"room": "plan"})
    visit.answer()
    visit.through("settings")
    visit.answer(press="The plan before, for today")
    visit.answer()
    visit.line("Today goes by the plan before")
    visit.front_again()
    plan = visit.home.context.plan()
    assert plan is not None
    assert (plan.version, plan.rounds, plan.practice) == (2, 1, False)
    (said,) = visit.written(Event)
    assert (said.what, said.plan_version) == ("plan_before", 2)
    visit.put_clock(days=1)
    visit.front_again()
    assert "Today goes by the plan before" not in visit.words
    plan = visit.home.context.plan()
    assert plan is not None
    assert plan.rounds == 3, "for a day"
    visit.leave()
