"""The five people: their plans, how their knees behave and what happens to them.

Invented, all of it. Telephone numbers are from the range that is never given to anybody: 01632
960000 to 960999 (fact: drama_numbers). The clinician and the
registration do not exist. Days are counted from the first day of the diary, which is day 0.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from types import MappingProxyType
from typing import Any

from companion.care.records import (
    AmountPlan,
    CheckMove,
    Contact,
    CutLengths,
    Depth,
    EventKind,
    Exercise,
    KneeMeasures,
    KnownSign,
    LastFortnight,
    Level,
    Plan,
    Side,
    TapePlan,
    TapeTrial,
    Technique,
    WrittenBy,
    Zone,
)
from companion.care.trial_schedule import schedule

CLINICIAN = "A. Example (invented clinician)"
REGISTRATION = "example 000"
TAPE_MAKE = "Harbour cotton 50 mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class Knee:
    """How one knee behaves. Levels are of the 24-hour average pain, 0-10.

    `eased_by_hands` and `eased_by_strips`, `eased_by_short_pieces` are the usual share (0-1) of a
    score that one round, or that tape stage, takes away; `tape_takes` is what a day with tape has
    less than one without, in points.
    """

    side: Side
    level_first: float
    level_last: float
    spread: float
    lag1: float
    move_adds: float
    eased_by_hands: float
    eased_by_strips: float = 0.0
    eased_by_short_pieces: float = 0.0
    tape_takes: float = 0.0
    zones: tuple[Zone, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Flare:
    """`rise` points more pain from day `first`, for `days` days."""

    first: int
    days: int
    rise: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Trouble:
    """A warning sign ticked on day `day` and cleared `cleared_after` days later."""

    day: int
    sign: str
    level: Level
    side: Side
    cleared_after: int
    cleared_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Happenings:
    """What happens on which day, counted from the first day of the diary."""

    flares: tuple[Flare, ...] = ()
    silent: frozenset[int] = frozenset()
    """Days on which nothing was written, nor later."""
    filled_in: Mapping[int, int] = field(default_factory=dict)
    """Day of the page -> day on which it was written."""
    troubles: tuple[Trouble, ...] = ()
    events: Mapping[int, tuple[EventKind, str]] = field(default_factory=dict)
    questions: Mapping[int, tuple[WrittenBy, str]] = field(default_factory=dict)
    notes: Mapping[int, tuple[str, bool]] = field(default_factory=dict)
    """Day -> note, and whether it is kept private."""
    mistyped: Mapping[int, int] = field(default_factory=dict)
    """Day -> the average pain first typed by mistake, corrected the next morning."""
    tape_lost_in_pair: int | None = None
    """In this pair of a tape trial tape comes off by itself on the morning of its last day."""
    pink_in_pair: int | None = None
    """After the tape of this pair the skin is pink for a moment."""
    more_next_morning: frozenset[int] = frozenset()
    """Days on which the gate hears that the main knee was sorer the morning after its routine."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """One invented person. `keeps` are shares (0-1) of prescribed days on which it is done."""

    name: str
    seed: int
    """Of several tried, one whose weeks show what the story says."""
    story: str
    first_plan: Plan
    next_plans: tuple[tuple[int, Mapping[str, Any]], ...] = ()
    """Day on which a new version is written -> what changes in it."""
    last_day: date
    knees: tuple[Knee, ...]
    hands_at: int
    """Minutes after midnight at which the routine usually begins."""
    keeps_hands: float
    keeps_exercise: float
    keeps_pages: float
    leaves: float = 0.0
    outing: str | None = None
    outings_a_week: float = 0.0
    helper_weekdays: tuple[int, ...] = ()
    """Days of the week (Monday 0) on which the helper does the hands and the tape."""
    keeps_tape: float = 1.0
    """Share (0-1) of the hours due for which tape is usually kept on."""
    wear_too_long: tuple[int, ...] = ()
    """Which wears, counted from 1, are left on past their time."""
    skin_reactions: tuple[int, ...] = ()
    """After which wears the skin is still red after 30 minutes; no tape after that."""
    medicine: float = 0.0
    cautions: tuple[str, ...] = ()
    """The cautions the clinician answered with yes; all others with no."""
    chair_stands: tuple[int, int] = (9, 11)
    last_fortnight: LastFortnight | None = None
    """What was said in the first session of the two weeks before it."""
    answers_gate: bool = False
    """Whether each answer of the gate is written, as an older version did not."""
    happenings: Happenings = Happenings()


def _contacts(surgical: bool = False) -> tuple[Contact, ...]:
    listed = (
        Contact(role="emergency", label="Emergency", number="112", when="at any hour"),
        Contact(
            role="clinic",
            label="Pellan Harbour knee clinic",
            number="01632 960417",
            when="Monday to Friday, 8 to 17",
            days="weekdays",
            opens="8:00",
            closes="17:00",
        ),
        Contact(
            role="doctor",
            label="Quay Street surgery",
            number="01632 960228",
            when="Monday to Friday, 8 to 18",
            days="weekdays",
            opens="8:00",
            closes="18:00",
        ),
        Contact(
            role="out_of_hours",
            label="Evening and weekend doctor",
            number="01632 960801",
            when="18 to 8 and weekends",
        ),
    )
    if not surgical:
        return listed
    ward = Contact(role="surgical_team", label="Bone and joint ward", number="01632 960655")
    return (*listed, ward)


def _techniques(taught_on: date, *names: str, repeats: int = 2) -> tuple[Technique, ...]:
    return tuple(
        Technique(technique=name, seconds=30, repeats=repeats, taught_on=taught_on)
        for name in names
    )


def _exercise(taught_on: date, name: str, repeats: int, sets: int, hold: int) -> Exercise:
    return Exercise(
        exercise=name, repeats=repeats, sets=sets, hold_seconds=hold, taught_on=taught_on
    )


_EDDA_FROM = date(2026, 9, 14)
EDDA = Person(
    name="edda",
    seed=20_260_914,
    story=(
        "Edda, 71, eases her right knee by hand, adds side strips when that falls short,"
        " and tapes before she walks to the fish quay."
    ),
    first_plan=Plan(
        person="K-07",
        birth_year=1955,
        sex="female",
        version=1,
        written_on=_EDDA_FROM,
        review_on=date(2026, 11, 24),
        side="right",
        main_side="right",
        goal="Walk to the fish quay and back without stopping at the bench.",
        stop_amount=2,
        pain_ceiling=5,
        check_move=CheckMove(
            name="rise_from_chair",
            safe="alone",
            depth=Depth(seat_cm=45, arms_used=False, shoes=True),
        ),
        techniques=_techniques(
            _EDDA_FROM, "stroke_thigh", "glide_inner_edge", "glide_outer_edge", "ease_across"
        ),
        exercises=(
            _exercise(_EDDA_FROM, "thigh_tightening", 10, 2, 5),
            _exercise(_EDDA_FROM, "seated_straightening", 10, 2, 3),
            _exercise(_EDDA_FROM, "sit_to_stand", 8, 2, 0),
        ),
        bad_day_mark=10,
        tape=TapePlan(
            when="if_missed",
            start=1,
            highest=1,
            make=TAPE_MAKE,
            patch_test="tolerated_in_clinic",
            length_from="as_cut",
            anchor_mm=20.0,
        ),
        knees=(
            KneeMeasures(
                side="right",
                bump_to_upper_edge_mm=82.0,
                kneecap_width_mm=41.0,
                kneecap_height_mm=40.0,
                cut=CutLengths(side_strip_mm=88.0),
                build="usual",
            ),
        ),
        activities=(
            "walk to the fish quay",
            "stairs to the harbour office",
            "stand at the market stall",
        ),
        amounts=(
            AmountPlan(
                label="walk to the fish quay", unit="m", baseline=300.0, goal=600.0, step_percent=10
            ),
        ),
        contacts=_contacts(),
        chair_stand="alone",
    ),
    last_day=date(2026, 11, 22),
    knees=(
        Knee(
            side="right",
            level_first=6.2,
            level_last=2.7,
            spread=0.8,
            lag1=0.4,
            move_adds=0.9,
            eased_by_hands=0.36,
            eased_by_strips=0.28,
            zones=("inner_edge", "behind_kneecap", "inner_joint_line"),
        ),
    ),
    hands_at=9 * 60 + 15,
    keeps_hands=0.93,
    keeps_exercise=0.92,
    keeps_pages=0.95,
    outing="walk to the fish quay",
    outings_a_week=1.8,
    medicine=0.06,
    chair_stands=(9, 12),
    last_fortnight="not_worse",
    happenings=Happenings(
        questions=MappingProxyType(
            {62: ("person", "May I tape for the whole day of the lantern fair?")}
        ),
        notes=MappingProxyType(
            {
                4: ("Stiff after the market, better once I had moved about.", False),
                26: ("Went as far as the ice house without the bench.", False),
                57: ("Cold wind on the quay, knee grumbled on the way home.", False),
            }
        ),
    ),
)

_OSRIC_FROM = date(2026, 9, 15)
OSRIC = Person(
    name="osric",
    seed=29,
    story=(
        "Osric, 77, needs the short pieces under his left kneecap and is unsure about tape;"
        " his nephew helps with hands and strips."
    ),
    first_plan=Plan(
        person="K-12",
        birth_year=1949,
        sex="male",
        version=1,
        written_on=_OSRIC_FROM,
        review_on=date(2026, 10, 20),
        side="left",
        main_side="left",
        goal="Get in and out of the tender without a hand from anyone.",
        stop_amount=2,
        pain_ceiling=5,
        check_move=CheckMove(
            name="rise_from_chair",
            safe="alone",
            depth=Depth(seat_cm=48, arms_used=True, support="arms of the chair", shoes=True),
        ),
        techniques=_techniques(
            _OSRIC_FROM,
            "stroke_thigh",
            "glide_inner_edge",
            "glide_outer_edge",
            "ease_across",
            "circle_below",
        ),
        exercises=(
            _exercise(_OSRIC_FROM, "thigh_tightening", 10, 2, 5),
            _exercise(_OSRIC_FROM, "heel_slide", 10, 1, 3),
            _exercise(_OSRIC_FROM, "sit_to_stand", 6, 2, 0),
        ),
        exercise_days_a_week=5,
        hands_days_a_week=4,
        check_moves=4,
        bad_day_mark=10,
        tape=TapePlan(
            when="if_missed",
            start=1,
            highest=1,
            make=TAPE_MAKE,
            patch_test="at_home",
            length_from="as_measured",
            width_mm=25,
            stretch_percent=25.0,
            anchor_mm=20.0,
            pull_at="middle",
            pull_towards="inner",
        ),
        knees=(
            KneeMeasures(
                side="left",
                bump_to_upper_edge_mm=86.0,
                kneecap_width_mm=44.0,
                kneecap_height_mm=42.0,
                cut=CutLengths(side_strip_mm=86.0, short_piece_mm=60.0),
                build="broad",
            ),
        ),
        activities=("get in and out of the tender", "stairs at home", "walk the harbour wall"),
        amounts=(
            AmountPlan(
                label="walk the harbour wall", unit="min", baseline=10.0, goal=20.0, step_percent=10
            ),
        ),
        contacts=_contacts(),
        chair_stand="with_someone",
    ),
    next_plans=(
        (
            35,
            MappingProxyType(
                {
                    "review_on": date(2026, 11, 24),
                    "check_moves": 5,
                    "tape": TapePlan(
                        when="if_missed",
                        start=1,
                        highest=2,
                        make=TAPE_MAKE,
                        patch_test="at_home",
                        length_from="as_measured",
                        width_mm=25,
                        stretch_percent=25.0,
                        anchor_mm=20.0,
                        pull_at="middle",
                        pull_towards="inner",
                    ),
                }
            ),
        ),
    ),
    last_day=date(2026, 11, 22),
    knees=(
        Knee(
            side="left",
            level_first=6.4,
            level_last=5.0,
            spread=0.9,
            lag1=0.35,
            move_adds=1.2,
            eased_by_hands=0.11,
            eased_by_strips=0.13,
            eased_by_short_pieces=0.42,
            zones=("below", "behind_kneecap", "outer_edge"),
        ),
    ),
    hands_at=15 * 60,
    keeps_hands=0.74,
    keeps_exercise=0.7,
    keeps_pages=0.9,
    helper_weekdays=(1, 3, 5),
    keeps_tape=0.55,
    medicine=0.12,
    chair_stands=(7, 8),
    happenings=Happenings(
        questions=MappingProxyType(
            {
                9: ("person", "Is it the tape that helps, or is it the hands?"),
                24: ("helper", "How tight should the side strips be? I never know."),
                47: ("person", "Do I need the tape if the rain makes no odds to it?"),
                66: ("helper", "Could he do the short pieces by himself with a mirror?"),
            }
        ),
        notes=MappingProxyType(
            {
                6: ("Tape feels odd. Not sure it does much.", False),
                21: ("Took the tender out. Knee held on the steps.", False),
                40: ("Short pieces today. Chair went easier after.", False),
                52: ("I do not like being helped with this.", True),
            }
        ),
    ),
)

_WILMA_FROM = date(2026, 9, 18)
WILMA = Person(
    name="wilma",
    seed=10,
    story=(
        "Wilma, 83, has thin skin and so no tape; hands and exercise for both knees,"
        " the right one worse. That they swell a little is known."
    ),
    first_plan=Plan(
        person="K-19",
        birth_year=1943,
        sex="female",
        version=1,
        written_on=_WILMA_FROM,
        review_on=date(2026, 12, 11),
        side="both",
        main_side="right",
        goal="Walk up to the chapel on Sundays with my sister.",
        stop_amount=2,
        pain_ceiling=5,
        check_move=CheckMove(
            name="rise_from_chair",
            safe="alone",
            depth=Depth(seat_cm=50, arms_used=True, support="arms of the chair", shoes=True),
        ),
        techniques=_techniques(
            _WILMA_FROM, "stroke_thigh", "glide_inner_edge", "glide_upper_edge", repeats=1
        ),
        exercises=(
            _exercise(_WILMA_FROM, "thigh_tightening", 8, 2, 5),
            _exercise(_WILMA_FROM, "seated_straightening", 8, 2, 3),
            _exercise(_WILMA_FROM, "heel_raises", 8, 1, 2),
        ),
        hands_days_a_week=4,
        exercise_days_a_week=6,
        rounds=1,
        check_moves=3,
        ease_target_percent=40,
        bad_day_mark=9,
        rest_pain_limit=6,
        lotion="two drops of plain, unscented lotion",
        known_signs=(
            KnownSign(
                sign="swollen_days",
                side="both",
                since=date(2021, 3, 8),
                found="Some fluid from wear, not hot",
                review_by=date(2027, 3, 8),
            ),
        ),
        tape=TapePlan(when="never", highest=0),
        knees=(
            KneeMeasures(side="left", build="slim"),
            KneeMeasures(side="right", build="slim"),
        ),
        activities=(
            "walk up to the chapel",
            "carry the shopping from the ferry",
            "get up from the low sofa",
        ),
        amounts=(
            AmountPlan(
                label="walk up to the chapel", unit="m", baseline=150.0, goal=250.0, step_percent=10
            ),
        ),
        contacts=_contacts(),
        chair_stand="with_someone",
        primary_question="activities",
    ),
    last_day=date(2026, 11, 22),
    knees=(
        Knee(
            side="right",
            level_first=5.4,
            level_last=4.0,
            spread=0.9,
            lag1=0.3,
            move_adds=0.8,
            eased_by_hands=0.38,
            zones=("above", "inner_edge"),
        ),
        Knee(
            side="left",
            level_first=4.2,
            level_last=3.6,
            spread=0.8,
            lag1=0.3,
            move_adds=0.7,
            eased_by_hands=0.36,
            zones=("above", "outer_edge"),
        ),
    ),
    hands_at=10 * 60 + 30,
    keeps_hands=0.86,
    keeps_exercise=0.9,
    keeps_pages=0.93,
    medicine=0.08,
    cautions=("thin_skin", "unsteady", "lives_alone"),
    chair_stands=(8, 9),
    last_fortnight="worse",
    answers_gate=True,
    happenings=Happenings(
        more_next_morning=frozenset({63, 65}),
        questions=MappingProxyType(
            {41: ("person", "Is heel raising safe when the kitchen floor is cold?")}
        ),
        notes=MappingProxyType(
            {
                9: ("Up to the chapel gate, not the door.", False),
                30: ("Slept badly, worried about the stairs.", True),
                51: ("Chapel and back with my sister.", False),
            }
        ),
    ),
)

_TOBIN_FROM = date(2026, 9, 16)
TOBIN = Person(
    name="tobin",
    seed=3,
    story=(
        "Tobin, 65, has a flare, skin that turns against the tape, medicine days, gaps,"
        " pages filled in late, and a warning that was cleared."
    ),
    first_plan=Plan(
        person="K-23",
        birth_year=1961,  # his sex is not in the plan: one of the five shows what is not known then
        version=1,
        written_on=_TOBIN_FROM,
        review_on=date(2026, 12, 2),
        side="right",
        main_side="right",
        goal="Stand a full morning at the net loft.",
        stop_amount=2,
        pain_ceiling=5,
        check_move=CheckMove(
            name="small_squat",
            safe="alone",
            depth=Depth(how_low="a hand above the bench", support="net loft rail", shoes=True),
        ),
        techniques=_techniques(
            _TOBIN_FROM, "stroke_thigh", "glide_outer_edge", "circle_hollows", "ease_up_and_down"
        ),
        exercises=(
            _exercise(_TOBIN_FROM, "thigh_tightening", 10, 2, 5),
            _exercise(_TOBIN_FROM, "straight_leg_raise", 8, 2, 3),
            _exercise(_TOBIN_FROM, "heel_raises", 10, 2, 2),
        ),
        bad_day_mark=10,
        tape=TapePlan(
            when="always",
            start=1,
            highest=1,
            make=TAPE_MAKE,
            patch_test="at_home",
            length_from="path",
        ),
        knees=(
            KneeMeasures(
                side="right",
                bump_to_upper_edge_mm=79.0,
                kneecap_width_mm=42.0,
                kneecap_height_mm=39.0,
                build="broad",
            ),
        ),
        activities=(
            "stand at the net loft",
            "stairs to the harbour office",
            "walk the dog along the mole",
        ),
        amounts=(
            AmountPlan(
                label="walk the dog along the mole",
                unit="min",
                baseline=20.0,
                goal=40.0,
                step_percent=15,
            ),
        ),
        contacts=_contacts(),
        chair_stand="alone",
    ),
    last_day=date(2026, 11, 22),
    knees=(
        Knee(
            side="right",
            level_first=4.6,
            level_last=4.0,
            spread=0.6,
            lag1=0.3,
            move_adds=1.0,
            eased_by_hands=0.3,
            eased_by_strips=0.18,
            zones=("outer_edge", "below", "outer_joint_line"),
        ),
    ),
    hands_at=18 * 60 + 10,
    keeps_hands=0.78,
    keeps_exercise=0.7,
    keeps_pages=0.9,
    leaves=0.06,
    wear_too_long=(3,),
    skin_reactions=(4,),
    medicine=0.1,
    chair_stands=(10, 11),
    last_fortnight="cannot_tell",
    happenings=Happenings(
        flares=(Flare(first=41, days=7, rise=3.4),),
        silent=frozenset({27, 28, 29, 30, 55, 56}),
        filled_in=MappingProxyType({31: 34, 32: 34, 33: 34, 58: 61}),
        troubles=(
            Trouble(
                day=42,
                sign="knee_hot_swollen",
                level="today",
                side="right",
                cleared_after=1,
                cleared_by="Quay Street surgery",
            ),
        ),
        events=MappingProxyType(
            {
                43: ("new_tablets", "A week of tablets from Quay Street surgery."),
                60: ("illness", "A cold, stayed in for two days."),
            }
        ),
        questions=MappingProxyType(
            {
                26: ("person", "My skin went red and itchy under the tape. Do I stop it?"),
                49: ("person", "How soon after a bad week do I go back to the heel raises?"),
            }
        ),
        notes=MappingProxyType(
            {
                12: ("Long day mending nets.", False),
                31: ("Away at the boatyard, wrote these from memory.", False),
                41: ("Knee came up overnight after the long stairs.", False),
                50: ("Nearly as it was before.", False),
            }
        ),
        mistyped=MappingProxyType({13: 9}),
    ),
)

_JORY_FROM = date(2026, 8, 25)
_JORY_TRIAL = schedule("sail loft, five dice: 4 1 6 2 5", date(2026, 9, 16), pairs=8, scored_days=3)
JORY = Person(
    name="jory",
    seed=33,
    story=(
        "Jory, 47, has pain behind the right kneecap; for nine weeks tape went on and off"
        " by a drawn order, to see whether it helps."
    ),
    first_plan=Plan(
        person="K-31",
        birth_year=1979,
        sex="male",
        version=1,
        written_on=_JORY_FROM,
        review_on=date(2026, 9, 14),
        side="right",
        main_side="right",
        reason="kneecap_pain",
        goal="Carry a mainsail up to the loft without a stop on the stairs.",
        stop_amount=2,
        pain_ceiling=5,
        check_move=CheckMove(
            name="small_squat",
            safe="alone",
            depth=Depth(how_low="fingertips to the cutting bench", support="bench", shoes=True),
        ),
        techniques=_techniques(
            _JORY_FROM, "stroke_thigh", "glide_inner_edge", "glide_outer_edge", "ease_across"
        ),
        exercises=(
            _exercise(_JORY_FROM, "thigh_tightening", 10, 2, 5),
            _exercise(_JORY_FROM, "straight_leg_raise", 10, 2, 3),
            _exercise(_JORY_FROM, "sit_to_stand", 10, 2, 0),
        ),
        bad_day_mark=9,
        tape=TapePlan(
            when="if_missed",
            start=1,
            highest=1,
            make=TAPE_MAKE,
            patch_test="tolerated_in_clinic",
            length_from="path",
            anchor_mm=20.0,
            pull_at="middle",
            pull_towards="inner",
        ),
        knees=(
            KneeMeasures(
                side="right",
                bump_to_upper_edge_mm=84.0,
                kneecap_width_mm=43.0,
                kneecap_height_mm=42.0,
                build="usual",
            ),
        ),
        activities=(
            "stairs to the sail loft",
            "kneel at the cutting floor",
            "row the gig on Saturdays",
        ),
        amounts=(
            AmountPlan(
                label="stairs to the sail loft",
                unit="flights",
                whole=True,
                baseline=6.0,
                goal=12.0,
                step_percent=10,
            ),
        ),
        contacts=_contacts(),
        chair_stand="alone",
    ),
    next_plans=(
        (
            20,
            MappingProxyType(
                {
                    "review_on": date(2026, 11, 24),
                    "primary_question": "tape",
                    "trial": TapeTrial(
                        side="right",
                        first_day=_JORY_TRIAL.first_day,
                        pairs=_JORY_TRIAL.pairs,
                        scored_days=_JORY_TRIAL.scored_days,
                        seed=_JORY_TRIAL.seed,
                        schedule_sha256=_JORY_TRIAL.sha256,
                    ),
                }
            ),
        ),
    ),
    last_day=date(2026, 11, 22),
    knees=(
        Knee(
            side="right",
            level_first=5.6,
            level_last=4.8,
            spread=0.9,
            lag1=0.3,
            move_adds=0.8,
            eased_by_hands=0.22,
            eased_by_strips=0.24,
            tape_takes=1.5,
            zones=("behind_kneecap", "outer_edge", "below"),
        ),
    ),
    hands_at=7 * 60 + 40,
    keeps_hands=0.85,
    keeps_exercise=0.86,
    keeps_pages=0.93,
    medicine=0.04,
    chair_stands=(14, 16),
    happenings=Happenings(
        questions=MappingProxyType(
            {
                17: ("person", "Does the tape do anything, or do I only think so?"),
                87: ("person", "The days with and without are over. Do I tape on or leave it?"),
            }
        ),
        notes=MappingProxyType(
            {
                5: ("Long day on my knees at the cutting floor.", False),
                33: ("Two mainsails up the stairs.", False),
                70: ("Gig race. Sore on the way home.", False),
            }
        ),
        tape_lost_in_pair=5,
        pink_in_pair=3,
    ),
)

PEOPLE: tuple[Person, ...] = (EDDA, OSRIC, WILMA, TOBIN, JORY)
"""All five, in the order in which they are shown."""
