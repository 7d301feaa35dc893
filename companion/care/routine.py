"""Today's routine, page by page: the session a plan prescribes, from the short gate to the end.

The walk below reads as the routine is taught. It decides nothing by itself: what comes after a
score is `course.decide`, what stops a step is `step_limits`, what is closed is the policy.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from typing import Literal

from companion.care.adherence import RoutinePart
from companion.care.bad_days import NO_BAD_DAYS, BadDays, SpellCall, bad_day_rule, rest_pain_limit
from companion.care.catalogue import Catalogue
from companion.care.course import Course, Decision, EndReason, decide_from, standing
from companion.care.dose import Dose
from companion.care.ease import target_met
from companion.care.flow import Given, Walk
from companion.care.levels import PARTS
from companion.care.plan_faults import EXERCISE_PARTS
from companion.care.policy import Ask, State
from companion.care.ready import Readied, asked_in, make_ready
from companion.care.records import (
    AfterLast,
    Depth,
    Exercise,
    GateReply,
    GateSaid,
    HandsRound,
    KnownReply,
    MoveRole,
    MoveScore,
    Outcome,
    Part,
    Plan,
    Record,
    SessionEnd,
    Side,
    StepDone,
    Technique,
    Zone,
)
from companion.care.sore_zones import opens_stop_list, round_order
from companion.care.step_limits import StepStop, ceiling_of, felt_from_tape, step_limit
from companion.care.stopping import (
    NEW_PLACE_QUESTION,
    CardPage,
    Ended,
    Gate,
    GatePage,
    GateStart,
    KnownPage,
    SignQuestionsPage,
    SignTicked,
    StopListPage,
    TopicsPage,
    closed_now,
    gate_again_walk,
    gate_walk,
    stop_list_walk,
)
from companion.care.tape_gate import TapeReason
from companion.care.taping import (
    NoTapePage,
    SkinPage,
    TapeCheckPage,
    TapeTakenOffPage,
    skin_card,
    tape_questions,
    tape_steps,
)

HandsOff = Literal[
    "locked",
    "done_today",
    "tape_on",
    "tape_came_off",
    "resting",
    "trial",
    "not_in_plan",
    "skin",
    "rest_pain",
    "caution",
    "flare",
    "helper_needed",
]
Stopped = Literal[StepStop, "said"]
"""Why a step stopped: by its pain, or because the person said so and gave no number."""
BadWhy = Literal["mark", "spell", "other_knee"]
"""What makes it a bad day: the score, a bad spell under way, or the other knee's session today."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidDose(Record):
    """Today's dose once this was said of the last routine; None while nothing is."""

    said: AfterLast | None
    dose: Dose


@dataclass(frozen=True, slots=True, kw_only=True)
class RoutineStart(GateStart):
    """What held when the routine began. It is kept with the answers, so that a walk taken up
    later (tape is on by then) replays as it was.

    `closed_by` is an open sign that closes the routine until it was cleared.
    `starting_stage` 0 is no tape. `tape_off` holds the reasons, known before anything is asked,
    why no tape goes on today. `tape_by_trial`: a tape trial runs on this knee, so the routine tapes
    nothing. `bad` is how bad days stand; `other_knee_bad`: it is a bad day by the other knee's
    session. `doses` are those of today, by what is said at the gate. `taken_up_at` tells after how
    many answers it was taken up so late that gate and pain at rest are asked again.
    """

    side: Side
    closed_by: str | None = None
    hands_off: HandsOff | None = None
    ask_about_ten: bool = False
    wearing_stage: int = 0
    starting_stage: int = 0
    tape_off: tuple[TapeReason, ...] = ()
    tape_by_trial: bool = False
    helper_needed: bool = False
    known_zones: tuple[Zone, ...] = ()
    techniques: tuple[Technique, ...] = ()
    exercises: tuple[Exercise, ...] = ()
    bad: BadDays = NO_BAD_DAYS
    other_knee_bad: bool = False
    doses: tuple[SaidDose, ...] = ()
    taken_up_at: tuple[int, ...] = ()

    def dose(self, said: AfterLast | None) -> Dose | None:
        """Today's dose after that answer; None is the plan's own."""
        return next((one.dose for one in self.doses if one.said == said), None)


