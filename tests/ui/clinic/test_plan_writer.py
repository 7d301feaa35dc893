"""The plan writer through its pages: by keyboard, from a template to a file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings, strategies
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from companion.care.records import Diary, Plan, Session
from companion.exchange.files import plan_bytes, read_bytes
from companion.journal.drafts import draft_name
from companion.presentation.clinic.plan_form import section
from companion.presentation.clinic.plan_pages import unseen_faults
from companion.presentation.clinic.plan_signing import signing
from companion.services.plan_draft import PlanDraft, from_last, plan_of, set_field, sign
from companion.ui.clinic.clinic_page import WayLine
from companion.ui.clinic.plan_pages import SectionPage, SigningPage
from companion.ui.clinic.plan_room import PlanRoom
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.form import DayBox, NumberBox, TextBox, YesNoBox
from companion.ui.kit.page import Page
from companion.ui.kit.theme import Theme, apply
from companion.ui.kit.window import PageWindow
from tests.care.content import CATALOGUE
from tests.services.plan_writing import AT, TODAY, put, ready, started, worn
from tests.tour_clinic import Desk
from tests.ui.kit import accessibility, clipping
from tests.ui.kit.gallery import settle

SECTIONS = tuple(each.id for each in CATALOGUE.plan_form.sections)


class WriterDesk(Desk):
    """A desk whose files go into a folder under the name that is offered; None: no place picked."""

    def __init__(self, window: PageWindow, folder: Path) -> None:
        self.place: Path | None = folder / "saved"
        (folder / "saved").mkdir()
        self._saved = folder / "saved"
        super().__init__(folder / "data", window, TODAY)

    def save_as(self, offered: str) -> str | None:
        return None if self.place is None else str(self.place / offered)

    @property
    def saved(self) -> list[tuple[str, bytes]]:
        return [(path.name, path.read_bytes()) for path in sorted(self._saved.iterdir())]


class Writer:
    """The room in a window, and what a hand does in it."""

    def __init__(self, window: PageWindow, folder: Path) -> None:
        self.window = window
        self.desk = WriterDesk(window, folder)
        self.drafts = self.desk.practice.drafts
        self.times_left = 0
        self.begin_anew()

    def begin_anew(self, diary: Diary | None = None) -> None:
        """Another window, after the first was killed: nothing is left of it but the disk."""
        self.room = PlanRoom(self.desk.clinic, self.window, self._left, diary)

    def _left(self) -> None:
        self.times_left += 1

    def pick(self, data: bytes) -> None:
        """Pick a file of these bytes when one is next asked for."""
        path = self.desk.data / "picked.homeknee"
        path.write_bytes(data)
        self.desk.picks = [str(path)]

    @property
    def page(self) -> Page:
        page = self.window.page()
        assert page is not None
        return page

    @property
    def section(self) -> SectionPage:
        assert isinstance(self.page, SectionPage)
        return self.page

    @property
    def signing(self) -> SigningPage:
        assert isinstance(self.page, SigningPage)
        return self.page

    def at(self, draft: PlanDraft, key: str) -> Any:
        self.room.take_up(draft, key)
        settle()
        return self.page

    def type_into(self, key: str, text: str) -> None:
        box = self.section.boxes[key]
        assert isinstance(box, NumberBox | TextBox | DayBox)
        self.type_at(box.field, text)

    def type_at(self, field: QWidget, text: str) -> None:
        editor = field.focusProxy()
        assert editor is not None
        editor.setFocus()
        QTest.keyClick(editor, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
        QTest.keyClick(editor, Qt.Key.Key_Delete)
        QTest.keyClicks(editor, text)

    def press(
        self, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier
    ) -> None:
        target = QApplication.focusWidget()
        assert target is not None
        QTest.keyClick(target, key, modifier)
        settle()

    def sign(self, registration: str) -> None:
        """Sign on the page that is open."""
        page = self.signing
        assert page.name is not None
        assert page.registration is not None
        assert page.main is not None
        page.name.set_text("R. Vane")
        page.registration.set_text(registration)
        page.main.click()
        settle()

    def give(self, **submitted: Any) -> None:
        assert isinstance(self.page, AskingPage)
        self.page.submitted.emit(submitted)
        settle()


@pytest.fixture
def writer(qtbot: QtBot, qapp: QApplication, tmp_path: Path) -> Iterator[Writer]:
    apply(qapp, Theme())
    window = PageWindow("Clinic")
    qtbot.addWidget(window)
    window.resize(1366, 768)
    with qtbot.waitActive(window):
        window.show()
        window.activateWindow()
    made = Writer(window, tmp_path)
    yield made
    made.desk.close()
    apply(qapp, Theme())


# ---------------------------------------------------------------- whole


def test_from_a_template_to_a_signed_file_by_keyboard(writer: Writer) -> None:
    writer.room.enter()
    writer.give(begin="template:hands_only")
    writer.type_into("person", "K-07")
    writer.section.boxes["side"].setFocus()
    writer.press(Qt.Key.Key_2)
    writer.press(Qt.Key.Key_PageDown, Qt.KeyboardModifier.ControlModifier)
    boxes = [box for box in writer.section.boxes.values() if isinstance(box, YesNoBox)]
    groups = [box for box in boxes if box.is_there()]
    assert [box.key for box in groups] == [
        f"caution_groups.{group.id}" for group in CATALOGUE.cautions.groups
    ], "each group is read and answered; no row is in sight before"
    for _ in groups:
        writer.press(Qt.Key.Key_N)
    assert all(box.answer() == "none" for box in groups)
    assert all(box.answer() is False for box in boxes if box not in groups)
    writer.room.open_section("move")
    settle()
    writer.section.boxes["check_move.safe"].setFocus()
    writer.press(Qt.Key.Key_1)
    writer.room.open_section("limits")
    settle()
    writer.type_into("stop_amount", "2")
    writer.type_into("pain_ceiling", "5")
    writer.type_into("bad_day_mark", "8")
    writer.room.open_section("calls")
    settle()
    for role in ("emergency", "clinic", "out_of_hours"):
        writer.type_into(f"contacts.{role}.number", "0100 555")
    for key in ("hands", "exercise"):
        writer.room.open_section(key)
        settle()
        writer.press(Qt.Key.Key_F4)
    writer.room.open_section("sign")
    settle()
    assert writer.signing.fault_rows == ()
    writer.sign("PT 4711")
    ((name, data),) = writer.desk.saved
    assert name == "plan-K-07-1.homeknee"
    reading = read_bytes(data)
    assert reading.state == "whole"
    assert reading.plan is not None
    assert reading.plan.sign_off is not None
    assert reading.plan.sign_off.name == "R. Vane"
    assert "R. Vane" in writer.page.reading_text()
    writer.give()
    assert writer.times_left == 1


def test_a_first_session_goes_home_with_the_plan(writer: Writer) -> None:
    page: SectionPage = writer.at(ready("hands_only"), "person")
    assert "session" not in page.section_names
    tick = page.boxes["session.held"]
    tick.setFocus()
    writer.press(Qt.Key.Key_Space)
    assert "session" in writer.section.section_names
    writer.room.open_section("session")
    settle()
    writer.type_into("session.before", "7")
    writer.type_into("session.after_hands", "4")
    writer.type_into("session.scoring", "Ten is the worst I can think of.")
    writer.section.boxes["session.zones_before"].setFocus()
    writer.press(Qt.Key.Key_Space)
    writer.room.open_section("sign")
    settle()
    writer.sign("1")
    ((name, data),) = writer.desk.saved
    assert name == "start-K-07-1.homeknee"
    diary = read_bytes(data).diary
    assert diary is not None
    (session,) = (entry for entry in diary.entries if isinstance(entry, Session))
    assert session.place == "clinic"
    assert [move.score for move in session.moves] == [7, 4]
    assert len(session.moves[0].zones) == 1
    assert "The session of today is in it." in writer.page.reading_text()


def test_the_last_answer_goes_on_to_the_next_section(writer: Writer) -> None:
    page: SectionPage = writer.at(started(), "cautions")
    asked = [box for box in page.boxes.values() if isinstance(box, YesNoBox)]
    group = page.boxes["caution_groups.living"]
    group.setFocus()
    writer.press(Qt.Key.Key_Y)
    focused = QApplication.focusWidget()
    assert focused is not None
    assert page.boxes["cautions.weak_hands"].isAncestorOf(focused)
    writer.press(Qt.Key.Key_N)
    writer.press(Qt.Key.Key_Y)
    assert asked[-1].answer() is True
    assert page.main is not None
    assert page.main.hasFocus()
    writer.press(Qt.Key.Key_Enter)
    assert writer.section.section.key == "move"


def test_a_yes_shows_its_tick_and_delete_takes_the_answer_away(writer: Writer) -> None:
    page: SectionPage = writer.at(put(started(), caution_groups__blood="some"), "cautions")
    tick = page.boxes["cautions.lymphoedema.allowed"]
    assert not tick.is_there()
    box = page.boxes["cautions.lymphoedema"]
    box.setFocus()
    writer.press(Qt.Key.Key_Y)
    assert tick.is_there()
    assert writer.room.draft.answers["cautions.lymphoedema"] is True
    reason = page.boxes["cautions.lymphoedema.reason"]
    assert not reason.is_there()
    tick.setFocus()
    writer.press(Qt.Key.Key_Space)
    assert reason.remarks_shown()[0] == "Say why it is opened all the same."
    reason.setFocus()
    writer.press(Qt.Key.Key_3)
    assert writer.room.draft.answers["cautions.lymphoedema.reason"] == "settled"
    assert reason.remarks_shown()[0] == ""
    box.setFocus()
    writer.press(Qt.Key.Key_Delete)
    assert writer.room.draft.answers.get("cautions.lymphoedema") is None
    assert not tick.is_there()
    assert box.remarks_shown()[0] == "Not answered yet."


# ---------------------------------------------------------------- faults beside fields


@pytest.mark.parametrize(
    ("section", "key", "typed", "sentence"),
    [
        ("limits", "pain_ceiling", "1", "The pain ceiling is below the stop amount."),
        ("limits", "rounds", "9", "Write a whole number from 1 to 3."),
        ("limits", "rounds", "", "This needs an answer."),
        ("tape", "tape.cap_hours", "48", "The hard cap is below the hours after which"),
        ("person", "review_on", "1 3 2026", "The review must be after today."),
        ("person", "review_on", "soon", "Write a day such as 24 12 2026"),
        ("person", "person", "Mrs Name", "A code, never a name."),
        ("lengths", "knees.right.bump_to_upper_edge_mm", "300", "from 40 to 250"),
    ],
)
def test_a_fault_stands_beside_its_field_while_typing(
    writer: Writer, section: str, key: str, typed: str, sentence: str
) -> None:
    page: SectionPage = writer.at(ready(), section)
    assert page.boxes[key].remarks_shown()[0] == ""
    writer.type_into(key, typed)
    settle()
    assert sentence in page.boxes[key].remarks_shown()[0]
    assert all(box.remarks_shown()[0] == "" for k, box in page.boxes.items() if k != key)
    writer.room.open_section("sign")
    settle()
    assert writer.signing.main is None
    (row,) = writer.signing.fault_rows
    row.setFocus()
    writer.press(Qt.Key.Key_Enter)
    assert writer.section.section.key == section
    focused = QApplication.focusWidget()
    assert focused is not None
    assert writer.section.boxes[key].isAncestorOf(focused)


def test_advice_is_told_apart_from_a_fault(writer: Writer) -> None:
    page: SectionPage = writer.at(ready(), "lengths")
    writer.type_into("knees.right.bump_to_upper_edge_mm", "170")
    fault, advice = page.boxes["knees.right.bump_to_upper_edge_mm"].remarks_shown()
    assert fault == ""
    assert advice.startswith("Note: ")


def test_a_day_is_read_back_in_words(writer: Writer) -> None:
    page: SectionPage = writer.at(ready(), "person")
    writer.type_into("review_on", "6w")
    assert writer.room.draft.answers["review_on"] == date(2026, 4, 13)
    assert "Monday 13 April 2026" in page.reading_text()


def test_the_amounts_of_each_week_are_shown_while_they_are_typed(writer: Writer) -> None:
    # 200 m now, goal 300 m: 160, 180 ... 300 in week 8 (guideline text, S; arithmetic, D).
    page: SectionPage = writer.at(ready(), "activities")
    for name, text in (("label", "Walk"), ("unit", "m"), ("baseline", "200"), ("goal", "300")):
        writer.type_into(f"amounts.0.{name}", text)
    assert "160, 180, 200, 220, 240, 260, 280, 300 m" in page.reading_text()
    assert "week 8" in page.reading_text()


def test_the_source_of_every_default_is_one_key_away(writer: Writer) -> None:
    draft = put(ready(), session__held=True)
    for key in SECTIONS[:-1]:
        page: SectionPage = writer.at(draft, key)
        assert all(box.source() for k, box in page.boxes.items() if not k.endswith(".allowed"))
        hidden = page.reading_text()
        writer.press(Qt.Key.Key_F2)
        shown = page.reading_text()
        assert len(shown) > len(hidden)
        writer.press(Qt.Key.Key_F2)
        assert page.reading_text() == hidden


# ---------------------------------------------------------------- the tape trial


def test_a_trial_is_ticked_and_what_it_can_tell_follows_what_is_typed(writer: Writer) -> None:
    writer.begin_anew(Diary(plans=(plan_of(ready()),), entries=worn()))
    page: SectionPage = writer.at(put(ready(), review_on=date(2026, 6, 1)), "trial")
    assert "Smallest p" not in page.reading_text()
    page.boxes["trial.on"].setFocus()
    writer.press(Qt.Key.Key_Space)
    assert "0.0078, two-sided" in page.reading_text()
    assert "64 days, 3 March 2026 to 5 May 2026" in page.reading_text()
    writer.type_into("trial.pairs", "6")
    settle()
    # Six pairs: 2/2^6 = .0313 (fact: trial_pairs).
    assert "0.0313, two-sided" in page.reading_text()
    trial = plan_of(writer.room.draft).trial
    assert trial is not None
    assert trial.pairs == 6
    assert len(trial.seed) == 32
    assert trial.seed not in page.reading_text()
    writer.type_into("trial.pairs", "5")
    settle()
    assert "Smallest p" not in page.reading_text()
    assert page.boxes["trial.pairs"].remarks_shown()[0] != ""


def test_what_the_person_sees_of_a_trial_is_one_key_away(writer: Writer) -> None:
    writer.at(put(ready(), trial__on=True), "trial")
    writer.press(Qt.Key.Key_F3)
    assert "Your tape trial is on" in writer.page.reading_text()
    writer.give(end=True)
    assert writer.section.section.key == "trial"


def test_a_trial_with_no_diary_at_hand_is_not_signed(writer: Writer) -> None:
    page: SectionPage = writer.at(ready(), "trial")
    page.boxes["trial.on"].setFocus()
    writer.press(Qt.Key.Key_Space)
    assert "No diary is at hand" in page.boxes["trial.on"].remarks_shown()[0]
    writer.room.open_section("sign")
    settle()
    assert writer.signing.main is None


def test_the_page_of_the_trial_comes_and_goes_with_the_tape(writer: Writer) -> None:
    page: SectionPage = writer.at(ready(), "tape")
    assert "trial" in page.section_names
    page.boxes["tape.when"].setFocus()
    writer.press(Qt.Key.Key_1)
    assert "trial" not in writer.section.section_names
    focused = QApplication.focusWidget()
    assert focused is not None
    assert writer.section.boxes["tape.when"].isAncestorOf(focused)


# ---------------------------------------------------------------- preview, leaving, versions


def test_the_preview_is_the_persons_own_page_and_comes_back(writer: Writer) -> None:
    page: SectionPage = writer.at(ready(), "hands")
    first = CATALOGUE.technique(next(iter(t for t in ("stroke_thigh",))))
    page.preview_wanted.emit()
    settle()
    assert first.title == writer.page.heading_text()
    assert first.steps[0].person in writer.page.reading_text()
    writer.give(end=False)
    assert writer.page.heading_text() != first.title
    writer.press(Qt.Key.Key_Escape)
    assert writer.page.heading_text() == first.title
    writer.give(end=True)
    assert writer.section.section.key == "hands"


def test_what_was_not_shown_back_is_not_in_the_preview(writer: Writer) -> None:
    writer.at(put(ready(), techniques__stroke_thigh__taught_on=None), "hands")
    writer.press(Qt.Key.Key_F3)
    assert writer.page.heading_text() != CATALOGUE.technique("stroke_thigh").title


def test_a_new_version_shows_what_it_changes(writer: Writer) -> None:
    last = sign(ready(), CATALOGUE, name="R. Vane", registration="1", at=AT)
    assert isinstance(last, Plan)
    writer.begin_anew(Diary(plans=(last,)))
    writer.room.enter()
    writer.give(begin="last")
    writer.room.open_section("limits")
    writer.type_into("rounds", "1")
    writer.room.open_section("sign")
    settle()
    told = writer.page.reading_text()
    assert "hands rounds 1 (was 2)" in told
    assert "What this version changes" in told


def test_leaving_asks_and_a_practice_plan_is_kept(writer: Writer) -> None:
    writer.at(ready(), "person")
    writer.press(Qt.Key.Key_Escape)
    writer.give(do="stay")
    assert writer.section.section.key == "person"
    writer.press(Qt.Key.Key_Escape)
    writer.give(do="practice")
    ((name, data),) = writer.desk.saved
    assert name == "practice-plan-K-07-1.homeknee"
    kept = read_bytes(data).plan
    assert kept is not None
    assert kept.practice
    writer.pick(data)
    writer.room.enter()
    writer.give(begin="practice")
    assert writer.room.draft.answers["person"] == "K-07"


def test_a_draft_without_a_person_asks_for_one_before_it_is_kept(writer: Writer) -> None:
    writer.at(started(), "sign")
    writer.signing.practice.click()
    settle()
    assert writer.section.section.key == "person"
    assert writer.desk.saved == []


def test_a_signed_file_or_that_of_another_is_not_gone_on_with(writer: Writer) -> None:
    signed = sign(ready(), CATALOGUE, name="R. Vane", registration="1", at=AT)
    assert isinstance(signed, Plan)
    for picked in (plan_bytes(signed), plan_bytes(signed)[:-9]):
        writer.pick(picked)
        writer.room.enter()
        writer.give(begin="practice")
        assert writer.page.heading_text() == "This file was not opened"
    writer.desk.picks = []
    writer.room.enter()
    writer.give(begin="practice")
    assert writer.page.heading_text() == "Write a plan"


def test_the_pages_for_a_family_without_a_computer_come_with_the_plan(
    writer: Writer, tmp_path: Path
) -> None:
    writer.at(ready("hands_only"), "sign")
    writer.sign("1")
    writer.give(papers="helper")  # no place was picked
    assert "new folder" not in writer.page.reading_text()
    stick = tmp_path / "stick"
    stick.mkdir()
    writer.desk.picks = [str(stick)]
    writer.give(papers="helper")
    (folder,) = stick.iterdir()
    assert folder.name in writer.page.reading_text()
    assert {path.name for path in folder.iterdir()} >= {"booklet.pdf", "blank-days.pdf"}
    writer.give(print_out="person")  # or through the window for printing
    assert f"{folder.name} is on its way." in writer.page.reading_text()
    writer.give()
    assert writer.times_left == 1


def test_a_plan_that_could_not_be_saved_is_not_lost(writer: Writer) -> None:
    writer.at(ready(), "sign")
    writer.desk.place = writer.desk.data / "not there"
    writer.sign("1")
    assert "could not be saved there" in writer.page.reading_text()
    writer.give()
    assert writer.signing.name is not None
    assert writer.signing.name.text() == "R. Vane"


def test_nobody_signs_without_a_name(writer: Writer) -> None:
    page: SigningPage = writer.at(ready(), "sign")
    assert page.main is not None
    page.main.click()
    assert writer.desk.saved == []
    assert "This needs an answer." in page.reading_text()


def test_a_template_for_somebody_with_a_plan_makes_its_next_version(writer: Writer) -> None:
    last = sign(ready(), CATALOGUE, name="R. Vane", registration="1", at=AT)
    assert isinstance(last, Plan)
    writer.begin_anew(Diary(plans=(last,)))
    writer.room.enter()
    writer.give(begin="template:hands_only")
    assert writer.room.draft.version == 2
    assert writer.room.draft.answers["person"] == "K-07"
    assert writer.room.draft.answers.get("cautions.clot") is None


# ---------------------------------------------------------------- kept on the disk


def test_what_was_answered_outlives_the_window(writer: Writer) -> None:
    writer.room.enter()
    writer.give(begin="template:hands_only")
    writer.type_into("person", "K-07")
    writer.type_into("goal", "Stairs to the quay.")
    settle()
    writer.begin_anew()
    writer.room.enter()
    settle()
    told = writer.page.reading_text()
    assert "A plan was left unfinished here. Every answer of it is kept." in told
    assert "K-07" in told
    (kept,) = writer.drafts.kept(None)
    writer.give(begin=f"draft:{kept.name}")
    assert writer.room.draft.answers["goal"] == "Stairs to the quay."
    assert writer.room.draft.answers["person"] == "K-07"
    writer.type_into("birth_year", "1950")
    (again,) = writer.drafts.kept(None)
    assert again.name == kept.name, "it is kept where it was"


def test_nothing_is_kept_before_anything_was_answered(writer: Writer) -> None:
    writer.room.enter()
    writer.give(begin="template:hands_only")
    assert writer.drafts.kept(None) == ()


def test_it_is_taken_up_where_it_was_left(writer: Writer) -> None:
    writer.at(ready(), "limits")
    writer.type_into("rounds", "1")
    writer.press(Qt.Key.Key_Escape)
    writer.room.ask_to_leave()
    writer.give(do="later")
    assert writer.times_left == 1
    assert not writer.room.is_writing
    writer.room.enter()
    (kept,) = writer.drafts.kept(None)
    writer.give(begin=f"draft:{kept.name}")
    assert writer.room.draft.answers["rounds"] == 1


def test_a_draft_of_one_person_is_not_offered_for_another(writer: Writer) -> None:
    last = sign(ready(), CATALOGUE, name="R. Vane", registration="1", at=AT)
    assert isinstance(last, Plan)
    writer.begin_anew(Diary(plans=(last,)))
    writer.at(from_last(last, TODAY), "limits")
    writer.type_into("rounds", "1")
    for code, offered in (("K-08", False), (None, False), ("K-07", True)):
        of = replace(last, person=code or "K-07")
        writer.begin_anew(None if code is None else Diary(plans=(of,)))
        writer.room.enter()
        settle()
        assert ("left unfinished" in writer.page.reading_text()) == offered
    (kept,) = writer.drafts.kept("K-07")
    writer.give(begin=f"draft:{kept.name}")
    assert writer.room.draft.version == 2
    assert writer.room.draft.last is not None


@pytest.mark.parametrize("way", ["signed", "practice", "drop"])
def test_a_draft_goes_when_the_plan_is_signed_kept_or_dropped(writer: Writer, way: str) -> None:
    page: SectionPage = writer.at(ready(), "limits")
    writer.type_into("rounds", "1")
    assert len(writer.drafts.kept(None)) == 1
    if way == "signed":
        writer.room.open_section("sign")
        settle()
        writer.sign("1")
    elif way == "practice":
        page.back_wanted.emit()
        writer.room.ask_to_leave()
        writer.give(do="practice")
    else:
        writer.room.ask_to_leave()
        settle()
        assert "Drop plan 1 of K-07" in writer.page.reading_text()
        writer.give(do="drop")
    settle()
    assert writer.drafts.kept(None) == ()


def test_a_plan_that_was_not_saved_keeps_its_draft(writer: Writer) -> None:
    writer.at(ready(), "limits")
    writer.type_into("rounds", "1")
    writer.desk.place = None
    writer.room.ask_to_leave()
    writer.give(do="practice")
    assert len(writer.drafts.kept(None)) == 1


def test_a_damaged_draft_is_said_and_left_alone(writer: Writer) -> None:
    writer.at(ready(), "limits")
    writer.type_into("rounds", "1")
    (path,) = writer.drafts.place.iterdir()
    damaged = path.read_bytes()[:-30]
    path.write_bytes(damaged)
    writer.begin_anew()
    writer.room.enter()
    settle()
    assert f"cannot be read: {path.name}" in writer.page.reading_text()
    assert "left unfinished" not in writer.page.reading_text()
    writer.give(begin="template:hands_only")
    writer.type_into("person", "K-09")
    writer.room.ask_to_leave()
    writer.give(do="drop")
    assert path.read_bytes() == damaged


def test_a_disk_that_refuses_is_told_once_and_nothing_is_lost_in_the_window(
    writer: Writer, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_given: object) -> None:
        raise OSError(28, "No space left on device")

    writer.at(ready(), "limits")
    with monkeypatch.context() as refusing:
        refusing.setattr("companion.journal.drafts.write_whole", full)
        writer.type_into("rounds", "1")
        settle()
        assert "not on the disk: no space left on device" in writer.page.reading_text()
        writer.give()
        writer.type_into("check_moves", "6")
        settle()
        assert writer.section.section.key == "limits", "told once"
        writer.room.ask_to_leave()
        writer.give(do="later")
        assert "not on the disk" in writer.page.reading_text()
        assert writer.room.is_writing
        writer.give()
    writer.type_into("stop_amount", "3")
    (kept,) = writer.drafts.kept(None)
    assert kept.body is not None
    answers: Any = kept.body["answers"]
    assert (answers["rounds"], answers["check_moves"]) == (1, 6)


def test_a_draft_that_cannot_be_removed_is_told(
    writer: Writer, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_given: object) -> None:
        raise PermissionError(13, "Permission denied")

    writer.at(ready(), "limits")
    writer.type_into("rounds", "1")
    monkeypatch.setattr(writer.drafts, "drop", refused)
    writer.room.ask_to_leave()
    writer.give(do="drop")
    assert "could not be removed: permission denied" in writer.page.reading_text()
    writer.give()
    assert writer.times_left == 1


def test_a_folder_that_cannot_be_read_keeps_nobody_from_writing(
    writer: Writer, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_given: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(writer.drafts, "kept", refused)
    writer.room.enter()
    settle()
    assert "permission denied" in writer.page.reading_text()
    writer.give()
    assert writer.page.heading_text() == "Write a plan"


@pytest.mark.parametrize(("percent", "size"), [(100, (1366, 768)), (150, (1024, 600))])
def test_the_pages_round_a_draft_fit_and_are_told(
    writer: Writer, qapp: QApplication, percent: int, size: tuple[int, int]
) -> None:
    apply(qapp, Theme(text_percent=percent))
    writer.window.resize(*size)
    writer.at(ready(), "limits")
    writer.type_into("rounds", "1")
    writer.drafts.place.joinpath(draft_name(None, "0" * 32)).write_bytes(b"nothing")
    found = []
    for show in (writer.room.ask_to_leave, writer.room.enter):
        show()
        settle()
        page = writer.page
        found += clipping.faults(page) + clipping.overlaps(page) + accessibility.faults(page)
    assert found == []


# ---------------------------------------------------------------- every page holds


@pytest.mark.parametrize(("percent", "size"), [(100, (1366, 768)), (150, (1024, 600))])
def test_every_section_fits_and_is_told(
    writer: Writer, qapp: QApplication, percent: int, size: tuple[int, int]
) -> None:
    apply(qapp, Theme(text_percent=percent))
    writer.window.resize(*size)
    last = sign(ready(), CATALOGUE, name="R. Vane", registration="1", at=AT)
    assert isinstance(last, Plan)
    found = []
    draft = put(from_last(last, TODAY), side="both", cautions__clot=True, rounds=None)
    draft = put(draft, session__held=True, session__stage=1, session__after_hands=3)
    draft = put(draft, trial__on=True)
    for key in SECTIONS:
        page = writer.at(draft, key)
        if isinstance(page, SectionPage):
            page.toggle_sources()
            settle()
        seen = clipping.faults(page) + clipping.overlaps(page) + accessibility.faults(page)
        found += [f"{key}: {fault}" for fault in seen]
    assert found == []


# ---------------------------------------------------------------- in place, and in sight


def place_of(page: SectionPage, key: str) -> int:
    """Where a field stands on the page, from the top of the column."""
    return page.boxes[key].mapTo(page.column, QPoint(0, 0)).y()


def test_a_remark_that_goes_leaves_the_next_field_in_its_place(writer: Writer) -> None:
    """A press aimed at the number of the clinic once went into the emergency number."""
    page: SectionPage = writer.at(put(ready(), contacts__emergency__number=None), "calls")
    assert any(page.boxes["contacts.emergency.number"].remarks_shown())
    settle()
    before = place_of(page, "contacts.clinic.number")
    writer.type_into("contacts.emergency.number", "112")
    settle()
    assert page.boxes["contacts.emergency.number"].remarks_shown() == ("", "")
    assert place_of(page, "contacts.clinic.number") == before
    writer.room.open_section("calls")  # what is drawn anew keeps no room for what is gone
    settle()
    assert place_of(writer.section, "contacts.clinic.number") <= before


@pytest.mark.parametrize(
    ("section", "key", "half", "whole", "below"),
    [
        ("calls", "contacts.emergency.number", "1", "112", "contacts.clinic.number"),
        ("limits", "ease_target_percent", "5", "50", "stop_amount"),
    ],
)
def test_a_number_half_typed_moves_nothing_below_it(
    writer: Writer, section: str, key: str, half: str, whole: str, below: str
) -> None:
    """A press aimed at the field below once met another one."""
    page: SectionPage = writer.at(ready(), section)
    settle()
    before = place_of(page, below)
    writer.type_into(key, half)
    settle()
    assert page.boxes[key].remarks_shown()[0]
    assert place_of(page, below) == before
    writer.type_into(key, whole)
    settle()
    assert page.boxes[key].remarks_shown() == ("", "")
    assert place_of(page, below) == before


def test_back_is_in_sight_whatever_is_counted_in_the_contents(writer: Writer) -> None:
    writer.begin_anew(Diary(plans=(plan_of(ready()),), entries=worn()))
    page: SectionPage = writer.at(ready(), "trial")
    wide = {line: line.width() for line in page.findChildren(WayLine) if line.isVisible()}
    page.boxes["trial.on"].setFocus()
    writer.press(Qt.Key.Key_Space)
    counted = [line.word for line in wide if line.word.startswith("Person and knee")]
    assert counted == ["Person and knee (1)"]  # the trial is not over by the review
    (back,) = (line for line in wide if line.word == "Back")
    assert back.visibleRegion().boundingRect() == back.rect()
    assert {line: line.width() for line in wide} == wide


@pytest.mark.parametrize("size", [(1366, 768), (1024, 600)])
def test_a_page_and_its_main_button_stand_in_one_frame(
    writer: Writer, size: tuple[int, int]
) -> None:
    writer.window.resize(*size)
    for key in SECTIONS:
        page = writer.at(ready(), key)
        if page.main is None:
            continue
        words, button = (
            widget.rect().translated(widget.mapTo(page, QPoint(0, 0)))
            for widget in (page.heading, page.main)
        )
        assert (words.left(), words.right()) == (button.left(), button.right())


def test_a_trial_before_a_knee_is_chosen_asks_which(writer: Writer) -> None:
    """The contents counted a fault of the tape trial, and its page said nothing."""
    page: SectionPage = writer.at(put(ready(), side=None), "trial")
    page.boxes["trial.on"].setFocus()
    writer.press(Qt.Key.Key_Space)
    which = writer.section.boxes["trial.side"]
    assert which.is_there()
    assert which.remarks_shown()[0] == "This needs an answer."


def test_a_fault_under_a_field_not_shown_is_said_at_the_head_of_its_page() -> None:
    made = section("limits", put(ready(), rounds=None), CATALOGUE)
    assert unseen_faults(made) == ()
    hidden = [replace(group, shown=False) for group in made.groups]
    assert unseen_faults(replace(made, groups=tuple(hidden))) == (
        "Hands rounds: This needs an answer.",
    )


@pytest.mark.parametrize("version", [1, 2])
def test_a_session_is_called_what_it_is_on_every_version(writer: Writer, version: int) -> None:
    draft = ready()
    if version == 2:
        last = sign(draft, CATALOGUE, name="R. Vane", registration="1", at=AT)
        assert isinstance(last, Plan)
        draft = from_last(last, TODAY)
    page: SectionPage = writer.at(put(draft, session__held=True), "session")
    assert page.heading_text() == "Session today"
    assert "first session" not in page.reading_text().lower()


@settings(max_examples=30)
@given(data=strategies.data())
def test_every_fault_that_is_counted_is_said_on_its_page(data: strategies.DataObject) -> None:
    draft = ready()
    asked = sorted(key for key in draft.answers if not key.startswith("cautions."))
    for key in data.draw(strategies.lists(strategies.sampled_from(asked))):
        answer = data.draw(strategies.sampled_from([None, True, 9]))
        draft = set_field(draft, key, answer, CATALOGUE)
    draft = put(draft, trial__on=data.draw(strategies.booleans()))
    for fault in signing(draft, CATALOGUE, "").faults:
        if fault.section == "sign":
            continue
        page = section(fault.section, draft, CATALOGUE)
        shown = [f for group in page.groups if group.shown for f in group.fields if f.shown]
        said = [
            *unseen_faults(page),
            *(remark.text for field in shown for remark in field.remarks),
            *(words for group in page.groups if group.shown for words in group.said),
        ]
        assert any(fault.text in words for words in said), fault


def test_who_signs_is_remembered_on_leaving_the_page_and_for_the_next_plan(writer: Writer) -> None:
    writer.at(ready("hands_only"), "sign")
    assert writer.signing.name is not None
    assert writer.signing.registration is not None
    writer.type_at(writer.signing.name, "R. Vane")
    writer.type_at(writer.signing.registration, "PT 4711")
    writer.room.open_section("calls")
    writer.room.open_section("sign")
    settle()
    assert writer.signing.name is not None
    assert writer.signing.registration is not None
    assert writer.signing.name.text() == "R. Vane"
    assert writer.signing.registration.text() == "PT 4711"
    assert writer.signing.main is not None
    writer.signing.main.click()
    settle()
    writer.begin_anew()
    writer.at(put(ready("hands_only"), person="K-08"), "sign")
    assert writer.signing.name is not None
    assert writer.signing.name.text() == "R. Vane"
