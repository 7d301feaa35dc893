"""The room in which one diary is read: which page, which knee, and what leads out of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from companion.care.flow import Given
from companion.care.records import Side
from companion.presentation.clinic.answers import AnswerRow, KneeFindings
from companion.presentation.clinic.review import LONGEST_CHART_DAYS, OpenedFigure, PersonRecord
from companion.presentation.home.record_view import knee_words
from companion.presentation.language.phrases import phrase
from companion.presentation.language.troubles import (
    not_saved_words,
    trouble_words,
)
from companion.services.practice import OpenDiary
from companion.services.trouble import Trouble
from companion.ui.clinic.desk import ClinicHost
from companion.ui.clinic.review_pages import AnswersPage, ReviewPage, SourcePage

if TYPE_CHECKING:
    from companion.services.clinic_papers import PaperName
    from companion.services.export import Format


class ReviewRoom(QObject):
    """Shows the pages of one review at the desk.

    Emits `left` when Back leads out of it, `changed` when the diary is another since, `plan_wanted`
    with the diary whose next plan is to be written.
    """

    left = Signal()
    changed = Signal()
    plan_wanted = Signal(object)

    def __init__(self, desk: ClinicHost, parent: QObject, code: str, diary: OpenDiary) -> None:
        super().__init__(parent)
        self.code = code
        self._desk = desk
        self._diary = diary
        self.record = PersonRecord.of(diary.lately(LONGEST_CHART_DAYS))
        self._is_whole = False
        self._side = self.record.plan.sides[0]
        self._knees: dict[Side, KneeFindings] = {}
        self._page: ReviewPage | None = None

    def enter(self) -> None:
        """Show the first page with its chart; the answers follow once it was painted."""
        self.show("answers")

    def show(self, name: str) -> None:
        """Go to a page, or out of the review by one of its ways."""
        if name == "answers":
            self._show_answers()
        else:
            self._attempt(lambda: self._show(name))

    def _show(self, name: str) -> None:
        self._read_whole()
        match name:
            case "next_plan":
                self.plan_wanted.emit(self.record.diary)
            case "report" | "summary":
                self._save_paper(name)
            case "home_papers":
                self._home_papers()
            case "weeks":
                from companion.ui.clinic.weeks_room import ClinicWeeksRoom

                ClinicWeeksRoom(
                    self._desk, self.record.diary, self.enter, self.changed.emit
                ).enter()
            case _:
                # The other pages load when they are asked for: the first waits for none of them.
                from companion.ui.clinic.review_more import BUILDERS, Shown

                practice = self._desk.practice
                self._put(
                    BUILDERS[name](
                        Shown(
                            record=self.record,
                            side=self._side,
                            knee=self.knee,
                            with_mornings=self._knee_with_mornings,
                            today=practice.clock.today(),
                            catalogue=practice.catalogue,
                        )
                    )
                )

    def _attempt(self, act: Callable[[], None]) -> None:
        try:
            act()
        except Trouble as trouble:
            self._desk.tell(phrase("This diary cannot be opened"), trouble_words(trouble))

    def _read_whole(self) -> None:
        """From here on all of the diary: the first page waits for its last weeks alone."""
        if not self._is_whole:
            self.record = PersonRecord.of(self._diary.whole())
            self._is_whole = True

    def knee(self, side: Side) -> KneeFindings:
        """One knee with its findings, made once."""
        if side not in self._knees:
            from companion.presentation.clinic.answers import knee_of

            self._read_whole()
            self._knees[side] = knee_of(
                self._diary.found(side), self.record.entries, self.record.diary.entries
            )
        return self._knees[side]

    def _knee_with_mornings(self, side: Side) -> KneeFindings:
        from companion.presentation.clinic.answers import knee_of

        return knee_of(self._diary.found_with_mornings(side), self.record.entries)

    def _every_knee(self) -> tuple[KneeFindings, ...]:
        return tuple(self.knee(side) for side in self.record.plan.sides)

    # ------------------------------------------------------------ the first page

    def _show_answers(self) -> None:
        page = AnswersPage(self.record)
        self._put(page)
        if self._knees:
            self._attempt(self._fill)
        else:
            page.painted.connect(self._on_painted)

    def _on_painted(self) -> None:
        self._attempt(self._fill)

    def _fill(self) -> None:
        """Make the findings and put the answers on the first page, if it is still shown."""
        from companion.presentation.clinic.answers import clinic_answers
        from companion.presentation.clinic.review import first_chart_with, first_page_answers

        page = self._page
        if not isinstance(page, AnswersPage):
            return
        knees = self._every_knee()
        record, catalogue = self.record, self._desk.practice.catalogue()
        answers = clinic_answers(knees, record.plans, record.period(), catalogue)
        page.chart.set_chart(first_chart_with(record.entries, record.plans, knees[0].found))
        page.show_answers(
            first_page_answers(answers, knees, record.plan.primary_question),
            [knee_words(side).split()[0] for side in record.plan.sides],
        )

    # ------------------------------------------------------------ showing

    def _put(self, page: ReviewPage) -> None:
        self._page = page
        page.way_chosen.connect(self.show)
        page.knee_wanted.connect(self._other_knee)
        page.source_wanted.connect(self._show_source)
        page.back_wanted.connect(self._back)
        page.opened.connect(self._open_figure)
        page.export_wanted.connect(self._export)
        self._desk.show(page)

    def _back(self) -> None:
        self._page = None
        self.left.emit()

    def _other_knee(self, side: Side) -> None:
        page = self._page
        if page is not None and side != self._side:
            self._side = side
            self.show(page.name)

    def _open_figure(self, row: AnswerRow) -> None:
        from companion.presentation.clinic.review import figure_source

        facts = self._desk.practice.catalogue().facts
        self._show_source(figure_source(row, self._every_knee(), self.record.plans, facts))

    def _show_source(self, source: OpenedFigure) -> None:
        self._desk.show_over(SourcePage(source))

    # ------------------------------------------------------------ what is saved

    def _export(self, wanted: Sequence[Format]) -> None:
        place = self._desk.doorways.folder_for(phrase("The export"))
        if place is None:
            return
        # The formats load slowly, and only for this.
        from companion.presentation.clinic.export import exported, not_exported
        from companion.presentation.language.said import said_words
        from companion.services.export import save_export
        from companion.ui.clinic.export_page import ExportToldPage

        today = self._desk.practice.clock.today()
        try:
            done = save_export(self.record.diary, wanted, place, today, said_words)
            told = exported(done)
        except Trouble as trouble:
            told = not_exported(not_saved_words(trouble))
        self._desk.show_over(ExportToldPage(told))

    def _save_paper(self, which: PaperName) -> None:
        from companion.presentation.clinic.plan_pages import paper_notice_view
        from companion.services.clinic_papers import draw_of, save_paper

        desk, diary = self._desk, self.record.diary
        place = desk.doorways.save_as(f"{which}-{diary.plan.person}.pdf")
        if place is None:
            return
        catalogue, today = desk.practice.catalogue(), desk.practice.clock.today()
        try:
            save_paper(which, diary, catalogue, desk.doorways.draw_paper, place, today)
        except Trouble as trouble:
            told = paper_notice_view(which, not_saved_words(trouble))
            desk.ask(told, self._on_told, self.enter)
            return
        draw = desk.doorways.draw_paper
        desk.doorways.show_saved(place, lambda: draw_of(which, diary, catalogue, draw, today))
        self.enter()

    def _home_papers(self, told: str = "") -> None:
        from companion.presentation.clinic.plan_pages import home_papers_view

        desk, plan, diary = self._desk, self.record.plan, self.record.diary

        def answered(given: Given) -> None:
            from companion.ui.clinic.home_papers import pages_for_home

            said = pages_for_home(desk, plan, given, diary)
            if said is None:
                self.enter()
            else:
                self._home_papers(said or told)

        letter = desk.doorways.on_letter_paper()
        desk.ask(home_papers_view(told, letter=letter), answered, self.enter)

    def _on_told(self, _given: Given) -> None:
        self.enter()
