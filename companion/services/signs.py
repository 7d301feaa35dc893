"""Warning signs as entries: written when their card is shown, corrected when cleared."""

from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from companion.care.catalogue import Sign, level_rank
from companion.care.clearing import ClearEnd, ClearStart, How, clear_walk
from companion.care.flow import Given, Page, Walk
from companion.care.locks import cleared, open_warnings, ways_to_clear
from companion.care.records import AnyEntry, Plan, Side, WarningSign
from companion.care.stopping import CardPage, OpenSignPage, StopEnd, stop_walk
from companion.services.house import House, derived_id
from companion.services.walks import Begun
from companion.wire.plain import decode, encode

_KNEE_SIGNS = ("skin_broken", "skin_broken_before_replacement", "skin_spreading")


def asked_signs(house: House, plan: Plan, entries: Iterable[AnyEntry]) -> tuple[str, ...]:
    """The signs the full list offers today: a known sign is offered as its known form."""
    known = {sign.sign for sign in plan.known_signs}
    seen = tuple(entries)
    taped = any(entry.kind in ("tape_on", "tape_off") for entry in seen)
    trained = any(entry.kind == "session" for entry in seen)
    offered: list[str] = []
    for sign in house.catalogue.stop_list.signs:
        match sign.asked_when:
            case "always":
                wanted = True
            case "tape_worn":
                wanted = taped
            case "after_session" | "in_session":
                wanted = trained
            case "replacement_listed":
                wanted = plan.replacement == "listed"
            case "known":
                wanted = any(
                    other.known_as == sign.id and other.id in known
                    for other in house.catalogue.stop_list.signs
                )
        if wanted:
            offered.append(sign.id)
    return tuple(offered)


def open_signs(house: House, entries: Iterable[AnyEntry], side: Side) -> tuple[WarningSign, ...]:
    """Open warnings of this knee or of the whole person that a gate asks about again."""
    stop_list = house.catalogue.stop_list
    return tuple(
        warning
        for warning in open_warnings(tuple(entries), stop_list)
        if (not warning.sides or side in warning.sides)
        and house.catalogue.sign(warning.sign).clears
        in ("skin_read_clear", "well_again", "next_gate")
    )


def signs_to_ask(warnings: Iterable[WarningSign], *, skin: bool) -> tuple[str, ...]:
    """The signs a gate asks about again; broken skin also when only a look found it."""
    signs = [warning.sign for warning in warnings]
    if skin and "skin_broken" not in signs:
        signs.append("skin_broken")
    return tuple(dict.fromkeys(signs))


def warning_of(house: House, plan: Plan, begun: Begun, sign_id: str, page_key: str) -> WarningSign:
    """The warning entry of a sign that holds."""
    sign = house.catalogue.sign(sign_id)
    now = house.clock.now()
    return WarningSign(
        **house.stamp(
            entry_id=derived_id(begun.id, page_key),
            for_day=house.clock.today(),
            plan=plan,
            at=now,
        ),
        sign=sign.id,
        card=sign.card,
        level=sign.level,
        sides=(begun.side,) if sign.id in _KNEE_SIGNS else (),
        happened_at=now,
    )


def signs_shown(house: House, plan: Plan, begun: Begun, page: Page) -> tuple[AnyEntry, ...]:
    """What is written before a page is shown: a card's warning."""
    if isinstance(page, CardPage):
        return (warning_of(house, plan, begun, page.sign, page.key),)
    return ()


def signs_answered(
    house: House, plan: Plan, begun: Begun, page: Page, given: Given
) -> tuple[AnyEntry, ...]:
    """What is written with an answer: a mistake taken back, an open sign that is over."""
    if isinstance(page, CardPage) and given["card"] == "mistake":
        warning = house.journal.entry(derived_id(begun.id, page.key))
        if isinstance(warning, WarningSign):
            return (_clear(house, plan, warning, "ticked_by_mistake", begun.id, page.key),)
    if isinstance(page, OpenSignPage) and given["over"] == "yes":
        how = _by_asking(house.catalogue.sign(page.sign))
        warnings = [
            warning
            for warning in open_signs(house, house.lately(), begun.side)
            if warning.sign == page.sign
        ]
        if not warnings:  # seen on a day page or when tape came off, with no card then
            warnings = [warning_of(house, plan, begun, page.sign, page.key)]
        return tuple(_clear(house, plan, warning, how, begun.id) for warning in warnings)
    return ()


