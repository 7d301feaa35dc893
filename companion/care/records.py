"""The records: one plan, and thirteen kinds of entry. Frozen, and never changed in place.

A correction is a new entry that names the one it replaces. What was not answered is None: never
0, never carried forward. `for_day` is the diary day (it ends at 03:00, see `days`), `happened_at`
and `written_at` are instants with their UTC offset.
"""

from collections.abc import Iterable
from dataclasses import MISSING, Field, FrozenInstanceError, dataclass, fields
from datetime import date, datetime
from typing import Annotated, Any, ClassVar, Literal, TypedDict, TypeVar, dataclass_transform

from companion.care.ranges import (
    ClockTime,
    Code,
    EntryId,
    Instant,
    Key,
    Label,
    Length,
    Note,
    Range,
    Score,
    Words,
)

Side = Literal["left", "right"]
PlanSide = Literal["left", "right", "both"]
WrittenBy = Literal["person", "helper", "clinic", "paper"]
Measure = Literal["average", "worst", "now"]
Zone = Literal[
    "above",
    "below",
    "inner_edge",
    "outer_edge",
    "behind_kneecap",
    "inner_joint_line",
    "outer_joint_line",
    "back_of_knee",
    "elsewhere",
]
Skin = Literal["clear", "pink", "red", "itchy", "blister", "broken"]
"""pink: fades within 30 minutes (on dark skin darker or warm). red: still there after that.
broken: torn or bruised."""
Stage = Annotated[int, Range(0, 2)]
"""0 bare, 1 side strips, 2 side strips with short pieces under the kneecap."""
TapeStage = Annotated[int, Range(1, 2)]
MoveName = Literal["rise_from_chair", "small_squat", "step_down", "stairs", "own"]
MoveRole = Literal["before", "after_hands", "after_tape"]
OnBadDays = Literal["easier", "left_out"]
"""What becomes of an exercise on a bad day: done in its easier form, or left out."""
StairsWay = Literal["in_turn", "one_at_a_time", "with_rail", "backwards", "avoided"]
Outcome = Literal["done", "partly", "skipped", "stopped"]
SessionEnd = Literal["finished", "stopped", "left"]
"""finished: to its last page. stopped: by pain, a card or the Stop button. left: never ended."""
EventKind = Literal[
    "injection",
    "new_tablets",
    "brace",
    "stick",
    "illness",
    "fall",
    "other_care",
    "bad_spell",
    "bad_spell_over",
    "plan_before",
]
"""bad_spell: the person said that one began; bad_spell_over: that the knee is as usual again.
plan_before: they went back to the plan before for the day."""
Level = Literal["emergency", "today", "call", "care"]
Part = Literal["hands", "tape_on", "seated", "standing", "check_move", "outing_tape"]
"""What may be closed: hands-on steps, tape going on, seated or lying exercise, standing exercise,
the check move (made standing) and the chair stand, tape for an outing. Tape off, the record, Stop,
numbers, Visit and reading the plan are no part: nothing closes them."""
Cleared = Literal[
    "checked_by_professional",
    "ticked_by_mistake",
    "skin_read_clear",
    "well_again",
    "as_before",
    "has_gone",
    "asked_again",
]
"""How a warning ended. as_before, has_gone: so the person said when asked. asked_again: they said
that they had called about it, as older versions asked."""
Told = Literal["all", "only_these", "not_yet", "not_spoken_of", "not_reached"]
"""What was said of the routine by whoever a sign was told: do all of it, only these parts, not yet;
not_spoken_of: they did not speak of it. not_reached: nobody answered."""
ToldBy = Literal["clinic", "doctor", "hospital", "phone_line"]
OpenSignSaid = Literal["seen", "known", "go_on", "still_open"]
"""What the clinician says of a sign that is open when a plan is written. seen: looked at, and over.
known: old and no news, so the plan marks it as known. go_on: not looked at; the routine goes on all
the same. still_open: what it closes stays closed."""
TapeFeeling = Literal["itch", "pinching", "numbness", "pain"]
"""What a person may feel from the tape itself; each of them means tape off now."""
Safe = Literal["alone", "with_someone"]
Sex = Literal["female", "male"]
PlanReason = Literal["osteoarthritis", "kneecap_pain", "other"]
PrimaryQuestion = Literal["pain", "activities", "tape"]
Replacement = Literal["none", "deferring", "listed"]
ContactRole = Literal["emergency", "clinic", "doctor", "out_of_hours", "surgical_team"]
OpenDays = Literal["every_day", "weekdays", "weekdays_and_saturday"]
WhenTape = Literal["never", "if_missed", "always", "outings"]
PatchTested = Literal["at_home", "tolerated_in_clinic"]
LengthFrom = Literal["as_cut", "as_measured", "path"]
StretchOf = Literal["rest_length", "available"]
PullAt = Literal["lower_edge", "middle", "upper_edge"]
PullTowards = Literal["up", "inner", "outer"]
Build = Literal["slim", "usual", "broad"]
EntryKind = Literal[
    "day_page",
    "session",
    "tape_on",
    "tape_off",
    "outing",
    "patch_test",
    "warning",
    "event",
    "scoring_taught",
    "measure",
    "question",
    "gate",
    "journey",
]
PageForm = Literal["short", "full"]
PaperQuestion = Literal[
    "pain_now",
    "pain_average",
    "pain_worst",
    "stiffness_min",
    "before",
    "after_hands",
    "after_tape",
    "tape_stage",
    "tape_worn",
    "steps_done",
    "exercise_done",
    "medicine",
    "skin",
    "night_pain",
    "stairs",
    "fell",
    "activities",
    "amounts",
]
"""What a day on paper asks."""
Swelling = Literal["none", "some", "much"]
DayAnswer = Literal["swelling", "woken", "stiff", "worst"]
"""Answers of a day page that are read against what is usual for this person."""
LastFortnight = Literal["worse", "not_worse", "cannot_tell"]
"""The two weeks before the start against what is usual for this knee."""
Place = Literal["home", "clinic"]
TenSaid = Literal["worst", "can_be_worse", "not_sure"]
GateSaid = Literal["none", "something"]
GateReplySaid = Literal["yes", "no", "not_sure"]
KnownSaid = Literal["as_before", "worse", "something_new"]
AfterLast = Literal["same", "more_gone_2h", "more_next_morning", "cannot_recall"]
OutingEnded = Literal["done", "pain", "tired", "tape", "other"]
NextMorning = Literal["as_usual", "more_pain", "less_pain"]
MeasureTest = Literal["chair_stand_30_s", "activity_trial"]
GroupAnswer = Literal["some", "none"]
"""How a group of cautions is answered: each row for itself, or none of them at once."""
OverruleReason = Literal["doctor_agrees", "examined", "settled", "tolerated", "helped", "other"]
"""Why a clinician ticks open what a caution closes; `other` is said in words."""
Support = Literal["both_hands", "somebody_there", "nothing"]
"""What a known sign asks for in standing steps and the check move."""
Withdrawn = Literal["never_happened", "written_twice", "somebody_else", "taken_back"]
"""Why an entry counts no more. somebody_else: it was about another person. taken_back: a question
that is not asked any more."""
Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]


