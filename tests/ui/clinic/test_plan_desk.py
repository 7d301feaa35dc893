"""Plans and reports from the clinic's window: into files, into the list, and out of a review."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from companion.care.records import Diary, Plan
from companion.exchange.files import diary_bytes, read
from companion.services.plan_draft import PlanDraft
from companion.ui.clinic.people_page import PeoplePage
from companion.ui.clinic.plan_pages import SectionPage, SigningPage
from companion.ui.clinic.plan_room import PlanRoom
from companion.ui.clinic.review_pages import AnswersPage
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.buttons import LookOverRow
from tests.services.plan_writing import put, ready
from tests.tour_clinic import TODAY, Desk
from tests.ui.kit.gallery import settle

ROOT = Path(__file__).parents[3]


def room_for(desk: Desk, draft: PlanDraft, diary: Diary | None = None) -> PlanRoom:
    room = PlanRoom(desk.clinic, desk.window, desk.clinic.show_people, diary)
    room.take_up(draft, "sign")
    settle()
    return room


def sign_here(desk: Desk, saved_as: str | None) -> None:
    page = desk.page()
    assert isinstance(page, SigningPage)
    assert page.name is not None
    assert page.registration is not None
    assert page.main is not None
    page.name.set_text("R. Vane")
    page.registration.set_text("PT 4711")
    desk.picks = [saved_as]
    page.main.click()
    settle()


def give(desk: Desk, **submitted: Any) -> None:
    page = desk.page()
    assert isinstance(page, AskingPage)
    page.submitted.emit(submitted)
    settle()


def today(draft: PlanDraft) -> PlanDraft:
    """A draft as if it were written on the desk's day."""
    from dataclasses import replace
    from datetime import timedelta

    moved = replace(draft, today=TODAY)
    return put(moved, review_on=TODAY + timedelta(days=42))


def test_a_first_plan_is_saved_and_stands_in_the_list(desk: Desk, tmp_path: Path) -> None:
    desk.clinic.show_people()
    room_for(desk, today(ready("hands_only")))
    sign_here(desk, str(tmp_path / "plan.homeknee"))
    assert "in the list here too" in desk.page().reading_text()
    plan = read(tmp_path / "plan.homeknee").plan
    assert plan is not None
    assert plan.sign_off is not None
    give(desk)
    assert isinstance(desk.page(), PeoplePage)
    case = desk.practice.people.case("K-07")
    assert case is not None
    assert case.plan_version == 1


def test_no_place_picked_leaves_the_plan_where_it_is(desk: Desk) -> None:
    room_for(desk, today(ready("hands_only")))
    sign_here(desk, None)
    assert isinstance(desk.page(), SigningPage)
    assert desk.practice.people.case("K-07") is None


def test_a_place_that_cannot_be_written_is_told(desk: Desk, tmp_path: Path) -> None:
    room_for(desk, today(ready("hands_only")))
    sign_here(desk, str(tmp_path / "not there" / "plan.homeknee"))
    assert "could not be saved there" in desk.page().reading_text()
    assert desk.practice.people.case("K-07") is None


def test_a_code_of_somebody_else_is_refused(desk: Desk, tmp_path: Path) -> None:
    desk.take_in(ROOT / "demo_profiles" / "edda" / "diary.homeknee")
    (case,) = desk.practice.people.cases()
    room_for(desk, put(today(ready("hands_only")), person=case.code))
    sign_here(desk, str(tmp_path / "plan.homeknee"))
    assert "is in the list already" in desk.page().reading_text()
    assert not (tmp_path / "plan.homeknee").exists()


def test_the_next_version_comes_out_of_a_review_and_back_into_it(
    desk: Desk, tmp_path: Path, qapp: QApplication
) -> None:
    desk.take_in(ROOT / "demo_profiles" / "osric" / "diary.homeknee")
    (case,) = desk.practice.people.cases()
    desk.clinic.open(case.code)
    desk.answers().way_chosen.emit("next_plan")
    settle()
    give(desk, begin="last")
    assert isinstance(desk.page(), SectionPage)
    (room,) = desk.window.findChildren(PlanRoom)
    room.open_section("sign")
    settle()
    sign_here(desk, str(tmp_path / "plan.homeknee"))
    plan = read(tmp_path / "plan.homeknee").plan
    assert isinstance(plan, Plan)
    assert plan.version == case.plan_version + 1
    give(desk)
    assert isinstance(desk.page(), AnswersPage)
    desk.answers()
    renewed = desk.practice.people.case(case.code)
    assert renewed is not None
    assert renewed.plan_version == plan.version
    # What the person brings next, kept on with the new plan, joins what is here.
    files = [(f.name, f.content) for f in desk.practice.people.files(case.code)]
    assert plan in desk.practice.folder.diary(files).plans


def test_left_with_no_new_plan_the_review_is_there_as_it_was(desk: Desk) -> None:
    """Its findings took seconds to make: they are not made again for a look at the writer."""
    desk.take_in(ROOT / "demo_profiles" / "osric" / "diary.homeknee")
    (case,) = desk.practice.people.cases()
    desk.clinic.open(case.code)
    record = desk.answers().record
    desk.answers().way_chosen.emit("next_plan")
    settle()
    desk.page().back_wanted.emit()
    settle()
    page = desk.answers()
    assert page.record.diary.entries == record.diary.entries
    assert page.record.diary is not record.diary  # the last weeks, then all of it
    page.way_chosen.emit("pain")
    desk.page().back_wanted.emit()
    desk.clinic.open(case.code)  # from the list it is read anew
    assert desk.answers().record.diary is not page.record.diary


