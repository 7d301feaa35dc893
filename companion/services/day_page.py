"""The day page: what it asks today, and the page it writes."""

from collections.abc import Callable, Sequence
from dataclasses import fields
from datetime import date, timedelta
from typing import Any

from companion.care.day_questions import DayEnd, DayStart, day_walk
from companion.care.due import day_form
from companion.care.flow import Given, Page, Walk
from companion.care.records import AnyEntry, DayPage, Plan, Side
from companion.care.wear import taped_days
from companion.services.house import House, derived_id
from companion.services.signs import signs_answered, signs_shown
from companion.services.walks import Begun
from companion.wire.plain import decode, encode


def page_of(entries: Sequence[AnyEntry], day: date, side: Side) -> DayPage | None:
    """The page of a day and knee that counts, if there is one."""
    return next(
        (
            entry
            for entry in entries
            if isinstance(entry, DayPage) and entry.for_day == day and entry.side == side
        ),
        None,
    )


def private_note_key(entry_id: str) -> str:
    """Under what name the private note of a day page is kept on this machine."""
    return f"private_note:{entry_id}"


class DayConduct:
    """The day page of one knee."""

    name = "day"

    def start(self, house: House, plan: Plan, side: Side, for_day: date) -> dict[str, Any]:
        """A `DayStart` as plain JSON."""
        entries = house.lately()
        pages = [entry for entry in house.everything() if isinstance(entry, DayPage)]
        first_day = min((page.for_day for page in pages), default=None)
        full = [page.for_day for page in pages if page.form == "full" and page.side == side]
        return encode(
            DayStart(
                side=side,
                form=day_form(plan, first_day, for_day, max(full, default=None)),
                taped=for_day in taped_days(entries, side, plan.tape.cap_hours, for_day),
                person=side == plan.sides[0],
                measure=plan.measure,
                activities=plan.activities,
                amounts=plan.amounts,
            )
        )

    def walk(self, house: House, plan: Plan, begun: Begun) -> Callable[[], Walk[DayEnd]]:
        """The questions."""
        start = decode(DayStart, begun.start)
        return lambda: day_walk(start)

    def on_shown(self, house: House, plan: Plan, begun: Begun, page: Page) -> tuple[AnyEntry, ...]:
        """A card's warning."""
        return signs_shown(house, plan, begun, page)

    def on_answer(
        self, house: House, plan: Plan, begun: Begun, page: Page, given: Given
    ) -> tuple[AnyEntry, ...]:
        """A mistake taken back."""
        return signs_answered(house, plan, begun, page, given)

    def finish(self, house: House, plan: Plan, begun: Begun, end: DayEnd) -> tuple[AnyEntry, ...]:
        """The page; a correction when the day has one already; nothing when all is empty."""
        if end.empty:
            return ()
        start = decode(DayStart, begun.start)
        before = page_of(house.everything(), begun.for_day, begun.side)
        answers = {field.name: getattr(end, field.name) for field in fields(DayEnd)}
        entry_id = derived_id(begun.id, "day_page")
        if end.note is not None and end.note_private:
            # A private note is kept beside the entries and never in one: entries are handed over.
            house.journal.save_draft(private_note_key(entry_id), {"note": end.note})
            answers["note"] = None
        return (
            DayPage(
                **house.stamp(entry_id=entry_id, for_day=begun.for_day, plan=plan),
                replaces=None if before is None else before.id,
                side=begun.side,
                form=start.form,
                **answers,
            ),
        )


def days_to_write(entries: Sequence[AnyEntry], today: date, side: Side) -> tuple[date, ...]:
    """Today and yesterday, those without a page."""
    return tuple(
        day for day in (today, today - timedelta(days=1)) if page_of(entries, day, side) is None
    )