class Record:
    """What all records share: unknown keys are faults, and nothing is converted on reading.

    They share their methods too. The standard decorator writes and compiles six methods for each
    class, which the first paint would have to wait for; see `record`.
    """

    __slots__ = ()
    __pydantic_config__: ClassVar[dict[str, object]] = {"extra": "forbid", "strict": True}
    __dataclass_fields__: ClassVar[dict[str, Field[Any]]]
    __parts__: ClassVar[tuple[tuple[str, object], ...]]
    """Name and default of each field; MISSING where it must be given."""

    def __init__(self, **submitted: object) -> None:
        """Every field by its name. Raises TypeError for one that is missing or unknown."""
        taken = 0
        for name, default in self.__parts__:
            if name in submitted:
                value = submitted[name]
                taken += 1
            elif default is MISSING:
                raise TypeError(f"{type(self).__name__} needs {name}")
            else:
                value = default
            object.__setattr__(self, name, value)
        if taken < len(submitted):
            unknown = min(submitted.keys() - {name for name, _ in self.__parts__})
            raise TypeError(f"{type(self).__name__} has no {unknown}")

    def __setattr__(self, name: str, value: object) -> None:
        raise FrozenInstanceError(f"cannot assign to field {name!r}")

    def __delattr__(self, name: str) -> None:
        raise FrozenInstanceError(f"cannot delete field {name!r}")

    def __eq__(self, other: object) -> bool:
        return type(other) is type(self) and all(
            getattr(self, name) == getattr(other, name) for name, _ in self.__parts__
        )

    def __hash__(self) -> int:
        return hash(tuple(getattr(self, name) for name, _ in self.__parts__))

    def __getstate__(self) -> list[object]:
        return [getattr(self, name) for name, _ in self.__parts__]

    def __setstate__(self, state: list[object]) -> None:
        for (name, _), value in zip(self.__parts__, state, strict=True):
            object.__setattr__(self, name, value)

    def __repr__(self) -> str:
        names = getattr(self, "__dataclass_fields__", ())
        told = ", ".join(f"{name}={getattr(self, name)!r}" for name in names)
        return f"{type(self).__name__}({told})"


