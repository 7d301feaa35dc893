"""Ten weeks or a few more, or ten years, of one invented person, day by day.

What a session does next is asked of `care.course`, the stage it starts at of
`care.starting_stage`: nobody here does what the plan would not have said. Wear, rest, the patch
test, a tape trial and the locks of a warning are kept as the plan has them, except where a person's
story says otherwise.
"""

import dataclasses
import math
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any, Literal

from companion.care.adherence import RoutinePart
from companion.care.bad_days import rest_pain_limit
from companion.care.catalogue import Catalogue
from companion.care.course import Course, Decision, decide
from companion.care.records import (
    ActivityScore,
    Amount,
    AnyEntry,
    CautionAnswer,
    DayPage,
    Diary,
    Event,
    GateReply,
    HandsRound,
    KnownReply,
    Measurement,
    MoveScore,
    Outing,
    OutingKnee,
    PatchTest,
    Plan,
    Question,
    Session,
    SessionEnd,
    Skin,
    StairsWay,
    StepDone,
    TapeOff,
    TapeOn,
    WarningSign,
    WrittenBy,
    Zone,
)
from companion.care.starting_stage import starting_stage
from companion.care.step_limits import step_limit
from companion.care.trial_schedule import TrialPeriod, planned
from companion.wire.sign_off import signed
from demo_profiles.chance import Dice, Swing, later, minutes_of, score_0_10, town_time
from demo_profiles.people import CLINICIAN, REGISTRATION, TAPE_MAKE, Happenings, Knee, Person

CYCLE_DAYS = 182
"""In a long diary the person's ten weeks come round again every half-year."""
COURSE_DAYS = 70
WEEKDAYS_OF = {
    3: (0, 2, 4),
    4: (0, 2, 4, 5),
    5: (0, 1, 3, 4, 5),
    6: (0, 1, 2, 3, 4, 5),
    7: (0, 1, 2, 3, 4, 5, 6),
}
"""Days a week -> which days, counted from the first day of the diary."""
CLINIC_AT = 10 * 60 + 40
EVENING = 21 * 60
MORNING = 8 * 60
BARE_BEFORE_TRIAL = timedelta(days=4)
"""Tape put on later than this would still be due on a day of the trial."""


@dataclass(slots=True, kw_only=True)
class TapeNow:
    """Tape that is on a knee: the entry that put it on, and when it will come off."""

    entry: TapeOn
    off_at: datetime
    after: Literal["clear", "pink", "red"]
    lost: bool | None = None
    """Whether it came off by itself; None is left to chance."""


@dataclass(slots=True, kw_only=True)
class KneeNow:
    """What is true of one knee today."""

    model: Knee
    swing: Swing
    pain: float = 0.0
    tape: TapeNow | None = None
    wears: int = 0
    bare_until: datetime | None = None
    skin_red_until: int | None = None
    tape_refused: bool = False
    taped_sessions: deque[Session] = field(default_factory=lambda: deque(maxlen=3))
    """The last three: the starting stage looks no further back."""


def keep(person: Person, catalogue: Catalogue, years: int | None = None) -> Diary:
    """The diary of `person`: their own weeks, or `years` years that end on the same day."""
    return _Keeping(person, catalogue, years).diary()


def plans_of(person: Person, catalogue: Catalogue, first_day: date) -> tuple[Plan, ...]:
    """Every plan version from `first_day` to the person's last day, signed."""
    moved = first_day - person.first_plan.written_on
    plan = _taught_on(person.first_plan, moved)
    plan = dataclasses.replace(
        plan,
        cautions=_cautions(person, catalogue, plan.written_on),
        caution_list=catalogue.cautions.version,
    )
    changes = dict(person.next_plans)
    total_days = (person.last_day - first_day).days
    plans = [plan]
    for day in range(1, total_days + 1):
        in_cycle = day % CYCLE_DAYS
        change = dict(changes.get(day, {}))
        if moved:
            change.pop("trial", None)  # it was drawn for days of its own
        if not change and in_cycle != 0:
            continue
        length = plan.review_on - plan.written_on
        written_on = first_day + timedelta(days=day)
        if "review_on" in change:
            change["review_on"] += moved
        else:
            change["review_on"] = written_on + length
        plan = dataclasses.replace(plan, version=plan.version + 1, written_on=written_on, **change)
        plans.append(plan)
    return tuple(
        signed(p, CLINICIAN, REGISTRATION, town_time(p.written_on, CLINIC_AT + 45)) for p in plans
    )


