"""A journey, one page after the other: its days, what is there, and what to do about it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import TYPE_CHECKING

from companion.care.contacts import is_a_number
from companion.care.open_things import tape_things
from companion.presentation.home.cutting import NoCuttingSheet
from companion.presentation.home.front import moment_of
from companion.presentation.home.journey_pages import (
    clock_given,
    journey_days_view,
    journey_there_view,
    journey_view,
)
from companion.presentation.home.open_lines import open_door
from companion.presentation.home.stay import stay_view
from companion.presentation.language.phrases import phrase
from companion.services.front import front
from companion.services.journeys import end_journey, journey_told, write_journey
from companion.ui.home.desk import HomeHost

if TYPE_CHECKING:
    from companion.care.flow import Given
    from companion.care.records import Journey, Plan, WrittenBy


class JourneyRoom:
    """The pages of the journey that is under way or comes next; without one they ask for it."""

    def __init__(self, desk: HomeHost, went_back: Callable[[], None]) -> None:
        self._desk, self._went_back = desk, went_back

    def enter(self) -> None:
        """The journey there is, else its days."""
        journey, plan = journey_told(self._desk.context), self._desk.context.plan()
        if plan is None:
            self._desk.show_front()
        elif journey is None:
            self._days(None, self._went_back)
        else:
            self._show(journey, plan)

    def _show(self, journey: Journey, plan: Plan) -> None:
        desk = self._desk
        facts = front(desk.context)
        moment = moment_of(facts)
        worn = [
            open_door(one, moment)
            for side in plan.sides
            for one in tape_things(facts.open, side)
            if one.wear is not None
        ]
        view = journey_view(
            journey,
            plan,
            facts.today,
            tapes=plan.tape.when != "never" and plan.tape.highest > 0,
            tape_on=" ".join(f"{door.word} {door.line}".strip() for door in worn),
        )

        def chosen(submitted: Given) -> None:
            match submitted["do"]:
                case "tape":
                    self._tape(journey, plan)
                case "change":
                    self._days(journey, self.enter)
                case _:
                    desk.attempt(lambda: self._end(journey))

        desk.ask(view, chosen, self._went_back)

    def _tape(self, journey: Journey, plan: Plan) -> None:
        desk = self._desk
        days = (journey.last_day - journey.first_day).days + 1
        try:
            view = stay_view(plan, days)
        except NoCuttingSheet as missing:
            desk.tell(phrase("Tape to cut and pack"), str(missing))
            return

        def save(_given: Given) -> None:
            sentence = desk.doorways.save_stay(days)
            if sentence is not None:
                desk.tell(phrase("Tape to cut and pack"), sentence)

        desk.ask(view, save, self.enter)

    # ------------------------------------------------------------ asked

    def _days(self, so_far: Journey | None, went_back: Callable[[], None]) -> None:
        today = self._desk.context.clock.today()
        before: Given | None = None
        if so_far is not None:
            before = {
                "leave_in": max(0, (so_far.first_day - today).days),
                "days": (so_far.last_day - max(so_far.first_day, today)).days + 1,
            }

        def chosen(submitted: Given) -> None:
            leaves = today + timedelta(days=int(submitted["leave_in"]))
            last = leaves + timedelta(days=int(submitted["days"]) - 1)
            begun = so_far is not None and so_far.first_day <= today and leaves == today
            first = so_far.first_day if so_far is not None and begun else leaves
            self._there(so_far, first, last)

        self._desk.ask(journey_days_view(today), chosen, went_back, given_before=before)

    def _there(
        self,
        so_far: Journey | None,
        first: date,
        last: date,
        before: Given | None = None,
        faulty: str = "",
    ) -> None:
        if before is None and so_far is not None:
            before = {
                "where": so_far.where,
                "emergency": so_far.emergency,
                **clock_given(so_far),
            }

        def chosen(submitted: Given) -> None:
            number, clock = submitted.get("emergency"), submitted["clock"]
            wrong = ""
            if number is not None and not is_a_number(number.strip()):
                wrong = phrase("That is no number: digits and spaces alone, three or more.")
            elif clock in ("ahead", "behind") and not submitted.get("hours"):
                wrong = phrase("By how many hours is the clock there another? Or say not known.")
            if wrong:
                self._there(so_far, first, last, submitted, wrong)
                return
            self._desk.attempt(lambda: self._write(so_far, first, last, submitted))

        self._desk.ask(
            journey_there_view(first, last, faulty=faulty),
            chosen,
            lambda: self._days(so_far, self._went_back if so_far is None else self.enter),
            given_before=before,
        )

    def _write(self, so_far: Journey | None, first: date, last: date, given: Given) -> None:
        hours = float(given.get("hours") or 0)
        ahead = {"same": 0.0, "ahead": hours, "behind": -hours}.get(given["clock"])
        number = given.get("emergency")
        write_journey(
            self._desk.context,
            first_day=first,
            last_day=last,
            where=given.get("where"),
            clock_ahead=ahead,
            emergency=None if number is None else number.strip(),
            written_by=self._by,
            so_far=so_far,
        )
        self.enter()

    def _end(self, journey: Journey) -> None:
        end_journey(self._desk.context, journey, self._by)
        self._desk.show_front()

    @property
    def _by(self) -> WrittenBy:
        return "helper" if self._desk.doorways.settings().helper_view else "person"
