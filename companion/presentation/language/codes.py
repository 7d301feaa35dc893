"""The words of every code a plan, a diary or a finding holds: one table for each code set.

Columns are the places that say a code. `home` is what the person reads, `clinic` what the clinician
reads, `answer` what the person presses. A set whose row is a str has the same words everywhere.
All stand as inside a sentence; `capital` begins one with them. What only one page says of a code of
its own, such as why there is no hands-on part today, stands with that page, as a `CodeTable` too.
"""

from __future__ import annotations

from typing import Any, Literal

from companion.care.bad_days import SpellCall
from companion.care.closed_days import DayState
from companion.care.dose import DoseWhy
from companion.care.open_things import OpenCode
from companion.care.policy import Until
from companion.care.records import (
    AfterLast,
    Build,
    Cleared,
    ContactRole,
    DayAnswer,
    EntryKind,
    EventKind,
    GateReplySaid,
    GateSaid,
    GroupAnswer,
    KnownSaid,
    LastFortnight,
    LengthFrom,
    Level,
    Measure,
    MeasureTest,
    MoveName,
    MoveRole,
    NextMorning,
    OnBadDays,
    OpenDays,
    OpenSignSaid,
    Outcome,
    OutingEnded,
    OverruleReason,
    PageForm,
    PaperQuestion,
    Part,
    PatchTested,
    Place,
    PlanReason,
    PlanSide,
    PrimaryQuestion,
    PullAt,
    PullTowards,
    Replacement,
    Safe,
    SessionEnd,
    Sex,
    Skin,
    StairsWay,
    StretchOf,
    Support,
    Swelling,
    TapeFeeling,
    TenSaid,
    Told,
    ToldBy,
    Weekday,
    WhenTape,
    Withdrawn,
    WrittenBy,
)
from companion.presentation.language.code_table import CodeTable, Wording


class Both(Wording):
    """Words for the person and for the clinic."""

    home: str
    clinic: str


class Same(Wording):
    """Words that the clinic reads as the person does."""

    home: str

    @property
    def clinic(self) -> str:
        """The same."""
        return self.home


class Answered(Same):
    """An answer as it is pressed, and how the record and the clinic's pages tell it."""

    answer: str


class StairsWords(Answered):
    """The same, and in a word or two beside a box on paper."""

    short: str


class TenWords(Answered):
    """The same, and how the person's questions for the clinic tell it."""

    told: str


TEN_SAID: CodeTable[TenSaid, TenWords] = CodeTable(
    TenSaid,
    {
        "worst": TenWords(
            "yes",
            "Yes, the worst possible",
            "I was asked if a score of 10 is the worst possible pain. I said yes. "
            "Five of my sessions in a row began at 10.",
        ),
        "can_be_worse": TenWords(
            "no",
            "No, it can be worse",
            "I was asked if a score of 10 is the worst possible pain. I said no. "
            "Five of my sessions in a row began at 10.",
        ),
        "not_sure": TenWords(
            "not sure",
            "Not sure",
            "I was asked if a score of 10 is the worst possible pain. I said I am not sure. "
            "Five of my sessions in a row began at 10.",
        ),
    },
)


# ---------------------------------------------------------------- knees, moves, pain


class SideWords(Same):
    """A side alone, as in a table, and with its knee."""

    knee: str


SIDES: CodeTable[PlanSide, SideWords] = CodeTable(
    PlanSide,
    {
        "left": SideWords("left", "left knee"),
        "right": SideWords("right", "right knee"),
        "both": SideWords("both", "both knees"),
    },
)


class MoveWords(Same):
    """A check move by name, and the sentence that asks for it."""

    sentence: str


MOVES: CodeTable[MoveName, MoveWords] = CodeTable(
    MoveName,
    {
        "rise_from_chair": MoveWords(
            "rise from a chair", "Rise from the chair once, as you were shown."
        ),
        "small_squat": MoveWords(
            "small squat with support", "Do one small squat with support, as you were shown."
        ),
        "step_down": MoveWords("step down", "Step down once, holding on, as you were shown."),
        "stairs": MoveWords("stairs", "Go up and down the stairs once, as you were shown."),
        "own": MoveWords("own move", "Do your check move once, as you were shown."),
    },
)


