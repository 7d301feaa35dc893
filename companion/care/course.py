"""The course of one session: what comes after each score.

The rule is a table (`tests/care/session_decisions.csv`) and a few sentences; where the two leave
a gap, the comment at the branch says what was decided and why.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from companion.care.ease import target_met
from companion.care.records import MoveScore, Plan, WhenTape

Action = Literal["hands_round", "finish", "end", "tape_stage", "tape_off_end"]
"""finish: the session goes on to its last page. end: it stops here. tape_off_end: the tape put on
in this session comes off first."""
Reason = Literal[
    "prescribed",
    "target_met",
    "target_missed",
    "short_of_target",
    "plan_tapes_always",
    "tape_not_allowed_today",
    "tape_did_not_add",
    "worse",
    "worse_with_tape",
    "nothing_to_ease",
    "low_score",
    "not_comparable",
    "moves_used_up",
    "hands_not_allowed_today",
]
EndReason = Literal[
    Reason,
    "tape_not_on",
    "bad_day",
    "exercise_only",
    "nothing_today",
    "no_check_move",
    "locked",
    "card",
    "wanted",
    "left_behind",
    "tape_on",
    "trial",
    "stale",
]
"""Why a routine ended: a decision, a part of it, or what came between. left_behind: its day was
over. no_check_move: the check move is
closed, so nothing was scored. stale: it was begun by an older version of the program."""
GateCode = Literal["ok", "blocked"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """What the plan sets for a session. Scores and amounts on the 0-10 scale."""

    target_percent: int
    rounds: int
    when_tape: WhenTape
    start: int
    highest: int
    stop_amount: int
    low_score: int
    check_moves: int

    @classmethod
    def from_plan(cls, plan: Plan, start: int | None = None) -> "Course":
        """The course of a plan; `start` is the starting stage when it is not the plan's own."""
        return cls(
            target_percent=plan.ease_target_percent,
            rounds=plan.rounds,
            when_tape=plan.tape.when,
            start=plan.tape.start if start is None else start,
            highest=plan.tape.highest,
            stop_amount=plan.stop_amount,
            low_score=plan.low_score,
            check_moves=plan.check_moves,
        )


@dataclass(frozen=True, slots=True)
class Decision:
    """What comes next and why. `stage` only with `tape_stage`.

    `scored`: a check move follows. False on `tape_stage` means the tape goes on unscored because
    the check moves are used up.
    """

    action: Action
    reason: Reason
    stage: int | None = None
    scored: bool = False


@dataclass(frozen=True, slots=True)
class Standing:
    """A session's check moves, read. `before` None: no score yet.

    `repeat`: the depth of the last move differed and it is to be made once more.
    """

    before: int | None
    after_hands: tuple[int, ...]
    after_tape: tuple[tuple[int, int | None], ...]
    comparable: bool
    moves_used: int
    repeat: bool


def decide(
    course: Course,
    before: int,
    after_hands: Sequence[int] = (),
    after_tape: Sequence[tuple[int, int | None]] = (),
    tape_gate: GateCode = "ok",
    comparable: bool = True,
    *,
    moves_used: int | None = None,
    hands_allowed: bool = True,
) -> Decision:
    """What comes after these scores (0-10, in the order they were given).

    `after_tape` holds (stage, score); the score is None for a stage that went on unscored.
    `tape_gate` is the gate as judged before the first stage of this session. `comparable` is
    False when the depth of the last move differed, and differed again or could not be repeated.
    `moves_used` counts every check move made, repeated ones too; without it each score is one.
    """
    used = 1 + len(after_hands) + len(after_tape) if moves_used is None else moves_used
    left = course.check_moves - used
    rise = _rise(course, before, after_hands, after_tape)
    if rise is not None:
        return Decision("tape_off_end" if after_tape else "end", rise)
    if after_tape:
        return _after_tape(course, before, after_hands, after_tape, tape_gate, comparable, left)
    if after_hands and not comparable:
        return Decision("finish", "not_comparable")
    met = bool(after_hands) and target_met(before, after_hands[-1], course.target_percent)
    if not after_hands and hands_allowed:
        return Decision("hands_round", "prescribed", scored=True)
    low = before <= course.low_score
    if not met and not low and hands_allowed and len(after_hands) < course.rounds and left > 0:
        return Decision("hands_round", "target_missed", scored=True)
    return _first_tape(course, before, after_hands, met, tape_gate, left)


def made_again(moves: Iterable[MoveScore]) -> Iterator[bool]:
    """For each check move of a session whether it repeats the one before it: that differed in
    depth, and was no repeat itself."""
    differed: MoveScore | None = None
    for move in moves:
        again = differed is not None and (differed.role, differed.stage) == (move.role, move.stage)
        yield again
        differed = move if move.same_depth is False and not again else None


