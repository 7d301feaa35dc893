"""The first session in the room: what is written of it, from the answers of a plan being drafted.

What the plan needs anyway is asked once: depth, make, cut lengths and what was taught are the
plan's own fields. Only the scores, the sore places and the tape of the day are the session's.
"""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from companion.care.records import (
    AnyEntry,
    Diary,
    Event,
    HandsRound,
    Measurement,
    MoveRole,
    MoveScore,
    PatchTest,
    Plan,
    Session,
    StepDone,
    TapeOn,
)
from companion.exchange.files import diary_bytes
from companion.services.plan_draft import PlanDraft, is_held

REACTED = ("red", "itchy", "blister", "broken")
"""Skin that did not bear the tape: lasting redness is an injury (fact: skin_red_minutes)."""
IN_THE_CLINIC = "in_the_clinic"
"""Why a session of the clinic ended."""


def first_session(
    draft: PlanDraft, plan: Plan, at: datetime, new_id: Callable[[], str]
) -> tuple[AnyEntry, ...]:
    """The entries of the first session, written by the clinic at `at`; none when none was held.

    The techniques and exercises are those shown back on the day of the draft.
    """
    if not is_held(draft):
        return ()
    get = draft.answers.get
    side: Any = get("session.side") or plan.sides[0]

    def stamp() -> dict[str, Any]:
        return {
            "id": new_id(),
            "for_day": draft.today,
            "written_at": at,
            "written_by": "clinic",
            "plan_version": plan.version,
        }

    stage: Any = get("session.stage") or 0
    steps = tuple(
        StepDone(step=each.technique, outcome="done", seconds=each.seconds * each.repeats)
        for each in plan.techniques
        if each.taught_on == draft.today
    )
    entries: list[AnyEntry] = [
        Session(
            **stamp(),
            side=side,
            happened_at=at,
            place="clinic",
            rest_pain=get("session.rest_pain"),  # type: ignore[arg-type]  # held to its range
            depth=plan.check_move.depth,
            moves=_moves(draft, stage),
            rounds=(HandsRound(steps=steps),) if steps else (),
            exercises=tuple(
                StepDone(step=each.exercise, outcome="done")
                for each in plan.exercises
                if each.taught_on == draft.today
            ),
            stage=stage,
            ended="finished",
            reason=IN_THE_CLINIC,
        )
    ]
    make = plan.tape.make
    skin: Any = get("session.skin_before")
    if stage > 0 and get("session.stays_on") is True:
        entries.append(
            TapeOn(
                **stamp(),
                side=side,
                happened_at=at,
                stage=stage,
                make=make,
                by="clinic",
                skin_before=skin,
            )
        )
    # Tape that came off in the room is no wear: the first wear, and its shorter time, is still to
    # come. What the skin made of it counts like a patch test of that make.
    after: Any = get("session.skin_after")
    reacted = stage > 0 and get("session.stays_on") is not True and after in REACTED
    tolerated = plan.tape.patch_test == "tolerated_in_clinic"
    if make is not None and (tolerated or reacted):
        entries.append(
            PatchTest(
                **stamp(),
                make=make,
                happened_at=at,
                first_read_at=at if reacted else None,
                first_skin=after if reacted else None,
                tolerated_in_clinic=tolerated and not reacted,
            )
        )
    stands: Any = get("session.stands")
    if stands is not None:
        arms = get("session.stand_arms") is True
        entries.append(Measurement(**stamp(), count=stands, arms_used=arms))
    taught: Any = get("session.scoring")
    if taught is not None:
        entries.append(Event(**stamp(), what="other_care", note=taught))
    return tuple(entries)


def start_file(plan: Plan, entries: tuple[AnyEntry, ...]) -> bytes:
    """A diary file that holds the plan and the first session, to begin with at home."""
    return diary_bytes(Diary(plans=(plan,), entries=entries))


def _moves(draft: PlanDraft, stage: int) -> tuple[MoveScore, ...]:
    """The scores in the order they were taken; all at the depth of the plan."""
    get = draft.answers.get
    moves = []
    roles: tuple[MoveRole, ...] = ("before", "after_hands")
    for role in roles:
        score: Any = get(f"session.{role}")
        if score is not None:
            moves.append(
                MoveScore(
                    role=role,
                    score=score,
                    zones=_zones(get(f"session.zones_{role}")),
                    same_depth=None if role == "before" else True,
                )
            )
    taped: Any = get("session.after_tape")
    if taped is not None and stage > 0:
        moves.append(MoveScore(role="after_tape", score=taped, stage=stage, same_depth=True))
    return tuple(moves)


def _zones(answer: Any) -> tuple[Any, ...]:
    return tuple(answer.split()) if isinstance(answer, str) else ()
