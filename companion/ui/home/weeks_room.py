"""Weeks kept with a pen, typed in at home."""

from __future__ import annotations

from collections.abc import Callable

from companion.care.flow import Given
from companion.presentation.language.phrases import phrase
from companion.presentation.papers.typed_weeks import TypedWeeks, kept_view
from companion.presentation.view.page import PageView
from companion.services.paper_weeks import keep_at_home
from companion.services.paper_weeks_kept import WeeksAtHome
from companion.ui.home.desk import HomeHost
from companion.ui.kit.page import Page
from companion.ui.kit.weeks_page import WeeksTyping


class WeeksRoom:
    """Typing weeks into the diary at hand; `left` shows again where it was begun."""

    def __init__(self, desk: HomeHost, left: Callable[[], None]) -> None:
        self._desk, self._left = desk, left

    def enter(self) -> None:
        """Go on with what was left, or ask for the first day on the sheets."""
        context = self._desk.context
        plan = context.plan()
        mark = phrase("Practice plan: not for a real knee") if plan and plan.practice else ""
        typing = WeeksTyping(
            self, WeeksAtHome(context), context.journal.diary(), context.clock.now(), mark
        )
        self._desk.attempt(typing.enter)

    def ask(
        self, view: PageView, answered: Callable[[Given], None], went_back: Callable[[], None]
    ) -> None:
        self._desk.ask(view, answered, went_back)

    def show_typing(self, page: Page, went_back: Callable[[], None]) -> None:
        self._desk.show(page, went_back)

    def keep_typed(self, weeks: TypedWeeks) -> None:
        entries, desk = weeks.entries(), self._desk

        def keep() -> None:
            keep_at_home(desk.context, entries)
            view = kept_view(entries, weeks.not_taken())
            desk.ask(view, lambda _given: desk.show_front(), desk.show_front)

        desk.attempt(keep)

    def left_typing(self) -> None:
        self._left()
