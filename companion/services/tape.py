"""Tape on, tape off, and the second look at the skin."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from typing import Any

from companion.care import tape_gate
from companion.care.days import diary_day
from companion.care.flow import Given, Page, Walk
from companion.care.locks import locks
from companion.care.records import AnyEntry, Plan, Session, Side, TapeOff, TapeOn
from companion.care.starting_stage import starting_stage
from companion.care.stop_rules import full_list_due
from companion.care.taping import (
    SkinEnd,
    TapeOffEnd,
    TapeOnEnd,
    TapeOnPage,
    TapeOnStart,
    TapeTakenOffPage,
    skin_walk,
    tape_off_walk,
    tape_on_walk,
)
from companion.care.wear import current_wear
from companion.services.house import House, derived_id
from companion.services.signs import (
    asked_signs,
    open_signs,
    signs_answered,
    signs_shown,
    signs_to_ask,
)
from companion.services.walks import Begun
from companion.wire.plain import decode, encode


def refused_before_asking(
    house: House,
    plan: Plan,
    side: Side,
    entries: Sequence[AnyEntry],
    *,
    adding: bool,
    outing: bool,
) -> tuple[tuple[str, ...], bool]:
    """Reasons against tape that are known before the person is asked, and whether a helper must
    be there. `adding` short pieces to tape that is on does not ask for a bare, rested knee."""
    found = tape_gate.check(
        plan,
        side,
        entries,
        house.catalogue,
        now=house.clock.now(),
        today=house.clock.today(),
        skin_today="clear",
        skin_clean=True,
        can_reach=True,
        helper_there=True,
    )
    alone = tape_gate.check(
        plan,
        side,
        entries,
        house.catalogue,
        now=house.clock.now(),
        today=house.clock.today(),
        skin_today="clear",
        skin_clean=True,
        can_reach=True,
        helper_there=False,
    )
    waived = ("tape_on", "rest") if adding else ()
    reasons = tuple(reason for reason in found.reasons if reason not in waived)
    return reasons, set(alone.reasons) != set(found.reasons)


def tape_on_entry(house: House, plan: Plan, begun: Begun, page: TapeOnPage, given: Given) -> TapeOn:
    """Tape that has just gone on."""
    now = house.clock.now()
    return TapeOn(
        **house.stamp(
            entry_id=derived_id(begun.id, page.key), for_day=diary_day(now), plan=plan, at=now
        ),
        side=begun.side,
        happened_at=now,
        stage=page.stage,
        make=plan.tape.make,
        by=given["by"],
        skin_before="clear",
    )


def tape_taken_off(house: House, plan: Plan, begun: Begun, page: TapeTakenOffPage) -> TapeOff:
    """New tape that came off again within the session."""
    now = house.clock.now()
    wear = current_wear(house.lately(), begun.side)
    return TapeOff(
        **house.stamp(
            entry_id=derived_id(begun.id, page.key), for_day=diary_day(now), plan=plan, at=now
        ),
        side=begun.side,
        tape_on=None if wear is None else wear.on_ids[-1],
        happened_at=now,
    )


class TapeOnConduct:
    """Tape by itself, outside a session; short pieces on top when side strips are on."""

    name = "tape_on"

    def start(self, house: House, plan: Plan, side: Side, for_day: date) -> dict[str, Any]:
        """A `TapeOnStart` as plain JSON."""
        entries = house.lately()
        wear = current_wear(entries, side)
        on_now = 0 if wear is None else wear.stage
        adding = on_now == 1 and plan.tape.highest == 2
        stage = 2 if adding else max(1, starting_stage(plan, side, entries))
        refused, helper_needed = refused_before_asking(
            house, plan, side, entries, adding=adding, outing=True
        )
        return encode(
            TapeOnStart(
                stage=stage,
                on_now=on_now,
                gate_asked=gate_asked_today(entries, for_day),
                list_reason=full_list_due(plan, entries, for_day),
                asked_signs=asked_signs(house, plan, entries),
                open_signs=signs_to_ask(
                    open_signs(house, entries, side),
                    skin=locks(entries, side, house.catalogue.stop_list).skin,
                ),
                refused=refused,
                helper_needed=helper_needed,
            )
        )

    def walk(self, house: House, plan: Plan, begun: Begun) -> Callable[[], Walk[TapeOnEnd]]:
        """Gate, questions, steps."""
        start = decode(TapeOnStart, begun.start)
        return lambda: tape_on_walk(house.catalogue, start)

    def on_shown(self, house: House, plan: Plan, begun: Begun, page: Page) -> tuple[AnyEntry, ...]:
        """A card's warning."""
        return signs_shown(house, plan, begun, page)

    def on_answer(
        self, house: House, plan: Plan, begun: Begun, page: Page, given: Given
    ) -> tuple[AnyEntry, ...]:
        """Signs, and the tape."""
        if isinstance(page, TapeOnPage) and given["tape"] == "on":
            return (tape_on_entry(house, plan, begun, page, given),)
        return signs_answered(house, plan, begun, page, given)

    def finish(
        self, house: House, plan: Plan, begun: Begun, end: TapeOnEnd
    ) -> tuple[AnyEntry, ...]:
        """Nothing more."""
        return ()