class RoleWords(Same):
    """When a check move was scored, alone and at the head of its page."""

    heading: str


MOVE_ROLES: CodeTable[MoveRole, RoleWords] = CodeTable(
    MoveRole,
    {
        "before": RoleWords("before", "Score before"),
        "after_hands": RoleWords("after hands", "Score after hands"),
        "after_tape": RoleWords("with tape", "Score with tape"),
    },
)


class MeasureWords(Wording):
    """A measure of pain: its name, what its numbers are, and how the day page asks for it.

    `when` is since when, for a page of today, or on which day.
    """

    home: str
    clinic: str
    question: str


MEASURES: CodeTable[Measure, MeasureWords] = CodeTable(
    Measure,
    {
        "average": MeasureWords(
            "average pain",
            "the average of each day",
            "{when}: how much did your {knee} hurt on average?",
        ),
        "worst": MeasureWords(
            "worst pain", "the worst of each day", "{when}: how bad was the worst pain?"
        ),
        "now": MeasureWords(
            "pain now", "as it was when written", "How much does your {knee} hurt now?"
        ),
    },
)
SAFE: CodeTable[Safe, Both] = CodeTable(
    Safe,
    {
        "alone": Both("on your own", "safe alone"),
        "with_someone": Both("with someone there", "safe with someone there"),
    },
)

# ---------------------------------------------------------------- day pages


class SkinWords(Wording):
    """The skin: as it is pressed at once and at a later look, told, and under a test piece.

    At once nobody can say that pink is gone within 30 minutes, so no telling of it says so.
    """

    answer: str
    later: str
    home: str
    clinic: str
    under_patch: str


SKIN: CodeTable[Skin, SkinWords] = CodeTable(
    Skin,
    {
        "clear": SkinWords("Clear", "Clear", "clear", "clear", "Clear, as usual"),
        "pink": SkinWords(
            "Pink, darker or warm",
            "It was pink, darker or warm, and that is gone",
            "pink, darker or warm",
            "pink or darker",
            "Pink, red, darker or warm",
        ),
        "red": SkinWords(
            "Still pink, darker or warm",
            "Still pink, darker or warm after 30 minutes",
            "still pink, darker or warm after 30 minutes",
            "red or darker past 30 min",
            "Pink, red, darker or warm",
        ),
        "itchy": SkinWords("Itchy", "Itchy", "itchy", "itchy", "It itches or burns, or has a rash"),
        "blister": SkinWords("A blister", "A blister", "a blister", "blister", "A blister"),
        "broken": SkinWords(
            "Torn or bruised",
            "Torn or bruised",
            "torn or bruised",
            "torn or bruised",
            "Torn or bruised",
        ),
    },
)
STAIRS: CodeTable[StairsWay, StairsWords] = CodeTable(
    StairsWay,
    {
        "in_turn": StairsWords("one foot after the other", "One foot after the other", "in turn"),
        "one_at_a_time": StairsWords("one step at a time", "One step at a time", "step by step"),
        "with_rail": StairsWords("with the rail", "Only with the rail", "rail"),
        "backwards": StairsWords("backwards", "Backwards", "backwards"),
        "avoided": StairsWords("left out", "I left them out", "left out"),
    },
)
LAST_FORTNIGHT: CodeTable[LastFortnight, Answered] = CodeTable(
    LastFortnight,
    {
        "worse": Answered("worse than usual", "Yes, worse than usual"),
        "not_worse": Answered("not worse than usual", "No, not worse than usual"),
        "cannot_tell": Answered("cannot tell", "I can’t tell"),
    },
)
SWELLING: CodeTable[Swelling, Answered] = CodeTable(
    Swelling,
    {
        "none": Answered("none", "Not swollen"),
        "some": Answered("a little", "A little"),
        "much": Answered("a lot", "A lot"),
    },
)