RecordT = TypeVar("RecordT", bound=Record)


@dataclass_transform(kw_only_default=True, frozen_default=True)
def record(cls: type[RecordT]) -> type[RecordT]:
    """Make a class a frozen dataclass with slots, built by name, with the methods of `Record`.

    Defaults are values, never factories: what is frozen may be shared.
    """
    made = dataclass(init=False, repr=False, eq=False, slots=True, kw_only=True)(cls)
    made.__parts__ = tuple((field.name, field.default) for field in fields(made))
    return made


# ---------------------------------------------------------------- the plan


@record
class SignOff(Record):
    """Who answers for a plan. `content_sha256` is over the plan without its sign-off."""

    name: Label
    registration: Label
    signed_at: Instant
    content_sha256: Annotated[str, Words(64, 64)]


@record
class Depth(Record):
    """How the check move was done. Scores compare only at the same depth."""

    seat_cm: Annotated[int, Range(20, 80)] | None = None
    how_low: Label | None = None
    arms_used: bool | None = None
    support: Label | None = None
    shoes: bool | None = None
    stick: bool | None = None


@record
class CheckMove(Record):
    """The movement scored before and after. Step down and stairs need `safe` to be answered."""

    name: MoveName = "rise_from_chair"
    own_words: Label | None = None
    safe: Safe | None = None
    depth: Depth = Depth()


@record
class Technique(Record):
    """One hands-on technique of the plan. It is offered only once it was shown back."""

    technique: Key
    seconds: Annotated[int, Range(5, 600)]
    repeats: Annotated[int, Range(1, 50)] = 1
    taught_on: date | None = None

    @property
    def name(self) -> str:
        """The name of its sheet."""
        return self.technique


@record
class Exercise(Record):
    """One exercise of the plan; offered only once it was shown back. Without
    `on_bad_days` one done standing is left out on a bad day, any other is done as always."""

    exercise: Key
    repeats: Annotated[int, Range(1, 50)]
    sets: Annotated[int, Range(1, 10)] = 1
    hold_seconds: Annotated[int, Range(0, 120)] = 0
    taught_on: date | None = None
    on_bad_days: OnBadDays | None = None

    @property
    def name(self) -> str:
        """The name of its sheet."""
        return self.exercise


@record
class CutLengths(Record):
    """Lengths of one set of tape as cut in the clinic, slack, whole strip from end to end."""

    side_strip_mm: Annotated[float, Range(40, 400)]
    short_piece_mm: Annotated[float, Range(20, 250)] | None = None


@record
class TapePlan(Record):
    """What the plan says about tape. `highest` 0 means no tape at all."""

    when: WhenTape = "never"
    start: TapeStage = 1
    highest: Stage = 0
    make: Label | None = None
    patch_test: PatchTested = "at_home"
    first_wear_hours: Annotated[int, Range(1, 168)] = 24  # (fact: wear_first)
    second_wear_hours: Annotated[int, Range(1, 168)] = 48  # (fact: wear_second)
    wear_hours: Annotated[int, Range(1, 168)] = 72  # (fact: wear_usual)
    cap_hours: Annotated[int, Range(1, 168)] = 120  # (fact: wear_cap)
    rest_hours: Annotated[int, Range(0, 168)] = 24  # (fact: tape_rest_hours)
    width_mm: Annotated[int, Range(10, 100)] = 50  # (fact: tape_width)
    length_from: LengthFrom = "as_measured"
    anchor_mm: Annotated[float, Range(10, 100)] = 50.0  # (fact: tape_anchor)
    stretch_percent: Annotated[float, Range(0, 100)] = 10.0  # (fact: tape_stretch)
    stretch_of: StretchOf = "rest_length"
    stretch_limit_percent: Annotated[float, Range(100, 250)] | None = None
    paper_stretch_percent: Annotated[float, Range(0, 30)] = 10.0  # (fact: tape_paper_stretch)
    knee_bend_degrees: Annotated[int, Range(0, 120)] = 0
    roll_mm: Annotated[int, Range(500, 50000)] = 5000  # (fact: tape_roll)
    pull: Label | None = None
    pull_at: PullAt | None = None
    pull_towards: PullTowards | None = None
    stay_bare_from: date | None = None


