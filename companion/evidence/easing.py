"""Ease in sessions: the fall from the before score to the last after score."""

from collections import Counter
from dataclasses import dataclass
from statistics import median

from companion.care.ease import ease_percent, target_met
from companion.care.records import Session
from companion.evidence.figures import Ease
from companion.evidence.readings import Readings

MEDIAN_NEEDED = 6
"""Scored sessions a median needs (fact: ease_median)."""
STAGES = ("0", "1", "2")


@dataclass(frozen=True, slots=True)
class Eased:
    """One session's before score, last after score, and the tape stage at that last score."""

    before: int
    after: int
    stage: int


def eased(session: Session, starting_stage: int) -> Eased | None:
    """The two scores of a session; None without both.

    A move made again at the right depth replaces the one before it, so the last before score and
    the last after score count. An after-tape score that names no stage takes the session's, and
    else `starting_stage`, the plan's.
    """
    before = [move for move in session.moves if move.role == "before"]
    after = [move for move in session.moves if move.role != "before"]
    if not before or not after:
        return None
    last = after[-1]
    stage = 0
    if last.role == "after_tape":
        named = session.stage if last.stage is None else last.stage
        stage = starting_stage if named is None else named
    return Eased(before=before[-1].score, after=last.score, stage=stage)


def ease(readings: Readings, target_percent: int) -> Ease:
    """Ease over all sessions of the knee; each is held against the target of its own plan."""
    stages: Counter[int] = Counter()
    percents: list[float] = []
    met = not_comparable = in_clinic = 0
    for session in readings.sessions:
        plan = readings.plan_of(session)
        scores = eased(session, plan.tape.start)
        if scores is None:
            continue
        if not session.comparable:
            not_comparable += 1
            continue
        stages[scores.stage] += 1
        in_clinic += session.place == "clinic"
        share = ease_percent(scores.before, scores.after)
        if share is not None:
            percents.append(share)
            met += target_met(scores.before, scores.after, plan.ease_target_percent)
    return Ease(
        sessions=stages.total(),
        sessions_scored=len(percents),
        target_percent=target_percent,
        met=met,
        met_percent=100 * met / len(percents) if percents else None,
        median_percent=float(median(percents)) if len(percents) >= MEDIAN_NEEDED else None,
        by_stage={stage: stages[int(stage)] for stage in STAGES},
        not_comparable=not_comparable,
        clinic_sessions=in_clinic,
    )
