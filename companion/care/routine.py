"""Today's routine, page by page: the session a plan prescribes, from the short gate to the end.

The walk below reads as the routine is taught. It decides nothing by itself: what comes after a
score is `course.decide`, what stops a step is `step_limits`, what a sign locks is the stop list.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any, Literal

from companion.care.catalogue import Catalogue, Lock
from companion.care.course import Course, Decision, decide_from, standing
from companion.care.flow import Given, Walk
from companion.care.records import (
    Depth,
    Exercise,
    HandsRound,
    MoveRole,
    MoveScore,
    Plan,
    Record,
    SessionEnd,
    Side,
    StepDone,
    Technique,
    Zone,
)
from companion.care.sore_zones import opens_stop_list, round_order
from companion.care.step_limits import StepStop, leave_out_standing, stop_step
from companion.care.stopping import (
    Ended,
    GatePage,
    OpenSignPage,
    SignTicked,
    locked,
    stop_list_walk,
)
from companion.care.taping import (
    NoTapePage,
    TapeTakenOffPage,
    tape_questions,
    tape_steps,
)

HandsOff = Literal[
    "locked", "done_today", "tape_on", "resting", "not_in_plan", "skin", "rest_pain", "caution"
]
ExerciseOff = Literal["locked", "not_in_plan", "caution", "resting"]
StandingOff = Literal["easy_day", "sign"]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoutineStart(Record):
    """What held when the routine began. It is kept with the answers, so that a walk taken up
    later (tape is on by then) replays as it was.

    `open_signs` are those to ask about again: broken skin, unwell, and what was to be
    called about. `starting_stage` 0 is no tape. `tape_off` holds the reasons, known before
    anything is asked, why no tape goes on today.
    """

    side: Side
    list_reason: str | None = None
    asked_signs: tuple[str, ...] = ()
    open_signs: tuple[str, ...] = ()
    hands_off: HandsOff | None = None
    exercise_off: ExerciseOff | None = None
    standing_off: StandingOff | None = None
    lightest_hands: bool = False
    wearing_stage: int = 0
    starting_stage: int = 0
    tape_off: tuple[str, ...] = ()
    helper_needed: bool = False
    known_zones: tuple[Zone, ...] = ()
    techniques: tuple[Technique, ...] = ()
    exercises: tuple[Exercise, ...] = ()


# ---------------------------------------------------------------- pages


@dataclass(frozen=True, slots=True, kw_only=True)
class RestPainPage:
    """Pain at rest. Given: `score`."""

    key: str = "rest_pain"


@dataclass(frozen=True, slots=True, kw_only=True)
class NoHandsPage:
    """Why there is no hands-on part today, and what is left."""

    reason: HandsOff
    exercises: int
    key: str = "no_hands"


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthPage:
    """The move is set up as in the plan, or differently. Given: `depth` as_plan | other, `how`."""

    key: str = "depth"


@dataclass(frozen=True, slots=True, kw_only=True)
class MovePage:
    """One check move. Given: `score`, and after the first `same_depth`."""

    key: str
    role: MoveRole
    number: int
    allowed: int
    stage: int | None = None
    again: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ZonesPage:
    """Where it hurts. Given: `zones`."""

    key: str
    role: MoveRole


@dataclass(frozen=True, slots=True, kw_only=True)
class StepPage:
    """One hands-on step. Given: `outcome` done | skipped | stopped, `seconds`, `pain`."""

    key: str
    round_number: int
    rounds: int
    index: int
    count: int
    technique: Technique
    lightest: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class StepStoppedPage:
    """A step hurt more than the plan allows, and was stopped."""

    key: str
    stop: StepStop
    pain: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionPage:
    """What the scores say, and what the plan says comes next."""

    key: str
    before: int
    latest: int
    role: MoveRole
    decision: Decision
    start_zones: tuple[Zone, ...] = ()
    exercises_next: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class ExercisePage:
    """One exercise. Given: `outcome`, `seconds`, `pain`."""

    key: str
    index: int
    count: int
    exercise: Exercise


@dataclass(frozen=True, slots=True, kw_only=True)
class LookOverPage:
    """Everything of the session, to look over and write down."""

    end: "RoutineEnd"
    key: str = "look_over"


# ---------------------------------------------------------------- the end


@dataclass(frozen=True, slots=True, kw_only=True)
class RoutineEnd(Record):
    """What a session entry will hold."""

    ended: SessionEnd
    reason: str
    gate: Literal["none", "something"] | None = None
    full_list: bool = False
    signs: tuple[SignTicked, ...] = ()
    signs_over: tuple[str, ...] = ()
    rest_pain: int | None = None
    depth: Depth | None = None
    moves: tuple[MoveScore, ...] = ()
    rounds: tuple[HandsRound, ...] = ()
    exercises: tuple[StepDone, ...] = ()
    stage: int | None = None
    comparable: bool = True


@dataclass(slots=True, kw_only=True)
class _SoFar:
    """What the walk has gathered; it lives only inside one replay."""

    course: Course
    gate: Literal["none", "something"] | None = None
    full_list: bool = False
    signs: list[SignTicked] = field(default_factory=list)
    signs_over: list[str] = field(default_factory=list)
    signs_open: list[str] = field(default_factory=list)
    rest_pain: int | None = None
    depth: Depth | None = None
    moves: list[MoveScore] = field(default_factory=list)
    rounds: list[list[StepDone]] = field(default_factory=list)
    exercises: list[StepDone] = field(default_factory=list)
    stage: int | None = None
    stage_unscored: int | None = None

    def end(self, ended: SessionEnd, reason: str) -> RoutineEnd:
        return RoutineEnd(
            ended=ended,
            reason=reason,
            gate=self.gate,
            full_list=self.full_list,
            signs=tuple(self.signs),
            signs_over=tuple(self.signs_over),
            rest_pain=self.rest_pain,
            depth=self.depth,
            moves=tuple(self.moves),
            rounds=tuple(HandsRound(steps=tuple(steps)) for steps in self.rounds if steps),
            exercises=tuple(self.exercises),
            stage=self.stage,
            comparable=standing(self.course, self.moves).comparable,
        )

    @property
    def zones(self) -> tuple[Zone, ...]:
        return self.moves[-1].zones if self.moves else ()


# ---------------------------------------------------------------- the walk


def routine(
    plan: Plan, catalogue: Catalogue, start: RoutineStart
) -> Callable[[], Walk[RoutineEnd]]:
    """The walk through today's routine of one knee, to be replayed by `flow.replay`.

    It ends with what the session entry holds. `so_far` gives the same at any answer.
    """
    course = Course.from_plan(plan, start=start.starting_stage)
    return lambda: _walk(plan, catalogue, start, _SoFar(course=course))


def so_far(
    plan: Plan,
    catalogue: Catalogue,
    start: RoutineStart,
    answers: Iterable[Given],
    *,
    ended: SessionEnd,
    reason: str,
) -> RoutineEnd:
    """What the session holds after `answers`, ended as said: for Stop, and for one left behind."""
    gathered = _SoFar(course=Course.from_plan(plan, start=start.starting_stage))
    running = _walk(plan, catalogue, start, gathered)
    try:
        next(running)
        for given in answers:
            running.send(given)
    except StopIteration as stop:
        return stop.value  # type: ignore[no-any-return]
    running.close()
    return gathered.end(ended, reason)


def _walk(plan: Plan, catalogue: Catalogue, start: RoutineStart, done: _SoFar) -> Walk[RoutineEnd]:
    try:
        yield from _gate(catalogue, start, done)
        yield from _body(plan, catalogue, start, done)
        end = done.end("finished", _last_reason(done))
    except Ended as stop:
        end = done.end(stop.ended, stop.reason)
        if stop.reason == "card":  # whoever was sent to get help is not held up by a page
            return end
    yield LookOverPage(end=end)
    return end


def _gate(catalogue: Catalogue, start: RoutineStart, done: _SoFar) -> Walk[None]:
    for sign_id in start.open_signs:
        given = yield OpenSignPage(key=f"open:{sign_id}", sign=sign_id)
        (done.signs_over if given["over"] == "yes" else done.signs_open).append(sign_id)
    given = yield GatePage()
    done.gate = given["gate"]
    reason = "gate_answered_something" if done.gate == "something" else start.list_reason
    if reason is not None:
        done.full_list = True
        yield from stop_list_walk(catalogue, start.asked_signs, reason, "list", done.signs)


def _locked_by(done: _SoFar, catalogue: Catalogue, what: Lock) -> bool:
    return locked(catalogue, what, done.signs_open, done.signs)


def _body(plan: Plan, catalogue: Catalogue, start: RoutineStart, done: _SoFar) -> Walk[None]:
    given = yield RestPainPage()
    done.rest_pain = given["score"]
    hands_off = start.hands_off
    if hands_off is None and _locked_by(done, catalogue, "hands"):
        hands_off = "locked"
    if hands_off is None and done.rest_pain is not None and done.rest_pain > plan.pain_ceiling:
        hands_off = "rest_pain"
    if hands_off is not None:
        count = len(_exercises(plan, catalogue, start, done))
        yield NoHandsPage(reason=hands_off, exercises=count)
        yield from _exercise_part(plan, catalogue, start, done)
        if count == 0:
            raise Ended("finished", "nothing_today")
        return
    yield from _scored_part(plan, catalogue, start, done)


def _scored_part(plan: Plan, catalogue: Catalogue, start: RoutineStart, done: _SoFar) -> Walk[None]:
    course = done.course
    given = yield DepthPage()
    done.depth = (
        plan.check_move.depth if given["depth"] == "as_plan" else Depth(how_low=given.get("how"))
    )
    yield from _move(catalogue, plan, start, course, "before", None, done)
    exercised = False
    tape_gate: Literal["ok", "blocked"] = "blocked" if start.tape_off else "ok"
    for turn in range(1, 20):
        scores = standing(course, done.moves)
        decision = decide_from(course, scores, tape_gate, stage_on_unscored=done.stage_unscored)
        if len(done.moves) > 1 and scores.before is not None:
            yield DecisionPage(
                key=f"decision:{turn}",
                before=scores.before,
                latest=done.moves[-1].score,
                role=done.moves[-1].role,
                decision=decision,
                start_zones=done.zones if decision.action == "hands_round" else (),
                exercises_next=(
                    len(_exercises(plan, catalogue, start, done))
                    if decision.action in ("tape_stage", "finish") and not exercised
                    else 0
                ),
            )
        match decision.action:
            case "hands_round":
                yield from _hands_round(plan, catalogue, start, done)
                yield from _move(catalogue, plan, start, course, "after_hands", None, done)
            case "tape_stage":
                if not exercised:
                    exercised = True
                    yield from _exercise_part(plan, catalogue, start, done)
                stage = decision.stage or 1
                if (yield from _tape_on(catalogue, start, stage, done)):
                    raise Ended("finished", "tape_not_on")
                if decision.scored:
                    yield from _move(catalogue, plan, start, course, "after_tape", stage, done)
                else:
                    done.stage_unscored = stage
            case "tape_off_end":
                yield TapeTakenOffPage()
                done.stage = 0
                raise Ended("stopped", decision.reason)
            case "end":
                raise Ended("stopped", decision.reason)
            case "finish":
                if not exercised:
                    yield from _exercise_part(plan, catalogue, start, done)
                raise Ended("finished", decision.reason)


def _move(
    catalogue: Catalogue,
    plan: Plan,
    start: RoutineStart,
    course: Course,
    role: MoveRole,
    stage: int | None,
    done: _SoFar,
) -> Walk[None]:
    """One check move; made once more when it was done at another depth and a move is left.

    Both are kept. A sore place that is new at the back of the knee opens the stop list.
    """
    number = sum(move.role == role for move in done.moves) + 1
    again = False
    while True:
        key = f"move:{role}:{number}" + (":again" if again else "")
        given: Given = yield MovePage(
            key=key,
            role=role,
            number=len(done.moves) + 1,
            allowed=plan.check_moves,
            stage=stage,
            again=again,
        )
        zones: tuple[Zone, ...] = ()
        if given["score"] > 0:
            answer = yield ZonesPage(key=f"zones:{key}", role=role)
            zones = tuple(answer["zones"])
        done.moves.append(
            MoveScore(
                role=role,
                score=given["score"],
                zones=zones,
                stage=stage,
                same_depth=given.get("same_depth"),
            )
        )
        known = (*start.known_zones, *(z for move in done.moves[:-1] for z in move.zones))
        if opens_stop_list(zones, known, catalogue.zones):
            done.full_list = True
            yield from stop_list_walk(
                catalogue, start.asked_signs, "new_place", f"list:{key}", done.signs
            )
        if again or not standing(course, done.moves).repeat:
            return
        again = True


def _hands_round(plan: Plan, catalogue: Catalogue, start: RoutineStart, done: _SoFar) -> Walk[None]:
    round_number = len(done.rounds) + 1
    prescribed = {technique.technique: technique for technique in start.techniques}
    order = round_order(
        [catalogue.technique(name) for name in prescribed],
        done.moves[0].zones if round_number > 1 else (),
        done.zones if round_number > 1 else (),
        HandsRound(steps=tuple(done.rounds[-1])) if done.rounds else None,
    )
    steps: list[StepDone] = []
    done.rounds.append(steps)
    for index, name in enumerate(order, 1):
        key = f"step:{round_number}:{index}"
        given = yield StepPage(
            key=key,
            round_number=round_number,
            rounds=plan.rounds,
            index=index,
            count=len(order),
            technique=prescribed[name],
            lightest=start.lightest_hands,
        )
        yield from _step_done(plan, key, name, given, steps, done)


def _step_done(
    plan: Plan, key: str, name: str, given: Given, steps: list[StepDone], done: _SoFar
) -> Walk[None]:
    pain: int | None = given.get("pain")
    stop = (
        None
        if pain is None
        else stop_step(pain, done.rest_pain, plan.pain_ceiling, plan.stop_amount)
    )
    outcome: Any = "stopped" if stop is not None else given["outcome"]
    steps.append(StepDone(step=name, outcome=outcome, seconds=given.get("seconds"), pain=pain))
    if stop is not None and pain is not None:
        yield StepStoppedPage(key=f"{key}:stopped", stop=stop, pain=pain)


def _exercises(
    plan: Plan, catalogue: Catalogue, start: RoutineStart, done: _SoFar
) -> tuple[Exercise, ...]:
    """Today's exercises: none when locked, no standing ones on an easy day or by a sign."""
    if start.exercise_off is not None or _locked_by(done, catalogue, "exercise"):
        return ()
    before = done.moves[0].score if done.moves else None
    easy = leave_out_standing(before, plan.easy_day_mark)
    seated_only = (
        easy or _locked_by(done, catalogue, "standing_steps") or start.standing_off is not None
    )
    return tuple(
        exercise
        for exercise in start.exercises
        if not (seated_only and catalogue.exercise(exercise.exercise).standing)
    )


