"""The trade as data: techniques, exercises, the stop list and its cards, cautions, zones, tape.

Every class here is one JSON shape below ``resources/``; a file maps one to one onto its class.
Nothing in this module reads a file; ``companion.wire.catalogue_reading`` does.

Home texts (``title``, ``person``, ``helper``, ``words`` ...) are plain sentences. ``clinic_*``
texts use the terms of the trade. ``facts`` are the ids of ``facts.csv`` that something rests on.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Literal

from companion.care.facts import Facts
from companion.care.form import PlanForm
from companion.care.lookup import row_by
from companion.care.policy import Opener, Policy, unknown_id
from companion.care.ranges import Key, Range, Words
from companion.care.records import (
    CheckMove,
    ContactRole,
    Exercise,
    KnownSign,
    Level,
    Measure,
    MoveName,
    Part,
    Plan,
    Record,
    Skin,
    TapePlan,
    Technique,
)
from companion.care.records import Zone as ZoneCode

AskedWhen = Literal[
    "always",
    "in_session",
    "tape_worn",
    "known",
    "replacement_listed",
    "stop",
    "follows",
    "state",
    "unknown",
]
"""When the stop list offers a sign as a row. tape_worn: once tape was worn. known: only when the
plan marks the sign it stands in for "known since" a date. replacement_listed: only when the plan
lists a knee replacement. stop: the one row at the top of Stop. follows: no row of its own, it comes
of what was answered. state: nobody ticks it, the state of the days says it. unknown: it stands for
a sign of a diary that this version does not know."""

TriAnswer = Literal["yes", "no", "not_sure"]

HandContact = Literal["thumbs", "finger_pads", "flat_hand", "thumb_and_fingers"]

Motion = Literal["stroke", "glide", "shift", "lift_skin", "circles"]
"""How the hand moves; pictures draw from it. stroke: long, along a muscle. glide: press and glide
along an edge. shift: the kneecap itself is eased along. lift_skin: the skin is taken up between
thumb and fingers. circles: small, on one spot."""

Posture = Literal["sitting_leg_straight", "sitting_knee_bent", "lying", "standing"]

Landmark = Literal[
    "inner_edge",
    "outer_edge",
    "upper_edge",
    "lower_edge",
    "tendon",
    "bony_bump",
    "inner_hollow",
    "outer_hollow",
    "thigh_inner",
    "thigh_outer",
]
"""Named places of the knee that steps, strips and pictures are anchored to."""

Version = Annotated[int, Range(1, 9999)]
Sentence = Annotated[str, Words(400)]
FactIds = tuple[Key, ...]
"""Ids of ``facts.csv``, at least one."""


@dataclass(frozen=True, kw_only=True, slots=True)
class WholeRange(Record):
    """A whole number the plan may set: its default and the lowest and highest allowed."""

    default: Annotated[int, Range(0, 600)]
    lowest: Annotated[int, Range(0, 600)]
    highest: Annotated[int, Range(0, 600)]

    def holds(self, number: int) -> bool:
        """Whether a number is one of them."""
        return self.lowest <= number <= self.highest


TapeMoment = Literal[
    "anchor", "draw", "lay", "end", "rub", "bend", "wet", "hold", "off", "follow", "wipe"
]
"""What is being done with a strip: its first end laid, the skin drawn, the strip laid down, its
last end; all of the tape rubbed warm, and the knee bent. Then, to take it off: its hip end wetted,
the skin held, the strip folded back, followed, and the skin wiped."""
CutMoment = Literal["cut", "open"]
"""What is done with a piece before it is laid: cut with round corners; its paper torn."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Step(Record):
    """One step, told to the person and to the helper.

    ``verb`` is the word or two a helper reads at two metres. ``timed`` marks the step during
    which the plan's seconds run. ``anchors`` are in the order the hand touches them. ``piece``
    is the number on the strip of tape the step is about, ``moment`` what is done with it and
    ``flat`` what is done with each before it is laid.
    ``cuts`` marks the step at which the pieces are cut: the plan's lengths are said there.
    ``posture`` is how one sits where the step is about that: its picture is seen from the side.
    ``opens`` is the heading of the page of tape steps that begins with this one. ``beyond`` takes
    the place of the words where a strip's ends lie beyond the way that was measured.
    """

    verb: Annotated[str, Words(20)]
    person: Sentence
    helper: Sentence
    timed: bool = False
    anchors: tuple[Landmark, ...] = ()
    piece: Annotated[int, Range(1, 9)] | None = None
    moment: TapeMoment | None = None
    flat: CutMoment | None = None
    cuts: bool = False
    posture: Posture | None = None
    opens: Annotated[str, Words(40)] | None = None
    beyond: Sentence | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class PressureWord(Record):
    """One word of the pressure vocabulary. ``rank`` 0 is the lightest."""

    id: Key
    rank: Annotated[int, Range(0, 9)]
    word: Annotated[str, Words(20)]
    explanation: Sentence


