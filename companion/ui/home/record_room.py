"""The door My record: the pain chart first, the other parts one step behind it, and paper."""

from __future__ import annotations

from companion.care.history import current
from companion.care.records import Plan, Side
from companion.presentation.home.chair_pages import chair_line
from companion.presentation.home.picked_days import picked_days
from companion.presentation.home.record_tables import SECTIONS, section_tables, section_words
from companion.presentation.home.record_view import RecordView, Span, days_of_span, record_view
from companion.presentation.language.phrases import phrase
from companion.presentation.view.chart import DaySpan
from companion.services.chair_stand import chair_stand_today
from companion.ui.home.desk import Desk
from companion.ui.home.record_page import (
    CHAIR,
    PICK,
    PRINT,
    PickDaysPage,
    RecordPage,
    RecordPartPage,
)


class RecordRoom:
    """The record of one knee, read once and shown in whichever span was chosen."""

    def __init__(self, desk: Desk, side: Side, plan: Plan) -> None:
        self._desk = desk
        self._side = side
        self._plan = plan
        self._mark = phrase("Practice plan: not for a real knee") if plan.practice else ""
        self._span: Span | DaySpan = Span.LAST_8_WEEKS
        self._all = desk.context.journal.entries()
        self._counting = current(self._all)
        self._plans = desk.context.journal.plans()

    def enter(self) -> None:
        """The first page of the record."""
        due = chair_stand_today(self._desk.context, self._plan)
        page = RecordPage(self._view(), self._mark, chair=chair_line(due))
        page.span_chosen.connect(self._span_chosen)
        page.way_wanted.connect(self._go)
        page.keep(self)
        self._page = page
        self._desk.show(page, self._desk.show_front)

    def _view(self) -> RecordView:
        return record_view(
            self._counting, self._plans, self._side, self._span, self._desk.context.clock.today()
        )

    def _span_chosen(self, span: Span) -> None:
        self._span = span
        self._page.show_view(self._view())

    def _pick_days(self) -> None:
        page = PickDaysPage(self._view().heading, self._mark)
        page.picked.connect(self._picked)
        page.keep(self)
        self._picking = page
        self._desk.show(page, self.enter)

    def _picked(self, first: str, last: str) -> None:
        today = self._desk.context.clock.today()
        began = days_of_span(self._counting, self._plans, self._side, Span.ALL, today).first_day
        span, first_fault, last_fault = picked_days(first, last, began=began, today=today)
        if span is None:
            self._picking.show_problems(first_fault, last_fault)
            return
        self._span = span
        self.enter()

    def _go(self, way: str) -> None:
        if way == CHAIR:
            self._desk.walk("chair")
            return
        if way == PICK:
            self._pick_days()
            return
        if way == PRINT:
            sentence = self._desk.doorways.save_record(self._side, self._span)
            if sentence is not None:
                self._desk.tell(phrase("Your record on paper"), sentence)
            return
        view = self._view()
        section = next(section for section in SECTIONS if section == way)
        page = RecordPartPage(
            section_words(section)[0],
            view,
            section_tables(section, self._all, self._plans, self._side, view.days),
            self._mark,
            with_chart=section == "routines",
        )
        page.keep(self)
        self._desk.show(page, self.enter)