@record
class KneeMeasures(Record):
    """Measures of one knee in millimetres, along the skin, in the taping position."""

    side: Side
    bump_to_upper_edge_mm: Annotated[float, Range(40, 250)] | None = None
    kneecap_width_mm: Annotated[float, Range(20, 80)] | None = None
    kneecap_height_mm: Annotated[float, Range(20, 80)] | None = None
    cut: CutLengths | None = None
    build: Build | None = None


@record
class CautionAnswer(Record):
    """The clinician's answer to one caution.

    `allowed` is the tick that opens what it closes, for a `reason`, in words where that is `other`.
    `closed` is what stays closed all the same, or is closed though the caution leaves it open.
    """

    caution: Key
    answer: bool
    allowed: bool = False
    reason: OverruleReason | None = None
    reason_words: Label | None = None
    closed: Annotated[tuple[Part, ...], Length(6)] = ()
    on: date


@record
class AmountPlan(Record):
    """A paced activity amount: baseline, step as a share of the baseline, goal.

    `whole`: what is counted comes in whole ones, such as flights of stairs; None is no.
    """

    label: Label
    unit: Annotated[str, Words(12)]
    baseline: Annotated[float, Range(0, 100000)]
    goal: Annotated[float, Range(0, 100000)]
    step_percent: Annotated[int, Range(10, 20)] = 10  # (fact: pacing_step)
    whole: bool | None = None


@record
class Contact(Record):
    """A number to call, typed by the clinic; `label` where it is called otherwise than its role.

    `when` is said as it was typed; `days`, `opens` and `closes` say the same to the program.
    """

    role: ContactRole
    label: Label | None = None
    number: Annotated[str, Words(40)]
    when: Label | None = None
    days: OpenDays | None = None
    opens: ClockTime | None = None
    closes: ClockTime | None = None


@record
class KnownSign(Record):
    """A sign the clinician marked as known since a date: what was found, when to look again.

    `stays_open` is what goes on while it is as before, with the `support` named for standing steps;
    `stays_closed`: it was answered that nothing does. `side` is the knee it is of, None for a sign
    of no knee, and where it was not asked.
    """

    sign: Key
    since: date
    found: Label | None = None
    stays_open: Annotated[tuple[Part, ...], Length(6)] = ()
    support: Support | None = None
    review_by: date | None = None
    stays_closed: bool | None = None
    side: PlanSide | None = None


@record
class AnsweredSign(Record):
    """What the clinician said of a sign of the diary that was open when the plan was written.

    `warning` is its entry there; `sign`, `since` (the day it was ticked for) and `sides` are what
    that entry says, so that the signature is over more than a number.
    """

    warning: EntryId
    sign: Key
    since: date
    sides: Annotated[tuple[Side, ...], Length(2)] = ()
    answer: OpenSignSaid


@record
class TapeTrial(Record):
    """Randomised periods with and without tape on one knee, fixed before `first_day`.

    The schedule follows from `seed` and the sizes (see `trial_schedule`); `schedule_sha256` is the
    hash it had when it was fixed.
    """

    side: Side
    first_day: date
    pairs: Annotated[int, Range(6, 12)]
    scored_days: Annotated[int, Range(2, 3)]
    seed: Annotated[str, Words(64)]
    schedule_sha256: Annotated[str, Words(64, 64)]


