"""Visit: the person's questions, what is handed over field by field, and both files saved."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from companion.care.caution_rules import not_asked_yet
from companion.care.clocks import that_count
from companion.care.flow import Given
from companion.care.records import Diary, Question
from companion.presentation.home.chair_pages import with_chair_stand
from companion.presentation.home.handed_over import (
    PLAN,
    entries_view,
    handed_view,
    kind_view,
    page_of_month,
    pages_of,
)
from companion.presentation.home.home_pages import asked_view, question_view, visit_view
from companion.presentation.home.how_it_goes import better_blocks, better_lines
from companion.presentation.language.phrases import phrase
from companion.presentation.view.page import PageView
from companion.services.chair_stand import chair_stand_today
from companion.services.visit import ask_clinic, keep_words, put_question, words_begun
from companion.ui.home.desk import HomeHost
from companion.ui.kit.asking import AskingPage


class VisitRoom:
    """The pages behind the door Visit."""

    def __init__(self, desk: HomeHost) -> None:
        self._desk = desk

    def enter(self) -> None:
        """What would be handed over now."""
        desk = self._desk
        if desk.context.plan() is None:
            desk.show_front()
            return

        def read() -> tuple[Diary, PageView]:
            diary = desk.context.journal.diary()
            unasked = not_asked_yet(diary.plan, desk.context.catalogue.policy)
            view = visit_view(diary, not_asked=len(unasked))
            view = with_chair_stand(view, chair_stand_today(desk.context, diary.plan))
            today = desk.context.clock.today()
            better = better_lines(diary, that_count(diary), diary.plan.sides, today)
            return diary, replace(view, blocks=(*better_blocks(better), *view.blocks))

        diary, view = desk.doorways.beside(read)
        desk.ask(view, lambda submitted: self._chosen(submitted, diary), desk.show_front)

    def _chosen(self, submitted: Given, diary: Diary) -> None:
        desk = self._desk
        if "question" in submitted:
            self._asked_before(submitted["question"])
            return
        if submitted["do"] == "chair":
            desk.walk("chair")
            return
        if submitted["do"] == "question":
            begun = words_begun(desk.context)
            before = None if begun is None else {"text": begun}
            desk.ask(question_view(), self._asked, self._words_left, given_before=before)
            return
        if submitted["do"] == "see":
            _HandedOver(desk, diary, self.enter).enter()
            return
        sentence = desk.doorways.save_visit()
        if sentence is not None:
            desk.tell(phrase("For your visit"), sentence)

    def _words_left(self) -> None:
        """Back from a question that was begun: its words are kept."""
        page, context = self._desk.shown(), self._desk.context
        if isinstance(page, AskingPage):
            text = page.answers_now().get("text")
            self._desk.attempt(lambda: keep_words(context, None if text is None else str(text)))
        self.enter()

    def _asked_before(self, question_id: str) -> None:
        """A question that was written down: other words, answered, or not asked any more."""
        desk = self._desk
        entry = desk.context.entries.counting(question_id)
        if not isinstance(entry, Question):
            self.enter()
            return

        def put(submitted: Given) -> None:
            do = submitted["do"]
            put_question(
                desk.context,
                question_id,
                text=submitted.get("text") if do == "change" else None,
                answered=True if do == "answered" else None,
                taken_back=do == "back",
            )
            self.enter()

        desk.ask(
            asked_view(entry),
            lambda submitted: desk.attempt(lambda: put(submitted)),
            self.enter,
            given_before={"text": entry.text},
        )

    def _asked(self, submitted: Given) -> None:
        text = submitted["text"]
        if text is None:
            self.enter()
            return

        def write() -> None:
            ask_clinic(self._desk.context, text)
            self.enter()

        self._desk.attempt(write)


class _HandedOver:
    """What the diary file holds: the kinds, one kind, and its entries page by page."""

    def __init__(self, desk: HomeHost, diary: Diary, went_back: Callable[[], None]) -> None:
        self._desk, self._diary, self._went_back = desk, diary, went_back

    def enter(self) -> None:
        self._desk.ask(
            handed_view(self._diary),
            lambda submitted: self._kind(submitted["kind"]),
            self._went_back,
        )

    def _kind(self, kind: str) -> None:
        if kind == PLAN:
            self._entries(kind, 0, self.enter)
            return

        def chosen(submitted: Given) -> None:
            pages = pages_of(self._diary, kind, self._desk.context.catalogue)
            first = page_of_month(pages, submitted["month"]) if submitted["month"] else 0
            self._entries(kind, first, lambda: self._kind(kind))

        self._desk.ask(kind_view(self._diary, kind), chosen, self.enter)

    def _entries(self, kind: str, number: int, went_back: Callable[[], None]) -> None:
        catalogue = self._desk.context.catalogue
        pages = pages_of(self._diary, kind, catalogue)

        def chosen(submitted: Given) -> None:
            if submitted["do"] == "more":
                self._entries(kind, number + 1, lambda: self._entries(kind, number, went_back))
            else:
                self.enter()

        self._desk.ask(entries_view(kind, pages, number, catalogue), chosen, went_back)
