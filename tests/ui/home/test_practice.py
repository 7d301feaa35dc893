"""What the evening at the knee is to be, from the gate to "am I better?", each sentence with the
tests that hold it. Whoever lets one go lets it go by name.

    1 The room of the screen is used.
    From 1200 pixels on there are two columns, picture at full height left; heads, columns and bars
    stand in one frame.
        tests/ui/kit/test_knee_picture.py::test_it_leads_at_full_height_where_there_is_room_for_two_columns
    From 1920 on the type grows by itself.
        tests/ui/kit/test_theme.py::test_on_a_large_screen_the_type_grows_by_itself
    At 1366 by 768 no page of an evening is scrolled but lists, at 1024 by 600 none hides what is
    answered or pressed; measured over the scenes of the tour.
        tests/ui/home/test_room_used.py::test_no_page_of_an_evening_is_scrolled_in_a_common_window
        tests/ui/home/test_room_used.py::test_nothing_answered_or_pressed_is_out_of_sight_in_a_small_window
        tests/ui/home/test_room_used.py::test_pages_are_as_high_as_a_screen
        tests/ui/home/test_two_scales.py::test_in_a_small_window_the_eleven_boxes_of_each_stand_in_one_row
    "More below" is said where there is more, and nowhere else.
        tests/ui/kit/test_pages.py::test_everything_can_be_scrolled_to_and_the_page_says_so
    The least window follows the screen, down to 320 by 256.
        tests/ui/kit/test_pages.py::test_on_the_smallest_screen_everything_is_reached_by_scrolling
        tests/ui/kit/test_window.py::test_a_first_size_larger_than_the_screen_is_cut_to_it

    2 The practice page shows, moves and counts.
    The picture moves, and stands in numbered stills where less motion is asked for.
        tests/ui/kit/test_knee_picture.py::test_it_is_still_unless_asked
        tests/ui/home/test_desktop_wishes.py::test_numbered_stills_stand_on_a_step_instead
    One Start after a lead-in; every hold, repeat, round and rest is counted by itself.
        tests/care/test_counting.py::test_a_step_of_thirty_seconds_twice_counts_both_and_the_rest_between
        tests/care/test_counting.py::test_an_exercise_counts_every_repeat_round_and_rest
        tests/ui/kit/test_step_clock.py::test_it_counts_holds_and_rests_and_only_then_is_the_step_done
    The desktop's own tone, the voice at half and end, and the clock that lights up.
        tests/ui/kit/test_voice.py::test_a_clock_is_heard_where_reading_aloud_is_wanted
        tests/ui/kit/test_step_clock.py::test_it_lights_up_no_more_than_three_times_in_any_second
    Pause; what was counted is recorded; the largest key does it from anywhere.
        tests/ui/kit/test_step_clock.py::test_a_pause_stops_it_and_what_was_held_is_told_with_any_way_on
        tests/ui/kit/test_step_clock.py::test_the_largest_key_begins_pauses_and_goes_on_from_anywhere
        tests/care/test_known_steps.py::test_what_was_counted_is_what_is_written
    "It hurts" asks for the number on its own page.
        tests/care/test_quick_steps.py::test_pain_above_the_limit_stops_it_and_asks_nothing_more

    3 A helper has a stage.
    Who is here stands on the front page, one press changes it, and the gate offers the same.
        tests/presentation/home/test_front.py::test_who_is_here_stands_on_the_page_and_over_it_while_a_helper_is
        tests/ui/home/test_open_doors.py::test_who_sits_here_is_in_sight_and_one_press_changes_it
        tests/presentation/test_caution_effects.py::test_a_helper_who_is_not_there_is_asked_about_once
    The picture has 70 % of the height; verb, strip and side are 12 mm high.
        tests/ui/home/test_stage.py::test_the_picture_has_70_per_cent_of_the_height
        tests/ui/kit/test_theme.py::test_the_letters_of_a_stage_are_twelve_millimetres_high
        tests/ui/home/test_stage.py::test_tape_is_laid_on_a_stage_too
    Picture, verb and answer are seen at every size of window and text.
        tests/ui/home/test_stage.py::test_picture_verb_and_answer_are_seen_at_every_size
    The limit is its number, "Say stop if it hurts" is there to be said, Stop and "It hurts" are as
    large; nothing else stands there, and nothing but Space, Enter or the bar goes on.
        tests/ui/home/test_stage.py::test_nothing_else_stands_on_it
        tests/ui/home/test_stage.py::test_space_enter_and_the_bar_go_on_and_nothing_else
        tests/ui/home/test_stage.py::test_of_tape_too_nothing_else_stands_there_and_nothing_else_goes_on
        tests/ui/home/test_stage.py::test_it_hurts_takes_what_was_laid_off_and_writes_no_tape

    4 An evening is short.
    Steps done five times without a stop are known, or whoever says so; a new plan or sheet makes
    them new; four share a page with one clock.
        tests/care/test_known_steps.py::test_a_step_done_five_times_is_known_and_no_other
        tests/care/test_known_steps.py::test_a_stop_alone_makes_it_new_again
        tests/care/test_known_steps.py::test_another_plan_another_sheet_or_the_clinic_do_not_count
        tests/care/test_known_steps.py::test_after_an_evening_page_by_page_one_may_say_that_one_knows_it
        tests/care/test_known_steps.py::test_known_steps_that_follow_each_other_share_a_page_of_four
    Where it hurt is asked once before, and after a round only where another follows or it was the
    last.
        tests/care/test_known_steps.py::test_where_it_hurt_is_not_asked_between_hands_and_tape
        tests/care/test_known_steps.py::test_where_it_hurt_is_asked_before_another_round
    How the last routine was taken is asked on the gate, within its 40 seconds; medicine, which
    would break them, on the day page.
        tests/care/test_led_past.py::test_the_gate_asks_how_the_knee_took_the_last_routine
        tests/ui/home/test_gate.py::test_nothing_new_takes_about_forty_seconds_and_a_press_for_each_question
    The full day page comes once a week and where it is needed.
        tests/services/test_day_page.py::test_the_full_form_comes_for_fourteen_days_then_weekly
    Ten pages at most and three for the day, 16 and four of two knees; under four minutes of reading
    and pressing.
        tests/services/test_short_evening.py::test_an_ordinary_evening_is_ten_pages_at_most
        tests/services/test_short_evening.py::test_its_day_page_is_three_at_most
        tests/services/test_short_evening.py::test_from_the_gate_to_what_is_written_reading_and_pressing_take_under_four_minutes
        tests/care/test_evening.py::test_an_ordinary_evening_of_two_knees_is_sixteen_pages_at_most

    5 The front page leads.
    What is done is ticked, the one thing to do next alone is large; visit and review are lines.
        tests/presentation/home/test_front.py::test_one_thing_at_most_is_large_and_it_is_the_first_that_is_to_do
        tests/presentation/home/test_front.py::test_when_all_is_done
        tests/presentation/home/test_front.py::test_the_visit_is_among_what_today_holds_in_its_last_week
        tests/presentation/home/test_front.py::test_past_the_review_day_it_is_said_even_on_a_full_day
    After a warning it says what and whom; a missed week gets one sentence.
        tests/presentation/home/test_front.py::test_under_a_lock_the_card_comes_first_and_nothing_else_is_due
        tests/presentation/home/test_front.py::test_after_a_week_away

    6 Am I better?
    Two sentences: now, at first, toward the goal, "cannot tell" when so; Sundays numbers, every
    fourth the verdict.
        tests/presentation/home/test_how_it_goes.py::test_two_sentences_say_now_at_first_and_the_goal_in_plain_numbers
        tests/presentation/home/test_how_it_goes.py::test_it_cannot_tell_yet_and_says_the_numbers_there_are
        tests/presentation/home/test_how_it_goes.py::test_sundays_say_numbers_and_every_fourth_whether_it_goes_better
    From the first plan on; any day opens; red skin and signs are seen.
        tests/presentation/home/test_record_view.py::test_days_before_the_plan_are_not_days_without_a_record
        tests/ui/home/test_record_room.py::test_a_row_of_the_record_opens_its_day
        tests/presentation/home/test_record_view.py::test_the_table_holds_the_numbers_of_the_chart
    Over half a year weeks, over years seasons with heads that name the year.
        tests/presentation/home/test_record_stretches.py::test_from_half_a_year_on_a_mark_stands_for_a_week_and_is_its_middle_score
        tests/presentation/home/test_record_stretches.py::test_ten_years_are_forty_marks_under_heads_that_name_the_year
        tests/presentation/home/test_record_stretches.py::test_many_days_stand_under_their_months

    7 Words.
    One word for one thing; a heading means something alone.
        tests/presentation/home/test_one_word.py::test_a_thing_has_one_word_at_home
        tests/ui/home/test_stage.py::test_tape_is_laid_on_a_stage_too

    The tasks are counted.
        tests/ui/home/test_by_keyboard.py::test_a_helpers_evening
"""

from tests.named_tests import not_there

SENTENCES = 55
"""Tests that are named above, at least."""


def test_each_sentence_has_its_test() -> None:
    assert not_there(__doc__ or "", least=SENTENCES) == []