@record
class Plan(Record):
    """The care plan. A plan nobody signed is a practice plan.

    Defaults are those of the facts named beside them; the clinician confirms every value before
    signing. `sex` is asked for a published table alone. `lotion`: what hands may use a little of.
    `chair_stand` allows the 30-second chair stand at home. `usual_...` is what the clinician knows
    to be usual of the main knee; None leaves it to the first full day page, as for the other knee.
    `mornings_down` of the last mornings with more pain take a step of the dose down; for
    `expected_weeks` more pain next morning that goes on is expected. `caution_list` is the version
    of the list of cautions it was asked by, None for the first. `helper_days`: when the helper
    comes, as agreed. `open_signs`: what was said of each sign that was open in the diary.
    """

    person: Code
    birth_year: Annotated[int, Range(1900, 2100)] | None = None
    sex: Sex | None = None
    version: Annotated[int, Range(1, 9999)]
    written_on: date
    review_on: date
    side: PlanSide
    main_side: Side
    reason: PlanReason = "osteoarthritis"
    goal: Note | None = None
    check_move: CheckMove = CheckMove()
    techniques: Annotated[tuple[Technique, ...], Length(20)] = ()
    exercises: Annotated[tuple[Exercise, ...], Length(20)] = ()
    lotion: Label | None = None
    hands_days_a_week: Annotated[int, Range(0, 7)] = 5  # (fact: days_a_week)
    exercise_days_a_week: Annotated[int, Range(0, 7)] = 5  # (fact: days_a_week)
    rounds: Annotated[int, Range(1, 3)] = 2  # (fact: hands_rounds)
    check_moves: Annotated[int, Range(2, 8)] = 4  # (fact: check_moves)
    ease_target_percent: Annotated[int, Range(10, 100)] = 50  # (fact: ease_target)
    stop_amount: Annotated[int, Range(1, 5)] = 2  # (fact: pain_stop_rise)
    pain_ceiling: Annotated[int, Range(1, 9)] = 5  # (fact: pain_zone_acceptable)
    low_score: Annotated[int, Range(0, 4)] = 2  # (fact: pain_zone_safe)
    bad_day_mark: Score | None = None
    bad_day_mark_off: bool | None = None
    rest_pain_limit: Annotated[int, Range(1, 9)] | None = None
    exercise_ceiling: Annotated[int, Range(1, 9)] | None = None
    flare_days: Annotated[int, Range(3, 10)] | None = None
    flare_plan: Note | None = None
    floor_rounds: Annotated[int, Range(1, 3)] | None = None
    floor_repeats_percent: Annotated[int, Range(30, 100)] | None = None
    mornings_down: Annotated[int, Range(1, 3)] | None = None
    expected_weeks: Annotated[int, Range(1, 8)] | None = None
    tape: TapePlan = TapePlan()
    knees: Annotated[tuple[KneeMeasures, ...], Length(2)] = ()
    cautions: Annotated[tuple[CautionAnswer, ...], Length(60)] = ()
    caution_list: Annotated[int, Range(1, 9999)] | None = None
    helper_days: Annotated[tuple[Weekday, ...], Length(7)] = ()
    activities: Annotated[tuple[Label, ...], Length(5)] = ()
    amounts: Annotated[tuple[AmountPlan, ...], Length(5)] = ()
    contacts: Annotated[tuple[Contact, ...], Length(8)] = ()
    known_signs: Annotated[tuple[KnownSign, ...], Length(20)] = ()
    open_signs: Annotated[tuple[AnsweredSign, ...], Length(60)] = ()
    usual_worst: Score | None = None
    usual_night: bool | None = None
    usual_stiffness_minutes: Annotated[int, Range(0, 720)] | None = None
    usual_swelling: Swelling | None = None
    chair_stand: Safe | None = None
    trial: TapeTrial | None = None
    measure: Measure = "average"
    primary_question: PrimaryQuestion = "pain"
    replacement: Replacement = "none"
    replacement_on: date | None = None
    sign_off: SignOff | None = None

    @property
    def practice(self) -> bool:
        """True for a plan nobody signed."""
        return self.sign_off is None

    @property
    def sides(self) -> tuple[Side, ...]:
        """The knees of the plan, the main one first."""
        if self.side == "both":
            return ("left", "right") if self.main_side == "left" else ("right", "left")
        return (self.side,)


# ---------------------------------------------------------------- entries


