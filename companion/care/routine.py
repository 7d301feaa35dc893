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
from companion.care.closures import OF_BOTH_KNEES, parts_closed
from companion.care.course import Course, Decision, EndReason, Standing, decide_from, standing
from companion.care.dose import Dose
from companion.care.ease import target_met
from companion.care.flow import Given, Walk, WalkPage, played_out, relayed
from companion.care.known_steps import together
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
from companion.care.step_limits import StepStop, ceiling_of, step_limit
from companion.care.stopping import (
    NEW_PLACE_QUESTION,
    SIGN_PAGES,
    Ended,
    Gate,
    GatePage,
    GateStart,
    SignTicked,
    closed_now,
    gate_again_walk,
    gate_walk,
    stop_list_walk,
)
from companion.care.tape_applications import ANY_LATER_WEAR
from companion.care.tape_gate import TapeReason
from companion.care.taping import (
    NoTapePage,
    TapeTakenOffPage,
    tape_check_walk,
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
QuickSaid = Literal["done", "partly", "skipped"]
"""What is said of a step that was done too quickly."""
EachSaid = Literal["done", "partly", "stopped", "not_yet"]
"""What is said of each step of a page that holds several: what is not done yet comes by itself."""
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
    session, `bad_today` by an earlier one of this knee. `doses` are those of today, by what is said
    at the gate. `taken_up_at` tells after how many answers it was taken up so late that gate and
    pain at rest are asked again. `known_steps` share pages, and make the evening a short one;
    `may_know`: whoever does steps the long way is asked whether they are known from now on.
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
    next_wear: int = ANY_LATER_WEAR
    known_zones: tuple[Zone, ...] = ()
    techniques: tuple[Technique, ...] = ()
    exercises: tuple[Exercise, ...] = ()
    bad: BadDays = NO_BAD_DAYS
    other_knee_bad: bool = False
    bad_today: bool = False
    doses: tuple[SaidDose, ...] = ()
    taken_up_at: tuple[int, ...] = ()
    known_steps: tuple[str, ...] = ()
    may_know: bool = False

    @property
    def short(self) -> bool:
        """Whether this is a short evening."""
        return bool(self.known_steps)

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
    it is a bad day; `enough`: with this score or less the plan's target is met. `depth`: how the
    move is set up is asked with it, as on its own page, but for `how`."""

    key: str
    role: MoveRole
    number: int
    allowed: int
    stage: int | None = None
    again: bool = False
    mark: int | None = None
    enough: int | None = None
    depth: bool = False

    @property
    def about(self) -> tuple[object, ...]:
        """The move that is scored; what the score leads to is only shown beside it."""
        return (self.role, self.stage, self.again, self.depth)


@dataclass(frozen=True, slots=True, kw_only=True)
class HowSetUpPage:
    """How a move was set up that was not set up as in the plan. Given: `how`."""

    key: str = "how_set_up"


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
    """One hands-on step. Given: `outcome` done | skipped | stopped, `seconds` that were held and
    how many holds were `counted`, and `took`, the seconds it was in sight, where these were told;
    the `pain` only by walks begun before it had its own page. It stops above `most_pain`."""

    key: str
    round_number: int
    rounds: int
    index: int
    count: int
    technique: Technique
    most_pain: int
    asks: tuple[Ask, ...] = ()

    @property
    def about(self) -> str:
        """The technique that was done, whatever its place in the round and its limit."""
        return self.technique.technique


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownStepsPage:
    """Several steps or exercises that are known, with one clock. Given: `outcome` done |
    some, `each` the seconds held and the holds counted of each, None where nothing was counted,
    and `took` as for one. `hands_ready`: hands and skin are made ready here. `asks` and
    `most_pain` as for one."""

    key: str
    part: RoutinePart
    steps: tuple[Technique | Exercise, ...]
    round_number: int
    most_pain: int
    hands_ready: bool = False
    asks: tuple[Ask, ...] = ()

    @property
    def about(self) -> tuple[str, ...]:
        """The steps that were done."""
        return tuple(step.name for step in self.steps)


@dataclass(frozen=True, slots=True, kw_only=True)
class EachStepPage:
    """How each of several steps went, where not all of them were simply done. Given by the name of
    each an `EachSaid`. `quick`: all were said to be done sooner than anybody could do them."""

    key: str
    part: RoutinePart
    names: tuple[str, ...]
    quick: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class QuickStepPage:
    """A step or exercise said to be done sooner than anybody could do it. Asked once. Given:
    `outcome` as a `QuickSaid`. `seconds` is how long it takes by the plan."""

    key: str
    part: RoutinePart
    name: str
    seconds: int


@dataclass(frozen=True, slots=True, kw_only=True)
class StepHurtPage:
    """How much it hurt, once a step was said to hurt too much: it stops above `most_pain`. Given:
    `pain`, None when it cannot be said."""

    key: str
    part: RoutinePart
    name: str
    most_pain: int


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

    @property
    def about(self) -> Decision:
        """What comes next: the scores may be others."""
        return self.decision


@dataclass(frozen=True, slots=True, kw_only=True)
class ExercisePage:
    """One exercise. Given as for a step. It stops above `most_pain`. `easier`: in its easier form.
    `planned`: the repeats of the plan, where today's are fewer."""

    key: str
    index: int
    count: int
    exercise: Exercise
    most_pain: int
    easier: bool = False
    planned: int | None = None
    asks: tuple[Ask, ...] = ()

    @property
    def about(self) -> tuple[str, bool]:
        """The exercise that was done, and whether in its easier form."""
        return (self.exercise.exercise, self.easier)


@dataclass(frozen=True, slots=True, kw_only=True)
class LookOverPage:
    """Everything of the session, to look over and write down. Given: `knows`, where it is said that
    the steps are known. `result`: what the scores said, where no page of its own did; `may_know`:
    it is asked whether the steps are known."""

    end: "RoutineEnd"
    key: str = "look_over"
    result: DecisionPage | None = None
    may_know: bool = False


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
    knows_steps: bool | None = None


@dataclass(slots=True, kw_only=True)
class KneeRoutine:
    """The routine of one knee: what it stands on, and what its walk has gathered. It lives only
    inside one replay.

    Of two knees `of_other` are signs of the other one: of this they close what they close for both
    (rule r14). `other_bad`: it is a bad day by the other knee. `other_as_planned`: whether the
    other knee does an exercise as its plan has it; what both legs do shares a page only then.
    """

    plan: Plan
    catalogue: Catalogue
    start: RoutineStart
    gate: Gate = field(default_factory=Gate)
    course: Course = field(init=False)
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
    result: DecisionPage | None = None
    of_other: list[str] = field(default_factory=list)
    other_bad: bool = False
    other_as_planned: Callable[[Exercise], bool] | None = None
    readied: Readied = field(default_factory=Readied)

    def __post_init__(self) -> None:
        course = Course.from_plan(self.plan, start=self.start.starting_stage)
        self.course = replace(course, when_tape="never") if self.start.tape_by_trial else course

    def walk(self) -> Walk[RoutineEnd]:
        """Its pages once the gate was answered; to be walked once."""
        try:
            yield from _dosed(self)
            yield from _body(self)
            end = self.end("finished", "exercise_only" if self.exercises else "nothing_today")
        except Ended as stop:
            end = self.end(stop.ended, stop.reason)
            if stop.reason == "card":  # whoever was sent to get help is not held up by a page
                return end
        may_know = self.start.may_know and _did_well(self)
        submitted = yield LookOverPage(end=end, result=self.result, may_know=may_know)
        return replace(end, knows_steps=True) if submitted.get("knows") else end

    def end(self, ended: SessionEnd, reason: EndReason) -> RoutineEnd:
        """What its session holds by now, ended as said."""
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

    def as_planned(self, exercise: Exercise) -> bool:
        """Whether an exercise is done today as the plan has it: not easier, and not less often."""
        return not _easier(self, exercise) and _repeats(self, exercise) == exercise.repeats

    @property
    def signs(self) -> list[SignTicked]:
        """The signs that hold for this knee by now."""
        return self.gate.ticked

    @property
    def signs_open(self) -> dict[str, frozenset[Part]]:
        """What each sign closes that is open still."""
        return self.gate.still_open

    @property
    def zones(self) -> tuple[Zone, ...]:
        """Where the last move hurt."""
        return self.moves[-1].zones if self.moves else ()


# ---------------------------------------------------------------- the walk

QUICK_SHARE = 0.5
"""Of the seconds a step takes by the plan: whoever says sooner that it is done is asked (C)."""
LEAST_REPEAT_SECONDS = 1
"""An exercise that is not held takes as long for each repeat at least (C)."""
CLOSED: EndReason = "locked"
"""The reason of a routine that did not begin, because a sign closes it. No session is written."""


def routine(
    plan: Plan, catalogue: Catalogue, start: RoutineStart
) -> Callable[[], Walk[RoutineEnd]]:
    """The walk through today's routine of one knee, to be replayed by `flow.replay`.

    It ends with what the session entry holds. `so_far` gives the same at any answer.
    """
    return lambda: _walk(KneeRoutine(plan=plan, catalogue=catalogue, start=start))


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
    knee = KneeRoutine(plan=plan, catalogue=catalogue, start=start)
    end = played_out(_walk(knee), answers)
    return knee.end(ended, reason) if end is None else end


def _walk(knee: KneeRoutine) -> Walk[RoutineEnd]:
    """The routine; where it was taken up late, gate and pain at rest stand before its next page.

    A card, and what leads to it, goes first: nothing comes between a tick and its card.
    """
    whole = _whole(knee)
    answers, due = 0, False

    def count(page: WalkPage, submitted: Given) -> None:
        nonlocal answers
        answers += 1

    try:
        page = next(whole)
        while True:
            due = due or answers in knee.start.taken_up_at
            if due and knee.gate.said is not None and not isinstance(page, _NOT_INTERRUPTED):
                due = False
                again = _asked_again(knee, f"again{answers}")
                try:
                    yield from relayed(again, heard=count)
                except Ended as stop:
                    page = whole.throw(stop)
            submitted = yield page
            count(page, submitted)
            page = whole.send(submitted)
    except StopIteration as stop:
        return stop.value  # type: ignore[no-any-return]


_NOT_INTERRUPTED = (GatePage, *SIGN_PAGES, LookOverPage)


def _asked_again(knee: KneeRoutine, prefix: str) -> Walk[None]:
    yield from gate_again_walk(knee.catalogue, knee.start, knee.gate, prefix)
    if knee.rest_pain is not None:
        submitted = yield RestPainPage(limit=rest_pain_limit(knee.plan), key=f"{prefix}:rest_pain")
        knee.rest_pain = submitted["score"]


def _whole(knee: KneeRoutine) -> Walk[RoutineEnd]:
    if knee.start.closed_by is not None:
        yield ClosedPage(sign=knee.start.closed_by)
        return knee.end("stopped", CLOSED)
    try:
        yield from gate_walk(knee.catalogue, knee.start, knee.gate)
        for one in knee.start.open_signs:
            if knee.signs_open.get(one.sign, frozenset()).issuperset(PARTS):
                yield ClosedPage(sign=knee.catalogue.sign(one.sign, one.level).id)
                return knee.end("stopped", CLOSED)
    except Ended as stop:
        return knee.end(stop.ended, stop.reason)  # only a card ends a gate
    return (yield from knee.walk())


def _did_well(knee: KneeRoutine) -> bool:
    """Whether steps were done, and none was stopped."""
    steps = [*knee.exercises, *(step for steps in knee.rounds for step in steps)]
    outcomes = {step.outcome for step in steps}
    return "done" in outcomes and "stopped" not in outcomes


def _closed(
    knee: KneeRoutine, *, at_support: bool = False, by_scores: bool = True
) -> frozenset[Part]:
    """What is closed by now: by signs, the plan, and `by_scores` so far; `at_support`: of what is
    done holding on."""
    states: list[State] = []
    if by_scores and _rest_pain_above_limit(knee):
        states.append("rest_pain_above_limit")
    if by_scores and knee.bad_day:
        states.append("bad_day")
    closed = closed_now(
        knee.catalogue, knee.start, knee.signs_open, knee.signs, states, at_support=at_support
    )
    of_other = parts_closed(knee.catalogue.policy, knee.of_other, (), at_support=at_support)
    return closed.union(knee.readied.closed, of_other & set(OF_BOTH_KNEES))


def _move_closed(knee: KneeRoutine) -> bool:
    """Whether the check move is closed; one made holding on may stay open."""
    holds_on = knee.plan.check_move.depth.support is not None or bool(
        knee.plan.check_move.depth.arms_used
    )
    return "check_move" in _closed(knee, at_support=holds_on)


def _support_asked(knee: KneeRoutine, part: Part) -> tuple[Ask, ...]:
    """Both hands on support, where nothing else of the part is open."""
    only = _closed(knee) - _closed(knee, at_support=True)
    return ("both_hands",) if part in only else ()


def _asks_in(knee: KneeRoutine, part: Part) -> tuple[Ask, ...]:
    """What is asked for in a part by now."""
    asked = asked_in(knee.catalogue, knee.start, knee.signs, part)
    return tuple(dict.fromkeys((*asked, *_support_asked(knee, part))))


def _made_ready(knee: KneeRoutine, part: Part) -> Walk[bool]:
    """Whether a part is open, once what it asks for was asked."""
    closed = _move_closed(knee) if part == "check_move" else part in _closed(knee)
    if not closed:
        yield from _asked_for(knee, part)
    return not closed and part not in knee.readied.closed


def _asked_for(knee: KneeRoutine, part: Part) -> Walk[None]:
    also = _support_asked(knee, part)
    yield from make_ready(knee.catalogue, knee.start, knee.signs, (part,), knee.readied, also=also)


def _rest_pain_above_limit(knee: KneeRoutine) -> bool:
    return knee.rest_pain is not None and knee.rest_pain > rest_pain_limit(knee.plan)


def _dosed(knee: KneeRoutine) -> Walk[None]:
    """Today's dose, and why, where it is not simply the plan's."""
    knee.dose = knee.start.dose(knee.gate.after_last)
    if knee.dose is None:
        return
    knee.course = replace(knee.course, rounds=knee.dose.rounds)
    new = knee.dose.why == "more_next_morning_1" and knee.gate.after_last == "more_next_morning"
    if new or knee.dose.steps or knee.dose.call or knee.dose.why == "given_back":
        yield DosePage(dose=knee.dose)


def _body(knee: KneeRoutine) -> Walk[None]:
    hands_off = knee.start.hands_off
    if knee.start.wearing_stage > 0:
        check = yield from tape_check_walk()
        knee.signs.extend(check.signs)
        if check.off and hands_off == "tape_on":
            hands_off = "tape_came_off"
    submitted = yield RestPainPage(limit=rest_pain_limit(knee.plan))
    knee.rest_pain = submitted["score"]
    hands_off = hands_off or _hands_closed(knee)
    if hands_off is None and not (yield from _made_ready(knee, "hands")):
        hands_off = "helper_needed"
    if hands_off is not None:
        yield from _without_hands(knee, hands_off)
        return
    yield from _scored_part(knee)


def _hands_closed(knee: KneeRoutine) -> HandsOff | None:
    """Why hands are closed, by what is most pressing."""
    if "hands" not in _closed(knee):
        return None
    still = [sign for sign, parts in knee.signs_open.items() if "hands" in parts]
    holding = [*still, *(sign.sign for sign in knee.signs if not sign.mistake)]
    rows = [knee.catalogue.policy.sign(sign) for sign in holding]
    by = [one.until for row in rows for one in row.closes if "hands" in one.parts]
    if "hands" in knee.start.closed or any(until != "skin_clear" for until in by):
        return "locked"
    return "skin" if by else "rest_pain"


def _without_hands(knee: KneeRoutine, hands_off: HandsOff) -> Walk[None]:
    """A day on which only exercises are left, if any: nothing is scored."""
    bad = knee.start.bad.spell is not None or knee.start.other_knee_bad or knee.start.bad_today
    if bad or knee.other_bad:
        knee.bad_day = True
    count = len(_exercises(knee))
    by_rest = _rest_pain_above_limit(knee)
    spell, call = _spell(knee, bad=by_rest or knee.bad_day)
    if hands_off != "not_in_plan" or count == 0 or spell:
        yield NoHandsPage(
            reason=hands_off,
            exercises=count,
            rest_pain=knee.rest_pain if by_rest else None,
            spell=spell,
            call=call,
        )
    yield from _exercise_part(knee)


def _scored_part(knee: KneeRoutine) -> Walk[None]:
    if not (yield from _made_ready(knee, "check_move")):
        yield from _without_score(knee)
    yield from _first_score(knee)
    for turn in range(1, 20):
        scores = standing(knee.course, knee.moves)
        hands_off = _hands_closed(knee)
        steps = _round(knee)
        no_move = _move_closed(knee)
        if no_move and scores.repeat:
            yield from _without_score(knee)
        decision = _decision(knee, scores)
        if hands_off is not None and not knee.exercised and decision.action != "end":
            # A sign ticked between the moves: what is left without hands, and no new tape.
            yield from _without_hands(knee, hands_off)
            raise Ended("finished", "hands_not_allowed_today")
        if no_move and decision.action in ("hands_round", "tape_stage"):
            yield from _without_score(knee)
        if len(knee.moves) > 1:
            yield from _told(knee, decision, f"decision:{turn}")
        match decision.action:
            case "hands_round":
                yield from _hands_round(knee, steps)
                yield from _move(knee, "after_hands")
            case "tape_stage":
                yield from _exercise_part(knee)
                stage = decision.stage or 1
                if (yield from _tape_on(knee, stage)):
                    raise Ended("finished", "tape_not_on")
                if decision.scored:
                    yield from _move(knee, "after_tape", stage)
                else:
                    knee.stage_unscored = stage
            case "tape_off_end":
                yield TapeTakenOffPage()
                knee.stage = 0
                raise Ended("stopped", decision.reason)
            case "end":
                raise Ended("stopped", decision.reason)
            case "finish":
                yield from _exercise_part(knee)
                raise Ended("finished", decision.reason)


def _told(knee: KneeRoutine, decision: Decision, key: str) -> Walk[None]:
    """What the scores say. In a short evening that nothing more is done by hand is read at its end,
    with all the rest."""
    before = standing(knee.course, knee.moves).before
    assert before is not None
    steps = _round(knee) if decision.action == "hands_round" else ()
    goes_on = decision.action in ("tape_stage", "finish") and not knee.exercised
    result = DecisionPage(
        key=key,
        before=before,
        latest=knee.moves[-1].score,
        role=knee.moves[-1].role,
        decision=decision,
        start_zones=_start_zones(knee, steps),
        tape_off=knee.start.tape_off if decision.reason == "tape_not_allowed_today" else (),
        exercises_next=len(_exercises(knee)) if goes_on else 0,
        enough=_enough(knee),
    )
    if knee.start.short and decision.action == "finish":
        knee.result = replace(result, exercises_next=0)
    else:
        yield result


def _decision(knee: KneeRoutine, scores: Standing) -> Decision:
    """What these scores come to."""
    return decide_from(
        knee.course,
        scores,
        "blocked" if knee.start.tape_off else "ok",
        stage_on_unscored=knee.stage_unscored,
        hands_allowed=_hands_closed(knee) is None and bool(_round(knee)),
    )


def _first_score(knee: KneeRoutine) -> Walk[None]:
    """The score before anything; on a bad day the rest of the routine too."""
    if knee.start.ask_about_ten:
        yield TenPage()
    if not knee.start.short:
        submitted = yield DepthPage()
        as_plan = submitted["depth"] == "as_plan"
        how = submitted.get("how")
        knee.depth = knee.plan.check_move.depth if as_plan else Depth(how_low=how)
    yield from _move(knee, "before")
    why = yield from _bad_why(knee)
    if why is not None:
        yield from _bad_day(knee, why)


def _bad_why(knee: KneeRoutine) -> Walk[BadWhy | None]:
    """What makes this a bad day, once the move was scored; None where nothing does.

    A spell that the person said had begun is theirs to end, also when the score is lower: they are
    asked. One of bad sessions ends by the score itself.
    """
    score, mark = knee.moves[-1].score, knee.start.bad.mark
    if mark is not None and score >= mark:
        return "mark"
    if knee.start.other_knee_bad or knee.other_bad:
        return "other_knee"
    spell = knee.start.bad.spell
    if spell is None or not spell.pressed:
        return None
    submitted = yield SpellPage(score=score, mark=mark)
    return None if submitted["over"] == "yes" else "spell"


def _bad_day(knee: KneeRoutine, why: BadWhy) -> Walk[None]:
    """What is left on a bad day: the move is not made again, one hands round where hands are open,
    no new tape, the exercises that stay."""
    knee.bad_day = True
    steps = _round(knee) if _hands_closed(knee) is None else ()
    spell, call = _spell(knee, bad=True)
    yield BadDayPage(
        why=why,
        score=knee.moves[-1].score,
        mark=knee.start.bad.mark,
        hands=len(steps),
        exercises=len(_exercises(knee)),
        spell=spell,
        call=call,
    )
    yield from _what_is_left(knee, steps)
    raise Ended("finished", "bad_day")


def _spell(knee: KneeRoutine, *, bad: bool) -> tuple[bool, SpellCall | None]:
    """Whether today belongs to a bad spell, which a bad session today may make it, and why the
    clinic is told."""
    spell = knee.start.bad.spell
    if spell is not None:
        return True, spell.call
    running = knee.start.bad.running + 1
    if not bad or running < bad_day_rule(knee.catalogue.policy).running:
        return False, None
    return True, "no_flare_plan" if knee.plan.flare_plan is None else None


def _without_score(knee: KneeRoutine) -> Walk[None]:
    """What is left where the check move is closed: one hands round where none was done and hands
    are open, and the exercises that are. Nothing goes by a score, so no tape goes on (rule r10).
    """
    hands_open = _hands_closed(knee) is None and not knee.rounds
    steps = _round(knee) if hands_open else ()
    if not knee.exercised:
        yield NoMovePage(hands=len(steps), exercises=len(_exercises(knee)))
    yield from _what_is_left(knee, steps)
    raise Ended("finished", "no_check_move")


def _what_is_left(knee: KneeRoutine, steps: tuple[Technique, ...]) -> Walk[None]:
    """One hands round of these steps, and the exercises."""
    if steps:
        yield from _hands_round(knee, steps, rounds=1)
    yield from _exercise_part(knee)


def _move(knee: KneeRoutine, role: MoveRole, stage: int | None = None) -> Walk[None]:
    """One check move; made once more when it was done at another depth and a move is left.

    Both are kept. A sore place that is new at the back of the knee opens the stop list.
    """
    number = sum(move.role == role for move in knee.moves) + 1
    again = False
    depth = knee.start.short and role == "before"
    while True:
        key = f"move:{role}:{number}" + (":again" if again else "")
        submitted: Given = yield MovePage(
            key=key,
            role=role,
            number=len(knee.moves) + 1,
            allowed=knee.plan.check_moves,
            stage=stage,
            again=again,
            mark=knee.start.bad.mark if role == "before" else None,
            enough=_enough(knee) if role != "before" else None,
            depth=depth,
        )
        if depth and submitted["depth"] == "as_plan":
            knee.depth = knee.plan.check_move.depth
        elif depth:
            knee.depth = Depth(how_low=(yield HowSetUpPage()).get("how"))
        move = MoveScore(
            role=role,
            score=submitted["score"],
            stage=stage,
            same_depth=submitted.get("same_depth"),
        )
        zones: tuple[Zone, ...] = ()
        if move.score > 0 and _where_asked(knee, move):
            answer = yield ZonesPage(key=f"zones:{key}", role=role)
            zones = tuple(answer["zones"])
        knee.moves.append(replace(move, zones=zones))
        known = (*knee.start.known_zones, *(z for move in knee.moves[:-1] for z in move.zones))
        if opens_stop_list(zones, known, knee.catalogue.zones):
            yield from stop_list_walk(
                knee.catalogue,
                knee.start.asked_signs,
                (NEW_PLACE_QUESTION,),
                "new_place",
                f"list:{key}",
                knee.signs,
                two_knees=knee.start.two_knees,
                earlier=tuple(knee.signs_open),
            )
        closed = _move_closed(knee)
        if again or closed or not standing(knee.course, knee.moves).repeat:
            return
        again = True


def _where_asked(knee: KneeRoutine, last: MoveScore) -> bool:
    """Whether it is asked where the last move hurt. In a short evening after a round only where
    another one follows or it was the last move: what comes next goes by it, or it is kept."""
    if not knee.start.short or last.role == "before":
        return True
    scores = standing(knee.course, (*knee.moves, last))
    if scores.repeat:
        return False
    decision = _decision(knee, scores)
    return not (decision.action == "tape_stage" and decision.scored)


def _enough(knee: KneeRoutine) -> int | None:
    """The highest score that meets the plan's target; None where there is nothing to ease."""
    before = next((move.score for move in knee.moves if move.role == "before"), None)
    met = (
        score
        for score in range(before or 0)
        if target_met(before or 0, score, knee.plan.ease_target_percent)
    )
    return max(met, default=None)


def _round(knee: KneeRoutine) -> tuple[Technique, ...]:
    """The steps of the next hands round in order: not those that were stopped in this session."""
    stopped = {step.step for steps in knee.rounds for step in steps if step.outcome == "stopped"}
    left = {t.technique: t for t in knee.start.techniques if t.technique not in stopped}
    order = round_order(
        [knee.catalogue.technique(name) for name in left],
        knee.moves[0].zones if knee.rounds else (),
        knee.zones if knee.rounds else (),
        HandsRound(steps=tuple(knee.rounds[-1])) if knee.rounds else None,
    )
    return tuple(left[name] for name in order)


def _start_zones(knee: KneeRoutine, steps: tuple[Technique, ...]) -> tuple[Zone, ...]:
    """The places sore now that the steps of the next round reach."""
    reached = {zone for step in steps for zone in knee.catalogue.technique(step.technique).zones}
    return tuple(zone for zone in knee.zones if zone in reached)


def _hands_round(
    knee: KneeRoutine, order: tuple[Technique, ...], *, rounds: int | None = None
) -> Walk[None]:
    """One hands round, of `rounds` to come when that is not the plan's number."""
    round_number = len(knee.rounds) + 1
    steps: list[StepDone] = []
    knee.rounds.append(steps)
    by_name = {one.technique: one for one in order}
    pages = tuple(together(by_name, knee.start.known_steps))
    ready_here = round_number == 1 and bool(pages) and len(pages[0]) > 1
    if round_number == 1 and not ready_here:
        yield HandsReadyPage()

    def one_by_one(names: Iterable[str]) -> Walk[None]:
        for name in names:
            if "hands" in _closed(knee):
                return  # closed since the round began: it was left lying, and asked about again
            technique, index = by_name[name], tuple(by_name).index(name) + 1
            key = f"step:{round_number}:{index}"
            submitted = yield StepPage(
                key=key,
                round_number=round_number,
                rounds=knee.course.rounds if rounds is None else rounds,
                index=index,
                count=len(order),
                technique=technique,
                asks=asked_in(knee.catalogue, knee.start, knee.signs, "hands"),
                most_pain=step_limit("hands", knee.plan, knee.rest_pain).most,
            )
            yield from _step_done(knee, "hands", key, technique, submitted, steps)

    for number, names in enumerate(pages, 1):
        if len(names) == 1:
            yield from one_by_one(names)
        elif "hands" not in _closed(knee):
            page = KnownStepsPage(
                key=f"steps:{round_number}:{number}",
                part="hands",
                steps=tuple(by_name[name] for name in names),
                round_number=round_number,
                most_pain=step_limit("hands", knee.plan, knee.rest_pain).most,
                hands_ready=ready_here and number == 1,
                asks=asked_in(knee.catalogue, knee.start, knee.signs, "hands"),
            )
            yield from _known_done(knee, page, one_by_one, steps)


def least_seconds(step: Technique | Exercise) -> int:
    """How many seconds a step takes by its plan at least."""
    if isinstance(step, Technique):
        return step.seconds * step.repeats
    return step.sets * step.repeats * max(step.hold_seconds, LEAST_REPEAT_SECONDS)


def _known_done(
    knee: KneeRoutine,
    page: KnownStepsPage,
    one_by_one: Callable[[Iterable[str]], Walk[None]],
    steps: list[StepDone],
) -> Walk[None]:
    """Several steps on one page: done as they were counted, or each as it is said to have gone.
    What is not done yet comes the long way."""
    submitted = yield page
    by_name = {step.name: step for step in page.steps}
    said: dict[str, EachSaid]
    took: int | None = submitted.get("took")
    quick = took is not None and took < sum(map(least_seconds, page.steps)) * QUICK_SHARE
    if submitted["outcome"] == "done" and not quick:
        said = dict.fromkeys(by_name, "done")
    else:
        quick = quick and submitted["outcome"] == "done"
        each = EachStepPage(
            key=f"{page.key}:each", part=page.part, names=tuple(by_name), quick=quick
        )
        answers = yield each
        said = {name: answers[name] for name in by_name}
    counted = dict(zip(by_name, submitted.get("each") or (), strict=False))
    for name, outcome in said.items():
        if outcome != "not_yet":
            seconds, often = counted.get(name) or (None, None)
            how = {"outcome": outcome, "seconds": seconds, "counted": often}
            key = f"{page.key}:{name}"
            yield from _step_done(knee, page.part, key, by_name[name], how, steps)
    yield from one_by_one(name for name, outcome in said.items() if outcome == "not_yet")


def _step_done(
    knee: KneeRoutine,
    part: RoutinePart,
    key: str,
    step: Technique | Exercise,
    submitted: Given,
    steps: list[StepDone],
) -> Walk[None]:
    """What came of a step."""
    name, takes = step.name, least_seconds(step)
    pain: int | None = submitted.get("pain")
    limit = step_limit(part, knee.plan, knee.rest_pain)
    if submitted["outcome"] == "stopped" and "pain" not in submitted:
        page = StepHurtPage(key=f"{key}:hurt", part=part, name=name, most_pain=limit.most)
        pain = (yield page).get("pain")
    stop = limit.by if pain is not None and pain > limit.most else None
    outcome: Outcome = "stopped" if stop is not None else submitted["outcome"]
    took: int | None = submitted.get("took")
    if outcome == "done" and took is not None and took < takes * QUICK_SHARE:
        quick = QuickStepPage(key=f"{key}:quick", part=part, name=name, seconds=takes)
        outcome = (yield quick)["outcome"]
    sheet = knee.catalogue.technique(name) if part == "hands" else knee.catalogue.exercise(name)
    steps.append(
        StepDone(
            step=name,
            outcome=outcome,
            seconds=submitted.get("seconds"),
            pain=pain,
            counted=submitted.get("counted"),
            sheet=sheet.version,
        )
    )
    if outcome == "stopped":
        yield StepStoppedPage(
            key=f"{key}:stopped", stop=stop or "said", pain=pain, most_pain=limit.most
        )


def _exercises(knee: KneeRoutine) -> tuple[Exercise, ...]:
    """Today's exercises: the seated and the standing ones, each where they are open. On a bad day
    and one of pain at rest also none the plan leaves out then; one done standing that the plan has
    in an easier form on a bad day stays."""
    bad = knee.bad_day or _rest_pain_above_limit(knee)
    found = []
    for exercise in knee.start.exercises:
        part = knee.catalogue.policy.exercise_part(exercise.exercise)
        held = exercise.exercise in knee.catalogue.policy.at_support
        closed = _closed(knee, at_support=held)
        but_bad = _closed(knee, at_support=held, by_scores=False)
        only_bad = not _rest_pain_above_limit(knee) and part not in but_bad
        stays = part not in closed or (only_bad and exercise.on_bad_days == "easier")
        if stays and not (bad and exercise.on_bad_days == "left_out"):
            found.append(exercise)
    return tuple(found)


def _easier(knee: KneeRoutine, exercise: Exercise) -> bool:
    """Whether an exercise is done in its easier form: on a bad day where the plan says so, where
    only that is done holding on and nothing else is open, and where the check move it is like was
    last scored above the ceiling of exercise."""
    sheet = knee.catalogue.exercise(exercise.exercise)
    if sheet.easier is None:
        return False
    if knee.bad_day and exercise.on_bad_days == "easier":
        return True
    part = knee.catalogue.policy.exercise_part(exercise.exercise)
    if sheet.holds_on == "easier" and _support_asked(knee, part):
        return True
    hurt = bool(knee.moves) and knee.moves[-1].score > ceiling_of("exercise", knee.plan)
    return hurt and knee.plan.check_move.name in sheet.practises


def _exercise_part(knee: KneeRoutine) -> Walk[None]:
    if knee.exercised:
        return
    knee.exercised = True
    part_of = knee.catalogue.policy.exercise_part
    for part in EXERCISE_PARTS:
        if any(part_of(one.exercise) == part for one in _exercises(knee)):
            yield from _asked_for(knee, part)
    offered = {one.exercise: one for one in _exercises(knee)}

    def most_pain() -> int:
        return step_limit("exercise", knee.plan, knee.rest_pain).most

    def asks(exercise: Exercise) -> tuple[Ask, ...]:
        return _asks_in(knee, part_of(exercise.exercise))

    def as_planned(exercise: Exercise) -> bool:
        other = knee.other_as_planned
        if other is not None and knee.catalogue.exercise(exercise.exercise).both_legs:
            return other(exercise) and knee.as_planned(exercise)
        return knee.as_planned(exercise)

    def one_by_one(names: Iterable[str]) -> Walk[None]:
        for name in names:
            exercise = offered[name]
            if exercise not in _exercises(knee):
                continue  # closed since they began
            index = tuple(offered).index(name) + 1
            key = f"exercise:{index}"
            repeats = _repeats(knee, exercise)
            today = replace(exercise, repeats=repeats)
            submitted = yield ExercisePage(
                key=key,
                index=index,
                count=len(offered),
                exercise=today,
                most_pain=most_pain(),
                easier=_easier(knee, exercise),
                planned=exercise.repeats if repeats < exercise.repeats else None,
                asks=asks(exercise),
            )
            yield from _step_done(knee, "exercise", key, today, submitted, knee.exercises)

    known = [
        name for name in knee.start.known_steps if name in offered and as_planned(offered[name])
    ]
    for number, names in enumerate(together(offered, known), 1):
        still = _exercises(knee)
        here = tuple(offered[name] for name in names if offered[name] in still)
        if len(here) < 2:
            yield from one_by_one(one.exercise for one in here)
            continue
        page = KnownStepsPage(
            key=f"exercises:{number}",
            part="exercise",
            steps=here,
            round_number=1,
            most_pain=most_pain(),
            asks=tuple(dict.fromkeys(ask for one in here for ask in asks(one))),
        )
        yield from _known_done(knee, page, one_by_one, knee.exercises)


def _repeats(knee: KneeRoutine, exercise: Exercise) -> int:
    """The repeats of an exercise by today's dose."""
    if knee.dose is None:
        return exercise.repeats
    names = [one.exercise for one in knee.plan.exercises]
    return knee.dose.repeats[names.index(exercise.exercise)]


def _tape_on(knee: KneeRoutine, stage: int) -> Walk[bool]:
    """Put on the tape of `stage`, from what is on. True when it did not go on."""
    if "tape_on" in _closed(knee):
        yield NoTapePage(reasons=("locked",))
        return True
    on_now = knee.stage or 0
    if on_now == 0:
        refused = yield from tape_questions(
            stage,
            helper_needed=knee.start.helper_needed,
            asks=asked_in(knee.catalogue, knee.start, knee.signs, "tape_on"),
        )
        if refused:
            yield NoTapePage(reasons=refused)
            return True
    put_on = yield from tape_steps(knee.catalogue, on_now, stage, knee.start.next_wear)
    if put_on:
        knee.stage = stage
    return not put_on
