"""The sentence for everything that the floors below hand up as a code with its parameters.

One row a code; `tests/presentation/language/test_said.py` holds the rows to the calls. A
sentence says what is the matter, where, and what to do; what stands inside another one begins small
and has no full stop.
"""

from datetime import date

from companion.care.coded import Coded, CodedValue, CodeOf, ContentWords
from companion.presentation.language.phrases import dated, phrase
from companion.presentation.language.said_exports import EXPORTS_SAID
from companion.presentation.language.said_health import HEALTH_SAID
from companion.presentation.language.said_methods import METHODS_SAID
from companion.presentation.language.said_pictures import PICTURES_SAID

_REFUSED: dict[str, str] = {
    # Knees, as a parameter
    "left_knee": "left knee",
    "right_knee": "right knee",
    # A value, and where it stands
    "at_place": "{place}: {what}",
    "at_line": "line {line}: {what}",
    "at_cell": "line {line}, {column}: {what}",
    "missing": "missing",
    "unknown_field": "not a field we know",
    "not_a_field_of": "not a field of {record}",
    "field_of_later": "{field} is not a part of version {version}, which its first line names",
    "not_a_number": "{got} is not a number",
    "not_whole": "{got} is not a whole number",
    "not_whole_between": "{got} is not a whole number from {least} to {most}",
    "not_between": "{got} is not between {least} and {most}",
    "more_than": "{got} is more than {most}",
    "less_than": "{got} is less than {least}",
    "not_true_or_false": "{got} is not true or false",
    "not_text": "{got} is not text",
    "text_length": "text of {length} characters, allowed are {least} to {most}",
    "text_too_long": "text of more than {most} characters",
    "text_too_short": "text of less than {least} characters",
    "control_characters": "text with control characters",
    "not_of_form": "{got} is not of the form {form}",
    "not_of_allowed_form": "{got} is not of the allowed form",
    "not_one_of": "{got} is not one of {allowed}",
    "not_a_date": "{got} is not a date such as 2026-03-09",
    "year_not_between": "the year {year} is not between {least} and {most}",
    "not_a_time": "{got} is not a time such as 2026-03-09T19:42:00+01:00",
    "no_offset": "{got} has no offset from UTC",
    "too_many_items": "{count} items, allowed are {most}",
    "more_items_than": "more than {most} items",
    "list_expected": "a list is expected",
    "object_expected": "an object is expected",
    "not_a_kind": "{got} is not a kind of entry",
    "no_kind": "without a kind of entry",
    "refused": "{why}",
    # The text of a file
    "not_utf8": "is not UTF-8 text",
    "not_json": "is not JSON",
    "nested_too_deep": "is nested too deep",
    "key_twice": "holds {key} twice",
    "last_line_open": "the last line is not closed",
    "too_many_lines": "there are too many lines",
    "line_too_long": "the line is too long",
    "plan_is_one_line": "a plan is one line",
    "diary_begins": "a diary begins with its person and plans",
    "diary_ends": "a diary ends with ]}}",
    "entries_not_opened": "the line that opens the entries is missing",
    "comma_between_lines": "a comma stands between lines only",
    # What belongs together in a plan or diary
    "main_side_not_in_plan": "{main}, but the plan is for {side}",
    "before_written": "before the day the plan was written",
    "signed_for_other": "signed for another content than this plan has",
    "knee_twice": "the {knee} twice",
    "outing_without_knee": "an outing of no knee",
    "no_plan": "there is no plan",
    "other_person": "{theirs}, but this diary is of {ours}",
    "version_twice": "version {version} is there twice",
    "no_such_version": "plan version {version} is not there",
    "side_not_in_plan": "{side}, but plan version {version} is for {sides}",
    "day_after_written": "{day}, but it was written on {written}",
    "happened_after_written": "more than a day after it was written",
    "no_such_entry": "the entry it names is not there",
    "withdraws_nothing": "only a correction can withdraw an entry",
    "replaces_other_kind": "a {kind} cannot replace a {replaced}",
    "no_such_tape": "the tape it names is not there",
    "tape_on_other_knee": "that tape is on the {knee}",
    "replaced_in_a_circle": "entries replace one another in a circle at {entry}",
    # How reading a file ended
    "whole_plan": "{name} is a whole plan file: person {person}, plan version {version}.",
    "whole_diary": (
        "{name} is a whole diary file: person {person}, plan versions {plans}, entries {entries}."
    ),
    "whole_but_left_out": (
        "{said} Left out because they do not fit the rest: {n}. The first: {fault}."
    ),
    "file_missing": "There is no file {name} there. Check its name and place.",
    "file_is_no_file": (
        "{name} cannot be opened: it is not a file. Copy it to this machine, then try again."
    ),
    "file_unreadable": "{name} cannot be opened: {why}. Copy it to this machine, then try again.",
    "file_too_large": (
        "{name} is too large: a {kind} file has at most {most} MiB. Nothing was taken in."
    ),
    "diary_too_large": (
        "The diary is too large for one file ({entries} entries; at most {most} MiB). Nothing is "
        "lost. Save the pages of My record instead, some months at a time."
    ),
    "file_sealed": (
        "{name} is sealed. Open it with the key it was sealed for, then take it again."
    ),
    "file_damaged": (
        "{name} is damaged: not every byte is as it was written. "
        "Nothing was taken in. Ask for a new copy."
    ),
    "file_one_id_twice": (
        "{name} is damaged: one entry is there twice, with different content. "
        "Nothing was taken in. Ask for a new copy."
    ),
    "file_too_new": (
        "{name} was written by a newer version of this program. "
        "Bring this program up to date, then take the file again."
    ),
    "file_not_ours": (
        "{name} is not a plan or diary file. Choose the file the clinic gave or asked for."
    ),
    "file_faulty": "{name} cannot be right: {fault}. Nothing was taken in. Ask for a new file.",
    "file_faulty_more": (
        "{name} cannot be right: {fault}, and more ({count} faults). "
        "Nothing was taken in. Ask for a new file."
    ),
    # The clinic's folder
    "plan_left_out": "{name} is a plan, not a diary. It was left out.",
    "ended_its_process": "{name} ended the process that read it. It was left out.",
    "no_part_of_a_table": "{name} is no table of findings as this version writes it.",
    "parts_of_another_kind": "Join CSV with CSV, or Parquet with Parquet: by the ending .parquet.",
    "program_at_fault": "The program itself is at fault with {name}. It was left out.",
    "changed_while_read": "{name} changed while it was read. It was left alone.",
    "kept_unreadable": "{name} cannot be read in the clinic’s folder: {why}.",
    "kept_changed": "{name} is not as it was taken in. Take the file in again.",
    "kept_lost": "{name} cannot be read any more. Take the file in again.",
    "persons_file_lost": "A file of this person cannot be read any more. Take the file in again.",
    # The store
    "no_diary_there": "There is no diary in {folder}. Check the place.",
    "no_plan_yet": "There is no plan yet. Take in the plan file from the clinic.",
    "no_room": (
        "There is no room left on the disk. This was not saved; all from before is safe. "
        "Make room, then save again."
    ),
    "store_in_use": "Another program is using this diary right now. Close it, then try again.",
    "store_unusable": (
        "What is kept in {folder} cannot be used: {why}. All from before is safe. "
        "Check the disk and the folder, then try again."
    ),
    "window_did_not_close": "its last window did not close; open it in its window once",
    "only_readable": "it may only be read",
    "not_allowed": "this program may not read or write there",
    "no_folder": "it is no folder, but a file or a link that leads nowhere",
    "disk_fault": "the disk reports a fault",
    "store_too_new": (
        "This diary was written by a newer version of this program. It was left alone. "
        "Bring this program up to date, then open it again."
    ),
    "diary_gone": (
        "Your diary is not where it was. On {on} there were {entries} things written down in "
        "{folder}. Is a disk or a stick missing? Nothing was begun in its place."
    ),
    "store_damaged": "The diary on this machine is damaged ({why}). Nothing was changed.",
    "store_damaged_copy": (
        "The diary on this machine is damaged ({why}). Nothing was changed. "
        "The newest good copy is {name}."
    ),
    "store_damaged_no_copy": (
        "The diary on this machine is damaged ({why}), and there is no good copy. "
        "Nothing was changed. Ask your clinic for the diary file you gave them."
    ),
    "copy_damaged": "The copy {name} is damaged too. Nothing was changed. Choose another one.",
    "parts_do_not_fit": "its parts do not fit together",
    "draft_unread": "a draft cannot be read",
    "entries_changed": "not every entry is as it was written",
    "entry_changed": "an entry is not as it was written",
    "no_diary": "its file is not a diary",
    "cut_short": "its file is cut short",
    "tables_differ": "its tables are not as they must be",
    "store_missing": "its file is missing",
    "store_empty": "its file is empty",
    "diary_open_elsewhere": (
        "This diary is open in another window. Use that one, or close it first."
    ),
    "desk_open_elsewhere": (
        "The clinic’s desk is open in another window. Use that one, or close it first."
    ),
    "folder_of_the_desk": (
        "The clinic’s desk keeps its list in {folder}. Name another folder for a diary."
    ),
    "folder_of_a_diary": (
        "A person’s diary is kept in {folder}. Name another folder for the clinic’s desk."
    ),
    "plan_of_another": (
        "This plan is from another person (code {theirs}, this diary is {ours}). "
        "Nothing was taken in."
    ),
    "plan_here_differs": (
        "Plan version {version} is here already, with other content. "
        "Nothing was taken in. Ask the clinic for a plan with a new version number."
    ),
    "entry_here_differs": (
        "An entry of the same name is here already, with other content. "
        "Nothing was taken in. Ask for a new copy of the file."
    ),
    "plan_not_here": "Plan version {version} is not here. Take in that plan first.",
    "corrected_not_here": (
        "A correction names an entry that is not here. Nothing was taken in. "
        "Take in the whole diary file."
    ),
    # A table
    "table_empty": "the table is empty, a header with a column named day is needed",
    "table_too_large": "the table has {size} bytes, allowed are {most}",
    "table_not_utf8": "not UTF-8 text, save the table as CSV in UTF-8",
    "table_nul": "a NUL character, save the table as CSV in UTF-8",
    "text_after_quote": "a closing quote is followed by more text",
    "quote_open": "a quote is opened and not closed, the rest was not read",
    "too_many_rows": "more than {most} rows, the rest was not read",
    "too_many_columns": "{count} columns, allowed are {most}",
    "column_twice": "this column is there twice",
    "column_missing": "this column is missing",
    "side_column_missing": "this column is missing, the plan is for both knees",
    "column_unknown": "this column is not known",
    "column_without_name": "{got} stands in a column without a name",
    "label_needed": "a label is needed, such as activity:walk",
    "label_and_unit_needed": "a label and a unit are needed, such as amount:walk:m",
    "label_wrong": "the label: {what}",
    "unit_unknown": "{got} is not a known unit ({allowed})",
    "cell_beyond_header": "cell {cell} is beyond the {columns} columns of the header",
    "tape_score_without_tape": "0 is no tape, but after_tape is given",
    "too_many_of_kind": "more than {most} of this kind in one row",
    "day_missing": "the day is missing",
    "day_twice": "{day}, {knee}, is in line {line} already",
    "day_twice_across": "{day}, {knee}, is there twice",
    "worst_below_average": "the worst, {worst}, is below the average, {average}",
    "stage_without_tape": "stage {stage}, but tape_worn says that no tape was worn",
    "stage_beyond_plan": "stage {stage} is beyond the plan, which goes to {most}",
    "not_an_hour": "{got} is no hour of the day, such as 18:30 or 6:30 pm",
    "hour_in_the_future": "this hour is still to come",
    "hour_without_tape": "an hour, but the page says that no tape was on",
    "who_without_hour": "who put it on is kept with the hour it went on, which is missing",
    "sign_on_paper": "a warning sign was ticked: ask which one, and write that down",
    "person_differs": "is of the person, but the other knee in line {line} says something else",
    "day_in_the_future": "{day} is in the future",
    "side_missing": "the side is missing, the plan is for both knees",
    "not_a_knee_of_the_plan": "{got} is not a knee of the plan ({allowed})",
    "not_no_or_yes": "{got} is not yes or no",
    "not_an_amount": "{got} is not a number such as 7 or 7.5",
    "not_a_day": "{got} is not a day such as 2026-09-14 or 14 Sep 2026",
    "not_in_the_calendar": "{got} is not a day of the calendar",
    "before_year": "{day} is before {year}",
    # Findings
    "diary_without_plan": "The diary carries no plan, so it does not say which knee it is about.",
    "knee_not_in_plan": "The plan is for the {main}, not for the {knee}.",
}

SAID = _REFUSED | EXPORTS_SAID | HEALTH_SAID | METHODS_SAID | PICTURES_SAID


_UNSAID = {"why": "unknown trouble", "name": "This file"}
"""For a machine that gives no reason, and for what has no name yet."""


def said_words(said: Coded) -> str:
    """The sentence of a code, its parameters filled in."""
    return phrase(SAID[said.code], **{name: _filled(name, value) for name, value in said.values})


def _filled(name: str, value: CodedValue) -> object:
    match value:
        case Coded():
            return said_words(value)
        case CodeOf():
            # Loaded with the first code, after the first paint.
            from companion.presentation.language import codes
            from companion.presentation.language.code_table import clinic_words

            return clinic_words(codes.named(value.table), value.code)
        case ContentWords():
            return phrase(value.text)
        case date():
            return dated(value)
    if value == "" and name in _UNSAID:
        return phrase(_UNSAID[name])
    return value
