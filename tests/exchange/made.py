"""A small diary of an invented person of Pellan Harbour that holds every kind of entry."""

import hashlib
from dataclasses import replace
from datetime import datetime, timedelta, timezone

from companion.care.records import (
    ActivityScore,
    Amount,
    AmountPlan,
    AnsweredSign,
    CautionAnswer,
    CheckMove,
    Contact,
    CutLengths,
    DayPage,
    Depth,
    Diary,
    Event,
    Exercise,
    GateAnswer,
    HandsRound,
    Journey,
    KneeMeasures,
    KnownSign,
    Measurement,
    MoveScore,
    Outing,
    OutingKnee,
    PatchTest,
    Plan,
    Question,
    ScoringTaught,
    Session,
    StepDone,
    TapeOff,
    TapeOn,
    TapePlan,
    TapeTrial,
    Technique,
    WarningSign,
)
from companion.care.trial_schedule import schedule
from companion.wire.sign_off import signed
from tests.builders import DAY, small_plan

WINTER = timezone(timedelta(hours=1))
FIRST = DAY


def an_id(number: int) -> str:
    return hashlib.sha256(str(number).encode()).hexdigest()[:32]


def at(day: int, hour: int, minute: int = 0) -> datetime:
    """A wall time, `day` days after the plan was written."""
    return datetime(2026, 3, 2, hour, minute, tzinfo=WINTER) + timedelta(days=day)


def full_plan() -> Plan:
    """A signed plan in which every part is filled."""
    plan = replace(first_full_plan(), sign_off=None)
    trial = schedule("a seed drawn by chance", FIRST + timedelta(days=14), pairs=6, scored_days=2)
    return signed(
        replace(
            plan,
            sex="female",
            chair_stand="with_someone",
            tape=replace(plan.tape, pull_at="middle", pull_towards="inner"),
            knees=(replace(plan.knees[0], build="slim"),),
            trial=TapeTrial(
                side="right",
                first_day=trial.first_day,
                pairs=trial.pairs,
                scored_days=trial.scored_days,
                seed=trial.seed,
                schedule_sha256=trial.sha256,
            ),
        ),
        "R. Quay",
        "PH 0412",
        at(7, 11),
    )


def fifth_full_plan() -> Plan:
    """The same with what version 5 of the format added."""
    return signed(
        replace(
            full_plan(),
            mornings_down=1,
            expected_weeks=4,
            open_signs=(
                AnsweredSign(
                    warning=an_id(9),
                    sign="swollen_days",
                    since=FIRST,
                    sides=("right",),
                    answer="go_on",
                ),
            ),
        ),
        "R. Quay",
        "PH 0412",
        at(7, 11),
    )


def first_full_plan() -> Plan:
    """The same as far as version 1 of the format could say it."""
    plan = small_plan(
        birth_year=1951,
        version=2,
        written_on=FIRST + timedelta(days=7),
        side="both",
        goal="Walk to the harbour wall and back.",
        check_move=CheckMove(depth=Depth(seat_cm=45, arms_used=False, shoes=True)),
        techniques=(Technique(technique="glide_inward", seconds=60, repeats=3, taught_on=FIRST),),
        exercises=(Exercise(exercise="straight_leg_raise", repeats=10, sets=2, taught_on=FIRST),),
        tape=TapePlan(when="if_missed", start=1, highest=2, make="Slate 50"),
        knees=(
            KneeMeasures(
                side="right",
                bump_to_upper_edge_mm=112.5,
                kneecap_width_mm=46.0,
                cut=CutLengths(side_strip_mm=210.0, short_piece_mm=90.0),
            ),
        ),
        cautions=(CautionAnswer(caution="thin_skin", answer=False, on=FIRST),),
        activities=("Stairs to the flat", "Getting up from the pew"),
        amounts=(AmountPlan(label="Walk", unit="min", baseline=10.0, goal=30.0),),
        contacts=(Contact(role="clinic", label="Pellan Harbour clinic", number="555 0107"),),
        known_signs=(KnownSign(sign="giving_way", since=FIRST),),
    )
    return signed(plan, "R. Quay", "PH 0412", at(7, 11))


def seventh_full_diary() -> Diary:
    """The same with an outing of both knees, which version 7 of the format can say."""
    diary = sixth_full_diary()
    both = Outing(
        id=an_id(57),
        for_day=FIRST + timedelta(days=8),
        written_at=at(9, 8, 10),
        written_by="person",
        plan_version=2,
        happened_at=at(8, 10),
        what_for="Lifeboat hall",
        knees=(
            OutingKnee(side="left", pain_worst=2, next_morning="as_usual"),
            OutingKnee(side="right", pain_worst=5, next_morning="more_pain"),
        ),
        amount=Amount(label="Walk", unit="min", amount=15.0),
        ended_because="pain",
    )
    return replace(diary, entries=(*diary.entries, both))


