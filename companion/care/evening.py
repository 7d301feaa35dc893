"""One evening of two knees: one gate, then both routines page by page beside each other.

Each knee walks its own routine, so whatever holds for one holds here. It is for evenings on which
no sign is open from before: with one, each knee has an evening of its own. What both do at once is
one page: the pain at rest, a check move of both legs with a score for each, an exercise of both
legs, the setting up, and the look at it all. Where they differ, the one that is behind goes first.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from companion.care.catalogue import Catalogue
from companion.care.course import EndReason
from companion.care.flow import Given, Walk, WalkPage, played_out
from companion.care.known_steps import MOST_TOGETHER
from companion.care.ready import ReadyPage
from companion.care.records import MoveName, Plan, Record, SessionEnd, Side
from companion.care.routine import (
    DepthPage,
    ExercisePage,
    HandsReadyPage,
    HowSetUpPage,
    KneeRoutine,
    KnownStepsPage,
    LookOverPage,
    MovePage,
    RestPainPage,
    RoutineEnd,
    RoutineStart,
    StepPage,
    TenPage,
)
from companion.care.stopping import (
    Ended,
    Gate,
    GateStart,
    WhichKneePage,
    gate_walk,
    of_knee,
)
from companion.care.taping import TapeOnPage, TapeReadyPage, TapeStepPage, TapeStoppedPage

BOTH_LEGS: tuple[MoveName, ...] = ("rise_from_chair", "small_squat")
"""Check moves that both legs make at once (our choice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EveningStart(GateStart):
    """What the evening stands on: the gate of both knees, and each knee's own routine."""

    knees: tuple[RoutineStart, ...]

    @property
    def short(self) -> bool:
        """Whether it is a short evening for both."""
        return all(knee.short for knee in self.knees)


@dataclass(frozen=True, slots=True, kw_only=True)
class EveningEnd(Record):
    """How each knee's routine ended, in the order of the knees."""

    sides: tuple[Side, ...]
    ends: tuple[RoutineEnd, ...]

    @property
    def reason(self) -> EndReason:
        """Why the evening ended: by a card, or as the first knee's did."""
        reasons = [end.reason for end in self.ends]
        return "card" if "card" in reasons else reasons[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class BothRestPage:
    """Pain at rest of both knees. Given: a score by knee. `limits` in the order of the knees."""

    key: str
    sides: tuple[Side, ...]
    limit: int


@dataclass(frozen=True, slots=True, kw_only=True)
class BothMovePage:
    """One check move of both legs. Given: a score by knee, `same_depth` and `depth` as for one."""

    key: str
    sides: tuple[Side, ...]
    moves: tuple[MovePage, ...]

    @property
    def about(self) -> tuple[object, ...]:
        """The move that is scored."""
        return tuple(move.about for move in self.moves)


@dataclass(frozen=True, slots=True, kw_only=True)
class BothExercisesPage:
    """Exercises of both knees that are known, with one clock. Given as for those of one, `each` in
    the order of `legs`: an exercise of both legs is done once, one of a single leg once for each.
    """

    key: str
    sides: tuple[Side, ...]
    page: KnownStepsPage
    legs: tuple[tuple[str, Side | None], ...]

    @property
    def about(self) -> tuple[object, ...]:
        """The exercises that were done, and by which leg."""
        return self.legs


@dataclass(frozen=True, slots=True, kw_only=True)
class BothExercisePage:
    """One exercise of both legs. Given as for one knee."""

    key: str
    sides: tuple[Side, ...]
    page: ExercisePage

    @property
    def about(self) -> tuple[object, ...]:
        """The exercise that was done."""
        return self.page.about


@dataclass(frozen=True, slots=True, kw_only=True)
class BothLookOverPage:
    """Everything of both sessions, to look over and write down."""

    key: str
    sides: tuple[Side, ...]
    pages: tuple[LookOverPage, ...]


def evening(
    plan: Plan, catalogue: Catalogue, start: EveningStart
) -> Callable[[], Walk[EveningEnd]]:
    """The walk through the evening of both knees, to be replayed by `flow.replay`."""
    return lambda: _Evening(plan, catalogue, start).walk()


def evening_so_far(
    plan: Plan,
    catalogue: Catalogue,
    start: EveningStart,
    answers: Iterable[Given],
    *,
    ended: SessionEnd,
    reason: EndReason,
) -> EveningEnd:
    """What the sessions hold after `answers`, ended as said: for Stop, and for one left behind."""
    held = _Evening(plan, catalogue, start)
    end = played_out(held.walk(), answers)
    return held.end(ended, reason) if end is None else end


class _Evening:
    """One replay of an evening."""

    def __init__(self, plan: Plan, catalogue: Catalogue, start: EveningStart) -> None:
        self._plan, self._catalogue, self._start = plan, catalogue, start
        self._sides = tuple(knee.side for knee in start.knees)
        self._gate = Gate()
        self._knees: dict[Side, KneeRoutine] = {}

    def end(self, ended: SessionEnd, reason: EndReason) -> EveningEnd:
        """Both sessions as they stand."""
        knees = (self._knees.get(side) or self._knee(side) for side in self._sides)
        ends = tuple(knee.end(ended, reason) for knee in knees)
        return EveningEnd(sides=self._sides, ends=ends)

    def walk(self) -> Walk[EveningEnd]:
        """The gate, and both routines."""
        try:
            yield from gate_walk(self._catalogue, self._start, self._gate)
        except Ended as stop:
            return self.end(stop.ended, stop.reason)
        self._knees = {side: self._knee(side) for side in self._sides}
        one, other = self._knees.values()
        one.other_as_planned, other.other_as_planned = other.as_planned, one.as_planned
        ends = yield from self._side_by_side()
        return EveningEnd(sides=self._sides, ends=tuple(ends[side] for side in self._sides))

    # ------------------------------------------------------------ what the gate is to one knee

    def _knee(self, side: Side) -> KneeRoutine:
        """The routine of one knee, with what the gate is to it."""
        start = next(knee for knee in self._start.knees if knee.side == side)
        others = [
            one.sign for one in self._gate.ticked if self._gate.of_other(self._catalogue, one, side)
        ]
        gate = replace(
            self._gate,
            after_last=self._gate.after_last_of.get(side),
            ticked=[one for one in self._gate.ticked if one.sign not in others],
        )
        return KneeRoutine(
            plan=self._plan, catalogue=self._catalogue, start=start, gate=gate, of_other=others
        )

    # ------------------------------------------------------------ both knees

    def _side_by_side(self) -> Walk[Mapping[Side, RoutineEnd]]:
        """Both routines: a page of both where they stand at the same, else of the one behind."""
        ends: dict[Side, RoutineEnd] = {}
        pages: dict[Side, WalkPage] = {}
        walks = {side: knee.walk() for side, knee in self._knees.items()}

        def go_on(side: Side, submitted: Given | None) -> None:
            walk = walks[side]
            try:
                pages[side] = next(walk) if submitted is None else walk.send(submitted)
            except StopIteration as stop:
                pages.pop(side, None)
                ends[side] = stop.value

        for side in self._sides:
            go_on(side, None)
        # Of two that are as far the first knee goes first: `pages` keeps their order.
        while pages:
            joint = _joint(pages, self._plan, self._catalogue) if len(pages) > 1 else None
            if joint is not None:
                submitted = yield joint
                answers = split(joint, submitted, pages)
                for side, own in answers.items():
                    self._worse(side, pages[side], own)
                for side, own in answers.items():
                    go_on(side, own)
                continue
            side = min(pages, key=lambda one: rank(pages[one], self._catalogue))
            submitted = yield of_knee(side, pages[side])
            before, which = len(self._knees[side].signs), pages[side]
            if isinstance(which, WhichKneePage):
                self._gate.of_knee[which.sign] = submitted["knee"]
            self._worse(side, which, submitted)
            go_on(side, submitted)
            self._tell_other(side, before)
            if side in ends and ends[side].reason == "card":
                for other in pages:
                    ends[other] = self._knees[other].end("stopped", "card")
                return ends
        return ends

    def _worse(self, side: Side, page: WalkPage, submitted: Given) -> None:
        """A bad day of one knee is one of the other too (rule r14)."""
        match page:
            case RestPainPage():
                bad = submitted["score"] > page.limit
            case MovePage(role="before"):
                bad = page.mark is not None and submitted["score"] >= page.mark
            case _:
                return
        if bad:
            for other in self._sides:
                if other != side:
                    self._knees[other].other_bad = True

    def _tell_other(self, side: Side, before: int) -> None:
        """A sign that came up in one knee's routine closes for the other what it closes for both,
        and all it closes where it may be of that knee too."""
        new = [one for one in self._knees[side].signs[before:] if not one.mistake]
        for other in self._sides:
            if other != side and other in self._knees:
                for one in new:
                    self._gate.of_knee.setdefault(one.sign, side)
                    person = self._catalogue.policy.sign(one.sign).knee == "person"
                    if person or not self._gate.of_other(self._catalogue, one, other):
                        self._knees[other].signs.append(one)
                    else:
                        self._knees[other].of_other.append(one.sign)


# ---------------------------------------------------------------- pages


def rank(page: WalkPage, catalogue: Catalogue) -> int:
    """How far on in a routine a page stands: who is behind goes first. What interrupts a routine is
    not held up, and what both legs do waits for the other knee to come to it."""
    match page:
        case RestPainPage() | TenPage() | ReadyPage() | DepthPage() | HowSetUpPage():
            return 1
        case MovePage(role="before"):
            return 2
        case HandsReadyPage() | StepPage():
            return 3
        case KnownStepsPage():
            return 3 if page.part == "hands" else 5
        case MovePage(role="after_hands"):
            return 4
        case ExercisePage():
            return 6 if catalogue.exercise(page.exercise.exercise).both_legs else 5
        case TapeReadyPage() | TapeStepPage() | TapeStoppedPage() | TapeOnPage():
            return 7
        case MovePage():
            return 8
        case LookOverPage():
            return 9
    return 0


def _joint(pages: Mapping[Side, WalkPage], plan: Plan, catalogue: Catalogue) -> WalkPage | None:
    """The page of both knees, where both stand at the same."""
    sides, (one, other) = tuple(pages), tuple(pages.values())
    key = f"both:{one.key}"
    match one, other:
        case RestPainPage(), RestPainPage():
            return BothRestPage(key=key, sides=sides, limit=one.limit)
        case MovePage(), MovePage() if plan.check_move.name in BOTH_LEGS and _alike(one, other):
            return BothMovePage(key=key, sides=sides, moves=(one, other))
        case LookOverPage(), LookOverPage():
            return BothLookOverPage(key=key, sides=sides, pages=(one, other))
        case ExercisePage(), ExercisePage() if (
            one.exercise.exercise == other.exercise.exercise
            and catalogue.exercise(one.exercise.exercise).both_legs
        ):
            # Once for both, as the knee has it that does less.
            less = min(one, other, key=lambda page: (not page.easier, page.exercise.repeats))
            return BothExercisePage(key=key, sides=sides, page=less)
        case KnownStepsPage(part="exercise"), KnownStepsPage() if one.about == other.about:
            legs = _legs(one.about, sides, catalogue)
            if len(legs) <= MOST_TOGETHER + len(sides):
                return BothExercisesPage(key=key, sides=sides, page=one, legs=legs)
        case ((TenPage() | DepthPage() | HandsReadyPage() | ReadyPage()), _) if one == other:
            return replace(one, key=key)
    return None


def _alike(one: MovePage, other: MovePage) -> bool:
    """Whether it is the same move of both, not one of them made again."""
    return one.about == other.about and one.key == other.key


def _legs(
    names: Sequence[str], sides: Sequence[Side], catalogue: Catalogue
) -> tuple[tuple[str, Side | None], ...]:
    """Every exercise once where both legs do it, else once for each."""
    found: list[tuple[str, Side | None]] = []
    for name in names:
        if catalogue.exercise(name).both_legs:
            found.append((name, None))
        else:
            found += [(name, side) for side in sides]
    return tuple(found)


def split(
    joint: WalkPage, submitted: Given, pages: Mapping[Side, WalkPage]
) -> Mapping[Side, Given]:
    """What was answered on a page of both knees, to each."""
    match joint:
        case BothRestPage():
            return {side: {"score": submitted[side]} for side in joint.sides}
        case BothMovePage():
            shared = {name: submitted[name] for name in _SHARED if name in submitted}
            return {side: {"score": submitted[side], **shared} for side in joint.sides}
        case BothExercisesPage():
            each = submitted.get("each") or [None] * len(joint.legs)
            told = dict(zip(joint.legs, each, strict=True))
            names = joint.page.about
            return {
                side: {
                    **submitted,
                    "each": [told.get((n, side)) or told.get((n, None)) for n in names],
                }
                for side in joint.sides
            }
    return dict.fromkeys(pages, submitted)


_SHARED = ("same_depth", "depth")