# ---------------------------------------------------------------- pages


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedPage:
    """The routine is closed until a sign was cleared. Given nothing."""

    sign: str
    key: str = "closed"


@dataclass(frozen=True, slots=True, kw_only=True)
class TenPage:
    """Asked once: whether 10 means the worst imaginable. Given: `ten` as a `TenSaid`."""

    key: str = "ten"


@dataclass(frozen=True, slots=True, kw_only=True)
class DosePage:
    """Today's dose is not the plan's own, or something is to be said of it."""

    dose: Dose
    key: str = "dose"


@dataclass(frozen=True, slots=True, kw_only=True)
class RestPainPage:
    """Pain at rest. Given: `score`. Above `limit` there is no hands-on part."""

    limit: int
    key: str = "rest_pain"


@dataclass(frozen=True, slots=True, kw_only=True)
class SpellPage:
    """A bad spell is under way, and the score lies below the mark. Given: `over` yes | no."""

    score: int
    mark: int | None
    key: str = "spell"


@dataclass(frozen=True, slots=True, kw_only=True)
class BadDayPage:
    """A bad day: what is left of the routine. `spell`: it belongs to a bad spell, with its `call`
    where the clinic is to be told. `hands`: how many hands-on steps come, 0 for none."""

    why: BadWhy
    score: int
    mark: int | None
    hands: int
    exercises: int
    spell: bool
    call: SpellCall | None
    key: str = "bad_day"


@dataclass(frozen=True, slots=True, kw_only=True)
class NoHandsPage:
    """Why there is no hands-on part today, and what is left. `spell` and `call` as on a bad day,
    where it is by pain at rest."""

    reason: HandsOff
    exercises: int
    rest_pain: int | None = None
    spell: bool = False
    call: SpellCall | None = None
    key: str = "no_hands"


@dataclass(frozen=True, slots=True, kw_only=True)
class NoMovePage:
    """The check move is closed: what is done without a score, and what follows. `hands`: how many
    hands-on steps, 0 for none.
    """

    hands: int
    exercises: int
    key: str = "no_move"


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthPage:
    """The move is set up as in the plan, or differently. Given: `depth` as_plan | other, `how`."""

    key: str = "depth"


@dataclass(frozen=True, slots=True, kw_only=True)
class MovePage:
    """One check move. Given: `score`, and after the first `same_depth`. `mark`: from this score on
    it is a bad day; `enough`: with this score or less the plan's target is met."""

    key: str
    role: MoveRole
    number: int
    allowed: int
    stage: int | None = None
    again: bool = False
    mark: int | None = None
    enough: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ZonesPage:
    """Where it hurts. Given: `zones`."""

    key: str
    role: MoveRole


@dataclass(frozen=True, slots=True, kw_only=True)
class HandsReadyPage:
    """Hands and skin made ready, before the first hands-on step. Given nothing."""

    key: str = "hands_ready"


