"""The doors of the front page lead to what is open and to its knee, whatever the plan says now."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from companion.care.records import AmountPlan, AnyEntry, Outing
from companion.ui.home.record_page import OTHER_KNEE, RecordPage
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.buttons import DoorButton
from companion.ui.kit.window import PageWindow
from tests.builders import at, outing, page, patch_test, session, tape_on
from tests.care.test_trial_days import trial_of
from tests.care.walking import taught_plan
from tests.presentation.wording import faults
from tests.tour_visit import settle
from tests.ui.home.bad_days import BadDay, begun

WINDOW_IS_SHOWN = False
LEFT_NOW = taught_plan(side="left", main_side="left", version=2)


@pytest.fixture
def visit(window: PageWindow, tmp_path: Path) -> Iterator[BadDay]:
    """The right knee is taped and went out today; the plan is for the left by now."""
    entries: list[AnyEntry] = [
        page(-1, pain_average=4),
        tape_on(at(-1, 20)),
        outing(0, "The fish quay", happened_at=at(0, 10)),
    ]
    made = begun(tmp_path / "diary", window, *entries)
    made.journal.append(plans=(LEFT_NOW,))
    made.front_again()
    yield made
    made.leave()


def test_tape_on_the_knee_the_plan_left_is_taken_off_through_its_line(visit: BadDay) -> None:
    visit.line("Your tape on your right knee")
    assert visit.key == "tape_room"
    assert "Right knee" in visit.words
    visit.front_again()
    visit.through("tape")
    assert visit.key == "knee", "both knees are behind the door"
    assert "Right knee. It is due off now.\nLeft knee. No tape is on" in visit.words


def test_the_walk_of_the_knee_the_plan_left_can_be_told(visit: BadDay) -> None:
    visit.line("Say how it was: The fish quay.")
    visit.walk(submitted={"outing_pain": {"score": 4}})
    told = visit.written(Outing)[-1]
    assert [(one.side, one.pain_worst) for one in told.knees] == [("right", 4)]
    visit.front_again()
    assert "Say how it was" not in visit.words


def test_who_goes_out_is_told_when_the_tape_of_the_knee_the_plan_left_comes_off(
    window: PageWindow, tmp_path: Path
) -> None:
    visit = begun(tmp_path / "diary", window, page(-1, pain_average=4), tape_on(at(0, 9)))
    visit.journal.append(plans=(LEFT_NOW,))
    visit.front_again()
    visit.through("outing")
    visit.walk(until=("right:tape_check",))
    assert "Right knee" in visit.words
    visit.answer({"feelings": []})
    assert visit.key == "finished"
    assert "Tape on your left knee\nIt comes off" in visit.words
    assert "Tape on your right knee\nIt comes off" in visit.words
    visit.leave()


def test_the_record_of_the_knee_the_plan_left_can_be_read(visit: BadDay) -> None:
    visit.through("record")
    assert visit.key == "knee"
    assert "Not in your plan now" in visit.words
    visit.answer({"side": "right"})
    assert isinstance(visit.page, RecordPage)
    assert "Right knee" in visit.words
    visit.page.ways[OTHER_KNEE].click()
    assert isinstance(visit.page, RecordPage)
    assert "Left knee" in visit.words
    visit.back()
    assert "Right knee" in visit.words


def test_going_out_leads_to_the_knee_that_waits(window: PageWindow, tmp_path: Path) -> None:
    went = outing(0, "The chapel", side="left", happened_at=at(0, 10))
    both = taught_plan(side="both", main_side="right")
    visit = begun(tmp_path / "diary", window, went, plan=both)
    visit.through("outing")
    assert visit.key == "why_ended"
    visit.leave()


def test_a_test_piece_that_waits_is_its_own_door(window: PageWindow, tmp_path: Path) -> None:
    plan = taught_plan({"patch_test": "at_home"})
    visit = begun(tmp_path / "diary", window, patch_test(at(-1, 9)), plan=plan)
    assert "Tape" in visit.words
    visit.line("Look at the skin under the test piece today.")
    assert visit.key.startswith("look:")
    visit.put_clock(days=3)
    visit.front_again()
    visit.line("The test piece was not looked at in time. Take it off.")
    assert visit.key == "patch_missed"
    assert "Take it off now" in visit.words
    visit.leave()


def test_back_from_the_check_leads_to_the_room_of_the_tape(
    window: PageWindow, tmp_path: Path
) -> None:
    """It led to the front page."""
    visit = begun(tmp_path / "diary", window, page(-1, pain_average=4), tape_on(at(0, 9)))
    visit.through("tape")
    visit.answer(press="Check how it feels")
    assert visit.key == "tape_check"
    visit.back()
    assert visit.key == "tape_room"
    visit.leave()


def test_who_sits_here_is_in_sight_and_one_press_changes_it(
    window: PageWindow, tmp_path: Path
) -> None:
    """Forgotten once, weeks were written as the helper's."""
    plan = taught_plan(helper_days=("monday",))
    visit = begun(tmp_path / "diary", window, page(-1, pain_average=4), plan=plan)
    assert "Who is here: you" in visit.words
    visit.through("who")
    assert "Who is here: a helper" in visit.words
    assert "Right knee · a helper is here" in visit.words
    visit.through("routine")
    assert visit.key.startswith("gate")
    assert "A helper sits here. Turn the screen" in visit.words
    assert "Not with somebody here" in visit.words
    visit.answer(press="I sit here myself")
    assert visit.key.startswith("gate")
    assert "A helper sits here" not in visit.words
    visit.answer(press="My helper sits here")
    assert "A helper sits here. Turn the screen" in visit.words
    visit.walk(until=("rest_pain",))
    assert "Ask: “How much does your right knee hurt now?”" in visit.words
    visit.front_again()
    visit.through("who")
    visit.through("routine")
    assert "Ask, and press" not in visit.words
    visit.leave()


