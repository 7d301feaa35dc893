"""Each way a record came to say what nobody meant, with the test that failed before it was mended.

Enter, and keys that are held
  Enter alone answered every question with its first row, "None of these" or "0, no pain":
    tests/ui/home/test_masher.py::test_mashing_answers_nothing_and_passes_no_page
    tests/ui/home/test_gate.py::test_enter_answers_nothing_at_the_gate
  a main button that is one answer of two was pressed by Enter from anywhere:
    tests/presentation/home/test_enter.py::test_enter_says_nothing_of_what_is_so
  after an error the focus stood on the first answer:
    tests/ui/kit/test_presses.py::test_after_an_error_the_question_has_the_focus_and_no_answer
  a held Enter ran on, and not every screen says that it is held:
    tests/ui/kit/test_presses.py::test_a_held_enter_never_runs_on
    tests/ui/kit/test_presses.py::test_a_key_held_since_the_page_before_does_nothing_until_it_was_seen_up
  a held Y said yes to every caution of a plan:
    tests/ui/kit/test_presses.py::test_a_held_letter_answers_one_question_of_a_form
    tests/ui/clinic/test_masher.py::test_the_plan_writer_and_its_first_session_are_answered_by_nobody
    tests/ui/clinic/test_masher.py::test_an_import_and_a_review_wait_for_a_press_that_was_meant

Double presses
  a page was passed unseen, for the main button stands where it stood:
    tests/ui/kit/test_presses.py::test_a_double_press_presses_once
    tests/ui/kit/test_presses.py::test_a_press_meant_for_the_page_before_does_nothing
  a step was written as done that nobody saw:
    tests/care/test_quick_steps.py::test_how_quick_is_too_quick_follows_from_holds_and_repeats
    tests/care/test_quick_steps.py::test_it_is_written_as_the_person_says
    tests/ui/kit/test_presses.py::test_a_page_says_for_how_long_it_was_seen
  an emergency tick, and a sore place on the picture, were taken back by their second press:
    tests/ui/kit/test_presses.py::test_a_double_press_ticks_and_does_not_untick
    tests/ui/kit/test_presses.py::test_a_double_press_on_the_picture_marks_and_does_not_unmark

Figures
  a figure for one question changed the answer of another:
    tests/ui/kit/test_presses.py::test_figures_go_to_one_framed_question_and_move_it_nowhere
  10 typed slowly became 0:
    tests/ui/kit/test_controls.py::test_one_and_then_zero_is_ten_however_slowly

What looks chosen
  the pointer over an answer looked like an answer:
    tests/ui/kit/test_presses.py::test_the_pointer_over_something_never_looks_like_chosen

Days
  the page of a day that was over asked how it is now, and kept that under the day:
    tests/presentation/home/test_late_pages.py::test_every_late_page_says_its_day_and_asks_nothing_of_now
    tests/presentation/home/test_late_pages.py::test_a_page_begun_today_asks_nothing_of_now_once_its_day_is_over
    tests/presentation/home/test_late_pages.py::test_a_walk_told_late_hands_its_day_to_the_page

Putting right
  Back dropped each answer it led over:
    tests/ui/home/test_back_and_leave.py::test_back_shows_the_answer_and_a_press_goes_on_with_it
  the first score was an evening away from the page on which it was seen to be wrong:
    tests/services/test_changed_answers.py::test_one_answer_is_changed_and_every_other_is_kept
    tests/services/test_changed_answers.py::test_every_answered_page_of_every_walk_leads_back_to_the_same_page
    tests/ui/home/test_looked_over.py::test_each_line_leads_to_its_page_and_back
    tests/ui/home/test_looked_over.py::test_a_line_is_put_right_by_tab_and_enter
  what was closed for safety could open by it in silence:
    tests/services/test_changed_answers.py::test_what_was_closed_for_safety_opens_only_page_by_page
    tests/ui/home/test_looked_over.py::test_what_opens_by_it_is_asked_first_and_may_be_left_as_it_was
    tests/ui/home/test_looked_over.py::test_something_new_is_said_by_stop_which_keeps_what_was_done
  a routine, tape or an outing that was written down was wrong for ever:
    tests/services/test_correcting.py::test_a_score_of_an_earlier_day_is_put_right_and_the_first_one_kept
    tests/ui/home/test_record_room.py::test_a_row_of_the_record_opens_its_day
  and what was put right then led to nothing that the first answer would have led to:
    tests/services/test_correcting.py::test_i_did_fall_locks_at_once_and_opens_its_card
    tests/services/test_correcting.py::test_stiffness_put_right_is_asked_about_as_a_fresh_answer_of_its_day
  clear skin under a test piece was written down by one press:
    tests/services/test_patch_test.py::test_clear_skin_is_looked_over_before_it_lets_a_make_on
  there was no way out of a walk but the warning signs:
    tests/ui/home/test_back_and_leave.py::test_left_for_now_it_goes_on_at_the_same_page
"""

from __future__ import annotations

from tests.named_tests import not_there


def test_each_test_that_is_named_here_is_there() -> None:
    assert __doc__ is not None
    assert not_there(__doc__, least=26) == []