@dataclass(frozen=True, slots=True, kw_only=True)
class StepPage:
    """One hands-on step. Given: `outcome` done | skipped | stopped, `seconds`, `pain`. It stops
    above `most_pain`."""

    key: str
    round_number: int
    rounds: int
    index: int
    count: int
    technique: Technique
    most_pain: int
    asks: tuple[Ask, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class StepStoppedPage:
    """A step hurt more than the plan allows, or too much, and was stopped: above `most_pain`."""

    key: str
    stop: Stopped
    pain: int | None
    most_pain: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionPage:
    """What the scores say, and what the plan says comes next.

    `start_zones`: sore places that a technique of the next round reaches. `tape_off`: why the
    plan's tape does not go on today. `enough`: this score or less meets the plan's target.
    """

    key: str
    before: int
    latest: int
    role: MoveRole
    decision: Decision
    start_zones: tuple[Zone, ...] = ()
    tape_off: tuple[TapeReason, ...] = ()
    exercises_next: int = 0
    enough: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ExercisePage:
    """One exercise. Given: `outcome`, `seconds`, `pain`. It stops above `most_pain`. `easier`: in
    its easier form. `planned`: the repeats of the plan, where today's are fewer."""

    key: str
    index: int
    count: int
    exercise: Exercise
    most_pain: int
    easier: bool = False
    planned: int | None = None
    asks: tuple[Ask, ...] = ()


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
    reason: EndReason
    gate: GateSaid | None = None
    full_list: bool = False
    gate_replies: tuple[GateReply, ...] = ()
    known_replies: tuple[KnownReply, ...] = ()
    after_last: AfterLast | None = None
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
    gate: Gate = field(default_factory=Gate)
    bad_day: bool = False
    dose: Dose | None = None
    rest_pain: int | None = None
    depth: Depth | None = None
    moves: list[MoveScore] = field(default_factory=list)
    rounds: list[list[StepDone]] = field(default_factory=list)
    exercises: list[StepDone] = field(default_factory=list)
    stage: int | None = None
    stage_unscored: int | None = None
    exercised: bool = False
    readied: Readied = field(default_factory=Readied)

    def end(self, ended: SessionEnd, reason: EndReason) -> RoutineEnd:
        return RoutineEnd(
            ended=ended,
            reason=reason,
            gate=self.gate.said,
            full_list=self.gate.full_list,
            gate_replies=self.gate.replies,
            known_replies=self.gate.known,
            after_last=self.gate.after_last,
            signs=tuple(self.signs),
            signs_over=tuple(self.gate.over),
            rest_pain=self.rest_pain,
            depth=self.depth,
            moves=tuple(self.moves),
            rounds=tuple(HandsRound(steps=tuple(steps)) for steps in self.rounds if steps),
            exercises=tuple(self.exercises),
            stage=self.stage,
            comparable=standing(self.course, self.moves).comparable,
        )

    @property
    def signs(self) -> list[SignTicked]:
        return self.gate.ticked

    @property
    def signs_open(self) -> dict[str, frozenset[Part]]:
        return self.gate.still_open

    @property
    def zones(self) -> tuple[Zone, ...]:
        return self.moves[-1].zones if self.moves else ()


# ---------------------------------------------------------------- the walk

CLOSED: EndReason = "locked"
"""The reason of a routine that did not begin, because a sign closes it. No session is written."""


def routine(
    plan: Plan, catalogue: Catalogue, start: RoutineStart
) -> Callable[[], Walk[RoutineEnd]]:
    """The walk through today's routine of one knee, to be replayed by `flow.replay`.

    It ends with what the session entry holds. `so_far` gives the same at any answer.
    """
    return lambda: _walk(plan, catalogue, start, _SoFar(course=_course(plan, start)))


def so_far(
    plan: Plan,
    catalogue: Catalogue,
    start: RoutineStart,
    answers: Iterable[Given],
    *,
    ended: SessionEnd,
    reason: EndReason,
) -> RoutineEnd:
    """What the session holds after `answers`, ended as said: for Stop, and for one left behind."""
    gathered = _SoFar(course=_course(plan, start))
    running = _walk(plan, catalogue, start, gathered)
    try:
        next(running)
        for given in answers:
            running.send(given)
    except StopIteration as stop:
        return stop.value  # type: ignore[no-any-return]
    running.close()
    return gathered.end(ended, reason)


def _course(plan: Plan, start: RoutineStart) -> Course:
    course = Course.from_plan(plan, start=start.starting_stage)
    return replace(course, when_tape="never") if start.tape_by_trial else course


def _walk(plan: Plan, catalogue: Catalogue, start: RoutineStart, done: _SoFar) -> Walk[RoutineEnd]:
    """The routine; where it was taken up late, gate and pain at rest stand before its next page.

    A card, and what leads to it, goes first: nothing comes between a tick and its card.
    """
    whole = _whole(plan, catalogue, start, done)
    answers, due = 0, False
    try:
        page = next(whole)
        while True:
            due = due or answers in start.taken_up_at
            if due and done.gate.said is not None and not isinstance(page, _NOT_INTERRUPTED):
                due = False
                again = _asked_again(plan, catalogue, start, done, f"again{answers}")
                try:
                    asked = next(again)
                    while True:
                        given = yield asked
                        answers += 1
                        asked = again.send(given)
                except StopIteration:
                    pass
                except Ended as stop:
                    page = whole.throw(stop)
            given = yield page
            answers += 1
            page = whole.send(given)
    except StopIteration as stop:
        return stop.value  # type: ignore[no-any-return]


_NOT_INTERRUPTED = (
    GatePage,
    KnownPage,
    TopicsPage,
    StopListPage,
    SignQuestionsPage,
    CardPage,
    LookOverPage,
)


def _asked_again(
    plan: Plan, catalogue: Catalogue, start: RoutineStart, done: _SoFar, prefix: str
) -> Walk[None]:
    yield from gate_again_walk(catalogue, start, done.gate, prefix)
    if done.rest_pain is not None:
        given = yield RestPainPage(limit=rest_pain_limit(plan), key=f"{prefix}:rest_pain")
        done.rest_pain = given["score"]


def _whole(plan: Plan, catalogue: Catalogue, start: RoutineStart, done: _SoFar) -> Walk[RoutineEnd]:
    if start.closed_by is not None:
        yield ClosedPage(sign=start.closed_by)
        return done.end("stopped", CLOSED)
    try:
        yield from gate_walk(catalogue, start, done.gate)
        for sign, parts in done.signs_open.items():
            if parts.issuperset(PARTS):
                yield ClosedPage(sign=sign)
                return done.end("stopped", CLOSED)
        yield from _dosed(start, done)
        yield from _body(plan, catalogue, start, done)
        end = done.end("finished", _last_reason(done))
    except Ended as stop:
        end = done.end(stop.ended, stop.reason)
        if stop.reason == "card":  # whoever was sent to get help is not held up by a page
            return end
    yield LookOverPage(end=end)
    return end


def _closed(plan: Plan, catalogue: Catalogue, start: RoutineStart, done: _SoFar) -> frozenset[Part]:
    """What is closed by now: by signs, the plan, and what was scored so far."""
    states: list[State] = []
    if _rest_pain_above_limit(plan, done):
        states.append("rest_pain_above_limit")
    if done.bad_day:
        states.append("bad_day")
    closed = closed_now(catalogue, start, done.signs_open, done.signs, states)
    return closed.union(done.readied.closed)


def _made_ready(
    part: Part, plan: Plan, catalogue: Catalogue, start: RoutineStart, done: _SoFar
) -> Walk[bool]:
    """Whether a part is open, once what it asks for was asked."""
    if part in _closed(plan, catalogue, start, done):
        return False
    yield from make_ready(catalogue, start, done.signs, (part,), done.readied)
    return part not in done.readied.closed


def _rest_pain_above_limit(plan: Plan, done: _SoFar) -> bool:
    return done.rest_pain is not None and done.rest_pain > rest_pain_limit(plan)


def _dosed(start: RoutineStart, done: _SoFar) -> Walk[None]:
    """Today's dose, and why, where it is not simply the plan's."""
    done.dose = start.dose(done.gate.after_last)
    if done.dose is None:
        return
    done.course = replace(done.course, rounds=done.dose.rounds)
    new = done.dose.why == "more_next_morning_1" and done.gate.after_last == "more_next_morning"
    if new or done.dose.steps or done.dose.call or done.dose.why == "given_back":
        yield DosePage(dose=done.dose)


def _body(plan: Plan, catalogue: Catalogue, start: RoutineStart, done: _SoFar) -> Walk[None]:
    hands_off = start.hands_off
    if start.wearing_stage > 0 and (yield from _tape_check(done)) and hands_off == "tape_on":
        hands_off = "tape_came_off"
    given = yield RestPainPage(limit=rest_pain_limit(plan))
    done.rest_pain = given["score"]
    hands_off = hands_off or _hands_closed(plan, catalogue, start, done)
    if hands_off is None and not (yield from _made_ready("hands", plan, catalogue, start, done)):
        hands_off = "helper_needed"
    if hands_off is not None:
        yield from _without_hands(plan, catalogue, start, hands_off, done)
        return
    yield from _scored_part(plan, catalogue, start, done)


def _tape_check(done: _SoFar) -> Walk[bool]:
    """The check of tape that is on; True when it came off for what was felt from it."""
    given = yield TapeCheckPage()
    felt = felt_from_tape(given["feelings"])
    if not felt:
        return False
    yield TapeTakenOffPage(felt=felt)
    given = yield SkinPage(when="at_once")
    done.signs.extend((yield from skin_card(given["skin"])))
    return True


def _hands_closed(
    plan: Plan, catalogue: Catalogue, start: RoutineStart, done: _SoFar
) -> HandsOff | None:
    """Why hands are closed, by what is most pressing."""
    if "hands" not in _closed(plan, catalogue, start, done):
        return None
    still = [sign for sign, parts in done.signs_open.items() if "hands" in parts]
    holding = [*still, *(sign.sign for sign in done.signs if not sign.mistake)]
    rows = [catalogue.policy.sign(sign) for sign in holding]
    by = [one.until for row in rows for one in row.closes if "hands" in one.parts]
    if "hands" in start.closed or any(until != "skin_clear" for until in by):
        return "locked"
    return "skin" if by else "rest_pain"


def _without_hands(
    plan: Plan, catalogue: Catalogue, start: RoutineStart, hands_off: HandsOff, done: _SoFar
) -> Walk[None]:
    """A day on which only exercises are left, if any: nothing is scored."""
    if start.bad.spell is not None or start.other_knee_bad:
        done.bad_day = True
    count = len(_exercises(plan, catalogue, start, done))
    by_rest = _rest_pain_above_limit(plan, done)
    spell, call = _spell(plan, catalogue, start, bad=by_rest or done.bad_day)
    if hands_off != "not_in_plan" or count == 0 or spell:
        yield NoHandsPage(
            reason=hands_off,
            exercises=count,
            rest_pain=done.rest_pain if by_rest else None,
            spell=spell,
            call=call,
        )
    yield from _exercise_part(plan, catalogue, start, done)


def _scored_part(plan: Plan, catalogue: Catalogue, start: RoutineStart, done: _SoFar) -> Walk[None]:
    course = done.course
    if not (yield from _made_ready("check_move", plan, catalogue, start, done)):
        yield from _without_score(plan, catalogue, start, done)
    yield from _first_score(plan, catalogue, start, done)
    tape_gate: Literal["ok", "blocked"] = "blocked" if start.tape_off else "ok"
    for turn in range(1, 20):
        scores = standing(course, done.moves)
        hands_off = _hands_closed(plan, catalogue, start, done)
        steps = _round(catalogue, start, done)
        no_move = "check_move" in _closed(plan, catalogue, start, done)
        if no_move and scores.repeat:
            yield from _without_score(plan, catalogue, start, done)
        decision = decide_from(
            course,
            scores,
            tape_gate,
            stage_on_unscored=done.stage_unscored,
            hands_allowed=hands_off is None and bool(steps),
        )
        if hands_off is not None and not done.exercised and decision.action != "end":
            # A sign ticked between the moves: what is left without hands, and no new tape.
            yield from _without_hands(plan, catalogue, start, hands_off, done)
            raise Ended("finished", "hands_not_allowed_today")
        if no_move and decision.action in ("hands_round", "tape_stage"):
            yield from _without_score(plan, catalogue, start, done)
        if len(done.moves) > 1 and scores.before is not None:
            yield DecisionPage(
                key=f"decision:{turn}",
                before=scores.before,
                latest=done.moves[-1].score,
                role=done.moves[-1].role,
                decision=decision,
                start_zones=(
                    _start_zones(catalogue, steps, done) if decision.action == "hands_round" else ()
                ),
                tape_off=start.tape_off if decision.reason == "tape_not_allowed_today" else (),
                exercises_next=(
                    len(_exercises(plan, catalogue, start, done))
                    if decision.action in ("tape_stage", "finish") and not done.exercised
                    else 0
                ),
                enough=_enough(plan, done),
            )
        match decision.action:
            case "hands_round":
                yield from _hands_round(plan, catalogue, start, steps, done)
                yield from _move(catalogue, plan, start, course, "after_hands", None, done)
            case "tape_stage":
                yield from _exercise_part(plan, catalogue, start, done)
                stage = decision.stage or 1
                if (yield from _tape_on(plan, catalogue, start, stage, done)):
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
                yield from _exercise_part(plan, catalogue, start, done)
                raise Ended("finished", decision.reason)


def _first_score(plan: Plan, catalogue: Catalogue, start: RoutineStart, done: _SoFar) -> Walk[None]:
    """The score before anything; on a bad day the rest of the routine too."""
    if start.ask_about_ten:
        yield TenPage()
    given = yield DepthPage()
    done.depth = (
        plan.check_move.depth if given["depth"] == "as_plan" else Depth(how_low=given.get("how"))
    )
    yield from _move(catalogue, plan, start, done.course, "before", None, done)
    why = yield from _bad_why(start, done)
    if why is not None:
        yield from _bad_day(plan, catalogue, start, why, done)


def _bad_why(start: RoutineStart, done: _SoFar) -> Walk[BadWhy | None]:
    """What makes this a bad day, once the move was scored; None where nothing does.

    A spell that the person said had begun is theirs to end, also when the score is lower: they are
    asked. One of bad sessions ends by the score itself.
    """
    score, mark = done.moves[-1].score, start.bad.mark
    if mark is not None and score >= mark:
        return "mark"
    if start.other_knee_bad:
        return "other_knee"
    spell = start.bad.spell
    if spell is None or not spell.pressed:
        return None
    given = yield SpellPage(score=score, mark=mark)
    return None if given["over"] == "yes" else "spell"


def _bad_day(
    plan: Plan, catalogue: Catalogue, start: RoutineStart, why: BadWhy, done: _SoFar
) -> Walk[None]:
    """What is left on a bad day: the move is not made again, one hands round where hands are open,
    no new tape, the exercises that stay."""
    done.bad_day = True
    hands_open = _hands_closed(plan, catalogue, start, done) is None
    steps = _round(catalogue, start, done) if hands_open else ()
    spell, call = _spell(plan, catalogue, start, bad=True)
    yield BadDayPage(
        why=why,
        score=done.moves[-1].score,
        mark=start.bad.mark,
        hands=len(steps),
        exercises=len(_exercises(plan, catalogue, start, done)),
        spell=spell,
        call=call,
    )
    if steps:
        yield from _hands_round(plan, catalogue, start, steps, done, rounds=1)
    yield from _exercise_part(plan, catalogue, start, done)
    raise Ended("finished", "bad_day")


def _spell(
    plan: Plan, catalogue: Catalogue, start: RoutineStart, *, bad: bool
) -> tuple[bool, SpellCall | None]:
    """Whether today belongs to a bad spell, which a bad session today may make it, and why the
    clinic is told."""
    spell = start.bad.spell
    if spell is not None:
        return True, spell.call
    if not bad or start.bad.running + 1 < bad_day_rule(catalogue.policy).running:
        return False, None
    return True, "no_flare_plan" if plan.flare_plan is None else None


def _without_score(
    plan: Plan, catalogue: Catalogue, start: RoutineStart, done: _SoFar
) -> Walk[None]:
    """What is left where the check move is closed: one hands round where none was done and hands
    are open, and the exercises that are. Nothing goes by a score, so no tape goes on (rule r10).
    """
    hands_open = _hands_closed(plan, catalogue, start, done) is None and not done.rounds
    steps = _round(catalogue, start, done) if hands_open else ()
    if not done.exercised:
        count = len(_exercises(plan, catalogue, start, done))
        yield NoMovePage(hands=len(steps), exercises=count)
    if steps:
        yield from _hands_round(plan, catalogue, start, steps, done, rounds=1)
    yield from _exercise_part(plan, catalogue, start, done)
    raise Ended("finished", "no_check_move")


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
            mark=start.bad.mark if role == "before" else None,
            enough=_enough(plan, done) if role != "before" else None,
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
            yield from stop_list_walk(
                catalogue,
                start.asked_signs,
                (NEW_PLACE_QUESTION,),
                "new_place",
                f"list:{key}",
                done.signs,
                two_knees=start.two_knees,
                earlier=tuple(done.signs_open),
            )
        closed = "check_move" in _closed(plan, catalogue, start, done)
        if again or closed or not standing(course, done.moves).repeat:
            return
        again = True


def _enough(plan: Plan, done: _SoFar) -> int | None:
    """The highest score that meets the plan's target; None where there is nothing to ease."""
    before = next((move.score for move in done.moves if move.role == "before"), None)
    met = (
        score
        for score in range(before or 0)
        if target_met(before or 0, score, plan.ease_target_percent)
    )
    return max(met, default=None)


def _round(catalogue: Catalogue, start: RoutineStart, done: _SoFar) -> tuple[Technique, ...]:
    """The steps of the next hands round in order: not those that were stopped in this session."""
    stopped = {step.step for steps in done.rounds for step in steps if step.outcome == "stopped"}
    left = {t.technique: t for t in start.techniques if t.technique not in stopped}
    order = round_order(
        [catalogue.technique(name) for name in left],
        done.moves[0].zones if done.rounds else (),
        done.zones if done.rounds else (),
        HandsRound(steps=tuple(done.rounds[-1])) if done.rounds else None,
    )
    return tuple(left[name] for name in order)


def _start_zones(
    catalogue: Catalogue, steps: tuple[Technique, ...], done: _SoFar
) -> tuple[Zone, ...]:
    """The places sore now that the steps of the next round reach."""
    reached = {zone for step in steps for zone in catalogue.technique(step.technique).zones}
    return tuple(zone for zone in done.zones if zone in reached)


def _hands_round(
    plan: Plan,
    catalogue: Catalogue,
    start: RoutineStart,
    order: tuple[Technique, ...],
    done: _SoFar,
    *,
    rounds: int | None = None,
) -> Walk[None]:
    """One hands round, of `rounds` to come when that is not the plan's number."""
    round_number = len(done.rounds) + 1
    steps: list[StepDone] = []
    done.rounds.append(steps)
    if round_number == 1:
        yield HandsReadyPage()
    for index, technique in enumerate(order, 1):
        if "hands" in _closed(plan, catalogue, start, done):
            return  # closed since the round began: it was left lying, and asked about again
        key = f"step:{round_number}:{index}"
        given = yield StepPage(
            key=key,
            round_number=round_number,
            rounds=done.course.rounds if rounds is None else rounds,
            index=index,
            count=len(order),
            technique=technique,
            asks=asked_in(catalogue, start, done.signs, "hands"),
            most_pain=step_limit("hands", plan, done.rest_pain).most,
        )
        yield from _step_done(plan, "hands", key, technique.technique, given, steps, done)


def _step_done(
    plan: Plan,
    part: RoutinePart,
    key: str,
    name: str,
    given: Given,
    steps: list[StepDone],
    done: _SoFar,
) -> Walk[None]:
    pain: int | None = given.get("pain")
    limit = step_limit(part, plan, done.rest_pain)
    stop = limit.by if pain is not None and pain > limit.most else None
    outcome: Outcome = "stopped" if stop is not None else given["outcome"]
    steps.append(StepDone(step=name, outcome=outcome, seconds=given.get("seconds"), pain=pain))
    if outcome == "stopped":
        yield StepStoppedPage(
            key=f"{key}:stopped", stop=stop or "said", pain=pain, most_pain=limit.most
        )


def _exercises(
    plan: Plan, catalogue: Catalogue, start: RoutineStart, done: _SoFar
) -> tuple[Exercise, ...]:
    """Today's exercises: the seated and the standing ones, each where they are open. On a bad day
    and one of pain at rest also none the plan leaves out then; one done standing that the plan has
    in an easier form on a bad day stays."""
    closed = _closed(plan, catalogue, start, done)
    but_bad = closed_now(catalogue, start, done.signs_open, done.signs, ())
    but_bad = but_bad.union(done.readied.closed)
    bad = done.bad_day or _rest_pain_above_limit(plan, done)
    found = []
    for exercise in start.exercises:
        part = catalogue.policy.exercise_part(exercise.exercise)
        only_bad = not _rest_pain_above_limit(plan, done) and part not in but_bad
        stays = part not in closed or (only_bad and exercise.on_bad_days == "easier")
        if stays and not (bad and exercise.on_bad_days == "left_out"):
            found.append(exercise)
    return tuple(found)


def _easier(plan: Plan, catalogue: Catalogue, exercise: Exercise, done: _SoFar) -> bool:
    """Whether an exercise is done in its easier form: on a bad day where the plan says so, and
    where the check move it is like was last scored above the ceiling of exercise."""
    sheet = catalogue.exercise(exercise.exercise)
    if sheet.easier is None:
        return False
    if done.bad_day and exercise.on_bad_days == "easier":
        return True
    hurt = bool(done.moves) and done.moves[-1].score > ceiling_of("exercise", plan)
    return hurt and plan.check_move.name in sheet.practises


def _exercise_part(
    plan: Plan, catalogue: Catalogue, start: RoutineStart, done: _SoFar
) -> Walk[None]:
    if done.exercised:
        return
    done.exercised = True
    for part in EXERCISE_PARTS:
        if any(
            catalogue.policy.exercise_part(one.exercise) == part
            for one in _exercises(plan, catalogue, start, done)
        ):
            yield from make_ready(catalogue, start, done.signs, (part,), done.readied)
    exercises = _exercises(plan, catalogue, start, done)
    for index, exercise in enumerate(exercises, 1):
        part = catalogue.policy.exercise_part(exercise.exercise)
        if exercise not in _exercises(plan, catalogue, start, done):
            continue  # closed since they began
        key = f"exercise:{index}"
        repeats = _repeats(plan, exercise, done)
        given = yield ExercisePage(
            key=key,
            index=index,
            count=len(exercises),
            exercise=replace(exercise, repeats=repeats),
            most_pain=step_limit("exercise", plan, done.rest_pain).most,
            easier=_easier(plan, catalogue, exercise, done),
            planned=exercise.repeats if repeats < exercise.repeats else None,
            asks=asked_in(catalogue, start, done.signs, part),
        )
        yield from _step_done(plan, "exercise", key, exercise.exercise, given, done.exercises, done)


def _repeats(plan: Plan, exercise: Exercise, done: _SoFar) -> int:
    """The repeats of an exercise by today's dose."""
    if done.dose is None:
        return exercise.repeats
    names = [one.exercise for one in plan.exercises]
    return done.dose.repeats[names.index(exercise.exercise)]


def _tape_on(
    plan: Plan, catalogue: Catalogue, start: RoutineStart, stage: int, done: _SoFar
) -> Walk[bool]:
    """Put on the tape of `stage`, from what is on. True when it did not go on."""
    if "tape_on" in _closed(plan, catalogue, start, done):
        yield NoTapePage(reasons=("locked",))
        return True
    on_now = done.stage or 0
    if on_now == 0:
        refused = yield from tape_questions(
            stage,
            helper_needed=start.helper_needed,
            asks=asked_in(catalogue, start, done.signs, "tape_on"),
        )
        if refused:
            yield NoTapePage(reasons=refused)
            return True
    put_on = yield from tape_steps(catalogue, on_now, stage)
    if not put_on:
        return True
    done.stage = stage
    return False


def _last_reason(done: _SoFar) -> EndReason:
    return "exercise_only" if done.exercises else "nothing_today"
