"""Days on which something is wrong: each has its sentence and a way on, in the window itself."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from companion.app.fault_words import store_fault_words
from companion.app.outside import tell_and_end
from companion.care.records import AnyEntry, DayPage, Plan, Session, TapeOff, WarningSign
from companion.journal.faults import JournalBusy
from companion.journal.store import Journal
from companion.ui.home.front_page import FrontPage
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.window import PageWindow
from tests.builders import DAY, at, page, session, tape_on, warning
from tests.care.walking import taught_plan
from tests.services.context_for_tests import HandClock
from tests.ui.home.bad_days import BadDay, begun

WINDOW_IS_SHOWN = False

EVENING = 18

Beginning = Callable[..., BadDay]


@pytest.fixture
def beginning(window: PageWindow, tmp_path: Path) -> Iterator[Beginning]:
    """Begin a visit on `day` with these entries: `beginning(*entries, day=DAY, plan=...)`."""
    visits: list[BadDay] = []

    def begin(*entries: AnyEntry, day: date = DAY, plan: Plan | None = None) -> BadDay:
        visit = begun(tmp_path / f"diary{len(visits)}", window, *entries, day=day, plan=plan)
        visits.append(visit)
        return visit

    yield begin
    for visit in visits:
        visit.leave()


def is_front(visit: BadDay) -> bool:
    return isinstance(visit.page, FrontPage)


# ---------------------------------------------------------------- the clock


def test_a_clock_set_back_is_said_and_everything_goes_on(beginning: Beginning) -> None:
    visit = beginning(page(2, pain_average=4), page(3, pain_average=5))
    assert "which is still to come" in visit.words
    visit.answer({"clock": "right"})
    assert "These 2 entries were written while the clock was wrong" in visit.words
    visit.back()
    assert "The clock of this computer may be wrong." in visit.words
    assert "All you wrote is still here." in visit.words
    visit.through("day")
    visit.walk(submitted={"which_day": {"day": DAY.isoformat()}})
    assert is_front(visit)
    assert {entry.for_day for entry in visit.written(DayPage)} == {
        DAY,
        DAY + timedelta(days=2),
        DAY + timedelta(days=3),
    }
    visit.through("record")
    visit.back()
    visit.through("routine")
    visit.walk()
    assert len(visit.written(Session)) == 1


def test_a_clock_put_right_by_minutes_is_no_fault(beginning: Beginning) -> None:
    visit = beginning(page(0, pain_average=4, written_at=at(0, EVENING, 8)))
    assert "clock" not in visit.words


def test_the_clock_set_back_in_the_middle_of_a_routine(beginning: Beginning) -> None:
    visit = beginning()
    visit.through("routine")
    visit.walk(until=("zones",))
    visit.put_clock(hours=-2)
    visit.walk()
    (session,) = visit.written(Session)
    assert session.for_day == DAY
    assert is_front(visit)


def test_midnight_in_a_routine_belongs_to_the_evening(beginning: Beginning) -> None:
    visit = beginning()
    visit.put_clock(hours=5, minutes=50)  # 23:50
    visit.through("routine")
    visit.walk(until=("zones",))
    visit.put_clock(hours=1)
    visit.walk()
    (session,) = visit.written(Session)
    # The diary day ends at 03:00.
    assert session.for_day == DAY
    assert session.ended_at is not None
    assert session.ended_at.date() == DAY + timedelta(days=1)


def test_a_routine_past_three_in_the_morning_is_kept_and_the_new_day_begins(
    beginning: Beginning,
) -> None:
    visit = beginning()
    visit.put_clock(hours=8, minutes=30)  # 02:30
    visit.through("routine")
    visit.walk(until=("zones",))
    visit.put_clock(hours=1)
    visit.walk()
    assert is_front(visit)
    (session,) = visit.written(Session)
    assert session.for_day == DAY
    assert "Tuesday 3 March" in visit.words
    assert "Your exercises. About" in visit.words  # the tape of the night is on


# ---------------------------------------------------------------- the machine


def test_a_second_window_says_which_to_use(
    beginning: Beginning, window: PageWindow, qapp: QApplication
) -> None:
    visit = beginning()
    with pytest.raises(JournalBusy) as busy:
        Journal.open(visit.person.store(), HandClock(at(0)))
    told: list[str] = []

    def read() -> None:
        shown = window.page()
        assert isinstance(shown, AskingPage)
        told.append(shown.reading_text())
        assert shown.main is not None
        shown.main.click()

    QTimer.singleShot(0, window, read)
    tell_and_end(window, qapp, store_fault_words(busy.value))
    assert "This diary is open in another window." in told[0]
    assert "Use that one, or close it first." in told[0]


@pytest.mark.parametrize("try_again", [True, False])
def test_a_full_disk_is_said_and_nothing_is_lost(try_again: bool, beginning: Beginning) -> None:
    visit = beginning()
    visit.through("routine")
    visit.walk(until=("zones",))
    visit.disk_full(True)
    visit.answer()
    assert visit.key == "not_saved"
    assert "There is no room left on the disk." in visit.words
    if try_again:
        visit.answer()
        assert visit.key == "not_saved", "still no room"
    visit.disk_full(False)
    if try_again:
        visit.answer()
    else:
        visit.answer(press="To the front page")
        assert "You began the routine. Go on where you left it" in visit.words
        visit.through("routine")
    visit.walk()
    (session,) = visit.written(Session)
    assert session.ended == "finished"


def test_a_full_disk_at_the_last_page_of_a_day_page(beginning: Beginning) -> None:
    visit = beginning()
    visit.through("day")
    visit.walk(until=("look_over",))
    visit.disk_full(True)
    visit.answer()
    assert visit.key == "not_saved"
    assert visit.written(DayPage) == []
    visit.disk_full(False)
    visit.answer()
    assert len(visit.written(DayPage)) == 1


# ---------------------------------------------------------------- the plan


def newer(plan: Plan, **fields: Any) -> Plan:
    return replace(plan, version=plan.version + 1, **fields)


def take_in(visit: BadDay, plan: Plan) -> None:
    visit.plan_file = plan
    visit.through("settings")
    visit.answer(press="Open a new plan")
    visit.answer(press="Yes, use this plan")


def test_a_plan_replaced_in_the_middle_of_a_routine(beginning: Beginning) -> None:
    visit = beginning()
    visit.through("routine")
    visit.walk(until=("zones",))
    visit.front_again()
    take_in(visit, newer(visit.person.plan, rounds=1))
    assert is_front(visit)
    visit.through("routine")
    # Taken up where it was left, under the plan it was begun with.
    assert visit.key.startswith("zones")
    visit.walk()
    assert is_front(visit)
    assert [s.plan_version for s in visit.written(Session)] == [1]
    visit.through("day")
    visit.walk()
    assert [p.plan_version for p in visit.written(DayPage)] == [2]


def test_a_plan_for_the_other_knee_says_so_and_leaves_no_tape_behind(
    beginning: Beginning,
) -> None:
    visit = beginning(tape_on(at(0, 9)))
    visit.plan_file = newer(visit.person.plan, side="left", main_side="left")
    visit.through("settings")
    visit.answer(press="Open a new plan")
    said = "Your plan so far was for the right knee. The new one is for the left knee."
    assert said in visit.words
    visit.answer({"another_knee": "yes"}, press="Yes, use this plan")
    assert is_front(visit)
    # The tape on the knee the new plan leaves out is still there, and still comes off.
    assert "Your tape on your right knee comes off" in visit.words
    visit.put_clock(days=2)
    visit.front_again()
    assert "Your tape on your right knee is due off now." in visit.words
    visit.through("tape")
    visit.answer({"side": "right"})
    visit.answer(press="Take the tape off")
    visit.walk()
    (off,) = visit.written(TapeOff)
    assert off.side == "right"
    assert is_front(visit)
    visit.through("routine")
    assert "Left knee" in visit.words


def test_a_review_that_has_passed_is_said_and_the_routine_stays(beginning: Beginning) -> None:
    visit = beginning(plan=taught_plan(review_on=DAY - timedelta(days=1)))
    due = "Your plan was due for review on 1 March 2026. Ask your clinic for a visit"
    assert due in visit.words
    assert {"routine", "visit"} <= set(visit.doors())
    visit.through("visit")
    assert visit.key == "visit"


# ---------------------------------------------------------------- left lying


def test_tape_on_for_nine_days_comes_off_now(beginning: Beginning) -> None:
    visit = beginning(tape_on(at(-9, 9)))
    assert "Your tape has been on too long, over 120 hours. Take it off now." in visit.words
    visit.through("tape")
    visit.answer(press="Take the tape off")
    visit.walk()
    assert len(visit.written(TapeOff)) == 1
    assert is_front(visit)
    assert "too long" not in visit.words


def test_tape_that_came_off_days_ago_is_written_without_a_time(beginning: Beginning) -> None:
    visit = beginning(tape_on(at(-9, 9)))
    visit.through("tape")
    visit.answer(press="Take the tape off")
    visit.walk(submitted={"off_when": {"off": "by_itself", "off_day": "unknown"}})
    (off,) = visit.written(TapeOff)
    assert is_front(visit)
    assert off.side == "right"


def test_a_lock_of_last_week_still_holds_and_can_be_cleared(beginning: Beginning) -> None:
    visit = beginning(warning(-7, "knee_stuck"))
    assert "Not now: first follow the card" in visit.words
    assert "card" in visit.doors()
    visit.through("routine")
    assert "closed" in visit.words.lower()
    visit.front_again()
    visit.through("card")
    visit.walk(
        submitted={
            "open:knee_stuck:talked": {"told": "all"},
            "open:knee_stuck:checked": {"by": "doctor", "days_ago": 1, "who": "M. Vane"},
        }
    )
    assert is_front(visit)
    assert "card" not in visit.doors()
    assert "Your knee routine. About" in visit.words


def test_a_fall_left_unsaid_is_added_from_the_front_page_and_closes_at_once(
    beginning: Beginning,
) -> None:
    """“I did fall”: written down with its card, and standing closed at once."""
    visit = beginning()
    visit.through("add")
    visit.answer({"about": "2"})
    visit.answer({"signs": ("fall_unhurt",)})
    visit.walk(until=("finished",))
    (fall,) = visit.written(WarningSign)
    assert fall.sign == "fall_unhurt"
    assert is_front(visit)
    assert "card" in visit.doors()


def test_a_ticked_sign_is_written_and_its_card_shown_when_the_person_leaves(
    beginning: Beginning,
) -> None:
    visit = beginning()
    visit.through("routine")
    visit.answer({"q1": "no", "q2": "yes", "q3": "no", "q4": "no"})
    assert visit.key == "list:1"
    page = visit.page
    assert isinstance(page, AskingPage)
    page.show_answers({"signs": ["fall_unhurt"], "rest": None})
    page.leave_wanted.emit()
    assert visit.key == "list:1:fall_unhurt:card"
    assert [one.sign for one in visit.written(WarningSign)] == ["fall_unhurt"]


def test_tape_comes_off_under_a_lock_too(beginning: Beginning) -> None:
    visit = beginning(warning(-7, "fever"), tape_on(at(-3, 9)))
    visit.through("tape")
    visit.answer(press="Take the tape off")
    visit.walk()
    assert len(visit.written(TapeOff)) == 1


def test_a_week_away_begins_with_the_whole_stop_list(beginning: Beginning) -> None:
    visit = beginning(page(-8, pain_average=4), session(-8, 5, 3, full_list=True))
    assert "Your knee routine. About" in visit.words
    visit.through("routine")
    # After seven days away the whole stop list is asked.
    seen: list[str] = []
    while not is_front(visit) and len(seen) < 6:
        seen.append(visit.words)
        visit.answer()
    assert any("You were away for a while" in words for words in seen)
