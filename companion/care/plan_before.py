"""The plan before, gone back to for a day: what both plans prescribe, and of each the stricter.

A new plan may be too much on a bad evening, and the clinic cannot be reached. Going back must never
open anything: what either plan closes stays closed, and what one of them does not hold is left out.
A plan with a tape trial is not gone back from, nor to one: its days are fixed. (C)
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from companion.care.caution_rules import counting_answers
from companion.care.records import (
    CautionAnswer,
    Exercise,
    KnownSign,
    Plan,
    Support,
    TapePlan,
    Technique,
    WhenTape,
)
from companion.care.step_limits import ceiling_of

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
        now,
        techniques=_techniques(now.techniques, before.techniques),
        exercises=_exercises(now.exercises, before.exercises),
        hands_days_a_week=min(now.hands_days_a_week, before.hands_days_a_week),
        exercise_days_a_week=min(now.exercise_days_a_week, before.exercise_days_a_week),
        rounds=min(now.rounds, before.rounds),
        check_moves=min(now.check_moves, before.check_moves),
        stop_amount=min(now.stop_amount, before.stop_amount),
        pain_ceiling=min(now.pain_ceiling, before.pain_ceiling),
        exercise_ceiling=min(ceiling_of("exercise", now), ceiling_of("exercise", before)),
        rest_pain_limit=_lowest(now.rest_pain_limit, before.rest_pain_limit),
        bad_day_mark=_lowest(now.bad_day_mark, before.bad_day_mark),
        bad_day_mark_off=now.bad_day_mark_off and before.bad_day_mark_off,
        floor_rounds=_lowest(now.floor_rounds, before.floor_rounds),
        floor_repeats_percent=_lowest(now.floor_repeats_percent, before.floor_repeats_percent),
        mornings_down=_lowest(now.mornings_down, before.mornings_down),
        tape=_tape(now.tape, before.tape),
        cautions=_cautions(now, before),
        known_signs=_known(now.known_signs, before.known_signs),
        chair_stand=None if before.chair_stand is None else now.chair_stand,
    )


def _lowest(one: int | None, other: int | None) -> int | None:
    typed = [each for each in (one, other) if each is not None]
    return min(typed, default=None)


def _techniques(now: Sequence[Technique], before: Sequence[Technique]) -> tuple[Technique, ...]:
    then = {one.technique: one for one in before}
    return tuple(
        replace(
            one,
            seconds=min(one.seconds, then[one.technique].seconds),
            repeats=min(one.repeats, then[one.technique].repeats),
        )
        for one in now
        if one.technique in then
    )


def _exercises(now: Sequence[Exercise], before: Sequence[Exercise]) -> tuple[Exercise, ...]:
    then = {one.exercise: one for one in before}
    return tuple(
        replace(
            one,
            repeats=min(one.repeats, other.repeats),
            sets=min(one.sets, other.sets),
            hold_seconds=min(one.hold_seconds, other.hold_seconds),
            on_bad_days="left_out" if other.on_bad_days == "left_out" else one.on_bad_days,
        )
        for one in now
        if (other := then.get(one.exercise)) is not None
    )


def _tape(now: TapePlan, before: TapePlan) -> TapePlan:
    same_make = now.make == before.make
    highest = min(now.highest, before.highest) if same_make else 0
    bare = [day for day in (now.stay_bare_from, before.stay_bare_from) if day is not None]
    return replace(
        now,
        when=min(now.when, before.when, key=_LEAST_TAPE.index),
        start=min(now.start, before.start),
        highest=highest,
        first_wear_hours=min(now.first_wear_hours, before.first_wear_hours),
        second_wear_hours=min(now.second_wear_hours, before.second_wear_hours),
        wear_hours=min(now.wear_hours, before.wear_hours),
        cap_hours=min(now.cap_hours, before.cap_hours),
        rest_hours=max(now.rest_hours, before.rest_hours),
        stay_bare_from=min(bare, default=None),
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