class DayAnswerWords(Both):
    """An answer of a day page: what a page about it is called, and what was written."""

    heading: str
    wrote: str


DAY_ANSWERS: CodeTable[DayAnswer, DayAnswerWords] = CodeTable(
    DayAnswer,
    {
        "swelling": DayAnswerWords(
            "swelling",
            "swelling",
            "About the swelling",
            "You wrote that the knee is swollen: {value}.",
        ),
        "woken": DayAnswerWords(
            "waking at night",
            "woken at night",
            "About the night",
            "You wrote that the knee woke you.",
        ),
        "stiff": DayAnswerWords(
            "stiffness",
            "morning stiffness",
            "About the stiffness",
            "You wrote that the knee was stiff for {value}.",
        ),
        "worst": DayAnswerWords(
            "the worst pain",
            "worst pain",
            "About the worst pain",
            "You wrote {value} for the worst pain.",
        ),
    },
)
PAGE_FORMS: CodeTable[PageForm, str] = CodeTable(PageForm, {"short": "short", "full": "full"})
PAPER_QUESTIONS: CodeTable[PaperQuestion, str] = CodeTable(
    PaperQuestion,
    {
        "pain_now": "pain now",
        "pain_average": "average pain",
        "pain_worst": "worst pain",
        "stiffness_min": "morning stiffness",
        "before": "check move before",
        "after_hands": "check move after hands",
        "after_tape": "check move after tape",
        "tape_stage": "which tape",
        "tape_worn": "tape worn",
        "steps_done": "hands-on steps",
        "exercise_done": "exercises",
        "medicine": "extra pain medicine",
        "skin": "skin under tape",
        "night_pain": "woken at night",
        "stairs": "stairs",
        "fell": "a fall",
        "activities": "how well activities went",
        "amounts": "how much was done",
    },
)

# ---------------------------------------------------------------- sessions, tape, outings

WITHDRAWN: CodeTable[Withdrawn, Answered] = CodeTable(
    Withdrawn,
    {
        "never_happened": Answered("it never happened", "It never happened"),
        "written_twice": Answered("it was written twice", "It was written twice"),
        "somebody_else": Answered("it was about somebody else", "It was about somebody else"),
        "taken_back": Answered("it is not asked any more", "I do not ask it any more"),
    },
)

SESSION_ENDS: CodeTable[SessionEnd, str] = CodeTable(
    SessionEnd, {"finished": "finished", "stopped": "stopped", "left": "left unfinished"}
)
STEP_OUTCOMES: CodeTable[Outcome, str] = CodeTable(
    Outcome, {"done": "done", "partly": "done in part", "skipped": "left out", "stopped": "stopped"}
)
PLACES: CodeTable[Place, str] = CodeTable(Place, {"home": "at home", "clinic": "in the clinic"})
GATE: CodeTable[GateSaid, str] = CodeTable(
    GateSaid, {"none": "nothing new", "something": "something, or not sure"}
)
GATE_REPLIES: CodeTable[GateReplySaid, Answered] = CodeTable(
    GateReplySaid,
    {
        "yes": Answered("yes", "Yes"),
        "no": Answered("no", "No"),
        "not_sure": Answered("not sure", "Not sure"),
    },
)
KNOWN_SAID: CodeTable[KnownSaid, Answered] = CodeTable(
    KnownSaid,
    {
        "as_before": Answered("as before", "As before"),
        "worse": Answered("worse", "Worse"),
        "something_new": Answered("something new with it", "Something new"),
    },
)
AFTER_LAST: CodeTable[AfterLast, Answered] = CodeTable(
    AfterLast,
    {
        "same": Answered("as usual", "As usual"),
        "more_gone_2h": Answered("more pain, gone in two hours", "More, gone in two hours"),
        "more_next_morning": Answered("more pain the next morning", "More next morning"),
        "cannot_recall": Answered("cannot recall", "Cannot recall"),
    },
)
STAGES: CodeTable[int, str] = CodeTable(
    Literal[0, 1, 2], {0: "no tape", 1: "side strips", 2: "side strips and short pieces"}
)
FEELINGS: CodeTable[TapeFeeling, Answered] = CodeTable(
    TapeFeeling,
    {
        "itch": Answered("itch", "It itches"),
        "pinching": Answered("pinching", "It pinches"),
        "numbness": Answered("numbness", "It feels numb or tingles"),
        "pain": Answered("pain", "It hurts"),
    },
)
OUTING_ENDED: CodeTable[OutingEnded, Answered] = CodeTable(
    OutingEnded,
    {
        "done": Answered("done", "I had done what I wanted"),
        "pain": Answered("pain", "It hurt too much"),
        "tired": Answered("tired", "I was tired"),
        "tape": Answered("the tape", "The tape bothered me"),
        "other": Answered("something else", "Something else"),
    },
)
MORNINGS: CodeTable[NextMorning, Answered] = CodeTable(
    NextMorning,
    {
        "as_usual": Answered("as usual", "As usual"),
        "more_pain": Answered("more pain", "More pain than usual"),
        "less_pain": Answered("less pain", "Less pain than usual"),
    },
)

