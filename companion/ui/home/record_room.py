"""The door My record: the pain chart first, the other parts one step behind it, and paper."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from companion.care.clocks import that_count, under_wrong_clock
from companion.care.flow import Given
from companion.care.records import Plan, Side
from companion.presentation.home.chair_pages import chair_line
from companion.presentation.home.correcting_pages import DAYS_SHOWN, days_view, entries_view
from companion.presentation.home.how_it_goes import better_lines
from companion.presentation.home.picked_days import picked_days
from companion.presentation.home.record_tables import SECTIONS, section_tables, section_words
from companion.presentation.home.record_view import (
    RecordView,
    Span,
    days_of_span,
    knee_words,
    record_view,
)
from companion.presentation.home.walk_view import ViewContext
from companion.presentation.language.phrases import phrase
from companion.presentation.view.chart import DaySpan
from companion.services.chair_stand import chair_stand_today
from companion.services.correcting import told_by_day
from companion.ui.home.desk import HomeHost
from companion.ui.home.record_page import (
    CHAIR,
    OTHER_KNEE,
    PICK,
    PRINT,
    PUT_RIGHT,
    PickDaysPage,
    RecordPage,
    RecordPartPage,
)


class RecordRoom:
    """The record of one knee, read once and shown in whichever span was chosen."""

    def __init__(
        self,
        desk: HomeHost,
        side: Side,
        plan: Plan,
        *,
        other: Side | None = None,
        came_from: Callable[[], None] | None = None,
    ) -> None:
        """`other` is the other knee, where there is a record of it."""
        self._desk = desk
        self._other = other
        self._came_from = came_from or desk.show_front
        self._side = side
        self._plan = plan
        self._mark = phrase("Practice plan: not for a real knee") if plan.practice else ""
        self._span: Span | DaySpan = Span.LAST_8_WEEKS
        desk.doorways.beside(self._read)

    def _read(self) -> None:
        diary = self._diary = self._desk.context.journal.diary()
        self._all, self._plans = diary.entries, diary.plans
        self._counting = that_count(diary)
        self._wrong_clock = under_wrong_clock(diary)

    def enter(self) -> None:
        """The first page of the record."""
        due = chair_stand_today(self._desk.context, self._plan)
        view, better = self._desk.doorways.beside(lambda: (self._view(), self._better()))
        page = RecordPage(
            view,
            self._mark,
            chair=chair_line(due),
            other="" if self._other is None else knee_words(self._other),
            better=better,
        )
        page.span_chosen.connect(self._span_chosen)
        page.way_wanted.connect(self._go)
        page.day_wanted.connect(self._of_day)
        page.keep(self)
        self._page = page
        self._desk.show(page, self._came_from)

    def _view(self) -> RecordView:
        return record_view(
            self._counting, self._plans, self._side, self._span, self._desk.context.clock.today()
        )

    def _better(self) -> tuple[str, ...]:
        """Whether it goes better, in sentences."""
        today = self._desk.context.clock.today()
        return better_lines(self._diary, self._counting, (self._side,), today)

    def _span_chosen(self, span: Span | DaySpan) -> None:
        self._span = span
        self._page.show_view(self._desk.doorways.beside(self._view))

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
        if way == OTHER_KNEE and self._other is not None:
            RecordRoom(self._desk, self._other, self._plan, came_from=self.enter).enter()
            return
        if way == PICK:
            self._pick_days()
            return
        if way == PUT_RIGHT:
            self._which_day()
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
            section_tables(
                section,
                self._all,
                self._plans,
                self._side,
                view.days,
                catalogue=self._desk.context.catalogue,
                wrong_clock=self._wrong_clock,
            ),
            self._mark,
            with_chart=section == "routines",
        )
        page.keep(self)
        self._desk.show(page, self.enter)

    # ------------------------------------------------------------ putting right

    def _which_day(self, page: int = 0) -> None:
        """The days with something written down, a few at a time, the newest first."""
        days = [*told_by_day(self._desk.context.journal.entries(), self._side).items()]
        shown = days[page * DAYS_SHOWN : (page + 1) * DAYS_SHOWN]

        def chosen(submitted: Given) -> None:
            if submitted.get("older"):
                self._which_day(page + 1)
            else:
                self._which_entry(date.fromisoformat(submitted["day"]), page)

        def back() -> None:
            if page:
                self._which_day(page - 1)
            else:
                self._anew()

        more = len(days) > (page + 1) * DAYS_SHOWN
        self._desk.ask(days_view(shown, more=more, above=knee_words(self._side)), chosen, back)

    def _of_day(self, day: date) -> None:
        """What is written down for the day of a row."""
        self._which_entry(day, None)

    def _which_entry(self, day: date, page: int | None) -> None:
        told = told_by_day(self._desk.context.journal.entries(), self._side).get(day, ())

        def chosen(submitted: Given) -> None:
            entry = told[int(submitted["entry"])].entry
            self._desk.put_right(entry.id, self._side, lambda: self._which_entry(day, page))

        setting = ViewContext(
            plan=self._plan, side=self._side, catalogue=self._desk.context.catalogue
        )

        def back() -> None:
            if page is None:
                self._anew()
            else:
                self._which_day(page)

        self._desk.ask(entries_view(day, told, setting), chosen, back)

    def _anew(self) -> None:
        """The record as it stands by now."""
        room = RecordRoom(self._desk, self._side, self._plan)
        room._span = self._span
        room.enter()
