"""What is told of the program, the computer and the diary on it: part of `said.SAID`."""

HEALTH_SAID: dict[str, str] = {
    "check_program": "Version {program}, Python {python}, Qt {toolkit}",
    "check_folder_well": "It can be written into, and only you can look into it.",
    "check_folder_closed": "Nothing can be written into it.",
    "remedy_folder_closed": (
        "Give yourself the right to write there, or start the program with --data-dir and another "
        "folder."
    ),
    "check_folder_open": "Other people of this computer can look into it.",
    "remedy_folder_open": "Take that right from them: in its properties leave access to the owner.",
    "check_diary_none": "There is none here yet.",
    "check_diary_gone": "It is gone. Its copies are here.",
    "check_diary_empty": "It is whole, and nothing is written in it yet.",
    "check_diary_whole": "It is whole: {entries} entries, the last of {day}.",
    "check_diary_damaged": "It is damaged in {places} or more places.",
    "remedy_diary_damaged": (
        "Open the program: it shows what is good by day and puts it right from the copies."
    ),
    "check_diary_too_new": "It was written by a newer version of the program.",
    "remedy_diary_too_new": "Install the newer version. Nothing is lost.",
    "check_copies_none_yet": "None yet: there is nothing to copy.",
    "check_copies_none": "There is no good copy of it.",
    "check_copies_until": "{number} here; the newest good one reaches to {day}.",
    "remedy_copies": "Open the program and leave it open for a minute: it makes one.",
    "check_second_place_none": "No copy is kept anywhere else.",
    "remedy_second_place_none": "Choose a stick or a folder under Settings and help, Your data.",
    "check_second_place_never": "One is wanted elsewhere, and none is there.",
    "check_second_place_days": "The last one is {days} days old.",
    "remedy_second_place_old": (
        "Plug the stick in, or choose another place under Settings and help, Your data."
    ),
    "check_clock_well": "It says {today}.",
    "check_clock_behind": "It says {today}, but something is written of {day}.",
    "remedy_clock": "Set the clock of this computer, then open the program: it asks about it.",
    "check_room_well": "{gigabytes} GB are free.",
    "check_room_low": "Only {megabytes} MB are free.",
    "remedy_room": "Make room on this disk: delete or move what you do not need.",
    "check_fonts_well": "They are here.",
    "check_fonts_missing": "They are missing: printed pages may have no words.",
    "remedy_fonts": "Install this program again with its packages.",
    "check_display_well": "Windows can open.",
    "check_display_none": "There is none: commands work, windows do not.",
    "check_printers": "{number} set up on this computer.",
    "check_printer_none": "None is set up on this computer.",
    "remedy_printer": "Every page can be saved as a file and printed elsewhere.",
    "check_voice_well": "There is one: pages can be read aloud.",
    "check_voice_none": "There is none: pages cannot be read aloud.",
    "remedy_voice": "Ask somebody to install one, and this program with its extra “speech”.",
}
