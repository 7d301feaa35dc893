"""What the rooms of Home did wrong when somebody first walked through all of them, each with the
test that failed then. Whoever lets one go lets it go by name.

    A. Safety, or a dead end.
    A1 A plan nobody signed took the signed one's place, and locked its next version out.
        tests/journal/test_signed_first.py::test_a_signed_plan_is_in_force_whatever_nobody_signed
        tests/ui/home/test_plan_file.py::test_a_draft_beside_a_signed_plan_opens_in_a_look_round
        tests/ui/home/test_plan_file.py::test_the_plan_before_may_be_gone_back_to_for_a_day_and_the_clinic_reads_it
        tests/presentation/clinic/test_review.py::test_a_day_by_the_plan_before_is_read_with_what_held
        tests/ui/home/test_plan_file.py::test_a_plan_that_came_waits_until_somebody_says_yes_or_no
    A2 A red test piece was forgotten a page later, and another tape offered.
        tests/services/test_red_test.py::test_no_tape_and_no_piece_of_any_make_until_it_was_talked_of
    A3 A plan for the other knee hid the tape, the walk and the record of the first.
        tests/ui/home/test_open_doors.py::test_tape_on_the_knee_the_plan_left_is_taken_off_through_its_line
        tests/ui/home/test_open_doors.py::test_the_walk_of_the_knee_the_plan_left_can_be_told
        tests/services/test_outing_both.py::test_tape_on_the_knee_the_plan_left_is_checked_and_asked_after
        tests/ui/home/test_open_doors.py::test_the_record_of_the_knee_the_plan_left_can_be_read
    A4 "No, the tape is off" was asked and not written.
        tests/services/test_outing.py::test_tape_that_is_said_to_be_off_is_written_where_it_is_said
    A5 Stop never asked which of two knees.
        tests/services/test_signs.py::test_which_knee_is_asked_after_the_card_and_until_then_it_is_both
        tests/presentation/home/test_signs_of_two_knees.py::test_the_walk_s_knee_is_no_answer_to_which

    B. It hurts.
    B1 Two knees were two whole evenings, with the gate and the chair twice.
        tests/services/test_evening.py::test_it_writes_the_session_of_each_knee_and_is_not_told_again
        tests/care/test_evening.py::test_an_ordinary_evening_of_two_knees_is_sixteen_pages_at_most
    B2 What both legs do was done twice and scored for one.
        tests/care/test_evening.py::test_heels_are_raised_once_and_one_leg_after_the_other_is_counted_for_itself
        tests/care/test_evening.py::test_each_knee_has_its_own_scores_and_goes_its_own_way
    B3 A walk that waits to be told of led to a new one of the other knee.
        tests/services/test_outing_both.py::test_one_outing_with_a_pain_and_a_morning_for_each_knee
        tests/services/test_outing_both.py::test_a_sign_of_one_knee_is_asked_of_that_knee_and_closes_its_tape_alone
        tests/ui/home/test_open_doors.py::test_going_out_leads_to_the_knee_that_waits
    B4 A helper was asked about "your knee", and nobody saw who sits there.
        tests/presentation/home/test_second_voice.py::test_what_the_person_feels_is_asked_of_the_person
        tests/ui/home/test_open_doors.py::test_who_sits_here_is_in_sight_and_one_press_changes_it
        tests/ui/home/test_open_doors.py::test_a_helpers_no_is_asked_again_and_warnings_may_be_answered_alone
        tests/ui/home/test_by_keyboard.py::test_a_helpers_evening
    B6 The trial's answer was on no page, nor how far it is.
        tests/ui/home/test_open_doors.py::test_a_trial_that_is_over_says_what_it_found
        tests/services/test_tape_trial.py::test_how_far_the_trial_is_is_said_and_a_missed_tape_day_once
        tests/services/test_tape_trial.py::test_how_many_pairs_are_complete_is_said_as_they_come
        tests/evidence/test_trial_in_diary.py::test_five_pairs_all_one_way_cannot_reach_the_usual_threshold
    B7 No tape for now, and neither why nor until when.
        tests/services/test_tape_trial.py::test_a_tape_day_on_which_the_skin_rests_says_until_when
    B8 A test piece that was on was seen nowhere, and a look that was missed was told by nobody.
        tests/ui/home/test_open_doors.py::test_a_test_piece_that_waits_is_its_own_door
        tests/presentation/home/test_reminders.py::test_a_look_at_a_test_piece_is_reminded_of_by_day
        tests/care/test_open_things.py::test_a_test_piece_is_open_until_it_was_read_twice_or_missed
    B9 Nobody said beforehand that the plan's make alone goes on.
        tests/presentation/home/test_patch_pages.py::test_the_makes_are_offered_by_name
    B10 More pain after a walk gave the card of a routine.
        tests/presentation/home/test_outing_pages.py::test_more_pain_the_next_morning_speaks_of_that_walk_and_its_aim
    B11 A walk not told of was dropped.
        tests/care/test_outing_questions.py::test_how_it_was_waits_on_the_day_and_the_next
    B12 Whoever went out with tape did not read when it comes off.
        tests/presentation/home/test_outing_pages.py::test_whoever_goes_out_with_tape_is_told_when_it_comes_off
        tests/ui/home/test_open_doors.py::test_who_goes_out_is_told_when_the_tape_of_the_knee_the_plan_left_comes_off
    B13 A new plan came without a word of what is new.
        tests/presentation/home/test_plan_news.py::test_what_is_new_gone_and_changed
        tests/presentation/home/test_plan_news.py::test_what_becomes_of_tape_and_of_a_half_routine_is_said_and_agreed_to
    B14 After three in the morning the door led to yesterday's half page.
        tests/ui/home/test_visit_questions.py::test_after_three_in_the_morning_a_half_page_asks_which_day
        tests/ui/home/test_visit_questions.py::test_the_half_page_of_the_day_before_may_be_finished_instead
    B15 "Later" was never, and without a window there was nothing.
        tests/presentation/home/test_reminders.py::test_what_is_not_done_comes_again_and_past_the_cap_each_quarter
        tests/services/test_reminding.py::test_tape_due_off_is_shown_and_comes_again_until_it_is_off
        tests/system/test_desktop_timer.py::test_a_timer_is_files_of_the_user_alone_and_is_taken_down_again
    B16 A question could not be changed, and its words were gone with Back.
        tests/ui/home/test_visit_questions.py::test_words_that_were_typed_are_kept_when_the_page_is_left
        tests/ui/home/test_visit_questions.py::test_a_question_is_changed_answered_and_taken_back

    C. Rough.
    C1 Figures typed on a page with one field went nowhere.
        tests/ui/home/test_open_doors.py::test_figures_typed_on_a_page_with_one_field_go_into_it
    C2 In one column each line of the day moved every door.
        tests/ui/home/test_open_doors.py::test_in_one_column_doors_keep_their_spot_whatever_the_day_holds
    C3 In another zone the tape came off at another hour than was written on it, without a reason.
        tests/care/test_journeys.py::test_tape_that_went_on_by_another_clock_is_told_by_that_one
        tests/care/test_journeys.py::test_the_off_time_is_told_by_the_clock_there
    C4 A changed plan was refused in words of the file.
        tests/ui/home/test_plan_file.py::test_a_plan_that_was_changed_after_signing_is_told_in_plain_words
    C5 Settings were twelve doors alike.
        tests/ui/home/test_settings_room.py::test_rooms_stand_in_groups_and_what_deletes_is_far_from_what_reads_aloud
    C6 The booklet of two knees had every step twice.
        tests/presentation/papers/test_booklet.py::test_what_both_knees_do_stands_there_once
        tests/presentation/home/test_handed_over.py::test_what_both_knees_were_told_of_in_one_go_is_counted_once
    C7 Nothing of the calendar rang.
        tests/exchange/test_diary_calendar.py::test_what_is_over_is_not_in_it_and_everything_rings
    C8 Back from the check led to the front page.
        tests/ui/home/test_open_doors.py::test_back_from_the_check_leads_to_the_room_of_the_tape
    C9 Days away were tape alone.
        tests/ui/home/test_journey.py::test_a_journey_from_its_first_day_to_the_pages_typed_after
        tests/presentation/home/test_stay.py::test_a_journey_says_what_to_pack_and_what_may_be_left_out
    C10 The measure was typed a screen below its picture.
        tests/ui/home/test_papers.py::test_the_measure_is_typed_beside_its_picture
    C11 A row under the pointer looked like one that was ticked.
        tests/ui/kit/test_controls.py::test_a_row_under_the_pointer_never_looks_like_one_that_was_chosen
    C12 Late on a tape day the front page still asked for tape.
        tests/care/test_trial_days.py::test_how_a_tape_day_stands

B5, a record of ten years, stands with the record.
"""

from tests.named_tests import not_there

SCENARIOS = 61
"""Tests that are named above, at least."""


def test_each_scenario_has_its_test() -> None:
    assert not_there(__doc__ or "", least=SCENARIOS) == []