def _exercise_part(
    plan: Plan, catalogue: Catalogue, start: RoutineStart, done: _SoFar
) -> Walk[None]:
    exercises = _exercises(plan, catalogue, start, done)
    for index, exercise in enumerate(exercises, 1):
        key = f"exercise:{index}"
        given = yield ExercisePage(key=key, index=index, count=len(exercises), exercise=exercise)
        yield from _step_done(plan, key, exercise.exercise, given, done.exercises, done)


def _tape_on(catalogue: Catalogue, start: RoutineStart, stage: int, done: _SoFar) -> Walk[bool]:
    """Put on the tape of `stage`, from what is on. True when it did not go on."""
    if _locked_by(done, catalogue, "tape_on"):
        yield NoTapePage(reasons=("locked",))
        return True
    on_now = done.stage or 0
    if on_now == 0:
        refused = yield from tape_questions(stage, helper_needed=start.helper_needed)
        if refused:
            yield NoTapePage(reasons=refused)
            return True
    put_on = yield from tape_steps(catalogue, on_now, stage)
    if not put_on:
        return True
    done.stage = stage
    return False


def _last_reason(done: _SoFar) -> str:
    return "exercise_only" if done.exercises else "nothing_today"


_SECONDS_A_PAGE = 20
_SECONDS_A_REPEAT = 4


def routine_minutes(
    plan: Plan, techniques: tuple[Technique, ...], exercises: tuple[Exercise, ...]
) -> int:
    """About how long the routine takes when every round is needed, in whole minutes.

    Holds and repeats as prescribed, 4 s for moving in each repeat and 20 s for each page
    (common practice, no source).
    """
    seconds = 6 * _SECONDS_A_PAGE
    for technique in techniques:
        seconds += plan.rounds * (technique.seconds * technique.repeats + _SECONDS_A_PAGE)
    for exercise in exercises:
        repeat = exercise.hold_seconds + _SECONDS_A_REPEAT
        seconds += exercise.sets * exercise.repeats * repeat + _SECONDS_A_PAGE
    return max(1, round(seconds / 60))