# ---------------------------------------------------------------- warnings, events, entries


class LevelWords(Same):
    """What a warning sign asks for, the heading of the signs that ask for it, and what its card
    says first."""

    heading: str
    card: str


LEVELS: CodeTable[Level, LevelWords] = CodeTable(
    Level,
    {
        "emergency": LevelWords("emergency", "Emergency: call now", "Emergency"),
        "today": LevelWords("be seen today", "Be seen today", "Today"),
        "call": LevelWords("call the clinic", "Call before the next routine", "Call"),
        "care": LevelWords("go on with care", "Go on with care", "Go on with care"),
    },
)


class OpenSignWords(Both):
    """A sign that a plan answers for; the answer as the clinician chooses it."""

    chosen: str


class PartWords(Both):
    """A part of the routine; the heading before it, and the answer that leaves it out today."""

    before: str
    left_out: str


PARTS: CodeTable[Part, PartWords] = CodeTable(
    Part,
    {
        "hands": PartWords(
            "the hands-on part",
            "hands",
            "Before the hands-on part",
            "No, no hands-on part today",
        ),
        "tape_on": PartWords("tape going on", "tape on", "Before the tape", "No, no tape today"),
        "seated": PartWords(
            "seated or lying exercises",
            "seated or lying exercise",
            "Before you exercise",
            "No, none of these exercises today",
        ),
        "standing": PartWords(
            "standing exercises",
            "standing exercise",
            "Before you stand",
            "No, no standing exercises today",
        ),
        "check_move": PartWords(
            "the check move and the chair stand",
            "check move, chair stand",
            "Before you stand",
            "No, not today",
        ),
        "outing_tape": PartWords(
            "tape for going out", "tape for an outing", "Before the tape", "No, no tape today"
        ),
    },
)
CLEARED: CodeTable[Cleared, Answered] = CodeTable(
    Cleared,
    {
        "checked_by_professional": Answered(
            "checked by a professional", "A professional has checked me"
        ),
        "ticked_by_mistake": Answered("ticked by mistake", "It was ticked by mistake"),
        "skin_read_clear": Answered(
            "the skin was clear", "The skin is whole, dry and its usual colour again"
        ),
        "well_again": Answered("well again", "I am well again, with no fever"),
        "as_before": Answered("as before", "It is as it was before"),
        "has_gone": Answered("gone", "It has gone"),
        "asked_again": Answered("called about", "I have called about it"),
    },
)
UNTIL: CodeTable[Until, Both] = CodeTable(
    Until,
    {
        "seen_told": Both("somebody has seen you and said go on", "seen, and told to go on"),
        "seen": Both("somebody has seen you and said go on", "seen"),
        "told": Both("you have called and were told to go on", "called, and told to go on"),
        "well": Both("you are well", "well again"),
        "skin_clear": Both("the skin is clear", "the skin is clear"),
        "as_before": Both("it is as it was before", "as before"),
        "has_gone": Both("it is gone", "gone"),
        "not_again": Both("you are asked again", "asked again"),
        "ticked": Both("your clinician ticks it", "ticked in the plan"),
        "days": Both("some days have gone by", "its day, or its days, are over"),
        "usual": Both("your days are as usual", "days as usual"),
        "session": Both("your next session", "the session is over"),
    },
)
TOLD: CodeTable[Told, Answered] = CodeTable(
    Told,
    {
        "all": Answered("told to do all of it", "Do all of it again"),
        "only_these": Answered("told to do a part of it", "Do only a part of it"),
        "not_yet": Answered("told not yet", "Not yet"),
        "not_spoken_of": Answered(
            "the routine was not spoken of", "We did not speak of the routine"
        ),
        "not_reached": Answered("nobody was reached", "I called and could not reach anybody"),
    },
)
OPEN_SIGN_SAID: CodeTable[OpenSignSaid, OpenSignWords] = CodeTable(
    OpenSignSaid,
    {
        "seen": OpenSignWords(
            "your clinic has seen it: all is open again",
            "seen, and over",
            "seen, and over: what it closed opens",
        ),
        "known": OpenSignWords(
            "your clinic knows it: you are asked whether it is as before",
            "known, no news",
            "known, no news: it is asked as before, worse or new",
        ),
        "go_on": OpenSignWords(
            "your clinic says: go on, all is open again",
            "go on, not looked at",
            "not looked at, go on: what it closed opens",
        ),
        "still_open": OpenSignWords(
            "still open: what it closes stays closed",
            "still open",
            "still open: what it closes stays closed",
        ),
    },
)
TOLD_BY: CodeTable[ToldBy, Both] = CodeTable(
    ToldBy,
    {
        "clinic": Both("my clinic", "the clinic"),
        "doctor": Both("a doctor", "a doctor"),
        "hospital": Both("a hospital", "a hospital"),
        "phone_line": Both("a phone line", "a phone line"),
    },
)
EVENTS: CodeTable[EventKind, str] = CodeTable(
    EventKind,
    {
        "injection": "injection",
        "new_tablets": "new tablets",
        "brace": "brace",
        "stick": "stick",
        "illness": "illness",
        "fall": "fall",
        "other_care": "other care",
        "bad_spell": "a bad spell began",
        "bad_spell_over": "the bad spell was over",
        "plan_before": "by the plan before for a day, of both the stricter",
    },
)
TESTS: CodeTable[MeasureTest, Both] = CodeTable(
    MeasureTest,
    {
        "chair_stand_30_s": Both("up from the chair in 30 seconds", "chair stand, 30\u00a0s"),
        "activity_trial": Both("an activity, timed", "activity trial"),
    },
)
WRITERS: CodeTable[WrittenBy, Both] = CodeTable(
    WrittenBy,
    {
        "person": Both("you", "the person"),
        "helper": Both("a helper", "a helper"),
        "clinic": Both("the clinic", "the clinic"),
        "paper": Both("taken from paper", "from paper"),
    },
)


