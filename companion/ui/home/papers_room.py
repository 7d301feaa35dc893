"""Papers of the plan, and tape for days away."""

from __future__ import annotations

from companion.care.flow import Given
from companion.presentation.home.cutting import NoCuttingSheet
from companion.presentation.home.papers_pages import days_away_view, papers_view
from companion.presentation.home.stay import stay_view
from companion.presentation.language.phrases import phrase
from companion.ui.home.desk import Desk


class PapersRoom:
    """The pages behind Papers and tape."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def enter(self) -> None:
        """What there is to print."""
        desk = self._desk
        plan = desk.context.plan()
        if plan is None:
            desk.show_front()
            return
        tapes = plan.tape.when != "never" and plan.tape.highest > 0
        desk.ask(papers_view(tapes=tapes), self._chosen, desk.show_front)

    def _chosen(self, given: Given) -> None:
        desk = self._desk
        match given["paper"]:
            case "booklet":
                self._saved(desk.doorways.save_booklet())
            case "cutting":
                self._saved(desk.doorways.save_cutting_sheet())
            case "measure":
                self._measure()
            case _:
                desk.ask(days_away_view(), self._away, self.enter)

    def _measure(self) -> None:
        from companion.presentation.home.home_pages import knee_choice_view
        from companion.ui.home.measuring_room import MeasuringRoom

        desk = self._desk
        plan = desk.context.plan()
        if plan is None:
            return
        if len(plan.sides) == 1:
            MeasuringRoom(desk, plan, plan.sides[0]).enter()
            return
        desk.ask(
            knee_choice_view(plan.sides, {}),
            lambda given: MeasuringRoom(desk, plan, given["side"]).enter(),
            self.enter,
        )

    def _away(self, given: Given) -> None:
        desk = self._desk
        plan = desk.context.plan()
        if plan is None:
            return
        try:
            view = stay_view(plan, int(given["days"]))
        except NoCuttingSheet as missing:
            desk.tell(phrase("Days away"), str(missing))
            return
        desk.ask(view, lambda _given: desk.show_front(), self.enter)

    def _saved(self, sentence: str | None) -> None:
        if sentence is not None:
            self._desk.tell(phrase("Papers and tape"), sentence)