@dataclass(frozen=True, kw_only=True, slots=True)
class PressureWords(Record):
    """The whole pressure vocabulary."""

    version: Version
    facts: FactIds
    words: tuple[PressureWord, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class TechniqueSheet(Record):
    """One hands-on technique. ``seconds`` is the timed step of one repeat.

    ``not_with`` names the cautions whose yes takes this one technique out, whatever else they do.
    """

    id: Key
    version: Version
    title: Annotated[str, Words(60)]
    clinic_name: Annotated[str, Words(120)]
    posture: Posture
    position: Sentence
    position_helper: Sentence
    contact: HandContact
    contact_words: Annotated[str, Words(120)]
    motion: Motion
    pressure: Key
    steps: tuple[Step, ...]
    zones: tuple[ZoneCode, ...]
    seconds: WholeRange
    repeats: WholeRange
    not_with: tuple[Key, ...] = ()
    stop_for: tuple[Sentence, ...]
    standing: bool
    facts: FactIds


@dataclass(frozen=True, kw_only=True, slots=True)
class ToldToEach(Record):
    """A sentence as the person and as a helper is told."""

    person: Sentence
    helper: Sentence


@dataclass(frozen=True, kw_only=True, slots=True)
class ExerciseSheet(Record):
    """One exercise. ``hold_seconds`` is the timed step of one repeat; 0 means no hold.

    ``standing`` ones are left out on a bad day and when only seated steps are allowed.
    ``not_with`` names the cautions whose yes takes this one exercise out.
    ``practises`` are the check moves it is like: after one that hurt more than the ceiling it is
    done in its ``easier`` form. ``{limit}`` in ``stop_for`` is the most pain it goes on with;
    ``felt`` is what stops it as well: what a body feels is told to each, whose body it is.
    ``holds_on``: it is done holding on with the hands, always or in its easier form alone.
    ``both_legs``: both legs do it at once, so that on an evening of two knees it is done once.
    """

    id: Key
    version: Version
    title: Annotated[str, Words(60)]
    clinic_name: Annotated[str, Words(120)]
    posture: Posture
    position: Sentence
    position_helper: Sentence
    needs: tuple[Annotated[str, Words(60)], ...]
    steps: tuple[Step, ...]
    repeats: WholeRange
    sets: WholeRange
    hold_seconds: WholeRange
    rest_seconds: WholeRange
    not_with: tuple[Key, ...] = ()
    stop_for: tuple[Sentence, ...]
    felt: tuple[ToldToEach, ...] = ()
    easier: ToldToEach | None = None
    practises: tuple[MoveName, ...] = ()
    standing: bool
    holds_on: Literal["always", "easier"] | None = None
    both_legs: bool = False
    facts: FactIds


@dataclass(frozen=True, kw_only=True, slots=True)
class SignQuestion(Record):
    """One plain yes / no / not sure question behind a sign."""

    id: Key
    words: Sentence


@dataclass(frozen=True, kw_only=True, slots=True)
class Lead(Record):
    """The sign that holds for a ticked row when every question of at least one group of
    ``met_when`` is answered yes, or not sure; without a group always."""

    sign: Key
    met_when: tuple[tuple[Key, ...], ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class TwoOf(Record):
    """Signs of which ``count`` together are one more sign."""

    signs: tuple[Key, ...]
    count: Annotated[int, Range(2, 9)]


@dataclass(frozen=True, kw_only=True, slots=True)
class Sign(Record):
    """One warning sign of the stop list.

    What it closes, until when and what it ends is its row of the policy.
    ``question`` is the gate question (1-5) whose rows it stands among, ``topic`` the part of it.
    ``words`` are those of its row, ``told`` the whole of it where no question can be asked, such as
    on paper. ``known_as`` names the care sign that stands in for this one when the clinician marked
    it known; ``known_words`` is what is marked then; ``worse_as`` the sign of a known one that got
    worse. ``questions`` and ``leads`` belong together: the first lead that is met says which sign
    holds for the tick. Both empty: the tick alone. ``two_of``: the sign follows from others.
    ``not_over`` is the sign that follows where this one is not over at the next gate.
    """

    id: Key
    level: Level
    words: Sentence
    told: Sentence | None = None
    question: Annotated[int, Range(1, 5)] | None = None
    topic: Key | None = None
    asked_when: AskedWhen = "always"
    card: Key
    tape_off_now: bool = False
    known_as: Key | None = None
    known_words: Sentence | None = None
    worse_as: Key | None = None
    questions: tuple[SignQuestion, ...] = ()
    leads: tuple[Lead, ...] = ()
    two_of: TwoOf | None = None
    not_over: Key | None = None
    facts: FactIds


@dataclass(frozen=True, kw_only=True, slots=True)
class StopList(Record):
    """The fixed list of warning signs; ``status_note`` says who has signed it. ``unknown`` has what
    stands for a sign it does not know, by its level."""

    version: Version
    status_note: Sentence
    signs: tuple[Sign, ...]
    unknown: tuple[Sign, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class OpeningQuestion(Record):
    """One thing that must be so before a sign is opened; only the answer ``opens_on`` counts."""

    id: Key
    words: Sentence
    opens_on: Literal["yes", "no"] = "yes"


@dataclass(frozen=True, kw_only=True, slots=True)
class StopCard(Record):
    """The fixed card behind a sign.

    ``heading`` is the action. ``actions`` are numbered on the page. ``contacts`` are tried in
    order, as far as the hours of the numbers do not say otherwise. ``by_when`` is by when to call.
    ``say`` is what to say, in the person's own voice, and ``say_away`` the same away from home,
    where it must differ; ``say_also`` tells what else to mention. A card of level care may leave
    out whom to call, by when and what to say. ``opens_when`` is what must be so for the person to
    open it themselves; empty: the question of the gate for that.
    ``heading_open`` and ``actions_open`` take the place of the others where the plan leaves open
    what a known sign closes.
    """

    id: Key
    level: Level
    heading: Annotated[str, Words(60)]
    actions: tuple[Sentence, ...]
    contacts: tuple[ContactRole, ...] = ()
    by_when: Sentence | None = None
    say: Sentence | None = None
    say_away: Sentence | None = None
    say_also: Sentence | None = None
    opens_when: tuple[OpeningQuestion, ...] = ()
    heading_open: Annotated[str, Words(60)] | None = None
    actions_open: tuple[Sentence, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class StopCards(Record):
    """Every card."""

    version: Version
    cards: tuple[StopCard, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class GateTopic(Record):
    """One way to narrow a question down; a sign names it as its `topic`."""

    id: Key
    words: Sentence


@dataclass(frozen=True, kw_only=True, slots=True)
class GateQuestion(Record):
    """One question of the gate, answered for itself.

    ``not_sure`` is the sign that holds when
    something is new and none of its signs was ticked. ``topics`` split its rows once more.
    """

    number: Annotated[int, Range(1, 5)]
    words: Sentence
    not_sure: Key
    topics: tuple[GateTopic, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class ShortGate(Record):
    """The one-page questions of every day. Nothing is preselected.

    1 to 4 are asked every day; 5 is about what happens in a session and with tape, and is asked by
    Stop, and with the whole list where one of its signs is offered.
    """

    version: Version
    heading: Sentence
    questions: tuple[GateQuestion, ...]
    topics_question: Sentence
    after_last_question: Sentence
    when_none: tuple[Sentence, ...]
    skin_clear_question: Sentence
    well_again_question: Sentence
    as_before_question: Sentence
    called_question: Sentence
    over_question: Sentence

    def question(self, number: int) -> GateQuestion:
        """The question with this number. Raises KeyError."""
        return row_by(self.questions, "number", number)


@dataclass(frozen=True, kw_only=True, slots=True)
class CautionGroup(Record):
    """Cautions that are read together, and answered one by one or with "none of these"."""

    id: Key
    heading: Annotated[str, Words(60)]


@dataclass(frozen=True, kw_only=True, slots=True)
class Caution(Record):
    """One caution the clinician answers at set-up, in words.

    ``dated`` ones are written as they happen. ``clinic_effect`` says what a yes does; the policy
    holds the same by its codes.
    """

    id: Key
    group: Key
    clinic_words: Sentence
    clinic_effect: Sentence
    dated: bool = False
    facts: FactIds


@dataclass(frozen=True, kw_only=True, slots=True)
class Cautions(Record):
    """Every caution, in the order they are asked, and their groups."""

    version: Version
    groups: tuple[CautionGroup, ...]
    cautions: tuple[Caution, ...]

    def asked(self, group: str = "") -> tuple[Caution, ...]:
        """Those that are asked beforehand: of one group, or all."""
        return tuple(
            caution
            for caution in self.cautions
            if not caution.dated and (not group or caution.group == group)
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class SoreZone(Record):
    """One sore zone. ``stop_list_if_new``: no hands there; new pain opens the stop list."""

    id: ZoneCode
    home_words: Annotated[str, Words(60)]
    clinic_words: Annotated[str, Words(60)]
    stop_list_if_new: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class SoreZones(Record):
    """Every sore zone, in the order of the page."""

    version: Version
    zones: tuple[SoreZone, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class TapeStageSteps(Record):
    """How one tape stage goes on. ``adds_to`` is the stage that must be on before it."""

    stage: Annotated[int, Range(1, 2)]
    title: Annotated[str, Words(60)]
    clinic_name: Annotated[str, Words(120)]
    adds_to: Annotated[int, Range(0, 1)]
    pieces: Annotated[int, Range(1, 9)]
    steps: tuple[Step, ...]
    facts: FactIds


@dataclass(frozen=True, kw_only=True, slots=True)
class SkinFinding(Record):
    """One answer to "how is the skin?"; ``id`` is the value kept in the diary.

    ``clear``: counts as clear for a patch test and for taping again, once 30 minutes have passed.
    """

    id: Skin
    words: Sentence
    clear: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class ReadingWindow(Record):
    """When a patch test is read, in hours after it was placed."""

    earliest_hours: Annotated[int, Range(1, 168)]
    latest_hours: Annotated[int, Range(1, 168)]
    words: Sentence


@dataclass(frozen=True, kw_only=True, slots=True)
class PatchTestSteps(Record):
    """How a patch test is placed and read.

    ``week``: the last look, ``week_days`` after it was placed, which the person makes without a
    page; ``week_not_clear``: what to do then.
    """

    place: tuple[Step, ...]
    reading_question: Sentence
    readings: tuple[ReadingWindow, ...]
    week_days: Annotated[int, Range(1, 14)]
    week: Sentence
    week_not_clear: Sentence
    stop_for: tuple[Sentence, ...]
    facts: FactIds


@dataclass(frozen=True, kw_only=True, slots=True)
class TapeSteps(Record):
    """Everything about tape in words: before, on, worn, off, skin, patch test.

    ``warm_up_minutes`` is how long before walking far or water the tape goes on.
    """

    version: Version
    reach_question: Sentence
    before: tuple[Step, ...]
    stages: tuple[TapeStageSteps, ...]
    write_off_day: Step
    after_on: tuple[Sentence, ...]
    warm_up_minutes: Annotated[int, Range(0, 240)]
    while_worn: tuple[Sentence, ...]
    never: tuple[Sentence, ...]
    take_off_for: tuple[Sentence, ...]
    removal: tuple[Step, ...]
    skin_question: Sentence
    skin_again_minutes: Annotated[int, Range(1, 240)]
    skin_again_question: Sentence
    skin_findings: tuple[SkinFinding, ...]
    patch_test: PatchTestSteps
    facts: FactIds


@dataclass(frozen=True, kw_only=True, slots=True)
class HandsReady(Record):
    """How hands and skin are made ready before the first hands-on step.

    ``dry`` stands in a plan without a lotion; else ``lotion``, which names the plan's, and before
    tape ``lotion_off``.
    """

    version: Version
    steps: tuple[Step, ...]
    dry: Step
    lotion: Step
    lotion_off: Step
    facts: FactIds

    def for_plan(self, plan: Plan) -> tuple[Step, ...]:
        """The steps of a plan, in order."""
        return (*self.steps, self.dry if plan.lotion is None else self.lotion)


@dataclass(frozen=True, kw_only=True, slots=True)
class Known(Record):
    """One thing that is known, for the clinician, and the facts it rests on."""

    words: Sentence
    facts: FactIds = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class KnownAbout(Record):
    """What is known about one part of care: at home in plain sentences, for the clinician with
    numbers and sources, the first two telling most."""

    home: tuple[Sentence, ...]
    clinic: tuple[Known, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class WhatIsKnown(Record):
    """What studies and guidelines say: of the core of care, of hands, of tape."""

    version: Version
    core: KnownAbout
    hands: KnownAbout
    tape: KnownAbout


@dataclass(frozen=True, kw_only=True, slots=True)
class TextSection(Record):
    """A heading and its sentences."""

    heading: Annotated[str, Words(60)]
    sentences: tuple[Sentence, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class IntendedUse(Record):
    """What the program is for and what it is not, shown in Help and README."""

    version: Version
    sections: tuple[TextSection, ...]
    for_the_clinic: tuple[Sentence, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class PlanTemplate(Record):
    """A first draft of a plan. From ``reason`` on, every field is the plan's of the same name.

    Nothing in a template is taught, signed or dated, and none names a limit, a caution or what is
    safe alone; the clinician confirms every value.
    """

    id: Key
    version: Version
    title: Annotated[str, Words(60)]
    clinic_words: Sentence
    facts: FactIds
    reason: Literal["osteoarthritis", "kneecap_pain", "other"]
    check_move: CheckMove
    techniques: tuple[Technique, ...] = ()
    exercises: tuple[Exercise, ...] = ()
    hands_days_a_week: Annotated[int, Range(0, 7)]
    exercise_days_a_week: Annotated[int, Range(0, 7)]
    rounds: Annotated[int, Range(1, 3)]
    check_moves: Annotated[int, Range(2, 8)]
    ease_target_percent: Annotated[int, Range(10, 100)]
    low_score: Annotated[int, Range(0, 4)]
    tape: TapePlan
    measure: Measure
    primary_question: Literal["pain", "activities", "tape"]
    replacement: Literal["none", "deferring", "listed"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Catalogue:
    """All content of the trade. Lookups raise ``KeyError`` for an unknown id, but that of a sign: a
    later version may have written one."""

    pressure_words: PressureWords
    techniques: tuple[TechniqueSheet, ...]
    exercises: tuple[ExerciseSheet, ...]
    stop_list: StopList
    policy: Policy
    cards: StopCards
    short_gate: ShortGate
    cautions: Cautions
    zones: SoreZones
    tape_steps: TapeSteps
    hands_ready: HandsReady
    known: WhatIsKnown
    intended_use: IntendedUse
    templates: tuple[PlanTemplate, ...]
    plan_form: PlanForm
    facts: Facts

    def technique(self, technique_id: str) -> TechniqueSheet:
        """The technique with this id."""
        return row_by(self.techniques, "id", technique_id)

    def exercise(self, exercise_id: str) -> ExerciseSheet:
        """The exercise with this id."""
        return row_by(self.exercises, "id", exercise_id)

    def step_titles(self) -> dict[str, str]:
        """What each technique and exercise is called, by its id."""
        titles = {sheet.id: sheet.title for sheet in self.techniques}
        return titles | {sheet.id: sheet.title for sheet in self.exercises}

    def sign(self, sign_id: str, level: Level = "call") -> Sign:
        """The warning sign with this id; what stands for it at its `level` where nobody knows it
        here."""
        for sign in (*self.stop_list.signs, *self.stop_list.unknown):
            if sign.id == sign_id:
                return sign
        return self.sign(unknown_id(level))

    def closes_as_before(self, sign_id: str) -> tuple[Part, ...]:
        """What a sign marked as known closes while it is as before."""
        stand_in = self.sign(sign_id).known_as
        return () if stand_in is None else self.policy.sign(stand_in).parts

    def known_by(self, plan: Plan, sign_id: str) -> KnownSign | None:
        """What the plan says of the known sign that this one stands in for while it is as before;
        None where the plan does not mark it."""
        known = (one for one in plan.known_signs if self.stands_in(one.sign) == sign_id)
        return next(known, None)

    def stands_in(self, sign_id: str) -> str | None:
        """The sign that stands in for a known one; None also for one the list does not have."""
        return next((one.known_as for one in self.stop_list.signs if one.id == sign_id), None)

    def card(self, card_id: str) -> StopCard:
        """The card with this id."""
        return row_by(self.cards.cards, "id", card_id)

    def opening_questions(self, sign_id: str, asks: Opener) -> tuple[OpeningQuestion, ...]:
        """What is asked of a sign that the person may open by saying `asks`: the questions of its
        card, else that of the gate."""
        of_card = self.card(self.sign(sign_id).card).opens_when
        if of_card:
            return of_card
        if asks == "asked_again" and self.sign(sign_id).level == "call":
            return (OpeningQuestion(id="over", words=self.short_gate.called_question),)
        words = {
            "skin_read_clear": self.short_gate.skin_clear_question,
            "well_again": self.short_gate.well_again_question,
            "as_before": self.short_gate.as_before_question,
        }.get(asks, self.short_gate.over_question)
        return (OpeningQuestion(id="over", words=words),)

    def caution(self, caution_id: str) -> Caution:
        """The caution with this id."""
        return row_by(self.cautions.cautions, "id", caution_id)

    def zone(self, zone_id: str) -> SoreZone:
        """The sore zone with this id."""
        return row_by(self.zones.zones, "id", zone_id)

    def template(self, template_id: str) -> PlanTemplate:
        """The plan template with this id."""
        return row_by(self.templates, "id", template_id)

    def pressure(self, pressure_id: str, *, lightest: bool = False) -> PressureWord:
        """The pressure word with this id, or the lightest of all when ``lightest``."""
        if lightest:
            return min(self.pressure_words.words, key=lambda word: word.rank)
        return row_by(self.pressure_words.words, "id", pressure_id)


def sign_led_to(sign: Sign, answers: Mapping[str, TriAnswer]) -> str:
    """The id of the sign that holds for a ticked row, given the answers to its questions.

    A question that was not answered counts as "not sure", and "not sure" as yes. Raises ValueError
    where no lead is met; the last one of a list has no condition.
    """
    if not sign.leads:
        return sign.id

    def yes(question_id: str) -> bool:
        return answers.get(question_id, "not_sure") != "no"

    for lead in sign.leads:
        if not lead.met_when or any(all(map(yes, group)) for group in lead.met_when):
            return lead.sign
    raise ValueError(f"no lead of {sign.id} is met")