class KindWords(Wording):
    """A kind of entry: one of them at home and in the clinic, all of them, and counted."""

    home: str
    clinic: str
    heading: str
    one: str
    many: str


KINDS: CodeTable[EntryKind, KindWords] = CodeTable(
    EntryKind,
    {
        "day_page": KindWords("day page", "day page", "Day pages", "{n} day page", "{n} day pages"),
        "session": KindWords("routine", "session", "Routines", "{n} routine", "{n} routines"),
        "tape_on": KindWords(
            "tape on", "tape on", "Tape on", "tape on {n} time", "tape on {n} times"
        ),
        "tape_off": KindWords(
            "tape off", "tape off", "Tape off", "tape off {n} time", "tape off {n} times"
        ),
        "outing": KindWords("outing", "outing", "Outings", "{n} outing", "{n} outings"),
        "patch_test": KindWords(
            "test piece", "patch test", "Test pieces", "{n} test piece", "{n} test pieces"
        ),
        "warning": KindWords(
            "warning card", "warning", "Warning cards", "{n} warning card", "{n} warning cards"
        ),
        "event": KindWords("event", "event", "Events", "{n} event", "{n} events"),
        "scoring_taught": KindWords(
            "how scoring was taught",
            "scoring taught",
            "How scoring was taught",
            "scoring taught {n} time",
            "scoring taught {n} times",
        ),
        "measure": KindWords("measure", "measure", "Measures", "{n} measure", "{n} measures"),
        "question": KindWords("question", "question", "Questions", "{n} question", "{n} questions"),
        "gate": KindWords(
            "short check", "short gate", "Short checks", "{n} short check", "{n} short checks"
        ),
        "journey": KindWords("journey", "journey", "Journeys", "{n} journey", "{n} journeys"),
    },
)

