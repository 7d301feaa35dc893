"""Each way a diary was lost or out of reach, with the test that failed before it was mended.

Damage (a dead end, or told for something else)
  no window at all for one damaged row among the newest:
    tests/ui/home/test_mending.py::test_damage_met_by_the_front_page_is_mended_and_home_opens
  damage seen at open had one button, which ended it all:
    tests/ui/home/test_mending.py::test_a_copy_brings_it_all_back
  damage met on a later page was called a fault of the program:
    tests/ui/home/test_mending.py::test_damage_met_behind_a_door_leads_to_where_it_is_mended
  a disk that failed while a page was read, too:
    tests/ui/home/test_mending.py::test_a_disk_that_gives_no_answer_is_told_for_what_it_is
  a copy that failed, or that found damage, was told to the terminal alone:
    tests/ui/home/test_mending.py::test_where_a_copy_cannot_be_made_the_front_page_says_so
    tests/ui/home/test_mending.py::test_a_copy_that_finds_damage_opens_the_door_to_mend_it
  good rows of a damaged store were dropped, and the loss not told by days:
    tests/journal/test_salvage.py::test_one_letter_of_one_entry_costs_that_entry_alone
    tests/journal/test_salvage.py::test_what_is_damaged_here_and_good_in_a_copy_is_not_lost
    tests/journal/test_salvage.py::test_a_diary_file_brings_what_is_whole_nowhere_here
  bytes that are no text were told as a fault of the disk:
    tests/journal/test_salvage.py::test_bytes_that_are_no_text_are_damage_and_no_fault_of_the_disk
  a name that is no text, in what the database says of the damage, ended the program:
    tests/journal/test_salvage.py::test_a_name_that_is_no_text_in_what_the_database_says_is_damage
  a version below nothing ended the program:
    tests/journal/test_salvage.py::test_a_version_below_nothing_is_damage

Taking away
  whatever lay in the folder was removed, whosever it was:
    tests/journal/test_leaving.py::test_letters_and_the_clinic_s_files_stay_and_are_named
  what stayed was not told:
    tests/ui/home/test_mending.py::test_everything_is_taken_away_and_what_stays_is_named
  a diary and the clinic's desk shared a folder:
    tests/journal/test_people.py::test_a_diary_and_the_desk_do_not_share_a_folder

  a file or a dangling link in place of the folder was told as "file exists":
    tests/journal/test_machine.py::test_what_is_no_folder_is_told_in_plain_words
  a folder that may only be read opened as if well, and an empty store in it was called damaged:
    tests/journal/test_machine.py::test_what_may_only_be_read_is_told_before_the_first_answer
  folders were made for whoever the system lets in, and one that others may read stayed so:
    tests/journal/test_machine.py::test_who_may_look_into_the_folder

Copies
  copies dated in the future removed every new one at once:
    tests/journal/test_backups.py::test_copies_dated_in_the_future_do_not_push_out_those_of_today
  the newest was told by the time of a file:
    tests/journal/test_backups.py::test_the_newest_copy_is_the_one_with_the_most_in_it
  all of them lay on the one disk that breaks:
    tests/ui/home/test_elsewhere.py::test_a_second_place_is_asked_for_written_each_week_and_its_age_is_said
    tests/ui/home/test_elsewhere.py::test_a_copy_that_could_not_be_written_is_said_on_the_front_page
  whoever had a new computer began with nothing:
    tests/ui/home/test_elsewhere.py::test_a_move_to_another_computer_brings_everything_along
  and the old computer wrote on:
    tests/ui/home/test_elsewhere.py::test_a_move_to_another_computer_brings_everything_along
  a stick was known by its path alone:
    tests/services/test_second_place.py::test_a_stick_that_is_mounted_elsewhere_is_found_by_its_own_file
    tests/services/test_second_place.py::test_another_stick_at_the_same_path_is_asked_about_and_not_written_to
    tests/ui/home/test_elsewhere.py::test_another_stick_is_said_on_the_front_page_and_may_be_used

A diary that is not where it was
  a disk that was not plugged in gave an empty diary without a word:
    tests/ui/home/test_mending.py::test_a_diary_that_is_gone_is_asked_about_and_found_again
  a folder that is empty or relative in the environment was taken from where one stood:
    tests/system/test_places.py::test_a_folder_that_is_not_absolute_is_ignored

Litter that holds whole diaries
  beside the diary:
    tests/journal/test_backups.py::test_what_a_killed_program_left_half_written_is_swept
  beside a file that was saved, on a stick for example:
    tests/system/test_atomic.py::test_what_a_killed_program_left_beside_it_goes_and_nothing_else
    tests/system/test_atomic.py::test_a_folder_whose_writing_was_killed_is_taken_away_by_the_next

A long diary
  the copies of the day stopped the window:
    tests/ui/home/test_mending.py::test_no_store_is_copied_or_mended_in_the_thread_of_the_window
    tests/ui/home/test_mending.py::test_an_older_diary_is_brought_up_to_date_beside_the_window
  an entry is written as fast as into a short one:
    tests/journal/test_store.py::test_an_append_costs_the_same_however_much_is_there

A power cut, a disk that refuses, a kill
  a store begun by half was damaged for good; a copy put in place left a moment without any diary:
    tests/journal/test_power_cut.py::test_a_power_cut_costs_nothing_that_was_said_to_be_saved
    tests/journal/test_power_cut.py::test_a_disk_that_refuses_costs_nothing_that_was_said_to_be_saved
  nothing was lost to kills before, nor is it now:
    tests/test_endurance.py::test_nothing_that_was_said_to_be_saved_is_lost_to_a_kill
    tests/test_endurance.py::test_no_reader_raises_for_what_a_hurt_file_holds
"""

from __future__ import annotations

from tests.named_tests import not_there


def test_each_test_that_is_named_here_is_there() -> None:
    assert __doc__ is not None
    assert not_there(__doc__, least=26) == []