def gate_asked_today(entries: Sequence[AnyEntry], day: date) -> bool:
    """Whether a session of this day has answered the short gate with none."""
    return any(
        isinstance(entry, Session) and entry.for_day == day and entry.gate == "none"
        for entry in entries
    )


class TapeOffConduct:
    """Tape off. Never locked."""

    name = "tape_off"

    def start(self, house: House, plan: Plan, side: Side, for_day: date) -> dict[str, Any]:
        """The tape that is on. Raises LookupError when none is."""
        wear = current_wear(house.lately(), side)
        if wear is None:
            raise LookupError("no tape is on this knee")
        return {"tape_on": wear.on_ids[-1]}

    def walk(self, house: House, plan: Plan, begun: Begun) -> Callable[[], Walk[TapeOffEnd]]:
        """How, when, skin."""
        return tape_off_walk

    def on_shown(self, house: House, plan: Plan, begun: Begun, page: Page) -> tuple[AnyEntry, ...]:
        """A card's warning."""
        return signs_shown(house, plan, begun, page)

    def on_answer(
        self, house: House, plan: Plan, begun: Begun, page: Page, given: Given
    ) -> tuple[AnyEntry, ...]:
        """A mistake taken back."""
        return signs_answered(house, plan, begun, page, given)

    def finish(
        self, house: House, plan: Plan, begun: Begun, end: TapeOffEnd
    ) -> tuple[AnyEntry, ...]:
        """The tape-off entry."""
        now = house.clock.now()
        off_at = now if end.off == "now" else _about(now, end)
        return (
            TapeOff(
                **house.stamp(
                    entry_id=derived_id(begun.id, "tape_off"),
                    for_day=diary_day(off_at or now),
                    plan=plan,
                    at=now,
                ),
                side=begun.side,
                tape_on=begun.start["tape_on"],
                happened_at=off_at,
                came_off_by_itself=end.off == "by_itself",
                skin_at_once=end.skin,
            ),
        )


def _about(now: datetime, end: TapeOffEnd) -> datetime | None:
    """The hour the person remembers; None when they do not. Never later than now."""
    if end.off_day in (None, "unknown") or end.hour is None:
        return None
    day = now.date() - timedelta(days=1 if end.off_day == "yesterday" else 0)
    about = datetime.combine(day, time(end.hour)).replace(tzinfo=now.tzinfo)
    return min(about, now)


class SkinConduct:
    """The look at the skin half an hour after."""

    name = "skin"

    def start(self, house: House, plan: Plan, side: Side, for_day: date) -> dict[str, Any]:
        """The tape-off whose skin has not been looked at again. LookupError when there is none."""
        waiting = [
            entry
            for entry in house.lately()
            if isinstance(entry, TapeOff) and entry.side == side and entry.skin_after_30_min is None
        ]
        if not waiting:
            raise LookupError("no skin to look at again")
        return {"tape_off": max(waiting, key=lambda entry: entry.written_at).id}

    def walk(self, house: House, plan: Plan, begun: Begun) -> Callable[[], Walk[SkinEnd]]:
        """One question."""
        return skin_walk

    def on_shown(self, house: House, plan: Plan, begun: Begun, page: Page) -> tuple[AnyEntry, ...]:
        """A card's warning."""
        return signs_shown(house, plan, begun, page)

    def on_answer(
        self, house: House, plan: Plan, begun: Begun, page: Page, given: Given
    ) -> tuple[AnyEntry, ...]:
        """A mistake taken back."""
        return signs_answered(house, plan, begun, page, given)

    def finish(self, house: House, plan: Plan, begun: Begun, end: SkinEnd) -> tuple[AnyEntry, ...]:
        """A correction of the tape-off with the second look."""
        entry = house.journal.entry(begun.start["tape_off"])
        if not isinstance(entry, TapeOff):
            return ()
        return (
            replace(
                entry,
                id=derived_id(begun.id, "skin"),
                replaces=entry.id,
                written_at=house.clock.now(),
                written_by=house.written_by,
                skin_after_30_min=end.skin,
            ),
        )