# ---------------------------------------------------------------- the plan


class SexWords(Same):
    """One of them, and many."""

    many: str


SEX: CodeTable[Sex, SexWords] = CodeTable(
    Sex, {"female": SexWords("woman", "women"), "male": SexWords("man", "men")}
)
REASONS: CodeTable[PlanReason, Both] = CodeTable(
    PlanReason,
    {
        "osteoarthritis": Both("a worn joint", "osteoarthritis"),
        "kneecap_pain": Both("kneecap pain", "kneecap pain"),
        "other": Both("other", "other"),
    },
)
REPLACEMENT: CodeTable[Replacement, Both] = CodeTable(
    Replacement,
    {
        "none": Both("none planned", "none planned"),
        "deferring": Both("put off", "deferring"),
        "listed": Both("listed", "listed"),
    },
)
OPEN_DAYS: CodeTable[OpenDays, str] = CodeTable(
    OpenDays,
    {
        "every_day": "every day",
        "weekdays": "Monday to Friday",
        "weekdays_and_saturday": "Monday to Saturday",
    },
)


class RoleOfNumber(Wording):
    """Whose a number is, for the person and for the clinic, and as it is told to be called."""

    home: str
    clinic: str
    called: str


ROLES: CodeTable[ContactRole, RoleOfNumber] = CodeTable(
    ContactRole,
    {
        "emergency": RoleOfNumber("emergency", "emergency number", "the emergency number"),
        "clinic": RoleOfNumber("your clinic", "the clinic", "the clinic"),
        "doctor": RoleOfNumber("your doctor", "the person’s doctor", "your doctor"),
        "out_of_hours": RoleOfNumber("out of hours", "out of hours", "the out-of-hours number"),
        "surgical_team": RoleOfNumber("your surgical team", "surgical team", "your surgical team"),
    },
)


class QuestionWords(Wording):
    """What the next report answers first, named and asked."""

    home: str
    question: str


PRIMARY_QUESTIONS: CodeTable[PrimaryQuestion, QuestionWords] = CodeTable(
    PrimaryQuestion,
    {
        "pain": QuestionWords("pain", "Is the pain better?"),
        "activities": QuestionWords("activities", "Are the activities better?"),
        "tape": QuestionWords("tape", "Is the tape worth it?"),
    },
)


class WhenTapeWords(Wording):
    """When the plan tapes, and that as a step of the booklet's course."""

    home: str
    clinic: str
    step: str


