"""The room in which one diary is read: which page, which knee, and the findings once made."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from companion.care.records import Diary, Side
from companion.evidence.figures import Findings
from companion.exchange.case_files import HeldDiary
from companion.presentation.clinic.answers import Knee, Row
from companion.presentation.clinic.review import LONGEST_CHART_DAYS, FigureSource
from companion.presentation.home.record_view import knee_words
from companion.presentation.view.chart import DaySpan
from companion.ui.clinic.clinic_page import ClinicPage
from companion.ui.clinic.review_pages import (
    NEXT_PLAN,
    REPORT,
    SUMMARY,
    AnswersPage,
    Record,
    ReviewPage,
    SourcePage,
)
from companion.ui.kit.window import PageWindow

if TYPE_CHECKING:
    from companion.care.catalogue import Catalogue
    from companion.presentation.clinic.export import ExportTold
    from companion.services.export import Format

Exports = Callable[[Diary, "Sequence[Format]"], "ExportTold | None"]
"""Saves a diary in some formats where the clinician says; None when no place was picked."""


class ReviewRoom(QObject):
    """Shows the pages of one review in the window.

    `left` is called when Back leaves it; `leads` with the name of a way out of it and the diary.
    """

    def __init__(
        self,
        window: PageWindow,
        held: HeldDiary,
        catalogue: Callable[[], Catalogue],
        left: Callable[[], None],
        leads: Callable[[str, Diary], None],
        exports: Exports,
    ) -> None:
        super().__init__(window)
        self._window = window
        self._catalogue = catalogue
        self._left = left
        self._leads = leads
        self._exports = exports
        self._held: HeldDiary | None = held
        self.record = Record.of(held.lately(LONGEST_CHART_DAYS))
        self._side = self.record.plan.sides[0]
        self._found: dict[Side, Findings] = {}
        self._knees: tuple[Knee, ...] = ()
        self._answers: AnswersPage | None = None

    def enter(self) -> None:
        """Show the first page with its chart; the answers follow once it was painted."""
        self.show("answers")

    def show(self, name: str) -> None:
        """Go to a page."""
        if name == "answers":
            self._show_answers()
            return
        if name in (NEXT_PLAN, REPORT, SUMMARY):
            self._read_whole()
            self._leads(name, self.record.diary)
            return
        # The other pages load when they are asked for: the first waits for none of them.
        from companion.ui.clinic.review_more import BUILDERS

        self._answers = None
        self._read_whole()
        self._put(BUILDERS[name](self.record, self._side, self.found, self._catalogue))

    def _read_whole(self) -> None:
        """From here on all of the diary: the first page waits for its last weeks alone."""
        if self._held is not None:
            self.record = Record.of(self._held.whole())
            self._held = None

    def found(self, side: Side) -> Findings:
        """The findings of one knee, made once."""
        self._read_whole()
        if side not in self._found:
            from companion.evidence.findings import findings

            self._found[side] = findings(self.record.diary, side)
        return self._found[side]

    def _show_answers(self) -> None:
        page = AnswersPage(self.record)
        self._answers = page
        if self._knees:
            self._fill()
        else:
            page.painted.connect(self._fill)
        self._put(page)

    def _fill(self) -> None:
        """Make the findings and put the answers on the first page, if it is still shown."""
        from companion.presentation.clinic.answers import clinic_answers
        from companion.presentation.clinic.review import first_chart_with, first_page_answers

        page = self._answers
        if page is None:
            return
        self._know_knees()
        sides = self.record.plan.sides
        answers = clinic_answers(self._knees, self.record.plans, self._period(), self._catalogue())
        page.chart.set_chart(
            first_chart_with(self.record.entries, self.record.plans, self._knees[0].found)
        )
        page.show_answers(
            first_page_answers(answers, self._knees, self.record.plan.primary_question),
            [knee_words(side).split()[0] for side in sides],
        )

    def _know_knees(self) -> None:
        from companion.presentation.clinic.answers import knee_of

        self._read_whole()
        if not self._knees:
            self._knees = tuple(
                knee_of(self.found(side), self.record.entries) for side in self.record.plan.sides
            )

    def _period(self) -> DaySpan:
        """First to last day of any knee."""
        spans = [self.record.days(side) for side in self.record.plan.sides]
        return DaySpan(min(s.first_day for s in spans), max(s.last_day for s in spans))

    def _put(self, page: ReviewPage) -> None:
        page.way_chosen.connect(self.show)
        page.knee_wanted.connect(self._other_knee)
        page.source_wanted.connect(self._show_source)
        page.back_wanted.connect(self._back)
        page.opened.connect(self._open_figure)
        page.export_wanted.connect(self._export)
        self._window.show_page(page)

    def _back(self) -> None:
        self._answers = None
        self._left()

    def _other_knee(self, side: Side) -> None:
        page = self._window.page()
        if isinstance(page, ReviewPage) and side != self._side:
            self._side = side
            self.show(page.name)

    def _open_figure(self, row: Row) -> None:
        from companion.presentation.clinic.review import figure_source

        if not self._knees:
            self._know_knees()
        self._show_source(
            figure_source(row, self._knees, self.record.plans, self._catalogue().facts)
        )

    def _export(self, wanted: Sequence[Format]) -> None:
        told = self._exports(self.record.diary, wanted)
        if told is not None:
            from companion.ui.clinic.export_page import ExportToldPage

            self._put_over(ExportToldPage(told))

    def _show_source(self, source: FigureSource) -> None:
        self._put_over(SourcePage(source))

    def _put_over(self, sheet: ClinicPage) -> None:
        sheet.back_wanted.connect(self._window.drop_sheet)
        self._window.show_sheet(sheet)
