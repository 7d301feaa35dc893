"""The first session in the room: what is written of it, from the answers of a plan being drafted.

What the plan needs anyway is asked once: depth, make, cut lengths and what was taught are the
plan's own fields. Only the scores, the sore places and the tape of the day are the session's.
Nothing else is written: which steps were done in the room, and for how long, nobody asks.
"""

from collections.abc import Callable
from datetime import datetime
from typing import cast

from companion.care.records import (
    AnyEntry,
    Diary,
    LastFortnight,
    Measurement,
    MoveRole,
    MoveScore,
    PatchTest,
    Plan,
    ScoringTaught,
    Session,
    Side,
    Skin,
    Stamp,
    TapeOn,
    Zone,
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
    """The entries of the first session, written by the clinic at `at`; none when none was held."""
    if not is_held(draft):
        return ()
    get = draft.answers.get
    # Each answer was held to the kind of its field when it was given.
    side = cast(Side, get("session.side") or plan.sides[0])

    def stamp() -> Stamp:
        return Stamp(
            id=new_id(),
            for_day=draft.today,
            written_at=at,
            written_by="clinic",
            plan_version=plan.version,
        )

    stage_asked = _whole(draft, "stage")
    stage = stage_asked or 0
    entries: list[AnyEntry] = [
        Session(
            **stamp(),
            side=side,
            happened_at=at,
            place="clinic",
            rest_pain=_whole(draft, "rest_pain"),
            depth=plan.check_move.depth,
            moves=_moves(draft, stage),
            stage=stage_asked,
            ended="finished",
            reason=IN_THE_CLINIC,
            last_fortnight=cast(LastFortnight | None, get("session.last_fortnight")),
        )
    ]
    make = plan.tape.make
    skin = cast(Skin | None, get("session.skin_before"))
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
    after = cast(Skin | None, get("session.skin_after"))
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
    stands = _whole(draft, "stands")
    if stands is not None:
        arms = get("session.stand_arms") is True
        entries.append(Measurement(**stamp(), count=stands, arms_used=arms))
    taught = get("session.scoring")
    if isinstance(taught, str):
        entries.append(ScoringTaught(**stamp(), words=taught))
    return tuple(entries)


def start_file(plan: Plan, entries: tuple[AnyEntry, ...]) -> bytes:
    """A diary file that holds the plan and the first session, to begin with at home."""
    return diary_bytes(Diary(plans=(plan,), entries=entries))


def _moves(draft: PlanDraft, stage: int) -> tuple[MoveScore, ...]:
    """The scores in the order they were taken."""
    get = draft.answers.get
    moves = []
    roles: tuple[MoveRole, ...] = ("before", "after_hands")
    for role in roles:
        score = _whole(draft, role)
        if score is not None:
            moves.append(
                MoveScore(
                    role=role,
                    score=score,
                    zones=_zones(get(f"session.zones_{role}")),
                )
            )
    taped = _whole(draft, "after_tape")
    if taped is not None and stage > 0:
        moves.append(MoveScore(role="after_tape", score=taped, stage=stage))
    return tuple(moves)


def _whole(draft: PlanDraft, name: str) -> int | None:
    answer = draft.answers.get(f"session.{name}")
    return answer if isinstance(answer, int) else None


def _zones(answer: object) -> tuple[Zone, ...]:
    return cast(tuple[Zone, ...], tuple(answer.split())) if isinstance(answer, str) else ()