ON_BAD_DAYS: CodeTable[OnBadDays, Both] = CodeTable(
    OnBadDays,
    {
        "easier": Both("in its easier way", "in its easier form"),
        "left_out": Both("left out", "left out"),
    },
)
DAY_STATES: CodeTable[DayState, str] = CodeTable(
    DayState,
    {
        "rest_pain_above_limit": "pain at rest above the limit",
        "bad_day": "bad day",
        "no_helper": "no helper that day",
    },
)
SPELL_CALLS: CodeTable[SpellCall, Both] = CodeTable(
    SpellCall,
    {
        "flare_days_used_up": Both(
            "Your bad spell has not settled in {days} days. Call your clinic.",
            "not settled: told to call",
        ),
        "flare_worsens": Both(
            "Your bad spell gets worse each time. Call your clinic.",
            "rising each time: told to call",
        ),
        "no_flare_plan": Both(
            "Three bad routines running. Call your clinic: ask what to do now.",
            "no plan for it: told to call",
        ),
    },
)
DOSES: CodeTable[DoseWhy, Both] = CodeTable(
    DoseWhy,
    {  # filled by `words.dose_why`
        "as_planned": Both("The routine is as in your plan.", "as planned"),
        "more_next_morning_1": Both(
            "More pain the next morning is common at first. The routine stays as it is. After {n} "
            "of {of} routines it is a step less.",
            "more pain the next morning once, no change",
        ),
        "more_next_morning_2_of_3": Both(
            "After {n} of your last {of} routines there was more pain the next morning. "
            "So today is a step less.",
            "more pain the next morning after {n} of {of}",
        ),
        "more_goes_on": Both(
            "There is still more pain the next morning. Call your clinic.",
            "more pain the next morning goes on: told to call",
        ),
        "more_expected": Both(
            "There is still more pain the next morning. Your plan expects that until {day}.",
            "more pain the next morning goes on, expected until {day}",
        ),
        "two_above_usual": Both(
            "Your pain has been above its usual for a week. Call your clinic.",
            "pain 2 above usual for a week: told to call",
        ),
        "given_back": Both(
            "Your knee took the last routines well. So today is a step more again.",
            "3 usual mornings gave a step back",
        ),
    },
)
WHEN_TAPE: CodeTable[WhenTape, WhenTapeWords] = CodeTable(
    WhenTape,
    {
        "never": WhenTapeWords("never", "never", "Use no tape now."),
        "if_missed": WhenTapeWords(
            "when the mark is missed",
            "when the target is missed",
            "Then use tape if too little of the pain is gone.",
        ),
        "always": WhenTapeWords("at each routine", "at every session", "Then put the tape on."),
        "outings": WhenTapeWords(
            "for outings only",
            "for outings only",
            "Use tape only before you go out, as your plan says.",
        ),
    },
)
PATCH_TESTED: CodeTable[PatchTested, Both] = CodeTable(
    PatchTested,
    {
        "at_home": Both("at home", "at home, read twice"),
        "tolerated_in_clinic": Both("tried in the clinic", "this make was tolerated here"),
    },
)
LENGTH_FROM: CodeTable[LengthFrom, Both] = CodeTable(
    LengthFrom,
    {
        "as_cut": Both("as cut in the clinic", "as cut here"),
        "as_measured": Both(
            "as measured, from the bony bump to the upper edge",
            "bump to upper edge, as measured",
        ),
        "path": Both(
            "worked out from the way over the skin", "from the path, with the stretch below"
        ),
    },
)
STRETCH_OF: CodeTable[StretchOf, Both] = CodeTable(
    StretchOf,
    {
        "rest_length": Both("the length at rest", "the slack length"),
        "available": Both("what the tape can give", "the stretch this make has"),
    },
)
PULL_AT: CodeTable[PullAt, str] = CodeTable(
    PullAt, {"lower_edge": "lower edge", "middle": "middle", "upper_edge": "upper edge"}
)
PULL_TOWARDS: CodeTable[PullTowards, str] = CodeTable(
    PullTowards,
    {
        "up": "towards the hip, along the strip",
        "inner": "towards the hip and the inner side",
        "outer": "towards the hip and the outer side",
    },
)
BUILDS: CodeTable[Build, str] = CodeTable(
    Build, {"slim": "slim", "usual": "usual", "broad": "broad"}
)


# ---------------------------------------------------------------- cautions and known signs