@record
class Entry(Record):
    """What every entry holds.

    `machine` names the store it was written in, `turn` its place in that store's own order: by it
    one entry saw another, whatever the clock said. Clinics, tables and older versions give neither.
    `over` names rivals that were seen and not chosen. `beside` names the entry that came under the
    same id with other content: both are kept as rivals.
    """

    id: EntryId
    for_day: date
    written_at: Instant
    written_by: WrittenBy
    plan_version: Annotated[int, Range(1, 9999)]
    replaces: EntryId | None = None
    machine: EntryId | None = None
    turn: Annotated[int, Range(1, 2**53 - 1)] | None = None
    over: Annotated[tuple[EntryId, ...], Length(20)] = ()
    beside: EntryId | None = None


class Stamp(TypedDict):
    """The fields every new entry has."""

    id: str
    for_day: date
    written_at: datetime
    written_by: WrittenBy
    plan_version: int


@record
class Withdrawable(Entry):
    """What every entry holds but a warning sign, which is cleared and never withdrawn.

    A correction that is `withdrawn` has nothing take the place of what it corrects.
    """

    withdrawn: Withdrawn | None = None


@record
class ActivityScore(Record):
    """An activity, 0 unable to 10 as before: higher is better."""

    label: Label
    score: Score


@record
class Amount(Record):
    """How much of an activity was done."""

    label: Label
    unit: Annotated[str, Words(12)]
    amount: Annotated[float, Range(0, 100000)]


@record
class DayPage(Withdrawable):
    """One day of one knee. Activities, amounts, medicine, stairs and note are the person's.

    `hands_done`, `exercise_done` and `tape_worn` come from paper, where a day has no session.
    `as_before` are answers that were asked about and said to be no news. `last_fortnight` is asked
    on the first page of a knee, where the first session in the clinic did not ask it. Of paper,
    `unclear` is what somebody answered and nobody can read, `not_asked` what that paper had no row
    for.
    """

    kind: Literal["day_page"] = "day_page"
    side: Side
    form: PageForm = "short"
    pain_now: Score | None = None
    pain_average: Score | None = None
    pain_worst: Score | None = None
    medicine: bool | None = None
    skin: Skin | None = None
    stiffness_minutes: Annotated[int, Range(0, 720)] | None = None
    swelling: Swelling | None = None
    night_pain: bool | None = None
    as_before: Annotated[tuple[DayAnswer, ...], Length(4)] = ()
    activities: Annotated[tuple[ActivityScore, ...], Length(5)] = ()
    amounts: Annotated[tuple[Amount, ...], Length(10)] = ()
    stairs: StairsWay | None = None
    hands_done: bool | None = None
    exercise_done: bool | None = None
    tape_worn: bool | None = None
    tape_stage: Stage | None = None
    note: Note | None = None
    note_private: bool = False
    last_fortnight: LastFortnight | None = None
    unclear: Annotated[tuple[PaperQuestion, ...], Length(18)] = ()
    not_asked: Annotated[tuple[PaperQuestion, ...], Length(18)] = ()


@record
class MoveScore(Record):
    """One check move with its score. `stage` only after tape."""

    role: MoveRole
    score: Score
    zones: Annotated[tuple[Zone, ...], Length(9)] = ()
    stage: TapeStage | None = None
    same_depth: bool | None = None


@record
class StepDone(Record):
    """One hands-on step or exercise as it went. `pain` is the worst in the step.

    `seconds` is what was held by the clock, `counted` how many holds or repeats it counted to their
    end, over all rounds; None where nothing was counted. `sheet` is the version of its sheet.
    """

    step: Key
    outcome: Outcome
    seconds: Annotated[int, Range(0, 36000)] | None = None
    pain: Score | None = None
    counted: Annotated[int, Range(0, 1000)] | None = None
    sheet: Annotated[int, Range(1, 9999)] | None = None


@record
class HandsRound(Record):
    """One pass through the hands-on steps."""

    steps: Annotated[tuple[StepDone, ...], Length(40)]


@record
class GateReply(Record):
    """One question of the short gate, answered for itself. 5 is what may happen in a session and
    with tape: asked with the whole list alone."""

    question: Annotated[int, Range(1, 5)]
    said: GateReplySaid


@record
class KnownReply(Record):
    """What was said of a sign the plan marks as known: as before, worse, or something new."""

    sign: Key
    said: KnownSaid


