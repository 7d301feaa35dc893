"""Every field of every record in plain words: what a field is called at home.

The fields of entries have their table here, those of a plan their place in its form. A test finds
a field, a code or a key without words.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, Literal

from companion.care import records
from companion.care.course import EndReason
from companion.presentation.language import codes
from companion.presentation.language.code_table import CodeTable, ForHome, home_words
from companion.presentation.language.phrases import clock_time, dated, in_figures, joined, phrase
from companion.presentation.language.words import yes_or_no
from companion.services.plan_answers import keys_of_records

if TYPE_CHECKING:
    from companion.care.catalogue import Catalogue
    from companion.care.form import PlanForm

Looked = Literal[
    "technique", "exercise", "step", "sign", "card", "caution", "zone", "reason", "question"
]
"""Where the words of a key stand: in the catalogue, or with the ends of a routine."""


@dataclass(frozen=True, slots=True)
class FieldWords:
    """What a field is called, the words of its codes, where its keys are looked up, its unit.

    `number` marks what is an id or a checksum: letters and digits without a meaning of their own.
    `question` asks for the field once more, where it may be put right.
    """

    name: str
    codes: CodeTable[Any, str | ForHome] | None = None
    looked: Looked | None = None
    unit: str = ""
    number: bool = False
    question: str = ""


F = FieldWords
_LAST_FORTNIGHT = F(
    "The two weeks before",
    codes.LAST_FORTNIGHT,
    question="In the two weeks before you began here: was this knee worse than usual?",
)
WORDS: Mapping[type[records.Record], Mapping[str, FieldWords]] = {
    records.Entry: {
        "id": F("Number", number=True),
        "for_day": F("For the day"),
        "written_at": F("On"),
        "written_by": F("By", codes.WRITERS),
        "plan_version": F("Plan version"),
        "replaces": F("In place of number", number=True),
        "machine": F("On the computer", number=True),
        "turn": F("Its place in all written there"),
        "over": F("Chosen over numbers", number=True),
        "beside": F("Beside number", number=True),
    },
    records.Withdrawable: {"withdrawn": F("Withdrawn", codes.WITHDRAWN)},
    records.ActivityScore: {
        "label": F("Activity"),
        "score": F("Score", question="How well could you do it? Here a higher number is better."),
    },
    records.Amount: {
        "label": F("What"),
        "unit": F("Counted in"),
        "amount": F("How much", question="How much was it?"),
    },
    records.DayPage: {
        "kind": F("Kind"),
        "side": F("Knee", codes.SIDES),
        "form": F("Day page", codes.PAGE_FORMS),
        "pain_now": F("Pain now", question="How bad was the pain when you wrote the page?"),
        "pain_average": F("Average pain", question="How bad was the pain on average?"),
        "pain_worst": F("Worst pain", question="How bad was the worst pain?"),
        "medicine": F("Extra medicine", question="Did you take extra medicine for the pain?"),
        "skin": F("Skin at the tape", codes.SKIN, question="How was the skin where the tape was?"),
        "stiffness_minutes": F(
            "Stiff in the morning, minutes", question="How long was the knee stiff in the morning?"
        ),
        "swelling": F("Swelling", codes.SWELLING, question="Was the knee swollen?"),
        "night_pain": F("Woken at night", question="Did the knee wake you at night?"),
        "as_before": F("Said to be as before", codes.DAY_ANSWERS),
        "activities": F("Activities"),
        "amounts": F("Amounts"),
        "stairs": F("Stairs", codes.STAIRS, question="How did you take stairs?"),
        "hands_done": F("Hands-on part done", question="Was the hands-on part done?"),
        "exercise_done": F("Exercises done", question="Were the exercises done?"),
        "tape_worn": F("Tape worn", question="Was tape worn?"),
        "tape_stage": F("Which tape", codes.STAGES, question="Which tape was it?"),
        "note": F("Note", question="What is the note for this day?"),
        "note_private": F("A note stays at home"),
        "unclear": F("Cannot be read on paper", codes.PAPER_QUESTIONS),
        "not_asked": F("Not asked on paper", codes.PAPER_QUESTIONS),
        "last_fortnight": _LAST_FORTNIGHT,
    },
    records.MoveScore: {
        "role": F("When", codes.MOVE_ROLES),
        "score": F("Score", question="How much did the move hurt?"),
        "zones": F("Where it hurt", looked="zone", question="Where did it hurt?"),
        "stage": F("Tape", codes.STAGES),
        "same_depth": F("Done the same way", question="Was the move done the same way as before?"),
    },
    records.StepDone: {
        "step": F("Step", looked="step"),
        "outcome": F("How it went", codes.STEP_OUTCOMES, question="How did this step go?"),
        "seconds": F("Time", unit="s"),
        "pain": F("Worst pain", question="How bad was the worst pain in it?"),
        "counted": F("Counted by the clock"),
        "sheet": F("Version of its sheet"),
    },
    records.HandsRound: {"steps": F("Steps")},
    records.Session: {
        "kind": F("Kind"),
        "side": F("Knee", codes.SIDES),
        "happened_at": F("Begun"),
        "ended_at": F("Ended"),
        "place": F("Where", codes.PLACES),
        "gate": F("Anything new", codes.GATE, question="Was anything new?"),
        "full_list": F("The full list was read"),
        "gate_replies": F("The questions of the gate"),
        "known_replies": F("What is known"),
        "after_last": F(
            "After the routine before",
            codes.AFTER_LAST,
            question="How did the knee take the routine before?",
        ),
        "rest_pain": F("Pain at rest", question="How bad was the pain at rest?"),
        "depth": F("The move"),
        "moves": F("Check moves"),
        "rounds": F("Hands round"),
        "exercises": F("Exercises"),
        "stage": F("Tape", codes.STAGES, question="Which tape was on at the end?"),
        "comparable": F("Scores can be compared"),
        "ended": F("How it ended", codes.SESSION_ENDS),
        "reason": F("Why it ended", looked="reason"),
        "last_fortnight": _LAST_FORTNIGHT,
        "knows_steps": F("The person knows these steps"),
    },
    records.TapeOn: {
        "kind": F("Kind"),
        "side": F("Knee", codes.SIDES),
        "happened_at": F("When", question="At what time did the tape go on?"),
        "stage": F("Tape", codes.STAGES, question="Which tape went on?"),
        "make": F("Make of tape", question="Which make of tape was it?"),
        "by": F("Put on by", codes.WRITERS, question="Who put it on?"),
        "skin_before": F("Skin before", codes.SKIN, question="How was the skin before?"),
        "for_outing": F("For an outing", question="Was it for an outing?"),
    },
    records.TapeOff: {
        "kind": F("Kind"),
        "side": F("Knee", codes.SIDES),
        "tape_on": F("Took off number", number=True),
        "happened_at": F("When", question="At what time did the tape come off?"),
        "came_off_by_itself": F("Came off by itself", question="Did it come off by itself?"),
        "felt": F("Felt from the tape", codes.FEELINGS, question="What was felt from the tape?"),
        "skin_at_once": F("Skin at once", codes.SKIN, question="How was the skin at once?"),
        "skin_after_30_min": F(
            "Skin later", codes.SKIN, question="How was the skin half an hour later?"
        ),
    },
    records.Outing: {
        "kind": F("Kind"),
        "happened_at": F("When", question="At what time did you set out?"),
        "what_for": F("What for", question="What was it for?"),
        "knees": F("Each knee"),
        "amount": F("How much"),
        "ended_because": F("Why it ended", codes.OUTING_ENDED, question="Why did it end?"),
    },
    records.OutingKnee: {
        "side": F("Knee", codes.SIDES),
        "tape_on": F("With the tape of number", number=True),
        "pain_worst": F("Worst pain", question="How bad was the worst pain?"),
        "next_morning": F("Morning after", codes.MORNINGS, question="How was the morning after?"),
    },
    records.PatchTest: {
        "kind": F("Kind"),
        "make": F("Make of tape", question="Which make of tape was it?"),
        "happened_at": F("When"),
        "first_read_at": F("First looked at"),
        "first_skin": F("First look", codes.SKIN, question="How was the skin at the first look?"),
        "second_read_at": F("Looked at again"),
        "second_skin": F(
            "Second look", codes.SKIN, question="How was the skin at the second look?"
        ),
        "tolerated_in_clinic": F("Tried in the clinic"),
    },
    records.WarningSign: {
        "kind": F("Kind"),
        "sign": F("What was ticked", looked="sign"),
        "card": F("Card", looked="card"),
        "level": F("What it asks for", codes.LEVELS),
        "sides": F("Knee", codes.SIDES, question="Which knee was it about? Tick both for both."),
        "happened_at": F("When"),
        "cleared": F("Cleared as", codes.CLEARED),
        "cleared_on": F("Cleared on"),
        "cleared_by": F("Cleared by"),
        "opened": F("Open again", codes.PARTS),
        "opened_on": F("Open again since"),
        "told": F("Told of the routine", codes.TOLD),
        "told_by": F("Told by", codes.TOLD_BY),
        "told_name": F("Name"),
        "told_on": F("Told on"),
    },
    records.Event: {
        "kind": F("Kind"),
        "what": F("What happened", codes.EVENTS),
        "side": F("Knee", codes.SIDES),
        "note": F("Note", question="What do you want to say about it?"),
    },
    records.ScoringTaught: {
        "kind": F("Kind"),
        "words": F("In your words", question="How were 0 and 10 taught?"),
    },
    records.Measurement: {
        "kind": F("Kind"),
        "test": F("What was measured", codes.TESTS),
        "count": F("How often", question="How often was it?"),
        "arms_used": F("With arms", question="Did you use your arms?"),
        "seat_cm": F("Seat height", unit="cm", question="How high was the seat?"),
        "label": F("Activity", question="What was it?"),
    },
    records.Question: {
        "kind": F("Kind"),
        "text": F("Question", question="What do you want to ask?"),
        "ten_said": F(
            "Whether 10 is the worst", codes.TEN_SAID, question="Is 10 the worst possible pain?"
        ),
        "answered": F("Answered", question="Was it answered?"),
    },
    records.GateAnswer: {
        "kind": F("Kind"),
        "happened_at": F("When"),
        "gate": F("Anything new", codes.GATE, question="Was anything new?"),
        "full_list": F("The full list was read"),
        "gate_replies": F("The questions of the gate"),
        "known_replies": F("What is known"),
        "side": F("Knee", codes.SIDES),
        "after_last": F(
            "After the routine before",
            codes.AFTER_LAST,
            question="How did the knee take the routine before?",
        ),
    },
    records.Journey: {
        "kind": F("Kind"),
        "first_day": F("First day away"),
        "last_day": F("Last day away"),
        "where": F("Where", question="Where do you go?"),
        "clock_ahead": F(
            "The clock there is ahead by, hours",
            question="By how many hours is the clock there ahead? Behind is below 0.",
        ),
        "home_minutes": F("The clock at home, minutes ahead of UTC"),
        "emergency": F("Emergency number there", question="What is the emergency number there?"),
    },
    records.GateReply: {
        "question": F("Question", looked="question"),
        "said": F("Answer", codes.GATE_REPLIES, question="What was the right answer?"),
    },
    records.KnownReply: {
        "sign": F("Sign", looked="sign"),
        "said": F("Answer", codes.KNOWN_SAID, question="How was it?"),
    },
}


ENDS: CodeTable[EndReason, str] = CodeTable(
    EndReason,
    {
        "prescribed": "As your plan says",
        "target_met": "The mark in your plan was reached",
        "target_missed": "Short of the mark in your plan",
        "short_of_target": "Short of the mark in your plan",
        "plan_tapes_always": "As your plan says",
        "tape_not_allowed_today": "No tape today",
        "tape_did_not_add": "The tape did not lower the pain",
        "worse": "It hurt more than before, so it ended",
        "worse_with_tape": "It hurt more with tape, so it came off",
        "nothing_to_ease": "It did not hurt before",
        "low_score": "A low score, so no more was needed",
        "not_comparable": "The moves were not done the same way",
        "moves_used_up": "No check moves were left",
        "hands_not_allowed_today": "No hands-on part today",
        "no_check_move": "No check move today",
        "bad_day": "A bad day: the shorter routine",
        "tape_not_on": "The tape did not go on",
        "exercise_only": "Exercises only",
        "nothing_today": "Nothing to do today",
        "locked": "The routine was closed",
        "card": "A warning sign was ticked",
        "wanted": "You stopped it",
        "left_behind": "It was not finished",
        "tape_on": "Tape went on before it was finished",
        "trial": "A tape trial began before it was finished",
        "stale": "It was not finished",
    },
)


def end_words(reason: str) -> str:
    """Why a session ended, in the words of the record; a file may hold a reason of its own."""
    return ENDS.find(reason) or phrase("Ended")


def field_words(
    record: type[records.Record], name: str, form: PlanForm | None = None
) -> FieldWords:
    """The words of a field of a record; those of a plan are looked up in its form. Raises KeyError
    where there are none."""
    for cls in record.__mro__:
        found = WORDS.get(cls, {}).get(name)
        if found is not None:
            return found
    key = keys_of_records().get((record, name))
    if form is not None and key is not None:
        return _in_form(form, key)
    raise KeyError(f"{record.__name__}.{name}")


def _in_form(form: PlanForm, key: str) -> FieldWords:
    for field in form.fields:
        if field.key == key and field.home is not None:
            return FieldWords(
                field.home, _table(field.options), unit=phrase(field.unit) if field.unit else ""
            )
    for other in form.unasked:
        if other.key == key:
            table = _table(other.options)
            return FieldWords(other.home, table, other.looked, number=other.number)
    raise KeyError(key)


def _table(options: str | None) -> CodeTable[Any, str | ForHome] | None:
    return None if options is None else codes.named(options.partition(".")[0])


def value_words(words: FieldWords, value: object, catalogue: Catalogue | None = None) -> str:
    """One value, or several of one field, in words. Keys are looked up where a catalogue is given;
    one it does not hold is shown as it is."""
    if isinstance(value, tuple):
        return joined(value_words(words, each, catalogue) for each in value)
    if isinstance(value, bool):
        return yes_or_no(value)
    if words.codes is not None:
        coded: str = home_words(words.codes, value)
        return coded
    if isinstance(value, datetime):
        return phrase("{day}, {time}", day=dated(value.date()), time=clock_time(value))
    if isinstance(value, date):
        return dated(value)
    if words.looked is not None:
        return key_words(words.looked, str(value), catalogue)
    if words.number:
        digits = str(value)
        return " ".join(digits[at : at + 4] for at in range(0, len(digits), 4))
    told = str(value)
    if isinstance(value, float):
        told = str(int(value)) if value.is_integer() else in_figures(value, "")
    return phrase("{told} {unit}", told=told, unit=words.unit) if words.unit else told


def key_words(looked: Looked, key: str, catalogue: Catalogue | None) -> str:
    """What something of the catalogue is called; its key where the catalogue has it no more."""
    if looked == "reason":
        return end_words(key)
    if catalogue is None:
        return key.replace("_", " ")
    named: dict[str, str] = {}
    match looked:
        case "technique":
            named = {sheet.id: sheet.title for sheet in catalogue.techniques}
        case "exercise":
            named = {sheet.id: sheet.title for sheet in catalogue.exercises}
        case "step":
            named = catalogue.step_titles()
        case "sign":
            named = {key: catalogue.sign(key).words}
        case "card":
            named = {card.id: card.heading for card in catalogue.cards.cards}
        case "caution":
            named = {one.id: one.clinic_words for one in catalogue.cautions.cautions}
        case "question":
            named = {str(one.number): one.words for one in catalogue.short_gate.questions}
        case "zone":
            named = {zone.id: zone.home_words for zone in catalogue.zones.zones}
    return phrase(named[key]) if key in named else key.replace("_", " ")
