"""A family without a computer: the clinic prints, a pen writes, the clinic types, and reads.

What paper must be to serve it, each with the test that holds it. Whoever lets one go lets it go by
name.

    1. Pages for home when a plan is signed, for person or helper, on paper or to a file.
        tests/ui/clinic/test_plan_writer.py::test_the_pages_for_a_family_without_a_computer_come_with_the_plan
        tests/ui/home/test_papers.py::test_what_a_family_prints_is_saved_one_by_one_or_all_at_once
        tests/ui/home/test_papers.py::test_papers_are_painted_on_a_printer_page_by_page
        tests/e2e/test_commands_pictures.py::test_papers_are_written_for_a_reader_in_a_size
        Blank days reach the review.
        tests/paper/test_home_papers.py::test_blank_days_reach_the_review
        The size of paper is a setting, guessed once; everything is drawn on it.
        tests/ui/home/test_papers.py::test_the_size_of_paper_is_as_it_is_set
        tests/ui/home/test_manners.py::test_the_paper_is_what_the_machine_says_else_what_its_place_holds
        tests/paper/test_report.py::test_the_clinic_draws_both_on_the_paper_that_is_set
        tests/e2e/test_commands_pictures.py::test_the_papers_of_a_demo_person_without_tape_on_the_paper_of_the_machine
    2. The booklet knows the plan, in the words of the screen.
        tests/presentation/papers/test_booklet.py::test_a_booklet_says_what_the_plan_says
        tests/presentation/papers/test_booklet.py::test_the_course_of_a_routine_leaves_no_part_of_the_plan_out
        tests/presentation/papers/test_booklet.py::test_where_and_which_way_the_skin_is_drawn_is_told_and_drawn
        tests/presentation/papers/test_booklet.py::test_whether_hands_help_in_standing_up_is_that_of_the_check_move
        What keeps together is on one side; no side holds a line alone; one that goes on says so.
        tests/paper/test_large_print.py::test_each_step_is_one_page_and_no_page_holds_a_line_alone
        tests/paper/test_large_print.py::test_a_side_says_at_its_head_with_what_it_goes_on
        tests/paper/test_home_papers.py::test_no_card_is_torn_and_each_sign_has_one
        Sheets to hang up or to fill in are sheets of their own.
        tests/paper/test_large_print.py::test_what_is_filled_in_or_hung_up_is_a_sheet_of_its_own_where_both_sides_are_printed
        tests/presentation/papers/test_booklet.py::test_what_is_filled_in_or_hung_up_has_paper_of_its_own
        Sixteen points or more, the fridge sheet too; all in ink; a harsh copy loses no word.
        tests/paper/test_large_print.py::test_large_print_is_sixteen_points
        tests/paper/test_large_print.py::test_every_word_of_every_paper_is_ink_and_no_smaller_than_a_copy_keeps
        tests/paper/test_large_print.py::test_a_harsh_copy_keeps_every_glyph_of_the_smallest_words
        tests/paper/test_large_print.py::test_a_harsh_copy_loses_no_word_of_any_page
    3. Tagged, with language, headings, words for pictures and an order to read in; cut to size.
        tests/paper/test_pdf_ua.py::test_what_is_taken_home
        tests/paper/test_pdf_ua.py::test_what_goes_to_the_clinic_and_comes_of_a_screen
        tests/paper/test_tagged.py::test_a_paper_is_read_in_order_and_its_pictures_are_said
        tests/paper/test_cutting_sheet.py::test_strips_are_drawn_at_their_length
        tests/paper/test_cutting_sheet.py::test_each_page_has_a_line_to_check_it_by
    4. Blank days are a form: four days a sheet, told apart by their code, copied without loss.
        tests/paper/test_home_papers.py::test_two_days_stand_on_a_side_and_say_whose_and_which
        tests/paper/test_large_print.py::test_a_harsh_copy_loses_no_line_to_write_on_and_no_box
        tests/presentation/papers/test_day_form.py::test_the_form_asks_first_what_may_be_unsafe_and_who_put_the_tape_on
        tests/presentation/papers/test_day_form.py::test_tape_is_asked_about_where_the_plan_tapes_and_no_further
    5. Typed in minutes, at home and in the clinic, on the form as it is printed.
        tests/presentation/papers/test_typed_weeks.py::test_two_weeks_take_less_than_five_minutes_of_keys
        tests/presentation/papers/test_typed_weeks.py::test_a_number_ends_with_the_letter_of_the_next_answer_and_words_do_not
        tests/presentation/papers/test_typed_weeks.py::test_every_question_of_the_sheet_is_typed
        tests/presentation/papers/test_typed_weeks.py::test_a_slip_costs_its_cell_and_is_kept_in_sight
        tests/presentation/papers/test_typed_weeks.py::test_what_cannot_be_read_and_what_was_not_asked_are_answers_of_their_own
        tests/presentation/papers/test_typed_weeks.py::test_the_chart_grows_with_each_score
        tests/presentation/papers/test_typed_weeks.py::test_the_person_is_asked_once_for_two_knees
        tests/ui/home/test_weeks_on_paper.py::test_days_are_typed_into_the_diary_at_hand
        tests/ui/home/test_weeks_on_paper.py::test_half_typed_days_outlive_the_window
    6. A table is taken as people save it; a slip costs its cell; what cannot all be so is told.
        tests/exchange/test_table_reading.py::test_a_table_may_be_saved_as_people_save_it
        tests/exchange/test_table_reading.py::test_the_month_stands_first_only_where_that_was_said
        tests/exchange/test_table_reading.py::test_words_and_units_are_read_in_any_case
        tests/exchange/test_table_reading.py::test_latin_1_is_read_where_it_is_no_utf_8
        tests/e2e/test_commands.py::test_a_blank_table_is_filled_in_and_taken_in
        tests/e2e/test_commands.py::test_skip_bad_leaves_out_what_is_at_fault
        tests/exchange/test_table_reading.py::test_worst_below_average_is_told_and_neither_is_kept
        tests/exchange/test_table_reading.py::test_a_stage_beyond_the_plan_or_without_tape_is_told_and_left_out
        tests/exchange/test_table_reading.py::test_what_both_knees_say_of_the_person_must_agree
        tests/exchange/test_table_reading.py::test_a_second_row_of_a_day_and_knee_is_a_fault
    7. Saved through doors: the stick by its name, own folders, elsewhere; shown, remembered.
        tests/ui/home/test_papers.py::test_a_paper_goes_where_a_door_says_and_nothing_is_written_over
        tests/ui/home/test_papers.py::test_the_clinic_saves_through_the_same_doors
        tests/ui/home/test_papers.py::test_what_to_pack_is_saved
    Typed by the screen and by a table, two weeks give equal findings.
        tests/presentation/papers/test_typed_weeks.py::test_typed_by_keys_and_by_a_table_two_weeks_are_the_same
    The whole path.
        tests/e2e/test_family_on_paper.py::test_the_clinic_prints_a_pen_writes_and_the_clinic_types_and_reads
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pypdf
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QPushButton
from pytestqt.qtbot import QtBot

from companion.care.records import DayPage, Diary
from companion.evidence.findings import findings
from companion.exchange.files import diary_bytes
from companion.presentation.papers.typed_weeks import TypedWeeks
from companion.services.paper_weeks_kept import FoundWeeks, WeeksAtClinic
from companion.services.practice import open_diary
from companion.ui.kit.weeks_page import WeeksPage, WeeksStartPage
from companion.wire.resource_reading import shipped_policy
from tests.named_tests import not_there
from tests.presentation.papers.test_booklet import plan_of
from tests.tour_clinic import TODAY, Desk, desk_in_sight
from tests.tour_visit import press, settle
from tests.ui.kit.accessibility import faults as accessibility_faults
from tests.ui.kit.clipping import faults as clipping_faults

Key = Qt.Key
FIRST = TODAY - timedelta(days=13)
PAPER = (5, 5, 6, 5, 4, 5, 4, 4, 5, 4, 3, 4, 3, 3)
"""The average pain of fourteen days as the pen ringed it."""


@pytest.fixture
def desk(qtbot: QtBot, qapp: QApplication, tmp_path: Path) -> Iterator[Desk]:
    yield from desk_in_sight(qtbot, qapp, tmp_path / "data")


def test_each_thing_that_paper_must_be_has_its_test() -> None:
    assert not_there(__doc__ or "", least=48) == []


def words_of(path: Path) -> str:
    told = (page.extract_text() for page in pypdf.PdfReader(path).pages)
    return " ".join(word for page in told for word in page.split())


def test_the_clinic_prints_a_pen_writes_and_the_clinic_types_and_reads(
    desk: Desk, tmp_path: Path
) -> None:
    plan = replace(plan_of("osric"), written_on=FIRST, open_signs=(), sign_off=None)
    given = tmp_path / "given.homeknee"
    given.write_bytes(diary_bytes(Diary(plans=(plan,))))
    desk.take_in(given)
    # Printed: all that the family takes home, each day's form with its date.
    desk.clinic.open(plan.person)
    out = tmp_path / "print"
    out.mkdir()
    desk.picks = [str(out)]
    press("h")
    _press_words(desk, "Save the pages for the person")
    (folder,) = out.iterdir()
    names = {path.name for path in folder.iterdir()}
    assert {"booklet.pdf", "fridge.pdf", "cards.pdf", "blank-days.pdf"} <= names
    assert plan.contacts[0].number in words_of(folder / "fridge.pdf")
    printed = words_of(folder / "blank-days.pdf")
    assert f"{plan.person} {plan.version} L {TODAY.isoformat()}" in printed
    # Typed: the day is offered, each average one key, the rest left empty.
    desk.clinic.open(plan.person)
    press("w")
    start = desk.page()
    assert isinstance(start, WeeksStartPage)
    assert start.first.text() == f"{FIRST.day} November 2026"
    press(Key.Key_Return)
    page = desk.page()
    assert isinstance(page, WeeksPage)
    for number, average in enumerate(PAPER):
        press(*[Key.Key_Down] * 3, str(average))
        if number == 3:
            press("2")  # a worst below the average: told, and it costs these two alone
        press(Key.Key_PageDown)
    assert "is below the average" in page.odd.text()
    assert accessibility_faults(page) == []
    assert clipping_faults(page) == []
    page = _left_and_taken_up(desk, plan.person)
    assert page.main is not None
    page.main.setFocus(Qt.FocusReason.TabFocusReason)
    press(Key.Key_Return)
    told = desk.page().reading_text()
    assert "13 days are in the diary now." in told
    assert "the worst, 2, is below the average, 5" in told
    assert WeeksAtClinic(desk.practice, plan.person).found() == FoundWeeks(), "taken in"
    # Read: the review has them, and the findings are those of what stands on paper.
    press(Key.Key_Return)
    desk.answers()
    diary = open_diary(desk.practice, plan.person)
    assert diary is not None
    pages = {e.for_day: e.pain_average for e in diary.whole().entries if isinstance(e, DayPage)}
    kept = {FIRST + timedelta(days=n): score for n, score in enumerate(PAPER) if n != 3}
    assert pages == kept
    found = diary.found("left")
    assert found == findings(
        Diary(plans=(plan,), entries=_typed(plan_diary=Diary(plans=(plan,)), at=desk)),
        "left",
        policy=shipped_policy(),
        read_on=TODAY,
    )


def _left_and_taken_up(desk: Desk, person: str) -> WeeksPage:
    """Left without a word, all that was typed is there when the screen is opened anew."""
    desk.clinic.open(person)
    press("w")
    assert "14 days have answers" in desk.page().reading_text()
    _press_words(desk, "Go on typing")
    page = desk.page()
    assert isinstance(page, WeeksPage)
    assert "is below the average" in page.odd.text()
    return page


def _typed(plan_diary: Diary, at: Desk) -> tuple[DayPage, ...]:
    """The same days typed without a window."""
    weeks = TypedWeeks(plan_diary, FIRST, len(PAPER), at.practice.clock.now())
    for number, average in enumerate(PAPER):
        if number != 3:
            weeks.go_to(
                next(n for n, c in enumerate(weeks.cells) if c.part.column == "pain_average")
            )
            weeks.press(str(average))
        weeks.step("next_day")
    return tuple(entry for entry in weeks.entries() if isinstance(entry, DayPage))


def _press_words(desk: Desk, words: str) -> None:
    buttons = desk.page().findChildren(QPushButton)
    (button,) = (each for each in buttons if each.text() == words)
    button.click()
    settle()