@record
class Session(Withdrawable):
    """One session of one knee. `reason` is why it ended: a code of `course` or of `routine`.

    `gate` is none when every reply was no and every known sign as before. `full_list`: the signs
    behind every question were read with it. `after_last` is how this knee took the routine before.
    `last_fortnight` is asked in the first session of all, in the clinic. `knows_steps`: the person
    said after it that these steps are known and may stand on one page.
    """

    kind: Literal["session"] = "session"
    side: Side
    happened_at: Instant | None = None
    ended_at: Instant | None = None
    place: Place = "home"
    gate: GateSaid | None = None
    full_list: bool = False
    gate_replies: Annotated[tuple[GateReply, ...], Length(5)] = ()
    known_replies: Annotated[tuple[KnownReply, ...], Length(40)] = ()
    after_last: AfterLast | None = None
    rest_pain: Score | None = None
    depth: Depth | None = None
    moves: Annotated[tuple[MoveScore, ...], Length(16)] = ()
    rounds: Annotated[tuple[HandsRound, ...], Length(3)] = ()
    exercises: Annotated[tuple[StepDone, ...], Length(40)] = ()
    stage: Stage | None = None
    comparable: bool = True
    ended: SessionEnd
    reason: Key | None = None
    last_fortnight: LastFortnight | None = None
    knows_steps: bool | None = None


@record
class TapeOn(Withdrawable):
    """Tape put on. Short pieces added later are an entry of their own with the higher stage."""

    kind: Literal["tape_on"] = "tape_on"
    side: Side
    happened_at: Instant
    stage: TapeStage
    make: Label | None = None
    by: Literal["person", "helper", "clinic"] = "person"
    skin_before: Skin | None = None
    for_outing: bool = False


@record
class TapeOff(Withdrawable):
    """Tape taken off. `happened_at` None is "don't know when". `felt` is why, where it was felt."""

    kind: Literal["tape_off"] = "tape_off"
    side: Side
    tape_on: EntryId | None = None
    happened_at: Instant | None = None
    came_off_by_itself: bool = False
    felt: Annotated[tuple[TapeFeeling, ...], Length(4)] = ()
    skin_at_once: Skin | None = None
    skin_after_30_min: Skin | None = None


@record
class OutingKnee(Record):
    """What an outing was for one knee: the tape that was on it, the worst pain, the morning
    after."""

    side: Side
    tape_on: EntryId | None = None
    pain_worst: Score | None = None
    next_morning: NextMorning | None = None


@record
class Outing(Withdrawable):
    """Going out for something that matters, and how it went. It is the person's: `knees` are those
    the plan treats, one or both, each with answers of its own."""

    kind: Literal["outing"] = "outing"
    happened_at: Instant | None = None
    what_for: Label
    knees: Annotated[tuple[OutingKnee, ...], Length(2)]
    amount: Amount | None = None
    ended_because: OutingEnded | None = None

    def of(self, side: Side) -> OutingKnee | None:
        """What it was for one knee; None where that knee is not in it."""
        return next((knee for knee in self.knees if knee.side == side), None)

    @property
    def sides(self) -> tuple[Side, ...]:
        """The knees it was asked of."""
        return tuple(knee.side for knee in self.knees)

    @property
    def taped(self) -> bool:
        """Whether tape was on for it, on either knee."""
        return any(knee.tape_on is not None for knee in self.knees)

    @property
    def mornings(self) -> tuple[NextMorning, ...]:
        """What was said of the morning after, of each knee of which it was."""
        said = (knee.next_morning for knee in self.knees)
        return tuple(one for one in said if one is not None)


@record
class PatchTest(Withdrawable):
    """A small unstretched piece of one make, read at 24 h and again at 48 to 72 h."""

    kind: Literal["patch_test"] = "patch_test"
    make: Label
    happened_at: Instant
    first_read_at: Instant | None = None
    first_skin: Skin | None = None
    second_read_at: Instant | None = None
    second_skin: Skin | None = None
    tolerated_in_clinic: bool = False


@record
class WarningSign(Entry):
    """A sign of the stop list that was ticked, its card, and how it was cleared.

    Clearing is a correction: a new entry that replaces the open one. `sides` is empty for a sign
    of the whole person, and of a knee nobody named. `opened`: what is open again since `opened_on`
    while the sign itself stays open. `told` is what a professional last said of the routine, on
    `told_on`, and `told_by` who.
    """

    kind: Literal["warning"] = "warning"
    sign: Key
    card: Key
    level: Level
    sides: Annotated[tuple[Side, ...], Length(2)] = ()
    happened_at: Instant | None = None
    cleared: Cleared | None = None
    cleared_on: date | None = None
    cleared_by: Label | None = None
    opened: Annotated[tuple[Part, ...], Length(6)] = ()
    opened_on: date | None = None
    told: Told | None = None
    told_by: ToldBy | None = None
    told_name: Label | None = None
    told_on: date | None = None


