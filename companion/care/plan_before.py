"""The plan before, gone back to for a day: what both plans prescribe, and of each the stricter.

A new plan may be too much on a bad evening, and the clinic cannot be reached. Going back must never
open anything: what either plan closes stays closed, and what one of them does not hold is left out.
A plan with a tape trial is not gone back from, nor to one: its days are fixed. (C)
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TypeVar

from companion.care.caution_rules import counting_answers
from companion.care.records import (
    CautionAnswer,
    Exercise,
    KnownSign,
    Plan,
    RecordT,
    Support,
    TapePlan,
    Technique,
    WhenTape,
)
from companion.care.step_limits import ceiling_of

StepT = TypeVar("StepT", Technique, Exercise)
_LEAST_TAPE: tuple[WhenTape, ...] = ("never", "outings", "if_missed", "always")
_MOST_SUPPORT: tuple[Support | None, ...] = ("both_hands", "somebody_there", "nothing", None)


def plan_to_go_back_to(now: Plan, versions: Mapping[int, Plan]) -> Plan | None:
    """The signed plan before the one in force; None where there is none, or it is of another knee
    or one of them holds a trial."""
    earlier = [one for one in versions if one < now.version]
    before = next(
        (plan for one in sorted(earlier, reverse=True) if not (plan := versions[one]).practice),
        None,
    )
    if before is None or now.practice or before.side != now.side:
        return None
    return before if now.trial is None and before.trial is None else None


def stricter(now: Plan, before: Plan) -> Plan:
    """What both plans prescribe, under the version in force: the least of each amount, the lowest
    of each limit, and all that either closes."""
    return replace(
        _least(now, before, _LEAST_OF_PLAN),
        techniques=_steps(now.techniques, before.techniques),
        exercises=_exercises(now.exercises, before.exercises),
        exercise_ceiling=min(ceiling_of("exercise", now), ceiling_of("exercise", before)),
        bad_day_mark_off=now.bad_day_mark_off and before.bad_day_mark_off,
        tape=_tape(now.tape, before.tape),
        cautions=_cautions(now, before),
        known_signs=_known(now.known_signs, before.known_signs),
        chair_stand=None if before.chair_stand is None else now.chair_stand,
    )


_LEAST_OF_PLAN = (
    *("hands_days_a_week", "exercise_days_a_week", "rounds", "check_moves", "stop_amount"),
    *("pain_ceiling", "rest_pain_limit", "bad_day_mark", "floor_rounds"),
    *("floor_repeats_percent", "mornings_down"),
)
_DOSE = ("seconds", "repeats", "sets", "hold_seconds")
_LEAST_OF_TAPE = (
    *("start", "first_wear_hours", "second_wear_hours", "wear_hours", "cap_hours"),
    "stay_bare_from",
)


def _least(now: RecordT, before: RecordT, fields: Iterable[str]) -> RecordT:
    """`now` with the least of each field of both; one that says none does not count."""
    both = {name: (getattr(now, name), getattr(before, name)) for name in fields}
    least = {
        name: min((each for each in said if each is not None), default=None)
        for name, said in both.items()
    }
    return replace(now, **least)


def _steps(now: Sequence[StepT], before: Sequence[StepT]) -> tuple[StepT, ...]:
    """The steps of both, each with the least of its dose."""
    then = {one.name: one for one in before}
    return tuple(
        _least(one, then[one.name], [name for name in _DOSE if hasattr(one, name)])
        for one in now
        if one.name in then
    )


def _exercises(now: Sequence[Exercise], before: Sequence[Exercise]) -> tuple[Exercise, ...]:
    left_out = {one.name for one in before if one.on_bad_days == "left_out"}
    return tuple(
        replace(one, on_bad_days="left_out") if one.name in left_out else one
        for one in _steps(now, before)
    )


def _tape(now: TapePlan, before: TapePlan) -> TapePlan:
    return replace(
        _least(now, before, _LEAST_OF_TAPE),
        when=min(now.when, before.when, key=_LEAST_TAPE.index),
        highest=min(now.highest, before.highest) if now.make == before.make else 0,
        rest_hours=max(now.rest_hours, before.rest_hours),
    )


def _cautions(now: Plan, before: Plan) -> tuple[CautionAnswer, ...]:
    then = counting_answers(before)
    answers = counting_answers(now)
    found = [_stricter_answer(one, then.get(name, one)) for name, one in answers.items()]
    return (*found, *(one for name, one in then.items() if one.answer and name not in answers))


def _stricter_answer(now: CautionAnswer, before: CautionAnswer) -> CautionAnswer:
    if not before.answer:
        return now
    if not now.answer:
        return before
    allowed = now.allowed and before.allowed
    return replace(
        now,
        allowed=allowed,
        reason=now.reason if allowed else None,
        reason_words=now.reason_words if allowed else None,
        closed=tuple(dict.fromkeys((*now.closed, *before.closed))),
    )


def _known(now: Sequence[KnownSign], before: Sequence[KnownSign]) -> tuple[KnownSign, ...]:
    """Known to both: a sign that only one of them knows closes as any other."""
    then = {(one.sign, one.side): one for one in before}
    return tuple(
        replace(
            one,
            stays_open=tuple(part for part in one.stays_open if part in other.stays_open),
            support=min(one.support, other.support, key=_MOST_SUPPORT.index),
        )
        for one in now
        if (other := then.get((one.sign, one.side))) is not None
    )
