"""Weeks kept with a pen, typed in at the clinic."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress

from companion.care.flow import Given
from companion.care.records import Diary
from companion.presentation.clinic.people import reason_words
from companion.presentation.clinic.review import review_above
from companion.presentation.language.phrases import phrase
from companion.presentation.language.troubles import not_saved_words
from companion.presentation.papers.typed_weeks import TypedWeeks, kept_view
from companion.presentation.view.page import PageView
from companion.services.paper_weeks import keep_at_clinic
from companion.services.paper_weeks_kept import WeeksAtClinic
from companion.services.trouble import Trouble
from companion.ui.clinic.desk import ClinicHost
from companion.ui.kit.page import Page
from companion.ui.kit.weeks_page import WeeksTyping


class ClinicWeeksRoom:
    """Typing weeks into the list, for a person whose diary is read; `left` shows the review again,
    `kept` reads the diary anew."""

    def __init__(
        self,
        desk: ClinicHost,
        diary: Diary,
        left: Callable[[], None],
        kept: Callable[[], None],
    ) -> None:
        self._desk, self._diary, self._left, self._kept = desk, diary, left, kept
        self._keeper = WeeksAtClinic(desk.practice, diary.plan.person)

    def enter(self) -> None:
        """Go on with what was left, or ask for the first day on the sheets. Raises Trouble."""
        now = self._desk.practice.clock.now()
        above = review_above(self._diary.plan)
        WeeksTyping(self, self._keeper, self._diary, now, above).enter()

    def ask(
        self, view: PageView, answered: Callable[[Given], None], went_back: Callable[[], None]
    ) -> None:
        self._desk.ask(view, answered, went_back)

    def show_typing(self, page: Page, went_back: Callable[[], None]) -> None:
        page.back_wanted.connect(went_back)
        self._desk.show(page)

    def keep_typed(self, weeks: TypedWeeks) -> None:
        desk, entries = self._desk, weeks.entries()
        heading = phrase("Weeks on paper")
        try:
            taken = keep_at_clinic(desk.practice, self._diary, entries)
        except Trouble as trouble:
            desk.tell(heading, not_saved_words(trouble))
            return
        if taken.file is None:
            desk.tell(heading, reason_words(taken.reason))
            return
        with suppress(Trouble):  # offered again it says that these days are in the diary
            self._keeper.drop()
        view = kept_view(entries, weeks.not_taken())
        desk.ask(view, lambda _given: self._kept(), self._kept)

    def left_typing(self) -> None:
        self._left()