def test_a_helpers_no_is_asked_again_and_warnings_may_be_answered_alone(
    window: PageWindow, tmp_path: Path
) -> None:
    """Four times no, pressed by whoever cannot feel the knee, opened everything."""
    plan = taught_plan(helper_days=("monday",))
    known = (session(-1, 6, 3, full_list=True), page(-1, pain_average=4))
    visit = begun(tmp_path / "diary", window, *known, plan=plan)
    visit.through("who")
    visit.through("routine")
    visit.answer({f"q{number}": "no" for number in range(1, 5)} | {"after_last": "same"})
    assert visit.key == "whose_no"
    visit.answer({"whose": "helper"})
    assert visit.key == "gate"
    visit.answer(press="Not with somebody here")
    assert visit.key == "alone"
    visit.answer({"alone": "now"})
    assert visit.key == "gate"
    assert "Turn the screen" not in visit.words
    visit.answer({f"q{number}": "no" for number in range(1, 5)} | {"after_last": "same"})
    assert visit.key != "whose_no"
    visit.front_again()
    visit.through("who")
    visit.through("routine")
    visit.front_again()
    assert not visit.settings.helper_view or "Who is here: a helper" in visit.words
    visit.leave()


def test_a_trial_that_is_over_says_what_it_found(window: PageWindow, tmp_path: Path) -> None:
    """Nine weeks were done, and no screen said what came of them."""
    plan = taught_plan(trial=trial_of(at(-49).date()))
    pages = [page(day, pain_average=4) for day in range(-49, -1)]
    visit = begun(tmp_path / "diary", window, *pages, plan=plan)
    visit.line("Your tape trial is over. See what it says.")
    assert visit.key == "trial_answer"
    assert "pairs counted" in visit.words
    assert faults(visit.words.split("\n")) == []
    visit.leave()


def test_figures_typed_on_a_page_with_one_field_go_into_it(
    window: PageWindow, tmp_path: Path
) -> None:
    """They did nothing, and the amount was lacking."""
    walk = AmountPlan(label="Walk", unit="min", baseline=10.0, goal=30.0)
    known = session(-1, 6, 3, full_list=True)
    plan = taught_plan({"when": "never", "highest": 0}, amounts=(walk,))
    visit = begun(tmp_path / "diary", window, page(-1, pain_average=4), known, plan=plan)
    visit.through("outing")
    visit.walk(until=("amount_meant",), submitted={"what_for": {"what": "1"}})
    assert isinstance(visit.page, AskingPage)
    for key in (Qt.Key.Key_1, Qt.Key.Key_5):
        QTest.keyClick(visit.page, key)
    assert visit.page.answers_now() == {"amount": 15}
    visit.leave()


@pytest.mark.parametrize("size", [(760, 1100), (640, 560)], ids=["room left", "scrolled"])
def test_in_one_column_doors_keep_their_spot_whatever_the_day_holds(
    window: PageWindow, tmp_path: Path, size: tuple[int, int]
) -> None:
    """They moved down with each line above them, and the same press led to another room."""
    window.resize(*size)
    window.show()
    visit = begun(tmp_path / "diary", window, page(-1, pain_average=4))
    before = spots(visit)
    visit.journal.append(
        outing(0, "The fish quay", happened_at=at(0, 10)), tape_on(at(-3, 9), for_outing=True)
    )
    visit.front_again()
    assert "Say how it was: The fish quay." in visit.words
    assert spots(visit) == before
    visit.leave()


def spots(visit: BadDay) -> dict[str, tuple[int, int]]:
    """Where each door stands on the screen at the end of the front page."""
    settle()
    bar = visit.page.scroll_bar()
    bar.setValue(bar.maximum())
    settle()
    found = visit.page.findChildren(DoorButton)
    assert found
    return {door.word: door.mapTo(visit.window, QPoint(0, 0)).toTuple() for door in found}
