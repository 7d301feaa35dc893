"""Today's routine: what it starts from, and what it writes."""

from collections.abc import Callable
from datetime import date
from typing import Any

from companion.care.caution_rules import caution_judgement
from companion.care.due import part_today
from companion.care.flow import Given, Page, Walk
from companion.care.locks import locks
from companion.care.plan_faults import playable_exercises, playable_techniques
from companion.care.records import AnyEntry, Plan, Session, Side
from companion.care.routine import (
    HandsOff,
    RoutineEnd,
    RoutineStart,
    routine,
    so_far,
)
from companion.care.starting_stage import starting_stage
from companion.care.stop_rules import full_list_due
from companion.care.taping import TapeOnPage, TapeTakenOffPage
from companion.care.wear import current_wear
from companion.services.house import House, derived_id
from companion.services.signs import (
    asked_signs,
    open_signs,
    signs_answered,
    signs_shown,
    signs_to_ask,
)
from companion.services.tape import refused_before_asking, tape_on_entry, tape_taken_off
from companion.services.walks import Begun, load
from companion.wire.plain import decode, encode


class RoutineConduct:
    """The routine of one knee."""

    name = "routine"

    def start(self, house: House, plan: Plan, side: Side, for_day: date) -> dict[str, Any]:
        """A `RoutineStart` as plain JSON."""
        entries = house.lately()
        catalogue = house.catalogue
        locked = locks(entries, side, catalogue.stop_list)
        wear = current_wear(entries, side)
        asking = open_signs(house, entries, side)
        techniques = playable_techniques(plan, side, catalogue, entries, for_day)
        exercises = playable_exercises(plan, side, catalogue, entries, for_day)
        hands = caution_judgement(
            plan,
            sorted({c for t in catalogue.techniques for c in t.guarded_by}),
            "hands",
            catalogue.cautions,
            entries=entries,
            side=side,
            today=for_day,
        )
        asked_ids = {warning.id for warning in asking}
        hands_locked = locked.hands and any(w.id not in asked_ids for w in locked.why)
        exercise_locked = locked.exercise and any(w.id not in asked_ids for w in locked.why)
        hands_off: HandsOff | None = None
        if hands_locked:
            hands_off = "locked"
        elif wear is not None:
            hands_off = "tape_on"
        else:
            match part_today(plan, side, entries, "hands", for_day, catalogue.stop_list):
                case "done":
                    hands_off = "done_today"
                case "resting":
                    hands_off = "resting"
                case "not_in_plan":
                    hands_off = "not_in_plan"
        if hands_off is None and not techniques:
            hands_off = "caution" if plan.techniques else "not_in_plan"
        first_stage = starting_stage(plan, side, entries)
        refused, helper_needed = refused_before_asking(
            house, plan, side, entries, adding=False, outing=False
        )
        return encode(
            RoutineStart(
                side=side,
                list_reason=full_list_due(plan, entries, for_day),
                asked_signs=asked_signs(house, plan, entries),
                open_signs=signs_to_ask(asking, skin=locked.skin),
                hands_off=hands_off,
                exercise_off=(
                    "locked" if exercise_locked else None if exercises else "not_in_plan"
                ),
                lightest_hands=hands.lightest_hands,
                wearing_stage=0 if wear is None else wear.stage,
                starting_stage=first_stage,
                tape_off=refused,
                helper_needed=helper_needed,
                known_zones=tuple(
                    dict.fromkeys(
                        zone
                        for entry in entries
                        if isinstance(entry, Session) and entry.side == side
                        for move in entry.moves
                        for zone in move.zones
                    )
                ),
                techniques=techniques,
                exercises=exercises,
            )
        )

    def walk(self, house: House, plan: Plan, begun: Begun) -> Callable[[], Walk[RoutineEnd]]:
        """The routine itself."""
        return routine(plan, house.catalogue, decode(RoutineStart, begun.start))

    def on_shown(self, house: House, plan: Plan, begun: Begun, page: Page) -> tuple[AnyEntry, ...]:
        """A card's warning."""
        return signs_shown(house, plan, begun, page)

    def on_answer(
        self, house: House, plan: Plan, begun: Begun, page: Page, given: Given
    ) -> tuple[AnyEntry, ...]:
        """Signs, and tape that went on or came off again."""
        if isinstance(page, TapeOnPage) and given["tape"] == "on":
            return (tape_on_entry(house, plan, begun, page, given),)
        if isinstance(page, TapeTakenOffPage):
            return (tape_taken_off(house, plan, begun, page),)
        return signs_answered(house, plan, begun, page, given)

    def finish(
        self, house: House, plan: Plan, begun: Begun, end: RoutineEnd
    ) -> tuple[AnyEntry, ...]:
        """The session."""
        return (session_entry(house, plan, begun, end),)


def session_entry(house: House, plan: Plan, begun: Begun, end: RoutineEnd) -> Session:
    """The session as an entry."""
    now = house.clock.now()
    return Session(
        **house.stamp(
            entry_id=derived_id(begun.id, "session"), for_day=begun.for_day, plan=plan, at=now
        ),
        side=begun.side,
        happened_at=begun.begun_at,
        ended_at=now,
        gate=end.gate,
        full_list=end.full_list,
        rest_pain=end.rest_pain,
        depth=end.depth,
        moves=end.moves,
        rounds=end.rounds,
        exercises=end.exercises,
        stage=end.stage,
        comparable=end.comparable,
        ended=end.ended,
        reason=end.reason,
    )


def end_early(house: House, side: Side, ended: str, reason: str) -> Session | None:
    """Write the routine under way as it stands: stopped by the person, or left behind.

    None when no routine of this knee is under way, or nothing of it was answered.
    """
    begun = load(house, RoutineConduct(), side)
    if begun is None:
        return None
    plan = house.plan_of(begun.plan_version)
    if plan is None or not begun.answers:
        house.journal.drop_draft(begun.key)
        return None
    end = so_far(
        plan,
        house.catalogue,
        decode(RoutineStart, begun.start),
        [answer.given for answer in begun.answers],
        ended="stopped" if ended == "stopped" else "left",
        reason=reason,
    )
    entry = session_entry(house, plan, begun, end)
    house.journal.append(entry, drop_draft=begun.key)
    return entry
