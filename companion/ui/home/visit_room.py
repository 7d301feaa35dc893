"""Visit: the person's questions, what is handed over, and both files saved."""

from __future__ import annotations

from collections import Counter

from companion.care.records import DayPage, Question
from companion.presentation.chair_pages import with_chair_stand
from companion.presentation.home_pages import question_view, visit_view
from companion.presentation.phrases import phrase
from companion.services.chair_stand import chair_stand_today
from companion.services.visit import ask_clinic
from companion.ui.home.desk import Desk, Given


class VisitRoom:
    """The pages behind the door Visit."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def enter(self) -> None:
        """What would be handed over now."""
        desk = self._desk
        plan = desk.house.plan()
        if plan is None:
            desk.show_front()
            return
        entries = desk.house.everything()
        view = visit_view(
            plan,
            kinds=Counter(entry.kind for entry in entries),
            questions=[
                entry.text
                for entry in entries
                if isinstance(entry, Question) and entry.for_day >= plan.written_on
            ],
            private_notes=sum(
                isinstance(entry, DayPage) and entry.note_private for entry in entries
            ),
        )
        view = with_chair_stand(view, chair_stand_today(desk.house, plan))
        desk.ask(view, self._chosen, desk.show_front)

    def _chosen(self, given: Given) -> None:
        desk = self._desk
        if given["do"] == "chair":
            desk.walk("chair")
            return
        if given["do"] == "question":
            desk.ask(question_view(), self._asked, self.enter)
            return
        sentence = desk.doorways.save_visit()
        if sentence is not None:
            desk.tell(phrase("For your visit"), sentence)

    def _asked(self, given: Given) -> None:
        text = given["text"]
        if text is None:
            self.enter()
            return

        def write() -> None:
            ask_clinic(self._desk.house, text)
            self.enter()

        self._desk.attempt(write)