def _by_asking(sign: Sign) -> How:
    match sign.clears:
        case "skin_read_clear" | "well_again":
            return sign.clears
        case _:
            return "asked_again"


def _clear(house: House, plan: Plan, warning: WarningSign, how: How, *key: str) -> WarningSign:
    now = house.clock.now()
    return cleared(
        warning,
        how,
        on=house.clock.today(),
        by=None,
        entry_id=derived_id(*key, warning.id, how),
        written_at=now,
        written_by=house.written_by,
        plan_version=plan.version,
        stop_list=house.catalogue.stop_list,
    )


class StopConduct:
    """The Stop button."""

    name = "stop"

    def start(self, house: House, plan: Plan, side: Side, for_day: date) -> dict[str, Any]:
        """The signs to offer."""
        return {"asked": list(asked_signs(house, plan, house.lately()))}

    def walk(self, house: House, plan: Plan, begun: Begun) -> Callable[[], Walk[Any]]:
        """The list, its cards, and whether to go on."""
        asked = tuple(begun.start["asked"])
        return lambda: stop_walk(house.catalogue, asked)

    def on_shown(self, house: House, plan: Plan, begun: Begun, page: Page) -> tuple[AnyEntry, ...]:
        """A card's warning."""
        return signs_shown(house, plan, begun, page)

    def on_answer(
        self, house: House, plan: Plan, begun: Begun, page: Page, given: Given
    ) -> tuple[AnyEntry, ...]:
        """A mistake taken back."""
        return signs_answered(house, plan, begun, page, given)

    def finish(self, house: House, plan: Plan, begun: Begun, end: StopEnd) -> tuple[AnyEntry, ...]:
        """Nothing more."""
        return ()


class ClearConduct:
    """Clearing the warning with the highest level that is open."""

    name = "clear"

    def start(self, house: House, plan: Plan, side: Side, for_day: date) -> dict[str, Any]:
        """The warning and the ways to clear it. Raises LookupError when none is open."""
        warnings = open_warnings(house.lately(), house.catalogue.stop_list)
        if not warnings:
            raise LookupError("no warning is open")
        warning = max(warnings, key=lambda warning: level_rank(warning.level))
        ways = ways_to_clear(warning, house.catalogue.stop_list)
        return encode(ClearStart(warning=warning.id, sign=warning.sign, ways=ways))

    def walk(self, house: House, plan: Plan, begun: Begun) -> Callable[[], Walk[Any]]:
        """The card again, and what became of it."""
        start = decode(ClearStart, begun.start)
        return lambda: clear_walk(start)

    def on_shown(self, house: House, plan: Plan, begun: Begun, page: Page) -> tuple[AnyEntry, ...]:
        """Nothing."""
        return ()

    def on_answer(
        self, house: House, plan: Plan, begun: Begun, page: Page, given: Given
    ) -> tuple[AnyEntry, ...]:
        """Nothing."""
        return ()

    def finish(self, house: House, plan: Plan, begun: Begun, end: ClearEnd) -> tuple[AnyEntry, ...]:
        """The correction that clears it."""
        start = decode(ClearStart, begun.start)
        warning = house.journal.entry(start.warning)
        if end.how is None or not isinstance(warning, WarningSign):
            return ()
        checked_on = house.clock.today() - timedelta(days=end.days_ago)
        entry = _clear(house, plan, warning, end.how, begun.id)
        return (replace(entry, cleared_on=max(checked_on, warning.for_day), cleared_by=end.who),)
