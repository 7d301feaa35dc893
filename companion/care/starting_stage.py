"""The tape stage a session starts with."""

from itertools import islice, takewhile

from companion.care.ease import target_met
from companion.care.finding import Entries, newest_first
from companion.care.records import Plan, Session, Side

LAST_SESSIONS = 3
MET_IN = 2


def starting_stage(plan: Plan, side: Side, entries: Entries) -> int:
    """The plan's starting stage, or the lowest that met the target in two of the last three
    taped sessions. Never above the plan's highest; 0 when the plan has no tape.

    Decided: only sessions under this version of the plan are looked at, since a new version is a
    new choice of the clinician's, and none of a day before it was written. A taped session whose
    stage was not scored, or at another depth, is one of the three but met nothing. `entries` are
    those that count.
    """
    highest = plan.tape.highest
    if highest == 0 or plan.tape.when == "never":
        return 0
    under_it = takewhile(
        lambda session: session.for_day >= plan.written_on,
        newest_first(entries, Session, side=side, words=["stage", "after_tape"]),
    )
    taped = (
        session
        for session in under_it
        if session.plan_version == plan.version
        and (session.stage or any(move.role == "after_tape" for move in session.moves))
    )
    stages_met = [
        _stage_met(session, plan.ease_target_percent) for session in islice(taped, LAST_SESSIONS)
    ]
    for stage in range(1, highest + 1):
        if stages_met.count(stage) >= MET_IN:
            return stage
    return min(plan.tape.start, highest)


def _stage_met(session: Session, target_percent: int) -> int | None:
    """The stage with which a session met its target, if one did."""
    before = next((move.score for move in session.moves if move.role == "before"), None)
    if before is None or not session.comparable:
        return None
    for move in session.moves:
        if (
            move.role == "after_tape"
            and move.same_depth is not False
            and target_met(before, move.score, target_percent)
        ):
            return move.stage or 1
    return None
