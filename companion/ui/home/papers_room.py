"""Papers of the plan, and tape for days away."""

from __future__ import annotations

from dataclasses import replace

from companion.care.flow import Given
from companion.presentation.home.cutting import NoCuttingSheet
from companion.presentation.home.papers_pages import days_away_view, papers_view
from companion.presentation.home.stay import stay_view
from companion.presentation.language.phrases import phrase
from companion.services.settings import Paper
from companion.ui.home.desk import HomeHost


class PapersRoom:
    """The pages behind Papers and tape."""

    def __init__(self, desk: HomeHost) -> None:
        self._desk = desk

    def enter(self) -> None:
        """What there is to print."""
        desk = self._desk
        plan = desk.context.plan()
        if plan is None:
            desk.show_front()
            return
        tapes = plan.tape.when != "never" and plan.tape.highest > 0
        helping = desk.doorways.settings().helper_view
        letter = desk.doorways.on_letter_paper()
        view = papers_view(tapes=tapes, helper_view=helping, letter=letter)
        desk.ask(view, self._chosen, desk.show_front)

    def _chosen(self, submitted: Given) -> None:
        desk = self._desk
        match submitted["paper"]:
            case "all":
                self._saved(desk.doorways.save_papers(desk.doorways.settings().helper_view))
            case "paper":
                other: Paper = "a4" if desk.doorways.on_letter_paper() else "letter"
                desk.doorways.use_settings(replace(desk.doorways.settings(), paper=other))
                self.enter()
            case "measure":
                self._measure()
            case "weeks":
                from companion.ui.home.weeks_room import WeeksRoom

                WeeksRoom(desk, self.enter).enter()
            case "away":
                desk.ask(days_away_view(), self._away, self.enter)
            case which:
                self._saved(desk.doorways.save_paper(which))

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
            lambda submitted: MeasuringRoom(desk, plan, submitted["side"]).enter(),
            self.enter,
        )

    def _away(self, submitted: Given) -> None:
        desk = self._desk
        plan = desk.context.plan()
        if plan is None:
            return
        days = int(submitted["days"])
        try:
            view = stay_view(plan, days)
        except NoCuttingSheet as missing:
            desk.tell(phrase("Days away"), str(missing))
            return
        desk.ask(view, lambda _given: self._saved(desk.doorways.save_stay(days)), self.enter)

    def _saved(self, sentence: str | None) -> None:
        if sentence is not None:
            self._desk.tell(phrase("Papers and tape"), sentence)
