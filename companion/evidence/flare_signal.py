"""The signal of a flare: three days against this person's own limit.

Kept apart from the recorded flare, which is judged by the person's median (`flares`). One or two
signals a quarter come by chance; `python -m tests.calibration signal` prints how many of each kind
of diary.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from companion.evidence.figures import Decision, Lack, Signal
from companion.evidence.limits import REFERENCE_NEEDED, Reference, days_of, reference

DAYS = 3  # (fact: flare_signal)
RECORDED_NEEDED = 2  # (fact: flare_signal)
QUIET_DAYS = 5
"""Decided days without a signal before a signal opens a new episode (fact: flare_signal)."""
_TOLERANCE = 1e-9


@dataclass(frozen=True, slots=True)
class Decided:
    """What the three days that end on `day` say; `rise` and `limit` in points above the usual."""

    day: date
    decision: Decision
    rise: float | None = None
    limit: float | None = None


def usual_at(scores: Mapping[date, int], day: date) -> Reference | None:
    """The reference of `day`: the 28 calendar days that end three days before it."""
    return reference(days_of(scores, day - timedelta(days=DAYS)))


def decide(scores: Mapping[date, int], day: date) -> Decided:
    """Whether pain on `day` and the two days before it is a signal.

    `no_decision` when the day itself or two of the three are not recorded, or fewer than fourteen
    days of the reference are.
    """
    at = {
        place: scores[then]
        for place, then in enumerate(day - timedelta(days=back) for back in range(DAYS))
        if then in scores
    }
    usual = usual_at(scores, day) if 0 in at and len(at) >= RECORDED_NEEDED else None
    if usual is None:
        return Decided(day=day, decision="no_decision")
    rise = sum(at.values()) / len(at) - usual.mean
    limit = usual.rise_limit(tuple(at))
    signal = rise >= limit - _TOLERANCE
    return Decided(day=day, decision="signal" if signal else "no_signal", rise=rise, limit=limit)


def what_is_missing(scores: Mapping[date, int], day: date) -> Lack:
    """Why there is no decision on `day`: the reason, what there is, what is needed."""
    if day not in scores:
        return Lack("no_score_on_last_day", 0, 1)
    running = sum(day - timedelta(days=back) in scores for back in range(DAYS))
    if running < RECORDED_NEEDED:
        return Lack("too_few_recorded_days", running, RECORDED_NEEDED)
    earlier = days_of(scores, day - timedelta(days=DAYS))
    return Lack("too_few_earlier_days", len(earlier), REFERENCE_NEEDED)


def decisions(scores: Mapping[date, int]) -> tuple[Decided, ...]:
    """The decision on every recorded day, oldest first."""
    return tuple(decide(scores, day) for day in sorted(scores))


def signals(decided: tuple[Decided, ...]) -> tuple[Signal, ...]:
    """The episodes: signals with fewer than five quiet days between them are one.

    A day without a decision is neither a signal nor quiet.
    """
    episodes: list[Signal] = []
    quiet = QUIET_DAYS
    for each in decided:
        if each.decision == "no_signal":
            quiet += 1
        if each.decision != "signal" or each.rise is None or each.limit is None:
            continue
        if quiet >= QUIET_DAYS:
            episodes.append(
                Signal(
                    first_day=each.day,
                    last_day=each.day,
                    rise_points=each.rise,
                    limit_points=each.limit,
                )
            )
        else:
            begun = episodes.pop()
            highest = max(begun.rise_points, each.rise)
            episodes.append(replace(begun, last_day=each.day, rise_points=highest))
        quiet = 0
    return tuple(episodes)