@record
class Event(Withdrawable):
    """Something dated that explains a change: an injection, new tablets, a fall."""

    kind: Literal["event"] = "event"
    what: EventKind
    side: Side | None = None
    note: Note | None = None


@record
class ScoringTaught(Withdrawable):
    """How 0 and 10 were taught in the clinic, in the person's words: every score rests on it."""

    kind: Literal["scoring_taught"] = "scoring_taught"
    words: Note


@record
class Measurement(Withdrawable):
    """A 30-second chair stand or an activity trial."""

    kind: Literal["measure"] = "measure"
    test: MeasureTest = "chair_stand_30_s"
    count: Annotated[int, Range(0, 99)]
    arms_used: bool = False
    seat_cm: Annotated[int, Range(20, 80)] | None = None
    label: Label | None = None


@record
class Question(Withdrawable):
    """A question for the clinic, or what was said when asked whether a score of 10 is the worst.
    `answered`: the person said that it was."""

    kind: Literal["question"] = "question"
    text: Note | None = None
    ten_said: TenSaid | None = None
    answered: bool | None = None


@record
class GateAnswer(Withdrawable):
    """The short gate, answered where no session holds it: before tape, or before an outing.

    `side` is the knee that `after_last` is about; the gate itself is the whole person's.
    """

    kind: Literal["gate"] = "gate"
    happened_at: Instant
    gate: GateSaid
    full_list: bool = False
    gate_replies: Annotated[tuple[GateReply, ...], Length(5)] = ()
    known_replies: Annotated[tuple[KnownReply, ...], Length(40)] = ()
    side: Side | None = None
    after_last: AfterLast | None = None


@record
class Journey(Withdrawable):
    """Days away from home, the first and the last among them.

    `clock_ahead` are the hours by which the clock there is ahead of the one at home, below 0 behind
    it; `home_minutes` is that of home, ahead of UTC, where it was written. `emergency` is the
    number for emergencies there, as the person typed it: none is ever filled in.
    """

    kind: Literal["journey"] = "journey"
    first_day: date
    last_day: date
    where: Label | None = None
    clock_ahead: Annotated[float, Range(-26, 26)] | None = None
    home_minutes: Annotated[int, Range(-720, 840)] | None = None
    emergency: Annotated[str, Words(40)] | None = None


AnyEntry = (
    DayPage
    | Session
    | TapeOn
    | TapeOff
    | Outing
    | PatchTest
    | WarningSign
    | Event
    | ScoringTaught
    | Measurement
    | Question
    | GateAnswer
    | Journey
)
ENTRY_KINDS: dict[str, type[Entry]] = {
    "day_page": DayPage,
    "session": Session,
    "tape_on": TapeOn,
    "tape_off": TapeOff,
    "outing": Outing,
    "patch_test": PatchTest,
    "warning": WarningSign,
    "event": Event,
    "scoring_taught": ScoringTaught,
    "measure": Measurement,
    "question": Question,
    "gate": GateAnswer,
    "journey": Journey,
}


@record
class Diary(Record):
    """All that belongs to one person: every plan version and every entry, in no order.

    A file does not hold the rest: `wrong_clock` are the ids of entries that whoever took them in
    found to be written later than that day (see `clocks`), `left_out` counts the entries of its
    files that do not belong to the rest.
    """

    plans: Annotated[tuple[Plan, ...], Length(9999)]
    entries: Annotated[tuple[AnyEntry, ...], Length(400_000)] = ()
    wrong_clock: tuple[str, ...] = ()
    left_out: int = 0

    @property
    def plan(self) -> Plan:
        """The plan in force."""
        return newest_in_force(self.plans)


def newest_in_force(plans: Iterable[Plan]) -> Plan:
    """The plan in force of all versions: the highest that is signed, else the highest. Raises
    ValueError without a plan."""
    return max(plans, key=lambda plan: (not plan.practice, plan.version))
