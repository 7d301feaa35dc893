"""Visit: the person's questions, what is handed over field by field, and both files saved."""

from __future__ import annotations

from collections.abc import Callable

from companion.care.caution_rules import not_asked_yet
from companion.care.flow import Given
from companion.care.records import Diary
from companion.presentation.home.chair_pages import with_chair_stand
from companion.presentation.home.handed_over import (
    PLAN,
    entries_view,
    handed_view,
    kind_view,
    page_of_month,
    pages_of,
)
from companion.presentation.home.home_pages import question_view, visit_view
from companion.presentation.language.phrases import phrase
from companion.services.chair_stand import chair_stand_today
from companion.services.visit import ask_clinic
from companion.ui.home.desk import Desk


class VisitRoom:
    """The pages behind the door Visit."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def enter(self) -> None:
        """What would be handed over now."""
        desk = self._desk
        if desk.context.plan() is None:
            desk.show_front()
            return
        diary = desk.context.journal.diary()
        unasked = not_asked_yet(diary.plan, desk.context.catalogue.policy)
        view = with_chair_stand(
            visit_view(diary, not_asked=len(unasked)), chair_stand_today(desk.context, diary.plan)
        )
        desk.ask(view, lambda given: self._chosen(given, diary), desk.show_front)

    def _chosen(self, given: Given, diary: Diary) -> None:
        desk = self._desk
        if given["do"] == "chair":
            desk.walk("chair")
            return
        if given["do"] == "question":
            desk.ask(question_view(), self._asked, self.enter)
            return
        if given["do"] == "see":
            _HandedOver(desk, diary, self.enter).enter()
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
            ask_clinic(self._desk.context, text)
            self.enter()

        self._desk.attempt(write)


class _HandedOver:
    """What the diary file holds: the kinds, one kind, and its entries page by page."""

    def __init__(self, desk: Desk, diary: Diary, went_back: Callable[[], None]) -> None:
        self._desk, self._diary, self._went_back = desk, diary, went_back

    def enter(self) -> None:
        self._desk.ask(
            handed_view(self._diary), lambda given: self._kind(given["kind"]), self._went_back
        )

    def _kind(self, kind: str) -> None:
        if kind == PLAN:
            self._entries(kind, 0, self.enter)
            return

        def chosen(given: Given) -> None:
            pages = pages_of(self._diary, kind, self._desk.context.catalogue)
            first = page_of_month(pages, given["month"]) if given["month"] else 0
            self._entries(kind, first, lambda: self._kind(kind))

        self._desk.ask(kind_view(self._diary, kind), chosen, self.enter)

    def _entries(self, kind: str, number: int, went_back: Callable[[], None]) -> None:
        catalogue = self._desk.context.catalogue
        pages = pages_of(self._diary, kind, catalogue)

        def chosen(given: Given) -> None:
            if given["do"] == "more":
                self._entries(kind, number + 1, lambda: self._entries(kind, number, went_back))
            else:
                self.enter()

        self._desk.ask(entries_view(kind, pages, number, catalogue), chosen, went_back)