def standing(course: Course, moves: Sequence[MoveScore]) -> Standing:
    """Read a session's check moves. A move at another depth is followed by its repeat.

    The repeat's score takes the place of the first; both count as check moves made.
    """
    before: int | None = None
    hands: list[int] = []
    tape: list[tuple[int, int | None]] = []
    differs = repeats = False
    for move, repeats in zip(moves, made_again(moves), strict=True):
        differs = move.same_depth is False
        if move.role == "before":
            before = move.score
        elif move.role == "after_hands":
            if repeats:
                hands[-1] = move.score
            else:
                hands.append(move.score)
        else:
            scored = (move.stage or 1, move.score)
            if repeats:
                tape[-1] = scored
            else:
                tape.append(scored)
    left = course.check_moves - len(moves)
    rise = None if before is None else _rise(course, before, hands, tape)
    return Standing(
        before=before,
        after_hands=tuple(hands),
        after_tape=tuple(tape),
        comparable=not differs,
        moves_used=len(moves),
        # A rise of the stop amount wins over differing depth: nobody is asked to move again.
        repeat=differs and not repeats and rise is None and left > 0,
    )


def decide_from(
    course: Course,
    now: Standing,
    tape_gate: GateCode = "ok",
    *,
    stage_on_unscored: int | None = None,
    hands_allowed: bool = True,
) -> Decision:
    """`decide` for moves already read. `stage_on_unscored`: tape that went on without a move.

    Raises ValueError without a before score, or while a move is still to be repeated.
    """
    if now.before is None:
        raise ValueError("nothing can be decided before the first score")
    if now.repeat:
        raise ValueError("the last move is to be repeated first")
    tape = now.after_tape
    if stage_on_unscored is not None:
        tape = (*tape, (stage_on_unscored, None))
    return decide(
        course,
        now.before,
        now.after_hands,
        tape,
        tape_gate,
        now.comparable,
        moves_used=now.moves_used,
        hands_allowed=hands_allowed,
    )


def _rise(
    course: Course,
    before: int,
    after_hands: Sequence[int],
    after_tape: Sequence[tuple[int, int | None]],
) -> Reason | None:
    """Why the last score ends the session, if it rose by the stop amount.

    Decided: the rise is measured from the lowest score of the session so far, not only from the
    one before it, so that pain which creeps up point by point ends the session too.
    """
    scores = [before, *after_hands, *(score for _, score in after_tape if score is not None)]
    if len(scores) < 2 or scores[-1] < min(scores[:-1]) + course.stop_amount:
        return None
    with_tape = any(score is not None for _, score in after_tape)
    if with_tape and scores[-1] < before + course.stop_amount:
        return "worse_with_tape"
    return "worse"


def _after_tape(
    course: Course,
    before: int,
    after_hands: Sequence[int],
    after_tape: Sequence[tuple[int, int | None]],
    tape_gate: GateCode,
    comparable: bool,
    left: int,
) -> Decision:
    stage, last = after_tape[-1]
    if last is None:
        return Decision("finish", "moves_used_up")
    if not comparable:
        return Decision("finish", "not_comparable")
    if target_met(before, last, course.target_percent):
        return Decision("finish", "target_met")
    earlier = [before, *after_hands, *(score for _, score in after_tape[:-1] if score is not None)]
    # More tape only if the last stage did not raise the score. Decided: this reason also wins
    # over used-up moves, because it is what the person should know.
    if last > earlier[-1]:
        return Decision("finish", "tape_did_not_add")
    if before == 0:
        return Decision("finish", "nothing_to_ease")
    if before <= course.low_score:
        return Decision("finish", "low_score")
    if stage + 1 > course.highest or left <= 0:
        return Decision("finish", "short_of_target")
    if tape_gate == "blocked":
        return Decision("finish", "tape_not_allowed_today")
    return Decision("tape_stage", "target_missed", stage + 1, scored=True)


def _first_tape(
    course: Course,
    before: int,
    after_hands: Sequence[int],
    met: bool,
    tape_gate: GateCode,
    left: int,
) -> Decision:
    """Hands are done for today: tape as the plan says, else the reason to finish."""
    reason: Reason
    if met:
        reason = "target_met"
    elif not after_hands:
        reason = "hands_not_allowed_today"
    elif before == 0:
        reason = "nothing_to_ease"
    elif before <= course.low_score:
        reason = "low_score"
    else:
        reason = "short_of_target"
    # Decided: without a hands round there is no missed target, so only a plan that tapes always
    # goes on to tape on such a day.
    always = course.when_tape == "always"
    wanted = always or (course.when_tape == "if_missed" and reason == "short_of_target")
    if not wanted or course.highest < 1:
        return Decision("finish", reason)
    if tape_gate == "blocked":
        return Decision("finish", "tape_not_allowed_today")
    # Decided: a plan that tapes always would tape whatever the score, so that is the reason
    # given even when the target was missed.
    why: Reason = "plan_tapes_always" if always else "target_missed"
    # A starting stage above the highest is a fault of the plan; the highest wins.
    stage = min(max(course.start, 1), course.highest)
    return Decision("tape_stage", why, stage, scored=left > 0)
