"""What stands in calendars and in records for other systems: part of `said.SAID`."""

EXPORTS_SAID: dict[str, str] = {
    # A calendar
    "calendar_routine": "Knee routine",
    "calendar_exercises": "Knee exercises",
    "calendar_one_day": "1 day a week, as your plan says.",
    "calendar_days": "{number} days a week, as your plan says.",
    "calendar_trial_days": "In your tape trial the front page says what each day is for.",
    "calendar_any_days": "Any days will do.",
    "calendar_open_first": (
        "Open the program first: it asks about warning signs. "
        "Leave it out on a day with a warning sign."
    ),
    "calendar_tape_off": "Take tape off: {knee}",
    "calendar_tape_off_by": (
        "On since {on}. Take it off at this time, or before. Never leave it on after {cap}. "
        "Take it off at once when it itches, pinches, hurts, or the skin goes numb."
    ),
    "calendar_skin": "Look at the skin: {knee}",
    "calendar_skin_look": (
        "Look at the skin where the tape was, and write it down in the program. "
        "With a blister or broken skin use no tape and no hands there, and call your clinic."
    ),
    "calendar_patch": "Look at the test piece: {make}",
    "calendar_patch_look": (
        "Look at the skin under the test piece, and write it down in the program. "
        "Take the piece off at once when it itches or hurts."
    ),
    "calendar_review": "Knee plan: review is due",
    "calendar_bring": "Bring the diary file and your questions.",
    "calendar_clinic": "Your clinic",
    "calendar_number": "{label}: {number}.",
    "calendar_number_when": "{label}: {number} ({when}).",
    "calendar_practice": "{title} (practice plan)",
    # FHIR: the plan
    "fhir_osteoarthritis": "worn knee (osteoarthritis)",
    "fhir_kneecap_pain": "pain from the kneecap",
    "fhir_clinic_code": "code given by the clinic",
    "fhir_plan_version": "plan version",
    "fhir_plan": "Home knee routine, plan version {version}",
    "fhir_hands": "hands-on routine",
    "fhir_technique": "{technique}, {repeats} x {seconds} s",
    "fhir_exercises": "exercises",
    "fhir_exercise": "{exercise}, {sets} x {repeats}",
    "fhir_exercise_held": "{exercise}, {sets} x {repeats}, hold {seconds} s",
    "fhir_tape": "elastic tape",
    "fhir_tape_of": "elastic tape, {make}",
    "fhir_tape_wear": (
        "{when}, from stage {start} to at most stage {highest}; off after {first} h, {second} h, "
        "then {later} h; never on for more than {cap} h"
    ),
    "fhir_review": "review",
    # FHIR: what was seen
    "fhir_from_paper": "copied from paper",
    "fhir_late": "written late",
    "fhir_code": "{code}",
    "fhir_unnamed": "without a name",
    "fhir_entry": "{kind}",
    "fhir_entry_of": "{kind} of {day}",
    "fhir_pain": "Pain, 0 to 10",
    "fhir_average": "average of the day",
    "fhir_worst": "worst of the day",
    "fhir_now": "now",
    "fhir_worst_outing": "worst on the outing",
    "fhir_at_rest": "at rest before a session",
    "fhir_worst_step": "worst in a step: {step}",
    "fhir_move": "in the check move, {role}",
    "fhir_move_tape": "in the check move, after tape of stage {stage}",
    "fhir_again": "{move}, again",
    "fhir_not_comparable": "the move differed in depth: this score does not compare",
    "fhir_stiffness": "Morning stiffness",
    "fhir_swelling": "Swelling of the knee",
    "fhir_night_pain": "Pain at night",
    "fhir_medicine": "Extra pain medicine",
    "fhir_stairs": "How stairs went",
    "fhir_last_fortnight": "The two weeks before the start, against what is usual",
    "fhir_activity": "Activity, 0 unable to 10 as before: {label}",
    "fhir_amount": "Amount of activity: {label}",
    "fhir_stands": "Chair stands in 30 s, without arms",
    "fhir_stands_arms": "Chair stands in 30 s, with arms",
    "fhir_trial": "Activity trial",
    "fhir_trial_of": "Activity trial: {label}",
    # FHIR: skin
    "fhir_skin": "skin {skin} {where}",
    "fhir_on_knee": "on the {knee}",
    "fhir_before_tape": "on the {knee}, before tape went on",
    "fhir_under_tape": "under tape on the {knee}",
    "fhir_under_patch": "under a patch test",
    "fhir_felt": "{feeling} from tape on the {knee}, taken off for it",
}
