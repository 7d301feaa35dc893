"""Where it hurts: what a further round starts with, and which soreness opens the stop list."""

from collections.abc import Collection, Sequence

from companion.care.catalogue import SoreZones, TechniqueSheet
from companion.care.finding import Entries, newest_first
from companion.care.records import HandsRound, Session, Side, Zone


def round_order(
    sheets: Sequence[TechniqueSheet],
    zones_before: Collection[Zone],
    zones_now: Collection[Zone],
    last_round: HandsRound | None,
) -> tuple[str, ...]:
    """The techniques of the next round, by id: all of `sheets`, in the order to play them.

    First those at zones that are sore now and were left out of the last round (every technique
    there was skipped or stopped) or that the soreness moved to; then those at the other zones sore
    now; then the rest. Within each group the plan's order stays.
    """
    done = (
        {step.step for step in last_round.steps if step.outcome == "done"} if last_round else set()
    )
    eased = {zone for sheet in sheets if sheet.id in done for zone in sheet.zones}
    left_out = set(zones_now) - eased if last_round else set()
    moved_to = set(zones_now) - set(zones_before)

    def group(sheet: TechniqueSheet) -> int:
        if any(zone in left_out or zone in moved_to for zone in sheet.zones):
            return 0
        return 1 if any(zone in zones_now for zone in sheet.zones) else 2

    return tuple(sheet.id for sheet in sorted(sheets, key=group))


def zones_known(entries: Entries, side: Side, sore_zones: SoreZones) -> tuple[Zone, ...]:
    """The zones of one knee that were sore in an earlier session, of those whose soreness would
    open the stop list if it were new. `entries` are those that count."""
    return tuple(
        zone.id
        for zone in sore_zones.zones
        if zone.stop_list_if_new
        and any(
            zone.id in move.zones
            for session in newest_first(entries, Session, side=side, words=[zone.id])
            for move in session.moves
        )
    )


def opens_stop_list(
    zones_now: Collection[Zone], zones_known: Collection[Zone], sore_zones: SoreZones
) -> tuple[Zone, ...]:
    """The zones whose soreness is new and belongs on the stop list, such as the back of the knee.

    `zones_known` are those sore before: at this session's first score or in earlier sessions.
    """
    return tuple(
        zone.id
        for zone in sore_zones.zones
        if zone.stop_list_if_new and zone.id in zones_now and zone.id not in zones_known
    )