GROUP_ANSWERS: CodeTable[GroupAnswer, str] = CodeTable(
    GroupAnswer, {"some": "one by one", "none": "none of these"}
)
OVERRULE_REASONS: CodeTable[OverruleReason, Both] = CodeTable(
    OverruleReason,
    {
        "doctor_agrees": Both("your doctor agrees", "the treating doctor agrees"),
        "examined": Both("you were examined for it", "examined for it, safe for this person"),
        "settled": Both("it has been settled for long", "settled for a long time"),
        "tolerated": Both("you took it well before", "tolerated before without harm"),
        "helped": Both("a helper is always there", "a helper is there each time"),
        "other": Both("another reason", "another reason, in words"),
    },
)
SUPPORTS: CodeTable[Support, Both] = CodeTable(
    Support,
    {
        "both_hands": Both("both hands on support", "both hands on support"),
        "somebody_there": Both("with somebody there", "somebody there"),
        "nothing": Both("as before", "no more than before"),
    },
)
WEEKDAYS: CodeTable[Weekday, Same] = CodeTable(
    Weekday,
    {
        "monday": Same("Monday"),
        "tuesday": Same("Tuesday"),
        "wednesday": Same("Wednesday"),
        "thursday": Same("Thursday"),
        "friday": Same("Friday"),
        "saturday": Same("Saturday"),
        "sunday": Same("Sunday"),
    },
)
OPEN_THINGS: CodeTable[OpenCode, Both] = CodeTable(
    OpenCode,
    {
        "card": Both("This card", "a card without a word on it"),
        "tape_over_cap": Both(
            "Your tape{where} has been on too long, over {hours} hours. Take it off now.",
            "tape on past its cap since {at}",
        ),
        "tape_due": Both("Your tape{where} is due off now.", "tape due off since {at}"),
        "tape_on": Both("Your tape{where} comes off {when}.", "tape on, due off {at}"),
        "skin_look": Both("Look at the skin{where} again.", "skin to be looked at after tape"),
        "skin_later": Both(
            "Look at the skin{where} again at {time}.", "skin to be looked at after tape"
        ),
        "patch_first": Both(
            "Look at the skin under the test piece today.{last}", "a test piece, first look"
        ),
        "patch_second": Both(
            "Look at the skin under the test piece today.{last}", "a test piece, second look"
        ),
        "patch_later": Both(
            "A test piece is on. Look at the skin from {when} on.", "a test piece on"
        ),
        "patch_missed": Both(
            "The test piece was not looked at in time. Take it off.",
            "a test piece not looked at in time",
        ),
        "trial_tape": Both(
            "Today is a tape day of your tape trial{where}.", "a tape day without tape"
        ),
        "trial_day": Both("Today is a day of your tape trial{where}.", "the tape trial"),
        "trial_over": Both("Your tape trial{where} is over.", "the end of the tape trial"),
        "outing_after": Both("Say how it was: {what}.", "an outing not told of"),
        "outing_morning": Both(
            "Say how the morning after is: {what}.", "the morning after an outing"
        ),
        "begun": Both("A page{whose} is half answered.", "a page half answered"),
        "plan_waits": Both(
            "A new plan is here. Look at it, and say yes or no.", "a plan that waits at home"
        ),
        "journey": Both("You are away until {day}.", "away until {day}"),
        "journey_soon": Both("You go away on {day}.", "away from {day} on"),
        "plan_before": Both(
            "Today goes by the plan before, of both the stricter.", "a day by the plan before"
        ),
        "journey_pages": Both(
            "Day pages of your journey{whose} are missing. Type them from your paper.",
            "day pages of a journey",
        ),
    },
)
"""What is open; of what is half answered Home says more by its walk, of a trial by its day."""


def named(name: str) -> CodeTable[Any, Any]:
    """The table a content file names: `when_tape` for `WHEN_TAPE`. Raises KeyError."""
    table = globals()[name.upper()]
    assert isinstance(table, CodeTable)
    return table