def sixth_full_diary() -> Diary:
    """The same with questions of two computers, one chosen over the other, and one that came twice
    with other words; with what was said of the fortnight before, at the clinic and at home; and
    with days away."""
    diary = fifth_full_diary()
    asked = [
        Question(
            id=an_id(number),
            for_day=FIRST + timedelta(days=8),
            written_at=at(8, 12, number),
            written_by="person",
            plan_version=1,
            text=f"May I walk to buoy {number}?",
            machine=an_id(900 + number % 2),
            turn=number,
        )
        for number in (50, 51, 52, 53)
    ]
    asked[1] = replace(asked[1], replaces=asked[0].id)
    asked[2] = replace(asked[2], replaces=asked[0].id, over=(asked[1].id,))
    asked[3] = replace(asked[3], beside=asked[2].id)
    away = Journey(
        id=an_id(56),
        for_day=FIRST + timedelta(days=8),
        written_at=at(8, 13),
        written_by="person",
        plan_version=1,
        first_day=FIRST + timedelta(days=12),
        last_day=FIRST + timedelta(days=15),
        where="Lisk",
        clock_ahead=-5.5,
        home_minutes=60,
        emergency="0700 300",
    )
    before_it_began = (
        Session(
            id=an_id(54),
            for_day=FIRST,
            written_at=at(0, 11, 30),
            written_by="clinic",
            plan_version=2,
            side="right",
            place="clinic",
            ended="finished",
            last_fortnight="worse",
        ),
        DayPage(
            id=an_id(55),
            for_day=FIRST + timedelta(days=8),
            written_at=at(8, 20),
            written_by="person",
            plan_version=2,
            side="left",
            pain_average=2,
            last_fortnight="cannot_tell",
        ),
    )
    return replace(diary, entries=(*diary.entries, *asked, away, *before_it_began))


def fifth_full_diary() -> Diary:
    """The same with an entry that was withdrawn, which version 5 of the format can say."""
    diary = full_diary()
    taught = next(entry for entry in diary.entries if isinstance(entry, ScoringTaught))
    withdrawal = replace(
        taught,
        id=an_id(16),
        written_at=at(0, 18, 55),
        replaces=taught.id,
        withdrawn="written_twice",
    )
    return replace(diary, entries=(*diary.entries, withdrawal))


def full_diary() -> Diary:
    """Two plan versions, every kind of entry, a correction, and a page written on paper."""
    diary = second_full_diary()
    taught = ScoringTaught(
        id=an_id(15),
        for_day=FIRST,
        written_at=at(0, 18, 40),
        written_by="clinic",
        plan_version=1,
        words="0 is nothing at all. 10 is the anchor on the foot.",
    )
    return replace(diary, entries=(*diary.entries, taught))


def second_full_diary() -> Diary:
    """The same as far as version 2 of the format could say it."""
    gate = GateAnswer(
        id=an_id(14),
        for_day=FIRST + timedelta(days=1),
        written_at=at(1, 9, 50),
        written_by="person",
        plan_version=1,
        happened_at=at(1, 9, 50),
        gate="none",
    )
    entries = (
        replace(entry, felt=("itch", "pinching"))
        if isinstance(entry, TapeOff)
        else replace(entry, seat_cm=43)
        if isinstance(entry, Measurement)
        else entry
        for entry in first_full_diary().entries
    )
    return Diary(plans=(small_plan(), full_plan()), entries=(*entries, gate))


