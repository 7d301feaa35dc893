"""What speaks against a field of a plan, in one sentence, and what a new version changed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from companion.care.catalogue import Catalogue
from companion.care.records import Plan
from companion.presentation.language.phrases import dated, phrase
from companion.presentation.language.plan_changes import plan_changes
from companion.services.plan_answers import Answer, Limits, limits
from companion.services.plan_draft import DraftFault


@dataclass(frozen=True, slots=True)
class Remark:
    """One sentence beside a field. `advice` blocks nothing."""

    text: str
    advice: bool = False


@dataclass(frozen=True, slots=True)
class Difference:
    """A field that differs from the last version: its name, as it was, as it is now."""

    label: str
    was: str
    now: str


_FAULTS = {
    "missing": "This needs an answer.",
    "day_ahead": "This day is still to come.",
    "review_passed": "The review must be after today.",
    "review_not_after_written": "The review must be after the day the plan is written.",
    "main_side_not_in_plan": "The main knee is not a knee of this plan.",
    "starting_stage_above_highest": "The starting stage is above the highest stage.",
    "tape_never_but_stages": "There is no tape in this plan, yet a highest stage is named.",
    "tape_when_but_no_stage": "The plan says when to tape, but its highest stage is no tape.",
    "tape_make_missing": "Name the make: a patch test is that of one make.",
    "first_wear_over_cap": "The first wear is longer than the hard cap.",
    "second_wear_over_cap": "The second wear is longer than the hard cap.",
    "due_over_cap": "The hard cap is below the hours after which tape is due off.",
    "stretch_limit_missing": "Stretch of what is available needs the limit of this make.",
    "cut_lengths_missing": "The plan says lengths as cut here: write the length that was cut.",
    "short_piece_missing": "The plan goes up to short pieces: write the length that was cut.",
    "measure_missing": "Without this measure no strip sheet can be printed.",
    "measure_refused": "This cannot be right. Measure again along the skin.",
    "measure_unusual": "Outside 60 to 160 mm. Measure again before you go on.",
    "ratio_unusual": "Tendon against kneecap height is outside 0.6 to 1.6. Measure again.",
    "two_measures_for_one_knee": "One knee is measured twice.",
    "anchors_fill_strip": "Both anchors together fill the whole strip: nothing is left to stretch.",
    "ceiling_below_stop_amount": "The pain ceiling is below the stop amount.",
    "too_few_moves_for_rounds": "Too few: each round needs a check move after it, and one before.",
    "safety_unanswered": "Say whether this move is safe alone.",
    "own_move_without_words": "Describe your own move.",
    "technique_unknown": "This technique is not known here.",
    "technique_twice": "This technique is there twice.",
    "technique_untaught": "Not shown back yet, so not offered.",
    "technique_blocked": "Blocked by a caution answered yes: {what}.",
    "technique_over_range": "Outside the usual range of this technique.",
    "exercise_unknown": "This exercise is not known here.",
    "exercise_twice": "This exercise is there twice.",
    "exercise_untaught": "Not shown back yet, so not offered.",
    "exercise_blocked": "Blocked by a caution answered yes: {what}.",
    "exercise_over_range": "Outside the usual range of this exercise.",
    "caution_unknown": "This caution is not known here.",
    "caution_unanswered": "Not answered yet.",
    "tape_blocked": "Tape is blocked by a caution answered yes: {what}.",
    "hands_days_without_hands": "There are days for hands, but no technique is ticked.",
    "hands_without_days": "Techniques are ticked, but no day a week is set for them.",
    "exercise_days_without_exercise": "There are days for exercise, but no exercise is ticked.",
    "exercises_without_days": "Exercises are ticked, but no day a week is set for them.",
    "replacement_date_missing": "Listed: write the date of the operation.",
    "tape_past_replacement": "Write from when the skin stays bare before the operation.",
    "goal_not_above_baseline": "The goal is below what is done now.",
    "contact_missing": "Without it the cards of the stop list say: no number is written here.",
    "known_sign_unknown": "This sign is not on the stop list.",
    "known_sign_not_allowed": "This sign cannot be marked as known.",
    "trial_without_tape": "A trial of tape needs a plan that tapes.",
    "trial_side_not_in_plan": "The knee of the tape trial is not a knee of this plan.",
    "trial_not_ahead": "The trial is fixed beforehand: its first day comes after today.",
    "trial_fixed": "The tape trial has begun: it can be ended, not changed.",
    "trial_not_as_fixed": "The schedule of the tape trial is not the one that was fixed.",
    "trial_rest_too_long": (
        "The tape trial gives the skin one bare day, 24 h, between periods. A longer rest does "
        "not fit."
    ),
    "trial_due_too_short": "Tape would be due off before the {what} h of a trial period are over.",
    "trial_cap_too_short": "The cap comes before the {what} h of a trial period are over.",
    "trial_past_review": "The tape trial is not over by then. Review after its last day.",
    "trial_past_bare": "The tape trial is not over by then. It ends before the skin stays bare.",
    "trial_past_replacement": "The tape trial is not over by then. It ends before an operation.",
    "trial_skin_unknown": (
        "No diary is at hand. A trial is offered after two wears that ended with clear skin."
    ),
    "trial_skin_too_few": (
        "The diary shows no two wears of this make on this knee. A trial is offered after two that "
        "ended with clear skin."
    ),
    "trial_skin_not_clear": (
        "The last two wears of this make on this knee did not both end with clear skin. A trial "
        "is offered after two that did."
    ),
    "no_exercise": "Hands or tape without exercise. Guidelines put exercise first.",
    "few_activities": "Fewer than three activities: their mean says little.",
}


def fault_sentence(fault: DraftFault, catalogue: Catalogue) -> str:
    """The sentence beside the field."""
    if fault.code == "not_allowed":
        return _not_allowed(fault.key)
    what = fault.what or ""
    if fault.code in ("technique_blocked", "exercise_blocked", "tape_blocked"):
        what = phrase(catalogue.caution(what.rpartition(":")[2]).clinic_words)
    return phrase(_FAULTS[fault.code], what=what)


def _not_allowed(key: str) -> str:
    if key == "person":
        return phrase("Letters, digits, dot and dash, 32 at most. A code, never a name.")
    if key.startswith("sign_off."):
        return phrase("At most {n} letters.", n=60)
    held = limits(key)
    if held.day:
        return phrase("Write a day such as 24 12 2026, or 6w for in six weeks.")
    if held.least is not None and held.most is not None:
        words = f"{held.least:g}", f"{held.most:g}"
        if held.whole:
            return phrase(
                "Write a whole number from {least} to {most}.", least=words[0], most=words[1]
            )
        return phrase("Write a number from {least} to {most}.", least=words[0], most=words[1])
    if held.most is not None:
        return phrase("At most {n} letters.", n=round(held.most))
    return phrase("Choose one of the answers.")


def remarks(faults: Iterable[DraftFault], catalogue: Catalogue) -> Mapping[str, tuple[Remark, ...]]:
    """What to say beside each field, faults first."""
    found: dict[str, list[Remark]] = {}
    for fault in faults:
        said = Remark(fault_sentence(fault, catalogue), fault.advice)
        found.setdefault(fault.key, []).append(said)
    return {key: tuple(dict.fromkeys(each)) for key, each in found.items()}


def read_day(text: str, today: date) -> date | None:
    """A day as typed: `24 12 2026` (day, month, year; also with dots or strokes), `2026-12-24`,
    `today`, or `6w` and `10d` for so many weeks and days from today. None when it is none."""
    typed = text.strip().lower()
    if typed == phrase("today"):
        return today
    if typed[-1:] in ("w", "d") and typed[:-1].strip().isdecimal() and len(typed) <= 4:
        return today + timedelta(days=int(typed[:-1]) * (7 if typed.endswith("w") else 1))
    parts = typed.replace(".", " ").replace("/", " ").replace("-", " ").split()
    if len(parts) != 3 or not all(part.isdecimal() and part.isascii() for part in parts):
        return None
    first, month, last = (int(part) for part in parts)
    day, year = (last, first) if len(parts[0]) == 4 else (first, last)
    if not 1900 <= year <= 2200:
        return None
    try:
        return date(year, month, day)
    except ValueError:
        return None


def range_words(held: Limits, unit: str = "") -> str:
    """What a number may be, in short words."""
    if held.least is None or held.most is None:
        return ""
    least, most = f"{held.least:g}", f"{held.most:g}"
    if unit:
        return phrase("{least} to {most} {unit}", unit=unit, least=least, most=most)
    return phrase("{least} to {most}", least=least, most=most)


def answer_words(answer: Answer) -> str:
    """An answer as it stands in a list of differences."""
    if answer is None:
        return phrase("none")
    if isinstance(answer, bool):
        return phrase("yes") if answer else phrase("no")
    if isinstance(answer, date):
        return dated(answer)
    if isinstance(answer, float):
        return f"{answer:g}"
    return str(answer)


def changes_in_words(last: Plan, new: Plan, catalogue: Catalogue) -> tuple[str, ...]:
    """The short words of the clinic's page for what a version changed."""
    return plan_changes(last, new, catalogue)