def _taught_on(plan: Plan, moved: timedelta) -> Plan:
    """The plan with all its days moved, for a diary that begins earlier."""
    return dataclasses.replace(
        plan,
        written_on=plan.written_on + moved,
        review_on=plan.review_on + moved,
        techniques=tuple(
            dataclasses.replace(t, taught_on=plan.written_on + moved) for t in plan.techniques
        ),
        exercises=tuple(
            dataclasses.replace(e, taught_on=plan.written_on + moved) for e in plan.exercises
        ),
        known_signs=tuple(
            dataclasses.replace(
                known,
                since=known.since + moved,
                review_by=None if known.review_by is None else known.review_by + moved,
            )
            for known in plan.known_signs
        ),
    )


def _cautions(person: Person, catalogue: Catalogue, on: date) -> tuple[CautionAnswer, ...]:
    return tuple(
        CautionAnswer(caution=caution.id, answer=caution.id in person.cautions, on=on)
        for caution in catalogue.cautions.cautions
    )


class _Keeping:
    """One diary in the making."""

    def __init__(self, person: Person, catalogue: Catalogue, years: int | None) -> None:
        self.person = person
        self.catalogue = catalogue
        self.last_day = person.last_day
        self.first_day = person.first_plan.written_on
        if years is not None:
            self.first_day = self.last_day.replace(year=self.last_day.year - years)
        self.plans = plans_of(person, catalogue, self.first_day)
        self.dice = Dice(person.seed)
        self.knees = tuple(
            KneeNow(model=knee, swing=Swing(self.dice, knee.spread, knee.lag1))
            for knee in person.knees
        )
        self.entries: list[AnyEntry] = []
        self.plan = self.plans[0]
        self.day = self.first_day
        self.number = 0
        """Days since the first day."""
        self.full_list_on: date | None = None
        self.page_on: date | None = None
        self.patch: PatchTest | None = None
        self.patch_clear_at: datetime | None = None
        self.open_outing: Outing | None = None
        self.open_warning: WarningSign | None = None
        self.mistyped: list[tuple[DayPage, int]] = []
        self.locked = False
        self.waiting_pages: dict[int, list[DayPage]] = {}

    # ------------------------------------------------------------ the days

    def diary(self) -> Diary:
        for number in range((self.last_day - self.first_day).days + 1):
            self.number = number
            self.day = self.first_day + timedelta(days=number)
            new_plan = [plan for plan in self.plans if plan.written_on == self.day]
            if new_plan:
                self.plan = new_plan[-1]
            self._one_day(clinic=bool(new_plan))
        self.entries.sort(key=lambda entry: (entry.written_at, entry.id))
        return Diary(plans=self.plans, entries=tuple(self.entries))

    def _one_day(self, clinic: bool) -> None:
        for knee in self.knees:
            knee.pain = self._pain_of_today(knee)
        self._morning()
        self._warnings()
        silent = self._cycle_day in self.happenings.silent
        self._take_off(before=town_time(self.day, self._hands_minute(clinic)))
        if clinic:
            self._clinic()
        if not silent:
            self._patch_test()
            self._trial_tape()
            self._sessions(clinic)
            self._go_out(clinic)
        self._take_off(before=town_time(self.day, 23 * 60 + 30))
        self._said()
        if not silent:
            self._pages()

    @property
    def happenings(self) -> Happenings:
        return self.person.happenings

    @property
    def _cycle_day(self) -> int:
        return self.number % CYCLE_DAYS

    def _level(self, knee: Knee) -> float:
        """First level to last in ten weeks; in a long diary slowly back before the next turn."""
        day = self._cycle_day
        if day <= COURSE_DAYS:
            share = day / COURSE_DAYS
        else:
            share = 1.0 - (day - COURSE_DAYS) / (CYCLE_DAYS - COURSE_DAYS)
        return knee.level_first + (knee.level_last - knee.level_first) * share

    def _pain_of_today(self, knee: KneeNow) -> float:
        rise = sum(
            flare.rise
            for flare in self.happenings.flares
            if flare.first <= self._cycle_day < flare.first + flare.days
        )
        if self._tape_day:
            rise -= knee.model.tape_takes
        return min(10.0, max(0.0, self._level(knee.model) + knee.swing.next_day() + rise))

    # ------------------------------------------------------------ a tape trial

    @property
    def _period(self) -> TrialPeriod | None:
        """The period of the plan's tape trial that today is in."""
        return None if self.plan.trial is None else planned(self.plan.trial).due(self.day)

    @property
    def _tape_lost(self) -> bool:
        period = self._period
        return period is not None and period.pair == self.happenings.tape_lost_in_pair

    @property
    def _tape_day(self) -> bool:
        """True on a day of the trial on which tape is worn."""
        period = self._period
        if period is None or period.arm == "no_tape" or self.day == period.bare_day:
            return False
        return not (self._tape_lost and self.day == period.last_day)

    @property
    def _trial_decides(self) -> bool:
        """True while the trial alone says when tape goes on, and so shortly before it."""
        trial = self.plan.trial
        if trial is None:
            return False
        return trial.first_day - BARE_BEFORE_TRIAL <= self.day <= planned(trial).last_day

    def _trial_tape(self) -> None:
        """Tape on in the morning of the first scored day, off in the evening of the last."""
        period = self._period
        if period is None or period.arm == "no_tape" or self.day != period.scored_days[0]:
            return
        knee = self.knees[0]
        self._put_on(knee, town_time(self.day, self.person.hands_at - 30), 1, "person")
        assert knee.tape is not None
        minutes = MORNING + 10 if self._tape_lost else EVENING - self.dice.whole(20, 80)
        knee.tape.off_at = town_time(period.last_day, minutes)
        knee.tape.after = "pink" if period.pair == self.happenings.pink_in_pair else "clear"
        knee.tape.lost = self._tape_lost

    # ------------------------------------------------------------ small parts of a day

    def _morning(self) -> None:
        """What is written before breakfast: corrections of yesterday."""
        if self.open_outing is not None:
            pain = self.knees[0].pain
            (told,) = self.open_outing.knees
            before = told.pain_worst or 0
            feels: Literal["as_usual", "more_pain", "less_pain"] = "as_usual"
            if pain > before:
                feels = "more_pain"
            self._add(
                dataclasses.replace(
                    self.open_outing,
                    id=self.dice.entry_id(),
                    replaces=self.open_outing.id,
                    written_at=town_time(self.day, MORNING + self.dice.whole(5, 50)),
                    knees=(dataclasses.replace(told, next_morning=feels),),
                )
            )
            self.open_outing = None
        for page, average in self.mistyped:
            self._add(
                dataclasses.replace(
                    page,
                    id=self.dice.entry_id(),
                    replaces=page.id,
                    written_at=town_time(self.day, MORNING + 20),
                    pain_average=average,
                )
            )
        self.mistyped = []

    def _warnings(self) -> None:
        for trouble in self.happenings.troubles:
            if trouble.day == self._cycle_day:
                at = town_time(self.day, MORNING + 35)
                sign = self.catalogue.sign(trouble.sign)
                self.open_warning = WarningSign(
                    id=self.dice.entry_id(),
                    for_day=self.day,
                    written_at=at,
                    written_by="person",
                    plan_version=self.plan.version,
                    sign=sign.id,
                    card=sign.card,
                    level=sign.level,
                    sides=(trouble.side,),
                    happened_at=at,
                )
                self._add(self.open_warning)
                self.locked = True
                self.full_list_on = None  # after any card the full list comes again
            cleared = trouble.day + trouble.cleared_after == self._cycle_day
            if cleared and self.open_warning is not None:
                self._add(
                    dataclasses.replace(
                        self.open_warning,
                        id=self.dice.entry_id(),
                        replaces=self.open_warning.id,
                        written_at=town_time(self.day, 11 * 60 + 20),
                        cleared="checked_by_professional",
                        cleared_on=self.day,
                        cleared_by=trouble.cleared_by,
                    )
                )
                self.open_warning = None
        if self.open_warning is None and self._cycle_day not in {
            trouble.day + trouble.cleared_after for trouble in self.happenings.troubles
        }:
            self.locked = False

    def _said(self) -> None:
        """Events, questions and the chair stand that comes every four weeks."""
        if self._cycle_day in {28, 56}:
            self._chair_stand(town_time(self.day, 16 * 60 + 30), "person")
        event = self.happenings.events.get(self._cycle_day)
        if event is not None:
            what, note = event
            self._add(
                Event(
                    id=self.dice.entry_id(),
                    for_day=self.day,
                    written_at=town_time(self.day, 17 * 60 + 10),
                    written_by="person",
                    plan_version=self.plan.version,
                    what=what,
                    note=note,
                )
            )
        question = self.happenings.questions.get(self._cycle_day)
        if question is not None:
            by, text = question
            self._add(
                Question(
                    id=self.dice.entry_id(),
                    for_day=self.day,
                    written_at=town_time(self.day, 20 * 60 + 15),
                    written_by=by,
                    plan_version=self.plan.version,
                    text=text,
                )
            )

    def _clinic(self) -> None:
        """What the clinic writes itself: the chair stand and, in some plans, the patch test."""
        at = town_time(self.day, CLINIC_AT - 15)
        self._chair_stand(at, "clinic")
        tape = self.plan.tape
        if self.number == 0 and tape.highest > 0 and tape.patch_test == "tolerated_in_clinic":
            self._add(
                PatchTest(
                    id=self.dice.entry_id(),
                    for_day=self.day,
                    written_at=at,
                    written_by="clinic",
                    plan_version=self.plan.version,
                    make=tape.make or TAPE_MAKE,
                    happened_at=at,
                    tolerated_in_clinic=True,
                )
            )
            self.patch_clear_at = at

    def _chair_stand(self, at: datetime, by: WrittenBy) -> None:
        first, last = self.person.chair_stands
        share = min(1.0, self._cycle_day / COURSE_DAYS)
        self._add(
            Measurement(
                id=self.dice.entry_id(),
                for_day=self.day,
                written_at=at,
                written_by=by,
                plan_version=self.plan.version,
                count=first + math.floor((last - first) * share + 0.5),
                arms_used=bool(self.plan.check_move.depth.arms_used),
                seat_cm=self.plan.check_move.depth.seat_cm if by == "person" else None,
            )
        )

    def _patch_test(self) -> None:
        """Placed on the first evening, read after one day and after two and a half."""
        tape = self.plan.tape
        if tape.highest == 0 or tape.patch_test != "at_home":
            return
        if self.number == 0:
            at = town_time(self.day, 19 * 60)
            self.patch = PatchTest(
                id=self.dice.entry_id(),
                for_day=self.day,
                written_at=at,
                written_by="person",
                plan_version=self.plan.version,
                make=tape.make or TAPE_MAKE,
                happened_at=at,
            )
            self._add(self.patch)
        elif self.number in {1, 3} and self.patch is not None:
            first = self.number == 1
            at = town_time(self.day, 19 * 60 + 30 if first else 8 * 60 + 30)
            read = dataclasses.replace(
                self.patch, id=self.dice.entry_id(), replaces=self.patch.id, written_at=at
            )
            if first:
                read = dataclasses.replace(read, first_read_at=at, first_skin="clear")
            else:
                read = dataclasses.replace(read, second_read_at=at, second_skin="clear")
                self.patch_clear_at = at
            self.patch = read
            self._add(read)

    # ------------------------------------------------------------ tape

    def _tape_gate(self, knee: KneeNow, at: datetime) -> Literal["ok", "blocked"]:
        allowed = (
            self.plan.tape.highest > 0
            and knee.tape is None
            and not knee.tape_refused
            and self.patch_clear_at is not None
            and at >= self.patch_clear_at
            and (knee.bare_until is None or at >= knee.bare_until)
            and not self._trial_decides
            and self._somebody_reaches
            and not self._away_or_at_the_clinic_soon
        )
        return "ok" if allowed else "blocked"

    @property
    def _away_or_at_the_clinic_soon(self) -> bool:
        """True before days away, and before a visit: the knee comes to the clinic bare."""
        silent = self.happenings.silent
        return any(self._cycle_day <= day <= self._cycle_day + 5 for day in silent) or any(
            timedelta(0) < plan.written_on - self.day <= timedelta(days=4) for plan in self.plans
        )

    @property
    def _somebody_reaches(self) -> bool:
        """True where the person reaches both sides of the knee, or the helper is there."""
        return self._in_clinic or not self.person.helper_weekdays or self._helper_is_there

    @property
    def _in_clinic(self) -> bool:
        return self.day == self.plan.written_on

    @property
    def _helper_is_there(self) -> bool:
        return self.day.weekday() in self.person.helper_weekdays

    def _by(self, clinic: bool) -> WrittenBy:
        if clinic:
            return "clinic"
        return "helper" if self._helper_is_there else "person"

    def _put_on(
        self, knee: KneeNow, at: datetime, stage: int, by: WrittenBy, outing: bool = False
    ) -> TapeOn:
        """Write that tape went on, and settle when it comes off."""
        entry = TapeOn(
            id=self.dice.entry_id(),
            for_day=self.day,
            written_at=later(at, 1 / 60),
            written_by=by,
            plan_version=self.plan.version,
            side=knee.model.side,
            happened_at=at,
            stage=stage,
            make=self.plan.tape.make,
            by="person" if by == "paper" else by,
            skin_before="clear",
            for_outing=outing,
        )
        self._add(entry)
        if knee.tape is not None:
            knee.tape.entry = entry
            return entry
        knee.wears += 1
        after: Literal["clear", "pink", "red"] = "pink" if self.dice.happens(0.12) else "clear"
        if knee.wears in self.person.skin_reactions:
            after = "red"
        knee.tape = TapeNow(entry=entry, off_at=self._comes_off(knee, at, outing), after=after)
        return entry

    def _comes_off(self, knee: KneeNow, on_at: datetime, outing: bool) -> datetime:
        """When the tape comes off: by day, and before the plan's hours are over."""
        tape = self.plan.tape
        if outing:
            return town_time(self.day, 19 * 60 + self.dice.whole(0, 60))
        hours = {1: tape.first_wear_hours, 2: tape.second_wear_hours}.get(
            knee.wears, tape.wear_hours
        )
        too_long = knee.wears in self.person.wear_too_long
        if too_long:
            return later(on_at, hours + 26 + self.dice.whole(0, 60) / 60)
        if self.person.keeps_tape < 1.0:
            hours = min(hours, round(hours * self.dice.bell(self.person.keeps_tape, 0.12)))
        off_at = later(on_at, hours - self.dice.whole(10, 90) / 60)
        minutes = minutes_of(off_at)
        evening = EVENING - self.dice.whole(20, 80)
        if minutes < MORNING:
            return town_time(off_at.date() - timedelta(days=1), evening)
        return town_time(off_at.date(), evening) if minutes > evening else off_at

    def _take_off(self, before: datetime) -> None:
        for knee in self.knees:
            if knee.tape is not None and knee.tape.off_at < before:
                self._tape_off(knee)

    def _tape_off(self, knee: KneeNow) -> None:
        tape = knee.tape
        if tape is None:
            return
        worse = tape.after == "red"
        at_once: Skin = "red" if worse else tape.after
        after_30_min: Skin = "itchy" if worse else "clear"
        off = TapeOff(
            id=self.dice.entry_id(),
            for_day=tape.off_at.date(),
            written_at=later(tape.off_at, 2 / 60),
            written_by="helper" if tape.entry.by == "helper" else "person",
            plan_version=self.plan.version,
            side=knee.model.side,
            tape_on=tape.entry.id,
            happened_at=tape.off_at,
            came_off_by_itself=not worse and self.dice.happens(0.06)
            if tape.lost is None
            else tape.lost,
            skin_at_once=at_once,
        )
        self._add(off)
        self._add(
            dataclasses.replace(  # the look after half an hour
                off,
                id=self.dice.entry_id(),
                replaces=off.id,
                written_at=later(tape.off_at, self.dice.whole(31, 44) / 60),
                skin_after_30_min=after_30_min,
            )
        )
        knee.bare_until = later(tape.off_at, self.plan.tape.rest_hours)
        knee.tape = None
        if worse:
            knee.skin_red_until = self.number + 3
            knee.tape_refused = True

    # ------------------------------------------------------------ the session

    def _hands_minute(self, clinic: bool) -> int:
        return CLINIC_AT if clinic else self.person.hands_at

    def _sessions(self, clinic: bool) -> None:
        """Today's session of each knee: hands where due and bare, exercise where due."""
        if self.locked and not clinic:
            return
        weekday = self.number % 7
        hands_due = weekday in WEEKDAYS_OF[self.plan.hands_days_a_week]
        period = self._period
        if period is not None:  # hands rest on scored days, in both arms
            hands_due = self.day == period.bare_day
        exercise_due = weekday in WEEKDAYS_OF[self.plan.exercise_days_a_week]
        hands = clinic or (hands_due and self.dice.happens(self.person.keeps_hands))
        exercise = clinic or (exercise_due and self.dice.happens(self.person.keeps_exercise))
        at = town_time(self.day, self._hands_minute(clinic))
        if not clinic:
            at = later(at, self.dice.whole(0, 25) / 60)
        for knee in self.knees:
            taped = knee.tape is not None
            if not (hands and not taped) and not exercise:
                continue
            making = _Making(self, knee, at, clinic)
            session = making.session(hands=hands and not taped, exercise=exercise)
            if session is None:
                continue
            if clinic and self.number == 0:
                said = self.person.last_fortnight
                session = dataclasses.replace(session, last_fortnight=said)
            self._add(session)
            if session.stage:
                knee.taped_sessions.append(session)
            if session.ended_at is not None:
                at = later(session.ended_at, 3 / 60)

    def gate_given(self, knee: KneeNow, clinic: bool) -> dict[str, Any]:
        """What was answered at the gate of a session at home, where that is written."""
        if clinic or not self.person.answers_gate:
            return {}
        earlier = any(
            isinstance(entry, Session) and entry.side == knee.model.side for entry in self.entries
        )
        more = self._cycle_day in self.happenings.more_next_morning and knee is self.knees[0]
        return {
            "gate_replies": tuple(
                GateReply(question=question, said="no") for question in (1, 2, 3, 4)
            ),
            "known_replies": tuple(
                KnownReply(sign=known.sign, said="as_before") for known in self.plan.known_signs
            ),
            "after_last": ("more_next_morning" if more else "same") if earlier else None,
        }

    def full_list_due(self) -> bool:
        """The full stop list comes at first use, with a new plan, and weekly."""
        due = (
            self.full_list_on is None
            or self.day == self.plan.written_on
            or (self.day - self.full_list_on).days >= 7
        )
        if due:
            self.full_list_on = self.day
        return due

    # ------------------------------------------------------------ outings

    def _go_out(self, clinic: bool) -> None:
        what_for = self.person.outing
        if what_for is None or clinic or self.locked:
            return
        if not self.dice.happens(self.person.outings_a_week / 7.0):
            return
        knee = self.knees[0]
        taped_at = town_time(self.day, 11 * 60 + self.dice.whole(10, 40))
        if knee.tape is None and self._tape_gate(knee, taped_at) == "blocked":
            return
        if knee.tape is not None and knee.tape.off_at < later(taped_at, 4):
            return
        if knee.tape is None:
            self._put_on(knee, taped_at, self.plan.tape.start, "person", outing=True)
        assert knee.tape is not None
        left_at = later(taped_at, 1 + self.dice.whole(5, 50) / 60)
        worst = score_0_10(self.dice.bell(knee.pain, 0.7))
        planned = self.plan.amounts[0]
        self.open_outing = Outing(
            id=self.dice.entry_id(),
            for_day=self.day,
            written_at=later(left_at, 2.5),
            written_by="person",
            plan_version=self.plan.version,
            happened_at=left_at,
            what_for=what_for,
            knees=(OutingKnee(side=knee.model.side, tape_on=knee.tape.entry.id, pain_worst=worst),),
            amount=Amount(label=planned.label, unit=planned.unit, amount=self._amount()),
            ended_because="pain" if worst > 6 else "done",
        )
        self._add(self.open_outing)

    def _amount(self) -> float:
        """About what pacing sets for this week: 80 % of the baseline, then a step a week."""
        planned = self.plan.amounts[0]
        weeks = self._cycle_day // 7
        share = min(0.8 + planned.step_percent / 100 * weeks, planned.goal / planned.baseline)
        done = planned.baseline * share * self.dice.bell(0.97, 0.06)
        step = 10 if planned.baseline >= 100 else 1
        return float(max(step, step * math.floor(done / step)))

    # ------------------------------------------------------------ the day page

    def _pages(self) -> None:
        written = self.happenings.filled_in.get(self._cycle_day)
        if written is None and not self.dice.happens(self.person.keeps_pages):
            return
        if written is not None:
            wait = written - self._cycle_day
            at = town_time(self.day + timedelta(days=wait), 19 * 60 + self._cycle_day % 30)
        elif self.dice.happens(0.07) and self.day < self.last_day:
            at = town_time(self.day + timedelta(days=1), MORNING + self.dice.whole(0, 45))
        else:
            at = town_time(self.day, 20 * 60 + self.dice.whole(0, 55))
        full = self._full_page()
        if full:
            self.page_on = self.day
        for index, knee in enumerate(self.knees):
            page = self._page(knee, at, full=full, main=index == 0)
            typed = self.happenings.mistyped.get(self._cycle_day)
            if index == 0 and typed is not None and page.pain_average is not None:
                self.mistyped.append((page, page.pain_average))
                page = dataclasses.replace(page, pain_average=typed)
                self.mistyped[-1] = (page, self.mistyped[-1][1])
            self._add(page)
            at = later(at, 2 / 60)

    def _full_page(self) -> bool:
        """Full for the first fourteen days and from fourteen before review, weekly between."""
        return (
            self.number < 14
            or self.page_on is None
            or (self.day - self.page_on).days >= 7
            or self.day >= self.plan.review_on - timedelta(days=14)
        )

    def _page(self, knee: KneeNow, at: datetime, *, full: bool, main: bool) -> DayPage:
        average = score_0_10(knee.pain)
        worst = min(10, average + self.dice.pick((1, 1, 1, 2, 2, 3)))
        sore = knee.pain >= knee.model.level_first + 2.0
        skin: Skin | None = None
        if knee.tape is not None:
            skin = "clear"
        elif knee.skin_red_until is not None:
            skin = "pink" if self.number == knee.skin_red_until else "itchy"
            if self.number > knee.skin_red_until:
                skin = "clear"
                knee.skin_red_until = None
        page = DayPage(
            id=self.dice.entry_id(),
            for_day=self.day,
            written_at=at,
            written_by="person",
            plan_version=self.plan.version,
            side=knee.model.side,
            form="full" if full else "short",
            pain_average=average,
            pain_worst=worst if self.dice.happens(0.97) else None,
            skin=skin,
        )
        asked_daily = self.plan.primary_question == "activities"
        if main:
            note, private = self.happenings.notes.get(self._cycle_day, (None, False))
            page = dataclasses.replace(
                page,
                medicine=self.dice.happens(0.85 if sore else self.person.medicine),
                note=note,
                note_private=private,
                activities=self._activities(knee) if full or asked_daily else (),
            )
        if full:
            page = dataclasses.replace(
                page,
                pain_now=min(worst, score_0_10(self.dice.bell(knee.pain - 0.4, 0.7))),
                stiffness_minutes=5 * self.dice.whole(1, 3 + average // 2),
                swelling=("much" if sore else "some") if knee.pain > 4.5 else "none",
                night_pain=sore or (average >= 6 and self.dice.happens(0.3)),
            )
        if full and main:
            planned = self.plan.amounts[0]
            done = Amount(label=planned.label, unit=planned.unit, amount=self._amount())
            page = dataclasses.replace(page, amounts=(done,), stairs=self._stairs(average))
        return page

    def _activities(self, knee: KneeNow) -> tuple[ActivityScore, ...]:
        """Higher is better: what pain leaves, each activity a little differently hard."""
        return tuple(
            ActivityScore(
                label=label, score=score_0_10(self.dice.bell(10.0 - knee.pain - 0.4 * index, 0.5))
            )
            for index, label in enumerate(self.plan.activities)
        )

    def _stairs(self, average: int) -> StairsWay:
        if average >= 8:
            return "avoided"
        if average >= 6:
            return "one_at_a_time"
        return "with_rail" if average >= 3 else "in_turn"

    def _add(self, entry: AnyEntry) -> None:
        self.entries.append(entry)


class _Making:
    """One session in the making: its clock, its moves, its steps."""

    def __init__(self, keeping: _Keeping, knee: KneeNow, at: datetime, clinic: bool) -> None:
        self.keeping = keeping
        self.plan = keeping.plan
        self.dice = keeping.dice
        self.knee = knee
        self.started = at
        self.at = at
        self.clinic = clinic
        self.rest_pain = score_0_10(self.dice.bell(knee.pain - 2.4, 0.5))
        self.moves: list[MoveScore] = []
        self.rounds: list[HandsRound] = []
        self.exercises: list[StepDone] = []
        self.stage: int | None = None
        self.ended: SessionEnd = "finished"

    def session(self, *, hands: bool, exercise: bool) -> Session | None:
        """The whole session, or None when nothing of it is for today."""
        if self._sore_at_rest:
            hands = False
        if not hands and not exercise:
            return None
        self.at = later(self.at, 2 / 60)
        if hands:
            reason = self._scored(exercise)
        else:
            self._do_exercises()
            reason = "exercise_only"
        by = self.keeping._by(self.clinic)
        return Session(
            id=self.dice.entry_id(),
            for_day=self.keeping.day,
            written_at=self.at,
            written_by=by,
            plan_version=self.plan.version,
            side=self.knee.model.side,
            happened_at=self.started,
            ended_at=self.at,
            place="clinic" if self.clinic else "home",
            gate="none",
            full_list=self.keeping.full_list_due(),
            **self.keeping.gate_given(self.knee, self.clinic),
            rest_pain=self.rest_pain,
            depth=self.plan.check_move.depth if self.moves else None,
            moves=tuple(self.moves),
            rounds=tuple(self.rounds),
            exercises=tuple(self.exercises),
            stage=self.stage,
            ended=self.ended,
            reason=reason,
        )

    def _scored(self, exercise: bool) -> str | None:
        """The part with check moves; what comes next is the rule's to say."""
        knee = self.knee
        start = starting_stage(self.plan, knee.model.side, knee.taped_sessions)
        course = Course.from_plan(self.plan, start=max(start, 1))
        before = self._move(
            "before", score_0_10(self.dice.bell(knee.pain + knee.model.move_adds, 0.5))
        )
        if self.plan.bad_day_mark is not None and before >= self.plan.bad_day_mark:
            self._round()
            if exercise:
                self._do_exercises(bad=True)
            return "bad_day"
        gate = self.keeping._tape_gate(knee, later(self.at, 0.5))
        exercised = not exercise
        for decision in self._decisions(course, before, gate):
            if decision.action == "hands_round":
                self._round()
                if not self.clinic and self.dice.happens(self.keeping.person.leaves):
                    self.ended = "left"
                    return None
                self._move("after_hands", self._eased(knee.model.eased_by_hands))
                continue
            if decision.action in {"finish", "tape_stage"} and not exercised:
                exercised = True
                self._do_exercises()
            if decision.action == "tape_stage":
                self._tape(decision.stage or 1)
                if not decision.scored:
                    return "tape_on_unscored"
                share = knee.model.eased_by_strips
                if decision.stage == 2:
                    share = knee.model.eased_by_short_pieces
                self._move("after_tape", self._eased(share), decision.stage)
                continue
            if decision.action == "tape_off_end":
                self.at = later(self.at, 4 / 60)
                if knee.tape is not None:
                    knee.tape.off_at = self.at
                    self.keeping._tape_off(knee)
                self.stage = 0
            if decision.action != "finish":
                self.ended = "stopped"
            return decision.reason
        return None

    def _decisions(
        self, course: Course, before: int, gate: Literal["ok", "blocked"]
    ) -> Iterator[Decision]:
        """What the rule says after each score, as long as it is asked."""
        while True:
            yield decide(
                course,
                before,
                tuple(move.score for move in self.moves if move.role == "after_hands"),
                tuple((m.stage or 0, m.score) for m in self.moves if m.role == "after_tape"),
                tape_gate=gate,
                moves_used=len(self.moves),
            )

    def _eased(self, share: float) -> int:
        return score_0_10(self.moves[-1].score * (1.0 - self.dice.bell(share, 0.1)))

    def _move(
        self,
        role: Literal["before", "after_hands", "after_tape"],
        score: int,
        stage: int | None = None,
    ) -> int:
        self.at = later(self.at, self.dice.whole(60, 110) / 3600)
        sore: tuple[Zone, ...] = self.knee.model.zones[: (score + 2) // 3] if score > 0 else ()
        self.moves.append(
            MoveScore(
                role=role,
                score=score,
                zones=sore,
                stage=stage,
                same_depth=None if role == "before" else True,
            )
        )
        return score

    @property
    def _sore_at_rest(self) -> bool:
        return self.rest_pain > rest_pain_limit(self.plan)

    def _step(self, part: RoutinePart, name: str, seconds: int) -> StepDone:
        """One step; pain past the plan's limits stops it."""
        pain = score_0_10(self.dice.bell(self.rest_pain + 0.5, 0.6))
        stopped = pain > step_limit(part, self.plan, self.rest_pain).most
        if stopped:
            seconds = max(5, seconds // 2)
        self.at = later(self.at, (seconds + self.dice.whole(5, 15)) / 3600)
        return StepDone(
            step=name, outcome="stopped" if stopped else "done", seconds=seconds, pain=pain
        )

    def _round(self) -> None:
        techniques = self.plan.techniques
        if self.rounds:  # a second round begins where it still hurts
            sore = set(self.moves[-1].zones)
            sheets = self.keeping.catalogue
            techniques = tuple(
                sorted(
                    techniques, key=lambda t: not sore & set(sheets.technique(t.technique).zones)
                )
            )
        self.rounds.append(
            HandsRound(
                steps=tuple(
                    self._step("hands", t.technique, t.seconds * t.repeats) for t in techniques
                )
            )
        )

    def _do_exercises(self, *, bad: bool = False) -> None:
        for exercise in self.plan.exercises:
            seconds = exercise.repeats * exercise.sets * (exercise.hold_seconds + 4)
            began = self.at
            done = self._step("exercise", exercise.exercise, seconds)
            standing = self.keeping.catalogue.exercise(exercise.exercise).standing
            if standing and (bad or self._sore_at_rest):
                self.at = began  # left out; what chance drew for it is drawn all the same
                continue
            self.exercises.append(done)

    def _tape(self, stage: int) -> None:
        """Tape on, from what is on: short pieces added to side strips are an entry of their own."""
        self.at = later(self.at, self.dice.whole(240, 420) / 3600)
        self.keeping._put_on(self.knee, self.at, stage, self.keeping._by(self.clinic))
        self.at = later(self.at, 1 / 60)
        self.stage = stage