def first_full_diary() -> Diary:
    """The same as far as version 1 of the format could say it."""
    page = DayPage(
        id=an_id(1),
        for_day=FIRST,
        written_at=at(0, 20, 5),
        written_by="person",
        plan_version=1,
        side="right",
        form="full",
        pain_now=3,
        pain_average=4,
        pain_worst=7,
        medicine=False,
        skin="clear",
        stiffness_minutes=15,
        swelling="some",
        night_pain=False,
        activities=(ActivityScore(label="Stairs to the flat", score=6),),
        amounts=(Amount(label="Walk", unit="min", amount=12.0),),
        stairs="with_rail",
        note="Wind from the sea, knee stiff. Évie came by.",
    )
    corrected = DayPage(
        id=an_id(2),
        for_day=FIRST,
        written_at=at(1, 9),
        written_by="person",
        plan_version=1,
        replaces=page.id,
        side="right",
        pain_average=5,
        pain_worst=7,
        medicine=True,
    )
    session = Session(
        id=an_id(3),
        for_day=FIRST,
        written_at=at(0, 18, 40),
        written_by="helper",
        plan_version=1,
        side="right",
        happened_at=at(0, 18, 10),
        ended_at=at(0, 18, 40),
        gate="none",
        rest_pain=2,
        depth=Depth(seat_cm=45, arms_used=False),
        moves=(
            MoveScore(role="before", score=7, zones=("inner_edge", "below")),
            MoveScore(role="after_hands", score=5, zones=("inner_edge",)),
            MoveScore(role="after_tape", score=3, stage=1, same_depth=True),
        ),
        rounds=(
            HandsRound(
                steps=(
                    StepDone(step="glide_inward", outcome="done", seconds=62, pain=3),
                    StepDone(step="tilt", outcome="skipped"),
                )
            ),
        ),
        exercises=(StepDone(step="straight_leg_raise", outcome="done", pain=2),),
        stage=1,
        ended="finished",
        reason="target_met",
    )
    tape_on = TapeOn(
        id=an_id(4),
        for_day=FIRST,
        written_at=at(0, 18, 42),
        written_by="helper",
        plan_version=1,
        side="right",
        happened_at=at(0, 18, 30),
        stage=1,
        make="Slate 50",
        by="helper",
        skin_before="clear",
        for_outing=True,
    )
    rest = (
        TapeOff(
            id=an_id(5),
            for_day=FIRST + timedelta(days=1),
            written_at=at(1, 18, 30),
            written_by="helper",
            plan_version=1,
            side="right",
            tape_on=tape_on.id,
            happened_at=at(1, 18),
            skin_at_once="pink",
            skin_after_30_min="clear",
        ),
        Outing(
            id=an_id(6),
            for_day=FIRST + timedelta(days=1),
            written_at=at(1, 12),
            written_by="person",
            plan_version=1,
            happened_at=at(1, 10),
            what_for="Market",
            knees=(
                OutingKnee(side="right", tape_on=tape_on.id, pain_worst=4, next_morning="as_usual"),
            ),
            amount=Amount(label="Walk", unit="min", amount=25.0),
            ended_because="done",
        ),
        PatchTest(
            id=an_id(7),
            for_day=FIRST,
            written_at=at(0, 11),
            written_by="clinic",
            plan_version=1,
            make="Slate 50",
            happened_at=at(0, 10, 30),
            tolerated_in_clinic=True,
        ),
        WarningSign(
            id=an_id(8),
            for_day=FIRST + timedelta(days=3),
            written_at=at(3, 8),
            written_by="person",
            plan_version=1,
            sign="fall",
            card="call_after_fall",
            level="call",
            sides=("right",),
            happened_at=at(3, 7, 30),
        ),
        WarningSign(
            id=an_id(9),
            for_day=FIRST + timedelta(days=4),
            written_at=at(4, 17),
            written_by="person",
            plan_version=1,
            replaces=an_id(8),
            sign="fall",
            card="call_after_fall",
            level="call",
            sides=("right",),
            happened_at=at(3, 7, 30),
            cleared="checked_by_professional",
            cleared_on=FIRST + timedelta(days=4),
            cleared_by="Pellan Harbour clinic",
        ),
        Event(
            id=an_id(10),
            for_day=FIRST + timedelta(days=3),
            written_at=at(3, 8, 5),
            written_by="person",
            plan_version=1,
            what="fall",
            side="right",
            note="Slipped on the quay steps.",
        ),
        Measurement(
            id=an_id(11),
            for_day=FIRST,
            written_at=at(0, 11, 20),
            written_by="clinic",
            plan_version=1,
            count=9,
            arms_used=True,
        ),
        Question(
            id=an_id(12),
            for_day=FIRST + timedelta(days=8),
            written_at=at(8, 9),
            written_by="person",
            plan_version=2,
            text="May I kneel in the boat?",
        ),
        DayPage(
            id=an_id(13),
            for_day=FIRST + timedelta(days=5),
            written_at=at(20, 9),
            written_by="paper",
            plan_version=2,
            side="left",
            pain_average=0,
            tape_worn=False,
            tape_stage=0,
            hands_done=True,
            exercise_done=False,
        ),
    )
    return Diary(
        plans=(small_plan(), first_full_plan()), entries=(page, corrected, session, tape_on, *rest)
    )