def test_a_diary_is_no_plan_to_go_on_with(desk: Desk, tmp_path: Path) -> None:
    diary = read(ROOT / "demo_profiles" / "edda" / "diary.homeknee").diary
    assert diary is not None
    (tmp_path / "d.homeknee").write_bytes(diary_bytes(diary))
    PlanRoom(desk.clinic, desk.window, desk.clinic.show_people).enter()
    desk.picks = [str(tmp_path / "d.homeknee")]
    give(desk, begin="practice")
    assert "is a diary, not a plan" in desk.page().reading_text()


@pytest.mark.parametrize(
    ("key", "says"), [("R", "Report for the file"), ("S", "Summary for the person")]
)
def test_a_paper_is_saved_from_the_review(key: str, says: str, desk: Desk, tmp_path: Path) -> None:
    desk.take_in(ROOT / "demo_profiles" / "edda" / "diary.homeknee")
    (case,) = desk.practice.people.cases()
    desk.clinic.open(case.code)
    desk.answers()
    for picked in (None, str(tmp_path / "no" / "r.pdf"), str(tmp_path / "r.pdf")):
        desk.picks = [picked]
        page = desk.page()
        assert isinstance(page, AnswersPage)
        QTest.keyClicks(page, key)
        settle()
        if picked is None:
            assert desk.page() is page
            continue
        if desk.shown:
            break
        told = desk.page().reading_text()
        assert says in told
        assert "could not be saved" in told
        give(desk)
    assert desk.shown == [str(tmp_path / "r.pdf")]
    assert isinstance(desk.page(), AnswersPage)
    assert (tmp_path / "r.pdf").read_bytes().startswith(b"%PDF")


def test_write_a_plan_is_a_way_from_the_list(desk: Desk) -> None:
    page = desk.page()
    assert isinstance(page, PeoplePage)
    page.way_chosen.emit("write")
    settle()
    assert desk.page().heading_text() == "Write a plan"
    desk.page().back_wanted.emit()
    settle()
    assert isinstance(desk.page(), PeoplePage)


def test_a_window_with_a_plan_half_written_asks_before_it_closes(desk: Desk) -> None:
    page = desk.page()
    assert isinstance(page, PeoplePage)
    page.way_chosen.emit("write")
    settle()
    assert desk.window.may_close is not None
    assert desk.window.may_close()  # nothing is begun yet
    give(desk, begin="template:hands_only")
    assert not desk.window.may_close()
    settle()
    assert desk.page().heading_text() == "Leave this plan?"
    give(desk, do="stay")
    assert isinstance(desk.page(), SectionPage)
    assert not desk.window.may_close()
    give(desk, do="drop")
    assert isinstance(desk.page(), PeoplePage)
    assert desk.window.may_close()


def test_a_plan_half_written_is_offered_again_to_the_window_after_this_one(
    desk: Desk, tmp_path: Path
) -> None:
    desk.take_in(ROOT / "demo_profiles" / "osric" / "diary.homeknee")
    (case,) = desk.practice.people.cases()
    desk.clinic.open(case.code)
    desk.answers().way_chosen.emit("next_plan")
    settle()
    give(desk, begin="last")
    page = desk.page()
    assert isinstance(page, SectionPage)
    page.answered.emit("goal", "To the end of the mole.")
    # Nobody leaves the writer: the window is gone as a killed one is.
    desk.practice.people.close()
    after = Desk(tmp_path / "data", desk.window)
    try:
        after.clinic.open(case.code)
        after.answers().way_chosen.emit("next_plan")
        settle()
        assert "left unfinished here" in after.page().reading_text()
        (kept,) = after.practice.drafts.kept(case.code)
        give(after, begin=f"draft:{kept.name}")
        room = after.window.findChildren(PlanRoom)[-1]
        assert room.draft.answers["goal"] == "To the end of the mole."
        assert room.draft.version == case.plan_version + 1
        room.open_section("sign")
        settle()
        sign_here(after, str(tmp_path / "plan.homeknee"))
        assert after.practice.drafts.kept(case.code) == ()
        give(after)
        # A first plan is asked about by itself: this draft was never one.
        after.clinic.show_people()
        after.page().way_chosen.emit("write")  # type: ignore[attr-defined]
        settle()
        assert "unfinished" not in after.page().reading_text()
    finally:
        after.close()


def test_each_line_of_the_first_session_leads_to_its_field_and_back(desk: Desk) -> None:
    draft = put(ready(), **{"session.held": True, "session.rest_pain": 2, "session.before": 6})
    room = room_for(desk, draft)
    rows = {row.word: row for row in desk.page().findChildren(LookOverRow)}
    assert {"2", "6"} <= {row.line for row in rows.values()}
    for word in list(rows):
        signing = desk.page()
        assert isinstance(signing, SigningPage)
        next(row for row in signing.findChildren(LookOverRow) if row.word == word).click()
        settle()
        page = desk.page()
        assert isinstance(page, SectionPage)
        assert page.section.key == "session"
        assert page.main is not None
        assert page.main.word == "Back to signing"
        page.main.click()
        settle()
    assert room.draft.answers == draft.answers
    assert isinstance(desk.page(), SigningPage)
